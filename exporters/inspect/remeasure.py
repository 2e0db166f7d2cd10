"""Measure a STEP file that was just written, as an inspector would, and hold it against the parameters.

The file is read back from disk by a fresh reader; nothing of the builders is used. Bores, holes and faces are found
among the file's cylinders, cones and planes by where they lie, and the wall is measured by rays through a mesh.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from strutwright.exporters.drawing.visibility import off_body, within
from strutwright.exporters.files.mesh import ANGLE_RAD, MeshError, triangles
from strutwright.exporters.files.step import PartLike, StepError
from strutwright.models import frames
from strutwright.models.finding import Finding, Standing, Verdict, not_checked, yes_no
from strutwright.models.frames import Vector
from strutwright.models.geometry.barrel import screw_wall_of
from strutwright.models.geometry.beads import toes
from strutwright.models.geometry.members import (
    Member,
    arm_member,
    barrel_root,
    bead_fits,
    edge_radius_at,
    fin_member,
    largest_radius_mm,
    palm_root,
)
from strutwright.models.geometry.roots import Root, roll
from strutwright.models.geometry.skins import arc_points
from strutwright.models.sections import boundary_points
from strutwright.models.solids import watch
from strutwright.models.solids.kernel import mass_properties
from strutwright.models.solids.watch import LostError
from strutwright.models.spec import Heel, Palm, Strut
from strutwright.params.words import Amount, Words, deg, mm, say

GROUP = "measured again"
LENGTH_TOL_MM = 0.01
"""A tenth of the finest tolerance a strut is made to, and far above the 1e-7 mm of the file."""
ANGLE_TOL_DEG = 0.01
"""0.03 mm on a palm 200 mm long."""
WALL_TOL_MM = 0.03
"""The length tolerance and the chord error of the mesh."""
WALL_CHORD_MM = 0.02
VOLUME_TOL = 2e-4
"""Relative; free-form surfaces come back with other curves on them: 4e-5 was seen."""
ARM_TOL_MM = 0.05
"""Of an arm's edges and sides, seen at 200 points along each: the outline of a foil is itself fitted to 0.01 mm."""
ROOT_TOL_MM = 0.05
"""Of a root's surface from its ball, and of a bead's toes; the skins are held to 0.002, the sinking to 0.033."""
CROTCH_MM = 0.4
"""A toe this near to another arm or its bead is not looked at."""
PLACE_TOL_MM = 0.1
"""Of a centre of mass: the kernel's integration over a thin free-form bead is no better."""
_SAME_LINE_MM = 1e-4
_SAME_RAD = 1e-6
_NEAR_MM = 10.0
_GONE = "look whether its head's recess or another hole has cut it away"
_STOP = "do not make the part from it"
_X = np.array([1.0, 0.0, 0.0])


@dataclass(frozen=True, slots=True)
class ReadPart:
    """One solid of a STEP file: the name it carries and its cadquery shape, in mm, in its place."""

    name: str
    shape: Any


@dataclass(frozen=True, slots=True, eq=False)
class Round:
    """A cylinder or cone of a solid.

    point (3,): on the axis, the apex of a cone; axis (3,): unit; radius_mm: of a cylinder, of a cone its greatest;
    half_angle_rad: 0 for a cylinder; hollow: material outside; low, high: reach along the axis from point, mm;
    turn_rad: how far round it goes.
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

    def off(self, place: Vector) -> float:
        """Distance of a place (3,) from the axis, mm."""
        return float(np.linalg.norm(np.cross(place - self.point, self.axis)))

    def same_line(self, other: Round) -> bool:
        """True when both have one axis."""
        ends = (other.point, other.point + 100.0 * other.axis)
        return all(self.off(p) < _SAME_LINE_MM for p in ends)

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


@dataclass(frozen=True, slots=True)
class Read:
    """What was read: parts, and all their round and flat faces."""

    parts: tuple[ReadPart, ...]
    rounds: tuple[Round, ...]
    flats: tuple[Flat, ...]


def remeasure(path: Path, strut: Strut, parts: Sequence[PartLike] = ()) -> list[Finding]:
    """Return the findings of measuring a STEP file of a strut again; disagreement beyond the tolerance is a failure.

    path: the file. strut: what it should be. parts: the parts that were written, whose names and volumes must come
    back. Each finding has the parameter as `demanded`, the measured value as `actual`, and the tolerance in
    `limit_is`; its utilisation is the difference over the tolerance. Never raises: a file that cannot be read is a
    failure.
    """
    try:
        with watch.step("the STEP file, read back", parts[0].parameter if parts else ""):
            read = read_step(path)
        return _measured(read, strut, parts)
    except LostError as error:
        return [error.lost.finding(GROUP)]
    except StepError as error:
        return [_failed("step_unreadable", str(error), "write the file again", "barrel")]
    except _kernel_errors() as error:
        return [_failed("not_measurable", f"{path.name}: the kernel gave up measuring it ({error})", _STOP, "barrel")]


def _kernel_errors() -> tuple[type[Exception], ...]:
    from OCP.Standard import Standard_Failure

    return Standard_Failure, RuntimeError, ValueError


def _measured(read: Read, strut: Strut, parts: Sequence[PartLike]) -> list[Finding]:
    with watch.step("the bodies, measured again", parts[0].parameter if parts else ""):
        out = _bodies(read, parts) + _bearings(read, strut)
    with watch.step("the arms, measured again", "arms.section.chord"):
        out += _arms(read, strut)
    with watch.step("the roots, measured again", "arms.root_fillet" if strut.construction == "cast" else "welds"):
        out += _roots(read, strut)
    with watch.step("the barrel, measured again", "barrel.bore"):
        bore, found = _bore(read, strut)
        out += found
        if bore is not None:
            mesh = _barrel_mesh(read, bore)
            out += _wall(strut, mesh)
            out += _screws(read, strut, bore)
            out += _screw_walls(strut, mesh)
    with watch.step("the palms, measured again", "palm.outline"):
        out += _palms(read, strut, bore)
    if strut.skeg is not None and strut.skeg.heel is not None:
        out += _heel(read, strut.skeg.heel)
    return out


# --- reading --------------------------------------------------------------------------------------------------------


def read_step(path: Path) -> Read:
    """Return the parts of a STEP file, and their cylinders, cones and planes. Raises StepError when it has none."""
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
    for number, part in enumerate(parts):
        for face in part.shape.Faces():
            item = _face(face, number)
            if isinstance(item, Round):
                rounds.append(item)
            elif item is not None:
                flats.append(item)
    return Read(tuple(parts), tuple(_merged(rounds)), tuple(flats))


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


def _face(face: Any, part: int) -> Round | Flat | None:
    """A face as one of the two kinds that can be measured, or None."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_SurfaceType
    from OCP.gp import gp_Pnt, gp_Vec
    from OCP.TopAbs import TopAbs_Orientation

    surface = BRepAdaptor_Surface(face.wrapped)
    kind = surface.GetType()
    kinds = (GeomAbs_SurfaceType.GeomAbs_Plane, GeomAbs_SurfaceType.GeomAbs_Cylinder, GeomAbs_SurfaceType.GeomAbs_Cone)
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
    return Round(part, point, axis, float(radius), half, hollow, float(reach.min()), float(reach.max()), u1 - u0)


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
                    abs(other.radius_mm - r.radius_mm) < _SAME_LINE_MM
                    if r.half_angle_rad == 0.0
                    else np.linalg.norm(other.point - r.point) < _SAME_LINE_MM
                )
            ):
                sign = 1.0 if float(r.axis @ other.axis) > 0 else -1.0
                shift = float((r.point - other.point) @ other.axis)
                ends = (shift + sign * r.low, shift + sign * r.high)
                if min(ends) > other.high + _SAME_LINE_MM or max(ends) < other.low - _SAME_LINE_MM:
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


