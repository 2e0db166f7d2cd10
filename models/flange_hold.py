"""How a flanged housing holds its bearing: the flange tipping on its base, and the barrel bending out from it.

The flange is rigid on a bed that pushes only, with fasteners that pull only (soft end), or on a bed that is pressed all
over by their preload (stiff end). The barrel is a tube built into the free face. What the flange itself bends is left
out of the stiff end, and in the soft end counts as strips of it in series with each fastener.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Num, greatest, least
from strutwright.models.formulas import flange as rules
from strutwright.models.formulas import palm_bed
from strutwright.models.hull_bed import bed_n_mm3
from strutwright.models.input_parts import FlangeInputs, PalmInputs
from strutwright.models.inputs import Inputs

LAG_SPRING = 25.0
"""Axial stiffness of a screw in timber over diameter and length of thread, N/mm3; approvals of wood screws, from
memory; low confidence."""


@dataclass(frozen=True, slots=True, eq=False)
class Tipping:
    """The flange tipped one way: pulls of its fasteners and line load at the pressed edge, per N mm, and its turning
    stiffness, N mm/rad; the width (mm) over which it is pressed there."""

    pulls: tuple[Num, ...]
    edge_n_mm: Num
    turning: Num
    width_mm: Num


def own(inputs: Inputs) -> tuple[FlangeInputs, PalmInputs]:
    """Return the flange as such and as a plate.

    >>> flange, plate = own(engineering_inputs("deadwood-cutter"))
    >>> flange.root_mm, plate.bolt_count
    (6.0, 8)
    """
    assert inputs.flange is not None
    return inputs.flange, inputs.palms[0]


def holes_of(plate: PalmInputs) -> list[tuple[Num, Num]]:
    """Return the hole centres one by one, each a float or an array over candidates.

    >>> len(holes_of(engineering_inputs("deadwood-cutter").palms[0]))
    8
    """
    us, vs = (np.moveaxis(np.asarray(x, dtype=float), -1, 0) for x in (plate.holes_u_mm, plate.holes_v_mm))
    return list(zip(us, vs, strict=True))


def radii_mm(plate: PalmInputs) -> list[Num]:
    """Return the distance of each fastener from the shaft line, mm.

    >>> round(float(max(radii_mm(engineering_inputs("deadwood-cutter").palms[0]))), 6)  # a circle of 142
    71.0
    """
    return [np.hypot(u, v) for u, v in holes_of(plate)]


def mean(values: list[Num]) -> Num:
    """Return the mean of several, each a float or an array.

    >>> mean([1.0, 2.0])
    1.5
    """
    return sum(values[1:], values[0]) / len(values)


def lever_mm(inputs: Inputs, from_free_face: bool = False) -> Num:
    """Return the distance along the shaft from the middle of the bearings to the bedding face, or to the free face.

    >>> float(lever_mm(engineering_inputs("deadwood-cutter")))  # 170 of barrel, a bearing of 120 at its aft end
    110.0
    """
    flange, plate = own(inputs)
    off = np.abs(flange.face_x_mm - inputs.bearing_x_mm)
    return np.maximum(off - plate.thickness_mm, 0.0) if from_free_face else off


def fastener_spring_n_mm(inputs: Inputs, bed: Num) -> Num:
    """Return the stiffness of one fastener, N/mm: the bolt over its grip, or a screw in its thread.

    >>> cutter = engineering_inputs("deadwood-cutter")  # softer than its thread in timber, 25 x 10 x 90
    >>> bool(fastener_spring_n_mm(cutter, 100.0) < 22500.0)
    True
    """
    _, plate = own(inputs)
    spring = grip_spring_n_mm(inputs)
    radii, root = radii_mm(plate), root_radius_mm(inputs)
    lever, width = mean([np.maximum(r - root, 1.0) for r in radii]), math.pi * mean(radii)
    strip = inputs.strut.modulus_mpa * plate.thickness_mm**3 / 12.0 * 2.0 * width / plate.bolt_count
    out: Num = palm_bed.on_strip_n_mm(spring, lever, strip)
    return out


def grip_spring_n_mm(inputs: Inputs) -> Num:
    """Return the stiffness of one fastener without the plate under its head, N/mm.

    >>> bool(grip_spring_n_mm(engineering_inputs("deadwood-cutter")) < 22500.0)  # 25 x 10 x 90, and the steel
    True
    """
    flange, plate = own(inputs)
    known = np.where(np.isnan(inputs.hull_mm), plate.thickness_mm, inputs.hull_mm)
    engaged = np.where(np.isnan(flange.engaged_mm), known, flange.engaged_mm)
    grip = plate.thickness_mm + (known if flange.fastener == "through_bolt" else 0.5 * engaged)
    steel = palm_bed.bolt_spring_n_mm(inputs.bolt.modulus_mpa, inputs.bolt_stress_mm2, grip)
    timber = inputs.hull.family == "timber" and flange.fastener != "through_bolt"
    spring: Num = 1.0 / (1.0 / steel + 1.0 / (LAG_SPRING * inputs.bolt_mm * engaged)) if timber else steel
    return spring


def root_radius_mm(inputs: Inputs) -> Num:
    """Return the distance (mm) of the toe of the flange's root from the shaft line, in the face.

    >>> float(root_radius_mm(engineering_inputs("deadwood-cutter")))  # 67 / 2 and 6
    39.5
    """
    flange, _ = own(inputs)
    slant = np.radians(flange.off_square_deg)
    return inputs.barrel_outside_mm / 2.0 / np.cos(slant) + flange.root_mm


@functools.lru_cache(maxsize=4)
def tippings(inputs: Inputs, soft: bool = True) -> tuple[Tipping, ...]:
    """Return the flange tipped over each of its four edges, on the soft or the stiff bed; broadcasts.

    >>> [len(tipped.pulls) for tipped in tippings(engineering_inputs("deadwood-cutter"))]
    [8, 8, 8, 8]
    """
    _, plate = own(inputs)
    bed = bed_n_mm3(inputs, plate)[0 if soft else 1]
    spring = fastener_spring_n_mm(inputs, bed)
    u, v = zip(*holes_of(plate), strict=True)
    long, wide = plate.forward_mm - plate.aft_mm, plate.port_mm - plate.starboard_mm
    # Of an outline that is not a box the area over its length is what presses.
    ways = (
        ([a - plate.aft_mm for a in u], long),
        ([plate.forward_mm - a for a in u], long),
        ([b - plate.starboard_mm for b in v], wide),
        ([plate.port_mm - b for b in v], wide),
    )
    out = []
    for each, across in ways:
        width = plate.area_mm2 / across
        axis = palm_bed.neutral_axis_mm(each, [spring] * len(each), bed * width)
        pulls, edge, turning = rules.tipped_flange(each, spring, across, bed * width, axis)
        out.append(Tipping(tuple(pulls), edge, turning, width))
    return tuple(out)


def turning_nmm(inputs: Inputs, soft: bool) -> Num:
    """Return the least turning stiffness of the flange on its base, N mm/rad, at the soft or the stiff end.

    >>> cutter = engineering_inputs("deadwood-cutter")
    >>> bool(turning_nmm(cutter, True) < turning_nmm(cutter, False))
    True
    """
    if soft:
        return least([t.turning for t in tippings(inputs)])
    flange, plate = own(inputs)
    a, b = plate.half_mm
    second = np.minimum(a, b) ** 2 * plate.area_mm2 / 4.0 - math.pi / 64.0 * flange.base_bore_mm**4
    out: Num = bed_n_mm3(inputs, plate)[1] * np.maximum(second, 1.0)
    return greatest([out, turning_nmm(inputs, soft=True)])


def slope_per_n(inputs: Inputs, soft: bool) -> Num:
    """Return how far the barrel turns (rad) at the bearing for a newton across the shaft there; broadcasts.

    >>> cutter = engineering_inputs("deadwood-cutter")
    >>> bool(slope_per_n(cutter, True) > slope_per_n(cutter, False))
    True
    """
    long, bend = _barrel(inputs)
    return lever_mm(inputs) / turning_nmm(inputs, soft) + long * long / (2.0 * bend)


def give_mm_n(inputs: Inputs, soft: bool) -> Num:
    """Return how far the barrel moves (mm) at the bearing for a newton across the shaft there; broadcasts.

    >>> cutter = engineering_inputs("deadwood-cutter")
    >>> bool(give_mm_n(cutter, True) > give_mm_n(cutter, False))
    True
    """
    long, bend = _barrel(inputs)
    arm = lever_mm(inputs)
    shear = inputs.strut.shear_mpa * math.pi / 4.0 * (inputs.barrel_outside_mm**2 - inputs.bore_mm**2) / 2.0
    return arm * arm / turning_nmm(inputs, soft) + long**3 / (3.0 * bend) + long / shear


def _barrel(inputs: Inputs) -> tuple[Num, Num]:
    """The barrel's free length to the bearing's middle and its bending stiffness, less its slots."""
    flange, _ = own(inputs)
    modulus, _ = rules.tube_modulus_mm3(inputs.barrel_outside_mm, inputs.bore_mm, flange.slots_mm)
    return lever_mm(inputs, from_free_face=True), inputs.strut.modulus_mpa * modulus * inputs.barrel_outside_mm / 2.0
