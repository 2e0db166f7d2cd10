"""Strength of a let-in housing: its fit in the structure and what that does to the bore, what holds it, what draws it
out, and what loads on the bearing do to the structure, the housing and the weld. Guidance.

Of fit, bond, weld and locking screws the strongest alone counts as hold; friction is taken low where it holds and
high where a press has to overcome it. The structure is endless where that gives the greater pressure, and a ring of its
least wall where that gives the greater stress or the lesser hold.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import partial
from typing import TypeAlias

import numpy as np

from strutwright.models.arrays import Num, greatest, least
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, information, resting_on, worst_of
from strutwright.models.checks.results import bearing_name
from strutwright.models.checks.strength import load_cases, load_paths
from strutwright.models.checks.strength.every_case import by_its_worst_case
from strutwright.models.checks.strength.hull_bed import resting_on_hull
from strutwright.models.checks.strength.load_cases import Case
from strutwright.models.finding import Finding
from strutwright.models.formulas import bearing as bearing_rules
from strutwright.models.formulas import flange as tubes
from strutwright.models.formulas import let_in as rules
from strutwright.models.formulas import press_fit, set_screws
from strutwright.models.formulas import shaft as shafts
from strutwright.models.formulas import welds as welding
from strutwright.models.hull_bed import hull_bears
from strutwright.models.inputs import Inputs
from strutwright.models.let_in_fit import bore_closes_mm, seat_fits
from strutwright.models.shaft_support import bearing_load_n
from strutwright.models.shell_fit import elastic, pressed
from strutwright.models.spec import Strut
from strutwright.models.spec_let_in import LetIn
from strutwright.params.words import say

GROUP = "let in"
CHECKS = of_groups(GROUP)
_IN_CASES = ("let_in_pressing", "let_in_bending", "let_in_weld")
"""What is held in every load case, the worst of which is told."""
_OF_BEARING = ("seat_fit_let_in", "seat_slides_let_in", "clearance_let_in")
"""What is held of every bearing, the worst of which is told."""


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of a let-in housing by code; broadcasts.

    >>> made = numbers(engineering_inputs("skeg-sleeve"))
    >>> round(float(made["housing_fit_kept"].capacity), 3)  # 41 less 30, and 5 that the sea takes, micrometres
    0.006
    """
    it = own(inputs)
    out: dict[str, Outcome] = {}
    if it.hold == "pressed":
        out |= _pressed(inputs, it)
        if not it.bored_in_place:
            out |= _bore(inputs)
    out |= _held(inputs, it)
    if it.hold == "bedded":
        out["let_in_bond_off"] = information(0.0 * inputs.shaft_mm if it.released else _bond_n(inputs, it))
    out |= {code: worst_of(list(of.values())) for code, of in _by_case(inputs, it).items()}
    return out


