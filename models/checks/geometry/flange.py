"""Checks of a flanged housing: the flange on its barrel and its base, fasteners, spigot, ribs, gasket and water."""

from __future__ import annotations

import functools
import math

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Num
from strutwright.models.checks.check import rows_of
from strutwright.models.checks.geometry import hull
from strutwright.models.checks.geometry import palm as plates
from strutwright.models.checks.geometry.bearing import slots_ahead
from strutwright.models.checks.geometry.screws import key_mm
from strutwright.models.checks.results import Results
from strutwright.models.finding import Standing
from strutwright.models.formulas.corrosion import Potential, couple
from strutwright.models.geometry import flange as shapes
from strutwright.models.geometry import shapes as screws
from strutwright.models.geometry.barrel import parallel_part
from strutwright.models.spec import SetScrew
from strutwright.models.spec_flange import Base, Flange, Spigot
from strutwright.params import tables
from strutwright.params.words import mm, say

CHECKS = (
    THICKNESS,
    ROUND,
    ON_BARREL,
    RIM,
    DRIVER,
    BORE,
    SCREW,
    KEY,
    SLOT,
    SPIGOT,
    SHAFT,
    WATER,
    RIB,
    RIB_ON,
    RIB_ROOT,
    HOSE,
    CLAMPS,
    BARBS,
    WALL,
    RECESS,
    BASE,
) = rows_of("flange")


BEYOND_ROOT_MM = 1.0
"""Less of a rib than this beyond the root is lost in it, and its end lies as good as in the root's edge."""


def check(out: Results) -> None:
    """Check the flange and what belongs to it.

    >>> round(found(check, "deadwood-cutter")["flange_thickness"].demanded, 2)  # a quarter of the 30 mm shaft
    7.5
    """
    flange = out.strut.flange
    assert flange is not None
    out.least(THICKNESS, flange.thickness_mm, "flange_thickness", per=out.strut.shaft.diameter_mm)
    plates.check_plate(out, 0)
    on_barrel(out, flange)
    beside_barrel(out, flange)
    _base_bore(out, flange)
    beside_holes(out, flange)
    _base(out, flange)
    metals(out, flange)
    _water(out, flange.base)
    hull.speeds(out)
    hull.on_line(out)
    if flange.ribs is not None:
        ribs(out, flange)
    if flange.spigot is not None:
        _spigot(out, flange, flange.spigot)
    if flange.gasket is not None and flange.gasket.recess_mm > 0:
        _recess(out, flange)


def _inside_mm(out: Results, u: Num, v: Num) -> Num:
    """Distance of points of the flange from its outline, positive inside."""
    return out.struts.palms[0].inside_mm(u, v)


def _root_radius_mm(flange: Flange, barrel_mm: Num, off_deg: float) -> Num:
    """Distance from the shaft line, in the face, of the farthest toe of the root; on a slant the barrel is an ellipse
    there, and a ball touches farther out."""
    slant = math.radians(off_deg)
    return barrel_mm / 2 / math.cos(slant) + flange.root_mm / math.tan((math.pi / 2 - slant) / 2)


def on_barrel(out: Results, flange: Flange) -> None:
    """Check that the flange and its root have their place on the barrel.

    >>> def round_it(out): on_barrel(out, out.strut.flange)
    >>> found(round_it, "deadwood-cutter")["flange_round_barrel"].actual  # 176 / 2 less 67 / 2 and a fillet of 6
    48.5
    """
    barrel, off = out.strut.barrel, shapes.off_square_deg(flange.plane)
    room = _middle_mm(out) - _root_radius_mm(flange, barrel.outside_mm, off)
    out.least(ROUND, room, 0.0, by=mm(np.maximum(-room, 0.0)))
    start, stop = parallel_part(barrel)
    low, high = shapes.free_stations_mm(flange, barrel)
    reach = flange.root_mm / math.tan((math.pi / 2 - math.radians(off)) / 2)
    beside = low - reach - start if flange.plane.looks == "forward" else stop - high - reach
    out.least(ON_BARREL, beside, 0.0, by=mm(np.maximum(-beside, 0.0)))


def _middle_mm(out: Results) -> Num:
    """Distance of the shaft line from the outline."""
    return out.struts.palms[0].inside_mm(0.0, 0.0)


def _from_middle(out: Results) -> list[tuple[Num, Num, int]]:
    """Holes as (u, v, number) from the shaft line."""
    return [(h.u_mm, h.v_mm, h.number) for h in out.strut.plates[0].holes]


