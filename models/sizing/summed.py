"""Very many combinations: each piece is judged and told to who writes it down; only sums, and the best, are kept.

What is kept of a piece: the best of each cell of the first two axes, those that may be the best of all, the nearest to
passing, the first that cannot be built, and a few evenly spread. So the memory that it takes does not grow with the
number of combinations, and lightest, nearest, counts and map are those of a study that keeps all of them.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.models.finding import WITHIN
from strutwright.models.sizing.judge import CHUNK, ROWS, Judge, Judged, Part, Source, to_measure

PIECE = 16 * CHUNK
"""Combinations that are told of at once."""
MARKS = 8000
"""How many evenly spread combinations are kept, about, for a picture of all."""
_AT_ONCE = 32
"""Pieces whose kept combinations are put together before the best of them are taken."""
_HEAVIEST = 1e9

Which: TypeAlias = NDArray[np.intp]
Told: TypeAlias = Callable[[Which, Judged], bytes]
"""Returns what is written down of combinations with these numbers."""
Spread: TypeAlias = Callable[[Callable[..., Any], Judge, Source, Sequence[Part]], Iterator[Any]]
"""Yields what comes of each part of a source, in order, as `judge.in_processes` does."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sums:
    """How many of all combinations stand how.

    level, own: how many are within, warn, fail, by all checks and by those that they move; governing: how many by the
    index of the check that governs; cannot: how many cannot be built.
    """

    level: NDArray[np.int64]
    own: NDArray[np.int64]
    governing: NDArray[np.int64]
    cannot: int

    @classmethod
    def of(cls, judged: Judged) -> Sums:
        """Return the sums of these combinations.

        >>> from strutwright.models.sizing.judge import Listed, judge_all
        >>> judge = Judge.of(loaded("canal-tender"), resolved("canal-tender"))
        >>> Sums.of(judge_all(judge, Listed({"barrel.wall": np.array([8.0, 3.0, 2.0])}))).level.tolist()
        [1, 0, 2]
        """
        return cls(
            level=np.bincount(judged.level, minlength=3),
            own=np.bincount(judged.own, minlength=3),
            governing=np.bincount(judged.governing, minlength=len(judged.codes)),
            cannot=int(np.isnan(judged.weight_kg).sum()),
        )

    def and_of(self, other: Sums, sign: int = 1) -> Sums:
        """Return the sums of both, or less the other's."""
        return Sums(
            level=self.level + sign * other.level,
            own=self.own + sign * other.own,
            governing=self.governing + sign * other.governing,
            cannot=self.cannot + sign * other.cannot,
        )


@dataclass(frozen=True, slots=True, eq=False)
class _Kept:
    """Combinations that are kept, by their numbers, and how they stand."""

    which: Which
    judged: Judged

    def some(self, at: Which) -> _Kept:
        return _Kept(self.which[at], self.judged.some(at))


def best_of_cells(which: Which, judged: Judged, inner: int) -> NDArray[np.intp]:
    """Return the places of the best combination of each cell: the best by the checks that they move, then the lightest,
    then the first.

    which: their numbers; inner: how many combinations a cell has, one after another.

    >>> from strutwright.models.sizing.judge import Listed, judge_all
    >>> judge = Judge.of(loaded("canal-tender"), resolved("canal-tender"))
    >>> walls = judge_all(judge, Listed({"barrel.wall": np.array([9.0, 8.0, 3.0])}))
    >>> best_of_cells(np.arange(3), walls, 2).tolist()  # of the first two the lighter one passes too
    [1, 2]
    """
    weight = np.nan_to_num(judged.weight_kg, nan=_HEAVIEST)
    cell = which // inner
    order = np.lexsort((which, judged.own * 10.0 * _HEAVIEST + weight, cell))
    return order[np.unique(cell[order], return_index=True)[1]]


