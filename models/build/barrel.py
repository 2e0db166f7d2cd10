"""The barrel: outside, bore, water slots and set-screw holes, each one revolution or prism."""
from __future__ import annotations

import itertools
import math

import numpy as np

from strutwright.models import frames
from strutwright.models.build import kernel
from strutwright.models.build.kernel import Solid
from strutwright.models.frames import Axes, Vector
from strutwright.models.outline import Outline, stadium
from strutwright.models.spec import Barrel, BarrelEnd, SetScrew

X = np.array([1.0, 0.0, 0.0])
CLEAR_MM = 5.0   # how far cutters stand out of what they cut


def end_points(end: BarrelEnd, outside_mm: float) -> list[tuple[float, float, float]]:
    """Return (distance from the face, radius, bulge) rows in mm from the face inward to the parallel part.

    A rounded end is the circular arc from the end diameter to the outside, tangent to the outside.
    """
    if end.shape == "straight" or end.length_mm <= 0 or end.end_diameter_mm >= outside_mm:
        return [(0.0, outside_mm / 2, 0.0)]
    bulge = 0.0
    if end.shape == "rounded":
        # The chord makes half the arc's turn with the tangent at its inner end; the bulge is the tangent of a quarter.
        bulge = math.tan(math.atan2((outside_mm - end.end_diameter_mm) / 2, end.length_mm) / 2)
    return [(0.0, end.end_diameter_mm / 2, -bulge), (end.length_mm, outside_mm / 2, 0.0)]


def outside_chain(barrel: Barrel) -> list[tuple[float, float, float]]:
    """Return (station, radius, bulge) rows in mm along the outside from the aft face to the forward face."""
    aft = end_points(barrel.aft_end, barrel.outside_mm)
    fore = end_points(barrel.forward_end, barrel.outside_mm)
    rows = list(aft)
    back = fore[::-1]
    for k, (inset, radius, _) in enumerate(back):
        # Run the other way along an arc that also bends the other way: the same bulge, held by its new first point.
        bulge = back[k + 1][2] if k + 1 < len(back) else 0.0
        rows.append((barrel.length_mm - inset, radius, bulge))
    clean = [rows[0]]
    for row in rows[1:]:
        if row[0] - clean[-1][0] > 1e-6 or abs(row[1] - clean[-1][1]) > 1e-6:
            clean.append(row)
        else:
            clean[-1] = row
    return clean


def outside_radius_mm(barrel: Barrel, station_mm: float) -> float:
    """Return the outside radius (mm) at a station; 0 beyond the ends."""
    if not 0 <= station_mm <= barrel.length_mm:
        return 0.0
    radius = barrel.outside_mm / 2
    for end, inset in ((barrel.aft_end, station_mm), (barrel.forward_end, barrel.length_mm - station_mm)):
        rows = end_points(end, barrel.outside_mm)
        if len(rows) == 1 or inset >= end.length_mm:
            continue
        drop = radius - rows[0][1]
        if end.shape == "tapered":
            return radius - drop * (1 - inset / end.length_mm)
        bend = (end.length_mm**2 + drop**2) / (2 * drop)
        return radius - bend + math.sqrt(max(bend**2 - (end.length_mm - inset) ** 2, 0.0))
    return radius


def _profile(barrel: Barrel, rows: list[tuple[float, float, float]], inner: list[tuple[float, float]]) -> Outline:
    """Return the closed half section (x, radius) between an outside chain and inner (station, radius) points."""
    outer = [(barrel.x(s), r, bulge) for s, r, bulge in rows]
    return Outline(np.array(outer + [(barrel.x(s), r, 0.0) for s, r in reversed(inner)]))


