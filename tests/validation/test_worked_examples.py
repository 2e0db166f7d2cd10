"""Every public function of `models` shows a worked answer in its docstring, and all are right.

The answers of formulas, sections, outlines and frames are by hand or from the source that the docstring names: areas of
plain figures, Pythagoras, the fall of a plane. What needs a whole strut shows what comes out for a shipped set.
"""

from __future__ import annotations

import doctest
import functools
import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from types import ModuleType

import pytest

import strutwright.models as models
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.params import loader

TO_DO: tuple[str, ...] = (
    "cautions", "checks", "fem", "finding", "metals", "outline", "resolve", "shop", "sizing", "solids", "spec",
)  # fmt: skip


@functools.cache
def shipped(name: str) -> Strut:
    """Return the strut of a shipped set, as its file is written: examples call it."""
    return resolve(loader.load(loader.shipped()[name])).strut


def _names(package: ModuleType) -> Iterator[str]:
    for found in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
        yield found.name
        if found.ispkg:
            yield from _names(importlib.import_module(found.name))


NAMES = [name.removeprefix(f"{models.__name__}.") for name in _names(models)]


def _public(module: ModuleType) -> list[str]:
    own = [f for _, f in inspect.getmembers(module, inspect.isroutine) if f.__module__ == module.__name__]
    return [f.__name__ for f in own if not f.__name__.startswith("_")]


@pytest.mark.parametrize("name", NAMES)
def test_examples_are_right(name: str) -> None:
    found = doctest.testmod(importlib.import_module(f"{models.__name__}.{name}"), extraglobs={"shipped": shipped})
    assert found.failed == 0


@pytest.mark.parametrize("name", NAMES)
def test_every_function_shows_one(name: str) -> None:
    if name.split(".")[0] in TO_DO:
        pytest.skip("to do")
    module = importlib.import_module(f"{models.__name__}.{name}")
    assert [f for f in _public(module) if ">>>" not in (inspect.getdoc(vars(module)[f]) or "")] == []
