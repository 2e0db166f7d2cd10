"""A worn, bent, cracked or wasted strut: what can be done, each way held to the checks of a strut.

A way is put into the strut, and the checks are run on it as on any other. What fails then and did not before is no go,
what warns then is doubtful. Nothing is judged better than it was drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.bench.fitting import ORDER, Verdict
from strutwright.models.bench.record_back import findings_of_part
from strutwright.models.checks.fit.barrel_bearing import numbers
from strutwright.models.checks.strength import bolts
from strutwright.models.finding import LEVELS, Finding
from strutwright.models.finding import Verdict as Level
from strutwright.models.formulas import flattening
from strutwright.models.inputs import Inputs
from strutwright.models.metals import metal
from strutwright.models.resolve import Resolved
from strutwright.models.shop.pressing import COLD
from strutwright.models.spec import Bearing, Strut
from strutwright.params import tables
from strutwright.params.bench.repair import Bend, Repair, WastedBolt
from strutwright.params.limits import Limits
from strutwright.params.words import Words, deg, fine_mm, mm, say

_MOST_SIZES = 3
_MOST_WORSE = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class WearTold:
    """The wear limit, the others it was chosen from, and where the bearing stands. All clearances, mm on the diameter.

    others: by what they are called. measured_mm: None where it was not measured; flute_mm: least depth of a flute that
    is left, likewise, and flute_least_mm, half of it when new.
    """

    limit_mm: float
    others: tuple[tuple[str, float], ...]
    measured_mm: float | None
    new_mm: float
    flute_mm: float | None
    flute_least_mm: float

    @property
    def verdict(self) -> Verdict:
        """Beyond the limit, or with flutes worn to half, the bearing is worn out; beyond another it is doubtful."""
        if self.flute_mm is not None and self.flute_mm < self.flute_least_mm:
            return "no go"
        if self.measured_mm is None:
            return "doubtful"
        if self.measured_mm > self.limit_mm:
            return "no go"
        return "doubtful" if self.measured_mm > min(v for _, v in self.others) else "go"


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A way: of what, what is done, whether it stands, and what the checks then find worse than before."""

    of: str
    name: str
    words: Words
    verdict: Verdict
    worse: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Repaired:
    """What can be done. shift_mm, shift_clock_deg: of the bore's centre off the shaft's line."""

    wear: WearTold
    shift_mm: float
    shift_clock_deg: float
    options: tuple[Option, ...]
    cracked: bool


def repair(found: Resolved, said: Repair, limits: Limits) -> Repaired:
    """Return what can be done with a strut as measured.

    >>> from strutwright.params.bench.repair import Wear
    >>> worn = repair(resolved("harbour-launch"), Repair(wear=Wear(clearance=1.2)), standard()).wear
    >>> worn.verdict, round(worn.limit_mm, 3)  # 0.105 new and 0.79
    ('no go', 0.895)
    """
    strut = found.strut
    if said.wear.shaft is not None:
        strut = replace(strut, shaft=replace(strut.shaft, diameter_mm=said.wear.shaft))
    before = {f.code: f for f in findings_of_part(found, found.strut, limits)}
    shift = math.hypot(said.centre.up, said.centre.port)

    def held(of: str, name: str, words: Words, made: Strut) -> Option:
        after = {f.code: f for f in findings_of_part(found, made, limits)}
        return _option(of, name, words, _worse(before, after))

    ways = [held(*way) for way in _of_bore(strut, said, limits, shift)]
    ways += [*_bolts(strut, said, limits), *_bends(strut, said, limits), *_cracks(strut, said)]
    ways.append(
        Option(
            of="strut",
            name="make new",
            words="make new: take the old strut's or the hull's figures with the command survey, into a set",
            verdict="go",
        )
    )
    return Repaired(
        wear=_wear(found.strut, said, limits),
        shift_mm=shift,
        shift_clock_deg=math.degrees(math.atan2(-said.centre.port, said.centre.up)) % 360.0 if shift else 0.0,
        options=tuple(sorted(ways, key=lambda o: (o.of == "strut", o.of, ORDER.index(o.verdict)))),
        cracked=bool(said.cracks),
    )


def _worse(before: Mapping[str, Finding], after: Mapping[str, Finding]) -> tuple[Finding, ...]:
    return tuple(after[c] for c in after if c in before and _rank(after[c]) > _rank(before[c]))


def _option(of: str, name: str, words: Words, worse: tuple[Finding, ...]) -> Option:
    verdict: Verdict = "doubtful" if worse else "go"
    if any(f.verdict is Level.FAIL for f in worse):
        verdict = "no go"
    return Option(of=of, name=name, words=words, verdict=verdict, worse=worse)


