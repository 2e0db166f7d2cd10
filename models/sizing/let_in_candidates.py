"""A batch of candidates of one let-in housing; see `sizing.candidates`."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from strutwright.models import rules
from strutwright.models.arrays import Floats, Num, as_field
from strutwright.models.geometry.barrel import is_faired
from strutwright.models.resolve import Resolved
from strutwright.models.resolve.let_in import (
    GAP_MM,
    dimple_mm,
    lands_of,
    least_face_mm,
    usual_circle_mm,
    usual_entry_mm,
    usual_leg_mm,
)
from strutwright.models.sizing.batch import BARREL, PLAIN, SLOTS, Batch, why_no_barrel
from strutwright.models.spec import Barrel, Land
from strutwright.models.spec_let_in import Collar, DrawingHoles, LetIn, LockingScrew, Seat, Structure
from strutwright.models.struts import Struts
from strutwright.params import tables

_COLLAR = ("collar.diameter", "collar.thickness")
_BORED = ("structure.counterbore.diameter", "structure.counterbore.depth")
_FLAT = ("structure.thickness", "structure.above", "structure.below")
_ROUND = ("structure.outside_diameter",)
_STRUCTURE = (*_FLAT, *_ROUND, "structure.depth", "structure.off_line", *_BORED)
_ENTRY = ("entry.length", "entry.angle")
_STEPS = tuple(f"outside_steps[{k}].{size}" for k in range(3) for size in ("length", "diameter"))
_HOLD = {
    "pressed": ("pressed.press_force",),
    "bedded": ("bedded.gap", "bedded.hole", "bedded.shear"),
    "welded": ("welded.leg", "welded.clearance"),
}
_BITE = "locking_screws.bite"
_PLACES = tuple(f"locking_screws.positions[{k}].distance" for k in range(12))
_DRAWING = ("drawing_holes.circle", "drawing_holes.depth")
_OUTSIDE = (*BARREL, *_COLLAR, *_ENTRY, *_STEPS, "stands_out")
"""What moves the outside of the housing."""
VARIABLES = (
    *BARREL,
    *_COLLAR,
    *_STRUCTURE,
    *_ENTRY,
    *_STEPS,
    "stands_out",
    *(path for paths in _HOLD.values() for path in paths),
    _BITE,
    *_PLACES,
    *_DRAWING,
    "set_screws.dimple_depth",
    SLOTS,
    *PLAIN,
)
"""Paths whose values can be arrays; all others are resolved one by one."""


def why_not(resolved: Resolved, names: set[str]) -> str | None:
    """Return why values at these paths of VARIABLES cannot be followed as arrays, or None when they can.

    >>> why_not(resolved("tube-liner-pair"), {"collar.thickness"})
    'the housing has no collar'
    """
    said: Any = resolved.said
    strut, it = resolved.strut, resolved.strut.let_in
    assert it is not None
    own = it.structure
    if reason := why_no_barrel(strut, names):
        return reason
    for hold, paths in _HOLD.items():
        if hold != it.hold and names & set(paths):
            return f"the housing is not {hold}"
    if "stands_out" in names and it.collar is not None:
        return "stands_out follows from the collar"
    if "stands_out" in names and it.stands_out_mm <= 0:
        return "a housing that is flush in the file is not held to what bends one that stands out"
    other = names & set(_ROUND if own.outside_mm is None else _FLAT)
    if other:
        return f"{min(other)} has no meaning for the structure {own.kind}"
    counts = (len(said.outside_steps), len(it.locking))
    for parts, missing, called in (
        (_COLLAR, it.collar is None, "collar"),
        (_BORED, own.counterbore_mm <= 0, "counterbore"),
        ((_BITE,), not it.locking, "locking screws"),
        (_DRAWING, it.drawing is None, "drawing holes"),
        ((SLOTS,), strut.barrel.slots is None, "water slots"),
        (_STEPS[2 * counts[0] :], True, f"step outside beyond its {counts[0]}"),
        (_PLACES[counts[1] :], True, f"locking screw beyond its {counts[1]}"),
        (_ENTRY, said.entry is None, "entry of its own in the file"),
        (("drawing_holes.depth",), it.drawing is not None and it.drawing.way == "jack", "depth of its jacking holes"),
    ):
        if missing and names & set(parts):
            return f"the housing has no {called}"
    return None


class Candidates(Batch):
    """Candidates of one let-in housing."""

    let_in: LetIn
    lands: tuple[Land, ...]

    def run(self) -> Struts:
        """Return them."""
        own = self.strut.let_in
        assert own is not None
        made, bearings, screws = self.barrel()
        outside = made.get("barrel_outside_mm", self.base.barrel_outside_mm)
        length = made.get("barrel_length_mm", self.base.barrel_length_mm)
        slots = self.slots(made, length, outside)
        for path, name in PLAIN.items():
            if path in self.values:
                made[name] = self.values[path]
        sizes: dict[str, Any] = dict(made)  # by their names in `Inputs`
        inputs = replace(self.base, let_in=self.let_in, **sizes)
        return Struts(
            own=self.strut,
            count=self.count,
            made_inputs=lambda: inputs,
            buildable=np.array(~np.broadcast_to(self.bad, (self.count,))),
            palms=(),
            bearings_mm=bearings,
            screws_mm=screws,
            drop_mm=self.strut.hull.drop_square_to_shaft_mm,
            slots=slots,
            let_in=self.let_in,
            lands=self.lands,
        )

    def dressed(self, barrel: Barrel) -> Barrel:
        """The barrel with collar, steps and chamfer; here it is known how it is let in."""
        own = self.strut.let_in
        assert own is not None
        self.let_in = self.in_structure(own, barrel)
        self.lands = self.landed(own, barrel)
        return replace(barrel, lands=self.lands)

    def outside_varies(self) -> bool:
        """Whether the outside varies that set screws go through."""
        return self.varies(*_OUTSIDE)

    # --- the structure ----------------------------------------------------------------------------------------------

    def in_structure(self, own: LetIn, barrel: Barrel) -> LetIn:
        """How it is let in."""
        aft, length = own.entered_from == "aft", barrel.length_mm
        collar = own.collar
        if collar is not None:
            collar = Collar(
                diameter_mm=as_field(self.at(_COLLAR[0], collar.diameter_mm)),
                thickness_mm=as_field(self.at(_COLLAR[1], collar.thickness_mm)),
            )
        out: Num = self.at("stands_out", own.stands_out_mm) if collar is None else collar.thickness_mm
        self.bad = self.bad | (out >= length)
        self.faired(own, barrel)
        runs = self.runs(length - out, barrel)
        structure = self.structure(own.structure)

        def station(from_mouth_mm: Num) -> float:
            return as_field(out + from_mouth_mm if aft else length - out - from_mouth_mm)

        low, high, across = runs[-1]
        entry: Num = self.at("entry.length", own.entry_mm)
        if self.said.entry is None and self.varies(*_OUTSIDE):
            entry = usual_entry_mm(across, high - low, self.base.bore_mm, self.half_mm)
        self.bad = self.bad | (entry >= high - low)
        seats = zip(own.seats, runs, strict=True)
        return replace(
            own,
            stands_out_mm=as_field(out),
            mouth_mm=station(0.0),
            inner_mm=station(length - out),
            seats=tuple(self.seat(seat, station, *run) for seat, run in seats),
            structure=structure,
            collar=collar,
            entry_mm=as_field(entry),
            entry_deg=as_field(self.at("entry.angle", own.entry_deg)),
            weld_leg_mm=as_field(self.leg(own, structure, barrel)),
            bond_mpa=self.maybe("bedded.shear", own.bond_mpa),
            press_n=self.maybe("pressed.press_force", own.press_n),
            locking=tuple(self.locked(k, screw, station, length - out) for k, screw in enumerate(own.locking)),
            drawing=None if own.drawing is None else self.drawn(own.drawing, barrel, collar),
        )

    def faired(self, own: LetIn, barrel: Barrel) -> None:
        """Leave out what has a fairing where it goes in, or under its collar."""
        ends = (barrel.aft_end, barrel.forward_end)
        outer, inner = ends if own.entered_from == "aft" else ends[::-1]
        self.bad = self.bad | is_faired(barrel, inner)
        if own.collar is not None:
            self.bad = self.bad | is_faired(barrel, outer)

    def structure(self, own: Structure) -> Structure:
        """What it is let into."""
        return replace(
            own,
            thickness_mm=self.maybe("structure.thickness", own.thickness_mm),
            outside_mm=self.maybe("structure.outside_diameter", own.outside_mm),
            above_mm=self.maybe("structure.above", own.above_mm),
            below_mm=self.maybe("structure.below", own.below_mm),
            depth_mm=as_field(self.at("structure.depth", own.depth_mm)),
            off_line_mm=as_field(self.at("structure.off_line", own.off_line_mm)),
            counterbore_mm=as_field(self.at(_BORED[0], own.counterbore_mm)),
            counterbore_depth_mm=as_field(self.at(_BORED[1], own.counterbore_depth_mm)),
        )

    def leg(self, own: LetIn, structure: Structure, barrel: Barrel) -> Num:
        """The leg of the fillet at the mouth."""
        if own.hold != "welded" or self.says("welded.leg"):
            return self.at("welded.leg", own.weld_leg_mm)
        return usual_leg_mm(structure, barrel.outside_mm, self.base.bore_mm, inch=self.inch)

    # --- seats ------------------------------------------------------------------------------------------------------

    def runs(self, long: Num, barrel: Barrel) -> list[tuple[Num, Num, Num]]:
        """Lengths of the outside in the structure, as (from the mouth, to, diameter), the outermost first."""
        out, at, wider = list[tuple[Num, Num, Num]](), long, barrel.outside_mm
        steps = [
            (self.at(f"outside_steps[{k}].length", s.length), self.at(f"outside_steps[{k}].diameter", s.diameter))
            for k, s in enumerate(self.said.outside_steps)
        ]
        for _, across in steps[::-1]:
            self.bad = self.bad | (across >= wider - 1e-9) | (across <= self.base.bore_mm + rules.LEAST_WALL_MM)
            wider = as_field(across)
        for run, across in steps:
            out.append((at - run, at, across))
            at = at - run
        self.bad = self.bad | (at < 1.0)
        return [(0.0, at, barrel.outside_mm), *out[::-1]]

    def seat(self, own: Seat, station: Any, low: Num, high: Num, across: Num) -> Seat:
        """One seat, and the hole for it."""
        ends, hold = (station(low), station(high)), self.said.hold
        aft, forward = ends if self.said.entered_from == "aft" else ends[::-1]
        made = replace(own, from_station_mm=aft, to_station_mm=forward, outside_mm=as_field(across))
        if hold == "bedded":
            return replace(made, hole_mm=as_field(across + 2 * self.gap()))
        if hold == "welded":
            return replace(made, hole_mm=as_field(across + self.at("welded.clearance", self.said.welded.clearance)))
        made = replace(made, hole_mm=as_field(across))
        if not self.varies(*_OUTSIDE):
            return made
        limits: list[Floats] = []
        for symbol in (self.said.pressed.sleeve_class, self.said.pressed.hole_class):
            limits += tables.iso286_of_many(symbol, np.asarray(across))
        self.bad = self.bad | np.isnan(limits[0])
        lower, upper, hole_lower, hole_upper = map(as_field, limits)
        return replace(
            made, outside_lower_mm=lower, outside_upper_mm=upper, hole_lower_mm=hole_lower, hole_upper_mm=hole_upper
        )

    def gap(self) -> Num:
        """The gap for resin on the radius: as said, or what a hole that is there leaves."""
        said = self.said.bedded
        hole, gap = self.values.get("bedded.hole", said.hole), self.values.get("bedded.gap", said.gap)
        if hole is None:
            return GAP_MM if gap is None else gap
        left: Num = (hole - self.outside_mm) / 2
        self.bad = self.bad | (left < 0.05)
        if gap is not None:
            self.bad = self.bad | (np.abs(gap - left) > 0.01)
        return left

    @property
    def outside_mm(self) -> Num:
        """Of the housing."""
        if "barrel.wall" in self.values:
            return self.base.bore_mm + 2 * self.values["barrel.wall"]
        return self.at("barrel.outside_diameter", self.base.barrel_outside_mm)

    # --- outside, screws --------------------------------------------------------------------------------------------

    def landed(self, own: LetIn, barrel: Barrel) -> tuple[Land, ...]:
        """The collar, the steps and the chamfer."""
        if not self.varies(*_OUTSIDE):
            return barrel.lands
        it = self.let_in
        face = it.seats[-1].outside_mm - 2 * it.entry_mm * np.tan(np.radians(it.entry_deg))
        self.bad = self.bad | (face <= least_face_mm(barrel, own.entered_from))
        return lands_of(barrel, it, face)

    def locked(self, index: int, own: LockingScrew, station: Any, long: Num) -> LockingScrew:
        """One locking screw."""
        away: Num = self.at(_PLACES[index], own.from_mouth_mm)
        self.bad = self.bad | (away > long + 1e-9)
        made = replace(own, from_mouth_mm=as_field(away), station_mm=station(away))
        if _BITE not in self.values:
            return made
        bite = self.values[_BITE]
        return replace(made, bite_mm=as_field(bite), width_mm=as_field(dimple_mm(own.point, bite, own.thread)))

    def drawn(self, own: DrawingHoles, barrel: Barrel, collar: Collar | None) -> DrawingHoles:
        """The drawing holes."""
        circle: Num = own.circle_mm
        if _DRAWING[0] in self.values:
            circle = self.values[_DRAWING[0]]
        elif not self.loaded.says(_DRAWING[0]) and self.varies(*_OUTSIDE):
            diameter = None if collar is None else collar.diameter_mm
            circle = usual_circle_mm(barrel, self.said.entered_from, own.way, diameter)
        deep: Num = self.at(_DRAWING[1], own.depth_mm)
        if own.way == "jack" and collar is not None:
            deep = collar.thickness_mm
        return replace(own, circle_mm=as_field(circle), depth_mm=as_field(deep))
