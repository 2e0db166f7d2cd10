"""Builds for the page: each in a process of its own, told as it goes on, stopped when asked, no harm when lost."""

from __future__ import annotations

import asyncio
import json
import os
import re
import shutil
import signal
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from strutwright.errors import Exit
from strutwright.page.answers import Asked

_STEP = re.compile(r"(\d+:\d\d)\s+(\d+) of (\d+)\s+(.+)")
SOLID = ("view",)
"""What is built for the exact solid alone."""


@dataclass(slots=True)
class Job:
    """A build or another command of a window. share: done of 1; line: the step at work; said: its last lines."""

    what: str
    mark: str
    folder: Path
    share: float = 0.0
    line: str = "begins"
    said: list[str] = field(default_factory=list)
    status: int | None = None
    stopped: bool = False

    @property
    def built(self) -> bool:
        """Whether it ended with outputs."""
        return not self.stopped and self.status in (Exit.PASS, Exit.WARNINGS)


class Bench:
    """The folder of a window, and the one job that runs for it."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="strutwright-page-"))
        self.job: Job | None = None
        self._process: asyncio.subprocess.Process | None = None

    async def build(self, asked: Asked, mark: str, only: Sequence[str], changed: Callable[[], None]) -> Job:
        """Build a set, all of it or only some kinds of files; `changed` is called when there is something to tell."""
        whole = not only
        job = Job("the whole pack" if whole else "the exact solid", mark, self.folder / ("pack" if whole else "solid"))
        source = self._written("set.yaml", asked.text)
        words = ["build", str(source), "--out", str(job.folder), "--despite-failures", *_both(asked)]
        for kind in only:
            words += ["--only", kind]
        return await self._run(job, words, changed)

    async def work(self, command: str, asked: Asked, readings: str, csv: bool, changed: Callable[[], None]) -> Job:
        """Work with readings (text of a YAML or CSV file) by a command of the bench."""
        job = Job(command, "", self.folder / "bench")
        source = self._written("bench-set.yaml", asked.text)
        words = [command, str(self._written(f"readings.{'csv' if csv else 'yaml'}", readings))]
        return await self._run(job, [*words, "--set", str(source), "--out", str(job.folder), *_both(asked)], changed)

    async def stop(self) -> None:
        """Stop the job that runs, and wait until it has cleared away."""
        process, job = self._process, self.job
        if process is None or process.returncode is not None:
            return
        if job is not None:
            job.stopped = True
        process.send_signal(signal.SIGINT if os.name != "nt" else signal.SIGTERM)
        try:
            await asyncio.wait_for(process.wait(), 10)
        except TimeoutError:
            process.kill()

    async def close(self) -> None:
        """Stop what runs and remove the folder."""
        await self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)

    def model(self) -> str:
        """Return the exact model of the newest build as JSON text, "" without one."""
        found = sorted((self.folder / "solid" / "view").glob("*.js")) + sorted(
            (self.folder / "pack" / "view").glob("*.js")
        )
        models = [p for p in found if p.name != "viewer.js"]
        if not models:
            return ""
        text = max(models, key=lambda p: p.stat().st_mtime_ns).read_text(encoding="ascii")
        return json.dumps(json.loads(text[text.index("]=") + 2 : text.rindex(";")]), separators=(",", ":"))

    def _written(self, name: str, text: str) -> Path:
        path = self.folder / name
        path.write_text(text, encoding="utf-8", newline="")
        return path

    async def _run(self, job: Job, words: Sequence[str], changed: Callable[[], None]) -> Job:
        await self.stop()
        self.job = job
        process = await asyncio.create_subprocess_exec(
            sys.executable,
            "-m",
            "strutwright",
            *words,
            cwd=self.folder,
            stdin=asyncio.subprocess.DEVNULL,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.STDOUT,
            start_new_session=os.name != "nt",
        )
        self._process = process
        assert process.stdout is not None
        async for raw in process.stdout:
            self._take(job, raw.decode("utf-8", "replace").rstrip())
            changed()
        job.status = await process.wait()
        job.share = 1.0 if job.built else job.share
        changed()
        return job

    def _take(self, job: Job, line: str) -> None:
        step = _STEP.fullmatch(line)
        if step:
            job.share = (int(step[2]) - 1) / int(step[3])
            job.line = f"{step[2]} of {step[3]}: {step[4]}"
        elif line:
            job.said = [*job.said, line.replace(str(self.folder) + os.sep, "")][-400:]


def _both(asked: Asked) -> list[str]:
    out = []
    for option, value in (("--limits", asked.limits), ("--confirmations", asked.confirmations)):
        if value is not None:
            out += [option, str(Path(value).resolve())]
    return out
