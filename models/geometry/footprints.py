"""Where the arms stand on barrel and palm, of one strut or of a batch.

A root's toe on the palm is where its ball or bead touches, strut by strut; `toe_bound` has what stands for it where the
struts are too many, as in a search. Polygons are (points, struts). Struts are taken in small lots, so that a lot's
polygons stay in the cache.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.models import frames
from strutwright.models.arrays import Floats, Num
from strutwright.models.finding import SIZES_CAUSE
from strutwright.models.geometry.members import palm_toe
from strutwright.models.geometry.polygons import distance_to_polygon
from strutwright.models.geometry.shapes import arm_footprints
from strutwright.models.input_parts import ArmInputs
from strutwright.models.once import once
from strutwright.models.sections import boundary_points, kind_of
from strutwright.models.spec import Arm, Skeg, Strut
from strutwright.models.struts import Struts

POINTS = 96
"""Round a section of many struts: within 0.1 % of its sizes."""
SMOOTH_POINTS = 52
"""The same round one without corners."""
FINE = 8
"""Times as many points round one strut's section as round each of many."""
SPARE = 0.01
LOT = 1024
"""Struts to a lot: (97, 1024) floats are 800 kB."""


@functools.cache
def unit(shape: str) -> tuple[Floats, Floats]:
    """Return the points round a section of chord and thickness 1, x and y.

    >>> round(float(unit("ellipse")[0].max()), 3)
    0.5
    """
    points = boundary_points(shape, 1.0, 1.0, SMOOTH_POINTS)
    return points[:, 0].copy(), points[:, 1].copy()


