"""Rule-of-thumb and class-type scantlings for strut arms; each function says where its figure comes from.

Guidance only: the governing rule text and edition, and the surveyor, decide. Sources, from memory but where another
standing is named: ABS Rules Part 3, shaft struts (class-type formula for streamlined struts of small vessels); GL rules
I-1-1, propeller brackets; BV and RINA rules for steel ships, propeller shaft brackets.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from strutwright.models.arrays import Num

ArmKind = Literal["I", "V"]

_INERTIA = {"I": 0.018, "V": 0.0044}
_MODULUS = {"I": 0.068, "V": 0.024}
_SHELL_FACTOR = {"I": 2.0, "V": 1.5}

BARREL_END_AREA_RATIO = 0.60
"""Section area of a single arm at the barrel against that at the hull, at least (BV and RINA; low confidence)."""
HULL_END_ALLOWABLE_MPA = 70.0
"""Bending plus axial stress allowed in the arm at the hull under blade loss, ordinary steel (BV and RINA)."""


def abs_arm_inertia(shaft_mm: Num, kind: ArmKind) -> Num:
    """Least second moment of area of one arm about its own chord line, mm4: 0.018 d^4 (I), 0.0044 d^4 (each V leg).

    ``shaft_mm`` is the required tail-shaft diameter d. For ordinary-strength steel (415 N/mm2 tensile). ABS.

    >>> round(abs_arm_inertia(50.0, "I"), 6), round(abs_arm_inertia(50.0, "V"), 6)
    (112500.0, 27500.0)
    """
    return _INERTIA[kind] * shaft_mm**4


def abs_arm_modulus(shaft_mm: Num, kind: ArmKind) -> Num:
    """Least section modulus of one arm about its own chord line, mm3: 0.068 d^3 (I), 0.024 d^3 (each V leg). ABS.

    >>> round(abs_arm_modulus(50.0, "I"), 6), round(abs_arm_modulus(50.0, "V"), 6)
    (8500.0, 3000.0)
    """
    return _MODULUS[kind] * shaft_mm**3


def modulus_strength_factor(tensile_mpa: Num) -> Num:
    """Multiplier on the required modulus for arms weaker than the reference steel: max(1, 415/U). ABS, low confidence.

    A stronger alloy earns no reduction here because the wording of the strength ratio was not recalled.

    >>> float(modulus_strength_factor(207.5)), float(modulus_strength_factor(600.0))
    (2.0, 1.0)
    """
    factor: Num = np.maximum(1.0, 415.0 / np.asarray(tensile_mpa, dtype=np.float64))[()]
    return factor


def inertia_modulus_factor(youngs_mpa: Num) -> Num:
    """Multiplier on the required second moment for arms less stiff than steel: max(1, 206000/E). ABS, low confidence.

    >>> float(inertia_modulus_factor(103_000.0))
    2.0
    """
    factor: Num = np.maximum(1.0, 206_000.0 / np.asarray(youngs_mpa, dtype=np.float64))[()]
    return factor


def short_leg_factor(leg_mm: Num, shaft_mm: Num) -> Num:
    """Multiplier on the required modulus for legs shorter than 10.6 d: proportional to length, not below 0.85. ABS.

    Length from the outside of the barrel to the outside of the shell. Legs longer than 10.6 d return 1.0: they need
    special consideration, which no factor expresses.

    >>> float(short_leg_factor(477.0, 50.0))  # 0.9 of 10.6 x 50
    0.9
    """
    factor: Num = np.clip(np.asarray(leg_mm, dtype=np.float64) / (10.6 * shaft_mm), 0.85, 1.0)[()]
    return factor


def gl_arm_area(shaft_mm: Num) -> Num:
    """Least cross-section area of each arm of a two-arm bracket: 0.44 d^2, mm2. GL.

    >>> gl_arm_area(50.0)
    1100.0
    """
    return 0.44 * shaft_mm**2


def gl_arm_thickness(shaft_mm: Num) -> Num:
    """Arm thickness of a two-arm bracket: 0.44 d, mm. GL.

    >>> gl_arm_thickness(50.0)
    22.0
    """
    return 0.44 * shaft_mm


def plate_arm_thickness(shell_mm: Num, kind: ArmKind) -> Num:
    """Least plate thickness of a fabricated arm: 2 x (single arm) or 1.5 x (two arms) the rule shell plating, mm.

    Published: guidance for high-speed light craft, Pt 4 Ch 2 Sec 6, 602-603 (KR family).

    >>> plate_arm_thickness(6.0, "I"), plate_arm_thickness(6.0, "V")
    (12.0, 9.0)
    """
    return _SHELL_FACTOR[kind] * shell_mm


def blade_line_up(angle_deg: Num, blades: Num) -> Num:
    """How far the V angle is from the nearest multiple of 360/Z, degrees (0 = both legs cross two blades at once).

    Largest possible score is 180/Z. Principle published in a boat handbook: the legs must not line up with two blades;
    the width of the avoided band is a choice, 8 to 10 degrees each side. Exact.

    >>> float(blade_line_up(70.0, 4))
    20.0
    """
    pitch = 360.0 / np.asarray(blades, dtype=np.float64)
    away: Num = np.abs(angle_deg - pitch * np.round(np.asarray(angle_deg) / pitch))[()]
    return away


def clear_v_angles(blades: int) -> tuple[float, ...]:
    """V angles half way between multiples of 360/Z from 45 to 135 degrees, degrees (may be empty). Exact.

    >>> clear_v_angles(4)
    (45.0, 135.0)
    """
    pitch = 360.0 / blades
    return tuple((k + 0.5) * pitch for k in range(blades) if 45.0 <= (k + 0.5) * pitch <= 135.0)
