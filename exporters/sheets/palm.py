"""The palm drilling sheet: one palm seen square on its water face, its holes in a table, and a hole cut through."""

from __future__ import annotations

import math
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.shapes import Arc, Line, P, from_vertices, xy
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.outdir import slug
from strutwright.exporters.sheets import common, hull_face, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.hanger import turned_deg, turned_length
from strutwright.exporters.sheets.palm_work import drilling_steps, landing, obstacles
from strutwright.exporters.sheets.plane import palm_axes_lines
from strutwright.models import cautions, frames
from strutwright.models.arrays import Floats
from strutwright.models.bench.inspection import palm_code
from strutwright.models.bench.installation import BEDDED, torque_words
from strutwright.models.geometry import members
from strutwright.models.outline import Outline, OutlineError, nearest_on
from strutwright.models.shop import arm_ends, sides
from strutwright.models.shop import development as dev
from strutwright.models.shop.bolting import bolt_metal
from strutwright.models.spec import Palm, PalmHole, Plate, Strut

FACE, AXIS, END = "P", "A", "B"
"""Datum letters: hull face; the bore's axis and the barrel's aft face, as on the barrel's sheet. A palm's edges are no
datums: they are as cast, drafted, or round.
"""
NO_RECESS = ["no recess; head or nut,", "and washer, on the water face"]
LEAST_ANGLE_DEG = 0.05
ON_TRACE_MM = 0.05
"""A palm's zero this near to the trace is on it."""


def palm_drilling(ctx: SheetContext, *, index: int = 0) -> Sheet:
    """Return the drilling sheet of one of the strut's palms, by its place in the list."""
    strut, palm = ctx.strut, ctx.strut.palms[index]
    # The finished plate's, with its bevel and recesses; of a casting the palm has no weight of its own.
    mass = common.part_mass(ctx, palm.called)
    name = "Palm" if len(strut.palms) == 1 else palm.name.capitalize()
    return ctx.sheet(
        f"{name}, drilling",
        "Drilling drawing",
        [
            _water_face(ctx, palm),
            _hull_face(ctx, palm),
            hole_section(ctx, palm, palm_code(strut, palm)),
            *hull_face.profile_view(ctx, palm),
        ],
        face="WATER FACE",
        mass=f"plate {mass}" if mass else "",
        tables=[
            _hole_table(ctx, palm),
            _axis_table(ctx, palm),
            *_corner_table(ctx, palm),
            *hull_face.ordinate_table(ctx, palm),
        ],
        notes=palm_notes(ctx, palm),
        cautions=[cautions.STRUCTURE, cautions.drilling(common.family(strut.material))],
        scales=common.no_larger(common.scales_between(tolerances.longest_mm(palm), 95.0, 420.0)),
        part=palm.name,
    )


def _water(u: float, v: float) -> P:
    """A point of the palm axes as seen on the water face, forward to the right: starboard is up."""
    return u, -v


def projection_deg(palm: Palm) -> float:
    """Return the direction of the shaft's projection in the palm axes: from u, positive toward port."""
    return frames.trace_to_projection_deg(palm.plane.pitch_deg, palm.plane.tilt_deg) - palm.axes_deg


def _trace_lines(ctx: SheetContext, palm: Palm, more: str) -> list[str]:
    """What the line through the zero along the trace is called: the trace itself only where it is that."""
    aside = arm_ends.off_trace(palm).on_face_mm
    if abs(aside) < ON_TRACE_MM:
        return ["TRACE of the vertical", f"plane through the shaft{more}"]
    side = "starboard" if aside > 0 else "port"
    return [
        "PARALLEL TO THE TRACE of the",
        f"vertical plane through the shaft{more};",
        f"the trace: {ctx.length(abs(aside))} to {side}",
    ]


def ring_mm(palm: Plate) -> float:
    """Return the radius of the largest circle drawn round a hole: hole, head or tool."""
    bolt = palm.bolt
    return max(bolt.hole_mm, bolt.head_diameter_mm, bolt.driver_diameter_mm) / 2


def closest_hole(palm: Plate) -> tuple[PalmHole, float]:
    """Return the hole nearest to the outline and the distance of its centre from it (mm)."""
    gaps = palm.outline.distance_to_boundary([(h.u_mm, h.v_mm) for h in palm.holes])
    k = int(np.argmin(gaps))
    return palm.holes[k], float(gaps[k])


