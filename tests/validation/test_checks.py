"""Each check breaks where it should and holds where it should; its figures against rules and hand working.

The source and the standing of a figure stand beside it: published, common practice, from memory, calculated.
"""

from __future__ import annotations

import functools
import math
from dataclasses import replace
from typing import Any

import checks_support as trial
import numpy as np
import pytest
from checks_support import Said, of_code, strut, verdict

from strutwright.models import frames
from strutwright.models.checks import CHECKS, geometry_checks, said_hints
from strutwright.models.checks.geometry.screws import run_to_hull_mm
from strutwright.models.checks.struts import Struts
from strutwright.models.finding import Finding, Standing, Verdict, worst
from strutwright.models.geometry import members, shapes
from strutwright.models.geometry.polygons import distance_to_polygon
from strutwright.models.outline import polygon
from strutwright.models.resolve import resolve
from strutwright.models.sections import boundary_points
from strutwright.models.spec import BarrelEnd, BoreStep, PalmPlane, Strut, mirrored
from strutwright.params import limits, loader
from strutwright.params.problems import ParameterError
from strutwright.params.words import say

WARN, FAIL, OK, HINT, NOT_CHECKED = Verdict.WARN, Verdict.FAIL, Verdict.OK, Verdict.HINT, Verdict.NOT_CHECKED


def place(end: str, distance: float, clock: float = 90.0) -> Said:
    return {"end": end, "distance": distance, "clock": clock}


def screws(*places: Said) -> Said:
    return {"set_screws": {"positions": list(places)}}


def grid(**sizes: float) -> Said:
    return {"bolts": {"pattern": sizes}}


def steps(*each: Said) -> Said:
    return {"barrel": {"steps": list(each)}}


RELIEF = {"kind": "relief", "end": "barrel_aft", "start": 70, "length": 60, "diameter": 71}

