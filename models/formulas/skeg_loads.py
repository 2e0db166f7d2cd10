"""A skeg under the barrel that carries the rudder heel: rudder force, heel reaction, bending, twist and stiffness.

The heel bush lies aft of and below the barrel's centre. N, mm, MPa unless a name says otherwise. IACS UR S10, from
memory, to be confirmed against the standard, is quoted outside its range (steel ships of 24 m and more): guidance for
boats.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Num

FOIL_FACTOR = 1.10
"""K2 of a foil-shaped rudder going ahead, IACS UR S10. K3 of a rudder in the propeller's jet is 1."""


def rule_speed_kn(speed_kn: Num) -> Num:
    """Speed to use in the rudder force, knots: V, or (V + 20)/3 when V < 10 (IACS UR S10).

    >>> float(rule_speed_kn(4.0)), float(rule_speed_kn(12.0))
    (8.0, 12.0)
    """
    speed: Num = np.where(np.asarray(speed_kn) < 10.0, (speed_kn + 20.0) / 3.0, speed_kn)[()]
    return speed


def aspect_factor(aspect_ratio: Num) -> Num:
    """K1 = (lambda + 2)/3 with lambda = height^2/area, not more than 2 (IACS UR S10).

    >>> float(aspect_factor(1.0)), round(float(aspect_factor(3.0)), 4)
    (1.0, 1.3333)
    """
    factor: Num = (np.minimum(aspect_ratio, 2.0) + 2.0) / 3.0
    return factor


def rudder_force_n(area_m2: Num, speed_kn: Num, aspect_ratio: Num) -> Num:
    """Force on a foil rudder in the propeller's jet, ahead, N: C_R = 132 K1 K2 K3 A V^2, V in knots (IACS UR S10).

    A wing-force check (half rho V^2, coefficient 1) gives 136 A V^2 with V in knots.

    >>> round(float(rudder_force_n(0.25, 20.0, 1.5)))  # 132 x 1.1667 x 1.1 x 100
    16940
    """
    return 132.0 * aspect_factor(aspect_ratio) * FOIL_FACTOR * area_m2 * rule_speed_kn(speed_kn) ** 2


def small_craft_rudder_force_n(area_m2: Num, speed_kn: Num) -> Num:
    """Motor-craft rudder force, N: 370 A V^1.3, all factors 1. A hint: the form of ISO 12215-8 is recalled, not read.

    Verify against the standard before any use; manoeuvring pressure only, grounding excluded.

    >>> round(small_craft_rudder_force_n(0.25, 20.0))
    4544
    """
    force: Num = 370.0 * area_m2 * speed_kn**1.3
    return force


def heel_reaction_n(force_n: Num) -> Num:
    """Force the rudder puts on the heel bush, N: half the rudder force (IACS UR S10, sole piece without analysis).

    >>> heel_reaction_n(16_940.0)
    8470.0
    """
    return 0.5 * force_n


@dataclass(frozen=True, slots=True)
class SkegActions:
    """What a sideways heel force does, N and N mm: shear, foot root bending, fin root bending and twist."""

    shear_n: Num
    foot_bending_nmm: Num
    fin_bending_nmm: Num
    fin_twist_nmm: Num


def skeg_actions(heel_n: Num, aft_mm: Num, depth_mm: Num, barrel_radius_mm: Num, foot_root_mm: Num) -> SkegActions:
    """Actions in a skeg from a sideways force ``heel_n`` at the heel bush. Statics.

    ``aft_mm`` heel aft of the fin's twist axis, ``depth_mm`` heel below the shaft axis, ``barrel_radius_mm`` outside
    radius (the fin's root), ``foot_root_mm`` length of the foot from the fin to the bush. The fin's bending moment is
    about the fore-and-aft axis at its root, its twist about the vertical.

    >>> skeg_actions(1000.0, 200.0, 300.0, 50.0, 120.0).fin_bending_nmm
    250000.0
    """
    return SkegActions(heel_n, heel_n * foot_root_mm, heel_n * (depth_mm - barrel_radius_mm), heel_n * aft_mm)


def sole_piece_modulus_cm3(heel_n: Num, lever_m: Num, material_factor: Num) -> Num:
    """Least modulus about the vertical of a skeg's foot as a sole piece, cm3: M k/80, M = B x in N m (IACS UR S10).

    ``material_factor`` k: 1.0 ordinary steel (yield 235), see `material_factor` for others (the society's limits
    apply).

    >>> round(sole_piece_modulus_cm3(8470.0, 0.35, 1.0), 2)  # 2964.5 / 80
    37.06
    """
    return heel_n * lever_m * material_factor / 80.0


