"""The palm as a plate between the arm's foot and its bolts, and as a pad that presses on the hull."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import replace

from strutwright.models.arrays import Num, Six, least
from strutwright.models.checks.demand import Demand, Number, at_most, finding_of, findings_of, information
from strutwright.models.checks.inputs import Inputs, PalmInputs
from strutwright.models.checks.strength import bolts, load_cases, load_paths
from strutwright.models.checks.strength.arms import case_findings
from strutwright.models.checks.strength.load_cases import Case
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import palm_plate
from strutwright.models.spec import Strut

GROUP = "palm"
PLASTIC_SHAPE = 1.5
"""Plastic over elastic modulus of a plate: what it may use in an accident that bends the arm."""
_STRIP = "cantilever strip from the toe of the arm's root, 45 degree spread; common practice, no source"
_THICKER = "thicken palm.thickness, or bring the bolts nearer to the arm (bolts.pattern.pitch_across)"


def _bending(case: Case) -> Number:
    return Number(
        f"palm_bending_{case.key}",
        GROUP,
        f"bending of the palm between arm and bolts, {case.name}",
        "MPa",
        "at most",
        _STRIP,
        case.standing,
        "palm.thickness",
        _THICKER,
        case.needs,
        case.warn,
    )


BENDING = tuple(_bending(c) for c in (*load_cases.BUILT_IN, *load_cases.ACCIDENTS))
OWN = Number(
    "palm_bending_own",
    GROUP,
    "bending of the palm between arm and bolts, worst of the file's own load cases",
    "MPa",
    "at most",
    _STRIP,
    Standing.PRACTICE,
    "palm.thickness",
    _THICKER,
)
PRESS = Number(
    "palm_on_hull",
    GROUP,
    "pressure of the palm's edge on the hull, knock from the side that bends the arm",
    "MPa",
    "at most",
    "pressure the hull bears",
    Standing.LOW,
    "palm.outline.width",
    "make palm.outline larger, or bed the palm on a wider pad",
)
T_STUB = Number(
    "palm_t_stub",
    GROUP,
    "pull that two bolts beside the arm and the palm between them hold, prying within",
    "N",
    "information",
    "EN 1993-1-8 6.2.4, from memory",
    Standing.MEMORY,
    "palm.thickness",
)
NUMBERS = (*BENDING, OWN, PRESS, T_STUB)


def edge_pressure_mpa(palm: PalmInputs, load: Six) -> Num:
    """Return the pressure at the palm's edge, MPa, under a load on the palm (its axes, at its zero)."""
    return palm_plate.edge_pressure_mpa(
        load[2], load[3], load[4], palm.area_mm2, palm.forward_mm - palm.aft_mm, palm.port_mm - palm.starboard_mm
    )


def by_case(inputs: Inputs) -> dict[str, Demand]:
    """Return the bending stress of the palm in every load case, by the case's key; broadcasts."""
    forces, strips = bolts.forces(inputs), bolts.strips(inputs)
    out = {}
    for case in bolts.palm_cases(inputs):
        allowed = PLASTIC_SHAPE if case in load_cases.ACCIDENTS else case.allowed_of_yield
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


def numbers(inputs: Inputs) -> dict[str, Demand]:
    """Return the numbers of the palm by code; broadcasts."""
    found, known = load_paths.paths(inputs), load_cases.amplitudes(inputs)
    strips = bolts.strips(inputs)
    out = load_cases.collected("palm_bending", by_case(inputs))
    pressed, bears = [], bolts.hull_bears(inputs.hull.name).pressure_mpa
    for k, palm in enumerate(inputs.palms):
        reply = load_cases.measured(
            load_cases.palm_ways(found, k), functools.partial(edge_pressure_mpa, palm), even=False
        )
        pressed.append(at_most(load_cases.worst(load_cases.SIDE_HINGE, known, reply), bears))
    out[PRESS.code] = load_cases.worst_of(pressed)
    resist = bolts.strength(inputs).tension_n
    pulls = [
        palm_plate.t_stub_n(s.width_mm, p.thickness_mm, inputs.strut.yield_mpa, resist, s.lever_mm, s.edge_mm)
        for s, p in zip(strips, inputs.palms, strict=True)
    ]
    out[T_STUB.code] = information(least(pulls))
    return out


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Demand]) -> list[Finding]:
    """Return the findings about the palms of one strut."""
    found = case_findings("palm_bending", BENDING, OWN, inputs, numbers, by_case, keep_source=True)
    hull = bolts.hull_bears(inputs.hull.name)
    press = replace(PRESS, standing=hull.standing, source=hull.source, warn=True)
    return [*found, finding_of(press, numbers[PRESS.code], inputs), *findings_of((T_STUB,), numbers, inputs)]
