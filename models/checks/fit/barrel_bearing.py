"""Bearing and fit: pressure, clearance new, pressed in and worn, press or slide fit warm and cold, set screws.

The rubber is neglected in the fit: its modulus is a thousandth of the shell's. Clearances are those that rubber leaves
which keeps its volume, as at the bench; what it grows in warm water stands beside them. Bearing load: weights in air,
the shaft level on all bearings that the file names, each at a point; running loads come on top.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.checks.check import Check, of_groups, without_limits
from strutwright.models.checks.outcome import (
    Outcome,
    at_least,
    at_most,
    finding_of,
    findings_of,
    inform,
    information,
    resting_on,
    source_of,
)
from strutwright.models.checks.results import bearing_name, bearing_path
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import bearing as rules
from strutwright.models.formulas import press_fit, set_screws
from strutwright.models.formulas.press_fit import Fit
from strutwright.models.formulas.set_screws import ScrewLength
from strutwright.models.inputs import Inputs
from strutwright.models.rules import wear_limit_mm
from strutwright.models.screw_points import POINTS
from strutwright.models.shaft_support import OF_RUBBER, bearing_load_n, rubber_assumed
from strutwright.models.shell_fit import Pressed, elastic, fit_band, pressed, warm_shift_mm
from strutwright.models.shop.set_screws import set_screw_length
from strutwright.models.spec import SetScrew, Strut
from strutwright.params import tables
from strutwright.params.words import Amount, Text, Words, fine_mm, joined, mm, say, told

CHECKS = of_groups("bearing", "fit", "set screws")
OF_ALL = ("bearing_load", "bearing_pressure", "screws_hold")
"""Checks of all bearings together; the rest are of every bearing in the barrel."""


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of bearing, fit and set screws by code; broadcasts.

    >>> round(float(numbers(engineering_inputs("harbour-launch"))["bearing_pressure"].demand), 4)  # 173.4 N / 35 / 140
    0.0354
    """
    d, press, made = inputs.shaft_mm, inputs.fit == "press", pressed(inputs)
    load = bearing_load_n(inputs)
    pressure = rules.projected_pressure_mpa(load, d, inputs.bearing_total_mm)
    out = {"bearing_load": information(load), "bearing_pressure": at_most(pressure, inputs.limit("bearing_pressure"))}
    out |= _clearances(inputs, made, press)
    shifts = warm_shift_mm(inputs)
    out |= _press_numbers(inputs, made, *shifts) if press else _slide_numbers(made.fit, *shifts)
    friction_torque: Num = 0.0
    if press:
        friction_torque = made.of(
            made.fit.least_mm + np.fmin(np.fmin(*shifts), 0.0),
            press_fit.holding_torque_nmm(
                made.holds_mpa, inputs.seat_mm, inputs.bearing_engaged_mm, inputs.limit("fit_friction")
            ),
        )
    each = _screw_hold_n(inputs)
    screws = np.nan_to_num(inputs.screw_count * each)
    drag = rules.drag_torque_nmm(load, inputs.limit("dry_friction"), d)
    held = friction_torque + screws * inputs.bearing_outside_mm / 2.0
    # Each bearing takes its part of the drag by length.
    share = inputs.bearing_length_mm / inputs.bearing_total_mm
    out["bearing_held"] = at_most(drag * share / 1000.0, held / 1000.0)
    if inputs.screw_count:
        out |= _screw_numbers(inputs, each)
    return out


