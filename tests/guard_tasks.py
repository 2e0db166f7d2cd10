"""Tasks for the worker that tests watch, and a parent to kill."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable

from strutwright.errors import UserError
from strutwright.guard import Guard
from strutwright.models.solids import watch
from strutwright.models.solids.watch import LostError
from strutwright.params.limits import standard


def steps(tell: Callable[[object], None], names: tuple[str, ...], end_second: str = "") -> list[str]:
    """Go through steps; return those that were done, and tell each; be killed in the second step of a name."""
    done, met = [], 0
    with watch.step("the whole", "barrel"):
        for name in names:
            try:
                with watch.step(name, f"blame.{name}" if name != "d" else ""):
                    met += name == end_second
                    if name == end_second and met == 2:
                        os.kill(os.getpid(), signal.SIGSEGV)
            except LostError as error:
                done.append(f"no {error.lost.what}")
                met += name == end_second
            else:
                done.append(name)
                tell(name)
    return done


def worker(tell: Callable[[object], None]) -> int:
    """Return the number of the worker's process."""
    return os.getpid()


def raises(tell: Callable[[object], None], kind: str) -> None:
    """Raise an error of a kind."""
    if kind == "user":
        raise UserError("the shaft is crooked")
    if kind == "odd":
        raise type("OddError", (Exception,), {"__module__": "OCP.Standard"})("three words here")
    raise KeyError(kind)


def limit_in_force(tell: Callable[[object], None], name: str) -> float:
    """Return a limit as it stands in the worker."""
    return standard()[name].value


def stays(tell: Callable[[object], None], busy: bool) -> None:
    """Tell the process and stay for good."""
    tell(os.getpid())
    while True:
        if not busy:
            time.sleep(60.0)


if __name__ == "__main__":
    import guard_tasks  # the worker has another main module

    with Guard(kernel=False) as guard:
        guard.run(guard_tasks.stays, lambda: (sys.argv[1] == "busy",), lambda pid: print(pid, flush=True))