def _rank(finding: Finding) -> int:
    return LEVELS.get(finding.verdict, 0)


def _wear(strut: Strut, said: Repair, limits: Limits) -> WearTold:
    inputs = Inputs.from_strut(strut, limits=limits)
    new, all_of = strut.bearings[0].inside_mm - strut.shaft.diameter_mm, numbers(inputs)
    d = strut.shaft.diameter_mm
    size = ("small", "medium", "large")[0 if d <= 40.0 else 1 if d <= 75.0 else 2]
    others = (
        ("new and wear by size of shaft, from memory", new + limits[f"worn_{size}"].value),
        ("new and half the flutes, 46 CFR 61.20-23, from memory", float(all_of["clearance_worn_groove"].demand)),
        ("share of the shaft, small craft, a hint", float(all_of["clearance_worn_small_craft"].demand)),
    )
    measured = said.wear.clearance
    return WearTold(
        limit_mm=new + limits["repair_wear"].value,
        others=others,
        measured_mm=measured,
        new_mm=new,
        flute_mm=said.wear.flute_depth,
        flute_least_mm=strut.bearings[0].flute_depth_mm / 2.0,
    )


# --- the bore ---------------------------------------------------------------------------------------------------------

_Way = tuple[str, str, Words, Strut]


def _of_bore(strut: Strut, said: Repair, limits: Limits, shift: float) -> Iterator[_Way]:
    """New bearing in the bore as it is, next outside diameters, a sleeve; bored true on the shaft's line."""
    own = strut.bearings[0]
    sizes = [v for row in said.bore for v in row.read_mm]
    if not sizes:
        if said.wear.clearance is not None:
            yield "bearing", "new bearing", "a new bearing of the size drawn; measure the bore when it is out", strut
        return
    low, high = min(sizes), max(sizes)
    middle = sum(sizes) / len(sizes)
    seat = replace(strut.barrel, bore_lower_mm=low - strut.barrel.bore_mm, bore_upper_mm=high - strut.barrel.bore_mm)
    words = say("a new bearing of the size drawn in the bore of {low} to {high}", low=fine_mm(low), high=fine_mm(high))
    yield "bearing", "new bearing", words, replace(strut, barrel=seat)
    off = middle + own.outside_lower_mm
    words = say("a bearing with its shell made to the bore, {size} outside", size=fine_mm(round(off, 3)))
    made = replace(own, outside_upper_mm=off - own.outside_mm, outside_lower_mm=off - own.outside_mm)
    yield "bearing", "shell made to the bore", words, _with_bearing(replace(strut, barrel=seat), made)
    clean = high + 2.0 * limits["repair_clean_up"].value + 2.0 * shift
    # What is bored off one side more than off the other is counted as gone all round.
    lost = 2.0 * shift
    outsides = sorted({b.outside_mm for b in tables.bearing_examples() if b.outside_mm >= clean - 1e-9})
    for outside in outsides[:_MOST_SIZES]:
        words = say("line-bore to the next outside diameter, {size}, on the shaft's line", size=fine_mm(outside))
        yield "bearing", "next outside diameter", words, _bored(strut, replace(own, outside_mm=outside), lost)
    sleeve = max(clean, own.outside_mm + 2.0 * limits["repair_sleeve_wall"].value)
    template = "line-bore to {size} on the shaft's line, press in and lock a sleeve, bore it for the bearing drawn"
    thick = replace(own, outside_mm=sleeve, shell_mm=own.shell_mm + (sleeve - own.outside_mm) / 2.0)
    yield "bearing", "sleeve", say(template, size=fine_mm(round(sleeve, 2))), _bored(strut, thick, lost)


def _with_bearing(strut: Strut, bearing: Bearing) -> Strut:
    return replace(strut, bearings=(bearing, *strut.bearings[1:]))


def _bored(strut: Strut, bearing: Bearing, lost_mm: float) -> Strut:
    barrel = strut.barrel
    made = replace(barrel, bore_mm=bearing.outside_mm, outside_mm=barrel.outside_mm - lost_mm)
    return _with_bearing(replace(strut, barrel=made), bearing)


# --- bolts, bends, cracks ---------------------------------------------------------------------------------------------


