"""The barrel's outside, bore and wall at a station, under a flat and at a set screw. Pure numpy, no kernel.

Every function broadcasts: a station may be an array, and so may any size of the barrel or screw (candidates are a
`Barrel` with arrays in its fields). Stations are mm from the aft face, positive forward; radii and walls are mm.
All of it follows exactly from the sizes, apart from `flat_floor_mm`, which looks at 41 places along the flat.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats, Num, Truth, as_field
from strutwright.models.spec import Barrel, BarrelEnd, Bearing, BoreStep, Land, SetScrew, Strut

SEAT_MM = 1.0  # a bore this near to a bearing is meant for it, whatever the fit
_ALONG_FLAT = np.linspace(-0.5, 0.5, 41)


# --- outside --------------------------------------------------------------------------------------------------------


def is_faired(barrel: Barrel, end: BarrelEnd) -> Truth:
    """Return whether an end is really narrower than the parallel part.

    >>> barrel = shipped("harbour-launch").barrel
    >>> bool(is_faired(barrel, barrel.aft_end))
    True
    """
    if not end.kind.faired:
        return False
    return np.logical_and(np.asarray(end.length_mm) > 0, np.asarray(end.end_diameter_mm) < barrel.outside_mm)[()]


def parallel_part(barrel: Barrel) -> tuple[Num, Num]:
    """Return the stations (mm) between which the barrel has its full outside diameter.

    >>> [float(station) for station in parallel_part(shipped("harbour-launch").barrel)]  # 146 long, ends of 27 and 10
    [27.0, 136.0]
    """
    aft, forward = (np.where(is_faired(barrel, e), e.length_mm, 0.0)[()] for e in (barrel.aft_end, barrel.forward_end))
    low, high = aft, barrel.length_mm - forward
    for land, at_aft in zip(barrel.lands, _at_aft_end(barrel), strict=True):
        low = np.where(at_aft, np.maximum(low, land.to_station_mm), low)[()]
        high = np.where(at_aft, high, np.minimum(high, land.from_station_mm))[()]
    return low, high


def round_part(barrel: Barrel, station_mm: Num) -> tuple[Num, Num]:
    """Return the stations (mm) between which the outside has the one diameter that it has at a station: those of the
    parallel part, or of a straight land that the station lies on.

    >>> [float(station) for station in round_part(shipped("skeg-sleeve").barrel, 100.0)]  # 45 less a chamfer of 3
    [85.0, 127.0]
    """
    low, high = parallel_part(barrel)
    for land in barrel.lands[::-1]:  # where two meet the aft one counts
        over = np.logical_and(land.from_station_mm <= station_mm, station_mm <= land.to_station_mm)
        here = np.logical_and(over, land.aft_mm == land.forward_mm)
        low, high = np.where(here, land.from_station_mm, low)[()], np.where(here, land.to_station_mm, high)[()]
    return low, high


def _at_aft_end(barrel: Barrel) -> list[Truth]:
    """Whether each land reaches to the aft face, by itself or by others between."""
    found: list[Truth] = []
    reach: Num = 0.0
    at_aft: Truth = True
    for land in barrel.lands:
        at_aft = np.logical_and(at_aft, land.from_station_mm <= reach + 1e-6)[()]
        found.append(at_aft)
        reach = land.to_station_mm
    return found


def outside_radius_mm(barrel: Barrel, station_mm: Num) -> Num:
    """Return the outside radius (mm) at a station; past a face the radius of that end goes on.

    >>> float(outside_radius_mm(shipped("harbour-launch").barrel, 0.0))  # 56.3 / 2
    28.15
    """
    full = np.asarray(barrel.outside_mm) / 2
    radius = full + np.zeros_like(np.asarray(station_mm, dtype=float))
    for end, inset in ((barrel.aft_end, station_mm), (barrel.forward_end, barrel.length_mm - station_mm)):
        if not end.kind.faired:
            continue
        lost = end.kind.lost_mm(end.length_mm, full - np.asarray(end.end_diameter_mm) / 2, inset)
        radius = np.where(is_faired(barrel, end), np.minimum(radius, full - lost), radius)
    if barrel.lands:
        radius = _on_lands_mm(barrel, radius, np.asarray(station_mm, dtype=float))
    out: Num = radius[()]
    return out


def _on_lands_mm(barrel: Barrel, radius_mm: Floats, station_mm: Floats) -> Floats:
    """The outside radius where lands are too: at a corner the smaller one, past a face that of the face."""
    low, high = parallel_part(barrel)
    found: Floats = np.where((station_mm >= low) & (station_mm <= high), radius_mm, np.inf)
    for end, there in ((barrel.aft_end, station_mm <= low), (barrel.forward_end, station_mm >= high)):
        if end.kind.faired:
            faired = np.logical_and(there, is_faired(barrel, end))
            found = np.where(faired, np.minimum(found, radius_mm), found)
    for land in barrel.lands:
        first = np.where(land.from_station_mm <= 1e-6, -np.inf, land.from_station_mm)
        last = np.where(land.to_station_mm >= barrel.length_mm - 1e-6, np.inf, land.to_station_mm)
        share = np.clip((station_mm - land.from_station_mm) / (land.to_station_mm - land.from_station_mm), 0.0, 1.0)
        here = (land.aft_mm + share * (land.forward_mm - land.aft_mm)) / 2
        found = np.where((station_mm >= first) & (station_mm <= last), np.minimum(found, here), found)
    return found


def outside_rows(barrel: Barrel, count: int) -> tuple[Floats, Floats]:
    """Return stations (n,) and outside radii (n,), mm, from face to face: `count` places on each faired end.

    >>> stations, radii = outside_rows(shipped("harbour-launch").barrel, 2)
    >>> stations.tolist(), radii.round(3).tolist()
    ([0.0, 27.0, 136.0, 146.0], [28.15, 34.0, 34.0, 29.5])
    """
    aft, forward = (
        np.linspace(0.0, e.length_mm, count) if is_faired(barrel, e) else np.zeros(1)
        for e in (barrel.aft_end, barrel.forward_end)
    )
    lands = [s for land in barrel.lands for s in (land.from_station_mm, land.to_station_mm)]
    stations = np.unique(np.concatenate((aft, barrel.length_mm - forward, np.array(lands, dtype=float))))
    return stations, np.asarray(outside_radius_mm(barrel, stations))


def leaves_cylinder(base: Floats, step: Floats, radius_mm: float) -> tuple[Floats, NDArray[np.bool_]]:
    """Return (n,) the k at which lines base + k step, each (n, 3), leave a cylinder round the shaft line, mm, and which
    of them (n,) meet it at all; of the others k is that of the nearest place.

    >>> leaves_cylinder(np.zeros((1, 3)), np.array([(0.0, 0.0, 2.0)]), 24.0)[0].tolist()
    [12.0]
    """
    across, along = base[:, 1:], step[:, 1:]
    a, b = np.maximum(np.sum(along**2, axis=1), 1e-12), np.sum(across * along, axis=1)
    under = b * b - a * (np.sum(across**2, axis=1) - radius_mm**2)
    return (-b + np.sqrt(np.maximum(under, 0.0))) / a, under > 0.0


def on_barrel(barrel: Barrel, station_mm: Num) -> Truth:
    """Return whether a station lies between the faces, both included.

    >>> bool(on_barrel(shipped("canal-tender").barrel, 74.1))  # 74 long
    False
    """
    return np.logical_and(np.asarray(station_mm) >= 0, np.asarray(station_mm) <= barrel.length_mm)[()]


def _end_points(barrel: Barrel, end: BarrelEnd) -> list[tuple[float, float, float]]:
    """Return (distance from the face, radius, bulge) rows in mm from the face inward to the parallel part."""
    full, face = barrel.outside_mm / 2, end.end_diameter_mm / 2
    if not is_faired(barrel, end):
        return [(0.0, full, 0.0)]
    return [(0.0, face, -end.kind.bulge(end.length_mm, full - face)), (end.length_mm, full, 0.0)]


def _land_points(land: Land) -> list[tuple[float, float, float]]:
    return [(land.from_station_mm, land.aft_mm / 2, 0.0), (land.to_station_mm, land.forward_mm / 2, 0.0)]


def outside_chain(barrel: Barrel) -> list[tuple[float, float, float]]:
    """Return (station, radius, bulge) rows in mm along the outside from the aft face to the forward face.

    >>> [(station, round(radius, 3)) for station, radius, _ in outside_chain(shipped("harbour-launch").barrel)]
    [(0.0, 28.15), (27.0, 34.0), (136.0, 34.0), (146.0, 29.5)]
    """
    full_mm = barrel.outside_mm / 2
    aft = _end_points(barrel, barrel.aft_end)
    fore = _end_points(barrel, barrel.forward_end)
    reaches = zip(barrel.lands, _at_aft_end(barrel), strict=True)
    at_aft = [land for land, there in reaches if there]
    if at_aft:
        aft = [p for land in at_aft for p in _land_points(land)] + [(at_aft[-1].to_station_mm, full_mm, 0.0)]
    rows = list(aft)
    at_fore = [land for land in barrel.lands if land not in at_aft]
    if at_fore:
        start = at_fore[0].from_station_mm
        rows.append((start, full_mm, 0.0))
        rows += [p for land in at_fore for p in _land_points(land)]
        fore = []
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


# --- bore -----------------------------------------------------------------------------------------------------------


def bore_points(barrel: Barrel) -> list[tuple[float, float]]:
    """Return (station, radius) points in mm of the bore from the aft face to the forward face, lead-ins included.

    Where two steps overlap the later one counts.

    >>> [(station, round(radius, 3)) for station, radius in bore_points(shipped("canal-tender").barrel)]
    [(0.0, 16.728), (2.0, 16.0), (73.0, 16.0), (74.0, 17.0)]
    """
    cuts = sorted(
        {0.0, barrel.length_mm}
        | {s for step in barrel.steps for s in (step.from_station_mm, step.to_station_mm) if 0 < s < barrel.length_mm}
    )
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


def bore_radius_mm(barrel: Barrel, station_mm: Num, half_mm: Num = 0.0) -> Num:
    """Return the bore's radius (mm) at a station, steps and lead-ins included: the wider one where two meet.

    half_mm: the widest within that distance fore and aft of the station.

    >>> round(float(bore_radius_mm(shipped("canal-tender").barrel, 74.0)), 6)  # 16 and a chamfer of 1 at 45 degrees
    17.0
    """
    length = barrel.length_mm
    low = np.clip(np.asarray(station_mm, dtype=float) - half_mm, 0.0, length)
    high = np.clip(np.asarray(station_mm, dtype=float) + half_mm, 0.0, length)
    # As `bore_points`: the latest step over a place counts. The places in question are the two ends, each looked at
    # on both of its sides, and the steps' own ends in between.
    places = [(low, -1), (low, 1), (high, -1), (high, 1)]
    places += [
        (np.clip(at, low, high), side)
        for step in barrel.steps
        for at in (step.from_station_mm, step.to_station_mm)
        for side in (-1, 1)
    ]
    radius: Num = 0.0
    for at, side in places:
        side_there = np.where(at <= 0.0, 1, np.where(at >= length, -1, side))  # nothing lies beyond a face
        here: Num = np.asarray(barrel.bore_mm) / 2
        for step in barrel.steps:
            over = np.where(
                side_there > 0,
                (at >= step.from_station_mm) & (at < step.to_station_mm),
                (at > step.from_station_mm) & (at <= step.to_station_mm),
            )
            here = np.where(over, step.diameter_mm / 2, here)
        radius = np.maximum(radius, here)
    for lead, near, forward in ((barrel.lead_in_aft, low, False), (barrel.lead_in_forward, length - high, True)):
        if lead.length_mm <= 0:
            continue
        base: Num = np.asarray(barrel.bore_mm) / 2
        for step in barrel.steps:
            reaches = step.to_station_mm >= length - 1e-6 if forward else step.from_station_mm <= 1e-6
            base = np.where(reaches, step.diameter_mm / 2, base)
        cone = base + (lead.length_mm - near) * math.tan(math.radians(lead.angle_deg))
        radius = np.where(near < lead.length_mm, np.maximum(radius, cone), radius)
    return np.asarray(radius)[()]


def seat_mm(barrel: Barrel, station_mm: Num) -> Num:
    """Return the bore's diameter (mm) at a station, chamfers left out; reliefs count as the bore round them.

    >>> barrel = shipped("refit-two-bores").barrel
    >>> float(seat_mm(barrel, 60.0)), float(seat_mm(barrel, 190.0))
    (80.0, 75.0)
    """
    seat: Floats = np.asarray(barrel.bore_mm, dtype=float)
    for step in barrel.steps:
        if not step.use.clear:
            here = np.logical_and(np.asarray(station_mm) >= step.from_station_mm, station_mm <= step.to_station_mm)
            seat = np.where(here, step.diameter_mm, seat)
    return seat[()]


def bearing_seat_mm(barrel: Barrel, bearing: Bearing) -> Num:
    """Return the diameter (mm) of the bore that carries a bearing: the one at its middle.

    >>> strut = shipped("refit-two-bores")
    >>> [float(bearing_seat_mm(strut.barrel, bearing)) for bearing in strut.bearings]
    [80.0, 75.0]
    """
    return seat_mm(barrel, bearing.aft_station_mm + bearing.length_mm / 2)


def seat_step(barrel: Barrel, bearing: Bearing) -> BoreStep | None:
    """Return the step of the bore that carries a bearing, None where the bore itself does.

    >>> strut = shipped("refit-two-bores")
    >>> seat_step(strut.barrel, strut.bearings[0]).kind, seat_step(strut.barrel, strut.bearings[1])
    ('counterbore', None)
    """
    middle = bearing.aft_station_mm + bearing.length_mm / 2
    on = [s for s in barrel.steps if not s.use.clear and s.from_station_mm <= middle <= s.to_station_mm]
    return on[-1] if on else None


def seat_limits_mm(barrel: Barrel, bearing: Bearing) -> tuple[float, float]:
    """Return the lower and the upper limit (mm, above its nominal size) of the bore that carries a bearing.

    >>> strut = shipped("refit-two-bores")
    >>> [seat_limits_mm(strut.barrel, bearing) for bearing in strut.bearings]
    [(-0.001, 0.029), (-0.011, 0.019)]
    """
    middle = bearing.aft_station_mm + bearing.length_mm / 2
    if all(np.ndim(x) == 0 for x in (middle, *(x for s in barrel.steps for x in (s.from_station_mm, s.to_station_mm)))):
        step = seat_step(barrel, bearing)
        if step is not None and step.limits_mm is not None:
            return step.limits_mm
        return barrel.bore_lower_mm, barrel.bore_upper_mm
    lower: Num = barrel.bore_lower_mm
    upper: Num = barrel.bore_upper_mm
    for s in barrel.steps:
        if not s.use.clear:
            here = np.logical_and(s.from_station_mm <= middle, middle <= s.to_station_mm)
            own = (barrel.bore_lower_mm, barrel.bore_upper_mm) if s.limits_mm is None else s.limits_mm
            lower, upper = np.where(here, own[0], lower), np.where(here, own[1], upper)
    return as_field(lower), as_field(upper)


def seats_on(step: BoreStep, bearing: Bearing) -> bool:
    """Return whether a bearing stands whole on a step of the bore of its own size.

    >>> strut = shipped("refit-two-bores")
    >>> [seats_on(strut.barrel.steps[0], bearing) for bearing in strut.bearings]
    [True, False]
    """
    return (
        step.from_station_mm <= bearing.aft_station_mm + 1e-9
        and step.to_station_mm >= bearing.forward_station_mm - 1e-9
        and abs(step.diameter_mm - bearing.outside_mm) < SEAT_MM
    )


# --- wall -----------------------------------------------------------------------------------------------------------


def wall_mm(barrel: Barrel, station_mm: Num) -> Num:
    """Return the wall (mm) at a station: from the bore, steps and lead-ins included, to the outside.

    >>> float(wall_mm(shipped("canal-tender").barrel, 37.0))
    8.0
    """
    return outside_radius_mm(barrel, station_mm) - bore_radius_mm(barrel, station_mm)


def flat_floor_mm(barrel: Barrel, station_mm: Num, flat_diameter_mm: Num) -> Num:
    """Return the distance (mm) from the shaft line of a flat sunk until it has its full diameter on the outside.

    What lies past a face is left out. Infinite for a flat that stands clear of the barrel.

    >>> round(float(flat_floor_mm(shipped("canal-tender").barrel, 37.0, 14.0)), 3)  # sqrt(24^2 - 7^2)
    22.956
    """
    sizes = (station_mm, flat_diameter_mm, barrel.length_mm, barrel.outside_mm)
    at_ends = [n for e in (barrel.aft_end, barrel.forward_end) for n in (e.length_mm, e.end_diameter_mm)]
    lands = [n for land in barrel.lands for n in (land.from_station_mm, land.to_station_mm, land.aft_mm)]
    alone = not any(map(np.ndim, (*sizes, *at_ends, *lands, *(land.forward_mm for land in barrel.lands))))
    # One flat is looked at in one go; arrays place by place, which takes far less memory.
    floor: Num = np.inf
    for share in [_ALONG_FLAT] if alone else _ALONG_FLAT:
        # A place past a face stands for the face itself, where a fairing is lowest.
        at = np.clip(station_mm + flat_diameter_mm * share, 0.0, barrel.length_mm)
        half, along = flat_diameter_mm / 2, at - station_mm
        height = outside_radius_mm(barrel, at) ** 2 - (half**2 - along**2)
        height = np.where(np.abs(along) <= half * (1 + 1e-9), height, np.inf)  # its own rim, in spite of rounding
        floor = np.minimum(floor, height.min() if alone else height)
    return np.sqrt(np.maximum(floor, 0.0))[()]


@dataclass(frozen=True, slots=True)
class ScrewWall:
    """The wall that one set screw goes through, mm from the shaft line; floats or arrays.

    skin_mm: the outside, its least over the thread's width fore and aft. top_mm: where the tapped hole begins, the
    floor of its spot face or the skin. bore_mm: the metal's inner side, the widest over the thread's width. seat_mm:
    the seat of the bearing's shell.
    """

    skin_mm: Num
    top_mm: Num
    bore_mm: Num
    seat_mm: Num

    @property
    def wall_mm(self) -> Num:
        """Depth of the tapped hole: metal for the thread. Zero or less where the hole's own flat breaks through."""
        return self.top_mm - self.bore_mm

    @property
    def to_shell_mm(self) -> Num:
        """From the top of the tapped hole to the bearing's shell: over a relief more than the wall."""
        return self.top_mm - self.seat_mm


