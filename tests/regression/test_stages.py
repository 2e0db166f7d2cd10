"""What the first stage of a run leaves out is there, and the sets that it takes have every feature."""

from __future__ import annotations

import ast
from pathlib import Path

import support
from stages import SECOND, VARIANTS
from support import SETS, few

TESTS = Path(__file__).resolve().parents[1]


def test_what_is_named_is_there() -> None:
    """A test that is renamed would quietly run in the first stage again."""
    for file in SECOND.keys() | VARIANTS.keys():
        bodies = [ast.parse(path.read_text("utf-8")).body for path in TESTS.glob(f"*/{file}.py")]
        there = {n.name for body in bodies for n in body if isinstance(n, ast.FunctionDef)}
        assert {*SECOND.get(file, ()), *VARIANTS.get(file, ())} <= there, file


def test_the_few_have_every_feature() -> None:
    for what, of in support.SEEN_IN_A_SET:
        every = {of(support.resolved(name).strut) for name in SETS}
        assert {of(support.resolved(name).strut) for name in few()} == every, what
