"""Exact hidden-line views and plane sections of a solid, as plain lines, arcs and ellipses in mm.

The kernel finds edges and outlines on the true surfaces, `visibility` what of them can be seen. What comes out is
tidied: splines that are straight become lines, zero lengths and duplicates go, touching collinear lines and arcs of
one circle join, and hidden lines that lie behind visible ones are dropped. Other splines become polylines within a
stated tolerance. The kernel is imported inside the functions, as it is slow to load.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.drawing.curves import SeenCurve, as_poly, flat_curve, seen_curves
from strutwright.exporters.drawing.shapes import P, Poly, Shape, flatten
from strutwright.exporters.drawing.tidy import TOLERANCE_MM, tidy
from strutwright.exporters.drawing.visibility import Screen, facets, off_body, spans
from strutwright.models.solids import watch

if TYPE_CHECKING:
    import cadquery as cq

Vector = tuple[float, float, float]

SPLINE_ERROR_MM = 0.01
"""Greatest distance between a spline of the kernel and the polyline drawn for it."""


@dataclass(frozen=True, slots=True)
class Viewpoint:
    """Where a view is taken from: `toward` points from the part to the eye, `right` is the sheet's x direction.

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
        """Return the place (x, y) in the view of a point (mm). `toward` and `right` must be square unit vectors."""
        d = [p - o for p, o in zip(point, self.origin, strict=True)]
        x = sum(a * b for a, b in zip(d, self.right, strict=True))
        y = sum(a * b for a, b in zip(d, self.up, strict=True))
        return (x, y)


