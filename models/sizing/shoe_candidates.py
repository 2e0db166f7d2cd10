"""A batch of candidates of one rudder shoe; see `sizing.candidates`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from strutwright.models import rules
from strutwright.models.arrays import Floats, Num, as_field
from strutwright.models.bolt_patterns import PATTERNS
from strutwright.models.input_parts import PalmInputs, flange_inputs, shoe_inputs
from strutwright.models.inputs import Inputs, of_barrel, of_screws
from strutwright.models.outline import OUTLINES
from strutwright.models.resolve import Resolved
from strutwright.models.resolve.barrel import station_mm
from strutwright.models.sizing.batch import BARREL, Batch, barrel_with, boxed, edges, taper_fits, tapered
from strutwright.models.spec import Barrel, Bearing, BoreStep, SetScrew
from strutwright.models.spec_flange import Flange
from strutwright.models.spec_shoe import Shoe
from strutwright.models.struts import PalmShape, Struts
from strutwright.params.loader import Loaded

_SHARED = {
    "boss.length": "barrel.length",
    "boss.wall": "barrel.wall",
    "boss.outside_diameter": "barrel.outside_diameter",
    "locking_screws.dimple_depth": "set_screws.dimple_depth",
}
"""What the candidates of every kind of part call these."""
_BUSH = ("bush.length", "bush.running_clearance", "bush.position.distance")
_FLOOR = ("boss.floor.thickness", "boss.floor.sand_hole")
_OUTLINE = tuple(f"plate.outline.{name}" for name in ("length", "width", "width_forward", "width_aft", "corner_radius"))
_OFFSET = ("plate.offset.forward", "plate.offset.port")
_ROOTS = {"cast": "plate.root_fillet", "welded": "plate.weld_leg"}
_RIBS = ("plate.ribs.thickness", "plate.ribs.along", "plate.ribs.out")
_GRID = ("bolts.pattern.pitch_along", "bolts.pattern.pitch_across", "bolts.pattern.aftmost")
_PLAIN = {
    "keel.thickness": "hull_mm",
    "rudder.area": "rudder_m2",
    "rudder.height": "rudder_height_mm",
    "rudder.mass": "rudder_kg",
    "duty.boat_speed": "boat_speed_kn",
    "duty.displacement": "displacement_kg",
}
"""Paths whose values are inputs of the engineering as they are, and their names there."""
_OF_SHOE = {
    "keel.end": "keel_end_mm",
    "keel.width": "keel_width_mm",
    "rudder.height": "rudder_height_mm",
    "rudder.mass": "rudder_kg",
    "rudder.foot_gap": "foot_gap_mm",
    "jumping_stop.gap": "jump_mm",
    "duty.displacement": "displacement_kg",
}
"""Paths whose values are those of the spec as they are, and their names there."""
VARIABLES = (
    *_SHARED,
    *_BUSH,
    *_FLOOR,
    "plate.position.distance",
    "plate.thickness",
    *_OUTLINE,
    *_OFFSET,
    *_ROOTS.values(),
    "plate.bedding",
    *_RIBS,
    *_GRID,
    "bolts.engaged",
    "keel.density",
    "rudder.entry",
    *dict.fromkeys((*_PLAIN, *_OF_SHOE)),
)
"""Paths whose values can be arrays; all others are resolved one by one."""


def why_not(resolved: Resolved, names: set[str]) -> str | None:
    """Return why values at these paths of VARIABLES cannot be followed as arrays, or None when they can.

    >>> why_not(resolved("creek-yawl"), {"plate.outline.width_aft"})
    'an outline of the shape round_ended has no width_aft'
    """
    strut = resolved.strut
    said: Any = resolved.said
    plate, pattern, shape = strut.flange, said.bolts.pattern, said.plate.outline.shape
    assert plate is not None
    if {"boss.wall", "boss.outside_diameter"} <= names:
        return "boss.wall and boss.outside_diameter say the same"
    if names & set(_OUTLINE):
        own = OUTLINES[shape].sought if OUTLINES[shape].boxed else (*OUTLINES[shape].needs, "corner_radius")
        if not (OUTLINES[shape].boxed or shape == "tapered"):
            return f"an outline of the shape {shape} is drawn one by one"
        if strange := sorted(names & set(_OUTLINE) - {f"plate.outline.{name}" for name in own}):
            return f"an outline of the shape {shape} has no {strange[0].rpartition('.')[2]}"
    if names & set(_GRID) and not PATTERNS[pattern.kind].pitched:
        return f"bolts.pattern of the kind {pattern.kind} has no pitches"
    for paths, part, called in (
        (_RIBS, plate.ribs, "the shoe has no ribs"),
        (_FLOOR, said.boss.floor, "the boss has no floor"),
        (("bush.position.distance",), said.bush.position, "bush.position is not given in the file"),
        (("plate.position.distance",), said.plate.position, "plate.position is not given in the file"),
        (("bolts.engaged",), plate.engaged_mm, "through bolts have no thread in the keel"),
        (("keel.density",), plate.base.density_kg_m3, "keel.density is not given in the file"),
    ):
        if names & set(paths) and part is None:
            return called
    return _by_rules(resolved, names)


def _by_rules(resolved: Resolved, names: set[str]) -> str | None:
    """Why a size that follows from one of these by a table or a rule is not followed."""
    said: Any = resolved.said
    if "bush.running_clearance" in names:
        if not resolved.strut.bearings[0].plain:
            return "the rubber goes with bush.running_clearance"
        if said.bush.outside_diameter is None and said.bush.outside_measured is None:
            return "bush.outside_diameter goes with bush.running_clearance"
    by_rule = said.boss.wall is None and said.boss.outside_diameter is None and said.boss.tube is None
    if "boss.floor.sand_hole" in names and by_rule and resolved.strut.construction == "cast":
        return "boss.wall goes with boss.floor.sand_hole"
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Boss:
    """The boss with what varies: its barrel, the bush and the screws in it, and what the engineering takes of them."""

    barrel: Barrel
    bush: Bearing
    screws: tuple[SetScrew, ...]
    inputs: dict[str, Any]


class Candidates(Batch):
    """Candidates of one shoe."""

    def __init__(self, loaded: Loaded, resolved: Resolved, values: Mapping[str, Floats | float], base: Inputs) -> None:
        super().__init__(loaded, resolved, values, base)
        self.values = {_SHARED.get(path, path): value for path, value in values.items()}
        if "bush.length" in values and not self.says("boss.length") and "barrel.length" not in self.values:
            whole = rules.whole_step_mm(inch=self.inch)
            self.values["barrel.length"] = rules.up_mm(values["bush.length"], whole)

    def run(self) -> Struts:
        """Return them."""
        own, boss = self.strut.flange, self.boss()
        assert own is not None
        for path, name in _PLAIN.items():
            if path in self.values:
                boss.inputs[name] = self.values[path]
        if "rudder.area" in self.values and self.said.protection.bonded_area is None:
            bonded = as_field(2.0 * self.values["rudder.area"])
            boss.inputs["protection"] = replace(self.base.protection, bonded_m2=bonded)
        plate, shape, edge = self.plate(own)
        shoe, flange = self.shoe(boss.bush), self.flange(own, boss.barrel, plate.thickness_mm)
        strut = replace(self.strut, barrel=boss.barrel)
        holes_u = np.moveaxis(np.asarray(plate.holes_u_mm), -1, 0)
        made = {
            **boss.inputs,
            "palms": (replace(plate, zero_mm=(boss.barrel.x(flange.plane.station_mm), 0.0, 0.0)),),
            "flange": flange_inputs(strut, flange),
            "shoe": shoe_inputs(shoe, own, boss.barrel.outside_mm, list(holes_u), shape.width_at_mm),
        }
        inputs = replace(self.base, **made)
        struts = Struts(
            own=self.strut,
            count=self.count,
            made_inputs=lambda: inputs,
            buildable=np.array(~np.broadcast_to(self.bad, (self.count,))),
            palms=(shape,),
            bearings_mm=((boss.bush.aft_station_mm, boss.bush.forward_station_mm),),
            screws_mm=tuple(s.station_mm for s in boss.screws),
            drop_mm=self.strut.hull.drop_square_to_shaft_mm,
            flange=flange,
            steps=boss.barrel.steps,
            bearings=(boss.bush,),
            shoe=shoe,
        )
        if edge is not None:
            struts.__dict__["hole_edge_mm"] = (edge,)  # which the checks ask for again
        return struts

    # --- boss -------------------------------------------------------------------------------------------------------

    def boss(self) -> _Boss:
        """The boss with its bush, floor and screws."""
        made, bearings, stations = self.barrel()
        sizes: dict[str, Any] = {name: getattr(self.base, name) for name in _OUTSIDE} | made
        barrel = replace(barrel_with(self.strut.barrel, sizes), steps=self.floor(sizes["barrel_length_mm"]))
        bush = self.bush(bearings[0])
        deep = self.dimple(bush)
        screws = tuple(
            replace(s, station_mm=as_field(at), dimple_depth_mm=as_field(deep))
            for s, at in zip(self.strut.set_screws, stations, strict=True)
        )
        inputs: dict[str, Any] = dict(made)
        if self.varies(*BARREL, *_BUSH, *_FLOOR):
            strut = replace(self.strut, barrel=barrel, bearings=(bush,), set_screws=screws)
            inputs |= of_barrel(strut, bush) | of_screws(strut, 0)
        return _Boss(barrel=barrel, bush=bush, screws=screws, inputs=inputs)

    def fitted(
        self, made: dict[str, Num], length: Num, bearings: tuple[tuple[Num, Num], ...], screws: tuple[Num, ...]
    ) -> None:
        """What follows of bush and screws is worked out when the floor is known."""

    def bearings(self, length: Num) -> tuple[tuple[Num, Num], ...]:
        """Stations of both ends of the bush."""
        said, own = self.said.bush.position, self.strut.bearings[0]
        long: Num = self.at("bush.length", own.length_mm)
        if said is None:
            return ((own.aft_station_mm, own.aft_station_mm + long),)
        away: Num = self.at("bush.position.distance", said.distance)
        aft = away if said.face == "upper" else length - away - long
        return ((aft, aft + long),)

    def screws(self, length: Num, bearings: tuple[tuple[Num, Num], ...]) -> tuple[Num, ...]:
        """Stations of the locking screws."""
        ends: dict[str, tuple[Num, float]] = {
            "barrel_aft": (0.0, 1.0),
            "barrel_forward": (length, -1.0),
            "bearing_aft": (bearings[0][0], 1.0),
            "bearing_forward": (bearings[0][1], -1.0),
        }
        placed = [(ends[place.end], place.distance) for place in self.said.locking_screws.positions]
        return tuple(start + way * distance for (start, way), distance in placed)

    def floor(self, length: Num) -> tuple[BoreStep, ...]:
        """The floor under the bush."""
        own, said = self.strut.barrel.steps, self.said.boss.floor
        if said is None or not self.varies("barrel.length", *_FLOOR):
            return own
        thick: Num = self.at(_FLOOR[0], said.thickness)
        hole: Num = self.at(_FLOOR[1], said.sand_hole)
        self.bad = self.bad | (hole >= self.base.bore_mm) | (thick >= length)
        ends = as_field(length - thick), as_field(length + 0.0 * thick)
        return (replace(own[0], from_station_mm=ends[0], to_station_mm=ends[1], diameter_mm=as_field(hole)),)

    def bush(self, ends: tuple[Num, Num]) -> Bearing:
        """The bush in its place."""
        own = self.strut.bearings[0]
        bush = replace(own, aft_station_mm=as_field(ends[0]), length_mm=as_field(self.at("bush.length", own.length_mm)))
        if not self.varies("bush.running_clearance"):
            return bush
        inside = self.strut.shaft.diameter_mm + self.values["bush.running_clearance"]
        self.bad = self.bad | (own.outside_mm < inside + 2 * rules.LEAST_WALL_MM)
        shell = np.maximum((own.outside_mm - inside) / 2, 0.0)
        return replace(bush, inside_mm=as_field(inside), shell_mm=as_field(shell))

    def dimple(self, bush: Bearing) -> Num:
        """Depth of the dimples under the screws."""
        if not self.strut.set_screws:
            return 0.0
        own = self.strut.set_screws[0].dimple_depth_mm
        if self.varies("set_screws.dimple_depth") or self.loaded.says("locking_screws.dimple_depth"):
            return self.at("set_screws.dimple_depth", own)
        if np.ndim(bush.shell_mm) == 0:
            return rules.dimple_mm(bush.shell_mm, self.base.limits)
        walls: Floats = np.asarray(bush.shell_mm)
        return np.array([rules.dimple_mm(float(wall), self.base.limits) for wall in walls])

    # --- plate ------------------------------------------------------------------------------------------------------

    def plate(self, own: Flange) -> tuple[PalmInputs, PalmShape, Num | None]:
        """Outline, thickness and holes of the plate, and how near a hole comes to its edge, mm, where that varies."""
        said, plate = self.said.plate, self.base.palms[0]
        u: Num = self.at(_OFFSET[0], said.offset.forward)
        v: Num = self.at(_OFFSET[1], said.offset.port)
        change: dict[str, Any] = {"thickness_mm": self.at("plate.thickness", plate.thickness_mm)}
        box = self.box("plate.outline", said.outline) if OUTLINES[said.outline.shape].boxed else None
        if box is not None:
            long, wide, radius = box
            change |= boxed(long, wide, radius, u, v)
            shape = PalmShape.boxed(own.outline, u, v, long, wide, radius)
        elif said.outline.shape == "tapered":
            change, shape = self.trapezium(own, change, u, v)
        else:
            du, dv = u - said.offset.forward, v - said.offset.port
            change |= {name: getattr(plate, name) + du for name in ("centroid_u_mm", "aft_mm", "forward_mm")}
            change |= {name: getattr(plate, name) + dv for name in ("centroid_v_mm", "starboard_mm", "port_mm")}
            shape = PalmShape.moved(own.outline, du, dv)
        if self.varies(*_GRID, *_OFFSET):
            change |= self.bolt_holes(own, v)
        made = replace(plate, **change)
        edge: Num | None = None
        if self.varies(*_GRID, *_OFFSET, *_OUTLINE):
            few = self.outermost(own)
            us, vs = (np.asarray(x)[..., few] for x in (made.holes_u_mm, made.holes_v_mm))
            some = replace(made, holes_u_mm=us, holes_v_mm=vs)
            edge, to_box = edges(some, shape)
            made = replace(made, edge_lost_mm=np.maximum(to_box - edge, 0.0))
        return made, shape, edge

    def outermost(self, own: Flange) -> list[int]:
        """Holes of which one is nearest to the edge, by their places among the file's own. A grid lies alike on both
        sides of the middle of its plate: in one that bulges everywhere, those at the ends of its port row."""
        if not PATTERNS[self.said.bolts.pattern.kind].pitched or self.said.plate.outline.shape == "polygon":
            return list(range(len(own.holes)))
        order = sorted(range(len(own.holes)), key=lambda k: (round(own.holes[k].v_mm, 6), own.holes[k].u_mm))
        port = [k for k in order if own.holes[k].v_mm > own.holes[order[-1]].v_mm - 1e-6]
        return list(dict.fromkeys((port[0], port[-1])))

    def trapezium(self, own: Flange, change: dict[str, Any], u: Num, v: Num) -> tuple[dict[str, Any], PalmShape]:
        """What the inputs hold of a plate that tapers, and its shape."""
        said = self.said.plate.outline
        long, forward, aft, radius = (
            self.at(f"plate.outline.{name}", getattr(said, name))
            for name in ("length", "width_forward", "width_aft", "corner_radius")
        )
        self.bad = self.bad | np.logical_not(taper_fits(long, forward, aft, radius))
        slope = (forward - aft) / (2 * long)
        core = (forward + aft) / 4 - radius * np.hypot(1.0, slope)
        shape = PalmShape(
            middle_u_mm=u,
            middle_v_mm=v,
            core_u_mm=long / 2 - radius,
            core_v_mm=core,
            radius_mm=radius,
            fixed=False,
            outline=own.outline,
            slope=slope,
        )
        return change | tapered(long, forward, aft, radius, u, v), shape

    def bolt_holes(self, own: Flange, v: Num) -> dict[str, Any]:
        """Hole centres, one to a column, in the order of the file's own holes."""
        grid, said, us, vs = self.said.bolts.pattern, self.said.plate.offset, list[Num](), list[Num]()
        pitched = PATTERNS[grid.kind].pitched
        along: Num = self.at(_GRID[0], grid.pitch_along or 0.0)
        across: Num = self.at(_GRID[1], grid.pitch_across or 0.0)
        for h in own.holes:
            if pitched:
                # How many pitches it stands from the aftmost row and from the middle, by what it has in the file.
                ku = (h.u_mm - grid.aftmost) / grid.pitch_along if grid.pitch_along else 0.0
                kv = (h.v_mm - said.port) / grid.pitch_across if grid.pitch_across else 0.0
                us.append(self.at(_GRID[2], grid.aftmost) + round(ku) * along)
                vs.append(v + round(2 * kv) / 2 * across)
            else:
                us.append(h.u_mm)
                vs.append(h.v_mm)
        shape = (self.count,)
        return {
            "holes_u_mm": np.stack([np.broadcast_to(a, shape) for a in us]).T,
            "holes_v_mm": np.stack([np.broadcast_to(a, shape) for a in vs]).T,
        }

    def flange(self, own: Flange, barrel: Barrel, thickness: Num) -> Flange:
        """The plate with what varies of its place, root, ribs, bedding and what it is bolted to."""
        base, ribs, at = own.base, own.ribs, self.said.plate.position
        station: Num = own.plane.station_mm
        if at is not None:
            away = as_field(self.at("plate.position.distance", at.distance))
            station = station_mm(at.end, away, barrel.length_mm)
        self.bad = self.bad | (station + thickness > barrel.length_mm + 1e-9)
        base = replace(
            base,
            thickness_mm=self.maybe("keel.thickness", base.thickness_mm),
            density_kg_m3=self.maybe("keel.density", base.density_kg_m3),
        )
        if ribs is not None:
            sizes = [as_field(self.at(path, getattr(ribs, f"{path.rpartition('.')[2]}_mm"))) for path in _RIBS]
            ribs = replace(ribs, thickness_mm=sizes[0], along_mm=sizes[1], out_mm=sizes[2])
        gasket = own.gasket
        if gasket is not None:
            gasket = replace(gasket, thickness_mm=as_field(self.at("plate.bedding", gasket.thickness_mm)))
        return replace(
            own,
            plane=replace(own.plane, station_mm=as_field(station)),
            root_mm=as_field(self.root(own, thickness, barrel.wall_mm)),
            engaged_mm=self.maybe("bolts.engaged", own.engaged_mm),
            base=base,
            ribs=ribs,
            gasket=gasket,
        )

    def maybe(self, path: str, own: float | None) -> float | None:
        """What varies at a path, or a value of the spec that may be missing."""
        return as_field(self.values[path]) if path in self.values else own

    def root(self, own: Flange, thickness: Num, wall: Num) -> Num:
        """The fillet or the weld's leg between boss and plate."""
        path, cast = _ROOTS[self.strut.construction], self.strut.construction == "cast"
        if path in self.values:
            return self.values[path]
        if self.loaded.says(path) or not self.varies("plate.thickness", *BARREL):
            return own.root_mm
        if cast:
            return rules.up_mm(rules.fillet_mm(thickness, wall, self.base.limits), self.half_mm)
        return rules.leg_mm(thickness, wall, rules.leg_share("none"), inch=self.inch)

    # --- keel and rudder --------------------------------------------------------------------------------------------

    def shoe(self, bush: Bearing) -> Shoe:
        """What is known of keel and rudder, with what varies of it."""
        own = self.strut.shoe
        assert own is not None
        change: dict[str, Any] = {name: self.values[p] for p, name in _OF_SHOE.items() if p in self.values}
        if "rudder.entry" in self.values:
            change["entry_mm"] = self.values["rudder.entry"]
        elif not self.loaded.says("rudder.entry"):
            change["entry_mm"] = bush.forward_station_mm
        made = replace(own, **change)
        wide = self.at("plate.outline.width", self.said.plate.outline.width)
        if made.keel_width_mm is not None and wide is not None:
            self.bad = self.bad | (made.keel_width_mm > 10 * wide)
        return made


_OUTSIDE = (
    "barrel_length_mm",
    "barrel_outside_mm",
    "aft_end_length_mm",
    "aft_end_diameter_mm",
    "forward_end_length_mm",
    "forward_end_diameter_mm",
)
"""Sizes of the boss's outside by their names in `Inputs`."""
