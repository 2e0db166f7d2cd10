"""Checks of how the strut lies under the hull and beside the propeller: angles, drop, clearances, span."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Num
from strutwright.models.checks.check import rows_of
from strutwright.models.checks.geometry.palm import palm_span_mm
from strutwright.models.checks.results import Results
from strutwright.models.finding import Standing
from strutwright.models.geometry import shapes
from strutwright.models.geometry.clearances import under_plane_mm
from strutwright.models.struts import Struts
from strutwright.params.words import Amount, Words, mm, say

CHECKS = rows_of("hull")
(PITCH, PITCH_LEAST, TILT, CONFLICT, SPEED, DROP, DROP_MOST, CLEAR, TIP, GAP, GAP_LEAST, SPAN, CORE) = CHECKS


def check(out: Results) -> None:
    """Check how the strut lies under the hull and beside the propeller.

    >>> round(found(check, "canal-tender")["barrel_clear_of_hull"].actual, 1)
    161.2
    """
    _angles(out)
    _conflicts(out)
    speeds(out)
    _drop(out)
    _tips(out)
    on_line(out)
    out.holds(CORE, out.strut.hull.plate.core_solid, source="none", standing=Standing.PRACTICE)


def speeds(out: Results) -> None:
    """Check that the ways in which the shaft's speed is given agree.

    >>> found(speeds, "deadwood-cutter")["shaft_speed_agrees"].verdict  # it is given once
    <Verdict.OK: 'ok'>
    """
    for path, given, implied in out.strut.duty.conflicts:
        words = say(
            "{path} is given as {given}, which is used; engine_speed divided by gear_ratio makes it {implied}",
            path=path,
            given=Amount(given, "rpm"),
            implied=Amount(implied, "rpm"),
        )
        out.most(
            SPEED,
            abs(given - implied),
            "conflict_speed",
            hard="conflict_speed_hard",
            per=given,
            unit="rpm",
            share=False,
            thing=words,
            path=path,
        )
    if not out.strut.duty.conflicts:
        out.holds(SPEED, True, form="alone")


def on_line(out: Results) -> None:
    """Check what stands before and behind the bearing on its shaft: the propeller's hub, the next bearing.

    >>> found(on_line, "deadwood-cutter")["hub_gap"].actual
    15.0
    """
    p, d, aft = out.strut.propeller, out.strut.shaft.diameter_mm, out.strut.bearings[0].aft_station_mm
    if p.hub_gap_mm is None:
        out.without(GAP, "bearing to propeller hub, greatest", "propeller.hub_gap")
        out.without(GAP_LEAST, "barrel to propeller hub, least", "propeller.hub_gap")
    else:
        out.most(GAP, p.hub_gap_mm + np.maximum(0.0, aft), "hub_gap", per=d, hard="hub_gap_hard")
        # A bearing that stands proud of the barrel's aft face is what the hub meets first.
        out.least(GAP_LEAST, p.hub_gap_mm + np.minimum(0.0, aft), "hub_gap_least", per=d)
    span = out.strut.shaft.bearing_span_mm
    if span is None:
        out.without(SPAN, "distance to the next bearing", "shaft.bearing_span")
    else:
        out.within(
            SPAN,
            span,
            "bearing_span_least",
            "bearing_span_most",
            per=d,
            least=mm(out.value("bearing_span_least", d)),
            most=mm(out.value("bearing_span_most", d)),
        )


def _angles(out: Results) -> None:
    strut = out.strut
    theta = strut.hull.shaft_to_hull_deg
    out.most(PITCH, theta, "palm_pitch", hard="palm_pitch_hard", unit="deg")
    out.least(PITCH_LEAST, theta, "palm_pitch_least", unit="deg")
    limit = "palm_tilt_single" if len(strut.arms) == 1 else "palm_tilt_vee"
    for arm in strut.arms:
        tilt = frames.angle_between_deg(arm.clock_deg, -frames.arm_plane(strut, arm).tilt_deg)
        out.most(
            TILT,
            tilt,
            limit,
            unit="deg",
            advice="set arms.stance to square_to_bottom"
            if len(strut.arms) == 1
            else "set arms.stance to square_to_bottom or close arms.included_angle until it is {need} at most",
            arm=arm.name,
        )


def _conflicts(out: Results) -> None:
    hull = out.strut.hull
    for path, given, implied in hull.conflicts:
        angle = "angle" in path
        kind, unit = ("conflict_angle", "deg") if angle else ("conflict_length", "mm")
        by_others = Amount(implied, unit)
        out.most(
            CONFLICT,
            abs(given - implied),
            kind,
            hard=f"{kind}_hard",
            unit=unit,
            share=False,
            path=path,
            given=Amount(given, unit),
            implied=by_others,
        )
    if not hull.conflicts:
        out.holds(CONFLICT, True, form="alone")


def _drop(out: Results) -> None:
    strut, barrel = out.strut, out.strut.barrel
    drop = strut.hull.drop_square_to_shaft_mm
    out.least(DROP, drop, "drop_least", per=barrel.outside_mm)
    out.most(DROP_MOST, drop, "drop_most", per=strut.shaft.diameter_mm)
    out.least(CLEAR, _barrel_to_hull(out.struts), "barrel_to_hull")


def _barrel_to_hull(struts: Struts) -> Num:
    """Least distance (mm) from the barrel's plain outside to the hull planes and the water faces of the palms."""
    barrel = struts.strut.barrel
    half, r = barrel.length_mm / 2, barrel.outside_mm / 2
    n = shapes.over_shaft(struts.own)
    least: Num = under_plane_mm(struts.drop_mm * n[2], n, -half, half, r)
    for k, palm in enumerate(struts.inputs.palms):
        n = np.array(palm.normal)
        x, y = ([v - palm.thickness_mm * n[w] for v in palm_span_mm(struts, k, w)] for w in (0, 1))
        beside = (x[1] > -half) & (x[0] < half) & (y[1] > -r) & (y[0] < r)
        level = sum(palm.zero_mm[j] * n[j] for j in range(3)) - palm.thickness_mm
        least = np.where(beside, np.minimum(least, under_plane_mm(level, n, -half, half, r)), least)
    return least


def _tips(out: Results) -> None:
    strut, p = out.strut, out.strut.propeller
    tip = shapes.tip_clearance_mm(strut)
    if tip is None or p.diameter_mm is None:
        out.without(TIP, "blade tip to hull", "propeller.diameter")
        return
    where: Words = "(hub_gap or hub_length not given, taken as 0)"
    if p.hub_gap_mm is not None and p.hub_length_mm is not None:
        start = strut.barrel.length_mm / 2 + p.hub_gap_mm
        where = say(
            "at the middle of the hub ({near} if the blades reach to its end; their rake and width are not known)",
            near=mm(shapes.blades_to_hull_mm(strut, p.diameter_mm, -start - p.hub_length_mm, -start)),
        )
    n, share = shapes.over_shaft(strut), out.value("tip_clearance")
    across = math.hypot(n[1], n[2])
    out.least(
        TIP,
        tip,
        "tip_clearance",
        per=p.diameter_mm,
        hard="tip_clearance_hard",
        place=where,
        more=mm((share * p.diameter_mm - tip) / float(n[2])),
        fitting=mm(2 * (tip + across * p.diameter_mm / 2) / (across + 2 * share)),
    )