# code, variant it holds in, change that breaks it, how it breaks
BREAKS: list[tuple[str, str, Said, Verdict]] = [
    ("barrel_wall_least", "single", {"barrel": {"outside_diameter": 94}}, FAIL),
    ("barrel_wall", "single", {"barrel": {"outside_diameter": 94}}, WARN),
    ("barrel_wall", "single", {"barrel": {"outside_diameter": 89}}, FAIL),
    ("shaft_speed_agrees", "single", {"duty": {"shaft_speed": 1320, "engine_speed": 2600, "gear_ratio": 2}}, WARN),
    ("shaft_speed_agrees", "vee", {"duty": {"shaft_speed": 1400, "engine_speed": 2600, "gear_ratio": 2}}, FAIL),
    ("barrel_wall", "steps", steps({**RELIEF, "diameter": 71.2}), WARN),
    ("tube_holds_bore", "tube", {"barrel": {"tube": {"wall": 19.8}}}, WARN),
    ("tube_holds_bore", "tube", {"barrel": {"tube": {"wall": 18}}}, FAIL),
    ("tube_holds_outside", "turned", {"barrel": {"outside_diameter": 106.2}}, WARN),
    ("tube_holds_outside", "turned", {"barrel": {"outside_diameter": 107.5}}, FAIL),
    ("tube_wall_least", "tube", {"barrel": {"outside_diameter": None, "tube": {"outside_diameter": 91}}}, FAIL),
    ("barrel_wall_under_flat", "spot", {"set_screws": {"spot_face": 40}}, WARN),
    ("screw_thread_in_wall", "single", {"set_screws": {"thread": "M16"}}, FAIL),
    ("screw_thread_in_wall", "aluminium", {"set_screws": {"thread": "M10"}}, WARN),
    ("barrel_end_wall", "single", {"barrel": {"ends": {"aft": {"end_diameter": 74}}}}, WARN),
    ("barrel_end_wall", "single", {"barrel": {"ends": {"aft": {"end_diameter": 73}}}}, FAIL),
    ("slot_in_barrel", "slots", {"barrel": {"slots": {"position": {"distance": 16}}}}, WARN),
    ("slot_in_barrel", "slots", {"barrel": {"slots": {"position": {"distance": 8}}}}, FAIL),
    ("bearing_proud_aft", "single", {"bearing": {"position": {"distance": -3}}}, FAIL),
    ("bearing_proud_forward", "single", {"barrel": {"length": 180}}, FAIL),
    ("bearing_pocket", "single", {"bearing": {"length": 190}}, WARN),
    ("bearing_length", "single", {"bearing": {"length": 195}}, WARN),
    ("bearing_length", "single", {"bearing": {"length": 95}}, FAIL),
    ("bearing_rubber", "single", {"bearing": {"shell": 8.2, "flutes": {"depth": 1}}}, WARN),
    ("bearing_gap", "two", {"barrel": {"length": 201}}, WARN),
    ("bearing_gap", "two", {"barrel": {"length": 215}}, WARN),
    ("bearing_gap", "two", {"barrel": {"length": 198}}, FAIL),
    (
        "shoulder_clears_flutes",
        "steps",
        steps({"kind": "shoulder", "end": "barrel_forward", "length": 6, "diameter": 55.5}),
        FAIL,
    ),
    (
        "water_opening",
        "steps",
        steps({"kind": "shoulder", "end": "barrel_forward", "length": 6, "diameter": 51.5}),
        WARN,
    ),
    ("running_clearance", "single", {"bearing": {"running_clearance": 0.04}}, FAIL),
    ("running_clearance_loose", "single", {"bearing": {"running_clearance": 0.3}}, WARN),
    ("bore_fit", "single", {"bearing": {"outside_upper": 0.03, "outside_lower": 0.01}}, WARN),
    ("bore_fit", "single", {"bearing": {"outside_upper": -0.01, "outside_lower": -0.03}}, FAIL),
    ("bore_fit", "slide", {"bearing": {"outside_upper": 0.4}}, FAIL),
    ("bore_fit_greatest", "single", {"bearing": {"outside_upper": 0.09}}, WARN),
    ("bore_fit_greatest", "slide", {"barrel": {"bore": 71}}, WARN),
    (
        "bearing_on_step",
        "steps",
        steps({"kind": "shoulder", "end": "barrel_forward", "length": 10, "diameter": 58}),
        FAIL,
    ),
    ("bearing_on_step", "steps", steps({**RELIEF, "start": 20, "length": 160}), WARN),
    (
        "bearing_on_step",
        "steps",
        steps({"kind": "counterbore", "end": "barrel_aft", "length": 30, "diameter": 74}),
        WARN,
    ),
    ("screws_present", "single", screws(), WARN),
    ("screws_present", "slide", screws(), FAIL),
    ("screw_inside_bearing", "single", screws(place("bearing_aft", 8)), FAIL),
    ("screw_inside_barrel", "single", screws(place("barrel_forward", 3)), FAIL),
    ("screws_symmetric", "single", screws(place("bearing_aft", 50), place("bearing_forward", 60)), WARN),
    ("screws_symmetric", "slide", screws(place("bearing_aft", 50), place("bearing_forward", 60)), HINT),
    ("screw_off_flute", "single", screws(place("bearing_aft", 50, 67.5)), WARN),
    ("dimple_in_shell", "single", {"set_screws": {"dimple_depth": 2.6}}, WARN),
    ("dimple_in_shell", "single", {"set_screws": {"dimple_depth": 4}}, FAIL),
    ("screw_clear_of_arm", "single", screws(place("bearing_aft", 100, 20)), FAIL),
    ("screw_clear_of_skeg", "skeg", screws(place("bearing_aft", 100, -170)), FAIL),
    ("screw_clear_of_end", "single", screws(place("barrel_aft", 22)), FAIL),
    ("screw_clear_of_slot", "slots", screws(place("bearing_aft", 150, 58.1)), WARN),
    ("screw_clear_of_slot", "slots", screws(place("bearing_aft", 150, 45)), FAIL),
    ("screws_apart", "single", screws(place("bearing_aft", 50), place("bearing_aft", 62)), WARN),
    ("screws_apart", "single", screws(place("bearing_aft", 50), place("bearing_aft", 56)), FAIL),
    ("screw_clear_of_step", "steps", screws(place("bearing_aft", 68)), WARN),
    ("screw_clear_of_step", "counterbored", screws(place("barrel_aft", 200)), WARN),
    (
        "bearing_on_step",
        "counterbored",
        steps({"kind": "counterbore", "end": "barrel_aft", "length": 190, "diameter": 72}),
        WARN,
    ),
    (
        "bore_fit",
        "counterbored",
        steps({"kind": "counterbore", "end": "barrel_aft", "length": 203, "diameter": 72.2}),
        FAIL,
    ),
    (
        "screw_key_room",
        "inclined",
        {**screws(place("bearing_aft", 180, 30)), "hull": {"drop": {"square_to_shaft": 70}}},
        WARN,
    ),
    ("arm_on_barrel", "single", {"arms": {"section": {"chord": 230}}}, FAIL),
    ("root_on_barrel", "single", {"arms": {"root_fillet": {"barrel": 60}}}, FAIL),
    (
        "root_on_palm",
        "single",
        {"arms": {"root_fillet": {"palm": 140}}, "hull": {"drop": {"square_to_shaft": 130}}},
        FAIL,
    ),
    ("skeg_root", "skeg", {"skeg": {"root_fillet": 60}}, FAIL),
    ("arm_on_parallel_part", "single", {"arms": {"position": {"distance": 95}}}, WARN),
    ("arm_within_barrel", "single", {"arms": {"section": {"thickness": 100}}}, FAIL),
    ("arm_thickness_ratio", "single", {"arms": {"section": {"thickness": 15}}}, WARN),
    ("arm_thickness_ratio", "single", {"arms": {"section": {"thickness_at_palm": 70}}}, WARN),
    ("arm_edge_radius", "flat", {"arms": {"section": {"edge_radius": 1}}}, WARN),
    ("flat_arm_speed", "flat", {"duty": {"boat_speed": 25}}, WARN),
    ("arm_toe", "single", {"arms": {"toe": -8}}, WARN),
    ("arm_length", "single", {"hull": {"drop": {"square_to_shaft": 600}}}, WARN),
    ("vee_angle", "vee", {"arms": {"included_angle": 49}}, WARN),
    ("vee_angle", "vee", {"arms": {"included_angle": 44}}, FAIL),
    ("vee_angle_greatest", "vee", {"arms": {"included_angle": 112}}, FAIL),
    ("vee_angle_blades", "vee", {"propeller": {"blades": 6}}, WARN),
    ("vee_torch_room", "vee", {"arms": {"included_angle": 44}}, WARN),
    ("palm_thickness", "single", {"palm": {"thickness": 12}}, WARN),
    ("arm_on_palm", "single", {"palm": {"outline": {"length": 150}}}, FAIL),
    ("arm_on_palm", "single", {"palm": {"offset": {"port": 60}}}, FAIL),
    ("arm_on_palm", "bevel", {"palm": {"bevel": {"width": 46}}}, WARN),
    ("palms_apart", "vee", {"palm": {"outline": {"width": 480}}}, FAIL),
    ("head_depth", "single", {"palm": {"thickness": 10}}, WARN),
    ("head_land", "single", {"palm": {"thickness": 8.5}}, FAIL),
    ("bolt_inside_palm", "single", grid(pitch_across=140), FAIL),
    ("bolt_edge_distance", "single", grid(pitch_across=102), FAIL),
    ("bolt_pitch", "single", grid(along=9, pitch_along=24), FAIL),
    ("bolt_pitch_sealing", "single", grid(pitch_along=100), WARN),
    ("rim_to_edge", "single", grid(pitch_across=110), FAIL),
    ("rim_to_bevel", "bevel", {"palm": {"bevel": {"width": 10}}}, WARN),
    ("rim_to_arm_root", "single", {"arms": {"root_fillet": {"palm": 20}}}, FAIL),
    ("driver_to_arm", "single", {"arms": {"stance": 25}}, WARN),
    ("bolt_count", "single", grid(along=3, across=1), FAIL),
    ("bolt_count", "single", {"bolts": {"backing_plate": False, "pattern": {"along": 2}}}, WARN),
    ("bolt_size", "single", {"bolts": {"size": "M8"}}, WARN),
    ("bolt_size", "single", {"bolts": {"size": "M24", "kind": "plain"}}, WARN),
    ("palm_pitch", "single", {"hull": {"shaft_angle": {"to_waterline": 16}}}, WARN),
    ("palm_pitch", "single", {"hull": {"shaft_angle": {"to_waterline": 21}}}, FAIL),
    ("palm_pitch_least", "single", {"hull": {"shaft_angle": {"to_waterline": -3}}}, FAIL),
    ("palm_tilt", "single", {"arms": {"stance": 20}}, FAIL),
    ("palm_tilt", "vee", {"arms": {"included_angle": 110}, "hull": {"deadrise": 10}}, FAIL),
    ("hull_inputs_agree", "single", {"hull": {"drop": {"vertical": 395.5}}}, WARN),
    ("hull_inputs_agree", "single", {"hull": {"drop": {"vertical": 400}}}, FAIL),
    ("hull_inputs_agree", "single", {"hull": {"shaft_angle": {"to_palm": 9.2}}}, WARN),
    ("hull_inputs_agree", "single", {"hull": {"shaft_angle": {"to_palm": 12}}}, FAIL),
    ("hull_inputs_agree", "single", {"hull": {"run": 0, "shaft_angle": {"to_hull": 10.5}}}, WARN),
    ("hull_inputs_agree", "single", {"hull": {"run": 0, "shaft_angle": {"to_hull": 13}}}, FAIL),
    ("drop_least", "single", {"hull": {"drop": {"square_to_shaft": 110}}}, WARN),
    ("drop_greatest", "single", {"hull": {"drop": {"square_to_shaft": 800}}}, WARN),
    ("barrel_clear_of_hull", "single", {"hull": {"drop": {"square_to_shaft": 75}}}, FAIL),
    ("tip_clearance", "single", {"propeller": {"diameter": 680}}, WARN),
    ("tip_clearance", "single", {"propeller": {"diameter": 760}}, FAIL),
    ("hub_gap", "single", {"propeller": {"hub_gap": 60}}, WARN),
    ("hub_gap", "single", {"propeller": {"hub_gap": 80}}, FAIL),
    ("hub_gap_least", "single", {"propeller": {"hub_gap": 10}}, WARN),
    ("bearing_span", "single", {"shaft": {"bearing_span": 900}}, WARN),
    ("bearing_span", "single", {"shaft": {"bearing_span": 2100}}, WARN),
    ("skeg_on_barrel", "skeg", {"skeg": {"root_forward": 210}}, FAIL),
    ("skeg_on_parallel_part", "skeg", {"skeg": {"root_aft": 22}}, WARN),
    ("blade_to_foot", "skeg", {"propeller": {"diameter": 700}}, WARN),
    ("blade_to_foot", "skeg", {"propeller": {"diameter": 740}}, FAIL),
    ("blade_abaft_fin", "skeg", {"skeg": {"sweep": 60, "tip_chord": 150}}, WARN),
    ("blade_abaft_fin", "skeg", {"skeg": {"sweep": 300, "tip_chord": 150}}, FAIL),
    ("heel_bush_length", "skeg", {"skeg": {"heel": {"height": 50}}}, WARN),
    ("pintle_sleeve_wall", "sleeve", {"skeg": {"heel": {"sleeve_wall": 1}}}, WARN),
    ("heel_abaft_fin", "skeg", {"skeg": {"heel": {"behind_barrel": -40}}}, WARN),
    ("foot_carries_boss", "skeg", {"skeg": {"heel": {"foot_thickness": 90}}}, WARN),
    ("alloy_suits_process", "single", {"materials": {"strut": "316L"}}, FAIL),
    ("alloy_suits_process", "vee", {"materials": {"strut": "C86500"}}, FAIL),
    ("alloy_suits_process", "vee", {"materials": {"strut": "S20910"}}, WARN),
    ("strut_on_hull", "single", {"materials": {"hull": "5083-H111"}}, FAIL),
    ("strut_on_hull", "vee", {"materials": {"hull": "S275"}}, WARN),
    ("strut_on_hull", "vee", {"materials": {"strut": "S32205", "hull": "S275"}}, WARN),
    ("strut_on_hull", "vee", {"materials": {"strut": "S32205", "hull": "5083-H111"}}, WARN),
    (
        "shaft_to_strut",
        "single",
        {"hull": {"shaft_angle": {"to_waterline": 19}}, "palm": {"offset": {"forward": 1000}}},
        FAIL,
    ),
    ("blade_to_strut", "single", {"arms": {"position": {"distance": 72}}}, WARN),
    ("blade_to_strut", "single", {"arms": {"position": {"distance": 60}}}, FAIL),
    ("tip_to_palm", "over", {"palm": {"thickness": 60}}, WARN),
    ("tip_to_palm", "over", {"palm": {"thickness": 90}}, FAIL),
    ("stock_to_strut", "skeg", {"skeg": {"heel": {"behind_barrel": 45}}}, WARN),
    ("stock_to_strut", "skeg", {"skeg": {"heel": {"behind_barrel": 20}}}, FAIL),
    ("blade_to_stock", "skeg", {"skeg": {"heel": {"behind_barrel": 190}}}, WARN),
    ("blade_to_stock", "skeg", {"skeg": {"heel": {"behind_barrel": 140}}}, FAIL),
    ("tool_to_strut", "single", {"hull": {"drop": {"square_to_shaft": 110}}}, WARN),
    ("bolt_entry", "keel", grid(pitch_across=50), WARN),
    ("key_to_strut", "single", screws(place("bearing_aft", 100, 20)), WARN),
    ("shell_in_barrel", "vee", {"bearing": {"shell_material": "C46400"}}, WARN),
    ("shell_in_barrel", "single", {"materials": {"strut": "CF3M"}}, WARN),
    ("bolts_in_palm", "vee", {"materials": {"bolts": "F468 C65100"}}, WARN),
]


