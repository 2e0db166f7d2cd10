"""Checks that are made for every load case: one row of the table for all, and a finding for each or for the worst.

A row whose meaning names `{case}` has a finding for each load case; one that names `{worst}` has one for the worst of
those that decide, and apart from it for the worst of those that only warn and of those that are hints, as no doubtful
load may hide what a sure one asks.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Literal, TypeAlias

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.checks.check import Check
from strutwright.models.checks.outcome import Outcome, finding_of
from strutwright.models.checks.strength import load_cases, skeg_blows
from strutwright.models.checks.strength.load_cases import BLOWS, BUILT_IN, SIDE_HINGE, Case
from strutwright.models.finding import Finding, Standing, not_checked
from strutwright.models.inputs import Inputs, missing
from strutwright.params import limits as limit_table
from strutwright.params.words import Words, say

OWN = "worst of the file's own load cases"
Grade: TypeAlias = Literal["", "_warned", "_hinted"]
"""How codes end of what the worst load case of a kind does: of those that decide, that only warn, that are hints."""
WORST: dict[Grade, str] = {
    "": "worst load case",
    "_warned": "worst of the load cases that only warn",
    "_hinted": "worst of the load cases of low confidence",
}


def in_every_case(rows: tuple[Check, ...], hinges: bool = True) -> tuple[Check, ...]:
    """Return the checks, those whose meaning names `{case}` once for each load case and once for the file's own, those
    that name `{worst}` once for each grade of load cases.

    hinges: also for the blows from the side that use arm or skeg up; what a grounding does is told apart.

    >>> [c.code for c in in_every_case((Check(code="stress", group="arms", meaning="stress, {case}"),))][-2:]
    ['stress_skeg_side', 'stress_own']
    """
    out: list[Check] = []
    for row in rows:
        if "{worst}" in row.meaning:
            shipped = tuple(c.under(limit_table.standard()) for c in (*BUILT_IN, *BLOWS))
            out += [_graded(row, grade, held) for grade, held in _by_grade(shipped, row.warn).items()]
            continue
        if "{case}" not in row.meaning:
            out.append(row)
            continue
        out += [_of(row, c.under(limit_table.standard())) for c in (*BUILT_IN, *(BLOWS if hinges else ()))]
        out.append(replace(row, code=f"{row.code}_own", meaning=_meaning(row, OWN)))
    return tuple(out)


def by_its_worst_case(row: Check, by_case: Mapping[str, Outcome], inputs: Inputs) -> tuple[Check, Words]:
    """Return a check of what is held in every load case and what it says: of the worst, which it names.

    Where none of them is known it asks for what the case wants that wants least. by_case: outcomes by the cases' keys.

    >>> pull, inputs = Check(code="pull", group="flange", meaning="pull"), engineering_inputs("deadwood-cutter")
    >>> held = {"weight": Outcome(demand=1.0, capacity=9.0, utilisation=0.1)}
    >>> str(by_its_worst_case(pull, held, inputs)[1]).partition(",")[0]
    'pull'
    """
    names = {c.key: c for c in load_cases.cases(inputs)}
    known = {key: o for key, o in by_case.items() if not math.isnan(float(o.utilisation))}
    if known:
        key = max(known, key=lambda k: float(known[k].utilisation))
        return row, say("{what}, {case}", what=row.meaning, case=names[key].name)
    return replace(
        row, needs=min((c.needs for c in names.values()), key=lambda n: len(missing(inputs, n)))
    ), row.meaning


def _of(row: Check, case: Case) -> Check:
    """Return the check of one load case; without a source of its own it has the case's."""
    limits = (*row.limits, *case.limits)
    if "palm_plastic" in row.limits:  # what a plate may use when it need only outlast the arm
        apart = ("palm_plastic",) if case.key not in load_cases.OUTLASTED else ("yield_accident",)
        limits = tuple(n for n in limits if n not in apart)
    return replace(
        row,
        code=f"{row.code}_{'own' if case.is_own else case.key}",
        meaning=_meaning(row, _named(case)),
        limits=limits,
        source=row.source or case.source,
        standing=case.standing,
        needs=case.needs,
        warn=case.warn,
    )


