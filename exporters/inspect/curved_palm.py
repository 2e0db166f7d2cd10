"""A palm's hull face that is made to the hull's curve, found again in a file and measured."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from strutwright.exporters.inspect.agreement import LENGTH_TOL_MM, STOP, angle, length
from strutwright.exporters.inspect.step_reader import Bent, Flat, Read, Round
from strutwright.models import frames
from strutwright.models.finding import Finding
from strutwright.models.formulas import hull_curve
from strutwright.models.frames import Vector
from strutwright.models.hull_curve import Bend, HullCurve
from strutwright.models.spec import Palm

FACE_AT = "palm.hull_face"
_STEPS = 200
"""Places along each edge of a face at which its rim is read."""
_BULGE_MM = 1.0
_PATCH_STEPS = 9
"""Each way over a patch at which it is read."""


def curved_face(read: Read, palm: Palm, curve: HullCurve, used: Sequence[Flat]) -> tuple[Flat, list[Finding]] | None:
    """Return the plane that touches a palm's curved hull face in its middle, square to which the palm is thick, and
    what the face is, held against what is asked; None where there is no such face."""
    found = _patch(read, palm, used) if curve.second_order else _cylinder(read, palm, curve, used)
    if found is None:
        return None
    axes = frames.palm_axes(palm)
    normal = _normal(read, found.part, axes.n)
    if isinstance(found, Round):
        flat = Flat(found.part, _touch(found, normal, curve, axes.origin), normal, found.face.Area(), found.face)
        return flat, [*_cylinder_findings(palm, curve, found, flat), _rise(palm, flat)]
    touch, bent, off = _second_order(palm, found, normal)
    flat = Flat(found.part, touch, normal, found.face.Area(), found.face)
    return flat, [*_patch_findings(palm, curve, bent, off), _rise(palm, flat)]


def _cylinder(read: Read, palm: Palm, curve: HullCurve, used: Sequence[Flat]) -> Round | None:
    """The cylinder of a palm's size that lies over the hull; the nearest of several."""
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
    return min(fits, key=lambda r: (_off_mm(r.face, axes, palm), abs(r.radius_mm - curve.radius_mm)), default=None)


def _patch(read: Read, palm: Palm, used: Sequence[Flat]) -> Bent | None:
    """The patch of a palm's size over its water face; the nearest to its place of several."""
    axes, area, taken = frames.palm_axes(palm), palm.outline.area_mm2(), [f.face for f in used]

    def over_water(face: object) -> bool:
        high = axes.from_strut(rim(face))[:, 2]
        return bool(high.min() > -0.9 * palm.thickness_mm and np.ptp(high) < 2.0 * palm.thickness_mm)

    fits = [
        b
        for b in read.bents
        if 0.7 < b.face.Area() / area < 1.4 and all(b.face is not face for face in taken) and over_water(b.face)
    ]
    return min(fits, key=lambda b: _off_mm(b.face, axes, palm), default=None)


def _off_mm(face: object, axes: frames.Axes, palm: Palm) -> float:
    """How far the middle of a face's rim lies from the middle of a palm, to a tenth of a mm."""
    uv = axes.from_strut(rim(face))[:, :2]
    return round(math.dist((uv.min(axis=0) + uv.max(axis=0)) / 2, palm.middle_mm), 1)


def _normal(read: Read, part: int, nominal: Vector) -> Vector:
    """Out of the metal, square to the palm: opposite to its water face, the largest plane that nearly looks the other
    way; as it is asked where there is none."""
    water = [f for f in read.flats if f.part == part and float(f.normal @ nominal) < -0.99]
    return nominal if not water else -max(water, key=lambda f: f.area_mm2).normal


def _touch(r: Round, normal: Vector, curve: HullCurve, near: Vector) -> Vector:
    """The place nearest to another one on the line in which a plane square to a direction touches a cylinder."""
    out = frames.unit(normal - float(normal @ r.axis) * r.axis)
    line = r.point + (r.radius_mm if curve.crown_to_hull else -r.radius_mm) * out
    return np.asarray(line + float((near - line) @ r.axis) * r.axis)


def _second_order(palm: Palm, found: Bent, normal: Vector) -> tuple[Vector, Vector, float]:
    """Where a patch lies over the middle of a palm (3,), square to which it is thick; how it lies from there: by u, v,
    u^2, u v and v^2, per mm; and how far it is off a face of second order."""
    axes = frames.palm_axes(palm)
    middle = axes.to_strut(np.array([palm.middle_mm]))[0]
    u = frames.unit(axes.u - float(axes.u @ normal) * normal)
    x, y, z = frames.Axes(middle, u, np.cross(normal, u), normal).from_strut(found.places(_PATCH_STEPS)).T
    size = float(np.abs([x, y]).max())
    columns = np.column_stack([np.ones_like(x), x / size, y / size, (x / size) ** 2, x * y / size**2, (y / size) ** 2])
    bent = np.linalg.lstsq(columns, z, rcond=None)[0]
    off = float(np.abs(columns @ bent - z).max())
    return middle + float(bent[0]) * normal, bent[1:] / np.array([size, size, size**2, size**2, size**2]), off


def rim(face: object) -> Vector:
    """Return places (n, 3) along the outer edges of a face, in order round it."""
    wire = face.outerWire()  # type: ignore[attr-defined]
    return np.array(
        [p.toTuple() for e in wire.Edges() for p in e.positions(np.linspace(0.0, 1.0, _STEPS + 1).tolist())]
    )


