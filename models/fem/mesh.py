"""Meshes of ten-node tetrahedra: made of a solid by gmsh, with their surface, edges and shape functions."""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats
from strutwright.models.fem import FemError, MissingToolError
from strutwright.models.solids.kernel import Solid, mass_properties, write_brep
from strutwright.params.words import mm, say

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

MOST_NODES = 120_000
"""What a solution takes in memory and minutes on an ordinary machine."""
NODES_PER_CUBE = 12.0
"""Nodes of a uniform mesh per cube of the element size, for an estimate beforehand; measured on struts."""
MESH_SECONDS = 300.0
MESH_BYTES = 4 << 30
PER_TURN = 9.0
"""Elements per full turn of a curved surface: a bore becomes a nine-sided prism with curved sides."""

EDGES = ((0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3))
"""Corners of the edges whose middles are nodes 4 to 9 (order of VTK and CalculiX)."""
_FACES = np.array(((0, 2, 1, 6, 5, 4), (0, 1, 3, 4, 8, 7), (1, 2, 3, 5, 9, 8), (0, 3, 2, 7, 9, 6)))
"""Six nodes of each face, corners counter-clockwise seen from outside."""
_A, _B = 0.5854101966249685, 0.1381966011250105
GAUSS = np.array([[_A if k == j else _B for j in range(4)] for k in range(4)])
"""Barycentric coordinates of the four integration points, each of weight 1/24: exact to degree 2 (Hammer, Stroud)."""
GAUSS_TO_CORNER = np.linalg.inv(GAUSS)
"""Values at the integration points -> at the corners, exact for a linear field."""


@dataclass(frozen=True, slots=True)
class SolidFile:
    """A solid in a file of the kernel's own format, for a process without the kernel; volume in mm3."""

    path: Path
    volume_mm3: float


@dataclass(frozen=True, slots=True)
class Refinement:
    """Points (n, 3) mm round which elements are to be of a smaller size (mm), out to a distance (mm)."""

    points_mm: Floats
    size_mm: float
    within_mm: float


@dataclass(frozen=True, eq=False)
class Mesh:
    """points_mm: (n, 3), strut frame. tets: (m, 10) node numbers, corners first, then the edges' middles (EDGES)."""

    points_mm: Floats
    tets: Ints

    @cached_property
    def faces(self) -> Ints:
        """Return the surface: (k, 6) node numbers of triangles, corners first, seen counter-clockwise from outside."""
        every = self.tets[:, _FACES].reshape(-1, 6)
        key = np.sort(every[:, :3], axis=1)
        _, first, count = np.unique(key, axis=0, return_index=True, return_counts=True)
        return np.asarray(every[np.sort(first[count == 1])])

    @cached_property
    def face_vectors_mm2(self) -> Floats:
        """Return the outward normals of the surface triangles times their area, (k, 3), as flat triangles."""
        a, b, c = (self.points_mm[self.faces[:, k]] for k in range(3))
        return np.asarray(np.cross(b - a, c - a) / 2)

    @cached_property
    def surface_nodes(self) -> Ints:
        """Return the numbers of the nodes on the surface, rising."""
        return np.unique(self.faces)

    def volume_mm3(self) -> float:
        """Return the volume of the (curved) tetrahedra."""
        return float(sum(np.linalg.det(self.jacobians(g)).sum() for g in GAUSS) / 24)

    def jacobians(self, at: Floats, tets: Ints | None = None) -> Floats:
        """Return d(x)/d(natural coordinates), (m, 3, 3), at barycentric coordinates (4,)."""
        nodes = self.points_mm[self.tets if tets is None else tets]
        return np.asarray(np.einsum("ki,mkj->mij", shape_slopes(at), nodes))

    @cached_property
    def facets(self) -> Ints:
        """Return the surface as plain triangles (4 k, 3): each face as four through its middles."""
        return np.concatenate([self.faces[:, list(p)] for p in ((0, 3, 5), (3, 1, 4), (5, 4, 2), (3, 4, 5))])

    def sharp_inner_edges(self, from_deg: float = 45.0) -> Floats:
        """Return the middles (k, 3) of surface edges at which the surface turns inwards by more than an angle.

        Taken on the facets, between which a fillet meshed with two or more elements a quarter turn turns by half as
        much as the default.
        """
        pairs = np.sort(self.facets[:, ((0, 1), (1, 2), (2, 0))], axis=2).reshape(-1, 2)
        face = np.repeat(np.arange(len(self.facets)), 3)
        order = np.lexsort((face, pairs[:, 1], pairs[:, 0]))
        pairs, face = pairs[order], face[order]
        twin = np.flatnonzero((pairs[1:] == pairs[:-1]).all(axis=1))
        one, two = face[twin], face[twin + 1]
        a, b, c = (self.points_mm[self.facets[:, k]] for k in range(3))
        normal, middle = np.cross(b - a, c - a), (a + b + c) / 3
        normal = normal / np.linalg.norm(normal, axis=1)[:, None]
        turns = np.einsum("ij,ij->i", normal[one], normal[two]) < np.cos(np.radians(from_deg))
        inward = np.einsum("ij,ij->i", middle[two] - middle[one], normal[one]) > 0
        return np.asarray(self.points_mm[pairs[twin[turns & inward]]].mean(axis=1))