def summed(
    judge: Judge, source: Source, inner: int, spread: Spread, told: Callable[[bytes], None], tell: Told | None
) -> tuple[Which, Judged, Sums]:
    """Return the numbers of the combinations kept, in order, how they stand, and the sums of all.

    inner: how many combinations, one after another, make a cell of the map. spread: works pieces out. tell: makes what
    is written down of a piece, told: is given it, piece by piece in order; none where tell is None.

    >>> from strutwright.models.sizing.judge import Listed, in_processes
    >>> judge = Judge.of(loaded("canal-tender"), resolved("canal-tender"))
    >>> walls = Listed({"barrel.wall": np.array([3.0, 8.0, 2.0])})
    >>> which, judged, sums = summed(judge, walls, 1, in_processes, print, None)
    >>> which.tolist(), judged.level.tolist(), sums.level.tolist()
    ([0, 1, 2], [2, 0, 2], [1, 0, 2])
    """
    step = max(1, math.ceil(source.count / MARKS))
    work = functools.partial(_piece, inner=inner, step=step, tell=tell)
    parts = [(start, min(start + PIECE, source.count)) for start in range(0, source.count, PIECE)]
    sums: Sums | None = None
    marks, best = list[_Kept](), list[_Kept]()
    for own, mark, kept, written in spread(work, judge, source, parts):
        sums = own if sums is None else sums.and_of(own)
        marks.append(mark)
        best.append(kept)
        if tell is not None:
            told(written)
        if len(best) >= _AT_ONCE:
            best = [_worth(judge, _joined(best), inner)]
    assert sums is not None
    all_kept = _joined([_worth(judge, _joined(best), inner), *marks])
    all_kept = all_kept.some(np.unique(all_kept.which, return_index=True)[1])
    return _measured(judge, source, all_kept, sums)


def _measured(judge: Judge, source: Source, kept: _Kept, sums: Sums) -> tuple[Which, Judged, Sums]:
    """The same with the best that may pass measured, as `judge_all` does."""
    at = to_measure(judge, kept.judged)
    if not kept.judged.unsure[at].any():
        return kept.which, kept.judged, sums
    before, sure = kept.judged.some(at), judge.judge(source.at(kept.which[at]))
    rows = {name: getattr(kept.judged, name).copy() for name in ROWS}
    for name, row in rows.items():
        row[at] = getattr(sure, name)
    return kept.which, replace(kept.judged, **rows), sums.and_of(Sums.of(before), -1).and_of(Sums.of(sure))


def _piece(
    judge: Judge, source: Source, start: int, stop: int, *, inner: int, step: int, tell: Told | None
) -> tuple[Sums, _Kept, _Kept, bytes]:
    """The sums of a piece, a few of it evenly spread, those worth keeping, and what is written down of it."""
    cuts = range(start, stop, CHUNK)
    judged = [judge.judge(source.at(np.arange(low, min(low + CHUNK, stop))), enough=0) for low in cuts]
    whole = _Kept(np.arange(start, stop), _of_all(judged))
    spread = whole.some(np.flatnonzero(whole.which % step == 0))
    return Sums.of(whole.judged), spread, _worth(judge, whole, inner), b"" if tell is None else tell(*_both(whole))


def _both(kept: _Kept) -> tuple[Which, Judged]:
    return kept.which, kept.judged


def _of_all(judged: Sequence[Judged]) -> Judged:
    return Judged(
        codes=judged[0].codes, **{name: np.concatenate([getattr(one, name) for one in judged]) for name in ROWS}
    )


def _joined(kept: Sequence[_Kept]) -> _Kept:
    return _Kept(np.concatenate([one.which for one in kept]), _of_all([one.judged for one in kept]))


def _worth(judge: Judge, kept: _Kept, inner: int) -> _Kept:
    """Those of them that anything but a picture of all asks for."""
    j = kept.judged
    built = np.flatnonzero(np.isfinite(j.weight_kg))
    within = np.flatnonzero((j.own == WITHIN) & np.isfinite(j.weight_kg))
    first = [
        built[np.lexsort((kept.which[built], j.weight_kg[built], j.warns[built], j.fails[built]))[:1]],
        within[np.lexsort((kept.which[within], j.weight_kg[within]))[:1]],
        np.flatnonzero(np.isnan(j.weight_kg))[:1],
    ]
    return kept.some(np.unique(np.concatenate([best_of_cells(kept.which, j, inner), to_measure(judge, j), *first])))
