"""Bearing and fit: pressure, clearance new, pressed in and worn, press or slide fit warm and cold, set screws.

The rubber is neglected in the fit: its modulus is a thousandth of the shell's. Bearing load: weights in air, the shaft
level and simply supported at the middle of the bearings and at the next bearing forward; running loads come on top.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.checks.demand import (
    Demand,
    Number,
    at_least,
    at_most,
    finding_of,
    findings_of,
    hint,
    information,
    resting_on,
)
from strutwright.models.checks.inputs import SCREW_YIELD_MPA, Inputs, Metal
from strutwright.models.checks.results import bearing_name, bearing_path
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import bearing as rules
from strutwright.models.formulas import loads as statics
from strutwright.models.formulas import press_fit, set_screws
from strutwright.models.formulas import shaft as shafts
from strutwright.models.formulas.press_fit import Elastic, Fit
from strutwright.models.formulas.set_screws import ScrewLength
from strutwright.models.geometry.barrel import screw_wall_of
from strutwright.models.geometry.casting import least_cast_wall_mm
from strutwright.models.spec import SetScrew, Strut
from strutwright.params import tables
from strutwright.params.words import Amount, Text, Words, fine_mm, joined, mm, say, told

SHOP_C, SEA_C = 20.0, (0.0, 35.0)
DRY_FRICTION = 0.5
"""Friction of a shaft on dry rubber, low end of 0.5 to 1; value from memory."""
RECESS_MM = 1.5
"""How far a set screw ends below the barrel's surface, room for a filler: 1 to 2 mm, common practice."""
RECESS_LEAST_MM = 1.0
"""The least of it, to which a stock length is chosen."""

_LAME = "Lame's thick cylinder (Shigley, 9th ed., eqs 7-39 to 7-49)"
_PROPELLER = ("propeller_kg", "hub_gap_mm", "hub_length_mm", "bearing_span_mm")
_P, _M, _C, _L = Standing.PUBLISHED, Standing.MEMORY, Standing.PRACTICE, Standing.LOW

