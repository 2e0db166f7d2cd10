"""Laws of the answer to what turns and pulses: against a fine search, by damping, over speed, in both directions."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from orbit_support import modal_damping, steady

from strutwright.models.formulas import response as rules
from strutwright.params import limits

HZ = st.floats(0.2, 5000.0)
RATE = st.floats(0.1, 1000.0)
"""Natural frequencies of a strut; shaft rate and blade rate."""
DAMPING = st.floats(1e-3, 0.5)
NEAR = st.floats(0.0, 1.0)


@given(natural=HZ, wider=st.floats(1.0, 3.0), slow=st.floats(0.02, 1.0), fast=RATE, damping=DAMPING, near=NEAR)
def test_the_worst_is_what_a_fine_search_finds(
    natural: float, wider: float, slow: float, fast: float, damping: float, near: float
) -> None:
    """Over all speeds of the range and all that the natural frequency may be, counting no more than near resonance."""
    low, high = natural, natural * wider
    found = float(
        rules.range_amplification(rules.worst_natural_hz(low, high, fast, damping), slow * fast, fast, damping, near)
    )
    meets = np.clip(fast * np.array([0.7, 1.0, 1.02, 1.2, 1.5]), low, high)
    naturals = np.unique(np.append(np.geomspace(low, high, 9), meets))[:, None]
    speeds = np.clip(naturals * np.append(np.linspace(0.3, 3.0, 271), slow * fast / naturals), slow * fast, fast)
    counted = rules.amplification(min(1.0 - near, np.sqrt(max(1.0 - 2.0 * damping**2, 0.0))), damping)
    each = (speeds / fast) ** 2 * np.minimum(rules.amplification(speeds / naturals, damping), counted)
    assert np.max(each) <= found * (1.0 + 1e-9)
    # The search may pass by the very speed from which on the answer falls.
    assert found == pytest.approx(np.max(each), rel=0.02)


@given(natural=HZ, slow=st.floats(0.0, 1.0), fast=RATE, one=DAMPING, more=st.floats(1.0, 10.0), near=NEAR)
def test_more_damping_is_never_worse(
    natural: float, slow: float, fast: float, one: float, more: float, near: float
) -> None:
    assume(one * more <= 0.5)
    little, much = (float(rules.range_amplification(natural, slow * fast, fast, z, near)) for z in (one, one * more))
    assert much <= little * (1.0 + 1e-12)


@given(fast=RATE, slow=st.floats(0.0, 1.0), damping=DAMPING, near=st.floats(0.0, 0.5), above=st.floats(100.0, 1e4))
def test_far_below_resonance_a_load_is_as_at_rest(
    fast: float, slow: float, damping: float, near: float, above: float
) -> None:
    assert float(rules.range_amplification(above * fast, slow * fast, fast, damping, near)) == pytest.approx(
        1.0, abs=3e-4
    )


@given(natural=HZ, slow=st.floats(0.0, 1.0), fast=RATE, damping=st.floats(0.005, 0.5), near=NEAR)
def test_the_answer_has_no_steps(natural: float, slow: float, fast: float, damping: float, near: float) -> None:
    """A millionth more speed changes it by some hundred millionths at most, one over the damping."""
    one, two = (
        float(rules.range_amplification(natural, slow * f, f, damping, near)) for f in (fast, fast * (1.0 + 1e-6))
    )
    assert two == pytest.approx(one, rel=1e-6 * (4.0 + 2.0 / damping))


@given(natural=HZ, slow=st.floats(0.0, 1.0), fast=RATE, damping=DAMPING, near=NEAR, less=NEAR)
def test_counting_nearer_to_resonance_is_never_less(
    natural: float, slow: float, fast: float, damping: float, near: float, less: float
) -> None:
    far, close = (float(rules.range_amplification(natural, slow * fast, fast, damping, n)) for n in (near, near * less))
    assert close >= far * (1.0 - 1e-12)


@given(
    soft=st.floats(1.0, 1e5),
    stiffer=st.floats(1.0, 1e3),
    turn=st.floats(0.0, np.pi),
    mass=st.floats(0.1, 1e4),
    damping=st.floats(1e-3, 0.05),
    ratio=st.floats(0.01, 100.0),
)
def test_the_greater_direction_speaks_for_both(
    soft: float, stiffer: float, turn: float, mass: float, damping: float, ratio: float
) -> None:
    """The elastic force of one mass on two springs, off their resonances, as the long half axis of its path: no less
    than the greater of both amplifications, and more only as far as the two lag by more or less than a quarter turn
    behind each other. By the damping that loads are magnified by, that is hardly more."""
    axes = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    stiff = axes @ np.diag([soft, soft * stiffer]) @ axes.T
    natural = np.sqrt(1000.0 * np.array([soft, soft * stiffer]) / mass) / (2.0 * np.pi)
    hz = ratio * natural[0]
    assume(np.all(np.abs(hz / natural - 1.0) > 0.1))
    inertia = mass * np.eye(2)
    moved = steady(stiff, inertia, modal_damping(stiff, inertia, damping), rules.turning(1.0), hz)
    major, minor = rules.orbit(*(stiff @ moved))
    greater = float(np.max(rules.amplification(hz / natural, damping)))
    assert 0.0 <= minor <= major
    one, other = np.arctan2(2.0 * damping * hz / natural, 1.0 - (hz / natural) ** 2)
    more = float(np.sqrt(1.0 + np.abs(np.sin(one - other))))
    assert more < 1.09 or damping > limits.standard()["damping_low"].value
    assert greater * (1.0 - 1e-6) <= float(major) <= more * greater * (1.0 + 1e-6)
    swung = rules.orbit(*moved)[0]
    each = rules.amplification(hz / natural, damping) / np.array([soft, soft * stiffer])
    assert float(np.max(each)) * (1.0 - 1e-6) <= float(swung) <= more * float(np.max(each)) * (1.0 + 1e-6)


@given(low=HZ, wider=st.floats(1.0, 5.0), idle=st.floats(0.05, 1.0), full=RATE)
def test_near_a_range_is_the_nearest_meeting(low: float, wider: float, idle: float, full: float) -> None:
    near = float(rules.nearness(low, low * wider, idle * full, full))
    assert (near >= 1.0) is (idle * full <= low * wider and full >= low)
    if near < 1.0:
        assert near == pytest.approx(full / low if full < low else low * wider / (idle * full))
