"""Where the arms stand on barrel and palm, of one strut or of a batch.

Polygons are (points, struts). Struts are taken in small lots, so that a lot's polygons stay in the cache.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.models import frames
from strutwright.models.arrays import Floats, Num
from strutwright.models.geometry.members import edge_radius_at
from strutwright.models.geometry.shapes import POINTS
from strutwright.models.inputs import ArmInputs
from strutwright.models.sections import boundary_points, kind_of
from strutwright.models.spec import Skeg, Strut
from strutwright.models.struts import Struts, box_inside_mm

LOT = 1024
"""Struts to a lot: (97, 512) floats are 400 kB."""
_COARSE = 4


@functools.cache
def _unit(shape: str) -> tuple[Floats, Floats]:
    points = boundary_points(shape, 1.0, 1.0, POINTS)
    return points[:, 0].copy(), points[:, 1].copy()


def _ring(
    arm: ArmInputs, chord: Num, thickness: Num, points: int | None = None, exact: bool = False
) -> tuple[Floats, Floats]:
    """Points round a section, the first `points` or all, (points, candidates) or (points, 1).

    exact: of one section, its edges as they are made; of many a foil or arcs run out to their sharp edges."""
    c, t = np.atleast_1d(np.asarray(chord, dtype=float)), np.atleast_1d(np.asarray(thickness, dtype=float))
    if exact:
        edge = edge_radius_at(arm, float(t[0]))  # type: ignore[arg-type]
        one = boundary_points(arm.shape, float(c[0]), float(t[0]), POINTS, edge)
        return one[:, :1], one[:, 1:]
    if kind_of(arm.shape).scales:
        x, y = _unit(arm.shape)
        return x[:points, None] * c, y[:points, None] * t
    # Sizes that make no section get figures without meaning: such a candidate cannot be built anyway.
    thick = np.clip(t, 1e-6, np.maximum(c, 1e-6))
    edge = None
    if kind_of(arm.shape).broad_edges:
        edge = np.minimum(np.atleast_1d(arm.edge_at(thick)), thick / 2)
    both = boundary_points(arm.shape, np.maximum(c, 1e-6), thick, POINTS, edge)
    return np.ascontiguousarray(both[..., :points, 0].T), np.ascontiguousarray(both[..., :points, 1].T)


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


def _lots(count: int, *values: Any) -> Iterator[tuple[slice, list[Any]]]:
    """Yield slices of LOT candidates and the values there; what does not vary is as it is."""
    for start in range(0, count, LOT):
        part = slice(start, start + LOT)
        yield part, [v[part] if isinstance(v, np.ndarray) and v.ndim else v for v in values]


def _into(operation: Any, into_: Any, other: Any) -> Any:
    """Return operation(into_, other), worked out in the place of into_ where the result fits there.

    A lot's arrays are as large as the cache: a new one for every step would not stay in it.
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


def skeg_on_barrel(strut: Strut, skeg: Skeg) -> OnBarrel:
    """Return what the skeg covers of the barrel.

    >>> strut = shipped("sloop-with-skeg")
    >>> round(float(skeg_on_barrel(strut, strut.skeg).half_deg), 1)  # asin(19.05 / 66.98)
    16.5
    """
    half = np.degrees(np.arcsin(np.minimum(1.0, skeg.thickness_root_mm / strut.barrel.outside_mm)))
    return OnBarrel(skeg.root_aft_station_mm, skeg.root_forward_station_mm, 180.0, half)


