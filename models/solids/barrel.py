"""The barrel: outside, bore, water slots and set-screw holes, each one revolution or prism."""

from __future__ import annotations

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.geometry.barrel import bore_points, flat_floor_mm, outside_chain
from strutwright.models.geometry.members import BURIED_SHORT_MM, Member, face_radii_mm, past_faces
from strutwright.models.outline import Outline, stadium
from strutwright.models.solids import kernel
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import Barrel, SetScrew

X = np.array([1.0, 0.0, 0.0])
CLEAR_MM = 5.0  # how far cutters stand out of what they cut


def _profile(barrel: Barrel, rows: list[tuple[float, float, float]], inner: list[tuple[float, float]]) -> Outline:
    """Return the closed half section (x, radius) between an outside chain and inner (station, radius) points."""
    outer = [(barrel.x(s), r, bulge) for s, r, bulge in rows]
    return Outline(np.array(outer + [(barrel.x(s), r, 0.0) for s, r in reversed(inner)]))


SEAMS = 4


def seam_directions(clocks_deg: list[float]) -> list[Vector]:
    """Return directions (3,) in which the seams of revolutions may lie, the one farthest from the clock angles in use
    first, each at least 25 degrees from those before.

    None is right opposite an angle in use: where all lies in one plane of symmetry, the kernel now and then finds no
    cut between arm and barrel.

    >>> seam_directions([0.0, 90.0])[0].round(3).tolist()  # between the opposites of the two, at -135 degrees
    [0.0, -0.707, -0.707]
    """

    def clear(c: float, of: list[float]) -> float:
        return min((frames.angle_between_deg(c, used) for used in of), default=180.0)

    opposite = [used + 180.0 for used in clocks_deg]
    tried = sorted(
        ((min(clear(c, clocks_deg), 18.0 * clear(c, opposite)), -abs(c), float(c)) for c in range(-175, 185, 5)),
        reverse=True,
    )
    out: list[float] = []
    for _, _, c in tried:
        if clear(c, out) >= 25.0 and len(out) < SEAMS:
            out.append(c)
    return [frames.radial(c) for c in out]


def envelope(barrel: Barrel, seam: Vector, past_mm: tuple[float, float] = (0.0, 0.0)) -> Solid:
    """Return the barrel with its bore filled. seam (3,): direction of the seam.

    past_mm: how far it goes on beyond its aft and its forward face, as thick as it is there.

    >>> round(envelope(shipped("canal-tender").barrel, frames.radial(180.0)).Volume() / 1000, 1)  # cm3, pi 2.4^2 x 7.4
    133.9
    """
    rows, ends = outside_chain(barrel), (-past_mm[0], barrel.length_mm + past_mm[1])
    if past_mm[0]:
        rows = [(ends[0], rows[0][1], 0.0), *rows[rows[0][1:] == (rows[1][1], 0.0) :]]
    if past_mm[1]:
        rows = [*rows[: len(rows) - (rows[-2][1:] == (rows[-1][1], 0.0))], (ends[1], rows[-1][1], 0.0)]
    return kernel.revolve(_profile(barrel, rows, [(s, 0.0) for s in ends]), np.zeros(3), X, seam)


def bore_cutter(barrel: Barrel, seam: Vector, past_mm: tuple[float, float] = (CLEAR_MM, CLEAR_MM)) -> Solid:
    """Return what is bored away: the bore's profile, standing out of both faces, revolved once.

    past_mm: how far out of the aft and the forward face; 0 where something stands on it.

    >>> round(bore_cutter(shipped("canal-tender").barrel, frames.radial(180.0)).BoundingBox().xlen, 3)  # 74 + 2 x 5
    84.0
    """
    inner = bore_points(barrel)
    aft, forward = past_mm
    stations = [*([(-aft, inner[0][1])] if aft else []), *inner]
    stations += [(barrel.length_mm + forward, inner[-1][1])] if forward else []
    rows = [(s, r, 0.0) for s, r in stations]
    profile = _profile(barrel, rows, [(-aft, 0.0), (barrel.length_mm + forward, 0.0)])
    return kernel.revolve(profile, np.zeros(3), X, seam)


def within_faces(solid: Solid, member: Member, barrel: Barrel) -> Solid:
    """Return an arm or fin less what of its buried end comes out of the barrel's faces. Raises KernelError.

    >>> from dataclasses import replace
    >>> from strutwright.models.geometry.members import arm_member
    >>> strut = shipped("canal-tender")
    >>> wide, rod = replace(strut.arms[0], chord_barrel_mm=76.0), kernel.cylinder(0 * X, X, 5.0, 50.0)
    >>> round(within_faces(rod, arm_member(strut, wide), strut.barrel).BoundingBox().xmax, 3)  # 74 / 2 - 0.25
    36.75
    """
    tools = []
    for past, sign, radius in zip(past_faces(member, barrel), (-1.0, 1.0), face_radii_mm(barrel), strict=True):
        if past:
            start = sign * (barrel.length_mm / 2 - BURIED_SHORT_MM) * X
            tools.append(
                kernel.cylinder(start, sign * X, radius - BURIED_SHORT_MM, barrel.outside_mm + barrel.length_mm)
            )
    return kernel.drilled(solid, tools) if tools else solid


def screw_cutters(barrel: Barrel, screws: tuple[SetScrew, ...]) -> list[Solid]:
    """Return a tap-drill cylinder for each set screw and, where asked, the cutter of its flat.

    The flat is sunk to the depth at which it has its full diameter on the round barrel.

    >>> strut = shipped("sloop-with-skeg")
    >>> len(screw_cutters(strut.barrel, strut.set_screws))  # three screws, no flats
    3
    """
    out = []
    for s in screws:
        axis = frames.radial(s.clock_deg)
        centre = np.array([barrel.x(s.station_mm), 0.0, 0.0])
        top = barrel.outside_mm / 2 + CLEAR_MM
        out.append(kernel.cylinder(centre, axis, s.tap_drill_mm / 2, top))
        if s.flat_diameter_mm:
            floor = float(flat_floor_mm(barrel, s.station_mm, s.flat_diameter_mm))
            out.append(kernel.cylinder(centre + floor * axis, axis, s.flat_diameter_mm / 2, top - floor))
    return out


def slot_cutters(barrel: Barrel) -> list[Solid]:
    """Return a round-ended prism for each water slot.

    >>> len(slot_cutters(shipped("work-launch-vee").barrel))
    4
    """
    if barrel.slots is None:
        return []
    s = barrel.slots
    shape = stadium(max(s.length_mm, s.width_mm), s.width_mm)
    out = []
    for k in range(s.count):
        n = frames.radial(s.first_clock_deg + 360.0 * k / s.count)
        axes = Axes(np.array([barrel.x(s.centre_station_mm), 0.0, 0.0]), X, np.cross(n, X), n)
        out.append(kernel.prism(kernel.outline_wire(shape, axes), (barrel.outside_mm / 2 + CLEAR_MM) * n))
    return out
