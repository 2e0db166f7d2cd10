"""Main sizes and places of whatever strut: as long as they say, and one for each parameter of the strut itself."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from property.strategies import struts
from support import THOROUGH, example_strut

from strutwright.models.frames import palm_axes
from strutwright.models.main_sizes import main_sizes
from strutwright.models.places import place_of, places
from strutwright.models.spec import Strut
from strutwright.params import explain

WITHOUT = ("part", "identity", "units", "construction", "duty", "protection", "drawing", "loads", "pattern", "measured")
"""Groups of a file that are nowhere on a strut."""


@settings(max_examples=300 if THOROUGH else 40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(struts())
def test_sizes_are_as_long_as_they_say_and_palms_reach_their_edges(strut: Strut) -> None:
    sizes = main_sizes(strut)
    assert len({s.name for s in sizes}) == len(sizes)
    for size in sizes:
        assert math.dist(size.start, size.end) == pytest.approx(size.value_mm, rel=1e-4, abs=1e-6), size.name
    for palm in strut.palms:
        key = palm.name.replace(" ", "-")
        for size in (s for s in sizes if s.name in (f"{key}-length", f"{key}-width")):
            ends = palm_axes(palm).from_strut(np.array([size.start, size.end]))[:, :2]
            assert np.abs(palm.outline.distance_to_boundary(ends)).max() < 1e-3
    assert all(math.isfinite(c) for at in places(strut).values() for c in at)


@pytest.mark.parametrize("skeg", [False, True])
def test_each_parameter_of_the_strut_has_a_place(skeg: bool) -> None:
    strut = example_strut(skeg=skeg)
    for path in sorted(explain.all_paths()):
        lacks = not skeg and path.startswith(("skeg", "welds.skeg"))
        nowhere = path.partition(".")[0] in WITHOUT or path in ("materials", "materials.strut", "materials.anodes")
        at_arm = lacks and path.startswith("welds")
        assert (place_of(path, strut) == "") == ((nowhere or lacks) and not at_arm), path
