"""Least distances between simple convex bodies, and from the propeller's tip circle to a plane. Pure numpy, mm.

A body is a hull of points or a body of revolution. `gap_mm` is positive between bodies that stand apart and negative
by how far they must be moved to come free. Both follow from geometry; the tests hold them against closed forms and
against triangle meshes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.frames import Axes, Vector, unit

CLOSE_MM = 1e-5
"""How near the least distance is found, and under what distance two bodies count as touching."""
_ROUNDS = 400


class _Body:
    """What all bodies have in common: the box round them."""

    def support(self, way: Vector) -> Vector:
        """Return the body's point (3,) farthest along a direction (3,)."""
        raise NotImplementedError

    def reach(self, ways: Vector) -> Vector:
        """Return how far (mm, from the origin) the body reaches along each of the directions (n, 3)."""
        raise NotImplementedError

    @cached_property
    def box(self) -> tuple[Vector, Vector]:
        """The least and greatest coordinates, each (3,)."""
        return -self.reach(-np.eye(3)), self.reach(np.eye(3))

    @cached_property
    def middle(self) -> Vector:
        """The middle of the box (3,)."""
        return np.asarray((self.box[0] + self.box[1]) / 2)


@dataclass(frozen=True)
class Hull(_Body):
    """The convex hull of points (n, 3), mm."""

    points: Vector

    def support(self, way: Vector) -> Vector:
        return np.asarray(self.points[int(np.argmax(self.points @ way))])

    def reach(self, ways: Vector) -> Vector:
        return np.asarray((self.points @ ways.T).max(axis=0))


@dataclass(frozen=True)
class Round(_Body):
    """A convex body of revolution: a cylinder, a disc, a cone or a barrel.

    origin (3,): a point of the axis; axis (3,): its direction, length 1; along, radii (n,): distances from the origin
    along the axis and the radii there, mm, straight between them.
    """

    origin: Vector
    axis: Vector
    along: Vector
    radii: Vector

    def support(self, way: Vector) -> Vector:
        rise = float(way @ self.axis)
        square = way - rise * self.axis
        flat = math.sqrt(float(square @ square))
        k = int(np.argmax(self.along * rise + self.radii * flat))
        point = self.origin + self.along[k] * self.axis
        # Along the axis itself, what is left beside it is rounding and points anywhere.
        return np.asarray(point + self.radii[k] / flat * square if flat > 1e-9 * abs(rise) else point)

    def reach(self, ways: Vector) -> Vector:
        rise = ways @ self.axis
        flat = np.linalg.norm(ways - rise[:, None] * self.axis, axis=1)
        return np.asarray(ways @ self.origin + (self.along[:, None] * rise + self.radii[:, None] * flat).max(axis=0))

    def sides(self, count: int) -> Hull:
        """Return the hull of points round it, `count` to a ring: a little smaller than the body."""
        u = unit(np.cross(self.axis, np.eye(3)[int(np.argmin(np.abs(self.axis)))]))
        v = np.cross(self.axis, u)
        turn = 2 * np.pi * np.arange(count) / count
        ring = np.cos(turn)[:, None] * u + np.sin(turn)[:, None] * v
        return Hull(
            np.concatenate(
                [self.origin + a * self.axis + r * ring for a, r in zip(self.along, self.radii, strict=True)]
            )
        )


Body: TypeAlias = Hull | Round


def cylinder(start: Vector, axis: Vector, length_mm: float, radius_mm: float) -> Round:
    """Return a cylinder from a point (3,) along a direction (3,) of length 1; length 0 is a disc. mm.

    >>> cylinder(np.zeros(3), np.array([0.0, 0.0, 1.0]), 10.0, 5.0).box[1].tolist()
    [5.0, 5.0, 10.0]
    """
    return Round(
        np.asarray(start, dtype=float),
        np.asarray(axis, dtype=float),
        np.array([0.0, length_mm]),
        np.array([radius_mm, radius_mm]),
    )


# --- between two bodies ---------------------------------------------------------------------------------------------


def gap_mm(first: Body, second: Body) -> float:
    """Return the least distance (mm) between two convex bodies; negative: how far one must move to be free.

    Apart: to 1e-5 mm, never more than it is (Wolfe's way to the point of a hull that is nearest to the origin, on the
    difference of the two bodies; Mathematical Programming 11, 1976, from memory). Into each other: the least move
    found among many directions, to about a hundredth.

    >>> up = np.array([0.0, 0.0, 1.0])
    >>> one, other = (cylinder(np.array([x, 0.0, 0.0]), up, 10.0, 5.0) for x in (0.0, 25.0))
    >>> round(gap_mm(one, other), 4)  # 25 - 2 x 5
    15.0
    """
    apart = _apart(first, second)
    return apart if apart > CLOSE_MM else -_into(first, second)


