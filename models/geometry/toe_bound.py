"""Where the arms of many struts stand on their palms, by a bound that is fast enough for a search: never farther inside
the outline or from the holes than the root's own toe (`footprints.on_palm`).

A ball on palm and arm touches the arm on one of its straight lines. So its middle is a radius away from that line, and
at that height over the palm within a radius over the cosine of the line's lean; its toe is under it. A bead's toe is a
leg away from where the arm meets the palm. Polygons are (points, struts).
"""

from __future__ import annotations

import copy
import functools
import math
from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats, Num
from strutwright.models.geometry.footprints import (
    LOT,
    Directions,
    OnPalm,
    beyond_polygon_mm,
    directions,
    lots,
    part_of,
    prismatic,
    ring,
    sizes_of,
    thin_edge_mm,
    unit,
)
from strutwright.models.input_parts import ArmInputs, PalmInputs
from strutwright.models.sections import kind_of
from strutwright.models.struts import Struts, box_inside_mm

_COARSE = 4
_FEW = 24
"""Corners of a polygon up to which every side of it is looked at."""
_SQUARE = 1e-12


def on_palm(c: Struts, index: int, height_mm: float) -> OnPalm:
    """Return how an arm stands on its palm, never better than `footprints.on_palm` says. height_mm: as there.

    >>> round(on_palm(Struts.of(shipped("canal-tender")), 0, 25.0).toe_inside_mm, 3)
    32.0
    """
    arm, way = c.inputs.arms[index], directions(c, index)
    palm, shape = c.inputs.palms[arm.palm_index], c.palms[arm.palm_index]
    top = np.minimum(height_mm, c.drop_mm / 2)
    root_at = tuple((arm.x_mm if i == 0 else 0.0) - palm.zero_mm[i] for i in range(3))
    away = [sum(r * float(a[i]) for i, r in enumerate(root_at)) for a in (way.palm_u, way.palm_v, way.palm_n)]
    holes_u, holes_v = _unlike_holes(way, palm, away[1])
    varied = (
        *sizes_of(arm),
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
        beyond_polygon_mm(arm, on_plane=True) + thin_edge_mm(arm),
    )
    moving = holes_u.ndim > 1
    count = c.count if moving or any(np.ndim(v) for v in varied) else 1
    inside, toe_gap, arm_gap = (np.empty(count) for _ in range(3))
    for part, own in lots(count, *varied):
        cb, tb, cp, tp, start, end, thick, root, high, u0, v0, h0, edge, mu, mv, ku, kv, radius, beyond = own
        size = min(LOT, count - part.start)
        cut = _Cut(way, part_of(arm, edge, (tb, tp)), (cb, tb, cp, tp), start, end, (u0, v0, h0))
        lean, welded = cut.lean(), c.own.construction == "welded"
        at, reach = cut.at(thick if welded else thick + root), root if welded else lean * root
        beyond = lean * beyond
        reach = reach + beyond
        boxes = _boxes(*at)
        if shape.fixed:
            points = np.stack(np.broadcast_arrays(at[0] - mu, at[1] - mv), axis=-1)
            inside[part] = shape.outline.distance_to_boundary(points).min(axis=0) - reach
        else:
            inside[part] = _all_inside_mm(at, boxes[-1], mu, mv, ku, kv, radius) - reach
        u, v = (
            np.ascontiguousarray(h[:, part]) if moving else np.repeat(h[:, None], size, axis=1)
            for h in (holes_u, holes_v)
        )
        near = _nearest(u, v, at, _beyond_pieces(boxes, u, v), np.full(size, np.inf))
        free = near - (reach - beyond)
        for h in (high, high / 2):
            # Seldom is a hole nearer to the arm's upper part than to its root's toe, or to its middle than to both.
            bounds = _beyond(cut.box(thick + h), u, v)
            who = np.flatnonzero(np.any(bounds < free, axis=0))
            if len(who):
                polygon = cut.some(who).at(_those(thick + h, who))
                free[who] = _nearest(u[:, who], v[:, who], polygon, bounds[:, who], free[who])
        toe_gap[part], arm_gap[part] = near - reach, free - beyond
    if count == 1:
        return OnPalm(float(inside[0]), float(toe_gap[0]), float(arm_gap[0]))
    return OnPalm(inside, toe_gap, arm_gap)


