"""Laws of fatigue over the whole range that a file may say: what can only help never shortens the life.

From the curves themselves: five times the slope is 2^5 on the sum; and from what the words mean.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from property.random_sets import draw_set
from support import THOROUGH

from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.strength import fatigue, load_cases
from strutwright.models.formulas import fatigue as rules
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.spec_boat import Use
from strutwright.params import tables
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError
from strutwright.params.schema_boat import LoadCase

NAMES = ("harbour-launch", "coaster-steel", "yawl-with-heel", "pilot-vee", "survey-launch", "work-launch-vee")
BASES = {name: Inputs.from_strut(resolve(load(shipped()[name])).strut) for name in NAMES}
CLASSES = tuple(row["class"] for row in tables.table("fatigue_curves").rows)
MANY = 200 if THOROUGH else 15
FORCES = tuple(
    LoadCase.model_validate(
        {"name": rate, "terms": [{"source": "force", "force": "500 N"}], "comes_and_goes": rate},
        context={"units": "mm"},
    )
    for rate in fatigue.RATES
)
"""A force of the file's own in the place of all that is assumed."""


def sums(one: Inputs) -> dict[str, float]:
    with np.errstate(all="ignore"):
        return {code: float(o.utilisation) for code, o in fatigue.numbers(one).items() if code != "fatigue_blade"}


def never_worse(before: Inputs, after: Inputs, codes: tuple[str, ...] = ()) -> None:
    one, two = sums(before), sums(after)
    for code in codes or one:
        if code in one:
            assert two[code] <= one[code] * (1 + 1e-9), code


uses = st.lists(st.tuples(st.floats(1.0, 1e6), st.floats(0.01, 1.0)), min_size=1, max_size=4)
spread = st.floats(1.0, 2.0)


def run(one: Inputs, use: list[tuple[float, float]]) -> Inputs:
    return replace(one, use=tuple(Use("run", h, s) for h, s in use))


@settings(max_examples=MANY, deadline=None)
@given(name=st.sampled_from(NAMES), use=uses, more=spread, faster=spread)
def test_fewer_hours_slower_speed_and_protection_never_shorten_a_life(
    name: str, use: list[tuple[float, float]], more: float, faster: float
) -> None:
    one = run(BASES[name], use)
    never_worse(run(one, [(h * more, s) for h, s in use]), one)
    given = replace(one, own_cases=FORCES)  # what is assumed may meet resonance at a lower speed
    never_worse(run(given, [(h, min(s * faster, 1.0)) for h, s in use]), given)
    never_worse(replace(one, anodes=False), replace(one, anodes=True))


@settings(max_examples=MANY, deadline=None)
@given(name=st.sampled_from(NAMES), use=uses, times=spread)
def test_a_thicker_arm_never_shortens_its_life(name: str, use: list[tuple[float, float]], times: float) -> None:
    """Thicker from end to end; fillets, welds and loads as they were (stiffer, it may come nearer to resonance)."""
    one = replace(run(BASES[name], use), own_cases=FORCES)
    arms = tuple(
        replace(a, thickness_barrel_mm=times * a.thickness_barrel_mm, thickness_palm_mm=times * a.thickness_palm_mm)
        for a in one.arms
    )
    never_worse(one, replace(one, arms=arms), ("fatigue_arm_barrel", "fatigue_arm_palm"))


@settings(max_examples=MANY, deadline=None)
@given(name=st.sampled_from(("pilot-vee", "coaster-steel")), use=uses, times=spread)
def test_a_longer_leg_never_shortens_the_life_of_its_root(
    name: str, use: list[tuple[float, float]], times: float
) -> None:
    one = run(replace(BASES[name], weld_prep="none"), use)
    arms = tuple(
        replace(a, barrel_root_mm=times * a.barrel_root_mm, palm_root_mm=times * a.palm_root_mm) for a in one.arms
    )
    never_worse(one, replace(one, arms=arms))


