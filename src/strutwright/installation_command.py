"""The command `installation`: the sheet for the yard with its blanks, and the record of how the strut was fitted."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from strutwright import bench
from strutwright.errors import Exit, UserError

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.exporters.bench.paper import Imprint
    from strutwright.models.finding import Finding
    from strutwright.models.resolve import Resolved
    from strutwright.params.bench.installation import AsFitted
    from strutwright.params.limits import Limits
    from strutwright.params.quantity import FileUnits


def _kind() -> type[AsFitted]:
    from strutwright.params.bench.installation import AsFitted

    return AsFitted


def _findings(found: Resolved, limits: Limits | None) -> dict[str, Finding]:
    from strutwright.job import run_checks
    from strutwright.models.bench.installation import that_count

    return that_count(run_checks(found, limits=limits))


def _form(found: Resolved | None, units: FileUnits, limits: Limits | None) -> Form:
    from strutwright.exporters.bench.installation import installation_form

    if found is None:
        raise UserError("installation: the form needs the strut; add --set FILE")
    return installation_form(found.strut, _findings(found, limits), units)


def _printed(form: Form, _arguments: argparse.Namespace, imprint: Imprint) -> Form:
    from strutwright.exporters.bench.installation import with_trial_to_the_foot

    return with_trial_to_the_foot(form, imprint)


def _answer(question: bench.Question[AsFitted]) -> bench.Answer:
    from strutwright.exporters.bench.installation import as_fitted_sheets, document, stand_line
    from strutwright.models.bench.installation import Stand, judge, lacking
    from strutwright.params.words import read

    found = question.found
    assert found is not None
    said, identity = question.measured.said, found.strut.identity
    told = judge(said, _findings(found, question.limits), found.strut.hull.thickness_mm)
    lacks = lacking(said, found.strut)
    sheets = as_fitted_sheets(told, lacks, said, imprint=question.imprint, units=question.unit)
    stands = {t.stand for t in told}
    status = Exit.FAILURE if Stand.OUT in stands else Exit.WARNINGS if Stand.LOOK in stands or lacks else Exit.PASS
    lines = [stand_line(told)]
    for t in told:
        if t.stand in (Stand.OUT, Stand.LOOK):
            figures = ", ".join(words for words in (read(w, question.unit) for w in (t.found, t.limit)) if words)
            lines.append(f"{str(t.stand).upper():<12}{t.what}: {figures}")
    if lacks:
        lines.append(f"not measured: {', '.join(lacks)}")
    return bench.Answer(
        text="\n".join(lines), data={"set": identity.name, **document(said, told, lacks)}, sheets=sheets, status=status
    )


WORK: bench.Work[AsFitted] = bench.Work(
    name="installation",
    text="the sheet for the yard (--blank), and the record of how the strut was fitted and of its first trial",
    kind=_kind,
    form=_form,
    answer=_answer,
    wants_set="must",
    printed=_printed,
)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    bench.add_command(add, WORK)
