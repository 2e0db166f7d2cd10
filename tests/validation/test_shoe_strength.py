"""A rudder shoe under its rudder: rule force, bar in bending and torsion, fasteners on their bed; each check seen to
hold and to break."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
from checks_support import merged
from palm_support import bolt_tensions_contact
from property.random_shoes import draw_shoe
from support import SHOES, THOROUGH, resolved

from strutwright.models import flange_hold, shoe_hold
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.strength import shoe as strength
from strutwright.models.finding import Finding, Verdict
from strutwright.models.formulas import shoe as rules
from strutwright.models.hull_bed import bed_n_mm3
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params import strict_yaml
from strutwright.params.loader import loads, shipped
from strutwright.params.problems import ParameterError
from tests.plates import contact


def of(name: str, **change: Any) -> Inputs:
    data = merged(strict_yaml.read_file(shipped()[name]).data, change)
    return Inputs.from_strut(resolve(loads(json.dumps(data))).strut)


def test_the_rudder_force_by_hand() -> None:
    """IACS UR S10 form (from memory): 132 K1 K2 K3 A V^2, K1 = (h^2 / A + 2) / 3, K2 = 1.1; to 10 kn (V + 20) / 3."""
    inputs = of("shoal-ketch", rudder={"area": "0.5 m2", "height": 900}, duty={"boat_speed": "12 kn"})
    assert float(shoe_hold.rudder_n(inputs)) == pytest.approx(132 * (0.81 / 0.5 + 2) / 3 * 1.1 * 0.5 * 144, rel=1e-9)
    slow = of("shoal-ketch", rudder={"area": "0.5 m2", "height": None}, duty={"boat_speed": "4 kn"})
    assert float(shoe_hold.rudder_n(slow)) == pytest.approx(132 * 3.5 / 3 * 1.1 * 0.5 * 64, rel=1e-9)


@pytest.mark.parametrize("slim", [1.0, 0.5, 0.2, 0.05])
def test_the_torsion_modulus_of_a_rectangle_by_its_series(slim: float) -> None:
    """Timoshenko and Goodier, Theory of Elasticity, art. 109: series of the membrane, greatest shear."""
    odd = np.arange(1.0, 80.0, 2.0)
    ratio = 1.0 / slim
    k = 1.0 - 8.0 / math.pi**2 * np.sum(1.0 / (odd**2 * np.cosh(np.minimum(odd * math.pi * ratio / 2.0, 700.0))))
    k1 = (1.0 - 192.0 / math.pi**5 / ratio * np.sum(np.tanh(odd * math.pi * ratio / 2.0) / odd**5)) / 3.0
    assert float(rules.flat_bar_torsion_mm3(100.0, 100.0 * slim)) == pytest.approx(
        k1 / k * 100.0**3 * slim**2, rel=0.005
    )


def test_a_bar_of_varying_width_gives_as_one_in_many_slices() -> None:
    """Unit-load method in 20 000 slices; a bar that tapers to half its width, nine sections."""
    at = np.linspace(40.0, 300.0, 9)
    second = 20.0 * (140.0 - 0.25 * at) ** 3 / 12.0
    fine = np.linspace(40.0, 300.0, 20_001)
    exact = np.trapezoid(fine**2 / (110e3 * 20.0 * (140.0 - 0.25 * fine) ** 3 / 12.0), fine)
    assert exact <= float(rules.cantilever_give_mm_n(list(at), list(second), 110e3)) <= 1.02 * exact


def test_the_stress_of_a_flat_bar_by_hand() -> None:
    """s = M / Z, t = 1.5 V / A + T / W_t; sqrt(s^2 + 3 t^2). Machinery's and Shigley's texts, bars in bending."""
    stress = float(rules.section_stress_mpa((2e6, 3e5), 4000.0, 1e5, 80.0, 25.0))
    normal = 2e6 / (25 * 80**2 / 6) + 3e5 / (80 * 25**2 / 6)
    shear = 1.5 * 4000 / 2000 + 1e5 / float(rules.flat_bar_torsion_mm3(80.0, 25.0))
    assert stress == pytest.approx(math.sqrt(normal**2 + 3 * shear**2), rel=1e-9)


@pytest.mark.parametrize("name", SHOES)
def test_fasteners_pull_no_harder_in_cells_on_a_bed(name: str) -> None:
    """A rigid plate of cells on the keel that push only, on springs that pull only, under the force of the rudder."""
    inputs = Inputs.from_strut(resolved(name).strut)
    shoe, _, plate = shoe_hold.own(inputs)
    half = float(shoe_hold.wide_mm(inputs)) / 2.0
    ends = (float(shoe.keel_end_mm), float(plate.forward_mm))
    outline = np.array([(ends[0], -half), (ends[1], -half), (ends[1], half), (ends[0], half)])
    middle = outline.mean(axis=0)
    holes = np.array(flange_hold.holes_of(plate), dtype=float) - middle
    spring = float(flange_hold.grip_spring_n_mm(inputs))
    for way, moments in (("side", (1e6, 0.0)), ("up", (0.0, 1e6))):
        lever = float(np.abs(shoe_hold.below_mm(inputs))) if way == "side" else float(shoe.keel_end_mm)
        taken = float(shoe_hold.hang(inputs, way).pull) / lever  # type: ignore[arg-type]
        worst = 0.0
        for bed in bed_n_mm3(inputs, plate):
            for sign in (1.0, -1.0) if way == "side" else (1.0,):
                found = bolt_tensions_contact(
                    holes, outline - middle, 0.0, sign * moments[0], moments[1], spring, float(bed), across=60
                )
                other = bolt_tensions_contact(
                    holes, outline - middle, 0.0, sign * moments[0], -moments[1], spring, float(bed), across=60
                )
                pulls = (float(c.tension_n.max()) / 1e6 for c in (found, other))
                worst = max(worst, min(pulls) if way == "up" else max(pulls))
        assert 0.95 * worst <= taken, way


@pytest.mark.parametrize("name", SHOES if THOROUGH else SHOES[:2])
def test_a_plate_that_bends_presses_and_pulls_no_harder_in_plate_elements(name: str) -> None:
    """Thin plate elements with contact, the boss a rigid foot on a plate that reaches clear of the keel: tipped by the
    rudder's force, with its weight on it, and pushed from below. Edges that pry are among what presses."""
    holds_in_elements(Inputs.from_strut(resolved(name).strut))


