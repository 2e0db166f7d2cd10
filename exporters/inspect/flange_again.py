"""The flange of a file that was read back: its bedding face, angle, thickness, holes and heads, and the spigot."""

from __future__ import annotations

import math

import numpy as np

from strutwright.exporters.inspect.agreement import GROUP, STOP, angle, failed, length
from strutwright.exporters.inspect.palms_again import plate_findings
from strutwright.exporters.inspect.step_reader import Flat, Read, Round, lean_deg
from strutwright.models import frames
from strutwright.models.finding import Finding, not_checked
from strutwright.models.geometry.flange import off_square_deg
from strutwright.models.spec import Strut
from strutwright.models.spec_flange import Flange

NEAR_MM, NEAR_DEG = 5.0, 2.0


def flange_findings(read: Read, strut: Strut, flange: Flange, bore: Round | None) -> list[Finding]:
    """Return what is found of the flange. bore: as found; None where there is none."""
    axes, barrel = frames.flange_axes(flange, strut.barrel), strut.barrel
    face = _bedding_face(read, axes)
    if face is None:
        return [failed("flange_face_missing", "no plane stands where the bedding face is", STOP, "flange")]
    station = float(face.point @ face.normal) / float(face.normal[0]) + barrel.length_mm / 2
    asked = flange.plane
    u, port = np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0])
    n = face.normal if face.normal[0] > 0 else -face.normal
    lean = math.degrees(math.atan2(float(n @ u), float(n[0])))
    turn = math.degrees(math.asin(float(n @ port)))
    out = [
        length(
            "flange_station",
            "station of the bedding face on the shaft line",
            station,
            asked.station_mm,
            "flange.position",
        ),
        angle("flange_lean", "bedding face off square in profile", lean, asked.lean_deg, "flange.off_square.profile"),
        angle("flange_turn", "bedding face off square in plan", turn, asked.turn_deg, "flange.off_square.plan"),
    ]
    what = "angle between the bore's axis and the bedding face's normal"
    if bore is None:
        out.append(not_checked("flange_true_angle", what, "no bore was found", parameter="flange", group=GROUP))
    else:
        found = min(lean_deg(bore.axis, face.normal), 180.0 - lean_deg(bore.axis, face.normal))
        out.append(angle("flange_true_angle", what, found, off_square_deg(flange.plane), "flange.off_square"))
    out += plate_findings(read, flange, axes, face)
    return out + _spigot(read, strut, flange)


def _bedding_face(read: Read, axes: frames.Axes) -> Flat | None:
    """The largest plane that lies and looks as the bedding face does."""
    fits = [
        f
        for f in read.flats
        if math.degrees(math.acos(max(-1.0, min(1.0, float(f.normal @ axes.n))))) < NEAR_DEG
        and abs(float((f.point - axes.origin) @ axes.n)) < NEAR_MM
    ]
    return max(fits, key=lambda f: f.area_mm2, default=None)


def _spigot(read: Read, strut: Strut, flange: Flange) -> list[Finding]:
    s = flange.spigot
    if s is None:
        return []
    sign = 1.0 if flange.plane.looks == "forward" else -1.0
    beyond = strut.barrel.x(flange.plane.station_mm) + sign * 0.5 * s.length_mm

    def passes(r: Round) -> bool:
        ends = sorted(float((r.point + k * r.axis)[0]) for k in (r.low, r.high))
        return abs(r.axis[0]) > 0.9999 and r.half_angle_rad == 0.0 and r.whole and ends[0] < beyond < ends[1]

    around = [r for r in read.rounds if passes(r) and math.hypot(float(r.point[1]), float(r.point[2])) < 1.0]
    out = []
    for code, what, size, hollow, path in (
        ("spigot_outside", "outside diameter of the spigot", s.outside_mm, False, "spigot.outside_diameter"),
        ("spigot_bore", "bore of the spigot", s.bore_mm, True, "spigot.bore"),
    ):
        found = [r for r in around if r.hollow == hollow]
        if not found:
            out.append(failed(f"{code}_missing", f"no round face is the {what}", STOP, path))
            continue
        nearest = min(found, key=lambda r: abs(2 * r.radius_mm - size))
        out.append(length(code, what, 2 * nearest.radius_mm, size, path))
    if not s.barbs and out:
        ends = [float((r.point + k * r.axis)[0]) for r in around if not r.hollow for k in (r.low, r.high)]
        if ends:
            tip = max(ends) if sign > 0 else min(ends)
            long = abs(tip - strut.barrel.x(flange.plane.station_mm))
            out.append(
                length(
                    "spigot_length", "length of the spigot from the bedding face", long, s.length_mm, "spigot.length"
                )
            )
    return out
