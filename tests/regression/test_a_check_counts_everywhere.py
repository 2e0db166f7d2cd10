"""A check that is added as DEVELOPERS.md says counts in `check`, `study`, `size` and `benchmark`.

It is added to a copy of the program, as a person would add it: a row and a rule in a module of the checks.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from copies import Copy

ROW = """
- [chord_on_shaft, arms, chord of the arm against the shaft, [], chord at the barrel, arms.section.chord, shorten it]
"""
IN_ARRAYS = """
    arm, shaft = out.strut.arms[0], out.strut.shaft.diameter_mm
    out.most(BROAD, arm.chord_barrel_mm, 2.2 * shaft)
"""
# What an author writes who forgot that sizes may be arrays: slower, never wrong.
FOR_ONE = """
    arm, shaft = out.strut.arms[0], out.strut.shaft.diameter_mm
    ok = True if arm.chord_barrel_mm <= 2.2 * shaft else False
    out.holds(BROAD, ok)
"""
CHECK_AND_STUDY = """
from strutwright.models.checks import geometry_checks
from strutwright.models.resolve import resolve
from strutwright.models.sizing.axes import axis
from strutwright.models.sizing.study import study
from strutwright.params.loader import load, shipped

loaded = load(shipped()["harbour-launch"])
resolved = resolve(loaded)
shaft = resolved.strut.shaft.diameter_mm
assert [f.code for f in geometry_checks(resolved.strut) if f.fails] == ["chord_on_shaft"], "check"
found = study(loaded, resolved, [axis(f"arms.section.chord={2 * shaft}..{2.4 * shaft}:5", "mm")], workers=1)
assert found.judged.level.tolist()[2:] != [2, 2, 2] and found.judged.level.tolist()[3:] == [2, 2], "study"
assert found.judged.code(4) == "chord_on_shaft", found.judged.code(4)
"""
SIZE_AND_BENCHMARK = """
import sys
from strutwright.models.sizing import benchmark, choices, search

rows = benchmark.run(loaded, 1000, workers=1)
assert rows[0].checks == int(sys.argv[1]) + 1, "benchmark"
choices.ALONG, search.SPREAD = (2,), 512
known = {"shaft": {"diameter": 40, "bearing_span": 1200},
         "hull": {"drop": {"square_to_shaft": 280}, "shaft_angle": {"to_waterline": 10}, "run": 0}}
best = search.size(known).best
assert "chord_on_shaft" in {f.code for f in best.findings} and best.passes, "size"
assert best.sizes["arms.section.chord"] <= 2.2 * 40 + 0.01, "size"
"""


def with_a_check(folder: Path, rule: str) -> Copy:
    """Return a copy of the program to which a check was added."""
    copy, module = Copy(folder), "models/checks/geometry/arms.py"
    copy.after("params/checks_geometry.yaml", "\n  arms:\n", "  " + ROW.lstrip("\n"))
    copy.after(module, "CHECKS = (", "BROAD, ")
    copy.before(module, "    if len(strut.arms) == 2:\n        _vee(out)\n", rule.lstrip("\n"))
    return copy


@pytest.mark.parametrize(
    ("rule", "work"), [(IN_ARRAYS, CHECK_AND_STUDY + SIZE_AND_BENCHMARK), (FOR_ONE, CHECK_AND_STUDY)]
)
def test_a_check_that_is_added_counts_everywhere(tmp_path: Path, rule: str, work: str) -> None:
    from strutwright.models.resolve import resolve
    from strutwright.models.sizing.candidates import candidates
    from strutwright.models.sizing.judge import Judge
    from strutwright.params.loader import load, shipped

    loaded = load(shipped()["harbour-launch"])
    resolved = resolve(loaded)
    known = len(Judge.of(loaded, resolved).outcomes(candidates(loaded, resolved, {}))[0])
    with_a_check(tmp_path, rule).run(work, str(known))