# --- findings -------------------------------------------------------------------------------------------------------


def _equal(
    code: str,
    what: Words,
    actual: float,
    demanded: float,
    unit: str,
    parameter: str,
    tolerance: float = math.nan,
    hint: str = "",
) -> Finding:
    """A finding for two numbers that must agree."""
    if math.isnan(tolerance):
        tolerance = ANGLE_TOL_DEG if unit == "deg" else LENGTH_TOL_MM
    gap = abs(actual - demanded)
    ok = gap <= tolerance
    advice = (
        ""
        if ok
        else say(
            "the file does not show what the parameter says (off by {gap}); {hint}",
            gap=Amount(gap, unit, fine=True),
            hint=hint or _STOP,
        )
    )
    return Finding(
        code,
        Verdict.OK if ok else Verdict.FAIL,
        what,
        demanded,
        actual,
        unit,
        say("within {tolerance} of", tolerance=Amount(tolerance, unit, fine=True)),
        gap / tolerance,
        "the STEP file, read back and measured",
        Standing.GEOMETRY,
        advice,
        parameter,
        GROUP,
    )


def _failed(code: str, what: Words, advice: str, parameter: str) -> Finding:
    return yes_no(
        code,
        what,
        False,
        source="the STEP file, read back and measured",
        standing=Standing.GEOMETRY,
        advice=advice,
        parameter=parameter,
        group=GROUP,
    )


def _group_of(part_name: str) -> str:
    """Return the group of the file that makes a part."""
    groups = {"arm": "arms", "palm": "palm", "skeg": "skeg", "heel": "skeg.heel", "bead": "welds", "bearing": "bearing"}
    return next((group for word, group in groups.items() if word in part_name), "barrel")


def _of_many(one: Finding, which: str, count: int) -> Finding:
    return replace(one, what=say("{what} ({which} of {count})", what=one.what, which=which, count=count))


def _worst(findings: Sequence[Finding]) -> list[Finding]:
    """Keep every failure; when there is none, the one finding nearest to its tolerance, for all of its kind."""
    failing = [f for f in findings if f.fails]
    if failing or not findings:
        return failing
    worst = max(findings, key=lambda f: f.utilisation)
    return [worst if len(findings) == 1 else _of_many(worst, "worst", len(findings))]


# --- bodies ---------------------------------------------------------------------------------------------------------


def _bodies(read: Read, parts: Sequence[PartLike]) -> list[Finding]:
    from OCP.BRep import BRep_Tool

    out = []
    for part in read.parts:
        solids = part.shape.Solids()
        closed = (
            len(solids) == 1
            and part.shape.isValid()
            and part.shape.Volume() > 0.0
            and all(BRep_Tool.IsClosed_s(shell.wrapped) for shell in part.shape.Shells())
        )
        out.append(
            yes_no(
                "solid_closed",
                f"{part.name}: one closed, valid solid",
                closed,
                source="the STEP file, read back and measured",
                standing=Standing.GEOMETRY,
                advice="change a size a little; two surfaces may just touch",
                parameter=_group_of(part.name),
                group=GROUP,
            )
        )
    names = [part.name for part in read.parts]
    for made in parts:
        at = _group_of(made.name)
        if made.name not in names:
            out.append(_failed("part_missing", f"{made.name}: not in the file", "write the file again", at))
            continue
        there = read.parts[names.index(made.name)].shape
        (volume, middle), (found, its) = _masses(made.shape, there, made.name)
        out.append(_equal("volume", f"{made.name}: volume", found, volume, "mm3", at, VOLUME_TOL * volume))
        off = float(np.linalg.norm(middle - its))
        out.append(_equal("part_place", f"{made.name}: centre of mass off its place", off, 0.0, "mm", at, PLACE_TOL_MM))
    numbers = ("volume", "part_place")
    held = _collected("solid_closed", [f for f in out if f.code not in numbers])
    return held + [w for code in numbers for w in _worst([f for f in out if f.code == code])]


