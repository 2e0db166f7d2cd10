"""Studies and the judge of a batch of candidates, against the checks of one strut.

The yardstick is the set of scalar checks and findings, each of which is held to published figures in its own tests: a
study's rows are resolved one by one. Equality with the scalar checks follows from their definition.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from support import HOUSINGS, STRUTS, every, long_run, own_limits, sets_of

from strutwright.exporters.web.study import summary, write_table
from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.results import outcomes_of
from strutwright.models.finding import FAILS, WARNS, WITHIN
from strutwright.models.resolve import resolve
from strutwright.models.sizing import judge as judge_module
from strutwright.models.sizing.axes import Grid, StudyError, axis, kind_of
from strutwright.models.sizing.candidates import candidates
from strutwright.models.sizing.judge import Judge, Listed, judge_all
from strutwright.models.sizing.study import study, with_values
from strutwright.params import limits
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError

FOLLOWED = (*STRUTS, *HOUSINGS, *sets_of("let_in_housing"))
"""Sets whose sizes can vary as arrays."""
ROUND_AN_ARM = {
    "rim_to_arm_root",
    "driver_to_arm",
    "arm_on_palm",
    "screw_clear_of_arm",
    "arm_on_parallel_part",
    "arm_on_barrel",
}
"""In a search a bound on the safe side stands for the ball."""
ROOM = {"rim_to_arm_root": "rim_to_root", "driver_to_arm": "driver_to_arm"}
"""Of these the ones that are room in mm, and the limit that it is held to."""


@pytest.mark.parametrize(("name", "roll"), every(list(product(FOLLOWED, (True, False))), 3))
def test_shipped_sets_are_judged_as_they_are_checked(name: str, roll: bool) -> None:
    loaded = load(shipped()[name])
    resolved = resolve(loaded)
    judge = replace(Judge.of(loaded, resolved), roll=roll)
    got = judge.outcomes(candidates(loaded, resolved, {}))[0]
    wanted = outcomes_of([*geometry_checks(resolved.strut), *engineering_findings(resolved.strut, resolved.said.loads)])
    for code, held in wanted.items():
        if code in got:
            bound = code in ROUND_AN_ARM and not roll
            assert int(got[code].level) >= int(held.level), code
            assert bound or int(got[code].level) == int(held.level), code
            if not math.isnan(held.utilisation):
                if bound and code in ROOM:  # how much less of it, mm
                    asked = limits.standard()[ROOM[code]].value
                    assert -1e-9 <= asked / held.utilisation - asked / float(got[code].utilisation) <= 5.0
                elif bound:
                    assert 1.0 - 1e-9 <= float(got[code].utilisation) / held.utilisation <= 1.5, code
                else:
                    assert float(got[code].utilisation) == pytest.approx(held.utilisation, rel=1e-9), code
        else:
            assert held.level == 0, code


def test_a_study_is_the_checks_one_by_one(launch_set: tuple[Any, Any]) -> None:
    loaded, resolved = launch_set
    found = study(
        loaded,
        resolved,
        [
            axis("arms.section.chord=78..118:3", "mm"),
            axis("palm.thickness=8,12,16", "mm"),
            axis("bolts.pattern.pitch_across=64..76:2", "mm"),
        ],
        workers=1,
    )
    assert found.one_by_one is None
    levels = set()
    for n in range(found.grid.count):
        row = found.row(n)
        made = resolve(with_values(loaded, {a.path: float(row[a.path]) for a in found.grid.axes}))
        held = outcomes_of([*geometry_checks(made.strut), *engineering_findings(made.strut, made.said.loads)])
        level = max(int(h.level) for h in held.values())
        levels.add(level)
        assert level == int(found.judged.level[n])
        assert int(held[str(row["governing"])].level) == level
        if row["utilisation"] < 20:  # a gap of next to nothing is many times too small by either way
            assert held[str(row["governing"])].utilisation == pytest.approx(row["utilisation"], rel=0.05)
        assert sum(h.level == FAILS for h in held.values()) >= found.judged.fails[n]
        assert sum(h.level == WARNS for h in held.values()) >= found.judged.warns[n] - 2  # some on their limits
    assert len(levels) > 1  # the study is not all of one kind


@pytest.mark.parametrize(
    ("name", "varied"),
    every(
        [
            ("harbour-launch", ("arms.section.chord=78..130:6", "arms.root_fillet.palm=4,30")),
            ("work-launch-vee", ("arms.section.chord=70,90,110", "arms.root_fillet.barrel=4,12,30")),
            ("canal-tender", ("palm.thickness=10,14", "welds.arm_to_barrel_leg=4,8,20")),
            ("sloop-with-skeg", ("palm.thickness=0.4,0.6", "arms.root_fillet.barrel=0.1,0.6,0.9")),
        ],
        2,
    ),
)
def test_a_study_rolls_the_balls_of_the_roots(name: str, varied: tuple[str, str]) -> None:
    """A root that does not fit fails in a study as in the check of that one strut."""
    loaded = load(shipped()[name])
    axes = [axis(text, loaded.said.units) for text in varied]
    grid = Grid(tuple(axes))
    judge = replace(Judge.of(loaded, resolve(loaded)), roll=True)
    made = candidates(loaded, judge.resolved, grid.at(np.arange(grid.count)), judge.base)
    held = judge.outcomes(made)[0]
    codes = ("root_on_barrel", "root_on_palm", "skeg_root")
    seen = set()
    for n in range(grid.count):
        values = grid.at(np.array([n]))
        strut = resolve(with_values(loaded, {path: float(v[0]) for path, v in values.items()})).strut
        one = outcomes_of(geometry_checks(strut))
        for code in codes:
            if code in one:
                level = int(np.broadcast_to(held[code].level, (grid.count,))[n])
                assert level == int(one[code].level), (code, values)
                seen.add((code, level))
    assert len({level for _, level in seen}) == 2


def test_a_study_says_what_it_does_not_roll(launch_set: tuple[Any, Any]) -> None:
    """Too many different sections: roots on palm and skeg are not looked at, and the summary says so."""
    found = study(
        *launch_set, [axis("arms.section.chord=78..118:60", "mm"), axis("palm.thickness=8..16:20", "mm")], workers=1
    )
    assert "not looked at" in found.left_out
    assert found.left_out in summary(found)
    few = study(
        *launch_set,
        [axis("arms.section.chord=78,118", "mm"), axis("bolts.pattern.pitch_across=74..76:600", "mm")],
        workers=1,
    )
    assert few.left_out == ""  # bolts do not touch a root


def test_both_ways_of_a_study_agree(launch_set: tuple[Any, Any]) -> None:
    """Words beside numbers make the study resolve one by one: the same rows as all at once."""
    loaded, resolved = launch_set
    chord = axis("arms.section.chord=80,95,110", "mm")
    at_once = study(loaded, resolved, [chord], workers=1)
    single = study(loaded, resolved, [chord, axis(f"bolts.size={resolved.strut.palms[0].bolt.size}", "mm")])
    assert single.one_by_one
    np.testing.assert_array_equal(single.judged.level, at_once.judged.level)
    np.testing.assert_allclose(single.judged.weight_kg, at_once.judged.weight_kg, rtol=1e-9)
    np.testing.assert_allclose(single.judged.utilisation, at_once.judged.utilisation, rtol=1e-6)


def test_pieces_and_processes_do_not_matter(launch_set: tuple[Any, Any]) -> None:
    loaded, resolved = launch_set
    judge = Judge.of(loaded, resolved)
    chord = np.linspace(70.0, 120.0, judge_module.CHUNK + 800)
    whole, split = (judge_all(judge, Listed({"arms.section.chord": chord}), workers) for workers in (1, 2))
    np.testing.assert_array_equal(whole.level, split.level)
    np.testing.assert_array_equal(whole.governing, split.governing)
    np.testing.assert_array_equal(whole.weight_kg, split.weight_kg)


def test_what_was_worked_out_of_one_piece_does_not_lie_about_beside_the_next(
    monkeypatch: pytest.MonkeyPatch, launch_set: tuple[Any, Any]
) -> None:
    pieces: list[Any] = []
    known = judge_module.candidates
    monkeypatch.setattr(judge_module, "candidates", lambda *args: pieces.append(known(*args)) or pieces[-1])
    judge = Judge.of(*launch_set)
    judge_all(judge, Listed({"arms.section.chord": np.linspace(70.0, 120.0, 20)}), 1)
    assert pieces
    assert not any(held._answers for piece in pieces for held in (piece, piece.inputs))
    judge.outcomes(pieces[0])
    assert pieces[0].inputs._answers


def test_the_size_of_the_pieces_does_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of all candidates that no bound clears the best are measured, however they were cut up."""
    loaded = load(shipped()["canal-tender"])
    judge = Judge.of(loaded, resolve(loaded))
    walls = Listed({"barrel.wall": np.linspace(7.5, 9.0, 60)})
    whole = judge_all(judge, walls, 1)
    monkeypatch.setattr(judge_module, "CHUNK", 7)
    split = judge_all(judge, walls, 1)
    assert whole.unsure.any()  # too many to measure all
    assert (whole.level == 0).any()  # the best are sure
    for name in ("level", "own", "governing", "fails", "warns", "unsure"):
        np.testing.assert_array_equal(getattr(whole, name), getattr(split, name))


