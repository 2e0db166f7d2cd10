"""The one language of 2-D shapes: lines, arcs, ellipses, polylines, texts and filled areas, with their boxes, moves and
flattening. Lengths in mm, angles in radians, in model size and on paper alike.

An outline of the models becomes shapes in `from_vertices` and nowhere else. There is one writer for each kind of file:
`dxfdoc` for DXF, `pdf`, `svg`; sheets, cut files and their full-size paper, and plots all go through them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal, NamedTuple, TypeAlias, TypeVar

import numpy as np
from numpy.typing import ArrayLike

from strutwright.exporters.drawing.style import Kind
from strutwright.exporters.drawing.text import DESCENT, hangs, text_width
from strutwright.models.outline.segments import POINT_TOL_MM, Floats, segments_of

P = tuple[float, float]

Anchor = Literal["left", "centre", "right"]


def xy(point: Sequence[float] | Floats) -> P:
    """Return the first two coordinates of a point as plain numbers."""
    return float(point[0]), float(point[1])


def along(p: Sequence[float], direction: float, distance: float) -> P:
    """Return the point `distance` from p in a direction (radians)."""
    return (p[0] + distance * math.cos(direction), p[1] + distance * math.sin(direction))


@dataclass(frozen=True, slots=True)
class Line:
    """Straight line from `a` to `b`."""

    a: P
    b: P


@dataclass(frozen=True, slots=True)
class Arc:
    """Circular arc from angle `start` over `sweep` > 0 counter-clockwise; a sweep of 2 pi is a full circle."""

    centre: P
    radius: float
    start: float = 0.0
    sweep: float = math.tau

    @property
    def full(self) -> bool:
        """True for a whole circle."""
        return _goes_round(self)

    def point(self, angle: float) -> P:
        """Return the point of the circle at `angle`."""
        return (self.centre[0] + self.radius * math.cos(angle), self.centre[1] + self.radius * math.sin(angle))


@dataclass(frozen=True, slots=True)
class Ellipse:
    """Elliptical arc: half major axis as a vector, minor/major `ratio`, parameter from `start` over `sweep` > 0."""

    centre: P
    major: P
    ratio: float
    start: float = 0.0
    sweep: float = math.tau

    def point(self, t: float) -> P:
        """Return the point at parameter `t`."""
        mx, my = self.major
        c, s = math.cos(t), math.sin(t) * self.ratio
        return (self.centre[0] + mx * c - my * s, self.centre[1] + my * c + mx * s)


@dataclass(frozen=True, slots=True)
class Poly:
    """Polyline through points; `closed` joins the last to the first. bulges: of the arc that follows each point
    (tangent of a quarter of its sweep, + counter-clockwise); none at all where every piece is straight.
    """

    points: tuple[P, ...]
    closed: bool = False
    bulges: tuple[float, ...] = ()

    def pieces(self) -> list[Line | Arc]:
        """Return its lines and arcs in order, those without length left out."""
        points, count = np.array(self.points), len(self.points) - (not self.closed)
        bulges = np.array(self.bulges or (0.0,) * len(points))
        seg = segments_of(points[:count], np.roll(points, -1, axis=0)[:count], bulges[:count])
        found: list[Line | Arc] = []
        for k in np.flatnonzero(seg.chord > 1e-9):
            sweep = float(seg.sweep_rad[k])
            if sweep == 0.0:
                found.append(Line(xy(seg.start[k]), xy(seg.end[k])))
                continue
            x, y = (seg.start if sweep > 0.0 else seg.end)[k] - seg.centre[k]
            found.append(Arc(xy(seg.centre[k]), float(seg.radius[k]), math.atan2(y, x), abs(sweep)))
        return found


Shape = Line | Arc | Ellipse | Poly


class Box(NamedTuple):
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

    def corners(self) -> tuple[P, P, P, P]:
        """Return the corners, counter-clockwise from the lower left one."""
        return (self.x0, self.y0), (self.x1, self.y0), (self.x1, self.y1), (self.x0, self.y1)

    def outline(self) -> Poly:
        """Return the four sides."""
        return Poly(self.corners(), True)

    def grown(self, by: float) -> Box:
        """Return the box with every side moved outward by `by` mm."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def moved(self, dx: float, dy: float) -> Box:
        """Return the box shifted by (dx, dy) mm."""
        return Box(self.x0 + dx, self.y0 + dy, self.x1 + dx, self.y1 + dy)

    def hits(self, other: Box) -> bool:
        """True when the inner areas overlap by more than a millionth of a millimetre."""
        eps = 1e-6
        across = self.x0 < other.x1 - eps and other.x0 < self.x1 - eps
        return across and self.y0 < other.y1 - eps and other.y0 < self.y1 - eps

    def holds(self, other: Box) -> bool:
        """True when `other` lies inside or on the border."""
        eps = 1e-6
        across = self.x0 <= other.x0 + eps and self.x1 >= other.x1 - eps
        return across and self.y0 <= other.y0 + eps and self.y1 >= other.y1 - eps


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled triangle or quadrangle (arrow head, dot)."""

    points: tuple[P, ...]
    kind: Kind


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text. `at` is on the base line at the left, middle or right; turn in radians."""

    text: str
    at: P
    height_mm: float = 3.5
    anchor: Anchor = "left"
    turn: float = 0.0
    kind: Kind = "text"

    @property
    def width(self) -> float:
        """Its length, shipped font."""
        return text_width(self.text, self.height_mm)

    def rectangle(self, clearance_mm: float, low_mm: float = 0.0) -> tuple[P, P, P, P]:
        """Return the corners of the (turned) rectangle of its capitals, grown by clearance_mm, and low_mm downward."""
        left = {"left": 0.0, "centre": -self.width / 2.0, "right": -self.width}[self.anchor] - clearance_mm
        low = -low_mm - clearance_mm
        right, top = left + self.width + 2.0 * clearance_mm, self.height_mm + clearance_mm
        c, s = math.cos(self.turn), math.sin(self.turn)
        x, y = self.at
        a, b, p, q = ((x + c * u - s * v, y + s * u + c * v) for u, v in Box(left, low, right, top).corners())
        return a, b, p, q

    def corners(self, clearance_mm: float = 0.0) -> tuple[P, P, P, P]:
        """Return the same round all its letters, those that hang under the base line too."""
        return self.rectangle(clearance_mm, DESCENT * self.height_mm if hangs(self.text) else 0.0)

    def middle(self) -> P:
        """Return the middle of its own rectangle."""
        corners = self.corners()
        return (sum(p[0] for p in corners) / 4.0, sum(p[1] for p in corners) / 4.0)

    def box(self) -> Box:
        """Return the upright box round the text."""
        return box_round(self.corners())


