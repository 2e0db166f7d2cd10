"""The whole record judged, and what of it is out followed to its consequence."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from strutwright.models.bench.inspection import Judged, Row, Value, Verdict, derived, judged, judged_in_words
from strutwright.models.bench.ways_out import Side, ways_out
from strutwright.models.finding import LEVELS, Finding, impossible
from strutwright.models.resolve import Resolved
from strutwright.models.spec import BoreStep, Palm, SetScrew, Strut
from strutwright.params.limits import Limits
from strutwright.params.quantity import FileUnits


def judge(
    rows: Sequence[Row], readings: Mapping[str, Value], said: Mapping[str, str], units: FileUnits
) -> list[Judged]:
    """Return how every row of a record stands, in the record's order.

    readings: by the code of a row; said: what was written where a row asks for words. A row without either is open,
    one that follows from others is worked out from them whatever was written there.

    >>> length = Row("barrel, length", "146", "145.5", "146.5", "calliper", "barrel.length", "length")
    >>> [judge([length], r, {}, "mm")[0].verdict.value for r in ({}, {"barrel.length": Value(146.1, 0.05)})]
    ['not measured', 'in']
    """
    worked_out = derived(rows, readings)
    made = []
    for number, row in enumerate(rows, 1):
        value = worked_out.get(row.code) if row.derived else readings.get(row.code)
        if value is not None:
            made.append(judged(row, number, value, units))
        elif row.code in said and not row.derived:
            made.append(judged_in_words(row, number, said[row.code]))
        else:
            note = "follows from rows that are not all measured" if row.derived else ""
            made.append(Judged(number=number, row=row, verdict=Verdict.OPEN, note=note))
    return made


@dataclass(frozen=True, slots=True)
class Consequence:
    """What a size that is out does to the checks: those that now stand worse, before (None: not there) and after, and
    the ways out."""

    of: Judged
    worse: tuple[tuple[Finding | None, Finding], ...]
    ways: tuple[str, ...]
    followed: bool


def consequences(found: Resolved, rows: Sequence[Judged], limits: Limits | None) -> list[Consequence]:
    """Return what follows of each row that is out: the checks run again on the strut as it was made.

    The row is put into the strut, of a bore with its fellows. What the checks do not know (`followed` False) has only
    its ways out.

    >>> thin = Row("palm, thickness", "14", "12.4", "15.6", "calliper", "palm1.thickness", "length")
    >>> rows = judge([thin], {"palm1.thickness": Value(9.0, 0.05)}, {}, "mm")
    >>> after = consequences(resolved("harbour-launch"), rows, None)[0]
    >>> after.followed, "palm_bending_side_hinge" in [worse.code for _, worse in after.worse]
    (True, True)
    """
    bad = [r for r in rows if r.verdict is Verdict.OUT]
    if not bad:
        return []
    before = findings_of_part(found, found.strut, limits)
    made = []
    for row in bad:
        strut = as_made(found.strut, [r for r in rows if r.row.code == row.row.code or _shares(r, row)])
        worse = [] if strut is None else worse_than(before, findings_of_part(found, strut, limits))
        made.append(Consequence(row, tuple(worse), ways_out(row.row.code, _side(row, found)), strut is not None))
    return made


def _shares(one: Judged, other: Judged) -> bool:
    """Whether two rows give one size of the strut: the gauged diameters of a bore, the angles of a palm."""
    groups = [r.row.code.partition(".") for r in (one, other)]
    if groups[0][0] != groups[1][0]:
        return False
    return all(g[2].startswith("gauged") for g in groups) or all(g[2] in ("pitch", "tilt") for g in groups)


def findings_of_part(found: Resolved, strut: Strut, limits: Limits | None) -> list[Finding]:
    """Return what the checks find of a strut as it is, loads as the set has them.

    >>> found = resolved("harbour-launch")
    >>> len(findings_of_part(found, found.strut, None)) > 100
    True
    """
    from strutwright.models.checks import geometry_checks
    from strutwright.models.checks.engineering import engineering_findings

    made: list[Finding] = []
    works: dict[str, Callable[[], list[Finding]]] = {
        "geometry": lambda: geometry_checks(strut, limits),
        "strength": lambda: engineering_findings(strut, found.said.loads, limits),
    }
    for kind, work in works.items():
        try:
            made += work()
        except (ArithmeticError, ValueError) as error:
            what = "the checks of the part as measured"
            made.append(impossible(f"as_measured_{kind}", what, error, parameter="", group="record"))
    return made


def _side(row: Judged, found: Resolved) -> Side:
    """Which way a row is out."""
    if row.value is None:
        return "wrong"
    upper = row.row.limits(found.said.drawing.units or found.strut.file_units)[1]
    return "over" if upper is not None and row.value.value > upper else "under"


def worse_than(before: Sequence[Finding], after: Sequence[Finding]) -> list[tuple[Finding | None, Finding]]:
    """Return the findings that stand worse than before, each with what it was; a hint that is broken now as well.

    A code that is told of each bearing or palm is held to its own; what was not told before counts from pass.

    >>> found = findings_of_part(resolved("refit-two-bores"), shipped("refit-two-bores"), None)
    >>> worse_than(found, found), len(worse_than([], found)) > 0
    ([], True)
    """
    made = []
    was = {(f.code, k): f for f, k in _counted(before)}
    for finding, k in _counted(after):
        old = was.get((finding.code, k))
        if _rank(finding) > ((0, False) if old is None else _rank(old)):
            made.append((old, finding))
    return made


def _counted(findings: Sequence[Finding]) -> Iterator[tuple[Finding, int]]:
    """Each finding with how many of its code stand before it."""
    seen: dict[str, int] = {}
    for finding in findings:
        seen[finding.code] = seen.get(finding.code, -1) + 1
        yield finding, seen[finding.code]


def _rank(finding: Finding) -> tuple[int, bool]:
    return LEVELS.get(finding.verdict, 0), finding.is_broken_hint


# --- the strut as it was made -----------------------------------------------------------------------------------------


def as_made(strut: Strut, rows: Sequence[Judged]) -> Strut | None:
    """Return the strut with the sizes that rows measured; None where none of them is a size of the strut.

    >>> thin = Row("palm, thickness", "14", "12.4", "15.6", "calliper", "palm1.thickness", "length")
    >>> rows = judge([thin], {"palm1.thickness": Value(9.0, 0.05)}, {}, "mm")
    >>> as_made(shipped("harbour-launch"), rows).palms[0].thickness_mm
    9.0
    """
    sizes = {r.row.code: r.value.value for r in rows if r.value is not None}
    changed = False
    for code in sizes:
        group, _, name = code.partition(".")
        change = next((c for prefix, c in _CHANGES.items() if group.rstrip("0123456789") == prefix), None)
        made = None if change is None else change(strut, group, name, sizes)
        if made is not None:
            strut, changed = made, True
    return strut if changed else None


def _index(group: str) -> int:
    return int(group.lstrip("abcdefghijklmnopqrstuvwxyz")) - 1


def _bore(strut: Strut, group: str, name: str, sizes: Mapping[str, float]) -> Strut | None:
    gauged = [v for c, v in sizes.items() if c.startswith(f"{group}.gauged.")]
    if not gauged:
        return None
    low, high = min(gauged), max(gauged)
    barrel, mid = strut.barrel, sum(gauged) / len(gauged)
    if abs(barrel.bore_mm - mid) < 1.0 or not barrel.steps:
        made = replace(barrel, bore_lower_mm=low - barrel.bore_mm, bore_upper_mm=high - barrel.bore_mm)
        return replace(strut, barrel=made)
    near = min(barrel.steps, key=lambda s: abs(s.diameter_mm - mid))

    def step(s: BoreStep) -> BoreStep:
        return replace(s, limits_mm=(low - s.diameter_mm, high - s.diameter_mm)) if s is near else s

    return replace(strut, barrel=replace(barrel, steps=tuple(step(s) for s in barrel.steps)))


def _barrel(strut: Strut, group: str, name: str, sizes: Mapping[str, float]) -> Strut | None:
    if name not in ("length", "outside"):
        return None
    value = sizes[f"{group}.{name}"]
    return replace(strut, barrel=replace(strut.barrel, **{f"{name}_mm": value}))  # type: ignore[arg-type]


def _bearing(strut: Strut, group: str, name: str, sizes: Mapping[str, float]) -> Strut | None:
    if name not in ("outside", "station"):
        return None
    k, value = _index(group), sizes[f"{group}.{name}"]
    own = strut.bearings[k]
    off = value - own.outside_mm
    made = (
        replace(own, aft_station_mm=value)
        if name == "station"
        else replace(own, outside_upper_mm=off, outside_lower_mm=off)
    )
    return replace(strut, bearings=tuple(made if n == k else b for n, b in enumerate(strut.bearings)))


def _palm(strut: Strut, group: str, name: str, sizes: Mapping[str, float]) -> Strut | None:
    k = _index(group)
    palm = strut.palms[k]
    made: Palm | None = None
    if name == "thickness":
        made = replace(palm, thickness_mm=sizes[f"{group}.thickness"])
    elif name in ("pitch", "tilt"):
        made = replace(palm, plane=replace(palm.plane, **{f"{name}_deg": sizes[f"{group}.{name}"]}))
    elif name == "holes":
        made = replace(palm, bolt=replace(palm.bolt, hole_mm=sizes[f"{group}.holes"]))
    elif name == "heads":
        made = replace(palm, bolt=replace(palm.bolt, head_diameter_mm=sizes[f"{group}.heads"]))
    if made is None:
        return None
    return replace(strut, palms=tuple(made if n == k else p for n, p in enumerate(strut.palms)))


def _screw(strut: Strut, group: str, name: str, sizes: Mapping[str, float]) -> Strut | None:
    """A set screw; its place was read from the nearer end of its bearing."""
    if name not in ("dimple", "clock", "station"):
        return None
    value, number = sizes[f"{group}.{name}"], _index(group) + 1

    def made(s: SetScrew) -> SetScrew:
        if s.number != number:
            return s
        if name == "dimple":
            return replace(s, dimple_depth_mm=value)
        if name == "clock":
            return replace(s, clock_deg=value)
        own = strut.bearings[s.bearing_index]
        from_aft = s.station_mm - own.aft_station_mm <= own.forward_station_mm - s.station_mm
        return replace(s, station_mm=own.aft_station_mm + value if from_aft else own.forward_station_mm - value)

    return replace(strut, set_screws=tuple(made(s) for s in strut.set_screws))


def _heel(strut: Strut, group: str, name: str, sizes: Mapping[str, float]) -> Strut | None:
    """The bore that the pintle runs in; the seat of a bush is no size of the strut of its own."""
    skeg = strut.skeg
    if skeg is None or skeg.heel is None or not name.startswith("bore"):
        return None
    value = sizes[f"{group}.{name}"]
    seat_mm = skeg.heel.bore_mm + 2.0 * skeg.heel.bush_wall_mm
    if skeg.heel.bush_wall_mm and abs(value - seat_mm) < abs(value - skeg.heel.bore_mm):
        return None
    return replace(strut, skeg=replace(skeg, heel=replace(skeg.heel, bore_mm=value)))


_CHANGES: dict[str, Callable[[Strut, str, str, Mapping[str, float]], Strut | None]] = {
    "bore": _bore,
    "barrel": _barrel,
    "bearing": _bearing,
    "palm": _palm,
    "screw": _screw,
    "heel": _heel,
}
