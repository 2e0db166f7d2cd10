"""Arcs in place of a smooth curve."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from strutwright.models.outline.chain import Outline
from strutwright.models.outline.segments import FIT_TOL_MM, Floats, OutlineError, distances, point_array, segments_of
from strutwright.params.words import fine_mm, say


def _biarc(p: Floats, t: Floats, q: Floats, s: Floats) -> Floats:
    """(3, 3) vertices of the two arcs from p, direction t, to q, direction s, with equal end lengths."""
    v = q - p
    both = float(np.dot(v, t + s))
    vv = float(np.dot(v, v))
    d = vv / (both + math.sqrt(both * both + 2.0 * (1.0 - float(np.dot(t, s))) * vv))
    m = 0.5 * (p + q + d * (t - s))
    first, second = m - p, q - m

    def bulge(direction: Floats, chord: Floats, sense: float) -> float:
        cross = float(direction[0] * chord[1] - direction[1] * chord[0])
        return sense * cross / (math.hypot(*chord) + float(np.dot(direction, chord)))

    return np.array(((*p, bulge(t, first, 1.0)), (*m, bulge(s, second, -1.0)), (*q, 0.0)))


def fit_arcs(points: ArrayLike, tangents: ArrayLike, tolerance_mm: float = FIT_TOL_MM) -> Outline:
    """An open chain of arcs, tangent to each other, within tolerance_mm of a smooth curve.

    points: (n, 2) mm, in order along the curve and dense against its curvature (a few hundred); tangents:
    (n, 2) directions of travel there, any length. Pairs of arcs (biarcs), each pair spanning as many points
    as the tolerance lets it; end points and end directions are kept exactly. Where the curve is straight the
    chain has lines. Raises OutlineError when even neighbouring points cannot be joined within the tolerance,
    TypeError for points without a tangent each.

    >>> t = np.linspace(0.0, np.pi / 2, 200)
    >>> points, tangents = 50 * np.column_stack((np.cos(t), np.sin(t))), np.column_stack((-np.sin(t), np.cos(t)))
    >>> round(fit_arcs(points, tangents).perimeter_mm(), 3)  # a quarter turn of 50: pi x 25
    78.54
    """
    xy, direction = point_array(points), point_array(tangents)
    if len(xy) < 2 or len(xy) != len(direction):
        raise TypeError("fitting arcs needs at least two points and one tangent for each")
    unit = direction / np.hypot(direction[:, 0], direction[:, 1])[:, None]
    if not tolerance_mm > 0.0:
        raise OutlineError(say("the fitting tolerance must be above 0; {given} was given", given=fine_mm(tolerance_mm)))

    def fits(i: int, j: int) -> Floats | None:
        if float(np.dot(unit[i], unit[j])) < -0.9 or float(np.dot(xy[j] - xy[i], unit[i] + unit[j])) <= 0.0:
            return None
        arcs = _biarc(xy[i], unit[i], xy[j], unit[j])
        seg = segments_of(arcs[:-1, :2], arcs[1:, :2], arcs[:-1, 2])
        if j > i + 1 and float(distances(seg, xy[i + 1 : j]).min(axis=1).max()) > 0.98 * tolerance_mm:
            return None  # the 2 % covers what lies between the points
        return arcs

    rows: list[Floats] = []
    i, last = 0, len(xy) - 1
    reach = 16
    while i < last:
        best = fits(i, i + 1)
        if best is None:
            raise OutlineError(
                f"the curve turns too sharply near ({xy[i, 0]:.4g}, {xy[i, 1]:.4g}) "
                "to be fitted with arcs; give denser points"
            )
        low, high = i + 1, min(i + reach, last)
        while (trial := fits(i, high)) is not None:
            low, best = high, trial
            if high == last:
                break
            high = min(i + 2 * (high - i), last)
        while high - low > 1:
            middle = (low + high) // 2
            trial = fits(i, middle)
            if trial is None:
                high = middle
            else:
                low, best = middle, trial
        reach = max(low - i, 2)
        rows.append(_without_flats(best)[:-1])
        i = low
    rows.append(np.array(((xy[-1, 0], xy[-1, 1], 0.0),)))
    return Outline(np.vstack(rows), closed=False)


def _without_flats(arcs: Floats) -> Floats:
    """A biarc along a straight stretch becomes one line."""
    if np.all(np.abs(arcs[:-1, 2]) < 1e-9):
        return np.array((arcs[0], arcs[-1])) * (1.0, 1.0, 0.0)
    return arcs
