"""What the candidates of every kind of part share: values at paths, followed into barrel, bearings and set screws."""

from __future__ import annotations

import functools
import math
import re
import typing
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from pydantic.fields import FieldInfo

from strutwright.models import rules
from strutwright.models.arrays import Floats, Num, Truth, as_field
from strutwright.models.barrel_ends import ENDS, lead_in_fits
from strutwright.models.bolt_patterns import PATTERNS
from strutwright.models.geometry.barrel import screw_wall
from strutwright.models.input_parts import PalmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.outline import OUTLINES
from strutwright.models.outline.segments import POINT_TOL_MM
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Barrel, PalmHole, Strut, WaterSlots
from strutwright.models.struts import PalmShape, Struts, holes_of
from strutwright.params.families import root
from strutwright.params.loader import Loaded, model_at
from strutwright.params.part_kinds import STRUT

BARREL = ("barrel.length", "barrel.wall", "barrel.outside_diameter")
SLOTS = "barrel.slots.position.distance"
PITCHES = ("bolts.pattern.pitch_along", "bolts.pattern.pitch_across")
PLAIN = {
    "shaft.bearing_span": "bearing_span_mm",
    "propeller.diameter": "propeller_mm",
    "propeller.mass": "propeller_kg",
    "propeller.hub_length": "hub_length_mm",
    "propeller.hub_gap": "hub_gap_mm",
    "propeller.pitch": "propeller_pitch_mm",
    "duty.power": "power_kw",
    "duty.shaft_speed": "shaft_rpm",
    "duty.idle_speed": "idle_rpm",
    "duty.boat_speed": "boat_speed_kn",
    "loads.blade_mass": "blade_kg",
    "loads.side_acceleration": "side_acceleration_g",
}
"""Paths whose values are inputs of the engineering as they are, and their names there."""


def barrel_with(barrel: Barrel, sizes: Mapping[str, Num]) -> Barrel:
    """Return a barrel with the sizes of `Inputs`, by their names there.

    >>> ends = dict.fromkeys(("aft_end_length_mm", "forward_end_length_mm"), 0.0)
    >>> ends |= dict.fromkeys(("aft_end_diameter_mm", "forward_end_diameter_mm"), 50.0)
    >>> sizes = {"barrel_length_mm": 80.0, "barrel_outside_mm": 50.0} | ends
    >>> barrel_with(shipped("canal-tender").barrel, sizes).wall_mm
    9.0
    """
    fields = {name: as_field(size) for name, size in sizes.items()}
    ends = (
        replace(end, length_mm=fields[f"{which}_end_length_mm"], end_diameter_mm=fields[f"{which}_end_diameter_mm"])
        for which, end in (("aft", barrel.aft_end), ("forward", barrel.forward_end))
    )
    aft, forward = ends
    length, outside = fields["barrel_length_mm"], fields["barrel_outside_mm"]
    return replace(barrel, length_mm=length, outside_mm=outside, aft_end=aft, forward_end=forward)


@functools.cache
def bounds(path: str, family: str = STRUT) -> tuple[float, float]:
    """Return the least and the greatest value (mm, degrees, kW, ...) that a file takes at a path.

    A bound that is itself not taken is moved by the least there is.

    >>> bounds("palm.outline.corner_radius")
    (0.0, 500.0)
    """
    *groups, name = re.sub(r"\[\d+\]", "", path).split(".")
    model = model_at(tuple(groups), root(family))
    field = None if model is None else model.model_fields[name]
    waiting: list[Any] = [] if field is None else [field.annotation, *field.metadata]
    low, high = -math.inf, math.inf
    while waiting:
        part = waiting.pop()
        waiting += [*typing.get_args(part), *(part.metadata if isinstance(part, FieldInfo) else ())]
        for edge in ("ge", "gt", "le", "lt"):
            value = getattr(part, edge, None)
            if not isinstance(value, (int, float)):
                continue
            if edge[0] == "g":
                low = max(low, float(value if edge == "ge" else np.nextafter(value, math.inf)))
            else:
                high = min(high, float(value if edge == "le" else np.nextafter(value, -math.inf)))
    return low, high


