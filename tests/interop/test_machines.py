"""Sets built by a real Dask scheduler and its workers, processes of their own: nothing lost, nothing built twice."""

from __future__ import annotations

import functools
import io
import json
import os
import signal
import subprocess
import sys
import tarfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from command_line_support import inside
from distributed import Client, LocalCluster

from strutwright import __version__, machines, many
from strutwright.errors import Exit, UserError
from strutwright.exporters.files.manifest import write_manifest
from strutwright.many import Set
from strutwright.models.resolve import resolve
from strutwright.models.sizing import summed
from strutwright.models.sizing.axes import axis
from strutwright.models.sizing.judge import in_processes
from strutwright.models.sizing.study import Study, study
from strutwright.models.sizing.summed import Spread
from strutwright.outputs import Order
from strutwright.params.loader import load, shipped

ORDER = Order(out=None, what=("tables",))
SETS = ("canal-tender", "creek-yawl", "harbour-launch", "skeg-sleeve")


@pytest.fixture(scope="module")
def scheduler(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """A scheduler's address and its two workers, as a user starts them."""
    place = tmp_path_factory.mktemp("machines")
    told = place / "scheduler.json"

    def begin(name: str, *words: str) -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            [sys.executable, "-m", f"distributed.cli.dask_{name}", "--scheduler-file", str(told), *words],
            cwd=place,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    head = begin("scheduler", "--host", "127.0.0.1", "--port", "0", "--dashboard-address", "127.0.0.1:0")
    workers = [begin("worker", "--nthreads", "1", "--no-nanny", "--no-dashboard") for _ in range(2)]
    try:
        for _ in range(300):
            if told.is_file() and told.stat().st_size:
                break
            time.sleep(0.1)
        address = json.loads(told.read_text(encoding="utf-8"))["address"]
        with Client(address) as client:
            client.wait_for_workers(2, timeout=60)
        yield address, workers
    finally:
        for process in (*workers, head):
            process.kill()
            process.wait()


def test_a_worker_killed_by_its_pid_costs_a_second_try_and_nothing_else(
    scheduler: tuple[str, list[subprocess.Popen[bytes]]], tmp_path: Path
) -> None:
    address, workers = scheduler
    sets = [Set(name, str(shipped()[name])) for name in SETS]
    digests = {one.name: many.digest(one, ORDER, "") for one in sets}
    landed: list[str] = []

    def told(count: int, row: many.Row) -> None:
        landed.append(row.name)
        if count == 1:
            os.kill(workers[0].pid, signal.SIGKILL)  # in the middle: three sets are not done

    rows = many.build_all(sets, tmp_path / "there", ORDER, digests=digests, scheduler=address, told=told)
    assert sorted(landed) == sorted(SETS)
    assert [row.status for row in rows] == [Exit.PASS] * 4
    assert sum(row.tries - 1 for row in rows) == 1  # what it worked on, and nothing that had landed
    assert rows[SETS.index(landed[0])].tries == 1
    # The same bytes as by the processes of this machine.
    many.build_all(sets[:2], tmp_path / "here", ORDER, digests=digests, workers=2)
    for name in SETS[:2]:
        assert inside(tmp_path / "there" / name) == inside(tmp_path / "here" / name)
    # What stands is built by no one.
    again = many.build_all(sets, tmp_path / "there", ORDER, digests=digests, scheduler="tcp://127.0.0.1:1")
    assert all(row.kept for row in again)


# --- on threads of this process, with what builds stood in for ------------------------------------------------------


@pytest.fixture(scope="module")
def threads() -> Iterator[str]:
    with LocalCluster(n_workers=2, processes=False, dashboard_address=None) as cluster:
        yield cluster.scheduler_address


def stood_in(parcel: machines.Parcel, topic: str) -> tuple[dict[str, Any], bytes]:
    """Stands in for a build: does what the set's text asks for."""
    import tempfile

    from distributed import get_worker

    get_worker().log_event(topic, {"set": parcel.name})
    if b"dies" in parcel.text:
        raise ConnectionError("gone")
    row = {"name": parcel.name, "status": 0, "files": 1, "stands": "good", "pictures": []}
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "x.txt").write_bytes(parcel.text + repr(parcel.options).encode())
        write_manifest(folder, {"x.txt": "a note"}, version="1", parameters_sha256="2")
        return row, machines.packed(folder)


