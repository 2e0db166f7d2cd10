"""Findings: what a check says. A check never raises and never prints; it returns these."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, TypeAlias, TypedDict, Unpack

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats, Num, Truth
from strutwright.params.quantity import INCH_UNITS, FileUnits, figure, in_file_units
from strutwright.params.tables import NotInTable
from strutwright.params.words import Words, brief, raised_in, read, reason, say

UNITS: tuple[FileUnits, FileUnits] = ("mm", "in")
WITHIN, WARNS, FAILS = 0, 1, 2
"""How struts stand by a check, in numbers that arrays hold: the higher the worse."""
Level: TypeAlias = int | NDArray[np.integer[Any]]
"""One of these, or an array of them over struts."""
SIZES_CAUSE = (ArithmeticError, ValueError, NotInTable)
"""The errors that odd sizes can cause in a check; any other is a slip of the program."""


class Verdict(StrEnum):
    """How a finding stands. A hint was held against a demand that is not to pass or fail anything, such as one of low
    confidence, or would have been, had the file said all that it takes; information was held against nothing."""

    OK = "ok"
    WARN = "warning"
    FAIL = "failure"
    HINT = "hint"
    INFORMATION = "information"
    NOT_CHECKED = "not checked"

    @property
    def sign(self) -> str:
        """How it stands before a line of text: what needs attention in capitals, what is in order as "within"."""
        return "within" if self is Verdict.OK else self.value.upper() if self in _WANTS_ATTENTION else self.value


_WANTS_ATTENTION = (Verdict.WARN, Verdict.FAIL, Verdict.NOT_CHECKED)
LEVELS = {Verdict.FAIL: FAILS, Verdict.WARN: WARNS, Verdict.NOT_CHECKED: WARNS}
"""How a strut stands with such a finding; with any other it is within."""


class Standing(StrEnum):
    """What the demand of a finding rests on."""

    PUBLISHED = "published"
    PRACTICE = "common practice, no source"
    MEMORY = "from memory; confirm against the standard"
    GEOMETRY = "follows from geometry"
    LOW = "low confidence; decides nothing"


STANDINGS = {
    "published": Standing.PUBLISHED,
    "common practice": Standing.PRACTICE,
    "from memory": Standing.MEMORY,
    "low confidence": Standing.LOW,
    "geometry": Standing.GEOMETRY,
}
"""By the word that a table has for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One check's answer.

    code: stable name. verdict: how it stands. what: the thing checked in a few words, with the place (hole, station).
    demanded, actual: numbers in `unit`. utilisation: demand over capacity; at most 1 is within the limit; nan when a
    ratio has no meaning. limit_is: whether `demanded` is a least or a greatest value, or wanted "within ... of" it (or
    "text" for a yes or no).
    what, why, advice, limit_is, source are plain text, or made by `words.say` where a size is in them.
    source, standing: what the demand rests on. why: why it could not be judged. advice: what to change.
    parameter: dotted path of the value to change.
    missing: dotted paths of the inputs for want of which nothing could be said.
    left_out: the output that is left out because of it. lost_at: the step over which the CAD kernel was lost.
    rests: limits and checks that it rests on, which are from memory and which nobody read.
    """

    code: str
    verdict: Verdict
    what: Words
    demanded: float = math.nan
    actual: float = math.nan
    unit: str = ""
    limit_is: Words = "text"
    utilisation: float = math.nan
    source: Words = ""
    standing: Standing = Standing.GEOMETRY
    why: Words = ""
    advice: Words = ""
    parameter: str = ""
    group: str
    missing: tuple[str, ...] = ()
    left_out: str = ""
    lost_at: str = ""
    rests: tuple[str, ...] = ()

    def leaving_out(self, output: str) -> Finding:
        """Return it as the finding over which an output is left out, which it names first."""
        what = say("{output} left out: {what}", output=output, what=self.what)
        return replace(self, what=what, left_out=output)

    @property
    def fails(self) -> bool:
        """True when the finding stops the strut."""
        return self.verdict is Verdict.FAIL

    @property
    def is_broken_hint(self) -> bool:
        """Whether it is a hint and its limit is not kept: it decides nothing, and yet says something."""
        if self.verdict is not Verdict.HINT or self.missing or self.why:
            return False
        if self.limit_is in ("at least", "at most"):
            return not bool(kept(self.actual, self.demanded, self.unit, least=self.limit_is == "at least"))
        return bool(self.advice)  # what holds has none

    @property
    def calls(self) -> bool:
        """Whether a person is told without asking for every finding: what fails or warns, a hint whose limit is not
        kept, and what could not be worked out. What wants inputs of the file is told of all at once."""
        if self.missing:
            return False
        return self.verdict in _WANTS_ATTENTION or bool(self.why) or self.is_broken_hint

    @property
    def name(self) -> Words:
        """What the check is called on paper, where nobody knows its code: the thing checked, without particulars."""
        return brief(self.what)

    def about(self, units: FileUnits) -> str:
        """Return the thing checked as a person with such a file reads it."""
        return read(self.what, units)

    def measure(self, units: FileUnits) -> str:
        """Return what is there against what is demanded, in the units of the file; "" where there are no numbers."""
        limit = read(self.limit_is, units)
        asked = (
            f", wanted {limit} "
            if limit.startswith("within")
            else " against "
            if limit == "text"
            else f" against {limit} "
        )
        said = [
            lead + figure(*in_file_units(value, self.unit, units))
            for lead, value in (("", self.actual), (asked, self.demanded))
            if math.isfinite(value)
        ]
        return "".join(said).lstrip(" ,")

    def limit_used(self) -> str:
        """Return the share of the limit that is used as a person reads it: 4 mm of at least 8 mm is 200 %, as is 16 mm
        of at most 8 mm; "" where a ratio says nothing."""
        bounds = read(self.limit_is, "mm") in ("at least", "at most")
        if not math.isfinite(self.utilisation) or (bounds and self.demanded <= 0):
            return ""
        return f"{100 * self.utilisation:.0f} %" if self.utilisation < 9.995 else "over 999 %"

    def against_limit(self) -> str:
        """Return the share of the limit that is used behind the two numbers: 16 mm of at most 8 mm is "200 % of limit",
        of 4 mm of at least 8 mm the "limit is 200 % of it"; "" where a ratio says nothing."""
        used, least = self.limit_used(), read(self.limit_is, "mm") == "at least"
        return "" if not used else f"limit is {used} of it" if least else f"{used} of limit"

    def to_do(self, units: FileUnits) -> str:
        """Return the advice as a person with such a file reads it, with the parameter to change."""
        return read(self.advice, units) + (f" [{self.parameter}]" if self.parameter and self.advice else "")

    def notes(self, units: FileUnits) -> list[str]:
        """Return why it could not be judged and what to do, where there are words of it, with the parameter once."""
        place = f" [{self.parameter}]" if self.parameter and not self.advice else ""
        why, advice = read(self.why, units), self.to_do(units)
        return [*([f"why: {why}{place}"] if why else []), *([f"do: {advice}"] if advice else [])]

    def rests_on(self, units: FileUnits) -> str:
        """Return the source and its standing, said once where they are the same; "" where there is none."""
        told, source = self.standing.value, read(self.source, units)
        return "" if not source else told if source in told or source == "none" else f"{source} ({told})"

    def as_dict(self) -> dict[str, object]:
        """Return plain data for JSON, in the project's own units; a utilisation without meaning is None."""

        def number(x: float) -> float | None:
            return round(x, 6) if math.isfinite(x) else None

        return {
            "code": self.code,
            "verdict": self.verdict.value,
            "group": self.group,
            "what": str(self.what),
            "demanded": number(self.demanded),
            "actual": number(self.actual),
            "unit": self.unit,
            "limit_is": str(self.limit_is),
            "utilisation": number(self.utilisation),
            "source": str(self.source),
            "standing": self.standing.value,
            **({"why": str(self.why)} if self.why else {}),
            "advice": str(self.advice),
            "parameter": self.parameter,
            "missing": list(self.missing),
        }


