"""Rule-of-thumb and class-type scantlings for strut arms; each function says where its figure comes from.

Guidance only: the governing rule text and edition, and the surveyor, decide. Sources, from memory but where another
standing is named: ABS Rules Part 3, shaft struts (class-type formula for streamlined struts of small vessels); GL rules
I-1-1, propeller brackets; BV and RINA rules for steel ships, propeller shaft brackets.
"""

from __future__ import annotations

import numpy as np

from strutwright.models.arrays import Num


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


def short_leg_factor(leg_mm: Num, longest_mm: Num, least: float) -> Num:
    """Multiplier on the required modulus for legs shorter than the longest, proportional to length. ABS: 10.6 d, 0.85.

    leg_mm: from the outside of the barrel to the outside of the shell. longest_mm: of a leg as the rule means it;
    longer ones return 1.0: they need special consideration, which no factor expresses. least: never below.

    >>> float(short_leg_factor(477.0, 530.0, 0.85))
    0.9
    """
    factor: Num = np.clip(np.asarray(leg_mm, dtype=np.float64) / longest_mm, least, 1.0)[()]
    return factor


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
