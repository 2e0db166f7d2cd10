"""Fatigue: cycles, damage by a curve of two slopes, its sum, waves with a straight spectrum, notch factors of fillets.

Curves and thickness effect: DNV-RP-C203 2.4, published (typed copy). Stress ranges in MPa (twice the amplitude),
speeds in turns per minute, times in hours. All broadcast.
"""

from __future__ import annotations

import functools

import numpy as np

from strutwright.models.arrays import Num
from strutwright.params.tables.fatigue import FatigueCurve

REFERENCE_MM = 25.0
"""Thickness up to which the curves hold as they stand."""
_WIDEST = 3.0
"""Wide over narrow width up to which the charts of shoulders reach; wider ones are as sharp."""


def cycles(per_turn: Num, rpm: Num, hours: Num) -> Num:
    """Number of cycles: 60 x cycles a turn x rpm x hours.

    >>> cycles(3, 1000.0, 4000.0)  # three blades
    720000000.0
    """
    return 60.0 * per_turn * rpm * hours


def thickness_factor(thickness_mm: Num, power: float) -> Num:
    """Factor on the range for thick parts, (t / 25)^power, 1 up to 25 mm. DNV-RP-C203 2.4.

    >>> round(float(thickness_factor(50.0, 0.25)), 4), float(thickness_factor(10.0, 0.25))
    (1.1892, 1.0)
    """
    factor: Num = (np.maximum(thickness_mm, REFERENCE_MM) / REFERENCE_MM) ** power
    return factor


def damage_per_cycle(range_mpa: Num, curve: FatigueCurve) -> Num:
    """Damage by one cycle of a stress range, 1 / N: the smaller of the two lines of a curve, which meet at its knee.

    >>> from strutwright.params.tables import fatigue_curve
    >>> round(1.0 / float(damage_per_cycle(3.0, fatigue_curve("W3", "protected"))) / 1e11, 4)
    1.7037
    >>> round(1.0 / float(damage_per_cycle(14.0, fatigue_curve("W3", "bare"))) / 1e7, 4)
    1.134
    """
    first = _line(range_mpa, curve.slope, curve.log_first)
    if curve.log_beyond is None:
        return first
    damage: Num = np.minimum(first, _line(range_mpa, curve.slope_beyond, curve.log_beyond))
    return damage


def _line(size_mpa: Num, slope: int, log_a: float) -> Num:
    """size^slope / a; by multiplying, which on arrays is many times as quick as a power."""
    power = size_mpa
    for _ in range(slope - 1):
        power = power * size_mpa
    return power * float(10.0**-log_a)


def damage_by_waves(greatest_mpa: Num, count: Num, curve: FatigueCurve, on_top_mpa: Num = 0.0) -> Num:
    """Damage by ranges whose number falls off evenly with their size (Weibull, shape 1), the greatest met once.

    count: of all cycles, over 1. on_top_mpa: range of something quicker that each carries on top, as rainflow counts it
    at most; of that cycle, counted elsewhere, what it does alone is taken off. With q = greatest / ln count the share
    of ranges over s is exp(-s / q), so that sum n / N = count x the mean of (on top + s)^m / a, on either side of the
    knee, in closed form for whole slopes. The form of DNV-RP-C203 Appendix C (from memory), without anything on top;
    follows from the curve by integration.

    >>> from strutwright.params.tables import fatigue_curve
    >>> round(float(damage_by_waves(120.0, 1e9, fatigue_curve("F1", "protected"))), 5)
    1.13355
    """
    q = greatest_mpa / np.log(count)
    first = float(10.0**-curve.log_first)
    alone = damage_per_cycle(on_top_mpa, curve)
    if curve.log_beyond is None:
        return count * np.maximum(first * _mean_power(curve.slope, q, on_top_mpa) - alone, 0.0)
    knee = 10.0 ** ((curve.log_beyond - curve.log_first) / (curve.slope_beyond - curve.slope))
    start = np.maximum(on_top_mpa, knee)
    past = np.exp((on_top_mpa - start) / np.maximum(q, 1e-12))
    slow = curve.slope_beyond
    below = _mean_power(slow, q, on_top_mpa) - past * _mean_power(slow, q, start)
    above = past * _mean_power(curve.slope, q, start)
    damage: Num = count * np.maximum(first * above + float(10.0**-curve.log_beyond) * below - alone, 0.0)
    return damage


