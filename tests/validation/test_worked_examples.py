"""Every public function of `models` shows a worked answer in its docstring, and all are right.

The answers of formulas, sections, outlines and frames are by hand or from the source that the docstring names: areas of
plain figures, Pythagoras, the fall of a plane. What needs a whole strut shows what comes out for a shipped set.
"""

from __future__ import annotations

import doctest
import functools
import importlib
import importlib.util
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from types import ModuleType
from typing import Any

import numpy as np
import pytest

import strutwright.models as models
from strutwright.models.bench.fitting_case import Case, case_of
from strutwright.models.checks.results import Results
from strutwright.models.finding import Finding
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.resolve.book import Book
from strutwright.models.spec import Strut
from strutwright.params import limits, loader
from strutwright.params.bench.fitting import Across, Fitting

SLOW: tuple[str, ...] = (
    "solids.cast.cast_body",  # a body with its arms: tests/regression/test_foundry_build holds it
    "solids.casting.build_pattern",  # a whole pattern set: tests/regression/test_foundry_build holds it
)
"""What shows none, as its answer takes the CAD kernel a second or more."""


# --- what examples call ----------------------------------------------------------------------------------------------


@functools.cache
def loaded(name: str) -> loader.Loaded:
    """Return a shipped set as its file is written."""
    return loader.load(loader.shipped()[name])


def book(name: str) -> Book:
    """Return the book of a shipped set, in which nothing stands yet."""
    return Book(loaded(name), limits.standard())


@functools.cache
def resolved(name: str) -> Resolved:
    """Return a shipped set resolved."""
    return resolve(loaded(name))


def shipped(name: str, **instead: Any) -> Strut:
    """Return the strut of a shipped set, these fields instead of its own."""
    return replace(resolved(name).strut, **instead)


@functools.cache
def engineering_inputs(name: str, **instead: Any) -> Inputs:
    """Return the inputs of the engineering of a shipped set, these quantities instead of its own."""
    return replace(Inputs.from_strut(shipped(name)), **instead)


def found(check: Callable[[Results], None], name: str) -> dict[str, Finding]:
    """Return what the checks of a module find of a shipped set, of each the first by its code."""
    out = Results.of(shipped(name))
    with np.errstate(all="ignore"):
        check(out)
    return {f.code: f for f in reversed(out.findings)}


def fitting_case(bore_mm: float = 50.0, outside_mm: float = 50.03) -> Case:
    """Return the case of fitting the bearing of harbour-launch, bore and outside measured so."""
    said = Fitting(bore=[Across(at=70, upright=bore_mm)], outside=[Across(at=70, upright=outside_mm)])
    return case_of(said, shipped("harbour-launch"), limits.standard())


GIVEN = {
    f.__name__: f for f in (book, engineering_inputs, fitting_case, found, loaded, resolved, shipped, limits.standard)
}


# --- the runner ------------------------------------------------------------------------------------------------------


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
    if name.startswith("fem.") and not all(importlib.util.find_spec(extra) for extra in ("gmsh", "skfem")):
        pytest.skip("mesher or solver is not installed")
    assert doctest.testmod(importlib.import_module(f"{models.__name__}.{name}"), extraglobs=GIVEN).failed == 0


@pytest.mark.parametrize("name", NAMES)
def test_every_function_shows_one(name: str) -> None:
    module = importlib.import_module(f"{models.__name__}.{name}")
    without = [f"{name}.{f}" for f in _public(module) if ">>>" not in (inspect.getdoc(vars(module)[f]) or "")]
    assert without == [slow for slow in SLOW if slow.rpartition(".")[0] == name]
