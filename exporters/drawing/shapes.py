"""Plane curves of a drawing: straight lines, circular arcs, elliptical arcs, polylines. Lengths in mm, angles
in radians. Pure geometry, used in model size and on paper alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

P = tuple[float, float]

TAU = 2.0 * math.pi


@dataclass(frozen=True, slots=True)
class Line:
    """Straight line from `a` to `b`."""

    a: P
    b: P


@dataclass(frozen=True, slots=True)
class Arc:
    """Circular arc from angle `start` over `sweep` > 0 counter-clockwise; a sweep of 2 pi is a full
    circle.
    """

    centre: P
    radius: float
    start: float = 0.0
    sweep: float = TAU

    @property
    def full(self) -> bool:
        """True for a whole circle."""
        return self.sweep >= TAU - 1e-9

    def point(self, angle: float) -> P:
        """Return the point of the circle at `angle`."""
        return (self.centre[0] + self.radius * math.cos(angle), self.centre[1] + self.radius * math.sin(angle))


@dataclass(frozen=True, slots=True)
class Ellipse:
    """Elliptical arc: half major axis as a vector, minor/major `ratio`, parameter from `start` over `sweep` >
    0.
    """

    centre: P
    major: P
    ratio: float
    start: float = 0.0
    sweep: float = TAU

    def point(self, t: float) -> P:
        """Return the point at parameter `t`."""
        mx, my = self.major
        c, s = math.cos(t), math.sin(t) * self.ratio
        return (self.centre[0] + mx * c - my * s, self.centre[1] + my * c + mx * s)


@dataclass(frozen=True, slots=True)
class Poly:
    """Polyline through points; `closed` joins the last to the first."""

    points: tuple[P, ...]
    closed: bool = False


Shape = Line | Arc | Ellipse | Poly


@dataclass(frozen=True, slots=True)
class Box:
    """Upright rectangle."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Extent in x."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Extent in y."""
        return self.y1 - self.y0

    @property
    def centre(self) -> P:
        """Middle point."""
        return ((self.x0 + self.x1) / 2.0, (self.y0 + self.y1) / 2.0)

    def grown(self, by: float) -> Box:
        """Return the box with every side moved outward by `by` mm."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def moved(self, dx: float, dy: float) -> Box:
        """Return the box shifted by (dx, dy) mm."""
        return Box(self.x0 + dx, self.y0 + dy, self.x1 + dx, self.y1 + dy)

    def hits(self, other: Box) -> bool:
        """True when the inner areas overlap by more than a millionth of a millimetre."""
        eps = 1e-6
        return (
            self.x0 < other.x1 - eps
            and other.x0 < self.x1 - eps
            and self.y0 < other.y1 - eps
            and other.y0 < self.y1 - eps
        )

    def holds(self, other: Box) -> bool:
        """True when `other` lies inside or on the border."""
        eps = 1e-6
        return (
            self.x0 <= other.x0 + eps
            and self.y0 <= other.y0 + eps
            and self.x1 >= other.x1 - eps
            and self.y1 >= other.y1 - eps
        )


def union(boxes: Iterable[Box]) -> Box:
    """Return the least box round all boxes. Raises ValueError when there is none."""
    found = list(boxes)
    if not found:
        raise ValueError("no boxes to join")
    return Box(min(b.x0 for b in found), min(b.y0 for b in found), max(b.x1 for b in found), max(b.y1 for b in found))


def flatten(shape: Shape, chord_error_mm: float = 0.02) -> NDArray[np.float64]:
    """Return points (n, 2) of the shape with the given greatest distance between chord and curve, mm."""
    if isinstance(shape, Line):
        return np.array([shape.a, shape.b])
    if isinstance(shape, Poly):
        points = np.array(shape.points)
        return np.vstack([points, points[:1]]) if shape.closed else points
    radius = shape.radius if isinstance(shape, Arc) else math.hypot(*shape.major)
    step = 2.0 * math.acos(max(1.0 - chord_error_mm / radius, 0.0)) if radius > chord_error_mm else math.pi / 2
    count = max(math.ceil(shape.sweep / step), 2)
    t = shape.start + np.linspace(0.0, shape.sweep, count + 1)
    cx, cy = shape.centre
    if isinstance(shape, Arc):
        return np.column_stack([cx + radius * np.cos(t), cy + radius * np.sin(t)])
    mx, my = shape.major
    c, s = np.cos(t), np.sin(t) * shape.ratio
    return np.column_stack([cx + mx * c - my * s, cy + my * c + mx * s])


def bounds(shape: Shape) -> Box:
    """Return the bounding box, exact for lines, arcs and ellipses."""
    if isinstance(shape, Line):
        (ax, ay), (bx, by) = shape.a, shape.b
        return Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
    if isinstance(shape, Poly):
        points = np.array(shape.points)
    else:
        if isinstance(shape, Arc):
            turning = [k * math.pi / 2.0 for k in range(4)]
        else:
            mx, my = shape.major
            tx, ty = math.atan2(-my * shape.ratio, mx), math.atan2(mx * shape.ratio, my)
            turning = [tx, tx + math.pi, ty, ty + math.pi]
        params = [shape.start, shape.start + shape.sweep]
        params += [shape.start + d for d in ((t - shape.start) % TAU for t in turning) if d < shape.sweep]
        points = np.array([shape.point(t) for t in params])
    (x0, y0), (x1, y1) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return Box(x0, y0, x1, y1)


