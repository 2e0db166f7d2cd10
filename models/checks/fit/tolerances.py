"""Tolerances from hull to shaft: misalignment at the worst and likely, tip clearance, which one matters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models import tolerance_chain
from strutwright.models.arrays import greatest
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, information
from strutwright.models.finding import Finding
from strutwright.models.formulas import tolerance_stack as rules
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params.words import say

GROUP = "tolerances"
CHECKS = of_groups(GROUP)


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return misalignment, tip clearance and the greatest share by code; broadcasts.

    >>> launch = numbers(engineering_inputs("harbour-launch"))
    >>> round(float(launch["stack_worst"].demand), 2), round(float(launch["stack_likely"].demand), 2)
    (0.96, 0.68)
    """
    chain, made = tolerance_chain.chain_of(inputs), tolerance_chain.tolerances_of(inputs)
    drawn = rules.each_at_limit(chain, made)
    in_place = inputs.fitting == "in_place"
    fitted = rules.each_at_limit(chain, tolerance_chain.in_place(inputs)) if in_place else drawn
    rough = [
        e if t is same else rules.each_at_limit(chain, [t])[0]
        for t, same, e in zip(tolerance_chain.as_made(inputs, made), made, drawn, strict=True)
    ]
    room = tolerance_chain.room_mrad(inputs)
    tip = tolerance_chain.tip_mm(inputs)
    return {
        "stack_worst": at_most(rules.worst(fitted).total_mrad, room),
        "stack_likely": at_most(rules.root_sum_square(fitted).total_mrad, room),
        "stack_as_drawn": information(rules.root_sum_square(drawn).total_mrad),
        "stack_tip": at_least(
            tip - rules.worst(drawn).tip_mm, inputs.limit("tip_clearance_hard") * inputs.propeller_mm
        ),
        "stack_tighten": information(100.0 * greatest(rules.shares(drawn, made))),
        "stack_as_made": information(rules.root_sum_square(rough).total_mrad),
    }


def matters_most(inputs: Inputs) -> str:
    """Return the name of the tolerance with the greatest share of one strut, "" where shares are not known.

    >>> matters_most(engineering_inputs("harbour-launch"))
    "palm's pitch to the bore"
    """
    made = tolerance_chain.tolerances_of(inputs)
    each = rules.each_at_limit(tolerance_chain.chain_of(inputs), made)
    found = [float(share) for share in rules.shares(each, made)]
    return "" if np.isnan(found[0]) else made[int(np.argmax(found))].name


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of the tolerances.

    >>> launch = engineering_inputs("harbour-launch")
    >>> [f.verdict.value for f in findings(shipped("harbour-launch"), launch, numbers(launch))][:2]
    ['hint', 'hint']
    """
    out, name = [], matters_most(inputs)
    for check in CHECKS:
        what = say("{what} ({name})", what=check.meaning, name=name) if name and check.code == _TIGHTEN else ""
        done = inputs.fitting == "in_place" and check.code in _FITTED
        told = replace(check, advice=_LEFT_TO_DO) if done else check
        out.append(finding_of(told, numbers_[check.code], inputs, what=what))
    return out


_TIGHTEN = "stack_tighten"
_FITTED = ("stack_worst", "stack_likely")
_LEFT_TO_DO = (
    "set the shaft nearer to the middle of the bearing at both its ends while the bed hardens, and say how near in the "
    "limits (stack_set), or leave it more play (bearing.running_clearance)"
)
"""Advice where the palm is bedded with the shaft in place already."""
