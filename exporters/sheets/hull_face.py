"""A palm's hull face on the sheets: what form is asked of it, and of one made to the hull's curve its profile."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.shapes import P
from strutwright.exporters.drawing.sheet import Table
from strutwright.exporters.drawing.symbols import Characteristic
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models.arrays import Floats
from strutwright.models.bench.inspection import palm_code
from strutwright.models.spec import HullCurve, Palm

_STEPS = 8
"""Into how many the profile is divided for its ordinates."""


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
    way = "rounded, thinner at the edges" if curve.crown_to_hull else "hollow, thicker at the edges"
    return f"{way}, cylinder R{ctx.with_unit(curve.radius_mm)}, axis {axis_words(ctx, curve)}"


def axis_words(ctx: SheetContext, curve: HullCurve) -> str:
    """Return the direction of a cylinder's axis in the palm."""
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
    notes = [
        f"Hull face made to the hull's curve, not flat: {curve_words(ctx, palm)}. Datum {datum} is the plane that "
        "touches it along the line through the middle of the palm, where the palm has its thickness; holes, heads, "
        "heights and angles are square to that plane or counted from it, not from the curve. The water face is flat "
        "and parallel to it. Profile to the hull's curve stands in place of flatness; the radius is exact."
    ]
    if ctx.strut.construction == "welded":
        notes.append(rolled_words(ctx, palm))
    return notes


def rolled_words(ctx: SheetContext, palm: Palm) -> str:
    """Return what to think of before a plate is rolled to a hull face's curve."""
    curve = palm.curve
    assert curve is not None
    inside = curve.radius_mm - (palm.thickness_mm if curve.crown_to_hull else 0.0)
    return (
        f"These sheets are for a hull face machined from thicker plate. A plate of {ctx.with_unit(palm.thickness_mm)} "
        f"rolled to R{ctx.with_unit(inside)} inside has that hull face too, but a curved water face: ends of the arms, "
        "preparation, holes and heads then do not fit as drawn; agree it first."
    )


def on_plate(ctx: SheetContext, palms: Sequence[Palm]) -> list[str]:
    """Return the note on a plate under hull faces that are not flat; none where all are."""
    curved = [p for p in palms if p.curve is not None]
    if not curved:
        return []
    named = [f" ({p.name})" if len(palms) > 1 else "" for p in curved]
    edges = " and ".join(
        f"{ctx.with_unit(abs(_rim_mm(p)))} {'low' if p.edge_mm < 0 else 'high'}{name}"
        for p, name in zip(curved, named, strict=True)
    )
    return [
        "The hull face is made to the hull's curve: heights and angles are from the plane that touches it in the "
        f"middle of the palm. It does not lie flat on a plate: its rim is up to {edges}, toward the hull counted up. "
        "Set it on packing to equal gaps and count from its middle, or measure from the flat water face and add "
        "the palm's thickness."
    ]


def _rim_mm(palm: Palm) -> float:
    """Greatest height of the hull face's rim over its middle, with its sign."""
    heights = np.asarray(palm.height_mm(*palm.outline.polyline(0.01).T))
    return float(heights[int(np.argmax(np.abs(heights)))])


def profile_ordinates(palm: Palm, curve: HullCurve) -> tuple[Floats, Floats]:
    """Return places off the line of touch, to both edges of the palm, and the palm's thickness there, mm."""
    turn = math.radians(curve.axis_deg)
    way = np.array([-math.sin(turn), math.cos(turn)])
    off = (palm.outline.polyline(0.01) - palm.middle_mm) @ way
    low, high = float(off.min()), float(off.max())
    each = np.concatenate([np.linspace(low, 0.0, _STEPS // 2 + 1)[:-1], np.linspace(0.0, high, _STEPS // 2 + 1)])
    u, v = (each[:, None] * way + palm.middle_mm).T
    return each, np.asarray(palm.thickness_mm + palm.height_mm(u, v))


def ends(curve: HullCurve) -> tuple[str, str]:
    """Return on which side of the line of touch the ordinates count down and up."""
    turn = math.radians(curve.axis_deg)
    if abs(math.cos(turn)) >= abs(math.sin(turn)):
        return "starboard", "port"
    return ("forward", "aft") if curve.axis_deg > 0 else ("aft", "forward")


def profile_view(ctx: SheetContext, palm: Palm) -> list[View]:
    """Return the palm cut square to its hull face's axis, water face up; none of a flat one."""
    curve = palm.curve
    if curve is None:
        return []
    each, thick = profile_ordinates(palm, curve)
    t, wide, own = palm.thickness_mm, float(each[-1] - each[0]), palm_code(ctx.strut, palm)
    view = View("profile", "free", "HULL FACE ACROSS ITS AXIS", scale=common.one_scale(wide, 95.0))
    fine = np.linspace(float(each[0]), float(each[-1]), 61)
    turn = math.radians(curve.axis_deg)
    u, v = palm.middle_mm[0] - fine * math.sin(turn), palm.middle_mm[1] + fine * math.cos(turn)
    face = np.column_stack([fine, -np.asarray(palm.height_mm(u, v))])
    loop = np.vstack([face, [(float(each[-1]), t), (float(each[0]), t)]])
    view.add_outline(loop)
    view.hatch([loop], spacing_mm=2.5)
    view.centre_line((0.0, 0.0), (0.0, t))
    left, right = (float(each[0]), t - float(thick[0])), (float(each[-1]), t - float(thick[-1]))
    view.vertical(left, (left[0], t), Label(reference=True), side="left")
    view.vertical(right, (right[0], t), Label(reference=True), side="right")
    view.horizontal(left, right, Label(reference=True))
    way = "ROUNDED" if curve.crown_to_hull else "HOLLOW"
    at: P = (0.45 * float(each[-1]), float(np.interp(0.45 * float(each[-1]), face[:, 0], face[:, 1])))
    view.note(at, [f"HULL FACE, {way}", f"R{ctx.length(curve.radius_mm)} (exact)"], at_deg=-50.0)
    allowed = ctx.length(tolerances.flatness_mm(ctx.strut, palm))
    touch: P = (0.5 * float(each[0]), float(np.interp(0.5 * float(each[0]), face[:, 0], face[:, 1])))
    view.tolerance(touch, "profile", allowed, at_deg=-120.0, row=f"{own}.flatness")
    view.note((0.0, t), [f"{ctx.length(t)} IN THE MIDDLE"], at_deg=60.0, row=f"{own}.thickness")
    one, other = ends(curve)
    view.label((float(each[0]), t), one.upper(), at_deg=135.0)
    view.label((float(each[-1]), t), other.upper(), at_deg=45.0)
    return [view]


def ordinate_table(ctx: SheetContext, palm: Palm) -> list[Table]:
    """Return the palm's thickness across its hull face's axis; none of a flat one."""
    curve = palm.curve
    if curve is None:
        return []
    one, other = ends(curve)
    rows = tuple(
        (ctx.length(x), ctx.length(thick), ctx.length(thick - palm.thickness_mm))
        for x, thick in zip(*(a.tolist() for a in profile_ordinates(palm, curve)), strict=True)
    )
    return [
        Table(
            name="curve",
            title=f"HULL FACE, SQUARE TO ITS AXIS, {ctx.unit}: + TO {other.upper()}, - TO {one.upper()}",
            columns=("off the line of touch", "thickness", "face from its middle, + to the hull"),
            rows=rows,
        )
    ]
