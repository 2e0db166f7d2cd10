"""Sheets no larger than the user's paper: nothing of a sheet is lost on the way to those behind it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from drawing_support import bracket_sheet

from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.parted import on_paper
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.models.resolve import resolve
from strutwright.params.loader import loads, shipped
from strutwright.params.problems import ParameterError

ALL = ("A4", "A3", "A2", "A1")


def rows_of(sheets: list[Sheet], name: str) -> list[tuple[str, ...]]:
    return [row for sheet in sheets for table in sheet.tables if table.name == name for row in table.rows]


def full(bracket: object, rows: int) -> Sheet:
    """A bracket's sheet with more on it than an A3 holds."""
    sheet = bracket_sheet(bracket, sizes=ALL[1:])
    columns = ("no.", "what stands here is a little longer", "read")
    for k in range(3):
        made = tuple((f"{k}.{n}", f"row {n}", "") for n in range(rows))
        sheet.tables.append(Table(name=f"more {k}", title=f"MORE {k}", columns=columns, rows=made))
    sheet.notes += [f"Note {n}, long enough to fill a good part of a line of the sheet's notes." for n in range(12)]
    return sheet


@pytest.mark.parametrize(("rows", "paper"), [(8, ALL[:2]), (70, ALL[:2]), (30, ALL[:3])])
def test_what_does_not_go_beside_the_views_stands_behind(
    bracket_part: object, rows: int, paper: tuple[str, ...]
) -> None:
    sheet, beats = full(bracket_part, rows), list[int]()
    parts = on_paper(replace(sheet, tables=list(sheet.tables), notes=list(sheet.notes)), paper, lambda: beats.append(1))
    assert beats
    assert {lay_out(part).size for part in parts} <= set(paper)
    for table in sheet.tables:
        assert rows_of(parts, table.name) == list(table.rows)
    said = [note for part in parts for note in part.notes]
    assert [note for note in said if not note.startswith("On the sheet behind this")] == sheet.notes
    assert [c for part in parts for c in part.cautions] == sheet.cautions
    assert [len(part.views) for part in parts] == [len(sheet.views)] + [0] * (len(parts) - 1)
    # Whoever has a part in hand is told what else there is.
    for first, behind in pairwise(parts):
        own = {t.title.removesuffix(", CONTINUED") for t in behind.tables}
        if first.views:
            assert any(n.startswith("On the sheet behind this") and all(t in n for t in own) for n in first.notes)


def test_a_sheet_that_fits_is_left_as_it_is(bracket_part: object) -> None:
    sheet = bracket_sheet(bracket_part, sizes=("A3", "A2"))
    (kept,) = on_paper(sheet, ALL[:2], lambda: None)
    assert replace(kept, sizes=sheet.sizes) == sheet


def test_views_that_go_on_no_such_paper_take_the_next(bracket_part: object) -> None:
    parts = on_paper(bracket_sheet(bracket_part, sizes=("A3", "A2")), ("A4",), lambda: None)
    assert [lay_out(part).size for part in parts] == ["A3"]
    parts = on_paper(full(bracket_part, 30), ("A4",), lambda: None)
    assert next(lay_out(part).size for part in parts) == "A3"  # by itself it goes on an A2
    assert {lay_out(part).size for part in parts[1:]} == {"A4"}


def test_a_size_of_the_other_series_is_refused() -> None:
    text = shipped()["yawl-with-heel"].read_text(encoding="utf-8")
    kept = "".join(line for line in text.splitlines(keepends=True) if not line.startswith("drawing:"))
    assert resolve(loads(kept + "\ndrawing: {largest_sheet: ANSI B}\n", "x")).said.drawing.largest_sheet == "ANSI B"
    with pytest.raises(ParameterError, match=r"not a size of drawing\.sheets") as error:
        resolve(loads(kept + "\ndrawing: {sheets: iso, largest_sheet: ANSI B}\n", "x"))
    assert "A4, A3, A2 or A1" in str(error.value)
