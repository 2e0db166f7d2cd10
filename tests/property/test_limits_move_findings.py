"""Every row of the table of limits moves a finding, or what a search proposes; the program makes every row of the table
of checks.

The limits of the geometry are tried on the struts on which its checks are seen to break, in tests/validation.
"""

from __future__ import annotations

import ast
import functools
import json
import math
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
import pytest
from checks_broken import BREAKS
from checks_support import read, said
from support import every, own_limits

from strutwright import models
from strutwright.models import checks as geometry
from strutwright.models.checks.engineering import CHECKS, MODULES, OF_FAMILY, all_numbers, engineering_findings
from strutwright.models.checks.results import Results
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.shop.draft import DraftRow
from strutwright.models.shop.foundry import FoundrySpec, foundry_settings
from strutwright.models.shop.pattern_findings import draft_findings, pattern_findings
from strutwright.models.shop.pressing import machining_stock_mm, press_case
from strutwright.models.sizing import search
from strutwright.models.spec import Strut
from strutwright.models.spec_boat import HullPlate
from strutwright.models.struts import Struts
from strutwright.params import checks as table
from strutwright.params import limits
from strutwright.params.limits import OWN, RANGES, Limits
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError

HINTS = {"idle_share", "screw_recess_bought", "rubber_coldest", "chilled_gap", "cup_holding"}
"""Limits that only hints follow, which stand in no table."""
NAMES = sorted({n for c in CHECKS.values() for n in c.limits} | HINTS)


@functools.cache
def struts() -> tuple[Strut, ...]:
    """The struts on which limits are tried: shipped sets, one that fails, and what is rare among them."""
    sets = {n: resolve(load(path)).strut for n, path in shipped().items() if "many-faults" not in n}
    launch, skeg = sets["harbour-launch"], sets["yawl-with-heel"]
    assert skeg.skeg is not None
    assert skeg.skeg.heel is not None
    heel = skeg.skeg.heel
    out = [launch, sets["pilot-vee"], replace(launch, hull=replace(launch.hull, plate=HullPlate()))]
    for material in ("plywood", "hardwood", "FRP laminate", "S275"):
        out.append(replace(launch, hull=replace(launch.hull, material=material), backing_plate=False))
        out.append(replace(launch, hull=replace(launch.hull, material=material, thickness_mm=0.5)))
    out.append(replace(launch, material="CF3M"))
    for pintle, wall in ((heel.pintle_mm, 0.0), (heel.pintle_mm, 4.0), (8.0, 0.0), (200.0, 4.0)):
        bushed = replace(heel, pintle_mm=pintle, bore_mm=pintle + 2.0, bush_wall_mm=wall)
        out.append(replace(skeg, skeg=replace(skeg.skeg, heel=bushed)))
    for service in ("light", "pleasure", "long_range", "patrol", "passenger"):
        out.append(replace(launch, duty=replace(launch.duty, service=service, idle_rpm=None)))
    out.append(replace(launch, duty=replace(launch.duty, boat_speed_kn=3.0)))
    out.append(replace(sets["coastal-pair"], duty=replace(sets["coastal-pair"].duty, idle_rpm=None)))
    for length_m in (20.0, 26.0):
        out.append(replace(launch, duty=replace(launch.duty, waterline_length_m=length_m)))
    out.append(read(said("single", {"hull": {"drop": {"square_to_shaft": 640}}})).strut)
    for d in (38.0, 60.0, 90.0):
        out.append(replace(launch, shaft=replace(launch.shaft, diameter_mm=d)))
    for thick in (60.0, 66.0):  # on a rigid hull nearly as stiff as the rubber both ways: whirls almost backward
        thicker = [replace(a, thickness_barrel_mm=thick, thickness_palm_mm=thick) for a in launch.arms]
        out.append(replace(launch, arms=tuple(thicker), hull=replace(launch.hull, thickness_mm=None)))
    for name in ("pilot-vee", "canal-tender"):
        out.append(
            replace(sets[name], construction="welded", hull=replace(sets[name].hull, material="S275", thickness_mm=8.0))
        )
    for change in (
        {"base": {"grain": "along"}},
        {"materials": {"base": "S275"}, "base": {"density": None}, "bolts": {"fastener": "stud"}},
    ):
        out.append(read(said("flanged", change)).strut)
    sleeve = sets["skeg-sleeve"]
    assert sleeve.let_in is not None
    small = tuple(replace(b, outside_mm=20.0) for b in sleeve.bearings)
    out.append(replace(sleeve, let_in=replace(sleeve.let_in, bored_in_place=False), bearings=small))
    shoe = sets["creek-yawl"]
    assert shoe.flange is not None
    out.append(replace(shoe, flange=replace(shoe.flange, fastener="stud", engaged_mm=30.0)))
    out.append(read(said("hanger", {"cap": {"bolts": {"hold": "tapped"}}})).strut)
    return (*out, *sets.values())


