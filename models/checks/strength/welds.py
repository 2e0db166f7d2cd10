"""Welds of a welded strut: arm to barrel, arm to palm, skeg to barrel; their strength, least size and distortion.

Each weld runs all round the section, as a line; loads as in `arms`. Directional method of EN 1993-1-8 4.5.3.2, on the
sides and at the ends, what each load brings taken where it is greatest, loads times 1.5 where a case may use half of
yield. Each side and each end has the throat of the angle at which the parts stand there
(`models.weld_sides`), and half of what the joint carries. With a double bevel the throat reaches from the root face to
the bead, up to half the plate: a joint as strong as the plate. Aluminium by EN 1999-1-1 8.6.3, with the same stress.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from strutwright.models import halves, weld_sides
from strutwright.models.arrays import Num, Six, Triple, add, greatest, mul
from strutwright.models.checks.check import Check, of_groups, without_limits
from strutwright.models.checks.outcome import (
    Outcome,
    at_least,
    at_most,
    collected,
    finding_of,
    inform,
    information,
    worst_of,
)
from strutwright.models.checks.strength import arm_beams, bolt_forces, load_cases, skeg_blows, unit_loads, weld_advice
from strutwright.models.checks.strength.arm_beams import Beam
from strutwright.models.checks.strength.every_case import case_findings, in_every_case
from strutwright.models.checks.strength.overstrength import overstrength_limit, unused
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import weld_distortion
from strutwright.models.formulas import welds as rules
from strutwright.models.input_parts import SkegInputs
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.sections.kind import Girth, kind_of
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.words import Amount, say

GROUP = "welds"
STEELS = ("steel", "stainless", "duplex")
ALUMINIUM = "aluminium"
JOINTS: tuple[weld_sides.End, ...] = ("barrel", "palm")
"""Where an arm is welded."""
_FILLER = "weld_metal_aluminium"
_ROWS = of_groups(GROUP)
CHECKS = in_every_case(_ROWS)


def limit_mpa(inputs: Inputs) -> Num:
    """Return the limit on the equivalent stress in the throat, MPa: fu / (beta_w x partial factor), of aluminium with
    the strength of the filler where that is less.

    >>> limit_mpa(engineering_inputs("canal-tender"))  # 485 / 1.25
    388.0
    >>> float(limit_mpa(engineering_inputs("survey-launch")))  # 240 of the filler / 1.25
    192.0
    """
    if inputs.strut.family == ALUMINIUM:
        weaker = np.minimum(inputs.strut.ultimate_mpa, inputs.limit(_FILLER))
        return rules.directional_limit_mpa(weaker, _beta_w(inputs), inputs.limit("joint_partial"))
    return rules.directional_limit_mpa(inputs.strut.ultimate_mpa, _beta_w(inputs), inputs.limit("joint_partial"))


def joint_throat_mm(inputs: Inputs, joint: weld_sides.End, beam: Beam) -> Num:
    """Return the least throat of the weld of an arm to barrel or palm, all round, mm.

    >>> tender = engineering_inputs("canal-tender")
    >>> round(float(joint_throat_mm(tender, "barrel", arm_beams.beams(tender)[0])), 3)
    3.262
    """
    return weld_sides.arm_throats(inputs, joint, beam.arm).least_mm


def root_reply(inputs: Inputs, arm: int, joint: weld_sides.End) -> load_cases.Reply:
    """Return the nominal force in the weld of an arm to barrel or palm, N per mm and unit load, that its root feels.

    >>> tender = engineering_inputs("canal-tender")
    >>> round(1e3 * float(root_reply(tender, 0, "palm")("axial", None)), 2)  # 193 N m x 28 / 41 054 mm3, and 8
    131.93
    """
    return unit_loads.rooted(unit_loads.measured(_corners(inputs, arm, joint), lambda felt: felt.whole2))


@once
def _corners(
    inputs: Inputs, arm: int, joint: weld_sides.End
) -> Callable[[load_cases.Group, float | None], list[rules.Corner]]:
    """What the weld of an arm feels of a unit load, in all its directions and shares; kept with the inputs."""
    beam, station = arm_beams.beams(inputs)[arm], _STATION[joint]
    line = _line(beam, station)
    weld, loads = weld_round(line), unit_loads.arm_loads(inputs, arm, joint)

    def felt(group: load_cases.Group, clock_deg: float | None) -> list[rules.Corner]:
        return [rules.at_corner(weld, *_at_weld(beam, station, line, load)) for load in loads(group, clock_deg)]

    return unit_loads.kept(felt)


_STATION: dict[weld_sides.End, int] = {"barrel": 0, "palm": arm_beams.AT_PALM}
"""Where along an arm its two welds are."""


def _beta_w(inputs: Inputs) -> float:
    return rules.CORRELATION["S275" if inputs.strut.family == "steel" else "stainless"]


def _line(beam: Beam, station: int) -> Girth:
    """The line that a weld follows at a station of an arm."""
    x = [p[0] for p in beam.points_mm[station]]
    chord, thickness = x[0] - x[-1], 2.0 * beam.sections[station].half_thickness_mm
    return kind_of(beam.arm.shape).girth(chord, thickness, beam.arm.edge_at(thickness))


def weld_round(g: Girth) -> rules.WeldLine:
    """Return the weld along the line round a section.

    >>> line = weld_round(kind_of("flat").girth(100.0, 25.0, 0.0))  # 2 x 100 and 2 x 25
    >>> round(1.0 / float(line.per_force), 3)
    250.0
    """
    return rules.weld_line(g.length_mm, g.ixx_mm3, g.iyy_mm3, g.reach_x_mm, g.reach_y_mm)


def _at_weld(beam: Beam, station: int, line: Girth, load: Six) -> tuple[Triple, Triple]:
    a = arm_beams.actions(beam, station, load)
    # Moments about the middle of the weld, not about the section's centroid or mid-chord.
    about_y = add(a.moment_across, mul(a.axial, beam.cuts[station].centroid_x_mm - line.middle_x_mm))
    twist = add(a.torsion, -mul(a.shear_across, line.middle_x_mm))
    return (a.shear_chord, a.shear_across, a.axial), (a.moment_chord, about_y, twist)


def _stress(inputs: Inputs, arm: int, joint: weld_sides.End) -> load_cases.Reply:
    """The greatest equivalent stress in the weld of an arm, MPa per unit load."""
    throats = weld_sides.arm_throats(inputs, joint, inputs.arms[arm])
    made = rules.Joint.of(throats.sides, throats.ends, _beta_w(inputs))
    return unit_loads.rooted(unit_loads.measured(_corners(inputs, arm, joint), made.squared_mpa2))


@once
def by_case(inputs: Inputs, joint: weld_sides.End) -> dict[str, Outcome]:
    """Return the stress in the welds of one joint ("barrel" or "palm") in every load case, by its key; broadcasts.
    Kept with the inputs.

    >>> weld = by_case(engineering_inputs("canal-tender"), "barrel")["seized"]
    >>> round(float(weld.demand), 1)  # root of (2 + cos 114.1) times 38 197 N mm x 7 / 5194 mm3, over 3.26
    19.9
    """
    known, limit = load_cases.amplitudes(inputs), limit_mpa(inputs)
    stresses = [_stress(inputs, k, joint) for k in halves.unlike(inputs)]
    return {
        case.key: worst_of(
            [at_most(case.load_factor * load_cases.worst(case, known, stress), limit) for stress in stresses]
        )
        for case in bolt_forces.palm_cases(inputs)
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
    for joint in JOINTS:
        # Of a grounding `grounding` tells.
        held = {key: made for key, made in by_case(inputs, joint).items() if key not in load_cases.TOLD_APART}
        out |= collected(f"weld_{joint}", held)
    arm = inputs.arms[0]
    palm = inputs.palms[arm.palm_index]
    ends = {
        "barrel": (arm.barrel_root_mm, arm.thickness_barrel_mm, inputs.barrel_wall_mm),
        "palm": (arm.palm_root_mm, arm.thickness_palm_mm, palm.most_mm),
    }
    if inputs.skeg is not None:
        ends["skeg"] = (inputs.skeg.root_mm, inputs.skeg.thickness_root_mm, inputs.barrel_wall_mm)
        wide = weld_sides.skeg_angles(inputs.skeg, inputs.barrel_outside_mm).side_wide
        out["weld_lean_skeg"] = at_most(wide - 90.0, inputs.limit("weld_lean"))
        out["weld_skeg_blow"] = _skeg_blow(inputs)
        if inputs.skeg.heel is not None:
            out["weld_skeg_rudder"] = _skeg(inputs)
    if inputs.weld_prep == "none":
        out["weld_lean_barrel"] = _lean(inputs, "barrel")
        out["weld_lean_palm"] = _lean(inputs, "palm")
    for part, (leg, one, other) in ends.items():
        out[f"weld_leg_{part}"] = at_least(leg, rules.minimum_leg_mm(np.maximum(one, other)))
    curl = weld_distortion.weld_pull_up_mm(palm.port_mm - palm.starboard_mm, arm.palm_root_mm, palm.thickness_mm)
    out["palm_curl"] = information(curl)
    out["palm_curl_most"] = information(inputs.limit("press_curl") * curl)
    deposit = 2.0 * weld_sides.deposit_mm2(inputs, arm.palm_root_mm, arm.thickness_palm_mm)
    out["arm_shrinkage"] = information(weld_distortion.weld_shrinkage_mm(deposit, arm.thickness_palm_mm))
    return out


def _lean(inputs: Inputs, joint: weld_sides.End) -> Outcome:
    leans = [weld_sides.arm_angles(inputs, joint, arm).lean_deg for arm in inputs.arms]
    return at_most(greatest(leans), inputs.limit("weld_lean"))


def _skeg(inputs: Inputs) -> Outcome:
    force = load_cases.amplitudes(inputs)["rudder"] * load_cases.RUDDER.under(inputs.limits).load_factor
    return at_most(force * _skeg_mpa(inputs, _heel_mm(inputs), _TO_PORT), limit_mpa(inputs))


def _skeg_blow(inputs: Inputs) -> Outcome:
    likely = inputs.limit(overstrength_limit(inputs))
    felt = [hit.least_n * _skeg_mpa(inputs, hit.at_mm, _TO_PORT) for hit in skeg_blows.from_side(inputs).values()]
    return at_most(likely * greatest(felt), limit_mpa(inputs))


def skeg_grounding(inputs: Inputs) -> Outcome:
    """Return the stress in the skeg's weld in a grounding of the skeg that bends skeg or arm, MPa; broadcasts.

    >>> weld = skeg_grounding(engineering_inputs("yawl-with-heel"))
    >>> bool(weld.demand > weld.capacity)
    True
    """
    hit = skeg_blows.from_ahead(inputs)
    assert hit is not None
    force = inputs.limit(overstrength_limit(inputs)) * hit.least_n
    return at_most(force * _skeg_mpa(inputs, hit.at_mm, hit.toward), limit_mpa(inputs))


def _skeg_mpa(inputs: Inputs, at_mm: Triple, toward: Triple) -> Num:
    """The stress in the skeg's weld of a newton on the skeg, MPa."""
    weld, forces, moments = _at_skeg(inputs, at_mm, toward)
    throats = weld_sides.skeg_throats(inputs, _fin(inputs))
    return rules.weld_stress_mpa(weld, forces, moments, sides=throats.sides, ends=throats.ends, beta_w=_beta_w(inputs))


