"""What a search takes for the roots of random sets from the whole schema, against the balls and beads themselves.

The bound may say too little, never too much: a search that errs offers a strut whose check then fails.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import yaml
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from property.random_sets import draw_set
from support import THOROUGH

from strutwright.models.arrays import Floats
from strutwright.models.geometry import footprints, members, toe_bound
from strutwright.models.geometry.beads import toes
from strutwright.models.geometry.polygons import distance_to_polygon
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sections import SectionError, boundary_points, kind_names, kind_of
from strutwright.models.sizing.candidates import candidates
from strutwright.models.spec import Strut
from strutwright.models.struts import Struts
from strutwright.params import limits
from strutwright.params.loader import Loaded, load, loads, shipped
from strutwright.params.problems import ParameterError

MANY = settings(max_examples=60 if THOROUGH else 12, deadline=None)
EPS_MM = 1e-6
ROOM = members.root_room(limits.standard())


def _set(number: int) -> tuple[Loaded, Resolved]:
    try:
        loaded = loads(yaml.safe_dump(draw_set(number)), "random.yaml")
        return loaded, resolve(loaded)
    except ParameterError:
        assume(False)
        raise


def _strut(number: int) -> Strut:
    return _set(number)[1].strut


@MANY
@given(st.integers(0, 1_000_000))
def test_the_bound_of_a_root_on_its_palm_is_never_better_than_its_toe(number: int) -> None:
    strut = _strut(number)
    try:
        assume(members.roots_fit(strut, ROOM).palm)
    except SectionError:
        assume(False)
    c = Struts.of(strut)
    for k in range(len(strut.arms)):
        for height in (10.0, 60.0):
            exact, bound = (m.on_palm(c, k, height) for m in (footprints, toe_bound))
            assert bound.toe_inside_mm <= exact.toe_inside_mm + EPS_MM
            assert bound.hole_to_toe_mm <= exact.hole_to_toe_mm + EPS_MM
            assert bound.hole_to_arm_mm <= exact.hole_to_arm_mm + EPS_MM


@given(st.sampled_from([k for k in kind_names() if kind_of(k).scales]), st.floats(0.02, 1.0))
def test_no_smooth_section_reaches_farther_beyond_its_polygon_than_is_allowed_for(kind: str, thick: float) -> None:
    polygon = np.column_stack(footprints.unit(kind)) * (1.0, thick)
    contour = boundary_points(kind, 1.0, thick, 20 * footprints.SMOOTH_POINTS)
    assert distance_to_polygon(contour, polygon).max() <= footprints.COARSE


def test_holes_that_mirror_each_other_count_once_and_as_before() -> None:
    loaded = load(shipped()["harbour-launch"])
    made = candidates(loaded, resolve(loaded), {"bolts.pattern.pitch_along": np.linspace(60.0, 110.0, 5)})
    palm = made.inputs.palms[0]

    def with_holes(v_mm: Floats) -> footprints.OnPalm:
        inputs = replace(made.inputs, palms=(replace(palm, holes_v_mm=v_mm),))
        return toe_bound.on_palm(replace(made, made_inputs=lambda: inputs), 0, 25.0)

    holes_v = np.asarray(palm.holes_v_mm)
    even, uneven = with_holes(holes_v), with_holes(holes_v + 1e-9)  # no two are mirror images to the last place
    np.testing.assert_allclose(even.hole_to_toe_mm, uneven.hole_to_toe_mm, atol=1e-6)
    np.testing.assert_allclose(even.hole_to_arm_mm, uneven.hole_to_arm_mm, atol=1e-6)
    nearer = holes_v.copy()
    beside = int(np.argmin(np.abs(np.asarray(palm.holes_u_mm)[0])))
    nearer[:, beside] *= 0.9  # one beside the arm alone moves toward it, from either side
    for moved in (nearer, -nearer):
        assert np.all(np.asarray(with_holes(moved).hole_to_toe_mm) < np.asarray(even.hole_to_toe_mm) - 1.0)


@MANY
@given(st.integers(0, 1_000_000))
def test_the_bound_of_a_root_on_the_barrel_reaches_as_far_as_its_toe(number: int) -> None:
    strut = _strut(number)
    try:
        assume(members.roots_fit(strut, ROOM).barrel)
    except SectionError:
        assume(False)
    c = Struts.of(strut)
    for k, arm in enumerate(strut.arms):
        member = members.arm_member(strut, arm)
        if strut.construction == "welded":
            root = members.barrel_root(member, strut.barrel, 0.0)
            feet = toes(member.ruled, root, arm.barrel_root_mm, member.around()).on_base
        else:
            root = members.barrel_root(member, strut.barrel, arm.barrel_root_mm)
            feet = members.rolled(member, root, arm.barrel_root_mm).foot
        # Of one strut what the arm covers is taken from points round it, hundredths apart at a corner.
        assert np.abs(feet[:, 0]).max() <= footprints.root_reach_mm(c, k) + 0.02


@MANY
@given(st.integers(0, 1_000_000))
@example(30601)  # two arcs whose chord lies across the shaft: their rounded edges count
def test_the_bound_of_what_an_arm_covers_of_the_barrel_holds_all_of_it(number: int) -> None:
    loaded, resolved = _set(number)
    assume(loaded.said.arms.section is not None)
    chord = resolved.strut.arms[0].chord_barrel_mm
    made = candidates(loaded, resolved, {"arms.section.chord": np.array([chord, 0.95 * chord, 1.05 * chord])})
    for k in range(len(resolved.strut.arms)):
        exact, bound = (footprints.on_barrel(made, k, way) for way in (True, False))
        good = made.buildable
        assert np.all((bound.aft_mm <= exact.aft_mm + EPS_MM)[good])
        assert np.all((bound.forward_mm >= exact.forward_mm - EPS_MM)[good])
        assert np.all((bound.half_deg >= exact.half_deg - EPS_MM)[good])