def _water_face(ctx: SheetContext, palm: Palm) -> View:
    outline, box = palm.outline.mirror("x"), palm.outline.bounding_box()
    long, top = box.xmax - box.xmin, -box.ymin
    view = View("water face", "front", "WATER FACE, SEEN SQUARE TO THE PALM")
    view.add_outline(outline.vertices)
    if palm.bevel_width_mm > 0 and palm.bevel_height_mm > 0:
        with suppress(OutlineError):  # the bevel runs out somewhere; the section shows it
            view.add_outline(outline.inset(palm.bevel_width_mm).vertices)
    _holes(view, palm)
    for arm in landing(ctx.strut, palm):
        view.add_outline(dev.palm_footprint(palm, sides.arm_side(ctx.strut, arm)).mirror("x").vertices, "phantom")
        if arm.palm_root_mm > 0:
            view.add([from_vertices(members.palm_toe(ctx.strut, arm) * (1.0, -1.0))], "phantom")
    palm_axes_lines(view, palm, -1.0)
    _directions(ctx, view, palm)
    for hole in palm.holes:
        view.label(_water(hole.u_mm, hole.v_mm), str(hole.number), ring_mm=ring_mm(palm))
    _bore_axis(view, ctx.strut, palm, long)
    view.arrow((box.xmin + 0.45 * long, top + 0.055 * long), 0.0, "FWD")
    view.arrow((box.xmin + 0.05 * long, top + 0.03 * long), 90.0, ctx.strut.identity.side("starboard").upper())
    near, _ = closest_hole(palm)
    _outline_sizes(view, palm, outline, near)
    _hole_callouts(ctx, view, palm, near)
    return view


def _holes(view: View, palm: Palm) -> None:
    """Holes, their recesses, and in phantom lines the room for head and driver."""
    bolt, ring = palm.bolt, ring_mm(palm)
    head = bolt.head_diameter_mm if bolt.head.recess else 0.0
    for hole in palm.holes:
        at = _water(hole.u_mm, hole.v_mm)
        view.circle(at, bolt.hole_mm, marked=False)
        if bolt.head.recess:
            view.add([Arc(at, head / 2)])
        if bolt.driver_diameter_mm > max(head, bolt.hole_mm) + 0.02:
            view.add([Arc(at, bolt.driver_diameter_mm / 2)], "phantom")
        view.centre_mark(at, 2 * ring)


def _directions(ctx: SheetContext, view: View, palm: Palm) -> None:
    """The shaft's trace and its projection through the zero, and the angle between them."""
    box = palm.outline.bounding_box()
    long = box.xmax - box.xmin
    turn, reach = projection_deg(palm) + palm.axes_deg, box.xmax + 0.13 * long
    if foot_turn := turned_deg(ctx.strut):
        turned_length(view, palm, foot_turn, reach)
    if abs(turn) < LEAST_ANGLE_DEG and not foot_turn:
        lines = (
            ["u: TRACE of the vertical plane", "through the shaft = its projection"]
            if abs(arm_ends.off_trace(palm).on_face_mm) < ON_TRACE_MM
            else ["u: along the shaft's projection,", *_trace_lines(ctx, palm, "")]
        )
        view.note((box.xmax + 0.05 * long, 0.0), lines, at_deg=50.0)
        return
    back, ends = (0.05 * long - box.xmin) * 0.9, []
    for angle in (-palm.axes_deg + 0.0, projection_deg(palm)):
        c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        ends.append(_water(reach * c, reach * s))
        on_u = abs(angle) <= LEAST_ANGLE_DEG
        view.centre_line((box.xmax, 0.0) if on_u else _water(-back * c, -back * s), ends[-1])
    trace, projection = ends
    side = 50.0 if turn > 0 else -50.0
    own = " = u" if palm.axes == "trace" and not foot_turn else ""
    if abs(turn) < LEAST_ANGLE_DEG:
        view.note(trace, _trace_lines(ctx, palm, " = its projection"), at_deg=-side)
        return
    view.angle((0.0, 0.0), trace, projection, reach_mm=box.xmax + 0.09 * long, late=False)
    view.note(trace, _trace_lines(ctx, palm, own), at_deg=side)
    rise = math.tan(math.radians(projection_deg(palm)))
    off = max(abs(p.v_mm - rise * p.u_mm) for p in common.axis_over_palm(ctx.strut, palm))
    beside = "along the PROJECTION of" if off > 0.05 else "PROJECTION of"
    view.note(projection, [beside, "the shaft" + (" = u" if palm.axes != "trace" else "")], at_deg=-side)


