"""The curve at a distance inside or outside a closed chain."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np

from strutwright.models.outline.crossings import crossings, near_pairs
from strutwright.models.outline.segments import (
    POINT_TOL_MM,
    SNAP_MM,
    Floats,
    OutlineError,
    Segments,
    along,
    segments_of,
)
from strutwright.params.words import fine_mm, say

_Part = tuple[int, float, float]
"""Which segment, and from where to where on it, -1..1."""


def parallel(seg: Segments, distance: float, depth_mm: Callable[[Floats], Floats]) -> Floats:
    """Return vertices (n, 3) of the curve at a distance (mm; negative: outside) from a counter-clockwise closed chain.

    depth_mm: how deep points (k, 2) lie in the chain. Each segment is moved, the corners that open are rounded, all are
    cut where they cross, and what is far enough is kept. Raises OutlineError when nothing is left, or several parts.

    >>> from strutwright.models.outline import circle
    >>> disc = circle(50.0)
    >>> float(parallel(disc.segments(), 5.0, disc.distance_to_boundary)[:, 0].max().round(6))  # a radius of 25 less 5
    20.0
    """
    raw = _moved(seg, distance)
    parts = _cut(raw) if len(raw.chord) else []
    parts = _far_enough(raw, parts, distance, depth_mm) if parts else []
    if not parts:
        raise OutlineError(
            say(
                "nothing is left of the outline at {distance} inside its edge; use a smaller distance",
                distance=fine_mm(distance),
            )
        )
    merged = _merged(_in_order(raw, parts, distance))
    which, starts, stops = (np.array(column) for column in zip(*merged, strict=True))
    bulge = np.tan(0.125 * raw.sweep_rad[which] * (stops - starts))
    return np.column_stack((along(raw, which, starts)[0], bulge))


def _moved(seg: Segments, distance: float) -> Segments:
    """Each segment moved, and an arc about each corner that opens."""
    m = len(seg.chord)
    everyone = np.arange(m)
    _, t0 = along(seg, everyone, np.full(m, -1.0))
    _, t1 = along(seg, everyone, np.full(m, 1.0))
    left0 = np.column_stack((-t0[:, 1], t0[:, 0]))
    left1 = np.column_stack((-t1[:, 1], t1[:, 0]))
    rows: list[tuple[float, float, float, float, float]] = []  # x0, y0, x1, y1, bulge
    for k in range(m):
        a, b = seg.start[k] + distance * left0[k], seg.end[k] + distance * left1[k]
        sense = math.copysign(1.0, seg.sweep_rad[k])
        if seg.sweep_rad[k] == 0.0 or seg.radius[k] - sense * distance > POINT_TOL_MM:
            rows.append((a[0], a[1], b[0], b[1], seg.bulge[k]))
        n = (k + 1) % m
        turn = math.atan2(t1[k, 0] * t0[n, 1] - t1[k, 1] * t0[n, 0], float(np.dot(t1[k], t0[n])))
        c = seg.start[n] + distance * left0[n]
        if turn * distance < 0.0 and math.dist(b, c) > SNAP_MM:
            rows.append((b[0], b[1], c[0], c[1], math.tan(0.25 * turn)))
    table = np.array(rows).reshape(-1, 5)
    raw = segments_of(table[:, 0:2], table[:, 2:4], table[:, 4])
    keep = raw.chord > POINT_TOL_MM
    return Segments(*(field[keep] for field in raw))


def _cut(raw: Segments) -> list[_Part]:
    """All segments cut where they cross."""
    cuts: list[list[float]] = [[-1.0, 1.0] for _ in raw.chord]
    for i, j in near_pairs(raw):
        for p in crossings(raw, i, j):
            cuts[i].append(_parameter(raw, i, p))
            cuts[j].append(_parameter(raw, j, p))
    parts: list[_Part] = []
    for k, params in enumerate(cuts):
        step = SNAP_MM / (0.5 * float(raw.length[k]))
        marks = [-1.0]
        for u in sorted(params):
            if u - marks[-1] > step:
                marks.append(u)
        if 1.0 - marks[-1] < step and len(marks) > 1:
            marks[-1] = 1.0
        parts += [(k, u, v) for u, v in pairwise(marks)]
    return parts


def _far_enough(
    raw: Segments, parts: list[_Part], distance: float, depth_mm: Callable[[Floats], Floats]
) -> list[_Part]:
    """The parts that lie nowhere nearer to the chain than the distance."""
    index, first, last = (np.array(column) for column in zip(*parts, strict=True))
    probes = [along(raw, index, first + f * (last - first))[0] for f in (0.31, 0.5, 0.77)]
    signed = np.array([depth_mm(p) for p in probes])
    good = np.flatnonzero(np.all(np.abs(signed - distance) <= 2.0 * SNAP_MM, axis=0))
    return [parts[int(g)] for g in good]


def _in_order(raw: Segments, parts: list[_Part], distance: float) -> list[_Part]:
    """The parts end to end. Raises OutlineError when they make more than one ring."""
    index, first, last = (np.array(column) for column in zip(*parts, strict=True))
    begin, finish = along(raw, index, first)[0], along(raw, index, last)[0]
    chain, spare = [0], list(range(1, len(parts)))
    while spare:
        gaps = np.hypot(*(begin[spare] - finish[chain[-1]]).T)
        best = int(np.argmin(gaps))
        if gaps[best] > 4.0 * SNAP_MM:
            break
        chain.append(spare.pop(best))
    if spare or math.dist(finish[chain[-1]], begin[chain[0]]) > 4.0 * SNAP_MM:
        raise OutlineError(
            say(
                "the outline at {distance} inside its edge falls into several parts; use a smaller distance",
                distance=fine_mm(distance),
            )
        )
    return [parts[c] for c in chain]


def _merged(parts: list[_Part]) -> list[_Part]:
    """Parts of one segment that follow each other as one, over the ring's start too."""
    merged: list[_Part] = []
    for k, u, v in parts:
        if merged and merged[-1][0] == k and abs(merged[-1][2] - u) < 1e-12:
            merged[-1] = (k, merged[-1][1], v)
        else:
            merged.append((k, u, v))
    if len(merged) > 2 and merged[0][0] == merged[-1][0] and abs(merged[-1][2] - merged[0][1]) < 1e-12:
        merged[0] = (merged[0][0], merged.pop()[1], merged[0][2])
    return merged


def _parameter(seg: Segments, k: int, point: Floats) -> float:
    """u in -1..1 of a point on segment k."""
    if seg.sweep_rad[k] == 0.0:
        d = seg.end[k] - seg.start[k]
        return 2.0 * float(np.dot(point - seg.start[k], d)) / float(seg.chord[k]) ** 2 - 1.0
    mid = along(seg, np.array((k,)), np.zeros(1))[0][0] - seg.centre[k]
    rel = point - seg.centre[k]
    angle = math.atan2(mid[0] * rel[1] - mid[1] * rel[0], float(np.dot(mid, rel)))
    return min(max(2.0 * angle / float(seg.sweep_rad[k]), -1.0), 1.0)
