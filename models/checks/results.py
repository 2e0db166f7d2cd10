"""What the checks find, of one strut in words or of many in numbers: the same rule works out both.

A check calls `least`, `most`, `within`, `holds`, ... with numbers that are floats for one strut and arrays for many.
Words with sizes in them are given as functions, which are called for one strut only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple, TypeAlias, overload

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Num, Truth
from strutwright.models.checks.check import Check
from strutwright.models.checks.outcome import Outcome
from strutwright.models.finding import (
    LEVELS,
    STANDINGS,
    WITHIN,
    Finding,
    Level,
    Standing,
    Verdict,
    at_least,
    at_most,
    impossible,
    in_words,
    kept,
    level_of,
    share_used,
    without,
    yes_no,
)
from strutwright.models.spec import Strut
from strutwright.models.struts import Struts
from strutwright.params import limits as limit_table
from strutwright.params.checks import Said, called
from strutwright.params.limits import Limit, Limits
from strutwright.params.words import Amount, Text, Words, say

Say: TypeAlias = "Words | Callable[[], Words]"
"""Words, or what makes them where they are read."""

IMPOSSIBLE = "check_impossible"
"""The code of checks that ended in an error."""
_GEOMETRY = "follows from geometry"
_GROUPS = {"set screws": "set_screws"}
"""The group of a file that a group of checks looks at, where it has another name."""


def worse(one: Outcome, other: Outcome) -> Outcome:
    """Return the worse of two, each by itself: the higher level and the higher utilisation.

    >>> both = worse(Outcome.at(2, 0.5), Outcome.at(WITHIN, 0.9))
    >>> int(both.level), float(both.utilisation)
    (2, 0.9)
    """
    return Outcome.at(np.maximum(one.level, other.level), np.fmax(one.utilisation, other.utilisation))


def outcomes_of(findings: list[Finding]) -> dict[str, Outcome]:
    """Return how one strut stands against each check, by code: the worst of its findings. Hints count as within, as
    does what is left out for want of data, which is told beside.

    >>> wall = without("barrel_wall", "wall", ["barrel.wall"], group="barrel")
    >>> outcomes_of([wall])["barrel_wall"].level == WITHIN
    True
    """
    out: dict[str, Outcome] = {}
    for f in findings:
        used = math.nan if f.verdict is Verdict.HINT else f.utilisation
        held = Outcome.at(WITHIN if f.missing else LEVELS.get(f.verdict, WITHIN), used)
        out[f.code] = worse(out[f.code], held) if f.code in out else held
    return out


@dataclass(slots=True)
class Results:
    """Gathers what checks find: `findings` of one strut, or `outcomes` by code of many.

    `aim` and `hard` below are names of limits, multiplied by `per` (the size the limit is a multiple of; 1 for a limit
    in mm or degrees), or plain numbers that follow from geometry. Breaking the aim warns or fails as its row says (a
    plain number fails, unless `warn`); breaking the hard limit always fails. `where`: which struts are held to it.
    `{need}` in an advice becomes the aim. roll: roots are worked out strut by strut, else by bounds on the safe side;
    order, enough, unsure: see `checks.geometry.clearances`.
    """

    struts: Struts
    limits: Limits
    tells: bool = True
    roll: bool = True
    order: Sequence[int] | None = None
    enough: int | None = None
    unsure: NDArray[np.bool_] | None = None
    findings: list[Finding] = field(default_factory=list)
    outcomes: dict[str, Outcome] = field(default_factory=dict)

    @classmethod
    def of(cls, strut: Strut, limits: Limits | None = None) -> Results:
        """Return one for a single strut. limits: as shipped when left out."""
        return cls(Struts.of(strut), limit_table.standard() if limits is None else limits)

    @property
    def strut(self) -> Strut:
        """The strut; of many, one with arrays for the sizes that vary."""
        return self.struts.strut

    @overload
    def value(self, name: str, per: float = 1.0) -> float: ...

    @overload
    def value(self, name: str, per: Num) -> Num: ...

    def value(self, name: str, per: Num = 1.0) -> Num:
        """Return a limit times the size it is a multiple of."""
        return self.limits[name].value * per

    def least(self, check: Check, actual: Num, aim: str | Num, /, **how: Any) -> None:
        """Check that actual is at least the aim, and never under the hard limit; `how` as in `_compare`."""
        self._compare(True, check, actual, aim, **how)

    def most(self, check: Check, actual: Num, aim: str | Num, /, **how: Any) -> None:
        """Check that actual is at most the aim, and never over the hard limit; `how` as in `_compare`."""
        self._compare(False, check, actual, aim, **how)

    def within(
        self, check: Check, actual: Num, low: str, high: str, /, *, per: Num = 1.0, where: Truth = True, **how: Any
    ) -> None:
        """Check that actual lies between two limits; the one that is nearer to being broken counts."""
        near_low = np.abs(actual - self.value(low, per)) <= np.abs(actual - self.value(high, per))
        self.least(check, actual, low, per=per, where=np.logical_and(near_low, where), **how)
        self.most(check, actual, high, per=per, where=np.logical_and(np.logical_not(near_low), where), **how)

    def holds(
        self,
        check: Check,
        ok: Truth,
        /,
        *,
        warn: bool = False,
        source: Words = _GEOMETRY,
        standing: Standing = Standing.GEOMETRY,
        where: Truth = True,
        **words: Any,
    ) -> None:
        """Check that something is so. words: as in `_compare`."""
        if not self.tells:
            self.keep(check, level_of(ok, warn=warn, standing=standing), np.nan, where)
        elif where:
            said = _said(check, **words)
            made = yes_no(
                check.code,
                said.what,
                bool(ok),
                source=source,
                standing=standing,
                advice=said.advice,
                parameter=said.parameter,
                group=check.group,
                warn=warn,
            )
            self.findings.append(made)

    def inform(self, check: Check, /, *, where: Truth = True, **words: Any) -> None:
        """Say something that neither passes nor fails, such as what the file does not say."""
        if self.tells and where:
            said = _said(check, **words)
            told = in_words(check.code, Verdict.INFORMATION, said.what, said.advice, said.parameter, group=check.group)
            self.findings.append(told)

    def without(self, check: Check, what: Words, *lacking: str) -> None:
        """Say that a check could not be made because the file does not say `lacking`, dotted paths."""
        if self.tells:
            self.findings.append(without(check.code, what, lacking, group=check.group))

    def run(self, checks: Callable[[Results], None], known: tuple[Check, ...]) -> None:
        """Run a module's checks. What cannot be worked out on a strut is a finding, never an error."""
        if not self.tells:
            checks(self)
            return
        try:
            with np.errstate(all="ignore"):
                checks(self)
        except Exception as error:
            group, codes = known[0].group, ", ".join(c.code for c in known)
            what, left_out = f"the checks of {group}", f"not all of {codes} were looked at"
            at = _GROUPS.get(group, group)
            self.findings.append(impossible(IMPOSSIBLE, what, error, left_out, parameter=at, group=group))

    def keep(self, check: Check, level: Level, used: Num, where: Truth = True) -> None:
        """Keep how many struts stand against a check, the worst of what is found of each."""
        if where is not True:
            level, used = np.where(where, level, WITHIN), np.where(where, used, np.nan)
        held = Outcome.at(np.asarray(level)[()], np.asarray(used)[()])
        before = self.outcomes.get(check.code)
        self.outcomes[check.code] = held if before is None else worse(before, held)

    def _compare(
        self,
        least: bool,
        check: Check,
        actual: Num,
        aim: str | Num,
        /,
        *,
        per: Num = 1.0,
        hard: str | Num | None = None,
        unit: str = "mm",
        warn: Truth = False,
        where: Truth = True,
        share: bool = True,
        demand: Num | None = None,
        also: str = "",
        **words: Any,
    ) -> None:
        """share: its ratio means something. demand: what the limit comes to where it is no multiple of one size. also:
        another limit that enters a number. words: what the check's row has names for, and `form` where it has several;
        or what, parameter, advice themselves."""
        row, demanded = self._limit(aim, per)
        demanded = demanded if demand is None else demand
        warn = warn if row is None else row.breach == "warning"
        rests = self.limits[also] if also and self.limits[also].own else row
        standing = _standing(rests)
        edge_level: Level = WITHIN
        edge_row, edge = (None, None) if hard is None else self._limit(hard, per)
        if edge is not None:
            edge_level = level_of(kept(actual, edge, unit, least=least), standing=_standing(edge_row))
        # A ratio to a demand of nothing, or less, has no meaning.
        sense = np.asarray(demanded) > 0 if share else False
        used = np.where(sense, share_used(actual, demanded, least=least), np.nan)
        if not self.tells:
            level = level_of(kept(actual, demanded, unit, least=least), warn=warn, standing=standing)
            if standing is Standing.LOW:  # the use of a hint ranks nothing
                used = np.where(edge_level, used, np.nan)
            self.keep(check, np.maximum(level, edge_level), used, where)
            return
        if not np.all(where):
            return
        said, demanded = _said(check, **words), _figure(demanded)
        found = (at_least if least else at_most)(
            check.code,
            said.what,
            _figure(actual),
            demanded,
            unit,
            source=_source(rests),
            standing=standing,
            advice=say(said.advice, need=Amount(demanded, unit)),
            parameter=said.parameter,
            group=check.group,
            warn=bool(warn),
            used=float(used),
        )
        found = _resting(found, rests)
        if edge is not None and edge_level:
            found = _broken(found, edge_row, "under" if least else "over", Amount(_figure(edge), unit))
        self.findings.append(found)

    def _limit(self, aim: str | Num, per: Num) -> tuple[Limit | None, Num]:
        if isinstance(aim, str):
            row = self.limits[aim]
            return row, row.value * per
        return None, aim