def _outline_sizes(view: View, palm: Palm, outline: Outline, near: PalmHole) -> None:
    """Over all, the zero from both edges, the nearest edge, corners. outline: as seen on the water face."""
    box = palm.outline.bounding_box()
    top, bottom = -box.ymin, -box.ymax
    view.horizontal((box.xmin, 0.0), (box.xmax, 0.0))
    view.horizontal((box.xmin, bottom), (0.0, 0.0))
    view.vertical((0.0, bottom), (0.0, top))
    view.vertical((0.0, 0.0), (box.xmin, top))
    edge = _water(*xy(nearest_on(palm.outline, (near.u_mm, near.v_mm))))
    centre = _water(near.u_mm, near.v_mm)
    view.aligned(centre, edge, Label(reference=True), offset_mm=1e-3, optional=True)
    corner_sizes(view, palm.outline, outline, _water)


def corner_sizes(view: View, own: Outline, outline: Outline, seen_at: Callable[[float, float], P]) -> None:
    """Add what an outline has beside its sizes over all: an ellipse, numbered corners, radii.

    own: in the plate's axes; outline: as it is seen; seen_at: where a place of the plate is seen.
    """
    bends, points = outline.segments().radius, outline.polyline(0.005)
    if len(bends) > 8 and not np.isinf(bends).any():  # the oval's many arcs
        view.note(xy(points[int(np.argmax(points[:, 0] - points[:, 1]))]), ["ELLIPSE"], at_deg=-45.0)
    for k, corner in enumerate(sharp_corners(own) or (), 1):
        tip = seen_at(*corner.at)
        starts: list[P] = [seen_at(*t) for t in corner.tangents]
        view.add([Line(start, tip) for start in starts if math.dist(start, tip) > 1e-6], "thin")
        view.label(tip, f"V{k}", at_deg=math.degrees(math.atan2(tip[1], tip[0])))
    for radius, count, at, middle in _corners(outline):
        view.radius(at, radius, Label(prefix=f"{count}×" if count > 1 else ""), at_deg=middle)


def _hole_callouts(ctx: SheetContext, view: View, palm: Palm, near: PalmHole) -> None:
    """Size and place of the holes, the arms' feet, room for the driver: each leader goes to a hole of its own."""
    strut, bolt, count = ctx.strut, palm.bolt, len(palm.holes)

    def other(value: Callable[[PalmHole], float], *taken: PalmHole) -> PalmHole:
        """The hole of least value that is not taken."""
        free = [h for h in palm.holes if h not in taken]
        return min(free, key=lambda h: (value(h), h.number), default=near)

    led = other(lambda h: h.u_mm + h.v_mm, near)
    own = palm_code(strut, palm)
    label = Label(prefix=f"{count}×", suffix="THRU", row=f"{own}.holes")
    recess = bolt.head.recess
    seat = [f"{recess} as SECTION", "on the WATER FACE"] if recess else NO_RECESS
    view.diameter(_water(led.u_mm, led.v_mm), bolt.hole_mm, label, extra=[*seat, f"for {bolt.size}"])
    far = max((h for h in palm.holes if h is not near), key=lambda h: (h.u_mm * 0.5 - h.v_mm, h.number), default=near)
    pattern, place = tolerances.hole_position_mm(strut), 2 * tolerances.place_mm(ctx)
    for hole, zone, datums, row in ((far, pattern, (FACE,), f"{own}.hole"), (near, place, (FACE, AXIS, END), "")):
        at = _water(hole.u_mm, hole.v_mm)
        view.tolerance(at, "position", f"Ø{ctx.length(zone)}", datums, ring_mm=bolt.hole_mm / 2, row=row)
    word, size = ("weld", "leg") if strut.construction == "welded" else ("fillet", "radius")
    for arm in landing(strut, palm):
        foot = dev.palm_footprint(palm, sides.arm_side(strut, arm)).mirror("x").bounding_box()
        toe = f"({size} {ctx.length(arm.palm_root_mm)})"
        lines = [f"{arm.name.upper()} on the water face", f"and toe of its {word}", toe]
        row = f"arm{strut.arms.index(arm) + 1}.roots"
        view.note(((foot.xmin + foot.xmax) / 2, (foot.ymin + foot.ymax) / 2), lines, head="dot", row=row)
    if bolt.driver_diameter_mm > bolt.head_diameter_mm + 0.02 or not bolt.head.recess:
        # The aftmost hole to port, lower left.
        aftmost = other(lambda h: h.u_mm - h.v_mm, far, near)
        (x, y), reach = _water(aftmost.u_mm, aftmost.v_mm), bolt.driver_diameter_mm / 2
        words = f"room for head and driver Ø{ctx.length(bolt.driver_diameter_mm)}"
        view.note((x - reach * math.cos(0.8), y - reach * math.sin(0.8)), [words], at_deg=-130.0)


