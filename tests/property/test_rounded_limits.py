"""What a person reads as equal to its limit is within it; what reads as over it is over: one rule for every check."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import example_strut

from strutwright.models.checks.check import Check
from strutwright.models.checks.outcome import Outcome
from strutwright.models.checks.results import Results
from strutwright.models.finding import FAILS, WARNS, WITHIN, Standing, Verdict, at_least, at_most, beyond
from strutwright.models.sizing.judge import Severity, _held
from strutwright.models.struts import Struts
from strutwright.params import limits
from strutwright.params.loader import load, shipped
from strutwright.params.quantity import figure, in_file_units

UNITS = ["mm", "deg", "MPa", "N", "N m", "kg", "mm2", "mm3", "", "mV", "kn", "Hz", "rpm"]
HOW = {"source": "", "standing": Standing.GEOMETRY, "advice": "x", "parameter": "p", "group": "g"}


def written(value: float, unit: str) -> tuple[str, str]:
    return (figure(*in_file_units(value, unit, "mm")), figure(*in_file_units(value, unit, "in")))


@given(limit=st.floats(1e-4, 1e6), share=st.floats(-3e-3, 3e-3) | st.floats(-1e-5, 1e-5), unit=st.sampled_from(UNITS))
def test_a_value_that_reads_as_its_limit_is_within_it(limit: float, share: float, unit: str) -> None:
    actual = limit * (1 + share)
    alike = any(a == b for a, b in zip(written(actual, unit), written(limit, unit), strict=True))
    over, under = actual > limit and not alike, actual < limit and not alike
    assert bool(beyond(actual, limit, unit)) == over
    most = at_most("c", "w", actual, limit, unit, **HOW)
    least = at_least("c", "w", actual, limit, unit, **HOW)
    assert most.verdict is (Verdict.FAIL if over else Verdict.OK)
    assert least.verdict is (Verdict.FAIL if under else Verdict.OK)
    assert (most.advice == "") == (not over)
    for units in ("mm", "in"):  # and what is told as broken reads as broken
        if over:
            there, asked = most.measure(units).split(" against at most ")
            assert there != asked


@given(limit=st.floats(0.01, 1e4), share=st.floats(-3e-3, 3e-3), unit=st.sampled_from(UNITS))
def test_candidates_are_held_to_the_same_rule(limit: float, share: float, unit: str) -> None:
    """The checks of one strut, those of many candidates, geometry and engineering."""
    actual = limit * (1 + share)
    expected = bool(beyond(actual, limit, unit))
    check = Check(code="c", group="g", meaning="m")
    many = Results(Struts.of(example_strut("single")), limits.standard(), tells=False)
    many.most(check, np.array([actual, 0.0]), limit, unit=unit)
    assert list(np.asarray(many.outcomes["c"].level)) == [FAILS if expected else WITHIN, WITHIN]
    held = _held(Outcome(np.array([actual, 0.0]), np.full(2, limit), np.ones(2)), Severity(FAILS, WARNS, False), unit)
    assert list(held.level) == [FAILS if expected else WITHIN, WITHIN]


def test_hard_limits_too() -> None:
    from strutwright.models.resolve import resolve

    strut = resolve(load(shipped()["harbour-launch"])).strut
    for actual, verdict in ((1.4996, Verdict.WARN), (1.49, Verdict.FAIL)):
        bench = Results(Struts.of(strut), limits.standard())
        bench.least(
            Check(code="c", group="g", meaning="m"),
            actual,
            2.0,
            hard=1.5,
            warn=True,
            what="w",
            parameter="p",
            advice="a",
        )
        assert bench.findings[0].verdict is verdict


@pytest.mark.parametrize(
    ("actual", "limit", "unit"),
    [(0.0002, 0.0, "mm"), (50.0004, 50.0, "mm"), (0.0510, 0.0508, "mm"), (137.99, 138.0, "MPa"), (0.004, 0.0, "deg")],
)
def test_by_hand(actual: float, limit: float, unit: str) -> None:
    assert not beyond(actual, limit, unit)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_not_over_a_limit_it_does_not_reach(value: float) -> None:
    assert bool(beyond(value, 1.0, "mm")) == (value == math.inf)
    assert bool(beyond(1.0, value, "mm")) == (value == -math.inf)
