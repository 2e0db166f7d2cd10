"""What a check of the engineering found in numbers, and how one of one strut becomes a finding."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from strutwright.models import finding
from strutwright.models.arrays import Num
from strutwright.models.checks.check import Check
from strutwright.models.finding import Finding, Level, Standing, Verdict, in_words, share_used
from strutwright.models.inputs import Inputs, missing
from strutwright.models.metals import Metal
from strutwright.params.limits import users
from strutwright.params.words import Words, say


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a check found: a number held against its limit, floats or arrays over candidates.

    demand over capacity is the utilisation, at most 1 when the limit is kept. nan: the file does not say enough; inf:
    the sizes make no sense (a bore wider than the barrel). A number without a limit has its value as demand and nan
    for the rest.
    """

    demand: Num
    capacity: Num
    utilisation: Num
    level: Level = 0

    @classmethod
    def at(cls, level: Level, utilisation: Num) -> Outcome:
        """Return the outcome of a check of which only the level counts and how much of it is used, nan where a ratio
        has no meaning."""
        return cls(np.nan, np.nan, utilisation, level)


def at_most(actual: Num, limit: Num) -> Outcome:
    """Return the outcome for something that may be `limit` at most; broadcasts. No room at all is infinite.

    >>> float(at_most(8.0, 10.0).utilisation)
    0.8
    """
    return Outcome(actual, limit, share_used(actual, limit, least=False))


def at_least(actual: Num, needed: Num) -> Outcome:
    """Return the outcome for something that must be `needed` at least; broadcasts. Nothing there is infinite.

    >>> float(at_least(8.0, 10.0).utilisation)
    1.25
    """
    return Outcome(needed, actual, share_used(actual, needed, least=True))


def information(value: Num) -> Outcome:
    """Return a number that has no limit.

    >>> information(5.0).demand
    5.0
    """
    return Outcome(value, math.nan, math.nan)


def finding_of(
    check: Check, outcome: Outcome, inputs: Inputs, *, what: Words = "", advice: Words = "", parameter: str = ""
) -> Finding:
    """Return the finding of a scalar. what, advice, parameter: in place of the check's own.

    A value that is not known counts as not checked where it would have been judged; it names what is not said.

    >>> wall = Check(code="wall", group="barrel", meaning="wall thickness", limit_is="at least", unit="mm", warn=True)
    >>> made = finding_of(wall, at_least(4.0, 5.0), engineering_inputs("canal-tender"))
    >>> made.verdict.value, made.utilisation
    ('warning', 1.25)
    """
    check = check.under(inputs.limits)
    what, advice = what or check.meaning, advice or check.advice
    parameter, held = parameter or check.parameter, check.limit_is != "information"
    if math.isnan(outcome.demand) or (held and math.isnan(outcome.utilisation)):
        return _unknown(check, inputs, what, parameter)
    rests: dict[str, Any] = {"source": check.source, "standing": check.standing}
    if not held:
        actual = float(outcome.demand)
        told = inform(check.code, check.group, what, advice, parameter, actual=actual, unit=check.unit, **rests)
        return replace(told, rests=check.rests)
    call: Any = finding.at_most if check.limit_is == "at most" else finding.at_least
    actual, limit = float(outcome.demand), float(outcome.capacity)
    if check.limit_is == "at least":
        actual, limit = limit, actual
    keep = {**rests, "advice": advice, "parameter": parameter, "group": check.group, "warn": check.warn}
    made: Finding = call(check.code, what, actual, limit, check.unit, used=float(outcome.utilisation), **keep)
    return replace(made, rests=check.rests)


