"""General arrangement: the strut between hull, shaft, propeller and rudder, and what it is put together from."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from typing import Literal

import numpy as np

from strutwright.exporters.drawing.figures import Label, fixed
from strutwright.exporters.drawing.projection import FRONT, TOP, Viewpoint
from strutwright.exporters.drawing.shapes import Arc, Ellipse, Line, P, Poly
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import FROM_AFT, on_clock, palm_corners, seen
from strutwright.models import cautions, frames
from strutwright.models.geometry import bodies as hull_bodies
from strutwright.models.geometry import shapes as hull_shapes
from strutwright.models.geometry.bodies import strut_parts
from strutwright.models.geometry.shapes import propeller_plane_mm, tip_clearance_mm
from strutwright.models.geometry.skeg import foot_start_mm
from strutwright.models.outline import Floats
from strutwright.models.shop.set_screws import screw_kinds
from strutwright.models.spec import Barrel, Heel, Palm, SetScrew, Skeg, Strut

BLADE_SHARE = 0.12


def general_arrangement(ctx: SheetContext) -> Sheet:
    """Return the general arrangement of a strut."""
    strut = ctx.strut
    views = [_side(ctx), _aft(ctx), _plan(ctx), picture(ctx, _balloons(ctx)), _lines(ctx)]
    if any(abs(p.plane.tilt_deg) > 0.005 for p in strut.palms):
        views.append(_true_angle(ctx, strut.palms[0]))
    said = (common.datum_a(strut), common.clock_words(strut), common.STATION, common.FACES, *_remarks(ctx))
    return ctx.sheet(
        "Propeller-shaft strut",
        "General arrangement",
        views,
        mass=common.strut_mass(ctx),
        tables=[common.parts_table(ctx), _angles(ctx), _drops(ctx)],
        notes=common.general_notes(ctx, said, breaking=False),
        cautions=cautions.for_strut(strut),
        scales=common.scales_between(max(v.extent().height for v in views[:2]), 70.0, 420.0),
    )


def _extreme(points: Floats, axis: int) -> tuple[Floats, Floats]:
    return points[int(points[:, axis].argmin())], points[int(points[:, axis].argmax())]


def _rims(strut: Strut) -> Floats:
    return np.vstack([palm_corners(p) for p in strut.palms])


def _reach(strut: Strut) -> tuple[float, float]:
    """Aft and forward end of what the side view shows, x in mm."""
    half, rim = strut.barrel.length_mm / 2, _rims(strut)
    low, high = min(-half, float(rim[:, 0].min())), max(half, float(rim[:, 0].max()))
    p = strut.propeller
    if p.diameter_mm is not None:
        low = min(low, -float(propeller_plane_mm(strut)) - 0.12 * p.diameter_mm)
    if strut.skeg is not None and strut.skeg.heel is not None:
        low = min(low, strut.skeg.heel.centre_mm[0] - strut.skeg.heel.outside_mm)
    room = 0.25 * (high - low)
    return low - 0.4 * room, high + room


def _side(ctx: SheetContext) -> View:
    strut = ctx.strut
    barrel, hull = strut.barrel, strut.hull
    half, r = barrel.length_mm / 2, barrel.outside_mm / 2
    view = View("side", "front", "SEEN FROM STARBOARD")
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), FRONT), hidden=False)
    x0, x1 = _reach(strut)
    for y in (-strut.shaft.diameter_mm / 2, strut.shaft.diameter_mm / 2):  # where it runs clear of the barrel
        view.add([Line((x0, y), (-half, y)), Line((half, y), (x1, y))], "phantom")
    view.centre_line((x0, 0.0), (x1, 0.0))
    rim = _rims(strut)
    rise = math.tan(math.radians(hull.shaft_to_hull_deg))
    palm_aft, palm_fore = float(rim[:, 0].min()), float(rim[:, 0].max())

    def hull_at(x: float) -> P:
        return (x, hull.drop_square_to_shaft_mm - x * rise)

    view.add([Line(hull_at(x0), hull_at(palm_aft)), Line(hull_at(palm_fore), hull_at(x1))], "phantom")
    view.note(hull_at(0.5 * (palm_fore + x1)), ["HULL"], at_deg=60)
    d = strut.shaft.diameter_mm
    view.note((0.75 * x1 + 0.25 * half, -d / 2), [f"SHAFT Ø{ctx.length(d)}"], at_deg=-45)
    view.horizontal((-half, -r), (half, -r))
    aft, fore = _extreme(rim, 0)
    # What follows from the palm's own sizes, the drop and the angles is for reference.
    view.horizontal(seen(FRONT, aft), seen(FRONT, fore), Label(reference=True), side="above")
    view.vertical((0.0, 0.0), (0.0, hull.drop_square_to_shaft_mm), Label(suffix="DROP"), side="right")
    low, high = _lowest(strut), _extreme(rim, 2)[1]
    view.vertical(low, seen(FRONT, high), Label(reference=True), side="left")
    _propeller_side(view, strut, hull_at)
    if strut.skeg is not None and strut.skeg.heel is not None:
        _stock_side(view, strut.skeg.heel, hull_at)
        view.horizontal((strut.skeg.heel.centre_mm[0], strut.skeg.heel.centre_mm[2]), (-half, -r))
    view.arrow((x1, 0.0), 0.0, "FWD")
    return view


def _lowest(strut: Strut) -> P:
    """The lowest place of the strut in the side view."""
    low: P = (-strut.barrel.length_mm / 2, -strut.barrel.outside_mm / 2)
    if strut.barrel.aft_end.kind.faired:
        low = (strut.barrel.x(strut.barrel.aft_end.length_mm), low[1])
    if strut.skeg is not None:
        low = (strut.barrel.x(strut.skeg.root_forward_station_mm) - strut.skeg.sweep_mm, -strut.skeg.depth_mm)
        heel = strut.skeg.heel
        if heel is not None:
            up = frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)
            foot = np.array(heel.centre_mm) - heel.height_mm / 2 * up
            out = heel.outside_mm / 2
            z = float(foot[2]) - out * math.sqrt(max(1.0 - float(up[2]) ** 2, 0.0))
            if z < low[1]:
                low = (float(foot[0]), z)
    return low


def _propeller_side(view: View, strut: Strut, hull_at: Callable[[float], P]) -> None:
    p = strut.propeller
    if p.diameter_mm is None:
        return
    d, x = p.diameter_mm, -float(propeller_plane_mm(strut))
    view.add([Ellipse((x, 0.0), (0.0, d / 2), BLADE_SHARE)], "phantom")
    if p.hub_length_mm is not None:
        h, long = hull_bodies.HUB_SHARE * d / 2, p.hub_length_mm / 2
        view.add([Poly(((x - long, -h), (x + long, -h), (x + long, h), (x - long, h)), True)], "phantom")
        if p.hub_gap_mm:
            face = (-strut.barrel.length_mm / 2, -strut.barrel.aft_end.end_diameter_mm / 2)
            view.horizontal((x + long, -h), face, Label(suffix="GAP"))
    view.vertical((x, -d / 2), (x, d / 2), Label(prefix="PROPELLER Ø", reference=True))
    top, plane, least = hull_at(x), hull_shapes.plane_over_shaft(strut), tip_clearance_mm(strut)
    if top[1] <= d / 2 + 1.0 or least is None:
        return
    if abs(plane.tilt_deg) < 0.005:
        n = frames.plane_axes(0.0, plane.pitch_deg, 0.0).n
        foot = (x + float(least * n[0]), d / 2 + float(least * n[2]))
        view.aligned((x, d / 2), foot, Label(suffix="LEAST"), offset_mm=6.0, late=True)
    else:
        # With deadrise the least clearance lies to the side, where this view does not show it; the table has it.
        view.aligned((x, d / 2), top, Label(suffix="CLEAR, IN THIS VIEW"), offset_mm=-6.0, late=True)


def _stock_side(view: View, heel: Heel, hull_at: Callable[[float], P]) -> None:
    """The rudder stock in phantom lines from the heel up to the hull."""
    x, _, z = heel.centre_mm
    top = hull_at(x)[1]
    lean = _stock(view, heel, x, 0, top)
    view.centre_line((x - heel.height_mm * lean, z - heel.height_mm), (x + (top - z) * lean, top))
    place = (x + heel.stock_mm / 2 + 0.55 * (top - z) * lean, z + 0.55 * (top - z))
    view.note(place, ["RUDDER STOCK"], at_deg=160)


def _stock(view: View, heel: Heel, x: float, axis: int, top: float) -> float:
    """Draw the two sides of the stock from the heel at x up to a height; return its lean, x per height. axis: of the
    strut that runs across the view, 0 from the side, 1 from aft with port to the left."""
    way = frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)
    lean = float(way[axis] / way[2]) * (-1.0 if axis else 1.0)
    z, start, half = heel.centre_mm[2], heel.height_mm / 2, heel.stock_mm / 2
    for side in (-half, half):
        view.add([Line((x + side + start * lean, z + start), (x + side + (top - z) * lean, top))], "phantom")
    return lean


def _aft(ctx: SheetContext) -> View:
    strut = ctx.strut
    hull, barrel = strut.hull, strut.barrel
    view = View("aft", "seen from left", "SEEN FROM AFT")
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), FROM_AFT), hidden=False)
    rim = _rims(strut)
    port, starboard = float(rim[:, 1].max()), float(rim[:, 1].min())
    port_rim, starboard_rim = (seen(FROM_AFT, p) for p in reversed(_extreme(rim, 1)))
    view.horizontal(port_rim, starboard_rim, Label(reference=True), side="above")
    wide = max(port, -starboard)
    d = strut.propeller.diameter_mm
    if d is not None:
        view.add([Arc((0.0, 0.0), d / 2)], "phantom")
        wide = max(wide, d / 2)
    view.add([Arc((0.0, 0.0), strut.shaft.diameter_mm / 2)], "phantom")
    out = 1.12 * wide
    _hull_from_aft(view, strut, port, starboard, out)
    top = hull.drop_square_to_shaft_mm
    view.centre_line((0.0, -0.62 * barrel.outside_mm), (0.0, top + 0.12 * top))
    view.centre_line((-0.62 * barrel.outside_mm, 0.0), (0.62 * barrel.outside_mm, 0.0))
    for arm in strut.arms:
        axes = frames.arm_axes(arm, barrel, frames.arm_plane(strut, arm))
        end = frames.meet_plane(frames.arm_plane(strut, arm), axes.origin, axes.n)
        if abs(arm.clock_deg) < 0.01:
            continue
        tip = seen(FROM_AFT, end)
        view.centre_line((0.0, 0.0), tip)
        up, way = (0.0, top), on_clock(arm.clock_deg, top)
        outer: Literal["first", "second"] = "second" if arm.clock_deg > 0 else "first"
        view.angle((0.0, 0.0), up, way, reach_mm=0.42 * top, outer=outer)
    if strut.skeg is not None and strut.skeg.heel is not None:
        _stock(view, strut.skeg.heel, -strut.skeg.heel.centre_mm[1], 1, top)
    view.label((-out, 0.3 * top), strut.identity.side("port").upper())
    view.label((out, 0.3 * top), strut.identity.side("starboard").upper())
    return view


def _hull_from_aft(view: View, strut: Strut, port: float, starboard: float, out: float) -> None:
    """The hull at mid-barrel, outside the palms, and its slope; view x is to starboard."""
    for plane, side in hull_shapes.hull_planes(strut):
        rise = math.tan(math.radians(plane.tilt_deg))
        level = strut.hull.drop_square_to_shaft_mm

        def at(y: float, level: float = level, rise: float = rise) -> P:
            return (-y, level + y * rise)

        if side >= 0:
            view.add([Line(at(port), at(max(out, 1.25 * port)))], "phantom")
        if side <= 0:
            view.add([Line(at(starboard), at(min(-out, 1.25 * starboard)))], "phantom")
        if abs(plane.tilt_deg) < 0.01:
            continue
        rising = port if plane.tilt_deg > 0 else starboard
        foot, far = at(rising), at(max(out, 1.25 * port) if plane.tilt_deg > 0 else min(-out, 1.25 * starboard))
        level_end = (far[0], foot[1])
        view.add([Line(foot, level_end)], "thin")
        view.angle(foot, far, level_end, reach_mm=0.85 * abs(far[0] - foot[0]))


def _plan(ctx: SheetContext) -> View:
    strut = ctx.strut
    view = View("plan", "seen from top", "SEEN FROM ABOVE: HULL FACE")
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), TOP), hidden=False)
    rim = _rims(strut)
    half = strut.barrel.length_mm / 2
    x0, x1 = min(-half, float(rim[:, 0].min())), max(half, float(rim[:, 0].max()))
    view.centre_line((x0, 0.0), (x1, 0.0))
    port, starboard = _extreme(rim, 1)[1], _extreme(rim, 1)[0]
    view.vertical(seen(TOP, starboard), seen(TOP, port), Label(reference=True), side="left")
    for palm in strut.palms:
        zero = seen(TOP, palm.zero_mm)
        if abs(zero[1]) > 0.05:
            view.vertical((zero[0], 0.0), zero, Label(reference=True), side="right")
        if abs(zero[0]) > 0.05 and palm is strut.palms[0]:
            way = "FWD" if zero[0] > 0 else "AFT"
            view.horizontal((0.0, 0.0), zero, Label(suffix=f"{way} OF MID-BARREL", reference=True), side="above")
        view.centre_mark(zero, 0.12 * (x1 - x0))
    view.arrow((x1 + 0.06 * (x1 - x0), 0.0), 0.0, "FWD")
    return view


def _picture_from(strut: Strut) -> Viewpoint:
    """From aft and below, on the side where the set screws are."""
    side = sum(math.sin(math.radians(s.clock_deg)) for s in strut.set_screws)
    y = 1.0 if side > 0.05 else -1.0
    k = 1.0 / math.sqrt(3.0)
    toward = (-k, y * k, -k)
    wide = math.hypot(toward[0], toward[1])
    return Viewpoint(toward, (-toward[1] / wide, toward[0] / wide, 0.0))


def picture(ctx: SheetContext, balloons: Sequence[tuple[str, Floats]]) -> View:
    """The isometric picture with the item numbers; of the bearing only the shell is drawn, it hides the rest."""
    strut = ctx.strut
    eye = _picture_from(strut)
    shells = [p.shape for p in ctx.built.parts if p.kind in ("bearing shell", "heel bush")]
    shape = common.compound([common.bare_strut(ctx), *shells])
    view = View("picture", "free", "SEEN FROM AFT AND BELOW")
    view.add_projection(ctx.view("strut and shells", shape, eye), hidden=False)
    for number, place in balloons:
        view.balloon(seen(eye, place), number)
    half = strut.barrel.length_mm / 2
    a, b = seen(eye, (half, 0.0, 0.0)), seen(eye, (half + 100.0, 0.0, 0.0))
    way = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    start = seen(eye, (1.25 * half, 0.0, 0.0))
    view.arrow(start, way, "FWD")
    return view


def _lines(ctx: SheetContext) -> View:
    """Shaft, hull and waterline in the vertical plane through the shaft, with the drops that lie in it."""
    strut = ctx.strut
    hull = strut.hull
    d = hull.drop_square_to_shaft_mm
    view = View(
        "lines", "free", "LINES IN THE VERTICAL PLANE THROUGH THE SHAFT, FOR REFERENCE", scale=_diagram_scale(d)
    )
    eps, theta = math.radians(hull.shaft_to_waterline_deg), math.radians(hull.shaft_to_hull_deg)
    far = 1.55 * d

    def along(angle: float, start: P, long: float) -> P:
        return (start[0] + long * math.cos(angle), start[1] - long * math.sin(angle))

    top = (0.0, d)
    for start, angle in (((0.0, 0.0), 0.0), (top, theta)):
        view.add([Line(along(angle, start, -0.35 * d), along(angle, start, far))])
    view.arrow((far + 0.05 * d, 0.0), 0.0, "FWD")
    view.note(along(0.0, (0.0, 0.0), -0.25 * d), ["shaft line"], at_deg=-120)
    view.note(along(theta, top, -0.25 * d), ["hull"], at_deg=120)
    if hull.run_known and abs(eps) > 2e-4:
        view.add([Line((0.0, 0.0), along(eps, (0.0, 0.0), far))], "thin")
        view.note(along(eps, (0.0, 0.0), 0.45 * far), ["parallel to the waterline"], at_deg=-110)
        view.angle((0.0, 0.0), along(eps, (0.0, 0.0), far), (far, 0.0), reach_mm=0.95 * far)
    if abs(theta) > 2e-4:
        view.add([Line(top, (far, d))], "thin")
        view.angle(top, along(theta, top, far), (far, d), reach_mm=0.95 * far)
    view.add([Line((0.0, 0.0), top)], "centre")
    view.vertical((0.0, 0.0), top, Label(suffix="square to shaft"), side="left")
    feet: list[tuple[float, str]] = []
    if hull.run_known and abs(eps) > 2e-4:
        feet.append((hull.drop_vertical_mm, "vertical"))
    level = all(abs(p.plane.tilt_deg) < 0.005 for p in strut.palms)  # else not true in this plane
    if level and abs(theta) > 2e-4 and (not feet or abs(theta - eps) > 2e-4):
        feet.append((d * math.cos(theta), "square to hull"))
    for k, (long, words) in enumerate(feet):
        angle = eps if words.startswith("vertical") else theta
        foot = (long * math.sin(angle), long * math.cos(angle))
        view.add([Line((0.0, 0.0), foot)], "centre")
        view.aligned((0.0, 0.0), foot, Label(suffix=words), offset_mm=-(5.0 + 9.0 * k), late=True)
    return view


def _diagram_scale(drop_mm: float) -> float:
    """A diagram is about twice as long as the drop."""
    return common.scales_between(1.9 * drop_mm, 55.0, 130.0)[0]


def _true_angle(ctx: SheetContext, palm: Palm) -> View:
    """Shaft and hull face seen square to the shaft and to the face's normal: both true."""
    strut = ctx.strut
    plane = palm.plane
    gamma = math.radians(frames.shaft_to_palm_deg(plane.pitch_deg, plane.tilt_deg))
    long = common.set_up(plane).normal_z * plane.drop_mm
    name = common.palm_label(palm, strut)
    title = f"TRUE ANGLE, SHAFT TO PALM{f': {name.upper()}' if name else ''}, FOR REFERENCE"
    view = View("true", "free", title, scale=_diagram_scale(long))
    far = 1.55 * long
    top = (0.0, long / math.cos(gamma))
    end = (far * math.cos(gamma), top[1] - far * math.sin(gamma))
    start = (-0.35 * far * math.cos(gamma), top[1] + 0.35 * far * math.sin(gamma))
    view.add([Line((-0.35 * far, 0.0), (far, 0.0)), Line(start, end)], "visible")
    view.note((-0.25 * far, 0.0), ["shaft line"], at_deg=-120)
    view.note((0.7 * start[0], top[1] + 0.7 * (start[1] - top[1])), ["palm, hull face"], at_deg=120)
    foot = (long * math.sin(gamma), long * math.cos(gamma))
    view.add([Line((0.0, 0.0), foot)], "centre")
    view.aligned((0.0, 0.0), foot, Label(suffix="square to hull"), offset_mm=-5.0, late=True)
    if abs(gamma) > 2e-4:
        view.add([Line(top, (far, top[1]))], "thin")
        view.angle(top, end, (far, top[1]), reach_mm=0.95 * far)
    return view


