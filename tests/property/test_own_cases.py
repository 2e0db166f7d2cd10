"""A load case more never lowers a utilisation, whatever the strut and the case; the worst is that of some case."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from property.random_sets import draw_set
from support import every

from strutwright.models.checks.strength import arms, bolts, every_case, load_cases, palm, welds
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError
from strutwright.params.schema_boat import LoadCase

MODULES: tuple[Any, ...] = (arms, bolts, palm, welds)
SOURCES = ("weight", "blade_loss", "turn", "thrust", "torque", "blade_rate", "rudder", "grounding", "force")
WARNS = {
    "bolt_bearing": False,
    "bolt_tear_out": False,
    "head_through_palm": False,
    "hull_pull_through": True,
    "palm_on_hull": True,
}
"""Checks of which the demand is what a case does, and whether they only warn."""


@st.composite
def terms(draw: st.DrawFn) -> dict[str, Any]:
    """One load from all that the schema allows."""
    source = draw(st.sampled_from(SOURCES))
    said: dict[str, Any] = {"source": source, "factor": draw(st.floats(-20.0, 20.0))}
    if draw(st.booleans()):
        said["clock"] = draw(st.floats(-180.0, 180.0))
    if source == "force" and draw(st.integers(0, 9)):
        said["force"] = draw(st.floats(0.0, 1e7))
    return said


@st.composite
def load_case(draw: st.DrawFn) -> LoadCase:
    said = {"name": "own", "terms": draw(st.lists(terms(), min_size=1, max_size=12))}
    said["allowed_of_yield"] = draw(st.floats(0.01, 1.0))
    return LoadCase.model_validate(said, context={"units": "mm"})


def numbers(one: Inputs) -> dict[str, float]:
    with np.errstate(all="ignore"):
        return {code: float(held.utilisation) for m in MODULES for code, held in m.numbers(one).items()}


@pytest.mark.parametrize("number", every(range(60), 15))
@settings(max_examples=3, deadline=None)
@given(own=st.lists(load_case(), min_size=1, max_size=3))
def test_a_load_case_more_never_lowers_a_utilisation(number: int, own: list[LoadCase]) -> None:
    try:
        strut = resolve(loads(json.dumps(draw_set(number)))).strut
    except ParameterError:
        pytest.skip("no strut at all, which is told")
    bare = replace(Inputs.from_strut(strut), own_cases=())
    before = numbers(bare)
    for count in range(1, len(own) + 1):
        one = replace(bare, own_cases=tuple(own[:count]))
        after = numbers(one)
        for code, used in before.items():
            assert math.isnan(used) or after[code] >= used, code
        before = after
    with np.errstate(all="ignore"):
        held = bolts.numbers(one) | palm.numbers(one)
        does = {c.key: _does(one, c) for c in load_cases.cases(one)}
    for code, warns in WARNS.items():
        for grade, some in every_case.graded_cases(one, warns).items():
            for asked in (does[c.key][code] for c in some if c.key in does and code in held):
                assert math.isnan(asked) or float(held[code + grade].demand) >= asked, code + grade


def _does(one: Inputs, case: load_cases.Case) -> dict[str, float]:
    hit = bolts.greatest_forces(one, case.key)
    shear, pull = float(hit.shear_n), float(hit.tension_n)
    pressure = float(palm.pressure_mpa(one, case))
    return dict(zip(WARNS, (shear, shear, pull, pull, pressure), strict=True))
