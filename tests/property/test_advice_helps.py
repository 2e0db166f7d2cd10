"""What is advised where a weld, the bolts or the palm do not outlast the arm: done, it lowers what is used of them."""

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

BOLTS = ("M5", "M6", "M8", "M10", "M12", "M16", "M20", "M24", "M30")
LAST_RESORT = "materials.strut"


def _done(data: dict[str, Any], resolved: Resolved, words: str) -> dict[str, Any]:
    """The file with what is advised done, a little."""
    done = copy.deepcopy(data)
    section, weld = done["arms"]["section"], done.get("welds", {})
    if "skeg." in words or words.startswith("thin the arm ("):
        return _thinner(done, words)
    (path,) = re.findall(r"(?:welds|arms|bolts|palm)\.[a-z_.]+", words)
    name = path.split(".")[-1]
    if "double_bevel" in words:
        weld["prep"] = "double_bevel"
    elif name.endswith("_leg"):
        weld[name] = 1.15 * float(getattr(Inputs.from_strut(resolved.strut).arms[0], name[7:-4] + "_root_mm"))
    elif name == "root_face":
        weld[name] = 0.0
    elif path == "bolts.size":
        done["bolts"]["size"] = BOLTS[BOLTS.index(done["bolts"]["size"]) + 1]
    elif path == "palm.thickness":
        done["palm"]["thickness"] *= 3.0 if "until" in words else 1.1
    else:
        section.setdefault("thickness_at_palm", section["thickness"])
        section[name] *= 0.9 if words.startswith("thin ") else 1.1
    return done


def _thinner(done: dict[str, Any], words: str) -> dict[str, Any]:
    parts = [done["arms"]["section"]] if "arms." in words else []
    parts += [done["skeg"], done["skeg"].get("heel") or {}] if "skeg." in words else []
    for part in parts:
        for name in ("thickness", "thickness_at_palm", "tip_thickness", "foot_thickness"):
            if part.get(name):
                part[name] *= 0.9
    return done


def _outlasting(resolved: Resolved) -> dict[str, Finding]:
    found = engineering_findings(resolved.strut, resolved.said.loads)
    return {f.code: f for f in found if f.code.endswith(("_side_hinge", "_skeg_side"))}


# of single arms and of vees
@pytest.mark.parametrize("number", range(400) if THOROUGH else (5, 12, 18))
def test_what_is_advised_where_the_arm_is_not_outlasted_helps(number: int) -> None:
    data = draw_set(number)
    try:
        resolved = resolve(loads(yaml.safe_dump(data)))
    except ParameterError:
        return
    for code, held in _outlasting(resolved).items():
        if not held.fails:
            continue
        for words in re.split(r", (?:or )?", str(held.advice)):
            if LAST_RESORT in words or words in ("a longer arm", "so that it asks less"):
                continue
            try:
                done = resolve(loads(yaml.safe_dump(_done(data, resolved, words))))
            except ParameterError:
                continue  # its edge radius is too large for a thinner arm
            assert _outlasting(done)[code].utilisation < held.utilisation, (code, words)
