"""The sizes that stand where a file leaves them out, and the steps they are rounded to. Pure numpy.

One home for these rules: a file is resolved by them, and so are the arrays of sizes of a study or a search. Those for
arrays broadcast; floats in give a float out. Lengths are mm. Where no source is named the rule is common practice of
the trade, not a standard.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.formulas.bearing import stiff_closure_mm
from strutwright.params import tables
from strutwright.params.limits import Limits
from strutwright.params.quantity import INCH_MM

LEAST_WALL_MM = 0.2
"""An outside that is no larger than the bore by this leaves no wall."""
_USUAL_CLEARANCE = 0.003
"""Usual running clearance as a share of the shaft; common practice, no source."""
USUAL_DRAFT_DEG = 1.5
"""Draft on a pattern, whatever the height of its faces; common practice, no source."""


def as_given(value: Num) -> Num:
    """Return an array as it is, one size as a float.

    >>> as_given(np.float64(2.0))
    2.0
    """
    return value if np.ndim(value) else float(value)


# --- steps of the shop ----------------------------------------------------------------------------------------------


def whole_step_mm(*, inch: bool) -> float:
    """Return the step of sizes cut to a line: 1 mm, or 1/16 in for a file in inches.

    >>> whole_step_mm(inch=True)  # 25.4 / 16
    1.5875
    """
    return INCH_MM / 16 if inch else 1.0


def half_step_mm(*, inch: bool) -> float:
    """Return the step of small sizes, as legs and fillets are: 0.5 mm, or 1/32 in for a file in inches.

    >>> half_step_mm(inch=True)  # 25.4 / 32
    0.79375
    """
    return INCH_MM / 32 if inch else 0.5


def up_mm(value_mm: Num, step_mm: float) -> Num:
    """Return a size (mm) rounded up to a step (mm); one that is a millionth of a step over it stays.

    >>> up_mm(74.2, 0.5)
    74.5
    """
    return as_given(np.ceil(value_mm / step_mm - 1e-6) * step_mm)


def down_mm(value_mm: Num, step_mm: float) -> Num:
    """Return a size (mm) rounded down to a step (mm); one that is a millionth of a step under it is that step.

    >>> down_mm(74.7, 0.5)
    74.5
    """
    return as_given(np.floor(value_mm / step_mm + 1e-6) * step_mm)


def near_mm(value_mm: Num, step_mm: float) -> Num:
    """Return a size (mm) rounded to the nearest step (mm), never to nothing.

    >>> near_mm(74.2, 0.5)
    74.0
    """
    return as_given(np.maximum(np.round(value_mm / step_mm), 1.0) * step_mm)


# --- barrel ---------------------------------------------------------------------------------------------------------


def wall_mm(shaft_mm: float, screw_mm: float, family: str, limits: Limits) -> float:
    """Return the barrel's wall (mm): the least by its limits, and 1.1 times what the set screw's thread wants in a
    strut of this family of metals.

    >>> wall_mm(40.0, 8.0, "bronze", standard())  # 40 / 4; the thread of an M8 wants 8.8
    10.0
    """
    return max(wall_share(limits) * shaft_mm, screw_share(family, limits) * screw_mm)


def wall_share(limits: Limits) -> float:
    """Return the least wall over the shaft's diameter.

    >>> wall_share(standard())
    0.25
    """
    return max(limits["barrel_wall"].value, limits["barrel_wall_hard"].value)


SCREW_SPARE = 1.1
"""Wall by rule over what the thread of a set screw wants at least."""


def screw_share(family: str, limits: Limits) -> float:
    """Return the wall over the diameter of a set screw: a tenth more than its thread wants at least, in a strut of this
    family of metals.

    >>> screw_share("bronze", standard()), round(screw_share("aluminium", standard()), 2)
    (1.1, 1.65)
    """
    return SCREW_SPARE * limits["screw_thread_aluminium" if family == "aluminium" else "screw_thread"].value


def entry_length_mm(shaft_mm: float, step_mm: float) -> float:
    """Return the length (mm) of the chamfer where the bearing goes in: 0.06 of the shaft, 2 mm to 5 mm.

    >>> entry_length_mm(50.0, 0.5)  # 0.06 x 50
    3.0
    """
    return float(near_mm(min(max(0.06 * shaft_mm, 2.0), 5.0), step_mm))


def tube_tolerance_mm(outside_mm: float) -> float:
    """Return how far (mm) a seamless tube's outside may be off: 1 %, at least 0.5 mm; from memory of EN 10216-5.

    >>> tube_tolerance_mm(80.0)
    0.8
    """
    return max(0.5, 0.01 * outside_mm)


# --- bearing and set screws -----------------------------------------------------------------------------------------


def bearing_length_shafts(limits: Limits) -> float:
    """Return a bearing's length over the shaft's diameter: four, or what the limits ask for.

    >>> bearing_length_shafts(standard())
    4.0
    """
    return max(4.0, limits["bearing_length"].value, limits["bearing_length_hard"].value)


def running_clearance_mm(shaft_mm: float, pressed_mm: tuple[float, float], limits: Limits) -> float:
    """Return a new bearing's bore less the shaft (mm): 0.003 of the shaft, at least 0.08 mm, or what the limits allow.

    pressed_mm: what pressing the bearing in takes of it in the middle of its fit, and at most. Where the usual
    clearance does not leave the least that is usual at the middle, it leaves that, and the least of all at the most, to
    a hundredth; more than the greatest only for the least of all.

    >>> running_clearance_mm(40.0, (0.026, 0.051), standard())  # 0.1 is left at the middle
    0.13
    """
    most = max(limits["clearance_most"].value * shaft_mm, limits["clearance_most_small"].value)
    usual, least = min(usual_clearance_mm(shaft_mm), most), least_clearance_mm(shaft_mm, limits)
    middle, tightest = pressed_mm
    wanted = wanted_clearance_mm(shaft_mm, limits) + middle
    if usual >= wanted:
        return usual
    at_most, at_middle = (round(float(up_mm(size, 0.01)), 2) for size in (least + tightest, wanted))
    enough = usual if usual >= least + middle else at_most
    return max(enough, min(max(at_middle, at_most), most))


def usual_clearance_mm(shaft_mm: float) -> float:
    """Return the usual running clearance (mm): 0.003 of the shaft, at least 0.08 mm.

    >>> usual_clearance_mm(40.0)
    0.12
    """
    return max(0.08, _USUAL_CLEARANCE * shaft_mm)


def wear_limit_mm(shaft_mm: Num, to_40_mm: Num, half_flutes_mm: Num) -> Num:
    """Return the clearance (mm on the diameter) at which a bearing is renewed: the one limit of wear.

    to_40_mm: that of shafts to 40 mm, where such limits are told; a larger shaft has more by as much as its usual
    clearance when new is more. half_flutes_mm: the clearance with flutes worn to half, never beyond which.

    >>> [round(wear_limit_mm(d, 0.79, 1.2), 3) for d in (30.0, 40.0, 90.0)], wear_limit_mm(30.0, 0.79, 0.6)
    ([0.79, 0.79, 0.94], 0.6)
    """
    by_shaft = to_40_mm + _USUAL_CLEARANCE * np.maximum(np.asarray(shaft_mm) - 40.0, 0.0)
    return as_given(np.minimum(by_shaft, half_flutes_mm))


def usual_interference_mm(outside_mm: float) -> tuple[float, float]:
    """Return how much larger (mm) than its bore a bearing is pressed in, middle and most: H7/p6, a light press fit.
    Raises NotInTable for a size without limits.

    >>> usual_interference_mm(32.0)  # p6 +26 to +42, H7 0 to +25
    (0.0215, 0.042)
    """
    bore, shell = (tables.iso286(symbol, outside_mm) for symbol in ("H7", "p6"))
    middle = shell.upper_um + shell.lower_um - bore.upper_um - bore.lower_um
    return round(middle / 2000, 4), round((shell.upper_um - bore.lower_um) / 1000, 4)


def closure_mm(pressed_mm: tuple[float, float], shaft_mm: float, shell_bore_mm: float) -> tuple[float, float]:
    """Return what pressing a bearing in takes of its bore at most (mm), middle and most of the fit: its shell gives way
    by all of the interference, and its rubber keeps its volume.

    >>> middle, most = closure_mm((0.02, 0.04), 35.0, 42.0)
    >>> round(middle, 3), round(most, 3)
    (0.024, 0.048)
    """
    middle, most = (stiff_closure_mm(size, max(shell_bore_mm, shaft_mm), shaft_mm) for size in pressed_mm)
    return float(middle), float(most)


def least_clearance_mm(shaft_mm: float, limits: Limits) -> float:
    """Return the least clearance (mm) of a shaft in its bearing, new and once pressed in.

    >>> least_clearance_mm(40.0, standard())  # 0.04 or 0.05
    0.05
    """
    return max(limits["clearance_least"].value * shaft_mm, limits["clearance_floor"].value)


def wanted_clearance_mm(shaft_mm: float, limits: Limits) -> float:
    """Return the clearance (mm) under which a bearing warns, new and once pressed in at the middle of its fit.

    >>> wanted_clearance_mm(40.0, standard())
    0.1
    """
    return max(least_clearance_mm(shaft_mm, limits), limits["clearance_usual"].value * shaft_mm)


def dimple_share(limits: Limits) -> float:
    """Return the depth of a screw's dimple over the shell: a half, or the most that the limits allow.

    >>> dimple_share(standard())
    0.5
    """
    return min(0.5, limits["dimple"].value)


def dimple_mm(shell_mm: float, limits: Limits) -> float:
    """Return the depth (mm) of a screw's dimple in a shell, to the nearest hundredth that is no deeper than allowed.

    >>> dimple_mm(3.25, standard())
    1.62
    """
    depth = round(dimple_share(limits) * shell_mm, 2)
    return depth if depth <= limits["dimple"].value * shell_mm else round(depth - 0.01, 2)


def flute_count(shaft_mm: float) -> int:
    """Return the usual number of flutes for a shaft (mm).

    >>> flute_count(35.0)
    8
    """
    return 6 if shaft_mm < 32 else 8 if shaft_mm < 90 else 10


def flute_width_mm(inside_mm: float, count: int, step_mm: float) -> float:
    """Return the width (mm) of a flute: two fifths of the flutes' pitch round the running bore (mm).

    >>> flute_width_mm(40.0, 8, 0.5)  # 0.4 x pi x 40 / 8 = 6.28
    6.5
    """
    return float(near_mm(0.4 * math.pi * inside_mm / count, step_mm))


def screw_thread(shaft_mm: float, *, inch: bool) -> str:
    """Return the usual thread of the set screws for a shaft (mm).

    >>> screw_thread(35.0, inch=False)
    'M8'
    """
    sizes = ((30, "M6", "1/4-20"), (50, "M8", "5/16-18"), (80, "M10", "3/8-16"), (120, "M12", "1/2-13"))
    metric, own = next(((m, i) for most, m, i in sizes if shaft_mm <= most), ("M16", "5/8-11"))
    return own if inch else metric


def land_at_side_deg(flute_count: int, flute_clock_deg: float) -> float:
    """Return the clock (degrees) of the first land from the side, 90, downward, so that no flute lies under a screw.

    >>> land_at_side_deg(8, 0.0)  # lands at 22.5, 67.5, 112.5 and so on
    112.5
    """
    pitch = 360.0 / flute_count
    return 90.0 + (flute_clock_deg + pitch / 2 - 90.0) % pitch


# --- arms -----------------------------------------------------------------------------------------------------------


def arm_chord_mm(shaft_mm: float, *, vee: bool) -> float:
    """Return the chord (mm) of an arm to start from: 3 shafts of a single arm, 2.3 of each of a vee.

    >>> arm_chord_mm(40.0, vee=False)
    120.0
    """
    return (2.3 if vee else 3.0) * shaft_mm


# --- roots of arms and skeg -----------------------------------------------------------------------------------------


ARM_FILLET, SKEG_FILLET = 0.4, 0.5
"""Fillet of a casting over the thinner of an arm's two walls, and over the skeg's thickness."""


def fillet_share(usual: float, limits: Limits) -> float:
    """Return a fillet over the wall: the usual share, or what the limits ask for.

    >>> fillet_share(ARM_FILLET, standard())
    0.4
    """
    return max(usual, limits["pattern_fillet_share"].value)


def fillet_mm(thickness_mm: Num, neighbour_mm: Num, limits: Limits) -> Num:
    """Return the fillet (mm) of a casting between two walls: 0.4 of the thinner one, or what the limits ask for; not
    rounded.

    >>> fillet_mm(20.0, 30.0, standard())  # 0.4 x 20
    8.0
    """
    share = fillet_share(ARM_FILLET, limits)
    return as_given(np.maximum(limits["pattern_fillet"].value, share * np.minimum(thickness_mm, neighbour_mm)))


def skeg_fillet_mm(thickness_mm: float, limits: Limits) -> float:
    """Return the fillet (mm) of a cast skeg at the barrel: half its thickness, or what the limits ask for; not rounded.

    >>> skeg_fillet_mm(25.0, standard())
    12.5
    """
    return max(limits["pattern_fillet"].value, fillet_share(SKEG_FILLET, limits) * thickness_mm)


LEG_SHARES: Mapping[str, float] = {"none": 0.7, "double_bevel": 0.35}
"""Weld leg over the thinner neighbour, by how the arm's ends are prepared: where both sides are bevelled the groove
carries half of it."""


def leg_share(prep: str) -> float:
    """Return a weld leg over the thinner neighbour, by how the arm's ends are prepared. Raises KeyError for a
    preparation that has no rule.

    >>> leg_share("double_bevel")
    0.35
    """
    return LEG_SHARES[prep]


def leg_mm(thickness_mm: Num, neighbour_mm: Num, share: float, *, inch: bool) -> Num:
    """Return the leg (mm) of a fillet weld between two parts, to the nearest half step.

    share: of the thinner part; at least what the thicker one wants, by table.

    >>> leg_mm(14.0, 10.0, 0.7, inch=False)  # 0.7 x 10
    7.0
    """
    least = tables.weld_min_leg_mm(np.maximum(thickness_mm, neighbour_mm), inch=inch)
    return near_mm(np.maximum(least, share * np.minimum(thickness_mm, neighbour_mm)), half_step_mm(inch=inch))


def skeg_leg_mm(thickness_mm: float, wall_mm: float, *, inch: bool) -> float:
    """Return the leg (mm) of a skeg's weld on a barrel's wall: half its thickness, at least what the table wants.

    >>> skeg_leg_mm(25.0, 14.0, inch=False)
    12.5
    """
    least = tables.weld_min_leg_mm(max(thickness_mm, wall_mm), inch=inch)
    return float(near_mm(max(least, 0.5 * thickness_mm), half_step_mm(inch=inch)))


# --- heel -----------------------------------------------------------------------------------------------------------


def heel_clearance_mm(running_mm: float, limits: Limits, *, inch: bool) -> float:
    """Return the clearance (mm) of a pintle in a plastic bush: the most that the limits allow in one, down to 0.1 mm or
    0.005 in, so that the bore has a size that is read off a gauge.

    Where a shop asks for more at least, that.

    >>> round(heel_clearance_mm(30.0, standard(), inch=False), 9)  # 0.2 + 0.004 x 30, down
    0.3
    """
    most = limits["heel_clearance_synthetic"].value + limits["heel_clearance_slope"].value * running_mm
    usual = round(float(down_mm(most, 0.005 * INCH_MM if inch else 0.1)), 6)
    return max(usual, heel_clearance_least_mm(running_mm, limits))


def heel_clearance_least_mm(running_mm: float, limits: Limits) -> float:
    """Return the least clearance (mm) that the limits want of what runs in a new heel bush.

    >>> [heel_clearance_least_mm(d, standard()) for d in (20.0, 40.0)]  # the floor; 0.002 x 40
    [0.05, 0.08]
    """
    least = max(limits["heel_clearance_least"].value * running_mm, limits["heel_clearance_floor"].value)
    return math.ceil(least * 1000.0 - 1e-6) / 1000.0


def heel_clearance_most_mm(running_mm: Num, limits: Limits, *, bushed: bool) -> Num:
    """Return the most clearance (mm) of a new pintle: in a plastic bush, or in bare metal.

    >>> [round(heel_clearance_most_mm(30.0, standard(), bushed=b), 3) for b in (True, False)]  # never too much: 0.5
    [0.5, 1.03]
    """
    room = running_mm / 1000.0 + limits["heel_clearance_metal"].value
    if bushed:
        room = limits["heel_clearance_synthetic"].value + limits["heel_clearance_slope"].value * running_mm
    return as_given(np.maximum(limits["heel_clearance"].value, room))


def heel_outside_mm(seat_mm: float, running_mm: float, step_mm: float) -> float:
    """Return the boss's outside (mm): the bush's seat and a wall of 0.35 of what runs in it, at least 6 mm.

    >>> heel_outside_mm(38.0, 30.0, 1.0)  # 38 + 2 x 0.35 x 30
    59.0
    """
    return float(up_mm(seat_mm + 2 * max(0.35 * running_mm, 6.0), step_mm))


HEEL_HEIGHT = 1.15
"""Height of the heel's boss over what runs in it, at most."""


