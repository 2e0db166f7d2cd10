"""Properties of candidates: arrays equal one strut at a time, and the laws of mechanics hold for them.

Sources: the scalar checks (each held to its own sources elsewhere); scaling and symmetry are elementary mechanics.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from support import SETS, THOROUGH

from strutwright.models.checks import geometry_checks, geometry_of_many
from strutwright.models.checks.engineering import Inputs, all_numbers, engineering_findings
from strutwright.models.checks.results import outcomes_of
from strutwright.models.finding import Verdict
from strutwright.models.geometry import toe_bound
from strutwright.models.geometry.footprints import POINTS
from strutwright.models.geometry.polygons import distance_to_polygon
from strutwright.models.resolve import resolve
from strutwright.models.sections import boundary_points, kind_names
from strutwright.models.sizing.axes import kind_of
from strutwright.models.sizing.candidates import VARIABLES, candidates, why_not
from strutwright.models.sizing.judge import Judge, engineering_numbers
from strutwright.models.sizing.study import with_values
from strutwright.params import limits
from strutwright.params.loader import Loaded, load, loads, shipped
from strutwright.params.problems import ParameterError

LIMITS = limits.standard()
# A failing example is told as it was found: to shrink it would take minutes.
FEW = settings(
    max_examples=50 if THOROUGH else 2,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)
LOADED = {name: load(shipped()[name]) for name in SETS}


def _values(name: str, draw: Any) -> dict[str, Any]:
    """Some values within a quarter of the file's own, of variables that can go together."""
    resolved = resolve(LOADED[name])
    records = {r.path: r.value for r in resolved.records}
    cast = resolved.strut.construction == "cast"
    out: dict[str, Any] = {}
    for path in VARIABLES:
        value = records.get(path)
        other = path.startswith("welds." if cast else "arms.root_fillet")
        if not isinstance(value, float) or value == 0 or other or why_not(resolved, (*out, path)):
            continue
        if draw(st.booleans()):
            out[path] = np.array(
                [round(value * k, 4) for k in draw(st.lists(st.floats(0.75, 1.3), min_size=3, max_size=3))]
            )
    # A file's own edge radius may by chance be just half of the thinner end: those edges are half round all along.
    edge = LOADED[name].said.arms.section.edge_radius
    if edge is not None and "arms.section.thickness_at_palm" in out and draw(st.booleans()):
        out["arms.section.thickness_at_palm"][0] = 2.0 * edge
    for path in ("palm.offset.forward", "palm.offset.port"):
        if not why_not(resolved, (*out, path)) and draw(st.booleans()):
            out[path] = np.array([round(x, 3) for x in draw(st.lists(st.floats(-8, 8), min_size=3, max_size=3))])
    return out


ROUND_AN_ARM = {
    "rim_to_arm_root",
    "driver_to_arm",
    "arm_on_palm",
    "screw_clear_of_arm",
    "arm_on_parallel_part",
    "arm_on_barrel",
    "root_on_barrel",
}
"""In a search a bound on the safe side stands for the ball."""
ROOTS = {"root_on_barrel", "root_on_palm", "skeg_root"}
"""Of many struts only whether they fit is worked out, not how large they may be."""


@FEW
@given(st.sampled_from(SETS), st.data())
def test_candidates_are_the_struts_of_their_files(name: str, data: Any) -> None:
    loaded = LOADED[name]
    values = _values(name, data.draw)
    if not values:
        return
    resolved = resolve(loaded)
    made = candidates(loaded, resolved, values)
    geometry, bounds = (geometry_of_many(made, LIMITS, roll) for roll in (True, False))
    judge = Judge.of(loaded, resolved)
    with np.errstate(all="ignore"):
        numbers = all_numbers(made.inputs)
    judged = judge.judge(values)
    for n in range(3):
        try:
            one = resolve(with_values(loaded, {p: float(v[n]) for p, v in values.items()}))
        except ParameterError:
            assert not made.buildable[n]
            assert judged.level[n] == 2
            continue
        assert made.buildable[n]
        checked = geometry_checks(one.strut, LIMITS)
        wanted = outcomes_of(checked)
        alike = True
        # A search looks only how far a root reaches: one that fits for no other reason is left to the strut's check.
        fits = int(wanted["root_on_barrel"].level) == 0
        for code, held in geometry.items():
            if code not in wanted:  # of one strut nothing is said of what does not stand there
                assert int(_at(held.level, n)) == 0, code
                continue
            if code in ROUND_AN_ARM and fits:
                level = int(_at(bounds[code].level, n))
                assert level >= int(wanted[code].level), code
                assert not _at(bounds[code].utilisation, n) < (1 - 1e-9) * wanted[code].utilisation, code
                alike = alike and level == int(wanted[code].level)
            assert int(_at(held.level, n)) == int(wanted[code].level), code
            if code not in ROOTS:
                assert _at(held.utilisation, n) == pytest.approx(
                    wanted[code].utilisation, rel=1e-5, abs=1e-7, nan_ok=True
                ), code
        alike = alike and fits
        with np.errstate(all="ignore"):
            for code, demand in all_numbers(Inputs.from_strut(one.strut, one.said.loads)).items():
                assert _at(numbers[code].demand, n) == pytest.approx(
                    float(demand.demand), rel=1e-7, abs=1e-9, nan_ok=True
                ), code
                assert _at(numbers[code].utilisation, n) == pytest.approx(
                    float(demand.utilisation), rel=1e-7, abs=1e-9, nan_ok=True
                ), code
        found = outcomes_of([*checked, *engineering_findings(one.strut, one.said.loads)])
        assert not alike or int(judged.level[n]) == max(int(h.level) for h in found.values())


