"""A stop that the user asks for (Ctrl-C, a polite kill, a closed terminal), remembered until it is obeyed.

An interrupt alone does not do. In the middle of a library's import it comes out as an ImportError, or is swallowed by
libraries that catch everything round an optional import, or ends the process by a fault in the library's own start. So
it waits for the end of an import; and the stop is written down as well, and looked up before anything is moved.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType

_AGAIN_S = 0.05
_SIGNALS = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))


class _State:
    """asked: number of the signal that came, 0 for none; held: whether it is only written down; placed: what of the
    job's outputs is in its place already; process: the one that listens. No dataclass, whose import takes 8 ms in which
    a stop could not yet be told in plain words."""

    __slots__ = ("asked", "held", "placed", "process")

    def __init__(self) -> None:
        self.asked, self.held, self.placed, self.process = 0, False, "", 0


_state = _State()


def asked() -> int:
    """Return the number of the signal that asked for a stop since `listening` began, 0 when none did."""
    return _state.asked


def heed() -> None:
    """Raise KeyboardInterrupt when a stop was asked for, also when what was interrupted then swallowed it."""
    if _state.asked:
        raise KeyboardInterrupt


def placed() -> str:
    """Return the folder that was put in its place since `listening` began, "" when none was."""
    return _state.placed


def note_placed(folder: str) -> None:
    """Note that outputs are in their place, so that a stop that comes later does not say they are not."""
    _state.placed = folder


@contextmanager
def held() -> Iterator[None]:
    """While the block runs a stop is only written down: for moving and clearing away, which must not end half-way.

    Signals come to the main thread; in another the block is never interrupted."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before, _state.held = _state.held, True
    try:
        yield
    finally:
        _state.held = before


def go_with_parent() -> None:
    """Have the system end this process when the one that started it ends, however that was."""
    if sys.platform == "linux":
        import ctypes

        ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # PR_SET_PDEATHSIG


@contextmanager
def listening(*, to_the_end: bool) -> Iterator[None]:
    """Turn the signals that ask for a stop into a KeyboardInterrupt, and write them down.

    to_the_end: leave it so when the block ends, with stops only written down, for a process that has nothing more to
    do; otherwise the earlier handlers come back. A signal that is ignored (nohup, a job in the background) stays so.
    """
    _state.asked, _state.held, _state.placed, _state.process = 0, False, "", os.getpid()
    earlier = {}
    with suppress(ValueError):  # only the main thread may take signals
        for number in _SIGNALS:
            if signal.getsignal(number) is not signal.SIG_IGN:
                earlier[number] = signal.signal(number, _take)
        if hasattr(signal, "setitimer"):
            earlier[signal.SIGALRM] = signal.signal(signal.SIGALRM, _take)
    try:
        yield
    finally:
        _state.held = to_the_end
        _again(0.0)
        if not to_the_end:
            for number, handler in earlier.items():
                signal.signal(number, handler)


def _take(number: int, frame: FrameType | None) -> None:
    if os.getpid() != _state.process:
        os._exit(128 + number)  # a worker forked from the job: the job itself says what is to be said
    if number in _SIGNALS:
        _state.asked = number
    if _state.held:
        return
    if _importing(frame) and _again(_AGAIN_S):
        return
    raise KeyboardInterrupt


def _importing(frame: FrameType | None) -> bool:
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False


def _again(after_s: float) -> bool:
    """Have `_take` called again after a time (s; 0: no more); return whether this machine can."""
    if not hasattr(signal, "setitimer"):
        return False
    signal.setitimer(signal.ITIMER_REAL, after_s)
    return True
