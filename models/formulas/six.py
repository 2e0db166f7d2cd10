"""Six equations of forces and moments, for all candidates at once: plain array arithmetic, noughts left out."""

from __future__ import annotations

from typing import TypeAlias

from strutwright.models.arrays import Num, Six, add, mul

Matrix: TypeAlias = list[list[Num]]
"""6 x 6, symmetric."""


def times(made: Matrix, load: Six) -> Six:
    """Return a matrix times a column.

    >>> times([[2.0 if i == j else 0.0 for j in range(6)] for i in range(6)], (1.0, 2.0, 3.0, 0.0, 0.0, 0.0))
    (2.0, 4.0, 6.0, 0.0, 0.0, 0.0)
    """
    a, b, c, d, e, f = (add(*(mul(k, n) for k, n in zip(row, load, strict=True))) for row in made)
    return a, b, c, d, e, f


def plus(one: Six, two: Six) -> Six:
    """Return the sum of two columns.

    >>> plus((1.0, 2.0, 3.0, 0.0, 0.0, 0.0), (1.0, 1.0, 1.0, 0.0, 0.0, 4.0))
    (2.0, 3.0, 4.0, 0.0, 0.0, 4.0)
    """
    a, b, c, d, e, f = (add(p, q) for p, q in zip(one, two, strict=True))
    return a, b, c, d, e, f


def negative(load: Six) -> Six:
    """Return a column turned round.

    >>> negative((1.0, 2.0, 3.0, 0.0, 0.0, 0.0))
    (-1.0, -2.0, -3.0, 0.0, 0.0, 0.0)
    """
    a, b, c, d, e, f = (mul(-1.0, v) for v in load)
    return a, b, c, d, e, f


def solve(lower: Matrix, loads: list[Six]) -> list[Six]:
    """Solve a positive definite system for several right-hand sides. L D L'.

    >>> coupled = [[2.0 if i == j else 1.0 if i + j == 1 else 0.0 for j in range(6)] for i in range(6)]
    >>> [round(x, 6) for x in solve(coupled, [(3.0, 0.0, 4.0, 0.0, 0.0, 0.0)])[0]]  # 2 x 2 - 1 and 2 x -1 + 2
    [2.0, -1.0, 2.0, 0.0, 0.0, 0.0]
    """
    n = len(lower)
    low: Matrix = [[0.0] * n for _ in range(n)]
    diagonal: list[Num] = [0.0] * n
    inverse: list[Num] = [0.0] * n
    for j in range(n):
        scaled = [mul(low[j][k], diagonal[k]) for k in range(j)]
        diagonal[j] = add(lower[j][j], *(-mul(low[j][k], scaled[k]) for k in range(j)))
        inverse[j] = 1.0 / diagonal[j]
        for i in range(j + 1, n):
            low[i][j] = mul(add(lower[i][j], *(-mul(low[i][k], scaled[k]) for k in range(j))), inverse[j])
    out: list[Six] = []
    for load in loads:
        x: list[Num] = list(load)
        for i in range(n):
            x[i] = add(x[i], *(-mul(low[i][k], x[k]) for k in range(i)))
        x = [mul(v, d) for v, d in zip(x, inverse, strict=True)]
        for i in reversed(range(n)):
            x[i] = add(x[i], *(-mul(low[k][i], x[k]) for k in range(i + 1, n)))
        out.append((x[0], x[1], x[2], x[3], x[4], x[5]))
    return out
