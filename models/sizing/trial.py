"""One set that is tried: held to one group of checks after another, no further than is asked."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass, field
from typing import Any, TypeAlias

import numpy as np

from strutwright.models import weights
from strutwright.models.checks.outcome import Outcome
from strutwright.models.finding import FAILS, WARNS
from strutwright.models.sizing.judge import Judge
from strutwright.models.sizing.search import CANNOT_BE
from strutwright.models.sizing.set_text import Choice, Known, SetText, yaml_text
from strutwright.params.limits import Limits

Place: TypeAlias = tuple[int, ...]
FAR = 10.0
"""How far over one limit counts at most."""


@dataclass(slots=True, eq=False)
class Made:
    """One set that was tried; what `asked.Makes` asks of it."""

    choice: Choice
    d: float
    limits: Limits
    judge: Judge
    resolved: Any
    strut: Any
    writer: SetText
    own: Known
    notes: Mapping[str, str]

    def text(self, sizes: Mapping[str, float]) -> str:
        """Return the set as the text of a file."""
        return yaml_text(self.own, self.notes)

    def data(self, sizes: Mapping[str, float]) -> Known:
        """Return the same as data."""
        return copy.deepcopy(self.own)


@dataclass(slots=True, eq=False)
class Trial:
    """How a set stands, as far as it was held to the checks: it stands no better by those that wait.

    place: the numbers of its values; spared: how much more than the least there is of what should be spared. over: how
    far over their limits its checks are; logs: how much of its limit each uses, as a logarithm.
    """

    place: Place
    spared: int
    fails: float = 0.0
    warns: float = 0.0
    over: float = 0.0
    weight_kg: float = math.inf
    logs: dict[str, float] = field(default_factory=dict)
    levels: dict[str, int] = field(default_factory=dict)
    """How it stands by each check that is broken."""
    apart: Set[str] = frozenset()
    """Checks that are not counted: no size that is open mends them."""
    waiting: dict[str, Callable[[], dict[str, Outcome]]] = field(default_factory=dict)
    """Groups of checks that it was not held to yet, by their names."""

    @classmethod
    def of(cls, place: Place, spared: int, made: Made, apart: Set[str] = frozenset()) -> Trial:
        """Return the trial of a set that can be built, which is only weighed."""
        weight_kg = float(np.ravel(weights.weight_kg(made.judge.base))[0])
        return cls(place, spared, weight_kg=weight_kg, waiting=made.judge.by_group(), apart=apart)

    @classmethod
    def of_none(cls, place: Place, spared: int, faults: int) -> Trial:
        """Return the trial of a set that cannot be built for some faults."""
        return cls(place, spared, fails=CANNOT_BE, warns=float(faults))

    @property
    def clean(self) -> bool:
        """Whether nothing is broken, as far as it is known."""
        return self.fails == 0.0 and self.warns == 0.0

    @property
    def whole(self) -> bool:
        """Whether it can be built and was held to every check."""
        return self.fails < CANNOT_BE and not self.waiting

    @property
    def broken(self) -> tuple[Any, ...]:
        """Rank while checks are broken."""
        return (self.fails, self.warns, round(self.over, 6), self.spared, self.weight_kg, self.place)

    @property
    def light(self) -> tuple[Any, ...]:
        """Rank once nothing fails any more."""
        return (self.fails, self.warns, self.spared, self.weight_kg, self.place)

    def hold(self, group: str) -> None:
        """Hold it to the checks of a group that waits."""
        for code, held in self.waiting.pop(group)().items():
            self.logs[code] = _log(held)
            if held.level:
                self.levels[code] = int(held.level)
        self.count()

    def count(self) -> None:
        """Count what is broken."""
        if self.fails < CANNOT_BE:
            counted = {code: level for code, level in self.levels.items() if code not in self.apart}
            self.fails = float(sum(level == FAILS for level in counted.values()))
            self.warns = float(sum(level == WARNS for level in counted.values()))
            self.over = sum(min(math.expm1(self.logs[code]), FAR) for code in counted)

    def hold_to_all(self) -> Trial:
        """Hold it to every check that waits, and return it."""
        for group in tuple(self.waiting):
            self.hold(group)
        return self


def broken(one: Trial) -> tuple[Any, ...]:
    """Return the rank of a set while checks are broken.

    >>> broken(Trial((0, 1), 0, weight_kg=2.0))
    (0.0, 0.0, 0.0, 0, 2.0, (0, 1))
    """
    return one.broken


def light(one: Trial) -> tuple[Any, ...]:
    """Return the rank of a set once nothing fails any more.

    >>> light(Trial((0, 1), 0, weight_kg=2.0))
    (0.0, 0.0, 0, 2.0, (0, 1))
    """
    return one.light


def _log(held: Outcome) -> float:
    """How much of its limit a check uses, as a logarithm; what is broken lies over nought, what is kept does not."""
    used = float(np.ravel(held.utilisation)[0])
    if held.level:
        return math.log(min(used, FAR)) if math.isfinite(used) and used > 1.0 else math.log1p(FAR)
    return math.log(min(max(used, 1e-3), 1.0)) if math.isfinite(used) else math.log(1e-3)
