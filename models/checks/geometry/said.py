"""What the file leaves to an example or an assumption and a person has to confirm, never a failure."""

from __future__ import annotations

import math

from strutwright.models.checks.check import rows_of
from strutwright.models.checks.results import Results
from strutwright.models.finding import Standing
from strutwright.models.resolve import Resolved
from strutwright.params.schema import ParameterSet
from strutwright.params.words import Amount, deg, number

CHECKS = (BEARING, TANGENT, DEADRISE) = rows_of("said")
_NAMES = ("outside_diameter", "shell", "outside_upper")


def check(out: Results, resolved: Resolved) -> None:
    """Tell each size of a bearing that the file does not give.

    >>> out = Results.of(shipped("canal-tender"))
    >>> check(out, resolved("canal-tender"))
    >>> out.findings[0].parameter
    'bearing.outside_upper'
    """
    said = {r.path for r in resolved.records if r.origin == "given"}
    for record in resolved.records:
        if f"{record.path.rpartition('.')[0]}.outside_measured" in said and record.path.endswith("diameter"):
            continue
        if record.origin != "given" and record.path.startswith("bearing") and record.path.endswith(_NAMES):
            out.inform(
                BEARING, path=record.path, taken=Amount(float(record.value), record.unit, fine=True), note=record.note
            )
    if isinstance(resolved.said, ParameterSet):
        _hull(out, resolved.said, said)


def _hull(out: Results, file: ParameterSet, said: set[str]) -> None:
    """said: paths of what the file gives."""
    if "hull.deadrise" not in said and file.identity.hand != "centre":
        out.holds(DEADRISE, False, warn=True, source="none", standing=Standing.PRACTICE)
    for name in ("to_waterline", "to_hull", "to_palm"):
        value = getattr(file.hull.shaft_angle, name)
        if value is not None and 0.0 < abs(value) < out.value("angle_not_tangent"):
            path, meant = f"hull.shaft_angle.{name}", math.degrees(math.atan(abs(value)))
            out.holds(
                TANGENT,
                False,
                warn=True,
                source=out.limits["angle_not_tangent"].source,
                standing=Standing.PRACTICE,
                path=path,
                value=deg(value),
                meant=deg(meant),
                rise=number(value),
                angle=deg(math.copysign(meant, value)),
            )
