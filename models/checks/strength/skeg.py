"""The skeg that carries the rudder's heel: force, root, foot, bush, deflection, and twist of the strut by it.

The rudder force is that of IACS UR S10, written for steel ships of 24 m and more: guidance for boats. Half of it
reaches the heel. The strut's arms, palm and bolts meet it as the load case "rudder" in their own modules.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.checks.demand import Demand, Number, at_least, at_most, findings_of, hint, information
from strutwright.models.checks.inputs import Inputs, SkegInputs, section
from strutwright.models.checks.strength import load_cases, load_paths
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import skeg_loads as rules
from strutwright.models.spec import Strut
from strutwright.params.words import say

GROUP = "skeg"
_NEEDS = load_cases.RUDDER.needs
_UR = say("IACS UR S10 outside its range (steel ships of {24 m} and more); heel takes half of the rudder's force")
_MEM = Standing.MEMORY

FORCE = Number(
    "rudder_force",
    GROUP,
    "rudder force at full speed, foil rudder of aspect ratio 1.5",
    "N",
    "information",
    "IACS UR S10 form, 132 K1 K2 K3 A V2 (knots)",
    _MEM,
    "duty.rudder_area",
    needs=_NEEDS,
)
FORCE_SMALL = replace(
    FORCE,
    code="rudder_force_small_craft",
    what="rudder force by the form for small motor craft, all factors 1",
    source="ISO 12215-8 form, recalled, not read",
    standing=Standing.LOW,
)
HEEL = replace(FORCE, code="heel_reaction", what="force of the rudder on the heel", source=_UR)
FOOT = Number(
    "foot_stress",
    GROUP,
    "stress in the foot at the fin, rudder hard over",
    "MPa",
    "at most",
    _UR,
    _MEM,
    "skeg.heel.foot_thickness",
    "thicken skeg.heel.foot_thickness, or bring the heel nearer to the fin",
    _NEEDS,
    warn=True,
)
FOOT_RULE = Number(
    "foot_modulus",
    GROUP,
    "modulus of the foot at the fin as a sole piece, k by yield",
    "cm3",
    "at least",
    "IACS UR S10, sole piece M k / 80; k by yield stands for other metals than steel",
    Standing.LOW,
    "skeg.heel.foot_thickness",
    "thicken skeg.heel.foot_thickness",
    _NEEDS,
)
FIN = Number(
    "fin_stress",
    GROUP,
    "stress in the fin at the barrel (bending, shear and twist), rudder hard over",
    "MPa",
    "at most",
    _UR,
    _MEM,
    "skeg.thickness",
    "thicken skeg.thickness or lengthen the root",
    _NEEDS,
    warn=True,
)
FIN_RULE = Number(
    "fin_modulus",
    GROUP,
    "modulus of the fin at the barrel as a rudder horn, k by yield",
    "cm3",
    "at least",
    "IACS UR S10, rudder horn M k / 67; k by yield stands for other metals than steel",
    Standing.LOW,
    "skeg.thickness",
    "thicken skeg.thickness",
    _NEEDS,
)
BUSH = Number(
    "heel_bush_pressure",
    GROUP,
    "pressure of the pintle, or its sleeve, on the bush",
    "MPa",
    "at most",
    "guidance for high-speed light craft, Pt 4 Ch 1 Sec 8, Table 4.1.6 (KR family): synthetic bush 5.5, bare "
    "metal 7.0; rudder force from memory",
    _MEM,
    "skeg.heel.height",
    "make skeg.heel.height or the pintle larger",
    _NEEDS,
    warn=True,
)
BUSH_LENGTH = Number(
    "heel_bush_length_least",
    GROUP,
    "bush length that keeps the pressure of the pintle allowed",
    "mm",
    "information",
    BUSH.source,
    _MEM,
    "skeg.heel.height",
    needs=_NEEDS,
)
CLEARANCE = Number(
    "heel_clearance",
    GROUP,
    "clearance of the pintle, or its sleeve",
    "mm",
    "at most",
    say(
        "{0.2 mm} to {0.5 mm} on plastic for small craft, common practice; a metal bush of a ship has "
        "d / 1000 + {1.0 mm}"
    ),
    Standing.PRACTICE,
    "skeg.heel.clearance",
    "reduce skeg.heel.clearance",
    warn=True,
)
SAG = Number(
    "heel_deflection",
    GROUP,
    "sideways movement of the heel, rudder hard over: skeg and strut together",
    "mm",
    "information",
    "beam theory",
    _MEM,
    "skeg.thickness",
    needs=_NEEDS,
)
SPRING = Number(
    "heel_spring",
    GROUP,
    "sideways stiffness at the heel, skeg and strut together",
    "N/mm",
    "information",
    "beam theory",
    Standing.GEOMETRY,
    "skeg.thickness",
)
TWIST = Number(
    "skeg_twist",
    GROUP,
    "turn of the barrel about its arm by the rudder's force on the heel",
    "mrad",
    "information",
    "beam theory",
    _MEM,
    "arms.section.thickness",
    needs=_NEEDS,
)
NUMBERS = (FORCE, FORCE_SMALL, HEEL, FOOT, FOOT_RULE, FIN, FIN_RULE, BUSH, BUSH_LENGTH, CLEARANCE, SAG, SPRING, TWIST)
BUSH_FLOOR_MM = 0.5


def numbers(inputs: Inputs) -> dict[str, Demand]:
    """Return the numbers of a skeg that carries a rudder, by code; broadcasts. Without a heel there are none."""
    skeg = inputs.skeg
    if skeg is None or skeg.heel is None:
        return {}
    heel = skeg.heel
    found = load_paths.paths(inputs)
    rudder = load_cases.rudder_n(inputs)
    force = rules.heel_reaction_n(rudder)
    reach, drop = _reach(skeg), -heel.centre_mm[2] - inputs.barrel_outside_mm / 2.0
    fin_y, fin_area, fin_z, fin_j, fin_wt = _fin(skeg)
    foot_i = heel.foot_height_mm * heel.foot_thickness_mm**3 / 12.0
    foot_z = heel.foot_height_mm * heel.foot_thickness_mm**2 / 6.0
    half_yield = load_cases.RUDDER.allowed_of_yield * inputs.strut.yield_mpa
    aft = (skeg.root_forward_x_mm + skeg.root_aft_x_mm) / 2.0 - heel.centre_mm[0]
    actions = rules.skeg_actions(force, aft, -heel.centre_mm[2], inputs.barrel_outside_mm / 2.0, reach)
    k = rules.material_factor(inputs.strut.yield_mpa, inputs.strut.ultimate_mpa)
    allowed = rules.BUSH_PRESSURE_MPA["synthetic" if _bushed(heel.bush_wall_mm) else "bronze"]
    bush = rules.heel_bush(force, heel.running_mm, heel.height_mm, allowed)
    # Foot and fin as beams on a fixed barrel, then the barrel on its arms.
    own = rules.skeg_flexibility_mm_n(
        np.maximum(reach, 1e-6),
        foot_i,
        np.maximum(drop, 1e-6),
        fin_y,
        fin_j,
        inputs.strut.modulus_mpa,
        inputs.strut.shear_mpa,
        aft,
    )
    m = found.motions["heel"]
    lever = (heel.centre_mm[0] - found.root_x_mm, heel.centre_mm[2])
    flex = own + (m[1] + m[5] * lever[0] - m[3] * lever[1])
    turn = np.abs(sum(c * t for c, t in zip(found.beams[0].along, m[3:], strict=True)))
    return {
        FORCE.code: information(rudder),
        FORCE_SMALL.code: information(rules.small_craft_rudder_force_n(inputs.rudder_m2, inputs.boat_speed_kn)),
        HEEL.code: information(force),
        FOOT.code: at_most(
            rules.foot_stress_mpa(actions, foot_z, heel.foot_height_mm * heel.foot_thickness_mm), half_yield
        ),
        FOOT_RULE.code: at_least(foot_z / 1000.0, rules.sole_piece_modulus_cm3(force, reach / 1000.0, k)),
        FIN.code: at_most(rules.fin_stress_mpa(actions, fin_z, fin_wt, fin_area), half_yield),
        FIN_RULE.code: at_least(
            fin_z / 1000.0, rules.rudder_horn_modulus_cm3(np.abs(actions.fin_bending_nmm) / 1000.0, k)
        ),
        BUSH.code: at_most(bush.pressure_mpa, allowed),
        BUSH_LENGTH.code: information(bush.least_length_mm),
        CLEARANCE.code: at_most(
            heel.bore_mm - heel.running_mm,
            np.maximum(BUSH_FLOOR_MM, bush.metal_clearance_mm)
            if not _bushed(heel.bush_wall_mm)
            else np.maximum(BUSH_FLOOR_MM, 0.2 + 0.004 * heel.running_mm),
        ),
        SAG.code: information(force * flex),
        SPRING.code: information(1.0 / flex),
        TWIST.code: information(1000.0 * force * turn),
    }


def _bushed(wall_mm: Num) -> bool:
    return bool(np.any(np.asarray(wall_mm) > 0.0))


def _reach(skeg: SkegInputs) -> Num:
    """Return the foot's free length: from the fin's trailing edge at the lower edge aft to the heel, mm, at least 0."""
    assert skeg.heel is not None
    trailing = skeg.root_forward_x_mm - skeg.sweep_mm - skeg.tip_chord_mm
    return np.maximum(trailing - skeg.heel.centre_mm[0], 0.0)


def _fin(skeg: SkegInputs) -> tuple[Num, Num, Num, Num, Num]:
    """Return the fin's root: second moment about its chord, area, modulus, torsion constant and torsion modulus."""
    chord, t = skeg.root_forward_x_mm - skeg.root_aft_x_mm, skeg.thickness_root_mm
    s = section("foil", chord, t) if skeg.kind == "foil" else section("flat", chord, t, 0.0)
    return s.ixx_mm4, s.area_mm2, s.sxx_mm3, s.j_mm4, s.j_mm4 / (2.0 * s.half_thickness_mm)


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Demand]) -> list[Finding]:
    """Return the findings about the skeg of one strut."""
    if inputs.skeg is None:
        return []
    if inputs.skeg.heel is None:
        return [
            hint(
                "skeg_no_rudder",
                GROUP,
                "the skeg carries no rudder: it is not held to any load",
                "if the rudder's heel sits on it, give skeg.heel",
                "skeg.heel",
            )
        ]
    return findings_of(NUMBERS, numbers, inputs)
