"""The shaft's own findings: critical speed on strut and rubber, slope and pressure in the bearing, loads, the coupling.

Figures are held against the formulas' own tests; here is what a file says, what is asked of it, and what is told.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from checks_support import of_code, read, said

from strutwright.models import shaft_support
from strutwright.models.checks.engineering import all_numbers, engineering_findings
from strutwright.models.checks.fit import barrel_bearing
from strutwright.models.finding import Finding, Verdict
from strutwright.models.formulas.rotor import critical_speeds
from strutwright.models.formulas.shaft_line import bend
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.shaft_support import bearing_load_n, line_of
from strutwright.models.shell_fit import running_clearance_mm
from strutwright.models.tolerance_chain import room_mrad
from strutwright.models.vibration_map import vibration_map
from strutwright.params.loader import load, shipped
from strutwright.params.problems import ParameterError

RUN: dict[str, Any] = {
    "propeller": {"mass": 24},
    "duty": {"power": 60, "shaft_speed": 900},
    "hull": {"panel": {"along": 400, "across": 300}},
}
LINE = {
    "more_bearings": [{"distance": 3300, "offset": 0.0}],
    "coupling": {"distance": 4100, "diameter": 150, "mass": 4},
    "engine_rise": 0.17,
}


def findings(change: dict[str, Any] | None = None, **shaft: Any) -> list[Finding]:
    whole = said("single", {**RUN, **(change or {}), "shaft": shaft})
    return engineering_findings(read(whole).strut)


def one(code: str, change: dict[str, Any] | None = None, **shaft: Any) -> Finding:
    (found,) = of_code(findings(change, **shaft), code)
    return found


# ---- critical speed


def test_critical_speed_passes_and_fails_by_the_speed() -> None:
    slow, fast = (one("shaft_critical", {"duty": {"power": 60, "shaft_speed": n}}) for n in (450, 900))
    assert slow.verdict is Verdict.OK
    assert fast.verdict is Verdict.WARN
    assert "at the softest" in fast.about("mm")
    assert "a soft to a stiff hull" in fast.about("mm")
    assert "bearing.stiffness is not given" in fast.about("mm")


def test_a_stiffness_that_is_said_has_no_range() -> None:
    guessed, said_so = (one("shaft_critical", {"bearing": b}) for b in ({}, {"stiffness": "20 kN/mm"}))
    assert said_so.actual > guessed.actual
    assert "not given" not in said_so.about("mm")
    softer = one("shaft_critical", {"bearing": {"stiffness": "400 N/mm"}})
    assert softer.actual < guessed.actual


def test_hull_strut_and_rubber_bring_the_critical_speed_down() -> None:
    # rigid bearings make 2361 rpm of harbour-launch, its strut alone some 1740
    launch = Inputs.from_strut(resolve(load(shipped()["harbour-launch"])).strut)
    unsaid = replace(launch, bearing_spring_n_mm=math.nan)
    rigid = replace(unsaid, hull_mm=math.nan)
    soft, hard = (float(all_numbers(one)["shaft_critical"].capacity) for one in (unsaid, rigid))
    assert 1500.0 < hard < 1600.0
    assert soft < 0.98 * hard


@pytest.mark.parametrize("name", ["harbour-launch", "coaster-steel", "sloop-with-skeg"])
def test_the_worst_of_hull_and_rubber_decides(name: str) -> None:
    # beam elements on each end of both; the quick form is at most a little low
    inputs = replace(Inputs.from_strut(resolve(load(shipped()[name])).strut), bearing_spring_n_mm=math.nan)
    holds, rubber = shaft_support.strut_holds(inputs), shaft_support.rubber(inputs)
    exact = [critical_speeds(shaft_support.shaft_rotor(inputs, hold, float(k)))[0][0] for hold in holds for k in rubber]
    assert len(exact) == 4
    assert float(all_numbers(inputs)["shaft_critical"].capacity) == pytest.approx(min(exact), rel=0.03)


def test_a_hull_of_which_nothing_is_known_is_told() -> None:
    told = one("shaft_critical", {"hull": {"thickness": None}}).about("mm")
    assert "nothing is known" in told


def test_a_whirl_that_turns_all_but_backward_counts_and_is_drawn() -> None:
    # nearly the same springs both ways, but never alike: unbalance drives the lowest whirl too
    strut = resolve(load(shipped()["pilot-vee"])).strut
    (found,) = of_code(engineering_findings(strut), "shaft_critical")
    assert "forward or backward" in found.about("mm")
    picture = vibration_map(strut)
    assert picture is not None
    shaft, blade = (
        [c.mode.name for c in picture.crossings if c.excitation.startswith(rate)] for rate in ("shaft", "blade")
    )
    assert "shaft whirl 1" in blade
    assert "shaft whirl 1" in shaft


def test_crossings_lie_on_the_curves() -> None:
    found = vibration_map(read(said("single", RUN)).strut)
    assert found is not None
    whirls = [c for c in found.crossings if c.mode.of == "shaft" and c.high_rpm <= found.rpm[-1]]
    assert whirls
    for c in whirls:
        order = next(e.order for e in found.excitations if e.name == c.excitation)
        for rpm, curve in ((c.low_rpm, c.mode.low_curve), (c.high_rpm, c.mode.high_curve)):
            if order > 1:
                assert np.interp(rpm, found.rpm, curve) == pytest.approx(order * rpm / 60.0, rel=2e-3)


def test_without_a_propeller_it_is_not_checked() -> None:
    found = of_code(engineering_findings(read(said("single", {"duty": {"shaft_speed": 900}})).strut), "shaft_critical")
    assert found[0].verdict is Verdict.NOT_CHECKED
    assert "propeller.mass" in found[0].missing


# ---- alignment


def test_slope_of_the_shaft_in_the_bearing() -> None:
    rigid = {"hull": {"thickness": None}}
    straight, bent = one("shaft_slope", rigid), one("shaft_slope", rigid, bearing_offset=3.0)
    assert straight.verdict is one("shaft_slope").verdict is Verdict.OK
    assert bent.verdict is Verdict.WARN
    # 3 over 1500 is 2 mrad, aft end down, as the propeller's weight bends it too
    assert bent.actual - straight.actual == pytest.approx(2.0, abs=1e-6)
    # of 0.15 as bought what pressing in leaves
    left = one("clearance_pressed").actual
    assert left < 0.14
    assert bent.demanded == pytest.approx(1000.0 * left / 200.0)


def test_a_barrel_on_a_soft_hull_turns_more_than_the_shaft() -> None:
    far = {"hull": {"panel": {"along": 1600, "across": 1200}}}
    assert one("shaft_slope", far).actual > 2.0 * one("shaft_slope").actual


@pytest.mark.parametrize("name", ["coaster-steel", "refit-two-bores", "harbour-launch"])
def test_the_shaft_tilts_in_its_play_until_it_touches_at_both_ends(name: str) -> None:
    """Two bearings in one barrel: the aft end of the one and the forward end of the other. A line that turns about any
    point of the bore's axis, tried by steps."""
    strut = resolve(load(shipped()[name])).strut
    each = [Inputs.from_strut(strut, bearing=k) for k in range(len(strut.bearings))]
    walls = [
        (at, float(running_clearance_mm(own)) / 2.0)
        for own, b in zip(each, strut.bearings, strict=True)
        for at in (b.aft_station_mm, b.forward_station_mm)
    ]
    about = np.linspace(0.0, strut.barrel.length_mm, 2001)
    most = max(min(play / max(abs(at - x), 1e-9) for at, play in walls) for x in about.tolist())
    share = each[0].limit("bearing_slope")
    assert float(room_mrad(each[0])) == pytest.approx(1000.0 * share * most, rel=0.01)
    capacity = float(all_numbers(each[0])["shaft_slope"].capacity)
    assert capacity == pytest.approx(1000.0 * each[0].limit("shaft_slope") * most, rel=0.01)
    told = float(all_numbers(each[0])["bearing_misalignment"].demand)
    assert told == pytest.approx(math.degrees(most / 2.0), rel=0.02)


