"""Root blends and beads against closed forms of elementary geometry, brute force, and the modeller's own fillet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from support import every, example_strut

from strutwright.models.checks import geometry_checks
from strutwright.models.frames import Axes
from strutwright.models.geometry import beads, members
from strutwright.models.geometry.members import arm_member, barrel_root, fin_member, palm_root
from strutwright.models.geometry.roots import SINK_MM, Round, Slab
from strutwright.models.solids import arm as arms
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import build, cast, kernel, welds
from strutwright.models.solids import job as jobs
from strutwright.models.spec import BarrelEnd, Strut
from strutwright.params.limits import standard


def upright(**changes: object) -> Strut:
    """An upright arm square over a barrel, one size all along, on a level palm."""
    s = example_strut()
    arm = replace(
        s.arms[0],
        clock_deg=0.0,
        rake_deg=0.0,
        toe_deg=0.0,
        aligned_with="shaft",
        shape="flat",
        edge_radius_mm=5.0,
        chord_barrel_mm=80.0,
        chord_palm_mm=80.0,
        thickness_barrel_mm=20.0,
        thickness_palm_mm=20.0,
    )
    plane = replace(s.palms[0].plane, pitch_deg=0.0, tilt_deg=0.0)
    palm = replace(s.palms[0], plane=plane, zero_mm=(0.0, 0.0, plane.drop_mm))
    return replace(s, arms=(replace(arm, **changes),), palms=(palm,), skeg=None)  # type: ignore[arg-type]


@pytest.mark.parametrize("radius", [4.0, 10.0, 22.0])
def test_ball_beside_a_plate_over_a_cylinder(radius: float) -> None:
    """Its middle lies r off the plate's face and R + r from the shaft line, so at a height of
    sqrt((R + r)^2 - (t/2 + r)^2); it touches the cylinder on the line to the shaft (Pythagoras)."""
    s = upright()
    big, half = s.barrel.outside_mm / 2, 10.0
    member = arm_member(s, s.arms[0])
    found = members.rolled(member, barrel_root(member, s.barrel, radius), radius)
    side = np.abs(found.normal[:, 1]) > 1 - 1e-12
    height = math.sqrt((big + radius) ** 2 - (half + radius) ** 2)
    assert found.centre[side, 2] == pytest.approx(height, abs=1e-7)
    assert found.foot[side, 2] == pytest.approx(height * big / (big + radius), abs=1e-7)
    assert np.linalg.norm(found.side - found.centre, axis=1) == pytest.approx(radius, abs=1e-7)


@pytest.mark.parametrize(
    ("shape", "length", "small"), [("tapered", 30.0, 64.0), ("rounded", 22.0, 60.0), ("tapered", 50.0, 80.0)]
)
@pytest.mark.parametrize("section", ["flat", "ellipse", "two_arcs", "foil"])
def test_ball_touches_the_real_outside_over_creases(section: str, shape: str, length: float, small: float) -> None:
    """Brute force: of a dense cloud on the barrel's outside the nearest point is a radius away, whichever part it is
    on; and the ball's middle is a radius from the arm's side."""
    s = upright(shape=section, edge_radius_mm=2.0, chord_barrel_mm=126.0, rake_deg=8.0)
    end = BarrelEnd(shape=shape, length_mm=length, end_diameter_mm=small)  # type: ignore[arg-type]
    barrel = replace(s.barrel, length_mm=170.0, outside_mm=84.0, forward_end=end, aft_end=end)
    s = replace(s, barrel=barrel)
    member = arm_member(s, s.arms[0])
    found = members.rolled(member, barrel_root(member, barrel, 9.0), 9.0)
    assert found.ok.all()
    x = np.linspace(-85.0, 85.0, 3401)
    radius = members.barrel_base(barrel).radius(x)
    rho = np.hypot(found.centre[:, 1], found.centre[:, 2])
    off = np.sqrt((found.centre[:, :1] - x) ** 2 + (rho[:, None] - radius) ** 2).min(axis=1)
    assert off == pytest.approx(9.0, abs=5e-3)
    assert len(np.unique(found.patch)) > 1  # it does go over a crease
    assert np.sum((found.centre - found.side) * found.normal, axis=1) == pytest.approx(9.0, abs=1e-6)


def test_nearest_on_a_low_roof() -> None:
    """Of two planes through the x axis that lean by 2 degrees: y sin + z cos (Hesse's form), on the ridge z cos."""
    lean = math.radians(2.0)
    planes = (
        (np.zeros(3), np.array([0.0, math.sin(lean), math.cos(lean)])),
        (np.zeros(3), np.array([0.0, -math.sin(lean), math.cos(lean)])),
    )
    near = Slab(planes).near(np.array([[5.0, 0.0, 3.0], [0.0, 4.0, 3.0]]))
    assert near.distance == pytest.approx([3.0 * math.cos(lean), 4 * math.sin(lean) + 3 * math.cos(lean)])


def test_distance_from_a_round_body_by_brute_force() -> None:
    chain = np.array([[-50.0, 20.0, 0.0], [-36.0, 30.0, 0.0], [36.0, 30.0, -0.15], [50.0, 24.0, 0.0]])
    body = Round(chain)
    points = np.random.default_rng(3).uniform(-80, 80, (300, 3))
    x = np.linspace(-50, 50, 20001)
    rim = np.column_stack((x, body.radius(x)))
    rho = np.hypot(points[:, 1], points[:, 2])
    faces = np.minimum(*(np.hypot(points[:, 0] - at, np.maximum(rho - r, 0.0)) for at, r in ((-50, 20), (50, 24))))
    round_ = np.sqrt(((np.column_stack((points[:, 0], rho))[:, None] - rim) ** 2).sum(axis=2)).min(axis=1)
    assert np.abs(body.near(points).distance) == pytest.approx(np.minimum(faces, round_), abs=4e-3)


@pytest.mark.parametrize(
    "chain",
    [
        [[-50.0, 20.0, 0.0], [-36.0, 30.0, 0.0], [36.0, 30.0, -0.15], [50.0, 24.0, 0.0]],
        [[-50.0, 30.0, 0.0], [50.0, 30.0, 0.0]],
        [[-60.0, 22.0, -0.3], [-52.0, 30.0, 0.0], [52.0, 30.0, -0.3], [60.0, 22.0, 0.0]],
    ],
)
def test_a_body_made_smaller_lies_as_far_inside_everywhere(chain: list[list[float]]) -> None:
    """By the meaning of an offset: each point of the smaller body's outside is that far from the larger body's."""
    body = Round(np.array(chain))
    less = body.shrunk(0.09)
    x = np.linspace(less.chain[0, 0], less.chain[-1, 0], 2001)
    outside = np.column_stack((x, less.radius(x), 0.0 * x))
    assert body.near(outside).distance == pytest.approx(-0.09, abs=2e-4)
    ends = np.array([[less.chain[0, 0], 3.0, 0.0], [less.chain[-1, 0], 3.0, 0.0]])
    assert body.near(ends).distance == pytest.approx(-0.09)
    eased = body.sunk(0.02, 1.0)
    assert eased.ease_mm > 0.1
    far = np.column_stack((np.linspace(-45.0, 45.0, 901), np.full(901, 40.0), np.zeros(901)))
    off = eased.near(far)
    # Where the nearest place is on a face, it lies as far inside as was asked; a crease loses a little more.
    lost = off.distance - body.near(far).distance
    assert lost.min() > 0.02 - 2e-4
    assert lost.max() < 0.02 + 0.1
    assert np.linalg.norm(far - off.foot, axis=1) == pytest.approx(off.distance)


@pytest.mark.parametrize("crease_mm", every([89.1, 88.75, 91.25, 86.75, 90.5, 89.75], 3))
def test_a_flat_side_that_crosses_a_crease_squarely_joins(crease_mm: float) -> None:
    """The straight part of a flat section ends at 90.2 mm: the ball passes the crease just before that, at it, or on
    the rounded edge."""
    s = upright(
        chord_barrel_mm=224.9,
        chord_palm_mm=224.9,
        thickness_barrel_mm=44.5,
        thickness_palm_mm=44.5,
        edge_radius_mm=22.25,
        toe_deg=1.4,
    )
    barrel = replace(
        s.barrel,
        length_mm=343.2,
        outside_mm=192.4,
        aft_end=BarrelEnd(shape="tapered", length_mm=13.0, end_diameter_mm=177.9),
        forward_end=BarrelEnd(shape="tapered", length_mm=171.6 - crease_mm, end_diameter_mm=166.9),
    )
    s = replace(
        s,
        construction="cast",
        barrel=barrel,
        arms=(replace(s.arms[0], station_mm=171.6, clock_deg=34.65, barrel_root_mm=14.9, palm_root_mm=0.0),),
    )
    job = jobs.Job(s, np.array([0.0, 0.0, -1.0]), members.root_room(standard()))
    whole = barrels.envelope(barrel, job.seam)
    fits = members.fitting_roots(s, members.root_room(standard()), [members.palm_base(p) for p in s.palms])
    body = cast._join_arm(job, whole, s.arms[0], fits.arms[0], members.palm_base(s.palms[0]))
    assert kernel.is_good(body)
    assert not job.findings


@pytest.mark.parametrize("radius", [5.0, 12.0])
def test_volume_of_a_blend_beside_a_plate_over_a_cylinder(radius: float) -> None:
    """Between two planes square to the shaft the blend is a prism; its section by the shoelace formula: up the plate,
    down the ball's arc, back along the cylinder."""
    s = upright()
    big, half, wide = s.barrel.outside_mm / 2, 10.0, 40.0
    whole = barrels.envelope(s.barrel, np.array([0.0, 0.0, -1.0]))
    block = kernel.box(Axes(np.zeros(3), *np.eye(3)), wide / 2, 100.0, 0.0, 100.0)
    plain, rooted = (
        kernel.volume_mm3(kernel.one_solid(kernel.common(kernel.fuse(whole, arm)[0], block)))
        for arm in (arms.plain(s, s.arms[0], -s.palms[0].thickness_mm / 2), arms.rooted(s, s.arms[0], (radius, 0.0)))
    )
    deep = SINK_MM
    y, z = half + radius, math.sqrt((big + radius - deep) ** 2 - (half + radius) ** 2)
    to_foot = math.atan2(-z, -y)
    arc = np.linspace(math.pi, to_foot + 2 * math.pi, 4000)
    ball = np.column_stack((y + radius * np.cos(arc), z + radius * np.sin(arc)))
    ball = ball[np.hypot(*ball.T) >= big]
    turn = np.linspace(math.atan2(ball[-1, 1], ball[-1, 0]), math.acos(half / big), 4000)
    ring = np.vstack((ball, big * np.column_stack((np.cos(turn), np.sin(turn)))))
    area = 0.5 * abs(np.sum(ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1]))
    assert rooted - plain == pytest.approx(2 * wide * area, rel=2e-3)


