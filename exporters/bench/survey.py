"""A survey's answer: as plain data, as text, and as one sheet for each strut."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from strutwright.exporters.bench.paper import Imprint, capital, first_that_fits, work_sheet
from strutwright.exporters.drawing import shapes
from strutwright.exporters.drawing.sheet import Sheet, SheetFitError, Table
from strutwright.exporters.drawing.view import View
from strutwright.models import cautions
from strutwright.models.arrays import Floats
from strutwright.models.bench import survey_fit as fit
from strutwright.models.bench.survey import Bed, Figure, Sided, Surveyed
from strutwright.models.bench.survey_words import asymmetry, bedding, doubts
from strutwright.params.quantity import FileUnits
from strutwright.params.words import Amount, Words, mm, read, say

WORDS = {
    "pitch_deg": "shaft to hull, side view",
    "tilt_deg": "hull athwart, + up to port",
    "drop_mm": "drop square to the shaft",
    "shaft_deg": "shaft to waterline",
    "run_deg": "run, + rising aft",
    "deadrise_deg": "deadrise at the shaft",
    "to_palm_deg": "shaft to palm, true angle",
    "drop_vertical_mm": "drop, plumb",
    "drop_square_to_hull_mm": "drop square to the hull",
    "plan_deg": "shaft in plan, + port fwd",
    "lines_run_deg": "run of the lines plan",
    "lines_deadrise_deg": "deadrise of the lines plan",
    "tip_mm": "blade tip to hull",
    "hub_gap_mm": "barrel aft face to hub",
    "bearing_span_mm": "mid-barrel to next bearing",
    "face_radius_mm": "hull face radius, + rounded",
    "face_axis_deg": "its axis, + to port",
    "face_along_mm": "radius along that axis",
    "face_radius_starboard_mm": "other palm's face radius",
    "face_axis_starboard_deg": "axis of that, + to port",
    "face_along_starboard_mm": "radius along that",
}
"""What each figure is, for a person; drops are at mid-barrel, run and deadrise along and across the shaft."""
_SIDE_WORDS = {"port": "port", "starboard": "starboard", "centre": "on the centre line"}
_STEPS_MM = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
_MOST_LINES, _ONE_COLUMN, _MOST_POINTS = 7, 8, 24
_MOST_WIDE_MM, _MOST_HIGH_MM = 150.0, 85.0
_SCALES = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
"""ISO 5455."""
_GRID = 25


# --- plain data -------------------------------------------------------------------------------------------------------


def document(found: Surveyed, more: Sequence[Words] = ()) -> dict[str, object]:
    """Return what a survey says as plain data, lengths in mm, angles in degrees. more: what else is to be told."""
    return {
        "sides": [_side(found, side) for side in found.sides],
        "asymmetry": {name: _figure(figure) for name, figure in found.asymmetry.items()},
        "asymmetry_words": [read(words, "mm") for words in asymmetry(found)],
        "more": [read(words, "mm") for words in more],
    }


def _side(found: Surveyed, side: Sided) -> dict[str, object]:
    return {
        "side": side.side or found.said.side,
        "figures": {n: _figure(f) for n, f in side.figures.items() if math.isfinite(f.value)},
        "scatter_mm": _number(side.scatter.mm),
        "scatter_stated": side.scatter.stated,
        "line_scatter_mm": _number(side.line_scatter.mm),
        "surface": "curved" if len(side.model.terms) > len(fit.PLANE) else "plane",
        "hull": [
            {
                "name": p.name,
                "at_mm": [round(c, 4) for c in p.at_mm],
                "palm_mm": [round(c, 4) for c in p.uv_mm],
                "off_surface_mm": _number(p.off_mm),
                "over_palm_mm": _number(p.over_mm),
                "out_of_line": p.out,
                "hidden_slip_mm": None if p.hidden_mm is None else _number(p.hidden_mm),
            }
            for p in side.hull
        ],
        "line": [
            {
                "name": p.name,
                "along_mm": _number(p.along_mm),
                "off_mm": [_number(c) for c in p.off_mm],
                "out_of_line": p.out,
                "hidden_slip_mm": None if p.hidden_mm is None else _number(p.hidden_mm),
            }
            for p in side.line
        ],
        "beds": [_bed(bed) for bed in side.beds],
        "doubts": [read(words, "mm") for words in doubts(side)],
        "bedding": [read(words, "mm") for words in bedding(side, found.said.bedding)],
    }


def _bed(bed: Bed) -> dict[str, object]:
    made = bed.cylinder
    face = None if made is None else {n: _number(getattr(made, n)) for n in ("radius_mm", "axis_deg", "leaves_mm")}
    both = bed.second_order
    second = None if both is None else {n: _number(getattr(both, n)) for n in ("radius_mm", "axis_deg", "along_mm")}
    return {
        "uneven_mm": _number(bed.uneven_mm),
        "filler_mm3": _number(bed.filler_mm3),
        "cylinder": face,
        "second_order": second,
    }


def _number(value: float) -> float | None:
    return round(value, 6) if math.isfinite(value) else None


def _figure(figure: Figure) -> dict[str, float | None]:
    return {"value": _number(figure.value), "within_95": None if figure.within is None else _number(figure.within)}


# --- text -------------------------------------------------------------------------------------------------------------


def text(found: Surveyed, more: Sequence[Words] = ()) -> str:
    """Return what a survey says, for a person. more: what else is to be told."""
    units, lines = found.said.units, []
    for side in found.sides:
        lines.append(f"{_whose(found, side)}: figures and within what they lie in 95 of 100 cases")
        rows = list(_rows(side, units))
        wide = max(len(row[0]) for row in rows)
        lines += [f"  {what:<{wide}}  {value:>10} {unit:<3}  {within}" for what, value, unit, within in rows]
        lines += [f"  - {read(words, units)}" for words in (*doubts(side), *bedding(side, found.said.bedding))]
    return "\n".join([*lines, *(read(words, units) for words in (*asymmetry(found), *more))])


def _whose(found: Surveyed, side: Sided) -> str:
    return _SIDE_WORDS[side.side or found.said.side]


def _rows(side: Sided, units: FileUnits) -> Iterable[tuple[str, str, str, str]]:
    """(what, value, unit, +/- within) of each figure that the readings tell."""
    same_plan = abs(side.figures["plan_deg"].value) < 0.05
    for name, words in WORDS.items():
        figure = side.figures[name]
        level = side.model.level and name in ("tilt_deg", "deadrise_deg", "lines_deadrise_deg")
        if level or not math.isfinite(figure.value) or (name.startswith("lines_") and same_plan):
            continue
        value, unit = _amount(name, figure.value).figure(units)
        within = "not known" if figure.within is None else f"+/- {_amount(name, figure.within).figure(units)[0]}"
        yield words, value, unit, within


def _amount(name: str, value: float) -> Amount:
    """A figure as far as a survey tells it: 0.1 mm, 0.01 degrees."""
    return Amount(round(value, 1), "mm") if name.endswith("_mm") else Amount(round(value, 2), "deg")


# --- the sheet --------------------------------------------------------------------------------------------------------


def sheets(found: Surveyed, *, imprint: Imprint, more: Sequence[Words] = ()) -> list[Sheet]:
    """Return one sheet: of two sides with what differs of the second beside the first; one for each strut only where no
    page holds both. more: what else is to be told."""
    if len(found.sides) > 1:
        try:
            tried = (_sheet(found, found.sides, imprint, more, *way) for way in _BOTH_WAYS)
            return [first_that_fits(tried)]
        except SheetFitError:
            pass
    out = []
    for side in found.sides:
        few = len(side.hull) + len(side.line) <= _ONE_COLUMN
        ways = (((4.4, True, True),) if few else ()) + _WAYS
        out.append(first_that_fits(_sheet(found, (side,), imprint, more, *way) for way in ways))
    return out


_WAYS = ((4.0, True, True), (4.4, False, True), (4.0, True, False), (4.4, False, False), (4.4, True, None))
"""What a sheet has, tried in order: height of rows, whether the readings, and whether pictures and with names."""
_SIGNS = "+ for a gap to fill, - for what is to take off"
_BOTH_WAYS = ((4.0, True, True), (4.0, False, True), (4.0, True, False), (4.0, False, False), (4.0, False, None))


def _sheet(
    found: Surveyed,
    sides: Sequence[Sided],
    imprint: Imprint,
    more: Sequence[Words],
    row_mm: float,
    readings: bool,
    named: bool | None,
) -> Sheet:
    units, several = found.said.units, len(sides) > 1
    notes: list[str] = []
    views: list[View] = []
    tables = [_figures(sides, units, row_mm)]
    for side in sides:
        own = [read(words, units) for words in (*doubts(side), *bedding(side, found.said.bedding))]
        notes += [f"{_SIDE_WORDS[side.side or 'centre']}: {words}" for words in own] if several else own
        if named is not None:
            drawn = [_palm(side, k, units, named=named) for k in range(len(side.beds))]
            views += [_of_side(view, side.side or "centre") for view in drawn] if several else drawn
        if readings and 0 < len(side.hull) <= _MOST_POINTS:
            table = _points(side, units, row_mm)
            if several:
                called = f"{table.title}, {_SIDE_WORDS[side.side or 'centre'].upper()}"
                table = replace(table, name=f"{table.name} {side.side}", title=called)
            tables.append(table)
    if several and views:
        notes.append(f"the palms are seen from the hull, with {_SIGNS if named else 'lines of equal height'}")
    ways = [read(words, units) for side in sides for words in _ways(found, side)]
    notes += [*(read(words, units) for words in (*asymmetry(found), *more)), *dict.fromkeys(ways)]
    return work_sheet(
        "Survey, both sides" if several else f"Survey, {_whose(found, sides[0])}",
        found.said,
        imprint=imprint,
        unit=units,
        views=views,
        tables=tables,
        notes=[capital(note) for note in notes],
        cautions=[cautions.UNDER_BOAT] if found.said.frame == "boat" else [],
        document_type="Survey sheet",
        scales=_scales(views),
        text_sizes_mm=(2.5,),
    )


def _of_side(view: View, side: str) -> View:
    """The view of one side's palm among those of both."""
    which = view.name.removeprefix("palm")
    view.name, view.title = f"{view.name} {side}", f"{_SIDE_WORDS[side].upper()} PALM{which}"
    view.slot, view.corner = "free", "top right"
    return view