def shape_slopes(at: Floats) -> Floats:
    """Return the derivatives (10, 3) of the shape functions by the natural coordinates L1, L2, L3 (L0 depends).

    >>> shape_slopes(np.full(4, 0.25)).sum(axis=0).tolist()  # the ten add up to 1 everywhere
    [0.0, 0.0, 0.0]
    """
    by_l = np.zeros((10, 4))
    for k in range(4):
        by_l[k, k] = 4 * at[k] - 1
    for n, (i, j) in enumerate(EDGES, 4):
        by_l[n, i], by_l[n, j] = 4 * at[j], 4 * at[i]
    return by_l[:, 1:] - by_l[:, :1]


def solid_file(shape: Solid, path: Path) -> SolidFile:
    """Write a cadquery solid to a file and return that.

    >>> from strutwright.models.solids import kernel
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = solid_file(kernel.cylinder(np.zeros(3), np.eye(3)[2], 20.0, 50.0), Path(folder) / "bar.brep")
    >>> round(made.volume_mm3)  # pi x 20^2 x 50
    62832
    """
    write_brep(shape, str(path))
    return SolidFile(path, mass_properties(shape)[0])


def _volume_mm3(shape: Solid | SolidFile) -> float:
    return shape.volume_mm3 if isinstance(shape, SolidFile) else mass_properties(shape)[0]


def least_size_mm(shape: Solid | SolidFile) -> float:
    """Return the smallest element size (mm) that a solid may be meshed with, by MOST_NODES.

    >>> round(least_size_mm(SolidFile(Path("solid.brep"), 1e7)), 6)  # the cube root of 12 x 1e7 / 120 000
    10.0
    """
    return float((NODES_PER_CUBE * _volume_mm3(shape) / MOST_NODES) ** (1 / 3))


def check_gmsh() -> None:
    """Raise MissingToolError when gmsh is not installed.

    >>> check_gmsh()  # it is there: nothing to tell
    """
    if importlib.util.find_spec("gmsh") is None:
        raise MissingToolError(
            "the stress picture needs the mesher gmsh, which is not installed; install it with "
            "`.venv/bin/pip install '.[stress]'` in the program's folder (pip of the environment that it runs in)"
        )


