"""Fatigue: published curves and notch factors, Miner sums worked outside the program, and the verdicts on struts.

Curves: DNV-RP-C203 (typed copy). Notch factors: Peterson's charts and plane finite elements.
"""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from strength_support import inputs_of, with_arm
from support import long_run

from strutwright.exporters.web.report import Report, report_html, report_json, report_text
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.strength import fatigue, load_cases
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.models.formulas import fatigue as rules
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.models.spec_boat import Use
from strutwright.params import tables
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError
from strutwright.params.schema_boat import LoadCase, Loads
from strutwright.params.tables.fatigue import FatigueCurve, Surroundings

STRUTS = {name: resolve(load(shipped()[name])).strut for name in ("coaster-steel", "harbour-launch", "canal-tender")}
ROWS = tables.table("fatigue_curves").rows


def life(range_mpa: float, curve: FatigueCurve) -> float:
    return 1.0 / float(rules.damage_per_cycle(range_mpa, curve))


def range_at(cycles: float, name: str, surroundings: Surroundings) -> float:
    """The range that lasts so long, by halving."""
    low, high = 1e-3, 1e4
    for _ in range(200):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if life(middle, tables.fatigue_curve(name, surroundings)) > cycles else (low, middle)
    return low


# --- curves ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", ROWS, ids=[r["class"] for r in ROWS])
def test_the_two_lines_of_a_curve_meet_at_the_tabulated_knee(row: Any) -> None:
    """In air at 1e7 cycles and the tabulated limit, with cathodic protection at 1e6."""
    assert 10 ** ((row["beyond"] - 7) / 5) == pytest.approx(row["limit_1e7"], abs=0.021)
    assert range_at(1e7, row["class"], "air") == pytest.approx(row["limit_1e7"], rel=1e-3)
    for surroundings, knee in (("air", 7.0), ("protected", 6.0)):
        meet = row["beyond"] - 5 * (row["beyond"] - row[surroundings]) / (5 - row["slope"])
        assert meet == pytest.approx(knee, abs=0.002)
    assert row["air"] - row["protected"] == pytest.approx(0.4 if row["slope"] == 3 else 0.2, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "cycles", "protected", "bare"),
    [
        ("B1", 1e8, 67.5, 30.1),
        ("B1", 1e9, 42.6, 14.0),
        ("D", 1e6, 83.4, None),
        ("D", 1e8, 33.2, 16.9),
        ("D", 1e9, 20.95, 7.86),
        ("F", 1e9, 16.5, 6.2),
        ("F1", 1e8, 23.3, 11.9),
        ("F1", 1e9, 14.7, 5.5),
        ("W3", 1e9, 8.4, 3.1),
    ],
)
def test_ranges_that_last_so_many_cycles(name: str, cycles: float, protected: float, bare: float | None) -> None:
    """Points of the curves as worked by hand from log a."""
    assert range_at(cycles, name, "protected") == pytest.approx(protected, abs=0.055)
    if bare is not None:
        assert range_at(cycles, name, "bare") == pytest.approx(bare, abs=0.055)


def test_an_unknown_class_is_told_with_those_there_are() -> None:
    with pytest.raises(tables.NotInTable, match="Valid: B1"):
        tables.fatigue_curve("Z", "air")


MIX = ((1000.0, 4000.0, 3.0), (1300.0, 900.0, 6.0), (1300.0, 100.0, 14.0))
CAST = ((3, 1000.0, 4000.0, 9.327), (3, 1300.0, 900.0, 16.323), (1, 1300.0, 1000.0, 34.977))


@pytest.mark.parametrize(
    ("surroundings", "each"), [("protected", (0.00423, 0.03956, 0.30399)), ("bare", (0.62474, 1.46188, 2.06348))]
)
def test_sums_at_a_weld_root(surroundings: Surroundings, each: tuple[float, ...]) -> None:
    """Three blades, class W3; worked by hand, and by 1e6 cycles drawn at random from the mix within 1 %."""
    curve = tables.fatigue_curve("W3", surroundings)
    found = [float(rules.cycles(3, rpm, hours) * rules.damage_per_cycle(r, curve)) for rpm, hours, r in MIX]
    assert found == pytest.approx(each, abs=1e-5)
    lasts = 5000.0 / sum(found)
    assert lasts == pytest.approx(14_377 if surroundings == "protected" else 1_204.8, rel=1e-4)