def _unknown(check: Check, inputs: Inputs, what: Words, parameter: str) -> Finding:
    verdict = Verdict.HINT if check.standing is Standing.LOW else Verdict.NOT_CHECKED
    if check.limit_is == "information":
        verdict = Verdict.INFORMATION
    lacking = missing(inputs, check.needs)
    if lacking:
        return finding.without(check.code, what, lacking, group=check.group, verdict=verdict)
    lacks = "the table of materials does not hold what is needed for it"
    advice = "choose a material whose properties are known, or judge it by the maker's figures"
    told = finding.not_checked(check.code, what, lacks, advice, parameter=parameter, group=check.group)
    return replace(told, verdict=verdict)


def resting_on(check: Check, metal: Metal) -> Check:
    """Return the check with the lesser standing of its formula and of the metal's strength.

    >>> stress = Check(code="stress", group="shaft", meaning="stress", source="formula", standing=Standing.PUBLISHED)
    >>> str(resting_on(stress, engineering_inputs("canal-tender").shaft).source)
    'formula; strength of S32205 from memory'
    """
    if check.standing is not Standing.PUBLISHED:
        return check
    if metal.standing is Standing.PUBLISHED:
        read = say("{source}; strength of {metal} {read}", source=check.source, metal=metal.name, read=metal.confirmed)
        return replace(check, source=read) if metal.confirmed else check
    source = say("{source}; strength of {metal} from memory", source=check.source, metal=metal.name)
    return replace(check, standing=metal.standing, source=source)


def findings_of(known: tuple[Check, ...], numbers: Mapping[str, Outcome], inputs: Inputs) -> list[Finding]:
    """Return the findings of all the scalar numbers of a module, in its own order.

    >>> wall = Check(code="wall", group="barrel", meaning="wall of the barrel", limit_is="at least", unit="mm")
    >>> len(findings_of((wall,), {"wall": at_least(8.0, 5.0)}, engineering_inputs("canal-tender")))
    1
    """
    return [finding_of(c, numbers[c.code], inputs) for c in known if c.code in numbers]


def source_of(source: Words, inputs: Inputs, *names: str) -> Words:
    """Return the source of information that follows these limits: the user where one of them is his.

    >>> source_of("common practice", engineering_inputs("canal-tender"), "barrel_wall")
    'common practice'
    """
    own = users(inputs.limits, *names)
    return source if own is None else own.source


def inform(
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
    """Return what is told and held against nothing: a figure, or words.

    >>> wall = inform("note", "barrel", "wall", "", "barrel.wall", actual=8.0, unit="mm")
    >>> wall.verdict.value, wall.measure("mm")
    ('information', '8 mm')
    """
    told = in_words(code, Verdict.INFORMATION, what, advice, parameter, group=group)
    return replace(told, actual=actual, unit=unit, source=source, standing=standing)


def worst_of(demands: list[Outcome]) -> Outcome:
    """Return, candidate by candidate, the demand most used; one that is not known counts as none.

    >>> float(worst_of([Outcome(50.0, 100.0, 0.5), Outcome(40.0, 50.0, 0.8)]).demand)
    40.0
    """
    best = demands[0]
    for other in demands[1:]:
        a, b = np.asarray(best.utilisation), np.asarray(other.utilisation)
        take = (b > a) | np.isnan(a)
        best = Outcome(
            *(
                np.where(take, np.asarray(o), np.asarray(k))[()]
                for o, k in ((other.demand, best.demand), (other.capacity, best.capacity), (b, a))
            )
        )
    return best


def collected(prefix: str, held: dict[str, Outcome]) -> dict[str, Outcome]:
    """Return the demands of every case by code: prefix_key, and prefix_own for the worst of the file's own cases.

    >>> list(collected("weld_palm", {"weight": Outcome(5.0, 50.0, 0.1), "own_1": Outcome(9.0, 50.0, 0.18)}))
    ['weld_palm_weight', 'weld_palm_own']
    """
    out = {f"{prefix}_{key}": demand for key, demand in held.items() if not key.startswith("own_")}
    own = [demand for key, demand in held.items() if key.startswith("own_")]
    if own:
        out[f"{prefix}_own"] = worst_of(own)
    return out