@functools.lru_cache(maxsize=4)
def on_barrel(c: Struts, index: int) -> OnBarrel:
    """Return what an arm covers of the barrel.

    >>> round(on_barrel(Struts.of(shipped("canal-tender")), 0).forward_mm, 3)  # 74 / 2 + 56 / 2
    65.0
    """
    arm, way = c.inputs.arms[index], directions(c, index)
    varied = (*_sizes_of(arm), c.inputs.barrel_outside_mm / 2, arm.x_mm, arm.edge_radius_mm)
    count = c.count if any(np.ndim(v) for v in varied) else 1
    aft, forward, half = (np.empty(count) for _ in range(3))
    middle = math.degrees(math.atan2(way.n[1], way.n[2]))
    # Across the plane of shaft line and arm, and in it square to the shaft.
    level = math.hypot(way.n[1], way.n[2])
    across, out = (np.array([0.0, way.n[2], -way.n[1]]) / level, np.array([0.0, way.n[1], way.n[2]]) / level)
    turn = [[float(a @ d) for a in (way.u, way.v, way.n)] for d in (across, out, np.array([1.0, 0.0, 0.0]))]
    for part, (cb, tb, cp, tp, start, end, r, x0, edge) in _lots(count, *varied):
        own, points = _part_of(arm, edge, part), POINTS // 2 + 1 if way.even and count > 1 else None  # mirror images
        x, y = _ring(own, cb, tb, points, count == 1)
        gain: tuple[Floats, Floats] | None = None
        if not _prismatic(arm):
            if kind_of(own.shape).scales and count > 1:
                gain = _ring(own, cp - cb, tp - tb, points)
            else:
                x2, y2 = _ring(own, cp, tp, points, count == 1)
                gain = x2 - x, y2 - y
        a_side, a_out, a_x = (_sum(x, y, start, t) for t in turn)
        b_side, b_out, b_x = (_sum(gain[0] if gain else 0.0, gain[1] if gain else 0.0, end - start, t) for t in turn)
        # Each generator a + k b leaves the barrel where its distance from the shaft line is the barrel's radius.
        aa = _into(np.add, b_side * b_side, b_out * b_out)
        ab = _into(np.add, a_side * b_side, a_out * b_out)
        away = _into(np.multiply, _into(np.add, a_side * a_side, a_out * a_out - r * r), aa)
        root = _into(np.subtract, ab * ab, away)
        missed = root.min() <= 0.0
        k = _into(np.maximum, root, 0.0)
        k = _into(np.divide, _into(np.subtract, np.sqrt(k, out=k), ab), aa)
        side, along = _into(np.add, k * b_side, a_side), _into(np.add, k * b_x, a_x)
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
    return OnBarrel(aft + mid, forward + mid, middle, half)


def _prismatic(arm: ArmInputs) -> bool:
    """Return whether an arm has one section all along."""
    return arm.chord_barrel_mm is arm.chord_palm_mm and arm.thickness_barrel_mm is arm.thickness_palm_mm


def _sizes_of(arm: ArmInputs) -> tuple[Num, ...]:
    """Chord and thickness at the barrel and at the palm, start and end."""
    at_barrel, at_palm = (arm.chord_barrel_mm, arm.thickness_barrel_mm), (arm.chord_palm_mm, arm.thickness_palm_mm)
    return (*at_barrel, *at_palm, arm.start_mm, arm.end_mm)


def _sum(x: Num, y: Num, s: Num, turn: Sequence[float]) -> Num:
    """x, y and s times three numbers; what is multiplied by nothing is left out."""
    total: Num = 0.0
    for value, factor in zip((x, y, s), turn, strict=True):
        if abs(factor) > 1e-15 and not (isinstance(value, float) and value == 0.0):
            total = total + (value if factor == 1.0 else value * factor)
    return total


def _part_of(arm: ArmInputs, edge: Num, part: slice) -> ArmInputs:
    """An arm with the edges of a lot."""
    if not kind_of(arm.shape).broad_edges:
        return arm
    half = arm.half_round
    return replace(arm, edge_radius_mm=edge, half_round=half[part] if isinstance(half, np.ndarray) else half)


# --- on the palm ----------------------------------------------------------------------------------------------------

THIN_EDGE = 0.4  # of a root, by which its toe at a thin edge may reach beyond the polygon's


@dataclass(frozen=True, slots=True, eq=False)
class OnPalm:
    """An arm on its palm, mm: least distance of the root's toe inside the outline; of any bolt hole's centre from the
    toe; and of any centre from the arm up to the height of a tool."""

    toe_inside_mm: Num
    hole_to_toe_mm: Num
    hole_to_arm_mm: Num


