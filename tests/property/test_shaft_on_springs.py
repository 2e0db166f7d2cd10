"""Laws of a shaft on springs and on its bearings: softer is never higher, loads add up, and the quick form keeps to the
beam elements over the whole range."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import THOROUGH

from strutwright.models.formulas import loads, shaft
from strutwright.models.formulas.rotor import Bearing, Disc, Shaft, critical_speeds, rotor
from strutwright.models.formulas.shaft_line import Line, bend, influence_n_mm, pressed
from strutwright.models.formulas.whirl import BearingSpring, Overhung, Whirls, shaken
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.shaft_support import bearing_load_n, line_of, rubber
from strutwright.params.loader import load, shipped

SOME = settings(max_examples=200 if THOROUGH else 25, deadline=None)

LAUNCHES = {
    name: Inputs.from_strut(resolve(load(shipped()[name])).strut)
    for name in ("harbour-launch", "pilot-vee", "survey-launch")
}


@st.composite
def shafts(draw: st.DrawFn) -> Overhung:
    """Shafts of 12 to 400 mm with spans of 6 to 60 diameters, and propellers of 4 to 20."""
    d = draw(st.floats(12.0, 400.0))
    span = d * draw(st.floats(6.0, 60.0))
    overhang = min(d * draw(st.floats(1.5, 12.0)), span)
    propeller = d * draw(st.floats(4.0, 20.0))
    mass = draw(st.floats(0.1, 5.0)) * 8e-7 * propeller**3
    polar = mass * (draw(st.floats(0.2, 0.26)) * propeller) ** 2
    return Overhung(
        span_mm=span,
        overhang_mm=overhang,
        diameter_mm=d,
        line_kg_mm=math.pi / 4.0 * d * d * draw(st.floats(8500.0, 9900.0)) * 1e-9,
        youngs_mpa=draw(st.floats(180e3, 210e3)),
        propeller_kg=mass,
        diametral_kg_mm2=draw(st.floats(0.5, 0.75)) * polar,
        polar_kg_mm2=polar,
    )


@st.composite
def springs(draw: st.DrawFn) -> tuple[float, float]:
    """Two stiffnesses, in E I / l^3, the first the softer."""
    soft = 10.0 ** draw(st.floats(0.0, 5.0))
    return soft, soft * 10.0 ** draw(st.floats(0.0, 2.0))


def elements(s: Overhung, x: float, y: float, times: float = 1.0) -> list[tuple[float, float]]:
    """Frequencies of whirls that have so many times the shaft's rate, and their forward shares, by beam elements."""
    line = Shaft(
        length_mm=s.span_mm + s.overhang_mm,
        diameter_mm=s.diameter_mm,
        youngs_mpa=s.youngs_mpa,
        density_kg_m3=s.line_kg_mm / (math.pi / 4.0 * s.diameter_mm**2) * 1e9,
    )
    tip = Disc(s.span_mm + s.overhang_mm, s.propeller_kg, s.diametral_kg_mm2, s.polar_kg_mm2)
    found = rotor(line, [Bearing(0.0), Bearing(s.span_mm, x, y)], [tip], modes=16)
    return [(m.hz, m.forward) for _, m in critical_speeds(found, times, count=4)]


def quick(s: Overhung, x: float, y: float, *times: float) -> tuple[Whirls, ...]:
    return shaken(s, BearingSpring(x, y), times or (1.0,)).whirls


ORDERS = st.sampled_from((1.0, 2.0, 3.0, 4.0, 9.0))
"""What keeps pace with the shaft, and pulses of the least to the most blades."""


def unit(s: Overhung) -> float:
    """E I / l^3."""
    return float(s.youngs_mpa * math.pi / 64.0 * s.diameter_mm**4 / s.span_mm**3)


@given(shafts(), springs(), ORDERS)
@SOME
def test_quick_form_keeps_to_the_elements(s: Overhung, ks: tuple[float, float], times: float) -> None:
    # 0.2 % high at most, 5 % low at most at 6 diameters of span and 2 % at 24, as its words say
    x, y = (k * unit(s) for k in ks)
    (found,), ((exact, _), (next_one, _), *_) = quick(s, x, y, times), elements(s, x, y, times)
    stout = min(1.0, 6.0 * s.diameter_mm / s.span_mm)
    assert (1.0 - 0.01 - 0.04 * stout) * exact <= found.first_hz <= 1.002 * exact
    assert 0.95 * next_one <= found.second_hz <= 1.06 * next_one


