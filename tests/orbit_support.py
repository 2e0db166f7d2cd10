"""Steady motion of a structure of several directions by its whole matrices, for tests of what the project has in a
closed form."""

from __future__ import annotations

from typing import Any

import numpy as np

from strutwright.models.arrays import Floats, Num
from strutwright.models.formulas.response import Complex

_PER_MM = 1000.0
"""kg to N s2/mm, and back."""


def modal_damping(stiffness: Floats, mass: Floats, damping: float) -> Floats:
    """Damping matrix that gives every mode the same share of the critical, N s/mm; K and M (n, n), N/mm and kg.

    C = M V diag(2 z w) V' M with modes V of unit mass.
    """
    root = np.linalg.cholesky(mass)
    inner = np.linalg.solve(root, np.linalg.solve(root, stiffness).T)
    squares, turned = np.linalg.eigh((inner + inner.T) / 2.0)
    shapes = root @ turned
    rates = 2.0 * damping * np.sqrt(_PER_MM * squares)
    return np.asarray(shapes @ np.diag(rates) @ shapes.T / _PER_MM)


def steady(stiffness: Floats, mass: Floats, damping: Floats, force: Any, hz: Num) -> Complex:
    """Amplitudes of steady motion under forces of these amplitudes, mm: (K - w2 M + i w C) u = f.

    K, M, C (n, n), N/mm, kg, N s/mm; force (..., n) and hz (...) broadcast: as many speeds at once as there are.
    """
    w = 2.0 * np.pi * np.asarray(hz, dtype=float)[..., None, None]
    along = np.asarray(stiffness) - w**2 * np.asarray(mass) / _PER_MM + 1j * w * np.asarray(damping)
    return np.asarray(np.linalg.solve(along, np.asarray(force, dtype=complex)[..., None])[..., 0])
