"""Checks of the barrel: its wall along the length, under flats, at steps of the bore and at the ends."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.arrays import NotYetTyped as Num
from strutwright.models.checks.check import Check
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
from strutwright.models.geometry.tube import TUBE_OFF_MM, least_tube_wall_mm, narrowest_bore_mm, tube_boring_mm
from strutwright.models.spec import Barrel, Tube
from strutwright.params import tables
from strutwright.params.words import Words, fine_mm, mm, say

_GROUP = "barrel"
WALL = Check(
    "barrel_wall",
    _GROUP,
    "wall outside the bore over the parallel part, and outside each step of the bore",
    ("barrel_wall", "barrel_wall_hard"),
)
FLAT = Check("barrel_wall_under_flat", _GROUP, "wall left under the flat for a set screw", ("barrel_wall_under_flat",))
THREAD = Check(
    "screw_thread_in_wall",
    _GROUP,
    "length of wall for the thread of a set screw",
    ("screw_thread", "screw_thread_aluminium"),
)
END = Check(
    "barrel_end_wall",
    _GROUP,
    "wall left at a face beside the chamfer of the bore, and at a step under a fairing",
    ("barrel_end_wall", "barrel_end_wall_hard"),
)
LEAST = Check(
    "barrel_wall_least",
    _GROUP,
    "least wall of a cast barrel, its outside as cast and the bore off centre",
    ("barrel_wall_hard",),
)
SLOT = Check("slot_in_barrel", _GROUP, "water slots keep off the barrel's ends", ("slot_to_end",))
TUBE_BORE = Check(
    "tube_holds_bore", _GROUP, "the bore lies in the metal of the tube the barrel is made of", ("tube_boring",)
)
TUBE_OUTSIDE = Check("tube_holds_outside", _GROUP, "a turned outside lies in the metal of the tube", ("tube_turning",))
TUBE_WALL = Check(
    "tube_wall_least",
    _GROUP,
    "least wall of a barrel whose outside is left as the tube is bought",
    ("barrel_wall_hard",),
)
CHECKS = (WALL, LEAST, TUBE_BORE, TUBE_OUTSIDE, TUBE_WALL, FLAT, THREAD, END, SLOT)


def check(out: Results) -> None:
    """Check wall thicknesses: of the plain length, over steps, as cast, at the ends and at the set screws."""
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
            "metal from the water slots to the nearer face",
            np.minimum(s.centre_station_mm, barrel.length_mm - s.centre_station_mm) - s.length_mm / 2,
            "slot_to_end",
            per=s.width_mm,
            hard=0.0,
            parameter="barrel.slots.position",
            advice="move barrel.slots.position inward until {need} is left",
        )


def _parallel(out: Results) -> None:
    barrel, d = out.strut.barrel, out.strut.shaft.diameter_mm
    start, stop = parallel_part(barrel)
    places: list[tuple[Words, float, str, Num]] = [("wall of the plain length", barrel.bore_mm, "barrel.wall", True)]
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
            np.logical_and(s.from_station_mm < stop, s.to_station_mm > start),
        )
        for i, s in enumerate(barrel.steps)
        if s.diameter_mm > barrel.bore_mm
    ]
    for what, bore, parameter, where in places:
        out.least(
            WALL,
            what,
            (barrel.outside_mm - bore) / 2,
            "barrel_wall",
            per=d,
            hard="barrel_wall_hard",
            parameter=parameter,
            where=where,
            advice=say(
                "leave {need} of wall: barrel.outside_diameter about {outside}",
                outside=mm(bore + 2 * out.value("barrel_wall", d)),
            ),
        )


def _cast(out: Results) -> None:
    barrel, d, casting = out.strut.barrel, out.strut.shaft.diameter_mm, casting_of(out.strut)

    def larger() -> Words:
        outside = least_cast_outside_mm(float(widest_bore_mm(barrel)), out.value("barrel_wall_hard", d), casting)
        return say(
            "make barrel.outside_diameter about {outside}, or agree a finer pattern.tolerance_grade with the founder",
            outside=mm(outside),
        )

    out.least(
        LEAST,
        say(
            "least wall after boring: outside cast to {grade}, {tolerance} in all, bore {off} off "
            "its middle, core shift {shift}",
            grade=casting.tolerance_grade,
            tolerance=mm(cast_tolerance_mm(casting.tolerance_grade, barrel.outside_mm)),
            off=mm(off_centre_mm(casting)),
            shift=mm(casting.core_shift_mm),
        ),
        least_cast_wall_mm(barrel, casting),
        "barrel_wall_hard",
        per=d,
        parameter="barrel.wall",
        advice=larger,
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
            if step.diameter_mm > barrel.bore_mm:
                _end(
                    out,
                    say(
                        "wall over the {step} at station {station}, under the fairing",
                        step=step.kind,
                        station=mm(station),
                    ),
                    outside_radius_mm(barrel, station) - step.diameter_mm / 2,
                    f"barrel.steps[{i}].diameter",
                    f"leave {{need}}: make barrel.steps[{i}].diameter smaller, the step shorter or the fairing shorter",
                    beside,
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


def _end(out: Results, what: Words, wall: Num, parameter: str, advice: str, where: Num) -> None:
    out.least(
        END, what, wall, "barrel_end_wall", hard="barrel_end_wall_hard", parameter=parameter, advice=advice, where=where
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
                f"wall under the flat of set screw {s.number}",
                wall,
                "barrel_wall_under_flat",
                per=d,
                parameter="set_screws.spot_face",
                advice="make set_screws.spot_face smaller, or barrel.wall larger, to leave {need}",
                where=np.logical_and(here, s.flat_diameter_mm <= barrel.outside_mm),
            )
        out.least(
            THREAD,
            f"wall for the thread of set screw {s.number}",
            wall,
            thread_limit,
            per=s.major_mm,
            parameter="barrel.wall",
            advice="make barrel.wall about {need} at the screw, or choose a smaller set_screws.thread",
        )


def _tube(out: Results, barrel: Barrel, tube: Tube) -> None:
    """Metal of the tube for the narrowest bore, for a turned outside, and the wall under one left as bought."""
    metal = tube_boring_mm(barrel, tube)
    short = out.value("tube_boring") - metal
    out.least(
        TUBE_BORE,
        say(
            "metal to machine on each side of the narrowest bore, {bore}: the tube is hollow to "
            "{inside} at the worst of its tolerances, and the bore {off} off its outside",
            bore=mm(narrowest_bore_mm(barrel)),
            inside=fine_mm(tube.inside_most_mm),
            off=mm(TUBE_OFF_MM / 2),
        ),
        metal,
        "tube_boring",
        hard=0.0,
        parameter="barrel.tube.wall",
        advice=say(
            "choose a tube with a barrel.tube.wall of about {wall}",
            wall=mm(math.ceil(10 * tube.wall_mm * (1 + short / max(tube.wall_least_mm, 1e-9))) / 10),
        ),
    )
    if tube.turned:
        out.least(
            TUBE_OUTSIDE,
            say("metal to turn off each side of the tube, {least} at its least", least=fine_mm(tube.outside_least_mm)),
            (tube.outside_least_mm - barrel.outside_mm) / 2,
            "tube_turning",
            hard=0.0,
            parameter="barrel.tube.outside_diameter",
            advice=say(
                "choose a larger tube, or make barrel.outside_diameter {most} at most",
                most=mm(tube.outside_least_mm - 2 * out.value("tube_turning")),
            ),
        )
        return
    out.least(
        TUBE_WALL,
        say(
            "least wall under the tube's own outside, {least} at its least and {off} off the bore",
            least=fine_mm(tube.outside_least_mm),
            off=mm(TUBE_OFF_MM / 2),
        ),
        least_tube_wall_mm(barrel, tube),
        "barrel_wall_hard",
        per=out.strut.shaft.diameter_mm,
        parameter="barrel.tube.outside_diameter",
        advice="choose a tube with a larger barrel.tube.outside_diameter, so that {need} is left",
    )


def _is_aluminium(material: str) -> bool:
    try:
        return tables.material(material).family == "aluminium"
    except tables.NotInTable:
        return False
