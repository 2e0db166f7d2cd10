"""Every public function of the mechanics shows a worked answer, by hand or from the source it names; all are right."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
from types import ModuleType

import pytest

from strutwright.models import arrays, formulas

MODULES = [
    arrays,
    *(importlib.import_module(f"{formulas.__name__}.{m.name}") for m in pkgutil.iter_modules(formulas.__path__)),
]


@pytest.mark.parametrize("module", MODULES, ids=lambda m: m.__name__.rpartition(".")[2])
def test_examples_are_right(module: ModuleType) -> None:
    found = doctest.testmod(module)
    assert found.attempted > 0
    assert found.failed == 0


@pytest.mark.parametrize("module", MODULES, ids=lambda m: m.__name__.rpartition(".")[2])
def test_every_function_has_an_example(module: ModuleType) -> None:
    own = [f for name, f in inspect.getmembers(module, inspect.isfunction) if f.__module__ == module.__name__]
    public = [f for f in own if not f.__name__.startswith("_")]
    assert public
    assert [f.__name__ for f in public if ">>>" not in (f.__doc__ or "")] == []
