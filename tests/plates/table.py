"""Make models/formulas/plate_core.txt anew: python -m tests.plates.table (some ten minutes of two processors).

The logarithm of what elements find over what `plate_core.strips` gives, at the points of Chebyshev in the four numbers
that a plate comes down to, as the coefficients of their polynomials. Tilts are in two parts, of which each is smooth to
its end: what turns the plate's normal is there however soft a core, and moves that of the sides by nothing.
"""

from __future__ import annotations

import itertools
import os
from collections.abc import Callable, Iterator
from dataclasses import replace
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from strutwright.models.formulas import plate_core
from strutwright.models.formulas.plate_core import CORE_TO_GAP, GAP_TO_GAP, PLANKS, Plate
from tests.plates import mindlin

FILE = Path(plate_core.__file__).with_name("plate_core.txt")
POINTS = (8, 8, 11, 7)
"""Along each axis: core over gap along and across, gap over gap, softness."""
PLANKS_POINTS = (6, 6, 7)
THIN, SOFT = 1e-7, 1e8
"""Bending over shear stiffness that counts as nothing and as all, the gaps about 1."""
SAFE = {"clamped": 0.02, "supported": -0.02}
"""Added to all logarithms but those of planks, toward the end of the range that the edge stands for."""
HEAD = """\
A rigid rectangular core in a plate between stiffeners: logarithms of its springs over those of strips (plate_core.py),
of force and of a tilt along, of the latter by the core's sides and by the turning of the normal.
Made by: python -m tests.plates.table, from elements with shear (Mindlin) of degree 5, four layers to either side of the
core's edge, each a fifth of the one before (tests/plates/mindlin.py). Poisson's ratio 0.3.
Coefficients of Chebyshev polynomials in ten-thousandths; axes: core over gap along, across, gap over gap, softness;
with the margins of the ends of the range (SAFE there). Planks: thin ones, mixed stiffness 0.65, over 1.
"""
EDGES = {"clamped": True, "supported": False}
Floats = NDArray[np.float64]


def plate_at(x: tuple[float, ...], clamped: bool = True, way: int = 0, mixed: float = 1.0) -> Plate:
    """Return the plate at a place -1..1 on each axis of the table; bending stiffness 1, the gaps about 1. The softness
    is that of force, tilt along or tilt across (way 0, 1, 2)."""
    low, high = np.log(CORE_TO_GAP)
    along, across = (float(np.exp((low + high + t * (high - low)) / 2.0)) for t in x[:2])
    root = GAP_TO_GAP ** (x[2] / 2.0)
    gx, gy = root, 1.0 / root
    thin = Plate(
        along_mm=along * gx + 2.0 * gx,
        across_mm=across * gy + 2.0 * gy,
        core_along_mm=along * gx,
        core_across_mm=across * gy,
        bending_along_nmm=1.0,
        bending_across_nmm=1.0,
        shear_n_mm=1.0 / THIN,
        mixed=mixed,
    )
    least, most = np.log(THIN), np.log(SOFT)
    for _ in range(50):
        middle = (least + most) / 2.0
        plate = replace(thin, shear_n_mm=float(np.exp(-middle)))
        least, most = (middle, most) if plate_core.softness(plate, clamped)[way] < x[3] else (least, middle)
    return plate


def elements(plate: Plate, clamped: bool, ways: tuple[int, ...] = (0, 1, 2), **mesh: float) -> Floats:
    """Return the springs of a plate that bends alike in both directions by elements: force, tilts along and across."""
    panel = float(plate.along_mm), float(plate.across_mm)
    core = float(plate.core_along_mm), float(plate.core_across_mm)
    d, shear = float(plate.bending_across_nmm), float(plate.shear_n_mm)
    # Mixed stiffness: of the coupling and twice the twist.
    made = mindlin.Plate(dx=d, dy=d, d1=0.3 * d, dxy=(plate.mixed - 0.3) / 2.0 * d, sx=shear, sy=shear)
    return np.array(mindlin.springs(panel, core, made, clamped, ways=ways, **{"degree": 5, "layers": 4, **mesh}))  # type: ignore[arg-type]


def interpolated(plate: Plate, clamped: bool) -> Floats:
    """Return the springs of a plate as the program has them, from the table: force, tilts along and across."""
    base = plate_core.strips(plate, clamped)
    strips = np.array([base.normal_n_mm, base.tilt_along_nmm, base.tilt_across_nmm], dtype=float)
    out: Floats = strips * np.exp(plate_core.table_factors(plate, clamped))
    return out


