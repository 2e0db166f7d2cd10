"""Every check that there is says something of every strut that has what it looks at, and what calls is printed."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Callable
from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
import pytest
from property.random_flanges import draw_flanged
from property.random_hangers import draw_hanger
from property.random_let_in import draw_let_in
from property.random_sets import draw_set
from property.random_shoes import draw_shoe

from strutwright.job import run_checks
from strutwright.models import checks as geometry
from strutwright.models.checks import engineering
from strutwright.models.checks.engineering import MODULES, engineering_findings
from strutwright.models.checks.geometry.bearing import slots_ahead
from strutwright.models.checks.geometry.let_in import SOFT_FAMILIES
from strutwright.models.finding import Finding, Standing, Verdict, in_words, not_checked, ranked, tally
from strutwright.models.finding import at_most as held
from strutwright.models.geometry.flange import ends_in_face
from strutwright.models.inputs import NAN, PATHS, Inputs
from strutwright.models.metals import metal
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.spec import Strut
from strutwright.models.spec_hanger import Cap
from strutwright.models.spec_let_in import LetIn
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError
from strutwright.show import findings_text

THOROUGH = bool(os.environ.get("STRUTWRIGHT_THOROUGH"))
SETS = [name for name in shipped() if not name.startswith("failing/")]
RANDOM = range(200) if THOROUGH else range(0, 200, 40)
DRAWS = (draw_set, draw_flanged, draw_let_in, draw_shoe, draw_hanger)
METALS = ("steel", "aluminium", "stainless", "duplex")


def _vee(s: Strut) -> bool:
    return len(s.arms) > 1


def _heel(s: Strut) -> bool:
    return s.skeg is not None and s.skeg.heel is not None


def _welded(s: Strut) -> bool:
    return s.construction == "welded"


def _never(_: Strut) -> bool:
    return False


def _strut(s: Strut) -> bool:
    return s.family == "strut"


def _spigot(use: str) -> Callable[[Strut], bool]:
    return lambda s: s.flange is not None and s.flange.spigot is not None and s.flange.spigot.use == use


def _through(s: Strut) -> bool:
    return s.flange is not None and not ends_in_face(s.flange.plane, s.barrel)


def _let_in(there: Callable[[LetIn], Any]) -> Callable[[Strut], bool]:
    return lambda s: s.let_in is not None and bool(there(s.let_in))


def _hung(s: Strut) -> bool:
    return s.hanger is not None


def _cap(there: Callable[[Cap], Any] = bool) -> Callable[[Strut], bool]:
    return lambda s: s.hanger is not None and s.hanger.cap is not None and bool(there(s.hanger.cap))


def _chock(s: Strut) -> bool:
    return s.hanger is not None and s.hanger.under.kind == "resin"


def _ribbed(s: Strut) -> bool:
    return s.flange is not None and s.flange.ribs is not None


def _screwed_in(*fasteners: str) -> Callable[[Strut], bool]:
    return lambda s: s.flange is not None and s.flange.fastener in fasteners


def _stands_off(*uses: str) -> Callable[[Strut], bool]:
    return lambda s: any(getattr(step.use, u) for step in s.barrel.steps for u in uses)


def _press(s: Strut) -> bool:
    return s.barrel.fit == "press"


def _screws(s: Strut) -> bool:
    return bool(s.set_screws)


def _tube(s: Strut) -> bool:
    return s.barrel.tube is not None


def _touches(other: Callable[[Strut], str]) -> Callable[[Strut], bool]:
    def there(s: Strut) -> bool:
        return metal(other(s)).family not in ("composite", "timber", "rubber") and other(s) != s.material

    return there


def _less_noble_bolts(s: Strut) -> bool:
    if not s.plates:
        return False
    bolt, own = metal(s.plates[0].bolt.material).potential_v, metal(s.material, _welded(s)).potential_v
    return not bolt >= own


def _edges(it: LetIn) -> tuple[float | None, float | None]:
    return it.structure.above_mm, it.structure.below_mm


def _screws_of(s: Strut) -> str:
    return s.material if s.let_in is None else s.let_in.screw_material


def _closes(it: LetIn) -> bool:
    return it.hold == "pressed" and not it.bored_in_place


NOT_ALWAYS: dict[str, Callable[[Strut], bool]] = {
    # geometry
    "angle_may_be_tangent": _never,  # of the file, not of the strut
    "deadrise_to_confirm": _never,
    "bearing_to_confirm": _never,
    "arm_edge_radius": lambda s: s.arms[0].shape == "flat",
    "flat_arm_speed": lambda s: s.arms[0].shape == "flat",
    "barrel_wall_least": lambda s: s.construction == "cast",
    "barrel_wall_under_flat": lambda s: any(x.flat_diameter_mm for x in s.set_screws),
    "bearing_gap": lambda s: len(s.bearings) == 2,
    "bearing_on_step": lambda s: bool(s.barrel.steps),
    "blade_to_foot": _heel,
    "blade_to_stock": _heel,
    "stock_to_strut": _heel,
    "blade_abaft_fin": lambda s: s.skeg is not None,
    "bolt_entry": lambda s: s.plates[0].bolt.head.recess,
    "head_depth": lambda s: s.plates[0].bolt.head.recess,
    "head_land": lambda s: s.plates[0].bolt.head.recess,
    "heel_": _heel,
    "foot_": _heel,
    "pintle_clearance": _heel,
    "pintle_sleeve_wall": lambda s: s.skeg is not None and s.skeg.heel is not None and s.skeg.heel.sleeve_wall_mm > 0,
    "palms_apart": lambda s: len(s.palms) == 2,
    "rim_to_bevel": lambda s: s.palms[0].bevel_width_mm > 0,
    "screw_clear_of_skeg": lambda s: s.skeg is not None and _screws(s),
    "screw_clear_of_slot": lambda s: s.barrel.slots is not None and _screws(s),
    "screw_clear_of_step": lambda s: bool(s.barrel.steps) and _screws(s),
    "screw_": _screws,
    "screws_": _screws,
    "dimple_in_shell": _screws,
    "key_to_strut": _screws,
    "shoulder_clears_flutes": _stands_off("stops"),
    "skeg_": lambda s: s.skeg is not None,
    "slot_in_barrel": lambda s: s.barrel.slots is not None,
    "tube_": _tube,
    "tube_wall_least": lambda s: s.barrel.tube is not None and not s.barrel.tube.turned,
    "vee_torch_room": lambda s: _vee(s) and _welded(s),
    "vee_": _vee,
    "tip_to_palm": _never,  # only of a palm that reaches over the blades, which is measured on bodies
    "check_impossible": _never,
    "bearing_pocket": lambda s: (
        s.let_in is None
        and (_strut(s) or not (slots_ahead(s) or (s.flange is not None and s.flange.base.water_inside)))
    ),
    "strut_on_hull": _strut,
    "bolts_in_palm": lambda s: bool(s.plates or (s.let_in and (s.let_in.locking or s.let_in.drawing))),
    "alloy_suits_process": lambda s: s.let_in is None or s.heated,
    "screw_clear_of_arm": lambda s: bool(s.arms) and _screws(s),
    "screw_clear_of_flange": _screws,
    "key_to_flange": _screws,
    "screw_clear_of_collar": lambda s: (
        _screws(s) and _let_in(lambda it: it.collar is not None or it.hold == "welded")(s)
    ),
    "screw_clear_of_cap": lambda s: _screws(s) and _cap()(s),
    "slot_clear_of_flange": lambda s: s.barrel.slots is not None,
    "spigot_in_base": lambda s: _spigot("base_bore")(s) or _through(s),
    "spigot_wall": lambda s: s.flange is not None and s.flange.spigot is not None,
    "hose_on_spigot": _spigot("hose"),
    "clamps_on_spigot": _spigot("hose"),
    "barb_height": lambda s: (
        _spigot("hose")(s) and s.flange is not None and bool(s.flange.spigot and s.flange.spigot.barbs)
    ),
    "rib_": _ribbed,
    "recess_on_flange": lambda s: (
        s.flange is not None and s.flange.gasket is not None and s.flange.gasket.recess_mm > 0
    ),
    "edges_to_confirm": _let_in(lambda it: it.structure.kind != "tube" and None in _edges(it)),
    "wall_on_steps": _let_in(lambda it: len(it.seats) > 1),
    "bedding_gap": _let_in(lambda it: it.hold == "bedded"),
    "welded_room": _let_in(lambda it: it.hold == "welded"),
    "entry_chamfer": _let_in(lambda it: it.hold == "pressed"),
    "locking_bite": _let_in(lambda it: it.locking),
    "wall_under_locking": _let_in(lambda it: it.locking),
    "locking_thread": _never,  # by its clock it may meet no edge that is known
    "locking_in_soft": _let_in(lambda it: it.locking and metal(it.structure.material).family in SOFT_FAMILIES),
    "locking_clear": _let_in(lambda it: it.locking),
    "drawing_hole_wall": _let_in(lambda it: it.drawing is not None),
    "drawing_hole_depth": _let_in(lambda it: it.drawing is not None),
    "drawing_hole_clear": lambda s: (
        _let_in(lambda it: it.drawing is not None and it.drawing.way == "draw")(s) and _screws(s)
    ),
    "collar_": _let_in(lambda it: it.collar is not None),
    "collar_in_counterbore": _let_in(lambda it: it.structure.counterbore_mm > 0),
    "slots_let_in": lambda s: s.barrel.slots is not None,
    "screw_access": _never,
    "keel_side_distance": lambda s: s.shoe is not None and s.shoe.keel_width_mm is not None,
    "boss_clear_of_keel": lambda s: s.flange is not None and s.flange.plane.station_mm > 0,
    "screw_off_flute": lambda s: _screws(s) and not s.bearings[0].plain,
    "screws_apart": lambda s: len(s.set_screws) > 1,
    "screws_symmetric": lambda s: len(s.set_screws) > 1,
    "bush_wall": lambda s: s.bearings[0].plain,
    "floor_": lambda s: bool(s.barrel.steps),
    "rudder_stays_in": lambda s: bool(s.barrel.steps) or (s.shoe is not None and s.shoe.jump_mm is not None),
    "rudder_foot_clear": lambda s: s.shoe is not None,
    "shoe_engaged": _screwed_in("stud", "lag_screw"),
    "shoe_keel_deep_enough": _screwed_in("stud", "lag_screw"),
    "shoe_keel_pull": _screwed_in("through_bolt", "lag_screw"),
    "shoe_weld": _welded,
    "split_off_load": _cap(),
    "nip": _cap(),
    "cap_": _cap(),
    "cap_bolt_pitch": _cap(lambda cap: len(cap.bolt.stations_mm) > 1),
    "cap_bolt_engaged": _cap(lambda cap: cap.bolt.engaged_mm is not None),
    "dowel_": _cap(lambda cap: cap.dowels),
    "ears_": _cap(),
    "foot_thickness": _hung,
    "foot_bolts": _hung,
    "foot_bending": _hung,
    "foot_pressing": _hung,
    "chock_": _chock,
    # engineering
    "let_in_press_force": _let_in(lambda it: it.hold == "pressed"),
    "structure_press_stress": _let_in(lambda it: it.hold == "pressed"),
    "housing_": _let_in(lambda it: it.hold == "pressed"),
    "housing_on_structure": _let_in(lambda it: True),
    "seat_fit_let_in": lambda s: _press(s) and _let_in(_closes)(s),
    "seat_slides_let_in": lambda s: not _press(s) and _let_in(_closes)(s),
    "clearance_let_in": lambda s: _press(s) and _let_in(_closes)(s),
    "let_in_pushed": _press,
    "let_in_drawn": _let_in(lambda it: it.hold == "pressed" and it.drawing is not None),
    "let_in_bond_off": _let_in(lambda it: it.hold == "bedded"),
    "let_in_bending": _let_in(lambda it: it.stands_out_mm > 0),
    "let_in_weld": _let_in(lambda it: it.hold == "welded"),
    "strut_fore_aft_": _strut,
    "strut_in_plane_": _strut,
    "weld_flange": _welded,
    "fastener_engaged": _screwed_in("stud", "lag_screw"),
    "base_deep_enough": _screwed_in("stud", "lag_screw"),
    "lag_holds": _screwed_in("lag_screw"),
    "arm_area": _vee,
    "arm_thickness": _vee,
    "arm_end_area": lambda s: not _vee(s),
    "arm_hinge_side": lambda s: not _vee(s),
    "arm_plate": lambda s: _welded(s) and metal(s.hull.material).family in METALS,
    "press_": _press,
    "barrel_press_stress": _press,
    "shell_press_stress": _press,
    "fit_kept": _press,
    "slide_kept": lambda s: not _press(s),
    "shell_under_dimple": _screws,
    "wall_under_screw": _screws,
    "head_through_palm": lambda s: not s.palms[0].bolt.head.conical,
    "hull_under_washer": lambda s: not s.backing_plate,
    "hull_pull_through": lambda s: not s.backing_plate,
    "backing_": lambda s: s.backing_plate,
    "bearing_slope_rudder": _heel,
    "bearing_deflection_rudder": _heel,
    "rudder_": _heel,
    "fin_": _heel,
    "skeg_twist": _heel,
    "arm_shrinkage": _welded,
    "palm_curl": _welded,
    "palm_curl_most": _welded,
    "bore_closure": _press,
    "bore_closure_rubber": _press,
    "couple_strut_shaft": _touches(lambda s: s.shaft.material),
    "couple_strut_bolts": _touches(lambda s: s.plates[0].bolt.material if s.plates else _screws_of(s)),
    "couple_strut_hull": _touches(lambda s: s.hull.material),
    "couple_strut_shell": _touches(lambda s: s.bearings[0].shell_material),
    "bolt_attack": _less_noble_bolts,
    "weld_lean_barrel": lambda s: _welded(s) and s.weld.prep == "none",
    "weld_lean_palm": lambda s: _welded(s) and s.weld.prep == "none",
    "weld_lean_skeg": lambda s: _welded(s) and s.skeg is not None,
    "weld_leg_skeg": lambda s: _welded(s) and s.skeg is not None,
    "weld_skeg_rudder": lambda s: _welded(s) and _heel(s),
    "weld_skeg_blow": lambda s: _welded(s) and s.skeg is not None,
    "barrel_skeg_blow": lambda s: s.skeg is not None,
    "weld_": _welded,
    "coupling_gap": lambda s: s.shaft.coupling is not None,
    "coupling_sag": lambda s: s.shaft.coupling is not None,
    "shaft_slope_hot": lambda s: s.shaft.engine_rise_mm is not None,
    "fatigue_arm_": lambda s: bool(s.arms),
    "fatigue_tip": _strut,
    "fatigue_blade": _strut,
    "fatigue_skeg": _heel,
    "fatigue_weld_": lambda s: _welded(s) and bool(s.arms),
    "fatigue_weld_skeg": lambda s: _welded(s) and _heel(s),
    "fatigue_flange": lambda s: s.family == "flanged_housing",
    "fatigue_barrel_at_flange": lambda s: s.family == "flanged_housing",
    "fatigue_weld_flange": lambda s: s.family == "flanged_housing" and _welded(s),
    "fatigue_let_in": _let_in(lambda it: it.hold == "welded"),
    "fatigue_weld_let_in": _let_in(lambda it: it.hold == "welded"),
    "fatigue_shoe_": lambda s: s.shoe is not None,
    "fatigue_weld_shoe": lambda s: s.shoe is not None and _welded(s),
}
"""Of what not every strut has: whether this one does, by a check's code or, for many, its beginning (the longest)."""


