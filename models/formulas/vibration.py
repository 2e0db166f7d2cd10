"""Natural frequencies of structures and of a vee's arms.

Masses kg, lengths mm, stiffness N/mm, frequencies Hz. Damping is left out; water enters as added mass. Guidance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Floats, Num

_PER_MM = 1000.0  # N/mm over kg to 1/s^2
PINNED_BUILT_IN = 3.926602**2
"""(beta L)^2 of the first mode of a beam pinned at one end and built in at the other (vibration textbooks)."""


def frequency_hz(stiffness_n_mm: Num, mass_kg: Num) -> Num:
    """Frequency of a mass on a spring, Hz: sqrt(k / m) / 2 pi. Exact.

    >>> round(float(frequency_hz(4.0 * np.pi**2, 1.0)), 3)  # root of 1000
    31.623
    """
    frequency: Num = np.sqrt(_PER_MM * stiffness_n_mm / mass_kg) / (2.0 * math.pi)
    return frequency


def natural_modes(stiffness: Floats, mass: Floats) -> tuple[Floats, Floats]:
    """Frequencies of K x = w^2 M x in Hz, rising, and their shapes (columns) of unit modal mass.

    K (n, n) in N, mm, rad positive definite, M in kg, mm. Solved as 1/w^2 of L^-1 M L^-T, so M may be singular (its
    massless modes come out infinite and are dropped). Raises ValueError when K is not positive definite (something is
    not held).

    >>> natural_modes(np.diag([4.0, 16.0]) * np.pi**2, np.eye(2))[0].round(3).tolist()
    [31.623, 63.246]
    """
    size = 1.0 / np.sqrt(np.diag(stiffness))
    try:
        lower = np.linalg.cholesky(stiffness * size[:, None] * size[None, :])
    except np.linalg.LinAlgError as error:
        raise ValueError("the structure is not held: its stiffness is not positive definite") from error
    half = np.linalg.solve(lower, mass * size[:, None] * size[None, :])
    compliance = np.linalg.solve(lower, half.T)
    inverse, vectors = np.linalg.eigh((compliance + compliance.T) / 2.0)
    kept = np.flatnonzero(inverse > 1e-12 * inverse[-1])[::-1]
    shapes = size[:, None] * np.linalg.solve(lower.T, vectors[:, kept]) / np.sqrt(inverse[kept])
    return np.asarray(np.sqrt(_PER_MM / inverse[kept]) / (2.0 * np.pi)), shapes


def pinned_sprung_hz(length_mm: Num, youngs_mpa: Num, inertia_mm4: Num, line_kg_mm: Num, turning_nmm: Num) -> Num:
    """First frequency of an even beam pinned at one end and held against turning (N mm/rad) at the other, Hz.

    inf: built in, as in vibration textbooks. Between that and pinned the formula is right to the first order at both
    ends, and within 0.5 % of exact between them.

    >>> round(float(pinned_sprung_hz(1000.0, 206e3, 1e4, 1e-3, np.inf)), 1)  # 15.418 sqrt(1000 E I / m) / (2 pi L^2)
    111.4
    """
    wave = np.sqrt(_PER_MM * youngs_mpa * inertia_mm4 / line_kg_mm)
    more = PINNED_BUILT_IN - math.pi**2
    # Softness of the spring against the beam's, so that a rigid one is nothing.
    soft = youngs_mpa * inertia_mm4 / (turning_nmm * length_mm)
    mode = math.pi**2 + more / (1.0 + more * soft)
    frequency: Num = mode * wave / (2.0 * math.pi * length_mm**2)
    return frequency


@dataclass(frozen=True, slots=True)
class AddedMass:
    """Added mass of water per mm of arm, kg/mm: moving square to the chord, and along it."""

    across_kg_mm: Num
    along_kg_mm: Num


def added_mass(chord_mm: Num, thickness_mm: Num, water_kg_m3: float) -> AddedMass:
    """Added mass of a long elliptic (or flat) section in open water: rho pi (c/2)^2 and rho pi (t/2)^2.

    Potential flow (hydrodynamics texts); used as it stands for foils and rounded flats.

    >>> round(1000.0 * added_mass(56.0, 25.0, 1025.0).across_kg_mm, 4)  # 1025 pi 0.028^2, kg/m
    2.5246
    """
    density = water_kg_m3 * 1e-9
    return AddedMass(density * np.pi * (chord_mm / 2.0) ** 2, density * np.pi * (thickness_mm / 2.0) ** 2)


def diagram_rpm(low_rpm: float, high_rpm: float) -> Floats:
    """Shaft speeds of a frequency diagram: 0 to 1.3 x the highest in 65 steps, with both ends of the running range.

    >>> diagram_rpm(300.0, 1000.0)[[0, -1]].tolist()
    [0.0, 1300.0]
    """
    return np.unique(np.concatenate([np.linspace(0.0, 1.3 * high_rpm, 66), [low_rpm, high_rpm]]))
