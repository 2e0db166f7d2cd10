"""Water past an arm: the rate at which it sheds vortices, and the speed at which it begins to cavitate.

Speeds m/s (boat speed in kn where named), lengths mm. The stream of propeller and wake is left out.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from strutwright.models.arrays import Num
from strutwright.params.quantity import GRAVITY_M_S2, KNOT_M_S

WATER_KG_M3 = 1025.0
VISCOSITY_M2_S = 1.19e-6
"""Of sea water of 15 C."""
AIR_PA, VAPOUR_PA = 101_325.0, 1700.0
"""Pressure of the air, and of water vapour at 15 C."""


class Range(NamedTuple):
    """A figure as it is usually found, and how low and high it may lie."""

    low: float
    usual: float
    high: float


ROUND = Range(0.18, 0.20, 0.30)
"""Strouhal number by thickness of sections with round tails; a round cylinder has 0.20, and 0.27 beyond a Reynolds
number of 3.5e6 (Roshko 1961, published)."""
ELLIPSE = Range(0.18, 0.20, 0.50)
"""The same of an ellipse: one of 1 to 3 in the critical regime had 0.19 by its wake and 1.0 to 1.5 by its chord (Ota
1987, published, abstract)."""
TAIL = Range(0.18, 0.22, 0.28)
"""By thickness of tail and boundary layers, of sections with a thin tail; from memory."""


def reynolds(speed_m_s: Num, chord_mm: Num) -> Num:
    """Return the Reynolds number of a section in sea water of 15 C. Definition.

    >>> round(reynolds(4.63, 95.0))
    369622
    """
    return speed_m_s * chord_mm * 1e-3 / VISCOSITY_M2_S


def displacement_mm(speed_m_s: Num, chord_mm: Num) -> Num:
    """Return the displacement thickness (mm) of a turbulent boundary layer at the tail, 0.046 c Re^-0.2. Published
    (seventh-power law, any text).

    >>> round(float(displacement_mm(4.63, 95.0)), 2)
    0.34
    """
    thickness: Num = 0.046 * chord_mm * np.power(reynolds(speed_m_s, chord_mm), -0.2)
    return thickness


def shedding_hz(strouhal: float, speed_m_s: Num, height_mm: Num) -> Num:
    """Return the rate (Hz) at which a section sheds vortices, St V / h; h its thickness, or its tail's. Definition.

    >>> round(shedding_hz(0.20, 9.0 * KNOT_M_S, 22.0), 1)
    42.1
    """
    return strouhal * speed_m_s / (height_mm * 1e-3)


def cavitation_number(speed_m_s: Num, depth_m: Num) -> Num:
    """Return the cavitation number at a depth in sea water of 15 C, (p - p_v) / (rho V^2 / 2). Definition.

    >>> round(cavitation_number(9.0 * KNOT_M_S, 0.3), 2)
    9.34
    """
    over_vapour_pa = AIR_PA + WATER_KG_M3 * GRAVITY_M_S2 * depth_m - VAPOUR_PA
    return over_vapour_pa / (0.5 * WATER_KG_M3 * speed_m_s**2)


def inception_kn(suction: Num, depth_m: Num) -> Num:
    """Return the speed (kn) from which a section with a greatest suction (-C_p) cavitates. Definition.

    >>> round(float(inception_kn(0.60, 0.3)), 1)
    35.5
    """
    speed: Num = np.sqrt(cavitation_number(1.0, depth_m) / suction) / KNOT_M_S
    return speed
