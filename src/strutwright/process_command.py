"""The command `process`: the order of work for a strut, with the shop's rates."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from strutwright import bench

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.models.resolve import Resolved
    from strutwright.params.bench.process import ShopRates
    from strutwright.params.limits import Limits
    from strutwright.params.quantity import FileUnits


def _kind() -> type[ShopRates]:
    from strutwright.params.bench.process import ShopRates

    return ShopRates


def _form(found: Resolved | None, units: FileUnits, _limits: Limits | None) -> Form:
    from strutwright.exporters.bench.blank import form_of

    return form_of(_kind(), "Shop rates", units=units, rows={"prices": 8})


def _press_words(found: Resolved, limits: Any) -> str:
    """The force that presses the bearing in, for the sheet on which it is used."""
    from strutwright.job import run_checks
    from strutwright.models.bench.installation import press_words, that_count

    return press_words(that_count(run_checks(found, limits=limits)), found.strut.file_units)


def _answer(question: bench.Question[ShopRates]) -> bench.Answer:
    from strutwright.exporters.bench.process import document, lines, process_sheets
    from strutwright.inspection_command import rows_of
    from strutwright.models.bench.process import estimate, operations
    from strutwright.params import limits

    found = question.found
    assert found is not None
    strut, rates, units = found.strut, question.measured.said, found.strut.file_units
    rows, _ = rows_of(found, question.limits)
    in_force = question.limits or limits.standard()
    made = operations(strut, in_force, rates, len(rows), _press_words(found, question.limits))
    comes_to = estimate(strut, made, rates)
    sheets = process_sheets(made, comes_to, rates, imprint=question.imprint, units=units)
    return bench.Answer(
        text="\n".join(lines(made, comes_to, rates, units)),
        data={"set": strut.identity.name, **document(made, comes_to, rates, units)},
        sheets=sheets,
    )


WORK: bench.Work[ShopRates] = bench.Work(
    name="process",
    text="the order of work for a strut with its figures, holds and cautions, and an estimate by the shop's rates",
    kind=_kind,
    form=_form,
    answer=_answer,
    wants_set="must",
)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    bench.add_command(add, WORK)
