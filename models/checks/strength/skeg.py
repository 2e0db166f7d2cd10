"""The skeg that carries the rudder's heel: force, root, foot, bush, deflection, and twist of the strut by it.

The rudder force is that of IACS UR S10, written for steel ships of 24 m and more: guidance for boats. Half of it
reaches the heel. The strut's arms, palm and bolts meet it as the load case "rudder" in their own modules.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from strutwright.models.arrays import Num, greatest, least
from strutwright.models.checks.check import of_groups, without_limits
from strutwright.models.checks.hull_words import HULL_ENDS, ranged
from strutwright.models.checks.outcome import Outcome, at_least, at_most, findings_of, inform, information, worst_of
from strutwright.models.checks.strength import load_cases, load_paths, skeg_blows
from strutwright.models.checks.strength.overstrength import overstrength_limit, unused
from strutwright.models.checks.strength.skeg_blows import chord_mm, fin_at, foot_reach_mm
from strutwright.models.finding import Finding
from strutwright.models.formulas import barrel_ring
from strutwright.models.formulas import skeg_loads as rules
from strutwright.models.hull_stiffness import End
from strutwright.models.input_parts import HeelInputs, SkegInputs
from strutwright.models.inputs import Inputs
from strutwright.models.rules import heel_clearance_most_mm
from strutwright.models.spec import Strut

GROUP = "skeg"
CHECKS = of_groups(GROUP)


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of a skeg by code; broadcasts. Without a heel only what a blow does.

    >>> foot = numbers(engineering_inputs("yawl-with-heel"))["foot_modulus"]
    >>> round(float(foot.capacity), 2)  # 36 x 40^2 / 6, in cm3
    9.6
    """
    if inputs.skeg is None:
        return {}
    hits = skeg_blows.from_side(inputs)
    own = {
        "skeg_blow": information(least([hit.least_n for hit in hits.values()])),
        "barrel_skeg_blow": worst_of([_at_barrel(inputs, inputs.skeg, hit) for hit in hits.values()]),
    }
    return own | ({} if inputs.skeg.heel is None else _of_heel(inputs, inputs.skeg, inputs.skeg.heel))


_WIDEST = 0.9
"""Share of the barrel's outside over which a root counts as holding the wall at most."""


def _at_barrel(inputs: Inputs, skeg: SkegInputs, hit: skeg_blows.Blow) -> Outcome:
    """A blow against what the barrel's wall hands on to the arms as a ring, N."""
    outside, wall = inputs.barrel_outside_mm, inputs.barrel_wall_mm

    def held(thick: Num, root: Num) -> Num:
        """How far round from its middle a root holds the wall."""
        turned: Num = np.arcsin(np.minimum((thick + 2.0 * root) / outside, _WIDEST))
        return turned

    starts = held(skeg.thickness_root_mm, skeg.root_mm)
    free = [np.pi - held(arm.thickness_barrel_mm, arm.barrel_root_mm) for arm in inputs.arms]
    if len(inputs.arms) > 1:  # each side of the wall goes to the arm on it
        free = [end - np.abs(np.radians(arm.clock_deg)) for end, arm in zip(free, inputs.arms, strict=True)]
    lever = barrel_ring.wall_lever_mm(
        (outside - wall) / 2.0, wall, -hit.at_mm[2], starts, np.maximum(greatest(free), starts + 1e-3)
    )
    long = least([skeg.root_forward_x_mm - skeg.root_aft_x_mm, *(arm.chord_barrel_mm for arm in inputs.arms)])
    bears = inputs.strut.yield_mpa * long * wall * wall / 4.0 / lever
    return at_most(inputs.limit(overstrength_limit(inputs)) * hit.least_n, bears)