class _Told(NamedTuple):
    what: Words
    parameter: str
    advice: Words


def _said(
    check: Check,
    /,
    *,
    form: str = "",
    what: Words | None = None,
    parameter: str | None = None,
    advice: Say | None = None,
    **names: Any,
) -> _Told:
    """What a finding says: the words of the check's row with its names filled in, or those that are given.

    A name may be a function that is asked only here. Raises TypeError for a name that the row does not have.
    """
    row = check.forms.get(form) or Said("", "", "")
    text = f"{row.what} {row.parameter} {row.advice}"
    if strange := [name for name in names if f"{{{name}}}" not in text]:
        raise TypeError(f"{check.code} has no words with {', '.join(strange)}")
    parts = {name: part() if callable(part) else part for name, part in names.items()}
    return _Told(
        _plain(say(row.what, **parts)) if what is None else what,
        str(say(row.parameter, **parts)) if parameter is None else parameter,
        say(row.advice, **parts) if advice is None else advice() if callable(advice) else advice,
    )


def _plain(text: Text) -> Words:
    """Words without a size in them are plain."""
    return text if any(True for _ in text.amounts()) else str(text)


def _figure(value: Num) -> float:
    """A plain number of one strut; nothing is never minus nothing."""
    return (value.item() if isinstance(value, (np.ndarray, np.generic)) else value) + 0


