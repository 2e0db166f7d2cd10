"""Surface of the strut that the water reaches, from its sizes; broadcasts over candidates."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.inputs import Inputs
from strutwright.models.sections import kind_of


def strut_mm2(inputs: Inputs) -> Num:
    """Return the wetted surface of the strut, mm2: barrel outside, arms, water faces of palms, both sides of a skeg.

    >>> round(float(strut_mm2(engineering_inputs("canal-tender"))))  # 11159 barrel, 127.98 x 169.1 arm, 12904 palm
    45704
    """
    area: Num = math.pi * inputs.barrel_outside_mm * inputs.barrel_length_mm
    for arm in inputs.arms:
        chord = (arm.chord_barrel_mm + arm.chord_palm_mm) / 2.0
        thickness = (arm.thickness_barrel_mm + arm.thickness_palm_mm) / 2.0
        area = area + kind_of(arm.shape).perimeter_mm(chord, thickness) * (arm.water_mm - arm.start_mm)
    for palm in inputs.palms:
        area = area + palm.area_mm2
    if inputs.skeg is not None:
        s = inputs.skeg
        root = s.root_forward_x_mm - s.root_aft_x_mm
        area = area + (root + s.tip_chord_mm) * (s.depth_mm - inputs.barrel_outside_mm / 2.0)
    return area


def running_mm2(inputs: Inputs) -> Num:
    """Return the surface of shaft end and propeller, mm2; nan where the propeller is not known.

    The shaft to the middle of the hub, two shaft diameters where that is not known; both sides of blades that cover
    0.6 of the disc (common practice, no source).

    >>> tender = engineering_inputs("canal-tender")
    >>> round(float(running_mm2(tender) - math.pi * 20.0 * tender.overhang_mm))  # 1.2 x pi / 4 x 280^2
    73890
    """
    end = np.where(np.isnan(inputs.overhang_mm), 2.0 * inputs.shaft_mm, inputs.overhang_mm)[()]
    return math.pi * inputs.shaft_mm * end + 1.2 * math.pi / 4.0 * inputs.propeller_mm**2
