"""Arms: stress in every load case, scantlings by rules, taper, deflection at the bearing.

Stress is worked out at three stations (barrel, middle, palm) at points round the section, in bending about both axes,
axial load, shear and torsion, and combined by von Mises. A single arm is a cantilever, a vee a space frame.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from strutwright.models.arrays import Num, Six, add, greatest, least, length, mul
from strutwright.models.checks.demand import Demand, Number, at_least, at_most, finding_of, findings_of, information
from strutwright.models.checks.inputs import Inputs
from strutwright.models.checks.strength import load_cases, load_paths
from strutwright.models.checks.strength.load_cases import Case, Group, Reply
from strutwright.models.checks.strength.load_paths import Actions, Beam, Paths
from strutwright.models.finding import Finding, Standing, not_checked
from strutwright.models.formulas import arm_rules
from strutwright.models.formulas.arm_rules import ArmKind
from strutwright.models.spec import Strut
from strutwright.params.words import say

GROUP = "arms"
BV_STEEL_MPA = 235.0
_AT = "arms.section.thickness_at_palm"
_THICKER = "thicken arms.section.thickness and thickness_at_palm (strength goes with its square), or widen the chord"


def _stress(case: Case) -> Number:
    return Number(
        f"arm_stress_{case.key}",
        GROUP,
        f"stress in the arm, {case.name}",
        "MPa",
        "at most",
        case.source,
        case.standing,
        _AT,
        _THICKER,
        case.needs,
        case.warn,
    )


STRESSES = tuple(_stress(c) for c in load_cases.BUILT_IN)
OWN = Number(
    "arm_stress_own",
    GROUP,
    "stress in the arm, worst of the file's own load cases",
    "MPa",
    "at most",
    "load case of the file's own",
    Standing.PRACTICE,
    _AT,
    _THICKER,
)
BV = Number(
    "arm_stress_rule",
    GROUP,
    say("stress in the arm with a blade lost against {70 MPa} in steel, by yield for others"),
    "MPa",
    "at most",
    "BV and RINA, propeller shaft brackets of steel ships",
    Standing.LOW,
    _AT,
    _THICKER,
    load_cases.BLADE.needs,
)
MODULUS = Number(
    "arm_modulus",
    GROUP,
    "section modulus of an arm about its chord, least along it",
    "mm3",
    "at least",
    say("class-type formula for shaft struts, steel of {415 MPa} (ABS Rules Part 3)"),
    Standing.MEMORY,
    "arms.section.thickness",
    _THICKER,
    warn=True,
)
MODULUS_METAL = replace(
    MODULUS,
    code="arm_modulus_metal",
    standing=Standing.LOW,
    what=say("section modulus of an arm about its chord, need raised by {415 MPa} / ultimate for a weaker metal"),
)
INERTIA = Number(
    "arm_inertia",
    GROUP,
    "second moment of an arm about its chord, least along it",
    "mm4",
    "at least",
    MODULUS.source,
    Standing.MEMORY,
    "arms.section.thickness",
    _THICKER,
    warn=True,
)
INERTIA_METAL = replace(
    INERTIA,
    code="arm_inertia_metal",
    standing=Standing.LOW,
    what=say("second moment of an arm about its chord, need raised by {206 GPa} / E for a softer metal"),
)
AREA = Number(
    "arm_area",
    GROUP,
    "area of each arm of a vee, least along it",
    "mm2",
    "at least",
    "GL rules I-1-1, propeller brackets of ships, 0.44 d2",
    Standing.MEMORY,
    "arms.section.chord",
    "widen arms.section.chord or thicken arms.section.thickness",
    warn=True,
)
THICKNESS = Number(
    "arm_thickness",
    GROUP,
    "thickness of each arm of a vee, least along it",
    "mm",
    "at least",
    "GL rules I-1-1, propeller brackets of ships, 0.44 d",
    Standing.MEMORY,
    "arms.section.thickness",
    "thicken arms.section.thickness",
    warn=True,
)
PLATE = Number(
    "arm_plate",
    GROUP,
    "plate of a fabricated arm against the shell it stands on (2 x single, 1.5 x vee)",
    "mm",
    "at least",
    "guidance for high-speed light craft, Pt 4 Ch 2 Sec 6, 602-603 (KR family); the "
    "hull's thickness stands for the rule plating",
    Standing.PUBLISHED,
    "arms.section.thickness",
    "thicken arms.section.thickness",
    ("hull_mm",),
    warn=True,
)
TAPER = Number(
    "arm_taper",
    GROUP,
    "section modulus at the palm against the barrel end: the arm should bend low down first",
    "mm3",
    "at least",
    "progressive strength, common practice",
    Standing.PRACTICE,
    _AT,
    "make arms.section.thickness_at_palm at least arms.section.thickness",
    warn=True,
)
END_AREA = Number(
    "arm_end_area",
    GROUP,
    "area at the barrel against 0.60 of that at the palm",
    "mm2",
    "at least",
    "BV and RINA, single-arm brackets of steel ships",
    Standing.LOW,
    "arms.section.thickness",
    "taper less: arms.section.thickness or chord nearer to those at the palm",
)
SLOPE = Number(
    "bearing_slope",
    GROUP,
    "slope of the bearing under twice the weight of propeller and shaft, against running clearance over bearing length",
    "mrad",
    "at most",
    "geometry of a shaft in its clearance",
    Standing.PRACTICE,
    _AT,
    "stiffen the arm: arms.section.thickness, or arms.position nearer to the load",
    load_cases.WEIGHT.needs,
    warn=True,
)
SLOPE_RUDDER = replace(
    SLOPE,
    code="bearing_slope_rudder",
    needs=load_cases.RUDDER.needs,
    standing=Standing.LOW,
    what="slope of the bearing with the rudder hard over, against clearance over length",
    source="geometry; rudder force by IACS UR S10 outside its range; rubber follows a short load",
)
SAG = Number(
    "bearing_deflection",
    GROUP,
    "movement of the bearing under the weight of propeller and shaft across the "
    "arm, which the shaft's alignment must live with",
    "mm",
    "information",
    "beam theory, built in at the hull",
    Standing.GEOMETRY,
    _AT,
    needs=load_cases.WEIGHT.needs,
)
SAG_RUDDER = replace(
    SAG,
    code="bearing_deflection_rudder",
    needs=load_cases.RUDDER.needs,
    standing=Standing.MEMORY,
    what="movement of the bearing with the rudder hard over",
)
STIFF = Number(
    "arm_stiffness",
    GROUP,
    "stiffness of the strut at the bearing, least across the shaft",
    "N/mm",
    "information",
    "beam theory, built in at the hull",
    Standing.GEOMETRY,
    _AT,
)
HINGE = Number(
    "arm_hinge_aft",
    GROUP,
    "force aft at the barrel that bends the arms plastically",
    "N",
    "information",
    "simple plastic theory at least yield",
    Standing.GEOMETRY,
    "arms.section.chord",
)
HINGE_SIDE = replace(HINGE, code="arm_hinge_side", what="force from the side that bends the arm plastically")
NUMBERS = (
    *STRESSES,
    OWN,
    BV,
    MODULUS,
    MODULUS_METAL,
    INERTIA,
    INERTIA_METAL,
    AREA,
    THICKNESS,
    PLATE,
    TAPER,
    END_AREA,
    SLOPE,
    SLOPE_RUDDER,
    SAG,
    SAG_RUDDER,
    STIFF,
    HINGE,
    HINGE_SIDE,
)


def unit_stress(found: Paths) -> Reply:
    """Return the worst von Mises stress in the arms, MPa, per N (or N mm) of a unit load; kept once worked out.

    A free force across the shaft: the greatest direct stress over all directions at each point (exact), with the
    greatest shear and torsion added (on the safe side).
    """
    kept: dict[tuple[Group, float | None], Num] = {}

    def reply(group: Group, clock_deg: float | None) -> Num:
        key = (group, clock_deg)
        if key not in kept:
            kept[key] = greatest(
                [
                    _station_stress(found, k, station, group, clock_deg)
                    for k, beam in enumerate(found.beams)
                    for station in _stations(beam)
                ]
            )
        return kept[key]

    return reply


def _stations(beam: Beam) -> tuple[int, ...]:
    """The stations where an arm may be worst: of an even arm its ends, as its moments run straight between them."""
    last = len(beam.sections) - 1
    return (0, last) if beam.sections[0] is beam.sections[last] else tuple(range(last + 1))


def _station_stress(found: Paths, arm: int, station: int, group: Group, clock_deg: float | None) -> Num:
    beam, ways = found.beams[arm], load_cases.arm_ways(found, arm)
    if group in load_cases.PAIRS and clock_deg is None:
        one, two = (load_paths.actions(beam, station, ways[w]) for w in load_cases.PAIRS[group])
        return _combined(
            beam,
            station,
            _direct_any2(beam, station, one, two),
            length(one.shear_chord, one.shear_across, two.shear_chord, two.shear_across),
            length(one.torsion, two.torsion),
        )
    return station_stress(beam, station, load_cases.directed(ways, group, clock_deg)[0])


def station_stress(beam: Beam, station: int, load: Six) -> Num:
    """Return the greatest von Mises stress, MPa, at a station of an arm under a load on its root (arm axes)."""
    a = load_paths.actions(beam, station, load)
    return _combined(
        beam, station, _direct2(beam, station, a), length(a.shear_chord, a.shear_across), np.abs(a.torsion)
    )


def _direct2(beam: Beam, station: int, a: Actions) -> Num:
    """Square of the greatest direct stress round the section, MPa2: even and odd parts about the chord add."""
    s = beam.sections[station]
    even, slope = mul(a.axial, 1.0 / s.area_mm2), mul(a.moment_across, 1.0 / s.iyy_mm4)
    odd = np.abs(mul(a.moment_chord, 1.0 / s.ixx_mm4))
    worst = greatest([add(np.abs(add(even, mul(slope, x))), mul(odd, y)) for x, y in beam.points_mm[station]])
    return worst * worst


def _direct_any2(beam: Beam, station: int, one: Actions, two: Actions) -> Num:
    """Square of the greatest direct stress round the section of all directions between two unit loads, MPa2.

    At (x, +-y) the two loads give p + q and r + s, or p - q and r - s; the greatest over all directions squared is
    p2 + r2 + q2 + s2 + 2 |p q + r s|.
    """
    s = beam.sections[station]
    per_area, per_iyy, per_ixx = 1.0 / s.area_mm2, 1.0 / s.iyy_mm4, 1.0 / s.ixx_mm4
    even = [mul(a.axial, per_area) for a in (one, two)]
    slope = [mul(a.moment_across, per_iyy) for a in (one, two)]
    odd = [mul(a.moment_chord, per_ixx) for a in (one, two)]
    odd2 = add(mul(odd[0], odd[0]), mul(odd[1], odd[1]))
    found = []
    for x, y in beam.points_mm[station]:
        p, r = (add(e, mul(k, x)) for e, k in zip(even, slope, strict=True))
        both = np.abs(add(mul(p, odd[0]), mul(r, odd[1])))
        found.append(add(mul(p, p), mul(r, r), mul(y, add(mul(odd2, y), 2.0 * both))))
    return greatest(found)


def _combined(beam: Beam, station: int, direct2: Num, shear: Num, torsion: Num) -> Num:
    tau = load_paths.shear_mpa(beam, station, shear, torsion)
    return np.sqrt(direct2 + 3.0 * tau * tau)


def by_case(inputs: Inputs) -> dict[str, Demand]:
    """Return the stress in the arms in every load case, by the case's key; broadcasts."""
    known, reply = load_cases.amplitudes(inputs), unit_stress(load_paths.paths(inputs))
    return {
        case.key: at_most(load_cases.worst(case, known, reply), case.allowed_of_yield * inputs.strut.yield_mpa)
        for case in load_cases.cases(inputs)
    }


