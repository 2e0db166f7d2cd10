"""Wear and repair: each way held to the checks, the wear limit among those it was chosen from, cast arms never bent."""

from __future__ import annotations

import functools
import json
import math
from dataclasses import replace
from typing import Any

import pytest
from support import own_limits

from strutwright.exporters.bench.installation import _wear
from strutwright.exporters.drawing.figures import Figures
from strutwright.models.bench.installation import that_count
from strutwright.models.bench.repair import Option, Repaired, repair, room_of
from strutwright.models.bench.repair_bolts import larger_bolts, left_mm2
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.resolve import Resolved, resolve
from strutwright.params.bench.repair import Repair, WastedBolt, checked
from strutwright.params.limits import Limits, standard
from strutwright.params.loader import load, shipped
from strutwright.params.measured import reads
from strutwright.params.problems import ParameterError


@functools.cache
def set_of(name: str) -> Resolved:
    return resolve(load(shipped()[name]))


def repaired(name: str = "harbour-launch", limits: Limits | None = None, **said: Any) -> Repaired:
    """What can be done with a shipped strut."""
    held = standard() if limits is None else limits
    found = set_of(name)
    return repair(found, checked(reads(json.dumps(said), Repair), room_of(found.strut)), held)


def way(found: Repaired, name: str) -> Option:
    """The first way of a name."""
    return next(o for o in found.options if o.name == name)


def bore(*sizes: float) -> list[dict[str, float]]:
    return [{"at": 20.0 * k, "upright": s} for k, s in enumerate(sizes)]


def runs(**said: float) -> dict[str, Any]:
    return {"bearings": [said]}


def test_the_wear_limit_is_the_safest_of_those_in_circulation_at_40_mm() -> None:
    """Those found run from 0.79 to 2.4 mm of clearance at a shaft of 40 mm; the limit is the least of them, one
    thirty-second of an inch. Larger shafts have it more by their usual new clearance."""
    assert standard()["wear_limit"].value == pytest.approx(25.4 / 32, abs=0.005)
    for name in ("harbour-launch", "coaster-steel", "refit-two-bores"):
        for worn in repaired(name, **runs(clearance=0.6)).bearings:
            assert worn.new_mm < worn.limit_mm < min(value for _, value in worn.others)
    strut = set_of("harbour-launch").strut
    forty = replace(
        strut,
        shaft=replace(strut.shaft, diameter_mm=40.0),
        bearings=(replace(strut.bearings[0], inside_mm=strut.bearings[0].inside_mm + 5.0),),
    )
    found = repair(replace(set_of("harbour-launch"), strut=forty), Repair(), standard()).bearings[0]
    assert (found.limit_mm, max(v for _, v in found.others)) == pytest.approx((0.79, 2.4))
    told = [repaired(**runs(clearance=c)).bearings[0].verdict for c in (0.6, 0.78, 0.8)]
    assert told == ["go", "go", "no go"]
    shallow = replace(strut, bearings=(replace(strut.bearings[0], flute_depth_mm=0.5),))
    worn = repair(replace(set_of("harbour-launch"), strut=shallow), Repair(), standard()).bearings[0]
    assert worn.limit_mm == pytest.approx(worn.new_mm + 0.25)
    flutes = strut.bearings[0].flute_depth_mm
    left = [repaired(**runs(clearance=0.2, flute_depth=k * flutes)).bearings[0].verdict for k in (0.55, 0.45)]
    assert left == ["go", "no go"]
    own = repaired(limits=own_limits("wear_limit: 2\n"), **runs(clearance=1.1)).bearings[0]
    assert own.verdict == "doubtful"


@pytest.mark.parametrize("own", [None, "wear_limit: 2\n"])
@pytest.mark.parametrize("name", ["canal-tender", "coaster-steel", "refit-two-bores"])
def test_checks_yard_and_repair_hold_to_one_limit_of_wear(name: str, own: str | None) -> None:
    """The least of both bearings where there are two; a shop's own limit is that of all three."""
    limits = standard() if own is None else own_limits(own)
    findings = that_count(engineering_findings(set_of(name).strut, None, limits))
    told = findings["clearance_worn"].actual
    assert told == pytest.approx(min(b.limit_mm for b in repaired(name, limits=limits, **runs(clearance=0.6)).bearings))
    rows = dict(_wear(findings, Figures(unit="mm")).rows)
    assert rows["bearing, renew when worn to"].split()[0] == Figures(unit="mm").length(told)
    assert "to" in rows["other limits in circulation"].split()


