"""A progress line on the error stream, so that outputs stay clean."""

from __future__ import annotations

import sys

from strutwright.exporters.files import stop


class Progress:
    """Counts steps and shows them on one line that is rewritten; silent when told so."""

    def __init__(self, steps: int, *, quiet: bool) -> None:
        self.steps, self.done, self.quiet = steps, 0, quiet

    def step(self, text: str) -> None:
        """Show the step that begins now. Raises KeyboardInterrupt when a stop was asked for."""
        stop.heed()
        if not self.quiet:
            filled = round(24 * min(self.done / max(self.steps, 1), 1.0))
            print(
                f"\r|{'=' * filled}{' ' * (24 - filled)}| {self.done}/{self.steps} {text:<40.40}",
                end="",
                file=sys.stderr,
                flush=True,
            )
        self.done += 1

    def end(self) -> None:
        """Clear the line."""
        if not self.quiet:
            print("\r" + " " * 78 + "\r", end="", file=sys.stderr, flush=True)