@settings(max_examples=MANY, deadline=None)
@given(name=st.sampled_from(NAMES), times=st.floats(1.0, 5.0))
def test_the_sum_goes_with_hours(name: str, times: float) -> None:
    """In proportion, but for the waves: there the greatest is met once in the life, however long."""
    plain = replace(BASES[name], propeller_kg=1e-9)
    one, two = (sums(run(plain, [(1000.0 * k, 1.0)])) for k in (1.0, times))
    for code in set(one) - {"fatigue_tip"}:
        if one[code] > 0.0:
            assert 0.9 * times <= two[code] / one[code] <= times * (1 + 1e-9)


@given(name=st.sampled_from(CLASSES), size=st.floats(0.01, 500.0), wet=st.sampled_from(("air", "protected", "bare")))
def test_twice_the_range(name: str, size: float, wet: Any) -> None:
    """32 times the damage under the knee, 2^m above it, between them across it; and no less of it without anodes."""
    curve = tables.fatigue_curve(name, wet)
    ratio = float(rules.damage_per_cycle(2.0 * size, curve) / rules.damage_per_cycle(size, curve))
    assert 2.0**curve.slope * (1 - 1e-9) <= ratio <= 32.0 * (1 + 1e-9)
    if wet == "bare":
        assert ratio == pytest.approx(8.0)
    elif size < 10.0:
        assert ratio == pytest.approx(32.0)
    air, protected, bare = (
        float(rules.damage_per_cycle(size, tables.fatigue_curve(name, s))) for s in ("air", "protected", "bare")
    )
    assert air <= protected * (1 + 1e-9)
    if curve.slope == 3 and name not in ("B1", "B2"):  # these are flatter when they corrode, and cross over high up
        assert protected <= bare * (1 + 1e-9)


@given(
    wide=st.floats(1.0, 500.0), share=st.floats(0.01, 1.0), radius=st.floats(0.001, 100.0), smaller=st.floats(0.2, 1.0)
)
def test_a_sharper_shoulder_is_never_much_milder(wide: float, share: float, radius: float, smaller: float) -> None:
    """1 at least, finite however sharp, and growing as the radius falls, as far as fitted charts do."""
    for shoulder in (rules.shoulder_in_bending, rules.shoulder_in_tension):
        blunt, sharp = (float(shoulder(wide, share * wide, r)) for r in (radius, smaller * radius))
        assert 1.0 <= blunt <= 10.0
        assert sharp >= 0.97 * blunt


@settings(max_examples=MANY, deadline=None)
@given(most=st.floats(0.0, 1e4), count=st.floats(1e3, 1e10), name=st.sampled_from(CLASSES), more=spread)
def test_waves_are_finite_and_grow(most: float, count: float, name: str, more: float) -> None:
    for wet in ("protected", "bare"):
        curve = tables.fatigue_curve(name, wet)
        one, two = (float(rules.damage_by_waves(m, count, curve)) for m in (most, more * most))
        assert 0.0 <= one <= two * (1 + 1e-9)
        assert one <= count * float(rules.damage_per_cycle(max(most, 1e-3), curve)) * (1 + 1e-9)


