"""Weld distortion of a palm, and pressing it flat again.

Press formulas: simply supported plate of rectangular section, load at mid-span, elastic-perfectly plastic metal, no
shear or contact spread (span well above the thickness). Plasticity text, from memory. Real metals harden: work to
stroke, never to force.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np

from strutwright.models.arrays import Num
from strutwright.params.quantity import INCH_MM

RESIDUAL_AT_COLLAPSE = 20.0 / 9.0 - 1.5
"""Greatest set of the elastic-plastic solution over the first-yield deflection, 0.7222 (exact)."""


def yield_force_n(yield_mpa: Num, width_mm: Num, thickness_mm: Num, span_mm: Num) -> Num:
    """Press force at first yield, N: (2/3) s_y b t^2 / L. Exact.

    >>> round(yield_force_n(250.0, 150.0, 20.0, 300.0))
    33333
    """
    return 2.0 / 3.0 * yield_mpa * width_mm * thickness_mm**2 / span_mm


def plastic_force_n(yield_mpa: Num, width_mm: Num, thickness_mm: Num, span_mm: Num) -> Num:
    """Press force of a full plastic hinge, N: s_y b t^2 / L = 1.5 x first yield. Exact.

    >>> round(plastic_force_n(250.0, 150.0, 20.0, 300.0))
    50000
    """
    return 1.5 * yield_force_n(yield_mpa, width_mm, thickness_mm, span_mm)


def yield_deflection_mm(yield_mpa: Num, youngs_mpa: Num, thickness_mm: Num, span_mm: Num) -> Num:
    """Mid-span deflection at first yield, mm: s_y L^2 / (6 E t). Exact.

    >>> yield_deflection_mm(250.0, 200e3, 20.0, 300.0)
    0.9375
    """
    return yield_mpa * span_mm**2 / (6.0 * youngs_mpa * thickness_mm)


def force_ratio_for_set(residual: Num) -> Num:
    """Force over that of first yield, r, that leaves a set of ``residual`` first-yield deflections.

    Solves [5 - (3 + r) sqrt(3 - 2r)] / r^2 - r = residual, loaded deflection less spring-back, by bisection on
    sqrt(3 - 2r), in which the curve is smooth to the end. Valid 0 < residual <= 0.7222 (0 gives 1, the last force
    without a set); ValueError outside.

    >>> float(force_ratio_for_set(RESIDUAL_AT_COLLAPSE)), round(float(force_ratio_for_set(0.012982)), 4)
    (1.5, 1.2)
    """
    if not np.all(np.greater_equal(residual, 0.0) & np.less_equal(residual, RESIDUAL_AT_COLLAPSE)):
        raise ValueError("residual must lie between 0 and 0.7222; larger sets need the hinge model")
    root = 0.0 * residual
    for halving in range(1, 61):
        trial = root + 0.5**halving
        r = (3.0 - trial**2) / 2.0
        left = (5.0 - (3.0 + r) * trial) / r**2 - r
        root = root + 0.5**halving * np.greater_equal(left, residual)
    return (3.0 - root**2) / 2.0


@dataclass(frozen=True, slots=True)
class PressStroke:
    """Force (N) and travel (mm) to leave a wanted set.

    stroke_mm: ram travel from touching to full load, set + spring-back. strain: surface strain, see `set_strain`.
    """

    force_n: float
    stroke_mm: float
    spring_back_mm: float
    strain: float


def press_stroke(
    set_mm: float, yield_mpa: float, youngs_mpa: float, width_mm: float, thickness_mm: float, span_mm: float
) -> PressStroke:
    """Press force and stroke that leave ``set_mm`` at mid-span.

    ``set_mm`` > 0 wanted permanent deflection; ``width_mm`` pressed at once; ``yield_mpa`` the actual yield, not the
    minimum. Up to 0.7222 first-yield deflections the exact elastic-plastic solution; above, the full plastic force and
    a hinge, spring-back s_y L^2 / (4 E t). Overbend is approached from below with shims. ValueError for a set that is
    not positive.

    >>> round(press_stroke(3.0, 250.0, 200e3, 150.0, 20.0, 300.0).stroke_mm, 5)  # 3 and 1.5 x 0.9375
    4.40625
    """
    if not set_mm > 0.0:
        raise ValueError("set_mm must be positive")
    at_yield = float(yield_deflection_mm(yield_mpa, youngs_mpa, thickness_mm, span_mm))
    hinge = set_mm > RESIDUAL_AT_COLLAPSE * at_yield
    ratio = 1.5 if hinge else float(force_ratio_for_set(set_mm / at_yield))
    spring_back = ratio * at_yield
    return PressStroke(
        force_n=ratio * float(yield_force_n(yield_mpa, width_mm, thickness_mm, span_mm)),
        stroke_mm=set_mm + spring_back,
        spring_back_mm=spring_back,
        strain=float(set_strain(set_mm, thickness_mm, span_mm)),
    )


def set_strain(set_mm: Num, thickness_mm: Num, span_mm: Num) -> Num:
    """Surface strain of a set, a share: 4 t s / S^2, the set bent as one arc over the span. Practice.

    A hinge concentrates it over about the plastic zone, up to three times this at mid-span.

    >>> set_strain(2.0, 16.0, 100.0)
    0.0128
    """
    return 4.0 * thickness_mm * set_mm / span_mm**2


@dataclass(frozen=True, slots=True)
class Bites:
    """How a press too small for the whole width takes it in steps along the palm: widest strip at once, and count."""

    width_mm: float
    count: int


def press_bites(
    press_n: float, palm_length_mm: float, yield_mpa: float, thickness_mm: float, span_mm: float, share: float
) -> Bites:
    """Width a press can bend at once, and how many such bites cover the palm.

    ``share`` of the press's capacity is planned on; the rest covers hardening and a yield above the certificate (a
    planning choice). The material beyond the bite helps carry, so real bites are a little narrower still. ValueError
    unless every number is positive.

    >>> press_bites(200e3, 500.0, 250.0, 16.0, 100.0, 0.768)  # 640 N a millimetre of width
    Bites(width_mm=240.0, count=3)
    """
    if min(press_n, palm_length_mm, yield_mpa, thickness_mm, span_mm, share) <= 0.0:
        raise ValueError("press force, palm length, yield, thickness, span and share must be positive")
    width = share * press_n / float(plastic_force_n(yield_mpa, 1.0, thickness_mm, span_mm))
    return Bites(min(width, palm_length_mm), max(1, ceil(palm_length_mm / width - 1e-9)))


def weld_pull_up_mm(flange_width_mm: Num, leg_mm: Num, thickness_mm: Num) -> Num:
    """Rise of a plate's edges over its width from a pair of fillets, mm.

    0.02 W w^1.3 / t^2 in inches turned to mm; 25.4^0.7 comes of the 1.3 power. Handbook of welded structures, from
    memory; mild steel, thickness 1/4 to 1 in. Stainless and bronze pull about half as much again (low confidence).

    >>> round(weld_pull_up_mm(101.6, 6.35, 12.7) / 25.4, 4)  # 4 in, 1/4 in, 1/2 in
    0.0528
    """
    rise: Num = 0.02 * INCH_MM**0.7 * flange_width_mm * leg_mm**1.3 / thickness_mm**2
    return rise


def weld_shrinkage_mm(weld_area_mm2: Num, thickness_mm: Num) -> Num:
    """Shrinkage across a butt weld, mm: 0.10 A_w / t. Handbook of welded structures, from memory.

    >>> weld_shrinkage_mm(64.0, 16.0)
    0.4
    """
    return 0.10 * weld_area_mm2 / thickness_mm