def own(inputs: Inputs) -> LetIn:
    """Return how the housing is let in.

    >>> own(engineering_inputs("skeg-sleeve")).hold
    'pressed'
    """
    assert inputs.let_in is not None
    return inputs.let_in


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of a let-in housing; of what is held in every case, or of every bearing, the worst.

    >>> inputs = engineering_inputs("skeg-sleeve")
    >>> found = findings(shipped("skeg-sleeve"), inputs, numbers(inputs))
    >>> [f.code for f in found][:2]
    ['let_in_press_force', 'structure_press_stress']
    """
    it = own(inputs)
    cases, out = _by_case(inputs, it), []
    each = [Inputs.from_strut(strut, bearing=k, limits=inputs.limits) for k in range(len(strut.bearings))]
    for check in CHECKS:
        if check.code not in numbers_:
            continue
        outcome, row = numbers_[check.code], check.under(inputs.limits)
        what = row.meaning
        if check.code in _IN_CASES:
            row, what = by_its_worst_case(row, cases[check.code], inputs)
        elif check.code in _OF_BEARING and len(each) > 1:
            found = [_bore(one)[check.code] for one in each]
            worst = max(range(len(found)), key=lambda k: float(np.nan_to_num(found[k].utilisation)))
            outcome, what = found[worst], say("{what}, {name}", what=row.meaning, name=bearing_name(strut, worst))
        if check.code == "let_in_pressing":
            row = resting_on_hull(row, inputs)
        elif check.code in ("housing_press_stress", "let_in_bending", "let_in_weld"):
            row = resting_on(row, inputs.strut)
        elif check.code == "structure_press_stress":
            row = resting_on(row, inputs.hull)
        out.append(finding_of(row, outcome, inputs, what=what))
    return out


# --- the fit in the structure ---------------------------------------------------------------------------------------


def _warmer_mm(inputs: Inputs, diameter_mm: Num) -> tuple[Num, Num]:
    """What the interference loses and gains, mm, between the shop and the coldest and warmest sea."""
    hub, sleeve, shop = elastic(inputs.hull), elastic(inputs.strut), inputs.limit("shop_temperature")
    cold, warm = (
        press_fit.warmed_mm(diameter_mm, hub, sleeve, inputs.limit(f"sea_{sea}") - shop)
        for sea in ("coldest", "warmest")
    )
    return np.fmin(np.fmin(cold, warm), 0.0), np.fmax(np.fmax(cold, warm), 0.0)


def _press_n(inputs: Inputs) -> Num:
    """The greatest force to press the housing in or out: all seats grip at once."""
    friction = inputs.limit("press_friction")
    return sum(
        press_fit.press_force_n(
            np.maximum(f.most_mm, 0.0) * f.stiff.pressure_mpa, f.seat.outside_mm, f.seat.length_mm, friction
        )
        for f in seat_fits(inputs)
    )


def _pressed(inputs: Inputs, it: LetIn) -> dict[str, Outcome]:
    fits = seat_fits(inputs)
    force, share = _press_n(inputs), inputs.limit("press_stress")
    in_structure, in_housing, kept = [], [], []
    for f in fits:
        loses, gains = _warmer_mm(inputs, f.seat.outside_mm)
        tightest = np.maximum(f.most_mm + gains, 0.0)
        pressure = tightest * f.stiff.pressure_mpa
        inside = pressure * f.ring.sleeve_mises_bore_mpa / f.ring.pressure_mpa
        in_structure.append(np.where(f.sound, press_fit.mises_mpa(pressure * f.hoop, -pressure), np.inf)[()])
        in_housing.append(np.where(f.sound, inside, np.inf)[()])
        kept.append(f.least_mm + loses)
    none = 0.0 * inputs.shaft_mm
    out = {
        "let_in_press_force": at_most(force, none + (math.inf if it.press_n is None else it.press_n)),
        "structure_press_stress": at_most(greatest(in_structure), share * inputs.hull.yield_mpa),
        "housing_press_stress": at_most(greatest(in_housing), share * inputs.strut.yield_mpa),
        "housing_closure": information(bore_closes_mm(inputs)[1]),
    }
    left = least(kept)
    out["housing_fit_kept"] = Outcome(none, left, np.where(left > 0, 0.0, np.inf)[()])
    if it.press_n is None:
        out["let_in_press_force"] = Outcome(force, none + math.inf, none)
    if it.drawing is not None:
        out["let_in_drawn"] = at_least(_drawn_n(inputs, it), force)
    return out


def _drawn_n(inputs: Inputs, it: LetIn) -> Num:
    """What the screws in the drawing holes bear together: by their own yield, or the thread of screw or housing."""
    holes = it.drawing
    assert holes is not None
    share = inputs.limit("drawing_share")
    body = share * inputs.bolt.yield_mpa * holes.stress_area_mm2
    strip = share * set_screws.stripping_force_n(
        holes.major_mm,
        holes.pitch_mm,
        holes.depth_mm,
        set_screws.SHEAR_OF_YIELD * inputs.bolt.yield_mpa,
        set_screws.SHEAR_OF_YIELD * inputs.strut.yield_mpa,
    )
    return holes.count * np.minimum(body, strip)


def _bore(inputs: Inputs) -> dict[str, Outcome]:
    """What the closing of the bore does to the bearing's fit and its clearance on the shaft."""
    made = pressed(inputs)
    middle, most = bore_closes_mm(inputs)
    if inputs.fit != "press":
        return {"seat_slides_let_in": at_least(-made.fit.most_mm - most, 0.0 * most)}
    limit = np.maximum(
        inputs.limit("press_interference") * inputs.bearing_outside_mm, inputs.limit("press_interference_small")
    )
    closed = made.of(made.fit.middle_mm + middle, made.closes_per_mm)
    d = inputs.shaft_mm
    wanted = np.maximum(inputs.limit("clearance_least") * d, inputs.limit("clearance_floor"))
    left = bearing_rules.clearance_after_closure_mm(inputs.bearing_inside_mm, d, closed)
    return {"seat_fit_let_in": at_most(made.fit.most_mm + most, limit), "clearance_let_in": at_least(left, wanted)}


# --- what holds it --------------------------------------------------------------------------------------------------


def _bond_n(inputs: Inputs, it: LetIn) -> Num:
    shear = inputs.limit("bedding_shear") if it.bond_mpa is None else it.bond_mpa
    return 0.0 * inputs.shaft_mm + sum(math.pi * s.outside_mm * s.length_mm for s in it.seats) * shear