def _mean_power(n: int, q: Num, start: Num) -> Num:
    """Mean of (start + q e)^n, where the share of e over x is exp(-x): start^n + n q times the mean of the power below
    (integration by parts)."""
    mean: Num = 1.0
    power: Num = 1.0
    for k in range(1, n + 1):
        power = power * start
        mean = power + k * q * mean
    return mean


# --- notch factors --------------------------------------------------------------------------------------------------

# Coefficients of 1, root(h / r), h / r for each power of 2 h / D: up to h / r = 2, and beyond. At 2 h / D = 1 each
# set of four sums to 1, 0, 0: the bar has no narrow part left.
_BENDING = (
    ((1.006, 0.967, 0.013), (-0.270, -2.372, 0.708), (0.662, 1.157, -0.908), (-0.405, 0.249, 0.200)),
    ((1.058, 1.002, -0.038), (-3.652, 1.639, -0.436), (6.170, -5.687, 1.175), (-2.558, 3.046, -0.701)),
)
_TENSION = (
    ((1.006, 1.008, -0.044), (-0.115, -0.584, 0.315), (0.245, -1.006, -0.257), (-0.135, 0.582, -0.017)),
    ((1.020, 1.009, -0.048), (-0.065, -0.165, -0.007), (-3.459, 1.266, -0.016), (3.505, -2.109, 0.069)),
)


def shoulder_in_bending(wide_mm: Num, narrow_mm: Num, radius_mm: Num) -> Num:
    """Notch factor of a flat bar with a shoulder fillet on both sides, bent in its plane; on the narrow width.

    Peterson's polynomials for 0.1 <= h / r <= 2 (published) and beyond (from memory), h the height of a shoulder. The
    printed sign of the last coefficient up to h / r = 2, -0.200, is taken as a misprint: only with +0.200 do the two
    ranges meet, and elements confirm it (D 54, d 22, r 8: 1.357; with the printed sign 1.166). The printed example
    (1.2, 0.8, 0.4) has 1.267, here 1.274; elements 1.272.

    >>> round(float(shoulder_in_bending(1.2, 0.8, 0.4)), 3)
    1.274
    """
    return _shoulder(_BENDING, wide_mm, narrow_mm, radius_mm)


def shoulder_in_tension(wide_mm: Num, narrow_mm: Num, radius_mm: Num) -> Num:
    """Notch factor of a flat bar with a shoulder fillet on both sides, pulled; on the narrow width.

    Peterson's polynomials, from memory; elements give 1.675 for the example.

    >>> round(float(shoulder_in_tension(54.0, 22.0, 8.0)), 3)
    1.701
    """
    return _shoulder(_TENSION, wide_mm, narrow_mm, radius_mm)


def _shoulder(sets: tuple[tuple[tuple[float, float, float], ...], ...], wide: Num, narrow: Num, radius: Num) -> Num:
    height = np.clip(wide - narrow, 0.0, (_WIDEST - 1.0) * narrow) / 2.0
    ratio = np.clip(height / np.maximum(radius, 1e-9), 0.0, 20.0)
    root, x = np.sqrt(ratio), height / (height + narrow / 2.0)
    low, high = (
        functools.reduce(lambda made, row: made * x + (row[0] + row[1] * root + row[2] * ratio), rows[::-1], 0.0 * x)
        for rows in sets
    )
    factor: Num = np.maximum(np.where(ratio <= 2.0, low, high), 1.0)[()]
    return factor
