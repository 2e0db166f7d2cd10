"""The shape of a palm's hull face from readings: plane, bow along and across, twist, and what that leaves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.formulas.min_zone import Points, min_zone

LEAST_STATIONS = 3
"""Places along and across that a bow is read from."""
_TWO_BOWS = 5


class TooFewError(ValueError):
    """What the readings lack to give a shape."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Shape:
    """The shape of a hull face, mm; along and across are counted from the palm's middle, heights toward the ram.

    zone_mm: minimum zone. tilt_mm: rise of the plane per mm along and across. round_mm, kinked_mm: height of the middle
    over the two ends, along and across, of a round bow and of one that is kinked at the middle. twist_mm: height of the
    corner (+, +) over the plane of a twist alone, times two: the zone it has by itself. left_mm: what no bow or twist
    explains, root of the mean square. size_mm: of the palm.
    """

    zone_mm: float
    tilt_mm: tuple[float, float]
    round_mm: tuple[float, float]
    kinked_mm: tuple[float, float]
    twist_mm: float
    left_mm: float
    size_mm: tuple[float, float]

    def sag_mm(self, way: int, span_mm: float) -> float:
        """Height of the middle over two supports that far apart, along (way 0) or across (1)."""
        share = span_mm / self.size_mm[way]
        return self.round_mm[way] * share**2 + self.kinked_mm[way] * share

    @property
    def bow_mm(self) -> tuple[float, float]:
        """Height of the middle over the ends, along and across."""
        along, across = (self.sag_mm(way, self.size_mm[way]) for way in (0, 1))
        return along, across


def shape(points: Points, size_mm: tuple[float, float], lines: list[str] | None = None) -> Shape:
    """Return the shape that readings (n, 3) of along, across and height give. Raises TooFewError.

    lines: for heights under a straight edge, the line that each was read on; a straight edge lies as it will, so each
    line has a height and a slope of its own. A bow is told round from kinked with five places; with fewer it is taken
    as kinked, as a weld bends a plate.

    >>> import numpy as np
    >>> grid = np.array([[u, v, 0.8 - 0.016 * abs(v)] for u in (-100.0, 0, 100) for v in (-50.0, 0, 50)])
    >>> found = shape(grid, (200.0, 100.0))
    >>> round(found.zone_mm, 3), round(found.bow_mm[1], 3), abs(round(found.twist_mm, 3))
    (0.8, 0.8, 0.0)
    """
    p = np.asarray(points, dtype=float)
    u, v = p[:, 0] / size_mm[0] * 2.0, p[:, 1] / size_mm[1] * 2.0
    columns, named = _placed(u, v, lines)
    for way, x in ((0, u), (1, v)):
        stations = len(np.unique(np.round(np.abs(x) if lines else x, 3)))
        least = LEAST_STATIONS - 1 if lines else LEAST_STATIONS
        if stations < least:
            raise TooFewError(f"read at least {LEAST_STATIONS} places {('along', 'across')[way]}")
        columns.append(-np.abs(x))
        named.append(f"kinked {way}")
        if len(np.unique(np.round(x, 3))) >= _TWO_BOWS:
            columns.append(-(x**2))
            named.append(f"round {way}")
    columns.append(u * v / 2.0)
    named.append("twist")
    a = np.column_stack(columns)
    if len(p) < len(named) or np.linalg.matrix_rank(a, tol=1e-6) < a.shape[1]:
        raise TooFewError(
            "the readings do not tell bow along, bow across and twist apart; read a grid of 3 by 3 or more, or lines "
            "along, across and both diagonals"
        )
    found = np.linalg.lstsq(a, p[:, 2], rcond=None)[0]
    by = dict(zip(named, (float(x) for x in found), strict=True))
    level = p.copy()
    if lines:  # the edges' own height and slope are taken off
        count = 2 * len(set(lines))
        level[:, 2] -= a[:, :count] @ found[:count]
    return Shape(
        zone_mm=min_zone(level)[0],
        tilt_mm=(by.get("u", 0.0) / size_mm[0] * 2.0, by.get("v", 0.0) / size_mm[1] * 2.0),
        round_mm=(by.get("round 0", 0.0), by.get("round 1", 0.0)),
        kinked_mm=(by["kinked 0"], by["kinked 1"]),
        twist_mm=by["twist"],
        left_mm=float(np.sqrt(np.mean((p[:, 2] - a @ found) ** 2))),
        size_mm=size_mm,
    )


def _placed(u: Points, v: Points, lines: list[str] | None) -> tuple[list[Points], list[str]]:
    """How the readings lie as a whole: one plane, or a height and a slope for each line."""
    if lines is None:
        return [np.ones_like(u), u, v], ["height", "u", "v"]
    columns: list[Points] = []
    for name in sorted(set(lines)):
        on = np.array([line == name for line in lines], dtype=float)
        here = on > 0
        run = np.where(np.ptp(u[here]) >= np.ptp(v[here]), u, v)
        columns += [on, on * run]
    return columns, [f"line {k}" for k in range(len(columns))]
