"""How a rudder shoe hangs on its fasteners: the force at the heel, and what it pulls and shears them with.

The plate is rigid on a bed that pushes only, with fasteners that pull only; as a plate bends, only fasteners within a
reach of the pressed edge are counted on, and as it twists, what tips it sideways gathers at the keel's end. What
friction of the bedding carries is left out, and so is the preload, on the safe side; ribs are not counted on. Held
against plates with contact, the boss a rigid foot, on 55 shoes drawn by chance, fasteners in one row or two, spreads of
a fifth to twice the half width: no fastener pulled harder than is said with its prying, nor did any edge press harder,
one that pries among them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from strutwright.models import flange_hold
from strutwright.models.arrays import Num, greatest
from strutwright.models.formulas import bolts as bolting
from strutwright.models.formulas import flange as flanges
from strutwright.models.formulas import palm_bed, skeg_loads
from strutwright.models.formulas import shoe as rules
from strutwright.models.hull_bed import bed_n_mm3
from strutwright.models.input_parts import FlangeInputs, PalmInputs, ShoeInputs
from strutwright.models.inputs import Inputs
from strutwright.params.quantity import GRAVITY_M_S2

Way = Literal["up", "down", "side"]
REACH = 2.0
"""Spreads of the plate on its bed, from the pressed edge, within which fasteners are counted on; common practice."""
OF_LENGTH = 0.8
"""Share of the plate on the keel, likewise: of plates with contact."""
BENT, BENT_PULLS = 1.25, 1.15
"""Pressure under a plate that bends, and pull of a fastener with its prying, over those of one that only tips and
twists: of plates with contact."""


@dataclass(frozen=True, slots=True)
class Hang:
    """What a newton at the heel does: the greatest pull of a fastener of a plate that does not bend, N, which pries on
    it, that where it twists, N, with its prying in it, and the greatest pressure on the keel, MPa."""

    pull: Num
    twisted: Num
    pressure: Num

    def pulled(self, pried: Num) -> Num:
        """Return the greatest pull, N; pried: how many times harder a plate pulls by prying."""
        return np.maximum(self.pull * pried, self.twisted)


def own(inputs: Inputs) -> tuple[ShoeInputs, FlangeInputs, PalmInputs]:
    """Return the shoe as such, as a flange and as a plate.

    >>> shoe, flange, plate = own(engineering_inputs("creek-yawl"))
    >>> shoe.keel_end_mm, flange.fastener, plate.bolt_count
    (150.0, 'through_bolt', 12)
    """
    assert inputs.shoe is not None
    assert inputs.flange is not None
    return inputs.shoe, inputs.flange, inputs.palms[0]


def rudder_n(inputs: Inputs) -> Num:
    """Return the rudder force, N, by the form of IACS UR S10: foil rudder in the jet, ahead; nan where not known.

    >>> round(float(rudder_n(engineering_inputs("creek-yawl"))), 1)  # 132 x 4 / 3 x 1.1 x 0.3 m2 x 9^2
    4704.5
    """
    height = inputs.rudder_height_mm / 1000.0
    by_limit = inputs.limit("rudder_aspect")
    aspect = np.where(np.isnan(height), by_limit, height * height / inputs.rudder_m2)
    return skeg_loads.rudder_force_n(inputs.rudder_m2, inputs.boat_speed_kn, aspect)


def weight_n(inputs: Inputs) -> Num:
    """Return the weight of the rudder on the shoe, N; none where the file does not say it.

    >>> round(float(weight_n(engineering_inputs("creek-yawl"))), 1)  # 28 kg
    274.6
    """
    return np.where(np.isnan(inputs.rudder_kg), 0.0, inputs.rudder_kg) * GRAVITY_M_S2


def below_mm(inputs: Inputs) -> Num:
    """Return how far the middle of the bush lies from the plate's upper face along the stock, mm; down positive.

    >>> float(below_mm(engineering_inputs("creek-yawl")))  # 22 + 38 / 2, the face 4 below the boss's own
    37.0
    """
    _, flange, _ = own(inputs)
    return inputs.bearing_x_mm - flange.face_x_mm


def bush_length_mm(inputs: Inputs) -> Num:
    """Return the length of the bush that the stock bears in, mm.

    >>> float(bush_length_mm(engineering_inputs("creek-yawl")))
    38.0
    """
    shoe, _, _ = own(inputs)
    top = inputs.bearing_x_mm + inputs.barrel_length_mm / 2.0 - inputs.bearing_length_mm / 2.0
    return np.maximum(np.minimum(inputs.bearing_length_mm, shoe.entry_mm - top), 1e-6)


def wide_mm(inputs: Inputs) -> Num:
    """Return how wide the plate bears on the keel, mm: as the plate at the keel's end, or as the keel.

    >>> round(float(wide_mm(engineering_inputs("creek-yawl"))), 3)
    120.0
    """
    shoe, _, _ = own(inputs)
    wide = np.where(np.isnan(shoe.keel_width_mm), shoe.keel_end_width_mm, shoe.keel_width_mm)
    return np.maximum(np.minimum(wide, shoe.keel_end_width_mm), 1.0)


def hang(inputs: Inputs, way: Way) -> Hang:
    """Return what a newton at the heel does: from below, which presses the plate at the keel's end (up); the weight of
    the rudder, which presses it ahead of the aftmost fasteners (down); or from the side, over a side of the keel. At
    the worse end of the bed's range.

    >>> yawl = engineering_inputs("creek-yawl")
    >>> bool(hang(yawl, "up").pull > hang(yawl, "side").pull)
    True
    """
    shoe, _, plate = own(inputs)
    u, v = zip(*flange_hold.holes_of(plate), strict=True)
    half = wide_mm(inputs) / 2.0
    long = np.maximum(plate.forward_mm - shoe.keel_end_mm, 1.0)
    spring, pulls, pressures = flange_hold.grip_spring_n_mm(inputs), [], []
    twisted: list[Num] = [0.0]
    for bed in bed_n_mm3(inputs, plate):
        strip = palm_bed.plate_bending_nmm(inputs.strut.modulus_mpa, plate.thickness_mm)
        reach = REACH * palm_bed.spread_mm(strip, bed)
        width, length, sides = 2.0 * half, long, [[a - shoe.keel_end_mm for a in u]]
        lever: Num = shoe.keel_end_mm
        if way == "down":
            lever = np.minimum(plate.forward_mm, shoe.sections_mm[-1] + reach)
            sides = [[lever - a for a in u]]
        elif way == "side":
            width, length, lever = long, 2.0 * half, np.abs(below_mm(inputs))
            sides = [[b + half for b in v], [half - b for b in v]]
        for side in sides:
            nearest = -greatest([-y for y in side])
            within = reach if way == "side" else np.minimum(reach, OF_LENGTH * long)
            most = np.inf if way == "down" else np.maximum(within, nearest + 1e-6)
            counted: list[Num] = [np.where(y <= most, y, -1.0) for y in side]
            axis = palm_bed.neutral_axis_mm(counted, [spring] * len(side), bed * width)
            each, edge, turning = flanges.tipped_flange(counted, spring, length, bed * width, axis)
            hardest = greatest(each)
            gathered: Num = 1.0
            if way == "side":
                hardest = hardest + _off_middle(u, sum(each), (shoe.keel_end_mm + plate.forward_mm) / 2.0)
                gathered = _gathered(inputs, turning, long)
                twisted.append(lever * BENT_PULLS * _alone(counted, each, axis, gathered))
            pulls.append(lever * hardest)
            pressures.append(BENT * gathered * lever * edge / width)
    return Hang(greatest(pulls), greatest(twisted), greatest(pressures))


def _gathered(inputs: Inputs, turning_nmm: Num, long_mm: Num) -> Num:
    """How many times harder the plate is held at the keel's end than a rigid one, as it twists."""
    _, _, plate = own(inputs)
    twists = inputs.strut.shear_mpa * rules.flat_bar_twist_mm4(wide_mm(inputs), plate.thickness_mm)
    return rules.twist_gathered(turning_nmm, long_mm, twists)


