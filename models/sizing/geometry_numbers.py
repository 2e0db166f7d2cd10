"""The geometry checks for very many candidates at once: the same limits, the same answers as `models.checks`.

Only the checks that the variables of `candidates` can move are worked out here; the others are told by the scalar
checks of the file's own strut. A check that speaks of several places (bolts, screws, arms) gives its worst.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from strutwright.models import frames
from strutwright.models.checks.bench import Bench
from strutwright.models.checks.check import Check
from strutwright.models.checks.geometry import arms as arm_checks
from strutwright.models.checks.geometry import barrel as barrel_checks
from strutwright.models.checks.geometry import bearing as bearing_checks
from strutwright.models.checks.geometry import hull as hull_checks
from strutwright.models.checks.geometry import palm as palm_checks
from strutwright.models.checks.geometry import screws as screw_checks
from strutwright.models.checks.geometry import skeg as skeg_checks
from strutwright.models.checks.inputs import Num
from strutwright.models.finding import beyond
from strutwright.models.geometry import shapes
from strutwright.models.geometry.barrel import outside_radius_mm, parallel_part, screw_wall, wall_mm
from strutwright.models.geometry.casting import casting_of, least_cast_wall_mm
from strutwright.models.geometry.clearances import under_plane_mm
from strutwright.models.sections import kind_of
from strutwright.models.sizing import footprints
from strutwright.models.sizing.candidates import Candidates, holes_of
from strutwright.models.sizing.clearance_numbers import clearance_levels
from strutwright.models.sizing.root_numbers import root_fails
from strutwright.models.spec import SetScrew
from strutwright.params.limits import Limits

WITHIN, WARNS, FAILS = 0, 1, 2


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """How candidates stand against one check: level 0 within, 1 warning, 2 failure; and how much of it is used.

    utilisation: demand over capacity, nan where a ratio has no meaning. Floats when nothing varies.
    """

    level: Num
    utilisation: Num


def worse(one: Held, other: Held) -> Held:
    """Return the worse of two, each by itself: the higher level and the higher utilisation."""
    return Held(np.maximum(one.level, other.level), np.fmax(one.utilisation, other.utilisation))


@dataclass(slots=True)
class _Desk:
    """Gathers what is found, as `checks.bench.Bench` does for one strut."""

    limits: Limits
    found: dict[str, Held] = field(default_factory=dict)

    def value(self, name: str, per: Num = 1.0) -> Num:
        return self.limits[name].value * per

    def least(
        self,
        check: Check,
        actual: Num,
        aim: str | Num,
        *,
        per: Num = 1.0,
        hard: str | Num | None = None,
        warn: Any = False,
        where: Any = True,
        unit: str = "mm",
    ) -> None:
        """Hold actual to at least the aim. warn: a plain aim warns (may be an array). where: who is held to it."""
        aim_value, warn = self._aim(aim, per, warn)
        level = np.where(beyond(aim_value, actual, unit), np.where(warn, WARNS, FAILS), WITHIN)
        if hard is not None:
            floor = self._aim(hard, per, False)[0]
            level = np.where(beyond(floor, actual, unit), FAILS, level)
        used = np.where(actual > 0, aim_value / np.where(actual > 0, actual, 1.0), np.inf)
        self._keep(check, level, np.where(np.asarray(aim_value) > 0, used, np.nan), where)

    def most(
        self,
        check: Check,
        actual: Num,
        aim: str | Num,
        *,
        per: Num = 1.0,
        hard: str | Num | None = None,
        warn: Any = False,
        where: Any = True,
        unit: str = "mm",
    ) -> None:
        """Hold actual to at most the aim."""
        aim_value, warn = self._aim(aim, per, warn)
        level = np.where(beyond(actual, aim_value, unit), np.where(warn, WARNS, FAILS), WITHIN)
        if hard is not None:
            ceiling = self._aim(hard, per, False)[0]
            level = np.where(beyond(actual, ceiling, unit), FAILS, level)
        positive = np.asarray(aim_value) > 0
        self._keep(check, level, np.where(positive, actual / np.where(positive, aim_value, 1.0), np.nan), where)

    def within(self, check: Check, actual: Num, low: str, high: str, *, per: Num = 1.0, unit: str = "mm") -> None:
        """Hold actual between two limits; the one that is nearer to being broken counts."""
        low_value, high_value = self.value(low, per), self.value(high, per)
        near_low = np.abs(actual - low_value) <= np.abs(actual - high_value)
        self.least(check, actual, low, per=per, where=near_low, unit=unit)
        self.most(check, actual, high, per=per, where=np.logical_not(near_low), unit=unit)

    def _aim(self, aim: str | Num, per: Num, warn: Any) -> tuple[Num, Any]:
        if isinstance(aim, str):
            row = self.limits[aim]
            return row.value * per, row.breach == "warning"
        return aim, warn

    def _keep(self, check: Check, level: Num, used: Num, where: Any) -> None:
        if where is not True:
            level, used = np.where(where, level, WITHIN), np.where(where, used, np.nan)
        held = Held(level[()], used[()])
        before = self.found.get(check.code)
        self.found[check.code] = held if before is None else worse(before, held)


def geometry_numbers(c: Candidates, limits: Limits) -> dict[str, Held]:
    """Return how candidates stand against every geometry check that their variables can move, by code, but for those of
    `body_numbers`."""
    desk = _Desk(limits)
    with np.errstate(all="ignore"):
        on = [footprints.on_barrel(c, k) for k in range(len(c.strut.arms))]
        _barrel(desk, c)
        _bearing(desk, c)
        _screws(desk, c, on)
        _arms(desk, c, on)
        _palm(desk, c)
        _hull(desk, c)
        _skeg(desk, c)
    return desk.found


def body_numbers(
    c: Candidates, limits: Limits, roll: bool = False, order: Sequence[int] | None = None, enough: int | None = None
) -> dict[str, Held]:
    """Return how candidates stand against the checks of the boat in the way and of the roots, by code.

    roll: whether the ball of each root is rolled, as for the check of one strut (`root_numbers`). order, enough: see
    `clearance_levels`.
    """
    with np.errstate(all="ignore"):
        on = [footprints.on_barrel(c, k) for k in range(len(c.strut.arms))]
        levels = clearance_levels(c, limits, order, enough) | {
            code: np.where(fails, FAILS, WITHIN)[()] for code, fails in root_fails(c, on, roll).items()
        }
    return {code: Held(level, np.full(np.shape(level), np.nan)[()]) for code, level in levels.items()}


# --- barrel and bearing ---------------------------------------------------------------------------------------------


def _barrel(desk: _Desk, c: Candidates) -> None:
    i, strut, d = c.inputs, c.strut, c.inputs.shaft_mm
    barrel = c.barrel()
    start, stop = parallel_part(barrel)
    desk.least(barrel_checks.WALL, (i.barrel_outside_mm - i.bore_mm) / 2, "barrel_wall", per=d, hard="barrel_wall_hard")
    for s in strut.barrel.steps:
        if s.diameter_mm > i.bore_mm:
            desk.least(
                barrel_checks.WALL,
                (i.barrel_outside_mm - s.diameter_mm) / 2,
                "barrel_wall",
                per=d,
                hard="barrel_wall_hard",
                where=(s.from_station_mm < stop) & (s.to_station_mm > start),
            )
    tube = strut.barrel.tube
    if tube is not None:
        desk.least(barrel_checks.TUBE_BORE, barrel_checks.tube_boring_mm(strut.barrel, tube), "tube_boring", hard=0.0)
        if tube.turned:
            desk.least(
                barrel_checks.TUBE_OUTSIDE, (tube.outside_least_mm - i.barrel_outside_mm) / 2, "tube_turning", hard=0.0
            )
        else:
            desk.least(
                barrel_checks.TUBE_WALL, barrel_checks.least_tube_wall_mm(strut.barrel, tube), "barrel_wall_hard", per=d
            )
    if strut.construction == "cast":
        desk.least(barrel_checks.LEAST, least_cast_wall_mm(barrel, casting_of(strut)), "barrel_wall_hard", per=d)
    for s in strut.barrel.steps:
        if s.diameter_mm > i.bore_mm:
            for place, beside in (
                (s.from_station_mm, (s.from_station_mm > 0) & (s.from_station_mm < start)),
                (s.to_station_mm, (s.to_station_mm > stop) & (s.to_station_mm < i.barrel_length_mm)),
            ):
                desk.least(
                    barrel_checks.END,
                    outside_radius_mm(barrel, place) - s.diameter_mm / 2,
                    "barrel_end_wall",
                    hard="barrel_end_wall_hard",
                    where=beside,
                )
    for station in (0.0, i.barrel_length_mm):
        desk.least(barrel_checks.END, wall_mm(barrel, station), "barrel_end_wall", hard="barrel_end_wall_hard")
    aluminium = barrel_checks._is_aluminium(strut.material)
    for screw, station in zip(strut.set_screws, c.screws_mm, strict=True):
        aft, forward = c.bearings_mm[screw.bearing_index]
        own = strut.bearings[screw.bearing_index]
        wall = screw_wall(
            barrel, replace(screw, station_mm=station), replace(own, aft_station_mm=aft, length_mm=forward - aft)
        ).wall_mm
        if screw.flat_diameter_mm:
            here = (station > 0) & (station < i.barrel_length_mm) & (screw.flat_diameter_mm <= i.barrel_outside_mm)
            desk.least(barrel_checks.FLAT, wall, "barrel_wall_under_flat", per=d, where=here)
        desk.least(
            barrel_checks.THREAD, wall, "screw_thread_aluminium" if aluminium else "screw_thread", per=screw.major_mm
        )


def _bearing(desk: _Desk, c: Candidates) -> None:
    i, aftmost, foremost = c.inputs, c.bearings_mm[0], c.bearings_mm[-1]
    desk.most(bearing_checks.AFT, np.maximum(0.0, -aftmost[0]), 0.0)
    desk.most(bearing_checks.FORWARD, np.maximum(0.0, foremost[1] - i.barrel_length_mm), "bearing_proud_forward")
    shoulders = [
        s.from_station_mm
        for s in c.strut.barrel.steps
        if s.kind == "shoulder" and s.to_station_mm >= c.strut.barrel.length_mm - 1e-9
    ]
    end = min(shoulders) if shoulders else i.barrel_length_mm
    desk.most(bearing_checks.POCKET, np.maximum(0.0, end - foremost[1]), "bearing_pocket")
    if len(c.bearings_mm) == 2:
        gap = foremost[0] - aftmost[1]
        low, high = desk.value("bearing_gap_least"), desk.value("bearing_gap_most")
        near_low = np.abs(gap - low) <= np.abs(gap - high)
        desk.least(bearing_checks.GAP, gap, 0.0, where=gap < 0)
        desk.least(bearing_checks.GAP, gap, "bearing_gap_least", where=(gap >= 0) & near_low)
        desk.most(bearing_checks.GAP, gap, "bearing_gap_most", where=(gap >= 0) & ~near_low)


# --- set screws -----------------------------------------------------------------------------------------------------


def _screws(desk: _Desk, c: Candidates, on: list[footprints.OnBarrel]) -> None:
    i, strut = c.inputs, c.strut
    start, stop = parallel_part(c.barrel())
    for s, station in zip(strut.set_screws, c.screws_mm, strict=True):
        aft, forward = c.bearings_mm[s.bearing_index]
        half, shell = shapes.screw_half_mm(s), strut.bearings[s.bearing_index].shell_mm
        desk.least(
            screw_checks.INSIDE, np.minimum(station - aft, forward - station), "screw_bearing_end", per=s.major_mm
        )
        desk.least(
            screw_checks.BARREL, np.minimum(station, i.barrel_length_mm - station), "screw_barrel_end", per=s.major_mm
        )
        desk.least(screw_checks.END, np.minimum(station - start, stop - station) - half, 0.0)
        dimple = i.dimple_mm if s.bearing_index == 0 or np.ndim(i.dimple_mm) else s.dimple_depth_mm
        desk.most(screw_checks.DIMPLE, dimple, "dimple", per=shell, hard=screw_checks.THROUGH * shell)
        for own, arm in zip(on, i.arms, strict=True):
            x = i.barrel_length_mm / 2
            _beside(
                desk,
                screw_checks.ARM,
                c,
                s,
                station,
                (own.aft_x_mm + x, own.forward_x_mm + x),
                own.clock_deg,
                own.half_deg,
                arm.barrel_root_mm,
            )
        if strut.skeg is not None:
            fin = strut.skeg
            half_deg = np.degrees(np.arcsin(np.minimum(1.0, fin.thickness_root_mm / i.barrel_outside_mm)))
            _beside(
                desk,
                screw_checks.SKEG,
                c,
                s,
                station,
                (fin.root_aft_station_mm, fin.root_forward_station_mm),
                180.0,
                half_deg,
                fin.root_mm,
            )
        _key(desk, c, s, station)
    for k, (aft, forward) in enumerate(c.bearings_mm):
        own_ = [st for s, st in zip(strut.set_screws, c.screws_mm, strict=True) if s.bearing_index == k]
        if len(own_) >= 2:
            _even(desk, c, own_, aft, forward)
    _apart(desk, c)


def _beside(
    desk: _Desk,
    check: Check,
    c: Candidates,
    s: SetScrew,
    station: Num,
    stations: tuple[Num, Num],
    clock_deg: float,
    half_deg: Num,
    root_mm: Num,
) -> None:
    reach = root_mm + shapes.screw_half_mm(s)
    need = half_deg + np.degrees(root_mm / (c.inputs.barrel_outside_mm / 2)) + desk.value("screw_beside_root")
    clear = np.logical_not((stations[0] - reach < station) & (station < stations[1] + reach))
    desk.least(check, np.maximum(stations[0] - station, station - stations[1]), reach, where=clear)
    desk.least(check, frames.angle_between_deg(s.clock_deg, clock_deg), need, where=np.logical_not(clear), unit="deg")


def _key(desk: _Desk, c: Candidates, s: SetScrew, station: Num) -> None:
    key = screw_checks.key_mm(s)
    rod = key / math.sqrt(3)
    i, out = c.inputs, frames.radial(s.clock_deg)
    from_x, reach = station - i.barrel_length_mm / 2, i.barrel_outside_mm / 2
    room: Num = np.inf
    for plane, side in shapes.hull_planes(c.strut):
        n = frames.plane_axes(0.0, plane.pitch_deg, plane.tilt_deg).n
        run, _ = _run_to(from_x, reach, out, c.drop_mm * n[2], n, rod)
        here = (side == 0) | ((reach + run) * out[1] * side >= -1e-9 - rod)
        room = np.where(here, np.minimum(room, run), room)
    for k, palm in enumerate(i.palms):
        n = np.array(palm.normal)
        level = sum(palm.zero_mm[j] * n[j] for j in range(3)) - palm.thickness_mm
        run, shadow = _run_to(from_x, reach, out, level, n, rod)
        at = [
            from_x - palm.zero_mm[0],
            (reach + run) * out[1] - palm.zero_mm[1],
            (reach + run) * out[2] - palm.zero_mm[2],
        ]
        u, v = (sum(a * w for a, w in zip(at, way, strict=True)) for way in (palm.u, palm.v))
        met = np.isfinite(run)
        hit = c.palms[k].inside_mm(np.where(met, u, 0.0), np.where(met, v, 0.0)) >= -1e-6 - shadow
        room = np.where(met & hit, np.minimum(room, run), room)
    desk.least(
        screw_checks.KEY, np.where(np.isinf(room), 1.0, room), "screw_key_room", per=key, where=np.isfinite(room)
    )


def _run_to(from_x: Num, reach: Num, out: frames.Vector, level: Num, n: frames.Vector, rod: float) -> tuple[Num, float]:
    """How far a rod that starts on the barrel's outside goes to a plane n . p = level (inf when never), and its shadow
    there."""
    climb = float(out @ n)
    height = level - (from_x * n[0] + reach * (out[1] * n[1] + out[2] * n[2]))
    if climb <= 1e-9:
        return np.full(np.shape(height), np.inf), 0.0
    lean = math.sqrt(max(1 - climb * climb, 0.0))
    return (
        np.where(height > 0, np.maximum(height - rod * lean, 0.0) / climb, np.inf),
        rod * (climb + lean * lean / climb),
    )


def _even(desk: _Desk, c: Candidates, stations: list[Num], aft: Num, forward: Num) -> None:
    if c.strut.barrel.fit == "slide":
        return  # a pattern of its own is a practice: at most a hint
    low = np.sort(np.stack(np.broadcast_arrays(*[s - aft for s in stations])), axis=0)
    high = np.sort(np.stack(np.broadcast_arrays(*[forward - s for s in stations])), axis=0)
    desk.most(screw_checks.EVEN, np.abs(low - high).max(axis=0), "screw_symmetry")


def _apart(desk: _Desk, c: Candidates) -> None:
    made = list(zip(c.strut.set_screws, c.screws_mm, strict=True))
    for n, (a, at_a) in enumerate(made):
        for b, at_b in made[n + 1 :]:
            round_mm = math.radians(frames.angle_between_deg(a.clock_deg, b.clock_deg)) * c.strut.barrel.bore_mm / 2
            size = max(a.major_mm, b.major_mm)
            desk.least(screw_checks.APART, np.hypot(round_mm, at_a - at_b), "screws_apart", per=size, hard=size)


# --- arms -----------------------------------------------------------------------------------------------------------


def _arms(desk: _Desk, c: Candidates, on: list[footprints.OnBarrel]) -> None:
    i, strut = c.inputs, c.strut
    start, stop = parallel_part(c.barrel())
    for own, arm in zip(on, i.arms, strict=True):
        half = i.barrel_length_mm / 2
        desk.most(arm_checks.BARREL, np.maximum(own.forward_x_mm, -own.aft_x_mm), half)
        middle, half_part = (start + stop) / 2 - half, (stop - start) / 2
        reach = np.maximum(own.forward_x_mm - middle, middle - own.aft_x_mm) + arm.barrel_root_mm
        desk.most(arm_checks.PARALLEL, reach, half_part, warn=True)
        desk.most(arm_checks.WIDTH, arm.thickness_barrel_mm, i.barrel_outside_mm)
        desk.most(arm_checks.LENGTH, arm.end_mm - arm.start_mm, "arm_length", per=i.shaft_mm)
    first = i.arms[0]
    for chord, thickness in (
        (first.chord_barrel_mm, first.thickness_barrel_mm),
        (first.chord_palm_mm, first.thickness_palm_mm),
    ):
        desk.within(
            arm_checks.RATIO, thickness / chord, "arm_thickness_ratio_least", "arm_thickness_ratio_most", unit=""
        )
    if kind_of(first.shape).flat_sides:
        thin = np.minimum(first.thickness_barrel_mm, first.thickness_palm_mm) / 2
        full = thin < desk.value("arm_edge_radius")
        radius = first.edge_at(2 * thin)
        desk.least(arm_checks.EDGE, radius, thin, warn=True, where=full)
        desk.least(arm_checks.EDGE, radius, "arm_edge_radius", where=~full)
        if strut.duty.boat_speed_kn is not None:
            desk.most(arm_checks.SPEED, i.boat_speed_kn, "flat_arm_speed", unit="kn")


# --- palm and bolts -------------------------------------------------------------------------------------------------


def _palm(desk: _Desk, c: Candidates) -> None:
    i, strut = c.inputs, c.strut
    bolt, thick = strut.palms[0].bolt, i.palms[0].thickness_mm
    desk.least(palm_checks.THICKNESS, thick, "palm_thickness", per=i.shaft_mm)
    if bolt.kind != "plain":
        desk.most(palm_checks.HEAD, bolt.head_depth_mm, "countersink_share", per=thick)
        desk.least(palm_checks.LAND, thick - bolt.head_depth_mm, "countersink_land")
    rim, tool = bolt.rim_mm / 2, bolt.driver_diameter_mm / 2
    for k in range(len(i.arms)):
        stands = footprints.on_palm(c, k, desk.value("driver_height"))
        flat = stands.toe_inside_mm - i.palms[i.arms[k].palm_index].bevel_width_mm
        desk.least(palm_checks.ARM, flat, 0.0, warn=stands.toe_inside_mm >= 0)
        desk.least(palm_checks.RIM_ARM, stands.hole_to_toe_mm - rim, "rim_to_root")
        desk.least(palm_checks.DRIVER, stands.hole_to_arm_mm - tool, "driver_to_arm")
    for k in range(len(i.palms)):
        _holes(desk, c, k, rim)
    if len(i.palms) == 2:
        _palms_apart(desk, c)


def _holes(desk: _Desk, c: Candidates, index: int, rim_mm: float) -> None:
    palm, bolt = c.inputs.palms[index], c.strut.palms[index].bolt
    holes, edge = holes_of(palm), c.hole_edge_mm[index]
    desk.least(palm_checks.OUTSIDE, edge, bolt.hole_mm / 2)
    bench = Bench(c.strut, desk.limits)
    name, need = palm_checks._edge_rule(bench, c.strut.palms[index])
    desk.least(palm_checks.EDGE, edge, name, per=need / desk.limits[name].value)
    desk.least(palm_checks.RIM_EDGE, edge - rim_mm, "rim_to_edge")
    if palm.bevel_width_mm > 0:
        desk.least(palm_checks.RIM_BEVEL, edge - rim_mm - palm.bevel_width_mm, "rim_to_bevel")
    if len(holes) < 2:
        return
    rule = c.strut.edge_rule
    size = bolt.hole_mm if rule == "ec3" else bolt.major_mm
    along_name, across_name = (
        ("bolt_pitch_ec3_along", "bolt_pitch_ec3_across")
        if rule == "ec3"
        else (f"bolt_pitch_{rule if rule in ('aisc', 'aerospace') else 'light_craft'}",) * 2
    )
    along, across = desk.value(along_name), desk.value(across_name)
    share2: Num = np.inf
    wanted: Num
    for a, (u, v) in enumerate(holes):
        for other_u, other_v in holes[:a]:
            du, dv = u - other_u, v - other_v
            wanted = along if along == across else np.where(np.abs(dv) > np.abs(du), across, along)
            share2 = np.minimum(share2, (du * du + dv * dv) / wanted**2)
    # Both limits of a rule break alike; their pitch is that share of what is wanted.
    desk.least(palm_checks.PITCH, np.sqrt(share2) * along, along_name, per=size)
    desk.most(palm_checks.SEAL, _sealing_pitch(c, index), "bolt_pitch_sealing", per=bolt.major_mm)


def _sealing_pitch(c: Candidates, index: int) -> Num:
    """Greatest pitch round the palm: of a grid whose pitches vary its own pitches, else of the holes as they are."""
    palm, own = c.inputs.palms[index], c.strut.palms[index]
    if np.ndim(palm.holes_u_mm) == 1:
        ring = palm_checks._hull_ring(palm_checks._uv(own))
        return float(np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).max())
    order = [
        int(np.argmin([math.hypot(h.u_mm - p[0], h.v_mm - p[1]) for h in own.holes]))
        for p in palm_checks._hull_ring(palm_checks._uv(own))
    ]
    us, vs = np.asarray(palm.holes_u_mm), np.asarray(palm.holes_v_mm)
    most: Num = 0.0
    for a, b in zip(order, order[1:] + order[:1], strict=True):
        most = np.maximum(most, np.hypot(us[..., a] - us[..., b], vs[..., a] - vs[..., b]))
    return most


def _spread(c: Candidates, index: int, way: int) -> tuple[Num, Num]:
    """Least and greatest strut-frame coordinate (1: y) of a palm's outline on the hull face."""
    palm, shape = c.inputs.palms[index], c.palms[index]
    u, v = palm.u[way], palm.v[way]
    if shape.fixed:
        points = shapes.palm_points(c.strut.palms[index])[:, way] - c.strut.palms[index].zero_mm[way]
        moved = palm.zero_mm[way] + shape.middle_u_mm * u + shape.middle_v_mm * v
        return moved + float(points.min()), moved + float(points.max())
    middle = palm.zero_mm[way] + shape.middle_u_mm * u + shape.middle_v_mm * v
    reach = shape.core_u_mm * abs(u) + shape.core_v_mm * abs(v) + shape.radius_mm * math.hypot(u, v)
    return middle - reach, middle + reach


