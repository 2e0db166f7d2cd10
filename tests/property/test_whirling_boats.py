"""Random boats from the whole range of the schema against beam elements of the tests' own, in two planes with
gyroscopic effect: no whirl and no peak of what unbalance does lies below what is told."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import yaml
from property.random_sets import draw_set
from strength_support import inputs_of
from support import THOROUGH
from whirl_elements import corners, most_carried

from strutwright.models import driven, shaft_support
from strutwright.models.checks.vibration import vibration, whirl
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError

NUMBERS = range(400) if THOROUGH else range(0, 400, 40)


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


@pytest.mark.parametrize("number", NUMBERS)
def test_nothing_that_unbalance_drives_lies_below_what_is_told(number: int) -> None:
    one = boat(number)
    if one is None:
        pytest.skip("refused")
    with np.errstate(all="ignore"):
        told = float(whirl.outcome(one).capacity) / 60.0
        by_blades = shaft_support.softest(one).whirls[1]
        found = float(driven.magnified(one).shaft_across)
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
    third = min(float(e.critical_hz()[2]) for e in made)
    if float(one.shaft_rpm) / 60.0 < 0.9 * lowest:
        assert most_carried(one) <= found
    elif float(one.shaft_rpm) / 60.0 < 0.9 * third:
        assert most_carried(one) <= 1.03 * found  # past resonance


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