def _alone(rows_mm: Sequence[Num], each: Sequence[Num], axis_mm: Num, gathered: Num) -> Num:
    """The hardest pull where the plate twists: gathered, but none more than all of it, which it then has alone."""
    lifts = [np.maximum(y - axis_mm, 0.0) for y in rows_mm]
    return greatest(
        [
            np.where(up > 0.0, np.minimum(gathered * pull, 1.0 / (up + 2.0 / 3.0 * axis_mm)), 0.0)
            for pull, up in zip(each, lifts, strict=True)
        ]
    )


def _off_middle(u_mm: Sequence[Num], whole: Num, bed_mm: Num) -> Num:
    """What the hardest pulled fastener has beyond the others where their middle is not that of the bed: the whole pull
    times that distance, taken by the fasteners alone."""
    middle = flange_hold.mean(list(u_mm))
    away = [u - middle for u in u_mm]
    turning = sum(a * a for a in away)
    off: Num = whole * np.abs(bed_mm - middle) * greatest([np.abs(a) for a in away]) / np.maximum(turning, 1e-9)
    return off


def shear_per_n(inputs: Inputs) -> Num:
    """Return the shear (N) of the most loaded fastener per newton sideways at the heel: its share, and its share of the
    twist about the middle of the fasteners.

    >>> round(float(shear_per_n(engineering_inputs("creek-yawl"))), 3)  # 1 / 12, and 320 of lever
    0.524
    """
    _, _, plate = own(inputs)
    u, v = zip(*flange_hold.holes_of(plate), strict=True)
    group = bolting.bolt_group(
        u, v, plate.aft_mm, plate.forward_mm, plate.starboard_mm, plate.port_mm, plate.edge_lost_mm
    )
    return bolting.shear_n(group, (0.0, 1.0, 0.0, 0.0, 0.0, 0.0))


