"""Frames of the strut: palm planes and axes, arm axes, angles and drops. Pure numpy.

Formulas follow from the plane z = D - x tan(theta) + y tan(phi) in the strut frame (see models.spec) by vector algebra.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from strutwright.models.arrays import Floats, One

if TYPE_CHECKING:
    from strutwright.models.spec import Arm, Barrel, Palm, PalmPlane, Plate, Strut
    from strutwright.models.spec_flange import Flange, FlangePlane

Vector = Floats


class FrameError(ValueError):
    """Angles that belong to no hull, or a line that never meets it; the text says which."""


def unit(v: Vector) -> Vector:
    """Return v (shape (3,)) scaled to length 1.

    >>> unit(np.array([3.0, 0.0, 4.0])).tolist()
    [0.6, 0.0, 0.8]
    """
    return np.asarray(v / np.linalg.norm(v), dtype=float)


def cross(a: Vector, b: Vector) -> Vector:
    """Return the vector product of two vectors (3,), in a tenth of numpy's time for as few.

    >>> cross(np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])).tolist()
    [0.0, 0.0, 1.0]
    """
    (ax, ay, az), (bx, by, bz) = a.tolist(), b.tolist()
    return np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


@dataclass(frozen=True, slots=True)
class Axes:
    """A right-handed orthonormal frame: origin (mm) and unit vectors, each of shape (3,), in the strut frame."""

    origin: Vector
    u: Vector
    v: Vector
    n: Vector

    def to_strut(self, points_uv: Vector, height_mm: float = 0.0) -> Vector:
        """Return strut-frame points (n, 3) of (n, 2) in-plane points (mm), lifted height_mm along the normal."""
        p = np.atleast_2d(points_uv)
        return np.asarray(self.origin + np.outer(p[:, 0], self.u) + np.outer(p[:, 1], self.v) + height_mm * self.n)

    def from_strut(self, points: Vector) -> Vector:
        """Return (n, 3) coordinates (u, v, height) in mm of strut-frame points (n, 3)."""
        d = np.atleast_2d(points) - self.origin
        return np.stack([d @ self.u, d @ self.v, d @ self.n], axis=1)


# --- hull angles ----------------------------------------------------------------------------------------------------


def athwart_tilt_deg(deadrise_deg: float, run_deg: float, shaft_to_hull_deg: float, side: int) -> float:
    """Return phi, the deadrise seen along the shaft (degrees, sign of `side`: +1 port, -1 starboard, 0 none).

    tan(phi) = side tan(deadrise) cos(run) / cos(shaft to hull).

    >>> round(athwart_tilt_deg(20.0, 2.0, 12.0, 1), 3)
    20.399
    """
    tan = math.tan(math.radians(deadrise_deg)) * math.cos(math.radians(run_deg))
    return math.degrees(math.atan(side * tan / math.cos(math.radians(shaft_to_hull_deg))))


def shaft_to_palm_deg(pitch_deg: float, tilt_deg: float) -> float:
    """Return gamma, the true angle between shaft and palm plane (degrees), from theta and phi (degrees).

    >>> round(shaft_to_palm_deg(12.0, 0.0), 6)  # no deadrise: the pitch itself
    12.0
    """
    t, f = math.tan(math.radians(pitch_deg)), math.tan(math.radians(tilt_deg))
    return math.degrees(math.asin(t / math.sqrt(1 + t * t + f * f)))


def pitch_from_true_angle_deg(true_deg: float, deadrise_deg: float, run_deg: float) -> float:
    """Return theta (degrees) from the true angle gamma: sin(theta) = sin(gamma) sqrt(1 + (tan(deadrise) cos(run))^2).

    Raises FrameError when no pitch gives that true angle.

    >>> round(pitch_from_true_angle_deg(12.0, 0.0, 2.0), 6)
    12.0
    """
    k = math.tan(math.radians(deadrise_deg)) * math.cos(math.radians(run_deg))
    s = math.sin(math.radians(true_deg)) * math.sqrt(1 + k * k)
    if abs(s) > 1:
        raise FrameError("no pitch gives this true angle with this deadrise")
    return math.degrees(math.asin(s))


def trace_to_projection_deg(pitch_deg: float, tilt_deg: float) -> float:
    """Return the angle (degrees, positive toward port) from the trace to the shaft's projection on the palm.

    >>> round(trace_to_projection_deg(12.0, 20.0), 3)  # tan = tan 20 sin 12 / sqrt(1 + (tan 20 cos 12)^2)
    4.078
    """
    axes = plane_axes(0.0, pitch_deg, tilt_deg)
    x = np.array([1.0, 0.0, 0.0])
    flat = x - (x @ axes.n) * axes.n
    return math.degrees(math.atan2(float(flat @ axes.v), float(flat @ axes.u)))


def drop_factors(waterline_deg: float, run_deg: float, pitch_deg: float, tilt_deg: float) -> tuple[float, float]:
    """Return (vertical, square to hull) drop per unit of drop square to the shaft, all at one point of the axis.

    vertical = cos(eps) - tan(run) sin(eps); normal = 1/sqrt(1 + tan^2 theta + tan^2 phi). Angles in degrees.

    >>> [round(f, 6) for f in drop_factors(10.0, 0.0, 10.0, 0.0)]
    [0.984808, 0.984808]
    """
    e = math.radians(waterline_deg)
    t, f = math.tan(math.radians(pitch_deg)), math.tan(math.radians(tilt_deg))
    return math.cos(e) - math.tan(math.radians(run_deg)) * math.sin(e), 1 / math.sqrt(1 + t * t + f * f)


# --- palm -----------------------------------------------------------------------------------------------------------


def plane_axes(drop_mm: float, pitch_deg: float, tilt_deg: float, turn_deg: float = 0.0) -> Axes:
    """Return the axes of a hull-face plane with the origin where the z axis meets it.

    u lies along the trace turned by turn_deg toward port, v to port, n toward the hull.

    >>> plane_axes(250.0, 0.0, 0.0).u.tolist()  # level: forward
    [1.0, 0.0, 0.0]
    """
    th, tf = math.radians(pitch_deg), math.tan(math.radians(tilt_deg))
    n = unit(np.array([math.tan(th), -tf, 1.0]))
    e1 = np.array([math.cos(th), 0.0, -math.sin(th)])
    e2 = cross(n, e1)
    a = math.radians(turn_deg)
    u = math.cos(a) * e1 + math.sin(a) * e2
    return Axes(np.array([0.0, 0.0, drop_mm]), u, cross(n, u), n)


def palm_axes(palm: Palm) -> Axes:
    """Return the palm axes (u, v, n toward the hull) with the palm zero as origin.

    >>> palm_axes(shipped("canal-tender").palms[0]).n[[0, 2]].round(4).tolist()  # sine and cosine of 9
    [0.1564, 0.9877]
    """
    a = plane_axes(palm.plane.drop_mm, palm.plane.pitch_deg, palm.plane.tilt_deg, palm.axes_deg)
    return Axes(np.asarray(palm.zero_mm, dtype=float), a.u, a.v, a.n)


def flange_axes(flange: Flange, barrel: Barrel) -> Axes:
    """Return the flange axes (u up, v athwart, n toward the base), with the shaft line's place in its face as origin.

    >>> from strutwright.models.spec_flange import FlangePlane
    >>> plane = FlangePlane(station_mm=0.0, lean_deg=30.0, turn_deg=0.0, looks="forward")
    >>> face_axes(plane).n.round(4).tolist()  # the upper edge lies aft: the face looks up
    [0.866, 0.0, 0.5]
    """
    origin = np.array([barrel.x(flange.plane.station_mm), 0.0, 0.0])
    a = face_axes(flange.plane)
    return Axes(origin, a.u, a.v, a.n)


def face_axes(plane: FlangePlane) -> Axes:
    """Return the axes of a bedding face about an origin of its own.

    >>> from strutwright.models.spec_flange import FlangePlane
    >>> face_axes(FlangePlane(station_mm=0.0, lean_deg=0.0, turn_deg=0.0, looks="aft")).v.tolist()  # to port
    [0.0, 1.0, 0.0]
    """
    lean, turn = math.radians(plane.lean_deg), math.radians(plane.turn_deg)
    cl, sl, ct, st = math.cos(lean), math.sin(lean), math.cos(turn), math.sin(turn)
    u, port = np.array([-sl, 0.0, cl]), np.array([-st * cl, ct, -st * sl])
    n = cross(port, u)  # forward
    forward = plane.looks == "forward"
    return Axes(np.zeros(3), u, (-port if forward else port) + 0.0, (n if forward else -n) + 0.0)


def plate_axes(strut: Strut, plate: Plate) -> Axes:
    """Return the axes of a plate that is bolted down, be it a palm or the flange of a housing.

    >>> strut = shipped("canal-tender")
    >>> plate_axes(strut, strut.palms[0]).origin.tolist() == list(strut.palms[0].zero_mm)
    True
    """
    if plate is strut.flange:
        return flange_axes(strut.flange, strut.barrel)
    return palm_axes(next(p for p in strut.palms if p is plate))


def meet_plane(plane: PalmPlane, origin: Vector, direction: Vector) -> Vector:
    """Return where a line (origin (3,), direction (3,)) meets the hull face. Raises FrameError when parallel.

    >>> plane = shipped("harbour-launch").palms[0].plane  # 300 over the shaft
    >>> meet_plane(plane, np.zeros(3), np.array([0.0, 0.0, 1.0])).round(6).tolist()
    [0.0, 0.0, 300.0]
    """
    a = plane_axes(plane.drop_mm, plane.pitch_deg, plane.tilt_deg)
    along = float(direction @ a.n)
    if abs(along) < 1e-9:
        raise FrameError("the line never meets the palm plane")
    return np.asarray(origin + ((a.origin - origin) @ a.n) / along * direction, dtype=float)


# --- arm ------------------------------------------------------------------------------------------------------------


def arm_direction(clock_deg: float, rake_deg: float) -> Vector:
    """Return the unit vector (3,) of an arm axis from the shaft line toward the hull.

    >>> arm_direction(0.0, 0.0).round(6).tolist()
    [-0.0, 0.0, 1.0]
    """
    c, r = math.radians(clock_deg), math.radians(rake_deg)
    return np.array([-math.sin(r), math.cos(r) * math.sin(c), math.cos(r) * math.cos(c)])


def arm_axes(arm: Arm, barrel: Barrel, plane: PalmPlane) -> Axes:
    """Return the section frame of an arm: origin on the shaft line, u along the chord (leading edge forward),
    v across the arm (port for an upright arm), n along the arm axis.

    u and n are not square to each other when the arm is raked: sections are cut along the chord direction, so that the
    chord keeps its length along the shaft (or the flow). v is square to both.

    >>> strut = shipped("pilot-vee")
    >>> arm_axes(strut.arms[0], strut.barrel, strut.palms[0].plane).n[1:].round(4).tolist()  # sine and cosine of 26
    [0.4384, 0.8988]
    """
    d = arm_direction(arm.clock_deg, arm.rake_deg)
    if arm.aligned_with == "shaft":
        f = np.array([1.0, 0.0, 0.0])
    else:
        f = plane_axes(plane.drop_mm, plane.pitch_deg, plane.tilt_deg).u
    t = math.radians(arm.toe_deg)
    # Rodrigues' turn about the arm axis.
    f = f * math.cos(t) + cross(d, f) * math.sin(t) + d * float(d @ f) * (1 - math.cos(t))
    return Axes(np.array([barrel.x(arm.station_mm), 0.0, 0.0]), f, unit(cross(d, f)), d)


def arm_ends_mm(arm: Arm, barrel: Barrel, plane: PalmPlane) -> tuple[float, float]:
    """Return the distances (mm) along the arm axis from the shaft line to the barrel's outside and to the hull face.

    >>> strut = shipped("canal-tender")
    >>> [round(end, 2) for end in arm_ends_mm(strut.arms[0], strut.barrel, strut.palms[0].plane)]  # 48 / 2, the drop
    [24.0, 203.22]
    """
    axes = arm_axes(arm, barrel, plane)
    top = meet_plane(plane, axes.origin, axes.n)
    radial = math.hypot(axes.n[1], axes.n[2])
    return barrel.outside_mm / 2 / radial, float((top - axes.origin) @ axes.n)


def palm_zero_mm(barrel: Barrel, plane: PalmPlane, arms: Sequence[Arm]) -> tuple[float, float, float]:
    """Return the palm zero (mm), where the middle of the arms meets the hull face; below the shaft where it never does.

    >>> strut = shipped("canal-tender")
    >>> zero = palm_zero_mm(strut.barrel, strut.palms[0].plane, strut.arms)
    >>> [round(float(v), 2) for v in zero]  # 203.22 along the arm, which stands square to the shaft at mid-barrel
    [0.0, 0.0, 203.22]
    """
    clock = sum(a.clock_deg for a in arms) / len(arms)
    origin = np.array([barrel.x(arms[0].station_mm), 0.0, 0.0])
    try:
        x, y, z = meet_plane(plane, origin, arm_direction(clock, arms[0].rake_deg))
    except FrameError:
        return -1.0, -1.0, -1.0
    return float(x), float(y), float(z)


def arm_size_at(arm: Arm, ends_mm: tuple[float, float], along_mm: One) -> tuple[One, One]:
    """Return (chord, thickness) in mm at a distance along the axis from the shaft line, linear between the ends.

    Broadcasts over along_mm.

    >>> arm_size_at(shipped("harbour-launch").arms[0], (34.0, 298.0), 166.0)  # halfway from 95 x 22 to 110 x 27
    (102.5, 24.5)
    """
    k = (along_mm - ends_mm[0]) / (ends_mm[1] - ends_mm[0])
    return (
        arm.chord_barrel_mm + k * (arm.chord_palm_mm - arm.chord_barrel_mm),
        arm.thickness_barrel_mm + k * (arm.thickness_palm_mm - arm.thickness_barrel_mm),
    )


def arm_plane(strut: Strut, arm: Arm) -> PalmPlane:
    """Return the hull-face plane on which the arm lands.

    >>> strut = shipped("canal-tender")
    >>> arm_plane(strut, strut.arms[0]).pitch_deg
    9.0
    """
    return strut.palms[arm.palm_index].plane


def radial(clock_deg: float) -> Vector:
    """Return the unit vector (3,) square to the shaft at a clock angle (degrees).

    >>> radial(90.0).round(6).tolist()  # port
    [0.0, 1.0, 0.0]
    """
    c = math.radians(clock_deg)
    return np.array([0.0, math.sin(c), math.cos(c)])


def angle_between_deg(first_deg: float, second_deg: float) -> float:
    """Return the smallest angle (0 to 180 degrees) between two clock angles.

    >>> angle_between_deg(170.0, -170.0)
    20.0
    """
    return abs((first_deg - second_deg + 180) % 360 - 180)


def stock_direction(stock_rake_deg: float, stock_cant_deg: float) -> Vector:
    """Return the unit vector (3,) up the rudder stock; rake positive upper end aft, cant positive upper end to port.

    >>> stock_direction(0.0, 0.0).tolist()
    [-0.0, 0.0, 1.0]
    """
    return unit(np.array([-math.tan(math.radians(stock_rake_deg)), math.tan(math.radians(stock_cant_deg)), 1.0]))
