"""A proposal: one complete set, loaded as a file and held to every check, and what could not be worked out of it."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from strutwright.models.checks import geometry_checks, said_findings
from strutwright.models.checks.engineering import CHECKS, engineering_findings
from strutwright.models.checks.strength import load_cases
from strutwright.models.families import in_own_words, plain
from strutwright.models.finding import Finding, Standing, Verdict, ranked
from strutwright.models.inputs import Inputs, missing
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.sizing.asked import Makes
from strutwright.models.sizing.judge import Judged
from strutwright.models.sizing.set_text import Choice
from strutwright.params.limits import Limits
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError
from strutwright.params.words import read

_PLAIN: Mapping[str, str] = {
    "tip_clearance": "blade tip to hull",
    "hub_gap_least": "barrel to propeller hub",
    "bearing_span": "distance to the next bearing",
    "keel_side_distance": "fasteners from the sides of the keel",
    "rudder_foot_clear": "room under the rudder",
}
"""Checks of geometry that need what a file may leave out, in words."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A load case or a check that could not be worked out, and the parameters to give for it."""

    what: str
    give: tuple[str, ...]


def stops(finding: Finding) -> bool:
    """Return whether a proposal does not pass for it; what only wants data is left out and told as such.

    >>> [stops(f) for f in geometry_checks(shipped("failing/thin-and-crowded")) if f.code == "barrel_wall"]
    [True]
    """
    return finding.fails or (finding.verdict is Verdict.NOT_CHECKED and not finding.missing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """One complete set: its text, how the whole of the checks finds it, weight (kg), weight with what its drag counts
    as, drag of the arms (N, nan without the boat's speed), the most used check and its use.

    sizes: the values found, path -> mm. left_out: what could not be worked out for want of data. bolts: how many there
    are to a palm.
    """

    text: str
    make: Makes
    choice: Choice
    sizes: Mapping[str, float]
    findings: tuple[Finding, ...]
    weight_kg: float
    cost_kg: float
    drag_n: float
    governing: str
    utilisation: float
    left_out: tuple[LeftOut, ...]
    bolts: int

    def count(self, verdict: Verdict) -> int:
        """Return how many findings have a verdict."""
        return sum(f.verdict is verdict for f in self.findings)

    @property
    def broken(self) -> tuple[int, int]:
        """How many checks fail, and how many others warn or could not be worked out, as candidates are counted."""
        fails = {f.code for f in self.findings if f.fails}
        lost = {f.code for f in self.findings if stops(f) or f.verdict is Verdict.WARN}
        return len(fails), len(lost - fails)

    @property
    def passes(self) -> bool:
        """True when nothing fails and every check ran; load cases that are left out for want of data are not meant."""
        return not any(map(stops, self.findings))


def proposal_of(make: Makes, sizes: Mapping[str, float], limits: Limits, judged: Judged | None = None) -> Proposal:
    """Return the set of a maker with these sizes (path -> mm), loaded as a file and held to every check. judged: how
    it stands, where that is known.

    >>> from strutwright.models.sizing.maker import Maker
    >>> make = Maker(loaded("canal-tender").document.data, Choice(bolt="M8", along=0), 20.0, standard())
    >>> made = proposal_of(make, {}, standard())
    >>> made.passes, made.governing, made.utilisation
    (True, 'bearing_length', 1.0)
    """
    text = make.text(sizes)
    resolved = resolve(loads(text, "the set proposed"), limits)
    findings = _all_findings(resolved, limits)
    if judged is None:
        judged = make.judge.judge({p: np.array([v]) for p, v in sizes.items()})
    left_out = _left_out(resolved, findings, limits)
    return Proposal(
        text=_heading(findings, left_out) + text,
        make=make,
        choice=make.choice,
        sizes=dict(sizes),
        findings=findings,
        weight_kg=float(judged.weight_kg[0]),
        cost_kg=float(make.judge.cost_kg(judged.weight_kg, judged.drag_n)[0]),
        drag_n=float(judged.drag_n[0]),
        governing=judged.code(0),
        utilisation=float(judged.utilisation[0]),
        left_out=left_out,
        bolts=sum(len(plate.holes) for plate in resolved.strut.plates[:1]) or make.choice.along,
    )


def _all_findings(resolved: Resolved, limits: Limits) -> tuple[Finding, ...]:
    found = (
        *geometry_checks(resolved.strut, limits),
        *said_findings(resolved, limits),
        *engineering_findings(resolved.strut, resolved.said.loads, limits),
    )
    return tuple(in_own_words(f, resolved.strut.family) for f in found)


def _left_out(resolved: Resolved, findings: tuple[Finding, ...], limits: Limits) -> tuple[LeftOut, ...]:
    """Return the load cases, then the checks, that cannot be worked out because the file does not say what they need.

    Checks that are information or a hint in any case are not told, nor again those of a case left out.
    """
    inputs = Inputs.from_strut(resolved.strut, resolved.said.loads, limits=limits)
    # No propeller loads a shoe.
    cases = load_cases.cases(inputs) if resolved.strut.shoe is None else ()
    out = [LeftOut(f"load case `{c.name}`", give) for c in cases if (give := tuple(missing(inputs, c.needs)))]
    lacking = {f.code: f.missing for f in findings if f.missing}
    named = [(words, lacking[code]) for code, words in _PLAIN.items() if code in lacking]
    named += [
        (n.code, lacking[n.code])
        for n in CHECKS.values()
        if n.standing is not Standing.LOW
        and n.limit_is != "information"
        and "dimple_mm" not in n.needs
        and not n.code.endswith((*(f"_{c.key}" for c in cases), "_warned", "_hinted"))
        and n.code in lacking
    ]
    checks: dict[tuple[str, ...], list[str]] = {}
    for words, needs in named:
        checks.setdefault(needs, []).append(words)
    out += [LeftOut(f"check of {', '.join(words)}", give) for give, words in checks.items()]
    family = resolved.strut.family
    return tuple(LeftOut(x.what, tuple(plain(path, family) for path in x.give)) for x in out)


def _heading(findings: tuple[Finding, ...], left_out: tuple[LeftOut, ...]) -> str:
    """Return the comment at the head of a set: how it stands, and what could not be worked out."""
    broken = [
        sorted({f.code for f in findings if stops(f)}),
        sorted({f.code for f in findings if f.verdict is Verdict.WARN}),
    ]
    every = "every check that could be worked out" if left_out else "every check"
    if broken[0]:
        stands = f"the nearest found; it does NOT pass: {', '.join(broken[0])}"
        stands += f"; warnings: {', '.join(broken[1])}" if broken[1] else ""
    elif broken[1]:
        stands = f"no failure, but warnings that none was found without: {', '.join(broken[1])}"
    else:
        stands = f"the one of least weight and drag found that passes {every}"
    lines = textwrap.wrap(f"Proposed by `strutwright size`: {stands}. Guidance, not approval.", 108)
    if left_out:
        lines.append("Left out, because what they need is not known; give it and size again:")
        lines += [
            line
            for one in left_out
            for line in textwrap.wrap(
                f"{one.what}: give {', '.join(one.give)}", 108, initial_indent="  ", subsequent_indent="    "
            )
        ]
    return "".join(f"# {line}\n" for line in lines)


def why_not_built(make: Makes, sizes: Mapping[str, float], limits: Limits) -> str:
    """Return in one sentence why no candidate can be built: the fault of one as a file, else the worst failure of the
    set that was started from.

    >>> from strutwright.models.sizing.maker import Maker
    >>> make = Maker(loaded("canal-tender").document.data, Choice(bolt="M8", along=0), 20.0, standard())
    >>> why_not_built(make, {"palm.thickness": 0.0}, standard()).split("; ")[1]
    'of the first one palm.thickness is outside what can be built: 0 mm (allowed: at least 0.01 mm)'
    """
    try:
        resolve(loads(make.text(sizes)), limits)
    except ParameterError as error:
        fault = error.problems[0]
        return (
            f"no candidate can be built; of the first one {fault.path} {fault.what}"
            + (f": {fault.given}" if fault.given else "")
            + (f" (allowed: {fault.allowed})" if fault.allowed else "")
        )
    worst = next((f for f in ranked(list(_all_findings(make.resolved, limits))) if f.fails), None)
    if worst is None:
        return (
            "no candidate can be built: the barrel and the palm leave no arm between them; give a greater drop (--drop)"
        )
    units = make.resolved.said.units
    measure = worst.measure(units)
    text = f"no candidate can be built; the one tried first fails {worst.code}: {worst.about(units)}" + (
        f": {measure}" if measure else ""
    )
    return "; ".join(w for w in (text, read(worst.why, units), read(worst.advice, units)) if w)