def _clearances(inputs: Inputs, made: Pressed, press: bool) -> dict[str, Outcome]:
    d = inputs.shaft_mm
    new = inputs.bearing_inside_mm - d
    closes = (made.fit.middle_mm, made.fit.most_mm) if press else (np.zeros_like(new), np.zeros_like(new))
    least = np.maximum(inputs.limit("clearance_least") * d, inputs.limit("clearance_floor"))
    out: dict[str, Outcome] = {}
    for code, interference in zip(("clearance_pressed", "clearance_pressed_least"), closes, strict=True):
        closed = made.of(interference, made.closes_per_mm)
        out[code] = at_least(rules.clearance_after_closure_mm(inputs.bearing_inside_mm, d, closed), least)
    left = out["clearance_pressed"].capacity
    out["clearance_pressed_usual"] = at_least(left, inputs.limit("clearance_usual") * d)
    for code, swell in (("clearance_wet", "rubber_swell"), ("clearance_wet_most", "rubber_swell_most")):
        out[code] = at_most(_grown_mm(inputs, inputs.limit(swell) / 100.0), np.maximum(left, 0.0))
    out["clearance_wet_most"] = information(out["clearance_wet_most"].demand)
    out["bearing_misalignment"] = information(rules.misalignment_allowed_deg(left, inputs.bearing_reach_mm))
    wear = tuple(inputs.limit(f"worn_{size}") for size in _WORN)
    worn = rules.worn_limits(d, new, inputs.flute_depth_mm, wear, inputs.limit("worn_small_craft") / 100.0)
    out["clearance_worn"] = information(wear_limit_mm(d, inputs.limit("wear_limit"), worn.new_plus_half_groove_mm))
    out["clearance_worn_practice"] = information(worn.new_plus_practice_mm)
    out["clearance_worn_groove"] = information(worn.new_plus_half_groove_mm)
    out["clearance_worn_small_craft"] = information(worn.replace_hint_mm)
    return out


def _grown_mm(inputs: Inputs, swell: float) -> Num:
    """How far the rubber closes the running bore in the warmest water, mm; swell: growth of its volume in water."""
    warmer = inputs.limit("sea_warmest") + inputs.limit("rubber_warmer") - inputs.limit("shop_temperature")
    grown = swell + inputs.limit("rubber_expansion") * 1e-6 * max(warmer, 0.0)
    layer = rules.rubber_thickness_mm(inputs.bearing_outside_mm, inputs.shell_mm, inputs.bearing_inside_mm)
    return rules.rubber_growth_mm(layer, inputs.bearing_inside_mm, inputs.flute_count, inputs.flute_width_mm, grown)


_WORN = ("small", "medium", "large")


def _press_numbers(inputs: Inputs, made: Pressed, cold: Num, warm: Num) -> dict[str, Outcome]:
    fit, per_mm = made.fit, made.per_mm
    # Where an expansion is not known the shop's temperature is all there is.
    tightest, share = fit.most_mm + np.fmax(np.fmax(cold, warm), 0.0), inputs.limit("press_stress")
    force = press_fit.press_force_n(
        per_mm.pressure_mpa, inputs.seat_mm, inputs.bearing_engaged_mm, inputs.limit("press_friction")
    )
    loosest = np.minimum(np.minimum(cold, warm), 0.0)
    hub, sleeve = (made.of(tightest, mpa) for mpa in (per_mm.hub_mises_bore_mpa, per_mm.sleeve_mises_bore_mpa))
    return {
        "bore_closure": information(made.of(fit.most_mm, per_mm.sleeve_bore_closure_mm)),
        "bore_closure_rubber": information(made.of(fit.most_mm, made.closes_per_mm)),
        "press_pressure": information(made.of(fit.most_mm, per_mm.pressure_mpa)),
        "barrel_press_stress": at_most(hub, share * inputs.strut.yield_mpa),
        "shell_press_stress": at_most(sleeve, share * inputs.shell.strength_mpa),
        "press_force": information(made.of(fit.middle_mm, force)),
        "press_force_most": information(made.of(fit.most_mm, force)),
        "fit_kept": _kept(fit.middle_mm, -loosest),
    }


def _slide_numbers(fit: Fit, cold: Num, warm: Num) -> dict[str, Outcome]:
    return {"slide_kept": _kept(-fit.most_mm, np.maximum(np.maximum(cold, warm), 0.0))}


def _kept(there: Num, lost: Num) -> Outcome:
    """What is asked of a fit is to make up for what temperature takes; what it has is what it has in the shop."""
    kept = there - lost
    used = np.where(there > 0, lost / np.maximum(there, 1e-12), np.inf)
    return Outcome(0.0 * kept, kept, np.where(np.isnan(kept), np.nan, used)[()])


def _dimple_width_mm(inputs: Inputs) -> Num:
    """Return the width of a dimple at the shell's surface, mm: of a cone by its depth, else of the point itself."""
    return POINTS[inputs.screw_point].dimple_mm(inputs.dimple_mm, _point_mm(inputs))


