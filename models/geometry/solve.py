"""Where one number turns over: halving, and false position, for one place or many at once. Numpy only."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strutwright.models.arrays import Floats, Num, Truth

_ROUNDS = 100  # at most, of false position


@overload
def bisect(holds: Callable[[float], bool], low: float, high: float, rounds: int = 60) -> tuple[float, float]: ...


@overload
def bisect(
    holds: Callable[[Floats], NDArray[np.bool_]], low: Floats, high: Floats, rounds: int = 60
) -> tuple[Floats, Floats]: ...


def bisect(holds: Callable[[Any], Truth], low: Num, high: Num, rounds: int = 60) -> tuple[Num, Num]:
    """Return (low, high) drawn together by `rounds` halvings: the last place at which it holds, the first where not.

    holds: whether it holds at a place, or at each of an array of places. low: where it holds; high: where it does not.
    With floats the answer is floats, with arrays arrays.

    >>> low, high = bisect(lambda x: x * x < 2.0, 1.0, 2.0, 40)
    >>> round(float(low), 9), round(float(high), 9)
    (1.414213562, 1.414213562)
    """
    if np.ndim(low) == 0 and np.ndim(high) == 0:
        for _ in range(rounds):
            middle = (low + high) / 2
            low, high = (middle, high) if holds(middle) else (low, middle)
        return low, high
    for _ in range(rounds):
        middle = (low + high) / 2
        there = holds(middle)
        low, high = np.where(there, middle, low), np.where(there, high, middle)
    return low, high


def false_position(gap: Callable[[Floats], Floats], low: Floats, high: Floats, within: ArrayLike) -> Floats:
    """Return where gap turns from negative at low to positive at high, for each of many; high where it never does.

    low, high: arrays of one shape, either of them the larger. gap: of such an array of places. within: how near to 0 is
    near enough, for all or for each.
    False position with the value of an end that stays counted half (Illinois; Dowell and Jarratt, BIT 11, 1971, from
    memory), so that a bent gap is no trap.

    >>> false_position(lambda x: x * x - [2.0, 9.0], np.zeros(2), np.full(2, 4.0), 1e-12).round(9).tolist()
    [1.414213562, 3.0]
    """
    low, high = np.array(low, dtype=float), np.array(high, dtype=float)
    under, over = gap(low), gap(high)
    never = over <= 0.0
    at, stayed = high.copy(), np.zeros(np.shape(high))
    for _ in range(_ROUNDS):
        at = np.where(over - under > 1e-300, (low * over - high * under) / np.maximum(over - under, 1e-300), high)
        at = np.where(never, high, np.clip(at, np.minimum(low, high), np.maximum(low, high)))
        value = gap(at)
        if np.all((np.abs(value) <= within) | (np.abs(high - low) <= 1e-15) | never):
            break
        out = value > 0.0
        # An end that stays twice running counts half, so that the other end moves too.
        over, under = (
            np.where(out, value, np.where(stayed < 0, over / 2, over)),
            np.where(out, np.where(stayed > 0, under / 2, under), value),
        )
        stayed = np.where(out, 1, -1)
        low, high = np.where(out, low, at), np.where(out, at, high)
    return at