def _unlike_holes(way: Directions, palm: PalmInputs, off_middle_mm: Num) -> tuple[Floats, Floats]:
    """Return u and v of a palm's holes, (holes,) or (holes, candidates): of two that are mirror images beside an arm
    that is its own, the first."""
    us, vs = np.asarray(palm.holes_u_mm).T, np.asarray(palm.holes_v_mm).T
    aslant = (way.v @ way.palm_u, way.v @ way.palm_n, way.u @ way.palm_v, way.n @ way.palm_v)
    if not way.even or np.max(np.abs(aslant)) > _SQUARE or np.max(np.abs(off_middle_mm)) > _SQUARE:
        return us, vs
    kept: list[int] = []
    for n in range(len(us)):
        if not any(_same(us[k], us[n]) and _same(vs[k], -vs[n]) for k in kept):
            kept.append(n)
    return us[kept], vs[kept]


def _same(one: Floats, other: Floats) -> bool:
    """Whether they are the same; most that differ do so at once."""
    return bool(one.flat[0] == other.flat[0]) and np.array_equal(one, other)


_Box: TypeAlias = tuple[Num, Num, Num, Num]
"""Least and greatest u, least and greatest v."""


_PIECES = 6


def _box(u: Floats, v: Floats) -> _Box:
    return u.min(axis=0), u.max(axis=0), v.min(axis=0), v.max(axis=0)


def _beyond(box: _Box, u: Floats, v: Floats) -> Floats:
    """No more than the distances of points (holes, candidates) from what the box holds; -inf inside the box."""
    beside, across = np.maximum(box[0] - u, u - box[1]), np.maximum(box[2] - v, v - box[3])
    reach = np.hypot(np.maximum(beside, 0.0), np.maximum(across, 0.0))
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
    return size[..., which] if isinstance(size, np.ndarray) and size.ndim and size.shape[-1] > 1 else size


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
    flat = np.flatnonzero(may)
    if len(flat):
        who = flat % len(known)
        np.minimum.at(found, who, distance(u.ravel().take(flat), v.ravel().take(flat), *polygon, who, turning))
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
        self.prismatic = prismatic(arm)
        if self.unit:
            self.shape = arm.shape
            self.sizes = sizes
            self.gain: Any = (sizes[2] - sizes[0], sizes[3] - sizes[1])
            if not self.prismatic:
                nu, nv, nn = self.turn[2]
                self.inverse = 1.0 / self._over(self.long * nn, self.gain[0] * nu, self.gain[1] * nv, 0.0)
        else:
            self.x, self.y = ring(arm, sizes[0], sizes[1])
            if not self.prismatic:
                x2, y2 = ring(arm, sizes[2], sizes[3])
                self.gain = (x2 - self.x, y2 - self.y)

    def some(self, which: NDArray[np.intp]) -> _Cut:
        """Return it of some of the lot."""
        made = copy.copy(self)
        for name, held in vars(self).items():
            if name not in ("turn", "widest"):
                of_each = isinstance(held, (tuple, list))
                setattr(made, name, tuple(_those(v, which) for v in held) if of_each else _those(held, which))
        return made

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

    def lean(self) -> Num:
        """Return one over the cosine of the greatest lean of the arm's straight lines from the palm's normal.

        Of a section that scales, of the lines at a few points round about it: none between them leans more.
        """
        (uu, uv, un), (vu, vv, vn), (nu, nv, nn) = self.turn
        if self.prismatic:
            return math.sqrt(un * un + vn * vn + nn * nn) / abs(nn)
        gx, gy = self.gain
        if not self.unit:
            along = gx * uu + gy * uv + self.long * un
            across = gx * vu + gy * vv + self.long * vn
            down = gx * nu + gy * nv + self.long * nn
        else:
            along, across, down = (
                _round_about(self.shape) @ _rows(self.long * n, gx * x, gy * y, 0.0)
                for x, y, n in ((uu, uv, un), (vu, vv, vn), (nu, nv, nn))
            )
        tangent2 = (along * along + across * across) / (down * down)
        longest: Num = np.sqrt(1.0 + tangent2.max(axis=0))
        return longest

    def _over(self, *factors: Num) -> Floats:
        """Return the sums of 1, x, y and x y times these factors, (points, candidates)."""
        return np.asarray(_basis(self.shape) @ _rows(*factors))


