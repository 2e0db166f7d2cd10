"""Propeller shaft: diameter by the usual formulas, taper, stress, critical span, overhang, weight.

Every diameter rule is guidance; the one that governs is the one in the governing text and edition.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

INCH = 25.4
GRAVITY = 9.80665
KNOT_M_S = 1852.0 / 3600.0

SAFETY_FACTORS = {
    "light gasoline": (2.0, 2.0),
    "yacht": (3.0, 3.0),
    "long-range": (3.5, 4.0),
    "racing": (4.0, 5.0),
    "pilot or patrol": (5.0, 6.0),
    "inspected passenger": (7.5, 7.5),
}
"""Safety factor of the power formula by use of the craft (low, high); published in a boat systems
handbook.
"""
SPAN_PER_DIAMETER = (20.0, 40.0)
"""Bearing span over shaft diameter: at least 20 for rigid bearings, at most about 40 (common practice)."""
OVERHANG_PER_DIAMETER = (0.25, 1.0, 1.5)
"""Bare shaft between bearing and hub over d: least for the water, usual greatest (ABYC P-6 and SAE J756 as
quoted, second-hand), and the figure past which it is plainly wrong (common practice)."""
TORSION_YIELD_OF_TENSILE = 2.0 / 3.0
"""Torsional yield over tensile yield of nickel and steel shaft alloys (ABYC P-6 definition, published)."""


def diameter_by_power_in(power_shp: float, safety: float, torsion_yield_psi: float, speed_rpm: float) -> float:
    """Shaft diameter [in]: (321000 SHP SF / (S_t RPM))^(1/3). Broadcasts. Published (ABYC P-6 form,
    handbook).

    ``power_shp`` horsepower at the shaft (about 96 % of brake power), ``torsion_yield_psi`` S_t. 16 x
    63025 / pi rounded up, so the stress at full power is S_t / SF. Propeller-shaft sizes to about 6 in.
    """
    diameter: float = np.cbrt(321_000.0 * power_shp * safety / (torsion_yield_psi * speed_rpm))
    return diameter


def diameter_by_power_mm(power_kw: float, safety: float, torsion_yield_mpa: float, speed_rpm: float) -> float:
    """Shaft diameter [mm]: 3651 (kW SF / (S_t RPM))^(1/3), S_t in kPa in that form. Broadcasts.
    Published.
    """
    diameter: float = 3651.0 * np.cbrt(power_kw * safety / (1000.0 * torsion_yield_mpa * speed_rpm))
    return diameter


def diameter_ur_m68_mm(
    power_kw: float, speed_rpm: float, tensile_mpa: float, factor: float = 100.0, k: float = 1.26
) -> float:
    """Solid propeller shaft by IACS UR M68 [mm]: F k (P/n x 560 / (R_m + 160))^(1/3). Broadcasts.

    F = 100 for propeller shafts; k = 1.22 keyless or flanged, 1.26 keyed; R_m counts to 600 at most. Value
    from memory; confirm against the standard.
    """
    strength = np.minimum(tensile_mpa, 600.0) + 160.0
    diameter: float = factor * k * np.cbrt(power_kw / speed_rpm * 560.0 / strength)
    return diameter


def diameter_fishing_vessel_mm(
    power_kw: float,
    speed_rpm: float,
    tensile_mpa: float,
    propeller_diameter_mm: float,
    corrosion_resistant: bool = True,
) -> float:
    """Tail shaft by the Canadian Fishing Vessel Safety Regulations s. 19(2), diesel [mm]. Broadcasts.
    Published.

    1.05 x 106.41 (H/R)^(1/3) max((414/S)^(1/3), 0.85) + K P / C, not below 32; K = min(0.00079 P, 1), C =
    144 for a liner or corrosion-resistant material, else 100. S must be at least 372 MPa (ValueError).
    """
    if not np.all(np.greater_equal(tensile_mpa, 372.0)):
        raise ValueError("tensile_mpa is below 372 MPa, the least this rule admits")
    c = 144.0 if corrosion_resistant else 100.0
    strength = np.maximum(np.cbrt(414.0 / tensile_mpa), 0.85)
    extra = np.minimum(0.00079 * propeller_diameter_mm, 1.0) * propeller_diameter_mm / c
    diameter: float = np.maximum(1.05 * 106.41 * np.cbrt(power_kw / speed_rpm) * strength + extra, 32.0)
    return diameter


def diameter_small_craft_hint_mm(k: float, power_kw: float, speed_rpm: float) -> float:
    """Hint only, low confidence: K (kW/rpm)^(1/3) [mm], a class-type small-craft rule up to 25 m.
    Broadcasts.

    K 126 carbon steel, 91 for 316-type, 88 for 431-type. The table was read, the formula and its units are
    assumed.
    """
    diameter: float = k * np.cbrt(power_kw / speed_rpm)
    return diameter


def diameter_by_propeller_mm(propeller_diameter_mm: float, divisor: float = 14.0) -> float:
    """Old rule of thumb [mm]: propeller diameter / 14. Broadcasts. Published (boat systems handbook).

    Divisors by metal and blades (2, 3, 4): bronze or nickel-copper 14.5, 14.0, 13.1; high-strength
    stainless 18.1, 17.5, 16.3 (columns of the table read with doubt).
    """
    return propeller_diameter_mm / divisor


TAPER_SAE = 16.0
"""SAE J755: 1:16 on diameter (3/4 in per ft) to 5 1/2 in shafts; 1:12 for 6 to 8 in. Published."""
TAPER_ISO = 10.0
"""ISO 4566: 1:10 on diameter, shafts 20 to 160 mm. Published."""


def taper_small_end(diameter: float, taper_length: float, ratio: float = TAPER_SAE) -> float:
    """Small-end diameter of a shaft taper, in the unit given: d - L / ratio. Broadcasts. Exact.

    Raises ValueError when the taper would run to nothing.
    """
    small = diameter - taper_length / ratio
    if not np.all(np.greater(small, 0.0)):
        raise ValueError("the taper is longer than the shaft diameter allows")
    return small


def taper_half_angle_deg(ratio: float = TAPER_SAE) -> float:
    """Angle between a taper's side and the axis [deg]: atan(1 / (2 ratio)). Broadcasts. Exact."""
    angle: float = np.degrees(np.arctan(0.5 / ratio))
    return angle


