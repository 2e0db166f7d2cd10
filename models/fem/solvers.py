"""Linear elastic solution of a mesh that is held at some nodes and loaded at others: CalculiX, or scikit-fem."""

from __future__ import annotations

import importlib.util
import os
import re
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, TypeAlias

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.fem import FemError, MissingToolError
from strutwright.models.fem.mesh import EDGES, Ints, Mesh

SolverName: TypeAlias = Literal["calculix", "scikit-fem"]
SOLVERS: tuple[SolverName, ...] = ("calculix", "scikit-fem")
SOLVE_SECONDS = 900.0
BALANCE = 1e-3
"""Reactions may differ from the loads by this share."""
_HOW = {
    "calculix": "CalculiX with `apt install calculix-ccx` (Debian, Ubuntu)",
    "scikit-fem": "scikit-fem with `.venv/bin/pip install '.[stress]'` in the program's folder (pip of the environment "
    "that it runs in)",
}


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """moved_mm: displacement of every node (n, 3). reaction_n: (3,) of the held nodes. solver: name and version."""

    moved_mm: Floats
    reaction_n: Floats
    solver: str


def available() -> tuple[SolverName, ...]:
    """Return the solvers that are installed, the preferred one first.

    >>> "scikit-fem" in available()
    True
    """
    there: dict[SolverName, bool] = {
        "calculix": shutil.which("ccx") is not None,
        "scikit-fem": all(importlib.util.find_spec(m) is not None for m in ("skfem", "scipy")),
    }
    return tuple(s for s in SOLVERS if there[s])


def choose(wanted: SolverName | None) -> SolverName:
    """Return the solver to use: the one wanted, or the first installed. Raises MissingToolError telling the way out.

    >>> choose("scikit-fem")
    'scikit-fem'
    """
    there = available()
    if wanted is None and there:
        return there[0]
    if wanted in there:
        return wanted
    if wanted is None:
        raise MissingToolError(
            f"the stress picture needs a solver and none is installed; install {_HOW['calculix']}, "
            f"or {_HOW['scikit-fem']}"
        )
    raise MissingToolError(
        f"the solver {wanted} is not installed; install {_HOW[wanted]}"
        + (f", or use {there[0]}, which is there" if there else "")
    )


def solve(
    mesh: Mesh, modulus_mpa: float, poisson: float, held: Ints, force_n: Floats, solver: SolverName | None = None
) -> Solution:
    """Return the displacements of a mesh of one isotropic linear elastic material, small displacements.

    held: numbers of the nodes that do not move. force_n: (n, 3) on the nodes. solver: which (default: the first
    installed). Raises MissingToolError, or FemError when the solver fails, takes too long, or when the reactions do not
    balance the loads.

    >>> corners = 10.0 * np.vstack((np.zeros(3), np.eye(3)))
    >>> mesh = Mesh(np.vstack((corners, corners[np.array(EDGES)].mean(axis=1))), np.arange(10)[None])
    >>> pull = np.outer(np.arange(10) == 3, (0.0, 0.0, 100.0))  # at the upper corner, held below
    >>> below = np.flatnonzero(mesh.points_mm[:, 2] == 0.0)
    >>> solve(mesh, 200_000.0, 0.3, below, pull, "scikit-fem").reaction_n[2].round(6).item()
    -100.0
    """
    if len(held) < 3:
        raise FemError("no part of the mesh is held; give a smaller mesh size")
    which = choose(solver)
    run = _calculix if which == "calculix" else _scikit_fem
    found = run(mesh, modulus_mpa, poisson, np.unique(held), force_n)
    load = force_n.sum(axis=0)
    scale = float(np.abs(force_n).sum()) or 1.0
    if not np.isfinite(found.moved_mm).all() or np.abs(found.reaction_n + load).max() > BALANCE * scale:
        raise FemError(
            f"{found.solver}: the reactions do not balance the loads; try the other solver or another mesh size"
        )
    return found


# --- CalculiX -------------------------------------------------------------------------------------------------------


def _deck(mesh: Mesh, modulus_mpa: float, poisson: float, held: Ints, force_n: Floats) -> str:
    """Return the input of CalculiX (N, mm, MPa; nodes and elements count from 1)."""

    def listed(numbers: Ints) -> str:
        rows = [", ".join(str(n + 1) for n in numbers[k : k + 12]) for k in range(0, len(numbers), 12)]
        return ",\n".join(rows)

    loaded = np.argwhere(force_n != 0.0)
    nodes = [f"{k},{x:.9g},{y:.9g},{z:.9g}" for k, (x, y, z) in enumerate(mesh.points_mm.tolist(), 1)]
    elements = [f"{k}," + ",".join(str(n + 1) for n in row) for k, row in enumerate(mesh.tets.tolist(), 1)]
    loads = [f"{n + 1},{c + 1},{force_n[n, c]:.12g}" for n, c in loaded.tolist()]
    metal = ["*MATERIAL, NAME=METAL", "*ELASTIC", f"{modulus_mpa:.9g},{poisson:.9g}"]
    rows = ["*NODE, NSET=ALL", *nodes, "*ELEMENT, TYPE=C3D10, ELSET=BODY", *elements, "*NSET, NSET=HELD", listed(held)]
    rows += [*metal, "*SOLID SECTION, ELSET=BODY, MATERIAL=METAL", "*BOUNDARY", "HELD,1,3"]
    rows += ["*STEP", "*STATIC", "*CLOAD", *loads, "*NODE PRINT, NSET=ALL", "U"]
    rows += ["*NODE PRINT, NSET=HELD, TOTALS=ONLY", "RF", "*END STEP", ""]
    return "\n".join(rows)


