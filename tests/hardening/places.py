"""Places that cannot be written, as the system makes them: full, read-only, a mount point; two builds; the clock.

Small disks are mounted in a name space of a process's own, so that nothing of them is seen outside and all go with it.
That takes a superuser and Linux; where it cannot be done the report says so.
"""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection
from pathlib import Path

from strutwright.exporters.files.manifest import MANIFEST_NAME, changed_files, write_manifest
from strutwright.exporters.files.outdir import output_folder

from .kept import tree_of
from .report import Outcome, Progress

TESTS = (
    "tests/regression/test_no_room.py",
    "tests/regression/test_output_folder.py",
    "tests/regression/test_exporters.py",
    "tests/regression/test_kernel_guard.py",
)
"""Tests of the same, which are run as they are."""
CONFIRMED = ("--edition", "a", "--clause", "b", "--by", "c")
COMMANDS: tuple[tuple[str, ...], ...] = (
    ("start", "{}/mine.yaml", "--like", "harbour-launch"),
    ("start", "{}/mine.yaml", "--answer", "shaft=40 mm", "--answer", "drop=400 mm"),
    ("survey", "survey-twin-screw", "--out", "{}/job"),
    ("survey", "survey-old-strut", "--set", "harbour-launch", "--write", "{}/new.yaml", "--out", "{}/job"),
    ("fitting", "fitting-harbour-launch", "--set", "harbour-launch", "--out", "{}/job"),
    ("repair", "--blank", "{}/forms"),
    ("tolerances", "harbour-launch", "--out", "{}/chain"),
    ("study", "harbour-launch", "--vary", "barrel.wall=6,10", "--out", "{}/study"),
    ("confirm", "harbour-launch", "barrel_wall", *CONFIRMED, "--confirmations", "{}/read.yaml"),
    ("many", "harbour-launch", "--table", "{0}/../table.csv", "--out", "{}/all", "--jobs", "1", "--quiet"),
    ("guide", "{}/guide"),
)
"""Commands that write, but for `build`; {} is the place."""
TABLE = "name,barrel.wall\nlight,8\n"
_NEW_MOUNTS = 0x00020000
"""CLONE_NEWNS of the call `unshare`."""
CLOCK = """
import time
_real, _begun = time.time, time.monotonic()
time.time = lambda: _real() - (86400.0 if time.monotonic() - _begun > 3.0 else 0.0)
"""
"""What a process's clock is that is set back by a day 3 s after its begin."""


def command(words: Sequence[str], **more: object) -> tuple[int, str]:
    """Return the exit status of a command and what it said."""
    done = subprocess.run(
        [sys.executable, "-m", "strutwright", *words],
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
        timeout=1800,
        stdin=subprocess.DEVNULL,
        **more,  # type: ignore[call-overload]
    )
    return done.returncode, done.stdout + done.stderr


def an_earlier_build(folder: Path) -> None:
    """Put a small folder of outputs in a place, as a build does."""
    with output_folder(folder) as new:
        (new / "a.txt").write_text("earlier", encoding="utf-8")
        write_manifest(new, {"a.txt": "a text"}, version="0", parameters_sha256="00")


# --- on small disks -------------------------------------------------------------------------------------------------


def _mount(*words: str) -> None:
    subprocess.run(["mount", *words], check=True, capture_output=True)


def _refused(words: Sequence[str], place: Path, told: Sequence[str]) -> list[str]:
    """Run a command that has to be refused; return what is wrong with that."""
    before = tree_of(place)
    status, said = command([w.format(place) for w in words])
    shown = " ".join(words)
    found = [] if status == 3 else [f"{shown}: ended with {status}: {said[-300:]!r}"]
    if "Traceback" in said or "fault of the program" in said:
        found.append(f"{shown}: says {said[-300:]!r}")
    if not any(words in said for words in told):
        found.append(f"{shown}: does not say why: {said[-300:]!r}")
    if tree_of(place) != before:
        found.append(f"{shown}: left {sorted(tree_of(place).keys() ^ before.keys())[:4]}")
    return found


FULL = ("the disk is full",)
READ_ONLY = ("cannot be written", "Read-only", "write-protected")
BUSY = ("cannot be replaced",)


def _on_small_disks(folder: Path, tell: Callable[[str, list[str]], None]) -> None:
    """Make small disks, and tell what is done on each and what was found."""
    (folder / "table.csv").write_text(TABLE, encoding="utf-8")
    build = ("build", "canal-tender", "--only", "tables", "--out", "{}/out", "--quiet")

    def disk(name: str, size: str) -> Path:
        place = folder / name
        place.mkdir()
        _mount("-t", "tmpfs", "-o", f"size={size}", "none", str(place))
        return place

    full = disk("full", "16k")
    (full / "filled").write_bytes(bytes(16384))
    for words in COMMANDS:
        tell("commands on a full disk", _refused(words, full, FULL))
    place = disk("small", "64k")
    an_earlier_build(place / "out")
    tell("builds on a full disk", _refused(build, place, FULL))
    place = disk("fixed", "1m")
    an_earlier_build(place / "out")
    _mount("-o", "remount,ro", str(place))
    for words in (*COMMANDS, build):
        tell("commands in a read-only place", _refused(words, place, READ_ONLY))
    place = disk("point", "64m")
    (place / "kept.txt").write_text("mine", encoding="utf-8")
    tell("a mount point with a file in it as target", _refused((*build[:-2], "{}", "--quiet"), place, ("no manifest",)))
    (place / "kept.txt").unlink()
    found = _refused((*build[:-2], "{}", "--quiet"), place, BUSY)
    found += [f"left beside a mount point: {p.name}" for p in folder.glob(".point*")]
    tell("a mount point as target", found)


