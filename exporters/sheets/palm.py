"""The palm drilling sheet: one palm seen square on its water face, its holes in a table, and a hole cut through."""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.shapes import Arc, Line, P
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.outdir import slug
from strutwright.exporters.sheets import common, parts
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import cautions, frames
from strutwright.models.geometry import bodies, members, shapes
from strutwright.models.geometry.bodies import strut_parts
from strutwright.models.geometry.polygons import distance_to_polygon
from strutwright.models.outline import Outline, OutlineError
from strutwright.models.shop import development as dev
from strutwright.models.shop.pressing import machining_stock_mm
from strutwright.models.spec import Arm, Palm, PalmHole, Strut
from strutwright.params import limits, tables

FACE, AXIS, END = "P", "A", "B"
"""Datum letters: hull face; the bore's axis and the barrel's aft face, as on the barrel's sheet. A palm's edges are no
datums: they are as cast, drafted, or round.
"""
LEAST_ANGLE_DEG = 0.05
ON_TRACE_MM = 0.05
"""A palm's zero this near to the trace is on it."""


def palm_drilling(ctx: SheetContext, sheet_number: int, sheets: int, *, index: int = 0) -> Sheet | None:
    """Return the drilling sheet of the strut's first or second palm (index 0 or 1); None when it has no such palm."""
    strut = ctx.strut
    if index >= len(strut.palms):
        return None
    palm = strut.palms[index]
    box = palm.outline.bounding_box()
    long = max(box.xmax - box.xmin, box.ymax - box.ymin)
    # The finished plate's, with its bevel and recesses; of a casting the palm has no weight of its own.
    part = ctx.part(palm.name if "palm" in palm.name else f"{palm.name} palm")
    mass = "" if part is None else common.mass_text(ctx, common.part_mass_kg(part.volume_mm3, part.material))
    name = "Palm" if len(strut.palms) == 1 else palm.name.capitalize()
    sheet = Sheet(
        ctx.title(
            f"{name}, drilling",
            "Drilling drawing",
            sheet_number=sheet_number,
            sheets=sheets,
            face="WATER FACE",
            mass=f"plate {mass}" if mass else "",
        ),
        views=[
            _water_face(ctx, palm),
            _hull_face(strut, palm),
            _section(palm, ctx.figures.length(parts.flatness_mm(strut, palm))),
        ],
        tables=[_hole_table(ctx, palm), _axis_table(ctx, palm), *_corner_table(ctx, palm)],
        notes=_notes(ctx, palm),
        cautions=common.short_cautions(cautions.drilling(common.family(strut))),
        sizes=ctx.sizes[1:],
        scales=parts.no_larger(common.scales_between(long, 95.0, 420.0)),
        projection=ctx.projection,
        figures=ctx.figures,
        banner=parts.banner(strut, palm.name),
    )
    return sheet


# --- what is on the palm ----------------------------------------------------------------------------------------------


def _water(u: float, v: float) -> P:
    """A point of the palm axes as seen on the water face, forward to the right: starboard is up."""
    return u, -v


def trace_deg(palm: Palm) -> float:
    """Return the direction of the trace of the shaft plane in the palm axes: from u, positive toward port."""
    return -palm.axes_deg + 0.0


def projection_deg(palm: Palm) -> float:
    """Return the direction of the shaft's projection in the palm axes: from u, positive toward port."""
    return frames.trace_to_projection_deg(palm.plane.pitch_deg, palm.plane.tilt_deg) - palm.axes_deg


def trace_aside_mm(palm: Palm) -> float:
    """Return how far (mm) to starboard of the palm's zero, square to it on the hull face, the trace of the shaft's
    upright plane runs.
    """
    return palm.zero_mm[1] / math.sqrt(1.0 - float(frames.palm_axes(palm).n[1]) ** 2)


