"""Checks of the bearing in its barrel: place, length, rubber, fit, clearance, and water to the flutes."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.arrays import Num, Truth
from strutwright.models.checks.check import rows_of
from strutwright.models.checks.results import Results, bearing_name, bearing_path
from strutwright.models.formulas import bearing as bearing_rules
from strutwright.models.formulas.press_fit import fit_from_limits
from strutwright.models.geometry.barrel import bearing_seat_mm, seat_limits_mm, seats_on
from strutwright.models.spec import Barrel, Bearing, Strut
from strutwright.params.words import fine_mm, mm, say

CHECKS = rows_of("bearing")
(AFT, FORWARD, POCKET, LENGTH, RUBBER, GAP, SHOULDER, WATER, CLEARANCE, LOOSE, FIT, FIT_MOST, STEP) = CHECKS


def check(out: Results) -> None:
    """Check each bearing: its place, length, rubber, clearance, fit and water.

    >>> round(found(check, "canal-tender")["bearing_rubber"].actual, 2)  # (32 - 20.11) / 2 less the shell of 3 mm
    2.95
    """
    strut, barrel, d = out.strut, out.strut.barrel, out.strut.shaft.diameter_mm
    _place(out)
    total = sum(b.length_mm for b in strut.bearings)
    out.least(LENGTH, total, "bearing_length", per=d, hard="bearing_length_hard", path=bearing_path(strut, 0, "length"))
    for i, b in enumerate(strut.bearings):
        name = bearing_name(strut, i)
        rubber = float(bearing_rules.rubber_thickness_mm(b.outside_mm, b.shell_mm, b.inside_mm))
        out.least(RUBBER, rubber, "bearing_rubber", name=name, path=bearing_path(strut, i, "shell"))
        _clearance(out, i, b, d)
        fit(out, i, b)
        _steps(out, i, b, barrel)
    _water(out)


def _place(out: Results) -> None:
    strut, barrel = out.strut, out.strut.barrel
    aftmost, foremost = strut.bearings[0], strut.bearings[-1]
    out.most(AFT, np.maximum(0.0, -aftmost.aft_station_mm), 0.0, path=bearing_path(strut, 0, "position"))
    proud = foremost.forward_station_mm - barrel.length_mm
    out.most(FORWARD, np.maximum(0.0, proud), "bearing_proud_forward", length=mm(foremost.forward_station_mm))
    # Through the room ahead of the bearing of a housing water flows: from slots, or from inside.
    flushed: Truth = strut.flange is not None and (strut.flange.base.water_inside or slots_ahead(strut))
    if strut.let_in is not None:
        flushed = strut.let_in.structure.water_inside or strut.let_in.structure.open_end or slots_ahead(strut)
    shoulders = [s.from_station_mm for s in barrel.steps if s.use.stops and s.to_station_mm >= barrel.length_mm - 1e-9]
    end = min(shoulders, default=barrel.length_mm)
    out.most(
        POCKET,
        np.maximum(0.0, end - foremost.forward_station_mm),
        "bearing_pocket",
        where=np.logical_not(flushed),
        length=mm(barrel.length_mm - (end - foremost.forward_station_mm) + 3),
    )
    if len(strut.bearings) == 2:
        _gap(out, aftmost, foremost)


def slots_ahead(strut: Strut) -> Truth:
    """Return whether water slots open into the room ahead of the foremost bearing.

    >>> slots_ahead(shipped("deadwood-cutter")), slots_ahead(shipped("canal-tender"))
    (True, False)
    """
    slots, end = strut.barrel.slots, strut.bearings[-1].forward_station_mm
    return slots is not None and slots.centre_station_mm + slots.length_mm / 2 >= end


def _gap(out: Results, aftmost: Bearing, foremost: Bearing) -> None:
    strut = out.strut
    gap = foremost.aft_station_mm - aftmost.forward_station_mm
    parameter = bearing_path(strut, 1, "position")
    advice = say(
        "move bearing[1].position (or bearing[0].position) to leave {least} to {most} between the two",
        least=mm(out.value("bearing_gap_least")),
        most=mm(out.value("bearing_gap_most")),
    )
    out.least(GAP, gap, 0.0, where=gap < 0, advice=advice, path=parameter)
    out.within(
        GAP, gap, "bearing_gap_least", "bearing_gap_most", form="apart", where=gap >= 0, advice=advice, path=parameter
    )


def _clearance(out: Results, i: int, b: Bearing, d: float) -> None:
    strut = out.strut
    path, name = bearing_path(strut, i, "running_clearance"), bearing_name(strut, i)
    clearance = b.inside_mm - d
    least = max("clearance_least", "clearance_floor", key=lambda n: out.value(n, d if n == "clearance_least" else 1.0))
    per = d if least == "clearance_least" else 1.0
    under = clearance < out.value(least, per)
    out.least(CLEARANCE, clearance, least, per=per, where=under, name=name, path=path)
    out.least(CLEARANCE, clearance, "clearance_usual", per=d, where=not under, name=name, path=path)
    most = max(
        "clearance_most", "clearance_most_small", key=lambda n: out.value(n, d if n == "clearance_most" else 1.0)
    )
    out.most(LOOSE, clearance, most, per=d if most == "clearance_most" else 1.0, name=name, path=path)


def fit(out: Results, i: int, b: Bearing) -> None:
    """Check the bore against a bearing: a press fit grips, a slide fit slides.

    >>> def first(out): fit(out, 0, out.strut.bearings[0])
    >>> "bore_fit" in found(first, "canal-tender")
    True
    """
    strut, barrel = out.strut, out.strut.barrel
    seat = bearing_seat_mm(barrel, b)
    off = b.outside_mm - seat
    lower, upper = seat_limits_mm(barrel, b)
    path = "barrel.bore" if b.measured_mm is None else "barrel.interference"
    made = fit_from_limits(lower, upper, off + b.outside_lower_mm, off + b.outside_upper_mm)
    least, most = made.least_mm, made.most_mm
    name = bearing_name(strut, i)
    band = say("{least} to {most} of interference", least=fine_mm(least), most=fine_mm(most))
    if barrel.fit == "press":
        out.least(
            FIT,
            least,
            0.0,
            warn=most > 0,
            advice=say(
                "measure the bearing in hand and give {measured}, to which the bore is made; by these "
                "limits make barrel.bore {bore} at most, or set barrel.fit to slide",
                measured=bearing_path(strut, i, "outside_measured"),
                bore=fine_mm(np.floor(1000 * (b.outside_mm + b.outside_lower_mm - upper)) / 1000),
            )
            if b.measured_mm is None
            else "ask more barrel.interference, as the bore may come out larger than the bearing",
            name=name,
            band=band,
            path=path,
        )
        small = out.value("press_interference_small") >= out.value("press_interference", b.outside_mm)
        out.most(
            FIT_MOST,
            most,
            "press_interference_small" if small else "press_interference",
            per=1.0 if small else b.outside_mm,
            advice=("open barrel.bore, or its bore_class," if b.measured_mm is None else "ask less barrel.interference")
            + " until at most {need} is left; "
            "more closes the running clearance and may crush the shell",
            name=name,
            path=path,
        )
    else:
        out.least(
            FIT,
            -most,
            "slide_clearance_least",
            hard=0.0,
            form="slide",
            name=name,
            band=band,
            bore=mm(b.outside_mm + 0.3),
        )
        out.most(FIT_MOST, -least, "slide_clearance", form="slide", name=name)


def _steps(out: Results, i: int, b: Bearing, barrel: Barrel) -> None:
    strut, name = out.strut, bearing_name(out.strut, i)
    path = bearing_path(strut, i, "position")
    for k, s in enumerate(barrel.steps):
        overlap = min(b.forward_station_mm, s.to_station_mm) - max(b.aft_station_mm, s.from_station_mm)
        where = say(
            "{name} and the {step} at stations {start} to {stop}",
            name=name,
            step=s.kind,
            start=mm(s.from_station_mm),
            stop=mm(s.to_station_mm),
        )
        if s.use.stops:
            out.most(STEP, max(0.0, overlap), 0.0, place=where, path=path, k=k)
        if s.use.clear and overlap > 0:
            seated = min(s.from_station_mm - b.aft_station_mm, b.forward_station_mm - s.to_station_mm)
            out.least(STEP, seated, "relief_from_end", form="relief", per=b.length_mm, place=where, k=k)
        if s.use.seats:
            ok = overlap <= 1e-9 or seats_on(s, b)
            out.holds(STEP, ok, form="counterbore", warn=True, place=where, k=k, overlap=mm(overlap), path=path)


def _water(out: Results) -> None:
    strut, barrel, d = out.strut, out.strut.barrel, out.strut.shaft.diameter_mm
    deep = max(strut.bearings, key=lambda b: b.flute_depth_mm)
    need = float(bearing_rules.least_shoulder_bore_mm(d, deep.flute_depth_mm))
    for k, s in enumerate(barrel.steps):
        if s.use.stops:
            out.least(SHOULDER, s.diameter_mm, need, start=mm(s.from_station_mm), stop=mm(s.to_station_mm), k=k)
    front = strut.bearings[-1]
    opening = min(
        [barrel.bore_mm]
        + [s.diameter_mm for s in barrel.steps if s.use.stops and s.from_station_mm >= front.forward_station_mm - 1e-6]
    )
    area: Num = float(bearing_rules.opening_area_mm2(opening, d))
    slots = barrel.slots
    if slots is not None:
        open_to = slots.count * (slots.width_mm * slots.length_mm - (1 - math.pi / 4) * slots.width_mm**2)
        ahead = slots.centre_station_mm + slots.length_mm / 2 > front.forward_station_mm
        area = area + np.where(ahead, open_to, 0.0)[()]
    flutes = float(bearing_rules.flute_area_mm2(front.flute_count, front.flute_width_mm, front.flute_depth_mm))
    out.least(
        WATER,
        area,
        flutes,
        unit="mm2",
        warn=True,
        path="barrel.steps" if barrel.steps else "barrel.bore",
        bore=mm(float(bearing_rules.least_opening_diameter_mm(d, flutes))),
    )
