"""What a subject found, and the report of all of them, as text and as JSON."""

from __future__ import annotations

import json
import os
import platform
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from strutwright import __version__


@dataclass(slots=True, kw_only=True)
class Outcome:
    """What came of one subject. done: what was done, how often; slowest: what took longest, in words; found: faults of
    the program, each in a line; left_out: what this machine does not let be tried; figures: other numbers."""

    subject: str
    asked: str
    done: dict[str, int] = field(default_factory=dict)
    slowest: str = ""
    found: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    figures: dict[str, float] = field(default_factory=dict)
    seconds: float = 0.0

    def count(self, what: str, more: int = 1) -> None:
        """Count what was done once more."""
        self.done[what] = self.done.get(what, 0) + more


class Progress:
    """Tells on the error stream how far a subject is, every few seconds at most."""

    def __init__(self, subject: str, count: int, *, every_s: float = 10.0) -> None:
        self._subject, self._count, self._every_s = subject, count, every_s
        self._began = self._told = time.monotonic()
        self._shown = 0

    def step(self, done: int, outcome: Outcome, what: str = "") -> None:
        """Tell that so many are done, and what was found since."""
        for words in outcome.found[self._shown :]:
            print(f"{self._subject}: FOUND: {words}", file=sys.stderr, flush=True)
        self._shown = len(outcome.found)
        now = time.monotonic()
        if now - self._told < self._every_s and done < self._count:
            return
        self._told = now
        left = (now - self._began) / max(done, 1) * (self._count - done)
        print(
            f"{self._subject}: {done} of {self._count}, {len(outcome.found)} found, {left / 60:.0f} min left"
            + (f"; {what}" if what else ""),
            file=sys.stderr,
            flush=True,
        )


def machine() -> dict[str, Any]:
    """Return what a report says of the machine."""
    memory = os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE") if hasattr(os, "sysconf") else 0
    return {
        "system": f"{platform.system()} {platform.release()}",
        "processor": platform.machine(),
        "processors": os.cpu_count() or 0,
        "memory_gb": round(memory / 1e9, 1),
        "python": platform.python_version(),
    }


def run_subject(subject: str, asked: str, work: Callable[[Outcome], None]) -> Outcome:
    """Run a subject and return what came of it; a fault of the trial itself is told as one."""
    outcome, began = Outcome(subject=subject, asked=asked), time.monotonic()
    try:
        work(outcome)
    except Exception as error:  # the other subjects go on
        outcome.found.append(f"the trial itself failed: {type(error).__name__}: {error}")
    outcome.seconds = round(time.monotonic() - began, 1)
    return outcome


def text_of(outcomes: Sequence[Outcome], seed: int) -> str:
    """Return the report for a person."""
    on = machine()
    lines = [
        f"Hardening of strutwright {__version__}, seed {seed}",
        f"{on['system']}, {on['processors']} processors, {on['memory_gb']} GB, Python {on['python']}",
    ]
    for one in outcomes:
        lines += ["", f"{one.subject}: {one.asked}, {one.seconds:.0f} s"]
        lines += [f"  {what}: {count}" for what, count in one.done.items()]
        lines += [f"  {what}: {value:g}" for what, value in one.figures.items()]
        lines += [f"  slowest: {one.slowest}"] if one.slowest else []
        lines += [f"  left out: {what}" for what in one.left_out]
        lines += [f"  FOUND: {what}" for what in one.found] or ["  nothing found"]
    found = sum(len(one.found) for one in outcomes)
    return "\n".join([*lines, "", f"{found} found" if found else "nothing found", ""])


def data_of(outcomes: Sequence[Outcome], seed: int) -> Mapping[str, Any]:
    """Return the report as plain data."""
    return {
        "program": f"strutwright {__version__}",
        "seed": seed,
        "machine": machine(),
        "subjects": [asdict(one) for one in outcomes],
        "found": sum(len(one.found) for one in outcomes),
    }


def write_report(path: Path, outcomes: Sequence[Outcome], seed: int) -> None:
    """Write the report as text to a file, and as JSON beside it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text_of(outcomes, seed), encoding="utf-8")
    path.with_suffix(".json").write_text(json.dumps(data_of(outcomes, seed), indent=1) + "\n", encoding="utf-8")
