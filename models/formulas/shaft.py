"""Propeller shaft: diameter by the usual formulas, stress, advance ratio, weight.

Every diameter rule is guidance; the one that governs is the one in the governing text and edition.
"""

from __future__ import annotations

import numpy as np

from strutwright.models.arrays import Num
from strutwright.params.quantity import GRAVITY_M_S2, KNOT_M_S

TORSION_YIELD_OF_TENSILE = 2.0 / 3.0
"""Torsional yield over tensile yield of nickel and steel shaft alloys (ABYC P-6 definition, published)."""
TAPER_SAE = 16.0
"""SAE J755: 1:16 on diameter (3/4 in per ft) to 5 1/2 in shafts; 1:12 for 6 to 8 in. Published."""
TAPER_ISO = 10.0
"""ISO 4566: 1:10 on diameter, shafts 20 to 160 mm. Published."""


def diameter_by_power_mm(power_kw: Num, safety: Num, torsion_yield_mpa: Num, speed_rpm: Num) -> Num:
    """Shaft diameter, mm: 3651 (kW SF / (S_t RPM))^(1/3), S_t in kPa. Published (ABYC P-6 form, handbook).

    ``power_kw`` at the shaft. 16 x 9.549e6 / pi rounded, so the stress at full power is S_t / SF. Propeller-shaft sizes
    to about 150 mm.

    >>> round(float(diameter_by_power_mm(300.0, 3.0, 482.0, 1050.0)), 1)  # the handbook prints 44.2
    44.2
    """
    diameter: Num = 3651.0 * np.cbrt(power_kw * safety / (1000.0 * torsion_yield_mpa * speed_rpm))
    return diameter


def diameter_ur_m68_mm(power_kw: Num, speed_rpm: Num, tensile_mpa: Num) -> Num:
    """Solid propeller shaft with a keyed propeller by IACS UR M68, mm: 100 k (P/n x 560 / (R_m + 160))^(1/3).

    k = 1.26 keyed; R_m counts to 600 at most. Value from memory; confirm against the standard.

    >>> round(float(diameter_ur_m68_mm(300.0, 1000.0, 560.0)), 2)  # 126 x (0.3 x 560 / 720)^(1/3)
    77.57
    """
    strength = np.minimum(tensile_mpa, 600.0) + 160.0
    diameter: Num = 100.0 * 1.26 * np.cbrt(power_kw / speed_rpm * 560.0 / strength)
    return diameter


FISHING_LEAST_MPA = 372.0
"""Least tensile strength that the rule for fishing vessels admits."""


def diameter_fishing_vessel_mm(
    power_kw: Num, speed_rpm: Num, tensile_mpa: Num, propeller_diameter_mm: Num, corrosion_resistant: bool
) -> Num:
    """Tail shaft by the Canadian Fishing Vessel Safety Regulations s. 19(2), diesel, mm. Published.

    1.05 x 106.41 (H/R)^(1/3) max((414/S)^(1/3), 0.85) + K P / C, not below 32; K = min(0.00079 P, 1), C = 144 for a
    liner or corrosion-resistant material, else 100. S must be at least 372 MPa (ValueError).

    >>> round(float(diameter_fishing_vessel_mm(300.0, 1000.0, 414.0, 760.0, True)), 2)
    77.96
    """
    if not np.all(np.greater_equal(tensile_mpa, FISHING_LEAST_MPA)):
        raise ValueError(f"tensile_mpa is below {FISHING_LEAST_MPA:g} MPa, the least this rule admits")
    c = 144.0 if corrosion_resistant else 100.0
    strength = np.maximum(np.cbrt(414.0 / tensile_mpa), 0.85)
    extra = np.minimum(0.00079 * propeller_diameter_mm, 1.0) * propeller_diameter_mm / c
    diameter: Num = np.maximum(1.05 * 106.41 * np.cbrt(power_kw / speed_rpm) * strength + extra, 32.0)
    return diameter


def advance_ratio(advance_speed_kn: Num, speed_rpm: Num, propeller_diameter_mm: Num) -> Num:
    """Propeller advance ratio J = V / (n D), V the speed of the water into the propeller. Definition.

    >>> round(advance_ratio(10.0, 600.0, 600.0), 5)  # 5.1444 m/s over 10 x 0.6
    0.85741
    """
    return advance_speed_kn * KNOT_M_S / (speed_rpm / 60.0 * propeller_diameter_mm / 1000.0)


def torque_nmm(power_kw: Num, speed_rpm: Num) -> Num:
    """Shaft torque, N mm, at a power and speed: P / omega. Exact.

    >>> round(torque_nmm(300.0, 1050.0) / 1000.0, 1)  # 9549.3 kW / rpm, N m
    2728.4
    """
    return power_kw * 1e6 / (2.0 * np.pi * speed_rpm / 60.0)


def mises_mpa(diameter_mm: Num, torque_nmm: Num, moment_nmm: Num = 0.0, thrust_n: Num = 0.0) -> Num:
    """Von Mises stress, MPa, at the surface of a solid round shaft; no stress concentration. Published (any text).

    16 T / (pi d^3), 32 M / (pi d^3), 4 F / (pi d^2): sqrt((bending + axial)^2 + 3 shear^2).

    >>> section = np.pi * 50.0**3 / 32.0
    >>> round(float(mises_mpa(50.0, 80.0 * section, 60.0 * section)), 3)  # 60 bending, 40 shear: root of 8400
    91.652
    """
    section = np.pi * diameter_mm**3 / 32.0
    shear = torque_nmm / (2.0 * section)
    normal = np.abs(moment_nmm / section) + np.abs(4.0 * thrust_n / (np.pi * diameter_mm**2))
    stress: Num = np.sqrt(normal**2 + 3.0 * shear**2)
    return stress


def weight_n_per_mm(diameter_mm: Num, density_kg_m3: Num) -> Num:
    """Weight of a solid shaft per length, N/mm, in air. Exact.

    >>> round(weight_n_per_mm(50.0, 7850.0), 4)  # 15.41 kg/m in stock tables
    0.1512
    """
    return np.pi / 4.0 * diameter_mm**2 * density_kg_m3 * 1e-9 * GRAVITY_M_S2
