"""Kernel work in a process of its own, so that a crash or a hang of the kernel costs a step and not the job.

The worker tells over a pipe which step begins and ends (models.solids.watch). When it dies, or a step outlasts its
time, the step that was open is lost: the work is done again in a new worker that leaves it out.

A step's time is that of the processor, which the operating system itself measures and ends, so that a busy machine
loses nothing; a worker that neither computes nor answers is ended by the clock.
"""

from __future__ import annotations

import os
import pickle
import queue
import signal
import struct
import subprocess
import sys
import threading
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, TypeVar

from strutwright.errors import UserError
from strutwright.exporters.files import stop
from strutwright.models.solids import watch
from strutwright.models.solids.watch import Lost, LostError
from strutwright.params import readings

STEP_S = 40.0
"""Longest time of a step: ten times that of the slowest seen."""
STEP_VARIABLE = "STRUTWRIGHT_STEP_SECONDS"
"""Environment variable with another time, for a very slow machine."""
FAULT_VARIABLE = "STRUTWRIGHT_TEST_FAULT"
"""For tests only: "kind:step;kind:step" makes a fault in these steps; kinds as in _FAULTS."""
START_S = 120.0
"""Longest wait for a worker to start and to load the kernel from a slow disk."""
IDLE_FACTOR = 4.0
"""A worker that does not compute either is given up after so many times the longest time of a step."""
MOST_LOST = 4
"""After so many lost steps the kernel is not tried once more."""
MEMORY_SHARE = 0.75
"""Share of the machine's memory that the kernel may take."""
_OUT_OF_MEMORY = 86
_START = "the start of the solid-modelling kernel"
_HEAD = struct.Struct(">Q")

Made = TypeVar("Made")
Tell = Callable[[object], None]


class TooOftenLost(Exception):  # noqa: N818 - told as a finding
    """The kernel was lost once more than MOST_LOST. lost: every step, in order."""

    def __init__(self, lost: Sequence[Lost]) -> None:
        super().__init__("; ".join(one.what for one in lost))
        self.lost = tuple(lost)


class WorkerFault(RuntimeError):  # noqa: N818 - shown to the user by this name
    """An error of the worker that cannot travel as it is; the text says its kind."""


class _Remote(Exception):  # noqa: N818 - carries text only
    """The traceback of an error in the worker, for whoever mends the program."""

    def __str__(self) -> str:
        return f"\n{self.args[0]}"


class _Gone(Exception):  # noqa: N818 - never leaves this module
    """The worker is no more."""

    def __init__(self, lost: Lost) -> None:
        super().__init__(lost)
        self.lost = lost


def step_seconds() -> float:
    """Return the longest time of a step, s. Raises UserError for a setting that is no time."""
    said = os.environ.get(STEP_VARIABLE, "")
    try:
        seconds = float(said) if said else STEP_S
    except ValueError:
        seconds = 0.0
    if not 0.0 < seconds <= 1e6:
        raise UserError(f"{STEP_VARIABLE}={said}: give the longest time of a step in seconds, such as 120")
    return seconds


# --- this side ------------------------------------------------------------------------------------------------------


