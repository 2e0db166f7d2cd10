"""Rule-of-thumb and class-type scantlings for strut arms, each value carrying where it comes from.

Every function returns a `RuleValue`. ``standing`` says how the figure was obtained ("published", "from
memory",
"common practice", "own model", "calculated"); ``confidence`` is "H", "M" or "L". A value of confidence "L"
is a
hint: it may fill a default or a note, it is never to be used as a pass/fail limit. Guidance only: the
governing
rule text and edition, and the surveyor, decide. Arguments may be floats or numpy arrays and broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

Num = float | npt.NDArray[np.float64]
ArmKind = Literal["I", "V"]

_ABS = "class-type formula for streamlined shaft struts of small vessels (ABS Rules Part 3, shaft struts)"
_BV = "BV/RINA steel ships, propeller shaft brackets"
_GL = "GL rules I-1-1, propeller brackets"
_KR = "high-speed light craft guidance, Part 4 Ch 2 Sec 6, 601-603 (KR family)"
_MEMO = "value from memory; confirm against the standard"

_INERTIA = {"I": 0.018, "V": 0.0044}
_MODULUS = {"I": 0.068, "V": 0.024}
_SHELL_FACTOR = {"I": 2.0, "V": 1.5}
_CHORD = {"I": 3.2, "V": 2.3}
_THICKNESS = {"I": 0.52, "V": 0.37}


@dataclass(frozen=True, slots=True)
class RuleValue:
    """One figure with its pedigree.

    ``value`` (float or array), ``unit`` as text, ``standing``, ``confidence`` ("H", "M", "L"), ``source`` in
    words,
    ``note`` for what the reader must know before using it.
    """

    value: Any
    unit: str
    standing: str
    confidence: str
    source: str
    note: str = ""

    @property
    def hint_only(self) -> bool:
        """True when the confidence is too low for a pass/fail limit."""
        return self.confidence == "L"


def abs_arm_inertia(shaft_mm: Num, kind: ArmKind) -> RuleValue:
    """Least second moment of area of one arm about its own chord line, mm4: 0.018 d^4 (I), 0.0044 d^4 (each
    V leg).

    ``shaft_mm`` is the required tail-shaft diameter d. For ordinary-strength steel (415 N/mm2 tensile).
    """
    return RuleValue(_INERTIA[kind] * shaft_mm**4, "mm4", "from memory", "M", _ABS, _MEMO)


def abs_arm_modulus(shaft_mm: Num, kind: ArmKind) -> RuleValue:
    """Least section modulus of one arm about its own chord line, mm3: 0.068 d^3 (I), 0.024 d^3 (each V
    leg)."""
    return RuleValue(_MODULUS[kind] * shaft_mm**3, "mm3", "from memory", "M", _ABS, _MEMO)


def modulus_strength_factor(tensile_mpa: Num, reference_mpa: float = 415.0) -> RuleValue:
    """Multiplier on the required modulus for arms weaker than the reference steel: max(1, 415/U).

    A stronger alloy earns no reduction here because the wording of the strength ratio was not recalled.
    """
    factor: Num = np.maximum(1.0, reference_mpa / np.asarray(tensile_mpa, dtype=np.float64))[()]
    return RuleValue(factor, "", "from memory", "L", _ABS, "exact wording not recalled; hint only")


def inertia_modulus_factor(youngs_mpa: Num, reference_mpa: float = 206_000.0) -> RuleValue:
    """Multiplier on the required second moment for arms less stiff than steel: max(1, 206000/E)."""
    factor: Num = np.maximum(1.0, reference_mpa / np.asarray(youngs_mpa, dtype=np.float64))[()]
    return RuleValue(factor, "", "from memory", "L", _ABS, "exact wording not recalled; hint only")


def leg_length_limit(shaft_mm: Num) -> RuleValue:
    """Longest leg without special consideration, outside of barrel to outside of shell: 10.6 d, mm."""
    return RuleValue(10.6 * shaft_mm, "mm", "from memory", "M", _ABS, _MEMO)


def short_leg_factor(leg_mm: Num, shaft_mm: Num) -> RuleValue:
    """Multiplier on the required modulus for legs shorter than 10.6 d: proportional to length, not below
    0.85.

    Legs longer than 10.6 d return 1.0: they need special consideration, which no factor expresses.
    """
    factor: Num = np.clip(np.asarray(leg_mm, dtype=np.float64) / (10.6 * shaft_mm), 0.85, 1.0)[()]
    return RuleValue(factor, "", "from memory", "M", _ABS, _MEMO)


def gl_arm_area(shaft_mm: Num) -> RuleValue:
    """Least cross-section area of each arm of a two-arm bracket: 0.44 d^2, mm2."""
    return RuleValue(0.44 * shaft_mm**2, "mm2", "from memory", "M", _GL, _MEMO)


def gl_arm_thickness(shaft_mm: Num) -> RuleValue:
    """Arm thickness of a two-arm bracket: 0.44 d, mm."""
    return RuleValue(0.44 * shaft_mm, "mm", "from memory", "M", _GL, _MEMO)


def plate_arm_thickness(shell_mm: Num, kind: ArmKind) -> RuleValue:
    """Least plate thickness of a fabricated arm: 2 x (single arm) or 1.5 x (two arms) the rule shell
    plating, mm."""
    return RuleValue(_SHELL_FACTOR[kind] * shell_mm, "mm", "published", "H", _KR)


def v_angle_minimum() -> RuleValue:
    """Least angle between the legs of a two-arm bracket: 50 degrees."""
    return RuleValue(50.0, "deg", "published", "H", _KR)


def v_angle_special() -> RuleValue:
    """Included angle under which a V strut is specially considered: 45 degrees."""
    return RuleValue(45.0, "deg", "from memory", "M", _ABS, _MEMO)


def v_angle_accepted(angle_deg: Num) -> bool | npt.NDArray[np.bool_]:
    """Whether the angle between the legs is at least the published 50 degrees."""
    accepted: bool | npt.NDArray[np.bool_] = np.asarray(angle_deg) >= v_angle_minimum().value
    return accepted


def v_angle_advice(blades: int) -> RuleValue:
    """Advised angles between the arms by blade number: about 90 (3 or 5 blades), about 70 or 110 (4 blades).

    Other blade numbers: the angles half way between multiples of 360/Z (calculated), see `clear_v_angles`.
    """
    if blades in (3, 5):
        return RuleValue((90.0,), "deg", "from memory", "M", _BV, _MEMO)
    if blades == 4:
        return RuleValue((70.0, 110.0), "deg", "from memory", "M", _BV, _MEMO)
    return clear_v_angles(blades)


def blade_line_up(angle_deg: Num, blades: Num) -> RuleValue:
    """How far the V angle is from the nearest multiple of 360/Z, degrees (0 = both legs cross two blades at
    once).

    Largest possible score is 180/Z.
    """
    pitch = 360.0 / np.asarray(blades, dtype=np.float64)
    away: Num = np.abs(angle_deg - pitch * np.round(np.asarray(angle_deg) / pitch))[()]
    return RuleValue(
        away,
        "deg",
        "calculated",
        "H",
        "principle in a public boat handbook: the legs must not line up with two blades",
        "the width of the avoided band is a choice, 8 to 10 degrees each side",
    )


def clear_v_angles(blades: int, low_deg: float = 45.0, high_deg: float = 135.0) -> RuleValue:
    """V angles half way between multiples of 360/Z inside [low, high], degrees, as a tuple (may be empty)."""
    pitch = 360.0 / blades
    found = tuple((k + 0.5) * pitch for k in range(blades) if low_deg <= (k + 0.5) * pitch <= high_deg)
    return RuleValue(found, "deg", "calculated", "H", "largest distance from multiples of 360/Z")


def built_up_factor() -> RuleValue:
    """Multiplier on c^2 t for a built-up (double-plate, welded) arm against a solid one: 2.15."""
    return RuleValue(
        2.15,
        "",
        "published",
        "H",
        "Japanese guidance for aluminium high-speed craft, shaft brackets",
        "the allowable stress is divided by 2.15 because of weld defects",
    )


def built_up_c2t(solid_c2t_mm3: Num) -> RuleValue:
    """Least chord^2 x thickness of a built-up arm, mm3, from the value that a solid arm would need."""
    rule = built_up_factor()
    return RuleValue(rule.value * solid_c2t_mm3, "mm3", rule.standing, rule.confidence, rule.source, rule.note)


def old_proportions(shaft_mm: Num, kind: ArmKind) -> RuleValue:
    """Older proportion rule, (chord, thickness) in mm: I 3.2 d and 0.52 d; V 2.3 d and 0.37 d."""
    return RuleValue(
        (_CHORD[kind] * shaft_mm, _THICKNESS[kind] * shaft_mm),
        "mm",
        "from memory",
        "L",
        "older small-craft proportion rule",
        "starting point only",
    )


def thickness_chord_band() -> RuleValue:
    """(lowest, usual low, usual high, highest) thickness/chord of a strut arm: 0.12, 0.15, 0.25, 0.45."""
    return RuleValue(
        (0.12, 0.15, 0.25, 0.45),
        "",
        "from memory",
        "M",
        "common practice for foil-shaped arms",
        "0.35 is met on stout short arms",
    )


def barrel_end_area_ratio() -> RuleValue:
    """Section area of a single arm at the barrel against that at the hull: not under 0.60."""
    return RuleValue(0.60, "", "from memory", "L", "BV/RINA steel ships, single-arm brackets", "hint only")


def hull_end_allowable() -> RuleValue:
    """Allowable bending plus axial stress in the arm at the hull under blade loss: 70 N/mm2 (ordinary
    steel)."""
    return RuleValue(70.0, "N/mm2", "from memory", "M", _BV, _MEMO)