S = TypeVar("S", bound="Shape | Text | Fill")


def box_round(points: Iterable[P]) -> Box:
    """Return the least box round points."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def union(boxes: Iterable[Box]) -> Box:
    """Return the least box round all boxes. Raises ValueError when there is none."""
    found = list(boxes)
    if not found:
        raise ValueError("no boxes to join")
    return Box(min(b.x0 for b in found), min(b.y0 for b in found), max(b.x1 for b in found), max(b.y1 for b in found))


def flatten(shape: Shape, chord_error_mm: float = 0.02) -> Floats:
    """Return points (n, 2) of the shape with the given greatest distance between chord and curve, mm."""
    if isinstance(shape, Line):
        return np.array([shape.a, shape.b])
    if isinstance(shape, Poly):
        points = np.array(shape.points)
        if any(shape.bulges):
            rows = [points[:1]]
            for piece in shape.pieces():
                way = flatten(piece, chord_error_mm)
                back = math.dist(way[0], rows[-1][-1]) > math.dist(way[-1], rows[-1][-1])
                rows.append(way[::-1][1:] if back else way[1:])
            return np.vstack(rows)
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


PenMove: TypeAlias = tuple[Literal["M", "L", "C", "Z"], tuple[P, ...]]


def pen_moves(shapes: Iterable[Shape]) -> Iterator[PenMove]:
    """Yield the moves of a pen along shapes, by the letters of SVG: to a place, along a straight line, along a Bezier
    curve (two pulls and its end), and back to where a closed one began. A shape that begins, or an arc that ends, where
    the last one ended goes on there.

    Curves go by 30 degrees at most: within 3e-8 of the radius.
    """
    last: P | None = None
    for shape in shapes:
        moves = list(_along(shape, last))
        if not moves:
            continue
        goes_on = last is not None and math.dist(last, moves[0][1][0]) <= 1e-6
        yield from moves[goes_on:]
        last = moves[-1][1][-1]
        if shape.closed if isinstance(shape, Poly) else not isinstance(shape, Line) and _goes_round(shape):
            yield "Z", ()
            last = None


def _along(shape: Shape, last: P | None) -> Iterator[PenMove]:
    """The moves along one shape, from its beginning. last: where the pen stands, None where it is up."""
    if isinstance(shape, Poly):
        if len(shape.points) < 2:
            return
        yield "M", (xy(shape.points[0]),)
        if not any(shape.bulges):
            yield from (("L", (xy(p),)) for p in shape.points[1:])
            return
        last = xy(shape.points[0])
        for piece in shape.pieces():
            _, *moves = _along(piece, last)
            yield from moves
            last = moves[-1][1][-1]
    elif isinstance(shape, Line):
        yield "M", (shape.a,)
        yield "L", (shape.b,)
    else:
        first, curves = _bezier(shape, last)
        yield "M", (first,)
        yield from curves


def _goes_round(shape: Arc | Ellipse) -> bool:
    return shape.sweep >= math.tau - 1e-9


def _bezier(shape: Arc | Ellipse, last: P | None) -> tuple[P, list[tuple[Literal["L", "C"], tuple[P, ...]]]]:
    """Where an arc begins, and the curves along it; the other way where the last shape ended at its end."""
    start, sweep = shape.start, shape.sweep
    if last is not None and not _goes_round(shape):
        near, far = (math.dist(last, shape.point(t)) for t in (start, start + sweep))
        if far < 1e-6 < near:
            start, sweep = start + sweep, -sweep
    count = max(math.ceil(abs(sweep) / math.radians(30.0)), 1)
    step = sweep / count
    pull = 4.0 / 3.0 * math.tan(step / 4.0)

    def pulled(t: float, by: float) -> P:
        # A quarter turn on lies the way along the curve, seen from its centre.
        (x, y), (u, v) = shape.point(t), shape.point(t + math.pi / 2.0)
        return (x + by * (u - shape.centre[0]), y + by * (v - shape.centre[1]))

    at = [start + k * step for k in range(count + 1)]
    return shape.point(start), [("C", (pulled(a, pull), pulled(b, -pull), shape.point(b))) for a, b in pairwise(at)]


def bounds(shape: Shape | Text | Fill) -> Box:
    """Return the bounding box, exact for all curves."""
    if isinstance(shape, Text):
        return shape.box()
    if isinstance(shape, Line):
        return box_round((shape.a, shape.b))
    if isinstance(shape, Fill | Poly):
        if isinstance(shape, Poly) and any(shape.bulges):
            return union(map(bounds, shape.pieces()))
        return box_round(shape.points)
    if isinstance(shape, Arc):
        turning = [k * math.pi / 2.0 for k in range(4)]
    else:
        mx, my = shape.major
        tx, ty = math.atan2(-my * shape.ratio, mx), math.atan2(mx * shape.ratio, my)
        turning = [tx, tx + math.pi, ty, ty + math.pi]
    params = [shape.start, shape.start + shape.sweep]
    params += [shape.start + d for d in ((t - shape.start) % math.tau for t in turning) if d < shape.sweep]
    return box_round(map(shape.point, params))


def between(shape: Shape, first: float, last: float) -> Shape:
    """Return what of a shape lies from `first` on to `last`: mm along a line from its start, the angle of an arc, the
    parameter of an ellipse, the number of a straight-sided polyline's point with the fraction of the way to the next.
    """
    if isinstance(shape, Line):
        (x, y), length = shape.a, math.dist(shape.a, shape.b)
        dx, dy = (shape.b[0] - x) / length, (shape.b[1] - y) / length
        return Line((x + first * dx, y + first * dy), (x + last * dx, y + last * dy))
    if not isinstance(shape, Poly):
        return replace(shape, start=first % math.tau, sweep=min(last - first, math.tau))
    points = np.array([*shape.points, *shape.points[: int(shape.closed)]])
    number = np.arange(len(points))
    if shape.closed and first <= 0.0 and last >= number[-1]:
        return shape
    at = [first, *range(math.floor(first + 1e-9) + 1, math.ceil(last - 1e-9)), last]
    xs, ys = (np.interp(at, number, points[:, k]).tolist() for k in (0, 1))
    kept = [(xs[0], ys[0])]
    for point in zip(xs[1:], ys[1:], strict=True):
        if math.dist(point, kept[-1]) > 1e-6:
            kept.append(point)
    return Line(kept[0], kept[-1]) if len(kept) <= 2 else Poly(tuple(kept))


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

    def shape(self, shape: S) -> S:
        """Return the image of a shape."""
        if isinstance(shape, Line):
            return replace(shape, a=self.point(shape.a), b=self.point(shape.b))
        if isinstance(shape, Poly | Fill):
            return replace(shape, points=tuple(map(self.point, shape.points)))
        if isinstance(shape, Text):
            height = shape.height_mm * self.scale
            return replace(shape, at=self.point(shape.at), height_mm=height, turn=shape.turn + self.turn)
        centre = self.point(shape.centre)
        if isinstance(shape, Arc):
            return replace(shape, centre=centre, radius=shape.radius * self.scale, start=shape.start + self.turn)
        c, s = math.cos(self.turn) * self.scale, math.sin(self.turn) * self.scale
        mx, my = shape.major
        return replace(shape, centre=centre, major=(c * mx - s * my, s * mx + c * my))


def circle(centre: Sequence[float], diameter: float) -> Arc:
    """Return a full circle. centre: (x, y) mm; diameter in mm."""
    return Arc(xy(centre), diameter / 2.0)


def from_vertices(vertices: ArrayLike, closed: bool = True) -> Poly:
    """Return an outline as a polyline, without points that repeat the one after them. vertices: (n, 2) or (n, 3) x,
    y[, bulge] in mm, as of an `Outline`; ValueError for another shape or numbers that are not finite.
    """
    rows = np.asarray(vertices, dtype=np.float64)
    if rows.ndim != 2 or rows.shape[1] not in (2, 3) or not np.isfinite(rows).all():
        raise ValueError(f"vertices: finite ones (n, 2) or (n, 3) needed, got shape {rows.shape}")
    keep = np.hypot(*(np.roll(rows[:, :2], -1, axis=0) - rows[:, :2]).T) > POINT_TOL_MM
    keep[-1:] |= not closed
    rows = rows[keep]
    return Poly(tuple(map(xy, rows)), closed, tuple(rows[:, 2].tolist()) if rows[:, 2:].any() else ())


def clip(quad: ArrayLike, segments: Floats) -> tuple[Floats, Floats]:
    """Return for segments (n, 4) the shares of their length, from and to, between which they lie in a quadrangle.

    quad: (4, 2), convex, counter-clockwise. A segment that misses it has from above to (Cyrus and Beck's clipping).
    """
    corner = np.asarray(quad)
    side = np.roll(corner, -1, axis=0) - corner
    inward = np.stack((-side[:, 1], side[:, 0]), axis=1)[..., None]
    start = ((segments[:, :2] - corner[:, None]) @ inward)[..., 0]
    slope = ((segments[:, 2:] - segments[:, :2]) @ inward)[..., 0]
    level = np.abs(slope) < 1e-12
    with np.errstate(divide="ignore", invalid="ignore"):
        t = -start / slope
    low = np.where(~level & (slope > 0), t, 0.0).max(axis=0, initial=0.0)
    high = np.where(~level & (slope < 0), t, 1.0).min(axis=0, initial=1.0)
    return np.where((level & (start <= 1e-9)).any(axis=0), 2.0, low), high


def overlap(first: Iterable[P], second: Iterable[P]) -> bool:
    """True when two rectangles (four corners each, in order) overlap by more than a millionth of a millimetre."""
    a, b = np.array(list(first)), np.array(list(second))
    for quad in (a, b):
        for side in (quad[1] - quad[0], quad[2] - quad[1]):
            axis = np.array([-side[1], side[0]])
            length = float(np.hypot(*axis))
            if length < 1e-12:
                continue
            pa, pb = a @ axis / length, b @ axis / length
            if pa.max() <= pb.min() + 1e-6 or pb.max() <= pa.min() + 1e-6:
                return False
    return True


def hatch(loops: Iterable[Floats], spacing_mm: float, angle_deg: float = 45.0) -> list[Line]:
    """Return section lines that fill closed loops by the even-odd rule.

    loops: polygons (n, 2) in mm, flattened, first point not repeated or repeated, either is taken. spacing_mm: distance
    between lines, > 0. angle_deg: their slope.
    """
    if not spacing_mm > 0.0:
        raise ValueError(f"hatch spacing must be above 0 mm, got {spacing_mm}")
    angle = math.radians(angle_deg)
    c, s = math.cos(angle), math.sin(angle)
    along, across = np.array([c, s]), np.array([-s, c])
    starts = list(loops)
    if not starts:
        return []
    p, q = np.vstack(starts), np.vstack([np.roll(loop, -1, axis=0) for loop in starts])
    pu, pv, qu, qv = p @ along, p @ across, q @ along, q @ across
    lines: list[Line] = []
    lowest, highest = float(min(pv.min(), qv.min())), float(max(pv.max(), qv.max()))
    for k in range(math.ceil(lowest / spacing_mm), math.floor(highest / spacing_mm) + 1):
        # A hair off the grid: a line through a vertex would count it twice.
        v = k * spacing_mm + 1e-7
        crossing = (pv > v) != (qv > v)
        if not crossing.any():
            continue
        f = (v - pv[crossing]) / (qv[crossing] - pv[crossing])
        hits = np.sort(pu[crossing] + f * (qu[crossing] - pu[crossing]))
        for u0, u1 in zip(hits[0::2].tolist(), hits[1::2].tolist(), strict=False):
            if u1 - u0 > spacing_mm * 0.05:
                a, b = u0 * along + v * across, u1 * along + v * across
                lines.append(Line(xy(a), xy(b)))
    return lines
