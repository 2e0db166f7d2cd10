"""Every row of a study against the check of that very set, for sets from the whole schema, and for sizes that the file
does not say.

The yardstick is the check of one strut, of which a study is by definition the table: a row never stands better.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import yaml
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st
from property.random_sets import draw_set
from support import SETS, THOROUGH

from strutwright.models.checks import geometry_checks
from strutwright.models.checks.engineering import engineering_findings
from strutwright.models.checks.results import outcomes_of
from strutwright.models.finding import FAILS, WARNS
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing.axes import Axis, StudyError, kind_of
from strutwright.models.sizing.candidates import VARIABLES, strange
from strutwright.models.sizing.study import study, with_values
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError

# What a boat may have beside the strut, as multiples of the shaft's diameter (mm) where `of_shaft`.
BOAT: dict[str, tuple[float, float, bool]] = {
    "shaft.bearing_span": (15.0, 60.0, True),
    "propeller.diameter": (6.0, 20.0, True),
    "propeller.mass": (0.5, 200.0, False),
    "propeller.hub_length": (1.0, 4.0, True),
    "propeller.hub_gap": (0.1, 2.0, True),
    "propeller.pitch": (5.0, 20.0, True),
    "duty.power": (2.0, 800.0, False),
    "duty.shaft_speed": (300.0, 3000.0, False),
    "duty.idle_speed": (150.0, 700.0, False),
    "duty.boat_speed": (4.0, 45.0, False),
    "hull.thickness": (0.2, 1.5, True),
    "loads.blade_mass": (0.1, 40.0, False),
    "loads.side_acceleration": (0.0, 3.0, False),
}
"""Of these the file says some."""
STRUT: dict[str, tuple[float, float, bool]] = {
    "arms.root_fillet.barrel": (0.05, 0.5, True),
    "arms.root_fillet.palm": (0.05, 0.5, True),
    "arms.section.chord_at_palm": (1.0, 4.0, True),
    "arms.section.thickness_at_palm": (0.2, 0.8, True),
    "welds.arm_to_barrel_leg": (0.05, 0.4, True),
    "welds.arm_to_palm_leg": (0.05, 0.4, True),
    "palm.outline.corner_radius": (0.0, 1.0, True),
    "palm.offset.forward": (-0.5, 0.5, True),
    "palm.offset.port": (-0.5, 0.5, True),
    "set_screws.dimple_depth": (0.2, 4.0, False),
    "barrel.wall": (0.2, 0.6, True),
    "barrel.outside_diameter": (1.6, 3.0, True),
}
"""Sizes that a file may leave out."""
HUNT = settings(
    max_examples=400 if THOROUGH else 3,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)


def _a_set(rng: np.random.Generator, number: int, varied: str) -> dict[str, Any]:
    """A random set, or a shipped one, with most of what a boat may have; often without what is varied."""
    names = sorted(SETS)
    data: Any = draw_set(number) if number % 2 else load(shipped()[names[number // 2 % len(names)]]).document.data
    data = yaml.safe_load(yaml.safe_dump(data))
    d = resolve(loads(yaml.safe_dump(data))).strut.shaft.diameter_mm
    for path, (low, high, of_shaft) in BOAT.items():
        group, name = path.split(".")
        if name not in data.setdefault(group, {}) and rng.random() < 0.7:
            data[group][name] = _said(path, rng.uniform(low, high) * (d if of_shaft else 1.0))
    data["propeller"].setdefault("blades", int(rng.integers(2, 6)))
    if varied in BOAT | STRUT and rng.random() < 0.7:
        *groups, name = varied.split(".")
        at = data
        for group in groups:
            at = at.get(group, {})
        at.pop(name, None)
    return data


def _said(path: str, value: float) -> str | float:
    kind = kind_of(path)
    assert kind is not None
    return f"{value:.4g} {kind.unit}".strip() if kind.unit else float(f"{value:.4g}")


def _values(rng: np.random.Generator, path: str, resolved: Resolved) -> tuple[float, ...]:
    """Two values: about the one there is, or over the whole range of one that is not said."""
    said = {r.path: r.value for r in resolved.records}.get(path)
    if isinstance(said, float) and said and not math.isnan(said):
        low, high = 0.6 * said, 1.6 * said
    elif path in BOAT or path in STRUT:
        low, high, of_shaft = (BOAT | STRUT)[path]
        d = resolved.strut.shaft.diameter_mm if of_shaft else 1.0
        low, high = low * d, high * d
    else:
        return ()
    return tuple(float(f"{v:.4g}") for v in np.sort(rng.uniform(low, high, 2)))


def check_rows(number: int, path: str) -> int:
    """Hold every row of a study to the check; return how many there were."""
    rng = np.random.default_rng([number, VARIABLES.index(path)])
    try:
        loaded = loads(yaml.safe_dump(_a_set(rng, number, path)))
        resolved = resolve(loaded)
    except ParameterError:
        return 0
    values = _values(rng, path, resolved)
    if len(set(values)) < 2:
        return 0
    kind = kind_of(path)
    axis = Axis(path, "" if kind is None else kind.unit, values, values)
    if strange(resolved, [path]):
        with pytest.raises(StudyError, match="belongs to"):
            study(loaded, resolved, [axis], workers=1)
        return 0
    try:
        found = study(loaded, resolved, [axis], workers=1)
    except StudyError as error:
        if "none of the combinations makes a strut" not in str(error):
            raise
        return 0
    for n, value in enumerate(values):
        at = f"{number}: {path} = {value:g}"
        try:
            one = resolve(with_values(loaded, {path: value}))
        except ParameterError:
            assert found.judged.level[n] == FAILS, at
            assert math.isnan(found.judged.weight_kg[n]), at
            continue
        held = outcomes_of([*geometry_checks(one.strut), *engineering_findings(one.strut, one.said.loads)])
        failing, broken = ([c for c, h in held.items() if int(h.level) >= least] for least in (FAILS, WARNS))
        level, fails, warns = (int(x[n]) for x in (found.judged.level, found.judged.fails, found.judged.warns))
        assert level >= max(int(h.level) for h in held.values()), (at, failing, broken)
        assert fails >= len(failing), (at, failing)
        assert fails + warns >= len(broken), (at, broken)
    return len(values)


@HUNT
@example(23681, "propeller.diameter")
@example(61030, "loads.blade_mass")
@given(st.integers(0, 10_000), st.sampled_from(VARIABLES) | st.sampled_from(sorted(BOAT)))
def test_no_row_stands_better_than_its_check(number: int, path: str) -> None:
    check_rows(number, path)