def beside_barrel(out: Results, flange: Flange) -> None:
    """Check the room of the fasteners beside barrel and ribs.

    >>> def beside(out): beside_barrel(out, out.strut.flange)
    >>> "rim_to_flange_root" in found(beside, "deadwood-cutter")
    True
    """
    barrel, bolt, off = out.strut.barrel, flange.bolt, shapes.off_square_deg(flange.plane)
    holes = _from_middle(out)
    radii = [np.hypot(u, v) for u, v, _ in holes]
    nearest = functools.reduce(np.minimum, radii)
    number = holes[int(np.argmin([float(np.min(r)) for r in radii]))][2] if out.tells else 0
    root = "the root at the barrel"
    rim = nearest - bolt.rim_mm / 2 - _root_radius_mm(flange, barrel.outside_mm, off)
    out.least(RIM, rim, "rim_to_root", hole=number, thing=root, by=mm(out.value("rim_to_root") - rim))
    across = barrel.outside_mm / 2 / math.cos(math.radians(off))
    tool = nearest - bolt.driver_diameter_mm / 2 - across
    out.least(DRIVER, tool, "driver_to_arm", hole=number, thing="the barrel", by=mm(out.value("driver_to_arm") - tool))
    if flange.ribs is not None:
        beside = functools.reduce(np.minimum, [_to_rib_mm(flange, u, v) for u, v, _ in holes])
        for check, size, limit in (
            (RIM, bolt.rim_mm, "rim_to_root"),
            (DRIVER, bolt.driver_diameter_mm, "driver_to_arm"),
        ):
            gap = beside - size / 2
            out.least(check, gap, limit, hole=number, thing="a rib", by=mm(out.value(limit) - gap))


def _base_bore(out: Results, flange: Flange) -> None:
    """The fasteners beside the bore of the base and a recess of the bedding face."""
    bolt, holes = flange.bolt, _from_middle(out)
    radii = [np.hypot(u, v) for u, v, _ in holes]
    nearest = functools.reduce(np.minimum, radii)
    number = holes[int(np.argmin([float(np.min(r)) for r in radii]))][2] if out.tells else 0
    need = out.value("hole_to_base_bore", bolt.major_mm)
    bore = nearest - flange.base.bore_mm / 2
    what = "the bore of the base"
    out.least(BORE, bore, "hole_to_base_bore", per=bolt.major_mm, hole=number, thing=what, by=mm(need - bore))
    if flange.gasket is not None and flange.gasket.recess_mm > 0:
        recess = nearest - bolt.hole_mm / 2 - flange.gasket.recess_mm / 2
        out.least(BORE, recess, 0.0, hole=number, thing="the recess of the bedding face", by=mm(-recess))


def _to_rib_mm(flange: Flange, u: Num, v: Num) -> Num:
    """Distance of a point of the flange from the nearest rib's side, as seen square to a flange that stands square."""
    assert flange.ribs is not None
    sign = -1.0 if flange.plane.looks == "forward" else 1.0
    best: Num = np.inf
    for clock in flange.ribs.clocks_deg:
        c = math.radians(clock)
        au, av = math.cos(c), sign * math.sin(c)
        along = u * au + v * av
        aside = np.abs(-u * av + v * au)
        best = np.minimum(best, np.where(along > 0, aside, np.hypot(u, v)))
    return best - flange.ribs.thickness_mm / 2


