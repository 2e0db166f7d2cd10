"""Make models/formulas/plate_core.txt anew: python -m tests.plates.table (some ten minutes of two processors).

The logarithm of what elements find over what `plate_core.strips` gives, at the points of Chebyshev in the four numbers
that a plate comes down to, as the coefficients of their polynomials.
"""

from __future__ import annotations

import itertools
import os
from dataclasses import replace
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from strutwright.models.formulas import plate_core
from strutwright.models.formulas.plate_core import CORE_TO_GAP, GAP_TO_GAP, PLANKS, SOFT_DRAWN, SOFT_MOST, Plate
from tests.plates import mindlin

FILE = Path(plate_core.__file__).with_name("plate_core.txt")
POINTS = (8, 8, 9, 8)
"""Along each axis: core over gap along and across, gap over gap, softness."""
PLANKS_POINTS = (6, 6, 7)
THIN = 1e-7
SAFE = {"clamped": 0.02, "supported": -0.02}
"""Added to all logarithms but those of planks, toward the end of the range that the edge stands for: polynomials miss
the elements by 2 % in all but the far corners, by 4 % there."""
EDGES = {"clamped": True, "supported": False}
Floats = NDArray[np.float64]


def plate_at(x: tuple[float, ...], mixed: float = 1.0) -> Plate:
    """Return the plate at a place -1..1 on each axis of the table; bending stiffness 1, the gaps about 1."""
    low, high = np.log(CORE_TO_GAP)
    along, across = (float(np.exp((low + high + t * (high - low)) / 2.0)) for t in x[:2])
    longer = GAP_TO_GAP ** (x[2] / 2.0)
    gx, gy = longer, 1.0 / longer
    root = np.expm1((x[3] + 1.0) / 2.0 * np.log1p(SOFT_DRAWN * SOFT_MOST**0.5)) / SOFT_DRAWN
    give = max(float(root) ** 2, THIN) / (1.0 / gx**2 + 1.0 / gy**2)
    return Plate(
        along_mm=along * gx + 2.0 * gx,
        across_mm=across * gy + 2.0 * gy,
        core_along_mm=along * gx,
        core_across_mm=across * gy,
        bending_along_nmm=1.0,
        bending_across_nmm=1.0,
        shear_n_mm=1.0 / give,
        mixed=mixed,
    )


def elements(plate: Plate, clamped: bool, degree: int = 5, layers: int = 4) -> Floats:
    """Return the springs of a plate that bends alike in both directions by elements: force, tilts along and across."""
    panel = float(plate.along_mm), float(plate.across_mm)
    core = float(plate.core_along_mm), float(plate.core_across_mm)
    d, shear = float(plate.bending_across_nmm), float(plate.shear_n_mm)
    # Mixed stiffness: of the coupling and twice the twist.
    made = mindlin.Plate(dx=d, dy=d, d1=0.3 * d, dxy=(plate.mixed - 0.3) / 2.0 * d, sx=shear, sy=shear)
    return np.array(mindlin.springs(panel, core, made, clamped, degree=degree, layers=layers))


def interpolated(plate: Plate, clamped: bool) -> Floats:
    """Return the springs of a plate as the program has them, from the table: force, tilts along and across."""
    base = plate_core.strips(plate, clamped)
    strips = np.array([base.normal_n_mm, base.tilt_along_nmm, base.tilt_across_nmm], dtype=float)
    out: Floats = strips * np.exp(plate_core.table_factors(plate, clamped))
    return out


def factor(plate: Plate, clamped: bool) -> Floats:
    """Return the logarithms of what elements find over the strips."""
    base = plate_core.strips(plate, clamped)
    strips = np.array([base.normal_n_mm, base.tilt_along_nmm, base.tilt_across_nmm])
    out: Floats = np.log(elements(plate, clamped) / strips)
    return out


def _one(job: tuple[tuple[float, ...], bool, bool]) -> Floats:
    x, clamped, planks = job
    if not planks:
        return factor(plate_at(x), clamped)
    alike = plate_at((*x, -1.0))
    out: Floats = np.log(elements(replace(alike, mixed=PLANKS), clamped) / elements(alike, clamped))
    return out


def _points(n: int) -> Floats:
    out: Floats = np.cos((2 * np.arange(n) + 1) * np.pi / (2 * n))
    return out


def coefficients(clamped: bool, planks: bool, pool: Pool) -> Floats:  # type: ignore[valid-type]
    """Return the coefficients of force and tilt along: (2, ...)."""
    sizes = PLANKS_POINTS if planks else POINTS
    axes = [_points(n) for n in sizes]
    # A plate turned by a quarter is the same plate: half of the points do.
    half = [i for i in itertools.product(*(range(n) for n in sizes)) if 2 * i[2] <= sizes[2] - 1]
    jobs = [(tuple(float(a[k]) for a, k in zip(axes, i, strict=True)), clamped, planks) for i in half]
    out = np.zeros((2, *sizes))
    for i, found in zip(half, pool.map(_one, jobs, chunksize=16), strict=True):  # type: ignore[attr-defined]
        out[(slice(None), *i)] = found[:2]
        out[(slice(None), i[1], i[0], sizes[2] - 1 - i[2], *i[3:])] = found[[0, 2]]
    for axis, n in enumerate(sizes, start=1):
        waves = np.cos(np.arange(n) * np.arccos(_points(n))[:, None])
        out = np.moveaxis(np.tensordot(np.linalg.inv(waves), out, axes=(1, axis)), 0, axis)
    return out


def main() -> None:
    """Work the table out and write it."""
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    lines = []
    with Pool(2) as pool:
        for planks, (name, clamped) in itertools.product((False, True), EDGES.items()):
            table = coefficients(clamped, planks, pool)
            if not planks:
                table[(slice(None), *(0,) * (table.ndim - 1))] += SAFE[name]
            lines.append(f"# {name}{' planks' if planks else ''} {'x'.join(str(n) for n in table.shape)}")
            rows = np.round(1e4 * table).astype(int).reshape(-1, table.shape[-1])
            lines += [" ".join(str(n) for n in row) for row in rows]
            print(lines[-1 - len(rows)], flush=True)
    FILE.write_text("\n".join(lines) + "\n", encoding="ascii")


if __name__ == "__main__":
    main()
