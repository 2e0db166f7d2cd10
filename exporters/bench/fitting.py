"""The card for fitting a bearing: its answer as plain data, as text, on one page, and the blank form."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace

from strutwright.exporters.bench.blank import Form, form_of
from strutwright.exporters.bench.paper import Imprint, capital, first_that_fits, work_sheet
from strutwright.exporters.drawing.sheet import Sheet, SheetFitError, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets.plane import on_clock
from strutwright.models import cautions
from strutwright.models.arrays import Floats
from strutwright.models.bench.fitting import Fitted
from strutwright.models.bench.fitting_screws import Clocking, Marked
from strutwright.models.bench.fitting_words import (
    options,
    reasons,
    screw_notes,
    shown,
    structure_notes,
    summary,
    way_words,
)
from strutwright.models.resolve import Resolved
from strutwright.params.bench.fitting import Fitting
from strutwright.params.quantity import FileUnits
from strutwright.params.words import Amount, Part, Words, fine_mm, mm, read

_ENDS = "judged at most interference, friction, shaft, least bore (loose, kept: least interference)"
SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)
NOTES = (
    "Bore and bearing lie in the shop over night before they are measured; else give the temperature of each.",
    "Three places along, two or three directions at each. Turn the gauge, do not trust one reading.",
    "Wall of the shell at both ends, its mean and its least; the bore over the rubber with a plug, its least.",
)
SCREWS_OUT = "Set screws out first"
ON_SHELL = "Push on the shell, never on the rubber; stand the barrel on its end face, not on palm or arm"
WET = "Soap or water only, no oil or grease"
TOO_HARD = "Stop at twice the force"
PUSH = (
    f"{SCREWS_OUT}. {ON_SHELL}. Guard between you and the work, load centred and square, nobody in line with the "
    f"force. {WET}. {TOO_HARD}."
)


@dataclass(frozen=True, slots=True, eq=False)
class Answered:
    """What a fitting comes to: the fit, the screws and the flutes."""

    fitted: Fitted
    marked: tuple[Marked, ...]
    clocked: Clocking


# --- plain data -------------------------------------------------------------------------------------------------------


def document(found: Answered) -> dict[str, object]:
    """Return a fitting as plain data: mm, N, MPa, degrees, C."""
    fitted = found.fitted
    stations = zip(fitted.station_mm[::12], fitted.interference_mm[::12], strict=True)
    strokes = zip(fitted.stroke_mm[::4], fitted.force_n[::4], strict=True)
    return {
        "verdict": fitted.verdict,
        "interference": [{"station_mm": _number(s), "interference_mm": _number(i)} for s, i in stations],
        "interference_within_mm": _number(fitted.within_mm),
        "press": [{"stroke_mm": _number(s), "force_n": _number(f)} for s, f in strokes],
        "closure_mm": [_number(c) for c in fitted.closure_mm],
        "closure_share": _number(fitted.closure_share),
        "clearance_mm": [_number(c) for c in fitted.clearance_mm],
        "bore_for_mm": None if fitted.bore_for_mm is None else [_number(b) for b in fitted.bore_for_mm],
        "judged": [{k: _plain(v) for k, v in asdict(j).items()} for j in fitted.judged],
        "ways": [{k: _plain(v) for k, v in asdict(w).items()} for w in fitted.ways],
        "options": [read(words, "mm") for words in options(fitted)],
        "screws": [_screw(m) for m in found.marked],
        "flutes": {k: _plain(v) for k, v in asdict(found.clocked).items()},
        "notes": [read(words, "mm") for words in (*reasons(fitted), *_also(found))],
    }


def _screw(m: Marked) -> dict[str, object]:
    return {
        "number": m.number,
        "clock_deg": _number(m.screw.clock_deg),
        "thread": m.screw.thread,
        **{k: _plain(v) for k, v in asdict(m).items() if k not in ("number", "screw")},
    }


def _plain(value: object) -> object:
    if isinstance(value, float):
        return _number(value)
    return [_plain(v) for v in value] if isinstance(value, tuple) else value


def _number(value: float) -> float | None:
    return round(float(value), 6) if math.isfinite(value) else None


# --- text -------------------------------------------------------------------------------------------------------------


def text(found: Answered, units: FileUnits) -> str:
    """Return a fitting for a person."""
    lines = [f"{found.fitted.verdict.upper()}: bearing in its barrel, as measured"]
    lines += [f"  {read(words, units)}" for words in summary(found.fitted)]
    for j in found.fitted.judged:
        value, within, limit = (_read(part, units) for part in shown(j))
        side = "at most" if j.at_most else "at least"
        lines.append(f"  {j.verdict:<8}  {j.what}: {value} within {within}, {side} {limit}; {j.end}")
    lines += [f"  in by {read(way_words(way), units)}" for way in found.fitted.ways]
    lines += [f"  option: {read(words, units)}" for words in options(found.fitted)]
    for m in found.marked:
        cells = _screw_row(m, units)
        lines.append(f"  screw {cells[0]}: station {cells[1]}, clock {cells[2]}, dimple {cells[4]}, collar {cells[5]}")
    return "\n".join([*lines, *(f"  - {read(words, units)}" for words in _also(found))])


def _also(found: Answered) -> Iterator[Words]:
    """What is to be told besides the figures."""
    yield from structure_notes(found.fitted.case)
    yield from screw_notes(found.marked, found.clocked)


def _read(part: Part, units: FileUnits) -> str:
    return part.read(units) if isinstance(part, Amount) else str(part)


def _screw_row(m: Marked, units: FileUnits) -> tuple[str, ...]:
    ends = " / ".join(mm(round(e, 1)).figure(units)[0] for e in m.from_ends_mm)
    return (
        str(m.number),
        mm(round(m.station_mm, 1)).read(units),
        f"{m.screw.clock_deg:g}°",
        ends,
        mm(round(m.dimple_mm, 2)).read(units),
        mm(round(m.collar_mm, 2)).read(units),
        mm(round(m.shell_left_mm, 2)).read(units),
        "-" if m.to_flute_edge_deg is None else f"{m.to_flute_edge_deg:.0f}°",
    )


# --- the card ---------------------------------------------------------------------------------------------------------


def card(found: Answered, said: Fitting, *, imprint: Imprint) -> list[Sheet]:
    """Return the card: one page, or, where that does not hold them, the mark-out with its views on a second."""
    units, fitted = said.units, found.fitted
    tables = [_judged(fitted, units), _along(fitted, units)]
    marked = [_screws(found, units)] if found.marked else []
    # What is not go stands in the table.
    told = [capital(read(w, units)) for w in (_ENDS, *options(fitted), *_also(found))]
    ins = [read(way_words(way), units) for way in fitted.ways if way.verdict != "no go"]
    chilled = any("chill" in way.name and way.verdict == "go" for way in fitted.ways)
    warned = [PUSH, *([cautions.FREEZING] if chilled else [])]

    def page(views: Sequence[View], tables: Sequence[Table], notes: Sequence[str], cautions: Sequence[str]) -> Sheet:
        return work_sheet(
            "Fitting a bearing",
            said,
            imprint=imprint,
            unit=units,
            views=views,
            tables=tables,
            notes=notes,
            cautions=cautions,
            banner=fitted.verdict.upper(),
            document_type="Fitting card",
            text_sizes_mm=(2.5,),
        )

    side, end = _side(found), _end(found)
    ways = ([side, end], [side, replace(end, slot="free")])
    notes = [capital("; or ".join(ins)), *told] if ins else told
    try:
        return [first_that_fits(page(views, [*tables, *marked], notes, warned) for views in ways)]
    except SheetFitError:
        second = first_that_fits(page(views, marked, (), ()) for views in ways)
        return [page((), tables, notes, warned), second]


def _judged(fitted: Fitted, units: FileUnits) -> Table:
    rows: list[tuple[str, ...]] = []
    for j in fitted.judged:
        value, within, limit = (_read(part, units) for part in shown(j))
        rows.append((j.what, value, within, f"{'most' if j.at_most else 'least'} {limit}", j.verdict))
    if fitted.closure_mm[1] > 0:
        least, most = (fine_mm(round(closes, 3)) for closes in fitted.closure_mm)
        rows.append((f"closure of the bore, at most {most.read(units)}", least.read(units), "", "shell alone", ""))
    return Table(
        name="judged",
        title="AS MEASURED, WITHIN WHAT 95 OF 100 LIE",
        columns=("what", "value", "within", "limit", ""),
        rows=tuple(rows),
        left=frozenset({0}),
        row_mm=3.8,
        corner="top left",
    )


def _along(fitted: Fitted, units: FileUnits) -> Table:
    """Interference along the length, and the force while the bearing goes in."""

    def picked(values: Floats, told: Callable[[float], str]) -> list[str]:
        return [told(float(values[round(share * (len(values) - 1))])) for share in SHARES]

    def length(value: float) -> str:
        return mm(round(value, 1)).figure(units)[0]

    rows = (
        (f"interference, {units}", *picked(fitted.interference_mm, lambda v: fine_mm(round(v, 3)).figure(units)[0])),
        (f"stroke, {units}", *picked(fitted.stroke_mm, length)),
        ("force", *picked(fitted.force_n, lambda v: Amount(float(f"{v:.3g}"), "N").read(units))),
    )
    return Table(
        name="along",
        title="ALONG THE LENGTH, AND ON THE WAY IN",
        columns=(f"from aft, {units}", *picked(fitted.station_mm, length)),
        rows=rows,
        left=frozenset({0}),
        row_mm=3.8,
        corner="top left",
    )


def _screws(found: Answered, units: FileUnits) -> Table:
    heads = ("screw", "from aft face", "clock", "from bearing ends", "dimple", "stop collar", "shell left", "off flute")
    rows = tuple(_screw_row(m, units) for m in found.marked)
    return Table(name="screws", title="SET SCREWS, MARKED OUT", columns=heads, rows=rows, row_mm=3.8, corner="top left")


def _side(found: Answered) -> View:
    """The upper half of barrel and bearing in section, from the side."""
    case = found.fitted.case
    side = View("barrel", "front", "HALF SECTION, AFT TO THE LEFT")
    length, out, bore = case.barrel_length_mm, case.barrel_outside_mm / 2.0, case.bore.middle_mm / 2.0
    shell, inside = bore - case.shell_mm, case.inside_mm / 2.0
    aft, forward = case.sits_mm, case.sits_mm + case.bearing_length_mm
    side.add_outline([(0.0, bore), (length, bore), (length, out), (0.0, out)])
    side.add_outline([(aft, bore), (forward, bore), (forward, shell), (aft, shell)])
    side.add_outline([(aft, shell), (aft, inside), (forward, inside), (forward, shell)], closed=False)
    side.centre_line((min(0.0, aft), 0.0), (max(length, forward), 0.0))
    for m in found.marked:
        side.centre_line((m.station_mm, shell), (m.station_mm, out))
    stations = sorted({round(m.station_mm, 2) for m in found.marked})
    for station in stations:
        side.horizontal((0.0, out), (station, out), side="above")
    side.horizontal((aft, 0.0), (forward, 0.0), side="below")
    if abs(aft) > 0.05:
        side.horizontal((0.0, 0.0), (aft, 0.0), side="below")
    return side


def _end(found: Answered) -> View:
    """The aft end with flutes and screws."""
    case = found.fitted.case
    out, bore = case.barrel_outside_mm / 2.0, case.bore.middle_mm / 2.0
    end = View("end", "seen from left", "SEEN FROM AFT")
    for diameter in (2.0 * out, 2.0 * bore, 2.0 * (bore - case.shell_mm), case.inside_mm):
        end.circle((0.0, 0.0), diameter, marked=diameter == 2.0 * out)
    first, count, width = found.clocked.first_flute_deg, case.flutes, case.flute_width_mm
    if first is not None and count is not None and width is not None:
        for k in range(count):
            end.add_outline(_flute(first + k * 360.0 / count, width, case.inside_mm / 2.0), closed=False)
    clocks: dict[float, list[str]] = {}
    for m in found.marked:
        clocks.setdefault(m.screw.clock_deg % 360.0, []).append(str(m.number))
    for clock, numbers in clocks.items():
        end.centre_line(on_clock(clock, bore - case.shell_mm), on_clock(clock, out))
        end.note(on_clock(clock, out), [f"SCREW {', '.join(numbers)}"])
    return end


def _flute(clock_deg: float, width_mm: float, radius_mm: float) -> list[tuple[float, float]]:
    half = math.degrees(math.asin(min(width_mm / (2.0 * radius_mm), 1.0)))
    deep = radius_mm + width_mm / 3.0
    return [
        on_clock(clock_deg - half, radius_mm),
        on_clock(clock_deg - half, deep),
        on_clock(clock_deg + half, deep),
        on_clock(clock_deg + half, radius_mm),
    ]


_OFTEN = frozenset(
    ("by", "date", "bearing.length", "bearing.wall", "bearing.wall_least", "bearing.inside", "shaft", "press", "sits")
)
"""What the form asks for; `strutwright meaning` and the README tell of the rest."""
_ROW_MM = 5.5
_ALONE = frozenset(("barrel.length", "barrel.outside", "barrel.material", "bearing.material"))
"""What it asks for besides where no set says it."""
_LET_IN = frozenset(("barrel.in_structure",))
"""What it asks for besides of a let-in housing."""


def form(found: Resolved | None, units: FileUnits) -> Form:
    """Return the blank form."""
    blank = form_of(Fitting, "Fitting a bearing", units=units, rows={"bore": 3, "outside": 3})
    asked = _ALONE if found is None else _LET_IN if found.strut.let_in is not None else frozenset()
    tables = tuple(t for t in blank.tables if t.name != "screws")
    single = tuple(pair for pair in blank.single if pair[0].name in _OFTEN | asked)
    return replace(blank, single=single, tables=tables, notes=NOTES, row_mm=_ROW_MM)
