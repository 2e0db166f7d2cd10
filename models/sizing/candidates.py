"""A batch of candidates of one strut: arrays in place of the values that vary, resolved by the rules of `resolve`.

A candidate is a set of values at dotted paths of the file (mm, degrees, kW, kg, ...). `candidates` follows those values
into every size that depends on them, so that candidate n is the strut that the file with these values resolves to.
What cannot be followed is told by `why_not`; such a study resolves its candidates one by one.
"""

from __future__ import annotations

import functools
import math
import typing
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from pydantic.fields import FieldInfo

from strutwright.models import frames, rules
from strutwright.models.arrays import Floats, Num, Triple, as_field
from strutwright.models.barrel_ends import ENDS, lead_in_fits
from strutwright.models.bolt_patterns import PATTERNS
from strutwright.models.geometry.barrel import screw_wall
from strutwright.models.input_parts import ArmInputs, PalmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.outline import OUTLINES
from strutwright.models.resolve import Resolved
from strutwright.models.resolve.palm import curve_fits
from strutwright.models.sections import kind_of
from strutwright.models.spec import Barrel, Palm
from strutwright.models.struts import PalmShape, Struts, holes_of
from strutwright.params.loader import Loaded, model_at

_BARREL = ("barrel.length", "barrel.wall", "barrel.outside_diameter")
_SECTION = (
    "arms.section.chord",
    "arms.section.thickness",
    "arms.section.chord_at_palm",
    "arms.section.thickness_at_palm",
)
_ROOTS = ("arms.root_fillet.barrel", "arms.root_fillet.palm", "welds.arm_to_barrel_leg", "welds.arm_to_palm_leg")
_PALM = (
    "palm.thickness",
    "palm.outline.length",
    "palm.outline.width",
    "palm.outline.corner_radius",
    "palm.offset.forward",
    "palm.offset.port",
)
_BOLTS = ("bolts.pattern.pitch_along", "bolts.pattern.pitch_across")
_PLAIN = {
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
    "hull.thickness": "hull_mm",
    "loads.blade_mass": "blade_kg",
    "loads.side_acceleration": "side_acceleration_g",
}
VARIABLES = (*_BARREL, *_SECTION, *_ROOTS, *_PALM, *_BOLTS, "set_screws.dimple_depth", *_PLAIN)
"""Paths whose values can be arrays; all others are resolved one by one."""
_BELONGS = {"cast": ("arms.root_fillet.", "skeg.root_fillet", "pattern."), "welded": ("welds.", "barrel.tube.")}
"""How paths begin that only a strut of that construction has."""


def _barrel_with(barrel: Barrel, sizes: Mapping[str, Num]) -> Barrel:
    """A barrel with the sizes of `Inputs`, by their names there."""
    fields = {name: as_field(size) for name, size in sizes.items()}
    ends = (
        replace(end, length_mm=fields[f"{which}_end_length_mm"], end_diameter_mm=fields[f"{which}_end_diameter_mm"])
        for which, end in (("aft", barrel.aft_end), ("forward", barrel.forward_end))
    )
    aft, forward = ends
    length, outside = fields["barrel_length_mm"], fields["barrel_outside_mm"]
    return replace(barrel, length_mm=length, outside_mm=outside, aft_end=aft, forward_end=forward)


def strange(resolved: Resolved, paths: Sequence[str]) -> str | None:
    """Return which of these paths only a strut of the other construction has, or None when none is such.

    >>> strange(resolved("canal-tender"), ["arms.root_fillet.barrel"])
    'arms.root_fillet.barrel belongs to a cast strut, and this one is welded'
    """
    own = resolved.strut.construction
    return next(
        (
            f"{path} belongs to a {other} strut, and this one is {own}"
            for other, begins in _BELONGS.items()
            for path in paths
            if other != own and path.startswith(begins)
        ),
        None,
    )


