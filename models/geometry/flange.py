"""The shapes of a flanged housing that follow from its sizes: half sections of spigot, root and bead, and ribs."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TypeVar

import numpy as np

from strutwright.models import frames
from strutwright.models.geometry.barrel import bore_points, outside_chain, parallel_part
from strutwright.models.outline import Outline
from strutwright.models.spec import Barrel, Strut
from strutwright.models.spec_flange import Flange, FlangePlane, Spigot

Row = TypeVar("Row", tuple[float, float], tuple[float, float, float])
BURIED_MM = 0.5
"""How far a ring reaches into what it is joined to."""
BARB_SHARE = 2.5
"""Length of a barb's slope over its height; common practice, no source."""


def off_square_deg(plane: FlangePlane) -> float:
    """Return the angle between the shaft and the normal of a bedding face, degrees.

    >>> off_square_deg(shipped("deadwood-cutter").flange.plane)  # it stands square
    0.0
    """
    return math.degrees(math.acos(min(1.0, abs(float(frames.face_axes(plane).n[0])))))


def slant_mm(plane: FlangePlane, radius_mm: float) -> float:
    """Return how far along the shaft a bedding face runs off, mm, at a distance from the shaft line.

    >>> round(slant_mm(shipped("tube-end-pair").flange.plane, 100.0), 1)  # 100 x tan 8.54
    15.0
    """
    return radius_mm * math.tan(math.radians(off_square_deg(plane)))


def ends_in_face(plane: FlangePlane, barrel: Barrel) -> bool:
    """Return whether a barrel is cut off by the bedding face; else it goes on through.

    >>> cutter = shipped("deadwood-cutter")
    >>> ends_in_face(cutter.flange.plane, cutter.barrel)
    True
    """
    ahead = barrel.length_mm - plane.station_mm if plane.looks == "forward" else plane.station_mm
    return ahead <= slant_mm(plane, barrel.outside_mm / 2) + 1e-9


def _toward(flange: Flange) -> float:
    """+1 where the bedding face looks forward along x, -1 where it looks aft."""
    return 1.0 if flange.plane.looks == "forward" else -1.0


def free_stations_mm(flange: Flange, barrel: Barrel) -> tuple[float, float]:
    """Return the stations (mm) between which the free face leaves the barrel's outside, the aftmost first.

    >>> cutter = shipped("deadwood-cutter")
    >>> free_stations_mm(cutter.flange, cutter.barrel)  # 14 abaft the forward face of 170
    (156.0, 156.0)
    """
    run = slant_mm(flange.plane, barrel.outside_mm / 2)
    thick = flange.thickness_mm / math.cos(math.radians(off_square_deg(flange.plane)))
    free = flange.plane.station_mm - _toward(flange) * thick
    return free - run, free + run


def stands_mm(flange: Flange, barrel: Barrel) -> tuple[float, float]:
    """Return the stations (mm) between which flange and root stand on the barrel, the aftmost first.

    >>> cutter = shipped("deadwood-cutter")
    >>> [round(station, 6) for station in stands_mm(cutter.flange, cutter.barrel)]  # a fillet of 6 abaft it
    [150.0, 170.0]
    """
    low, high = free_stations_mm(flange, barrel)
    reach = flange.root_mm / math.tan((math.pi / 2 - math.radians(off_square_deg(flange.plane))) / 2)
    run, station = slant_mm(flange.plane, barrel.outside_mm / 2), flange.plane.station_mm
    return (low - reach, station + run) if flange.plane.looks == "forward" else (station - run, high + reach)


def face_x_mm(flange: Flange, barrel: Barrel, deep_mm: float, clock_deg: float, radius_mm: float) -> float:
    """Return x (mm) of a plane so deep under the bedding face, at a clock angle and a distance from the shaft line.

    >>> cutter = shipped("deadwood-cutter")
    >>> face_x_mm(cutter.flange, cutter.barrel, 14.0, 90.0, 50.0)  # 170 / 2 - 14
    71.0
    """
    axes = frames.flange_axes(flange, barrel)
    at = radius_mm * frames.radial(clock_deg)
    return float(axes.origin[0] - (deep_mm + float(at @ axes.n)) / axes.n[0])


