"""A closed or open chain of straight lines and circular arcs.

An arc is kept as a bulge, as in the DXF LWPOLYLINE entity: the tangent of a quarter of its included angle, positive
when the arc runs counter-clockwise. Everything derived from a chain (area, second moments, distances, offsets) is that
of the true arcs, never of a sampled polygon. Lengths mm, angles radians.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strutwright.models.once import KeepsAnswers, once
from strutwright.models.outline.crossings import crossings, near_pairs, neighbours_cross
from strutwright.models.outline.parallel import parallel
from strutwright.models.outline.segments import (
    POINT_TOL_MM,
    Floats,
    OutlineError,
    Segments,
    along,
    distances,
    point_array,
    segments_of,
    winding,
)
from strutwright.params.words import fine_mm, say

_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(24)  # rounding only, for degree 4 over a full turn


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


@dataclass(frozen=True, slots=True, eq=False)
class Outline(KeepsAnswers):
    """A closed or open chain of lines and arcs.

    vertices: (n, 3) x mm, y mm, bulge of the segment that starts here (unused at the last vertex of an open
    chain). closed: the last vertex is joined to the first by a segment. The array is copied and made
    read-only, and what follows from it is worked out once. Raises OutlineError when there are too few vertices, a
    value is not finite, or a segment has no length; TypeError for what are no rows of three.
    """

    vertices: Floats
    closed: bool = True

    def __post_init__(self) -> None:
        v = np.array(self.vertices, dtype=np.float64)
        if v.ndim != 2 or v.shape[1] != 3:
            raise TypeError(f"an outline has x, y, bulge rows; shape {v.shape} was given")
        if len(v) < 2:
            raise OutlineError(f"an outline needs two or more vertices; {len(v)} was given")
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

    @once
    def segments(self) -> Segments:
        """The segments as arrays, in order."""
        xy, bulge = self.vertices[:, :2], self.vertices[:, 2]
        if self.closed:
            return segments_of(xy, np.roll(xy, -1, axis=0), bulge)
        return segments_of(xy[:-1], xy[1:], bulge[:-1])

    def perimeter_mm(self) -> float:
        """Length along the chain, mm."""
        return float(np.sum(self.segments().length))

    @once
    def bounding_box(self) -> Box:
        """The exact box, arcs included."""
        seg = self.segments()
        found = [self.vertices[:, :2]]
        arcs = np.flatnonzero(seg.sweep_rad != 0.0)
        if arcs.size:
            mid, _ = along(seg, arcs, np.zeros(arcs.size))
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
            raise TypeError(f"an open chain has no {what}; close the outline first")

    @once
    def signed_area_mm2(self) -> float:
        """Area, positive when the chain runs counter-clockwise. Raises TypeError for an open chain."""
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
        point, tangent = along(seg, index, np.broadcast_to(_GAUSS_X, index.shape))
        step = tangent * (0.5 * seg.length[:, None] * _GAUSS_W)[..., None]
        rel = point - origin
        return rel[..., 0], rel[..., 1], step[..., 0], step[..., 1]

    @once
    def moments(self) -> Moments:
        """Area, centroid and second moments about the centroid.

        Green's theorem; 24-point Gauss quadrature on each segment, which is exact to rounding for lines and
        for arcs up to a full turn. Raises TypeError for an open chain.

        >>> bar = Outline(np.array([[0, 0, 0], [80, 0, 0], [80, 40, 0], [0, 40, 0]]))
        >>> round(bar.moments().ixx_mm4, 3)  # 80 x 40^3 / 12
        426666.667
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

        >>> disc = Outline(np.array([[-5, 0, 1], [5, 0, 1]]))
        >>> len(disc.polyline(0.01))
        50
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
            out.append(along(seg, np.full(n, k), u)[0])
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
        return along(seg, k, u)

    def distance_to_boundary(self, points: ArrayLike) -> Floats:
        """Exact distance of points (..., 2) to the boundary, mm, positive inside and negative outside.

        Raises TypeError for an open chain.

        >>> disc = Outline(np.array([[-5, 0, 1], [5, 0, 1]]))
        >>> disc.distance_to_boundary([[0, 0], [7, 0]]).tolist()
        [5.0, -2.0]
        """
        self._require_closed("inside")
        array = point_array(points)
        flat = array.reshape(-1, 2)
        seg = self.segments()
        out = np.empty(len(flat))
        block = max(1, 200_000 // len(seg.chord))  # bounds the memory, whatever the number of points
        for k in range(0, len(flat), block):
            part = flat[k : k + block]
            sign = np.where(winding(seg, part) != 0, 1.0, -1.0)
            out[k : k + block] = sign * distances(seg, part).min(axis=1)
        return out.reshape(array.shape[:-1])

    def contains(self, points: ArrayLike, tolerance_mm: float = POINT_TOL_MM) -> NDArray[np.bool_]:
        """True for points (..., 2) inside or within tolerance_mm of the boundary."""
        return np.asarray(self.distance_to_boundary(points) >= -tolerance_mm)

    # ---- checks -------------------------------------------------------------------------------------------

    def self_intersects(self) -> bool:
        """True when two segments cross, touch away from a common vertex, or fold back on each other."""
        seg = self.segments()
        m = len(seg.chord)
        pairs = near_pairs(seg)
        for i, j in pairs:
            after, before = j == i + 1, self.closed and i == 0 and j == m - 1
            if after and before:
                if self.area_mm2() <= POINT_TOL_MM * self.perimeter_mm():
                    return True
            elif after or before:
                if neighbours_cross(seg, *((i, j) if after else (j, i))):
                    return True
            elif len(crossings(seg, i, j)):
                return True
        return False

    @once
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

        >>> square = Outline(np.array([[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0]]))
        >>> square.inset(2.0).bounding_box()
        Box(xmin=2.0, ymin=2.0, xmax=8.0, ymax=8.0)
        """
        base = self.normalised()
        if distance_mm == 0.0:
            return base
        rows = parallel(base.segments(), distance_mm, base.distance_to_boundary)
        return Outline(rows, True).validate().normalised()