@functools.cache
def _unchanged(variant: str) -> list[Finding]:
    return geometry_checks(strut(variant))


@pytest.mark.parametrize(
    ("code", "variant", "change", "how"), BREAKS, ids=[f"{c}-{v}-{h.name}-{i}" for i, (c, v, _, h) in enumerate(BREAKS)]
)
def test_a_check_holds_and_breaks(code: str, variant: str, change: Said, how: Verdict) -> None:
    """The unchanged strut passes the check, the changed one does not, and is told what to change."""
    assert verdict(_unchanged(variant), code) is OK
    found = of_code(geometry_checks(strut(variant, change)), code)
    assert verdict(found, code) is how
    for f in found:
        if f.verdict is not OK:
            assert f.advice
            assert f.parameter
            if math.isfinite(f.demanded) and f.limit_is != "text":
                assert (f.actual < f.demanded) == (f.limit_is == "at least")


def test_every_check_is_seen_to_hold_and_break() -> None:
    """No code is without a row above, save those that have a test of their own below."""
    own = {"angle_may_be_tangent", "bearing_to_confirm", "check_impossible", "deadrise_to_confirm"}
    assert {c for c, *_ in BREAKS} | own == set(CHECKS)


@pytest.mark.parametrize("variant", sorted(trial.VARIANTS))
def test_findings_are_what_the_registry_says(variant: str) -> None:
    """Every finding has a known code and group, a source where it has a limit, and advice only when it is needed."""
    rows = limits.standard()
    for f in geometry_checks(strut(variant)):
        check = CHECKS[f.code]
        assert f.group == check.group
        assert (f.advice == "") == (f.verdict is OK)
        named = {str(say(rows[n].source)) for n in check.limits} | {"follows from geometry"}
        assert f.verdict is HINT or str(f.source) in named or f.limit_is == "text"


