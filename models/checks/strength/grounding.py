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
from strutwright.models.checks.strength import blows, bolts, load_cases, palm, skeg_blows, welds
from strutwright.models.checks.strength.hull_bed import following, resting_on_hull
from strutwright.models.checks.strength.load_cases import Case
from strutwright.models.checks.strength.overstrength import overstrength_limit
from strutwright.models.finding import Finding
from strutwright.models.formulas import bolts as rules
from strutwright.models.hull_bed import hull_bears, hull_thickness_mm
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params.words import Amount, Words, say

GROUP = "grounding"
CHECKS = of_groups(GROUP)
_CODES = {
    load_cases.GROUNDING.key: ("grounding_first", "grounding_hull"),
    load_cases.SKEG_GROUNDING.key: ("skeg_grounding_first", "skeg_grounding_hull"),
}
"""What tells what gives first, and whether the hull outlasts it, by the grounding."""


def weakest(inputs: Inputs, case: Case) -> dict[str, Num]:
    """Return the force aft at barrel or skeg, N, at which each part gives by its least strength; broadcasts.

    >>> one = engineering_inputs("harbour-launch")
    >>> gives = weakest(one, grounding_cases(one)[0])
    >>> sorted(gives, key=lambda part: float(gives[part]))[0], round(float(gives["arm"]), -2)
    ('palm bolts', 44800.0)
    """
    size = load_cases.size(case.terms[0], load_cases.amplitudes(inputs))
    shares: dict[str, Num] = {
        "palm bolts": bolts.used(inputs, case.key).utilisation,
        "palm": palm.bending_used(inputs, case).utilisation,
    }
    if inputs.construction == "welded":
        for joint in welds.JOINTS:
            shares[f"welds of the arm at the {joint}"] = welds.by_case(inputs, joint)[case.key].utilisation
    bend: dict[str, Num] = {"arm": blows.hinges(inputs).aft_n}
    on_skeg = skeg_blows.from_ahead(inputs)
    if case.key == load_cases.SKEG_GROUNDING.key and on_skeg is not None:
        bend = {"arm": on_skeg.arm_n, "skeg": on_skeg.skeg_n}
        if inputs.construction == "welded":
            shares["weld of the skeg"] = welds.skeg_grounding(inputs).utilisation
    return bend | {part: size / share for part, share in shares.items()}


def grounding_cases(inputs: Inputs) -> tuple[Case, ...]:
    """Return the groundings: at the barrel, and on the skeg where there is one.

    >>> [case.key for case in grounding_cases(engineering_inputs("sloop-with-skeg"))]
    ['grounding', 'skeg_grounding']
    """
    return tuple(c for c in load_cases.accidents(inputs) if c.key in load_cases.TOLD_APART)


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of a grounding by code; broadcasts.

    >>> float(numbers(engineering_inputs("harbour-launch"))["grounding_hull"].utilisation) < 1.0
    True
    """
    out: dict[str, Outcome] = {}
    for case in grounding_cases(inputs):
        first, hull = _of_case(inputs, case)
        gives, bears = _CODES[case.key]
        out |= {gives: information(first), bears: at_most(hull, 1.0)}
    return out


def _of_case(inputs: Inputs, case: Case) -> tuple[Num, Num]:
    """The force that ends a grounding, N, and how far what bears on the hull is used up by then."""
    gives = weakest(inputs, case)
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
    return first, np.where(np.isnan(inputs.hull_mm), np.nan, used)


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings about a grounding of one strut.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> first, hull = findings(shipped("harbour-launch"), inputs, numbers(inputs))
    >>> str(first.what).partition(";")[0]
    'force aft at the barrel that a grounding is ended by, where the palm bolts give first'
    """
    out = []
    rows = {check.code: check for check in CHECKS}
    for case in grounding_cases(inputs):
        gives, bears = (rows[code] for code in _CODES[case.key])
        told, held = (
            replace(check, limits=(*check.limits, *sharing(inputs)))
            for check in (following(gives, inputs), resting_on_hull(bears, inputs))
        )
        first = finding_of(told, numbers[told.code], inputs, what=_said(inputs, case))
        out += [first, finding_of(held, numbers[held.code], inputs)]
    return out


def _said(inputs: Inputs, case: Case) -> Words:
    gives = {part: float(force) for part, force in weakest(inputs, case).items()}
    part = min(gives, key=lambda name: gives[name] if np.isfinite(gives[name]) else np.inf)
    on_skeg = case.key == load_cases.SKEG_GROUNDING.key
    bends = min(gives["arm"], gives["skeg"]) if on_skeg else gives["arm"]
    return say(
        "force aft {where} that a grounding is ended by, where the {part} give{s} first; {what} at {low} to {high}",
        where="on the lowest of the skeg" if on_skeg else "at the barrel",
        part=part,
        s="" if part.startswith(("palm bolts", "welds")) else "s",
        what="skeg or arm bends" if on_skeg else "the arm bends",
        low=Amount(bends, "N"),
        high=Amount(inputs.limit(overstrength_limit(inputs)) * bends, "N"),
    )