def _trace_lines(ctx: SheetContext, palm: Palm, more: str) -> list[str]:
    """What the line through the zero along the trace is called: the trace itself only where it is that."""
    aside = trace_aside_mm(palm)
    if abs(aside) < ON_TRACE_MM:
        return ["TRACE of the plane", f"through the shaft{more}"]
    side = "starboard" if aside > 0 else "port"
    return [
        "PARALLEL TO THE TRACE of",
        f"the plane through the shaft{more};",
        f"the trace: {ctx.figures.length(abs(aside))} to {side}",
    ]


def ring_mm(palm: Palm) -> float:
    """Return the radius of the largest circle drawn round a hole: hole, head or tool."""
    bolt = palm.bolt
    return max(bolt.hole_mm, bolt.head_diameter_mm, bolt.driver_diameter_mm) / 2


def closest_hole(palm: Palm) -> tuple[PalmHole, float]:
    """Return the hole nearest to the outline and the distance of its centre from it (mm)."""
    gaps = palm.outline.distance_to_boundary([(h.u_mm, h.v_mm) for h in palm.holes])
    k = int(np.argmin(gaps))
    return palm.holes[k], float(gaps[k])


def chuck_fouls(strut: Strut, palm: Palm, chuck_mm: float) -> list[int]:
    """Return the numbers of the holes at which a drill chuck of that diameter would touch an arm."""
    uv = np.array([[h.u_mm, h.v_mm] for h in palm.holes])
    free = np.full(len(uv), np.inf)
    for arm in strut.arms:
        if strut.palms[arm.palm_index] is palm:
            height = min(60.0, palm.plane.drop_mm / 2)
            for foot in shapes.arm_footprints(strut, arm, [palm.thickness_mm, palm.thickness_mm + height]):
                free = np.minimum(free, distance_to_polygon(uv, foot))
    return [h.number for h, gap in zip(palm.holes, free.tolist(), strict=True) if gap < chuck_mm / 2]


# --- views ------------------------------------------------------------------------------------------------------------


def _axes_lines(view: View, palm: Palm, side: float, over: float) -> None:
    """The u and v axes through the palm zero; side = -1 on the water face, 1 on the hull face."""
    box = palm.outline.bounding_box()
    view.centre_line((box.xmin - over, 0.0), (box.xmax + over, 0.0))
    low, high = sorted((side * box.ymin, side * box.ymax))
    view.centre_line((0.0, low - over), (0.0, high + over))


