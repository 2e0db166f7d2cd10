"""The sheet that lines up the housings on one shaft: stations, what was read, what brings each to the line, loads."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from strutwright.exporters.bench.blank import Form, form_of
from strutwright.exporters.bench.paper import Imprint, broken, paged, work_sheet
from strutwright.exporters.drawing.figures import Figures, fixed
from strutwright.exporters.drawing.shapes import Line
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.models import cautions
from strutwright.models.bench.installation import Stand, Told
from strutwright.models.bench.line import Axis, Placed, under_foot_mm, wire_sag_mm
from strutwright.models.bench.line_loads import Borne, against_bore_mrad, takes_mrad
from strutwright.models.bench.line_stack import LineStack
from strutwright.params.bench.line import ShaftLine
from strutwright.params.quantity import FileUnits, in_file_units
from strutwright.params.words import read

_TITLE = "Shaft line"
_ORDER = (Stand.OUT, Stand.LOOK, Stand.IN, Stand.NOTED)
_LONG_MM, _SHOWN_MM = 150.0, 6.0
"""Length of the sketch, and of the greatest offset in it."""
NOTES = (
    "Boat afloat or evenly shored, tanks as usual, the sun off one side, all housings loose but the fixed ones. Read "
    "each bore at both ends: its middle is half the sum of two opposite readings, up and down, port and starboard.",
    "Move each housing to the line, then turn it, and read again; once more when its bed is hard, before dowels are "
    "drilled. The engine is lined up to the shaft last.",
)
LEFT_OUT = (
    "Housings, hull and bed count as rigid, the shaft as level: what is off the line is then loaded more unevenly here "
    "than in a boat that gives. Each bearing is to bear a share of its spans' weight at least, as the limits say.",
)


def form(units: FileUnits) -> Form:
    """Return the blank form."""
    blank = form_of(ShaftLine, _TITLE, units=units, rows={"bearings": 6})
    tables = tuple(
        replace(
            t,
            columns=tuple(
                replace(c, least_mm=24.0 if c.name in ("called", "set") else 15.0, on_paper=_ON_PAPER.get(c.name))
                for c in t.columns
            ),
        )
        for t in blank.tables
    )
    return replace(blank, tables=tables, notes=NOTES, cautions=(cautions.STRUCTURE, cautions.UNDER_BOAT), row_mm=6.0)


_ON_PAPER = {
    "aft_up": "aft end\nup",
    "aft_port": "aft end\nport",
    "forward_up": "fwd end\nup",
    "forward_port": "fwd end\nport",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Lined:
    """What was found of a line. straight, found: what the bearings bear in line and as found; None where it is not
    known. sets: how these agree; told: every other figure; lacks: what is not worked out."""

    line: Sequence[Placed]
    axis: Axis | None
    straight: Sequence[Borne] | None
    found: Sequence[Borne] | None
    sets: Sequence[Told]
    told: Sequence[Told]
    stacks: Sequence[LineStack]
    lacks: Sequence[str]

    @property
    def every(self) -> list[Told]:
        """Every figure."""
        return [*self.sets, *self.told]


def line_sheets(said: ShaftLine, lined: Lined, *, imprint: Imprint, units: FileUnits) -> list[Sheet]:
    """Return the sheets: what is to be done on the first, then whether the sets agree, and the tolerances."""
    f = Figures(unit=units)
    wrong = [t for t in lined.every if t.stand in (Stand.OUT, Stand.LOOK)]
    tables = [
        _stations(said, lined.line, f),
        _to_line(lined, f),
        _in_bores(lined, f),
        _figures("wrong", f"OUT, OR TO LOOK AT AGAIN: {stand_line(lined.every).upper()}", wrong, units),
        _figures("sets", "WHETHER THE SETS ARE OF ONE SHAFT", lined.sets, units),
        _stack_table(lined.line, lined.stacks),
        _tighten(lined.stacks),
    ]
    notes = [*NOTES, *LEFT_OUT, *lined.lacks, *([said.remark] if said.remark else [])]
    return paged(
        work_sheet(
            said.name or _TITLE,
            said,
            imprint=imprint,
            unit=units,
            views=[_sketch(lined.line, lined.axis, f)],
            tables=[table for table in tables if table.rows],
            notes=notes,
            cautions=(cautions.STRUCTURE, cautions.UNDER_BOAT),
            document_type="Installation sheet",
            scales=(1.0,),
            text_sizes_mm=(2.5,),
        ),
        f"{_TITLE}: sets and tolerances",
    )


def _figures(name: str, title: str, told: Sequence[Told], units: FileUnits) -> Table:
    return Table(
        name=name,
        title=title,
        columns=("what", "found", "held to", "stands"),
        rows=tuple(
            (broken(t.what, 66.0), broken(read(t.found, units), 52.0), broken(read(t.limit, units), 50.0), str(t.stand))
            for t in told
        ),
        left=frozenset({0, 1, 2}),
        row_mm=4.6,
        corner="top left",
    )


def _to_line(lined: Lined, f: Figures) -> Table:
    """What brings each housing that moves to the line."""
    rows = []
    for one in lined.line:
        off = None if lined.axis is None or one.held else lined.axis.off(one)
        if off is None or lined.axis is None:
            continue
        leans = lined.axis.leans(one)
        turned = "-" if leans is None else " / ".join(_signed(-lean * one.long_mm, f) for lean in leans)
        thick = under_foot_mm(one, off)
        under = None if one.strut is None or one.strut.hanger is None else one.strut.hanger.under
        foot = (
            "-"
            if thick is None or under is None
            else (f"{f.length(thick)} of {f.length(under.least_mm)} to {f.length(under.most_mm)}")
        )
        rows.append((one.called, " / ".join(_signed(-part, f) for part in off), turned, foot))
    return Table(
        name="moves",
        title=f"BRING TO THE LINE, {f.unit}: + UP, + TO PORT",
        columns=(
            "bearing",
            "move its middle,\nup / port",
            "then its forward end\nagainst the after end",
            "under its foot",
        ),
        rows=tuple(rows),
        left=frozenset({0}),
        row_mm=5.2,
        corner="top left",
    ).filled()


def _signed(value: float, f: Figures) -> str:
    return f"{'+' if value >= 0.0 else '-'}{f.length(abs(value))}"


def _in_bores(lined: Lined, f: Figures) -> Table:
    """What each bearing bears, and how the shaft stands in its bore."""
    if lined.straight is None:
        return Table(name="loads", title="", columns=("",), rows=())
    rows = []
    for n, one in enumerate(lined.line):
        straight = lined.straight[n]
        found = straight if lined.found is None else lined.found[n]
        read_ = lined.found is not None
        housing = one.inputs is not None
        room = "-" if one.inputs is None else fixed(takes_mrad(one.inputs), 2)
        rows.append(
            (
                one.called,
                _force(straight.up_n, f),
                fixed(straight.share, 2),
                f"{_force(found.up_n, f)} / {_force(found.port_n, f)}" if read_ else "-",
                fixed(found.share, 2) if read_ else "-",
                fixed(against_bore_mrad(one, straight, None), 2) if housing else "-",
                fixed(against_bore_mrad(one, found, lined.axis), 2) if housing and read_ else "-",
                room,
            )
        )
    unit = in_file_units(1.0, "N", f.unit)[1]
    share = "of its spans'\nweight"
    heads = (f"load in\nline, {unit}", share, "as found,\nup / port", share)
    slopes = ("shaft to bore,\nmrad, in line", "as found", "it takes")
    return Table(
        name="loads",
        title="THE SHAFT IN ITS BEARINGS",
        columns=("bearing", *heads, *slopes),
        rows=tuple(rows),
        left=frozenset({0}),
        row_mm=5.2,
        corner="top left",
    ).filled()


def _force(value: float, f: Figures) -> str:
    return fixed(in_file_units(value, "N", f.unit)[0], 0)


def stand_line(told: Sequence[Told]) -> str:
    """Return how many figures stand how, worst first.

    >>> stand_line([Told("", "", "", Stand.IN), Told("", "", "", Stand.OUT), Told("", "", "", Stand.IN)])
    '1 out, 2 in'
    """
    counts = [(s, sum(t.stand is s for t in told)) for s in _ORDER]
    return ", ".join(f"{n} {s}" for s, n in counts if n)


def _sketch(line: Sequence[Placed], axis: Axis | None, f: Figures) -> View:
    """The bearings along the line, numbered, not to scale across: where each was found off it, up and down."""
    view = View("line", "foot", "SEEN FROM STARBOARD, NOT TO SCALE", scale=1.0)
    whole = line[-1].at_mm
    offs = [(axis.off(p) if axis is not None else None) or (0.0, 0.0) for p in line]
    most = max((abs(up) for up, _ in offs), default=0.0)
    by = _SHOWN_MM / most if most > 1e-6 else 0.0
    view.centre_line((0.0, 0.0), (_LONG_MM, 0.0))
    for n, (one, (up, _)) in enumerate(zip(line, offs, strict=True), 1):
        x, y = _LONG_MM * one.at_mm / whole, by * up
        half = 3.5 if one.strut is not None else 1.5
        for side in (-1.5, 1.5):
            view.add([Line((x - half, y + side), (x + half, y + side))])
        view.add([Line((x - half, y - 1.5), (x - half, y + 1.5)), Line((x + half, y - 1.5), (x + half, y + 1.5))])
        view.add([Line((x, y + 1.5), (x, 10.0))], "thin")
        view.label((x, 12.0), str(n), height_mm=2.5, at_deg=90.0)
        view.label((x, -6.0), f.length(one.at_mm), height_mm=2.5, at_deg=-90.0)
    view.arrow((_LONG_MM + 4.0, 6.0), 0.0, "FWD")
    return view


def _stations(said: ShaftLine, line: Sequence[Placed], f: Figures) -> Table:
    def off(end: tuple[float, float] | None) -> str:
        return "" if end is None else f"{f.length(end[0])} / {f.length(end[1])}"

    rows = []
    for n, one in enumerate(line, 1):
        strut = one.strut
        hangs = ""
        if said.wire is not None:
            hangs = " / ".join(f.length(wire_sag_mm(said.wire, at)) for at in one.ends_mm)
        number = "" if strut is None else strut.identity.number
        bore = "" if strut is None else f"Ø{f.length(strut.barrel.bore_mm)} × {f.length(strut.barrel.length_mm)}"
        held = "fixed" if one.held else "loose"
        cells = (one.called, number, f.length(one.at_mm), bore, held, hangs, off(one.aft), off(one.forward))
        rows.append((str(n), *(cell or "-" for cell in cells)))
    heads = ("bearing", "number", "station", "bore and\nits length", "place")
    return Table(
        name="stations",
        title=f"BEARINGS FROM AFT, AND WHAT WAS READ OFF THE STRAIGHT LINE, {f.unit}",
        columns=("", *heads, "wire hangs,\naft / fwd", "aft end,\nup / port", "fwd end,\nup / port"),
        rows=tuple(rows),
        left=frozenset({1}),
        row_mm=5.2,
        corner="top left",
    ).filled()


def _stack_table(line: Sequence[Placed], stacks: Sequence[LineStack]) -> Table:
    rows = []
    for stack in stacks:
        for one, at in zip(line, stack.at, strict=True):
            housing = at.room_mrad == at.room_mrad
            rows.append(
                (
                    f"{stack.way}, {one.called}",
                    f"{fixed(at.share, 2)} / {fixed(at.share_worst, 2)}",
                    f"{fixed(at.slope_mrad, 2)} / {fixed(at.slope_worst_mrad, 2)}" if housing else "",
                    fixed(at.room_mrad, 2) if housing else "",
                    f"{fixed(100.0 * at.over, 1)} %" if housing else "",
                )
            )
    return Table(
        name="tolerances",
        title="TOLERANCES OF ALL: 97.5 OF 100 BOATS / ALL AT THEIR WORST",
        columns=("", "load, of its spans' weight", "shaft to bore, mrad", "takes", "beyond it"),
        rows=tuple((broken(row[0], 70.0), *row[1:]) for row in rows),
        left=frozenset({0}),
        row_mm=4.6,
        corner="top left",
    )


def _tighten(stacks: Sequence[LineStack]) -> Table:
    rows = [(s.way, s.first, f"{100.0 * s.first_share:.0f} %", f"{fixed(100.0 * s.unloaded, 1)} %") for s in stacks]
    return Table(
        name="tighten",
        title="WHICH TOLERANCE TO TIGHTEN FIRST",
        columns=("", "tolerance", "of the\nvariance", "boats with a bearing\nunder its load"),
        rows=tuple((broken(way, 50.0), broken(first, 60.0), part, bare) for way, first, part, bare in rows),
        left=frozenset({0, 1}),
        row_mm=4.6,
        corner="top left",
    )


def tighten_words(stack: LineStack) -> str:
    """Return which tolerance to tighten, of a way of fitting.

    >>> tighten_words(LineStack(way="as drawn and measured", at=(), unloaded=0.0, first="bed, aft", first_share=0.4))
    'tighten first, as drawn and measured: bed, aft (40 % of the variance; under their load in 0.0 % of boats)'
    """
    return (
        f"tighten first, {stack.way}: {stack.first} ({100.0 * stack.first_share:.0f} % of the variance; "
        f"under their load in {fixed(100.0 * stack.unloaded, 1)} % of boats)"
    )


def document(lined: Lined) -> dict[str, object]:
    """Return the same as plain data; lengths in mm, loads in N, slopes in mrad."""

    def figure(value: float) -> float | None:
        return value if math.isfinite(value) else None

    def bears(all_: Sequence[Borne] | None, n: int) -> dict[str, float] | None:
        return None if all_ is None else {"up_n": all_[n].up_n, "port_n": all_[n].port_n, "share": all_[n].share}

    def one(n: int, its: Placed) -> dict[str, object]:
        off, leans = (None, None) if lined.axis is None else (lined.axis.off(its), lined.axis.leans(its))
        return {
            "called": its.called,
            "number": None if its.strut is None else its.strut.identity.number,
            "station_mm": its.at_mm,
            "off_mm": off,
            "leans_mrad": None if leans is None else [1000.0 * part for part in leans],
            "load_in_line": bears(lined.straight, n),
            "load_as_found": bears(lined.found, n),
        }

    axis = lined.axis
    return {
        "axis": None if axis is None else {"at_mm": list(axis.at), "rise_mrad": [1000.0 * r for r in axis.rise]},
        "bearings": [one(n, its) for n, its in enumerate(lined.line)],
        "figures": [
            {"what": t.what, "found": read(t.found, "mm"), "held_to": read(t.limit, "mm"), "stands": str(t.stand)}
            for t in lined.every
        ],
        "tolerances": [
            {
                "way": stack.way,
                "bearings": [
                    {
                        "called": its.called,
                        "share": at.share,
                        "share_worst": at.share_worst,
                        "slope_mrad": at.slope_mrad,
                        "slope_worst_mrad": at.slope_worst_mrad,
                        "room_mrad": figure(at.room_mrad),
                        "beyond": figure(at.over),
                    }
                    for its, at in zip(lined.line, stack.at, strict=True)
                ],
                "unloaded": stack.unloaded,
                "tighten": stack.first,
                "share_of_variance": stack.first_share,
            }
            for stack in lined.stacks
        ],
        "not_worked_out": list(lined.lacks),
    }
