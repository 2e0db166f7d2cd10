"""A housing let into its structure: the ring that stands for it by other solutions of elasticity, the loaded sleeve by
sums, fits by hand, and each check of the engineering seen to hold and to break."""

from __future__ import annotations

import itertools
import json
import math
from typing import Any

import numpy as np
import pytest
from checks_support import merged
from support import sets_of

from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.strength import let_in as strength
from strutwright.models.finding import Finding, Verdict
from strutwright.models.formulas import let_in as rules
from strutwright.models.formulas import press_fit
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.spec import mirrored
from strutwright.models.weights import barrel
from strutwright.params import strict_yaml
from strutwright.params.loader import loads, shipped
from strutwright.params.problems import ParameterError

LET_INS = sets_of("let_in_housing")


@pytest.mark.parametrize("radius", [1.0, 30.0])
@pytest.mark.parametrize("outside", [1.2, 2.0, 5.0, 40.0])
@pytest.mark.parametrize("off", [0.0, 0.3, 0.6, 0.9])
def test_a_ring_of_the_least_wall_is_stressed_no_less_than_a_tube_bored_off_its_middle(
    radius: float, outside: float, off: float
) -> None:
    """Greatest hoop stress of an eccentric cylinder under internal pressure, Roark's Formulas for Stress and Strain,
    table of thick-walled vessels (from memory): p [2 b^2 (b^2 + a^2 - 2 a e - e^2) / ((a^2 + b^2)(b^2 - a^2 - 2 a e -
    e^2)) - 1]; without eccentricity it is Lame's."""
    a, b = radius, radius * outside
    e = off * (b - a)
    bored = (
        2 * b * b * (b * b + a * a - 2 * a * e - e * e) / ((a * a + b * b) * (b * b - a * a - 2 * a * e - e * e)) - 1
    )
    ring = rules.hoop_times_pressure(2 * a, rules.ring_outside_mm(2 * a, b - a - e))
    assert ring >= bored * (1 - 1e-12)
    if off == 0.0:
        assert ring == pytest.approx(bored)


@pytest.mark.parametrize("deep", [1.1, 1.5, 3.0, 20.0])
def test_a_ring_of_the_least_wall_is_stressed_as_a_half_plane_with_a_hole_near_its_edge(deep: float) -> None:
    """Jeffery, Phil. Trans. Roy. Soc. A 221 (1921), a hole under pressure in a half plane, from memory: hoop stress at
    the hole p (1 + 2 tan^2 phi) at most, sin phi = radius over depth of its middle."""
    phi = math.asin(1.0 / deep)
    ring = rules.hoop_times_pressure(2.0, rules.ring_outside_mm(2.0, deep - 1.0))
    assert ring == pytest.approx(1.0 + 2.0 * math.tan(phi) ** 2)


def test_an_endless_structure_gives_the_pressure_of_an_endless_body() -> None:
    """A shaft of radius r pressed into an endless plate of its own metal: p = E delta / (2 d) with delta on the
    diameter, as both sides of Lame's sum give d (1 + nu) / E and d (1 - nu) / E (any text)."""
    steel = press_fit.Elastic(210e3, 0.3, 12e-6)
    made = press_fit.press_fit(0.05, 60.0, rules.ENDLESS * 60.0, 0.0, steel, steel)
    assert made.pressure_mpa == pytest.approx(210e3 * 0.05 / (2 * 60.0), rel=1e-3)


@pytest.mark.parametrize("lever", [0.0, 10.0, 150.0])
def test_the_pressure_in_a_socket_by_sums_over_a_bed(lever: float) -> None:
    """A rigid pin on an elastic bed: the pressures that the formula's line and cosine stand for add up to force and
    moment, and none is greater."""
    force, d, long = 4000.0, 50.0, 120.0
    most = rules.socket_pressure_mpa(force, lever, d, long)
    along = np.linspace(-long / 2, long / 2, 2001)
    turn = np.linspace(-math.pi / 2, math.pi / 2, 2001)
    line = force / long * (1 + 12 * lever * along / long**2)
    pressure = line[:, None] * np.cos(turn)[None, :] * 2 / (math.pi * d / 2)
    pushes = np.trapezoid(pressure * np.cos(turn)[None, :], turn, axis=1) * d / 2
    assert np.trapezoid(pushes, along) == pytest.approx(force, rel=1e-3)
    assert np.trapezoid(pushes * along, along) == pytest.approx(force * lever, rel=1e-3, abs=1e-6)
    assert pressure.max() <= most * (1 + 1e-9)
    assert most == pytest.approx(pressure.max(), rel=0.01)


