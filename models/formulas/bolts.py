"""Palm bolts: loads on each bolt, resistances, spacing minima, and what the hull under the nuts can bear.

Palm frame: u forward along the palm, v to port, n square to it toward the hull (u x v = n). The wrench given
is
what the strut does to the palm at the palm origin: force (Fu, Fv, Fn) N, moment (Mu, Mv, Mn) N mm; Fn > 0
presses
the palm on the hull. Bolt tensions hold it. Guidance: hull strength and bedding decide as often as the bolt.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from strutwright.models.formulas.arm_rules import Num, RuleValue

FloatArray = npt.NDArray[np.float64]
_EC3 = "EN 1993-1-8 Tables 3.3 and 3.4"
_MEMO = "value from memory; confirm against the standard"


# ---- loads on bolts


@dataclass(frozen=True, slots=True)
class BoltLoads:
    """Shear (N, size) and tension (N, >= 0) of each bolt, last axis = bolts."""

    shear_n: FloatArray
    tension_n: FloatArray


def bolt_shears_n(points_mm: FloatArray, fu_n: Num, fv_n: Num, mn_nmm: Num) -> FloatArray:
    """In-plane force on each equal bolt, elastic vector method, (..., bolts, 2).

    ``points_mm`` (bolts, 2) in the palm frame; the moment is about the palm origin and is carried over to the
    centroid here. F' = F/n, F'' = M r/sum r^2 square to r. Range: bolts all of one size, plate rigid. Raises
    ValueError when a twisting moment meets a single bolt.
    """
    points = np.asarray(points_mm, dtype=np.float64)
    centre = points.mean(axis=0)
    arm = points - centre
    polar = float(np.sum(arm**2))
    fu, fv, mn = (np.asarray(v, dtype=np.float64)[..., None] for v in (fu_n, fv_n, mn_nmm))
    twist = mn - (centre[0] * fv - centre[1] * fu)
    if polar == 0.0:
        if np.any(twist != 0.0):
            raise ValueError("a single bolt cannot carry a twisting moment in its plane")
        polar = 1.0
    u = fu / len(points) - twist * arm[:, 1] / polar
    v = fv / len(points) + twist * arm[:, 0] / polar
    return np.stack(np.broadcast_arrays(u, v), axis=-1)


def bolt_tensions_elastic_n(points_mm: FloatArray, fn_n: Num, mu_nmm: Num, mv_nmm: Num) -> FloatArray:
    """Tension on each bolt when bolts alone carry pull and moment, signed, (..., bolts): N/n plus moments
    over sum of
    squares about the group's own centroid, with the product of inertia.

    Optimistic on levers to the toe, as if the palm did not touch the hull: the moment is carried about the
    middle
    of the bolts. Raises ValueError when bolts lie on one line and the moment needs the missing direction.
    """
    points = np.asarray(points_mm, dtype=np.float64)
    pull = -np.asarray(fn_n, dtype=np.float64)
    basis = np.column_stack([np.ones(len(points)), points])
    gram = basis.T @ basis
    want = np.stack(
        np.broadcast_arrays(pull, np.asarray(mv_nmm, dtype=np.float64), -np.asarray(mu_nmm, dtype=np.float64)), axis=-1
    )
    inverse = np.linalg.pinv(gram, rcond=1e-12, hermitian=True)
    plane = want @ inverse
    if not np.allclose(plane @ gram, want, rtol=1e-6, atol=1e-6 * (1.0 + float(np.abs(want).max()))):
        raise ValueError("the bolts lie on one line and cannot carry a moment about that line")
    tension: FloatArray = plane @ basis.T
    return tension


def bolt_tensions_toe_n(
    points_mm: FloatArray, outline_mm: FloatArray, fn_n: Num, mu_nmm: Num, mv_nmm: Num
) -> FloatArray:
    """Tension on each bolt with the palm tipping about the toe edge, (..., bolts). For a hull stiff under
    the palm.

    Each moment component turns the palm about the line through the outermost point of ``outline_mm`` (n, 2)
    on the
    pressed side: T_i = M l_i / sum l^2 with l_i from that line (textbook eccentric-load rule for a bracket).
    A pull
    (Fn < 0) is shared equally; a press is ignored. Tensions of the two directions are added.
    On a soft hull the lever is shorter and the tension higher: use `bolt_tensions_contact` there.
    """
    points, outline = np.asarray(points_mm, dtype=np.float64), np.asarray(outline_mm, dtype=np.float64)
    mu, mv = np.asarray(mu_nmm, dtype=np.float64)[..., None], np.asarray(mv_nmm, dtype=np.float64)[..., None]
    pull = np.maximum(-np.asarray(fn_n, dtype=np.float64)[..., None], 0.0) / len(points)
    tension = np.zeros(len(points)) + pull
    # Mv > 0 needs tension at +u (toe at least u); Mu > 0 needs tension at -v (toe at greatest v).
    for moment, axis, sign in ((mv, 0, 1.0), (mu, 1, -1.0)):
        for way in (1.0, -1.0):
            coordinate = sign * way * points[:, axis]
            lever = coordinate - (sign * way * outline[:, axis]).min()
            tension = tension + np.maximum(way * moment, 0.0) * lever / np.sum(lever**2)
    return tension


@dataclass(frozen=True, slots=True)
class ContactResult:
    """Bolt tensions (bolts,), contact pressure at the cells (MPa), cell centres (n, 2) and the gap plane
    (w0, per u, per v): w = w0 + a u + b v, positive where the palm lifts."""

    tension_n: FloatArray
    pressure_mpa: FloatArray
    cells_mm: FloatArray
    plane: FloatArray


def outline_cells(outline_mm: FloatArray, across: int = 40) -> tuple[FloatArray, float]:
    """Centres (n, 2) and equal area (mm2) of square cells whose centre lies in a closed outline (n, 2).

    The cell area is scaled so that the cells add up to the outline's area (shoelace).
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
    points_mm: FloatArray,
    outline_mm: FloatArray,
    fn_n: float,
    mu_nmm: float,
    mv_nmm: float,
    bolt_stiffness_n_mm: float,
    bed_stiffness_mpa_mm: float,
    across: int = 40,
) -> ContactResult:
    """Tensions with the palm lifting off and bearing on an elastic bed: the neutral axis is found by
    iteration.

    Rigid palm; bolts pull only (stiffness E A / grip, N/mm), the bed under ``outline_mm`` (n, 2) pushes only
    (stiffness per area, MPa/mm: hull modulus / thickness). One load at a time. Preload is not modelled: it
    keeps
    the joint shut but does not change the load at which it parts. Solved as the minimum of a convex energy by
    Newton steps on the active set. Raises ValueError when the load cannot be held (bolts on one line and no
    bed
    to react).
    """
    points = np.asarray(points_mm, dtype=np.float64)
    cells, cell_area = outline_cells(outline_mm, across)
    scale = float(np.abs(np.asarray(outline_mm)).max())
    bolt_basis = np.column_stack([np.ones(len(points)), points / scale])
    cell_basis = np.column_stack([np.ones(len(cells)), cells / scale])
    want = np.array([-fn_n, mv_nmm / scale, -mu_nmm / scale])
    bed = bed_stiffness_mpa_mm * cell_area

    def energy(trial: FloatArray) -> float:
        lift, press = np.maximum(bolt_basis @ trial, 0.0), np.minimum(cell_basis @ trial, 0.0)
        return float(0.5 * bolt_stiffness_n_mm * lift @ lift + 0.5 * bed * press @ press - want @ trial)

    plane: FloatArray = np.zeros(3)
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
            pressure = -push / cell_area
            return ContactResult(tension, pressure, cells, plane / np.array([1.0, scale, scale]))
    raise ValueError("the bolts and the bed under the palm cannot hold this load")