def _angles(ctx: SheetContext) -> Table:
    """Angles in degrees and as a rise."""
    strut, hull = ctx.strut, ctx.strut.hull
    rows: list[tuple[str, str, str]] = []

    def add(what: str, value: float) -> None:
        rows.append((what, fixed(value, 2), common.slope(value, ctx)))

    if hull.run_known:
        add("shaft to waterline", hull.shaft_to_waterline_deg)
        add("run of the hull, rising aft", hull.run_deg)
    add("shaft to hull, in the vertical plane", hull.shaft_to_hull_deg)
    if strut.hanger is None:
        add("deadrise, rising outboard", hull.deadrise_deg)
    elif strut.hanger.turned_deg:
        add("foot, its length from the shaft in its own plane (+ to port)", strut.hanger.turned_deg)
    for palm in strut.palms:
        name = palm.called
        made = common.set_up(palm.plane)
        add(f"{name} to shaft, vertical plane (pitch)", palm.plane.pitch_deg)
        add(f"{name} tilt, seen along the shaft (+ rising to port)", palm.plane.tilt_deg)
        add(f"{name} to shaft, true angle", made.true_deg)
        add(f"{name}: trace to shaft's projection (+ to port)", made.skew_deg)
    for arm in strut.arms:
        name = arm.called
        add(f"{name}, clock of its axis", arm.clock_deg)
        if abs(arm.rake_deg) > 0.005:
            add(f"{name}, rake (+ palm end aft)", arm.rake_deg)
        if abs(arm.toe_deg) > 0.005:
            add(f"{name}, toe (+ leading edge to port)", arm.toe_deg)
    return Table(
        name="angles",
        title="ANGLES",
        columns=("angle", "degrees", common.slope_unit(ctx)),
        rows=tuple(rows),
        left=frozenset({0}),
    )