def test_outputs_land_whole_and_faults_are_told(threads: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(machines, "made_of", stood_in)
    texts = {"a": "good", "b": "dies", "c": "good"}
    for name, text in texts.items():
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "all" / "c").mkdir(parents=True)
    (tmp_path / "all" / "c" / "mine.txt").write_text("somebody's own", encoding="utf-8")
    sets = [Set(name, str(tmp_path / f"{name}.yaml")) for name in texts]
    digests = dict.fromkeys(texts, "1")
    rows = many.build_all(sets, tmp_path / "all", ORDER, digests=digests, scheduler=threads)
    assert [row.status for row in rows] == [Exit.PASS, Exit.INTERNAL, Exit.UNUSABLE]
    assert "gone" in rows[1].said
    assert (tmp_path / "all" / "a" / "x.txt").read_text(encoding="utf-8").startswith("good")
    assert [p.name for p in (tmp_path / "all" / "c").iterdir()] == ["mine.txt"]  # not ours to replace
    assert not (tmp_path / "all" / "b").exists()


def studied(summed_by: Spread) -> Study:
    loaded = load(shipped()["harbour-launch"])
    axes = [axis(text, "mm") for text in ("palm.thickness=8..20:5", "barrel.wall=3..12:4", "barrel.length=120..180:60")]
    return study(loaded, resolve(loaded), axes, summed_by=summed_by)


def same_study(one: Study, other: Study) -> None:
    assert one.told.governing.tolist() == other.told.governing.tolist()
    assert one.which is not None
    assert other.which is not None
    assert one.which.tolist() == other.which.tolist()
    np.testing.assert_array_equal(one.judged.weight_kg, other.judged.weight_kg)


def test_the_pieces_of_a_study_come_in_order_from_all_workers(threads: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(summed, "PIECE", 100)
    monkeypatch.setattr("strutwright.models.sizing.study.MOST_ROLLED", 0)
    with machines.spread_over(threads) as spread:
        same_study(studied(spread), studied(functools.partial(in_processes, workers=1)))


def test_a_worker_killed_in_a_study_loses_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(summed, "PIECE", 100)
    monkeypatch.setattr("strutwright.models.sizing.study.MOST_ROLLED", 0)
    told: list[tuple[int, int]] = []
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        victim = next(iter(cluster.workers.values())).pid
        with machines.spread_over(cluster.scheduler_address) as spread:

            def killing(work: Any, judge: Any, source: Any, parts: Any) -> Iterator[Any]:
                for part, made in zip(parts, spread(work, judge, source, parts), strict=True):
                    told.append(part)
                    if len(told) == 3:
                        os.kill(victim, signal.SIGKILL)
                    yield made

            found = studied(killing)
    assert len(told) == len(set(told)) == 12
    same_study(found, studied(functools.partial(in_processes, workers=1)))


def test_a_worker_of_another_version_is_refused(threads: str, monkeypatch: pytest.MonkeyPatch) -> None:
    with machines.reached(threads, 1):
        pass
    monkeypatch.setattr(machines, "__version__", "0.0.1")
    with (
        pytest.raises(UserError, match=rf"has strutwright {__version__}, here it is 0\.0\.1"),
        machines.reached(threads, 1),
    ):
        pass


def test_a_scheduler_that_is_not_there_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(machines, "FIRST_S", 0.3)
    for address in ("tcp://127.0.0.1:1", "no address"):
        with pytest.raises(UserError, match="no scheduler with a worker was reached"), machines.reached(address, 1):
            pass


def test_an_archive_that_leads_out_of_its_folder_is_refused(tmp_path: Path) -> None:
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w") as archive:
        archive.addfile(tarfile.TarInfo("../outside"), io.BytesIO(b""))
    with pytest.raises(tarfile.TarError):
        machines.unpack(out.getvalue(), tmp_path / "inside")
    assert not (tmp_path / "outside").exists()
