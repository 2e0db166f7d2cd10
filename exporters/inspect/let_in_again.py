"""The outside of a let-in housing that was read back: seats, collar, chamfer, locking dimples and drawing holes."""

from __future__ import annotations

import math

import numpy as np

from strutwright.exporters.inspect.agreement import STOP, angle, failed, length, worst
from strutwright.exporters.inspect.step_reader import Read, Round
from strutwright.models import frames
from strutwright.models.finding import Finding
from strutwright.models.formulas.set_screws import CONE_DEG
from strutwright.models.geometry.barrel import outside_radius_mm
from strutwright.models.spec import Strut
from strutwright.models.spec_let_in import LetIn, Seat
from strutwright.params.words import Words

X_AXIS = np.array([1.0, 0.0, 0.0])
NEAR_MM = 0.5


def let_in_findings(read: Read, strut: Strut, it: LetIn) -> list[Finding]:
    """Return what is found of all that is on the housing beside its bore and set screws."""
    own = {k for k, part in enumerate(read.parts) if part.name == "housing"}
    rounds = [r for r in read.rounds if r.part in own]
    out = [
        f for seat in it.seats for f in _band(rounds, strut, "seat", seat.path, seat.outside_mm, *_ends(strut, seat))
    ]
    if it.collar is not None:
        face = 0.0 if it.inward > 0 else strut.barrel.length_mm
        ends = sorted((face, face + it.inward * it.collar.thickness_mm))
        out += _band(rounds, strut, "collar", "collar.diameter", it.collar.diameter_mm, ends[0], ends[1])
    out += _entry(rounds, it)
    return out + _locking(rounds, strut, it) + _drawing(rounds, strut, it)


def _ends(strut: Strut, seat: Seat) -> tuple[float, float]:
    """Stations of a seat's cylinder, which the chamfer shortens; what stands out of the structure goes on with it."""
    it = strut.let_in
    assert it is not None
    low, high = seat.from_station_mm, seat.to_station_mm
    if seat is it.seats[-1]:
        low, high = (low, high - it.entry_mm) if it.inward > 0 else (low + it.entry_mm, high)
    return low, high


def _band(
    rounds: list[Round], strut: Strut, name: str, path: str, across_mm: float, low_mm: float, high_mm: float
) -> list[Finding]:
    """A cylinder about the shaft line that covers two stations: its diameter."""
    middle = strut.barrel.x((low_mm + high_mm) / 2)
    around = [
        r
        for r in rounds
        if not r.hollow
        and r.half_angle_rad == 0.0
        and abs(r.axis @ X_AXIS) > 0.9999
        and r.off(np.zeros(3)) < NEAR_MM
        and _reach(r)[0] < middle < _reach(r)[1]
    ]
    if not around:
        return [failed(f"{name}_missing", f"no round face is the {name} of {path}", STOP, path)]
    near = min(around, key=lambda r: abs(2 * r.radius_mm - across_mm))
    return [length(f"{name}_diameter", f"diameter of the {name}, {path}", 2 * near.radius_mm, across_mm, path)]


def _reach(r: Round) -> tuple[float, float]:
    ends = sorted(float((r.point + k * r.axis)[0]) for k in (r.low, r.high))
    return ends[0], ends[1]


def _entry(rounds: list[Round], it: LetIn) -> list[Finding]:
    """The chamfer is a cone about the shaft line at the inner end."""
    cones = [
        r
        for r in rounds
        if not r.hollow and r.half_angle_rad != 0.0 and abs(r.axis @ X_AXIS) > 0.9999 and r.off(np.zeros(3)) < NEAR_MM
    ]
    wanted = it.seats[-1].outside_mm
    near = [r for r in cones if abs(2 * r.radius_mm - wanted) < NEAR_MM]
    if not near:
        return [failed("entry_missing", "no cone is the chamfer of the inner end", STOP, "entry")]
    cone = min(near, key=lambda r: abs(abs(math.degrees(r.half_angle_rad)) - it.entry_deg))
    low, high = _reach(cone)
    return [
        length("entry_length", "length of the chamfer at the inner end", high - low, it.entry_mm, "entry.length"),
        angle(
            "entry_angle", "angle of that chamfer", abs(math.degrees(cone.half_angle_rad)), it.entry_deg, "entry.angle"
        ),
    ]