def of(name: str, change: dict[str, Any] | None = None) -> Resolved:
    """Return a shipped set with a change laid over it."""
    return resolve(loads(json.dumps(merged(strict_yaml.read_file(shipped()[name]).data, change or {}))))


def found(code: str, name: str, change: dict[str, Any] | None = None) -> Finding:
    one = of(name, change)
    return next(f for f in engineering_findings(one.strut, one.said.loads) if f.code == code)


def test_the_interference_of_a_class_by_the_tables_of_iso_286() -> None:
    """60 H7/r6: hole 0 to +30, shaft +41 to +60 micrometres (ISO 286-2, published)."""
    seat = of("skeg-sleeve").strut.let_in.seats[0]  # type: ignore[union-attr]
    assert (seat.hole_lower_mm, seat.hole_upper_mm) == (0.0, 0.03)
    assert (seat.outside_lower_mm, seat.outside_upper_mm) == (0.041, 0.06)


def test_the_press_force_by_hand() -> None:
    """Shigley, 9th ed., eqs 7-39 and 7-48, endless steel round C95800 of 60 and 40 mm and of 59 and 40 mm, 60
    micrometres, friction 0.12: both seats at once."""
    force = 0.0
    for d, long in ((60.0, 70.0), (59.0, 45.0)):
        sleeve = ((d**2 + 40.0**2) / (d**2 - 40.0**2) - 0.32) / 114e3
        pressure = 0.06 / (d * (1.3 / 210e3 + sleeve))
        force += math.pi * 0.12 * pressure * d * long
    assert found("let_in_press_force", "skeg-sleeve").actual == pytest.approx(force, rel=2e-3)


def test_what_locking_screws_hold_by_hand() -> None:
    """Two dog points of M10, 7 mm wide and 4 deep, in 316L: the weaker of the points in shear (210 MPa of yield over
    the root of 3) and the metal beside them in bearing (170 MPa)."""
    each = min(210.0 / math.sqrt(3) * math.pi / 4 * 49.0, 170.0 * 7.0 * 4.0)
    assert found("let_in_pushed", "keel-sleeve-bedded").actual == pytest.approx(2 * each)


BONDED = {"bedded": {"released": False}, "locking_screws": None}
BORED_BEFORE = {"bored_in_place": False}
BREAKS: list[tuple[str, str, dict[str, Any], Verdict]] = [
    ("let_in_press_force", "skeg-sleeve", {"pressed": {"press_force": "60 kN"}}, Verdict.FAIL),
    ("structure_press_stress", "skeg-sleeve", {"structure": {"thickness": 66}}, Verdict.FAIL),
    ("housing_press_stress", "skeg-sleeve", {"pressed": {"sleeve_class": "s11"}}, Verdict.FAIL),
    ("housing_fit_kept", "skeg-sleeve", {"pressed": {"sleeve_class": "n6"}}, Verdict.WARN),
    ("seat_fit_let_in", "skeg-sleeve", BORED_BEFORE, Verdict.WARN),
    ("clearance_let_in", "skeg-sleeve", {**BORED_BEFORE, "bearing": {"running_clearance": 0.09}}, Verdict.FAIL),
    ("let_in_held", "keel-sleeve-bedded", {"locking_screws": None}, Verdict.FAIL),
    ("let_in_turning", "keel-sleeve-bedded", {"locking_screws": None}, Verdict.WARN),
    ("let_in_pushed", "keel-sleeve-bedded", {"locking_screws": {"bite": 1.5}}, Verdict.WARN),
    ("let_in_drawn", "skeg-sleeve", {"drawing_holes": {"count": 4}}, Verdict.WARN),
    ("let_in_pressing", "keel-sleeve-bedded", {"materials": {"base": "plywood"}}, Verdict.WARN),
    ("let_in_bending", "keel-sleeve-bedded", {"duty": {"power": "900 kW"}}, Verdict.FAIL),
    ("let_in_weld", "tube-liner-pair", {"welded": {"leg": 0.4}}, Verdict.FAIL),
]


@pytest.mark.parametrize(("code", "name", "change", "how"), BREAKS, ids=[code for code, *_ in BREAKS])
def test_a_check_of_the_engineering_holds_and_breaks(
    code: str, name: str, change: dict[str, Any], how: Verdict
) -> None:
    before = {f.code: f for f in engineering_findings(of(name).strut)}
    if code in before:
        assert before[code].verdict is Verdict.OK
    made = found(code, name, change)
    assert made.verdict is how
    assert made.advice


