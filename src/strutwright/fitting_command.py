"""The command `fitting`: bore, bearing and shaft as measured to whether and how the bearing is fitted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from strutwright import bench
from strutwright.errors import Exit

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.models.resolve import Resolved
    from strutwright.params.bench.fitting import Fitting
    from strutwright.params.limits import Limits
    from strutwright.params.quantity import FileUnits

STATUS = {"go": Exit.PASS, "doubtful": Exit.WARNINGS, "no go": Exit.FAILURE}


def _kind() -> type[Fitting]:
    from strutwright.params.bench.fitting import Fitting

    return Fitting


def _form(found: Resolved | None, units: FileUnits, _limits: Limits | None) -> Form:
    from strutwright.exporters.bench.fitting import form

    return form(found, units)


def _answer(asked: bench.Question[Fitting]) -> bench.Answer:
    from strutwright.exporters.bench import fitting as out
    from strutwright.models.bench.fitting import fit
    from strutwright.models.bench.fitting_case import NotKnownError, case_of
    from strutwright.models.bench.fitting_screws import clocking, mark_out
    from strutwright.params import limits as table
    from strutwright.params.bench.fitting import checked
    from strutwright.params.problems import ParameterError

    said = checked(asked.measured, has_set=asked.found is not None)
    limits = asked.limits if asked.limits is not None else table.standard()
    strut = None if asked.found is None else asked.found.strut
    try:
        case = case_of(said, strut, limits)
        clocked = clocking(case, limits, said.first_flute)
    except NotKnownError as error:
        faults = [asked.measured.problem(at, words, "", "", "measure it again") for at, words in error.faults]
        raise ParameterError(faults) from None
    found = out.Answered(fit(case, limits, said.press), mark_out(case, limits, clocked), clocked)
    sheets = out.card(found, said, imprint=asked.imprint)
    status = STATUS[found.fitted.verdict]
    if status is Exit.PASS and any(m.faults for m in found.marked):
        status = Exit.WARNINGS
    return bench.Answer(text=out.text(found, said.units), data=out.document(found), sheets=sheets, status=status)


WORK = bench.Work(
    name="fitting",
    text="from bore, bearing and shaft as measured: whether the bearing goes in, how, and where its screws go",
    kind=_kind,
    form=_form,
    answer=_answer,
)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    bench.add_command(add, WORK)