def test_readings_that_cannot_be_of_the_strut_are_refused_and_a_bolt_worn_away_holds_nothing() -> None:
    """A shaft of 35 in an outside of 68, bolts M12: neither a bore of 30 or 90 nor a bolt of 15."""
    for said in ({"bore": bore(30.0)}, {"bore": bore(50.0, 90.0)}, {"bolts": [{"name": "aft", "least": 15.0}]}):
        with pytest.raises(ParameterError, match=r"is no bore of this barrel|is more than the bolt"):
            repaired(**said)
    for place in ({}, {"place": "shank"}):
        kept = way(repaired(bolts=[{"name": "aft", "least": 0.02, **place}]), "keep the bolts")
        assert kept.verdict == "no go"
        assert "holds nothing" in str(kept.words)


def test_each_bearing_of_a_barrel_is_followed_by_itself() -> None:
    """Aft in a counterbore of 80, forward in the bore of 75: what is worn at one says nothing of the other."""
    worn = [{"which": 2, "clearance": 3.0, "up": 0.4}]
    found = repaired("refit-two-bores", bearings=worn, bore=[{"at": 200, "upright": 75.5}])
    assert [(b.called, b.verdict, b.shift_mm) for b in found.bearings] == [
        ("aft bearing", "doubtful", 0.0),
        ("forward bearing", "no go", 0.4),
    ]
    assert {o.of for o in found.options} == {"forward bearing", "strut"}
    assert way(found, "new bearing").verdict != "go"
    aft = repaired("refit-two-bores", bore=[{"at": 60, "upright": 80.5}])
    assert {o.of for o in aft.options} == {"aft bearing", "strut"}
    assert way(aft, "new bearing").verdict != "go"
    good = repaired("refit-two-bores", bore=[{"at": 60, "upright": 80.01}, {"at": 200, "upright": 75.0}])
    assert [o.verdict for o in good.options if o.name == "new bearing"] == ["go", "go"]


def test_next_bolt_sizes_are_held_to_the_checks() -> None:
    """Wider holes: edge distance and the hull in a grounding stand worse, M16 beyond what the palm takes."""
    found = repaired(bolts=[{"name": "aft", "least": 6.0}])
    larger = [o for o in found.options if o.name == "next bolt size"]
    assert [str(o.words).split(" in all")[0] for o in larger] == ["M14", "M16"]
    assert [o.verdict for o in larger] == ["doubtful", "no go"]
    assert "bolt_edge_distance" in {f.code for f in larger[0].worse}
    assert "rim_to_arm_root" in {f.code for f in larger[1].worse}
    # A thicker palm with its holes farther in takes one.
    roomy = [repaired(name, bolts=[{"name": "aft", "least": 6.0}]) for name in ("coaster-steel", "survey-launch")]
    assert any(o.verdict == "go" for f in roomy for o in f.options if o.name == "next bolt size")


def test_a_larger_bolt_without_a_head_in_the_tables_is_told() -> None:
    found = set_of("harbour-launch")
    (palm,) = found.strut.palms
    large = replace(palm, bolt=replace(palm.bolt, size="M20", major_mm=20.0))
    made = larger_bolts(replace(found, strut=replace(found.strut, palms=(large,))))
    assert [(b.size, b.bolt) for b in made] == [("M22", None), ("M24", None)]


def test_a_bore_as_drawn_takes_the_bearing_drawn_and_a_wide_one_does_not() -> None:
    assert way(repaired(bore=bore(50.0, 50.025)), "new bearing").verdict == "go"
    wide = way(repaired(bore=bore(50.5, 50.6)), "new bearing")
    assert wide.verdict != "go"
    assert {f.code for f in wide.worse} & {"bore_fit", "fit_kept"}
    made = way(repaired(bore=bore(50.2, 50.2)), "shell made to the bore")
    assert made.verdict == "go"


def test_boring_on_is_held_to_the_wall_that_is_left() -> None:
    """A wall of 9 on a shaft of 35 has 8.75 as its limit and 7 below which it fails: 55 leaves 6.5."""
    found = repaired(bore=bore(50.1))
    bored = way(found, "next outside diameter")
    assert bored.verdict == "no go"
    assert "barrel_wall" in {f.code for f in bored.worse}


def test_limits_of_the_shop_move_the_sleeve() -> None:
    """A sleeve of 3 leaves 6 of 9; of 0.5 it leaves 8.5 and only warns. What is bored clean counts too."""
    thin = repaired(limits=own_limits("repair_sleeve_wall: 0.5\nrepair_clean_up: 0.1\n"), bore=bore(50.1))
    thick = repaired(bore=bore(50.1))
    dirty = repaired(limits=own_limits("repair_sleeve_wall: 0.5\nrepair_clean_up: 4\n"), bore=bore(50.1))
    walls = [
        next(f.actual for f in way(found, "sleeve").worse if f.code == "barrel_wall") for found in (thin, thick, dirty)
    ]
    assert walls == pytest.approx([8.5, 6.0, (68 - 58.1) / 2])


