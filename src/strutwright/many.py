"""Many sets built on all processors: worker processes, each with the kernel loaded once, and what came of each set.

What is done is written down after each set, so that a job that was stopped or killed goes on where it was; a set whose
bytes, limits, readings, options and program version are as before, and whose outputs stand, is not built again.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import multiprocessing
import signal
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from strutwright import __version__
from strutwright.errors import Exit, UserError, write_whole
from strutwright.exporters.files import stop
from strutwright.exporters.web.many_page import Row
from strutwright.machines import Machines
from strutwright.outputs import Order

STATE = "many.json"
"""What is done, in the folder of all."""
TRIES = 2
"""How often a set is tried whose worker dies."""


@dataclass(frozen=True, slots=True)
class Set:
    """A set to build. name: of its folder; file: of its parameters; confirmations: file of what was read, or None for
    that beside the set."""

    name: str
    file: str
    confirmations: str | None = None


def digest(one: Set, order: Order, limits_sha256: str) -> str:
    """Return what tells a build of a set from others: its bytes, what it is held to, options, program version."""
    told = [
        __version__,
        hashlib.sha256(Path(one.file).read_bytes()).hexdigest(),
        limits_sha256,
        sorted(order.what),
        order.hand,
        order.step_units,
        order.despite_failures,
    ]
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()


# --- what is done ---------------------------------------------------------------------------------------------------


def _done_before(folder: Path) -> dict[str, tuple[str, Row]]:
    """Return what the folder's file of what is done says, name -> digest and row; nothing where it cannot be read."""
    with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
        said = json.loads((folder / STATE).read_text(encoding="utf-8"))
        return {
            name: (entry["digest"], Row(**(entry["row"] | {"pictures": tuple(entry["row"]["pictures"])})))
            for name, entry in said["sets"].items()
        }
    return {}


def _write_down(folder: Path, done: Mapping[str, tuple[str, Row]]) -> None:
    data = {
        "program": "strutwright",
        "sets": {n: {"digest": d, "row": asdict(r)} for n, (d, r) in sorted(done.items())},
    }
    write_whole(folder / STATE, json.dumps(data, indent=1) + "\n")


def _stands(folder: Path, row: Row) -> bool:
    """Whether the outputs of an earlier build are there, each as it was written."""
    from strutwright.exporters.files.manifest import ManifestError, changed_files

    if not row.files:
        return row.status == Exit.FAILURE  # nothing was written, because a check fails
    try:
        return changed_files(folder / row.name) == []
    except ManifestError:
        return False


# --- the workers ----------------------------------------------------------------------------------------------------


