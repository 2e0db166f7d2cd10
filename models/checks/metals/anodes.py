"""Anodes: how much metal and how many for the life chosen, and whether they give the current at its start and end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models import wetted
from strutwright.models.checks.check import Check, of_groups
from strutwright.models.checks.outcome import Outcome, at_least, finding_of, information
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import cathodic_protection as rules
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.words import Amount, say

GROUP = "anodes"
CHECKS = of_groups(GROUP)
_TELLS = ("anode_mass", "anode_count")
"""Checks whose words say what was taken: life, water, paint."""
_MADE_FOR = "steel"
"""Family of metals that the rule was made for."""


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return mass, number and currents of the anodes by code; broadcasts.

    What is needed is information where the file does not say how many anodes are fitted.

    >>> need = numbers(engineering_inputs("canal-tender"))
    >>> float(need["anode_count"].demand), round(float(need["anode_mass"].demand), 3)  # a year of bare metal
    (1.0, 0.175)
    """
    p = inputs.protection
    density, metal = tables.current_density(p.water), tables.anode_metal(p.anode_metal)
    strut = wetted.strut_mm2(inputs) * 1e-6
    beyond = wetted.running_mm2(inputs) * 1e-6 if p.bonded_m2 is None else p.bonded_m2
    share = rules.bare_share(*tables.paint_wear(p.paint), p.years)
    first = rules.current_a(density.initial_a_m2, beyond, strut, share.initial)
    mean = rules.current_a(density.mean_a_m2, beyond, strut, share.mean)
    last = rules.current_a(density.final_a_m2, beyond, strut, share.final)
    mass = rules.mass_kg(mean, p.years, metal.capacity_ah_kg, inputs.limit("anode_used"))
    gives = metal.drives_v / rules.resistance_ohm(inputs.limit("seawater_resistivity"), p.face_m2)
    count = rules.whole(np.maximum(mass / p.anode_kg, np.maximum(first, last) / gives))
    held = {
        "anode_mass": (p.anode_kg, mass),
        "anode_current_initial": (gives, first),
        "anode_current_final": (gives, last),
    }
    out = {
        code: information(need) if p.count is None else at_least(p.count * one, need)
        for code, (one, need) in held.items()
    }
    return out | {"anode_count": information(count), "anode_current_mean": information(mean)}


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of the anodes; what is needed, where the file does not say how many are fitted.

    >>> launch = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), launch, numbers(launch))}
    >>> found["anode_count"].verdict.value, found["anode_count"].measure("mm")
    ('information', '1')
    """
    p = inputs.protection
    given = say(
        "{metal}, {mass} each, {years} in {water} water, {paint}",
        metal=p.anode_metal,
        mass=Amount(p.anode_kg, "kg"),
        years="a year" if p.years == 1.0 else f"{p.years:g} years",
        water=p.water,
        paint="strut not painted" if p.paint == "none" else f"strut painted, category {p.paint}",
    )
    return [
        finding_of(
            _judged(check, inputs),
            numbers_[check.code],
            inputs,
            what=say("{what} ({given})", what=check.meaning, given=given) if check.code in _TELLS else "",
        )
        for check in CHECKS
    ]


def _judged(check: Check, inputs: Inputs) -> Check:
    """Return the check as it holds for this strut: information without anodes, and less sure for other metals than
    steel."""
    if inputs.protection.count is None:
        check = replace(check, limit_is="information", advice="")
    if inputs.strut.family == _MADE_FOR:
        return check
    source = say("{source}; made for steel, an assumption for {metal}", source=check.source, metal=inputs.strut.name)
    standing = Standing.PRACTICE if check.standing is Standing.PUBLISHED else check.standing
    return replace(check, source=source, standing=standing)