_SHOWN_ALIKE = {"mm": 0.0026, "deg": 0.0101, "kg": 0.0046, "cm3": 0.11}
"""How far apart two values can lie that are written alike in either unit; of other units a thousandth of the value."""


def beyond(larger: Num, smaller: Num, unit: str) -> Truth:
    """Return whether a value lies over another one, both in `unit`; broadcasts.

    What a person reads as equal is equal: two values that are written alike in mm or in inches do not differ.

    >>> bool(beyond(10.001, 10.0, "mm")), bool(beyond(10.01, 10.0, "mm"))
    (False, True)
    """
    over = np.asarray(larger) > np.asarray(smaller)  # never of what is not known
    if not over.any():
        return over[()]
    large, small = np.broadcast_arrays(np.asarray(larger, dtype=float), np.asarray(smaller, dtype=float))
    last = 1.1e-6 * max(1.0, INCH_UNITS.get(unit, ("", 1.0))[1])  # the last place that is written
    band = _SHOWN_ALIKE.get(unit, 1.1e-3 * np.abs(small) + last)
    near = np.logical_and(over, large - small <= band)
    if near.any():
        over = np.array(over)
        over[near] = [not _written_alike(a, b, unit) for a, b in zip(large[near], small[near], strict=True)]
    return over[()]