def _bolts(strut: Strut, said: Repair, limits: Limits) -> Iterator[Option]:
    """All bolts as thin as the thinnest, on the area that is left; and new ones."""
    if not said.bolts:
        return
    bolt, inputs = strut.palms[0].bolt, Inputs.from_strut(strut, limits=limits)
    worst = min(said.bolts, key=lambda b: _left_mm2(b, bolt.major_mm, inputs.bolt_stress_mm2))
    area = _left_mm2(worst, bolt.major_mm, inputs.bolt_stress_mm2)
    drawn, left = (
        {f.code: f for f in bolts.findings(strut, own, bolts.numbers(own))}
        for own in (inputs, replace(inputs, bolt_mm=np.minimum(inputs.bolt_mm, worst.least), bolt_stress_mm2=area))
    )
    words = say("keep the bolts, each counted as {name}, {size}", name=worst.name, size=mm(worst.least))
    yield _option("bolts", "keep the bolts", words, _worse(drawn, left))
    template = "renew all bolts of a palm together, {size} of {metal}"
    words = say(template, size=bolt.size, metal=bolt.material)
    yield Option(of="bolts", name="renew the bolts", words=words, verdict="go")


def _left_mm2(wasted: WastedBolt, major_mm: float, stress_mm2: Num) -> float:
    """The area that is left of a wasted bolt: of a thread the core has lost as much as its crests have."""
    whole = math.sqrt(4.0 * float(stress_mm2) / math.pi)
    least = float(wasted.least)
    core = least if wasted.place == "shank" else whole - max(major_mm - least, 0.0)
    left = min(max(core, 0.0), whole)
    return math.pi / 4.0 * left * left


def _bends(strut: Strut, said: Repair, limits: Limits) -> Iterator[Option]:
    """Straightened cold within the strain that its metal takes; a cast part never."""
    family = metal(strut.material).family
    for bend in said.bends:
        deep = _bent_over_mm(strut, bend)
        of, which = bend.part, bend.name or bend.part
        if strut.construction == "cast":
            words = say("{which}: a cast part is not straightened cold; make new", which=which)
            yield Option(of=of, name="straighten", words=words, verdict="no go")
            continue
        strain = float(flattening.set_strain(bend.set, deep, bend.over))
        rule = COLD.get(family)
        if rule is None:
            words = say("{which}: {metal} takes little or no cold bending; make new", which=which, metal=strut.material)
            yield Option(of=of, name="straighten", words=words, verdict="no go")
            continue
        most = limits[rule].value
        words = say(
            "{which}: straighten {bent} over {span}, surface strain {strain} of at most {most}; dye-check after",
            which=which,
            bent=mm(bend.set),
            span=mm(bend.over),
            strain=f"{100 * strain:.2g} %",
            most=f"{100 * most:g} %",
        )
        yield Option(of=of, name="straighten", words=words, verdict="go" if strain <= most else "no go")


def _bent_over_mm(strut: Strut, bend: Bend) -> float:
    """How deep what is bent is, the way it is bent; an arm of which that is not said over its chord."""
    if bend.part == "palm":
        return max(p.thickness_mm for p in strut.palms)
    if bend.way == "sideways":
        return max(max(a.thickness_barrel_mm, a.thickness_palm_mm) for a in strut.arms)
    return max(max(a.chord_barrel_mm, a.chord_palm_mm) for a in strut.arms)


def _cracks(strut: Strut, said: Repair) -> Iterator[Option]:
    for crack in said.cracks:
        long = "" if crack.length is None else say(", {size} long", size=mm(crack.length))
        words = say("{where}{long}: not to be run; find its depth and its cause, ask a surveyor or licensed engineer",
                    where=crack.where, long=long)  # fmt: skip
        yield Option(of="crack", name="keep", words=words, verdict="no go")
        weld = "gouge out, weld by a qualified procedure, test again; then bore, straighten and measure the whole part"
        verdict: Verdict = "no go" if strut.construction == "cast" else "doubtful"
        yield Option(of="crack", name="weld", words=weld, verdict=verdict)


# --- words ------------------------------------------------------------------------------------------------------------


def shift_words(found: Repaired) -> Iterator[Words]:
    """How far the bore's centre lies off the shaft's line, and what boring there or here means.

    >>> at = Repaired(wear=None, shift_mm=0.2, shift_clock_deg=180.0, options=(), cracked=False)
    >>> str(next(shift_words(at))).split(";")[0]
    "the bore's centre lies 0.2 mm off the shaft's line, at clock 180 deg"
    """
    if found.shift_mm > 0:
        yield say(
            "the bore's centre lies {off} off the shaft's line, at clock {clock}; bored on its own centre the shaft "
            "stays so much out of line, bored on the shaft's line the wall is so much thinner there",
            off=mm(round(found.shift_mm, 2)),
            clock=deg(round(found.shift_clock_deg)),
        )


def worse_words(option: Option) -> Iterator[Words]:
    """What the checks find worse of a way, the first few.

    >>> list(worse_words(Option(of="strut", name="make new", words="", verdict="go")))
    []
    """
    for finding in sorted(option.worse, key=_rank, reverse=True)[:_MOST_WORSE]:
        yield say("{code}: {what}", code=finding.code, what=finding.what)