def _calculix(mesh: Mesh, modulus_mpa: float, poisson: float, held: Ints, force_n: Floats) -> Solution:
    program = shutil.which("ccx") or "ccx"
    with tempfile.TemporaryDirectory(prefix="strutwright-solve-") as folder:
        (Path(folder) / "job.inp").write_text(_deck(mesh, modulus_mpa, poisson, held, force_n), encoding="ascii")
        try:
            done = subprocess.run(
                [program, "-i", "job"],
                cwd=folder,
                text=True,
                errors="replace",
                check=False,
                stdin=subprocess.DEVNULL,
                capture_output=True,
                timeout=SOLVE_SECONDS,
                env={**os.environ, "OMP_NUM_THREADS": "1"},
            )  # several sum in any order
        except subprocess.TimeoutExpired:
            raise FemError(f"CalculiX was stopped after {SOLVE_SECONDS:.0f} s; give a larger mesh size") from None
        except OSError as error:
            raise FemError(f"CalculiX could not be started ({error.strerror})") from None
        result = Path(folder) / "job.dat"
        text = result.read_text(encoding="ascii", errors="replace") if result.is_file() else ""
    version = re.search(r"Version ([\w.]+)", done.stdout)
    moved, reaction = _read_dat(text, len(mesh.points_mm))
    if moved is None or reaction is None:
        errors = [line.strip() for line in done.stdout.splitlines() if "*ERROR" in line]
        raise FemError(
            f"CalculiX gave no result ({errors[0][:150] if errors else f'status {done.returncode}'}); it "
            "may lack memory: give a larger mesh size, or use scikit-fem"
        )
    # What it prints is the elements' pull on the held nodes, loads on these not taken off.
    return Solution(moved, reaction - force_n[held].sum(axis=0), f"CalculiX {version[1] if version else ''}".strip())


def _read_dat(text: str, count: int) -> tuple[Floats | None, Floats | None]:
    """Return displacements (count, 3) and total reaction (3,) from CalculiX's printed results, None when missing."""
    moved: Floats | None = None
    reaction: Floats | None = None
    for block in re.split(r"\n(?= *(?:displacements|forces|total force))", "\n" + text):
        head, _, body = block.strip().partition("\n")
        rows = np.array(body.replace("\n", " ").split(), dtype=float)
        if head.startswith("displacements") and rows.size == 4 * count:
            table = rows.reshape(-1, 4)
            moved = np.zeros((count, 3))
            moved[table[:, 0].astype(int) - 1] = table[:, 1:]
        elif head.startswith("total force") and rows.size >= 3:
            reaction = rows[:3]
    return moved, reaction


# --- scikit-fem -----------------------------------------------------------------------------------------------------


def _scikit_fem(mesh: Mesh, modulus_mpa: float, poisson: float, held: Ints, force_n: Floats) -> Solution:
    import skfem
    from skfem.models.elasticity import lame_parameters, linear_elasticity

    corners, number = np.unique(mesh.tets[:, :4], return_inverse=True)
    plain = skfem.MeshTet(
        np.ascontiguousarray(mesh.points_mm[corners].T), np.ascontiguousarray(number.reshape(-1, 4).T)
    )
    middles = _middles(mesh, corners[plain.edges])
    curved = skfem.MeshTet2.from_mesh(plain)
    places = curved.doflocs.copy()
    places[:, len(corners) :] = mesh.points_mm[middles].T
    basis = skfem.Basis(skfem.MeshTet2(places, curved.t), skfem.ElementVector(skfem.ElementTetP2()), intorder=3)
    matrix = skfem.asm(linear_elasticity(*lame_parameters(modulus_mpa, poisson)), basis).tocsr()
    # unknown of node and direction: corners first, then middles
    unknown = np.empty((len(mesh.points_mm), 3), dtype=np.int64)
    unknown[corners] = basis.nodal_dofs.T
    unknown[middles] = basis.edge_dofs.T
    load = np.zeros(matrix.shape[0])
    load[unknown] = force_n
    fixed = unknown[held].ravel()
    free = np.setdiff1d(np.arange(matrix.shape[0]), fixed)
    u = np.zeros(matrix.shape[0])
    u[free] = _factored(matrix[free][:, free], load[free])
    reaction = (matrix[unknown[held].ravel()] @ u).reshape(-1, 3).sum(axis=0) - force_n[held].sum(axis=0)
    return Solution(u[unknown], np.asarray(reaction), f"scikit-fem {skfem.__version__}")


def _middles(mesh: Mesh, edges: Ints) -> Ints:
    """Return the numbers of the middle nodes of edges given by their corners (2, k)."""
    count = len(mesh.points_mm)
    pairs = np.sort(mesh.tets[:, EDGES], axis=2)
    key, first = np.unique(pairs[..., 0] * count + pairs[..., 1], return_index=True)
    own = np.sort(edges, axis=0)
    return np.asarray(mesh.tets[:, 4:].ravel()[first[np.searchsorted(key, own[0] * count + own[1])]])


def _factored(matrix: Any, load: Floats) -> Floats:
    """Solve a symmetric positive definite system; struts are slender, so that the factors stay small."""
    from scipy.sparse.linalg import splu

    try:
        factors = splu(
            matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )
    except (MemoryError, RuntimeError) as error:
        raise FemError(
            f"scikit-fem: the equations could not be solved ({str(error) or 'out of memory'}); give a "
            "larger mesh size, or use CalculiX"
        ) from None
    return np.asarray(factors.solve(load))
