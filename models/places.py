"""Where on a strut a parameter is at home: the place that a finding's mark points to in a model of it.

Strut frame, mm. Places lie on the strut or in its metal, but for those of the shaft and the propeller, beside it.
"""

from __future__ import annotations

import re

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Vector
from strutwright.models.geometry.skeg import chord_at
from strutwright.models.main_sizes import Point, edge_from_mm
from strutwright.models.spec import Arm, SetScrew, Strut

_PLACES: tuple[tuple[str, str], ...] = (
    (r"arms\.root_fillet\.barrel|welds\.arm_to_barrel_leg", "arm at barrel"),
    (r"arms\.root_fillet\.palm|welds\.arm_to_palm_leg|welds|arms\.section\.\w+_at_palm", "arm at palm"),
    (r"arms", "arm"),
    (r"skeg\.heel|heel", "heel"),
    (r"skeg(\.heel)?|welds\.skeg_to_barrel_leg", "skeg"),
    (r"barrel\.ends\.aft", "aft end of the barrel"),
    (r"barrel\.ends\.forward", "forward end of the barrel"),
    (r"barrel\.(bore|bore_class|interference|slide_clearance|steps)|bearing", "bore"),
    (r"barrel\.slots", "water slot"),
    (r"barrel|set_screws", "barrel"),
    (r"bolts|materials\.bolts", "bolt"),
    (r"palm", "palm"),
    (r"flange|spigot", "flange"),
    (r"base|materials\.base", "base"),
    (r"structure|materials\.base|hold|pressed|bedded|welded|collar|stands_out|locking_screws", "structure"),
    (r"hull|materials\.hull", "hull"),
    (r"shaft|materials\.shaft", "shaft"),
    (r"propeller", "propeller"),
)
"""Which paths of parameters are where; of those that begin a path the longest counts, of equal ones the first
that the strut has."""


def place_of(parameter: str, strut: Strut) -> str:
    """Return the name of the place of a parameter, "" for what has none: duty, protection and the like.

    >>> strut = shipped("canal-tender")
    >>> place_of("arms.section.thickness_at_palm", strut), place_of("palm", strut), place_of("duty.power", strut)
    ('arm at palm', 'palm', '')
    """
    there = places(strut)
    screw = re.match(r"set_screws\.positions\[(\d+)\]", parameter)
    own = [(-len(parameter), 0, f"set screw {int(screw[1]) + 1}")] if screw else []
    bare = re.sub(r"\[\d+\]", "", parameter)
    met = [(re.match(rf"(?:{path})(?=\.|$)", bare), k, name) for k, (path, name) in enumerate(_PLACES)]
    found = [(-len(m[0]), k, name) for m, k, name in met if m]
    return next((name for _, _, name in sorted(own + found) if name in there), "")


def places(strut: Strut) -> dict[str, Point]:
    """Return the places of a strut by name; those of what it does not have are not among them.

    >>> places(shipped("canal-tender"))["aft end of the barrel"]  # 74 long, 48 across
    (-37.0, 0.0, 24.0)
    """
    barrel = strut.barrel
    half, radius = barrel.length_mm / 2, barrel.outside_mm / 2
    bearing = strut.bearings[0]
    out = {
        "aft end of the barrel": np.array([-half, 0.0, barrel.aft_end.end_diameter_mm / 2]),
        "forward end of the barrel": np.array([half, 0.0, barrel.forward_end.end_diameter_mm / 2]),
        "barrel": np.array([half - barrel.forward_end.length_mm, 0.0, radius]),
        "bore": np.array([barrel.x(bearing.aft_station_mm + bearing.length_mm / 2), 0.0, -barrel.bore_mm / 2]),
        "shaft": np.array([half + radius, 0.0, 0.0]),
        "propeller": np.array([-half - (strut.propeller.hub_gap_mm or 0.0), 0.0, 0.0]),
        **_of_plate(strut),
        **(_of_arm(strut, strut.arms[0]) if strut.arms else {}),
    }
    if barrel.slots is not None:
        middle = np.array([barrel.x(barrel.slots.centre_station_mm), 0.0, 0.0])
        out["water slot"] = middle + radius * frames.radial(barrel.slots.first_clock_deg)
    for screw in strut.set_screws:
        out[f"set screw {screw.number}"] = _of_screw(strut, screw)
    if strut.skeg is not None:
        deep = (radius + strut.skeg.depth_mm) / 2
        lead, chord, _ = chord_at(strut.skeg, barrel, deep)
        out["skeg"] = np.array([lead - chord / 2, 0.0, -deep])
        if strut.skeg.heel is not None:
            heel = strut.skeg.heel
            out["heel"] = np.array(heel.centre_mm) - (heel.outside_mm / 2, 0.0, 0.0)
    return {name: _rounded(at) for name, at in out.items()}


def _rounded(at: Vector) -> Point:
    x, y, z = (round(float(c), 6) + 0.0 for c in at)
    return x, y, z


def _of_plate(strut: Strut) -> dict[str, Vector]:
    """Of the first palm, or the flange: edges of its face on what it is bolted to, and its first bolt."""
    if strut.let_in is not None:
        mouth = np.array([strut.barrel.x(strut.let_in.mouth_mm), 0.0, strut.let_in.seats[0].hole_mm / 2])
        return {"structure": mouth}
    plate = strut.plates[0]
    axes, called = frames.plate_axes(strut, plate), ("hull", "palm") if strut.flange is None else ("base", "flange")
    out = {
        name: np.asarray(axes.to_strut(np.array([edge_from_mm(plate, plate.middle_mm, (way, 0.0))]))[0])
        for name, way in zip(called, (-1.0, 1.0), strict=True)
    }
    if plate.holes:
        hole = plate.holes[0]
        out["bolt"] = np.asarray(axes.to_strut(np.array([[hole.u_mm, hole.v_mm]]))[0])
    return out


def _of_arm(strut: Strut, arm: Arm) -> dict[str, Vector]:
    plane = frames.arm_plane(strut, arm)
    axes, (low, high) = frames.arm_axes(arm, strut.barrel, plane), frames.arm_ends_mm(arm, strut.barrel, plane)
    along = {"arm at barrel": low, "arm": (low + high) / 2, "arm at palm": high}
    return {name: np.asarray(axes.origin + at * axes.n) for name, at in along.items()}


def _of_screw(strut: Strut, screw: SetScrew) -> Vector:
    """The mouth of its hole."""
    out = strut.barrel.outside_mm / 2 * frames.radial(screw.clock_deg)
    return np.array([strut.barrel.x(screw.station_mm), 0.0, 0.0]) + out
