"""Checks of the arms: on the barrel, on the palm, their section, and the angle of a vee."""

from __future__ import annotations

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Num
from strutwright.models.checks.check import rows_of
from strutwright.models.checks.results import Results
from strutwright.models.formulas.arm_rules import blade_line_up, clear_v_angles
from strutwright.models.geometry import footprints
from strutwright.models.geometry.barrel import parallel_part
from strutwright.models.sections import kind_of
from strutwright.models.spec import Arm
from strutwright.params.words import deg, mm, say

CHECKS = (BARREL, PARALLEL, WIDTH, RATIO, EDGE, SPEED, TOE, LENGTH, ANGLE, WIDE, BLADES, TORCH) = rows_of("arms")


def check(out: Results) -> None:
    """Check each arm on the barrel, its section and length, and the angle of a vee.

    >>> found(check, "canal-tender")["arm_thickness_ratio"].actual  # 14 / 56
    0.25
    """
    strut = out.strut
    for k in range(len(strut.arms)):
        _on_barrel(out, k)
    for arm in strut.arms[:1]:  # the arms of a vee have one section
        _section(out, arm)
    for arm, sizes in zip(strut.arms, out.struts.inputs.arms, strict=True):
        out.most(
            LENGTH,
            sizes.end_mm - sizes.start_mm,
            "arm_length",
            per=strut.shaft.diameter_mm,
            advice="an arm over {need} wants a larger section by calculation"
            + ("" if len(strut.arms) == 2 else ", or a vee"),
            arm=arm.name,
        )
    if len(strut.arms) == 2:
        _vee(out)


def _on_barrel(out: Results, index: int) -> None:
    barrel, arm = out.strut.barrel, out.strut.arms[index]
    on = footprints.on_barrel(out.struts, index, out.roll)
    half: Num = barrel.length_mm / 2
    reach = np.maximum(on.forward_mm - half, half - on.aft_mm)
    out.most(BARREL, reach, half, arm=arm.name, less=mm(2 * (reach - half)))
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
        reach,
        half,
        warn=True,
        advice=lambda: move if covered <= half else say("{shorten}, and {move}", shorten=shorten, move=move),
        arm=arm.name,
    )
    out.most(WIDTH, arm.thickness_barrel_mm, barrel.outside_mm, arm=arm.name)


def _section(out: Results, arm: Arm) -> None:
    for where, chord, thickness, name in (
        ("barrel", arm.chord_barrel_mm, arm.thickness_barrel_mm, "thickness"),
        ("palm", arm.chord_palm_mm, arm.thickness_palm_mm, "thickness_at_palm"),
    ):
        low, high = (mm(out.value(f"arm_thickness_ratio_{n}", chord)) for n in ("least", "most"))
        out.within(
            RATIO,
            thickness / chord,
            "arm_thickness_ratio_least",
            "arm_thickness_ratio_most",
            unit="",
            place=where,
            name=name,
            thin=low,
            thick=high,
        )
    if kind_of(arm.shape).flat_sides:
        thin = np.minimum(arm.thickness_barrel_mm, arm.thickness_palm_mm) / 2
        full = thin < out.value("arm_edge_radius")
        for aim, where in ((thin, full), ("arm_edge_radius", np.logical_not(full))):
            out.least(EDGE, arm.edge_radius_mm, aim, warn=True, where=where)
        speed = out.strut.duty.boat_speed_kn
        if speed is None:
            out.without(SPEED, "boat speed with flat arms", "duty.boat_speed")
        else:
            out.most(SPEED, speed, "flat_arm_speed", unit="kn")
    out.most(TOE, abs(arm.toe_deg), "arm_toe", unit="deg")


def _vee(out: Results) -> None:
    strut, at = out.strut, "arms.included_angle"
    angle = frames.angle_between_deg(strut.arms[0].clock_deg, strut.arms[1].clock_deg)
    out.least(ANGLE, angle, "vee_angle", hard="vee_angle_hard", unit="deg", path=at, at=at)
    out.most(WIDE, angle, "vee_angle_most", unit="deg", path=at, at=at)
    if strut.construction == "welded":
        out.least(TORCH, angle, "vee_torch_room", unit="deg", path=at, at=at)
    blades = strut.propeller.blades
    if blades is None:
        out.without(BLADES, "angle of the vee against the blades", "propeller.blades")
        return
    good = [a for a in clear_v_angles(blades) if out.value("vee_angle") <= a <= out.value("vee_angle_most")]
    near = min(good, key=lambda a: abs(a - angle), default=None)
    better = say("{at} of {near} is best", at=at, near=deg(near)) if near is not None else say("change {at}", at=at)
    out.least(
        BLADES,
        float(blade_line_up(angle, blades)),
        "vee_angle_from_blades",
        unit="deg",
        step=deg(360 / blades),
        path=at,
        better=better,
        blades=blades,
    )
