"""Builds and bulk runs killed at any moment: what stood before stands, or the new does, whole, and was never away."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from strutwright.exporters.files.manifest import MANIFEST_NAME, ManifestError, changed_files, read_manifest, sha256
from strutwright.params.loader import shipped

from .processes import below, gone
from .report import Outcome, Progress

LONGEST_S = 1800.0
"""Longest wait for the end of a command."""
WAYS = (
    *(("process", signal.SIGKILL), ("process", signal.SIGKILL), ("process", signal.SIGTERM)),
    *(("worker", signal.SIGKILL), ("worker", signal.SIGTERM), ("all", signal.SIGKILL)),
)
"""What is killed, and how; a worker is any process below."""


@dataclass(slots=True, kw_only=True)
class Ended:
    """How a command ended. status: below 0 by a signal; struck: when it was killed, s after its begin, None for one
    that had ended by then; absent: looks at which a place that has to be there was not."""

    status: int
    said: str
    seconds: float
    struck: float | None = None
    whom: str = ""
    absent: int = 0
    left: list[int] = field(default_factory=list)


def struck(words: Sequence[str], cwd: Path, watched: Sequence[Path], after_s: float | None, draw: Random) -> Ended:
    """Run a command, kill it or something of it after a time (None: not at all), and wait for its end.

    watched: what must be there all the time.
    """
    log = cwd / "said.txt"
    with log.open("wb") as said:
        process = subprocess.Popen(
            [sys.executable, "-m", "strutwright", *words],
            cwd=cwd,
            stdout=said,
            stderr=subprocess.STDOUT,
            stdin=subprocess.DEVNULL,
            start_new_session=True,
            preexec_fn=_heard,
        )
    began = time.monotonic()
    ended = Ended(status=0, said="", seconds=0.0)
    over = threading.Event()
    watch = threading.Thread(target=_watch, args=(watched, over, ended))
    watch.start()
    try:
        if after_s is not None:
            _strike(process, began, after_s, ended, draw)
        ended.status = process.wait(LONGEST_S)
    finally:
        over.set()
        watch.join()
        if process.poll() is None:
            process.kill()
    ended.seconds, ended.said = time.monotonic() - began, log.read_text(encoding="utf-8", errors="replace")
    log.unlink()
    return ended


def _heard() -> None:
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, signal.SIG_DFL)


def _watch(watched: Sequence[Path], over: threading.Event, ended: Ended) -> None:
    while not over.wait(0.0005):
        ended.absent += sum(not os.path.exists(path) for path in watched)


def _strike(process: subprocess.Popen[bytes], began: float, after_s: float, ended: Ended, draw: Random) -> None:
    try:
        process.wait(after_s)
        return
    except subprocess.TimeoutExpired:
        pass
    whom, number = draw.choice(WAYS)
    there = below(process.pid)
    if whom == "worker" and not there:
        whom = "process"
    ended.struck, ended.whom = time.monotonic() - began, f"{whom} by {signal.Signals(number).name}"
    for pid in {"process": [process.pid], "worker": [draw.choice(there or [0])], "all": [process.pid, *there]}[whom]:
        try:
            os.kill(pid, number)
        except ProcessLookupError:
            ended.whom += ", which had ended"
    ended.left = [] if whom == "worker" else there


def faults_of_end(ended: Ended) -> Iterator[str]:
    """Yield what is wrong with how a command ended, whatever was killed."""
    if "Traceback" in ended.said or "fault of the program" in ended.said:
        yield f"says {ended.said[-400:]!r}"
    if ended.absent:
        yield f"what has to be there was not at {ended.absent} looks"
    if not gone(ended.left):
        yield "processes that it started outlive it"
    if ended.struck is None or "which had ended" in ended.whom:
        return
    if ended.whom.startswith(("process by SIGKILL", "all")) and ended.status != -signal.SIGKILL:
        yield f"ended with {ended.status} though it was killed"
    if ended.whom.startswith("process by SIGTERM") and ended.status not in (0, 1, 2):
        # It may have been asked in the moment in which all was done, or before it listens.
        if ended.status not in (128 + signal.SIGTERM, -signal.SIGTERM):
            yield f"ended with {ended.status}, told to stop"
        elif ended.status > 0 and "stopped" not in ended.said:
            yield "does not say that it was stopped"
    if ended.whom.startswith("worker") and ended.status not in (0, 1, 2, 3):
        yield f"ended with {ended.status} when a worker was killed"


def state_of(folder: Path) -> tuple[str, str]:
    """Return the digest of the parameters that a folder of outputs is of, and what is wrong with it, "" for nothing."""
    try:
        if changed := changed_files(folder):
            return "", f"{len(changed)} of its files are not as the manifest says, {changed[0]} first"
        return read_manifest(folder / MANIFEST_NAME).parameters_sha256, ""
    except (OSError, ManifestError) as error:
        return "", f"has no manifest that can be read ({error})"


def _two_texts(name: str) -> tuple[str, str]:
    text = shipped()[name].read_text(encoding="utf-8")
    return text, text + "# another\n"


class Builds:
    """One target, two texts of a set: whichever does not stand there is built into it and killed."""

    def __init__(self, folder: Path, name: str, options: Sequence[str]) -> None:
        self.folder, self.options = folder, tuple(options)
        self.target = folder / "place" / "out"
        self.target.parent.mkdir(parents=True)
        self.files = {}
        for number, text in enumerate(_two_texts(name)):
            path = folder / f"{number}.yaml"
            path.write_text(text, encoding="utf-8")
            self.files[sha256(text.encode())] = path
        self.took_s = 0.0

    def whole(self, draw: Random) -> Iterator[str]:
        """Build to the end what does not stand there; yield what is wrong."""
        wanted = self._other()
        ended = self._run(wanted, None, draw)
        self.took_s = ended.seconds
        yield from faults_of_end(ended)
        if ended.status not in (0, 1):
            yield f"a second run ends with {ended.status}: {ended.said[-300:]!r}"
        now, why = state_of(self.target)
        if why or now != wanted:
            yield f"after a second run the target {why or 'is not the new one'}"
        if beside := sorted(self._beside()):
            yield f"after a second run there is left beside it: {', '.join(beside)}"

    def killed(self, draw: Random, outcome: Outcome) -> Iterator[str]:
        """Build what does not stand there and kill it at some moment; yield what is wrong."""
        wanted, before = self._other(), self._beside()
        after = draw.uniform(0.0, 1.02 * self.took_s)
        ended = self._run(wanted, after, draw)
        yield from (f"{ended.whom} after {after:.2f} s: {words}" for words in faults_of_end(ended))
        now, why = state_of(self.target)
        if why:
            yield f"{ended.whom} after {after:.2f} s: the target {why}"
        stands = "new" if now == wanted else "as it was"
        outcome.count(f"builds, {ended.whom or 'ended before the kill'}: the target is {stands}")
        polite = ended.whom.startswith("process by SIGTERM") and ended.status > 0
        if polite and (more := sorted(self._beside() - before)):
            yield f"{ended.whom} after {after:.2f} s: left beside the target: {', '.join(more)}"

    def _beside(self) -> set[str]:
        return {p.name for p in self.target.parent.iterdir() if p != self.target}

    def _other(self) -> str:
        there = state_of(self.target)[0]
        return next(digest for digest in self.files if digest != there)

    def _run(self, wanted: str, after_s: float | None, draw: Random) -> Ended:
        watched = [self.target / MANIFEST_NAME] if self.target.exists() else []
        words = ["build", str(self.files[wanted]), "--out", str(self.target), "--quiet", *self.options]
        return struck(words, self.folder, watched, after_s, draw)


class Bulk:
    """A folder of sets, built by `many`, changed, built again and killed."""

    def __init__(self, folder: Path, names: Sequence[str], options: Sequence[str]) -> None:
        self.folder, self.options, self.names = folder, tuple(options), tuple(names)
        self.out = folder / "all"
        (folder / "sets").mkdir(parents=True)
        self.turn, self.took_s = 0, 0.0
        self.known: dict[str, set[str]] = {name: set() for name in names}

    def _change(self) -> None:
        self.turn += 1
        for name in self.names:
            text = shipped()[name].read_text(encoding="utf-8") + f"# turn {self.turn}\n"
            (self.folder / "sets" / f"{name}.yaml").write_text(text, encoding="utf-8")
            self.known[name].add(sha256(text.encode()))

    def _run(self, after_s: float | None, draw: Random) -> Ended:
        watched = [p for name in self.names if (p := self.out / name / MANIFEST_NAME).exists()]
        words = ["many", "sets", "--out", "all", "--jobs", "2", "--quiet", *self.options]
        return struck(words, self.folder, watched, after_s, draw)

    def _standing(self, *, must: bool) -> Iterator[str]:
        for name in self.names:
            if not must and not (self.out / name).exists():
                continue
            now, why = state_of(self.out / name)
            if why or now not in self.known[name]:
                yield f"{name} {why or 'is of no text that was built'}"

    def whole(self, draw: Random) -> Iterator[str]:
        """Build all to the end; yield what is wrong."""
        ended = self._run(None, draw)
        self.took_s = max(self.took_s, ended.seconds)
        yield from faults_of_end(ended)
        if ended.status not in (0, 1):
            yield f"a second run of all ends with {ended.status}: {ended.said[-300:]!r}"
        yield from self._standing(must=True)
        wanted = {*self.names, "many.json", "summary.csv", "index.html"}
        if other := sorted({p.name for p in self.out.iterdir()} ^ wanted):
            yield f"after a second run of all there is too much or too little: {', '.join(other)}"

    def killed(self, draw: Random, outcome: Outcome) -> Iterator[str]:
        """Change all, build and kill; yield what is wrong."""
        self._change()
        after = draw.uniform(0.0, 1.02 * self.took_s)
        ended = self._run(after, draw)
        yield from (f"all, {ended.whom} after {after:.2f} s: {words}" for words in faults_of_end(ended))
        yield from (f"all, {ended.whom} after {after:.2f} s: {words}" for words in self._standing(must=False))
        try:
            json.loads((self.out / "many.json").read_text(encoding="utf-8"))
        except (OSError, ValueError) as error:
            yield f"all, {ended.whom} after {after:.2f} s: what is done cannot be read ({error})"
        outcome.count(f"bulk runs, {ended.whom or 'ended before the kill'}")

    def begin(self, draw: Random) -> Iterator[str]:
        """Build all for the first time."""
        self._change()
        yield from self.whole(draw)


def run(
    outcome: Outcome,
    *,
    builds: int,
    bulk: int,
    seed: int,
    name: str = "canal-tender",
    options: Sequence[str] = (),
    bulk_names: Sequence[str] = ("canal-tender", "skeg-sleeve", "creek-yawl"),
    each: int = 10,
) -> None:
    """Kill so many builds and bulk runs. options: further ones of them; each: after so many kills, and at the end, one
    run is made to its end."""
    with tempfile.TemporaryDirectory() as folder:
        if builds:
            _kill(outcome, Builds(Path(folder) / "builds", name, options), builds, seed, each)
        if bulk:
            _kill(outcome, Bulk(Path(folder) / "bulk", bulk_names, options), bulk, seed, each)


def _kill(outcome: Outcome, trial: Builds | Bulk, count: int, seed: int, each: int) -> None:
    called = type(trial).__name__.lower()
    draw = Random(f"{seed} {called}")
    begun = trial.begin(draw) if isinstance(trial, Bulk) else trial.whole(draw)
    outcome.found += begun
    outcome.figures[f"{called}: a whole run, s"] = round(trial.took_s, 1)
    progress = Progress(f"kills, {called}", count)
    for number in range(1, count + 1):
        outcome.found += [f"kill {number}: {words}" for words in trial.killed(draw, outcome)]
        if number % each == 0 or number == count:
            outcome.found += [f"after kill {number}: {words}" for words in trial.whole(draw)]
            outcome.count(f"{called}: runs to the end after kills")
        progress.step(number, outcome)
