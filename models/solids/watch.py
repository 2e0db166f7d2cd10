"""Steps of kernel work, told to whoever watches: a process beside this one can then name what crashed or hung.

Nobody watches unless told so: builders stay plain functions. A step that an earlier process did not survive is not
tried again, but raises LostError in its place.
"""

from __future__ import annotations

from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from typing import Protocol

from strutwright.models.finding import Finding, Verdict, in_words

LOST_CODES = ("kernel_crashed", "kernel_hung")


@dataclass(frozen=True, slots=True)
class Lost:
    """A step that the kernel did not come back from. key: which one, alike in every process that does the same work.
    what: in plain words. parameter: the path to blame, which may be "". hung: whether it took too long. why: what
    ended it, in words."""

    key: str
    what: str
    parameter: str
    hung: bool
    why: str

    def finding(self, group: str) -> Finding:
        """Return the failure that tells it."""
        did = "did not come to an end" if self.hung else "crashed"
        what = f"the solid-modelling kernel {did} at {self.what} ({self.why})"
        advice = f"change {self.parameter or 'a size'} a little, or what it joins"
        told = in_words(LOST_CODES[self.hung], Verdict.FAIL, what, advice, self.parameter, group=group)
        return replace(told, lost_at=self.what)


class LostError(Exception):
    """A step is left out, as an earlier process did not survive it."""

    def __init__(self, lost: Lost) -> None:
        super().__init__(lost)
        self.lost = lost

    def __str__(self) -> str:
        return f"{self.lost.what}: {self.lost.why}"


class Watcher(Protocol):
    """Who is told of steps."""

    def step(self, what: str, parameter: str) -> AbstractContextManager[None]:
        """Return a context for a step; entering it raises LostError when the step is to be left out."""

    def beat(self) -> None:
        """Hear that a long step gets on."""


_watcher: Watcher | None = None


def watched_by(watcher: Watcher | None) -> None:
    """Have all steps from now on told to a watcher; None: to nobody.

    >>> from types import SimpleNamespace
    >>> watched_by(SimpleNamespace(beat=lambda: print("it gets on")))
    >>> beat()
    it gets on
    >>> watched_by(None)
    """
    global _watcher
    _watcher = watcher


def step(what: str, parameter: str = "") -> AbstractContextManager[None]:
    """Return a context that tells when work on something begins and ends.

    what: "the fillet of the port arm at the barrel". parameter: the path to blame; "" for that of the step round it.
    Entering raises LostError when the step is to be left out.

    >>> from types import SimpleNamespace
    >>> watched_by(SimpleNamespace(step=lambda what, parameter: nullcontext(f"at {what}, of {parameter}")))
    >>> with step("the bolt holes", "bolts.size") as told:
    ...     watched_by(None)
    >>> told
    'at the bolt holes, of bolts.size'
    """
    return nullcontext() if _watcher is None else _watcher.step(what, parameter)


def beat() -> None:
    """Tell that a long step gets on, so that its time begins anew.

    >>> beat()  # nobody watches
    """
    if _watcher is not None:
        _watcher.beat()
