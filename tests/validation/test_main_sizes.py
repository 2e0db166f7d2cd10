"""Main sizes and places of findings in the model: on the solid, as long as they say, mirrored with the strut."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from support import SETS, STRUTS, example_strut, featured_strut, hands_of, plain_parts, resolved

from strutwright.exporters.files.mesh import part_mesh
from strutwright.exporters.inspect.agreement import length
from strutwright.models.frames import palm_axes
from strutwright.models.main_sizes import MainSize, main_sizes
from strutwright.models.places import place_of, places
from strutwright.models.spec import Strut, mirrored

ON_MM = 0.06
"""The chord of the mesh, and a little."""


def bodies(strut: Strut) -> list[trimesh.Trimesh]:
    """The solids that another way of building gives, as meshes."""
    return [part_mesh(part.shape, part.name) for part in plain_parts(strut)]


def depth_mm(solid: list[trimesh.Trimesh], points: list[tuple[float, float, float]]) -> np.ndarray:
    """How deep each point lies in the nearest of the bodies, 0 on its surface, negative outside."""
    return np.max([trimesh.proximity.signed_distance(body, points) for body in solid], axis=0)


def named(strut: Strut) -> dict[str, MainSize]:
    return {size.name: size for size in main_sizes(strut)}


SURFACE = ("barrel-length", "barrel-outside", "bore", "palm-length", "palm-width", "palm-thickness", "heel-bore")


@pytest.mark.parametrize("skeg", [False, True])
def test_sizes_begin_and_end_on_the_solid(skeg: bool) -> None:
    strut = example_strut(skeg=skeg)
    solid, sizes = bodies(strut), named(strut)
    ends = [at for name in SURFACE if name in sizes for at in (sizes[name].start, sizes[name].end)]
    assert len(ends) == 2 * (7 if skeg else 6)
    assert np.abs(depth_mm(solid, ends)).max() < ON_MM
    within = [
        at for name in ("arm-chord-barrel", "arm-thickness-barrel") for at in (sizes[name].start, sizes[name].end)
    ]
    # At the palm they hold where the axis meets the hull, which slopes: 12.7 mm over half the chord.
    at_palm = [
        np.mean((sizes[name].start, sizes[name].end), axis=0) for name in ("arm-chord-palm", "arm-thickness-palm")
    ]
    assert depth_mm(solid, [*within, at_palm[0]]).min() > -ON_MM
    assert palm_axes(strut.palms[0]).from_strut(np.array(at_palm[:1]))[0][2] == pytest.approx(0.0, abs=1e-9)


def test_sizes_of_palms_that_are_thinned_at_their_edge_lie_on_them() -> None:
    strut = featured_strut("vee")
    sizes, palm = named(strut), strut.palms[0]
    start, end = (np.array(at) for at in (sizes["port-palm-thickness"].start, sizes["port-palm-thickness"].end))
    assert np.linalg.norm(end - start) == pytest.approx(palm.thickness_mm)
    # Not at the edge itself, where 3 mm of it are away: outline 130 or less across, edge thinned over 6.
    assert palm.outline.distance_to_boundary(palm_axes(palm).from_strut(end)[0][:2]) == pytest.approx(
        palm.bevel_width_mm, abs=0.3
    )


@pytest.mark.parametrize("name", SETS)
def test_each_size_is_as_long_as_it_says(name: str) -> None:
    for strut in hands_of(name):
        sizes = main_sizes(strut)
        assert len({s.name for s in sizes}) == len(sizes) >= (13 if name in STRUTS else 3)
        for size in sizes:
            assert math.dist(size.start, size.end) == pytest.approx(size.value_mm, abs=1e-6), size.name


def other_side(name: str) -> str:
    return re.sub("port|starboard", lambda side: {"port": "starboard", "starboard": "port"}[side[0]], name)


def rounded(*points: tuple[float, ...], side: int = 1) -> set[tuple[float, ...]]:
    return {(round(x, 3), round(side * y, 3) + 0.0, round(z, 3)) for x, y, z in points}


@pytest.mark.parametrize("name", SETS)
def test_the_other_hand_has_the_mirror_image_of_each(name: str) -> None:
    strut = resolved(name).strut
    other = mirrored(strut)
    its = {other_side(n): s for n, s in named(other).items()}
    for size in main_sizes(strut):
        if not size.name.endswith(
            ("palm-thickness", "flange-thickness", "plate-thickness", "foot-thickness")
        ):  # shown on one edge of both
            twin = its[size.name]
            assert rounded(size.start, size.end) == rounded(twin.start, twin.end, side=-1), size.name
    mine, twins = places(strut), places(other)
    for place, at in mine.items():
        if len(strut.palms) == 1 and len(strut.arms) == 1:
            assert rounded(at) == rounded(twins[place], side=-1), place


def test_a_size_tells_what_was_measured_again_of_its_own_part() -> None:
    sizes = named(example_strut("vee"))
    found = [
        length("barrel_aft_face", "aft face", -90.004, -90.0, ""),
        length("barrel_forward_face", "forward face", 90.002, 90.0, ""),
        length("palm_thickness", "thickness of the port palm", 20.003, 20.0, ""),
        length("palm_thickness", "thickness of the starboard palm", 19.998, 20.0, ""),
    ]
    assert sizes["barrel-length"].measured_mm(found) == pytest.approx(180.006)
    assert sizes["port-palm-thickness"].measured_mm(found) == 20.003
    assert sizes["starboard-palm-thickness"].measured_mm(found) == 19.998
    assert sizes["bore"].measured_mm(found) is None
    assert sizes["barrel-length"].measured_mm(found[1:]) is None


def test_places_lie_on_the_solid_or_in_it() -> None:
    strut = example_strut(skeg=True)
    beside = {"hull", "shaft", "propeller", "skeg", "bolt"}  # plain solids have a heel, no fin; a hole has no metal
    there = {name: at for name, at in places(strut).items() if name not in beside}
    assert {"barrel", "bore", "palm", "arm", "arm at barrel", "arm at palm", "heel", "set screw 2"} <= set(there)
    solid = bodies(strut)
    screws = [name for name in there if name.startswith("set screw")]
    assert depth_mm(solid, [at for name, at in there.items() if name not in screws]).min() > -ON_MM
    radius = strut.barrel.outside_mm / 2
    assert all(math.hypot(*there[name][1:]) == pytest.approx(radius) for name in screws)


def test_of_paths_that_begin_alike_the_longer_one_counts() -> None:
    strut = replace(example_strut(skeg=True), barrel=featured_strut().barrel)
    for parameter, place in {
        "arms.section.chord": "arm",
        "arms.section.chord_at_palm": "arm at palm",
        "arms.root_fillet.barrel": "arm at barrel",
        "barrel.wall": "barrel",
        "barrel.steps[0].diameter": "bore",
        "barrel.slots.position": "water slot",
        "bearing[1].shell": "bore",
        "set_screws.positions[1].clock": "set screw 2",
        "set_screws.positions[8].clock": "barrel",
        "set_screws.thread": "barrel",
        "skeg.heel.height": "heel",
        "skeg.thickness": "skeg",
        "welds.skeg_to_barrel_leg": "skeg",
        "welds.prep": "arm at palm",
        "materials.bolts": "bolt",
        "duty.power": "",
        "palms": "",
    }.items():
        assert place_of(parameter, strut) == place, parameter
    assert place_of("skeg.heel.height", replace(strut, skeg=None)) == ""
