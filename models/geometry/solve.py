"""Where a function turns: halving the way, and false position. Numpy, all places at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_ROUNDS = 60  # at most, of false position


def bisect(before: Callable[[Any], Any], low: Any, high: Any, rounds: int = 60) -> tuple[Any, Any]:
    """Return the two ends, low and high, of what is left of each way after halving it.

    before: whether places still lie before the turn, which lies between low and high. Numbers or arrays of them.
    """
    for _ in range(rounds):
        middle = (low + high) / 2
        stays = before(middle)
        low, high = np.where(stays, middle, low), np.where(stays, high, middle)
    return low, high


def false_position(gap: Callable[[Floats], Floats], low: Floats, high: Floats, within: Floats | float) -> Floats:
    """Return where gap, negative at low and positive at high, is nearer to nought than `within`, (n,).

    The end that is kept twice running counts half (Illinois; Dowell and Jarratt, BIT 11, 1971, from memory).
    """
    low, high = low.copy(), high.copy()
    under, over = gap(low), gap(high)
    k, stayed = high.copy(), np.zeros(np.shape(high))
    for turn in range(_ROUNDS):
        k = np.where(over - under > 1e-300, (low * over - high * under) / np.maximum(over - under, 1e-300), high)
        if turn % 8 == 7:
            k = 0.5 * (low + high)
        value = gap(k)
        if np.all(np.abs(value) < within):
            break
        out = value > 0.0
        over, under = (
            np.where(out, value, np.where(stayed < 0, over / 2, over)),
            np.where(out, np.where(stayed > 0, under / 2, under), value),
        )
        stayed = np.where(out, 1, -1)
        low, high = np.where(out, low, k), np.where(out, k, high)
    return k