@pytest.mark.parametrize(
    ("name", "surroundings", "total"),
    [("C", "protected", 0.20955), ("C", "bare", 3.71234), ("B1", "protected", 0.03128), ("B1", "bare", 1.77275)],
)
def test_sums_at_a_cast_fillet(name: str, surroundings: Surroundings, total: float) -> None:
    """Blade rate at two speeds and shaft rate at one, ranges with their notch; worked by hand."""
    curve = tables.fatigue_curve(name, surroundings)
    found = sum(rules.cycles(z, rpm, hours) * rules.damage_per_cycle(r, curve) for z, rpm, hours, r in CAST)
    assert found == pytest.approx(total, rel=3e-4)


@pytest.mark.parametrize("on_top", [0.0, 3.0, 90.0])
@pytest.mark.parametrize("surroundings", ["air", "protected", "bare"])
@pytest.mark.parametrize("name", ["B1", "F1", "W3"])
def test_waves_by_their_integral(name: str, surroundings: Surroundings, on_top: float) -> None:
    """Against the sum over steps of the spectrum, a quicker range on top of each or none; F1 protected, 120 MPa once in
    1e9: 1.133551."""
    curve, count, most = tables.fatigue_curve(name, surroundings), 1e9, 120.0
    q = most / math.log(count)
    edges = np.linspace(0.0, 60.0 * q, 600_001)
    middle, share = (edges[1:] + edges[:-1]) / 2.0, -np.diff(np.exp(-edges / q))
    each = rules.damage_per_cycle(middle + on_top, curve) - rules.damage_per_cycle(on_top, curve)
    by_steps = count * float(np.sum(share * each))
    assert float(rules.damage_by_waves(most, count, curve, on_top)) == pytest.approx(by_steps, rel=5e-4)
    if (name, surroundings) == ("F1", "protected"):
        assert float(rules.damage_by_waves(most, count, curve)) == pytest.approx(1.133551, abs=1e-6)


# --- notch factors --------------------------------------------------------------------------------------------------

ELEMENTS = {
    (54.0, 22.0, 8.0): (1.357, 1.675),
    (1.2, 0.8, 0.4): (1.272, 1.474),
    (1.5, 1.0, 0.2): (1.557, 1.862),
    (2.0, 1.0, 0.2): (1.574, 1.984),
}
"""Notch factors in bending and tension by plane elements, worked once by `plane_elements` with 32 to a radius."""


def test_printed_example_of_a_shoulder() -> None:
    """Peterson's example 1.2, 0.8, 0.4: 1.267 by the printed sign of the last coefficient, 0.6 % under ours."""
    assert float(rules.shoulder_in_bending(1.2, 0.8, 0.4)) == pytest.approx(1.267, rel=0.007)
    assert float(rules.shoulder_in_bending(1.2, 0.8, 0.4)) > 1.267


@pytest.mark.parametrize("size", ELEMENTS)
def test_shoulders_by_elements(size: tuple[float, float, float]) -> None:
    bent, pulled = ELEMENTS[size]
    assert float(rules.shoulder_in_bending(*size)) == pytest.approx(bent, rel=0.025)
    assert float(rules.shoulder_in_tension(*size)) == pytest.approx(pulled, rel=0.03)


CHARTS = {3.0: (0.90720, -0.33333), 2.0: (0.93232, -0.30304), 1.3: (0.95880, -0.27269), 1.2: (0.99590, -0.23829)}
"""Norton's power laws through Peterson's chart of a flat bar bent, from memory: K = A (r / d)^b for each D / d."""


@pytest.mark.parametrize("wide", CHARTS)
@pytest.mark.parametrize("radius", [0.05, 0.1, 0.15, 0.2, 0.25, 0.3])
def test_shoulders_by_the_chart(wide: float, radius: float) -> None:
    """With the printed sign the widest shoulders under twice the radius would lie 4 % under the chart."""
    factor, power = CHARTS[wide]
    chart = factor * radius**power
    assert 0.975 * chart <= float(rules.shoulder_in_bending(wide, 1.0, radius)) <= 1.05 * chart


