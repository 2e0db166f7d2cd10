"""Lines, planes and their uncertainty against published answers.

GUM H.3 (JCGM 100:2008) for a line with its covariance; the stack-loss data (Brownlee 1965) with the robust answers that
two statistical packages print; Student's and chi-square by an independent library.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from strutwright.models.formulas import line_and_plane as lp

LOSS = np.array([42, 37, 37, 28, 18, 18, 19, 20, 15, 14, 14, 13, 11, 12, 8, 7, 8, 8, 9, 15, 15], dtype=float)
AIR = np.array([80, 80, 75, 62, 62, 62, 62, 62, 58, 58, 58, 58, 58, 58, 50, 50, 50, 50, 50, 56, 70], dtype=float)
WATER = np.array([27, 27, 25, 24, 22, 23, 24, 24, 23, 18, 18, 17, 18, 19, 18, 18, 19, 19, 20, 20, 20], dtype=float)
ACID = np.array([89, 88, 90, 87, 87, 87, 93, 93, 87, 80, 89, 88, 82, 93, 89, 86, 72, 79, 80, 82, 91], dtype=float)
STACK = np.stack([AIR, WATER, ACID, np.ones(21)], axis=1)
PLANE = np.stack([AIR, WATER, np.ones(21)], axis=1)


def test_the_line_of_gum_h3() -> None:
    t = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]) - 20
    b = np.array([171, 169, 166, 159, 164, 165, 156, 157, 159, 161, 160]) * -0.001
    fit = lp.least_squares(np.stack([np.ones(11), t], axis=1), b)
    covariance = fit.scatter**2 * fit.unscaled
    assert fit.coefficients == pytest.approx([-0.171204, 0.0021827], abs=5e-7)
    assert np.sqrt(np.diag(covariance)) == pytest.approx([0.002878, 0.000668], abs=1e-6)
    assert covariance[0, 1] / math.sqrt(covariance[0, 0] * covariance[1, 1]) == pytest.approx(-0.930, abs=5e-4)
    assert fit.scatter == pytest.approx(0.0035, abs=5e-5)
    at = np.array([1.0, 10.0])
    assert (at @ fit.coefficients, math.sqrt(at @ covariance @ at)) == pytest.approx((-0.1494, 0.0041), abs=5e-5)
    # The same line in space: its place and its uncertainty there, to the side of the corrections.
    line = lp.line_in_space(np.stack([1000 * t, np.zeros(11), b], axis=1))
    assert line.direction[2] / line.direction[0] * 1000 == pytest.approx(0.0021827, abs=5e-7)
    assert line.spread_mm(1000 * (10 - t.mean()), fit.scatter) == pytest.approx(0.004139, abs=2e-6)


@pytest.mark.parametrize(
    ("kind", "design", "answer"),
    [
        ("huber", STACK, (0.829374, 0.926108, -0.127849, -41.026531)),
        ("bisquare", STACK, (0.927547, 0.650732, -0.112331, -42.285254)),
        ("huber", PLANE, (0.795112, 0.922005, -49.880424)),
        ("bisquare", PLANE, (0.838500, 0.810903, -50.004529)),
    ],
)
def test_robust_fits_of_the_stack_loss_data(kind: str, design: np.ndarray, answer: tuple[float, ...]) -> None:
    assert lp.robust(design, LOSS, kind).coefficients == pytest.approx(answer, abs=1e-4)  # type: ignore[arg-type]


def test_scale_and_weight_of_the_stack_loss_data() -> None:
    huber, tukey = lp.robust(STACK, LOSS, "huber"), lp.robust(STACK, LOSS, "bisquare")
    # Both packages print a scale from before their last step.
    assert (huber.scale, huber.weights[20]) == pytest.approx((2.440714, 0.36814), abs=3e-4)
    assert (tukey.scale, tukey.weights[20]) == pytest.approx((2.281886, 0.00223), abs=1e-4)
    fit = lp.least_squares(STACK, LOSS)
    assert fit.coefficients == pytest.approx((0.715640, 1.295286, -0.152123, -39.919674), abs=1e-6)


@pytest.mark.parametrize("dof", [0.7, 1, 2, 3.5, 8, 30, 400, 1e5])
@pytest.mark.parametrize("share", [0.5, 0.95, 0.999])
def test_student_is_as_another_library_has_it(dof: float, share: float) -> None:
    assert lp.student_factor(dof, share) == pytest.approx(stats.t.ppf(0.5 + share / 2, dof), rel=1e-6)


@pytest.mark.parametrize("dof", [1, 2, 5, 20])
def test_chi_square_is_near_its_tables(dof: int) -> None:
    for doubt in (0.05, 0.01):
        assert lp.chi_square_most(dof, doubt) == pytest.approx(stats.chi2.ppf(1 - doubt, dof), rel=0.02)


def test_a_reading_is_named_by_chance_as_seldom_as_said() -> None:
    rng = np.random.default_rng(3)
    x, y = np.tile([-1.0, 0.0, 1.0], 3), np.repeat([-1.0, 0.0, 1.0], 3)
    design = np.stack([np.ones(9), x, y], axis=1)
    at = np.linspace(0.0, 900.0, 6)
    named = {"known": 0, "unknown": 0, "line": 0, "line unknown": 0}
    for _ in range(2000):
        fit = lp.least_squares(design, rng.normal(size=9))
        named["known"] += lp.suspect(fit, 1.0, 0.05).out
        named["unknown"] += lp.suspect(fit, None, 0.05).out
        line = lp.line_in_space(np.stack([at, *rng.normal(size=(2, 6))], axis=1))
        named["line"] += lp.suspect_on_line(line, 1.0, 0.05).out
        named["line unknown"] += lp.suspect_on_line(line, None, 0.05).out
    # Bonferroni's bound: 5 % at most, and near it; three standard deviations of the count are 30.
    assert all(50 < count < 130 for count in named.values()), named


def test_the_slip_that_is_told_as_hidden_is_found_four_times_in_five() -> None:
    rng = np.random.default_rng(4)
    x, y = np.tile([-1.0, 0.0, 1.0], 4), np.repeat([-1.5, -0.5, 0.5, 1.5], 3)
    design = np.stack([np.ones(12), x, y], axis=1)
    clean = lp.least_squares(design, rng.normal(size=12))
    slip = lp.hidden_slip(float(clean.leverage[0]), 1.0, lp.suspect(clean, 1.0).most)
    found = 0
    for _ in range(1000):
        values = rng.normal(size=12)
        values[0] += slip
        it = lp.suspect(lp.least_squares(design, values), 1.0)
        found += it.out and it.index == 0
    assert found == pytest.approx(800, abs=40)


def test_what_determines_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="do not determine"):
        lp.least_squares(np.ones((5, 2)), np.arange(5.0))
    with pytest.raises(ValueError, match="do not lie along a line"):
        lp.line_in_space(np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0]]))
    with pytest.raises(ValueError, match="left over"):
        lp.suspect(lp.least_squares(np.eye(3), np.arange(3.0)), 1.0)
