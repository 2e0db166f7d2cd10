"""How wide an outline is where a line crosses it."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Num
from strutwright.models.once import once
from strutwright.models.outline.chain import Outline
from strutwright.models.outline.segments import Floats


@once
def _pieces(outline: Outline) -> tuple[Floats, Floats]:
    """The segments, arcs cut where they turn back along x: of each x and y of both ends (m, 4), and the middle, radius
    and side (+1 over it, -1 under it) of the circle, radius 0 of a line (m, 4)."""
    seg, ends, circles = outline.segments(), list[tuple[float, ...]](), list[tuple[float, ...]]()
    for k in range(len(seg.chord)):
        points = [(float(seg.start[k, 0]), float(seg.start[k, 1]))]
        radius, (cx, cy) = 0.0, (0.0, 0.0)
        if seg.sweep_rad[k] != 0.0:
            radius, (cx, cy) = float(seg.radius[k]), (float(seg.centre[k, 0]), float(seg.centre[k, 1]))
            first, sweep = float(np.arctan2(points[0][1] - cy, points[0][0] - cx)), float(seg.sweep_rad[k])
            low, high = sorted((first, first + sweep))
            turns = np.pi * np.arange(np.ceil(low / np.pi), np.floor(high / np.pi) + 1.0)
            inner = sorted((t for t in turns if low + 1e-12 < t < high - 1e-12), reverse=sweep < 0.0)
            points += [(cx + radius * float(np.cos(t)), cy) for t in inner]
        points.append((float(seg.end[k, 0]), float(seg.end[k, 1])))
        for one, other in itertools.pairwise(points):
            ends.append((*one, *other))
            circles.append((cx, cy, radius, 1.0 if one[1] + other[1] >= 2.0 * cy else -1.0))
    return np.array(ends), np.array(circles)


def width_at_mm(outline: Outline, x_mm: Num) -> Floats:
    """Return how wide a closed outline is at x, mm, what is left of it beside gaps; 0 where it does not reach.
    Broadcasts over x; exact, of the true arcs.

    >>> from strutwright.models.outline import rectangle
    >>> round(float(width_at_mm(rectangle(100.0, 40.0, 10.0), 46.0)), 6)  # 20 and twice sqrt(10^2 - 6^2)
    36.0
    """
    ends, circles = _pieces(outline)
    x = np.asarray(x_mm, dtype=float)
    total: Floats = np.zeros(x.shape)
    for (x0, y0, x1, y1), (cx, cy, radius, side) in zip(ends, circles, strict=True):
        # What begins or ends at x counts on one side alone, so that a corner is crossed once.
        crossed: NDArray[np.bool_] = (x0 < x) != (x1 < x)
        if not np.any(crossed):
            continue
        y = (
            cy + side * np.sqrt(np.maximum(radius * radius - (x - cx) ** 2, 0.0))
            if radius
            else y0 + (x - x0) / (x1 - x0) * (y1 - y0)
        )
        total = total + np.where(crossed, y if x1 < x0 else -y, 0.0)
    return np.abs(total)
