"""Properties that must hold for any sensible numbers: signs, monotony, scaling, bounds, inverses."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strutwright.models.formulas import bearing, corrosion, loads, press_fit, set_screws, shaft
from strutwright.models.formulas.press_bending import Strip, curve_of
from strutwright.models.formulas.press_fit import Elastic

repeatable = settings(max_examples=60, deadline=None)

metal = st.builds(Elastic, st.floats(15_000, 210_000), st.floats(0.15, 0.40), st.floats(9e-6, 25e-6))


@st.composite
def rings(draw: st.DrawFn) -> tuple[float, float, float]:
    """Interface, hub outside and sleeve bore diameters."""
    d = draw(st.floats(20, 300))
    return d, d * draw(st.floats(1.1, 3.0)), d * draw(st.floats(0.1, 0.95))


@repeatable
@given(rings(), metal, metal, st.floats(1e-3, 0.3), st.floats(1.01, 5.0))
def test_press_fit_signs_and_linearity(
    size: tuple[float, float, float], hub: Elastic, sleeve: Elastic, delta: float, more: float
) -> None:
    # Lame is linear in interference; nothing is stressed less than it is pressed.
    fit = press_fit.press_fit(delta, *size, hub, sleeve)
    bigger = press_fit.press_fit(more * delta, *size, hub, sleeve)
    assert bigger.pressure_mpa == pytest.approx(more * fit.pressure_mpa, rel=1e-9)
    assert 0 < fit.pressure_mpa < min(fit.hub_mises_bore_mpa, fit.sleeve_mises_bore_mpa)
    # Equilibrium of half a sleeve: its hoop, least at the interface, carries the pressure on the diameter.
    d, _, bore = size
    assert fit.sleeve_mises_bore_mpa * (d - bore) >= fit.pressure_mpa * d * (1 - 1e-9)


@repeatable
@given(rings(), metal, metal, st.floats(1e-3, 0.3), st.floats(0.1, 20))
def test_press_fit_closes_in_bounds_and_scales(
    size: tuple[float, float, float], hub: Elastic, sleeve: Elastic, delta: float, scale: float
) -> None:
    # Compatibility: the sleeve shrinks by no more than the interference at its outside, d/E (k - nu) p, and at its bore
    # by d/E (k + 1) p times bore over d, with k > 1.
    d, outside, bore = size
    fit = press_fit.press_fit(delta, *size, hub, sleeve)
    assert 0 < fit.sleeve_bore_closure_mm < 2 * delta / (1 - sleeve.poisson)
    # Similarity: everything scaled together leaves pressure alone, and an inch is as good as a millimetre.
    larger = press_fit.press_fit(scale * delta, scale * d, scale * outside, scale * bore, hub, sleeve)
    assert larger.pressure_mpa == pytest.approx(fit.pressure_mpa, rel=1e-9)
    assert larger.sleeve_bore_closure_mm == pytest.approx(scale * fit.sleeve_bore_closure_mm, rel=1e-9)


@repeatable
@given(st.floats(0, 100), st.floats(0, 100), st.floats(-100, 100), st.floats(0, 100))
def test_fit_values_are_in_order(hole_low: float, hole_width: float, shaft_low: float, shaft_width: float) -> None:
    fit = press_fit.fit_from_limits(hole_low, hole_low + hole_width, shaft_low, shaft_low + shaft_width)
    assert fit.least_mm <= fit.middle_mm <= fit.most_mm
    assert fit.most_mm - fit.least_mm == pytest.approx(hole_width + shaft_width, abs=1e-9)


@repeatable
@given(st.floats(-720, 720), st.integers(3, 16), st.floats(0, 360), st.integers(-3, 3))
def test_flute_clock_repeats_with_the_flutes(clock: float, count: int, first: float, turns: int) -> None:
    here = bearing.flute_clock(clock, count, first, 3.0, 60.0)
    there = bearing.flute_clock(clock + turns * 360.0 / count, count, first, 3.0, 60.0)
    assert here.to_flute_centre_deg == pytest.approx(there.to_flute_centre_deg, abs=1e-9)
    half = here.to_flute_centre_deg - here.past_flute_edge_deg
    assert 0 < half < 180.0 / count
    assert 0 <= here.to_flute_centre_deg <= 180.0 / count + 1e-12


@repeatable
@given(st.floats(6, 30), st.floats(0.5, 3), st.floats(0, 3), st.lists(st.floats(3, 60), min_size=1, max_size=8))
def test_stock_screw_never_stands_proud(wall: float, reach: float, recess: float, stock: list[float]) -> None:
    picked = set_screws.screw_length(wall, reach, recess, stock)
    if picked.stock_mm is None:
        assert min(stock) > picked.ideal_mm
    else:
        assert picked.recess_mm is not None
        assert picked.recess_mm >= recess - 1e-6
        assert not [s for s in stock if picked.stock_mm < s <= picked.ideal_mm]


@repeatable
@given(st.floats(10, 2000), st.floats(1, 8), st.floats(200, 900), st.floats(200, 4000), st.floats(1.01, 8))
def test_shaft_diameter_goes_with_the_cube_root(
    power: float, safety: float, strength: float, rpm: float, factor: float
) -> None:
    d = shaft.diameter_by_power_mm(power, safety, strength, rpm)
    assert shaft.diameter_by_power_mm(factor**3 * power, safety, strength, rpm) == pytest.approx(factor * d, rel=1e-9)
    # The form printed in inches, (321000 SHP SF / (S_t RPM))^(1/3), is the same formula: kW / 0.7457, MPa / psi.
    inch = (321_000.0 * (power / 0.745699872) * safety / (strength / 0.00689475729 * rpm)) ** (1 / 3)
    assert inch * 25.4 == pytest.approx(d, rel=5e-4)


@repeatable
@given(
    st.floats(0.02, 4),
    st.floats(100, 700),
    st.floats(5, 40),
    st.floats(60, 400),
    st.floats(0.0, 0.05),
    st.floats(0.0, 0.7),
)
def test_more_set_takes_more_stroke_and_no_less_force(
    s: float, sy: float, t: float, span: float, hard: float, held: float
) -> None:
    """Strips side by side, one of them partly held stiff; between the two alone, whatever the metal."""

    def strip(long: float) -> Strip:
        return Strip(width_mm=100, thickness_mm=t, span_mm=long, yield_mpa=sy, youngs_mpa=2e5, hardening=hard)

    one, other = strip(span), strip(span * (1 - held))
    both = curve_of([one, other])
    sets = np.array([s, 1.1 * s])
    back, force = both.springback(sy, sets), both.force(sy, sets)
    assert np.diff(sets + back)[0] > 0
    assert np.diff(force)[0] >= -1e-6 * force[0]
    alone = [curve_of([x]) for x in (other, one)]
    if s < float(both.set_mm[-1]) and s < float(alone[0].set_mm[-1]):
        assert alone[1].force(sy, s) * 1.99 <= force[0] * 1.001
    # At twice the yield, twice the set, springback and force.
    assert both.springback(2 * sy, 2 * s) == pytest.approx(2 * both.springback(sy, s), rel=1e-9)


@repeatable
@given(st.floats(100, 5000), st.floats(0.01, 2), st.floats(300, 5000), st.floats(0, 400))
def test_bearing_carries_more_with_more_overhang(weight: float, per_mm: float, span: float, overhang: float) -> None:
    load = loads.overhung_reactions(span, overhang, weight, per_mm).strut_n
    assert load >= weight
    assert loads.overhung_reactions(span, overhang + 10, weight, per_mm).strut_n > load


volts = st.floats(-1.6, 0.3)


@repeatable
@given(volts, volts, st.floats(0, 0.1), st.floats(0, 0.1))
def test_couple_is_the_same_both_ways_round(a: float, b: float, wide_a: float, wide_b: float) -> None:
    first, second = corrosion.Potential(a, a + wide_a), corrosion.Potential(b, b + wide_b)
    one, other = corrosion.couple(first, second), corrosion.couple(second, first)
    assert (one.difference_mv, one.worst_mv, one.level(200.0)) == (
        other.difference_mv,
        other.worst_mv,
        other.level(200.0),
    )
    assert one.worst_mv >= one.difference_mv - 1e-9
