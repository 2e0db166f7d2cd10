"""A worn, bent, cracked or wasted strut: what can be done, each way held to the checks of a strut.

A way is put into the strut, and the checks are run on it as on any other. What fails then and did not before is no go,
what warns then is doubtful. Nothing is judged better than it was drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from strutwright.models.bench.fitting import ORDER, Verdict
from strutwright.models.bench.record_back import findings_of_part, worse_than
from strutwright.models.bench.repair_bolts import larger_bolts, left_mm2, on_what_is_left, with_bolts, words_of
from strutwright.models.bench.straightening import COLD
from strutwright.models.finding import LEVELS, Finding
from strutwright.models.finding import Verdict as Level
from strutwright.models.formulas import bearing as bearings
from strutwright.models.formulas.press_bending import set_strain
from strutwright.models.geometry.barrel import seat_step
from strutwright.models.inputs import Inputs
from strutwright.models.metals import metal
from strutwright.models.resolve import Resolved
from strutwright.models.rules import wear_limit_mm
from strutwright.models.spec import Barrel, Bearing, BoreStep, Strut
from strutwright.params import tables
from strutwright.params.bench.fitting import Across
from strutwright.params.bench.repair import AsItRuns, Bend, Repair, Room
from strutwright.params.limits import Limits
from strutwright.params.words import Words, deg, fine_mm, mm, say

_MOST_SIZES = 2
_MOST_WORSE = 4
_LEFT = 0.1
"""Share of a bolt's area with less than which nothing of it is counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worn:
    """A bearing: where it stands, the wear limit and the others it was chosen from. All clearances, mm on the diameter.

    called: which one. others: by what they are called. measured_mm: None where it was not measured; flute_mm: least
    depth of a flute that is left, likewise, and flute_least_mm, half of it when new. shift_mm, shift_clock_deg: of the
    bore's centre off the shaft's line.
    """

    called: str
    limit_mm: float
    others: tuple[tuple[str, float], ...]
    measured_mm: float | None
    new_mm: float
    flute_mm: float | None
    flute_least_mm: float
    shift_mm: float = 0.0
    shift_clock_deg: float = 0.0

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
    """What can be done. bearings: from aft."""

    bearings: tuple[Worn, ...]
    options: tuple[Option, ...]
    cracked: bool

    @property
    def worn_out(self) -> bool:
        """Whether a bearing is worn out, or may be."""
        return any(b.verdict != "go" for b in self.bearings)


def room_of(strut: Strut) -> Room:
    """Return what readings of a strut lie within.

    >>> room_of(shipped("harbour-launch")).bolt_mm
    12.0
    """
    barrel = strut.barrel
    return Room(
        bearings=len(strut.bearings),
        barrel_mm=barrel.length_mm,
        outside_mm=barrel.outside_mm,
        shaft_mm=strut.shaft.diameter_mm,
        bolt_mm=max(p.bolt.major_mm for p in strut.palms),
    )


def repair(found: Resolved, said: Repair, limits: Limits) -> Repaired:
    """Return what can be done with a strut as measured.

    >>> from strutwright.params.bench.repair import AsItRuns
    >>> worn = repair(resolved("harbour-launch"), Repair(bearings=[AsItRuns(clearance=1.2)]), standard()).bearings[0]
    >>> worn.verdict, worn.limit_mm
    ('no go', 0.79)
    """
    before = findings_of_part(found, found.strut, limits)

    def held(of: str, name: str, words: Words, made: Strut) -> Option:
        return _option(of, name, words, before, findings_of_part(found, made, limits))

    seats = list(_seats(found.strut, said))
    ways = [held(*way) for seat in seats for way in _of_bore(seat, limits)]
    for way in _bolts(found, said, limits):
        ways.append(way if isinstance(way, Option) else held(*way))
    ways += [*_bends(found.strut, said, limits), *_cracks(found.strut, said)]
    ways.append(
        Option(
            of="strut",
            name="make new",
            words="make new: take the old strut's or the hull's figures with the command survey, into a set",
            verdict="go",
        )
    )
    return Repaired(
        bearings=tuple(_wear(seat, limits) for seat in seats),
        options=tuple(sorted(ways, key=lambda o: (o.of == "strut", o.of, ORDER.index(o.verdict)))),
        cracked=bool(said.cracks),
    )


