"""Of very many candidates those alone that break no check: each of the others is left at the first one that it breaks.

What is left is told by no less than all the checks; of what is dropped nothing is told but that a check is broken. The
checks that drop the most for their time come first, as a sample shows; their order changes the time, not the answer.
"""

from __future__ import annotations

import functools
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from types import ModuleType
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats
from strutwright.models.checks import OF_FAMILY as GEOMETRY_OF_FAMILY
from strutwright.models.checks import engineering
from strutwright.models.checks.outcome import Outcome
from strutwright.models.finding import WITHIN
from strutwright.models.sizing.candidates import candidates
from strutwright.models.sizing.judge import CHUNK, Judge, Judged, Source, in_processes, judge_all
from strutwright.models.struts import Struts

SAMPLE = 1024
"""Candidates that the order of the checks is found with."""
PIECE = 16 * CHUNK
"""Candidates that go through all sieves before the next: what is left of them still fills a chunk."""
FROM = 50_000
"""So many candidates, and it pays to find the order first."""
_HALF = 0.6
"""Where less is left than this share, what is left is made anew before the next check."""

Check: TypeAlias = Callable[[Struts], dict[str, Outcome]]
"""How candidates stand by some of the checks, by code."""
Which: TypeAlias = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Some:
    """Some candidates of a source, by their numbers there."""

    source: Source
    which: Which

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.which)

    def at(self, which: Which) -> dict[str, Floats]:
        """Return the values of some of them."""
        return self.source.at(self.which[which])


def within(judge: Judge, source: Source, workers: int | None = None) -> tuple[Which, Judged]:
    """Return the numbers of the candidates that break no check that they move, in order, and how they stand.

    workers: processes, as many as processors when left out. The same candidates as `judge_all` finds within.

    >>> judge = Judge.of(loaded("canal-tender"), resolved("canal-tender"))
    >>> from strutwright.models.sizing.judge import Listed
    >>> walls = Listed({"barrel.wall": np.array([3.0, 8.0, 2.0])})
    >>> within(judge, walls)[0].tolist()
    [1]
    """
    which = sifted(judge, source, workers) if source.count >= FROM else np.arange(source.count)
    if not len(which):
        # One is judged all the same, so that there is an answer of the right kind.
        return which, judge_all(judge, Some(source, np.arange(1))).some(which)
    judged = judge_all(judge, Some(source, which), workers)
    kept = np.flatnonzero(judged.own == WITHIN)
    return which[kept], judged.some(kept)


def sifted(judge: Judge, source: Source, workers: int | None = None) -> Which:
    """Return the numbers of candidates, in order, without those that break a check which drops many of a sample.

    >>> judge = Judge.of(loaded("canal-tender"), resolved("canal-tender"))
    >>> from strutwright.models.sizing.judge import Listed
    >>> sifted(judge, Listed({"barrel.wall": np.array([3.0, 8.0, 2.0])})).tolist()
    [1]
    """
    sieves = _sieves(judge, source)
    if not sieves:
        return np.arange(source.count)
    parts = [(start, min(start + PIECE, source.count)) for start in range(0, source.count, PIECE)]
    return np.concatenate(list(in_processes(functools.partial(_left, sieves=sieves), judge, source, parts, workers)))


def _left(judge: Judge, source: Source, start: int, stop: int, sieves: Sequence[Sequence[str]]) -> Which:
    """Which candidates from start to stop go through all sieves, each the names of checks."""
    which, checks = np.arange(start, stop), _checks(judge)
    for sieve in sieves:
        kept = [
            part[_unbroken(judge, _made(judge, source, part), [checks[name] for name in sieve])]
            for part in np.split(which, range(CHUNK, len(which), CHUNK))
            if len(part)
        ]
        which = np.concatenate([np.arange(0), *kept])
    return which


def _made(judge: Judge, source: Source, which: Which) -> Struts:
    return candidates(judge.loaded, judge.resolved, source.at(which), judge.base)


def _unbroken(judge: Judge, made: Struts, checks: Sequence[Check]) -> NDArray[np.bool_]:
    """Which candidates can be built and break none of these checks that they move."""
    left = made.buildable.copy()
    for check in checks:
        for code, held in check(made).items():
            if np.ndim(held.level):
                left &= held.level <= judge.still.get(code, WITHIN)
    for known in (made, made.inputs):
        known.forget()
    return left


def _checks(judge: Judge) -> dict[str, Check]:
    """The checks by the names of their groups, without those that measure candidates one by one."""
    family = judge.resolved.strut.family

    def geometry(made: Struts, module: ModuleType) -> dict[str, Outcome]:
        return judge.geometry(made, module)

    def numbers(made: Struts, name: str) -> dict[str, Outcome]:
        with np.errstate(all="ignore"):
            return judge.held(made.inputs, engineering.MODULES[name].numbers(made.inputs), some=True)

    return {
        **{
            module.__name__: functools.partial(geometry, module=module)
            for module in GEOMETRY_OF_FAMILY[family]
            if module not in judge.measured
        },
        **{name: functools.partial(numbers, name=name) for name in engineering.OF_FAMILY[family]},
    }


def _sieves(judge: Judge, source: Source) -> list[list[str]]:
    """The names of the checks that pay, those first that drop the most of a sample for their time, in groups between
    which what is left is made anew."""
    step = int(0.618 * source.count) | 1
    which = np.unique(np.arange(min(SAMPLE, source.count)) * step % source.count)
    checks, clock = _checks(judge), time.process_time
    made = _made(judge, source, which)
    dropped = {name: ~_unbroken(judge, made, [check]) for name, check in checks.items()}
    cost: dict[str, float] = {}
    for name in [name for name, gone in dropped.items() if gone.any()]:
        made = _made(judge, source, which)
        started = clock()
        _unbroken(judge, made, [checks[name]])
        cost[name] = clock() - started
    started = clock()
    judge.judge(source.at(which), enough=0)
    whole = clock() - started
    sieves, left, of = list[list[str]](), np.ones(len(which), dtype=bool), 0.0
    while cost and left.any():
        gains = {name: float(dropped[name][left].mean()) for name in cost}
        best = max(cost, key=lambda name: gains[name] / max(cost[name], 1e-9))
        if gains[best] * whole <= cost[best]:
            break
        if not sieves or left.sum() < _HALF * of:
            sieves.append([])
            of = float(left.sum())
        sieves[-1].append(best)
        left &= ~dropped[best]
        del cost[best]
    return sieves