def beside_holes(out: Results, flange: Flange) -> None:
    """Check that set screws and water slots are clear of the flange, its root, and its ribs.

    >>> def beside(out): beside_holes(out, out.strut.flange)
    >>> "screw_clear_of_flange" in found(beside, "deadwood-cutter")
    True
    """
    barrel = out.strut.barrel
    (low, high), zone = shapes.free_stations_mm(flange, barrel), shapes.stands_mm(flange, barrel)
    for s in out.strut.set_screws:
        half = screws.screw_half_mm(s)
        gap = np.maximum(zone[0] - s.station_mm, s.station_mm - zone[1]) - half
        at, name, need = f"set_screws.positions[{s.number - 1}]", f"set screw {s.number}", out.value("rim_to_root")
        out.least(SCREW, gap, "rim_to_root", name=name, thing="the flange", at=at, by=mm(need - gap))
        _key(out, flange, s, at, name)
        if flange.ribs is not None:
            aside = _round_mm(flange, barrel.outside_mm / 2, s.clock_deg) - half
            gap = np.maximum(aside, _past_rib_mm(flange, s.station_mm, low, high) - half)
            out.least(SCREW, gap, "rim_to_root", name=name, thing="a rib", at=at, by=mm(need - gap))
    slots = barrel.slots
    if slots is None:
        return
    ends: tuple[Num, Num] = (
        slots.centre_station_mm - slots.length_mm / 2,
        slots.centre_station_mm + slots.length_mm / 2,
    )
    gap = np.maximum(zone[0] - ends[1], ends[0] - zone[1])
    out.least(SLOT, gap, "rim_to_root", thing="the flange", by=mm(out.value("rim_to_root") - gap))
    if flange.ribs is not None:
        clocks = [slots.first_clock_deg + 360.0 * k / slots.count for k in range(slots.count)]
        aside = functools.reduce(np.minimum, [_round_mm(flange, barrel.outside_mm / 2, c) for c in clocks])
        along = functools.reduce(np.minimum, [_past_rib_mm(flange, end, low, high) for end in ends])
        gap = np.maximum(aside - slots.width_mm / 2, np.where(along > 0, along, -np.inf))
        out.least(SLOT, gap, "rim_to_root", thing="a rib", by=mm(out.value("rim_to_root") - gap))


def _key(out: Results, flange: Flange, s: SetScrew, at: str, name: str) -> None:
    """The room of key and drill over a set screw beside a flange that leans over it, as if it reached out that far."""
    barrel, way = out.strut.barrel, frames.radial(s.clock_deg)
    n, key = frames.face_axes(flange.plane).n, key_mm(s)
    climb, ahead = float(way @ n), float(n[0])
    wide = np.maximum(key / math.sqrt(3), s.tap_drill_mm / 2) * math.sqrt(max(1.0 - climb * climb, 0.0))
    sides = []
    for deep, side in ((flange.thickness_mm, 1.0), (0.0, -1.0)):
        near, far = (
            side * (ahead * (flange.plane.station_mm - s.station_mm) - deep - climb * from_axis)
            for from_axis in (barrel.outside_mm / 2, barrel.outside_mm / 2 + out.value("screw_key_room", key))
        )
        sides.append(np.minimum(near, far))
    gap = np.maximum(sides[0], sides[1]) - wide
    out.least(
        KEY, gap, "driver_to_arm", also="screw_key_room", name=name, at=at, by=mm(out.value("driver_to_arm") - gap)
    )


def _round_mm(flange: Flange, radius_mm: float, clock_deg: float) -> float:
    """Distance round the barrel from a clock angle to the nearest rib's side."""
    assert flange.ribs is not None
    turn = min(frames.angle_between_deg(clock_deg, c) for c in flange.ribs.clocks_deg)
    return radius_mm * math.radians(turn) - flange.ribs.thickness_mm / 2


def _past_rib_mm(flange: Flange, station_mm: Num, low: Num, high: Num) -> Num:
    """How far a station lies beyond the ribs' ends on the barrel, away from the flange."""
    assert flange.ribs is not None
    if flange.plane.looks == "forward":
        return low - flange.ribs.along_mm - station_mm
    return station_mm - high - flange.ribs.along_mm


def _base(out: Results, flange: Flange) -> None:
    base, barrel, own = flange.base, out.strut.barrel, out.struts.own
    assert own.flange is not None
    ends = [f"spigot_clearance_{end}" for end in ("least", "most")]
    least, most = (mm(out.value(end)) for end in ends)
    goes = []
    # Of many alike: where sizes vary the face keeps its distance from the barrel's end.
    if not shapes.ends_in_face(own.flange.plane, own.barrel):
        goes.append(("barrel", barrel.outside_mm, "barrel.outside_diameter"))
    if flange.spigot is not None and flange.spigot.use == "base_bore":
        goes.append(("spigot", flange.spigot.outside_mm, "spigot.outside_diameter"))
    for what, size, path in goes:
        room = base.bore_mm - size
        bore = mm(base.bore_mm)
        out.least(SPIGOT, room, ends[0], hard=0.0, thing=what, path=path, bore=bore, least=least, most=most)
        out.most(SPIGOT, room, ends[1], thing=what, path=path, bore=bore, least=least, most=most)
    shaft = out.strut.shaft.diameter_mm
    out.least(SHAFT, base.bore_mm - shaft, "base_round_shaft")


