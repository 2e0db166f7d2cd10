"""Spoiled files: the real commands answer in words, soon, and touch nothing but what they were asked for."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from .cases import Case, case_of
from .kept import SURROUNDINGS, Kept, Ran, lay_out
from .report import Outcome, Progress

MOST_S = 2.0
"""Processor time that a refusal may take, and an answer of a command that checks a set once; the start of the process
left out."""
LONGER_S = {"survey": 8.0, "line": 8.0, "repair": 16.0, "inspection": 60.0, "tolerances": 4.0}
"""Processor time that an answer may take of a command that lays out sheets until they fit, or checks the strut again
for each thing that was measured out of its limits; these take as long of files that nobody spoiled."""
STATUSES = (0, 1, 2, 3)
SHOWN = 300


def faults_of(case: Case, ran: Ran) -> Iterator[str]:
    """Yield what a command did that it should not, in words."""
    if ran.status not in STATUSES:
        yield f"ended with {ran.status}: {ran.err[-SHOWN:].strip()}"
    for words in ("Traceback", "fault of the program", "Warning: "):
        if words in ran.err + ran.out and ran.status in STATUSES:
            yield f"says `{words}`: {(ran.err + ran.out)[-SHOWN:].strip()}"
    if ran.processor_s > (MOST_S if ran.status == 3 else LONGER_S.get(case.words[0], MOST_S)):
        yield f"took {ran.processor_s:.1f} s"
    for name, text in (("out", ran.out), ("err", ran.err)):
        odd = {c for c in text if not c.isprintable() and c not in "\n\t"}
        if odd:
            yield f"prints {sorted(odd)!r} ({name})"
    refused = ran.status == 3 and not (case.words[0] == "many" and ran.out)  # one row of a table may be what is refused
    told = ran.err if refused else ran.out
    if ran.status in STATUSES and not told.strip():
        yield f"ended with {ran.status} without a word"
    if refused and ran.out:
        yield f"was refused and printed {ran.out[:60]!r}"
    if ran.status in STATUSES and not refused and "--json" in case.words:
        try:
            json.loads(ran.out)
        except ValueError as error:
            yield f"prints no JSON: {error}"
    allowed = () if refused else case.may
    if other := [p for p in ran.changed if p.split("/")[0] not in allowed]:
        yield f"ended with {ran.status} and made, changed or removed {', '.join(other[:4])}"
    if ran.scratch:
        yield f"left {', '.join(ran.scratch[:4])} in the folder for passing files"


def in_a_process(case: Case, folder: Path) -> Ran:
    """Return what a case does in a real process of its own, for the comparison with the one that is kept."""
    lay_out(folder, case.files)
    done = subprocess.run(
        [sys.executable, "-m", "strutwright", *case.words],
        cwd=folder,
        capture_output=True,
        text=True,
        errors="backslashreplace",
        check=False,
        timeout=300,
        stdin=subprocess.DEVNULL,
        env=os.environ | SURROUNDINGS | {"PYTHONIOENCODING": "utf-8"},
    )
    return Ran(status=done.returncode, processor_s=0.0, out=done.stdout, err=done.stderr)


def run(
    outcome: Outcome, *, count: int, seed: int, numbers: Sequence[int] = (), real: int = 100, keep: Path | None = None
) -> None:
    """Run so many cases. numbers: these alone. real: each so-manieth is tried in a process of its own too (0: none).
    keep: a folder for the files of the cases in which something is found."""
    wanted = numbers or range(count)
    progress = Progress("files", len(wanted))
    slowest = dict[str, float]()
    with tempfile.TemporaryDirectory() as folder, Kept(Path(folder)) as kept:
        for done, number in enumerate(wanted, 1):
            case = case_of(number, seed)
            ran = kept.run(case.words, case.files)
            found = list(faults_of(case, ran))
            outcome.count(f"{case.kind}, {'refused' if ran.status == 3 else 'answered'}")
            of = f"slowest {'refusal' if ran.status == 3 else f'answer of {case.words[0]}'}, s of the processor"
            if ran.processor_s > max(slowest.values(), default=0.0):
                outcome.slowest = f"{ran.processor_s:.2f} s of the processor, number {number}: {_command(case)}"
            slowest[of] = max(slowest.get(of, 0.0), round(ran.processor_s, 2))
            # `many` is stood in for in the process that is kept, and would build here.
            if real and number % real == 0 and case.words[0] != "many":
                alone = in_a_process(case, Path(folder) / "alone")
                outcome.count("tried in a process of its own too")
                if (alone.status, alone.out) != (ran.status, ran.out):
                    found.append(f"in a process of its own: {alone.status} and {alone.err[-SHOWN:].strip()!r}")
            outcome.found += [f"number {number}, {_command(case)}: {words}" for words in found]
            if found and keep is not None:
                lay_out(keep / str(number), case.files)
            progress.step(done, outcome)
    outcome.figures |= dict(sorted(slowest.items(), key=lambda item: -item[1]))


def _command(case: Case) -> str:
    return " ".join(ascii(w) if not w.isascii() or not w.isprintable() or " " in w or not w else w for w in case.words)
