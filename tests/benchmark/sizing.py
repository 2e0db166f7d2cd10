"""Time candidates through all the checks, from a thousand to ten million: python -m tests.benchmark.sizing [SET]."""

from __future__ import annotations

import sys

from strutwright.models.sizing import benchmark
from strutwright.params.loader import load, shipped

WANTED_S, WANTED_MB = 5.0, 1000.0
"""One million candidates on two processors."""
WANTED_GROWTH = 2.0
"""Ten times the candidates may cost so many times the processor time of each."""


def main() -> int:
    """Print the table; the exit status tells whether a million stays within what is wanted."""
    name = sys.argv[1] if len(sys.argv) > 1 else "harbour-launch"
    rows = benchmark.run(load(shipped()[name]), 10_000_000, say=lambda line: print(line, flush=True))
    million = next(r for r in rows if r.count == 1_000_000)
    fewer = next(r for r in rows if r.count == 100_000)
    good = (
        million.wall_s <= WANTED_S
        and million.memory_mb <= WANTED_MB
        and million.per_candidate_us <= WANTED_GROWTH * fewer.per_candidate_us
    )
    print(
        f"a million: {million.wall_s:.2f} s of {WANTED_S:g} s, {million.memory_mb:.0f} MB of {WANTED_MB:g} MB: "
        f"{'within' if good else 'beyond'}"
    )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
