"""The command `rudder`: points on the stock to its axis, the heel's bore against it, shims and run-out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from strutwright import bench
from strutwright.errors import Exit

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.models.resolve import Resolved
    from strutwright.params.bench.rudder import RudderStock
    from strutwright.params.quantity import FileUnits


def _kind() -> type[RudderStock]:
    from strutwright.params.bench.rudder import RudderStock

    return RudderStock


def _form(found: Resolved | None, units: FileUnits) -> Form:
    from strutwright.exporters.bench.blank import form_of

    return form_of(_kind(), "Rudder stock", units=units, rows={"points": 8, "turned": 4})


def _answer(question: bench.Question[RudderStock]) -> bench.Answer:
    from strutwright.exporters.bench.rudder import document, rows, stock_sheet
    from strutwright.models.bench.rudder import against, stock_of
    from strutwright.params.problems import ParameterError
    from strutwright.params.words import read

    said, strut = question.measured.said, None if question.found is None else question.found.strut
    heel = None if strut is None or strut.skeg is None else strut.skeg.heel
    below = -heel.centre_mm[2] if heel is not None else -min((p.above_shaft for p in said.points), default=0.0)
    try:
        found = stock_of(said, below)
    except ValueError as error:
        raise ParameterError([question.measured.problem("points", str(error), "", "", "measure more points")]) from None
    made = None if heel is None or strut is None else against(strut, heel, found, said.bush_length)
    told = rows(found, made, said, question.unit)
    sheet = stock_sheet(told, found, said, imprint=question.imprint, units=question.unit)
    out = any(stand == "out" for *_, stand in told)
    doubtful = any(stand == "measure again" for *_, stand in told)
    lines = [f"{what}: {', '.join(t for t in (*others, stand.upper()) if t)}" for what, *others, stand in told]
    lines += [f"  - {read(doubt, question.unit)}" for doubt in found.doubts]
    if strut is not None and heel is None:
        lines.append("  - the set has no heel: only the axis is told")
    status = Exit.FAILURE if out else Exit.WARNINGS if doubtful or found.doubts else Exit.PASS
    return bench.Answer(text="\n".join(lines), data=document(found, made, told), sheets=[sheet], status=status)


WORK: bench.Work[RudderStock] = bench.Work(
    name="rudder",
    text="points on the rudder stock to its axis, and how a strut's heel stands to it: place, lean, shims, run-out",
    kind=_kind,
    form=_form,
    answer=_answer,
)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    bench.add_command(add, WORK)
