"""Candidates of a rudder shoe are the shoes that their files resolve to, and stand alike against every check.

Source: the checks of one shoe at a time, each held to its own sources elsewhere.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import yaml
from property.random_shoes import draw_shoe
from support import THOROUGH

from strutwright.models.checks import geometry_checks, geometry_of_many
from strutwright.models.checks.engineering import Inputs, all_numbers, engineering_findings
from strutwright.models.checks.results import outcomes_of
from strutwright.models.finding import FAILS, Verdict
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing import benchmark
from strutwright.models.sizing.axes import axis
from strutwright.models.sizing.candidates import candidates, why_not
from strutwright.models.sizing.judge import Judge
from strutwright.models.sizing.shoe_candidates import VARIABLES
from strutwright.models.sizing.study import study, with_values
from strutwright.models.weights import weight_kg
from strutwright.params import limits
from strutwright.params.loader import Loaded, load, loads, shipped
from strutwright.params.problems import ParameterError

LIMITS = limits.standard()
SHIPPED = ("creek-yawl", "shoal-ketch")
COUNT, FEW = (1500 if THOROUGH else 60), 4
EACH = 3
UNSAID = {
    "plate.outline.corner_radius": (0.0, 60.0),
    "plate.offset.port": (-25.0, 25.0),
    "plate.root_fillet": (0.0, 25.0),
    "plate.weld_leg": (1.0, 15.0),
    "plate.bedding": (0.0, 5.0),
    "keel.width": (20.0, 900.0),
    "keel.thickness": (10.0, 500.0),
    "rudder.area": (0.05, 3.0),
    "rudder.height": (200.0, 3000.0),
    "rudder.mass": (5.0, 300.0),
    "rudder.entry": (5.0, 300.0),
    "rudder.foot_gap": (0.0, 30.0),
    "jumping_stop.gap": (0.0, 60.0),
    "duty.boat_speed": (3.0, 30.0),
    "duty.displacement": (500.0, 50000.0),
    "bush.running_clearance": (0.0, 2.0),
    "locking_screws.dimple_depth": (0.2, 8.0),
}
"""Sizes that a file may leave out, and which values they then are tried at: mm, m2, kg, kn."""


def _values(resolved: Resolved, rng: np.random.Generator) -> dict[str, Any]:
    """Some values from half the file's own to twice as much, of variables that can go together."""
    records = {r.path: r.value for r in resolved.records}
    wide = rng.random() < 0.5
    keep, out = rng.uniform(0.1, 0.7), dict[str, Any]()
    for path in rng.permutation(VARIABLES).tolist():
        value = records.get(path)
        if why_not(resolved, (*out, path)) or rng.random() > keep:
            continue
        if path in UNSAID and (not isinstance(value, float) or value == 0 or rng.random() < 0.5):
            out[path] = np.round(rng.uniform(*UNSAID[path], EACH), 3)
        elif isinstance(value, float) and value > 0:
            out[path] = np.round(value * rng.uniform(*((0.5, 2.0) if wide else (0.85, 1.2)), EACH), 4)
    return out


def _at(value: Any, n: int) -> float:
    return float(np.broadcast_to(value, (EACH,))[n])


