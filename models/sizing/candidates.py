"""A batch of candidates of one strut: arrays in place of the values that vary, resolved by the rules of `resolve`.

A candidate is a set of values at dotted paths of the file (mm, degrees, kW, kg, ...). `candidates` follows those values
into every size that depends on them, so that candidate n is the strut that the file with these values resolves to.
What cannot be followed is told by `why_not`; such a study resolves its candidates one by one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import ModuleType
from typing import Any

import numpy as np

from strutwright.models import frames, rules
from strutwright.models.arrays import Floats, Num, Triple
from strutwright.models.bolt_patterns import PATTERNS
from strutwright.models.families import called
from strutwright.models.input_parts import ArmInputs, PalmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.outline import OUTLINES
from strutwright.models.resolve import Resolved
from strutwright.models.resolve.palm import curve_fits
from strutwright.models.sections import kind_of
from strutwright.models.sizing import flange_candidates, hanger_candidates, let_in_candidates, shoe_candidates
from strutwright.models.sizing.batch import BARREL, PITCHES, PLAIN, Batch, boxed, edges, why_no_barrel
from strutwright.models.spec import Palm
from strutwright.models.struts import PalmShape, Struts
from strutwright.params.loader import Loaded

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
_PLAIN = {**PLAIN, "hull.thickness": "hull_mm"}
VARIABLES = (*BARREL, *_SECTION, *_ROOTS, *_PALM, *PITCHES, "set_screws.dimple_depth", *_PLAIN)
"""Paths whose values can be arrays; all others are resolved one by one."""
_BELONGS = {
    "cast": (
        "arms.root_fillet.",
        "web.root_fillet.",
        "skeg.root_fillet",
        "pattern.",
        "flange.root_fillet",
        "plate.root_fillet",
    ),
    "welded": ("welds.", "barrel.tube.", "flange.weld_leg", "boss.tube.", "plate.weld_leg"),
}
"""How paths begin that only a part of that construction has."""
_OF_FAMILY: Mapping[str, ModuleType] = {
    "flanged_housing": flange_candidates,
    "let_in_housing": let_in_candidates,
    "rudder_shoe": shoe_candidates,
    "shaft_hanger": hanger_candidates,
}
"""By kind of part, which module follows its values: its VARIABLES, `why_not` and `Candidates`."""


def strange(resolved: Resolved, paths: Sequence[str]) -> str | None:
    """Return which of these paths only a part of the other construction has, or None when none is such.

    >>> strange(resolved("canal-tender"), ["arms.root_fillet.barrel"])
    'arms.root_fillet.barrel belongs to a cast strut, and this one is welded'
    """
    own, kind = resolved.strut.construction, called(resolved.strut)
    return next(
        (
            f"{path} belongs to a {other} {kind}, and this one is {own}"
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
    if reason := strange(resolved, paths):
        return reason
    own = _OF_FAMILY.get(resolved.strut.family)
    for path in paths:
        if path not in (VARIABLES if own is None else own.VARIABLES):
            return f"{path} is worked out by rules that take one value"
    duty: Any = resolved.said.duty
    if "duty.shaft_speed" in paths and duty.engine_speed is not None and duty.gear_ratio is not None:
        return "duty.shaft_speed is held against that of engine and gear"
    found: str | None = (_why_not if own is None else own.why_not)(resolved, set(paths))
    return found


def _why_not(resolved: Resolved, names: set[str]) -> str | None:
    strut, said = resolved.strut, resolved.of_strut
    barrel, pattern = names & set(BARREL), PATTERNS[said.bolts.pattern.kind]
    if reason := why_no_barrel(strut, names, slots=True):
        return reason
    if strut.skeg is not None and (barrel or any(p.startswith("propeller.") for p in names)):
        return "the skeg goes with barrel and propeller"
    if names & {"palm.outline.length", "palm.outline.width", "palm.outline.corner_radius"}:
        if not OUTLINES[said.palm.outline.shape].boxed:
            return f"an outline of the shape {said.palm.outline.shape} is drawn one by one"
        if pattern.along_edge:
            return "bolts along the edge are placed one by one"
    if names & set(PITCHES) and not pattern.pitched:
        return f"bolts.pattern of the kind {said.bolts.pattern.kind} has no pitches"
    if names & {"palm.offset.forward", "palm.offset.port"} and not pattern.centred:
        return f"bolts.pattern of the kind {said.bolts.pattern.kind} is not moved with palm.offset"
    return None


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
    own = _OF_FAMILY.get(resolved.strut.family)
    make: type[Batch] = _Batch if own is None else own.Candidates
    return make(loaded, resolved, values, base).run()


class _Batch(Batch):
    def run(self) -> Struts:
        made, bearings, screws = self.barrel()
        drop = self.drop(made.get("barrel_length_mm", self.base.barrel_length_mm))
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

    def drop(self, length: Num) -> Num:
        """Square to the shaft, where it is given at an end of the barrel."""
        drop: Num = self.strut.hull.drop_square_to_shaft_mm
        at = {"mid": 0.0, "aft": -0.5, "forward": 0.5}[self.said.hull.drop.at]
        if at and self.varies("barrel.length"):
            drop = drop + at * (length - self.base.barrel_length_mm) * math.tan(math.radians(self.base.pitch_deg))
        return drop

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
        said, out, shapes = self.said.palm, [], []
        box = self.box("palm.outline", said.outline)
        for k, (own, palm) in enumerate(zip(self.base.palms, self.strut.palms, strict=True)):
            flip = -1.0 if len(self.strut.palms) > 1 and k == 1 else 1.0
            u: Num = self.at("palm.offset.forward", said.offset.forward)
            v: Num = flip * self.at("palm.offset.port", said.offset.port)
            change: dict[str, Any] = {"thickness_mm": thickness}
            if box is not None:
                change |= boxed(*box, u, v)
                long, wide, radius = box
                shapes.append(PalmShape.boxed(palm.outline, u, v, long, wide, radius))
            else:
                du, dv = u - said.offset.forward, v - flip * said.offset.port
                change |= {name: getattr(own, name) + du for name in ("centroid_u_mm", "aft_mm", "forward_mm")}
                change |= {name: getattr(own, name) + dv for name in ("centroid_v_mm", "starboard_mm", "port_mm")}
                shapes.append(PalmShape.moved(palm.outline, du, dv))
            if self.varies(*PITCHES, "palm.offset.forward", "palm.offset.port"):
                change |= self.holes(palm.holes, (said.offset.forward, flip * said.offset.port), u, v)
            if moved:
                change["zero_mm"] = self.zero(arms, palm, k, x, drop)
            made = replace(own, **change)
            if made.curve is not None:
                self.bad = self.bad | np.logical_not(curve_fits(made.curve, made.half_mm, made.thickness_mm))
                if said.bevel is not None:
                    self.bad = self.bad | (said.bevel.height >= made.least_mm)
            edge, to_box = edges(made, shapes[-1])
            if self.varies(*PITCHES, *_PALM[1:]):
                made = replace(made, edge_lost_mm=np.maximum(to_box - edge, 0.0))
            out.append(made)
        return tuple(out), tuple(shapes)

    def zero(self, arms: list[ArmInputs], palm: Palm, index: int, x: Num, drop: Num) -> Triple:
        """Where the arm axis (of a common palm: the middle of the arms) meets the hull face."""
        own = [a for a in arms if a.palm_index == index]
        n = frames.arm_direction(float(sum(a.clock_deg for a in own) / len(own)), float(own[0].rake_deg))
        hull = frames.plane_axes(0.0, palm.plane.pitch_deg, palm.plane.tilt_deg).n
        run = (drop * hull[2] - x * hull[0]) / float(n @ hull)
        self.bad = self.bad | (run * n[2] <= 0)
        return x + run * n[0], run * n[1], run * n[2]
