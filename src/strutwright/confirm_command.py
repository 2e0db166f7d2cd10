"""The command `confirm`: record what the shop read in a standard, and list what is still from memory."""

from __future__ import annotations

import argparse
import contextlib
import datetime
import math
import os
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright.errors import Exit, UserError, faults_of, no_place

if TYPE_CHECKING:
    from strutwright.models.working_list import Item
    from strutwright.params.quantity import FileUnits
    from strutwright.params.readings import Kind, Reading

FILE_NAME = "confirmations.yaml"
EXAMPLE = (
    'strutwright confirm my-strut.yaml arm_inertia_single --edition "Rules for High-Speed Craft 2024" '
    '--clause "3-2-7/5" --by "J. Fitter"'
)


def add_command(add: Callable[[str, Any, str], argparse.ArgumentParser]) -> None:
    """Add the command to the command line. add: makes a command from name, function and one line of words."""
    from strutwright.cli import add_limits

    confirm = add("confirm", run, "record what you read in a standard; without a name list what is still from memory")
    confirm.add_argument("file", metavar="FILE", help="a set, whose folder holds the file of what was read")
    confirm.add_argument(
        "names",
        metavar="NAME",
        nargs="*",
        help="what was read: a limit or a check, or TABLE/ROW of a standard table, such as weld_min_leg/12; "
        "`limit:NAME` or `check:NAME` where both are called so",
    )
    confirm.add_argument("--edition", metavar="TEXT", help="the standard and its edition")
    confirm.add_argument("--clause", metavar="TEXT", help="where in it")
    confirm.add_argument("--by", metavar="TEXT", help="who read it")
    confirm.add_argument("--date", metavar="DATE", help="when, year-month-day (default: today)")
    confirm.add_argument(
        "--value",
        metavar="VALUE",
        action="append",
        default=[],
        help="the value that stands there, where it is another: of a limit in its own unit, of a row COLUMN=VALUE",
    )
    confirm.add_argument("--columns", metavar="COLUMN,...", help="the columns of a row that were read (default: all)")
    confirm.add_argument(
        "--breach", choices=("warning", "failure"), help="what breaking it means from now on (default: as it is)"
    )
    add_limits(confirm)
    confirm.add_argument("--json", action="store_true", help="print JSON")


def beside(file: str | None) -> Path | None:
    """Return the file of what was read beside a set, or in a folder; None where that is not told. Of a shipped set
    there is none."""
    from strutwright.params.loader import SETS, shipped

    if file is None or (file in shipped() and not Path(file).is_file()):
        return None
    try:
        path = Path(file)
        folder = path if path.is_dir() else path.resolve().parent
    except (OSError, ValueError, RuntimeError):
        return None
    return None if SETS in (folder, *folder.parents) else folder / FILE_NAME


def in_force(option: str | None, file: str | None) -> contextlib.AbstractContextManager[None]:
    """Put in force what was read: by a file that is named, else by that beside a set. Raises UserError."""
    from strutwright.params import readings

    path = beside(file) if option is None else Path(option)
    if path is None or (option is None and not os.path.lexists(path)):
        return contextlib.nullcontext()
    from strutwright.params import confirmations

    with faults_of(str(path)):
        return readings.in_force(confirmations.read(path))


def run(arguments: argparse.Namespace) -> int:
    """Add what was read to the file, or list what is from memory."""
    given = [o for o in ("edition", "clause", "by", "date", "columns", "breach") if getattr(arguments, o) is not None]
    if not arguments.names:
        if given or arguments.value:
            raise UserError(f"say what was read, for example: {EXAMPLE}")
        return _list(arguments)
    lacking = [f"--{option}" for option in ("edition", "clause", "by") if not getattr(arguments, option)]
    if lacking:
        raise UserError(f"give {' and '.join(lacking)}, for example: {EXAMPLE}")
    if len(arguments.names) > 1 and arguments.value:
        raise UserError("--value: name one thing that it is the value of")
    read = [_reading(name, arguments) for name in arguments.names]
    path = _target(arguments)
    _add(path, read)
    for one in read:
        print(f"{one.called}: {one.words}")
    print(f"added to {path}; `strutwright confirm {arguments.file}` lists what is still from memory")
    return Exit.PASS