def _serve(talk: Connection, folder: str, order: Order, limits_file: str | None) -> None:
    """Be a worker: build the sets that come in until there are no more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    stop.go_with_parent()
    from strutwright.guard import Guard

    with Guard() as guard:
        guard.start()
        while (one := talk.recv()) is not None:
            talk.send(_built(one, Path(folder), order, limits_file, guard))


def _built(one: Set, folder: Path, order: Order, limits_file: str | None, guard: Any) -> Row:
    """Build a set, and tell what came of it; never raises."""
    from strutwright.cli import limits_in, limits_sha256, resolved
    from strutwright.confirm_command import in_force
    from strutwright.job import build_set

    began = time.monotonic()
    try:
        with in_force(one.confirmations, one.file):
            limits = limits_in(limits_file)
            held = replace(
                order, out=folder / one.name, limits=limits, limits_sha256=limits_sha256(limits_file), quiet=True
            )
            found = resolved(one.file, limits)
            made = build_set(found, Path(one.file), held, guard)
    except UserError as error:
        row = Row(name=one.name, status=int(error.status), said=str(error))
    except Exception as error:
        row = Row(
            name=one.name, status=int(Exit.INTERNAL), said=f"a fault of the program: {type(error).__name__}: {error}"
        )
    else:
        row = _row_of(one.name, made, found)
    return replace(row, seconds=round(time.monotonic() - began, 2), memory_mb=round(guard.peak_mb() + _own_mb(), 1))


def _row_of(name: str, made: Any, found: Any) -> Row:
    from strutwright.models.finding import nearest, verdict_line

    units = found.strut.file_units
    first = next(iter(nearest(made.findings, found.filled_in, 1)), None)
    weight = next((f.measure(units) for f in made.findings if f.code == "strut_weight"), "")
    pictures = [p for p, what in made.files.items() if what.startswith("picture of the whole strut, ")]
    return Row(
        name=name,
        status=int(made.status),
        stands=verdict_line(made.findings),
        governs="" if first is None else first.about(units),
        used="" if first is None else first.limit_used(),
        weight=weight,
        files=len(made.files),
        pictures=tuple(f"{name}/{p}" for p in pictures),
    )


def _own_mb() -> float:
    try:
        import resource
    except ImportError:
        return 0.0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024.0 if sys.platform == "linux" else 1024.0**2)


@dataclass(slots=True)
class _Worker:
    process: BaseProcess
    talk: Connection
    at: Set | None = None
    tries: int = 0


class Workers:
    """Worker processes for the sets of a job. Use it in a `with`: what still runs is ended, and cleared away."""

    def __init__(self, count: int, folder: Path, order: Order, limits_file: str | None) -> None:
        """count: of workers, at least 1; folder: of all; order: how each set is built."""
        self._folder, self._arguments = folder, (str(folder), order, limits_file)
        self._context = multiprocessing.get_context("spawn")
        self._workers = [self._new() for _ in range(count)]

    def __enter__(self) -> Workers:
        return self

    def __exit__(self, *_: object) -> None:
        with stop.held():
            for worker in self._workers:
                if worker.at is not None:
                    worker.process.kill()
                else:
                    with contextlib.suppress(OSError):
                        worker.talk.send(None)
            for worker in self._workers:
                worker.process.join()
                if worker.at is not None:
                    self._clear(worker.at)

    def _new(self) -> _Worker:
        mine, its = self._context.Pipe()
        with stop.held():
            process = self._context.Process(target=_serve, args=(its, *self._arguments))
            process.start()
        its.close()
        return _Worker(process, mine)

    def _clear(self, one: Set) -> None:
        """Remove what a worker that died left half-made."""
        from strutwright.exporters.files.outdir import OutputFolderError, recovered

        with contextlib.suppress(OutputFolderError, OSError):
            recovered(self._folder / one.name)

    def built(self, sets: Sequence[Set], each: Callable[[Set, Row], None]) -> None:
        """Build sets, and tell each as it is done. Raises KeyboardInterrupt when a stop was asked for."""
        waiting = [(one, 1) for one in reversed(sets)]
        while waiting or any(w.at is not None for w in self._workers):
            stop.heed()
            for worker in self._workers:
                if worker.at is None and waiting:
                    worker.at, worker.tries = waiting.pop()
                    with contextlib.suppress(OSError):  # a dead worker is found out below
                        worker.talk.send(worker.at)
            busy = {w.talk: w for w in self._workers if w.at is not None}
            for ready in wait(list(busy), timeout=0.5):
                worker = busy[ready]  # type: ignore[index]
                one, tries = worker.at, worker.tries
                assert one is not None
                try:
                    row = worker.talk.recv()
                except (EOFError, OSError):
                    worker.process.join()
                    self._clear(one)
                    self._workers[self._workers.index(worker)] = self._new()
                    if tries < TRIES:
                        waiting.append((one, tries + 1))
                        continue
                    why = f"the process that built it died {tries} times (exit status {worker.process.exitcode})"
                    row = Row(name=one.name, status=int(Exit.INTERNAL), said=why)
                worker.at = None
                each(one, replace(row, tries=tries))


def build_all(
    sets: Sequence[Set],
    folder: Path,
    order: Order,
    *,
    digests: Mapping[str, str],
    limits_file: str | None = None,
    workers: int = 1,
    scheduler: str | None = None,
    told: Callable[[int, Row], None] = lambda count, row: None,
) -> list[Row]:
    """Return what came of every set, in their order; one that fails does not stop the others.

    digests: of each set, by name. workers: processes on this machine; scheduler: of workers on others (`machines`)
    instead. told: called with how many are done, and what came of the last. Raises
    KeyboardInterrupt when a stop was asked for: what was done stands, and is not done again.
    """
    before = _done_before(folder)
    _write_down(folder, before)  # a folder that cannot be written is told before anything is built
    done: dict[str, tuple[str, Row]] = {}
    rows: dict[str, Row] = {}
    names = {one.name for one in sets}

    def note(one: Set, row: Row) -> None:
        rows[one.name] = row
        if row.status in (Exit.PASS, Exit.WARNINGS, Exit.FAILURE):
            done[one.name] = digests[one.name], row
        _write_down(folder, {n: e for n, e in before.items() if n not in names or n not in rows} | done)
        told(len(rows), row)

    left = []
    for one in sets:
        known = before.get(one.name)
        if known is not None and known[0] == digests[one.name] and _stands(folder, known[1]):
            note(one, replace(known[1], kept=True))
        else:
            left.append(one)
    if left:
        count = min(workers, len(left))
        with (
            Workers(count, folder, order, limits_file)
            if scheduler is None
            else Machines(scheduler, count, folder, order, limits_file)
        ) as at_work:
            at_work.built(left, note)
    return [rows[one.name] for one in sets]