def mesh_solid(shape: Solid | SolidFile, size_mm: float, refinements: Sequence[Refinement] = ()) -> Mesh:
    """Return a mesh of a cadquery solid by gmsh, which runs in a process of its own.

    size_mm: greatest element size. refinements: where it is to be finer. Same solid, sizes and gmsh: same mesh. Raises
    MissingToolError without gmsh, FemError for a size below `least_size_mm`, a mesh that is too large, takes too long,
    or that gmsh cannot make.

    >>> mesh_solid(SolidFile(Path("solid.brep"), 1e7), 5.0)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    strutwright.models.fem.FemError: elements of 5 mm would make about 9.6e+05 nodes, ... a mesh size of at least 10 mm
    """
    check_gmsh()
    volume = _volume_mm3(shape)
    nodes = NODES_PER_CUBE * volume / size_mm**3
    if not nodes <= 1.001 * MOST_NODES:
        raise FemError(
            say(
                "elements of {size} would make about {nodes} nodes, more than the {most} allowed; give a "
                "mesh size of at least {least}",
                size=mm(size_mm),
                nodes=f"{nodes:.2g}",
                most=MOST_NODES,
                least=mm(least_size_mm(shape)),
            )
        )
    with tempfile.TemporaryDirectory(prefix="strutwright-mesh-") as folder:
        brep = Path(folder) / "solid.brep"
        body = shape if isinstance(shape, SolidFile) else solid_file(shape, brep)
        mesh = _run(body.path.resolve(), size_mm, refinements, Path(folder))
    if abs(mesh.volume_mm3() / volume - 1) > 0.05:
        raise FemError(
            f"the mesh holds {mesh.volume_mm3() / volume * 100:.0f} % of the solid's volume; give a smaller mesh size"
        )
    return mesh


def _run(brep: Path, size_mm: float, refinements: Sequence[Refinement], folder: Path) -> Mesh:
    made, job = folder / "mesh.npz", folder / "job.json"
    asked = {"brep": str(brep), "mesh": str(made), "size_mm": size_mm, "per_turn": PER_TURN, "most_nodes": MOST_NODES}
    finer = [
        {"points_mm": np.asarray(r.points_mm).tolist(), "size_mm": r.size_mm, "within_mm": r.within_mm}
        for r in refinements
    ]
    job.write_text(json.dumps({**asked, "memory_bytes": MESH_BYTES, "refinements": finer}), encoding="utf-8")
    try:
        done = subprocess.run(
            [sys.executable, "-m", "strutwright.models.fem.mesher", str(job)],
            cwd=folder,
            text=True,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=MESH_SECONDS,
            check=False,
            env={**os.environ, "PYTHONSAFEPATH": "1"},
        )
    except subprocess.TimeoutExpired:
        raise FemError(f"gmsh was stopped after {MESH_SECONDS:.0f} s; give a larger mesh size") from None
    if done.returncode != 0 or not made.is_file():
        words = (done.stderr or done.stdout).strip().splitlines()
        why = words[-1][:200] if words else f"it ended with status {done.returncode}"
        if "OSError" in why or "cannot open shared object" in why:
            raise MissingToolError(
                f"gmsh is installed but cannot start ({why}); on Debian install its libraries with "
                "`apt install libglu1-mesa libxcursor1 libxft2 libxinerama1`"
            )
        told = "gmsh could not mesh the solid with elements of {size} ({why}); give another mesh size"
        raise FemError(say(told, size=mm(size_mm), why=why))
    with np.load(made) as data:
        mesh = Mesh(np.asarray(data["points"], dtype=float), np.asarray(data["tets"], dtype=np.int64))
    if len(mesh.points_mm) > MOST_NODES:
        told = "the mesh has {nodes} nodes, more than the {most} allowed; give a larger mesh size than {size}"
        raise FemError(say(told, nodes=len(mesh.points_mm), most=MOST_NODES, size=mm(size_mm)))
    return _straightened(mesh)


def _straightened(mesh: Mesh) -> Mesh:
    """Return the mesh with the edges of those elements made straight that their curved edges would turn inside out.

    Raises FemError when an element is inside out even so.
    """
    points = mesh.points_mm.copy()
    corners = np.eye(4)
    for _ in range(6):
        now = replace(mesh, points_mm=points)
        straight = np.linalg.det(points[mesh.tets[:, 1:4]] - points[mesh.tets[:, :1]])
        least = np.min([np.linalg.det(now.jacobians(at)) for at in (*corners, *GAUSS)], axis=0)
        bad = mesh.tets[least < 0.15 * straight]
        if not len(bad):
            break
        for n, (i, j) in enumerate(EDGES, 4):
            points[bad[:, n]] = (points[bad[:, i]] + points[bad[:, j]]) / 2
    if (least <= 0).any():
        raise FemError("gmsh left elements that are inside out; give another mesh size")
    return now
