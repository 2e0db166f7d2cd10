"""How the parts of a welded joint stand to each other all round, and the throat of the weld that is left there.

Angles are those between the fusion faces, through the weld; a leg lies along each of these faces, from the line where
they meet to the toe, as the beads are modelled. On the round barrel the toe lies a leg away as the chord of its
outside, which opens the weld a little more. Numbers or arrays; mm, degrees.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import numpy as np

from strutwright.models.arrays import Num, Triple, Truth, cross, dot, plus, times
from strutwright.models.formulas import welds as rules
from strutwright.models.input_parts import ArmInputs, SkegInputs
from strutwright.models.inputs import Inputs
from strutwright.models.shop.arm_ends import LEAST_CUT_DEG

End = Literal["barrel", "palm"]


class Angles(NamedTuple):
    """Angles between the parts of a joint, degrees: at the sides where the arm is thickest, widest and narrowest of the
    two, and anywhere round its leading and trailing edges. uncut: whether the narrower side gets no groove."""

    side_wide: Num
    side_narrow: Num
    end_wide: Num
    end_narrow: Num
    uncut: Truth = False

    @property
    def lean_deg(self) -> Num:
        """How far the joint stands off square, all round."""
        wide, narrow = np.maximum(self.side_wide, self.end_wide), np.minimum(self.side_narrow, self.end_narrow)
        return np.maximum(wide - 90.0, 90.0 - narrow)


def arm_angles(inputs: Inputs, end: End, arm: ArmInputs) -> Angles:
    """Return the angles of an arm's joint with the barrel or its palm, all round. Follows from geometry.

    >>> tender = engineering_inputs("canal-tender")  # an arm of 14 on a barrel of 48, under a palm that leans 9 degrees
    >>> [round(float(angle), 2) for angle in arm_angles(tender, "barrel", tender.arms[0])[:4]]  # 90 and arcsin 14 / 48
    [106.96, 106.96, 106.96, 90.0]
    >>> [round(float(angle), 2) for angle in arm_angles(tender, "palm", tender.arms[0])[:4]]
    [90.0, 90.0, 99.0, 81.0]
    """
    across, along = _across(inputs, arm), arm.direction
    # How its sides lean toward each other and its edges, positive where the arm is larger at the barrel.
    thin = np.arctan((arm.thickness_barrel_mm - arm.thickness_palm_mm) / 2.0 / arm.length_mm)
    short = np.arctan((arm.chord_barrel_mm - arm.chord_palm_mm) / 2.0 / arm.length_mm)
    if end == "palm":
        normal = inputs.palms[arm.palm_index].normal
        into, over = dot(along, normal), np.abs(dot(across, normal))
        total = np.sqrt(np.maximum(1.0 - into * into, 0.0))
        forward = np.sqrt(np.maximum(1.0 - (arm.chord_into_palm * into) ** 2, 1e-12))
        flank = 90.0 - np.degrees(np.arcsin(np.minimum(arm.cut * over / forward, 1.0)))
        return Angles(
            _angle(-over, into, thin),
            _angle(over, into, thin),
            _angle(-total, into, short),
            _angle(total, into, short),
            flank - (90.0 - inputs.weld_prep_angle_deg) < LEAST_CUT_DEG,
        )
    clock = np.radians(arm.clock_deg)
    out: Triple = (0.0, np.sin(clock), np.cos(clock))
    sideways, turned = np.abs(across[1] * out[2] - across[2] * out[1]), np.abs(dot(across, out))
    chordwise = np.abs(dot(cross(across, along), (0.0, out[2], -out[1])))
    reach = arm.thickness_barrel_mm * sideways + arm.chord_barrel_mm * chordwise
    slope = np.minimum(reach / inputs.barrel_outside_mm, 1.0)
    level, upright = np.sqrt(1.0 - slope * slope), dot(along, out)
    into = level * upright
    return Angles(
        _angle(-(slope * sideways + level * turned), into, -thin),
        _angle(-(slope * sideways - level * turned), into, -thin),
        _angle(-np.sqrt(np.maximum(1.0 - into * into, 0.0)), into, -short),
        _angle(np.sqrt(np.maximum(1.0 - upright * upright, 0.0)), upright, -short),
    )


def skeg_angles(skeg: SkegInputs, outside_mm: Num) -> Angles:
    """Return the angles of the fin's joint with the barrel, outside_mm wide: at its sides, and at its edges, which
    lean.

    >>> yawl = engineering_inputs("yawl-with-heel")
    >>> round(float(skeg_angles(yawl.skeg, yawl.barrel_outside_mm).side_wide), 2)
    107.53
    """
    deep = skeg.depth_mm - outside_mm / 2.0
    thin = np.arctan((skeg.thickness_root_mm - skeg.thickness_tip_mm) / 2.0 / deep)
    slope = np.minimum(skeg.thickness_root_mm / outside_mm, 1.0)
    level = np.sqrt(1.0 - slope * slope)
    behind = skeg.root_forward_x_mm - skeg.sweep_mm - skeg.tip_chord_mm - skeg.root_aft_x_mm
    upright = 1.0 / np.sqrt(1.0 + (np.maximum(np.abs(skeg.sweep_mm), np.abs(behind)) / deep) ** 2)
    into, side = level * upright, _angle(-slope, level, -thin)
    return Angles(
        side,
        side,
        np.degrees(np.arccos(-np.sqrt(1.0 - into * into))),
        np.degrees(np.arccos(np.sqrt(1.0 - upright * upright))),
    )


def _across(inputs: Inputs, arm: ArmInputs) -> Triple:
    """Unit vector out of an arm's side."""
    pitch, toe = np.radians(inputs.pitch_deg), np.radians(arm.toe_deg)
    forward: Triple = (np.cos(pitch), 0.0, -np.sin(pitch)) if arm.along_flow else (1.0, 0.0, 0.0)
    across = cross(arm.direction, forward)
    across = times(1.0 / np.sqrt(dot(across, across)), across)
    return plus(times(np.cos(toe), across), times(np.sin(toe), cross(arm.direction, across)))


