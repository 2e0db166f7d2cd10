"""Where things lie on the barrel, on the palm and under the hull. Plain geometry, mm and degrees, numpy only."""

from __future__ import annotations

from collections.abc import Sequence

from strutwright.models import frames
from strutwright.models.arrays import Num
from strutwright.models.frames import Vector
from strutwright.models.geometry.clearances import under_plane_mm
from strutwright.models.geometry.members import arm_member
from strutwright.models.spec import Arm, PalmPlane, SetScrew, Strut


def screw_half_mm(screw: SetScrew) -> float:
    """Return half the width (mm) a screw takes on the barrel's outside: its thread, or its spot face.

    >>> screw_half_mm(shipped("coastal-pair").set_screws[0])  # a spot face of 16
    8.0
    """
    return max(screw.major_mm, screw.flat_diameter_mm or 0.0) / 2


# --- arm ------------------------------------------------------------------------------------------------------------


def arm_footprints(strut: Strut, arm: Arm, below_mm: Sequence[float]) -> list[Vector]:
    """Return the footprints of an arm on planes that lie below_mm under the hull face (toward the water): points (n, 2)
    in palm axes, mm.

    Each straight line from a point of the section at the barrel to its twin at the palm is cut by the plane, so taper,
    lean and shear are all in it.

    >>> strut = shipped("canal-tender")
    >>> foot = arm_footprints(strut, strut.arms[0], [10.0])[0]  # on the water face
    >>> (foot.max(axis=0) - foot.min(axis=0)).round(2).tolist()  # 56 / cos 9, and 14
    [56.7, 14.0]
    """
    hull = frames.palm_axes(strut.palms[arm.palm_index])
    a, b = arm_member(strut, arm).lines()
    feet = []
    for below in below_mm:
        k = (-below - (a - hull.origin) @ hull.n) / (b @ hull.n)
        feet.append(hull.from_strut(a + k[:, None] * b)[:, :2])
    return feet


# --- hull -----------------------------------------------------------------------------------------------------------


def hull_planes(strut: Strut) -> list[tuple[PalmPlane, int]]:
    """Return the planes of the bottom over the shaft and the side each lies on (+1 port, -1 starboard, 0 both); none
    for a part that stands on no hull.

    >>> [(round(plane.tilt_deg, 2), side) for plane, side in hull_planes(shipped("pilot-vee"))]
    [(10.15, 1), (-10.15, -1)]
    """
    hull = strut.hull
    if not strut.palms:
        return []
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

    >>> plane_over_shaft(shipped("pilot-vee")).tilt_deg
    0.0
    """
    if strut.identity.hand != "centre":
        return strut.palms[0].plane
    return PalmPlane(drop_mm=strut.hull.drop_square_to_shaft_mm, pitch_deg=strut.hull.shaft_to_hull_deg, tilt_deg=0.0)


def over_shaft(strut: Strut) -> Vector:
    """Return the unit vector (3,) square to that plane, toward the hull.

    >>> over_shaft(shipped("canal-tender"))[[0, 2]].round(4).tolist()  # sine and cosine of 9
    [0.1564, 0.9877]
    """
    plane = plane_over_shaft(strut)
    return frames.plane_axes(0.0, plane.pitch_deg, plane.tilt_deg).n


# --- propeller ------------------------------------------------------------------------------------------------------


def propeller_plane_mm(strut: Strut) -> Num:
    """Return how far (mm) the propeller's middle lies aft of mid-barrel; a gap or hub not given counts as none.

    >>> propeller_plane_mm(shipped("canal-tender"))  # 74 / 2 + 12 + 55 / 2
    76.5
    """
    gap, long = (0.0 if x is None else x for x in (strut.propeller.hub_gap_mm, strut.propeller.hub_length_mm))
    return strut.barrel.length_mm / 2 + gap + long / 2


def tip_clearance_mm(strut: Strut) -> Num | None:
    """Return the least distance (mm) from the circle of the blade tips to the hull; None without a diameter.

    The circle stands square to the shaft at the middle of the hub; the hull leans over it. Rake and breadth of the
    blades are not known and not in it. Broadcasts over the sizes of the strut.

    >>> round(float(tip_clearance_mm(shipped("canal-tender"))), 2)  # (203.22 - 280 / 2) cos 9 + 76.5 sin 9
    74.41
    """
    middle = -propeller_plane_mm(strut)
    diameter = strut.propeller.diameter_mm
    return None if diameter is None else blades_to_hull_mm(strut, diameter, middle, middle)


def blades_to_hull_mm(strut: Strut, diameter_mm: Num, from_x_mm: Num, to_x_mm: Num) -> Num:
    """Return the least distance (mm) to the hull of the room swept by blades between two places along the shaft.

    >>> gap = blades_to_hull_mm(shipped("canal-tender"), 280.0, -104.0, -49.0)
    >>> round(float(gap), 2)  # (203.22 - 280 / 2) cos 9 + 49 sin 9
    70.11
    """
    n = over_shaft(strut)
    level = strut.hull.drop_square_to_shaft_mm * n[2]
    return under_plane_mm(level, n, from_x_mm, to_x_mm, diameter_mm / 2)