@pytest.mark.parametrize(
    ("name", "dropped", "varied"),
    [
        ("canal-tender", "propeller.diameter", "propeller.diameter=300,320,340,360"),
        ("day-cruiser", "propeller.diameter", "propeller.diameter=18..30:4"),
        ("canal-tender", "hull.thickness", "hull.thickness=1,40,400"),
        ("harbour-launch", "loads.blade_mass", "loads.blade_mass=1,3,5,8"),
        ("harbour-launch", "duty.power", "duty.power=10,400"),
    ],
)
def test_what_only_the_study_says_counts_as_in_a_check(name: str, dropped: str, varied: str) -> None:
    """A file that leaves a value out, varied at that value: each row as the check of a file that says it."""
    whole = load(shipped()[name])
    data: Any = whole.document.data
    group, key = dropped.split(".")
    data.get(group, {}).pop(key, None)
    loaded = loads(yaml.safe_dump(data))
    resolved = resolve(loaded)
    found = study(loaded, resolved, [axis(varied, loaded.said.units)], workers=1)
    assert found.one_by_one is None
    levels = []
    for n, value in enumerate(found.grid.axes[0].values):
        one = resolve(with_values(loaded, {dropped: value}))
        held = outcomes_of([*geometry_checks(one.strut), *engineering_findings(one.strut, one.said.loads)])
        levels.append(max(int(h.level) for h in held.values()))
        assert int(found.judged.level[n]) == levels[-1], (value, {c for c, h in held.items() if h.level})
    assert max(levels) > WITHIN
    findings = [*geometry_checks(resolved.strut), *engineering_findings(resolved.strut, resolved.said.loads)]
    lacking = {f.code for f in findings if set(f.missing) - {dropped}}
    assert {f.code for f in found.not_said(findings)} == lacking
    assert all(dropped not in f.missing for f in found.not_said(findings))


