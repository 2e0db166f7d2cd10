"""Exact hidden-line views and plane sections of a solid, as plain lines, arcs and ellipses in mm.

The kernel finds edges and outlines on the true surfaces, `visibility` what of them can be seen. What comes out is
tidied: splines that are straight become lines, zero lengths and duplicates go, touching collinear lines and arcs of
one circle join, and hidden lines that lie behind visible ones are dropped. Other splines become polylines within a
stated tolerance. The kernel is imported inside the functions, as it is slow to load.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.drawing.shapes import TAU, Arc, Ellipse, Line, P, Poly, Shape, flatten
from strutwright.exporters.drawing.visibility import Screen, Walk, facets, off_body, spans
from strutwright.models.solids import watch

if TYPE_CHECKING:
    import cadquery as cq

Vector = tuple[float, float, float]

TOLERANCE_MM = 1e-4
"""Ends nearer than this are one point, lines and circles nearer than this are the same."""

SPLINE_ERROR_MM = 0.01
"""Greatest distance between a spline of the kernel and the polyline drawn for it."""


@dataclass(frozen=True, slots=True)
class Viewpoint:
    """Where a view is taken from: `toward` points from the part to the eye, `right` is the sheet's x
    direction.

    origin: the point (mm) that lies at (0, 0) of the view; in a section it lies on the cutting plane.
    """

    toward: Vector
    right: Vector
    origin: Vector = (0.0, 0.0, 0.0)

    @property
    def up(self) -> Vector:
        """The sheet's y direction."""
        a, b = self.toward, self.right
        x, y, z = a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]
        return (x, y, z)

    def project(self, point: Vector) -> P:
        """Return the place (x, y) in the view of a point (mm). `toward` and `right` must be square unit
        vectors.
        """
        d = [p - o for p, o in zip(point, self.origin, strict=True)]
        x = sum(a * b for a, b in zip(d, self.right, strict=True))
        y = sum(a * b for a, b in zip(d, self.up, strict=True))
        return (x, y)