def _in_own_mounts(talk: Connection, folder: str) -> None:
    """Be a process with mounts of its own."""
    try:
        if ctypes.CDLL(None, use_errno=True).unshare(_NEW_MOUNTS) != 0:
            talk.send(("left out", os.strerror(ctypes.get_errno()), []))
            return
        _mount("--make-rprivate", "/")
    except (OSError, AttributeError, subprocess.CalledProcessError) as error:
        talk.send(("left out", str(error), []))
        return
    _on_small_disks(Path(folder), lambda what, found: talk.send(("done", what, found)))
    talk.send(("end", "", []))


def small_disks(outcome: Outcome, folder: Path) -> None:
    """Try the places that take mounts."""
    context = multiprocessing.get_context("spawn")
    mine, its = context.Pipe(duplex=False)
    process = context.Process(target=_in_own_mounts, args=(its, str(folder)))
    process.start()
    its.close()
    try:
        while True:
            kind, what, found = mine.recv()
            if kind == "left out":
                outcome.left_out.append(f"full and read-only disks, mount points: this machine does not let ({what})")
            if kind != "done":
                break
            outcome.count(what)
            outcome.found += [f"{what}: {words}" for words in found]
            print(f"places: {what}, {outcome.done[what]} done, {len(found)} found", file=sys.stderr, flush=True)
    except EOFError:
        outcome.found.append("the trial on small disks did not come to its end")
    process.join()


# --- without mounts -------------------------------------------------------------------------------------------------


def two_builds(outcome: Outcome, folder: Path) -> None:
    """Begin two builds into one folder at once: one is refused, or comes when the other has ended."""
    target = folder / "two" / "out"
    words = ["build", "canal-tender", "--only", "tables", "--out", str(target), "--quiet"]
    both = [
        subprocess.Popen(
            [sys.executable, "-m", "strutwright", *words], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        for _ in range(2)
    ]
    said = [one.communicate()[0] for one in both]
    statuses = sorted(one.returncode for one in both)
    outcome.count("two builds into one folder")
    if statuses[0] not in (0, 1) or statuses[1] not in (0, 1, 3):
        outcome.found.append(
            f"two builds into one folder ended with {statuses}: {said[0][-200:]!r}, {said[1][-200:]!r}"
        )
    if statuses[1] == 3 and not any("is writing to this folder" in text for text in said):
        outcome.found.append(f"of two builds into one folder none says why it is refused: {said}")
    _whole(outcome, target, "two builds into one folder")


def clock_set_back(outcome: Outcome, folder: Path) -> None:
    """Build over an earlier build of tomorrow, with the clock set back by a day meanwhile."""
    target, patched = folder / "clock" / "out", folder / "patched"
    an_earlier_build(target)
    patched.mkdir()
    (patched / "sitecustomize.py").write_text(CLOCK, encoding="utf-8")
    tomorrow = time.time() + 86400.0
    for path in (target.parent, target, *target.rglob("*")):
        os.utime(path, (tomorrow, tomorrow))
    places = os.pathsep.join(p for p in (str(patched), os.environ.get("PYTHONPATH", "")) if p)
    words = ["build", "canal-tender", "--only", "tables", "--out", str(target), "--quiet"]
    status, said = command(words, env={**os.environ, "PYTHONPATH": places})
    outcome.count("builds with the clock set back")
    if status not in (0, 1):
        outcome.found.append(f"with the clock set back a build ended with {status}: {said[-300:]!r}")
    _whole(outcome, target, "a build with the clock set back")


def _whole(outcome: Outcome, target: Path, after: str) -> None:
    if not (target / MANIFEST_NAME).is_file() or changed_files(target):
        outcome.found.append(f"after {after} the target is not as its manifest says")
    if beside := [p.name for p in target.parent.iterdir() if p != target]:
        outcome.found.append(f"after {after} there is left beside the target: {', '.join(beside)}")


def existing_tests(outcome: Outcome, files: Sequence[str] = TESTS) -> None:
    """Run the tests that the project has of this."""
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", *files],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    outcome.count("files of tests run", len(files))
    if done.returncode:
        outcome.found += [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
        outcome.found += [] if "FAILED" in done.stdout else [f"the tests did not run: {done.stdout[-300:]!r}"]


def run(outcome: Outcome, *, short: bool = False) -> None:
    """Try all places. short: leave out the tests that the project has of this."""
    progress = Progress("places", 4)
    with tempfile.TemporaryDirectory() as folder:
        for done, trial in enumerate((small_disks, two_builds, clock_set_back), 1):
            trial(outcome, Path(folder))
            progress.step(done, outcome, trial.__name__.replace("_", " "))
    if not short:
        existing_tests(outcome)
    progress.step(4, outcome)
