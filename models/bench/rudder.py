"""Where the rudder stock's axis meets the heel: position, lean and the shims that bring the heel's bore onto it.

The axis is the straight line nearest to the points (squares of the distances). What it may be off at the heel, and how
true the stock is to run, are shares of the clearance of the bush in the table of limits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.models import frames, rules
from strutwright.models.arrays import Floats
from strutwright.models.bench.figure import Figure
from strutwright.models.bench.heel_axis import HeelAxis
from strutwright.models.formulas.line_and_plane import KNOWN, line_in_space, student_factor
from strutwright.models.spec import Heel, Strut
from strutwright.params.bench.rudder import RudderStock
from strutwright.params.limits import Limit, Limits
from strutwright.params.words import Words, mm, say

LEAST_FOR_SCATTER = 4
"""Points from which a scatter is found; of fewer it has to be told."""
CHECKED_FROM = 5
"""Points from which one that is out of line is named."""
LIMITS = ("heel_off_stock", "heel_lean", "stock_run_out")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """The stock's axis. behind, port, below: where it passes the height of the heel's middle, mm from the barrel's aft
    face, the vertical plane through the shaft and the shaft line. rake, cant: its lean, degrees, as a set has them.
    off: of each point from the axis, mm. doubts: what is to be said of the readings."""

    behind: Figure
    port: Figure
    below_mm: float
    rake: Figure
    cant: Figure
    off: tuple[tuple[str, float], ...]
    doubts: tuple[Words, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heeled:
    """A heel against the stock: what the bore is off at its middle and in lean, what it may be, shims, run-out.

    aft, port: how far the axis lies aft and to port of the bore's middle. lean: between bore and axis, degrees. shims:
    under the boss at its ends, aft and athwart, over the boss's outside, mm. clearance: of the pintle in the bore,
    minus where it does not go in, and the most of a new one; what is worn beyond it does not count. rests_on: limits.
    """

    aft: Figure
    port: Figure
    lean: Figure
    place_mm: float
    lean_most_deg: float
    shims_mm: tuple[float, float]
    run_out_most_mm: float
    clearance: Figure
    clearance_most_mm: float
    rests_on: tuple[Limit, ...]


def stock_of(said: RudderStock, below_mm: float) -> Stock:
    """Return the axis of a stock from points on it. below_mm: height at which its place is told, below the shaft line.
    Raises ValueError where they do not lie along one, or are fewer than two.

    >>> from strutwright.params.bench.rudder import StockPoint
    >>> ends = [StockPoint(behind_barrel=300.0 + z / 10.0, above_shaft=z) for z in (-300.0, 700.0)]
    >>> found = stock_of(RudderStock(points=ends, scatter=1.0), 300.0)
    >>> round(found.behind.value, 3), round(found.rake.value, 3)  # atan 0.1
    (270.0, 5.711)
    """
    points = np.array([(-p.behind_barrel, p.port, p.above_shaft) for p in said.points], dtype=float).reshape(-1, 3)
    if len(points) < 2:
        raise ValueError("two points at least tell where the stock is")
    line = line_in_space(points)
    way = line.direction if line.direction[2] > 0.0 else -line.direction
    if way[2] < 0.3:
        raise ValueError("the points do not lie along a rudder stock: it stands up from the shaft line")
    along = (-below_mm - line.middle[2]) / way[2]
    at = line.middle + along * way
    off = np.linalg.norm(line.off, axis=1)
    scatter, factor = _scatter(said, line.off, line.dof)
    spread = math.sqrt(float(np.sum(line.along_mm**2)))
    reach = along + float(line.along_mm @ np.ones(len(points))) / len(points)
    sure = factor * scatter
    place = sure * math.sqrt(1.0 / len(points) + (reach / spread) ** 2) if spread else math.nan
    lean = math.degrees(sure / spread) if spread else math.nan
    # A set has the lean in profile from the strut's z axis, upper end aft positive, and athwart, upper end to port.
    rake = math.degrees(math.atan2(-way[0], way[2]))
    cant = math.degrees(math.atan2(way[1], way[2]))
    names = [p.name or f"point {k}" for k, p in enumerate(said.points, 1)]
    return Stock(
        behind=Figure(-float(at[0]), place),
        port=Figure(float(at[1]), place),
        below_mm=below_mm,
        rake=Figure(rake, lean),
        cant=Figure(cant, lean),
        off=tuple((name, float(v)) for name, v in zip(names, off, strict=True)),
        doubts=tuple(_doubts(said, points, names, off, reach, line.along_mm)),
    )


def _scatter(said: RudderStock, off: Floats, dof: int) -> tuple[float, float]:
    """Scatter of a reading, and by how many of it a figure is surely known."""
    if said.scatter is not None:
        return said.scatter, student_factor(KNOWN)
    if len(said.points) < LEAST_FOR_SCATTER:
        return math.nan, math.nan
    return math.sqrt(float(np.sum(off**2)) / dof), student_factor(dof)


def _doubts(
    said: RudderStock, points: Floats, names: Sequence[str], off: Floats, reach: float, along: Floats
) -> list[Words]:
    made: list[Words] = []
    if len(points) < CHECKED_FROM:
        made.append(f"{len(points)} points: nothing checks them; {CHECKED_FROM} tell one that is out of line")
    else:
        worst = int(off.argmax())
        others = np.delete(points, worst, axis=0)
        rest = line_in_space(others)
        miss = points[worst] - rest.middle
        apart = float(np.linalg.norm(miss - (miss @ rest.direction) * rest.direction))
        scatter = said.scatter or math.sqrt(float(np.sum(rest.off**2)) / max(rest.dof, 1))
        if apart > 4.0 * max(scatter, 1e-9) * math.sqrt(1.0 + 1.0 / len(others)):
            slip = say(
                "{point} lies {off} off the line of the others: measure it again", point=names[worst], off=mm(apart)
            )
            made.append(slip)
    if said.scatter is None and len(points) < LEAST_FOR_SCATTER:
        made.append("no scatter is told and the points are too few to find one: the figures have no uncertainty")
    span = float(np.ptp(along))
    if abs(reach) > 1.5 * span:
        made.append("the points lie far from the heel for their span: measure some lower down")
    return made


def against(
    strut: Strut,
    heel: Heel,
    found: Stock,
    limits: Limits,
    bush_mm: float | None = None,
    measured: HeelAxis | None = None,
) -> Heeled:
    """Return how a heel's bore stands to the stock's axis, and what brings it there.

    bush_mm: length of the bush (default: height of the boss). measured: the bore as it is (default: as drawn).

    >>> yawl = shipped("yawl-with-heel")
    >>> x, y, z = yawl.skeg.heel.centre_mm
    >>> way = frames.stock_direction(yawl.skeg.heel.stock_rake_deg, yawl.skeg.heel.stock_cant_deg)
    >>> from strutwright.params.bench.rudder import StockPoint
    >>> ends = [np.array([x, y, z]) + t * way for t in (0.0, 800.0)]
    >>> aft = -yawl.barrel.length_mm / 2.0
    >>> told = [StockPoint(behind_barrel=aft - e[0], port=e[1], above_shaft=e[2]) for e in ends]
    >>> made = against(yawl, yawl.skeg.heel, stock_of(RudderStock(points=told, scatter=0.5), -z), standard())
    >>> round(abs(made.aft.value) + abs(made.port.value) + made.lean.value, 6)
    0.0
    """
    behind, port = Figure(-heel.centre_mm[0] - strut.barrel.length_mm / 2.0, 0.0), Figure(heel.centre_mm[1], 0.0)
    rake, cant, bore_mm = Figure(heel.stock_rake_deg, 0.0), Figure(heel.stock_cant_deg, 0.0), heel.bore_mm
    if measured is not None:
        behind, port, rake, cant = measured.behind, measured.port, measured.rake, measured.cant
        bore_mm = heel.bore_mm if measured.bore is None else measured.bore.value
    bore = frames.stock_direction(rake.value, cant.value)
    stock = frames.stock_direction(found.rake.value, found.cant.value)
    lean = math.degrees(math.acos(min(max(float(bore @ stock), -1.0), 1.0)))
    long = heel.height_mm if bush_mm is None else bush_mm
    clearance, most = bore_mm - heel.running_mm, _clearance_most_mm(heel, limits)
    counted = min(max(clearance, 0.0), most)  # a bush that is worn is no reason to set a stock worse
    leans = ((found.rake.value, rake.value), (found.cant.value, cant.value))
    rise = [math.tan(math.radians(a)) - math.tan(math.radians(b)) for a, b in leans]
    return Heeled(
        aft=Figure(found.behind.value - behind.value, math.hypot(found.behind.within, behind.within)),
        port=Figure(found.port.value - port.value, math.hypot(found.port.within, port.within)),
        lean=Figure(lean, max(math.hypot(a.within, b.within) for a, b in ((found.rake, rake), (found.cant, cant)))),
        place_mm=limits["heel_off_stock"].value * counted,
        lean_most_deg=math.degrees(limits["heel_lean"].value * counted / long),
        shims_mm=(rise[0] * heel.outside_mm, rise[1] * heel.outside_mm),
        run_out_most_mm=limits["stock_run_out"].value * counted,
        clearance=Figure(clearance, 0.0 if measured is None or measured.bore is None else measured.bore.within),
        clearance_most_mm=most,
        rests_on=tuple(limits[name] for name in LIMITS),
    )


def _clearance_most_mm(heel: Heel, limits: Limits) -> float:
    return float(rules.heel_clearance_most_mm(heel.running_mm, limits, bushed=heel.bush_wall_mm > 0.0))
