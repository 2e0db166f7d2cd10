"""A study that keeps only sums and the best against one that keeps every combination: they tell the same."""

from __future__ import annotations

import functools
from pathlib import Path

import numpy as np
import pytest

from strutwright.exporters.web.study import governing_map, has_parquet, summary, table_of, weight_plot, write_study
from strutwright.models.resolve import resolve
from strutwright.models.sizing import summed
from strutwright.models.sizing.axes import StudyError, axis
from strutwright.models.sizing.judge import in_processes
from strutwright.models.sizing.study import study
from strutwright.params.loader import load, shipped

HERE = functools.partial(in_processes, workers=1)
VARIED = {
    "harbour-launch": (
        "arms.section.chord=60..120:4",
        "palm.thickness=8..20:5",
        "barrel.wall=3..12:6",
        "arms.root_fillet.palm=4..14:2",
    ),
    "deadwood-cutter": ("flange.thickness=8..24:7", "barrel.wall=4..14:9", "barrel.length=100..260:11"),
    "canal-tender": ("barrel.wall=1..9:7",),
}


@pytest.mark.parametrize(
    ("name", "measured"), [("harbour-launch", False), ("deadwood-cutter", True), ("canal-tender", True)]
)
def test_it_tells_what_a_study_of_all_tells(name: str, measured: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(summed, "CHUNK", 30)
    monkeypatch.setattr(summed, "PIECE", 60)
    monkeypatch.setattr(summed, "_AT_ONCE", 3)
    if not measured:
        monkeypatch.setattr("strutwright.models.sizing.study.MOST_ROLLED", 0)
    loaded = load(shipped()[name])
    resolved, axes = resolve(loaded), [axis(text, loaded.said.units, loaded.said.part) for text in VARIED[name]]
    every = study(loaded, resolved, axes, workers=1)
    some = study(loaded, resolved, axes, summed_by=HERE)
    assert some.sums is not None
    assert some.which is not None
    for what in ("level", "own", "governing"):
        assert getattr(some.told, what).tolist() == getattr(every.told, what).tolist(), what
    assert some.told.cannot == every.told.cannot
    assert some.cannot == every.cannot
    assert summary(some) == summary(every)
    if len(axes) > 1:
        assert some.which[some.cells()].tolist() == every.cells().tolist()
        assert repr(governing_map(some).marks) == repr(governing_map(every).marks)
    # Each that is kept stands as it does there.
    for row in ("level", "own", "governing", "fails", "warns", "unsure"):
        np.testing.assert_array_equal(getattr(some.judged, row), getattr(every.judged, row)[some.which])
    np.testing.assert_array_equal(some.judged.weight_kg, every.judged.weight_kg[some.which])


def test_what_is_kept_does_not_grow_with_the_number(monkeypatch: pytest.MonkeyPatch) -> None:
    loaded = load(shipped()["harbour-launch"])
    resolved = resolve(loaded)
    monkeypatch.setattr(summed, "MARKS", 50)
    monkeypatch.setattr("strutwright.models.sizing.study.MOST_ROLLED", 0)
    kept = []
    for count in (20, 80):
        texts = ("arms.section.chord=80..110:4", "palm.thickness=10..16:3", f"barrel.length=120..180:{count}")
        found = study(loaded, resolved, [axis(text, "mm") for text in texts], summed_by=HERE)
        assert found.told.level.sum() == 12 * count
        kept.append(found.count)
    assert kept[1] <= 12 + 50 + 600  # cells, marks, and the best of all


def test_too_many_cells_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    loaded = load(shipped()["harbour-launch"])
    monkeypatch.setattr("strutwright.models.sizing.study.MOST_CELLS", 10)
    axes = [axis(text, "mm") for text in ("arms.section.chord=80..110:4", "palm.thickness=10..16:3")]
    with pytest.raises(StudyError, match="give first those with fewer values"):
        study(loaded, resolve(loaded), axes, summed_by=HERE)


def test_the_pieces_of_the_table_are_written_as_they_come(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    if not has_parquet():
        pytest.skip("no pandas with pyarrow here")
    import pandas

    monkeypatch.setattr(summed, "PIECE", 50)
    monkeypatch.setattr("strutwright.models.sizing.study.MOST_ROLLED", 0)
    loaded = load(shipped()["harbour-launch"])
    resolved = resolve(loaded)
    axes = [axis(text, "mm") for text in ("arms.section.chord=80..110:12", "palm.thickness=8..16:11")]
    found, files, said = write_study(
        tmp_path / "a",
        lambda parts: study(loaded, resolved, axes, summed_by=HERE, tell=table_of(axes, "mm"), told=parts),
        parameters_sha256="0" * 64,
        version="1",
    )
    assert not said
    assert len([name for name in files if name.startswith("study.parquet/part-")]) == 3
    table = pandas.read_parquet(tmp_path / "a" / "study.parquet")
    every = study(loaded, resolved, axes, workers=1)
    np.testing.assert_allclose(table["weight_kg"], every.weights())
    assert table["governing"].tolist() == [every.judged.code(k) for k in range(every.count)]
    assert weight_plot(found).marks