def _rise(palm: Palm, flat: Flat) -> Finding:
    rises = (rim(flat.face) - flat.point) @ flat.normal
    asked = np.asarray(palm.height_mm(*palm.outline.polyline(LENGTH_TOL_MM / 10).T))
    pick = np.min if palm.falls_away_mm > palm.stands_out_mm else np.max
    what = f"{palm.name}, greatest height of the hull face's rim over its middle"
    return length("palm_face_rise", what, float(pick(rises)), float(pick(asked)), FACE_AT)


def _radius(palm: Palm, way: Bend, found_mm: float) -> Finding:
    """A radius is as sure as the rise over the palm that it stands for."""
    box, turn = palm.outline.bounding_box(), math.radians(way.turn_deg)
    half = (box.xmax - box.xmin) / 2 * abs(math.cos(turn)) + (box.ymax - box.ymin) / 2 * abs(math.sin(turn))
    rise = half * half / (2.0 * way.radius_mm)
    within = max(LENGTH_TOL_MM, LENGTH_TOL_MM * way.radius_mm / max(rise, LENGTH_TOL_MM) / 10)
    shape = "rounded" if way.crown_to_hull else "hollow"
    code, where = ("palm_face_radius", "") if way.across else ("palm_face_along", " along its axis")
    what = f"{palm.name}, radius of the {shape} hull face{where}"
    return length(code, what, found_mm, way.radius_mm, FACE_AT if way.across else f"{FACE_AT}.along", within)


def _patch_findings(palm: Palm, curve: HullCurve, bent: Vector, off_mm: float) -> Iterator[Finding]:
    """What a face of second order is, held against what is asked."""
    lean_u, lean_v, uu, uv, vv = (float(b) for b in bent)
    for way in curve.ways:
        c, s = math.cos(math.radians(way.turn_deg)), math.sin(math.radians(way.turn_deg))
        bends = (uu * c * c + uv * c * s + vv * s * s) * (-2.0 if way.crown_to_hull else 2.0)
        yield _radius(palm, way, 1.0 / bends if bends else math.inf)
    name = palm.name
    lean = math.degrees(math.atan(math.hypot(lean_u, lean_v)))
    yield angle("palm_face_lean", f"{name}, lean of the hull face in the palm's middle", lean, 0.0, FACE_AT)
    u, v = (palm.outline.polyline(LENGTH_TOL_MM / 10) - palm.middle_mm).T
    asked = np.asarray(curve.height_mm(u, v))
    apart = lean_u * u + lean_v * v + np.asarray(hull_curve.second_order_mm(u, v, (uu, uv, vv))) - asked
    what = f"{name}, most that the hull face lies off the one asked"
    yield length("palm_face_form", what, float(np.abs(apart).max()) + off_mm, 0.0, FACE_AT)


def _cylinder_findings(palm: Palm, curve: HullCurve, found: Round, flat: Flat) -> list[Finding]:
    """What a cylinder is, held against what is asked."""
    axes, name = frames.palm_axes(palm), palm.name
    along = axes.from_strut(axes.origin + found.axis)[0] - axes.from_strut(axes.origin)[0]
    turn = math.degrees(math.atan2(float(along[1]), float(along[0])))
    turn = curve.axis_deg + (turn - curve.axis_deg + 90.0) % 180.0 - 90.0
    u, v, _ = (float(c) for c in axes.from_strut(flat.point)[0])
    off = float(hull_curve.off_line_mm(u - palm.middle_mm[0], v - palm.middle_mm[1], curve.axis_deg))
    lean = math.degrees(math.asin(float(found.axis @ flat.normal)))
    return [
        _radius(palm, curve.ways[0], found.radius_mm),
        angle("palm_face_axis", f"{name}, direction of the hull face's axis", turn, curve.axis_deg, FACE_AT, hint=STOP),
        angle("palm_face_lean", f"{name}, lean of that axis to the palm", lean, 0.0, FACE_AT),
        length("palm_face_middle", f"{name}, line of touch from the palm's middle", off, 0.0, FACE_AT),
    ]


def to_rim_mm(face: object, place: Vector, normal: Vector) -> float:
    """Return how far a place (3,) is from a face's outer edge, seen along a direction."""
    edges = face.outerWire().Edges()  # type: ignore[attr-defined]
    whole = [_to_edge(edge, place, normal, 0.0, 1.0) for edge in edges]
    near = min(off for off, _ in whole)
    # Between two of its places an edge may bulge by more than a strut is measured to: once more where it is nearest.
    return min(
        _to_edge(edge, place, normal, max(at - 2.0 / _STEPS, 0.0), min(at + 2.0 / _STEPS, 1.0))[0]
        for edge, (off, at) in zip(edges, whole, strict=True)
        if off < near + _BULGE_MM
    )


def _to_edge(edge: Any, place: Vector, normal: Vector, low: float, high: float) -> tuple[float, float]:
    """How far a place is from a length of an edge, seen along a direction, and the share of the edge at which."""
    shares = np.linspace(low, high, _STEPS + 1)
    points = np.array([p.toTuple() for p in edge.positions(shares.tolist())]) - place
    flat = points - np.outer(points @ normal, normal)
    step = np.diff(flat, axis=0)
    along = np.clip(-(flat[:-1] * step).sum(axis=1) / np.maximum((step**2).sum(axis=1), 1e-18), 0.0, 1.0)
    off = np.linalg.norm(flat[:-1] + along[:, None] * step, axis=1)
    k = int(np.argmin(off))
    return float(off[k]), float(shares[k] + along[k] * (shares[k + 1] - shares[k]))