def metals(out: Results, flange: Flange) -> None:
    """Check that the part's metal may touch what it is bolted to.

    >>> def touching(out): metals(out, out.strut.flange)
    >>> found(touching, "deadwood-cutter")["flange_on_base"].verdict.value  # on timber
    'ok'
    """
    base = flange.base
    metal, other = tables.material(out.strut.material), tables.material(base.material)
    if base.isolated or metal.galvanic_group is None or other.galvanic_group is None:
        out.holds(BASE, True, metal=metal.name, base=other.name)
    else:
        pair = couple(*(Potential(*tables.galvanic_range_v(m.galvanic_group or "")) for m in (metal, other)))
        out.most(BASE, pair.difference_mv, "galvanic", unit="mV", metal=metal.name, base=other.name)


def _water(out: Results, base: Base) -> None:
    """Slots ahead of the bearing let water in; else it has to come from the tube or the deadwood inside."""
    out.holds(
        WATER,
        np.logical_or(slots_ahead(out.strut), base.water_inside),
        warn=True,
        source="none",
        standing=Standing.PRACTICE,
    )


def ribs(out: Results, flange: Flange) -> None:
    """Check the ribs: their thickness, and that they end on flange and barrel, beyond the root between the two.

    >>> def ribbed(out): ribs(out, out.strut.flange)
    >>> "rib_thickness" in found(ribbed, "tube-end-pair")
    True
    """
    ribs, barrel = flange.ribs, out.strut.barrel
    assert ribs is not None
    out.least(RIB, ribs.thickness_mm, "rib_thickness", per=flange.thickness_mm)
    sign = -1.0 if flange.plane.looks == "forward" else 1.0
    cos = math.cos(math.radians(shapes.off_square_deg(flange.plane)))
    far = (barrel.outside_mm / 2 + ribs.out_mm) / cos
    rooms = []
    for clock in ribs.clocks_deg:
        c = math.radians(clock)
        corner = ribs.thickness_mm / 2
        for side in (-corner, corner):
            u, v = far * math.cos(c) - side * math.sin(c), sign * (far * math.sin(c) + side * math.cos(c))
            rooms.append(_inside_mm(out, u, v))
    room = functools.reduce(np.minimum, rooms)
    out.least(RIB_ON, room, 0.0, end="flange", size="out", by=mm(np.maximum(-room, 0.0)))
    start, stop = parallel_part(barrel)
    low, high = shapes.free_stations_mm(flange, barrel)
    left = low - ribs.along_mm - start if flange.plane.looks == "forward" else stop - high - ribs.along_mm
    out.least(RIB_ON, left, 0.0, end="barrel", size="along", by=mm(np.maximum(-left, 0.0)))
    for size, long in (("out", ribs.out_mm), ("along", ribs.along_mm)):
        beyond = long - flange.root_mm
        out.least(RIB_ROOT, beyond, BEYOND_ROOT_MM, size=size, by=mm(np.maximum(BEYOND_ROOT_MM - beyond, 0.0)))


def _spigot(out: Results, flange: Flange, spigot: Spigot) -> None:
    out.least(WALL, spigot.wall_mm, "spigot_wall")
    if spigot.use != "hose" or spigot.hose_mm is None:
        return
    hose, over = spigot.hose_mm, spigot.outside_mm - spigot.hose_mm
    narrow, wide = mm(hose - out.value("hose_slack", hose)), mm(hose + out.value("hose_stretch", hose))
    out.most(HOSE, over, "hose_stretch", per=hose, where=over >= 0, least=narrow, most=wide)
    out.most(HOSE, -over, "hose_slack", form="slack", per=hose, where=over < 0, least=narrow, most=wide)
    barbs = spigot.barbs * 1.5 * shapes.barb_length_mm(spigot)
    out.least(CLAMPS, spigot.length_mm - barbs, "clamp_room", per=spigot.clamps * spigot.clamp_width_mm)
    if spigot.barbs:
        low, high = out.value("barb_height_least"), out.value("barb_height_most")
        height = spigot.barb_height_mm
        out.within(BARBS, height, "barb_height_least", "barb_height_most", least=mm(low), most=mm(high))


def _recess(out: Results, flange: Flange) -> None:
    gasket = flange.gasket
    assert gasket is not None
    rim = _middle_mm(out) - gasket.recess_mm / 2
    out.least(RECESS, rim, "recess_rim", thing="rim of the bedding face outside the recess")
    under = flange.thickness_mm - gasket.recess_depth_mm
    what = say("metal under the recess, in a flange of {thick}", thick=mm(flange.thickness_mm))
    out.least(RECESS, under, "recess_rim", thing=what)