def _bearings(read: Read, strut: Strut) -> list[Finding]:
    """Where the bearings lie along the barrel."""
    out = []
    shells = sorted(
        (p.shape.BoundingBox() for p in read.parts if p.name.startswith("bearing shell")), key=lambda box: box.xmin
    )
    for box, bearing in zip(shells, sorted(strut.bearings, key=lambda b: b.aft_station_mm), strict=False):
        for end, x, station in (
            ("aft", box.xmin, bearing.aft_station_mm),
            ("forward", box.xmax, bearing.aft_station_mm + bearing.length_mm),
        ):
            out.append(
                _equal(
                    "bearing_station",
                    f"bearing: station of its {end} end",
                    x - strut.barrel.x(0.0),
                    station,
                    "mm",
                    "bearing.position",
                    2 * LENGTH_TOL_MM,
                )
            )
    return _worst(out)


def _arms(read: Read, strut: Strut) -> list[Finding]:
    """The arms halfway up: how far each side and edge of the section lies from the axis."""
    import cadquery as cq

    out = []
    for arm in strut.arms:
        plane = frames.arm_plane(strut, arm)
        axes, ends = frames.arm_axes(arm, strut.barrel, plane), frames.arm_ends_mm(arm, strut.barrel, plane)
        middle = 0.5 * (ends[0] + ends[1])
        chord, thick = frames.arm_size_at(arm, ends, middle)
        reach = max(arm.barrel_root_mm, arm.palm_root_mm) + strut.palms[arm.palm_index].thickness_mm + 0.5 * chord
        if 0.5 * (ends[1] - ends[0]) < reach:  # roots or a leaning end may reach the middle of so short an arm
            continue
        at = axes.origin + middle * axes.n
        across = np.cross(axes.u, axes.v)  # a raked arm's sections are not square to its axis
        cutter = cq.Face.makePlane(3 * chord, 3 * chord, cq.Vector(*at.tolist()), cq.Vector(*across.tolist()))
        spot = cq.Vertex.makeVertex(*at.tolist())
        cuts = [f for p in read.parts for f in p.shape.intersect(cutter).Faces() if f.distance(spot) < 1e-6]
        if len(cuts) != 1:
            out.append(_failed("arm_missing", f"{arm.name}: no metal on its axis halfway up", _STOP, "arms"))
            continue
        rim = [e.positionAt(t).toTuple() for e in cuts[0].outerWire().Edges() for t in np.linspace(0.0, 1.0, 201)]
        local = (np.array(rim) - at) @ np.column_stack((axes.u, axes.v))
        asked = boundary_points(arm.shape, chord, thick, 2000, edge_radius_at(arm, thick))
        for k, (name, low, high) in enumerate(
            (("chord", "aft edge", "forward edge"), ("thickness", "starboard side", "port side"))
        ):
            for side, pick in ((low, np.min), (high, np.max)):
                there, wanted = float(pick(local[:, k])), float(pick(asked[:, k]))
                out.append(
                    _equal(
                        "arm_section",
                        f"{arm.name} halfway up: {side} from its axis",
                        there,
                        wanted,
                        "mm",
                        f"arms.section.{name}",
                        ARM_TOL_MM,
                    )
                )
    return _worst(out)


def _roots(read: Read, strut: Strut) -> list[Finding]:
    """The roots: a casting's fillets lie on their ball, a weld's toes a leg from its line."""
    out = []
    half = strut.barrel.length_mm / 2
    for member, root, size, where, parameter in _joints(strut):
        on_barrel = half if where == "barrel" else None
        places = [(i, np.linspace(0.1, 0.9, 3)) for i, p in enumerate(member.ruled.loops[0]) if p.kind != "corner"]
        if strut.construction == "cast":
            name, what = "strut", "fillet"
            if size <= 0 or largest_radius_mm(member, root, on_barrel) < size:  # told by the check and the build
                continue
            touch = roll(member.ruled, root.sunk, size, places, root.reach)
            points = arc_points(size, touch)[:, 2]
        else:
            name, what = f"weld {member.name} to {where}", "weld"
            if size <= 0 or not bead_fits(member, root, size, on_barrel):
                continue
            bead = toes(member.ruled, root, size, places)
            points = _in_sight(np.vstack((bead.on_side, bead.on_base)), read, strut, member.name)
        there = next((p for p in read.parts if p.name == name), None)
        if there is not None and len(points):  # a part that is missing is told among the bodies
            off = max(_off_surface(there.shape, p) for p in points)
            out.append(
                _equal(
                    "root_surface",
                    f"{what} of the {member.name} at the {where}: off its place",
                    off,
                    0.0,
                    "mm",
                    parameter,
                    ROOT_TOL_MM,
                )
            )
    return _worst(out)


def _joints(strut: Strut) -> Iterator[tuple[Member, Root, float, str, str]]:
    """Yield what stands where: the part, its joint, the size of its root (mm), barrel or palm, and the parameter."""
    cast = strut.construction == "cast"
    for arm in strut.arms:
        member, palm = arm_member(strut, arm), strut.palms[arm.palm_index]
        for where, root, size in (
            ("barrel", barrel_root(member, strut.barrel, arm.barrel_root_mm), arm.barrel_root_mm),
            ("palm", palm_root(member, palm, arm.palm_root_mm), arm.palm_root_mm),
        ):
            yield member, root, size, where, f"arms.root_fillet.{where}" if cast else f"welds.arm_to_{where}_leg"
    if strut.skeg is not None:
        fin = fin_member(strut.skeg, strut.barrel)
        yield (
            fin,
            barrel_root(fin, strut.barrel, strut.skeg.root_mm),
            strut.skeg.root_mm,
            "barrel",
            "skeg.root_fillet" if cast else "welds.skeg_to_barrel_leg",
        )


