"""The one 2-D shape of the project: a chain of straight lines and circular arcs.

Lengths are mm, angles radians. An arc is kept as a bulge, as in the DXF LWPOLYLINE entity: the tangent of a
quarter of its included angle, positive when the arc runs counter-clockwise. Everything derived from a chain
(area, second moments, distances, offsets) is that of the true arcs, never of a sampled polygon.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strutwright.params.words import fine_mm, mm, say

Floats: TypeAlias = NDArray[np.float64]

POINT_TOL_MM = 1e-6  # two vertices closer than this are one: a thousandth of what any machine can place
FLAT_SWEEP_RAD = 1e-9  # an arc sweeping less than this is a line: its height is below 1e-10 of its chord
FIT_TOL_MM = 0.01  # arcs in place of an ellipse or a foil stay this near to it, unless told otherwise
_SNAP_MM = 1e-5  # offset pieces whose ends are nearer than this belong together
_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(24)  # rounding only, for degree 4 over a full turn


class OutlineError(ValueError):
    """An outline cannot be made or used as asked; the text says what was given and what is allowed."""


class Segments(NamedTuple):
    """The m segments of an outline as arrays; a line has radius inf and centre nan."""

    start: Floats  # (m, 2)
    end: Floats  # (m, 2)
    bulge: Floats  # (m,)
    chord: Floats  # (m,) mm
    sweep_rad: Floats  # (m,) included angle, positive counter-clockwise, 0 for a line
    radius: Floats  # (m,) mm, positive
    centre: Floats  # (m, 2)
    length: Floats  # (m,) mm along the segment


class Moments(NamedTuple):
    """Plane-area properties: mm2, mm, mm4. The second moments are about axes through the centroid."""

    area_mm2: float
    centroid_x_mm: float
    centroid_y_mm: float
    ixx_mm4: float  # integral of (y - yc)^2 dA
    iyy_mm4: float  # integral of (x - xc)^2 dA
    ixy_mm4: float


class Box(NamedTuple):
    """Bounding box, mm."""

    xmin: float
    ymin: float
    xmax: float
    ymax: float


def _half_cot(half: Floats) -> Floats:
    """half / sin(half), going to 1 at 0."""
    safe = np.where(np.abs(half) < 1e-8, 1.0, half)
    return np.where(np.abs(half) < 1e-8, 1.0, safe / np.sin(safe))


def _segments(start: Floats, end: Floats, bulge: Floats) -> Segments:
    delta = end - start
    chord = np.hypot(delta[:, 0], delta[:, 1])
    sweep = 4.0 * np.arctan(bulge)
    flat = np.abs(sweep) < FLAT_SWEEP_RAD
    b = np.where(flat, 1.0, bulge)
    radius = np.where(flat, np.inf, chord * (1.0 + b * b) / (4.0 * np.abs(b)))
    left = np.column_stack((-delta[:, 1], delta[:, 0]))
    centre = 0.5 * (start + end) + left * ((1.0 - b * b) / (4.0 * b))[:, None]
    centre = np.where(flat[:, None], np.nan, centre)
    sweep = np.where(flat, 0.0, sweep)
    return Segments(start, end, bulge, chord, sweep, radius, centre, chord * _half_cot(0.5 * sweep))


def _along(seg: Segments, index: NDArray[np.intp], u: Floats) -> tuple[Floats, Floats]:
    """Points and unit tangents at u in -1..1 of the segments `index`, shape (..., 2) each.

    Written from the chord, so that it does not lose digits when an arc is nearly straight.
    """
    chord = seg.end[index] - seg.start[index]
    half = 0.5 * seg.sweep_rad[index]
    phi = half * u
    curved = half != 0.0
    s = np.where(curved, np.sin(half), 1.0)
    x = np.where(curved, np.sin(phi) / s, u)
    y = np.where(curved, -2.0 * np.sin(0.5 * (half + phi)) * np.sin(0.5 * (half - phi)) / s, 0.0)
    mid = 0.5 * (seg.start[index] + seg.end[index])
    left = np.stack((-chord[..., 1], chord[..., 0]), axis=-1)
    point = mid + 0.5 * (x[..., None] * chord + y[..., None] * left)
    unit = chord / seg.chord[index][..., None]
    unit_left = left / seg.chord[index][..., None]
    tangent = np.cos(phi)[..., None] * unit + np.sin(phi)[..., None] * unit_left
    return point, tangent


def _distances(seg: Segments, points: Floats) -> Floats:
    """Unsigned distance of each point to each segment, (k, m)."""
    out = np.empty((len(points), len(seg.chord)))
    lines = np.flatnonzero(seg.sweep_rad == 0.0)
    arcs = np.flatnonzero(seg.sweep_rad != 0.0)
    if lines.size:
        d = seg.end[lines] - seg.start[lines]
        rel = points[:, None, :] - seg.start[lines]
        t = np.clip(np.sum(rel * d, axis=2) / seg.chord[lines] ** 2, 0.0, 1.0)
        rest = rel - t[..., None] * d
        out[:, lines] = np.hypot(rest[..., 0], rest[..., 1])
    if arcs.size:
        mid, _ = _along(seg, arcs, np.zeros(arcs.size))
        axis = mid - seg.centre[arcs]
        rel = points[:, None, :] - seg.centre[arcs]
        cross = axis[:, 0] * rel[..., 1] - axis[:, 1] * rel[..., 0]
        dot = np.sum(axis * rel, axis=2)
        beside = np.abs(np.arctan2(cross, dot)) <= 0.5 * np.abs(seg.sweep_rad[arcs])
        radial = np.abs(np.hypot(rel[..., 0], rel[..., 1]) - seg.radius[arcs])
        a = points[:, None, :] - seg.start[arcs]
        b = points[:, None, :] - seg.end[arcs]
        ends = np.minimum(np.hypot(a[..., 0], a[..., 1]), np.hypot(b[..., 0], b[..., 1]))
        out[:, arcs] = np.where(beside, radial, ends)
    return out


def _point_array(points: ArrayLike) -> Floats:
    array = np.asarray(points, dtype=np.float64)
    if array.shape[-1:] != (2,):
        raise OutlineError(f"points must be (..., 2) x, y pairs in mm; shape {array.shape} was given")
    return array


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """A closed or open chain of lines and arcs.

    vertices: (n, 3) x mm, y mm, bulge of the segment that starts here (unused at the last vertex of an open
    chain). closed: the last vertex is joined to the first by a segment. The array is copied and made
    read-only. Raises OutlineError when there are too few vertices, a value is not finite, or a segment has
    no length.
    """

    vertices: Floats
    closed: bool = True

    def __post_init__(self) -> None:
        v = np.array(self.vertices, dtype=np.float64)
        if v.ndim != 2 or v.shape[1] != 3 or len(v) < 2:
            raise OutlineError(f"an outline needs two or more x, y, bulge rows; shape {v.shape} was given")
        if not np.all(np.isfinite(v)):
            raise OutlineError("an outline has a coordinate or bulge that is not a finite number")
        if not self.closed:
            v[-1, 2] = 0.0
        v += 0.0  # no negative zeros: they would print differently
        v.setflags(write=False)
        object.__setattr__(self, "vertices", v)
        chord = self.segments().chord
        if np.any(chord <= POINT_TOL_MM):
            k = int(np.argmin(chord))
            raise OutlineError(
                f"the outline has a segment without length at vertex {k} ({v[k, 0]:.6g}, {v[k, 1]:.6g}); "
                "neighbouring vertices must be further apart"
            )

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Outline) and self.closed == other.closed and np.array_equal(self.vertices, other.vertices)
        )

    def __hash__(self) -> int:
        return hash((self.closed, self.vertices.tobytes()))

    # ---- pieces -------------------------------------------------------------------------------------------

    def segments(self) -> Segments:
        """The segments as arrays, in order."""
        xy, bulge = self.vertices[:, :2], self.vertices[:, 2]
        if self.closed:
            return _segments(xy, np.roll(xy, -1, axis=0), bulge)
        return _segments(xy[:-1], xy[1:], bulge[:-1])

    def perimeter_mm(self) -> float:
        """Length along the chain, mm."""
        return float(np.sum(self.segments().length))

    def bounding_box(self) -> Box:
        """The exact box, arcs included."""
        seg = self.segments()
        found = [self.vertices[:, :2]]
        arcs = np.flatnonzero(seg.sweep_rad != 0.0)
        if arcs.size:
            mid, _ = _along(seg, arcs, np.zeros(arcs.size))
            middle = np.arctan2(*(mid - seg.centre[arcs]).T[::-1])
            for direction in ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)):
                off = math.atan2(direction[1], direction[0]) - middle
                off = np.abs((off + np.pi) % (2.0 * np.pi) - np.pi)
                on = arcs[off <= 0.5 * np.abs(seg.sweep_rad[arcs])]
                found.append(seg.centre[on] + seg.radius[on][:, None] * np.array(direction))
        xy = np.vstack(found)
        low, high = xy.min(axis=0), xy.max(axis=0)
        return Box(float(low[0]), float(low[1]), float(high[0]), float(high[1]))

    # ---- area ---------------------------------------------------------------------------------------------

    def _require_closed(self, what: str) -> None:
        if not self.closed:
            raise OutlineError(f"an open chain has no {what}; close the outline first")

    def signed_area_mm2(self) -> float:
        """Area, positive when the chain runs counter-clockwise. Raises OutlineError for an open chain."""
        self._require_closed("area")
        origin = self.vertices[:, :2].mean(axis=0)
        x, y, dx, dy = self._boundary_quadrature(origin)
        return float(0.5 * np.sum(x * dy - y * dx))

    def area_mm2(self) -> float:
        """Enclosed area, mm2, always positive."""
        return abs(self.signed_area_mm2())

    def _boundary_quadrature(self, origin: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """x, y, dx, dy (weights in) at the Gauss points of every segment, relative to `origin`."""
        seg = self.segments()
        index = np.broadcast_to(np.arange(len(seg.chord))[:, None], (len(seg.chord), len(_GAUSS_X)))
        point, tangent = _along(seg, index, np.broadcast_to(_GAUSS_X, index.shape))
        step = tangent * (0.5 * seg.length[:, None] * _GAUSS_W)[..., None]
        rel = point - origin
        return rel[..., 0], rel[..., 1], step[..., 0], step[..., 1]

    def moments(self) -> Moments:
        """Area, centroid and second moments about the centroid.

        Green's theorem; 24-point Gauss quadrature on each segment, which is exact to rounding for lines and
        for arcs up to a full turn. Raises OutlineError for an open chain.
        """
        self._require_closed("area")
        origin = self.vertices[:, :2].mean(axis=0)
        x, y, dx, dy = self._boundary_quadrature(origin)
        area = 0.5 * float(np.sum(x * dy - y * dx))
        if abs(area) < POINT_TOL_MM**2:
            raise OutlineError("the outline encloses no area")
        cx, cy = 0.5 * float(np.sum(x * x * dy)) / area, -0.5 * float(np.sum(y * y * dx)) / area
        x, y = x - cx, y - cy
        sign = math.copysign(1.0, area)
        return Moments(
            abs(area),
            float(origin[0]) + cx,
            float(origin[1]) + cy,
            -sign * float(np.sum(y**3 * dx)) / 3.0,
            sign * float(np.sum(x**3 * dy)) / 3.0,
            0.5 * sign * float(np.sum(x * x * y * dy)),
        )

    def centroid(self) -> tuple[float, float]:
        """Centroid of the enclosed area, mm."""
        m = self.moments()
        return m.centroid_x_mm, m.centroid_y_mm

    # ---- order and position -------------------------------------------------------------------------------

    def is_ccw(self) -> bool:
        """True when the closed chain runs counter-clockwise."""
        return self.signed_area_mm2() > 0.0

    def reversed(self) -> Outline:
        """The same chain run the other way."""
        v = self.vertices[::-1].copy()
        v[:, 2] = -np.roll(v[:, 2], -1)
        return Outline(v, self.closed)

    def normalised(self) -> Outline:
        """The same outline, counter-clockwise, starting at its vertex of smallest x, then smallest y."""
        out = self if self.is_ccw() else self.reversed()
        key = np.round(out.vertices[:, :2], 9)
        first = int(np.lexsort((key[:, 1], key[:, 0]))[0])
        return Outline(np.roll(out.vertices, -first, axis=0), True)

    def _moved(self, xy: Floats, bulge_sign: float = 1.0) -> Outline:
        return Outline(np.column_stack((xy, bulge_sign * self.vertices[:, 2])), self.closed)

    def translate(self, dx_mm: float, dy_mm: float) -> Outline:
        """Shifted by dx, dy."""
        return self._moved(self.vertices[:, :2] + (dx_mm, dy_mm))

    def rotate(self, angle_rad: float, about: tuple[float, float] = (0.0, 0.0)) -> Outline:
        """Turned counter-clockwise by angle_rad about a point (mm)."""
        c, s = math.cos(angle_rad), math.sin(angle_rad)
        return self._moved((self.vertices[:, :2] - about) @ np.array(((c, s), (-s, c))) + about)

    def scale(self, factor: float, about: tuple[float, float] = (0.0, 0.0)) -> Outline:
        """Enlarged evenly about a point (mm). Raises OutlineError unless factor > 0."""
        if not factor > 0.0:
            raise OutlineError(f"a scale factor must be above 0; {factor:g} was given")
        return self._moved((self.vertices[:, :2] - about) * factor + about)

    def mirror(self, axis: Literal["x", "y"]) -> Outline:
        """Mirrored in the x axis (y changes sign) or the y axis (x changes sign); the running sense flips."""
        return self._moved(self.vertices[:, :2] * ((1.0, -1.0) if axis == "x" else (-1.0, 1.0)), -1.0)

    # ---- points -------------------------------------------------------------------------------------------

    def polyline(self, chord_error_mm: float) -> Floats:
        """(k, 2) points on the chain, vertices included, whose chords stay within chord_error_mm of the arcs.

        A closed outline does not repeat its first point. Raises OutlineError unless chord_error_mm > 0.
        """
        if not chord_error_mm > 0.0:
            raise OutlineError(say("the chord error must be above 0; {given} was given", given=fine_mm(chord_error_mm)))
        seg = self.segments()
        out: list[Floats] = []
        for k in range(len(seg.chord)):
            n = 1
            if seg.sweep_rad[k] != 0.0:
                ratio = min(chord_error_mm / float(seg.radius[k]), 1.0)
                # 4 asin(sqrt(e / 2r)) = 2 acos(1 - e/r), without losing digits when e is small
                n = max(1, math.ceil(abs(seg.sweep_rad[k]) / (4.0 * math.asin(math.sqrt(0.5 * ratio)))))
            u = np.linspace(-1.0, 1.0, n + 1)[:-1]
            out.append(_along(seg, np.full(n, k), u)[0])
        if not self.closed:
            out.append(self.vertices[-1:, :2])
        return np.vstack(out)

    def points_at(self, along_mm: ArrayLike) -> tuple[Floats, Floats]:
        """Points and unit tangents (..., 2) at distances along the chain from its first vertex, mm.

        On a closed outline distances wrap round. Raises OutlineError for a distance off an open chain.
        """
        s = np.asarray(along_mm, dtype=np.float64)
        seg = self.segments()
        ends = np.cumsum(seg.length)
        total = float(ends[-1])
        if self.closed:
            s = s % total
        elif np.any(s < -POINT_TOL_MM) or np.any(s > total + POINT_TOL_MM):
            raise OutlineError(
                say(
                    "a distance along the chain must be 0 to {total}; {low} to {high} was given",
                    total=fine_mm(total),
                    low=fine_mm(float(np.min(s))),
                    high=fine_mm(float(np.max(s))),
                )
            )
        k = np.minimum(np.searchsorted(ends, s, side="right"), len(ends) - 1)
        u = np.clip(2.0 * (s - (ends[k] - seg.length[k])) / seg.length[k] - 1.0, -1.0, 1.0)
        return _along(seg, k, u)

    def distance_to_boundary(self, points: ArrayLike) -> Floats:
        """Exact distance of points (..., 2) to the boundary, mm, positive inside and negative outside.

        Raises OutlineError for an open chain.
        """
        self._require_closed("inside")
        array = _point_array(points)
        flat = array.reshape(-1, 2)
        seg = self.segments()
        out = np.empty(len(flat))
        block = max(1, 200_000 // len(seg.chord))  # bounds the memory, whatever the number of points
        for k in range(0, len(flat), block):
            part = flat[k : k + block]
            sign = np.where(_winding(seg, part) != 0, 1.0, -1.0)
            out[k : k + block] = sign * _distances(seg, part).min(axis=1)
        return out.reshape(array.shape[:-1])

    def contains(self, points: ArrayLike, tolerance_mm: float = POINT_TOL_MM) -> NDArray[np.bool_]:
        """True for points (..., 2) inside or within tolerance_mm of the boundary."""
        return np.asarray(self.distance_to_boundary(points) >= -tolerance_mm)

    # ---- checks -------------------------------------------------------------------------------------------

    def self_intersects(self) -> bool:
        """True when two segments cross, touch away from a common vertex, or fold back on each other."""
        seg = self.segments()
        m = len(seg.chord)
        pairs = _near_pairs(seg)
        for i, j in pairs:
            after, before = j == i + 1, self.closed and i == 0 and j == m - 1
            if after and before:
                if self.area_mm2() <= POINT_TOL_MM * self.perimeter_mm():
                    return True
            elif after or before:
                if _neighbours_cross(seg, *((i, j) if after else (j, i))):
                    return True
            elif len(_crossings(seg, i, j)):
                return True
        return False

    def validate(self) -> Outline:
        """Itself, when it is a closed outline that does not cross itself and encloses an area.

        Raises OutlineError otherwise.
        """
        self._require_closed("inside")
        xy = np.round(self.vertices[:, :2] / POINT_TOL_MM)
        if len(np.unique(xy, axis=0)) != len(xy):
            raise OutlineError("the outline passes twice through one vertex; each vertex must be given once")
        if self.area_mm2() <= POINT_TOL_MM * self.perimeter_mm():
            raise OutlineError("the outline encloses no area")
        if self.self_intersects():
            raise OutlineError("the outline crosses itself; check the order of its points and its radii")
        return self

    def inset(self, distance_mm: float) -> Outline:
        """The outline at a distance inside this one (negative: outside), counter-clockwise.

        The result is the true parallel curve: outward of a corner it is an arc about the corner. Arcs and
        edges too small to survive vanish. Raises OutlineError when nothing is left, or when what is left
        falls into several parts.
        """
        base = self.normalised()
        return base if distance_mm == 0.0 else _inset(base, distance_mm)


def _winding(seg: Segments, points: Floats) -> NDArray[np.int_]:
    """Winding number of each point, by crossings of the ray towards +x with pieces that are monotone in y."""
    x, y = points[:, 0], points[:, 1]
    total = np.zeros(len(points), dtype=np.int_)
    for k in range(len(seg.chord)):
        (x0, y0), (x1, y1) = seg.start[k], seg.end[k]
        sweep = float(seg.sweep_rad[k])
        if sweep == 0.0:
            hit = (y0 <= y) != (y1 <= y)
            with np.errstate(divide="ignore", invalid="ignore"):
                at = x0 + (y - y0) / (y1 - y0) * (x1 - x0)
            total += np.where(hit & (at > x), 1 if y1 > y0 else -1, 0)
            continue
        (cx, cy), r = seg.centre[k], float(seg.radius[k])
        a0 = math.atan2(y0 - cy, x0 - cx)
        low, high = sorted((a0, a0 + sweep))
        quarter = range(math.floor(low / math.pi) - 1, math.ceil(high / math.pi) + 1)
        cuts = [a for a in (math.pi * (n + 0.5) for n in quarter) if low < a < high]
        angles = [a0, *(cuts if sweep > 0.0 else cuts[::-1]), a0 + sweep]
        heights = [y0, *(cy + r * math.copysign(1.0, math.sin(a)) for a in angles[1:-1]), y1]
        root = np.sqrt(np.maximum(r * r - (y - cy) ** 2, 0.0))
        for b0, b1, h0, h1 in zip(angles, angles[1:], heights, heights[1:], strict=False):
            at = cx + math.copysign(1.0, math.cos(0.5 * (b0 + b1))) * root
            hit = (h0 <= y) != (h1 <= y)
            total += np.where(hit & (at > x), 1 if h1 > h0 else -1, 0)
    return total


# ---- crossings --------------------------------------------------------------------------------------------


def _near_pairs(seg: Segments) -> list[tuple[int, int]]:
    """Index pairs i < j whose boxes touch; the box of an arc is taken as its chord widened by its height."""
    height = 0.5 * seg.chord * np.abs(np.tan(0.25 * seg.sweep_rad))
    height = np.where(np.abs(seg.sweep_rad) > np.pi, 2.0 * seg.radius, height)
    grow = (height + _SNAP_MM)[:, None]
    low, high = np.minimum(seg.start, seg.end) - grow, np.maximum(seg.start, seg.end) + grow
    meet = np.all((low[:, None] <= high[None]) & (low[None] <= high[:, None]), axis=2)
    i, j = np.nonzero(np.triu(meet, 1))
    return list(zip(i.tolist(), j.tolist(), strict=True))


def _on_segment(seg: Segments, k: int, points: Floats) -> NDArray[np.bool_]:
    one = Segments(*(field[k : k + 1] for field in seg))
    return np.asarray(_distances(one, points)[:, 0] <= POINT_TOL_MM)


def _crossings(seg: Segments, i: int, j: int) -> Floats:
    """(k, 2) points common to two segments, k = 0..2; overlapping stretches give their ends."""
    if seg.sweep_rad[i] != 0.0 and seg.sweep_rad[j] == 0.0:
        i, j = j, i
    found: list[Floats] = []
    if seg.sweep_rad[i] == 0.0:
        p, d = seg.start[i], (seg.end[i] - seg.start[i]) / seg.chord[i]
        if seg.sweep_rad[j] == 0.0:
            e = (seg.end[j] - seg.start[j]) / seg.chord[j]
            det = d[0] * e[1] - d[1] * e[0]
            if abs(det) > 1e-12:
                w = seg.start[j] - p
                found = [p + d * ((w[0] * e[1] - w[1] * e[0]) / det)]
        else:
            foot = p + d * float(np.dot(seg.centre[j] - p, d))
            off = math.dist(foot, seg.centre[j])
            h2 = (seg.radius[j] - off) * (seg.radius[j] + off)
            if seg.radius[j] - off > -POINT_TOL_MM:
                h = math.sqrt(max(h2, 0.0))
                found = [foot - h * d, foot + h * d]
    else:
        r, q = float(seg.radius[i]), float(seg.radius[j])
        axis = seg.centre[j] - seg.centre[i]
        gap = math.hypot(*axis)
        if gap > POINT_TOL_MM and abs(r - q) - POINT_TOL_MM < gap < r + q + POINT_TOL_MM:
            axis = axis / gap
            a = 0.5 * ((r - q) * (r + q) / gap + gap)
            h = math.sqrt(max((r - a) * (r + a), 0.0))
            foot = seg.centre[i] + a * axis
            found = [foot + h * np.array((-axis[1], axis[0])), foot - h * np.array((-axis[1], axis[0]))]
    # ends that lie on the other segment catch overlaps and touches that the carriers miss
    found += [seg.start[i], seg.end[i], seg.start[j], seg.end[j]]
    points = np.array(found)
    return np.asarray(points[_on_segment(seg, i, points) & _on_segment(seg, j, points)])


def _neighbours_cross(seg: Segments, i: int, j: int) -> bool:
    """Whether segment j, which starts where i ends, meets i anywhere else.

    Two carriers that share a point share one other at most, its mirror image in their line of symmetry. That
    stays exact where they are tangent, which a crossing formula does not.
    """
    end = np.array((i, j))
    tangents = _along(seg, end, np.array((1.0, -1.0)))[1]
    if float(np.dot(tangents[0], tangents[1])) < -1.0 + 1e-12:
        return True  # folds straight back
    p = seg.end[i]
    curved = seg.sweep_rad[end] != 0.0
    if not curved.any():
        return False
    if curved.all():
        axis = seg.centre[j] - seg.centre[i]
        anchor = seg.centre[i]
        if math.hypot(*axis) <= POINT_TOL_MM:
            return abs(float(seg.sweep_rad[i] + seg.sweep_rad[j])) >= 2.0 * math.pi
    else:
        line, arc = (j, i) if curved[0] else (i, j)
        d = seg.end[line] - seg.start[line]
        axis, anchor = np.array((-d[1], d[0])), seg.centre[arc]
    axis = axis / math.hypot(*axis)
    other = anchor + 2.0 * axis * float(np.dot(p - anchor, axis)) - (p - anchor)
    if math.dist(other, p) < _SNAP_MM:
        return False
    far = other[None, :]
    return bool(_on_segment(seg, i, far)[0] and _on_segment(seg, j, far)[0])


# ---- parallel curve ---------------------------------------------------------------------------------------


def _inset(base: Outline, distance: float) -> Outline:
    """Offset each segment, round the corners that open, cut all where they cross, keep what is far enough."""
    seg = base.segments()
    m = len(seg.chord)
    everyone = np.arange(m)
    _, t0 = _along(seg, everyone, np.full(m, -1.0))
    _, t1 = _along(seg, everyone, np.full(m, 1.0))
    left0 = np.column_stack((-t0[:, 1], t0[:, 0]))
    left1 = np.column_stack((-t1[:, 1], t1[:, 0]))
    rows: list[tuple[float, float, float, float, float]] = []  # x0, y0, x1, y1, bulge
    for k in range(m):
        a, b = seg.start[k] + distance * left0[k], seg.end[k] + distance * left1[k]
        sense = math.copysign(1.0, seg.sweep_rad[k])
        survives = seg.sweep_rad[k] == 0.0 or seg.radius[k] - sense * distance > POINT_TOL_MM
        if survives:
            rows.append((a[0], a[1], b[0], b[1], seg.bulge[k]))
        n = (k + 1) % m
        turn = math.atan2(t1[k, 0] * t0[n, 1] - t1[k, 1] * t0[n, 0], float(np.dot(t1[k], t0[n])))
        c = seg.start[n] + distance * left0[n]
        if turn * distance < 0.0 and math.dist(b, c) > _SNAP_MM:
            rows.append((b[0], b[1], c[0], c[1], math.tan(0.25 * turn)))
    nothing = OutlineError(
        say(
            "nothing is left of the outline at {distance} inside its edge; use a smaller distance",
            distance=fine_mm(distance),
        )
    )
    if not rows:
        raise nothing
    table = np.array(rows)
    raw = _segments(table[:, 0:2], table[:, 2:4], table[:, 4])
    keep = raw.chord > POINT_TOL_MM
    raw = Segments(*(field[keep] for field in raw))
    cuts: list[list[float]] = [[-1.0, 1.0] for _ in raw.chord]
    for i, j in _near_pairs(raw):
        for p in _crossings(raw, i, j):
            cuts[i].append(_parameter(raw, i, p))
            cuts[j].append(_parameter(raw, j, p))
    pieces: list[tuple[int, float, float]] = []
    for k, params in enumerate(cuts):
        step = _SNAP_MM / (0.5 * float(raw.length[k]))
        marks = [-1.0]
        for u in sorted(params):
            if u - marks[-1] > step:
                marks.append(u)
        if 1.0 - marks[-1] < step and len(marks) > 1:
            marks[-1] = 1.0
        pieces += [(k, u, v) for u, v in pairwise(marks)]
    index = np.array([p[0] for p in pieces])
    first, last = np.array([p[1] for p in pieces]), np.array([p[2] for p in pieces])
    probes = [_along(raw, index, first + f * (last - first))[0] for f in (0.31, 0.5, 0.77)]
    signed = np.array([base.distance_to_boundary(p) for p in probes])
    good = np.flatnonzero(np.all(np.abs(signed - distance) <= 2.0 * _SNAP_MM, axis=0))
    if not good.size:
        raise nothing
    begin, finish = _along(raw, index, first)[0], _along(raw, index, last)[0]
    chain = [int(good[0])]
    spare = [int(g) for g in good[1:]]
    while spare:
        gaps = np.hypot(*(begin[spare] - finish[chain[-1]]).T)
        best = int(np.argmin(gaps))
        if gaps[best] > 4.0 * _SNAP_MM:
            break
        chain.append(spare.pop(best))
    if spare or math.dist(finish[chain[-1]], begin[chain[0]]) > 4.0 * _SNAP_MM:
        raise OutlineError(
            say(
                "the outline at {distance} inside its edge falls into several parts; use a smaller distance",
                distance=fine_mm(distance),
            )
        )
    merged: list[tuple[int, float, float]] = []
    for c in chain:
        k, u, v = pieces[c]
        if merged and merged[-1][0] == k and abs(merged[-1][2] - u) < 1e-12:
            merged[-1] = (k, merged[-1][1], v)
        else:
            merged.append((k, u, v))
    if len(merged) > 2 and merged[0][0] == merged[-1][0] and abs(merged[-1][2] - merged[0][1]) < 1e-12:
        merged[0] = (merged[0][0], merged.pop()[1], merged[0][2])
    which = np.array([k for k, _, _ in merged])
    starts = np.array([u for _, u, _ in merged])
    stops = np.array([v for _, _, v in merged])
    bulge = np.tan(0.125 * raw.sweep_rad[which] * (stops - starts))
    xy = _along(raw, which, starts)[0]
    return Outline(np.column_stack((xy, bulge)), True).validate().normalised()


def _parameter(seg: Segments, k: int, point: Floats) -> float:
    """u in -1..1 of a point on segment k."""
    if seg.sweep_rad[k] == 0.0:
        d = seg.end[k] - seg.start[k]
        return 2.0 * float(np.dot(point - seg.start[k], d)) / float(seg.chord[k]) ** 2 - 1.0
    mid = _along(seg, np.array((k,)), np.zeros(1))[0][0] - seg.centre[k]
    rel = point - seg.centre[k]
    angle = math.atan2(mid[0] * rel[1] - mid[1] * rel[0], float(np.dot(mid, rel)))
    return min(max(2.0 * angle / float(seg.sweep_rad[k]), -1.0), 1.0)


# ---- makers -----------------------------------------------------------------------------------------------


def polygon(points: ArrayLike, corner_radius_mm: float | Sequence[float] = 0.0) -> Outline:
    """A closed polygon through (n, 2) points in order, its corners rounded to one radius or one each, mm.

    Raises OutlineError when a radius does not fit the edges beside its corner.
    """
    xy = _point_array(points)
    n = len(xy)
    radii = np.broadcast_to(np.asarray(corner_radius_mm, dtype=np.float64), (n,))
    if np.any(radii < 0.0):
        raise OutlineError(
            say("a corner radius must be 0 or more; {given} was given", given=fine_mm(float(radii.min())))
        )
    edge = np.roll(xy, -1, axis=0) - xy
    length = np.hypot(edge[:, 0], edge[:, 1])
    if np.any(length <= POINT_TOL_MM):
        raise OutlineError("a polygon has two equal points in a row; give each corner once")
    unit = edge / length[:, None]
    before = np.roll(unit, 1, axis=0)
    turn = np.arctan2(before[:, 0] * unit[:, 1] - before[:, 1] * unit[:, 0], np.sum(before * unit, axis=1))
    back = radii * np.tan(0.5 * np.abs(turn))
    room = length - back - np.roll(back, -1)
    if np.any(room < -POINT_TOL_MM):
        k = int(np.argmin(room))
        fit = float(length[k] / (np.tan(0.5 * abs(turn[k])) + np.tan(0.5 * abs(turn[(k + 1) % n]))))
        asked = float(max(radii[k], radii[(k + 1) % n]))
        raise OutlineError(
            say(
                "corner radius {asked} does not fit on an edge {edge} long; at most {fit} fits there",
                asked=fine_mm(asked),
                edge=mm(length[k]),
                fit=mm(fit),
            )
        )
    rows: list[tuple[float, float, float]] = []
    for k in range(n):
        a, b = xy[k] - back[k] * before[k], xy[k] + back[k] * unit[k]
        if back[k] > POINT_TOL_MM:
            rows.append((a[0], a[1], math.tan(0.25 * float(turn[k]))))
        if room[k] > POINT_TOL_MM:
            rows.append((b[0], b[1], 0.0))
    return Outline(np.array(rows)).validate()


def rectangle(length_mm: float, width_mm: float, corner_radius_mm: float = 0.0) -> Outline:
    """A rectangle centred on the origin, length along x, corners rounded."""
    return tapered(length_mm, width_mm, width_mm, corner_radius_mm)


def tapered(length_mm: float, width_fore_mm: float, width_aft_mm: float, corner_radius_mm: float = 0.0) -> Outline:
    """A trapezium centred on the origin: width_fore at x = +length/2, width_aft at x = -length/2."""
    for name, value in (("length", length_mm), ("fore width", width_fore_mm), ("aft width", width_aft_mm)):
        _require_positive(name, value)
    x, f, a = 0.5 * length_mm, 0.5 * width_fore_mm, 0.5 * width_aft_mm
    return polygon(((-x, -a), (x, -f), (x, f), (-x, a)), corner_radius_mm)


def stadium(length_mm: float, width_mm: float) -> Outline:
    """A round-ended bar or slot centred on the origin, over-all length along x. Needs length >= width."""
    _require_positive("width", width_mm)
    if length_mm < width_mm:
        raise OutlineError(
            say(
                "a round-ended outline must be at least as long as wide; length {length} and width {width} were given",
                length=fine_mm(length_mm),
                width=fine_mm(width_mm),
            )
        )
    if length_mm - width_mm <= POINT_TOL_MM:
        return circle(width_mm)
    x, r = 0.5 * (length_mm - width_mm), 0.5 * width_mm
    return Outline(np.array(((-x, -r, 0.0), (x, -r, 1.0), (x, r, 0.0), (-x, r, 1.0))))


def circle(diameter_mm: float, centre: tuple[float, float] = (0.0, 0.0)) -> Outline:
    """A circle, as two half circles."""
    _require_positive("diameter", diameter_mm)
    r = 0.5 * diameter_mm
    return Outline(np.array(((centre[0] - r, centre[1], 1.0), (centre[0] + r, centre[1], 1.0))))


def oval(length_mm: float, width_mm: float, tolerance_mm: float = FIT_TOL_MM) -> Outline:
    """An ellipse centred on the origin, length along x, as arcs within tolerance_mm of it."""
    _require_positive("length", length_mm)
    _require_positive("width", width_mm)
    if abs(length_mm - width_mm) <= POINT_TOL_MM:
        return circle(length_mm)
    a, b = 0.5 * length_mm, 0.5 * width_mm
    t = np.linspace(0.0, 0.5 * np.pi, 801)
    xy = np.column_stack((a * np.cos(t), b * np.sin(t)))
    tangent = np.column_stack((-a * np.sin(t), b * np.cos(t)))
    xy[-1, 0], tangent[-1, 0], tangent[-1, 1] = 0.0, -1.0, 0.0
    quarter = fit_arcs(xy, tangent, tolerance_mm)
    half = join((quarter, quarter.mirror("y").reversed()))
    return join((half, half.mirror("x").reversed()), closed=True)


def join(chains: Sequence[Outline], closed: bool = False) -> Outline:
    """Open chains end to end as one; each must start where the one before ends.

    closed: also joins the last end to the first start (by a line when they are apart). Raises OutlineError
    when two chains do not meet.
    """
    rows = [chains[0].vertices]
    for chain in chains[1:]:
        if math.dist(rows[-1][-1, :2], chain.vertices[0, :2]) > POINT_TOL_MM:
            raise OutlineError("two chains to be joined do not meet")
        rows[-1] = rows[-1][:-1]
        rows.append(chain.vertices)
    v = np.vstack(rows)
    if closed and math.dist(v[0, :2], v[-1, :2]) <= POINT_TOL_MM:
        v = v[:-1]
    return Outline(v, closed)


def _require_positive(name: str, value: float) -> None:
    if not value > 0.0:
        raise OutlineError(say("the {name} must be above 0; {given} was given", name=name, given=fine_mm(value)))


# ---- arcs in place of a curve -----------------------------------------------------------------------------


def _biarc(p: Floats, t: Floats, q: Floats, s: Floats) -> Floats:
    """(3, 3) vertices of the two arcs from p, direction t, to q, direction s, with equal end lengths."""
    v = q - p
    both = float(np.dot(v, t + s))
    vv = float(np.dot(v, v))
    d = vv / (both + math.sqrt(both * both + 2.0 * (1.0 - float(np.dot(t, s))) * vv))
    m = 0.5 * (p + q + d * (t - s))
    first, second = m - p, q - m

    def bulge(direction: Floats, chord: Floats, sense: float) -> float:
        cross = float(direction[0] * chord[1] - direction[1] * chord[0])
        return sense * cross / (math.hypot(*chord) + float(np.dot(direction, chord)))

    return np.array(((*p, bulge(t, first, 1.0)), (*m, bulge(s, second, -1.0)), (*q, 0.0)))


def fit_arcs(points: ArrayLike, tangents: ArrayLike, tolerance_mm: float = FIT_TOL_MM) -> Outline:
    """An open chain of arcs, tangent to each other, within tolerance_mm of a smooth curve.

    points: (n, 2) mm, in order along the curve and dense against its curvature (a few hundred); tangents:
    (n, 2) directions of travel there, any length. Pairs of arcs (biarcs), each pair spanning as many points
    as the tolerance lets it; end points and end directions are kept exactly. Where the curve is straight the
    chain has lines. Raises OutlineError when even neighbouring points cannot be joined within the tolerance.
    """
    xy, direction = _point_array(points), _point_array(tangents)
    if len(xy) < 2 or len(xy) != len(direction):
        raise OutlineError("fitting arcs needs at least two points and one tangent for each")
    unit = direction / np.hypot(direction[:, 0], direction[:, 1])[:, None]
    if not tolerance_mm > 0.0:
        raise OutlineError(say("the fitting tolerance must be above 0; {given} was given", given=fine_mm(tolerance_mm)))

    def fits(i: int, j: int) -> Floats | None:
        if float(np.dot(unit[i], unit[j])) < -0.9 or float(np.dot(xy[j] - xy[i], unit[i] + unit[j])) <= 0.0:
            return None
        arcs = _biarc(xy[i], unit[i], xy[j], unit[j])
        seg = _segments(arcs[:-1, :2], arcs[1:, :2], arcs[:-1, 2])
        if j > i + 1 and float(_distances(seg, xy[i + 1 : j]).min(axis=1).max()) > 0.98 * tolerance_mm:
            return None  # the 2 % covers what lies between the points
        return arcs

    rows: list[Floats] = []
    i, last = 0, len(xy) - 1
    reach = 16
    while i < last:
        best = fits(i, i + 1)
        if best is None:
            raise OutlineError(
                f"the curve turns too sharply near ({xy[i, 0]:.4g}, {xy[i, 1]:.4g}) "
                "to be fitted with arcs; give denser points"
            )
        low, high = i + 1, min(i + reach, last)
        while (trial := fits(i, high)) is not None:
            low, best = high, trial
            if high == last:
                break
            high = min(i + 2 * (high - i), last)
        while high - low > 1:
            middle = (low + high) // 2
            trial = fits(i, middle)
            if trial is None:
                high = middle
            else:
                low, best = middle, trial
        reach = max(low - i, 2)
        rows.append(_without_flats(best)[:-1])
        i = low
    rows.append(np.array(((xy[-1, 0], xy[-1, 1], 0.0),)))
    return Outline(np.vstack(rows), closed=False)


def _without_flats(arcs: Floats) -> Floats:
    """A biarc along a straight stretch becomes one line."""
    if np.all(np.abs(arcs[:-1, 2]) < 1e-9):
        return np.array((arcs[0], arcs[-1])) * (1.0, 1.0, 0.0)
    return arcs