def changed(name: str, value: float) -> Limits:
    return own_limits(f"{name}: {value!r}\n")


def values(name: str) -> list[float]:
    """Values of a limit above and below the shipped one, as far as they make sense."""
    row = limits.standard()[name]
    tried = [row.value * 1.3, row.value * 0.7] if row.value else [3.0, -3.0]
    return [v for v in tried if row.makes_sense(v)]


MOVED_IN: dict[str, int] = {}


def moved(name: str, value: float) -> list[Finding]:
    """Return the findings of one strut that a value of a limit moves or adds, else those that it takes away."""
    own, modules = changed(name, value), followers(name)
    first = MOVED_IN.get(name, 0)
    for index in (first, *(k for k in range(len(struts())) if k != first)):
        if found := difference(shipped_of(index, modules), found_by(index, modules, own)):
            MOVED_IN[name] = index
            return found
    return []


def followers(name: str) -> tuple[str, ...]:
    """Return the modules that follow a limit; all of them where only hints do."""
    return tuple(k for k, m in MODULES.items() if any(name in c.limits for c in m.CHECKS)) or tuple(MODULES)


def found_by(index: int, modules: tuple[str, ...], table: Limits) -> list[Finding]:
    strut = struts()[index]
    inputs, own = Inputs.from_strut(strut, limits=table), OF_FAMILY[strut.family]
    with np.errstate(all="ignore"):
        looked = [MODULES[k] for k in modules if k in own]
        return [f for m in looked for f in m.findings(strut, inputs, m.numbers(inputs))]


@functools.cache
def shipped_of(index: int, modules: tuple[str, ...]) -> list[Finding]:
    return found_by(index, modules, limits.standard())


def difference(before: list[Finding], after: list[Finding]) -> list[Finding]:
    """Return the findings whose numbers or verdict are new, else those that are gone."""
    were, are = ({numbers_of(f) for f in found} for found in (before, after))
    return [f for f in after if numbers_of(f) not in were] or [f for f in before if numbers_of(f) not in are]


def numbers_of(f: Finding) -> tuple[object, ...]:
    """Return what a limit may move. The value of a hard limit stands in the words of a finding that breaks it."""
    hard = str(f.what).partition("the hard limit of ")[2]
    return f.code, f.verdict, repr(f.demanded), repr(f.actual), repr(f.utilisation), hard


@pytest.mark.parametrize("name", every(NAMES, 5))
def test_every_limit_of_the_engineering_moves_a_finding_up_and_down(name: str) -> None:
    each = [moved(name, value) for value in values(name)]
    assert all(each)
    found = [f for fs in each for f in fs]
    follows = [f for f in found if f.code in CHECKS]
    for f in follows:
        assert f.source == OWN, f.code
        assert f.standing in (Standing.PRACTICE, Standing.LOW)
    assert follows or any(f.source == OWN for f in found)