def test_the_registry_names_limits_that_are_there() -> None:
    """Each check's limits are in the table; that those of the engineering move findings: test_limits_move_findings."""
    assert {name for c in CHECKS.values() for name in c.limits} <= set(limits.standard())


def test_single_strut_passes_whole() -> None:
    assert worst(geometry_checks(strut())) is OK


def test_what_cannot_be_judged_does_not_pass() -> None:
    """A short set without propeller, duty and span does not fail and does not pass: it says what is wanting."""
    found = geometry_checks(strut("single", {"propeller": None, "duty": None, "shaft": {"bearing_span": None}}))
    assert worst(found) is WARN
    assert {f.code for f in found if f.verdict is NOT_CHECKED} == {
        "tip_clearance",
        "hub_gap",
        "hub_gap_least",
        "bearing_span",
        "blade_to_strut",
        "tip_to_palm",
    }
    vee = geometry_checks(strut("vee", {"propeller": None, "duty": None}))
    assert {f.code: f.missing for f in vee if f.verdict is NOT_CHECKED and f.code.startswith(("vee", "flat"))} == {
        "vee_angle_blades": ("propeller.blades",),
        "flat_arm_speed": ("duty.boat_speed",),
    }


def test_sizes_from_the_example_table_are_to_be_confirmed() -> None:
    """A bearing's size list was found nowhere: what the table supplies is a hint to measure (values from memory)."""
    assert not said_hints(trial.read(trial.said()))
    short = said_hints(trial.read(trial.said("single", {"bearing": {"shell": None}})))
    assert [(f.parameter, f.verdict) for f in short] == [("bearing.shell", HINT)]