PRESSURE = Number(
    "bearing_pressure",
    "bearing",
    "pressure of propeller and shaft on the bearing's projected area",
    "MPa",
    "at most",
    say("usual on fluted rubber: {30 psi} to {40 psi}"),
    _L,
    "bearing.length",
    "lengthen bearing.length, or bring the propeller nearer with propeller.hub_gap",
    _PROPELLER,
)
LOAD = Number(
    "bearing_load",
    "bearing",
    "weight of propeller and overhung shaft that the bearing carries",
    "N",
    "information",
    "statics of a shaft on two supports",
    Standing.GEOMETRY,
    "bearing.length",
    needs=_PROPELLER,
)
PRESSED = Number(
    "clearance_pressed",
    "bearing",
    "running clearance left once pressed in, middle of the fit",
    "mm",
    "at least",
    say("least clearance: 0.001 of the shaft, {0.05 mm}; closure by " + _LAME),
    _C,
    "bearing.running_clearance",
    "open the bore of the barrel (barrel.bore), or order the bearing with "
    "more bearing.running_clearance: pressing closes it",
)
PRESSED_TIGHT = Number(
    "clearance_pressed_least",
    "bearing",
    "running clearance left once pressed in, tightest of the fit",
    "mm",
    "at least",
    PRESSED.source,
    _C,
    "bearing.running_clearance",
    "measure bearing and bore and suit one to the other, or open the bore a little (barrel.bore)",
    warn=True,
)
CLOSURE = Number(
    "bore_closure",
    "bearing",
    "closure of the running bore by the tightest fit, if the rubber follows its shell",
    "mm",
    "information",
    _LAME,
    _P,
    "barrel.bore",
)
CLOSURE_STIFF = Number(
    "bore_closure_rubber",
    "bearing",
    "the same if the rubber keeps its volume and its flutes do not give",
    "mm",
    "information",
    "same volume of rubber in a smaller shell",
    Standing.GEOMETRY,
    "barrel.bore",
)
WORN = Number(
    "clearance_worn",
    "bearing",
    "worn clearance at which to replace the bearing",
    "mm",
    "information",
    say("new clearance + {1.0 mm} to shafts of {40 mm}, + {1.5 mm} to {75 mm}, + {2.0 mm} above"),
    _M,
    "bearing.running_clearance",
)
WORN_GROOVE = Number(
    "clearance_worn_groove",
    "bearing",
    "worn clearance with a flute worn to half its depth",
    "mm",
    "information",
    "46 CFR 61.20-23, rubber bearings",
    _M,
    "bearing.flutes.depth",
)
WORN_PLAN = Number(
    "clearance_worn_small_craft",
    "bearing",
    "worn clearance, small-craft rule of thumb: replace at 6 % of the shaft (plan it at half that)",
    "mm",
    "information",
    "rule of thumb",
    _L,
    "bearing.running_clearance",
)
CROOKED = Number(
    "bearing_misalignment",
    "bearing",
    "angle between shaft and bore that uses half the clearance of the new bearing once pressed in",
    "deg",
    "information",
    "atan of half the clearance over the length",
    _C,
    "bearing.running_clearance",
)
BARREL_HOOP = Number(
    "barrel_press_stress",
    "fit",
    "stress in the barrel from the tightest press fit (von Mises at the bore), coldest to warmest, against yield",
    "MPa",
    "at most",
    _LAME,
    _P,
    "barrel.wall",
    "thicken barrel.wall, or open the bore (barrel.bore)",
)
SHELL_HOOP = Number(
    "shell_press_stress",
    "fit",
    "stress in the bearing shell from the tightest press fit (von Mises "
    "at its bore), coldest to warmest, against its strength",
    "MPa",
    "at most",
    _LAME,
    _P,
    "barrel.bore",
    "open the bore (barrel.bore) for less interference, or take a bearing with a thicker bearing.shell",
)
PRESSURE_FIT = Number(
    "press_pressure",
    "fit",
    "pressure between shell and barrel, tightest fit at shop temperature",
    "MPa",
    "information",
    _LAME,
    _P,
    "barrel.bore",
)
FORCE = Number(
    "press_force",
    "fit",
    "force to press the bearing in, middle of the fit, friction 0.12",
    "N",
    "information",
    _LAME + "; friction for choosing a press, common practice",
    _C,
    "barrel.bore",
)
FORCE_MOST = Number(
    "press_force_most",
    "fit",
    "force to press the bearing in, tightest fit: do not go beyond twice the expected force",
    "N",
    "information",
    FORCE.source,
    _C,
    "barrel.bore",
)
KEPT = Number(
    "fit_kept",
    "fit",
    say("interference kept between {0 C} and {35 C} sea water, middle of the fit"),
    "mm",
    "at least",
    say("free expansion of both metals from a shop at {20 C}"),
    Standing.GEOMETRY,
    "barrel.bore",
    "bore for more interference (barrel.bore), or rely on the set screws",
    warn=True,
)
LOOSE_KEPT = Number(
    "slide_kept",
    "fit",
    say("clearance kept between {0 C} and {35 C} sea water, least of the slide fit"),
    "mm",
    "at least",
    KEPT.source,
    Standing.GEOMETRY,
    "barrel.slide_clearance",
    "give barrel.slide_clearance more: the bearing would grip and could not be drawn",
    warn=True,
)
HELD = Number(
    "bearing_held",
    "fit",
    "torque of a dry shaft on the bearing against what fit and screws hold",
    "N m",
    "at most",
    "fit at its loosest with friction 0.05, and screws in their dimples; dry friction 0.5 from memory",
    _M,
    "set_screws.positions",
    "add set screws (set_screws.positions), deepen set_screws.dimple_depth, or bore for a tighter fit",
    _PROPELLER,
    warn=True,
)
SCREWS_HOLD = Number(
    "screws_hold",
    "set screws",
    "axial force that the screws hold in their dimples, weaker of point and shell",
    "N",
    "information",
    "statics; yield of soft stainless screws from memory",
    _M,
    "set_screws.dimple_depth",
    needs=("dimple_mm",),
)
SHELL_LEFT = Number(
    "shell_under_dimple",
    "set screws",
    "shell left under a dimple",
    "mm",
    "information",
    "geometry",
    Standing.GEOMETRY,
    "set_screws.dimple_depth",
    needs=("dimple_mm",),
)
WALL_LEFT = Number(
    "wall_under_screw",
    "set screws",
    "wall at a set screw, under its flat",
    "mm",
    "information",
    "geometry",
    Standing.GEOMETRY,
    "barrel.wall",
    needs=("dimple_mm",),
)
ENGAGED = Number(
    "screw_engaged",
    "set screws",
    "thread of a set screw that carries in the barrel, recess and point taken off",
    "mm",
    "at least",
    "half a screw diameter at least: a screw that only keeps a dimple",
    _L,
    "barrel.wall",
    "thicken barrel.wall at the screws, or choose a smaller set_screws.thread",
    ("dimple_mm",),
)
STRIP = Number(
    "screw_strips",
    "set screws",
    "force that strips a set screw's thread in the barrel",
    "N",
    "information",
    "FED-STD-H28 shear areas at limit diameters",
    _P,
    "barrel.wall",
    needs=("dimple_mm",),
)
NUMBERS = (
    LOAD,
    PRESSURE,
    PRESSED,
    PRESSED_TIGHT,
    CLOSURE,
    CLOSURE_STIFF,
    CROOKED,
    WORN,
    WORN_GROOVE,
    WORN_PLAN,
    PRESSURE_FIT,
    BARREL_HOOP,
    SHELL_HOOP,
    FORCE,
    FORCE_MOST,
    KEPT,
    LOOSE_KEPT,
    HELD,
    SCREWS_HOLD,
    SHELL_LEFT,
    WALL_LEFT,
    ENGAGED,
    STRIP,
)
_PRESS_ONLY = {n.code for n in (CLOSURE, CLOSURE_STIFF, PRESSURE_FIT, BARREL_HOOP, SHELL_HOOP, FORCE, FORCE_MOST, KEPT)}
_OF_EACH = _PRESS_ONLY | {
    n.code
    for n in (
        PRESSED,
        PRESSED_TIGHT,
        CROOKED,
        WORN,
        WORN_GROOVE,
        WORN_PLAN,
        LOOSE_KEPT,
        SHELL_LEFT,
        WALL_LEFT,
        ENGAGED,
        STRIP,
    )
}
"""Of every bearing in the barrel; the rest are of all bearings together."""