def why_no_barrel(strut: Strut, names: set[str], *, slots: bool = False) -> str | None:
    """Return why sizes of the barrel at these paths cannot be followed as arrays, or None when they can.

    slots: whether water slots, which do not go with it there, are in its way.

    >>> why_no_barrel(shipped("canal-tender"), {"barrel.wall", "barrel.outside_diameter"})
    'barrel.wall and barrel.outside_diameter say the same'
    """
    barrel = names & set(BARREL)
    if {"barrel.wall", "barrel.outside_diameter"} <= names:
        return "barrel.wall and barrel.outside_diameter say the same"
    if barrel and (strut.barrel.steps or (slots and strut.barrel.slots is not None)):
        return f"{min(barrel)} moves the steps {'or slots ' if slots else ''}of the barrel"
    if barrel and len(strut.bearings) > 1:
        return f"{min(barrel)} goes with two bearings"
    return None


class Batch:
    """Candidates of one file. values: as for `candidates`; bad: which of them cannot be built."""

    def __init__(self, loaded: Loaded, resolved: Resolved, values: Mapping[str, Floats | float], base: Inputs) -> None:
        self.loaded, self.strut = loaded, resolved.strut
        self.said: Any = resolved.said
        self.values, self.base = values, base
        self.inch = self.said.units == "in"
        self.half_mm = rules.half_step_mm(inch=self.inch)
        self.count = max((np.size(v) for v in values.values()), default=1)
        self.bad: Any = np.zeros(self.count, dtype=bool)
        for path, value in values.items():
            low, high = bounds(path, self.strut.family)
            if np.min(value) < low or np.max(value) > high:
                self.bad = self.bad | ~((value >= low) & (value <= high))

    def run(self) -> Struts:
        """Return the candidates."""
        raise NotImplementedError

    def at(self, path: str, otherwise: Num) -> Num:
        """Return what varies at a path, or the value it has otherwise."""
        return self.values.get(path, otherwise)

    def says(self, path: str) -> bool:
        """Return whether the values or the file say something at a path."""
        return path in self.values or self.loaded.says(path)

    def varies(self, *paths: str) -> bool:
        """Return whether one of these varies."""
        return any(p in self.values for p in paths)

    def maybe(self, path: str, own: float | None) -> float | None:
        """Return what varies at a path, or a value of the spec that may be missing."""
        return as_field(self.values[path]) if path in self.values else own

    # --- barrel, bearings, screws -----------------------------------------------------------------------------------

    def barrel(self) -> tuple[dict[str, Num], tuple[tuple[Num, Num], ...], tuple[Num, ...]]:
        """Sizes by their names in `Inputs`, and the stations of the bearings' ends and of the set screws."""
        b, made, strut = self.base, dict[str, Num](), self.strut
        length = self.at("barrel.length", b.barrel_length_mm)
        outside: Num = b.barrel_outside_mm
        if self.varies("barrel.outside_diameter"):
            outside = self.values["barrel.outside_diameter"]
        elif self.varies("barrel.wall"):
            outside = b.bore_mm + 2 * self.values["barrel.wall"]
        if self.varies(*BARREL):
            made |= {"barrel_length_mm": length, "barrel_outside_mm": outside}
            self.bad = self.bad | (outside <= b.bore_mm + rules.LEAST_WALL_MM)
            if strut.barrel.tube is not None and not strut.barrel.tube.turned:  # left as bought: no other fits
                self.bad = self.bad | (np.abs(outside - strut.barrel.tube.outside_mm) > 0.01)
            ends = []
            for which in ("aft", "forward"):
                size, diameter = self.end(which, outside)
                ends.append(size)
                made |= {f"{which}_end_length_mm": size, f"{which}_end_diameter_mm": diameter}
            self.bad = self.bad | (ends[0] + ends[1] > length)
            for lead in (strut.barrel.lead_in_aft, strut.barrel.lead_in_forward):
                fits = lead_in_fits(lead.length_mm, lead.angle_deg, b.bore_mm, outside)
                self.bad = self.bad | np.logical_not(fits)
        bearings = self.bearings(length)
        screws = self.screws(length, bearings)
        self.fitted(made, length, bearings, screws)
        if self.varies("set_screws.dimple_depth") and strut.set_screws:
            made["dimple_mm"] = self.values["set_screws.dimple_depth"]
        return made, bearings, screws

    def fitted(
        self, made: dict[str, Num], length: Num, bearings: tuple[tuple[Num, Num], ...], screws: tuple[Num, ...]
    ) -> None:
        """Put in how bearings and set screws stand in the barrel, where that varies."""
        strut = self.strut
        barrel = self.dressed(barrel_with(strut.barrel, made) if self.varies(*BARREL) else strut.barrel)
        if self.varies(*BARREL):
            low, high = np.maximum(bearings[0][0], 0.0), np.minimum(length, bearings[0][1])
            middle = (
                functools.reduce(np.minimum, [a for a, _ in bearings])
                + functools.reduce(np.maximum, [f for _, f in bearings])
            ) / 2.0
            made |= {"bearing_engaged_mm": np.maximum(high - low, 0.0), "bearing_x_mm": middle - length / 2.0}
        if self.outside_varies():
            own = [k for k, s in enumerate(strut.set_screws) if s.bearing_index == 0]
            bearing = replace(strut.bearings[0], aft_station_mm=as_field(bearings[0][0]))
            moved = [replace(strut.set_screws[k], station_mm=as_field(screws[k])) for k in own]
            walls = [screw_wall(barrel, screw, bearing).wall_mm for screw in moved]
            if walls:
                made["screw_wall_mm"] = functools.reduce(np.minimum, walls)

    def dressed(self, barrel: Barrel) -> Barrel:
        """Return the barrel with what lies round it."""
        return barrel

    def outside_varies(self) -> bool:
        """Return whether the outside varies that set screws go through."""
        return self.varies(*BARREL)

    def slots(self, made: dict[str, Num], length: Num, outside: Num) -> WaterSlots | None:
        """Return the water slots, and put in what they take from the barrel."""
        slots, said = self.strut.barrel.slots, self.said.barrel.slots
        if slots is None or not self.varies(*BARREL, SLOTS):
            return slots
        away: Num = self.at(SLOTS, said.position.distance)
        station = length - away if said.position.end == "barrel_forward" else away
        grown = (outside - self.base.bore_mm) / (self.base.barrel_outside_mm - self.base.bore_mm)
        gone = self.base.bore_steps_mm3 * grown
        made |= {"bore_steps_mm3": gone, "bore_steps_mm4": gone * (station - length / 2)}
        return replace(slots, centre_station_mm=as_field(station))

    def end(self, which: str, outside: Num) -> tuple[Num, Num]:
        said = getattr(self.said.barrel.ends, which)
        kind, bore = ENDS[said.shape], self.base.bore_mm
        if not kind.faired:
            return 0.0, outside
        size: Num = kind.length_mm(outside, self.half_mm) if said.length is None else said.length
        face: Num = kind.face_mm(bore, outside, size) if said.end_diameter is None else said.end_diameter
        made = np.logical_and(kind.between(bore, outside, face), kind.long_enough(size, (outside - face) / 2))
        self.bad = self.bad | np.logical_not(made)
        return size, face

    def bearings(self, length: Num) -> tuple[tuple[Num, Num], ...]:
        """Stations of both ends of every bearing: those placed from the forward face go with the barrel's length."""
        gain = length - self.base.barrel_length_mm
        placed = []
        for i, (b, said) in enumerate(zip(self.strut.bearings, self.said.bearing, strict=True)):
            forward = said.position is not None and said.position.end == "barrel_forward"
            forward = forward or (said.position is None and i > 0)
            aft = b.aft_station_mm + gain if forward else b.aft_station_mm
            placed.append((aft, aft + b.length_mm))
        return tuple(placed)

    def screws(self, length: Num, bearings: tuple[tuple[Num, Num], ...]) -> tuple[Num, ...]:
        places, out = self.said.set_screws.positions, []
        for k, s in enumerate(self.strut.set_screws):
            own = self.strut.bearings[s.bearing_index]
            if places is not None and places[k].end == "barrel_forward":
                out.append(s.station_mm + (length - self.base.barrel_length_mm))
            elif places is not None and places[k].end == "barrel_aft":
                out.append(s.station_mm)
            else:
                out.append(s.station_mm + (bearings[s.bearing_index][0] - own.aft_station_mm))
        return tuple(out)

    # --- plates -----------------------------------------------------------------------------------------------------

    def box(self, path: str, shape: Any) -> tuple[Num, Num, Num] | None:
        """Length, width and corner radius of an outline that is a box or round, None of another. path: of its group;
        shape: as the file says it."""
        kind = OUTLINES[shape.shape]
        if kind.round:
            across: Num = self.at(f"{path}.diameter", shape.diameter)
            return across, across, across / 2
        if not kind.boxed:
            return None
        long, wide = self.at(f"{path}.length", shape.length), self.at(f"{path}.width", shape.width)
        if kind.full_round:
            self.bad = self.bad | (long < wide)
            return long, wide, np.minimum(wide, long) / 2
        radius: Num = self.at(f"{path}.corner_radius", shape.corner_radius)
        self.bad = self.bad | (2 * radius > np.minimum(long, wide) * (1 + 1e-12))
        return long, wide, radius

    def holes(self, own: Sequence[PalmHole], middle: tuple[float, float], u: Num, v: Num) -> dict[str, Any]:
        """Hole centres, one to a column, in the order of the file's own holes. middle: of the file's own outline; u, v:
        where it stands now."""
        grid = self.said.bolts.pattern
        kind, us, vs = PATTERNS[grid.kind], list[Num](), list[Num]()
        along, across = (self.at(path, getattr(grid, path.rpartition(".")[2], None) or 0.0) for path in PITCHES)
        for h in own:
            du, dv = h.u_mm - middle[0], h.v_mm - middle[1]
            if grid.kind == "circle":
                grown = self.at("bolts.pattern.diameter", grid.diameter) / grid.diameter
                us.append(h.u_mm * grown)
                vs.append(h.v_mm * grown)
            elif kind.pitched:
                # How many pitches the hole stands from the middle, by what it has in the file.
                ku = du / grid.pitch_along if grid.pitch_along else 0.0
                kv = dv / grid.pitch_across if grid.pitch_across else 0.0
                us.append(u + round(2 * ku) / 2 * along)
                vs.append(v + round(2 * kv) / 2 * across)
            else:
                us.append(u + du if kind.centred else h.u_mm)
                vs.append(v + dv if kind.centred else h.v_mm)
        shape = (self.count,)
        # Columns lie together in memory: every hole is a plain array to those who take them one by one.
        return {
            "holes_u_mm": np.stack([np.broadcast_to(a, shape) for a in us]).T,
            "holes_v_mm": np.stack([np.broadcast_to(a, shape) for a in vs]).T,
        }


