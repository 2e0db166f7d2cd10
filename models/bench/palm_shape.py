"""The shape of a palm's hull face from readings: plane, bow along and across, twist, and what that leaves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.formulas.min_zone import Points, min_zone

LEAST_STATIONS = 3
"""Places along and across that a bow is read from."""
_ROUND_TOO = 2
"""So many more tell a round bow from kinks."""


class TooFewError(ValueError):
    """What the readings lack to give a shape."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Shape:
    """The shape of a hull face, mm; along and across are counted from the palm's middle, heights toward the ram.

    zone_mm: minimum zone. tilt_mm: rise per mm along and across of the face at the palm's middle. round_mm: height of
    the middle over the two ends, along and across, of a round bow. kinked_mm: of one that is kinked over each of the
    lines kinks_mm, how far the face falls from the line over half the palm. twist_mm: height of the corner (+, +) over
    the plane of a twist alone, times two: the zone it has by itself. left_mm: what no bow or twist explains, root of
    the mean square. size_mm: of the palm. points: readings, level where they lay under a straight edge; own_mm: of
    each, what the bows along, those across and the twist have in it.
    """

    zone_mm: float
    tilt_mm: tuple[float, float]
    round_mm: tuple[float, float]
    kinks_mm: tuple[tuple[float, ...], tuple[float, ...]]
    kinked_mm: tuple[tuple[float, ...], tuple[float, ...]]
    twist_mm: float
    left_mm: float
    size_mm: tuple[float, float]
    points: Points
    own_mm: tuple[Points, Points, Points]

    @property
    def bow_mm(self) -> tuple[float, float]:
        """Height of the middle over the ends, along and across."""
        along, across = (
            self.round_mm[way]
            + sum(
                c * (1.0 - 2.0 * abs(x) / self.size_mm[way])
                for x, c in zip(self.kinks_mm[way], self.kinked_mm[way], strict=True)
            )
            for way in (0, 1)
        )
        return along, across

    @property
    def plane_mm(self) -> tuple[float, float]:
        """Rise per mm along and across of the plane nearest to all readings, least squares."""
        p = self.points
        found = np.linalg.lstsq(np.column_stack([np.ones(len(p)), p[:, :2]]), p[:, 2], rcond=None)[0]
        return float(found[1]), float(found[2])

    def kink_near(self, way: int, line: int, at_mm: float) -> float:
        """Return how far the face falls from a line over half the palm, as `kinked_mm`, near one place of the line.

        What the other bow and the twist have in the readings is taken off first; then the stations nearest the place
        count, as many as tell.
        """
        z = self.points[:, 2] - self.own_mm[1 - way] - self.own_mm[2]
        x = self.points[:, way]
        columns = [np.ones_like(x), x, *(-np.abs(x - k) / self.size_mm[way] * 2.0 for k in self.kinks_mm[way])]
        a = np.column_stack(columns)
        off = np.abs(self.points[:, 1 - way] - at_mm)
        for far in np.unique(np.round(off, 3)):
            near = off <= far + 1e-3
            if len(np.unique(np.round(x[near], 3))) > a.shape[1]:
                break
        else:
            near = np.full(len(x), True)
        return float(np.linalg.lstsq(a[near], z[near], rcond=None)[0][2 + line])

    def falls_mm(self, way: int, toes_mm: tuple[float, float]) -> tuple[float, float]:
        """Return how far the two ends, along or across, fall from the line of a root between its toes: after and before
        it, the other bow and the twist taken off; 0 where the readings do not tell."""
        z = self.points[:, 2] - self.own_mm[1 - way] - self.own_mm[2]
        half = self.size_mm[way] / 2.0
        x, low, high = self.points[:, way] / half, toes_mm[0] / half, toes_mm[1] / half
        a = np.column_stack([np.ones_like(x), x, np.maximum(low - x, 0.0), np.maximum(x - high, 0.0)])
        if np.linalg.matrix_rank(a, tol=1e-3) < a.shape[1]:
            return 0.0, 0.0
        found = np.linalg.lstsq(a, z, rcond=None)[0]
        return -float(found[2]) * (low + 1.0), -float(found[3]) * (1.0 - high)

    def profile_mm(self, way: int, at_mm: tuple[float, ...]) -> list[float]:
        """Return heights of the profile along or across, the other bow and the twist taken off: means of the stations,
        straight between them."""
        z = self.points[:, 2] - self.own_mm[1 - way] - self.own_mm[2]
        x = np.round(self.points[:, way], 3)
        stations = np.unique(x)
        mean = np.array([z[x == s].mean() for s in stations])
        first, last = (mean[1] - mean[0]) / np.ptp(stations[:2]), (mean[-1] - mean[-2]) / np.ptp(stations[-2:])
        return [
            float(
                mean[0] + (s - stations[0]) * first
                if s < stations[0]
                else mean[-1] + (s - stations[-1]) * last
                if s > stations[-1]
                else np.interp(s, stations, mean)
            )
            for s in at_mm
        ]


