"""The command `watch`: at each save check a set at once, and build it again where it says something else."""

from __future__ import annotations

import argparse
import contextlib
import gc
import hashlib
import json
import os
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from strutwright.errors import Exit, UserError

LOOK_S = 0.2
"""How often the files are looked at."""
_BUILD = ("out", "hand", "step_units", "limits", "confirmations")


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    from strutwright.cli import build_options

    text = "check a set at each save, and build it again when it says something else, until Ctrl-C"
    watch = add("watch", run, text)
    watch.add_argument("file", metavar="FILE", help="a YAML file")
    build_options(watch)
    watch.add_argument("--checks-only", action="store_true", help="build nothing")


def run(arguments: argparse.Namespace) -> int:
    """Watch until stopped. Raises UserError for a file that is not there, or a shipped set, which nobody saves."""
    from strutwright.params.loader import shipped

    gc.enable()
    path = Path(arguments.file)
    if not path.is_file():
        shipped_set = arguments.file in shipped()
        raise UserError(
            f"{arguments.file}: is a shipped set, which does not change; `strutwright start my-strut.yaml --like "
            f"{arguments.file}` makes a file of it"
            if shipped_set
            else f"{arguments.file}: is not there"
        )
    builds: Builds | None = None if arguments.checks_only else Builds(build_words(arguments))
    with builds or contextlib.nullcontext():
        watched(files_of(arguments), lambda: checked(arguments), builds)
    return Exit.STOPPED


def files_of(arguments: argparse.Namespace) -> list[Path]:
    """Return the files whose saving counts, whether they are there or not."""
    from strutwright.confirm_command import beside

    read = arguments.confirmations or beside(arguments.file)
    return [Path(f) for f in (arguments.file, arguments.limits, read) if f is not None]


def build_words(arguments: argparse.Namespace) -> list[str]:
    """Return the words of the build that the options ask for."""
    words = ["build", arguments.file, "--quiet"]
    for option in _BUILD:
        if (value := getattr(arguments, option)) is not None:
            words += [f"--{option.replace('_', '-')}", str(value)]
    for kind in arguments.only or ():
        words += ["--only", kind]
    return words + ["--despite-failures"] * arguments.despite_failures


def checked(arguments: argparse.Namespace) -> object:
    """Check the file and tell how it stands; return what a build follows from, None for a file that cannot be used."""
    from strutwright import show
    from strutwright.cli import limits_in, resolved
    from strutwright.confirm_command import in_force
    from strutwright.job import run_checks
    from strutwright.params import readings

    print(f"--- {time.strftime('%H:%M:%S')} {arguments.file}", flush=True)
    try:
        with in_force(arguments.confirmations, arguments.file):
            limits = limits_in(arguments.limits)
            found = resolved(arguments.file, limits)
            findings = run_checks(found, limits=limits)
            told = show.findings_text(findings, found.strut.file_units, every=False)
            follows = (found.said, limits, readings.current().sha256)
    except UserError as error:
        print(error, flush=True)
        return None
    print(told, flush=True)
    return follows