GEOMETRY = sorted({n for c in geometry.CHECKS.values() for n in c.limits})
RULES = {
    "ec3": ("bolt_edge_ec3", "bolt_pitch_ec3_along", "bolt_pitch_ec3_across"),
    "light_craft": ("bolt_edge_light_craft", "bolt_pitch_light_craft"),
    "aerospace": ("bolt_edge_aerospace", "bolt_pitch_aerospace"),
    "aisc": ("bolt_edge_aisc_small", "bolt_edge_aisc_large", "bolt_pitch_aisc"),
}
"""Limits that only a rule for bolts follows which the file has to choose."""
At: TypeAlias = "tuple[str, str]"
"""A variant of the trials of the checks, and what is changed in it."""


@functools.cache
def trial(variant: str, change: str) -> Resolved:
    """Return a strut of the trials of the checks.

    change: number of a row in which a check breaks, a rule for bolts, a shaft angle in degrees, or a shaft and a
    bearing in mm, by which it is settled which of two limits rules.
    """
    if change in RULES:
        large = {"size": "M20", "pattern": {"pitch_along": 50}}
        return read(said(variant, {"bolts": {"edge_rule": change, **(large if variant == "over" else {})}}))
    if change.endswith("deg"):
        return read(said(variant, {"hull": {"shaft_angle": {"to_waterline": change}}}))
    if "/" not in change:
        return read(said(variant, BREAKS[int(change)][2] if change else {}))
    shaft_mm, bearing_mm = map(float, change.split("/"))
    found = trial(variant, "")
    s = found.strut
    bearings = tuple(replace(b, outside_mm=bearing_mm) for b in s.bearings)
    return replace(found, strut=replace(s, shaft=replace(s.shaft, diameter_mm=shaft_mm), bearings=bearings))


def tried(name: str) -> list[At]:
    """Return the struts on which a limit of the geometry is tried."""
    if name == "angle_not_tangent":
        return [("single", "0.5 deg"), ("single", "0.7 deg")]
    rules = [rule for rule, names in RULES.items() if name in names]
    if rules:
        return [(variant, rule) for variant in ("single", "over") for rule in rules]
    codes = {c.code for c in geometry.CHECKS.values() if name in c.limits}
    broken = [(variant, str(k)) for k, (code, variant, _, _) in enumerate(BREAKS) if code in codes]
    return [*broken, *((v, "") for v in dict(broken)), ("single", "20/30"), ("single", "200/250")]


@functools.cache
def shipped_geometry(at: At, name: str) -> list[Finding]:
    return geometry_found(at, name, limits.standard())


def geometry_found(at: At, name: str, table: Limits) -> list[Finding]:
    """Return what the checks that follow a limit find."""
    resolved, checks = trial(*at), [c for c in geometry.CHECKS.values() if name in c.limits]
    out = Results(Struts.of(resolved.strut), table)
    for module in geometry.OF_FAMILY[resolved.strut.family]:
        if any(c in module.CHECKS for c in checks) or module is geometry.flange:
            out.run(module.check, module.CHECKS)
    found = out.findings or geometry.said_findings(resolved, table)
    return [f for f in found if f.code in {c.code for c in checks}]


def geometry_moved(name: str, value: float) -> list[Finding]:
    """As `moved`, of a limit of the geometry; where it can, of one that says whose the limit is, which a finding that
    breaks plain geometry does not."""
    found = (
        difference(shipped_geometry(at, name), geometry_found(at, name, changed(name, value))) for at in tried(name)
    )
    told = list[Finding]()
    for each in filter(None, found):
        told = told or each
        if any(str(f.source) == OWN for f in each):
            return each
    return told


@pytest.mark.parametrize("name", every(GEOMETRY, 2))
def test_every_limit_of_the_geometry_moves_a_finding_up_and_down(name: str) -> None:
    found = [geometry_moved(name, value) for value in values(name)]
    assert all(found)
    assert any(str(f.source) == OWN for fs in found for f in fs)


