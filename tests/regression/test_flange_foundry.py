"""The pattern of a cast flanged housing: stock, core through the spigot, parting, what the founder is told."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache
from typing import Literal

import numpy as np
import pytest
from sheets_support import cells, context, resolved
from support import built_of, long_run, pattern_without_solids

from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.files import foundry as files
from strutwright.exporters.files.pattern_templates import template_files
from strutwright.exporters.sheets.founder import founder_sheets
from strutwright.exporters.sheets.founder_words import founder_notes
from strutwright.models import frames
from strutwright.models.families import in_own_words
from strutwright.models.geometry.flange import slant_mm
from strutwright.models.outline import circle
from strutwright.models.shop import founder, foundry, pattern_findings
from strutwright.models.shop.drafted import drafted_outline
from strutwright.models.shop.foundry import FoundrySpec, foundry_settings
from strutwright.models.shop.ribs_drawn import FACES, rib_words
from strutwright.models.solids import kernel
from strutwright.models.solids.casting import PatternSet, build_pattern
from strutwright.models.spec import Strut, mirrored
from strutwright.models.spec_flange import Ribs

NAME = "deadwood-cutter"


def spec(**instead: object) -> FoundrySpec:
    return replace(foundry_settings(resolved(NAME)), **instead)


def slanting(**instead: object) -> Strut:
    """The housing without its spigot, its flange leaning."""
    strut = resolved(NAME).strut
    assert strut.flange is not None
    plane = replace(strut.flange.plane, lean_deg=10.0, **instead)
    return replace(strut, flange=replace(strut.flange, plane=plane, spigot=None))


@cache
def pattern() -> PatternSet:
    made = build_pattern(resolved(NAME).strut, spec())
    assert made is not None
    return made


def test_stock_is_on_the_bedding_face_and_on_the_spigot_and_nowhere_else_on_the_flange() -> None:
    strut, it = resolved(NAME).strut, spec(stock_palm_mm=4.0, stock_ends_mm=5.0)
    flange, rough = strut.flange, foundry.casting_strut(strut, it).flange
    assert flange is not None
    assert flange.spigot is not None
    assert rough is not None
    assert rough.spigot is not None
    assert rough.plane.station_mm - rough.thickness_mm == flange.plane.station_mm - flange.thickness_mm  # the free face
    assert rough.plane.station_mm == flange.plane.station_mm + 4.0
    assert rough.spigot.outside_mm == flange.spigot.outside_mm + 10.0
    assert rough.plane.station_mm + rough.spigot.length_mm == flange.plane.station_mm + flange.spigot.length_mm + 5.0


@pytest.mark.parametrize("looks", ["forward", "aft"])
def test_the_core_runs_through_the_spigot_to_prints_beyond_it(looks: str) -> None:
    strut, it = resolved(NAME).strut, spec(draft=foundry.Draft(0.0), stock_ends_mm=5.0, print_length_mm=30.0)
    assert strut.flange is not None
    station = 170.0 if looks == "forward" else 0.0
    plane = replace(strut.flange.plane, looks=looks, station_mm=station)
    turned = replace(strut, flange=replace(strut.flange, plane=plane))
    spigot, free = 85.0 + 40.0 + 5.0 + 30.0, 85.0 + 5.0 + 30.0
    assert foundry.core_ends_mm(turned, it) == ((-free, spigot) if looks == "forward" else (-spigot, free))
    assert foundry.in_metal_mm(turned, it) == 85.0 + 5.0 + 125.0 + 5.0


def test_the_core_passes_the_narrowest_bore() -> None:
    source = resolved(NAME)
    flange = source.strut.flange
    assert flange is not None
    assert flange.spigot is not None
    narrow = replace(source.strut, flange=replace(flange, spigot=replace(flange.spigot, bore_mm=40.0)))
    it = foundry_settings(replace(source, strut=narrow))
    assert it.core_diameter_mm == 40.0 - 2 * it.stock_bore_mm


def test_a_print_begins_beyond_the_farthest_place_of_a_slanting_flange() -> None:
    strut, it = slanting(), spec(draft=foundry.Draft(0.0), print_length_mm=30.0)
    assert strut.flange is not None
    far = 85.0 + it.stock_palm_mm / math.cos(math.radians(10.0)) + slant_mm(strut.flange.plane, it.core_diameter_mm / 2)
    assert foundry.core_ends_mm(strut, it)[1] == pytest.approx(far + 30.0)


def test_a_flange_that_turns_hangs_over_the_pull_unless_it_is_parted_level() -> None:
    """Turned 8 degrees in plan it hangs over by as much drawn athwart, by none drawn upward; a lean the other way."""
    strut = resolved(NAME).strut
    assert strut.flange is not None
    for lean, turn, over in ((0.0, 8.0, "arm_plane"), (8.0, 0.0, "barrel_plane")):
        plane = replace(strut.flange.plane, lean_deg=lean, turn_deg=turn)
        turned = replace(strut, flange=replace(strut.flange, plane=plane))
        for parting in ("arm_plane", "barrel_plane"):
            told = pattern_findings.pattern_findings(turned, spec(parting=parting))
            (found,) = (f for f in told if f.code == "pattern_palm_back_draft")
            assert found.actual == pytest.approx(8.0 if parting == over else 0.0, abs=1e-9)
            assert (found.verdict.name == "WARN") == (parting == over)


def test_the_findings_name_what_a_housing_has() -> None:
    strut = resolved(NAME).strut
    told = [in_own_words(f, strut.family) for f in pattern_findings.pattern_findings(strut, spec())]
    words = " ".join(f"{f.what if isinstance(f.what, str) else f.what.read('mm')} {f.parameter}" for f in told)
    assert "fillet of the flange at the barrel" in words
    assert "where the spigot meets the flange" in words
    assert "pattern.stock.bedding_face" in words
    assert not re.search(r"\b(?:palm|hull|strut|arm)s?\b", words)


def test_a_thick_flange_on_a_thin_barrel_is_told_as_a_hot_spot() -> None:
    strut = resolved(NAME).strut
    assert strut.flange is not None
    heavy = replace(strut, flange=replace(strut.flange, thickness_mm=40.0))
    for one, bad in ((strut, False), (heavy, True)):
        told = pattern_findings.pattern_findings(one, spec())
        found = [f for f in told if f.code == "pattern_hot_spot" and f.parameter == "flange.thickness"]
        assert any(f.verdict.name == "WARN" for f in found) == bad


def test_sizes_from_part_to_pattern_add_up() -> None:
    strut, it = resolved(NAME).strut, spec(stock_palm_mm=4.0, stock_ends_mm=5.0)
    sizes = {s.what: s for s in founder.pattern_sizes(strut, it)}
    assert (sizes["flange, thickness"].finished_mm, sizes["flange, thickness"].casting_mm) == (14.0, 18.0)
    assert sizes["aft face to bedding face, on the shaft line"].casting_mm == 170.0 + 5.0 + 4.0
    assert (sizes["spigot, outside"].stock_mm, sizes["spigot, outside"].casting_mm) == (5.0, 71.5)
    assert sizes["spigot, length from the bedding face"].casting_mm == 40.0 - 4.0 + 5.0
    for s in sizes.values():
        assert s.pattern_mm == pytest.approx(s.casting_mm * it.factor)


def test_targets_stand_on_the_free_barrel_and_on_the_free_face() -> None:
    strut, it = resolved(NAME).strut, spec()
    made = {t.name: t for t in founder.datum_targets(strut, it)}
    assert set(made) == {"A1", "A2", "A3", "A4", "B1"}  # a round flange gives no turn
    assert max(float(t.at[0]) for n, t in made.items() if n[0] == "A") < 85.0 - 14.0 - 6.0  # clear of flange and root
    assert float(made["B1"].at[0]) == pytest.approx(85.0 - 14.0)
    assert float(founder.datum_targets(mirrored(slanting()), it)[-1].at[0]) < 85.0


def test_the_notes_say_how_a_housing_is_parted_and_lies() -> None:
    source = resolved(NAME)
    made = pattern_without_solids(source.strut, spec())
    notes = " ".join(founder_notes(context(source.strut, source), made, founder.walls(source.strut, made.spec), ()))
    assert "through the shaft line, upright; port half and starboard half" in notes
    assert "Bedding face of the flange: square to the shaft, it looks forward." in notes
    level = replace(made, spec=spec(parting="barrel_plane"))
    notes = " ".join(founder_notes(context(source.strut, source), level, founder.walls(source.strut, made.spec), ()))
    assert "level; upper half and lower half" in notes


@long_run
def test_the_pattern_is_the_rough_casting_with_its_prints_and_draws() -> None:
    made = pattern()
    assert [f for f in made.findings if f.fails] == []
    assert len(made.halves) == 2
    k, (aft, fore) = made.spec.factor, foundry.core_ends_mm(made.strut, made.spec)
    box = made.pattern.shape.BoundingBox()
    more = foundry.draft_offset_mm(made.spec.core_diameter_mm / 2, made.spec.draft.at(made.spec.core_diameter_mm / 2))
    assert (box.xmin, box.xmax) == (
        pytest.approx(k * (aft - more), abs=0.01),
        pytest.approx(k * (fore + more), abs=0.01),
    )
    assert box.zmax == pytest.approx(k * 88.0, abs=0.1)
    rows = files.draft_rows(made)
    assert [f.code for f in pattern_findings.draft_findings(rows)] == ["pattern_draws"]
    names = {row.face for row in rows}
    assert {"flange, bedding face", "flange, free face", "flange, edge", "spigot", "barrel"} <= names


@long_run
def test_the_founders_sheets_of_a_housing_show_its_heavy_place_and_lay_out() -> None:
    made, source = pattern(), resolved(NAME)
    sheets = founder_sheets(context(source.strut, source, built_of(source.strut)), made, files.draft_rows(made))
    heavy = cells(next(t for t in sheets["founders-sheet"].tables if t.name == "heavy"))
    assert heavy[-1]["place"] == "root of the flange"
    # The circle in a corner of two walls is wider than the thicker of them.
    assert float(heavy[-1]["wall or circle"].lstrip("Ø")) > 19.0
    for sheet in sheets.values():
        said = " ".join(t.text for item in lay_out(sheet).items for t in item.texts)
        assert not re.search(r"(?i)\b(?:palm|hull|strut)s?\b", said)
    names = {cut.name for cut in template_files(made).values()}
    assert names == {"barrel half profile", "core and core box", "flange free face", "parting line"}


@pytest.mark.parametrize("way", [1.0, -1.0])
@pytest.mark.parametrize("axis", ["x", "y"])
def test_a_round_flange_is_leaned_out_whichever_way_it_is_drawn(axis: Literal["x", "y"], way: float) -> None:
    """A circle of two half circles from line to line: the lines that lean touch it, and meet on the parting."""
    drawn = drafted_outline(circle(176.0).mirror(axis), np.array([0.0, way]), 0.0, (1.5, 1.5)).bounding_box()
    assert (drawn.ymin, drawn.ymax) == pytest.approx((-88.0, 88.0))
    reach = 88.0 / math.cos(math.radians(1.5))
    assert (drawn.xmin, drawn.xmax) == pytest.approx((-reach, reach))


def test_a_faced_end_that_a_slanting_flange_comes_near_keeps_its_stock() -> None:
    """The shoe's boss stands 4 above the plate, whose stock reaches over it, and is faced: it has stock of its own."""
    shoe = resolved("creek-yawl")
    it = replace(foundry_settings(shoe), draft=foundry.Draft(0.0), stock_ends_mm=5.5)
    half = shoe.strut.barrel.length_mm / 2 + 5.5
    assert foundry.casting_strut(shoe.strut, it).flange.plane.station_mm < 0  # type: ignore[union-attr]
    assert foundry.end_faces_mm(shoe.strut, it) == ((-half, -half), (half, half))
    assert foundry.end_radii_mm(shoe.strut, it) == (33.5, 33.5)
    rows = {r.what: r for r in founder.pattern_sizes(shoe.strut, it)}
    assert rows["barrel, length at the rim"].casting_mm == 2 * half


