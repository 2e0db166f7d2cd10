"""The checks: a resolved strut in, findings out. Nothing here raises or prints; the limits are in params/limits.yaml.

`geometry_checks` looks at what can be told from the sizes alone. `CHECKS` says of every code what it means and which
limits it uses.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType, ModuleType

import numpy as np

from strutwright.models.checks.check import Check
from strutwright.models.checks.geometry import (
    arms,
    barrel,
    bearing,
    clearances,
    flange,
    hanger,
    hull,
    let_in,
    materials,
    palm,
    roots,
    said,
    screws,
    shoe,
    skeg,
)
from strutwright.models.checks.outcome import Outcome
from strutwright.models.checks.results import IMPOSSIBLE, Results, outcomes_of
from strutwright.models.finding import SIZES_CAUSE, WITHIN, Finding
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Strut
from strutwright.models.struts import Struts
from strutwright.params.limits import Limits

__all__ = [
    "CHECKS",
    "GEOMETRY",
    "MEASURED",
    "OF_FAMILY",
    "Check",
    "geometry_checks",
    "geometry_of_many",
    "left_out",
    "of_many",
    "said_findings",
]

GEOMETRY: tuple[ModuleType, ...] = (barrel, bearing, screws, arms, palm, roots, hull, skeg, clearances, materials)
"""The modules of the geometry checks in the order of a report: each has CHECKS, what there is to know of them, and
`check(results)`, which works them out for one strut or for many."""
OF_FAMILY: Mapping[str, tuple[ModuleType, ...]] = MappingProxyType(
    {
        "strut": GEOMETRY,
        "flanged_housing": (barrel, bearing, screws, flange, materials),
        "let_in_housing": (barrel, bearing, screws, let_in, materials),
        "rudder_shoe": (barrel, screws, shoe, materials),
        "shaft_hanger": (barrel, bearing, screws, arms, palm, roots, hanger, materials),
    }
)
"""Those that look at the parts of each family."""
_BETWEEN = frozenset({"bearing_length", "bolt_pitch_sealing", "flat_arm_speed"})
"""What is asked of the bearing next to the propeller, and of bolts through the bottom: not of a hanger."""


def left_out(strut: Strut) -> frozenset[str]:
    """Return the codes of checks that do not hold for a part, though they look at what it has.

    >>> sorted(left_out(shipped("canal-tender"))), "screws_present" in left_out(shipped("tunnel-hanger"))
    ([], True)
    """
    if strut.hanger is None:
        return frozenset()
    # Its cap holds a bearing in a split barrel.
    return _BETWEEN | ({"screws_present"} if strut.hanger.cap is not None else frozenset())


MEASURED: tuple[ModuleType, ...] = (roots, clearances)
"""Those that look at many struts one by one where a bound does not tell: worked out when the others are known."""
_ANY = Check(code=IMPOSSIBLE, group="any", meaning="a group of checks could not be worked out on this strut")
CHECKS: Mapping[str, Check] = MappingProxyType(
    {
        c.code: c
        for c in (
            *(c for module in (*GEOMETRY, flange, let_in, shoe, hanger) for c in module.CHECKS),
            *said.CHECKS,
            _ANY,
        )
    }
)
"""Every check by its code."""


def geometry_checks(strut: Strut, limits: Limits | None = None) -> list[Finding]:
    """Return the findings of all checks that follow from the sizes of a strut, in the order of its parts.

    limits: the limits to hold it to; as shipped when left out. Never raises: what cannot be worked out is a finding.

    >>> fails = [f for f in geometry_checks(shipped("failing/thin-and-crowded")) if f.fails]
    >>> fails[0].code, fails[0].actual, fails[0].demanded  # 35 mm shaft
    ('barrel_wall', 4.0, 8.75)
    """
    out = Results.of(strut, limits)
    for module in OF_FAMILY[strut.family]:
        out.run(module.check, module.CHECKS)
    apart = left_out(strut)
    return [f for f in out.findings if f.code not in apart]


def said_findings(resolved: Resolved, limits: Limits | None = None) -> list[Finding]:
    """Return what the file leaves to examples or assumptions: what has to be confirmed against the part in hand.

    >>> [f.parameter for f in said_findings(resolved("canal-tender"))]
    ['bearing.outside_upper']
    """
    out = Results.of(resolved.strut, limits)
    said.check(out, resolved)
    return out.findings


def geometry_of_many(struts: Struts, limits: Limits, roll: bool = False) -> dict[str, Outcome]:
    """Return how many struts stand against the geometry checks, by code. roll: whether roots are worked
    out strut by strut; else bounds on the safe side say where they end, and whether those on palm and skeg fit is not
    looked at.

    >>> held = geometry_of_many(Struts.of(shipped("canal-tender")), standard())
    >>> float(held["barrel_wall"].utilisation)  # 5 mm of 8
    0.625
    """
    out = Results(struts, limits, tells=False, roll=roll)
    for module in OF_FAMILY[struts.own.family]:
        out.outcomes |= of_many(out, module)
    return out.outcomes


def of_many(out: Results, module: ModuleType) -> dict[str, Outcome]:
    """Return how many struts stand against the checks of a module, by code.

    What takes no arrays, or cannot be worked out on sizes like these, is worked out strut by strut: right, but slow.
    Raises what else a module raises, a slip of the program: nothing is cleared by it.

    >>> out = Results(Struts.of(shipped("canal-tender")), standard(), tells=False)
    >>> float(of_many(out, barrel)["barrel_wall"].utilisation)  # 5 mm of 8
    0.625
    """
    made, apart = replace(out, outcomes={}), left_out(out.struts.own)
    try:
        with np.errstate(all="ignore"):
            module.check(made)
    except (TypeError, *SIZES_CAUSE):
        made = replace(out, outcomes={})
        struts = [out.struts.one(n) for n in range(out.struts.count)]
        found = [{} if one is None else outcomes_of(_of_one(one, out.limits, module)) for one in struts]
        for code in sorted({code for held in found for code in held}):
            rows = [held.get(code, Outcome.at(WITHIN, np.nan)) for held in found]
            level, used = np.array([h.level for h in rows]), np.array([h.utilisation for h in rows])
            made.outcomes[code] = Outcome.at(level, used) if len(rows) > 1 else rows[0]
    return {code: held for code, held in made.outcomes.items() if code not in apart}


def _of_one(strut: Strut, limits: Limits, module: ModuleType) -> list[Finding]:
    out = Results.of(strut, limits)
    out.run(module.check, module.CHECKS)
    return out.findings