@pytest.mark.parametrize(
    ("hand", "deadrise", "verdicts"),
    [("port", None, [WARN]), ("pair", None, [WARN]), ("starboard", 0, []), ("centre", None, [])],
)
def test_a_deadrise_that_nobody_gave_is_asked_for(hand: str, deadrise: float | None, verdicts: list[Verdict]) -> None:
    """Beside the keel of a V bottom, a palm made flat athwart does not lie on the hull."""
    said = trial.said("single", {"identity": {"hand": hand}, "hull": {"deadrise": deadrise}})
    found = [f for f in said_hints(trial.read(said)) if f.code == "deadrise_to_confirm"]
    assert [f.verdict for f in found] == verdicts
    assert all(f.parameter == "hull.deadrise" for f in found)


def test_a_check_that_cannot_run_says_so() -> None:
    """A material that is in no table, or sections that cannot be, are findings `not checked`, not errors."""
    odd = replace(strut(), material="unobtainium")
    assert verdict(geometry_checks(odd), "check_impossible") is Verdict.NOT_CHECKED
    s = strut()
    thin = replace(s, arms=(replace(s.arms[0], chord_barrel_mm=10.0),))
    assert verdict(geometry_checks(thin), "check_impossible") is Verdict.NOT_CHECKED


# --- rules ----------------------------------------------------------------------------------------------------------


def test_wall_of_a_quarter_of_the_shaft() -> None:
    """d = 50 asks 12.5 mm: ABYC P-6 (second-hand), ABS shaft struts (from memory)."""
    f = of_code(geometry_checks(strut()), "barrel_wall")[0]
    assert (f.demanded, f.actual, f.standing) == (12.5, 13.0, Standing.MEMORY)


def test_bearing_of_four_diameters() -> None:
    """d = 50 asks 200 mm: ABS Steel Vessels 4-3-2/5.15.1 (published)."""
    f = of_code(geometry_checks(strut()), "bearing_length")[0]
    assert (f.demanded, f.utilisation) == (200.0, 1.0)


@pytest.mark.parametrize(("angle", "how"), [(50, OK), (49, WARN), (45, WARN), (44.9, FAIL), (110, OK)])
def test_angle_of_a_vee(angle: float, how: Verdict) -> None:
    """At least 50 degrees: high-speed light craft guidance, Pt 4 Ch 2 Sec 6 (published); 45: ABS (from memory)."""
    f = of_code(geometry_checks(strut("vee", {"arms": {"included_angle": angle}})), "vee_angle")[0]
    assert f.verdict is how
    assert f.demanded == 50.0


@pytest.mark.parametrize(
    ("blades", "angle", "how"),
    [(3, 60, OK), (3, 90, OK), (3, 110, OK), (4, 70, OK), (4, 90, WARN), (4, 83, WARN), (5, 72, WARN), (5, 108, OK)],
)
def test_angle_of_a_vee_against_the_blades(blades: int, angle: float, how: Verdict) -> None:
    """Legs not in line with two blades at once: boat mechanical systems handbook (published principle): 4 blades avoid
    90, 5 blades avoid 72; 3 at 60 or 90, 4 at 70 and 5 at 108 are clear (calculated)."""
    assert (
        verdict(
            geometry_checks(strut("vee", {"arms": {"included_angle": angle}, "propeller": {"blades": blades}})),
            "vee_angle_blades",
        )
        is how
    )


def bolted(rule: str, size: str, major_mm: float, hole_mm: float) -> Strut:
    s = strut()
    bolt = replace(s.palms[0].bolt, size=size, major_mm=major_mm, hole_mm=hole_mm)
    return replace(s, edge_rule=rule, palms=(replace(s.palms[0], bolt=bolt),))


@pytest.mark.parametrize(
    ("size", "major", "edge"),
    [
        ("M16", 16.0, 22.0),
        ("M20", 20.0, 26.0),
        ("M24", 24.0, 30.0),
        ("1/2", 12.7, 19.05),
        ("5/8", 15.875, 22.225),
        ("3/4", 19.05, 25.4),
        ("1 1/4", 31.75, 41.275),
        ("M42", 42.0, 52.5),
        ("M18", 18.0, 26.0),
    ],
)
def test_edge_distance_of_aisc(size: str, major: float, edge: float) -> None:
    """AISC 360 Tables J3.4 and J3.4M (published); above the table 1.25 d; between rows the larger bolt's row."""
    f = of_code(geometry_checks(bolted("aisc", size, major, major + 1)), "bolt_edge_distance")[0]
    assert f.demanded == pytest.approx(edge, abs=1e-6)