def _looks_at_something(code: str, strut: Strut) -> bool:
    code = code.removesuffix("_warned").removesuffix("_hinted")
    if code.endswith("_skeg_side") and strut.skeg is None:
        return False
    known = [start for start in NOT_ALWAYS if code == start or (start.endswith("_") and code.startswith(start))]
    if not known:
        return not code.endswith("_rudder") or _heel(strut)
    there = NOT_ALWAYS[max(known, key=len)](strut)
    return there and (not code.endswith("_rudder") or _heel(strut))


AS_A_PALM = {
    *("bolt_size", "bolt_count", "bolt_inside_palm", "bolt_edge_distance", "bolt_pitch", "bolt_pitch_sealing"),
    *("head_depth", "head_land", "rim_to_edge"),
}
"""What a flange is held to as a palm is."""
ON_SHAFT = {"shaft_speed_agrees", "hub_gap", "hub_gap_least", "bearing_span"}
"""What a housing is held to as a strut is, of what stands beside it on the shaft."""


def _codes(strut: Strut) -> set[str]:
    """What the modules of a kind of part look at, but for load cases of a file's own."""
    family = strut.family
    modules = (*geometry.OF_FAMILY[family], *(MODULES[name] for name in engineering.OF_FAMILY[family]))
    known = {c.code for module in modules for c in module.CHECKS if not c.code.endswith("_own")}
    if _strut(strut):
        return known
    if strut.hanger is not None:
        return known - geometry.left_out(strut) - engineering.left_out(strut)
    if strut.shoe is not None:
        return known | AS_A_PALM - {"bolt_size"}
    return known | (AS_A_PALM if strut.plates else set()) | ON_SHAFT


