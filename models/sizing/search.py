"""Sizing: from what the customer knows to the lightest complete set of parameters that passes every check.

The known values are groups and names as in a parameter file. Whatever they leave open is sought: wall and length of
the barrel, section of the arm at both ends, palm, bolts (standard sizes, a grid of them), weld preparation. Sizes are
whole millimetres or sixteenths of an inch, plates of welded struts from stock. The search is the same every time: for
each size and number of bolts candidates spread evenly over their ranges (Kronecker's sequence), then closer and closer
round the best ones, all held to the very numbers of the checks; the winner is loaded as a file and checked whole.
"""

from __future__ import annotations

import copy
import functools
import math
import textwrap
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any

import numpy as np
import yaml

from strutwright.models.checks import geometry_checks, said_hints
from strutwright.models.checks.engineering import NUMBERS, engineering_findings
from strutwright.models.checks.geometry import palm as palm_checks
from strutwright.models.checks.geometry.footprints import directions
from strutwright.models.checks.inputs import SERVICE_SAFETY, Inputs, metal, missing
from strutwright.models.checks.strength import load_cases
from strutwright.models.finding import Finding, Standing, Verdict, ranked
from strutwright.models.formulas import arm_rules
from strutwright.models.formulas import shaft as shaft_rules
from strutwright.models.geometry.casting import casting_of, least_cast_outside_mm, widest_bore_mm
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.shop.bolting import way_in_mm
from strutwright.models.sizing.candidates import Floats, bounds, candidates
from strutwright.models.sizing.judge import Judge, engineering_numbers
from strutwright.params import limits as limit_table
from strutwright.params import schema, tables
from strutwright.params.limits import Limits
from strutwright.params.loader import Loaded, loads
from strutwright.params.problems import ParameterError
from strutwright.params.quantity import INCH_MM, FileUnits, QuantityError, parse
from strutwright.params.quantity import LENGTH as LENGTH_KIND
from strutwright.params.quantity import POWER as POWER_KIND
from strutwright.params.quantity import RATE as RATE_KIND
from strutwright.params.quantity import SPEED as SPEED_KIND
from strutwright.params.words import Amount, read, say

Known = dict[str, Any]
SPREAD = 2048
"""Candidates tried for each size and number of bolts at first."""
CLOSER = (0.20, 0.08, 0.03)
"""How far round the best ones the later rounds look, as a share of each range."""
KEPT = 8
GROSS = 1.5
"""A use beyond which a warning counts for more than weight."""
CANNOT_BE = 1e12
"""The score of what cannot be built."""
KNOWN = "what is known"
"""The name of the text made of what is known, in the places of its faults."""
ALONG = (2, 3, 4, 5, 6)
"""Bolts along a palm that are tried, in two lines."""
MANY_ALONG = (2, 3, 4, 5, 6, 8, 10)
"""The same where the largest bolt there is is small for the shaft."""
_SMALL = ("M4", "M5")
"""For shafts so small that every usual bolt is beyond the limits."""
_METRIC = ("M6", "M8", "M10", "M12", "M16", "M20", "M24", "M30", "M36")
_INCH = ("1/4", "5/16", "3/8", "1/2", "5/8", "3/4", "1", "1-1/4", "1-1/2")
_NOTES = {
    "bearing": "Measure the bearing in hand and give its sizes: the bore is made to it.",
    "barrel": "What was open found by the search.",
    "arms": "Section: what was open found by the search; `at_palm` at the hull.",
    "palm": "What was open found by the search.",
    "bolts": "Standard size; grid about the middle of the palm.",
    "hull": "As measured on the boat.",
    "propeller": "As known; what is missing cannot be checked.",
}
_PLAIN_NEEDS = (
    ("blade tip to hull", ("propeller_mm",)),
    ("barrel to propeller hub", ("hub_gap_mm",)),
    ("distance to the next bearing", ("bearing_span_mm",)),
)
"""Checks of geometry that need what a file may leave out."""


