"""What a module of the engineering says of one number, and how a scalar of it becomes a finding."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal, TypeAlias

import numpy as np

from strutwright.models import finding
from strutwright.models.arrays import Num
from strutwright.models.checks.inputs import Inputs, Metal, missing
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.params.words import Words, say

LimitIs: TypeAlias = Literal["at most", "at least", "information"]


@dataclass(frozen=True, slots=True)
class Demand:
    """A number held against its limit: floats, or arrays over candidates.

    demand over capacity is the utilisation, at most 1 when the limit is kept. nan: the file does not say enough; inf:
    the sizes make no sense (a bore wider than the barrel). A number without a limit has its value as demand and nan
    for the rest.
    """

    demand: Num
    capacity: Num
    utilisation: Num


@dataclass(frozen=True, slots=True)
class Number:
    """What there is to know of a number beside its value.

    code: stable name. limit_is: whether the demand must stay under its capacity ("at most": the capacity is the limit;
    "at least": the demand is), or is information. needs: names of inputs it cannot do without and that a file may leave
    out. parameter: dotted path of the value to change. warn: breaking it warns, not fails. standing LOW: a hint always.
    """

    code: str
    group: str
    what: Words
    unit: str
    limit_is: LimitIs
    source: Words
    standing: Standing
    parameter: str
    advice: Words = ""
    needs: tuple[str, ...] = ()
    warn: bool = False


def at_most(actual: Num, limit: Num) -> Demand:
    """Return the demand of something that may be `limit` at most; broadcasts. No room at all is infinite."""
    return _ratio(np.asarray(actual, dtype=float), np.asarray(limit, dtype=float))


def at_least(actual: Num, needed: Num) -> Demand:
    """Return the demand of something that must be `needed` at least; broadcasts. Nothing there is infinite."""
    return _ratio(np.asarray(needed, dtype=float), np.asarray(actual, dtype=float))


def information(value: Num) -> Demand:
    """Return a number that has no limit."""
    return Demand(value, math.nan, math.nan)


def _ratio(demand: Any, capacity: Any) -> Demand:
    with np.errstate(divide="ignore", invalid="ignore"):
        if np.min(capacity) > 0:  # and none of them unknown, so that a plain ratio says it all
            return Demand(demand[()], capacity[()], np.maximum(demand / capacity, 0.0)[()])
        used = np.where(capacity > 0, demand / capacity, np.where(demand > 0, np.inf, 0.0))
    unknown = np.isnan(demand) | np.isnan(capacity)
    return Demand(demand[()], capacity[()], np.where(unknown, np.nan, np.maximum(used, 0.0))[()])


def finding_of(
    number: Number, demand: Demand, inputs: Inputs, *, what: Words = "", advice: Words = "", parameter: str = ""
) -> Finding:
    """Return the finding of a scalar. what, advice, parameter: in place of the number's own.

    A value that is not known counts as not checked where it would have been judged; it names what is not said.
    """
    what, advice = what or number.what, advice or number.advice
    parameter = parameter or number.parameter
    if math.isnan(demand.demand) or (number.limit_is != "information" and math.isnan(demand.utilisation)):
        lacking, judged = (
            missing(inputs, number.needs),
            number.limit_is != "information" and number.standing is not Standing.LOW,
        )
        if lacking:
            return finding.without(number.code, what, lacking, group=number.group, judged=judged)
        unknown = say("{what}: the table of materials does not hold what is needed for it", what=what)
        advice = "choose a material whose properties are known, or judge it by the maker's figures"
        if judged:
            return finding.not_checked(number.code, unknown, advice, parameter=parameter, group=number.group)
        return hint(number.code, number.group, unknown, advice, parameter)
    if number.limit_is == "information":
        return hint(
            number.code,
            number.group,
            what,
            advice,
            parameter,
            actual=float(demand.demand),
            unit=number.unit,
            source=number.source,
            standing=number.standing,
        )
    keep = {
        "source": number.source,
        "standing": number.standing,
        "advice": advice,
        "parameter": parameter,
        "group": number.group,
        "warn": number.warn,
    }
    call: Any = finding.at_most if number.limit_is == "at most" else finding.at_least
    actual, limit = (
        (demand.demand, demand.capacity) if number.limit_is == "at most" else (demand.capacity, demand.demand)
    )
    made: Finding = call(number.code, what, float(actual), float(limit), number.unit, **keep)
    # The ratio shown is the one that sizing ranks by.
    return replace(made, utilisation=float(demand.utilisation))


def resting_on(number: Number, metal: Metal) -> Number:
    """Return the number with the lesser standing of its formula and of the metal's strength."""
    if metal.standing is Standing.PUBLISHED or number.standing is not Standing.PUBLISHED:
        return number
    return replace(
        number,
        standing=metal.standing,
        source=say("{source}; strength of {metal} from memory", source=number.source, metal=metal.name),
    )


def findings_of(known: tuple[Number, ...], numbers: Mapping[str, Demand], inputs: Inputs) -> list[Finding]:
    """Return the findings of all the scalar numbers of a module, in its own order."""
    return [finding_of(n, numbers[n.code], inputs) for n in known if n.code in numbers]


def hint(
    code: str,
    group: str,
    what: Words,
    advice: Words,
    parameter: str,
    *,
    actual: float = math.nan,
    unit: str = "",
    source: Words = "",
    standing: Standing = Standing.GEOMETRY,
) -> Finding:
    """Return information that neither passes nor fails."""
    return Finding(
        code, Verdict.HINT, what, math.nan, actual, unit, "text", math.nan, source, standing, advice, parameter, group
    )