def ring(arm: ArmInputs, chord: Num, thickness: Num, half: bool = False, exact: bool = False) -> tuple[Floats, Floats]:
    """Return points round a section, or half of it above the chord, (points, candidates) or (points, 1).

    exact: of one section, its edges as they are made; of many a foil or arcs run out to their sharp edges, and of a
    kind that has one it is a polygon that holds the section (`SectionKind.around`).

    >>> arm = engineering_inputs("canal-tender").arms[0]
    >>> round(float(ring(arm, 56.0, 14.0)[0].max()), 3)
    28.0
    """
    c, t = np.atleast_1d(np.asarray(chord, dtype=float)), np.atleast_1d(np.asarray(thickness, dtype=float))
    if exact:
        one = boundary_points(arm.shape, float(c[0]), float(t[0]), FINE * POINTS, arm.edge_at(float(t[0])))
        return one[:, :1], one[:, 1:]
    kind = kind_of(arm.shape)
    if kind.scales:
        x, y = unit(arm.shape)
        points = len(x) // 2 + 1 if half else None
        return x[:points, None] * c, y[:points, None] * t
    # Sizes that make no section get figures without meaning: such a candidate cannot be built anyway.
    c, t = np.maximum(c, 1e-6), np.clip(t, 1e-6, np.maximum(c, 1e-6))
    made = arm.edge_at(t) if kind.broad_edges else None
    edge = None if made is None else np.minimum(np.atleast_1d(made), t / 2)
    if edge is not None and (upper := kind.around(c, t, edge)):
        xs, ys = (np.stack(np.broadcast_arrays(*side)) for side in zip(*upper, strict=True))
        return (xs, ys) if half else (np.concatenate((xs, xs[-2:0:-1])), np.concatenate((ys, -ys[-2:0:-1])))
    both = boundary_points(arm.shape, c, t, POINTS, edge)[..., : POINTS // 2 + 1 if half else None, :]
    return np.ascontiguousarray(both[..., 0].T), np.ascontiguousarray(both[..., 1].T)


COARSE = 2e-3
"""Share of a section's chord by which it may reach beyond those polygons, corners left out."""


def beyond_polygon_mm(arm: ArmInputs, on_plane: bool = False) -> Num:
    """Return how far (mm) an arm may reach beyond the polygons that stand for it in an array: where a corner is
    rounded, by what even steps cut off it. on_plane: where a plane cuts it, and not the round barrel.

    >>> round(float(beyond_polygon_mm(engineering_inputs("canal-tender").arms[0])), 3)
    0.112
    >>> beyond_polygon_mm(engineering_inputs("canal-tender").arms[0], on_plane=True)  # a polygon round it holds a flat
    0.0
    """
    kind, chord = kind_of(arm.shape), np.maximum(arm.chord_barrel_mm, arm.chord_palm_mm)
    coarse: Num = COARSE * chord
    if not kind.broad_edges:
        return coarse
    if kind.around(np.ones(1), np.ones(1), np.zeros(1)):
        return 0.0 if on_plane else coarse
    step = 2 * (chord + np.maximum(arm.thickness_barrel_mm, arm.thickness_palm_mm)) / POINTS
    edge = np.maximum(arm.edge_radius_mm, 1e-6)
    coarse = coarse + np.minimum(0.3 * edge, step * step / (8 * edge))
    return coarse


def thin_edge_mm(arm: ArmInputs) -> Num:
    """Return the radius (mm) of thin edges, by which a section is wider there than with sharp ones; 0 without them.

    >>> thin_edge_mm(engineering_inputs("canal-tender").arms[0])  # a flat
    0.0
    """
    kind = kind_of(arm.shape)
    if not kind.thin_edges:
        return 0.0
    usual = kind.usual_edge_mm(np.minimum(arm.thickness_barrel_mm, arm.thickness_palm_mm))
    return np.where(np.asarray(arm.edge_radius_mm) > 0, arm.edge_radius_mm, usual)[()]


@dataclass(frozen=True, slots=True)
class Directions:
    """An arm's directions, which no candidate changes: chord u, across v, along n, and those of its palm, (3,)."""

    u: frames.Vector
    v: frames.Vector
    n: frames.Vector
    palm_u: frames.Vector
    palm_v: frames.Vector
    palm_n: frames.Vector
    even: bool
    """The section's halves are mirror images about the plane of shaft line and arm."""


def directions(c: Struts, index: int) -> Directions:
    """Return the directions of an arm and of the palm it stands on.

    >>> way = directions(Struts.of(shipped("canal-tender")), 0)
    >>> round(float(way.n @ way.palm_n), 4)  # cos 9 deg
    0.9877
    """
    strut, arm = c.own, c.own.arms[index]
    palm = strut.palms[arm.palm_index]
    axes, hull = frames.arm_axes(arm, strut.barrel, palm.plane), frames.palm_axes(palm)
    even = arm.aligned_with == "shaft" and arm.toe_deg == 0.0
    return Directions(axes.u, axes.v, axes.n, hull.u, hull.v, hull.n, even)


def lots(count: int, *values: Any) -> Iterator[tuple[slice, list[Any]]]:
    """Yield slices of LOT candidates and the values there; what does not vary is as it is.

    >>> [(part.start, values) for part, values in lots(1500, 3.0)]
    [(0, [3.0]), (1024, [3.0])]
    """
    for start in range(0, count, LOT):
        part = slice(start, start + LOT)
        yield part, [v[part] if isinstance(v, np.ndarray) and v.ndim else v for v in values]


def into(operation: Any, into_: Any, other: Any) -> Any:
    """Return operation(into_, other), worked out in the place of into_ where the result fits there.

    A lot's arrays are as large as the cache: a new one for every step would not stay in it.

    >>> kept = np.ones(2)
    >>> into(np.add, kept, 1.0) is kept
    True
    """
    if isinstance(into_, np.ndarray) and into_.shape == np.broadcast_shapes(into_.shape, np.shape(other)):
        return operation(into_, other, out=into_)
    return operation(into_, other)


# --- on the barrel --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class OnBarrel:
    """What an arm or skeg covers of the barrel's outside, root left out: stations (mm), middle clock and half width
    (degrees)."""

    aft_mm: Num
    forward_mm: Num
    clock_deg: float
    half_deg: Num

    def of(self, which: NDArray[np.intp]) -> OnBarrel:
        """Return what those of some struts cover."""
        aft, forward, half = (
            x[which] if isinstance(x, np.ndarray) else x for x in (self.aft_mm, self.forward_mm, self.half_deg)
        )
        return OnBarrel(aft, forward, self.clock_deg, half)


def skeg_on_barrel(strut: Strut, skeg: Skeg) -> OnBarrel:
    """Return what the skeg covers of the barrel.

    >>> strut = shipped("sloop-with-skeg")
    >>> round(float(skeg_on_barrel(strut, strut.skeg).half_deg), 1)  # asin(19.05 / 66.98)
    16.5
    """
    half = np.degrees(np.arcsin(np.minimum(1.0, skeg.thickness_root_mm / strut.barrel.outside_mm)))
    return OnBarrel(skeg.root_aft_station_mm, skeg.root_forward_station_mm, 180.0, half)


@once
def on_barrel(c: Struts, index: int, exact: bool = True) -> OnBarrel:
    """Return what an arm covers of the barrel.

    exact: strut by strut; else many at once by coarse polygons, with what these may leave out added.

    >>> round(on_barrel(Struts.of(shipped("canal-tender")), 0).forward_mm, 3)  # 74 / 2 + 56 / 2
    65.0
    """
    if exact and c.count > 1:
        return _each_on_barrel(c, index)
    if c.chosen is not None and c.count > 1:
        many, which = c.chosen
        return on_barrel(many, index, exact).of(which)
    arm, way = c.inputs.arms[index], directions(c, index)
    varied = (*sizes_of(arm), c.inputs.barrel_outside_mm / 2, arm.x_mm, arm.edge_radius_mm)
    count = c.count if any(np.ndim(v) for v in varied) else 1
    aft, forward, half = (np.empty(count) for _ in range(3))
    middle = math.degrees(math.atan2(way.n[1], way.n[2]))
    # Across the plane of shaft line and arm, and in it square to the shaft.
    level = math.hypot(way.n[1], way.n[2])
    across, out = (np.array([0.0, way.n[2], -way.n[1]]) / level, np.array([0.0, way.n[1], way.n[2]]) / level)
    turn = [[float(a @ d) for a in (way.u, way.v, way.n)] for d in (across, out, np.array([1.0, 0.0, 0.0]))]
    for part, (cb, tb, cp, tp, start, end, r, x0, edge) in lots(count, *varied):
        own = part_of(arm, edge, (tb, tp))
        upper = way.even and count > 1  # mirror images
        x, y = ring(own, cb, tb, upper, count == 1)
        gain: tuple[Floats, Floats] | None = None
        if not prismatic(arm):
            if kind_of(own.shape).scales and count > 1:
                gain = ring(own, cp - cb, tp - tb, upper)
            else:
                x2, y2 = ring(own, cp, tp, upper, count == 1)
                gain = x2 - x, y2 - y
        a_side, a_out, a_x = (_sum(x, y, start, t) for t in turn)
        b_side, b_out, b_x = (_sum(gain[0] if gain else 0.0, gain[1] if gain else 0.0, end - start, t) for t in turn)
        # Each generator a + k b leaves the barrel where its distance from the shaft line is the barrel's radius.
        aa = into(np.add, b_side * b_side, b_out * b_out)
        ab = into(np.add, a_side * b_side, a_out * b_out)
        away = into(np.multiply, into(np.add, a_side * a_side, a_out * a_out - r * r), aa)
        root = into(np.subtract, ab * ab, away)
        missed = root.min() <= 0.0
        k = into(np.maximum, root, 0.0)
        k = into(np.divide, into(np.subtract, np.sqrt(k, out=k), ab), aa)
        side, along = into(np.add, k * b_side, a_side), into(np.add, k * b_x, a_x)
        aft[part], forward[part] = along.min(axis=0) + x0, along.max(axis=0) + x0
        widest = np.maximum(side.max(axis=0), -side.min(axis=0))
        if not missed:  # all of them are on the barrel, so the widest has the greatest angle
            angle = np.arcsin(np.minimum(widest / r, 1.0))
        else:
            angle = np.abs(np.arctan2(side, a_out + k * b_out)).max(axis=0)
        half[part] = np.degrees(angle)
    mid = c.inputs.barrel_length_mm / 2
    if count == 1:
        return OnBarrel(float(aft[0]) + mid, float(forward[0]) + mid, middle, float(half[0]))
    beside = beyond_polygon_mm(arm) + thin_edge_mm(arm)
    more = beyond_polygon_mm(arm) if way.even else beside  # a chord along the shaft ends where its edges do
    turned = np.degrees(beside / (c.inputs.barrel_outside_mm / 2))
    return OnBarrel(aft + mid - more, forward + mid + more, middle, half + turned)


def _each_on_barrel(c: Struts, index: int) -> OnBarrel:
    clock = on_barrel(c, index, False).clock_deg
    aft, forward, half = (np.full(c.count, np.nan) for _ in range(3))
    for strut, which in c.alike:
        one = on_barrel(Struts.of(strut), index)
        aft[which], forward[which], half[which] = one.aft_mm, one.forward_mm, one.half_deg
    return OnBarrel(aft, forward, clock, half)


def fillet_toe_mm(radius_mm: Num, between_rad: Num) -> Num:
    """Return how far (mm) from a corner of two planes at an angle (radians) a fillet in it ends.

    >>> round(float(fillet_toe_mm(6.0, math.pi / 2)), 9)  # in a square corner its radius
    6.0
    """
    return radius_mm / np.tan(between_rad / 2)


def root_reach_mm(c: Struts, index: int) -> Num:
    """Return no less than how far (mm) an arm's root reaches along the barrel from its middle.

    As in a plane corner as sharp as the arm leans and tapers; a share of SPARE more for what the round barrel adds.

    >>> round(float(root_reach_mm(Struts.of(shipped("canal-tender")), 0)), 2)  # 56 / 2 and a leg of 6
    34.0
    """
    i, arm, on = c.inputs, c.inputs.arms[index], on_barrel(c, index, False)
    long = np.maximum(np.asarray(arm.end_mm) - i.barrel_outside_mm / 2, 1e-6)
    tapers = np.abs(np.asarray(arm.chord_palm_mm) - arm.chord_barrel_mm) / 2 / long
    lean = np.radians(np.abs(arm.rake_deg)) + np.arctan(tapers)
    toe = arm.barrel_root_mm
    if i.construction == "cast":
        toe = (1.0 + SPARE) * fillet_toe_mm(toe, np.pi / 2 - np.minimum(lean, 1.5))
    half = i.barrel_length_mm / 2
    reach: Num = np.maximum(on.forward_mm - half, half - on.aft_mm) + toe
    return reach


def prismatic(arm: ArmInputs) -> bool:
    """Return whether an arm has one section all along.

    >>> prismatic(engineering_inputs("harbour-launch").arms[0])  # 95 x 22 at the barrel, 110 x 27 at the palm
    False
    """
    return arm.chord_barrel_mm is arm.chord_palm_mm and arm.thickness_barrel_mm is arm.thickness_palm_mm


def sizes_of(arm: ArmInputs) -> tuple[Num, ...]:
    """Return chord and thickness at the barrel and at the palm, start and end, mm.

    >>> sizes_of(engineering_inputs("harbour-launch").arms[0])[:4]
    (95.0, 22.0, 110.0, 27.0)
    """
    at_barrel, at_palm = (arm.chord_barrel_mm, arm.thickness_barrel_mm), (arm.chord_palm_mm, arm.thickness_palm_mm)
    return (*at_barrel, *at_palm, arm.start_mm, arm.end_mm)


def _sum(x: Num, y: Num, s: Num, turn: Sequence[float]) -> Num:
    """x, y and s times three numbers; what is multiplied by nothing is left out."""
    total: Num = 0.0
    for value, factor in zip((x, y, s), turn, strict=True):
        if abs(factor) > 1e-15 and not (isinstance(value, float) and value == 0.0):
            total = total + (value if factor == 1.0 else value * factor)
    return total


def part_of(arm: ArmInputs, edge: Num, thick: tuple[Num, Num]) -> ArmInputs:
    """Return an arm with the edges and thicknesses of a lot.

    >>> arm = engineering_inputs("canal-tender").arms[0]
    >>> part_of(arm, 5.0, (14.0, 14.0)).edge_radius_mm
    5.0
    """
    if not kind_of(arm.shape).broad_edges:
        return arm
    return replace(arm, edge_radius_mm=edge, thickness_barrel_mm=thick[0], thickness_palm_mm=thick[1])


# --- on the palm ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class OnPalm:
    """An arm on its palm, mm: least distance of the root's toe inside the outline; of any bolt hole's centre from the
    toe; and of any centre from the arm up to the height of a tool."""

    toe_inside_mm: Num
    hole_to_toe_mm: Num
    hole_to_arm_mm: Num


@dataclass(frozen=True, slots=True, eq=False)
class Feet:
    """An arm on its palm, points (n, 2) in palm axes, mm: where its root ends, and the arm on the palm, at half and at
    all of the height of a tool."""

    toe: Floats
    above: tuple[Floats, ...]

    def room_mm(self, holes: Floats) -> tuple[Floats, Floats]:
        """Return the distances (k,) of hole centres (k, 2) from the toe, and from toe and arm above it."""
        to_toe = distance_to_polygon(holes, self.toe)
        return to_toe, np.minimum(to_toe, self.beside_arm_mm(holes))

    def beside_arm_mm(self, holes: Floats) -> Floats:
        """Return the distances (k,) of hole centres (k, 2) from the arm up to the tool's height, its root left out."""
        return functools.reduce(np.minimum, [distance_to_polygon(holes, foot) for foot in self.above])


def arm_feet(strut: Strut, arm: Arm, height_mm: float) -> Feet:
    """Return an arm's feet. height_mm: to which a tool on a bolt must stay clear, at most half the drop.

    >>> strut = shipped("canal-tender")
    >>> round(float(arm_feet(strut, strut.arms[0], 25.0).toe[:, 1].max()), 3)  # 14 / 2 and a leg of 7
    14.0
    """
    palm = strut.palms[arm.palm_index]
    top = min(height_mm, palm.plane.drop_mm / 2)
    above = arm_footprints(strut, arm, [palm.thickness_mm + h for h in (0.0, top / 2, top)])
    return Feet(palm_toe(strut, arm), tuple(above))


def on_palm(c: Struts, index: int, height_mm: float) -> OnPalm:
    """Return how an arm stands on its palm, some milliseconds for each strut that differs in what a root touches.
    height_mm: as in `arm_feet`. nan for sizes that it cannot be worked out on.

    >>> round(on_palm(Struts.of(shipped("canal-tender")), 0, 25.0).toe_inside_mm, 3)
    32.0
    """
    arm = c.inputs.arms[index]
    palm, shape = c.inputs.palms[arm.palm_index], c.palms[arm.palm_index]
    inside, to_toe, to_arm = (np.full(c.count, np.nan) for _ in range(3))
    holes = np.broadcast_to(
        np.stack((palm.holes_u_mm, palm.holes_v_mm), axis=-1), (c.count, len(c.own.palms[arm.palm_index].holes), 2)
    )
    moving = max(np.ndim(palm.holes_u_mm), np.ndim(palm.holes_v_mm)) > 1
    for strut, which in c.alike:
        try:
            feet = arm_feet(strut, strut.arms[index], height_mm)
        except SIZES_CAUSE:
            if c.count == 1:
                raise
            continue
        inside[which] = np.min(shape.of(which).inside_mm(feet.toe[:, :1], feet.toe[:, 1:]), axis=0)
        own = holes[which if moving else which[:1]]
        rooms = feet.room_mm(own.reshape(-1, 2))
        to_toe[which], to_arm[which] = (r.reshape(len(own), -1).min(axis=1, initial=np.inf) for r in rooms)
    if c.count == 1:
        return OnPalm(float(inside[0]), float(to_toe[0]), float(to_arm[0]))
    return OnPalm(inside, to_toe, to_arm)
