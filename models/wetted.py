"""Surface of the strut that the water reaches, from its sizes; broadcasts over candidates."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.inputs import Inputs
from strutwright.models.sections import kind_of


def strut_mm2(inputs: Inputs) -> Num:
    """Return the wetted surface of the strut, mm2: barrel outside and its faces, arms, water faces and edges of palms,
    a skeg with its foot and the boss of its heel. What bolts, bevels and faired ends take off is left in.

    >>> round(float(strut_mm2(engineering_inputs("canal-tender"))))  # 11159 + 2011 barrel, 21641 arm, 12904 + 4250 palm
    51965
    """
    faces = math.pi / 2.0 * (inputs.barrel_outside_mm**2 - inputs.bore_mm**2)
    area: Num = math.pi * inputs.barrel_outside_mm * inputs.barrel_length_mm + faces
    for arm in inputs.arms:
        chord = (arm.chord_barrel_mm + arm.chord_palm_mm) / 2.0
        thickness = (arm.thickness_barrel_mm + arm.thickness_palm_mm) / 2.0
        area = area + kind_of(arm.shape).perimeter_mm(chord, thickness) * (arm.water_mm - arm.start_mm)
    for palm in inputs.palms:
        area = area + palm.area_mm2 + palm.perimeter_mm * palm.most_mm
    if inputs.skeg is not None:
        s, deep = inputs.skeg, inputs.skeg.depth_mm - inputs.barrel_outside_mm / 2.0
        root = s.root_forward_x_mm - s.root_aft_x_mm
        thick = (s.thickness_root_mm + s.thickness_tip_mm) / 2.0
        # Both sides, both edges, and the lower one.
        area = area + (root + s.tip_chord_mm) * deep + 2.0 * thick * deep + s.tip_chord_mm * s.thickness_tip_mm
        if s.heel is not None:
            h = s.heel
            boss = math.pi * h.outside_mm * h.height_mm + math.pi / 2.0 * h.outside_mm**2
            long = np.hypot(h.centre_mm[0] - s.root_forward_x_mm + s.sweep_mm, h.centre_mm[1])
            area = area + boss + 2.0 * (h.foot_height_mm + h.foot_thickness_mm) * long
    return area


def running_mm2(inputs: Inputs) -> Num:
    """Return the surface of shaft and propeller, mm2; nan where the propeller is not known.

    The shaft from the next bearing forward, as if all of it lay in the water, to the middle of the hub, two shaft
    diameters abaft the bearing where that is not known; both sides of blades that cover 0.6 of the disc (common
    practice, no source).

    >>> tender = engineering_inputs("canal-tender")
    >>> round(float(running_mm2(tender) - math.pi * 20.0 * (660.0 + tender.overhang_mm)))  # 1.2 x pi / 4 x 280^2
    73890
    """
    end = np.where(np.isnan(inputs.overhang_mm), 2.0 * inputs.shaft_mm, inputs.overhang_mm)[()]
    long = inputs.bearing_span_taken_mm + end
    return math.pi * inputs.shaft_mm * long + 1.2 * math.pi / 4.0 * inputs.propeller_mm**2
