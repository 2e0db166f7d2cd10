"""The command `start`: a new set from a few questions, or from a shipped set."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright.errors import Exit, UserError, refuse_existing, write_new
from strutwright.params.part_kinds import FAMILIES, STRUT

if TYPE_CHECKING:
    from strutwright.params.limits import Limits
    from strutwright.params.quantity import FileUnits
    from strutwright.starter import Question

PIPE_WAIT_S = 2.0


def add_command(add: Callable[[str, Any, str], argparse.ArgumentParser]) -> None:
    """Add the command to the command line. add: makes a command from name, function and one line of words."""
    from strutwright.cli import add_limits

    start = add("start", run, "start a new set from a few questions, or from a shipped set")
    start.add_argument("file", metavar="FILE", help="the YAML file to write; it must not exist")
    start.add_argument("--like", metavar="SET", help="copy this shipped set instead of asking")
    start.add_argument("--part", choices=tuple(FAMILIES), help="kind of part (default strut)")
    start.add_argument(
        "--answer",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help="answer a question beforehand: name, units, hand, hull, construction, arms, shaft, angle, run, deadrise, "
        "drop; of another kind of part what its questions are called, which a wrong KEY lists",
    )
    add_limits(start)


def run(arguments: argparse.Namespace) -> int:
    """Write a new set; never over an existing file."""
    from strutwright.cli import find, limits_in
    from strutwright.params.loader import shipped

    path = Path(arguments.file)
    refuse_existing(path)  # before anything is asked
    limits = limits_in(arguments.limits)
    if arguments.like is not None:
        if limits is not None:
            raise UserError("--limits: a copied set stays as it is; leave the option out, and give it to `check`")
        if arguments.like not in shipped():
            find(arguments.like)
            raise UserError(f"{arguments.like}: not the name of a shipped set; `strutwright sets` lists them")
        text = shipped()[arguments.like].read_text(encoding="utf-8")
        by_default, warnings = list[str](), list[str]()
    else:
        text, by_default, warnings = _from_answers(arguments.part, arguments.answer, limits)
    write_new(path, text)
    held = "" if arguments.limits is None else f" --limits {arguments.limits}"
    print(f"wrote {path}; next: strutwright check {path}{held}")
    for line in warnings:
        print(f"it warns, whatever was tried: {line}")
    if by_default:
        print(f"defaults used: {', '.join(by_default)}; give others with --answer KEY=VALUE, or answer in a terminal")
        drop = next((text for text in by_default if text.startswith("drop ")), "")
        if drop:
            print(f"{drop} is only usual for such a shaft: measure it on the boat, and give it before anything is made")
    return Exit.PASS


def _from_answers(part: str | None, options: list[str], limits: Limits | None) -> tuple[str, list[str], list[str]]:
    """Return the text of a new set from `--answer` options, a person in a terminal or lines that are piped in, the
    answers that were taken by default without anyone seeing it, and the warnings that are left."""
    from strutwright import starter, starter_kinds, starter_parts

    asking = sys.stdin is not None and sys.stdin.isatty() and sys.stdout.isatty()
    other = None if part in (None, STRUT) else starter_kinds.PARTS[str(part)]
    kind = (starter.QUESTIONS, starter.default_of) if other is None else other.asked
    given: dict[str, str] = {}
    known = [q.key for q in kind[0]]
    for item in options:
        key, equals, value = item.partition("=")
        if not equals or key not in known:
            raise UserError(f"--answer {item}: write KEY=VALUE with one of {', '.join(known)}")
        given[key] = value
    typed: dict[str, str] = {}  # what was answered, with the defaults taken
    unseen: dict[str, str] = {}

    def answer(question: Question, default: str, units: FileUnits) -> str:
        text = _prompt(question, default, units) if asking else _piped_line(question, default) if piped else ""
        typed[question.key] = text.strip() or default
        if not asking and not text.strip():
            unseen[question.key] = default
        return text

    open_ = any(key not in given for key in known)
    piped = not asking and open_ and _is_piped()
    if asking and open_:
        print("Press Enter to take the answer in brackets; Ctrl-C stops and writes nothing.")
    while True:
        try:
            values = starter.ask(given, answer, typed if asking else None, kind)
            made = starter.complete(values, limits) if other is None else starter_parts.complete(other, values, limits)
            left = [f"{key} {value}" for key, value in unseen.items()]
            return made.text, left, made.told(starter.units_of(values))
        except starter.DisagreeError as error:
            if not asking or not typed:
                raise UserError(f"{error}\nnothing was written") from None
            print(f"{error}\nthese once more; your answers stand in brackets:")
            typed = {**given, **typed}
            given = {key: value for key, value in typed.items() if key not in error.answers}
        except starter.AnswerError as error:
            raise UserError(f"{error}; nothing was written") from None


def _prompt(question: Question, default: str, units: FileUnits) -> str:
    """Ask in a terminal until the answer can be used."""
    from strutwright import starter

    while True:
        try:
            text = input(_asked(question, default))
        except EOFError:
            print()
            raise UserError(f"no answer to: {question.text} Nothing was written") from None
        try:
            starter.read_answer(question, text.strip() or default, units)
            return text
        except starter.AnswerError as error:
            print(f"  {error}")


def _piped_line(question: Question, default: str) -> str:
    """Return the next line that is piped in, "" at the end; question and answer are shown as in a terminal."""
    line = sys.stdin.readline()
    if line:
        print(_asked(question, default) + line.strip())
    return line


def _asked(question: Question, default: str) -> str:
    choices = f" ({' | '.join(question.choices)})" if question.choices else ""
    return f"{question.text}{choices} [{default}] "


def _is_piped() -> bool:
    """Return whether answers are piped in; a pipe that stays silent has none, and is not waited for any longer."""
    import select
    import stat

    try:
        mode = os.fstat(sys.stdin.fileno()).st_mode
        return stat.S_ISREG(mode) or (
            (stat.S_ISFIFO(mode) or stat.S_ISSOCK(mode)) and bool(select.select([sys.stdin], [], [], PIPE_WAIT_S)[0])
        )
    except (AttributeError, OSError, ValueError):
        return False  # there is no standard input