def heel_height_mm(seat_mm: float, running_mm: float, step_mm: float, limits: Limits) -> float:
    """Return the boss's height (mm): as high as the bush is wide, at most 1.15 of what runs in it, or what the limits
    allow.

    >>> heel_height_mm(38.0, 30.0, 1.0, standard())  # 1.15 x 30 = 34.5
    35.0
    """
    usual = float(up_mm(min(seat_mm, HEEL_HEIGHT * running_mm), step_mm))
    most = limits["heel_bush_length"].value * running_mm
    return usual if usual <= most else max(float(down_mm(most, step_mm)), step_mm)


# --- patterns -------------------------------------------------------------------------------------------------------


def draft_deg(height_mm: float) -> float:
    """Return the draft (degrees) of an outside face of a pattern by its height (mm) along the pull.

    The larger of what ISO 8062-4 Table 4 has for the height (moulded by hand, fine; published, typed copy), and of the
    usual draft, which is less on low faces and more on high ones. A height within 1e-6 of a step takes the lower row.

    >>> draft_deg(14.0), draft_deg(34.0), draft_deg(160.0)  # the table's 3.2 and 2.2; it has 1.0 for 160
    (3.2, 2.2, 1.5)
    """
    return max(USUAL_DRAFT_DEG, tables.casting_draft_deg(max(round(height_mm, 6), 1e-6)))
