"""Of a vee whose halves are mirror images one half stands for both: the numbers are those of both worked out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import yaml
from property.random_sets import draw_set
from support import long_run

from strutwright.models import halves
from strutwright.models.checks.engineering import all_numbers
from strutwright.models.hull_curve import HullCurve
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.params.loader import load, loads, shipped
from strutwright.params.problems import ParameterError
from strutwright.params.schema_boat import LoadCase, LoadTerm

SETS = (1, 8, 16, 20, 12, 34)
"""Random vees of which the halves are alike: cast and welded, with one palm and with two."""


def _inputs(resolved: Resolved) -> Inputs:
    return Inputs.from_strut(resolved.strut, resolved.said.loads)


def _held_to_both(resolved: Resolved, monkeypatch: pytest.MonkeyPatch) -> None:
    half = all_numbers(_inputs(resolved))
    with monkeypatch.context() as patch:
        patch.setattr(halves, "_mirrored", lambda inputs: False)
        whole = all_numbers(_inputs(resolved))
    assert half.keys() == whole.keys()
    for code, both in whole.items():
        for name in ("demand", "capacity", "utilisation"):
            one, two = (float(getattr(o, name)) for o in (half[code], both))
            assert one == pytest.approx(two, rel=1e-11, abs=1e-12, nan_ok=True), (code, name)


@pytest.mark.parametrize("number", SETS)
def test_one_half_stands_for_both(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = draw_set(number)
    drawn["palm"].pop("hull_face_starboard", None)  # with a face of its own the other half is unlike
    resolved = resolve(loads(yaml.safe_dump(drawn)))
    assert len(halves.unlike(_inputs(resolved))) == 1
    _held_to_both(resolved, monkeypatch)


def test_a_hull_face_of_its_own_makes_a_palm_unlike(monkeypatch: pytest.MonkeyPatch) -> None:
    resolved = resolve(load(shipped()["pilot-vee"]))
    port, starboard = resolved.strut.palms
    crowned = replace(starboard, curve=HullCurve(radius_mm=600.0, axis_deg=0.0, crown_to_hull=True))
    made = replace(resolved, strut=replace(resolved.strut, palms=(port, crowned)))
    assert len(halves.unlike(_inputs(resolved))) == 1
    assert _inputs(made).palms[1].least_mm < _inputs(made).palms[0].least_mm
    assert len(halves.unlike(_inputs(made))) == 2
    _held_to_both(made, monkeypatch)


@long_run
def test_one_half_stands_for_both_of_any_set(monkeypatch: pytest.MonkeyPatch) -> None:
    found = 0
    for number in range(1500):
        try:
            resolved = resolve(loads(yaml.safe_dump(draw_set(number))))
        except ParameterError:
            continue
        if len(halves.unlike(_inputs(resolved))) < len(resolved.strut.arms):
            _held_to_both(resolved, monkeypatch)
            found += 1
    assert found > 200


def test_what_differs_in_one_half_is_looked_at() -> None:
    loaded = load(shipped()["pilot-vee"])
    inputs = _inputs(resolve(loaded))
    assert len(halves.unlike(inputs)) == len(halves.unlike_palms(inputs)) == 1
    arm, palm = inputs.arms[1], inputs.palms[1]
    holes = np.asarray(palm.holes_u_mm) + np.eye(palm.bolt_count)[0]
    for changed in (
        {"arms": (inputs.arms[0], replace(arm, thickness_palm_mm=arm.thickness_palm_mm + np.array([0.0, 0.1])))},
        {"palms": (inputs.palms[0], replace(palm, holes_u_mm=holes))},
        {"palms": (inputs.palms[0], replace(palm, port_mm=palm.port_mm + 1.0))},
        {"own_cases": (LoadCase(name="side", terms=[LoadTerm(source="force", force="1 kN", clock="90 deg")]),)},
    ):
        made: Any = changed
        assert len(halves.unlike(replace(inputs, **made))) == len(halves.unlike_palms(replace(inputs, **made))) == 2
