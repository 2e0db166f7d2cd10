"""What must hold of the checks for any strut: no way to raise, no hand or unit preferred, more metal never worse."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import checks_support as trial
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from support import THOROUGH

from strutwright.models.checks import CHECKS, geometry_checks
from strutwright.models.finding import Finding, Verdict
from strutwright.models.spec import Strut, mirrored
from strutwright.params.problems import ParameterError

SINGLE, VEE, SKEG = trial.strut("single"), trial.strut("vee"), trial.strut("skeg")
BY_VERDICT = [Verdict.OK, Verdict.WARN, Verdict.FAIL]
some = settings(max_examples=100 if THOROUGH else 6, deadline=None)


def numbers(findings: list[Finding]) -> list[tuple[str, str, float, float]]:
    """Return what a finding says in figures, in an order that names do not change; nan counts as no figure."""

    def figure(x: float) -> float:
        return 0.0 if math.isnan(x) else x

    rows = [(f.code, f.verdict.value, figure(f.actual), figure(f.demanded)) for f in findings]
    return sorted(rows, key=lambda r: (r[0], round(r[3], 4), round(r[2], 4), r[1]))


def same(first: list[Finding], second: list[Finding]) -> None:
    a, b = numbers(first), numbers(second)
    assert [r[:2] for r in a] == [r[:2] for r in b]
    for x, y in zip(a, b, strict=True):
        # How deep two bodies stand in each other is sought (geometry.clearances).
        near = 1e-3 if x[0].endswith(("_to_strut", "_to_stock")) and x[2] < 0 else 1e-6
        assert x[2:] == pytest.approx(y[2:], rel=1e-6, abs=near), x[0]


def wall(findings: list[Finding]) -> Finding:
    return trial.of_code(findings, "barrel_wall")[0]


@some
@given(outside=st.floats(85, 130), more=st.floats(0, 40))
def test_more_wall_is_never_worse(outside: float, more: float) -> None:
    """Neither the utilisation nor the verdict of the wall rises with the wall."""
    thin, thick = (
        wall(geometry_checks(replace(SINGLE, barrel=replace(SINGLE.barrel, outside_mm=o))))
        for o in (outside, outside + more)
    )
    assert thick.utilisation <= thin.utilisation
    assert BY_VERDICT.index(thick.verdict) <= BY_VERDICT.index(thin.verdict)


@some
@given(depth=st.floats(0.1, 6), more=st.floats(0, 3))
def test_a_deeper_dimple_is_never_better(depth: float, more: float) -> None:
    def worst_dimple(d: float) -> Finding:
        screws = tuple(replace(s, dimple_depth_mm=d) for s in SINGLE.set_screws)
        return trial.of_code(geometry_checks(replace(SINGLE, set_screws=screws)), "dimple_in_shell")[0]

    shallow, deep = worst_dimple(depth), worst_dimple(depth + more)
    assert deep.utilisation >= shallow.utilisation
    assert BY_VERDICT.index(deep.verdict) >= BY_VERDICT.index(shallow.verdict)


@some
@given(
    deadrise=st.floats(0, 30),
    run=st.floats(-3, 5),
    waterline=st.floats(0, 18),
    drop=st.floats(160, 700),
    stance=st.floats(-25, 25),
    toe=st.floats(-5, 5),
    clocks=st.tuples(st.integers(-180, 180), st.integers(-180, 180)),
    vee=st.booleans(),
)
def test_both_hands_are_judged_alike(
    deadrise: float,
    run: float,
    waterline: float,
    drop: float,
    stance: float,
    toe: float,
    clocks: tuple[int, int],
    vee: bool,
) -> None:
    """The mirror image of a strut gets the same figures and verdicts."""
    change: dict[str, Any] = {
        "identity": {"hand": "port"},
        "hull": {
            "shaft_angle": {"to_waterline": waterline},
            "run": run,
            "deadrise": deadrise,
            "drop": {"square_to_shaft": drop},
        },
        "arms": {"stance": stance, "toe": toe},
        "set_screws": {
            "positions": [
                {"end": "bearing_aft", "distance": d, "clock": c} for d, c in zip((50, 150), clocks, strict=True)
            ]
        },
    }
    try:
        strut = trial.strut("vee" if vee else "single", change)
    except ParameterError:
        assume(False)
        raise
    same(geometry_checks(strut), geometry_checks(mirrored(strut)))


def in_inches(value: Any) -> Any:
    """Return lengths (all bare numbers of the trial sets that are not angles, counts, kn or clocks) in inches."""

    def walk(key: str, v: Any) -> Any:
        if isinstance(v, dict):
            return {k: walk(k, x) for k, x in v.items()}
        if isinstance(v, list):
            return [walk(key, x) for x in v]
        if isinstance(v, bool) or not isinstance(v, (int, float)):
            return v
        if key in PLAIN:
            return v
        return v / 25.4

    return {**walk("", value), "units": "in"}


PLAIN = {
    "count",
    "clock",
    "angle",
    "along",
    "across",
    "deadrise",
    "to_waterline",
    "blades",
    "boat_speed",
    "first_clock",
    "included_angle",
    "stance",
    "bearing",
    "from_square_to_shaft",
}


@some
@given(
    outside=st.floats(90, 120),
    chord=st.floats(110, 165),
    drop=st.floats(300, 700),
    width=st.floats(120, 180),
    across=st.floats(60, 110),
    variant=st.sampled_from(["single", "skeg", "slide", "bevel", "keel"]),
)
def test_inch_and_mm_files_are_judged_alike(
    outside: float, chord: float, drop: float, width: float, across: float, variant: str
) -> None:
    """One strut said in mm and in inches (25.4 mm) gets the same figures, verdicts and advice."""
    change = {
        "barrel": {"outside_diameter": outside},
        "hull": {"drop": {"square_to_shaft": drop}},
        "arms": {"section": {"chord": chord}},
        "palm": {"outline": {"width": width}},
        "bolts": {"pattern": {"pitch_across": across}, "head_standard": "ISO 10642", "sunk_below": 0.5},
    }
    said = trial.said(variant, change)
    if variant == "skeg":  # sizes that a rule would round to the file's units
        said = trial.merged(
            said,
            {
                "skeg": {
                    "tip_thickness": 16,
                    "heel": {"outside_diameter": 70, "clearance": 0.3, "foot_thickness": 16, "stock_diameter": 50},
                }
            },
        )
    try:
        metric, inch = trial.read(said).strut, trial.read(in_inches(said)).strut
    except ParameterError:
        assume(False)
        raise
    same(geometry_checks(metric), geometry_checks(inch))
    for a, b in zip(geometry_checks(metric), geometry_checks(inch), strict=True):
        assert (a.code, a.parameter) == (b.code, b.parameter)


wild = st.floats(-500, 1000, allow_nan=False)
size = st.floats(0.1, 1000)


@some
@given(
    base=st.sampled_from([SINGLE, VEE, SKEG]),
    station=wild,
    clock=st.floats(-360, 360),
    length=size,
    outside=size,
    bore=size,
    chord=size,
    thickness=size,
    root=st.floats(0, 100),
    hole=st.tuples(wild, wild),
    plate=size,
)
def test_no_strut_makes_a_check_raise(
    base: Strut,
    station: float,
    clock: float,
    length: float,
    outside: float,
    bore: float,
    chord: float,
    thickness: float,
    root: float,
    hole: tuple[float, float],
    plate: float,
) -> None:
    """Sizes that no file could bring still only give findings, each with a known code and no broken text."""
    arms = tuple(
        replace(a, chord_barrel_mm=chord, thickness_palm_mm=thickness, station_mm=station, palm_root_mm=root)
        for a in base.arms
    )
    palms = tuple(
        replace(p, thickness_mm=plate, holes=(*p.holes[:-1], replace(p.holes[-1], u_mm=hole[0], v_mm=hole[1])))
        for p in base.palms
    )
    strut = replace(
        base,
        arms=arms,
        palms=palms,
        barrel=replace(base.barrel, length_mm=length, outside_mm=outside, bore_mm=bore),
        bearings=(replace(base.bearings[0], aft_station_mm=station, length_mm=length / 2),),
        set_screws=tuple(replace(s, station_mm=station, clock_deg=clock) for s in base.set_screws),
    )
    for f in geometry_checks(strut):
        assert f.code in CHECKS
        assert "{" not in f.about("in") + f.to_do("in")
        assert f.as_dict()["code"] == f.code
