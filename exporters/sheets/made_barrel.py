"""The barrel as it is made: what its bore and outside keep to, seats of the bearings, walls, fits."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Literal

from strutwright.exporters.drawing.ties import Tie
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.tolerances import class_limits_mm, general_tolerance_mm, tolerance_words
from strutwright.models.geometry.barrel import bearing_seat_mm, bore_points, seat_limits_mm, seat_step
from strutwright.models.geometry.casting import casting_of, least_cast_wall_mm, widest_bore_mm
from strutwright.models.spec import Barrel, Bearing, BoreStep, Strut, Tube
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM

LET_IN_COAXIAL_MM = 0.05
"""Of the outside of a housing whose bore is finished before it goes in, which then places the bearing; common practice,
no source."""
CYLINDRICITY_SHARE = 0.5  # of the seat's own tolerance; common practice, no source


def outside_made(strut: Strut) -> Literal["cast", "turned", "stock"]:
    """Return how the barrel's outside is left: as cast, turned down, or as the bar was bought."""
    if strut.construction != "welded":
        return "cast" if strut.construction == "cast" else "turned"
    if strut.barrel.tube is not None:
        return "turned" if strut.barrel.tube.turned else "stock"
    bars = tables.hollow_bars(strut.barrel.outside_mm, strut.barrel.bore_mm)
    return "turned" if bars and bars[0].outside_mm > strut.barrel.outside_mm + 0.5 else "stock"


def least_wall_mm(ctx: SheetContext) -> float:
    """Return the least wall (mm) that the tolerances leave: outside at its least, bore at its widest and off centre."""
    b = ctx.strut.barrel
    if ctx.strut.construction == "cast":
        least = float(least_cast_wall_mm(b, casting_of(ctx.strut), coaxial_mm(ctx)))
    else:
        bought = tube_as_bought(ctx.strut)
        outside = general_tolerance_mm(ctx, b.outside_mm) if bought is None else bought.outside_off_mm
        least = (b.outside_mm - outside - float(widest_bore_mm(b)) - coaxial_mm(ctx)) / 2
    step = INCH_MM / 1000 if ctx.inch else 0.1
    return math.floor(least / step + 1e-9) * step


def tube_as_bought(strut: Strut) -> Tube | None:
    """Return the tube whose outside is the barrel's, None where the outside is cast or turned."""
    tube = strut.barrel.tube
    return tube if tube is not None and not tube.turned else None


def coaxial_mm(ctx: SheetContext) -> float:
    """Return how far (mm) the outside may be off the bore, as a diameter."""
    bought = tube_as_bought(ctx.strut) is not None
    if ctx.strut.let_in is not None and not ctx.strut.let_in.bored_in_place:
        return LET_IN_COAXIAL_MM
    made = "cast" if ctx.strut.construction == "cast" else "welded"
    return ctx.limits["tube_coaxial" if bought else f"bore_coaxial_{made}"].value


def wall_mm(strut: Strut) -> float:
    """Return the wall (mm) of the parallel part, at the widest bore."""
    barrel = strut.barrel
    wide = max([barrel.bore_mm, *(s.diameter_mm for s in barrel.steps)])
    return (barrel.outside_mm - wide) / 2


def wall_where(strut: Strut) -> str:
    """Return where the least wall is, when that is not all along the bore: " at the relief"."""
    widest = max(strut.barrel.steps, key=lambda s: s.diameter_mm, default=None)
    return f" at the {widest.kind}" if widest is not None and widest.diameter_mm > strut.barrel.bore_mm else ""


def face_wall_mm(b: Barrel) -> float:
    """Return the wall (mm) behind the aft face, the lead-in and the faired end left out of account."""
    mouth = next((s.diameter_mm for s in b.steps if s.from_station_mm < 1e-6), b.bore_mm)
    return (b.outside_mm - mouth) / 2


def plain_runs(b: Barrel) -> list[tuple[float, float]]:
    """Stations between which the bore has its own size, from aft."""
    return [
        (s0, s1)
        for (s0, r0), (s1, r1) in itertools.pairwise(bore_points(b))
        if abs(r0 - b.bore_mm / 2) < 1e-9 and abs(r1 - b.bore_mm / 2) < 1e-9 and s1 - s0 > 1e-6
    ]