def _water_face(ctx: SheetContext, palm: Palm) -> View:
    strut, bolt = ctx.strut, palm.bolt
    box, outline = palm.outline.bounding_box(), palm.outline.mirror("x")
    long = box.xmax - box.xmin
    top, bottom = -box.ymin, -box.ymax
    view = View("water face", "front", "WATER FACE, SEEN SQUARE TO THE PALM")
    view.add_outline(outline.vertices)
    if palm.bevel_width_mm > 0 and palm.bevel_height_mm > 0:
        with suppress(OutlineError):  # the bevel runs out somewhere; the section shows it
            view.add_outline(outline.inset(palm.bevel_width_mm).vertices)
    ring = ring_mm(palm)
    for hole in palm.holes:
        at = _water(hole.u_mm, hole.v_mm)
        view.circle(at, bolt.hole_mm, marked=False)
        if bolt.kind != "plain":
            view.add([Arc(at, bolt.head_diameter_mm / 2)])
        if bolt.driver_diameter_mm > max(bolt.head_diameter_mm if bolt.kind != "plain" else 0.0, bolt.hole_mm) + 0.02:
            view.add([Arc(at, bolt.driver_diameter_mm / 2)], "phantom")
        view.centre_mark(at, 2 * ring)
    landing = [a for a in strut.arms if strut.palms[a.palm_index] is palm]
    feet: list[tuple[Arm, Outline]] = []
    for arm in landing:
        foot = dev.palm_footprint(palm, dev.arm_side(strut, arm)).mirror("x")
        view.add_outline(foot.vertices, "phantom")
        toe = members.palm_toe(strut, arm) * (1.0, -1.0)
        if arm.palm_root_mm > 0:
            view.add([parts.poly(toe, closed=True)], "phantom")
        feet.append((arm, foot))
    _axes_lines(view, palm, -1.0, 0.05 * long)
    turn = projection_deg(palm) - trace_deg(palm)
    reach = box.xmax + 0.13 * long
    if abs(turn) >= LEAST_ANGLE_DEG:
        ends = {}
        for what, angle in (("trace", trace_deg(palm)), ("projection", projection_deg(palm))):
            a = math.radians(angle)
            ends[what] = _water(reach * math.cos(a), reach * math.sin(a))
            if abs(angle) > LEAST_ANGLE_DEG:
                back = (0.05 * long - box.xmin) * 0.9
                view.centre_line(_water(-back * math.cos(a), -back * math.sin(a)), ends[what])
            else:
                view.centre_line((box.xmax, 0.0), ends[what])
        first, second = ("projection", "trace") if turn > 0 else ("trace", "projection")
        view.angle((0.0, 0.0), ends[first], ends[second], reach_mm=box.xmax + 0.09 * long)
        view.note(
            ends["trace"],
            _trace_lines(ctx, palm, " = u" if palm.axes == "trace" else ""),
            at_deg=50.0 if turn > 0 else -50.0,
        )
        off = max(
            abs(p.v_mm - math.tan(math.radians(projection_deg(palm))) * p.u_mm)
            for p in common.axis_over_palm(strut, palm)
        )
        beside = "along the PROJECTION of" if off > 0.05 else "PROJECTION of"
        view.note(
            ends["projection"],
            [beside, "the shaft" + (" = u" if palm.axes != "trace" else "")],
            at_deg=-50.0 if turn > 0 else 50.0,
        )
    else:
        aside = trace_aside_mm(palm)
        lines = (
            ["u: TRACE of the plane through", "the shaft = its projection"]
            if abs(aside) < ON_TRACE_MM
            else ["u: along the shaft's projection,", *_trace_lines(ctx, palm, "")]
        )
        view.note((box.xmax + 0.05 * long, 0.0), lines, at_deg=50.0)
    for hole in palm.holes:
        view.label(_water(hole.u_mm, hole.v_mm), str(hole.number), ring_mm=ring)
    points = outline.polyline(0.005)
    _bore_axis(view, strut, palm, long)
    view.arrow((box.xmin + 0.45 * long, top + 0.055 * long), 0.0, "FWD")
    view.arrow((box.xmin + 0.05 * long, top + 0.03 * long), 90.0, ctx.strut.identity.side("starboard").upper())
    # Sizes: over all, the zero from both edges, the nearest edge, corners.
    view.horizontal((box.xmin, 0.0), (box.xmax, 0.0))
    view.horizontal((box.xmin, bottom), (0.0, 0.0))
    view.vertical((0.0, bottom), (0.0, top), side="left")
    view.vertical((0.0, 0.0), (box.xmin, top), side="left")
    near, _ = closest_hole(palm)
    centre = _water(near.u_mm, near.v_mm)
    view.aligned(
        centre,
        _water(*parts.nearest_on(palm.outline, (near.u_mm, near.v_mm))),
        Label(reference=True),
        offset_mm=1e-3,
        optional=True,
    )
    bends = outline.segments().radius
    if len(bends) > 8 and not np.isinf(bends).any():  # the oval's many arcs
        view.note(parts.point(points[int(np.argmax(points[:, 0] - points[:, 1]))]), ["ELLIPSE"], at_deg=-45.0)
    for k, corner in enumerate(sharp_corners(palm.outline) or (), 1):
        tip = _water(*corner.at)
        starts: list[P] = [_water(*t) for t in corner.tangents]
        view.add([Line(start, tip) for start in starts if math.dist(start, tip) > 1e-6], "thin")
        out = math.degrees(math.atan2(tip[1], tip[0]))
        view.label(tip, f"V{k}", at_deg=out)
    for radius, count, at, middle in _corners(outline):
        view.radius(at, radius, Label(prefix=f"{count}×" if count > 1 else ""), at_deg=middle)
    _callout(view, palm, near)
    far = max((h for h in palm.holes if h is not near), key=lambda h: (h.u_mm * 0.5 - h.v_mm, h.number), default=near)
    at = _water(far.u_mm, far.v_mm)
    view.tolerance(
        at, "position", f"Ø{ctx.figures.length(parts.hole_position_mm(strut))}", (FACE,), ring_mm=bolt.hole_mm / 2
    )
    view.tolerance(
        centre,
        "position",
        f"Ø{ctx.figures.length(2 * parts.place_mm(ctx.units))}",
        (FACE, AXIS, END),
        ring_mm=bolt.hole_mm / 2,
    )
    for arm, foot in feet:
        tail = foot.bounding_box()
        word = "weld" if strut.construction == "welded" else "fillet"
        view.note(
            ((tail.xmin + tail.xmax) / 2, (tail.ymin + tail.ymax) / 2),
            [
                f"{arm.name.upper()} on the water face",
                f"and toe of its {word}",
                f"({'leg' if word == 'weld' else 'radius'} {ctx.figures.length(arm.palm_root_mm)})",
            ],
            head="dot",
        )
    if bolt.driver_diameter_mm > bolt.head_diameter_mm + 0.02 or bolt.kind == "plain":
        # The aftmost hole to port, lower left: the other leaders go to other holes.
        own = min(
            (h for h in palm.holes if h not in (far, near)), key=lambda h: (h.u_mm - h.v_mm, h.number), default=near
        )
        spot, reach = _water(own.u_mm, own.v_mm), bolt.driver_diameter_mm / 2
        view.note(
            (spot[0] - reach * math.cos(0.8), spot[1] - reach * math.sin(0.8)),
            [f"room for head and driver Ø{ctx.figures.length(bolt.driver_diameter_mm)}"],
            at_deg=-130.0,
        )
    return view


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
        view.vertical(ends[0], (0.0, 0.0), Label(basic=True), side="left")


