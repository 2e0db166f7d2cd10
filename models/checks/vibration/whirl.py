"""The first critical speed of the shaft on hull, strut and rubber, at the softest that is likely. Guidance."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strutwright.models import hull_stiffness, shaft_support
from strutwright.models.arrays import Num, Truth, least
from strutwright.models.checks.check import Check, without_limits
from strutwright.models.checks.hull_words import limits_unused
from strutwright.models.checks.outcome import Outcome, at_least, finding_of
from strutwright.models.finding import Finding
from strutwright.models.formulas.whirl import FirstWhirl
from strutwright.models.inputs import Inputs
from strutwright.params.words import Amount, say


@dataclass(frozen=True, slots=True)
class _Critical:
    """A first critical speed, the forward share of the lowest whirl, and whether that is the one that counts."""

    rpm: Num
    forward: Num
    driven: Truth


def _critical(inputs: Inputs, found: FirstWhirl) -> _Critical:
    """Return the lowest speed at which unbalance meets a whirl of the shaft.

    Where the lowest whirl turns all but backward unbalance does not drive it; the next turns forward, above the
    frequency of the soft plane at standstill, which is taken for it.
    """
    driven = np.greater_equal(found.forward, inputs.limit("whirl_forward"))
    return _Critical(60.0 * np.where(driven, found.hz, found.plane_hz)[()], found.forward, driven)


def outcome(inputs: Inputs) -> Outcome:
    """Return the first critical speed against the least that is asked: the worst of hull and rubber; broadcasts.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=math.nan, bearing_spring_n_mm=math.nan)
    >>> round(float(outcome(rigid).capacity))  # by beam elements 1543
    1544
    """
    rubber = shaft_support.rubber(inputs)
    rubbers = rubber if shaft_support.rubber_assumed(inputs) else rubber[:1]
    _, *others = ((hold, k) for hold in shaft_support.strut_holds(inputs) for k in rubbers)
    found = _critical(inputs, shaft_support.softest_whirl(inputs))
    rpm = found.rpm
    # What is stiffer whirls faster; but where that whirl is left out a stiffer one may not be.
    if not np.all(found.driven | np.isnan(rpm)):
        rpm = least([rpm, *(_critical(inputs, shaft_support.whirl_on(inputs, *other)).rpm for other in others)])
    return at_least(rpm, inputs.limit("shaft_critical") * inputs.shaft_rpm)


def finding(check: Check, outcome_: Outcome, inputs: Inputs) -> Finding:
    """Return the finding of the first critical speed, with the range that hull and rubber leave in words.

    >>> launch = engineering_inputs("harbour-launch")
    >>> check = Check(code="shaft_critical", group="vibration", meaning="whirl", limit_is="at least", unit="rpm")
    >>> finding(check, outcome(launch), launch).measure("mm")
    '1578 rpm against at least 1560 rpm'
    """
    assumed = shaft_support.rubber_assumed(inputs)
    check = without_limits((check,), *limits_unused(inputs), *(() if assumed else shaft_support.OF_RUBBER))[0].under(
        inputs.limits
    )
    holds, rubber = shaft_support.strut_holds(inputs), shaft_support.rubber(inputs)
    soft = _critical(inputs, shaft_support.softest_whirl(inputs))
    stiff = _critical(inputs, shaft_support.whirl_on(inputs, holds[-1], rubber.stiff_n_mm))
    if math.isnan(float(soft.rpm)):
        return finding_of(check, outcome_, inputs)
    whirl = "{share} % of that whirl turns forward, which unbalance drives"
    if not soft.driven:
        whirl = "the backward whirl below it is left out, as unbalance does not drive it"
    what = say(
        "{what}, {low} at the softest to {high} at the stiffest that is likely, {hull} and rubber of {soft} to {stiff}"
        "{assumed}; " + whirl,
        what=check.meaning,
        low=Amount(float(soft.rpm), "rpm"),
        high=Amount(float(stiff.rpm), "rpm"),
        hull=_hull_words(inputs),
        soft=Amount(float(rubber.soft_n_mm), "N/mm"),
        stiff=Amount(float(rubber.stiff_n_mm), "N/mm"),
        assumed=", estimated as bearing.stiffness is not given" if assumed else "",
        share=round(100.0 * float(soft.forward)),
    )
    return finding_of(check, outcome_, inputs, what=what)


def _hull_words(inputs: Inputs) -> str:
    if hull_stiffness.ends(inputs) == ("rigid",):
        return "the hull taken as rigid, as nothing is known of it,"
    return "the hull as measured" if hull_stiffness.all_springs(inputs)[0].measured else "a soft to a stiff hull"
