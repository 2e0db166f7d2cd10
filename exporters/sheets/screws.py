"""The sheet of the set screws: the barrel square to them and from aft, its outside rolled out, the wall at a screw."""

from __future__ import annotations

import itertools
import math
from typing import Literal

import numpy as np

from strutwright.exporters.drawing.figures import Label, fixed
from strutwright.exporters.drawing.shapes import Arc, Line, P, Poly, from_vertices
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.style import Kind
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.data_sheets import screw_rows
from strutwright.exporters.sheets import common, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.made_barrel import slot_clocks, slot_words
from strutwright.exporters.sheets.plane import from_clock, on_clock
from strutwright.models import cautions, frames
from strutwright.models.families import CLOCK_ZERO
from strutwright.models.geometry.barrel import ScrewWall, bearing_seat_mm, screw_wall_of
from strutwright.models.geometry.flange import face_x_mm, stands_mm
from strutwright.models.shop import development as dev
from strutwright.models.shop.sides import arm_side, skeg_side
from strutwright.models.solids.bearing import running_outline
from strutwright.models.spec import Barrel, Bearing, SetScrew, Strut
from strutwright.models.spec_flange import Flange
from strutwright.params import tables

SQUARE = "Drill and tap square to the axis before the bearing goes in"
DEBURR = "deburr inside and break the edge where the thread enters the bore, or the bearing is scored"
SEAT = "Seat the screw by hand, then an eighth to a quarter turn"
NO_TORQUE = "Never tighten it to the torque of a screw table: that crushes the shell"
LOCK = "Lock it, keep its outer end below the barrel's outside surface, fill the recess"
FULL_SIZE_MM = 60.0
"""Barrels from this length on are drawn full size rather than on a larger sheet."""


def set_screw_layout(ctx: SheetContext) -> Sheet | None:
    """Return the set-screw sheet, or None when the strut has none."""
    strut = ctx.strut
    if not strut.set_screws:
        return None
    clocks = sorted(_clocks(strut), key=lambda c: (-c, c))
    pressed = strut.barrel.fit == "press"
    press = [cautions.PRESS] if pressed else []
    return ctx.sheet(
        "Set screws in the barrel",
        "Part drawing",
        [
            *(_screw_side(ctx, clock, "free" if k else "front") for k, clock in enumerate(clocks)),
            # The aft end lies to the right of a view with forward to the left.
            screw_end(ctx, "seen from left" if _way(clocks[0]) > 0 else "seen from right"),
            _strip(ctx),
            *(screw_detail(ctx, s, f"detail {s.number}" if k else "detail") for k, s in enumerate(unlike(strut))),
        ],
        tables=[_screw_table(ctx)],
        notes=_notes(ctx),
        cautions=[cautions.STRUCTURE, cautions.drilling(common.family(strut.material)), *press],
        scales=_scales(strut),
    )


def _scales(strut: Strut) -> tuple[float, ...]:
    """The scales of the views; full size serves a small part too, which would else fill a large sheet."""
    long = strut.barrel.length_mm
    wished = common.scales_between(long, 90.0, 260.0)
    return wished if min(wished) <= 1.0 or long < FULL_SIZE_MM else (*wished, 1.0)


def flute_words(ctx: SheetContext) -> str:
    """Return what is said of the flutes; nothing of bearings without."""
    if all(b.plain for b in ctx.strut.bearings):
        return ""
    into = "in for good" if ctx.strut.barrel.fit == "press" else "in"
    return f"No flute may lie under a screw. Check the clock of the flutes before the bearing goes {into}"


def dimple_words(ctx: SheetContext) -> str:
    """Return how the shell is dimpled."""
    strut = ctx.strut
    deep = "never through it" if all(b.plain for b in strut.bearings) else "never through to the rubber"
    how = "pressed" if strut.barrel.fit == "press" else "slid"
    return (
        f"Dimple the shell after the bearing is {how} in and stands as drawn: tapped hole as guide, stop collar on the "
        f"drill, {deep}"
    )