def _of_heel(inputs: Inputs, skeg: SkegInputs, heel: HeelInputs) -> dict[str, Outcome]:
    """What the rudder's force does."""
    rudder = load_cases.rudder_n(inputs)
    force, reach = rules.heel_reaction_n(rudder), foot_reach_mm(skeg)
    fin_z = _fin(skeg)[2]
    foot_z = heel.foot_height_mm * heel.foot_thickness_mm**2 / 6.0
    allowed_mpa = inputs.limit("yield_service") * inputs.strut.yield_mpa
    actions = _actions(inputs, skeg, force)
    k = rules.material_factor(inputs.strut.yield_mpa, inputs.strut.ultimate_mpa)
    bushed = _bushed(heel.bush_wall_mm)
    allowed = inputs.limit("heel_pressure_synthetic" if bushed else "heel_pressure_metal")
    bush = rules.heel_bush(force, heel.running_mm, heel.height_mm, allowed)
    room = heel_clearance_most_mm(heel.running_mm, inputs.limits, bushed=bushed)
    return {
        "rudder_force": information(rudder),
        "rudder_force_small_craft": information(
            rules.small_craft_rudder_force_n(inputs.rudder_m2, inputs.boat_speed_kn)
        ),
        "heel_reaction": information(force),
        "foot_stress": at_most(
            rules.foot_stress_mpa(actions, foot_z, heel.foot_height_mm * heel.foot_thickness_mm), allowed_mpa
        ),
        "foot_modulus": at_least(foot_z / 1000.0, rules.sole_piece_modulus_cm3(force, reach / 1000.0, k)),
        "fin_stress": at_most(force * greatest([fin_stress_per_n(inputs, skeg, at) for at in _ALONG]), allowed_mpa),
        "fin_modulus": at_least(
            fin_z / 1000.0, rules.rudder_horn_modulus_cm3(np.abs(actions.fin_bending_nmm) / 1000.0, k)
        ),
        "heel_bush_pressure": at_most(bush.pressure_mpa, allowed),
        "heel_bush_length_least": information(bush.least_length_mm),
        "heel_clearance": at_most(heel.bore_mm - heel.running_mm, room),
        **{code: information(value) for code, value in _moved(inputs, skeg, heel, "low").items()},
    }


_ALONG = (0.0, 0.5, 0.75, 0.875, 1.0)
"""Where along the fin it may be worst: at the barrel it bends most, at its lower edge it may be the smallest, and one
that the heel stands close behind may be worst in between, closer to the edge."""


def fin_stress_per_n(inputs: Inputs, skeg: SkegInputs, along: float = 0.0) -> Num:
    """Return the stress in the fin (bending, shear and twist) per newton at the heel, MPa. along: from the barrel, 0,
    to the lower edge, 1; the foot's twist is the same all along.

    >>> yawl = engineering_inputs("yawl-with-heel")
    >>> [round(1715.18 * float(fin_stress_per_n(yawl, yawl.skeg, at)), 1) for at in (0.0, 1.0)]  # 130 and 100 long
    [62.6, 66.0]
    """
    _, area, modulus, _, torsion = _fin(skeg, along)
    return rules.fin_stress_mpa(_actions(inputs, skeg, 1.0, along), modulus, torsion, area)


def _aft(skeg: SkegInputs, along: float = 0.0) -> Num:
    """Return how far the heel lies aft of the middle of the fin there, mm."""
    assert skeg.heel is not None
    return skeg.root_forward_x_mm - along * skeg.sweep_mm - chord_mm(skeg, along) / 2.0 - skeg.heel.centre_mm[0]


def _actions(inputs: Inputs, skeg: SkegInputs, force: Num, along: float = 0.0) -> rules.SkegActions:
    assert skeg.heel is not None
    barrel = inputs.barrel_outside_mm / 2.0
    depth = barrel + along * (skeg.depth_mm - barrel)
    return rules.skeg_actions(force, _aft(skeg, along), -skeg.heel.centre_mm[2], depth, foot_reach_mm(skeg))