def numbers(inputs: Inputs) -> dict[str, Demand]:
    """Return the numbers of the arms by code; broadcasts."""
    found, known = load_paths.paths(inputs), load_cases.amplitudes(inputs)
    out = load_cases.collected("arm_stress", by_case(inputs))
    out[BV.code] = at_most(
        out["arm_stress_blade"].demand, arm_rules.HULL_END_ALLOWABLE_MPA * inputs.strut.yield_mpa / BV_STEEL_MPA
    )
    out |= _rules(inputs, found)
    out |= _movement(inputs, found, known)
    hinge = load_paths.hinges(inputs)
    out[HINGE.code] = information(hinge.aft_n)
    if len(inputs.arms) == 1:
        out[HINGE_SIDE.code] = information(hinge.side)
    return out


def _rules(inputs: Inputs, found: Paths) -> dict[str, Demand]:
    d = inputs.shaft_mm
    vee = len(inputs.arms) > 1
    kind: ArmKind = "V" if vee else "I"
    ends = [(b.sections[0], b.sections[-1]) for b in found.beams]
    modulus = least([s.sxx_mm3 for pair in ends for s in pair])
    inertia = least([s.ixx_mm4 for pair in ends for s in pair])
    thickness = least([2.0 * s.half_thickness_mm for pair in ends for s in pair])
    longest = greatest([a.length_mm for a in inputs.arms])
    need = arm_rules.abs_arm_modulus(d, kind) * arm_rules.short_leg_factor(longest, d)
    need_i = arm_rules.abs_arm_inertia(d, kind)
    out = {
        MODULUS.code: at_least(modulus, need),
        MODULUS_METAL.code: at_least(modulus, need * arm_rules.modulus_strength_factor(inputs.strut.ultimate_mpa)),
        INERTIA.code: at_least(inertia, need_i),
        INERTIA_METAL.code: at_least(inertia, need_i * arm_rules.inertia_modulus_factor(inputs.strut.modulus_mpa)),
        TAPER.code: load_cases.worst_of([at_least(top.sxx_mm3, low.sxx_mm3 * (1.0 - 1e-9)) for low, top in ends]),
    }
    if vee:
        out[AREA.code] = at_least(least([s.area_mm2 for pair in ends for s in pair]), arm_rules.gl_arm_area(d))
        out[THICKNESS.code] = at_least(thickness, arm_rules.gl_arm_thickness(d))
    else:
        out[END_AREA.code] = at_least(ends[0][0].area_mm2, arm_rules.BARREL_END_AREA_RATIO * ends[0][1].area_mm2)
    if inputs.construction == "welded" and inputs.hull.family in ("steel", "aluminium", "stainless", "duplex"):
        out[PLATE.code] = at_least(thickness, arm_rules.plate_arm_thickness(inputs.hull_mm, kind))
    return out