def net_widths_mm(inputs: Inputs) -> list[Num]:
    """Return how wide the plate is at each section that is looked at, less the holes of the aftmost row at the last.

    >>> [round(float(w), 2) for w in net_widths_mm(engineering_inputs("creek-yawl"))][-1]  # 120 less two sunk heads
    83.6
    """
    shoe, _, plate = own(inputs)
    sunk = np.minimum(inputs.bolt_head_depth_mm, plate.thickness_mm) / plate.thickness_mm
    head = np.maximum(inputs.bolt_head_mm - inputs.bolt_hole_mm, 0.0)
    hole = inputs.bolt_hole_mm + head * np.where(np.asarray(inputs.bolt_head_depth_mm) > 0.0, sunk, 0.0)
    last = np.maximum(shoe.widths_mm[-1] - shoe.row_holes * hole, 1e-3)
    return [np.maximum(w, 1e-3) for w in shoe.widths_mm[:-1]] + [last]


def give_mm_n(inputs: Inputs) -> Num:
    """Return how far the heel goes sideways (mm) per newton there: the plate bent and twisted, held at the aftmost
    fasteners; keel and fasteners are left out, so that it is the least.

    >>> bool(0.0 < give_mm_n(engineering_inputs("creek-yawl")) < 1e-3)
    True
    """
    shoe, _, plate = own(inputs)
    widths, t = net_widths_mm(inputs), plate.thickness_mm
    bent = rules.cantilever_give_mm_n(shoe.sections_mm, [t * w**3 / 12.0 for w in widths], inputs.strut.modulus_mpa)
    least = -greatest([-w for w in widths])
    lever, free = below_mm(inputs) - t / 2.0, shoe.sections_mm[-1] - shoe.sections_mm[0]
    turned = lever * lever * free / (inputs.strut.shear_mpa * least * t**3 / 3.0 * 0.6)
    out: Num = bent + turned
    return out
