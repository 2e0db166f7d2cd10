"""Flatness by the minimum zone (ISO 1101): the least distance of two parallel planes that hold all points between them.

Exact. The planes touch three points and one, or two and two; so the least zone of a few points is found by trying all
such planes. Points are added to the few, the worst ones first, until none lies outside.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
_TILTS = 4


def min_zone(points: Points) -> tuple[float, Points]:
    """Return the minimum zone of points (n, 3) and the unit normal of its planes, z upward.

    The points lie along a surface that is no steeper than 45 degrees against z. ValueError for fewer than three, or
    when all lie on one line.

    >>> import numpy as np
    >>> grid = np.array([[u, v, 0.0] for u in (0, 100, 200) for v in (0, 100, 200)])
    >>> grid[0, 2] = 0.09  # one corner high: three quarters of it
    >>> round(min_zone(grid)[0], 6)
    0.0675
    """
    at = np.asarray(points, dtype=float)
    flat = at[:, :2] - at[:, :2].mean(axis=0)
    if len(at) < 3 or np.linalg.svd(flat, compute_uv=False)[1] < 1e-9 * max(float(np.abs(flat).max()), 1e-300):
        raise ValueError("the minimum zone needs three points that are not on one line")
    turned, frame, zone = at - at.mean(axis=0), np.eye(3), 0.0
    for _ in range(_TILTS):  # heights over the plane found become distances square to it
        slope = _least_slope(turned)
        normal = np.array([-slope[0], -slope[1], 1.0])
        normal /= np.linalg.norm(normal)
        axes = np.linalg.qr(np.column_stack([normal, [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]))[0]
        turn = np.array([axes[:, 1], axes[:, 2], normal])
        turned, frame = turned @ turn.T, turn @ frame
        zone = float(np.ptp(turned[:, 2]))
        if np.hypot(*slope) < 1e-9:
            break
    return zone, frame[2] * np.sign(frame[2, 2])


def _least_slope(at: Points) -> Points:
    """Slopes of the two planes of least distance along z."""
    size = float(np.abs(at[:, :2]).max())
    high = float(np.ptp(at[:, 2]))
    if high == 0.0:
        return np.zeros(2)
    p = np.column_stack([at[:, :2] / size, at[:, 2] / high])
    turns = np.arange(16) * np.pi / 8 + 0.1
    among = {int(k) for k in np.argmin(p[:, :2] @ np.array([np.cos(turns), np.sin(turns)]), axis=0)}
    slope = _tried(p, p[sorted(among)])
    for _ in range(len(p) + 1):
        over = p[:, 2] - p[:, :2] @ slope
        if float(np.ptp(over)) <= float(np.ptp(over[list(among)])) + 1e-13:
            break
        among |= {int(over.argmax()), int(over.argmin())}
        slope = _tried(p, p[sorted(among)])
    return slope * high / size


def _tried(p: Points, few: Points) -> Points:
    """The slopes of the least zone of a few points, by trying every plane that three or two and two of them give."""
    three = np.array(list(combinations(range(len(few)), 3))).reshape(-1, 3)
    two = np.array(list(combinations(range(len(few)), 2))).reshape(-1, 2)
    edges = few[two[:, 1]] - few[two[:, 0]]
    i, j = np.triu_indices(len(edges), 1)
    first = np.concatenate([few[three[:, 1]] - few[three[:, 0]], edges[i]])
    second = np.concatenate([few[three[:, 2]] - few[three[:, 0]], edges[j]])
    area = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    good = np.abs(area) > 1e-12
    first, second, area = first[good], second[good], area[good]
    if not len(area):
        level: Points = np.array(
            np.linalg.lstsq(np.column_stack([p[:, :2], np.ones(len(p))]), p[:, 2], rcond=None)[0][:2], dtype=np.float64
        )
        return level
    slopes = np.column_stack(
        [
            (first[:, 2] * second[:, 1] - second[:, 2] * first[:, 1]) / area,
            (first[:, 0] * second[:, 2] - second[:, 0] * first[:, 2]) / area,
        ]
    )
    over = few[:, 2] - slopes @ few[:, :2].T
    best: Points = slopes[np.ptp(over, axis=1).argmin()]
    return best