def _movement(
    inputs: Inputs, heel: HeelInputs, reach: Num, aft: Num, fin: tuple[Num, Num], hull: End
) -> tuple[Num, Num]:
    """Return how far the heel moves sideways (mm) and the barrel turns about its arm (rad), per N at the heel.

    fin: second moment of its root about the chord, and torsion constant.
    """
    found, drop = load_paths.paths(inputs, hull), -heel.centre_mm[2] - inputs.barrel_outside_mm / 2.0
    foot_i = heel.foot_height_mm * heel.foot_thickness_mm**3 / 12.0
    # Foot and fin as beams on a fixed barrel, then the barrel on its arms.
    own = rules.skeg_flexibility_mm_n(
        np.maximum(reach, 1e-6),
        foot_i,
        np.maximum(drop, 1e-6),
        fin[0],
        fin[1],
        youngs_mpa=inputs.strut.modulus_mpa,
        shear_mpa=inputs.strut.shear_mpa,
        foot_lever_mm=aft,
    )
    m = found.motion("heel")
    lever = (heel.centre_mm[0] - found.root_x_mm, heel.centre_mm[2])
    flex = own + (m[1] + m[5] * lever[0] - m[3] * lever[1])
    return flex, np.abs(sum(c * t for c, t in zip(found.beams[0].along, m[3:], strict=True)))


def _bushed(wall_mm: Num) -> bool:
    return bool(np.any(np.asarray(wall_mm) > 0.0))


def _fin(skeg: SkegInputs, along: float = 0.0) -> tuple[Num, Num, Num, Num, Num]:
    """Return the fin's root, or a section below it: second moment about its chord, area, modulus, torsion constant and
    torsion modulus."""
    s = fin_at(skeg, along)
    return s.ixx_mm4, s.area_mm2, s.sxx_mm3, s.j_mm4, s.j_mm4 / (2.0 * s.half_thickness_mm)


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings about the skeg of one strut.

    >>> inputs = engineering_inputs("yawl-with-heel")
    >>> found = {f.code: f for f in findings(shipped("yawl-with-heel"), inputs, numbers(inputs))}
    >>> found["heel_bush_pressure"].measure("mm")  # half of 3430.35 N, on 30 x 36
    '1.588 MPa against at most 5.5 MPa'
    """
    if inputs.skeg is None:
        return []
    if inputs.skeg.heel is None:
        return [
            *findings_of(without_limits(CHECKS, *unused(inputs)), numbers, inputs),
            inform(
                "skeg_no_rudder",
                GROUP,
                "the skeg carries no rudder and is held to no load but a blow",
                "if the rudder's heel sits on it, give skeg.heel",
                "skeg.heel",
            ),
        ]
    other = ("metal",) if _bushed(inputs.skeg.heel.bush_wall_mm) else ("synthetic", "slope")
    names = [f"heel_{what}_{kind}" for what in ("pressure", "clearance") for kind in other]
    soft, stiff = (_moved(inputs, inputs.skeg, inputs.skeg.heel, end) for end in HULL_ENDS)
    out = []
    for check in without_limits(CHECKS, *names, *unused(inputs)):
        if check.code in soft:
            ends = float(soft[check.code]), float(stiff[check.code])
            out.append(ranged(check, numbers[check.code], inputs, *ends, check.unit))
        else:
            out += findings_of((check,), numbers, inputs)
    return out


def _moved(inputs: Inputs, skeg: SkegInputs, heel: HeelInputs, hull: End) -> dict[str, Num]:
    """How far the heel goes (mm), its stiffness (N/mm) and the barrel's turn (mrad) at one end of the hull's range."""
    fin = _fin(skeg)
    flex, turn = _movement(inputs, heel, foot_reach_mm(skeg), _aft(skeg), (fin[0], fin[3]), hull)
    force = rules.heel_reaction_n(load_cases.rudder_n(inputs))
    return {"heel_deflection": force * flex, "heel_spring": 1.0 / flex, "skeg_twist": 1000.0 * force * turn}