def test_rule_for_ships_is_a_hint() -> None:
    for offset in (0.0, 3.0):
        assert one("shaft_slope_ships", bearing_offset=offset).verdict is Verdict.HINT


def test_pressure_along_the_bearing() -> None:
    even, edged = one("bearing_edge"), one("bearing_edge", bearing_offset=-6.0)
    assert even.verdict is edged.verdict is Verdict.HINT
    assert even.utilisation < 1.0 < edged.utilisation


def test_a_bearing_too_high_or_too_low_takes_load_from_another() -> None:
    assert one("bearings_loaded", **LINE).verdict is Verdict.OK
    for height in (8.0, -20.0):
        line = {**LINE, "more_bearings": [{"distance": 3300, "offset": height}]}
        assert one("bearings_loaded", **line).verdict is Verdict.WARN


def test_worn_and_hot() -> None:
    worn, hot = one("shaft_slope_worn", **LINE), one("shaft_slope_hot", **LINE)
    assert worn.verdict is hot.verdict is Verdict.INFORMATION
    assert worn.actual > 0.5  # 1.5 over 1500 is 1 mrad more
    cold = {k: v for k, v in LINE.items() if k != "engine_rise"}
    assert "shaft.engine_rise is not given" in one("coupling_not_said", **cold).about("mm")


def test_raising_a_bearing_is_told_of_each() -> None:
    told = [f.about("mm") for f in of_code(findings(**LINE), "bearing_influence")]
    assert len(told) == 4
    assert "two only" in of_code(findings(), "bearing_influence")[0].about("mm")


def test_coupling_hangs_by_its_own_weight() -> None:
    sag, gap = one("coupling_sag", **LINE), one("coupling_gap", **LINE)
    assert sag.actual > 0.0
    assert "0.076 mm" in gap.about("mm") or "0.08 mm" in gap.about("mm")
    assert "shaft.coupling is not given" in one("coupling_not_said").about("mm")
    assert not of_code(findings(**LINE), "coupling_not_said")


