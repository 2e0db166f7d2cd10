"""The most memory that a build takes, of the whole tree of its processes, as the system tells it while it runs."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from .processes import below, taken_mb
from .report import Outcome

MOST_MB = 1024.0
LARGEST = "coaster-steel"
"""The shipped set whose build takes most."""
LOOK_S = 0.1


def run(outcome: Outcome, *, name: str = LARGEST, jobs: int = 1, most_mb: float = MOST_MB) -> None:
    """Build a set and watch what it takes. jobs: processes for the kernel."""
    peak, at, by_process = 0.0, 0.0, dict[int, float]()
    with tempfile.TemporaryDirectory() as folder:
        words = ["build", name, "--out", str(Path(folder) / "out"), "--quiet", "--jobs", str(jobs)]
        began = time.monotonic()
        process = subprocess.Popen(
            [sys.executable, "-m", "strutwright", *words],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=os.environ | {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        )
        while process.poll() is None:
            taken = {pid: taken_mb(pid) for pid in (process.pid, *below(process.pid))}
            for pid, mb in taken.items():
                by_process[pid] = max(by_process.get(pid, 0.0), mb)
            if sum(taken.values()) > peak:
                peak, at = sum(taken.values()), time.monotonic() - began
            time.sleep(LOOK_S)
        outcome.slowest = f"the build of {name}, {time.monotonic() - began:.0f} s"
    outcome.count("builds watched")
    outcome.figures["most memory of all processes at once, MB"] = round(peak, 1)
    outcome.figures["that was after, s"] = round(at, 1)
    for pid, mb in sorted(by_process.items(), key=lambda item: -item[1])[:3]:
        what = "the job itself" if pid == process.pid else f"process {len(outcome.figures)} below it"
        outcome.figures[f"most of {what}, MB"] = round(mb, 1)
    if process.returncode not in (0, 1):
        outcome.found.append(f"the build of {name} ended with {process.returncode}")
    if peak > most_mb:
        outcome.found.append(f"the build of {name} took {peak:.0f} MB; at most {most_mb:.0f} MB is wanted")
