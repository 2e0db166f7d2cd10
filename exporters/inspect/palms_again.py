"""The palms and the heel of a file that was read back: faces, angles, thickness, holes and their heads."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from strutwright.exporters.inspect.agreement import GROUP, LENGTH_TOL_MM, STOP, angle, failed, length, worst
from strutwright.exporters.inspect.barrel_again import NEAR_MM
from strutwright.exporters.inspect.curved_palm import curved_face, to_rim_mm
from strutwright.exporters.inspect.step_reader import Flat, Read, Round, lean_deg
from strutwright.models import frames
from strutwright.models.finding import Finding, not_checked
from strutwright.models.frames import Axes, Vector
from strutwright.models.spec import Heel, Palm, PalmHole, Plate, Strut
from strutwright.params.words import mm, say

HOLES_AT = "bolts.pattern"
GONE = "look whether its head's recess or another hole has cut it away"


def palm_findings(read: Read, strut: Strut, bore: Round | None) -> list[Finding]:
    out: list[Finding] = []
    used: list[Flat] = []
    for palm in strut.palms:
        path, curve = "palm", palm.curve
        pair = None if curve is None else curved_face(read, palm, curve, used)
        face = _hull_face(read, palm, used) if curve is None else None if pair is None else pair[0]
        if face is None:
            kind = "plane" if curve is None else "patch" if curve.second_order else "cylinder"
            out.append(failed("palm_face_missing", f"{palm.name}: no {kind} of its size faces the hull", STOP, path))
            continue
        used.append(face)
        out += _plane(palm, face, bore, path)
        if pair is not None:
            out += pair[1]
        out += plate_findings(read, palm, frames.palm_axes(palm), face)
    return out


def _hull_face(read: Read, palm: Palm, used: Sequence[Flat]) -> Flat | None:
    """The plane of the palm's size, with holes, that looks to the hull; the nearest of several."""
    axes = frames.palm_axes(palm)
    area = palm.outline.area_mm2() - len(palm.holes) * math.pi / 4 * palm.bolt.hole_mm**2
    fits = [
        f
        for f in read.flats
        if 0.85 < f.area_mm2 / area < 1.15
        and f.normal[2] > 0.3
        and (f.face.innerWires() or not palm.holes)
        and f not in used
    ]

    def strangeness(f: Flat) -> float:
        turn = math.degrees(math.acos(min(1.0, float(f.normal @ axes.n))))
        off = abs(float((axes.origin - f.point) @ f.normal))
        return turn + off + 0.1 * float(np.linalg.norm(f.point - axes.origin))

    return min(fits, key=strangeness, default=None)


def _plane(palm: Palm, face: Flat, bore: Round | None, path: str) -> list[Finding]:
    n, name = face.normal, palm.name
    pitch = math.degrees(math.atan2(n[0], n[2]))
    tilt = math.degrees(math.atan2(-n[1], n[2]))
    drop = float(face.point @ n) / float(n[2])
    plane = palm.plane
    other_hand = abs(plane.tilt_deg) > 0.1 and plane.tilt_deg * tilt < 0 and abs(tilt + plane.tilt_deg) < 1.0
    fore_and_aft, athwart = f"{name}, fore-and-aft angle to the shaft (theta)", f"{name}, athwart tilt (phi)"
    other, hint = (", the other hand", "the file shows the mirror image") if other_hand else ("", STOP)
    out = [
        angle("palm_pitch", fore_and_aft, pitch, plane.pitch_deg, "hull.shaft_angle"),
        angle("palm_tilt", f"{athwart}{other}", tilt, plane.tilt_deg, "hull.deadrise", hint=hint),
        length("palm_drop", f"{name}, drop square to the shaft at mid-barrel", drop, plane.drop_mm, "hull.drop"),
    ]
    what = f"{name}, true angle between bore axis and hull face (gamma)"
    if bore is None:
        out.append(not_checked("palm_true_angle", what, "no bore was found", parameter=path, group=GROUP))
    else:
        forward = bore.axis if bore.axis[0] > 0 else -bore.axis
        found, asked = float(n @ forward), frames.shaft_to_palm_deg(plane.pitch_deg, plane.tilt_deg)
        out.append(angle("palm_true_angle", what, math.degrees(math.asin(found)), asked, path))
    return out


