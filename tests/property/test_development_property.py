"""Laws of every arm: the saddle lies on both surfaces, rolling out keeps lengths, hands are mirror images."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from strutwright.models import frames
from strutwright.models.geometry.barrel import outside_radius_mm
from strutwright.models.outline import Outline
from strutwright.models.sections import kind_names
from strutwright.models.shop import arm_ends, cuts, sides
from strutwright.models.shop import development as dev
from strutwright.models.spec import BarrelEnd, PalmPlane, Strut, mirrored

sys.path.insert(0, str(Path(__file__).parent.parent))
from support import THOROUGH, example_strut


@st.composite
def struts(draw: st.DrawFn) -> Strut:
    """A strut with one arm of any shape, taper, rake, toe and clock, on any hull plane and barrel."""
    number = st.floats
    base = example_strut("single")
    shape = draw(st.sampled_from(kind_names()))
    outside = draw(number(60.0, 160.0))
    chord, taper = draw(number(60.0, 150.0)), draw(number(0.8, 1.5))
    thick = draw(number(0.12, 0.35)) * chord
    thick = min(thick, 0.7 * outside)
    thick_palm = thick * draw(number(0.9, 1.4))
    arm = replace(
        base.arms[0],
        shape=shape,
        clock_deg=draw(number(-40.0, 40.0)),
        rake_deg=draw(number(-15.0, 20.0)),
        toe_deg=draw(number(-5.0, 5.0)),
        aligned_with=draw(st.sampled_from(["shaft", "flow"])),
        chord_barrel_mm=chord,
        chord_palm_mm=chord * taper,
        thickness_barrel_mm=thick,
        thickness_palm_mm=min(thick_palm, chord * taper),
        edge_radius_mm=draw(st.just(0.0) | number(0.001, 0.5)) * min(thick, thick_palm) if shape == "flat" else 0.0,
    )
    end = BarrelEnd(
        shape=draw(st.sampled_from(["straight", "tapered", "rounded"])),
        length_mm=draw(number(5.0, 60.0)),
        end_diameter_mm=0.8 * outside,
    )
    barrel = replace(
        base.barrel, outside_mm=outside, bore_mm=0.6 * outside, length_mm=260.0, aft_end=end, forward_end=end
    )
    arm = replace(arm, station_mm=draw(number(90.0, 170.0)))
    plane = PalmPlane(
        drop_mm=outside / 2 + draw(number(180.0, 400.0)),
        pitch_deg=draw(number(-2.0, 18.0)),
        tilt_deg=draw(number(-25.0, 25.0)),
    )
    axes = frames.arm_axes(arm, barrel, plane)
    x, y, z = (float(c) for c in frames.meet_plane(plane, axes.origin, axes.n))
    palm = replace(base.palms[0], plane=plane, zero_mm=(x, y, z))
    return replace(base, barrel=barrel, arms=(arm,), palms=(palm,))


@settings(max_examples=60 if THOROUGH else 25, deadline=None)
@given(struts())
def test_the_saddle_lies_on_the_barrel_and_on_the_arm(strut: Strut) -> None:
    arm, barrel = strut.arms[0], strut.barrel
    side = sides.arm_side(strut, arm)
    cut = cuts.meet_barrel(barrel, side)
    radius = np.hypot(cut.points[:, 1], cut.points[:, 2])
    plain = ~cut.faired
    assert np.abs(radius[plain] - barrel.outside_mm / 2).max(initial=0.0) < 1e-9
    assert np.abs(radius - outside_radius_mm(barrel, cut.points[:, 0] + barrel.length_mm / 2)).max() < 1e-9
    # on the arm: each point is in its section's plane, at its generator's place between the two end sections
    share = (cut.along_mm - side.along_near_mm) / (side.along_far_mm - side.along_near_mm)
    on_arm = side.near + share[:, None] * (side.far - side.near)
    assert np.abs(on_arm - cut.points).max() < 1e-9
    # and on the hull's side of the barrel
    assert ((cut.points - side.axes.origin) @ frames.radial(arm.clock_deg) > 0.0).all()


@settings(max_examples=40 if THOROUGH else 15, deadline=None)
@given(struts())
def test_rolling_out_keeps_lengths_and_closes(strut: Strut) -> None:
    side = sides.arm_side(strut, strut.arms[0])
    cut = cuts.meet_barrel(strut.barrel, side)
    far = side.at(float(cut.along_mm.max()) + 30.0)
    low, high = dev.unroll(cut.points, far)
    for flat, true in ((low, cut.points), (high, far)):
        assert np.allclose(np.hypot(*np.diff(flat, axis=0).T), np.linalg.norm(np.diff(true, axis=0), axis=1), atol=1e-9)
    assert np.allclose(np.hypot(*(high - low).T), np.linalg.norm(far - cut.points, axis=1), atol=1e-9)
    for wrap in (dev.barrel_wrap(side, cut), dev.palm_wrap(side, cuts.meet_palm(strut.palms[0], side))):
        wrap.outline.validate()
        assert wrap.outline.is_ccw()
    shape = dev.footprint(strut.barrel, side).outline
    shape.validate()
    assert shape.is_ccw()


@settings(max_examples=40 if THOROUGH else 15, deadline=None)
@given(struts())
def test_the_other_hand_is_the_mirror_image(strut: Strut) -> None:
    other = mirrored(strut)
    both = [sides.arm_side(s, s.arms[0]) for s in (strut, other)]

    def distance(a: Outline, b: Outline) -> float:
        return float(np.abs(b.distance_to_boundary(a.polyline(0.01))).max())

    pairs = list(zip((strut, other), both, strict=True))
    wraps = [dev.barrel_wrap(side, cuts.meet_barrel(s.barrel, side)) for s, side in pairs]
    palms = [dev.palm_wrap(side, cuts.meet_palm(s.palms[0], side)) for s, side in pairs]
    for mine, theirs in (wraps, palms):
        assert distance(mine.outline.mirror("y"), theirs.outline) < 2 * dev.FIT_MM + 0.01
    prints = [dev.footprint(s.barrel, side) for s, side in zip((strut, other), both, strict=True)]
    assert distance(prints[0].outline.mirror("x"), prints[1].outline) < 2 * dev.FIT_MM + 0.01
    rows = [arm_ends.bevel_table(s, s.arms[0]) for s in (strut, other)]
    assert np.allclose([r.angle_deg for r in rows[0]], [r.angle_deg for r in reversed(rows[1])], atol=1e-6)


@settings(max_examples=40 if THOROUGH else 15, deadline=None)
@given(struts())
def test_opposite_flat_sides_turn_by_two_right_angles_together(strut: Strut) -> None:
    # The two faces of a plate of even thickness are parallel planes: their angles to the palm add up to 180 degrees.
    arm = replace(strut.arms[0], shape="flat", edge_radius_mm=0.0, thickness_palm_mm=strut.arms[0].thickness_barrel_mm)
    strut = replace(strut, arms=(arm,))
    angles = arm_ends.palm_angles_deg(strut.palms[0], sides.arm_side(strut, arm))
    side = sides.arm_side(strut, arm)
    longest = sorted(side.pieces, key=lambda p: -float(np.linalg.norm(side.near[p[1]] - side.near[p[0]])))[:2]
    assert np.isclose(sum(angles[(a + b) // 2] for a, b in longest), 180.0, atol=1e-9)
