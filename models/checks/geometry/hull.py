"""Checks of how the strut lies under the hull and beside the propeller: angles, drop, clearances, span."""

from __future__ import annotations

import math

from strutwright.models import frames
from strutwright.models.checks.bench import Bench
from strutwright.models.checks.check import Check
from strutwright.models.geometry import shapes
from strutwright.models.geometry.clearances import under_plane_mm
from strutwright.models.spec import Propeller, Strut
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
    "hull_sayings_agree",
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


def check(bench: Bench) -> None:
    """Find on hull and propeller."""
    _angles(bench)
    _conflicts(bench)
    for path, given, implied in bench.strut.duty.conflicts:
        words = say(
            "you gave {path} {given}, and it is taken; engine_speed over gear_ratio make it {implied}",
            path=path,
            given=Amount(given, "rpm"),
            implied=Amount(implied, "rpm"),
        )
        bench.most(
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
    if not bench.strut.duty.conflicts:
        bench.holds(SPEED, "shaft speed given", True, parameter="duty.shaft_speed", advice="")
    _drop(bench)
    _propeller(bench)
    span, d = bench.strut.shaft.bearing_span_mm, bench.strut.shaft.diameter_mm
    if span is None:
        bench.without(SPAN, "distance to the next bearing", "shaft.bearing_span")
    else:
        bench.within(
            SPAN,
            "distance to the next bearing",
            span,
            "bearing_span_least",
            "bearing_span_most",
            per=d,
            parameter="shaft.bearing_span",
            advice=say(
                "{least} to {most} is usual: check alignment when shorter, whirling when longer",
                least=mm(bench.value("bearing_span_least", d)),
                most=mm(bench.value("bearing_span_most", d)),
            ),
        )


def _angles(bench: Bench) -> None:
    strut = bench.strut
    theta = strut.hull.shaft_to_hull_deg
    bench.most(
        PITCH,
        "shaft to hull",
        theta,
        "palm_pitch",
        hard="palm_pitch_hard",
        unit="deg",
        parameter="hull.shaft_angle",
        advice="a shaft flatter than {need} to the hull is wanted; check the angle and what it was measured from",
    )
    bench.least(
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
        bench.most(
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


def _conflicts(bench: Bench) -> None:
    hull = bench.strut.hull
    for path, given, implied in hull.conflicts:
        angle = "angle" in path
        kind, unit = ("conflict_angle", "deg") if angle else ("conflict_length", "mm")
        by_others = Amount(implied, unit)
        bench.most(
            CONFLICT,
            say(
                "{path} given as {given}, {implied} by the others",
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
        bench.holds(CONFLICT, "angles and drops given", True, parameter="hull", advice="")


def _drop(bench: Bench) -> None:
    strut, barrel = bench.strut, bench.strut.barrel
    drop = strut.hull.drop_square_to_shaft_mm
    bench.least(
        DROP,
        "drop square to the shaft",
        drop,
        "drop_least",
        per=barrel.outside_mm,
        parameter="hull.drop",
        advice="check hull.drop and its units; {need} or more is usual",
    )
    bench.most(
        DROP_MOST,
        "drop square to the shaft",
        drop,
        "drop_most",
        per=strut.shaft.diameter_mm,
        parameter="hull.drop",
        advice="check hull.drop and its units; {need} or less is usual",
    )
    bench.least(
        CLEAR,
        "water between barrel and hull or palm",
        _barrel_to_hull(strut),
        "barrel_to_hull",
        parameter="hull.drop",
        advice="the barrel comes within {need} of the hull: check hull.drop and the angle",
    )


def _barrel_to_hull(strut: Strut) -> float:
    """Least distance (mm) from the barrel's plain outside to the hull planes and the water faces of the palms."""
    half, r = strut.barrel.length_mm / 2, strut.barrel.outside_mm / 2
    plane = shapes.plane_over_shaft(strut)
    hull = frames.plane_axes(plane.drop_mm, plane.pitch_deg, plane.tilt_deg)
    gaps = [under_plane_mm(float(hull.origin @ hull.n), hull.n, -half, half, r)]
    for palm in strut.palms:
        axes = frames.palm_axes(palm)
        points = axes.to_strut(palm.outline.polyline(0.05), -palm.thickness_mm)
        low, high = points.min(axis=0), points.max(axis=0)
        if high[0] > -half and low[0] < half and high[1] > -r and low[1] < r:
            gaps.append(under_plane_mm(float(axes.origin @ axes.n) - palm.thickness_mm, axes.n, -half, half, r))
    return float(min(gaps))


def propeller_plane_mm(strut: Strut, propeller: Propeller) -> float:
    """Return how far (mm) the propeller's middle lies aft of mid-barrel; a gap or hub not given counts as none."""
    return strut.barrel.length_mm / 2 + (propeller.hub_gap_mm or 0.0) + (propeller.hub_length_mm or 0.0) / 2


def tip_clearance_mm(strut: Strut, propeller: Propeller) -> float | None:
    """Return the least distance (mm) from the circle of the blade tips to the hull; None without a diameter.

    The circle stands square to the shaft at the middle of the hub; the hull leans over it. Rake and breadth of the
    blades are not known and not in it.
    """
    if propeller.diameter_mm is None:
        return None
    middle = -propeller_plane_mm(strut, propeller)
    return _blades_to_hull(strut, propeller.diameter_mm / 2, middle, middle)


def _blades_to_hull(strut: Strut, radius_mm: float, from_x_mm: float, to_x_mm: float) -> float:
    plane = shapes.plane_over_shaft(strut)
    hull = frames.plane_axes(plane.drop_mm, plane.pitch_deg, plane.tilt_deg)
    return float(under_plane_mm(float(hull.origin @ hull.n), hull.n, from_x_mm, to_x_mm, radius_mm))


def _propeller(bench: Bench) -> None:
    strut, p, d = bench.strut, bench.strut.propeller, bench.strut.shaft.diameter_mm
    tip = tip_clearance_mm(strut, p)
    if tip is None or p.diameter_mm is None:
        bench.without(TIP, "blade tip to hull", "propeller.diameter")
    else:
        if p.hub_gap_mm is None or p.hub_length_mm is None:
            where: Words = "taken as if hub_gap or hub_length, which are not given, were nothing"
        else:
            start = strut.barrel.length_mm / 2 + p.hub_gap_mm
            near = _blades_to_hull(strut, p.diameter_mm / 2, -start - p.hub_length_mm, -start)
            where = say(
                "at the middle of the hub ({near} if blades of a rake or breadth that is not known reach to its end)",
                near=mm(near),
            )
        lower = (bench.value("tip_clearance", p.diameter_mm) - tip) / _up(strut)
        bench.least(
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
                more=mm(lower),
                fitting=mm(_fitting(bench, tip, p.diameter_mm)),
            ),
        )
    if p.hub_gap_mm is None:
        bench.without(GAP, "bearing to propeller hub, greatest", "propeller.hub_gap")
        bench.without(GAP_LEAST, "barrel to propeller hub, least", "propeller.hub_gap")
        return
    recess = max(0.0, strut.bearings[0].aft_station_mm)
    bench.most(
        GAP,
        "bearing to propeller hub",
        p.hub_gap_mm + recess,
        "hub_gap",
        per=d,
        hard="hub_gap_hard",
        parameter="propeller.hub_gap",
        advice="bring the hub nearer: propeller.hub_gap so that {need} is not passed",
    )
    # A bearing that stands proud of the barrel's aft face is what the hub meets first.
    bench.least(
        GAP_LEAST,
        "barrel or bearing to propeller hub",
        p.hub_gap_mm + min(0.0, strut.bearings[0].aft_station_mm),
        "hub_gap_least",
        per=d,
        parameter="propeller.hub_gap",
        advice="make propeller.hub_gap about {need} for water to the flutes and travel of the engine",
    )


def _fitting(bench: Bench, tip_mm: float, diameter_mm: float) -> float:
    """Propeller diameter (mm) that just has its tip clearance under the same hull."""
    plane = shapes.plane_over_shaft(bench.strut)
    n = frames.plane_axes(0.0, plane.pitch_deg, plane.tilt_deg).n
    share = math.hypot(n[1], n[2])
    return 2 * (tip_mm + share * diameter_mm / 2) / (share + 2 * bench.value("tip_clearance"))


def _up(strut: Strut) -> float:
    """How much nearer to the hull a mm of drop is."""
    plane = shapes.plane_over_shaft(strut)
    return float(frames.plane_axes(0.0, plane.pitch_deg, plane.tilt_deg).n[2])
