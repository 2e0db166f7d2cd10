"""The command `straighten`: readings of a bent palm to the next stroke of the press."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from strutwright import bench
from strutwright.errors import Exit

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.models.resolve import Resolved
    from strutwright.params.bench.straightening import Straightening
    from strutwright.params.limits import Limits
    from strutwright.params.quantity import FileUnits

STATUS = {"flat": Exit.PASS, "push": Exit.WARNINGS, "refused": Exit.FAILURE}


def _kind() -> type[Straightening]:
    from strutwright.params.bench.straightening import Straightening

    return Straightening


def _form(_found: Resolved | None, units: FileUnits, _limits: Limits | None) -> Form:
    from strutwright.exporters.bench.straightening import form

    return form(units)


def _answer(asked: bench.Question[Straightening]) -> bench.Answer:
    from strutwright.exporters.bench import straightening as out
    from strutwright.models.bench.palm_shape import TooFewError
    from strutwright.models.bench.straightening_case import NotKnownError, case_of, straightened
    from strutwright.params import limits as table
    from strutwright.params.bench.straightening import checked
    from strutwright.params.problems import ParameterError

    said = checked(asked.measured, has_set=asked.found is not None)
    limits = asked.limits if asked.limits is not None else table.standard()
    strut = None if asked.found is None else asked.found.strut
    try:
        found = straightened(said, case_of(said, strut, limits), strut)
    except NotKnownError as error:
        raise ParameterError([asked.measured.problem(error.where, str(error))]) from None
    except TooFewError as error:
        raise ParameterError([asked.measured.problem("heights", str(error))]) from None
    card = out.sheet(found, said, imprint=asked.imprint)
    return bench.Answer(
        text=out.text(found, said.units), data=out.document(found), sheets=[card], status=STATUS[found.step.verdict]
    )


WORK = bench.Work(
    name="straighten",
    text="from readings of a bent palm and the strokes so far: its shape, and the next stroke of the press",
    kind=_kind,
    form=_form,
    answer=_answer,
)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    bench.add_command(add, WORK)
