"""Mechanics of a rudder shoe: a flat plate that reaches aft from its last bolts to the rudder's heel.

Statics, beam theory, torsion of a rectangle. N, mm, MPa.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strutwright.models.arrays import Num


def flat_bar_torsion_mm3(width_mm: Num, thickness_mm: Num) -> Num:
    """Return the torsion modulus (mm3) of a rectangle for the greatest shear, at the middle of its longer side:
    b t^2 / 3 over 1 + 0.6095 r + 0.8865 r^2 - 1.8023 r^3 + 0.91 r^4, with r = t / b and b the longer side.

    Roark's Formulas for Stress and Strain, torsion of a solid rectangle, from memory; within 0.4 % of the exact series.

    >>> round(float(flat_bar_torsion_mm3(1.0, 1.0)), 3)  # a square: 0.208 by the series
    0.208
    """
    long, short = np.maximum(width_mm, thickness_mm), np.minimum(width_mm, thickness_mm)
    r = short / long
    out: Num = long * short * short / (3.0 * (1.0 + r * (0.6095 + r * (0.8865 + r * (0.91 * r - 1.8023)))))
    return out


def flat_bar_twist_mm4(width_mm: Num, thickness_mm: Num) -> Num:
    """Return the torsion constant (mm4) of a rectangle: b t^3 (1 / 3 - 0.21 r (1 - r^4 / 12)), r = t / b, b the longer.

    Roark's Formulas for Stress and Strain, from memory; within 0.5 % of the exact series.

    >>> round(float(flat_bar_twist_mm4(1.0, 1.0)), 3)  # a square: 0.1406 by the series
    0.141
    """
    long, short = np.maximum(width_mm, thickness_mm), np.minimum(width_mm, thickness_mm)
    r = short / long
    out: Num = long * short * short * short * (1.0 / 3.0 - 0.21 * r * (1.0 - r * r * r * r / 12.0))
    return out


def twist_gathered(turning_nmm: Num, length_mm: Num, twists_nmm2: Num) -> Num:
    """Return how many times harder a bar that twists on what holds it all along is held at the end that is turned than
    a rigid one: x / tanh x, x = L sqrt(k / (G K)), k = turning / L. Bar on an elastic foundation in torsion, which
    G K phi'' = k phi rules.

    turning_nmm: of the rigid bar, N mm/rad; twists_nmm2: G K, N mm2. 1 of a rigid one, without bound of a soft one.

    >>> round(float(twist_gathered(1e9, 400.0, 4e11)), 3)  # x = 1: 1 / tanh 1
    1.313
    """
    x = np.sqrt(turning_nmm * length_mm / twists_nmm2)
    out: Num = x / np.tanh(np.maximum(x, 1e-9))
    return np.maximum(out, 1.0)


def section_stress_mpa(
    bent_nmm: tuple[Num, Num], shear_n: Num, twist_nmm: Num, width_mm: Num, thickness_mm: Num
) -> Num:
    """Return the equivalent stress (MPa) of a flat bar: bent sideways and up or down, sheared across and twisted, the
    peaks of all added as if they met in one point: sqrt(s^2 + 3 t^2). Beam theory, on the safe side.

    bent_nmm: about the upright, about the level axis across. width_mm: what is left of it between holes.

    >>> round(float(section_stress_mpa((1e6, 0.0), 0.0, 0.0, 100.0, 20.0)), 1)  # 1e6 x 6 / (20 x 100^2)
    30.0
    """
    b, t = width_mm, thickness_mm
    normal = 6.0 * np.abs(bent_nmm[0]) / (t * b * b) + 6.0 * np.abs(bent_nmm[1]) / (b * t * t)
    shear = 1.5 * np.abs(shear_n) / (b * t) + np.abs(twist_nmm) / flat_bar_torsion_mm3(b, t)
    out: Num = np.sqrt(normal**2 + 3.0 * shear**2)
    return out


def cantilever_give_mm_n(at_mm: Sequence[Num], second_mm4: Sequence[Num], youngs_mpa: Num) -> Num:
    """Return how far the free end of a cantilever of varying section moves (mm) per newton there: integral u^2 / (E I).

    at_mm: sections from the free end, rising, the first at 0 or where the bar begins, the last where it is held;
    second_mm4: second moments there. Unit-load method; Simpson's rule on three points between each two sections, 1 / I
    taken as straight between them; what lies before the first section counts as rigid.

    >>> round(float(cantilever_give_mm_n([0.0, 50.0, 100.0], [1e4] * 3, 200e3)) * 1e6, 2)  # L^3 / (3 E I)
    166.67
    """
    total: Num = 0.0
    for n in range(len(at_mm) - 1):
        a, b = at_mm[n], at_mm[n + 1]
        soft = 1.0 / np.asarray(second_mm4[n]), 1.0 / np.asarray(second_mm4[n + 1])
        middle, mean = (a + b) / 2.0, (soft[0] + soft[1]) / 2.0
        total = total + (b - a) / 6.0 * (a * a * soft[0] + 4.0 * middle * middle * mean + b * b * soft[1])
    out: Num = total / youngs_mpa
    return out


def blow_that_bends_n(yield_mpa: Num, width_mm: Num, thickness_mm: Num, lever_mm: Num) -> Num:
    """Return the force up or down (N) that bends a flat bar permanently at a lever: fy b t^2 / 4 over the lever.

    Simple plastic theory.

    >>> blow_that_bends_n(240.0, 100.0, 20.0, 150.0)
    16000.0
    """
    out: Num = yield_mpa * width_mm * thickness_mm * thickness_mm / 4.0 / lever_mm
    return out
