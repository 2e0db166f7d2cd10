"""Loads on a propeller-shaft strut: weight by levers, lost blades, turns, thrust and its pulses, the arm's own hinge.

Forces N, moments N mm, lengths mm, masses kg.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Floats, Num
from strutwright.params.quantity import GRAVITY_M_S2, KNOT_M_S

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(24)


def weight_n(mass_kg: Num) -> Num:
    """Weight in air, N, of a mass in kg (standard gravity 9.80665 m/s2).

    >>> round(weight_n(10.0), 4)
    98.0665
    """
    return mass_kg * GRAVITY_M_S2


@dataclass(frozen=True, slots=True)
class OverhungReactions:
    """A shaft on two supports with an overhang: reaction at the strut, N, up for loads down, and the moment there."""

    strut_n: Num
    moment_nmm: Num


def overhung_reactions(
    span_mm: Num, overhang_mm: Num, tip_load_n: Num, line_load_n_per_mm: Num = 0.0
) -> OverhungReactions:
    """Simply supported beam of length span + overhang, loaded at the free end and by its own weight.

    ``span_mm`` distance between the inner support and the strut support (> 0), ``overhang_mm`` from the strut support
    to the propeller centre (>= 0). Statics: R = [W (l+b) + w (l+b)^2/2] / l. A radial load at the propeller is thereby
    magnified by (l+b)/l at the strut.

    >>> overhung_reactions(1000.0, 300.0, 400.0, 0.1)  # (400 x 1300 + 130 x 650) / 1000
    OverhungReactions(strut_n=604.5, moment_nmm=124500.0)
    """
    whole = span_mm + overhang_mm
    strut = (tip_load_n * whole + 0.5 * line_load_n_per_mm * whole**2) / span_mm
    return OverhungReactions(strut, tip_load_n * overhang_mm + 0.5 * line_load_n_per_mm * overhang_mm**2)


def blade_mass_estimate_kg(propeller_kg: Num, blades: Num, hub_share: float) -> Num:
    """Mass of one blade, kg: (1 - hub share) M / Z. A hint (own model, hub share 0.25 to 0.40 usual).

    >>> blade_mass_estimate_kg(20.0, 4, 0.25)
    3.75
    """
    return (1.0 - hub_share) * propeller_kg / blades


@dataclass(frozen=True, slots=True)
class BladePart:
    """Part of one blade outside a radius: its share of the blade mass and its centre of gravity over R."""

    mass_share: Num
    centre_ratio: Num


def blade_part(from_ratio: float, hub_ratio: float, tip_thickness_ratio: float = 0.15) -> BladePart:
    """Mass share and centre of gravity of the part of a blade outside ``from_ratio`` x R. Own model, low confidence.

    Outline: half an ellipse on the radius, chord proportional to sqrt(x (1-x)) with x = r/R, cut off at the hub
    (``hub_ratio``); thickness falls linearly from 1 at x = 0 to ``tip_thickness_ratio`` at x = 1. ``from_ratio`` <= hub
    ratio gives the whole blade (share 1). Range 0 <= hub ratio < 1, from ratio < 1.

    >>> round(float(blade_part(0.0, 0.0, 1.0).centre_ratio), 9)  # an even ellipse balances at its middle
    0.5
    """
    whole_mass, _ = _blade_integrals(hub_ratio, tip_thickness_ratio)
    part_mass, part_moment = _blade_integrals(max(from_ratio, hub_ratio), tip_thickness_ratio)
    return BladePart((part_mass / whole_mass)[()], (part_moment / part_mass)[()])


def _blade_integrals(start: float, tip: float) -> tuple[Floats, Floats]:
    """Integrals over x = start..1 of chord x thickness and of x times it; x = sin^2(a) removes the tip root."""
    low = np.arcsin(np.sqrt(start))
    half = (np.pi / 2.0 - low) / 2.0
    angle = low + half * (_POINTS + 1.0)
    x = np.sin(angle) ** 2
    slice_mass = 2.0 * (np.sin(angle) * np.cos(angle)) ** 2 * (1.0 - (1.0 - tip) * x)
    mass: Floats = np.sum(slice_mass * _WEIGHTS * half, axis=-1)
    moment: Floats = np.sum(slice_mass * x * _WEIGHTS * half, axis=-1)
    return mass, moment


def blade_loss_force_n(mass_kg: Num, radius_mm: Num, rpm: Num) -> Num:
    """Rotating force after losing a mass at a radius, N: (2 pi N/60)^2 R m.

    Mechanics; the same form is used for shaft brackets in ship rules (from memory). ``mass_kg`` lost mass,
    ``radius_mm`` radius of its centre of gravity, ``rpm`` shaft speed.

    >>> round(blade_loss_force_n(2.0, 120.0, 2000.0), 1)  # 209.44^2 x 0.12 x 2
    10527.6
    """
    return (2.0 * np.pi * rpm / 60.0) ** 2 * (radius_mm / 1000.0) * mass_kg


def unbalance_force_n(mass_kg: Num, grade_mm_s: float, rpm: Num) -> Num:
    """Rotating force of what is out of balance after balancing to a grade at a speed, N: m G w (ISO 21940-11).

    The grade is the speed of the centre of gravity about the axis, mm/s: its distance from the axis times w.

    >>> round(unbalance_force_n(11.0, 16.0, 1300.0), 2)  # 11 kg x 0.016 m/s x 136.14 /s
    23.96
    """
    return mass_kg * grade_mm_s / 1000.0 * (2.0 * np.pi * rpm / 60.0)


def turn_side_force_n(mass_kg: Num, acceleration_ms2: Num, thrust: Num, inflow_share: float) -> Num:
    """Side force at the propeller in a turn, N: m a plus a share of the thrust for oblique inflow.

    ``mass_kg`` propeller and overhung shaft. The side force in a full-speed turn is a published design load, its size
    is not: the share is an assumption, so the value is a hint.

    >>> turn_side_force_n(30.0, 5.0, 4000.0, 0.25)
    1150.0
    """
    return mass_kg * acceleration_ms2 + inflow_share * thrust


def thrust_n(power_kw: Num, speed_kn: Num, efficiency: float) -> Num:
    """Propeller thrust from delivered power, speed of advance and open-water efficiency, N: T = P eta / V.

    Definition of efficiency. Not for standstill: ``speed_kn`` > 0 (below about 5 kn it overstates the thrust, so that
    `thrust_speed` of the limits is the least that it is worked out at).

    >>> round(thrust_n(100.0, 10.0, 0.6))  # 60 kW at 5.144 m/s
    11663
    """
    return power_kw * 1000.0 * efficiency / (speed_kn * KNOT_M_S)


def blade_rate_force_n(thrust: Num, torque_nmm: Num, propeller_mm: Num, of_thrust: float, of_torque: float) -> Num:
    """Fluctuating fore-and-aft force on the bracket at blade rate, N: shares of T and of Q/D.

    Published guidance for aluminium high-speed craft says the blade pressure reaction goes as power/(rpm x D), that is
    Q/D, and acts fore and aft; the shares are assumptions, so the value is a hint.

    >>> blade_rate_force_n(5000.0, 1.5e6, 600.0, 0.1, 0.1)
    750.0
    """
    return of_thrust * thrust + of_torque * torque_nmm / propeller_mm


def hinge_force_n(yield_mpa: Num, plastic_modulus_mm3: Num, lever_mm: Num) -> Num:
    """Force at the barrel that turns a section of the arm into a plastic hinge, N: sigma_y Z_pl / L.

    Simple plastic theory with the yield given. The least yield of a standard is often passed by 1.2 to 1.5: what must
    outlast the arm wants that as reserve.

    >>> round(hinge_force_n(170.0, 20.0 * 100.0**2 / 4.0, 300.0), 1)  # a plate 100 x 20 on edge
    28333.3
    """
    return yield_mpa * plastic_modulus_mm3 / lever_mm


@dataclass(frozen=True, slots=True)
class BlowEnds:
    """Forces at the ends of a beam that a blow bends plastically, N."""

    foot_n: Num
    barrel_n: Num


def blow_ends_n(foot_nmm: Num, hit_nmm: Num, barrel_nmm: Num, from_foot_mm: Num, from_barrel_mm: Num) -> BlowEnds:
    """Forces at the ends of an arm held at both that a blow across it brings while hinges form there and where it hits.

    Simple plastic theory; moments that the arm bears at its foot, where it is hit and at the barrel. Each piece is in
    balance by itself, (foot + hit) / distance, so no piece can bring more however the barrel is held. Hit in the middle
    an even arm has 4 M / L at each end; spread evenly over it, or hit at a quarter of its length, 8 M / L at the end.

    >>> blow_ends_n(1.0e6, 1.0e6, 1.0e6, 100.0, 300.0)  # L = 400 mm, 8 M / L = 20 kN
    BlowEnds(foot_n=20000.0, barrel_n=6666.666666666667)
    """
    return BlowEnds((foot_nmm + hit_nmm) / from_foot_mm, (barrel_nmm + hit_nmm) / from_barrel_mm)
