"""Where a bearing housing may crack by fatigue: the root of its flange, the mouth it is let into, a shoe's plate.

The stresses are those of the strength of each kind, of unit loads; what its strength leaves out is left out here. A
notch factor is that of a flat bar with a shoulder on both sides, which is never under that of a round one (Peterson).
Bolts are not among the places: as their preload is left out, what it spares them is not known. Those of a hanger are
the strut's, its web being the arm.
"""

from __future__ import annotations

import functools

import numpy as np

from strutwright.models import flange_hold, shoe_hold
from strutwright.models.arrays import Num, greatest
from strutwright.models.checks.strength import flange, let_in, shoe
from strutwright.models.checks.strength.fatigue_places import Loads, Place, place_of
from strutwright.models.checks.strength.load_cases import Group, Reply
from strutwright.models.formulas import fatigue as rules
from strutwright.models.formulas import welds as welding
from strutwright.models.inputs import Inputs
from strutwright.params.tables.fatigue import Detail

_HOLLOW: Detail = "drilled hole"
"""What a hole, slot or net section is by its curve."""
_WIDE = 3.0
"""Widths beyond which a shoulder is no sharper."""


def housing_places(inputs: Inputs, loads: Loads) -> list[Place]:
    """Return the places of a housing or a shoe that may crack; none of one that is let in and not welded.

    >>> from strutwright.models.checks.strength import fatigue
    >>> [p.code for p in fatigue.places(engineering_inputs("deadwood-cutter"))]  # last its barrel at the water slots
    ['fatigue_flange', 'fatigue_barrel_at_flange', 'fatigue_barrel_at_flange']
    """
    if inputs.shoe is not None:
        return _of_shoe(inputs, loads)
    if inputs.flange is not None:
        return _of_flange(inputs, loads)
    return _of_let_in(inputs, loads) if inputs.let_in is not None and inputs.let_in.hold == "welded" else []


def flange_notch(inputs: Inputs) -> tuple[Num, Num]:
    """Return the notch factors of a cast root: in the flange, bent at the toe, and in the barrel, pulled there.

    >>> [round(float(k), 2) for k in flange_notch(engineering_inputs("deadwood-cutter"))]  # radius 6 on 14, and on 67
    [1.29, 2.79]
    """
    own, plate = flange_hold.own(inputs)
    across = 2.0 * np.minimum(*plate.half_mm)
    return (
        rules.shoulder_in_bending(_WIDE * plate.thickness_mm, plate.thickness_mm, own.root_mm),
        rules.shoulder_in_tension(across, inputs.barrel_outside_mm, own.root_mm),
    )


def _of_flange(inputs: Inputs, loads: Loads) -> list[Place]:
    own, plate = flange_hold.own(inputs)
    wall, thick = inputs.barrel_wall_mm, plate.thickness_mm
    at_flange = "fatigue_flange", "flange at its root"
    at_barrel = "fatigue_barrel_at_flange", "barrel at the flange"
    bent, tube = flange.bending_reply(inputs), flange.barrel_reply(inputs)
    out = []
    if inputs.construction == "welded":
        out.append(place_of(inputs, loads, thick, *at_flange, "weld toe", bent))
        out.append(place_of(inputs, loads, wall, *at_barrel, "weld toe", tube))
        open_mm = 1.0 / np.maximum(flange.least_throat_mm(inputs), 1e-9)
        line = flange.weld_line_reply(inputs)
        in_weld = "fatigue_weld_flange", "weld of the flange"
        out.append(place_of(inputs, loads, thick, *in_weld, "weld root", line, factor=open_mm))
    else:
        in_flange, in_barrel = flange_notch(inputs)
        out.append(place_of(inputs, loads, thick, *at_flange, "cast fillet", bent, in_flange))
        out.append(place_of(inputs, loads, wall, *at_barrel, "cast fillet", tube, in_barrel))
    slotted = np.asarray(own.slots_mm) > 0.0
    if np.any(slotted):
        at_slots = at_barrel[0], "barrel at its water slots"
        out.append(place_of(inputs, loads, wall, *at_slots, _HOLLOW, tube, np.where(slotted, 1.0, 0.0)))
    return out


def _of_let_in(inputs: Inputs, loads: Loads) -> list[Place]:
    """The weld at the mouth; a housing that is only pressed or bedded has no root."""
    toe = let_in.mouth_reply(inputs)
    line, throat = let_in.weld_line_reply(inputs), welding.throat_mm(let_in.own(inputs).weld_leg_mm)
    at = functools.partial(place_of, inputs, loads, inputs.barrel_wall_mm)
    return [
        at("fatigue_let_in", "housing at the mouth", "weld toe", toe),
        at("fatigue_weld_let_in", "weld at the mouth", "weld root", line, 1.0 / np.maximum(throat, 1e-9)),
    ]


def _of_shoe(inputs: Inputs, loads: Loads) -> list[Place]:
    """The plate at the boss, the plate forward of it as far as the aftmost fasteners, and the weld round the boss."""
    own, plate = flange_hold.own(inputs)
    thick = plate.thickness_mm
    at = functools.partial(place_of, inputs, loads, thick)
    root = "fatigue_shoe_boss", "plate at the boss"
    welded = inputs.construction == "welded"
    notch: Num = 1.0 if welded else rules.shoulder_in_bending(_WIDE * thick, thick, own.root_mm)
    out = [
        at(*root, "weld toe" if welded else "cast fillet", _in_plate(inputs, slice(1)), notch),
        at("fatigue_shoe_plate", "plate at the aftmost fasteners", _HOLLOW, _in_plate(inputs, slice(1, None))),
    ]
    if welded:
        open_mm = 1.0 / np.maximum(flange.least_throat_mm(inputs), 1e-9)
        out.append(at("fatigue_weld_shoe", "weld round the boss", "weld root", _round_boss(inputs), open_mm))
    return out


def _in_plate(inputs: Inputs, which: slice) -> Reply:
    """The worst stress in some of the sections of a shoe's plate, MPa per N of the rudder's force and of its weight."""

    def reply(group: Group, clock_deg: float | None) -> Num:
        if group not in ("heel", "propeller"):
            return 0.0
        side = 1.0 if group == "heel" else 0.0
        return greatest(shoe.sections_mpa(inputs, side, 1.0 - side)[which])

    return reply


def _round_boss(inputs: Inputs) -> Reply:
    """The nominal force in the weld round a shoe's boss, N per mm and unit load."""
    _, _, plate = shoe_hold.own(inputs)
    line, lever = flange.round_weld(inputs), np.abs(shoe_hold.below_mm(inputs) - plate.thickness_mm)
    side = welding.whole_at_corner(line, (1.0, 0.0, 0.0), (lever, 0.0, 0.0))
    down = welding.whole_at_corner(line, (0.0, 0.0, 1.0), (0.0, 0.0, 0.0))
    felt: dict[Group, Num] = {"heel": side, "propeller": down}
    return lambda group, clock_deg: felt.get(group, 0.0)
