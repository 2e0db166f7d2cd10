"""What the file leaves to an example or an assumption and a person has to confirm: hints, never a failure."""

from __future__ import annotations

import math

from strutwright.models.checks.check import Check
from strutwright.models.checks.results import Results
from strutwright.models.finding import Standing
from strutwright.models.resolve import Resolved
from strutwright.params.words import Amount, deg, number, say

_GROUP = "to confirm"
BEARING = Check("bearing_to_confirm", _GROUP, "sizes of the bearing were measured, not taken from the example table")
TANGENT = Check(
    "angle_may_be_tangent",
    "hull",
    "a shaft angle is given in degrees, not as a rise over a run",
    ("angle_not_tangent",),
)
DEADRISE = Check("deadrise_to_confirm", "hull", "beside the keel the deadrise is given, not taken as nothing")
CHECKS = (BEARING, TANGENT, DEADRISE)
_NAMES = ("outside_diameter", "shell", "outside_upper")


def check(out: Results, resolved: Resolved) -> None:
    """Hint at each size of a bearing that the file does not give."""
    said = {r.path for r in resolved.records if r.origin == "given"}
    for record in resolved.records:
        if f"{record.path.rpartition('.')[0]}.outside_measured" in said and record.path.endswith("diameter"):
            continue
        if record.origin != "given" and record.path.startswith("bearing") and record.path.endswith(_NAMES):
            out.hint(
                BEARING,
                say(
                    "{path} not given, {taken} taken ({note})",
                    path=record.path,
                    taken=Amount(float(record.value), record.unit, fine=True),
                    note=record.note,
                ),
                parameter=record.path,
                advice="measure the bearing in hand and give it",
            )
    if "hull.deadrise" not in said and resolved.said.identity.hand != "centre":
        out.holds(
            DEADRISE,
            "hull.deadrise is not given, 0 is taken",
            False,
            warn=True,
            parameter="hull.deadrise",
            source="none",
            standing=Standing.PRACTICE,
            advice="measure the rise of the bottom going outboard and give it; 0 is an answer",
        )
    for name in ("to_waterline", "to_hull", "to_palm"):
        value = getattr(resolved.said.hull.shaft_angle, name)
        if value is not None and 0.0 < abs(value) < out.value("angle_not_tangent"):
            path, meant = f"hull.shaft_angle.{name}", math.degrees(math.atan(abs(value)))
            out.holds(
                TANGENT,
                say(
                    "{path} is {value}; as a rise over a run it would be {meant}",
                    path=path,
                    value=deg(value),
                    meant=deg(meant),
                ),
                False,
                warn=True,
                parameter=path,
                source="none",
                standing=Standing.PRACTICE,
                advice=say(
                    "if {value} is a rise over a run, write {meant}; else this is no fault",
                    value=number(value),
                    meant=deg(math.copysign(meant, value)),
                ),
            )
