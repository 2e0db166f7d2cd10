"""Press bending and weld distortion against outside figures and independent methods."""

from __future__ import annotations

import math

import pytest
from scipy import integrate, optimize

from strutwright.models.formulas import flattening as fl

# ---- press bending
# -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("r", "loaded", "residual"), [
    # Three-point bending of an elastic-perfectly plastic rectangle: plasticity-text formula (from memory), values
    # computed and integrated apart from this project; 20/9 and 0.7222 at collapse.
    (1.1, 1.101528, 0.001528), (1.2, 1.212982, 0.012982), (1.3, 1.349373, 0.049373), (1.4, 1.547072, 0.147072),
    (1.45, 1.708816, 0.258816), (1.5, 20 / 9, 0.722222),
])  # fmt: skip
def test_force_that_leaves_a_set(r: float, loaded: float, residual: float) -> None:
    assert loaded - r == pytest.approx(residual, abs=1e-6)  # the set is what is left when the spring-back is over
    # Near first yield the set hardly grows with the force: its six decimals fix the force to three.
    assert fl.force_ratio_for_set(residual) == pytest.approx(r, abs=1e-3 if r < 1.25 else 2e-5)


@pytest.mark.parametrize("r", [1.1, 1.2, 1.37, 1.46, 1.499])
def test_set_is_the_integral_of_the_moment_curvature_law(r: float) -> None:
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
    assert fl.force_ratio_for_set(3.0 * total - r) == pytest.approx(r, rel=1e-5)


def test_worked_plate() -> None:
    # 150 x 20 on 300, 250 MPa, E 200 GPa: computed from the published formulas.
    assert fl.yield_force_n(250, 150, 20, 300) == pytest.approx(33_333.3, rel=1e-4)
    assert fl.plastic_force_n(250, 150, 20, 300) == pytest.approx(50_000.0, rel=1e-12)
    assert fl.yield_deflection_mm(250, 200_000, 20, 300) == pytest.approx(0.9375, rel=1e-12)
    plan = fl.press_stroke(0.5, 250, 200_000, 150, 20, 300)
    assert plan.force_n / fl.yield_force_n(250, 150, 20, 300) == pytest.approx(1.49452, abs=1e-5)
    assert plan.force_n == pytest.approx(49_820, abs=5)
    assert plan.stroke_mm == pytest.approx(1.901, abs=5e-4)


def test_large_set_is_a_hinge() -> None:
    # Beyond the elastic-plastic solution the force is the plastic one and the whole plate springs back from it.
    plan = fl.press_stroke(3.0, 250, 200_000, 150, 20, 300)
    assert plan.force_n == pytest.approx(50_000.0)
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
    bites = fl.press_bites(20 * 9806.65, 500.0, 280, 16, 100, 0.75)
    assert bites.width_mm == pytest.approx(200, abs=20)
    assert bites.count == 3


def test_strain_of_a_set() -> None:
    # Arc geometry: sagitta s over chord S has radius S^2/8s (thin), skin strain t/2R = 4 t s / S^2.
    radius = 100**2 / (8 * 2.0) + 1.0
    assert fl.set_strain(2.0, 16.0, 100.0) == pytest.approx(16.0 / (2 * radius), rel=2e-3)


def test_press_ranges_are_guarded() -> None:
    for residual in (-0.1, 0.73, math.nan):
        with pytest.raises(ValueError, match="hinge"):
            fl.force_ratio_for_set(residual)
    with pytest.raises(ValueError, match="set_mm"):
        fl.press_stroke(0.0, 250, 200_000, 150, 20, 300)


# ---- weld distortion
# -----------------------------------------------------------------------------------------------


def test_weld_distortion_formulas() -> None:
    # Classic welded-structures handbook formulas, inches, from memory; examples computed: 4 in wide with 1/4 in legs on
    # 1/2 in, 8 in with 5/16 in; a deposit of 0.2 in2 in 1/2 in plate.
    inch = 25.4
    assert fl.weld_pull_up_mm(4 * inch, 0.25 * inch, 0.5 * inch) / inch == pytest.approx(0.0528, abs=1e-4)
    assert fl.weld_pull_up_mm(8 * inch, 0.3125 * inch, 0.5 * inch) / inch == pytest.approx(0.1411, abs=1e-4)
    assert fl.weld_shrinkage_mm(0.2 * inch**2, 0.5 * inch) / inch == pytest.approx(0.040, abs=1e-9)