@pytest.mark.parametrize("leg", [4.0, 8.0, 12.0])
def test_a_leg_is_as_long_on_either_side_whatever_the_angle(leg: float) -> None:
    """At the ends of a skeg whose edges lean, on a cone, and on a leaning arm: both toes a leg from the joint."""
    s = example_strut(skeg=True)
    end = BarrelEnd(shape="tapered", length_mm=40.0, end_diameter_mm=70.0)
    s = replace(s, barrel=replace(s.barrel, forward_end=end))
    fin = fin_member(s.skeg, s.barrel)  # type: ignore[arg-type]
    arm = arm_member(s, replace(s.arms[0], rake_deg=15.0, clock_deg=20.0))
    for member, root in (
        (fin, barrel_root(fin, s.barrel, 0.0)),
        (arm, barrel_root(arm, s.barrel, 0.0)),
        (arm, palm_root(arm, s.palms[0], 0.0)),
    ):
        b = beads.toes(member.ruled, root, leg, member.around())
        assert b.ok.all()
        assert np.linalg.norm(b.on_base - b.line, axis=1) == pytest.approx(leg, abs=1e-3)
        # Square to the joint along the side: the distance of the toe from the line through its neighbours.
        along = np.gradient(b.line, axis=0)
        along /= np.maximum(np.linalg.norm(along, axis=1), 1e-12)[:, None]
        off = np.linalg.norm(np.cross(b.on_side - b.line, along), axis=1)
        assert np.median(np.abs(off - leg)) < 0.02 * leg