FRONT = Viewpoint((0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
REAR = Viewpoint((0.0, 1.0, 0.0), (-1.0, 0.0, 0.0))
TOP = Viewpoint((0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
BOTTOM = Viewpoint((0.0, 0.0, -1.0), (1.0, 0.0, 0.0))
RIGHT = Viewpoint((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
LEFT = Viewpoint((-1.0, 0.0, 0.0), (0.0, -1.0, 0.0))


@dataclass(frozen=True, slots=True)
class Projected:
    """A view. visible, hidden: curves in view mm. smooth: visible tangent edges. seconds: time the kernel
    took.
    """

    visible: tuple[Shape, ...]
    hidden: tuple[Shape, ...]
    smooth: tuple[Shape, ...]
    seconds: float


@dataclass(frozen=True, slots=True)
class Section:
    """A cut. view: what is seen behind the plane, cut edges included; loops: cut faces as closed polygons (n,
    2) mm, outer and inner together, for hatching by the even-odd rule; edges: exact curves of the cut faces.
    """

    view: Projected
    loops: tuple[NDArray[np.float64], ...]
    edges: tuple[Shape, ...]


def _occ(shape: cq.Shape | Any) -> Any:
    """Take a cadquery shape, a Workplane or a bare kernel shape."""
    if hasattr(shape, "vals"):
        import cadquery as cq

        values = shape.vals()
        return values[0].wrapped if len(values) == 1 else cq.Compound.makeCompound(values).wrapped
    return getattr(shape, "wrapped", shape)


def _axes(view: Viewpoint) -> Any:
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    return gp_Ax2(gp_Pnt(*view.origin), gp_Dir(*view.toward), gp_Dir(*view.right))


def _edges(compound: Any) -> list[Any]:
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    found = []
    explorer = TopExp_Explorer(compound, TopAbs_EDGE)
    while explorer.More():
        found.append(TopoDS.Edge(explorer.Current()))
        explorer.Next()
    return found


def _straight(points: NDArray[np.float64]) -> Line | None:
    """A curve whose points all lie on one line is that line (over its whole extent)."""
    centre = points.mean(axis=0)
    _, _, axes = np.linalg.svd(points - centre, full_matrices=False)
    across = (points - centre) @ np.array([-axes[0, 1], axes[0, 0]])
    if np.abs(across).max() > TOLERANCE_MM:
        return None
    along = (points - centre) @ axes[0]
    a, b = centre + along.min() * axes[0], centre + along.max() * axes[0]
    return Line((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))


def _circular(points: NDArray[np.float64]) -> Arc | None:
    """A spline whose points all lie on one circle is that arc."""
    design = np.column_stack([2.0 * points, np.ones(len(points))])
    (cx, cy, k), *_ = np.linalg.lstsq(design, (points**2).sum(axis=1), rcond=None)
    square = k + cx * cx + cy * cy
    if square <= 0.0:
        return None
    radius = math.sqrt(square)
    if radius > 1e4 or np.abs(np.hypot(points[:, 0] - cx, points[:, 1] - cy) - radius).max() > TOLERANCE_MM:
        return None
    angle = np.unwrap(np.arctan2(points[:, 1] - cy, points[:, 0] - cx))
    sweep = float(angle[-1] - angle[0])
    start = float(angle[0] if sweep > 0 else angle[-1])
    return Arc((float(cx), float(cy)), radius, start % TAU, min(abs(sweep), TAU))


def _curve(edge: Any, error_mm: float) -> Shape | None:
    """One kernel edge that lies in the plane z = 0 as a plain curve; None when it has no length."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GCPnts import GCPnts_QuasiUniformDeflection
    from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Ellipse, GeomAbs_Line

    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    kind = curve.GetType()

    def at(t: float) -> P:
        point = curve.Value(t)
        return (point.X(), point.Y())

    if kind == GeomAbs_Line:
        line = Line(at(first), at(last))
        return line if math.dist(line.a, line.b) > TOLERANCE_MM else None
    if kind in (GeomAbs_Circle, GeomAbs_Ellipse):
        conic = curve.Circle() if kind == GeomAbs_Circle else curve.Ellipse()
        x, y = conic.Position().XDirection(), conic.Position().YDirection()
        centre = (conic.Location().X(), conic.Location().Y())
        left_handed = x.X() * y.Y() - x.Y() * y.X() < 0
        low, high = (-last, -first) if left_handed else (first, last)
        sweep = min(high - low, TAU)
        if kind == GeomAbs_Circle:
            if conic.Radius() * sweep <= TOLERANCE_MM:
                return None
            return Arc(centre, conic.Radius(), (math.atan2(x.Y(), x.X()) + low) % TAU, sweep)
        major = conic.MajorRadius()
        return Ellipse(centre, (major * x.X(), major * x.Y()), conic.MinorRadius() / major, low % TAU, sweep)
    sampler = GCPnts_QuasiUniformDeflection(curve, error_mm)
    if not sampler.IsDone() or sampler.NbPoints() < 2:
        points = np.array([at(t) for t in np.linspace(first, last, 33)])
    else:
        points = np.array([(p.X(), p.Y()) for p in map(sampler.Value, range(1, sampler.NbPoints() + 1))])
    if np.ptp(points, axis=0).max() <= TOLERANCE_MM:
        return None
    fine = np.array([at(t) for t in np.linspace(first, last, 17)])
    simple = _straight(np.vstack([points, fine])) or _circular(fine)
    if simple is not None:
        return simple
    closed = math.dist(points[0], points[-1]) <= TOLERANCE_MM
    rows = points[:-1] if closed else points
    return Poly(tuple((float(a), float(b)) for a, b in rows), closed)


def _curves(compound: Any, error_mm: float) -> list[Shape]:
    if compound is None or compound.IsNull():
        return []
    from OCP.BRepLib import BRepLib

    BRepLib.BuildCurves3d_s(compound)
    return [c for c in (_curve(e, error_mm) for e in _edges(compound)) if c is not None]


Span = tuple[float, float]


def _joined(spans: list[Span], gap: float) -> list[Span]:
    joined: list[Span] = []
    for a, b in sorted(spans):
        if joined and a <= joined[-1][1] + gap:
            joined[-1] = (joined[-1][0], max(joined[-1][1], b))
        else:
            joined.append((a, b))
    return joined


def _without(spans: list[Span], covered: list[Span], least: float) -> list[Span]:
    left: list[Span] = []
    for a, b in spans:
        for c, d in covered:
            if d <= a or c >= b:
                continue
            if c - a > least:
                left.append((a, c))
            a = max(a, d)
        if b - a > least:
            left.append((a, b))
    return left


@dataclass(slots=True)
class _Carrier:
    """An endless line (direction, offset), a circle or an ellipse with the spans drawn on it."""

    key: tuple[float, ...]
    spans: list[list[Span]]


def _line_key(line: Line) -> tuple[float, float, float]:
    dx, dy = line.b[0] - line.a[0], line.b[1] - line.a[1]
    length = math.hypot(dx, dy)
    dx, dy = dx / length, dy / length
    if dx < -1e-9 or (abs(dx) <= 1e-9 and dy < 0):
        dx, dy = -dx, -dy
    return dx, dy, line.a[1] * dx - line.a[0] * dy


def tidy(groups: Iterable[Iterable[Shape]]) -> list[list[Shape]]:
    """Return the groups with duplicates removed and collinear or concentric pieces joined.

    groups: in order of precedence (visible before hidden); what an earlier group draws is taken out of later
    ones. Lines and arcs are cut exactly; ellipses and polylines are only dropped when an equal one stands
    already.
    """
    lines: list[_Carrier] = []
    rounds: list[_Carrier] = []
    rest: list[list[Shape]] = []
    seen: set[tuple[object, ...]] = set()
    count = 0
    for level, group in enumerate(groups):
        count = level + 1
        rest.append([])
        for shape in group:
            if isinstance(shape, Line):
                if math.dist(shape.a, shape.b) <= TOLERANCE_MM:
                    continue
                key: tuple[float, ...] = _line_key(shape)
                dx, dy, _ = key
                ends = sorted((p[0] * dx + p[1] * dy) for p in (shape.a, shape.b))
                carrier = _find(lines, key, (1e-7, 1e-7, TOLERANCE_MM), span=max(abs(e) for e in ends))
                _grow(carrier, level).append((ends[0], ends[1]))
            elif isinstance(shape, Arc | Ellipse):
                key, start = _round_key(shape)
                carrier = _find(rounds, key, (TOLERANCE_MM,) * len(key))
                spans = _grow(carrier, level)
                if start + shape.sweep > TAU + 1e-9:
                    spans += [(start, TAU), (0.0, start + shape.sweep - TAU)]
                else:
                    spans.append((start, start + shape.sweep))
            else:
                middle = flatten(shape, 0.05)
                ends_of = sorted((tuple(np.round(middle[0], 3)), tuple(np.round(middle[-1], 3))))
                mark = (
                    type(shape).__name__,
                    *ends_of,
                    *np.round(middle.min(axis=0), 2),
                    *np.round(middle.max(axis=0), 2),
                )
                if mark not in seen:
                    seen.add(mark)
                    rest[level].append(shape)
    out: list[list[Shape]] = [[] for _ in range(count)]
    for carrier in lines:
        dx, dy, offset = carrier.key
        covered: list[Span] = []
        for level, spans in enumerate(carrier.spans):
            kept = _without(_joined(spans, TOLERANCE_MM), covered, 10 * TOLERANCE_MM)
            covered = _joined(covered + spans, TOLERANCE_MM)
            for a, b in kept:
                out[level].append(
                    Line((a * dx - offset * dy, a * dy + offset * dx), (b * dx - offset * dy, b * dy + offset * dx))
                )
    for carrier in rounds:
        covered = []
        gap = TOLERANCE_MM / _radius(carrier.key)
        for level, spans in enumerate(carrier.spans):
            kept = _without(_joined(spans, gap), covered, 10 * gap)
            covered = _joined(covered + spans, gap)
            if len(kept) > 1 and kept[0][0] <= gap and kept[-1][1] >= TAU - gap:
                first = kept.pop(0)
                kept[-1] = (kept[-1][0], kept[-1][1] + first[1] - first[0])
            out[level] += [_round(carrier.key, a, min(b - a, TAU)) for a, b in kept]
    return [o + r for o, r in zip(out, rest, strict=True)]


def _round_key(shape: Arc | Ellipse) -> tuple[tuple[float, ...], float]:
    """Key of a circle or ellipse, and the start angle counted from the key's own axis."""
    if isinstance(shape, Arc):
        return (*shape.centre, shape.radius), shape.start % TAU
    (mx, my), start = shape.major, shape.start
    if mx < -TOLERANCE_MM or (abs(mx) <= TOLERANCE_MM and my < 0):
        mx, my, start = -mx, -my, start + math.pi
    return (*shape.centre, mx, my, shape.ratio * math.hypot(mx, my)), start % TAU


def _radius(key: tuple[float, ...]) -> float:
    return key[2] if len(key) == 3 else math.hypot(key[2], key[3])


def _round(key: tuple[float, ...], start: float, sweep: float) -> Arc | Ellipse:
    if len(key) == 3:
        return Arc((key[0], key[1]), key[2], start, sweep)
    return Ellipse((key[0], key[1]), (key[2], key[3]), key[4] / math.hypot(key[2], key[3]), start, sweep)


def _find(carriers: list[_Carrier], key: tuple[float, ...], within: tuple[float, ...], span: float = 1.0) -> _Carrier:
    for carrier in carriers:
        if len(carrier.key) != len(key):
            continue
        near = zip(carrier.key, key, within, strict=True)
        if all(abs(a - b) <= max(tol, 1e-9 * span) for a, b, tol in near):
            return carrier
    carriers.append(_Carrier(key, []))
    return carriers[-1]


def _grow(carrier: _Carrier, level: int) -> list[Span]:
    while len(carrier.spans) <= level:
        carrier.spans.append([])
    return carrier.spans[level]


def project(
    shape: cq.Shape | Any, view: Viewpoint, *, hidden: bool = True, error_mm: float = SPLINE_ERROR_MM
) -> Projected:
    """Return the hidden-line view of a solid, exact on its true surfaces.

    shape: cadquery Shape or Workplane, or a kernel shape, in mm. view: where it is seen from. hidden: also
    return hidden edges (otherwise an empty tuple). error_mm: greatest deviation of a polyline drawn for a
    spline. Curves are in view mm with `view.origin` at (0, 0). Tangent (smooth) edges come apart, to be drawn
    thin or not.
    """
    watch.beat()
    begun = time.perf_counter()
    solid = _occ(shape)
    points, triangles, fine = facets(solid)
    axes = np.array([view.right, view.up, view.toward])
    screen = Screen((points - np.array(view.origin)) @ axes.T, triangles, fine)
    curves = [
        (piece, is_smooth)
        for curve, is_smooth in _all_curves(solid, view, error_mm, fine.step)
        for piece in _on_body(curve, screen)
    ]
    shown, covered = spans(screen, [c.walk for c, _ in curves])
    visible: list[Shape] = []
    smooth: list[Shape] = []
    behind: list[Shape] = []
    for (curve, is_smooth), seen, concealed in zip(curves, shown, covered, strict=True):
        (smooth if is_smooth else visible).extend(curve.piece(a, b) for a, b in seen)
        if hidden and not is_smooth:
            behind += [curve.piece(a, b) for a, b in concealed]
    seen_, smoothed, hidden_ = tidy([visible, smooth, behind])
    return Projected(tuple(seen_), tuple(hidden_), tuple(smoothed), time.perf_counter() - begun)


def within(body: NDArray[np.float64], curve: NDArray[np.float64]) -> bool:
    """Return whether places (n, 3) of a curve lie in the box round a body's places (m, 3), a hundredth to spare."""
    if not len(body):
        return True
    low, high = body.min(axis=0), body.max(axis=0)
    spare = 0.01 * float(np.linalg.norm(high - low))
    return bool((curve >= low - spare).all() and (curve <= high + spare).all())


def _folds(vertices: NDArray[np.float64]) -> bool:
    """Whether a chain of places (n, 3) turns back on itself."""
    way = np.diff(vertices, axis=0)
    long = np.linalg.norm(way, axis=1)
    along = (way[1:] * way[:-1]).sum(axis=1)
    return bool((along < -0.5 * long[1:] * long[:-1])[(long[1:] > 0.5) & (long[:-1] > 0.5)].any())


def _on_body(curve: _Line | _Conic | _Bent, screen: Screen) -> list[_Line | _Conic | _Bent]:
    """What of a curve lies on the body: all of it, but for the kernel's slips.

    The kernel may run an outline past the edge of a spline surface, where it swings far off the body and back. A curve
    that leaves the body's box or folds is taken apart, and what does not lie on the mesh is dropped.
    """
    inside = within(screen.points, curve.walk.points)
    if not isinstance(curve, _Bent):
        return [curve] if inside else []
    index = np.arange(len(curve.vertices), dtype=float)
    places = np.column_stack([np.interp(index, curve.walk.u, curve.walk.points[:, k]) for k in range(3)])
    if inside and not _folds(places):
        return [curve]
    good = off_body(places, screen.points, screen.triangles) <= max(5.0 * screen.fine.mesh, 0.1)
    ends = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]).astype(int)))
    runs = [(a, b) for a, b in zip(ends[::2].tolist(), ends[1::2].tolist(), strict=True) if b - a > 1]
    return [
        _Bent(_walk(np.arange(b - a, dtype=float), places[a:b], screen.fine.step), places[a:b, :2]) for a, b in runs
    ]


@dataclass(frozen=True, slots=True)
class _Line:
    """A straight curve as seen; it may run back on itself."""

    walk: Walk
    origin: P
    way: P

    def piece(self, u0: float, u1: float) -> Shape:
        u, xy = self.walk.u, self.walk.points[:, :2]
        ends = [np.array([np.interp(t, u, xy[:, k]) for k in (0, 1)]) for t in (u0, u1)]
        inner = xy[(u > u0) & (u < u1)]
        t = (np.vstack([*ends, inner]) - self.origin) @ np.array(self.way)
        (x, y), (dx, dy), low, high = self.origin, self.way, float(t.min()), float(t.max())
        return Line((x + low * dx, y + low * dy), (x + high * dx, y + high * dy))


@dataclass(frozen=True, slots=True)
class _Conic:
    """A circle or ellipse as seen: whole shape, and its angle as scale * u + shift."""

    walk: Walk
    whole: Arc | Ellipse
    scale: float
    shift: float

    def piece(self, u0: float, u1: float) -> Shape:
        a, b = sorted((self.scale * u0 + self.shift, self.scale * u1 + self.shift))
        sweep = min(b - a, TAU)
        if isinstance(self.whole, Arc):
            return Arc(self.whole.centre, self.whole.radius, a % TAU, sweep)
        return Ellipse(self.whole.centre, self.whole.major, self.whole.ratio, a % TAU, sweep)


@dataclass(frozen=True, slots=True)
class _Bent:
    """A polyline; u is the number of the vertex and the fraction to the next."""

    walk: Walk
    vertices: NDArray[np.float64]

    def piece(self, u0: float, u1: float) -> Shape:
        n = len(self.vertices) - 1
        if u0 <= 0.0 and u1 >= n and math.dist(self.vertices[0], self.vertices[-1]) <= TOLERANCE_MM:
            return Poly(tuple((float(x), float(y)) for x, y in self.vertices[:-1]), True)
        at = [u0, *range(math.floor(u0 + 1e-9) + 1, math.ceil(u1 - 1e-9)), u1]
        index = np.arange(n + 1)
        xs, ys = (np.interp(at, index, self.vertices[:, k]) for k in (0, 1))
        points = [(float(x), float(y)) for x, y in zip(xs, ys, strict=True)]
        kept = points[:1]
        for point in points[1:]:
            if math.dist(point, kept[-1]) > 1e-6:
                kept.append(point)
        return Line(kept[0], kept[-1]) if len(kept) <= 2 else Poly(tuple(kept))


def _all_curves(
    solid: Any, view: Viewpoint, error_mm: float, step_mm: float
) -> list[tuple[_Line | _Conic | _Bent, bool]]:
    """Return every edge and outline of the solid as seen, hidden or not, and whether it is a smooth edge."""
    from OCP.BRepLib import BRepLib
    from OCP.gp import gp_Ax3, gp_Trsf
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape, HLRBRep_TypeOfResultingEdge
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    algorithm = HLRBRep_Algo()
    algorithm.Add(solid)
    algorithm.Projector(HLRAlgo_Projector(_axes(view)))
    algorithm.Update()
    out = HLRBRep_HLRToShape(algorithm)
    flat = gp_Trsf()
    flat.SetTransformation(gp_Ax3(_axes(view)))
    place = TopLoc_Location(flat)
    kinds = HLRBRep_TypeOfResultingEdge
    found = []
    for kind in (kinds.HLRBRep_Sharp, kinds.HLRBRep_OutLine, kinds.HLRBRep_Rg1Line):
        compound = out.CompoundOfEdges(kind, True, True)
        if compound is None or compound.IsNull():
            continue
        BRepLib.BuildCurves3d_s(compound)
        for edge in _edges(compound):
            curve = _seen_curve(TopoDS.Edge(edge.Moved(place)), error_mm, step_mm)
            if curve is not None:
                found.append((curve, kind == kinds.HLRBRep_Rg1Line))
    return found


def _seen_curve(edge: Any, error_mm: float, step_mm: float) -> _Line | _Conic | _Bent | None:
    """One edge in view axes as a curve on paper; None when it is seen as a point."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GCPnts import GCPnts_QuasiUniformDeflection
    from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Ellipse, GeomAbs_Line

    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    kind = curve.GetType()

    def at(t: float) -> tuple[float, float, float]:
        point = curve.Value(t)
        return (point.X(), point.Y(), point.Z())

    if kind == GeomAbs_Line:
        ends = np.array([at(first), at(last)])
        return _as_line(_walk(np.array([0.0, 1.0]), ends, step_mm))
    if kind in (GeomAbs_Circle, GeomAbs_Ellipse):
        conic = curve.Circle() if kind == GeomAbs_Circle else curve.Ellipse()
        radii = (conic.Radius(),) * 2 if kind == GeomAbs_Circle else (conic.MajorRadius(), conic.MinorRadius())
        position, middle = conic.Position(), conic.Location()
        x, y = position.XDirection(), position.YDirection()
        centre = np.array([middle.X(), middle.Y(), middle.Z()])
        u, v = radii[0] * np.array([x.X(), x.Y(), x.Z()]), radii[1] * np.array([y.X(), y.Y(), y.Z()])
        steps = max(math.ceil(radii[0] * (last - first) / step_mm), math.ceil((last - first) / 0.1), 4)
        t = np.linspace(first, last, steps + 1)
        points = centre + np.outer(np.cos(t), u) + np.outer(np.sin(t), v)
        return _as_conic(Walk(t, points), centre, u, v)
    sampler = GCPnts_QuasiUniformDeflection(curve, error_mm)
    if not sampler.IsDone() or sampler.NbPoints() < 2:
        points = np.array([at(t) for t in np.linspace(first, last, 33)])
    else:
        points = np.array([(p.X(), p.Y(), p.Z()) for p in map(sampler.Value, range(1, sampler.NbPoints() + 1))])
    points = points[np.concatenate([[True], np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-7])]
    if len(points) < 2 or np.ptp(points[:, :2], axis=0).max() <= TOLERANCE_MM:
        return None
    fine = np.array([at(t) for t in np.linspace(first, last, 17)])
    walk = _walk(np.arange(len(points), dtype=float), points, step_mm)
    if _straight(np.vstack([points, fine])[:, :2]) is not None:
        return _as_line(walk)
    round_ = _circular(fine[:, :2])
    if round_ is not None:
        angle = np.unwrap(np.arctan2(walk.points[:, 1] - round_.centre[1], walk.points[:, 0] - round_.centre[0]))
        if angle[-1] < angle[0]:
            angle, walk = angle[::-1], Walk(walk.u, walk.points[::-1])
        if (np.diff(angle) > 0.0).all():
            return _Conic(Walk(angle, walk.points), round_, 1.0, 0.0)
    return _Bent(walk, points[:, :2])


def _walk(u: NDArray[np.float64], points: NDArray[np.float64], step_mm: float) -> Walk:
    """Return the places with more set between them, so that no step is much longer than step_mm."""
    length = np.linalg.norm(np.diff(points, axis=0), axis=1)
    count = np.maximum(np.ceil(length / step_mm).astype(int), 1)
    if len(points) == 2:
        count = np.maximum(count, 4)
    fine = np.concatenate([*(u[i] + (u[i + 1] - u[i]) * np.arange(n) / n for i, n in enumerate(count)), u[-1:]])
    return Walk(fine, np.column_stack([np.interp(fine, u, points[:, k]) for k in range(3)]))


def _as_line(walk: Walk) -> _Line | None:
    xy = walk.points[:, :2]
    far = xy[np.argmax(np.hypot(*(xy - xy[0]).T))] - xy[0]
    length = float(np.hypot(*far))
    if length <= TOLERANCE_MM:
        return None
    return _Line(walk, (float(xy[0, 0]), float(xy[0, 1])), (float(far[0]) / length, float(far[1]) / length))


def _as_conic(
    walk: Walk, centre: NDArray[np.float64], u: NDArray[np.float64], v: NDArray[np.float64]
) -> _Line | _Conic | None:
    """centre + u cos t + v sin t as seen: its half axes are the singular values of (u, v)."""
    middle = (float(centre[0]), float(centre[1]))
    left, size, right = np.linalg.svd(np.column_stack([u[:2], v[:2]]))
    if size[1] <= TOLERANCE_MM:
        return _as_line(walk)
    # u cos t + v sin t = left . (size0 cos(t - shift), +-size1 sin(t - shift))
    way = float(np.sign(np.linalg.det(left) * np.linalg.det(right)))
    shift = math.atan2(right[0, 1], right[0, 0])
    if size[0] - size[1] <= TOLERANCE_MM / 10:
        start = math.atan2(float(left[1, 0]), float(left[0, 0]))
        return _Conic(walk, Arc(middle, float(size[0])), way, start - way * shift)
    major = (float(size[0] * left[0, 0]), float(size[0] * left[1, 0]))
    return _Conic(walk, Ellipse(middle, major, float(size[1] / size[0])), way, -way * shift)


def section(
    shape: cq.Shape | Any, view: Viewpoint, *, hidden: bool = False, error_mm: float = SPLINE_ERROR_MM
) -> Section:
    """Return a full section: the part on the eye's side of the plane through `view.origin` is taken away.

    The plane is square to `view.toward`. Arguments as `project`. The cut faces come as closed loops for
    hatching and as exact curves. Raises ValueError when the plane does not meet the solid.
    """
    from OCP.Bnd import Bnd_Box
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut
    from OCP.BRepBndLib import BRepBndLib
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
    from OCP.gp import gp_Ax2, gp_Ax3, gp_Dir, gp_Pln, gp_Pnt

    watch.beat()
    begun = time.perf_counter()
    solid = _occ(shape)
    box = Bnd_Box()
    BRepBndLib.Add_s(solid, box)
    corner, opposite = box.CornerMin(), box.CornerMax()
    centre = gp_Pnt(*view.origin)
    reach = 2.0 * max(corner.Distance(centre), opposite.Distance(centre), corner.Distance(opposite), 1.0)
    normal, right = gp_Dir(*view.toward), gp_Dir(*view.right)
    low = [o - reach * (r + u) for o, r, u in zip(view.origin, view.right, view.up, strict=True)]
    eye_side = BRepPrimAPI_MakeBox(gp_Ax2(gp_Pnt(*low), normal, right), 2.0 * reach, 2.0 * reach, reach).Shape()
    plane = gp_Pln(gp_Ax3(centre, normal, right))
    face = BRepBuilderAPI_MakeFace(plane, -reach, reach, -reach, reach).Face()
    cut_faces = BRepAlgoAPI_Common(solid, face).Shape()
    loops, edges = _cut_faces(cut_faces, view, error_mm)
    if not loops:
        raise ValueError(f"section plane through {view.origin} square to {view.toward} does not meet the part")
    rest = project(BRepAlgoAPI_Cut(solid, eye_side).Shape(), view, hidden=hidden, error_mm=error_mm)
    (tidied,) = tidy([edges])
    seen = Projected(rest.visible, rest.hidden, rest.smooth, time.perf_counter() - begun)
    return Section(seen, tuple(loops), tuple(tidied))


def _cut_faces(compound: Any, view: Viewpoint, error_mm: float) -> tuple[list[NDArray[np.float64]], list[Shape]]:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.BRepTools import BRepTools_WireExplorer
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
    from OCP.TopAbs import TopAbs_REVERSED, TopAbs_WIRE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    flat = gp_Trsf()
    flat.SetTransformation(gp_Ax3(gp_Pnt(*view.origin), gp_Dir(*view.toward), gp_Dir(*view.right)))
    placed = BRepBuilderAPI_Transform(compound, flat, True).Shape()
    loops: list[NDArray[np.float64]] = []
    edges: list[Shape] = []
    explorer = TopExp_Explorer(placed, TopAbs_WIRE)
    while explorer.More():
        walker = BRepTools_WireExplorer(TopoDS.Wire(explorer.Current()))
        pieces: list[NDArray[np.float64]] = []
        while walker.More():
            edge = walker.Current()
            curve = _curve(edge, error_mm)
            if curve is not None:
                edges.append(curve)
                points = flatten(curve, error_mm)
                start = walker.CurrentVertex()
                pieces.append(_from_end(points, start, edge.Orientation() == TopAbs_REVERSED))
            walker.Next()
        if pieces:
            loops.append(np.vstack([p[:-1] for p in pieces]))
        explorer.Next()
    return loops, edges


def _from_end(points: NDArray[np.float64], vertex: Any, turned: bool) -> NDArray[np.float64]:
    """Turn flattened points so that they begin at the wire's next vertex."""
    from OCP.BRep import BRep_Tool

    place = BRep_Tool.Pnt_s(vertex)
    at = np.array([place.X(), place.Y()])
    first, last = float(np.hypot(*(points[0] - at))), float(np.hypot(*(points[-1] - at)))
    if abs(first - last) <= TOLERANCE_MM:
        return points[::-1] if turned else points
    return points if first < last else points[::-1]
