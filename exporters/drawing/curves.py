"""Edges of the kernel as plain curves: lines, arcs, ellipses, and polylines where there is nothing plainer.

The kernel is imported inside the functions, as it is slow to load.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.drawing.shapes import Arc, Ellipse, Line, P, Poly, Shape
from strutwright.exporters.drawing.tidy import TOLERANCE_MM
from strutwright.exporters.drawing.visibility import Walk

if TYPE_CHECKING:
    from strutwright.exporters.drawing.projection import Viewpoint


def view_axes(view: Viewpoint) -> Any:
    """Return a view's axes as the kernel takes them."""
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    return gp_Ax2(gp_Pnt(*view.origin), gp_Dir(*view.toward), gp_Dir(*view.right))


def edges_of(compound: Any) -> list[Any]:
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    found = []
    explorer = TopExp_Explorer(compound, TopAbs_EDGE)
    while explorer.More():
        found.append(TopoDS.Edge(explorer.Current()))
        explorer.Next()
    return found


@dataclass(frozen=True, slots=True)
class StraightCurve:
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
class RoundCurve:
    """A circle or ellipse as seen: whole shape, and its angle as scale * u + shift."""

    walk: Walk
    whole: Arc | Ellipse
    scale: float
    shift: float

    def piece(self, u0: float, u1: float) -> Shape:
        a, b = sorted((self.scale * u0 + self.shift, self.scale * u1 + self.shift))
        sweep = min(b - a, math.tau)
        if isinstance(self.whole, Arc):
            return Arc(self.whole.centre, self.whole.radius, a % math.tau, sweep)
        return Ellipse(self.whole.centre, self.whole.major, self.whole.ratio, a % math.tau, sweep)


@dataclass(frozen=True, slots=True)
class BentCurve:
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


SeenCurve = StraightCurve | RoundCurve | BentCurve


def seen_curves(solid: Any, view: Viewpoint, error_mm: float, step_mm: float) -> list[tuple[SeenCurve, bool]]:
    """Return every edge and outline of the solid as seen, hidden or not, and whether it is a smooth edge."""
    from OCP.BRepLib import BRepLib
    from OCP.gp import gp_Ax3, gp_Trsf
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape, HLRBRep_TypeOfResultingEdge
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    algorithm = HLRBRep_Algo()
    algorithm.Add(solid)
    algorithm.Projector(HLRAlgo_Projector(view_axes(view)))
    algorithm.Update()
    out = HLRBRep_HLRToShape(algorithm)
    flat = gp_Trsf()
    flat.SetTransformation(gp_Ax3(view_axes(view)))
    place = TopLoc_Location(flat)
    kinds = HLRBRep_TypeOfResultingEdge
    found = []
    for kind in (kinds.HLRBRep_Sharp, kinds.HLRBRep_OutLine, kinds.HLRBRep_Rg1Line):
        compound = out.CompoundOfEdges(kind, True, True)
        if compound is None or compound.IsNull():
            continue
        BRepLib.BuildCurves3d_s(compound)
        for edge in edges_of(compound):
            curve = _seen_curve(TopoDS.Edge(edge.Moved(place)), error_mm, step_mm)
            if curve is not None:
                found.append((curve, kind == kinds.HLRBRep_Rg1Line))
    return found


