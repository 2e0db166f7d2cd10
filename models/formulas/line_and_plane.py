"""Straight lines, planes and surfaces through readings, how sure they are, and readings that are out of line.

Least squares with its covariance: JCGM 100:2008 (GUM), H.3. Degrees of freedom of a sum of parts: GUM G.4.1 (Welch and
Satterthwaite). Weights against outliers: Huber 1964 and Beaton and Tukey 1974, with the median of the absolute
residuals as scale. One reading out of line, and the slip that would go unseen: Baarda 1968, data snooping.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

import numpy as np

from strutwright.models.arrays import Floats

SHARE = 0.95
"""Share of cases that a stated interval is to hold."""
HUBER, BISQUARE = 1.345, 4.685
"""Tuning constants at which each estimator keeps 95 % of the efficiency of least squares."""
NORMAL_MEDIAN = NormalDist().inv_cdf(0.75)
"""Median of the absolute of a standard normal variable, 0.6745."""
KNOWN = math.inf
"""Degrees of freedom of a scatter that is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A least-squares fit. unscaled: covariance of the coefficients for a scatter of 1. leverage: how far each reading
    draws the fit to itself, 0 to 1. dof: readings less coefficients.
    """

    coefficients: Floats
    unscaled: Floats
    residuals: Floats
    leverage: Floats
    dof: int

    @property
    def scatter(self) -> float:
        """Scatter of one reading from the residuals; not a number where none is left over."""
        return math.sqrt(float(self.residuals @ self.residuals) / self.dof) if self.dof > 0 else math.nan

    def without(self, index: int) -> float:
        """Return the sum of squares that is left when a reading is left out."""
        sum_of_squares = float(self.residuals @ self.residuals)
        free = 1.0 - self.leverage[index]
        return sum_of_squares - float(self.residuals[index]) ** 2 / free if free > 1e-9 else sum_of_squares


def least_squares(design: Floats, values: Floats) -> Fit:
    """Return the fit of values (n,) by the columns of design (n, p). Raises ValueError where columns depend on each
    other.

    The straight line of GUM H.3, through corrections of a thermometer over its readings less 20:

    >>> t = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]) - 20
    >>> b = np.array([171, 169, 166, 159, 164, 165, 156, 157, 159, 161, 160]) * -0.001
    >>> fit = least_squares(np.stack([np.ones(11), t], axis=1), b)
    >>> fit.coefficients.round(5).tolist(), (fit.scatter * np.sqrt(np.diag(fit.unscaled))).round(5).tolist()
    ([-0.1712, 0.00218], [0.00288, 0.00067])
    """
    n, p = design.shape
    if n < p or np.linalg.matrix_rank(design) < p:
        raise ValueError("the readings do not determine the fit")
    q, r = np.linalg.qr(design)
    inverse = np.linalg.inv(r)
    coefficients = inverse @ (q.T @ values)
    return Fit(
        coefficients=coefficients,
        unscaled=inverse @ inverse.T,
        residuals=values - design @ coefficients,
        leverage=np.asarray((q**2).sum(axis=1)),
        dof=n - p,
    )


@dataclass(frozen=True, slots=True)
class Robust:
    """A fit that readings out of line hardly draw. weights: 0 to 1 of each reading; scale: scatter it went by."""

    coefficients: Floats
    weights: Floats
    scale: float


def robust(
    design: Floats,
    values: Floats,
    kind: Literal["huber", "bisquare"] = "bisquare",
    *,
    scale: float | None = None,
    start: Floats | None = None,
) -> Robust:
    """Return the fit by Huber's or Tukey's bisquare weights, reweighted until it stands still.

    scale: scatter of a reading where it is known; else the median of the absolute residuals, renewed each time. start:
    coefficients to begin from (default: least squares).

    >>> x, y = np.arange(8.0), np.array([0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 17.0]) + 0.01 * np.array([1, -1] * 4)
    >>> fit = robust(np.stack([np.ones(8), x], axis=1), y)
    >>> fit.coefficients.round(2).tolist(), fit.weights[-1].item()
    ([0.0, 1.0], 0.0)
    """
    found = least_squares(design, values).coefficients if start is None else start
    tune = HUBER if kind == "huber" else BISQUARE
    weights: Floats = np.ones(len(values))
    of = scale or 0.0
    for _ in range(200):
        residuals = values - design @ found
        if scale is None:
            of = float(np.median(np.abs(residuals))) / NORMAL_MEDIAN
        if of <= 1e-12:
            break
        ratio = np.abs(residuals) / (tune * of)
        weights = _huber(ratio) if kind == "huber" else _bisquare(ratio)
        root = np.sqrt(weights)
        before = found
        found = np.asarray(np.linalg.lstsq(design * root[:, None], values * root, rcond=None)[0], dtype=float)
        if np.max(np.abs(found - before)) <= 1e-10 * (1.0 + np.max(np.abs(found))):
            break
    return Robust(np.asarray(found), np.asarray(weights), of)


def _huber(ratio: Floats) -> Floats:
    return np.asarray(np.minimum(1.0, 1.0 / np.maximum(ratio, 1e-12)))


def _bisquare(ratio: Floats) -> Floats:
    return np.asarray(np.where(ratio < 1.0, (1.0 - ratio**2) ** 2, 0.0))


# --- a line in space -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceLine:
    """The straight line nearest to points. middle: of the points; along_mm: each point's place along the line from
    there; off: (n, 3) from the line to each point.
    """

    middle: Floats
    direction: Floats
    along_mm: Floats
    off: Floats

    @property
    def dof(self) -> int:
        """Two readings for each point, less the four that fix a line."""
        return 2 * len(self.along_mm) - 4

    @property
    def scatter_mm(self) -> float:
        """Scatter of one reading from the residuals; not a number of two points."""
        return math.sqrt(float((self.off**2).sum()) / self.dof) if self.dof > 0 else math.nan

    @property
    def leverage(self) -> Floats:
        """How far each point draws the line to itself, 0 to 1."""
        return np.asarray(1.0 / len(self.along_mm) + self.along_mm**2 / (self.along_mm**2).sum())

    def spread_mm(self, along_mm: float, scatter_mm: float) -> float:
        """Return the standard uncertainty of the line's place to either side, at a place along it (GUM H.3.2)."""
        n, length2 = len(self.along_mm), float((self.along_mm**2).sum())
        return scatter_mm * math.sqrt(1.0 / n + along_mm**2 / length2)