def holds_in_elements(inputs: Inputs) -> None:
    """Hold pulls and pressures of a shoe against plate elements, soft bed and stiff."""
    shoe, _, plate = shoe_hold.own(inputs)
    half, end, ahead = float(shoe_hold.wide_mm(inputs)) / 2.0, float(shoe.keel_end_mm), float(plate.forward_mm)
    boss = float(inputs.barrel_outside_mm) / 2.0
    bends = inputs.strut.modulus_mpa * float(plate.thickness_mm) ** 3 / 12.0 / (1.0 - 0.3**2)
    lever, pried = float(np.abs(shoe_hold.below_mm(inputs))), float(strength._pried(inputs))
    for bed in map(float, bed_n_mm3(inputs, plate) if THOROUGH else bed_n_mm3(inputs, plate)[1:]):
        made = contact.Plate(
            np.array([(-boss, -half), (ahead, -half), (ahead, half), (-boss, half)]),
            [(-boss, boss, -min(boss, half), min(boss, half))],
            np.array(flange_hold.holes_of(plate), dtype=float),
            float(flange_hold.grip_spring_n_mm(inputs)),
            bed,
            bends,
            bed_from=end,
        )
        side, down, up = (shoe_hold.hang(inputs, way) for way in ("side", "down", "up"))
        for said, load in (
            (side, (0.0, lever, 0.0)),
            (side, (0.0, -lever, 0.0)),
            (down, (1.0, 0.0, 0.0)),
            (up, (-1.0, 0.0, 0.0)),
        ):
            pressure, pull = made.pressed_and_pulled(*load)
            assert 0.0 < pull <= 1.01 * said.pulled(pried)
            assert said is up or pressure <= 1.01 * said.pressure


@pytest.mark.parametrize("number", range(100, 160) if THOROUGH else (102,))
def test_a_random_plate_that_bends_presses_and_pulls_no_harder_in_plate_elements(number: int) -> None:
    try:
        inputs = Inputs.from_strut(resolve(loads(json.dumps(draw_shoe(number)))).strut)
    except ParameterError:
        return
    _, _, plate = shoe_hold.own(inputs)
    # Holes beside the keel hold nothing, and are refused by checks of their own.
    if max(abs(v) for _, v in flange_hold.holes_of(plate)) < float(shoe_hold.wide_mm(inputs)) / 2.0:
        holds_in_elements(inputs)