def _angle(over: Num, into: Num, taper: Num) -> Num:
    """Angle between a face and the part it stands on, degrees: over, into: what the face's normal and the arm's axis
    have along the part's, into it; taper: how far the face leans from the axis, radians."""
    angle: Num = np.degrees(np.arccos(np.clip(np.cos(taper) * over + np.sin(taper) * into, -1.0, 1.0)))
    return angle


def throat_mm(
    inputs: Inputs, leg_mm: Num, plate_mm: Num, between_deg: Num = 90.0, *, grooved: bool = True, round_mm: Num = np.inf
) -> Num:
    """Return the throat of one side's weld, mm: of a fillet, or from the root face of a double bevel to the bead, half
    the plate at most. A side of a prepared joint that gets no groove (grooved False) keeps a fillet, less the root gap.

    between_deg: between the parts; round_mm: diameter of a round part that it stands on.

    >>> round(float(throat_mm(engineering_inputs("canal-tender"), 6.0, 14.0)), 3)  # a fillet of 6 on a square joint
    4.243
    """
    if inputs.weld_prep != "double_bevel":
        return fillet_mm(leg_mm, between_deg, round_mm)
    if not grooved:
        return fillet_mm(leg_mm - inputs.weld_root_gap_mm, between_deg, round_mm)
    depth = np.maximum((plate_mm - inputs.weld_root_face_mm) / 2.0, 0.0)
    counted = np.where(goes_through(inputs, plate_mm), depth, np.maximum(depth - 2.0, 0.0))
    faces = between_deg + opened_deg(leg_mm, round_mm)
    return np.minimum(rules.groove_throat_mm(leg_mm, counted, faces), plate_mm / 2.0)


def deposit_mm2(inputs: Inputs, leg_mm: Num, plate_mm: Num) -> Num:
    """Return the area of the weld on one side of a square joint, mm2: the fillet, and below it the groove of a double
    bevel to its root face with the root gap as deep. Follows from geometry.

    >>> float(deposit_mm2(engineering_inputs("coaster-steel"), 28.0, 80.0))  # 28^2 / 2, and 38 x (38 / 2 + 2)
    1190.0
    """
    fillet = leg_mm * leg_mm / 2.0
    if inputs.weld_prep != "double_bevel":
        return fillet
    deep = np.maximum(plate_mm - inputs.weld_root_face_mm, 0.0) / 2.0
    return fillet + deep * (deep / 2.0 / np.tan(np.radians(inputs.weld_prep_angle_deg)) + inputs.weld_root_gap_mm)


def goes_through(inputs: Inputs, plate_mm: Num) -> Truth:
    """Return whether a double bevel counts as full penetration: a root face of more than a fifth of the plate, or 3 mm,
    never does (EN 1993-1-8 4.7.3).

    >>> bool(goes_through(engineering_inputs("coaster-steel"), 80.0))  # a root face of 4 mm
    False
    """
    if inputs.weld_prep != "double_bevel":
        return False
    through: Truth = inputs.weld_root_face_mm <= np.minimum(plate_mm / 5.0, 3.0)
    return through


