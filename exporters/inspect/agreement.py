"""Findings of measuring again: what was read from a file against what its parameters say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from strutwright.models.finding import Finding, Standing, Verdict, yes_no
from strutwright.params.words import Amount, Words, say

GROUP = "measured again"
LENGTH_TOL_MM = 0.01
"""A tenth of the finest tolerance a strut is made to, and far above the 1e-7 mm of the file."""
ANGLE_TOL_DEG = 0.01
"""0.03 mm on a palm 200 mm long."""
STOP = "do not make the part from it"
SOURCE = "the STEP file, read back and measured"


def equal(
    code: str,
    what: Words,
    actual: float,
    demanded: float,
    unit: str,
    parameter: str,
    tolerance: float,
    *,
    hint: str = STOP,
) -> Finding:
    """Return a finding for two numbers that must agree. hint: what to do where they do not."""
    gap = abs(actual - demanded)
    off = "the file does not show what the parameter says (off by {gap}); {hint}"
    return Finding(
        code=code,
        verdict=Verdict.OK if gap <= tolerance else Verdict.FAIL,
        what=what,
        demanded=demanded,
        actual=actual,
        unit=unit,
        limit_is=say("within {tolerance} of", tolerance=Amount(tolerance, unit, fine=True)),
        utilisation=gap / tolerance,
        source=SOURCE,
        standing=Standing.GEOMETRY,
        advice="" if gap <= tolerance else say(off, gap=Amount(gap, unit, fine=True), hint=hint),
        parameter=parameter,
        group=GROUP,
    )


def length(
    code: str, what: Words, actual: float, demanded: float, parameter: str, tolerance: float = LENGTH_TOL_MM
) -> Finding:
    """Return a finding for two lengths (mm) that must agree."""
    return equal(code, what, actual, demanded, "mm", parameter, tolerance)


def angle(code: str, what: Words, actual: float, demanded: float, parameter: str, *, hint: str = STOP) -> Finding:
    """Return a finding for two angles (degrees) that must agree."""
    return equal(code, what, actual, demanded, "deg", parameter, ANGLE_TOL_DEG, hint=hint)


def held_or_not(code: str, what: Words, ok: bool, advice: str, parameter: str) -> Finding:
    """Return a finding for something that the file shows or does not."""
    rests = partial(yes_no, source=SOURCE, standing=Standing.GEOMETRY, group=GROUP)
    return rests(code, what, ok, advice=advice, parameter=parameter)


def failed(code: str, what: Words, advice: str, parameter: str) -> Finding:
    """Return a failure for something that the file does not show."""
    return held_or_not(code, what, False, advice, parameter)


def group_of(part_name: str) -> str:
    """Return the group of the file that makes a part."""
    groups = {"arm": "arms", "palm": "palm", "skeg": "skeg", "heel": "skeg.heel", "bead": "welds", "bearing": "bearing"}
    return next((group for word, group in groups.items() if word in part_name), "barrel")


def of_many(one: Finding, which: str, count: int) -> Finding:
    return replace(one, what=say("{what} ({which} of {count})", what=one.what, which=which, count=count))


def worst(findings: Sequence[Finding]) -> list[Finding]:
    """Keep every failure; when there is none, the one finding nearest to its tolerance, for all of its kind."""
    failing = [f for f in findings if f.fails]
    if failing or not findings:
        return failing
    worst = max(findings, key=lambda f: f.utilisation)
    return [worst if len(findings) == 1 else of_many(worst, "worst", len(findings))]


def collected(code: str, findings: list[Finding]) -> list[Finding]:
    """Make one finding of all that hold under a code."""
    held = [f for f in findings if f.code == code and not f.fails]
    rest = [f for f in findings if f.code != code or f.fails]
    if not held:
        return rest
    one = held[0] if len(held) == 1 else of_many(held[0], "all", len(held))
    return [one, *rest]