def root_room_mm(flange: Flange, barrel: Barrel) -> float:
    """Return the largest fillet (mm) that has its place on the barrel's parallel part and on the flange.

    On a slant the joint opens to less than a right angle at one side: there a ball touches farther from the corner.

    >>> cutter = shipped("deadwood-cutter")
    >>> round(root_room_mm(cutter.flange, cutter.barrel), 3)  # (176 - 67) / 2
    54.5
    """
    sign, slant = _toward(flange), math.radians(off_square_deg(flange.plane))
    start, stop = parallel_part(barrel)
    radius, (low, high) = barrel.outside_mm / 2, free_stations_mm(flange, barrel)
    along = low - float(start) if sign > 0 else float(stop) - high
    edge = float(flange.outline.distance_to_boundary(np.zeros((1, 2)))[0]) - radius / math.cos(slant)
    reach = 1.0 / math.tan((math.pi / 2 - slant) / 2)
    return max(0.0, min(along, edge) / reach)


def shear(flange: Flange) -> tuple[float, float]:
    """Return how far x runs on along the bedding face for y and for z: a square flange's rings then slant as it.

    >>> shear(shipped("deadwood-cutter").flange)
    (-0.0, -0.0)
    """
    n = frames.face_axes(flange.plane).n
    return float(-n[1] / n[0]), float(-n[2] / n[0])


def root_profile(flange: Flange, barrel: Barrel, radius_mm: float) -> Outline:
    """Return the half section (x, radius) of the fillet's ring, a little into barrel and flange, before `shear`.

    >>> cutter = shipped("deadwood-cutter")
    >>> round(root_profile(cutter.flange, cutter.barrel, 6.0).bounding_box().ymax, 3)  # 33.5 + 6
    39.5
    """
    sign, r = _toward(flange), barrel.outside_mm / 2
    x = face_x_mm(flange, barrel, flange.thickness_mm, 0.0, 0.0)
    quarter = math.tan(math.pi / 8)
    rows = [
        (x + sign * BURIED_MM, r - BURIED_MM, 0.0),
        (x + sign * BURIED_MM, r + radius_mm, 0.0),
        (x, r + radius_mm, -quarter * sign),
        (x - sign * radius_mm, r, 0.0),
        (x - sign * radius_mm, r - BURIED_MM, 0.0),
    ]
    return Outline(np.array(rows))


def bead_profile(flange: Flange, barrel: Barrel, leg_mm: float) -> Outline:
    """Return the half section (x, radius) of the bead between barrel and free face, before `shear`.

    >>> pair = shipped("tube-end-pair")
    >>> bead_profile(pair.flange, pair.barrel, 8.0).area_mm2()  # 8 x 8 / 2
    32.0
    """
    sign, r = _toward(flange), barrel.outside_mm / 2
    x = face_x_mm(flange, barrel, flange.thickness_mm, 0.0, 0.0)
    return Outline(np.array([(x, r, 0.0), (x, r + leg_mm, 0.0), (x - sign * leg_mm, r, 0.0)]))


def barb_length_mm(spigot: Spigot) -> float:
    """Return the length of one barb along the spigot, mm.

    >>> barb_length_mm(shipped("tube-end-pair").flange.spigot)  # 2.5 x 1.2
    3.0
    """
    return BARB_SHARE * spigot.barb_height_mm