def _named(case: Case) -> str:
    return f"own load case {case.name}" if case.is_own else case.name


def _meaning(row: Check, case: str) -> str:
    return str(row.meaning).replace("{case}", case)


def case_findings(
    row: Check,
    inputs: Inputs,
    numbers: Mapping[str, Outcome],
    by_case: Callable[[Inputs], dict[str, Outcome]],
    doubtful: bool = False,
    advised: Callable[[str], tuple[str, str]] | None = None,
) -> list[Finding]:
    """Return the findings of a check that is made for every load case; the file's own cases one by one.

    by_case: what was found, by the case's key. doubtful: the strength is of low confidence, so that all are hints.
    advised: what to do and the parameter to change where a limit is broken, by the case's key.

    >>> row = Check(code="stress", group="arms", meaning="stress, {case}", limit_is="at most")
    >>> held = Outcome(60.0, 120.0, 0.5)
    >>> found = case_findings(row, engineering_inputs("harbour-launch"), {"stress_seized": held}, lambda _: {})
    >>> [(f.code, f.utilisation) for f in found]
    [('stress_seized', 0.5)]
    """
    own = by_case(inputs) if inputs.own_cases else {}
    found = []
    for case in (*load_cases.cases(inputs), *load_cases.accidents(inputs)):
        if case.key in load_cases.TOLD_APART:
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
        advice = advised(case.key) if advised is not None and outcome.utilisation > 1.0 else ("", "")
        found.append(
            not_checked(check.code, what, why, parameter=where, group=check.group)
            if why
            else finding_of(check, outcome, inputs, what=what, advice=advice[0], parameter=advice[1])
        )
    return found


def outlasting(inputs: Inputs, stronger: Callable[[str], str]) -> Callable[[str], tuple[str, str]]:
    """Return what to do, and the parameter, where a part does not outlast arm or skeg in a blow from the side; of other
    cases nothing but what their check says. stronger: what makes the part stronger, by the case's key.

    >>> advised = outlasting(engineering_inputs("harbour-launch"), lambda key: "larger bolts.size")
    >>> advised("side_hinge")[0]
    'larger bolts.size, or thin the arm at its foot (arms.section.thickness_at_palm), so that it asks less'
    """

    def advised(key: str) -> tuple[str, str]:
        if key not in load_cases.OUTLASTED:
            return "", ""
        less = "thin the arm at its foot (arms.section.thickness_at_palm)"
        return f"{stronger(key)}, or {less if key == SIDE_HINGE.key else _softer(inputs)}, so that it asks less", ""

    return advised


def _softer(inputs: Inputs) -> str:
    """What makes a blow on the skeg less hard: thinner is what gives first."""
    hits = skeg_blows.from_side(inputs).values()
    by_skeg = [bool(hit.skeg_n <= hit.arm_n) for hit in hits]
    skeg = "the skeg (skeg.thickness; skeg.heel.foot_thickness under a rudder)" if any(by_skeg) else ""
    arm = "" if all(by_skeg) else "the arm (arms.section.thickness; thickness_at_palm)"
    return "thin " + " and ".join(part for part in (skeg, arm) if part)


# --- the worst of all cases -----------------------------------------------------------------------------------------


def _by_grade(held: tuple[Case, ...], warns: bool) -> dict[Grade, tuple[Case, ...]]:
    out: dict[Grade, list[Case]] = {"": [], "_hinted": []} if warns else {"": [], "_warned": [], "_hinted": []}
    for case in held:
        grade: Grade = "_hinted" if case.standing is Standing.LOW else "_warned" if case.warn and not warns else ""
        out[grade].append(case)
    return {grade: tuple(some) for grade, some in out.items()}


