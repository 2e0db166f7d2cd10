"""The first critical speed of the shaft on hull, strut and rubber, at the softest that is likely. Guidance."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models import hull_stiffness, shaft_support
from strutwright.models.checks.check import Check, without_limits
from strutwright.models.checks.hull_words import limits_unused
from strutwright.models.checks.outcome import Outcome, at_least, finding_of
from strutwright.models.finding import Finding
from strutwright.models.inputs import Inputs
from strutwright.params.words import Amount, say


def outcome(inputs: Inputs) -> Outcome:
    """Return the first critical speed against the least that is asked: the worst of hull and rubber; broadcasts.

    What is stiffer whirls faster. The lowest whirl counts even where it turns all but backward: no strut gives quite
    alike both ways, so that unbalance drives it too. A longer span further forward may whirl before.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=math.nan, bearing_spring_n_mm=math.nan)
    >>> round(float(outcome(rigid).capacity))  # by beam elements 1543
    1542
    """
    first = shaft_support.softest(inputs).whirls[0].first_hz
    rpm = 60.0 * np.minimum(first, shaft_support.forward_spans_hz(inputs))
    return at_least(rpm, inputs.limit("shaft_critical") * inputs.shaft_rpm)


def finding(check: Check, outcome_: Outcome, inputs: Inputs) -> Finding:
    """Return the finding of the first critical speed, with the range that hull and rubber leave in words.

    >>> launch = engineering_inputs("harbour-launch")
    >>> check = Check(code="shaft_critical", group="vibration", meaning="whirl", limit_is="at least", unit="rpm")
    >>> finding(check, outcome(launch), launch).measure("mm")
    '1577 rpm against at least 1560 rpm'
    """
    assumed = shaft_support.rubber_assumed(inputs)
    check = without_limits((check,), *limits_unused(inputs), *(() if assumed else shaft_support.OF_RUBBER))[0].under(
        inputs.limits
    )
    rubber = shaft_support.rubber(inputs)
    hold = shaft_support.strut_holds(inputs)[-1]
    soft, stiff = (
        60.0 * float(found.whirls[0].first_hz)
        for found in (shaft_support.softest(inputs), shaft_support.shaken_on(inputs, hold, rubber.stiff_n_mm, 1.0))
    )
    if math.isnan(soft):
        return finding_of(check, outcome_, inputs)
    what = say(
        "{what}, {low} at the softest to {high} at the stiffest that is likely, {hull} and rubber of {soft} to {stiff}"
        "{assumed}; forward or backward, as unbalance drives both on what gives unevenly",
        what=check.meaning,
        low=Amount(soft, "rpm"),
        high=Amount(stiff, "rpm"),
        hull=_hull_words(inputs),
        soft=Amount(float(rubber.soft_n_mm), "N/mm"),
        stiff=Amount(float(rubber.stiff_n_mm), "N/mm"),
        assumed=", estimated as bearing.stiffness is not given" if assumed else "",
    )
    forward = 60.0 * float(shaft_support.forward_spans_hz(inputs))
    if forward < soft:
        words = "{what}; a span further forward whirls from {forward}, each taken as ending at its bearings"
        what = say(words, what=what, forward=Amount(forward, "rpm"))
    return finding_of(check, outcome_, inputs, what=what)


def _hull_words(inputs: Inputs) -> str:
    if inputs.let_in is not None:
        return "the structure taken as rigid"
    if hull_stiffness.ends(inputs) == ("rigid",):
        return "the hull taken as rigid, as nothing is known of it,"
    return "the hull as measured" if hull_stiffness.all_springs(inputs)[0].measured else "a soft to a stiff hull"
