"""A shop's own limits count everywhere: in the sizes that a file leaves out, in what is built, and on paper."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from checks_support import merged, said
from command_line_support import run
from sheets_support import context, resolved
from support import long_run, own_limits

from strutwright.errors import Exit
from strutwright.exporters.files.cut_list import cut_rows
from strutwright.exporters.files.data_sheets import data_files
from strutwright.exporters.files.step import write_assembly
from strutwright.exporters.inspect.remeasure import remeasure
from strutwright.exporters.sheets import made_barrel, press
from strutwright.exporters.web.frequency_picture import write_frequency_picture
from strutwright.models.checks import geometry_checks, geometry_of_many
from strutwright.models.fem.study import body_file
from strutwright.models.finding import FAILS, WITHIN, Verdict
from strutwright.models.geometry import members
from strutwright.models.geometry.members import root_room
from strutwright.models.resolve import resolve
from strutwright.models.shop.set_screws import set_screw_length
from strutwright.models.sizing.candidates import candidates
from strutwright.models.sizing.judge import Judge
from strutwright.models.sizing.maker import Maker
from strutwright.models.sizing.ranges import Ranges
from strutwright.models.sizing.set_text import Choice
from strutwright.models.solids import build, welded
from strutwright.models.solids.job import Job
from strutwright.models.spec import Strut
from strutwright.models.struts import Struts
from strutwright.params import strict_yaml
from strutwright.params.limits import OWN, Limits, standard
from strutwright.params.loader import loads, shipped

OPEN: dict[str, Any] = {"barrel": {"outside_diameter": None, "ends": None}, "arms": {"root_fillet": None}}
"""Sizes of the trial strut that a rule fills in."""


def made(variant: str, change: dict[str, Any], own: str) -> Strut:
    """Return a trial strut with some sizes changed or left out (None), resolved by a shop's limits."""
    return resolve(loads(json.dumps(said(variant, change))), own_limits(own) if own else None).strut


def verdicts(strut: Strut, code: str, own: Limits | None = None) -> set[Verdict]:
    return {f.verdict for f in geometry_checks(strut, own) if f.code == code}


# --- sizes that a file leaves out ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("variant", "own", "size", "shipped_mm", "own_mm"),
    [
        # A shaft of 50 in a bore of 70: walls of a quarter of it, and of two fifths.
        ("vee", "barrel_wall: 0.4", lambda s: s.barrel.outside_mm, 95.0, 110.0),
        # The thread of an M8 wants two diameters, and a tenth more is left: 2 x 17.6 over 70.
        ("vee", "screw_thread: 2", lambda s: s.barrel.outside_mm, 95.0, 106.0),
        ("single", "pattern_fillet: 14", lambda s: s.arms[0].barrel_root_mm, 6.0, 14.0),
        ("skeg", "pattern_fillet: 14", lambda s: s.skeg.root_mm, 8.0, 14.0),
        # 0.2 and 0.35, each with 0.004 of a pintle of 40, down to a tenth.
        ("skeg", "heel_clearance_synthetic: 0.35", lambda s: s.skeg.heel.bore_mm - 40.0, 0.3, 0.5),
    ],
)
def test_a_size_left_out_keeps_the_limits_in_force(
    variant: str, own: str, size: Callable[[Strut], float], shipped_mm: float, own_mm: float
) -> None:
    change = merged(OPEN, {"skeg": {"root_fillet": None}} if variant == "skeg" else {})
    assert size(made(variant, change, "")) == pytest.approx(shipped_mm, abs=1e-9)
    assert size(made(variant, change, own)) == pytest.approx(own_mm, abs=1e-9)


def test_the_wall_of_a_casting_keeps_the_hard_limit_at_the_worst_of_its_tolerance() -> None:
    own = own_limits("barrel_wall_hard: 0.3")
    before, after = (made("single", OPEN, text) for text in ("", "barrel_wall_hard: 0.3"))
    assert after.barrel.outside_mm >= before.barrel.outside_mm + 5.0
    assert verdicts(before, "barrel_wall_least", own) == {Verdict.FAIL}
    assert verdicts(after, "barrel_wall_least", own) == {Verdict.OK}


def test_the_rule_that_is_told_is_the_one_that_was_taken() -> None:
    for own, words in (
        ({}, "a quarter of the shaft diameter, at least 1.1 times the set screw; rounded up"),
        ({"barrel_wall": 0.3, "screw_thread": 2}, "30 % of the shaft diameter, at least 2.2 times the set screw;"),
    ):
        found = resolve(loads(json.dumps(said("vee", OPEN))), own_limits(json.dumps(own)))
        assert next(r.note for r in found.records if r.path == "barrel.wall").startswith(words)


