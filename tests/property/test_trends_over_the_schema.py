"""Trends over the whole range of the schema, on files drawn by chance. From mechanics: a stiffer hull never lowers a
frequency, no part made thicker makes the whole give more, and where the loads on an arm do not hang on how it gives, a
thicker arm is never stressed higher and never lasts shorter.

Files are numbered, and none is sought that is simpler than the one that broke a law: each is worked out anew, and
shrinking one takes minutes.
"""

from __future__ import annotations

import functools
import itertools
import json
import math
from dataclasses import replace

import numpy as np
import pytest
from property.random_sets import draw_set
from property.test_fatigue_property import FORCES, run
from support import THOROUGH

from strutwright.models import frequencies, hull_stiffness
from strutwright.models.checks.strength import arms, fatigue, load_paths
from strutwright.models.hull_stiffness import palm_springs
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError

NUMBERS = tuple(range(0, 1500, 10)) if THOROUGH else (0, 7, 70)
"""Among the few: a vee on one palm, a single arm, and a vee on two."""
VEES = (70, 105, 126) if THOROUGH else (70, 126)
"""Vees with two palms whose arms, a fifth thicker, are stressed higher by what the hull gives."""
USE = [(1000.0, 1.0), (100.0, 0.5)]


@functools.lru_cache(maxsize=8)
def drawn(number: int) -> Inputs:
    """The inputs of a random file; of the next one where it cannot be built."""
    try:
        return Inputs.from_strut(resolve(loads(json.dumps(draw_set(number)))).strut)
    except ParameterError:
        return drawn(number + 1)


def pushed(one: Inputs) -> Inputs:
    """With a force of the file's own at each rate in the place of all that is assumed, which vibration leaves as it
    is."""
    return replace(run(one, USE), own_cases=FORCES, shaft_rpm=900.0, blades=4)


def on_rock(one: Inputs) -> Inputs:
    """With nothing said of the hull, which strength then takes as rigid."""
    return replace(one, hull_mm=math.nan, hull_plate=replace(one.hull_plate, springs=None))


def thicker(one: Inputs, times: float) -> Inputs:
    """With arms so many times as thick; fillets and welds as they were."""
    made = tuple(
        replace(a, thickness_barrel_mm=times * a.thickness_barrel_mm, thickness_palm_mm=times * a.thickness_palm_mm)
        for a in one.arms
    )
    return replace(one, arms=made)


def shares(one: Inputs) -> dict[str, float]:
    """Of each place in an arm what is used of its life."""
    with np.errstate(all="ignore"):
        return {p.name: float(fatigue.used_up(one, p)) for p in fatigue.places(one) if p.code.startswith("fatigue_arm")}


def times_of(number: int, most: float) -> float:
    return float(np.random.default_rng((number, 7)).uniform(1.0, most))


@pytest.mark.parametrize("number", NUMBERS)
def test_a_softer_hull_never_raises_a_frequency(number: int) -> None:
    one, times = drawn(number), times_of(number, 100.0)
    low = palm_springs(one).low
    springs = (float(low.normal_n_mm), float(low.tilt_u_nmm), float(low.tilt_v_nmm))
    hz = []
    for factor in (1.0, times):
        measured = replace(one, hull_plate=replace(one.hull_plate, springs=tuple(factor * s for s in springs)))
        hz.append([float(v) for v in frequencies.strut_frequencies_hz(measured, "low")])
    soft, stiff = (np.array(each) for each in hz)
    assert (np.isnan(soft) == np.isnan(stiff)).all()
    assert (soft[~np.isnan(soft)] <= stiff[~np.isnan(soft)] * (1 + 1e-9)).all()


@pytest.mark.parametrize("number", NUMBERS)
def test_a_thicker_arm_is_neither_stressed_higher_nor_lasts_shorter(number: int) -> None:
    """By loads at rest, on a rigid hull, and on one that gives where the arms stand on one palm: place by place."""
    found, times = drawn(number), times_of(number, 3.0)
    for one in [on_rock(found), found][: 2 if len(found.palms) == 1 else 1]:
        before, after = pushed(one), thicker(pushed(one), times)
        used = shares(after)
        for place, share in shares(before).items():
            assert used[place] <= share * (1 + 1e-9), place
        weak, strong = (arms.numbers(each) for each in (before, after))
        for code in ("arm_stress_weight", "arm_stress_seized"):
            assert not strong[code].utilisation > weak[code].utilisation * (1 + 1e-9), code


@pytest.mark.parametrize("number", NUMBERS)
def test_the_barrel_never_gives_more_on_thicker_arms(number: int) -> None:
    """On any hull, soft under one palm and stiff under the other too: what a load does in moving never grows with the
    stiffness of a part (minimum of the complementary energy)."""
    found = drawn(number)
    one, two = pushed(found), thicker(pushed(found), times_of(number, 3.0))
    for ends in itertools.product(hull_stiffness.ends(one), repeat=len(one.palms)):
        paths = [load_paths.paths(each, *ends) for each in (one, two)]
        for way in ("barrel_y", "barrel_z", "propeller_y", "propeller_z", "axial", "couple"):
            before, after = (float(np.dot((*p.loads[way][0], *p.loads[way][1]), p.motion(way))) for p in paths)
            assert 0.0 < after <= before * (1 + 1e-9), (ends, way)


@pytest.mark.parametrize("number", VEES)
def test_it_is_the_hull_that_bends_a_thicker_arm_harder(number: int) -> None:
    """Why the law above asks for a rigid hull: two arms on palms of their own are bent by what the hull gives, by so
    much the harder as they are thicker, and last shorter. On a rigid hull the same arms last longer."""
    one = pushed(drawn(number))
    for base, shorter in ((one, True), (on_rock(one), False)):
        before, after = shares(base), shares(thicker(base, 1.2))
        assert any(after[place] > used for place, used in before.items()) == shorter


def test_the_files_drawn_are_not_all_alike() -> None:
    found = [drawn(number) for number in (0, 7, 70)]
    assert {len(one.arms) for one in found} == {1, 2}
    assert {one.construction for one in found} == {"cast", "welded"}
    sizes = [float(one.shaft_mm) for one in found]
    assert max(sizes) > 1.5 * min(sizes)