def _locking(rounds: list[Round], strut: Strut, it: LetIn) -> list[Finding]:
    kinds: dict[str, list[Finding]] = {}
    missing = []
    for screw in it.locking:
        what, path = f"dimple of locking screw {screw.number}", f"locking_screws.positions[{screw.number - 1}]"
        way, at = frames.radial(screw.clock_deg), np.array([strut.barrel.x(screw.station_mm), 0.0, 0.0])
        conical = screw.point == "cone"
        fits = [
            r
            for r in rounds
            if r.hollow
            and abs(r.axis @ way) > 0.9999
            and r.off(at) < NEAR_MM
            and (abs(abs(math.degrees(r.half_angle_rad)) - CONE_DEG / 2) < 0.1 if conical else r.half_angle_rad == 0.0)
            and max(float((r.point + k * r.axis) @ way) for k in (r.low, r.high)) > 0.0
        ]
        if not fits:
            missing.append(failed("dimple_missing", f"{what}: not found", STOP, path))
            continue
        hole = min(fits, key=lambda r: r.off(at))
        # The foot of a dog's dimple is its floor, that of a cone its point.
        foot = min(float((hole.point + k * hole.axis) @ way) for k in (hole.low, hole.high))
        bite = float(outside_radius_mm(strut.barrel, screw.station_mm)) - foot
        found: list[tuple[str, Words, float, float]] = [("dimple_bite", f"{what}, depth", bite, screw.bite_mm)]
        if not conical:
            found.append(("dimple_width", f"{what}, diameter", 2 * hole.radius_mm, screw.width_mm))
        found.append(("dimple_place", f"{what}, off its place", hole.off(at), 0.0))
        for code, words, actual, asked in found:
            kinds.setdefault(code, []).append(length(code, words, actual, asked, path))
    return [f for group in kinds.values() for f in worst(group)] + missing


def _drawing(rounds: list[Round], strut: Strut, it: LetIn) -> list[Finding]:
    holes = it.drawing
    if holes is None:
        return []
    kinds: dict[str, list[Finding]] = {}
    missing = []
    face = -it.inward * strut.barrel.length_mm / 2
    for k, clock in enumerate(holes.clocks_deg, 1):
        at = holes.circle_mm / 2 * frames.radial(clock)
        fits = [
            r
            for r in rounds
            if r.hollow
            and r.half_angle_rad == 0.0
            and abs(r.axis @ X_AXIS) > 0.9999
            and r.off(at) < NEAR_MM
            and min(abs(end - face) for end in _reach(r)) < NEAR_MM
        ]
        if not fits:
            missing.append(failed("drawing_hole_missing", f"drawing hole {k}: not found", STOP, "drawing_holes"))
            continue
        hole = min(fits, key=lambda r: abs(2 * r.radius_mm - holes.tap_drill_mm))
        low, high = _reach(hole)
        deep = holes.drilled_mm if holes.way == "draw" else holes.depth_mm
        for code, words, actual, asked in (
            ("drawing_hole_diameter", f"drawing hole {k}, drilled diameter", 2 * hole.radius_mm, holes.tap_drill_mm),
            ("drawing_hole_place", f"drawing hole {k}, off its place", hole.off(at), 0.0),
            ("drawing_hole_depth", f"drawing hole {k}, drilled depth", high - low, deep),
        ):
            kinds.setdefault(code, []).append(length(code, words, actual, asked, "drawing_holes"))
    return [f for group in kinds.values() for f in worst(group)] + missing
