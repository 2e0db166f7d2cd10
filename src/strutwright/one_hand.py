"""Everything of one hand of a build: its checks here, all that calls the kernel in a process of its own, or in two."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from strutwright.models.bench.mill import plate_findings
from strutwright.models.finding import Finding
from strutwright.outputs import ASIDE, OUTPUTS, PLAIN, STAGES, OneHand, Stand, StopError, Telling, with_kernel
from strutwright.params.limits import standard

if TYPE_CHECKING:
    from strutwright.guard import Guard
    from strutwright.kept import Earlier
    from strutwright.models.solids.watch import Lost

LAST = "report"
"""The stage that tells of all others."""
_LONG = {
    "foundry": 28.0,
    "sheets": 22.0,
    "solids": 11.0,
    "templates": 5.0,
    "picture": 4.0,
    "meshes": 2.0,
    "outlines": 1.0,
}
"""How long the stages take beside each other, s on a slow processor; `solids` with the boat beside them."""
_WORTH = 3.0
"""A second process is not started for less."""


@dataclass
class _Made:
    """What stages made, by stage ("" is the solids): findings, and files with what they are; given_up: what was found
    where the kernel was given up."""

    findings: dict[str, list[Finding]] = field(default_factory=dict)
    files: dict[str, dict[str, str]] = field(default_factory=dict)
    given_up: list[Finding] = field(default_factory=list)

    def note(self, before: Stand, after: Stand) -> None:
        """Note what the stage that ended last made between two stands."""
        self.findings[after.ended[-1]], self.files[after.ended[-1]] = after.since(before)

    def failing(self) -> str | None:
        """Return the first stage, in their order, of which a check fails; None when none does."""
        order = ("", *STAGES)
        return next((k for k in order if any(f.fails and f.group != OUTPUTS for f in self.findings.get(k, ()))), None)

    def put(self, job: OneHand, start: Stand, last: str | None) -> None:
        """Have a job found and written what stood at the start and what was made up to the last stage, in the order of
        the stages; None: up to the end."""
        kinds = [kind for kind in ("", *STAGES) if kind in self.files]
        kinds = kinds if last is None else kinds[: kinds.index(last) + 1]
        job.findings[:] = [*start.findings, *(f for kind in kinds for f in self.findings[kind]), *self.given_up]
        job.files.clear()
        for files in (start.files, *(self.files[kind] for kind in kinds)):
            job.files.update(files)


def make(job: OneHand, checked: Callable[[], list[Finding]]) -> None:
    """Make everything of one hand; what is made and told is the same by one process and by two.

    checked: makes the checks that need no solid. Raises StopError when a check fails.
    """
    guard, second = job.guard, job.second
    assert guard is not None
    stages = tuple(kind for kind in STAGES if kind in job.order.what)
    aside = () if second is None or job.kept is not None else shared(stages, job.strut.construction == "cast")
    guard.start()  # it loads the kernel meanwhile
    if second is not None and aside:
        second.start()
    job.progress.step("checks")
    found = checked()
    job.findings.extend(found)
    held = job.order.limits if job.order.limits is not None else standard()
    job.findings.extend(plate_findings(job.resolved, job.strut, found, held))
    job.stop_if_failing()
    if second is not None and aside:
        _both(job, stages, second, aside)
    else:
        earlier = None if job.kept is None else job.kept.known(job, stages)
        _work(job, guard, stages, job.stand(), earlier)


def shared(stages: tuple[str, ...], cast: bool) -> tuple[str, ...]:
    """Return which of the stages another process makes, so that both end at about the same time; none where that saves
    little.

    >>> shared(("solids", "sheets", "foundry", "templates", "report"), cast=True)
    ('templates', 'foundry')
    >>> shared(("solids", "tables", "report"), cast=True)
    ()
    """
    long = {kind: _LONG.get(kind, 0.0) for kind in stages if kind != LAST and (cast or kind != "foundry")}
    here, away, there = 0.0, 0.0, list[str]()
    for kind in sorted(long, key=lambda k: -long[k]):
        if here <= away:
            here += long[kind]
        else:
            there.append(kind)
            away += long[kind]
    return tuple(kind for kind in stages if kind in there) if away >= _WORTH else ()


def _both(job: OneHand, stages: tuple[str, ...], second: Guard, aside: tuple[str, ...]) -> None:
    """Make some stages here and some aside, put what they made in the order of the stages, and then the report."""
    assert job.guard is not None
    start, made = job.stand(), _Made()
    thread = _Aside(
        replace(job, folder=job.folder / ASIDE, files={}, guard=second, second=None), start.findings, aside, made
    )
    thread.job.folder.mkdir()
    thread.start()
    stopped = False
    try:
        mine = tuple(kind for kind in stages if kind not in aside and kind != LAST)
        try:
            _work(job, job.guard, mine, start, {}, made)
        except StopError:
            stopped = True
            thread.not_past(made.failing())
        thread.join()
    finally:
        thread.give_up()
    stopped = thread.raise_what_it_raised() or stopped
    _move(thread.job.folder, job.folder)
    made.put(job, start, made.failing() if stopped else None)
    if stopped:
        raise StopError
    if LAST in stages:
        _work(job, job.guard, (LAST,), job.stand("", *(kind for kind in stages if kind != LAST)), {})


def _move(aside: Path, folder: Path) -> None:
    """Move what lies in a folder into another."""
    for path in sorted(aside.rglob("*")):
        if not path.is_dir():
            target = folder / path.relative_to(aside)
            target.parent.mkdir(parents=True, exist_ok=True)
            path.replace(target)
    shutil.rmtree(aside)


class _Enough(Exception):  # noqa: N818 - never leaves this module
    """What is made aside is not wanted any more."""


class _Aside(threading.Thread):
    """Makes stages with a process of its own, in a folder of its own."""

    def __init__(self, job: OneHand, found: list[Finding], stages: tuple[str, ...], made: _Made) -> None:
        super().__init__(daemon=True)
        # The solids are those of the other process, which tells of them.
        self.job = replace(job, findings=list(found), progress=Telling(self._step(job)))
        self._stages, self._made = stages, made
        self._until, self._cancelled = len(STAGES), False
        self._raised: BaseException | None = None

    @staticmethod
    def _step(job: OneHand) -> Callable[[object], None]:
        def step(text: object) -> None:
            if not str(text).startswith("solids"):
                job.progress.step(str(text))

        return step

    def run(self) -> None:
        guard = self.job.guard
        assert guard is not None
        try:
            _work(self.job, guard, self._stages, Stand(("",), {}, list(self.job.findings)), {}, self._made, self._heed)
        except BaseException as error:
            self._raised = error
        finally:
            guard.close()  # a worker that this thread started would not outlive it

    def not_past(self, kind: str | None) -> None:
        """Leave out the stages after one at which the build ended; None: all."""
        order = list(STAGES)
        self._until = order.index(kind) if kind in order else -1
        if all(order.index(k) > self._until for k in self._stages if k not in self._made.files):
            self.give_up()

    def give_up(self) -> None:
        """End, whatever is being made."""
        self._cancelled = True
        while self.is_alive():
            assert self.job.guard is not None
            self.job.guard.close()
            self.join(0.1)

    def raise_what_it_raised(self) -> bool:
        """Raise the error that ended it; return whether that was a check that fails."""
        if isinstance(self._raised, StopError):
            return True
        if self._raised is not None and not isinstance(self._raised, _Enough) and self._until == len(STAGES):
            raise self._raised
        return False

    def _heed(self) -> None:
        left = [list(STAGES).index(kind) for kind in self._stages if kind not in self._made.files]
        if self._cancelled or (left and min(left) > self._until):
            raise _Enough


def _work(
    job: OneHand,
    guard: Guard,
    stages: tuple[str, ...],
    stand: Stand,
    earlier: Mapping[str, Earlier] | None,
    made: _Made | None = None,
    heed: Callable[[], None] = lambda: None,
) -> None:
    """Make stages with a guard. earlier: as for `with_kernel`; made: notes what each makes; heed: may end it all."""
    from strutwright.guard import TooOftenLost

    def hear(told: str | Stand) -> None:
        nonlocal stand
        heed()
        if isinstance(told, str):
            job.progress.step(told)
            return
        if job.kept is not None:
            job.kept.note(job, stand, told)
        if made is not None:
            made.note(stand, told)
        stand = told
        job.findings[:] = told.findings
        job.files.update(told.files)

    def after_loss() -> None:
        heed()
        job.stand_at(stand)

    def work(stages: tuple[str, ...], known: tuple[Lost, ...]) -> None:
        away = replace(job, progress=Telling(print), guard=None, kept=None, second=None)
        guard.run(with_kernel, lambda: (away, stand, stages, earlier), hear, after_loss, known)

    known: tuple[Lost, ...] = ()
    while stages:
        try:
            return work(stages, known)
        except TooOftenLost as error:
            known, more = error.lost, tuple(kind for kind in stages if kind in PLAIN and kind not in stand.ended)
            stages, out = (more, set(stages) - set(more)) if "" in stand.ended and more != stages else ((), set(stages))
            before = len(job.findings)
            try:
                _give_up(job, known, stand.ended, out)
            finally:
                if made is not None:
                    made.given_up += job.findings[before:]
            stand = job.stand(*stand.ended)


def _give_up(job: OneHand, lost: tuple[Lost, ...], ended: tuple[str, ...], kinds: set[str]) -> None:
    """Tell what the kernel was lost over, and which kinds of output are left out as it was lost too often."""
    for x in lost:
        if not any(f.lost_at == x.what for f in job.findings):
            job.findings.append(x.finding(OUTPUTS).leaving_out(x.what) if ended else x.finding("build"))
    job.stop_if_failing()
    for kind in STAGES:
        if kind in kinds and kind not in ended:
            job.left_out(
                "kernel_given_up",
                STAGES[kind][0],
                "the solid-modelling kernel was lost too often",
                "mend first what it was lost over",
                lost[-1].parameter,
            )