def _drops(ctx: SheetContext) -> Table:
    strut, hull, p = ctx.strut, ctx.strut.hull, ctx.strut.propeller
    rows = [
        ("drop, square to shaft", ctx.length(hull.drop_square_to_shaft_mm)),
        *([("drop, vertical", ctx.length(hull.drop_vertical_mm))] if hull.run_known else []),
        ("drop, square to hull", ctx.length(hull.drop_square_to_hull_mm)),
    ]
    over = hull_bodies.palm_over_tips(strut, strut_parts(strut))
    for to, gap in (
        ("hull", tip_clearance_mm(strut)),
        ("", None) if over is None else (f"the {over[1].name} over it", over[0]),
    ):
        if gap is not None and p.diameter_mm is not None:
            share = f"{ctx.length(float(gap))} ({fixed(100 * float(gap) / p.diameter_mm, 0)} % of propeller Ø)"
            rows.append((f"blade tip to {to}, least", share))
    if strut.shaft.bearing_span_mm is not None:
        rows.append(("to next bearing forward", ctx.length(strut.shaft.bearing_span_mm)))
    for one, other in itertools.pairwise(strut.arms):
        between = frames.angle_between_deg(one.clock_deg, other.clock_deg)
        rows.append(("angle between arms", common.degrees(between)))
    return Table(name="drops", title="AT MID-BARREL", columns=("what", "value"), rows=tuple(rows), left=frozenset({0}))


