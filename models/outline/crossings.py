"""Where lines and arcs cross or touch, and whether two that follow each other do so again."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from strutwright.models.outline.segments import POINT_TOL_MM, SNAP_MM, Floats, Segments, along, distances


def near_pairs(seg: Segments) -> list[tuple[int, int]]:
    """Index pairs i < j whose boxes touch; the box of an arc is taken as its chord widened by its height.

    >>> from strutwright.models.outline import rectangle
    >>> near_pairs(rectangle(80.0, 40.0).segments())  # each side and the two beside it
    [(0, 1), (0, 3), (1, 2), (2, 3)]
    """
    height = 0.5 * seg.chord * np.abs(np.tan(0.25 * seg.sweep_rad))
    height = np.where(np.abs(seg.sweep_rad) > np.pi, 2.0 * seg.radius, height)
    grow = (height + SNAP_MM)[:, None]
    low, high = np.minimum(seg.start, seg.end) - grow, np.maximum(seg.start, seg.end) + grow
    meet = np.all((low[:, None] <= high[None]) & (low[None] <= high[:, None]), axis=2)
    i, j = np.nonzero(np.triu(meet, 1))
    return list(zip(i.tolist(), j.tolist(), strict=True))


def _on_segment(seg: Segments, k: int, points: Floats) -> NDArray[np.bool_]:
    one = Segments(*(field[k : k + 1] for field in seg))
    return np.asarray(distances(one, points)[:, 0] <= POINT_TOL_MM)


def crossings(seg: Segments, i: int, j: int) -> Floats:
    """(k, 2) points common to two segments, a shared end twice; overlapping stretches give their ends.

    >>> from strutwright.models.outline import Outline
    >>> bow = Outline(np.array([[0, 0, 0], [10, 10, 0], [10, 0, 0], [0, 10, 0]]))
    >>> crossings(bow.segments(), 0, 2).tolist()  # the two diagonals of a square
    [[5.0, 5.0]]
    """
    if seg.sweep_rad[i] != 0.0 and seg.sweep_rad[j] == 0.0:
        i, j = j, i
    found: list[Floats] = []
    if seg.sweep_rad[i] == 0.0:
        p, d = seg.start[i], (seg.end[i] - seg.start[i]) / seg.chord[i]
        if seg.sweep_rad[j] == 0.0:
            e = (seg.end[j] - seg.start[j]) / seg.chord[j]
            det = d[0] * e[1] - d[1] * e[0]
            if abs(det) > 1e-12:
                w = seg.start[j] - p
                found = [p + d * ((w[0] * e[1] - w[1] * e[0]) / det)]
        else:
            foot = p + d * float(np.dot(seg.centre[j] - p, d))
            off = math.dist(foot, seg.centre[j])
            h2 = (seg.radius[j] - off) * (seg.radius[j] + off)
            if seg.radius[j] - off > -POINT_TOL_MM:
                h = math.sqrt(max(h2, 0.0))
                found = [foot - h * d, foot + h * d]
    else:
        r, q = float(seg.radius[i]), float(seg.radius[j])
        axis = seg.centre[j] - seg.centre[i]
        gap = math.hypot(*axis)
        if gap > POINT_TOL_MM and abs(r - q) - POINT_TOL_MM < gap < r + q + POINT_TOL_MM:
            axis = axis / gap
            a = 0.5 * ((r - q) * (r + q) / gap + gap)
            h = math.sqrt(max((r - a) * (r + a), 0.0))
            foot = seg.centre[i] + a * axis
            found = [foot + h * np.array((-axis[1], axis[0])), foot - h * np.array((-axis[1], axis[0]))]
    # ends that lie on the other segment catch overlaps and touches that the carriers miss
    found += [seg.start[i], seg.end[i], seg.start[j], seg.end[j]]
    points = np.array(found)
    return np.asarray(points[_on_segment(seg, i, points) & _on_segment(seg, j, points)])


def neighbours_cross(seg: Segments, i: int, j: int) -> bool:
    """Whether segment j, which starts where i ends, meets i anywhere else.

    Two carriers that share a point share one other at most, its mirror image in their line of symmetry. That
    stays exact where they are tangent, which a crossing formula does not.

    >>> from strutwright.models.outline import Outline
    >>> back, corner = (Outline(np.array([[0, 0, 0], [10, 0, 0], [5, y, 0]]), closed=False) for y in (0, 5))
    >>> neighbours_cross(back.segments(), 0, 1), neighbours_cross(corner.segments(), 0, 1)
    (True, False)
    """
    end = np.array((i, j))
    tangents = along(seg, end, np.array((1.0, -1.0)))[1]
    if float(np.dot(tangents[0], tangents[1])) < -1.0 + 1e-12:
        return True  # folds straight back
    p = seg.end[i]
    curved = seg.sweep_rad[end] != 0.0
    if not curved.any():
        return False
    if curved.all():
        axis = seg.centre[j] - seg.centre[i]
        anchor = seg.centre[i]
        if math.hypot(*axis) <= POINT_TOL_MM:
            return abs(float(seg.sweep_rad[i] + seg.sweep_rad[j])) >= 2.0 * math.pi
    else:
        line, arc = (j, i) if curved[0] else (i, j)
        d = seg.end[line] - seg.start[line]
        axis, anchor = np.array((-d[1], d[0])), seg.centre[arc]
    axis = axis / math.hypot(*axis)
    other = anchor + 2.0 * axis * float(np.dot(p - anchor, axis)) - (p - anchor)
    if math.dist(other, p) < SNAP_MM:
        return False
    far = other[None, :]
    return bool(_on_segment(seg, i, far)[0] and _on_segment(seg, j, far)[0])