def _scales(views: Sequence[View]) -> tuple[float, ...]:
    """The two largest scales at which the views leave room on a page."""
    if not views:
        return (1.0,)
    wide, high = max(v.extent().width for v in views), sum(v.extent().height for v in views)
    return tuple(s for s in _SCALES if wide * s <= _MOST_WIDE_MM and high * s <= _MOST_HIGH_MM)[:2] or _SCALES[-1:]


def _ways(found: Surveyed, side: Sided) -> Iterable[Words]:
    """How it was measured and worked out."""
    said = found.said
    if not side.hull:
        yield "By angles read with an inclinometer and a drop"
        return
    used = {s.reference for s in said.on(side.side)[0] if s.reference is not None}
    ways = sorted({r.way.replace("_", " ") for r in said.references if r.name in used})
    how = "the hull's curve sought" if len(side.model.terms) > len(fit.PLANE) else "the hull taken as flat"
    template = "{n} hull points from {ways}; {how}"
    stated = "as stated" if side.scatter.stated and not side.scatter.grown else "by the residuals"
    if math.isfinite(side.scatter.mm):
        template += "; scatter of a reading {scatter}, {stated}"
    more = "a scan" if said.scan.file is not None else ", ".join(ways) or "a level"
    yield say(template, n=len(side.hull), ways=more, how=how, scatter=mm(round(side.scatter.mm, 2)), stated=stated)