def _option(of: str, name: str, words: Words, before: Sequence[Finding], after: Sequence[Finding]) -> Option:
    worse = tuple(finding for _, finding in worse_than(before, after))
    verdict: Verdict = "doubtful" if any(_rank(f) for f in worse) else "go"
    if any(f.verdict is Level.FAIL for f in worse):
        verdict = "no go"
    return Option(of=of, name=name, words=words, verdict=verdict, worse=worse)


def _rank(finding: Finding) -> int:
    return LEVELS.get(finding.verdict, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seat:
    """A bearing by its number from 0, what was measured of it, and the bore in its way. strut: with the shaft there."""

    strut: Strut
    index: int
    called: str
    runs: AsItRuns
    bore: tuple[Across, ...]
    drawn_shaft_mm: float

    @property
    def bearing(self) -> Bearing:
        return self.strut.bearings[self.index]

    @property
    def shift_mm(self) -> float:
        return math.hypot(self.runs.up, self.runs.port)

    def with_bearing(self, bearing: Bearing, barrel: Barrel) -> Strut:
        """The strut with another bearing in another barrel."""
        others = self.strut.bearings
        made = tuple(bearing if k == self.index else b for k, b in enumerate(others))
        return replace(self.strut, bearings=made, barrel=barrel)

    def with_limits(self, low_mm: float, high_mm: float) -> Barrel:
        """The barrel with its bore as it is in way of the bearing."""
        barrel, step = self.strut.barrel, seat_step(self.strut.barrel, self.bearing)
        if step is None:
            return replace(barrel, bore_lower_mm=low_mm - barrel.bore_mm, bore_upper_mm=high_mm - barrel.bore_mm)
        limits = low_mm - step.diameter_mm, high_mm - step.diameter_mm
        return replace(barrel, steps=tuple(replace(s, limits_mm=limits) if s is step else s for s in barrel.steps))

    def bored(self, bearing: Bearing) -> Strut:
        """The strut bored on for a bearing. What is bored off one side more than off the other is counted as gone all
        round; a bearing beside another in one bore gets a counterbore from its own end."""
        barrel, step = self.strut.barrel, seat_step(self.strut.barrel, self.bearing)
        barrel = replace(barrel, outside_mm=barrel.outside_mm - 2.0 * self.shift_mm)
        wide = bearing.outside_mm
        if step is not None:
            steps = tuple(replace(s, diameter_mm=wide, limits_mm=None) if s is step else s for s in barrel.steps)
            return self.with_bearing(bearing, replace(barrel, steps=steps))
        if len(self.strut.bearings) == 1:
            return self.with_bearing(bearing, replace(barrel, bore_mm=wide))
        aft, forward = self.strut.bearings
        middle = (aft.forward_station_mm + forward.aft_station_mm) / 2.0
        at = (0.0, middle) if self.index == 0 else (middle, barrel.length_mm)
        own = BoreStep(kind="counterbore", from_station_mm=at[0], to_station_mm=at[1], diameter_mm=wide)
        return self.with_bearing(bearing, replace(barrel, steps=(*barrel.steps, own)))


def _seats(strut: Strut, said: Repair) -> Iterator[_Seat]:
    """Each bearing with what was measured of it; a reading of the bore is of the nearest bearing."""

    def off(bearing: Bearing, at_mm: float) -> float:
        return max(bearing.aft_station_mm - at_mm, at_mm - bearing.forward_station_mm, 0.0)

    rows: dict[int, list[Across]] = {}
    for row in said.bore:
        nearest = min(range(len(strut.bearings)), key=lambda k: off(strut.bearings[k], row.at))
        rows.setdefault(nearest, []).append(row)
    for k in range(len(strut.bearings)):
        runs = next((b for b in said.bearings if b.which == k + 1), AsItRuns(which=k + 1))
        shaft = strut.shaft if runs.shaft is None else replace(strut.shaft, diameter_mm=runs.shaft)
        called = "bearing" if len(strut.bearings) == 1 else ("aft bearing", "forward bearing")[k]
        own, d = replace(strut, shaft=shaft), strut.shaft.diameter_mm
        yield _Seat(strut=own, index=k, called=called, runs=runs, bore=tuple(rows.get(k, ())), drawn_shaft_mm=d)


_RELAYED = (
    ("2.5 % of the shaft, pleasure craft, as relayed", 0.025),
    ("6 % of the shaft, small craft, as relayed", 0.06),
)


def _wear(seat: _Seat, limits: Limits) -> Worn:
    runs, d = seat.runs, seat.drawn_shaft_mm
    new = seat.bearing.inside_mm - d
    by_size = ("small", "medium", "large")[int(bearings.wear_class(d))]
    share, half_flutes = limits["worn_small_craft"].value, new + seat.bearing.flute_depth_mm / 2.0
    others = (
        ("new and wear by size of shaft, from memory", new + limits[f"worn_{by_size}"].value),
        ("new and half the flutes, 46 CFR 61.20-23, from memory", half_flutes),
        *((name, of_shaft * d) for name, of_shaft in _RELAYED),
        (f"{share:g} % of the shaft, small craft: plan it", share / 100.0 * d),
    )
    return Worn(
        called=seat.called,
        limit_mm=float(wear_limit_mm(d, limits["wear_limit"].value, half_flutes)),
        others=others,
        measured_mm=runs.clearance,
        new_mm=new,
        flute_mm=runs.flute_depth,
        flute_least_mm=seat.bearing.flute_depth_mm / 2.0,
        shift_mm=seat.shift_mm,
        shift_clock_deg=math.degrees(math.atan2(runs.port, runs.up)) % 360.0 if seat.shift_mm else 0.0,
    )


# --- the bore ---------------------------------------------------------------------------------------------------------

_Way = tuple[str, str, Words, Strut]


def _of_bore(seat: _Seat, limits: Limits) -> Iterator[_Way]:
    """New bearing in the bore as it is, next outside diameters, a sleeve; bored true on the shaft's line."""
    own, of = seat.bearing, seat.called
    sizes = [v for row in seat.bore for v in row.read_mm]
    if not sizes:
        if seat.runs.clearance is not None:
            yield of, "new bearing", "a new bearing of the size drawn; measure the bore when it is out", seat.strut
        return
    low, high = min(sizes), max(sizes)
    barrel = seat.with_limits(low, high)
    words = say("a new bearing of the size drawn in the bore of {low} to {high}", low=fine_mm(low), high=fine_mm(high))
    yield of, "new bearing", words, seat.with_bearing(own, barrel)
    off = sum(sizes) / len(sizes) + own.outside_lower_mm
    words = say("a bearing with its shell made to the bore, {size} outside", size=fine_mm(round(off, 3)))
    made = replace(own, outside_upper_mm=off - own.outside_mm, outside_lower_mm=off - own.outside_mm)
    yield of, "shell made to the bore", words, seat.with_bearing(made, barrel)
    clean = high + 2.0 * limits["repair_clean_up"].value + 2.0 * seat.shift_mm
    system = "inch" if seat.strut.file_units == "in" else "metric"
    usual = {b.outside_mm for b in tables.bearing_examples() if b.system == system}
    outsides = sorted(outside for outside in usual if outside >= clean - 1e-9)
    for outside in outsides[:_MOST_SIZES]:
        template = (
            "line-bore to the next outside diameter, {size}, on the shaft's line; "
            "ask first whether such a bearing comes for a shaft of {shaft}"
        )
        words = say(template, size=fine_mm(outside), shaft=fine_mm(seat.strut.shaft.diameter_mm))
        yield of, "next outside diameter", words, seat.bored(replace(own, outside_mm=outside))
    sleeve = max(clean, own.outside_mm + 2.0 * limits["repair_sleeve_wall"].value)
    template = "line-bore to {size} on the shaft's line, press in and lock a sleeve, bore it for the bearing drawn"
    thick = replace(own, outside_mm=sleeve, shell_mm=own.shell_mm + (sleeve - own.outside_mm) / 2.0)
    yield of, "sleeve", say(template, size=fine_mm(round(sleeve, 2))), seat.bored(thick)


# --- bolts, bends, cracks ---------------------------------------------------------------------------------------------


def _bolts(found: Resolved, said: Repair, limits: Limits) -> Iterator[Option | _Way]:
    """All bolts as thin as the thinnest, on the area that is left; new ones; the next sizes."""
    if not said.bolts:
        return
    bolt, inputs = found.strut.palms[0].bolt, Inputs.from_strut(found.strut, limits=limits)
    worst = min(said.bolts, key=lambda b: left_mm2(b, bolt.major_mm, inputs.bolt_stress_mm2))
    if left_mm2(worst, bolt.major_mm, inputs.bolt_stress_mm2) < _LEFT * float(np.min(inputs.bolt_stress_mm2)):
        words = say(
            "keep the bolts: {name} has {size} left, which holds nothing", name=worst.name, size=mm(worst.least)
        )
        yield Option(of="bolts", name="keep the bolts", words=words, verdict="no go")
    else:
        words = say("keep the bolts, each counted as {name}, {size}", name=worst.name, size=mm(worst.least))
        yield _option("bolts", "keep the bolts", words, *on_what_is_left(found.strut, worst, limits))
    template = "renew all bolts of a palm together, {size} of {metal}"
    words = say(template, size=bolt.size, metal=bolt.material)
    yield Option(of="bolts", name="renew the bolts", words=words, verdict="go")
    for larger in larger_bolts(found):
        if larger.bolt is None:
            yield Option(of="bolts", name="next bolt size", words=words_of(larger), verdict="no go")
        else:
            yield "bolts", "next bolt size", words_of(larger), with_bolts(found.strut, larger.bolt)


def _bends(strut: Strut, said: Repair, limits: Limits) -> Iterator[Option]:
    """Straightened cold within the strain that its metal takes; a cast part never."""
    family = metal(strut.material).family
    for bend in said.bends:
        deep = _bent_over_mm(strut, bend)
        of, which = bend.part, f"{bend.name}: " if bend.name else ""
        if strut.construction == "cast":
            words = say("{which}a cast part is not straightened cold; make new", which=which)
            yield Option(of=of, name="straighten", words=words, verdict="no go")
            continue
        strain = float(set_strain(bend.set, deep, bend.over))
        rule = COLD.get(family)
        if rule is None:
            words = say("{which}{metal} takes little or no cold bending; make new", which=which, metal=strut.material)
            yield Option(of=of, name="straighten", words=words, verdict="no go")
            continue
        most = limits[rule].value
        words = say(
            "{which}straighten {bent} over {span}, surface strain {strain} of at most {most}; dye-check after",
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


def shift_words(worn: Worn) -> Iterator[Words]:
    """How far a bore's centre lies off the shaft's line, and what boring there or here means.

    >>> at = repair(resolved("harbour-launch"), Repair(bearings=[AsItRuns(up=-0.2)]), standard()).bearings[0]
    >>> str(next(shift_words(at))).split(";")[0]
    "the centre of the bearing's bore lies 0.2 mm off the shaft's line, at clock 180 deg"
    """
    if worn.shift_mm > 0:
        yield say(
            "the centre of the {which}'s bore lies {off} off the shaft's line, at clock {clock}; bored on its own "
            "centre the shaft stays so much out of line, bored on the shaft's line the wall is so much thinner there",
            which=worn.called,
            off=mm(round(worn.shift_mm, 2)),
            clock=deg(round(worn.shift_clock_deg)),
        )


def worse_words(option: Option) -> Iterator[Words]:
    """What the checks find worse of a way, the first few.

    >>> list(worse_words(Option(of="strut", name="make new", words="", verdict="go")))
    []
    """
    for finding in sorted(option.worse, key=_rank, reverse=True)[:_MOST_WORSE]:
        yield say("{what} [{code}]", what=finding.what, code=finding.code)
