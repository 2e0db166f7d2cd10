"""The barrel of a file that was read back: bore and outside, wall by rays, set screws."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from strutwright.exporters.files.mesh import ANGLE_RAD, MeshError, triangles
from strutwright.exporters.inspect.agreement import (
    ANGLE_TOL_DEG,
    GROUP,
    LENGTH_TOL_MM,
    STOP,
    angle,
    failed,
    length,
    worst,
)
from strutwright.exporters.inspect.step_reader import SAME_LINE_MM, Read, Round
from strutwright.models import frames
from strutwright.models.finding import Finding, not_checked
from strutwright.models.frames import Vector
from strutwright.models.geometry.barrel import parallel_part, screw_wall_of
from strutwright.models.geometry.flange import ends_in_face, free_stations_mm, off_square_deg
from strutwright.models.spec import Strut
from strutwright.models.spec_hanger import Cap
from strutwright.params.words import deg, mm, say

WALL_TOL_MM = 0.03
"""The length tolerance and the chord error of the mesh."""
WALL_CHORD_MM = 0.02
NEAR_MM = 10.0
X_AXIS = np.array([1.0, 0.0, 0.0])


def _coaxial(read: Read, hollow: bool, split: bool = False) -> list[Round]:
    """Cylinders about the shaft line, or nearly."""
    return [
        r
        for r in read.rounds
        if r.half_angle_rad == 0.0
        and r.hollow == hollow
        and abs(r.axis @ X_AXIS) > 0.99
        and r.off(np.zeros(3)) < NEAR_MM
        and (r.whole or split)
    ]


def _split(strut: Strut) -> bool:
    return strut.hanger is not None and strut.hanger.cap is not None


def _stations(r: Round, strut: Strut) -> tuple[float, float]:
    ends = sorted(float((r.point + k * r.axis)[0]) + strut.barrel.length_mm / 2 for k in (r.low, r.high))
    return ends[0], ends[1]


def _in_barrel_mm(r: Round, strut: Strut) -> float:
    low, high = _stations(r, strut)
    return min(high, strut.barrel.length_mm) - max(low, 0.0)


def barrel_findings(read: Read, strut: Strut) -> tuple[Round | None, list[Finding]]:
    """Return the bore as it was found, and the findings of everything on the barrel."""
    bore, out = _bore(read, strut)
    if bore is not None:
        mesh = _barrel_mesh(read, bore)
        out += [*_wall(strut, mesh), *_screws(read, strut, bore), *_screw_walls(strut, mesh)]
    return bore, out


def _bore(read: Read, strut: Strut) -> tuple[Round | None, list[Finding]]:
    around = _coaxial(read, hollow=True, split=_split(strut))
    if not around:
        return None, [failed("bore_missing", "bore: no cylinder about the shaft line in the file", STOP, "barrel.bore")]
    # The bearing's own shell is smaller than what it sits in; what stands round the barrel of a housing is wider.
    others = ("flange", "rib", "weld", "cap", "foot", "web")
    beside = [r for r in around if not read.parts[r.part].name.startswith(others)]
    home = max(beside or around, key=lambda r: r.radius_mm).part
    around, steps = _steps([r for r in around if r.part == home], strut)
    if not around:
        return None, [*steps, failed("bore_missing", "bore: not found between its steps", "", "barrel.bore")]
    # A long spigot has a bore of its own beyond the barrel.
    bore, half = max(around, key=lambda r: _in_barrel_mm(r, strut)), strut.barrel.length_mm / 2
    off = max(bore.off(np.array([x, 0.0, 0.0])) for x in (-half, half))
    return bore, [
        length("bore_diameter", "diameter of the bore", 2 * bore.radius_mm, strut.barrel.bore_mm, "barrel.bore"),
        length("bore_place", "axis of the bore from the shaft line at the barrel's ends", off, 0.0, "barrel"),
        *steps,
        _outside([r for r in _coaxial(read, hollow=False, split=_split(strut)) if r.part == home], strut),
        *_end_faces(read, bore, strut),
    ]


def _steps(around: list[Round], strut: Strut) -> tuple[list[Round], list[Finding]]:
    """Return the cylinders about the shaft line that belong to no step of the bore, and the findings of the steps."""
    out = []
    for step in strut.barrel.steps:
        fits = []
        for r in around:
            low, high = _stations(r, strut)
            if low > step.from_station_mm - 1.0 and high < step.to_station_mm + 1.0:
                fits.append(r)
        what = say("{step} of the bore at station {station}", step=step.kind, station=mm(step.from_station_mm))
        if not fits:
            out.append(failed("bore_step_missing", say("{what}: not found", what=what), STOP, "barrel"))
            continue
        near = min(fits, key=lambda r: abs(2 * r.radius_mm - step.diameter_mm))
        # Another step within it may have left more than one length of it.
        parts = [r for r in fits if abs(r.radius_mm - near.radius_mm) < SAME_LINE_MM]
        around = [r for r in around if r not in parts]
        across = say("diameter of the {what}", what=what)
        out.append(length("bore_step", across, 2 * near.radius_mm, step.diameter_mm, "barrel"))
    return around, out


def _outside(found: list[Round], strut: Strut) -> Finding:
    code, what, at = "barrel_outside", "outside diameter of the barrel", "barrel.outside_diameter"
    if not found:
        return not_checked(code, what, "no parallel part was found", parameter=at, group=GROUP)
    asked = strut.barrel.outside_mm
    # Round the barrel of a housing there may be its flange and its spigot.
    bare = strut.flange is None and not strut.barrel.lands
    across = max(found, key=lambda r: r.radius_mm if bare else -abs(2 * r.radius_mm - asked)).radius_mm
    return length(code, what, 2 * across, asked, at)


def _free_ends(strut: Strut) -> tuple[str, ...]:
    """The ends of the barrel that have a face of their own: not that which is a flange's face, or carries a spigot."""
    flange = strut.flange
    if flange is None or not (flange.spigot is not None or ends_in_face(flange.plane, strut.barrel)):
        return "aft", "forward"
    return ("aft",) if flange.plane.looks == "forward" else ("forward",)