def test_pull_on_a_root_takes_the_worse_of_both_views() -> None:
    """A barrel as long as the arm's chord has no shoulder along the shaft; across it has that of the elements."""
    one = inputs_of("harbour-launch")
    chord = one.arms[0].chord_barrel_mm
    size = (54.0, 22.0, 8.0)
    thin = with_arm(replace(one, barrel_outside_mm=size[0]), thickness_barrel_mm=size[1], barrel_root_mm=size[2])
    across = fatigue.notch(replace(thin, barrel_length_mm=chord), 0, "barrel").pull
    assert float(across) == pytest.approx(ELEMENTS[size][1], rel=0.03)
    both = [float(fatigue.notch(replace(thin, barrel_length_mm=k * chord), 0, "barrel").pull) for k in (1.0, 1.2, 3.0)]
    assert both[0] <= both[1] < both[2]


@pytest.mark.parametrize("shoulder", [rules.shoulder_in_bending, rules.shoulder_in_tension])
def test_the_two_ranges_of_a_shoulder_meet(shoulder: Any) -> None:
    """At a height of twice the radius, for all widths: with the printed sign they are up to 20 % apart."""
    narrow = 10.0 / np.linspace(1.02, 2.99, 50)
    radius = (10.0 - narrow) / 4.0
    assert shoulder(10.0, narrow, radius * 0.9999) == pytest.approx(shoulder(10.0, narrow, radius * 1.0001), rel=0.012)


def plane_elements(wide: float, narrow: float, radius: float, bent: bool) -> float:
    """Notch factor of a flat bar with shoulder fillets by triangles of the second order in plane stress."""
    import gmsh
    import skfem
    from skfem.helpers import transpose
    from skfem.models.elasticity import linear_elasticity

    mesh = _bar(gmsh, wide, narrow, radius)
    nu = 0.3
    mu, lam = 0.5 / (1 + nu), nu / (1 - nu**2)
    element = skfem.ElementVector(skfem.ElementTriP2())
    basis = skfem.Basis(mesh, element, intorder=4)
    end = mesh.facets_satisfying(lambda x: np.isclose(x[0], 3 * narrow))

    @skfem.LinearForm
    def load(v: Any, w: Any) -> Any:
        return v[0] * (w.x[1] * 2.0 / narrow if bent else 1.0)

    force = load.assemble(skfem.FacetBasis(mesh, element, facets=end))
    held = basis.get_dofs(lambda x: np.isclose(x[0], -2 * wide))
    moved = skfem.solve(*skfem.condense(linear_elasticity(lam, mu).assemble(basis), force, D=held))
    slope = basis.interpolate(moved).grad
    strain = (slope + transpose(slope)) / 2.0
    spread = lam * (strain[0, 0] + strain[1, 1])
    xx, yy, xy = spread + 2 * mu * strain[0, 0], spread + 2 * mu * strain[1, 1], 2 * mu * strain[0, 1]
    most = (xx + yy) / 2.0 + np.sqrt(((xx - yy) / 2.0) ** 2 + xy**2)
    at = skfem.Basis(mesh, skfem.ElementTriDG(skfem.ElementTriP2()), intorder=4)
    x, y = at.doflocs
    near = (np.abs(x - radius) < 1.5 * radius) & (np.abs(y) > narrow / 2.0 - 1e-9)
    return float(at.project(most)[near].max())


def _bar(gmsh: Any, wide: float, narrow: float, radius: float) -> Any:
    import skfem

    gmsh.initialize()
    gmsh.option.setNumber("General.Terminal", 0)
    geo, fine, foot = gmsh.model.geo, radius / 16.0, narrow / 2.0 + radius
    corner = [(-2 * wide, wide / 2), (0, wide / 2), (0, foot), (radius, narrow / 2), (3 * narrow, narrow / 2)]
    size = [wide / 8, radius, fine, fine, narrow / 8]
    top = [geo.addPoint(x, y, 0, s) for (x, y), s in zip(corner, size, strict=True)]
    low = [geo.addPoint(x, -y, 0, s) for (x, y), s in zip(corner, size, strict=True)]
    middle = [geo.addPoint(radius, side * foot, 0, fine) for side in (1, -1)]
    lines = [geo.addLine(top[0], top[1]), geo.addLine(top[1], top[2]), geo.addCircleArc(top[2], middle[0], top[3])]
    lines += [geo.addLine(top[3], top[4]), geo.addLine(top[4], low[4]), geo.addLine(low[4], low[3])]
    lines += [geo.addCircleArc(low[3], middle[1], low[2]), geo.addLine(low[2], low[1]), geo.addLine(low[1], low[0])]
    geo.addPlaneSurface([geo.addCurveLoop([*lines, geo.addLine(low[0], top[0])])])
    geo.synchronize()
    gmsh.model.mesh.generate(2)
    tags, xyz, _ = gmsh.model.mesh.getNodes()
    _, _, nodes = gmsh.model.mesh.getElements(2)
    gmsh.finalize()
    index = {tag: k for k, tag in enumerate(tags)}
    triangles = np.array([index[n] for n in nodes[0]]).reshape(-1, 3)
    used, numbered = np.unique(triangles, return_inverse=True)
    points = np.ascontiguousarray(xyz.reshape(-1, 3)[used, :2].T)
    return skfem.MeshTri(points, np.ascontiguousarray(numbered.reshape(-1, 3).T))