def bolt_loads(
    points_mm: FloatArray,
    force_n: FloatArray,
    moment_nmm: FloatArray,
    outline_mm: FloatArray | None = None,
    prying_factor: float = 1.0,
) -> BoltLoads:
    """Shear and tension of each bolt under wrenches ``force_n``, ``moment_nmm`` (..., 3) at the palm origin.

    With ``outline_mm`` the palm tips about its toe edge; without it the bolts alone carry the moment and
    compression is dropped. ``prying_factor`` multiplies tension (see `palm_plate.prying_force_n`).
    """
    force, moment = np.asarray(force_n, dtype=np.float64), np.asarray(moment_nmm, dtype=np.float64)
    shear = np.linalg.norm(bolt_shears_n(points_mm, force[..., 0], force[..., 1], moment[..., 2]), axis=-1)
    if outline_mm is None:
        tension = np.maximum(bolt_tensions_elastic_n(points_mm, force[..., 2], moment[..., 0], moment[..., 1]), 0.0)
    else:
        tension = bolt_tensions_toe_n(points_mm, outline_mm, force[..., 2], moment[..., 0], moment[..., 1])
    return BoltLoads(shear, prying_factor * tension)


# ---- resistances


@dataclass(frozen=True, slots=True)
class BoltMaterial:
    """Tensile and yield (0.2 % proof) strength of a bolt material, MPa, with standing and source."""

    name: str
    tensile_mpa: float
    yield_mpa: float
    standing: str
    confidence: str
    source: str


