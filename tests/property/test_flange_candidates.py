"""Candidates of a flanged housing are the housings that their files resolve to, and stand alike against every check.

Source: the checks of one housing at a time, each held to its own sources elsewhere.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import yaml
from property.as_one_by_one import alike
from property.random_flanges import draw_flanged
from support import THOROUGH, every

from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing.candidates import strange, why_not
from strutwright.models.sizing.flange_candidates import VARIABLES
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError

SHIPPED = ("deadwood-cutter", "tube-end-pair", "failing/flange-too-thin")
COUNT = 400 if THOROUGH else 6
EACH = 3


def _values(resolved: Resolved, rng: np.random.Generator) -> dict[str, Any]:
    """Some values within a quarter of the file's own, of variables that can go together."""
    records = {r.path: r.value for r in resolved.records}
    out: dict[str, Any] = {}
    for path in rng.permutation(VARIABLES).tolist():
        value = records.get(path)
        if why_not(resolved, (*out, path)) or rng.random() < 0.4:
            continue
        if path.startswith("flange.offset."):
            out[path] = np.round(rng.uniform(-4, 4, EACH), 3)
        elif isinstance(value, (int, float)) and value > 0:
            out[path] = np.round(value * rng.uniform(0.75, 1.3, EACH), 4)
    return out


@pytest.mark.parametrize("name", every(SHIPPED, 2))
def test_candidates_of_shipped_housings_are_those_of_their_files(name: str) -> None:
    loaded = load(shipped()[name])
    resolved = resolve(loaded)
    rng = np.random.default_rng(len(name))
    built = sum(len(alike(loaded, _values(resolved, rng))) for _ in range(20 if THOROUGH else 2))
    assert built


def test_candidates_of_random_housings_are_those_of_their_files() -> None:
    built = 0
    for number in range(COUNT):
        loaded = loads(yaml.safe_dump(draw_flanged(number), sort_keys=False))
        try:
            resolved = resolve(loaded)
        except ParameterError:
            continue
        values = _values(resolved, np.random.default_rng(number))
        built += len(alike(loaded, values)) if values else 0
    assert built > COUNT // 2


def test_what_cannot_be_varied_together_is_said() -> None:
    cutter, pair = (resolve(load(shipped()[name])) for name in SHIPPED[:2])
    for found, paths, words in (
        (cutter, ["bearing.length"], "take one value"),
        (cutter, ["barrel.wall", "barrel.outside_diameter"], "say the same"),
        (cutter, ["flange.outline.length"], "outline of the shape round"),
        (cutter, ["bolts.pattern.pitch_along"], "has no pitches"),
        (cutter, ["flange.ribs.out"], "has no ribs"),
        (cutter, ["flange.gasket.recess.depth"], "has no recess"),
        (pair, ["barrel.wall"], "goes with a flange off square"),
        (pair, ["bolts.engaged"], "no thread in the base"),
        (pair, ["base.density"], "is not given"),
    ):
        assert words in (why_not(found, paths) or ""), paths
    assert strange(cutter, ["flange.weld_leg"]) == "flange.weld_leg belongs to a welded housing, and this one is cast"
