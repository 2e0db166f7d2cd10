"""The command line. Commands import what they need when they run, so that help and checks start at once."""

from __future__ import annotations

import argparse
import contextlib
import gc
import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

from strutwright import __version__
from strutwright.errors import Exit, UserError, faults_of, no_place
from strutwright.exporters.files import stop
from strutwright.models.guidance import GUIDANCE
from strutwright.params.part_kinds import FAMILIES, STRUT

if TYPE_CHECKING:
    from strutwright.guard import Guard
    from strutwright.kept import Kept
    from strutwright.models.resolve import Resolved
    from strutwright.params.limits import Limits

STRUTS_ONLY = {
    "tolerances": "the chain of sizes from the hull over palm and arms to the shaft",
    "stress": "arms between barrel and palm",
    "survey": "a strut's angles and drop under a hull",
    "straighten": "the bent palm of a strut",
    "installation": "how a strut stands on its hull",
    "process": "the order of work for arms, palm and barrel of a strut",
    "rudder": "the heel of a strut",
    "repair": "a worn or bent strut with its arms and palm",
}
"""The commands that take the file of a strut and of no other part, and what each works on; others take every kind."""
WHAT = ("solids", "meshes", "outlines", "templates", "tables", "sheets", "foundry", "picture", "view", "report")


JOBS_VARIABLE = "STRUTWRIGHT_JOBS"
"""Environment variable with what `--jobs` is where it is left out."""


class Lent(NamedTuple):
    """What a process that builds again and again has for its builds. Neither is loaded before the first of them."""

    guard: Guard
    kept: Kept


def main(argv: Sequence[str] | None = None, lent: Lent | None = None) -> int:
    """Run one command; return its exit status (see errors.Exit). Never shows a traceback.

    argv: the words of the command line; None: those of this process, which then has nothing else to do. lent: what a
    process that builds again and again has for its builds.
    """
    # The matrices here are small: threads for them cost more time than they save.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with stop.listening(to_the_end=argv is None):
        try:
            status = _run(argv, lent)
        except BaseException as error:
            # A stop may come out of a library as any error at all.
            if not stop.asked():
                return _told(error)
        else:
            if not stop.asked():
                return status
        return _stopped()


def _run(argv: Sequence[str] | None, lent: Lent | None) -> int:
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")  # a terminal without the degree sign stops nothing
    arguments = parser().parse_args(argv, argparse.Namespace(lent=lent, jobs=None))
    # The schema library would search every installed package for plug-ins: 30 ms at each start.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # Nothing that is imported becomes garbage; looking for it costs another 20 ms. A build turns it on again.
    gc.disable()
    with _readings(arguments):
        status = int(arguments.run(arguments))
    sys.stdout.flush()  # here, where what goes wrong can be told
    return status


def _readings(arguments: argparse.Namespace) -> contextlib.AbstractContextManager[None]:
    """Put in force what the shop read in standards: by the option, else by the file beside the set."""
    if not hasattr(arguments, "confirmations") or getattr(arguments, "names", None):
        return contextlib.nullcontext()  # what adds to such a file reads it itself
    from strutwright import confirm_command

    return confirm_command.in_force(arguments.confirmations, getattr(arguments, "file", None))


def _told(error: BaseException) -> int:
    """Say what ended a command; return its exit status. Raises what is no one's fault, such as the end of --help."""
    if isinstance(error, UserError):
        print(f"strutwright: {_for_a_terminal(error)}", file=sys.stderr)
        return error.status
    if isinstance(error, BrokenPipeError):
        sys.stderr.close()
        return Exit.PASS
    if isinstance(error, KeyboardInterrupt):
        return _stopped()
    if not isinstance(error, Exception):
        raise error
    from strutwright.exporters.files.outdir import no_room

    if words := no_room(error, "output"):
        with contextlib.suppress(OSError, ValueError):
            print(f"strutwright: {words}", file=sys.stderr)
        try:
            sys.stdout.flush()
        except OSError:  # or the interpreter would try once more at its end, and complain in its own words
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Exit.UNUSABLE
    print(
        f"strutwright: this is a fault of the program, not of your file: {type(error).__name__}: "
        f"{_for_a_terminal(error)}\n"
        f"  {_what_stands()}; please report it with the parameter file",
        file=sys.stderr,
    )
    return Exit.INTERNAL


