"""Tolerances from hull to shaft against sums by hand, an exact distribution and plain trigonometry.

The chain is worked by hand: a palm of 210 mm, the next bearing 1100 mm on, a bearing of 140 mm. Spreads of the laws are
those of the Guide to uncertainty (JCGM 100). The exact point is that of the characteristic functions, multiplied.
"""

from __future__ import annotations

import csv
import io
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from strength_support import inputs_of
from support import STRUTS, every, own_limits

from strutwright.cli import main
from strutwright.exporters.sheets.tolerances import palm_angle_tolerance_deg
from strutwright.exporters.web import tolerances as paper
from strutwright.models import tolerance_chain
from strutwright.models.arrays import Floats
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.finding import Finding, Verdict
from strutwright.models.formulas import tolerance_stack as rules
from strutwright.models.formulas.tolerance_stack import Chain, Deviation, Law, Tolerance
from strutwright.models.geometry.shapes import tip_clearance_mm
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.tolerance_answers import answers
from strutwright.params.loader import load, shipped

PALM, SPAN, BEARING = 210.0, 1100.0, 140.0
CHAIN = Chain(
    palm_length_mm=PALM, palm_width_mm=120.0, span_mm=SPAN, bearing_mm=BEARING, drop_mm=300.0, overhang_mm=100.0
)


BARE = replace(CHAIN, lean=0.0)
"""In which a bed turns the bore only: the chain by hand leaves out that it lowers the barrel too."""


def tol(of: Deviation, half: float, law: Law) -> Tolerance:
    return Tolerance(name=of, of=of, half=half, law=law)


UPRIGHT = [
    tol("pitch", 0.50, "uniform"),
    tol("aft_low", 0.15, "uniform"),
    tol("forward_low", 0.15, "uniform"),
    tol("along", 0.50, "triangular"),
    tol("drop", 0.50, "normal"),
    tol("next_up", 0.50, "normal"),
    tol("play_up", 0.06, "uniform"),
]
PER_MM = 1000.0 / PALM
ATHWART = [
    tol("yaw", 0.50, "uniform"),
    tol("yaw", 0.15 * PER_MM, "uniform"),
    tol("yaw", 0.15 * PER_MM, "uniform"),
    tol("yaw", 0.50 * PER_MM, "triangular"),
    tol("place", 0.50, "normal"),
    tol("next_port", 0.50, "normal"),
    tol("play_port", 0.06, "uniform"),
]
"""The same in the other plane."""


def test_the_chain_by_hand() -> None:
    """0.5 + 2 x 0.7143 + 2.3810 + 2 x 0.4545 + 0.4286 mrad; squares; standard deviations a/sqrt 3, a/sqrt 6, a/3."""
    each = rules.each_at_limit(BARE, UPRIGHT)
    assert rules.worst(each).vertical_mrad == pytest.approx(5.6472, abs=5e-5)
    assert rules.root_sum_square(each).vertical_mrad == pytest.approx(2.7452, abs=5e-5)
    assert rules.standard_deviation(each, UPRIGHT).vertical_mrad == pytest.approx(1.21467, abs=5e-6)
    by_hand = [0.0565, 0.1153, 0.1153, 0.6404, 0.0156, 0.0156, 0.0415]
    assert rules.shares(each, UPRIGHT) == pytest.approx(by_hand, abs=5e-5)


def exact_point(share: float) -> float:
    """The angle that so many struts are under, from the product of the characteristic functions."""
    at = np.linspace(1e-9, 60.0, 60_001)
    whole = np.ones_like(at)
    for t in UPRIGHT:
        a = abs(float(rules.moved(BARE, {t.of: t.half}).vertical_mrad))
        flat = np.sinc(at * a / np.pi)
        whole *= {
            "uniform": flat,
            "triangular": np.sinc(at * a / 2 / np.pi) ** 2,
            "normal": np.exp(-((at * a / 3) ** 2) / 2),
        }[t.law]
    low, high = 0.0, 6.0
    for _ in range(50):
        middle = (low + high) / 2.0
        under = 0.5 + float(np.trapezoid(whole * np.sin(at * middle) / at, at)) / np.pi
        low, high = (middle, high) if under < share else (low, middle)
    return low