def _notes(ctx: SheetContext) -> list[str]:
    flutes = flute_words(ctx)
    more = [
        common.STATION,
        common.clock_words(ctx.strut),
        f"{SQUARE}; {DEBURR}.",
        f"{dimple_words(ctx)}.",
        f"{SEAT}. {NO_TORQUE}. {LOCK}.",
        *([f"{flutes}."] if flutes else []),
        "The developed strip is seen from outside; the full-size strip is among the templates.",
    ]
    return common.general_notes(ctx, more)


def _clocks(strut: Strut) -> list[float]:
    """The clock angles at which there are set screws, each once."""
    return sorted({round(s.clock_deg, 6) for s in strut.set_screws})


def unlike(strut: Strut) -> list[SetScrew]:
    """Return one set screw of each kind of wall: its thickness, spot face and shell."""
    kinds: dict[tuple[float | None, ...], SetScrew] = {}
    for s in strut.set_screws:
        wall = screw_wall_of(strut, s)
        sizes = round(float(wall.wall_mm), 2), round(float(wall.to_shell_mm), 2)
        kinds.setdefault((*sizes, s.flat_diameter_mm, strut.bearings[s.bearing_index].shell_mm), s)
    return list(kinds.values())[:3]


def _way(clock_deg: float) -> float:
    """1 where a barrel seen square to the shaft from a clock angle, hull up, has forward to the right; else -1."""
    return -1.0 if 0.01 < clock_deg < 179.99 else 1.0


def _screw_side(ctx: SheetContext, clock_deg: float, slot: Literal["front", "free"]) -> View:
    """The barrel square to the screws at a clock angle, hull side up: from port, forward is to the left."""
    strut, b, way = ctx.strut, ctx.strut.barrel, _way(clock_deg)
    half, r = b.length_mm / 2, b.outside_mm / 2

    def x(station: float) -> float:
        return way * b.x(station)

    clock = fixed(clock_deg, 1)
    view = View(f"side {clock}", slot, f"SEEN AT CLOCK {clock}°, BEARING IN PHANTOM LINES")
    eye = from_clock(clock_deg, way)
    view.add_projection(ctx.view("barrel", common.bare_barrel(ctx), eye), hidden=False)
    view.centre_line((-half, 0.0), (half, 0.0))
    if strut.flange is not None:
        _flange_side(view, b, strut.flange, clock_deg, way)
    mine = [s for s in strut.set_screws if abs(frames.angle_between_deg(s.clock_deg, clock_deg)) < 0.01]
    for bearing in strut.bearings:  # its outline and its shell
        x0, x1, outer = x(bearing.aft_station_mm), x(bearing.forward_station_mm), bearing.outside_mm / 2
        view.add([Poly(((x0, -outer), (x1, -outer), (x1, outer), (x0, outer)), True)], "phantom")
        inner = outer - bearing.shell_mm
        view.add([Line((x0, y), (x1, y)) for y in (-inner, inner)], "phantom")
    for s in mine:
        at = (x(s.station_mm), 0.0)
        view.centre_mark(at, max(s.flat_diameter_mm or 0.0, s.major_mm))
        view.add([Arc(at, s.major_mm / 2)], "thin")
        view.horizontal((x(0.0), r), at, side="above")
    for k in sorted({s.bearing_index for s in mine}):
        bearing = strut.bearings[k]
        stations = sorted(s.station_mm for s in mine if s.bearing_index == k)
        edge = bearing.outside_mm / 2
        aft, fore = x(bearing.aft_station_mm), x(bearing.forward_station_mm)
        ends = (("aft", (aft, -edge), (x(stations[0]), 0.0)), ("forward", (x(stations[-1]), 0.0), (fore, -edge)))
        for end, p, q in ends:
            screw = next((s for s in mine if x(s.station_mm) in (p[0], q[0]) and end == _near_end(bearing, s)), None)
            view.horizontal(p, q, Label(row="" if screw is None else f"screw{screw.number}.station"))
        view.horizontal((aft, -edge), (fore, -edge), Label(prefix="BEARING", reference=True))
        if bearing.aft_station_mm > 0.01:
            view.horizontal((x(0.0), r), (aft, edge), side="above")
    view.horizontal((-half, -r), (half, -r), Label(reference=True))
    for s in mine:
        view.balloon((x(s.station_mm), 0.0), str(s.number))
    view.arrow((way * (half + 0.12 * b.length_mm), 0.0), 0.0 if way > 0 else 180.0, "FWD")
    return view


