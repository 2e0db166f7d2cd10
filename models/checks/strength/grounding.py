"""A grounding or fouling along the chord: what gives first, and whether the hull outlasts it.

Along its chord an arm is several times as strong as across it, and bolts that outlast it would not fit on a palm of
usual size. Published guidance bolts the palm on so that a grounding takes the strut and leaves the shell. So what is
held to a limit here is the hull: under palm, bolts and backing plate it must outlast whatever gives first, be that the
arm, the palm, the bolts or the welds, at the strength that this is likely to have.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.hull_words import sharing
from strutwright.models.checks.outcome import Outcome, at_most, finding_of, information
from strutwright.models.checks.strength import bolts, load_cases, load_paths, palm, welds
from strutwright.models.checks.strength.hull_bed import following, resting_on_hull
from strutwright.models.checks.strength.overstrength import overstrength_limit
from strutwright.models.finding import Finding
from strutwright.models.formulas import bolts as rules
from strutwright.models.hull_bed import hull_bears, hull_thickness_mm
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params.words import Amount, say

GROUP = "grounding"
CHECKS = of_groups(GROUP)
_FIRST, _HULL = CHECKS


def weakest(inputs: Inputs) -> dict[str, Num]:
    """Return the force aft at the barrel, N, at which each part gives by its least strength; broadcasts.

    >>> gives = weakest(engineering_inputs("harbour-launch"))
    >>> sorted(gives, key=lambda part: float(gives[part]))[0], round(float(gives["arm"]), -2)
    ('palm bolts', 44800.0)
    """
    case = _case(inputs)
    size = load_cases.size(case.terms[0], load_cases.amplitudes(inputs))
    shares: dict[str, Num] = {
        "palm bolts": bolts.used(inputs, case.key).utilisation,
        "palm": palm.bending_used(inputs, case).utilisation,
    }
    if inputs.construction == "welded":
        for joint in welds.JOINTS:
            shares[f"welds of the arm at the {joint}"] = welds.by_case(inputs, joint)[case.key].utilisation
    return {"arm": load_paths.hinges(inputs).aft_n, **{part: size / share for part, share in shares.items()}}


def _case(inputs: Inputs) -> load_cases.Case:
    return next(c for c in load_cases.accidents(inputs) if c.key == load_cases.GROUNDING.key)


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of a grounding by code; broadcasts.

    >>> float(numbers(engineering_inputs("harbour-launch"))["grounding_hull"].utilisation) < 1.0
    True
    """
    gives, case = weakest(inputs), _case(inputs)
    first: Num = np.inf
    for force in gives.values():
        first = np.fmin(first, force)
    # What gives first may be stronger than it counts; the arm's own likely strength ends it.
    size = load_cases.size(case.terms[0], load_cases.amplitudes(inputs))
    part = np.minimum(inputs.limit("fuse_strength") * first / size, 1.0)
    hit = bolts.greatest_forces(inputs, case.key)
    held = list(bolts.in_hull(inputs, (hit.tension_n + hit.prying_n) * part).values())
    held.append(at_most(palm.pressure_mpa(inputs, case) * part, hull_bears(inputs).pressure_mpa))
    for p in inputs.palms:
        pin = rules.pin_pressure_mpa(hit.shear_n * part, inputs.bolt_mm, hull_thickness_mm(inputs, p))
        held.append(at_most(pin, hull_bears(inputs).pin_mpa))
    used = held[0].utilisation
    for other in held[1:]:
        used = np.maximum(used, other.utilisation)
    # Of a hull that is only guessed nothing is said.
    used = np.where(np.isnan(inputs.hull_mm), np.nan, used)
    return {"grounding_first": information(first), "grounding_hull": at_most(used, 1.0)}


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings about a grounding of one strut.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> first, hull = findings(shipped("harbour-launch"), inputs, numbers(inputs))
    >>> str(first.what).partition(";")[0]
    'force aft at the barrel that a grounding is ended by, where the palm bolts give first'
    """
    gives = {part: float(force) for part, force in weakest(inputs).items()}
    part = min(gives, key=lambda name: gives[name] if np.isfinite(gives[name]) else np.inf)
    arm = gives["arm"]
    likely = inputs.limit(overstrength_limit(inputs)) * arm
    what = say(
        "force aft at the barrel that a grounding is ended by, where the {part} give{s} first; the arm bends at {low} "
        "to {high}",
        part=part,
        s="" if part.startswith(("palm bolts", "welds")) else "s",
        low=Amount(arm, "N"),
        high=Amount(likely, "N"),
    )
    told, held = (
        replace(check, limits=(*check.limits, *sharing(inputs)))
        for check in (following(_FIRST, inputs), resting_on_hull(_HULL, inputs))
    )
    first = finding_of(told, numbers[_FIRST.code], inputs, what=what)
    return [first, finding_of(held, numbers[_HULL.code], inputs)]