def _apart(first: Body, second: Body) -> float:
    way = first.middle - second.middle
    if not way.any():
        return 0.0
    best = 0.0
    near = first.support(-way) - second.support(way)
    held, shares = near[None, :], np.ones(1)
    for _ in range(_ROUNDS):
        size = math.sqrt(float(near @ near))
        if size < CLOSE_MM:
            return 0.0
        new = first.support(-near) - second.support(near)
        # Nothing of the difference lies nearer to the origin than this plane.
        best = max(best, float(new @ near) / size)
        if size - best < CLOSE_MM or np.abs(held - new).max(axis=1).min() < 1e-12 * size:
            return best
        held, shares = np.vstack([held, new]), np.append(shares, 0.0)
        while True:
            wanted = _nearest_shares(held)
            if wanted.min() > 1e-12:
                shares = wanted
                break
            falling = wanted <= 1e-12
            with np.errstate(divide="ignore", invalid="ignore"):
                steps = np.where(falling, shares / np.maximum(shares - wanted, 1e-300), np.inf)
            shares = shares + min(1.0, float(steps.min())) * (wanted - shares)
            keep = shares > 1e-12
            keep[int(np.argmin(np.where(falling, steps, np.inf)))] = False
            if not keep.any():
                keep[int(np.argmax(shares))] = True
            held, shares = held[keep], shares[keep] / shares[keep].sum()
            if len(held) == 1:
                break
        near = shares @ held
    return best


def _nearest_shares(points: Vector) -> Vector:
    """Return the weights (n,), of sum 1, of the point nearest to the origin in the plane, line or space of points."""
    products = points @ points.T
    scale = float(np.trace(products)) / len(points)
    try:
        found = np.linalg.solve(products + scale, np.ones(len(points)))
    except np.linalg.LinAlgError:
        found = np.linalg.lstsq(products + scale, np.ones(len(points)), rcond=None)[0]
    return np.asarray(found / found.sum())


def _all_round(count: int) -> Vector:
    k = np.arange(count) + 0.5
    z, turn = 1 - 2 * k / count, math.pi * (1 + math.sqrt(5)) * k
    flat = np.sqrt(1 - z * z)
    return np.stack([flat * np.cos(turn), flat * np.sin(turn), z], axis=1)


# Each with its mirror image, so that port and starboard are looked at alike.
_MIRROR = np.array([1.0, -1.0, 1.0])
_SPHERE = np.vstack([_all_round(300), _MIRROR * _all_round(300), np.eye(3), -np.eye(3)])
_ROUND = np.vstack([_all_round(40), _MIRROR * _all_round(40)])


def _into(first: Body, second: Body) -> float:
    """Return the least move (mm) that parts two bodies, 0 when they only touch."""
    own = [way for b in (first, second) if isinstance(b, Round) for way in (b.axis, -b.axis)]
    ways = np.vstack([_SPHERE, *own])
    deep = first.reach(ways) + second.reach(-ways)
    best = float(deep.min())
    starts: list[Vector] = []
    for k in np.argsort(deep, kind="stable"):  # from a few places: there may be more than one way out
        if all(float(ways[k] @ s) < 0.97 for s in starts):
            starts.append(ways[k])
        if len(starts) == 6:
            break
    for way in starts:
        spread, here = 0.12, math.inf
        while spread > 1e-5:
            near = np.vstack([way, way + spread * _ROUND])
            # The way out of a rod is most often square to it.
            near = np.vstack(
                [near, *(near - (near @ b.axis)[:, None] * b.axis for b in (first, second) if isinstance(b, Round))]
            )
            near /= np.maximum(np.linalg.norm(near, axis=1), 1e-9)[:, None]
            near = near[np.linalg.norm(near, axis=1) > 0.5]
            deep = first.reach(near) + second.reach(-near)
            k = int(np.argmin(deep))
            if float(deep[k]) > here - 1e-4 * (1.0 + abs(here)) * spread:
                spread *= 0.5
            if float(deep[k]) < here:
                here, way = float(deep[k]), near[k]
        best = min(best, here)
    return max(best, 0.0)


def _box_gap(first: Body, second: Body) -> float:
    low = np.maximum(first.box[0] - second.box[1], second.box[0] - first.box[1])
    return float(np.linalg.norm(np.maximum(low, 0.0)))