def on_palm(c: Struts, index: int, height_mm: float) -> OnPalm:
    """Return how an arm stands on its palm. height_mm: to which a tool on a bolt must stay clear, at most half the
    drop.

    >>> round(on_palm(Struts.of(shipped("canal-tender")), 0, 25.0).toe_inside_mm, 3)
    32.0
    """
    arm, way = c.inputs.arms[index], directions(c, index)
    palm, shape = c.inputs.palms[arm.palm_index], c.palms[arm.palm_index]
    holes_u, holes_v = np.asarray(palm.holes_u_mm), np.asarray(palm.holes_v_mm)
    top = np.minimum(height_mm, c.drop_mm / 2)
    root_at = tuple((arm.x_mm if i == 0 else 0.0) - palm.zero_mm[i] for i in range(3))
    away = [sum(r * float(a[i]) for i, r in enumerate(root_at)) for a in (way.palm_u, way.palm_v, way.palm_n)]
    varied = (
        *_sizes_of(arm),
        palm.thickness_mm,
        arm.palm_root_mm,
        top,
        *away,
        arm.edge_radius_mm,
        shape.middle_u_mm,
        shape.middle_v_mm,
        shape.core_u_mm,
        shape.core_v_mm,
        shape.radius_mm,
    )
    moving = holes_u.ndim > 1
    count = c.count if moving or any(np.ndim(v) for v in varied) else 1
    inside, toe_gap, arm_gap = (np.empty(count) for _ in range(3))
    for part, own in _lots(count, *varied):
        cb, tb, cp, tp, start, end, thick, root, high, u0, v0, h0, edge, mu, mv, ku, kv, radius = own
        size = min(LOT, count - part.start)
        cut = _Cut(way, _part_of(arm, edge, part), (cb, tb, cp, tp), start, end, (u0, v0, h0))
        toe = _toe(c, cut, cut.at(thick), root)
        boxes = _boxes(*toe)
        if shape.fixed:
            points = np.stack(np.broadcast_arrays(toe[0] - mu, toe[1] - mv), axis=-1)
            inside[part] = shape.outline.distance_to_boundary(points).min(axis=0)
        else:
            inside[part] = _all_inside_mm(toe, boxes[-1], mu, mv, ku, kv, radius)
        u, v = (
            np.ascontiguousarray(h[part].T) if moving else np.repeat(h[:, None], size, axis=1)
            for h in (holes_u, holes_v)
        )
        near = _nearest(u, v, toe, _beyond_pieces(boxes, u, v), np.full(size, np.inf))
        free = near
        for h in (high / 2, high):
            # Seldom is a hole nearer to the arm's upper part than to the toe of its root.
            bounds = _beyond(cut.box(thick + h), u, v)
            if np.any(bounds < free):
                free = _nearest(u, v, cut.at(thick + h), bounds, free)
        # At a thin edge the polygon's corner has one direction where the ball goes round: on the safe side.
        short = THIN_EDGE * root if kind_of(arm.shape).thin_edges else 0.0
        toe_gap[part], arm_gap[part] = near - short, free
    if count == 1:
        return OnPalm(float(inside[0]), float(toe_gap[0]), float(arm_gap[0]))
    return OnPalm(inside, toe_gap, arm_gap)


_Box: TypeAlias = tuple[Num, Num, Num, Num]
"""Least and greatest u, least and greatest v."""


_PIECES = 6


def _box(u: Floats, v: Floats) -> _Box:
    return u.min(axis=0), u.max(axis=0), v.min(axis=0), v.max(axis=0)


def _beyond(box: _Box, u: Floats, v: Floats) -> Floats:
    """No more than the distances of points (holes, candidates) from what the box holds; -inf inside the box."""
    reach = np.maximum(np.maximum(box[0] - u, u - box[1]), np.maximum(box[2] - v, v - box[3]))
    return np.where(reach > 0, reach, -np.inf)


def _boxes(u: Floats, v: Floats) -> list[_Box]:
    """Return the boxes of pieces of a closed polygon, each with both its ends, and last the box of the whole."""
    step = math.ceil(len(u) / _PIECES)
    made: list[_Box] = []
    for start in range(0, len(u), step):
        made.append(_box(u[start : start + step + 1], v[start : start + step + 1]))
    low_u, high_u, low_v, high_v = made[-1]  # the last one goes on to the first point
    made[-1] = (np.minimum(low_u, u[0]), np.maximum(high_u, u[0]), np.minimum(low_v, v[0]), np.maximum(high_v, v[0]))
    sides = [
        functools.reduce(f, side) for f, side in zip((np.minimum, np.maximum) * 2, zip(*made, strict=True), strict=True)
    ]
    return [*made, (sides[0], sides[1], sides[2], sides[3])]