def bore_points(barrel: Barrel) -> list[tuple[float, float]]:
    """Return (station, radius) points in mm of the bore from the aft face to the forward face, lead-ins included."""
    cuts = sorted({0.0, barrel.length_mm} | {s for step in barrel.steps
                                             for s in (step.from_station_mm, step.to_station_mm)
                                             if 0 < s < barrel.length_mm})
    points: list[tuple[float, float]] = []
    for a, b in itertools.pairwise(cuts):
        radius = barrel.bore_mm / 2
        for step in barrel.steps:
            if step.from_station_mm <= (a + b) / 2 <= step.to_station_mm:
                radius = step.diameter_mm / 2
        if points and abs(points[-1][1] - radius) < 1e-9:
            points[-1] = (b, radius)
        else:
            points += [(a, radius), (b, radius)]
    for lead, at_face in ((barrel.lead_in_aft, 0), (barrel.lead_in_forward, -1)):
        length = lead.length_mm
        if length <= 0:
            continue
        station, radius = points[at_face]
        wide = radius + length * math.tan(math.radians(lead.angle_deg))
        if at_face == 0:
            points[0:1] = [(0.0, wide), (length, radius)]
        else:
            points[-1:] = [(station - length, radius), (station, wide)]
    return points


def seam_direction(barrel_clocks_deg: list[float]) -> Vector:
    """Return the direction (3,) farthest from the clock angles in use, where the seams of revolutions may lie."""
    tried = [(min((frames.angle_between_deg(c, used) for used in barrel_clocks_deg), default=0.0), -abs(c), c)
             for c in range(-175, 185, 5)]
    return frames.radial(max(tried)[2])


def envelope(barrel: Barrel, seam: Vector) -> Solid:
    """Return the barrel with its bore filled. seam (3,): direction of the seam."""
    profile = _profile(barrel, outside_chain(barrel), [(0.0, 0.0), (barrel.length_mm, 0.0)])
    return kernel.revolve(profile, np.zeros(3), X, seam)


def tube(barrel: Barrel, seam: Vector) -> Solid:
    """Return the barrel with its bore, before slots and screw holes."""
    profile = _profile(barrel, outside_chain(barrel), bore_points(barrel))
    return kernel.revolve(profile, np.zeros(3), X, seam)


def bore_cutter(barrel: Barrel, seam: Vector) -> Solid:
    """Return what is bored away: the bore's profile, standing out of both faces, revolved once."""
    inner = bore_points(barrel)
    stations = [(-CLEAR_MM, inner[0][1]), *inner, (barrel.length_mm + CLEAR_MM, inner[-1][1])]
    rows = [(s, r, 0.0) for s, r in stations]
    profile = _profile(barrel, rows, [(-CLEAR_MM, 0.0), (barrel.length_mm + CLEAR_MM, 0.0)])
    return kernel.revolve(profile, np.zeros(3), X, seam)


def screw_cutters(barrel: Barrel, screws: tuple[SetScrew, ...]) -> list[Solid]:
    """Return a tap-drill cylinder for each set screw and, where asked, the cutter of its flat.

    The flat is sunk to the depth at which it has its full diameter on the round barrel.
    """
    out = []
    for s in screws:
        axis = frames.radial(s.clock_deg)
        centre = np.array([barrel.x(s.station_mm), 0.0, 0.0])
        top = barrel.outside_mm / 2 + CLEAR_MM
        out.append(kernel.cylinder(centre, axis, s.tap_drill_mm / 2, top))
        if s.flat_diameter_mm:
            floor = flat_floor_mm(barrel, s.station_mm, s.flat_diameter_mm)
            out.append(kernel.cylinder(centre + floor * axis, axis, s.flat_diameter_mm / 2, top - floor))
    return out


def flat_floor_mm(barrel: Barrel, station_mm: float, flat_diameter_mm: float) -> float:
    """Return the distance (mm) of a flat of full diameter from the shaft line."""
    half = flat_diameter_mm / 2
    along = np.linspace(-half, half, 41)
    radii = np.array([outside_radius_mm(barrel, station_mm + float(a)) for a in along])
    across = half**2 - along**2
    return float(np.sqrt(np.maximum(np.where(radii > 0, radii**2 - across, np.inf), 0.0)).min())


def slot_cutters(barrel: Barrel) -> list[Solid]:
    """Return a round-ended prism for each water slot."""
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
