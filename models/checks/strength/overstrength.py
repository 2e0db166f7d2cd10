"""How much stronger than its least yield the metal of an arm may be: what must outlast the arm is held to that."""

from __future__ import annotations

from strutwright.models.inputs import Inputs

OVERSTRENGTHS = (
    "overstrength",
    "overstrength_bronze",
    "overstrength_austenitic",
    "overstrength_austenitic_least",
    "overstrength_mild_steel",
)
"""Limits that say how much stronger an arm may be than its metal's least yield, by kind of metal."""
BLOW = "blow_from_end"
"""Limit that says how near either end of a vee's arm a blow on it counts."""


_MILD_MPA = 300.0
"""Yield under which a structural steel is mild."""


_LEAST_MPA = 180.0
"""Yield up to which an austenitic steel is held to the least of ASTM, which any bar of it passes by far."""


_HARDENED_MPA = 500.0
"""Yield from which a stainless steel is hardened by heat treatment."""


def overstrength_limit(inputs: Inputs) -> str:
    """Return the name of the limit that says how much stronger than its least yield an arm of this metal may be.

    >>> overstrength_limit(engineering_inputs("canal-tender"))  # 316L with the 170 MPa of ASTM
    'overstrength_austenitic_least'
    """
    metal = inputs.strut
    if metal.family in ("bronze", "brass"):
        return "overstrength_bronze"
    if metal.family == "stainless" and metal.yield_mpa < _HARDENED_MPA:
        return "overstrength_austenitic_least" if metal.yield_mpa <= _LEAST_MPA else "overstrength_austenitic"
    if metal.family == "steel" and metal.yield_mpa < _MILD_MPA:
        return "overstrength_mild_steel"
    return "overstrength"


def unused(inputs: Inputs) -> set[str]:
    """Return the limits of what must outlast the arm that say nothing of this strut: of other metals, and of a vee
    where it is none.

    >>> sorted(unused(engineering_inputs("canal-tender")))[:2]
    ['blow_from_end', 'overstrength']
    """
    others = {*OVERSTRENGTHS} - {overstrength_limit(inputs)}
    return others if len(inputs.arms) > 1 else {*others, BLOW}