_F468 = "ASTM F468"
BOLT_MATERIALS: Mapping[str, BoltMaterial] = {
    m.name: m
    for m in (
        BoltMaterial("A4-50", 500.0, 210.0, "from memory", "H", "ISO 3506-1"),
        BoltMaterial("A4-70", 700.0, 450.0, "from memory", "H", "ISO 3506-1"),
        BoltMaterial("A4-80", 800.0, 600.0, "from memory", "H", "ISO 3506-1"),
        BoltMaterial("C65100 up to 3/4 in", 483.0, 379.0, "published", "H", _F468),
        BoltMaterial("C65100 over 3/4 in", 379.0, 276.0, "from memory", "M", _F468),
        BoltMaterial("C65500", 345.0, 138.0, "from memory", "M", _F468),
    )
}


def stress_area_mm2(diameter_mm: Num, pitch_mm: Num) -> Num:
    """Tensile stress area of a 60 degree thread, mm2: pi/4 (d - 0.9382 P)^2 (ISO 898-1, ISO 724 basis)."""
    return np.pi / 4.0 * (diameter_mm - 0.9382 * pitch_mm) ** 2


def bolt_shear_resistance_n(tensile_mpa: Num, area_mm2: Num, gamma: float = 1.25, alpha_v: float = 0.5) -> Num:
    """Shear resistance of one plane, N: alpha_v fub A/gamma (EN 1993-1-8 Table 3.4).

    ``alpha_v`` 0.5 through the thread of stainless, 4.8, 5.8, 6.8 and 10.9 bolts, 0.6 through the shank.
    """
    return alpha_v * tensile_mpa * area_mm2 / gamma


def bolt_tension_resistance_n(tensile_mpa: Num, area_mm2: Num, gamma: float = 1.25, countersunk: bool = True) -> Num:
    """Tension resistance, N: k2 fub A/gamma, k2 = 0.63 countersunk, 0.9 otherwise (EN 1993-1-8 Table 3.4)."""
    return (0.63 if countersunk else 0.9) * tensile_mpa * area_mm2 / gamma


@dataclass(frozen=True, slots=True)
class BearingResistance:
    """Bearing resistance of one bolt in the plate, N, with the two factors that set it."""

    force_n: Num
    alpha_b: Num
    k1: Num


def bearing_resistance(
    diameter_mm: Num,
    hole_mm: Num,
    plate_mm: Num,
    plate_tensile_mpa: Num,
    bolt_tensile_mpa: Num,
    end_mm: Num,
    side_mm: Num,
    pitch_mm: Num = np.inf,
    gauge_mm: Num = np.inf,
    countersink_mm: Num = 0.0,
    gamma: float = 1.25,
) -> BearingResistance:
    """Bearing of a bolt in the palm, k1 alpha_b fu d t/gamma (EN 1993-1-8 Table 3.4).

    ``end_mm``/``pitch_mm`` edge distance and pitch along the load, ``side_mm``/``gauge_mm`` across it, all
    from hole
    centres; leave pitch or gauge out when there is no neighbour. t is the plate less half the countersink
    depth.
    Range: end and side >= 1.2 d0; the result is not below zero.
    """
    alpha_b: Num = np.minimum(
        np.minimum(end_mm / (3.0 * hole_mm), pitch_mm / (3.0 * hole_mm) - 0.25),
        np.minimum(bolt_tensile_mpa / plate_tensile_mpa, 1.0),
    )
    k1: Num = np.minimum(np.minimum(2.8 * side_mm / hole_mm - 1.7, 1.4 * gauge_mm / hole_mm - 1.7), 2.5)
    thickness = plate_mm - countersink_mm / 2.0
    force: Num = np.maximum(k1 * alpha_b * plate_tensile_mpa * diameter_mm * thickness / gamma, 0.0)
    return BearingResistance(force, alpha_b, k1)