def _axis_table(ctx: SheetContext, palm: Palm) -> Table:
    """Where the bore stands over the palm, from the palm's zero."""
    f = ctx.figures
    rows = tuple(
        (
            f"axis {AXIS} at the {p.where}{f' {END}' if k == 0 else ''}",
            f.length(p.u_mm),
            f.length(p.v_mm),
            f.length(p.height_mm),
        )
        for k, p in enumerate(common.axis_over_palm(ctx.strut, palm))
    )
    return Table(
        "axis",
        f"BORE OVER THE HULL FACE {FACE}, {'mm' if f.unit == 'mm' else 'inch'}",
        ("dropped square on the face", "u", "v", "height"),
        rows,
        left=frozenset({0}),
    )


def _callout(view: View, palm: Palm, avoid: PalmHole) -> None:
    """The size of the holes, led from one of them."""
    bolt, count = palm.bolt, len(palm.holes)
    hole = next((h for h in sorted(palm.holes, key=lambda h: (h.u_mm + h.v_mm, h.number)) if h is not avoid), avoid)
    view.diameter(
        _water(hole.u_mm, hole.v_mm),
        bolt.hole_mm,
        Label(prefix=f"{count}×", suffix="THRU"),
        extra=[*_head_words(palm), f"for {bolt.size}"],
    )


def _head_words(palm: Palm) -> list[str]:
    bolt = palm.bolt
    if bolt.kind == "countersunk":
        return ["countersink as SECTION", "on the WATER FACE"]
    if bolt.kind == "counterbored":
        return ["counterbore as SECTION", "on the WATER FACE"]
    return ["no recess; head or nut,", "and washer, on the water face"]


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
        found.append((float(seg.radius[k]), len(same), parts.point(seg.centre[k]), out))
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
        found.append(Corner(parts.point(at), radius, (parts.point(p), parts.point(q))))
    return found