def _bore_axis(view: View, strut: Strut, palm: Palm, long: float) -> None:
    """The bore's axis dropped square on the hull face, from face to face of the barrel, dimensioned to the zero."""
    aft, forward = common.axis_over_palm(strut, palm)
    ends = [_water(p.u_mm, p.v_mm) for p in (aft, forward)]
    box = palm.outline.bounding_box()
    if all(p.v_mm < box.ymin or p.v_mm > box.ymax for p in (aft, forward)):  # else it crowds the zero's lines
        view.centre_line(*ends)
    for end in ends:
        view.centre_mark(end, 0.03 * long)
    view.note(ends[0], [f"bore's axis {AXIS} at the", f"barrel's aft face {END}"], head="dot")
    view.note(ends[1], [f"{AXIS} at the forward face"], head="dot")
    view.horizontal(ends[0], (0.0, 0.0), Label(basic=True), side="above")
    if abs(aft.v_mm) > 0.05:
        view.vertical(ends[0], (0.0, 0.0), Label(basic=True))


def _axis_table(ctx: SheetContext, palm: Palm) -> Table:
    """Where the bore stands over the palm, from the palm's zero."""
    rows = tuple(
        (f"axis {AXIS} at the {p.where}{end}", *(ctx.length(v) for v in (p.u_mm, p.v_mm, p.height_mm)))
        for p, end in zip(common.axis_over_palm(ctx.strut, palm), (f" {END}", ""), strict=True)
    )
    columns = ("dropped square on the face", "u", "v", "height")
    return Table(
        name="axis",
        title=f"BORE OVER THE HULL FACE {FACE}, {ctx.unit}",
        columns=columns,
        rows=rows,
        left=frozenset({0}),
    )


