"""Meshes of the strut: binary STL (mm) for printing, GLB (metres) for viewing. Triangles within a stated chord error.

The kernel cuts the faces into triangles; the corners that faces share are made one, so that each part is watertight.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

import numpy as np

from strutwright.exporters.files.step import PartLike
from strutwright.models.solids import watch
from strutwright.models.solids.triangles import SAME_MM, Facets, facets, joined

if TYPE_CHECKING:
    import trimesh

CHORD_MM = 0.05
"""Greatest distance between a triangle and the true surface: below what a printer or a viewer shows."""
ANGLE_RAD = math.radians(10.0)
"""Greatest turn of the surface from one triangle to the next, so that small fillets stay round."""
_TRIES = ((1.0, True), (0.5, False), (0.4, False), (0.6, False), (0.3, False))
"""Shares of the chord error, and whether it is forced on faces, tried until a mesh is closed."""
_SAME_MM = (1e-5, SAME_MM)
"""Corners this near are one; the wider where the solid's own corners are no better, tried when nothing else closes."""
_FLAKE_MM2 = 1e-6
"""A face without triangles that is smaller than this is a slip of the kernel."""
_PARTINGS = 6
_GLB_FROM_STRUT = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])
"""glTF has +y up and +z forward (glTF 2.0, 3.4): x = port, y = up, z = forward."""


class MeshError(RuntimeError):
    """A part's mesh has holes, so that it is no solid; why names the part. parameter: the path to blame."""

    parameter = ""

    def __init__(self, why: str, advice: str) -> None:
        super().__init__(why, advice)
        self.why, self.advice = why, advice

    def __str__(self) -> str:
        return f"{self.why}; {self.advice}"


def part_mesh(shape: Any, name: str, chord_mm: float = CHORD_MM) -> trimesh.Trimesh:
    """Return a watertight mesh (mm, strut frame) of a cadquery shape.

    chord_mm: greatest distance from the true surface, above 0. A mesh in which triangles of two faces fall together, as
    happens in thin weld beads, is made again finer. Raises MeshError when none is watertight with a volume above 0.
    """
    why = MeshError(f"{name}: the mesh is not closed", "check that the solid is valid, or change a fillet a little")
    for same_mm, (share, forced) in itertools.product(_SAME_MM, _TRIES):
        try:
            mesh = triangles(shape, name, share * chord_mm, ANGLE_RAD, forced, same_mm)
        except MeshError as error:  # another chord may do
            why = error
            continue
        if mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0.0:
            return mesh
    raise why


def triangles(
    shape: Any, name: str, chord_mm: float, angle_rad: float, forced: bool = True, same_mm: float = _SAME_MM[0]
) -> trimesh.Trimesh:
    """Return a mesh (mm) of a cadquery shape, closed or not.

    chord_mm: greatest distance from the true surface. angle_rad: greatest turn of the surface between triangles.
    forced: hold the chord on faces too; otherwise the kernel holds it on edges, and within twice as much on faces.
    same_mm: corners this near are made one. Raises MeshError when a face cannot be cut into triangles.
    """
    import trimesh
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.BRepTools import BRepTools
    from OCP.IMeshTools import IMeshTools_Parameters

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
    cut = facets(shape)
    faces = shape.Faces()
    if any(patch is None and face.Area() > _FLAKE_MM2 for patch, face in zip(cut.patches, faces, strict=True)):
        raise MeshError(f"{name}: a face could not be cut into triangles", "check that the solid is valid")
    # What is 0 in one process is 1e-30 in another.
    corners, same = joined(np.round(cut.points, 9) + 0.0, same_mm)
    a, b, c = same[cut.triangles].T
    kept = (a != b) & (b != c) & (c != a)  # a triangle may vanish by it
    fans = _Fans(corners, same, cut._replace(triangles=cut.triangles[kept], owner=cut.owner[kept]), faces)
    fans.part()
    return trimesh.Trimesh(fans.points, fans.same[fans.drawn], process=False)


