"""Work on several machines: a set goes as bytes to a worker of a Dask scheduler, and its outputs come back so; of a
study its pieces do.

The machines share no disk; each has this program in this version. A worker builds in a folder of its own by `many`, so
that the bytes are those of a build here. What came back is unpacked beside its place and moved there in one step. A set
whose worker dies is begun again by the scheduler on another; what has landed is never built again.
"""

from __future__ import annotations

import collections
import contextlib
import hashlib
import importlib.util
import io
import json
import os
import pickle
import signal
import subprocess
import sys
import tarfile
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright import __version__
from strutwright.errors import Exit, UserError
from strutwright.exporters.files import stop
from strutwright.exporters.web.many_page import Row

if TYPE_CHECKING:
    from distributed import Client

    from strutwright.many import Set
    from strutwright.models.sizing.judge import Judge, Part, Source
    from strutwright.models.sizing.summed import Spread
    from strutwright.outputs import Order

HERE = "here"
"""The word for a scheduler and its workers started on this machine."""
FIRST_S = 30.0
"""How long to wait for a scheduler, and for its first worker."""
_LOOK_S = 0.2
_SETS, _OUT, _READ = "sets", "out", "read"
"""Folders of a worker: of the set, of the outputs, and of files that both hands of a job share."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel:
    """A set as it travels. name: of its folder; file: of its parameters; options: of `many`; read: files that they
    name, by name; beside: what was read in standards, beside the set; earlier: its outputs of before, packed."""

    name: str
    file: str
    text: bytes
    options: tuple[str, ...]
    read: Mapping[str, bytes]
    beside: bytes | None
    earlier: bytes


# --- packed folders -------------------------------------------------------------------------------------------------


def packed(folder: Path) -> bytes:
    """Return the files of a folder that its manifest names, and it, as one archive; b"" where there is none."""
    from strutwright.exporters.files.manifest import MANIFEST_NAME, ManifestError, read_manifest

    with contextlib.suppress(ManifestError, OSError):
        names = [MANIFEST_NAME, *(e.path for e in read_manifest(folder / MANIFEST_NAME).files)]
        out = io.BytesIO()
        with tarfile.open(fileobj=out, mode="w") as archive:
            for name in names:
                if (folder / name).is_file():
                    archive.add(folder / name, name)
        return out.getvalue()
    return b""


def unpack(data: bytes, folder: Path) -> None:
    """Put the files of an archive into a folder; none may lie outside of it."""
    with tarfile.open(fileobj=io.BytesIO(data)) as archive:
        archive.extractall(folder, filter="data")


# --- on a worker ----------------------------------------------------------------------------------------------------


def made_of(parcel: Parcel, topic: str) -> tuple[dict[str, Any], bytes]:
    """Return what came of a set, and its outputs packed; b"" where it wrote none. Runs on a worker.

    topic: under which the scheduler is told that it was begun.
    """
    from distributed import get_worker

    worker = get_worker()
    worker.log_event(topic, {"set": parcel.name})
    with tempfile.TemporaryDirectory(dir=worker.local_directory, prefix="strutwright-") as place:
        _laid_out(parcel, Path(place))
        done = subprocess.run(
            [sys.executable, "-m", "strutwright", "many", _SETS, "--jobs", "1", "--json", *parcel.options],
            cwd=place,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            check=False,
            text=True,
            encoding="utf-8",
            preexec_fn=_ends_with_us(),
        )
        try:
            (row,) = json.loads(done.stdout)["sets"]
        except (ValueError, KeyError):
            said = done.stderr.strip().rpartition("\n")[2] or f"exit status {done.returncode}"
            return {"name": parcel.name, "status": int(Exit.INTERNAL), "said": said}, b""
        wrote = row["files"] and row["status"] in (Exit.PASS, Exit.WARNINGS, Exit.FAILURE)
        return row, packed(Path(place, _OUT, parcel.name)) if wrote else b""


def _laid_out(parcel: Parcel, place: Path) -> None:
    from strutwright.confirm_command import FILE_NAME

    for folder in (_SETS, _READ, f"{_OUT}/{parcel.name}" if parcel.earlier else _OUT):
        (place / folder).mkdir(parents=True)
    (place / _SETS / parcel.file).write_bytes(parcel.text)
    for name, data in parcel.read.items():
        (place / _READ / name).write_bytes(data)
    if parcel.beside is not None:
        (place / _SETS / FILE_NAME).write_bytes(parcel.beside)
    if parcel.earlier:
        unpack(parcel.earlier, place / _OUT / parcel.name)


def _ends_with_us() -> Callable[[], None] | None:
    """Return what has a process end with the one that started it, where the system knows that."""
    if sys.platform != "linux":
        return None
    import ctypes

    prctl = ctypes.CDLL(None).prctl
    return lambda: prctl(1, signal.SIGKILL)  # PR_SET_PDEATHSIG


# --- here -----------------------------------------------------------------------------------------------------------


@contextlib.contextmanager
def reached(address: str, workers: int) -> Iterator[Client]:
    """Give a client of the scheduler at an address, with at least one worker, all with this version.

    address: such as tcp://192.168.1.20:8786, or HERE, which starts one with so many workers. Raises UserError.
    """
    if importlib.util.find_spec("distributed") is None:
        raise UserError(
            "work on several machines is an optional extra; install it with: pip install 'strutwright[machines]'"
        )
    from distributed import Client, LocalCluster

    with contextlib.ExitStack() as ends:
        try:
            if address == HERE:
                started: Any = ends.enter_context(
                    LocalCluster(n_workers=workers, threads_per_worker=1, dashboard_address=None, silence_logs=50)
                )
            else:
                started = address
            client = ends.enter_context(Client(started, timeout=FIRST_S))
            client.wait_for_workers(1, timeout=FIRST_S)
        except (OSError, ValueError, TimeoutError) as error:
            raise UserError(
                f"--scheduler {address}: no scheduler with a worker was reached in {FIRST_S:g} s ({error}); start "
                "`dask scheduler` on one machine and `dask worker ADDRESS --nthreads 1` on each, with the same version "
                "of strutwright"
            ) from None
        others = {where: found for where, found in client.run(_version()).items() if found != __version__}
        if others:
            where, found = next(iter(sorted(others.items())))
            raise UserError(
                f"--scheduler {address}: the worker {where} has "
                + (f"strutwright {found}, here it is {__version__}" if found else "no strutwright")
                + "; install the same version on each machine"
            )
        yield client


def _version() -> Callable[[], str]:
    """Return what tells a worker's version of this program, "" where it has none; it travels by value."""

    def version() -> str:
        try:
            from strutwright import __version__ as found
        except ImportError:
            return ""
        return found

    return version