def graded_cases(inputs: Inputs, warns: bool) -> dict[Grade, tuple[Case, ...]]:
    """Return the load cases, but a grounding, by how grave it is to break a limit in them. warns: to break it is but a
    warning in any of them.

    >>> kinds = graded_cases(engineering_inputs("harbour-launch"), warns=False)
    >>> [[case.key for case in some] for some in kinds.values()]
    [['weight', 'side_hinge'], ['seized'], ['tip', 'blade', 'turn', 'power']]
    """
    held = (*load_cases.cases(inputs), *load_cases.accidents(inputs))
    return _by_grade(tuple(c for c in held if c.key not in load_cases.TOLD_APART), warns)


def worst_by_grade(inputs: Inputs, by_case: Mapping[str, Num], warns: bool) -> dict[Grade, Num]:
    """Return the greatest of what load cases do, by their grade; broadcasts. One that is not known counts as none.

    by_case: what each case does, by its key; what is held to one limit whatever the case.

    >>> pulls = {"weight": 2.0, "side_hinge": 5.0, "seized": 3.0, "tip": 9.0, "blade": 1.0, "turn": 1.0, "power": 1.0}
    >>> found = worst_by_grade(engineering_inputs("harbour-launch"), pulls, warns=False)
    >>> {grade: float(pull) for grade, pull in found.items()}
    {'': 5.0, '_warned': 3.0, '_hinted': 9.0}
    """
    worst: dict[Grade, Num] = {}
    for grade, some in graded_cases(inputs, warns).items():
        worst[grade] = math.nan
        for case in some:
            worst[grade] = np.fmax(worst[grade], by_case[case.key])
    return worst


def worst_findings(
    row: Check,
    inputs: Inputs,
    numbers: Mapping[str, Outcome],
    by_case: Mapping[str, Num],
    told: Callable[[Check], Check] = lambda check: check,
) -> list[Finding]:
    """Return the findings of a check that follows the worst of the load cases, which each names.

    by_case: as in `worst_by_grade`. told: the check as it rests on metals.

    >>> row = Check(code="pull", group="bolts", meaning="pull on a bolt, {worst}", limit_is="at most", warn=True)
    >>> one, pulls = engineering_inputs("harbour-launch"), {"weight": 2.0, "side_hinge": 5.0, "seized": 3.0}
    >>> found = worst_findings(row, one, {"pull": Outcome(5.0, 6.0, 0.83)}, pulls)
    >>> [str(f.what) for f in found]
    ['pull on a bolt, worst load case, blow from the side that bends the arm permanently (accident)']
    """
    found = []
    for grade, some in graded_cases(inputs, row.warn).items():
        outcome = numbers.get(row.code + grade)
        if outcome is None:
            continue
        check, case = _graded(row, grade, some), _governing(some, by_case)
        if grade == "_hinted":
            # No limit of the shop's own makes a doubtful load a sure one.
            check = replace(check.under(inputs.limits), limits=(), standing=Standing.LOW)
        elif case is not None and case.standing is Standing.MEMORY and check.standing is not Standing.LOW:
            check = replace(check, standing=Standing.MEMORY)
        # A person's own words are no template.
        named = WORST[grade] if case is None else f"{WORST[grade]}, {_named(case)}"
        found.append(finding_of(told(check), outcome, inputs, what=str(row.meaning).replace("{worst}", named)))
    return found


def _graded(row: Check, grade: Grade, some: tuple[Case, ...]) -> Check:
    """Return the check of the worst of load cases; it follows the limits of all of them."""
    return replace(
        row,
        code=row.code + grade,
        meaning=str(row.meaning).replace("{worst}", WORST[grade]),
        limits=tuple(dict.fromkeys((*row.limits, *(n for c in some for n in c.limits)))),
        standing=Standing.LOW if grade == "_hinted" else row.standing,
        needs=tuple(dict.fromkeys((*row.needs, *(n for c in some for n in c.needs)))) if grade else row.needs,
        warn=row.warn or grade != "",
    )


def _governing(some: tuple[Case, ...], by_case: Mapping[str, Num]) -> Case | None:
    """Return the case that does most; None where of none it is known."""
    known = [c for c in some if not math.isnan(float(by_case.get(c.key, math.nan)))]
    return max(known, key=lambda c: float(by_case[c.key]), default=None)