def spigot_profile(flange: Flange, barrel: Barrel) -> Outline:
    """Return the half section (x, radius) of the spigot, its bore filled, from well within the flange to its end.

    Barbs stand at the free end, each sloping toward it.

    >>> cutter = shipped("deadwood-cutter")
    >>> round(spigot_profile(cutter.flange, cutter.barrel).bounding_box().xmax, 3)  # 85 + 40
    125.0
    """
    s = flange.spigot
    assert s is not None
    sign, r = _toward(flange), s.outside_mm / 2
    x0 = barrel.x(flange.plane.station_mm)
    inner = x0 - sign * (
        min(flange.thickness_mm, 4.0) / 2 if flange.plane.square else slant_mm(flange.plane, r) + flange.thickness_mm
    )
    end = x0 + sign * s.length_mm
    rows = [(inner, 0.0, 0.0), (inner, r, 0.0)]
    pitch = barb_length_mm(s) * 1.5
    for k in range(s.barbs)[::-1]:
        tip = end - sign * (k * pitch)
        root = tip - sign * barb_length_mm(s)
        rows += [(root, r, 0.0), (root, r + s.barb_height_mm, 0.0), (tip, r, 0.0)]
    if not s.barbs:
        rows.append((end, r, 0.0))
    rows.append((end, 0.0, 0.0))
    return Outline(np.array(rows))


def through_rows(flange: Flange, barrel: Barrel) -> Outline | None:
    """Return the half section (x, radius) of what is bored away beyond the barrel, through flange and spigot; None
    where the barrel goes on through the flange and nothing stands on its end.

    >>> cutter = shipped("deadwood-cutter")
    >>> round(through_rows(cutter.flange, cutter.barrel).bounding_box().ymax, 3)  # half of 45
    22.5
    """
    s, sign = flange.spigot, _toward(flange)
    points = bore_points(barrel)
    plain = points[-1][1] if sign > 0 else points[0][1]
    end_station = barrel.length_mm if sign > 0 else 0.0
    run = slant_mm(flange.plane, barrel.outside_mm / 2)
    if s is None:
        if flange.plane.square or not ends_in_face(flange.plane, barrel):
            return None
        radius, stop = plain, flange.plane.station_mm + sign * (run + 5.0)
    else:
        radius, stop = s.bore_mm / 2, flange.plane.station_mm + sign * (s.length_mm + 5.0)
    x0, x1 = barrel.x(end_station - sign * BURIED_MM), barrel.x(stop)
    return Outline(np.array([(x0, 0.0, 0.0), (x0, radius, 0.0), (x1, radius, 0.0), (x1, 0.0, 0.0)]))


def rib_profile(flange: Flange, barrel: Barrel, clock_deg: float, more_mm: float = 0.0) -> list[tuple[float, float]]:
    """Return the corners (x, distance from the shaft line) of a rib, a little into barrel and flange; of one that is
    more_mm thicker on each side.

    Its toe on the barrel and its end on the flange are as high as half its thickness, so that neither runs out sharp.

    >>> pair = shipped("tube-end-pair")
    >>> len(rib_profile(pair.flange, pair.barrel, 0.0))
    5
    """
    ribs, sign, r = flange.ribs, _toward(flange), barrel.outside_mm / 2
    assert ribs is not None
    toe = min(ribs.thickness_mm / 2, ribs.out_mm / 3, ribs.along_mm / 3)
    half = ribs.thickness_mm / 2 + more_mm
    low = math.sqrt(max(r * r - half * half, 0.25 * r * r)) - BURIED_MM
    deep = flange.thickness_mm / 2
    inside = [(face_x_mm(flange, barrel, deep, clock_deg, at), at) for at in (low, r + ribs.out_mm)]
    free_out = face_x_mm(flange, barrel, flange.thickness_mm, clock_deg, r + ribs.out_mm)
    free_in = face_x_mm(flange, barrel, flange.thickness_mm, clock_deg, r)
    far = free_in - sign * ribs.along_mm
    return [*inside, (free_out - sign * toe, r + ribs.out_mm), (far, r + toe), (far, low)]


def spigot_end_mm(flange: Flange, barrel: Barrel) -> float | None:
    """Return x (mm) of the spigot's free end; None without one.

    >>> strut = shipped("deadwood-cutter")  # a barrel of 170, half of it and the spigot of 40
    >>> spigot_end_mm(strut.flange, strut.barrel)
    125.0
    """
    s = flange.spigot
    return None if s is None else barrel.x(flange.plane.station_mm) + _toward(flange) * s.length_mm


