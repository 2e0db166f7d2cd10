"""A file of what was read may hold anything: it is used, or refused with every fault at its place, and never changed
for the worse by adding to it."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from support import THOROUGH

from strutwright.params import checks, confirmations, limits, tables
from strutwright.params.confirmations import LONGEST, added, plain, read_text
from strutwright.params.problems import ParameterError
from strutwright.params.readings import Reading

SETTINGS = settings(max_examples=1000 if THOROUGH else 30, deadline=None)
LINES = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=LONGEST)
TEXTS = LINES.filter(lambda t: bool(t.strip()) and t.isprintable())
DATES = st.dates().map(lambda d: d.isoformat())


@st.composite
def read(draw: st.DrawFn) -> Reading:
    """Anything that can be read, with a value that makes sense."""
    kind = draw(st.sampled_from(("limit", "check", "table")))
    found: dict[str, Any] = {}
    if kind == "limit":
        row = draw(st.sampled_from(sorted(limits.shipped().values(), key=lambda r: r.name)))
        value = row.value * draw(st.sampled_from((1.0, 0.9, 0.5)))
        found = {"name": row.name, "values": {"value": value} if draw(st.booleans()) and row.makes_sense(value) else {}}
        found["breach"] = draw(st.sampled_from(("", "warning", "failure")))
    elif kind == "check":
        found = {"name": draw(st.sampled_from(sorted(checks.sources())))}
    else:
        table = tables.shipped(draw(st.sampled_from(tables.names())))
        number = draw(st.integers(0, len(table.rows) - 1))
        columns = draw(st.lists(st.sampled_from(table.measured), unique=True)) if table.measured else []
        cells = {c: table.rows[number][c] for c in columns if table.rows[number][c] and table.units[c] != "-"}
        values = {c: float(v) * 1.5 for c, v in cells.items()} if draw(st.booleans()) else {}
        found = {"name": table.name, "row": table.labels[number], "columns": tuple(columns), "values": values}
    texts = {name: draw(TEXTS) for name in ("edition", "clause", "by")}
    return Reading(kind=kind, **found, **texts, date=draw(DATES))


@given(st.lists(read(), min_size=1, max_size=4), st.integers(1, 3))
@SETTINGS
def test_what_is_written_is_read_back_and_adding_keeps_what_stands(found: list[Reading], first: int) -> None:
    """In one go or in two: the same bytes; of one thing the last counts."""
    whole = added("", found, "x")
    if len(found) > first:
        assert added(added("", found[:first], "x"), found[first:], "x") == whole
    known = read_text(whole, "x").known
    assert known == {(r.kind, r.name, r.row): r for r in found}


@given(read(), st.sampled_from(("# last words", "", "  # further in", "\n\n")), st.sampled_from(("", " ", "      ")))
@SETTINGS
def test_comments_and_indentation_of_a_file_stay(one: Reading, tail: str, indent: str) -> None:
    old = f"# ours\nreadings:   # all of them\n\n{indent}- {json.dumps(plain(one), ensure_ascii=False)}\n{tail}"
    new = added(old, [one], "x")
    assert new.startswith(old)
    assert read_text(new, "x").known == {(one.kind, one.name, one.row): one}


ODD = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(-(10**9), 10**9), st.floats(), st.text(max_size=20)),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=8), inner, max_size=3)),
    max_leaves=6,
)


@given(read(), st.dictionaries(st.sampled_from((*confirmations._KEYS, "who", "limits")), ODD, max_size=3))
@SETTINGS
def test_an_odd_entry_is_used_or_refused_at_its_place(one: Reading, odd: dict[str, Any]) -> None:
    """Nothing but a refusal that names the line comes out of values of any kind."""
    entry = plain(one) | odd
    text = f"readings:\n- {json.dumps(entry, ensure_ascii=False)}\n"
    refused = refusal(lambda: read_text(text, "x"))
    if refused is None:
        for known in read_text(text, "x").known.values():
            assert known == one or odd
        return
    for p in refused.problems:
        assert p.what
        assert min(p.line, p.column) >= 1
        assert str(p).replace("\n", "").isprintable()


def refusal(act: Callable[[], object]) -> ParameterError | None:
    """Return the refusal that something ends in, None where there is none; anything else goes through."""
    try:
        act()
    except ParameterError as caught:
        return caught
    return None


@given(read(), st.integers(0, 400), st.text(max_size=6))
@SETTINGS
def test_a_damaged_file_is_used_or_refused(one: Reading, place: int, junk: str) -> None:
    text = added("", [one], "x")
    place %= len(text)
    for damaged in (text[:place] + junk + text[place:], text[:place]):
        refused = refusal(partial(read_text, damaged, "x"))
        assert refused is None or refused.problems
        if refusal(partial(added, damaged, [one], "x")) is None:
            assert added(damaged, [one], "x").startswith(damaged)
