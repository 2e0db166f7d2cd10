"""Laws that loads, frames, bolts, welds and vibration must keep whatever the numbers: scaling, symmetry,
monotony."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from beam_support import gauss_stations_mm, tip_flexibility
from hypothesis import given
from hypothesis import strategies as st
from strength_support import rectangle_weld

from strutwright.models.formulas import arm_rules, beams, bolts, loads, palm_plate, skeg_loads, vibration, welds

size = st.floats(0.2, 5.0)
angle = st.floats(0.2, 1.3)
signed = st.floats(-5e4, 5e4)
E, G = 103_400.0, 38_582.0


def _v(scale: float, half_angle: float, taper: float = 1.0, modulus: float = E) -> npt.NDArray[np.float64]:
    s = gauss_stations_mm(400.0 * scale, 8)
    grow = 1.0 + (taper - 1.0) * s / (400.0 * scale)
    flexibility = tip_flexibility(
        400.0 * scale,
        1100.0 * scale**2 * grow**2,
        27_500.0 * scale**4 * grow**4,
        1.2e6 * scale**4 * grow**4,
        60_000.0 * scale**4 * grow**4,
        modulus,
        modulus / 2.68,
    )
    axes = [beams.arm_axes(side * half_angle) for side in (1.0, -1.0)]
    first, second = (beams.arm_barrel_stiffness(flexibility, a, 40.0 * scale * a[2]) for a in axes)
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
    straight = np.linalg.solve(_v(1.0, half_angle), load)[1]
    grown = np.linalg.solve(_v(1.0, half_angle, taper), load)[1]
    assert grown <= straight * (1.0 + 1e-12)


@given(angle, signed, signed, signed)
def test_mirrored_load_gives_mirrored_motion(half_angle: float, fx: float, fy: float, fz: float) -> None:
    stiffness = _v(1.0, half_angle)
    mirror = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0])
    load = np.array([fx, fy, fz, 2e4, -1e4, 3e4])
    straight, turned = np.linalg.solve(stiffness, load), np.linalg.solve(stiffness, mirror * load)
    assert np.allclose(turned, mirror * straight, rtol=1e-6, atol=1e-9 * np.abs(straight).max())


@given(st.floats(-3.0, 3.0), st.floats(-0.5, 0.5), st.floats(-0.3, 0.3))
def test_arm_axes_are_a_right_handed_frame(clock: float, rake: float, toe: float) -> None:
    axes = beams.arm_axes(clock, rake, toe)
    assert np.allclose(axes @ axes.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_vectorised_frame_equals_one_at_a_time() -> None:
    # slope-deflection closed form of a symmetric V pushed across: H / (2 [(EA/L) sin^2 g + (3EI/L^3) cos^2 g])
    half_angles = np.linspace(0.3, 1.1, 50)
    flexibility = tip_flexibility(400.0, 1100.0, 27_500.0, 1.2e6, 60_000.0, E, G)
    zero = np.zeros((50, 3))
    both = np.sum(
        [beams.arm_barrel_stiffness(flexibility, beams.arm_axes(side * half_angles), zero) for side in (1.0, -1.0)],
        axis=0,
    )
    push = np.broadcast_to(np.array([0.0, 1e3, 0.0, 0.0, 0.0, 0.0]), (50, 6))
    motions = np.linalg.solve(both, push[..., None])[..., 0]
    axial, bend = E * 1100.0 / 400.0, 3.0 * E * 27_500.0 / 400.0**3
    closed = 1e3 / (2.0 * (axial * np.sin(half_angles) ** 2 + bend * np.cos(half_angles) ** 2))
    assert np.allclose(motions[:, 1], closed, rtol=1e-9)


POINTS = np.array([[100.0, 50.0], [0.0, 50.0], [-100.0, 50.0], [100.0, -50.0], [0.0, -50.0], [-100.0, -50.0]])
GROUP = bolts.bolt_group(*POINTS.T.tolist(), -130.0, 130.0, -75.0, 75.0)


@given(signed, signed, st.floats(-5e6, 5e6))
def test_no_bolt_shears_more_than_the_worst(fu: float, fv: float, mn: float) -> None:
    # elastic vector method (textbook), bolt by bolt: F/n, and M r / sum r^2 square to r
    arm = POINTS - POINTS.mean(axis=0)
    each = np.column_stack([fu / 6.0 - mn * arm[:, 1] / np.sum(arm**2), fv / 6.0 + mn * arm[:, 0] / np.sum(arm**2)])
    size = np.linalg.norm(each, axis=1).max()
    told = float(bolts.shear_n(GROUP, (fu, fv, 0.0, 0.0, 0.0, mn)))
    assert size <= told * (1.0 + 1e-9)
    assert told <= 2.0 * size + 1e-9  # the twist or the straight share alone is half of it at least


@given(st.floats(4.0, 30.0), st.floats(4.0, 30.0), st.floats(1e4, 2e5))
def test_thicker_palm_never_carries_less(thin: float, more: float, bolt: float) -> None:
    first = palm_plate.t_stub_n(120.0, thin, 235.0, bolt, 30.0, 40.0)
    second = palm_plate.t_stub_n(120.0, thin + more, 235.0, bolt, 30.0, 40.0)
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


@given(st.floats(20.0, 300.0), st.floats(5.0, 60.0), signed, signed, signed, size)
def test_weld_stress_goes_with_the_load_and_the_size(
    chord: float, thick: float, fx: float, fy: float, fz: float, scale: float
) -> None:
    # linear in the load; stress over a throat goes down with the size of a weld under the same forces
    force, moment = (fx, fy, fz), (2e5, -4e5, 3e5)
    flanks: dict[str, Any] = {
        "sides": (welds.flank(5.0, 110.0), welds.flank(7.0, 70.0)),
        "ends": (welds.flank(6.0, 95.0),),
        "beta_w": 0.9,
    }
    one = welds.weld_stress_mpa(rectangle_weld(chord, thick), force, moment, **flanks)
    more = welds.weld_stress_mpa(
        rectangle_weld(chord, thick), tuple(scale * f for f in force), tuple(scale * m for m in moment), **flanks
    )
    assert more == pytest.approx(scale * one, rel=1e-9)
    larger = welds.weld_stress_mpa(
        rectangle_weld(scale * chord, scale * thick), force, tuple(scale * m for m in moment), **flanks
    )
    assert larger * scale == pytest.approx(one, rel=1e-9)


@given(st.floats(0.05, 3.0), st.floats(0.1, 40.0), st.floats(0.1, 40.0))
def test_rudder_force_grows_with_speed(area: float, slow: float, more: float) -> None:
    # never falls as speed rises, the low-speed substitute included
    low = skeg_loads.rudder_force_n(area, slow, 1.5)
    assert skeg_loads.rudder_force_n(area, slow + more, 1.5) >= low * (1.0 - 1e-12)


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
    score = arm_rules.blade_line_up(opening, blades)
    assert 0.0 <= score <= 180.0 / blades + 1e-9
    assert arm_rules.blade_line_up(opening + 360.0 / blades, blades) == pytest.approx(score, abs=1e-6)


def test_many_candidates_at_once() -> None:
    # a hundred thousand candidates in one call equal the scalar answers at picked places
    rng = np.random.default_rng(3)
    d = rng.uniform(20.0, 120.0, 100_000)
    inertia = 0.018 * d**4
    frequency = np.asarray(vibration.pinned_sprung_hz(8.0 * d, E, inertia, 3e-6 * d**2, np.inf))
    resistance = np.asarray(
        bolts.bearing_resistance_n(
            0.25 * d,
            0.28 * d,
            0.33 * d,
            plate_tensile_mpa=485.0,
            bolt_tensile_mpa=700.0,
            edge_mm=0.6 * d,
            pitch_mm=2.0 * d,
            gamma=1.25,
        )
    )
    for k in (0, 5_000, 99_999):
        x = float(d[k])
        alone = vibration.pinned_sprung_hz(8.0 * x, E, 0.018 * x**4, 3e-6 * x**2, np.inf)
        assert frequency[k] == pytest.approx(alone)
        one = bolts.bearing_resistance_n(
            0.25 * x,
            0.28 * x,
            0.33 * x,
            plate_tensile_mpa=485.0,
            bolt_tensile_mpa=700.0,
            edge_mm=0.6 * x,
            pitch_mm=2.0 * x,
            gamma=1.25,
        )
        assert resistance[k] == pytest.approx(one)
