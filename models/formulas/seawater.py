"""How sea water, brackish and fresh water conduct, by their salinity and temperature, at the surface.

Practical Salinity Scale 1978 (UNESCO Technical Papers in Marine Science 44, 1983), with what Hill, Dauphinee and Woods
(1986) take off below salinity 2, which carries it down to fresh water. Salinity is about grams of salt to the kilogram;
0 to 42, -2 to 35 C. Fresh water of another make-up than thinned sea water conducts otherwise.
"""

from __future__ import annotations

import math

STANDARD_S_M = 4.2914
"""Conductivity of water of salinity 35 at 15 C, S/m (Culkin and Smith 1980)."""
_OF_TEMPERATURE = (0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9)
_AT_15 = (0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081)
_OFF_15 = (0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144)
_LEAST_C = 0.055
"""Freezing point taken down by each unit of salinity, C: 1.92 at 35."""


def practical_salinity(ratio: float, celsius: float) -> float:
    """Return the salinity of water by its conductivity over that of salinity 35, both at that temperature. Published.

    >>> round(practical_salinity(1.0, 15.0), 4), round(practical_salinity(0.0, 15.0), 4)
    (35.0, 0.0)
    """
    off = celsius - 15.0
    share = off / (1.0 + 0.0162 * off)
    root = math.sqrt(ratio)
    whole = sum((a + share * b) * root**n for n, (a, b) in enumerate(zip(_AT_15, _OFF_15, strict=True)))
    x, y = 400.0 * ratio, 100.0 * ratio
    return whole - 0.0080 / (1.0 + 1.5 * x + x * x) - 0.0005 * share / (1.0 + math.sqrt(y) + y * math.sqrt(y))


def resistivity_ohm_m(salinity: float, celsius: float) -> float:
    """Return the resistivity of water, ohm m; not colder than it freezes.

    >>> [round(resistivity_ohm_m(35.0, t), 4) for t in (0.0, 15.0, 25.0)]  # 1 / 4.2914 at 15 C
    [0.3444, 0.233, 0.1884]
    """
    celsius = max(celsius, -_LEAST_C * salinity)
    low, high = 0.0, 1.5
    # Salinity rises with the ratio.
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if practical_salinity(middle, celsius) < salinity else (low, middle)
    warmth = sum(c * celsius**n for n, c in enumerate(_OF_TEMPERATURE))
    return 1.0 / (STANDARD_S_M * warmth * high)
