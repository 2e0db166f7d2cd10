"""Set screws from where the bearing really sits: mark-out, dimple with stop collar, and the clock of the flutes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strutwright.models.bench.fitting_case import Case, MarkedScrew
from strutwright.models.formulas import bearing as bearings
from strutwright.models.formulas.set_screws import shell_left_mm
from strutwright.params import tables
from strutwright.params.limits import Limits

BOTTOM_DEG = 180.0
"""Where the shaft lies in the bearing, as a clock angle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """Where a set screw is marked out. station_mm: from the barrel's aft face; moved_mm: from where it is drawn.

    from_ends_mm: from the bearing's aft and forward end. wall_mm: of the barrel there; dimple_mm: depth in the shell;
    collar_mm: drill point beyond the stop collar, which stands on the barrel or on its flat; shell_left_mm: under the
    dimple where the shell is least. to_flute_edge_deg: beyond the edge of the nearest flute. faults: what is wrong.
    """

    number: int
    screw: MarkedScrew
    station_mm: float
    moved_mm: float
    from_ends_mm: tuple[float, float]
    wall_mm: float
    dimple_mm: float
    collar_mm: float
    shell_left_mm: float
    to_flute_edge_deg: float | None
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clocking:
    """How the flutes are turned. first_flute_deg: clock of a flute's middle; none where flutes are not known.

    bottom_on_land: whether the shaft lies on a land; as_fitted: whether the clock was read once in.
    """

    first_flute_deg: float | None
    bottom_on_land: bool
    as_fitted: bool


def clocking(case: Case, limits: Limits, fitted_deg: float | None) -> Clocking:
    """Return how the flutes are to be turned: clear of the screws and of the bottom, or where both cannot be, of the
    screws. fitted_deg: where a flute was found once in.

    >>> clocking(fitting_case(), standard(), None).first_flute_deg  # screws at 90, the bottom at 180, 8 flutes
    22.5
    """
    count, width = case.flutes, case.flute_width_mm
    if count is None or width is None:
        return Clocking(first_flute_deg=fitted_deg, bottom_on_land=False, as_fitted=fitted_deg is not None)
    clocks = [s.clock_deg for s in case.screws]

    def past(first: float, all_of: list[float]) -> float:
        found = [bearings.flute_clock(c, count, first, width, case.inside_mm).past_flute_edge_deg for c in all_of]
        return min((float(f) for f in found), default=math.inf)

    if fitted_deg is not None:
        return Clocking(first_flute_deg=fitted_deg, bottom_on_land=past(fitted_deg, [BOTTOM_DEG]) >= 0, as_fitted=True)
    first = bearings.clearest_flute_deg([*clocks, BOTTOM_DEG], count)
    if past(first, clocks) < limits["screw_past_flute"].value:
        first = bearings.clearest_flute_deg(clocks, count)
    return Clocking(first_flute_deg=first, bottom_on_land=past(first, [BOTTOM_DEG]) >= 0, as_fitted=False)


def mark_out(case: Case, limits: Limits, clocked: Clocking) -> tuple[Marked, ...]:
    """Return where each set screw is marked out, so that it stands in the bearing as drawn.

    >>> case = fitting_case()
    >>> [round(m.station_mm, 3) for m in mark_out(case, standard(), clocking(case, standard(), None))]
    [35.0, 105.0]
    """
    return tuple(_marked(case, limits, clocked, number, screw) for number, screw in enumerate(case.screws, 1))


def _marked(case: Case, limits: Limits, clocked: Clocking, number: int, screw: MarkedScrew) -> Marked:
    station = case.sits_mm + screw.of_bearing * case.bearing_length_mm
    ends = station - case.sits_mm, case.sits_mm + case.bearing_length_mm - station
    outside = case.barrel_outside_mm / 2.0
    top = outside if screw.flat_mm is None else math.sqrt(max(outside**2 - (screw.flat_mm / 2.0) ** 2, 0.0))
    at = np.array([station])
    # What is left between bore and shell where the bearing is loose there; pressed, the shell stands on the bore.
    gap = max(float(case.bore_at(at)[0] - case.outside(at - case.sits_mm)[0]), 0.0) / 2.0
    wall = top - float(case.bore_at(at)[0]) / 2.0
    deepest = limits["dimple"].value * case.shell_least_mm
    dimple = min(screw.dimple_mm, deepest)
    first, past = clocked.first_flute_deg, None
    if first is not None and case.flutes is not None and case.flute_width_mm is not None:
        clock = bearings.flute_clock(screw.clock_deg, case.flutes, first, case.flute_width_mm, case.inside_mm)
        past = float(clock.past_flute_edge_deg)
    return Marked(
        number=number,
        screw=screw,
        station_mm=station,
        moved_mm=station - screw.station_mm,
        from_ends_mm=ends,
        wall_mm=wall,
        dimple_mm=dimple,
        collar_mm=wall + gap + dimple,
        shell_left_mm=float(shell_left_mm(case.shell_least_mm, dimple)),
        to_flute_edge_deg=past,
        faults=tuple(_faults(case, limits, screw, station, ends, past)),
    )


def _faults(
    case: Case, limits: Limits, screw: MarkedScrew, station: float, ends: tuple[float, float], past: float | None
) -> list[str]:
    out = []
    try:
        major = tables.thread(screw.thread).major_mm
    except tables.NotInTable:
        out.append("thread is not in the table")
        major = 0.0
    if min(ends) < limits["screw_bearing_end"].value * major:
        out.append("too near an end of the bearing")
    if min(station, case.barrel_length_mm - station) < limits["screw_barrel_end"].value * major:
        out.append("too near an end of the barrel")
    if past is not None and past < limits["screw_past_flute"].value:
        out.append("over a flute")
    return out
