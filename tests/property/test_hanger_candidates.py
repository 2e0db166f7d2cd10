"""Candidates of a hanger are the hangers that their files resolve to, and stand alike against every check.

Source: the checks of one hanger at a time, each held to its own sources elsewhere.
"""

from __future__ import annotations

import copy
import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import yaml
from property.random_hangers import draw_whole_hanger
from support import THOROUGH, sets_of

from strutwright.models.checks import geometry_checks, geometry_of_many
from strutwright.models.checks.engineering import Inputs, all_numbers, engineering_findings
from strutwright.models.checks.geometry import roots
from strutwright.models.checks.results import outcomes_of
from strutwright.models.finding import FAILS, Verdict
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing.axes import axis
from strutwright.models.sizing.batch import bounds
from strutwright.models.sizing.candidates import candidates, strange, why_not
from strutwright.models.sizing.hanger_candidates import VARIABLES
from strutwright.models.sizing.judge import Judge
from strutwright.models.sizing.study import study, with_values
from strutwright.models.weights import weight_kg
from strutwright.params import limits
from strutwright.params.loader import Loaded, load, loads, shipped
from strutwright.params.problems import ParameterError

LIMITS = limits.standard()
SHIPPED = (*sets_of("shaft_hanger"), "failing/hanger-split-wrong")
FEW, COUNT = (3, 7), 400 if THOROUGH else 24
EACH = 2
ROLLED = {check.code for check in roots.CHECKS}
SIGNED = ("foot.offset.forward", "foot.offset.port", "cap.turned")


def _varied(path: str, value: Any, rng: np.random.Generator, d: float) -> Any:
    """Values for a path: within a third of the file's own, of any size that the schema takes now and then."""
    low, high = bounds(path, "shaft_hanger")
    if path in SIGNED:
        most = 40.0 if path == "cap.turned" else d / 4
        return np.round(np.clip(float(value or 0.0) + rng.uniform(-most, most, EACH), low, high), 3)
    if not isinstance(value, (int, float)) or value <= 0:
        return None
    if rng.random() < 0.04 and math.isfinite(high):
        return np.round(rng.uniform(max(low, 0.0), high, EACH), 3)
    return np.clip(np.round(value * rng.uniform(0.75, 1.3, EACH), 4), low, high)


def _values(resolved: Resolved, rng: np.random.Generator, share: float = 0.5) -> dict[str, Any]:
    """Values for a share of the variables, of those that can go together. What has to stay beside another one, as an
    ear round its bolts, is mostly left to the file."""
    records = {r.path: r.value for r in resolved.records}
    out: dict[str, Any] = {}
    for path in rng.permutation(VARIABLES).tolist():
        if why_not(resolved, (*out, path)) or rng.random() > share:
            continue
        made = _varied(path, records.get(path), rng, resolved.strut.shaft.diameter_mm)
        if made is not None:
            out[path] = made
    return out


def _at(value: Any, n: int) -> Any:
    return np.broadcast_to(value, (EACH,))[n]


def _same(got: Any, wanted: Any, what: Any) -> None:
    assert float(got) == pytest.approx(float(wanted), rel=1e-9, abs=1e-9, nan_ok=True), what


def _with(path: str, value: Any) -> Resolved:
    """The tunnel hanger with another value at a path."""
    data: Any = copy.deepcopy(load(shipped()["tunnel-hanger"]).document.data)
    *groups, name = path.split(".")
    at = data
    for group in groups:
        at = at[group]
    at[name] = value
    if path == "foot.outline.shape":
        del at["corner_radius"]
    return resolve(loads(yaml.safe_dump(data, sort_keys=False)))


def _alike(loaded: Loaded, resolved: Resolved, values: dict[str, Any], seen: Counter[str]) -> None:
    """Hold candidates to their own files, and count how they stood: built, and by the checks that they broke."""
    made = candidates(loaded, resolved, values)
    geometry = geometry_of_many(made, LIMITS, roll=True)
    with np.errstate(all="ignore"):
        numbers = all_numbers(made.inputs)
    judge = Judge.of(loaded, resolved)
    rolled, bounded = replace(judge, roll=True).judge(values), judge.judge(values, enough=0)
    for n in range(EACH):
        try:
            one = resolve(with_values(loaded, {p: float(v[n]) for p, v in values.items()}))
        except ParameterError:
            assert not made.buildable[n]
            assert rolled.level[n] == FAILS
            continue
        assert made.buildable[n]
        seen["built"] += 1
        checked = [f for f in geometry_checks(one.strut, LIMITS) if f.verdict is not Verdict.NOT_CHECKED]
        wanted = outcomes_of(checked)
        assert wanted.keys() <= geometry.keys()
        for code, held in geometry.items():
            # Nothing is said of what does not stand there.
            level, used = (wanted[code].level, wanted[code].utilisation) if code in wanted else (0, np.nan)
            if code not in ROLLED:
                assert int(_at(held.level, n)) == int(level), code
                _same(_at(held.utilisation, n), used, code)
        # Where one root does not fit, one strut is told how much of all of them would, many whether each does.
        both = [
            max(int(_at(of[code].level, k)) for code in ROLLED & of.keys()) for of, k in ((geometry, n), (wanted, 0))
        ]
        assert both[0] == both[1]
        inputs = Inputs.from_strut(one.strut, one.said.loads)
        with np.errstate(all="ignore"):
            for code, own in all_numbers(inputs).items():
                for name in ("demand", "capacity", "utilisation"):
                    _same(_at(getattr(numbers[code], name), n), getattr(own, name), (code, name))
            _same(rolled.weight_kg[n], weight_kg(inputs), "weight")
        found = outcomes_of([*checked, *engineering_findings(one.strut, one.said.loads)])
        assert int(rolled.level[n]) == max(int(h.level) for h in found.values())
        if not both[0]:
            assert int(rolled.fails[n]) == sum(int(h.level) == FAILS for h in found.values())
        assert rolled.level[n] <= bounded.level[n]  # a bound is never better than what it stands for
        seen.update(code for code, h in found.items() if h.level)


