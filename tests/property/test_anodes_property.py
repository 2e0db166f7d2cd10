"""Laws of anodes over the whole range that a file may say."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strength_support import inputs_of

from strutwright.models.checks.metals import anodes
from strutwright.models.formulas.seawater import practical_salinity, resistivity_ohm_m
from strutwright.models.spec_boat import Protection

BASE = inputs_of("harbour-launch")
WATERS = ("tropical", "subtropical", "temperate", "arctic")
PAINTS = ("I", "II", "III", "IV")
SAID = st.fixed_dictionaries(
    {
        "years": st.floats(0.1, 40.0),
        "water": st.sampled_from(WATERS),
        "paint": st.sampled_from(("none", *PAINTS)),
        "salinity": st.floats(0.01, 42.0),
        "anode_metal": st.sampled_from(("zinc", "aluminium", "magnesium")),
        "anode_kg": st.floats(0.01, 200.0),
        "face_m2": st.floats(0.0001, 2.0),
        "count": st.none() | st.integers(1, 500),
        "bonded_m2": st.none() | st.floats(0.0, 1000.0),
    }
)


def demands(said: dict[str, Any], **other: Any) -> dict[str, float]:
    made = anodes.numbers(replace(BASE, protection=Protection(**{**said, "count": None, **other})))
    return {code: float(o.demand) for code, o in made.items()}


@settings(deadline=None, max_examples=60)
@given(SAID)
def test_every_file_has_its_answer(said: dict[str, Any]) -> None:
    """Current and mass are there and positive; the number needed carries mass and both currents."""
    need = demands(said)
    assert all(math.isfinite(v) and v > 0 for v in need.values())
    whole = int(need["anode_count"])
    held = anodes.numbers(replace(BASE, protection=Protection(**{**said, "count": whole})))
    holds = (o for code, o in held.items() if code != "anode_water")
    assert all(o.utilisation <= 1 + 1e-5 for o in holds if not math.isnan(o.utilisation))


@settings(deadline=None, max_examples=40)
@given(SAID, st.floats(1.01, 4.0))
def test_mass_goes_with_life_alone_on_bare_metal_and_faster_under_paint(said: dict[str, Any], more: float) -> None:
    years = said["years"] / more
    short, long = (demands(said, years=y)["anode_mass"] for y in (years, years * more))
    if said["paint"] == "none":
        assert long == pytest.approx(more * short, rel=1e-9)
    else:
        assert long >= more * short * (1 - 1e-9)


@settings(deadline=None, max_examples=40)
@given(SAID)
def test_colder_water_and_worse_paint_never_ask_for_less(said: dict[str, Any]) -> None:
    for code in ("anode_mass", "anode_current_initial", "anode_current_mean", "anode_current_final"):
        by_water = [demands(said, water=w)[code] for w in WATERS]
        assert by_water == sorted(by_water)
        by_paint = [demands(said, paint=p)[code] for p in ("IV", "III", "II", "I", "none")]
        assert all(b >= a * (1 - 1e-12) for a, b in pairwise(by_paint))


@given(st.floats(0.01, 42.0), st.floats(0.01, 42.0), st.floats(-2.0, 35.0), st.floats(-2.0, 35.0))
def test_salt_and_warmth_conduct(one: float, other: float, cold: float, warm: float) -> None:
    """And the resistivity found is that of the salinity asked for."""
    fresh, salt = sorted((one, other))
    cold, warm = sorted((cold, warm))
    assert resistivity_ohm_m(salt, cold) <= resistivity_ohm_m(fresh, cold) * (1 + 1e-9)
    assert resistivity_ohm_m(salt, warm) <= resistivity_ohm_m(salt, cold) * (1 + 1e-9)
    at_15 = resistivity_ohm_m(35.0, 15.0) / resistivity_ohm_m(salt, 15.0)
    assert practical_salinity(at_15, 15.0) == pytest.approx(salt, rel=1e-6)


def test_candidates_come_out_as_one_by_one() -> None:
    lengths = np.array([120.0, 180.0, 260.0])
    many = anodes.numbers(replace(BASE, barrel_length_mm=lengths))
    for k, length in enumerate(lengths.tolist()):
        one = anodes.numbers(replace(BASE, barrel_length_mm=length))
        for code, outcome in many.items():
            assert np.broadcast_to(outcome.demand, 3)[k] == pytest.approx(float(one[code].demand), rel=1e-12)