def _holds(inputs: Inputs, it: LetIn) -> tuple[Num, Num]:
    """What holds it along the shaft, N, and against turning, N mm: the strongest alone."""
    ways: list[tuple[Num, Num]] = [(0.0 * inputs.shaft_mm, 0.0 * inputs.shaft_mm)]
    across = least([s.outside_mm for s in it.seats])
    if it.hold == "pressed":
        along = turning = 0.0 * inputs.shaft_mm
        for f in seat_fits(inputs):
            loses, _ = _warmer_mm(inputs, f.seat.outside_mm)
            pressure = np.where(f.sound, np.maximum(f.least_mm + loses, 0.0) * f.ring.pressure_mpa, 0.0)[()]
            grip = press_fit.press_force_n(pressure, f.seat.outside_mm, f.seat.length_mm, inputs.limit("fit_friction"))
            along, turning = along + grip, turning + grip * f.seat.outside_mm / 2.0
        ways.append((along, turning))
    if it.hold == "bedded" and not it.released:
        bond = _bond_n(inputs, it)
        ways.append((bond, bond * across / 2.0))
    if it.hold == "welded":
        throat = welding.throat_mm(it.weld_leg_mm)
        strength = inputs.strut.ultimate_mpa / (math.sqrt(3.0) * _beta_w(inputs) * inputs.limit("joint_partial"))
        weld = math.pi * inputs.barrel_outside_mm * throat * strength
        ways.append((weld, weld * inputs.barrel_outside_mm / 2.0))
    if it.locking:
        point = set_screws.SHEAR_OF_YIELD * inputs.limit("set_screw_yield")
        one = it.locking[0]
        each = set_screws.dimple_hold_n(one.width_mm, one.bite_mm, point, inputs.strut.yield_mpa, one.point == "cone")
        ways.append((len(it.locking) * each, len(it.locking) * each * across / 2.0))
    return greatest([a for a, _ in ways]), greatest([t for _, t in ways])


def _held(inputs: Inputs, it: LetIn) -> dict[str, Outcome]:
    along, turning = _holds(inputs, it)
    drag = inputs.limit("dry_friction") * bearing_load_n(inputs)
    torque = shafts.torque_nmm(inputs.power_kw, inputs.shaft_rpm)
    out = {"let_in_held": at_least(along, drag), "let_in_turning": at_least(1e-3 * turning, 1e-3 * torque)}
    if inputs.fit == "press":
        made = pressed(inputs)
        force = press_fit.press_force_n(
            made.per_mm.pressure_mpa, inputs.seat_mm, inputs.bearing_engaged_mm, inputs.limit("press_friction")
        )
        out["let_in_pushed"] = at_least(along, made.of(made.fit.most_mm, force))
    return out


def _beta_w(inputs: Inputs) -> float:
    return welding.CORRELATION["S275" if inputs.strut.family == "steel" else "stainless"]


# --- load cases -----------------------------------------------------------------------------------------------------

Held: TypeAlias = Callable[[Case, dict[str, Num]], Outcome]
"""How a housing stands in a load case."""


def _by_case(inputs: Inputs, it: LetIn) -> dict[str, dict[str, Outcome]]:
    """Every number that is held in every load case: by code, then by the case's key; broadcasts."""
    known = load_cases.amplitudes(inputs)
    cases = [c for c in load_cases.cases(inputs) if not any(t.source == "rudder" for t in c.terms)]
    wanted: dict[str, Held] = {"let_in_pressing": _pressing(inputs, it)}
    if np.any(it.stands_out_mm > 0):
        wanted["let_in_bending"] = _bending(inputs, it)
    if it.hold == "welded":
        wanted["let_in_weld"] = _weld(inputs, it)
    return {code: {c.key: held(c, known) for c in cases} for code, held in wanted.items()}


def _reply(inputs: Inputs, from_x_mm: Num, across: Callable[[Num], Num], axial: Num, couple: Num) -> load_cases.Reply:
    """What a unit load of each group comes to: across(lever) of a newton across the shaft so far outward of from_x_mm,
    axial of one along it, couple of one N mm about it; each worked out once."""
    it = own(inputs)
    at: Mapping[load_cases.Group, Callable[[Inputs], Num]] = {
        "propeller": load_paths.carry_x_mm,
        "barrel": lambda one: 0.0 * one.bearing_x_mm,
    }
    kept: dict[load_cases.Group, Num] = {"axial": axial, "couple": couple}

    def reply(group: load_cases.Group, clock_deg: float | None) -> Num:
        if group not in kept:
            kept[group] = across(it.inward * (from_x_mm - at[group](inputs))) if group in at else 0.0
        return kept[group]

    return reply


def _x_mm(inputs: Inputs, station_mm: float) -> Num:
    return station_mm - inputs.barrel_length_mm / 2.0


