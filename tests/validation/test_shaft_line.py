"""A shaft on its bearings against beam elements made here, and beam tables; figures named were calculated outside."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from strutwright.models.formulas.bearing import rubber_stiffness_n_mm
from strutwright.models.formulas.shaft_line import Line, bend, influence_n_mm, open_coupling, pressed, slopes

Q, STIFF = 0.151784, 5.92117e10  # 50 mm of 7880 kg/m3 and 193 GPa
THREE = Line(
    spans_mm=(1200.0, 1200.0),
    heights_mm=(0.0, 0.0, 0.0),
    weight_n_mm=Q,
    stiffness_nmm2=STIFF,
    aft_mm=200.0,
    aft_n=300.0,
)


class Elements:
    """A beam of even elements, held down on springs that only push when `onto` is asked to; w up, slope aft up."""

    def __init__(self, length: float, step: float, weight: float = Q) -> None:
        self.count = round(length / step)
        self.step = length / self.count
        size = 2 * self.count + 2
        h = self.step
        self.stiff, self.load = np.zeros((size, size)), np.zeros(size)
        one = STIFF / h**3 * np.array(
            [
                [12, 6 * h, -12, 6 * h],
                [6 * h, 4 * h * h, -6 * h, 2 * h * h],
                [-12, -6 * h, 12, -6 * h],
                [6 * h, 2 * h * h, -6 * h, 4 * h * h],
            ]
        )  # fmt: skip
        for n in range(self.count):
            at = slice(2 * n, 2 * n + 4)
            self.stiff[at, at] += one
            self.load[at] -= weight * h / 12.0 * np.array([6.0, h, 6.0, -h])

    def node(self, at: float) -> int:
        return 2 * round(at / self.step)

    def solve(self, fixed: Mapping[int, float], springs: Mapping[int, tuple[float, float]] = {}) -> np.ndarray:
        """Movements where these are given; springs: stiffness and height of each, which push up only."""
        pushing = set(springs)
        for _ in range(60):
            stiff, load = self.stiff.copy(), self.load.copy()
            for n in pushing:
                k, height = springs[n]
                stiff[n, n] += k
                load[n] += k * height
            free = np.array([n for n in range(len(load)) if n not in fixed])
            w = np.zeros(len(load))
            for n, height in fixed.items():
                w[n] = height
            w[free] = np.linalg.solve(
                stiff[np.ix_(free, free)], load[free] - stiff[np.ix_(free, list(fixed))] @ [*fixed.values()]
            )
            now = {n for n, (_, height) in springs.items() if w[n] < height}
            if now == pushing:
                break
            pushing = now
        return w

    def reactions(self, w: np.ndarray) -> np.ndarray:
        out: np.ndarray = self.stiff @ w - self.load
        return out


def by_elements(line: Line, step: float = 50.0) -> tuple[list[float], list[float]]:
    """Loads and slopes at the bearings."""
    places = [line.forward_mm + float(sum(line.spans_mm[:k])) for k in range(len(line.heights_mm))]
    beam = Elements(places[-1] + line.aft_mm, step, line.weight_n_mm)
    beam.load[-2] -= line.aft_n
    beam.load[0] -= 0.0 if line.held else line.forward_n
    fixed = {beam.node(at): h for at, h in zip(places, line.heights_mm, strict=True)}
    if line.held:
        fixed |= {0: line.forward_height_mm, 1: 0.0}
    w = beam.solve(fixed)
    return [float(beam.reactions(w)[beam.node(at)]) for at in places], [float(w[beam.node(at) + 1]) for at in places]


FOUR = Line(
    spans_mm=(900.0, 1500.0, 1200.0),
    heights_mm=(0.4, -0.3, 0.2, -0.1),
    weight_n_mm=Q,
    stiffness_nmm2=STIFF,
    aft_mm=250.0,
    aft_n=350.0,
    forward_mm=600.0,
    forward_n=60.0,
)


def test_three_bearings_as_calculated_elsewhere() -> None:
    # three-moment equation and beam elements, outside the program
    found = bend(THREE)
    assert found.loads_n == pytest.approx((81.435, 148.881, 464.322), abs=1e-3)
    assert 1000.0 * found.slope == pytest.approx(-0.28032, abs=1e-5)


@pytest.mark.parametrize(
    "line",
    [
        THREE,
        FOUR,
        replace(FOUR, held=True, forward_height_mm=0.35),
        replace(THREE, spans_mm=(1400.0,), heights_mm=(0.2, 0.0)),
    ],
)
def test_lines_against_elements(line: Line) -> None:
    loads, leans = by_elements(line)
    found = bend(line)
    assert found.loads_n == pytest.approx(loads, rel=1e-6)
    assert found.slope == pytest.approx(leans[-1], rel=1e-6)
    assert slopes(line, found) == pytest.approx(leans, rel=1e-6)


def test_raising_a_bearing() -> None:
    # 3 E I / 2 l^3 and twice and four times that for two even spans (beam tables); slopes by beam elements elsewhere
    unit = 1.5 * STIFF / 1200.0**3
    table = np.array(influence_n_mm(THREE))
    assert table == pytest.approx(unit * np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]]), rel=1e-12)
    for raised, slope in enumerate((0.20833, -1.25000, 1.04167)):
        heights = tuple(float(k == raised) for k in range(3))
        more = bend(replace(THREE, heights_mm=heights)).slope - bend(THREE).slope
        assert 1000.0 * more == pytest.approx(slope, abs=1e-5)
    # the foremost bearing is unloaded where the middle one is raised by 0.792 (calculated)
    assert bend(replace(THREE, heights_mm=(0.0, 0.7922, 0.0))).loads_n[0] == pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize(("slope", "peak"), [(0.0, 1.397), (-0.3e-3, 1.095), (0.5e-3, 1.914)])
def test_bearing_as_a_bed(slope: float, peak: float) -> None:
    # beam elements on springs outside the program: 200 long, 25 N/mm per mm
    found = pressed(replace(THREE, bearing_slope=slope), 200.0, 25.0)
    assert 0.995 * peak < found.peak_over_mean < 1.01 * peak
    assert found.carrying == 1.0


@pytest.mark.parametrize("slope", [0.0, 1.5e-3, 2.5e-3, 4e-3, -2.5e-3])
def test_bed_against_elements_that_may_lift(slope: float) -> None:
    # one span and a bed of springs that only push, made here
    length, step, per = 200.0, 5.0, 25.0
    line = Line(
        spans_mm=(1500.0,),
        heights_mm=(0.0, 0.0),
        weight_n_mm=Q,
        stiffness_nmm2=STIFF,
        aft_mm=300.0,
        aft_n=500.0,
        bearing_slope=slope,
    )
    beam = Elements(1800.0, step)
    beam.load[-2] -= line.aft_n
    springs = {}
    for n in range(round(length / step) + 1):
        at = 1400.0 + n * step
        share = 0.5 if n in (0, round(length / step)) else 1.0
        springs[beam.node(at)] = (per * step * share, slope * (at - 1500.0))
    w = beam.solve({0: 0.0}, springs)
    push = np.array([max(height - w[n], 0.0) * per for n, (_, height) in springs.items()])
    share = np.mean(push > 0.0)
    mean = sum(max(height - w[n], 0.0) * k for n, (k, height) in springs.items()) / length
    found = pressed(line, length, per)
    assert 0.98 * push.max() / mean < found.peak_over_mean < 1.05 * push.max() / mean
    assert found.carrying == pytest.approx(share, abs=0.06)
    assert found.carrying == 1.0 or found.peak_over_mean > 2.0


def test_open_coupling() -> None:
    # closed form and beam elements outside the program: gap 0.3473 on a flange of 150
    line = replace(THREE, spans_mm=(1200.0,), heights_mm=(0.0, 0.0), forward_mm=1200.0, forward_n=40.0)
    hung = open_coupling(line)
    assert (hung.sag_mm, 1000.0 * hung.slope) == pytest.approx((2.3626, 2.31553), abs=1e-4)
    assert hung.slope * 150.0 == pytest.approx(0.3473, abs=1e-4)
    beam = Elements(2600.0, 50.0)
    beam.load[-2] -= 300.0
    beam.load[0] -= 40.0
    w = beam.solve({beam.node(1200.0): 0.0, beam.node(2400.0): 0.0})
    assert (-w[0], w[1]) == pytest.approx((hung.sag_mm, hung.slope), rel=1e-6)


def test_rubber_between_bounds_of_its_layer() -> None:
    # mechanics: at least as stiff as free rubber (4/3 E A / t of a strip), at most as a land bonded on both sides
    stiff = rubber_stiffness_n_mm(4.45, 35.1, 8, 5.5, 140.0, 5.5)
    area = (math.pi * 35.1 - 8 * 5.5) * 140.0 / 4.0
    width = math.pi * 35.1 / 8 - 5.5
    free = 4.0 / 3.0 * 5.5 * area / 4.45
    assert free <= stiff <= free * (1.0 + 0.55 * (width / 2.0 / 4.45) ** 2)