def material_factor(yield_mpa: Num, tensile_mpa: Num = np.inf) -> Num:
    """k for the rule limits, (235/yield)^e: e 1 to 235 N/mm2 and 0.75 above, yield not taken above 0.7 tensile or 450.

    IACS UR S10. Steel only; for other metals a society decides: a hint.

    >>> float(material_factor(235.0)), round(float(material_factor(355.0)), 3)
    (1.0, 0.734)
    """
    counted = np.minimum(yield_mpa, np.minimum(0.7 * np.asarray(tensile_mpa, dtype=np.float64), 450.0))
    factor: Num = np.where(counted > 235.0, (235.0 / counted) ** 0.75, 235.0 / counted)[()]
    return factor


def rudder_horn_modulus_cm3(moment_nm: Num, material_factor: Num) -> Num:
    """Least modulus of the fin of a skeg treated as a rudder horn, cm3: M k/67 (IACS UR S10).

    >>> rudder_horn_modulus_cm3(3350.0, 1.0)
    50.0
    """
    return moment_nm * material_factor / 67.0


def foot_stress_mpa(actions: SkegActions, modulus_mm3: Num, area_mm2: Num) -> Num:
    """Equivalent stress at the foot's root, MPa: sqrt(s^2 + 3 t^2), s = M/Z, t = 1.5 V/A (peaks added). Beam theory.

    >>> round(float(foot_stress_mpa(SkegActions(2000.0, 9e5, 0.0, 0.0), 1e4, 1e3)), 1)  # 90 and 3
    90.1
    """
    stress: Num = np.sqrt((actions.foot_bending_nmm / modulus_mm3) ** 2 + 3.0 * (1.5 * actions.shear_n / area_mm2) ** 2)
    return stress


def fin_stress_mpa(actions: SkegActions, modulus_mm3: Num, torsion_modulus_mm3: Num, area_mm2: Num) -> Num:
    """Equivalent stress at the fin root, MPa: sqrt(s^2 + 3 t^2), s = M/Z, t = T/W_t + 1.5 V/A (peaks added).

    Beam theory.

    >>> round(float(fin_stress_mpa(SkegActions(2000.0, 0.0, 9e5, 4e5), 1e4, 1e4, 1e3)), 1)  # 90 and 40 + 3
    116.8
    """
    bending = np.abs(actions.fin_bending_nmm) / modulus_mm3
    shear = np.abs(actions.fin_twist_nmm) / torsion_modulus_mm3 + 1.5 * np.abs(actions.shear_n) / area_mm2
    stress: Num = np.sqrt(bending**2 + 3.0 * shear**2)
    return stress


def skeg_flexibility_mm_n(
    foot_mm: Num,
    foot_inertia_mm4: Num,
    fin_mm: Num,
    fin_inertia_mm4: Num,
    fin_torsion_mm4: Num,
    *,
    youngs_mpa: Num,
    shear_mpa: Num,
    foot_lever_mm: Num,
) -> Num:
    """Sideways deflection at the heel per unit force, mm/N, of foot and fin on a fixed barrel.

    Foot bending x^3/3EI + fin bending h^3/3EI + fin twist a^2 h/GJ (unit-load method, uniform parts); ``fin_mm`` h from
    barrel to foot, ``foot_lever_mm`` a from the fin's twist axis to the bush.

    >>> steel = {"youngs_mpa": 200e3, "shear_mpa": 80e3}
    >>> moved = skeg_flexibility_mm_n(100.0, 1e5, 200.0, 2e5, 5e5, **steel, foot_lever_mm=150.0)
    >>> round(moved * 1e6, 2)  # 16.67 + 66.67 + 112.5
    195.83
    """
    return (
        foot_mm**3 / (3.0 * youngs_mpa * foot_inertia_mm4)
        + fin_mm**3 / (3.0 * youngs_mpa * fin_inertia_mm4)
        + foot_lever_mm**2 * fin_mm / (shear_mpa * fin_torsion_mm4)
    )


@dataclass(frozen=True, slots=True)
class HeelBush:
    """Heel bush: mean pressure (MPa) and least length (mm)."""

    pressure_mpa: Num
    least_length_mm: Num


def heel_bush(heel_n: Num, pin_mm: Num, length_mm: Num, allowable_mpa: Num) -> HeelBush:
    """Heel bush on a pin of ``pin_mm``: pressure F/(d l); length at least F/(p d).

    Published: guidance for high-speed light craft, Pt 4 Ch 1 Sec 8 (KR family).

    >>> heel_bush(8470.0, 40.0, 40.0, 7.0)
    HeelBush(pressure_mpa=5.29375, least_length_mm=30.25)
    """
    return HeelBush(heel_n / (pin_mm * length_mm), heel_n / (allowable_mpa * pin_mm))
