"""Candidates of a let-in housing are the housings that their files resolve to, and stand alike against every check.

Source: the checks of one housing at a time, each held to its own sources elsewhere.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import yaml
from property.as_one_by_one import LIMITS, alike
from property.random_let_in import draw_let_in
from support import THOROUGH

from strutwright.models.checks import OF_FAMILY
from strutwright.models.checks.results import Results
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing.batch import bounds
from strutwright.models.sizing.candidates import candidates, why_not
from strutwright.models.sizing.let_in_candidates import VARIABLES
from strutwright.params.loader import Loaded, load, loads, shipped
from strutwright.params.problems import ParameterError
from strutwright.params.tables import NotInTable, iso286, iso286_of_many

SHIPPED = ("keel-sleeve-bedded", "skeg-sleeve", "tube-liner-pair")
EACH = 4


def _said(loaded: Loaded, path: str) -> Any:
    """What the file's data says at a path."""
    at: Any = loaded.document.data
    for group in path.replace("[", ".").replace("]", "").split("."):
        if isinstance(at, list):
            at = at[int(group)] if int(group) < len(at) else None
        else:
            at = at.get(group) if isinstance(at, dict) else None
    return at


def _values(loaded: Loaded, resolved: Resolved, rng: np.random.Generator, share: float) -> dict[str, Any]:
    """Some values about the file's own, now and then of any size that the schema takes, of variables that can go
    together."""
    records = {r.path: r.value for r in resolved.records}
    out: dict[str, Any] = {}
    for path in rng.permutation(VARIABLES).tolist():
        if why_not(resolved, (*out, path)) or rng.random() < share:
            continue
        low, high = bounds(path, "let_in_housing")
        own = records.get(path, _said(loaded, path))
        most = min(high, 500.0)
        if isinstance(own, (int, float)) and own > 0:
            wide = 0.1 if rng.random() < 0.5 else 0.5
            made = own * rng.uniform(1 - wide, 1 + wide, EACH)
        else:
            made = max(low, 0.0) + rng.uniform(0.0, 0.2, EACH) * most
        odd = rng.random(EACH) < 0.04
        out[path] = np.round(np.where(odd, rng.uniform(max(low, 0.0), most, EACH), made), 4)
    return out


def _random(number: int) -> tuple[Loaded, Resolved] | None:
    data = draw_let_in(number)
    rng = np.random.default_rng(number)
    if rng.random() < 0.5:
        data["propeller"] = {"diameter": 400, "blades": 3, "mass": "8 kg", "hub_length": 70, "hub_gap": 14}
    if rng.random() < 0.5:
        data["duty"] = {"power": "15 kW", "shaft_speed": 1100, "boat_speed": 7}
    try:
        loaded = loads(yaml.safe_dump(data, sort_keys=False))
        return loaded, resolve(loaded)
    except ParameterError:
        return None


@pytest.mark.parametrize("name", SHIPPED)
def test_candidates_of_shipped_housings_are_those_of_their_files(name: str) -> None:
    loaded = load(shipped()[name])
    resolved, rng = resolve(loaded), np.random.default_rng(len(name))
    levels = [
        level
        for n in range(40 if THOROUGH else 2)
        for level in alike(loaded, _values(loaded, resolved, rng, (0.3, 0.7, 0.9)[n % 3]), 1e-9)
    ]
    assert levels


def _held(numbers: range) -> None:
    levels = list[int]()
    for number in numbers:
        made = _random(number)
        if made is None:
            continue
        rng = np.random.default_rng(number)
        values = _values(*made, rng, float(rng.choice([0.5, 0.8, 0.9])))
        levels += alike(made[0], values, 1e-9) if values else []
    assert len(levels) > len(numbers) / 4
    assert set(levels) >= {1, 2} or len(levels) < 40


def test_candidates_of_random_housings_are_those_of_their_files() -> None:
    _held(range(3))


def test_candidates_of_many_random_housings_are_those_of_their_files() -> None:
    _held(range(100, 2100 if THOROUGH else 150))


def test_every_check_takes_arrays() -> None:
    """None of them falls back to housings one by one."""
    sets = [(loaded, resolve(loaded)) for loaded in (load(shipped()[name]) for name in SHIPPED)]
    sets += [made for made in map(_random, range(200, 1200 if THOROUGH else 212)) if made is not None]
    tried = 0
    for number, (loaded, resolved) in enumerate(sets):
        values = _values(loaded, resolved, np.random.default_rng(number), 0.5)
        made = candidates(loaded, resolved, values) if values else None
        tried += made is not None
        for module in OF_FAMILY["let_in_housing"] if made is not None else ():
            with np.errstate(all="ignore"):
                module.check(Results(made, LIMITS, tells=False))
    assert tried > 5


def test_what_cannot_be_varied_is_said() -> None:
    keel, skeg, tube = (resolve(load(shipped()[name])) for name in SHIPPED)
    for found, paths, words in (
        (skeg, ["bearing.length"], "take one value"),
        (skeg, ["barrel.wall", "barrel.outside_diameter"], "say the same"),
        (skeg, ["stands_out"], "follows from the collar"),
        (skeg, ["structure.outside_diameter"], "no meaning for the structure skeg"),
        (skeg, ["bedded.gap"], "is not bedded"),
        (skeg, ["outside_steps[1].length"], "no step outside beyond its 1"),
        (skeg, ["drawing_holes.depth"], "no depth of its jacking holes"),
        (skeg, ["entry.length"], "no entry of its own"),
        (keel, ["locking_screws.positions[2].distance"], "no locking screw beyond its 2"),
        (keel, ["structure.counterbore.depth"], "no counterbore"),
        (tube, ["collar.diameter"], "no collar"),
        (tube, ["structure.above"], "no meaning for the structure tube"),
        (tube, ["locking_screws.bite"], "no locking screws"),
        (tube, ["drawing_holes.circle"], "no drawing holes"),
        (tube, ["barrel.slots.position.distance"], "no water slots"),
    ):
        assert words in (why_not(found, paths) or ""), paths


def test_limits_of_many_diameters_are_those_of_each() -> None:
    """ISO 286-1: steps are over, up to and including; none at 0 and over 315 mm."""
    sizes = np.concatenate([[-1.0, 0.0, 3.0, 3.001, 315.0, 315.001], np.random.default_rng(1).uniform(0.1, 330, 300)])
    for symbol in ("H7", "k6", "k8", "p6", "JS9", "js7", "s7", "F8", "e11"):
        lower, upper = iso286_of_many(symbol, sizes)
        for size, low, high in zip(sizes.tolist(), lower.tolist(), upper.tolist(), strict=True):
            try:
                want = iso286(symbol, size)
            except NotInTable:
                assert np.isnan([low, high]).all(), (symbol, size)
            else:
                assert (low, high) == (want.lower_mm, want.upper_mm), (symbol, size)
