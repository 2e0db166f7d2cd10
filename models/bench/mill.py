"""What the mill's tolerance does to the checks: they are run again on the strut of the thinnest plate."""

from __future__ import annotations

import math
from collections.abc import Sequence

from strutwright.models.bench.record_back import findings_of_part, worse_than
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.models.resolve import Resolved
from strutwright.models.shop.stock import Thin, thinnest
from strutwright.models.spec import Strut
from strutwright.params.limits import Limits
from strutwright.params.words import Words, fine_mm, joined, say

CODE = "plate_thinnest"
_MOST_WORSE = 4


def plate_findings(found: Resolved, strut: Strut, before: Sequence[Finding], limits: Limits) -> list[Finding]:
    """Return what the checks find worse of a welded strut whose plate comes as thin as its standard lets it; none where
    no part is plate as bought.

    A hint, as plate is measured when it comes, and the inspection record follows what is out. Where nothing is worse
    the check is told that then uses most of its limit, of those that use more. before: what they find of it as drawn.

    >>> made = [plate_findings(resolved(n), shipped(n), [], standard()) for n in ("yawl-with-heel", "harbour-launch")]
    >>> [[f.code for f in found] for found in made]  # the launch is cast
    [['plate_thinnest'], []]
    """
    thin, parts = thinnest(strut, limits)
    if not parts:
        return []
    after = findings_of_part(found, thin, limits)
    codes = {f.code for f in after}
    worse = [now for _, now in worse_than([f for f in before if f.code in codes], after)]
    told = joined(", ", [say("{part} {least}", part=p.part, least=fine_mm(round(p.least_mm, 2))) for p in parts])
    advice = "order plate that is not under its size, measure it when it comes, or thicken the part" if worse else ""
    return [
        Finding(
            code=CODE,
            verdict=Verdict.HINT if worse else Verdict.INFORMATION,
            what=say(
                "of plate as thin as the mill may send it ({told}): {what}", told=told, what=_what(worse, before, after)
            ),
            source=_source(parts),
            standing=_standing(parts),
            advice=advice,
            parameter="palm.thickness",
            group="fabrication",
        )
    ]


def _what(worse: Sequence[Finding], before: Sequence[Finding], after: Sequence[Finding]) -> Words:
    if worse:
        named = joined("; ", map(_named, worse[:_MOST_WORSE]))
        more = f"; and {len(worse) - _MOST_WORSE} more" if len(worse) > _MOST_WORSE else ""
        return say("worse in {named}{more}", named=named, more=more)
    was = {f.code: f.utilisation for f in before}
    used = [f for f in after if f.verdict is Verdict.OK and f.utilisation > was.get(f.code, math.inf) + 1e-6]
    if not used:
        return "no check stands worse"
    most = max(used, key=lambda f: f.utilisation)
    return say("no check stands worse; nearest to its limit is {check}", check=_named(most))


def _named(finding: Finding) -> Words:
    used = finding.limit_used()
    return say("{check}, {used} of its limit", check=finding.name, used=used) if used else finding.name


def _source(parts: Sequence[Thin]) -> str:
    return ", ".join(dict.fromkeys(p.mill.standard for p in parts))


def _standing(parts: Sequence[Thin]) -> Standing:
    """The least sure of the tables."""
    memory = any(p.mill.standing == "from memory" for p in parts)
    return Standing.MEMORY if memory else Standing.PUBLISHED
