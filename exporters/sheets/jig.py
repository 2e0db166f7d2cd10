"""The weld jig: the strut with a palm's hull face down on a flat plate, seen level and from above, and its heights."""

from __future__ import annotations

import math

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.projection import Viewpoint
from strutwright.exporters.drawing.shapes import Line, from_vertices
from strutwright.exporters.drawing.sheet import Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.cut_list import BORING_MM
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import palm_axes_lines, seen
from strutwright.models import frames
from strutwright.models.shop import cuts
from strutwright.models.spec import Palm, Strut


def jig_view(palm: Palm) -> Viewpoint:
    """Return how a strut is seen that lies with a palm's hull face on a flat plate: level, square to the shaft."""
    axes = frames.palm_axes(palm)
    shaft = np.array([1.0, 0.0, 0.0])
    ahead = frames.unit(shaft - float(shaft @ axes.n) * axes.n)
    toward = np.cross(ahead, -axes.n)
    (tx, ty, tz), (rx, ry, rz), (ox, oy, oz) = (map(float, v) for v in (toward, ahead, axes.origin))
    return Viewpoint((tx, ty, tz), (rx, ry, rz), (ox, oy, oz))


def level_view(ctx: SheetContext) -> View:
    """Return the strut on the plate, seen level and square to the shaft."""
    strut, palm = ctx.strut, ctx.strut.palms[0]
    eye = jig_view(palm)
    view = View("jig", "free", f"JIG: HULL FACE OF THE {palm.name.upper()} DOWN ON A FLAT PLATE")
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), eye, hidden=False))
    box = view.extent()
    view.scale = common.one_scale(max(box.width, box.height), 150.0)
    view.add([Line((box.x0 - 0.06 * box.width, 0.0), (box.x1 + 0.06 * box.width, 0.0))], "visible")
    half = strut.barrel.length_mm / 2
    aft, fore = (seen(eye, (x, 0.0, 0.0)) for x in (-half, half))
    view.centre_line(aft, fore)
    foot = 0.5 * (box.x0 + box.x1)
    view.vertical((foot, 0.0), aft, Label(reference=True, suffix="AT AFT FACE"), side="left")
    view.vertical((foot, 0.0), fore, Label(reference=True, suffix="AT FORWARD FACE"), side="right")
    view.horizontal(aft, fore, Label(reference=True), side="above")
    angle = common.degrees(common.set_up(palm.plane).true_deg)
    view.note((0.5 * (aft[0] + fore[0]), 0.5 * (aft[1] + fore[1])), [f"shaft line, {angle} to the plate"], head="dot")
    view.arrow((box.x1 - 0.1 * box.width, box.y1 + 0.06 * box.height), 0.0, "FWD")
    return view


