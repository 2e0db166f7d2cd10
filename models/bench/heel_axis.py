"""The axis of a heel's bore from points in the bore, on its middle line and on the faces of the boss.

One axis is fitted to all of them (squares of the distances): points of the middle line lie on it, those of the wall one
radius off it, those of a face in a plane square to it. Uncertainty from the told scatter, else from the residuals with
Student's factor (GUM G.3).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats
from strutwright.models.bench.figure import Figure
from strutwright.models.formulas.line_and_plane import KNOWN, student_factor
from strutwright.params.bench.rudder import HeelPoint
from strutwright.params.words import Words, mm, say

_HALVINGS = 12
_STEPS = 40
_FACES = ("upper face", "lower face")
_SLIP = 5.0
"""Residuals of the others by which one is named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeelAxis:
    """The bore's axis, as `Stock` has the stock's. bore: its diameter, None without points on its wall. off: how far
    each point lies off the fit, mm."""

    behind: Figure
    port: Figure
    below_mm: float
    rake: Figure
    cant: Figure
    bore: Figure | None
    off: tuple[tuple[str, float], ...]
    doubts: tuple[Words, ...]


def heel_axis(points: Sequence[HeelPoint], scatter: float | None, below_mm: float) -> HeelAxis:
    """Return the axis of a heel's bore. below_mm: height at which its place is told, below the shaft line. Raises
    ValueError where the points do not tell it.

    >>> ends = [HeelPoint(on="middle", behind_barrel=300 - 0.1 * z, above_shaft=z - 340.0) for z in (0.0, 60.0)]
    >>> found = heel_axis(ends, 0.1, 340.0)
    >>> round(found.behind.value, 3), round(found.rake.value, 3), found.bore  # leans forward: atan 0.1
    (300.0, -5.711, None)
    """
    at = np.array([(-p.behind_barrel, p.port, p.above_shaft) for p in points], dtype=float).reshape(-1, 3)
    on = np.array([p.on for p in points])
    told = [f for f in _FACES if (on == f).any()]
    if not ((on == "middle").any() or (on == "wall").any()):
        raise ValueError("points of the bore are needed, on its wall or on its middle line")
    found = _fitted(at, on, told, -below_mm)
    residuals, slope = found.residuals, found.jacobian
    free = len(residuals) - slope.shape[1]
    sure = _scatter(scatter, residuals, free)
    spread = np.sqrt(np.maximum(np.diag(np.linalg.pinv(slope.T @ slope)), 0.0)) * sure
    ax, ay, sx, sy, radius = found.values[:5]
    wall = bool((on == "wall").any())  # else the radius is no unknown, and what follows is of a face
    names = [p.name or f"heel point {k}" for k, p in enumerate(points, 1)]
    return HeelAxis(
        behind=Figure(-float(ax), float(spread[0])),
        port=Figure(float(ay), float(spread[1])),
        below_mm=below_mm,
        rake=Figure(math.degrees(math.atan(-sx)), math.degrees(float(spread[2]) / (1.0 + sx * sx))),
        cant=Figure(math.degrees(math.atan(sy)), math.degrees(float(spread[3]) / (1.0 + sy * sy))),
        bore=Figure(2.0 * float(radius), 2.0 * float(spread[4])) if wall else None,
        off=tuple(zip(names, found.off(len(points)), strict=True)),
        doubts=tuple(_doubts(found, names, scatter, free)),
    )


def _scatter(told: float | None, residuals: Floats, free: int) -> float:
    """By how much a figure of unit sensitivity is surely known; nan where nothing tells."""
    if told is not None:
        return told * student_factor(KNOWN)
    return math.sqrt(float(residuals @ residuals) / free) * student_factor(free) if free > 0 else math.nan


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """values: x and y at the told height, slopes of x and y, radius, places of the faces. of: the point of each
    residual."""

    values: Floats
    residuals: Floats
    jacobian: Floats
    of: NDArray[np.int64]

    def off(self, count: int) -> list[float]:
        """How far each point lies off the fit, mm."""
        return [float(np.linalg.norm(self.residuals[self.of == n])) for n in range(count)]


