"""Welds of a welded strut: arm to barrel, arm to palm, skeg to barrel; their strength, least size and distortion.

Each weld runs all round a rectangle as long as the chord and as wide as the section is thick (the fin's root: its two
sides), as a line; loads as in `arms`. Directional method of EN 1993-1-8 4.5.3.2 on the throat, the worst point of a
long and of a short side, loads times 1.5 where a case may use half of yield. Where a joint is not square, the weld on
its wider side is the thinner: that throat counts all round, on the safe side. With a double bevel the throat reaches
from the root face to the bead, up to half the plate: a joint as strong as the plate.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from strutwright.models.arrays import Num, Six, Triple, add, cross, mul
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, inform, information
from strutwright.models.checks.strength import bolts, load_cases, load_paths
from strutwright.models.checks.strength.every_case import case_findings, in_every_case
from strutwright.models.checks.strength.load_paths import Beam
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import flattening
from strutwright.models.formulas import welds as rules
from strutwright.models.input_parts import ArmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.words import Amount, say

GROUP = "welds"
STEELS = ("steel", "stainless", "duplex")
_JOINTS = ("barrel", "palm")
_ROWS = of_groups(GROUP)
CHECKS = in_every_case(_ROWS)


def widest_angle_deg(inputs: Inputs, joint: str, arm: ArmInputs) -> Num:
    """Return the angle between arm and barrel or palm on the side where it is wider, degrees; that weld is thinner.

    Square to the joint, where the arm is thickest: at the barrel its side leaves the round outside beside the arm's
    plane; at the palm by how far the arm leans over. Follows from geometry.

    >>> tender = engineering_inputs("canal-tender")  # an arm of 14 on a barrel of 48
    >>> round(float(widest_angle_deg(tender, "barrel", tender.arms[0])), 2)  # 90 and arcsin 14 / 48
    106.96
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
    double bevel to the bead, half the plate at most.

    >>> round(float(throat_mm(engineering_inputs("canal-tender"), 6.0, 14.0)), 3)  # a fillet of 6 on a square joint
    4.243
    """
    if inputs.weld_prep != "double_bevel":
        return rules.throat_mm(leg, between_deg)
    depth = np.maximum((plate - inputs.weld_root_face_mm) / 2.0, 0.0)
    # A gap of more than a fifth of the plate, or 3 mm, never counts as full penetration (EN 1993-1-8 4.7.3).
    full = inputs.weld_root_face_mm <= np.minimum(plate / 5.0, 3.0)
    counted = np.where(full, depth, np.maximum(depth - 2.0, 0.0))
    return np.minimum(rules.groove_throat_mm(leg, counted, between_deg), plate / 2.0)


def limit_mpa(inputs: Inputs) -> Num:
    """Return the limit on the equivalent stress in the throat, MPa: fu / (beta_w x partial factor).

    >>> limit_mpa(engineering_inputs("canal-tender"))  # 485 / 1.25
    388.0
    """
    name = "S275" if inputs.strut.family == "steel" else "stainless"
    return rules.directional_limit_mpa(
        inputs.strut.ultimate_mpa, rules.CORRELATION[name], inputs.limit("joint_partial")
    )


def joint_throat_mm(inputs: Inputs, joint: str, beam: Beam) -> Num:
    """Return the throat of the weld of an arm to barrel or palm that counts all round, mm: the thinner side's.

    >>> tender = engineering_inputs("canal-tender")  # a leg of 6; the arm of 14 leaves the barrel at 106.96 degrees
    >>> round(float(joint_throat_mm(tender, "barrel", load_paths.paths(tender).beams[0])), 3)  # 6 x cos 53.48 degrees
    3.571
    """
    arm = beam.arm
    leg = arm.barrel_root_mm if joint == "barrel" else arm.palm_root_mm
    return throat_mm(inputs, leg, _size(beam, _STATION[joint])[1], widest_angle_deg(inputs, joint, arm))


def root_reply(found: load_paths.Paths, arm: int, joint: str) -> load_cases.Reply:
    """Return the nominal force in the weld of an arm to barrel or palm, N per mm and unit load, that its root feels.

    >>> tender = load_paths.paths(engineering_inputs("canal-tender"))
    >>> round(1e3 * float(root_reply(tender, 0, "palm")("axial", None)), 2)  # 193 N m x 28 / 51 221 mm3, and 7
    105.8
    """
    return load_cases.measured(
        load_cases.arm_ways(found, arm), _of_weld(found.beams[arm], _STATION[joint], rules.root_force_n_mm)
    )


_STATION = {"barrel": 0, "palm": -1}
"""Where along an arm its two welds are."""
_Force = Callable[[rules.RectangleWeld, Triple, Triple], Num]


def _of_weld(beam: Beam, station: int, force: _Force) -> Callable[[Six], Num]:
    weld = rules.rectangle_weld(*_size(beam, station))
    return functools.partial(_measure, beam, station, weld, force)


def _measure(beam: Beam, station: int, weld: rules.RectangleWeld, force: _Force, load: Six) -> Num:
    a = load_paths.actions(beam, station, load)
    # Moments about mid-chord, the middle of the weld, not about the section's centroid.
    about_y = add(a.moment_across, mul(a.axial, beam.sections[station].centroid_x_mm))
    return force(weld, (a.shear_chord, a.shear_across, a.axial), (a.moment_chord, about_y, a.torsion))


def _size(beam: Beam, station: int) -> tuple[Num, Num]:
    x = [p[0] for p in beam.points_mm[station]]
    return x[0] - x[-1], 2.0 * beam.sections[station].half_thickness_mm


def by_case(inputs: Inputs, joint: str) -> dict[str, Outcome]:
    """Return the stress in the welds of one joint ("barrel" or "palm") in every load case, by its key; broadcasts.

    >>> weld = by_case(engineering_inputs("canal-tender"), "barrel")["seized"]
    >>> round(float(weld.demand), 1)  # root 2 x 38 197 N mm x 7 / 5945 mm3, over 3.57
    17.8
    """
    found, known = load_paths.paths(inputs), load_cases.amplitudes(inputs)
    limit = limit_mpa(inputs)
    per_mm, throats = [], []
    for k, beam in enumerate(found.beams):
        measure = _of_weld(beam, _STATION[joint], rules.weld_force_n_mm)
        per_mm.append(load_cases.measured(load_cases.arm_ways(found, k), measure))
        throats.append(joint_throat_mm(inputs, joint, beam))
    return {
        case.key: load_cases.worst_of(
            [
                at_most(case.load_factor * load_cases.worst(case, known, reply) / throat, limit)
                for reply, throat in zip(per_mm, throats, strict=True)
            ]
        )
        for case in bolts.palm_cases(inputs)
    }


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of the welds by code; broadcasts. A cast strut has none.

    >>> leg = numbers(engineering_inputs("canal-tender"))["weld_leg_palm"]
    >>> float(leg.capacity), float(leg.demand)  # a leg of 7; a plate of 14 asks for 6
    (7.0, 6.0)
    """
    if inputs.construction != "welded":
        return {}
    out: dict[str, Outcome] = {}
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
            out["weld_skeg_rudder"] = _skeg(inputs)
    for joint, (leg, one, other) in ends.items():
        out[f"weld_leg_{joint}"] = at_least(leg, rules.minimum_leg_mm(np.maximum(one, other)))
    curl = flattening.weld_pull_up_mm(palm.port_mm - palm.starboard_mm, arm.palm_root_mm, palm.thickness_mm)
    out["palm_curl"] = information(curl)
    out["palm_curl_most"] = information(inputs.limit("press_curl") * curl)
    deposit = arm.palm_root_mm**2
    out["arm_shrinkage"] = information(flattening.weld_shrinkage_mm(deposit, arm.thickness_palm_mm))
    return out


