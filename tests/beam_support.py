"""An arm with any sections along it as one matrix, by the program's own virtual work and Gauss stations."""

from __future__ import annotations

import numpy as np

from strutwright.models.arrays import Floats, Num
from strutwright.models.formulas.beams import Cut, arm_flexibility, matrix_of


def gauss_stations_mm(length_mm: Num, count: int = 8) -> Floats:
    """Gauss-Legendre stations from the barrel end, mm, shape (..., count): where `tip_flexibility` wants sections."""
    points, _ = np.polynomial.legendre.leggauss(count)
    stations: Floats = np.asarray(length_mm, dtype=np.float64)[..., None] * (points + 1.0) / 2.0
    return stations


def tip_flexibility(
    length_mm: Num,
    area_mm2: Num,
    i_chord_mm4: Num,
    i_thick_mm4: Num,
    torsion_mm4: Num,
    youngs_mpa: Num,
    shear_mpa: Num,
    *,
    shear_factor: float = 0.0,
) -> Floats:
    """6x6 flexibility at the barrel end of an arm built in at the hull, arm axes, shape (..., 6, 6).

    Order: forces c, t, a, moments c, t, a against displacements and rotations. Section figures have a last axis of
    Gauss stations (from `gauss_stations_mm`) or are scalars (constant section). ``shear_factor`` 0 neglects shear
    deflection, 1.2 for a rectangle (area / shear area). See `arm_flexibility`.
    """
    figures = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(v, dtype=np.float64)) for v in (area_mm2, i_chord_mm4, i_thick_mm4, torsion_mm4))
    )
    count = figures[0].shape[-1] if figures[0].shape[-1] > 1 else 8
    area, i_c, i_t, j = (np.broadcast_to(f, (*f.shape[:-1], count)) for f in figures)
    length = np.asarray(length_mm, dtype=np.float64)
    stations = gauss_stations_mm(length, count)
    weights = np.polynomial.legendre.leggauss(count)[1] * length[..., None] / 2.0
    shear = 1.0 / shear_factor if shear_factor else np.inf
    found = arm_flexibility(
        [weights[..., k] for k in range(count)],
        [stations[..., k] for k in range(count)],
        [Cut(area[..., k], i_c[..., k], i_t[..., k], j[..., k], shear, shear) for k in range(count)],
        youngs_mpa,
        shear_mpa,
    )
    return matrix_of(found)