def boat(rng: np.random.Generator) -> dict[str, Any]:
    """Propeller, duty and loads from the whole range that a file may say."""

    def any_of(low: float, high: float) -> float:
        return float(math.exp(rng.uniform(math.log(low), math.log(high))))

    use = [{"name": f"use {k}", "hours": any_of(1, 1e6), "speed": any_of(1e-3, 1)} for k in range(rng.integers(0, 4))]
    sources = ("weight", "blade_loss", "turn", "thrust", "torque", "blade_rate", "rudder", "grounding", "force")
    cases = [
        {
            "name": f"case {k}",
            "terms": [{"source": str(rng.choice(sources)), "factor": float(rng.uniform(-20, 20)), "force": "1 kN"}],
            "comes_and_goes": str(rng.choice(fatigue.RATES)),
        }
        for k in range(rng.integers(0, 3))
    ]
    return {
        "propeller": {
            "diameter": any_of(10, 5000),
            "blades": int(rng.integers(2, 10)),
            "mass": any_of(1e-3, 20000),
            "hub_length": any_of(1, 1500),
            "hub_gap": float(rng.uniform(0, 1000)),
        },
        "duty": {
            "power": any_of(1e-3, 20000),
            "shaft_speed": any_of(1e-2, 6000),
            "boat_speed": any_of(1e-2, 80),
            "rudder_area": any_of(1e-3, 20),
            "service": str(rng.choice(["light", "pleasure", "long_range", "patrol", "passenger"])),
            "use": use,
        },
        "loads": {"cases": cases},
    }


@pytest.mark.parametrize("number", range(300 if THOROUGH else 8))
def test_any_file_is_worked_out(number: int) -> None:
    """Whatever the file says, there is an answer in numbers and no exception."""
    said = draw_set(number) | boat(np.random.default_rng(number))
    for metal in ("S275", "316L", "C95800"):
        said["materials"] = said["materials"] | {"strut": metal, "anodes": bool(number % 2)}
        try:
            made = resolve(loads(yaml.safe_dump(said), "any"))
        except ParameterError:
            return
        found = {f.code: f for f in engineering_findings(made.strut, made.said.loads) if f.group == "fatigue"}
        assert "engineering_impossible" not in found
        assert {"fatigue_arm_barrel", "fatigue_arm_palm", "fatigue_tip", "fatigue_blade"} <= set(found)
        for f in found.values():
            assert f.verdict.value == "not checked" or f.code == "fatigue_metal" or f.actual >= 0.0, f.code
            assert len(f.about("in")) < 600


def test_many_say_what_each_says() -> None:
    """A batch of candidates gives the very sums of each alone."""
    rng, count = np.random.default_rng(5), 4
    for name in NAMES:
        base, times = BASES[name], rng.uniform(0.8, 1.3, (4, 4))

        def build(k: Any, base: Inputs = base, times: Any = times) -> Inputs:
            return replace(
                base,
                propeller_kg=base.propeller_kg * times[0][k],
                shaft_rpm=base.shaft_rpm * times[1][k],
                arms=tuple(
                    replace(
                        a,
                        thickness_palm_mm=a.thickness_palm_mm * times[2][k],
                        palm_root_mm=a.palm_root_mm * times[3][k],
                    )
                    for a in base.arms
                ),
            )

        with np.errstate(all="ignore"):
            whole = fatigue.numbers(build(slice(None)))
            for k in range(count):
                for code, outcome in fatigue.numbers(build(k)).items():
                    each = np.broadcast_to(np.asarray(whole[code].demand, float), (count,))
                    assert each[k] == pytest.approx(float(outcome.demand), rel=1e-9), code


def test_loads_of_the_file_take_the_place_of_those_assumed() -> None:
    """What is assumed at a rate is gone when the file has a case at that rate; others stay."""
    case = LoadCase.model_validate(
        {"name": "push", "terms": [{"source": "thrust", "factor": 0.03}], "comes_and_goes": "blade_rate"}
    )
    one = replace(BASES["coaster-steel"], own_cases=(case,))
    place = fatigue.places(one)[2]
    pulses = float(fatigue.ranges_mpa(one, place)["blade_rate"])
    known = load_cases.amplitudes(one)
    by_hand = 2.0 * place.factor * 0.03 * known["thrust"] * place.reply("axial", None)
    assert pulses == pytest.approx(float(by_hand), rel=1e-12)
    before = fatigue.ranges_mpa(BASES["coaster-steel"], fatigue.places(BASES["coaster-steel"])[2])
    assert fatigue.ranges_mpa(one, place)["turn"] == before["turn"]