def _screw_hold_n(inputs: Inputs) -> Num:
    """Return what one screw in its dimple holds, N: the weaker of its point in shear and the shell in bearing."""
    if not inputs.screw_count:
        return 0.0
    width, conical = _dimple_width_mm(inputs), POINTS[inputs.screw_point].conical
    point_mpa = set_screws.SHEAR_OF_YIELD * inputs.limit("set_screw_yield")
    return set_screws.dimple_hold_n(width, inputs.dimple_mm, point_mpa, inputs.shell.strength_mpa, conical)


def _screw_numbers(inputs: Inputs, each: Num) -> dict[str, Outcome]:
    # A point's part in the wall carries no thread.
    point = POINTS[inputs.screw_point].bare * inputs.screw_major_mm
    engaged = set_screws.engaged_thread_mm(
        inputs.screw_wall_mm, inputs.limit("screw_recess"), point, inputs.dimple_mm, 0.5 * inputs.screw_pitch_mm
    )
    strip = set_screws.stripping_force_n(
        inputs.screw_major_mm,
        inputs.screw_pitch_mm,
        engaged,
        set_screws.SHEAR_OF_YIELD * inputs.limit("set_screw_yield"),
        set_screws.SHEAR_OF_YIELD * inputs.strut.yield_mpa,
    )
    return {
        "screws_hold": information(inputs.screw_count * each),
        "shell_under_dimple": information(set_screws.shell_left_mm(inputs.shell_mm, inputs.dimple_mm)),
        "wall_under_screw": information(inputs.screw_wall_mm),
        "screw_engaged": at_least(engaged, inputs.limit("screw_engaged") * inputs.screw_major_mm),
        "screw_strips": information(strip),
    }


def _point_mm(inputs: Inputs) -> float:
    """Return the diameter of a point that is not a cone, from the table, mm; half the screw where it holds none."""
    size = float(np.max(inputs.screw_major_mm))
    for name in ("set_screws_metric", "set_screws_inch"):
        for row in tables.table(name).rows:
            try:
                if abs(tables.thread(row["size"]).major_mm - size) < 0.01:
                    return tables.set_screw(row["size"], inputs.screw_point).point_diameter_mm
            except tables.NotInTable:
                continue
    return size / 2.0


