"""General arrangement: the strut between hull, shaft, propeller and rudder, and what it is put together from."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from strutwright.exporters.drawing.figures import Label, fixed
from strutwright.exporters.drawing.projection import FRONT, TOP, Vector, Viewpoint
from strutwright.exporters.drawing.shapes import Arc, Ellipse, Line, P, Poly
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.data_sheets import foot_start_mm, parts_list, screw_kinds
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.common import FROM_AFT, seen
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import cautions, frames
from strutwright.models.geometry import bodies
from strutwright.models.geometry import bodies as hull_bodies
from strutwright.models.geometry import shapes as hull_shapes
from strutwright.models.geometry.bodies import strut_parts
from strutwright.models.geometry.shapes import propeller_plane_mm, tip_clearance_mm
from strutwright.models.spec import Heel, Palm, SetScrew, Strut

BLADE_SHARE = 0.12


def general_arrangement(ctx: SheetContext, sheet_number: int, sheets: int) -> Sheet:
    """Return the general arrangement of a strut."""
    strut = ctx.strut
    kg = common.mass_kg(ctx)
    title = ctx.title(
        "Propeller-shaft strut",
        "General arrangement",
        sheet_number=sheet_number,
        sheets=sheets,
        mass=common.mass_text(ctx, kg),
    )
    sheet = common.new_sheet(ctx, title)
    rows, balloons = _parts(ctx)
    sheet.views = [_side(ctx), _aft(ctx), _plan(ctx), _picture(ctx, balloons), _lines(ctx)]
    if any(abs(p.plane.tilt_deg) > 0.005 for p in strut.palms):
        sheet.views.append(_true_angle(ctx, strut.palms[0]))
    sheet.scales = common.scales_between(max(v.extent().height for v in sheet.views[:2]), 70.0, 420.0)
    sheet.tables = [
        Table(
            "parts",
            "PARTS LIST",
            ("item", "part", "no.", "material", "size, standard", "mass each"),
            rows,
            left=frozenset({1, 3, 4}),
        ),
        _angles(ctx),
        _drops(ctx),
    ]
    sheet.notes = common.general_notes(
        ctx, common.datum_a(ctx.strut), common.CLOCK, common.STATION, common.FACES, *_remarks(ctx), breaking=False
    )
    sheet.cautions = list(cautions.for_strut(strut))
    return sheet


# --- views ----------------------------------------------------------------------------------------------------------


def _extreme(points: np.ndarray[tuple[int, int], np.dtype[np.float64]], axis: int) -> tuple[Vector, Vector]:
    low, high = points[int(points[:, axis].argmin())], points[int(points[:, axis].argmax())]
    return (float(low[0]), float(low[1]), float(low[2])), (float(high[0]), float(high[1]), float(high[2]))


def _rims(strut: Strut) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    return np.vstack([common.palm_corners(p) for p in strut.palms])


def _reach(strut: Strut) -> tuple[float, float]:
    """Aft and forward end of what the side view shows, x in mm."""
    half, rim = strut.barrel.length_mm / 2, _rims(strut)
    low, high = min(-half, float(rim[:, 0].min())), max(half, float(rim[:, 0].max()))
    p = strut.propeller
    if p.diameter_mm is not None:
        low = min(low, -propeller_plane_mm(strut) - 0.12 * p.diameter_mm)
    if strut.skeg is not None and strut.skeg.heel is not None:
        low = min(low, strut.skeg.heel.centre_mm[0] - strut.skeg.heel.outside_mm)
    room = 0.25 * (high - low)
    return low - 0.4 * room, high + room


def _side(ctx: SheetContext) -> View:
    strut = ctx.strut
    barrel, hull = strut.barrel, strut.hull
    half, r = barrel.length_mm / 2, barrel.outside_mm / 2
    view = View("side", "front", "SIDE VIEW, LOOKING TO PORT")
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), FRONT), hidden=False)
    x0, x1 = _reach(strut)
    common.shaft_lines(view, strut, x0, x1)
    view.centre_line((x0, 0.0), (x1, 0.0))
    rim = _rims(strut)
    rise = math.tan(math.radians(hull.shaft_to_hull_deg))
    palm_aft, palm_fore = float(rim[:, 0].min()), float(rim[:, 0].max())

    def hull_at(x: float) -> P:
        return (x, hull.drop_square_to_shaft_mm - x * rise)

    view.add([Line(hull_at(x0), hull_at(palm_aft)), Line(hull_at(palm_fore), hull_at(x1))], "phantom")
    view.note(hull_at(0.5 * (palm_fore + x1)), ["HULL"], at_deg=60)
    view.note(
        (0.75 * x1 + 0.25 * half, -strut.shaft.diameter_mm / 2),
        [f"SHAFT Ø{common.length(ctx.figures, strut.shaft.diameter_mm)}"],
        at_deg=-45,
    )
    view.horizontal((-half, -r), (half, -r), side="below")
    aft, fore = _extreme(rim, 0)
    # What follows from the palm's own sizes, the drop and the angles is for reference.
    view.horizontal(seen(FRONT, aft), seen(FRONT, fore), Label(reference=True), side="above")
    view.vertical((0.0, 0.0), (0.0, hull.drop_square_to_shaft_mm), Label(suffix="DROP"), side="right")
    low, high = _lowest(strut), _extreme(rim, 2)[1]
    view.vertical(low, seen(FRONT, high), Label(reference=True), side="left")
    _propeller_side(view, strut, hull_at)
    if strut.skeg is not None and strut.skeg.heel is not None:
        _stock_side(view, strut.skeg.heel, hull_at)
        view.horizontal((strut.skeg.heel.centre_mm[0], strut.skeg.heel.centre_mm[2]), (-half, -r), side="below")
    view.arrow((x1, 0.0), 0.0, "FWD")
    return view


def _lowest(strut: Strut) -> P:
    """The lowest place of the strut in the side view."""
    low: P = (-strut.barrel.length_mm / 2, -strut.barrel.outside_mm / 2)
    if strut.barrel.aft_end.shape != "straight":
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


def _propeller_side(view: View, strut: Strut, hull_at: object) -> None:
    p = strut.propeller
    if p.diameter_mm is None:
        return
    d, x = p.diameter_mm, -propeller_plane_mm(strut)
    view.add([Ellipse((x, 0.0), (0.0, d / 2), BLADE_SHARE)], "phantom")
    half = strut.barrel.length_mm / 2
    if p.hub_length_mm is not None:
        h, long = hull_bodies.HUB_SHARE * d / 2, p.hub_length_mm / 2
        view.add([Poly(((x - long, -h), (x + long, -h), (x + long, h), (x - long, h)), True)], "phantom")
        if p.hub_gap_mm:
            view.horizontal(
                (x + long, -h), (-half, -strut.barrel.aft_end.end_diameter_mm / 2), Label(suffix="GAP"), side="below"
            )
    view.vertical((x, -d / 2), (x, d / 2), Label(prefix="PROPELLER Ø", reference=True), side="left")
    assert callable(hull_at)
    top = hull_at(x)
    plane = hull_shapes.plane_over_shaft(strut)
    least = tip_clearance_mm(strut)
    if top[1] > d / 2 + 1.0 and least is not None:
        if abs(plane.tilt_deg) < 0.005:
            n = frames.plane_axes(0.0, plane.pitch_deg, 0.0).n
            view.aligned(
                (x, d / 2),
                (x + least * float(n[0]), d / 2 + least * float(n[2])),
                Label(suffix="LEAST"),
                offset_mm=6.0,
                late=True,
            )
        else:
            # With deadrise the least clearance lies to the side, where this view does not show it; the table has it.
            view.aligned((x, d / 2), top, Label(suffix="CLEAR, UPRIGHT"), offset_mm=-6.0, late=True)


def _stock_side(view: View, heel: Heel, hull_at: object) -> None:
    """The rudder stock in phantom lines from the heel up to the hull."""
    way = frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)
    x, z = heel.centre_mm[0], heel.centre_mm[2]
    assert callable(hull_at)
    lean = float(way[0] / way[2])
    top = float(hull_at(x)[1])
    long = top - z
    half = heel.stock_mm / 2
    start = heel.height_mm / 2
    for side in (-half, half):
        view.add([Line((x + side + start * lean, z + start), (x + side + long * lean, top))], "phantom")
    view.centre_line((x - heel.height_mm * lean, z - heel.height_mm), (x + long * lean, top))
    view.note((x + half + 0.55 * long * lean, z + 0.55 * long), ["RUDDER STOCK"], at_deg=160)


def _aft(ctx: SheetContext) -> View:
    strut = ctx.strut
    hull, barrel = strut.hull, strut.barrel
    view = View("aft", "seen from left", "VIEW FROM AFT, LOOKING FORWARD")
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
        up, way = (0.0, top), common.on_clock(arm.clock_deg, top)
        first, second = (up, way) if arm.clock_deg > 0 else (way, up)
        view.angle(
            (0.0, 0.0), first, second, reach_mm=0.42 * top, late=True, outer="second" if arm.clock_deg > 0 else "first"
        )
    if strut.skeg is not None and strut.skeg.heel is not None:
        _stock_aft(view, strut.skeg.heel, top)
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
        first, second = (far, level_end) if plane.tilt_deg > 0 else (level_end, far)
        view.angle(foot, first, second, reach_mm=0.85 * abs(far[0] - foot[0]), late=True)


def _stock_aft(view: View, heel: Heel, top: float) -> None:
    way = frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)
    x, z = -heel.centre_mm[1], heel.centre_mm[2]
    lean = -float(way[1] / way[2])
    half, start, long = heel.stock_mm / 2, heel.height_mm / 2, top - z
    for side in (-half, half):
        view.add([Line((x + side + start * lean, z + start), (x + side + long * lean, top))], "phantom")


def _plan(ctx: SheetContext) -> View:
    strut = ctx.strut
    view = View("plan", "seen from top", "PLAN, FROM ABOVE: HULL FACE")
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


def _picture(ctx: SheetContext, balloons: list[tuple[str, Vector]]) -> View:
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
    """Shaft, hull and waterline in the upright plane through the shaft, with the drops that lie in it."""
    strut = ctx.strut
    hull = strut.hull
    d = hull.drop_square_to_shaft_mm
    view = View("lines", "free", "LINES IN THE UPRIGHT PLANE THROUGH THE SHAFT, FOR REFERENCE", scale=_diagram_scale(d))
    eps, theta = math.radians(hull.shaft_to_waterline_deg), math.radians(hull.shaft_to_hull_deg)
    far = 1.55 * d

    def along(angle: float, start: P, long: float) -> P:
        return (start[0] + long * math.cos(angle), start[1] - long * math.sin(angle))

    top = (0.0, d)
    view.add(
        [
            Line(along(0.0, (0.0, 0.0), -0.35 * d), along(0.0, (0.0, 0.0), far)),
            Line(along(theta, top, -0.35 * d), along(theta, top, far)),
        ],
        "visible",
    )
    view.arrow((far + 0.05 * d, 0.0), 0.0, "FWD")
    view.note(along(0.0, (0.0, 0.0), -0.25 * d), ["shaft line"], at_deg=-120)
    view.note(along(theta, top, -0.25 * d), ["hull"], at_deg=120)
    if hull.run_known and abs(eps) > 2e-4:
        view.add([Line((0.0, 0.0), along(eps, (0.0, 0.0), far))], "thin")
        view.note(along(eps, (0.0, 0.0), 0.45 * far), ["parallel to the waterline"], at_deg=-110)
        view.angle((0.0, 0.0), along(eps, (0.0, 0.0), far), (far, 0.0), reach_mm=0.95 * far, late=True)
    if abs(theta) > 2e-4:
        view.add([Line(top, (far, d))], "thin")
        if theta > 0:
            view.angle(top, along(theta, top, far), (far, d), reach_mm=0.95 * far, late=True)
        else:
            view.angle(top, (far, d), along(theta, top, far), reach_mm=0.95 * far, late=True)
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
    view = View(
        "true",
        "free",
        "TRUE ANGLE, SHAFT TO PALM" + (f": {name.upper()}" if name else "") + ", FOR REFERENCE",
        scale=_diagram_scale(long),
    )
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
        first, second = (end, (far, top[1])) if gamma > 0 else ((far, top[1]), end)
        view.angle(top, first, second, reach_mm=0.95 * far, late=True)
    return view


# --- tables ---------------------------------------------------------------------------------------------------------


def _angles(ctx: SheetContext) -> Table:
    """Angles in degrees and as a rise."""
    strut, hull = ctx.strut, ctx.strut.hull
    rows: list[tuple[str, str, str]] = []

    def add(what: str, value: float) -> None:
        rows.append((what, common.degrees(value), common.slope(value, ctx)))

    if hull.run_known:
        add("shaft to waterline", hull.shaft_to_waterline_deg)
        add("run of the hull, rising aft", hull.run_deg)
    add("shaft to hull, in the upright plane", hull.shaft_to_hull_deg)
    add("deadrise, rising outboard", hull.deadrise_deg)
    for palm in strut.palms:
        name = palm.name if "palm" in palm.name else f"{palm.name} palm"
        made = common.set_up(palm.plane)
        add(f"{name} to shaft, upright plane (pitch)", palm.plane.pitch_deg)
        add(f"{name} tilt, seen along the shaft (+ rising to port)", palm.plane.tilt_deg)
        add(f"{name} to shaft, true angle", made.true_deg)
        add(f"{name}: trace to shaft's projection (+ to port)", made.skew_deg)
    for arm in strut.arms:
        name = common.arm_label(arm)
        add(f"{name}, clock of its axis", arm.clock_deg)
        if abs(arm.rake_deg) > 0.005:
            add(f"{name}, rake (+ palm end aft)", arm.rake_deg)
        if abs(arm.toe_deg) > 0.005:
            add(f"{name}, toe (+ leading edge to port)", arm.toe_deg)
    return Table("angles", "ANGLES", ("angle", "degrees", common.slope_unit(ctx)), tuple(rows), left=frozenset({0}))


def _drops(ctx: SheetContext) -> Table:
    strut, hull, figures = ctx.strut, ctx.strut.hull, ctx.figures
    rows = [
        ("drop, square to shaft", common.length(figures, hull.drop_square_to_shaft_mm)),
        *([("drop, vertical", common.length(figures, hull.drop_vertical_mm))] if hull.run_known else []),
        ("drop, square to hull", common.length(figures, hull.drop_square_to_hull_mm)),
    ]
    p = strut.propeller
    tip = tip_clearance_mm(strut)
    if tip is not None and p.diameter_mm is not None:
        rows.append(
            (
                "blade tip to hull, least",
                f"{common.length(figures, tip)} ({fixed(100 * tip / p.diameter_mm, 0)} % of Ø)",
            )
        )
    over = bodies.palm_over_tips(strut, strut_parts(strut))
    if over is not None and p.diameter_mm is not None:
        rows.append(
            (
                f"blade tip to the {over[1].name} over it, least",
                f"{common.length(figures, over[0])} ({fixed(100 * over[0] / p.diameter_mm, 0)} % of Ø)",
            )
        )
    if strut.shaft.bearing_span_mm is not None:
        rows.append(("to next bearing forward", common.length(figures, strut.shaft.bearing_span_mm)))
    if len(strut.arms) == 2:
        between = frames.angle_between_deg(strut.arms[0].clock_deg, strut.arms[1].clock_deg)
        rows.append(("angle between arms", f"{common.degrees(between)}°"))
    return Table("drops", "AT MID-BARREL", ("what", "value"), tuple(rows), left=frozenset({0}))


def _parts(ctx: SheetContext) -> tuple[tuple[tuple[str, ...], ...], list[tuple[str, Vector]]]:
    """Rows of the parts list, and which item is seen where in the picture."""
    strut = ctx.strut
    rows: list[tuple[str, ...]] = []
    balloons: list[tuple[str, Vector]] = []
    places, screws = _places(strut), iter(screw_kinds(strut).values())
    heavy = "kg" if ctx.units == "mm" else "lb"
    listed = parts_list(replace(strut, file_units=ctx.units), ctx.built.parts)
    for row in csv.DictReader(io.StringIO(listed, newline="")):
        size = ", ".join(t for t in (row["size"], _standard(row["part"], row["standard"])) if t)
        # Of the part itself: the list's weight is rounded once already.
        part = ctx.part(row["part"])
        weight = row[f"weight_each_{heavy}"]
        mass = (
            f"{fixed(float(weight), 2)} {heavy}"
            if part is None and weight
            else ""
            if part is None
            else common.mass_text(ctx, common.part_mass_kg(part.volume_mm3, part.material))
        )
        rows.append((row["item"], row["part"], row["quantity"], row["material"], size, mass))
        place = _screw_place(strut, next(screws)) if row["part"].startswith("set screw") else places.get(row["part"])
        if place is not None:
            balloons.append((row["item"], place))
    return tuple(rows), balloons


def _standard(part: str, standard: str) -> str:
    """Of the standards of nuts, heads and washers, the one of this part."""
    for word, name in (("nut", "(nut)"), ("washer", "(washer)")):
        if part == word:
            return next((s.replace(name, "").strip() for s in standard.split(", ") if name in s), standard)
    return standard


def _places(strut: Strut) -> dict[str, Vector]:
    """Places (mm, strut frame) at which the parts are seen in the picture, by the names of the parts list."""
    barrel, eye = strut.barrel, np.array(_picture_from(strut).toward)
    out: dict[str, np.ndarray[tuple[int], np.dtype[np.float64]]] = {}
    beside = np.array([0.0, eye[1], 0.0]) / abs(eye[1])
    round_ = np.array([0.0, eye[1], eye[2]]) / math.hypot(eye[1], eye[2])
    out["barrel"] = np.array([barrel.x(0.72 * barrel.length_mm), 0.0, 0.0]) + barrel.outside_mm / 2 * round_
    for arm in strut.arms:
        plane = frames.arm_plane(strut, arm)
        axes, ends = frames.arm_axes(arm, barrel, plane), frames.arm_ends_mm(arm, barrel, plane)
        thick = frames.arm_size_at(arm, ends, 0.5 * (ends[0] + ends[1]))[1]
        side = 1.0 if float(axes.v @ eye) > 0 else -1.0
        spot = axes.origin + 0.55 * (ends[0] + ends[1]) * axes.n + side * 0.45 * thick * axes.v
        out[common.arm_label(arm)] = spot
        out.setdefault("strut", spot)
    for palm in strut.palms:
        axes = frames.palm_axes(palm)
        rim = palm.outline.polyline(0.5)
        foot = axes.to_strut(0.93 * rim, -palm.thickness_mm)
        out[palm.name if "palm" in palm.name else f"{palm.name} palm"] = foot[
            int((foot @ (beside + np.array([1.0, 0, 0]))).argmax())
        ]
        heads = (
            axes.to_strut(np.array([(h.u_mm, h.v_mm) for h in palm.holes]), -palm.thickness_mm) if palm.holes else None
        )
        if heads is not None and "countersunk bolt" not in out:
            near = heads[int((heads @ (0.4 * beside - np.array([1.0, 0, 0]))).argmax())]
            for name in ("countersunk bolt", "cylinder-head bolt", "hexagon bolt"):
                out[name] = near
    for k, b in enumerate(strut.bearings):
        name = "fluted rubber bearing" if len(strut.bearings) == 1 else f"fluted rubber bearing {k + 1}"
        if k == 0:
            ring = (b.outside_mm - b.shell_mm) / 2
            out[name] = np.array([barrel.x(b.aft_station_mm), 0.0, 0.0]) + ring * np.array([0.0, 0.0, -1.0])
    skeg = strut.skeg
    if skeg is not None:
        x = barrel.x((skeg.root_aft_station_mm + skeg.root_forward_station_mm) / 2) - skeg.sweep_mm / 2
        out["skeg"] = np.array([x, 0.0, -0.6 * skeg.depth_mm]) + skeg.thickness_root_mm / 2 * beside
        heel = skeg.heel
        if heel is not None:
            lead, _, high = foot_start_mm(barrel, skeg, heel)
            middle = np.array([(lead + heel.centre_mm[0]) / 2, 0.0, (high + heel.centre_mm[2]) / 2])
            out["foot"] = middle + heel.foot_thickness_mm / 2 * beside
            up = frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)
            boss = np.array(heel.centre_mm)
            out["heel boss"] = boss + heel.outside_mm / 2 * beside
            out["heel bush"] = boss - heel.height_mm / 2 * up + (heel.bore_mm + heel.bush_wall_mm) / 2 * beside
    return {name: (float(p[0]), float(p[1]), float(p[2])) for name, p in out.items()}


def _screw_place(strut: Strut, screws: Sequence[SetScrew]) -> Vector | None:
    """The place (mm, strut frame) of the first of the screws that is seen in the picture."""
    eye = np.array(_picture_from(strut).toward)
    for s in screws:
        way = frames.radial(s.clock_deg)
        if float(way @ eye) > 0.1:
            at = np.array([strut.barrel.x(s.station_mm), 0.0, 0.0]) + strut.barrel.outside_mm / 2 * way
            return float(at[0]), float(at[1]), float(at[2])
    return None


def _remarks(ctx: SheetContext) -> list[str]:
    strut = ctx.strut
    stock = ", rudder stock" if strut.skeg is not None and strut.skeg.heel is not None else ""
    said = [
        f"Shaft, propeller{stock} and hull are drawn in phantom lines; hub and blades are indicative.",
        "Items without a number in the picture lie inside the hull or are hidden; bolts and screws are not drawn.",
    ]
    if strut.construction == "welded":
        said.append("Weld beads are left out of the views; see the weld sheet.")
    return said