def _corners(outline: Outline) -> list[tuple[float, int, P, float]]:
    """Corner radii of a simple outline: radius, how many, centre of one of them, direction of its middle (degrees)."""
    seg = outline.segments()
    arcs = [k for k in range(len(seg.chord)) if math.isfinite(float(seg.radius[k]))]
    if len(arcs) > 8:
        return []
    found = []
    arcs.sort(key=lambda k: (round(float(seg.radius[k]), 4), k))
    for _, group in groupby(arcs, key=lambda k: round(float(seg.radius[k]), 4)):
        same = list(group)
        # The forward corner to starboard (up) where there is one: the least crowded with dimensions.
        k = max(same, key=lambda i: (round(float(seg.centre[i][0] - 0.1 * seg.centre[i][1]), 6), i))
        ends = (seg.start[k] + seg.end[k]) / 2 - seg.centre[k]
        if float(np.hypot(*ends)) < 1e-9:
            ends = np.array((1.0, 0.0)) * math.copysign(1.0, float(seg.centre[k][0]))
        out = math.degrees(math.atan2(ends[1], ends[0]))
        found.append((float(seg.radius[k]), len(same), xy(seg.centre[k]), out))
    return found


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of an outline, (u, v) in mm: where its edges meet, its radius, and the ends of its rounding."""

    at: P
    radius_mm: float
    tangents: tuple[P, P]


def sharp_corners(outline: Outline) -> list[Corner] | None:
    """Return the corners of an outline of straight edges that over-all sizes do not give; None for every other one.

    A rectangle and a round-ended or oval outline are known from their length, width and radius.
    """
    seg = outline.segments()
    count = len(seg.chord)
    straight = [k for k in range(count) if math.isinf(float(seg.radius[k]))]
    ways = [seg.end[k] - seg.start[k] for k in straight]
    if len(straight) < 3 or all(min(abs(float(w[0])), abs(float(w[1]))) < 1e-6 for w in ways):
        return None
    found = []
    for j, k in enumerate(straight):
        after = straight[(j + 1) % len(straight)]
        p, q = seg.end[k], seg.start[after]
        a, b = ways[j], ways[(j + 1) % len(straight)]
        cross = float(a[0] * b[1] - a[1] * b[0])
        between = (after - k) % count - 1
        if between > 1 or abs(cross) < 1e-9:
            return None
        gap = q - p
        at = p + float(gap[0] * b[1] - gap[1] * b[0]) / cross * a
        radius = float(seg.radius[(k + 1) % count]) if between else 0.0
        found.append(Corner(xy(at), radius, (xy(p), xy(q))))
    return found


def _corner_table(ctx: SheetContext, palm: Palm) -> list[Table]:
    corners = sharp_corners(palm.outline)
    if corners is None:
        return []
    rows = tuple((f"V{k}", *_from_edges(ctx, palm, *c.at), ctx.length(c.radius_mm)) for k, c in enumerate(corners, 1))
    columns = ("corner", "u", "v", "from aft edge", "from starboard edge", "radius")
    return [Table(name="corners", title=f"OUTLINE, SHARP CORNERS, {ctx.unit}", columns=columns, rows=rows)]


def _from_edges(ctx: SheetContext, palm: Palm, u: float, v: float) -> tuple[str, str, str, str]:
    """A place from the zero, and for reference from the aft and the starboard edge."""
    box, f = palm.outline.bounding_box(), ctx.figures
    return f.length(u), f.length(v), f"({f.length(u - box.xmin)})", f"({f.length(v - box.ymin)})"


def _hull_face(ctx: SheetContext, palm: Palm) -> View:
    strut, box = ctx.strut, palm.outline.bounding_box()
    long = box.xmax - box.xmin
    view = View("hull face", "free", "HULL FACE: this side to hull", share=0.5)
    view.add_outline(palm.outline.vertices)
    palm_axes_lines(view, palm, 1.0)
    view.arrow((box.xmin + 0.5 * long, box.ymax + 0.07 * long), 0.0, "FWD")
    view.arrow((box.xmin + 0.08 * long, box.ymax + 0.05 * long), 90.0, strut.identity.side("port").upper())
    for hole in palm.holes:
        view.circle((hole.u_mm, hole.v_mm), palm.bolt.hole_mm)
    for hole in palm.holes:
        inward = math.degrees(math.atan2(-hole.v_mm, -hole.u_mm))  # not past the palm's edge
        place = hole.u_mm, hole.v_mm
        view.label(place, str(hole.number), ring_mm=palm.bolt.hole_mm / 2, height_mm=2.5, at_deg=inward)
    if palm.curve is not None:
        turn = math.radians(palm.curve.axis_deg)
        (u, v), (du, dv) = palm.middle_mm, (0.62 * long * math.cos(turn), 0.62 * long * math.sin(turn))
        view.centre_line((u - du, v - dv), (u + du, v + dv))
        axis = f"AXIS OF THE CURVE, {hull_face.axis_words(ctx, palm.curve)}"
        view.note((u + du, v + dv), [axis, "through the middle of the palm"], at_deg=math.degrees(turn) - 40.0)
    return view


def recess_mm(palm: Plate) -> float:
    """Return the depth (mm) of the head's recess below the water face as it is cut; 0 without one."""
    return float(next((below for below, _ in palm.bolt.recess), 0.0))


@dataclass(frozen=True, slots=True)
class FaceNames:
    """What the two faces of a plate are called on its section: where the heads are, and where the base is."""

    heads: str
    base: str


WATER_AND_HULL = FaceNames("WATER FACE", "HULL FACE")