def _figures(sides: Sequence[Sided], units: FileUnits, row_mm: float) -> Table:
    """The figures, of two sides beside each other."""
    told = [{what: (f"{value} {unit}", within) for what, value, unit, within in _rows(side, units)} for side in sides]
    heads = [_SIDE_WORDS[side.side or "centre"] if len(sides) > 1 else "figure" for side in sides]
    return Table(
        name="figures",
        title="PALM AND SHAFT, 95 % WITHIN",
        columns=("what", *(name for head in heads for name in (head, "within"))),
        rows=tuple(
            (what, *(cell for one in told for cell in one.get(what, ("-", "-"))))
            for what in dict.fromkeys(what for one in told for what in one)
        ),
        left=frozenset({0}),
        row_mm=row_mm,
        corner="top left",
    )


def _points(side: Sided, units: FileUnits, row_mm: float) -> Table:
    """How far each reading lies off the others, and what slip of it would have been noticed."""
    off = [(p.name, p.out, p.off_mm, p.hidden_mm) for p in side.hull]
    off += [(f"{p.name} line", p.out, math.hypot(*p.off_mm), p.hidden_mm) for p in side.line]
    cells = [
        (f"{name} OUT" if out else name, _short(by, units), "-" if hidden is None else _short(hidden, units))
        for name, out, by, hidden in off
    ]
    half = (len(cells) + 1) // 2 if len(cells) > _ONE_COLUMN else len(cells)
    beside = [*cells[half:], *[("", "", "")] * (2 * half - len(cells))] if half < len(cells) else [()] * half
    heads = ("point", "off", "noticed from")
    return Table(
        name="readings",
        title=f"READINGS, {units}",
        columns=heads * (2 if half < len(cells) else 1),
        rows=tuple((*one, *other) for one, other in zip(cells[:half], beside, strict=True)),
        left=frozenset({0, 3}),
        row_mm=row_mm,
        corner="top left",
    ).filled()


def _short(value_mm: float, units: FileUnits) -> str:
    return Amount(round(value_mm, 1), "mm").figure(units)[0]


