"""Measure a STEP file that was just written, as an inspector would, and hold it against the parameters.

The file is read back from disk by a fresh reader; nothing of the builders is used. Bores, holes and faces are found
among the file's cylinders, cones and planes by where they lie, and the wall is measured by rays through a mesh.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from strutwright.exporters.drawing.visibility import off_body, within
from strutwright.exporters.files.mesh import ANGLE_RAD, MeshError, triangles
from strutwright.exporters.files.step import PartLike, StepError
from strutwright.exporters.inspect.agreement import (
    GROUP,
    LENGTH_TOL_MM,
    STOP,
    collected,
    equal,
    failed,
    group_of,
    held_or_not,
    length,
    worst,
)
from strutwright.exporters.inspect.barrel_again import WALL_CHORD_MM, barrel_findings
from strutwright.exporters.inspect.flange_again import flange_findings
from strutwright.exporters.inspect.hanger_again import split_findings
from strutwright.exporters.inspect.let_in_again import let_in_findings
from strutwright.exporters.inspect.palms_again import heel_findings, palm_findings
from strutwright.exporters.inspect.step_reader import Read, read_step
from strutwright.models import frames
from strutwright.models.finding import Finding
from strutwright.models.frames import Vector
from strutwright.models.geometry.beads import toes
from strutwright.models.geometry.members import (
    Member,
    RootRoom,
    arm_member,
    barrel_root,
    bead_fits,
    edge_radius_at,
    fin_member,
    largest_radius_mm,
    palm_root,
    root_room,
)
from strutwright.models.geometry.roots import Root, roll
from strutwright.models.geometry.skins import arc_points
from strutwright.models.sections import boundary_points
from strutwright.models.solids import watch
from strutwright.models.solids.kernel import mass_properties
from strutwright.models.solids.triangles import closes
from strutwright.models.solids.watch import LostError
from strutwright.models.spec import Strut
from strutwright.params import limits as limit_table
from strutwright.params.limits import Limits

WAYS = ((0.1, 0.3), (0.05, 0.17), (0.2, 0.5))
"""Chord (mm) and turn (radians) of triangles: in one of these ways the faces that were read have to meet."""
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


def remeasure(path: Path, strut: Strut, parts: Sequence[PartLike] = (), limits: Limits | None = None) -> list[Finding]:
    """Return the findings of measuring a STEP file of a strut again; disagreement beyond the tolerance is a failure.

    path: the file. strut: what it should be. parts: the parts that were written, whose names and volumes must come
    back. limits: by which it was built, as shipped when left out. Each finding has the parameter as `demanded`, the
    measured value as `actual`, and the tolerance in `limit_is`; its utilisation is the difference over the tolerance.
    Never raises: a file that cannot be read is a failure.
    """
    try:
        with watch.step("the STEP file, read back", parts[0].parameter if parts else ""):
            read = read_step(path)
        return _measured(read, strut, parts, root_room(limit_table.standard() if limits is None else limits))
    except LostError as error:
        return [error.lost.finding(GROUP)]
    except StepError as error:
        return [failed("step_unreadable", str(error), "write the file again", "barrel")]
    except _kernel_errors() as error:
        return [failed("not_measurable", f"{path.name}: the kernel gave up measuring it ({error})", STOP, "barrel")]


def _kernel_errors() -> tuple[type[Exception], ...]:
    from OCP.Standard import Standard_Failure

    return Standard_Failure, RuntimeError, ValueError


def _measured(read: Read, strut: Strut, parts: Sequence[PartLike], room: RootRoom) -> list[Finding]:
    with watch.step("the bodies, measured again", parts[0].parameter if parts else ""):
        out = _bodies(read, parts) + _bearings(read, strut)
    with watch.step("the arms, measured again", "arms.section.chord"):
        out += _arms(read, strut)
    with watch.step("the roots, measured again", "arms.root_fillet" if strut.construction == "cast" else "welds"):
        out += _roots(read, strut, room)
    with watch.step("the barrel, measured again", "barrel.bore"):
        bore, found = barrel_findings(read, strut)
        out += found
    with watch.step("the palms, measured again", "palm.outline"):
        out += palm_findings(read, strut, bore)
    if strut.flange is not None:
        with watch.step("the flange, measured again", "flange.outline"):
            out += flange_findings(read, strut, strut.flange, bore)
    if strut.let_in is not None:
        with watch.step("the seats, measured again", "barrel.outside_diameter"):
            out += let_in_findings(read, strut, strut.let_in)
    if strut.hanger is not None and strut.hanger.cap is not None:
        with watch.step("the split, measured again", "cap"):
            out += split_findings(read, strut, strut.hanger.cap)
    if strut.skeg is not None and strut.skeg.heel is not None:
        out += heel_findings(read, strut.skeg.heel)
    return out


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
            and any(closes(solids[0], (way,)) for way in WAYS)
        )
        what, advice = f"{part.name}: one closed, valid solid", "change a size a little; two surfaces may just touch"
        out.append(held_or_not("solid_closed", what, closed, advice, group_of(part.name)))
    names = [part.name for part in read.parts]
    for made in parts:
        at = group_of(made.name)
        if made.name not in names:
            out.append(failed("part_missing", f"{made.name}: not in the file", "write the file again", at))
            continue
        there = read.parts[names.index(made.name)].shape
        (volume, middle), (found, its) = _masses(made.shape, there, made.name)
        out.append(equal("volume", f"{made.name}, volume", found, volume, "mm3", at, VOLUME_TOL * volume))
        off = float(np.linalg.norm(middle - its))
        out.append(length("part_place", f"{made.name}, centre of mass off its place", off, 0.0, at, PLACE_TOL_MM))
    numbers = ("volume", "part_place")
    held = collected("solid_closed", [f for f in out if f.code not in numbers])
    return held + [w for code in numbers for w in worst([f for f in out if f.code == code])]


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
            what, there = f"station of the bearing's {end} end", x - strut.barrel.x(0.0)
            out.append(length("bearing_station", what, there, station, "bearing.position", 2 * LENGTH_TOL_MM))
    return worst(out)


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
            out.append(failed("arm_missing", f"{arm.name}: no metal on its axis halfway up", STOP, "arms"))
            continue
        rim = [e.positionAt(t).toTuple() for e in cuts[0].outerWire().Edges() for t in np.linspace(0.0, 1.0, 201)]
        local = (np.array(rim) - at) @ np.column_stack((axes.u, axes.v))
        asked = boundary_points(arm.shape, chord, thick, 2000, edge_radius_at(arm, thick))
        for k, (name, low, high) in enumerate(
            (("chord", "aft edge", "forward edge"), ("thickness", "starboard side", "port side"))
        ):
            for side, pick in ((low, np.min), (high, np.max)):
                there, wanted = float(pick(local[:, k])), float(pick(asked[:, k]))
                what, path = f"{arm.name} halfway up, {side} from its axis", f"arms.section.{name}"
                out.append(length("arm_section", what, there, wanted, path, ARM_TOL_MM))
    return worst(out)


def _roots(read: Read, strut: Strut, room: RootRoom) -> list[Finding]:
    """The roots: a casting's fillets lie on their ball, a weld's toes a leg from its line."""
    out = []
    reach = room.reach_mm(strut.barrel)
    for member, root, size, where, parameter in _joints(strut):
        on_barrel = reach if where == "barrel" else None
        places = [(i, np.linspace(0.1, 0.9, 3)) for i, p in enumerate(member.ruled.loops[0]) if p.kind != "corner"]
        if strut.construction == "cast":
            name, what = "strut", "fillet"
            if size <= 0 or largest_radius_mm(member, root, on_barrel) < size:  # told by the check and the build
                continue
            touch = roll(member.ruled, root.sunk, size, places, root.reach)
            points = arc_points(size, touch)[:, 2]
        else:
            name, what = f"weld {member.name} to {where}", "weld"
            if size <= 0 or not bead_fits(member, root, size, room.open_deg, on_barrel):
                continue
            bead = toes(member.ruled, root, size, places)
            points = _in_sight(np.vstack((bead.on_side, bead.on_base)), read, strut, member.name)
        there = next((p for p in read.parts if p.name == name), None)
        if there is not None and len(points):  # a part that is missing is told among the bodies
            off = max(_off_surface(there.shape, p) for p in points)
            place = f"{what} of the {member.name} at the {where}, off its place"
            out.append(length("root_surface", place, off, 0.0, parameter, ROOT_TOL_MM))
    return worst(out)


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
        radius, path = strut.skeg.root_mm, "skeg.root_fillet" if cast else "welds.skeg_to_barrel_leg"
        yield fin, barrel_root(fin, strut.barrel, radius), radius, "barrel", path


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
