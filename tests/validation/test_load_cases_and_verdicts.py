"""Load cases of a file's own, their table, and the verdicts of strength on whole struts.

Each check names its source and standing: published, from memory, calculated outside the project, reference library.
"""

from __future__ import annotations

import argparse
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from support import SETS

from strutwright import stress_command
from strutwright.models.checks.engineering import CHECKS, engineering_findings
from strutwright.models.checks.strength import (
    arms,
    bolts,
    flange,
    grounding,
    hanger,
    let_in,
    load_cases,
    load_table,
    palm,
    shoe,
    skeg,
    welds,
)
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.models.input_parts import ArmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params.loader import load, loads, shipped
from strutwright.params.schema_boat import LoadCase, Loads

MODULES: tuple[Any, ...] = (arms, bolts, palm, welds, grounding, skeg)
OWN = Loads(
    cases=[
        LoadCase.model_validate(
            {"name": "tow", "terms": [{"source": "force", "force": "3 kN", "clock": 90}]}, context={"units": "mm"}
        ),
        LoadCase.model_validate(
            {
                "name": "ice",
                "allowed_of_yield": 0.8,
                "terms": [{"source": "weight", "factor": 3}, {"source": "force", "force": "500 N"}],
            },
            context={"units": "mm"},
        ),
    ]
)


def test_the_help_of_stress_lists_all_cases() -> None:
    """It starts too fast to look at the table itself."""
    command = argparse.ArgumentParser(formatter_class=lambda prog: argparse.HelpFormatter(prog, width=1000))
    stress_command.add_arguments(command)
    words = command.format_help().partition("load case: ")[2].partition(", or the name")[0]
    listed = words.replace(" (default)", "").split(", ")
    by_the_barrel = (c for c in load_cases.ACCIDENTS if not c.key.startswith("skeg"))
    assert listed == [case.key for case in (*load_cases.BUILT_IN, *by_the_barrel)]


def test_own_case_at_a_clock(launch: Inputs) -> None:
    # 3 kN to port on the launch's arm, bending alone by hand: M / S at the palm and at the barrel, the greater; shear
    # is a few per cent on top
    one = replace(launch, own_cases=tuple(OWN.cases))
    out = arms.by_case(one)["own_1"]
    arm: ArmInputs = one.arms[0]
    bend = max(
        3000.0 * float(s) / float(arm.section_at(s).sxx_mm3)
        for s in np.linspace(float(arm.start_mm), float(arm.water_mm), 3)
    )
    assert out.demand == pytest.approx(bend, rel=0.02)
    assert out.capacity == 0.5 * 240.0


def test_table_of_load_cases() -> None:
    strut = resolve(load(shipped()["harbour-launch"])).strut
    rows = load_table.load_table(strut, OWN)
    assert all(tuple(r) == load_table.COLUMNS for r in rows)
    assert [r["case"] for r in rows][-4:-2] == ["tow", "ice"]
    tow, ice = rows[-4], rows[-3]
    assert tow["across the shaft N"] == 3000.0
    assert tow["loads"] == "force at clock 90"
    assert ice["share of yield allowed"] == 0.8
    weight = rows[0]["across the shaft N"]
    assert ice["across the shaft N"] == pytest.approx(1.5 * weight + 500.0, abs=0.2)
    seized = next(r for r in rows if r["case"].startswith("shaft seized"))
    assert seized["about the shaft N m"] == pytest.approx(9549.3 * 40.0 / 1300.0, abs=0.1)  # P / n, textbook


SHORT = """
identity: {name: Short, hand: centre}
construction: cast
materials: {strut: C95800}
shaft: {diameter: 35}
arms: {arrangement: single, section: {shape: foil, chord: 95, thickness: 20}}
palm: {thickness: 14, outline: {shape: rectangle, length: 210, width: 110, corner_radius: 20}}
bolts: {size: M12, pattern: {kind: grid, along: 3, across: 2, pitch_along: 82, pitch_across: 74}}
hull: {shaft_angle: {to_waterline: 9 deg}, run: 0, drop: {square_to_shaft: 300}}
"""


def own_findings(text: str) -> list[Finding]:
    made = resolve(loads(text, "short"))
    codes = {n.code for m in MODULES for n in m.CHECKS} | {"load_assumed", "bolt_length"}
    return [f for f in engineering_findings(made.strut, made.said.loads) if f.code in codes]


def test_what_the_file_does_not_say_is_not_checked_and_named() -> None:
    found = own_findings(SHORT)
    assert {f.verdict for f in found} == {Verdict.OK, Verdict.HINT, Verdict.INFORMATION, Verdict.NOT_CHECKED}
    said = {f.code: f for f in found}
    assert said["arm_stress_weight"].verdict is Verdict.NOT_CHECKED
    assert said["arm_stress_weight"].missing == ("propeller.mass",)
    assert said["arm_stress_weight"].parameter == "propeller.mass"
    assert "duty.power" in said["arm_stress_seized"].what
    assert said["bolt_length"].missing == ("hull.thickness",)
    # what needs no more than sizes is answered
    assert said["palm_bolts_side_hinge"].verdict is Verdict.OK


def test_a_weak_strut_is_told_what_to_change() -> None:
    thin = SHORT.replace("thickness: 20", "thickness: 8").replace("bolts: {size: M12", "bolts: {size: M6")
    said = {f.code: f for f in own_findings(thin)}
    assert said["arm_modulus"].verdict is Verdict.WARN  # a class formula from memory warns
    assert said["arm_modulus"].standing is Standing.MEMORY
    assert "arms.section.thickness" in said["arm_modulus"].advice


GOVERNS = {
    "strut": ("arm_stress_", "palm_bolts_", "palm_bending_"),
    "flanged_housing": ("flange_bolts", "flange_bending", "barrel_at_flange"),
    "let_in_housing": ("let_in_turning",),
    "rudder_shoe": ("shoe_stress", "shoe_bolts"),
    "shaft_hanger": ("web_stress", "foot_bolts"),
}
"""What carries the loads of each kind of part, by how its checks begin."""


@pytest.mark.parametrize("name", SETS)
def test_shipped_sets_are_believable(name: str) -> None:
    """Nothing of low confidence passes or fails; no shipped strut fails, and none is used a hundredth or ten times over
    where it governs. The shipped sets are ordinary proportions of the trade (common practice).
    """
    made = resolve(load(shipped()[name]))
    codes = {n.code: n for m in (*MODULES, flange, let_in, shoe, hanger) for n in m.CHECKS}
    found = [f for f in engineering_findings(made.strut, made.said.loads) if f.code in codes]
    for f in found:
        held = math.isfinite(f.demanded)
        assert (f.verdict is Verdict.INFORMATION) is not held, f.code  # a plain figure, or words
        assert (f.verdict is Verdict.HINT) is (held and f.standing is Standing.LOW), f.code
    assert not [f.code for f in found if f.verdict is Verdict.FAIL]
    for prefix in GOVERNS[made.strut.family]:
        used = max(f.utilisation for f in found if f.code.startswith(prefix) and f.verdict is not Verdict.HINT)
        assert 0.02 < used < 1.0, prefix
    assert {c for f in found for c in (f.code,)} <= set(CHECKS)