def _palm(side: Sided, index: int, units: FileUnits, *, named: bool) -> View:
    """The palm seen from the hull, forward to the right, with the hull's height over its plane. named: whether points
    and lines have their names; those far from the palm are left out."""
    bed = side.beds[index]
    which = f" {index + 1}" if len(side.beds) > 1 else ""
    view = View(f"palm{which}", "front", f"PALM{which} FROM THE HULL; + GAP TO FILL, - TO TAKE OFF, {units}")
    view.add_outline(bed.outline_mm)
    low, high = bed.outline_mm.min(axis=0), bed.outline_mm.max(axis=0)
    size = float((high - low).max())
    if bed.uneven_mm > 0.02:
        _contours(view, side, index, units, named=named)
    for point in side.hull if index == 0 else ():
        at = point.uv_mm
        if any(not lo - 0.6 * size < c < hi + 0.6 * size for c, lo, hi in zip(at, low, high, strict=True)):
            continue
        r = size / 90.0
        view.add([shapes.circle(at, 2 * r)], "visible")
        if point.out:
            view.add([shapes.Line((at[0] - r, at[1] - r), (at[0] + r, at[1] + r))])
            view.add([shapes.Line((at[0] - r, at[1] + r), (at[0] + r, at[1] - r))])
        shown = Amount(round(point.over_mm, 1), "mm").figure(units)[0]
        sign = "+" if point.over_mm >= 0.05 else ""
        if not named or (len(side.hull) > _MOST_POINTS and not point.out):
            continue
        view.label(at, f"{point.name} OUT" if point.out else f"{point.name} {sign}{shown}", ring_mm=1.2 * r)
    view.arrow((float(high[0]), float(low[1]) - 0.12 * size), 0.0, "FWD")
    view.arrow((float(low[0]) - 0.1 * size, float(high[1])), 90.0, "PORT")
    return view


def _contours(view: View, side: Sided, index: int, units: FileUnits, *, named: bool) -> None:
    """Lines of equal height of the hull over the palm's plane, with their heights."""
    bed = side.beds[index]
    low, high = bed.outline_mm.min(axis=0), bed.outline_mm.max(axis=0)
    u, v = np.linspace(low[0], high[0], _GRID), np.linspace(low[1], high[1], _GRID)
    grid = np.stack(np.meshgrid(u, v, indexing="ij"), axis=-1)
    over = _over(bed.uv_mm, bed.over_mm, grid)
    step = next((s for s in _STEPS_MM if bed.uneven_mm / s <= _MOST_LINES), _STEPS_MM[-1])
    inside = _inside(bed.outline_mm, grid)
    for level in np.arange(math.ceil(bed.over_mm.min() / step), math.floor(bed.over_mm.max() / step) + 1) * step:
        pieces = _level_lines(grid, over - level, inside)
        view.shade(pieces)
        if pieces and named:
            longest = pieces[len(pieces) // 2]
            shown = Amount(round(float(level), 2), "mm").figure(units)[0]
            view.label(longest.a, f"{'+' if level > 0 else ''}{shown}", height_mm=2.5)


def _over(places: Floats, over: Floats, grid: Floats) -> Floats:
    """Heights at a grid, by the surface of second order through those at places."""
    terms = fit.PLANE + fit.CURVED
    scale = float(np.abs(places).max())
    found = np.linalg.lstsq(fit.design(places, terms, scale), over, rcond=None)[0]
    return np.asarray(fit.design(grid, terms, scale) @ found)


def _inside(outline: Floats, grid: Floats) -> Floats:
    """Whether each place of a grid lies within an outline."""
    a, b = outline, np.roll(outline, -1, axis=0)
    x, y = grid[..., 0, None], grid[..., 1, None]
    crosses = (a[:, 1] > y) != (b[:, 1] > y)
    rise = np.where(a[:, 1] == b[:, 1], 1.0, b[:, 1] - a[:, 1])
    left = x < a[:, 0] + (y - a[:, 1]) / rise * (b[:, 0] - a[:, 0])
    return np.asarray((crosses & left).sum(axis=-1) % 2 == 1)


def _level_lines(grid: Floats, height: Floats, inside: Floats) -> list[shapes.Line]:
    """Pieces of the line at which the height over a grid is nought, cell by cell."""
    out = []
    for i in range(grid.shape[0] - 1):
        for j in range(grid.shape[1] - 1):
            corners = ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1))
            if not all(inside[c] for c in corners):
                continue
            ends = []
            for one, other in zip(corners, (*corners[1:], corners[0]), strict=True):
                p, q = float(height[one]), float(height[other])
                if (p < 0.0) != (q < 0.0):
                    at = grid[one] + p / (p - q) * (grid[other] - grid[one])
                    ends.append((float(at[0]), float(at[1])))
            if len(ends) == 2:
                out.append(shapes.Line(ends[0], ends[1]))
    return out