def _flange_side(view: View, barrel: Barrel, flange: Flange, clock_deg: float, way: float) -> None:
    """Where a flange stands on the barrel, cut short, in phantom lines."""
    r = barrel.outside_mm / 2
    for side in (1.0, -1.0):
        clock, far = clock_deg + side * way * 90.0, 1.35 * r
        corners = [(deep, h) for deep, hs in ((flange.thickness_mm, (r, far)), (0.0, (far, r))) for h in hs]
        rim = tuple((way * face_x_mm(flange, barrel, deep, clock, h), side * h) for deep, h in corners)
        view.add([Poly(rim, False)], "phantom")


def _near_end(bearing: Bearing, screw: SetScrew) -> str:
    """The end of its bearing that a screw's place is recorded from."""
    aft, fore = screw.station_mm - bearing.aft_station_mm, bearing.forward_station_mm - screw.station_mm
    return "aft" if aft <= fore else "forward"


def _of_screws(strut: Strut, clock_deg: float) -> str:
    """The row of the record that asks for a clock: that of the first screw there."""
    return next(f"screw{s.number}.clock" for s in strut.set_screws if abs(s.clock_deg - clock_deg) < 1e-5)


def screw_end(ctx: SheetContext, slot: Literal["seen from left", "seen from right", "free"]) -> View:
    """Return the barrel from aft with the bearing's flutes and the clocks of the screws."""
    strut, b = ctx.strut, ctx.strut.barrel
    bearing = strut.bearings[strut.set_screws[0].bearing_index]
    view = View("end", slot, "SEEN FROM AFT, BEARING IN PHANTOM LINES")
    r = b.outside_mm / 2
    view.centre_line((0.0, r), (0.0, 1.5 * r))
    view.circle((0.0, 0.0), b.outside_mm)
    view.circle((0.0, 0.0), float(bearing_seat_mm(b, bearing)), marked=False)
    view.add([Arc((0.0, 0.0), bearing.outside_mm / 2 - bearing.shell_mm)], "phantom")
    rows = running_outline(bearing).polyline(0.02)
    # The outline's axes are hull and port; in the view up and left.
    view.add([from_vertices(rows[:, ::-1] * (-1.0, 1.0))], "phantom")
    for clock in _clocks(strut):
        s = next(s for s in strut.set_screws if abs(s.clock_deg - clock) < 1e-5)
        _screw_hole_end(view, s, screw_wall_of(strut, s))
        view.centre_line(on_clock(clock, 0.3 * r), on_clock(clock, 1.1 * r))
        here = on_clock(clock, r)
        if 0.01 < abs(clock) < 179.99:
            off = tolerances.CLOCK_DEG, -tolerances.CLOCK_DEG
            label = Label(deviations=off, row=_of_screws(strut, clock))
            view.angle((0.0, 0.0), (0.0, r), here, label, reach_mm=1.35 * r, inward=False)
        flute = nearest_flute_deg(bearing, clock)
        if bearing.flute_count and abs(flute - clock) > 0.05:
            view.centre_line(on_clock(flute, 0.3 * r), on_clock(flute, 0.95 * r))
            there, label = on_clock(flute, r), Label(reference=True)
            view.angle((0.0, 0.0), here, there, label, reach_mm=1.2 * r, inward=False)
    view.label((0.0, 1.5 * r), f"{common.clock_zero(ctx.strut)}, clock 0", at_deg=90.0)
    return view