def _beyond_pieces(boxes: Sequence[_Box], u: Floats, v: Floats) -> Floats:
    """As `_beyond` of the last box, closer: by the nearest of the others."""
    *pieces, whole = boxes
    least = functools.reduce(
        np.minimum, [np.maximum(np.maximum(b[0] - u, u - b[1]), np.maximum(b[2] - v, v - b[3])) for b in pieces]
    )
    outside = (u < whole[0]) | (u > whole[1]) | (v < whole[2]) | (v > whole[3])
    return np.where(outside, np.maximum(least, 0.0), -np.inf)


def _all_inside_mm(
    points: tuple[Floats, Floats], box: _Box, middle_u: Num, middle_v: Num, core_u: Num, core_v: Num, radius: Num
) -> Floats:
    """Return the least distance of points (points, candidates), or (points, 1) of all, inside a rectangle with round
    corners.

    Where their box keeps out of the corners the straight sides decide.
    """
    low_u, high_u, low_v, high_v = box
    du = np.maximum(high_u - middle_u, middle_u - low_u) - core_u
    dv = np.maximum(high_v - middle_v, middle_v - low_v) - core_v
    found = radius - np.maximum(du, dv) + np.zeros(points[0].shape[1])
    corner = np.nonzero(np.broadcast_to((du > 0) & (dv > 0), found.shape))[0]
    if len(corner):
        u, v = (
            (p[:, corner] if p.shape[1] > 1 else p) - _those(m, corner)
            for p, m in zip(points, (middle_u, middle_v), strict=True)
        )
        sizes = (_those(s, corner) for s in (core_u, core_v, radius))
        found[corner] = np.min(box_inside_mm(u, v, *sizes), axis=0)
    return np.asarray(found)


def _those(size: Num, which: NDArray[np.intp]) -> Num:
    return size[which] if isinstance(size, np.ndarray) and size.ndim else size


def _nearest(u: Floats, v: Floats, polygon: tuple[Floats, Floats], bounds: Floats, known: Floats) -> Floats:
    """Return the least distance of any hole (holes, candidates) from a polygon, or what is known where that is less.

    Holes that the bounds show to be farther than one that is known are left out, candidate by candidate.
    """
    turning = _turning(polygon[0][:, 0], polygon[1][:, 0])
    # First of each candidate the hole that seems nearest, then all that may be nearer than it.
    who = np.arange(len(known))
    seems = np.argmin(bounds, axis=0)
    found = np.minimum(known, distance(u[seems, who], v[seems, who], *polygon, who, turning))
    may = bounds < found
    may[seems, who] = False
    holes, who = np.nonzero(may)
    if len(who):
        np.minimum.at(found, who, distance(u[holes, who], v[holes, who], *polygon, who, turning))
    return found


