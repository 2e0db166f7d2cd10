"""The checks: a resolved strut in, findings out. Nothing here raises or prints; the limits are in params/limits.yaml.

`geometry_checks` looks at what can be told from the sizes alone. `CHECKS` says of every code what it means and which
limits it uses.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from strutwright.models.checks.bench import Bench
from strutwright.models.checks.check import Check
from strutwright.models.checks.geometry import (
    arms,
    barrel,
    bearing,
    clearances,
    hull,
    materials,
    palm,
    roots,
    said,
    screws,
    skeg,
)
from strutwright.models.finding import Finding
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Strut
from strutwright.params import limits as limit_table
from strutwright.params.limits import Limits

__all__ = ["CHECKS", "Check", "geometry_checks", "said_hints"]

_GEOMETRY: tuple[tuple[Callable[[Bench], None], tuple[Check, ...]], ...] = (
    (barrel.check, barrel.CHECKS),
    (bearing.check, bearing.CHECKS),
    (screws.check, screws.CHECKS),
    (arms.check, arms.CHECKS),
    (palm.check, palm.CHECKS),
    (roots.check, roots.CHECKS),
    (hull.check, hull.CHECKS),
    (skeg.check, skeg.CHECKS),
    (clearances.check, clearances.CHECKS),
    (materials.check, materials.CHECKS),
)
_ANY = Check("check_impossible", "any", "a group of checks could not be worked out on this strut")
CHECKS: Mapping[str, Check] = MappingProxyType(
    {c.code: c for c in (*(c for _, known in _GEOMETRY for c in known), *said.CHECKS, _ANY)}
)
"""Every check by its code."""


def geometry_checks(strut: Strut, limits: Limits | None = None) -> list[Finding]:
    """Return the findings of all checks that follow from the sizes of a strut, in the order of its parts.

    limits: the limits to hold it to; as shipped when left out. Never raises: what cannot be worked out is a finding.
    """
    bench = Bench(strut, limit_table.standard() if limits is None else limits)
    for check, known in _GEOMETRY:
        bench.run(check, known)
    return bench.findings


def said_hints(resolved: Resolved, limits: Limits | None = None) -> list[Finding]:
    """Return hints at what the file leaves to a table of examples: sizes to be confirmed against the part in hand."""
    bench = Bench(resolved.strut, limit_table.standard() if limits is None else limits)
    said.check(bench, resolved)
    return bench.findings