@pytest.mark.parametrize("name", sorted({*GEOMETRY} - {"angle_not_tangent"}))
def test_a_limit_of_nought_makes_every_finding_of_the_geometry_still(name: str) -> None:
    """But for the one that only asks whether a rise over a run was meant."""
    if not limits.standard()[name].makes_sense(0.0):
        with pytest.raises(ParameterError, match="makes no sense"):
            changed(name, 0.0)
        return
    for at in tried(name)[:2]:
        before, after = shipped_geometry(at, name), geometry_found(at, name, changed(name, 0.0))
        assert before
        assert Counter(f.code for f in after) == Counter(f.code for f in before)


PATTERN = ("fillet", "fillet_share", "hot_spot", "print_bearing", "tilt", "low_height")
"""Limits of a casting's pattern, which belong to no check of the strut."""
LOW_MM = (2.5, 3.5, 40.0)
"""Heights of faces that open too little, on both sides of what the limit and 0.7 and 1.3 of it allow."""


@functools.cache
def castings() -> tuple[tuple[Strut, FoundrySpec], ...]:
    """Return the cast struts of the shipped sets, also with the thinnest of walls, each with its pattern."""
    read = [resolve(load(path)) for name, path in shipped().items() if "many-faults" not in name]
    out = [(one.strut, foundry_settings(one)) for one in read if one.strut.construction == "cast"]
    thin = [replace(a, thickness_barrel_mm=8.0, thickness_palm_mm=8.0) for a in out[0][0].arms]
    return (*out, (replace(out[0][0], arms=tuple(thin)), out[0][1]))


def pattern_found(table: Limits) -> list[Finding]:
    """Return what there is to say of all of them, and of a face of each height."""
    out = [f for strut, spec in castings() for f in pattern_findings(strut, spec, table)]
    areas = {"area_mm2": 900.0, "asked_deg": 1.5, "undercut_mm2": 0.0, "low_mm2": 800.0}
    for height in LOW_MM:
        row = DraftRow(half="port half", face="arm", worst_deg=0.5, low_height_mm=height, **areas)
        out += draft_findings([row], table)
    return out


@functools.cache
def shipped_pattern() -> list[Finding]:
    return pattern_found(limits.standard())


@pytest.mark.parametrize("name", PATTERN)
def test_every_limit_of_the_pattern_moves_a_finding_up_and_down(name: str) -> None:
    for value in values(f"pattern_{name}"):
        pairs = zip(shipped_pattern(), pattern_found(changed(f"pattern_{name}", value)), strict=True)
        found = [after for before, after in pairs if numbers_of(before) != numbers_of(after)]
        assert found
        assert {(f.source, f.standing) for f in found} == {(OWN, Standing.PRACTICE)}


@pytest.mark.parametrize("name", PATTERN)
def test_a_limit_of_nought_makes_every_finding_of_the_pattern_still(name: str) -> None:
    """But for a low face that nothing was said of: it is told then."""
    before, after = shipped_pattern(), pattern_found(changed(f"pattern_{name}", 0.0))
    told = [f.code for f in before]
    if name == "low_height":
        assert told.count("pattern_draws") == 1
        told[told.index("pattern_draws")] = "pattern_low_draft"
    assert [f.code for f in after] == told
    assert any(f.source == OWN for f in after)
    for one, other in zip(before, after, strict=True):
        assert math.isnan(one.demanded) == math.isnan(other.demanded) or one.code == "pattern_draws"


PRESS = ("strain", "strain_duplex", "curl", "yield", "strip", "share", "stock")
"""Limits of pressing a curled palm flat, which stand on paper only."""


@functools.cache
def curled() -> tuple[Strut, ...]:
    """Return struts with a palm that is just strained too far, or just not, in pressing it cold."""
    base = read(said("vee", {})).strut
    return tuple(
        replace(base, material=metal, palms=tuple(replace(p, thickness_mm=thick) for p in base.palms))
        for metal, thick in (("316L", 7.0), ("316L", 9.0), ("S32205", 14.0), ("S32205", 17.0))
    )


