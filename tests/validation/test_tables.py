"""Every standard table has its head and full rows, and an unknown name is told with what is there."""

from __future__ import annotations

import pytest

from strutwright.params import tables

HEAD_KEYS = {"title", "standard", "table", "edition", "standing", "confidence", "note", "units", "columns"}


@pytest.mark.parametrize("name", tables.names())
def test_every_file_has_its_head_and_full_rows(name: str) -> None:
    """The head is what lets a reader judge a value; a missing column would be read as a missing value."""
    t = tables.table(name)
    assert all(getattr(t, key) for key in HEAD_KEYS)
    assert t.standing in {"published", "common practice", "from memory"}
    assert t.confidence in {"high", "medium", "low"}
    assert set(t.units) == set(t.columns)
    assert t.rows
    assert all(tuple(row) == t.columns for row in t.rows)
    assert set(t.extra.get("from_memory", ())) <= set(t.columns)
    if t.standing == "from memory":
        assert "confirm" in t.note.lower() or "memory" in t.note.lower()


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: tables.material("C8650"), "Did you mean C86500?"),
        (lambda: tables.clearance_hole_mm("M13", "fine"), "Valid: M3, M4"),
        (lambda: tables.clearance_hole_mm("M12", "tight"), "fine, close"),
        (lambda: tables.thread("M8x2"), "M8x1.25"),
        (lambda: tables.countersunk_head("M24"), "ISO 10642"),
        (lambda: tables.countersunk_head("M8", "ISO 1"), "Valid: ISO 10642"),
        (lambda: tables.set_screw("M8", "cupp"), "Did you mean cup?"),
        (lambda: tables.iso286("H12", 50), "grades 5 to 11"),
        (lambda: tables.iso286("H7", 400), "over 0 mm to 315 mm"),
        (lambda: tables.inch_fit("LN9", 50), "LN2"),
        (lambda: tables.inch_fit("LN2", 5), "Valid: over"),
        (lambda: tables.next_plate(80), "Valid"),
        (lambda: tables.tool_outside_mm("hammer", 5), "socket"),
        (lambda: tables.table("thread_metric"), "Did you mean threads_metric?"),
        (lambda: tables.nearest_shaft(50, "cubit"), "inch, metric"),
        (lambda: tables.galvanic_range_v("manganese"), "manganese bronze"),
        (lambda: tables.casting_tolerance_mm("CT3", 50), "CT8"),
        (lambda: tables.machining_allowance_mm("G", 5000), "1000 mm"),
    ],
)
def test_what_is_not_there_is_named_with_what_is(ask: object, says: str) -> None:
    """The text for an unknown name lists what is valid and the near miss."""
    assert callable(ask)
    with pytest.raises(tables.NotInTable) as caught:
        ask()
    assert says in str(caught.value)
    assert isinstance(caught.value, KeyError)