def _parallel(strut: Strut) -> tuple[float, float]:
    """Stations between which the wall can be measured: clear of chamfers, fairings, other outsides, holes along the
    shaft, and a flange with its root."""
    barrel, flange = strut.barrel, strut.flange
    first, last = parallel_part(barrel)
    low = max(float(first), barrel.lead_in_aft.length_mm) + 1.0
    high = min(float(last), barrel.length_mm - barrel.lead_in_forward.length_mm) - 1.0
    if strut.let_in is not None and strut.let_in.drawing is not None:
        deep = strut.let_in.drawing.drilled_mm + 1.0
        return (max(low, deep), high) if strut.let_in.inward > 0 else (low, min(high, barrel.length_mm - deep))
    if flange is None:
        return low, high
    first, last = free_stations_mm(flange, barrel)
    ribs = 0.0 if flange.ribs is None else flange.ribs.along_mm
    root = max(flange.root_mm / math.tan(math.radians(90.0 - off_square_deg(flange.plane)) / 2), ribs) + 1.0
    return (low, min(high, first - root)) if flange.plane.looks == "forward" else (max(low, last + root), high)


def _end_faces(read: Read, bore: Round, strut: Strut) -> Iterator[Finding]:
    ends = [
        float(f.point[0])
        for f in read.flats
        if f.part == bore.part and abs(f.normal @ X_AXIS) > 1 - 1e-9 and bore.off(f.point) < strut.barrel.outside_mm / 2
    ]
    free = _free_ends(strut)
    for name, x in (("aft", -strut.barrel.length_mm / 2), ("forward", strut.barrel.length_mm / 2)):
        if name not in free:
            continue
        code, at = f"barrel_{name}_face", "barrel.length"
        if ends:
            nearest = min(ends, key=lambda found: abs(found - x))
            yield length(code, f"{name} face of the barrel from mid-length", nearest, x, at)
        else:
            yield failed(code, f"barrel: no {name} face square to the shaft line found", "", at)


def _barrel_mesh(read: Read, bore: Round) -> Any:
    """A mesh of the barrel's part, or the MeshError that says why there is none."""
    try:
        return triangles(read.parts[bore.part].shape, read.parts[bore.part].name, WALL_CHORD_MM, ANGLE_RAD)
    except MeshError as error:
        return error


def _walls_along(strut: Strut, mesh: Any, rays: Sequence[tuple[float, float]]) -> list[float]:
    """The wall (mm) that each ray from the shaft line meets first; nan where it meets none.

    rays: station (mm) and clock (degrees).
    """
    origins = np.array([[strut.barrel.x(s), 0.0, 0.0] for s, _ in rays])
    ways = np.array([frames.radial(c) for _, c in rays])
    places, number, _ = mesh.ray.intersects_location(origins, ways, multiple_hits=True)
    distance = np.linalg.norm(np.reshape(places, (-1, 3)) - origins[number], axis=1)
    hits = [np.unique(np.round(distance[number == k], 6)) for k in range(len(rays))]
    return [float(h[1] - h[0]) if len(h) >= 2 else math.nan for h in hits]


