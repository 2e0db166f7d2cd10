"""A process that is kept, in which one command after another is run as from the command line, in a folder of its own.

Each command is measured by its processor time; one that goes on far beyond what is allowed is ended by the operating
system, and the next has a new process.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import io
import multiprocessing
import os
import shutil
import signal
import sys
import time
import traceback
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

GIVE_UP_S = 30.0
"""Processor time after which a command is ended."""
HANGS_S = 300.0
"""Time by the clock after which a command that does not compute is given up."""
SURROUNDINGS = {"COLUMNS": "100", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "STRUTWRIGHT_JOBS": "1"}
"""What the process, and one that a case is tried in once more, finds about it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """What a command did. status: None where it raised or was ended; changed: paths that came, went or were changed,
    within the folder; scratch: what it left in the folder for passing files."""

    status: int | None
    processor_s: float
    out: str
    err: str
    changed: tuple[str, ...] = ()
    scratch: tuple[str, ...] = ()


class Kept:
    """The process. Use it in a `with`."""

    def __init__(self, folder: Path) -> None:
        """folder: for the folders of the commands; what lies in it goes."""
        self.folder = folder
        self._context = multiprocessing.get_context("spawn")
        self._process: multiprocessing.process.BaseProcess | None = None
        self._talk: Connection | None = None

    def __enter__(self) -> Kept:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """End the process."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
        self._process = self._talk = None

    def run(self, words: Sequence[str], files: Mapping[str, bytes]) -> Ran:
        """Return what a command does in a new folder with these files in it."""
        if self._talk is None:
            self._talk, its = self._context.Pipe()
            self._process = self._context.Process(target=_serve, args=(its, str(self.folder)), daemon=True)
            self._process.start()
            its.close()
        self._talk.send((tuple(words), dict(files)))
        began = time.monotonic()
        try:
            if self._talk.poll(HANGS_S):
                made = self._talk.recv()
                assert isinstance(made, Ran)
                return made
            why = f"no answer within {HANGS_S:g} s"
        except (EOFError, OSError):
            assert self._process is not None
            self._process.join()
            why = f"the process ended with {self._process.exitcode}"
        self.close()
        return Ran(status=None, processor_s=time.monotonic() - began, out="", err=why)


def tree_of(folder: Path) -> dict[str, str]:
    """Return path within a folder -> what is there: a digest of a file's bytes, or that it is a folder or a link."""
    found = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_symlink():
            found[name] = f"link to {os.readlink(path)}"
        else:
            found[name] = "folder" if path.is_dir() else hashlib.sha256(path.read_bytes()).hexdigest()
    return found


def lay_out(folder: Path, files: Mapping[str, bytes]) -> None:
    """Make a folder anew with these files in it."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)


def _serve(talk: Connection, folder: str) -> None:
    os.environ |= SURROUNDINGS
    scratch = Path(folder) / "scratch"
    scratch.mkdir(parents=True, exist_ok=True)
    os.environ["TMPDIR"] = str(scratch)
    _no_builds()
    _warm(Path(folder) / "work")
    signal.signal(signal.SIGPROF, signal.SIG_DFL)
    count = 0
    with contextlib.suppress(EOFError, ConnectionError, KeyboardInterrupt):
        while True:
            words, files = talk.recv()
            lay_out(Path(folder) / "work", files)
            signal.setitimer(signal.ITIMER_PROF, GIVE_UP_S)
            made = ran(words, Path(folder) / "work", scratch)
            signal.setitimer(signal.ITIMER_PROF, 0.0)
            talk.send(made)
            count += 1
            if count % 20 == 0:
                gc.collect()  # a command turns it off, as its process has nothing else to do


def _no_builds() -> None:
    """Have `many` read every set and check it instead of building it; builds are the matter of other subjects."""
    from strutwright import many
    from strutwright.cli import resolved
    from strutwright.errors import UserError
    from strutwright.exporters.web.many_page import Row
    from strutwright.job import exit_for, run_checks

    def checked(sets: Sequence[many.Set], folder: Path, order: object, **_: object) -> list[Row]:
        rows = []
        for one in sets:
            try:
                rows.append(Row(name=one.name, status=int(exit_for(run_checks(resolved(one.file))))))
            except UserError as error:
                rows.append(Row(name=one.name, status=int(error.status), said=str(error)))
        return rows

    many.build_all = checked


def _warm(folder: Path) -> None:
    """Import what commands import, so that a case is not blamed for it."""
    for words in (
        ["check", "harbour-launch"],
        ["survey", "survey-twin-screw", "--out", "job"],
        ["fitting", "fitting-harbour-launch", "--set", "harbour-launch", "--out", "job", "--json"],
        ["tolerances", "harbour-launch", "--out", "chain"],
    ):
        lay_out(folder, {})
        ran(words, folder, folder)


def ran(words: Sequence[str], folder: Path, scratch: Path) -> Ran:
    """Return what a command does in a folder, in this process. scratch: the folder for passing files; what a command
    leaves in it is told, and goes."""
    from strutwright import cli

    os.chdir(folder)
    before = tree_of(folder)
    out, err = io.StringIO(), io.StringIO()
    status: int | None = None
    began = time.process_time()
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = cli.main(list(words))
    except SystemExit as stop:  # words that the parser of the command line does not take
        status = stop.code if isinstance(stop.code, int) else 3
    except BaseException:
        err.write(traceback.format_exc())
    took = time.process_time() - began
    os.chdir(folder)
    after = tree_of(folder)
    left = tuple(p.name for p in scratch.iterdir()) if scratch != folder else ()
    for name in left:
        shutil.rmtree(scratch / name, ignore_errors=True)
        (scratch / name).unlink(missing_ok=True)
    sys.stdout.flush()
    return Ran(
        status=None if status is None else int(status),
        processor_s=took,
        out=out.getvalue(),
        err=err.getvalue(),
        changed=tuple(sorted(p for p in before.keys() | after.keys() if before.get(p) != after.get(p))),
        scratch=left,
    )