def _skeg(inputs: Inputs) -> Outcome:
    force = load_cases.amplitudes(inputs)["rudder"] * load_cases.RUDDER.under(inputs.limits).load_factor
    return at_most(force * _skeg_per_n(inputs, rules.weld_force_n_mm), limit_mpa(inputs))


def skeg_root_per_n(inputs: Inputs) -> Num:
    """Return the nominal stress in the throat of the skeg's weld per newton at the heel, MPa, that its root feels.

    >>> round(1e3 * float(skeg_root_per_n(engineering_inputs("yawl-with-heel"))), 1)  # of a kN
    13.0
    """
    return _skeg_per_n(inputs, rules.root_force_n_mm)


def _skeg_per_n(inputs: Inputs, force: _Force) -> Num:
    skeg = inputs.skeg
    assert skeg is not None
    assert skeg.heel is not None
    heel_x, _, heel_z = skeg.heel.centre_mm
    middle = (skeg.root_forward_x_mm + skeg.root_aft_x_mm) / 2.0
    below, aft = -heel_z - inputs.barrel_outside_mm / 2.0, middle - heel_x
    length = skeg.root_forward_x_mm - skeg.root_aft_x_mm
    per_mm = force(rules.rectangle_weld(length, skeg.thickness_root_mm), (0.0, 1.0, 0.0), (below, 0.0, aft))
    throat = rules.throat_mm(skeg.root_mm, rules.around_barrel_deg(skeg.thickness_root_mm, inputs.barrel_outside_mm))
    return per_mm / throat


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings about the welds of one strut; strength of metals other than steel is a hint.

    Tempered aluminium counts as softened all over; filler of aluminium, and bronze, soften by procedure: no figure here
    speaks for those.

    >>> inputs = engineering_inputs("canal-tender")
    >>> found = {f.code: f for f in findings(shipped("canal-tender"), inputs, numbers(inputs))}
    >>> found["weld_leg_palm"].measure("mm")
    '7 mm against at least 6 mm'
    """
    if inputs.construction != "welded":
        return []
    found: list[Finding] = []
    doubtful = inputs.strut.family not in STEELS
    for row in _ROWS:
        joint = row.code.removeprefix("weld_")
        if joint in _JOINTS:
            found += case_findings(row, inputs, numbers, functools.partial(by_case, joint=joint), doubtful)
        elif row.code in numbers:
            check = replace(row, standing=Standing.LOW) if doubtful and joint == "skeg_rudder" else row
            found.append(finding_of(check, numbers[row.code], inputs))
    return found + _softened(strut)


def _softened(strut: Strut) -> list[Finding]:
    """Say it where welding takes strength away: every strength of the strut counts with what is left."""
    whole, left = tables.material(strut.material), tables.as_welded(strut.material)
    if whole.yield_mpa is None or left.yield_mpa is None or left.yield_mpa >= whole.yield_mpa:
        return []
    return [
        inform(
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