def advance_ratio(advance_speed_kn: float, speed_rpm: float, propeller_diameter_mm: float) -> float:
    """Propeller advance ratio J = V / (n D), V the speed of the water into the propeller. Broadcasts.
    Definition.
    """
    return advance_speed_kn * KNOT_M_S / (speed_rpm / 60.0 * propeller_diameter_mm / 1000.0)


def torque_nmm(power_kw: float, speed_rpm: float) -> float:
    """Shaft torque [N mm] at a power and speed: P / omega. Broadcasts. Exact."""
    return power_kw * 1e6 / (2.0 * np.pi * speed_rpm / 60.0)


@dataclass(frozen=True, slots=True)
class ShaftStress:
    """Nominal stresses in a shaft [MPa], no stress concentration."""

    shear_mpa: float
    bending_mpa: float
    axial_mpa: float
    mises_mpa: float
    max_shear_mpa: float


def shaft_stress(
    diameter_mm: float, torque_nmm: float, moment_nmm: float = 0.0, thrust_n: float = 0.0, bore_mm: float = 0.0
) -> ShaftStress:
    """Torsion, bending, thrust and their combination at the surface of a round shaft. Broadcasts.
    Published (any text).

    16 T / (pi d^3 (1 - c^4)), 32 M / (pi d^3 (1 - c^4)), 4 F / (pi d^2 (1 - c^2)), c = bore / diameter;
    von Mises sqrt(s^2 + 3 t^2) and greatest shear sqrt(s^2/4 + t^2). Raises ValueError unless 0 <= bore <
    diameter.
    """
    c = bore_mm / diameter_mm
    if not np.all(np.greater_equal(c, 0.0) & np.less(c, 1.0)):
        raise ValueError("bore_mm must be at least 0 and less than diameter_mm")
    section = np.pi * diameter_mm**3 * (1.0 - c**4) / 32.0
    shear = torque_nmm / (2.0 * section)
    bending = moment_nmm / section
    axial = 4.0 * thrust_n / (np.pi * diameter_mm**2 * (1.0 - c**2))
    normal = abs(bending) + abs(axial)
    return ShaftStress(shear, bending, axial, np.sqrt(normal**2 + 3.0 * shear**2), np.sqrt(normal**2 / 4.0 + shear**2))


def critical_speed_rpm(diameter_mm: float, span_mm: float, youngs_mpa: float, density_kg_m3: float) -> float:
    """First lateral critical speed of a bare solid shaft, pinned at both ends [rpm]. Broadcasts.

    (pi/l)^2 sqrt(E I / m); published (Shigley, 9th ed., eq. 7-22). No propeller, water or thrust: the
    overhung propeller lowers it, often by half.
    """
    stiffness = np.sqrt(youngs_mpa * 1e6 / density_kg_m3) * diameter_mm / 1000.0 / 4.0
    speed: float = (np.pi / (span_mm / 1000.0)) ** 2 * stiffness * 30.0 / np.pi
    return speed


def critical_span_mm(diameter_mm: float, speed_rpm: float, youngs_mpa: float, density_kg_m3: float) -> float:
    """Bearing span at which a bare shaft's first critical speed is its running speed [mm]. Broadcasts.

    sqrt(pi d / (8 n) sqrt(E / rho)), n in rev/s; the same formula as ``critical_speed_rpm``. No margin in
    it: stay well below (20 % is common practice).
    """
    wave = np.sqrt(youngs_mpa * 1e6 / density_kg_m3)
    span: float = 1000.0 * np.sqrt(np.pi * diameter_mm / 1000.0 / (8.0 * speed_rpm / 60.0) * wave)
    return span


def critical_span_ft(diameter_in: float, speed_rpm: float, youngs_psi: float, density_lb_in3: float) -> float:
    """The same span in feet: sqrt(3.21 d / N) (E / w)^(1/4). Broadcasts. Published (boat systems handbook
    form).
    """
    span: float = np.sqrt(3.21 * diameter_in / speed_rpm * np.sqrt(youngs_psi / density_lb_in3))
    return span


def weight_n_per_mm(diameter_mm: float, density_kg_m3: float, bore_mm: float = 0.0) -> float:
    """Weight of shaft per length [N/mm] in air. Broadcasts. Exact."""
    return np.pi / 4.0 * (diameter_mm**2 - bore_mm**2) * density_kg_m3 * 1e-9 * GRAVITY
