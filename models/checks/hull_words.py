"""How findings tell of a hull that gives: a figure with both ends of its range, and which limits it follows."""

from __future__ import annotations

import math

from strutwright.models.checks.check import Check, without_limits
from strutwright.models.checks.outcome import Outcome, finding_of
from strutwright.models.finding import Finding
from strutwright.models.hull_stiffness import End, all_springs
from strutwright.models.inputs import Inputs
from strutwright.params.words import Amount, say

HULL_LIMITS = ("hull_stiffener_near", "hull_stiffener_far")
HULL_ENDS: tuple[End, End] = ("low", "high")
"""Of the hull's range, the soft one first."""


def limits_unused(inputs: Inputs) -> tuple[str, ...]:
    """Return the limits of the hull that a strut does not follow: its stiffeners are known, or its stiffness is.

    >>> limits_unused(engineering_inputs("canal-tender"))  # its file says where the stiffeners are
    ('hull_stiffener_near', 'hull_stiffener_far')
    """
    if inputs.let_in is not None:
        return HULL_LIMITS
    said = inputs.hull_plate
    known = said.panel_along_mm is not None and said.panel_across_mm is not None
    return HULL_LIMITS if known or said.springs is not None else ()


def sharing(inputs: Inputs) -> tuple[str, ...]:
    """Return the limits of the hull by which two arms share what comes to them: where each stands on a palm of its own,
    and the file does not say how the hull is held there.

    >>> sharing(engineering_inputs("pilot-vee"))  # its file says where the stiffeners are
    ()
    """
    return tuple(n for n in HULL_LIMITS if len(inputs.palms) > 1 and n not in limits_unused(inputs))


def ranged(check: Check, outcome: Outcome, inputs: Inputs, soft: float, stiff: float, unit: str) -> Finding:
    """Return the finding of what the hull makes a range, with both of its ends in words where they are known.

    >>> from strutwright.models.checks.strength import arms
    >>> tender = engineering_inputs("canal-tender")
    >>> check = next(c for c in arms.CHECKS if c.code == "arm_stiffness")
    >>> str(ranged(check, arms.numbers(tender)["arm_stiffness"], tender, 100.0, 300.0, "N/mm").what)[-48:]
    '100 N/mm on a soft hull, 300 N/mm on a stiff one'
    """
    check = without_limits((check,), *limits_unused(inputs))[0]
    if not (math.isfinite(soft) and math.isfinite(stiff)):
        return finding_of(check, outcome, inputs)
    words = "{what}; {soft} on a soft hull, {stiff} on a stiff one"
    if all_springs(inputs)[0].measured:
        words = "{what}; {soft} on the hull as measured"
    told = check.under(inputs.limits).meaning
    what = say(words, what=told, soft=Amount(soft, unit), stiff=Amount(stiff, unit))
    return finding_of(check, outcome, inputs, what=what)