def why_not(resolved: Resolved, paths: Sequence[str]) -> str | None:
    """Return why values at these paths cannot be followed as arrays, or None when they can.

    >>> why_not(resolved("canal-tender"), ["bearing.length"])
    'bearing.length is worked out by rules that take one value'
    """
    strut, said = resolved.strut, resolved.said
    names, pattern = set(paths), PATTERNS[said.bolts.pattern.kind]
    if reason := strange(resolved, paths):
        return reason
    for path in paths:
        if path not in VARIABLES:
            return f"{path} is worked out by rules that take one value"
    barrel = names & set(_BARREL)
    if {"barrel.wall", "barrel.outside_diameter"} <= names:
        return "barrel.wall and barrel.outside_diameter say the same"
    if barrel and (strut.barrel.steps or strut.barrel.slots is not None):
        return f"{min(barrel)} moves the steps or slots of the barrel"
    if barrel and len(strut.bearings) > 1:
        return f"{min(barrel)} goes with two bearings"
    if strut.skeg is not None and (barrel or any(p.startswith("propeller.") for p in paths)):
        return "the skeg goes with barrel and propeller"
    if names & {"palm.outline.length", "palm.outline.width", "palm.outline.corner_radius"}:
        if not OUTLINES[said.palm.outline.shape].boxed:
            return f"an outline of the shape {said.palm.outline.shape} is drawn one by one"
        if pattern.along_edge:
            return "bolts along the edge are placed one by one"
    if names & set(_BOLTS) and not pattern.pitched:
        return f"bolts.pattern of the kind {said.bolts.pattern.kind} has no pitches"
    if names & {"palm.offset.forward", "palm.offset.port"} and not pattern.centred:
        return f"bolts.pattern of the kind {said.bolts.pattern.kind} is not moved with palm.offset"
    return None


@functools.cache
def bounds(path: str) -> tuple[float, float]:
    """Return the least and the greatest value (mm, degrees, kW, ...) that the file takes at a path of VARIABLES.

    A bound that is itself not taken is moved by the least there is.

    >>> bounds("palm.outline.corner_radius")
    (0.0, 500.0)
    """
    *groups, name = path.split(".")
    model = model_at(tuple(groups))
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


def candidates(
    loaded: Loaded, resolved: Resolved, values: Mapping[str, Floats | float], base: Inputs | None = None
) -> Struts:
    """Return candidates of a file.

    values: path -> value (mm, degrees, kW, kg, kn, rpm) or array (count,), all arrays of one length. base: inputs of
    the file's own strut where they are known. Raises ValueError with the reason of `why_not`.

    >>> made = candidates(loaded("canal-tender"), resolved("canal-tender"), {"barrel.wall": np.array([8.0, 9.0])})
    >>> made.strut.barrel.outside_mm  # 32 mm bore
    array([48., 50.])
    """
    reason = why_not(resolved, tuple(values))
    if reason is not None:
        raise ValueError(reason)
    base = base or Inputs.from_strut(resolved.strut, resolved.said.loads)
    return _Batch(loaded, resolved, values, base).run()


