"""Whole struts as the checks of strength take them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from support import resolved

from strutwright.models.checks.strength.welds import weld_round
from strutwright.models.formulas.welds import WeldLine
from strutwright.models.inputs import Inputs
from strutwright.models.sections import kind_of


def inputs_of(name: str) -> Inputs:
    return Inputs.from_strut(resolved(name).strut)


def with_arm(base: Inputs, **changes: Any) -> Inputs:
    """The same changes to every arm."""
    return replace(base, arms=tuple(replace(a, **changes) for a in base.arms))


def rectangle_weld(chord: float, thick: float) -> WeldLine:
    """The weld round a rectangle, long side along x."""
    return weld_round(kind_of("flat").girth(chord, thick, 0.0))