def _in_sight(points: Vector, read: Read, strut: Strut, member: str) -> Vector:
    """Return the toe points outside the other arms and their beads: in the crotch of a vee one bead gives way."""
    others = [arm.name for arm in strut.arms if arm.name != member]
    seen = np.ones(len(points), dtype=bool)
    for part in read.parts:
        if any(part.name == name or part.name.startswith(f"weld {name} to") for name in others):
            try:
                mesh = triangles(part.shape, part.name, CROTCH_MM / 4, ANGLE_RAD, forced=False)
            except MeshError:  # told by the meshes
                return points[:0]
            seen &= ~within(points, mesh.vertices, mesh.faces) & (
                off_body(points, mesh.vertices, mesh.faces) > CROTCH_MM
            )
    return points[seen]


def _off_surface(shape: Any, point: Vector) -> float:
    import cadquery as cq

    spot = cq.Vertex.makeVertex(*point.tolist())
    return float(min(shell.distance(spot) for shell in shape.Shells()))


def _masses(made: Any, found: Any, name: str) -> list[tuple[float, Vector]]:
    """Return volume (mm3) and centre of mass (3,), mm, of a part as made and as read, by one method.

    The kernel's integration is up to 1e-3 out on a bead whose surfaces are trimmed free forms, on one of the two and
    not on the other. Where it tells them apart, meshes of one chord decide: of equal shapes they agree to 1e-5.
    """
    pair = [mass_properties(made), mass_properties(found)]
    (volume, middle), (other, its) = pair
    if abs(volume - other) <= VOLUME_TOL * volume and float(np.linalg.norm(middle - its)) <= PLACE_TOL_MM:
        return pair
    for share, forced in itertools.product((1.0, 0.5, 0.25), (True, False)):
        try:
            meshes = [triangles(shape, name, share * WALL_CHORD_MM, ANGLE_RAD, forced) for shape in (made, found)]
        except MeshError:
            break
        if all(mesh.is_watertight for mesh in meshes):
            return [(mesh.volume, np.asarray(mesh.center_mass)) for mesh in meshes]
    return pair


def _collected(code: str, findings: list[Finding]) -> list[Finding]:
    """Make one finding of all that hold under a code."""
    held = [f for f in findings if f.code == code and not f.fails]
    rest = [f for f in findings if f.code != code or f.fails]
    if not held:
        return rest
    one = held[0] if len(held) == 1 else _of_many(held[0], "all", len(held))
    return [one, *rest]


# --- barrel ---------------------------------------------------------------------------------------------------------


def _coaxial(read: Read, hollow: bool) -> list[Round]:
    """Cylinders about the shaft line, or nearly."""
    return [
        r
        for r in read.rounds
        if r.half_angle_rad == 0.0
        and r.hollow == hollow
        and abs(r.axis @ _X) > 0.99
        and r.off(np.zeros(3)) < _NEAR_MM
        and r.whole
    ]


def _stations(r: Round, strut: Strut) -> tuple[float, float]:
    ends = sorted(float((r.point + k * r.axis)[0]) + strut.barrel.length_mm / 2 for k in (r.low, r.high))
    return ends[0], ends[1]


def _bore(read: Read, strut: Strut) -> tuple[Round | None, list[Finding]]:
    barrel = strut.barrel
    around = _coaxial(read, hollow=True)
    if not around:
        return None, [
            _failed("bore_missing", "bore: no cylinder about the shaft line in the file", _STOP, "barrel.bore")
        ]
    # The bearing's own shell is smaller than what it sits in.
    home = max(around, key=lambda r: r.radius_mm).part
    around = [r for r in around if r.part == home]
    out = []
    for step in barrel.steps:
        fits = [
            r
            for r in around
            if _stations(r, strut)[0] > step.from_station_mm - 1.0 and _stations(r, strut)[1] < step.to_station_mm + 1.0
        ]
        what = say("{step} of the bore at station {station}", step=step.kind, station=mm(step.from_station_mm))
        if not fits:
            out.append(_failed("bore_step_missing", say("{what}: not found", what=what), _STOP, "barrel"))
            continue
        near = min(fits, key=lambda r: abs(2 * r.radius_mm - step.diameter_mm))
        # Another step within it may have left more than one length of it.
        parts = [r for r in fits if abs(r.radius_mm - near.radius_mm) < _SAME_LINE_MM]
        around = [r for r in around if r not in parts]
        across = say("{what}: diameter", what=what)
        out.append(_equal("bore_step", across, 2 * near.radius_mm, step.diameter_mm, "mm", "barrel"))
    if not around:
        return None, [*out, _failed("bore_missing", "bore: not found between its steps", "", "barrel.bore")]
    bore = max(around, key=lambda r: r.high - r.low)
    half = barrel.length_mm / 2
    at_ends = [np.array([x, 0.0, 0.0]) for x in (-half, half)]
    out = [
        _equal("bore_diameter", "bore: diameter", 2 * bore.radius_mm, barrel.bore_mm, "mm", "barrel.bore"),
        _equal(
            "bore_place",
            "bore: axis from the shaft line at the barrel's ends",
            max(map(bore.off, at_ends)),
            0.0,
            "mm",
            "barrel",
        ),
        *out,
    ]
    outside = [r for r in _coaxial(read, hollow=False) if r.part == home]
    if outside:
        out.append(
            _equal(
                "barrel_outside",
                "barrel: outside diameter",
                2 * max(r.radius_mm for r in outside),
                barrel.outside_mm,
                "mm",
                "barrel.outside_diameter",
            )
        )
    else:
        out.append(
            not_checked(
                "barrel_outside",
                "barrel: outside diameter",
                "no parallel length was found",
                parameter="barrel.outside_diameter",
                group=GROUP,
            )
        )
    ends = [
        float(f.point[0])
        for f in read.flats
        if f.part == home and abs(f.normal @ _X) > 1 - 1e-9 and bore.off(f.point) < barrel.outside_mm / 2
    ]
    for name, x in (("aft", -half), ("forward", half)):
        if ends:
            nearest = min(ends, key=lambda found: abs(found - x))
            out.append(
                _equal(f"barrel_{name}_face", f"barrel: {name} face from mid-length", nearest, x, "mm", "barrel.length")
            )
        else:
            out.append(
                _failed(
                    f"barrel_{name}_face", f"barrel: no {name} face square to the shaft line found", "", "barrel.length"
                )
            )
    return bore, out


