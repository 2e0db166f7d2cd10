"""What a sieve of checks leaves of many candidates, against all of them held to all checks.

The yardstick is the judge of all candidates, which is held to the checks of one strut in its own tests: what is left
must be the same to the last candidate, whatever order of the checks the clock of the moment made.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from property.random_sets import draw_set
from support import HOUSINGS, STRUTS, every, sets_of

from strutwright.cli import main
from strutwright.exporters.web.study import summary, write_table
from strutwright.models.finding import WITHIN
from strutwright.models.resolve import resolve
from strutwright.models.sizing import sift
from strutwright.models.sizing.axes import axis
from strutwright.models.sizing.benchmark import Scattered, _middle_of
from strutwright.models.sizing.candidates import why_not
from strutwright.models.sizing.judge import Judge, judge_all
from strutwright.models.sizing.study import study
from strutwright.params.loader import Loaded, load, loads, shipped
from strutwright.params.problems import ParameterError

COUNT = 1024


def _agrees(loaded: Loaded) -> tuple[int, int]:
    """How many candidates about a file's sizes are left by the sieves, and how many are within."""
    resolved = resolve(loaded)
    judge = Judge.of(loaded, resolved)
    source = Scattered(_middle_of(resolved), COUNT)
    whole = judge_all(judge, source, workers=1)
    wanted = np.flatnonzero(whole.own == WITHIN)
    left = sift.sifted(judge, source, workers=1)
    assert set(wanted) <= set(left)
    which, judged = sift.within(judge, source, workers=1)
    assert which.tolist() == wanted.tolist()
    assert judged.weight_kg.tolist() == whole.weight_kg[wanted].tolist()
    assert judged.utilisation.tolist() == whole.utilisation[wanted].tolist()
    assert [judged.code(n) for n in range(len(which))] == [whole.code(int(n)) for n in wanted]
    return len(left), len(wanted)


@pytest.mark.parametrize(
    "name",
    [
        *every(["harbour-launch", "creek-yawl", *STRUTS, *HOUSINGS, *sets_of("let_in_housing"), "shoal-ketch"], 4),
        "yole-shaft-hanger",
    ],
)
def test_what_is_left_is_what_all_checks_leave(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of every shipped set whose sizes can vary as arrays."""
    monkeypatch.setattr(sift, "FROM", 1)
    loaded = load(shipped()[name])
    resolved = resolve(loaded)
    if not _middle_of(resolved) or why_not(resolved, list(_middle_of(resolved))):
        pytest.skip("its sizes are resolved one by one")
    left, _ = _agrees(loaded)
    assert left < COUNT


@pytest.mark.parametrize("number", every(list(range(4100, 4140)), 7))
def test_of_random_sets_as_well(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Over the range of the schema: most such sets break a check themselves, and some candidates mend it."""
    monkeypatch.setattr(sift, "FROM", 1)
    try:
        loaded = loads(yaml.safe_dump(draw_set(number)))
        resolve(loaded)
    except ParameterError:
        pytest.skip("refused as it is read")
    if not _middle_of(resolve(loaded)):
        pytest.skip("its sizes are resolved one by one")
    _agrees(loaded)


def test_a_study_of_what_passes_has_the_rows_of_the_whole(
    launch_set: tuple[Any, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same lightest one; the table has the lines of the whole table that pass, in their order."""
    monkeypatch.setattr(sift, "FROM", 1)
    axes = [axis("barrel.wall=6,9,10", "mm"), axis("palm.thickness=13,15", "mm")]
    whole = study(*launch_set, axes, workers=1)
    some = study(*launch_set, axes, workers=1, passing=True)
    lightest, best = whole.lightest(), some.lightest()
    assert lightest is not None
    assert best is not None
    assert some.row(best) == whole.row(lightest)
    write_table(tmp_path / "whole.csv", whole)
    write_table(tmp_path / "some.csv", some)
    own = np.flatnonzero(whole.judged.own == WITHIN)
    lines = (tmp_path / "whole.csv").read_text().splitlines()
    assert 0 < len(own) < whole.count
    assert (tmp_path / "some.csv").read_text().splitlines() == [lines[0], *(lines[n + 1] for n in own)]
    assert f"{len(own)}; the others are left out" in summary(some)


def test_none_that_passes_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A wall of 2 mm never passes: no lightest, an empty table, and the way to see why."""
    status = main(
        [
            *("study", "harbour-launch", "--vary", "barrel.wall=2,2.5", "--vary", "palm.thickness=9,10", "--passing"),
            *("--out", str(tmp_path / "s")),
        ]
    )
    assert status == 2
    assert "without --passing" in capsys.readouterr().out
    assert len((tmp_path / "s/study.csv").read_text().splitlines()) == 1
    assert not (tmp_path / "s/map.svg").exists()