def nearest_flute_deg(bearing: Bearing, clock_deg: float) -> float:
    """Return the clock of the flute centre nearest to a clock angle, within 180 degrees of it."""
    if not bearing.flute_count:
        return clock_deg
    pitch = 360.0 / bearing.flute_count
    return bearing.flute_clock_deg + pitch * round((clock_deg - bearing.flute_clock_deg) / pitch)


def _screw_hole_end(view: View, s: SetScrew, wall: ScrewWall) -> None:
    """The tapped hole through the wall, cut along the barrel's radius."""
    c, sn = math.cos(math.radians(s.clock_deg)), math.sin(math.radians(s.clock_deg))

    def at(along: float, across: float) -> P:
        return (-sn * along - c * across, c * along - sn * across)

    kinds: tuple[tuple[float, Kind], ...] = ((s.tap_drill_mm / 2, "visible"), (s.major_mm / 2, "thin"))
    for half, kind in kinds:
        low, high = (math.sqrt(max(r**2 - half**2, 0.0)) for r in (wall.bore_mm, wall.skin_mm))
        if s.flat_diameter_mm:
            high = min(high, float(wall.top_mm))
        view.add([Line(at(low, y), at(high, y)) for y in (-half, half)], kind)
    if s.flat_diameter_mm:
        floor, half = float(wall.top_mm), s.flat_diameter_mm / 2
        view.add([Line(at(floor, -half), at(floor, half))])


def _strip(ctx: SheetContext) -> View:
    """The outside rolled out, seen from outside with forward to the right: clock angles run upward."""
    strut, b = ctx.strut, ctx.strut.barrel
    per = math.pi * b.outside_mm / 360.0
    girth = 360.0 * per
    slots = slot_clocks(b)
    used = [s.clock_deg for s in strut.set_screws] + [a.clock_deg for a in strut.arms] + ([180.0] if strut.skeg else [])
    seam = dev.clear_clock_deg(used + slots)

    def at(station: float, clock: float) -> P:
        return (station, per * ((clock - seam) % 360.0))

    view = View("strip", "free", "DEVELOPED OUTSIDE")
    view.add([Poly(((0.0, 0.0), (b.length_mm, 0.0), (b.length_mm, girth), (0.0, girth)), True)])
    for clock in range(-180, 180, 30):
        place = at(b.length_mm, clock)
        if 0.02 * girth < place[1] < 0.98 * girth:  # else too near the rim to be told from it
            view.add([Line((0.0, place[1]), place)], "thin")
            name = {0: f" {CLOCK_ZERO[ctx.strut.family]}", 90: " port", -90: " starboard", -180: " below"}.get(
                clock, ""
            )
            view.label(place, f"{180 if clock == -180 else clock}°{name}", height_mm=2.5)
    for bearing in strut.bearings:
        for station in (bearing.aft_station_mm, bearing.forward_station_mm):
            if 1e-6 < station < b.length_mm - 1e-6:
                view.add([Line((station, 0.0), (station, girth))], "phantom")
    if strut.flange is not None:  # it stands between these, its root with it
        low, high = (min(max(station, 0.0), b.length_mm) for station in stands_mm(strut.flange, b))
        ends = [station for station in (low, high) if 1e-6 < station < b.length_mm - 1e-6]
        view.add([Line((station, 0.0), (station, girth)) for station in ends], "phantom")
        view.note(((low + high) / 2, 0.98 * girth), ["FLANGE"], at_deg=60.0, head="dot")
    sides = [arm_side(strut, arm) for arm in strut.arms] + ([skeg_side(strut)] if strut.skeg else [])
    for side in sides:
        foot = dev.footprint(b, side)
        turned, mid = at(0.0, foot.clock_deg)[1], per * foot.clock_deg
        rim = foot.outline.polyline(0.1)
        view.add([from_vertices(np.add(rim, (0.0, turned - mid)))], "phantom")
    if b.slots is not None:
        _strip_slots(ctx, view, [at(b.slots.centre_station_mm, clock) for clock in slots])
    for s in strut.set_screws:
        view.circle(at(s.station_mm, s.clock_deg), s.tap_drill_mm)
    for turned_to in _clocks(strut):
        first = next(s for s in strut.set_screws if abs(s.clock_deg - turned_to) < 1e-5)
        if abs(turned_to) > 0.01:
            view.vertical(at(0.0, 0.0), at(first.station_mm, turned_to))
    view.vertical((0.0, 0.0), (0.0, girth), Label(suffix="round", reference=True))
    for s in strut.set_screws:
        view.balloon(at(s.station_mm, s.clock_deg), str(s.number))
    view.arrow((0.4 * b.length_mm, girth + 0.03 * girth), 0.0, "FWD")
    return view


