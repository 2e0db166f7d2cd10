"""Checks of a rudder shoe: boss and bush round the stock, the plate on the keel, fasteners, sand hole, jumping stop."""

from __future__ import annotations

import functools

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.checks.check import rows_of
from strutwright.models.checks.geometry import bearing, flange
from strutwright.models.checks.geometry import palm as plates
from strutwright.models.checks.results import Results
from strutwright.models.finding import Standing
from strutwright.models.metals import metal
from strutwright.models.spec import Bearing
from strutwright.models.spec_flange import Flange
from strutwright.models.spec_shoe import Shoe
from strutwright.params.words import mm

OWN = rows_of("shoe")
(END, SIDE, CLEAR, RISES, LENGTH, WALL, TIGHT, ENTRY, FLOOR, LEDGE, SAND, JUMP, STAYS, FOOT) = OWN
CHECKS = (
    *OWN,
    flange.ROUND,
    flange.ON_BARREL,
    flange.RIM,
    flange.DRIVER,
    flange.SCREW,
    flange.RIB,
    flange.RIB_ON,
    flange.RIB_ROOT,
    flange.BASE,
    bearing.AFT,
    bearing.FORWARD,
    bearing.FIT,
    bearing.FIT_MOST,
)


def check(out: Results) -> None:
    """Check the shoe and what belongs to it.

    >>> found(check, "creek-yawl")["bush_length"].demanded  # 1.2 times the 32 mm stock
    38.4
    """
    strut = out.strut
    plate, shoe, bush = strut.flange, strut.shoe, strut.bearings[0]
    assert plate is not None
    assert shoe is not None
    _bush(out, bush, shoe)
    plates.check_plate(out, 0, size=False)
    flange.on_barrel(out, plate)
    flange.beside_barrel(out, plate)
    flange.beside_holes(out, plate)
    flange.metals(out, plate)
    if plate.ribs is not None:
        flange.ribs(out, plate)
    _keel(out, plate, shoe)
    _sand(out, bush, shoe)
    _stop(out, shoe)


def _bush(out: Results, bush: Bearing, shoe: Shoe) -> None:
    d, barrel = out.strut.shaft.diameter_mm, out.strut.barrel
    out.most(bearing.AFT, np.maximum(0.0, -bush.aft_station_mm), 0.0, path="bearing.position")
    proud = bush.forward_station_mm - barrel.length_mm
    out.most(bearing.FORWARD, np.maximum(0.0, proud), "bearing_proud_forward", length=mm(bush.forward_station_mm))
    out.most(LENGTH, bush.length_mm, "heel_bush_length", per=d)
    if bush.plain:
        out.least(WALL, bush.shell_mm, "heel_bush_wall")
    play = bush.inside_mm - d
    under = np.less(play, out.value("heel_clearance_floor"))
    out.least(TIGHT, play, "heel_clearance_floor", where=under)
    out.least(TIGHT, play, "heel_clearance_least", per=d, where=np.logical_not(under))
    bearing.fit(out, 0, bush)
    out.least(ENTRY, shoe.entry_mm - bush.aft_station_mm, "heel_entry", per=d)


def _keel(out: Results, plate: Flange, shoe: Shoe) -> None:
    """Fasteners in the keel, and the keel's after end beside boss and stock."""
    strut, bolt = out.strut, plate.bolt
    limit = "keel_edge_timber" if metal(plate.base.material).family == "timber" else "keel_edge_other"
    need = out.value(limit, bolt.major_mm)
    aftmost = functools.reduce(np.minimum, [h.u_mm for h in plate.holes])
    number = min(plate.holes, key=lambda h: float(np.min(h.u_mm))).number if out.tells else 0
    gap = aftmost - shoe.keel_end_mm
    out.least(END, gap, limit, per=bolt.major_mm, hole=number, by=mm(need - gap))
    if shoe.keel_width_mm is None:
        out.without(SIDE, "fasteners from the sides of the keel", "keel.width")
    else:
        farthest: Num = functools.reduce(np.maximum, [np.abs(h.v_mm) for h in plate.holes])
        number = max(plate.holes, key=lambda h: float(np.max(np.abs(h.v_mm)))).number if out.tells else 0
        side = shoe.keel_width_mm / 2 - farthest
        out.least(SIDE, side, limit, per=bolt.major_mm, hole=number, by=mm(need - side))
    room = shoe.keel_end_mm - strut.shaft.diameter_mm / 2
    out.least(CLEAR, room, "stock_to_keel", by=mm(out.value("stock_to_keel") - room))
    # What stands up above the plate stands abaft the keel.
    up = plate.plane.station_mm > 1e-9
    beside = shoe.keel_end_mm - strut.barrel.outside_mm / 2
    out.least(RISES, beside, "boss_to_keel", hard=0.0, where=up, by=mm(out.value("boss_to_keel") - beside))


def _sand(out: Results, bush: Bearing, shoe: Shoe) -> None:
    """The floor under the bush, with its hole."""
    barrel, d = out.strut.barrel, out.strut.shaft.diameter_mm
    floor = next((s for s in barrel.steps if s.use.stops), None)
    if floor is None:
        out.inform(SAND, form="open")
        return
    out.least(SAND, floor.diameter_mm, "sand_hole", per=d)
    out.least(LEDGE, (d - floor.diameter_mm) / 2, "floor_ledge")
    out.least(FLOOR, floor.to_station_mm - floor.from_station_mm, "floor_thickness")
    down = np.maximum(shoe.entry_mm, bush.forward_station_mm)
    over = floor.from_station_mm - down
    out.least(STAYS, over, 0.0, form="floor", by=mm(np.maximum(-over, 0.0)))


def _stop(out: Results, shoe: Shoe) -> None:
    """The stop that keeps the rudder from being lifted off, and the room under the rudder."""
    if shoe.jump_mm is None:
        out.holds(JUMP, False, form="none", warn=True, source="none", standing=Standing.PRACTICE)
    else:
        out.least(JUMP, shoe.jump_mm, "jump_gap")
        out.most(STAYS, shoe.jump_mm, "jump_entry", per=shoe.entry_mm)
    if shoe.foot_gap_mm is None:
        out.without(FOOT, "room under the rudder", "rudder.foot_gap")
    else:
        out.least(FOOT, shoe.foot_gap_mm, "rudder_foot_gap")