def _written_alike(one: float, other: float, unit: str) -> bool:
    return any(
        figure(*in_file_units(one, unit, units)) == figure(*in_file_units(other, unit, units)) for units in UNITS
    )


def kept(actual: Num, limit: Num, unit: str, *, least: bool) -> Truth:
    """Return whether a limit is kept, the least or the greatest value that may be; broadcasts.

    >>> bool(kept(4.0, 5.0, "mm", least=True)), bool(kept(4.0, 5.0, "mm", least=False))
    (False, True)
    """
    return np.logical_not(beyond(limit, actual, unit) if least else beyond(actual, limit, unit))


def level_of(ok: Truth, *, warn: Truth = False, standing: Standing = Standing.GEOMETRY) -> Level:
    """Return how struts stand by what is so or not; broadcasts. What is of low confidence holds no strut up.

    >>> int(level_of(False)), int(level_of(False, warn=True)), int(level_of(False, standing=Standing.LOW))
    (2, 1, 0)
    """
    if standing is Standing.LOW:
        return WITHIN
    return np.asarray(np.where(ok, WITHIN, np.where(warn, WARNS, FAILS)))[()]


def share_used(actual: Num, limit: Num, *, least: bool) -> Num:
    """Return the share of a limit that is used, 1 at most where it is kept: what is asked over what is there.

    Broadcasts. Where nothing is there for what is asked it is infinite; nan where either is not known.

    >>> float(share_used(4.0, 5.0, least=True)), float(share_used(4.0, 5.0, least=False))
    (1.25, 0.8)
    """
    asked, there = (limit, actual) if least else (actual, limit)
    demand: Floats = np.asarray(asked, dtype=float)
    capacity: Floats = np.asarray(there, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        if np.min(capacity) > 0:  # and none of them unknown, so that a plain ratio says it all
            return np.asarray(np.maximum(demand / capacity, 0.0))[()]
        used = np.where(capacity > 0, demand / capacity, np.where(demand > 0, np.inf, 0.0))
    unknown = np.isnan(demand) | np.isnan(capacity)
    return np.where(unknown, np.nan, np.maximum(used, 0.0))[()]


class Rests(TypedDict):
    """What a judged finding rests on and where it belongs, as in `Finding`."""

    source: Words
    standing: Standing
    parameter: str
    group: str


def at_least(
    code: str,
    what: Words,
    actual: float,
    demanded: float,
    unit: str,
    *,
    advice: Words,
    warn: bool = False,
    used: float | None = None,
    **rests: Unpack[Rests],
) -> Finding:
    """Return a finding for actual >= demanded; below it a failure (a warning when warn, a hint when standing LOW).

    used: the share of the limit that is used, where it is another than the plain ratio.

    >>> rests = Rests(source="", standing=Standing.PRACTICE, parameter="barrel.wall", group="barrel")
    >>> thin = at_least("wall", "wall", 4.0, 5.0, "mm", advice="make it thicker", **rests)
    >>> thin.fails, thin.utilisation
    (True, 1.25)
    """
    made = _judged(code, what, bool(kept(actual, demanded, unit, least=True)), advice, warn, rests)
    used = float(share_used(actual, demanded, least=True)) if used is None else used
    return replace(made, demanded=demanded, actual=actual, unit=unit, limit_is="at least", utilisation=used)


def at_most(
    code: str,
    what: Words,
    actual: float,
    demanded: float,
    unit: str,
    *,
    advice: Words,
    warn: bool = False,
    used: float | None = None,
    **rests: Unpack[Rests],
) -> Finding:
    """Return a finding for actual <= demanded, as `at_least` does.

    >>> rests = Rests(source="", standing=Standing.PRACTICE, parameter="hull.drop", group="hull")
    >>> far = at_most("drop", "drop", 6.0, 5.0, "mm", advice="", warn=True, **rests)
    >>> far.verdict.value, far.utilisation
    ('warning', 1.2)
    """
    made = _judged(code, what, bool(kept(actual, demanded, unit, least=False)), advice, warn, rests)
    used = float(share_used(actual, demanded, least=False)) if used is None else used
    return replace(made, demanded=demanded, actual=actual, unit=unit, limit_is="at most", utilisation=used)


def yes_no(
    code: str,
    what: Words,
    ok: bool,
    *,
    advice: Words,
    warn: bool = False,
    actual: float = math.nan,
    demanded: float = math.nan,
    unit: str = "",
    **rests: Unpack[Rests],
) -> Finding:
    """Return a finding for something that holds or does not.

    >>> rests = Rests(source="", standing=Standing.GEOMETRY, parameter="barrel", group="barrel")
    >>> yes_no("tight", "joint", False, advice="mend it", **rests).to_do("mm")
    'mend it [barrel]'
    """
    made = _judged(code, what, ok, advice, warn, rests)
    return replace(made, demanded=demanded, actual=actual, unit=unit)


def _judged(code: str, what: Words, ok: bool, advice: Words, warn: bool, rests: Rests) -> Finding:
    stands = _VERDICTS[int(level_of(ok, warn=warn, standing=rests["standing"]))]
    verdict = Verdict.HINT if rests["standing"] is Standing.LOW else stands
    return Finding(code=code, verdict=verdict, what=what, advice="" if ok else advice, **rests)


_VERDICTS = {WITHIN: Verdict.OK, WARNS: Verdict.WARN, FAILS: Verdict.FAIL}


def in_words(code: str, verdict: Verdict, what: Words, advice: Words, parameter: str, *, group: str) -> Finding:
    """Return a finding without numbers, which rests on geometry.

    >>> in_words("note", Verdict.INFORMATION, "wall", "measure it", "barrel.wall", group="barrel").to_do("mm")
    'measure it [barrel.wall]'
    """
    return Finding(code=code, verdict=verdict, what=what, advice=advice, parameter=parameter, group=group)


def not_checked(code: str, what: Words, why: Words, advice: Words = "", *, parameter: str, group: str) -> Finding:
    """Return a finding for a check that could not run; it counts as not passed (a warning in the exit status).

    >>> not_checked("note", "wall", "too odd", parameter="barrel.wall", group="barrel").notes("mm")
    ['why: too odd [barrel.wall]']
    """
    return replace(in_words(code, Verdict.NOT_CHECKED, what, advice, parameter, group=group), why=why)


def impossible(code: str, what: Words, error: Exception, left_out: str = "", *, parameter: str, group: str) -> Finding:
    """Return a finding for checks that ended in an error; left_out: what is not looked at because of it.

    What sizes can cause is `not checked`. Any other error is a slip of the program and proves nothing: a failure.

    >>> said = {"parameter": "barrel", "group": "barrel"}
    >>> [impossible("odd", "wall", error, **said).verdict.value for error in (ZeroDivisionError(), IndexError())]
    ['not checked', 'failure']
    """
    also = f"; {left_out}" if left_out else ""
    if isinstance(error, SIZES_CAUSE):
        told = say("could not be worked out{why} on sizes like these{also}", why=reason(error), also=also)
        advice = "change these sizes, or judge it by hand"
        return not_checked(code, what, told, advice, parameter=parameter, group=group)
    words = f"{type(error).__name__}: {error}"
    why = say("a fault of the program in {at}: {words}{also}", at=raised_in(error), words=words, also=also)
    advice = "please report it with your file; until it is mended, judge it by hand"
    return replace(in_words(code, Verdict.FAIL, what, advice, parameter, group=group), why=why)


def without(
    code: str, what: Words, lacking: Sequence[str], *, group: str, verdict: Verdict = Verdict.NOT_CHECKED
) -> Finding:
    """Return a finding for what cannot be worked out because the file does not say `lacking`, dotted paths.

    verdict: HINT or INFORMATION of what would have been that in any case.

    >>> str(without("note", "blade tips", ["propeller.diameter"], group="propeller").what)
    'blade tips: propeller.diameter not given'
    """
    said = ", ".join(lacking)
    told = say("{what}: {said} not given", what=what, said=said)
    advice = f"give {said} to have it worked out"
    told_of = in_words(code, verdict, told, advice, lacking[0], group=group)
    return replace(told_of, missing=tuple(lacking))


def lacking(findings: Sequence[Finding]) -> tuple[str, str] | None:
    """Return in two lines what could not be worked out because the file does not say enough, and what it does not say.

    None where nothing is wanting.

    >>> lacking([without("note", "blade tips", ["propeller.diameter", "propeller.blades"], group="propeller")])
    ('1 check could not be made, because the file does not say', 'propeller: blades, diameter')
    """
    wanting = [f for f in findings if f.missing]
    if not wanting:
        return None
    checks = sum(f.verdict is Verdict.NOT_CHECKED for f in wanting)
    figures = len(wanting) - checks
    parts = [
        f"{n} {what if n == 1 else what + 's'} {words}"
        for n, what, words in ((checks, "check", "could not be made"), (figures, "figure", "not worked out"))
        if n
    ]
    groups: dict[str, list[str]] = {}
    for path in sorted({p for f in wanting for p in f.missing}):
        group, _, name = path.rpartition(".")
        groups.setdefault(group, []).append(name)
    return (
        f"{' and '.join(parts)}, because the file does not say",
        "; ".join(f"{group}: {', '.join(names)}" for group, names in groups.items()),
    )


def hints_lacking(findings: Iterable[Finding]) -> str:
    """Return in words how many hints lack data, "" where none does.

    >>> lean = without("note", "blade tips", ["propeller.diameter"], group="propeller", verdict=Verdict.HINT)
    >>> hints_lacking([lean]), hints_lacking([])
    ('1 hint lacks data', '')
    """
    count = sum(bool(f.missing) and f.verdict is Verdict.HINT for f in findings)
    return "" if not count else "1 hint lacks data" if count == 1 else f"{count} hints lack data"


_DECIDES = (Verdict.FAIL, Verdict.WARN, Verdict.OK)


def verdict_line(findings: Sequence[Finding]) -> str:
    """Return in one line how a strut stands.

    >>> kinds = (Verdict.WARN, Verdict.FAIL, Verdict.WARN)
    >>> verdict_line([in_words("note", v, "wall", "mend it", "", group="barrel") for v in kinds])
    '1 check fails, 2 warn: not to be made as it stands.'
    """
    if not findings:
        return "No check was made."
    count = {v: sum(f.verdict is v for f in findings) for v in Verdict}
    fails, warns, odd = count[Verdict.FAIL], count[Verdict.WARN], count[Verdict.NOT_CHECKED]
    parts = [
        f"{n} {f'{one} ' * (k == 0)}{verb if n == 1 else verbs}"
        for k, (n, one, verb, verbs) in enumerate(
            (n, "check" if n == 1 else "checks", verb, verbs)
            for n, verb, verbs in (
                (fails, "fails", "fail"),
                (warns, "warns", "warn"),
                (odd, "could not be made", "could not be made"),
            )
            if n
        )
    ]
    if not parts:
        return "Every check that could be made is within its limit."
    return f"{', '.join(parts)}{': not to be made as it stands' if fails else ''}."


def nearest(findings: Iterable[Finding], filled_in: Collection[str] = (), count: int = 3) -> list[Finding]:
    """Return the findings that decide something and stand nearest to their limits, or beyond them, worst first.

    filled_in: paths of values that a rule filled in: where that left them at the very limit it says nothing.

    >>> used = (("thin", 0.5), ("short", 0.9))
    >>> held = [Finding(code=c, verdict=Verdict.OK, what=c, utilisation=u, group="barrel") for c, u in used]
    >>> [f.code for f in nearest(held, count=1)]
    ['short']
    """
    held = [f for f in findings if f.verdict in _DECIDES and math.isfinite(f.utilisation) and f.limit_used()]
    told = [f for f in held if not (f.parameter in filled_in and math.isclose(f.utilisation, 1.0, rel_tol=1e-9))]
    return sorted(told, key=lambda f: (_DECIDES.index(f.verdict), -f.utilisation, f.code, str(f.what)))[:count]


def tally(findings: Sequence[Finding]) -> str:
    """Return in one line how many checks stand how.

    >>> tally([not_checked("note", "wall", "too odd", parameter="", group="barrel")])
    '1 check: 0 failures, 0 warnings, 1 not checked, 0 within, 0 hints; 0 for information'
    """
    count = {v: sum(f.verdict is v for f in findings) for v in Verdict}
    told = count[Verdict.INFORMATION]
    checks, fails, warns, hints = (
        f"{n} {what}{'' if n == 1 else 's'}"
        for n, what in (
            (len(findings) - told, "check"),
            (count[Verdict.FAIL], Verdict.FAIL),
            (count[Verdict.WARN], Verdict.WARN),
            (count[Verdict.HINT], Verdict.HINT),
        )
    )
    over = sum(f.is_broken_hint for f in findings)
    beyond_limit = f" ({over} over {'its' if count[Verdict.HINT] == 1 else 'their'} limit)" if over else ""
    return (
        f"{checks}: {fails}, {warns}, {count[Verdict.NOT_CHECKED]} {Verdict.NOT_CHECKED}, "
        f"{count[Verdict.OK]} {Verdict.OK.sign}, {hints}{beyond_limit}; {told} for information"
    )


def worst(findings: list[Finding]) -> Verdict:
    """Return FAIL, WARN or OK for a list of findings; a check that could not run counts as a warning.

    >>> worst([not_checked("note", "wall", "too odd", parameter="", group="barrel")]).value
    'warning'
    """
    verdicts = {f.verdict for f in findings}
    if Verdict.FAIL in verdicts:
        return Verdict.FAIL
    if Verdict.WARN in verdicts or Verdict.NOT_CHECKED in verdicts:
        return Verdict.WARN
    return Verdict.OK


def ranked(findings: list[Finding]) -> list[Finding]:
    """Return findings with failures first, then warnings, what could not be checked, hints whose limit is not kept or
    that could not be worked out, and the rest; each by falling utilisation.

    >>> kinds = (Verdict.OK, Verdict.HINT, Verdict.FAIL)
    >>> notes = [in_words("note", verdict, "wall", "mend it", "", group="barrel") for verdict in kinds]
    >>> [f.verdict.value for f in ranked(notes)]  # a hint with something to do calls
    ['failure', 'hint', 'ok']
    """
    last = (Verdict.OK, Verdict.HINT, Verdict.INFORMATION)
    order = {verdict: n for n, verdict in enumerate((Verdict.FAIL, Verdict.WARN, Verdict.NOT_CHECKED, None, *last))}

    def key(f: Finding) -> tuple[int, float, str, str]:
        ratio = f.utilisation if not math.isnan(f.utilisation) else -1.0
        return order[None if f.verdict in last and f.calls else f.verdict], -ratio, f.code, str(f.what)

    return sorted(findings, key=key)
