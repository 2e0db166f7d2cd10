"""The command `repair`: what can be done with a strut that is worn, bent, cracked or has wasted bolts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from strutwright import bench
from strutwright.errors import Exit

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.models.resolve import Resolved
    from strutwright.params.bench.repair import Repair
    from strutwright.params.limits import Limits
    from strutwright.params.quantity import FileUnits


def _kind() -> type[Repair]:
    from strutwright.params.bench.repair import Repair

    return Repair


def _form(found: Resolved | None, units: FileUnits, _limits: Limits | None) -> Form:
    from strutwright.exporters.bench.repair import form

    return form(found, units)


def _answer(asked: bench.Question[Repair]) -> bench.Answer:
    from strutwright.exporters.bench import repair as out
    from strutwright.models.bench.repair import repair, room_of
    from strutwright.params import limits as table
    from strutwright.params.bench.repair import checked

    assert asked.found is not None
    strut = asked.found.strut
    said = checked(asked.measured, room_of(strut))
    found = repair(asked.found, said, asked.limits if asked.limits is not None else table.standard())
    made = out.sheets(found, said, imprint=asked.imprint)
    shifted = any(b.shift_mm for b in found.bearings)
    sound = not (found.worn_out or said.bends or said.cracks or said.bolts or shifted)
    status = Exit.FAILURE if found.cracked else Exit.PASS if sound else Exit.WARNINGS
    return bench.Answer(text=out.text(found, said.units), data=out.document(found), sheets=made, status=status)


WORK = bench.Work(
    name="repair",
    text="a worn, bent or cracked strut, its bore and bolts as measured: what can be done, each way held to the checks",
    kind=_kind,
    form=_form,
    answer=_answer,
    wants_set="must",
)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    bench.add_command(add, WORK)
