"""Each check breaks where it should and holds where it should; its figures against rules.

The source and the standing of a figure stand beside it: published, common practice, from memory, calculated.
"""

from __future__ import annotations

import functools
import math
from dataclasses import replace
from typing import Any

import checks_support as trial
import pytest
from checks_broken import BREAKS
from checks_support import Said, of_code, strut, verdict
from support import SETS, own_limits

from strutwright.models.checks import CHECKS, OF_FAMILY, geometry_checks, geometry_of_many, said_findings
from strutwright.models.checks.results import Results
from strutwright.models.finding import FAILS, WARNS, WITHIN, Finding, Standing, Verdict, worst
from strutwright.models.resolve import resolve
from strutwright.models.spec import BarrelEnd, BoreStep, Strut, mirrored
from strutwright.models.struts import Struts
from strutwright.params import limits, loader
from strutwright.params.problems import ParameterError
from strutwright.params.words import say

WARN, FAIL, OK, TOLD, NOT_CHECKED = Verdict.WARN, Verdict.FAIL, Verdict.OK, Verdict.INFORMATION, Verdict.NOT_CHECKED


@functools.cache
def _unchanged(variant: str) -> list[Finding]:
    return geometry_checks(strut(variant))


def found_of(code: str, of: Strut) -> list[Finding]:
    """Return what a check finds; of the modules only its own is asked."""
    out, modules = Results.of(of), OF_FAMILY[of.family]
    # What a flange is held to as a palm is, its own module asks.
    own = [m for m in modules if CHECKS[code] in m.CHECKS] or [modules[-2]]
    out.run(own[0].check, own[0].CHECKS)
    return of_code(out.findings, code)


@pytest.mark.parametrize(
    ("code", "variant", "change", "how"), BREAKS, ids=[f"{c}-{v}-{h.name}-{i}" for i, (c, v, _, h) in enumerate(BREAKS)]
)
def test_a_check_holds_and_breaks(code: str, variant: str, change: Said, how: Verdict) -> None:
    """The unchanged strut passes the check, the changed one does not, and is told what to change."""
    assert verdict(_unchanged(variant), code) is OK
    found = found_of(code, strut(variant, change))
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
    own |= {"edges_to_confirm", "screw_access"}  # told, never broken
    assert {c for c, *_ in BREAKS} | own == set(CHECKS)


@pytest.mark.parametrize("variant", sorted((*trial.VARIANTS, *trial.HOUSINGS, *trial.SHOES, *trial.HANGERS)))
def test_findings_are_what_the_registry_says(variant: str) -> None:
    """Every finding has a known code and group, a source where it has a limit, and advice only when it is needed."""
    rows = limits.standard()
    for f in geometry_checks(strut(variant)):
        check = CHECKS[f.code]
        assert f.group == check.group
        assert (f.advice == "") == (f.verdict is OK)
        named = {str(say(rows[n].source)) for n in check.limits} | {"follows from geometry"}
        assert f.verdict is TOLD or str(f.source) in named or f.limit_is == "text"


def test_the_registry_names_limits_that_are_there() -> None:
    """Each check's limits are in the table; that those of the engineering move findings: test_limits_move_findings."""
    assert {name for c in CHECKS.values() for name in c.limits} <= set(limits.standard())


@pytest.mark.parametrize("variant", ["single", *trial.HOUSINGS, *trial.SHOES, *trial.HANGERS])
def test_single_strut_and_housings_pass_whole(variant: str) -> None:
    assert worst(geometry_checks(strut(variant))) is OK


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
    """A bearing's size list was found nowhere: what the table supplies is told, to be measured (values from memory)."""
    assert not said_findings(trial.read(trial.said()))
    short = said_findings(trial.read(trial.said("single", {"bearing": {"shell": None}})))
    assert [(f.parameter, f.verdict) for f in short] == [("bearing.shell", TOLD)]


