"""Welds of a welded strut: arm to barrel, arm to palm, skeg to barrel; their strength, least size and distortion.

Each weld runs all round a rectangle as long as the chord and as wide as the section is thick (the fin's root: its two
sides), as a line; loads as in `arms`. Directional method of EN 1993-1-8 4.5.3.2 on the throat, the worst point of a
long and of a short side, loads times 1.5 where a case may use half of yield. Where a joint is not square, the weld on
its wider side is the thinner: that throat counts all round, on the safe side. With a double bevel the throat reaches
from the root face to the bead, up to half the plate: a joint as strong as the plate.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models.arrays import Num, Six, add, cross, mul
from strutwright.models.checks.demand import Demand, Number, at_least, at_most, findings_of, hint, information
from strutwright.models.checks.inputs import ArmInputs, Inputs
from strutwright.models.checks.strength import bolts, load_cases, load_paths
from strutwright.models.checks.strength.arms import case_findings
from strutwright.models.checks.strength.load_cases import Case
from strutwright.models.checks.strength.load_paths import Beam
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import flattening
from strutwright.models.formulas import welds as rules
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.words import Amount, say

GROUP = "welds"
STEELS = ("steel", "stainless", "duplex")
_EC3 = "EN 1993-1-8 4.5.3.2 (from memory), weld as a line"
_JOINTS = {"barrel": ("arm to barrel", "welds.arm_to_barrel_leg"), "palm": ("arm to palm", "welds.arm_to_palm_leg")}


def _weld(joint: str, case: Case) -> Number:
    words, path = _JOINTS[joint]
    return Number(
        f"weld_{joint}_{case.key}",
        GROUP,
        f"weld of {words}, {case.name}",
        "MPa",
        "at most",
        _EC3,
        case.standing,
        path,
        f"lengthen {path}, or bevel the arm's ends (welds.prep: double_bevel)",
        case.needs,
        case.warn,
    )


def _own(joint: str) -> Number:
    words, path = _JOINTS[joint]
    return Number(
        f"weld_{joint}_own",
        GROUP,
        f"weld of {words}, worst of the file's own load cases",
        "MPa",
        "at most",
        _EC3,
        Standing.PRACTICE,
        path,
        f"lengthen {path}, or bevel the arm's ends (welds.prep: double_bevel)",
    )


STRENGTH = {joint: tuple(_weld(joint, c) for c in (*load_cases.BUILT_IN, *load_cases.ACCIDENTS)) for joint in _JOINTS}
OWN = {joint: _own(joint) for joint in _JOINTS}
SKEG = Number(
    "weld_skeg_rudder",
    GROUP,
    "weld of skeg to barrel, rudder hard over",
    "MPa",
    "at most",
    _EC3,
    Standing.MEMORY,
    "welds.skeg_to_barrel_leg",
    "lengthen welds.skeg_to_barrel_leg or the skeg's root",
    load_cases.RUDDER.needs,
    warn=True,
)


def _leg(joint: str, words: str, path: str) -> Number:
    return Number(
        f"weld_leg_{joint}",
        GROUP,
        f"leg of the weld {words}, least by the thicker part",
        "mm",
        "at least",
        "AWS D1.1, minimum fillet weld size (from memory)",
        Standing.MEMORY,
        path,
        f"lengthen {path}",
        warn=True,
    )


LEGS = tuple(
    _leg(joint, *words) for joint, words in (*_JOINTS.items(), ("skeg", ("skeg to barrel", "welds.skeg_to_barrel_leg")))
)
CURL = Number(
    "palm_curl",
    GROUP,
    "rise of the palm's edges to expect from the arm's welds (mild steel; stainless and "
    "bronze about half as much again)",
    "mm",
    "information",
    "0.02 W w^1.3 / t^2 in inches, handbook of welded structures (from memory)",
    Standing.MEMORY,
    "palm.thickness",
    "weld in short runs on alternate sides with the palm clamped to a stiff plate, then flatten and machine",
)
CURL_RANGE = replace(
    CURL,
    code="palm_curl_most",
    standing=Standing.LOW,
    what="rise of the palm's edges to expect from the arm's welds, stainless or bronze",
)
SHRINK = Number(
    "arm_shrinkage",
    GROUP,
    "shortening of the arm across one end weld",
    "mm",
    "information",
    "0.10 of weld area over thickness, handbook of welded structures (from memory)",
    Standing.MEMORY,
    "welds.arm_to_palm_leg",
    "leave it on the drop when tacking, and bore last",
)
NUMBERS = (*STRENGTH["barrel"], OWN["barrel"], *STRENGTH["palm"], OWN["palm"], SKEG, *LEGS, CURL, CURL_RANGE, SHRINK)


def widest_angle_deg(inputs: Inputs, joint: str, arm: ArmInputs) -> Num:
    """Return the angle between arm and barrel or palm on the side where it is wider, degrees; that weld is thinner.

    Square to the joint, where the arm is thickest: at the barrel its side leaves the round outside beside the arm's
    plane; at the palm by how far the arm leans over. Follows from geometry.
    """
    if joint == "barrel":
        return rules.around_barrel_deg(arm.thickness_barrel_mm, inputs.barrel_outside_mm)
    normal, axis, toe = inputs.palms[arm.palm_index].normal, arm.direction, np.radians(arm.toe_deg)
    across = cross(axis, (normal[2], 0.0, -normal[0]) if arm.along_flow else (1.0, 0.0, 0.0))
    size = np.sqrt(sum(c * c for c in across))
    over = (
        sum(
            (c * np.cos(toe) + t * np.sin(toe)) * n for c, t, n in zip(across, cross(axis, across), normal, strict=True)
        )
        / size
    )
    return 90.0 + np.degrees(np.arcsin(np.abs(over)))


def throat_mm(inputs: Inputs, leg: Num, plate: Num, between_deg: Num = 90.0) -> Num:
    """Return the throat of one side's weld by the angle between the sides, mm: of a fillet, or from the root face of a
    double bevel to the bead, half the plate at most."""
    if inputs.weld_prep != "double_bevel":
        return rules.throat_mm(leg, between_deg)
    depth = np.maximum((plate - inputs.weld_root_face_mm) / 2.0, 0.0)
    # A gap of more than a fifth of the plate, or 3 mm, never counts as full penetration (EN 1993-1-8 4.7.3).
    full = inputs.weld_root_face_mm <= np.minimum(plate / 5.0, 3.0)
    counted = np.where(full, depth, np.maximum(depth - 2.0, 0.0))
    return np.minimum(rules.groove_throat_mm(leg, counted, between_deg), plate / 2.0)


def limit_mpa(inputs: Inputs) -> Num:
    """Return the limit on the equivalent stress in the throat, MPa: fu / (beta_w 1.25)."""
    name = "S275" if inputs.strut.family == "steel" else "stainless"
    return rules.directional_limit_mpa(inputs.strut.ultimate_mpa, rules.CORRELATION[name])


def _measure(beam: Beam, station: int, weld: rules.RectangleWeld, load: Six) -> Num:
    a = load_paths.actions(beam, station, load)
    # Moments about mid-chord, the middle of the weld, not about the section's centroid.
    about_y = add(a.moment_across, mul(a.axial, beam.sections[station].centroid_x_mm))
    return rules.weld_force_n_mm(weld, (a.shear_chord, a.shear_across, a.axial), (a.moment_chord, about_y, a.torsion))


def _size(beam: Beam, station: int) -> tuple[Num, Num]:
    x = [p[0] for p in beam.points_mm[station]]
    return x[0] - x[-1], 2.0 * beam.sections[station].half_thickness_mm


def by_case(inputs: Inputs, joint: str) -> dict[str, Demand]:
    """Return the stress in the welds of one joint ("barrel" or "palm") in every load case, by its key; broadcasts."""
    found, known = load_paths.paths(inputs), load_cases.amplitudes(inputs)
    station = 0 if joint == "barrel" else -1
    limit = limit_mpa(inputs)
    per_mm, throats = [], []
    for k, beam in enumerate(found.beams):
        weld = rules.rectangle_weld(*_size(beam, station))
        per_mm.append(
            load_cases.measured(load_cases.arm_ways(found, k), functools.partial(_measure, beam, station, weld))
        )
        leg = beam.arm.barrel_root_mm if joint == "barrel" else beam.arm.palm_root_mm
        throats.append(throat_mm(inputs, leg, _size(beam, station)[1], widest_angle_deg(inputs, joint, beam.arm)))
    return {
        case.key: load_cases.worst_of(
            [
                at_most(case.load_factor * load_cases.worst(case, known, reply) / throat, limit)
                for reply, throat in zip(per_mm, throats, strict=True)
            ]
        )
        for case in bolts.palm_cases(inputs)
    }


def numbers(inputs: Inputs) -> dict[str, Demand]:
    """Return the numbers of the welds by code; broadcasts. A cast strut has none."""
    if inputs.construction != "welded":
        return {}
    out: dict[str, Demand] = {}
    for joint in _JOINTS:
        out |= load_cases.collected(f"weld_{joint}", by_case(inputs, joint))
    arm = inputs.arms[0]
    palm = inputs.palms[arm.palm_index]
    ends = {
        "barrel": (arm.barrel_root_mm, arm.thickness_barrel_mm, inputs.barrel_wall_mm),
        "palm": (arm.palm_root_mm, arm.thickness_palm_mm, palm.thickness_mm),
    }
    if inputs.skeg is not None:
        ends["skeg"] = (inputs.skeg.root_mm, inputs.skeg.thickness_root_mm, inputs.barrel_wall_mm)
        if inputs.skeg.heel is not None:
            out[SKEG.code] = _skeg(inputs)
    for joint, (leg, one, other) in ends.items():
        out[f"weld_leg_{joint}"] = at_least(leg, rules.minimum_leg_mm(np.maximum(one, other)))
    curl = flattening.weld_pull_up_mm(palm.port_mm - palm.starboard_mm, arm.palm_root_mm, palm.thickness_mm)
    out[CURL.code] = information(curl)
    out[CURL_RANGE.code] = information(1.5 * curl)
    deposit = arm.palm_root_mm**2
    out[SHRINK.code] = information(flattening.weld_shrinkage_mm(deposit, arm.thickness_palm_mm))
    return out


def _skeg(inputs: Inputs) -> Demand:
    skeg = inputs.skeg
    assert skeg is not None
    assert skeg.heel is not None
    heel_x, _, heel_z = skeg.heel.centre_mm
    force = load_cases.amplitudes(inputs)["rudder"] * load_cases.RUDDER.load_factor
    middle = (skeg.root_forward_x_mm + skeg.root_aft_x_mm) / 2.0
    below, aft = -heel_z - inputs.barrel_outside_mm / 2.0, middle - heel_x
    length = skeg.root_forward_x_mm - skeg.root_aft_x_mm
    per_mm = rules.weld_force_n_mm(
        rules.rectangle_weld(length, skeg.thickness_root_mm), (0.0, force, 0.0), (force * below, 0.0, force * aft)
    )
    throat = rules.throat_mm(skeg.root_mm, rules.around_barrel_deg(skeg.thickness_root_mm, inputs.barrel_outside_mm))
    return at_most(per_mm / throat, limit_mpa(inputs))


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Demand]) -> list[Finding]:
    """Return the findings about the welds of one strut; strength of metals other than steel is a hint.

    Tempered aluminium counts as softened all over; filler of aluminium, and bronze, soften by procedure: no figure here
    speaks for those.
    """
    if inputs.construction != "welded":
        return []
    found: list[Finding] = []
    for joint in _JOINTS:
        found += case_findings(
            f"weld_{joint}",
            STRENGTH[joint],
            OWN[joint],
            inputs,
            numbers,
            functools.partial(by_case, joint=joint),
            keep_source=True,
            doubtful=inputs.strut.family not in STEELS,
        )
    skeg = SKEG if inputs.strut.family in STEELS else replace(SKEG, standing=Standing.LOW)
    return found + findings_of((skeg, *LEGS, CURL, CURL_RANGE, SHRINK), numbers, inputs) + _softened(strut)


def _softened(strut: Strut) -> list[Finding]:
    """Return a hint where welding takes strength away: every strength of the strut counts with what is left."""
    whole, left = tables.material(strut.material), tables.as_welded(strut.material)
    if whole.yield_mpa is None or left.yield_mpa is None or left.yield_mpa >= whole.yield_mpa:
        return []
    return [
        hint(
            "strength_beside_welds",
            GROUP,
            say(
                "yield of {metal} beside a weld, taken for the whole strut; {delivered} as delivered",
                metal=whole.name,
                delivered=Amount(whole.yield_mpa, "MPa"),
            ),
            "a marine plate such as 5083-H111 loses nothing",
            "materials.strut",
            actual=left.yield_mpa,
            unit="MPa",
            source="EN 1999-1-1 Table 3.2",
            standing=Standing.MEMORY,
        )
    ]