def _seen_curve(edge: Any, error_mm: float, step_mm: float) -> SeenCurve | None:
    """One edge in view axes as a curve on paper; None when it is seen as a point."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Ellipse, GeomAbs_Line

    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    kind = curve.GetType()
    if kind == GeomAbs_Line:
        return _as_line(walk_along(np.array([0.0, 1.0]), _places(curve, 2), step_mm))
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
    points = _sampled(curve, error_mm)
    points = points[np.concatenate([[True], np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-7])]
    if len(points) < 2 or np.ptp(points[:, :2], axis=0).max() <= TOLERANCE_MM:
        return None
    fine = _places(curve, 17)
    walk = walk_along(np.arange(len(points), dtype=float), points, step_mm)
    if _straight(np.vstack([points, fine])[:, :2]) is not None:
        return _as_line(walk)
    round_ = _circular(fine[:, :2])
    if round_ is not None:
        angle = np.unwrap(np.arctan2(walk.points[:, 1] - round_.centre[1], walk.points[:, 0] - round_.centre[0]))
        if angle[-1] < angle[0]:
            angle, walk = angle[::-1], Walk(walk.u, walk.points[::-1])
        if (np.diff(angle) > 0.0).all():
            return RoundCurve(Walk(angle, walk.points), round_, 1.0, 0.0)
    return BentCurve(walk, points[:, :2])


def walk_along(u: NDArray[np.float64], points: NDArray[np.float64], step_mm: float) -> Walk:
    """Return the places with more set between them, so that no step is much longer than step_mm."""
    length = np.linalg.norm(np.diff(points, axis=0), axis=1)
    count = np.maximum(np.ceil(length / step_mm).astype(int), 1)
    if len(points) == 2:
        count = np.maximum(count, 4)
    fine = np.concatenate([*(u[i] + (u[i + 1] - u[i]) * np.arange(n) / n for i, n in enumerate(count)), u[-1:]])
    return Walk(fine, np.column_stack([np.interp(fine, u, points[:, k]) for k in range(3)]))


def _as_line(walk: Walk) -> StraightCurve | None:
    xy = walk.points[:, :2]
    far = xy[np.argmax(np.hypot(*(xy - xy[0]).T))] - xy[0]
    length = float(np.hypot(*far))
    if length <= TOLERANCE_MM:
        return None
    return StraightCurve(walk, (float(xy[0, 0]), float(xy[0, 1])), (float(far[0]) / length, float(far[1]) / length))


def _as_conic(
    walk: Walk, centre: NDArray[np.float64], u: NDArray[np.float64], v: NDArray[np.float64]
) -> StraightCurve | RoundCurve | None:
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
        return RoundCurve(walk, Arc(middle, float(size[0])), way, start - way * shift)
    major = (float(size[0] * left[0, 0]), float(size[0] * left[1, 0]))
    return RoundCurve(walk, Ellipse(middle, major, float(size[1] / size[0])), way, -way * shift)


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
    return Arc((float(cx), float(cy)), radius, start % math.tau, min(abs(sweep), math.tau))


def flat_curve(edge: Any, error_mm: float) -> Shape | None:
    """Return a kernel edge that lies in the plane z = 0 as a plain curve; None when it has no length."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Ellipse, GeomAbs_Line

    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    kind = curve.GetType()
    if kind == GeomAbs_Line:
        line = Line(*((x, y) for x, y, _ in _places(curve, 2).tolist()))
        return line if math.dist(line.a, line.b) > TOLERANCE_MM else None
    if kind in (GeomAbs_Circle, GeomAbs_Ellipse):
        conic = curve.Circle() if kind == GeomAbs_Circle else curve.Ellipse()
        x, y = conic.Position().XDirection(), conic.Position().YDirection()
        centre = (conic.Location().X(), conic.Location().Y())
        left_handed = x.X() * y.Y() - x.Y() * y.X() < 0
        low, high = (-last, -first) if left_handed else (first, last)
        sweep = min(high - low, math.tau)
        if kind == GeomAbs_Circle:
            if conic.Radius() * sweep <= TOLERANCE_MM:
                return None
            return Arc(centre, conic.Radius(), (math.atan2(x.Y(), x.X()) + low) % math.tau, sweep)
        major = conic.MajorRadius()
        return Ellipse(centre, (major * x.X(), major * x.Y()), conic.MinorRadius() / major, low % math.tau, sweep)
    points = _sampled(curve, error_mm)[:, :2]
    if np.ptp(points, axis=0).max() <= TOLERANCE_MM:
        return None
    fine = _places(curve, 17)[:, :2]
    simple = _straight(np.vstack([points, fine])) or _circular(fine)
    if simple is not None:
        return simple
    closed = math.dist(points[0], points[-1]) <= TOLERANCE_MM
    rows = points[:-1] if closed else points
    return Poly(tuple((float(a), float(b)) for a, b in rows), closed)


def _places(curve: Any, count: int) -> NDArray[np.float64]:
    """Places (count, 3) along a kernel curve, its ends among them."""
    at = map(curve.Value, np.linspace(curve.FirstParameter(), curve.LastParameter(), count))
    return np.array([(p.X(), p.Y(), p.Z()) for p in at])


def _sampled(curve: Any, error_mm: float) -> NDArray[np.float64]:
    """Places (n, 3) along a kernel curve, whose chords stay within error_mm of it."""
    from OCP.GCPnts import GCPnts_QuasiUniformDeflection

    sampler = GCPnts_QuasiUniformDeflection(curve, error_mm)
    if not sampler.IsDone() or sampler.NbPoints() < 2:
        return _places(curve, 33)
    return np.array([(p.X(), p.Y(), p.Z()) for p in map(sampler.Value, range(1, sampler.NbPoints() + 1))])