class SizingError(ValueError):
    """What is known is not enough, or makes no strut; the text says what to give."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What cannot be a number between two others: bolt size and kind, bolts along the palm, weld preparation."""

    bolt: str
    along: int
    prep: str = "none"
    kind: str = "countersunk"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A load case or a check that could not be worked out, and the parameters to give for it."""

    what: str
    give: tuple[str, ...]


def _stops(finding: Finding) -> bool:
    """Return whether a proposal does not pass for it; what only wants data is left out and told as such."""
    return finding.fails or (finding.verdict is Verdict.NOT_CHECKED and not finding.missing)


@dataclass(frozen=True, slots=True)
class Proposal:
    """One complete set: its text, how the whole of the checks finds it, weight (kg), the most used check and its use.

    sizes: the values found, path -> mm. left_out: what could not be worked out for want of data. bolts: how many there
    are to a palm.
    """

    text: str
    choice: Choice
    sizes: Mapping[str, float]
    findings: tuple[Finding, ...]
    weight_kg: float
    governing: str
    utilisation: float
    left_out: tuple[LeftOut, ...]
    bolts: int

    def count(self, verdict: Verdict) -> int:
        """Return how many findings have a verdict."""
        return sum(f.verdict is verdict for f in self.findings)

    @property
    def passes(self) -> bool:
        """True when nothing fails and every check ran; load cases that are left out for want of data are not meant."""
        return not any(map(_stops, self.findings))


@dataclass(frozen=True, slots=True)
class Sized:
    """Proposals, best first, how many candidates were tried, and the set's units. When none passes the first is the
    nearest. sought: paths of the sizes that were sought, none when what is known leaves none open."""

    proposals: tuple[Proposal, ...]
    tried: int
    units: FileUnits
    sought: tuple[str, ...]

    @property
    def best(self) -> Proposal:
        """The lightest that passes, or the nearest to passing."""
        return self.proposals[0]

    def blocking(self) -> list[Finding]:
        """Return what keeps the best proposal from passing, worst first."""
        return [f for f in ranked(list(self.best.findings)) if _stops(f)]

    def unavoidable(self) -> list[Finding]:
        """Return the warnings that are left on the best proposal, worst first."""
        return [f for f in ranked(list(self.best.findings)) if f.verdict is Verdict.WARN]


def size(known: Known, limits: Limits | None = None) -> Sized:
    """Return complete sets for what is known, lightest first.

    known: groups and names as in a file, values as written there; design sizes it says are kept. Raises SizingError
    when it is not enough or nothing can be built for it, ParameterError when it is wrong.
    """
    _refuse_faults(known)
    return _Search(with_defaults(known), limit_table.standard() if limits is None else limits).run()


# --- what is known --------------------------------------------------------------------------------------------------


def _refuse_faults(known: Known) -> None:
    """Raise ParameterError for what is wrong with what is known by itself, whatever is still missing."""
    try:
        loads(_yaml(known), KNOWN)
    except ParameterError as error:
        wrong = [p for p in error.problems if p.what != "is missing"]
        if wrong:
            raise ParameterError(wrong) from None


def with_defaults(known: Known) -> Known:
    """Return what is known with the plainest assumption for what a strut cannot do without. Raises SizingError.

    Material by construction (nickel-aluminium bronze cast, 316L welded); the shaft from power and speed, the next
    standard size up; the angle of a vee clear of the blades.
    """
    said: Known = _without_none(known)
    for group in ("identity", "materials", "shaft", "arms", "hull", "bolts", "palm", "duty", "propeller"):
        if not isinstance(said.setdefault(group, {}), dict):
            raise SizingError(f"{group}: is not a group of values")
    said["identity"].setdefault("name", "Sized strut")
    said["identity"].setdefault("hand", "centre")
    said.setdefault("units", "mm")
    said.setdefault("construction", "cast")
    said["materials"].setdefault("strut", "C95800" if said["construction"] == "cast" else "316L")
    said["arms"].setdefault("arrangement", "single")
    hull = said["hull"]
    if not hull.get("drop"):
        raise SizingError("the drop is not known: give the distance from the hull face to the shaft line (--drop)")
    if not hull.get("shaft_angle"):
        raise SizingError(
            "the shaft angle is not known: give it to the waterline or to the hull (--shaft-angle, --shaft-to-hull)"
        )
    angle = hull["shaft_angle"]
    if isinstance(angle, dict) and "to_waterline" in angle and "to_hull" not in angle and "run" not in hull:
        raise SizingError(
            "the run of the bottom is not known, and the palm lies at the shaft's angle to the waterline "
            "plus the run: give it (--run); 0 deg is an answer"
        )
    if "diameter" not in said["shaft"]:
        said["shaft"]["diameter"] = _shaft_by_power(said)
    if said["arms"]["arrangement"] == "vee" and "included_angle" not in said["arms"]:
        said["arms"]["included_angle"] = _vee_angle(said["propeller"].get("blades"))
    if "stance" not in said["arms"] and said["identity"]["hand"] != "centre" and hull.get("deadrise"):
        said["arms"]["stance"] = "square_to_bottom"
    return said


def _without_none(value: Any) -> Any:
    """Return a copy without the names that have nothing behind them."""
    if isinstance(value, dict):
        return {k: _without_none(v) for k, v in value.items() if v is not None}
    return [_without_none(v) for v in value] if isinstance(value, list) else value


def _number(said: Known, group: str, name: str, kind: Any) -> float | None:
    value = said[group].get(name)
    if value is None:
        return None
    try:
        return parse(value, kind, said["units"])
    except QuantityError as error:
        raise SizingError(f"{group}.{name}: {value!r} {error}; allowed: {error.allowed}") from None


def _shaft_by_power(said: Known) -> str:
    power, speed = _number(said, "duty", "power", POWER_KIND), _number(said, "duty", "shaft_speed", RATE_KIND)
    if power is None or speed is None:
        raise SizingError(
            "the shaft is not known: give its diameter (--shaft), or power and shaft speed (--power, --shaft-speed)"
        )
    strut = metal(str(said["materials"]["strut"]))
    name = said["materials"].setdefault("shaft", "S32205" if strut.family == "duplex" else "316L")
    if math.isnan(metal(str(name)).yield_mpa):
        raise SizingError(
            f"the shaft is not known, and {name} has no yield strength in the table of materials to work "
            "it out with: give its diameter (--shaft) or another materials.shaft"
        )
    need = float(
        shaft_rules.diameter_by_power_mm(
            power,
            SERVICE_SAFETY.get(said["duty"].get("service", "pleasure"), 3.0),
            shaft_rules.TORSION_YIELD_OF_TENSILE * metal(str(name)).yield_mpa,
            speed,
        )
    )
    inch = said["units"] == "in"
    rows = [
        (str(r["size"]), tables.nearest_shaft(_row_mm(r, inch), "inch" if inch else "metric").diameter_mm)
        for r in tables.table("shafts_inch" if inch else "shafts_metric").rows
    ]
    for size_, mm in sorted(rows, key=lambda r: r[1]):
        if mm >= need - 1e-9:
            return f"{size_} in" if inch else f"{mm:g} mm"
    raise SizingError(
        read(
            say(
                "power and speed want a shaft of {need}, beyond the standard sizes; give its diameter (--shaft)",
                need=Amount(need, "mm"),
            ),
            said["units"],
        )
    )


def _row_mm(row: Mapping[str, Any], inch: bool) -> float:
    return float(row["diameter"]) * (INCH_MM if inch else 1.0)


def _vee_angle(blades: Any) -> str:
    if isinstance(blades, int) and 2 <= blades <= 9:
        clear = [a for a in arm_rules.clear_v_angles(blades) if 50.0 <= a <= 110.0]
        if clear:
            return f"{min(clear, key=lambda a: abs(a - 70.0)):g} deg"
    return "65 deg"


# --- the search -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class _Best:
    """The best candidates of a choice: its judge, where they lie in their ranges, their sizes and how they stand."""

    choice: Choice
    judge: Judge
    make: _Maker
    score: Floats
    place: Floats
    columns: dict[str, Floats]

    @property
    def least(self) -> float:
        return float(self.score[0])


class _Search:
    def __init__(self, said: Known, limits: Limits) -> None:
        self.said, self.limits = said, limits
        self.inch = said["units"] == "in"
        d = _number(said, "shaft", "diameter", LENGTH_KIND)
        assert d is not None
        self.d = d
        self.tried = 0

    def run(self) -> Sized:
        makers = self.makers()
        if self.bearing_and_screws(makers[0]):
            makers = self.makers()
        found = [self.tried_at(make, _spread(SPREAD, make.dimensions)) for make in makers]
        if all(b.least >= CANNOT_BE for b in found):
            raise SizingError(_why_not_built(found[0], self.limits))
        found.sort(key=lambda b: (b.least, b.choice.bolt, b.choice.along, b.choice.prep != "none"))
        proposals = [p for b in found[:KEPT] for p in self.proposals(self.refined(b))]
        proposals.sort(
            key=lambda p: (
                not p.passes,
                p.count(Verdict.FAIL),
                p.count(Verdict.WARN),
                bool(p.count(Verdict.WARN)) and p.utilisation > GROSS,
                round(p.weight_kg, 6),
                p.choice.prep != "none",
                p.text,
            )
        )
        # Of the same bolts the best one only: the others differ by a millimetre or by a bevel.
        different: dict[tuple[str, int, str], Proposal] = {}
        for p in proposals:
            different.setdefault((p.choice.bolt, p.choice.along, p.choice.kind), p)
        return Sized(tuple(different.values()), self.tried, self.said["units"], tuple(sorted(makers[0].free)))

    def makers(self) -> list[_Maker]:
        """Return a maker for every choice that makes a strut at all. Raises ParameterError when none does."""
        out, faults = [], list[ParameterError]()
        for choice in self.choices():
            try:
                out.append(_Maker(self.said, choice, self.d, self.limits))
            except ParameterError as error:
                faults.append(error)
        if out:
            return out
        if faults:
            raise self.told(faults[0])
        raise SizingError("no bolt of the tables has a head of this kind; give bolts.size, or another bolts.kind")

    def told(self, fault: ParameterError) -> Exception:
        """Return the fault itself, or a sentence where it is not of what was said but of what follows from it."""
        for p in fault.problems:
            if p.path == "barrel.bore_class" and "bore_class" not in (self.said.get("barrel") or {}):
                shaft = Amount(self.d, "mm").read(self.said["units"])
                return SizingError(
                    f"a shaft of {shaft} has a bearing too large for the table of fits, ISO 286-1: "
                    f"{p.allowed.rstrip('.')}. If the bearing in hand is smaller, give its outside diameter "
                    "(--bearing-outside)"
                )
        return fault

    def bearing_and_screws(self, make: _Maker) -> bool:
        """Ask for what the barrel's sizes cannot mend: clearance that pressing leaves, a shell that stands it, screws
        that hold.

        Only where the file leaves the bearing's clearance, the bore or the screws' places open. Returns whether
        anything was asked for.
        """
        asked = False
        numbers = engineering_numbers(make.judge.base, make.resolved, make.judge.base)
        bearing = self.said.get("bearing")
        pressed = numbers.get("clearance_pressed_least")
        if (
            pressed is not None
            and pressed.utilisation > 1.0
            and (bearing is None or (isinstance(bearing, dict) and "running_clearance" not in bearing))
        ):
            lacking = float(pressed.demand - pressed.capacity)
            own = make.strut.bearings[0]
            # A hundredth to spare for a thicker wall.
            wanted = own.inside_mm - self.d + lacking + 0.01
            most = max(self.limits["clearance_most"].value * self.d, self.limits["clearance_most_small"].value)
            if wanted <= most:
                self.said["bearing"] = {**(bearing or make.bearing()), "running_clearance": make.fine_up(wanted)}
                asked = True
        barrel = self.said.get("barrel") or {}
        shell = numbers.get("shell_press_stress")
        if (
            shell is not None
            and shell.utilisation > 1.0
            and barrel.get("fit", "press") == "press"
            and not {"bore", "bore_class", "interference"} & barrel.keys()
        ):
            # The next wider class of bore presses a thin shell less; with a measured bearing no less than grips.
            seat = make.strut.barrel
            least = math.ceil(1000 * (seat.bore_upper_mm - seat.bore_lower_mm) / 2) / 1000
            measured = all(b.measured_mm is not None for b in make.strut.bearings)
            self.said["barrel"] = {
                **barrel,
                **({"interference": make.exact(least)} if measured else {"bore_class": "G7"}),
            }
            asked = True
        screws = self.said.get("set_screws") or {}
        held = numbers.get("bearing_held")
        if held is not None and held.utilisation > 1.0 and "positions" not in screws and len(make.strut.bearings) == 1:
            clock = make.strut.set_screws[0].clock_deg
            away = make.written(round(0.25 * make.strut.bearings[0].length_mm, 1))
            self.said["set_screws"] = {
                **screws,
                "positions": [
                    {"end": end, "distance": away, "clock": f"{side * clock:g} deg"}
                    for side in (1, -1)
                    for end in ("bearing_aft", "bearing_forward")
                ],
            }
            asked = True
        return asked

    def choices(self) -> Iterator[Choice]:
        bolts = self.said["bolts"]
        pattern = bolts.get("pattern") or {}
        low, high = self.limits["bolt_size_least"].value * self.d, self.limits["bolt_size_most"].value * self.d
        kind = bolts.get("kind")
        if "size" in bolts:
            own = str(bolts["size"])
            sizes = [(own, kind or (_kinds(own) or ["countersunk"])[0])]
        else:
            # Countersunk heads end where the larger bolts begin: those are counterbored.
            stock = [
                (s, kind or _kinds(s)[0])
                for s in (_INCH if self.inch else (*_SMALL, *_METRIC))
                if (_kinds(s) if kind is None else kind in _kinds(s))
            ]
            sizes = [s for s in stock if low - 1e-6 <= tables.thread(s[0]).major_mm <= high + 1e-6]
            usual = [s for s in sizes if s[0] not in _SMALL]
            # Beyond the limits on either side the nearest bolt there is; the check of its size says so.
            sizes = usual or sizes or sorted(stock, key=lambda s: _off(tables.thread(s[0]).major_mm, low, high))[:1]
        small = bool(sizes) and all(tables.thread(s).major_mm < low - 1e-6 for s, _ in sizes if "size" not in bolts)
        along = [int(pattern["along"])] if isinstance(pattern.get("along"), int) else MANY_ALONG if small else ALONG
        if pattern.get("kind", "grid") != "grid":
            along = [0]
        if not bolts.get("backing_plate", True):
            along = [n for n in along if not n or 2 * n >= self.limits["bolt_count_unbacked"].value]
        welded = self.said["construction"] == "welded"
        said_prep = (self.said.get("welds") or {}).get("prep")
        preps = ("none",) if not welded else (said_prep,) if said_prep else ("none", "double_bevel")
        for size_, own in sizes:
            for n in along:
                for prep in preps:
                    yield Choice(size_, n, prep, own)

    def refined(self, best: _Best) -> _Best:
        for share in CLOSER if best.make.free else ():
            around = best.place[:4]
            steps = (_spread(SPREAD // len(around), best.make.dimensions) - 0.5) * 2.0 * share
            places = np.concatenate([np.clip(a + steps, 0.0, 1.0) for a in around] + [best.place])
            best = self.tried_at(best.make, places)
        return best

    def tried_at(self, make: _Maker, places: Floats) -> _Best:
        """Judge the candidates at these places (n, dimensions) of the ranges and keep the best ones."""
        columns = make.columns(places)
        judged = make.judge.judge(columns)
        self.tried += len(judged.level)
        over = np.nan_to_num(np.where(judged.level > 0, judged.utilisation, 0.0), nan=1.0, posinf=1e3)
        score = np.where(
            np.isnan(judged.weight_kg),
            CANNOT_BE,
            judged.fails * 1e8
            + judged.warns * 1e6
            + np.where(judged.fails > 0, np.minimum(over, 1e3), np.clip(over - GROSS, 0.0, 90.0)) * 1e4
            + np.nan_to_num(judged.weight_kg, nan=1e5),
        )
        order = np.argsort(score, kind="stable")
        if columns:
            # Different places often round to the same sizes.
            rows = np.stack([columns[p] for p in sorted(columns)], axis=1)[order]
            _, first = np.unique(np.round(rows, 6), axis=0, return_index=True)
            order = order[np.sort(first)][:16]
        return _Best(
            make.choice, make.judge, make, score[order], places[order], {p: v[order] for p, v in columns.items()}
        )

    def proposals(self, best: _Best) -> list[Proposal]:
        """Return the best two sets of a choice, loaded as files and checked whole."""
        out: list[Proposal] = []
        for k in range(min(2, len(best.score))):
            if best.score[k] >= CANNOT_BE:
                continue
            sizes = {p: float(v[k]) for p, v in best.columns.items()}
            out.append(_proposal(best.make, sizes, self.limits))
        return out


def _off(size_mm: float, low_mm: float, high_mm: float) -> float:
    """How far a size is from a range, as a ratio."""
    return max(low_mm / size_mm, size_mm / high_mm)


@functools.cache
def _kinds(size_: str) -> list[str]:
    """Return the kinds of head that the tables know for a bolt size, the flush one first."""
    found = []
    for kind, look_up in (
        ("countersunk", tables.countersunk_head),
        ("counterbored", tables.counterbore_head),
        ("plain", tables.nut_and_washer),
    ):
        try:
            tables.thread(size_)
            tables.clearance_hole_mm(size_, "medium" if size_.startswith("M") else "normal")
            look_up(size_)
        except tables.NotInTable:
            continue
        found.append(kind)
    return found


def _spread(count: int, dimensions: int) -> Floats:
    """Return points (count, dimensions) spread evenly over the unit cube: Kronecker's sequence with the roots of
    x^(n+1) = x + 1 (the golden ratio for one dimension)."""
    root = 2.0
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (dimensions + 1))
    steps = (1.0 / root) ** np.arange(1, dimensions + 1)
    return np.asarray((0.5 + np.outer(np.arange(1, count + 1), steps)) % 1.0)


def _proposal(make: _Maker, sizes: Mapping[str, float], limits: Limits) -> Proposal:
    text = make.text(sizes)
    resolved = resolve(loads(text, "the set proposed"))
    findings = _all_findings(resolved, limits)
    judged = make.judge.judge({p: np.array([v]) for p, v in sizes.items()})
    left_out = _left_out(resolved, findings)
    return Proposal(
        _heading(findings, left_out) + text,
        make.choice,
        dict(sizes),
        findings,
        float(judged.weight_kg[0]),
        judged.code(0),
        float(judged.utilisation[0]),
        left_out,
        len(resolved.strut.palms[0].holes),
    )


def _all_findings(resolved: Resolved, limits: Limits) -> tuple[Finding, ...]:
    return (
        *geometry_checks(resolved.strut, limits),
        *said_hints(resolved, limits),
        *engineering_findings(resolved.strut, resolved.said.loads),
    )


def _left_out(resolved: Resolved, findings: tuple[Finding, ...]) -> tuple[LeftOut, ...]:
    """Return the load cases, then the checks, that cannot be worked out because the file does not say what they need.

    Checks that are information or a hint in any case are not told, nor again those of a case left out.
    """
    inputs = Inputs.from_strut(resolved.strut, resolved.said.loads)
    cases = load_cases.cases(inputs)
    out = [LeftOut(f"load case `{c.name}`", give) for c in cases if (give := tuple(missing(inputs, c.needs)))]
    named: list[tuple[str, tuple[str, ...]]] = list(_PLAIN_NEEDS)
    named += [
        (n.code, n.needs)
        for n in NUMBERS.values()
        if n.standing is not Standing.LOW
        and n.limit_is != "information"
        and "dimple_mm" not in n.needs
        and not n.code.endswith(tuple(f"_{c.key}" for c in cases))
        and any(f.code == n.code for f in findings)
    ]
    checks: dict[tuple[str, ...], list[str]] = {}
    for words, needs in named:
        checks.setdefault(tuple(missing(inputs, needs)), []).append(words)
    out += [LeftOut(f"check of {', '.join(words)}", give) for give, words in checks.items() if give]
    return tuple(out)


def _heading(findings: tuple[Finding, ...], left_out: tuple[LeftOut, ...]) -> str:
    """Return the comment at the head of a set: how it stands, and what could not be worked out."""
    broken = [
        sorted({f.code for f in findings if _stops(f)}),
        sorted({f.code for f in findings if f.verdict is Verdict.WARN}),
    ]
    every = "every check that could be worked out" if left_out else "every check"
    if broken[0]:
        stands = f"the nearest found; it does NOT pass: {', '.join(broken[0])}"
    elif broken[1]:
        stands = f"no failure, but warnings that none was found without: {', '.join(broken[1])}"
    else:
        stands = f"lightest found that passes {every}"
    lines = textwrap.wrap(f"Proposed by `strutwright size`: {stands}. Guidance, not approval.", 108)
    if left_out:
        lines.append("Left out, because what they need is not known; give it and size again:")
        lines += [
            line
            for one in left_out
            for line in textwrap.wrap(
                f"{one.what}: give {', '.join(one.give)}", 108, initial_indent="  ", subsequent_indent="    "
            )
        ]
    return "".join(f"# {line}\n" for line in lines)


def _why_not_built(best: _Best, limits: Limits) -> str:
    """Return in one sentence why no candidate can be built: the fault of one as a file, else the worst failure of the
    set that was started from."""
    make = best.make
    try:
        resolve(loads(make.text({p: float(v[0]) for p, v in best.columns.items()})))
    except ParameterError as error:
        fault = error.problems[0]
        return (
            f"no candidate can be built; of the first one {fault.path} {fault.what}"
            + (f": {fault.given}" if fault.given else "")
            + (f" (allowed: {fault.allowed})" if fault.allowed else "")
        )
    worst = next((f for f in ranked(list(_all_findings(make.resolved, limits))) if f.fails), None)
    if worst is None:
        return (
            "no candidate can be built: the barrel and the palm leave no arm between them; give a greater drop (--drop)"
        )
    units = make.resolved.said.units
    measure = worst.measure(units)
    text = f"no candidate can be built; {worst.code} stands in the way: {worst.about(units)}" + (
        f": {measure}" if measure else ""
    )
    return f"{text}; {read(worst.advice, units)}".rstrip("; ")


# --- one choice: from places in ranges to sizes ---------------------------------------------------------------------


class _Maker:
    """Makes the sizes of candidates of one choice from places in the unit cube, and the text of one of them."""

    def __init__(self, said: Known, choice: Choice, d: float, limits: Limits) -> None:
        self.said, self.choice, self.d, self.limits = said, choice, d, limits
        self.inch, self.welded = said["units"] == "in", said["construction"] == "welded"
        self.step = INCH_MM / 16 if self.inch else 1.0
        trial = self.data(self.trial())
        self.loaded: Loaded = loads(_yaml(trial), KNOWN)
        self.resolved: Resolved = resolve(self.loaded)
        self.strut = self.resolved.strut
        self.judge = Judge.of(self.loaded, self.resolved, limits)
        self.dimensions = 11
        self.free = self.sought()
        self.lean, self.turn, self.slope, self.stretch, self.apart = self.stance()

    def sought(self) -> frozenset[str]:
        """Return the paths of the sizes that are sought: left open, and of a kind that can be followed as arrays.

        Raises SizingError where bolts along the edge leave the palm's size open.
        """
        strut, said = self.strut, self.resolved.said
        paths = {"arms.section.chord", "arms.section.thickness", "palm.thickness"}
        paths |= (
            {"welds.arm_to_palm_leg", "welds.arm_to_barrel_leg"}
            if self.welded
            else {"arms.section.chord_at_palm", "arms.section.thickness_at_palm"}
        )
        if not strut.barrel.steps and strut.barrel.slots is None and strut.skeg is None and len(strut.bearings) == 1:
            paths.add("barrel.length")
            if self.fixed("barrel.outside_diameter") is None:
                paths.add("barrel.wall")
        pattern = said.bolts.pattern
        if pattern.kind == "grid":
            paths |= {f"bolts.pattern.pitch_{way}" for way in ("along", "across") if getattr(pattern, way) != 1}
        outline = self.outline_sizes()
        if pattern.kind == "edge":
            lacking = [p for p in outline if self.fixed(p) is None and not p.endswith("radius")]
            if lacking:
                raise SizingError(
                    f"{' and '.join(lacking)}: not sought with bolts along the edge; give "
                    f"{'it' if len(lacking) == 1 else 'them'}, or let bolts.pattern.kind be grid"
                )
        else:
            paths |= set(outline)
        if pattern.kind != "points":
            paths.add("palm.offset.port")
        return frozenset(p for p in paths if self.fixed(p) is None)

    def outline_sizes(self) -> tuple[str, ...]:
        """Return the paths of the palm's sizes that can be sought; an outline of another shape has to be given."""
        shape = (self.said["palm"].get("outline") or {}).get("shape", "rectangle")
        names = {"rectangle": ("length", "width", "corner_radius"), "round_ended": ("length", "width")}
        return tuple(f"palm.outline.{name}" for name in names.get(shape, ()))

    def stance(self) -> tuple[float, float, float, float, float]:
        """How an arm stands on its palm: lean athwart (tangent, signed), turn of its foot, lean along, stretch; and how
        far the feet of two arms on one palm stand from its middle (mm)."""
        made = candidates(self.loaded, self.resolved, {})
        worst = (0.0, 0.0, 0.0, 1.0)
        apart = 0.0
        for k, arm in enumerate(made.inputs.arms):
            w = directions(made, k)
            if len(self.strut.palms) == 1:
                palm = made.inputs.palms[0]
                foot = np.array([arm.x_mm, 0.0, 0.0]) + arm.end_mm * w.n - np.array(palm.zero_mm)
                apart = max(apart, abs(float(foot @ w.palm_v)))
            nn = float(w.n @ w.palm_n)
            lean, slope = float(w.n @ w.palm_v) / nn, float(w.n @ w.palm_u) / nn
            if self.strut.arms[k].palm_index == 1:
                lean = -lean  # its palm is the mirror image
            chord = w.u - float(w.u @ w.palm_n) / nn * w.n
            turn = abs(math.atan2(float(chord @ w.palm_v), float(chord @ w.palm_u)))
            stretch = float(chord @ w.palm_u)
            if abs(lean) >= abs(worst[0]):
                worst = (lean, max(turn, worst[1]), slope, max(stretch, worst[3]))
        return *worst, apart

    # --- ranges -----------------------------------------------------------------------------------------------------

    def fixed(self, path: str) -> float | None:
        """Return a length (mm) that what is known says, or None."""
        at: Any = self.said
        for part in path.split("."):
            at = at.get(part) if isinstance(at, dict) else None
        if at is None:
            return None
        try:
            return parse(at, LENGTH_KIND, self.said["units"])
        except QuantityError as error:
            raise SizingError(f"{path}: {at!r} {error}; allowed: {error.allowed}") from None

    def up(self, value: Any) -> Any:
        return np.ceil(np.asarray(value, dtype=float) / self.step - 1e-6) * self.step

    def near(self, value: Any) -> Any:
        return np.maximum(np.round(np.asarray(value, dtype=float) / self.step), 1.0) * self.step

    def plates(self) -> Floats:
        system = "inch" if self.inch else "metric"
        return np.array([float(r["thickness"]) for r in tables.table("plate").rows if r["system"] == system])

    def stock(self, wanted: Any) -> Any:
        """Return the next stock plate, or the size itself rounded up where stock ends."""
        plates = self.plates()
        at = np.searchsorted(plates, np.asarray(wanted) - 1e-9)
        return np.where(at < len(plates), plates[np.minimum(at, len(plates) - 1)], self.up(wanted))

    def trial(self) -> dict[str, float]:
        """Return sizes that make a strut to start from, with those that are known."""
        vee = self.said["arms"].get("arrangement") == "vee"
        try:
            major = tables.thread(self.choice.bolt).major_mm
        except tables.NotInTable:
            major = 0.3 * self.d  # a bolt that is not in the tables is told when the trial is resolved
        sizes: dict[str, float] = {}

        def take(path: str, otherwise: float) -> float:
            said = self.fixed(path)
            if said is not None:
                return said
            low, high = bounds(path)
            sizes[path] = float(self.near(otherwise))
            if not low <= sizes[path] <= high:
                sizes[path] = float(np.floor(min(max(otherwise, low), high) / self.step) * self.step)
            return sizes[path]

        known = [t for p in ("thickness", "thickness_at_palm") if (t := self.fixed(f"arms.section.{p}")) is not None]
        least_chord = 2.2 * max(known, default=0.0)
        chords = [take("arms.section.chord", max(2.3 * self.d if vee else 3.0 * self.d, least_chord))]
        thick = take("arms.section.thickness", min(0.45 * self.d, 0.45 * chords[0]))
        if not self.welded:
            chords.append(take("arms.section.chord_at_palm", max(chords[0], least_chord)))
            take("arms.section.thickness_at_palm", min(thick, 0.45 * chords[1]))
        take("palm.thickness", max(0.5 * self.d, 1.2 * major))
        outline = self.outline_sizes()
        if outline:
            radius = self.fixed("palm.outline.corner_radius") or 0.0
            width = take("palm.outline.width", max(3.0 * self.d, 9 * major, 2.2 * radius))
            length = take("palm.outline.length", max(8 * major * max(self.choice.along, 2), 4.0 * self.d, 1.1 * width))
            if outline[-1].endswith("radius"):
                take(outline[-1], min(major, 0.4 * width, 0.4 * length))
        if self.choice.along:
            take("bolts.pattern.pitch_along", 4 * major)
            take("bolts.pattern.pitch_across", max(2.0 * self.d, 5 * major))
        return sizes

    def columns(self, places: Floats) -> dict[str, Floats]:
        """Return sizes (mm) of candidates at places (n, dimensions) in the unit cube, path -> (n,)."""
        u = [places[:, k] for k in range(places.shape[1])]
        d, strut, bolt = self.d, self.strut, self.strut.palms[0].bolt
        out: dict[str, Floats] = {}

        def take(path: str, found: Callable[[], Any]) -> Any:
            said = self.fixed(path)
            value = np.full(len(places), said) if said is not None else np.broadcast_to(found(), (len(places),)) + 0.0
            if path in self.free:
                out[path] = value
            return value

        length: Any = strut.barrel.length_mm
        wall: Any = np.full(len(places), strut.barrel.wall_mm)
        if "barrel.wall" in self.free:
            screw = max((s.major_mm for s in strut.set_screws), default=0.0)
            least = max(self.limits["barrel_wall"].value * d, self.limits["screw_thread"].value * screw)
            if strut.construction == "cast":
                bore = float(widest_bore_mm(strut.barrel))
                least = max(
                    least,
                    (
                        least_cast_outside_mm(bore, self.limits["barrel_wall_hard"].value * d, casting_of(strut))
                        - strut.barrel.bore_mm
                    )
                    / 2,
                )
            wall = take("barrel.wall", lambda: self.up(least * (1.0 + 0.35 * u[0] ** 3)))
        if "barrel.length" in self.free:
            length = take("barrel.length", lambda: self.up(strut.bearings[0].length_mm + 8.0 * u[1] ** 3))
        fairings = strut.barrel.aft_end.length_mm + strut.barrel.forward_end.length_mm
        room = np.maximum(length - fairings - 4.0, 1.3 * d)
        chord = take("arms.section.chord", lambda: self.near(1.1 * d + (np.minimum(4.5 * d, room) - 1.1 * d) * u[2]))
        ratio = 0.121 + (0.449 - 0.121) * u[3]
        if self.welded:
            thick = take("arms.section.thickness", lambda: self.stock(chord * ratio))
            chord_palm, thick_palm = chord, thick
        else:
            thick = take("arms.section.thickness", lambda: self.near(chord * ratio))
            chord_palm = take("arms.section.chord_at_palm", lambda: self.near(chord * (0.9 + 0.6 * u[4])))
            thick_palm = take("arms.section.thickness_at_palm", lambda: self.up(thick * (1.0 + 0.6 * u[5] ** 2)))
        sunk = bolt.head_depth_mm
        least_palm = max(
            self.limits["palm_thickness"].value * d,
            sunk / self.limits["countersink_share"].value,
            sunk + self.limits["countersink_land"].value,
        )
        snap = self.stock if self.welded else self.up
        palm = take("palm.thickness", lambda: snap(least_palm * (1.0 + 1.6 * u[6] ** 2)))
        self.palm(out, take, u, wall, chord_palm, np.minimum(thick, thick_palm), thick_palm, palm)
        return out

    def palm(
        self,
        out: dict[str, Floats],
        take: Callable[[str, Callable[[], Any]], Any],
        u: list[Floats],
        wall: Any,
        chord: Any,
        least_thick: Any,
        thick: Any,
        palm: Any,
    ) -> None:
        """Palm outline and bolts: as near round the arm's foot as the limits let them, and wider from there."""
        bolt = self.strut.palms[0].bolt
        rim = bolt.rim_mm
        lim, lean, slope = self.limits, self.lean, self.slope
        if self.welded:
            share = 0.7 if self.choice.prep == "none" else 0.35
            root = self.fixed("welds.arm_to_palm_leg")
            if root is None:
                leg = np.maximum(np.maximum(8.0 * (np.maximum(thick, palm) > 20), 6.0), share * np.minimum(thick, palm))
                root = take("welds.arm_to_palm_leg", lambda: self.legs(leg * (1.0 + 0.6 * u[10] ** 2)))
                base = np.maximum(
                    np.maximum(8.0 * (np.maximum(thick, wall) > 20), 6.0), share * np.minimum(thick, wall)
                )
                take("welds.arm_to_barrel_leg", lambda: self.legs(base * (1.0 + 0.6 * u[10] ** 2)))
            low_root = high_root = root
            along_root = root
        else:
            said = self.fixed("arms.root_fillet.palm")
            root = said if said is not None else np.maximum(6.0, 0.4 * np.minimum(least_thick, palm)) + 0.5
            tilt = math.sqrt(1 + lean * lean)
            low_root, high_root = root * (tilt + abs(lean)), root * (tilt - abs(lean))
            along_root = root * (math.sqrt(1 + slope * slope) + abs(slope))
        half = thick / 2 * math.sqrt(1 + lean * lean) + chord / 2 * math.tan(self.turn)
        tool, reach = bolt.driver_diameter_mm / 2, lim["driver_height"].value
        beside = max(rim / 2 + lim["rim_to_root"].value, tool + lim["driver_to_arm"].value) + 0.3
        low = np.maximum(half + low_root + beside, half + reach * abs(lean) + tool + lim["driver_to_arm"].value + 0.3)
        if self.strut.hull.thickness_mm is not None and bolt.kind != "plain":
            way = way_in_mm(self.strut, self.strut.palms[0], palm)
            low = np.maximum(
                low, half + way * abs(lean) + rim / 2 * math.sqrt(1 + lean * lean) + lim["driver_to_arm"].value + 0.3
            )
        high = half + high_root + beside
        if len(self.strut.palms) < len(self.strut.arms):
            low = high = np.maximum(low, high) + self.apart
        holes, pattern = self.strut.palms[0].holes, self.resolved.said.bolts.pattern
        gaps = [max(n - 1, 0) for n in (pattern.along or 1, pattern.across or 1)]
        if pattern.kind == "grid":
            pitch = take(
                "bolts.pattern.pitch_across", lambda: self.up((low + high) / max(gaps[1], 1) * (1.0 + 0.7 * u[7] ** 2))
            )
            across = gaps[1] * pitch
        else:
            across = np.full_like(u[7], 2 * max(abs(h.v_mm - self.resolved.said.palm.offset.port) for h in holes))
        edge = max(palm_checks.edge_rule(self.strut, lim)[1], rim / 2 + lim["rim_to_edge"].value) + 0.3
        bevel = self.strut.palms[0].bevel_width_mm
        edge = max(edge, rim / 2 + bevel + lim["rim_to_bevel"].value)
        apart = max(self.pitch_mm(), rim + 1.0)
        seal = max(lim["bolt_pitch_sealing"].value * bolt.major_mm, apart)
        if pattern.kind == "grid":
            rows = gaps[0] * take("bolts.pattern.pitch_along", lambda: self.up(apart + (seal - apart) * u[8]))
        else:
            rows = np.full_like(u[8], 2 * max(abs(h.u_mm - self.resolved.said.palm.offset.forward) for h in holes))
        corners = 2 * (self.fixed("palm.outline.corner_radius") or 0.0)
        width = take(
            "palm.outline.width", lambda: self.up(np.maximum(across + 2 * edge * (1.0 + 0.5 * u[9] ** 3), corners))
        )
        foot = chord * self.stretch + 2 * along_root + 2 * bevel + 2 * abs(slope) * palm + 1.0
        # Long fore and aft, as the water flows: common practice.
        take("palm.outline.length", lambda: self.up(np.maximum(np.maximum(rows + 2 * edge, foot), width)))
        take("palm.outline.corner_radius", lambda: np.minimum(np.floor(edge / self.step) * self.step, width / 2))
        if abs(lean) > 1e-9 and "palm.offset.port" in self.free and len(self.strut.palms) == len(self.strut.arms):
            shift = -lean * palm - math.copysign(1.0, lean) * (low - high) / 2
            out["palm.offset.port"] = np.round(shift / self.step) * self.step + np.zeros_like(u[0])

    def legs(self, leg: Any) -> Any:
        step = INCH_MM / 32 if self.inch else 0.5
        return np.ceil(leg / step - 1e-6) * step

    def pitch_mm(self) -> float:
        rule, bolt = self.strut.edge_rule, self.strut.palms[0].bolt
        if rule == "ec3":
            return max(self.limits[f"bolt_pitch_ec3_{w}"].value for w in ("along", "across")) * bolt.hole_mm + 0.1
        name = f"bolt_pitch_{rule if rule in ('aisc', 'aerospace') else 'light_craft'}"
        return self.limits[name].value * bolt.major_mm + 0.1

    # --- text -------------------------------------------------------------------------------------------------------

    def data(self, sizes: Mapping[str, float]) -> Known:
        """Return a whole set as data: what is known, and the sizes found."""
        made = copy.deepcopy(self.said)
        section = made["arms"].setdefault("section", {})
        if "shape" not in section:
            section["shape"] = self.shape()
        outline = made["palm"].setdefault("outline", {})
        outline.setdefault("shape", "rectangle")
        made["bolts"].setdefault("size", self.choice.bolt)
        if self.choice.kind != "countersunk":
            made["bolts"].setdefault("kind", self.choice.kind)
        if self.choice.along:
            pattern = made["bolts"].setdefault("pattern", {})
            pattern.setdefault("kind", "grid")
            pattern.setdefault("along", self.choice.along)
            pattern.setdefault("across", 2)
        if self.welded:
            made["welds"] = {**(made.get("welds") or {})}
            made["welds"].setdefault("prep", self.choice.prep)
        for path, mm in sizes.items():
            at = made
            *groups, name = path.split(".")
            for group in groups:
                if at.get(group) is None:
                    at[group] = {}
                at = at[group]
            at[name] = self.written(mm)
        return made

    def shape(self) -> str:
        """Foil for a casting; a plate for a welded strut, profiled where the boat is too fast for a plate."""
        if not self.welded:
            return "foil"
        speed = self.said["duty"].get("boat_speed")
        try:
            fast = (
                speed is not None and parse(speed, SPEED_KIND, self.said["units"]) > self.limits["flat_arm_speed"].value
            )
        except QuantityError as error:
            raise SizingError(f"duty.boat_speed: {speed!r} {error}; allowed: {error.allowed}") from None
        return "ellipse" if fast else "flat"

    def written(self, mm: float) -> str:
        if not self.inch:
            return f"{mm:g} mm"
        parts = Fraction(round(mm / INCH_MM * 32), 32)
        sign, whole, rest = "-" if parts < 0 else "", abs(parts) // 1, abs(parts) % 1
        text = f"{whole} {rest}" if whole and rest else f"{rest}" if rest else f"{whole}"
        return f"{sign}{text} in"

    def text(self, sizes: Mapping[str, float]) -> str:
        """Return a set as YAML text with a comment to each group."""
        made = self.data(sizes)
        notes = dict(_NOTES)
        if made.get("bearing"):
            del notes["bearing"]
        else:
            made["bearing"] = self.bearing()
        if "size" in self.said["bolts"]:
            del notes["bolts"]
        for group in ("barrel", "arms", "palm"):
            if not any(path.startswith(f"{group}.") for path in sizes):
                del notes[group]
        return _yaml(made, notes)

    def bearing(self) -> Known:
        b = self.strut.bearings[0]
        return {
            "outside_diameter": self.exact(b.outside_mm),
            "length": self.exact(b.length_mm),
            "shell": self.exact(b.shell_mm),
        }

    def fine_up(self, mm: float) -> str:
        """Return a clearance up to a hundredth of a mm or half a thousandth of an inch."""
        return f"{math.ceil(mm / INCH_MM * 2000) / 2000:g} in" if self.inch else f"{math.ceil(mm * 100) / 100:g} mm"

    def exact(self, mm: float) -> str:
        return f"{mm / INCH_MM:.6g} in" if self.inch else f"{mm:.6g} mm"


def _yaml(data: Known, notes: Mapping[str, str] = MappingProxyType({})) -> str:
    """Return data as the text of a parameter file, groups in their usual order under their notes, empty ones left
    out."""
    lines = []
    for name in (*schema.ParameterSet.model_fields, *(n for n in data if n not in schema.ParameterSet.model_fields)):
        value = data.get(name)
        if value is None or value == {} or value == []:
            continue
        if name in notes:
            lines.append(f"# {notes[name]}\n")
        # A group of plain values fits on a line of its own, one with groups in it does not.
        flat = not isinstance(value, (dict, list))
        lines.append(
            yaml.safe_dump(
                {name: value},
                sort_keys=False,
                default_flow_style=False if flat else None,
                width=110,
                allow_unicode=True,
            )
        )
    return "".join(lines)
