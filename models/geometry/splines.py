"""Cubic splines through points, for the skins of solids. Numpy only.

The rows of a skin share one set of parameters, so that the edge of one skin is, pole for pole, the edge of the next.
"""

from __future__ import annotations

import functools

import numpy as np

from strutwright.models.arrays import Floats

DEGREE = 3


def _knots_for(at: Floats) -> Floats:
    """Return the knots (m + 4,) for a spline through m parameters (rising, at least 4), ends fourfold.

    Each inner knot is the mean of three parameters (The NURBS Book, 2nd ed., eq. 9.8; from memory).
    """
    inner = np.convolve(at[1:-1], np.ones(DEGREE) / DEGREE, mode="valid")
    return np.concatenate((np.full(DEGREE + 1, at[0]), inner, np.full(DEGREE + 1, at[-1])))


def basis(knots: Floats, at: Floats) -> Floats:
    """Return the values (n, m) of the m basis functions at n parameters (Cox and de Boor's recursion).

    >>> basis(np.repeat([0.0, 1.0], 4), np.array([0.5])).tolist()  # without inner knots: Bernstein's cubics at a half
    [[0.125, 0.375, 0.375, 0.125]]
    """
    count = len(knots) - DEGREE - 1
    at = np.asarray(at, dtype=float)
    span = np.clip(np.searchsorted(knots, at, side="right") - 1, DEGREE, count - 1)
    values = np.zeros((len(at), len(knots) - 1))
    values[np.arange(len(at)), span] = 1.0
    for degree in range(1, DEGREE + 1):
        n = len(knots) - 1 - degree
        left, right = knots[degree : degree + n] - knots[:n], knots[degree + 1 : degree + 1 + n] - knots[1 : 1 + n]
        up = np.divide(at[:, None] - knots[:n], left, out=np.zeros((len(at), n)), where=left > 0)
        down = np.divide(
            knots[degree + 1 : degree + 1 + n] - at[:, None], right, out=np.zeros((len(at), n)), where=right > 0
        )
        values = up * values[:, :n] + down * values[:, 1 : n + 1]
    return values


@functools.lru_cache(maxsize=8)
def fit(count: int) -> tuple[Floats, Floats, Floats]:
    """Return (knots, solve, middle) for `count` stations at even parameters from 0 to 1.

    solve (count, count) turns points at the stations into poles; middle (count - 1, count) turns them into the spline's
    points halfway between the stations.

    >>> fit(5)[0].tolist()  # the one inner knot: the mean of 0.25, 0.5 and 0.75
    [0.0, 0.0, 0.0, 0.0, 0.5, 1.0, 1.0, 1.0, 1.0]
    """
    at = np.linspace(0.0, 1.0, count)
    knots = _knots_for(at)
    solve: Floats = np.asarray(np.linalg.inv(basis(knots, at)), dtype=float)
    return knots, solve, basis(knots, 0.5 * (at[:-1] + at[1:])) @ solve