def test_monte_carlo_against_the_exact_distribution() -> None:
    assert exact_point(0.975) == pytest.approx(2.35093, abs=2e-4)
    found = rules.monte_carlo(BARE, UPRIGHT, 0.75)
    assert found.sigma == pytest.approx(1.21467, rel=0.003)
    assert found.mean == pytest.approx(0.0, abs=0.004)
    assert found.vertical == pytest.approx(exact_point(0.975), rel=0.005)


@pytest.mark.parametrize(("law", "half", "point"), [("uniform", math.sqrt(3.0), 3.88), ("normal", 3.0, 3.92)])
def test_the_sum_of_four_against_the_guide(law: Law, half: float, point: float) -> None:
    """JCGM 101:2008, 9.2.2 and 9.2.3 (figures from memory): four quantities of standard deviation 1 add up to one of 2;
    95 % of it lies within 3.92 where all are normal, within 3.88 where all are rectangular."""
    metre = {f"{size}_mm": 1000.0 for size in ("palm_length", "palm_width", "span", "bearing")}
    chain = Chain(**metre, drop_mm=0.0, overhang_mm=0.0, lean=0.0)
    of: tuple[Deviation, ...] = ("pitch", "aft_low", "drop", "play_up")
    four = [tol(one, half, law) for one in of]
    each = rules.each_at_limit(chain, four)
    assert float(rules.standard_deviation(each, four).vertical_mrad) == pytest.approx(2.0)
    assert [float(s) for s in rules.shares(each, four)] == pytest.approx([0.25] * 4)
    sampled = rules.monte_carlo(chain, four, 1.0)
    assert sampled.sigma == pytest.approx(2.0, rel=3e-3)
    assert sampled.vertical == pytest.approx(point, abs=0.02)


def test_monte_carlo_of_both_planes() -> None:
    """Another million by plain trigonometry (below) and a separate program: median 1.468, 95 % 2.913, 99 % 3.494."""
    found = rules.monte_carlo(BARE, [*UPRIGHT, *ATHWART], 0.75)
    assert found.total[:2] == pytest.approx((1.468, 2.913), rel=0.005)
    assert found.total[3] == pytest.approx(3.494, rel=0.005)
    assert found.over == pytest.approx(0.838, abs=0.002)


def test_small_angles_add_as_arctangents_do() -> None:
    """The bore's direction by arctangents of seats and bearings, each plane, with other random numbers."""
    rng, n = np.random.default_rng(5), 200_000
    flat = {t.of: rng.uniform(-1, 1, n) * t.half for t in UPRIGHT if t.law == "uniform"}
    along = rng.triangular(-0.5, 0.0, 0.5, n)
    drop, up = rng.normal(0.0, 0.5 / 3, (2, n))
    angle = (
        flat["pitch"] / 1000
        + np.arctan((flat["aft_low"] - flat["forward_low"] + along) / PALM)
        - np.arctan((drop + up) / SPAN)
        + np.arctan(flat["play_up"] / BEARING)
    )
    found = rules.moved(BARE, {**flat, "along": along, "drop": drop, "next_up": up})
    assert np.abs(1000 * angle - found.vertical_mrad).max() < 1e-4
    assert 1000 * angle.std() == pytest.approx(1.21467, rel=0.01)