def test_a_load_case_that_cannot_be_worked_out_warns_a_study_as_a_check() -> None:
    """A load `rudder` on a strut without a heel."""
    data: Any = load(shipped()["canal-tender"]).document.data
    data["loads"] = {"cases": [{"name": "helm", "allowed_of_yield": 0.5, "terms": [{"source": "rudder", "factor": 1}]}]}
    loaded = loads(yaml.safe_dump(data))
    resolved = resolve(loaded)
    found = study(loaded, resolved, [axis("duty.boat_speed=5,6", "mm")], workers=1)
    held = outcomes_of(engineering_findings(resolved.strut, resolved.said.loads))
    assert held["arm_stress_own"].level == WARNS
    assert found.judged.level.tolist() == [WARNS, WARNS]


@pytest.mark.parametrize(
    ("name", "varied"),
    [
        ("canal-tender", "arms.root_fillet.barrel=4,6,40"),
        ("harbour-launch", "welds.arm_to_palm_leg=1,6,90"),
        ("harbour-launch", "welds.prep=none,double_bevel"),
        ("canal-tender", "pattern.core_shift=0.5,1"),
    ],
)
def test_sizes_of_the_other_construction_are_refused(name: str, varied: str) -> None:
    loaded = load(shipped()[name])
    resolved = resolve(loaded)
    axes = [axis(varied, loaded.said.units)]
    with pytest.raises(StudyError, match=r"belongs to a (cast|welded) strut"):
        study(loaded, resolved, axes)
    with pytest.raises(ParameterError, match=r"belongs to a (cast|welded) strut"):
        resolve(with_values(loaded, {axes[0].path: axes[0].values[0]}))


# --- axes and faults --------------------------------------------------------------------------------------------------


def test_axes_are_read_in_the_file_s_units() -> None:
    made = axis("arms.section.chord=3..4 in:3", "in")
    assert made.values == pytest.approx((76.2, 88.9, 101.6))
    assert made.shown == pytest.approx((3.0, 3.5, 4.0))
    assert made.unit == "in"
    assert axis("bolts.size=M8, M10", "mm").values == ("M8", "M10")
    assert kind_of("duty.boat_speed") is not None