def fit_band(inputs: Inputs) -> Fit:
    """Return the interference of bearing and bore from the limits of both; broadcasts."""
    off = inputs.bearing_outside_mm - inputs.seat_mm
    return press_fit.fit_from_limits(
        inputs.bore_lower_mm, inputs.bore_upper_mm, off + inputs.bearing_lower_mm, off + inputs.bearing_upper_mm
    )


def warm_shift_mm(inputs: Inputs) -> tuple[Num, Num]:
    """Return what the interference gains (mm) from the shop to the coldest and to the warmest sea; broadcasts."""
    hub, sleeve = _elastic(inputs.strut), _elastic(inputs.shell)
    cold, warm = (press_fit.warmed_mm(inputs.seat_mm, hub, sleeve, sea - SHOP_C) for sea in SEA_C)
    return cold, warm


def numbers(inputs: Inputs) -> dict[str, Demand]:
    """Return the numbers of bearing, fit and set screws by code; broadcasts."""
    d, seat = inputs.shaft_mm, inputs.seat_mm
    press = inputs.fit == "press"
    out: dict[str, Demand] = {}
    load = bearing_load_n(inputs)
    out[LOAD.code] = information(load)
    out[PRESSURE.code] = at_most(
        rules.projected_pressure_mpa(load, d, inputs.bearing_total_mm), rules.RUBBER_PRESSURE_MPA
    )

    fit, new = fit_band(inputs), inputs.bearing_inside_mm - d
    shell_bore = inputs.bearing_outside_mm - 2.0 * inputs.shell_mm
    hub, sleeve = _elastic(inputs.strut), _elastic(inputs.shell)
    sound = (shell_bore > 0) & (shell_bore < seat) & (seat < inputs.barrel_outside_mm)
    outside, inside = np.where(sound, inputs.barrel_outside_mm, 2.0 * seat), np.where(sound, shell_bore, 0.5 * seat)
    # Lame is linear in the interference: one millimetre of it gives all the others.
    per_mm = press_fit.press_fit(1.0, seat, outside, inside, hub, sleeve)

    def of(interference: Num, per: Num) -> Num:
        """A result of the fit; nothing for a clearance, infinite where the sizes make no sense."""
        return np.where(sound, np.maximum(interference, 0.0) * per, np.inf)

    closes = (fit.middle_mm, fit.most_mm) if press else (np.zeros_like(new), np.zeros_like(new))
    least = rules.least_clearance_mm(d)
    for number, interference in ((PRESSED, closes[0]), (PRESSED_TIGHT, closes[1])):
        closed = of(interference, per_mm.sleeve_bore_closure_mm)
        out[number.code] = at_least(rules.clearance_after_closure_mm(inputs.bearing_inside_mm, d, closed), least)
    left = out[PRESSED.code].capacity
    out[CROOKED.code] = information(rules.misalignment_allowed_deg(left, inputs.bearing_length_mm))
    worn = rules.worn_limits(d, new, inputs.flute_depth_mm)
    out[WORN.code] = information(worn.new_plus_practice_mm)
    out[WORN_GROOVE.code] = information(worn.new_plus_half_groove_mm)
    out[WORN_PLAN.code] = information(worn.replace_hint_mm)

    cold, warm = warm_shift_mm(inputs)
    friction_torque: Num = 0.0
    if press:
        closure = of(fit.most_mm, per_mm.sleeve_bore_closure_mm)
        stiff = rules.stiff_closure_mm(closure, shell_bore, inputs.bearing_inside_mm)
        out[CLOSURE.code], out[CLOSURE_STIFF.code] = information(closure), information(stiff)
        out[PRESSURE_FIT.code] = information(of(fit.most_mm, per_mm.pressure_mpa))
        # Where an expansion is not known the shop's temperature is all there is.
        tightest = fit.most_mm + np.fmax(np.fmax(cold, warm), 0.0)
        out[BARREL_HOOP.code] = at_most(of(tightest, per_mm.hub_mises_bore_mpa), inputs.strut.yield_mpa)
        out[SHELL_HOOP.code] = at_most(of(tightest, per_mm.sleeve_mises_bore_mpa), inputs.shell.strength_mpa)
        per_force = press_fit.press_force_n(
            per_mm.pressure_mpa, seat, inputs.bearing_engaged_mm, press_fit.FRICTION_PLANNING
        )
        out[FORCE.code] = information(of(fit.middle_mm, per_force))
        out[FORCE_MOST.code] = information(of(fit.most_mm, per_force))
        loosest = np.minimum(np.minimum(cold, warm), 0.0)
        kept = fit.middle_mm + loosest
        # What is asked of the fit is to make up for the temperature; what it has is its interference in the shop.
        out[KEPT.code] = Demand(
            0.0 * kept,
            kept,
            np.where(
                np.isnan(kept), np.nan, np.where(fit.middle_mm > 0, -loosest / np.maximum(fit.middle_mm, 1e-12), np.inf)
            )[()],
        )
        friction_torque = of(
            fit.least_mm + np.fmin(np.fmin(cold, warm), 0.0),
            press_fit.holding_torque_nmm(
                per_mm.pressure_mpa, seat, inputs.bearing_engaged_mm, press_fit.FRICTION_DRY_LOW
            ),
        )
    else:
        loosest = np.maximum(np.maximum(cold, warm), 0.0)
        kept = -fit.most_mm - loosest
        out[LOOSE_KEPT.code] = Demand(
            0.0 * kept,
            kept,
            np.where(
                np.isnan(kept), np.nan, np.where(fit.most_mm < 0, loosest / np.maximum(-fit.most_mm, 1e-12), np.inf)
            )[()],
        )
    each = screw_hold_n(inputs)
    screws = np.nan_to_num(inputs.screw_count * each)
    drag = rules.drag_torque_nmm(load, DRY_FRICTION, d)
    held = friction_torque + screws * inputs.bearing_outside_mm / 2.0
    # Each bearing takes its part of the drag by length.
    share = inputs.bearing_length_mm / inputs.bearing_total_mm
    out[HELD.code] = at_most(drag * share / 1000.0, held / 1000.0)
    if inputs.screw_count:
        out |= _screw_numbers(inputs, each)
    return out


