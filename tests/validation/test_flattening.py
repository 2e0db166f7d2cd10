"""Press bending, weld distortion and flatness against outside figures and independent methods."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate, optimize

from strutwright.models.formulas import flattening as fl

# ---- press bending
# -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("r", "loaded", "residual"), [
    # Three-point bending of an elastic-perfectly plastic rectangle: plasticity-text formula (from memory),
    # values
    # computed and integrated apart from this project; 20/9 and 0.7222 at collapse.
    (1.1, 1.101528, 0.001528), (1.2, 1.212982, 0.012982), (1.3, 1.349373, 0.049373), (1.4, 1.547072, 0.147072),
    (1.45, 1.708816, 0.258816), (1.5, 20 / 9, 0.722222),
])  # fmt: skip
def test_deflection_and_set(r: float, loaded: float, residual: float) -> None:
    assert fl.deflection_ratio(r) == pytest.approx(loaded, abs=1e-6)
    assert fl.residual_ratio(r) == pytest.approx(residual, abs=1e-6)


@pytest.mark.parametrize("r", [0.4, 1.0, 1.05, 1.2, 1.37, 1.46, 1.499])
def test_deflection_is_the_integral_of_the_moment_curvature_law(r: float) -> None:
    # Independent: virtual work over half the span, curvature from the section's own moment balance (scipy
    # quad and
    # brentq on the stress block, not the closed form).
    def moment(curvature: float) -> float:
        knee = min(1.0, 1.0 / curvature)
        half, _ = integrate.quad(lambda y: min(curvature * y, 1.0) * y, 0.0, 1.0, points=[knee], epsabs=1e-13)
        return 3.0 * float(half)

    def curvature(m: float) -> float:
        return m if m <= 1.0 else float(optimize.brentq(lambda k: moment(k) - m, 1.0, 1e5, xtol=1e-13))

    knee = min(1.0, 1.0 / r)
    total, _ = integrate.quad(lambda s: curvature(r * s) * s, 0.0, 1.0, points=[knee], epsabs=1e-10, limit=100)
    assert fl.deflection_ratio(r) == pytest.approx(3.0 * total, rel=1e-6)


def test_worked_plate() -> None:
    # 150 x 20 on 300, 250 MPa, E 200 GPa: computed from the published formulas.
    assert fl.yield_force_n(250, 150, 20, 300) == pytest.approx(33_333.3, rel=1e-4)
    assert fl.plastic_force_n(250, 150, 20, 300) == pytest.approx(50_000.0, rel=1e-12)
    assert fl.yield_deflection_mm(250, 200_000, 20, 300) == pytest.approx(0.9375, rel=1e-12)
    plan = fl.press_stroke(0.5, 250, 200_000, 150, 20, 300)
    assert plan.force_ratio == pytest.approx(1.49452, abs=1e-5)
    assert plan.force_n == pytest.approx(49_820, abs=5)
    assert plan.stroke_mm == pytest.approx(1.901, abs=5e-4)
    assert not plan.hinge
    assert fl.plastic_zone_mm(300, 1.5) == pytest.approx(100.0)


def test_large_set_is_a_hinge() -> None:
    # Mechanism geometry: a set s at the middle of L turns 2s/L each side, 4s/L together; force is the
    # plastic one.
    plan = fl.press_stroke(3.0, 250, 200_000, 150, 20, 300)
    assert plan.hinge
    assert plan.force_n == pytest.approx(50_000.0)
    assert plan.bend_angle_deg == pytest.approx(math.degrees(2 * math.atan(3.0 / 150.0)), rel=1e-3)
    assert plan.spring_back_mm == pytest.approx(250 * 300**2 / (4 * 200_000 * 20), rel=1e-12)


@pytest.mark.parametrize(("yield_mpa", "b", "t", "span", "plastic_kn", "back"), [
    # Shop figures, common practice, computed elsewhere: 316L (yield 280) 16 and 12 thick, steel 350,
    # duplex 500.
    (280, 250, 16, 100, 179, 0.23), (280, 280, 12, 110, 103, 0.37), (350, 350, 20, 130, 377, 0.38),
    (500, 350, 20, 130, 538, 0.55),
])  # fmt: skip
def test_shop_press_figures(yield_mpa: float, b: float, t: float, span: float, plastic_kn: float, back: float) -> None:
    assert fl.plastic_force_n(yield_mpa, b, t, span) / 1000 == pytest.approx(plastic_kn, abs=1.0)
    plan = fl.press_stroke(1.0, yield_mpa, 193_000, b, t, span)
    assert plan.spring_back_mm == pytest.approx(back, abs=0.01)


def test_bites_of_a_twenty_tonne_press() -> None:
    # "a 20 t press flattens a 16 mm palm only in bites of 200 mm or so" (316L, yield 280, span 100):
    # common practice.
    bites = fl.press_bites(20 * 9806.65, 500.0, 280, 16, 100)
    assert bites.width_mm == pytest.approx(200, abs=20)
    assert bites.count == 3


def test_strain_of_a_set() -> None:
    # Arc geometry: sagitta s over chord S has radius S^2/8s (thin), skin strain t/2R = 4 t s / S^2.
    radius = 100**2 / (8 * 2.0) + 1.0
    assert fl.set_strain(2.0, 16.0, 100.0) == pytest.approx(16.0 / (2 * radius), rel=2e-3)


def test_pure_bending() -> None:
    # kappa/kappa_y = 2: 1.375 and 0.625 (plasticity text, computed).
    assert fl.moment_ratio(2.0) == pytest.approx(1.375)
    assert fl.residual_curvature_ratio(2.0) == pytest.approx(0.625)
    assert fl.residual_curvature_ratio(0.7) == 0.0


@pytest.mark.parametrize("x", [0.05, 0.2, 0.45])
def test_pure_bending_spring_back_is_the_published_ratio(x: float) -> None:
    # Published spring-back ratio K = 4 X^3 - 3 X + 1, X = s_y R / (E t), K = curvature left / curvature
    # bent.
    bent = 1.0 / (2.0 * x)  # kappa / kappa_y, kappa_y = 2 s_y / (E t)
    assert fl.residual_curvature_ratio(bent) / bent == pytest.approx(4 * x**3 - 3 * x + 1, rel=1e-12)


def test_press_ranges_are_guarded() -> None:
    for ratio in (-0.1, 1.51, math.nan):
        with pytest.raises(ValueError, match="force_ratio"):
            fl.deflection_ratio(ratio)
    with pytest.raises(ValueError, match="hinge"):
        fl.force_ratio_for_set(0.73)
    with pytest.raises(ValueError, match="set_mm"):
        fl.press_stroke(0.0, 250, 200_000, 150, 20, 300)


# ---- weld distortion
# -----------------------------------------------------------------------------------------------


def test_weld_distortion_formulas() -> None:
    # Classic welded-structures handbook formulas, inches, from memory; examples computed.
    assert fl.weld_pull_up_in(4, 0.25, 0.5) == pytest.approx(0.0528, abs=1e-4)
    assert fl.weld_pull_up_in(8, 0.3125, 0.5) == pytest.approx(0.1411, abs=1e-4)
    assert fl.weld_shrinkage_transverse(0.2, 0.5) == pytest.approx(0.040, abs=1e-9)
    assert fl.weld_bow(0.0625, 40, 2, 50) == pytest.approx(0.0200, abs=1e-9)


def test_weld_formula_is_the_same_in_millimetres() -> None:
    # Unit change only: 4 in, 1/4 in, 1/2 in are 101.6, 6.35 and 12.7 mm.
    assert fl.weld_pull_up_mm(101.6, 6.35, 12.7) == pytest.approx(25.4 * fl.weld_pull_up_in(4, 0.25, 0.5), rel=1e-12)


# ---- flatness
# ------------------------------------------------------------------------------------------------------


def grid(high: tuple[int, int], h: float = 0.09, spacing: float = 100.0) -> list[tuple[float, float, float]]:
    return [(spacing * i, spacing * j, h if (i, j) == high else 0.0) for i in range(3) for j in range(3)]


def test_flatness_of_simple_grids() -> None:
    # Derived: one corner up by h gives LS 5h/6 and MZ 3h/4; the centre up by h gives h for both; a saddle
    # of four gives
    # h for both.
    corner, centre = grid((2, 2)), grid((1, 1))
    assert fl.flatness_least_squares(corner).zone_mm == pytest.approx(0.0750, abs=1e-5)
    assert fl.flatness_minimum_zone(corner).zone_mm == pytest.approx(0.0675, abs=1e-5)
    assert fl.flatness_least_squares(centre).zone_mm == pytest.approx(0.09, abs=1e-9)
    assert fl.flatness_minimum_zone(centre).zone_mm == pytest.approx(0.09, abs=1e-9)
    saddle = [(0.0, 0.0, 0.0), (100.0, 0.0, 0.09), (0.0, 100.0, 0.09), (100.0, 100.0, 0.0)]
    assert fl.flatness_least_squares(saddle).zone_mm == pytest.approx(0.09, abs=1e-9)
    assert fl.flatness_minimum_zone(saddle).zone_mm == pytest.approx(0.09, abs=1e-9)


def test_flatness_of_a_public_set() -> None:
    # Five points posted in a public metrology thread (data published, no answer printed); answers computed.
    points = [(11.5, 7, 1.1), (18.5, 6.9, 1.03), (4.5, 13, 1.02), (25.5, 30, 1.03), (11.5, 37.5, 1.02)]
    assert fl.flatness_least_squares(points).zone_mm == pytest.approx(0.072097, abs=1e-5)
    assert fl.flatness_minimum_zone(points).zone_mm == pytest.approx(0.067262, abs=1e-5)


def test_regular_tetrahedron_and_cube() -> None:
    # Known widths: a regular tetrahedron of edge a is narrowest between opposite edges, a / sqrt 2; a cube
    # across faces.
    tetrahedron = [(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)]
    edge = 2 * math.sqrt(2)
    assert fl.flatness_minimum_zone(tetrahedron).zone_mm == pytest.approx(edge / math.sqrt(2), rel=1e-12)
    cube = [(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)]
    assert fl.flatness_minimum_zone(cube).zone_mm == pytest.approx(1.0, rel=1e-12)


def minimum_zone_by_linear_programme(points: NDArray[np.float64]) -> float:
    """Independent: linear programme in vertical distance, re-tilted into its own solution until it lies
    level.
    """
    for _ in range(30):
        points = points - points.mean(axis=0)
        ones = np.ones((len(points), 1))
        x, y, z = points[:, :1], points[:, 1:2], points[:, 2]
        # unknowns a, b, low, high: low <= z - a x - b y <= high
        upper = np.hstack((-x, -y, 0 * ones, -ones))
        lower = np.hstack((x, y, ones, 0 * ones))
        found = optimize.linprog(
            [0, 0, -1, 1], np.vstack((upper, lower)), np.concatenate((-z, z)), bounds=[(None, None)] * 4
        )
        a, b, low, high = found.x
        normal = np.array([-a, -b, 1.0])
        normal /= np.linalg.norm(normal)
        if math.hypot(a, b) < 1e-12:
            break
        first = np.cross([0.0, 1.0, 0.0], normal)
        first /= np.linalg.norm(first)
        points = points @ np.stack((first, np.cross(normal, first), normal)).T
    return float(high - low)


@pytest.mark.parametrize(("seed", "count", "rough"), [
    (1, 6, 0.1), (2, 9, 0.5), (3, 25, 0.1), (4, 60, 2.0), (5, 200, 0.2), (6, 200, 0.01),
])  # fmt: skip
def test_minimum_zone_equals_the_linear_programme(seed: int, count: int, rough: float) -> None:
    # scipy.optimize.linprog as reference, random palms 300 x 200, tilted.
    random = np.random.default_rng(seed)
    xy = random.uniform((0, 0), (300, 200), (count, 2))
    z = random.normal(0, rough, count) + 0.15 * xy[:, 0] - 0.05 * xy[:, 1]
    points = np.column_stack((xy, z))
    assert fl.flatness_minimum_zone(points).zone_mm == pytest.approx(
        minimum_zone_by_linear_programme(points), rel=1e-7, abs=1e-9
    )


def test_minimum_zone_of_a_curled_palm_grid_equals_the_linear_programme() -> None:
    # A regular grid (many points on one line, equal heights) is the awkward case for exchange methods.
    x, y = (a.ravel() for a in np.meshgrid(np.linspace(-150, 150, 15), np.linspace(-90, 90, 10)))
    points = np.column_stack((x, y, 3e-5 * y**2 + 1e-6 * x * y + 1e-7 * x**2))
    assert fl.flatness_minimum_zone(points).zone_mm == pytest.approx(minimum_zone_by_linear_programme(points), rel=1e-7)


def test_deviations_show_where_to_shim() -> None:
    # Definition: in the minimum zone the touching points lie half the zone above and below.
    points = grid((2, 2))
    zone = fl.flatness_minimum_zone(points)
    off = zone.deviations_mm(points)
    assert off.max() == pytest.approx(zone.zone_mm / 2, abs=1e-12)
    assert off.min() == pytest.approx(-zone.zone_mm / 2, abs=1e-12)
    assert off[zone.highest] == off.max()


def test_points_without_a_plane_are_refused() -> None:
    for points in ([(0, 0, 0), (1, 1, 1)], [(0, 0, 0), (1, 1, 1), (2, 2, 2)], [(0, 0, 0), (1, 0, 0), (0, 1, math.nan)]):
        with pytest.raises(ValueError, match="point"):
            fl.flatness_minimum_zone(points)
