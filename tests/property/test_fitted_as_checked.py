"""The check of a set and the card of a fitting tell one clearance of one bearing, with readings that are as drawn.

So they take one way in which pressing closes the bore over the rubber, the most that it can.
"""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from property.random_let_in import draw_let_in
from property.random_sets import draw_set
from support import SHAFTED, every

from strutwright.models.bench.fitting import Fitted, fit
from strutwright.models.bench.fitting_case import NotKnownError, case_of
from strutwright.models.checks.fit import barrel_bearing
from strutwright.models.checks.strength import let_in as let_in_checks
from strutwright.models.inputs import Inputs
from strutwright.models.metals import metal
from strutwright.models.resolve import resolve
from strutwright.models.shell_fit import pressed
from strutwright.models.spec import Strut
from strutwright.models.spec_let_in import LetIn
from strutwright.params.bench.fitting import Across, BarrelSaid, Fitting, ShellSaid
from strutwright.params.limits import standard
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError

PLACES = (5.0, 20.0, 35.0)


def read_as_drawn(
    strut: Strut, index: int, inputs: Inputs, interference_mm: float, in_structure: bool | None = True
) -> Fitted:
    """The card of a bearing that was read so much larger than its bore; in_structure: as a housing let into one was."""
    bore = float(inputs.seat_mm + inputs.bore_lower_mm)
    rows = [[Across(at=at, upright=d, level=d) for at in PLACES] for d in (bore, bore + interference_mm)]
    shell = ShellSaid(which=index + 1)
    said = Fitting(barrel=BarrelSaid(in_structure=in_structure), bearing=shell, bore=rows[0], outside=rows[1])
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
                stress = next(j for j in card.judged if j.name == "barrel_stress")
                allowed = float(inputs.limit("press_stress")) * float(inputs.strut.strength_mpa)
                assert stress.limit == pytest.approx(allowed, rel=1e-9)  # of metal that was welded, as beside the weld
                seen += 1
    return seen


@pytest.mark.parametrize("name", every(SHAFTED, 3))
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


def test_of_random_housings() -> None:
    seen = 0
    for number in every(range(100), 5):
        try:
            strut = resolve(loads(json.dumps(draw_let_in(number)))).strut
        except ParameterError:
            continue  # no housing at all, which is told
        seen += check_and_card_agree(strut)
    assert seen >= 8


def test_what_the_structure_is_still_to_close_counts() -> None:
    """A housing measured before it is pressed in: where the fit of its seats is one size, the check tells the clearance
    that is left after both. Of one that was measured in its structure, more is left."""
    seen = 0
    for number in every(range(100), 8):
        try:
            strut = resolve(loads(json.dumps(draw_let_in(number)))).strut
        except ParameterError:
            continue  # no housing at all, which is told
        if strut.let_in is None or strut.let_in.hold != "pressed":
            continue
        seen += still_to_close(strut, strut.let_in)
    assert seen >= 4


def still_to_close(strut: Strut, let_in: LetIn) -> int:
    sizes = {"hole_lower_mm": 0.0, "hole_upper_mm": 0.0, "outside_lower_mm": 0.04, "outside_upper_mm": 0.04}
    let_in = replace(let_in, bored_in_place=False, seats=tuple(replace(s, **sizes) for s in let_in.seats))
    strut = replace(strut, let_in=let_in, barrel=replace(strut.barrel, fit="press"))
    inputs = Inputs.from_strut(strut)
    made = pressed(inputs)
    if not made.sound or made.fit.middle_mm <= 0.0:
        return 0
    with np.errstate(all="ignore"):
        held = let_in_checks.numbers(inputs)["clearance_let_in"].capacity
    try:
        cards = [read_as_drawn(strut, 0, inputs, float(made.fit.middle_mm), stood) for stood in (None, True)]
    except NotKnownError:
        return 0  # sizes without sense, which is told
    told = [next(j.value for j in card.judged if j.name == "clearance") for card in cards]
    assert told[0] == pytest.approx(float(held), abs=0.02 * cards[0].closure_mm[1] + 1e-9)
    assert told[0] < told[1]
    return 1


def test_a_welded_strut_of_aluminium_is_weaker_at_its_bearing_too() -> None:
    """What metal has beside a weld is from the table of materials; 6082-T6 loses more than half there."""
    strut = resolve(load(shipped()["harbour-launch"])).strut
    welded = replace(strut, material="6082-T6", construction="welded")
    assert float(metal("6082-T6", welded=True).strength_mpa) < 0.6 * float(metal("6082-T6").strength_mpa)
    assert check_and_card_agree(replace(welded, barrel=replace(strut.barrel, fit="press"))) == 2


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
