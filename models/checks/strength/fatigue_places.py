"""A place that may crack: its detail and curve, what comes and goes there, and how hard it answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.checks.strength import unit_loads, welds
from strutwright.models.checks.strength.load_cases import Reply, Term
from strutwright.models.formulas import fatigue as rules
from strutwright.models.inputs import Inputs
from strutwright.params import tables
from strutwright.params.tables.fatigue import Detail, FatigueCurve, Surroundings

Rate: TypeAlias = Literal["blade_rate", "shaft_rate", "turn", "wave"]
"""How often a load comes and goes."""
Loads: TypeAlias = Mapping[Rate, tuple[Term, ...]]
RATES: tuple[Rate, ...] = ("blade_rate", "shaft_rate", "turn", "wave")
_RUSTLESS = ("bronze", "brass")
_STEEL_MPA = 206_000.0
"""Modulus of the steel of the curves."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Place:
    """One place that may crack. loads: what comes and goes there. reply: to a unit load, MPa; factor: on that, for its
    curve. allowed: the limit of its sum."""

    code: str
    name: str
    detail: Detail
    curve: FatigueCurve
    loads: Loads
    reply: Reply
    factor: Num
    allowed: str


def surroundings(inputs: Inputs) -> Surroundings:
    """Return whether the strut corrodes freely: bronze does not rust, other metals are protected by anodes.

    For bronze in sea water no figure could be read; the curve of protected steel stands for it.

    >>> surroundings(engineering_inputs("coaster-steel")), surroundings(engineering_inputs("canal-tender"))
    ('protected', 'bare')
    """
    return "protected" if inputs.anodes or inputs.strut.family in _RUSTLESS else "bare"


def place_of(
    inputs: Inputs, loads: Loads, thick: Num, code: str, name: str, detail: Detail, reply: Reply, factor: Num = 1.0
) -> Place:
    """Return a place that may crack. thick: of the part, mm; factor: on the range, a notch or 1 over a throat.

    >>> tender, unit = engineering_inputs("canal-tender"), lambda group, clock_deg: 1.0
    >>> made = place_of(tender, {}, 10.0, "fatigue_arm_barrel", "arm", "weld toe", unit)
    >>> made.curve.name, made.allowed
    ('F1', 'fatigue_sum')
    """
    curve = tables.fatigue_curve(tables.fatigue_class(detail), surroundings(inputs))
    metal = 1.0 if detail in ("cast fillet", "drilled hole") else _strain_factor(inputs)
    return Place(
        code=code,
        name=name,
        detail=detail,
        curve=curve,
        loads=loads,
        reply=unit_loads.kept(reply),
        factor=factor * metal * rules.thickness_factor(thick, curve.thickness_power),
        allowed="fatigue_sum_hidden" if detail == "weld root" else "fatigue_sum",
    )


def _strain_factor(inputs: Inputs) -> Num:
    """Factor on the range in a weld of a metal that is softer than steel: a crack grows with the strain."""
    return 1.0 if inputs.strut.family in welds.STEELS else np.maximum(_STEEL_MPA / inputs.strut.modulus_mpa, 1.0)