class _Fans:
    """Triangles of the kernel's faces, of which two pairs or more may stand on one edge.

    Where two faces leave their common edge at a very small angle, as at the thin end of a weld, both may have a
    triangle over the same two corners; where two edges lie on each other for a bit, four faces or more have. One pair
    then gets a corner of its own between them, on its face.

    points (n, 3): of the whole; same (m,): which of them each corner is; drawn (t, 3): corners of the triangles;
    owner (t,): their faces.
    """

    def __init__(self, points: np.ndarray, same: np.ndarray, cut: Facets, faces: Sequence[Any]) -> None:
        self.points, self.same, self.drawn, self.owner = points, same, cut.triangles, cut.owner
        self._cut, self._faces = cut, faces
        self._new_spots: dict[int, np.ndarray] = {}  # of the corners that parting made

    def part(self) -> None:
        """Part such pairs, as often as parting makes new ones."""
        for _ in range(_PARTINGS):
            if not self._part_once():
                return

    def _part_once(self) -> bool:
        t = self.same[self.drawn]
        edges = np.sort(np.concatenate((t[:, (0, 1)], t[:, (1, 2)], t[:, (2, 0)])), axis=1)
        _, number, count = np.unique(edges, axis=0, return_inverse=True, return_counts=True)
        crowded = np.flatnonzero((count >= 4) & (count % 2 == 0))
        number = number.reshape(-1)
        touched: set[int] = set()
        for k in crowded.tolist():
            at = np.flatnonzero(number == k)
            triangles_, sides = at % len(t), at // len(t)
            if touched & set(triangles_.tolist()):
                continue
            pairs = self._pairs(triangles_, sides)
            if not pairs:
                continue
            (_, point), pair = max(
                ((self._middle(int(triangles_[p[0]]), int(sides[p[0]])), p) for p in pairs), key=lambda m: m[0][0]
            )
            self.points = np.vstack((self.points, point))
            for w in pair:
                self._split(int(triangles_[w]), int(sides[w]))
            touched |= set(triangles_.tolist())
        return bool(touched)

    def _pairs(self, triangles_: np.ndarray, sides: np.ndarray) -> list[tuple[int, int]]:
        """Return which two triangles on one edge may be parted from the others: two of one face, or, where edges of the
        solid lie on each other, two that run along it in opposite ways."""
        own = self.owner[triangles_]
        if len(faces := sorted(set(own.tolist()))) == 2 and (own == faces[0]).sum() == 2:
            first, second = (np.flatnonzero(own == f).tolist() for f in faces)
            return [(first[0], first[1]), (second[0], second[1])]
        starts = np.array([self.same[self._ends(int(t), int(s))[0]] for t, s in zip(triangles_, sides, strict=True)])
        along, back = (np.flatnonzero(starts == start) for start in (starts.min(), starts.max()))
        if len(along) != len(back):
            return []
        return [(min(along.tolist(), key=own.__getitem__), min(back.tolist(), key=own.__getitem__))]

    def _ends(self, triangle: int, side: int) -> tuple[int, int, int]:
        """Corners of a triangle: both ends of a side, and the one opposite."""
        a, b, c = np.roll(self.drawn[triangle], -side).tolist()
        return a, b, c

    def _middle(self, triangle: int, side: int) -> tuple[float, np.ndarray]:
        """Return the point of the face halfway over a side, and how far it is from the side's own middle."""
        a, b, _ = self._ends(triangle, side)
        u, v = self._halfway(triangle, a, b).tolist()
        p = self._faces[int(self.owner[triangle])]._geomAdaptor().Value(u, v)
        point = np.round([p.X(), p.Y(), p.Z()], 9) + 0.0
        straight = (self.points[self.same[a]] + self.points[self.same[b]]) / 2
        return float(np.linalg.norm(point - straight)), point

    def _halfway(self, triangle: int, a: int, b: int) -> np.ndarray:
        """Return the parameters halfway between two corners of a triangle, on its face."""
        face = int(self.owner[triangle])
        first, last = (self._new_spots[i] if i in self._new_spots else self._cut.spot(face, i) for i in (a, b))
        return np.asarray((first + last) / 2)

    def _split(self, triangle: int, side: int) -> None:
        """Split a triangle at the newest point, over a side."""
        a, b, c = self._ends(triangle, side)
        new = len(self.same)
        self.same = np.append(self.same, len(self.points) - 1)
        self._new_spots[new] = self._halfway(triangle, a, b)
        self.drawn[triangle] = (a, new, c)
        self.drawn = np.vstack((self.drawn, (new, b, c)))
        self.owner = np.append(self.owner, self.owner[triangle])


_made: WeakKeyDictionary[Any, dict[tuple[float, str], trimesh.Trimesh]] = WeakKeyDictionary()
"""The meshes that were made of shapes which are still in use: STL, GLB and the page's model are written of one."""


def mesh_of(part: PartLike, chord_mm: float = CHORD_MM) -> trimesh.Trimesh:
    """Return the mesh of a part as `part_mesh`, the caller's own; a MeshError knows the parameter to blame."""
    made, key = _made.setdefault(part.shape, {}), (chord_mm, str(part.shape.wrapped.Orientation()))
    try:
        if key not in made:
            with watch.step(f"the mesh of the {part.name}", part.parameter):
                made[key] = part_mesh(part.shape, part.name, chord_mm)
    except MeshError as error:
        error.parameter = part.parameter
        raise
    return made[key].copy()


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