def _rows(*factors: Num) -> Floats:
    return np.stack([np.atleast_1d(f) for f in np.broadcast_arrays(*factors)])


@functools.cache
def _basis(shape: str) -> Floats:
    x, y = unit(shape)
    return np.stack([np.ones_like(x), x, y, x * y], axis=1)


@functools.cache
def _round_about(shape: str) -> Floats:
    """As `_basis`, of the corners of a polygon that holds the section: every third of its points, moved out."""
    x, y = unit(shape)
    few = np.stack([x, y], axis=1)[::3]
    side = np.roll(few, -1, axis=0) - few
    outward = np.stack([side[:, 1], -side[:, 0]], axis=1)
    few = few * np.max(outward @ np.stack([x, y]) / np.sum(outward * few, axis=1)[:, None])
    return np.stack([np.ones(len(few)), few[:, 0], few[:, 1], few[:, 0] * few[:, 1]], axis=1)


def _turning(u: Floats, v: Floats) -> float:
    return math.copysign(1.0, float(u[:-1] @ v[1:] - u[1:] @ v[:-1] + u[-1] * v[0] - u[0] * v[-1]))


def distance(
    u: Floats, v: Floats, polygon_u: Floats, polygon_v: Floats, who: NDArray[np.intp], turning: float
) -> Floats:
    """Return distances (k,) of points u, v (k,) from convex polygons: columns `who` (k,) of the corners (n, all), or
    the one column (n, 1); positive outside.

    turning: 1 when the polygons go counter-clockwise, else -1. Of polygons with many corners the nearest one is sought
    from coarse to fine; the nearest point lies on one of its two sides.

    >>> u, v = np.array([[0.0], [1.0], [1.0], [0.0]]), np.array([[0.0], [0.0], [1.0], [1.0]])  # a square
    >>> distance(np.array([3.0, 0.5]), np.array([0.5, 0.9]), u, v, np.array([0, 0]), 1.0).round(3).tolist()
    [2.0, -0.1]
    """
    n, width, k = len(polygon_u), polygon_u.shape[1], len(u)
    if n <= _FEW:
        if width > 1:
            polygon_u, polygon_v = polygon_u.take(who, axis=1), polygon_v.take(who, axis=1)
        return _from_all_sides(polygon_u - u, polygon_v - v, turning)
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


def _from_all_sides(au: Floats, av: Floats, turning: float) -> Floats:
    """Return the distances of the origin from convex polygons (n, k), the nearest point sought on every side."""
    eu, ev = np.empty_like(au), np.empty_like(av)
    for made, corners in ((eu, au), (ev, av)):
        np.subtract(corners[1:], corners[:-1], out=made[:-1])
        np.subtract(corners[0], corners[-1], out=made[-1])
    beside = ev * au
    beside -= eu * av
    outside = (turning * beside).min(axis=0) < 0
    t = au * eu
    t += av * ev
    there = eu * eu
    there += ev * ev
    np.maximum(there, 1e-18, out=there)
    t /= there
    np.negative(t, out=t)
    np.clip(t, 0.0, 1.0, out=t)
    eu *= t
    eu += au
    ev *= t
    ev += av
    eu *= eu
    ev *= ev
    eu += ev
    reach = np.sqrt(eu.min(axis=0))
    return np.asarray(np.where(outside, reach, -reach))
