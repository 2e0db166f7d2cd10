"""Random sets of every kind of part from the whole schema, built, written, read back and measured."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from property.built_sets import DRAWS, outcomes

from .report import Outcome, Progress


def run(outcome: Outcome, *, count: int, first: int, processes: int) -> None:
    """Carry so many sets through, in equal parts of every kind of part. first: number of the first of each kind."""
    progress, done = Progress("sets", count), 0
    for k, part in enumerate(DRAWS):
        share = range(first, first + (count + k) // len(DRAWS))
        for one in outcomes(part, share, processes):
            done += 1
            outcome.count(f"{part}: {one.kind}")
            if one.kind == "fault":
                outcome.found.append(f"{part}, random set {one.number}: {one.why}")
            progress.step(done, outcome, part)