def edges(palm: PalmInputs, shape: PalmShape) -> tuple[Num, Num]:
    """Return the least distance (mm) of a hole's centre from the outline, and from the outline's box.

    >>> cutter = engineering_inputs("deadwood-cutter").palms[0]
    >>> disc = PalmShape.boxed(None, 0.0, 0.0, 176.0, 176.0, 88.0)
    >>> round(float(edges(cutter, disc)[0]), 6)  # half of 176 less half of 142
    17.0
    """
    edge: Num = np.inf
    to_box: Num = np.inf
    for u, v in holes_of(palm):
        edge = np.minimum(edge, shape.inside_mm(u, v))
        beside = np.minimum(u - palm.aft_mm, palm.forward_mm - u)
        to_box = np.minimum(to_box, np.minimum(beside, np.minimum(v - palm.starboard_mm, palm.port_mm - v)))
    return edge, to_box


def boxed(long: Num, wide: Num, radius: Num, u: Num, v: Num) -> dict[str, Any]:
    """Return what the inputs hold of a palm that is a box with round corners and its middle at u, v (mm).

    >>> round(boxed(10.0, 10.0, 5.0, 0.0, 0.0)["area_mm2"], 3)  # a circle
    78.54
    """
    return {
        "area_mm2": long * wide - (4 - math.pi) * radius**2,
        "perimeter_mm": 2 * (long + wide) - (8 - 2 * math.pi) * radius,
        "centroid_u_mm": u,
        "centroid_v_mm": v,
        "aft_mm": u - long / 2,
        "forward_mm": u + long / 2,
        "starboard_mm": v - wide / 2,
        "port_mm": v + wide / 2,
    }


