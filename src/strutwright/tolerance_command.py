"""The command `tolerances`: what they come to from hull to shaft, and which one to tighten."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright.errors import Exit, UserError

if TYPE_CHECKING:
    from strutwright.models.resolve import Resolved
    from strutwright.models.tolerance_answers import Answers


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    from strutwright.cli import add_limits

    command = add("tolerances", run, "add up the tolerances from hull to shaft, and tell which one to tighten")
    command.add_argument("file", metavar="FILE", help="a YAML file or the name of a shipped set")
    command.add_argument("--json", action="store_true", help="print JSON")
    command.add_argument("--out", metavar="FOLDER", help="folder for table and picture (default: out/NAME-tolerances)")
    add_limits(command)


def run(arguments: argparse.Namespace) -> int:
    """Add up, print and write; the exit status is 1 where a likely extreme is more than the bearing takes."""
    from strutwright.cli import limits_in, resolved, say_json
    from strutwright.exporters.web import tolerances
    from strutwright.models.inputs import Inputs
    from strutwright.models.tolerance_answers import answers

    limits = limits_in(arguments.limits)
    found = resolved(arguments.file, limits, "tolerances")
    made = answers(Inputs.from_strut(found.strut, found.said.loads, limits=limits))
    if made is None:
        raise UserError("shaft.bearing_span is not given: add the distance to the next bearing forward")
    folder, files = _written(arguments, found, made)
    if arguments.json:
        say_json({"set": found.strut.identity.name, **tolerances.as_data(made), "folder": str(folder), "files": files})
    else:
        print(_text(made, found.strut.file_units))
        print(f"{len(files)} files in {folder}")
    fitted = made.in_place if found.strut.hull.fitting == "in_place" else made.drawn
    return Exit.WARNINGS if fitted.likely.total_mrad > made.room_mrad else Exit.PASS


def _text(made: Answers, units: Any) -> str:
    from strutwright.exporters.web import tolerances

    def columns(rows: list[tuple[str, ...]]) -> list[str]:
        widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
        return ["  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip() for row in rows]

    shares = [tolerances.SHARE_HEADS, *tolerances.share_rows(made, units)]
    answers = columns([tolerances.HEADS, *tolerances.answer_rows(made)])
    return "\n".join([*answers, "", *columns(shares), "", *tolerances.sentences(made, units)])


def _written(arguments: argparse.Namespace, found: Resolved, made: Answers) -> tuple[Path, dict[str, str]]:
    from strutwright import __version__
    from strutwright.cli import find, limits_sha256
    from strutwright.exporters.files.manifest import Manifest, sha256, write_manifest
    from strutwright.exporters.files.outdir import OutputFolderError, keep_earlier, output_folder, slug
    from strutwright.exporters.web import tolerances

    strut = found.strut
    stem = f"{slug(strut.identity.name)}-tolerances"
    folder = Path(arguments.out) if arguments.out is not None else Path("out") / stem
    source = find(arguments.file).read_bytes()
    origin = Manifest(__version__, sha256(source), (), limits_sha256(arguments.limits))
    files = {f"{stem}.csv": "every tolerance and what it does", f"{stem}.svg": "picture of their shares"}
    try:
        with output_folder(folder) as new:
            (new / f"{stem}.csv").write_bytes(tolerances.csv_of(made, strut.file_units).encode())
            tolerances.picture(strut.identity.name, made).write(new / f"{stem}.svg")
            kept, _ = keep_earlier(folder, new, files, origin, lambda entry: False)
            files |= {entry.path: entry.what for entry in kept}
            write_manifest(new, files, **origin.origin())
    except OutputFolderError as error:
        raise UserError(str(error)) from None
    return folder, files