def test_what_size_tries_and_study_varies_keeps_the_limits_in_force() -> None:
    own = own_limits("barrel_wall: 0.4\npattern_fillet: 14")
    data = strict_yaml.read_file(shipped()["harbour-launch"]).data
    for group, name in (
        ("barrel", "outside_diameter"),
        ("barrel", "wall"),
        ("barrel", "ends"),
        ("arms", "root_fillet"),
    ):
        data[group].pop(name, None)
    for table, least in ((standard(), 0.25), (own, 0.4)):
        maker = Maker(data, Choice(bolt="M12", along=0), 35.0, table)
        assert maker.strut.barrel.wall_mm >= least * 35.0
        fillet = maker.strut.arms[0].barrel_root_mm
        varied = candidates(maker.loaded, maker.resolved, {"arms.section.chord": np.array([100.0])}, maker.judge.base)
        assert varied.inputs.arms[0].barrel_root_mm == fillet
        assert (fillet >= 14.0) == (table is own)


def test_what_size_tries_keeps_the_ratio_of_a_section_that_the_shop_asks_for() -> None:
    own = own_limits("arm_thickness_ratio_least: 0.2\narm_thickness_ratio_most: 0.3")
    data = strict_yaml.read_file(shipped()["harbour-launch"]).data
    for name in ("chord", "thickness", "chord_at_palm", "thickness_at_palm"):
        data["arms"]["section"].pop(name, None)
    places = np.linspace(0.0, 1.0, 21)[:, None] * np.ones(Ranges.DIMENSIONS)
    usual = (standard()["sought_ratio_least"].value, standard()["sought_ratio_most"].value)
    for table, (least, most) in ((standard(), usual), (own, (0.2, 0.3))):
        made = Maker(data, Choice(bolt="M12", along=0), 35.0, table).columns(places)
        ratio = made["arms.section.thickness"] / made["arms.section.chord"]
        half = 0.5 / made["arms.section.chord"].min()  # of a millimetre, by which sizes are rounded
        assert ratio.min() == pytest.approx(least, abs=0.001 + half)
        assert ratio.max() == pytest.approx(most, abs=0.001 + half)


def test_weld_legs_that_size_tries_begin_at_the_table_s_least() -> None:
    """As the table has it: 3 mm to 6 mm of plate, 5 to 12, 6 to 19, 8 over that."""
    data = strict_yaml.read_file(shipped()["canal-tender"]).data
    data["welds"] = {"prep": "double_bevel"}
    make = Maker(data, Choice(bolt="M8", along=0, prep="double_bevel"), 20.0, standard())
    thick = np.array([6.0, 12.0, 15.0, 25.0])
    legs = Ranges(make, np.zeros((4, Ranges.DIMENSIONS))).leg("arm_to_palm_leg", thick, np.full(4, 5.0))
    assert legs.tolist() == [3.0, 5.0, 6.0, 8.0]


@pytest.mark.parametrize("command", ["values", "check", "loads", "compare"])
def test_every_command_that_reads_a_set_takes_limits(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str
) -> None:
    """The wall of such a set is by rule; the limits are told apart from faults of the set."""
    own, bad = tmp_path / "own.yaml", tmp_path / "bad.yaml"
    own.write_text("barrel_wall: 0.4\n", encoding="utf-8")
    bad.write_text("barrel_wal: 0.4\n", encoding="utf-8")
    file = tmp_path / "mine.yaml"
    file.write_text(json.dumps(said("vee", OPEN)), encoding="utf-8")
    sets = [str(file), *(["harbour-launch"] if command == "compare" else [])]
    plain, ours = (run(capsys, command, *sets, "--json", *more)[1] for more in ((), ("--limits", str(own))))
    if command != "loads":
        assert plain != ours
    if command == "values":
        walls = [next(r["value"] for r in json.loads(t) if r["path"] == "barrel.wall") for t in (plain, ours)]
        assert walls == [12.5, 20.0]
    status, _, error = run(capsys, command, *sets, "--limits", str(bad))
    assert status == Exit.UNUSABLE
    assert "bad.yaml" in error