def _silent(resolved: Resolved) -> set[str]:
    told = {f.code for f in run_checks(resolved)}
    if told & {"check_impossible", "engineering_impossible"}:
        return set()  # which is told, and what is left out because of it
    return {code for code in _codes(resolved.strut) - told if _looks_at_something(code, resolved.strut)}


@pytest.mark.parametrize("name", SETS)
def test_every_check_answers_for_a_shipped_set(name: str) -> None:
    assert _silent(resolve(load(shipped()[name]))) == set()


@pytest.mark.parametrize(("draw", "number"), list(product(DRAWS, RANDOM)))
def test_every_check_answers_for_a_random_set(draw: Callable[[int], dict[str, Any]], number: int) -> None:
    try:
        resolved = resolve(loads(json.dumps(draw(number))))
    except ParameterError:
        pytest.skip("no part at all, which is told")
    assert _silent(resolved) == set()


def test_every_check_is_of_some_kind_of_part() -> None:
    kinds = {s.family: s for s in (resolve(load(shipped()[name])).strut for name in SETS)}
    codes = set().union(*(_codes(strut) for strut in kinds.values()))
    never = {code for code, there in NOT_ALWAYS.items() if there is _never}
    assert {code for code in (*geometry.CHECKS, *engineering.CHECKS) if not code.endswith("_own")} - codes <= never


