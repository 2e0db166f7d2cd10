"""What a search takes for the roots of random sets from the whole schema, against the balls and beads themselves.

The bound may say too little, never too much: a search that errs offers a strut whose check then fails.
"""

from __future__ import annotations

import numpy as np
import yaml
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from property.random_sets import draw_set

from strutwright.models.geometry import footprints, members, toe_bound
from strutwright.models.geometry.beads import toes
from strutwright.models.resolve import resolve
from strutwright.models.sections import SectionError
from strutwright.models.spec import Strut
from strutwright.models.struts import Struts
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError

MANY = settings(max_examples=60, deadline=None)
EPS_MM = 1e-6


def _strut(number: int) -> Strut:
    try:
        return resolve(loads(yaml.safe_dump(draw_set(number)), "random.yaml")).strut
    except ParameterError:
        assume(False)
        raise


@MANY
@given(st.integers(0, 1_000_000))
def test_the_bound_of_a_root_on_its_palm_is_never_better_than_its_toe(number: int) -> None:
    strut = _strut(number)
    try:
        assume(members.roots_fit(strut).palm)
    except SectionError:
        assume(False)
    c = Struts.of(strut)
    for k in range(len(strut.arms)):
        for height in (10.0, 60.0):
            exact, bound = (m.on_palm(c, k, height) for m in (footprints, toe_bound))
            assert bound.toe_inside_mm <= exact.toe_inside_mm + EPS_MM
            assert bound.hole_to_toe_mm <= exact.hole_to_toe_mm + EPS_MM
            assert bound.hole_to_arm_mm <= exact.hole_to_arm_mm + EPS_MM


@MANY
@given(st.integers(0, 1_000_000))
def test_the_bound_of_a_root_on_the_barrel_reaches_as_far_as_its_toe(number: int) -> None:
    strut = _strut(number)
    try:
        assume(members.roots_fit(strut).barrel)
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
