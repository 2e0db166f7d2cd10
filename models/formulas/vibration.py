"""Natural frequencies of structures, of a vee's arms and of the shaft.

Masses kg, lengths mm, stiffness N/mm, frequencies Hz. Damping and gyroscopic effects are left out; water enters as
added mass. Guidance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

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


def natural_frequencies_hz(stiffness: Floats, mass: Floats) -> Floats:
    """Frequencies of K x = w^2 M x in Hz, rising; K (n, n) in N, mm, rad positive definite, M in kg, mm.

    Solved as 1/w^2 of L^-1 M L^-T, so M may be singular (its massless modes come out infinite and are dropped). Raises
    ValueError when K is not positive definite (something is not held).

    >>> natural_frequencies_hz(np.diag([4.0, 16.0]) * np.pi**2, np.eye(2)).round(3).tolist()
    [31.623, 63.246]
    """
    size = 1.0 / np.sqrt(np.diag(stiffness))
    try:
        lower = np.linalg.cholesky(stiffness * size[:, None] * size[None, :])
    except np.linalg.LinAlgError as error:
        raise ValueError("the structure is not held: its stiffness is not positive definite") from error
    half = np.linalg.solve(lower, mass * size[:, None] * size[None, :])
    compliance = np.linalg.solve(lower, half.T)
    inverse_squares = np.linalg.eigvalsh((compliance + compliance.T) / 2.0)[::-1]
    kept = inverse_squares[inverse_squares > 1e-12 * inverse_squares[0]]
    return np.asarray(np.sqrt(_PER_MM / kept) / (2.0 * np.pi))


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


# ---- the shaft by beam elements, one at a time


@dataclass(frozen=True, slots=True)
class ShaftMass:
    """A disc on the shaft: position mm, mass kg and inertia about a diameter kg mm2, water within."""

    at_mm: float
    mass_kg: float
    diametral_kg_mm2: float = 0.0


def shaft_frequencies_hz(
    length_mm: float,
    diameter_mm: float,
    youngs_mpa: float,
    density_kg_m3: float,
    supports_mm: Sequence[float],
    masses: Sequence[ShaftMass] = (),
    added_kg_per_mm: float = 0.0,
    count: int = 4,
) -> Floats:
    """Lateral natural frequencies of a uniform shaft on rigid bearings with discs, Hz (no gyroscopic effect).

    The shaft runs from 0 to ``length_mm``; supports and masses sit anywhere on it. Timoshenko beam of steel's Poisson
    ratio 0.3: shear deflection (area / shear area 10/9, solid round) and rotary inertia; at least 24 elements.
    ``added_kg_per_mm``: water moving with the shaft. Raises ValueError when a position is off the shaft or the supports
    do not hold it.

    >>> alone = shaft_frequencies_hz(31 * 25.4, 25.4, 206.84e3, 7805.7, [0.0, 31 * 25.4])
    >>> round(2.0 * np.pi * float(alone[0]))  # Shigley, 9th ed., Ex 7-5: 520 rad/s without shear
    520
    """
    for name, at in [("support", s) for s in supports_mm] + [("mass", m.at_mm) for m in masses]:
        if not 0.0 <= at <= length_mm:
            raise ValueError(f"shaft {name} at {at:g} mm is off the shaft, which runs from 0 to {length_mm:g} mm")
    stations = _stations(length_mm, {0.0, length_mm, *supports_mm, *(m.at_mm for m in masses)})
    size = 2 * len(stations)
    stiffness: Floats = np.zeros((size, size))
    mass: Floats = np.zeros((size, size))
    for e, length in enumerate(np.diff(stations)):
        at_nodes = slice(2 * e, 2 * e + 4)
        k, m = _shaft_element(float(length), diameter_mm, youngs_mpa, density_kg_m3, added_kg_per_mm)
        stiffness[at_nodes, at_nodes] += k
        mass[at_nodes, at_nodes] += m
    for disc in masses:
        node = int(np.argmin(np.abs(stations - disc.at_mm)))
        mass[2 * node, 2 * node] += disc.mass_kg
        mass[2 * node + 1, 2 * node + 1] += disc.diametral_kg_mm2
    free = np.ones(size, dtype=bool)
    for support in supports_mm:
        free[2 * int(np.argmin(np.abs(stations - support)))] = False
    keep = np.ix_(free, free)
    return natural_frequencies_hz(stiffness[keep], mass[keep])[:count]


def _stations(length_mm: float, marks: set[float]) -> Floats:
    """Element ends: the marks, and between them steps of a 24th of the length at most."""
    limit = length_mm / 24.0
    pieces = [
        np.linspace(a, b, max(1, int(np.ceil((b - a) / limit - 1e-9))) + 1)[:-1] for a, b in pairwise(sorted(marks))
    ]
    return np.concatenate([*pieces, np.array([length_mm])])


def _shaft_element(
    length: float, diameter: float, youngs: float, density_kg_m3: float, added_kg_per_mm: float
) -> tuple[Floats, Floats]:
    """4x4 stiffness and consistent mass of a Timoshenko beam (deflection, section rotation at both ends).

    Mass from the exact static shapes, so that rotary inertia sits on the section's rotation and not on the slope; four
    Gauss points integrate the cubics exactly.
    """
    area, inertia = np.pi / 4.0 * diameter**2, np.pi / 64.0 * diameter**4
    shear = youngs / (2.0 * (1.0 + 0.3))
    kg_per_mm, rotary_kg_mm = area * density_kg_m3 * 1e-9 + added_kg_per_mm, inertia * density_kg_m3 * 1e-9
    phi = 12.0 * youngs * inertia * (10.0 / 9.0) / (shear * area * length**2)
    half = np.array(
        [
            [12.0, 6.0 * length, -12.0, 6.0 * length],
            [0.0, (4.0 + phi) * length**2, -6.0 * length, (2.0 - phi) * length**2],
            [0.0, 0.0, 12.0, -6.0 * length],
            [0.0, 0.0, 0.0, (4.0 + phi) * length**2],
        ]
    )
    stiffness = youngs * inertia / (length**3 * (1.0 + phi)) * half
    stiffness = stiffness + np.triu(stiffness, 1).T
    points, weights = np.polynomial.legendre.leggauss(4)
    x, w = (points + 1.0) / 2.0, weights * length / 2.0
    deflection = np.stack(
        [
            1.0 - 3.0 * x**2 + 2.0 * x**3 + phi * (1.0 - x),
            length * (x - 2.0 * x**2 + x**3 + phi / 2.0 * (x - x**2)),
            3.0 * x**2 - 2.0 * x**3 + phi * x,
            length * (x**3 - x**2 - phi / 2.0 * (x - x**2)),
        ]
    ) / (1.0 + phi)
    turn = 6.0 * (x**2 - x) / length
    rotation = np.stack([turn, 1.0 - 4.0 * x + 3.0 * x**2 + phi * (1.0 - x), -turn, 3.0 * x**2 - 2.0 * x + phi * x]) / (
        1.0 + phi
    )
    mass: Floats = kg_per_mm * (deflection * w) @ deflection.T + rotary_kg_mm * (rotation * w) @ rotation.T
    return stiffness, mass


# ---- the shaft, for a batch of candidates

_SPAN_X, _SPAN_W = np.polynomial.legendre.leggauss(5)


def shaft_first_hz(
    span_mm: Num, overhang_mm: Num, line_kg_mm: Num, stiffness_nmm2: Num, tip_kg: Num, tip_kg_mm2: Num
) -> Num:
    """First lateral frequency of a shaft on two bearings with a disc on its overhang, Hz.

    line_kg_mm: shaft with its water; stiffness_nmm2: E I; tip: mass and inertia about a diameter. Ritz's method with
    the static shapes of a load on the overhang's end and of an even load on the span: an upper bound, within 3 % of
    beam elements for overhangs up to a third of the span. No gyroscopic effect.

    >>> stiff = 193e3 * np.pi / 64.0 * 50.0**4
    >>> round(float(shaft_first_hz(1200.0, 150.0, 1e-12, stiff, 25.0, 0.0)), 2)  # 3 E I / (b^2 (l + b)), beam tables
    76.98
    """
    span, over = span_mm, overhang_mm
    # Shapes for E I = 1, both zero at the bearings; the span from its forward end, the overhang from the aft bearing.
    span_2 = span**2
    span_3, span_4 = span_2 * span, span_2**2
    m11: Num = 0.0 * span
    m12 = m22 = k11 = k12 = k22 = m11
    for node, weight in zip(_SPAN_X.tolist(), _SPAN_W.tolist(), strict=True):
        at, w = 0.5 * (node + 1.0), 0.5 * weight
        a, b = -over * span_2 / 6.0 * (at - at**3), span_4 * (at**4 - 2.0 * at**3 + at) / 24.0
        bent_a, bent_b = over * at, span_2 * (at**2 - at) / 2.0
        ds = w * span
        m11, m12, m22 = m11 + ds * a * a, m12 + ds * a * b, m22 + ds * b * b
        k11, k12, k22 = k11 + ds * bent_a**2, k12 + ds * bent_a * bent_b, k22 + ds * bent_b**2
        u, ds = at * over, w * over
        a, b = over * u * (span / 3.0 + over * (3.0 * at - at**2) / 6.0), -span_3 / 24.0 * u
        m11, m12, m22 = m11 + ds * a * a, m12 + ds * a * b, m22 + ds * b * b
        k11 = k11 + ds * (over - u) ** 2
    tip_a, tip_b = over**2 * (span + over) / 3.0, -span_3 * over / 24.0
    turn_a, turn_b = over * (span / 3.0 + over / 2.0), -span_3 / 24.0
    m11 = line_kg_mm * m11 + tip_kg * tip_a**2 + tip_kg_mm2 * turn_a**2
    m12 = line_kg_mm * m12 + tip_kg * tip_a * tip_b + tip_kg_mm2 * turn_a * turn_b
    m22 = line_kg_mm * m22 + tip_kg * tip_b**2 + tip_kg_mm2 * turn_b**2
    # det(K - w M) = 0, the lesser root; written so that nothing cancels.
    a, b, c = m11 * m22 - m12**2, k11 * m22 + k22 * m11 - 2.0 * k12 * m12, k11 * k22 - k12**2
    lowest = 2.0 * c / (b + np.sqrt(np.maximum(b**2 - 4.0 * a * c, 0.0)))
    frequency: Num = np.sqrt(_PER_MM * stiffness_nmm2 * lowest) / (2.0 * math.pi)
    return frequency


def diagram_rpm(low_rpm: float, high_rpm: float) -> Floats:
    """Shaft speeds of a frequency diagram: 0 to 1.3 x the highest in 65 steps, with both ends of the running range.

    >>> diagram_rpm(300.0, 1000.0)[[0, -1]].tolist()
    [0.0, 1300.0]
    """
    return np.unique(np.concatenate([np.linspace(0.0, 1.3 * high_rpm, 66), [low_rpm, high_rpm]]))