def plate_findings(read: Read, palm: Plate, axes: Axes, face: Flat) -> list[Finding]:
    """Return what is found of thickness and bolt holes of a palm or a flange. axes: its own; face: its face on the
    base."""
    name, water = palm.name, _water_face(read, palm, axes, face)
    out = _thickness(palm, face, water)
    left = _holes(read, palm, axes, face)
    kinds: dict[str, list[Finding]] = {}
    pairs = []
    for hole in palm.holes:
        if not left:
            out.append(failed("hole_missing", f"{name}: hole {hole.number} is not in the file", GONE, HOLES_AT))
            continue
        asked = axes.to_strut(np.array([[hole.u_mm, hole.v_mm]]))[0]
        nearest = min(left, key=lambda line: float(np.linalg.norm(line[1] - asked)))
        left.remove(nearest)
        pairs.append((hole, nearest))
    for hole, (r, place) in pairs:
        for f in (*_hole(palm, axes, hole, r, place, face), *_head(read, palm, r, water, f"{name} hole {hole.number}")):
            kinds.setdefault(f.code, []).append(f)
    for r, place in left:
        u, v, _height = (float(c) for c in axes.from_strut(place)[0])
        words = "{name}: a hole {diameter} across at u {u}, v {v} that no parameter asks for"
        what = say(words, name=name, diameter=mm(2 * r.radius_mm), u=mm(u), v=mm(v))
        out.append(failed("hole_not_asked_for", what, STOP, HOLES_AT))
    return out + [f for group in kinds.values() for f in worst(group)]


def _thickness(palm: Plate, face: Flat, water: Flat | None) -> list[Finding]:
    name, at = palm.name, "palm.thickness"
    if water is None:
        return [failed("water_face_missing", f"{name}: no water face found opposite the hull face", "", at)]
    thick, lean = float((face.point - water.point) @ face.normal), lean_deg(water.normal, face.normal)
    return [
        length("palm_thickness", f"thickness of the {name}", thick, palm.thickness_mm, at),
        angle("palm_parallel", f"{name}, lean of the water face from the hull face", lean, 0.0, "palm"),
    ]


def _holes(read: Read, palm: Plate, axes: Axes, face: Flat) -> list[tuple[Round, Vector]]:
    """Return the holes through a palm and where each meets its hull face (3,)."""
    lines: list[tuple[Round, Vector]] = []
    for r in sorted(read.rounds, key=lambda r: r.radius_mm):
        if r.part != face.part or not r.hollow or not r.whole or r.half_angle_rad or abs(r.axis @ face.normal) < 0.98:
            continue
        if max(float((r.point + k * r.axis - face.point) @ face.normal) for k in (r.low, r.high)) < -palm.thickness_mm:
            continue  # below the plate: a hole of the barrel or of the heel
        place = r.point + float((face.point - r.point) @ face.normal) / float(r.axis @ face.normal) * r.axis
        u, v, _height = axes.from_strut(place)[0]
        if not isinstance(palm, Palm) and math.hypot(u, v) < NEAR_MM:
            continue  # the bore of a housing goes through its flange, and a recess lies round it
        if palm.outline.distance_to_boundary((u, v)) > -NEAR_MM and not any(r.same_line(k) for k, _ in lines):
            lines.append((r, place))
    return lines


def _hole(palm: Plate, axes: Axes, hole: PalmHole, r: Round, place: Vector, face: Flat) -> Iterator[Finding]:
    what = f"{palm.name} hole {hole.number}"
    u, v, _height = (float(c) for c in axes.from_strut(place)[0])
    yield length("hole_u", f"{what}, u (forward)", u, hole.u_mm, HOLES_AT)
    yield length("hole_v", f"{what}, v (to port)", v, hole.v_mm, HOLES_AT)
    yield length("hole_diameter", f"{what}, diameter", 2 * r.radius_mm, palm.bolt.hole_mm, HOLES_AT)
    lean = lean_deg(r.axis, face.normal)
    yield angle("hole_square", f"{what}, lean from square to the hull face", lean, 0.0, HOLES_AT)
    asked = float(palm.outline.distance_to_boundary((hole.u_mm, hole.v_mm)))
    to_edge = _to_edge(face, place) if palm.curve is None else to_rim_mm(face.face, place, face.normal)
    yield length("hole_edge", f"{what}, centre to the palm's edge", to_edge, asked, HOLES_AT)


