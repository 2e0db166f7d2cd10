"""What the first stage of a run leaves out is there, and the sets that it takes have every feature."""

from __future__ import annotations

import ast
from pathlib import Path

import support
from choose_stages import chosen, listed
from stages import SECOND
from support import SETS, few

TESTS = Path(__file__).resolve().parents[1]


def test_what_is_named_is_there() -> None:
    """A test that is renamed would quietly run in the first stage again."""
    for name in SECOND:
        file, _, test = name.partition("[")[0].partition("::")
        body = ast.parse((TESTS / file).read_text("utf-8")).body
        assert test in {n.name for n in body if isinstance(n, ast.FunctionDef)}, name


def test_the_first_stage_keeps_what_reaches_most_lines_for_its_time() -> None:
    """By hand: `quick` stays; `wide` reaches three lines more, then `dear` one more in 10 s, and `twin` none."""
    lines = {"quick": {1}, "wide": {1, 2, 3, 5}, "twin": {2, 3}, "dear": {3, 4}}
    reached = {name: {(0, line) for line in of} for name, of in lines.items()}
    assert chosen({"quick": 0.1, "wide": 1.0, "twin": 1.0, "dear": 10.0}, reached) == {"twin", "dear"}
    assert chosen({"quick": 0.1, "wide": 1.0, "twin": 1.0, "dear": 2.0}, reached) == {"twin"}
    assert listed({"a[1]", "a[2]", "b[1]"}, {"a[1]", "a[2]", "b[1]", "b[2]"}) == ["a", "b[1]"]


def test_the_few_have_every_feature() -> None:
    for what, of in support.SEEN_IN_A_SET:
        every = {of(support.resolved(name).strut) for name in SETS}
        assert {of(support.resolved(name).strut) for name in few()} == every, what