def half_section(strut: Strut) -> tuple[list[tuple[float, float, float]], list[tuple[float, float]]]:
    """Return a barrel's outside (x, radius, bulge) and bore (x, radius), mm, aft to forward, with the spigot on it.

    >>> outside, bore = half_section(shipped("deadwood-cutter"))  # the spigot ends 40 beyond a barrel of 170
    >>> outside[-1], bore[-1]
    ((125.0, 30.75, 0.0), (125.0, 22.5))
    """
    barrel, flange = strut.barrel, strut.flange
    outside = [(barrel.x(s), r, bulge) for s, r, bulge in outside_chain(barrel)]
    bore = [(barrel.x(s), r) for s, r in bore_points(barrel)]
    end = None if flange is None else spigot_end_mm(flange, barrel)
    if flange is None or flange.spigot is None or end is None:
        return outside, bore
    forward = flange.plane.looks == "forward"
    near = outside[-1 if forward else 0][0]
    rows = [(float(x), float(r), 0.0) for x, r, _ in spigot_profile(flange, barrel).vertices[2:-1]]
    more = [(near, flange.spigot.outside_mm / 2, 0.0), *rows]
    inside = [(near, flange.spigot.bore_mm / 2), (end, flange.spigot.bore_mm / 2)]
    outside[-1] = (*outside[-1][:2], 0.0)
    if forward:
        return _apart([*outside, *more]), _apart([*bore, *inside])
    return _apart([*more[::-1], *outside]), _apart([*inside[::-1], *bore])


def _apart(rows: list[Row]) -> list[Row]:
    """Rows without those that fall on the one before."""
    return [row for k, row in enumerate(rows) if not k or math.dist(row[:2], rows[k - 1][:2]) > 1e-6]


def tube_length_mm(strut: Strut) -> float:
    """Return the length (mm) of a housing's barrel with the spigot that is one tube with it.

    >>> tube_length_mm(shipped("tube-end-pair")), tube_length_mm(shipped("canal-tender"))  # 200 and a spigot of 80; 74
    (280.0, 74.0)
    """
    flange, barrel = strut.flange, strut.barrel
    end = None if flange is None else spigot_end_mm(flange, barrel)
    half = barrel.length_mm / 2
    return 2 * half if end is None else half + max(half, abs(end))


def stock_aside_mm(flange: Flange, face_mm: float) -> tuple[float, float]:
    """Return how far, up and to port in the face (mm), the shaft line meets a bedding face with so much stock from
    where it meets the finished one: nothing where the flange stands square.

    >>> stock_aside_mm(shipped("deadwood-cutter").flange, 5.0)
    (0.0, 0.0)
    """
    axes = frames.face_axes(flange.plane)
    along = _toward(flange) * face_mm / abs(float(axes.n[0]))
    return along * float(axes.u[0]) + 0.0, along * float(axes.v[0]) + 0.0


def with_stock(flange: Flange, face_mm: float, turned_mm: float) -> Flange:
    """Return the flange of the rough casting: face_mm on the bedding face, turned_mm on the spigot's outside and end.
    Barbs and recess are cut afterwards.

    >>> rough = with_stock(shipped("deadwood-cutter").flange, 5.0, 4.0)  # 14 thick; a spigot of 61.5 and 40 long
    >>> rough.thickness_mm, rough.spigot.outside_mm, rough.spigot.length_mm
    (19.0, 69.5, 39.0)
    """
    along = face_mm / abs(float(frames.face_axes(flange.plane).n[0]))
    up, port = stock_aside_mm(flange, face_mm)
    s = flange.spigot
    if s is not None:
        long, wide = s.length_mm - along + turned_mm, s.outside_mm + 2 * turned_mm
        s = replace(s, length_mm=long, outside_mm=wide, barbs=0, barb_height_mm=0.0)
    return replace(
        flange,
        plane=replace(flange.plane, station_mm=flange.plane.station_mm + _toward(flange) * along),
        thickness_mm=flange.thickness_mm + face_mm,
        # Square to the face it stays where it is; its zero does not.
        outline=flange.outline.translate(-up, -port) if up or port else flange.outline,
        holes=tuple(replace(h, u_mm=h.u_mm - up, v_mm=h.v_mm - port) for h in flange.holes),
        spigot=s,
        gasket=None,
    )