def _target(arguments: argparse.Namespace) -> Path:
    if arguments.confirmations is not None:
        return Path(arguments.confirmations)
    from strutwright.cli import find

    if not Path(arguments.file).is_dir():
        find(arguments.file)
    path = beside(arguments.file)
    if path is None:
        raise UserError(
            f"{arguments.file}: a shipped set, beside which nothing is written; name a file with --confirmations, "
            "or take a copy of the set (`strutwright start NEW --like`)"
        )
    return path


# --- recording ------------------------------------------------------------------------------------------------------


def _reading(called: str, arguments: argparse.Namespace) -> Reading:
    """Return what the words of the command line say. Raises UserError; what its values may be is told by the file."""
    from strutwright.params.readings import Reading

    kind, name, row = _meant(called)
    values: dict[str, float] = {}
    for text in arguments.value:
        column, equals, number = text.rpartition("=")
        if bool(equals) != (kind == "table") or not (equals or kind == "limit"):
            wanted = {"limit": "a number", "table": "COLUMN=VALUE", "check": "no value"}[kind]
            raise UserError(f"--value {text}: {called} takes {wanted}")
        values[column.strip() or "value"] = _number(number, text)
    if kind == "limit" and len(arguments.value) > 1:
        raise UserError("--value: give one for a limit")
    return Reading(
        kind=kind,
        name=name,
        row=row,
        values=values,
        columns=tuple(c.strip() for c in arguments.columns.split(",")) if arguments.columns is not None else (),
        edition=arguments.edition,
        clause=arguments.clause,
        by=arguments.by,
        date=arguments.date or datetime.date.today().isoformat(),
        breach=arguments.breach or "",
    )


