"""Checks that are made for every load case: one row of the table for all, and a finding for each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from strutwright.models.checks.check import Check
from strutwright.models.checks.outcome import Outcome, finding_of
from strutwright.models.checks.strength import load_cases
from strutwright.models.checks.strength.load_cases import BUILT_IN, GROUNDING, SIDE_HINGE, Case
from strutwright.models.finding import Finding, Standing, not_checked
from strutwright.models.inputs import Inputs
from strutwright.params import limits as limit_table

OWN = "worst of the file's own load cases"


def in_every_case(rows: tuple[Check, ...], hinges: bool = True) -> tuple[Check, ...]:
    """Return the checks, those whose meaning names `{case}` once for each load case and once for the file's own.

    hinges: also for the blow from the side that uses the arm up; what a grounding does is told apart.

    >>> [c.code for c in in_every_case((Check(code="stress", group="arms", meaning="stress, {case}"),))][-2:]
    ['stress_side_hinge', 'stress_own']
    """
    out: list[Check] = []
    for row in rows:
        if "{case}" not in row.meaning:
            out.append(row)
            continue
        out += [_of(row, c.under(limit_table.standard())) for c in (*BUILT_IN, *((SIDE_HINGE,) if hinges else ()))]
        out.append(replace(row, code=f"{row.code}_own", meaning=_meaning(row, OWN)))
    return tuple(out)


def _of(row: Check, case: Case) -> Check:
    """Return the check of one load case; without a source of its own it has the case's."""
    limits = (*row.limits, *case.limits)
    if "palm_plastic" in row.limits:  # what a plate may use when it need only outlast the arm
        apart = ("palm_plastic",) if case.key != SIDE_HINGE.key else ("yield_accident",)
        limits = tuple(n for n in limits if n not in apart)
    return replace(
        row,
        code=f"{row.code}_{'own' if case.is_own else case.key}",
        meaning=_meaning(row, f"own load case {case.name}" if case.is_own else case.name),
        limits=limits,
        source=row.source or case.source,
        standing=case.standing,
        needs=case.needs,
        warn=case.warn,
    )


def _meaning(row: Check, case: str) -> str:
    return str(row.meaning).replace("{case}", case)


def case_findings(
    row: Check,
    inputs: Inputs,
    numbers: Mapping[str, Outcome],
    by_case: Callable[[Inputs], dict[str, Outcome]],
    doubtful: bool = False,
) -> list[Finding]:
    """Return the findings of a check that is made for every load case; the file's own cases one by one.

    by_case: what was found, by the case's key. doubtful: the strength is of low confidence, so that all are hints.

    >>> row = Check(code="stress", group="arms", meaning="stress, {case}", limit_is="at most")
    >>> held = Outcome(60.0, 120.0, 0.5)
    >>> found = case_findings(row, engineering_inputs("harbour-launch"), {"stress_seized": held}, lambda _: {})
    >>> [(f.code, f.utilisation) for f in found]
    [('stress_seized', 0.5)]
    """
    own = by_case(inputs) if inputs.own_cases else {}
    found = []
    for case in (*load_cases.cases(inputs), *load_cases.accidents(inputs)):
        if case.key == GROUNDING.key:
            continue
        check = _of(row, case)
        outcome = own.get(case.key) if case.is_own else numbers.get(check.code)
        if outcome is None:
            continue
        if doubtful or case.standing is Standing.LOW:
            # No limit of the shop's own makes a doubtful load, or a doubtful strength, a sure one.
            check = replace(check.under(inputs.limits), limits=(), standing=Standing.LOW)
        # A person's own words are no template.
        what = check.meaning
        why, where = load_cases.unanswerable(case, inputs)
        found.append(
            not_checked(check.code, what, why, parameter=where, group=check.group)
            if why
            else finding_of(check, outcome, inputs, what=what)
        )
    return found