@pytest.mark.parametrize("soft", [0.3, 1.0, 4.0, 12.0])
def test_a_bar_that_twists_on_what_holds_it_by_elements(soft: float) -> None:
    """Bar of 500 elements in torsion, each held to the ground: what holds its end over the mean of all."""
    count, length, twists = 500, 400.0, 4e11
    turning, step = soft**2 * twists / length, length / count
    spring = np.full(count + 1, turning / count)
    spring[[0, -1]] /= 2.0
    chain = np.diag(spring)
    for k in range(count):
        chain[np.ix_([k, k + 1], [k, k + 1])] += twists / step * np.array([[1.0, -1.0], [-1.0, 1.0]])
    load = np.zeros(count + 1)
    load[0] = 1e6
    found = np.linalg.solve(chain, load)[0] * turning / 1e6
    assert float(rules.twist_gathered(turning, length, twists)) == pytest.approx(found, rel=1e-3)


@pytest.mark.parametrize(("ratio", "series"), [(1.0, 0.1406), (2.0, 0.229), (4.0, 0.281), (10.0, 0.312)])
def test_the_torsion_constant_of_a_rectangle_by_the_series(ratio: float, series: float) -> None:
    """Timoshenko and Goodier, Theory of Elasticity, art. 109, table of k1 (from memory)."""
    assert float(rules.flat_bar_twist_mm4(ratio, 1.0)) == pytest.approx(series * ratio, rel=0.005)


def changed(name: str, change: dict[str, Any]) -> dict[str, Finding]:
    data = merged(strict_yaml.read_file(shipped()[name]).data, change)
    return {f.code: f for f in engineering_findings(resolve(loads(json.dumps(data))).strut)}


FAST = {"duty": {"boat_speed": "25 kn"}, "rudder": {"area": "1.2 m2"}}


@pytest.mark.parametrize(
    ("name", "code", "change", "how"),
    [
        ("creek-yawl", "shoe_stress", {"plate": {"thickness": 10}, **FAST}, Verdict.FAIL),
        ("creek-yawl", "shoe_bolts", FAST, Verdict.FAIL),
        ("creek-yawl", "shoe_bearing_in_plate", {"plate": {"thickness": 6}, **FAST}, Verdict.FAIL),
        ("creek-yawl", "shoe_keel_pins", FAST, Verdict.WARN),
        ("creek-yawl", "shoe_keel_pull", FAST, Verdict.WARN),
        ("creek-yawl", "shoe_pressing", {"keel": {"width": 40}, **FAST}, Verdict.WARN),
        ("creek-yawl", "shoe_bush_pressure", FAST, Verdict.WARN),
        ("creek-yawl", "shoe_clearance", {"bush": {"running_clearance": 1.5}}, Verdict.WARN),
        ("creek-yawl", "shoe_blow_fasteners", {"plate": {"thickness": 40}}, Verdict.WARN),
        ("shoal-ketch", "shoe_weld", {"plate": {"weld_leg": 1.0}, **FAST}, Verdict.FAIL),
    ],
)
def test_a_check_of_the_shoe_holds_and_breaks(name: str, code: str, change: dict[str, Any], how: Verdict) -> None:
    assert changed(name, {})[code].verdict is Verdict.OK
    found = changed(name, change)[code]
    assert found.verdict is how
    assert found.advice
    assert found.parameter


def test_a_screw_in_the_keel_is_held_to_its_thread_and_to_the_depth_behind_it() -> None:
    lag: dict[str, Any] = {"bolts": {"fastener": "lag_screw", "engaged": 100}}
    good = changed("creek-yawl", lag)
    assert good["shoe_engaged"].verdict is good["shoe_keel_deep_enough"].verdict is Verdict.OK
    short = changed("creek-yawl", {"bolts": {"fastener": "lag_screw", "engaged": 40}})
    assert short["shoe_engaged"].verdict is Verdict.FAIL
    shallow = changed("creek-yawl", {**lag, "keel": {"thickness": 105}})
    assert shallow["shoe_keel_deep_enough"].verdict is Verdict.WARN


def test_the_shoe_made_to_fail_says_what_its_head_says() -> None:
    path = shipped()["failing/shoe-too-long"]
    named = [line.split(":")[0].strip("# ") for line in path.read_text().splitlines() if line.startswith("#   ")]
    from strutwright.models.checks import geometry_checks

    strut = resolve(loads(path.read_text())).strut
    told = {f.code for f in (*geometry_checks(strut), *engineering_findings(strut)) if f.verdict.value != "ok"}
    assert set(named) <= told