def bearing_load_n(inputs: Inputs) -> Num:
    """Return the weight (N, in air) of propeller and shaft that the bearings carry; broadcasts; nan unknown."""
    line = shafts.weight_n_per_mm(inputs.shaft_mm, inputs.shaft.density_kg_m3)
    weight = statics.weight_n(inputs.propeller_kg)
    return statics.overhung_reactions(inputs.bearing_span_mm, inputs.overhang_mm, weight, line).strut_n


def dimple_width_mm(inputs: Inputs) -> Num:
    """Return the width of a dimple at the shell's surface, mm: of a cone by its depth, else of the point itself."""
    if inputs.screw_point == "cone":
        return set_screws.cone_width_mm(inputs.dimple_mm)
    return _point_mm(inputs)


def screw_hold_n(inputs: Inputs) -> Num:
    """Return what one screw in its dimple holds, N: the weaker of its point in shear and the shell in bearing."""
    if not inputs.screw_count:
        return 0.0
    width, conical = dimple_width_mm(inputs), inputs.screw_point in ("cone", "cup")
    point_mpa = set_screws.SHEAR_OF_YIELD * SCREW_YIELD_MPA
    return set_screws.dimple_hold_n(width, inputs.dimple_mm, point_mpa, inputs.shell.strength_mpa, conical)