@long_run
@pytest.mark.parametrize("size", ELEMENTS)
def test_elements_say_so_again(size: tuple[float, float, float]) -> None:
    assert [plane_elements(*size, bent) for bent in (True, False)] == pytest.approx(ELEMENTS[size], rel=0.01)


# --- struts ---------------------------------------------------------------------------------------------------------


def of(name: str, **instead: Any) -> Inputs:
    return replace(Inputs.from_strut(STRUTS[name]), **instead)


def judged(strut: Strut, given: Loads | None = None) -> dict[str, Finding]:
    return {f.code: f for f in engineering_findings(strut, given) if f.code.startswith("fatigue")}


def run(strut: Strut, *use: tuple[float, float]) -> Strut:
    """The strut in a boat that is run so many hours at that share of its speed."""
    return replace(strut, duty=replace(strut.duty, use=tuple(Use("run", h, s) for h, s in use)))


def pushed(newtons: float, rates: tuple[str, ...] = ("blade_rate", "turn")) -> Loads:
    """Load cases of a file's own: a force to port and starboard at mid-barrel, at each rate."""
    term = {"source": "force", "force": f"{newtons} N", "clock": 90}
    cases = [{"name": rate, "terms": [term], "comes_and_goes": rate} for rate in rates]
    return Loads(cases=[LoadCase.model_validate(c, context={"units": "mm"}) for c in cases])


def test_the_pulses_at_a_weld_by_hand() -> None:
    """The tender's fillet at the palm: the force times its lever on a line of 42 mm on either side and two half
    circles of 7 mm; legs of 7 mm, and the leading edge 99 degrees off the palm, where the throat is least."""
    one = of("canal-tender")
    place = next(p for p in fatigue.places(one) if p.code == "fatigue_weld_palm")
    lever, round_ends = float(one.arms[0].water_mm), 7.0 * (math.pi * (21.0**2 + 24.5) + 4.0 * 21.0 * 7.0) * 2.0
    modulus, around = (42.0**3 / 6.0 + round_ends) / 28.0, 84.0 + 14.0 * math.pi
    per_mm = math.hypot(lever / modulus, 1.0 / around)
    per_n = float(place.reply("axial", None) * place.factor)
    assert per_n == pytest.approx(per_mm / (7.0 * math.cos(math.radians(49.5))), rel=0.01)


def test_a_softer_metal_is_strained_more_at_a_weld() -> None:
    """Aluminium of 71 GPa in the place of steel of 206: 2.9 times the range."""
    plain, soft = (
        of("canal-tender", strut=replace(of("canal-tender").strut, **metal))
        for metal in ({"family": "steel"}, {"family": "aluminium", "modulus_mpa": 71_000.0})
    )
    one, other = (fatigue.places(i)[0] for i in (plain, soft))
    assert other.factor / one.factor == pytest.approx(206.0 / 71.0, rel=1e-9)