@pytest.mark.parametrize("looks", ["forward", "aft"])
def test_stock_on_a_slanting_face_does_not_move_its_outline(looks: str) -> None:
    """Seen square to the face the rough outline and its holes lie over the finished ones."""
    strut = slanting(turn_deg=-6.0, looks=looks)
    rough = foundry.casting_strut(strut, spec(stock_palm_mm=7.0))
    assert strut.flange is not None
    assert rough.flange is not None
    own, cast = (frames.flange_axes(it.flange, it.barrel) for it in (strut, rough) if it.flange is not None)
    seen = own.from_strut(cast.to_strut(rough.flange.outline.polyline(0.1)))
    assert np.abs(seen[:, 2] - 7.0).max() < 1e-9
    assert np.abs(strut.flange.outline.distance_to_boundary(seen[:, :2])).max() < 1e-6
    for hole, moved in zip(strut.flange.holes, rough.flange.holes, strict=True):
        at = own.from_strut(cast.to_strut(np.array([[moved.u_mm, moved.v_mm]])))[0]
        assert np.abs(at[:2] - (hole.u_mm, hole.v_mm)).max() < 1e-9


def test_the_finished_shoe_lies_within_its_casting() -> None:
    shoe = resolved("creek-yawl")
    made = build_pattern(shoe.strut, replace(foundry_settings(shoe), factor=1.0))
    assert made is not None
    finished = next(p.shape for p in built_of(shoe.strut).parts if p.kind == "strut")
    shared = kernel.common(finished, made.pattern.shape)
    assert kernel.volume_mm3(shared) > (1.0 - 2e-6) * kernel.volume_mm3(finished)