def screw_wall(barrel: Barrel, screw: SetScrew, bearing: Bearing) -> ScrewWall:
    """Return the wall at a set screw, under its spot face, on the bore, step, recess and fairing that it stands over.

    bearing: the one it holds. A screw off the barrel has no wall: its skin is 0.

    >>> strut = shipped("coastal-pair")
    >>> wall = screw_wall(strut.barrel, strut.set_screws[0], strut.bearings[0])
    >>> round(float(wall.wall_mm), 3)  # sqrt(48^2 - 8^2) - 35
    12.329
    """
    half = screw.major_mm / 2
    skin = np.minimum(
        outside_radius_mm(barrel, screw.station_mm - half), outside_radius_mm(barrel, screw.station_mm + half)
    )
    skin = np.where(on_barrel(barrel, screw.station_mm), skin, 0.0)[()]
    top = skin
    if screw.flat_diameter_mm:
        # A flat as wide as the barrel cannot be cut; the checks say so, and the skin is taken.
        fits = np.logical_and(skin > 0, np.asarray(screw.flat_diameter_mm) <= barrel.outside_mm)
        floor = flat_floor_mm(barrel, screw.station_mm, screw.flat_diameter_mm)
        top = np.where(fits, np.minimum(skin, floor), skin)[()]
    return ScrewWall(skin, top, bore_radius_mm(barrel, screw.station_mm, half), bearing_seat_mm(barrel, bearing) / 2)


def screw_wall_of(strut: Strut, screw: SetScrew) -> ScrewWall:
    """Return the wall at a set screw of a strut.

    >>> strut = shipped("coastal-pair")
    >>> float(screw_wall_of(strut, strut.set_screws[0]).skin_mm)  # 96 / 2
    48.0
    """
    return screw_wall(strut.barrel, screw, strut.bearings[screw.bearing_index])
