"""Checks of a let-in housing: the wall left in its structure, its hole, collar, chamfer, screws, bedding and water."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Num, Truth, greatest, least
from strutwright.models.checks.check import rows_of
from strutwright.models.checks.geometry import hull
from strutwright.models.checks.geometry.bearing import slots_ahead
from strutwright.models.checks.results import Results
from strutwright.models.finding import Standing
from strutwright.models.formulas.corrosion import Potential, couple
from strutwright.models.geometry.barrel import bore_radius_mm, outside_radius_mm
from strutwright.models.geometry.shapes import screw_half_mm
from strutwright.models.metals import metal
from strutwright.models.spec import Barrel
from strutwright.models.spec_let_in import Collar, DrawingHoles, LetIn, LockingScrew
from strutwright.params import tables
from strutwright.params.words import deg, mm

CHECKS = (
    WALL,
    EDGES,
    DEPTH,
    STEPS,
    GAP,
    WELDED,
    ENTRY,
    BITE,
    UNDER,
    THREAD,
    SOFT,
    CLEAR,
    HOLE_WALL,
    HOLE_DEPTH,
    HOLE_CLEAR,
    THICK,
    SEAT,
    BORED,
    WITHIN,
    WATER,
    SLOTS,
    ACCESS,
    SCREW,
    BASE,
) = rows_of("let_in")
SOFT_FAMILIES = ("timber", "composite")
"""Structures in which a cut thread does not hold, and of which more wall is wanted."""


def check(out: Results) -> None:
    """Check how a housing is let in.

    >>> round(found(check, "skeg-sleeve")["wall_left"].actual)  # half of 120 less half of 60.03 and 1
    29
    """
    it = out.strut.let_in
    assert it is not None
    _wall(out, it)
    deep = it.structure.depth_mm - it.let_in_mm
    out.least(DEPTH, deep, 0.0, by=mm(np.maximum(-deep, 0.0)))
    _steps(out, it)
    if it.hold == "bedded":
        low, high = (mm(out.value(f"bedding_gap_{end}")) for end in ("least", "most"))
        for seat in it.seats[:1]:
            out.within(GAP, seat.gap_mm, "bedding_gap_least", "bedding_gap_most", least=low, most=high)
    if it.hold == "welded":
        out.least(WELDED, 2.0 * it.seats[0].gap_mm, "welded_room")
    if it.hold == "pressed":
        out.least(ENTRY, it.entry_mm, "entry_length", thing="length", size="length")
        out.most(ENTRY, it.entry_deg, "entry_angle", unit="deg", thing="angle", size="angle")
    _locking(out, it)
    if it.drawing is not None:
        _drawing(out, it, it.drawing)
    if it.collar is not None:
        _collar(out, it, it.collar)
    _water(out, it)
    _access(out, it)
    _beside_roots(out, it)
    _touching(out, it)
    hull.speeds(out)
    hull.on_line(out)


def _nearest(things: Iterable[tuple[Num, str]]) -> tuple[Num, Callable[[], str]]:
    """The least of distances to things, and what tells, of one housing, which thing is so near."""
    found = list(things)
    return least([gap for gap, _ in found]), lambda: min(found, key=lambda pair: float(pair[0]))[1]


def _soft(it: LetIn) -> bool:
    return metal(it.structure.material).family in SOFT_FAMILIES


def _wall(out: Results, it: LetIn) -> None:
    own = it.structure
    hole = greatest([s.hole_mm + s.hole_upper_mm for s in it.seats])
    path = "structure.outside_diameter" if own.kind == "tube" else "structure.thickness"
    for where, reach in own.reaches_mm:
        at = f"structure.{where}" if where in ("above", "below") else path
        left = reach - hole / 2 - own.off_line_mm
        limit = "wall_left_soft" if _soft(it) else "wall_left"
        out.least(WALL, left, limit, per=hole, hard="wall_left_hard", path=at, side=where)
    if own.kind != "tube":
        for where, size in (("above", own.above_mm), ("below", own.below_mm)):
            out.inform(EDGES, where=size is None, side=where, path=f"structure.{where}")


def _steps(out: Results, it: LetIn) -> None:
    barrel = out.strut.barrel
    for seat in it.seats[1:]:
        places = np.linspace(seat.from_station_mm, seat.to_station_mm, 9)[1:-1]
        wall = least([seat.outside_mm / 2 - bore_radius_mm(barrel, at) for at in places])
        shaft = out.strut.shaft.diameter_mm
        out.least(STEPS, wall, "barrel_wall", per=shaft, hard="barrel_wall_hard", path=seat.path)


# --- screws ---------------------------------------------------------------------------------------------------------


def _locking(out: Results, it: LetIn) -> None:
    if not it.locking:
        return
    barrel, shaft, first = out.strut.barrel, out.strut.shaft.diameter_mm, it.locking[0]
    out.least(BITE, first.bite_mm, "locking_bite", per=first.major_mm)
    if _soft(it):
        name = metal(it.structure.material).name
        out.holds(SOFT, first.bushed, warn=True, source="none", standing=Standing.PRACTICE, material=name)
    hole = greatest([s.hole_mm for s in it.seats]) / 2
    for screw in it.locking:
        skin = outside_radius_mm(barrel, screw.station_mm)
        left = skin - screw.bite_mm - bore_radius_mm(barrel, screw.station_mm, screw.width_mm / 2)
        short = mm(np.maximum(out.value("locking_wall", shaft) - left, 0.0))
        out.least(UNDER, left, "locking_wall", per=shaft, hard="locking_wall_hard", number=screw.number, by=short)
        thread = it.structure.reach_at_mm(screw.clock_deg) - it.structure.off_line_mm - hole
        known, k = np.isfinite(thread), screw.number - 1
        if np.any(known) and (not _soft(it) or screw.bushed):
            out.least(THREAD, thread, "locking_thread", per=screw.major_mm, where=known, number=screw.number, k=k)
        need = out.value("locking_clear", screw.major_mm)
        gap, thing = _nearest(_beside(out, it, screw, skin))
        by = mm(np.maximum(need - gap, 0.0))
        out.least(CLEAR, gap, "locking_clear", per=screw.major_mm, number=screw.number, thing=thing, k=k, by=by)


def _beside(out: Results, it: LetIn, screw: LockingScrew, skin_mm: Num) -> Iterator[tuple[Num, str]]:
    """How far the middle of a locking screw lies from the edge of all that is beside it in the outside."""
    barrel, at = out.strut.barrel, screw.station_mm
    for seat in it.seats:
        yield abs(at - seat.from_station_mm), "an end of its seat"
        yield abs(at - seat.to_station_mm), "an end of its seat"
    yield abs(at - (it.inner_mm - it.inward * it.entry_mm)), "the chamfer"

    def across(station: Num, clock: float) -> Num:
        return np.hypot(at - station, skin_mm * math.radians(frames.angle_between_deg(clock, screw.clock_deg)))

    for other in it.locking:
        if other is not screw:
            yield across(other.station_mm, other.clock_deg) - other.major_mm / 2, f"locking screw {other.number}"
    for s in out.strut.set_screws:
        wide = max(s.major_mm, s.flat_diameter_mm or 0.0)
        yield across(s.station_mm, s.clock_deg) - wide / 2, f"set screw {s.number}"
    for gap in _to_slots(barrel, at, screw.clock_deg, skin_mm):
        yield gap, "a water slot"


def _to_slots(barrel: Barrel, station: Num, clock_deg: float, radius_mm: Num) -> list[Num]:
    slots = barrel.slots
    if slots is None:
        return []
    along = np.maximum(np.abs(station - slots.centre_station_mm) - slots.length_mm / 2, 0.0)
    turns = (
        frames.angle_between_deg(clock_deg, slots.first_clock_deg + 360.0 * k / slots.count) for k in range(slots.count)
    )
    half = slots.width_mm / 2
    return [np.hypot(along, np.maximum(radius_mm * math.radians(turn) - half, 0.0)) for turn in turns]


def _drawing(out: Results, it: LetIn, holes: DrawingHoles) -> None:
    barrel, drill = out.strut.barrel, holes.tap_drill_mm
    deep: Num = holes.drilled_mm if holes.way == "draw" else holes.depth_mm
    low, high = (0.0, deep) if it.inward > 0 else (barrel.length_mm - deep, barrel.length_mm)
    inner = bore_radius_mm(barrel, (low + high) / 2, deep / 2)
    # From a fairing or a collar inward the outside is least at an end; at the collar's root it is that of the housing.
    ends: tuple[Num, Num] = (low, high)
    outer = least([outside_radius_mm(barrel, at + 1e-6 * it.inward) for at in ends])
    middle = holes.circle_mm / 2
    walls = [("the bore", middle - drill / 2 - inner), ("the outside", outer - middle - drill / 2)]
    if holes.way == "jack":
        hole = it.seats[0].hole_mm / 2
        walls = [("the edge of the hole", middle - drill / 2 - hole)]
        if it.collar is not None:
            walls.append(("the collar's edge", it.collar.diameter_mm / 2 - middle - drill / 2))
    for thing, gap in walls:
        out.least(HOLE_WALL, gap, "drawing_wall", per=holes.major_mm, hard=0.0, thing=thing)
    apart = 2 * middle * math.sin(math.pi / holes.count) - drill
    out.least(HOLE_WALL, apart, "drawing_wall", per=holes.major_mm, hard=0.0, thing="each other")
    at = "drawing_holes.depth" if holes.way == "draw" else "collar.thickness"
    out.least(HOLE_DEPTH, holes.depth_mm, "drawing_depth", per=holes.major_mm, path=at)
    if holes.way == "jack":
        return
    across = list(_radial_holes(out, it, holes, low, high))
    if across:
        nearest, which = _nearest(across)
        out.least(HOLE_CLEAR, nearest, "drawing_wall", per=holes.major_mm, hard=0.0, thing=which)


def _radial_holes(out: Results, it: LetIn, holes: DrawingHoles, low: Num, high: Num) -> Iterator[tuple[Num, str]]:
    """Metal between the drawing holes and each hole across the wall: along the shaft, or across it."""
    barrel, middle = out.strut.barrel, holes.circle_mm / 2

    def gap(station: Num, long_mm: Num, clock: float, wide_mm: Num) -> Num:
        along = np.maximum(low - station, station - high) - long_mm / 2
        turn = min(min(frames.angle_between_deg(clock, c), 90.0) for c in holes.clocks_deg)
        return np.maximum(along, middle * math.sin(math.radians(turn)) - wide_mm / 2 - holes.tap_drill_mm / 2)

    for s in out.strut.set_screws:
        wide = max(s.major_mm, s.flat_diameter_mm or 0.0)
        yield gap(s.station_mm, wide, s.clock_deg, wide), f"set screw {s.number}"
    for lock in it.locking:
        foot = outside_radius_mm(barrel, lock.station_mm) - lock.bite_mm
        apart = np.maximum(
            gap(lock.station_mm, lock.width_mm, lock.clock_deg, lock.width_mm), foot - middle - holes.tap_drill_mm / 2
        )
        yield apart, f"locking screw {lock.number}"
    slots = barrel.slots
    for k in range(slots.count if slots is not None else 0):
        assert slots is not None
        clock = slots.first_clock_deg + 360.0 * k / slots.count
        yield gap(slots.centre_station_mm, max(slots.length_mm, slots.width_mm), clock, slots.width_mm), "a water slot"


# --- collar, water, metals ------------------------------------------------------------------------------------------


def _collar(out: Results, it: LetIn, collar: Collar) -> None:
    own = it.structure
    out.least(THICK, collar.thickness_mm, "collar_thickness", per=out.strut.shaft.diameter_mm)
    out.least(SEAT, (collar.diameter_mm - it.seats[0].hole_mm) / 2, "collar_seat", hard=0.0)
    across = collar.diameter_mm
    if np.any(own.counterbore_mm > 0):
        across = np.maximum(across, own.counterbore_mm)
        room = own.counterbore_mm - collar.diameter_mm
        least, most = (mm(out.value(end)) for end in ("counterbore_room_least", "counterbore_room"))
        out.least(BORED, room, "counterbore_room_least", hard=0.0, least=least, most=most)
        out.most(BORED, room, "counterbore_room", least=least, most=most)
    for where, reach in own.reaches_mm:
        beyond = reach - across / 2
        out.least(WITHIN, beyond, 0.0, warn=True, by=mm(np.maximum(-2 * beyond, 0.0)), side=where)


def _water(out: Results, it: LetIn) -> None:
    slots = out.strut.barrel.slots
    if slots is not None:
        face = it.mouth_mm - it.inward * it.structure.counterbore_depth_mm
        reach = slots.centre_station_mm + it.inward * max(slots.length_mm, slots.width_mm) / 2
        clear = it.inward * (face - reach)
        out.least(SLOTS, clear, 0.0, by=mm(np.maximum(-clear, 0.0)))
    open_way: Truth = it.structure.water_inside or it.structure.open_end or slots_ahead(out.strut)
    out.holds(WATER, open_way, warn=True, source="none", standing=Standing.PRACTICE)


def _access(out: Results, it: LetIn) -> None:
    for s in out.strut.set_screws:
        hidden = it.inward * (s.station_mm - it.mouth_mm) + s.major_mm > 0
        out.inform(
            ACCESS, where=hidden, number=s.number, k=s.number - 1, station=mm(s.station_mm), clock=deg(s.clock_deg)
        )


def _beside_roots(out: Results, it: LetIn) -> None:
    """Set screws beside the collar and the welds, where no drill gets in and a hole would notch what is bent."""
    outer = 0.0 if it.inward > 0 else out.strut.barrel.length_mm
    zones: list[tuple[Num, Num, str]] = []
    if it.collar is not None:
        zones.append((outer, outer + it.inward * it.collar.thickness_mm, "the collar"))
    if it.hold == "welded":
        zones.append((it.mouth_mm - it.inward * it.weld_leg_mm, it.mouth_mm, "the weld at the mouth"))
        if it.inner_weld:
            zones.append((it.inner_mm, it.inner_mm + it.inward * it.weld_leg_mm, "the weld at the inner end"))
    for s in out.strut.set_screws if zones else ():
        half, at = screw_half_mm(s), s.station_mm
        ends = [(np.minimum(a, b), np.maximum(a, b), thing) for a, b, thing in zones]
        gap, thing = _nearest((np.maximum(low - at, at - high) - half, thing) for low, high, thing in ends)
        by = mm(np.maximum(out.value("rim_to_root") - gap, 0.0))
        out.least(SCREW, gap, "rim_to_root", number=s.number, k=s.number - 1, thing=thing, by=by)


def _touching(out: Results, it: LetIn) -> None:
    own, base = tables.material(out.strut.material), tables.material(it.structure.material)
    if it.structure.isolated or own.galvanic_group is None or base.galvanic_group is None:
        out.holds(BASE, True, metal=own.name, base=base.name)
        return
    pair = couple(*(Potential(*tables.galvanic_range_v(m.galvanic_group or "")) for m in (own, base)))
    out.most(BASE, pair.difference_mv, "galvanic", unit="mV", metal=own.name, base=base.name)