def _drawn(numbers: Iterable[int]) -> Counter[str]:
    """Hold candidates of random hangers to their own files, and count how they stood."""
    seen = Counter[str]()
    for number in numbers:
        loaded = loads(yaml.safe_dump(draw_whole_hanger(number), sort_keys=False))
        try:
            resolved = resolve(loaded)
        except ParameterError:
            continue
        rng = np.random.default_rng(number)
        values = _values(resolved, rng, float(rng.uniform(0.05, 0.6)))
        if values:
            _alike(loaded, resolved, values, seen)
    return seen


@pytest.mark.parametrize("name", SHIPPED)
def test_candidates_of_shipped_hangers_are_those_of_their_files(name: str) -> None:
    loaded = load(shipped()[name])
    resolved, rng, seen = resolve(loaded), np.random.default_rng(len(name)), Counter[str]()
    for _ in range(20 if THOROUGH else 1):
        _alike(loaded, resolved, _values(resolved, rng, 0.12), seen)
    assert seen["built"]


def test_candidates_of_a_few_random_hangers_are_those_of_their_files() -> None:
    seen = _drawn(FEW)
    assert seen["built"]
    assert len(seen) > 8  # so many checks were broken, alike


def test_candidates_of_random_hangers_are_those_of_their_files() -> None:
    seen = _drawn(range(COUNT))
    assert seen["built"] > COUNT // 2
    assert len(seen) > 40


def test_what_cannot_be_varied_together_is_said() -> None:
    split, solid = (resolve(load(shipped()[name])) for name in ("tunnel-hanger", "shaft-log-hanger"))
    at_edge = _with("bolts.pattern", {"kind": "edge", "count": 6, "edge_distance": 20})
    for found, paths, words in (
        (split, ["bearing.length"], "take one value"),
        (split, ["foot.skew.turned"], "take one value"),
        (split, ["barrel.wall", "barrel.outside_diameter"], "say the same"),
        (split, ["cap.bolts.engaged"], "no thread in the body"),
        (split, ["web.position.distance"], "web.position is not given"),
        (solid, ["cap.ear_out"], "in one piece"),
        (at_edge, ["foot.outline.width"], "along the edge"),
        (at_edge, ["bolts.pattern.pitch_along"], "no pitches"),
        (_with("foot.outline.shape", "oval"), ["foot.outline.width"], "outline of the shape oval"),
        (_with("cap.dowels", None), ["cap.dowels.into"], "no dowels"),
        (_with("cap.shims", None), ["cap.shims.thickness"], "no shims"),
        (_with("under_foot", {"kind": "none"}), ["under_foot.most"], "lies on its bed"),
        (_with("duty", {"engine_speed": 2400, "gear_ratio": 2}), ["duty.shaft_speed"], "engine and gear"),
    ):
        assert words in (why_not(found, paths) or ""), paths
    for found, path, other in ((split, "welds.web_to_foot_leg", "cast"), (solid, "web.root_fillet.foot", "welded")):
        assert (strange(found, [path]) or "").endswith(f"hanger, and this one is {other}")


def test_more_hangers_are_studied_than_can_be_resolved_one_by_one() -> None:
    loaded = load(shipped()["yole-shaft-hanger"])
    ears = axis("cap.ear_out=44..64:2001", "mm", "shaft_hanger")
    found = study(loaded, resolve(loaded), [ears], workers=1, passing=True)
    assert found.one_by_one is None
    assert found.left_out == ""
    # Bolts of 8 mm, 40 out, with 1.5 of their diameter outside them; what is wider weighs more.
    lightest = found.lightest()
    assert lightest is not None
    assert found.row(lightest)["cap.ear_out"] == 52.0
    assert found.judged.weight_kg.argmin() == lightest == 0