def line_in_space(points: Floats) -> SpaceLine:
    """Return the line through points (n, 3) for which the squares of the distances are least; its direction goes to the
    side of the last point. Raises ValueError where they do not lie along one.

    >>> line = line_in_space(np.array([[0.0, 0.0, 0.0], [300.0, 0.0, 400.0], [600.0, 0.0, 800.0]]))
    >>> line.direction.round(6).tolist(), line.along_mm.round(6).tolist()
    ([0.6, 0.0, 0.8], [-500.0, 0.0, 500.0])
    """
    middle = points.mean(axis=0)
    around = points - middle
    _, sizes, axes = np.linalg.svd(around, full_matrices=False)
    if len(points) < 2 or sizes[0] < 1e-9 or (len(sizes) > 1 and sizes[1] > 0.5 * sizes[0]):
        raise ValueError("the points do not lie along a line")
    direction = axes[0] if axes[0] @ (points[-1] - points[0]) >= 0 else -axes[0]
    along = around @ direction
    off = around - np.outer(along, direction)
    return SpaceLine(middle=middle, direction=direction, along_mm=along, off=off)


# --- how sure --------------------------------------------------------------------------------------------------------


def student_factor(dof: float, share: float = SHARE) -> float:
    """Return Student's factor: a share of cases lies within so many standard uncertainties. dof need not be whole.

    GUM table G.2 has 12.71, 2.57 and 2.09 for 1, 5 and 20 degrees of freedom.

    >>> [round(student_factor(dof), 2) for dof in (1, 5, 20, math.inf)]
    [12.71, 2.57, 2.09, 1.96]
    """
    normal = NormalDist().inv_cdf(0.5 + share / 2.0)
    if dof > 1e6:
        return normal
    if dof < 0.2:
        return math.inf
    return _student(round(dof, 6), share, normal)