def test_tips_and_sideways_by_hand() -> None:
    """1 mm less drop at the bearing, the next one fixed: 1 + 100 / 1100 at the propeller; 2 mm more diameter: 1 mm."""
    assert rules.moved(CHAIN, {"drop": -1.0}).tip_mm == pytest.approx(-12.0 / 11.0)
    assert rules.moved(CHAIN, {"diameter": 2.0}).tip_mm == -1.0
    leaning = replace(CHAIN, lean=0.5)
    assert rules.moved(leaning, {"drop": -1.0}).tip_mm == pytest.approx(-6.0 / 11.0)
    # 1 mrad of roll over a drop of 300 puts the bore 0.3 mm aside.
    assert rules.moved(CHAIN, {"roll": 1.0}).athwart_mrad == pytest.approx(0.3 / 1.1)


def turned(about: Floats, angle: float) -> Floats:
    """Rodrigues' rotation."""
    x, y, z = about
    k = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.asarray(np.eye(3) + math.sin(angle) * k + (1.0 - math.cos(angle)) * (k @ k))


def turned_in_space(inputs: Inputs, by: dict[str, float]) -> tuple[float, float, float]:
    """Bore off the shaft (mrad, both planes) and tip to hull of a strut that is moved as a rigid body: its palm on a
    plane that deviates, the shaft from the next bearing through mid-barrel to a propeller that keeps its place along
    it."""
    palm, chain = inputs.palms[0], tolerance_chain.chain_of(inputs)
    u, v, n, zero = (np.array(a, dtype=float) for a in (palm.u, palm.v, palm.normal, palm.zero_mm))
    middle = zero + (palm.forward_mm + palm.aft_mm) / 2 * u + (palm.port_mm + palm.starboard_mm) / 2 * v
    d = {key: by.get(key, 0.0) for key in ("aft_low", "forward_low", "along", "port_low", "drop", "place", "next_up")}
    tilt = (d["aft_low"] - d["forward_low"] + d["along"]) / float(chain.palm_length_mm)
    turn = turned(u, -d["port_low"] / float(chain.palm_width_mm)) @ turned(v, -tilt)
    barrel = np.array([float(inputs.bearing_x_mm), 0.0, 0.0])
    following = barrel + np.array([float(chain.span_mm), 0.0, d["next_up"]])
    barrel = middle + turn @ (barrel - middle) - n * (d["aft_low"] + d["forward_low"]) / 2
    barrel = barrel + np.array([0.0, d["place"], -d["drop"]])
    bore, shaft = turn[:, 0], (following - barrel) / np.linalg.norm(following - barrel)
    hub = following - shaft * float(chain.span_mm + chain.overhang_mm)
    tip = (zero - hub) @ n - float(inputs.propeller_mm) / 2 * math.sqrt(1.0 - float(shaft @ n) ** 2)
    off = [1000.0 * (math.atan2(bore[k], bore[0]) - math.atan2(shaft[k], shaft[0])) for k in (2, 1)]
    return off[0], off[1], float(tip)


@pytest.mark.parametrize(
    "name", ["harbour-launch", "cutter-shoulder", "survey-launch", "day-cruiser", "work-launch-vee"]
)
def test_a_rigid_strut_turned_in_space(name: str) -> None:
    """Raked arms, palms off to a side, a bottom that rises to the shaft or leans: each deviation alone, 0.1 mm."""
    inputs = inputs_of(name)
    still = turned_in_space(inputs, {})
    chain, size = tolerance_chain.chain_of(inputs), 0.1
    assert float(tolerance_chain.tip_mm(inputs)) == pytest.approx(still[2], abs=1e-6)
    for of in ("aft_low", "forward_low", "along", "port_low", "drop", "place", "next_up"):
        moved = [(a - b) / size for a, b in zip(turned_in_space(inputs, {of: size}), still, strict=True)]
        found = rules.moved(chain, {of: 1.0})  # type: ignore[dict-item]
        assert float(found.total_mrad) == pytest.approx(math.hypot(*moved[:2]), rel=0.02)
        assert float(found.tip_mm) == pytest.approx(moved[2], abs=0.045)


