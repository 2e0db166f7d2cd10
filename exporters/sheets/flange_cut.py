"""A flanged housing cut along the shaft in the upright plane: each part hatched by itself, ribs left whole.

Ribs that lie in the cutting plane are not hatched (ISO 128-50): of a welded housing they are drawn whole, of a casting
they are lined off from what they stand on.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from typing import Any, Literal

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.projection import FRONT, Viewpoint, behind, cut_faces, project
from strutwright.exporters.drawing.shapes import Line, P, Shape
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import seen
from strutwright.models import frames
from strutwright.models.geometry import flange as shapes
from strutwright.models.geometry.barrel import parallel_part
from strutwright.models.outline import Floats
from strutwright.models.spec import Strut
from strutwright.models.spec_flange import Flange

EYE = Viewpoint(FRONT.toward, FRONT.right)
SPIGOT_UNDER_MM = 0.2
"""Tolerance of a spigot that goes into the bore of the base, all of it under size; common practice, no source."""
_SHOWN = 1.5
"""Of a shoe's plate on the sheet of its boss, in outsides of the boss from its axis."""
SLOPES = (45.0, 135.0)
"""Section lines of neighbours lean to opposite sides."""


def add_cut(ctx: SheetContext, view: View, broken: float | None = None) -> None:
    """Add the housing cut along the shaft in the upright plane, seen from starboard; broken: above which height (mm) it
    is left off."""
    bodies = [p for p in ctx.built.parts if p.kind not in common.KEPT_OUT]
    if broken is not None:
        bodies = [replace(p, shape=_below(p.shape, broken)) for p in bodies]
    whole = [p for p in bodies if p.name in _whole_ribs(ctx.strut)]
    cut = [p for p in bodies if p not in whole]
    rest = _compound([*(behind(p.shape, EYE) for p in cut), *(getattr(p.shape, "wrapped", p.shape) for p in whole)])
    shown = project(rest, EYE, hidden=False)
    ctx.seconds[f"{view.name} cut"] = shown.seconds
    if broken is not None:
        shown = replace(shown, visible=tuple(s for s in shown.visible if not _lies_at(s, broken)))
        _break(ctx.strut, view, broken)
    view.add_projection(shown, hidden=False)
    lined = list(_lined_ribs(ctx.strut)) if ctx.strut.construction == "cast" else []
    for k, part in enumerate(cut):
        with suppress(ValueError):  # the plane does not meet it
            view.hatch([*cut_faces(part.shape, EYE).loops, *lined], angle_deg=SLOPES[k % 2])
    for corners in lined:
        foot, root, rim = (_place(corners[k]) for k in (0, 1, 2))
        view.add([Line(foot, root), Line(root, rim)])


def broken_mm(strut: Strut) -> float | None:
    """Return how far forward of the stock's axis (mm) a shoe's plate is shown on the sheet of its boss, and broken off;
    None where it is shown whole: what is made there is on the sheet of the plate."""
    if strut.shoe is None or strut.flange is None:
        return None
    ribs, reach = strut.flange.ribs, _SHOWN * strut.barrel.outside_mm
    if ribs is not None:
        reach = max(reach, strut.barrel.outside_mm / 2 + ribs.out_mm + strut.flange.thickness_mm)
    far = float(strut.flange.outline.bounding_box().xmax) * math.cos(math.radians(strut.flange.plane.lean_deg))
    return reach if far > 1.3 * reach else None


def _below(shape: Any, height_mm: float) -> Any:
    return behind(shape, Viewpoint((0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 0.0, height_mm)))


def _lies_at(shape: Shape, height_mm: float) -> bool:
    return isinstance(shape, Line) and all(abs(p[1] - height_mm) < 0.02 for p in (shape.a, shape.b))


def _break(strut: Strut, view: View, height_mm: float) -> None:
    assert strut.flange is not None
    ends = (shapes.face_x_mm(strut.flange, strut.barrel, d, 0.0, height_mm) for d in (0.0, strut.flange.thickness_mm))
    a, b = ends
    view.break_line((a, height_mm), (b, height_mm))


def true_face(ctx: SheetContext, view: View, flange: Flange, letter: str, most_mm: float = math.inf) -> None:
    """Add the tolerance of place of the bedding face to the axis of the bore, toward its upper edge in the cut, no
    higher than most_mm."""
    axes, box = frames.flange_axes(flange, ctx.strut.barrel), flange.outline.bounding_box()
    at = seen(FRONT, axes.to_strut(np.array([[min(0.7 * box.xmax, most_mm), 0.0]]))[0])
    kind: Literal["perpendicularity", "angularity"] = "perpendicularity" if flange.plane.square else "angularity"
    view.tolerance(at, kind, tolerances.tolerance_words(ctx, tolerances.SQUARE_MM), (letter,), row="flange.true")