def _balloons(ctx: SheetContext) -> list[tuple[str, Floats]]:
    """Which item of the parts list is seen where in the picture."""
    strut = ctx.strut
    balloons: list[tuple[str, Floats]] = []
    places, screws = _places(strut), iter(screw_kinds(strut, ctx.limits).values())
    for listed in common.listed_parts(ctx):
        is_screw = listed.part.startswith("set screw")
        place = _screw_place(strut, next(screws)) if is_screw else places.get(listed.part)
        if place is not None:
            balloons.append((str(listed.item), place))
    return balloons


def _places(strut: Strut) -> dict[str, Floats]:
    """Places (mm, strut frame) at which the parts are seen in the picture, by the names of the parts list."""
    barrel, eye = strut.barrel, np.array(_picture_from(strut).toward)
    out: dict[str, Floats] = {}
    beside = np.array([0.0, eye[1], 0.0]) / abs(eye[1])
    round_ = np.array([0.0, eye[1], eye[2]]) / math.hypot(eye[1], eye[2])
    out["barrel"] = np.array([barrel.x(0.72 * barrel.length_mm), 0.0, 0.0]) + barrel.outside_mm / 2 * round_
    for arm in strut.arms:
        plane = frames.arm_plane(strut, arm)
        axes, ends = frames.arm_axes(arm, barrel, plane), frames.arm_ends_mm(arm, barrel, plane)
        thick = frames.arm_size_at(arm, ends, 0.5 * (ends[0] + ends[1]))[1]
        side = 1.0 if float(axes.v @ eye) > 0 else -1.0
        spot = axes.origin + 0.55 * (ends[0] + ends[1]) * axes.n + side * 0.45 * thick * axes.v
        out[arm.called] = spot
        out.setdefault("strut", spot)
    ahead = np.array([1.0, 0.0, 0.0])
    for palm in strut.palms:
        axes, t = frames.palm_axes(palm), palm.thickness_mm
        foot = axes.to_strut(0.93 * palm.outline.polyline(0.5), -t)
        out[palm.called] = foot[int((foot @ (beside + ahead)).argmax())]
        if palm.holes:
            heads = axes.to_strut(np.array([(h.u_mm, h.v_mm) for h in palm.holes]), -t)
            near = heads[int((heads @ (0.4 * beside - ahead)).argmax())]
            out.setdefault(palm.bolt.head.called, near)
    first = strut.bearings[0]
    number = "" if len(strut.bearings) == 1 else " 1"
    at, ring = barrel.x(first.aft_station_mm), (first.outside_mm - first.shell_mm) / 2
    out[f"fluted rubber bearing{number}"] = np.array([at, 0.0, -ring])
    if strut.skeg is not None:
        out |= _skeg_places(barrel, strut.skeg, beside)
    return out