def _palms_apart(desk: _Desk, c: Candidates) -> None:
    (low, high), (other_low, other_high) = _spread(c, 0, 1), _spread(c, 1, 1)
    desk.least(palm_checks.APART, np.maximum(low - other_high, other_low - high), 0.0)


# --- hull, propeller, skeg ------------------------------------------------------------------------------------------


def _hull(desk: _Desk, c: Candidates) -> None:
    i, d = c.inputs, c.inputs.shaft_mm
    desk.least(hull_checks.DROP, c.drop_mm, "drop_least", per=i.barrel_outside_mm)
    desk.most(hull_checks.DROP_MOST, c.drop_mm, "drop_most", per=d)
    desk.least(hull_checks.CLEAR, _barrel_to_hull(c), "barrel_to_hull")
    if not np.all(np.isnan(np.asarray(i.propeller_mm))):
        hub = np.nan_to_num(i.hub_gap_mm) + np.nan_to_num(i.hub_length_mm) / 2
        n, middle = _over_shaft(c), -(i.barrel_length_mm / 2 + hub)
        desk.least(
            hull_checks.TIP,
            under_plane_mm(c.drop_mm * n[2], n, middle, middle, i.propeller_mm / 2),
            "tip_clearance",
            per=i.propeller_mm,
            hard="tip_clearance_hard",
        )
    if not np.all(np.isnan(np.asarray(i.hub_gap_mm))):
        desk.most(
            hull_checks.GAP, i.hub_gap_mm + np.maximum(0.0, c.bearings_mm[0][0]), "hub_gap", per=d, hard="hub_gap_hard"
        )
        desk.least(hull_checks.GAP_LEAST, i.hub_gap_mm + np.minimum(0.0, c.bearings_mm[0][0]), "hub_gap_least", per=d)
    if not np.all(np.isnan(np.asarray(i.bearing_span_mm))):
        desk.within(hull_checks.SPAN, i.bearing_span_mm, "bearing_span_least", "bearing_span_most", per=d)


