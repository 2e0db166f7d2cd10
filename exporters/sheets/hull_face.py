"""A palm's hull face on the sheets: what form is asked of it, and of one made to the hull's curve its profile."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.sheet import Table
from strutwright.exporters.drawing.symbols import Characteristic
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models.arrays import Floats
from strutwright.models.bench.inspection import palm_code
from strutwright.models.hull_curve import Bend, HullCurve
from strutwright.models.spec import Palm

_STEPS = 8
"""Into how many the profile is divided for its ordinates."""
_GRID = 5
"""Places each way of the palm at which a face of second order has its height told."""
_SEEN_MM = 0.005


def form(palm: Palm) -> Characteristic:
    """Return what is asked of a hull face's form."""
    return "flatness" if palm.curve is None else "profile"


def form_words(palm: Palm) -> str:
    """Return the same for the inspection record."""
    return "flatness of hull face" if palm.curve is None else "profile of hull face to the hull's curve"


def curve_words(ctx: SheetContext, palm: Palm) -> str:
    """Return what a palm's hull face is made to; "" where it is flat."""
    curve = palm.curve
    if curve is None:
        return ""
    axis = f"axis {axis_words(ctx, curve)}"
    ways = [f"{shape(way)}, R{ctx.with_unit(way.radius_mm)}" for way in curve.ways]
    if curve.second_order:
        return f"a face of second order, square to its axis {ways[0]}, along it {ways[1]}, both in the middle; {axis}"
    how = "rounded, thinner at the edges" if curve.crown_to_hull else "hollow, thicker at the edges"
    return f"{how}, cylinder R{ctx.with_unit(curve.radius_mm)}, {axis}"


def shape(way: Bend) -> str:
    """Return how a hull face bends in a direction."""
    return "rounded" if way.crown_to_hull else "hollow"


def axis_words(ctx: SheetContext, curve: HullCurve) -> str:
    """Return the direction of a curve's axis in the palm."""
    turn = ctx.figures.angle(abs(curve.axis_deg))
    if abs(curve.axis_deg) < 0.005:
        return "along u"
    if abs(abs(curve.axis_deg) - 90.0) < 0.005:
        return "along v"
    return f"{turn} from u toward {'port' if curve.axis_deg > 0 else 'starboard'}"


def palm_notes(ctx: SheetContext, palm: Palm, datum: str) -> list[str]:
    """Return the notes of a palm's sheet on its hull face; none of a flat one. datum: the hull face's letter."""
    if palm.curve is None:
        return []
    at = "in the middle of the palm" if palm.curve.second_order else "along the line through the middle of the palm"
    exact = "the radius is exact" if not palm.curve.second_order else _law_words(ctx, palm.curve)
    notes = [
        f"Hull face made to the hull's curve, not flat: {curve_words(ctx, palm)}. Datum {datum} is the plane that "
        f"touches it {at}, where the palm has its thickness; holes, heads, "
        "heights and angles are square to that plane or counted from it, not from the curve. The water face is flat "
        f"and parallel to it. Profile to the hull's curve stands in place of flatness; {exact}."
    ]
    if ctx.strut.construction == "welded":
        notes.append(rolled_words(ctx, palm))
    return notes


def _law_words(ctx: SheetContext, curve: HullCurve) -> str:
    """How high a face of second order lies, for whoever programs a machine for it."""
    parts = [
        f"{'less' if way.crown_to_hull else 'plus'} the square of the way {'off' if way.across else 'along'} the axis "
        f"over {ctx.with_unit(2.0 * way.radius_mm)}"
        for way in curve.ways
    ]
    return f"toward the hull it stands off that plane by {', '.join(parts)}, exactly"


def rolled_words(ctx: SheetContext, palm: Palm) -> str:
    """Return what to think of before a plate is rolled to a hull face's curve."""
    curve = palm.curve
    assert curve is not None
    inside = curve.radius_mm - (palm.thickness_mm if curve.crown_to_hull else 0.0)
    plate = f"A plate of {ctx.with_unit(palm.thickness_mm)}"
    formed = (
        f"{plate} pressed to that shape, which bends both ways,"
        if curve.second_order
        else f"{plate} rolled to R{ctx.with_unit(inside)} inside"
    )
    return (
        f"These sheets are for a hull face machined from thicker plate. {formed} "
        "has that hull face too, but a curved water face: ends of the arms, "
        "preparation, holes and heads then do not fit as drawn; agree it first."
    )


def on_plate(ctx: SheetContext, palms: Sequence[Palm]) -> list[str]:
    """Return the note on a plate under hull faces that are not flat; none where all are."""
    curved = [p for p in palms if p.curve is not None]
    if not curved:
        return []
    named = [f" ({p.name})" if len(palms) > 1 else "" for p in curved]
    edges = " and ".join(f"{_rim_words(ctx, p)}{name}" for p, name in zip(curved, named, strict=True))
    return [
        "The hull face is made to the hull's curve: heights and angles are from the plane that touches it in the "
        f"middle of the palm. It does not lie flat on a plate: its rim is up to {edges}, toward the hull counted up. "
        "Set it on packing to equal gaps and count from its middle, or measure from the flat water face and add "
        "the palm's thickness."
    ]


def _rim_words(ctx: SheetContext, palm: Palm) -> str:
    """How far the hull face's rim lies over or under its middle at most, or both."""
    heights = np.asarray(palm.height_mm(*palm.outline.polyline(0.01).T))
    ends_mm = [(float(heights.max()), "high"), (-float(heights.min()), "low")]
    most = max(ends_mm)[0]
    return " and ".join(f"{ctx.with_unit(by)} {way}" for by, way in ends_mm if by >= min(_SEEN_MM, most))


