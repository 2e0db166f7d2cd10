"""A STEP file read back by a fresh reader: its solids, and the cylinders, cones, planes and patches of their faces."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from strutwright.exporters.files.step import StepError
from strutwright.models import frames
from strutwright.models.frames import Vector

SAME_LINE_MM = 1e-4
_SAME_RAD = 1e-6


@dataclass(frozen=True, slots=True)
class ReadPart:
    """One solid of a STEP file: the name it carries and its cadquery shape, in mm, in its place."""

    name: str
    shape: Any


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Round:
    """A cylinder or cone of a solid.

    point (3,): on the axis, the apex of a cone; axis (3,): unit; radius_mm: of a cylinder, of a cone its greatest;
    half_angle_rad: 0 for a cylinder; hollow: material outside; low, high: reach along the axis from point, mm;
    turn_rad: how far round it goes; face: the face, or one of those it is divided into.
    """

    part: int
    point: Vector
    axis: Vector
    radius_mm: float
    half_angle_rad: float
    hollow: bool
    low: float
    high: float
    turn_rad: float
    face: Any

    def off(self, place: Vector) -> float:
        """Distance of a place (3,) from the axis, mm."""
        return float(np.linalg.norm(np.cross(place - self.point, self.axis)))

    def same_line(self, other: Round) -> bool:
        """True when both have one axis."""
        ends = (other.point, other.point + 100.0 * other.axis)
        return all(self.off(p) < SAME_LINE_MM for p in ends)

    @property
    def whole(self) -> bool:
        """True when it goes all the way round, so that it is a hole and no rounded corner."""
        return self.turn_rad > 1.9 * math.pi


@dataclass(frozen=True, slots=True, eq=False)
class Flat:
    """A plane face: a point (3,) in it (its centroid), the unit normal (3,) out of the material, area, the face."""

    part: int
    point: Vector
    normal: Vector
    area_mm2: float
    face: Any


@dataclass(frozen=True, slots=True, eq=False)
class Bent:
    """A face on a patch of another kind, by its poles: a face of second order is one, blends and sections are too."""

    part: int
    face: Any

    def places(self, count: int) -> Vector:
        """Places (count^2, 3) of the patch under the face, evenly over its own parameters."""
        from OCP.BRepAdaptor import BRepAdaptor_Surface

        surface = BRepAdaptor_Surface(self.face.wrapped)
        us = np.linspace(surface.FirstUParameter(), surface.LastUParameter(), count)
        vs = np.linspace(surface.FirstVParameter(), surface.LastVParameter(), count)
        return np.array([_vector(surface.Value(u, v)) for u in us for v in vs])


@dataclass(frozen=True, slots=True)
class Read:
    """What was read: parts, and all their round, flat and bent faces."""

    parts: tuple[ReadPart, ...]
    rounds: tuple[Round, ...]
    flats: tuple[Flat, ...]
    bents: tuple[Bent, ...] = ()


def lean_deg(way: Vector, other: Vector) -> float:
    """Return the angle (degrees, 0 to 90) between the lines along two unit vectors (3,)."""
    return math.degrees(math.asin(min(1.0, float(np.linalg.norm(np.cross(way, other))))))


def read_step(path: Path) -> Read:
    """Return the parts of a STEP file, and their faces that can be measured. Raises StepError when it has none."""
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDF import TDF_LabelSequence
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    doc = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone or not reader.Transfer(doc):
        raise StepError(f"{path.name}: cannot be read back")
    tool = XCAFDoc_DocumentTool.ShapeTool_s(doc.Main())
    roots = TDF_LabelSequence()
    tool.GetFreeShapes(roots)
    parts: list[ReadPart] = []
    for label in (roots.Value(i) for i in range(1, roots.Length() + 1)):
        parts += _parts_under(label)
    if not parts:
        raise StepError(f"{path.name}: holds no solid")
    rounds: list[Round] = []
    flats: list[Flat] = []
    bents: list[Bent] = []
    for number, part in enumerate(parts):
        for face in part.shape.Faces():
            item = _face(face, number)
            if isinstance(item, Round):
                rounds.append(item)
            elif isinstance(item, Flat):
                flats.append(item)
            elif item is not None:
                bents.append(item)
    return Read(tuple(parts), tuple(_merged(rounds)), tuple(flats), tuple(bents))


def _parts_under(label: Any) -> list[ReadPart]:
    import cadquery as cq
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDF import TDF_Label, TDF_LabelSequence
    from OCP.XCAFDoc import XCAFDoc_ShapeTool as Tool

    def name_of(where: Any) -> str:
        name = TDataStd_Name()
        return name.Get().ToExtString() if where.FindAttribute(TDataStd_Name.GetID_s(), name) else ""

    below = TDF_LabelSequence()
    target = TDF_Label()
    real = target if Tool.GetReferredShape_s(label, target) else label
    if not Tool.IsAssembly_s(real):
        return [ReadPart(name_of(real), cq.Shape.cast(Tool.GetShape_s(label)))]
    Tool.GetComponents_s(real, below)
    out: list[ReadPart] = []
    for i in range(1, below.Length() + 1):
        out += _parts_under(below.Value(i))
    return out


def _vector(p: Any) -> Vector:
    return np.array([p.X(), p.Y(), p.Z()])


def _face(face: Any, part: int) -> Round | Flat | Bent | None:
    """A face as one of the kinds that can be measured, or None."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_SurfaceType
    from OCP.gp import gp_Pnt, gp_Vec
    from OCP.TopAbs import TopAbs_Orientation

    surface = BRepAdaptor_Surface(face.wrapped)
    kind = surface.GetType()
    kinds = (GeomAbs_SurfaceType.GeomAbs_Plane, GeomAbs_SurfaceType.GeomAbs_Cylinder, GeomAbs_SurfaceType.GeomAbs_Cone)
    if kind in (GeomAbs_SurfaceType.GeomAbs_BezierSurface, GeomAbs_SurfaceType.GeomAbs_BSplineSurface):
        return Bent(part, face)
    if kind not in kinds:
        return None
    u0, u1 = surface.FirstUParameter(), surface.LastUParameter()
    place, along_u, along_v = gp_Pnt(), gp_Vec(), gp_Vec()
    surface.D1((u0 + u1) / 2, (surface.FirstVParameter() + surface.LastVParameter()) / 2, place, along_u, along_v)
    normal = frames.unit(np.cross(_vector(along_u), _vector(along_v)))
    if face.wrapped.Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
        normal = -normal
    if kind == kinds[0]:
        return Flat(part, _vector(face.Center().toPnt()), normal, face.Area(), face)
    form = surface.Cylinder() if kind == kinds[1] else surface.Cone()
    axis = _vector(form.Axis().Direction())
    half = 0.0 if kind == kinds[1] else abs(form.SemiAngle())
    point = _vector(form.Axis().Location()) if kind == kinds[1] else _vector(form.Apex())
    rim = np.array([_vector(e.positionAt(t).toPnt()) for e in face.Edges() for t in np.linspace(0.0, 1.0, 9)]) - point
    reach = rim @ axis
    if kind == kinds[2] and reach.mean() < 0.0:
        axis, reach = -axis, -reach
    radii = np.linalg.norm(rim - np.outer(rim @ axis, axis), axis=1)
    radius = form.Radius() if kind == kinds[1] else float(radii.max())
    away = _vector(place) - point
    hollow = float(normal @ (away - (away @ axis) * axis)) < 0.0
    return Round(
        part=part,
        point=point,
        axis=axis,
        radius_mm=float(radius),
        half_angle_rad=half,
        hollow=hollow,
        low=float(reach.min()),
        high=float(reach.max()),
        turn_rad=u1 - u0,
        face=face,
    )