def punching_resistance_n(mean_head_mm: Num, plate_mm: Num, plate_tensile_mpa: Num, gamma: float = 1.25) -> Num:
    """Punching shear of a head or nut through a metal plate, N: 0.6 pi d_m t fu/gamma (EN 1993-1-8 Table
    3.4)."""
    return 0.6 * np.pi * mean_head_mm * plate_mm * plate_tensile_mpa / gamma


def pull_through_n(washer_mm: Num, thickness_mm: Num, shear_strength_mpa: Num) -> Num:
    """Load that shears a washer through a laminate or plank, N: pi d t tau. Strength of materials, no factor
    in it."""
    return np.pi * washer_mm * thickness_mm * shear_strength_mpa


def tear_out_n(edge_mm: Num, hole_mm: Num, plate_mm: Num, plate_tensile_mpa: Num) -> Num:
    """Nominal tear-out of a bolt toward the edge, N: 1.2 l_c t Fu with clear distance l_c = edge - d0/2.

    AISC 360 J3.10 (from memory, deformation limited form); divide by 2.0 for allowable. Never below zero.
    """
    force: Num = 1.2 * np.maximum(edge_mm - hole_mm / 2.0, 0.0) * plate_mm * plate_tensile_mpa
    return force


def combined_utilisation(shear_n: Num, tension_n: Num, shear_resistance_n: Num, tension_resistance_n: Num) -> Num:
    """Utilisation in shear and tension together: the greater of Fv/FvR + Ft/(1.4 FtR) and Ft/FtR.

    EN 1993-1-8 Table 3.4 (from memory, high confidence). 1.0 or less is enough.
    """
    both = shear_n / shear_resistance_n + tension_n / (1.4 * tension_resistance_n)
    result: Num = np.maximum(both, tension_n / tension_resistance_n)
    return result


# ---- spacing and bedding

SpacingRule = Literal["structural", "aisc", "light craft", "aerospace", "composite"]

_AISC_EDGE_IN = ((0.5, 0.75), (0.625, 0.875), (0.75, 1.0), (0.875, 1.125), (1.0, 1.25), (1.125, 1.5), (1.25, 1.625))


def edge_minimum(diameter_mm: float, hole_mm: float, rule: SpacingRule = "structural") -> RuleValue:
    """Least distance hole centre to edge, mm, by rule.

    structural 1.2 d0; aisc table by bolt size (next larger row; under 1/2 in 1.5 d, over 1 1/4 in 1.25 d);
    light craft
    1.7 d; aerospace 2 d; composite 3 d.
    """
    if rule == "structural":
        return RuleValue(1.2 * hole_mm, "mm", "published", "H", _EC3)
    if rule == "aisc":
        inches = diameter_mm / 25.4
        if inches < 0.5 - 1e-9:
            return RuleValue(1.5 * diameter_mm, "mm", "common practice", "M", "below the table's first row")
        edge = next((e for d, e in _AISC_EDGE_IN if inches <= d + 1e-9), 1.25 * inches)
        return RuleValue(edge * 25.4, "mm", "from memory", "H", "AISC 360 Table J3.4", _MEMO)
    if rule == "light craft":
        return RuleValue(1.7 * diameter_mm, "mm", "published", "H", "Japanese light-craft guidance, engine seats")
    if rule == "aerospace":
        return RuleValue(2.0 * diameter_mm, "mm", "from memory", "H", "MIL-HDBK-5 practice", "1.5 d with reduction")
    return RuleValue(3.0 * diameter_mm, "mm", "from memory", "M", "MIL-HDBK-17 practice for laminates", _MEMO)