# --- what is printed --------------------------------------------------------------------------------------------------


REST: dict[str, Any] = {"source": "a source", "parameter": "palm", "group": "palm", "advice": "thicken it"}


def _hint(code: str, actual: float, limit: float) -> Finding:
    return held(code, f"stress {code}", actual, limit, "MPa", standing=Standing.LOW, **REST)


def test_a_hint_over_its_limit_is_printed_and_one_that_keeps_it_is_not() -> None:
    found = [_hint("kept", 80.0, 100.0), _hint("over", 150.0, 100.0), _hint("far", 300.0, 100.0)]
    assert [f.verdict for f in found] == [Verdict.HINT] * 3
    text = findings_text(found, "mm", every=False)
    assert [line.split()[1] for line in text.splitlines() if line.startswith("hint")] == ["far", "over"]
    assert "do: thicken it" in text
    assert "3 hints (2 over their limit)" in tally(found)
    # equal as a person reads it is kept
    assert not _hint("equal", 100.00001, 100.0).is_broken_hint


def test_hints_over_their_limit_come_after_warnings_and_before_what_is_within() -> None:
    warning = held("w", "warned", 2.0, 1.0, "mm", warn=True, standing=Standing.PRACTICE, **REST)
    fine = held("ok", "fine", 0.99, 1.0, "mm", standing=Standing.PRACTICE, **REST)
    order = [f.code for f in ranked([_hint("kept", 1.0, 2.0), fine, _hint("over", 9.0, 1.0), warning])]
    assert order == ["w", "over", "ok", "kept"]


