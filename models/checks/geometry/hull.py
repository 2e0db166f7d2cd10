"""Checks of how the strut lies under the hull and beside the propeller: angles, drop, clearances, span."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import NotYetTyped as Num
from strutwright.models.checks.check import Check
from strutwright.models.checks.geometry.palm import palm_span_mm
from strutwright.models.checks.results import Results
from strutwright.models.checks.struts import Struts
from strutwright.models.geometry import shapes
from strutwright.models.geometry.clearances import under_plane_mm
from strutwright.params.words import Amount, Words, mm, say

_GROUP = "hull"
_PROPELLER = "propeller"
PITCH = Check(
    "palm_pitch", _GROUP, "angle from shaft to hull in the vertical plane, greatest", ("palm_pitch", "palm_pitch_hard")
)
PITCH_LEAST = Check(
    "palm_pitch_least", _GROUP, "angle from shaft to hull in the vertical plane, least", ("palm_pitch_least",)
)
TILT = Check(
    "palm_tilt",
    _GROUP,
    "how far a palm is off square to its arm, seen along the shaft",
    ("palm_tilt_single", "palm_tilt_vee"),
)
CONFLICT = Check(
    "hull_inputs_agree",
    _GROUP,
    "angles and drops that are given more than once agree",
    ("conflict_angle", "conflict_angle_hard", "conflict_length", "conflict_length_hard"),
)
SPEED = Check(
    "shaft_speed_agrees",
    "duty",
    "shaft speed given agrees with engine speed and gear ratio",
    ("conflict_speed", "conflict_speed_hard"),
)
DROP = Check("drop_least", _GROUP, "drop is plausible: not too small", ("drop_least",))
DROP_MOST = Check("drop_greatest", _GROUP, "drop is plausible: not too large", ("drop_most",))
CLEAR = Check("barrel_clear_of_hull", _GROUP, "water between the barrel and the hull or palm", ("barrel_to_hull",))
TIP = Check("tip_clearance", _PROPELLER, "blade tip to hull, at the propeller", ("tip_clearance", "tip_clearance_hard"))
GAP = Check("hub_gap", _PROPELLER, "bearing to propeller hub, greatest", ("hub_gap", "hub_gap_hard"))
GAP_LEAST = Check("hub_gap_least", _PROPELLER, "barrel to propeller hub, least", ("hub_gap_least",))
SPAN = Check(
    "bearing_span", "shaft", "distance to the next bearing forward", ("bearing_span_least", "bearing_span_most")
)
CHECKS = (PITCH, PITCH_LEAST, TILT, CONFLICT, SPEED, DROP, DROP_MOST, CLEAR, TIP, GAP, GAP_LEAST, SPAN)


def check(out: Results) -> None:
    """Check how the strut lies under the hull and beside the propeller."""
    _angles(out)
    _conflicts(out)
    for path, given, implied in out.strut.duty.conflicts:
        words = say(
            "you gave {path} {given}, and it is taken; engine_speed over gear_ratio make it {implied}",
            path=path,
            given=Amount(given, "rpm"),
            implied=Amount(implied, "rpm"),
        )
        out.most(
            SPEED,
            words,
            abs(given - implied),
            "conflict_speed",
            hard="conflict_speed_hard",
            per=given,
            unit="rpm",
            parameter=path,
            advice=f"remove {path}, or mend duty.engine_speed or duty.gear_ratio",
        )
    if not out.strut.duty.conflicts:
        out.holds(SPEED, "shaft speed given", True, parameter="duty.shaft_speed", advice="")
    _drop(out)
    _propeller(out)
    span, d = out.strut.shaft.bearing_span_mm, out.strut.shaft.diameter_mm
    if span is None:
        out.without(SPAN, "distance to the next bearing", "shaft.bearing_span")
    else:
        out.within(
            SPAN,
            "distance to the next bearing",
            span,
            "bearing_span_least",
            "bearing_span_most",
            per=d,
            parameter="shaft.bearing_span",
            advice=say(
                "{least} to {most} is usual: check alignment when shorter, whirling when longer",
                least=mm(out.value("bearing_span_least", d)),
                most=mm(out.value("bearing_span_most", d)),
            ),
        )


def _angles(out: Results) -> None:
    strut = out.strut
    theta = strut.hull.shaft_to_hull_deg
    out.most(
        PITCH,
        "shaft to hull",
        theta,
        "palm_pitch",
        hard="palm_pitch_hard",
        unit="deg",
        parameter="hull.shaft_angle",
        advice="a shaft flatter than {need} to the hull is wanted; check the angle and what it was measured from",
    )
    out.least(
        PITCH_LEAST,
        "shaft to hull",
        theta,
        "palm_pitch_least",
        unit="deg",
        parameter="hull.shaft_angle",
        advice="check the signs of hull.shaft_angle and hull.run",
    )
    limit = "palm_tilt_single" if len(strut.arms) == 1 else "palm_tilt_vee"
    for arm in strut.arms:
        tilt = frames.angle_between_deg(arm.clock_deg, -frames.arm_plane(strut, arm).tilt_deg)
        out.most(
            TILT,
            f"palm off square to the {arm.name}",
            tilt,
            limit,
            unit="deg",
            parameter="arms.stance",
            advice="set arms.stance to square_to_bottom"
            if len(strut.arms) == 1
            else "set arms.stance to square_to_bottom or close arms.included_angle: at most {need}",
        )


def _conflicts(out: Results) -> None:
    hull = out.strut.hull
    for path, given, implied in hull.conflicts:
        angle = "angle" in path
        kind, unit = ("conflict_angle", "deg") if angle else ("conflict_length", "mm")
        by_others = Amount(implied, unit)
        out.most(
            CONFLICT,
            say(
                "you gave {path} as {given}; your other figures make it {implied}",
                path=path,
                given=Amount(given, unit),
                implied=by_others,
            ),
            abs(given - implied),
            kind,
            hard=f"{kind}_hard",
            unit=unit,
            parameter=path,
            advice=say("measure again, then give one of them or make {path} {implied}", path=path, implied=by_others),
        )
    if not hull.conflicts:
        out.holds(CONFLICT, "angles and drops given", True, parameter="hull", advice="")


def _drop(out: Results) -> None:
    strut, barrel = out.strut, out.strut.barrel
    drop = strut.hull.drop_square_to_shaft_mm
    out.least(
        DROP,
        "drop square to the shaft",
        drop,
        "drop_least",
        per=barrel.outside_mm,
        parameter="hull.drop",
        advice="check hull.drop and its units; {need} or more is usual",
    )
    out.most(
        DROP_MOST,
        "drop square to the shaft",
        drop,
        "drop_most",
        per=strut.shaft.diameter_mm,
        parameter="hull.drop",
        advice="check hull.drop and its units; {need} or less is usual",
    )
    out.least(
        CLEAR,
        "water between barrel and hull or palm",
        _barrel_to_hull(out.struts),
        "barrel_to_hull",
        parameter="hull.drop",
        advice="the barrel comes within {need} of the hull: check hull.drop and the angle",
    )


def _barrel_to_hull(struts: Struts) -> Num:
    """Least distance (mm) from the barrel's plain outside to the hull planes and the water faces of the palms."""
    barrel = struts.strut.barrel
    half, r = barrel.length_mm / 2, barrel.outside_mm / 2
    n = shapes.over_shaft(struts.own)
    least = under_plane_mm(struts.drop_mm * n[2], n, -half, half, r)
    for k, palm in enumerate(struts.inputs.palms):
        n = np.array(palm.normal)
        x, y = ([v - palm.thickness_mm * n[w] for v in palm_span_mm(struts, k, w)] for w in (0, 1))
        beside = (x[1] > -half) & (x[0] < half) & (y[1] > -r) & (y[0] < r)
        level = sum(palm.zero_mm[j] * n[j] for j in range(3)) - palm.thickness_mm
        least = np.where(beside, np.minimum(least, under_plane_mm(level, n, -half, half, r)), least)
    return least


