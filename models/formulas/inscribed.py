"""The largest circle that a section holds: how thick metal is where walls meet. Pure numpy."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from strutwright.models.arrays import Floats

_GRID = 25
_ROUNDS = 9


class Circle(NamedTuple):
    """A circle in a section, mm."""

    centre: tuple[float, float]
    radius_mm: float


def largest_circle(loops: Sequence[Floats], start: Floats, end: Floats, aside_mm: float) -> Circle:
    """Return the largest circle in the metal of a section whose centre lies near a straight line.

    loops: closed polygons (n, 2), mm; even-odd, so that holes are loops too. start, end: (2,) of the line; aside_mm:
    how far the centre may lie beside it. Raises ValueError when there is no metal. It is sought on a grid that is
    drawn together round the best place, within a hundredth of a millimetre or so.

    >>> bar = np.array([(0.0, 0.0), (100.0, 0.0), (100.0, 20.0), (0.0, 20.0)])
    >>> round(largest_circle([bar], np.array([30.0, 2.0]), np.array([60.0, 18.0]), 5.0).radius_mm, 3)
    10.0
    """
    p = np.vstack(list(loops))
    q = np.vstack([np.roll(loop, -1, axis=0) for loop in loops])
    start, end = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    long = float(np.linalg.norm(end - start))
    along = (end - start) / long if long > 0 else np.array([1.0, 0.0])
    across = np.array([-along[1], along[0]])
    low, high = np.array([0.0, -aside_mm]), np.array([long, aside_mm])
    near, far = low.copy(), high.copy()
    best, at = -np.inf, start
    for _ in range(_ROUNDS):
        s, w = (np.linspace(near[k], far[k], _GRID) for k in (0, 1))
        places = np.stack(np.meshgrid(s, w, indexing="ij"), axis=-1).reshape(-1, 2)
        points = start + places[:, :1] * along + places[:, 1:] * across
        deep = _depths(p, q, points)
        k = int(np.argmax(deep))
        if float(deep[k]) > best:
            best, at = float(deep[k]), points[k]
        reach = 2.0 * (far - near) / (_GRID - 1)
        near, far = np.maximum(places[k] - reach, low), np.minimum(places[k] + reach, high)
    if not best > 0.0:
        raise ValueError("no metal near the line")
    return Circle((float(at[0]), float(at[1])), best)


def _depths(p: Floats, q: Floats, points: Floats) -> Floats:
    """Distances (n,) of points from the sides p to q, positive in the metal, negative outside."""
    step = q - p
    length = np.maximum((step * step).sum(axis=1), 1e-18)
    off = points[:, None, :] - p
    share = np.clip((off * step).sum(axis=2) / length, 0.0, 1.0)
    away = np.linalg.norm(off - share[..., None] * step, axis=2).min(axis=1)
    y, x = points[:, 1:], points[:, :1]
    crosses = (p[:, 1] > y) != (q[:, 1] > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = p[:, 0] + (y - p[:, 1]) / step[:, 1] * step[:, 0]
    inside = (crosses & (at > x)).sum(axis=1) % 2 == 1
    deep: Floats = np.where(inside, away, -away)
    return deep