def _alike(loaded: Loaded, resolved: Resolved, values: dict[str, Any]) -> tuple[int, set[str]]:
    """Hold candidates to their own files; return how many could be built, and the codes of checks that some break."""
    made, built, broken = candidates(loaded, resolved, values), 0, set[str]()
    geometry = geometry_of_many(made, LIMITS)
    with np.errstate(all="ignore"):
        numbers = all_numbers(made.inputs)
    judged = Judge.of(loaded, resolved).judge(values)
    for n in range(EACH):
        try:
            one = resolve(with_values(loaded, {p: float(v[n]) for p, v in values.items()}))
        except ParameterError:
            assert not made.buildable[n]
            assert judged.level[n] == FAILS
            continue
        assert made.buildable[n]
        built += 1
        checked = [f for f in geometry_checks(one.strut, LIMITS) if f.verdict is not Verdict.NOT_CHECKED]
        wanted = outcomes_of(checked)
        for code, held in geometry.items():
            if code not in wanted:  # nothing is said of what does not stand there
                assert int(_at(held.level, n)) == 0, code
                continue
            assert int(_at(held.level, n)) == int(wanted[code].level), code
            used = wanted[code].utilisation
            assert _at(held.utilisation, n) == pytest.approx(used, rel=1e-9, abs=1e-9, nan_ok=True), code
        assert {
            code for code, held in wanted.items() if held.level or not np.isnan(held.utilisation)
        } <= geometry.keys()
        own = Inputs.from_strut(one.strut, one.said.loads)
        with np.errstate(all="ignore"):
            for code, number in all_numbers(own).items():
                for name in ("demand", "utilisation"):
                    got, want = _at(getattr(numbers[code], name), n), float(getattr(number, name))
                    assert got == pytest.approx(want, rel=1e-9, abs=1e-9, nan_ok=True), (code, name)
            assert judged.weight_kg[n] == pytest.approx(float(weight_kg(own)), rel=1e-9)
        found = outcomes_of([*checked, *engineering_findings(one.strut, one.said.loads)])
        assert int(judged.level[n]) == max(int(h.level) for h in found.values())
        assert int(judged.fails[n]) == sum(int(h.level) == FAILS for h in found.values())
        broken |= {code for code, h in found.items() if h.level}
    return built, broken


def _random(count: int) -> tuple[int, set[str]]:
    """Hold candidates of random shoes to their files, as `_alike`."""
    built, broken = 0, set[str]()
    for number in range(count):
        try:
            loaded = loads(yaml.safe_dump(draw_shoe(number), sort_keys=False))
            resolved = resolve(loaded)
        except ParameterError:
            continue
        if values := _values(resolved, np.random.default_rng(number)):
            more, codes = _alike(loaded, resolved, values)
            built, broken = built + more, broken | codes
    return built, broken


@pytest.mark.parametrize("name", SHIPPED)
def test_candidates_of_shipped_shoes_are_those_of_their_files(name: str) -> None:
    loaded = load(shipped()[name])
    resolved = resolve(loaded)
    rng = np.random.default_rng(len(name))
    built = sum(_alike(loaded, resolved, _values(resolved, rng))[0] for _ in range(60 if THOROUGH else 2))
    assert built


def test_candidates_of_a_few_random_shoes_are_those_of_their_files() -> None:
    built, broken = _random(FEW)
    assert built > FEW // 2
    assert len(broken) > FEW


def test_candidates_of_random_shoes_are_those_of_their_files() -> None:
    """Over the whole range of the schema; more than half of a shoe's checks are broken by some of them."""
    built, broken = _random(COUNT)
    assert built > COUNT
    assert len(broken) > 30


def test_what_cannot_be_varied_together_is_said() -> None:
    yawl, ketch = (resolve(load(shipped()[name])) for name in SHIPPED)
    for found, paths, words in (
        (yawl, ["stock.diameter"], "take one value"),
        (yawl, ["boss.wall", "boss.outside_diameter"], "say the same"),
        (yawl, ["plate.outline.width_aft"], "round_ended has no width_aft"),
        (yawl, ["plate.ribs.out"], "has no ribs"),
        (yawl, ["bolts.engaged"], "no thread in the keel"),
        (yawl, ["plate.weld_leg"], "belongs to a welded rudder shoe"),
        (ketch, ["boss.floor.sand_hole"], "has no floor"),
        (ketch, ["plate.position.distance"], "is not given"),
        (ketch, ["keel.density"], "is not given"),
        (ketch, ["bush.running_clearance"], "rubber goes with"),
    ):
        assert words in (why_not(found, paths) or ""), paths


def test_shoes_are_studied_and_timed_as_arrays() -> None:
    """What passes is found as all combinations find it, and the two commands take the kind."""
    loaded = load(shipped()["creek-yawl"])
    resolved = resolve(loaded)
    axes = [axis("plate.thickness=18..26:5", "mm", "rudder_shoe"), axis("boss.wall=9,11", "mm", "rudder_shoe")]
    whole, some = (study(loaded, resolved, axes, workers=1, passing=passing) for passing in (False, True))
    assert whole.one_by_one is None
    best, lightest = whole.lightest(), some.lightest()
    assert best is not None
    assert lightest is not None
    assert whole.row(best) == some.row(lightest)
    assert 0 < some.count < whole.count
    rows = benchmark.run(loaded, 1000, workers=1)
    assert rows[0].within > 0