def ribbed(first_clock_deg: float) -> Strut:
    """The housing without slots, with four ribs."""
    strut = resolved(NAME).strut
    assert strut.flange is not None
    ribs = Ribs(count=4, thickness_mm=10.0, along_mm=40.0, out_mm=25.0, first_clock_deg=first_clock_deg)
    barrel = replace(strut.barrel, slots=None)
    return replace(strut, barrel=barrel, flange=replace(strut.flange, ribs=ribs))


def test_a_rib_a_little_aslant_is_filled_up_and_one_more_aslant_overhangs() -> None:
    """Drawn to port (90): ribs at 10 and 190 lie 80 off the pull, those at 100 and 280 by 10, which is filled up."""
    strut = ribbed(10.0)
    made = build_pattern(strut, foundry_settings(replace(resolved(NAME), strut=strut)))
    assert made is not None
    rows = {(r.face, r.half): r for r in files.draft_rows(made)}
    for half in ("port half", "starboard half"):
        along, aslant = (rows[f"ribs {how}", half] for how in ("along the pull", "aslant to the pull"))
        assert along.undercut_mm2 == 0.0
        assert along.low_height_mm <= 10.0  # its toe on the barrel
        assert aslant.undercut_mm2 > 500.0
        assert aslant.worst_deg == pytest.approx(-80.0, abs=0.5)
    told = [f for f in files.findings(made, list(rows.values())) if f.code == "pattern_undercut"]
    assert all("flange.ribs.first_clock" in str(f.advice) for f in told)
    assert len(told) == 2


def test_the_founder_is_told_of_each_way_a_rib_is_drawn() -> None:
    pull = np.array([0.0, 1.0, 0.0])
    for first, ways in ((0.0, ["along", "joint"]), (10.0, ["along", "aslant"]), (45.0, ["aslant"])):
        flange = ribbed(first).flange
        assert flange is not None
        told = rib_words(flange, pull)
        assert [words.split(",")[0] for words in told] == [FACES[w].capitalize() for w in ways]  # type: ignore[index]
        assert any("OVERHANGS" in words for words in told) == ("aslant" in ways)
