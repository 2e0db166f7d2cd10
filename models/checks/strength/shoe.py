"""Strength of a rudder shoe: the rudder's force at the heel, plate, fasteners, keel, bush, and a blow from below.

The rudder force is that of IACS UR S10, written for steel ships of 24 m and more: guidance for boats. Half of it
reaches the heel.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from strutwright.models import flange_hold, shoe_hold
from strutwright.models.arrays import Num, greatest, least
from strutwright.models.bolt_heads import HEADS
from strutwright.models.checks.check import of_groups, without_limits
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, information, resting_on, worst_of
from strutwright.models.checks.strength import bolts as palm_bolts
from strutwright.models.checks.strength.flange import lag_n
from strutwright.models.checks.strength.hull_bed import resting_on_hull
from strutwright.models.checks.strength.overstrength import overstrength_limit, unused
from strutwright.models.finding import Finding
from strutwright.models.formulas import bolts as bolting
from strutwright.models.formulas import flange as flanges
from strutwright.models.formulas import shoe as rules
from strutwright.models.formulas import skeg_loads
from strutwright.models.formulas import welds as welding
from strutwright.models.hull_bed import hull_bears
from strutwright.models.inputs import Inputs
from strutwright.models.rules import heel_clearance_most_mm
from strutwright.models.spec import Strut
from strutwright.params.quantity import GRAVITY_M_S2

GROUP = "rudder shoe"
CHECKS = of_groups(GROUP)
_DEEP = 5.0
"""Diameters of a bolt's depth in the keel that its shear is spread over at most; common practice."""


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of a shoe by code; broadcasts.

    >>> made = numbers(engineering_inputs("creek-yawl"))
    >>> round(float(made["shoe_reaction"].demand), 1)  # half of 4704.5
    2352.2
    """
    force = skeg_loads.heel_reaction_n(shoe_hold.rudder_n(inputs))
    out = {
        "shoe_rudder_force": information(shoe_hold.rudder_n(inputs)),
        "shoe_rudder_small_craft": information(
            skeg_loads.small_craft_rudder_force_n(inputs.rudder_m2, inputs.boat_speed_kn)
        ),
        "shoe_reaction": information(force),
        **_plate(inputs, force),
        **_fasteners(inputs, force),
        **_bush(inputs, force),
        **_blow(inputs),
    }
    if inputs.construction == "welded":
        out["shoe_weld"] = _weld(inputs, force)
    flange = inputs.flange
    if flange is not None and flange.fastener != "through_bolt":
        times = inputs.limit("engaged_timber" if inputs.hull.family == "timber" else "engaged_metal")
        out["shoe_engaged"] = at_least(flange.engaged_mm, times * inputs.bolt_mm)
        out["shoe_keel_deep_enough"] = at_least(inputs.hull_mm, flange.engaged_mm + inputs.bolt_mm)
    return out


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings about one shoe.

    >>> inputs = engineering_inputs("creek-yawl")
    >>> found = {f.code: f for f in findings(shipped("creek-yawl"), inputs, numbers(inputs))}
    >>> found["shoe_bush_pressure"].measure("mm")  # half of the rudder's force on 32 x 38
    '1.934 MPa against at most 7 MPa'
    """
    other = ("metal",) if _soft(inputs) else ("synthetic", "slope")
    names = [f"heel_{what}_{kind}" for what in ("pressure", "clearance") for kind in other]
    timber = inputs.hull.family == "timber"
    names += ["engaged_metal" if timber else "engaged_timber"]
    if inputs.flange is None or inputs.flange.fastener != "lag_screw":
        names += ["lag_safety", "lag_wet", "lag_end_grain"]
    out = []
    for check in without_limits(CHECKS, *names, *unused(inputs)):
        if check.code not in numbers_:
            continue
        row = check.under(inputs.limits)
        if check.code in ("shoe_keel_pins", "shoe_keel_pull", "shoe_pressing"):
            row = resting_on_hull(row, inputs)
        elif check.code in ("shoe_stress", "shoe_weld"):
            row = resting_on(row, inputs.strut)
        out.append(finding_of(row, numbers_[check.code], inputs))
    return out


def _soft(inputs: Inputs) -> bool:
    """Whether the bush is of rubber or plastic."""
    fluted = bool(np.any(np.asarray(inputs.flute_count) > 0))
    return fluted or inputs.shell.family == "composite"


def _lever_mm(inputs: Inputs) -> Num:
    """From the middle of the plate's thickness to where the stock bears, the worst end of the bush."""
    _, _, plate = shoe_hold.own(inputs)
    return np.abs(shoe_hold.below_mm(inputs) - plate.thickness_mm / 2.0)


