"""Laws that loads, frames, bolts, welds and vibration must keep whatever the numbers: scaling, symmetry,
monotony."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strutwright.models.formulas import (
    arm_rules,
    beams,
    bolts,
    frames3d,
    loads,
    palm_plate,
    skeg_loads,
    vibration,
    welds,
)

size = st.floats(0.2, 5.0)
angle = st.floats(0.2, 1.3)
signed = st.floats(-5e4, 5e4)
E, G = 103_400.0, 38_582.0


def _v(scale: float, half_angle: float, taper: float = 1.0, modulus: float = E) -> npt.NDArray[np.float64]:
    s = beams.gauss_stations_mm(400.0 * scale, 8)
    grow = 1.0 + (taper - 1.0) * s / (400.0 * scale)
    flexibility = beams.tip_flexibility(
        400.0 * scale,
        1100.0 * scale**2 * grow**2,
        27_500.0 * scale**4 * grow**4,
        1.2e6 * scale**4 * grow**4,
        60_000.0 * scale**4 * grow**4,
        modulus,
        modulus / 2.68,
    )
    axes = [beams.arm_axes(side * half_angle) for side in (1.0, -1.0)]
    first, second = (frames3d.arm_barrel_stiffness(flexibility, a, 40.0 * scale * a[2]) for a in axes)
    return np.asarray(first + second)


@given(size, angle)
def test_frame_stiffness_scales_with_size(scale: float, half_angle: float) -> None:
    # geometric similarity: force/displacement goes with E x length, moment/rotation with E x length^3
    factor = np.outer([1, 1, 1, scale, scale, scale], [1, 1, 1, scale, scale, scale]) * scale
    small, large = _v(1.0, half_angle), _v(scale, half_angle)
    assert np.allclose(large, small * factor, rtol=1e-9, atol=1e-9 * np.abs(small * factor).max())


@given(angle, st.floats(0.5, 2.0))
def test_frame_stiffness_is_symmetric_and_positive(half_angle: float, taper: float) -> None:
    stiffness = _v(1.0, half_angle, taper)
    assert np.allclose(stiffness, stiffness.T, rtol=1e-9, atol=1e-6 * np.abs(stiffness).max())
    assert np.linalg.eigvalsh((stiffness + stiffness.T) / 2.0).min() > 0.0


@given(angle, st.floats(1.0, 2.0))
def test_thicker_roots_are_stiffer(half_angle: float, taper: float) -> None:
    load = np.array([0.0, 1000.0, 0.0, 0.0, 0.0, 0.0])
    straight = frames3d.barrel_motion(_v(1.0, half_angle), load)[1]
    grown = frames3d.barrel_motion(_v(1.0, half_angle, taper), load)[1]
    assert grown <= straight * (1.0 + 1e-12)


@given(angle, signed, signed, signed)
def test_mirrored_load_gives_mirrored_motion(half_angle: float, fx: float, fy: float, fz: float) -> None:
    stiffness = _v(1.0, half_angle)
    mirror = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0])
    load = np.array([fx, fy, fz, 2e4, -1e4, 3e4])
    straight, turned = frames3d.barrel_motion(stiffness, load), frames3d.barrel_motion(stiffness, mirror * load)
    assert np.allclose(turned, mirror * straight, rtol=1e-6, atol=1e-9 * np.abs(straight).max())


@given(st.floats(-3.0, 3.0), st.floats(-0.5, 0.5), st.floats(-0.3, 0.3))
def test_arm_axes_are_a_right_handed_frame(clock: float, rake: float, toe: float) -> None:
    axes = beams.arm_axes(clock, rake, toe)
    assert np.allclose(axes @ axes.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_vectorised_frame_equals_one_at_a_time() -> None:
    half_angles = np.linspace(0.3, 1.1, 50)
    flexibility = beams.tip_flexibility(400.0, 1100.0, 27_500.0, 1.2e6, 60_000.0, E, G)
    zero = np.zeros((50, 3))
    both = np.sum(
        [frames3d.arm_barrel_stiffness(flexibility, beams.arm_axes(side * half_angles), zero) for side in (1.0, -1.0)],
        axis=0,
    )
    motions = frames3d.barrel_motion(both, np.broadcast_to(np.array([0.0, 1e3, 0.0, 0.0, 0.0, 0.0]), (50, 6)))
    closed = frames3d.v_deflection_across_mm(1e3, E, 1100.0, 27_500.0, 400.0, half_angles)
    assert np.allclose(motions[:, 1], closed, rtol=1e-9)


POINTS = np.array([[100.0, 50.0], [0.0, 50.0], [-100.0, 50.0], [100.0, -50.0], [0.0, -50.0], [-100.0, -50.0]])
PALM = np.array([[-130.0, -75.0], [130.0, -75.0], [130.0, 75.0], [-130.0, 75.0]])


@given(signed, signed, st.floats(-5e6, 5e6))
def test_bolt_shears_balance_the_load(fu: float, fv: float, mn: float) -> None:
    shear = bolts.bolt_shears_n(POINTS, fu, fv, mn)
    assert np.allclose(shear.sum(axis=0), [fu, fv], atol=1e-6)
    assert (POINTS[:, 0] * shear[:, 1] - POINTS[:, 1] * shear[:, 0]).sum() == pytest.approx(mn, rel=1e-9, abs=1e-3)


@given(signed, st.floats(-3e6, 3e6), st.floats(-3e6, 3e6))
@settings(max_examples=40, deadline=None)
def test_contact_iteration_balances_the_load(fn: float, mu: float, mv: float) -> None:
    found = bolts.bolt_tensions_contact(POINTS, PALM, fn, mu, mv, 2e5, 20.0, across=26)
    cell = 260.0 * 150.0 / len(found.cells_mm)
    push = found.pressure_mpa * cell
    scale = max(abs(fn) * 100.0, abs(mu), abs(mv), 1.0)
    assert found.tension_n.min() >= 0.0
    assert found.pressure_mpa.min() >= 0.0
    assert found.tension_n.sum() - push.sum() == pytest.approx(-fn, abs=1e-7 * scale)
    tipping = (found.tension_n * POINTS[:, 1]).sum() - (push * found.cells_mm[:, 1]).sum()
    assert tipping == pytest.approx(-mu, abs=1e-6 * scale)
    heeling = (found.tension_n * POINTS[:, 0]).sum() - (push * found.cells_mm[:, 0]).sum()
    assert heeling == pytest.approx(mv, abs=1e-6 * scale)


@given(st.floats(-3e6, 3e6), st.floats(-3e6, 3e6))
def test_toe_hinge_holds_each_moment_about_its_toe(mu: float, mv: float) -> None:
    about_u = bolts.bolt_tensions_toe_n(POINTS, PALM, 0.0, mu, 0.0)
    toe = 75.0 if mu > 0 else -75.0
    assert (about_u * np.abs(POINTS[:, 1] - toe)).sum() == pytest.approx(abs(mu), rel=1e-9, abs=1e-6)
    about_v = bolts.bolt_tensions_toe_n(POINTS, PALM, 0.0, 0.0, mv)
    toe = -130.0 if mv > 0 else 130.0
    assert (about_v * np.abs(POINTS[:, 0] - toe)).sum() == pytest.approx(abs(mv), rel=1e-9, abs=1e-6)


@given(st.floats(4.0, 30.0), st.floats(4.0, 30.0), st.floats(1e4, 2e5))
def test_thicker_palm_never_carries_less(thin: float, more: float, bolt: float) -> None:
    first = palm_plate.t_stub(120.0, thin, 235.0, bolt, 30.0, 40.0).resistance_n
    second = palm_plate.t_stub(120.0, thin + more, 235.0, bolt, 30.0, 40.0).resistance_n
    assert second >= first
    assert second <= 2.0 * bolt


@given(st.floats(1e3, 1e5), st.floats(4.0, 40.0))
def test_prying_only_adds(tension: float, plate: float) -> None:
    prying = palm_plate.prying_force_n(tension, 80.0, plate, 235.0, 30.0, 40.0)
    thicker = palm_plate.prying_force_n(tension, 80.0, plate * 3.0, 235.0, 30.0, 40.0)
    assert prying >= 0.0
    # a plate stiff enough not to hinge has none
    if 0.25 * 80.0 * (3.0 * plate) ** 2 * 235.0 > tension * 30.0:
        assert thicker == 0.0


@given(st.floats(20.0, 300.0), st.floats(5.0, 60.0), st.floats(0.0, 3.1))
def test_weld_figures_do_not_depend_on_the_axes(chord: float, thick: float, turn: float) -> None:
    line = welds.weld_rectangle(chord, thick)
    c, s = np.cos(turn), np.sin(turn)
    turned = welds.weld_segments(line.segments_mm @ np.array([[c, s], [-s, c]]) + np.array([40.0, -7.0]))
    assert turned.length_mm == pytest.approx(line.length_mm)
    assert turned.polar_mm3 == pytest.approx(line.polar_mm3)
    determinant = turned.i_x_mm3 * turned.i_y_mm3 - turned.i_xy_mm3**2
    assert determinant == pytest.approx(line.i_x_mm3 * line.i_y_mm3, rel=1e-6)


@given(signed, signed, signed, st.floats(0.0, 3.1))
def test_weld_stress_does_not_depend_on_the_axes(fx: float, fy: float, fz: float, turn: float) -> None:
    line = welds.weld_rectangle(120.0, 25.0)
    c, s = np.cos(turn), np.sin(turn)
    spin = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    turned = welds.weld_segments(line.segments_mm @ spin[:2, :2].T)
    force, moment = np.array([fx, fy, fz]), np.array([2e5, -4e5, 3e5])
    first = welds.weld_stress(line, force, moment, 5.0)
    second = welds.weld_stress(turned, spin @ force, spin @ moment, 5.0)
    assert np.allclose(first.resultant_mpa, second.resultant_mpa, rtol=1e-6, atol=1e-6)
    assert np.allclose(first.equivalent_mpa, second.equivalent_mpa, rtol=1e-6, atol=1e-6)
    # the directional equivalent lies between sqrt2 and sqrt3 times the resultant, or above on mixed loads
    assert (first.equivalent_mpa >= 1.414 * first.resultant_mpa - 1e-9).all()


@given(st.floats(0.5, 50.0), st.floats(0.5, 50.0))
def test_rayleigh_is_an_upper_bound(tip: float, arm: float) -> None:
    data = (E, 27_500.0, 400.0, tip, arm)
    exact = vibration.cantilever_frequency_hz(*data)
    estimate = vibration.cantilever_frequency_rayleigh_hz(*data)
    assert exact <= estimate * (1.0 + 1e-9)
    assert estimate <= exact * 1.016


@given(size)
def test_frequency_falls_with_size(scale: float) -> None:
    # similarity: all lengths x s and masses x s^3 give frequencies / s
    small = vibration.cantilever_frequency_hz(E, 27_500.0, 400.0, 12.0, 3.6)
    large = vibration.cantilever_frequency_hz(E, 27_500.0 * scale**4, 400.0 * scale, 12.0 * scale**3, 3.6 * scale**3)
    assert large * scale == pytest.approx(small, rel=1e-9)


@given(st.floats(1.0, 50.0), st.floats(0.0, 1e6), st.floats(10.0, 1e5))
@settings(max_examples=25, deadline=None)
def test_mass_lowers_and_rigid_bearings_raise_shaft_frequencies(mass: float, inertia: float, spring: float) -> None:
    rigid = [vibration.ShaftSupport(0.0), vibration.ShaftSupport(1200.0)]
    soft = [vibration.ShaftSupport(0.0), vibration.ShaftSupport(1200.0, spring)]
    bare = vibration.shaft_frequencies_hz(1350.0, 50.0, 193_000.0, 7880.0, rigid)[0]
    disc = [vibration.ShaftMass(1350.0, mass, inertia)]
    loaded = vibration.shaft_frequencies_hz(1350.0, 50.0, 193_000.0, 7880.0, rigid, disc)[0]
    yielding = vibration.shaft_frequencies_hz(1350.0, 50.0, 193_000.0, 7880.0, soft, disc)[0]
    assert yielding <= loaded * (1.0 + 1e-9)
    assert loaded <= bare * (1.0 + 1e-9)


@given(st.floats(0.05, 3.0), st.floats(0.1, 40.0), st.floats(0.1, 40.0))
def test_rudder_force_grows_with_speed(area: float, slow: float, more: float) -> None:
    # never falls as speed rises, the low-speed substitute included
    low = skeg_loads.rudder_force(area, slow, 1.5).value
    assert skeg_loads.rudder_force(area, slow + more, 1.5).value >= low * (1.0 - 1e-12)


@given(st.floats(0.1, 10.0), st.floats(10.0, 500.0), st.floats(100.0, 4000.0), st.floats(1.0, 3.0))
def test_blade_loss_scaling(mass: float, radius: float, rpm: float, factor: float) -> None:
    one = loads.blade_loss_force_n(mass, radius, rpm)
    assert loads.blade_loss_force_n(mass, radius, factor * rpm) == pytest.approx(factor**2 * one)
    assert loads.blade_loss_force_n(factor * mass, radius, rpm) == pytest.approx(factor * one)


@given(st.floats(0.1, 0.35), st.floats(0.4, 0.9))
def test_blade_parts_shrink_outward(hub: float, start: float) -> None:
    whole, tip = loads.blade_part(0.0, hub), loads.blade_part(start, hub)
    assert whole.mass_share == pytest.approx(1.0)
    assert 0.0 < tip.mass_share < 1.0
    assert start < tip.centre_ratio < 1.0
    assert whole.centre_ratio < tip.centre_ratio


@given(st.integers(2, 7), st.floats(20.0, 170.0))
def test_line_up_score_is_bounded_and_periodic(blades: int, opening: float) -> None:
    score = arm_rules.blade_line_up(opening, blades).value
    assert 0.0 <= score <= 180.0 / blades + 1e-9
    assert arm_rules.blade_line_up(opening + 360.0 / blades, blades).value == pytest.approx(score, abs=1e-6)


def test_free_directions_are_all_tried() -> None:
    # two free directions in one case give every pair; the worst is their plain sum
    case = loads.LoadCase(
        "both", (loads.LoadTerm("a", 1.0, loads.EITHER_SIDE), loads.LoadTerm("b", 2.0, loads.ANY_RADIAL))
    )
    sources = {"a": loads.LoadSource(np.array([1.0, 2.0, 3.0])), "b": loads.LoadSource(5.0)}
    found = loads.case_loads(case, sources, clocks=36)
    assert found.force_n.shape == (72, 3, 3)
    assert np.linalg.norm(found.force_n, axis=-1).max(axis=0) == pytest.approx([11.0, 12.0, 13.0])


def test_many_candidates_at_once() -> None:
    # a hundred thousand candidates in one call equal the scalar answers at picked places
    rng = np.random.default_rng(3)
    d = rng.uniform(20.0, 120.0, 100_000)
    inertia = arm_rules.abs_arm_inertia(d, "I").value
    frequency = np.asarray(vibration.cantilever_frequency_hz(E, inertia, 8.0 * d, 1e-4 * d**3, 3e-5 * d**3))
    resistance = np.asarray(
        bolts.bearing_resistance(0.25 * d, 0.28 * d, 0.33 * d, 485.0, 700.0, 0.6 * d, 0.6 * d).force_n
    )
    for k in (0, 5_000, 99_999):
        x = float(d[k])
        assert frequency[k] == pytest.approx(
            vibration.cantilever_frequency_hz(E, 0.018 * x**4, 8.0 * x, 1e-4 * x**3, 3e-5 * x**3)
        )
        assert resistance[k] == pytest.approx(
            bolts.bearing_resistance(0.25 * x, 0.28 * x, 0.33 * x, 485.0, 700.0, 0.6 * x, 0.6 * x).force_n
        )