def count_by_rainflow(signal: np.ndarray[Any, Any]) -> list[float]:
    """Ranges of whole cycles of a signal that comes round again, by the four-point rule (ASTM E1049)."""
    points = np.roll(signal, -int(np.argmax(signal)))
    points = np.append(points, points[0])
    turning = [
        points[0],
        *(b for a, b, c in zip(points, points[1:], points[2:], strict=False) if (b - a) * (c - b) < 0),
    ]
    stack: list[float] = []
    ranges = []
    for p in (*turning, points[-1]):
        stack.append(float(p))
        while len(stack) >= 4:
            a, b, c, d = stack[-4:]
            if abs(c - b) > min(abs(b - a), abs(d - c)):
                break
            ranges.append(abs(c - b))
            del stack[-3:-1]
    return [*ranges, max(stack) - min(stack)]


@pytest.mark.parametrize("surroundings", ["protected", "bare"])
def test_pulses_on_top_of_a_turning_force_by_rainflow(surroundings: Surroundings) -> None:
    """The sum in an hour at full speed is no less than a count of the added signals finds, at any phase, and not much
    more: a slower cycle carries the whole of the quicker range."""
    one = of("coaster-steel", use=(Use("run", 1.0, 1.0),), own_cases=tuple(pushed(9_000.0, ("shaft_rate",)).cases))
    place = replace(fatigue.places(one)[2], loads={k: v for k, v in fatigue.comings(one).items() if k.endswith("rate")})
    place = replace(place, curve=tables.fatigue_curve("F1", surroundings))
    sizes = fatigue.ranges_mpa(one, place)
    angle = np.linspace(0.0, 2.0 * np.pi, 2000, endpoint=False)
    found = []
    for phase in np.linspace(0.0, 2.0 * np.pi, 9):
        signal = sizes["shaft_rate"] * np.sin(angle) + sizes["blade_rate"] * np.sin(4.0 * angle + phase)
        each = [float(rules.damage_per_cycle(r, place.curve)) for r in count_by_rainflow(signal / 2.0)]
        found.append(60.0 * 340.0 * sum(each))
    ours = float(fatigue.used_up(one, place))
    assert max(found) <= ours * (1 + 1e-9)
    assert ours <= 1.5 * max(found)


@pytest.mark.parametrize("surroundings", ["protected", "bare"])
def test_pulses_on_top_of_waves_by_rainflow(surroundings: Surroundings) -> None:
    """Every wave, the small ones too, carries the whole of the quicker range: 300 waves with twelve pulses in each. One
    spectrum up to the sum of both greatest would be short of what a count finds by a fifth to a third."""
    curve, count, q, pulse = tables.fatigue_curve("F1", surroundings), 300, 12.0, 18.0
    waves = -q * np.log((np.arange(count) + 0.5) / count)
    angle = np.linspace(0.0, 2.0 * np.pi, 240, endpoint=False)
    signal = (waves[:, None] * np.sin(angle) + pulse * np.sin(12.0 * angle + 0.3)).ravel() / 2.0
    counted = sum(float(rules.damage_per_cycle(r, curve)) for r in count_by_rainflow(signal))
    pulses = 12.0 * count * float(rules.damage_per_cycle(pulse, curve))
    ours = float(rules.damage_by_waves(q * math.log(count), count, curve, pulse))
    assert counted - pulses <= ours <= 1.5 * (counted - pulses)
    assert float(rules.damage_by_waves(q * math.log(count) + pulse, count, curve)) < 0.8 * (counted - pulses)


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("harbour-launch", "fatigue_arm_palm"),
        ("harbour-launch", "fatigue_arm_barrel"),
        ("canal-tender", "fatigue_weld_palm"),
        ("canal-tender", "fatigue_weld_barrel"),
    ],
)
def test_a_long_life_uses_up_what_a_short_one_does_not(name: str, code: str) -> None:
    """Hints, as the size of the loads is an assumption."""
    short, long = (judged(run(STRUTS[name], (hours, 1.0)))[code] for hours in (1.0, 1e6))
    if code == "fatigue_arm_barrel":
        assert short.utilisation < long.utilisation  # a strong place lasts
    else:
        assert short.utilisation < 1.0 < long.utilisation
    assert {short.verdict, long.verdict} == {Verdict.HINT}
    assert "lasts" in short.about("mm")


