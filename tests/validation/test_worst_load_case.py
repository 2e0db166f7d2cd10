"""Palm and hull at the bolts in the worst of all load cases, the file's own too: by hand, and by the strut's own cases.

Each check names its source and standing: published, from memory, calculated outside the project.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from strength_support import inputs_of

from strutwright.models.checks.results import outcomes_of
from strutwright.models.checks.strength import bolts, every_case, load_cases, palm
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.models.inputs import Inputs
from strutwright.models.metals import metal
from strutwright.models.resolve import resolve
from strutwright.models.sizing.candidates import candidates
from strutwright.models.sizing.judge import Judge
from strutwright.params.loader import load, loads, shipped
from strutwright.params.schema_boat import LoadCase

LAUNCH = "harbour-launch"


def case(name: str, *terms: dict[str, Any], allowed: float = 0.5) -> LoadCase:
    said = {"name": name, "terms": list(terms), "allowed_of_yield": allowed}
    return LoadCase.model_validate(said, context={"units": "mm"})


def found(one: Inputs, name: str = LAUNCH) -> dict[str, Finding]:
    strut = resolve(load(shipped()[name])).strut
    with np.errstate(all="ignore"):
        each = [*bolts.findings(strut, one, bolts.numbers(one)), *palm.findings(strut, one, palm.numbers(one))]
    return {f.code: f for f in each}


def across(kilonewton: float, **more: Any) -> LoadCase:
    return case("{line}", {"source": "force", "force": f"{kilonewton} kN", "clock": 90}, **more)


def test_a_line_across_the_barrel_governs_bearing_and_tear_out(launch: Inputs) -> None:
    """By hand (textbook rule for a group of bolts; EN 1993-1-8 Table 3.4 and AISC 360 J3.10, typed copies).

    30 kN to port at mid-barrel, eight M12 at u = 25 and 75 and v = 38.5 either way: a share of 1/8, and a twist about
    the palm's normal of F (cos 9 deg x - sin 9 deg z) from the middle of the palm. Loads times 1.5.
    """
    x, _, z = (float(v) for v in launch.palms[0].zero_mm)
    twist = 30e3 * (math.cos(math.radians(9.0)) * -x - math.sin(math.radians(9.0)) * -z)
    radii = 8 * 38.5**2 + 4 * (25.0**2 + 75.0**2)
    shear = 1.5 * (30e3 / 8.0 + abs(twist) * math.hypot(75.0, 38.5) / radii)
    one = replace(launch, own_cases=(across(30.0),))
    held = found(one)
    assert held["bolt_bearing"].actual == held["bolt_tear_out"].actual == pytest.approx(shear, rel=1e-6)
    # what it is held against is what the blow from the side is held against
    for code in ("bolt_bearing", "bolt_tear_out"):
        assert held[code].demanded == found(launch)[code].demanded
        assert str(held[code].what).endswith(
            "worst load case, own load case {line}"
        )  # a person's own words are no template
        assert "blow from the side" in str(found(launch)[code].what)
        assert held[code].verdict is Verdict.OK
    # the least of both is broken by a line so much harder, and that fails
    harder = 1.01 * 30.0 / max(held[code].utilisation for code in ("bolt_bearing", "bolt_tear_out"))
    assert found(replace(launch, own_cases=(across(harder),)))["bolt_tear_out"].verdict is Verdict.FAIL
    # a case that may use all of yield has no load factor
    free = found(replace(launch, own_cases=(across(30.0, allowed=1.0),)))
    assert free["bolt_bearing"].actual == pytest.approx(shear / 1.5, rel=1e-6)


def test_a_weight_that_governs_washers_and_pressure(launch: Inputs) -> None:
    """Statics: n times a weight pulls and presses n times as hard. The built-in case is twice the weight; by hand
    pressure F / (pi/4 (D^2 - d^2)) under the washer, pi D t tau through hardwood (EN 338 D30, from memory), F / p and
    the hole as backing plate."""
    times, palms = 40.0, tuple(replace(p, thickness_mm=60.0) for p in launch.palms)
    plain = replace(launch, palms=palms, backing_plate=False, hull=metal("hardwood"), hull_mm=40.0, bolt_kind="plain")
    each = {key: bolts.greatest_forces(plain, key) for key in ("weight", "side_hinge")}
    pull, blow = (float(f.tension_n) for f in each.values())
    assert times * pull > blow
    assert each["weight"].prying_n == 0.0  # so thick a palm does not yield
    pressure = float(palm.pressure_mpa(plain, load_cases.cases(plain)[0]))
    own = (case("hauled out by the shaft", *[{"source": "weight", "factor": times / 2.0}] * 4),)
    thick = replace(plain, own_cases=own)
    held = found(thick)
    assert held["hull_under_washer"].actual == pytest.approx(times * pull / (math.pi / 4.0 * (24.0**2 - 13.5**2)))
    assert held["hull_pull_through"].actual == held["head_through_palm"].actual == pytest.approx(times * pull)
    assert held["hull_pull_through"].demanded == pytest.approx(math.pi * 24.0 * 40.0 * 3.9)
    assert held["palm_on_hull"].actual == pytest.approx(times * pressure)
    for code in ("hull_under_washer", "hull_pull_through", "head_through_palm", "palm_on_hull"):
        assert str(held[code].what).endswith("worst load case, own load case hauled out by the shaft"), code
    assert held["hull_pull_through"].verdict is Verdict.WARN
    plated = found(replace(thick, backing_plate=True))["backing_area"]
    assert plated.demanded == pytest.approx(times * pull / 5.3 + math.pi / 4.0 * 13.5**2)
    assert plated.verdict is Verdict.WARN


def test_what_a_case_rests_on_decides_how_grave_it_is() -> None:
    """A load of low confidence hints, one from memory warns, one of the owner's own fails; none hides another."""
    yawl = inputs_of("yawl-with-heel")
    thrust = case("push", {"source": "thrust", "factor": 20.0}, {"source": "weight", "factor": 20.0})
    rudder = case("helm", *[{"source": "rudder", "factor": 20.0}] * 5)
    line = across(900.0)
    seen = found(replace(yawl, own_cases=(thrust, rudder, line)), "yawl-with-heel")
    for code, verdict, name in (
        ("bolt_tear_out", Verdict.FAIL, "{line}"),
        ("bolt_tear_out_warned", Verdict.WARN, "helm"),
        ("palm_on_hull", Verdict.WARN, "{line}"),
        ("palm_on_hull_hinted", Verdict.HINT, "push"),
    ):
        assert str(seen[code].what).endswith(f"own load case {name}"), code
        assert seen[code].utilisation > 1.0, code
        assert seen[code].verdict is verdict, code
    assert seen["bolt_tear_out_warned"].standing is Standing.MEMORY
    assert seen["bolt_tear_out_hinted"].standing is Standing.LOW
    # a file that says too little for a case: what is known is judged, the rest is told of
    bare = found(replace(yawl, propeller_kg=math.nan, power_kw=math.nan, rudder_m2=math.nan), "yawl-with-heel")
    assert bare["bolt_bearing"].verdict is Verdict.OK
    assert bare["bolt_bearing_warned"].verdict is Verdict.NOT_CHECKED
    assert {"duty.power", "rudder.area"} & set(bare["bolt_bearing_warned"].missing)
    assert "propeller.mass" in bare["palm_on_hull_hinted"].missing


