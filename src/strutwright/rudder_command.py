"""The command `rudder`: points on the stock to its axis, the heel's bore against it, shims and run-out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from strutwright import bench
from strutwright.errors import Exit

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.models.resolve import Resolved
    from strutwright.params.bench.rudder import RudderStock
    from strutwright.params.limits import Limits
    from strutwright.params.quantity import FileUnits


def _kind() -> type[RudderStock]:
    from strutwright.params.bench.rudder import RudderStock

    return RudderStock


def _form(found: Resolved | None, units: FileUnits, _limits: Limits | None) -> Form:
    from strutwright.exporters.bench.rudder import form

    return form(units)


def _answer(question: bench.Question[RudderStock]) -> bench.Answer:
    from strutwright.exporters.bench.rudder import document, limit_words, rows, stock_sheets
    from strutwright.models.bench.heel_axis import heel_axis
    from strutwright.models.bench.rudder import against, stock_of
    from strutwright.params.limits import standard
    from strutwright.params.problems import ParameterError
    from strutwright.params.words import read

    said, strut = question.measured.said, None if question.found is None else question.found.strut
    heel = None if strut is None or strut.skeg is None else strut.skeg.heel
    lowest = [p.above_shaft for p in said.heel] or [p.above_shaft for p in said.points]
    below = -heel.centre_mm[2] if heel is not None else -min(lowest, default=0.0)
    turned = [k for k, one in enumerate(said.turned) if one.least > one.most]
    if turned:
        advice = "change the two over, or read the dial again"
        problem = question.measured.problem
        raise ParameterError([problem(f"turned[{k}].least", "is over the greatest", "", "", advice) for k in turned])
    try:
        found = stock_of(said, below)
    except ValueError as error:
        raise ParameterError([question.measured.problem("points", str(error), "", "", "measure more points")]) from None
    try:
        measured = heel_axis(said.heel, said.heel_scatter, below) if said.heel else None
    except ValueError as error:
        raise ParameterError([question.measured.problem("heel", str(error), "", "", "measure more points")]) from None
    limits, made = standard() if question.limits is None else question.limits, None
    if heel is not None and strut is not None:
        made = against(strut, heel, found, limits, said.bush_length, measured)
    told = rows(found, made, said, question.unit, measured)
    sheets = stock_sheets(
        told, found, said, imprint=question.imprint, units=question.unit, heel=made, measured=measured
    )
    doubts = (*found.doubts, *(measured.doubts if measured is not None else ()))
    out = any(stand == "out" for *_, stand in told)
    doubtful = any(stand in ("measure again", "worn") for *_, stand in told)
    lines = [f"{what}: {', '.join(t for t in (*others, stand.upper()) if t)}" for what, *others, stand in told]
    lines += [f"  - {read(doubt, question.unit)}" for doubt in doubts]
    lines += [f"  - {limit_words(limit)}" for limit in (made.rests_on if made is not None else ())]
    if strut is not None and heel is None:
        lines.append("  - the set has no heel: only the axis is told")
    status = Exit.FAILURE if out else Exit.WARNINGS if doubtful or doubts else Exit.PASS
    return bench.Answer(text="\n".join(lines), data=document(found, made, told, measured), sheets=sheets, status=status)


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