def hole_section(ctx: SheetContext, palm: Plate, own: str, faces: FaceNames = WATER_AND_HULL) -> View:
    """Return a hole cut square to the nearest edge; the face with the heads is up, as it lies on the drill.

    own: what the codes of the plate's rows begin with.
    """
    bolt, t = palm.bolt, palm.thickness_mm
    hole, edge = closest_hole(palm)
    r, head, deep = bolt.hole_mm / 2, bolt.head_diameter_mm / 2, recess_mm(palm)
    recessed = deep > 0
    left = 1.35 * max(head if recessed else 0.0, r) + 0.35 * t
    whole = edge > (head if recessed else r)
    words = "SECTION SQUARE TO THE EDGE" if whole else "CUT THROUGH: IT RUNS OUT OVER THE EDGE"
    edge = edge if whole else left
    scale = min(common.one_scale(left + edge, 85.0), common.one_scale(t, 42.0))
    view = View("hole section", "free", f"HOLE {hole.number}, {words}", scale=scale)
    wall = [(float(radius), t - float(below)) for below, radius in bolt.recess]
    toward, flat = _toward_edge(palm, hole), palm.curve is None
    low = [(r, _face(palm, hole, toward, r)), *(wall if recessed else [(r, t)])]
    out, back = (_face(palm, hole, toward, x) for x in (edge, -left))
    bw, bh = palm.bevel_width_mm, palm.bevel_height_mm
    bevelled = whole and 0.0 < bw < edge - low[-1][0] and 0.0 < bh < t
    rim = [(edge - bw, t), (edge, t - bh), (edge, out)] if bevelled else [(edge, t), (edge, out)]
    right = np.array([*low, *rim])
    inner_low = [(-r, _face(palm, hole, toward, -r)), *[(-x, y) for x, y in low[1:]]]
    other = np.array([(-left, back), *inner_low, (-left, t)])
    for loop in (right, other):
        view.hatch([loop], spacing_mm=2.5)
    if whole:
        view.add_outline(right)
    else:
        view.add_outline(np.array([(edge, out), *low, (edge, t)]), closed=False)
        view.break_line((edge, out), (edge, t))
    view.add([Line(xy(a), xy(b)) for a, b in pairwise(other)])
    _rims(view, low, flat)
    view.centre_line((0.0, 0.0), (0.0, t))
    view.break_line((-left, back), (-left, t))
    view.datum((edge * 0.6 + r * 0.4, _face(palm, hole, toward, edge * 0.6 + r * 0.4)), FACE, toward="below")
    view.horizontal(inner_low[0], low[0], Label(prefix="Ø"))
    if whole:
        view.horizontal((0.0, out), (edge, out), Label(reference=True))
    thick = Label(row=f"{own}.thickness") if flat else Label(reference=True)
    view.vertical((edge, out), (rim[0][0], t), thick, side="right")
    if recessed:
        view.horizontal((-head, t), (head, t), Label(prefix="Ø", row=f"{own}.heads"), side="above")
        view.vertical((-r, t - deep), (-head, t))
        view.vertical(inner_low[0], (-r, t - deep), Label(reference=True))
        if bolt.head.conical:
            apex = (0.0, t - head / math.tan(math.radians(bolt.head_angle_deg) / 2))
            view.angle(apex, (head, t), (-head, t), reach_mm=(t - apex[1]) * 1.9, late=False)
    if bevelled:
        view.horizontal((edge - bw, t), (edge, t - bh), side="above")
        view.vertical((edge, t - bh), (edge - bw, t), side="right")
    view.note(((edge + low[-1][0]) / 2 - (bw if bevelled else 0.0) / 2, t), [faces.heads], at_deg=50.0)
    if flat:
        flatness = ctx.length(tolerances.flatness_mm(ctx.strut, palm))
        view.tolerance((edge * 0.85 + r * 0.15, 0.0), "flatness", flatness, at_deg=-60.0, row=f"{own}.flatness")
    there = -left * 0.8 - r * 0.2
    view.note((there, _face(palm, hole, toward, there)), [faces.base], at_deg=-130.0)
    return view


def _rims(view: View, low: list[P], flat: bool) -> None:
    """The rims of a hole behind its section. low: its wall, from the hull face up; flat: whether that is flat."""
    for y in sorted({y for _, y in low[1:]} | ({0.0} if flat else set())):
        wide = min(x for x, yy in low if yy == y)
        widest = max(x for x, yy in low if yy == y)
        view.add([Line((-widest, y), (widest, y))])
        if widest > wide:
            view.add([Line((-widest, y), (-wide, y))])


def _toward_edge(palm: Plate, hole: PalmHole) -> Floats:
    """The direction in the palm from a hole to the nearest place of the outline."""
    way = np.subtract(nearest_on(palm.outline, (hole.u_mm, hole.v_mm)), (hole.u_mm, hole.v_mm))
    return np.asarray(way / max(float(np.hypot(*way)), 1e-9))