def test_a_palm_askew_under_a_steep_shaft_turns_the_bore_more_than_it_moves_it() -> None:
    """20 degrees, the next bearing far off: sin 20 - 300 / 2000 of 1000 / 120 mrad a millimetre, not 300 / 2000."""
    steep = replace(CHAIN, span_mm=2000.0, rise=math.sin(math.radians(20.0)))
    found = rules.moved(steep, {"across": 1.0}).athwart_mrad
    assert found == pytest.approx((math.sin(math.radians(20.0)) - 0.15) * 1000 / 120.0)


def test_of_a_pair_of_vees_the_hull_beside_the_keel_counts() -> None:
    """Both palms lie on one side of the keel, 15 degrees up: the blades are as near to it as the check of the clearance
    has it, 129.3 mm, not as to a flat bottom, 147.6."""
    pair = resolve(load(shipped()["patrol-vee-pair"])).strut
    assert float(tolerance_chain.tip_mm(Inputs.from_strut(pair))) == pytest.approx(129.30, abs=0.01)
    assert found("patrol-vee-pair", "in_place")["stack_tip"].actual < 127.0  # type: ignore[operator]


def test_the_same_numbers_come_out_each_time() -> None:
    one, two = (rules.monte_carlo(CHAIN, UPRIGHT, 0.75, count=60_000) for _ in range(2))
    assert one == two


# --- of whole struts -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", every(STRUTS, 3))
def test_the_tolerances_are_those_of_the_sheets(name: str) -> None:
    strut = resolve(load(shipped()[name])).strut
    made = {t.name: t for t in tolerance_chain.tolerances_of(inputs_of(name))}
    assert made["palm's pitch to the bore"].half == pytest.approx(1000 * math.radians(palm_angle_tolerance_deg(strut)))
    inputs = inputs_of(name)
    drawn = tip_clearance_mm(strut)
    assert drawn is not None
    assert float(tolerance_chain.tip_mm(inputs)) == pytest.approx(float(drawn), abs=1e-6)


def test_as_made_by_the_standards() -> None:
    """Welded, class B, an arm under 400 mm: 45 minutes. Cast CT11, 300 mm: 6.2 mm over a palm of 210."""
    welded, cast = inputs_of("canal-tender"), inputs_of("harbour-launch")
    assert float(tolerance_chain.as_made_mrad(welded)) == pytest.approx(1000 * math.radians(0.75))
    assert float(tolerance_chain.as_made_mrad(cast)) == pytest.approx(1000 * 6.2 / 210.0)


def found(name: str, fitting: str, **limits_of: float) -> dict[str, Finding]:
    strut = resolve(load(shipped()[name])).strut
    strut = replace(strut, hull=replace(strut.hull, fitting=fitting))
    if "tips" in limits_of:
        strut = replace(strut, propeller=replace(strut.propeller, diameter_mm=limits_of["tips"]))
    return {f.code: f for f in engineering_findings(strut) if f.code.startswith("stack_")}


@pytest.mark.parametrize(
    ("code", "name", "worse"),
    [
        ("stack_worst", "coaster-steel", {"fitting": "as_drawn"}),
        ("stack_likely", "coaster-steel", {"fitting": "as_drawn"}),
        ("stack_tip", "harbour-launch", {"fitting": "in_place", "tips": 540.0}),
    ],
)
def test_each_passes_and_breaks(code: str, name: str, worse: dict[str, Any]) -> None:
    """Hints, as what hull and fitting are off has no source: 0.64 and 0.54 of 1.48 mrad set in place."""
    good, bad = found(name, "in_place"), found(name, **worse)
    assert good[code].utilisation < 1.0 < bad[code].utilisation
    assert {good[code].verdict, bad[code].verdict} == {Verdict.HINT}


