"""Every shape and option builds sound bodies, and what cannot be built comes back as a finding that names the cause."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
from support import SETS, built_of, every, example_strut, long_run

from strutwright.models.finding import Verdict
from strutwright.models.outline import rectangle
from strutwright.models.resolve import resolve
from strutwright.models.solids import Built, build, kernel
from strutwright.models.spec import BarrelEnd, BoreStep, PalmHole, PalmPlane, Skeg, Strut, WaterSlots
from strutwright.params.loader import load, shipped


def assert_sound(built: Built) -> None:
    assert [f.what for f in built.findings if f.verdict is Verdict.FAIL] == []
    for p in built.parts:
        assert kernel.is_sound(p.shape), p.name
        assert len(p.shape.Solids()) == 1
        assert p.volume_mm3 > 0
    assert len({p.name for p in built.parts}) == len(built.parts)


def cast(**changes: object) -> Strut:
    s = example_strut("single")
    arm = replace(s.arms[0], chord_barrel_mm=90.0, barrel_root_mm=6.0)
    return replace(s, arms=(arm,), **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", every(SETS, 14))
def test_shipped_sets_build(name: str) -> None:
    assert_sound(built_of(resolve(load(shipped()[name])).strut))


@pytest.mark.parametrize(
    ("shape", "grow", "construction"),
    every(
        [
            ("foil", 1.2, "cast"),
            ("flat", 1.2, "cast"),
            ("two_arcs", 1.2, "cast"),
            ("ellipse", 1.2, "cast"),
            ("flat", 1.0, "welded"),
            ("foil", 1.2, "welded"),
        ],
        4,
    ),
)
def test_every_section(shape: str, grow: float, construction: str) -> None:
    s = cast(construction=construction)
    arm = replace(
        s.arms[0],
        shape=shape,
        edge_radius_mm=6.0 if shape == "flat" else 0.0,
        chord_palm_mm=90.0 * grow,
        thickness_palm_mm=20.0 * grow,
    )
    assert_sound(build(replace(s, arms=(arm,))))


@pytest.mark.parametrize("shape", every(["straight", "tapered", "rounded"], 2))
def test_every_barrel_end_with_steps_slots_and_flats(shape: str) -> None:
    s = cast()
    end = BarrelEnd(shape=shape, length_mm=15.0, end_diameter_mm=72.0)  # type: ignore[arg-type]
    barrel = replace(
        s.barrel,
        length_mm=220.0,
        aft_end=end,
        forward_end=end,
        steps=(
            BoreStep(kind="counterbore", from_station_mm=0.0, to_station_mm=8.0, diameter_mm=58.0),
            BoreStep(kind="shoulder", from_station_mm=190.0, to_station_mm=220.0, diameter_mm=50.0),
        ),
        slots=WaterSlots(count=4, width_mm=6.0, length_mm=14.0, centre_station_mm=196.0, first_clock_deg=45.0),
    )
    screws = tuple(replace(c, flat_diameter_mm=12.0) for c in s.set_screws)
    arm = replace(s.arms[0], station_mm=110.0)
    assert_sound(build(replace(s, barrel=barrel, set_screws=screws, arms=(arm,))))


@pytest.mark.parametrize("kind", every(["countersunk", "counterbored", "plain"], 2))
def test_every_head_on_a_bevelled_palm(kind: str) -> None:
    s = cast()
    palm = replace(s.palms[0], bolt=replace(s.palms[0].bolt, kind=kind), bevel_width_mm=6.0, bevel_height_mm=8.0)
    assert_sound(build(replace(s, palms=(palm,))))


@pytest.mark.parametrize(
    ("kind", "edge", "heel", "construction"),
    every([("foil", "round", True, "cast"), ("plate", "square", False, "cast"), ("plate", "round", True, "welded")], 3),
)
def test_every_skeg(kind: str, edge: str, heel: bool, construction: str) -> None:
    s = example_strut("single", skeg=True)
    assert s.skeg is not None
    skeg = replace(
        s.skeg,
        kind=kind,
        leading_edge=edge,
        root_aft_station_mm=45.0,
        root_forward_station_mm=160.0,
        thickness_tip_mm=14.0,
        heel=s.skeg.heel if heel else None,
    )
    built = build(cast(skeg=skeg, construction=construction))
    assert_sound(built)
    names = [p.name for p in built.parts]
    assert ("heel bush" in names) is heel
    # A foil's trailing edge is narrower than the weld: the sides get theirs all the same.
    assert ("weld skeg to barrel" in names) is (construction == "welded")


@pytest.mark.parametrize(
    ("construction", "rake_deg", "cant_deg", "foot_mm"),
    every([("cast", 12.0, 5.0, 40.0), ("welded", 0.0, 0.0, 60.0)], 2),
)
def test_nothing_stands_over_the_heel_boss(construction: str, rake_deg: float, cant_deg: float, foot_mm: float) -> None:
    # The pintle goes through the boss along the stock and the rudder sits on its face, so a foot that is higher than
    # the boss or not square to the stock ends at the boss. Follows from geometry.
    import cadquery as cq

    s = example_strut("single", skeg=True)
    assert s.skeg is not None
    assert s.skeg.heel is not None
    heel = replace(s.skeg.heel, stock_rake_deg=rake_deg, stock_cant_deg=cant_deg, foot_height_mm=foot_mm)
    built = build(
        cast(
            skeg=replace(s.skeg, root_aft_station_mm=45.0, root_forward_station_mm=160.0, heel=heel),
            construction=construction,
        )
    )
    assert_sound(built)
    up = cq.Vector(-math.tan(math.radians(rake_deg)), math.tan(math.radians(cant_deg)), 1.0).normalized()
    middle = cq.Vector(*heel.centre_mm)
    # The bushed boss is bored to 32 + 2 x 4 mm and 52 mm across outside; 100 mm either way holds every foot.
    bore = cq.Solid.makeCylinder(19.9, 200.0, middle - 100 * up, up)
    faces = [cq.Solid.makeCylinder(25.9, 80.0, middle + side * 20.1 * up, side * up) for side in (1, -1)]
    for part in built.parts:
        if part.kind != "heel bush":
            for room in (bore, *faces):
                assert kernel.common(part.shape, room).Volume() < 1e-3, part.name


def test_cast_is_one_body_and_parts_have_plain_names(built_single: Built, built_vee: Built) -> None:
    assert [p.name for p in built_single.parts] == ["strut", "bearing shell", "bearing rubber"]
    assert built_single.name == "Demo strut, port"
    names = [p.name for p in built_vee.parts]
    for wanted in (
        "barrel",
        "port arm",
        "starboard arm",
        "port palm",
        "starboard palm",
        "skeg",
        "foot",
        "heel boss",
        "heel bush",
        "bearing shell",
        "bearing rubber",
    ):
        assert wanted in names
    assert built_vee.name == "Demo strut"
    with pytest.raises(KeyError, match="there are barrel"):
        built_vee.part("rudder")


def test_parts_of_a_welded_strut_do_not_overlap(built_vee: Built) -> None:
    metal = [p for p in built_vee.parts if p.kind in ("barrel", "arm", "palm", "skeg", "foot", "heel boss")]
    for a, b in combinations(metal, 2):
        assert kernel.common(a.shape, b.shape).Volume() < 1e-3, (a.name, b.name)


def test_beads_can_be_left_out_and_bevels_take_metal() -> None:
    s = example_strut("vee")
    plain = build(replace(s, weld=replace(s.weld, beads=False, prep="none")))
    bevelled = build(replace(s, weld=replace(s.weld, beads=False)))
    assert not [p for p in plain.parts if p.kind == "weld"]
    assert bevelled.part("port arm").volume_mm3 < plain.part("port arm").volume_mm3 - 1000
    assert_sound(bevelled)


@long_run
def test_common_palm() -> None:
    s = example_strut("vee")
    plane = PalmPlane(drop_mm=320.0, pitch_deg=9.0, tilt_deg=0.0)
    palm = replace(
        s.palms[0], name="palm", plane=plane, zero_mm=(0.0, 0.0, 320.0), outline=rectangle(280, 520, 30), holes=()
    )
    arms = tuple(replace(a, palm_index=0) for a in s.arms)
    assert_sound(build(replace(s, palms=(palm,), arms=arms, construction="cast")))
    assert_sound(build(replace(s, palms=(palm,), arms=arms)))


# --- what cannot be built -------------------------------------------------------------------------------------------


def the_failure(built: Built, code: str) -> str:
    found = [f for f in built.findings if f.code == code]
    assert found, [f.code for f in built.findings]
    assert found[0].fails
    assert found[0].advice
    return found[0].parameter


def test_a_fillet_too_large_is_reduced_and_says_what_would_do() -> None:
    # A palm so wide that the root never reaches a bolt: cutting heads into a huge fillet takes the kernel minutes.
    s = cast()
    corners = [(170.0, 120.0), (-170.0, 120.0), (-170.0, -120.0), (170.0, -120.0)]
    palm = replace(
        s.palms[0],
        outline=rectangle(400.0, 300.0, 20.0),
        holes=tuple(PalmHole(number=n, u_mm=u, v_mm=v) for n, (u, v) in enumerate(corners, 1)),
    )
    wide = replace(s, palms=(palm,))
    built = build(replace(wide, arms=(replace(s.arms[0], palm_root_mm=150.0),)))
    assert the_failure(built, "fillet_reduced") == "arms.root_fillet.palm"
    (finding,) = (f for f in built.findings if f.code == "fillet_reduced")
    assert finding.demanded == 150.0
    assert 5 < finding.actual < 150
    assert f"{finding.actual:.4g} mm" in finding.advice
    # The radius it offers works.
    assert_sound(build(replace(wide, arms=(replace(s.arms[0], palm_root_mm=finding.actual),))))


def test_an_arm_past_the_barrel() -> None:
    s = cast()
    built = build(replace(s, arms=(replace(s.arms[0], station_mm=190.0),)))
    assert the_failure(built, "arm_overhangs_barrel") == "arms.section.chord"
    built = build(replace(s, arms=(replace(s.arms[0], station_mm=600.0),)))
    assert the_failure(built, "arm_misses_barrel") == "arms.position"


def test_a_palm_beside_the_arm() -> None:
    s = cast()
    palm = replace(s.palms[0], outline=s.palms[0].outline.translate(900.0, 0.0))
    assert the_failure(build(replace(s, palms=(palm,))), "palm_misses_arm") == "palm.outline"


def test_a_bevel_higher_than_the_palm() -> None:
    s = cast()
    palm = replace(s.palms[0], bevel_width_mm=5.0, bevel_height_mm=30.0)
    assert the_failure(build(replace(s, palms=(palm,))), "kernel_failed") == "palm.bevel.width"


def test_slots_that_cut_the_barrel_in_two() -> None:
    s = cast()
    barrel = replace(
        s.barrel, slots=WaterSlots(count=8, width_mm=40.0, length_mm=45.0, centre_station_mm=150.0, first_clock_deg=0.0)
    )
    assert the_failure(build(replace(s, barrel=barrel)), "cut_in_pieces") == "barrel.slots"


def test_a_root_face_as_thick_as_the_arm() -> None:
    s = example_strut("vee")
    built = build(replace(s, weld=replace(s.weld, root_face_mm=25.0, beads=False)))
    assert the_failure(built, "bevel_not_made") == "welds.prep"


def test_a_skeg_past_the_barrel() -> None:
    skeg = Skeg(
        kind="plate",
        root_aft_station_mm=25.0,
        root_forward_station_mm=400.0,
        depth_mm=200.0,
        tip_chord_mm=90.0,
        sweep_mm=30.0,
        thickness_root_mm=16.0,
        thickness_tip_mm=16.0,
        leading_edge="round",
        root_mm=0.0,
    )
    assert the_failure(build(cast(skeg=skeg)), "skeg_overhangs_barrel") == "skeg.root_forward"


# --- the same everywhere --------------------------------------------------------------------------------------------
