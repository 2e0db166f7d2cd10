"""Tolerances of the palm that the sheets ask for: its angle, its place over the bore, its flatness, its holes.

Common practice, no source; confirm with the shop.
"""

from __future__ import annotations

import numpy as np

from strutwright.models.arrays import Num
from strutwright.params.quantity import INCH_MM

METALS = ("stainless", "duplex", "bronze", "steel", "aluminium", "brass")
PALM_ANGLE_METAL_DEG, PALM_ANGLE_BEDDED_DEG = 0.1, 0.25
HOLE_ON_METAL_MM, HOLE_ON_LAMINATE_MM = 0.3, 0.8
PLACE_MM, PLACE_INCH_MM = 1.0, 0.04 * INCH_MM
"""A round figure in either unit."""
FLAT_SHARE, FLAT_LEAST_MM, FLAT_PRESSED_MM = 0.001, 0.1, 0.5
"""Flatness of a machined face as a share of its length, at least so much; of one pressed flat, a feeler's worth."""


def palm_angle_deg(hull_family: str) -> float:
    """Return the tolerance of the palm's angles to the bore: closer on a metal hull, wider where it is bedded in resin.

    >>> palm_angle_deg("composite")
    0.25
    """
    return PALM_ANGLE_METAL_DEG if hull_family in METALS else PALM_ANGLE_BEDDED_DEG


def hole_position_mm(hull_family: str) -> float:
    """Return the diameter of the zone of a bolt hole's axis; wider where holes are taken over from the palm.

    >>> hole_position_mm("steel")
    0.3
    """
    return HOLE_ON_METAL_MM if hull_family in METALS else HOLE_ON_LAMINATE_MM


def place_mm(*, inch: bool) -> float:
    """Return how near, plus or minus, a palm keeps to its place over the bore: drop, along the shaft, athwart.

    >>> place_mm(inch=False)
    1.0
    """
    return PLACE_INCH_MM if inch else PLACE_MM


def flatness_mm(construction: str, longest_mm: Num) -> Num:
    """Return the flatness of a palm's hull face of that greatest size: machined castings to a tenth.

    >>> flatness_mm("welded", 300.0), float(flatness_mm("cast", 300.0))
    (0.5, 0.3)
    """
    if construction == "welded":
        return FLAT_PRESSED_MM
    flat: Num = np.maximum(np.round(FLAT_SHARE * longest_mm, 1), FLAT_LEAST_MM)
    return flat
