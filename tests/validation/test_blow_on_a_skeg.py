"""A blow on the skeg: what ends it, what it hands on, and the barrel's wall that hands it on.

Independent of the program's formulas: plain statics of the chain foot, fin, arm in vectors with sections integrated
strip by strip, and the wall as a ring by linear programming over all forces in balance.
"""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from property.random_sets import draw_set
from scipy.optimize import linprog
from strength_support import inputs_of
from support import every

from strutwright.models.checks.engineering import all_numbers, engineering_findings
from strutwright.models.checks.strength import grounding, load_cases, load_paths, skeg_blows
from strutwright.models.finding import Verdict
from strutwright.models.formulas.barrel_ring import wall_lever_mm
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sections import any_properties
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError

BOTH = ("yawl-with-heel", "sloop-with-skeg")


def _set(name: str, *changes: tuple[str, str]) -> Resolved:
    text = shipped()[name].read_text()
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return resolve(loads(text))


def _skegs() -> list[Inputs]:
    """Of the random sets those with a skeg."""
    made = []
    for number in every(range(0, 1200), 40):
        try:
            strut = resolve(loads(json.dumps(draw_set(number)))).strut
        except ParameterError:
            continue
        if strut.skeg is not None:
            made.append(Inputs.from_strut(strut))
    return made


def _fin_plastic_mm3(one: Inputs, along: float, *, sideways: bool) -> float:
    """Plastic modulus of the fin there by what the shape library gives for its kind, at a station of our own."""
    s: Any = one.skeg
    root = s.root_forward_x_mm - s.root_aft_x_mm
    chord = root + along * (s.tip_chord_mm - root)
    thick = s.thickness_root_mm + along * (s.thickness_tip_mm - s.thickness_root_mm)
    made = any_properties(s.section, chord, thick)
    return float(made.zxx_mm3 if sideways else made.zyy_mm3)


def test_the_fin_and_the_foot_by_hand() -> None:
    """The yawl: a plate 130 to 100 long, 25 thick, that ends in a half round, and a foot of 36 x 40, 310 mm long
    from the fin, 34 down on 410."""
    hits = skeg_blows.from_side(inputs_of("yawl-with-heel"))
    assert hits["skeg_heel"].skeg_n == pytest.approx(
        170.0 * 36.0 * 40.0**2 / 4.0 / (310.0 * np.hypot(1.0, 34.0 / 410.0))
    )
    # strip by strip: half the thickness squared over 130 mm, of which 12.5 are a half round
    x = (np.arange(200_000) + 0.5) * 130.0 / 200_000
    half = np.where(x < 12.5, np.sqrt(np.maximum(12.5**2 - (12.5 - x) ** 2, 0.0)), 12.5)
    modulus = float(np.sum(half**2) * 130.0 / 200_000)
    assert hits["skeg_aft"].skeg_n == pytest.approx(170.0 * modulus / (324.0 - 41.5), rel=2e-3)


@pytest.mark.parametrize("one", [*map(inputs_of, BOTH), *_skegs()])
def test_a_blow_bends_the_weakest_section_and_no_other_by_more(one: Inputs) -> None:
    """At the force that ends it no section of fin or foot bears more than plastically, to 4 % between stations, and one
    of fin, foot or arm is used up, or none is counted on."""
    skeg: Any = one.skeg
    y, root = one.strut.yield_mpa, one.barrel_outside_mm / 2.0
    for way, hit in skeg_blows.from_side(one).items():
        below, used = -float(hit.at_mm[2]), []
        for along in np.linspace(0.0, 1.0, 81):
            lever = below - (root + along * (skeg.depth_mm - root))
            used.append(lever / (y * _fin_plastic_mm3(one, float(along), sideways=True)))
        if way == "skeg_heel":
            foot = skeg.heel.foot_height_mm * skeg.heel.foot_thickness_mm**2 / 4.0
            used.append(float(skeg_blows.foot_reach_mm(skeg)) / (y * foot))
        assert 1.0 - 1e-9 < float(hit.skeg_n) * max(used) < 1.04
    ahead = skeg_blows.from_ahead(one)
    assert ahead is not None
    below = -float(ahead.at_mm[2])
    used = [
        (below - (root + k * (skeg.depth_mm - root))) / (y * _fin_plastic_mm3(one, float(k), sideways=False))
        for k in np.linspace(0.0, 1.0, 81)
    ]
    assert 1.0 - 1e-9 < float(ahead.skeg_n) * max(used) < 1.04


@pytest.mark.parametrize("one", [*map(inputs_of, BOTH), *_skegs()])
def test_what_reaches_palm_and_arm_by_vectors(one: Inputs) -> None:
    """Force and moment on all palms together are those of the blow, and a single arm is bent as far as it is counted
    on and nowhere further."""
    found = load_paths.paths(one)
    size = float(load_cases.still(one)["skeg_side"])
    for way, hit in skeg_blows.from_side(one).items():
        force = float(hit.least_n) * np.array(hit.toward, dtype=float)
        origin = np.array([float(found.root_x_mm), 0.0, 0.0])
        moment = np.cross(np.array(hit.at_mm, dtype=float) - origin, force)
        total = np.zeros(6)
        for k, beam in enumerate(found.beams):
            load = [float(part) for part in found.arm_loads[way][k]]
            turned = (beam.turned_back(tuple(load[:3])), beam.turned_back(tuple(load[3:])))  # type: ignore[arg-type]
            total += size * np.array([*turned[0], *turned[1]], dtype=float)
        assert total == pytest.approx([*force, *moment], abs=1e-6 * float(np.abs(moment).max()))
        if len(found.beams) == 1:
            _bent(one, force / np.linalg.norm(force), hit)


