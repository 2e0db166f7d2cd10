"""Checks of the bearing in its barrel: place, length, rubber, fit, clearance, and water to the flutes."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.checks.check import Check
from strutwright.models.checks.results import Results, bearing_name, bearing_path
from strutwright.models.formulas import bearing as bearing_rules
from strutwright.models.formulas.press_fit import fit_from_limits
from strutwright.models.geometry.barrel import bearing_seat_mm, seat_limits_mm, seats_on
from strutwright.models.spec import Barrel, Bearing
from strutwright.params.words import fine_mm, mm, say

_GROUP = "bearing"
AFT = Check("bearing_proud_aft", _GROUP, "the bearing does not stand out of the aft face")
FORWARD = Check(
    "bearing_proud_forward", _GROUP, "how far the bearing stands out of the forward face", ("bearing_proud_forward",)
)
POCKET = Check("bearing_pocket", _GROUP, "empty pocket of the bore ahead of the bearing", ("bearing_pocket",))
LENGTH = Check(
    "bearing_length",
    _GROUP,
    "length of bearing in the barrel against the shaft",
    ("bearing_length", "bearing_length_hard"),
)
RUBBER = Check("bearing_rubber", _GROUP, "rubber between shell and running surface", ("bearing_rubber",))
GAP = Check("bearing_gap", _GROUP, "room between two bearings", ("bearing_gap_least", "bearing_gap_most"))
SHOULDER = Check("shoulder_clears_flutes", _GROUP, "the bore of a shoulder leaves the flutes open")
WATER = Check("water_opening", _GROUP, "clear opening ahead of the bearing against the area of the flutes")
CLEARANCE = Check(
    "running_clearance", _GROUP, "running clearance of the new bearing, least", ("clearance_least", "clearance_floor")
)
LOOSE = Check(
    "running_clearance_loose",
    _GROUP,
    "running clearance of the new bearing, greatest",
    ("clearance_most", "clearance_most_small"),
)
FIT = Check("bore_fit", _GROUP, "bore against bearing: a press fit grips, a slide fit slides")
FIT_MOST = Check(
    "bore_fit_greatest",
    _GROUP,
    "greatest interference or clearance of the fit",
    ("press_interference", "press_interference_small", "slide_clearance"),
)
STEP = Check(
    "bearing_on_step",
    _GROUP,
    "the bearing seats on one diameter and its ends stand clear of a relief",
    ("relief_from_end",),
)
CHECKS = (AFT, FORWARD, POCKET, LENGTH, RUBBER, GAP, SHOULDER, WATER, CLEARANCE, LOOSE, FIT, FIT_MOST, STEP)


def check(out: Results) -> None:
    """Check each bearing: its place, length, rubber, clearance, fit and water."""
    strut, barrel, d = out.strut, out.strut.barrel, out.strut.shaft.diameter_mm
    _place(out)
    total = sum(b.length_mm for b in strut.bearings)
    out.least(
        LENGTH,
        "length of bearing",
        total,
        "bearing_length",
        per=d,
        hard="bearing_length_hard",
        parameter=bearing_path(strut, 0, "length"),
        advice="make bearing.length about {need}, and barrel.length with it; shorter wants the maker's proof",
    )
    for i, b in enumerate(strut.bearings):
        name = bearing_name(strut, i)
        rubber = float(bearing_rules.rubber_thickness_mm(b.outside_mm, b.shell_mm, b.inside_mm))
        out.least(
            RUBBER,
            f"rubber of the {name}",
            rubber,
            "bearing_rubber",
            parameter=bearing_path(strut, i, "shell"),
            advice="check shell and outside diameter; {need} of rubber is wanted",
        )
        _clearance(out, i, b, d)
        _fit(out, i, b)
        _steps(out, i, b, barrel)
    _water(out)


def _place(out: Results) -> None:
    strut, barrel = out.strut, out.strut.barrel
    aftmost, foremost = strut.bearings[0], strut.bearings[-1]
    out.most(
        AFT,
        "bearing proud of the aft face",
        np.maximum(0.0, -aftmost.aft_station_mm),
        0.0,
        parameter=bearing_path(strut, 0, "position"),
        advice="move bearing.position so that the aft end is flush; leave any extra length forward",
    )
    proud = foremost.forward_station_mm - barrel.length_mm
    out.most(
        FORWARD,
        "bearing proud of the forward face",
        np.maximum(0.0, proud),
        "bearing_proud_forward",
        parameter="barrel.length",
        advice=say("make barrel.length about {length}, or the bearing shorter", length=mm(foremost.forward_station_mm)),
    )
    shoulders = [
        s.from_station_mm for s in barrel.steps if s.kind == "shoulder" and s.to_station_mm >= barrel.length_mm - 1e-9
    ]
    end = min(shoulders, default=barrel.length_mm)
    out.most(
        POCKET,
        "pocket ahead of the bearing",
        np.maximum(0.0, end - foremost.forward_station_mm),
        "bearing_pocket",
        parameter="barrel.length",
        advice=say(
            "make barrel.length about {length}, or the bearing longer; the pocket collects silt",
            length=mm(barrel.length_mm - (end - foremost.forward_station_mm) + 3),
        ),
    )
    if len(strut.bearings) == 2:
        _gap(out, aftmost, foremost)


def _gap(out: Results, aftmost: Bearing, foremost: Bearing) -> None:
    strut = out.strut
    gap = foremost.aft_station_mm - aftmost.forward_station_mm
    parameter = bearing_path(strut, 1, "position")
    advice = say(
        "move bearing[1].position (or bearing[0].position): {least} to {most} between the two",
        least=mm(out.value("bearing_gap_least")),
        most=mm(out.value("bearing_gap_most")),
    )
    out.least(
        GAP, "room between the two bearings, which overlap", gap, 0.0, parameter=parameter, advice=advice, where=gap < 0
    )
    out.within(
        GAP,
        "room between the two bearings",
        gap,
        "bearing_gap_least",
        "bearing_gap_most",
        parameter=parameter,
        advice=advice,
        where=gap >= 0,
    )


def _clearance(out: Results, i: int, b: Bearing, d: float) -> None:
    strut = out.strut
    path, name = bearing_path(strut, i, "running_clearance"), bearing_name(strut, i)
    clearance = b.inside_mm - d
    least = max("clearance_least", "clearance_floor", key=lambda n: out.value(n, d if n == "clearance_least" else 1.0))
    out.least(
        CLEARANCE,
        f"running clearance of the {name}, before pressing",
        clearance,
        least,
        per=d if least == "clearance_least" else 1.0,
        parameter=path,
        advice=f"give {path} at least {{need}} and what the press fit closes",
    )
    most = max(
        "clearance_most", "clearance_most_small", key=lambda n: out.value(n, d if n == "clearance_most" else 1.0)
    )
    out.most(
        LOOSE,
        f"running clearance of the {name}",
        clearance,
        most,
        per=d if most == "clearance_most" else 1.0,
        parameter=path,
        advice=f"bring {path} down to {{need}}: the bearing would start half worn",
    )


def _fit(out: Results, i: int, b: Bearing) -> None:
    strut, barrel = out.strut, out.strut.barrel
    seat = bearing_seat_mm(barrel, b)
    off = b.outside_mm - seat
    lower, upper = seat_limits_mm(barrel, b)
    path = "barrel.bore" if b.measured_mm is None else "barrel.interference"
    fit = fit_from_limits(lower, upper, off + b.outside_lower_mm, off + b.outside_upper_mm)
    least, most = float(fit.least_mm), float(fit.most_mm)
    name = bearing_name(strut, i)
    band = say("{least} to {most} of interference", least=fine_mm(least), most=fine_mm(most))
    if barrel.fit == "press":
        out.least(
            FIT,
            say("least interference of the {name} in the bore ({band})", name=name, band=band),
            least,
            0.0,
            warn=most > 0,
            parameter=path,
            advice=say(
                "measure the bearing in hand and give {measured}: the bore is made to it; by these "
                "limits barrel.bore at most {bore}, or set barrel.fit to slide",
                measured=bearing_path(strut, i, "outside_measured"),
                bore=fine_mm(math.floor(1000 * (b.outside_mm + b.outside_lower_mm - upper)) / 1000),
            )
            if b.measured_mm is None
            else "ask more barrel.interference: the bore may come out larger than the bearing",
        )
        small = out.value("press_interference_small") >= out.value("press_interference", b.outside_mm)
        out.most(
            FIT_MOST,
            f"greatest interference of the {name}",
            most,
            "press_interference_small" if small else "press_interference",
            per=1.0 if small else b.outside_mm,
            parameter=path,
            advice=("open barrel.bore, or its bore_class," if b.measured_mm is None else "ask less barrel.interference")
            + " until at most {need} is left: "
            "more closes the running clearance and may crush the shell",
        )
    else:
        out.least(
            FIT,
            say("least clearance of the {name} in the bore ({band})", name=name, band=band),
            -most,
            0.0,
            parameter="barrel.slide_clearance",
            advice=say(
                "a slide fit must slide: barrel.slide_clearance about {0.3 mm} (bore {bore})",
                bore=mm(b.outside_mm + 0.3),
            ),
        )
        out.most(
            FIT_MOST,
            f"greatest clearance of the {name}",
            -least,
            "slide_clearance",
            parameter="barrel.slide_clearance",
            advice="bring barrel.slide_clearance down to {need} or less",
        )


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
        if s.kind == "shoulder":
            out.most(
                STEP,
                say("overlap of {where}", where=where),
                max(0.0, overlap),
                0.0,
                parameter=path,
                advice=f"move {path} off the shoulder by the overlap, or shorten barrel.steps[{k}].length",
            )
        elif s.kind == "relief" and overlap > 0:
            seated = min(s.from_station_mm - b.aft_station_mm, b.forward_station_mm - s.to_station_mm)
            out.least(
                STEP,
                say("bore seated beyond the relief, {where}", where=where),
                seated,
                "relief_from_end",
                per=b.length_mm,
                parameter=f"barrel.steps[{k}].length",
                advice=f"shorten or move barrel.steps[{k}]: keep {{need}} of the bore at each end of the bearing",
            )
        elif s.kind == "counterbore":
            ok = overlap <= 1e-9 or seats_on(s, b)
            out.holds(
                STEP,
                say("{where}: on one diameter", where=where),
                ok,
                warn=True,
                parameter=f"barrel.steps[{k}].length",
                advice=say(
                    "{overlap} of the bearing stands in the counterbore without support: shorten "
                    "barrel.steps[{k}].length or move {path}",
                    overlap=mm(overlap),
                    k=k,
                    path=path,
                ),
            )


def _water(out: Results) -> None:
    strut, barrel, d = out.strut, out.strut.barrel, out.strut.shaft.diameter_mm
    deep = max(strut.bearings, key=lambda b: b.flute_depth_mm)
    need = float(bearing_rules.least_shoulder_bore_mm(d, deep.flute_depth_mm))
    for k, s in enumerate(barrel.steps):
        if s.kind == "shoulder":
            out.least(
                SHOULDER,
                say(
                    "bore of the shoulder at stations {start} to {stop}",
                    start=mm(s.from_station_mm),
                    stop=mm(s.to_station_mm),
                ),
                s.diameter_mm,
                need,
                parameter=f"barrel.steps[{k}].diameter",
                advice=f"open barrel.steps[{k}].diameter to {{need}}: shaft and two flutes deep",
            )
    front = strut.bearings[-1]
    opening = min(
        [barrel.bore_mm]
        + [
            s.diameter_mm
            for s in barrel.steps
            if s.kind == "shoulder" and s.from_station_mm >= front.forward_station_mm - 1e-6
        ]
    )
    area = float(bearing_rules.opening_area_mm2(opening, d))
    slots = barrel.slots
    if slots is not None and slots.centre_station_mm + slots.length_mm / 2 > front.forward_station_mm:
        area += slots.count * (slots.width_mm * slots.length_mm - (1 - math.pi / 4) * slots.width_mm**2)
    flutes = float(bearing_rules.flute_area_mm2(front.flute_count, front.flute_width_mm, front.flute_depth_mm))
    out.least(
        WATER,
        "clear opening ahead of the flutes",
        area,
        flutes,
        unit="mm2",
        warn=True,
        parameter="barrel.steps" if barrel.steps else "barrel.bore",
        advice=say(
            "open the forward mouth to {bore} or add barrel.slots ahead of the bearing",
            bore=mm(float(bearing_rules.least_opening_diameter_mm(d, flutes))),
        ),
    )
