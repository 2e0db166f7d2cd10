"""Files and functions are short enough to be read at one go: what a change touches is seen whole."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import strutwright
from strutwright import exporters, models, params

FILE_LINES, FUNCTION_LINES = 600, 60

ROOT = Path(__file__).parents[2]
SOURCES = [
    path for package in (strutwright, exporters, models, params) for path in Path(package.__path__[0]).rglob("*.py")
]


def long_functions(source: str) -> Iterator[str]:
    """Yield every function that is too long, with its line; decorators do not count."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert node.end_lineno is not None
            if node.end_lineno - node.lineno >= FUNCTION_LINES:
                yield f"{node.lineno}: {node.name}"


def test_no_function_of_the_program_is_long() -> None:
    body = "    x = 1\n"
    assert list(long_functions("def f():\n" + body * (FUNCTION_LINES - 1))) == []
    assert list(long_functions("\n@cache\ndef f():\n" + body * FUNCTION_LINES)) == ["3: f"]
    assert {"cli.py", "spec.py", "schema.py", "sheet.py"} <= {path.name for path in SOURCES}
    assert [f"{path}:{what}" for path in SOURCES for what in long_functions(path.read_text("utf-8"))] == []


def test_no_file_is_long() -> None:
    files = {*SOURCES, ROOT / "setup.py", *(ROOT / "tests").rglob("*.py")}
    assert {path.name for path in files if len(path.read_text("utf-8").splitlines()) > FILE_LINES} == set()
