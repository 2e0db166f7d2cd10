"""The pattern set of a split hanger: two castings with stock on the split, one half-round core, and what is drawn."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from support import resolved

from strutwright.exporters.files import foundry as files
from strutwright.exporters.files.pattern_templates import half_core_and_box
from strutwright.models import frames
from strutwright.models.geometry.casting import casting_of
from strutwright.models.shop import founder, foundry
from strutwright.models.shop.foundry import FoundrySpec, foundry_settings
from strutwright.models.shop.split_casting import SplitCasting, split_casting
from strutwright.models.solids import kernel, triangles
from strutwright.models.solids.casting import PatternSet, build_pattern

NAME = "yole-shaft-hanger"


def spec() -> FoundrySpec:
    return foundry_settings(resolved(NAME))


def split() -> SplitCasting:
    found = split_casting(resolved(NAME).strut, spec())
    assert found is not None
    return found


@cache
def made() -> PatternSet:
    pattern = build_pattern(resolved(NAME).strut, spec())
    assert pattern is not None
    return pattern


def test_the_stock_of_the_split_is_what_the_standard_asks() -> None:
    """ISO 8062: R = F + RMA + CT / 2 for a face machined on one side (typed copy), rounded up to half a millimetre."""
    strut, it = resolved(NAME).strut, split()
    deep = it.cap.ear_thickness_mm - it.cap.gap_mm / 2
    asked = foundry.stock_mm(deep, spec().largest_mm, casting_of(strut), faces=1)
    assert it.stock_mm == asked
    assert it.stock_mm >= foundry.allowance_mm(casting_of(strut), spec().largest_mm)
    # Finished faces of both castings lie half the shims from the shaft line, and inside their rough ones.
    assert it.rough_mm == pytest.approx(it.stock_mm - it.cap.gap_mm / 2)
    assert it.cap_stock_mm >= it.stock_mm


def test_a_face_along_the_pull_has_draft_and_one_across_it_has_none() -> None:
    strut, plain = resolved(NAME).strut, replace(spec(), draft=foundry.Draft(0.0))
    bare = split_casting(strut, plain)
    assert bare is not None
    assert bare.open_mm == bare.rough_mm
    it = split()
    assert it.open_mm - it.rough_mm == pytest.approx(it.cap.ear_out_mm * math.tan(math.radians(it.lean_deg)))


def test_targets_lie_on_the_body_clear_of_web_and_ears() -> None:
    strut, it = resolved(NAME).strut, split()
    for turned in (0.0, 20.0, -20.0):
        assert strut.hanger is not None
        cap = replace(it.cap, clock_deg=180.0 - turned if turned >= 0 else -180.0 - turned)
        one = replace(strut, hanger=replace(strut.hanger, cap=cap))
        toward = frames.radial(cap.clock_deg)
        for target in founder.datum_targets(one, spec()):
            if target.name.startswith("A"):
                assert float(target.at @ toward) < -cap.ear_thickness_mm  # beyond the body's ears
                assert abs(target.at[1]) > strut.arms[0].thickness_barrel_mm / 2


def test_the_core_s_template_is_half_round_with_straight_sides() -> None:
    box = half_core_and_box(resolved(NAME).strut, spec(), split()).bounds("CORE")
    high = spec().factor * (spec().core_diameter_mm / 2 + split().open_mm)
    assert box[3] - box[1] == pytest.approx(high, abs=0.01)


def test_the_castings_close_and_hold_the_part_with_its_stock() -> None:
    """Solids: sound and closed; of each casting the finished part lies in it with stock; volumes by hand."""
    pattern, k, it = made(), spec().factor, split()
    assert [p.name for p in pattern.cap] == ["cap pattern"]
    for part in pattern.parts():
        assert kernel.is_sound(part.shape), part.name
        assert triangles.closes(part.shape), part.name
    assert not [f.code for f in pattern.findings if f.fails]
    body, cap = pattern.pattern.shape.BoundingBox(), pattern.cap[0].shape.BoundingBox()
    # The foot lies up: the body reaches down to the core's flat, the cap up to it.
    assert body.zmin == pytest.approx(-k * it.open_mm, abs=1e-3)
    assert cap.zmax == pytest.approx(k * it.open_mm, abs=1e-3)
    r, length = spec().core_diameter_mm / 2, pattern.core[0].shape.BoundingBox().xlen
    by_hand = (math.pi / 2 * r**2 + 2 * r * it.open_mm) * k**2 * length
    assert pattern.core[0].volume_mm3 == pytest.approx(by_hand, rel=1e-6)


def test_every_face_of_body_and_cap_draws() -> None:
    rows = files.draft_rows(made())
    assert {row.half for row in rows} == {*foundry.half_names("arm_plane", "shaft_hanger"), "cap"}
    assert not [(row.half, row.face) for row in rows if row.undercut_mm2 > 20.0]
    assert not [(row.half, row.face, row.worst_deg) for row in rows if row.low_mm2 > 20.0]
    assert np.isfinite([row.worst_deg for row in rows]).all()
