"""Tolerances that the sheets ask for, and where they come from."""

from __future__ import annotations

import math

from strutwright.exporters.drawing.figures import fixed
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models.geometry import casting
from strutwright.models.spec import Palm, Strut
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM

# Common practice, no source; confirm with the shop.
BORE_RA, FACE_RA, PALM_RA = "Ra 1.6", "Ra 3.2", "Ra 3.2"
SQUARE_MM = 0.1
PALM_ANGLE_METAL_DEG, PALM_ANGLE_BEDDED_DEG = 0.1, 0.25

METALS = ("stainless", "duplex", "bronze", "steel", "aluminium", "brass")
HOLE_ON_METAL_MM, HOLE_ON_LAMINATE_MM = 0.3, 0.8
"""Position tolerance of bolt holes on a metal hull, and where holes are taken over from the palm; common practice, no
source."""
PLACE_MM, PLACE_INCH_MM = 1.0, 0.04 * INCH_MM
"""How near a palm keeps to its place over the bore, plus or minus: drop, along the shaft, athwart; a round figure in
either unit. Common practice, no source."""
FLAT_SHARE, FLAT_LEAST_MM, FLAT_PRESSED_MM = 0.001, 0.1, 0.5
"""Flatness of a machined hull face, a share of its length and at least so much, and of one pressed flat after welding,
a feeler's worth; common practice, from memory."""


def is_metal(material: str) -> bool:
    """Return whether a hull material is a metal."""
    return common.family(material) in METALS


def place_mm(ctx: SheetContext) -> float:
    """Return how near (mm, plus or minus) a palm keeps to its place over the bore: drop, bar's height, zero."""
    return PLACE_INCH_MM if ctx.inch else PLACE_MM


def hole_position_mm(strut: Strut) -> float:
    """Return the diameter (mm) of the zone that a bolt hole's axis keeps to among its fellows, on every sheet."""
    return HOLE_ON_METAL_MM if is_metal(strut.hull.material) else HOLE_ON_LAMINATE_MM


def flatness_mm(strut: Strut, palm: Palm) -> float:
    """Return the flatness (mm) asked of a palm's hull face on every sheet: machined castings to a tenth."""
    if strut.construction == "welded":
        return FLAT_PRESSED_MM
    return max(round(FLAT_SHARE * longest_mm(palm), 1), FLAT_LEAST_MM)


def longest_mm(palm: Palm) -> float:
    """Return the greater of a palm's over-all sizes, mm."""
    box = palm.outline.bounding_box()
    return max(box.xmax - box.xmin, box.ymax - box.ymin)


def palm_angle_tolerance_deg(strut: Strut) -> float:
    """Return the tolerance of the palm's angle: closer on a metal hull, wider where the palm is bedded in resin."""
    return PALM_ANGLE_METAL_DEG if is_metal(strut.hull.material) else PALM_ANGLE_BEDDED_DEG


def angularity_mm(strut: Strut, palm: Palm) -> float:
    """Return the width (mm) of the zone for a palm's hull face that its angle tolerance leaves over its length."""
    return round(longest_mm(palm) * math.tan(math.radians(palm_angle_tolerance_deg(strut))), 1)


def general_tolerance_mm(ctx: SheetContext, nominal_mm: float) -> float:
    """Return the general tolerance of the title block for a machined length, plus or minus, mm.

    ISO 2768-1, class m (published); inch sheets as the title block says for three decimals.
    """
    if ctx.inch:
        return casting.GENERAL_INCH_MM
    return float(casting.general_tolerance_mm(nominal_mm))


def as_made_tolerance_mm(ctx: SheetContext, nominal_mm: float) -> float:
    """Return the tolerance, plus or minus, mm, of a size with at least one side as cast; of a welded strut the general
    one.

    ISO 8062, half of the total of the strut's grade (published, typed copy).
    """
    if ctx.strut.construction != "cast":
        return general_tolerance_mm(ctx, nominal_mm)
    half = float(casting.cast_tolerance_mm(casting.casting_of(ctx.strut).tolerance_grade, nominal_mm)) / 2
    step = 0.005 * INCH_MM  # on inch sheets a round figure, no more than the grade's
    return math.floor(half / step + 1e-9) * step if ctx.inch else half


def class_limits_mm(symbol: str, size_mm: float) -> tuple[float, float] | None:
    """Return the upper and lower deviation (mm) of a bore's class; None where the table does not hold it."""
    try:
        limits = tables.iso286(symbol, size_mm)
    except tables.NotInTable:
        return None
    return limits.upper_mm, limits.lower_mm


def tolerance_words(ctx: SheetContext, value_mm: float) -> str:
    """Return a tolerance in the sheet's figures."""
    return fixed(value_mm / INCH_MM, 3).lstrip("0") if ctx.inch else f"{value_mm:g}"


def close_words(ctx: SheetContext, value_mm: float) -> str:
    """Return a close tolerance in the sheet's figures, never more than it is: three places in mm, four in inches."""
    if ctx.inch:
        return fixed(max(math.floor(1e4 * value_mm / INCH_MM + 1e-6), 1) / 1e4, 4).lstrip("0")
    return f"{max(math.floor(1000 * value_mm + 1e-6), 1) / 1000:g}"


def texture(ctx: SheetContext, ra: str) -> str:
    """Return a surface texture: micrometres, or microinches on inch sheets."""
    return {"Ra 1.6": "Ra 63 µin", "Ra 3.2": "Ra 125 µin", "Ra 6.3": "Ra 250 µin"}[ra] if ctx.inch else ra
