"""A process and what it started, as the system's own tables tell it: who they are, and what memory they take."""

from __future__ import annotations

import os
import time
from collections import defaultdict
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path


def _parents() -> dict[int, list[int]]:
    """Process -> those that it started."""
    of = defaultdict(list)
    for folder in Path("/proc").iterdir():
        if folder.name.isdecimal():
            with suppress(OSError, IndexError, ValueError):
                # The name of the program, in brackets, may have anything in it.
                fields = (folder / "stat").read_text(errors="replace").rpartition(")")[2].split()
                if fields[0] != "Z":
                    of[int(fields[1])].append(int(folder.name))
    return of


def below(pid: int) -> list[int]:
    """Return the processes that a process started, and that those did, which still run."""
    of, out, waiting = _parents(), [], [pid]
    while waiting:
        out += (found := of.get(waiting.pop(), []))
        waiting += found
    return out


def runs(pid: int) -> bool:
    """Return whether a process runs; one that has ended and was not waited for does not."""
    try:
        return Path(f"/proc/{pid}/stat").read_text(errors="replace").rpartition(")")[2].split()[0] != "Z"
    except (OSError, IndexError):
        return False


def gone(pids: Iterable[int], within_s: float = 30.0) -> bool:
    """Return whether processes end within a time."""
    until = time.monotonic() + within_s
    left = list(pids)
    while left := [p for p in left if runs(p)]:
        if time.monotonic() > until:
            return False
        time.sleep(0.02)
    return True


def taken_mb(pid: int) -> float:
    """Return the memory that a process takes, MB, what it shares with others by its part; 0 where that is not told."""
    with suppress(OSError, ValueError, StopIteration):
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii").splitlines()
        return int(next(line for line in lines if line.startswith("Pss:")).split()[1]) / 1024.0
    with suppress(OSError, ValueError, IndexError):
        pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1024.0**2
    return 0.0
