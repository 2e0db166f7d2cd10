"""The command `inspection`: an inspection record, filled in, read back and judged."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright import bench
from strutwright.errors import Exit, UserError

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.exporters.bench.paper import Imprint
    from strutwright.models.bench.inspection import Row, Value
    from strutwright.models.resolve import Resolved
    from strutwright.params.bench.inspection import Inspection
    from strutwright.params.limits import Limits
    from strutwright.params.measured import Measured
    from strutwright.params.problems import Problem
    from strutwright.params.quantity import FileUnits

_COMMA = re.compile(r"-?[0-9]*,[0-9]+\Z")
_BARE = re.compile(r"[0-9.\s]+(mm|in)?")
"""What a decimal comma that parts two cells leaves where the instrument should stand."""


def _kind() -> type[Inspection]:
    from strutwright.params.bench.inspection import Inspection

    return Inspection


def _form(found: Resolved | None, units: FileUnits, limits: Limits | None) -> Form:
    from strutwright.exporters.bench.inspection import record_form

    if found is None:
        raise UserError("inspection: the form needs the strut; add --set FILE")
    rows, unit = rows_of(found, limits)
    return record_form(rows, unit, sha256_of(rows))


def _printed(form: Form, _arguments: argparse.Namespace, imprint: Imprint) -> Form:
    from strutwright.exporters.bench.inspection import to_write_on

    return to_write_on(form, imprint)


def sha256_of(rows: Sequence[Row]) -> str:
    """What tells a record from others: its rows in their order, with what each is held to. What else the set says, and
    how a version of the program words it, leaves a form as good as it was."""
    from strutwright.exporters.files.manifest import sha256

    return sha256("\n".join(f"{r.code} {r.nominal} {r.lower} {r.upper}" for r in rows).encode())


def rows_of(found: Resolved, limits: Limits | None) -> tuple[list[Row], FileUnits]:
    """Return the characteristics of a strut as its record has them, and the unit of their lengths."""
    from strutwright.exporters.sheets.context import SheetContext
    from strutwright.exporters.sheets.record import record_rows
    from strutwright.models.solids import Built
    from strutwright.params.limits import standard

    held = standard() if limits is None else limits
    context = SheetContext(found, found.strut, Built("", (), [], 0.0), "", "", limits=held)
    return record_rows(context), context.unit


def _answer(question: bench.Question[Inspection]) -> bench.Answer:
    from strutwright.exporters.bench.inspection import consequence_lines, document, record_sheets, verdict_line
    from strutwright.models.bench.inspection import Verdict
    from strutwright.models.bench.record_back import consequences, judge

    found = question.found
    assert found is not None
    rows, units = rows_of(found, question.limits)
    readings, said, notes = _read(question.measured, rows, units)
    made = judge(rows, readings, said, units)
    followed = consequences(found, made, question.limits)
    identity = found.strut.identity
    sheets = record_sheets(
        made, followed, question.measured.said, imprint=question.imprint, units=units, sha256=question.measured.sha256
    )
    stand = {r.verdict for r in made}
    status = (
        Exit.FAILURE
        if Verdict.OUT in stand
        else Exit.WARNINGS
        if stand & {Verdict.DOUBTFUL, Verdict.OPEN}
        else Exit.PASS
    )
    text = [verdict_line(made), *(_line(r, units) for r in made if r.verdict not in (Verdict.IN, Verdict.NOTED))]
    return bench.Answer(
        text="\n".join([*text, *consequence_lines(followed, units), *notes]),
        data={"set": identity.name, "part": question.measured.said.part, **document(made, followed), "notes": notes},
        sheets=sheets,
        status=status,
    )


def _line(row: Any, units: FileUnits) -> str:
    from strutwright.exporters.bench.inspection import figures

    limits = " to ".join(t for t in (row.row.lower, row.row.upper) if t)
    found = " ±".join(t for t in figures(row, units) if t)
    told = "; ".join(
        t for t in (f"found {found}" if found else "", f"limits {limits}" if limits else "", row.note) if t
    )
    return f"{str(row.verdict).upper():<14}{row.number:>3}  {row.row.what}{': ' if told else ''}{told}"


def _read(
    measured: Measured[Inspection], rows: Sequence[Row], units: FileUnits
) -> tuple[dict[str, Value], dict[str, str], list[str]]:
    """The readings by code, what was said where words are asked for, and what is to be told of the form. Raises
    ParameterError with every fault."""
    from strutwright.params.problems import ParameterError

    known = {row.code: row for row in rows}
    numbers = {row.code: k for k, row in enumerate(rows, 1)}
    as_now = measured.said.parameters in (None, sha256_of(rows)[:12])
    readings: dict[str, Value] = {}
    said: dict[str, str] = {}
    faults: list[Problem] = []
    notes: list[str] = []
    seen: dict[str, int] = {}
    for k, line in enumerate(measured.said.lines):
        row = known.get(line.code)
        if row is None:
            faults.append(_unknown(measured, k, line.code, known))
        elif line.code in seen:
            faults.append(
                measured.problem(
                    f"lines[{k}].code", "stands twice", line.code, "each line once", f"see line {seen[line.code] + 1}"
                )
            )
        elif as_now and line.number not in (None, numbers[line.code]):
            # Cells that slipped a line on a spreadsheet: nobody knows which size was measured.
            what, allowed = "is not the number of this characteristic", f"{numbers[line.code]}, of {line.code}"
            do = "look whether the lines slipped against each other"
            faults.append(measured.problem(f"lines[{k}].number", what, str(line.number), allowed, do))
        else:
            seen[line.code] = k
            if (line.lower or "", line.upper or "") != (row.lower, row.upper):
                notes.append(f"{row.what}: the form was made with other limits; {row.lower} to {row.upper} count now")
            if line.measured is None:
                continue
            if row.derived:
                notes.append(f"{row.what}: what was typed is left aside, it is worked out from the others")
                continue
            _take(measured, k, row, units, readings, said, faults)
    if faults:
        raise ParameterError(faults)
    form = measured.said.parameters
    if form is not None and form != sha256_of(rows)[:12]:
        notes.insert(0, "the form was made of other sizes or limits than those of the set that is named now")
    return readings, said, notes


def _unknown(measured: Measured[Inspection], k: int, code: str, known: dict[str, Row]) -> Problem:
    import difflib

    near = difflib.get_close_matches(code, known, n=1, cutoff=0.5)
    advice = f"write `{near[0]}`" if near else "remove the line, or make the form anew with `--blank`"
    return measured.problem(f"lines[{k}].code", "is no characteristic of this strut", code, "", advice)


def _take(
    measured: Measured[Inspection],
    k: int,
    row: Row,
    units: FileUnits,
    readings: dict[str, Value],
    said: dict[str, str],
    faults: list[Problem],
) -> None:
    """Take what was measured in a line."""
    from strutwright.models.bench.inspection import Value, uncertainty_of
    from strutwright.params.quantity import ANGLE, LENGTH, MASS, QuantityError, parse

    line = measured.said.lines[k]
    text = str(line.measured)
    if row.asks == "words":
        said[row.code] = text
        return
    kind = {"length": LENGTH, "angle": ANGLE, "mass": MASS}[row.asks]
    try:
        value = parse(text.replace(",", ".") if _COMMA.match(text.strip()) else text, kind, units)
    except QuantityError as error:
        do = "write one number, as it was read; leave the cell empty where nothing was"
        if row.nominal == "flush":
            do = "write how far it stands over the face, below it with a minus"
        faults.append(measured.problem(f"lines[{k}].measured", str(error), text, error.allowed, do))
        return
    if value < 0.0 and row.nominal and not row.nominal.strip("0.") and not row.lower:
        # Any minus would keep to a limit that has only an upper end.
        what, do = "is under nought, where only the amount counts", "write the amount, without a sign"
        faults.append(measured.problem(f"lines[{k}].measured", what, text, f"0 to {row.upper}, else it is out", do))
        return
    if _BARE.fullmatch(line.instrument or ""):
        do = "write decimals with a point, or the whole cell in quotation marks"
        faults.append(measured.problem(f"lines[{k}].instrument", "is a number", str(line.instrument), "its name", do))
        return
    own = _own(measured.said, row.asks)
    used = row._replace(instrument=line.instrument or row.instrument)
    sure = uncertainty_of(used, own)
    if sure is None and row.asks != "mass":
        sure = uncertainty_of(row, own)
    if sure is None and (row.lower or row.upper):
        faults.append(
            measured.problem(
                f"lines[{k}].instrument",
                "has no uncertainty",
                used.instrument,
                "one of the table `instruments`, or one in the record's own list",
                "add it to `instruments` with its uncertainty",
            )
        )
        return
    readings[row.code] = Value(value, sure or 0.0)


def _own(said: Inspection, asks: str) -> dict[str, float]:
    """The uncertainties of the shop's own instruments, for lengths or for angles."""
    pairs = ((i.name, i.uncertainty_angle if asks == "angle" else i.uncertainty) for i in said.instruments)
    return {name: value for name, value in pairs if value is not None}