def test_a_study_counts_the_files_own_cases_as_check_does() -> None:
    text = shipped()[LAUNCH].read_text(encoding="utf-8")
    text += "\nloads: {cases: [{name: line, terms: [{source: force, force: 900 kN, clock: 90}]}]}\n"
    loaded = loads(text)
    resolved = resolve(loaded)
    judge = Judge.of(loaded, resolved)
    held = judge.outcomes(candidates(loaded, resolved, {"barrel.wall": np.array([8.0, 9.0])}))[0]
    with np.errstate(all="ignore"):
        one = judge.base
        told = [m.findings(resolved.strut, one, m.numbers(one)) for m in (bolts, palm)]
    by_check = outcomes_of([f for each in told for f in each])
    for code in ("bolt_bearing", "bolt_tear_out", "backing_area", "palm_on_hull"):
        assert by_check[code].level > 0, code
        assert np.broadcast_to(held[code].level, (2,)).tolist() == [by_check[code].level] * 2, code


def test_every_case_but_a_grounding_has_a_grade() -> None:
    one = inputs_of("yawl-with-heel")
    for warns in (False, True):
        kinds = [c.key for some in every_case.graded_cases(one, warns).values() for c in some]
        assert sorted([*kinds, "grounding", "skeg_grounding"]) == sorted(
            c.key for c in (*load_cases.cases(one), *load_cases.accidents(one))
        )