def _fitted(at: Floats, on: Floats, faces: Sequence[str], height: float) -> _Fit:
    """The least squares, from an upright axis and from one that leans as the ends of the bore do. Raises ValueError
    where a figure stays open."""
    wall = bool((on == "wall").any())
    of = np.concatenate([np.flatnonzero(on == kind) for kind in ("middle", "middle", "wall", *faces)])
    columns = np.flatnonzero(np.array([True, True, True, True, wall, *[True] * len(faces)]))

    def residuals(v: Floats) -> Floats:
        return _residuals(v, at, on, faces, height)

    def jacobian(v: Floats) -> Floats:
        made = np.zeros((len(of), len(columns)))
        for n, column in enumerate(columns):
            step = np.zeros_like(v)
            step[column] = 1e-6 if column in (2, 3) else 1e-4
            made[:, n] = (residuals(v + step) - residuals(v - step)) / (2.0 * step[column])
        return made

    tried = [_least(start, columns, residuals, jacobian) for start in _starts(at, on, faces, height)]
    values = min(tried, key=lambda v: float(residuals(v) @ residuals(v)))
    slope = jacobian(values)
    lengths = np.linalg.norm(slope, axis=0)
    if len(of) < len(columns) or (lengths < 1e-9).any() or np.linalg.svd(slope / lengths)[1][-1] < 1e-4:
        raise ValueError(
            "the points on the heel do not tell its axis: two places on the middle line, or three round the wall with "
            "three on a face, or six round the wall at two heights"
        )
    return _Fit(values, residuals(values), slope, of)


def _starts(at: Floats, on: Floats, faces: Sequence[str], height: float) -> Iterator[Floats]:
    """An upright axis through the middle of the bore's points, and the line from their lower half to their upper."""
    inside = at[(on == "middle") | (on == "wall")]
    middle, ordered = inside.mean(axis=0), inside[np.argsort(inside[:, 2], kind="stable")]
    half = max(len(ordered) // 2, 1)
    rise = ordered[-half:].mean(axis=0) - ordered[:half].mean(axis=0)
    leans = [(0.0, 0.0)] if rise[2] < 1e-6 else [(0.0, 0.0), (rise[0] / rise[2], rise[1] / rise[2])]
    for sx, sy in leans:
        down = height - middle[2]
        start = np.array([middle[0] + sx * down, middle[1] + sy * down, sx, sy, 0.0, *[0.0] * len(faces)])
        first = _residuals(start, at, on, faces, height)
        walls = int((on == "wall").sum())
        ahead = 2 * int((on == "middle").sum())
        start[4] = first[ahead : ahead + walls].mean() if walls else 0.0
        for k, face in enumerate(faces):
            start[5 + k] = at[on == face][:, 2].mean() - height
        yield start


def _least(
    start: Floats, columns: NDArray[np.int64], residuals: Callable[[Floats], Floats], slope: Callable[[Floats], Floats]
) -> Floats:
    """Gauss-Newton whose steps are halved until they help."""
    values = start.copy()
    for _ in range(_STEPS):
        left = residuals(values)
        change = np.clip(np.linalg.lstsq(slope(values), -left, rcond=None)[0], -100.0, 100.0)
        nearer = values.copy()
        for halved in range(_HALVINGS):
            nearer = values.copy()
            nearer[columns] += change / 2.0**halved
            now = residuals(nearer)
            if now @ now <= left @ left:
                break
        values = nearer
        if np.abs(change).max() < 1e-10:
            break
    return values


def _residuals(v: Floats, at: Floats, on: Floats, faces: Sequence[str], height: float) -> Floats:
    """Those of the middle line across and athwart, of the wall, of each face, in this order."""
    way = np.array([v[2], v[3], 1.0]) / math.sqrt(v[2] ** 2 + v[3] ** 2 + 1.0)
    across = np.array([1.0, 0.0, -v[2]]) / math.hypot(1.0, v[2])
    other = np.array([way[1] * across[2], way[2] * across[0] - way[0] * across[2], -way[1] * across[0]])
    apart = at - np.array([v[0], v[1], height])
    aside, middle, wall = apart @ np.column_stack([across, other]), on == "middle", on == "wall"
    made = [aside[middle, 0], aside[middle, 1], np.hypot(aside[wall, 0], aside[wall, 1]) - v[4]]
    return np.concatenate([*made, *(apart[on == f] @ way - v[5 + k] for k, f in enumerate(faces))])


def _doubts(found: _Fit, names: Sequence[str], scatter: float | None, free: int) -> Iterator[Words]:
    if free < 1:
        yield "heel: no more points than the axis needs: nothing checks them"
        return
    pull = found.jacobian @ np.linalg.pinv(found.jacobian)
    kept = np.maximum(1.0 - np.diag(pull), 1e-9)
    of_one = found.residuals / np.sqrt(kept)
    worst = int(np.abs(of_one).argmax())
    rest = max(float(found.residuals @ found.residuals) - float(of_one[worst]) ** 2, 0.0)
    usual = scatter if scatter is not None else math.sqrt(rest / (free - 1)) if free > 1 else math.nan
    if kept[worst] > 1e-6 and abs(of_one[worst]) > _SLIP * max(usual, 1e-9):
        yield say(
            "{point} lies {off} off where the others have it: measure it again",
            point=names[int(found.of[worst])],
            off=mm(round(abs(float(of_one[worst])), 2)),
        )