def test_the_benchmark_takes_limits(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_text("bearing_length_hard: 30\n", encoding="utf-8")
    few = ("benchmark", "canal-tender", "--largest", "1000", "--workers", "1", "--json")
    within = [json.loads(run(capsys, *few, *more)[1])[0]["within"] for more in ((), ("--limits", str(own)))]
    assert within[0] > within[1] == 0


# --- fillets and welds -----------------------------------------------------------------------------------------------


STRAIGHT = {"shape": "straight", "length": None, "end_diameter": None}


def cast_near_the_faces(fillet_mm: float) -> Strut:
    """Return a casting on which a fillet of 16.7 leaves half a millimetre to the faces."""
    change = {
        "arms": {"root_fillet": {"barrel": fillet_mm}, "section": {"chord": 160}},
        "barrel": {"ends": {"aft": STRAIGHT, "forward": STRAIGHT}},
    }
    return made("single", change, "")


@pytest.mark.parametrize("construction", ["cast", "welded"])
def test_one_or_many_struts_are_told_what_the_shop_leaves_to_a_face(construction: str) -> None:
    """A fillet or leg that leaves some 3 mm, to a shop that wants 6."""
    if construction == "cast":
        strut, parameter = cast_near_the_faces(15.0), "arms.root_fillet.barrel"
    else:
        strut, parameter = made("vee", {"welds": {"arm_to_barrel_leg": 25}}, ""), "welds.arm_to_barrel_leg"
    own = own_limits("root_to_face: 6")
    assert verdicts(strut, "root_on_barrel") == {Verdict.OK}
    told = [f for f in geometry_checks(strut, own) if f.code == "root_on_barrel"]
    assert {(f.verdict, str(f.source), f.parameter) for f in told} == {(Verdict.FAIL, OWN, parameter)}
    for table, level in ((standard(), WITHIN), (own, FAILS)):
        for roll in (True, False):
            assert geometry_of_many(Struts.of(strut), table, roll)["root_on_barrel"].level == level


def test_a_casting_keeps_as_far_from_the_faces_as_the_check(tmp_path: Path) -> None:
    """What the check names as the largest is made, in `build` and in `stress`, which has no use for it."""
    strut, own = cast_near_the_faces(15.0), own_limits("root_to_face: 6")
    (told,) = (f for f in geometry_checks(strut, own) if f.code == "root_on_barrel")
    assert told.actual < 15.0
    body, wrong = body_file(None, strut, tmp_path / "body.brep", own)
    assert body is None
    assert [(f.code, f.actual) for f in wrong] == [("fillet_reduced", told.actual)]


@long_run
def test_a_casting_that_a_limit_lets_pass_is_built_and_measured_as_asked(tmp_path: Path) -> None:
    """A fillet that leaves some 0.3 mm to a face: too little as shipped, and enough for this shop."""
    strut, own, path = cast_near_the_faces(16.8), own_limits("root_to_face: 0.1"), tmp_path / "whole.step"
    assert verdicts(strut, "root_on_barrel") == {Verdict.FAIL}
    assert verdicts(strut, "root_on_barrel", own) == {Verdict.OK}
    built = build(replace(strut, bearings=(), set_screws=()), own)
    assert not [f for f in built.findings if f.fails]
    write_assembly(path, built.parts, "whole", "mm")
    # Held against a larger fillet it is off its place; one that does not fit by the limits is not looked for.
    other = cast_near_the_faces(17.1)
    for table, sees in ((own_limits("root_to_face: 0"), True), (standard(), False)):
        found = [f for f in remeasure(path, other, built.parts, table) if f.code == "root_surface"]
        assert any(f.fails for f in found) == sees


def test_a_bead_has_the_room_that_the_limits_ask_for() -> None:
    """Left out with the leg that the check names, where it is too near to a face or the parts stand open too little."""
    for change, own, end, code in (
        ({"welds": {"arm_to_barrel_leg": 25}}, "root_to_face: 6", "barrel", "root_on_barrel"),
        ({"arms": {"included_angle": 120}}, "weld_open: 40", "palm", "root_on_palm"),
    ):
        strut, table = made("vee", change, ""), own_limits(own)
        arm = strut.arms[0]
        told = next(f for f in geometry_checks(strut, table) if f.code == code)
        assert told.fails
        member, job = members.arm_member(strut, arm), Job(strut, np.array([0.0, 0.0, -1.0]), root_room(table))
        joint = (
            welded._Joint(
                member,
                members.barrel_root(member, strut.barrel, 0.0),
                arm.barrel_root_mm,
                job.room.reach_mm(strut.barrel),
            )
            if end == "barrel"
            else welded._Joint(member, members.palm_root(member, strut.palms[0], 0.0), arm.palm_root_mm, None)
        )
        assert welded._bead(job, arm, f"weld arm to {end}", told.parameter, joint, []) == []
        assert [(f.code, f.actual, f.parameter) for f in job.findings] == [
            ("bead_not_made", told.actual, told.parameter)
        ]


def test_the_source_is_the_user_only_where_his_limit_enters() -> None:
    """No torch comes to a casting, and of a welded arm no bare length is asked for."""
    for variant, own in (("single", "weld_open: 30"), ("vee", "root_bare_arm: 0.1")):
        found = [f for f in geometry_checks(made(variant, {}, ""), own_limits(own)) if "root_on" in f.code]
        assert found
        assert all(str(f.source) != OWN for f in found)


# --- on paper --------------------------------------------------------------------------------------------------------


def test_a_strain_that_the_shop_does_not_take_forbids_pressing() -> None:
    """Card, cut list and parts list say the same."""
    source = resolved("yawl-with-heel")
    strut = source.strut
    for own, forbids, rests in ((None, False, "from memory"), ("press_strain: 0.0001", True, "the shop's own")):
        table = standard() if own is None else own_limits(own)
        card = press.press_card(replace(context(strut, source), limits=table))
        assert card is not None
        rows = dict(row[:2] for t in card.tables if t.name == "press" for row in t.rows)
        assert (rows["cold pressing"] == "NO") == forbids
        assert f"its limit ({rests})" in rows
        cut = next(r for r in map(asdict, cut_rows(strut, [], table)) if r["part"] == strut.palms[0].name)
        assert ("machined off after welding" in cut["note"]) == forbids
        assert (b"machined off after welding" in data_files(strut, [], table)["cut-list"]) == forbids


def test_a_tube_as_bought_is_off_its_bore_by_the_limit() -> None:
    found = resolve(loads(json.dumps(said("tube", {}))))
    for own, off in (("", 1.0), ("tube_coaxial: 0.4", 0.4)):
        table = own_limits(own) if own else standard()
        ctx = replace(context(found.strut, found), limits=table)
        assert made_barrel.coaxial_mm(ctx) == off
        wall = next(f.actual for f in geometry_checks(found.strut, table) if f.code == "tube_wall_least")
        assert made_barrel.least_wall_mm(ctx) == pytest.approx(wall, abs=0.1)


def test_a_shop_that_bores_closer_to_the_middle_has_more_wall_left() -> None:
    """Half of the zone's diameter, on either side: in check, sheet and set-screw length of a casting, and in the size
    that a rule gives."""
    for name, own, more in (
        ("harbour-launch", "bore_coaxial_cast: 0.4", 0.3),
        ("workboat-common-vee", "bore_coaxial_welded: 0.1", 0.2),
    ):
        source, table = resolved(name), own_limits(own)
        before, after = (replace(context(source.strut, source), limits=t) for t in (standard(), table))
        assert made_barrel.coaxial_mm(before) - made_barrel.coaxial_mm(after) == pytest.approx(2 * more)
        gained = made_barrel.least_wall_mm(after) - made_barrel.least_wall_mm(before)
        assert gained == pytest.approx(more, abs=0.11)
        if source.strut.casting is None:
            continue
        walls = [
            next(f for f in geometry_checks(source.strut, t) if f.code == "barrel_wall_least")
            for t in (standard(), table)
        ]
        assert walls[1].actual - walls[0].actual == pytest.approx(more)
        assert str(walls[1].source) == OWN
        lengths = [set_screw_length(source.strut, source.strut.set_screws[0], t) for t in (standard(), table)]
        assert lengths[0] is not None
        assert lengths[1] is not None
        assert lengths[1].ideal_mm - lengths[0].ideal_mm == pytest.approx(more)
    change = {**OPEN, "pattern": {"tolerance_grade": "CT14"}}
    sizes = [made("single", change, own).barrel.outside_mm for own in ("", "bore_coaxial_cast: 4")]
    assert sizes[1] - sizes[0] == pytest.approx(3.0, abs=1.01)


def test_a_set_screw_is_bought_as_much_shorter_as_it_is_to_be_sunk_deeper(tmp_path: Path) -> None:
    source, table = resolved("canal-tender"), own_limits("screw_recess_bought: 3")
    rows = [data_files(source.strut, [], t)["set-screw-table"] for t in (standard(), table)]
    lists = [data_files(source.strut, [], t)["parts-list"] for t in (standard(), table)]
    assert rows[0] != rows[1]
    assert lists[0] != lists[1]
    lengths = [set_screw_length(source.strut, source.strut.set_screws[0], t) for t in (standard(), table)]
    assert [n.ideal_mm for n in lengths if n is not None] == pytest.approx([8.5, 6.5])


def test_a_judge_of_candidates_has_the_limits_of_its_job() -> None:
    loaded = loads(json.dumps(said("vee", {"welds": {"arm_to_barrel_leg": 25}})))
    for own, level in (("{}", WITHIN), ("root_to_face: 6", FAILS)):
        table = own_limits(own)
        judge = Judge.of(loaded, resolve(loaded, table), table)
        assert judge.outcomes(candidates(loaded, judge.resolved, {}, judge.base))[0]["root_on_barrel"].level == level


def test_the_picture_of_frequencies_is_made_with_the_limits_of_its_job(tmp_path: Path) -> None:
    strut, drawn_with = resolved("harbour-launch").strut, []
    for name, table in (("shipped", None), ("own", own_limits("propeller_entrained: 3"))):
        path = tmp_path / f"{name}.svg"
        assert write_frequency_picture(path, strut, table)
        drawn_with.append(path.read_bytes())
    assert drawn_with[0] != drawn_with[1]