@pytest.mark.parametrize(
    ("rule", "edge", "along", "across"),
    [
        ("ec3", 16.2, 29.7, 32.4),  # EN 1993-1-8 Table 3.3: 1.2, 2.2 and 2.4 times 13.5 (published)
        ("light_craft", 20.4, 36.0, 36.0),  # light-craft guidance, engine seats: 1.7 d and 3 d (published)
        ("aerospace", 24.0, 48.0, 48.0),  # MIL-HDBK-5 practice: 2 d and 4 d (from memory)
        ("aisc", 18.0, 32.0, 32.0),
    ],
)  # under the table 1.5 d (practice); J3.3: 2 2/3 d (from memory)
def test_edge_distance_and_pitch_of_m12(rule: str, edge: float, along: float, across: float) -> None:
    s = bolted(rule, "M12", 12.0, 13.5)
    found = geometry_checks(s)
    assert of_code(found, "bolt_edge_distance")[0].demanded == pytest.approx(edge, abs=1e-3)
    for stride, need in (((30.0, 0.0), along), ((0.0, 30.0), across)):
        holes = tuple(replace(h, u_mm=k * stride[0], v_mm=k * stride[1] + 40) for k, h in enumerate(s.palms[0].holes))
        close = replace(s, palms=(replace(s.palms[0], holes=holes),))
        assert of_code(geometry_checks(close), "bolt_pitch")[0].demanded == pytest.approx(need, abs=1e-3)


def test_edge_distance_is_to_the_rounded_corner() -> None:
    """A hole 20 mm in from both straight edges beside a corner radius of 25: 25 - sqrt(2) (25 - 20) (calculated)."""
    corners = [{"forward": u, "port": v} for u in (-105, 105) for v in (-50, 50)]
    s = strut(
        "single",
        {
            "bolts": {
                "pattern": {
                    "kind": "points",
                    "points": corners,
                    "along": None,
                    "across": None,
                    "pitch_along": None,
                    "pitch_across": None,
                }
            }
        },
    )
    assert of_code(geometry_checks(s), "bolt_edge_distance")[0].actual == pytest.approx(25 - 5 * math.sqrt(2))


def test_changed_limits_are_used_and_say_who_set_them() -> None:
    own = limits.with_changes_text("barrel_wall: 0.33\n")
    f = of_code(geometry_checks(strut(), own), "barrel_wall")[0]
    assert (f.verdict, f.demanded, f.standing) == (WARN, 16.5, Standing.PRACTICE)  # BV: 16.5 at d = 50 (from memory)
    assert "user" in f.source
    assert limits.standard()["barrel_wall"].value == 0.25


@pytest.mark.parametrize(
    "text",
    [
        "barrel_wal: 0.3\n",
        "barrel_wall: thick\n",
        "barrel_wall: yes\n",
        "barrel_wall: .nan\n",
        "barrel_wall: 1\nbarrel_wall: 2\n",
    ],
)
def test_faults_in_a_file_of_limits_are_told_with_their_place(text: str) -> None:
    with pytest.raises(ParameterError) as caught:
        limits.with_changes_text(text, "mine.yaml")
    assert caught.value.problems[0].line >= 1
    assert "barrel_wal" in str(caught.value)


def test_limits_from_memory_warn_but_for_the_outermost() -> None:
    """Only these limits without a source stop a strut: beyond them ordinary practice does not go."""
    hard = {n for n, row in limits.standard().items() if row.standing == "from memory" and row.breach == "failure"}
    assert hard == {
        "barrel_wall_hard",
        "bearing_length_hard",
        "vee_angle_hard",
        "vee_angle_most",
        "palm_pitch_least",
        "palm_pitch_hard",
        "palm_tilt_single",
        "palm_tilt_vee",
    }


# --- geometry behind the checks -------------------------------------------------------------------------------------


def tilted(tilt_deg: float) -> frames.Axes:
    """Palm axes of the strut worked by hand: drop 350, shaft to hull 12, athwart tilt 20.4 degrees."""
    return frames.plane_axes(350.0, 12.0, tilt_deg)


@pytest.mark.parametrize("side", [1, -1])
def test_palm_plane_worked_by_hand(side: int) -> None:
    """Calculated by hand from z = D - x tan(theta) + y tan(phi); five figures."""
    a = tilted(20.4 * side)
    assert a.n == pytest.approx([0.19539, -0.34185 * side, 0.91922], abs=1e-5)
    assert a.u == pytest.approx([0.97815, 0.0, -0.20791], abs=1e-5)
    assert a.v == pytest.approx([0.07108 * side, 0.93975, 0.33438 * side], abs=1e-5)
    assert frames.shaft_to_palm_deg(12.0, 20.4 * side) == pytest.approx(11.267, abs=5e-4)
    assert 350.0 * frames.drop_factors(12.0, 0.0, 12.0, 20.4)[1] == pytest.approx(321.73, abs=5e-3)
    assert abs(frames.trace_to_projection_deg(12.0, 20.4 * side)) == pytest.approx(4.16, abs=5e-3)


@pytest.mark.parametrize(
    ("side", "hole", "point"),
    [
        (1, (-130, -50), (-130.71, -46.99, 360.31)),
        (1, (130, 50), (130.71, 46.99, 339.69)),
        (-1, (-130, -50), (-123.61, -46.99, 393.75)),
        (-1, (130, 50), (123.61, 46.99, 306.25)),
    ],
)
def test_hole_positions_worked_by_hand(side: int, hole: tuple[float, float], point: tuple[float, ...]) -> None:
    """Calculated by hand: P = O + u e1 + v e2."""
    assert tilted(20.4 * side).to_strut(np.array([hole]))[0] == pytest.approx(point, abs=6e-3)


