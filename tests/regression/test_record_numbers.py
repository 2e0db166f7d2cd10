"""The numbers of the inspection record on the drawings: each beside its size, none lost, in nobody's way."""

from __future__ import annotations

import math

import pytest
from sheets_support import context, faults, resolved, solids
from support import every, long_run

from strutwright.exporters.drawing.record_numbers import rows_of, table_with_numbers, told
from strutwright.exporters.sheets.record import record_rows
from strutwright.exporters.sheets.render_set import make_sheets, with_room_for_numbers
from strutwright.params.loader import shipped

SETS = [name for name in shipped() if not name.startswith("failing/")]
NUMBERS = {
    "bore1.gauged.aft.athwart": 1,
    "bore1.gauged.aft.up": 2,
    "palm1.hole1": 3,
    "palm1.hole2": 4,
    "palm1.holes": 7,
}


def test_a_size_may_be_that_of_several_rows() -> None:
    assert rows_of("bore1.gauged", NUMBERS) == [1, 2]
    assert rows_of("palm1.hole", NUMBERS) == [3, 4]
    assert rows_of("palm1.holes", NUMBERS) == [7]
    assert rows_of("palm1", NUMBERS) == [3, 4, 7]
    assert rows_of("bore", NUMBERS) == []
    assert [told(n) for n in ([], [4], [4, 5], [4, 5, 6, 9], [1, 3])] == ["", "4", "4, 5", "4-6, 9", "1, 3"]


@long_run
@pytest.mark.parametrize("name", every(["canal-tender", *SETS], 20))
def test_every_size_that_is_recorded_has_its_number(name: str) -> None:
    source = resolved(name)
    ctx = context(source.strut, source, solids(name))
    numbers = {row.code: k for k, row in enumerate(record_rows(ctx), 1)}
    found: set[int] = set()
    for sheet in make_sheets(ctx).values():
        found |= {n for t in sheet.tables for c in t.codes if c for n in rows_of(c, numbers)}
        sheet.tables = [table_with_numbers(table, numbers) for table in sheet.tables]
        drawn, lost = with_room_for_numbers(sheet, numbers)
        assert lost == ()
        assert faults(drawn) == []
        rows = [item for item in drawn.items if item.row and rows_of(item.row, numbers)]
        rings = [item for item in drawn.items if item.name.startswith("record number ")]
        assert [r.texts[0].text for r in rings] == [told(rows_of(i.row, numbers)) for i in rows]
        for item, ring in zip(rows, rings, strict=True):
            assert ring.owner == item.owner
            near = math.dist(ring.texts[0].middle(), item.texts[0].middle())
            assert near < 90.0
        found |= {n for item in rows for n in rows_of(item.row, numbers)}
    # What is told in words, or by the bearing in hand, has no size on a drawing.
    bare = {"hand", "flush", "plane", "station", "tilt", "pitch", "clock", "dimple", "port", "zero_port", "skew"}
    bare |= {"bore1", "flat", "shims"}  # the bore once more in its place; what a split is held to
    left = {c for c, n in numbers.items() if n not in found and not c.startswith("whole.")}
    assert {c.rpartition(".")[2] for c in left} <= bare