class _Cut:
    """An arm of a lot, ready to be cut by planes parallel to the hull face; points in palm axes.

    A point of the section is x, y times sizes that go linearly along the arm, so where a plane meets its line is a sum
    of 1, x, y and x y over another such sum, whatever the lean: four products for a whole polygon.
    """

    def __init__(
        self, way: Directions, arm: ArmInputs, sizes: Sequence[Num], start: Num, end: Num, away: Sequence[Num]
    ) -> None:
        hull = (way.palm_u, way.palm_v, way.palm_n)
        self.turn = [[float(a @ h) for a in (way.u, way.v, way.n)] for h in hull]
        self.away, self.start, self.long = away, start, end - start
        # Where an arm leans a plane may cut it a little beyond its ends.
        self.widest = 1.05 * np.maximum(sizes[0], sizes[2]) / 2, 1.05 * np.maximum(sizes[1], sizes[3]) / 2
        self.unit = kind_of(arm.shape).scales
        self.prismatic = _prismatic(arm)
        if self.unit:
            self.basis = _basis(arm.shape)
            self.sizes = sizes
            self.gain: Any = (sizes[2] - sizes[0], sizes[3] - sizes[1])
            if not self.prismatic:
                nu, nv, nn = self.turn[2]
                self.inverse = 1.0 / self._over(self.long * nn, self.gain[0] * nu, self.gain[1] * nv, 0.0)
        else:
            self.x, self.y = _ring(arm, sizes[0], sizes[1])
            if not self.prismatic:
                x2, y2 = _ring(arm, sizes[2], sizes[3])
                self.gain = (x2 - self.x, y2 - self.y)

    def at(self, below: Num) -> tuple[Floats, Floats]:
        """Return the points round the arm on the plane `below` mm under the hull face."""
        (uu, uv, un), (vu, vv, vn), (nu, nv, nn) = self.turn
        u0, v0, h0 = self.away
        if self.prismatic:
            s = (-below - h0) / nn
            rows = (
                (uu - nu / nn * un, uv - nv / nn * un, u0 + s * un),
                (vu - nu / nn * vn, vv - nv / nn * vn, v0 + s * vn),
            )
            if self.unit:
                c, t = self.sizes[0], self.sizes[1]
                one, two = (self._over(k, x * c, y * t, 0.0) for x, y, k in rows)
            else:
                one, two = (self.x * x + self.y * y + k for x, y, k in rows)
            return one, two
        if not self.unit:
            gx, gy = self.gain
            k = (-below - h0 - self.start * nn - self.x * nu - self.y * nv) / (gx * nu + gy * nv + self.long * nn)
            x, y, s = self.x + k * gx, self.y + k * gy, self.start + k * self.long
            return x * uu + y * uv + s * un + u0, x * vu + y * vv + s * vn + v0
        c, t = self.sizes[0], self.sizes[1]
        gc, gt = self.gain
        # k = (a - x c nu - y t nv) / (b + x gc nu + y gt nv)
        a, b = -below - h0 - self.start * nn, self.long * nn
        mixed = nv * (c * gt - gc * t)
        inverse = self.inverse
        out = []
        for wu, wv, wn, w0 in ((uu, uv, un, u0), (vu, vv, vn, v0)):
            s0 = w0 + wn * self.start
            even = s0 * b + wn * self.long * a
            by_x = wu * (c * b + gc * a) + gc * nu * s0 - wn * self.long * c * nu
            by_y = wv * (t * b + gt * a) + gt * nv * s0 - wn * self.long * t * nv
            by_xy = wu * mixed - wv * nu * (c * gt - gc * t)
            whole = self._over(even, by_x, by_y, by_xy)
            whole *= inverse
            out.append(whole)
        return out[0], out[1]

    def box(self, below: Num) -> _Box:
        """Return a box that surely holds the points on that plane: of the larger section's corners, cut there."""
        (uu, uv, un), (vu, vv, vn), (nu, nv, nn) = self.turn
        u0, v0, h0 = self.away
        long, thick = self.widest
        s = (-below - h0) / nn
        reach_u = long * abs(uu - nu / nn * un) + thick * abs(uv - nv / nn * un)
        reach_v = long * abs(vu - nu / nn * vn) + thick * abs(vv - nv / nn * vn)
        return (u0 + s * un - reach_u, u0 + s * un + reach_u, v0 + s * vn - reach_v, v0 + s * vn + reach_v)

    def down(self) -> tuple[Num, Num, Num]:
        """Return how far a side's line goes along u and v, both times the last, per mm away from the hull."""
        (uu, uv, un), (vu, vv, vn), (nu, nv, nn) = self.turn
        if self.prismatic:
            return -un / nn, -vn / nn, 1.0
        gx, gy = self.gain
        if not self.unit:
            return (
                gx * uu + gy * uv + self.long * un,
                gx * vu + gy * vv + self.long * vn,
                -1.0 / (gx * nu + gy * nv + self.long * nn),
            )
        one, two = (self._over(-self.long * c, -gx * a, -gy * b, 0.0) for a, b, c in ((uu, uv, un), (vu, vv, vn)))
        return one, two, self.inverse

    def _over(self, *factors: Num) -> Floats:
        """Return the sums of 1, x, y and x y times these factors, (points, candidates)."""
        rows = np.stack([np.atleast_1d(f) for f in np.broadcast_arrays(*factors)])
        return np.asarray(self.basis @ rows)


@functools.cache
def _basis(shape: str) -> Floats:
    x, y = _unit(shape)
    return np.stack([np.ones_like(x), x, y, x * y], axis=1)


