"""Which tests a run leaves to the second stage, `python -m pytest -m second`, which `.ci/run` makes after the first.

The first stage proves each thing once, in minutes, and reaches all but some tens of the lines that both reach; the
second proves it on every shipped set and with every variant, and has what takes longest. STRUTWRIGHT_THOROUGH=1
runs both, in their long form.
"""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

import pytest
from support import SETS, THOROUGH, few

SECOND = frozenset(Path(__file__).with_name("second_stage.txt").read_text(encoding="utf-8").splitlines())
"""Tests of the second stage: file and name, a variant in brackets where not all are. choose_stages.py writes it."""


def put_into_stages(items: list[pytest.Item], *, both: bool) -> None:
    """Mark what is of the second stage, and leave it out of the run unless both are asked for.

    Of a test over shipped sets the first stage takes the few that together have every feature, or else the first.
    """
    variants: defaultdict[str, list[pytest.Item]] = defaultdict(list)
    for item in items:
        variants[item.nodeid.partition("[")[0]].append(item)
    for of_one in variants.values():
        for item in later(of_one):
            item.add_marker(pytest.mark.second)
            if not both:
                item.add_marker(pytest.mark.skip(reason="of the second stage: python -m pytest -m second"))


def later(variants: list[pytest.Item]) -> list[pytest.Item]:
    """Return those variants of a test that are of the second stage."""
    if _name(variants[0]).partition("[")[0] in SECOND:
        return variants
    if listed := [item for item in variants if _name(item) in SECOND]:
        return listed
    over = [item for item in variants if any(s not in few() for s in sets_in(item))]
    return over[1:] if len(over) == len(variants) else over


def _name(item: pytest.Item) -> str:
    return f"{item.path.relative_to(Path(__file__).parent).as_posix()}::{item.nodeid.rpartition('.py::')[2]}"


def sets_in(item: pytest.Item) -> list[str]:
    """Return the shipped sets that are parameters of a test."""
    call = getattr(item, "callspec", None)
    return [] if call is None else [v for v in call.params.values() if isinstance(v, str) and v in SETS]


def asked_for(config: pytest.Config) -> bool:
    """Return whether a run has the second stage: by the long run, by its mark, or by the names of single tests."""
    return THOROUGH or "second" in config.option.markexpr or any("::" in arg for arg in config.args)
