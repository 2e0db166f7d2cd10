"""A flanged housing on its fasteners: wood screws by a published table, the tipped flange by cells, each check seen to
hold and to break."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from checks_support import merged
from palm_support import bolt_tensions_contact
from support import HOUSINGS, resolved

from strutwright.models import flange_hold
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.strength import flange as strength
from strutwright.models.checks.strength import load_cases
from strutwright.models.finding import Finding, Verdict
from strutwright.models.formulas import flange as rules
from strutwright.models.hull_bed import bed_n_mm3
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params import limits, strict_yaml
from strutwright.params.loader import loads, shipped
from tests.plates import contact

INCH_MM, POUND_N = 25.4, 4.4482216


@pytest.mark.parametrize(
    ("gravity", "inches", "pounds"), [(0.50, 0.25, 225), (0.50, 0.5, 378), (0.67, 0.375, 473), (0.42, 0.75, 395)]
)
def test_the_pull_of_a_lag_screw_by_the_design_values_of_timber(gravity: float, inches: float, pounds: int) -> None:
    """NDS table 12.2A, lb for an inch of thread (from memory): W = 1800 G^1.5 D^0.75, the mean of tests over 4.5; that
    mean in inches by the Wood Handbook, 8100 G^1.5 D^0.75."""
    mean = float(rules.lag_withdrawal_n(1000.0 * gravity, inches * INCH_MM, INCH_MM)) / POUND_N
    assert mean == pytest.approx(8100.0 * gravity**1.5 * inches**0.75, rel=0.005)
    assert mean / limits.standard()["lag_safety"].value == pytest.approx(pounds, rel=0.006)


@pytest.mark.parametrize("name", HOUSINGS)
@pytest.mark.parametrize("soft", [True, False])
def test_a_tipped_flange_pulls_no_harder_in_cells_on_a_bed(name: str, soft: bool) -> None:
    """A rigid plate of cells that push only, on springs that pull only, tipped every way; the pull by the worse of the
    edges both ways at once covers it, and is no more than twice as much."""
    inputs = Inputs.from_strut(resolved(name).strut)
    _, plate = flange_hold.own(inputs)
    outline = resolved(name).strut.plates[0].outline.polyline(1.0)
    holes = np.array(flange_hold.holes_of(plate), dtype=float)
    bed = bed_n_mm3(inputs, plate)[0 if soft else 1]
    spring = float(flange_hold.fastener_spring_n_mm(inputs, bed))
    tips = flange_hold.tippings(inputs, soft)
    along, across = (max(float(p) for t in pair for p in t.pulls) for pair in (tips[:2], tips[2:]))
    taken, moment = math.hypot(along, across), 1e6
    worst = 0.0
    for angle in np.radians(np.arange(0.0, 360.0, 22.5)):
        mu, mv = moment * math.cos(angle), moment * math.sin(angle)
        cells = bolt_tensions_contact(holes, outline, 0.0, mu, mv, spring, float(bed), across=24)
        worst = max(worst, float(cells.tension_n.max()) / moment)
    assert 0.97 * worst <= taken <= 2.0 * worst


def changed(name: str, change: dict[str, Any]) -> dict[str, Finding]:
    data = merged(strict_yaml.read_file(shipped()[name]).data, change)
    return {f.code: f for f in engineering_findings(resolve(loads(json.dumps(data))).strut)}


@pytest.mark.parametrize(
    ("name", "code", "change", "how"),
    [
        ("deadwood-cutter", "flange_bolts", {"bolts": {"engaged": 45}}, Verdict.FAIL),
        ("deadwood-cutter", "flange_bolts", {"base": {"density": 420}}, Verdict.FAIL),
        ("deadwood-cutter", "flange_bending", {"flange": {"thickness": 8}, "propeller": {"mass": 30}}, Verdict.FAIL),
        ("deadwood-cutter", "barrel_at_flange", {"barrel": {"slots": {"width": 25, "length": 25}}}, Verdict.FAIL),
        ("tube-end-pair", "weld_flange", {"flange": {"weld_leg": 2}}, Verdict.FAIL),
        ("deadwood-cutter", "flange_pressing", {"propeller": {"mass": 60}}, Verdict.WARN),
        ("deadwood-cutter", "fastener_engaged", {"bolts": {"engaged": 35}}, Verdict.FAIL),
        ("deadwood-cutter", "base_deep_enough", {"base": {"thickness": 95}}, Verdict.WARN),
    ],
)
def test_a_check_of_the_flange_holds_and_breaks(name: str, code: str, change: dict[str, Any], how: Verdict) -> None:
    assert changed(name, {})[code].verdict is Verdict.OK
    found = changed(name, change)[code]
    assert found.verdict is how
    assert found.advice


def test_what_a_lag_screw_may_have_is_told() -> None:
    """125.4 x 0.66^1.5 x 10^0.75 x 90 = 34 030 N, over 4.5, times 0.7 wet; in end grain three quarters of it."""
    found = changed("deadwood-cutter", {})["lag_holds"]
    assert found.actual == pytest.approx(34030.0 / 4.5 * 0.7, rel=1e-3)
    along = changed("deadwood-cutter", {"base": {"grain": "along"}})["lag_holds"]
    assert along.actual == pytest.approx(0.75 * found.actual)


@pytest.mark.parametrize("thick", [3.0, 6.0])
def test_a_flange_that_is_drawn_off_presses_no_harder_in_plate_elements(thick: float) -> None:
    """Thin plate elements with contact; the root as a square in its circle, which frees more of the plate."""
    inputs = Inputs.from_strut(resolved("deadwood-cutter").strut)
    inputs = replace(inputs, palms=tuple(replace(p, thickness_mm=thick) for p in inputs.palms))
    _, plate = flange_hold.own(inputs)
    half = float(flange_hold.root_radius_mm(inputs)) / math.sqrt(2.0)
    holes = np.array(flange_hold.holes_of(plate), dtype=float)
    bed = float(bed_n_mm3(inputs, plate)[1])
    bends = inputs.strut.modulus_mpa * thick**3 / 12.0
    made = contact.Plate(
        resolved("deadwood-cutter").strut.plates[0].outline.polyline(1.0),
        [(-half, half, -half, half)],
        holes,
        float(flange_hold.grip_spring_n_mm(inputs)),
        bed,
        bends / (1.0 - 0.3**2),
    )
    said = strength._pries_mpa(inputs) / len(holes)
    assert 0.0 < made.pressure_mpa(1.0, 0.0, 0.0) <= said


def test_what_presses_along_the_shaft_counts_on_the_flange_alone() -> None:
    """Pulses fore and aft over the face less the bore of its base, worked by hand; of a flange too thick to pry."""
    inputs = Inputs.from_strut(resolved("deadwood-cutter").strut)
    inputs = replace(inputs, palms=tuple(replace(p, thickness_mm=500.0) for p in inputs.palms))
    flange, plate = flange_hold.own(inputs)
    known = dict.fromkeys(load_cases.amplitudes(inputs), 0.0) | {"blade_rate": 1000.0}
    pressed = [
        float(strength._pressing(inputs, replace(case, load_factor=1.0), known).demand)
        for case in load_cases.cases(inputs)
    ]
    assert max(pressed) == pytest.approx(1000.0 / (plate.area_mm2 - math.pi / 4.0 * flange.base_bore_mm**2))
