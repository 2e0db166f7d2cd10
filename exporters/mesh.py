"""Meshes of the strut: binary STL (mm) for printing, GLB (metres) for viewing. Triangles within a stated
chord error.

The kernel cuts the faces into triangles; the corners that faces share are made one, so that each part is
watertight.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from strutwright.exporters.step import PartLike
from strutwright.models.build import watch

if TYPE_CHECKING:
    import trimesh

CHORD_MM = 0.05
"""Greatest distance between a triangle and the true surface: below what a printer or a viewer shows."""
ANGLE_RAD = math.radians(10.0)
"""Greatest turn of the surface from one triangle to the next, so that small fillets stay round."""
_TRIES = ((1.0, True), (0.5, False), (0.4, False), (0.6, False), (0.3, False))
"""Shares of the chord error, and whether it is forced on faces, tried until a mesh is closed."""
_SAME_MM = 1e-5
_GLB_FROM_STRUT = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])
"""glTF has +y up and +z forward (glTF 2.0, 3.4): x = port, y = up, z = forward."""


class MeshError(RuntimeError):
    """A part's mesh has holes, so that it is no solid; the text names the part. parameter: the path to blame."""

    parameter = ""


def part_mesh(shape: Any, name: str, chord_mm: float = CHORD_MM) -> trimesh.Trimesh:
    """Return a watertight mesh (mm, strut frame) of a cadquery shape.

    chord_mm: greatest distance from the true surface, above 0. A mesh in which triangles of two faces fall together,
    as happens in thin weld beads, is made again finer. Raises MeshError when none is watertight with a volume above
    0.
    """
    why = MeshError(f"{name}: the mesh is not closed; check that the solid is valid, or change a fillet a little")
    for share, forced in _TRIES:
        try:
            mesh = triangles(shape, name, share * chord_mm, ANGLE_RAD, forced)
        except MeshError as error:      # another chord may do
            why = error
            continue
        if mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0.0:
            return mesh
    raise why


def triangles(shape: Any, name: str, chord_mm: float, angle_rad: float, forced: bool = True) -> trimesh.Trimesh:
    """Return a mesh (mm) of a cadquery shape, closed or not.

    chord_mm: greatest distance from the true surface. angle_rad: greatest turn of the surface between triangles.
    forced: hold the chord on faces too; otherwise the kernel holds it on edges, and within twice as much on faces.
    Raises MeshError when a face cannot be cut into triangles.
    """
    import trimesh
    from OCP.BRep import BRep_Tool
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.BRepTools import BRepTools
    from OCP.IMeshTools import IMeshTools_Parameters
    from OCP.TopAbs import TopAbs_Orientation
    from OCP.TopLoc import TopLoc_Location

    # A finer mesh left from an earlier call would be kept, and the result would depend on what ran before.
    BRepTools.Clean_s(shape.wrapped)
    if forced:
        how = IMeshTools_Parameters()
        how.Deflection = how.DeflectionInterior = chord_mm
        how.Angle = how.AngleInterior = angle_rad
        # Without control of the surface the broad flank of a foil comes out flat, 2 % of an arm's volume short.
        how.ForceFaceDeflection = how.ControlSurfaceDeflection = True
        BRepMesh_IncrementalMesh(shape.wrapped, how)
    else:
        BRepMesh_IncrementalMesh(shape.wrapped, chord_mm, False, angle_rad, False)
    points: list[tuple[float, float, float]] = []
    corners: list[tuple[int, int, int]] = []
    for face in shape.Faces():
        place = TopLoc_Location()
        cut = BRep_Tool.Triangulation_s(face.wrapped, place)
        if cut is None:
            raise MeshError(f"{name}: a face could not be cut into triangles; check that the solid is valid")
        move, base = place.Transformation(), len(points) - 1
        nodes = (cut.Node(i).Transformed(move) for i in range(1, cut.NbNodes() + 1))
        points += [(p.X(), p.Y(), p.Z()) for p in nodes]
        turned = face.wrapped.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
        for i in range(1, cut.NbTriangles() + 1):
            a, b, c = cut.Triangle(i).Get()
            corners.append((base + a, base + c, base + b) if turned else (base + a, base + b, base + c))
    # What is 0 in one process is 1e-30 in another.
    return trimesh.Trimesh(*_joined(np.round(np.array(points), 9) + 0.0, np.array(corners)), process=False)


def _joined(points: np.ndarray, corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Make corners nearer than _SAME_MM one, kept in the order they came; drop triangles that vanish by it."""
    _key, first, number = np.unique(np.round(points / _SAME_MM), axis=0, return_index=True, return_inverse=True)
    order = np.argsort(first)
    place = np.empty_like(order)
    place[order] = np.arange(len(order))
    corners = place[number.reshape(-1)[corners]]
    a, b, c = corners.T
    return points[first[order]], corners[(a != b) & (b != c) & (c != a)]


def mesh_of(part: PartLike, chord_mm: float = CHORD_MM) -> trimesh.Trimesh:
    """Return the mesh of a part as `part_mesh`; a MeshError knows the parameter to blame."""
    try:
        with watch.step(f"the mesh of the {part.name}", part.parameter):
            return part_mesh(part.shape, part.name, chord_mm)
    except MeshError as error:
        error.parameter = part.parameter
        raise


def write_stl(path: Path, parts: Sequence[PartLike], chord_mm: float = CHORD_MM) -> None:
    """Write the parts as one binary STL in mm, strut frame. chord_mm as `part_mesh`; raises MeshError."""
    import trimesh

    whole = trimesh.util.concatenate([mesh_of(p, chord_mm) for p in parts])
    path.write_bytes(trimesh.exchange.stl.export_stl(whole))


def write_glb(path: Path, parts: Sequence[PartLike], chord_mm: float = CHORD_MM) -> None:
    """Write the parts as binary glTF 2.0: metres, +y up (strut z), +z forward (strut x), +x port (strut y).

    One named node, mesh and colour per part. chord_mm as `part_mesh`; raises MeshError.
    """
    import trimesh

    scene = trimesh.Scene()
    for part in parts:
        mesh = mesh_of(part, chord_mm)
        mesh.vertices = mesh.vertices @ _GLB_FROM_STRUT.T / 1000.0
        colour = [*(round(255 * c) for c in part.colour), 255]
        mesh.visual = trimesh.visual.TextureVisuals(
            material=trimesh.visual.material.PBRMaterial(
                name=part.name, baseColorFactor=colour, metallicFactor=0.4, roughnessFactor=0.6
            )
        )
        scene.add_geometry(mesh, node_name=part.name, geom_name=part.name)
    path.write_bytes(trimesh.exchange.gltf.export_glb(scene, include_normals=False))