def _places(palm: Palm, way: Bend, count: int) -> tuple[Floats, Floats]:
    """Places (2 count + 1,) along a direction through a palm's middle to both its edges, mm from there, and how high
    the hull face lies over its plane."""
    turn = math.radians(way.turn_deg)
    along = np.array([math.cos(turn), math.sin(turn)])
    off = (palm.outline.polyline(0.01) - palm.middle_mm) @ along
    low, high = float(off.min()), float(off.max())
    each = np.concatenate([np.linspace(low, 0.0, count + 1)[:-1], np.linspace(0.0, high, count + 1)])
    u, v = (each[:, None] * along + palm.middle_mm).T
    return each, np.asarray(palm.height_mm(u, v))


def ends(way: Bend) -> tuple[str, str]:
    """Return on which side of the middle the ordinates along a direction count down and up."""
    c, s = math.cos(math.radians(way.turn_deg)), math.sin(math.radians(way.turn_deg))
    if abs(s) >= abs(c):
        return ("starboard", "port") if s > 0.0 else ("port", "starboard")
    return ("aft", "forward") if c > 0.0 else ("forward", "aft")


def profile_view(ctx: SheetContext, palm: Palm) -> list[View]:
    """Return the palm cut square to its hull face's axis, and along it where it bends there too, water face up; none
    of a flat one."""
    return [] if palm.curve is None else [_profile(ctx, palm, palm.curve, way) for way in palm.curve.ways]


def _profile(ctx: SheetContext, palm: Palm, curve: HullCurve, way: Bend) -> View:
    each, heights = _places(palm, way, 30)
    t, wide, own = palm.thickness_mm, float(each[-1] - each[0]), palm_code(ctx.strut, palm)
    name, where = ("profile", "ACROSS") if way.across else ("profile along", "ALONG")
    view = View(name, "free", f"HULL FACE {where} ITS AXIS", scale=common.one_scale(wide, 95.0))
    face = np.column_stack([each, -heights])
    loop = np.vstack([face, [(float(each[-1]), t), (float(each[0]), t)]])
    view.add_outline(loop)
    view.hatch([loop], spacing_mm=2.5)
    view.centre_line((0.0, 0.0), (0.0, t))
    left, right = ((float(each[k]), -float(heights[k])) for k in (0, -1))
    view.vertical(left, (left[0], t), Label(reference=True), side="left")
    view.vertical(right, (right[0], t), Label(reference=True), side="right")
    view.horizontal(left, right, Label(reference=True))
    at, touch = (
        (share * end, float(np.interp(share * end, face[:, 0], face[:, 1])))
        for share, end in ((0.45, float(each[-1])), (0.5, float(each[0])))
    )
    radius = f"R{ctx.length(way.radius_mm)} {'IN THE MIDDLE ' if curve.second_order else ''}(exact)"
    view.note(at, [f"HULL FACE, {shape(way).upper()}", radius], at_deg=-50.0)
    if way.across:
        allowed = ctx.length(tolerances.flatness_mm(ctx.strut, palm))
        view.tolerance(touch, "profile", allowed, at_deg=-120.0, row=f"{own}.flatness")
        view.note((0.0, t), [f"{ctx.length(t)} IN THE MIDDLE"], at_deg=60.0, row=f"{own}.thickness")
    one, other = ends(way)
    view.label((float(each[0]), t), one.upper(), at_deg=135.0)
    view.label((float(each[-1]), t), other.upper(), at_deg=45.0)
    return view


def ordinate_table(ctx: SheetContext, palm: Palm) -> list[Table]:
    """Return the palm's thickness across its hull face's axis, or its heights on a grid where it bends along it too;
    none of a flat one."""
    curve = palm.curve
    if curve is None:
        return []
    if curve.second_order:
        return [_grid_table(ctx, palm)]
    (way,) = curve.ways
    one, other = ends(way)
    rows = tuple(
        (ctx.length(x), ctx.length(palm.thickness_mm + high), ctx.length(high))
        for x, high in zip(*(a.tolist() for a in _places(palm, way, _STEPS // 2)), strict=True)
    )
    return [
        Table(
            name="curve",
            title=f"HULL FACE, SQUARE TO ITS AXIS, {ctx.unit}: + TO {other.upper()}, - TO {one.upper()}",
            columns=("off the line of touch", "thickness", "face from its middle, + to the hull"),
            rows=rows,
        )
    ]


def _grid_table(ctx: SheetContext, palm: Palm) -> Table:
    """Heights of a hull face over its middle at places of the palm's axes; a dash where they are off the palm."""
    box = palm.outline.bounding_box()
    us, vs = np.linspace(box.xmin, box.xmax, _GRID), np.linspace(box.ymax, box.ymin, _GRID)

    def cell(u: float, v: float) -> str:
        on = float(palm.outline.distance_to_boundary((u, v))) >= -_SEEN_MM
        return ctx.length(float(palm.height_mm(u, v))) if on else "-"

    return Table(
        name="curve",
        title=f"HULL FACE OVER ITS MIDDLE, {ctx.unit}, + TO HULL",
        columns=("at v", *(f"u {ctx.length(u)}" for u in us.tolist())),
        rows=tuple((ctx.length(v), *(cell(u, v) for u in us.tolist())) for v in vs.tolist()),
    )