class _Batch:
    def __init__(self, loaded: Loaded, resolved: Resolved, values: Mapping[str, Floats | float], base: Inputs) -> None:
        self.loaded, self.strut, self.said = loaded, resolved.strut, resolved.said
        self.values, self.base = values, base
        self.inch = self.said.units == "in"
        self.half_mm = rules.half_step_mm(inch=self.inch)
        self.count = max((np.size(v) for v in values.values()), default=1)
        self.bad: Any = np.zeros(self.count, dtype=bool)
        for path, value in values.items():
            low, high = bounds(path)
            if np.min(value) < low or np.max(value) > high:
                self.bad = self.bad | ~((value >= low) & (value <= high))

    def at(self, path: str, otherwise: Num) -> Num:
        """Return what varies at a path, or the value it has otherwise."""
        return self.values.get(path, otherwise)

    def says(self, path: str) -> bool:
        return path in self.values or self.loaded.says(path)

    def varies(self, *paths: str) -> bool:
        return any(p in self.values for p in paths)

    def run(self) -> Struts:
        made, bearings, screws, drop = self.barrel()
        arms, palms, shapes = self.arms(made, drop)
        for path, name in _PLAIN.items():
            if path in self.values:
                made[name] = self.values[path]
        sizes: dict[str, Any] = dict(made)  # by their names in `Inputs`
        inputs = replace(self.base, arms=arms, palms=palms, drop_mm=drop, **sizes)
        buildable = ~np.broadcast_to(self.bad, (self.count,))
        return Struts(
            own=self.strut,
            count=self.count,
            made_inputs=lambda: inputs,
            buildable=np.array(buildable),
            palms=shapes,
            bearings_mm=bearings,
            screws_mm=screws,
            drop_mm=drop,
        )

    # --- barrel, bearings, screws -----------------------------------------------------------------------------------

    def barrel(self) -> tuple[dict[str, Num], tuple[tuple[Num, Num], ...], tuple[Num, ...], Num]:
        b, made, strut = self.base, dict[str, Num](), self.strut
        length = self.at("barrel.length", b.barrel_length_mm)
        outside: Num = b.barrel_outside_mm
        if self.varies("barrel.outside_diameter"):
            outside = self.values["barrel.outside_diameter"]
        elif self.varies("barrel.wall"):
            outside = b.bore_mm + 2 * self.values["barrel.wall"]
        if self.varies(*_BARREL):
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
        if self.varies(*_BARREL):
            low, high = np.maximum(bearings[0][0], 0.0), np.minimum(length, bearings[0][1])
            middle = (
                functools.reduce(np.minimum, [a for a, _ in bearings])
                + functools.reduce(np.maximum, [f for _, f in bearings])
            ) / 2.0
            made |= {"bearing_engaged_mm": np.maximum(high - low, 0.0), "bearing_x_mm": middle - length / 2.0}
            own = [k for k, s in enumerate(strut.set_screws) if s.bearing_index == 0]
            barrel = _barrel_with(strut.barrel, made)
            bearing = replace(strut.bearings[0], aft_station_mm=as_field(bearings[0][0]))
            moved = [replace(strut.set_screws[k], station_mm=as_field(screws[k])) for k in own]
            walls = [screw_wall(barrel, screw, bearing).wall_mm for screw in moved]
            if walls:
                made["screw_wall_mm"] = functools.reduce(np.minimum, walls)
        if self.varies("set_screws.dimple_depth") and strut.set_screws:
            made["dimple_mm"] = self.values["set_screws.dimple_depth"]
        drop: Num = strut.hull.drop_square_to_shaft_mm
        at = {"mid": 0.0, "aft": -0.5, "forward": 0.5}[self.said.hull.drop.at]
        if at and self.varies("barrel.length"):
            drop = drop + at * (length - b.barrel_length_mm) * math.tan(math.radians(b.pitch_deg))
        return made, bearings, screws, drop

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

    # --- arms and palms ---------------------------------------------------------------------------------------------

    def sizes(self) -> tuple[Num, Num, Num, Num]:
        """Chord and thickness at the barrel, then at the palm; the very same objects where the palm's follow."""
        a = self.base.arms[0]
        chord, thick = self.at(_SECTION[0], a.chord_barrel_mm), self.at(_SECTION[1], a.thickness_barrel_mm)
        chord_palm = self.at(_SECTION[2], a.chord_palm_mm if self.loaded.says(_SECTION[2]) else chord)
        thick_palm = self.at(_SECTION[3], a.thickness_palm_mm if self.loaded.says(_SECTION[3]) else thick)
        self.bad = self.bad | (thick > chord) | (thick_palm > chord_palm) | (np.minimum(thick, thick_palm) <= 0)
        return chord, thick, chord_palm, thick_palm

    def roots(self, at_barrel: Num, at_palm: Num, least: Num, wall: Num, palm: Num) -> tuple[Num, Num]:
        """Fillets or weld legs, at the barrel and at the palm; least: the arm's lesser thickness of both."""
        a, out = self.base.arms[0], []
        cast = self.strut.construction == "cast"
        for path, own, thickness, other in (
            (_ROOTS[0 if cast else 2], a.barrel_root_mm, at_barrel, wall),
            (_ROOTS[1 if cast else 3], a.palm_root_mm, at_palm, palm),
        ):
            if path in self.values:
                out.append(self.values[path])
            elif self.loaded.says(path):
                out.append(own)
            elif cast:
                out.append(rules.up_mm(rules.fillet_mm(thickness, other, self.base.limits), self.half_mm))
            else:
                out.append(rules.leg_mm(least, other, rules.leg_share(self.said.welds.prep), inch=self.inch))
        return out[0], out[1]

    def edge(self, least: Num) -> Num:
        """Radius of a section's edges; least: the arm's lesser thickness of both."""
        a = self.base.arms[0]
        kind = kind_of(a.shape)
        if kind.edges is None:
            return a.edge_radius_mm
        given = self.loaded.says("arms.section.edge_radius")
        radius = a.edge_radius_mm if given else kind.usual_edge_mm(least)
        low, most = kind.edge_range_mm(least, self.base.limit("arm_edge_least"))
        self.bad = self.bad | (radius < low - 1e-9) | (radius > most + 1e-9)
        return radius

    def arms(
        self, made: Mapping[str, Num], drop: Num
    ) -> tuple[tuple[ArmInputs, ...], tuple[PalmInputs, ...], tuple[PalmShape, ...]]:
        base, strut = self.base, self.strut
        outside = made.get("barrel_outside_mm", base.barrel_outside_mm)
        length = made.get("barrel_length_mm", base.barrel_length_mm)
        palm_t = self.at("palm.thickness", base.palms[0].thickness_mm)
        bevel = self.said.palm.bevel
        if bevel is not None:
            self.bad = self.bad | (bevel.height >= palm_t)
        chord, thick, chord_palm, thick_palm = self.sizes()
        least = thick if thick is thick_palm else np.minimum(thick, thick_palm)
        edge = self.edge(least)
        barrel_root, palm_root = self.roots(thick, thick_palm, least, (outside - base.bore_mm) / 2, palm_t)
        x: Num = base.arms[0].x_mm
        position = self.said.arms.position
        if position is not None and "barrel.length" in self.values:
            x = position.distance - length / 2 if position.end == "barrel_aft" else length / 2 - position.distance
        moved = self.varies("barrel.length") and not (np.ndim(x) == 0 and np.ndim(drop) == 0)
        grown = self.varies("barrel.wall", "barrel.outside_diameter")
        alike: dict[str, Any] = {"chord_barrel_mm": chord, "thickness_barrel_mm": thick, "chord_palm_mm": chord_palm}
        alike |= {"thickness_palm_mm": thick_palm, "edge_radius_mm": edge}
        alike |= {"barrel_root_mm": barrel_root, "palm_root_mm": palm_root}
        arms: list[ArmInputs] = []
        kept: dict[tuple[Any, ...], Num] = {}
        for arm, own in zip(strut.arms, base.arms, strict=True):
            plane = strut.palms[arm.palm_index].plane
            axes = frames.arm_axes(arm, strut.barrel, plane)
            hull = frames.plane_axes(0.0, plane.pitch_deg, plane.tilt_deg)
            into = float(axes.n @ hull.n)
            start: Num = own.start_mm
            if grown:
                start = kept.setdefault(("start", arm.rake_deg), outside / 2 / math.hypot(axes.n[1], axes.n[2]))
            # Mirrored arms hold the very same arrays, so that what is worked out of them is worked out once.
            end: Num = own.end_mm
            if moved:
                end = kept.setdefault(("end", round(float(own.end_mm), 9)), (drop * hull.n[2] - x * hull.n[0]) / into)
            water: Num = own.water_mm
            if moved or self.varies("palm.thickness"):
                water = kept.setdefault(("water", round(float(own.end_mm), 9), round(into, 12)), end - palm_t / into)
            arms.append(replace(own, x_mm=x, start_mm=start, water_mm=water, end_mm=end, **alike))
            self.bad = self.bad | (water <= start)
        return tuple(arms), *self.palms(arms, palm_t, x, drop, moved)

    def palms(
        self, arms: list[ArmInputs], thickness: Num, x: Num, drop: Num, moved: bool
    ) -> tuple[tuple[PalmInputs, ...], tuple[PalmShape, ...]]:
        said, out, shapes, box = self.said.palm, [], [], self.box()
        grid = self.said.bolts.pattern
        for k, (own, palm) in enumerate(zip(self.base.palms, self.strut.palms, strict=True)):
            flip = -1.0 if len(self.strut.palms) > 1 and k == 1 else 1.0
            u: Num = self.at("palm.offset.forward", said.offset.forward)
            v: Num = flip * self.at("palm.offset.port", said.offset.port)
            change: dict[str, Any] = {"thickness_mm": thickness}
            if box is not None:
                change |= _boxed(*box, u, v)
                long, wide, radius = box
                shapes.append(PalmShape(u, v, long / 2 - radius, wide / 2 - radius, radius, False, palm.outline))
            else:
                du, dv = u - said.offset.forward, v - flip * said.offset.port
                change |= {name: getattr(own, name) + du for name in ("centroid_u_mm", "aft_mm", "forward_mm")}
                change |= {name: getattr(own, name) + dv for name in ("centroid_v_mm", "starboard_mm", "port_mm")}
                shapes.append(PalmShape(du, dv, 0.0, 0.0, 0.0, True, palm.outline))
            if self.varies(*_BOLTS, "palm.offset.forward", "palm.offset.port"):
                change |= self.holes(palm, grid, flip, u, v)
            if moved:
                change["zero_mm"] = self.zero(arms, palm, k, x, drop)
            made = replace(own, **change)
            if made.curve is not None:
                self.bad = self.bad | np.logical_not(curve_fits(made.curve, made.half_mm, made.thickness_mm))
                if said.bevel is not None:
                    self.bad = self.bad | (said.bevel.height >= made.least_mm)
            edge, to_box = self.edges(made, shapes[-1])
            if self.varies(*_BOLTS, *_PALM[1:]):
                made = replace(made, edge_lost_mm=np.maximum(to_box - edge, 0.0))
            out.append(made)
        return tuple(out), tuple(shapes)

    def box(self) -> tuple[Num, Num, Num] | None:
        """Length, width and corner radius of an outline that is a box, None of another."""
        shape, kind = self.said.palm.outline, OUTLINES[self.said.palm.outline.shape]
        if not kind.boxed:
            return None
        assert shape.length is not None and shape.width is not None  # noqa: PT018 - a box needs both
        long, wide = self.at("palm.outline.length", shape.length), self.at("palm.outline.width", shape.width)
        if kind.full_round:
            self.bad = self.bad | (long < wide)
            return long, wide, np.minimum(wide, long) / 2
        radius: Num = self.at("palm.outline.corner_radius", shape.corner_radius)
        self.bad = self.bad | (2 * radius > np.minimum(long, wide) * (1 + 1e-12))
        return long, wide, radius

    @staticmethod
    def edges(palm: PalmInputs, shape: PalmShape) -> tuple[Num, Num]:
        """Least distance of a hole's centre from the outline, and from the outline's box."""
        edge: Num = np.inf
        to_box: Num = np.inf
        for u, v in holes_of(palm):
            edge = np.minimum(edge, shape.inside_mm(u, v))
            beside = np.minimum(u - palm.aft_mm, palm.forward_mm - u)
            to_box = np.minimum(to_box, np.minimum(beside, np.minimum(v - palm.starboard_mm, palm.port_mm - v)))
        return edge, to_box

    def holes(self, palm: Palm, grid: Any, flip: float, u: Num, v: Num) -> dict[str, Any]:
        """Hole centres, one to a column, in the order of the file's own holes."""
        said, us, vs = self.said.palm.offset, [], []
        along: Num = self.at("bolts.pattern.pitch_along", grid.pitch_along or 0.0)
        across: Num = self.at("bolts.pattern.pitch_across", grid.pitch_across or 0.0)
        for h in palm.holes:
            du, dv = h.u_mm - said.forward, h.v_mm - flip * said.port
            if PATTERNS[grid.kind].pitched:
                # How many pitches the hole stands from the middle, by what it has in the file.
                ku = du / grid.pitch_along if grid.pitch_along else 0.0
                kv = dv / grid.pitch_across if grid.pitch_across else 0.0
                us.append(u + round(2 * ku) / 2 * along)
                vs.append(v + round(2 * kv) / 2 * across)
            else:
                us.append(u + du)
                vs.append(v + dv)
        shape = (self.count,)
        # Columns lie together in memory: every hole is a plain array to those who take them one by one.
        return {
            "holes_u_mm": np.stack([np.broadcast_to(a, shape) for a in us]).T,
            "holes_v_mm": np.stack([np.broadcast_to(a, shape) for a in vs]).T,
        }

    def zero(self, arms: list[ArmInputs], palm: Palm, index: int, x: Num, drop: Num) -> Triple:
        """Where the arm axis (of a common palm: the middle of the arms) meets the hull face."""
        own = [a for a in arms if a.palm_index == index]
        n = frames.arm_direction(float(sum(a.clock_deg for a in own) / len(own)), float(own[0].rake_deg))
        hull = frames.plane_axes(0.0, palm.plane.pitch_deg, palm.plane.tilt_deg).n
        run = (drop * hull[2] - x * hull[0]) / float(n @ hull)
        self.bad = self.bad | (run * n[2] <= 0)
        return x + run * n[0], run * n[1], run * n[2]


def _boxed(long: Num, wide: Num, radius: Num, u: Num, v: Num) -> dict[str, Any]:
    """What the inputs hold of a palm that is a box with round corners and its middle at u, v (mm)."""
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
