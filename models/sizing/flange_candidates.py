"""A batch of candidates of one flanged housing; see `sizing.candidates`."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from strutwright.models import rules
from strutwright.models.arrays import Num, as_field
from strutwright.models.bolt_patterns import PATTERNS
from strutwright.models.input_parts import PalmInputs
from strutwright.models.outline import OUTLINES
from strutwright.models.resolve import Resolved
from strutwright.models.resolve.flange import SPIGOT_CLEARANCE_MM
from strutwright.models.sizing.batch import BARREL, PITCHES, PLAIN, SLOTS, Batch, boxed, edges, why_no_barrel
from strutwright.models.spec_flange import Flange, Gasket, Spigot
from strutwright.models.struts import PalmShape, Struts

_OUTLINE = ("flange.outline.diameter", "flange.outline.length", "flange.outline.width", "flange.outline.corner_radius")
_OFFSET = ("flange.offset.up", "flange.offset.port")
_ROOTS = {"cast": "flange.root_fillet", "welded": "flange.weld_leg"}
_RIBS = ("flange.ribs.thickness", "flange.ribs.along", "flange.ribs.out")
_RECESS = ("flange.gasket.recess.diameter", "flange.gasket.recess.depth")
_SPIGOT = ("spigot.outside_diameter", "spigot.bore", "spigot.length")
_PLAIN = {**PLAIN, "base.thickness": "hull_mm"}
VARIABLES = (
    *BARREL,
    "flange.thickness",
    *_OUTLINE,
    *_OFFSET,
    *_ROOTS.values(),
    *_RIBS,
    "flange.gasket.thickness",
    *_RECESS,
    "bolts.pattern.diameter",
    *PITCHES,
    "bolts.engaged",
    *_SPIGOT,
    "base.bore",
    "base.density",
    "set_screws.dimple_depth",
    SLOTS,
    *_PLAIN,
)
"""Paths whose values can be arrays; all others are resolved one by one."""


def why_not(resolved: Resolved, names: set[str]) -> str | None:
    """Return why values at these paths of VARIABLES cannot be followed as arrays, or None when they can.

    >>> why_not(resolved("deadwood-cutter"), {"bolts.pattern.pitch_along"})
    'bolts.pattern of the kind circle has no pitches'
    """
    strut = resolved.strut
    said: Any = resolved.said
    flange, pattern = strut.flange, said.bolts.pattern
    assert flange is not None
    barrel, outline = names & set(BARREL), names & set(_OUTLINE)
    if reason := why_no_barrel(strut, names):
        return reason
    if barrel and not flange.plane.square:
        return f"{min(barrel)} goes with a flange off square"
    if "barrel.length" in names and not _moves_along(resolved):
        return "flange.position is counted from the far end of the barrel"
    kind = OUTLINES[said.flange.outline.shape]
    own = {f"flange.outline.{name}" for name in (*kind.sought, *(kind.needs if kind.round else ()))}
    if outline - own:
        return f"an outline of the shape {said.flange.outline.shape} is drawn one by one"
    if outline and PATTERNS[pattern.kind].along_edge:
        return "bolts along the edge are placed one by one"
    if names & set(PITCHES) and not PATTERNS[pattern.kind].pitched:
        return f"bolts.pattern of the kind {pattern.kind} has no pitches"
    if "bolts.pattern.diameter" in names and pattern.kind != "circle":
        return f"bolts.pattern of the kind {pattern.kind} has no diameter"
    for paths, part, called in (
        (_RIBS, flange.ribs, "ribs"),
        (_RECESS, said.flange.gasket.recess, "recess"),
        (_SPIGOT, flange.spigot, "spigot"),
        ((SLOTS,), strut.barrel.slots, "water slots"),
    ):
        if names & set(paths) and part is None:
            return f"the housing has no {called}"
    if "bolts.engaged" in names and flange.engaged_mm is None:
        return "through bolts have no thread in the base"
    if "base.density" in names and flange.base.density_kg_m3 is None:
        return "base.density is not given in the file"
    return None


def _moves_along(resolved: Resolved) -> bool:
    """Whether the bedding face keeps its distance from the end of the barrel that it looks beyond."""
    said: Any = resolved.said
    said = said.flange
    return (said.position is None and said.looks == "forward") or (
        said.position is not None and said.position.end == f"barrel_{said.looks}"
    )


def _sizes(flange: Flange) -> dict[str, Any]:
    """What the weight takes of spigot, ribs and recess, by its names in `FlangeInputs`."""
    out: dict[str, Any] = {}
    if flange.spigot is not None:
        s = flange.spigot
        out |= {"spigot_outside_mm": s.outside_mm, "spigot_bore_mm": s.bore_mm, "spigot_length_mm": s.length_mm}
    if flange.ribs is not None:
        r = flange.ribs
        out |= {"rib_mm": r.thickness_mm, "rib_along_mm": r.along_mm, "rib_out_mm": r.out_mm}
    if flange.gasket is not None:
        out |= {"recess_mm": flange.gasket.recess_mm, "recess_depth_mm": flange.gasket.recess_depth_mm}
    return out


class Candidates(Batch):
    """Candidates of one housing."""

    def run(self) -> Struts:
        """Return them."""
        own = self.strut.flange
        assert own is not None
        made, bearings, screws = self.barrel()
        length = made.get("barrel_length_mm", self.base.barrel_length_mm)
        outside = made.get("barrel_outside_mm", self.base.barrel_outside_mm)
        slots = self.slots(made, length, outside)
        for path, name in _PLAIN.items():
            if path in self.values:
                made[name] = self.values[path]
        plate, shape = self.plate(own)
        flange = self.flange(own, plate.thickness_mm, (outside - self.base.bore_mm) / 2)
        station: Num = own.plane.station_mm
        if self.varies("barrel.length") and own.plane.looks == "forward":
            station = station + (length - self.base.barrel_length_mm)
        self.within(own, station, plate.thickness_mm, length)
        flange = replace(flange, plane=replace(own.plane, station_mm=as_field(station)))
        x = station - length / 2
        mine = self.base.flange
        assert mine is not None
        mine = replace(
            mine,
            face_x_mm=x,
            root_mm=flange.root_mm,
            base_bore_mm=flange.base.bore_mm,
            engaged_mm=math.nan if flange.engaged_mm is None else flange.engaged_mm,
            **_sizes(flange),
            timber_kg_m3=math.nan if flange.base.density_kg_m3 is None else flange.base.density_kg_m3,
        )
        plate = replace(plate, zero_mm=(x, 0.0, 0.0))
        sizes: dict[str, Any] = dict(made)  # by their names in `Inputs`
        inputs = replace(self.base, palms=(plate,), flange=mine, **sizes)
        return Struts(
            own=self.strut,
            count=self.count,
            made_inputs=lambda: inputs,
            buildable=np.array(~np.broadcast_to(self.bad, (self.count,))),
            palms=(shape,),
            bearings_mm=bearings,
            screws_mm=screws,
            drop_mm=self.strut.hull.drop_square_to_shaft_mm,
            flange=flange,
            slots=slots,
        )

    def within(self, own: Flange, station: Num, thickness: Num, length: Num) -> None:
        """Leave out flanges that reach beyond an end of the barrel."""
        free = station - thickness if own.plane.looks == "forward" else station + thickness
        self.bad = self.bad | (np.minimum(station, free) < -1e-9) | (np.maximum(station, free) > length + 1e-9)

    # --- flange -----------------------------------------------------------------------------------------------------

    def plate(self, own: Flange) -> tuple[PalmInputs, PalmShape]:
        """Outline, thickness and holes of the flange."""
        said, turned = self.said.flange, -1.0 if own.plane.looks == "forward" else 1.0
        u: Num = self.at("flange.offset.up", said.offset.up)
        v: Num = turned * self.at("flange.offset.port", said.offset.port)
        plate, box = self.base.palms[0], self.box("flange.outline", said.outline)
        change: dict[str, Any] = {"thickness_mm": self.at("flange.thickness", plate.thickness_mm)}
        if box is not None:
            long, wide, radius = box
            change |= boxed(long, wide, radius, u, v)
            shape = PalmShape.boxed(own.outline, u, v, long, wide, radius)
        else:
            du, dv = u - said.offset.up, v - turned * said.offset.port
            change |= {name: getattr(plate, name) + du for name in ("centroid_u_mm", "aft_mm", "forward_mm")}
            change |= {name: getattr(plate, name) + dv for name in ("centroid_v_mm", "starboard_mm", "port_mm")}
            shape = PalmShape.moved(own.outline, du, dv)
        if self.varies("bolts.pattern.diameter", *PITCHES, *_OFFSET):
            change |= self.holes(own.holes, (said.offset.up, turned * said.offset.port), u, v)
        made = replace(plate, **change)
        if self.varies("bolts.pattern.diameter", *PITCHES, *_OUTLINE, *_OFFSET):
            edge, to_box = edges(made, shape)
            made = replace(made, edge_lost_mm=np.maximum(to_box - edge, 0.0))
        return made, shape

    def flange(self, own: Flange, thickness: Num, wall: Num) -> Flange:
        """The flange with what varies of root, base, spigot, ribs and gasket."""
        base, ribs = own.base, own.ribs
        base = replace(
            base,
            bore_mm=as_field(self.at("base.bore", base.bore_mm)),
            thickness_mm=self.maybe("base.thickness", base.thickness_mm),
            density_kg_m3=self.maybe("base.density", base.density_kg_m3),
        )
        if ribs is not None:
            ribs = replace(
                ribs,
                thickness_mm=as_field(self.at("flange.ribs.thickness", ribs.thickness_mm)),
                along_mm=as_field(self.at("flange.ribs.along", ribs.along_mm)),
                out_mm=as_field(self.at("flange.ribs.out", ribs.out_mm)),
            )
        return replace(
            own,
            root_mm=as_field(self.root(own, thickness, wall)),
            engaged_mm=self.maybe("bolts.engaged", own.engaged_mm),
            base=base,
            ribs=ribs,
            spigot=None if own.spigot is None else self.spigot(own.spigot, base.bore_mm),
            gasket=None if own.gasket is None else self.gasket(own.gasket, thickness),
        )

    def root(self, own: Flange, thickness: Num, wall: Num) -> Num:
        """The fillet or the weld's leg between flange and barrel."""
        path, cast = _ROOTS[self.strut.construction], self.strut.construction == "cast"
        if path in self.values:
            return self.values[path]
        if self.loaded.says(path) or not self.varies("flange.thickness", *BARREL):
            return own.root_mm
        if cast:
            return rules.up_mm(rules.fillet_mm(thickness, wall, self.base.limits), self.half_mm)
        return rules.leg_mm(thickness, wall, rules.leg_share("none"), inch=self.inch)

    def spigot(self, own: Spigot, bore: Num) -> Spigot:
        """The spigot; of one in the base's bore whose size is not given it follows from that."""
        outside: Num = own.outside_mm
        if "spigot.outside_diameter" in self.values:
            outside = self.values["spigot.outside_diameter"]
        elif own.use == "base_bore" and not self.loaded.says("spigot.outside_diameter"):
            outside = bore - SPIGOT_CLEARANCE_MM
        inside = self.at("spigot.bore", own.bore_mm)
        self.bad = self.bad | (inside <= self.strut.shaft.diameter_mm) | (outside <= inside + rules.LEAST_WALL_MM)
        if own.use == "base_bore":
            self.bad = self.bad | (outside > bore)
        length = self.at("spigot.length", own.length_mm)
        return replace(own, outside_mm=as_field(outside), bore_mm=as_field(inside), length_mm=as_field(length))

    def gasket(self, own: Gasket, thickness: Num) -> Gasket:
        """The gasket and the recess for it."""
        made = replace(
            own,
            thickness_mm=as_field(self.at("flange.gasket.thickness", own.thickness_mm)),
            recess_mm=as_field(self.at(_RECESS[0], own.recess_mm)),
            recess_depth_mm=as_field(self.at(_RECESS[1], own.recess_depth_mm)),
        )
        if self.said.flange.gasket.recess is not None:
            inside: Num = 0.0
            if self.said.spigot is not None and self.says("spigot.outside_diameter"):
                inside = self.at("spigot.outside_diameter", self.said.spigot.outside_diameter or 0.0)
            self.bad = self.bad | (made.recess_depth_mm >= thickness) | (made.recess_mm <= inside)
        return made
