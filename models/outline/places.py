"""Places on an outline, exact on its lines and arcs. Pure; mm."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from strutwright.models.outline.chain import Outline
from strutwright.models.outline.segments import Floats, Segments


def nearest_on(outline: Outline, at: ArrayLike) -> Floats:
    """Return the point (2,) of a closed outline that is the nearest to a place (2,), mm.

    >>> disc = Outline(np.array([[-5, 0, 1], [5, 0, 1]]))
    >>> nearest_on(disc, (0.0, 3.0)).round(9).tolist()
    [0.0, 5.0]
    """
    seg, here = outline.segments(), np.asarray(at, dtype=float)
    found = list(seg.start)
    for k in range(len(seg.chord)):
        if math.isinf(float(seg.radius[k])):
            way = seg.end[k] - seg.start[k]
            share = float((here - seg.start[k]) @ way) / max(float(way @ way), 1e-18)
            found.append(seg.start[k] + min(max(share, 0.0), 1.0) * way)
        else:
            found += _on_arc(seg, k, here - seg.centre[k])
    return min(found, key=lambda p: math.dist(p, here))


def outermost(outline: Outline, way: Floats) -> Floats:
    """Return the point (2,) of an outline that lies farthest along a direction (2,), mm.

    >>> disc = Outline(np.array([[-5, 0, 1], [5, 0, 1]]))
    >>> outermost(disc, np.array([0.6, 0.8])).round(9).tolist()
    [3.0, 4.0]
    """
    seg = outline.segments()
    arcs = [p for k in np.flatnonzero(~np.isinf(seg.radius)) for p in _on_arc(seg, int(k), way)]
    return max([*seg.start, *arcs], key=lambda p: round(float(p @ way), 9))


def _on_arc(seg: Segments, k: int, way: Floats) -> list[Floats]:
    """The point of the k-th piece, an arc, in a direction from its centre; none where the arc does not reach there."""
    length, sweep, start = float(np.hypot(*way)), float(seg.sweep_rad[k]), seg.start[k] - seg.centre[k]
    turned = (math.atan2(way[1], way[0]) - math.atan2(start[1], start[0])) % math.tau
    reached = turned <= sweep if sweep > 0 else math.tau - turned <= -sweep
    return [seg.centre[k] + float(seg.radius[k]) / length * way] if length > 1e-12 and reached else []