def _barrel_mesh(read: Read, bore: Round) -> Any:
    """A mesh of the barrel's part, or the MeshError that says why there is none."""
    try:
        return triangles(read.parts[bore.part].shape, read.parts[bore.part].name, WALL_CHORD_MM, ANGLE_RAD)
    except MeshError as error:
        return error


def _walls_along(strut: Strut, mesh: Any, rays: Sequence[tuple[float, float]]) -> list[float]:
    """The wall (mm) that each ray from the shaft line meets first; nan where it meets none.

    rays: station (mm) and clock (degrees).
    """
    origins = np.array([[strut.barrel.x(s), 0.0, 0.0] for s, _ in rays])
    ways = np.array([frames.radial(c) for _, c in rays])
    places, number, _ = mesh.ray.intersects_location(origins, ways, multiple_hits=True)
    distance = np.linalg.norm(places - origins[number], axis=1)
    hits = [np.unique(np.round(distance[number == k], 6)) for k in range(len(rays))]
    return [float(h[1] - h[0]) if len(h) >= 2 else math.nan for h in hits]


def _wall(strut: Strut, mesh: Any) -> list[Finding]:
    """Shoot rays from the shaft line through a mesh of the barrel's part, clear of ends, steps, holes and slots."""
    barrel = strut.barrel
    low = max(barrel.aft_end.length_mm, barrel.lead_in_aft.length_mm) + 1.0
    high = barrel.length_mm - max(barrel.forward_end.length_mm, barrel.lead_in_forward.length_mm) - 1.0
    stations = [
        s
        for s in np.linspace(low, high, 13)
        if low < high and not any(step.from_station_mm - 0.5 <= s <= step.to_station_mm + 0.5 for step in barrel.steps)
    ]
    # An odd start keeps the rays off the seams of the mesh.
    rays = [
        (float(s), float(c))
        for s, c in itertools.product(stations, 3.71 + np.arange(0.0, 360.0, 7.5))
        if not _over_opening(strut, float(s), float(c))
    ]
    what, parameter = "barrel: least wall of the plain length by rays", "barrel.outside_diameter"
    if not rays:
        return [not_checked("wall", what, "the barrel has no plain length", parameter=parameter, group=GROUP)]
    if isinstance(mesh, MeshError):
        return [_failed("wall", f"{what}: {mesh}", "change a size a little", parameter)]
    walls = _walls_along(strut, mesh, rays)
    none = np.flatnonzero(np.isnan(walls))
    if none.size:
        s, c = rays[none[0]]
        gone = say("{what}: no wall at station {station}, clock {clock}", what=what, station=mm(s), clock=deg(c))
        return [_failed("wall", gone, _STOP, parameter)]
    least = int(np.argmin(walls))
    return [
        _equal(
            "wall",
            say(
                "{what}, at station {station} and clock {clock}",
                what=what,
                station=mm(rays[least][0]),
                clock=deg(rays[least][1]),
            ),
            walls[least],
            barrel.wall_mm,
            "mm",
            parameter,
            WALL_TOL_MM,
        )
    ]


def _over_opening(strut: Strut, station: float, clock: float) -> bool:
    """True when a ray would run into a screw hole, its flat, or a water slot anywhere in the wall."""
    barrel = strut.barrel

    def beside(clock_deg: float) -> float:
        # Holes have parallel sides, so the ray is nearest to their middle where it leaves the bore.
        off = min(frames.angle_between_deg(clock, clock_deg), 90.0)
        return barrel.bore_mm / 2 * math.sin(math.radians(off))

    for s in strut.set_screws:
        size = max(s.tap_drill_mm, s.flat_diameter_mm or 0.0) / 2 + 1.0
        if math.hypot(station - s.station_mm, beside(s.clock_deg)) < size:
            return True
    slots = barrel.slots
    if slots is None or abs(station - slots.centre_station_mm) > max(slots.length_mm, slots.width_mm) / 2 + 1.0:
        return False
    clocks = [slots.first_clock_deg + 360.0 * k / slots.count for k in range(slots.count)]
    return any(beside(c) < slots.width_mm / 2 + 1.0 for c in clocks)


