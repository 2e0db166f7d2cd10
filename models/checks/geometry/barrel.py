"""Checks of the barrel: its wall along the length, under flats, at steps of the bore and at the ends."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.arrays import Num, Truth
from strutwright.models.checks.check import rows_of
from strutwright.models.checks.results import Results
from strutwright.models.geometry.barrel import outside_radius_mm, parallel_part, screw_wall_of, wall_mm
from strutwright.models.geometry.casting import (
    cast_tolerance_mm,
    casting_of,
    least_cast_outside_mm,
    least_cast_wall_mm,
    off_centre_mm,
    widest_bore_mm,
)
from strutwright.models.geometry.tube import least_tube_wall_mm, narrowest_bore_mm, tube_boring_mm
from strutwright.models.spec import Barrel, BoreStep, Tube
from strutwright.params import tables
from strutwright.params.words import Words, fine_mm, mm, say

CHECKS = (WALL, LEAST, TUBE_BORE, TUBE_OUTSIDE, TUBE_WALL, FLAT, THREAD, END, SLOT) = rows_of("barrel")


def check(out: Results) -> None:
    """Check wall thicknesses: of the parallel part, over steps, as cast, at the ends and at the set screws.

    >>> found(check, "canal-tender")["barrel_wall"].demanded  # a quarter of the 20 mm shaft
    5.0
    """
    strut, barrel = out.strut, out.strut.barrel
    _parallel(out)
    if strut.construction == "cast":
        _cast(out)
    if barrel.tube is not None:
        _tube(out, barrel, barrel.tube)
    _ends(out)
    _screws(out)
    if barrel.slots is not None:
        s = barrel.slots
        out.least(
            SLOT,
            np.minimum(s.centre_station_mm, barrel.length_mm - s.centre_station_mm) - s.length_mm / 2,
            "slot_to_end",
            per=s.width_mm,
            hard=0.0,
        )


def _parallel(out: Results) -> None:
    barrel, d = out.strut.barrel, out.strut.shaft.diameter_mm
    start, stop = parallel_part(barrel)
    places: list[tuple[Words, float, str, Truth]] = [("wall of the parallel part", barrel.bore_mm, "barrel.wall", True)]
    places += [
        (
            say(
                "wall over the {step} at stations {start} to {stop}",
                step=s.kind,
                start=mm(s.from_station_mm),
                stop=mm(s.to_station_mm),
            ),
            s.diameter_mm,
            f"barrel.steps[{i}].diameter",
            np.logical_and((s.from_station_mm < stop) & (s.to_station_mm > start), _wider(barrel, s)),
        )
        for i, s in enumerate(barrel.steps)
        if np.any(_wider(barrel, s))
    ]
    for what, bore, parameter, where in places:
        out.least(
            WALL,
            (barrel.outside_mm - bore) / 2,
            "barrel_wall",
            per=d,
            hard="barrel_wall_hard",
            where=where,
            thing=what,
            path=parameter,
            outside=mm(bore + 2 * out.value("barrel_wall", d)),
        )


def _wider(barrel: Barrel, step: BoreStep) -> Truth:
    """Whether a step is wider than the bore."""
    return np.asarray(np.greater(step.diameter_mm, barrel.bore_mm))[()]


def _cast(out: Results) -> None:
    barrel, d, casting = out.strut.barrel, out.strut.shaft.diameter_mm, casting_of(out.strut)
    coaxial = out.value("bore_coaxial_cast")

    def larger() -> Words:
        wall = out.value("barrel_wall_hard", d)
        outside = least_cast_outside_mm(float(widest_bore_mm(barrel)), wall, casting, coaxial)
        return say(
            "make barrel.outside_diameter about {outside}, or agree a finer pattern.tolerance_grade with the founder",
            outside=mm(outside),
        )

    out.least(
        LEAST,
        least_cast_wall_mm(barrel, casting, coaxial),
        "barrel_wall_hard",
        per=d,
        also="bore_coaxial_cast",
        advice=larger,
        grade=casting.tolerance_grade,
        tolerance=mm(cast_tolerance_mm(casting.tolerance_grade, barrel.outside_mm)),
        off=mm(off_centre_mm(casting, coaxial)),
        shift=mm(casting.core_shift_mm),
    )


def _ends(out: Results) -> None:
    """Under a fairing the wall is least at the end of a step that lies nearer to the face."""
    barrel = out.strut.barrel
    start, stop = parallel_part(barrel)
    for i, step in enumerate(barrel.steps):
        low, high = step.from_station_mm, step.to_station_mm
        for station, beside in (
            (low, np.logical_and(low > 0, low < start)),
            (high, np.logical_and(high > stop, high < barrel.length_mm)),
        ):
            if np.any(_wider(barrel, step)):
                _end(
                    out,
                    say(
                        "wall over the {step} at station {station}, under the fairing",
                        step=step.kind,
                        station=mm(station),
                    ),
                    outside_radius_mm(barrel, station) - step.diameter_mm / 2,
                    f"barrel.steps[{i}].diameter",
                    f"make barrel.steps[{i}].diameter smaller, or the step or the fairing shorter, to leave {{need}}",
                    np.logical_and(beside, _wider(barrel, step)),
                )
    for which, inset in (("aft", 0.0), ("forward", barrel.length_mm)):
        _end(
            out,
            f"wall at the {which} face beside the chamfer",
            wall_mm(barrel, inset),
            f"barrel.ends.{which}.end_diameter",
            f"enlarge barrel.ends.{which}.end_diameter or shorten barrel.lead_in.{which} to leave {{need}}",
            True,
        )


def _end(out: Results, what: Words, wall: Num, parameter: str, advice: str, where: Truth) -> None:
    out.least(
        END,
        wall,
        "barrel_end_wall",
        hard="barrel_end_wall_hard",
        where=where,
        advice=advice,
        thing=what,
        path=parameter,
    )


def _screws(out: Results) -> None:
    strut, barrel, d = out.strut, out.strut.barrel, out.strut.shaft.diameter_mm
    thread_limit = "screw_thread_aluminium" if _is_aluminium(strut.material) else "screw_thread"
    for s in strut.set_screws:
        wall = screw_wall_of(strut, s).wall_mm
        if s.flat_diameter_mm:
            here = np.logical_and(s.station_mm > 0, s.station_mm < barrel.length_mm)
            out.least(
                FLAT,
                wall,
                "barrel_wall_under_flat",
                per=d,
                where=np.logical_and(here, s.flat_diameter_mm <= barrel.outside_mm),
                number=s.number,
            )
        out.least(THREAD, wall, thread_limit, per=s.major_mm, number=s.number)


def _tube(out: Results, barrel: Barrel, tube: Tube) -> None:
    """Metal of the tube for the narrowest bore, for a turned outside, and the wall under one left as bought."""
    coaxial = out.value("tube_coaxial")
    metal = tube_boring_mm(barrel, tube, coaxial)
    short = out.value("tube_boring") - metal
    out.least(
        TUBE_BORE,
        metal,
        "tube_boring",
        hard=0.0,
        bore=mm(narrowest_bore_mm(barrel)),
        inside=fine_mm(tube.inside_most_mm),
        off=mm(coaxial / 2),
        also="tube_coaxial",
        wall=mm(math.ceil(10 * tube.wall_mm * (1 + short / max(tube.wall_least_mm, 1e-09))) / 10),
    )
    if tube.turned:
        out.least(
            TUBE_OUTSIDE,
            (tube.outside_least_mm - barrel.outside_mm) / 2,
            "tube_turning",
            hard=0.0,
            least=fine_mm(tube.outside_least_mm),
            most=mm(tube.outside_least_mm - 2 * out.value("tube_turning")),
        )
        return
    out.least(
        TUBE_WALL,
        least_tube_wall_mm(barrel, tube, coaxial),
        "barrel_wall_hard",
        per=out.strut.shaft.diameter_mm,
        least=fine_mm(tube.outside_least_mm),
        off=mm(coaxial / 2),
        also="tube_coaxial",
    )


def _is_aluminium(material: str) -> bool:
    try:
        return tables.material(material).family == "aluminium"
    except tables.NotInTable:
        return False
