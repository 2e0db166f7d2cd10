"""Weld distortion of a palm, pressing it flat again, and how flat it is.

Press formulas: simply supported plate of rectangular section, load at mid-span, elastic-perfectly plastic
metal, no shear or contact spread (span well above the thickness). Real metals harden: work to stroke,
never to force.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import ArrayLike, NDArray

RESIDUAL_AT_COLLAPSE = 20.0 / 9.0 - 1.5
"""Greatest set of the elastic-plastic solution over the first-yield deflection, 0.7222 (exact)."""
STRAIN_LIMIT = {"stainless": 0.02, "steel": 0.02, "duplex": 0.01}
"""Greatest cold surface strain by material family; value from memory. Families not listed: little or none
(cast tin bronze not at all, aluminium cracks at the weld toe)."""
INCH = 25.4


def yield_force_n(yield_mpa: float, width_mm: float, thickness_mm: float, span_mm: float) -> float:
    """Press force at first yield [N]: (2/3) s_y b t^2 / L. Broadcasts. Plasticity text, from memory, H;
    exact.
    """
    return 2.0 / 3.0 * yield_mpa * width_mm * thickness_mm**2 / span_mm


def plastic_force_n(yield_mpa: float, width_mm: float, thickness_mm: float, span_mm: float) -> float:
    """Press force of a full plastic hinge [N]: s_y b t^2 / L = 1.5 x first yield. Broadcasts. Exact."""
    return 1.5 * yield_force_n(yield_mpa, width_mm, thickness_mm, span_mm)


def yield_deflection_mm(yield_mpa: float, youngs_mpa: float, thickness_mm: float, span_mm: float) -> float:
    """Mid-span deflection at first yield [mm]: s_y L^2 / (6 E t). Broadcasts. Exact."""
    return yield_mpa * span_mm**2 / (6.0 * youngs_mpa * thickness_mm)


def deflection_ratio(force_ratio: float) -> float:
    """Loaded deflection over first-yield deflection at P / P_y = ``force_ratio``, 0 to 1.5. Broadcasts.

    r up to 1; then [5 - (3 + r) sqrt(3 - 2r)] / r^2, 20/9 at r = 1.5. Plasticity text, from memory;
    checked against integration of the moment-curvature law. ValueError outside 0..1.5.
    """
    if not np.all(np.greater_equal(force_ratio, 0.0) & np.less_equal(force_ratio, 1.5)):
        raise ValueError("force_ratio must lie between 0 and 1.5 (full plastic force)")
    r = np.maximum(force_ratio, 1.0)
    beyond_yield = (5.0 - (3.0 + r) * np.sqrt(3.0 - 2.0 * r)) / r**2 - 1.0
    ratio: float = np.minimum(force_ratio, 1.0) + beyond_yield
    return ratio


def residual_ratio(force_ratio: float) -> float:
    """Set left after unloading over first-yield deflection; 0 up to r = 1, 0.7222 at 1.5. Broadcasts.
    Exact.

    Unloading is elastic, so it is the loaded ratio less r. Errors as ``deflection_ratio``.
    """
    return deflection_ratio(force_ratio) - force_ratio


def plastic_zone_mm(span_mm: float, force_ratio: float) -> float:
    """Length of plate with yielded skin [mm]: L (1 - 1/r), 0 below r = 1. Broadcasts. Exact."""
    length: float = span_mm * (1.0 - 1.0 / np.maximum(force_ratio, 1.0))
    return length


def force_ratio_for_set(residual: float) -> float:
    """Inverse of ``residual_ratio``: P / P_y that leaves ``residual`` first-yield deflections. Broadcasts.

    Valid 0 < residual <= 0.7222 (0 gives 1, the last force without a set); ValueError outside. Bisection on
    sqrt(3 - 2r), in which the curve is smooth to the end.
    """
    if not np.all(np.greater_equal(residual, 0.0) & np.less_equal(residual, RESIDUAL_AT_COLLAPSE)):
        raise ValueError("residual must lie between 0 and 0.7222; larger sets need the hinge model")
    root = 0.0 * residual
    for halving in range(1, 61):
        trial = root + 0.5**halving
        r = (3.0 - trial**2) / 2.0
        left = (5.0 - (3.0 + r) * trial) / r**2 - r
        root = root + 0.5**halving * np.greater_equal(left, residual)
    return (3.0 - root**2) / 2.0


@dataclass(frozen=True, slots=True)
class PressStroke:
    """Force and travel to leave a wanted set."""

    force_n: float
    force_ratio: float
    stroke_mm: float
    """Ram travel from touching to full load: set + spring-back."""
    spring_back_mm: float
    hinge: bool
    """True when the set is beyond the elastic-plastic solution and a mid-span hinge is assumed."""
    bend_angle_deg: float
    """Angle of the bend if it were all in a hinge: 4 x set / span."""
    strain: float
    """Surface strain estimate, ``set_strain``."""


def press_stroke(
    set_mm: float, yield_mpa: float, youngs_mpa: float, width_mm: float, thickness_mm: float, span_mm: float
) -> PressStroke:
    """Press force and stroke that leave ``set_mm`` at mid-span. Plain numbers.

    ``set_mm`` > 0 wanted permanent deflection; ``width_mm`` pressed at once; ``yield_mpa`` the actual
    yield, not the minimum. Up to 0.7222 first-yield deflections the exact elastic-plastic solution; above,
    the full plastic force and a hinge, spring-back s_y L^2 / (4 E t). Overbend is approached from below
    with shims. ValueError for a set that is not positive.
    """
    if not set_mm > 0.0:
        raise ValueError("set_mm must be positive")
    at_yield = yield_deflection_mm(yield_mpa, youngs_mpa, thickness_mm, span_mm)
    hinge = set_mm > RESIDUAL_AT_COLLAPSE * at_yield
    ratio = 1.5 if hinge else float(force_ratio_for_set(set_mm / at_yield))
    spring_back = ratio * at_yield
    return PressStroke(
        force_n=ratio * yield_force_n(yield_mpa, width_mm, thickness_mm, span_mm),
        force_ratio=ratio,
        stroke_mm=set_mm + spring_back,
        spring_back_mm=spring_back,
        hinge=hinge,
        bend_angle_deg=float(np.degrees(4.0 * set_mm / span_mm)),
        strain=set_strain(set_mm, thickness_mm, span_mm),
    )


def set_strain(set_mm: float, thickness_mm: float, span_mm: float) -> float:
    """Surface strain of a set [-]: 4 t s / S^2, the set bent as one arc over the span. Broadcasts.
    Practice.

    A hinge concentrates it over about the plastic zone, up to three times this at mid-span.
    """
    return 4.0 * thickness_mm * set_mm / span_mm**2


@dataclass(frozen=True, slots=True)
class Bites:
    """How a press too small for the whole width takes it in steps along the palm."""

    width_mm: float
    """Widest strip the press can bend at once."""
    count: int


def press_bites(
    press_n: float, palm_length_mm: float, yield_mpa: float, thickness_mm: float, span_mm: float, share: float = 0.75
) -> Bites:
    """Width a press can bend at once, and how many such bites cover the palm. Plain numbers.

    ``share`` of the press's capacity is planned on; the rest covers hardening and a yield above the
    certificate (a planning choice). The material beyond the bite helps carry, so real bites are a little
    narrower still. ValueError unless every number is positive.
    """
    if min(press_n, palm_length_mm, yield_mpa, thickness_mm, span_mm, share) <= 0.0:
        raise ValueError("press force, palm length, yield, thickness, span and share must be positive")
    width = share * press_n / plastic_force_n(yield_mpa, 1.0, thickness_mm, span_mm)
    return Bites(min(width, palm_length_mm), max(1, ceil(palm_length_mm / width - 1e-9)))


def moment_ratio(curvature_ratio: float) -> float:
    """M / M_y of a rectangle in pure bending at kappa / kappa_y: 1.5 - 0.5 / ratio^2 above 1. Broadcasts.
    Exact.
    """
    k = np.maximum(curvature_ratio, 1.0)
    ratio: float = np.minimum(curvature_ratio, 1.0) + (0.5 - 0.5 / k**2)
    return ratio


def residual_curvature_ratio(curvature_ratio: float) -> float:
    """Curvature left after pure bending to kappa / kappa_y, over kappa_y. Broadcasts. Exact."""
    return curvature_ratio - moment_ratio(curvature_ratio)


def weld_pull_up_mm(flange_width_mm: float, leg_mm: float, thickness_mm: float) -> float:
    """Rise of a plate's edges over its width from a pair of fillets [mm]. Broadcasts.

    0.02 W w^1.3 / t^2 in inches (``weld_pull_up_in``) turned to mm; 25.4^0.7 comes of the 1.3 power.
    """
    rise: float = 0.02 * INCH**0.7 * flange_width_mm * leg_mm**1.3 / thickness_mm**2
    return rise


def weld_pull_up_in(flange_width_in: float, leg_in: float, thickness_in: float) -> float:
    """Rise of a plate's edges from a pair of fillets [in]: 0.02 W w^1.3 / t^2. Broadcasts.

    Classic welded-structures handbook, value from memory; mild steel, thickness 1/4 to 1 in. Stainless and
    bronze pull about half as much again (low confidence).
    """
    rise: float = 0.02 * flange_width_in * leg_in**1.3 / thickness_in**2
    return rise


def weld_shrinkage_transverse(weld_area: float, thickness: float) -> float:
    """Shrinkage across a butt weld, in the unit given: 0.10 A_w / t. Broadcasts. Same handbook, from
    memory.
    """
    return 0.10 * weld_area / thickness


def weld_bow(weld_area: float, length: float, offset: float, inertia: float) -> float:
    """Lengthwise bow of a welded member, in the unit given: 0.005 A_w L^2 d / I. Broadcasts. Same
    handbook, memory.

    ``offset`` from the member's neutral axis to the weld's centre of gravity.
    """
    return 0.005 * weld_area * length**2 * offset / inertia


@dataclass(frozen=True, slots=True)
class Flatness:
    """A reference plane and the zone that holds every point: distance between two planes parallel to it
    [mm].
    """

    zone_mm: float
    normal: tuple[float, float, float]
    """Unit normal, z not negative."""
    point_mm: tuple[float, float, float]
    """A point half-way across the zone."""
    highest: int
    lowest: int
    """Index of the points that touch the upper and the lower plane."""

    def deviations_mm(self, points_mm: ArrayLike) -> NDArray[np.float64]:
        """Signed distance of points (n, 3) [mm] from the middle of the zone, positive along the normal."""
        off = np.asarray(points_mm, dtype=np.float64) - np.array(self.point_mm)
        return np.asarray(off @ np.array(self.normal), dtype=np.float64)


def flatness_least_squares(points_mm: ArrayLike) -> Flatness:
    """Flatness about the least-squares plane of points (n, 3) [mm].

    Total least squares: centroid and smallest singular vector; range of the normal distances (ISO 12781
    LSPL reference plane, published term). Any number of points from 3; ValueError for fewer, for points on
    one line, or not finite.
    """
    points = _surface_points(points_mm)
    return _zone(points, _least_squares_normal(points))


def flatness_minimum_zone(points_mm: ArrayLike) -> Flatness:
    """Least distance between two parallel planes that hold points (n, 3) [mm] (ISO 1101 flatness,
    published).

    Exact: the narrowest zone of a point set rests on three points against one or on two against two, so
    its normal is the cross product of two differences of points that touch it. A small working set is
    solved by trying every such normal; points outside its zone are added until none is. The zone of a part
    never exceeds that of the whole, so the end is the global least. Normal distances, no small-angle
    assumption; same input, same answer. For up to some hundreds of points of a nearly flat surface
    (milliseconds); a ball of points takes minutes. Errors as ``flatness_least_squares``.
    """
    points = _surface_points(points_mm)
    best = flatness_least_squares(points)
    # Work about the centroid, and start from the far points along the face so that the first zones are not
    # slivers.
    centred = points - points.mean(axis=0)
    along = np.linalg.svd(centred, full_matrices=False)[2][:2]
    work = {best.highest, best.lowest}
    for angle in np.arange(4) * np.pi / 4.0:
        reach = centred @ (np.cos(angle) * along[0] + np.sin(angle) * along[1])
        work |= {int(reach.argmin()), int(reach.argmax())}
    slack = 1e-12 * float(np.abs(centred).max())
    while True:
        normal, inner = _narrowest(centred[sorted(work)])
        zone = _zone(points, normal)
        if zone.zone_mm < best.zone_mm:
            best = zone
        new = {zone.highest, zone.lowest} - work
        if best.zone_mm <= inner + slack or not new:
            return best
        work |= new


def _surface_points(points_mm: ArrayLike) -> NDArray[np.float64]:
    points = np.asarray(points_mm, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 3 or len(points) < 3 or not np.all(np.isfinite(points)):
        raise ValueError("flatness needs at least three finite points, each with x, y and z")
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if spread[1] <= 1e-9 * spread[0]:
        raise ValueError("the points lie on one line; a plane cannot be fitted")
    return points


def _least_squares_normal(points: NDArray[np.float64]) -> NDArray[np.float64]:
    vectors = np.linalg.svd(points - points.mean(axis=0), full_matrices=True)[2]
    return np.asarray(vectors[2], dtype=np.float64)


def _zone(points: NDArray[np.float64], normal: NDArray[np.float64]) -> Flatness:
    """The zone of all points square to a unit normal."""
    if tuple(normal[::-1]) < (0.0, 0.0, 0.0):
        normal = -normal
    centre = points.mean(axis=0)
    height = (points - centre) @ normal
    highest, lowest = int(height.argmax()), int(height.argmin())
    middle = centre + normal * (height[highest] + height[lowest]) / 2.0
    x, y, z = (float(v) for v in middle)
    nx, ny, nz = (float(v) for v in normal)
    return Flatness(float(height[highest] - height[lowest]), (nx, ny, nz), (x, y, z), highest, lowest)


def _narrowest(points: NDArray[np.float64]) -> tuple[NDArray[np.float64], float]:
    """Normal and width of the narrowest zone of a few points, by trying every pair of differences."""
    first, second = np.triu_indices(len(points), 1)
    edges = points[second] - points[first]
    edges /= np.maximum(np.linalg.norm(edges, axis=1, keepdims=True), np.finfo(float).tiny)
    best_normal, best_width = np.array([0.0, 0.0, 1.0]), np.inf
    for k in range(len(edges) - 1):
        normals = np.cross(edges[k], edges[k + 1 :])
        size = np.linalg.norm(normals, axis=1)
        usable = size > 1e-9
        if not usable.any():
            continue
        normals = normals[usable] / size[usable, None]
        width = np.ptp(normals @ points.T, axis=1)
        least = int(width.argmin())
        if width[least] < best_width:
            best_normal, best_width = normals[least], float(width[least])
    return best_normal, best_width