def _screws(read: Read, strut: Strut, bore: Round) -> list[Finding]:
    barrel = strut.barrel
    radius = barrel.outside_mm / 2
    lines: list[Round] = []
    for r in sorted(read.rounds, key=lambda r: r.radius_mm):
        if (
            r.part == bore.part
            and r.hollow
            and r.whole
            and r.half_angle_rad == 0.0
            and abs(r.axis @ _X) < 0.1
            and _miss(r) < _NEAR_MM
            and abs(_foot(r)[0]) < barrel.length_mm / 2
            and _reach(r) < barrel.outside_mm / 2 + 1.0
            and not _is_slot(strut, r)
            and not any(r.same_line(k) and _outward(r) @ _outward(k) > 0 for k in lines)
        ):
            lines.append(r)  # the smallest on its side of the shaft: the flat round a hole is wider
    kinds: dict[str, list[Finding]] = {}
    left = list(lines)
    rest: list[Finding] = []
    path = "set_screws"
    for s in strut.set_screws:
        what = f"set screw {s.number}"
        if not left:
            rest.append(_failed("screw_missing", f"{what}: no hole for it in the file", _STOP, path))
            continue
        mouth = radius * frames.radial(s.clock_deg) + (barrel.x(s.station_mm), 0.0, 0.0)
        gaps = [float(np.linalg.norm(_foot(r) + radius * _outward(r) - mouth)) for r in left]
        hole = left[int(np.argmin(gaps))]
        left.remove(hole)
        way = _outward(hole)
        clock = math.degrees(math.atan2(way[1], way[2]))
        clock = s.clock_deg + (clock - s.clock_deg + 180.0) % 360.0 - 180.0
        lean = math.degrees(math.asin(min(abs(float(hole.axis @ _X)), 1.0)))
        station = float(_foot(hole)[0]) + barrel.length_mm / 2
        for f in (
            _equal("screw_station", f"{what}: station", station, s.station_mm, "mm", path),
            _equal("screw_clock", f"{what}: clock angle", clock, s.clock_deg, "deg", path),
            _equal("screw_diameter", f"{what}: drilled diameter", 2 * hole.radius_mm, s.tap_drill_mm, "mm", path),
            _equal("screw_square", f"{what}: lean from square to the shaft", lean, 0.0, "deg", path),
            _equal("screw_offset", f"{what}: axis past the shaft line", _miss(hole), 0.0, "mm", path),
        ):
            kinds.setdefault(f.code, []).append(f)
    for r in left:
        station = float(_foot(r)[0]) + barrel.length_mm / 2
        hole_there = say(
            "a hole {diameter} across through the barrel at station {station} that no parameter asks for",
            diameter=mm(2 * r.radius_mm),
            station=mm(station),
        )
        rest.append(_failed("hole_not_asked_for", hole_there, _STOP, path))
    return [f for group in kinds.values() for f in _worst(group)] + rest


def _screw_walls(strut: Strut, mesh: Any) -> list[Finding]:
    """Shoot a ray close on either side of each screw hole, fore and aft: the less of the two is the wall there."""
    if isinstance(mesh, MeshError):
        return []  # told with the wall
    barrel, out = strut.barrel, []
    for s in strut.set_screws:
        beside = max(s.major_mm, s.tap_drill_mm + 0.4) / 2
        if s.flat_diameter_mm is not None and s.flat_diameter_mm < 2 * beside + 0.1:
            continue  # a spot face no wider than its thread leaves no floor to be met
        # A little off the clock keeps the rays off the seams of the mesh.
        rays = [
            (at, s.clock_deg + 0.07)
            for at in (s.station_mm - beside, s.station_mm + beside)
            if 0.0 < at < barrel.length_mm
        ]
        asked = float(screw_wall_of(strut, s).wall_mm)
        walls = [w for w in _walls_along(strut, mesh, rays) if not math.isnan(w)] if rays else []
        what = f"set screw {s.number}: wall by rays beside its hole"
        out.append(
            _equal("screw_wall", what, min(walls), asked, "mm", "barrel.wall", WALL_TOL_MM)
            if walls
            else _failed("screw_wall", f"{what}: no wall", _STOP, "barrel.wall")
        )
    return _worst(out)


def _is_slot(strut: Strut, r: Round) -> bool:
    """True for a water slot as long as wide, which is a round hole."""
    slots = strut.barrel.slots
    if slots is None or abs(2 * r.radius_mm - slots.width_mm) > LENGTH_TOL_MM:
        return False
    clock = math.degrees(math.atan2(*_outward(r)[1:]))
    turns = (clock - slots.first_clock_deg) / (360.0 / slots.count)
    return (
        slots.length_mm <= slots.width_mm
        and abs(_foot(r)[0] - strut.barrel.x(slots.centre_station_mm)) < LENGTH_TOL_MM
        and abs(turns - round(turns)) * 360.0 / slots.count < ANGLE_TOL_DEG
    )


def _foot(r: Round) -> Vector:
    """The place on the axis that is nearest to the shaft line."""
    across = r.axis - (r.axis @ _X) * _X
    flat = r.point - (r.point @ _X) * _X
    return np.asarray(r.point - float(flat @ across) / float(across @ across) * r.axis)


def _miss(r: Round) -> float:
    foot = _foot(r)
    return math.hypot(foot[1], foot[2])


def _outward(r: Round) -> Vector:
    """The direction of the axis from the shaft line to where the hole lies."""
    middle = r.point + (r.low + r.high) / 2 * r.axis
    return np.asarray(r.axis if float((middle - _foot(r)) @ r.axis) > 0 else -r.axis)


def _reach(r: Round) -> float:
    """How far from the shaft line the hole begins."""
    ends = [float(np.linalg.norm(r.point + k * r.axis - _foot(r))) for k in (r.low, r.high)]
    return min(ends)


# --- palms ----------------------------------------------------------------------------------------------------------