def _screw_numbers(inputs: Inputs, each: Num) -> dict[str, Demand]:
    # A point's part in the wall carries no thread: a cone's is as long as half the screw is wide.
    point = {"cone": 0.5, "dog": 0.5}.get(inputs.screw_point, 0.15) * inputs.screw_major_mm
    engaged = set_screws.engaged_thread_mm(
        inputs.screw_wall_mm, RECESS_MM, point, inputs.dimple_mm, 0.5 * inputs.screw_pitch_mm
    )
    strip = set_screws.stripping_force_n(
        inputs.screw_major_mm,
        inputs.screw_pitch_mm,
        engaged,
        set_screws.SHEAR_OF_YIELD * SCREW_YIELD_MPA,
        set_screws.SHEAR_OF_YIELD * inputs.strut.yield_mpa,
    )
    return {
        SCREWS_HOLD.code: information(inputs.screw_count * each),
        SHELL_LEFT.code: information(set_screws.shell_left_mm(inputs.shell_mm, inputs.dimple_mm)),
        WALL_LEFT.code: information(inputs.screw_wall_mm),
        ENGAGED.code: at_least(engaged, 0.5 * inputs.screw_major_mm),
        STRIP.code: information(strip),
    }


def _elastic(m: Metal) -> Elastic:
    return Elastic(m.modulus_mpa, m.poisson, m.expansion_per_k)


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


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Demand]) -> list[Finding]:
    """Return the findings of bearing, fit and set screws; those of each bearing where there are two."""
    known = tuple(
        resting_on(n, inputs.strut) if n is BARREL_HOOP else resting_on(n, inputs.shell) if n is SHELL_HOOP else n
        for n in NUMBERS
    )
    if len(strut.bearings) == 1:
        out = findings_of(tuple(_of_bearing(n, strut, 0) for n in known), numbers_, inputs)
    else:
        out = findings_of(tuple(n for n in known if n.code not in _OF_EACH and n is not HELD), numbers_, inputs)
        for k in range(len(strut.bearings)):
            own = Inputs.from_strut(strut, bearing=k)
            name = bearing_name(strut, k)
            for code, demand in numbers(own).items():
                number = _of_bearing(next(n for n in known if n.code == code), strut, k)
                if code in _OF_EACH or code == HELD.code:
                    path = number.parameter
                    if path.startswith("bearing."):
                        path = bearing_path(strut, k, path.removeprefix("bearing."))
                    out.append(
                        finding_of(
                            number, demand, own, parameter=path, what=say("{what}, {name}", what=number.what, name=name)
                        )
                    )
    for k in range(len(strut.bearings)):
        out += _words(strut, Inputs.from_strut(strut, bearing=k), k)
    return out