def _number(text: str, given: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise UserError(f"--value {given}: {text!r} is not a plain number")
    return number


def _meant(called: str) -> tuple[Kind, str, str]:
    """Return kind, name and row of what a word of the command line names. Raises UserError with what is near."""
    from strutwright.params import confirmations, tables

    known = confirmations.names()
    table, slash, row = called.partition("/")
    if slash:
        if table not in known["table"]:
            raise UserError(f"{called}: no table is called {table}{_or(table, known['table'], '`strutwright tables`')}")
        if row not in (labels := tables.shipped(table).labels):
            listed = f"`strutwright tables {table}`"
            raise UserError(f"{called}: table {table} has no row {row}{_or(row, labels, listed)}")
        return "table", table, row
    kind, colon, name = called.partition(":")
    kinds: tuple[Kind, ...] = ("limit", "check")
    if colon:
        kinds = tuple(k for k in kinds if k == kind)
    else:
        name = called
    found = [k for k in kinds if name in known[k]]
    if len(found) > 1:
        raise UserError(f"{called}: a limit and a check are called so; write limit:{called} or check:{called}")
    if not found:
        names = [*known["limit"], *known["check"], *known["table"]]
        if name in known["table"]:
            raise UserError(f"{called}: say which row was read, such as {called}/{tables.shipped(name).labels[0]}")
        listed = "`strutwright confirm FILE` without a name"
        raise UserError(f"{called}: no limit or check is called so{_or(name, names, listed)}")
    return found[0], name, ""


def _or(name: str, known: Sequence[str], listed: str) -> str:
    from strutwright.params.confirmations import near

    told = near(name, known)
    return f"; {told}" if told else f"; {listed} lists them"


def _add(path: Path, read: list[Reading]) -> None:
    """Write a file with more readings in one step; when anything is wrong it stays as it is. Raises UserError."""
    import shutil
    import tempfile

    from strutwright.exporters.files.outdir import no_room
    from strutwright.params import confirmations, strict_yaml

    _refuse_unusable(read)
    try:
        path = path.resolve()  # what a link leads to is replaced, not the link
        old = path.read_bytes() if path.exists() else b""
        text = old.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UserError(f"{path}: is not UTF-8 text; nothing was written") from None
    except (OSError, ValueError, RuntimeError) as error:
        raise UserError(f"{path}: cannot be read ({no_place(path, error)})") from None
    with faults_of(str(path)):
        new = old + confirmations.added(text, read, str(path))[len(text) :].encode()
    if len(new) > strict_yaml.MAX_BYTES:
        raise UserError(f"{path}: would be too large, {len(new)} bytes; begin another and name it with --confirmations")
    scratch = ""
    try:
        handle, scratch = tempfile.mkstemp(prefix=".confirmations-", dir=path.parent)
        with os.fdopen(handle, "wb") as out:
            out.write(new)
        if old:
            shutil.copymode(path, scratch)
        else:
            os.chmod(scratch, 0o666 & ~_mask())
        os.replace(scratch, path)
    except OSError as error:
        with contextlib.suppress(OSError):
            if scratch:
                os.unlink(scratch)
        raise UserError(no_room(error, str(path)) or f"{path}: cannot be written ({no_place(path, error)})") from None


def _refuse_unusable(read: list[Reading]) -> None:
    """Raise UserError where what was given would be no good in a file, in the words of the command line."""
    from strutwright.params import confirmations
    from strutwright.params.problems import ParameterError

    try:
        confirmations.added("", read, "")
    except ParameterError as error:
        told = "\n".join(str(replace(p, file="", line=0, column=0)).removeprefix(":0:0: ") for p in error.problems)
        for k, one in enumerate(read):
            told = told.replace(f"readings[{k}]", one.called)
        raise UserError(f"what was given cannot be used; nothing was written\n{told}") from None


def _mask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


# --- the working list -----------------------------------------------------------------------------------------------


def _list(arguments: argparse.Namespace) -> int:
    from strutwright.cli import find, limits_in, say_json
    from strutwright.job import run_checks
    from strutwright.models.resolve import resolve
    from strutwright.models.working_list import from_memory, in_order, rows_from_memory
    from strutwright.params import readings
    from strutwright.params.limits import standard
    from strutwright.params.loader import load

    limits = limits_in(arguments.limits)
    with faults_of(arguments.file):
        loaded = load(find(arguments.file))
        found = resolve(loaded, limits)
    findings = run_checks(found, limits=limits)

    def anew() -> tuple[Any, list[Any]]:
        again = resolve(loaded, limits)
        return again, run_checks(again, limits=limits)

    by_findings = from_memory(findings, standard() if limits is None else limits)
    items = in_order([*by_findings, *rows_from_memory(found.strut, findings, anew)])
    read = readings.current().listed()
    if arguments.json:
        say_json(
            {
                "set": found.strut.identity.name,
                "from_memory": [_plain(item) for item in items],
                "confirmed": [{"name": r.called, "values": dict(r.values), "words": r.words} for r in read],
            }
        )
    else:
        print("\n".join(_text(found.strut.identity.name, items, read, found.strut.file_units)))
    return Exit.PASS


def _plain(item: Item) -> dict[str, object]:
    return {
        "name": item.name,
        "findings": item.count,
        "value": item.value,
        "source": str(item.source),
        "governing": item.governing.code,
        "verdict": item.governing.verdict.value,
    }


def _text(name: str, items: list[Item], read: list[Reading], units: FileUnits) -> list[str]:
    lines = [f"{name}: what its findings rest on that is from memory, or of low confidence, most used first"]
    lines += _items(items, units) or ["  nothing"]
    if read:
        lines.append("confirmed:")
        for r in read:
            values = ", ".join(f"{k} {v:g}" for k, v in r.values.items())
            lines.append(f"  {r.called}{f' ({values})' if values else ''}: {r.against} ({r.by}, {r.date})")
    lines.append(f"when one is read: {EXAMPLE}")
    return lines


def _items(items: list[Item], units: FileUnits) -> list[str]:
    from strutwright import show
    from strutwright.params.words import read

    wide = max((len(item.name) for item in items), default=0)
    lines = []
    for item in items:
        f = item.governing
        used = f"{f.verdict.sign} {f.code}" + (f" {f.limit_used()}" if f.limit_used() else "")
        lines.append(f"  {item.count:>3}  {item.name:<{wide}}  {item.value:<20}  {used}".rstrip())
        indent = " " * (wide + 9)
        lines += textwrap.wrap(
            read(item.source, units), max(show.wide(), wide + 49), initial_indent=indent, subsequent_indent=indent
        )
    return lines
