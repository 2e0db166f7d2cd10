"""What the file leaves to an example or an assumption and a person has to confirm: hints, never a failure."""
from __future__ import annotations

from strutwright.models.checks.bench import Bench, Check
from strutwright.models.resolve import Resolved
from strutwright.params.words import Amount, say

_GROUP = "to confirm"
BEARING = Check("bearing_to_confirm", _GROUP, "sizes of the bearing were measured, not taken from the example table")
CHECKS = (BEARING,)
_NAMES = ("outside_diameter", "shell", "outside_upper")


def check(bench: Bench, resolved: Resolved) -> None:
    """Hint at each size of a bearing that the file does not give."""
    said = {r.path for r in resolved.records if r.origin == "given"}
    for record in resolved.records:
        if f"{record.path.rpartition('.')[0]}.outside_measured" in said and record.path.endswith("diameter"):
            continue
        if record.origin != "given" and record.path.startswith("bearing") and record.path.endswith(_NAMES):
            bench.hint(BEARING, say("{path} not given, {taken} taken ({note})", path=record.path,
                                    taken=Amount(float(record.value), record.unit, fine=True), note=record.note),
                       parameter=record.path, advice="measure the bearing in hand and give it")