def _of_bearing(number: Number, strut: Strut, index: int) -> Number:
    """Return a number with what is to be changed for this bearing: the bore follows a measured one by itself."""
    if strut.bearings[index].measured_mm is None or not isinstance(number.advice, str):
        return number
    own, instead = "barrel.bore", "barrel.interference"
    return replace(
        number,
        parameter=instead if number.parameter == own else number.parameter,
        advice=number.advice.replace(own, instead),
    )


def _words(strut: Strut, inputs: Inputs, index: int) -> list[Finding]:
    """Return what is more than one number: fit in figures, how to assemble, screw lengths, holding by the tables."""
    name, fit, measured = bearing_name(strut, index), fit_band(inputs), strut.bearings[index].measured_mm
    out = [
        hint(
            "fit_limits",
            "fit",
            say(
                "{name}: bore {bore}, bearing {bearing}: interference {least} to {most}"
                + (" (negative is clearance)" if fit.least_mm < 0 else ""),
                name=name,
                bore=_limits(inputs.seat_mm, inputs.bore_lower_mm, inputs.bore_upper_mm),
                bearing=_limits(inputs.bearing_outside_mm, inputs.bearing_lower_mm, inputs.bearing_upper_mm)
                if measured is None
                else say("{size} as measured", size=fine_mm(measured)),
                least=fine_mm(float(fit.least_mm)),
                most=fine_mm(float(fit.most_mm)),
            ),
            "measure the bearing in hand and give its outside_measured: the bore is made to it"
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
        hint(
            "fit_inch",
            "fit",
            say("{name}: ASME B4.1 at this size: {bands} of interference", name=name, bands=bands),
            "for comparison; the sizes measured on the bearing and the bore decide",
            "barrel.bore_class",
            source="ASME B4.1",
            standing=Standing.MEMORY,
        )
    ]


def _assembly(inputs: Inputs, name: str, fit: Fit) -> Finding:
    hub, sleeve = _elastic(inputs.strut), _elastic(inputs.shell)
    free = press_fit.free_assembly(max(float(fit.most_mm), 0.0), 0.02, inputs.seat_mm, hub, sleeve, SHOP_C)
    source = "free expansion; chill limit of rubber-lined bearings from reseller guidance"
    if math.isnan(free.heat_hub_with_chill_c):
        return hint(
            "fit_assembly",
            "fit",
            f"{name}: no expansion is known of {inputs.shell.name} or "
            f"{inputs.strut.name}; "
            "press it in, with soap or water only",
            "",
            "bearing.shell_material",
        )
    warm = float(free.heat_hub_with_chill_c)
    heat = say(" and the barrel warmed to {warm}", warm=_whole_c(warm)) if warm > SHOP_C + 0.5 else ""
    return hint(
        "fit_assembly",
        "fit",
        say(
            "{name}: slides in with {0.02 mm} to spare chilled to {chill}{heat}; colder "
            "than {coldest} harms the rubber",
            name=name,
            chill=_whole_c(float(free.sleeve_c)),
            heat=heat,
            coldest=_whole_c(press_fit.CHILL_LIMIT_C),
        ),
        "no oil or grease; push on the shell, not the rubber",
        "barrel.bore",
        actual=float(free.sleeve_c),
        unit="C",
        source=source,
        standing=Standing.PUBLISHED,
    )


def set_screw_length(strut: Strut, screw: SetScrew) -> ScrewLength | None:
    """Return the length of a set screw (mm): down to the bottom of its dimple, less RECESS_LEAST_MM, and the stock
    length below it; None where the table does not hold the thread or no length is left.

    The wall of a casting is taken at its least, so that the screw stands proud nowhere.
    """
    barrel, casting = strut.barrel, strut.casting
    lost = (
        0.0
        if casting is None
        else max((barrel.outside_mm - barrel.bore_mm) / 2 - float(least_cast_wall_mm(barrel, casting)), 0.0)
    )
    try:
        row = tables.set_screw(tables.thread(screw.thread).size, screw.point)
        reach = screw.dimple_depth_mm
        if screw.point == "cup":
            reach = float(set_screws.cup_reach_mm(reach, row.point_diameter_mm))
        return set_screws.screw_length(
            float(screw_wall_of(strut, screw).to_shell_mm) - lost, reach, RECESS_LEAST_MM, row.lengths_mm
        )
    except (tables.NotInTable, ValueError):
        return None


def _whole_c(celsius: float) -> Amount:
    return Amount(round(float(celsius)), "C")


def _screw_words(inputs: Inputs, strut: Strut, index: int, name: str) -> list[Finding]:
    first = next(s for s in strut.set_screws if s.bearing_index == index)
    size = first.thread.split("x")[0] if first.thread.upper().startswith("M") else first.thread.split("-")[0]
    try:
        screw = tables.set_screw(size, first.point)
    except tables.NotInTable as error:
        return [
            hint(
                "screw_length",
                "set screws",
                say("{name}: {error}", name=name, error=told(error)),
                "",
                "set_screws.thread",
            )
        ]
    out = []
    numbers_of: dict[ScrewLength | None, list[str]] = {}
    for s in strut.set_screws:
        if s.bearing_index == index:
            numbers_of.setdefault(set_screw_length(strut, s), []).append(str(s.number))
    for length, own in numbers_of.items():
        which = f"{name}: set screw{'s' if len(own) > 1 else ''} {', '.join(own)}"
        if length is None:
            out.append(
                hint(
                    "screw_length",
                    "set screws",
                    f"{which}: the recess leaves no room for a screw in this wall",
                    "thicken barrel.wall",
                    "barrel.wall",
                )
            )
            continue
        ideal = say(
            "{depth} to the bottom of the dimple{where} - {recess}",
            depth=mm(length.ideal_mm + RECESS_LEAST_MM),
            recess=mm(RECESS_LEAST_MM),
            where="" if strut.casting is None else " where the cast wall is least",
        )
        stock: Words = "no stock length is that short: turn one down"
        if length.stock_mm is not None:
            stock = say(
                "stock length {stock}, {recess} below flush",
                stock=mm(length.stock_mm),
                recess=mm(length.recess_mm or 0.0),
            )
        what = say(
            "{which}, {thread} {point} point, {ideal}: {stock}",
            which=which,
            thread=first.thread,
            point=first.point,
            ideal=ideal,
            stock=stock,
        )
        out.append(
            hint(
                "screw_length",
                "set screws",
                what,
                "seat by hand, then an eighth to a quarter of a turn; a catalogue's torque crushes the shell",
                "set_screws.thread",
                actual=length.stock_mm or length.ideal_mm,
                unit="mm",
                source=f"{screw.standard} stock lengths",
                standing=Standing.MEMORY,
            )
        )
    if screw.holding_lbf:
        low, high = set_screws.cup_holding_range_n(screw.holding_lbf)
        full = [f * set_screws.POUND_FORCE_N for f in screw.holding_lbf]
        seen = joined(" and ", [Amount(f, "N") for f in full])
        out.append(
            hint(
                "screw_holding_tables",
                "set screws",
                say(
                    "{name}: tables give a {size} cup point on steel {seen} and disagree by up to 2.5 to 1; on a "
                    "brass or bronze shell count {low} to {high} a screw without a dimple",
                    name=name,
                    size=size,
                    seen=seen,
                    low=Amount(low, "N"),
                    high=Amount(high, "N"),
                ),
                "drill dimples; let the fit hold and the screws back it up",
                "set_screws.dimple_depth",
                actual=high,
                unit="N",
                source="machine-design text and a public chart",
                standing=Standing.LOW,
            )
        )
    return out
