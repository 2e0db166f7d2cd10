"""Several parts of one number: how far what was measured on them spreads between the limits.

Performance index Ppk: the distance from the mean to the nearer limit over three standard deviations (ISO 22514-2, from
memory; confirm against the standard). From few parts it is a rough estimate: its lower end, 95 % one-sided, by Bissell
(1990, Applied Statistics 39: 331-340, from memory), is told too.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

LEAST_PARTS = 5
"""Of fewer parts no index is told; common practice, no source."""
_NORMAL_95 = 1.6449


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """What was measured of one characteristic on several parts, mm or degrees; None for a limit that is not there."""

    code: str
    what: str
    lower: float | None
    upper: float | None
    values: tuple[float, ...]

    @property
    def mean(self) -> float:
        """The mean of the parts."""
        return statistics.fmean(self.values)

    @property
    def deviation(self) -> float:
        """The standard deviation of the parts, by n - 1."""
        return statistics.stdev(self.values)

    def performance(self) -> tuple[float, float] | None:
        """Return Ppk and its lower end; None of few parts, and of parts all alike.

        >>> sizes = 50.010, 50.012, 50.014, 50.016, 50.018
        >>> bore = Spread(code="b", what="bore", lower=50.0, upper=50.03, values=sizes)
        >>> [round(v, 2) for v in bore.performance()]
        [1.48, 0.58]
        """
        room = [] if self.lower is None else [self.mean - self.lower]
        room += [] if self.upper is None else [self.upper - self.mean]
        if len(self.values) < LEAST_PARTS or not room or self.deviation == 0.0:
            return None
        index = min(room) / (3.0 * self.deviation)
        n = len(self.values)
        low = index - _NORMAL_95 * math.sqrt(1.0 / (9.0 * n) + index**2 / (2.0 * (n - 1)))
        return index, low

    def place(self, value: float) -> float:
        """Return where a value lies between the limits, 0 at the lower and 1 at the upper; where one is lacking, nought
        stands for it."""
        low = self.lower if self.lower is not None else 0.0
        high = self.upper if self.upper is not None else 2.0 * max(abs(low), 1e-9)
        return (value - low) / (high - low) if high > low else 0.5


def spreads(
    records: Sequence[dict[str, float]], rows: Sequence[tuple[str, str, float | None, float | None]]
) -> list[Spread]:
    """Return the spread of every characteristic with a limit that was measured on two parts at least.

    records: of each part, what was measured by code. rows: code, words, lower and upper limit.

    >>> made = spreads([{"bore": 50.01}, {"bore": 50.02, "long": 80.0}], [("bore", "bore", 50.0, 50.03)])
    >>> made[0].values
    (50.01, 50.02)
    """
    made = []
    for code, what, lower, upper in rows:
        values = tuple(r[code] for r in records if code in r)
        if len(values) > 1 and (lower is not None or upper is not None):
            made.append(Spread(code=code, what=what, lower=lower, upper=upper, values=values))
    return made
