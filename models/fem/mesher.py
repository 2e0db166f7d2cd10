"""gmsh in a process of its own: `python -m strutwright.models.fem.mesher JOB.json`.

gmsh keeps global state, may take all memory and may crash; none of that may reach the caller. The job names a BREP file
(mm), sizes and limits; the answer is an .npz of points and ten-node tetrahedra, or a line on the error stream.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np

TET10 = 11
FROM_GMSH = (0, 1, 2, 3, 4, 5, 6, 7, 9, 8)
"""gmsh's order of the ten nodes -> that of VTK and CalculiX (they differ in the last two)."""


def _main(job_file: str) -> int:
    """Mesh as the job says; return 0 when it went well."""
    job = json.loads(Path(job_file).read_text(encoding="utf-8"))
    _limit_memory(int(job["memory_bytes"]))
    import gmsh

    gmsh.initialize(interruptible=False)
    try:
        _mesh(gmsh, job)
    except Exception as error:  # gmsh raises plain Exception
        print(str(error) or type(error).__name__, file=sys.stderr)
        return 1
    finally:
        gmsh.finalize()
    return 0


def _limit_memory(size: int) -> None:
    try:
        import resource
    except ImportError:  # not on Windows
        return
    resource.setrlimit(resource.RLIMIT_AS, (size, size))


def _mesh(gmsh: Any, job: dict[str, Any]) -> None:
    smallest = min([job["size_mm"], *(r["size_mm"] for r in job["refinements"])])
    for name, value in (
        ("General.Terminal", 0),
        ("General.NumThreads", 1),
        ("Mesh.Algorithm", 6),
        ("Mesh.Algorithm3D", 1),
        ("Mesh.MeshSizeMax", job["size_mm"]),
        ("Mesh.MeshSizeMin", 0.5 * smallest),
        ("Mesh.MeshSizeFromCurvature", job["per_turn"]),
        ("Mesh.MeshSizeExtendFromBoundary", 0),
        ("Mesh.MeshSizeFromPoints", 0),
        ("Mesh.Optimize", 1),
        ("Mesh.HighOrderOptimize", 0),
    ):
        gmsh.option.setNumber(name, value)
    model = gmsh.model
    model.occ.importShapes(job["brep"])
    # The points that sizes are taken from lie in no volume, so that they leave no trace in the mesh.
    groups = [[model.occ.addPoint(*p) for p in r["points_mm"]] for r in job["refinements"]]
    model.occ.synchronize()
    field = model.mesh.field
    made = []
    for rule, tags in zip(job["refinements"], groups, strict=True):
        near = field.add("Distance")
        field.setNumbers(near, "PointsList", tags)
        size = field.add("Threshold")
        for name, value in (
            ("InField", near),
            ("SizeMin", rule["size_mm"]),
            ("SizeMax", job["size_mm"]),
            ("DistMin", rule["within_mm"]),
            ("DistMax", rule["within_mm"] + 2 * job["size_mm"]),
        ):
            field.setNumber(size, name, value)
        made.append(size)
    if made:
        least = field.add("Min")
        field.setNumbers(least, "FieldsList", made)
        field.setAsBackgroundMesh(least)
    model.mesh.generate(3)
    corners = len(model.mesh.getNodes()[0])
    if 6 * corners > 2 * job["most_nodes"]:  # a mesh of ten-node tetrahedra has 6 to 8 times the corners
        raise ValueError(f"about {7 * corners} nodes")
    model.mesh.setOrder(2)
    tags, xyz, _ = model.mesh.getNodes()
    _, nodes = model.mesh.getElementsByType(TET10)
    place = np.zeros(int(tags.max()) + 1, dtype=np.int64)
    place[tags.astype(np.int64)] = np.arange(len(tags))
    tets = place[nodes.astype(np.int64)].reshape(-1, 10)[:, list(FROM_GMSH)]
    used, number = np.unique(tets, return_inverse=True)
    np.savez(job["mesh"], points=xyz.reshape(-1, 3)[used], tets=number.reshape(-1, 10))


if __name__ == "__main__":
    sys.exit(_main(sys.argv[1]))
