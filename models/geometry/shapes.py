"""Where things lie on the barrel, on the palm and under the hull. Plain geometry, mm and degrees, numpy only."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Vector
from strutwright.models.geometry.members import edge_radius_at
from strutwright.models.sections import boundary_points
from strutwright.models.spec import Arm, Palm, PalmPlane, SetScrew, Strut

POINTS = 96  # round an arm's section: within 0.1 % of its sizes


def screw_half_mm(screw: SetScrew) -> float:
    """Return half the width (mm) a screw takes on the barrel's outside: its thread, or its spot face."""
    return max(screw.major_mm, screw.flat_diameter_mm or 0.0) / 2


@dataclass(frozen=True, slots=True)
class OnBarrel:
    """What an arm or skeg covers of the barrel's outside: stations (mm), middle clock and half width (degrees)."""

    aft_mm: float
    forward_mm: float
    clock_deg: float
    half_deg: float


def arm_on_barrel(strut: Strut, arm: Arm) -> OnBarrel:
    """Return what an arm covers of the barrel, its root's fillet or weld left out."""
    barrel, plane = strut.barrel, frames.arm_plane(strut, arm)
    a, b = generators(strut, arm)
    # Each generator a + k b leaves the barrel where its distance from the shaft line is the barrel's radius.
    yz_a, yz_b, r = a[:, 1:], b[:, 1:], barrel.outside_mm / 2
    aa, ab = np.sum(yz_b**2, axis=1), np.sum(yz_a * yz_b, axis=1)
    root = ab**2 - aa * (np.sum(yz_a**2, axis=1) - r * r)
    k = (-ab + np.sqrt(np.maximum(root, 0.0))) / aa
    on = a + k[:, None] * b
    clock = np.degrees(np.arctan2(on[:, 1], on[:, 2]))
    axis = frames.arm_axes(arm, barrel, plane).n
    middle = math.degrees(math.atan2(axis[1], axis[2]))
    off = np.abs((clock - middle + 180) % 360 - 180)
    mid = barrel.length_mm / 2
    return OnBarrel(float(on[:, 0].min()) + mid, float(on[:, 0].max()) + mid, middle, float(off.max()))


def skeg_on_barrel(strut: Strut) -> OnBarrel | None:
    """Return what the skeg covers of the barrel, its root's fillet or weld left out; None without a skeg."""
    s = strut.skeg
    if s is None:
        return None
    half = math.degrees(math.asin(min(1.0, s.thickness_root_mm / strut.barrel.outside_mm)))
    return OnBarrel(s.root_aft_station_mm, s.root_forward_station_mm, 180.0, half)


# --- arm ------------------------------------------------------------------------------------------------------------


def generators(strut: Strut, arm: Arm) -> tuple[Vector, Vector]:
    """Return points (n, 3) round the arm where it leaves the barrel, and the steps (n, 3) from there to the palm."""
    plane = frames.arm_plane(strut, arm)
    axes = frames.arm_axes(arm, strut.barrel, plane)
    ends = frames.arm_ends_mm(arm, strut.barrel, plane)
    rings = []
    for along, chord, thickness in (
        (ends[0], arm.chord_barrel_mm, arm.thickness_barrel_mm),
        (ends[1], arm.chord_palm_mm, arm.thickness_palm_mm),
    ):
        xy = boundary_points(arm.shape, chord, thickness, POINTS, edge_radius_at(arm, thickness))
        rings.append(axes.to_strut(xy) + along * axes.n)
    return rings[0], rings[1] - rings[0]


def arm_footprints(strut: Strut, arm: Arm, below_mm: Sequence[float]) -> list[Vector]:
    """Return the footprints of an arm on planes that lie below_mm under the hull face (toward the water): points (n, 2)
    in palm axes, mm.

    Each straight line from a point of the section at the barrel to its twin at the palm is cut by the plane, so taper,
    lean and shear are all in it.
    """
    hull = frames.palm_axes(strut.palms[arm.palm_index])
    a, b = generators(strut, arm)
    feet = []
    for below in below_mm:
        k = (-below - (a - hull.origin) @ hull.n) / (b @ hull.n)
        feet.append(hull.from_strut(a + k[:, None] * b)[:, :2])
    return feet


# --- hull -----------------------------------------------------------------------------------------------------------


def hull_planes(strut: Strut) -> list[tuple[PalmPlane, int]]:
    """Return the planes of the bottom over the shaft and the side each lies on (+1 port, -1 starboard, 0 both)."""
    hull = strut.hull
    if strut.identity.hand != "centre" or hull.deadrise_deg == 0:
        return [(strut.palms[0].plane, 0)]
    wing = frames.athwart_tilt_deg(hull.deadrise_deg, hull.run_deg, hull.shaft_to_hull_deg, 1)
    drop, pitch = hull.drop_square_to_shaft_mm, hull.shaft_to_hull_deg
    return [
        (PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=wing), 1),
        (PalmPlane(drop_mm=drop, pitch_deg=pitch, tilt_deg=-wing), -1),
    ]


def plane_over_shaft(strut: Strut) -> PalmPlane:
    """Return the one plane whose distance from anything round the shaft line is the hull's.

    Of a V bottom over the centre line that is the level plane through the keel line: whatever lies evenly about the
    shaft line is nearest to the keel.
    """
    if strut.identity.hand != "centre":
        return strut.palms[0].plane
    return PalmPlane(drop_mm=strut.hull.drop_square_to_shaft_mm, pitch_deg=strut.hull.shaft_to_hull_deg, tilt_deg=0.0)


def free_run_mm(strut: Strut, start: Vector, direction: Vector, radius_mm: float = 0.0) -> float:
    """Return how far (mm) a rod can go from a point before it meets the hull or a palm's water face; inf when never.

    radius_mm: of the rod, whose edge meets a leaning face before its middle does. It meets a palm where its middle
    comes within its own shadow of the outline: at a corner it may have a little more room.
    """
    best = math.inf
    for plane, side in hull_planes(strut):
        axes = frames.plane_axes(plane.drop_mm, plane.pitch_deg, plane.tilt_deg)
        run, _ = _run_to(start, direction, axes.origin, axes.n, radius_mm)
        if run < best and (side == 0 or float((start + run * direction)[1]) * side >= -1e-9 - radius_mm):
            best = run
    for palm in strut.palms:
        axes = frames.palm_axes(palm)
        run, shadow = _run_to(start, direction, axes.origin - palm.thickness_mm * axes.n, axes.n, radius_mm)
        if run < best:
            at = axes.from_strut(start + run * direction)[0, :2]
            if float(palm.outline.distance_to_boundary(at)) >= -1e-6 - shadow:
                best = run
    return best


def _run_to(
    start: Vector, direction: Vector, on_plane: Vector, normal: Vector, radius_mm: float
) -> tuple[float, float]:
    """How far a rod goes to a plane, and how far its shadow on the plane reaches from its middle there."""
    climb = float(direction @ normal)
    height = float((on_plane - start) @ normal)
    if climb <= 1e-9 or height <= 0:
        return math.inf, 0.0
    lean = math.sqrt(max(1 - climb * climb, 0.0))
    return max(height - radius_mm * lean, 0.0) / climb, radius_mm * (climb + lean * lean / climb)


def palm_points(palm: Palm) -> Vector:
    """Return points (n, 3) of a palm's hull-face outline in the strut frame, within 0.05 mm."""
    return frames.palm_axes(palm).to_strut(palm.outline.polyline(0.05))