def _palms(read: Read, strut: Strut, bore: Round | None) -> list[Finding]:
    out: list[Finding] = []
    used: list[Flat] = []
    for palm in strut.palms:
        face = _hull_face(read, palm, used)
        path = "palm"
        if face is None:
            out.append(_failed("palm_face_missing", f"{palm.name}: no plane of its size faces the hull", _STOP, path))
            continue
        used.append(face)
        out += _plane(palm, face, bore, path)
        out += _plate(read, palm, face, path)
    return out


def _hull_face(read: Read, palm: Palm, used: Sequence[Flat]) -> Flat | None:
    """The plane of the palm's size, with holes, that looks to the hull; the nearest of several."""
    axes = frames.palm_axes(palm)
    area = palm.outline.area_mm2() - len(palm.holes) * math.pi / 4 * palm.bolt.hole_mm**2
    fits = [
        f
        for f in read.flats
        if 0.85 < f.area_mm2 / area < 1.15
        and f.normal[2] > 0.3
        and (f.face.innerWires() or not palm.holes)
        and f not in used
    ]

    def strangeness(f: Flat) -> float:
        turn = math.degrees(math.acos(min(1.0, float(f.normal @ axes.n))))
        return (
            turn + abs(float((axes.origin - f.point) @ f.normal)) + 0.1 * float(np.linalg.norm(f.point - axes.origin))
        )

    return min(fits, key=strangeness, default=None)


def _plane(palm: Palm, face: Flat, bore: Round | None, path: str) -> list[Finding]:
    n, name = face.normal, palm.name
    pitch = math.degrees(math.atan2(n[0], n[2]))
    tilt = math.degrees(math.atan2(-n[1], n[2]))
    drop = float(face.point @ n) / float(n[2])
    plane = palm.plane
    other_hand = abs(plane.tilt_deg) > 0.1 and plane.tilt_deg * tilt < 0 and abs(tilt + plane.tilt_deg) < 1.0
    out = [
        _equal(
            "palm_pitch",
            f"{name}: fore-and-aft angle to the shaft (theta)",
            pitch,
            plane.pitch_deg,
            "deg",
            "hull.shaft_angle",
        ),
        _equal(
            "palm_tilt",
            f"{name}: athwart tilt (phi)" + (", the other hand" if other_hand else ""),
            tilt,
            plane.tilt_deg,
            "deg",
            "hull.deadrise",
            hint="the file shows the mirror image" if other_hand else "",
        ),
        _equal("palm_drop", f"{name}: drop square to the shaft at mid-barrel", drop, plane.drop_mm, "mm", "hull.drop"),
    ]
    what = f"{name}: true angle between bore axis and hull face (gamma)"
    if bore is None:
        out.append(not_checked("palm_true_angle", what, "no bore was found", parameter=path, group=GROUP))
    else:
        forward = bore.axis if bore.axis[0] > 0 else -bore.axis
        out.append(
            _equal(
                "palm_true_angle",
                what,
                math.degrees(math.asin(float(n @ forward))),
                frames.shaft_to_palm_deg(plane.pitch_deg, plane.tilt_deg),
                "deg",
                path,
            )
        )
    return out


def _plate(read: Read, palm: Palm, face: Flat, path: str) -> list[Finding]:
    """Thickness and bolt holes of one palm."""
    name, bolt = palm.name, palm.bolt
    water = _water_face(read, palm, face)
    out: list[Finding] = []
    if water is None:
        out.append(
            _failed(
                "water_face_missing", f"{name}: no water face found opposite the hull face", "", f"{path}.thickness"
            )
        )
    else:
        lean = math.degrees(math.asin(min(1.0, float(np.linalg.norm(np.cross(water.normal, face.normal))))))
        out.append(
            _equal(
                "palm_thickness",
                f"{name}: thickness",
                float((face.point - water.point) @ face.normal),
                palm.thickness_mm,
                "mm",
                f"{path}.thickness",
            )
        )
        out.append(
            _equal("palm_parallel", f"{name}: lean of the water face from the hull face", lean, 0.0, "deg", path)
        )
    axes = frames.palm_axes(palm)
    lines: list[tuple[Round, Vector]] = []
    for r in sorted(read.rounds, key=lambda r: r.radius_mm):
        if r.part != face.part or not r.hollow or not r.whole or r.half_angle_rad or abs(r.axis @ face.normal) < 0.98:
            continue
        if max(float((r.point + k * r.axis - face.point) @ face.normal) for k in (r.low, r.high)) < -palm.thickness_mm:
            continue  # below the plate: a hole of the barrel or of the heel
        place = r.point + float((face.point - r.point) @ face.normal) / float(r.axis @ face.normal) * r.axis
        u, v, _height = axes.from_strut(place)[0]
        if palm.outline.distance_to_boundary((u, v)) > -_NEAR_MM and not any(r.same_line(k) for k, _ in lines):
            lines.append((r, place))
    kinds: dict[str, list[Finding]] = {}

    def add(finding: Finding) -> None:
        kinds.setdefault(finding.code, []).append(finding)

    left = list(lines)
    holes_at = "bolts.pattern"
    pairs = []
    for hole in palm.holes:
        if not left:
            out.append(_failed("hole_missing", f"{name}: hole {hole.number} is not in the file", _GONE, holes_at))
            continue
        asked = axes.to_strut(np.array([[hole.u_mm, hole.v_mm]]))[0]
        nearest = min(left, key=lambda line: float(np.linalg.norm(line[1] - asked)))
        left.remove(nearest)
        pairs.append((hole, nearest))
    for hole, (r, place) in pairs:
        what = f"{name} hole {hole.number}"
        u, v, _height = (float(c) for c in axes.from_strut(place)[0])
        add(_equal("hole_u", f"{what}: u, forward", u, hole.u_mm, "mm", holes_at))
        add(_equal("hole_v", f"{what}: v, to port", v, hole.v_mm, "mm", holes_at))
        add(_equal("hole_diameter", f"{what}: diameter", 2 * r.radius_mm, bolt.hole_mm, "mm", holes_at))
        lean = math.degrees(math.asin(min(1.0, float(np.linalg.norm(np.cross(r.axis, face.normal))))))
        add(_equal("hole_square", f"{what}: lean from square to the hull face", lean, 0.0, "deg", holes_at))
        asked_edge = float(palm.outline.distance_to_boundary((hole.u_mm, hole.v_mm)))
        add(
            _equal("hole_edge", f"{what}: centre to the palm's edge", _to_edge(face, place), asked_edge, "mm", holes_at)
        )
        for finding in _head(read, palm, r, water, what, holes_at):
            add(finding)
    for r, place in left:
        u, v, _height = (float(c) for c in axes.from_strut(place)[0])
        out.append(
            _failed(
                "hole_not_asked_for",
                say(
                    "{name}: a hole {diameter} across at u {u}, v {v} that no parameter asks for",
                    name=name,
                    diameter=mm(2 * r.radius_mm),
                    u=mm(u),
                    v=mm(v),
                ),
                _STOP,
                holes_at,
            )
        )
    return out + [f for group in kinds.values() for f in _worst(group)]