@dataclass(frozen=True, slots=True)
class Placing:
    """Scale (paper mm per model mm), then turn (radians), then shift (mm). Maps model geometry onto paper."""

    scale: float = 1.0
    dx: float = 0.0
    dy: float = 0.0
    turn: float = 0.0

    def point(self, p: Sequence[float]) -> P:
        """Return the image of a point (x, y)."""
        c, s = math.cos(self.turn) * self.scale, math.sin(self.turn) * self.scale
        return (c * p[0] - s * p[1] + self.dx, s * p[0] + c * p[1] + self.dy)

    def shape(self, shape: Shape) -> Shape:
        """Return the image of a shape."""
        if isinstance(shape, Line):
            return Line(self.point(shape.a), self.point(shape.b))
        if isinstance(shape, Poly):
            return Poly(tuple(self.point(p) for p in shape.points), shape.closed)
        centre = self.point(shape.centre)
        if isinstance(shape, Arc):
            return Arc(centre, shape.radius * self.scale, shape.start + self.turn, shape.sweep)
        c, s = math.cos(self.turn) * self.scale, math.sin(self.turn) * self.scale
        mx, my = shape.major
        return Ellipse(centre, (c * mx - s * my, s * mx + c * my), shape.ratio, shape.start, shape.sweep)


def circle(centre: Sequence[float], diameter: float) -> Arc:
    """Return a full circle. centre: (x, y) mm; diameter in mm."""
    return Arc((float(centre[0]), float(centre[1])), diameter / 2.0)


def arc_from_bulge(a: P, b: P, bulge: float) -> Shape:
    """Return the line or arc between two points. bulge: tangent of a quarter of the sweep, +
    counter-clockwise.
    """
    chord = math.dist(a, b)
    if abs(bulge) < 1e-12 or chord < 1e-12:
        return Line(a, b)
    offset = chord * (1.0 - bulge * bulge) / (4.0 * bulge)
    ux, uy = (b[0] - a[0]) / chord, (b[1] - a[1]) / chord
    centre = ((a[0] + b[0]) / 2.0 - uy * offset, (a[1] + b[1]) / 2.0 + ux * offset)
    sweep = 4.0 * math.atan(bulge)
    first = a if sweep > 0 else b
    start = math.atan2(first[1] - centre[1], first[0] - centre[0])
    return Arc(centre, math.dist(centre, a), start, abs(sweep))


def from_vertices(vertices: ArrayLike, closed: bool = True) -> list[Shape]:
    """Return lines and arcs of an outline. vertices: (n, 2) or (n, 3) x, y[, bulge] in mm."""
    rows = np.asarray(vertices, dtype=np.float64)
    if rows.ndim != 2 or rows.shape[1] not in (2, 3):
        raise ValueError(f"vertices: (n, 2) or (n, 3) needed, got shape {rows.shape}")
    shapes: list[Shape] = []
    for i in range(len(rows) if closed else len(rows) - 1):
        here, there = rows[i], rows[(i + 1) % len(rows)]
        a, b = (float(here[0]), float(here[1])), (float(there[0]), float(there[1]))
        if math.dist(a, b) > 1e-9:
            shapes.append(arc_from_bulge(a, b, float(here[2]) if rows.shape[1] == 3 else 0.0))
    return shapes


def hatch(
    loops: Iterable[NDArray[np.float64]], spacing_mm: float, angle_deg: float = 45.0, phase: float = 0.0
) -> list[Line]:
    """Return section lines that fill closed loops by the even-odd rule.

    loops: polygons (n, 2) in mm, flattened, first point not repeated or repeated, either is taken.
    spacing_mm: distance between lines, > 0. angle_deg: their slope. phase: shift as a fraction of the
    spacing, so that adjacent parts with the same slope do not run on.
    """
    if not spacing_mm > 0.0:
        raise ValueError(f"hatch spacing must be above 0 mm, got {spacing_mm}")
    angle = math.radians(angle_deg)
    c, s = math.cos(angle), math.sin(angle)
    along, across = np.array([c, s]), np.array([-s, c])
    starts, ends = [], []
    for loop in loops:
        starts.append(loop)
        ends.append(np.roll(loop, -1, axis=0))
    if not starts:
        return []
    p, q = np.vstack(starts), np.vstack(ends)
    pu, pv, qu, qv = p @ along, p @ across, q @ along, q @ across
    lines: list[Line] = []
    lowest, highest = float(min(pv.min(), qv.min())), float(max(pv.max(), qv.max()))
    for k in range(math.ceil(lowest / spacing_mm - phase), math.floor(highest / spacing_mm - phase) + 1):
        # A hair off the grid: a line through a vertex would count it twice.
        v = (k + phase) * spacing_mm + 1e-7
        crossing = (pv > v) != (qv > v)
        if not crossing.any():
            continue
        f = (v - pv[crossing]) / (qv[crossing] - pv[crossing])
        hits = np.sort(pu[crossing] + f * (qu[crossing] - pu[crossing]))
        for u0, u1 in zip(hits[0::2].tolist(), hits[1::2].tolist(), strict=False):
            if u1 - u0 > spacing_mm * 0.05:
                a, b = u0 * along + v * across, u1 * along + v * across
                lines.append(Line((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))))
    return lines