def _strip_slots(ctx: SheetContext, view: View, places: list[P]) -> None:
    """The water slots on the strip, by the places of their middles."""
    slots = ctx.strut.barrel.slots
    assert slots is not None
    half, flat = slots.width_mm / 2, max(slots.length_mm - slots.width_mm, 0.0) / 2
    for px, py in places:
        view.add([Line((px - flat, py + w), (px + flat, py + w)) for w in (-half, half) if flat > 0])
        view.add([Arc((px + way * flat, py), half, -way * math.pi / 2, math.pi) for way in (1.0, -1.0)])
    lowest = min(places, key=lambda p: p[1])
    view.horizontal((0.0, 0.0), lowest, Label(suffix="SLOTS"))
    view.note(lowest, [f"{slot_words(ctx)}, through"], head="dot")


def dimple_width_mm(s: SetScrew) -> float:
    """Return the width (mm) of a dimple at the shell's surface: twice the depth for a cone of 90 degrees, else the
    point's.
    """
    try:
        point = tables.set_screw(tables.thread(s.thread).size, s.point).point_diameter_mm
    except tables.NotInTable:
        point = 0.5 * s.major_mm
    return float(s.tip.dimple_mm(s.dimple_depth_mm, point))


def _screw_table(ctx: SheetContext) -> Table:
    rows = []
    for s, row in zip(ctx.strut.set_screws, screw_rows(ctx.strut), strict=True):
        bearing = ctx.strut.bearings[s.bearing_index]
        flute = nearest_flute_deg(bearing, s.clock_deg)
        ends = row.from_bearing_aft_end_mm, row.from_bearing_forward_end_mm
        off = fixed(abs(flute - s.clock_deg), 1) if bearing.flute_count else "-"
        dimple = f"{ctx.length(s.dimple_depth_mm)} / {ctx.length(dimple_width_mm(s))}"
        long = "-" if row.screw_length_mm is None else ctx.length(row.screw_length_mm)
        places = (*(ctx.length(v) for v in (s.station_mm, *ends)), fixed(s.clock_deg, 1), off)
        holes = (tables.tapped(s.thread), ctx.length(s.tap_drill_mm), ctx.length(row.wall_mm), dimple, long, s.point)
        rows.append((str(s.number), *places, *holes))
    codes = [f"screw{s.number}" for s in ctx.strut.set_screws]
    where = ("no.", "station", "from bearing aft end", "from bearing fwd end", "clock °", "to flute °")
    what = ("thread", "tap drill", "depth (wall)", "dimple deep / wide", "screw length", "point")
    return Table(name="screws", title="SET SCREWS", columns=(*where, *what), rows=tuple(rows), codes=tuple(codes))


