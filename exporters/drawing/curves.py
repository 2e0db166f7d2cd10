"""Edges of the kernel as plain curves: lines, arcs, ellipses, and polylines where there is nothing plainer.

The kernel is imported inside the functions, as it is slow to load.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.drawing.shapes import Arc, Ellipse, Line, Poly, Shape, between, xy
from strutwright.exporters.drawing.tidy import TOLERANCE_MM

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
class SeenCurve:
    """A curve as seen. places: (n, 3) along it, in view axes. whole: the shape it lies on; at: (n,) where on that the
    places are (the parameter that `between` takes), which runs back where the curve does.
    """

    places: NDArray[np.float64]
    whole: Shape
    at: NDArray[np.float64]

    def piece(self, first: float, last: float) -> Shape:
        """Return the shape between two places, by their numbers with the fraction of the way to the next."""
        number = np.arange(len(self.at))
        ends = np.interp((first, last), number, self.at)
        met = np.concatenate([ends, self.at[(number > first) & (number < last)]])
        return between(self.whole, float(met.min()), float(met.max()))


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
        return _as_line(stepped(_places(curve, 2), step_mm)[0])
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
        return _as_conic(points, t, centre, u, v)
    points = sampled(curve, error_mm)
    points = points[np.concatenate([[True], np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-7])]
    if len(points) < 2 or np.ptp(points[:, :2], axis=0).max() <= TOLERANCE_MM:
        return None
    fine = _places(curve, 17)
    if _straight(np.vstack([points, fine])[:, :2]):
        return _as_line(stepped(points, step_mm)[0])
    round_ = _circular(fine[:, :2])
    if round_ is not None:
        places, _ = stepped(points, step_mm)
        angle = np.unwrap(np.arctan2(places[:, 1] - round_.centre[1], places[:, 0] - round_.centre[0]))
        way = np.diff(angle)
        if (way > 0.0).all() or (way < 0.0).all():
            return SeenCurve(places, round_, angle)
    return as_poly(points, step_mm)


def stepped(points: NDArray[np.float64], step_mm: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the places (n, 3) with more set between them, so that no step is much longer than step_mm, and which of
    the given ones each is, with the fraction of the way to the next.
    """
    length = np.linalg.norm(np.diff(points, axis=0), axis=1)
    count = np.maximum(np.ceil(length / step_mm).astype(int), 1)
    if len(points) == 2:
        count = np.maximum(count, 4)
    at = np.concatenate([*(i + np.arange(n) / n for i, n in enumerate(count)), [len(points) - 1.0]])
    return np.column_stack([np.interp(at, np.arange(len(points)), points[:, k]) for k in range(3)]), at


def as_poly(points: NDArray[np.float64], step_mm: float) -> SeenCurve:
    """Return the polyline through points (n, 3) in view axes."""
    places, at = stepped(points, step_mm)
    return SeenCurve(places, _polyline(points), at)


def _polyline(points: NDArray[np.float64]) -> Poly:
    closed = math.dist(points[0, :2], points[-1, :2]) <= TOLERANCE_MM
    return Poly(tuple(map(xy, points[: len(points) - closed])), closed)


def _as_line(places: NDArray[np.float64]) -> SeenCurve | None:
    rows = places[:, :2]
    far = rows[np.argmax(np.hypot(*(rows - rows[0]).T))]
    whole = Line(xy(rows[0]), xy(far))
    length = math.dist(whole.a, whole.b)
    return SeenCurve(places, whole, (rows - rows[0]) @ ((far - rows[0]) / length)) if length > TOLERANCE_MM else None


def _as_conic(
    places: NDArray[np.float64],
    t: NDArray[np.float64],
    centre: NDArray[np.float64],
    u: NDArray[np.float64],
    v: NDArray[np.float64],
) -> SeenCurve | None:
    """centre + u cos t + v sin t as seen: its half axes are the singular values of (u, v)."""
    middle = xy(centre)
    left, size, right = np.linalg.svd(np.column_stack([u[:2], v[:2]]))
    if size[1] <= TOLERANCE_MM:
        return _as_line(places)
    # u cos t + v sin t = left . (size0 cos(t - shift), +-size1 sin(t - shift))
    way = float(np.sign(np.linalg.det(left) * np.linalg.det(right)))
    shift = math.atan2(right[0, 1], right[0, 0])
    if size[0] - size[1] <= TOLERANCE_MM / 10:
        start = math.atan2(float(left[1, 0]), float(left[0, 0]))
        return SeenCurve(places, Arc(middle, float(size[0])), way * t + (start - way * shift))
    major = xy(size[0] * left[:, 0])
    return SeenCurve(places, Ellipse(middle, major, float(size[1] / size[0])), way * t - way * shift)


def _straight(points: NDArray[np.float64]) -> bool:
    """Whether all places of a spline lie on one line."""
    centre = points.mean(axis=0)
    _, _, axes = np.linalg.svd(points - centre, full_matrices=False)
    return bool(np.abs((points - centre) @ axes[1]).max() <= TOLERANCE_MM)


def _circular(points: NDArray[np.float64]) -> Arc | None:
    """The circle that all places of a spline lie on; None where there is none."""
    design = np.column_stack([2.0 * points, np.ones(len(points))])
    (cx, cy, k), *_ = np.linalg.lstsq(design, (points**2).sum(axis=1), rcond=None)
    square = k + cx * cx + cy * cy
    if square <= 0.0:
        return None
    radius = math.sqrt(square)
    if radius > 1e4 or np.abs(np.hypot(points[:, 0] - cx, points[:, 1] - cy) - radius).max() > TOLERANCE_MM:
        return None
    return Arc(xy((cx, cy)), radius)


def flat_curve(edge: Any, error_mm: float) -> Shape | None:
    """Return a kernel edge that lies in the plane z = 0 as a plain curve; None when it has no length."""
    curve = _seen_curve(edge, error_mm, math.inf)
    return None if curve is None else curve.piece(0.0, len(curve.at) - 1.0)


def _places(curve: Any, count: int) -> NDArray[np.float64]:
    """Places (count, 3) along a kernel curve, its ends among them."""
    at = map(curve.Value, np.linspace(curve.FirstParameter(), curve.LastParameter(), count))
    return np.array([(p.X(), p.Y(), p.Z()) for p in at])


def sampled(curve: Any, error_mm: float) -> NDArray[np.float64]:
    """Return places (n, 3) along a kernel curve, whose chords stay within error_mm of it."""
    from OCP.GCPnts import GCPnts_QuasiUniformDeflection

    sampler = GCPnts_QuasiUniformDeflection(curve, error_mm)
    if not sampler.IsDone() or sampler.NbPoints() < 2:
        return _places(curve, 33)
    return np.array([(p.X(), p.Y(), p.Z()) for p in map(sampler.Value, range(1, sampler.NbPoints() + 1))])
