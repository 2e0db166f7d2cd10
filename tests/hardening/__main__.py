"""Harden the program: one command, one report.

    python -m tests.hardening [SUBJECT ...] [--short] [--seed N] [--report FILE]

files: spoiled parameter, limit, reading and survey files. kills: builds and bulk runs killed at any moment. places:
full and read-only disks, a mount point, two builds, the clock. bytes: each shipped set in other surroundings. sets:
random sets built, written, read back and measured. memory: of the largest shipped set. All of them when none is named.
Ends with status 1 when something was found. A case of `files` is made again by its number:
`files --number N --seed SEED --keep FOLDER`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TypeAlias

from . import files, kills, memory, places, random_sets, same_bytes
from .report import Outcome, run_subject, text_of, write_report

Asked: TypeAlias = tuple[str, Callable[[Outcome], None]]
"""What a subject is to do, in words, and its work."""


def parser() -> argparse.ArgumentParser:
    """Return the parser of the command line."""
    asked = argparse.ArgumentParser(
        prog="python -m tests.hardening", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    asked.add_argument("subjects", nargs="*", metavar="SUBJECT", help=f"{', '.join(SUBJECTS)}; default: all")
    asked.add_argument("--short", action="store_true", help="a small part of each, some minutes in all")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--report", type=Path, metavar="FILE", help="write the report there, and as JSON beside it")
    asked.add_argument("--files", type=int, metavar="COUNT", help="spoiled files (default 10000)")
    asked.add_argument("--number", type=int, action="append", default=[], help="of a spoiled file: these alone")
    asked.add_argument("--keep", type=Path, metavar="FOLDER", help="keep the files of cases with a find")
    asked.add_argument("--builds", type=int, metavar="COUNT", help="builds that are killed (default 80)")
    asked.add_argument("--bulk", type=int, metavar="COUNT", help="bulk runs that are killed (default 20)")
    asked.add_argument("--only", metavar="WHAT", action="append", default=[], help="of kills: build only this")
    asked.add_argument("--sets", type=int, metavar="COUNT", help="random sets of all kinds of part (default 2000)")
    asked.add_argument("--first", type=int, default=100_000, help="number of the first random set")
    asked.add_argument("--processes", type=int, default=2, help="of the random sets (default 2)")
    asked.add_argument("--set", action="append", help="of bytes and memory: this shipped set, not all or the largest")
    return asked


def _count(given: int | None, options: argparse.Namespace, short: int, long: int) -> int:
    return given if given is not None else short if options.short else long


def _files(options: argparse.Namespace) -> Asked:
    count = _count(options.files, options, 200, 10_000)
    work = partial(files.run, count=count, seed=options.seed, numbers=options.number, keep=options.keep)
    return f"{len(options.number) or count} spoiled files", work


def _kills(options: argparse.Namespace) -> Asked:
    builds, bulk = _count(options.builds, options, 5, 80), _count(options.bulk, options, 1, 20)
    only = [word for what in options.only for word in ("--only", what)]
    work = partial(kills.run, builds=builds, bulk=bulk, seed=options.seed, options=only)
    return f"{builds} builds and {bulk} bulk runs killed", work


def _places(options: argparse.Namespace) -> Asked:
    return "places that cannot be written", partial(places.run, short=options.short)


def _bytes(options: argparse.Namespace) -> Asked:
    names = options.set or same_bytes.every_set()[:: 12 if options.short else 1]
    return f"{len(names)} sets built twice", partial(same_bytes.run, names=names, seed=options.seed)


def _sets(options: argparse.Namespace) -> Asked:
    count = _count(options.sets, options, 20, 2000)
    work = partial(random_sets.run, count=count, first=options.first, processes=options.processes)
    return f"{count} random sets", work


def _memory(options: argparse.Namespace) -> Asked:
    name = options.set[0] if options.set else memory.LARGEST
    return f"a build of {name} watched", partial(memory.run, name=name)


SUBJECTS: dict[str, Callable[[argparse.Namespace], Asked]] = {
    "files": _files,
    "kills": _kills,
    "places": _places,
    "bytes": _bytes,
    "sets": _sets,
    "memory": _memory,
}


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