def _water_face(read: Read, palm: Plate, axes: Axes, face: Flat) -> Flat | None:
    """The largest plane that looks the other way within three thicknesses below the hull face, inside the outline."""
    fits = []
    for f in read.flats:
        below = float((face.point - f.point) @ face.normal)
        u, v, _height = axes.from_strut(f.point)[0]
        if (
            f.part == face.part
            and float(f.normal @ face.normal) < -0.999
            and 0.0 < below < 3 * palm.thickness_mm
            and palm.outline.distance_to_boundary((u, v)) > 0.0
        ):
            fits.append(f)
    return max(fits, key=lambda f: f.area_mm2, default=None)


def _to_edge(face: Flat, place: Vector) -> float:
    import cadquery as cq

    return float(cq.Vertex.makeVertex(*(float(c) for c in place)).distance(face.face.outerWire()))


def _head(read: Read, palm: Plate, hole: Round, water: Flat | None, what: str) -> list[Finding]:
    """The countersink or counterbore on a hole's axis."""
    bolt = palm.bolt
    if not bolt.head.recess or water is None:
        return []
    around = [r for r in read.rounds if r.part == hole.part and r.hollow and r.same_line(hole)]
    if bolt.head.conical:
        cones = [r for r in around if r.half_angle_rad > 0.0]
        if not cones:
            return [failed("countersink_missing", f"{what}: no countersink on its axis", "", HOLES_AT)]
        cone = max(cones, key=lambda r: r.radius_mm)
        depth = abs(float((water.point - cone.point) @ water.normal) / float(cone.axis @ water.normal))
        # The cone may stop short of the face under a wider clearance.
        wide = 2 * min(depth * math.tan(cone.half_angle_rad), cone.radius_mm + LENGTH_TOL_MM / 10)
        turn, at_face = math.degrees(2 * cone.half_angle_rad), f"{what}, countersink at the water face"
        return [
            length("countersink_diameter", at_face, wide, bolt.head_diameter_mm, HOLES_AT),
            angle("countersink_angle", f"{what}, countersink angle", turn, bolt.head_angle_deg, HOLES_AT),
        ]
    wider = [r for r in around if r.half_angle_rad == 0.0 and r.radius_mm > hole.radius_mm + LENGTH_TOL_MM]
    if not wider:
        return [failed("counterbore_missing", f"{what}: no counterbore on its axis", "", HOLES_AT)]
    bore = min(wider, key=lambda r: abs(2 * r.radius_mm - bolt.head_diameter_mm))
    deep = max(float((water.point - bore.point - k * bore.axis) @ water.normal) for k in (bore.low, bore.high))
    across = f"{what}, counterbore diameter"
    return [
        length("counterbore_diameter", across, 2 * bore.radius_mm, bolt.head_diameter_mm, HOLES_AT),
        length("counterbore_depth", f"{what}, counterbore depth", deep, bolt.head_depth_mm, HOLES_AT),
    ]


def heel_findings(read: Read, heel: Heel) -> list[Finding]:
    up, centre = frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg), np.asarray(heel.centre_mm)
    asked = heel.bore_mm + 2 * heel.bush_wall_mm
    fits = [
        r
        for r in read.rounds
        if r.hollow
        and r.whole
        and r.half_angle_rad == 0.0
        and abs(r.axis @ up) > 0.99
        and r.off(centre) < NEAR_MM
        and abs(float((r.point + (r.low + r.high) / 2 * r.axis - centre) @ up)) < heel.height_mm
    ]
    if not fits:
        return [failed("heel_bore_missing", "heel: no bore on the rudder stock's axis found", "", "skeg.heel")]
    bore = min(fits, key=lambda r: abs(2 * r.radius_mm - asked))
    lean = lean_deg(bore.axis, up)
    return [
        length("heel_bore", "bore of the heel boss", 2 * bore.radius_mm, asked, "skeg.heel"),
        length("heel_place", "axis of the heel's bore from the boss's centre", bore.off(centre), 0.0, "skeg.heel"),
        angle("heel_lean", "axis of the heel's bore from the rudder stock", lean, 0.0, "skeg.heel"),
    ]
