"""Solids from skins: an arm or fin with its root blends, as one closed body."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from strutwright.models.geometry.beads import Ring
from strutwright.models.geometry.skins import Patch, Skin
from strutwright.models.geometry.splines import DEGREE
from strutwright.models.solids import kernel
from strutwright.models.solids.kernel import KernelError, Solid

SEW_MM = 1e-5


def solid(made: Skin) -> Solid:
    """Return the closed body inside a skin, its ends capped by planes. Raises KernelError when it does not close.

    >>> low = np.array([(0, 0, 0), (10, 0, 0), (10, 10, 0), (0, 10, 0), (0, 0, 0)], dtype=float)
    >>> rows, knots = np.stack((low, low + (0, 0, 5)), axis=1), np.repeat((0.0, 1.0), 4)
    >>> sides = tuple(Patch(knots, np.linspace(a, b, 4), True) for a, b in zip(rows, rows[1:]))
    >>> round(solid(Skin((sides,))).Volume(), 6)  # 10 x 10 x 5
    500.0
    """
    caps = [_cap(strip, row) for strip, row in ((made.strips[0], 0), (made.strips[-1], -1))]
    return _sewn([_face(patch) for strip in made.strips for patch in strip] + caps)


def ring(made: Ring) -> Solid:
    """Return the closed ring inside a skin. Raises KernelError when it does not close.

    >>> turn, knots = np.array([(0, 1, 0), (-1, 0, 0), (0, 0, 1)]), np.repeat((0.0, 1.0), 4)
    >>> rows = [np.array([(5, 0, 0), (6, 0, 0), (5, 0, 3)]) @ np.linalg.matrix_power(turn, k) for k in range(5)]
    >>> sides = [[Patch(knots, np.linspace(a[[i, i - 1]], b[[i, i - 1]], 4), True) for a, b in zip(rows, rows[1:])]
    ...     for i in range(3)]
    >>> round(ring(Ring(tuple(map(tuple, sides)))).Volume(), 6)  # 2 x (6^3 - 5^3) - 2 x 5^2 x 3
    32.0
    """
    return _sewn([_face(patch) for strip in made.strips for patch in strip])


def _sewn(faces: Sequence[Any]) -> Solid:
    import cadquery as cq
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Sewing

    sewing = BRepBuilderAPI_Sewing(SEW_MM)
    for face in faces:
        sewing.Add(face)
    sewing.Perform()
    shells = cq.Shape.cast(sewing.SewedShape()).Shells()
    if len(shells) != 1 or not shells[0].wrapped.Closed():
        raise KernelError("the skin of a part does not close")
    body = cq.Solid.makeSolid(shells[0])
    return body if body.Volume() > 0 else cq.Solid(body.wrapped.Reversed())


def _knots(knots: np.ndarray) -> tuple[Any, Any]:
    from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal

    values, times = np.unique(knots, return_counts=True)
    real, whole = TColStd_Array1OfReal(1, len(values)), TColStd_Array1OfInteger(1, len(values))
    for i, (v, t) in enumerate(zip(values, times, strict=True)):
        real.SetValue(i + 1, float(v))
        whole.SetValue(i + 1, int(t))
    return real, whole


def _point(p: np.ndarray) -> Any:
    from OCP.gp import gp_Pnt

    return gp_Pnt(*p.tolist())


def _curve(patch: Patch, row: int) -> Any:
    from OCP.Geom import Geom_BSplineCurve
    from OCP.TColgp import TColgp_Array1OfPnt

    poles = TColgp_Array1OfPnt(1, len(patch.poles))
    for i, p in enumerate(patch.poles[:, row]):
        poles.SetValue(i + 1, _point(p))
    return Geom_BSplineCurve(poles, *_knots(patch.knots), DEGREE)


def _face(patch: Patch) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.Geom import Geom_BSplineSurface
    from OCP.TColgp import TColgp_Array2OfPnt

    if patch.flat:
        return _plane(patch)
    count, rows, _ = patch.poles.shape
    grid = TColgp_Array2OfPnt(1, count, 1, rows)
    for i in range(count):
        for j in range(rows):
            grid.SetValue(i + 1, j + 1, _point(patch.poles[i, j]))
    across = _knots(np.repeat((0.0, 1.0), rows))
    round_, times = _knots(patch.knots)
    surface = Geom_BSplineSurface(grid, round_, across[0], times, across[1], DEGREE, rows - 1)
    return BRepBuilderAPI_MakeFace(surface, 1e-7).Face()


def _edge(patch: Patch, row: int) -> Any:
    import cadquery as cq
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge

    ends = patch.poles[0, row], patch.poles[-1, row]
    way = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    if np.linalg.norm(np.cross(patch.poles[:, row] - ends[0], way), axis=1).max() < 1e-7:
        return kernel.line(*ends)
    return cq.Edge(BRepBuilderAPI_MakeEdge(_curve(patch, row)).Edge())


def _plane(patch: Patch) -> Any:
    """Return a flat patch as a true plane, against which later cuts and views are quick."""
    import cadquery as cq

    poles = patch.poles
    around = [
        _edge(patch, 0),
        kernel.line(poles[-1, 0], poles[-1, 1]),
        _edge(patch, 1),
        kernel.line(poles[0, 0], poles[0, 1]),
    ]
    return cq.Face.makeFromWires(cq.Wire.assembleEdges(around)).wrapped


def _cap(strip: tuple[Patch, ...], row: int) -> Any:
    import cadquery as cq

    wire = cq.Wire.assembleEdges([_edge(patch, row) for patch in strip])
    if not wire.IsClosed():
        raise KernelError("the end of a part does not close")
    return cq.Face.makeFromWires(wire).wrapped
