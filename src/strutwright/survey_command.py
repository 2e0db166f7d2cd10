"""The command `survey`: readings of hull and shaft line to the figures of the strut."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from strutwright import bench
from strutwright.errors import Exit, UserError

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.models.resolve import Resolved
    from strutwright.params.bench.survey import Survey
    from strutwright.params.quantity import FileUnits


def _kind() -> type[Survey]:
    from strutwright.params.bench.survey import Survey

    return Survey


def _form(found: Resolved | None, units: FileUnits) -> Form:
    from strutwright.exporters.bench.survey_form import form

    return form(found, units)


def _answer(asked: bench.Question[Survey]) -> bench.Answer:
    from strutwright.exporters.bench import survey as out
    from strutwright.models.bench.survey import survey
    from strutwright.params.bench.survey import checked
    from strutwright.params.problems import ParameterError

    said = checked(asked.measured)
    _same_side(said, asked.found)
    try:
        found = survey(said, asked.found)
    except ValueError as error:
        raise ParameterError([asked.measured.problem("hull", str(error), "", "", "measure more points")]) from None
    of = None if asked.found is None else asked.found.strut.identity
    sheets = out.sheets(
        found,
        paper=asked.paper,
        reference=asked.reference,
        identification="" if of is None else of.number,
        called="" if of is None else of.name,
    )
    out_of_line = [p.name for s in found.sides for p in s.hull if p.out]
    out_of_line += [p.name for s in found.sides for p in s.line if p.out]
    return bench.Answer(
        text=out.text(found), data=out.document(found), sheets=sheets, status=Exit.WARNINGS if out_of_line else Exit.PASS
    )


def _same_side(said: Survey, found: Resolved | None) -> None:
    """Raise UserError where the survey is of another side than the set."""
    if found is None:
        return
    hand = found.said.identity.hand
    if said.side != hand and not (hand == "pair" and said.side in ("port", "starboard")):
        raise UserError(
            f"the survey is of the side `{said.side}`, the set of `{hand}` (identity.hand): bring them together"
        )


WORK: bench.Work[Any] = bench.Work(
    name="survey",
    text="from points on hull and shaft line, or an old strut on the bench, to the strut's angles, drop and clearances",
    kind=_kind,
    form=_form,
    answer=_answer,
)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    bench.add_command(add, WORK)
