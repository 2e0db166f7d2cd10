"""The bench a check works at: the strut, the limits, and short ways to say what was found."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from strutwright.models.checks.check import Check
from strutwright.models.finding import (
    Finding,
    Standing,
    Verdict,
    at_least,
    at_most,
    beyond,
    not_checked,
    without,
    yes_no,
)
from strutwright.models.spec import Strut
from strutwright.params.limits import Limit, Limits
from strutwright.params.words import Amount, Words, reason, say

_STANDING = {"published": Standing.PUBLISHED, "common practice": Standing.PRACTICE, "from memory": Standing.MEMORY}
_GEOMETRY = "follows from geometry"
_GROUPS = {"set screws": "set_screws"}
"""The group of a file that a group of checks looks at, where it has another name."""


@dataclass(slots=True)
class Bench:
    """Gathers the findings about one strut.

    `aim` and `hard` below are names of limits, multiplied by `per` (the size the limit is a multiple of; 1 for a limit
    in mm or degrees), or plain numbers that follow from geometry. Breaking the aim warns or fails as its row says (a
    plain number fails, unless `warn`); breaking the hard limit always fails.
    Words are plain, or `say(...)` where a size is in them; `{need}` in an advice becomes the aim.
    """

    strut: Strut
    limits: Limits
    findings: list[Finding] = field(default_factory=list)

    def value(self, name: str, per: float = 1.0) -> float:
        """Return a limit times the size it is a multiple of."""
        return self.limits[name].value * per

    def least(
        self,
        check: Check,
        what: Words,
        actual: float,
        aim: str | float,
        *,
        parameter: str,
        advice: Words,
        per: float = 1.0,
        hard: str | float | None = None,
        unit: str = "mm",
        warn: bool = False,
    ) -> None:
        """Find whether actual is at least the aim, and never under the hard limit."""
        row, demanded = self._limit(aim, per)
        found = at_least(
            check.code,
            what,
            actual,
            demanded,
            unit,
            source=_source(row),
            standing=_standing(row),
            advice=say(advice, need=Amount(demanded, unit)),
            parameter=parameter,
            group=check.group,
            warn=warn if row is None else row.breach == "warning",
        )
        found = _with_ratio(found)
        if hard is not None:
            row, floor = self._limit(hard, per)
            if beyond(floor, actual, unit):
                found = _beyond(found, row, "under", Amount(floor, unit))
        self.findings.append(found)

    def most(
        self,
        check: Check,
        what: Words,
        actual: float,
        aim: str | float,
        *,
        parameter: str,
        advice: Words,
        per: float = 1.0,
        hard: str | float | None = None,
        unit: str = "mm",
        warn: bool = False,
    ) -> None:
        """Find whether actual is at most the aim, and never over the hard limit."""
        row, demanded = self._limit(aim, per)
        found = at_most(
            check.code,
            what,
            actual,
            demanded,
            unit,
            source=_source(row),
            standing=_standing(row),
            advice=say(advice, need=Amount(demanded, unit)),
            parameter=parameter,
            group=check.group,
            warn=warn if row is None else row.breach == "warning",
        )
        found = _with_ratio(found)
        if hard is not None:
            row, ceiling = self._limit(hard, per)
            if beyond(actual, ceiling, unit):
                found = _beyond(found, row, "over", Amount(ceiling, unit))
        self.findings.append(found)

    def within(
        self,
        check: Check,
        what: Words,
        actual: float,
        low: str | float,
        high: str | float,
        *,
        parameter: str,
        advice: Words,
        per: float = 1.0,
        unit: str = "mm",
        warn: bool = False,
    ) -> None:
        """Find whether actual lies between two limits; the finding shows the one that is nearer to being broken."""
        demanded_low, demanded_high = self._limit(low, per)[1], self._limit(high, per)[1]
        if abs(actual - demanded_low) <= abs(actual - demanded_high):
            self.least(check, what, actual, low, parameter=parameter, advice=advice, per=per, unit=unit, warn=warn)
        else:
            self.most(check, what, actual, high, parameter=parameter, advice=advice, per=per, unit=unit, warn=warn)

    def holds(
        self,
        check: Check,
        what: Words,
        ok: bool,
        *,
        parameter: str,
        advice: Words,
        warn: bool = False,
        source: Words = _GEOMETRY,
        standing: Standing = Standing.GEOMETRY,
    ) -> None:
        """Find whether something is so."""
        self.findings.append(
            yes_no(
                check.code,
                what,
                ok,
                source=source,
                standing=standing,
                advice=advice,
                parameter=parameter,
                group=check.group,
                warn=warn,
            )
        )

    def hint(self, check: Check, what: Words, *, parameter: str, advice: Words) -> None:
        """Say something that neither passes nor fails, such as what the file does not say."""
        self.findings.append(
            Finding(
                check.code,
                Verdict.HINT,
                what,
                math.nan,
                math.nan,
                "",
                "text",
                math.nan,
                "",
                Standing.GEOMETRY,
                advice,
                parameter,
                check.group,
            )
        )

    def without(self, check: Check, what: Words, *lacking: str) -> None:
        """Say that a check could not be made because the file does not say `lacking`, dotted paths."""
        self.findings.append(without(check.code, what, lacking, group=check.group))

    def run(self, checks: Callable[[Bench], None], known: tuple[Check, ...]) -> None:
        """Run a module's checks. What cannot be worked out on a strut is a finding `not checked`, never an error."""
        try:
            checks(self)
        except (ValueError, ArithmeticError, LookupError) as error:
            codes = [c.code for c in known]
            self.findings.append(
                not_checked(
                    "check_impossible",
                    f"the checks of {known[0].group}",
                    say(
                        "could not be worked out{why} on sizes like these; not all of {codes} were looked at",
                        why=reason(error),
                        codes=", ".join(codes),
                    ),
                    parameter=_GROUPS.get(known[0].group, known[0].group),
                    group=known[0].group,
                )
            )

    def _limit(self, aim: str | float, per: float) -> tuple[Limit | None, float]:
        if isinstance(aim, str):
            row = self.limits[aim]
            return row, row.value * per
        return None, aim


def _source(row: Limit | None) -> Words:
    return _GEOMETRY if row is None else say(row.source)


def _standing(row: Limit | None) -> Standing:
    return Standing.GEOMETRY if row is None else _STANDING[row.standing]


def _beyond(found: Finding, row: Limit | None, side: str, limit: Amount) -> Finding:
    return replace(
        found,
        verdict=Verdict.FAIL,
        source=_source(row),
        standing=_standing(row),
        what=say("{what}: {side} {limit}, the hard limit", what=found.what, side=side, limit=limit),
    )


def _with_ratio(found: Finding) -> Finding:
    """A ratio to a demand of nothing, or less, has no meaning."""
    return found if found.demanded > 0 else replace(found, utilisation=math.nan)


def bearing_path(strut: Strut, index: int, name: str) -> str:
    """Return the dotted path of a bearing's parameter."""
    return f"bearing.{name}" if len(strut.bearings) == 1 else f"bearing[{index}].{name}"


def bearing_name(strut: Strut, index: int) -> str:
    """Return a bearing's name in plain words."""
    return "bearing" if len(strut.bearings) == 1 else f"{('aft', 'forward')[index]} bearing"