def pitch_minimum(diameter_mm: float, hole_mm: float, rule: SpacingRule = "structural") -> RuleValue:
    """Least distance between hole centres, mm: structural 2.4 d0 (safe for both directions), aisc 2 2/3 d,
    light craft 3 d, aerospace and composite 4 d."""
    if rule == "structural":
        return RuleValue(2.4 * hole_mm, "mm", "published", "H", _EC3, "2.2 d0 along the load")
    if rule == "aisc":
        return RuleValue(8.0 / 3.0 * diameter_mm, "mm", "from memory", "H", "AISC 360 J3.3", "3 d preferred")
    if rule == "light craft":
        return RuleValue(3.0 * diameter_mm, "mm", "published", "H", "Japanese light-craft guidance, engine seats")
    if rule == "aerospace":
        return RuleValue(4.0 * diameter_mm, "mm", "from memory", "H", "MIL-HDBK-5 practice", _MEMO)
    return RuleValue(4.0 * diameter_mm, "mm", "from memory", "M", "MIL-HDBK-17 practice for laminates", _MEMO)


HULL_PRESSURE: Mapping[str, RuleValue] = {
    "glass laminate": RuleValue(20.0, "MPa", "common practice", "L", "no source", "solid laminate, through thickness"),
    "cored laminate": RuleValue(1.0, "MPa", "common practice", "L", "no source", "core crushes; use a solid plug"),
    "plywood": RuleValue(3.0, "MPa", "common practice", "L", "no source", "across the face; less when wet"),
    "softwood": RuleValue(
        2.5,
        "MPa",
        "from memory",
        "H",
        "EN 338 class C24, across the grain",
        "characteristic; divide by about 2 for wet and long duration",
    ),
    "hardwood": RuleValue(
        5.3,
        "MPa",
        "from memory",
        "M",
        "EN 338 class D30, across the grain",
        "characteristic; divide by about 2 for wet and long duration",
    ),
    "aluminium": RuleValue(125.0, "MPa", "from memory", "H", "5083-O/H111 plate proof strength, EN 485-2", _MEMO),
    "steel": RuleValue(235.0, "MPa", "from memory", "H", "ordinary hull steel yield", _MEMO),
}
"""Pressure a hull material bears under a washer or backing plate, MPa; those of confidence L are hints."""


def washer_pressure_mpa(force_n: Num, outside_mm: Num, hole_mm: Num) -> Num:
    """Mean pressure under a round washer, MPa: F / (pi/4 (D^2 - d^2))."""
    return force_n / (np.pi / 4.0 * (outside_mm**2 - hole_mm**2))


def backing_area_mm2(force_n: Num, allowable_mpa: Num) -> Num:
    """Net area a backing plate needs to spread a bolt force, mm2: F / p (statics; add the hole areas)."""
    return force_n / allowable_mpa


def backing_thickness_mm(overhang_mm: Num, pressure_mpa: Num, yield_mpa: Num, gamma: float = 1.0) -> Num:
    """Thickness for a plate to spread pressure ``overhang_mm`` beyond the nut, mm: c sqrt(3 p gamma / fy).

    Elastic cantilever strip: the inverse of the spread width c = t sqrt(fy/(3 p gamma)) of EN 1993-1-8 6.2.5.
    """
    thickness: Num = overhang_mm * np.sqrt(3.0 * pressure_mpa * gamma / yield_mpa)
    return thickness


def preload_n(area_mm2: Num, yield_mpa: Num, share: Num = 0.6) -> Num:
    """Preload, N: a share of yield on the stress area. 0.6 is common practice; hulls of wood or laminate
    bear less."""
    return share * yield_mpa * area_mm2


def tightening_torque_nmm(preload: Num, diameter_mm: Num, nut_factor: Num = 0.16) -> Num:
    """Tightening torque, N mm: T = K d F. K 0.16 with anti-seize, 0.20 dry steel (common practice; scatter
    25 %)."""
    return nut_factor * diameter_mm * preload


def bolt_length_mm(
    palm_mm: Num,
    bedding_mm: Num,
    hull_mm: Num,
    backing_mm: Num,
    washer_mm: Num,
    nut_mm: Num,
    pitch_mm: Num,
    threads_proud: float = 3.0,
) -> Num:
    """Least length of a countersunk bolt over its head, mm: everything it passes through, the nut and 3
    threads."""
    return palm_mm + bedding_mm + hull_mm + backing_mm + washer_mm + nut_mm + threads_proud * pitch_mm
