"""Whoever calls with many values says which is which: eight or more in a row are mixed up unseen."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import strutwright
from strutwright import exporters, models, params

MOST = 7
"""Values that a call may give by their place alone."""
PACKAGES = [Path(package.__path__[0]) for package in (strutwright, exporters, models, params)]


def long_calls(source: str) -> Iterator[str]:
    """Yield every call that gives more values by place, with its line. A starred group counts as one."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and len(node.args) > MOST:
            yield f"{node.lineno}: {ast.unparse(node.func)}"


def records_by_place(source: str) -> Iterator[str]:
    """Yield every frozen dataclass of more values that may be made without their names, with its line."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ClassDef):
            how = " ".join(ast.unparse(d) for d in node.decorator_list)
            values = sum(isinstance(part, ast.AnnAssign) and "ClassVar" not in ast.unparse(part) for part in node.body)
            if values > MOST and "frozen=True" in how and "kw_only=True" not in how:
                yield f"{node.lineno}: {node.name}"


def test_calls_with_many_values_name_them() -> None:
    assert list(long_calls("f(1, 2, 3, 4, 5, 6, 7, a=8)\ng.h(1, 2, 3, 4, 5, 6, 7, *more)")) == ["2: g.h"]
    for folder in (*PACKAGES, Path(__file__).resolve().parents[1]):
        sources = sorted(folder.rglob("*.py"))
        assert sources
        assert [f"{path}:{call}" for path in sources for call in long_calls(path.read_text("utf-8"))] == []


def test_records_of_many_values_are_made_by_name() -> None:
    eight = "\n".join(f"    v{k}: int" for k in range(MOST + 1))
    assert list(records_by_place(f"@dataclass(frozen=True)\nclass A:\n{eight}")) == ["2: A"]
    assert not list(records_by_place(f"@dataclass(frozen=True, kw_only=True)\nclass A:\n{eight}"))
    for folder in PACKAGES:
        sources = sorted(folder.rglob("*.py"))
        assert [f"{path}:{name}" for path in sources for name in records_by_place(path.read_text("utf-8"))] == []
