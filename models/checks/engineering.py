"""The engineering: is the strut strong, stiff, fitted and quiet enough? Guidance, never approval.

Each module works out its numbers from `inputs.Inputs`, for one strut or for arrays of candidates with the same
formulas, and turns those of one strut into findings. A module offers

* CHECKS: what there is to know of each, from params/checks.yaml,
* numbers(inputs) -> dict of code to Outcome, arrays broadcast, no loop over candidates,
* findings(strut, inputs, numbers) -> list of findings.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Protocol

import numpy as np

from strutwright.models.checks.check import Check
from strutwright.models.checks.fit import alignment, barrel_bearing, tolerances
from strutwright.models.checks.metals import anodes, corrosion, weights
from strutwright.models.checks.outcome import Outcome
from strutwright.models.checks.strength import (
    arms,
    bolts,
    fatigue,
    flange,
    grounding,
    hanger,
    let_in,
    palm,
    shaft,
    shoe,
    skeg,
    welds,
)
from strutwright.models.checks.vibration import flow, response, vibration
from strutwright.models.finding import Finding, impossible
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params import schema_boat
from strutwright.params.limits import Limits

__all__ = ["CHECKS", "MODULES", "Check", "Inputs", "Outcome", "all_numbers", "engineering_findings"]


class Module(Protocol):
    """What a module of the engineering offers."""

    @property
    def CHECKS(self) -> tuple[Check, ...]:  # noqa: N802 - a constant of the module
        """Return what there is to know of each check."""

    def numbers(self, inputs: Inputs, /) -> dict[str, Outcome]:
        """Return its numbers by code."""

    def findings(self, strut: Strut, inputs: Inputs, numbers: Mapping[str, Outcome], /) -> list[Finding]:
        """Return its findings about one strut."""


MODULES: Mapping[str, Module] = MappingProxyType(
    {
        "barrel and bearing": barrel_bearing,
        "tolerances": tolerances,
        "shaft": shaft,
        "alignment": alignment,
        "vibration": vibration,
        "what turns and pulses": response,
        "flow": flow,
        "arms": arms,
        "bolts": bolts,
        "palm": palm,
        "welds": welds,
        "grounding": grounding,
        "flange": flange,
        "let in": let_in,
        "rudder shoe": shoe,
        "hanger": hanger,
        "skeg": skeg,
        "fatigue": fatigue,
        "corrosion": corrosion,
        "anodes": anodes,
        "weights": weights,
    }
)
"""The modules by what they look at, in the order of the report."""
OF_FAMILY: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "strut": tuple(name for name in MODULES if name not in ("flange", "let in", "rudder shoe", "hanger")),
        "flanged_housing": (
            "barrel and bearing",
            "shaft",
            "alignment",
            "vibration",
            "flange",
            "fatigue",
            "corrosion",
            "anodes",
            "weights",
        ),
        "let_in_housing": (
            "barrel and bearing",
            "shaft",
            "alignment",
            "vibration",
            "let in",
            "fatigue",
            "corrosion",
            "anodes",
            "weights",
        ),
        "rudder_shoe": ("rudder shoe", "fatigue", "corrosion", "anodes", "weights"),
        "shaft_hanger": ("barrel and bearing", "hanger", "fatigue", "corrosion", "weights"),
    }
)
"""Those that look at the parts of each family."""
_NOT_BETWEEN = frozenset({"bearing_load", "bearing_pressure", "bearing_held"})
"""What is of the bearing that carries the propeller; a bearing between two others has its own."""
_LOOKS_AT = {
    "barrel and bearing": "barrel",
    "tolerances": "hull",
    "shaft": "shaft",
    "alignment": "shaft.bearing_span",
    "vibration": "duty.shaft_speed",
    "what turns and pulses": "duty.shaft_speed",
    "flow": "arms.section",
    "arms": "arms",
    "bolts": "bolts",
    "palm": "palm",
    "welds": "welds",
    "grounding": "bolts",
    "flange": "flange",
    "let in": "hold",
    "rudder shoe": "plate",
    "hanger": "foot",
    "skeg": "skeg",
    "fatigue": "duty.use",
    "corrosion": "materials",
    "anodes": "protection",
    "weights": "materials.strut",
}
CHECKS: Mapping[str, Check] = MappingProxyType({c.code: c for m in MODULES.values() for c in m.CHECKS})
"""Every check of the engineering by its code."""


def left_out(strut: Strut) -> frozenset[str]:
    """Return the codes of checks that do not hold for a part, though they look at what it has.

    >>> sorted(left_out(shipped("canal-tender"))), "bearing_held" in left_out(shipped("tunnel-hanger"))
    ([], True)
    """
    return frozenset() if strut.hanger is None else _NOT_BETWEEN


def engineering_findings(
    strut: Strut, loads: schema_boat.Loads | None = None, limits: Limits | None = None
) -> list[Finding]:
    """Return the findings of the engineering about a strut, in the order of its modules.

    loads: the file's own load cases. limits: the limits to hold it to; as shipped when left out. Never raises: what
    cannot be worked out is a finding.

    >>> judged = engineering_findings(shipped("failing/thin-and-crowded"))
    >>> [f.code for f in judged if f.verdict == "warning"]
    ['shaft_rate_resonance', 'palm_bending_seized', 'palm_on_hull', 'palm_spreads']
    """
    inputs = Inputs.from_strut(strut, loads, limits=limits)
    apart = left_out(strut)
    found: list[Finding] = []
    for name in OF_FAMILY[strut.family]:
        module = MODULES[name]
        try:
            with np.errstate(all="ignore"):
                found += module.findings(strut, inputs, module.numbers(inputs))
        except Exception as error:
            what, at = f"the numbers of {name}", _LOOKS_AT[name]
            found.append(impossible("engineering_impossible", what, error, parameter=at, group=name))
    return [f for f in found if f.code not in apart]


def all_numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return every number by its code, for one strut or for arrays of candidates. Raises what a module raises.

    >>> round(float(all_numbers(engineering_inputs("canal-tender"))["strut_weight"].demand), 1)  # kg
    2.6
    """
    out: dict[str, Outcome] = {}
    with np.errstate(all="ignore"):
        for name in OF_FAMILY[inputs.family]:
            out |= MODULES[name].numbers(inputs)
    return out
