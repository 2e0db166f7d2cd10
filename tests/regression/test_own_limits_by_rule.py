"""A shop's own limits in the rules for sizes left out, in a new set, on the drilling sheet and in the welds."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest
from checks_support import merged, said
from command_line_support import run
from support import every, own_limits

from strutwright import job, starter
from strutwright.errors import Exit
from strutwright.exporters.sheets.palm_work import chuck_fouls
from strutwright.models import rules
from strutwright.models.arrays import Floats
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.geometry import palm as palm_checks
from strutwright.models.checks.strength import load_cases, shaft
from strutwright.models.checks.strength.bolts import hull_bears
from strutwright.models.edge_rules import EDGE_RULES
from strutwright.models.finding import Finding
from strutwright.models.formulas import loads as mechanics
from strutwright.models.formulas import shaft as shafts
from strutwright.models.geometry import shapes
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.shop.foundry import foundry_settings
from strutwright.models.shop.pattern_findings import pattern_findings
from strutwright.models.shop.pressing import press_case
from strutwright.models.spec import PalmHole, Strut
from strutwright.params import schema
from strutwright.params.limits import Limits, standard
from strutwright.params.loader import load, loads, shipped


def limits(**own: float) -> Limits:
    return own_limits(json.dumps(own))


def of_set(name: str) -> Resolved:
    return resolve(load(shipped()[name]))


# --- sizes that a file leaves out ------------------------------------------------------------------------------------

OPEN: dict[str, dict[str, Any]] = {
    "fillets": {"arms": {"root_fillet": None}, "barrel": {"outside_diameter": None, "ends": None}},
    "clearance": {"bearing": {"running_clearance": None}},
    "dimple": {"set_screws": {"dimple_depth": None}},
    "bearing": {
        "bearing": {"length": None},
        "barrel": {"length": None, "ends": None},
        "arms": {"position": None},
        "set_screws": {"positions": None},
    },
    "wall": {"barrel": {"outside_diameter": None, "ends": None}},
    "heel": {"skeg": {"heel": {"height": None, "foot_height": None}}},
}
"""Sizes of the trial strut that a rule fills in."""


@pytest.mark.parametrize(
    ("variant", "left_out", "own", "code", "path", "words"),
    [
        ("single", "fillets", {"pattern_fillet_share": 0.7}, "pattern_fillet", "arms.root_fillet.palm", "0.7 of"),
        ("single", "clearance", {"clearance_floor": 0.2}, "running_clearance", "bearing.running_clearance", "0.2 mm"),
        ("single", "clearance", {"clearance_floor": 0.2}, "clearance_pressed", "bearing.running_clearance", "0.2 mm"),
        (
            "single",
            "clearance",
            {"clearance_floor": 0.2},
            "clearance_pressed_least",
            "bearing.running_clearance",
            "0.2 mm",
        ),
        ("single", "clearance", {"clearance_least": 0.004}, "clearance_pressed", "bearing.running_clearance", "0.2 mm"),
        (
            "single",
            "clearance",
            {"clearance_most": 0.0025, "clearance_most_small": 0.09},
            "running_clearance_loose",
            "bearing.running_clearance",
            "greatest",
        ),
        ("single", "dimple", {"dimple": 0.35}, "dimple_in_shell", "set_screws.dimple_depth", "0.35 of the shell"),
        ("single", "bearing", {"bearing_length": 5.0}, "bearing_length", "bearing.length", "5 shaft diameters"),
        ("vee", "wall", {"barrel_wall_hard": 0.4}, "barrel_wall", "barrel.wall", "40 %"),
        ("skeg", "heel", {"heel_bush_length": 0.8}, "heel_bush_length", "skeg.heel.height", "at most 0.8 of"),
    ],
)
def test_a_size_by_rule_keeps_the_limit_in_force_and_says_so(
    variant: str, left_out: str, own: dict[str, float], code: str, path: str, words: str
) -> None:
    """Resolved by the shipped limits it breaks the shop's; resolved by the shop's it keeps them."""
    loaded, table = loads(json.dumps(said(variant, OPEN[left_out]))), limits(**own)
    before, after = resolve(loaded), resolve(loaded, table)
    assert {f.verdict.name for f in found(before, table, code)} & {"FAIL", "WARN"}
    told = found(after, table, code)
    assert told
    assert [f.about("mm") for f in told if f.verdict.name in ("FAIL", "WARN")] == []
    assert words in next(r.note for r in after.records if r.path == path)
    assert words not in next(r.note for r in before.records if r.path == path)


def found(resolved: Resolved, table: Limits, code: str) -> list[Finding]:
    out = job.run_checks(resolved, limits=table)
    if resolved.strut.construction == "cast":
        out += pattern_findings(resolved.strut, foundry_settings(resolved), table)
    return [f for f in out if f.code == code]


def test_looser_limits_leave_the_usual_sizes() -> None:
    """A rule is practice of its own: a shop that asks for less gets no smaller fillet, clearance or bearing."""
    text = json.dumps(said("single", merged(OPEN["fillets"], merged(OPEN["clearance"], OPEN["dimple"]))))
    less = limits(pattern_fillet_share=0.1, clearance_floor=0.01, dimple=0.9)
    one, other = (resolve(loads(text), table) for table in (None, less))
    assert one.strut == other.strut


# --- rules by name ---------------------------------------------------------------------------------------------------


def test_every_preparation_and_edge_rule_of_a_file_has_its_rule() -> None:
    assert set(get_args(schema.Welds.model_fields["prep"].annotation)) == set(rules.LEG_SHARES)
    assert set(get_args(schema.Bolts.model_fields["edge_rule"].annotation)) == set(EDGE_RULES)


def test_a_name_without_a_rule_is_no_other_rule() -> None:
    strut = replace(of_set("harbour-launch").strut, edge_rule="hole")
    with pytest.raises(KeyError):
        rules.leg_share("single_bevel")
    for ask in (lambda: palm_checks.edge_rule(strut, standard()), lambda: palm_checks.pitch_limits(strut)):
        with pytest.raises(KeyError):
            ask()
    with pytest.raises(KeyError):
        palm_checks.pitch_of_mm(strut)


# --- welds, hull, shaft ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("value", [1.2, 1.5, 2.0])
def test_check_and_press_card_expect_the_same_curl(value: float) -> None:
    strut, table = of_set("canal-tender").strut, limits(press_curl=value)
    told = {f.code: f for f in engineering_findings(strut, None, table)}
    assert told["palm_curl_most"].actual == pytest.approx(press_case(strut, strut.arms[0], table).curl_mm, rel=1e-9)
    assert told["palm_curl_most"].actual == pytest.approx(value * told["palm_curl"].actual, rel=1e-9)
    spoken = "twice" if value == 2.0 else f"{value:g} times"
    assert f"stainless and bronze {spoken} as much" in told["palm_curl"].about("mm")


def test_what_a_metal_hull_bears_in_punching_is_told_by_its_limit() -> None:
    strut = of_set("harbour-launch").strut
    strut = replace(strut, hull=replace(strut.hull, material="S275"))
    shares = {0.6: "0.6", 0.45: "0.45"}
    for value, words in shares.items():
        bears = hull_bears(Inputs.from_strut(strut, limits=limits(hull_shear_metal=value)))
        assert f"punching {words} of its ultimate" in bears.source


@pytest.mark.parametrize(("speed_kn", "counted_kn"), [(2.0, 5.0), (4.9, 5.0), (8.0, 8.0)])
def test_shaft_and_load_cases_take_one_thrust(speed_kn: float, counted_kn: float) -> None:
    """Power times efficiency over speed; a slower boat counts at the least speed of the limits."""
    strut = of_set("harbour-launch").strut
    inputs = Inputs.from_strut(replace(strut, duty=replace(strut.duty, boat_speed_kn=speed_kn)))
    thrust = 40e3 * 0.6 / (counted_kn * 1852.0 / 3600.0)
    assert load_cases.amplitudes(inputs)["thrust"] == pytest.approx(thrust, rel=1e-9)
    line = shafts.weight_n_per_mm(inputs.shaft_mm, inputs.shaft.density_kg_m3)
    weight = mechanics.weight_n(inputs.propeller_kg)
    moment = mechanics.overhung_reactions(1.0, inputs.overhang_mm, weight, line).moment_nmm
    torque = shafts.torque_nmm(inputs.power_kw, inputs.shaft_rpm)
    wanted = shafts.mises_mpa(inputs.shaft_mm, torque, moment, thrust)
    assert float(shaft.numbers(inputs)["shaft_stress"].demand) == pytest.approx(float(wanted), rel=1e-9)


def test_the_least_speed_of_the_thrust_is_a_limit() -> None:
    strut = of_set("harbour-launch").strut
    for least, counted in ((5.0, 9.0), (12.0, 12.0)):
        inputs = Inputs.from_strut(strut, limits=limits(thrust_speed=least))
        assert float(load_cases.thrust_n(inputs)) == pytest.approx(24e3 / (counted * 1852.0 / 3600.0), rel=1e-9)


# --- the drilling sheet ----------------------------------------------------------------------------------------------


def test_a_chuck_is_kept_clear_of_the_arm_to_the_height_of_the_limits() -> None:
    """An arm leans out over a hole: low down a chuck passes beside it, higher up it does not."""
    strut = of_set("patrol-vee-pair").strut
    palm, arm = strut.palms[0], strut.arms[0]
    far = shapes.arm_footprints(strut, arm, [palm.thickness_mm + 60.0])[0].mean(axis=0)
    strut = with_hole(strut, far)
    for height, fouls in ((5.0, []), (60.0, [1])):
        assert chuck_fouls(strut, strut.palms[0], 2.0, limits(driver_height=height)) == fouls


def test_a_chuck_is_kept_clear_of_an_arm_between_the_palm_and_that_height() -> None:
    """Half-way up a thin arm that leans is neither where it leaves the palm nor where the tool ends."""
    strut = of_set("patrol-vee-pair").strut
    strut = replace(strut, arms=tuple(replace(a, thickness_barrel_mm=5.0, thickness_palm_mm=5.0) for a in strut.arms))
    heights = [strut.palms[0].thickness_mm + h for h in (0.0, 30.0, 60.0)]
    low, middle, high = shapes.arm_footprints(strut, strut.arms[0], heights)
    at = middle.mean(axis=0)
    assert min(float(np.hypot(*(foot - at).T).min()) for foot in (low, high)) > 3.0
    strut = with_hole(strut, at)
    assert chuck_fouls(strut, strut.palms[0], 2.0, standard()) == [1]


def with_hole(strut: Strut, at: Floats) -> Strut:
    """Return a strut with one hole in its first palm."""
    hole = PalmHole(number=1, u_mm=float(at[0]), v_mm=float(at[1]))
    return replace(strut, palms=(replace(strut.palms[0], holes=(hole,)), *strut.palms[1:]))


# --- a new set -------------------------------------------------------------------------------------------------------

STRICT = {
    "bolt_edge_practice": 2.4,
    "bolt_pitch_practice": 4.2,
    "bolt_pitch_sealing": 6.5,
    "rim_to_edge": 9.0,
    "rim_to_root": 8.0,
    "driver_height": 90.0,
    "driver_to_arm": 6.0,
    "pattern_fillet": 12.0,
    "palm_thickness": 0.55,
    "countersink_land": 7.0,
    "arm_thickness_vee": 0.5,
    "bolt_size_least": 0.34,
    "clearance_floor": 0.15,
    "barrel_wall_hard": 0.3,
}
CODES = {
    "bolt_edge_distance",
    "bolt_pitch",
    "bolt_pitch_sealing",
    "rim_to_edge",
    "rim_to_arm_root",
    "driver_to_arm",
    "pattern_fillet",
    "palm_thickness",
    "head_land",
    "arm_thickness",
    "bolt_size",
    "running_clearance",
    "clearance_pressed",
    "barrel_wall",
}
"""Checks that follow those."""


@pytest.mark.parametrize(
    ("construction", "arms"), every([("cast", "single"), ("cast", "vee"), ("welded", "single"), ("welded", "vee")], 4)
)
def test_a_new_set_keeps_the_limits_it_is_made_for(construction: str, arms: str) -> None:
    answers = {"construction": construction, "arms": arms, "shaft": "40 mm", "drop": "420 mm"}
    values, own = starter.ask(answers, None), limits(**STRICT)
    plain, ours = (loads(starter.complete(values, table).text) for table in (None, own))
    kept = [f for code in CODES for f in found(resolve(ours, own), own, code)]
    assert [f.about("mm") for f in kept if f.verdict.name in ("FAIL", "WARN")] == []
    broken = [f for code in CODES for f in found(resolve(plain, own), own, code)]
    assert [f for f in broken if f.verdict.name in ("FAIL", "WARN")]


def test_start_takes_limits(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    own, file = tmp_path / "own.yaml", tmp_path / "mine.yaml"
    own.write_text(json.dumps(STRICT), encoding="utf-8")
    answers = [w for q in starter.QUESTIONS if q.key != "drop" for w in ("--answer", f"{q.key}={q.default}")]
    asked = ["start", str(file), *answers, "--answer", "drop=420 mm", "--limits", str(own)]
    status, out, _ = run(capsys, *asked)
    assert status == Exit.PASS
    assert f"strutwright check {file} --limits {own}" in out
    assert run(capsys, "check", str(file), "--limits", str(own))[0] != Exit.FAILURE
    copied = tmp_path / "copied.yaml"
    status, _, error = run(capsys, "start", str(copied), "--like", "canal-tender", "--limits", str(own))
    assert status == Exit.UNUSABLE
    assert "a copied set stays as it is" in error
    assert not copied.exists()
