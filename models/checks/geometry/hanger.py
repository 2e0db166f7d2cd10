"""Checks of a hanger's own shape: cap, split, ears, foot, and what lies under it."""

from __future__ import annotations

import itertools
import math

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Num, dot, least
from strutwright.models.checks.check import rows_of
from strutwright.models.checks.geometry.hull import speeds
from strutwright.models.checks.geometry.screws import key_mm
from strutwright.models.checks.results import Results
from strutwright.models.finding import Standing
from strutwright.models.geometry.barrel import bearing_seat_mm, seat_limits_mm
from strutwright.models.geometry.shapes import screw_half_mm
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
    out.least(BARREL_FOOT, _barrel_to_foot_mm(out), "hanger_room", hard=0.0)
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
    room = np.minimum(under.most_mm - under.thickness_mm, under.thickness_mm - under.least_mm)
    thinner, thicker = mm(np.maximum(under.thickness_mm - reach, 0.0)), mm(under.thickness_mm + reach)
    out.least(REACH, room, reach, least=thinner, most=thicker)
    if under.kind == "resin":
        out.least(THICK, under.least_mm, "chock_least")


def _off_split_deg(clock_deg: float, cap: Cap) -> Num:
    """How far a clock angle lies from the split, on whichever side is nearer."""
    return least([frames.angle_between_deg(clock_deg, cap.clock_deg + turn) for turn in (-90.0, 90.0)])


def _split(out: Results, hanger: Hanger, cap: Cap) -> None:
    out.least(SPLIT, _off_split_deg(hanger.down_deg, cap), "split_off_load", unit="deg")
    strut = out.strut
    bearing = strut.bearings[0]
    low, high = seat_limits_mm(strut.barrel, bearing)
    bore = bearing_seat_mm(strut.barrel, bearing) + (low + high) / 2
    shell = bearing.outside_mm + (bearing.outside_upper_mm + bearing.outside_lower_mm) / 2
    nip = shell - bore + (0.0 if cap.shims is None else cap.shims.nip_mm)
    fewest, most = out.value("nip_least", bearing.outside_mm), out.value("nip_most", bearing.outside_mm)
    words = {"least": mm(fewest), "most": mm(most)}
    loose = np.less_equal(nip, fewest)  # a bearing that is not gripped turns
    out.least(NIP, nip, "nip_least", per=bearing.outside_mm, hard=0.0, where=loose, **words)
    out.most(NIP, nip, "nip_most", per=bearing.outside_mm, where=np.logical_not(loose), **words)


def _bolts(out: Results, cap: Cap) -> None:
    barrel, bolt = out.strut.barrel, cap.bolt
    widest = max([barrel.bore_mm, *(s.diameter_mm for s in barrel.steps)])
    out.least(TO_BORE, bolt.out_mm - (bolt.hole_mm + widest) / 2, "cap_bolt_wall", per=bolt.major_mm)
    edge = least(
        [cap.ear_out_mm - bolt.out_mm, bolt.stations_mm[0] - cap.ear_from_mm, cap.ear_to_mm - bolt.stations_mm[-1]]
    )
    out.least(EDGE, edge, "cap_bolt_edge", per=bolt.major_mm, hard=bolt.hole_mm / 2)
    if len(bolt.stations_mm) > 1:
        pitch = least([after - one for one, after in itertools.pairwise(bolt.stations_mm)])
        out.least(PITCH, pitch, "cap_bolt_pitch", per=bolt.major_mm, hard=bolt.hole_mm)
    # The seat of a head is cut into the barrel where the bolt stands close to it.
    out.least(SEAT, bolt.out_mm - (bolt.head_mm + widest) / 2, "barrel_wall_hard", per=out.strut.shaft.diameter_mm)


def _dowels(out: Results, cap: Cap) -> None:
    dowels, bolt, barrel = cap.dowels, cap.bolt, out.strut.barrel
    if dowels is None:
        return
    gaps = [
        np.hypot(d - b, dowels.out_mm - bolt.out_mm) - (dowels.diameter_mm + bolt.hole_mm) / 2
        for d in dowels.stations_mm
        for b in bolt.stations_mm
    ]
    rooms = [
        dowels.out_mm - (barrel.bore_mm + dowels.diameter_mm) / 2,
        cap.ear_out_mm - dowels.out_mm - dowels.diameter_mm / 2,
        *(d - cap.ear_from_mm - dowels.diameter_mm / 2 for d in dowels.stations_mm),
        *(cap.ear_to_mm - d - dowels.diameter_mm / 2 for d in dowels.stations_mm),
        *gaps,
    ]
    out.least(DOWEL, least(rooms), "dowel_wall", per=dowels.diameter_mm, hard=0.0)
    under = cap.ear_thickness_mm - cap.gap_mm / 2 - dowels.into_mm
    out.least(APART, under, 0.0)