def _at(value: Any, n: int) -> float:
    return float(np.broadcast_to(value, (3,))[n])


@settings(FEW, max_examples=200)
@given(st.sampled_from(kind_names()), st.floats(0.12, 0.45), st.floats(-1.5, 1.5), st.floats(-1.5, 1.5), st.booleans())
def test_distance_to_a_section(kind: Any, thick: float, u: float, v: float, clockwise: bool) -> None:
    """Against the plain distance to every side, as `checks.shapes` has it, for sections as thin as the checks allow."""
    polygon = boundary_points(kind, 2.0, 2.0 * thick, POINTS)
    if clockwise:
        polygon = polygon[::-1]
    plain = float(distance_to_polygon(np.array([[u, v]]), polygon)[0])
    got = float(
        toe_bound.distance(
            np.array([u]),
            np.array([v]),
            polygon[:, :1].copy(),
            polygon[:, 1:].copy(),
            np.array([0]),
            -1.0 if clockwise else 1.0,
        )[0]
    )
    if plain > 1e-9:
        assert got == pytest.approx(plain, abs=1e-9)
    else:
        assert got <= 1e-9


# --- laws -------------------------------------------------------------------------------------------------------------


def _scaled(loaded: Loaded, s: float) -> Loaded:
    """A file with every length s times as long, by its resolved record."""
    import yaml

    data = yaml.safe_load(yaml.safe_dump(loaded.document.data))
    _stretch(data, "", s)
    return loads(yaml.safe_dump(data))


def _stretch(at: Any, path: str, s: float) -> None:
    for key, value in list(at.items()) if isinstance(at, dict) else list(enumerate(at)):
        here = f"{path}.{key}".lstrip(".") if isinstance(at, dict) else f"{path}[{key}]"
        if isinstance(value, (dict, list)):
            _stretch(value, here, s)
        elif isinstance(value, (int, float)) and not isinstance(value, bool):
            try:
                kind = kind_of(here)
            except (ValueError, KeyError):
                kind = None
            if kind is not None and kind.name == "length":
                at[key] = value * s


PLAIN = """
identity: {name: scale, hand: centre}
construction: cast
materials: {strut: C95800}
shaft: {diameter: 40, bearing_span: 1200}
bearing: {outside_diameter: 55, length: 160, shell: 3, running_clearance: 0.15, outside_upper: 0.05,
  outside_lower: 0.03, flutes: {count: 8, width: 6, depth: 2}}
barrel: {length: 166, outside_diameter: 77, bore: 55, lead_in: {aft: {length: 2, angle: 20}, forward: {length: 1,
  angle: 45}}}
arms:
  arrangement: single
  section: {shape: foil, chord: 100, thickness: 24}
  root_fillet: {barrel: 8, palm: 9}
palm: {thickness: 16, outline: {shape: rectangle, length: 200, width: 120, corner_radius: 20}}
bolts: {size: M12, pattern: {kind: grid, along: 3, across: 2, pitch_along: 70, pitch_across: 80}}
hull: {shaft_angle: {to_waterline: 10}, run: 0, drop: {square_to_shaft: 260}}
propeller: {hub_length: 80, hub_gap: 20}
"""


@settings(FEW, max_examples=12)
@given(st.floats(0.7, 1.8))
def test_scaling(s: float) -> None:
    """Lengths s: areas s2, volumes and weights s3, second moments s4; stress under own weight s."""
    one, other = (Inputs.from_strut(resolve(x).strut) for x in (loads(PLAIN), _scaled(loads(PLAIN), s)))
    a, b = one.arms[0], other.arms[0]
    p, q = a.section_at(a.start_mm), b.section_at(b.start_mm)
    assert float(q.area_mm2) == pytest.approx(s**2 * float(p.area_mm2), rel=1e-9)
    assert float(q.ixx_mm4) == pytest.approx(s**4 * float(p.ixx_mm4), rel=1e-9)
    assert b.length_mm == pytest.approx(s * a.length_mm, rel=1e-9)
    assert other.palms[0].area_mm2 == pytest.approx(s**2 * one.palms[0].area_mm2, rel=1e-9)
    # Bolts and set screws come in sizes and do not scale: take them out of the weights.
    bare = [_without_holes(i) for i in (one, other)]
    w1, w2 = (float(all_numbers(i)["strut_weight"].demand) for i in bare)
    assert w2 == pytest.approx(s**3 * w1, rel=1e-9)
    heavy = [_with_propeller(i, kg) for i, kg in ((one, 10.0), (other, 10.0 * s**3))]
    s1, s2 = (float(all_numbers(i)["arm_stress_weight"].demand) for i in heavy)
    assert s2 == pytest.approx(s * s1, rel=1e-9)