def _seat_class(b: Barrel, diameter_mm: float) -> str:
    """The bore's tolerance class; on a seat of another size only where its limits are the bore's."""
    if any(s.limits_mm is not None and abs(s.diameter_mm - diameter_mm) < 1e-9 for s in b.steps):
        return ""  # made to the bearing in hand
    code = b.bore_class
    if abs(diameter_mm - b.bore_mm) < 1e-9:
        return code
    upper, lower = class_limits_mm(code, diameter_mm) or (math.inf, math.inf)
    return code if abs(upper - b.bore_upper_mm) < 1e-6 and abs(lower - b.bore_lower_mm) < 1e-6 else ""


@dataclass(frozen=True, slots=True)
class Seat:
    """A length of the bore that carries one bearing or both: size and limits in mm, stations from the aft face.

    code: tolerance class, where its limits are those of one. step: the step of the bore that it is, None for the bore.
    lengths: the lengths of its size, from and to, that carry a bearing; reliefs lie between them.
    """

    name: str
    diameter_mm: float
    lower_mm: float
    upper_mm: float
    code: str
    step: BoreStep | None
    lengths: tuple[tuple[float, float], ...]

    def at_mm(self, share: float) -> float:
        """Return the station at a share of the way from its aft to its forward end."""
        start, stop = self.lengths[0][0], self.lengths[-1][1]
        return start + share * (stop - start)

    @property
    def cylindricity_mm(self) -> float:
        """Half of its own tolerance; common practice, no source."""
        return CYLINDRICITY_SHARE * (self.upper_mm - self.lower_mm)


def seats(strut: Strut) -> list[Seat]:
    """Return the lengths of the bore that carry bearings, from aft."""
    b = strut.barrel
    found: dict[int | None, list[Bearing]] = {}
    for bearing in sorted(strut.bearings, key=lambda n: n.aft_station_mm):
        step = seat_step(b, bearing)
        found.setdefault(None if step is None else b.steps.index(step), []).append(bearing)
    made: list[Seat] = []
    for index, own in found.items():
        step = None if index is None else b.steps[index]
        size = b.bore_mm if step is None else step.diameter_mm
        lower, upper = seat_limits_mm(b, own[0])
        if step is not None:
            lengths = [(max(step.from_station_mm, 0.0), min(step.to_station_mm, b.length_mm))]
        else:
            ends = [(n.aft_station_mm, n.forward_station_mm) for n in own]
            under = [r for r in plain_runs(b) if any(r[0] < fore and aft < r[1] for aft, fore in ends)]
            lengths = under or [(0.0, b.length_mm)]
        name = "forward bore" if made else common.datum_axis(strut)
        made.append(Seat(name, size, lower, upper, _seat_class(b, size), step, tuple(lengths)))
    return made


def about_bore(ctx: SheetContext) -> Tie:
    """Return the tolerance of the axis of the outside about the bore's, for the dimension of the outside."""
    zone = f"Ø{tolerance_words(ctx, coaxial_mm(ctx))}"
    return Tie(characteristic=of_axis(ctx), tolerance=zone, datums=("A",), row="barrel.coaxiality")


def of_axis(ctx: SheetContext) -> Literal["coaxiality", "position"]:
    """Return what is asked of an axis about another: on inch sheets position, for ASME Y14.5-2018 has no other sign for
    it (from memory; confirm against the standard)."""
    return "position" if ctx.inch else "coaxiality"


def seats_coaxial_mm(strut: Strut) -> float:
    """Return the diameter (mm) of the zone for the axis of one of two bores about the other's: the closer one's own
    tolerance. Common practice, no source: both are bored in one set-up.
    """
    return min(s.upper_mm - s.lower_mm for s in seats(strut))


def interference_mm(strut: Strut, bearing: Bearing) -> tuple[float, float]:
    """Return the least and the most by which a bearing is larger than its seat, mm; minus is clearance."""
    seat, (low, high) = float(bearing_seat_mm(strut.barrel, bearing)), seat_limits_mm(strut.barrel, bearing)
    return (
        bearing.outside_mm + bearing.outside_lower_mm - seat - high,
        bearing.outside_mm + bearing.outside_upper_mm - seat - low,
    )


def slot_clocks(b: Barrel) -> list[float]:
    """Return the clock angles of the water slots, the first one first; none without slots."""
    s = b.slots
    return [] if s is None else [(s.first_clock_deg + 360.0 * k / s.count) % 360.0 for k in range(s.count)]


def slot_words(ctx: SheetContext) -> str:
    """Return how many water slots there are and their size; nothing without slots."""
    s = ctx.strut.barrel.slots
    if s is None:
        return ""
    return f"{s.count}× SLOT {ctx.length(s.width_mm)} × {ctx.length(max(s.length_mm, s.width_mm))}"
