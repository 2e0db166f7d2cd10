"""Laws of tolerances from hull to shaft over all sizes that a file may say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strength_support import inputs_of

from strutwright.models.checks.fit import tolerances
from strutwright.models.formulas import tolerance_stack as rules
from strutwright.models.formulas.tolerance_stack import SPREAD, Chain, Moved, Tolerance

SIZE = st.floats(10.0, 20_000.0)
CHAINS = st.builds(
    Chain,
    palm_length_mm=SIZE,
    palm_width_mm=SIZE,
    span_mm=SIZE,
    bearing_mm=SIZE,
    drop_mm=st.floats(0.01, 5000.0),
    overhang_mm=st.floats(0.0, 5000.0),
    lean=st.floats(0.5, 1.0),
)
TOLERANCES = st.lists(
    st.builds(
        Tolerance,
        name=st.just("one"),
        of=st.sampled_from(rules._KEYS),
        half=st.floats(0.001, 20.0),
        law=st.sampled_from(sorted(SPREAD)),
    ),
    min_size=1,
    max_size=12,
)
BASE = inputs_of("harbour-launch")


def added(chain: Chain, made: list[Tolerance]) -> tuple[Moved, Moved, Moved]:
    """Worst case, root of squares, standard deviation."""
    each = rules.each_at_limit(chain, made)
    return rules.worst(each), rules.root_sum_square(each), rules.standard_deviation(each, made)


@settings(deadline=None, max_examples=100)
@given(CHAINS, TOLERANCES, st.floats(1.0, 5.0), st.data())
def test_a_wider_tolerance_never_narrows(chain: Chain, made: list[Tolerance], more: float, data: st.DataObject) -> None:
    k = data.draw(st.integers(0, len(made) - 1))
    wider = [replace(t, half=t.half * more) if n == k else t for n, t in enumerate(made)]
    for before, after in zip(added(chain, made), added(chain, wider), strict=True):
        for one, other in zip(before, after, strict=True):
            assert other >= one * (1.0 - 1e-12)


@settings(deadline=None, max_examples=100)
@given(CHAINS, TOLERANCES)
def test_shares_sum_to_one_and_the_answers_are_in_order(chain: Chain, made: list[Tolerance]) -> None:
    worst, likely, sigma = added(chain, made)
    if float(sigma.total_mrad) > 0.0:
        each = [float(s) for s in rules.shares(rules.each_at_limit(chain, made), made)]
        assert sum(each) == pytest.approx(1.0)
        assert all(0.0 <= s <= 1.0 + 1e-12 for s in each)
    for most, usual, one in zip(worst, likely, sigma, strict=True):
        assert one <= usual * (1.0 + 1e-12)
        assert usual <= most * (1.0 + 1e-12)


@settings(deadline=None, max_examples=30)
@given(CHAINS, TOLERANCES)
def test_no_strut_of_the_many_is_beyond_the_worst(chain: Chain, made: list[Tolerance]) -> None:
    """But those with normal tolerances, which have no end."""
    bounded = [replace(t, law="uniform" if t.law == "normal" else t.law) for t in made]
    found, worst = rules.monte_carlo(chain, bounded, 1.0, count=2000), added(chain, bounded)[0]
    assert found.total[3] <= float(worst.total_mrad) * (1.0 + 1e-9)
    assert found.tip_mm <= float(worst.tip_mm) * (1.0 + 1e-9)
    assert list(found.total) == sorted(found.total)


@settings(deadline=None, max_examples=40)
@given(st.floats(0.01, 5.0), st.sampled_from(("stack_hull_flat", "stack_bedding", "stack_next_bearing")))
def test_a_slacker_yard_is_never_better(more: float, name: str) -> None:
    limits = dict(BASE.limits)
    limits[name] = replace(limits[name], value=limits[name].value + more)
    before, after = (tolerances.numbers(replace(BASE, limits=table)) for table in (BASE.limits, limits))
    assert float(after["stack_as_drawn"].demand) > float(before["stack_as_drawn"].demand)


def test_candidates_come_out_as_one_by_one() -> None:
    drops = np.array([200.0, 300.0, 450.0])
    for fitting in ("in_place", "as_drawn"):
        base = replace(BASE, fitting=fitting)
        many = tolerances.numbers(replace(base, drop_mm=drops))
        for k, drop in enumerate(drops.tolist()):
            one = tolerances.numbers(replace(base, drop_mm=drop))
            for code, outcome in many.items():
                got = np.broadcast_to(outcome.demand, 3)[k]
                assert got == pytest.approx(float(one[code].demand), rel=1e-12)