class Machines:
    """Workers of a scheduler for the sets of a job, as `many.Workers` are for one machine. Use it in a `with`."""

    def __init__(self, address: str, count: int, folder: Path, order: Order, limits_file: str | None) -> None:
        """address, count: as for `reached`; folder: of all; order: how each set is built."""
        self._address, self._count, self._folder = address, count, folder
        self._order, self._limits_file = order, limits_file
        self._ends = contextlib.ExitStack()
        self._topic = f"strutwright-{uuid.uuid4().hex}"

    def __enter__(self) -> Machines:
        self._client = self._ends.enter_context(reached(self._address, self._count))
        return self

    def __exit__(self, *_: object) -> None:
        with stop.held():
            self._ends.close()

    def built(self, sets: Sequence[Set], each: Callable[[Set, Row], None]) -> None:
        """Build sets, and tell each as it lands. Raises KeyboardInterrupt when a stop was asked for."""
        waiting = {
            self._client.submit(made_of, self._parcel(one), self._topic, key=f"{self._topic}-{one.name}"): one
            for one in sets
        }
        try:
            while waiting:
                stop.heed()
                ready = [future for future in waiting if future.done()]
                for future in ready:
                    one = waiting.pop(future)
                    row = self._landed(one, future)
                    each(one, replace(row, tries=self._begun(one)))
                    future.release()
                if not ready:
                    time.sleep(_LOOK_S)
        finally:
            self._client.cancel(list(waiting))

    def _begun(self, one: Set) -> int:
        """How often a set was begun, by what workers told."""
        told = self._client.get_events(self._topic)
        return max(1, [event["set"] for _, event in told].count(one.name))

    def _landed(self, one: Set, future: Any) -> Row:
        """What came of a set, its outputs in their place; never raises but for a stop."""
        from strutwright.exporters.files.outdir import OutputFolderError, output_folder

        error = future.exception()
        if error is not None:
            said = f"the workers that built it died, or could not: {type(error).__name__}: {error}"
            return Row(name=one.name, status=int(Exit.INTERNAL), said=said.partition("\n")[0])
        plain, files = future.result()
        row = Row(**(plain | {"pictures": tuple(plain.get("pictures", ()))}))
        if not files:
            return row
        try:
            with output_folder(self._folder / one.name) as new:
                unpack(files, new)
        except (OutputFolderError, tarfile.TarError) as fault:
            return Row(name=one.name, status=int(Exit.UNUSABLE), said=str(fault))
        return row

    def _parcel(self, one: Set) -> Parcel:
        from strutwright.confirm_command import beside

        order, read = self._order, dict[str, bytes]()
        options = ["--out", _OUT, "--hand", order.hand, "--step-units", order.step_units]
        options += [word for what in order.what for word in ("--only", what)]
        options += ["--despite-failures"] * order.despite_failures
        for option, file in (("--limits", self._limits_file), ("--confirmations", one.confirmations)):
            if file is not None:
                name = f"{option[2:]}-{Path(file).name}"
                read[name] = Path(file).read_bytes()
                options += [option, f"{_READ}/{name}"]
        there = beside(one.file)
        return Parcel(
            name=one.name,
            file=Path(one.file).name,
            text=Path(one.file).read_bytes(),
            options=tuple(options),
            read=read,
            beside=there.read_bytes() if there is not None and there.is_file() and not one.confirmations else None,
            earlier=packed(self._folder / one.name),
        )