@functools.lru_cache(maxsize=4096)
def _student(dof: float, share: float, normal: float) -> float:
    low, high = 0.0, 2.0 * normal
    while student_within(high, dof) < share:
        low, high = high, 4.0 * high
    t = high
    front = math.lgamma((dof + 1.0) / 2.0) - math.lgamma(dof / 2.0) - 0.5 * math.log(dof * math.pi)
    for _ in range(60):
        over = student_within(t, dof) - share
        low, high = (low, t) if over > 0.0 else (t, high)
        step = over / (2.0 * math.exp(front - (dof + 1.0) / 2.0 * math.log1p(t * t / dof)))
        if abs(step) < 1e-10 * t:
            break
        t = t - step if low < t - step < high else 0.5 * (low + high)
    return t


def student_within(t: float, dof: float) -> float:
    """Return the share of Student's distribution that lies within t to either side.

    >>> round(student_within(1.0, 1.0), 6)  # of Cauchy's, half lies within one
    0.5
    """
    return 1.0 - _beta_share(dof / (dof + t * t), dof / 2.0, 0.5) if t > 0.0 else 0.0


def _beta_share(x: float, a: float, b: float) -> float:
    """The regularised incomplete beta function, by its continued fraction (Abramowitz and Stegun 26.5.8)."""
    if not 0.0 < x < 1.0:
        return 0.0 if x <= 0.0 else 1.0
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - _beta_share(1.0 - x, b, a)
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x))
    # Lentz's way from the front of the fraction; it stands still after some twenty terms.
    fraction, c, d = 1.0, 1.0, 0.0
    for k in range(1, 500):
        m = k // 2
        top = m * (b - m) if k % 2 == 0 else -(a + m) * (a + b + m)
        term = top * x / ((a + k - 1) * (a + k))
        d, c = 1.0 / (1.0 + term * d), 1.0 + term / c
        fraction *= c * d
        if abs(c * d - 1.0) < 1e-15:
            break
    return front / (a * fraction)


def combined_dof(variances: Sequence[float], dofs: Sequence[float]) -> float:
    """Return the degrees of freedom of a sum of independent parts, GUM G.2b; KNOWN for parts that are known.

    The example of GUM H.1.6: parts of 25, 9.7, 2.9 and 16.6 nm with 18, 25.6, 50 and 2 give 16.

    >>> int(combined_dof([25.0**2, 9.7**2, 2.9**2, 16.6**2], [18, 25.6, 50, 2]))
    16
    """
    below = sum(v * v / d for v, d in zip(variances, dofs, strict=True) if d < KNOWN)
    return sum(variances) ** 2 / below if below > 0.0 else KNOWN


def chi_square_most(dof: int, doubt: float) -> float:
    """Return what a sum of squares over the known scatter squared is above in a share `doubt` of cases.

    By Wilson and Hilferty 1931, within 1 % for 2 and more degrees of freedom. Tables: 18.31 for 10 and 5 %.

    >>> round(chi_square_most(10, 0.05), 1)
    18.3
    """
    if dof == 1:
        return NormalDist().inv_cdf(1.0 - doubt / 2.0) ** 2
    k = 2.0 / (9.0 * dof)
    return float(dof * (1.0 - k + NormalDist().inv_cdf(1.0 - doubt) * math.sqrt(k)) ** 3)


