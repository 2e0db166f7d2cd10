"""Candidates held to their own files: the same values written into the file, resolved and checked one by one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from strutwright.models.arrays import Floats
from strutwright.models.checks import geometry_checks, geometry_of_many
from strutwright.models.checks.engineering import Inputs, all_numbers, engineering_findings
from strutwright.models.checks.results import outcomes_of
from strutwright.models.finding import FAILS, WARNS, Verdict
from strutwright.models.resolve import resolve
from strutwright.models.sizing.candidates import candidates
from strutwright.models.sizing.judge import Judge
from strutwright.models.sizing.study import with_values
from strutwright.params import limits
from strutwright.params.loader import Loaded
from strutwright.params.problems import ParameterError

LIMITS = limits.standard()
_TOLD = (Verdict.NOT_CHECKED, Verdict.INFORMATION)
"""What is told of one part and ranks nothing."""


def _at(value: Any, n: int, count: int) -> float:
    return float(np.broadcast_to(value, (count,))[n])


def alike(loaded: Loaded, values: Mapping[str, Floats], near: float = 1e-7) -> list[int]:
    """Hold candidates to their own files in findings, numbers, weight and level; return the levels of those that could
    be built. near: how near numbers have to be, as a share."""
    resolved, count = resolve(loaded), len(next(iter(values.values())))
    made, built = candidates(loaded, resolved, values), list[int]()
    geometry = geometry_of_many(made, LIMITS)
    with np.errstate(all="ignore"):
        numbers = all_numbers(made.inputs)
    judged = Judge.of(loaded, resolved).judge(values)
    for n in range(count):
        here = {path: float(v[n]) for path, v in values.items()}
        try:
            one = resolve(with_values(loaded, here))
        except ParameterError:
            assert not made.buildable[n], here
            assert judged.level[n] == FAILS
            continue
        assert made.buildable[n], here
        checked = [f for f in geometry_checks(one.strut, LIMITS) if f.verdict not in _TOLD]
        wanted = outcomes_of(checked)
        for code, held in geometry.items():
            if code not in wanted:  # nothing is said of what does not stand there
                assert int(_at(held.level, n, count)) == 0, (code, here)
                continue
            assert int(_at(held.level, n, count)) == int(wanted[code].level), (code, here)
            used = wanted[code].utilisation
            got = _at(held.utilisation, n, count)
            assert got == pytest.approx(used, rel=100 * near, abs=near, nan_ok=True), (code, here)
        assert wanted.keys() <= geometry.keys()
        with np.errstate(all="ignore"):
            for code, own in all_numbers(Inputs.from_strut(one.strut, one.said.loads)).items():
                for name in ("demand", "capacity", "utilisation"):
                    got = _at(getattr(numbers[code], name), n, count)
                    want = float(getattr(own, name))
                    assert got == pytest.approx(want, rel=near, abs=1e-9, nan_ok=True), (code, name, here)
                if code == "strut_weight":
                    assert judged.weight_kg[n] == pytest.approx(float(own.demand), rel=near)
        found = outcomes_of([*checked, *engineering_findings(one.strut, one.said.loads)])
        levels = [int(h.level) for h in found.values()]
        assert int(judged.level[n]) == max(levels), here
        assert (judged.fails[n], judged.warns[n]) == (levels.count(FAILS), levels.count(WARNS)), here
        built.append(max(levels))
    return built
