"""How long the checks of one strut take in a running program: `python -m tests.benchmark.checks`.

Processor time over that of resolving the same set. Ends with status 1 when a set is beyond the limit.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

from strutwright.job import run_checks
from strutwright.models.resolve import resolve
from strutwright.params.loader import load, shipped

MOST = 60.0
RUNS = 5


def processor_s(work: Callable[[], object]) -> float:
    """Return the least processor time (s) of several runs."""
    times = []
    for _ in range(RUNS):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return min(times)


def main() -> int:
    """Print processor time and ratio for each shipped set; return the exit status."""
    beyond = 0
    for name in (n for n in shipped() if not n.startswith("failing/")):
        loaded = load(shipped()[name])
        resolved = resolve(loaded)
        bare, taken = (
            processor_s(lambda loaded=loaded: resolve(loaded)),
            processor_s(lambda resolved=resolved: run_checks(resolved)),
        )
        beyond += taken > MOST * bare
        print(f"{1000 * taken:6.1f} ms, {taken / bare:4.1f} times resolving, limit {MOST:g}  {name}")
    return int(beyond > 0)


if __name__ == "__main__":
    sys.exit(main())
