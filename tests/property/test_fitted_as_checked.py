"""The check of a set and the card of a fitting tell one clearance of one bearing, with readings that are as drawn.

So they take one way in which pressing closes the bore over the rubber, the most that it can.
"""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from property.random_sets import draw_set
from support import SHAFTED, every

from strutwright.models.bench.fitting import Fitted, fit
from strutwright.models.bench.fitting_case import NotKnownError, case_of
from strutwright.models.checks.fit import barrel_bearing
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.shell_fit import pressed
from strutwright.models.spec import Strut
from strutwright.params.bench.fitting import Across, Fitting, ShellSaid
from strutwright.params.limits import standard
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError

PLACES = (5.0, 20.0, 35.0)


def read_as_drawn(strut: Strut, index: int, inputs: Inputs, interference_mm: float) -> Fitted:
    """The card of a bearing that was read so much larger than its bore."""
    bore = float(inputs.seat_mm + inputs.bore_lower_mm)
    rows = [[Across(at=at, upright=d, level=d) for at in PLACES] for d in (bore, bore + interference_mm)]
    said = Fitting(bearing=ShellSaid(which=index + 1), bore=rows[0], outside=rows[1])
    return fit(case_of(said, strut, standard()), standard(), None)


def check_and_card_agree(strut: Strut) -> int:
    seen = 0
    for index in range(len(strut.bearings)):
        inputs = Inputs.from_strut(strut, bearing=index)
        with np.errstate(all="ignore"):
            made, held = pressed(inputs), barrel_bearing.numbers(inputs)
        if not made.sound or made.fit.most_mm <= 0.0:
            continue
        for code, size in (("clearance_pressed", made.fit.middle_mm), ("clearance_pressed_least", made.fit.most_mm)):
            try:
                card = read_as_drawn(strut, index, inputs, float(size))
            except NotKnownError:
                continue  # a metal without figures, or sizes without sense, which is told
            told = next(j for j in card.judged if j.name == "clearance")
            closes = card.closure_mm[1] if inputs.fit == "press" else 0.0
            assert told.limit == pytest.approx(float(held[code].demand), rel=1e-9)
            if inputs.fit == "press":  # the card measures the wall from the outside that was read
                assert told.value == pytest.approx(float(held[code].capacity), abs=0.02 * closes + 1e-9), code
                seen += 1
    return seen


# What a housing that is pressed into a structure closes its bore by, the card of the bearing leaves out.
@pytest.mark.parametrize("name", every([n for n in SHAFTED if n != "skeg-sleeve"], 3))
def test_of_shipped_sets(name: str) -> None:
    strut = resolve(load(shipped()[name])).strut
    assert check_and_card_agree(strut) == (2 * len(strut.bearings) if strut.barrel.fit == "press" else 0)


def test_of_random_sets() -> None:
    seen = 0
    for number in every(range(150), 6):
        try:
            strut = resolve(loads(json.dumps(draw_set(number)))).strut
        except ParameterError:
            continue  # no strut at all, which is told
        seen += check_and_card_agree(replace(strut, barrel=replace(strut.barrel, fit="press")))
    assert seen >= 8


def test_the_smallest_set_is_held_to_what_its_card_would_say() -> None:
    """Canal tender with 0.1 mm on a shaft of 20: by the shell alone 0.060 mm would be left at the tightest, over the
    limit of 0.05; a shell bore of 26 over rubber of 20.1 (same volume) makes the closure 1.29 times that."""
    strut = resolve(load(shipped()["canal-tender"])).strut
    bearing = replace(strut.bearings[0], inside_mm=20.1)
    inputs = Inputs.from_strut(replace(strut, bearings=(bearing,)))
    made = pressed(inputs)
    shell = float(made.fit.most_mm * made.per_mm.sleeve_bore_closure_mm)
    held = barrel_bearing.numbers(inputs)["clearance_pressed_least"]
    assert 0.1 - shell > 0.05 > float(held.capacity)
    assert float(held.capacity) == pytest.approx(0.1 - shell * 26.0 / 20.1, abs=1e-9)
