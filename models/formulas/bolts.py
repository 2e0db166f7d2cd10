"""Palm bolts: the most loaded bolt of a group, an elastic bed under the palm, resistances, length.

Palm frame: u forward along the palm, v to port, n square to it toward the hull (u x v = n). The load given is what the
strut does to the palm at the palm origin: force (Fu, Fv, Fn) N, moment (Mu, Mv, Mn) N mm; Fn > 0 presses the palm on
the hull. Bolt tensions hold it. EN 1993-1-8 is quoted from memory; gamma is its partial factor, 1.25. Guidance: hull
strength and bedding decide as often as the bolt.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Floats, Num, Six, add, greatest, least, length, mul

# ---- the most loaded bolt of a group


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoltGroup:
    """A palm's bolts as a group: tension of the worst bolt per N mm of a moment, tipping about each edge.

    Moments about u and v in the sense of the palm axes; *_plus for positive ones. twist: shear of the worst bolt per
    N mm. least_edge_mm, least_pitch_mm: hole to the outline's box and to the nearest other hole.
    """

    count: int
    centre_u_mm: Num
    centre_v_mm: Num
    mu_plus: Num
    mu_minus: Num
    mv_plus: Num
    mv_minus: Num
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
    """The group of equal bolts at (u, v) under a rigid palm whose edges are given.

    The palm tips about its toe edge: tension M l / sum l^2 with levers l from that edge (textbook eccentric-load rule
    for a bracket). A twist turns it about the middle of the bolts: shear M r / sum r^2. edge_lost_mm: what the outline
    takes off the box at the hole nearest to it.

    >>> rows = bolt_group([150.0, 150.0, 25.0, 25.0], [-20.0, 20.0, -20.0, 20.0], 0.0, 200.0, -60.0, 60.0)
    >>> round(float(tension_n(rows, (0.0, 0.0, 0.0, 0.0, 2.5e6, 0.0))), 1)  # a textbook's bracket: 8108.1 N
    8108.1
    """
    n = len(u_mm)
    cu, cv = add(*u_mm) / n, add(*v_mm) / n

    def per_moment(levers: list[Num]) -> Num:
        levers = [np.maximum(x, 0.0) for x in levers]
        return greatest(levers) / add(*(x * x for x in levers))

    radius2 = [(u - cu) ** 2 + (v - cv) ** 2 for u, v in zip(u_mm, v_mm, strict=True)]
    edge = least(
        [
            d
            for u, v in zip(u_mm, v_mm, strict=True)
            for d in (u - aft_mm, forward_mm - u, v - starboard_mm, port_mm - v)
        ]
    )
    apart2 = [(u_mm[i] - u_mm[j]) ** 2 + (v_mm[i] - v_mm[j]) ** 2 for i in range(n) for j in range(i)]
    # Mu > 0 lifts the starboard side and tips about the port edge; Mv > 0 lifts the forward side.
    return BoltGroup(
        count=n,
        centre_u_mm=cu,
        centre_v_mm=cv,
        mu_plus=per_moment([port_mm - v for v in v_mm]),
        mu_minus=per_moment([v - starboard_mm for v in v_mm]),
        mv_plus=per_moment([u - aft_mm for u in u_mm]),
        mv_minus=per_moment([forward_mm - u for u in u_mm]),
        twist=np.sqrt(greatest(radius2)) / add(*radius2),
        least_edge_mm=np.maximum(edge - edge_lost_mm, 0.0),
        least_pitch_mm=np.sqrt(least(apart2)) if apart2 else math.inf,
    )


def tension_n(group: BoltGroup, load: Six) -> Num:
    """Tension of the most loaded bolt, N: a pull shared equally, each moment about its toe edge, all added.

    A press is ignored. On the safe side where the greatest of both levers falls on different bolts. On a soft hull the
    lever is shorter and the tension higher: see `bolt_tensions_contact`.

    >>> pair = bolt_group([0.0, 0.0], [0.0, 100.0], -50.0, 50.0, -50.0, 150.0)
    >>> float(tension_n(pair, (0.0, 0.0, -1000.0, 0.0, 0.0, 0.0)))  # 500, and 50 000 N mm x 150 / (150^2 + 50^2)
    800.0
    """
    _, _, fn, mu, mv, _ = load
    pull: Num = np.maximum(-fn, 0.0)
    # A pull acts at the palm zero; moved to the middle of the bolts it brings a moment.
    mu, mv = add(mu, mul(group.centre_v_mm, pull)), add(mv, -mul(group.centre_u_mm, pull))
    return add(
        pull / group.count,
        np.maximum(mul(mu, group.mu_plus), -mul(mu, group.mu_minus)),
        np.maximum(mul(mv, group.mv_plus), -mul(mv, group.mv_minus)),
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


# ---- a rigid palm on an elastic bed, one at a time


@dataclass(frozen=True, slots=True)
class ContactResult:
    """Bolt tensions (bolts,), N, and contact pressure, MPa, at the cells of `outline_cells`."""

    tension_n: Floats
    pressure_mpa: Floats


def outline_cells(outline_mm: Floats, across: int) -> tuple[Floats, float]:
    """Centres (n, 2) and equal area (mm2) of square cells whose centre lies in a closed outline (n, 2).

    The cell area is scaled so that the cells add up to the outline's area (shoelace).

    >>> cells, area = outline_cells(np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 20.0], [0.0, 20.0]]), 4)
    >>> len(cells), area
    (8, 100.0)
    """
    outline = np.asarray(outline_mm, dtype=np.float64)
    low, high = outline.min(axis=0), outline.max(axis=0)
    side = float((high - low).max()) / across
    counts = np.maximum(np.round((high - low) / side).astype(int), 1)
    axes = [low[k] + (np.arange(counts[k]) + 0.5) * (high[k] - low[k]) / counts[k] for k in range(2)]
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)
    following = np.roll(outline, -1, axis=0)
    inside = np.zeros(len(grid), dtype=bool)
    for (u0, v0), (u1, v1) in zip(outline, following, strict=True):
        crosses = (v0 > grid[:, 1]) != (v1 > grid[:, 1])
        if v0 != v1:
            inside ^= crosses & (grid[:, 0] < u0 + (grid[:, 1] - v0) / (v1 - v0) * (u1 - u0))
    area = 0.5 * abs(float(np.sum(outline[:, 0] * following[:, 1] - outline[:, 1] * following[:, 0])))
    cells = grid[inside]
    return cells, area / len(cells)


def bolt_tensions_contact(
    points_mm: Floats,
    outline_mm: Floats,
    fn_n: float,
    mu_nmm: float,
    mv_nmm: float,
    bolt_stiffness_n_mm: float,
    bed_stiffness_mpa_mm: float,
    across: int,
) -> ContactResult:
    """Tensions with the palm lifting off and bearing on an elastic bed: the neutral axis is found by iteration.

    Rigid palm; bolts (n, 2) pull only (stiffness E A / grip, N/mm), the bed under ``outline_mm`` (n, 2), in cells
    ``across`` its longer side, pushes only (stiffness per area, MPa/mm: hull modulus / thickness). One load at a time.
    Preload is not modelled: it keeps the joint shut but does not change the load at which it parts. Solved as the
    minimum of a convex energy by Newton steps on the active set. Raises ValueError when the load cannot be held (bolts
    on one line and no bed to react).

    >>> square = 50.0 * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    >>> bolt_tensions_contact(square / 2.0, square, -400.0, 0.0, 0.0, 1e5, 10.0, 10).tension_n.round(6).tolist()
    [100.0, 100.0, 100.0, 100.0]
    """
    points = np.asarray(points_mm, dtype=np.float64)
    cells, cell_area = outline_cells(outline_mm, across)
    scale = float(np.abs(np.asarray(outline_mm)).max())
    bolt_basis = np.column_stack([np.ones(len(points)), points / scale])
    cell_basis = np.column_stack([np.ones(len(cells)), cells / scale])
    want = np.array([-fn_n, mv_nmm / scale, -mu_nmm / scale])
    bed = bed_stiffness_mpa_mm * cell_area

    def energy(trial: Floats) -> float:
        lift, press = np.maximum(bolt_basis @ trial, 0.0), np.minimum(cell_basis @ trial, 0.0)
        return float(0.5 * bolt_stiffness_n_mm * lift @ lift + 0.5 * bed * press @ press - want @ trial)

    plane: Floats = np.zeros(3)  # the gap: w0 + a u + b v, positive where the palm lifts
    bolts_on, cells_on = np.ones(len(points), dtype=bool), np.ones(len(cells), dtype=bool)
    for _ in range(200):
        hessian = (
            bolt_stiffness_n_mm * bolt_basis[bolts_on].T @ bolt_basis[bolts_on]
            + bed * cell_basis[cells_on].T @ cell_basis[cells_on]
        )
        gradient = hessian @ plane - want
        step = np.linalg.lstsq(hessian, -gradient, rcond=1e-13)[0]
        factor, here = 1.0, energy(plane)
        while energy(plane + factor * step) > here + 1e-4 * factor * float(gradient @ step) and factor > 1e-9:
            factor *= 0.5
        plane = plane + factor * step
        bolts_on, cells_on = bolt_basis @ plane > 0.0, cell_basis @ plane < 0.0
        tension = bolt_stiffness_n_mm * np.maximum(bolt_basis @ plane, 0.0)
        push = bed * np.minimum(cell_basis @ plane, 0.0)
        residual = bolt_basis.T @ tension + cell_basis.T @ push - want
        if np.abs(residual).max() <= 1e-9 * max(1.0, float(np.abs(want).max())):
            return ContactResult(tension, -push / cell_area)
    raise ValueError("the bolts and the bed under the palm cannot hold this load")


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


def backing_area_mm2(force_n: Num, allowable_mpa: Num) -> Num:
    """Net area a backing plate needs to spread a bolt force, mm2: F / p (statics; add the hole areas).

    >>> backing_area_mm2(5000.0, 2.5)
    2000.0
    """
    return force_n / allowable_mpa


def backing_thickness_mm(overhang_mm: Num, pressure_mpa: Num, yield_mpa: Num) -> Num:
    """Thickness for a plate to spread pressure ``overhang_mm`` beyond the nut, mm: c sqrt(3 p / fy).

    Elastic cantilever strip: the inverse of the spread width c = t sqrt(fy/(3 p gamma)) of EN 1993-1-8 6.2.5.

    >>> float(backing_thickness_mm(25.0, 12.0, 225.0))  # 25 x 0.4
    10.0
    """
    thickness: Num = overhang_mm * np.sqrt(3.0 * pressure_mpa / yield_mpa)
    return thickness


def bolt_length_mm(
    palm_mm: Num, bedding_mm: Num, hull_mm: Num, backing_mm: Num, washer_mm: Num, nut_mm: Num, pitch_mm: Num
) -> Num:
    """Least length of a countersunk bolt over its head, mm: everything it passes through, the nut and 3 threads.

    >>> round(bolt_length_mm(14.0, 2.0, 16.0, 10.0, 2.0, 8.4, 1.5), 1)
    56.9
    """
    return palm_mm + bedding_mm + hull_mm + backing_mm + washer_mm + nut_mm + 3.0 * pitch_mm
