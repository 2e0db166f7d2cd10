"""Mechanics of a sleeve in a hole: the ring that stands for the structure, and how a loaded sleeve presses on its hole.

A press fit itself is in `press_fit`.
"""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.arrays import Num

ENDLESS = 50.0
"""Outside of a ring over its bore that is as good as an endless body: Lame's stiffness is within 0.1 % of it."""


def ring_outside_mm(hole_mm: Num, least_wall_mm: Num) -> Num:
    """Outside diameter, mm, of the concentric ring that is nowhere thicker than a structure is at its thinnest.

    Its hoop stress at the bore under a pressure is no less than that of a tube bored off its middle (Roark's Formulas
    for Stress and Strain, eccentric cylinder, from memory) or of a half plane with a hole near its edge (Jeffery 1921,
    p (1 + 2 tan^2 phi), sin phi = radius over depth, which is the same as that of the ring).

    >>> ring_outside_mm(60.0, 15.0)
    90.0
    """
    return hole_mm + 2.0 * least_wall_mm


def hoop_times_pressure(hole_mm: Num, outside_mm: Num) -> Num:
    """Hoop stress at the bore of a ring over the pressure in it: (D^2 + d^2) / (D^2 - d^2). Lame; published, any text.

    >>> hoop_times_pressure(1.0, 2.0)  # 5 / 3
    1.6666666666666667
    """
    return (outside_mm**2 + hole_mm**2) / (outside_mm**2 - hole_mm**2)


def socket_pressure_mpa(force_n: Num, lever_mm: Num, diameter_mm: Num, length_mm: Num) -> Num:
    """Greatest pressure, MPa, of a rigid pin on the side of its hole, which bears on either side as an elastic bed.

    ``lever_mm``: from the middle of the length in the hole to the force across it. Along the pin the line load is
    F/L (1 + 6 e/L), round its loaded half it goes as the cosine, whose peak is 4/pi of the mean. Exact statics.

    >>> round(float(socket_pressure_mpa(1000.0, 0.0, 40.0, 50.0)), 4)  # 0.5 MPa on the projected area
    0.6366
    """
    line: Num = force_n / length_mm * (1.0 + 6.0 * np.abs(lever_mm) / length_mm)
    return 4.0 / math.pi * line / diameter_mm