def _corner_table(ctx: SheetContext, palm: Palm) -> list[Table]:
    corners, f, box = sharp_corners(palm.outline), ctx.figures, palm.outline.bounding_box()
    if corners is None:
        return []
    rows = tuple(
        (
            f"V{k}",
            f.length(u),
            f.length(v),
            f"({f.length(u - box.xmin)})",
            f"({f.length(v - box.ymin)})",
            f.length(c.radius_mm),
        )
        for k, c in enumerate(corners, 1)
        for u, v in (c.at,)
    )
    return [
        Table(
            "corners",
            f"OUTLINE, SHARP CORNERS, {'mm' if f.unit == 'mm' else 'inch'}",
            ("corner", "u", "v", "from aft edge", "from starboard edge", "radius"),
            rows,
        )
    ]


def _hull_face(strut: Strut, palm: Palm) -> View:
    box = palm.outline.bounding_box()
    long = box.xmax - box.xmin
    view = View("hull face", "free", "HULL FACE: this side to hull", share=0.5)
    view.add_outline(palm.outline.vertices)
    _axes_lines(view, palm, 1.0, 0.05 * long)
    view.arrow((box.xmin + 0.5 * long, box.ymax + 0.07 * long), 0.0, "FWD")
    view.arrow((box.xmin + 0.08 * long, box.ymax + 0.05 * long), 90.0, strut.identity.side("port").upper())
    for hole in palm.holes:
        view.circle((hole.u_mm, hole.v_mm), palm.bolt.hole_mm)
    for hole in palm.holes:
        view.label((hole.u_mm, hole.v_mm), str(hole.number), ring_mm=palm.bolt.hole_mm / 2)
    return view


def recess_mm(palm: Palm) -> float:
    """Return the depth of the head's recess below the water face as it is cut: the cone's, or the counterbore's."""
    bolt = palm.bolt
    if bolt.kind == "countersunk":
        return (bolt.head_diameter_mm - bolt.hole_mm) / 2 / math.tan(math.radians(bolt.head_angle_deg) / 2)
    return bolt.head_depth_mm if bolt.kind == "counterbored" else 0.0


