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
from dataclasses import replace
from types import ModuleType
from typing import Any

import pytest

import strutwright.models as models
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.params import loader

TO_DO: tuple[str, ...] = (
    "cautions", "checks", "fem", "finding", "frames", "geometry", "metals", "outline", "resolve", "rules", "sections",
    "shop", "sizing", "spec",
)  # fmt: skip
SLOW: tuple[str, ...] = (
    "solids.cast.cast_body",  # a body with its arms: tests/regression/test_foundry_build holds it
    "solids.casting.build_pattern",  # a whole pattern set: tests/regression/test_foundry_build holds it
    "solids.welds.bead",  # a ring cut by what it lies against: tests/validation/test_roots holds it
)
"""What shows none, as its answer takes the CAD kernel a second or more."""


@functools.cache
def _shipped(name: str) -> Strut:
    return resolve(loader.load(loader.shipped()[name])).strut


def shipped(name: str, **changes: Any) -> Strut:
    """Return the strut of a shipped set, as its file is written, with fields of it changed: examples call it."""
    return replace(_shipped(name), **changes)


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
    without = [f"{name}.{f}" for f in _public(module) if ">>>" not in (inspect.getdoc(vars(module)[f]) or "")]
    assert without == [slow for slow in SLOW if slow.rpartition(".")[0] == name]
