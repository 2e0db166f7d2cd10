"""The palm as a plate between arm foot and bolts: elastic strip bending, T-stub resistance and prying.

N, mm, MPa; floats or arrays broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.formulas.arm_rules import Num


@dataclass(frozen=True, slots=True)
class StripBending:
    """Elastic bending of the palm at the arm foot: moment (N mm), working width (mm), stress (MPa),
    utilisation."""

    moment_nmm: Num
    width_mm: Num
    stress_mpa: Num
    utilisation: Num


def strip_bending(
    tension_n: Num, lever_mm: Num, plate_mm: Num, head_mm: Num, pitch_mm: Num, allowable_mpa: Num
) -> StripBending:
    """Palm strip bent by one bolt, as a cantilever from the toe of the arm fillet.

    ``tension_n`` of the bolt, ``lever_mm`` bolt centre to fillet toe, ``plate_mm`` palm thickness,
    ``head_mm`` head
    or washer diameter, ``pitch_mm`` along the row (tributary width; distance to the edge x 2 for an end
    bolt).
    Working width = head + 2 lever (load spread at 45 degrees), not more than the pitch: common practice, no
    source. Stress 6 M/(b t^2).
    """
    width: Num = np.minimum(head_mm + 2.0 * lever_mm, pitch_mm)
    moment = tension_n * lever_mm
    stress = 6.0 * moment / (width * plate_mm**2)
    return StripBending(moment, width, stress, stress / allowable_mpa)


def effective_length_mm(m_mm: Num, e_mm: Num, end_mm: Num = np.inf, pitch_mm: Num = np.inf) -> Num:
    """Effective length of a T-stub flange for one bolt row pattern, mm, per bolt row (EN 1993-1-8 Table 6.4).

    ``m_mm`` bolt to fillet (bolt centre to plate face less 0.8 x fillet), ``e_mm`` bolt to the edge across,
    ``end_mm`` bolt to the free end along the row (inf: inner bolt). Smallest of the patterns 2 pi m, pi m +
    2 e1,
    4 m + 1.25 e, 2 m + 0.625 e + e1, and the pitch as the share of a bolt inside a row. From memory; confirm.
    """
    circular = np.minimum(2.0 * np.pi * m_mm, np.pi * m_mm + 2.0 * end_mm)
    straight = np.minimum(4.0 * m_mm + 1.25 * e_mm, 2.0 * m_mm + 0.625 * e_mm + end_mm)
    length: Num = np.minimum(np.minimum(circular, straight), pitch_mm)
    return length


@dataclass(frozen=True, slots=True)
class TStub:
    """Resistance of a T-stub with two bolts, N, by mode (1 flange yields, 2 flange and bolts, 3 bolts), the
    least
    of them and its mode number."""

    mode1_n: Num
    mode2_n: Num
    mode3_n: Num
    resistance_n: Num
    mode: Num


def t_stub(
    length_mm: Num, plate_mm: Num, yield_mpa: Num, bolt_n: Num, m_mm: Num, e_mm: Num, gamma: float = 1.0
) -> TStub:
    """T-stub of one bolt each side (EN 1993-1-8 6.2.4): 4 M/m, (2 M + n 2 B)/(m + n), 2 B.

    M = 0.25 l t^2 fy/gamma; n = min(e, 1.25 m); ``bolt_n`` tension resistance B of one bolt. Prying is
    inside modes
    1 and 2. For a palm the arm is the web and the two rows beside it the bolts. From memory; confirm.
    """
    plastic = 0.25 * length_mm * plate_mm**2 * yield_mpa / gamma
    n = np.minimum(e_mm, 1.25 * m_mm)
    mode1 = 4.0 * plastic / m_mm
    mode2 = (2.0 * plastic + n * 2.0 * bolt_n) / (m_mm + n)
    mode3 = 2.0 * bolt_n
    stack = np.stack(np.broadcast_arrays(mode1, mode2, mode3))
    return TStub(mode1, mode2, mode3, stack.min(axis=0)[()], (stack.argmin(axis=0) + 1)[()])


def prying_force_n(tension_n: Num, length_mm: Num, plate_mm: Num, yield_mpa: Num, m_mm: Num, e_mm: Num) -> Num:
    """Prying force on one bolt, N: Q = (T m - M)/n, not below 0 nor above M/n.

    ``tension_n`` applied per bolt, ``length_mm`` of plate per bolt; M = 0.25 l t^2 fy is the hinge at the
    arm foot.
    0: plate so stiff that the foot hinge is not reached. M/n: hinges at foot and bolt line, the plate cannot
    carry
    more. Equilibrium of the T-stub (same model as `t_stub`). Bolt force is T + Q.
    """
    plastic = 0.25 * length_mm * plate_mm**2 * yield_mpa
    n = np.minimum(e_mm, 1.25 * m_mm)
    force: Num = np.clip((tension_n * m_mm - plastic) / n, 0.0, plastic / n)
    return force