def _bent(one: Inputs, toward: np.ndarray[Any, Any], hit: skeg_blows.Blow) -> None:
    beam = load_paths.paths(one).beams[0]
    axes = [np.array(v, dtype=float) for v in (beam.chord, beam.across, beam.along)]
    used = []
    for at, cut in zip(beam.stations_mm, beam.sections, strict=True):
        place = np.array([float(one.arms[0].x_mm), 0.0, 0.0]) + float(at) * axes[2]
        moment = np.cross(np.array(hit.at_mm, dtype=float) - place, toward)
        used += [abs(moment @ axes[0]) / float(cut.zxx_mm3), abs(moment @ axes[1]) / float(cut.zyy_mm3)]
    # the centroid of a foil stands off its axis, which moves the moment along the chord a little
    assert float(hit.arm_n) * max(used) == pytest.approx(one.strut.yield_mpa, rel=0.02)


def test_the_wall_between_skeg_and_arm_as_a_ring() -> None:
    """By linear programming over pull and bending at 181 sections: never bears less than is counted, but for 1.5 %."""
    draw = np.random.default_rng(3)
    for _ in every(range(400), 10):
        r, starts, ends = draw.uniform(20.0, 200.0), draw.uniform(0.05, 1.1), math.pi - draw.uniform(0.05, 1.4)
        wall, below = r * draw.uniform(0.05, 0.6), r * draw.uniform(1.2, 15.0)
        turned = np.linspace(starts, ends, 181)
        bends = np.column_stack([(below - r * np.cos(turned)) / 2.0, -r * np.sin(turned)])
        pulls = wall / 4.0 * np.column_stack([np.abs(np.cos(turned)) / 2.0, np.sin(turned)])
        most = linprog([-1.0, 0.0], A_ub=np.vstack([bends + pulls, pulls - bends]), b_ub=np.ones(362))
        assert 0.985 < wall_lever_mm(r, wall, below, starts, ends) * most.x[0] < 1.3


def test_of_each_check_one_that_passes_and_one_that_fails() -> None:
    whole = {f.code: f for f in engineering_findings(resolve(load(shipped()["yawl-with-heel"])).strut)}
    codes = ("palm_bolts_skeg_side", "palm_bending_skeg_side", "weld_palm_skeg_side", "weld_barrel_skeg_side")
    for code in (*codes, "barrel_skeg_blow", "weld_skeg_blow", "skeg_grounding_hull"):
        assert whole[code].verdict is Verdict.OK, code
    stout = _set("yawl-with-heel", ("thickness: 32}", "thickness: 50}"), ("foot_thickness: 40", "foot_thickness: 60"))
    found = {f.code: f for f in engineering_findings(stout.strut)}
    assert found["palm_bolts_skeg_side"].verdict is Verdict.FAIL
    assert found["palm_bending_skeg_side"].verdict is Verdict.FAIL
    assert "skeg.heel.foot_thickness" in str(found["palm_bolts_skeg_side"].advice)
    slight = {f.code: f for f in engineering_findings(_set("yawl-with-heel", ("  wall: 14", "  wall: 11")).strut)}
    assert slight["barrel_skeg_blow"].verdict is Verdict.WARN
    thin = _set("yawl-with-heel", ("  prep: double_bevel", "  prep: double_bevel\n  skeg_to_barrel_leg: 8"))
    assert {f.code: f for f in engineering_findings(thin.strut)}["weld_skeg_blow"].verdict is Verdict.WARN
    torn = _set("yawl-with-heel", ("  thickness: 22", "  thickness: 5"))
    assert {f.code: f for f in engineering_findings(torn.strut)}["skeg_grounding_hull"].verdict is Verdict.WARN


@pytest.mark.parametrize("name", BOTH)
def test_a_weaker_skeg_never_asks_more_of_the_rest(name: str) -> None:
    one = inputs_of(name)
    skeg: Any = one.skeg
    before: dict[str, float] = {}
    for share in (0.4, 0.7, 1.0, 1.6):
        heel = skeg.heel and replace(skeg.heel, foot_thickness_mm=share * skeg.heel.foot_thickness_mm)
        thick = {n: share * getattr(skeg, n) for n in ("thickness_root_mm", "thickness_tip_mm")}
        made = all_numbers(replace(one, skeg=replace(skeg, heel=heel, **thick)))
        used = {c: float(o.utilisation) for c, o in made.items() if c.endswith("_skeg_side")}
        assert used
        assert all(used[c] >= before.get(c, 0.0) * (1.0 - 1e-9) for c in used)
        before = used


def test_a_grounding_of_the_skeg_tells_what_gives_first() -> None:
    """A skeg of paper is bent before anything else; the yawl's own outlasts its bolts, which have the longer lever."""
    one = inputs_of("yawl-with-heel")
    at_barrel, on_skeg = grounding.grounding_cases(one)
    gives = {part: float(n) for part, n in grounding.weakest(one, on_skeg).items()}
    assert min(gives, key=lambda part: gives[part]) == "palm bolts"
    assert gives["palm bolts"] < float(grounding.weakest(one, at_barrel)["palm bolts"])
    skeg: Any = one.skeg
    paper = replace(one, skeg=replace(skeg, thickness_root_mm=2.0, thickness_tip_mm=2.0))
    gives = {part: float(n) for part, n in grounding.weakest(paper, on_skeg).items()}
    assert min(gives, key=lambda part: gives[part]) == "skeg"