@pytest.mark.parametrize(
    "text",
    [
        "arms.section.chord",
        "arms.section.chord=80..120",
        "arms.section.chord=120..80:5",
        "arms.section=3..4:2",
        "arms.section.cord=3..4:2",
        "palm.thickness=3 kg..4:2",
        "bolts.size=M8..M12:3",
        "palm.thickness=12,12",
        "palm.thickness=10..20:1",
    ],
)
def test_a_range_that_makes_no_sense_is_refused(text: str) -> None:
    with pytest.raises(StudyError):
        axis(text, "mm")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("arms.section.shape=flat,fiol", "did you mean foil"),
        ("identity.name=a,b", "any text"),
        ("bolts.size=M8,M99", "M99"),
        ("materials.strut=C95800,C9580", "C95800"),
        ("bolts.backing_plate=yes,nein", "nein"),
        ("bolts.pattern.along=2,99", "whole number from 1 to 20"),
        ("arms.stance=0,upright", "vertical"),
    ],
)
def test_a_word_that_is_no_choice_is_refused(text: str, told: str) -> None:
    with pytest.raises(StudyError, match=told):
        axis(text, "mm")


def test_words_that_are_choices_are_taken() -> None:
    for text in (
        "arms.section.shape=flat,foil",
        "materials.strut=C95800,C90300",
        "bolts.backing_plate=yes,no",
        "bolts.pattern.along=2,3",
        "arms.stance=vertical,10 deg,12.5",
        "barrel.bore_class=H7,G7",
    ):
        assert len(axis(text, "mm").values) >= 2


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("harbour-launch", "bearing[0].length"),
        ("refit-two-bores", "bearing.length"),
        ("refit-two-bores", "bearing[2].length"),
    ],
)
def test_a_place_in_a_list_that_is_not_there_is_refused(name: str, path: str) -> None:
    loaded = load(shipped()[name])
    with pytest.raises(StudyError, match="list"):
        study(loaded, resolve(loaded), [axis(f"{path}=120,130", "mm")])


def test_what_cannot_be_built_has_no_weight(launch_set: tuple[Any, Any]) -> None:
    loaded, resolved = launch_set
    found = study(loaded, resolved, [axis("palm.thickness=-5..15:21", "mm")], workers=1)
    thick = np.array(found.grid.axes[0].values, dtype=float)
    np.testing.assert_array_equal(np.isnan(found.judged.weight_kg), thick < 0.01)
    assert (found.judged.level[thick < 0.01] == FAILS).all()
    assert "palm.thickness = -5 mm" in found.cannot
    best = found.lightest()
    assert best is not None
    assert thick[best] > 0


@long_run
def test_the_lightest_passes_all_but_the_file_s_own_warnings(launch_set: tuple[Any, Any]) -> None:
    """A bearing under four shafts long (ABS) warns whatever the arm is like; an arm too weak is not to be the lightest
    for that."""
    loaded, resolved = launch_set
    short = with_values(loaded, {"bearing.length": 3.9 * resolved.strut.shaft.diameter_mm})
    base = resolve(short)
    axes = [axis("arms.section.thickness=12..34:12", "mm"), axis("arms.section.chord=60..110:6", "mm")]
    found = study(short, base, axes, workers=1)
    fixed = {code for code, _ in found.fixed}
    assert fixed == {"bearing_length"}
    best = found.lightest()
    assert best is not None
    light = float(found.judged.weight_kg[best])
    passing = []
    for n in range(found.grid.count):
        row = found.row(n)
        try:
            one = resolve(with_values(short, {a.path: float(row[a.path]) for a in axes}))
        except ParameterError:
            continue
        held = outcomes_of([*geometry_checks(one.strut), *engineering_findings(one.strut, one.said.loads)])
        if not {code for code, h in held.items() if h.level} - fixed:
            passing.append(float(row["weight_kg"]))
    assert light == pytest.approx(min(passing), rel=1e-9)
    assert len(passing) < found.grid.count
    weak = study(short, base, [axis("arms.section.thickness=8..12:3", "mm")], workers=1)
    assert weak.lightest() is None
    assert weak.nearest() is not None


def test_what_no_value_moves_is_not_said_to_govern_as_unbuildable(launch_set: tuple[Any, Any]) -> None:
    loaded, resolved = launch_set
    for axes in ([axis("duty.idle_speed=500..600:3", "mm")], [axis("arms.section.shape=foil", "mm")]):
        found = study(loaded, resolved, axes, workers=1)
        assert found.judged.code(0) != "cannot_be_built"
        assert math.isfinite(found.judged.utilisation[0])


def test_a_fixed_outline_may_move_alone() -> None:
    """As the scalar checks of each place have it."""
    loaded = load(shipped()["day-cruiser"])
    resolved = resolve(loaded)
    found = study(loaded, resolved, [axis("palm.offset.port=-0.2..0.2:3", "in")], workers=1)
    assert found.one_by_one is None
    for n in range(3):
        one = resolve(with_values(loaded, {"palm.offset.port": float(found.grid.axes[0].values[n])}))
        held = outcomes_of([*geometry_checks(one.strut), *engineering_findings(one.strut, one.said.loads)])
        assert max(int(h.level) for h in held.values()) == found.judged.level[n]