def test_a_sliding_bearing_binds_in_a_bore_that_closes() -> None:
    tight = {**BORED_BEFORE, "barrel": {"fit": "slide", "slide_clearance": 0.04}}
    assert found("seat_slides_let_in", "skeg-sleeve", tight).verdict is Verdict.FAIL
    loose = {**BORED_BEFORE, "barrel": {"fit": "slide", "slide_clearance": 0.3}}
    assert found("seat_slides_let_in", "skeg-sleeve", loose).verdict is Verdict.OK


def test_a_bonded_housing_is_held_by_its_bond() -> None:
    """Area times shear: 140 mm of 73 mm, less nothing, at 1 MPa."""
    made = found("let_in_pushed", "keel-sleeve-bedded", BONDED)
    assert made.actual == pytest.approx(math.pi * 73.0 * 140.0)
    said = merged(BONDED, {"bedded": {"shear": 3.0}})
    assert found("let_in_pushed", "keel-sleeve-bedded", said).actual == pytest.approx(3 * made.actual)


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"materials": {"base": "hardwood"}}, "hold"),
        ({"bedded": {"gap": 2}}, "bedded"),
        ({"collar": None}, "drawing_holes.way"),
        ({"stands_out": 5}, "stands_out"),
        ({"outside_steps": [{"length": 45, "diameter": 61}]}, "outside_steps[0].diameter"),
        ({"outside_steps": [{"length": 200, "diameter": 59}]}, "outside_steps"),
        ({"pressed": {"sleeve_class": "H6"}}, "pressed.sleeve_class"),
        ({"pressed": {"hole_class": "h7"}}, "pressed.hole_class"),
        ({"entry": {"length": 50, "angle": 15}}, "entry.length"),
        ({"structure": {"outside_diameter": 200}}, "structure.outside_diameter"),
        ({"structure": {"thickness": None}}, "structure.thickness"),
        ({"barrel": {"ends": {"forward": {"shape": "tapered"}}}}, "barrel.ends.forward"),
        ({"locking_screws": {"positions": [{"distance": 180, "clock": 0}]}}, "locking_screws.positions[0].distance"),
        ({"locking_screws": {"bushed": True}}, "locking_screws.bushed"),
        ({"hold": "welded", "pressed": None}, "hold"),
    ],
)
def test_what_cannot_be_is_refused_at_its_place(change: dict[str, Any], where: str) -> None:
    with pytest.raises(ParameterError) as told:
        of("skeg-sleeve", change)
    assert where in str(told.value)


@pytest.mark.parametrize("name", LET_INS)
def test_the_weight_by_formula_is_that_of_its_outline(name: str) -> None:
    """Pappus: the profile turned round the shaft line, by cones between its corners; screws and dimples are little."""
    from strutwright.models.geometry.barrel import bore_points, outside_chain

    strut = of(name).strut
    rows = [(s, r) for s, r, _ in outside_chain(strut.barrel)]

    def turned(points: list[tuple[float, float]]) -> float:
        pairs = itertools.pairwise(points)
        return sum(math.pi / 3 * (t - s) * (r * r + r * q + q * q) for (s, r), (t, q) in pairs)

    volume = turned(rows) - turned(bore_points(strut.barrel))
    holes = strut.let_in.drawing if strut.let_in is not None else None
    if holes is not None:
        deep = holes.depth_mm if holes.way == "jack" else holes.drilled_mm
        volume -= holes.count * math.pi / 4 * holes.tap_drill_mm**2 * deep
    assert float(barrel(Inputs.from_strut(strut)).volume_mm3) == pytest.approx(volume, rel=0.02)


def test_the_other_hand_turns_its_screws_round() -> None:
    strut = of("skeg-sleeve", {"drawing_holes": {"first_clock": 20}, "identity": {"hand": "port"}}).strut
    other = mirrored(strut).let_in
    assert other is not None
    assert [s.clock_deg for s in other.locking] == [-90.0, 90.0]
    assert other.drawing is not None
    assert other.drawing.first_clock_deg == -20.0
    assert mirrored(mirrored(strut)) == strut


def test_the_worst_of_two_bearings_is_told() -> None:
    two = [{"outside_diameter": 40, "length": 48, "shell_material": "glass-epoxy shell"}] * 2
    second = {**two[1], "outside_measured": 40.05}
    change = {**BORED_BEFORE, "bearing": [{**two[0], "outside_measured": 40.02}, second], "set_screws": None}
    one = of("skeg-sleeve", change)
    inputs = Inputs.from_strut(one.strut)
    told = {f.code: f for f in strength.findings(one.strut, inputs, strength.numbers(inputs))}
    assert "bearing" in str(told["seat_fit_let_in"].what)
