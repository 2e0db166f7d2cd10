"""Palm bolts: shear of the most loaded bolt of a group, resistances, the hull under them, length. Tension: `palm_bed`.

Palm frame: u forward along the palm, v to port, n square to it toward the hull (u x v = n). The load given is what the
strut does to the palm at the palm origin: force (Fu, Fv, Fn) N, moment (Mu, Mv, Mn) N mm; Fn > 0 presses the palm on
the hull. EN 1993-1-8 is quoted from memory; gamma is its partial factor, 1.25. Guidance: hull
strength and bedding decide as often as the bolt.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Num, Six, add, greatest, least, length, mul

# ---- a group of bolts


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoltGroup:
    """A palm's bolts as a group.

    twist: shear of the worst bolt per N mm about the middle of the bolts. least_edge_mm, least_pitch_mm: hole to the
    outline's box and to the nearest other hole.
    """

    count: int
    centre_u_mm: Num
    centre_v_mm: Num
    twist: Num
    least_edge_mm: Num
    least_pitch_mm: Num


def bolt_group(
    u_mm: Sequence[Num],
    v_mm: Sequence[Num],
    aft_mm: Num,
    forward_mm: Num,
    starboard_mm: Num,
    port_mm: Num,
    edge_lost_mm: Num = 0.0,
) -> BoltGroup:
    """The group of equal bolts at (u, v) under a palm whose edges are given.

    A twist turns it about the middle of the bolts: shear M r / sum r^2. edge_lost_mm: what the outline takes off the
    box at the hole nearest to it.

    >>> rows = bolt_group([75.0, 75.0, -75.0, -75.0], [60.0, -60.0, 60.0, -60.0], -100.0, 100.0, -80.0, 80.0)
    >>> float(rows.least_edge_mm), float(rows.least_pitch_mm)
    (20.0, 120.0)
    """
    n = len(u_mm)
    cu, cv = add(*u_mm) / n, add(*v_mm) / n
    radius2 = [(u - cu) ** 2 + (v - cv) ** 2 for u, v in zip(u_mm, v_mm, strict=True)]
    edge = least(
        [
            d
            for u, v in zip(u_mm, v_mm, strict=True)
            for d in (u - aft_mm, forward_mm - u, v - starboard_mm, port_mm - v)
        ]
    )
    apart2 = [(u_mm[i] - u_mm[j]) ** 2 + (v_mm[i] - v_mm[j]) ** 2 for i in range(n) for j in range(i)]
    return BoltGroup(
        count=n,
        centre_u_mm=cu,
        centre_v_mm=cv,
        twist=np.sqrt(greatest(radius2)) / add(*radius2),
        least_edge_mm=np.maximum(edge - edge_lost_mm, 0.0),
        least_pitch_mm=np.sqrt(least(apart2)) if apart2 else math.inf,
    )


def shear_n(group: BoltGroup, load: Six) -> Num:
    """Shear of the most loaded bolt, N: share of the force plus share of the twist, added as if along one line.

    >>> four = bolt_group([75.0, 75.0, -75.0, -75.0], [60.0, -60.0, 60.0, -60.0], -100.0, 100.0, -80.0, 80.0)
    >>> round(float(shear_n(four, (0.0, 0.0, 0.0, 0.0, 0.0, 6.8e6))), -2)  # Shigley, 9th ed., Ex 8-7: 17.7 kN
    17700.0
    """
    fu, fv, _, _, _, mn = load
    twist = add(mn, -mul(group.centre_u_mm, fv), mul(group.centre_v_mm, fu))
    return add(length(fu, fv) / group.count, mul(np.abs(twist), group.twist))


# ---- resistances


def bolt_shear_resistance_n(tensile_mpa: Num, area_mm2: Num, gamma: float) -> Num:
    """Shear resistance of one plane through the thread, N: 0.5 fub A/gamma (EN 1993-1-8 Table 3.4).

    0.5 through the thread of stainless, 4.8, 5.8, 6.8 and 10.9 bolts; the shank would have 0.6.

    >>> round(bolt_shear_resistance_n(700.0, 84.3, 1.25))  # M12 A4-70
    23604
    """
    return 0.5 * tensile_mpa * area_mm2 / gamma


def bolt_tension_resistance_n(tensile_mpa: Num, area_mm2: Num, gamma: float, countersunk: bool) -> Num:
    """Tension resistance, N: k2 fub A/gamma, k2 = 0.63 countersunk, 0.9 otherwise (EN 1993-1-8 Table 3.4).

    >>> round(bolt_tension_resistance_n(700.0, 84.3, 1.25, True))  # M12 A4-70
    29741
    """
    return (0.63 if countersunk else 0.9) * tensile_mpa * area_mm2 / gamma


def bearing_resistance_n(
    diameter_mm: Num,
    hole_mm: Num,
    plate_mm: Num,
    *,
    plate_tensile_mpa: Num,
    bolt_tensile_mpa: Num,
    edge_mm: Num,
    pitch_mm: Num,
    gamma: float,
) -> Num:
    """Bearing of a bolt in the palm, N: k1 alpha_b fu d t/gamma (EN 1993-1-8 Table 3.4).

    ``edge_mm`` least distance of a hole's centre from the edge and ``pitch_mm`` from another hole, taken both along and
    across the load. alpha_b = min(e/3d0, p/3d0 - 1/4, fub/fu, 1), k1 = min(2.8 e/d0 - 1.7, 1.4 p/d0 - 1.7, 2.5). t is
    the plate less half a countersink's depth. Range: e >= 1.2 d0; the result is not below zero.

    >>> metal, place = {"plate_tensile_mpa": 485.0, "bolt_tensile_mpa": 700.0}, {"edge_mm": 25.0, "pitch_mm": 60.0}
    >>> round(float(bearing_resistance_n(12.0, 13.5, 8.75, **metal, **place, gamma=1.25)), -1)  # 2.5 x 0.617 x ...
    62870.0
    """
    alpha_b = np.minimum(
        np.minimum(edge_mm / (3.0 * hole_mm), pitch_mm / (3.0 * hole_mm) - 0.25),
        np.minimum(bolt_tensile_mpa / plate_tensile_mpa, 1.0),
    )
    k1 = np.minimum(np.minimum(2.8 * edge_mm / hole_mm - 1.7, 1.4 * pitch_mm / hole_mm - 1.7), 2.5)
    force: Num = np.maximum(k1 * alpha_b * plate_tensile_mpa * diameter_mm * plate_mm / gamma, 0.0)
    return force


def punching_resistance_n(mean_head_mm: Num, plate_mm: Num, plate_tensile_mpa: Num, gamma: float) -> Num:
    """Punching shear of a head or nut through a metal plate, N: 0.6 pi d_m t fu/gamma (EN 1993-1-8 Table 3.4).

    >>> round(punching_resistance_n(24.0, 10.0, 500.0, 1.25))  # 0.6 pi 24 x 10 x 400
    180956
    """
    return 0.6 * np.pi * mean_head_mm * plate_mm * plate_tensile_mpa / gamma


def pull_through_n(washer_mm: Num, thickness_mm: Num, shear_strength_mpa: Num) -> Num:
    """Load that shears a washer through a laminate or plank, N: pi d t tau. Strength of materials, no factor in it.

    >>> round(pull_through_n(20.0, 40.0, 3.9))
    9802
    """
    return np.pi * washer_mm * thickness_mm * shear_strength_mpa


def tear_out_n(bolt_mm: Num, edge_mm: Num, hole_mm: Num, plate_mm: Num, plate_tensile_mpa: Num) -> Num:
    """Nominal tear-out of a bolt toward the edge, N: 1.2 l_c t Fu with clear distance l_c = edge - d0/2, but no more
    than the bolt's bearing there, 2.4 d t Fu.

    AISC 360 J3.10 (published, typed copy; deformation limited form); divide by 2.0 for allowable. Never below zero.

    >>> float(tear_out_n(16.0, 34.0, 18.0, 10.0, 500.0))  # 1.2 x 25 x 5000, which is under 2.4 x 16 x 5000
    150000.0
    """
    clear = np.maximum(edge_mm - hole_mm / 2.0, 0.0)
    force: Num = np.minimum(1.2 * clear, 2.4 * bolt_mm) * plate_mm * plate_tensile_mpa
    return force


def combined_utilisation(shear_n: Num, tension_n: Num, shear_resistance_n: Num, tension_resistance_n: Num) -> Num:
    """Utilisation in shear and tension together: the greater of Fv/FvR + Ft/(1.4 FtR) and Ft/FtR.

    EN 1993-1-8 Table 3.4. 1.0 or less is enough.

    >>> float(combined_utilisation(10e3, 14e3, 20e3, 20e3))  # a half and a half
    1.0
    """
    both = shear_n / shear_resistance_n + tension_n / (1.4 * tension_resistance_n)
    result: Num = np.maximum(both, tension_n / tension_resistance_n)
    return result


# ---- the hull under the bolts, and their length


def washer_pressure_mpa(force_n: Num, outside_mm: Num, hole_mm: Num) -> Num:
    """Mean pressure under a round washer, MPa: F / (pi/4 (D^2 - d^2)). Statics.

    >>> round(washer_pressure_mpa(5000.0, 20.0, 11.0), 2)  # over 219.1 mm2
    22.82
    """
    return force_n / (np.pi / 4.0 * (outside_mm**2 - hole_mm**2))


def pin_pressure_mpa(force_n: Num, diameter_mm: Num, hull_mm: Num) -> Num:
    """Mean pressure of a bolt on the side of its hole in the hull, MPa: F / (d h). Statics.

    >>> pin_pressure_mpa(8000.0, 10.0, 16.0)
    50.0
    """
    return force_n / (diameter_mm * hull_mm)


def backing_area_mm2(force_n: Num, allowable_mpa: Num) -> Num:
    """Net area a backing plate needs to spread a bolt force, mm2: F / p (statics; add the hole areas).

    >>> backing_area_mm2(5000.0, 2.5)
    2000.0
    """
    return force_n / allowable_mpa


def backing_thickness_mm(washer_mm: Num, spread_mm: Num, pressure_mpa: Num, yield_mpa: Num) -> Num:
    """Thickness for a plate to spread an even pressure from a washer to a circle so wide, mm; diameters.

    A ring plate held level at the washer's edge and free at its own, to first yield there, sqrt(6 M / fy): plate theory
    (Timoshenko, Theory of Plates and Shells), Poisson's ratio 0.3. A strip, as EN 1993-1-8 6.2.5 has it round a column,
    is too thin: a ring three times as wide as the washer bends three fifths harder, as its rim is longer.

    >>> round(float(backing_thickness_mm(24.0, 72.0, 12.0, 225.0)), 1)  # a strip 24 long: 9.6
    12.2
    """
    b = np.maximum(spread_mm / washer_mm, 1.0)
    b2, nu = b * b, 0.3
    edge = (1.0 + nu) * (b2 / 8.0 + 1.0 / 16.0) + b2 * ((1.0 + nu) * np.log(b) / 4.0 - (1.0 + 3.0 * nu) / 16.0)
    moment = 2.0 * edge / ((1.0 + nu) + (1.0 - nu) / b2) - b2 / 4.0 + 1.0 / 8.0
    thickness: Num = washer_mm / 2.0 * np.sqrt(6.0 * np.maximum(moment, 0.0) * pressure_mpa / yield_mpa)
    return thickness


def bolt_length_mm(
    palm_mm: Num, bedding_mm: Num, hull_mm: Num, backing_mm: Num, washer_mm: Num, nut_mm: Num, pitch_mm: Num
) -> Num:
    """Least length of a countersunk bolt over its head, mm: everything it passes through, the nut and 3 threads.

    >>> round(bolt_length_mm(14.0, 2.0, 16.0, 10.0, 2.0, 8.4, 1.5), 1)
    56.9
    """
    return palm_mm + bedding_mm + hull_mm + backing_mm + washer_mm + nut_mm + 3.0 * pitch_mm