def _face(palm: Plate, hole: PalmHole, toward: Floats, out_mm: float) -> float:
    """How high the hull face lies in a hole's section, water face up, at a distance from the hole."""
    u, v = (hole.u_mm, hole.v_mm) + out_mm * toward
    return -float(palm.height_mm(float(u), float(v))) + 0.0


def _hole_table(ctx: SheetContext, palm: Palm) -> Table:
    f, bolt = ctx.figures, palm.bolt
    angled = f" × {f.angle(bolt.head_angle_deg)}" if bolt.head.conical else " flat"
    recess = (f"Ø{f.length(bolt.head_diameter_mm)}{angled}", f.length(recess_mm(palm)), "water face")
    gaps = palm.outline.distance_to_boundary([(h.u_mm, h.v_mm) for h in palm.holes])
    rows = tuple(
        (
            str(hole.number),
            *_from_edges(ctx, palm, hole.u_mm, hole.v_mm),
            f.length(math.hypot(hole.u_mm, hole.v_mm)),
            common.degrees(math.degrees(math.atan2(hole.v_mm + 0.0, hole.u_mm + 0.0))),
            f"Ø{f.length(bolt.hole_mm)} thru",
            *(recess if bolt.head.recess else ("-", "-", "-")),
            f"({f.length(gap)})",
        )
        for hole, gap in zip(palm.holes, gaps.tolist(), strict=True)
    )
    kind = bolt.head.recess or "recess"
    places = ("hole", "u", "v", "from aft edge", "from starboard edge", "radius", "angle")
    title = f"HOLE TABLE, {palm.name.upper()}, {ctx.strut.identity.number}, {ctx.unit}"
    return Table(name="holes", title=title, columns=(*places, "hole", kind, "depth", "on", "edge"), rows=rows)


def palm_notes(ctx: SheetContext, palm: Palm) -> list[str]:
    """Return the notes of a palm's drilling sheet."""
    strut, part = ctx.strut, slug(palm.name)
    turned = turned_deg(strut)
    off = abs(arm_ends.off_trace(palm).on_face_mm) >= ON_TRACE_MM and palm.axes == "trace" and not turned
    axis = (
        f"the foot's length, turned {common.degrees(turned)} from the shaft (+ to port)"
        if turned
        else "the trace of the vertical plane through the shaft (found with a plumb line and a string)"
        if palm.axes == "trace"
        else "the shaft's projection on the palm"
    )
    middle = "middle between the arms" if len(strut.arms) > 1 and len(strut.palms) == 1 else "axis of the arm"
    return [
        f"u runs forward {'parallel to' if off else 'along'} {axis}, v to PORT; their zero is where the {middle} meets "
        "the hull face. Angles from u, positive toward port (clockwise as seen on the water face).",
        f"Datum {AXIS} is the axis of the {common.datum_axis(strut)}, {END} the barrel's aft face (barrel's sheet); "
        "framed sizes and the table place the palm's zero from them. The wide position tolerance holds for the whole "
        f"pattern of holes from {FACE}, {AXIS} and {END}; the close one from hole to hole. Drill square to the hull "
        f"face {FACE}.",
        *hull_face.palm_notes(ctx, palm, FACE),
        "Distances from the edges are in brackets, for reference only, because the edges are not machined to size: "
        "never measure a hole from an edge.",
        _sequence(ctx, palm),
        *_torque(ctx, palm),
        *obstacles(ctx, palm),
        f"{common.file_words(strut)}: drill jig {part}-drill-jig, hull template {part}-hull-template (the printed "
        "side to the hull).",
        common.hand_words(strut),
    ]


def _sequence(ctx: SheetContext, palm: Palm) -> str:
    """The note on what is done to the palm, in order."""
    steps, warned = drilling_steps(ctx, palm)
    return f"Sequence: {'; '.join(steps)}. {warned}"


def _torque(ctx: SheetContext, palm: Palm) -> list[str]:
    """The note on how tight the bolts are drawn; nothing where it is not known."""
    torque = torque_words(ctx.findings, ctx.unit)
    if not torque:
        return []
    bolts = f"{len(palm.holes)} × {palm.bolt.size}, {bolt_metal(palm.bolt)}"
    return [f"Bolts when fitted: {bolts}, torque {torque} with anti-seize. {BEDDED}"]