@pytest.mark.parametrize("code", ["stack_worst", "stack_likely"])
def test_a_palm_bedded_in_place_is_not_told_to_be(code: str) -> None:
    """With a shaft that is set a millimetre off it is over its limit, and only how it is set, and play, are left."""
    strut = resolve(load(shipped()["coaster-steel"])).strut
    far = own_limits("stack_set: 1.0\n")
    told = {}
    for fitting in ("in_place", "as_drawn"):
        made = replace(strut, hull=replace(strut.hull, fitting=fitting))
        finding = next(f for f in engineering_findings(made, limits=far) if f.code == code)
        told[fitting] = str(finding.advice)
    assert "stack_set" in told["in_place"]
    assert "bearing.running_clearance" in told["in_place"]
    assert "hull.fitting" not in told["in_place"]
    assert "hull.fitting" in told["as_drawn"]


def test_which_one_to_tighten() -> None:
    """Bedded on laminate a quarter of a degree of the palm outweighs all else; of a metal hull a tenth still does."""
    for name in ("harbour-launch", "coaster-steel"):
        made = answers(inputs_of(name), count=1000)
        assert made is not None
        first = made.drawn.shares[0]
        assert first.tolerance.name == "palm's pitch to the bore"
        told = found(name, "in_place")["stack_tighten"]
        assert str(told.what).endswith(f"({first.tolerance.name})")
        assert told.actual == pytest.approx(100 * first.share)
        assert made.drawn.halved_mrad < made.drawn.likely.total_mrad


def test_without_the_next_bearing_only_what_is_set_in_place_is_told() -> None:
    inputs = replace(inputs_of("harbour-launch"), bearing_span_mm=math.nan)
    assert answers(inputs) is None
    strut = resolve(load(shipped()["harbour-launch"])).strut
    strut = replace(strut, shaft=replace(strut.shaft, bearing_span_mm=None))
    told = {f.code: f for f in engineering_findings(strut)}
    assert told["stack_as_drawn"].missing == ("shaft.bearing_span",)
    assert told["stack_worst"].actual == pytest.approx(0.963, abs=1e-3)


# --- on paper --------------------------------------------------------------------------------------------------------


def test_the_command_writes_table_and_picture(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # what is likely is more than the bearing takes once its clearance is what pressing it in leaves
    assert main(["tolerances", "harbour-launch", "--out", str(tmp_path / "one")]) == 1
    told = capsys.readouterr().out
    assert "Tighten first: palm's pitch to the bore, on the sheets" in told
    names = sorted(p.name for p in (tmp_path / "one").iterdir())
    assert names == ["harbour-launch-strut-tolerances.csv", "harbour-launch-strut-tolerances.svg", "manifest.json"]
    made = answers(inputs_of("harbour-launch"))
    assert made is not None
    table = (tmp_path / "one" / names[0]).read_bytes().decode()
    assert table == paper.csv_of(made, "mm")
    assert (tmp_path / "one" / names[1]).read_text(encoding="utf-8") == paper.picture(
        "Harbour launch strut", made
    ).svg()
    rows = list(csv.DictReader(io.StringIO(table)))
    drawn = [r for r in rows if r["fitting"] == "bolted down as drawn"]
    assert sum(float(r["share_percent"]) for r in drawn) == pytest.approx(100.0, abs=0.02)
    assert drawn[0]["set_by"] == "sheets"


def test_the_command_asks_for_the_next_bearing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = shipped()["harbour-launch"].read_text(encoding="utf-8")
    cut = "\n".join(line for line in text.split("\n") if "bearing_span" not in line)
    (tmp_path / "one.yaml").write_text(cut, encoding="utf-8")
    assert main(["tolerances", str(tmp_path / "one.yaml"), "--out", str(tmp_path / "out")]) == 3
    assert "shaft.bearing_span is not given" in capsys.readouterr().err


def test_every_share_is_in_the_lines_or_small() -> None:
    made = answers(inputs_of("pilot-vee"), count=1000)
    assert made is not None
    lines = paper.share_rows(made, "mm")
    assert len(lines) == sum(s.share >= 0.005 for s in made.drawn.shares)
    data = paper.as_data(made)
    assert sum(t["share"] for t in data["fittings"][0]["tolerances"]) == pytest.approx(1.0, abs=1e-5)