def _wall(strut: Strut, mesh: Any) -> list[Finding]:
    """Shoot rays from the shaft line through a mesh of the barrel's part, clear of ends, steps, holes and slots."""
    barrel = strut.barrel
    low, high = _parallel(strut)
    stations = [
        s
        for s in np.linspace(low, high, 13)
        if low < high and not any(step.from_station_mm - 0.5 <= s <= step.to_station_mm + 0.5 for step in barrel.steps)
    ]
    # An odd start keeps the rays off the seams of the mesh.
    rays = [
        (float(s), float(c))
        for s, c in itertools.product(stations, 3.71 + np.arange(0.0, 360.0, 7.5))
        if not _over_opening(strut, float(s), float(c))
    ]
    what, parameter = "least wall of the barrel's parallel part by rays", "barrel.outside_diameter"
    if not rays:
        return [not_checked("wall", what, "the barrel has no parallel part", parameter=parameter, group=GROUP)]
    if isinstance(mesh, MeshError):
        return [failed("wall", f"{what}: {mesh.why}", mesh.advice, parameter)]
    walls = _walls_along(strut, mesh, rays)
    none = np.flatnonzero(np.isnan(walls))
    if none.size:
        s, c = rays[none[0]]
        gone = say("{what}: no wall at station {station}, clock {clock}", what=what, station=mm(s), clock=deg(c))
        return [failed("wall", gone, STOP, parameter)]
    least = int(np.argmin(walls))
    station, clock = rays[least]
    there = say("{what}, at station {station} and clock {clock}", what=what, station=mm(station), clock=deg(clock))
    return [length("wall", there, walls[least], barrel.wall_mm, parameter, WALL_TOL_MM)]


def _over_opening(strut: Strut, station: float, clock: float) -> bool:
    """True when a ray would run into a screw hole, its flat, or a water slot anywhere in the wall."""
    barrel = strut.barrel

    def beside(clock_deg: float) -> float:
        # Holes have parallel sides, so the ray is nearest to their middle where it leaves the bore.
        off = min(frames.angle_between_deg(clock, clock_deg), 90.0)
        return barrel.bore_mm / 2 * math.sin(math.radians(off))

    if strut.hanger is not None and strut.hanger.cap is not None and _in_cap(strut, strut.hanger.cap, clock):
        return True
    for s in strut.set_screws:
        size = max(s.tap_drill_mm, s.flat_diameter_mm or 0.0) / 2 + 1.0
        if math.hypot(station - s.station_mm, beside(s.clock_deg)) < size:
            return True
    for lock in strut.let_in.locking if strut.let_in is not None else ():
        if math.hypot(station - lock.station_mm, beside(lock.clock_deg)) < lock.width_mm / 2 + 1.0:
            return True
    slots = barrel.slots
    if slots is None or abs(station - slots.centre_station_mm) > max(slots.length_mm, slots.width_mm) / 2 + 1.0:
        return False
    clocks = [slots.first_clock_deg + 360.0 * k / slots.count for k in range(slots.count)]
    return any(beside(c) < slots.width_mm / 2 + 1.0 for c in clocks)


def _in_cap(strut: Strut, cap: Cap, clock: float) -> bool:
    """True when a ray runs into the cap, an ear of the body, or the seat of a cap bolt in it."""
    radius = strut.barrel.outside_mm / 2
    off = math.radians(frames.angle_between_deg(clock, cap.clock_deg))
    into = -radius * math.cos(off)
    return into < cap.ear_thickness_mm + 1.0 or radius * math.sin(off) > cap.bolt.out_mm - cap.bolt.head_mm / 2 - 1.0


def _screws(read: Read, strut: Strut, bore: Round) -> list[Finding]:
    barrel = strut.barrel
    radius = barrel.outside_mm / 2
    lines: list[Round] = []
    for r in sorted(read.rounds, key=lambda r: r.radius_mm):
        if (
            r.part == bore.part
            and r.hollow
            and r.whole
            and r.half_angle_rad == 0.0
            and abs(r.axis @ X_AXIS) < 0.1
            and _miss(r) < NEAR_MM
            and abs(_foot(r)[0]) < barrel.length_mm / 2
            and _reach(r) < barrel.outside_mm / 2 + 1.0
            and not _is_slot(strut, r)
            and not _is_dimple(strut, r)
            and not any(r.same_line(k) and _outward(r) @ _outward(k) > 0 for k in lines)
        ):
            lines.append(r)  # the smallest on its side of the shaft: the flat round a hole is wider
    kinds: dict[str, list[Finding]] = {}
    left = list(lines)
    rest: list[Finding] = []
    path = "set_screws"
    for s in strut.set_screws:
        what = f"set screw {s.number}"
        if not left:
            rest.append(failed("screw_missing", f"{what}: no hole for it in the file", STOP, path))
            continue
        mouth = radius * frames.radial(s.clock_deg) + (barrel.x(s.station_mm), 0.0, 0.0)
        gaps = [float(np.linalg.norm(_foot(r) + radius * _outward(r) - mouth)) for r in left]
        hole = left[int(np.argmin(gaps))]
        left.remove(hole)
        way = _outward(hole)
        clock = math.degrees(math.atan2(way[1], way[2]))
        clock = s.clock_deg + (clock - s.clock_deg + 180.0) % 360.0 - 180.0
        lean = math.degrees(math.asin(min(abs(float(hole.axis @ X_AXIS)), 1.0)))
        station = float(_foot(hole)[0]) + barrel.length_mm / 2
        for f in (
            length("screw_station", f"{what}, station", station, s.station_mm, path),
            angle("screw_clock", f"{what}, clock angle", clock, s.clock_deg, path),
            length("screw_diameter", f"{what}, drilled diameter", 2 * hole.radius_mm, s.tap_drill_mm, path),
            angle("screw_square", f"{what}, lean from square to the shaft", lean, 0.0, path),
            length("screw_offset", f"{what}, axis past the shaft line", _miss(hole), 0.0, path),
        ):
            kinds.setdefault(f.code, []).append(f)
    for r in left:
        station = float(_foot(r)[0]) + barrel.length_mm / 2
        words = "a hole {diameter} across through the barrel at station {station} that no parameter asks for"
        hole_there = say(words, diameter=mm(2 * r.radius_mm), station=mm(station))
        rest.append(failed("hole_not_asked_for", hole_there, STOP, path))
    return [f for group in kinds.values() for f in worst(group)] + rest


