"""The whole record judged, and what of it is out followed to its consequence."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from strutwright.models.bench.inspection import Judged, Row, Value, Verdict, derived, judged, judged_in_words
from strutwright.models.bench.part_as_made import as_made
from strutwright.models.bench.ways_out import Side, ways_out
from strutwright.models.finding import LEVELS, Finding, impossible
from strutwright.models.finding import Verdict as Level
from strutwright.models.geometry import shapes
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Strut
from strutwright.params.limits import Limits
from strutwright.params.quantity import FileUnits

Change = tuple[Finding | None, Finding]
"""A check before (None: not told of) and after."""
NEARER, FEW = 0.005, 3
"""A check came nearer to its limit where the share that is used grew by more than this; so many are named."""
_ALIKE = ("gauged", "hole")


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Consequence:
    """What a size that is out does to the checks: those that now stand worse, before (None: not there) and after; of
    those that stand as before the few that came nearest to their limit; and the ways out.

    sizes: what else it moves, each as drawn and as measured, mm.
    """

    of: Judged
    worse: tuple[Change, ...]
    nearer: tuple[tuple[Finding, Finding], ...]
    sizes: tuple[tuple[str, float, float], ...]
    ways: tuple[str, ...]
    followed: bool


def consequences(found: Resolved, rows: Sequence[Judged], limits: Limits | None) -> list[Consequence]:
    """Return what follows of each row that is out: the checks run again on the strut as it was made.

    The row is put into the strut with its fellows: those of its bore, of its palm's plane, of its palm's holes. What
    the checks do not know (`followed` False) has only its ways out.

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
    wall = next((float(f.actual) for f in before if f.code in ("barrel_wall_least", "tube_wall_least")), None)
    told: dict[tuple[str, ...], Consequence] = {}
    made = []
    for row in bad:
        fellows = [r for r in rows if r.row.code == row.row.code or _shares(r, row)]
        codes = tuple(r.row.code for r in fellows)
        if codes not in told:
            struts = as_made(found.strut, fellows, _units(found), wall)
            worse, nearer = _worst(before, [findings_of_part(found, s, limits) for s in struts])
            sizes = _moved(found.strut, struts[0]) if struts and _of_plane(row.row.code.partition(".")[2]) else ()
            told[codes] = Consequence(
                of=row, worse=tuple(worse), nearer=tuple(nearer), sizes=sizes, ways=(), followed=bool(struts)
            )
        made.append(replace(told[codes], of=row, ways=ways_out(row.row.code, _side(row, found))))
    return made


def _moved(drawn: Strut, made: Strut) -> tuple[tuple[str, float, float], ...]:
    """Drop and tip clearance with a palm on another plane."""
    palm = next((k for k, (a, b) in enumerate(zip(drawn.palms, made.palms, strict=True)) if a != b), 0)
    drops = [float(s.palms[palm].plane.drop_mm) for s in (drawn, made)]
    tips = [shapes.tip_clearance_mm(s) for s in (drawn, made)]
    sizes = [("drop square to the shaft at mid-barrel", drops[0], drops[1])]
    if tips[0] is not None and tips[1] is not None:
        sizes.append(("blade tip to hull", float(tips[0]), float(tips[1])))
    return tuple(sizes)


def _worst(
    before: Sequence[Finding], ways: Sequence[Sequence[Finding]]
) -> tuple[list[Change], list[tuple[Finding, Finding]]]:
    """Those that stand worse in any of the ways the strut may be, each at its worst, and the few that came nearer."""
    worse: dict[tuple[str, int], Change] = {}
    nearer: dict[str, tuple[Finding, Finding]] = {}
    for after in ways:
        for key, old, new in _changes(before, after):
            if _is_worse(old, new):
                if key not in worse or _rank(new) > _rank(worse[key][1]):
                    worse[key] = old, new
            elif old is not None and new.verdict is not Level.HINT and new.utilisation > old.utilisation + NEARER:
                nearer[new.code] = max(nearer.get(new.code, (old, new)), (old, new), key=lambda n: n[1].utilisation)
    told = {code for code, _ in worse}
    few = sorted((n for code, n in nearer.items() if code not in told), key=lambda n: -n[1].utilisation)[:FEW]
    return list(worse.values()), few


def _shares(one: Judged, other: Judged) -> bool:
    """Whether one reading goes into the strut with another that is out: the gauged diameters of a bore, angles and
    heights of a palm's plane, holes of a palm, and what an interference follows from."""
    (group, _, name), (own, _, out) = (r.row.code.partition(".") for r in (one, other))
    if out == "interference":
        return name.startswith("gauged") or (group == own and name == "outside")
    if group != own:
        return False
    return any(name.startswith(kind) and out.startswith(kind) for kind in _ALIKE) or (
        _of_plane(name) and _of_plane(out)
    )


def _of_plane(name: str) -> bool:
    return name in ("pitch", "tilt", "true", "skew") or name.startswith("height.")


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


def _units(found: Resolved) -> FileUnits:
    """What the record is printed in."""
    return found.said.drawing.units or found.strut.file_units


def _side(row: Judged, found: Resolved) -> Side:
    """Which way a row is out."""
    if row.value is None:
        return "wrong"
    upper = row.row.limits(_units(found))[1]
    return "over" if upper is not None and row.value.value > upper else "under"


def worse_than(before: Sequence[Finding], after: Sequence[Finding]) -> list[Change]:
    """Return the findings that stand worse than before, each with what it was; a hint that is broken now as well.

    A code that is told of each bearing or palm is held to its own; what was not told before counts from pass.

    >>> found = findings_of_part(resolved("refit-two-bores"), shipped("refit-two-bores"), None)
    >>> worse_than(found, found), len(worse_than([], found)) > 0
    ([], True)
    """
    return [(old, new) for _, old, new in _changes(before, after) if _is_worse(old, new)]


def _changes(
    before: Sequence[Finding], after: Sequence[Finding]
) -> Iterator[tuple[tuple[str, int], Finding | None, Finding]]:
    """Each finding with what it was, and by what it is known: its code and how many of that code stand before it."""
    was = {(f.code, k): f for f, k in _counted(before)}
    for new, k in _counted(after):
        yield (new.code, k), was.get((new.code, k)), new


def _counted(findings: Sequence[Finding]) -> Iterator[tuple[Finding, int]]:
    """Each finding with how many of its code stand before it."""
    seen: dict[str, int] = {}
    for finding in findings:
        seen[finding.code] = seen.get(finding.code, -1) + 1
        yield finding, seen[finding.code]


def _is_worse(old: Finding | None, new: Finding) -> bool:
    return _rank(new) > ((0, False) if old is None else _rank(old))


def _rank(finding: Finding) -> tuple[int, bool]:
    return LEVELS.get(finding.verdict, 0), finding.is_broken_hint
