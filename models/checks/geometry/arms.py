"""Checks of the arms: on the barrel, on the palm, their section, and the angle of a vee."""

from __future__ import annotations

import numpy as np

from strutwright.models import frames
from strutwright.models.checks.check import Check
from strutwright.models.checks.geometry import footprints
from strutwright.models.checks.results import Results
from strutwright.models.formulas.arm_rules import blade_line_up, clear_v_angles
from strutwright.models.geometry.barrel import parallel_part
from strutwright.models.spec import Arm
from strutwright.params.words import deg, mm, say

_GROUP = "arms"
BARREL = Check("arm_on_barrel", _GROUP, "the arm's root stands on the barrel, not over a face")
PARALLEL = Check("arm_on_parallel_part", _GROUP, "the arm and its fillet or weld stand on the parallel part")
WIDTH = Check("arm_within_barrel", _GROUP, "the arm is thinner than the barrel is wide")
RATIO = Check(
    "arm_thickness_ratio",
    _GROUP,
    "thickness over chord of the arm's section",
    ("arm_thickness_ratio_least", "arm_thickness_ratio_most"),
)
EDGE = Check("arm_edge_radius", _GROUP, "edges of a flat arm are rounded", ("arm_edge_radius",))
SPEED = Check("flat_arm_speed", _GROUP, "flat arms are for slow boats", ("flat_arm_speed",))
TOE = Check("arm_toe", _GROUP, "toe of the arm's chord", ("arm_toe",))
LENGTH = Check("arm_length", _GROUP, "length of the arm from barrel to hull face", ("arm_length",))
ANGLE = Check("vee_angle", _GROUP, "least angle between the arms of a vee", ("vee_angle", "vee_angle_hard"))
WIDE = Check("vee_angle_greatest", _GROUP, "greatest angle between the arms of a vee", ("vee_angle_most",))
BLADES = Check(
    "vee_angle_blades", _GROUP, "both arms of a vee are not in line with two blades at once", ("vee_angle_from_blades",)
)
TORCH = Check("vee_torch_room", _GROUP, "room for a torch in the crotch of a welded vee", ("vee_torch_room",))
CHECKS = (BARREL, PARALLEL, WIDTH, RATIO, EDGE, SPEED, TOE, LENGTH, ANGLE, WIDE, BLADES, TORCH)


def check(out: Results) -> None:
    """Check each arm on the barrel, its section and length, and the angle of a vee."""
    strut = out.strut
    for k in range(len(strut.arms)):
        _on_barrel(out, k)
    for arm in strut.arms[:1]:  # the arms of a vee have one section
        _section(out, arm)
    for arm, sizes in zip(strut.arms, out.struts.inputs.arms, strict=True):
        out.most(
            LENGTH,
            f"length of the {arm.name}",
            sizes.end_mm - sizes.start_mm,
            "arm_length",
            per=strut.shaft.diameter_mm,
            parameter="hull.drop",
            advice="an arm over {need} wants a larger section by calculation"
            + ("" if len(strut.arms) == 2 else ", or a vee"),
        )
    if len(strut.arms) == 2:
        _vee(out)


def _on_barrel(out: Results, index: int) -> None:
    barrel, arm = out.strut.barrel, out.strut.arms[index]
    on = footprints.on_barrel(out.struts, index)
    half = barrel.length_mm / 2
    reach = np.maximum(on.forward_mm - half, half - on.aft_mm)
    out.most(
        BARREL,
        f"reach of the {arm.name} from mid-barrel",
        reach,
        half,
        parameter="arms.section.chord",
        advice=say("shorten arms.section.chord by {less}, or move arms.position", less=mm(2 * (reach - half))),
    )
    start, stop = parallel_part(barrel)
    middle, half = (start + stop) / 2, (stop - start) / 2
    reach = np.maximum(on.forward_mm - middle, middle - on.aft_mm) + arm.barrel_root_mm
    covered = (on.forward_mm - on.aft_mm) / 2 + arm.barrel_root_mm
    move = say(
        "move arms.position to {station} from the aft face",
        station=mm(arm.station_mm + middle - (on.forward_mm + on.aft_mm) / 2),
    )
    shorten = say("shorten arms.section.chord by {less} or the fairings in barrel.ends", less=mm(2 * (covered - half)))
    out.most(
        PARALLEL,
        f"reach of the {arm.name} with its root from the middle of the parallel part",
        reach,
        half,
        warn=True,
        parameter="arms.position",
        advice=lambda: move if covered <= half else say("{shorten}, and {move}", shorten=shorten, move=move),
    )
    out.most(
        WIDTH,
        f"thickness of the {arm.name} at the barrel",
        arm.thickness_barrel_mm,
        barrel.outside_mm,
        parameter="arms.section.thickness",
        advice="make arms.section.thickness well under {need}",
    )


