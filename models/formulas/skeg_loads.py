"""A skeg under the barrel that carries the rudder heel: rudder force, heel reaction, bending, twist and
stiffness.

Strut frame: x forward, y port, z toward the hull, origin at the barrel centre; the heel bush lies aft of and
below
the barrel at (-aft, 0, -depth). N, mm, MPa unless a name says otherwise. Ship rules are quoted outside their
range
(IACS UR S10 is for steel ships of 24 m and more): guidance for boats.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from strutwright.models.formulas.arm_rules import Num, RuleValue

FloatArray = npt.NDArray[np.float64]
_UR = "IACS UR S10"
_MEMO = "value from memory; confirm against the standard; written for steel ships of 24 m and more"


def rule_speed_kn(speed_kn: Num) -> Num:
    """Speed to use in the rudder force, knots: V, or (V + 20)/3 when V < 10 (IACS UR S10, from memory)."""
    speed: Num = np.where(np.asarray(speed_kn) < 10.0, (speed_kn + 20.0) / 3.0, speed_kn)[()]
    return speed


def aspect_factor(aspect_ratio: Num) -> Num:
    """K1 = (lambda + 2)/3 with lambda = height^2/area, not more than 2 (IACS UR S10, from memory)."""
    factor: Num = (np.minimum(aspect_ratio, 2.0) + 2.0) / 3.0
    return factor


def profile_factor(profile: str, astern: bool = False) -> RuleValue:
    """K2 by rudder profile, ahead or astern: "foil" 1.10/0.80, "flat side" 1.10/0.90, "plate" 1.00/1.00.

    Raises ValueError for another name.
    """
    table = {"foil": (1.10, 0.80), "flat side": (1.10, 0.90), "plate": (1.00, 1.00)}
    if profile not in table:
        raise ValueError(f"rudder profile {profile!r} is not known; use one of {', '.join(table)}")
    return RuleValue(table[profile][int(astern)], "", "from memory", "H", _UR, _MEMO)


def rudder_force(area_m2: Num, speed_kn: Num, aspect_ratio: Num, profile: Num = 1.10, position: Num = 1.0) -> RuleValue:
    """Rudder force, N: C_R = 132 K1 K2 K3 A V^2, V in knots.

    ``profile`` K2 (see `profile_factor`), ``position`` K3: 0.80 outside the propeller jet, 1.15 behind a
    nozzle,
    else 1.0. A wing-force check (half rho V^2, coefficient 1) gives 136 A V^2 with V in knots.
    """
    force = 132.0 * aspect_factor(aspect_ratio) * profile * position * area_m2 * rule_speed_kn(speed_kn) ** 2
    return RuleValue(force, "N", "from memory", "H", _UR, _MEMO)


def rudder_torque_nmm(force_n: Num, chord_mm: Num, balance: Num, ahead: bool = True) -> Num:
    """Rudder torque, N mm: C_R r, r = c (alpha - k), alpha 0.33 ahead and 0.66 astern, k = area before the
    stock
    over area; ahead r is at least 0.1 c (IACS UR S10; alpha published in yacht guidance)."""
    lever = chord_mm * ((0.33 if ahead else 0.66) - balance)
    if ahead:
        lever = np.maximum(lever, 0.1 * np.asarray(chord_mm))[()]
    return force_n * lever


def small_craft_rudder_force(area_m2: Num, speed_kn: Num) -> RuleValue:
    """Motor-craft rudder force, N: 370 A V^1.3, all factors 1. A hint: the form is recalled, not read."""
    return RuleValue(
        370.0 * area_m2 * speed_kn**1.3,
        "N",
        "from memory",
        "L",
        "ISO 12215-8 form",
        "verify against the standard before any use; manoeuvring pressure only, grounding excluded",
    )


def heel_reaction_n(force_n: Num, stock_to_load_mm: Num | None = None, stock_to_heel_mm: Num | None = None) -> Num:
    """Force the rudder puts on the heel bush, N: half the rudder force (sole-piece rule without analysis),
    or by
    levers from the lower stock bearing when both distances are given: C_R a/l."""
    if stock_to_load_mm is None or stock_to_heel_mm is None:
        return 0.5 * force_n
    return force_n * stock_to_load_mm / stock_to_heel_mm


@dataclass(frozen=True, slots=True)
class SkegActions:
    """What a sideways heel force does: foot root bending, fin root bending and twist, and the wrench at the
    barrel
    centre (force and moment, strut frame, last axis 3)."""

    shear_n: Num
    foot_bending_nmm: Num
    fin_bending_nmm: Num
    fin_twist_nmm: Num
    barrel_force_n: FloatArray
    barrel_moment_nmm: FloatArray


def skeg_actions(heel_n: Num, aft_mm: Num, depth_mm: Num, barrel_radius_mm: Num, foot_root_mm: Num) -> SkegActions:
    """Actions in a skeg from a sideways force ``heel_n`` (to port positive) at the heel bush. Statics.

    ``aft_mm`` heel aft of the barrel centre, ``depth_mm`` heel below the shaft axis, ``barrel_radius_mm``
    outside
    radius (the fin's root), ``foot_root_mm`` length of the foot from the fin to the bush. The fin's bending
    moment
    is about the fore-and-aft axis at its root, its twist about the vertical through the barrel centre.
    """
    aft, depth, heel = np.broadcast_arrays(aft_mm, depth_mm, heel_n)
    zero = np.zeros(heel.shape)
    force = np.stack([zero, heel, zero], axis=-1)
    point = np.stack([-aft, zero, -depth], axis=-1)
    return SkegActions(
        heel_n,
        heel_n * foot_root_mm,
        heel_n * (depth_mm - barrel_radius_mm),
        heel_n * aft_mm,
        force,
        np.cross(point, force),
    )


@dataclass(frozen=True, slots=True)
class SolePiece:
    """Sole-piece rule: bending moment (N m), least modulus about the vertical (cm3), least shear area (mm2),
    limit
    on the equivalent stress (N/mm2)."""

    moment_nm: Num
    modulus_cm3: Num
    shear_area_mm2: Num
    equivalent_limit_mpa: Num


def sole_piece(heel_n: Num, lever_m: Num, material_factor: Num = 1.0) -> SolePiece:
    """Foot of a skeg as a sole piece (IACS UR S10, from memory): M = B x, Z = M k/80, A = B k/48, limit
    115/k.

    ``material_factor`` k: 1.0 ordinary steel (yield 235), see `material_factor` for others (the society's limits
    apply).
    """
    moment = heel_n * lever_m
    return SolePiece(moment, moment * material_factor / 80.0, heel_n * material_factor / 48.0, 115.0 / material_factor)


def material_factor(yield_mpa: Num, tensile_mpa: Num = np.inf) -> RuleValue:
    """k for the rule limits, (235/yield)^e: e 1 to 235 N/mm2 and 0.75 above, yield not taken above 0.7 tensile or 450.

    A hint for other metals than steel.
    """
    counted = np.minimum(yield_mpa, np.minimum(0.7 * np.asarray(tensile_mpa, dtype=np.float64), 450.0))
    factor: Num = np.where(counted > 235.0, (235.0 / counted) ** 0.75, 235.0 / counted)[()]
    return RuleValue(factor, "", "from memory", "M", _UR, "steel only; for other metals a society decides")


@dataclass(frozen=True, slots=True)
class HornLimits:
    """Rudder-horn limits: least modulus (cm3) and greatest shear stress (N/mm2)."""

    modulus_cm3: Num
    shear_limit_mpa: Num


def rudder_horn_limits(moment_nm: Num, material_factor_k: Num = 1.0) -> HornLimits:
    """Fin of the skeg treated as a rudder horn: Z >= M k/67 cm3, shear <= 48/k (IACS UR S10, from memory)."""
    return HornLimits(moment_nm * material_factor_k / 67.0, 48.0 / material_factor_k)


def sole_spring_kn_m(inertia_cm4: Num, length_m: Num) -> Num:
    """Spring constant of a steel sole piece, kN/m: 6.18 I/l^3 (I cm4, l m) (IACS UR S10, from memory)."""
    return 6.18 * inertia_cm4 / length_m**3


def fin_stress_mpa(actions: SkegActions, modulus_mm3: Num, torsion_modulus_mm3: Num, area_mm2: Num) -> Num:
    """Equivalent stress at the fin root, MPa: sqrt(s^2 + 3 t^2), s = M/Z, t = T/W_t + 1.5 V/A (peaks
    added)."""
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
    youngs_mpa: float,
    shear_mpa: float,
    foot_lever_mm: Num | None = None,
) -> Num:
    """Sideways deflection at the heel per unit force, mm/N, of foot and fin on a fixed barrel.

    Foot bending x^3/3EI + fin bending h^3/3EI + fin twist a^2 h/GJ (unit-load method, uniform parts);
    ``fin_mm`` h
    from barrel to foot, ``foot_lever_mm`` a from the fin's twist axis to the bush (default: foot length).
    """
    lever = foot_mm if foot_lever_mm is None else foot_lever_mm
    return (
        foot_mm**3 / (3.0 * youngs_mpa * foot_inertia_mm4)
        + fin_mm**3 / (3.0 * youngs_mpa * fin_inertia_mm4)
        + lever**2 * fin_mm / (shear_mpa * fin_torsion_mm4)
    )


def barrel_share_mm_n(barrel_stiffness: FloatArray, aft_mm: float, depth_mm: float) -> float:
    """Sideways movement of the heel per unit heel force from the arms giving way, mm/N.

    ``barrel_stiffness`` 6x6 from `frames3d`; the barrel and skeg are rigid here. Add
    `skeg_flexibility_mm_n`; the
    reciprocal of the sum is the heel spring.
    """
    wrench = np.array([0.0, 1.0, 0.0, depth_mm, 0.0, -aft_mm])
    return float(wrench @ np.linalg.solve(barrel_stiffness, wrench))


@dataclass(frozen=True, slots=True)
class BushCheck:
    """Heel bush: mean pressure (MPa), least and greatest length (mm), metal-bush clearance by ship rule
    (mm)."""

    pressure_mpa: Num
    least_length_mm: Num
    greatest_length_mm: Num
    metal_clearance_mm: Num


BUSH_PRESSURE = {
    "lignum vitae": RuleValue(2.5, "MPa", "published", "H", "high-speed craft rules, Table 4.1.6 (KR family)"),
    "white metal, oil": RuleValue(4.5, "MPa", "published", "H", "high-speed craft rules, Table 4.1.6 (KR family)"),
    "synthetic": RuleValue(
        5.5, "MPa", "published", "H", "high-speed craft rules, Table 4.1.6 (KR family)", "60 to 70 Shore D"
    ),
    "bronze": RuleValue(7.0, "MPa", "published", "H", "high-speed craft rules, Table 4.1.6 (KR family)"),
}
"""Allowable surface pressure of a heel bush by material."""


def heel_bush(heel_n: Num, pin_mm: Num, length_mm: Num, allowable_mpa: Num) -> BushCheck:
    """Heel bush on a pin of ``pin_mm``: pressure F/(d l); length between F/(p d) and 1.2 d; clearance d/1000
    + 1.0.

    Published ship-size rule (metal clearance is far more than small craft use: let the user override).
    """
    return BushCheck(
        heel_n / (pin_mm * length_mm), heel_n / (allowable_mpa * pin_mm), 1.2 * pin_mm, pin_mm / 1000.0 + 1.0
    )