def screw_detail(ctx: SheetContext, s: SetScrew, name: str) -> View:
    """Return the wall at a screw cut along the barrel: thread, bearing shell, dimple; y from the bore toward the
    outside."""
    bearing = ctx.strut.bearings[s.bearing_index]
    through, flat, shell = screw_wall_of(ctx.strut, s), s.flat_diameter_mm, bearing.shell_mm
    # Up from the shell's outside; over a relief the metal begins higher.
    foot_of_wall, wall, skin = (float(r - through.seat_mm) for r in (through.bore_mm, through.top_mm, through.skin_mm))
    rubber = min(0.8 * shell + 1.0, (bearing.outside_mm - bearing.inside_mm) / 2 - shell)
    wide = max(2.6 * s.major_mm, 0.75 * (flat or 0.0))
    view = View(name, "free", f"THE WALL AT SCREW {s.number}", scale=common.scales_between(wall + shell, 12.0, 45.0)[0])
    d, m = s.tap_drill_mm / 2, s.major_mm / 2
    top = [(d, wall), (flat / 2, wall), (flat / 2, skin), (wide, skin)] if flat else [(d, wall), (wide, wall)]
    for way in (-1.0, 1.0):
        cut = [(way * x, y) for x, y in [(wide, foot_of_wall), (d, foot_of_wall), *top]]
        view.add([Line(p, q) for p, q in itertools.pairwise(cut)])
        view.add([Line((way * m, foot_of_wall), (way * m, wall))], "thin")
        view.hatch([np.array(cut)], spacing_mm=2.5)
        view.break_line((way * wide, -shell - rubber), (way * wide, skin))
    tip = _dimple(view, s, wide, shell)
    view.centre_line((0.0, -shell), (0.0, wall))
    half, deep = dimple_width_mm(s) / 2, s.dimple_depth_mm
    view.vertical((-wide, foot_of_wall), (-(flat / 2 if flat else wide), wall), Label(reference=True), side="left")
    view.vertical((wide, -shell), (wide, 0.0), Label(reference=True), side="right")
    view.vertical((tip, -deep), (half, 0.0), Label(row=f"screw{s.number}.dimple"), side="right")
    tapped = f"{tables.tapped(s.thread)} THROUGH, tap drill {ctx.length(s.tap_drill_mm)}"
    less = tolerances.tolerance_words(ctx, tolerances.DIMPLE_MM)
    dimple = f"dimple Ø{ctx.length(2 * half)}, {ctx.length(deep)} deep", f"+0/-{less}, never deeper"
    view.note((m, 0.7 * wall), [tapped], at_deg=60, row="screws.thread")
    view.note((tip, -0.5 * deep) if tip else (half, 0.0), dimple, at_deg=-60)
    view.note((-0.8 * wide, -0.5 * shell), ["bearing shell"], at_deg=-120, head="dot")
    if flat:
        view.horizontal((-flat / 2, wall), (flat / 2, wall), Label(prefix="flat Ø"), side="above")
    return view


def _dimple(view: View, s: SetScrew, wide: float, shell: float) -> float:
    """Draw the shell with its dimple and return half the dimple's width at its bottom, mm."""
    half, deep, d = dimple_width_mm(s) / 2, s.dimple_depth_mm, s.tap_drill_mm / 2
    tip = 0.0 if s.tip.conical else half
    bottom = [(-half, 0.0), *((x, -deep) for x in ((-tip, tip) if tip else (0.0,))), (half, 0.0)]
    view.add([Line((-d, 0.0), (-half, 0.0)), Line((half, 0.0), (d, 0.0))])
    view.add([Line(p, q) for p, q in itertools.pairwise(bottom) if math.dist(p, q) > 1e-9])
    view.add([Line((-wide, -shell), (wide, -shell))])
    ring = [(-wide, 0.0), *bottom, (wide, 0.0), (wide, -shell), (-wide, -shell)]
    view.hatch([np.array(ring)], spacing_mm=1.6, angle_deg=-45.0)
    return tip