def sections_mpa(inputs: Inputs, force: Num, weight: Num) -> list[Num]:
    """Return the stress (von Mises), MPa, in each section of the plate that is looked at, from the boss forward.

    force: sideways at the heel, N; weight: down on it, N.

    >>> yawl = engineering_inputs("creek-yawl")
    >>> round(float(sections_mpa(yawl, 0.0, 1000.0)[-1]), 1)  # 200 N m on 83.6 x 22, and a little of shear
    29.7
    """
    shoe, _, plate = shoe_hold.own(inputs)
    twist, t = force * _lever_mm(inputs), plate.thickness_mm
    widths = shoe_hold.net_widths_mm(inputs)
    return [
        rules.section_stress_mpa((force * u, weight * u), np.hypot(force, weight), twist, w, t)
        for u, w in zip(shoe.sections_mm, widths, strict=True)
    ]


def _plate(inputs: Inputs, force: Num) -> dict[str, Outcome]:
    shoe, _, plate = shoe_hold.own(inputs)
    t, widths = plate.thickness_mm, shoe_hold.net_widths_mm(inputs)
    stress = greatest(sections_mpa(inputs, force, shoe_hold.weight_n(inputs)))
    k = skeg_loads.material_factor(inputs.strut.yield_mpa, inputs.strut.ultimate_mpa)
    rows = list(zip(shoe.sections_mm, widths, strict=True))
    need = [skeg_loads.sole_piece_modulus_cm3(force, u / 1000.0, k) / (t * w * w / 6000.0) for u, w in rows]
    give = shoe_hold.give_mm_n(inputs)
    return {
        "shoe_stress": at_most(stress, inputs.limit("yield_service") * inputs.strut.yield_mpa),
        "shoe_modulus": at_most(greatest(need), 1.0),
        "shoe_deflection": information(force * give),
        "shoe_spring": information(1.0 / give),
    }


def _load_factor(inputs: Inputs) -> float:
    """Partial factor of the rudder's force, as of a variable load that may use half of yield."""
    return max(1.0, inputs.limit("load_factor") * 0.5 / inputs.limit("yield_service"))


def _steel(inputs: Inputs, shear: Num, pull: Num) -> Num:
    """How far shear and pull of a fastener use its steel up."""
    fub, area, partial = inputs.bolt.ultimate_mpa, inputs.bolt_stress_mm2, inputs.limit("joint_partial")
    conical = HEADS[inputs.bolt_kind].conical
    return bolting.combined_utilisation(
        shear,
        pull,
        bolting.bolt_shear_resistance_n(fub, area, partial),
        bolting.bolt_tension_resistance_n(fub, area, partial, countersunk=conical),
    )


def _pried(inputs: Inputs) -> Num:
    """How much harder the plate pries on a fastener: from its middle, or from the fastener's side, to the hole, over
    hole to edge."""
    _, _, plate = shoe_hold.own(inputs)
    holes = flange_hold.holes_of(plate)
    lever = np.maximum(greatest([np.abs(v) for _, v in holes]), inputs.bolt_mm / 2.0)
    edge = least([gap for _, v in holes for gap in (plate.port_mm - v, v - plate.starboard_mm)]) - plate.edge_lost_mm
    return 1.0 + flanges.pried_share(lever, np.maximum(edge, 1e-6))


def _pulls(inputs: Inputs, force: Num) -> tuple[Num, Num]:
    """Pull of the hardest pulled fastener with the rudder hard over, N, and the pressure on the keel, MPa."""
    side, down, weight = shoe_hold.hang(inputs, "side"), shoe_hold.hang(inputs, "down"), shoe_hold.weight_n(inputs)
    pried = _pried(inputs)
    pull = force * side.pulled(pried) + weight * down.pulled(pried)
    return pull, force * side.pressure + weight * down.pressure


def _fasteners(inputs: Inputs, force: Num) -> dict[str, Outcome]:
    flange, factor = inputs.flange, _load_factor(inputs)
    assert flange is not None
    shear = force * shoe_hold.shear_per_n(inputs)
    pull, pressure = _pulls(inputs, force)
    bears = hull_bears(inputs)
    deep = np.minimum(inputs.hull_mm, _DEEP * inputs.bolt_mm)
    if flange.fastener != "through_bolt":
        deep = np.minimum(deep, flange.engaged_mm)
    held = {
        "shoe_bolts": at_most(_steel(inputs, factor * shear, factor * pull), 1.0),
        "shoe_bearing_in_plate": _in_plate(inputs, factor * shear),
        "shoe_keel_pins": at_most(bolting.pin_pressure_mpa(factor * shear, inputs.bolt_mm, deep), bears.pin_mpa),
        "shoe_pressing": at_most(factor * pressure, bears.pressure_mpa),
    }
    if flange.fastener == "through_bolt":
        used = worst_of(list(palm_bolts.in_hull(inputs, factor * pull).values()))
        held["shoe_keel_pull"] = at_most(used.utilisation, 1.0)
    elif flange.fastener == "lag_screw":
        held["shoe_keel_pull"] = at_most(pull / lag_n(inputs), 1.0)
    return held