def _one(job: tuple[tuple[float, ...], bool]) -> Floats:
    """Logarithms of what elements find over the strips at a place on the first three axes: of the force at each
    softness, of a tilt along's sides likewise and of its turning; then of a tilt across."""
    x, clamped = job
    out = []
    for way in range(3):
        places = [plate_at((*x, t), clamped, way) for t in _points(POINTS[3])]
        parts = [plate_core.parts(p, 1.0 / p.shear_n_mm, clamped) for p in places]
        found = np.array([elements(p, clamped, (way,))[0] for p in places])
        if way == 0:
            out += list(np.log(found / [p.push for p in parts]))
            continue
        turning = elements(replace(places[0], shear_n_mm=1.0 / SOFT), clamped, (way,))[0]
        out += list(np.log((found - turning) / [p.sides[way - 1] for p in parts]))
        out.append(np.log(turning / parts[0].turns[way - 1]))
    return np.array(out)


def _planks(job: tuple[tuple[float, ...], bool]) -> Floats:
    """Logarithms of what planks at PLANKS withstand over a plate alike in all directions: force, and of each tilt its
    sides, if thin, and its turning."""
    x, clamped = job
    thin = plate_at((*x, -1.0), clamped)
    soft = replace(thin, shear_n_mm=1.0 / SOFT)
    (force, *tilts), (_, *turns) = (
        np.array([elements(replace(p, mixed=m), clamped) for m in (PLANKS, 1.0)]).T for p in (thin, soft)
    )
    out = [force]
    for tilt, turn in zip(tilts, turns, strict=True):
        out += [tilt - turn, turn]
    return np.array([np.log(planks / alike) for planks, alike in out])


def _points(n: int) -> Floats:
    out: Floats = np.cos((2 * np.arange(n) + 1) * np.pi / (2 * n))
    return out


def _at_points(work: Callable[..., Floats], clamped: bool, sizes: tuple[int, ...], of_force: int, pool: Pool) -> Floats:  # type: ignore[valid-type]
    """Return what `work` finds at all points: of the force `of_force` numbers, then those of a tilt along."""
    axes = [_points(n) for n in sizes]
    # A plate turned by a quarter is the same plate: half of the points do.
    half = [i for i in itertools.product(*(range(n) for n in sizes)) if 2 * i[2] <= sizes[2] - 1]
    jobs = [(tuple(float(a[k]) for a, k in zip(axes, i, strict=True)), clamped) for i in half]
    found = np.array(pool.map(work, jobs, chunksize=4))  # type: ignore[attr-defined]
    tilt = (found.shape[1] - of_force) // 2
    out = np.zeros((of_force + tilt, *sizes))
    for i, one in zip(half, found, strict=True):
        out[(slice(None), *i)] = one[: of_force + tilt]
        out[(slice(None), i[1], i[0], sizes[2] - 1 - i[2])] = [*one[:of_force], *one[of_force + tilt :]]
    return out


def _coefficients(values: Floats) -> Floats:
    """Of the polynomials through values at the points."""
    for axis, n in enumerate(values.shape):
        waves = np.cos(np.arange(n) * np.arccos(_points(n))[:, None])
        values = np.moveaxis(np.tensordot(np.linalg.inv(waves), values, axes=(1, axis)), 0, axis)
    return values


def tables(pool: Pool) -> Iterator[tuple[str, Floats]]:  # type: ignore[valid-type]
    """Work out the tables by name."""
    n = POINTS[3]
    for edge, clamped in EDGES.items():
        found = _at_points(_one, clamped, POINTS[:3], n, pool)
        for name, part in (("push", found[:n]), ("sides", found[n : 2 * n]), ("turning", found[2 * n])):
            table = _coefficients(np.moveaxis(part, 0, -1) if part.ndim > 3 else part)
            table[(0,) * table.ndim] += SAFE[edge]
            yield f"{edge} {name}", table
        found = _at_points(_planks, clamped, PLANKS_POINTS, 1, pool)
        for name, part in zip(("push", "sides", "turning"), found, strict=True):
            yield f"{edge} planks {name}", _coefficients(part)


def main() -> None:
    """Work the table out and write it."""
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    lines = HEAD.splitlines()
    with Pool(2) as pool:
        for name, table in tables(pool):
            lines.append(f"# {name} {'x'.join(str(n) for n in table.shape)}")
            rows = np.round(1e4 * table).astype(int).reshape(-1, table.shape[-1])
            lines += [" ".join(str(n) for n in row) for row in rows]
            print(lines[-1 - len(rows)], flush=True)
    FILE.write_text("\n".join(lines) + "\n", encoding="ascii")


if __name__ == "__main__":
    main()
