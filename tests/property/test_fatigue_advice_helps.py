"""What is advised first where a place cracks too soon: done in the file, it lowers what is used there."""

from __future__ import annotations

import copy
import re
from typing import Any

import numpy as np
import pytest
import yaml
from property.random_sets import draw_set
from property.test_fatigue_property import boat
from support import THOROUGH

from strutwright.models.checks.strength import fatigue
from strutwright.models.finding import Finding
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError

NO_THICKER = "a thicker arm would not help"


def file_of(number: int) -> dict[str, Any]:
    return draw_set(number) | boat(np.random.default_rng(number))


def of_fatigue(made: Resolved) -> dict[str, Finding]:
    inputs = Inputs.from_strut(made.strut, made.said.loads)
    with np.errstate(all="ignore"):
        found = fatigue.findings(made.strut, inputs, fatigue.numbers(inputs))
    return {f.code: f for f in found if f.verdict.value != "not checked"}


def done(data: dict[str, Any], inputs: Inputs, words: str) -> dict[str, Any]:
    """The file with what is advised first done, a little."""
    data = copy.deepcopy(data)
    section, weld = data["arms"]["section"], data.get("welds", {})
    first = words.removeprefix(fatigue._WHEN_SHAKEN["fatigue_tip"])
    if first.startswith(("thicken the arm", "widen the arm")):
        name = "thickness" if first.startswith("thicken") else "chord"
        section.setdefault(f"{name}_at_palm", section[name])
        section[name], section[f"{name}_at_palm"] = 1.1 * section[name], 1.1 * section[f"{name}_at_palm"]
    elif first.startswith("bevel"):
        weld["prep"] = "double_bevel"
    elif first.startswith("lessen welds.root_face"):
        weld["root_face"] = 0.0
    elif first.startswith("thicken or stiffen the hull"):
        data["hull"]["thickness"] *= 1.21
    elif first.startswith("bond it"):
        data["materials"]["anodes"] = True
    elif first.startswith("fewer hours"):
        data["duty"]["use"] = [
            {"name": f"run {k}", "hours": 0.5 * u.hours, "speed": u.speed} for k, u in enumerate(fatigue.uses(inputs))
        ]
    elif first.startswith("thicken skeg"):
        for name in ("thickness", "tip_thickness"):
            if data["skeg"].get(name):
                data["skeg"][name] *= 1.1
    else:
        path = re.match(r"(?:lengthen|enlarge) ([a-z_.]+)", first).group(1)  # type: ignore[union-attr]
        skeg = inputs.skeg
        if "skeg" in path:
            assert skeg is not None
            size = skeg.root_mm
        else:
            size = getattr(inputs.arms[0], f"{'barrel' if 'barrel' in path else 'palm'}_root_mm")
        group, _, name = path.rpartition(".")
        place = data
        for part in group.split("."):
            place = place.setdefault(part, {})
        place[name] = 1.21 * float(size)
    return data


# of single arms and vees, cast and welded
@pytest.mark.parametrize("number", range(300) if THOROUGH else (4, 9, 16))
def test_what_is_advised_first_makes_a_place_last_longer(number: int) -> None:
    data = file_of(number)
    try:
        made = resolve(loads(yaml.safe_dump(data), "any"))
    except ParameterError:
        return
    inputs = Inputs.from_strut(made.strut, made.said.loads)
    for code, held in of_fatigue(made).items():
        if not held.utilisation > 1.0:
            continue
        words = str(held.advice)
        assert words, code
        try:
            after = of_fatigue(resolve(loads(yaml.safe_dump(done(data, inputs, words)), "any")))[code]
        except ParameterError:
            continue  # what is advised makes no strut with the rest as it is
        assert after.utilisation < held.utilisation, (code, words)
        assert not (NO_THICKER in words and words.startswith("thicken the arm"))


@pytest.mark.parametrize("number", range(300) if THOROUGH else (1, 33))
def test_where_a_thicker_arm_is_said_not_to_help_it_does_not(number: int) -> None:
    data = file_of(number)
    try:
        made = resolve(loads(yaml.safe_dump(data), "any"))
        inputs = Inputs.from_strut(made.strut, made.said.loads)
        after = of_fatigue(resolve(loads(yaml.safe_dump(done(data, inputs, "thicken the arm")), "any")))
    except ParameterError:
        return
    for code, held in of_fatigue(made).items():
        if NO_THICKER in str(held.advice):
            assert after[code].utilisation > 0.98 * held.utilisation, code