def press_said(table: Limits) -> list[tuple[object, ...]]:
    """Return what is said of each: whether and by which press it can be pressed flat, and what its plate is bought."""
    out: list[tuple[object, ...]] = []
    for one in curled():
        case = press_case(one, one.arms[0], table)
        stock = machining_stock_mm(one, case.palm, table, inch=False)
        out.append((case.strained_too_far, case.too_strong(inch=False), stock, case.press_needed_n, case.curl_mm))
    return out


@functools.cache
def shipped_press() -> list[tuple[object, ...]]:
    return press_said(limits.standard())


@pytest.mark.parametrize("name", PRESS)
def test_every_limit_of_pressing_moves_what_is_said_of_a_palm_up_and_down(name: str) -> None:
    for value in values(f"press_{name}"):
        assert press_said(changed(f"press_{name}", value)) != shipped_press()


@pytest.mark.parametrize(("radius", "fits"), [(0.4, (True, False, False)), (0.6, (True, True, False))])
def test_the_least_edge_of_an_arm_decides_what_a_file_may_say(radius: float, fits: tuple[bool, ...]) -> None:
    """At 0.7 of the limit, at it and at 1.3 of it."""
    text = json.dumps(said("single", {"arms": {"section": {"edge_radius": radius}}}))
    for value, good in zip((0.35, 0.5, 0.65), fits, strict=True):
        own = changed("arm_edge_least", value)
        if good:
            assert resolve(loads(text), own).strut.arms[0].edge_radius_mm == radius
        else:
            with pytest.raises(ParameterError, match="is a knife edge"):
                resolve(loads(text), own)


SOUGHT = (
    "sought_ratio_least",
    "sought_ratio_most",
    "sought_palm_thickness",
    "sought_palm_length",
    "sought_palm_width",
    "drag_as_weight",
)
"""Limits of what a search proposes, which no check follows."""
FITTING = ("fitting_loose", "bore_out_of_round", "fitting_warmest", "fitting_no_press")
RUDDER = ("heel_off_stock", "heel_lean", "stock_run_out")
BENCH = (*FITTING, *RUDDER, "line_span", "repair_clean_up", "repair_sleeve_wall", "press_strain_cast")
"""Limits of work at the bench: test_fitting, test_line_of_housings, test_repair, test_rudder_stock and
test_straightening in tests/validation move them."""
WISH: dict[str, Any] = {
    "construction": "cast",
    "shaft": {"diameter": 30, "bearing_span": 1000},
    "bearing": {"outside_diameter": 45, "length": 120},
    "barrel": {"wall": 9, "length": 124},
    "arms": {"section": {"chord_at_palm": 150, "thickness_at_palm": 45}},
    "bolts": {"size": "M8", "pattern": {"along": 2, "across": 2}},
    "hull": {"drop": {"square_to_shaft": 250}, "shaft_angle": {"to_hull": "9 deg"}, "thickness": 14},
    "propeller": {"diameter": 380, "blades": 3, "mass": "8 kg", "hub_length": 65, "hub_gap": 15},
    "duty": {"power": "20 kW", "shaft_speed": "1000 rpm", "boat_speed": "25 kn"},
}
"""What is known of a strut that is sought: with a foot so thick that it rules how wide its palm is at least."""


def proposed(table: Limits) -> tuple[float, dict[str, float]]:
    """Return what the best of a short search is reckoned to cost, and its sizes."""
    with pytest.MonkeyPatch.context() as short:
        short.setattr(search, "SPREAD", 128)
        short.setattr(search, "CLOSER", ())
        best = search.size(WISH, table).best
    return best.cost_kg, dict(best.sizes)


@functools.cache
def shipped_proposed() -> tuple[float, dict[str, float]]:
    return proposed(limits.standard())


@pytest.mark.parametrize("name", every(SOUGHT, 6))
def test_every_limit_of_a_search_moves_what_it_proposes_up_and_down(name: str) -> None:
    for value in values(name):
        assert proposed(changed(name, value)) != shipped_proposed()


