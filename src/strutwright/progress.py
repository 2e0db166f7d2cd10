"""Progress on the error stream, so that outputs stay clean."""

from __future__ import annotations

import sys
import threading
import time

from strutwright.exporters.files import stop

_WIDTH = 78


class Progress:
    """Tells which step a job is at, at what part of it, and for how long: on a terminal on one line that is rewritten
    every second, elsewhere a line for each step; silent when told so."""

    def __init__(self, steps: int, *, quiet: bool) -> None:
        self.steps, self.done, self.quiet = steps, 0, quiet
        self._began, self._step, self._part = time.monotonic(), "", ""
        self._rewrites = not quiet and sys.stderr.isatty()
        self._ended = threading.Event()
        if self._rewrites:
            threading.Thread(target=self._go_on, daemon=True).start()

    def step(self, text: str) -> None:
        """Show the step that begins now. Raises KeyboardInterrupt when a stop was asked for."""
        stop.heed()
        self.done += 1
        self._step, self._part = text, ""
        if self._rewrites:
            self._rewrite()
        elif not self.quiet:
            print(self._line(), file=sys.stderr, flush=True)

    def part(self, text: str) -> None:
        """Show the part of the step that is at work now."""
        self._part = text
        if self._rewrites:
            self._rewrite()

    def end(self) -> None:
        """Clear the line."""
        self._ended.set()
        if self._rewrites:
            print("\r" + " " * _WIDTH + "\r", end="", file=sys.stderr, flush=True)

    def _line(self) -> str:
        minutes, seconds = divmod(int(time.monotonic() - self._began), 60)
        at = f"{minutes}:{seconds:02d}  {min(self.done, self.steps)} of {self.steps}  {self._step}"
        return f"{at}: {self._part}" if self._part and self._part != f"the {self._step}" else at

    def _rewrite(self) -> None:
        if not self._ended.is_set():
            print(f"\r{self._line():<{_WIDTH}.{_WIDTH}}", end="", file=sys.stderr, flush=True)

    def _go_on(self) -> None:
        while not self._ended.wait(1.0):
            self._rewrite()
