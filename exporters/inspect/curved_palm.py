"""A palm's hull face that is made to the hull's curve, found again in a file and measured."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from strutwright.exporters.inspect.agreement import LENGTH_TOL_MM, STOP, angle, length
from strutwright.exporters.inspect.step_reader import Flat, Read, Round
from strutwright.models import frames
from strutwright.models.finding import Finding
from strutwright.models.formulas import hull_curve
from strutwright.models.frames import Vector
from strutwright.models.spec import HullCurve, Palm

FACE_AT = "palm.hull_face"
_STEPS = 200
"""Places along each edge of a face at which its rim is read."""


def curved_face(read: Read, palm: Palm, curve: HullCurve, used: Sequence[Flat]) -> tuple[Round, Flat] | None:
    """Return the cylinder of the palm's size that lies over the hull, and the plane that touches it along the middle
    of its rim, square to which the palm is thick; None where there is none."""
    axes, area = frames.palm_axes(palm), palm.outline.area_mm2()
    taken = [f.face for f in used]
    fits = [
        r
        for r in read.rounds
        if not r.whole
        and r.half_angle_rad == 0.0
        and r.hollow != curve.crown_to_hull
        and abs(float(r.axis @ axes.n)) < 0.1
        and 0.7 < r.face.Area() / area < 1.4
        and all(r.face is not face for face in taken)
    ]
    found = min(fits, key=lambda r: (_off_mm(r, axes, palm), abs(r.radius_mm - curve.radius_mm)), default=None)
    if found is None:
        return None
    normal = _normal(read, found, axes.n)
    at = _touch(found, normal, curve, axes.origin)
    return found, Flat(found.part, at, normal, found.face.Area(), found.face)


def _off_mm(r: Round, axes: frames.Axes, palm: Palm) -> float:
    """How far the middle of a face's rim lies from the middle of a palm, to a tenth of a mm."""
    uv = axes.from_strut(rim(r.face))[:, :2]
    return round(math.dist((uv.min(axis=0) + uv.max(axis=0)) / 2, palm.middle_mm), 1)


def _normal(read: Read, r: Round, nominal: Vector) -> Vector:
    """Out of the metal, square to the palm: opposite to its water face, the largest plane that nearly looks the other
    way; as it is asked where there is none."""
    water = [f for f in read.flats if f.part == r.part and float(f.normal @ nominal) < -0.99]
    return nominal if not water else -max(water, key=lambda f: f.area_mm2).normal


def _touch(r: Round, normal: Vector, curve: HullCurve, near: Vector) -> Vector:
    """The place nearest to another one on the line in which a plane square to a direction touches a cylinder."""
    out = frames.unit(normal - float(normal @ r.axis) * r.axis)
    line = r.point + (r.radius_mm if curve.crown_to_hull else -r.radius_mm) * out
    return np.asarray(line + float((near - line) @ r.axis) * r.axis)


def rim(face: object) -> Vector:
    """Return places (n, 3) along the outer edges of a face, in order round it."""
    wire = face.outerWire()  # type: ignore[attr-defined]
    return np.array(
        [p.toTuple() for e in wire.Edges() for p in e.positions(np.linspace(0.0, 1.0, _STEPS + 1).tolist())]
    )


def face_findings(palm: Palm, curve: HullCurve, found: Round, flat: Flat) -> list[Finding]:
    """Return what the curve of a hull face is, held against what is asked."""
    axes, name = frames.palm_axes(palm), palm.name
    along = axes.from_strut(axes.origin + found.axis)[0] - axes.from_strut(axes.origin)[0]
    turn = math.degrees(math.atan2(float(along[1]), float(along[0])))
    turn = curve.axis_deg + (turn - curve.axis_deg + 90.0) % 180.0 - 90.0
    u, v, _ = (float(c) for c in axes.from_strut(flat.point)[0])
    off = float(hull_curve.off_line_mm(u - palm.middle_mm[0], v - palm.middle_mm[1], curve.axis_deg))
    rises = (rim(found.face) - flat.point) @ flat.normal
    asked = np.asarray(palm.height_mm(*palm.outline.polyline(LENGTH_TOL_MM / 10).T))
    lean = math.degrees(math.asin(float(found.axis @ flat.normal)))
    pick = np.min if curve.crown_to_hull else np.max
    way = "rounded" if curve.crown_to_hull else "hollow"
    # A radius is as sure as the rise over the palm that it stands for.
    within = max(LENGTH_TOL_MM, LENGTH_TOL_MM * curve.radius_mm / max(abs(palm.edge_mm), LENGTH_TOL_MM) / 10)
    return [
        length(
            "palm_face_radius",
            f"{name}, radius of the {way} hull face",
            found.radius_mm,
            curve.radius_mm,
            FACE_AT,
            within,
        ),
        angle("palm_face_axis", f"{name}, direction of the hull face's axis", turn, curve.axis_deg, FACE_AT, hint=STOP),
        angle("palm_face_lean", f"{name}, lean of that axis to the palm", lean, 0.0, FACE_AT),
        length("palm_face_middle", f"{name}, line of touch from the palm's middle", off, 0.0, FACE_AT),
        length(
            "palm_face_rise",
            f"{name}, greatest height of the hull face's rim over its middle",
            float(pick(rises)),
            float(pick(asked)),
            FACE_AT,
        ),
    ]


def to_rim_mm(face: object, place: Vector, normal: Vector) -> float:
    """Return how far a place (3,) is from a face's outer edge, seen along a direction."""
    points = rim(face) - place
    flat = points - np.outer(points @ normal, normal)
    step = np.roll(flat, -1, axis=0) - flat
    long = np.maximum((step**2).sum(axis=1), 1e-18)
    share = np.clip(-(flat * step).sum(axis=1) / long, 0.0, 1.0)
    # From one edge to the next the rim may be read in another sense: a step over the palm is no edge.
    near = np.linalg.norm(flat + share[:, None] * step, axis=1)
    ends = np.arange(len(flat)) % (_STEPS + 1) == _STEPS
    return float(near[~ends].min())