def test_loads_of_the_line_of_a_file_are_its_weight() -> None:
    inputs = Inputs.from_strut(read(said("single", {**RUN, "shaft": LINE})).strut)
    line = line_of(inputs)
    whole = line.forward_mm + sum(line.spans_mm) + line.aft_mm
    assert line.spans_mm == (1800.0, 1500.0)
    assert sum(bend(line).loads_n) == pytest.approx(line.weight_n_mm * whole + line.aft_n + line.forward_n)


# ---- load and pressure of the strut bearing on a line of several


def even(count: int, **more: Any) -> Inputs:
    """A bare shaft of even spans, 1000 long, with nothing beyond the strut bearing, its line weighing 1 N/mm."""
    inputs = Inputs.from_strut(resolve(load(shipped()["harbour-launch"])).strut)
    bare = {"barrel_length_mm": 0.0, "bearing_x_mm": 0.0, "hub_gap_mm": 0.0, "hub_length_mm": 0.0, "propeller_kg": 0.0}
    kg_m3 = 1.0 / 9.80665 / (math.pi / 4.0 * 50.0**2) * 1e9
    known = {
        "shaft_mm": 50.0,
        "shaft": replace(inputs.shaft, density_kg_m3=kg_m3),
        "bearing_span_mm": 1000.0,
        "bearing_offset_mm": 0.0,
        "more_bearings_mm": tuple((1000.0 * n, 0.0) for n in range(2, count)),
        "bearing_spring_n_mm": 1e12,
    }
    return replace(inputs, **{**bare, **known, **more})


@pytest.mark.parametrize(("bearings", "share"), [(2, 0.5), (3, 0.375), (4, 0.4), (5, 0.393)])
def test_load_of_the_end_bearing_of_even_spans(bearings: int, share: float) -> None:
    # AISC Steel Construction Manual, Table 3-22c: equal spans, equally loaded, by the three-moment equation
    inputs = even(bearings)
    assert float(bearing_load_n(inputs)) == pytest.approx(1000.0 * share, rel=1e-3)
    found = barrel_bearing.numbers(inputs)
    assert float(found["bearing_load"].demand) == pytest.approx(1000.0 * share, rel=1e-3)
    pressure = 1000.0 * share / 50.0 / float(inputs.bearing_total_mm)
    assert float(found["bearing_pressure"].demand) == pytest.approx(pressure, rel=1e-3)


@pytest.mark.parametrize("spring", [300.0, 3000.0, 3e4])
def test_a_soft_next_bearing_brings_load_aft(spring: float) -> None:
    """Two even spans on a middle bearing that gives: 5 w L^4 / 384 E I of the bare beam of 2000 less R L^3 / 48 E I is
    what it sinks, R / k (beam tables); the ends carry the rest."""
    stiff = 193e3 * math.pi / 64.0 * 50.0**4
    inputs = even(3, bearing_spring_n_mm=spring)
    inputs = replace(inputs, shaft=replace(inputs.shaft, modulus_mpa=193e3))
    middle = 5.0 * 2000.0**4 / (384.0 * stiff) / (2000.0**3 / (48.0 * stiff) + 1.0 / spring)
    assert float(bearing_load_n(inputs)) == pytest.approx((2000.0 - middle) / 2.0, rel=1e-6)
    assert float(bearing_load_n(inputs)) > float(bearing_load_n(even(3)))


def test_pressure_follows_the_line_that_is_said() -> None:
    two, low = one("bearing_pressure"), one("bearing_pressure", **{**LINE, "bearing_offset": -80.0})
    assert two.verdict is low.verdict is Verdict.HINT
    assert two.utilisation < 1.0 < low.utilisation
    assert "rubber_modulus" in low.rests
    assert "rubber_modulus" not in two.rests


# ---- what a file may not say


@pytest.mark.parametrize(("shaft", "path"), [
    ({"more_bearings": [{"distance": 1200}]}, "shaft.more_bearings[0].distance"),
    ({"more_bearings": [{"distance": 3000}, {"distance": 2900}]}, "shaft.more_bearings[1].distance"),
    ({"more_bearings": [{"distance": 3000}], "bearing_span": None}, "shaft.bearing_span"),
    ({"coupling": {"distance": 1400, "diameter": 150, "mass": 4}}, "shaft.coupling.distance"),
    ({"coupling": {"distance": 1400, "diameter": 150, "mass": 4}, "bearing_span": None}, "shaft.bearing_span"),
    ({"engine_rise": 0.2}, "shaft.coupling"),
])  # fmt: skip
def test_a_shaft_out_of_order_is_refused(shaft: dict[str, Any], path: str) -> None:
    with pytest.raises(ParameterError) as refused:
        read(said("single", {"shaft": shaft}))
    assert [p.path for p in refused.value.problems] == [path]