def _for_a_terminal(words: object) -> str:
    """Return words, in lines, without the characters by which a name or a value could command the terminal."""
    from strutwright.params.problems import printable

    return "\n".join(printable(line) for line in str(words).split("\n"))


def _stopped() -> int:
    """Say that the command was stopped and what stands; return the exit status usual for it."""
    with stop.held(), contextlib.suppress(OSError, ValueError):
        print(f"strutwright: stopped; {_what_stands()}", file=sys.stderr)
    return 128 + stop.asked() if stop.asked() else Exit.STOPPED


def _what_stands() -> str:
    return f"but {stop.placed()} had been written by then" if stop.placed() else "earlier outputs are as they were"


class _Parser(argparse.ArgumentParser):
    """As the library's, but words that cannot be used end with the exit status that the README gives for them."""

    def error(self, message: str) -> NoReturn:
        self.print_usage(sys.stderr)
        self.exit(Exit.UNUSABLE, f"{self.prog}: {_for_a_terminal(message)}\n")


def _add_works(add: Any) -> None:
    """Add the commands for work on the boat and at the bench."""
    from strutwright import (
        fitting_command,
        inspection_command,
        installation_command,
        line_command,
        process_command,
        repair_command,
        rudder_command,
        straighten_command,
        survey_command,
    )

    works = (
        survey_command,
        fitting_command,
        straighten_command,
        inspection_command,
        installation_command,
        line_command,
        process_command,
        rudder_command,
        repair_command,
    )
    for command in works:
        command.add_command(add)


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command line."""
    top = _Parser(
        prog="strutwright",
        description="Propeller-shaft struts from one parameter set: checked solids, patterns, "
        f"drawings and figures. {GUIDANCE}",
        epilog="FILE is a YAML file or the name of a shipped set (see `strutwright sets`). Exit status: 0 all within "
        "limits, 1 warnings or checks that could not be made, 2 a check fails, 3 input that cannot be used, 4 a fault "
        "of the program.",
    )
    top.add_argument("--version", action="version", version=f"strutwright {__version__}")
    commands = top.add_subparsers(metavar="COMMAND", required=True)

    def add(name: str, run: Any, text: str) -> argparse.ArgumentParser:
        command = commands.add_parser(name, help=text, description=text)
        command.set_defaults(run=run)
        return command

    # Here and not above: until `main` runs a stop cannot be told in plain words.
    from strutwright import (
        confirm_command,
        guide_command,
        many_command,
        page_command,
        sizing_commands,
        start_command,
        stress_command,
        tolerance_command,
        watch_command,
    )

    start_command.add_command(add)
    _add_answers(add)
    build = add("build", run_build, "build the solids, measure them again and write everything to a folder")
    _file(build)
    build_options(build)
    build.add_argument(
        "--jobs", metavar="N", type=int, help="processes at work, 2 at most (default: as many as processors)"
    )
    build.add_argument("--quiet", action="store_true", help="show no progress")
    page_command.add_command(add)
    watch_command.add_command(add)
    many_command.add_command(add)
    tolerance_command.add_command(add)
    sizing_commands.add_commands(add)
    stress = add("stress", stress_command.run, "work out one load case by finite elements (optional extra)")
    _file(stress)
    stress_command.add_arguments(stress)
    confirm_command.add_command(add)
    _add_works(add)
    guide_command.add_command(add)
    compare = add("compare", run_compare, "show what differs between two sets")
    _file(compare)
    compare.add_argument("other", metavar="OTHER", help="the set to compare with")
    add_limits(compare)
    add("sets", run_sets, "list the shipped sets").add_argument("--json", action="store_true", help="print JSON")
    tables = add("tables", run_tables, "list the standard tables, or print one")
    tables.add_argument("name", metavar="TABLE", nargs="?", help="the table to print")
    tables.add_argument("--json", action="store_true", help="print JSON")
    return top


def _add_answers(add: Any) -> None:
    """Add the commands that tell of a set without building it."""
    meaning = add("meaning", run_meaning, "tell what a parameter means")
    meaning.add_argument("path", metavar="PARAMETER", nargs="?", default="", help="such as barrel.wall or arms.section")
    meaning.add_argument("--part", choices=tuple(FAMILIES), help="kind of part (default: the first that has it)")
    values = add("values", run_values, "print every value of a set: given, derived (by which rule) or from a table")
    _file(values)
    add_limits(values)
    check = add("check", run_check, "run the checks on a set, worst first")
    _file(check)
    add_limits(check)
    check.add_argument(
        "--every",
        action="store_true",
        help="also list what is within its limit, hints that keep theirs and information",
    )
    loads = add("loads", run_loads, "print the load cases: the built-in ones and the file's own (group `loads`)")
    _file(loads)
    add_limits(loads)


def build_options(build: argparse.ArgumentParser) -> None:
    """Let a command take what a build of a set takes."""
    add_limits(build)
    build.add_argument("--out", metavar="FOLDER", help="folder for the outputs (default: out/NAME)")
    build.add_argument(
        "--only",
        metavar="WHAT",
        action="append",
        choices=WHAT,
        help=f"write only this; may be repeated: {', '.join(WHAT)}",
    )
    build.add_argument(
        "--hand",
        choices=("as_written", "port", "starboard", "both"),
        default="as_written",
        help="which hand to build (default: as the file says)",
    )
    build.add_argument("--step-units", choices=("mm", "in"), default="mm", help="units of the STEP files (default mm)")
    build.add_argument(
        "--despite-failures",
        action="store_true",
        help="write the files although a check fails; each says that it failed",
    )


def add_limits(command: argparse.ArgumentParser) -> None:
    """Let a command take a file of other limits."""
    command.add_argument(
        "--limits",
        metavar="FILE",
        help="other limits: `name: value` lines, named as in params/limits.yaml; the checks hold to them, and sizes "
        "that a set leaves out are filled in by them; where it and --confirmations have one, this one counts",
    )
    command.add_argument(
        "--confirmations",
        metavar="FILE",
        help="what was read in standards, by `strutwright confirm` (default: confirmations.yaml beside the set)",
    )


def _file(command: argparse.ArgumentParser) -> None:
    command.add_argument("file", metavar="FILE", help="a YAML file or the name of a shipped set")
    command.add_argument("--json", action="store_true", help="print JSON")


# --- commands -------------------------------------------------------------------------------------------------------


def find(name: str) -> Path:
    """Return the path of a file or of a shipped set. Raises UserError with the near miss."""
    import difflib

    from strutwright.params.loader import shipped

    path, sets = Path(name), shipped()
    try:
        if path.exists() and not (path.is_dir() and name in sets):  # the folder may be that of an earlier build
            return path
    except (OSError, ValueError) as error:
        raise UserError(f"{name[:60]!r}: cannot be read ({getattr(error, 'strerror', None) or error})") from None
    if name in sets:
        return sets[name]
    near = difflib.get_close_matches(name, sets, n=1, cutoff=0.5)
    if not near and path.parent != Path() and not path.parent.is_dir():
        raise UserError(f"{name}: {no_place(path, FileNotFoundError())}")
    raise UserError(
        f"{name}: no such file, and no shipped set has this name"
        + (f"; did you mean {near[0]}?" if near else "; `strutwright sets` lists them")
    )


def resolved(name: str, limits: Limits | None = None, command: str = "") -> Resolved:
    """Return a file or shipped set, resolved by limits (default: shipped). Raises UserError with every fault, or where
    the command does not take this kind of part."""
    from strutwright.models.families import called
    from strutwright.models.resolve import resolve
    from strutwright.params.loader import load

    with faults_of(name):
        found = resolve(load(find(name)), limits)
    if found.strut.family != STRUT and command in STRUTS_ONLY:
        what, kind = STRUTS_ONLY[command], called(found.strut)
        raise UserError(f"{command}: works on {what}; {name} is a {kind} (part: {found.strut.family})")
    return found


def limits_in(file: str | None) -> Limits | None:
    """Return the limits of a file, None without one. Raises UserError with every fault."""
    from strutwright.params.limits import with_changes

    if file is None:
        return None
    with faults_of(file):
        return with_changes(Path(file))


def limits_sha256(file: str | None) -> str:
    """Return what tells a file of limits, and what was read in standards, from others; "" without any."""
    from strutwright.exporters.files.manifest import sha256
    from strutwright.params import readings

    read, own = readings.current().sha256, "" if file is None else sha256(Path(file).read_bytes())
    return sha256(f"{own} {read}".encode()) if own and read else own or read


def say_json(data: object) -> None:
    """Print JSON for another program."""
    import json

    json.dump(data, sys.stdout, indent=1, allow_nan=False)
    print()


def run_meaning(arguments: argparse.Namespace) -> int:
    """Tell what a parameter means."""
    from strutwright.params.explain import NoSuchPathError, family_of, meaning

    family = arguments.part or family_of(arguments.path)
    try:
        found = meaning(arguments.path, family)
    except NoSuchPathError as error:
        if _worked_out(arguments.path):
            raise UserError(
                f"{arguments.path} is worked out by the program and cannot be given; `strutwright values FILE` shows it"
            ) from None
        raise UserError(str(error.args[0])) from None
    kind = "" if family == STRUT else f", part {family}"
    print(f"{found.path or 'a parameter file'}{kind}: {found.text}")
    if found.members:
        for name in found.members:
            member = meaning(f"{found.path}.{name}" if found.path else name, family)
            print(f"  {name:<20} {member.text}" + ("  (has to be given)" if member.required else ""))
    else:
        print(f"  takes:    {found.takes}")
        print("  given:    has to be given" if found.required else f"  left out: {found.left_out}")
    return Exit.PASS


def _worked_out(path: str) -> bool:
    """Return whether `values` tells such a path of any shipped set."""
    import re

    from strutwright.models.resolve import resolve
    from strutwright.params.loader import load, shipped

    name = re.sub(r"\[\d*\]", "", path)
    sets = (file for set_, file in shipped().items() if not set_.startswith("failing/"))
    return any(name == re.sub(r"\[\d*\]", "", r.path) for file in sets for r in resolve(load(file)).records)


def run_values(arguments: argparse.Namespace) -> int:
    """Print the resolved set."""
    found = resolved(arguments.file, limits_in(arguments.limits))
    if arguments.json:
        say_json(
            [
                {"path": r.path, "value": r.value, "unit": r.unit, "origin": r.origin, "note": r.note}
                for r in found.records
            ]
        )
    else:
        from strutwright import show

        print(show.values_text(found.records, found.strut.file_units))
    return Exit.PASS


def run_check(arguments: argparse.Namespace) -> int:
    """Run the checks; the exit status tells how they stand."""
    from strutwright import show
    from strutwright.job import exit_for, run_checks

    limits = limits_in(arguments.limits)
    found = resolved(arguments.file, limits)
    findings = run_checks(found, limits=limits)
    if arguments.json:
        from strutwright.models.finding import lacking, ranked

        say_json(
            {
                "set": found.strut.identity.name,
                "guidance": GUIDANCE,
                "exit": int(exit_for(findings)),
                "not_said": list(lacking(findings) or ()),
                "findings": [f.as_dict() for f in ranked(findings)],
            }
        )
    else:
        print(show.findings_text(findings, found.strut.file_units, every=arguments.every))
    return exit_for(findings)


def run_loads(arguments: argparse.Namespace) -> int:
    """Print the table of load cases."""
    from strutwright.exporters.web.report import plain_row
    from strutwright.models.checks.strength.load_table import load_table

    limits = limits_in(arguments.limits)
    found = resolved(arguments.file, limits)
    rows = load_table(found.strut, found.said.loads, limits)
    if arguments.json:
        say_json([plain_row(row) for row in rows])
        return Exit.PASS
    from strutwright import show

    print(show.loads_text(rows, found.strut.file_units))
    return Exit.PASS


def jobs_of(given: int | None) -> int:
    """Return how many processes a command may use. given: what `--jobs` says. Raises UserError for what is none."""
    said = os.environ.get(JOBS_VARIABLE, "") if given is None else str(given)
    if said and not (said.isdecimal() and int(said) > 0):
        raise UserError(f"{JOBS_VARIABLE + '=' if given is None else '--jobs '}{said}: at least 1")
    return int(said) if said else os.cpu_count() or 1


def run_build(arguments: argparse.Namespace) -> int:
    """Build, measure again and write."""
    gc.enable()
    from strutwright import job, outputs, show

    limits = limits_in(arguments.limits)
    found = resolved(arguments.file, limits)
    result = job.build_set(
        found,
        find(arguments.file),
        outputs.Order(
            out=None if arguments.out is None else Path(arguments.out),
            what=tuple(arguments.only or WHAT),
            hand=arguments.hand,
            step_units=arguments.step_units,
            despite_failures=arguments.despite_failures,
            limits=limits,
            limits_sha256=limits_sha256(arguments.limits),
            quiet=arguments.json or arguments.quiet,
        ),
        *(() if arguments.lent is None else arguments.lent),
        jobs=jobs_of(arguments.jobs),
    )
    if arguments.json:
        say_json(result.as_dict())
    else:
        print(show.findings_text(result.findings, found.strut.file_units, every=False))
        print(result.summary())
    return result.status


def run_compare(arguments: argparse.Namespace) -> int:
    """Show what differs between two sets."""
    limits = limits_in(arguments.limits)
    first, second = (resolved(name, limits) for name in (arguments.file, arguments.other))
    if arguments.json:
        left, right = ({r.path: r.value for r in s.records} for s in (first, second))
        say_json(
            {
                path: [left.get(path), right.get(path)]
                for path in sorted(left.keys() | right.keys())
                if left.get(path) != right.get(path)
            }
        )
    else:
        from strutwright import show

        print(show.compare_text(first.records, second.records, first.strut.file_units))
    return Exit.PASS


def run_sets(arguments: argparse.Namespace) -> int:
    """List the shipped sets with their first comment line."""
    from strutwright.params.loader import shipped

    rows = {name: path.read_text(encoding="utf-8").split("\n", 1)[0].lstrip("# ") for name, path in shipped().items()}
    if arguments.json:
        say_json(rows)
    else:
        for name, text in rows.items():
            print(f"{name:<28} {text}")
    return Exit.PASS


def run_tables(arguments: argparse.Namespace) -> int:
    """List the standard tables or print one."""
    from strutwright.params import tables

    if arguments.name is None:
        listed = {name: tables.table(name) for name in tables.names()}
        if arguments.json:
            say_json(
                {name: {"title": t.title, "standard": t.standard, "standing": t.standing} for name, t in listed.items()}
            )
        else:
            for name, t in listed.items():
                print(f"{name:<26} {t.title} ({t.standard}; {t.standing})")
        return Exit.PASS
    try:
        table = tables.table(arguments.name)
    except tables.NotInTable as error:
        raise UserError(str(error)) from None
    if arguments.json:
        say_json(
            {
                "title": table.title,
                "standard": table.standard,
                "table": table.table,
                "edition": table.edition,
                "standing": table.standing,
                "note": table.note,
                "units": dict(table.units),
                "rows": [{k: _plain(v) for k, v in row.items()} for row in table.rows],
            }
        )
        return Exit.PASS
    print(f"{table.title}\n{table.standard}, {table.table}, edition {table.edition}; {table.standing}\n{table.note}")
    head = [f"{c} [{table.units.get(c, '')}]" if table.units.get(c, "-") not in ("", "-") else c for c in table.columns]
    cells = [head] + [["" if row[c] is None else str(_plain(row[c])) for c in table.columns] for row in table.rows]
    widths = [max(len(r[i]) for r in cells) for i in range(len(head))]
    for row in cells:
        print("  ".join(f"{cell:<{w}}" for cell, w in zip(row, widths, strict=True)).rstrip())
    return Exit.PASS


def _plain(value: Any) -> Any:
    if isinstance(value, (list, tuple)):
        return [_plain(v) for v in value]
    return str(value) if isinstance(value, float) and abs(value) == float("inf") else value


if __name__ == "__main__":
    sys.exit(main())
