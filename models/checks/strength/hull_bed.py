"""What checks that hold something to the hull under a palm say of it."""

from __future__ import annotations

from dataclasses import replace

from strutwright.models.checks.check import Check
from strutwright.models.checks.strength.overstrength import unused
from strutwright.models.hull_bed import hull_bears
from strutwright.models.inputs import Inputs


def following(check: Check, inputs: Inputs) -> Check:
    """Return a check with the limits that this strut follows: of its own hull, of its own metal's overstrength, and of
    a blow on the arm of a vee where it is one.

    >>> from strutwright.models.checks.engineering import CHECKS
    >>> names = following(CHECKS["palm_on_hull"], engineering_inputs("harbour-launch")).limits
    >>> [name for name in names if name.startswith(("hull_pressure", "overstrength"))]
    ['hull_pressure_laminate', 'overstrength_bronze']
    """
    key, apart = hull_bears(inputs).key or "timber", unused(inputs)
    names = (n for n in check.limits if not n.startswith("hull_") or n.endswith(f"_{key}"))
    return replace(check, limits=tuple(n for n in names if n not in apart))


def resting_on_hull(check: Check, inputs: Inputs) -> Check:
    """Return a check that rests on what the hull bears, with its standing and source, and the limits it follows.

    >>> from strutwright.models.checks.engineering import CHECKS
    >>> str(resting_on_hull(CHECKS["backing_area"], engineering_inputs("harbour-launch")).standing)
    'common practice, no source'
    """
    check, hull = following(check, inputs), hull_bears(inputs)
    if check.limit_is == "information":
        return check
    return replace(check, standing=hull.standing, source=hull.source)