def least_gap_mm(first: Sequence[Body], second: Sequence[Body], enough_mm: float = math.inf) -> float:
    """Return the least gap (mm, as `gap_mm`) between the bodies of two groups; inf when one is empty.

    enough_mm: a gap beyond which the exact one is of no interest; the answer then is at least this much.

    >>> up = np.array([0.0, 0.0, 1.0])
    >>> near, far, other = (cylinder(np.array([x, 0.0, 0.0]), up, 10.0, 5.0) for x in (0.0, -40.0, 25.0))
    >>> round(least_gap_mm([near, far], [other]), 4)
    15.0
    """
    pairs = sorted(
        ((_box_gap(a, b), n, a, b) for n, (a, b) in enumerate((a, b) for a in first for b in second)),
        key=lambda pair: pair[:2],
    )
    best = math.inf
    for bound, _, a, b in pairs:
        if bound >= min(best, enough_mm):
            return min(best, bound) if best > enough_mm else best
        best = min(best, gap_mm(a, b))
    return best


# --- convex pieces of a plate ---------------------------------------------------------------------------------------


def convex_pieces(ring: Vector) -> list[Vector]:
    """Return convex polygons (k, 2) that together are a polygon (n, 2) which does not cross itself.

    >>> ell = np.array([(0.0, 0.0), (20.0, 0.0), (20.0, 5.0), (5.0, 5.0), (5.0, 20.0), (0.0, 20.0)])
    >>> len(convex_pieces(ell)), len(convex_pieces(ell[:3]))  # triangles: two less than corners
    (4, 1)
    """
    area2 = float(np.sum(ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1]))
    points = ring if area2 > 0 else ring[::-1]
    slack = 1e-9 * max(float(np.ptp(points)), 1.0) ** 2
    ahead, behind = np.roll(points, -1, axis=0) - points, points - np.roll(points, 1, axis=0)
    if np.all(behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0] >= -slack):
        return [points]
    left, out = list(range(len(points))), []
    while len(left) > 3:
        for n in range(len(left)):
            a, b, c = (points[left[(n + s) % len(left)]] for s in (-1, 0, 1))
            if _turn(a, b, c) <= 0:
                continue
            others = points[[k for m, k in enumerate(left) if m not in ((n - 1) % len(left), n, (n + 1) % len(left))]]
            inside = (
                (_turn(a, b, others.T) >= 0)
                & (_turn(b, c, others.T) >= 0)
                & (_turn(c, a, others.T) >= 0)
                & (np.abs(others - a).max(axis=1) > 1e-9)
                & (np.abs(others - c).max(axis=1) > 1e-9)
            )
            if not inside.any():
                out.append(np.array([a, b, c]))
                break
        del left[n]  # where no ear is found, a corner without breadth goes
    return [*out, points[left]]


def _turn(a: Vector, b: Vector, c: Vector) -> Any:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def plate(rings: Iterable[tuple[Vector, float]], axes: Axes) -> Hull:
    """Return the hull of plane rings of points (n, 2), each at its height (mm) along the normal of axes.

    >>> ring = np.array([(0.0, 0.0), (20.0, 0.0), (0.0, 5.0)])
    >>> plate([(ring, 0.0), (ring, 8.0)], Axes(np.zeros(3), *np.eye(3))).box[1].tolist()
    [20.0, 5.0, 8.0]
    """
    return Hull(np.concatenate([axes.to_strut(ring, height) for ring, height in rings]))


# --- round things under a plane -------------------------------------------------------------------------------------


def under_plane_mm(level_mm: Num, normal: Vector, from_x_mm: Num, to_x_mm: Num, radius_mm: Num) -> Num:
    """Return the least distance (mm) of a cylinder round the shaft line from a plane over it; broadcasts.

    level_mm: the plane's distance from the origin along its normal (3,), of length 1, toward the hull. from_x_mm,
    to_x_mm: strut-frame x of the cylinder's ends, the same for a circle. Negative: how deep it stands in. A circle
    leans with the shaft, so that its nearest point is nearer to a leaning plane than its distance in its own plane.

    >>> float(under_plane_mm(200.0, np.array([0.0, 0.0, 1.0]), -50.0, 50.0, 30.0))
    170.0
    """
    nx = float(normal[0])
    along = np.maximum(from_x_mm * nx, to_x_mm * nx)
    return level_mm - along - radius_mm * math.hypot(float(normal[1]), float(normal[2]))
