"""Laws of welds that are not square, over all leans, rakes and turns that a file may say."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strength_support import inputs_of, rectangle_weld

from strutwright.models import weld_sides
from strutwright.models.formulas import welds
from strutwright.models.inputs import Inputs

TENDER, PILOT = inputs_of("canal-tender"), replace(inputs_of("pilot-vee"), weld_prep="none")
FORCES = st.tuples(*[st.floats(-1e5, 1e5)] * 3)
MOMENTS = st.tuples(*[st.floats(-1e7, 1e7)] * 3)
LEANS = st.floats(0.0, 29.9)


def leaning(lean: float, way: float) -> Inputs:
    """The canal boat's strut with a palm that stands off square to its upright arm by lean, toward way (degrees from
    forward)."""
    turn, out = math.radians(lean), math.radians(way)
    normal = (math.sin(turn) * math.cos(out), math.sin(turn) * math.sin(out), math.cos(turn))
    arm = replace(TENDER.arms[0], chord_into_palm=normal[0] / normal[2])
    return replace(TENDER, palms=(replace(TENDER.palms[0], normal=normal),), arms=(arm,))


@given(lean=st.floats(0.0, 60.0), way=st.floats(0.0, 360.0))
def test_a_palm_leans_by_as_much_on_one_side_as_it_lacks_on_the_other(lean: float, way: float) -> None:
    one = leaning(lean, way)
    angles = weld_sides.arm_angles(one, "palm", one.arms[0])
    assert angles.side_wide + angles.side_narrow == pytest.approx(180.0)
    assert angles.end_wide + angles.end_narrow == pytest.approx(180.0)
    assert float(angles.lean_deg) == pytest.approx(lean, abs=1e-5)
    assert angles.side_wide <= angles.end_wide + 1e-6
    # Toward a side the sides have all of it, fore and aft they have none.
    sideways = math.degrees(math.asin(math.sin(math.radians(lean)) * abs(math.sin(math.radians(way)))))
    assert float(angles.side_wide) == pytest.approx(90.0 + sideways, abs=1e-6)


@given(lean=st.floats(0.0, 25.0), more=st.floats(0.1, 4.9), way=st.floats(0.0, 360.0), leg=st.floats(3.0, 40.0))
def test_a_palm_that_leans_more_never_has_more_throat(lean: float, more: float, way: float, leg: float) -> None:
    throats = []
    for angle in (lean, lean + more):
        one = leaning(angle, way)
        arm = replace(one.arms[0], palm_root_mm=leg)
        throats.append(float(weld_sides.arm_throats(one, "palm", arm).least_mm))
    assert throats[1] <= throats[0] + 1e-6
    assert throats[0] <= leg / math.sqrt(2.0) + 1e-9


@settings(max_examples=200)
@given(
    lean=LEANS, over=LEANS, leg=st.floats(3.0, 40.0), force=FORCES, moment=MOMENTS, beta_w=st.sampled_from([0.85, 1.0])
)
def test_of_two_plain_fillets_the_wider_governs(
    lean: float, over: float, leg: float, force: tuple[float, ...], moment: tuple[float, ...], beta_w: float
) -> None:
    """What is worked out, the wider side alone, is what both sides together give."""

    def side(angle: float) -> welds.Flank:
        return welds.flank(welds.throat_mm(leg, angle), angle)

    line, load = rectangle_weld(120.0, 20.0), (force, moment)
    wide = welds.weld_stress_mpa(line, *load, sides=(side(90.0 + lean),), ends=(side(90.0 + over),), beta_w=beta_w)
    both = welds.weld_stress_mpa(
        line,
        *load,
        sides=(side(90.0 + lean), side(90.0 - lean)),
        ends=(side(90.0 + over), side(90.0 - over)),
        beta_w=beta_w,
    )
    assert float(both) == pytest.approx(float(wide), rel=1e-12)
    # and a joint that stands square is never worse used than one that leans
    square = welds.weld_stress_mpa(line, *load, sides=(side(90.0),), ends=(side(90.0),), beta_w=beta_w)
    assert float(square) <= float(wide) * (1.0 + 1e-12)


@given(
    rake=st.floats(-45.0, 45.0),
    toe=st.floats(-15.0, 15.0),
    clock=st.floats(-80.0, 80.0),
    leg=st.floats(3.0, 40.0),
    flow=st.booleans(),
)
def test_every_joint_has_a_throat(rake: float, toe: float, clock: float, leg: float, flow: bool) -> None:
    turned = tuple(
        replace(a, rake_deg=rake, toe_deg=toe, clock_deg=clock, along_flow=flow, barrel_root_mm=leg, palm_root_mm=leg)
        for a in PILOT.arms
    )
    ends: tuple[weld_sides.End, ...] = ("barrel", "palm")
    for prep in ("none", "double_bevel"):
        one = replace(PILOT, arms=turned, weld_prep=prep)
        for end in ends:
            angles = weld_sides.arm_angles(one, end, turned[0])
            assert all(0.0 <= float(a) <= 180.0 for a in angles[:4])
            assert angles.side_narrow <= angles.side_wide + 1e-9
            least = float(weld_sides.arm_throats(one, end, turned[0]).least_mm)
            assert 0.0 < least <= max(leg, PILOT.arms[0].thickness_palm_mm / 2.0)


@given(rake=st.floats(-45.0, 45.0), toe=st.floats(-15.0, 15.0), clock=st.floats(-80.0, 80.0), flow=st.booleans())
def test_the_other_hand_stands_the_same(rake: float, toe: float, clock: float, flow: bool) -> None:
    arm = replace(PILOT.arms[0], rake_deg=rake, toe_deg=toe, clock_deg=clock, along_flow=flow)
    palm = PILOT.palms[arm.palm_index]
    other = replace(arm, toe_deg=-toe, clock_deg=-clock)
    n = palm.normal
    mirrored = tuple(replace(p, normal=(n[0], -n[1], n[2])) for p in PILOT.palms)
    for end in ("barrel", "palm"):
        here = weld_sides.arm_angles(PILOT, end, arm)  # type: ignore[arg-type]
        there = weld_sides.arm_angles(replace(PILOT, palms=mirrored), end, other)  # type: ignore[arg-type]
        assert [float(a) for a in there[:4]] == pytest.approx([float(a) for a in here[:4]], abs=1e-9)


@given(leg=st.lists(st.floats(3.0, 30.0), min_size=2, max_size=4), lean=st.floats(0.0, 59.0))
def test_many_at_once_are_as_one_by_one(leg: list[float], lean: float) -> None:
    one = leaning(lean, 60.0)
    many = replace(one.arms[0], palm_root_mm=np.array(leg))
    at_once = np.broadcast_to(np.asarray(weld_sides.arm_throats(one, "palm", many).least_mm), (len(leg),))
    single = [float(weld_sides.arm_throats(one, "palm", replace(many, palm_root_mm=b)).least_mm) for b in leg]
    assert at_once.tolist() == pytest.approx(single)