def test_bolts_in_a_frame_are_the_grid_without_its_inner_ones_whatever_their_pitches() -> None:
    text = shipped()["harbour-launch"].read_text(encoding="utf-8")
    there = "pattern: {kind: grid, along: 4, across: 2, pitch_along: 50, pitch_across: 77}"
    assert there in text
    frame = loads(text.replace(there, "pattern: {kind: frame, along: 4, across: 3, pitch_along: 60, pitch_across: 38}"))
    holes = {(h.u_mm, h.v_mm) for h in resolve(frame).strut.palms[0].holes}
    grid = {(u, v) for u in (-90.0, -30.0, 30.0, 90.0) for v in (-38.0, 0.0, 38.0)}
    assert holes == grid - {(-30.0, 0.0), (30.0, 0.0)}
    varied = {"bolts.pattern.pitch_along": np.array([60.0, 52.0]), "bolts.pattern.pitch_across": np.array([38.0, 41.0])}
    made = candidates(frame, resolve(frame), varied)
    for n in range(2):
        one = resolve(with_values(frame, {path: float(v[n]) for path, v in varied.items()})).strut.palms[0]
        for k, hole in enumerate(one.holes):
            assert float(made.inputs.palms[0].holes_u_mm[n, k]) == pytest.approx(hole.u_mm)
            assert float(made.inputs.palms[0].holes_v_mm[n, k]) == pytest.approx(hole.v_mm)


def test_too_many_one_by_one_are_refused(launch_set: tuple[Any, Any]) -> None:
    loaded, resolved = launch_set
    with pytest.raises(StudyError, match="one by one"):
        study(loaded, resolved, [axis("arms.rake=0..10:3000", "mm")])


def test_other_limits_move_a_study(launch_set: tuple[Any, Any], tmp_path: Path) -> None:
    loaded, resolved = launch_set
    axes = [axis("palm.thickness=10..16:4", "mm")]
    plain = study(loaded, resolved, axes, workers=1)
    strict = study(loaded, resolved, axes, own_limits("palm_thickness: 5"), workers=1)
    assert (strict.judged.level >= plain.judged.level).all()
    assert strict.judged.code(3) == "palm_thickness"  # a thinner one fails by its bending
    write_table(tmp_path / "t.csv", strict)
    assert "palm_thickness" in (tmp_path / "t.csv").read_text(encoding="utf-8")


def test_a_hard_limit_beyond_the_aim_fails_a_study_as_it_fails_a_check() -> None:
    """A shop may ask for more at the hard limit than the aim: what is cleared by a bound is beyond both."""
    loaded = load(shipped()["day-cruiser"])
    resolved, own = resolve(loaded), own_limits("tip_clearance_hard: 0.185")
    failing = {f.code for f in geometry_checks(resolved.strut, own) if f.fails}
    found = study(loaded, resolved, [axis("palm.thickness=0.43,0.4375", "in")], own, workers=1)
    assert failing == {"tip_to_palm"}
    assert found.lightest() is None
    assert (found.judged.level == FAILS).all()


@pytest.mark.parametrize("edge", [None, 1.4])
def test_thin_edges_of_varied_sections_are_those_of_the_file(edge: float | None) -> None:
    """Left out, the radius follows the thickness; given, it may be too large for a thin one, which then cannot be."""
    data = yaml.safe_load(shipped()["work-launch-vee"].read_text(encoding="utf-8"))
    for name in ("chord_at_palm", "thickness_at_palm", "edge_radius"):
        data["arms"]["section"].pop(name, None)
    if edge is not None:
        data["arms"]["section"]["edge_radius"] = edge
    loaded = loads(yaml.safe_dump(data), "two-arcs.yaml")
    thick = np.array([10.0, 13.0, 30.0])
    made = candidates(loaded, resolve(loaded), {"arms.section.thickness": thick})
    for n, value in enumerate(thick.tolist()):
        try:
            one = resolve(with_values(loaded, {"arms.section.thickness": value})).strut
        except ParameterError:
            assert not made.buildable[n]
        else:
            assert made.buildable[n]
            strut = made.one(n)
            assert strut is not None
            assert strut.arms[0].edge_radius_mm == pytest.approx(one.arms[0].edge_radius_mm)
    assert made.buildable.all() == (edge is None)