def test_every_row_of_the_table_is_followed() -> None:
    paper = {*(f"pattern_{name}" for name in PATTERN), *(f"press_{name}" for name in PRESS)}
    assert set(limits.standard()) == {
        *GEOMETRY,
        *NAMES,
        *paper,
        *SOUGHT,
        *BENCH,
        "bore_coaxial_welded",
        "arm_edge_least",
    }


def test_a_limit_of_low_confidence_is_judged_once_it_is_the_users() -> None:
    """Of the shop's own choice it is common practice; a hint at a doubtful load stays one."""
    strut = struts()[0]
    for value, verdict in ((0.01, Verdict.WARN), (10.0, Verdict.OK)):
        own = {f.code: f for f in engineering_findings(strut, None, changed("bearing_pressure", value))}
        assert own["bearing_pressure"].verdict is verdict
    own = {f.code: f for f in engineering_findings(strut, None, changed("yield_service", 0.01))}
    assert own["arm_stress_turn"].verdict is Verdict.HINT
    assert own["arm_stress_weight"].verdict is Verdict.FAIL
    assert own["arm_stress_weight"].standing is Standing.PRACTICE


@pytest.mark.parametrize("name", NAMES)
def test_a_limit_of_nought_makes_every_finding_still(name: str) -> None:
    """Nothing is asked for, or nothing allowed: no finding vanishes, none is impossible."""
    if not limits.standard()[name].makes_sense(0.0):
        with pytest.raises(ParameterError, match="makes no sense"):
            changed(name, 0.0)
        return
    modules = followers(name)
    index = MOVED_IN.get(name, next(k for k in range(len(struts())) if shipped_of(k, modules)))
    found = found_by(index, modules, changed(name, 0.0))
    still = [[f for f in fs if f.code != "resonance_in_range"] for fs in (shipped_of(index, modules), found)]
    for before, after in zip(*still, strict=True):
        assert after.code == before.code
        # A rule for ships is a limit for a ship and a comparison for a boat.
        same = math.isnan(after.demanded) == math.isnan(before.demanded)
        assert same or (name, after.code) == ("ship_length", "shaft_by_class"), after.code


@pytest.mark.parametrize(
    ("text", "allowed"),
    [
        ("arm_taper: -1\n", "0 or more"),
        ("joint_partial: 0\n", "above 0"),
        ("hub_share: 1.5\n", "0 to 1"),
        ("vee_angle: 400\n", "180 at most"),
        ("tip_speed: 1e30\n", "at most"),
    ],
)
def test_values_that_make_no_sense_are_told_with_what_does(text: str, allowed: str) -> None:
    with pytest.raises(ParameterError) as caught:
        own_limits(text, "mine.yaml")
    fault = caught.value.problems[0]
    assert (fault.line, fault.what) == (1, "makes no sense as a limit")
    assert allowed in fault.allowed


def test_shipped_limits_make_sense() -> None:
    for row in limits.standard().values():
        assert row.makes_sense(row.value), row.name
        assert row.range in RANGES


def test_every_row_of_the_table_is_made_and_every_number_has_a_row() -> None:
    rows = {row.code: row for row in table.rows()}
    cases = tuple(code for code in rows if "{case}" in rows[code].meaning)
    plain = set(rows) - set(cases)
    worst = {code + grade for code in plain if "{worst}" in rows[code].meaning for grade in ("_warned", "_hinted")}
    assert plain <= set(CHECKS)
    assert all(c.startswith(cases) or c in worst for c in set(CHECKS) - plain)
    made: set[str] = set()
    with np.errstate(all="ignore"):
        for strut in struts():
            for one in (strut, replace(strut, barrel=replace(strut.barrel, fit="slide"))):
                made |= set(all_numbers(Inputs.from_strut(one)))
    assert made <= set(CHECKS)
    assert set(CHECKS) - made == {f"{code}_own" for code in cases}  # no set has load cases of its own
    literals = {
        node.value
        for path in Path(str(models.__path__[0])).glob("checks/**/*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    assert {c for c in plain if not c.startswith("weld_leg_")} <= literals