def skeg_root_per_n(inputs: Inputs) -> Num:
    """Return the nominal stress in the throat of the skeg's weld per newton at the heel, MPa, that its root feels.

    >>> round(1e3 * float(skeg_root_per_n(engineering_inputs("yawl-with-heel"))), 1)  # of a kN
    15.6
    """
    return (
        rules.whole_at_corner(*_at_skeg(inputs, _heel_mm(inputs), _TO_PORT))
        / weld_sides.skeg_throats(inputs, _fin(inputs)).least_mm
    )


def _fin(inputs: Inputs) -> SkegInputs:
    assert inputs.skeg is not None
    return inputs.skeg


_TO_PORT: Triple = (0.0, 1.0, 0.0)


def _heel_mm(inputs: Inputs) -> Triple:
    heel = _fin(inputs).heel
    assert heel is not None
    return heel.centre_mm


def _at_skeg(inputs: Inputs, at_mm: Triple, toward: Triple) -> tuple[rules.WeldLine, Triple, Triple]:
    """The skeg's weld, and force and moments on it of a newton fore and aft or to port at a point of the skeg."""
    skeg = _fin(inputs)
    length = skeg.root_forward_x_mm - skeg.root_aft_x_mm
    line = kind_of(skeg.section).girth(length, skeg.thickness_root_mm, None)
    middle = (skeg.root_forward_x_mm + skeg.root_aft_x_mm) / 2.0 + line.middle_x_mm
    below, aft, (x, y, _) = -at_mm[2] - inputs.barrel_outside_mm / 2.0, middle - at_mm[0], toward
    return weld_round(line), (x, y, 0.0), (mul(below, y), mul(below, x), mul(aft, y))


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings about the welds of one strut; strength of metals other than steel and aluminium is a hint.

    Tempered aluminium counts as softened all over; bronze softens by procedure, and no figure here speaks for that.

    >>> inputs = engineering_inputs("canal-tender")
    >>> found = {f.code: f for f in findings(shipped("canal-tender"), inputs, numbers(inputs))}
    >>> found["weld_leg_palm"].measure("mm")
    '7 mm against at least 6 mm'
    """
    if inputs.construction != "welded":
        return []
    found: list[Finding] = []
    doubtful = inputs.strut.family not in (*STEELS, ALUMINIUM)
    for row in (_of_metal(row, inputs) for row in _ROWS):
        joint = row.code.removeprefix("weld_")
        if joint in JOINTS:
            found += case_findings(
                row,
                inputs,
                numbers,
                functools.partial(by_case, joint=joint),
                doubtful,
                functools.partial(_advised, inputs, joint),
            )
        elif row.code in numbers:
            check = replace(row, standing=Standing.LOW) if doubtful and joint in ("skeg_rudder", "skeg_blow") else row
            (check,) = without_limits((check,), *unused(inputs))
            found.append(finding_of(check, numbers[row.code], inputs))
    return found + _softened(strut)


def _advised(inputs: Inputs, joint: weld_sides.End, key: str) -> tuple[str, str]:
    return weld_advice.advised(inputs, joint, lambda one: float(by_case(one, joint)[key].utilisation))


def _of_metal(check: Check, inputs: Inputs) -> Check:
    """Return a check with source and limits of the strut's own metal."""
    if _FILLER not in check.limits:
        return check
    if inputs.strut.family == ALUMINIUM:
        return replace(check, source="EN 1999-1-1 8.6.3 (from memory), weld as a line")
    return replace(check, limits=tuple(name for name in check.limits if name != _FILLER))


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