def _section(palm: Palm, flatness: str) -> View:
    """A hole cut square to the nearest edge; the water face is up, as it lies on the drill."""
    bolt, t = palm.bolt, palm.thickness_mm
    hole, edge = closest_hole(palm)
    r, head, deep = bolt.hole_mm / 2, bolt.head_diameter_mm / 2, recess_mm(palm)
    recessed = bolt.kind != "plain" and head > r and deep > 0
    left = 1.35 * max(head if recessed else 0.0, r) + 0.35 * t
    whole = edge > (head if recessed else r)
    words = "SECTION SQUARE TO THE EDGE" if whole else "CUT THROUGH: IT RUNS OUT OVER THE EDGE"
    edge = edge if whole else left
    view = View(
        "hole section",
        "free",
        f"HOLE {hole.number}, {words}",
        scale=min(parts.one_scale(left + edge, 85.0), parts.one_scale(t, 42.0)),
    )
    low = [(r, 0.0), (r, t - deep)] if recessed else [(r, 0.0), (r, t)]
    if recessed:
        low += [(head, t)] if bolt.kind == "countersunk" else [(head, t - deep), (head, t)]
    bw, bh = palm.bevel_width_mm, palm.bevel_height_mm
    bevelled = whole and 0.0 < bw < edge - low[-1][0] and 0.0 < bh < t
    rim = [(edge - bw, t), (edge, t - bh), (edge, 0.0)] if bevelled else [(edge, t), (edge, 0.0)]
    right = np.array([*low, *rim])
    other = np.array([(-left, 0.0), *[(-x, y) for x, y in low], (-left, t)])
    for loop in (right, other):
        view.hatch([loop], spacing_mm=2.5)
    if whole:
        view.add_outline(right)
    else:
        view.add_outline(np.array([(edge, 0.0), *low, (edge, t)]), closed=False)
        view.break_line((edge, 0.0), (edge, t))
    view.add([Line(parts.point(a), parts.point(b)) for a, b in pairwise(other)])
    inner = sorted({y for x, y in low if x == r} | {y for _, y in low})
    for y in inner:
        wide = min(x for x, yy in low if yy == y)
        widest = max(x for x, yy in low if yy == y)
        view.add([Line((-widest, y), (widest, y))])
        if widest > wide:
            view.add([Line((-widest, y), (-wide, y))])
    view.centre_line((0.0, 0.0), (0.0, t))
    view.break_line((-left, 0.0), (-left, t))
    view.datum((edge * 0.6 + r * 0.4, 0.0), FACE, toward="below")
    view.horizontal((-r, 0.0), (r, 0.0), Label(prefix="Ø"))
    if whole:
        view.horizontal((0.0, 0.0), (edge, 0.0), Label(reference=True))
    view.vertical((edge, 0.0), (rim[0][0], t), side="right")
    if recessed:
        view.horizontal((-head, t), (head, t), Label(prefix="Ø"), side="above")
        view.vertical((-r, t - deep), (-head, t), side="left")
        view.vertical((-r, 0.0), (-r, t - deep), Label(reference=True), side="left")
        if bolt.kind == "countersunk":
            apex = (0.0, t - head / math.tan(math.radians(bolt.head_angle_deg) / 2))
            view.angle(apex, (head, t), (-head, t), reach_mm=(t - apex[1]) * 1.9)
    if bevelled:
        view.horizontal((edge - bw, t), (edge, t - bh), side="above")
        view.vertical((edge, t - bh), (edge - bw, t), side="right")
    view.note(((edge + low[-1][0]) / 2 - (bw if bevelled else 0.0) / 2, t), ["WATER FACE"], at_deg=50.0)
    view.tolerance((edge * 0.85 + r * 0.15, 0.0), "flatness", flatness, at_deg=-60.0)
    view.note((-left * 0.8 - r * 0.2, 0.0), ["HULL FACE"], at_deg=-130.0)
    return view


# --- table and notes --------------------------------------------------------------------------------------------------


def _hole_table(ctx: SheetContext, palm: Palm) -> Table:
    f, bolt, box = ctx.figures, palm.bolt, palm.outline.bounding_box()
    if bolt.kind == "countersunk":
        head, recess = f"Ø{f.length(bolt.head_diameter_mm)} × {f.angle(bolt.head_angle_deg)}", recess_mm(palm)
    else:
        head, recess = f"Ø{f.length(bolt.head_diameter_mm)} flat", recess_mm(palm)
    gaps = palm.outline.distance_to_boundary([(h.u_mm, h.v_mm) for h in palm.holes])
    rows = []
    for hole, gap in zip(palm.holes, gaps.tolist(), strict=True):
        u, v = hole.u_mm, hole.v_mm
        recessed = (head, f.length(recess), "water face") if bolt.kind != "plain" else ("-", "-", "-")
        rows.append(
            (
                str(hole.number),
                f.length(u + 0.0),
                f.length(v + 0.0),
                f"({f.length(u - box.xmin)})",
                f"({f.length(v - box.ymin)})",
                f.length(math.hypot(u, v)),
                parts.degrees(math.degrees(math.atan2(v + 0.0, u + 0.0))),
                f"Ø{f.length(bolt.hole_mm)} thru",
                *recessed,
                f"({f.length(gap)})",
            )
        )
    kind = {"countersunk": "countersink", "counterbored": "counterbore"}.get(bolt.kind, "recess")
    return Table(
        "holes",
        f"HOLE TABLE, {palm.name.upper()}, {ctx.strut.identity.number}, {'mm' if f.unit == 'mm' else 'inch'}",
        (
            "hole",
            "u",
            "v",
            "from aft edge",
            "from starboard edge",
            "radius",
            "angle",
            "hole",
            kind,
            "depth",
            "on",
            "edge",
        ),
        tuple(rows),
    )


