"""Tolerances that the sheets ask for, and where they come from."""

from __future__ import annotations

import math

from strutwright.exporters.drawing.figures import fixed
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import drawn_tolerances
from strutwright.models.geometry import casting
from strutwright.models.spec import Palm, Plate, Strut
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM

# Common practice, no source; confirm with the shop.
BORE_RA, FACE_RA, PALM_RA = "Ra 1.6", "Ra 3.2", "Ra 3.2"
SQUARE_MM = 0.1
CLOCK_DEG, DIMPLE_MM = 1.0, 0.2
"""Clock of slots and screws; depth of a dimple, never more."""
SPLIT_FLAT_MM = 0.05
"""Feeler that does not enter a split that is closed without shims."""


def place_mm(ctx: SheetContext) -> float:
    """Return how near (mm, plus or minus) a palm keeps to its place over the bore: drop, bar's height, zero."""
    return drawn_tolerances.place_mm(inch=ctx.inch)


def hole_position_mm(strut: Strut) -> float:
    """Return the diameter (mm) of the zone that a bolt hole's axis keeps to among its fellows, on every sheet."""
    return drawn_tolerances.hole_position_mm(common.family(strut.hull.material))


def flatness_mm(strut: Strut, palm: Plate) -> float:
    """Return the flatness (mm) asked of a palm's hull face on every sheet."""
    return float(drawn_tolerances.flatness_mm(strut.construction, longest_mm(palm)))


def longest_mm(palm: Plate) -> float:
    """Return the greater of a palm's over-all sizes, mm."""
    box = palm.outline.bounding_box()
    return max(box.xmax - box.xmin, box.ymax - box.ymin)


def palm_angle_tolerance_deg(strut: Strut) -> float:
    """Return the tolerance of the palm's angle."""
    return drawn_tolerances.palm_angle_deg(common.family(strut.hull.material))


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
