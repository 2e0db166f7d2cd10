"""Drag of an arm in the stream: its sections, and where it stands on barrel and palm.

Two-dimensional forms for turbulent flow, by thickness over chord (tau); the stream of the propeller is left out.
Lengths mm, speeds m/s, drag N.
"""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.formulas.flow import WATER_KG_M3, reynolds

CRITICAL_RE = 2e5
"""Under this Reynolds number the flow leaves an ellipse early; from memory."""
_LEAST_RE = 1e4


def friction(reynolds_number: Num) -> Num:
    """Return the friction coefficient of a plate, the ship line of 1957: 0.075 / (log10 Re - 2)^2. From memory.

    Taken at 1e4 for less.

    >>> round(float(friction(3.696e5)), 6)
    0.005892
    """
    line: Num = 0.075 / (np.log10(np.maximum(reynolds_number, _LEAST_RE)) - 2.0) ** 2
    return line


def foil(tau: Num, re: Num) -> Num:
    """Return the drag coefficient of a streamlined section on its chord: 2 C_f (1 + 2 tau + 60 tau^4).

    Published (Hoerner, open typed copies), tau up to 0.3; within 13 % of a boundary-layer solution.

    >>> round(float(foil(0.18, 1e6)), 5)
    0.01334
    """
    return 2.0 * friction(re) * (1.0 + 2.0 * tau + 60.0 * tau**4)


def ellipse(tau: Num, re: Num) -> Num:
    """Return the drag coefficient of an ellipse on its chord. From memory (forms of Hoerner).

    On the thickness C_f (4 + 2 / tau + 120 tau^2), below a Reynolds number of 2e5 2 C_f (1 + 1 / tau) + 1.1 tau.

    >>> round(float(ellipse(22 / 95, 3.696e5)), 5)
    0.02602
    """
    c_f = friction(re)
    late, early = c_f * (4.0 * tau + 2.0 + 120.0 * tau**3), 2.0 * c_f * (tau + 1.0) + 1.1 * tau**2
    return np.where(np.less(re, CRITICAL_RE), early, late)[()]


def flat(tau: Num, re: Num) -> Num:
    """Return the drag coefficient of a plate with a square tail on its chord: friction and base. From memory (Hoerner).

    On the thickness 2 C_f / tau + 0.135 / (2 C_f / tau)^(1/3). For a rounded tail the most that it may be.

    >>> round(float(flat(20 / 120, 4.669e5)), 5)
    0.06658
    """
    rubs = 2.0 * friction(re) / tau
    return tau * (rubs + 0.135 / np.cbrt(rubs))


COEFFICIENT: MappingProxyType[str, Callable[[Num, Num], Num]] = MappingProxyType(
    {"foil": foil, "two_arcs": ellipse, "ellipse": ellipse, "flat": flat}
)
"""Form by kind of section. Two arcs, which meet at so wide an angle that the stream may leave them before their tail,
are taken as an ellipse, a quarter more than streamlined; other kinds as flat, the most."""


def section_n_mm(shape: str, chord_mm: Num, thickness_mm: Num, speed_m_s: Num) -> Num:
    """Return the drag of a section per length of arm, N/mm, in sea water.

    >>> knots_9 = 4.63
    >>> [round(1e3 * float(section_n_mm(shape, 95.0, 22.0, knots_9)), 1) for shape in ("foil", "ellipse", "flat")]
    [20.1, 27.2, 100.4]
    """
    form = COEFFICIENT.get(shape, flat)
    coefficient = form(thickness_mm / chord_mm, reynolds(speed_m_s, chord_mm))
    return _pressure_n_mm2(speed_m_s) * coefficient * chord_mm


def junction_n(chord_mm: Num, thickness_mm: Num, speed_m_s: Num) -> Num:
    """Return what one end of an arm adds where it stands on a wall, N: (0.75 tau - 0.0003 / tau^2) t^2, never under 0.

    From memory (Hoerner).

    >>> round(float(junction_n(95.0, 22.0, 4.63)), 3)  # 0.01099 N/mm2 x (0.17368 - 0.00559) x 484
    0.894
    """
    tau = thickness_mm / chord_mm
    return _pressure_n_mm2(speed_m_s) * np.maximum(0.75 * tau - 0.0003 / tau**2, 0.0) * thickness_mm**2


def _pressure_n_mm2(speed_m_s: Num) -> Num:
    return 0.5 * WATER_KG_M3 * speed_m_s**2 * 1e-6