def _without_holes(i: Inputs) -> Inputs:
    from dataclasses import replace

    return replace(i, screw_total=0, bolt_hole_mm=1e-9, bolt_head_mm=1e-9)


def _with_propeller(i: Inputs, kg: float) -> Inputs:
    from dataclasses import replace

    return replace(i, propeller_kg=kg)


@FEW
@given(
    st.sampled_from(["harbour-launch", "coastal-pair", "survey-launch", "day-cruiser"]),
    st.lists(st.floats(1.0, 1.5), min_size=4, max_size=4),
)
def test_a_thicker_wall_never_raises_the_use_of_the_barrel(name: str, grown: list[float]) -> None:
    loaded = LOADED[name]
    resolved = resolve(loaded)
    wall = np.sort(np.array(grown)) * resolved.strut.barrel.wall_mm
    made = candidates(loaded, resolved, {"barrel.wall": wall})
    found = geometry_of_many(made, LIMITS)
    with np.errstate(all="ignore"):
        numbers = all_numbers(made.inputs)
    for use in (
        found["barrel_wall"].utilisation,
        found["screw_thread_in_wall"].utilisation,
        numbers["barrel_hoop"].utilisation if "barrel_hoop" in numbers else 0.0 * wall,
    ):
        use = np.broadcast_to(use, wall.shape)
        assert (np.diff(use[np.isfinite(use)]) <= 1e-9).all()
    assert (np.diff(numbers["strut_weight"].demand) >= -1e-9).all()


@FEW
@given(st.sampled_from(["coastal-pair", "patrol-vee-pair"]), st.floats(0.8, 1.25))
def test_port_and_starboard_are_judged_alike(name: str, k: float) -> None:
    loaded = LOADED[name]
    resolved = resolve(loaded)
    made = resolve(with_values(loaded, {"arms.section.chord": k * resolved.strut.arms[0].chord_barrel_mm}))
    both = [
        outcomes_of([*geometry_checks(strut), *engineering_findings(strut, made.said.loads)])
        for strut in (made.of_hand("port"), made.of_hand("starboard"))
    ]
    assert both[0].keys() == both[1].keys()
    for code, held in both[0].items():
        assert held.level == both[1][code].level, code
        assert held.utilisation == pytest.approx(both[1][code].utilisation, rel=1e-6, nan_ok=True), code


@settings(FEW, max_examples=10)
@given(st.floats(70.0, 130.0), st.floats(16.0, 30.0))
def test_inches_and_millimetres_are_judged_alike(chord: float, thickness: float) -> None:
    """The same strut said in inches: what is derived is given, so that only the units differ."""
    import yaml

    metric = yaml.safe_load(PLAIN)
    metric["arms"]["section"] |= {"chord": round(chord, 3), "thickness": round(thickness, 3)}
    metric["set_screws"] = {
        "thread": "M8",
        "dimple_depth": 1.5,
        "positions": [{"end": end, "distance": 40, "clock": 90} for end in ("bearing_aft", "bearing_forward")],
    }
    metric["bolts"]["head_standard"] = "ISO 10642"
    inch = yaml.safe_load(yaml.safe_dump(metric))
    _stretch(inch, "", 1.0 / 25.4)
    inch["units"] = "in"
    found = []
    for data in (metric, inch):
        one = resolve(loads(yaml.safe_dump(data)))
        found.append(outcomes_of([*geometry_checks(one.strut), *engineering_findings(one.strut, one.said.loads)]))
    assert found[0].keys() == found[1].keys()
    for code, held in found[0].items():
        assert held.level == found[1][code].level, code
        assert held.utilisation == pytest.approx(found[1][code].utilisation, rel=1e-6, nan_ok=True), code


def test_hints_never_decide() -> None:
    """A value of low confidence is a hint: no candidate warns or fails by it."""
    for name in SETS:
        loaded = LOADED[name]
        resolved = resolve(loaded)
        judge = Judge.of(loaded, resolved)
        hints = {
            f.code
            for f in engineering_findings(resolved.strut, resolved.said.loads)
            if f.verdict is Verdict.HINT and math.isfinite(f.utilisation)
        }
        numbers = engineering_numbers(judge.base, resolved, judge.base)
        meant = judge.severity(judge.base, frozenset(numbers))
        assert not hints & {code for code, severity in meant.items() if severity.broken}