def _notes(ctx: SheetContext, palm: Palm) -> list[str]:
    strut, bolt, f = ctx.strut, palm.bolt, ctx.figures
    jig, hull = f"{slug(palm.name)}-drill-jig", f"{slug(palm.name)}-hull-template"
    along = "along" if abs(trace_aside_mm(palm)) < ON_TRACE_MM or palm.axes != "trace" else "parallel to"
    axis = (
        "the trace of the plane through the shaft (what a plumb line and a string show)"
        if palm.axes == "trace"
        else "the shaft's projection on the palm"
    )
    notes = [
        f"u runs forward {along} {axis}, v to PORT; their zero is where the "
        f"{'middle between the arms' if _common(strut) else 'axis of the arm'} meets the hull face. Angles from u, "
        "positive toward port (clockwise as seen on the water face).",
        f"Datum {AXIS} is the axis of the {common.datum_axis(strut)}, {END} the barrel's aft face (barrel's sheet); "
        "framed sizes and the table place the palm's zero from them. The holes as one pattern keep to the wide zone "
        f"from {FACE}, {AXIS} and {END}, among themselves to the close one. Drill square to the hull face {FACE}.",
        "In brackets, for reference: distances from the edges, which are as they come; start no hole from an edge.",
    ]
    faced = "machine the hull face"
    if strut.construction == "welded":
        cold = machining_stock_mm(strut, palm, inch=ctx.units != "mm") == 0.0
        done = ["weld", "flatten as the press card says" if cold else f"{faced} to the palm's thickness"]
    else:
        done = [faced]
    recess = {
        "countersunk": f"countersink {f.angle(bolt.head_angle_deg)} from the WATER FACE, try with a bolt: flush "
        f"or up to {parts.length(f, 0.5)} below",
        "counterbored": "counterbore from the WATER FACE",
    }.get(bolt.kind, "spot-face the seats if needed")
    notes.append(
        f"Sequence: {', '.join(done)}; bed the hull face on parallels, water face up, clamp; mark out or set "
        f"the jig; centre-drill; pilot; drill Ø{f.length(bolt.hole_mm)}; {recess}; deburr both sides. "
        + (
            "Holes drilled before pressing go oval."
            if strut.construction == "welded"
            else "Holes drilled before the hull face is machined do not stand square to it."
        )
    )
    fouls: Sequence[int] = ()
    chuck = None
    try:
        chuck = tables.tool_outside_mm("drill chuck", min(bolt.hole_mm, 16.0))
        fouls = chuck_fouls(strut, palm, chuck)
    except tables.NotInTable:
        pass
    if fouls and chuck is not None:
        which = "all holes" if len(fouls) == len(palm.holes) else bodies.numbered(fouls)
        notes.append(
            f"A chuck of Ø{f.length(chuck)} touches the arm at {which}: drill there from the hull face, or "
            "with a long drill."
        )
    if (
        bolt.kind == "plain"
        and strut.hull.thickness_mm is not None
        and (
            inside := bodies.entered_from_inside(
                strut, palm, strut_parts(strut), limits.standard()["driver_to_arm"].value
            )
        )
    ):
        notes.append(
            f"The arm is in the way of the bolts at {bodies.numbered(inside)} on the water side: put them "
            "in from inside, their nuts under the palm."
        )
    notes.append(f"{common.file_words(strut)}: drill jig {jig}, hull template {hull} (the printed side to the hull).")
    notes.append(common.hand_words(strut))
    return notes


def _common(strut: Strut) -> bool:
    return len(strut.arms) > 1 and len(strut.palms) == 1