@given(shafts(), springs(), st.floats(0.3, 1.0))
@SOME
def test_a_softer_bearing_never_whirls_faster(s: Overhung, ks: tuple[float, float], part: float) -> None:
    x, y = (k * unit(s) for k in ks)
    hard, soft = elements(s, x, y), elements(s, part * x, part * y)
    for (high, _), (low, _) in zip(hard, soft, strict=False):
        assert low <= high * (1.0 + 1e-6)
    (high_one,), (low_one,) = (quick(s, k * x, k * y) for k in (1.0, part))
    assert low_one.first_hz <= high_one.first_hz * (1.0 + 2e-3)


@given(shafts(), springs(), st.floats(1.0, 3.0))
@SOME
def test_a_heavier_propeller_never_whirls_faster(s: Overhung, ks: tuple[float, float], more: float) -> None:
    x, y = (k * unit(s) for k in ks)
    heavy = replace(s, propeller_kg=more * s.propeller_kg, diametral_kg_mm2=more * s.diametral_kg_mm2)
    assert elements(heavy, x, y)[0][0] <= elements(s, x, y)[0][0] * (1.0 + 1e-6)


@given(shafts(), st.floats(0.0, 5.0))
@SOME
def test_even_springs_whirl_in_circles(s: Overhung, power: float) -> None:
    # a shaft alike in both planes has no mixed whirls: the lowest turns backward
    k = 10.0**power * unit(s)
    for _, forward in elements(s, k, k)[:2]:
        assert min(forward, 1.0 - forward) < 1e-6


@given(shafts(), springs())
@settings(max_examples=10, deadline=None)
def test_many_are_what_each_is(s: Overhung, ks: tuple[float, float]) -> None:
    x, y = (k * unit(s) for k in ks)
    spans, parts = np.array([1.0, 1.3]), np.array([1.0, 0.5])
    many = shaken(replace(s, span_mm=s.span_mm * spans), BearingSpring(x * parts, y), (1.0, 3.0))
    for n in range(2):
        one = shaken(replace(s, span_mm=spans[n] * s.span_mm), BearingSpring(parts[n] * x, y), (1.0, 3.0))
        assert many.carried[n] == pytest.approx(one.carried, rel=1e-9)
        for whole, single in zip(many.whirls, one.whirls, strict=True):
            assert (whole.first_hz[n], whole.second_hz[n]) == pytest.approx(
                (single.first_hz, single.second_hz), rel=1e-9
            )


# ---- shaft lines


@st.composite
def lines(draw: st.DrawFn) -> Line:
    """Shafts on two to six bearings, not in line."""
    d = draw(st.floats(20.0, 200.0))
    spans = draw(st.lists(st.floats(8.0 * d, 40.0 * d), min_size=1, max_size=5))
    weight = math.pi / 4.0 * d * d * 7850e-9 * 9.81
    return Line(
        spans_mm=tuple(spans),
        heights_mm=tuple(draw(st.floats(-2.0, 2.0)) for _ in range(len(spans) + 1)),
        weight_n_mm=weight,
        stiffness_nmm2=200e3 * math.pi / 64.0 * d**4,
        aft_mm=draw(st.floats(0.0, 6.0)) * d,
        aft_n=draw(st.floats(0.0, 400.0)) * weight,
        forward_mm=draw(st.floats(0.0, 20.0)) * d,
        forward_n=draw(st.floats(0.0, 200.0)) * weight,
    )


@given(lines())
@SOME
def test_loads_carry_the_weight(line: Line) -> None:
    found, places = bend(line).loads_n, np.cumsum([0.0, *line.spans_mm])
    whole = line.forward_mm + sum(line.spans_mm) + line.aft_mm
    weight = line.weight_n_mm * whole + line.aft_n + line.forward_n
    size = max(*map(abs, found), weight)
    assert sum(found) == pytest.approx(weight, abs=1e-9 * size)
    moment = line.weight_n_mm * whole * (whole / 2.0 - line.forward_mm)
    moment += line.aft_n * (places[-1] + line.aft_mm) - line.forward_n * line.forward_mm
    assert float(np.array(found) @ places) == pytest.approx(moment, abs=1e-9 * size * whole)


