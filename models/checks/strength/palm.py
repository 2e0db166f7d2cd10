"""The palm as a plate between the arm's foot and its bolts, and as a pad that presses on the hull."""

from __future__ import annotations

import functools
from collections.abc import Mapping

from strutwright.models.arrays import Num, Six, least
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.outcome import Outcome, at_most, finding_of, findings_of, information
from strutwright.models.checks.strength import bolts, load_cases, load_paths
from strutwright.models.checks.strength.every_case import case_findings, in_every_case
from strutwright.models.finding import Finding
from strutwright.models.formulas import palm_plate
from strutwright.models.input_parts import PalmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut

GROUP = "palm"
_ROWS = of_groups(GROUP)
_BENDING, _PRESS, _T_STUB = _ROWS
CHECKS = in_every_case(_ROWS)


def _edge_pressure_mpa(palm: PalmInputs, load: Six) -> Num:
    """Return the pressure at the palm's edge, MPa, under a load on the palm (its axes, at its zero)."""
    return palm_plate.edge_pressure_mpa(
        load[2], load[3], load[4], palm.area_mm2, palm.forward_mm - palm.aft_mm, palm.port_mm - palm.starboard_mm
    )


def _by_case(inputs: Inputs) -> dict[str, Outcome]:
    """Return the bending stress of the palm in every load case, by the case's key; broadcasts."""
    forces, strips = bolts.forces(inputs), bolts.strips(inputs)
    out, hinges = {}, {c.key for c in load_cases.ACCIDENTS}
    for case in bolts.palm_cases(inputs):
        allowed = inputs.limit("palm_plastic") if case.key in hinges else case.allowed_of_yield
        out[case.key] = load_cases.worst_of(
            [
                at_most(
                    palm_plate.strip_bending_mpa(
                        f.tension_n / case.load_factor, s.lever_mm, s.width_mm, p.thickness_mm
                    ),
                    allowed * inputs.strut.yield_mpa,
                )
                for f, s, p in zip(forces[case.key], strips, inputs.palms, strict=True)
            ]
        )
    return out


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of the palm by code; broadcasts.

    >>> round(numbers(engineering_inputs("harbour-launch"))["palm_t_stub"].demand)  # two bolts give first: 2 x 14 119
    28238
    """
    found, known = load_paths.paths(inputs), load_cases.amplitudes(inputs)
    strips = bolts.strips(inputs)
    out = load_cases.collected("palm_bending", _by_case(inputs))
    pressed, bears = [], bolts.hull_bears(inputs).pressure_mpa
    for k, palm in enumerate(inputs.palms):
        reply = load_cases.measured(
            load_cases.palm_ways(found, k), functools.partial(_edge_pressure_mpa, palm), even=False
        )
        pressed.append(at_most(load_cases.worst(load_cases.SIDE_HINGE, known, reply), bears))
    out["palm_on_hull"] = load_cases.worst_of(pressed)
    resist = bolts.strength(inputs).tension_n
    pulls = [
        palm_plate.t_stub_n(s.width_mm, p.thickness_mm, inputs.strut.yield_mpa, resist, s.lever_mm, s.edge_mm)
        for s, p in zip(strips, inputs.palms, strict=True)
    ]
    out["palm_t_stub"] = information(least(pulls))
    return out


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings about the palms of one strut.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), inputs, numbers(inputs))}
    >>> found["palm_on_hull"].measure("mm")  # a laminate bears 20
    '10.24 MPa against at most 20 MPa'
    """
    found = case_findings(_BENDING, inputs, numbers, _by_case)
    press = bolts.resting_on_hull(_PRESS, inputs)
    return [*found, finding_of(press, numbers[press.code], inputs), *findings_of((_T_STUB,), numbers, inputs)]
