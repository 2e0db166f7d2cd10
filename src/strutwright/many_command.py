"""The command `many`: a folder of sets, or one set with a table of variations, built on all processors."""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright.errors import Exit, UserError, faults_of, write_whole

if TYPE_CHECKING:
    from strutwright.exporters.web.many_page import Row
    from strutwright.many import Set

SETS, TABLE, PAGE = "sets", "summary.csv", "index.html"
"""The folder of the sets that a table of variations made, and what tells of all, in the folder of all."""
_BAD = (Exit.INTERNAL, Exit.UNUSABLE, Exit.FAILURE, Exit.WARNINGS)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    from strutwright.cli import build_options

    many = add("many", run, "build a folder of sets, or one set with a table of variations, on all processors")
    many.add_argument("source", metavar="SOURCE", help="a folder of YAML files, or a set to vary")
    many.add_argument(
        "--table", metavar="FILE", help="CSV or YAML: a row for each variation, a column for each parameter"
    )
    many.add_argument("--jobs", metavar="N", type=int, help="worker processes (default: as many as processors)")
    many.add_argument(
        "--scheduler",
        metavar="ADDRESS",
        help="build on the workers of a Dask scheduler, such as tcp://192.168.1.20:8786; `here` starts one on this "
        "machine (optional extra)",
    )
    build_options(many)
    many.add_argument("--quiet", action="store_true", help="show no progress")
    many.add_argument("--json", action="store_true", help="print JSON")


def run(arguments: argparse.Namespace) -> int:
    """Build all; the exit status is that of the worst."""
    from dataclasses import asdict

    from strutwright import many, outputs
    from strutwright.cli import WHAT, jobs_of, say_json

    count = jobs_of(arguments.jobs)
    folder = Path(arguments.out or f"out/{Path(arguments.source).stem}-many")
    sets = _varied(arguments, folder) if arguments.table else _in_folder(arguments)
    order = outputs.Order(
        out=None,
        what=tuple(arguments.only or WHAT),
        hand=arguments.hand,
        step_units=arguments.step_units,
        despite_failures=arguments.despite_failures,
    )
    digests = {one.name: many.digest(one, order, _held_to(one, arguments.limits)) for one in sets}
    shown = _Shown(len(sets), quiet=arguments.quiet or arguments.json)
    rows = many.build_all(
        sets,
        folder,
        order,
        digests=digests,
        limits_file=arguments.limits,
        workers=count,
        scheduler=arguments.scheduler,
        told=shown.row,
    )
    _write(folder, rows)
    if arguments.json:
        say_json({"folder": str(folder), "sets": [asdict(row) for row in rows]})
    else:
        print(_text(rows, folder))
    return next((status for status in _BAD if any(row.status == status for row in rows)), Exit.PASS)


def _held_to(one: Set, limits_file: str | None) -> str:
    """What a set is held to, as the build of it says it. Raises UserError for a file that cannot be used."""
    from strutwright.cli import limits_in, limits_sha256
    from strutwright.confirm_command import in_force

    with in_force(one.confirmations, one.file):
        limits_in(limits_file)
        return limits_sha256(limits_file)


def _in_folder(arguments: argparse.Namespace) -> list[Set]:
    """The sets of a folder, by name."""
    from strutwright.confirm_command import FILE_NAME
    from strutwright.exporters.files.outdir import slug
    from strutwright.many import Set

    folder = Path(arguments.source)
    if not folder.is_dir():
        raise UserError(f"{folder}: is no folder; one set needs a table of variations (--table)")
    files = sorted(p for p in folder.iterdir() if p.suffix in (".yaml", ".yml") and p.name != FILE_NAME and p.is_file())
    if not files:
        raise UserError(f"{folder}: has no YAML files")
    names = [slug(p.stem) for p in files]
    if twice := sorted({n for n in names if names.count(n) > 1}):
        raise UserError(f"{folder}: files whose outputs would have one name: {', '.join(twice)}; rename one")
    return [Set(name, str(file), arguments.confirmations) for name, file in zip(names, files, strict=True)]


def _varied(arguments: argparse.Namespace, folder: Path) -> list[Set]:
    """The sets of a table, each written as a file in the folder of all. Raises UserError with every fault."""
    from strutwright.cli import find
    from strutwright.confirm_command import beside
    from strutwright.exporters.files.outdir import slug
    from strutwright.many import Set
    from strutwright.params import strict_yaml, variations
    from strutwright.params.problems import ParameterError

    base = find(arguments.source)
    with faults_of(str(base)):
        text = strict_yaml.text_of(base, "parameter set")[1]
    texts: dict[str, str] = {}
    with faults_of(arguments.table):
        document = variations.read(Path(arguments.table))
        faults = []
        for one in variations.variations(document):
            name = slug(one.name)
            if name in texts:
                faults.append(document.problem((one.name,), f"has the folder of another row, {name}", one.name))
                continue
            try:
                texts[name] = variations.text_of(text, one, document)
            except ParameterError as error:
                faults += error.problems
        if faults:
            raise ParameterError(faults)
    read = arguments.confirmations or beside(arguments.source)
    confirmations = None if read is None or not os.path.lexists(read) else str(read)
    sets = []
    for name, made in texts.items():
        file = folder / SETS / f"{name}.yaml"
        if not file.is_file() or file.read_text(encoding="utf-8") != made:
            write_whole(file, made)
        sets.append(Set(name, str(file), confirmations))
    return sets


def _write(folder: Path, rows: Sequence[Row]) -> None:
    from strutwright.exporters.web import many_page

    for name, text in ((TABLE, many_page.table(rows)), (PAGE, many_page.page(rows))):
        write_whole(folder / name, text)


def _text(rows: Sequence[Row], folder: Path) -> str:
    from strutwright.exporters.web.many_page import STANDS

    widths = max(len(row.name) for row in rows)
    lines = [
        f"{row.name:<{widths}}  {STANDS.get(row.status, ''):<14}  {row.used:>6}  {row.governs[:60]}".rstrip()
        for row in rows
    ]
    lines += [f"{row.name}: {row.said}" for row in rows if row.said]
    kept, tried = sum(r.kept for r in rows), [r.name for r in rows if r.tries > 1]
    if kept:
        lines.append(f"{kept} of {len(rows)} stood from before: same bytes, limits, options and program")
    if tried:
        lines.append(f"begun a second time, because the process died: {', '.join(tried)}")
    lines.append(f"most memory of a worker: {max(r.memory_mb for r in rows):.0f} MB")
    lines.append(f"open {folder / PAGE} in a browser")
    return "\n".join(lines)


class _Shown:
    """Progress: how many are done, how many went wrong, and how long the rest may take."""

    def __init__(self, count: int, *, quiet: bool) -> None:
        self._count, self._quiet, self._began = count, quiet, time.monotonic()
        self._wrong = self._built = 0

    def row(self, done: int, row: Row) -> None:
        self._wrong += row.status >= Exit.FAILURE
        self._built += not row.kept
        if self._quiet:
            return
        took = time.monotonic() - self._began
        left = took / max(self._built, 1) * (self._count - done)
        minutes, seconds = divmod(round(left), 60)
        wrong = f", {self._wrong} went wrong" if self._wrong else ""
        print(f"{done} of {self._count}: {row.name}{wrong}; {minutes}:{seconds:02d} left", file=sys.stderr, flush=True)
