"""What is advised where the weld of an arm does not outlast the arm: done, it lowers the stress."""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest
import yaml
from property.random_sets import draw_set
from support import THOROUGH

from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.finding import Finding
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError

LAST_RESORT = "materials.strut"


def _done(data: dict[str, Any], resolved: Resolved, words: str) -> dict[str, Any]:
    """The file with what is advised done, a little."""
    done = copy.deepcopy(data)
    section, weld = done["arms"]["section"], done.setdefault("welds", {})
    (path,) = re.findall(r"(?:welds|arms)\.[a-z_.]+", words)
    name = path.split(".")[-1]
    if "double_bevel" in words:
        weld["prep"] = "double_bevel"
    elif name.endswith("_leg"):
        weld[name] = 1.15 * float(getattr(Inputs.from_strut(resolved.strut).arms[0], name[7:-4] + "_root_mm"))
    elif name == "root_face":
        weld[name] = 0.0
    else:
        section.setdefault("thickness_at_palm", section["thickness"])
        section[name] *= 0.9 if words.startswith("thin ") else 1.1
    return done


def _welds(resolved: Resolved) -> dict[str, Finding]:
    found = engineering_findings(resolved.strut, resolved.said.loads)
    return {f.code: f for f in found if f.code in ("weld_barrel_side_hinge", "weld_palm_side_hinge")}


# of single arms and of vees
@pytest.mark.parametrize("number", range(400) if THOROUGH else (5, 12, 18))
def test_what_is_advised_for_a_weld_lowers_its_stress(number: int) -> None:
    data = draw_set(number)
    try:
        resolved = resolve(loads(yaml.safe_dump(data)))
    except ParameterError:
        return
    for code, weld in _welds(resolved).items():
        if not weld.fails:
            continue
        for words in re.split(r", (?:or )?", str(weld.advice)):
            if LAST_RESORT in words or "longer arm" in words:
                continue
            try:
                done = resolve(loads(yaml.safe_dump(_done(data, resolved, words))))
            except ParameterError:
                continue  # its edge radius is too large for a thinner arm
            assert _welds(done)[code].utilisation < weld.utilisation, (code, words)
