"""What fails and what warns: loss of function or safety against practice, sealing and memory."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import regenerate
from strength_support import inputs_of, with_arm

from strutwright.models.checks.engineering import CHECKS, engineering_findings
from strutwright.models.checks.geometry import palm as palm_checks
from strutwright.models.checks.strength import arms, bolts, shaft
from strutwright.models.edge_rules import EDGE_RULES
from strutwright.models.finding import Finding, Verdict
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.params import limits
from strutwright.params.loader import load, shipped
from strutwright.params.schema import Bolts

README = Path(__file__).resolve().parents[2] / "README.md"


def strut_of(name: str) -> Strut:
    return resolve(load(shipped()[name])).strut


def found_of(code: str, name: str, inputs: Inputs, module: object) -> list[Finding]:
    return [f for f in module.findings(strut_of(name), inputs, module.numbers(inputs)) if f.code == code]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("share", "rule", "hard"), [(1.01, "ok", "ok"), (0.6, "warning", "ok"), (0.34, "warning", "failure")]
)
def test_an_arm_far_under_the_rule_fails(share: float, rule: str, hard: str) -> None:
    """0.018 d^4 for a single arm (class-type formula, from memory): a little less warns, half of it fails."""
    base = inputs_of("canal-tender")
    flat = with_arm(base, shape="flat")
    need = 0.018 * float(base.shaft_mm) ** 4
    # A bar c t^3 / 12 with sharp edges, the chord as it is.
    chord = float(flat.arms[0].chord_barrel_mm)
    thick = (12.0 * share * need / chord) ** (1.0 / 3.0)
    made = with_arm(flat, thickness_barrel_mm=thick, thickness_palm_mm=thick, edge_radius_mm=0.0)
    found = {f.code: f for f in arms.findings(strut_of("canal-tender"), made, arms.numbers(made))}
    assert found["arm_inertia"].actual == pytest.approx(share * need, rel=1e-6)
    assert found["arm_inertia"].verdict.value == rule
    assert found["arm_inertia_hard"].verdict.value == hard


@pytest.mark.parametrize(
    ("share", "rule", "hard"), [(1.01, "ok", "ok"), (0.6, "warning", "ok"), (0.45, "warning", "failure")]
)
def test_an_arm_far_too_weak_for_the_rule_fails(share: float, rule: str, hard: str) -> None:
    base = with_arm(inputs_of("canal-tender"), shape="flat", edge_radius_mm=0.0)
    need = float(arms.numbers(base)["arm_modulus"].demand)
    thick = (6.0 * share * need / float(base.arms[0].chord_barrel_mm)) ** 0.5
    made = with_arm(base, thickness_barrel_mm=thick, thickness_palm_mm=thick)
    found = {f.code: f for f in arms.findings(strut_of("canal-tender"), made, arms.numbers(made))}
    assert found["arm_modulus"].verdict.value == rule
    assert found["arm_modulus_hard"].verdict.value == hard


def test_a_rule_for_ships_is_a_comparison_for_a_boat_and_a_limit_for_a_ship() -> None:
    """IACS UR M68 (from memory) is for ships: under 24 m it holds nobody to it."""
    boat = inputs_of("harbour-launch")
    told = found_of("shaft_by_class", "harbour-launch", boat, shaft)[0]
    assert told.verdict is Verdict.INFORMATION
    assert told.actual == pytest.approx(float(shaft.numbers(boat)["shaft_by_class"].demand))
    assert told.actual > float(boat.shaft_mm)  # which is no fault of a launch
    assert not told.calls
    ship = found_of("shaft_by_class", "harbour-launch", replace(boat, waterline_m=30.0), shaft)[0]
    assert ship.verdict is Verdict.WARN


def test_a_shaft_beyond_its_yield_fails() -> None:
    boat = inputs_of("harbour-launch")
    assert found_of("shaft_stress", "harbour-launch", boat, shaft)[0].verdict is Verdict.OK
    strong = replace(boat, power_kw=40.0 * float(boat.power_kw))
    assert found_of("shaft_stress", "harbour-launch", strong, shaft)[0].verdict is Verdict.FAIL


PRACTICE = ("rim_to_edge", "screw_bearing_end", "screw_barrel_end", "bolt_edge_light_craft", "bolt_pitch_light_craft")
LOST = ("barrel_wall_hard", "clearance_floor", "countersink_land", "bolt_count", "barrel_to_hull", "weld_lean")


def test_practice_and_sealing_warn_and_loss_fails() -> None:
    table = limits.standard()
    assert {table[name].breach for name in (*PRACTICE, "bolt_edge_practice", "palm_tilt_single")} == {"warning"}
    assert {table[name].breach for name in LOST} == {"failure"}


@pytest.mark.parametrize("code", ["bolt_bearing", "bolt_tear_out", "head_through_palm"])
def test_a_palm_that_its_bolts_tear_out_of_fails(code: str) -> None:
    """A strut that tears off its bolts is lost, whether bolt or palm gives: EN 1993-1-8 Table 3.4, AISC 360 J3.10."""
    name = "work-launch-vee"  # heads in counterbores, which pull through the land under them
    one = inputs_of(name)
    assert found_of(code, name, one, bolts)[0].verdict is Verdict.OK
    thin = float(one.bolt_head_depth_mm) + 0.001
    weak = replace(one, palms=tuple(replace(p, thickness_mm=thin) for p in one.palms))
    assert found_of(code, name, weak, bolts)[0].verdict is Verdict.FAIL


def test_low_confidence_never_fails() -> None:
    """Of every shipped set, the failing ones too."""
    assert not [
        row.name for row in limits.standard().values() if row.standing == "low confidence" and row.breach == "failure"
    ]
    for name in shipped():
        if name == "failing/many-faults":
            continue
        for f in engineering_findings(strut_of(name)):
            assert f.standing.value != "low confidence; decides nothing" or f.verdict in (
                Verdict.HINT,
                Verdict.INFORMATION,
            )


def test_no_sane_set_is_told_off_by_a_rule_that_all_of_them_break() -> None:
    """No check's limit is broken by every shipped set that it looks at, hints included, where it looks at four or
    more."""
    asked: dict[str, list[bool]] = {}
    for name in (n for n in shipped() if not n.startswith("failing/")):
        with np.errstate(all="ignore"):
            for f in engineering_findings(strut_of(name)):
                if np.isfinite(f.utilisation):
                    asked.setdefault(f.code, []).append(f.utilisation > 1.0)
    assert not [code for code, broken in asked.items() if len(broken) >= 4 and all(broken)]
    assert "arm_stress_rule" not in CHECKS  # the stress of a ship's rule held against another load than that rule's


# --- edges of palms ---------------------------------------------------------------------------------------------------


def test_bolts_of_a_palm_are_held_to_practice_and_told_of_the_standards() -> None:
    # 1.5 d by practice; EN 1993-1-8 Table 3.3: 1.2 d0; AISC 360 Table J3.4: 1.25 to 1.5 d by size, 1.5 d under it
    assert Bolts.model_fields["edge_rule"].default == "practice"
    strut = strut_of("harbour-launch")  # M12 in holes of 13.5
    assert strut.edge_rule == "practice"
    assert palm_checks.edge_rule(strut, limits.standard()) == ("bolt_edge_practice", 1.5 * strut.palms[0].bolt.major_mm)
    bolt = strut.palms[0].bolt
    asked = {
        name: EDGE_RULES[name].edge_mm(bolt.size, bolt.major_mm, bolt.hole_mm, limits.standard())[1]
        for name in ("ec3", "aisc", "light_craft")
    }
    assert asked == {"ec3": pytest.approx(16.2), "aisc": pytest.approx(18.0), "light_craft": pytest.approx(20.4)}
    words = str(palm_checks._other_rules(strut, limits.standard()))
    assert words == "EN 1993-1-8 16.2 mm, AISC 360 18 mm"


# --- README -----------------------------------------------------------------------------------------------------------


def test_the_table_of_what_fails_is_that_of_the_limits_and_checks() -> None:
    text = README.read_text(encoding="utf-8")
    between = text.partition(regenerate.FAILS[0])[2].partition(regenerate.FAILS[1])[0]
    assert between == regenerate.fails_table(), "python -m tests.regenerate readme"
    rows = [line for line in between.splitlines() if line.startswith("| `")]
    # Every check of the engineering that fails is in it, every failing limit of the geometry too.
    assert all(
        f"`{code}`" in between for code in ("arm_inertia_hard", "shaft_stress", "weld_lean_palm", "clearance_pressed")
    )
    assert not any("`rim_to_edge`" in row for row in rows)