def test_centre_line_hole_worked_by_hand() -> None:
    """Calculated: shaft to hull 9, drop 375, hole (100, 40)."""
    axes = frames.plane_axes(375.0, 9.0, 0.0)
    assert axes.to_strut(np.array([[100.0, 40.0]]))[0] == pytest.approx((98.77, 40.00, 359.36), abs=5e-3)


def test_arm_edges_at_the_palm() -> None:
    """An upright arm's edges at x = +95 and -95 meet the palm at z = 329.81 and 370.19 (calculated)."""
    for x, z in ((95.0, 329.81), (-95.0, 370.19)):
        met = frames.meet_plane(
            PalmPlane(drop_mm=350.0, pitch_deg=12.0, tilt_deg=20.4), np.array([x, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
        )
        assert met[2] == pytest.approx(z, abs=5e-3)


def test_starboard_palm_is_the_mirror_of_the_port_one() -> None:
    """S(u, v) is the mirror image of P(u, -v) (follows from geometry)."""
    u, v = 87.0, -33.0
    port, starboard = tilted(20.4), tilted(-20.4)
    assert starboard.to_strut(np.array([[u, v]]))[0] == pytest.approx(
        port.to_strut(np.array([[u, -v]]))[0] * (1, -1, 1), abs=1e-12
    )


def test_three_drops_and_deadrise_square_to_the_shaft() -> None:
    """12 degrees down, no run, 20 deadrise, 250 plumb: 255.6 square to the shaft, 234.9 to the hull; 20 seen as 20.41
    (calculated)."""
    s = strut(
        "single",
        {
            "hull": {
                "shaft_angle": {"to_waterline": 12},
                "deadrise": 20,
                "drop": {"square_to_shaft": None, "vertical": 250},
            }
        },
    )
    hull = s.hull
    assert hull.drop_vertical_mm == pytest.approx(250.0)
    assert hull.drop_square_to_shaft_mm == pytest.approx(255.6, abs=0.05)
    assert hull.drop_square_to_hull_mm == pytest.approx(234.9, abs=0.05)
    assert s.palms[0].plane.tilt_deg == pytest.approx(20.41, abs=5e-3)


def test_drop_moves_along_the_barrel() -> None:
    """Over half of a 150 mm barrel at 12 degrees the drop moves 16 mm (calculated)."""
    hull = {"shaft_angle": {"to_waterline": 12}, "deadrise": 0}
    aft, mid = (
        strut(
            "single",
            {
                "hull": {**hull, "drop": {"at": at}},
                "barrel": {"length": 150},
                "bearing": {"length": 150},
                "arms": {"position": {"distance": 75}},
            },
        ).hull.drop_square_to_shaft_mm
        for at in ("aft", "mid")
    )
    assert mid - aft == pytest.approx(16.0, abs=0.1)


@pytest.mark.parametrize("angle", [50.0, 60.0, 90.0])
def test_leg_length_of_a_vee_off_the_centre_line(angle: float) -> None:
    """Bisector square to the bottom: both legs D cos(phi) / cos(psi / 2), palms psi / 2 off square (calculated)."""
    s = strut(
        "vee",
        {
            "identity": {"hand": "port"},
            "hull": {"deadrise": 15},
            "arms": {"included_angle": angle, "stance": "square_to_bottom"},
        },
    )
    phi = math.radians(s.palms[0].plane.tilt_deg)
    want = s.hull.drop_square_to_shaft_mm * math.cos(phi) / math.cos(math.radians(angle / 2))
    # The arms leave the shaft line x forward of mid-barrel, where the hull is nearer by x tan(theta).
    x = s.barrel.x(s.arms[0].station_mm)
    want *= 1 - x * math.tan(math.radians(s.hull.shaft_to_hull_deg)) / s.hull.drop_square_to_shaft_mm
    for arm in s.arms:
        assert frames.arm_ends_mm(arm, s.barrel, frames.arm_plane(s, arm))[1] == pytest.approx(want, abs=1e-9)
    for f in of_code(geometry_checks(s), "palm_tilt"):
        assert f.actual == pytest.approx(angle / 2, abs=1e-9)


def test_footprint_is_a_shear_and_a_stretch() -> None:
    """A point (x, y) of an upright arm of even section lands at u = x/cos(theta) - y tan(phi) sin(theta), v = P . e2
    (calculated from the plane's equation)."""
    s = strut(
        "single",
        {
            "hull": {"shaft_angle": {"to_waterline": 12}, "deadrise": 20},
            "arms": {"section": {"shape": "ellipse", "chord_at_palm": 140, "thickness_at_palm": 28}},
        },
    )
    foot = shapes.arm_footprints(s, s.arms[0], [0.0])[0]
    xy = boundary_points("ellipse", 140.0, 28.0, shapes.POINTS)
    theta, phi = math.radians(s.palms[0].plane.pitch_deg), math.radians(s.palms[0].plane.tilt_deg)
    shear = xy[:, 1] * math.tan(phi) * math.sin(theta)
    assert foot[:, 0] == pytest.approx(xy[:, 0] / math.cos(theta) - shear, abs=1e-9)
    point = np.stack([xy[:, 0], xy[:, 1], -xy[:, 0] * math.tan(theta) + xy[:, 1] * math.tan(phi)], axis=1)
    assert foot[:, 1] == pytest.approx(point @ frames.palm_axes(s.palms[0]).v, abs=1e-9)


def test_fillet_reaches_further_in_the_sharp_corner() -> None:
    """A fillet ends r / tan(a/2) from the corner: r tan 60 in a corner of 60 degrees, r tan 30 in one of 120
    (tangent length of an arc between two lines; any handbook of geometry)."""
    s = strut(
        "flat",
        {
            "identity": {"hand": "port"},
            "hull": {"deadrise": 0, "shaft_angle": {"to_waterline": 0}},
            "arms": {"stance": 30, "section": {"thickness": 30, "chord_at_palm": 140}},
        },
    )
    foot = shapes.arm_footprints(s, s.arms[0], [s.palms[0].thickness_mm])[0]
    toe = members.palm_toe(s, s.arms[0])
    sides = np.abs(toe[:, 0] - foot[:, 0].mean()) < 20
    port = toe[:, 1] > foot[:, 1].mean()
    # Its palm end lies to port, so below the palm the arm hangs over the starboard side: there the corner is sharp.
    assert foot[:, 1].min() - toe[sides & ~port, 1] == pytest.approx(8 * math.tan(math.radians(60)), abs=1e-6)
    assert toe[sides & port, 1] - foot[:, 1].max() == pytest.approx(8 * math.tan(math.radians(30)), abs=1e-6)
    leg = strut("vee")
    away = distance_to_polygon(
        members.palm_toe(leg, leg.arms[0]), shapes.arm_footprints(leg, leg.arms[0], [leg.palms[0].thickness_mm])[0]
    )
    assert away == pytest.approx(7.0, abs=0.2)  # the footprint is a polygon


def test_distance_to_a_polygon() -> None:
    """Against the outline's own exact distance, of the other sign."""
    corners = np.array([(0.0, 0.0), (40.0, -5.0), (60.0, 30.0), (25.0, 18.0), (-10.0, 33.0)])
    points = np.random.default_rng(7).uniform(-40, 90, (200, 2))
    want = -polygon([tuple(c) for c in corners]).distance_to_boundary(points)
    assert distance_to_polygon(points, corners) == pytest.approx(want, abs=1e-9)


def test_room_above_a_screw_by_steps() -> None:
    """The run to the hull found by walking until above the plane (follows from geometry)."""
    s = strut("single", {"hull": {"drop": {"square_to_shaft": 250}}})
    plane, out = s.palms[0].plane, frames.radial(-60.0)
    start = np.array([-90.0, 0.0, 0.0]) + s.barrel.outside_mm / 2 * out
    screw = replace(s.set_screws[0], clock_deg=-60.0, station_mm=s.barrel.length_mm / 2 - 90.0)
    t = np.arange(0.0, 2000.0, 0.01)
    p = start + t[:, None] * out
    above = p[:, 2] > plane.drop_mm - p[:, 0] * math.tan(math.radians(plane.pitch_deg)) + p[:, 1] * math.tan(
        math.radians(plane.tilt_deg)
    )
    assert run_to_hull_mm(Struts.of(s), screw, 0.0) == pytest.approx(float(t[above][0]), abs=0.02)


def test_both_hands_give_the_same_verdicts() -> None:
    """A mirror image has the same distances; only names and signs change (follows from geometry)."""
    for variant in trial.VARIANTS:
        s = strut(variant)
        assert numbers(geometry_checks(s)) == numbers(geometry_checks(mirrored(s)))


def numbers(findings: list[Finding]) -> list[tuple[Any, ...]]:
    return sorted((f.code, f.verdict.value, str(round(f.actual, 6) + 0.0), str(round(f.demanded, 6))) for f in findings)


def test_shipped_sets_have_no_failures() -> None:
    """The shipped sets are made to pass."""
    for name, path in loader.shipped().items():
        if not name.startswith("failing/"):
            found = geometry_checks(resolve(loader.load(path)).strut)
            assert worst(found) is not FAIL, [f.what for f in found if f.fails]


def test_wall_over_a_relief_under_a_fairing() -> None:
    """Geometry: a taper from 68 to 56 over 40 mm stands 34 - 6 (40 - 6) / 40 = 28.9 mm out 6 mm from the face."""
    base = resolve(loader.load(loader.shipped()["harbour-launch"])).strut
    length = base.barrel.length_mm
    barrel = replace(
        base.barrel,
        outside_mm=68.0,
        forward_end=BarrelEnd(shape="tapered", length_mm=40.0, end_diameter_mm=56.0),
        steps=(BoreStep(kind="relief", from_station_mm=length - 26.0, to_station_mm=length - 6.0, diameter_mm=56.8),),
    )
    found = [
        f
        for f in of_code(geometry_checks(replace(base, barrel=barrel)), "barrel_end_wall")
        if "under the fairing" in f.what
    ]
    assert [f.actual for f in found] == [pytest.approx(28.9 - 28.4)]
    assert found[0].verdict is not Verdict.OK