# --- one reading out of line -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Suspect:
    """The reading furthest out of line. times: how far, in the scatter that it would have by chance; most: how far the
    furthest of them all is by chance.
    """

    index: int
    times: float
    most: float

    @property
    def out(self) -> bool:
        """Whether it is out of line."""
        return self.times > self.most


def suspect(fit: Fit, scatter: float | None, doubt: float = 0.01) -> Suspect:
    """Return the reading of a fit that is furthest out of line. scatter: of a reading where known, else it is taken
    from the others. doubt: in what share of faultless cases one is named. Raises ValueError where nothing is left over.

    >>> x, y = np.arange(8.0), np.array([0.0, 1.0, 2.0, 9.0, 4.0, 5.0, 6.0, 7.0])
    >>> found = suspect(least_squares(np.stack([np.ones(8), x], axis=1), y), 1.0)
    >>> found.index, round(found.times, 1), round(found.most, 1)  # 6, of which 7/8 less a little shows
    (3, 5.6, 3.2)
    """
    n, free = len(fit.residuals), 1.0 - fit.leverage
    if fit.dof < (1 if scatter is not None else 2):
        raise ValueError("no reading is left over")
    shows = free > 1e-6
    size = np.where(shows, np.abs(fit.residuals) / np.sqrt(np.where(shows, free, 1.0)), 0.0)
    index = int(np.argmax(size))
    if scatter is not None:
        return Suspect(index, float(size[index]) / scatter, _one_of(n, KNOWN, doubt))
    rest = math.sqrt(max(fit.without(index), 0.0) / (fit.dof - 1))
    times = float(size[index]) / rest if rest > 0.0 else (math.inf if size[index] > 1e-9 else 0.0)
    return Suspect(index, times, _one_of(n, fit.dof - 1, doubt))


def _one_of(n: int, dof: float, doubt: float) -> float:
    """What the furthest of n is beyond by chance in a share `doubt` of cases (Bonferroni)."""
    return student_factor(dof, 1.0 - doubt / n)


def suspect_on_line(line: SpaceLine, scatter_mm: float | None, doubt: float = 0.01) -> Suspect:
    """Return the point that lies furthest off the line of the others, as `suspect`; it may be off in two directions.

    >>> points = np.array([[0.0, 0, 0], [100, 0, 0], [200, 8, 6], [300, 0, 0], [400, 0, 0], [500, 0, 0]])
    >>> found = suspect_on_line(line_in_space(points), 1.0)
    >>> found.index, found.out
    (2, True)
    """
    n, free = len(line.along_mm), 1.0 - line.leverage
    if line.dof < (1 if scatter_mm is not None else 3):
        raise ValueError("no reading is left over")
    share = np.where(free > 1e-6, (line.off**2).sum(axis=1) / np.maximum(free, 1e-6), 0.0)
    index = int(np.argmax(share))
    most, left = math.log(n / doubt), line.dof - 2
    if scatter_mm is not None:
        return Suspect(index, math.sqrt(float(share[index])) / scatter_mm, math.sqrt(2.0 * most))
    rest = math.sqrt(max(float((line.off**2).sum() - share[index]), 0.0) / left)
    # The tail of Fisher's distribution with 2 and `left` degrees: (1 + 2 F / left)^(-left / 2).
    tail = math.sqrt(left * math.expm1(2.0 * most / left))
    times = math.sqrt(float(share[index])) / rest if rest > 0.0 else (math.inf if share[index] > 1e-12 else 0.0)
    return Suspect(index, times, tail)


def hidden_slip(leverage: float, scatter: float, most: float, missed: float = 0.2) -> float:
    """Return the smallest slip of one reading that is noticed but in a share `missed` of cases (Baarda).

    leverage: of the reading; most: from how many times its scatter it is named.

    >>> round(hidden_slip(0.5, 1.0, 3.29), 2)
    5.84
    """
    free = 1.0 - leverage
    return scatter * (most + NormalDist().inv_cdf(1.0 - missed)) / math.sqrt(free) if free > 1e-9 else math.inf