def fillet_mm(leg_mm: Num, between_deg: Num, round_mm: Num = np.inf) -> Num:
    """Return the throat of a plain fillet that counts, mm; as good as none where its root is not reached.

    >>> round(float(fillet_mm(6.0, 106.96, 48.0)), 3)  # 6 cos of half of 106.96 and arcsin 6 / 48
    3.262
    """
    faces = between_deg + opened_deg(leg_mm, round_mm)
    throat: Num = np.maximum(rules.throat_mm(leg_mm, faces) - rules.not_reached_mm(between_deg), _NONE_MM)
    return throat


_NONE_MM = 1e-3


def opened_deg(leg_mm: Num, round_mm: Num) -> Num:
    """Return how much wider the chord of a leg on a round part opens a weld than the face there does, degrees.

    >>> round(float(opened_deg(12.0, 48.0)), 3)  # arcsin of a quarter
    14.478
    """
    opened: Num = np.degrees(np.arcsin(np.minimum(leg_mm / round_mm, 1.0)))
    return opened


class Throats(NamedTuple):
    """What a weld has all round: the flanks of its two sides and of its ends, each the ones that may govern."""

    sides: tuple[rules.Flank, ...]
    ends: tuple[rules.Flank, ...]

    @property
    def least_mm(self) -> Num:
        """The least throat all round."""
        found: Num = np.minimum.reduce(np.broadcast_arrays(*(f.throat_mm for f in (*self.sides, *self.ends))))
        return found


def throats(inputs: Inputs, angles: Angles, leg_mm: Num, plate_mm: Num, round_mm: Num = np.inf) -> Throats:
    """Return the flanks of a joint by its angles. Of two plain fillets the one on the wider side always governs, down
    to where the root of the narrower is not surely reached.

    >>> tender = engineering_inputs("canal-tender")
    >>> angles = arm_angles(tender, "palm", tender.arms[0])
    >>> round(float(throats(tender, angles, 7.0, 14.0).least_mm), 3)  # the leading edge at 99 degrees
    4.546
    """
    bevelled, opened = inputs.weld_prep == "double_bevel", opened_deg(leg_mm, round_mm)

    def flank(between: Num, uncut: Truth = False) -> rules.Flank:
        throat = throat_mm(inputs, leg_mm, plate_mm, between, round_mm=round_mm)
        if bevelled and np.any(uncut):
            plain = throat_mm(inputs, leg_mm, plate_mm, between, grooved=False, round_mm=round_mm)
            throat = np.where(uncut, plain, throat)
        faces = between + opened
        if bevelled:  # a weld through the whole plate breaks square to the plate, as one between two plates in line
            faces = np.where(throat < plate_mm / 2.0, faces, 180.0)
        return rules.flank(throat, faces)

    made = []
    for wide, narrow, uncut in (
        (angles.side_wide, angles.side_narrow, angles.uncut),
        (angles.end_wide, angles.end_narrow, False),
    ):
        both = bevelled or bool(np.any(np.asarray(narrow) < rules.SHARP_DEG))
        made.append((flank(wide), flank(narrow, uncut)) if both else (flank(wide),))
    return Throats(*made)


def arm_throats(inputs: Inputs, end: End, arm: ArmInputs) -> Throats:
    """Return the flanks of an arm's joint with the barrel or its palm.

    >>> tender = engineering_inputs("canal-tender")  # 6 cos of half of 106.96 and arcsin 6 / 48
    >>> round(float(arm_throats(tender, "barrel", tender.arms[0]).least_mm), 3)
    3.262
    """
    angles = arm_angles(inputs, end, arm)
    if end == "barrel":
        return throats(inputs, angles, arm.barrel_root_mm, arm.thickness_barrel_mm, inputs.barrel_outside_mm)
    thickness = arm.size_at(arm.water_mm)[1]
    return throats(inputs, angles, arm.palm_root_mm, thickness)


def skeg_throats(inputs: Inputs, skeg: SkegInputs) -> Throats:
    """Return the flanks of the fin's joint with the barrel, which has no edge prepared.

    >>> yawl = engineering_inputs("yawl-with-heel")
    >>> round(float(skeg_throats(yawl, yawl.skeg).sides[0].throat_mm), 2)  # of a leg of 12.5
    6.61
    """
    outside, leg = inputs.barrel_outside_mm, skeg.root_mm
    opened = opened_deg(leg, outside)
    flanks = [rules.flank(fillet_mm(leg, at, outside), at + opened) for at in skeg_angles(skeg, outside)[:4]]
    return Throats(tuple(flanks[:2]), tuple(flanks[2:]))