def test_a_shift_is_told_and_takes_its_wall() -> None:
    found = repaired(bore=bore(50.1), **runs(up=-0.3, port=0.4))
    assert found.bearings[0].shift_mm == pytest.approx(0.5)
    # Down and to port: between 90, toward port, and 180, away from the hull.
    assert found.bearings[0].shift_clock_deg == pytest.approx(180 - 53.13, abs=0.01)
    # The sleeve: 56 and, on the thin side, 0.5 less.
    wall = next(f.actual for f in way(found, "sleeve").worse if f.code == "barrel_wall")
    assert wall == pytest.approx(6.0 - 0.5)


def test_cold_straightening_within_the_strain_of_its_metal_and_never_of_a_cast_part() -> None:
    """4 t s / S^2 of at most 2 % of steel and austenitic steel."""
    bend = [{"part": "palm", "set": 1.0, "over": 200.0}]
    assert way(repaired(bends=bend), "straighten").verdict == "no go"
    welded = "yawl-with-heel"
    thick = set_of(welded).strut.palms[0].thickness_mm
    most = 0.02 * 200.0**2 / (4 * thick)
    for share, told in ((0.9, "go"), (1.1, "no go")):
        bend = [{"part": "palm", "set": share * most, "over": 200.0}]
        assert way(repaired(welded, bends=bend), "straighten").verdict == told


def test_an_arm_bent_aft_is_strained_over_its_chord() -> None:
    # surface strain of an arc: half the depth over its radius S^2 / 8 s; 130 along and 32 across, 2 % of 316L
    for way_, deep in (("sideways", 32.0), ("fore and aft", 130.0), (None, 130.0)):
        for share, told in ((0.95, "go"), (1.05, "no go")):
            radius = deep / 2.0 / (0.02 * share)
            bend = [{"part": "arm", "set": 300.0**2 / 8.0 / radius, "over": 300.0, "way": way_}]
            assert way(repaired("yawl-with-heel", bends=bend), "straighten").verdict == told


def test_wasted_bolts_are_held_to_the_area_that_is_left() -> None:
    assert way(repaired(bolts=[{"name": "aft", "least": 12.0}]), "keep the bolts").verdict == "go"
    thin = way(repaired(bolts=[{"name": "aft", "least": 12.0}, {"name": "fwd", "least": 6.0}]), "keep the bolts")
    assert thin.verdict == "no go"
    assert any(f.code.startswith("palm_bolts") for f in thin.worse)


def test_a_thread_loses_its_core_with_its_crests() -> None:
    """M12 wasted by 1.5 mm: of a thread pi/4 (10.36 - 1.5)^2 = 61.7 mm2 is left, of a shank of 10.5 all that the thread
    has, 84.3 (pi/4 (d - 0.9382 p)^2, ISO 898-1)."""
    stress = math.pi / 4.0 * (12.0 - 0.938194 * 1.75) ** 2
    for place, left in (("thread", 61.7), (None, 61.7), ("shank", stress)):
        said = WastedBolt(name="aft", least=10.5, place=place)
        assert left_mm2(said, 12.0, stress) == pytest.approx(left, rel=2e-3)
    wasted = {"name": "aft", "least": 11.5}
    kept = [way(repaired(bolts=[{**wasted, **p}]), "keep the bolts") for p in ({}, {"place": "shank"})]
    assert [k.verdict for k in kept] == ["no go", "go"]


def test_what_is_cracked_is_not_run() -> None:
    found = repaired(cracks=[{"where": "root, port"}])
    assert found.cracked
    assert way(found, "keep").verdict == "no go"
    assert [o.name for o in found.options if o.verdict == "go"] == ["make new"]


def test_what_cannot_be_is_told() -> None:
    with pytest.raises(ParameterError, match="has no reading"):
        repaired(by="J. Fitter")
    with pytest.raises(ParameterError, match="no such bearing") as told:
        repaired(bearings=[{"which": 2}, {"which": 1}, {"which": 1}], bore=[{"at": 500, "upright": 50}])
    assert "is given twice" in str(told.value)
    assert "lies outside the barrel" in str(told.value)
    with pytest.raises(ParameterError, match="half the span"):
        repaired(bends=[{"part": "arm", "set": 60.0, "over": 100.0}])
