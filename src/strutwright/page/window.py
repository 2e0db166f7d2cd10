"""One window of the page: its set, what was answered of it, and the parts of the screen that show it."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import sys
from collections.abc import Callable, Coroutine
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any

from strutwright.page.answers import Answered, Asked, answered, quick
from strutwright.page.builds import Bench
from strutwright.page.desk import Desk
from strutwright.page.workers import Workers
from strutwright.params import strict_yaml
from strutwright.params.loader import split
from strutwright.params.problems import ParameterError


@dataclass(slots=True, eq=False)
class Window:
    """desk: its set; answer, before: what follows from it, and from what it was before the last change; model: the
    JSON that the stage shows. changed: called when there is something new to show, by what it is."""

    desk: Desk
    workers: Workers
    limits: str | None
    confirmations: str | None
    token: str = field(default_factory=lambda: secrets.token_urlsafe(18))
    bench: Bench = field(default_factory=Bench)
    answer: Answered = field(default_factory=lambda: Answered(text=""))
    before: Answered = field(default_factory=lambda: Answered(text=""))
    model: str = ""
    exact: str = ""
    listeners: list[Callable[[str], Any]] = field(default_factory=list)
    inside: Callable[[], contextlib.AbstractContextManager[Any]] = contextlib.nullcontext
    """Within which the screen may be changed."""
    gone: bool = False
    _busy: bool = False
    _behind: bool = False
    _tasks: set[asyncio.Task[None]] = field(default_factory=set)

    def asked(self, text: str | None = None) -> Asked:
        """The set, or another text of it, as a question."""
        return Asked(self.desk.text if text is None else text, self.desk.name, self.limits, self.confirmations)

    def tell(self, what: str) -> None:
        """Let the screen know what is new: "answer", "model", "job", "desk"."""
        if not self.gone:
            with self.inside():
                for listener in self.listeners:
                    listener(what)

    def put(self, text: str) -> None:
        """Take another text and have it answered. Raises UserError for one that is too long."""
        if self.desk.put(text):
            self.renew()

    def renew(self) -> None:
        """Have the text as it now stands answered; while one answer is on its way only the newest text waits."""
        self.tell("desk")
        if self._busy:
            self._behind = True
            return
        self._busy = True
        self.begin(self._renewed())

    def begin(self, work: Coroutine[Any, Any, None]) -> asyncio.Task[None]:
        """Let work go on beside; what goes wrong in it is told on the error stream, in a line."""
        task = asyncio.get_running_loop().create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._ended)
        return task

    def _ended(self, task: asyncio.Task[None]) -> None:
        self._tasks.discard(task)
        error = None if task.cancelled() else task.exception()
        if error is not None and not self.gone:
            print(
                f"strutwright: a fault of the page, not of your set: {type(error).__name__}: {error}", file=sys.stderr
            )

    async def _renewed(self) -> None:
        try:
            while not self.gone:
                self._behind = False
                asked = self.asked()
                found = await self.workers.ask(answered, asked)
                if not found.faults:
                    if self.answer.text != found.text:
                        self.before = self.answer
                    self.answer = found
                else:
                    self.answer = Answered(text=found.text, faults=found.faults, family=self.answer.family)
                self.tell("answer")
                if not found.faults and not self._behind:
                    model = await self.workers.ask(quick, asked)
                    if model and not self._behind:
                        self.model, self.exact = model, ""
                        self.tell("model")
                if not self._behind:
                    return
        finally:
            self._busy = False

    def said(self, path: str) -> str | None:
        """What the file itself says at a path, as text; None where it says nothing."""
        try:
            node: Any = strict_yaml.read_text(self.desk.text, self.desk.name).data
        except ParameterError:
            return None
        for part in split(path):
            if isinstance(node, dict):
                node = node.get(part)
            elif isinstance(node, list) and isinstance(part, int) and part < len(node):
                node = node[part]
            else:
                return None
        if isinstance(node, bool):
            return "yes" if node else "no"
        return None if isinstance(node, (dict, list)) or node is None else str(node)

    def file(self, path: str) -> Path | None:
        """A file of this window's outputs by its path under them; None for one that is not there or elsewhere."""
        root = self.bench.folder.resolve()
        try:
            found = (root / path).resolve()
        except (OSError, ValueError):
            return None
        return found if found.is_relative_to(root) and found.is_file() else None

    async def close(self) -> None:
        """Stop what runs for it and remove its files."""
        self.gone = True
        await self.bench.close()


def changes(before: Answered, after: Answered) -> list[tuple[str, str, str]]:
    """Return what a change did: words, before, after; the counts, the key figures, and the findings that turned."""
    rows = []
    for words, verdict in (("checks that fail", "failure"), ("warnings", "warning")):
        counts = [sum(r.verdict == verdict for r in a.rows) for a in (before, after)]
        if counts[0] != counts[1]:
            rows.append((words, str(counts[0]), str(counts[1])))
    for words in (*before.key_figures, *(k for k in after.key_figures if k not in before.key_figures)):
        was, now = before.key_figures.get(words, "-"), after.key_figures.get(words, "-")
        if was != now:
            rows.append((words, was, now))
    own = {r.key: r for r in before.rows}
    for row in after.rows:
        was_row = own.get(row.key)
        if was_row is not None and was_row.verdict != row.verdict and len(rows) < 10:
            rows.append((row.what, f"{was_row.verdict} ({was_row.measure})", f"{row.verdict} ({row.measure})"))
    return rows


def change_table(rows: list[tuple[str, str, str]]) -> str:
    """Return what a change did as a table of HTML; "" for nothing."""
    if not rows:
        return ""
    cells = "".join(
        f"<tr><td>{escape(words)}</td><td>{escape(was)}</td><td>{escape(now)}</td></tr>" for words, was, now in rows
    )
    return f'<table class="change"><tr><th>by the last change</th><th>before</th><th>after</th></tr>{cells}</table>'
