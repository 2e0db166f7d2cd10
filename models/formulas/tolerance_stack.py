"""Tolerances from the palm to the shaft: how far the bore stands off the shaft, and what it leaves at the blade tips.

One function, `moved`, takes deviations (numbers or arrays) and gives misalignment in two planes and the change of tip
clearance; worst case, root-sum-square and Monte Carlo all go through it. Deviations are small: angles add. Derived here
from plane geometry; the spreads of the laws are those of the Guide to uncertainty (JCGM 100, published).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from strutwright.models.arrays import Floats, Num, add, mul

Law = Literal["uniform", "triangular", "normal"]
Deviation = Literal[
    "pitch",
    "yaw",
    "roll",
    "aft_low",
    "forward_low",
    "along",
    "port_low",
    "starboard_low",
    "across",
    "drop",
    "place",
    "next_up",
    "next_port",
    "play_up",
    "play_port",
    "diameter",
]
"""What may deviate. pitch, yaw, roll: of the bore to the palm, mrad. The rest mm. aft_low, forward_low, port_low,
starboard_low: the bed under the ends and sides of the palm; along, across: lie of hull or palm over its length, width;
drop, place: of the bore from the hull and athwart; next_up, next_port: of the next bearing; play_up, play_port: of the
shaft in its bearing; diameter: of the propeller."""
SPREAD: Mapping[Law, float] = {"uniform": math.sqrt(3.0), "triangular": math.sqrt(6.0), "normal": 3.0}
"""Half the width of a tolerance over its standard deviation; normal: its limits are three of them."""
SEED = 20_000
"""Where the random numbers start: the same for every strut, so that the same input gives the same answer."""
SAMPLES = 1_000_000
_AT_ONCE = 50_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """The sizes that the deviations work over, mm. span: to the next bearing; overhang: from mid-bearing aft to the
    middle of the propeller; drop, offset, aside: of the middle of the palm over mid-bearing, square to the hull in the
    plane of the shaft, and how far mid-bearing lies aft and to starboard of it; lean, slant: how much of the hull's
    square is up and to port; rise: sine of the angle at which the shaft rises to the hull."""

    palm_length_mm: Num
    palm_width_mm: Num
    span_mm: Num
    bearing_mm: Num
    drop_mm: Num
    overhang_mm: Num
    propeller_mm: Num = 0.0
    offset_mm: Num = 0.0
    aside_mm: Num = 0.0
    lean: Num = 1.0
    slant: Num = 0.0
    rise: Num = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """One tolerance of the chain. half: plus or minus, mrad or mm as `of` has it; fixed_by: what sets it."""

    name: str
    of: Deviation
    half: Num
    law: Law
    fixed_by: str = ""


class Moved(NamedTuple):
    """How far the bore stands off the shaft, mrad, and how much the blade tips come off the hull, mm."""

    vertical_mrad: Num
    athwart_mrad: Num
    tip_mm: Num

    @property
    def total_mrad(self) -> Num:
        """The angle between shaft and bore."""
        total: Num = np.hypot(self.vertical_mrad, self.athwart_mrad)
        return total


def moved(chain: Chain, by: Mapping[Deviation, Num]) -> Moved:
    """Return what deviations do; those that are not named are none. Linear in them; broadcasts.

    A palm that lies askew turns the bore and moves it, and with it the shaft. Low, down and aft end down are positive.

    >>> chain = Chain(palm_length_mm=210.0, palm_width_mm=120.0, span_mm=1100.0, bearing_mm=140.0, drop_mm=300.0,
    ...     overhang_mm=120.0)
    >>> round(moved(chain, {"along": 0.5}).vertical_mrad, 4), round(moved(chain, {"drop": 0.5}).vertical_mrad, 4)
    (2.381, -0.4545)
    >>> round(moved(chain, {"across": 0.5}).athwart_mrad, 4)  # 300 x 0.5 / 120 = 1.25 mm over 1100
    -1.1364
    """
    d = {key: by.get(key, 0.0) for key in _KEYS}
    tilt = mul(1.0 / chain.palm_length_mm, add(d["aft_low"], -d["forward_low"], d["along"]))
    side = mul(1.0 / chain.palm_width_mm, add(d["port_low"], -d["starboard_low"], d["across"]))
    bed = mul(0.5 * chain.lean, add(d["aft_low"], d["forward_low"]))
    down = add(d["drop"], bed, mul(chain.offset_mm, tilt), mul(-chain.aside_mm, side))
    port = add(d["place"], mul(-chain.drop_mm, side), mul(chain.drop_mm / 1000.0, d["roll"]))
    turn = mul(1.0 / chain.span_mm, add(down, d["next_up"]))
    aside = mul(1.0 / chain.span_mm, add(port, -d["next_port"]))
    vertical = add(d["pitch"], mul(1000.0, add(tilt, -turn)), mul(1000.0 / chain.bearing_mm, d["play_up"]))
    # Tilted about the hull's own trace, the bore turns athwart as it rises to the hull.
    turned = mul(1000.0, add(mul(chain.rise, side), aside))
    athwart = add(d["yaw"], turned, mul(1000.0 / chain.bearing_mm, d["play_port"]))
    lifted = mul(chain.lean, add(down, mul(chain.overhang_mm, turn), -d["play_up"]))
    nearer = mul(chain.slant, add(port, mul(chain.overhang_mm, aside)))
    # A disc that tilts with the shaft reaches less, or more, toward the hull.
    reach = mul(chain.rise * chain.propeller_mm / 2.0, turn)
    return Moved(vertical, athwart, add(lifted, -nearer, reach, mul(-0.5, d["diameter"])))


_KEYS: tuple[Deviation, ...] = (
    *("pitch", "yaw", "roll", "aft_low", "forward_low", "along", "port_low", "starboard_low", "across"),
    *("drop", "place", "next_up", "next_port", "play_up", "play_port", "diameter"),
)


def each_at_limit(chain: Chain, tolerances: Sequence[Tolerance]) -> list[Moved]:
    """Return what each tolerance alone does at its limit.

    >>> chain = Chain(palm_length_mm=200.0, palm_width_mm=100.0, span_mm=1000.0, bearing_mm=100.0, drop_mm=300.0,
    ...     overhang_mm=0.0)
    >>> two = [Tolerance(name=of, of=of, half=half, law="uniform") for of, half in (("along", 0.6), ("drop", 4.0))]
    >>> [round(m.vertical_mrad, 3) for m in each_at_limit(chain, two)]  # 0.6 / 200 and 4 / 1000
    [3.0, -4.0]
    """
    return [moved(chain, {t.of: t.half}) for t in tolerances]


def worst(each: Sequence[Moved]) -> Moved:
    """Return the greatest misalignment in each plane and the greatest loss at the tips, all tolerances at their worst.

    >>> float(worst([Moved(3.0, 0.0, 0.0), Moved(-4.0, 0.0, 0.0)]).vertical_mrad)
    7.0
    """
    return Moved(*(add(*(np.abs(m[k]) for m in each)) for k in range(3)))


def root_sum_square(each: Sequence[Moved]) -> Moved:
    """Return the root of the summed squares of what each does at its limit; the usual likely extreme.

    >>> float(root_sum_square([Moved(3.0, 0.0, 0.0), Moved(-4.0, 0.0, 0.0)]).vertical_mrad)
    5.0
    """
    return Moved(*(np.sqrt(add(*(mul(m[k], m[k]) for m in each))) for k in range(3)))


def standard_deviation(each: Sequence[Moved], tolerances: Sequence[Tolerance]) -> Moved:
    """Return the standard deviation in each plane and at the tips.

    >>> one = [Tolerance(name="pitch", of="pitch", half=3.0, law="normal")]
    >>> float(standard_deviation([Moved(3.0, 0.0, 0.0)], one).vertical_mrad)
    1.0
    """
    return root_sum_square(
        [Moved(*(mul(part, 1.0 / SPREAD[t.law]) for part in m)) for m, t in zip(each, tolerances, strict=True)]
    )


def shares(each: Sequence[Moved], tolerances: Sequence[Tolerance]) -> list[Num]:
    """Return the share of each tolerance in the variance of the misalignment, both planes together; they sum to 1.

    >>> two = [Tolerance(name=of, of=of, half=1.0, law="uniform") for of in ("along", "drop")]
    >>> [round(share, 2) for share in shares([Moved(3.0, 0.0, 0.0), Moved(-4.0, 0.0, 0.0)], two)]
    [0.36, 0.64]
    """
    squares = [
        mul(1.0 / SPREAD[t.law] ** 2, add(mul(m.vertical_mrad, m.vertical_mrad), mul(m.athwart_mrad, m.athwart_mrad)))
        for m, t in zip(each, tolerances, strict=True)
    ]
    whole = add(*squares)
    return [square / whole for square in squares]


class Sampled(NamedTuple):
    """What a million struts made within their tolerances come to.

    mean and sigma: mrad vertically. vertical, athwart: 97.5 % of struts lie below, mrad. total: median, 95, 97.5 and
    99 % of them lie below, mrad. tip_mm: 97.5 % lose no more of their tip clearance. over: share of them over `limit`.
    """

    mean: float
    sigma: float
    vertical: float
    athwart: float
    total: tuple[float, float, float, float]
    tip_mm: float
    over: float


def monte_carlo(chain: Chain, tolerances: Sequence[Tolerance], limit_mrad: float, count: int = SAMPLES) -> Sampled:
    """Return what `count` struts come to whose deviations are drawn by their laws, from a fixed start.

    >>> chain = Chain(palm_length_mm=200.0, palm_width_mm=100.0, span_mm=1000.0, bearing_mm=100.0, drop_mm=300.0,
    ...     overhang_mm=0.0)
    >>> one = [Tolerance(name="pitch", of="pitch", half=1.0, law="uniform")]
    >>> round(monte_carlo(chain, one, 0.5, count=100_000).over, 2)  # half of them are off by more than half
    0.5
    """
    parts = list(_drawn(chain, tolerances, count))
    vertical, athwart, tip = (np.concatenate([p[k] for p in parts]) for k in range(3))
    total = np.hypot(vertical, athwart)
    middle, most, usual, rare = np.quantile(total, (0.5, 0.95, 0.975, 0.99)).tolist()
    return Sampled(
        mean=float(vertical.mean()),
        sigma=float(vertical.std()),
        vertical=float(np.quantile(vertical, 0.975)),
        athwart=float(np.quantile(athwart, 0.975)),
        total=(middle, most, usual, rare),
        tip_mm=float(-np.quantile(tip, 0.025)),
        over=float(np.count_nonzero(total > limit_mrad) / count),
    )


def _drawn(chain: Chain, tolerances: Sequence[Tolerance], count: int) -> Iterator[tuple[Floats, ...]]:
    """Vertical, athwart and tip of so many struts at a time."""
    source = np.random.Generator(np.random.PCG64(SEED))
    for start in range(0, count, _AT_ONCE):
        n = min(_AT_ONCE, count - start)
        by: dict[Deviation, Num] = {}
        for t in tolerances:
            by[t.of] = by.get(t.of, 0.0) + t.half * unit(source, t.law, n)
        yield tuple(np.broadcast_to(np.asarray(m, dtype=float), n) for m in moved(chain, by))


def unit(source: np.random.Generator, law: Law, n: int) -> Floats:
    """Return deviations of a tolerance of plus or minus 1, from even random numbers alone.

    >>> drawn = unit(np.random.Generator(np.random.PCG64(1)), "triangular", 100_000)
    >>> round(float(drawn.std()), 2)  # 1 / root 6
    0.41
    """
    first = source.random(n)
    if law == "uniform":
        return 2.0 * first - 1.0
    second = source.random(n)
    if law == "triangular":
        return first + second - 1.0
    size = np.sqrt(-2.0 * np.log1p(-first))
    return np.asarray(size * np.cos(2.0 * np.pi * second) / SPREAD["normal"])