# --- findings -------------------------------------------------------------------------------------------------------


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of bearing, fit and set screws; those of each bearing where there are two.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), inputs, numbers(inputs))}
    >>> found["screw_engaged"].measure("mm")  # half of M8 at least
    '4.375 mm against at least 4 mm'
    """
    worn = _WORN[int(rules.wear_class(inputs.shaft_mm))]
    others = [f"worn_{size}" for size in _WORN if size != worn]
    others += [] if inputs.more_bearings_mm and rubber_assumed(inputs) else OF_RUBBER
    known = {c.code: c.under(inputs.limits) for c in without_limits(CHECKS, *others)}
    for code, metal in (("barrel_press_stress", inputs.strut), ("shell_press_stress", inputs.shell)):
        known[code] = resting_on(known[code], metal)
    each = [Inputs.from_strut(strut, bearing=k, limits=inputs.limits) for k in range(len(strut.bearings))]
    if len(each) == 1:
        out = findings_of(tuple(_of_bearing(c, strut, 0) for c in known.values()), numbers_, inputs)
    else:
        out = findings_of(tuple(known[code] for code in known if code in OF_ALL), numbers_, inputs)
        for k, own in enumerate(each):
            out += _of_one(strut, k, known, own)
    for k, own in enumerate(each):
        out += _words(strut, own, k)
    return out


def _of_one(strut: Strut, index: int, known: Mapping[str, Check], own: Inputs) -> list[Finding]:
    """Return the findings of one bearing of two, with its name."""
    name, out = bearing_name(strut, index), []
    for code, outcome in numbers(own).items():
        if code in OF_ALL:
            continue
        check = _of_bearing(known[code], strut, index)
        path = check.parameter
        if path.startswith("bearing."):
            path = bearing_path(strut, index, path.removeprefix("bearing."))
        what = say("{what}, {name}", what=check.meaning, name=name)
        out.append(finding_of(check, outcome, own, parameter=path, what=what))
    return out


def _of_bearing(check: Check, strut: Strut, index: int) -> Check:
    """Return a check with what is to be changed for this bearing: the bore follows a measured one by itself."""
    if strut.bearings[index].measured_mm is None or not isinstance(check.advice, str):
        return check
    own, instead = "barrel.bore", "barrel.interference"
    return replace(
        check,
        parameter=instead if check.parameter == own else check.parameter,
        advice=check.advice.replace(own, instead),
    )


def _words(strut: Strut, inputs: Inputs, index: int) -> list[Finding]:
    """Return what is more than one number: fit in figures, how to assemble, screw lengths, holding by the tables."""
    name, fit, measured = bearing_name(strut, index), fit_band(inputs), strut.bearings[index].measured_mm
    out = [
        inform(
            "fit_limits",
            "fit",
            say(
                "interference of the {name}{sign}, middle of {least} to {most}; bore {bore}, bearing {bearing}",
                name=name,
                sign=" (negative is clearance)" if fit.least_mm < 0 else "",
                bore=_limits(inputs.seat_mm, inputs.bore_lower_mm, inputs.bore_upper_mm),
                bearing=_limits(inputs.bearing_outside_mm, inputs.bearing_lower_mm, inputs.bearing_upper_mm)
                if measured is None
                else say("{size} as measured", size=fine_mm(measured)),
                least=fine_mm(float(fit.least_mm)),
                most=fine_mm(float(fit.most_mm)),
            ),
            "measure the bearing in hand and give its outside_measured, to which the bore is made"
            if measured is None
            else "measure it again before boring",
            bearing_path(strut, index, "outside_measured"),
            actual=float(fit.middle_mm),
            unit="mm",
            source="ISO 286-1, or the limits given",
            standing=Standing.PUBLISHED,
        )
    ]
    if inputs.fit == "press" and fit.most_mm > 0:
        out += [*_inch_fits(inputs, name), _assembly(inputs, name, fit)]
    if inputs.screw_count:
        out += _screw_words(inputs, strut, index, name)
    return out


def _limits(size: Num, lower: Num, upper: Num) -> Text:
    return say("{least} to {most}", least=fine_mm(float(size + lower)), most=fine_mm(float(size + upper)))


def _inch_fits(inputs: Inputs, name: str) -> list[Finding]:
    """Return the inch fits that a bearing ordered in inches may be made to, for comparison."""
    try:
        made = [tables.inch_fit(fit, float(inputs.seat_mm)) for fit in ("LN2", "LN3", "FN1")]
    except tables.NotInTable:
        return []
    bands = joined(
        ", ",
        [
            say(
                "{fit} {least} to {most}",
                fit=f.name,
                least=fine_mm(f.interference_min_mm),
                most=fine_mm(f.interference_max_mm),
            )
            for f in made
        ],
    )
    return [
        inform(
            "fit_inch",
            "fit",
            say("interference of the {name} by ASME B4.1 at this size: {bands}", name=name, bands=bands),
            "for comparison; the sizes measured on the bearing and the bore decide",
            "barrel.bore_class",
            source="ASME B4.1",
            standing=Standing.MEMORY,
        )
    ]


_ASSEMBLY = ("shop_temperature", "chilled_gap", "rubber_coldest")


def _assembly(inputs: Inputs, name: str, fit: Fit) -> Finding:
    hub, sleeve = elastic(inputs.strut), elastic(inputs.shell)
    shop, gap, coldest = (inputs.limit(n) for n in _ASSEMBLY)
    free = press_fit.free_assembly(max(float(fit.most_mm), 0.0), gap, inputs.seat_mm, hub, sleeve, shop, coldest)
    source = source_of(
        "free expansion; chill limit of rubber-lined bearings from reseller guidance", inputs, *_ASSEMBLY
    )
    if math.isnan(free.heat_hub_with_chill_c):
        return inform(
            "fit_assembly",
            "fit",
            f"{name}: no expansion is known of {inputs.shell.name} or "
            f"{inputs.strut.name}; "
            "press it in, with soap or water only",
            "",
            "bearing.shell_material",
        )
    warm = float(free.heat_hub_with_chill_c)
    heat = say("barrel warmed to {warm}; ", warm=_whole_c(warm)) if warm > shop + 0.5 else ""
    return inform(
        "fit_assembly",
        "fit",
        say(
            "chilling at which the {name} slides in with {gap} to spare ({heat}colder than {coldest} harms the rubber)",
            name=name,
            heat=heat,
            coldest=_whole_c(coldest),
            gap=mm(gap),
        ),
        "no oil or grease; push on the shell, not the rubber",
        "barrel.bore",
        actual=float(free.sleeve_c),
        unit="C",
        source=source,
        standing=Standing.PUBLISHED,
    )


def _whole_c(celsius: float) -> Amount:
    return Amount(round(float(celsius)), "C")


def _screw_words(inputs: Inputs, strut: Strut, index: int, name: str) -> list[Finding]:
    first = next(s for s in strut.set_screws if s.bearing_index == index)
    try:
        size = tables.thread(first.thread).size
        screw = tables.set_screw(size, first.point)
    except tables.NotInTable as error:
        why = say("{name}: {error}", name=name, error=told(error))
        return [inform("screw_length", "set screws", why, "", "set_screws.thread")]
    out = []
    numbers_of: dict[ScrewLength | None, list[str]] = {}
    for s in strut.set_screws:
        if s.bearing_index == index:
            numbers_of.setdefault(set_screw_length(strut, s, inputs.limits), []).append(str(s.number))
    for length, own in numbers_of.items():
        which = f"set screw{'s' if len(own) > 1 else ''} {', '.join(own)} of the {name}"
        source = source_of(f"{screw.standard} stock lengths", inputs, "screw_recess_bought", "bore_coaxial_cast")
        out.append(_screw_length(strut, which, first, length, inputs.limit("screw_recess_bought"), source))
    if screw.holding_lbf:
        out.append(_screw_holding(inputs, name, size, screw.holding_lbf))
    return out


def _screw_length(
    strut: Strut, which: str, screw: SetScrew, length: ScrewLength | None, recess_mm: float, source: Words
) -> Finding:
    """How long the set screws of one length are bought. screw: one with their thread and point."""
    if length is None:
        why = f"{which}: the recess leaves no room for a screw in this wall"
        return inform("screw_length", "set screws", why, "thicken barrel.wall", "barrel.wall")
    ideal = say(
        "{depth} from the outside to the bottom of the dimple{where}, less {recess} to stay below flush",
        depth=mm(length.ideal_mm + recess_mm),
        recess=mm(recess_mm),
        where="" if strut.casting is None else " where the cast wall is least",
    )
    stock: Words = "no stock length is that short, so turn one down"
    if length.stock_mm is not None:
        words = "stock length {stock}, {recess} below flush"
        stock = say(words, stock=mm(length.stock_mm), recess=mm(length.recess_mm or 0.0))
    words = "length of {which}, {thread} {point} point ({ideal}; {stock})"
    return inform(
        "screw_length",
        "set screws",
        say(words, which=which, thread=screw.thread, point=screw.point, ideal=ideal, stock=stock),
        "seat by hand, then an eighth to a quarter of a turn; a catalogue's torque crushes the shell",
        "set_screws.thread",
        actual=length.stock_mm or length.ideal_mm,
        unit="mm",
        source=source,
        standing=Standing.MEMORY,
    )


def _screw_holding(inputs: Inputs, name: str, size: str, holding_lbf: tuple[float, ...]) -> Finding:
    """What tables say that a set screw of a size holds on steel, and what to count on here."""
    low, high = set_screws.cup_holding_range_n(holding_lbf, inputs.limit("cup_holding"))
    seen = joined(" and ", [Amount(f * set_screws.POUND_FORCE_N, "N") for f in holding_lbf])
    what = say(
        "force that a set screw of the {name} holds on a brass or bronze shell without a dimple, {low} to {high} "
        "(tables give a {size} cup point on steel {seen} and disagree by up to 2.5 to 1)",
        name=name,
        size=size,
        seen=seen,
        low=Amount(low, "N"),
        high=Amount(high, "N"),
    )
    return inform(
        "screw_holding_tables",
        "set screws",
        what,
        "drill dimples; let the fit hold and the screws back it up",
        "set_screws.dimple_depth",
        actual=high,
        unit="N",
        source=source_of("machine-design text and a public chart", inputs, "cup_holding"),
        standing=Standing.LOW,
    )
