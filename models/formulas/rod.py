"""The axis of a round rod of known radius through points on its skin, of which some may lie on other things."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.formulas.line_and_plane import BISQUARE, NORMAL_MEDIAN

_ROUGH = 0.08
"""A skin that scatters more than this share of the radius is no rod's."""


@dataclass(frozen=True, slots=True)
class Rod:
    """An axis: a place on it, its direction (3,), from where to where along it points lie on the rod, how many, and the
    scatter of their distance from the skin."""

    middle: Floats
    direction: Floats
    from_mm: float
    to_mm: float
    count: int
    scatter_mm: float


def rod_axis(points: Floats, radius_mm: float, first: Floats, last: Floats) -> Rod:
    """Return the axis of a rod near the line from `first` to `last` (3,), by bisquare weights with the radius held.

    points: (n, 3) near it. Raises ValueError where too few lie on such a rod.

    >>> turn, along = np.meshgrid(np.radians(np.arange(180, 361, 20)), np.arange(0.0, 500.0, 50.0))
    >>> skin = np.stack([along, 20 * np.cos(turn) + 3, 20 * np.sin(turn) + 1], axis=-1).reshape(-1, 3)
    >>> rod = rod_axis(skin, 20.0, np.array([0.0, 0, 0]), np.array([400.0, 5, 0]))  # its lower half is seen
    >>> rod.middle[1:].round(6).tolist(), rod.direction.round(6).tolist()
    ([3.0, 1.0], [1.0, 0.0, 0.0])
    """
    direction = (last - first) / np.linalg.norm(last - first)
    middle = (first + last) / 2
    near = np.abs(_beside(points, middle, direction)[0] - radius_mm) < max(radius_mm, 10.0)
    points = points[near]
    if len(points) < 12:
        raise ValueError("too few points of the scan lie on the rod")
    weights = np.ones(len(points))
    for _ in range(60):
        away, ways, along = _beside(points, middle, direction)
        off = away - radius_mm
        scatter = max(float(np.median(np.abs(off))) / NORMAL_MEDIAN, 1e-6)
        weights = np.clip(1.0 - (off / (BISQUARE * scatter)) ** 2, 0.0, None) ** 2
        side = np.cross(direction, ways[int(np.argmax(weights))])
        axes = np.stack([side / np.linalg.norm(side), np.cross(direction, side / np.linalg.norm(side))])
        across = ways @ axes.T
        reach = max(float(np.abs(along).max()), 1.0)
        # How the distance from the axis changes when the axis is moved and turned.
        columns = -np.column_stack([across, across * (along / reach)[:, None]]) * np.sqrt(weights)[:, None]
        step = np.linalg.lstsq(columns, -off * np.sqrt(weights), rcond=None)[0]
        middle = middle + step[:2] @ axes
        direction = direction + step[2:] @ axes / reach
        direction /= np.linalg.norm(direction)
        if float(np.abs(step).max()) < 1e-9:
            break
    on = weights > 0.1
    # What lies anywhere fits a rod somehow, but badly.
    if on.sum() < max(12, 0.2 * len(points)) or scatter > 0.5 + _ROUGH * radius_mm:
        raise ValueError("too few points of the scan lie on a rod of that radius")
    away, _, along = _beside(points, middle, direction)
    rest = float(((away - radius_mm)[on] ** 2).sum())
    span = along[on]
    return Rod(middle, direction, float(span.min()), float(span.max()), int(on.sum()), math.sqrt(rest / (on.sum() - 4)))


def _beside(points: Floats, middle: Floats, direction: Floats) -> tuple[Floats, Floats, Floats]:
    """How far points lie from an axis, in which direction from it, and where along it."""
    there = points - middle
    along = there @ direction
    off = there - np.outer(along, direction)
    away = np.linalg.norm(off, axis=1)
    return away, off / np.maximum(away, 1e-12)[:, None], along