FRONT = Viewpoint((0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
TOP = Viewpoint((0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
RIGHT = Viewpoint((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
LEFT = Viewpoint((-1.0, 0.0, 0.0), (0.0, -1.0, 0.0))


@dataclass(frozen=True, slots=True)
class Projected:
    """A view. visible, hidden: curves in view mm. smooth: visible tangent edges. seconds: time the kernel took."""

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


def project(
    shape: cq.Shape | Any, view: Viewpoint, *, hidden: bool = True, error_mm: float = SPLINE_ERROR_MM
) -> Projected:
    """Return the hidden-line view of a solid, exact on its true surfaces.

    shape: cadquery Shape or Workplane, or a kernel shape, in mm. view: where it is seen from. hidden: also return
    hidden edges (otherwise an empty tuple). error_mm: greatest deviation of a polyline drawn for a spline. Curves are
    in view mm with `view.origin` at (0, 0). Tangent (smooth) edges come apart, to be drawn thin or not.
    """
    watch.beat()
    begun = time.perf_counter()
    solid = _occ(shape)
    points, triangles, fine = facets(solid)
    axes = np.array([view.right, view.up, view.toward])
    screen = Screen((points - np.array(view.origin)) @ axes.T, triangles, fine)
    box = _box(screen.points)
    curves = [
        (piece, is_smooth)
        for curve, is_smooth in seen_curves(solid, view, error_mm, fine.step)
        for piece in _on_body(curve, screen, box)
    ]
    shown, covered = spans(screen, [c.places for c, _ in curves])
    visible: list[Shape] = []
    smooth: list[Shape] = []
    behind: list[Shape] = []
    for (curve, is_smooth), seen, concealed in zip(curves, shown, covered, strict=True):
        (smooth if is_smooth else visible).extend(curve.piece(a, b) for a, b in seen)
        if hidden and not is_smooth:
            behind += [curve.piece(a, b) for a, b in concealed]
    seen_, smoothed, hidden_ = tidy([visible, smooth, behind])
    return Projected(tuple(seen_), tuple(hidden_), tuple(smoothed), time.perf_counter() - begun)


def _box(body: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the low and the high corner (2, 3) of the box round a body's places (m, 3), a hundredth to spare; round
    nothing one that holds everything."""
    if not len(body):
        return np.array([[-np.inf] * 3, [np.inf] * 3])
    low, high = body.min(axis=0), body.max(axis=0)
    spare = 0.01 * float(np.linalg.norm(high - low))
    return np.array([low - spare, high + spare])


def _folds(vertices: NDArray[np.float64]) -> bool:
    """Whether a chain of places (n, 3) turns back on itself."""
    way = np.diff(vertices, axis=0)
    long = np.linalg.norm(way, axis=1)
    along = (way[1:] * way[:-1]).sum(axis=1)
    return bool((along < -0.5 * long[1:] * long[:-1])[(long[1:] > 0.5) & (long[:-1] > 0.5)].any())


def _on_body(curve: SeenCurve, screen: Screen, box: NDArray[np.float64]) -> list[SeenCurve]:
    """What of a curve lies on the body: all of it, but for the kernel's slips.

    The kernel may run an outline past the edge of a spline surface, where it swings far off the body and back. A curve
    that leaves the body's box or folds is taken apart, and what does not lie on the mesh is dropped.
    """
    inside = bool((curve.places >= box[0]).all() and (curve.places <= box[1]).all())
    if not isinstance(curve.whole, Poly):
        return [curve] if inside else []
    places = curve.places[np.searchsorted(curve.at, np.arange(curve.at[-1] + 1.0))]
    if inside and not _folds(places):
        return [curve]
    good = off_body(places, screen.points, screen.triangles) <= max(5.0 * screen.fine.mesh, 0.1)
    ends = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]).astype(int)))
    runs = [(a, b) for a, b in zip(ends[::2].tolist(), ends[1::2].tolist(), strict=True) if b - a > 1]
    return [as_poly(places[a:b], screen.fine.step) for a, b in runs]


def section(
    shape: cq.Shape | Any, view: Viewpoint, *, hidden: bool = False, error_mm: float = SPLINE_ERROR_MM
) -> Section:
    """Return a full section: the part on the eye's side of the plane through `view.origin` is taken away.

    The plane is square to `view.toward`. Arguments as `project`. The cut faces come as closed loops for
    hatching and as exact curves. Raises ValueError when the plane does not meet the solid.
    """
    begun = time.perf_counter()
    cut = cut_faces(shape, view, error_mm=error_mm)
    rest = project(behind(shape, view), view, hidden=hidden, error_mm=error_mm)
    seen = Projected(rest.visible, rest.hidden, rest.smooth, time.perf_counter() - begun)
    return Section(seen, cut.loops, cut.edges)


def behind(shape: cq.Shape | Any, view: Viewpoint) -> Any:
    """Return what of a solid lies behind the plane through `view.origin`, square to `view.toward`: a kernel shape."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    solid = _occ(shape)
    reach = _reach(solid, view)
    low = [o - reach * (r + u) for o, r, u in zip(view.origin, view.right, view.up, strict=True)]
    square = gp_Ax2(gp_Pnt(*low), gp_Dir(*view.toward), gp_Dir(*view.right))
    eye_side = BRepPrimAPI_MakeBox(square, 2.0 * reach, 2.0 * reach, reach).Shape()
    return BRepAlgoAPI_Cut(solid, eye_side).Shape()


class CutFaces(NamedTuple):
    """What a plane cuts of a solid, without what is seen behind it; see Section."""

    loops: tuple[NDArray[np.float64], ...]
    edges: tuple[Shape, ...]


def cut_faces(shape: cq.Shape | Any, view: Viewpoint, *, error_mm: float = SPLINE_ERROR_MM) -> CutFaces:
    """Return the faces in which the plane through `view.origin`, square to `view.toward`, cuts a solid. Raises
    ValueError when it does not meet it."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pln, gp_Pnt

    watch.beat()
    solid = _occ(shape)
    reach = _reach(solid, view)
    plane = gp_Pln(gp_Ax3(gp_Pnt(*view.origin), gp_Dir(*view.toward), gp_Dir(*view.right)))
    face = BRepBuilderAPI_MakeFace(plane, -reach, reach, -reach, reach).Face()
    loops, edges = _cut_faces(BRepAlgoAPI_Common(solid, face).Shape(), view, error_mm)
    if not loops:
        raise ValueError(f"section plane through {view.origin} square to {view.toward} does not meet the part")
    (tidied,) = tidy([edges])
    return CutFaces(tuple(loops), tuple(tidied))


def _reach(solid: Any, view: Viewpoint) -> float:
    """How far from the view's origin a plane or box must reach to hold the solid, mm."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib
    from OCP.gp import gp_Pnt

    box = Bnd_Box()
    BRepBndLib.Add_s(solid, box)
    corner, opposite, centre = box.CornerMin(), box.CornerMax(), gp_Pnt(*view.origin)
    far = max(corner.Distance(centre), opposite.Distance(centre), corner.Distance(opposite), 1.0)
    return 2.0 * float(far)


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
            curve = flat_curve(edge, error_mm)
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
