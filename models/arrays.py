"""Numbers that may stand for one strut or for a batch of candidates, and arithmetic on vectors of them.

A part that is a plain 0.0 costs nothing: most loads have few parts, and a study has some hundred thousand candidates.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from typing import TypeAlias, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
One = TypeVar("One", float, Floats)
"""Of functions that give a number for a number, and an array for an array."""
Truth: TypeAlias = bool | NDArray[np.bool_]
"""Whether something is so, of one strut or of each of a batch."""
Num: TypeAlias = float | Floats
"""A number, or an array of numbers over candidates; a function of several returns an array when one of them is one."""
Triple: TypeAlias = tuple[Num, Num, Num]
Six: TypeAlias = tuple[Num, Num, Num, Num, Num, Num]
"""A force and a moment, or a movement and a turn, each of three parts."""


def as_field(size: Num) -> float:
    """Return a size as the fields of `models.spec` are typed: an array over candidates itself, never a copy.

    A batch is a `Strut` with arrays in it, and only functions of which the types say `Num` may be asked about one.

    >>> float(as_field(np.array([7.0, 8.0]))[1])
    8.0
    """
    return cast(float, size)


def mul(a: Num, b: Num) -> Num:
    """Return a b; 0.0 at once when either is a plain zero, the other when one is a plain 1.0.

    >>> mul(0.0, float("nan"))
    0.0
    """
    if type(a) is not np.ndarray:
        if a == 0.0:
            return 0.0
        if a == 1.0:
            return b
    if type(b) is not np.ndarray and b == 0.0:
        return 0.0
    return a * b


def add(*terms: Num) -> Num:
    """Return the sum; plain zeros are left out.

    >>> add(0.0, 2.0, 3.0)
    5.0
    """
    kept = [t for t in terms if type(t) is np.ndarray or t != 0.0]
    if not kept:
        return 0.0
    if len(kept) == 1:
        return kept[0]
    total = kept[0] + kept[1]
    for t in kept[2:]:
        # What has just been made is added to in its place, so that it stays in the cache.
        if type(total) is np.ndarray and (type(t) is not np.ndarray or t.shape in ((), total.shape)):
            total += t
        else:
            total = total + t
    return total


def dot(a: Triple, b: Triple) -> Num:
    """Return the scalar product of two vectors of arrays.

    >>> dot((1.0, 2.0, 3.0), (4.0, 5.0, 6.0))
    32.0
    """
    return add(mul(a[0], b[0]), mul(a[1], b[1]), mul(a[2], b[2]))


def cross(a: Triple, b: Triple) -> Triple:
    """Return the vector product of two vectors of arrays.

    >>> cross((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))[2]
    1.0
    """
    return (
        add(mul(a[1], b[2]), -mul(a[2], b[1])),
        add(mul(a[2], b[0]), -mul(a[0], b[2])),
        add(mul(a[0], b[1]), -mul(a[1], b[0])),
    )


def times(k: Num, a: Triple) -> Triple:
    """Return a vector of arrays times a number.

    >>> times(2.0, (1.0, 2.0, 3.0))
    (2.0, 4.0, 6.0)
    """
    return mul(k, a[0]), mul(k, a[1]), mul(k, a[2])


def plus(a: Triple, b: Triple) -> Triple:
    """Return the sum of two vectors of arrays.

    >>> plus((1.0, 2.0, 3.0), (4.0, 5.0, 6.0))
    (5.0, 7.0, 9.0)
    """
    return add(a[0], b[0]), add(a[1], b[1]), add(a[2], b[2])


def length(*parts: Num) -> Num:
    """Return the root of the sum of squares.

    >>> float(length(3.0, 4.0))
    5.0
    """
    root: Num = np.sqrt(add(*(mul(p, p) for p in parts)))
    return root


def greatest(values: Sequence[Num]) -> Num:
    """Return, candidate by candidate, the greatest of the values; nan where one of them is.

    >>> float(greatest([1.0, 3.0, 2.0]))
    3.0
    """
    return functools.reduce(np.maximum, values)


def least(values: Sequence[Num]) -> Num:
    """Return, candidate by candidate, the least of the values; nan where one of them is.

    >>> float(least([2.0, 1.0, 3.0]))
    1.0
    """
    return functools.reduce(np.minimum, values)
