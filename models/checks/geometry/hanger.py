"""Checks of a hanger's own shape: cap, split, ears, foot, and what lies under it."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from strutwright.models import frames
from strutwright.models.checks.check import rows_of
from strutwright.models.checks.geometry.hull import speeds
from strutwright.models.checks.geometry.screws import key_mm
from strutwright.models.checks.results import Results
from strutwright.models.finding import Standing
from strutwright.models.frames import Vector
from strutwright.models.geometry.barrel import bearing_seat_mm, seat_limits_mm
from strutwright.models.geometry.shapes import screw_half_mm
from strutwright.models.spec import Strut
from strutwright.models.spec_hanger import Cap, Hanger
from strutwright.params.words import mm

HEAD_HEIGHT = 1.0
"""Height of a head or nut of a cap bolt over its diameter, with its washer; common practice, no source."""
CHECKS = rows_of("hanger")
(
    WATER,
    SPLIT,
    NIP,
    TO_BORE,
    EDGE,
    PITCH,
    SEAT,
    DOWEL,
    APART,
    EARS_WEB,
    EARS_FOOT,
    CAP_FOOT,
    BARREL_FOOT,
    REACH,
    THICK,
    FOOT,
    SCREW,
) = CHECKS


def check(out: Results) -> None:
    """Check a hanger's shape.

    >>> found(check, "tunnel-hanger")["cap_bolt_edge"].verdict
    <Verdict.OK: 'ok'>
    """
    strut = out.strut
    hanger = strut.hanger
    assert hanger is not None
    speeds(out)
    out.holds(WATER, hanger.water != "none", source="none", standing=Standing.PRACTICE)
    out.least(FOOT, strut.palms[0].thickness_mm, "foot_thickness", per=strut.shaft.diameter_mm)
    out.least(BARREL_FOOT, _barrel_to_foot_mm(strut), "hanger_room", hard=0.0)
    _under(out, hanger)
    if hanger.cap is not None:
        _split(out, hanger, hanger.cap)
        _bolts(out, hanger.cap)
        _dowels(out, hanger.cap)
        _room(out, hanger.cap)
        _screws(out, hanger.cap)


def _under(out: Results, hanger: Hanger) -> None:
    under = hanger.under
    reach = under.reach_mm
    room = min(under.most_mm - under.thickness_mm, under.thickness_mm - under.least_mm)
    thinner, thicker = mm(max(under.thickness_mm - reach, 0.0)), mm(under.thickness_mm + reach)
    out.least(REACH, room, reach, least=thinner, most=thicker)
    if under.kind == "resin":
        out.least(THICK, under.least_mm, "chock_least")


def _split(out: Results, hanger: Hanger, cap: Cap) -> None:
    off = min(frames.angle_between_deg(hanger.down_deg, cap.clock_deg + turn) for turn in (-90.0, 90.0))
    out.least(SPLIT, off, "split_off_load", unit="deg")
    strut = out.strut
    bearing = strut.bearings[0]
    low, high = seat_limits_mm(strut.barrel, bearing)
    bore = bearing_seat_mm(strut.barrel, bearing) + (low + high) / 2
    shell = bearing.outside_mm + (bearing.outside_upper_mm + bearing.outside_lower_mm) / 2
    nip = shell - bore + (0.0 if cap.shims is None else cap.shims.nip_mm)
    least, most = out.value("nip_least", bearing.outside_mm), out.value("nip_most", bearing.outside_mm)
    words = {"least": mm(least), "most": mm(most)}
    if nip <= least:  # a bearing that is not gripped turns
        out.least(NIP, nip, "nip_least", per=bearing.outside_mm, hard=0.0, **words)
    else:
        out.most(NIP, nip, "nip_most", per=bearing.outside_mm, **words)


def _bolts(out: Results, cap: Cap) -> None:
    barrel, bolt = out.strut.barrel, cap.bolt
    widest = max([barrel.bore_mm, *(s.diameter_mm for s in barrel.steps)])
    out.least(TO_BORE, bolt.out_mm - (bolt.hole_mm + widest) / 2, "cap_bolt_wall", per=bolt.major_mm)
    ends = min(bolt.stations_mm[0] - cap.ear_from_mm, cap.ear_to_mm - bolt.stations_mm[-1])
    edge = min(cap.ear_out_mm - bolt.out_mm, ends)
    out.least(EDGE, edge, "cap_bolt_edge", per=bolt.major_mm, hard=bolt.hole_mm / 2)
    if len(bolt.stations_mm) > 1:
        out.least(PITCH, min(np.diff(bolt.stations_mm)), "cap_bolt_pitch", per=bolt.major_mm, hard=bolt.hole_mm)
    # The seat of a head is cut into the barrel where the bolt stands close to it.
    out.least(SEAT, bolt.out_mm - (bolt.head_mm + widest) / 2, "barrel_wall_hard", per=out.strut.shaft.diameter_mm)


def _dowels(out: Results, cap: Cap) -> None:
    dowels, bolt, barrel = cap.dowels, cap.bolt, out.strut.barrel
    if dowels is None:
        return
    gaps = [
        math.hypot(d - b, dowels.out_mm - bolt.out_mm) - (dowels.diameter_mm + bolt.hole_mm) / 2
        for d in dowels.stations_mm
        for b in bolt.stations_mm
    ]
    rooms = [
        dowels.out_mm - (barrel.bore_mm + dowels.diameter_mm) / 2,
        cap.ear_out_mm - dowels.out_mm - dowels.diameter_mm / 2,
        min(dowels.stations_mm) - cap.ear_from_mm - dowels.diameter_mm / 2,
        cap.ear_to_mm - max(dowels.stations_mm) - dowels.diameter_mm / 2,
        *gaps,
    ]
    out.least(DOWEL, min(rooms), "dowel_wall", per=dowels.diameter_mm, hard=0.0)
    under = cap.ear_thickness_mm - cap.gap_mm / 2 - dowels.into_mm
    out.least(APART, under, 0.0)


def _screws(out: Results, cap: Cap) -> None:
    """Set screws beside the split: their holes off split, ears and seats of the cap's bolts, their keys past the heads.

    Seen along the shaft, across: along the split, square to it; a screw goes outward from the barrel.
    """
    strut, bolt = out.strut, cap.bolt
    radius, head_mm = strut.barrel.outside_mm / 2, cap.ear_thickness_mm + HEAD_HEIGHT * bolt.major_mm
    for s in strut.set_screws:
        turn = math.radians(min(frames.angle_between_deg(s.clock_deg, cap.clock_deg + t) for t in (-90.0, 90.0)))
        half, key = screw_half_mm(s), key_mm(s) / math.sqrt(3)
        gap, thing = radius * math.sin(turn) - half, "the split"
        if cap.ear_from_mm - half < s.station_mm < cap.ear_to_mm + half:
            gap, thing = gap - cap.ear_thickness_mm, "an ear"
        beside = min(abs(s.station_mm - b) for b in bolt.stations_mm) - bolt.head_mm / 2 - key
        # Its line passes the corner of head or nut that is nearest to it.
        corner = bolt.out_mm - bolt.head_mm / 2
        past = max(beside, corner * math.sin(turn) - head_mm * math.cos(turn) - key)
        if past < gap:
            gap, thing = past, "a bolt of the cap"
        by = mm(max(out.value("rim_to_root") - gap, 0.0))
        out.least(SCREW, gap, "rim_to_root", number=s.number, k=s.number - 1, thing=thing, by=by)


def _room(out: Results, cap: Cap) -> None:
    strut = out.strut
    web, radius = strut.arms[0], strut.barrel.outside_mm / 2
    half = min(1.0, (web.thickness_barrel_mm / 2 + web.barrel_root_mm) / radius)
    open_deg = min(frames.angle_between_deg(web.clock_deg, cap.clock_deg + turn) for turn in (-90.0, 90.0))
    arc = math.radians(open_deg) - math.asin(half) - math.asin(min(1.0, cap.ear_thickness_mm / radius))
    out.least(EARS_WEB, radius * arc, "hanger_room", hard=0.0)
    turned = 2.0 * cap.bolt.major_mm if cap.bolt.engaged_mm is None else 0.0
    free = _free_face_mm(strut)
    n = frames.radial(cap.clock_deg)
    across = np.cross(n, np.array([1.0, 0.0, 0.0]))
    x0, x1 = (strut.barrel.x(s) for s in (cap.ear_from_mm, cap.ear_to_mm))

    def least(deep: float, far: float) -> float:
        places = [np.array([x, 0.0, 0.0]) + s * far * across + deep * n for x in (x0, x1) for s in (-1, 1)]
        return min(free(p) for p in places)

    beside = least(-cap.ear_thickness_mm - turned, cap.ear_out_mm)
    out.least(EARS_FOOT, beside, "hanger_room", hard=0.0, thing="ears and nuts")
    out.least(CAP_FOOT, least(0.0, cap.ear_out_mm), "hanger_room", hard=0.0)


def _free_face_mm(strut: Strut) -> Callable[[Vector], float]:
    """How far a place in the hanger's frame lies from the foot's free face, mm, toward the shaft."""
    palm = strut.palms[0]
    axes = frames.palm_axes(palm)
    return lambda place: -float((place - axes.origin) @ axes.n) - palm.thickness_mm


def _barrel_to_foot_mm(strut: Strut) -> float:
    barrel, free = strut.barrel, _free_face_mm(strut)
    n = frames.palm_axes(strut.palms[0]).n
    up = np.array([0.0, n[1], n[2]]) / math.hypot(n[1], n[2])
    return min(free(np.array([x, 0.0, 0.0]) + barrel.outside_mm / 2 * up) for x in (barrel.x(0.0), -barrel.x(0.0)))