class Guard:
    """A worker process for the kernel, started anew after each loss. Close it, or use it in a `with`."""

    def __init__(self, *, kernel: bool = True, shown: Callable[[str], None] = lambda what: None) -> None:
        """kernel: whether workers load it beforehand; shown: told of each step that begins, in words."""
        self._kernel, self._shown, self._seconds = kernel, shown, step_seconds()
        self._process: subprocess.Popen[bytes] | None = None
        self._heard: queue.SimpleQueue[bytes | None] = queue.SimpleQueue()
        self._reader = threading.Thread()
        self._open: list[Lost] = []

    def __enter__(self) -> Guard:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def start(self) -> None:
        """Start a worker, which loads the kernel while this process goes on."""
        if self._process is not None:
            return
        self._open, self._heard = [], queue.SimpleQueue()
        aside: dict[str, Any] = {"start_new_session": True}  # Ctrl-C and the like reach this process alone
        if os.name == "nt":
            aside = {"creationflags": getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)}
        with stop.held():
            self._process = subprocess.Popen(
                [
                    sys.executable,
                    "-c",
                    f"from strutwright.guard import _serve; _serve({self._kernel}, {self._seconds!r})",
                ],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                bufsize=0,
                env={**os.environ, "PYTHONSAFEPATH": "1"},
                **aside,
            )
            self._reader = threading.Thread(target=_read_all, args=(self._process.stdout, self._heard.put), daemon=True)
            self._reader.start()

    def peak_mb(self) -> float:
        """Return the most memory that the worker has taken so far, MB; 0 where the system does not tell."""
        if self._process is not None:
            with suppress(OSError, ValueError, StopIteration):
                lines = Path(f"/proc/{self._process.pid}/status").read_text(encoding="ascii").splitlines()
                return int(next(line for line in lines if line.startswith("VmHWM")).split()[1]) / 1024.0
        return 0.0

    def close(self) -> None:
        """End the worker at once."""
        process, self._process = self._process, None
        if process is None:
            return
        with stop.held():
            process.kill()
            process.wait()
            self._reader.join()
            for pipe in (process.stdin, process.stdout):
                with suppress(OSError):
                    if pipe is not None:
                        pipe.close()

    def run(
        self,
        task: Callable[..., Made],
        arguments: Callable[[], tuple[object, ...]],
        hear: Callable[[Any], None] = lambda told: None,
        after_loss: Callable[[], None] = lambda: None,
        known: Sequence[Lost] = (),
    ) -> Made:
        """Return what a task returns in the worker, begun again without the lost step after each loss.

        task: a function of a module; it is called with `tell`, whose words reach `hear`, and with what `arguments`
        returns at each beginning. after_loss: called when the worker is gone, before the next begins. known: steps to
        leave out from the first. Raises what the task raises; TooOftenLost; UserError when the kernel does not start.
        """
        lost = list(known)
        while True:
            try:
                return self._once(task, arguments(), lost, hear)
            except _Gone as gone:
                lost.append(gone.lost)
                after_loss()
                if len(lost) > len(known) + MOST_LOST:
                    raise TooOftenLost(lost) from None

    def _once(
        self, task: Callable[..., Made], arguments: tuple[object, ...], lost: list[Lost], hear: Callable[[Any], None]
    ) -> Made:
        self.start()
        assert self._process is not None
        assert self._process.stdin is not None
        try:
            with suppress(OSError):  # a dead worker is found out below
                _write(self._process.stdin, pickle.dumps((task, arguments, tuple(lost), readings.current())))
            while True:
                kind, told = self._next()
                if kind == "begin":
                    self._open.append(told)
                    self._shown(told.what)
                elif kind == "end":
                    self._open.pop()
                elif kind == "told":
                    hear(told)
                elif kind == "error":
                    raise told[0] from _Remote(told[1])
                elif kind == "made":
                    return told  # type: ignore[no-any-return]
        except BaseException:
            self.close()
            raise

    def _next(self) -> tuple[str, Any]:
        """Return what the worker says next. Raises _Gone."""
        patience = self._seconds * (IDLE_FACTOR if hasattr(signal, "setitimer") else 1.0)
        if self._starting():
            patience = START_S
        try:
            said = self._heard.get(timeout=patience)
        except queue.Empty:
            try:
                said = self._heard.get(timeout=1.0)  # this process may have been asleep, not the worker
            except queue.Empty:
                raise self._gone(hung=True, why=f"stopped after {patience:g} s without a sign of life") from None
        if said is not None:
            return pickle.loads(said)  # type: ignore[no-any-return]
        assert self._process is not None
        status = self._process.wait()
        if hasattr(signal, "SIGPROF") and status == -signal.SIGPROF:
            raise self._gone(hung=True, why=f"stopped after {self._seconds:g} s of computing")
        raise self._gone(hung=False, why=_ended(status))

    def _starting(self) -> bool:
        return not self._open or self._open[-1].what == _START

    def _gone(self, *, hung: bool, why: str) -> _Gone:
        if self._starting():
            raise UserError(
                f'{_START} failed ({why}); `python -c "import cadquery"` shows whether it is installed '
                "properly; nothing was written"
            )
        at = self._open[-1]
        return _Gone(Lost(at.key, at.what, at.parameter, hung, why))


def _ended(status: int) -> str:
    if status == _OUT_OF_MEMORY:
        return "out of memory"
    if status >= 0:
        return f"exit status {status}"
    if hasattr(signal, "SIGKILL") and status == -signal.SIGKILL:
        return "killed from outside, as when memory runs out"
    with suppress(ValueError):
        return (signal.strsignal(-status) or f"signal {-status}").lower()
    return f"signal {-status}"


def _write(pipe: Any, data: bytes) -> None:
    rest = memoryview(_HEAD.pack(len(data)) + data)
    while rest:
        rest = rest[pipe.write(rest) :]


def _read(pipe: Any, size: int) -> bytes:
    """Return so many bytes. Raises EOFError when there are no more."""
    out = b""
    while len(out) < size:
        more = pipe.read(size - len(out))
        if not more:
            raise EOFError
        out += more
    return out


def _read_all(pipe: Any, put: Callable[[bytes | None], None]) -> None:
    """Put every message from a pipe, and None at its end."""
    with suppress(EOFError, OSError, ValueError):
        while True:
            put(_read(pipe, _HEAD.unpack(_read(pipe, _HEAD.size))[0]))
    put(None)