@given(lines())
@SOME
def test_raising_a_bearing_adds_no_weight(line: Line) -> None:
    table, places = np.array(influence_n_mm(line)), np.cumsum([0.0, *line.spans_mm])
    size = float(np.abs(table).max()) + 1e-9
    assert table.sum(axis=1) == pytest.approx(0.0, abs=1e-7 * size)
    assert table @ places == pytest.approx(0.0, abs=1e-7 * size * places[-1])
    assert table == pytest.approx(table.T, abs=1e-7 * size)
    # a bearing that is raised never loses load by it
    assert np.all(np.diag(table) >= -1e-9 * size)
    moved = bend(replace(line, heights_mm=tuple(h + 0.7 for h in line.heights_mm)))
    assert moved.loads_n == pytest.approx(bend(line).loads_n, rel=1e-6, abs=1e-6)


@given(lines(), st.floats(-4e-3, 4e-3), st.floats(0.1, 100.0))
@SOME
def test_a_bed_carries_at_one_end_or_all_along(line: Line, slope: float, per: float) -> None:
    # statics of a bed of springs that only push: pressure falls to nothing at one end where the peak of a straight
    # shaft is twice the mean; bending adds to the peak
    line = replace(line, heights_mm=tuple(0.0 for _ in line.heights_mm), forward_mm=0.0, bearing_slope=slope)
    length = 4.0 * (line.stiffness_nmm2 * 64.0 / math.pi / 200e3) ** 0.25
    found = pressed(line, length, per)
    assert found.peak_over_mean >= 1.0
    assert 0.0 < found.carrying <= 1.0
    assert found.carrying >= min(1.0, 2.0 / found.peak_over_mean) - 1e-6


@SOME
@given(
    name=st.sampled_from(sorted(LAUNCHES)),
    factor=st.floats(0.2, 5.0),
    height=st.floats(-200.0, 200.0),
    spring=st.floats(0.0, 6.0),
)
def test_on_two_bearings_the_strut_bearing_carries_what_statics_say(
    name: str, factor: float, height: float, spring: float
) -> None:
    inputs = LAUNCHES[name]
    inputs = replace(
        inputs,
        bearing_span_mm=factor * inputs.bearing_span_mm,
        bearing_offset_mm=height,
        more_bearings_mm=(),
        bearing_spring_n_mm=10.0**spring,
    )
    line = shaft.weight_n_per_mm(inputs.shaft_mm, inputs.shaft.density_kg_m3)
    weight = loads.weight_n(inputs.propeller_kg)
    old = loads.overhung_reactions(inputs.bearing_span_mm, inputs.overhang_mm, weight, line).strut_n
    assert float(bearing_load_n(inputs)) == pytest.approx(float(old), rel=1e-9)


@SOME
@given(
    name=st.sampled_from(sorted(LAUNCHES)),
    spans=st.lists(st.floats(0.3, 3.0), min_size=1, max_size=6),
    height=st.floats(-20.0, 20.0),
    softer=st.floats(1.0, 100.0),
)
def test_no_softness_of_the_strut_bearing_brings_it_more_load(
    name: str, spans: list[float], height: float, softer: float
) -> None:
    """The strut bearing on a spring, the next one rigid or soft: never more than what the check takes."""
    inputs, at, more = LAUNCHES[name], 1.0, []
    for span in spans:
        at += span
        more.append((at * inputs.bearing_span_mm, 0.0))
    inputs = replace(inputs, bearing_offset_mm=height, more_bearings_mm=tuple(more))
    line, soft = line_of(inputs), rubber(inputs).soft_n_mm
    stiff = np.array(influence_n_mm(line), dtype=float)
    for next_one in (0.0, 1.0 / soft, 0.3 / soft):
        gives = np.zeros(len(stiff))
        gives[-2], gives[-1] = next_one, softer / soft
        loads_n = np.linalg.solve(np.eye(len(stiff)) + stiff * gives, np.array(bend(line).loads_n, dtype=float))
        assert abs(loads_n[-1]) <= float(bearing_load_n(inputs)) * (1.0 + 1e-9) + 1e-9