def _propeller(out: Results) -> None:
    _tips(out)
    p, d, aft = out.strut.propeller, out.strut.shaft.diameter_mm, out.strut.bearings[0].aft_station_mm
    if p.hub_gap_mm is None:
        out.without(GAP, "bearing to propeller hub, greatest", "propeller.hub_gap")
        out.without(GAP_LEAST, "barrel to propeller hub, least", "propeller.hub_gap")
        return
    out.most(
        GAP,
        "bearing to propeller hub",
        p.hub_gap_mm + np.maximum(0.0, aft),
        "hub_gap",
        per=d,
        hard="hub_gap_hard",
        parameter="propeller.hub_gap",
        advice="bring the hub nearer: propeller.hub_gap so that {need} is not passed",
    )
    # A bearing that stands proud of the barrel's aft face is what the hub meets first.
    out.least(
        GAP_LEAST,
        "barrel or bearing to propeller hub",
        p.hub_gap_mm + np.minimum(0.0, aft),
        "hub_gap_least",
        per=d,
        parameter="propeller.hub_gap",
        advice="make propeller.hub_gap about {need} for water to the flutes and travel of the engine",
    )


def _tips(out: Results) -> None:
    strut, p = out.strut, out.strut.propeller
    tip = shapes.tip_clearance_mm(strut)
    if tip is None or p.diameter_mm is None:
        out.without(TIP, "blade tip to hull", "propeller.diameter")
        return
    where: Words = "taken as if hub_gap or hub_length, which are not given, were nothing"
    if p.hub_gap_mm is not None and p.hub_length_mm is not None:
        start = strut.barrel.length_mm / 2 + p.hub_gap_mm
        where = say(
            "at the middle of the hub ({near} if blades of a rake or breadth that is not known reach to its end)",
            near=mm(shapes.blades_to_hull_mm(strut, p.diameter_mm, -start - p.hub_length_mm, -start)),
        )
    n, share = shapes.over_shaft(strut), out.value("tip_clearance")
    across = math.hypot(n[1], n[2])
    out.least(
        TIP,
        say("blade tip to hull, least distance {where}", where=where),
        tip,
        "tip_clearance",
        per=p.diameter_mm,
        hard="tip_clearance_hard",
        parameter="hull.drop",
        advice=say(
            "increase hull.drop by about {more} or make propeller.diameter about {fitting}; twin powerful "
            "screws want 0.2 D",
            more=mm((share * p.diameter_mm - tip) / float(n[2])),
            # The diameter that just has its tip clearance under the same hull.
            fitting=mm(2 * (tip + across * p.diameter_mm / 2) / (across + 2 * share)),
        ),
    )
