"""The palm as a plate between the arm's foot and its bolts, and as a pad that presses on the hull."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from strutwright.models import halves
from strutwright.models.arrays import Num, greatest, least
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.outcome import (
    Outcome,
    at_most,
    collected,
    finding_of,
    findings_of,
    information,
    worst_of,
)
from strutwright.models.checks.strength import bolt_forces, bolts, load_cases
from strutwright.models.checks.strength.every_case import (
    case_findings,
    in_every_case,
    outlasting,
    worst_by_grade,
    worst_findings,
)
from strutwright.models.checks.strength.hull_bed import following, resting_on_hull
from strutwright.models.checks.strength.load_cases import Case
from strutwright.models.finding import Finding
from strutwright.models.formulas import palm_bed, palm_plate
from strutwright.models.hull_bed import hull_bears
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut

GROUP = "palm"
_ROWS = of_groups(GROUP)
_BENDING, _PRESS, _SPREADS, _T_STUB = _ROWS
CHECKS = in_every_case(_ROWS)


def bending_used(inputs: Inputs, case: Case) -> Outcome:
    """Return the bending of the palms in a load case, the worst of the lifted and the pressed side; broadcasts.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> hit = bending_used(inputs, load_cases.accidents(inputs)[1])
    >>> float(hit.capacity)  # 1.5 of 240 MPa
    360.0
    """
    known, forces, strips = load_cases.amplitudes(inputs), bolt_forces.forces(inputs), bolt_forces.strips(inputs)
    hinges = {c.key for c in load_cases.ACCIDENTS}
    allowed = inputs.limit("palm_plastic") if case.key in hinges else case.allowed_of_yield
    stresses = []
    for k in halves.unlike_palms(inputs):
        palm = inputs.palms[k]
        pull, strip = forces[case.key][k].tension_n / case.load_factor, strips[k]
        lifted = palm_plate.strip_bending_mpa(pull, strip.lever_mm, strip.width_mm, palm.least_mm)
        pressed = load_cases.worst(case, known, bolt_forces.replies(inputs, palm_bed.bending_n)[k])
        stresses.append(np.fmax(lifted, 6.0 * pressed / (palm.least_mm * palm.least_mm)))
    return worst_of([at_most(s, allowed * inputs.strut.yield_mpa) for s in stresses])


def pressure_mpa(inputs: Inputs, case: Case) -> Num:
    """Return the greatest pressure of the palms on the hull in a load case, load factor included, MPa; broadcasts.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> round(float(pressure_mpa(inputs, load_cases.accidents(inputs)[1])), 2)
    16.78
    """
    known, replies = load_cases.amplitudes(inputs), bolt_forces.replies(inputs, palm_bed.pressure_mpa)
    return case.load_factor * greatest([load_cases.worst(case, known, replies[k]) for k in halves.unlike_palms(inputs)])


def _pressures(inputs: Inputs) -> dict[str, Num]:
    return {case.key: pressure_mpa(inputs, case) for case in bolt_forces.palm_cases(inputs)}


def _by_case(inputs: Inputs) -> dict[str, Outcome]:
    """Return the bending stress of the palm in every load case but groundings, by the case's key; broadcasts."""
    cases = (c for c in bolt_forces.palm_cases(inputs) if c.key not in load_cases.TOLD_APART)
    return {case.key: bending_used(inputs, case) for case in cases}


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of the palm by code; broadcasts.

    >>> round(numbers(engineering_inputs("harbour-launch"))["palm_t_stub"].demand)  # two bolts give first: 2 x 20 521
    41043
    """
    out = collected("palm_bending", _by_case(inputs))
    bears = hull_bears(inputs).pressure_mpa
    for grade, pressure in worst_by_grade(inputs, _pressures(inputs), warns=True).items():
        out["palm_on_hull" + grade] = at_most(pressure, bears)
    out["palm_spreads"] = at_most(bolt_forces.spreads_beyond_root(inputs), inputs.limit("palm_spreads"))
    resist = bolts.strength(inputs).tension_n
    pulls = [
        palm_plate.t_stub_n(s.width_mm, p.least_mm, inputs.strut.yield_mpa, resist, s.lever_mm, s.edge_mm)
        for s, p in zip(bolt_forces.strips(inputs), inputs.palms, strict=True)
    ]
    out["palm_t_stub"] = information(least(pulls))
    return out


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings about the palms of one strut.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), inputs, numbers(inputs))}
    >>> found["palm_on_hull"].measure("mm")  # a laminate bears 20
    '16.78 MPa against at most 20 MPa'
    """
    told = following(_BENDING, inputs)
    found = case_findings(
        told, inputs, numbers, _by_case, advised=outlasting(inputs, lambda key: "thicken palm.thickness")
    )
    found += worst_findings(resting_on_hull(_PRESS, inputs), inputs, numbers, _pressures(inputs))
    spreads = following(_SPREADS, inputs)
    return [*found, finding_of(spreads, numbers[spreads.code], inputs), *findings_of((_T_STUB,), numbers, inputs)]
