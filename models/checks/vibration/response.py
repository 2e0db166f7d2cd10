"""What turns and pulses in the running range, and how the strut answers: resonance, a lost blade, unbalance.

How much more the strut is loaded for it stands in the checks of strength, which take the loads from `load_cases`. Near
resonance no size is sure, as it goes with the damping: there the speed is judged, and the size is a hint. Guidance.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models import driven
from strutwright.models.arrays import Num
from strutwright.models.checks.check import of_groups, without_limits
from strutwright.models.checks.hull_words import HULL_LIMITS
from strutwright.models.checks.outcome import Outcome, at_most, finding_of, findings_of, inform, information, source_of
from strutwright.models.checks.strength import arms, load_cases
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.models.inputs import Inputs, missing
from strutwright.models.response_curve import ResponseCurves, response_curves
from strutwright.models.spec import Strut
from strutwright.params import schema_boat
from strutwright.params.limits import Limits
from strutwright.params.words import Amount, Words, mm, say

GROUP = "response"
CHECKS = of_groups(GROUP)


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of what turns and pulses by code; broadcasts.

    >>> near = numbers(engineering_inputs("harbour-launch", hull_mm=float("nan")))["shaft_rate_resonance"]
    >>> round(float(near.demand), 2)  # 21.67 over the whirl at 27.4 Hz
    0.79
    """
    still = load_cases.still(inputs)
    usual = inputs.limit("damping_ratio")
    allowed = inputs.limit("yield_accident") * inputs.strut.yield_mpa
    return {
        "shaft_rate_resonance": at_most(driven.near_shaft_rate(inputs), 1.0 - inputs.limit("resonance_band")),
        "lost_blade_factor": information(driven.magnified(inputs).shaft_across),
        "lost_blade_peak": at_most(_peak_mpa(inputs, usual), allowed),
        "lost_blade_peak_least": information(_peak_mpa(inputs, inputs.limit("damping_high"))),
        "unbalance_movement": information(driven.moved_mm(inputs, still["unbalance"], 1.0, usual)),
        "blade_rate_movement": information(driven.moved_mm(inputs, still["blade_side"], inputs.blades, usual)),
    }


def _peak_mpa(inputs: Inputs, damping: float) -> Num:
    """Greatest stress in the arms over the running range with a whole blade lost, MPa, resonance and all."""
    known = load_cases.still(inputs)
    known = known | {"blade_loss": known["blade_loss"] * driven.at_resonance(inputs, damping)}
    return load_cases.worst(load_cases.BLADE, known, arms.unit_stress(inputs))


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of what turns and pulses; resonance with the speeds where it lies.

    >>> inputs = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> told = findings(shipped("harbour-launch"), inputs, numbers(inputs))
    >>> [(f.code, f.verdict.value) for f in told][0]
    ('shaft_rate_resonance', 'ok')
    """
    first, *rest = without_limits(CHECKS, *load_cases.by_file(inputs))
    made = finding_of(first, numbers_[first.code], inputs)
    made = replace(made, what=_where(made, inputs, numbers_))
    known = made.verdict is not Verdict.NOT_CHECKED and not missing(inputs, load_cases.BLADE.needs)
    return [made, *findings_of(tuple(rest), numbers_, inputs), *([_orbit(inputs)] if known else [])]


def _where(made: Finding, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> Words:
    """Return what is looked at, with the speeds of resonance and, where there may be one, what a lost blade does."""
    low, high = (60.0 * float(hz) for hz in driven.naturals(inputs).turning.lowest[0])
    if math.isnan(low):
        return made.what
    at: Words = say("{low}", low=Amount(low, "rpm"))
    if high > 1.001 * low:
        at = say("{low} to {high}", low=Amount(low, "rpm"), high=Amount(high, "rpm"))
    what = say("{what}; resonance at {at}", what=made.what, at=at)
    usual, damped = (float(numbers_[code].demand) for code in ("lost_blade_peak", "lost_blade_peak_least"))
    if made.verdict is Verdict.OK or math.isnan(usual):
        return what
    return say(
        "{what}, where a lost blade would stress the arm to {usual} with a damping of {ratio}, to {damped} with {most}",
        what=what,
        usual=Amount(usual, "MPa"),
        ratio=f"{inputs.limit('damping_ratio'):g}",
        damped=Amount(damped, "MPa"),
        most=f"{inputs.limit('damping_high'):g}",
    )


def _orbit(inputs: Inputs) -> Finding:
    """Return as information how the bearing goes round with a whole blade lost, at full speed: the widest there is."""
    force = float(load_cases.still(inputs)["blade_loss"])
    major, minor = driven.path_mm(inputs, force, inputs.limit("damping_ratio"))
    said = load_cases.by_file(inputs)
    follows = [n for n in ("damping_ratio", "hub_share", "propeller_entrained", *HULL_LIMITS) if n not in said]
    return inform(
        "lost_blade_orbit",
        GROUP,
        say(
            "path of the bearing with a whole blade lost at full speed, strut, rubber and shaft as one, half its "
            "length (half its width {minor})",
            minor=mm(minor),
        ),
        "",
        "arms.section.thickness",
        actual=major,
        unit="mm",
        source=source_of("vibration textbooks", inputs, *follows),
        standing=Standing.LOW,
    )


def response_curve(
    strut: Strut, loads: schema_boat.Loads | None = None, limits: Limits | None = None
) -> ResponseCurves | None:
    """Return what the picture of the answers over speed needs, or None when the file does not say enough.

    limits: as shipped when left out.

    >>> made = response_curve(shipped("harbour-launch"))
    >>> least, most = (stress[list(made.rpm).index(1300.0)] for stress in made.curves[0].stress_mpa)
    >>> bool(0.0 < least <= most)
    True
    """
    inputs = Inputs.from_strut(strut, loads, limits=limits)
    with np.errstate(all="ignore"):
        reply = arms.unit_stress(inputs)
        still = {source: float(size) for source, size in load_cases.still(inputs).items()}
        return response_curves(inputs, still, float(reply("propeller", None)), float(reply("axial", None)))
