"""Commands for work on the boat and at the bench: each takes a file of readings, answers it and keeps a record.

strutwright WORK READINGS [--set FILE] [--out JOB] [--paper A4|letter] [--json]
strutwright WORK --blank FOLDER
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, Literal, TypeVar

from strutwright import __version__
from strutwright.errors import Exit, UserError, faults_of, no_place, refuse_existing
from strutwright.models.guidance import GUIDANCE

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.exporters.bench.paper import Imprint
    from strutwright.exporters.drawing.sheet import Sheet
    from strutwright.models.resolve import Resolved
    from strutwright.params.limits import Limits
    from strutwright.params.measured import Measured, Reading
    from strutwright.params.quantity import FileUnits

MOST_FORM = 32 * 1024 * 1024
"""Bytes of a form that is read: a hundred times what one has."""

M = TypeVar("M", bound="Reading")


@dataclass(frozen=True, slots=True, kw_only=True)
class Question(Generic[M]):
    """What a work is asked: the readings, the set of the strut where one is named, and the words of the command.

    limits: None for the shipped ones. imprint: for its sheets, with the strut of the set.
    """

    measured: Measured[M]
    found: Resolved | None
    limits: Limits | None
    imprint: Imprint
    arguments: argparse.Namespace

    @property
    def unit(self) -> FileUnits:
        """The unit of what is told: that of the readings."""
        return self.measured.said.units


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a work answers. text: for a person; data: plain data for JSON; sheets: for the record, as one PDF.

    also: other files of the record, by name. then: what is to be done when the record stands, which returns a line
    that tells it.
    """

    text: str
    data: Mapping[str, object]
    sheets: list[Sheet]
    status: Exit = Exit.PASS
    also: Mapping[str, bytes] = field(default_factory=dict)
    then: Callable[[], str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Work(Generic[M]):
    """A piece of work on the boat or at the bench.

    name: of its command and its records. kind: gives its kind of readings; form: its blank form, for a set where one
    is named, by the limits of the job; answer: what it answers. Those three are called when the command runs, so that
    others start at once. wants_set: whether a set has to be named to have it answered. options: adds what only this
    command takes. printed: the form as it is to be written, by these.
    """

    name: str
    text: str
    kind: Callable[[], type[M]]
    form: Callable[[Resolved | None, FileUnits, Limits | None], Form]
    answer: Callable[[Question[M]], Answer]
    wants_set: Literal["no", "may", "must"] = "may"
    options: Callable[[argparse.ArgumentParser], None] | None = None
    printed: Callable[[Form, argparse.Namespace, Imprint], Form] | None = None


def add_command(add: Any, work: Work[Any]) -> None:
    """Add the command of a work to the command line."""
    from strutwright.cli import add_limits

    command = add(work.name, lambda arguments: run(work, arguments), work.text)
    command.add_argument(
        "readings",
        metavar="READINGS",
        nargs="?",
        help="a YAML or CSV file of readings, a form filled in as PDF, or the name of a shipped example",
    )
    if work.wants_set != "no":
        command.add_argument("--set", metavar="FILE", help="the strut's parameter set, or the name of a shipped one")
        add_limits(command)
    command.add_argument(
        "--out",
        metavar="FOLDER",
        help="the job's folder, in which the record is kept (default: out/NAME, as for build)",
    )
    command.add_argument("--paper", choices=("A4", "letter"), default="A4", help="paper of the sheet (default A4)")
    command.add_argument("--json", action="store_true", help="print JSON")
    command.add_argument(
        "--blank", metavar="FOLDER", help="write the blank form, to print and as CSV, to this folder, and no more"
    )
    command.add_argument("--units", choices=("mm", "in"), default="mm", help="of the blank form (default mm)")
    if work.options is not None:
        work.options(command)


def run(work: Work[Any], arguments: argparse.Namespace) -> int:
    """Answer a file of readings, print and keep the record; or write the blank form."""
    from strutwright.cli import limits_in, resolved, say_json
    from strutwright.exporters.files.outdir import OutputFolderError
    from strutwright.exporters.files.records import add_record
    from strutwright.params.measured import read

    named = getattr(arguments, "set", None)
    limits = limits_in(getattr(arguments, "limits", None))
    found = resolved(named, limits, work.name) if named else None
    if arguments.blank is not None:
        return _blank(work, arguments, found, limits)
    if work.wants_set == "must" and found is None:
        raise UserError(f"{work.name}: needs the strut; add --set FILE, a YAML file or the name of a shipped set")
    if arguments.readings is None:
        raise UserError(
            f"{work.name}: needs a file of readings; `strutwright {work.name} --blank FOLDER` writes the form for them"
        )
    path = find_readings(arguments.readings)
    with faults_of(arguments.readings):
        measured = _filled_in(work, path, found, limits) if path.suffix.lower() == ".pdf" else read(path, work.kind())
        question: Question[Any] = Question(
            measured=measured,
            found=found,
            limits=limits,
            imprint=_imprint(arguments, found, f", readings {measured.sha256[:12]}"),
            arguments=arguments,
        )
        answer = work.answer(question)
    data = _data(work, arguments, measured, answer)
    job = Path(arguments.out) if arguments.out is not None else Path("out") / _job_name(found, path)
    try:
        record = add_record(job, work.name, _files(work, path, measured, answer, data))
    except OutputFolderError as error:
        raise UserError(str(error)) from None
    told = answer.then() if answer.then is not None else ""
    if arguments.json:
        say_json({**data, "record": str(record)})
    else:
        lines = [answer.text, f"record in {record}", told, GUIDANCE]
        print("\n".join(line for line in lines if line))
    return answer.status


def _filled_in(work: Work[Any], path: Path, found: Resolved | None, limits: Limits | None) -> Measured[Any]:
    """The readings in a form that was filled in on a screen."""
    from dataclasses import replace

    from strutwright.exporters.bench.fillable import csv_of, filled_in
    from strutwright.params.measured import reads
    from strutwright.params.problems import shown

    try:
        if path.stat().st_size > MOST_FORM:
            raise ValueError(f"it is over {MOST_FORM // 1024**2} MB, which no form is")
        raw = path.read_bytes()
        filled = filled_in(raw)
    except (OSError, ValueError) as error:
        raise UserError(f"{path}: cannot be read ({no_place(path, error)})") from None
    if filled is None:
        raise UserError(
            f"{path}: is no form of this program, or was printed to a file after it was filled in; "
            f"`strutwright {work.name} --blank FOLDER` writes one, save it as a form"
        )
    form = work.form(found, filled.units, limits)
    if form.title != filled.title:
        raise UserError(f"{path}: is the form `{shown(filled.title)}`, not `{form.title}`, which {work.name} reads")
    try:
        text = csv_of(form, filled)
    except ValueError as error:
        raise UserError(f"{path}: {error}") from None
    return replace(reads(text, work.kind(), f"{path}, as CSV", as_csv=True), raw=raw)


def find_readings(name: str) -> Path:
    """Return the path of a file of readings or of a shipped example. Raises UserError with the near miss."""
    import difflib

    from strutwright.params.measured import examples

    path, known = Path(name), examples()
    try:
        if path.is_file():
            return path
    except (OSError, ValueError) as error:
        raise UserError(f"{name[:60]!r}: cannot be read ({no_place(path, error)})") from None
    if name in known:
        return known[name]
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    raise UserError(
        f"{name[:60]}: no such file, and no shipped example has this name"
        + (f"; did you mean {near[0]}?" if near else f"; there are {', '.join(known)}")
    )


def _imprint(arguments: argparse.Namespace, found: Resolved | None, more: str = "") -> Imprint:
    """What the sheets have of the command and the strut. more: what they come from besides the program."""
    from strutwright.exporters.bench.paper import Imprint

    made = Imprint(paper=arguments.paper, reference=f"strutwright {__version__}{more}")
    return made.of(None if found is None else found.strut)


def _job_name(found: Resolved | None, readings: Path) -> str:
    from strutwright.exporters.files.outdir import slug

    return slug(found.strut.identity.name if found is not None else readings.stem)


def _data(work: Work[Any], arguments: argparse.Namespace, measured: Measured[Any], answer: Answer) -> dict[str, object]:
    """What the record's JSON file says."""
    from strutwright.cli import find, limits_sha256
    from strutwright.exporters.files.manifest import sha256

    named = getattr(arguments, "set", None)
    limits = limits_sha256(arguments.limits) if hasattr(arguments, "limits") else ""
    return {
        "program": f"strutwright {__version__}",
        "work": work.name,
        "readings_sha256": measured.sha256,
        **({"set_sha256": sha256(find(named).read_bytes())} if named else {}),
        **({"limits_sha256": limits} if limits else {}),
        "guidance": GUIDANCE,
        "exit": int(answer.status),
        **answer.data,
    }


def _files(
    work: Work[Any], path: Path, measured: Measured[Any], answer: Answer, data: Mapping[str, object]
) -> dict[str, bytes]:
    """The files of the record."""
    import json

    from strutwright.exporters.bench.paper import pdf_of

    files = {
        f"readings{path.suffix.lower()}": measured.raw,
        f"{work.name}.json": (json.dumps(data, indent=1, allow_nan=False) + "\n").encode(),
        **answer.also,
    }
    if answer.sheets:
        files[f"{work.name}.pdf"] = pdf_of(answer.sheets, work.text)
    return files


def _blank(work: Work[Any], arguments: argparse.Namespace, found: Resolved | None, limits: Limits | None) -> int:
    """Write the blank form, to print and as CSV."""
    from strutwright.exporters.bench.fillable import fillable_pdf
    from strutwright.exporters.files.outdir import lacking_of, remove_empty

    units = found.strut.file_units if found is not None else arguments.units
    form = work.form(found, units, limits)
    imprint = _imprint(arguments, found)
    if work.printed is not None:
        form = work.printed(form, arguments, imprint)
    sheets = form.sheets(imprint)
    folder = Path(arguments.blank)
    made = {f"{work.name}-form.pdf": fillable_pdf(form, sheets), f"{work.name}-form.csv": form.csv.encode()}
    lacking = lacking_of(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name in made:
            refuse_existing(folder / name)
        for name, data in made.items():
            write_whole(folder / name, data)
    except OSError as error:
        raise UserError(f"{folder}: cannot be written ({no_place(folder, error)})") from None
    finally:
        remove_empty(lacking)
    if arguments.json:
        from strutwright.cli import say_json

        say_json({"work": work.name, "folder": str(folder), "files": sorted(made)})
    else:
        print(f"{' and '.join(made)} in {folder}")
    return Exit.PASS


def write_whole(path: Path, data: bytes) -> None:
    """Write a file in one step: beside its place first, then moved there. Raises UserError."""
    import os

    from strutwright.exporters.files.outdir import no_room

    beside = path.with_name(f".{path.name}.strutwright-new-{os.getpid()}")
    try:
        beside.write_bytes(data)
        beside.replace(path)
    except (OSError, ValueError) as error:
        raise UserError(no_room(error, str(path)) or f"{path}: cannot be written ({no_place(path, error)})") from None
    finally:
        beside.unlink(missing_ok=True)