def _in_plate(inputs: Inputs, shear: Num) -> Outcome:
    """Shear of a fastener against the plate beside its hole."""
    _, _, plate = shoe_hold.own(inputs)
    u, v = zip(*flange_hold.holes_of(plate), strict=True)
    group = bolting.bolt_group(
        u, v, plate.aft_mm, plate.forward_mm, plate.starboard_mm, plate.port_mm, plate.edge_lost_mm
    )
    head = inputs.bolt_head_depth_mm if HEADS[inputs.bolt_kind].recess else 0.0
    thick = np.maximum(plate.thickness_mm - 0.5 * head, 0.1)
    bears = bolting.bearing_resistance_n(
        inputs.bolt_mm,
        inputs.bolt_hole_mm,
        thick,
        plate_tensile_mpa=inputs.strut.ultimate_mpa,
        bolt_tensile_mpa=inputs.bolt.ultimate_mpa,
        edge_mm=group.least_edge_mm,
        pitch_mm=group.least_pitch_mm,
        gamma=inputs.limit("joint_partial"),
    )
    return at_most(shear, bears)


def _bush(inputs: Inputs, force: Num) -> dict[str, Outcome]:
    soft = _soft(inputs)
    allowed = inputs.limit("heel_pressure_synthetic" if soft else "heel_pressure_metal")
    bush = skeg_loads.heel_bush(force, inputs.shaft_mm, shoe_hold.bush_length_mm(inputs), allowed)
    room = heel_clearance_most_mm(inputs.shaft_mm, inputs.limits, bushed=soft)
    return {
        "shoe_bush_pressure": at_most(bush.pressure_mpa, allowed),
        "shoe_bush_length_least": information(bush.least_length_mm),
        "shoe_clearance": at_most(inputs.bearing_inside_mm - inputs.shaft_mm, room),
    }


def _blow(inputs: Inputs) -> dict[str, Outcome]:
    """A blow from below: the plate bends over the keel's end or short of it, and the fasteners have to outlast it."""
    shoe, _, plate = shoe_hold.own(inputs)
    end, t = shoe.keel_end_mm, plate.thickness_mm
    widths = shoe_hold.net_widths_mm(inputs)
    places = [(np.minimum(u, end), w) for u, w in zip(shoe.sections_mm, widths, strict=True)]
    places.append((end, np.maximum(shoe.keel_end_width_mm, 1e-3)))
    gives = least([rules.blow_that_bends_n(inputs.strut.yield_mpa, w, t, np.maximum(u, 1e-3)) for u, w in places])
    hardest = inputs.limit(overstrength_limit(inputs)) * gives
    pull = hardest * shoe_hold.hang(inputs, "up").pulled(_pried(inputs))
    used = [at_most(_steel(inputs, 0.0, pull), 1.0)]
    boat = inputs.displacement_kg * GRAVITY_M_S2
    return {
        "shoe_blow": information(gives),
        "shoe_blow_fasteners": worst_of(used),
        "shoe_blow_weight": information(100.0 * gives / boat),
    }


def _weld(inputs: Inputs, force: Num) -> Outcome:
    """The fillet round the boss at the plate's lower face as a line; nothing is counted on at the upper face."""
    flange, plate = flange_hold.own(inputs)
    radius = inputs.barrel_outside_mm / 2.0
    second, round_mm = math.pi * radius**3, 2.0 * math.pi * radius
    line = welding.weld_line(round_mm, second, second, radius, radius)
    off = flange.off_square_deg
    flanks = tuple(welding.flank(welding.throat_mm(flange.root_mm, a), a) for a in (90.0 - off, 90.0 + off))
    beta_w = welding.CORRELATION["S275" if inputs.strut.family == "steel" else "stainless"]
    lever = np.abs(shoe_hold.below_mm(inputs) - plate.thickness_mm)
    stress = welding.weld_stress_mpa(
        line,
        (force, 0.0, shoe_hold.weight_n(inputs)),
        (force * lever, 0.0, 0.0),
        sides=flanks,
        ends=flanks,
        beta_w=beta_w,
    )
    limit = welding.directional_limit_mpa(inputs.strut.ultimate_mpa, beta_w, inputs.limit("joint_partial"))
    return at_most(_load_factor(inputs) * stress, limit)
