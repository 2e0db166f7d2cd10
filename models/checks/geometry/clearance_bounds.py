"""How near at most the boat is to a batch of struts: in arrays, never more than the true distance.

What a bound does not clear is measured with the bodies of `geometry.bodies`, strut by strut.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Sequence

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Num, Triple, dot, greatest, plus, times
from strutwright.models.checks.geometry import screws
from strutwright.models.frames import Vector, unit
from strutwright.models.geometry import bodies
from strutwright.models.geometry.clearances import least_gap_mm
from strutwright.models.geometry.footprints import fillet_toe_mm
from strutwright.models.geometry.skeg import stock_axis
from strutwright.models.input_parts import PalmInputs
from strutwright.models.once import once
from strutwright.models.shop.bolting import way_in_mm
from strutwright.models.spec import Palm, Strut
from strutwright.models.struts import Struts
from strutwright.params.limits import Limits

X, Y = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])


def _palm_reach(c: Struts, index: int, way: Vector) -> Num:
    """How far (mm, from the origin) a palm reaches along a direction."""
    own, shape = c.inputs.palms[index], c.palms[index]
    u, v, n = (sum(float(a) * float(w) for a, w in zip(axis, way, strict=True)) for axis in (own.u, own.v, own.normal))
    at = sum(z * float(w) for z, w in zip(own.zero_mm, way, strict=True))
    at = at + shape.middle_u_mm * u + shape.middle_v_mm * v
    thick = np.maximum(-own.thickness_mm * n, 0.0)
    if shape.fixed:
        return at + thick + float((shape.outline.polyline(0.05) @ np.array([u, v])).max()) + 0.05
    return at + thick + shape.core_u_mm * abs(u) + shape.core_v_mm * abs(v) + shape.radius_mm * math.hypot(u, v)


@once
def _arm_reach(c: Struts, index: int) -> Callable[[Vector], Num]:
    """How far at most (mm, from the origin) an arm with its roots reaches, as a function of a direction."""
    own, arm = c.inputs.arms[index], c.own.arms[index]
    plane = frames.arm_plane(c.own, arm)
    axes, hull = frames.arm_axes(arm, c.own.barrel, plane), frames.plane_axes(0.0, plane.pitch_deg, plane.tilt_deg).n
    into = float(axes.n @ hull)
    # Where the palm leans, one edge of the arm goes on beyond the axis' end; at the barrel the flanks go on inward.
    over = (
        own.chord_palm_mm / 2 * abs(float(axes.u @ hull)) + own.thickness_palm_mm / 2 * abs(float(axes.v @ hull))
    ) / into
    chord, thickness = (
        np.maximum(a, b)
        for a, b in ((own.chord_barrel_mm, own.chord_palm_mm), (own.thickness_barrel_mm, own.thickness_palm_mm))
    )
    sunk = own.start_mm - own.thickness_barrel_mm / 2
    lean, rake = (
        float(fillet_toe_mm(1.0, math.pi / 2 - min(a, math.radians(70.0))))
        for a in (math.acos(min(1.0, into)), math.asin(min(1.0, abs(float(axes.n[0])))))
    )
    low, high = (
        np.stack(np.broadcast_arrays(*sizes))
        for sizes in (
            (own.x_mm, sunk, chord / 2, thickness / 2, own.barrel_root_mm),
            (own.x_mm, own.end_mm + over, own.chord_palm_mm / 2, thickness / 2, own.palm_root_mm * lean),
        )
    )

    def reach(way: Vector) -> Num:
        u, v, n = abs(float(axes.u @ way)), abs(float(axes.v @ way)), float(axes.n @ way)
        # A flank leaves the round barrel at more than a right angle: the fillet's toe there is nearer than its radius.
        root = v + rake * math.sqrt(max(1.0 - v * v, 0.0))
        x = float(way[0])
        far: Num = np.maximum(np.array([x, n, u, v, root]) @ low, np.array([x, n, u, v, 1.0]) @ high)
        return far

    return reach


def _round_reach(way: Vector, from_x: Num, to_x: Num, radius: Num) -> Num:
    return np.maximum(from_x * float(way[0]), to_x * float(way[0])) + radius * math.hypot(float(way[1]), float(way[2]))


def shaft(c: Struts, limits: Limits) -> Num:
    """The shaft to foot, boss and palms.

    >>> round(float(shaft(Struts.of(shipped("canal-tender")), standard())), 1)  # it is 170.8
    170.8
    """
    r = c.own.shaft.diameter_mm / 2
    bound: Num = _heel_gaps(c.own)[0]
    for k, palm in enumerate(c.inputs.palms):
        n = np.array(palm.normal, dtype=float)
        way = unit(np.array([0.0, n[1], n[2]]))
        bound = np.minimum(bound, -_palm_reach(c, k, -way) - r)
    return bound


@functools.lru_cache(maxsize=8)
def _heel_gaps(strut: Strut) -> tuple[float, float]:
    """What does not move where there is a skeg: shaft to foot and boss, rudder stock to barrel and fin, mm."""
    skeg = strut.skeg
    if skeg is None or skeg.heel is None:
        return math.inf, math.inf
    parts = bodies.strut_parts(strut)
    return (
        bodies.nearest(bodies.shaft_bodies(strut, strut.barrel.length_mm), bodies.of_kind(parts, "foot", "heel boss"))[
            0
        ],
        bodies.nearest(bodies.stock_bodies(strut, skeg.heel), bodies.of_kind(parts, "barrel", "skeg"))[0],
    )


def stock(c: Struts, limits: Limits) -> Num:
    """A bound of the rudder stock and its tube to palms and arms, from directions square to the stock.

    >>> round(float(stock(Struts.of(shipped("yawl-with-heel")), standard())), 1)  # it is 71.5
    71.4
    """
    assert c.own.skeg is not None
    assert c.own.skeg.heel is not None
    heel = c.own.skeg.heel
    bound: Num = _heel_gaps(c.own)[1]
    up, foot = stock_axis(heel), np.asarray(heel.centre_mm, dtype=float)
    r = max(heel.stock_mm, heel.tube_mm or 0.0) / 2
    fore = unit(np.cross(np.array([0.0, 1.0, 0.0]), up))
    side = np.cross(up, fore)
    ways = [math.cos(t) * fore + math.sin(t) * side for t in np.linspace(0.0, 2 * math.pi, 13)[:-1].tolist()]
    reaches: list[Callable[[Vector], Num]] = [functools.partial(_palm_reach, c, k) for k in range(len(c.palms))]
    reaches += [_arm_reach(c, k) for k in range(len(c.inputs.arms))]
    for reach in reaches:
        bound = np.minimum(bound, greatest([float(foot @ way) - r - reach(way) for way in ways]))
    return bound


def blades(c: Struts, limits: Limits) -> Num:
    """The room swept by the blades to arms and palms.

    >>> round(float(blades(Struts.of(shipped("canal-tender")), standard())), 1)  # it is 15.0
    12.8
    """
    i = c.inputs
    start = -(i.barrel_length_mm / 2 + np.nan_to_num(i.hub_gap_mm))
    end = start - np.nan_to_num(i.hub_length_mm)
    bound: Num = math.inf
    for k in range(len(i.arms)):
        bound = np.minimum(bound, -_arm_reach(c, k)(-X) - _round_reach(X, end, start, i.propeller_mm / 2))
    for k, palm in enumerate(i.palms):
        ways = _from_fore_to_over(palm)
        bound = np.minimum(
            bound, greatest([-_palm_reach(c, k, -w) - _round_reach(w, end, start, i.propeller_mm / 2) for w in ways])
        )
    return bound


def _from_fore_to_over(palm: PalmInputs) -> list[Vector]:
    n = np.array(palm.normal, dtype=float)
    return [unit(math.cos(t) * X + math.sin(t) * n) for t in np.linspace(0.0, math.pi / 2, 7).tolist()]


def tips(c: Struts, limits: Limits) -> Num:
    """The blade tips to the palms that reach over them.

    >>> round(float(tips(Struts.of(shipped("canal-tender")), standard())), 1)  # it is 64.4
    64.4
    """
    i = c.inputs
    start = -(i.barrel_length_mm / 2 + np.nan_to_num(i.hub_gap_mm))
    middle = start - np.nan_to_num(i.hub_length_mm) / 2
    bound: Num = math.inf
    for k, palm in enumerate(i.palms):
        ways = _from_fore_to_over(palm)
        gap = greatest([-_palm_reach(c, k, -w) - _round_reach(w, middle, middle, i.propeller_mm / 2) for w in ways])
        bound = np.where(-_palm_reach(c, k, -X) < start, np.minimum(bound, gap), bound)
    return bound


def blades_at_most(c: Struts) -> Num:
    """What the room swept by the blades is at most from an arm's trailing edge where it leaves the barrel.

    >>> float(blades_at_most(Struts.of(shipped("canal-tender"))))  # gap 12 + (74 - 56) / 2
    21.0
    """
    i = c.inputs
    most: Num = math.inf
    for own, arm in zip(i.arms, c.own.arms, strict=True):
        axes = frames.arm_axes(arm, c.own.barrel, frames.arm_plane(c.own, arm))
        edge = own.x_mm + own.start_mm * float(axes.n[0]) - own.chord_barrel_mm / 2 * float(axes.u[0])
        most = np.minimum(most, edge + i.barrel_length_mm / 2 + np.nan_to_num(i.hub_gap_mm))
    # An edge that is not within the blades' circle says nothing, nor one abaft their forward side.
    return np.where((i.propeller_mm > 1.2 * i.barrel_outside_mm) & (most > 0), most, math.inf)


def tips_at_most(c: Struts) -> Num:
    """What the blade tips are at most from a palm over them: from the point of its water face that is near to them.

    >>> float(tips_at_most(Struts.of(shipped("canal-tender"))))  # no palm of many
    inf
    """
    i = c.inputs
    start = -(i.barrel_length_mm / 2 + np.nan_to_num(i.hub_gap_mm))
    middle, radius = start - np.nan_to_num(i.hub_length_mm) / 2, i.propeller_mm / 2
    most: Num = math.inf
    for k, palm in enumerate(i.palms):
        shape = c.palms[k]
        if shape.fixed:
            continue
        up = unit(np.array([0.0, *palm.normal[1:]], dtype=float))
        top = [m - z for m, z in zip((middle, radius * up[1], radius * up[2]), palm.zero_mm, strict=True)]
        # Nearest in the part of the face that holds for every corner radius, within the bevel.
        long = np.maximum(shape.core_u_mm + shape.radius_mm - palm.bevel_width_mm, 0.0)
        wide = np.maximum(shape.core_v_mm - palm.bevel_width_mm, 0.0)
        u = np.clip(dot((top[0], top[1], top[2]), palm.u), shape.middle_u_mm - long, shape.middle_u_mm + long)
        v = np.clip(dot((top[0], top[1], top[2]), palm.v), shape.middle_v_mm - wide, shape.middle_v_mm + wide)
        at = plus(palm.zero_mm, plus(times(u, palm.u), plus(times(v, palm.v), times(-palm.thickness_mm, palm.normal))))
        away = np.maximum(np.hypot(at[1], at[2]) - radius, 0.0)
        # A palm that hardly reaches over them is left to the bodies.
        over = -_palm_reach(c, k, -X) < start - 0.1
        most = np.where(over, np.minimum(most, np.hypot(at[0] - middle, away)), most)
    return most


def _over_holes(c: Struts, room: Callable[[Palm, Num], tuple[Num, float]], *, own: bool) -> Num:
    """How far at least (mm) the room over the bolt holes is from barrel and arms.

    room: height over the water face and width (mm), of a palm of that thickness. own: the palm's own arms count.
    """
    i, strut = c.inputs, c.strut
    bound: Num = math.inf
    half = i.barrel_length_mm / 2
    for k, palm in enumerate(i.palms):
        n = np.array(palm.normal, dtype=float)
        height, wide = room(strut.palms[k], palm.most_mm)
        against: list[tuple[Sequence[Vector], Callable[[Vector], Num]]] = [
            ((n, Y, -Y), lambda way: _round_reach(way, -half, half, i.barrel_outside_mm / 2))
        ]
        for m, arm in enumerate(c.own.arms):
            if own or arm.palm_index != k:
                axes = frames.arm_axes(arm, c.own.barrel, frames.arm_plane(c.own, arm))
                turns = np.linspace(0.0, 2 * math.pi, 9)[:-1].tolist() if arm.palm_index == k else (0.0, math.pi)
                against.append(([math.cos(t) * axes.v + math.sin(t) * axes.u for t in turns], _arm_reach(c, m)))
        for ways, reach in against:
            free = []
            for way in ways:
                rise = float(n @ way)
                room_mm = np.maximum(palm.thickness_mm * rise, (palm.thickness_mm + height) * rise)
                beside = wide / 2 * math.sqrt(max(1 - rise * rise, 0.0))
                away = _along(palm.zero_mm, way) - room_mm - beside - reach(way)
                # Holes lie along a last axis.
                to_hole = palm.holes_u_mm * _along(palm.u, way) + palm.holes_v_mm * _along(palm.v, way)
                free.append(to_hole + np.asarray(away)[..., None])
            bound = np.minimum(bound, np.min(greatest(free), axis=-1))
    return bound


def _along(point: Triple, way: Vector) -> Num:
    return sum(p * float(w) for p, w in zip(point, way, strict=True))


def tools(c: Struts, limits: Limits) -> Num:
    """The tools on the bolts.

    >>> round(float(tools(Struts.of(shipped("canal-tender")), standard())), 1)  # it is 102.5
    101.2
    """
    high = limits["driver_height"].value
    return _over_holes(c, lambda palm, _: (high, palm.bolt.driver_diameter_mm), own=False)


def entries(c: Struts, limits: Limits) -> Num:
    """The bolts on their way in.

    >>> round(float(entries(Struts.of(shipped("canal-tender")), standard())), 1)  # it is 6.9
    5.1
    """
    return _over_holes(c, lambda palm, thick: (way_in_mm(c.strut, palm, thick), palm.bolt.rim_mm), own=True)


@functools.lru_cache(maxsize=8)
def _keys_to_fin(strut: Strut, room: float) -> float:
    if strut.skeg is None:
        return math.inf
    fin = bodies.fin_bodies(strut, strut.skeg)
    return min(
        (
            least_gap_mm([bodies.key_body(strut, s, screws.key_mm(s), room * screws.key_mm(s))], fin)
            for s in strut.set_screws
        ),
        default=math.inf,
    )


def keys(c: Struts, limits: Limits) -> Num:
    """The keys of the set screws to arms and fin.

    >>> round(float(keys(Struts.of(shipped("canal-tender")), standard())), 1)  # it is 32.9
    15.5
    """
    i, strut = c.inputs, c.own
    bound: Num = _keys_to_fin(strut, limits["screw_key_room"].value)
    outside = i.barrel_outside_mm / 2
    for k, arm in enumerate(strut.arms):
        across = frames.arm_axes(arm, strut.barrel, frames.arm_plane(strut, arm)).v
        ways = [
            unit(math.cos(t) * across + math.sin(t) * X + s * frames.radial(arm.clock_deg))
            for t in np.linspace(0.0, 2 * math.pi, 17)[:-1].tolist()
            for s in (0.0, -0.4)
        ]
        reaches = [_arm_reach(c, k)(way) for way in ways]
        for s, station in zip(strut.set_screws, c.screws_mm, strict=True):
            size = screws.key_mm(s)
            r, high = size / math.sqrt(3), limits["screw_key_room"].value * size
            out, x = frames.radial(s.clock_deg), station - i.barrel_length_mm / 2
            free: Num = -math.inf
            for way, reach in zip(ways, reaches, strict=True):
                rise = float(out @ way)
                low = x * float(way[0]) + np.minimum(outside * rise, (outside + high) * rise)
                free = np.maximum(free, low - r * math.sqrt(max(1 - rise * rise, 0.0)) - reach)
            bound = np.minimum(bound, free)
    return bound