def _skeg_places(barrel: Barrel, skeg: Skeg, beside: Floats) -> dict[str, Floats]:
    """Of the skeg and its heel, on the side toward the eye."""
    x = barrel.x((skeg.root_aft_station_mm + skeg.root_forward_station_mm) / 2) - skeg.sweep_mm / 2
    out = {"skeg": np.array([x, 0.0, -0.6 * skeg.depth_mm]) + skeg.thickness_root_mm / 2 * beside}
    heel = skeg.heel
    if heel is not None:
        lead, _, high = foot_start_mm(barrel, skeg, heel)
        middle = np.array([(lead + heel.centre_mm[0]) / 2, 0.0, (high + heel.centre_mm[2]) / 2])
        up, boss = frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg), np.array(heel.centre_mm)
        out["foot"] = middle + heel.foot_thickness_mm / 2 * beside
        out["heel boss"] = boss + heel.outside_mm / 2 * beside
        out["heel bush"] = boss - heel.height_mm / 2 * up + (heel.bore_mm + heel.bush_wall_mm) / 2 * beside
    return out


def _screw_place(strut: Strut, screws: Sequence[SetScrew]) -> Floats | None:
    """The place (mm, strut frame) of the first of the screws that is seen in the picture."""
    eye = np.array(_picture_from(strut).toward)
    for s in screws:
        way = frames.radial(s.clock_deg)
        if float(way @ eye) > 0.1:
            return np.array([strut.barrel.x(s.station_mm), 0.0, 0.0]) + strut.barrel.outside_mm / 2 * way
    return None


def _remarks(ctx: SheetContext) -> list[str]:
    strut = ctx.strut
    stock = ", rudder stock" if strut.skeg is not None and strut.skeg.heel is not None else ""
    beads = ["Weld beads are left out of the views; see the weld sheet."] if strut.construction == "welded" else []
    boat = f"Shaft, propeller{stock} and hull are drawn in phantom lines; hub and blades are indicative."
    return [
        boat if strut.hanger is None else "Shaft and hull are drawn in phantom lines.",
        "Items without a number in the picture lie inside the hull or are hidden; bolts and screws are not drawn: "
        "their numbers point at the holes.",
        *beads,
    ]