@pytest.mark.parametrize(
    ("hand", "deadrise", "verdicts"),
    [("port", None, [WARN]), ("pair", None, [WARN]), ("starboard", 0, []), ("centre", None, [])],
)
def test_a_deadrise_that_nobody_gave_is_asked_for(hand: str, deadrise: float | None, verdicts: list[Verdict]) -> None:
    """Beside the keel of a V bottom, a palm made flat athwart does not lie on the hull."""
    said = trial.said("single", {"identity": {"hand": hand}, "hull": {"deadrise": deadrise}})
    found = [f for f in said_findings(trial.read(said)) if f.code == "deadrise_to_confirm"]
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
    own = own_limits("barrel_wall: 0.33\n")
    f = of_code(geometry_checks(strut(), own), "barrel_wall")[0]
    assert (f.verdict, f.demanded, f.standing) == (WARN, 16.5, Standing.PRACTICE)  # BV: 16.5 at d = 50 (from memory)
    assert "user" in f.source
    assert limits.standard()["barrel_wall"].value == 0.25


@pytest.mark.parametrize(
    ("wall_mm", "weak", "how", "level"),
    [
        (11, ("barrel_wall",), Verdict.HINT, WITHIN),
        (9, ("barrel_wall",), FAIL, FAILS),  # the hard limit stands
        (9, ("barrel_wall", "barrel_wall_hard"), Verdict.HINT, WITHIN),
        (11, ("barrel_wall_hard",), WARN, WARNS),
    ],
)
def test_a_limit_of_low_confidence_only_hints(wall_mm: int, weak: tuple[str, ...], how: Verdict, level: int) -> None:
    """A shaft of 50 mm asks a wall of 12.5, never under 10 (from memory), where these limits may decide."""
    rows = dict(limits.standard())
    rows |= {name: replace(rows[name], standing="low confidence") for name in weak}
    one = strut("single", {"barrel": {"outside_diameter": 70 + 2 * wall_mm}})
    assert of_code(geometry_checks(one, rows), "barrel_wall")[0].verdict is how
    many = geometry_of_many(Struts.of(one), rows)["barrel_wall"]
    assert int(many.level) == level
    assert math.isnan(float(many.utilisation)) == (level == WITHIN)


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
        own_limits(text, "mine.yaml")
    assert caught.value.problems[0].line >= 1
    assert "barrel_wal" in str(caught.value)


def test_length_of_a_bearing_by_the_rule_that_was_read() -> None:
    """ABS Steel Vessels 2017 4-3-2/5.15.1 (typed copy): four diameters, for rubber proved by tests two."""
    rows = [limits.standard()[name] for name in ("bearing_length", "bearing_length_hard")]
    assert [35.0 * row.value for row in rows] == [140.0, 70.0]
    assert {row.standing for row in rows} == {"published"}


def test_limits_from_memory_warn_but_for_the_outermost() -> None:
    """Only these limits without a source stop a strut: beyond them ordinary practice does not go."""
    hard = {n for n, row in limits.standard().items() if row.standing == "from memory" and row.breach == "failure"}
    assert hard == {
        "barrel_wall_hard",
        "vee_angle_hard",
        "weld_lean",
        "palm_pitch_least",
        "palm_pitch_hard",
        "arm_modulus_hard",
        "arm_inertia_hard",
        # what a lag screw may have for long hangs on these, and a housing hangs on its screws
        *("lag_safety", "lag_wet", "lag_end_grain", "engaged_timber"),
    }


def test_both_hands_give_the_same_verdicts() -> None:
    """A mirror image has the same distances; only names and signs change (follows from geometry)."""
    for variant in (*trial.VARIANTS, *trial.HOUSINGS, *trial.SHOES, *trial.HANGERS):
        s = strut(variant)
        assert numbers(geometry_checks(s)) == numbers(geometry_checks(mirrored(s)))


def numbers(findings: list[Finding]) -> list[tuple[Any, ...]]:
    return sorted((f.code, f.verdict.value, str(round(f.actual, 6) + 0.0), str(round(f.demanded, 6))) for f in findings)


def test_shipped_sets_have_no_failures() -> None:
    """The shipped sets are made to pass."""
    for name in SETS:
        found = geometry_checks(resolve(loader.load(loader.shipped()[name])).strut)
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