@pytest.mark.parametrize("verdict", [Verdict.NOT_CHECKED, Verdict.HINT, Verdict.INFORMATION])
def test_what_could_not_be_worked_out_is_printed_whatever_it_would_have_been(verdict: Verdict) -> None:
    lost = replace(
        not_checked("lost", "a couple", "the table does not hold it", parameter="x", group="g"), verdict=verdict
    )
    text = findings_text([lost], "mm", every=False)
    assert "why: the table does not hold it" in text
    told = in_words("said", Verdict.INFORMATION, "a size", "", "x", group="g")
    assert "a size" not in findings_text([told], "mm", every=False)


def test_the_check_of_a_shipped_set_prints_what_its_hints_break() -> None:
    found = engineering_findings(resolve(load(shipped()["harbour-launch"])).strut)
    over = {f.code for f in found if f.verdict is Verdict.HINT and f.utilisation > 1.001}
    assert over  # grounding: the arm is stronger than its bolts
    text = findings_text(found, "mm", every=False)
    assert {line.split()[1] for line in text.splitlines() if line.startswith("hint")} == over


@pytest.mark.parametrize("name", SETS if THOROUGH else ["harbour-launch", "yawl-with-heel", "deadwood-cutter"])
def test_what_a_file_leaves_out_is_never_put_down_to_the_materials(name: str) -> None:
    strut = resolve(load(shipped()[name])).strut
    base, modules = Inputs.from_strut(strut), [MODULES[name] for name in engineering.OF_FAMILY[strut.family]]
    singly = [(key,) for key in PATHS] if THOROUGH else []
    for left_out in (*singly, tuple(PATHS)):
        bare = replace(base, **dict.fromkeys(left_out, NAN))
        with np.errstate(all="ignore"):
            found = [f for m in modules for f in m.findings(strut, bare, m.numbers(bare))]
        assert not [f.code for f in found if "table of materials" in str(f.why)], left_out


def test_bolts_of_a_metal_outside_the_series_are_told_of() -> None:
    strut = resolve(load(shipped()["canal-tender"])).strut
    inputs = Inputs.from_strut(strut)
    module = MODULES["corrosion"]
    assert "bolt_attack" not in {f.code for f in module.findings(strut, inputs, module.numbers(inputs))}
    lost = replace(inputs, bolt=replace(inputs.bolt, potential_v=math.nan))
    found = {f.code: f for f in module.findings(strut, lost, module.numbers(lost))}
    assert "bolt_attack" in found
    assert found["couple_strut_bolts"].calls