def _source(row: Limit | None) -> Words:
    return _GEOMETRY if row is None else say(row.source)


def _standing(row: Limit | None) -> Standing:
    return Standing.GEOMETRY if row is None else STANDINGS[row.standing]


def _resting(found: Finding, row: Limit | None) -> Finding:
    doubtful = row is not None and row.standing in ("from memory", "low confidence")
    return replace(found, rests=(called("limit", row.name),) if row is not None and doubtful else ())


def _broken(found: Finding, row: Limit | None, side: str, limit: Amount) -> Finding:
    return replace(
        _resting(found, row),
        verdict=Verdict.FAIL,
        source=_source(row),
        standing=_standing(row),
        what=say("{what} (also {side} the hard limit of {limit})", what=found.what, side=side, limit=limit),
    )


def bearing_path(strut: Strut, index: int, name: str) -> str:
    """Return the dotted path of a bearing's parameter.

    >>> bearing_path(shipped("refit-two-bores"), 1, "length")
    'bearing[1].length'
    """
    return f"bearing.{name}" if len(strut.bearings) == 1 else f"bearing[{index}].{name}"


def bearing_name(strut: Strut, index: int) -> str:
    """Return a bearing's name in plain words.

    >>> bearing_name(shipped("refit-two-bores"), 1)
    'forward bearing'
    """
    return "bearing" if len(strut.bearings) == 1 else f"{('aft', 'forward')[index]} bearing"
