"""Whoever calls with many values says which is which: eight or more in a row are mixed up unseen."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import strutwright
from strutwright import exporters, models, params

MOST = 7
"""Values that a call may give by their place alone."""


def long_calls(source: str) -> Iterator[str]:
    """Yield every call that gives more values by place, with its line. A starred group counts as one."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and len(node.args) > MOST:
            yield f"{node.lineno}: {ast.unparse(node.func)}"


def test_calls_with_many_values_name_them() -> None:
    assert list(long_calls("f(1, 2, 3, 4, 5, 6, 7, a=8)\ng.h(1, 2, 3, 4, 5, 6, 7, *more)")) == ["2: g.h"]
    for package in (strutwright, exporters, models, params):
        sources = sorted(Path(package.__path__[0]).rglob("*.py"))
        assert sources
        assert [f"{path}:{call}" for path in sources for call in long_calls(path.read_text("utf-8"))] == []
