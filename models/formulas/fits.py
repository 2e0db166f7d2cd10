"""Interference or clearance between a bore and what goes into it: from limits, from measured sizes, by
rule.

Sign: every fit here is DIAMETRAL, positive = interference, negative = clearance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Fit:
    """Diametral interference of a fit [mm], clearance negative.

    ``least`` and ``most`` are the worst cases; ``expected`` is the middle; ``likely_least`` and
    ``likely_most`` combine the two tolerances by root sum of squares, as when both sizes vary
    independently about their middles.
    """

    least_mm: float
    likely_least_mm: float
    expected_mm: float
    likely_most_mm: float
    most_mm: float

    @property
    def kind(self) -> str:
        """ "interference", "clearance" or "transition" (ISO 286-1 terms), for a fit of plain numbers."""
        if self.least_mm >= 0.0 and self.most_mm > 0.0:
            return "interference"
        return "clearance" if self.most_mm <= 0.0 else "transition"


def fit_from_limits(hole_lower_um: float, hole_upper_um: float, shaft_lower_um: float, shaft_upper_um: float) -> Fit:
    """Fit from the limit deviations of hole and shaft [micrometres] on a common nominal size. Broadcasts.

    least = shaft lower - hole upper, most = shaft upper - hole lower (ISO 286-1 definition; published).
    Raises ValueError when a lower deviation lies above its upper one.
    """
    if not (
        np.all(np.less_equal(hole_lower_um, hole_upper_um)) and np.all(np.less_equal(shaft_lower_um, shaft_upper_um))
    ):
        raise ValueError("a lower limit deviation lies above its upper limit deviation")
    middle = (shaft_lower_um + shaft_upper_um - hole_lower_um - hole_upper_um) / 2.0
    hole, shaft = hole_upper_um - hole_lower_um, shaft_upper_um - shaft_lower_um
    return _fit(middle / 1000.0, hole / 1000.0, shaft / 1000.0)


def fit_from_measured(
    bore_mm: float, outside_mm: float, bore_doubt_mm: float = 0.0, outside_doubt_mm: float = 0.0
) -> Fit:
    """Fit from measured bore and measured outside diameter [mm], each read to within +/- its doubt [mm].
    Broadcasts.

    Exact. A doubt must not be negative (ValueError).
    """
    if not (np.all(np.greater_equal(bore_doubt_mm, 0.0)) and np.all(np.greater_equal(outside_doubt_mm, 0.0))):
        raise ValueError("measuring doubt must not be negative")
    return _fit(outside_mm - bore_mm, 2.0 * bore_doubt_mm, 2.0 * outside_doubt_mm)


def inch_rule_interference_mm(outside_diameter_mm: float, per_diameter: float = 0.001) -> float:
    """Interference of a light press fit by the inch rule [mm]: 0.001 in per inch of outside diameter.
    Broadcasts.

    Common practice, no source; an upper guide for a sleeve with set screws as a back-up, 20 to 150 mm
    outside.
    """
    return per_diameter * outside_diameter_mm


def fit_at_temperature(
    fit: Fit, diameter_mm: float, hole_expansion_per_k: float, shaft_expansion_per_k: float, rise_k: float
) -> Fit:
    """The same fit after both parts are warmed by ``rise_k`` [K] from the temperature they were measured
    at.

    ``diameter_mm`` is the fit diameter, the two expansions are linear coefficients [1/K]. Every value
    moves by d (alpha_shaft - alpha_hole) rise; exact for free uniform expansion of unlike metals.
    Broadcasts.
    """
    shift = diameter_mm * (shaft_expansion_per_k - hole_expansion_per_k) * rise_k
    return Fit(
        fit.least_mm + shift,
        fit.likely_least_mm + shift,
        fit.expected_mm + shift,
        fit.likely_most_mm + shift,
        fit.most_mm + shift,
    )


def _fit(middle_mm: float, hole_width_mm: float, shaft_width_mm: float) -> Fit:
    worst = (hole_width_mm + shaft_width_mm) / 2.0
    likely = np.hypot(hole_width_mm, shaft_width_mm) / 2.0
    return Fit(middle_mm - worst, middle_mm - likely, middle_mm, middle_mm + likely, middle_mm + worst)