def _movement(inputs: Inputs, found: Paths, known: dict[str, Num]) -> dict[str, Demand]:
    reach = found.carry_x_mm - found.root_x_mm

    def slope(m: Six) -> tuple[Num, Num]:
        return m[4], m[5]

    def across(m: Six) -> tuple[Num, Num]:
        return add(m[1], mul(reach, m[5])), add(m[2], -mul(reach, m[4]))

    y, z = found.motions["propeller_y"], found.motions["propeller_z"]
    room = 1000.0 * (inputs.bearing_inside_mm - inputs.shaft_mm) / inputs.bearing_length_mm
    per_n = _any_way(across(y), across(z))
    out = {
        SLOPE.code: at_most(
            1000.0 * load_cases.WEIGHT.terms[0].factor * known["weight"] * _any_way(slope(y), slope(z)), room
        ),
        SAG.code: information(known["weight"] * per_n),
        STIFF.code: information(1.0 / per_n),
    }
    if "heel" in found.motions:
        heel = found.motions["heel"]
        out[SLOPE_RUDDER.code] = at_most(1000.0 * known["rudder"] * length(*slope(heel)), room)
        out[SAG_RUDDER.code] = information(known["rudder"] * length(*across(heel)))
    return out


def _any_way(one: tuple[Num, Num], two: tuple[Num, Num]) -> Num:
    """Return the greatest length of one sin t + two cos t over all t, of two plane vectors: a singular value; exact."""
    (a, c), (b, d) = one, two
    total, turn = add(mul(a, a), mul(b, b), mul(c, c), mul(d, d)), add(mul(a, d), -mul(b, c))
    return np.sqrt((total + np.sqrt(np.maximum(total * total - 4.0 * turn * turn, 0.0))) / 2.0)