def _is_dimple(strut: Strut, r: Round) -> bool:
    """Whether a round hole is the dimple of a locking screw, which ends in the wall."""
    return any(
        abs(2 * r.radius_mm - lock.width_mm) < 0.01
        and float(np.linalg.norm(_outward(r) - frames.radial(lock.clock_deg))) < 0.01
        and abs(float(_foot(r)[0]) - strut.barrel.x(lock.station_mm)) < 0.1
        for lock in (strut.let_in.locking if strut.let_in is not None else ())
    )


def _screw_walls(strut: Strut, mesh: Any) -> list[Finding]:
    """Shoot a ray close on either side of each screw hole, fore and aft: the less of the two is the wall there."""
    if isinstance(mesh, MeshError):
        return []  # told with the wall
    barrel, out = strut.barrel, []
    for s in strut.set_screws:
        beside = max(s.major_mm, s.tap_drill_mm + 0.4) / 2
        if s.flat_diameter_mm is not None and s.flat_diameter_mm < 2 * beside + 0.1:
            continue  # a spot face no wider than its thread leaves no floor to be met
        # A little off the clock keeps the rays off the seams of the mesh.
        either = (s.station_mm - beside, s.station_mm + beside)
        rays = [(at, s.clock_deg + 0.07) for at in either if 0.0 < at < barrel.length_mm]
        asked = float(screw_wall_of(strut, s).wall_mm)
        walls = [w for w in _walls_along(strut, mesh, rays) if not math.isnan(w)] if rays else []
        what = f"wall by rays beside the hole of set screw {s.number}"
        out.append(
            length("screw_wall", what, min(walls), asked, "barrel.wall", WALL_TOL_MM)
            if walls
            else failed("screw_wall", f"{what}: no wall", STOP, "barrel.wall")
        )
    return worst(out)


def _is_slot(strut: Strut, r: Round) -> bool:
    """True for a water slot as long as wide, which is a round hole."""
    slots = strut.barrel.slots
    if slots is None or abs(2 * r.radius_mm - slots.width_mm) > LENGTH_TOL_MM:
        return False
    clock = math.degrees(math.atan2(*_outward(r)[1:]))
    turns = (clock - slots.first_clock_deg) / (360.0 / slots.count)
    return (
        slots.length_mm <= slots.width_mm
        and abs(_foot(r)[0] - strut.barrel.x(slots.centre_station_mm)) < LENGTH_TOL_MM
        and abs(turns - round(turns)) * 360.0 / slots.count < ANGLE_TOL_DEG
    )


def _foot(r: Round) -> Vector:
    """The place on the axis that is nearest to the shaft line."""
    across = r.axis - (r.axis @ X_AXIS) * X_AXIS
    flat = r.point - (r.point @ X_AXIS) * X_AXIS
    return np.asarray(r.point - float(flat @ across) / float(across @ across) * r.axis)


def _miss(r: Round) -> float:
    foot = _foot(r)
    return math.hypot(foot[1], foot[2])


def _outward(r: Round) -> Vector:
    """The direction of the axis from the shaft line to where the hole lies."""
    middle = r.point + (r.low + r.high) / 2 * r.axis
    return np.asarray(r.axis if float((middle - _foot(r)) @ r.axis) > 0 else -r.axis)


def _reach(r: Round) -> float:
    """How far from the shaft line the hole begins."""
    ends = [float(np.linalg.norm(r.point + k * r.axis - _foot(r))) for k in (r.low, r.high)]
    return min(ends)
