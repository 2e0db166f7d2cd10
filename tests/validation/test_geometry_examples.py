"""The examples in the docstrings of sections, outlines, frames and plain geometry say what comes out.

The figures of the examples are textbook geometry: areas of plain figures, Pythagoras, the fall of a plane.
"""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
from types import ModuleType

import pytest

import strutwright.models as models
from strutwright.models import outline, sections

NAMES = [
    "frames",
    "geometry.loops",
    "geometry.solve",
    *(f"sections.{m.name}" for m in pkgutil.iter_modules(sections.__path__)),
    *(f"outline.{m.name}" for m in pkgutil.iter_modules(outline.__path__)),
    "sections",
]
SHOWN = ["frames", "outline.makers", "sections"]
"""Modules of whose public functions at least half show an example."""


def _module(name: str) -> ModuleType:
    return importlib.import_module(f"{models.__name__}.{name}")


@pytest.mark.parametrize("name", NAMES)
def test_the_examples_run(name: str) -> None:
    found = doctest.testmod(_module(name))
    assert found.failed == 0


@pytest.mark.parametrize("name", SHOWN)
def test_at_least_half_of_the_functions_show_one(name: str) -> None:
    module = _module(name)
    own = [
        f
        for n, f in vars(module).items()
        if inspect.isfunction(f) and f.__module__ == module.__name__ and not n.startswith("_")
    ]
    assert own
    assert 2 * sum(">>>" in (f.__doc__ or "") for f in own) >= len(own)
