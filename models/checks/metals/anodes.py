"""Anodes: how much metal and how many for the life chosen, and whether they give the current at its start and end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models import wetted
from strutwright.models.checks.check import Check, of_groups
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, information
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import cathodic_protection as rules
from strutwright.models.formulas.seawater import resistivity_ohm_m
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.words import Amount, say

GROUP = "anodes"
CHECKS = of_groups(GROUP)
_TELLS = ("anode_mass", "anode_count")
"""Checks whose words say what was taken: life, water, paint."""
_OF_WATER = ("anode_resistivity", "anode_water")
"""Checks of the water alone, whatever the strut is made of."""
_MADE_FOR = "steel"
"""Family of metals that the rule was made for."""
_SEA = 30.0
"""Salinity from which on water is sea water, for which the rule was made (Venice system 1958)."""


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return mass, number and currents of the anodes by code; broadcasts.

    What is needed is information where the file does not say how many anodes are fitted.

    >>> need = numbers(engineering_inputs("canal-tender"))
    >>> float(need["anode_count"].demand), round(float(need["anode_mass"].demand), 3)  # a year of bare metal
    (1.0, 0.242)
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
    resistivity = resistivity_ohm_m(p.salinity, tables.coldest_c(p.water))
    gives = metal.drives_v / rules.resistance_ohm(resistivity, p.face_m2)
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
    return out | {
        "anode_count": information(count),
        "anode_current_mean": information(mean),
        "anode_resistivity": information(resistivity),
        "anode_water": at_most(_out_of_place(p.salinity, *metal.for_salinity), 1.0),
    }


def _out_of_place(salinity: float, least: float, most: float) -> float:
    """The least salinity that a metal is for over that of the water, or of that for fresh water this over the most."""
    return least / salinity if least > 0.0 else salinity / most


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of the anodes; what is needed, where the file does not say how many are fitted.

    >>> launch = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), launch, numbers(launch))}
    >>> found["anode_count"].verdict.value, found["anode_count"].measure("mm")
    ('information', '1')
    """
    p = inputs.protection
    given = say(
        "{metal}, {mass} each, {years} in {water} water of salinity {salinity}, {paint}",
        metal=p.anode_metal,
        mass=Amount(p.anode_kg, "kg"),
        years="a year" if p.years == 1.0 else f"{p.years:g} years",
        water=p.water,
        salinity=f"{p.salinity:g}",
        paint="strut not painted" if p.paint == "none" else f"strut painted, category {p.paint}",
    )
    least, most = tables.anode_metal(p.anode_metal).for_salinity
    salinity, cold = f"{p.salinity:g}", Amount(tables.coldest_c(p.water), "C")
    wanted = f"{least:g} and more" if least > 0.0 else f"{most:g} at most"
    said = {
        check.code: say("{what} ({given})", what=check.meaning, given=given) for check in CHECKS if check.code in _TELLS
    }
    said["anode_resistivity"] = say(
        "resistivity of water of salinity {salinity} at {cold}", salinity=salinity, cold=cold
    )
    said["anode_water"] = say(
        "water of salinity {salinity} for anodes of {metal}, which are for {wanted}",
        salinity=salinity,
        metal=p.anode_metal,
        wanted=wanted,
    )
    return [
        finding_of(_judged(check, inputs), numbers_[check.code], inputs, what=said.get(check.code, ""))
        for check in CHECKS
    ]


def _judged(check: Check, inputs: Inputs) -> Check:
    """Return the check as it holds for this strut: information without anodes, and less sure for other metals than
    steel, for less salt than at sea and for magnesium."""
    p = inputs.protection
    if p.count is None:
        check = replace(check, limit_is="information", advice="")
    if check.code in _OF_WATER:
        return check
    assumed = [f"made for steel, an assumption for {inputs.strut.name}"] if inputs.strut.family != _MADE_FOR else []
    assumed += [f"made for sea water, an assumption at salinity {p.salinity:g}"] if p.salinity < _SEA else []
    assumed += ["magnesium by common practice"] if p.anode_metal == "magnesium" else []
    if not assumed:
        return check
    source = say("{source}; {assumed}", source=check.source, assumed="; ".join(assumed))
    standing = Standing.PRACTICE if check.standing is Standing.PUBLISHED else check.standing
    return replace(check, source=source, standing=standing)