# --- pieces of a study ----------------------------------------------------------------------------------------------


@contextlib.contextmanager
def spread_over(address: str) -> Iterator[Spread]:
    """Give what works out the parts of a source on the workers of a scheduler, in order, as `judge.in_processes` does
    on this machine. address: as for `reached`; HERE takes all processors. Raises UserError.

    What a worker needs travels with each part, so that one that dies takes nothing with it. A few parts at a time are
    under way: what is done waits for those before it, and memory does not grow with their number.
    """
    from strutwright.params import readings

    with reached(address, os.cpu_count() or 1) as client:

        def spread(work: Callable[..., Any], judge: Judge, source: Source, parts: Sequence[Part]) -> Iterator[Any]:
            packed_up = pickle.dumps((work, judge, source, readings.current()))
            token = hashlib.sha256(packed_up).hexdigest()
            most = _PARTS_AHEAD * max(1, len(client.ncores()))
            under_way: collections.deque[Any] = collections.deque()
            try:
                for part in parts:
                    stop.heed()
                    under_way.append(client.submit(_part_of, packed_up, token, part, pure=False))
                    if len(under_way) >= most:
                        yield under_way.popleft().result()
                while under_way:
                    stop.heed()
                    yield under_way.popleft().result()
            finally:
                client.cancel(list(under_way))

        yield spread


def _part_of(packed_up: bytes, token: str, part: Part) -> Any:
    """Return what comes of a part. Runs on a worker. token: of what was packed up, which is opened once."""
    from strutwright.params import readings

    if token not in _opened:
        _opened.clear()
        _opened[token] = pickle.loads(packed_up)
    work, judge, source, read = _opened[token]
    readings.use(read)
    return work(judge, source, *part)


_opened: dict[str, Any] = {}
_PARTS_AHEAD = 3
"""Parts under way for each worker."""
