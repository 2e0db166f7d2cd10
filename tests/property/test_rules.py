"""The rules for sizes that a file leaves out: arrays and single sizes alike, rounded to steps a shop has."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from strutwright.models import rules
from strutwright.models.barrel_ends import ENDS
from strutwright.params.limits import standard

SIZES = st.floats(0.05, 2000.0)
STEPS = st.sampled_from([f(inch=inch) for f in (rules.whole_step_mm, rules.half_step_mm) for inch in (False, True)])


@given(SIZES, STEPS)
def test_rounded_sizes_are_whole_steps(size: float, step: float) -> None:
    """Up to less than a step more, near to half a step off and never to nothing (definition)."""
    up, near = rules.up_mm(size, step), rules.near_mm(size, step)
    for rounded in (up, near):
        assert rounded / step == pytest.approx(round(rounded / step), abs=1e-9)
    assert size - 1e-5 * step <= up < size + step
    assert near == step if size < step / 2 else abs(near - size) <= step / 2 + 1e-9


def test_steps_are_those_of_a_rule() -> None:
    """A millimetre and its half, a sixteenth and a 32nd of an inch of 25.4 mm (definition)."""
    assert [rules.whole_step_mm(inch=False), rules.half_step_mm(inch=False)] == [1.0, 0.5]
    assert [rules.whole_step_mm(inch=True), rules.half_step_mm(inch=True)] == [25.4 / 16, 25.4 / 32]


@pytest.mark.parametrize(
    "rule",
    [
        lambda a, b: rules.up_mm(a, 0.5),
        lambda a, b: rules.near_mm(a, 25.4 / 32),
        lambda a, b: ENDS["rounded"].length_mm(a + b, 0.5),
        lambda a, b: ENDS["tapered"].face_mm(a, a + b, 8.0),
        lambda a, b: ENDS["rounded"].face_mm(a, a + b, 8.0),
        lambda a, b: rules.fillet_mm(a, b, standard()),
        lambda a, b: rules.leg_mm(a, b, 0.7, inch=False),
        lambda a, b: rules.leg_mm(a, b, 0.35, inch=True),
    ],
)
def test_arrays_follow_the_very_rule_of_a_single_size(rule: Callable[..., object]) -> None:
    """To the last bit, or a study would judge another strut than the file makes."""
    one = np.array([0.3, 5.0, 6.0, 12.0, 12.7, 20.0, 33.31, 187.5])
    many = np.array(list(itertools.product(one, one)))
    found = np.asarray(rule(many[:, 0], many[:, 1]))
    single = [rule(float(a), float(b)) for a, b in many]
    assert all(type(value) is float for value in single)
    assert found.tolist() == single


@given(SIZES, SIZES)
def test_a_root_has_what_its_thinner_side_can_hold(a: float, b: float) -> None:
    """Fillets: 0.4 of the thinner neighbour, never under 6 mm. Legs: no less than the table wants."""
    assert rules.fillet_mm(a, b, standard()) == rules.fillet_mm(b, a, standard()) == max(6.0, 0.4 * min(a, b))
    thick = max(a, b)
    least = 3 if thick <= 6 else 5 if thick <= 12 else 6 if thick <= 20 else 8
    assert rules.leg_mm(a, b, 0.35, inch=False) >= max(least, 0.35 * min(a, b) - 0.25)
