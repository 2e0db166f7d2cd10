"""Random boats from the whole range of the schema against beam elements of the tests' own, in two planes with
gyroscopic effect: no whirl and no peak of what unbalance does lies below what is told, and no answer above it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import yaml
from property.random_sets import draw_set
from strength_support import inputs_of
from support import every
from whirl_elements import corners, elements, most_carried, most_moved_mm

from strutwright.models import driven, shaft_support
from strutwright.models.checks.strength import load_cases, load_paths
from strutwright.models.checks.vibration import vibration, whirl
from strutwright.models.formulas.loads import unbalance_force_n
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError


def boat(number: int) -> Inputs | None:
    """A random set with propeller, line and engine; None where the set is refused."""
    said: dict[str, Any] = draw_set(number)
    rng, d = np.random.default_rng([number, 7]), said["shaft"]["diameter"]
    wide = d * rng.uniform(6.0, 16.0)
    said["propeller"] = {
        "diameter": round(wide, 1),
        "blades": int(rng.integers(2, 8)),
        "mass": round(float(rng.uniform(0.3, 3.0) * 8e-7 * wide**3), 3),
        "hub_length": round(d * rng.uniform(1.2, 3.0), 1),
        "hub_gap": round(d * rng.uniform(0.1, 2.0), 1),
    }
    said["shaft"]["bearing_span"] = round(d * rng.uniform(8.0, 50.0), 1)
    speed = round(float(np.exp(rng.uniform(np.log(200.0), np.log(4000.0)))), 1)
    said["duty"] = {"power": f"{rng.uniform(5.0, 500.0):.1f} kW", "shaft_speed": speed, "boat_speed": "9 kn"}
    try:
        return Inputs.from_strut(resolve(loads(yaml.safe_dump(said), "random")).strut)
    except ParameterError:
        return None


@pytest.mark.parametrize("number", every(range(400), 40))
def test_nothing_that_unbalance_drives_lies_below_what_is_told(number: int) -> None:
    one = boat(number)
    if one is None:
        pytest.skip("refused")
    with np.errstate(all="ignore"):
        told = float(whirl.outcome(one).capacity) / 60.0
        by_blades = shaft_support.softest(one).whirls[1]
    made = corners(one)
    lowest = min(float(e.critical_hz()[0]) for e in made)
    assert 0.94 * lowest <= told <= 1.002 * lowest
    for e in made:
        first = e.critical_hz()
        near = np.concatenate([hz * (1.0 + 0.005 * np.arange(-6, 7)) for hz in first[:3]])
        rates = np.unique(np.concatenate([np.linspace(0.3, 1.3 * first[1] / first[0], 60) * first[0], near]))
        moved = e.answers(rates)[0] * rates**2
        peaks = np.flatnonzero((moved[1:-1] > moved[:-2]) & (moved[1:-1] > moved[2:])) + 1
        driven_ones = peaks[moved[peaks] > 0.02 * np.max(moved)]
        assert np.all(rates[driven_ones] >= told / 1.002)
    for n, hz in enumerate((by_blades.first_hz, by_blades.second_hz)):
        exact = min(float(e.critical_hz(float(one.blades))[n]) for e in made)
        assert 0.94 * exact <= float(hz) <= 1.002 * exact


def more_bearings(one: Inputs, number: int) -> Inputs:
    """With one to three bearings more, at half to twice the last span; every third boat has none."""
    rng = np.random.default_rng([number, 11])
    spans = float(one.bearing_span_mm) * rng.uniform(0.5, 2.0, number % 3 and int(rng.integers(1, 4)))
    places = float(one.bearing_span_mm) + np.cumsum(spans)
    return replace(one, more_bearings_mm=tuple((float(at), 0.0) for at in places))


@pytest.mark.parametrize("number", every(range(400), 29))
def test_what_turns_and_what_pulses_is_never_more_than_is_told(number: int) -> None:
    """However many whirls the boat runs past and however many bearings the shaft has: force in the strut and movement
    of the barrel, at shaft rate and at blade rate."""
    one = boat(number)
    if one is None:
        pytest.skip("refused")
    one, damping = more_bearings(one, number), one.limit("damping_ratio")
    with np.errstate(all="ignore"):
        found, first = driven.magnified(one), float(whirl.outcome(one).capacity)
        lever = float(shaft_support.carried_from_hub_n(one, one.overhang_mm)[1])
        moved = [float(driven.moved_mm(one, lever, times, damping)) for times in (1.0, one.blades)]
    blades = float(one.blades)
    assert first <= 1.002 * 60.0 * min(float(e.critical_hz()[0]) for e in corners(one))
    # Two whirls close together, within the tenth about either that is left out, do up to 6 % more.
    assert most_carried(one) <= 1.06 * lever * float(found.shaft_across)
    assert most_carried(one, blades) <= lever * float(found.blade_across)
    assert most_moved_mm(one, 1.0, damping) <= moved[0]
    assert most_moved_mm(one, blades, damping) <= moved[1]


def test_a_boat_past_its_third_whirl_was_told_too_little() -> None:
    """Its strut was taken to be all but quiet there: 0.0069 of the force at rest, where elements find 0.0092."""
    one = boat(280)
    assert one is not None
    past = min(int(np.sum(e.critical_hz() < float(one.shaft_rpm) / 60.0)) for e in corners(one))
    assert past > 3
    with np.errstate(all="ignore"):
        told = float(driven.magnified(one).shaft_across * shaft_support.carried_from_hub_n(one, one.overhang_mm)[1])
    assert 0.0 < most_carried(one) <= told


@pytest.mark.parametrize("number", range(1, 7))
def test_on_more_bearings_the_strut_carries_what_elements_find(number: int) -> None:
    """A newton at the hub on three to five rigid bearings, by beam elements; a soft next one brings no more of it."""
    one = more_bearings(inputs_of("harbour-launch"), 3 * number + 1)
    assert len(one.more_bearings_mm) >= 1
    rigid = elements(one, shaft_support.Hold(1e9, 1e9, 1.0), 1e9)
    carried = float(rigid.answers(np.array([1e-6]), 0.0)[1][0])
    assert float(shaft_support.carried_from_hub_n(one, one.overhang_mm)[1]) == pytest.approx(carried, rel=1e-4)
    over = load_paths.carry_to_hub_mm(one)
    unbalance = unbalance_force_n(one.propeller_kg, one.limit("balance_grade"), one.shaft_rpm)
    lever = shaft_support.carried_from_hub_n(one, over)[1]
    assert float(load_cases.still(one)["unbalance"]) == pytest.approx(float(lever * unbalance))


@pytest.mark.parametrize(("share", "within"), [(0.99, True), (1.01, False)])
def test_a_backward_whirl_counts_for_the_margin(share: float, within: bool) -> None:
    """The rubber of a vee gives all but alike both ways: elements have its lowest whirl turn all but backward, nine per
    cent below the frequency of its plane at rest. It is that which is held off full speed."""
    vee = inputs_of("pilot-vee")
    backward = 60.0 * min(float(e.critical_hz()[0]) for e in corners(vee))
    plane = 60.0 * min(float(e.critical_hz(1e9)[0]) for e in corners(vee))
    assert backward < 0.93 * plane
    found = whirl.outcome(replace(vee, shaft_rpm=share * backward / 1.2))
    assert bool(found.utilisation <= 1.0) is within


@pytest.mark.parametrize(("share", "within"), [(0.75, False), (1.0, False), (1.15, False), (1.3, True)])
def test_blade_rate_keeps_off_the_next_whirl(share: float, within: bool) -> None:
    one = inputs_of("cutter-shoulder")
    ends = [float(e.critical_hz(3.0)[1]) for e in corners(one)]
    near = (min if share < 1.0 else max)(ends)
    found = vibration.numbers(replace(one, shaft_rpm=60.0 * share * near / 3.0))["strut_in_plane_blade_rate"]
    assert bool(found.utilisation <= 1.0) is within
