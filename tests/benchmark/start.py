"""How long a person waits for an answer: `python -m tests.benchmark.start`.

Processor time of each command over that of bare imports of the libraries it cannot do without, so that the same limit
holds on a slow machine and on a busy one. Ends with status 1 when a command is beyond its limit.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys

BARE, LIBRARIES = "import argparse", "import argparse, json, numpy, pydantic, yaml"
COMMANDS = (
    (BARE, 4.0, ["--help"]),
    (LIBRARIES, 2.5, ["sets"]),
    (LIBRARIES, 2.5, ["meaning", "arms"]),
    (LIBRARIES, 4.5, ["values", "harbour-launch"]),
    (LIBRARIES, 4.5, ["check", "harbour-launch"]),
    (LIBRARIES, 4.5, ["check", "patrol-vee-pair"]),
)
"""What has to be imported, how many times its processor time a command may take, and the command."""
RUNS = 9


def processor_s(words: list[str]) -> float:
    """Return the least processor time (s) of several runs of Python with these words."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    environment |= {"OPENBLAS_NUM_THREADS": "1", "PYDANTIC_DISABLE_PLUGINS": "__all__"}
    times = []
    for _ in range(RUNS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *words], capture_output=True, check=False, env=environment)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(times)


def main() -> int:
    """Print processor time and ratio for each command; return the exit status."""
    bare = {code: processor_s(["-c", code]) for code in (BARE, LIBRARIES)}
    beyond = 0
    for code, most, command in COMMANDS:
        taken = processor_s(["-m", "strutwright", *command])
        ratio = taken / bare[code]
        beyond += ratio > most
        print(f"{taken:.2f} s, {ratio:.1f} times bare imports, limit {most:g}  strutwright {' '.join(command)}")
    return int(beyond > 0)


if __name__ == "__main__":
    sys.exit(main())
