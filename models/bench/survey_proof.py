"""Whether the readings of a survey check each other, and which one is out of line.

One slip is looked for. Hull points are held first against a plane, then against the curved surface: with few points a
curved surface bends to nearly any slip, so a plane that all others lie in is taken where it explains them better
(Schwarz 1978). What is named is what the robust fit, begun from the others, gives no weight.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.bench.survey_fit import CURVED_FROM, PLANE, Terms, design
from strutwright.models.formulas import line_and_plane as lp

LINE_FROM = 5
"""Points on the shaft line from which they check each other."""
LEAST_SLIP_MM = 0.02
"""What is off by less is rounding: no survey is read finer."""
_NO_WEIGHT = 0.1
_DOUBT, _DOUBT_OF_PLANE = 0.01, 0.001
"""In what share of faultless surveys a reading is named; a hull that is hardly curved may look like a plane and a slip.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What checks readings. checked: whether there are enough; named: index of those out of line; times: how far the
    first of them is, in its scatter. hidden_mm: for each reading the slip that may go unseen; None where nothing checks
    it.
    """

    checked: bool
    named: tuple[int, ...] = ()
    times: float = 0.0
    hidden_mm: tuple[float | None, ...] = ()


def proof_of_hull(points: Floats, scatter: Floats, terms: Terms, scale_mm: float, *, known: bool) -> Proof:
    """Return what checks hull points (n, 3) in the strut's frame. scatter: (n,) of each in z, known or relative.

    >>> x, y = (g.ravel() for g in np.meshgrid(np.arange(5) * 60.0, np.arange(3) * 50.0))
    >>> z = 300.0 - 0.2 * x + 0.1 * y + 0.3 * np.cos(7.0 * np.arange(15))
    >>> z[6] += 9.0
    >>> proof_of_hull(np.stack([x, y, z], axis=1), np.full(15, 0.4), PLANE, 100.0, known=True).named
    (6,)
    """
    if len(points) < CURVED_FROM:
        return Proof(checked=False)
    named, times = _slip(points, scatter, terms, scale_mm, known=known)
    kept = [k for k in range(len(points)) if k not in named]
    of = _weighed(points[kept], scatter[kept], terms, scale_mm) if len(kept) >= len(terms) else None
    hidden: list[float | None] = [None] * len(points)
    if of is not None and of[2].dof >= (1 if known else 2):
        of_one = 1.0 if known else of[2].scatter
        most = lp.suspect(of[2], 1.0 if known else None).most
        for k, leverage in zip(kept, of[2].leverage, strict=True):
            slip = lp.hidden_slip(float(leverage), of_one * float(scatter[k]), most)
            hidden[k] = slip if math.isfinite(slip) else None
    return Proof(checked=True, named=named, times=times, hidden_mm=tuple(hidden))


def _weighed(points: Floats, scatter: Floats, terms: Terms, scale_mm: float) -> tuple[Floats, Floats, lp.Fit]:
    columns, values = design(points, terms, scale_mm) / scatter[:, None], points[:, 2] / scatter
    return columns, values, lp.least_squares(columns, values)


def _slip(
    points: Floats, scatter: Floats, terms: Terms, scale_mm: float, *, known: bool
) -> tuple[tuple[int, ...], float]:
    """The readings out of line, and how far the first of them is."""
    n, full = len(points), _weighed(points, scatter, terms, scale_mm)[2]
    for some in (PLANE,) if terms == PLANE else (PLANE, terms):
        columns, values, of = _weighed(points, scatter, some, scale_mm)
        if of.dof < (2 if known else 3):
            continue
        doubt = _DOUBT_OF_PLANE if known and some != terms else _DOUBT
        found = lp.suspect(of, 1.0 if known else None, doubt)
        rest = of.without(found.index)
        off_mm = abs(float(of.residuals[found.index])) * float(scatter[found.index])
        if not found.out or off_mm < LEAST_SLIP_MM or (known and rest > lp.chi_square_most(of.dof - 1, 0.01)):
            continue
        if some != terms and not _better(
            rest, len(some) + 2, float(full.residuals @ full.residuals), len(terms), n, known
        ):
            continue
        others = np.delete(np.arange(n), found.index)
        start = lp.least_squares(columns[others], values[others]).coefficients
        spread = 1.0 if known else math.sqrt(max(rest, 1e-18) / (of.dof - 1))
        weights = lp.robust(columns, values, "bisquare", scale=spread, start=start).weights
        named = tuple(int(k) for k in np.flatnonzero(weights < _NO_WEIGHT))
        if found.index in named and n - len(named) >= len(PLANE) + 1:
            return named, found.times
    return (), 0.0


def _better(rest: float, told: int, full: float, told_by_full: int, n: int, known: bool) -> bool:
    """Whether the others explain themselves better with so many told values than all with a surface (Schwarz)."""
    if known:
        return rest + told * math.log(n) < full + told_by_full * math.log(n)
    least = 1e-12
    return n * math.log(max(rest, least)) + told * math.log(n) < n * math.log(
        max(full, least)
    ) + told_by_full * math.log(n)


def proof_of_line(points: Floats, scatter_mm: float | None) -> Proof:
    """Return what checks points (m, 3) of the shaft line. scatter_mm: of a reading, where it is known.

    >>> at = np.arange(6) * 200.0
    >>> up = np.array([0.1, -0.1, 0.0, 6.0, 0.1, -0.1])
    >>> proof_of_line(np.stack([at, 0.1 * up[::-1] * 0, up], axis=1), 0.3).named
    (3,)
    """
    if len(points) < LINE_FROM:
        return Proof(checked=False)
    line = lp.line_in_space(points)
    found = lp.suspect_on_line(line, scatter_mm)
    off_mm = float(np.linalg.norm(line.off[found.index]))
    named = (found.index,) if found.out and off_mm >= LEAST_SLIP_MM else ()
    kept: Sequence[int] = [k for k in range(len(points)) if k not in named]
    rest = lp.line_in_space(points[kept])
    hidden: list[float | None] = [None] * len(points)
    if rest.dof >= (1 if scatter_mm is not None else 3):
        most = lp.suspect_on_line(rest, scatter_mm).most
        of_one = scatter_mm if scatter_mm is not None else rest.scatter_mm
        for k, leverage in zip(kept, rest.leverage, strict=True):
            slip = lp.hidden_slip(float(leverage), of_one, most)
            hidden[k] = slip if math.isfinite(slip) else None
    return Proof(checked=True, named=named, times=found.times if named else 0.0, hidden_mm=tuple(hidden))