# --- the worker -----------------------------------------------------------------------------------------------------


def _serve(kernel: bool, seconds: float) -> None:
    """Be the worker: do the tasks that come in on the standard input until it ends."""
    talk = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # what the kernel prints is no message
    _settle()
    tasks: queue.SimpleQueue[bytes] = queue.SimpleQueue()

    def take(task: bytes | None) -> None:
        if task is None:
            os._exit(0)  # nobody is there to work for
        tasks.put(task)

    threading.Thread(target=_read_all, args=(os.fdopen(0, "rb", buffering=0, closefd=False), take), daemon=True).start()

    def say(kind: str, what: object = None) -> None:
        _write(talk, pickle.dumps((kind, what)))

    at = _Steps(say, seconds)
    watch.watched_by(at)
    if kernel:
        with watch.step(_START):
            at.rest()
            import cadquery  # noqa: F401

            from strutwright.models.solids import assembly  # noqa: F401
    while True:
        order = tasks.get()
        try:
            task, arguments, lost, read = pickle.loads(order)
            readings.use(read)
            at.begin_anew(lost)
            made = task(lambda told: say("told", told), *arguments)
            at.rest()
            say("made", made)
        except BaseException as error:
            at.rest()
            say("error", (_fit_to_travel(error), traceback.format_exc()))


def _settle() -> None:
    """Leave stops to the other process, go when it goes, and keep within the machine's memory."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    stop.go_with_parent()  # also when it cannot read the pipe
    with suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_CORE, (0, resource.getrlimit(resource.RLIMIT_CORE)[1]))
        most = int(MEMORY_SHARE * os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE"))
        hard = resource.getrlimit(resource.RLIMIT_DATA)[1]
        resource.setrlimit(resource.RLIMIT_DATA, (most if hard < 0 else min(most, hard), hard))


def _fit_to_travel(error: BaseException) -> Exception:
    """Return an error as the other process can take it, which has no kernel."""
    if isinstance(error, Exception) and type(error).__module__.partition(".")[0] in ("strutwright", "builtins"):
        with suppress(Exception):
            pickle.loads(pickle.dumps(error))
            return error
    return WorkerFault(f"{type(error).__name__}: {error}")


class _Steps:
    """Tells of the steps, leaves lost ones out, and has the operating system end one that takes too long."""

    def __init__(self, say: Callable[..., None], seconds: float) -> None:
        self._say, self._seconds, self._lost = say, seconds, dict[str, Lost]()
        self._open: list[tuple[str, str, dict[str, int]]] = []  # key, parameter, how often each step was in it
        self._faults = [f.partition(":")[::2] for f in os.environ.get(FAULT_VARIABLE, "").split(";") if f]
        if hasattr(signal, "SIGPROF"):
            signal.signal(signal.SIGPROF, signal.SIG_DFL)
        self.begin_anew(())

    def begin_anew(self, lost: Sequence[Lost]) -> None:
        self._lost = {one.key: one for one in lost}
        self._open = [("", "", {})]
        self._clock(self._seconds)

    def rest(self) -> None:
        self._clock(0.0)

    @contextmanager
    def step(self, what: str, parameter: str) -> Iterator[None]:
        above, inherited, seen = self._open[-1]
        seen[what] = seen.get(what, 0) + 1
        key, parameter = f"{above}/{what} {seen[what]}", parameter or inherited
        if key in self._lost:
            raise LostError(self._lost[key])
        self._open.append((key, parameter, {}))
        self._say("begin", Lost(key, what, parameter, False, ""))
        self._clock(self._seconds)
        try:
            for kind, where in self._faults:
                if where == what:
                    _FAULTS[kind]()
            yield
        except MemoryError:
            os._exit(_OUT_OF_MEMORY)
        finally:
            self._open.pop()
            self._say("end")
            self._clock(self._seconds)

    def beat(self) -> None:
        self._say("beat")
        self._clock(self._seconds)

    @staticmethod
    def _clock(seconds: float) -> None:
        if hasattr(signal, "setitimer"):
            signal.setitimer(signal.ITIMER_PROF, seconds)


def _spin() -> None:
    while True:
        pass


def _no_memory() -> None:
    raise MemoryError


def _program_fault() -> None:
    raise KeyError("a fault made for a test")


_FAULTS: dict[str, Callable[[], None]] = {
    "segv": lambda: os.kill(os.getpid(), signal.SIGSEGV),
    "kill": lambda: os.kill(os.getpid(), signal.SIGKILL),
    "spin": _spin,
    "sleep": lambda: time.sleep(1e6),
    "memory": _no_memory,
    "fault": _program_fault,
}
