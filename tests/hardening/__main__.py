"""Harden the program: one command, one report.

    python -m tests.hardening [SUBJECT ...] [--short] [--seed N] [--report FILE]

SUBJECT is one of files, kills, places, bytes, sets, memory; all of them when left out. Ends with status 1 when
something was found. A case of `files` is made again by its number: `files --number N --seed SEED --keep FOLDER`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TypeAlias

from . import files, kills
from .report import Outcome, run_subject, text_of, write_report

Asked: TypeAlias = tuple[str, Callable[[Outcome], None]]
"""What a subject is to do, in words, and its work."""


def parser() -> argparse.ArgumentParser:
    """Return the parser of the command line."""
    asked = argparse.ArgumentParser(
        prog="python -m tests.hardening", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    asked.add_argument("subjects", nargs="*", metavar="SUBJECT", help=f"{', '.join(SUBJECTS)}; default: all")
    asked.add_argument("--short", action="store_true", help="a hundredth of each or so, some minutes in all")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--report", type=Path, metavar="FILE", help="write the report there, and as JSON beside it")
    asked.add_argument("--files", type=int, metavar="COUNT", help="spoiled files (default 10000)")
    asked.add_argument("--number", type=int, action="append", default=[], help="of a spoiled file: these alone")
    asked.add_argument(
        "--keep", type=Path, metavar="FOLDER", help="keep the files of cases in which something is found"
    )
    asked.add_argument("--builds", type=int, metavar="COUNT", help="builds that are killed (default 80)")
    asked.add_argument("--bulk", type=int, metavar="COUNT", help="bulk runs that are killed (default 20)")
    asked.add_argument("--set", action="append", help="of bytes and memory: this shipped set, not all or the largest")
    return asked


def _files(options: argparse.Namespace) -> Asked:
    count = options.files if options.files is not None else 200 if options.short else 10_000
    work = partial(files.run, count=count, seed=options.seed, numbers=options.number, keep=options.keep)
    return f"{len(options.number) or count} spoiled files", work


def _kills(options: argparse.Namespace) -> Asked:
    builds = options.builds if options.builds is not None else 5 if options.short else 80
    bulk = options.bulk if options.bulk is not None else 1 if options.short else 20
    return f"{builds} builds and {bulk} bulk runs killed", partial(
        kills.run, builds=builds, bulk=bulk, seed=options.seed
    )


SUBJECTS: dict[str, Callable[[argparse.Namespace], Asked]] = {"files": _files, "kills": _kills}


def main(arguments: list[str] | None = None) -> int:
    """Run the subjects; return 1 when something was found, 2 for words that cannot be used."""
    asked = parser()
    options = asked.parse_args(arguments)
    if unknown := [s for s in options.subjects if s not in SUBJECTS]:
        asked.error(f"no subject is called {', '.join(unknown)}; there are {', '.join(SUBJECTS)}")
    outcomes: list[Outcome] = []
    for subject in options.subjects or SUBJECTS:
        words, work = SUBJECTS[subject](options)
        print(f"{subject}: {words}", file=sys.stderr, flush=True)
        outcomes.append(run_subject(subject, words, work))
        if options.report is not None:  # after each, so that a run that is stopped has one too
            write_report(options.report, outcomes, options.seed)
    print(text_of(outcomes, options.seed), end="")
    return int(any(one.found for one in outcomes))


if __name__ == "__main__":
    sys.exit(main())