def tapered(long: Num, forward: Num, aft: Num, radius: Num, u: Num, v: Num) -> dict[str, Any]:
    """Return what the inputs hold of a plate that is a trapezium with round corners and the middle of its length at
    u, v (mm). forward, aft: its widths there.

    >>> made = tapered(100.0, 40.0, 60.0, 0.0, 0.0, 0.0)
    >>> [round(float(made[of]), 3) for of in ("area_mm2", "port_mm", "centroid_u_mm")]  # 100 / 6 x 20 / 100 aft
    [5000.0, 30.0, -3.333]
    """
    slope = (forward - aft) / (2 * long)
    rise = np.hypot(1.0, slope)
    area, round_mm = long * (forward + aft) / 2, forward + aft + 2 * long * rise
    moment = slope * long**3 / 6
    core = long / 2 - radius
    for way in (1.0, -1.0):
        # What a corner lacks beside its arc: area, and moment of it from the arc's middle along the bisector.
        half = (math.pi / 2 + way * np.arctan(slope)) / 2
        tan = np.tan(half)
        lacks, off = radius**2 * (tan - half), radius**3 * np.sin(half) * tan**2 / 3
        area, round_mm = area - 2 * lacks, round_mm - 2 * radius * (2 * tan - 2 * half)
        moment = moment - 2 * (lacks * way * core + off * (way - slope / rise) / (2 * np.cos(half)))
    beside = (forward + aft) / 4 - radius * rise + np.abs(slope) * core + radius
    return {
        "area_mm2": area,
        "perimeter_mm": round_mm,
        "centroid_u_mm": u + moment / area,
        "centroid_v_mm": v,
        "aft_mm": u - long / 2,
        "forward_mm": u + long / 2,
        "starboard_mm": v - beside,
        "port_mm": v + beside,
    }


def taper_fits(long: Num, forward: Num, aft: Num, radius: Num) -> Truth:
    """Return whether round corners have their place on a trapezium, mm.

    >>> bool(taper_fits(100.0, 40.0, 60.0, 20.0)), bool(taper_fits(100.0, 40.0, 60.0, 30.0))
    (True, False)
    """
    slope = (forward - aft) / (2 * long)
    backs = [radius * np.tan((math.pi / 2 + way * np.arctan(slope)) / 2) for way in (1.0, -1.0)]
    rooms = (forward - 2 * backs[0], aft - 2 * backs[1], long * np.hypot(1.0, slope) - backs[0] - backs[1])
    return functools.reduce(np.minimum, rooms) >= -POINT_TOL_MM