def _merged(rounds: Sequence[Round]) -> list[Round]:
    """Make one of the faces into which a cylinder or cone is divided; what lies apart on one axis stays apart."""
    out: list[Round] = []
    for r in rounds:
        for k, other in enumerate(out):
            if (
                other.part == r.part
                and other.hollow == r.hollow
                and other.same_line(r)
                and abs(other.half_angle_rad - r.half_angle_rad) < _SAME_RAD
                and (
                    abs(other.radius_mm - r.radius_mm) < SAME_LINE_MM
                    if r.half_angle_rad == 0.0
                    else np.linalg.norm(other.point - r.point) < SAME_LINE_MM
                )
            ):
                sign = 1.0 if float(r.axis @ other.axis) > 0 else -1.0
                shift = float((r.point - other.point) @ other.axis)
                ends = (shift + sign * r.low, shift + sign * r.high)
                if min(ends) > other.high + SAME_LINE_MM or max(ends) < other.low - SAME_LINE_MM:
                    continue
                turn = (
                    other.turn_rad + r.turn_rad
                    if min(ends) < other.high and max(ends) > other.low
                    else max(other.turn_rad, r.turn_rad)
                )
                out[k] = replace(
                    other,
                    low=min(other.low, *ends),
                    high=max(other.high, *ends),
                    turn_rad=turn,
                    radius_mm=max(other.radius_mm, r.radius_mm),
                )
                break
        else:
            out.append(r)
    return out