def machined(ctx: SheetContext, view: View, flange: Flange) -> None:
    """Add the sizes of what is machined with the bore: bedding face, spigot with its bore and barbs, recess."""
    barrel, plane, s = ctx.strut.barrel, flange.plane, flange.spigot
    sign = 1.0 if plane.looks == "forward" else -1.0
    side: Literal["left", "right"] = "right" if sign > 0 else "left"
    x, half = barrel.x(plane.station_mm), barrel.length_mm / 2
    true_face(ctx, view, flange, "A", 0.8 * (broken_mm(ctx.strut) or math.inf))
    axes, box = frames.flange_axes(flange, barrel), flange.outline.bounding_box()
    at = seen(FRONT, axes.to_strut(np.array([[0.9 * box.xmin, 0.0]]))[0])
    turn = math.degrees(math.atan2(at[0] - x, -at[1]))  # of the face off upright, in the cut
    view.surface(at, tolerances.texture(ctx, tolerances.PALM_RA), turn_deg=-90.0 * sign + turn, late=True)
    end = shapes.spigot_end_mm(flange, barrel)
    ends = (min(-half, x, *([] if end is None else [end])), max(half, x, *([] if end is None else [end])))
    view.centre_line((ends[0], 0.0), (ends[1], 0.0))
    if abs(half * sign - x) > 0.005:
        far = -half * sign, -barrel.outside_mm / 2
        view.horizontal(far, (x, 0.0), Label(suffix="TO BEDDING FACE", row="flange.station"))
    recess_note(ctx, view, flange)
    if s is None or end is None:
        return
    off = spigot_off_mm(flange)
    view.horizontal((x, s.outside_mm / 2), (end, s.outside_mm / 2), Label(row="spigot.length"), side="above")
    outside = Label(prefix="spigot Ø", deviations=off, row="spigot.outside")
    view.vertical((end, -s.outside_mm / 2), (end, s.outside_mm / 2), outside, side=side)
    view.vertical((end, -s.bore_mm / 2), (end, s.bore_mm / 2), Label(prefix="Ø", row="spigot.bore"), side=side)
    barb_note(ctx, view, flange)


def clear_of_flange(strut: Strut, flange: Flange) -> tuple[float, Literal["left", "right"]]:
    """Return x (mm) of a place on the barrel's parallel part clear of flange and ribs, and the side on which a size of
    its outside stands."""
    low, high = (float(s) for s in parallel_part(strut.barrel))
    aft, fore = shapes.free_stations_mm(flange, strut.barrel)
    if flange.plane.looks == "forward":
        return strut.barrel.x(low + 0.25 * max(min(high, aft) - low, 0.0)), "left"
    return strut.barrel.x(high - 0.25 * max(high - max(low, fore), 0.0)), "right"


def spigot_off_mm(flange: Flange) -> tuple[float, float] | None:
    """Return the deviations (mm) of a spigot's outside: under size in the bore of the base; None for a hose, where the
    general tolerance serves. Common practice, no source."""
    return (0.0, -SPIGOT_UNDER_MM) if flange.spigot is not None and flange.spigot.use == "base_bore" else None


def recess_note(ctx: SheetContext, view: View, flange: Flange) -> None:
    """Add what is said of the recess of a bedding face."""
    gasket = flange.gasket
    if gasket is None or gasket.recess_mm <= 0:
        return
    rim = frames.flange_axes(flange, ctx.strut.barrel).to_strut(np.array([[gasket.recess_mm / 2, 0.0]]))[0]
    words = [f"recess Ø{ctx.length(gasket.recess_mm)}", f"{ctx.length(gasket.recess_depth_mm)} deep"]
    view.note(seen(FRONT, rim), words, at_deg=60.0, row="flange.recess")


def barb_note(ctx: SheetContext, view: View, flange: Flange) -> None:
    """Add the sizes of a spigot's barbs."""
    s, end = flange.spigot, shapes.spigot_end_mm(flange, ctx.strut.barrel)
    if s is None or end is None or not s.barbs:
        return
    sign = 1.0 if flange.plane.looks == "forward" else -1.0
    long = shapes.barb_length_mm(s)
    words = [f"{s.barbs} barb{'s' if s.barbs > 1 else ''}, {ctx.length(s.barb_height_mm)} high"]
    words.append(f"on {ctx.length(long)}" + (f", pitch {ctx.length(1.5 * long)}" if s.barbs > 1 else ""))
    view.note((end - sign * long, s.outside_mm / 2 + s.barb_height_mm), words, at_deg=90.0 - 35.0 * sign)


def _compound(shapes_: list[object]) -> object:
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    made, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(made)
    for shape in shapes_:
        builder.Add(made, shape)
    return made


def _place(row: Floats) -> P:
    return float(row[0]), float(row[1])


def _in_plane(flange: Flange, strut: Strut) -> Iterator[tuple[int, float]]:
    """The ribs that the upright plane cuts lengthwise: their numbers from 0 and clock angles."""
    ribs = flange.ribs
    for k, clock in enumerate(ribs.clocks_deg if ribs is not None else ()):
        assert ribs is not None
        if strut.barrel.outside_mm / 2 * abs(math.sin(math.radians(clock))) < ribs.thickness_mm / 2:
            yield k, clock


def _whole_ribs(strut: Strut) -> set[str]:
    """Names of the parts that are not cut."""
    return set() if strut.flange is None else {f"rib {k + 1}" for k, _ in _in_plane(strut.flange, strut)}


def _lined_ribs(strut: Strut) -> Iterator[Floats]:
    """The ribs of a casting in the cutting plane: toe on the barrel, corner, end on the flange, and their free corners,
    x and height (n, 2)."""
    flange, r = strut.flange, strut.barrel.outside_mm / 2
    if flange is None or flange.ribs is None:
        return
    for _, clock in _in_plane(flange, strut):
        up = math.cos(math.radians(clock))
        outline = shapes.rib_profile(flange, strut.barrel, clock)
        (_, out), end, toe = outline[1], outline[2], outline[3]
        rows = [(toe[0], r)]
        rows += [(shapes.face_x_mm(flange, strut.barrel, flange.thickness_mm, clock, at), at) for at in (r, out)]
        yield np.array([(x, at * up) for x, at in (*rows, end, toe)])