def plan_view(ctx: SheetContext) -> View:
    """Return the jig from above: the palm hull face down, and the bore's axis over it from the palm's zero."""
    strut, palm = ctx.strut, ctx.strut.palms[0]
    box, r = palm.outline.bounding_box(), strut.barrel.outside_mm / 2
    ends = [(p.u_mm, -p.v_mm) for p in common.axis_over_palm(strut, palm)]
    (x0, y0), (x1, y1) = ends
    low, high = min(-box.ymax, y0 - r, y1 - r), max(-box.ymin, y0 + r, y1 + r)
    wide = max(box.xmax, x0, x1) - min(box.xmin, x0, x1)
    scale = common.one_scale(max(wide, high - low), 150.0)
    view = View("jig plan", "free", f"THE JIG FROM ABOVE: {palm.name.upper()}, HULL FACE DOWN", scale=scale)
    view.add_outline(palm.outline.mirror("x").vertices)
    for hole in palm.holes:
        view.circle((hole.u_mm, -hole.v_mm), palm.bolt.hole_mm)
    palm_axes_lines(view, palm, -1.0)
    view.centre_line(*ends)
    way = np.array((x1 - x0, y1 - y0)) / math.dist(*ends)
    side = r * np.array((-way[1], way[0]))
    view.add([from_vertices(np.array([ends[0] + side, ends[1] + side, ends[1] - side, ends[0] - side]))], "phantom")
    axes = frames.palm_axes(palm)
    for arm in strut.arms:
        if strut.palms[arm.palm_index] is palm:  # the profile of the arm, from above
            own, foot, top = cuts.cut_arm(strut, arm)
            corners = [foot.points[0], foot.points[own.leading], top.points[own.leading], top.points[0]]
            view.add([from_vertices(axes.from_strut(np.array(corners))[:, :2] * (1.0, -1.0))], "phantom")
    # The sign with the figure: aft of the palm's zero is negative, to starboard too.
    view.horizontal((0.0, 0.0), ends[0], Label(prefix="u -" if x0 < 0 else "u"))
    view.horizontal((0.0, 0.0), ends[1], Label(prefix="u -" if x1 < 0 else "u"), side="above")
    for end in ends:
        if abs(end[1]) > 0.05:
            label = Label(prefix="v -" if end[1] > 0 else "v")
            view.vertical((0.0, 0.0), end, label, side="left" if end is ends[0] else "right")
    view.note(ends[0], ["bore's axis at", "the aft face"], head="dot")
    view.note((0.0, 0.0), ["palm's zero"], head="dot")
    view.arrow((box.xmin + 0.6 * (box.xmax - box.xmin), high + 0.08 * wide), 0.0, "FWD")
    view.arrow((box.xmin + 0.05 * (box.xmax - box.xmin), high + 0.04 * wide), 90.0, "STARBOARD")
    return view


def mandrel_mm(strut: Strut) -> tuple[float, float]:
    """Return the diameters (mm) of a bar that fills the bore: as it is for welding, and finished."""
    through, tube = min([strut.barrel.bore_mm, *(s.diameter_mm for s in strut.barrel.steps)]), strut.barrel.tube
    return through - BORING_MM if tube is None else tube.outside_mm - 2 * tube.wall_mm, through


def jig_table(ctx: SheetContext) -> Table:
    """Return heights and places by which barrel and palm are set in the jig."""
    strut, (rough, bore) = ctx.strut, mandrel_mm(ctx.strut)
    ends = ("aft face", "forward face")
    zero = ("forward of the palm's zero (u)", "to port of the palm's zero (v)")
    edges = ("forward of the aftmost edge (X)", "to port of the starboard edge (Y)")
    heads = [
        *(f"shaft line over the plate, {end}" for end in ends),
        *(f"top of a mandrel in the rough bore, Ø{ctx.length(rough)}, {end}" for end in ends),
        *(f"top of a bar in the finished bore, Ø{ctx.length(bore)}, {end}" for end in ends),
        *(f"{end}: {what}" for end in ends for what in (*zero, *edges)),
        "shaft to plate, true angle",
        "skew of the bar to the trace, plan, toward port",
        "the same over the barrel's length",
    ]
    columns = []
    for palm in strut.palms:
        up, box = common.set_up(palm.plane), palm.outline.bounding_box()
        level = math.cos(math.radians(up.true_deg))
        points = common.axis_over_palm(strut, palm)
        heights = [p.height_mm + d / 2 * level for d in (0.0, rough, bore) for p in points]
        places = [v for p in points for v in (p.u_mm, p.v_mm, p.u_mm - box.xmin, p.v_mm - box.ymin)]
        angles = common.degrees(up.true_deg), common.degrees(up.skew_deg)
        aside = ctx.length(strut.barrel.length_mm * level * math.sin(math.radians(up.skew_deg)))
        columns.append([*(ctx.length(v) for v in (*heights, *places)), *angles, aside])
    rows = tuple(zip(heads, *columns, strict=True))
    title = f"JIG, hull face down on a flat plate, {ctx.unit}"
    return Table(
        name="jig", title=title, columns=("what", *(palm.name for palm in strut.palms)), rows=rows, left=frozenset({0})
    )