def _toe(c: Struts, cut: _Cut, polygon: tuple[Floats, Floats], root: Num) -> tuple[Floats, Floats]:
    """Points where the root's fillet or weld ends, beside each point of the arm on the water face."""
    u, v = polygon
    sign = _turning(u[:, 0], v[:, 0])
    out_u, out_v = np.empty_like(v), np.empty_like(u)
    np.subtract(v[2:], v[:-2], out=out_u[1:-1])
    np.subtract(u[:-2], u[2:], out=out_v[1:-1])
    out_u[0], out_u[-1], out_v[0], out_v[-1] = v[1] - v[-1], v[0] - v[-2], u[-1] - u[1], u[-2] - u[0]
    size2, work = out_u * out_u, out_v * out_v
    size2 += work
    np.maximum(size2, 1e-24, out=size2)
    if c.own.construction == "welded":
        offset = (sign * root) / np.sqrt(size2, out=size2)
    else:
        # root / tan((90 deg - lean) / 2) is root (m + sqrt(1 + m2)) with the lean's tangent m
        down_u, down_v, per_mm = cut.down()
        lean = _into(np.add, np.multiply(out_u, down_u), np.multiply(out_v, down_v, out=work))
        lean = _into(np.multiply, lean, per_mm)
        offset = _into(np.add, np.multiply(lean, lean, out=work), size2)
        np.sqrt(offset, out=offset)
        offset *= sign
        offset += lean
        offset /= size2
        offset = _into(np.multiply, offset, root)
    return _into(np.add, _into(np.multiply, out_u, offset), u), _into(np.add, _into(np.multiply, out_v, offset), v)


def _turning(u: Floats, v: Floats) -> float:
    return math.copysign(1.0, float(u[:-1] @ v[1:] - u[1:] @ v[:-1] + u[-1] * v[0] - u[0] * v[-1]))


def distance(
    u: Floats, v: Floats, polygon_u: Floats, polygon_v: Floats, who: NDArray[np.intp], turning: float
) -> Floats:
    """Return distances (k,) of points u, v (k,) from convex polygons: columns `who` (k,) of the corners (n, all), or
    the one column (n, 1); positive outside.

    turning: 1 when the polygons go counter-clockwise, else -1. The nearest corner is sought from coarse to fine; the
    nearest point lies on one of its two sides.

    >>> u, v = np.array([[0.0], [1.0], [1.0], [0.0]]), np.array([[0.0], [0.0], [1.0], [1.0]])  # a square
    >>> distance(np.array([3.0, 0.5]), np.array([0.5, 0.9]), u, v, np.array([0, 0]), 1.0).round(3).tolist()
    [2.0, -0.1]
    """
    n, width, k = len(polygon_u), polygon_u.shape[1], len(u)
    column: Any = who if width > 1 else 0
    rough_u, rough_v = polygon_u[::_COARSE], polygon_v[::_COARSE]
    if width > 1:
        rough_u, rough_v = rough_u.take(who, axis=1), rough_v.take(who, axis=1)
    du, dv = rough_u - u, rough_v - v
    du *= du
    dv *= dv
    du += dv
    at = np.argmin(du, axis=0)
    best = du.ravel().take(at * k + np.arange(k))
    at *= _COARSE
    flat_u, flat_v = polygon_u.ravel(), polygon_v.ravel()

    def corner(index: NDArray[np.intp]) -> tuple[Floats, Floats]:
        place = index % n * width + column
        return flat_u.take(place) - u, flat_v.take(place) - v

    step = _COARSE // 2
    while step:
        for other in (at + step, at - step):
            du, dv = corner(other)
            there = du * du + dv * dv
            nearer = there < best
            at, best = np.where(nearer, other, at), np.where(nearer, there, best)
        step //= 2
    au, av = corner(at)
    outside = np.zeros(k, dtype=bool)
    for other, way in ((at + 1, turning), (at - 1, -turning)):
        bu, bv = corner(other)
        eu, ev = bu - au, bv - av
        t = np.clip(-(au * eu + av * ev) / np.maximum(eu * eu + ev * ev, 1e-18), 0.0, 1.0)
        ru, rv = au + t * eu, av + t * ev
        best = np.minimum(best, ru * ru + rv * rv)
        outside |= way * (ev * au - eu * av) < 0
    reach = np.sqrt(best)
    return np.asarray(np.where(outside, reach, -reach))
