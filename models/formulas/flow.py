"""Water past an arm: the rate at which it sheds vortices, and the speed at which it begins to cavitate.

Speeds m/s (boat speed in kn where named), lengths mm. The stream of propeller and wake is left out.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from strutwright.models.arrays import Num, Triple
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


def meets_m_s(strouhal: float, hz: Num, edge_mm: Num, chord_mm: Num | None = None) -> Num:
    """Return the speed (m/s) at which a section sheds vortices at a rate, St V / h = hz.

    edge_mm: its thickness, or the thickness of its tail, which has the boundary layers of both sides of its chord_mm
    beside it; these are thinner the faster it goes. Newton's method, to a thousandth.

    >>> round(meets_m_s(0.20, 42.1, 22.0), 2), round(float(meets_m_s(0.22, 400.0, 4.0, 95.0)), 2)
    (4.63, 8.36)
    """
    k = hz / strouhal * 1e-3
    if chord_mm is None:
        return k * edge_mm
    speed: Num = np.maximum(k * (edge_mm + 2.0 * displacement_mm(5.0, chord_mm)), 1e-9)
    for _ in range(3):
        layers = 2.0 * displacement_mm(speed, chord_mm)
        speed = speed - (speed - k * (edge_mm + layers)) / (1.0 + 0.2 * k * layers / speed)
    return speed


def off_chord_deg(stream: Triple, chord: Triple, axis: Triple) -> Num:
    """Return the angle (degrees) at which a stream meets the sections of an arm: off its chord, seen along its axis.

    All three of length 1. Geometry.

    >>> round(float(off_chord_deg((0.9848, 0.0, -0.1736), (1.0, 0.0, 0.0), (0.0, 0.5, 0.866))), 2)  # 10 degrees, sin 30
    5.04
    """
    (sx, sy, sz), (ux, uy, uz), (dx, dy, dz) = stream, chord, axis
    across = dy * uz - dz * uy, dz * ux - dx * uz, dx * uy - dy * ux
    aside = (sx * across[0] + sy * across[1] + sz * across[2]) / np.sqrt(sum(a * a for a in across))
    angle: Num = np.degrees(np.arctan2(np.abs(aside), sx * ux + sy * uy + sz * uz))
    return angle


SHARPEST = 0.02
"""Radius of an edge over the thickness that suction is still worked out for; what is sharper is taken as that."""


def corner(roundness: Num) -> Num:
    """Return by how much more the corners of a bar suck than half-round edges do. roundness: twice their radius over
    the thickness.

    Suction at a rounded corner goes by its radius^-2/3 (potential flow); the power -0.69 lies 0 to 18 % over panels
    for a thickness of 0.1 to 0.5 of the chord and up to 16 degrees off it.

    >>> round(float(corner(1.0)), 2), round(float(corner(0.5)), 2)
    (1.0, 1.61)
    """
    more: Num = np.clip(roundness, 2.0 * SHARPEST, 1.0) ** -0.69
    return more


def sharper(tau: Num, radius_over_thickness: Num, incidence_deg: Num) -> Num:
    """Return how much more two arcs suck at edges of a smaller radius than a tenth of their thickness.

    Round an edge the stream goes as round a parabola, whose suction grows with the square of the incidence and with
    chord over radius: 4.2 (1 - tau) a^2 (c / r - 10 / tau), fitted to panels, from 2 % under them to 2.5 times over.

    >>> round(float(sharper(0.12, 0.05, 4.0)), 2)  # panels: 1.25
    1.5
    """
    edge = np.clip(radius_over_thickness, SHARPEST, 0.1)
    more: Num = 4.2 * (1.0 - tau) * np.radians(incidence_deg) ** 2 * (1.0 / edge - 10.0) / tau
    return more


MOST_LIFT = 1.2
"""Lift coefficient at which a section stalls; from memory, of foils. Bars have less."""


def lift_n_mm(chord_mm: Num, incidence_deg: Num, speed_m_s: Num) -> Num:
    """Return the side force of a stream on a section per length of arm, N/mm: 2 pi sin(a) rho V^2 c / 2, to the stall.

    Thin-section theory (any text), as if the arm had no end.

    >>> round(float(lift_n_mm(100.0, 5.0, 10.0)), 3)  # 0.548 x 51.25 kPa x 0.1 m
    2.807
    """
    coefficient = np.minimum(2.0 * np.pi * np.sin(np.radians(incidence_deg)), MOST_LIFT)
    return 0.5e-6 * WATER_KG_M3 * speed_m_s**2 * coefficient * chord_mm


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
