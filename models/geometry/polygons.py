"""Distances of points and closed polygons in a plane. Numpy only, mm."""

from __future__ import annotations

import numpy as np

from strutwright.models.arrays import Floats


def distance_to_polygon(points: Floats, polygon: Floats) -> Floats:
    """Return distances (k,) of points (k, 2) from a closed polygon (n, 2): positive outside, negative inside.

    >>> square = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    >>> distance_to_polygon(np.array([(5.0, 5.0), (13.0, 14.0)]), square).tolist()
    [-5.0, 5.0]
    """
    start, end = polygon, np.roll(polygon, -1, axis=0)
    d = end - start
    rel = points[:, None, :] - start
    t = np.clip(np.sum(rel * d, axis=2) / np.maximum(np.sum(d * d, axis=1), 1e-18), 0.0, 1.0)
    off = np.linalg.norm(rel - t[..., None] * d, axis=2).min(axis=1)
    y = points[:, None, 1]
    crosses = (start[:, 1] > y) != (end[:, 1] > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = start[:, 0] + (y - start[:, 1]) / d[:, 1] * d[:, 0]
    inside = (np.sum(crosses & (points[:, None, 0] < at), axis=1) % 2).astype(bool)
    return np.asarray(np.where(inside, -off, off))


def apart(one: Floats, other: Floats) -> float:
    """Return the room (mm) between two closed polygons (n, 2); negative when a corner of one lies in the other.

    >>> square = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    >>> apart(square, square + (13.0, 0.0))
    3.0
    """
    return float(min(distance_to_polygon(one, other).min(), distance_to_polygon(other, one).min()))
