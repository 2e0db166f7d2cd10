"""Properties that must hold for any sensible numbers: signs, monotony, scaling, bounds, inverses."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strutwright.models.formulas import barrel_rules, bearing, corrosion, fits, flattening, press_fit, set_screws, shaft
from strutwright.models.formulas.press_fit import Elastic, Layer

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
    # Lame is linear in interference; hub in tension, sleeve in compression, the bore of either ring worst.
    fit = press_fit.press_fit(delta, *size, hub, sleeve)
    bigger = press_fit.press_fit(more * delta, *size, hub, sleeve)
    assert bigger.pressure_mpa == pytest.approx(more * fit.pressure_mpa, rel=1e-9)
    assert fit.pressure_mpa > 0
    assert fit.hub_hoop_bore_mpa > fit.hub_hoop_outside_mpa > 0
    assert fit.sleeve_hoop_bore_mpa < fit.sleeve_hoop_outside_mpa < 0
    # Equilibrium of half a ring: mean of Lame's stress over the wall balances the pressure on the
    # diameter; for the
    # free outside surface hub hoop bore - hub hoop outside = p exactly.
    assert fit.hub_hoop_bore_mpa - fit.hub_hoop_outside_mpa == pytest.approx(fit.pressure_mpa, rel=1e-9)
    assert fit.sleeve_hoop_outside_mpa - fit.sleeve_hoop_bore_mpa == pytest.approx(fit.pressure_mpa, rel=1e-9)


@repeatable
@given(rings(), metal, metal, st.floats(1e-3, 0.3))
def test_press_fit_changes_share_the_interference(
    size: tuple[float, float, float], hub: Elastic, sleeve: Elastic, delta: float
) -> None:
    # Compatibility, worked from the stresses by Hooke's law: hub bore growth + sleeve outside shrinkage =
    # interference.
    d = size[0]
    fit = press_fit.press_fit(delta, *size, hub, sleeve)
    growth = d / hub.youngs_mpa * (fit.hub_hoop_bore_mpa + hub.poisson * fit.pressure_mpa)
    shrink = -d / sleeve.youngs_mpa * (fit.sleeve_hoop_outside_mpa + sleeve.poisson * fit.pressure_mpa)
    assert growth + shrink == pytest.approx(delta, rel=1e-9)
    assert 0 < fit.sleeve_bore_closure_mm < 2 * delta / (1 - sleeve.poisson)


@repeatable
@given(rings(), metal, metal, st.floats(1e-3, 0.3), st.floats(0.1, 20))
def test_press_fit_scales(
    size: tuple[float, float, float], hub: Elastic, sleeve: Elastic, delta: float, scale: float
) -> None:
    # Similarity: everything scaled together leaves pressure alone, and an inch is as good as a millimetre.
    p = press_fit.interface_pressure_mpa(delta, *size, hub, sleeve)
    d, outside, bore = size
    larger = press_fit.interface_pressure_mpa(scale * delta, scale * d, scale * outside, scale * bore, hub, sleeve)
    assert larger == pytest.approx(p, rel=1e-9)


@repeatable
@given(rings(), metal, metal, st.floats(-0.2, 0.3), st.floats(-40, 40))
def test_two_ring_nest_is_the_press_fit_at_temperature(
    size: tuple[float, float, float], hub: Elastic, sleeve: Elastic, delta: float, rise: float
) -> None:
    # Two routes to one answer: free expansion into the two-ring formula, and the general nest.
    d, outside, bore = size
    now = press_fit.interference_at_temperature_mm(delta, d, hub, sleeve, rise)
    pair = press_fit.press_fit(now, d, outside, bore, hub, sleeve)
    result = press_fit.nest([Layer(bore, d, sleeve), Layer(d, outside, hub)], [delta], rise)
    assert result.pressure_mpa[0] == pytest.approx(pair.pressure_mpa, rel=1e-7, abs=1e-9)
    free = press_fit.thermal_change_mm(bore, sleeve.expansion_per_k, rise)
    assert result.bore_closure_mm == pytest.approx(pair.sleeve_bore_closure_mm - free, rel=1e-7, abs=1e-9)


@repeatable
@given(rings(), metal, st.floats(0.2, 0.8), st.floats(0.005, 0.2))
def test_cutting_a_ring_in_two_with_no_interference_changes_nothing(
    size: tuple[float, float, float], same: Elastic, where: float, delta: float
) -> None:
    # A hub split at any diameter, touching without interference, is the same hub.
    d, outside, bore = size
    cut = d + where * (outside - d)
    whole = press_fit.nest([Layer(bore, d, same), Layer(d, outside, same)], [delta])
    split = press_fit.nest([Layer(bore, d, same), Layer(d, cut, same), Layer(cut, outside, same)], [delta, 0.0])
    assert split.pressure_mpa[0] == pytest.approx(whole.pressure_mpa[0], rel=1e-8)
    assert split.outside_growth_mm == pytest.approx(whole.outside_growth_mm, rel=1e-8)


@repeatable
@given(st.floats(0, 100), st.floats(0, 100), st.floats(-100, 100), st.floats(0, 100))
def test_fit_values_are_in_order(hole_low: float, hole_width: float, shaft_low: float, shaft_width: float) -> None:
    fit = fits.fit_from_limits(hole_low, hole_low + hole_width, shaft_low, shaft_low + shaft_width)
    values = [fit.least_mm, fit.likely_least_mm, fit.expected_mm, fit.likely_most_mm, fit.most_mm]
    assert all(b - a >= -1e-12 for a, b in pairwise(values))
    assert fit.most_mm == pytest.approx((shaft_low + shaft_width - hole_low) / 1000, abs=1e-12)


@repeatable
@given(st.floats(20, 300), st.floats(0.01, 0.99))
def test_flat_width_and_depth_undo_each_other(outside: float, share: float) -> None:
    depth = barrel_rules.flat_depth_mm(outside, share * outside)
    assert barrel_rules.flat_width_mm(outside, depth) == pytest.approx(share * outside, rel=1e-6)


profile = st.lists(st.tuples(st.floats(0, 300), st.floats(50, 90)), min_size=2, max_size=6).map(sorted)


@repeatable
@given(profile, profile.map(lambda p: [(s, d - 40) for s, d in p]))
def test_least_wall_is_never_above_a_dense_walk(
    outside: list[tuple[float, float]], bore: list[tuple[float, float]]
) -> None:
    # Brute force: no sampled station has less wall than the least found (numpy.interp, away from steps).
    outside = [(0.0, outside[0][1]), *outside, (300.5, outside[-1][1])]
    bore = [(0.0, bore[0][1]), *bore, (300.5, bore[-1][1])]
    least, _ = barrel_rules.least_wall_along_mm(outside, bore)
    s = np.linspace(0.0, 300.5, 3001)
    big, small = np.array(outside), np.array(bore)
    walls = (np.interp(s, big[:, 0], big[:, 1]) - np.interp(s, small[:, 0], small[:, 1])) / 2
    assert least <= walls.min() + 1e-6
    ends = {d for _, d in outside}, {d for _, d in bore}
    assert (min(ends[0]) - max(ends[1])) / 2 - 1e-9 <= least <= (max(ends[0]) - min(ends[1])) / 2


@repeatable
@given(st.floats(-720, 720), st.integers(3, 16), st.floats(0, 360), st.integers(-3, 3))
def test_flute_clock_repeats_with_the_flutes(clock: float, count: int, first: float, turns: int) -> None:
    here = bearing.flute_clock(clock, count, first, 3.0, 60.0)
    there = bearing.flute_clock(clock + turns * 360.0 / count, count, first, 3.0, 60.0)
    assert here.to_flute_centre_deg == pytest.approx(there.to_flute_centre_deg, abs=1e-9)
    assert here.to_flute_centre_deg + here.to_land_centre_deg == pytest.approx(180.0 / count)
    assert 0 <= here.to_flute_centre_deg <= 180.0 / count + 1e-12


@repeatable
@given(st.floats(100, 5000), st.floats(0.01, 2), st.floats(300, 5000), st.floats(0, 400), st.floats(0, 600))
def test_bearing_carries_more_with_more_overhang(
    weight: float, per_mm: float, span: float, overhang: float, tail: float
) -> None:
    load = bearing.bearing_load_n(weight, per_mm, span, overhang, tail)
    assert load >= weight
    assert bearing.bearing_load_n(weight, per_mm, span, overhang + 10, tail) > load
    assert bearing.bearing_load_n(weight, per_mm, span, overhang, tail, 15.0) < load


@repeatable
@given(st.floats(0.5, 10), st.floats(60, 150))
def test_cone_width_and_depth_undo_each_other(depth: float, angle: float) -> None:
    assert set_screws.cone_depth_mm(set_screws.cone_width_mm(depth, angle), angle) == pytest.approx(depth, rel=1e-12)


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
    # The two printed forms are one formula in two systems: kW / 0.7457, MPa / psi.
    inch = shaft.diameter_by_power_in(power / 0.745699872, safety, strength / 0.00689475729, rpm)
    assert inch * 25.4 == pytest.approx(d, rel=5e-4)


@repeatable
@given(st.floats(15, 200), st.floats(200, 4000), st.floats(60_000, 210_000), st.floats(2700, 8900))
def test_critical_span_runs_at_its_own_speed(d: float, rpm: float, e: float, rho: float) -> None:
    span = shaft.critical_span_mm(d, rpm, e, rho)
    assert shaft.critical_speed_rpm(d, span, e, rho) == pytest.approx(rpm, rel=1e-9)
    feet = shaft.critical_span_ft(d / 25.4, rpm, e / 0.00689475729, rho / 27679.9047)
    assert feet * 304.8 == pytest.approx(span, rel=2e-3)


@repeatable
@given(st.floats(0.01, 1.49), st.floats(1e-4, 0.01))
def test_press_deflection_and_set_rise_with_force(r: float, step: float) -> None:
    assert flattening.deflection_ratio(r + step) > flattening.deflection_ratio(r)
    assert flattening.residual_ratio(r + step) >= flattening.residual_ratio(r) - 1e-12
    assert flattening.deflection_ratio(r) >= r - 1e-12


@repeatable
@given(st.floats(1e-4, 0.7222))
def test_force_for_a_set_leaves_that_set(residual: float) -> None:
    assert flattening.residual_ratio(flattening.force_ratio_for_set(residual)) == pytest.approx(residual, abs=1e-9)


@repeatable
@given(st.floats(0.05, 5), st.floats(100, 600), st.floats(5, 40), st.floats(60, 400), st.floats(1e-6, 1e-3))
def test_stroke_is_continuous_into_the_hinge(s: float, sy: float, t: float, span: float, more: float) -> None:
    a = flattening.press_stroke(s, sy, 200_000, 100, t, span)
    b = flattening.press_stroke(s + more, sy, 200_000, 100, t, span)
    assert b.stroke_mm - a.stroke_mm > 0
    assert b.force_n >= a.force_n * (1 - 1e-9)
    limit = flattening.RESIDUAL_AT_COLLAPSE * flattening.yield_deflection_mm(sy, 200_000, t, span)
    at = flattening.press_stroke(limit * (1 - 1e-9), sy, 200_000, 100, t, span)
    past = flattening.press_stroke(limit * (1 + 1e-9), sy, 200_000, 100, t, span)
    assert (at.hinge, past.hinge) == (False, True)
    assert past.stroke_mm == pytest.approx(at.stroke_mm, rel=1e-6)


@st.composite
def palms(draw: st.DrawFn) -> list[tuple[float, float, float]]:
    # Whole-number places make collinear and repeated points common; four corners keep it a face.
    spot = st.tuples(st.integers(0, 30), st.integers(0, 20), st.integers(-30, 30))
    raw = draw(st.lists(spot, min_size=0, max_size=25))
    corners = [(0, 0), (30, 0), (0, 20), (30, 20)]
    raw += [(x, y, draw(st.integers(-30, 30))) for x, y in corners]
    return [(10.0 * x, 10.0 * y, 0.01 * z) for x, y, z in raw]


@repeatable
@given(palms(), st.floats(-0.4, 0.4), st.floats(-0.4, 0.4), st.permutations(range(3)))
def test_minimum_zone_is_least_and_moves_with_the_part(
    points: list[tuple[float, float, float]], tilt: float, roll: float, order: list[int]
) -> None:
    # MZ <= LS always (definition of least); both unchanged by moving or turning the part or reordering the
    # points.
    zone, ls = flattening.flatness_minimum_zone(points), flattening.flatness_least_squares(points)
    assert zone.zone_mm <= ls.zone_mm + 1e-12
    assert np.ptp(zone.deviations_mm(points)) == pytest.approx(zone.zone_mm, abs=1e-9)
    assert math.hypot(*zone.normal) == pytest.approx(1.0, abs=1e-12)
    c, s = math.cos(tilt), math.sin(tilt)
    d, t = math.cos(roll), math.sin(roll)
    turn = np.array([[c, 0, -s], [0, 1, 0], [s, 0, c]]) @ np.array([[1, 0, 0], [0, d, -t], [0, t, d]])
    moved = np.asarray(points)[::-1] @ turn.T + np.array([12.0, -7.0, 3.0])[order]
    assert flattening.flatness_minimum_zone(moved).zone_mm == pytest.approx(zone.zone_mm, abs=1e-9)
    assert flattening.flatness_least_squares(moved).zone_mm == pytest.approx(ls.zone_mm, abs=1e-9)


@repeatable
@given(palms(), st.floats(-1e-3, 1e-3), st.floats(-1e-3, 1e-3))
def test_no_other_plane_beats_the_minimum_zone(points: list[tuple[float, float, float]], da: float, db: float) -> None:
    zone = flattening.flatness_minimum_zone(points)
    normal = np.array(zone.normal) + np.array([da, db, 0.0])
    width = np.ptp(np.asarray(points) @ (normal / np.linalg.norm(normal)))
    assert width >= zone.zone_mm - 1e-9


volts = st.floats(-1.6, 0.3)


@repeatable
@given(volts, volts, st.floats(0, 0.1), st.floats(0, 0.1))
def test_couple_is_the_same_both_ways_round(a: float, b: float, wide_a: float, wide_b: float) -> None:
    first, second = corrosion.Potential(a, a + wide_a), corrosion.Potential(b, b + wide_b)
    one, other = corrosion.couple(first, second), corrosion.couple(second, first)
    assert (one.difference_mv, one.worst_mv, one.level) == (other.difference_mv, other.worst_mv, other.level)
    assert one.worst_mv >= one.difference_mv - 1e-9