def _screws(out: Results, cap: Cap) -> None:
    """Set screws beside the split: their holes off split, ears and seats of the cap's bolts, their keys past the heads.

    Seen along the shaft, across: along the split, square to it; a screw goes outward from the barrel.
    """
    strut, bolt = out.strut, cap.bolt
    radius, head_mm = strut.barrel.outside_mm / 2, cap.ear_thickness_mm + HEAD_HEIGHT * bolt.major_mm
    for s in strut.set_screws:
        turn = np.radians(_off_split_deg(s.clock_deg, cap))
        half, key = screw_half_mm(s), key_mm(s) / math.sqrt(3)
        gap = radius * np.sin(turn) - half
        beside_ear = np.logical_and(cap.ear_from_mm - half < s.station_mm, s.station_mm < cap.ear_to_mm + half)
        gap = np.where(beside_ear, gap - cap.ear_thickness_mm, gap)[()]
        beside = least([np.abs(s.station_mm - b) for b in bolt.stations_mm]) - bolt.head_mm / 2 - key
        # Its line passes the corner of head or nut that is nearest to it.
        corner = bolt.out_mm - bolt.head_mm / 2
        past = np.maximum(beside, corner * np.sin(turn) - head_mm * np.cos(turn) - key)
        thing = ""
        if out.tells:
            thing = "a bolt of the cap" if past < gap else "an ear" if beside_ear else "the split"
        gap = np.minimum(past, gap)
        by = mm(np.maximum(out.value("rim_to_root") - gap, 0.0))
        out.least(SCREW, gap, "rim_to_root", number=s.number, k=s.number - 1, thing=thing, by=by)


def _room(out: Results, cap: Cap) -> None:
    strut = out.strut
    web, radius = strut.arms[0], strut.barrel.outside_mm / 2
    half = np.minimum(1.0, (web.thickness_barrel_mm / 2 + web.barrel_root_mm) / radius)
    open_rad = np.radians(_off_split_deg(web.clock_deg, cap))
    arc = open_rad - np.arcsin(half) - np.arcsin(np.minimum(1.0, cap.ear_thickness_mm / radius))
    out.least(EARS_WEB, radius * arc, "hanger_room", hard=0.0)
    turned = 2.0 * cap.bolt.major_mm if cap.bolt.engaged_mm is None else 0.0
    sine, cosine = np.sin(np.radians(cap.clock_deg)), np.cos(np.radians(cap.clock_deg))

    def nearest(deep: Num) -> Num:
        """Of the ears' outer corners, so far out along the cap's middle."""
        return least(
            [
                _off_foot_mm(out, strut.barrel.x(s), far * cosine + deep * sine, -far * sine + deep * cosine)
                for s in (cap.ear_from_mm, cap.ear_to_mm)
                for far in (-cap.ear_out_mm, cap.ear_out_mm)
            ]
        )

    beside = nearest(-cap.ear_thickness_mm - turned)
    out.least(EARS_FOOT, beside, "hanger_room", hard=0.0, thing="ears and nuts")
    out.least(CAP_FOOT, nearest(0.0), "hanger_room", hard=0.0)


def _off_foot_mm(out: Results, x_mm: Num, y_mm: Num, z_mm: Num) -> Num:
    """How far a place in the hanger's frame lies from the foot's free face, mm, toward the shaft."""
    foot = out.struts.inputs.palms[0]
    zero = foot.zero_mm
    return -dot((x_mm - zero[0], y_mm - zero[1], z_mm - zero[2]), foot.normal) - foot.thickness_mm


def _barrel_to_foot_mm(out: Results) -> Num:
    barrel, (_, y, z) = out.strut.barrel, out.struts.inputs.palms[0].normal
    up = barrel.outside_mm / 2 / np.hypot(y, z)
    return least([_off_foot_mm(out, x, up * y, up * z) for x in (barrel.x(0.0), -barrel.x(0.0))])