def _pressing(inputs: Inputs, it: LetIn) -> Held:
    across, long = least([s.outside_mm for s in it.seats]), it.let_in_mm
    middle = _x_mm(inputs, (it.mouth_mm + it.inner_mm) / 2.0)
    reply = _reply(inputs, middle, lambda lever: rules.socket_pressure_mpa(1.0, lever, across, long), 0.0, 0.0)
    bears = hull_bears(inputs).pressure_mpa
    return lambda case, known: at_most(case.load_factor * load_cases.worst(case, known, reply), bears)


def _bending(inputs: Inputs, it: LetIn) -> Held:
    slots = inputs.slots_mm
    bent, turned = tubes.tube_modulus_mm3(inputs.barrel_outside_mm, inputs.bore_mm, slots)
    area = math.pi / 4.0 * (inputs.barrel_outside_mm**2 - inputs.bore_mm**2)
    mouth = _x_mm(inputs, it.mouth_mm)
    bends = _reply(inputs, mouth, lambda lever: np.maximum(lever, 0.0) / bent, 0.0, 0.0)
    shears = _reply(inputs, mouth, lambda lever: np.where(lever > 0, 2.0 / area, 0.0), 0.0, 1.0 / turned)

    def held(case: Case, known: dict[str, Num]) -> Outcome:
        normal, shear = (load_cases.worst(case, known, reply) for reply in (bends, shears))
        stress = np.sqrt(normal**2 + 3.0 * shear**2)
        # A flush one is not asked.
        return at_most(np.where(it.stands_out_mm > 0, stress, 0.0)[()], case.allowed_of_yield * inputs.strut.yield_mpa)

    return held


def mouth_reply(inputs: Inputs) -> load_cases.Reply:
    """Return the stress in the housing at the mouth with all of the load carried there (von Mises), MPa per N and N mm
    of a unit load.

    >>> pushed = mouth_reply(engineering_inputs("tube-liner-pair"))("axial", None)
    >>> bool(0.0 < pushed < 1e-3)
    True
    """
    bent, turned = tubes.tube_modulus_mm3(inputs.barrel_outside_mm, inputs.bore_mm, inputs.slots_mm)
    area = math.pi / 4.0 * (inputs.barrel_outside_mm**2 - inputs.bore_mm**2)

    def across(lever: Num) -> Num:
        return np.hypot(np.abs(lever) / bent, math.sqrt(3.0) * 2.0 / area)

    return _reply(inputs, _x_mm(inputs, own(inputs).mouth_mm), across, 1.0 / area, math.sqrt(3.0) / turned)


def _round_weld(inputs: Inputs) -> welding.WeldLine:
    radius = inputs.barrel_outside_mm / 2.0
    second = math.pi * radius**3
    return welding.weld_line(2.0 * math.pi * radius, second, second, radius, radius)


def weld_line_reply(inputs: Inputs) -> load_cases.Reply:
    """Return the nominal force in the fillet at the mouth, N per mm and unit load, that its root feels.

    >>> pair = engineering_inputs("tube-liner-pair")
    >>> pushed = weld_line_reply(pair)("axial", None)  # shared by all of the round
    >>> round(float(pushed * math.pi * pair.barrel_outside_mm), 6)
    1.0
    """
    felt = partial(welding.whole_at_corner, _round_weld(inputs))
    none = (0.0, 0.0, 0.0)
    return _reply(
        inputs,
        _x_mm(inputs, own(inputs).mouth_mm),
        lambda lever: felt((1.0, 0.0, 0.0), (np.abs(lever), 0.0, 0.0)),
        felt((0.0, 0.0, 1.0), none),
        felt(none, (0.0, 0.0, 1.0)),
    )


def _weld(inputs: Inputs, it: LetIn) -> Held:
    """The fillet round the housing at the mouth as a line, with all of the load on it."""
    line = _round_weld(inputs)
    flanks = tuple(welding.flank(welding.throat_mm(it.weld_leg_mm)) for _ in range(2))
    beta_w = _beta_w(inputs)

    def stress(forces: tuple[Num, Num, Num], moments: tuple[Num, Num, Num]) -> Num:
        return welding.weld_stress_mpa(line, forces, moments, sides=flanks, ends=flanks, beta_w=beta_w)

    reply = _reply(
        inputs,
        _x_mm(inputs, it.mouth_mm),
        lambda lever: stress((1.0, 0.0, 0.0), (np.abs(lever), 0.0, 0.0)),
        stress((0.0, 0.0, 1.0), (0.0, 0.0, 0.0)),
        stress((0.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
    )
    limit = welding.directional_limit_mpa(inputs.strut.ultimate_mpa, beta_w, inputs.limit("joint_partial"))
    return lambda case, known: at_most(case.load_factor * load_cases.worst(case, known, reply), limit)