@pytest.mark.parametrize(("kind", "section"), every([("single", "foil"), ("vee", "ellipse")], 2))
def test_check_and_build_tell_the_same_radius(kind: str, section: str) -> None:
    """A radius too large for the room to the face: the check names the largest that fits, the solid is made with it."""
    s = example_strut(kind)  # type: ignore[arg-type]
    s = replace(
        s,
        construction="cast",
        skeg=None,
        arms=tuple(replace(a, shape=section, edge_radius_mm=0.0, barrel_root_mm=45.0) for a in s.arms),
    )  # type: ignore[arg-type]
    told = [f for f in geometry_checks(s) if f.code == "root_on_barrel"]
    assert all(f.fails and f.parameter == "arms.root_fillet.barrel" for f in told)
    built = build(s)
    made = [f for f in built.findings if f.code == "fillet_reduced" and f.parameter == "arms.root_fillet.barrel"]
    assert [f.actual for f in made] == [f.actual for f in told]
    fits = replace(s, arms=tuple(replace(a, barrel_root_mm=f.actual) for a, f in zip(s.arms, told, strict=True)))
    assert not [f for f in geometry_checks(fits) if f.code == "root_on_barrel" and f.fails]
    assert not [f for f in build(fits).findings if f.fails]


def test_a_ring_that_the_kernel_leaves_uncut_is_no_bead(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is returned has no room in common with the barrel, and the volume of a bead whose cut went well."""
    s = example_strut("vee")
    arm, job, cut = s.arms[0], jobs.Job(s, np.array([0.0, 0.0, -1.0]), members.root_room(standard())), kernel.cut
    member = members.arm_member(s, arm)
    root = members.barrel_root(member, s.barrel, 0.0)
    whole = barrels.envelope(s.barrel, job.seam)
    parts = [jobs.arm_to(job, arm, -s.palms[arm.palm_index].thickness_mm), whole]
    left_uncut: list[object] = []

    def lazy(body: object, tools: Sequence[object], fuzzy_mm: float = 0.0) -> object:
        if not left_uncut:
            left_uncut.append(body)
            return body
        return cut(body, tools, fuzzy_mm)

    well = welds.bead(member.ruled, root, arm.barrel_root_mm, parts)
    monkeypatch.setattr(kernel, "cut", lazy)
    (made,) = welds.bead(member.ruled, root, arm.barrel_root_mm, parts)
    assert left_uncut
    assert kernel.volume_mm3(kernel.common(made, whole)) == pytest.approx(0.0, abs=1e-6)
    assert kernel.volume_mm3(made) == pytest.approx(sum(kernel.volume_mm3(b) for b in well), rel=1e-4)