class Builds:
    """Builds one after the other in a process that keeps the kernel and what it made; a newer one takes the place of
    one that still runs."""

    def __init__(self, words: Sequence[str]) -> None:
        self._words, self._began = words, 0.0
        self._process: subprocess.Popen[str] | None = None
        self._heard: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._said: list[str] = []
        self._runs = False

    def __enter__(self) -> Builds:
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()
        self._end()

    def start(self) -> None:
        """Begin a build; one that runs is stopped, which leaves the earlier outputs whole."""
        self.stop()
        print("building ...", flush=True)
        self._began, self._said, self._runs = time.monotonic(), [], True
        if self._process is None or self._process.poll() is not None:
            self._end()
            self._begin()
        assert self._process is not None
        assert self._process.stdin is not None
        with contextlib.suppress(OSError):  # a process that has ended meanwhile is found out by `look`
            self._process.stdin.write(json.dumps(list(self._words)) + "\n")
            self._process.stdin.flush()

    def stop(self) -> None:
        """Stop the build that runs, and wait until it has cleared away."""
        if not self._runs:
            return
        self._runs = False
        assert self._process is not None
        self._process.send_signal(signal.SIGINT if os.name != "nt" else signal.SIGTERM)
        end = time.monotonic() + STOP_S
        while (line := self._next(max(end - time.monotonic(), 0.0))) is not None and not line.startswith(_END):
            pass
        if line is None:
            self._end()
        print("stopped the build", flush=True)

    def look(self) -> None:
        """Tell of a build that has ended; its findings were told when it was checked, but for those of the solid."""
        while self._runs:
            try:
                line = self._heard.get_nowait()
            except queue.Empty:
                return
            if line is None or line.startswith(_END):
                self._runs = False
                self._tell("" if line is None else line.removeprefix(_END))
            else:
                self._said.append(line.rstrip("\n"))

    def _tell(self, how: str) -> None:
        status, _, taken = how.strip().partition(" ")
        built = status in {str(int(s)) for s in (Exit.PASS, Exit.WARNINGS)}
        as_they_were = f", {taken} as they were" if taken and built else ""
        ended = f"{'built' if built else 'not built'} after {time.monotonic() - self._began:.0f} s{as_they_were}"
        print(f"{ended}; the end of what it says:", flush=True)
        print("\n".join(f"  {line}" for line in self._said[-_LINES:]), flush=True)

    def _begin(self) -> None:
        aside: dict[str, Any] = {"start_new_session": True} if os.name != "nt" else {}
        self._process = subprocess.Popen(
            [sys.executable, "-c", "from strutwright.watch_command import serve; serve()"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            **aside,
        )
        self._heard = queue.SimpleQueue()
        threading.Thread(target=_read, args=(self._process.stdout, self._heard.put), daemon=True).start()

    def _next(self, seconds: float) -> str | None:
        """The next line; None at the end of the process, or when it says nothing for so long."""
        try:
            return self._heard.get(timeout=seconds)
        except queue.Empty:
            return None

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                with contextlib.suppress(OSError):
                    if pipe is not None:
                        pipe.close()


def _read(pipe: Any, put: Callable[[str | None], None]) -> None:
    """Put every line, and None at the end."""
    with contextlib.suppress(OSError, ValueError):
        for line in pipe:
            put(line)
    put(None)


def serve() -> None:
    """Be the process that builds: the words of each build come in as a line of JSON."""
    from strutwright import cli
    from strutwright.guard import Guard
    from strutwright.kept import Kept
    from strutwright.outputs import STAGES

    kept = Kept()
    with contextlib.suppress(KeyboardInterrupt), Guard() as guard:
        for line in sys.stdin:
            kept.taken.clear()
            status = cli.main(json.loads(line), cli.Lent(guard, kept))
            taken = ", ".join(STAGES[kind][0] for kind in STAGES if kind in kept.taken)
            print(f"{_END}{status} {taken}", flush=True)


STOP_S = 30.0
"""How long a build that is stopped may take to clear away."""
_END = "\x04"
_LINES = 6


def watched(files: Sequence[Path], check: Callable[[], object], builds: Builds | None) -> None:
    """Check at each save of the files, and build when what a build follows from is another; until interrupted.

    check: tells how the set stands; returns what a build follows from, None where it cannot be used.
    """
    seen, built = "", object()
    while True:
        now = _digest(files)
        if now != seen:
            seen = now
            follows = check()
            if builds is not None and follows is not None and follows != built:
                built = follows
                builds.start()
        if builds is not None:
            builds.look()
        time.sleep(LOOK_S)


def _digest(files: Sequence[Path]) -> str:
    """Return what tells the contents of files from others; one that is just being replaced counts as not there."""
    out = hashlib.sha256()
    for path in files:
        with contextlib.suppress(OSError):
            out.update(path.read_bytes())
        out.update(b"\0")
    return out.hexdigest()