def test_steel_under_loads_of_the_files_own_is_judged() -> None:
    """A force measured at blade rate and in turns: the published curve decides; without it, and in bronze, a hint."""
    steel = run(STRUTS["coaster-steel"], (5000.0, 1.0))
    small, large = judged(steel, pushed(50.0)), judged(steel, pushed(20_000.0))
    for code in ("fatigue_arm_palm", "fatigue_weld_palm"):
        assert (small[code].verdict, large[code].verdict) == (Verdict.OK, Verdict.FAIL)
        assert small[code].standing is Standing.PRACTICE
    for code in ("fatigue_arm_barrel", "fatigue_weld_barrel"):
        assert small[code].verdict is Verdict.OK
        assert judged(steel, pushed(400_000.0))[code].verdict is Verdict.FAIL
    half = judged(steel, pushed(20_000.0, ("blade_rate",)))
    bronze = judged(run(STRUTS["harbour-launch"], (5000.0, 1.0)), pushed(20_000.0))
    assert half["fatigue_arm_palm"].verdict is bronze["fatigue_arm_palm"].verdict is Verdict.HINT
    assert half["fatigue_arm_palm"].utilisation > 1.0


def test_a_case_without_its_size_is_told() -> None:
    case = LoadCase.model_validate({"name": "push", "terms": [{"source": "force"}], "comes_and_goes": "blade_rate"})
    found = judged(STRUTS["coaster-steel"], Loads(cases=[case]))
    assert {f.verdict for f in found.values()} == {Verdict.NOT_CHECKED}
    assert found["fatigue_tip"].parameter == "loads.cases"


def test_a_skeg_tires_by_turns_of_its_rudder() -> None:
    strut = resolve(load(shipped()["yawl-with-heel"])).strut
    short, long = (judged(run(strut, (hours, 1.0))) for hours in (100.0, 1e6))
    for code in ("fatigue_skeg", "fatigue_weld_skeg"):
        assert short[code].utilisation < 1.0 < long[code].utilisation
        assert short[code].utilisation == pytest.approx(long[code].utilisation / 1e4, rel=1e-6)
        assert "blade rate" not in short[code].about("mm")


def test_hours_with_a_tip_missing() -> None:
    """By the curve at full speed: 13.617 or 14.832 less 5 log of the range, pulses and turning force together."""
    one = of("coaster-steel")
    found = fatigue.numbers(one)
    toe = next(p for p in fatigue.places(one) if p.code == "fatigue_arm_palm")
    per_n = float(toe.reply("propeller", None) * toe.factor)
    pulses = float(fatigue.ranges_mpa(one, toe)["blade_rate"])
    together = 2.0 * per_n * float(load_cases.amplitudes(one)["blade_tip"]) + pulses
    curve = min(10 ** (14.832 - 5 * math.log10(together)), 10**99)
    steep = 10 ** (11.299 - 3 * math.log10(together))
    each = 1.0 / max(curve, steep) + 3.0 / 10 ** (14.832 - 5 * math.log10(pulses))
    assert found["fatigue_tip"].capacity == pytest.approx(1.0 / (each * 60.0 * 340.0), rel=1e-3)


@pytest.mark.parametrize(("thicker", "over"), [(0.75, True), (1.5, False)])
def test_a_missing_tip_cracks_a_thin_arm_before_it_is_found(thicker: float, over: bool) -> None:
    one = of("coaster-steel")
    thin = tuple(replace(a, thickness_palm_mm=thicker * a.thickness_palm_mm) for a in one.arms)
    assert bool(fatigue.numbers(replace(one, arms=thin))["fatigue_tip"].utilisation > 1.0) is over


@pytest.mark.parametrize(
    ("metal", "says"), [("316L", "184 MPa"), ("S32205", "450 MPa"), ("C95800", ""), ("S275", None)]
)
def test_what_is_known_of_the_metal(metal: str, says: str | None) -> None:
    """184 MPa at 1e7 in air of 316L, of duplex its proof strength (second-hand); of bronze nothing, which is told."""
    found = judged(replace(STRUTS["canal-tender"], material=metal)).get("fatigue_metal")
    assert (found and found.measure("mm")) == says
    if metal == "C95800":
        assert found is not None
        assert "no figure" in found.about("mm")


def test_a_whole_blade_lost_leaves_minutes() -> None:
    found = judged(STRUTS["coaster-steel"])["fatigue_blade"]
    assert found.verdict is Verdict.INFORMATION
    assert 0.0 < found.actual < 60.0
    assert found.unit == "min"
    assert "arm at the palm" in found.about("mm")