def case_findings(
    prefix: str,
    known: tuple[Number, ...],
    own: Number,
    inputs: Inputs,
    numbers: Mapping[str, Demand],
    by_case: Callable[[Inputs], dict[str, Demand]],
    keep_source: bool = False,
    doubtful: bool = False,
) -> list[Finding]:
    """Return the findings of a number that is worked out for every load case; the file's own cases one by one.

    known: the numbers of the built-in cases; own: that of the file's own. keep_source: name the number's source, not
    the case's. doubtful: the strength is of low confidence, so that all are hints.
    """
    named = {n.code.removeprefix(f"{prefix}_"): n for n in known}
    own_held = by_case(inputs) if inputs.own_cases else {}
    found = []
    for case in (*load_cases.cases(inputs), *load_cases.ACCIDENTS):
        is_own = case.key not in named
        demand = own_held.get(case.key) if is_own else numbers.get(f"{prefix}_{case.key}")
        if demand is None:
            continue
        number = own if is_own else named[case.key]
        source = number.source if keep_source else case.source
        standing = Standing.LOW if doubtful else case.standing
        number = replace(number, standing=standing, source=source, warn=case.warn, needs=case.needs)
        what = (
            number.what
            if not is_own
            else str(number.what).replace("worst of the file's own load cases", f"own load case {case.name}")
        )
        why, where = load_cases.unanswerable(case, inputs)
        found.append(
            not_checked(number.code, what, why, parameter=where, group=number.group)
            if why
            else finding_of(number, demand, inputs, what=what)
        )
    return found


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Demand]) -> list[Finding]:
    """Return the findings about the arms of one strut."""
    found = case_findings("arm_stress", STRESSES, OWN, inputs, numbers, by_case)
    rest = tuple(n for n in NUMBERS if n not in STRESSES and n is not OWN)
    return found + findings_of(rest, numbers, inputs) + load_cases.assumed(inputs, GROUP)
