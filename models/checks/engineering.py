"""The engineering: is the strut strong, stiff, fitted and quiet enough? Guidance, never approval.

Each module works out its numbers from `inputs.Inputs`, for one strut or for arrays of candidates with the same
formulas, and turns those of one strut into findings. A module offers

* NUMBERS: what there is to know of each number,
* numbers(inputs) -> dict of code to Demand, arrays broadcast, no loop over candidates,
* findings(strut, inputs, numbers) -> list of findings.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Protocol

import numpy as np

from strutwright.models.checks.demand import Demand, Number
from strutwright.models.checks.fit import barrel_bearing
from strutwright.models.checks.inputs import Inputs
from strutwright.models.checks.metals import corrosion, weights
from strutwright.models.checks.strength import arms, bolts, palm, shaft, skeg, welds
from strutwright.models.checks.vibration import vibration
from strutwright.models.finding import Finding, not_checked
from strutwright.models.spec import Strut
from strutwright.params import schema
from strutwright.params.words import reason, say

__all__ = ["MODULES", "NUMBERS", "Demand", "Inputs", "Number", "all_numbers", "engineering_findings"]


class Module(Protocol):
    """What a module of the engineering offers."""

    @property
    def NUMBERS(self) -> tuple[Number, ...]:  # noqa: N802 - a constant of the module
        """Return what there is to know of each number."""

    def numbers(self, inputs: Inputs, /) -> dict[str, Demand]:
        """Return its numbers by code."""

    def findings(self, strut: Strut, inputs: Inputs, numbers: Mapping[str, Demand], /) -> list[Finding]:
        """Return its findings about one strut."""


MODULES: Mapping[str, Module] = MappingProxyType(
    {
        "barrel and bearing": barrel_bearing,
        "shaft": shaft,
        "vibration": vibration,
        "arms": arms,
        "bolts": bolts,
        "palm": palm,
        "welds": welds,
        "skeg": skeg,
        "corrosion": corrosion,
        "weights": weights,
    }
)
"""The modules by what they look at, in the order of the report."""
_LOOKS_AT = {
    "barrel and bearing": "barrel",
    "shaft": "shaft",
    "vibration": "duty.shaft_speed",
    "arms": "arms",
    "bolts": "bolts",
    "palm": "palm",
    "welds": "welds",
    "skeg": "skeg",
    "corrosion": "materials",
    "weights": "materials.strut",
}
NUMBERS: Mapping[str, Number] = MappingProxyType({n.code: n for m in MODULES.values() for n in m.NUMBERS})
"""Every number by its code."""


def engineering_findings(strut: Strut, loads: schema.Loads | None = None) -> list[Finding]:
    """Return the findings of the engineering about a strut, in the order of its modules.

    loads: the file's own load cases. Never raises: what cannot be worked out is a finding.
    """
    inputs = Inputs.from_strut(strut, loads)
    found: list[Finding] = []
    for name, module in MODULES.items():
        try:
            with np.errstate(all="ignore"):
                found += module.findings(strut, inputs, module.numbers(inputs))
        except (ValueError, ArithmeticError, LookupError) as error:
            found.append(
                not_checked(
                    "engineering_impossible",
                    f"the numbers of {name}",
                    say("could not be worked out{why} on sizes like these", why=reason(error)),
                    parameter=_LOOKS_AT[name],
                    group=name,
                )
            )
    return found


def all_numbers(inputs: Inputs) -> dict[str, Demand]:
    """Return every number by its code, for one strut or for arrays of candidates. Raises what a module raises."""
    out: dict[str, Demand] = {}
    with np.errstate(all="ignore"):
        for module in MODULES.values():
            out |= module.numbers(inputs)
    return out
