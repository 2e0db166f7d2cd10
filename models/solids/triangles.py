"""The triangles that the kernel makes of a shape: whether they meet, the volume within them, corners that are one.

The kernel is imported inside the functions, as in `kernel`. Lengths mm, angles rad.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    import cadquery as cq

    Solid: TypeAlias = cq.Solid
else:
    Solid: TypeAlias = Any

COARSE = ((0.1, 0.3),)  # how a body's triangles are made to see whether they meet: chord in mm, turn in radians
SAME_MM = 1e-4  # corners of triangles that are one, of a whole solid; no wider than FUZZY_MM


class Facets(NamedTuple):
    """The triangles of a shape, face by face: corners are not shared between faces."""

    points: NDArray[np.float64]  # (n, 3) mm
    triangles: NDArray[np.int64]  # (m, 3), outward by the right hand
    owner: NDArray[np.int64]  # (m,) the face of each triangle, in the order of the shape's faces
    first: tuple[int, ...]  # of each face's points
    patches: tuple[Any, ...]  # the kernel's triangulation of each face, None where there is none

    def spot(self, face: int, point: int) -> NDArray[np.float64]:
        """Return the parameters (2,) on a face of one of its points."""
        return np.array(self.patches[face].UVNode(point - self.first[face] + 1).Coord())


def facets(shape: Any) -> Facets:
    """Return the triangles that the kernel has made of a shape; a face without any adds none.

    >>> import cadquery
    >>> cube = cadquery.Solid.makeBox(1, 1, 1)
    >>> cube.mesh(0.1)
    >>> len(facets(cube).triangles)  # two a face
    12
    """
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_Orientation
    from OCP.TopLoc import TopLoc_Location

    points: list[tuple[float, ...]] = []
    corners: list[tuple[int, ...]] = []
    first, patches, counts, turned = [], [], [], []
    for face in shape.Faces():
        place = TopLoc_Location()
        patch = BRep_Tool.Triangulation_s(face.wrapped, place)
        patches.append(patch)
        first.append(len(points))
        turned.append(face.wrapped.Orientation() == TopAbs_Orientation.TopAbs_REVERSED)
        if patch is None:
            counts.append(0)
            continue
        node, three = patch.Node, patch.Triangle
        numbers = range(1, patch.NbNodes() + 1)
        if place.IsIdentity():
            points += [node(i).Coord() for i in numbers]
        else:
            move = place.Transformation()
            points += [node(i).Transformed(move).Coord() for i in numbers]
        corners += [three(i).Get() for i in range(1, patch.NbTriangles() + 1)]
        counts.append(patch.NbTriangles())
    owner = np.repeat(np.arange(len(counts)), counts)
    drawn = np.array(corners, dtype=np.int64).reshape(-1, 3) + (np.array(first, dtype=np.int64)[owner] - 1)[:, None]
    back = np.array(turned, dtype=bool)[owner]
    drawn[back] = drawn[back][:, (0, 2, 1)]
    return Facets(np.array(points, dtype=float).reshape(-1, 3), drawn, owner, tuple(first), tuple(patches))


def _numbered(keys: NDArray[Any]) -> NDArray[np.int64]:
    """The number (n,) of each key (n,) among those that differ, in order."""
    return np.unique(keys, return_inverse=True)[1].reshape(-1)


def joined(points: NDArray[np.float64], same_mm: float) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Return corners (m, 3) of which none are nearer than half of same_mm, in the order they came, and which of them
    each of the points (n, 3) has become, mm; what hangs together by such corners is one.

    >>> joined(np.array([[0.0, 0.0, 0.0], [5.0, 0.0, 0.0], [0.0, 0.0, 1e-5]]), 1e-4)[1].tolist()
    [0, 1, 0]
    """
    number = np.arange(len(points))
    # Two such corners share a cell of one of these grids at least, and no cell is wider than same_mm.
    lines = [[_numbered(np.floor(values / same_mm + shift)) for shift in (0.0, 0.5)] for values in points.T]
    n = len(points) + 1
    planes = [_numbered(x * n + y) for x, y in itertools.product(*lines[:2])]
    cells = [_numbered(plane * n + z) for plane, z in itertools.product(planes, lines[2])]
    while True:
        before = number
        for cell in cells:
            least = np.full(cell.max(initial=-1) + 1, len(points))
            np.minimum.at(least, cell, number)
            number = least[cell]
        if (number == before).all():
            break
    first, place = np.unique(number, return_inverse=True)
    return points[first], place.reshape(-1)


def faceted_volume_mm3(solid: Solid, chord_mm: float, turn_rad: float = 0.1) -> float:
    """Return the volume within a body's triangles, mm3: where the kernel's own integration slips on trimmed surfaces,
    by up to 1e-3, those of equal bodies agree to 1e-5.

    >>> import cadquery
    >>> round(faceted_volume_mm3(cadquery.Solid.makeBox(2, 3, 4), 0.1), 9)
    24.0
    """
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.BRepTools import BRepTools

    BRepTools.Clean_s(solid.wrapped)
    BRepMesh_IncrementalMesh(solid.wrapped, chord_mm, False, turn_rad, False)
    cut = facets(solid)
    BRepTools.Clean_s(solid.wrapped)
    a, b, c = cut.points[cut.triangles.T]
    return float(np.sum(a * np.cross(b, c))) / 6.0


def closes(solid: Solid, ways: Sequence[tuple[float, float]] = ((0.05, 0.17), (0.1, 0.3))) -> bool:
    """Return whether the faces of a solid, made triangles in each of the ways (chord in mm, turn in radians), meet edge
    to edge: some that are valid by rule do not.

    >>> import cadquery
    >>> box = cadquery.Solid.makeBox(1, 1, 1)
    >>> closes(box), closes(box.Faces()[0])  # a lone face has edges that meet nothing
    (True, False)
    """
    return all(_closes(solid, chord, turn) for chord, turn in ways)


def _closes(solid: Solid, chord_mm: float, turn_rad: float) -> bool:
    from OCP.BRepTools import BRepTools

    BRepTools.Clean_s(solid.wrapped)  # a finer mesh left from before would be kept
    solid.mesh(chord_mm, turn_rad)
    cut = facets(solid)
    BRepTools.Clean_s(solid.wrapped)  # the box round a body with triangles is less exact
    # Stricter than a mesh that is written: of two ways to make a solid the one is taken that needs no such help.
    n, number = len(cut.points), np.zeros(len(cut.points), dtype=np.int64)
    for values in np.round(cut.points / SAME_MM).T:
        number = _numbered(number * n + _numbered(values))  # one number for a point: rows are sorted far more slowly
    same = number[cut.triangles]
    a, b, c = same.T
    same = same[(a != b) & (b != c) & (c != a)]
    low, high = np.sort(np.vstack((same[:, :2], same[:, 1:], same[:, ::2])), axis=1).T
    return bool((np.unique(low * n + high, return_counts=True)[1] % 2 == 0).all())
