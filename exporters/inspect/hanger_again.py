"""The split of a hanger that was read back: the faces of the split, the bore in the cap, and the holes of its bolts and
dowels."""

from __future__ import annotations

import numpy as np

from strutwright.exporters.inspect.agreement import STOP, failed, length, worst
from strutwright.exporters.inspect.step_reader import Read, Round
from strutwright.models import frames
from strutwright.models.finding import Finding
from strutwright.models.frames import Vector
from strutwright.models.spec import Strut
from strutwright.models.spec_hanger import Cap

NEAR_MM = 2.0


def split_findings(read: Read, strut: Strut, cap: Cap) -> list[Finding]:
    """Return what is found of the split and the cap."""
    names = [p.name for p in read.parts]
    if "cap" not in names:
        return [failed("cap_missing", "no cap in the file", STOP, "cap")]
    own = names.index("cap")
    n = frames.radial(cap.clock_deg)
    out = []
    for side, what in ((1.0, "cap"), (-1.0, "body")):
        faces = [
            float(f.point @ n)
            for f in read.flats
            if (f.part == own) == (side > 0) and float(f.normal @ n) * side < -0.9999
        ]
        asked = side * cap.gap_mm / 2
        near = [h for h in faces if abs(h - asked) < NEAR_MM]
        if not near:
            out.append(failed("split_face_missing", f"no face of the {what} stands at the split", STOP, "cap.shims"))
            continue
        at = min(near, key=lambda h: abs(h - asked))
        out.append(length("split_face", f"face of the {what} from the shaft line", at, asked, "cap.shims"))
    return [*out, *_bore(read, strut, own), *_holes(read, strut, cap, n)]


def _bore(read: Read, strut: Strut, own: int) -> list[Finding]:
    found = [r for r in read.rounds if r.part == own and r.hollow and abs(r.axis[0]) > 0.9999 and not r.half_angle_rad]
    if not found:
        return [failed("cap_bore_missing", "no bore in the cap", STOP, "barrel.bore")]
    asked = strut.barrel.bore_mm
    near = min(found, key=lambda r: abs(2 * r.radius_mm - asked))
    return [length("cap_bore", "diameter of the bore in the cap", 2 * near.radius_mm, asked, "barrel.bore")]


def _holes(read: Read, strut: Strut, cap: Cap, n: Vector) -> list[Finding]:
    """Each hole of bolts and dowels: how far it lies off its place, and its diameter."""
    across, barrel = np.cross(n, np.array([1.0, 0.0, 0.0])), strut.barrel
    bolt, dowels = cap.bolt, cap.dowels
    rows = [("cap_bolt", "cap bolt", bolt.hole_mm, bolt.out_mm, bolt.stations_mm, "cap.bolts")]
    if dowels is not None:
        rows.append(("dowel", "dowel", dowels.diameter_mm, dowels.out_mm, dowels.stations_mm, "cap.dowels"))
    round_n = [r for r in read.rounds if r.hollow and r.whole and abs(abs(r.axis @ n) - 1.0) < 1e-6]
    out: list[Finding] = []
    for code, what, wide, far, stations, path in rows:
        for number, (station, side) in enumerate([(s, k) for s in stations for k in (1.0, -1.0)], 1):
            place = np.array([barrel.x(station), 0.0, 0.0]) + side * far * across

            def off(r: Round, place: Vector = place) -> float:
                return float(np.linalg.norm(np.cross(r.point - place, r.axis)))

            fits = [r for r in round_n if off(r) < NEAR_MM]
            if not fits:
                out.append(failed(f"{code}_missing", f"no hole for {what} {number}", STOP, path))
                continue
            hole = min(fits, key=lambda r: abs(2 * r.radius_mm - wide))
            out.append(length(f"{code}_hole", f"{what} {number}, hole", 2 * hole.radius_mm, wide, path))
            out.append(length(f"{code}_place", f"{what} {number}, off its place", off(hole), 0.0, path))
    codes = dict.fromkeys(f.code for f in out)
    return [f for code in codes for f in worst([w for w in out if w.code == code])]