def _water_face(read: Read, palm: Palm, face: Flat) -> Flat | None:
    """The largest plane that looks the other way within three thicknesses below the hull face, inside the outline."""
    axes = frames.palm_axes(palm)
    fits = []
    for f in read.flats:
        below = float((face.point - f.point) @ face.normal)
        u, v, _height = axes.from_strut(f.point)[0]
        if (
            f.part == face.part
            and float(f.normal @ face.normal) < -0.999
            and 0.0 < below < 3 * palm.thickness_mm
            and palm.outline.distance_to_boundary((u, v)) > 0.0
        ):
            fits.append(f)
    return max(fits, key=lambda f: f.area_mm2, default=None)


def _to_edge(face: Flat, place: Vector) -> float:
    import cadquery as cq

    return float(cq.Vertex.makeVertex(*(float(c) for c in place)).distance(face.face.outerWire()))


def _head(read: Read, palm: Palm, hole: Round, water: Flat | None, what: str, path: str) -> list[Finding]:
    """The countersink or counterbore on a hole's axis."""
    bolt = palm.bolt
    if bolt.kind == "plain" or water is None:
        return []
    around = [r for r in read.rounds if r.part == hole.part and r.hollow and r.same_line(hole)]
    if bolt.kind == "countersunk":
        cones = [r for r in around if r.half_angle_rad > 0.0]
        if not cones:
            return [_failed("countersink_missing", f"{what}: no countersink on its axis", "", path)]
        cone = max(cones, key=lambda r: r.radius_mm)
        depth = abs(float((water.point - cone.point) @ water.normal) / float(cone.axis @ water.normal))
        at_face = depth * math.tan(cone.half_angle_rad)
        # The cone may stop short of the face under a wider clearance.
        return [
            _equal(
                "countersink_diameter",
                f"{what}: countersink at the water face",
                2 * min(at_face, cone.radius_mm + LENGTH_TOL_MM / 10),
                bolt.head_diameter_mm,
                "mm",
                path,
            ),
            _equal(
                "countersink_angle",
                f"{what}: countersink angle",
                math.degrees(2 * cone.half_angle_rad),
                bolt.head_angle_deg,
                "deg",
                path,
            ),
        ]
    wider = [r for r in around if r.half_angle_rad == 0.0 and r.radius_mm > hole.radius_mm + LENGTH_TOL_MM]
    if not wider:
        return [_failed("counterbore_missing", f"{what}: no counterbore on its axis", "", path)]
    bore = min(wider, key=lambda r: abs(2 * r.radius_mm - bolt.head_diameter_mm))
    heights = [float((water.point - bore.point - k * bore.axis) @ water.normal) for k in (bore.low, bore.high)]
    return [
        _equal(
            "counterbore_diameter",
            f"{what}: counterbore diameter",
            2 * bore.radius_mm,
            bolt.head_diameter_mm,
            "mm",
            path,
        ),
        _equal("counterbore_depth", f"{what}: counterbore depth", max(heights), bolt.head_depth_mm, "mm", path),
    ]


# --- heel -----------------------------------------------------------------------------------------------------------


def _heel(read: Read, heel: Heel) -> list[Finding]:
    up, centre = frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg), np.asarray(heel.centre_mm)
    asked = heel.bore_mm + 2 * heel.bush_wall_mm
    fits = [
        r
        for r in read.rounds
        if r.hollow
        and r.whole
        and r.half_angle_rad == 0.0
        and abs(r.axis @ up) > 0.99
        and r.off(centre) < _NEAR_MM
        and abs(float((r.point + (r.low + r.high) / 2 * r.axis - centre) @ up)) < heel.height_mm
    ]
    if not fits:
        return [_failed("heel_bore_missing", "heel: no bore on the rudder stock's axis found", "", "skeg.heel")]
    bore = min(fits, key=lambda r: abs(2 * r.radius_mm - asked))
    lean = math.degrees(math.asin(min(1.0, float(np.linalg.norm(np.cross(bore.axis, up))))))
    return [
        _equal("heel_bore", "heel: bore of the boss", 2 * bore.radius_mm, asked, "mm", "skeg.heel"),
        _equal("heel_place", "heel: bore axis from the boss's middle", bore.off(centre), 0.0, "mm", "skeg.heel"),
        _equal("heel_lean", "heel: bore axis from the rudder stock", lean, 0.0, "deg", "skeg.heel"),
    ]