def _options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--parts",
        action="store_true",
        help="draw the parts whose records are in the job's folder between their limits; takes no readings",
    )
    command.set_defaults(run=lambda arguments: _parts(arguments) if arguments.parts else bench.run(WORK, arguments))


def _parts(arguments: argparse.Namespace) -> int:
    """Draw several parts of one number, and keep the picture as a record."""
    import json

    from strutwright.cli import limits_in, resolved, say_json
    from strutwright.exporters.bench import parts
    from strutwright.exporters.files.outdir import OutputFolderError, slug
    from strutwright.exporters.files.records import add_record
    from strutwright.models.bench.parts import spreads

    if not arguments.set:
        raise UserError("inspection --parts: needs the strut; add --set FILE")
    limits = limits_in(arguments.limits)
    found = resolved(arguments.set, limits)
    identity = found.strut.identity
    job = Path(arguments.out) if arguments.out is not None else Path("out") / slug(identity.name)
    rows, units = rows_of(found, limits)
    measured = _measured(job, identity.name)
    if len(measured) < 2:
        raise UserError(f"{job}: holds records of {len(measured)} parts of this strut; two at least are needed")
    made = spreads(list(measured.values()), [(r.code, r.what, *r.limits(units)) for r in rows])
    data = parts.document(list(measured), made)
    plot = parts.picture(identity.number, list(measured), made)
    files = {"parts.svg": plot.svg().encode(), "parts.json": (json.dumps(data, indent=1) + "\n").encode()}
    try:
        record = add_record(job, "parts", files)
    except OutputFolderError as error:
        raise UserError(str(error)) from None
    if arguments.json:
        say_json({**data, "record": str(record)})
    else:
        print(f"{len(measured)} parts, {len(made)} characteristics\nrecord in {record}")
    return Exit.PASS


def _measured(job: Path, name: str) -> dict[str, dict[str, float]]:
    """What was measured on each part of a strut, by its mark; of a part measured again the later record."""
    import json

    from strutwright.exporters.files.records import changed_files, records

    found: dict[str, dict[str, float]] = {}
    for record in records(job, "inspection"):
        if changed := changed_files(record):
            raise UserError(f"{record}: changed by hand since it was written: {', '.join(changed)}")
        data = json.loads((record / "inspection.json").read_text(encoding="utf-8"))
        if data["set"] == name:
            mark = data["part"] or record.name
            found.pop(mark, None)
            found[mark] = {r["code"]: r["value"] for r in data["rows"] if "value" in r}
    return found


WORK: bench.Work[Inspection] = bench.Work(
    name="inspection",
    text="judge an inspection record that was filled in: in, out or doubtful, and what follows",
    kind=_kind,
    form=_form,
    answer=_answer,
    wants_set="must",
    options=_options,
    printed=_printed,
)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    bench.add_command(add, WORK)