def shape(
    points: Points, size_mm: tuple[float, float], lines: list[str] | None = None, kinks_mm: tuple[float, ...] = (0.0,)
) -> Shape:
    """Return the shape that readings (n, 3) of along, across and height give. Raises TooFewError.

    lines: for heights under a straight edge, the line that each was read on; a straight edge lies as it will, so each
    line has a height and a slope of its own. kinks_mm: places across over which welds bend the palm. A bow is told
    round from kinked with two more places than a kinked one needs; with fewer it is taken as kinked, as a weld bends a
    plate.

    >>> import numpy as np
    >>> grid = np.array([[u, v, 0.8 - 0.016 * abs(v)] for u in (-100.0, 0, 100) for v in (-50.0, 0, 50)])
    >>> found = shape(grid, (200.0, 100.0))
    >>> round(found.zone_mm, 3), round(found.bow_mm[1], 3), abs(round(found.twist_mm, 3))
    (0.8, 0.8, 0.0)
    """
    p = np.asarray(points, dtype=float)
    u, v = p[:, 0] / size_mm[0] * 2.0, p[:, 1] / size_mm[1] * 2.0
    kinks = ((0.0,), kinks_mm)
    columns, named, count = _columns((u, v), lines, kinks, size_mm)
    a = np.column_stack(columns)
    if len(p) < len(named) or np.linalg.matrix_rank(a, tol=1e-6) < a.shape[1]:
        raise TooFewError(
            "the readings do not tell bow along, bow across and twist apart; read a grid of 3 by 3 or more, or lines "
            "along, across and both diagonals"
        )
    found = np.linalg.lstsq(a, p[:, 2], rcond=None)[0]
    by = dict(zip(named, (float(x) for x in found), strict=True))
    level = p.copy()
    level[:, 2] -= a[:, :count] @ found[:count]  # the edges' own height and slope

    def own(what: str) -> Points:
        picked = [k for k, name in enumerate(named) if name.startswith(what) or name.startswith(f"kinked {what[-1]} ")]
        made: Points = a[:, picked] @ found[picked]
        return made

    along, across = (tuple(by[f"kinked {way} {k}"] for k in range(len(kinks[way]))) for way in (0, 1))
    return Shape(
        zone_mm=min_zone(level)[0],
        tilt_mm=(by.get("u", 0.0) / size_mm[0] * 2.0, by.get("v", 0.0) / size_mm[1] * 2.0),
        round_mm=(by.get("round 0", 0.0), by.get("round 1", 0.0)),
        kinks_mm=kinks,
        kinked_mm=(along, across),
        twist_mm=by["twist"],
        left_mm=float(np.sqrt(np.mean((p[:, 2] - a @ found) ** 2))),
        size_mm=size_mm,
        points=level,
        own_mm=(own("round 0"), own("round 1"), own("twist")),
    )


def _columns(
    at: tuple[Points, Points],
    lines: list[str] | None,
    kinks: tuple[tuple[float, ...], tuple[float, ...]],
    size_mm: tuple[float, float],
) -> tuple[list[Points], list[str], int]:
    """What the readings are made up of, its names, and how many of them place a straight edge."""
    columns, named = _placed(*at, lines)
    count = len(columns) if lines else 0
    for way, x in enumerate(at):
        least = LEAST_STATIONS - 1 + len(kinks[way])
        if len(np.unique(np.round(np.abs(x) if lines else x, 3))) < (least - 1 if lines else least):
            raise TooFewError(f"read at least {least} places {('along', 'across')[way]}")
        columns += [-np.abs(x - k / size_mm[way] * 2.0) for k in kinks[way]]
        named += [f"kinked {way} {k}" for k in range(len(kinks[way]))]
        if len(np.unique(np.round(x, 3))) >= least + _ROUND_TOO:
            columns.append(-(x**2))
            named.append(f"round {way}")
    columns.append(at[0] * at[1] / 2.0)
    named.append("twist")
    return columns, named, count


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