def _section(out: Results, arm: Arm) -> None:
    for where, chord, thickness, name in (
        ("barrel", arm.chord_barrel_mm, arm.thickness_barrel_mm, "thickness"),
        ("palm", arm.chord_palm_mm, arm.thickness_palm_mm, "thickness_at_palm"),
    ):
        low, high = (mm(out.value(f"arm_thickness_ratio_{n}", chord)) for n in ("least", "most"))
        out.within(
            RATIO,
            f"thickness over chord at the {where}",
            thickness / chord,
            "arm_thickness_ratio_least",
            "arm_thickness_ratio_most",
            unit="",
            parameter=f"arms.section.{name}",
            advice=say(
                "bring arms.section.{name} between {low} and {high}, or change the chord", name=name, low=low, high=high
            ),
        )
    if arm.shape == "flat":
        thin = np.minimum(arm.thickness_barrel_mm, arm.thickness_palm_mm) / 2
        full = thin < out.value("arm_edge_radius")
        for aim, where in ((thin, full), ("arm_edge_radius", np.logical_not(full))):
            out.least(
                EDGE,
                "edge radius of the flat arm",
                arm.edge_radius_mm,
                aim,
                warn=True,
                parameter="arms.section.edge_radius",
                advice="make arms.section.edge_radius {need} or more",
                where=where,
            )
        speed = out.strut.duty.boat_speed_kn
        if speed is None:
            out.without(SPEED, "boat speed with flat arms", "duty.boat_speed")
        else:
            out.most(
                SPEED,
                "boat speed with flat arms",
                speed,
                "flat_arm_speed",
                unit="kn",
                parameter="arms.section.shape",
                advice="over {need} choose ellipse, two_arcs or foil for arms.section.shape",
            )
    out.most(
        TOE,
        "toe of the chord",
        abs(arm.toe_deg),
        "arm_toe",
        unit="deg",
        parameter="arms.toe",
        advice="keep arms.toe within {need} unless the flow was measured",
    )


def _vee(out: Results) -> None:
    strut, at = out.strut, "arms.included_angle"
    angle = frames.angle_between_deg(strut.arms[0].clock_deg, strut.arms[1].clock_deg)
    out.least(
        ANGLE,
        "angle between the arms",
        angle,
        "vee_angle",
        hard="vee_angle_hard",
        unit="deg",
        parameter=at,
        advice=f"open {at} to {{need}} or more",
    )
    out.most(
        WIDE,
        "angle between the arms",
        angle,
        "vee_angle_most",
        unit="deg",
        parameter=at,
        advice=f"close {at} to {{need}} or less",
    )
    if strut.construction == "welded":
        out.least(
            TORCH,
            "angle between the arms for the torch",
            angle,
            "vee_torch_room",
            unit="deg",
            parameter=at,
            advice=f"open {at} to {{need}}, or plan how the crotch is welded",
        )
    blades = strut.propeller.blades
    if blades is None:
        out.without(BLADES, "angle of the vee against the blades", "propeller.blades")
        return
    good = [a for a in clear_v_angles(blades) if out.value("vee_angle") <= a <= out.value("vee_angle_most")]
    near = min(good, key=lambda a: abs(a - angle), default=None)
    better = say("{at} of {near} is best", at=at, near=deg(near)) if near is not None else say("change {at}", at=at)
    out.least(
        BLADES,
        say("angle of the vee off the nearest multiple of {step}", step=deg(360 / blades)),
        float(blade_line_up(angle, blades)),
        "vee_angle_from_blades",
        unit="deg",
        parameter=at,
        advice=say("{better} with {blades} blades; at least {need} off is wanted", better=better, blades=blades),
    )