def _barrel_to_hull(c: Candidates) -> Num:
    i = c.inputs
    half, r = i.barrel_length_mm / 2, i.barrel_outside_mm / 2
    n = _over_shaft(c)
    least = under_plane_mm(c.drop_mm * n[2], n, -half, half, r)
    for k, palm in enumerate(i.palms):
        n = np.array(palm.normal)
        x, y = ([v - palm.thickness_mm * n[w] for v in _spread(c, k, w)] for w in (0, 1))
        beside = (x[1] > -half) & (x[0] < half) & (y[1] > -r) & (y[0] < r)
        level = sum(palm.zero_mm[j] * n[j] for j in range(3)) - palm.thickness_mm
        least = np.where(beside, np.minimum(least, under_plane_mm(level, n, -half, half, r)), least)
    return least


def _over_shaft(c: Candidates) -> frames.Vector:
    plane = shapes.plane_over_shaft(c.strut)
    return frames.plane_axes(0.0, plane.pitch_deg, plane.tilt_deg).n


def _skeg(desk: _Desk, c: Candidates) -> None:
    """A skeg's root beside the parallel part; candidates with a skeg do not vary the barrel."""
    skeg = c.strut.skeg
    if skeg is None:
        return
    start, stop = parallel_part(c.barrel())
    out = np.maximum(start - skeg.root_aft_station_mm, skeg.root_forward_station_mm - stop) + skeg.root_mm
    desk.most(skeg_checks.PARALLEL, np.maximum(out, 0.0), 0.0, warn=True)