def test_a_weld_through_the_plate_has_no_root() -> None:
    weld = replace(STRUTS["canal-tender"].weld, prep="double_bevel", root_face_mm=2.0)
    found = judged(replace(STRUTS["canal-tender"], weld=weld))["fatigue_weld_palm"]
    assert found.actual == 0.0
    assert "right through the plate" in found.about("mm")


# --- files and reports ----------------------------------------------------------------------------------------------

TEXT = """
identity: {name: Use, hand: centre}
construction: welded
materials: {strut: S275, anodes: yes}
shaft: {diameter: 35}
arms: {arrangement: single, section: {shape: flat, chord: 95, thickness: 20, edge_radius: 8}}
palm: {thickness: 14, outline: {shape: rectangle, length: 210, width: 110, corner_radius: 20}}
bolts: {size: M10, pattern: {kind: grid, along: 3, across: 2, pitch_along: 82, pitch_across: 74}}
hull: {shaft_angle: {to_waterline: 9 deg}, run: 0, drop: {square_to_shaft: 300}}
propeller: {diameter: 480, blades: 3, mass: 11 kg}
"""
DUTY = "duty: {power: 40 kW, shaft_speed: 1300 rpm, boat_speed: 9 kn, use: [%s]}\n"


def test_a_file_says_how_the_boat_is_run() -> None:
    use = "{name: cruising, hours: 4000, speed: 0.77}, {name: full, hours: 900}"
    made = resolve(loads(TEXT + DUTY % use, "use"))
    assert made.strut.duty.use == (Use("cruising", 4000.0, 0.77), Use("full", 900.0, 1.0))
    inputs = Inputs.from_strut(made.strut, made.said.loads)
    assert fatigue.hours_of_life(inputs) == 4900.0
    assert "4900 h" in judged(made.strut)["fatigue_arm_palm"].about("mm")


@pytest.mark.parametrize("use", ["{name: x, hours: 0}", "{name: x, hours: 5, speed: 1.2}", "{hours: 5}"])
def test_a_use_that_makes_no_sense_is_refused(use: str) -> None:
    with pytest.raises(ParameterError):
        loads(TEXT + DUTY % use, "use")


def test_what_the_file_does_not_say_is_named() -> None:
    found = judged(resolve(loads(TEXT, "short")).strut)
    assert {f.verdict for f in found.values()} == {Verdict.HINT, Verdict.INFORMATION}
    assert "duty.power" in found["fatigue_arm_palm"].missing
    assert fatigue.fatigue_table(resolve(loads(TEXT, "short")).strut) == []


def test_the_table_says_range_cycles_and_life_of_each_place() -> None:
    rows = fatigue.fatigue_table(run(STRUTS["coaster-steel"], (1000.0, 1.0)))
    assert all(tuple(row) == fatigue.COLUMNS for row in rows)
    places = ["arm at the barrel", "arm, weld to the barrel", "arm at the palm", "arm, weld to the palm"]
    assert [row["place"] for row in rows] == places
    assert rows[0]["million cycles"] == "81.6"  # 4 x 340 x 60 x 1000
    assert rows[3]["detail and curve"] == "weld root, curve W3 of protected steel in sea water"


@pytest.mark.parametrize(("units", "unit"), [("mm", "MPa"), ("in", "psi")])
def test_the_report_shows_the_table(units: Any, unit: str) -> None:
    rows = fatigue.fatigue_table(STRUTS["coaster-steel"])
    made = Report(
        name="Strut",
        drawing_number="S-1",
        revision="A",
        hand="centre",
        units=units,
        version="0",
        parameters_name="strut.yaml",
        parameters_sha256="0" * 64,
        findings=(),
        values=(),
        weights=(),
        cautions=(),
        fatigue=tuple(rows),
    )
    for text in (report_text(made), report_html(made)):
        assert "Fatigue, ranges at full speed" in text
        assert f"blade rate {unit}" in text
    assert json.loads(report_json(made))["fatigue"] == rows
    assert "Fatigue" not in report_text(replace(made, fatigue=()))


def test_the_paths_of_a_vee_are_both_looked_at() -> None:
    strut = resolve(load(shipped()["pilot-vee"])).strut
    names = [row["place"] for row in fatigue.fatigue_table(strut)]
    assert len(names) == 8
    assert sum(name.startswith("port arm") for name in names) == 4
