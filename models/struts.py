"""One strut, or many of one make-up: the same spec with arrays in the place of the sizes that vary.

A check reads the sizes from `Struts.strut` and never asks whether they are floats or arrays. What no size moves (clock
angles, the lie of the hull, kinds and names) is the same for all of them.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, NoReturn

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats, Num, as_field
from strutwright.models.input_parts import ArmInputs, FlangeInputs, HeelInputs, PalmInputs, ShoeInputs, SkegInputs
from strutwright.models.inputs import Inputs
from strutwright.models.once import KeepsAnswers
from strutwright.models.outline import Outline, OutlineError, box, tapered, width_at_mm
from strutwright.models.spec import Barrel, Bearing, BoreStep, Land, Palm, Strut, WaterSlots
from strutwright.models.spec_boat import Protection
from strutwright.models.spec_flange import Base, Flange, FlangePlane, Gasket, Ribs, Spigot
from strutwright.models.spec_hanger import Cap, CapBolt, Dowels, Hanger, SplitShims, UnderFoot
from strutwright.models.spec_let_in import Collar, DrawingHoles, LetIn, LockingScrew, Seat, Structure
from strutwright.models.spec_shoe import Shoe
from strutwright.params import schema_boat


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PalmShape:
    """A palm's outline as a rectangle with round corners, mm: middle, half sizes less the radius, radius.

    fixed: the outline is of another shape and does not vary; it is moved by the middle, the rest has no meaning.
    slope: of one that tapers how much wider it is on each side per mm forward, core_v_mm then holds in the middle.
    """

    middle_u_mm: Num
    middle_v_mm: Num
    core_u_mm: Num
    core_v_mm: Num
    radius_mm: Num
    fixed: bool
    outline: Outline
    """As the file has it, at its own place."""
    slope: Num = 0.0

    @classmethod
    def boxed(cls, outline: Outline, u: Num, v: Num, long: Num, wide: Num, radius: Num) -> PalmShape:
        """Return a box, long by wide (mm), with its middle at u, v."""
        core_u, core_v = long / 2 - radius, wide / 2 - radius
        return cls(
            middle_u_mm=u,
            middle_v_mm=v,
            core_u_mm=core_u,
            core_v_mm=core_v,
            radius_mm=radius,
            fixed=False,
            outline=outline,
        )

    @classmethod
    def moved(cls, outline: Outline, u: Num = 0.0, v: Num = 0.0) -> PalmShape:
        """Return an outline that does not vary, moved by u, v (mm)."""
        return cls(
            middle_u_mm=u, middle_v_mm=v, core_u_mm=0.0, core_v_mm=0.0, radius_mm=0.0, fixed=True, outline=outline
        )

    @property
    def tapers(self) -> bool:
        """Whether its sides are not parallel."""
        return np.ndim(self.slope) > 0 or self.slope != 0.0

    def inside_mm(self, u: Num, v: Num) -> Num:
        """Return the distance (mm) of points (palm axes) from the outline, positive inside."""
        if not self.fixed:
            at = u - self.middle_u_mm, v - self.middle_v_mm
            if self.tapers:
                return tapered_inside_mm(*at, self.core_u_mm, self.core_v_mm, self.radius_mm, self.slope)
            return box_inside_mm(*at, self.core_u_mm, self.core_v_mm, self.radius_mm)
        points = np.stack(np.broadcast_arrays(u - self.middle_u_mm, v - self.middle_v_mm), axis=-1)
        return self.outline.distance_to_boundary(points).reshape(points.shape[:-1])[()]

    def nearest_mm(self, places: Sequence[tuple[Num, Num]]) -> Num:
        """Return the least of the distances (mm) of points (palm axes) from the outline, positive inside."""
        if not self.fixed:
            return functools.reduce(np.minimum, [self.inside_mm(u, v) for u, v in places])
        rows = np.broadcast_arrays(*(x for place in places for x in place))
        nearest: Num = np.min(self.inside_mm(np.stack(rows[::2]), np.stack(rows[1::2])), axis=0)[()]
        return nearest

    def width_at_mm(self, u: Num) -> Floats:
        """Return how wide it is at u (palm axes), mm; 0 where it does not reach."""
        u = u - self.middle_u_mm
        if self.fixed:
            return width_at_mm(self.outline, u)
        radius, slope = self.radius_mm, self.slope
        turn = radius * slope / np.hypot(1.0, slope)  # from the middle of a corner back to where its side begins
        half = self.core_v_mm + radius * np.hypot(1.0, slope) + slope * u
        for way in (1.0, -1.0):
            beyond = way * u - self.core_u_mm
            corner = self.core_v_mm + way * slope * self.core_u_mm
            corner = corner + np.sqrt(np.maximum(radius * radius - beyond * beyond, 0.0))
            half = np.where(beyond > -way * turn, corner, half)
        width: Floats = np.where(np.abs(u) <= self.core_u_mm + radius, 2.0 * half, 0.0)
        return width

    def of(self, which: NDArray[np.intp]) -> PalmShape:
        """Return the outlines of some of the struts."""
        sizes = ("middle_u_mm", "middle_v_mm", "core_u_mm", "core_v_mm", "radius_mm", "slope")
        varies: dict[str, Any] = {name: v[which] for name in sizes if np.ndim(v := getattr(self, name))}
        return replace(self, **varies)

    def span_mm(self, along_u: float, along_v: float) -> tuple[Num, Num]:
        """Return the least and the greatest of u along_u + v along_v over the outline, mm."""
        middle = self.middle_u_mm * along_u + self.middle_v_mm * along_v
        if self.fixed:
            points = self.outline.polyline(0.05) @ np.array([along_u, along_v])
            return middle + float(points.min()), middle + float(points.max())
        beside = self.core_v_mm * abs(along_v) + self.radius_mm * math.hypot(along_u, along_v)
        # Of one that tapers the corners of the wider end reach farther.
        back, ahead = (self.core_u_mm * np.abs(self.slope * abs(along_v) + way * along_u) for way in (-1.0, 1.0))
        return middle - beside - back, middle + beside + ahead


def box_inside_mm(u: Num, v: Num, core_u_mm: Num, core_v_mm: Num, radius_mm: Num) -> Num:
    """Return the distance (mm) of points from a rectangle with round corners, positive inside.

    u, v: from its middle; core: half its sizes less the radius of its corners.

    >>> float(box_inside_mm(0.0, 0.0, 40.0, 20.0, 10.0))  # the nearest side is 20 + 10 away
    30.0
    """
    du, dv = np.abs(u) - core_u_mm, np.abs(v) - core_v_mm
    within = np.minimum(np.maximum(du, dv), 0.0)
    out_u, out_v = np.maximum(du, 0.0), np.maximum(dv, 0.0)
    inside: Num = radius_mm - np.sqrt(out_u * out_u + out_v * out_v) - within
    return inside


def tapered_inside_mm(u: Num, v: Num, core_u_mm: Num, core_v_mm: Num, radius_mm: Num, slope: Num) -> Num:
    """Return the distance (mm) of points from a trapezium with round corners, positive inside.

    u, v: from its middle; core: half its length and its half width in the middle, less the radius of its corners, taken
    square to its sides; slope: how much wider it is on each side per unit of u.

    >>> float(tapered_inside_mm(0.0, 0.0, 40.0, 20.0, 10.0, 0.0))  # a rectangle
    30.0
    """
    v = np.abs(v)
    ahead, beside = np.abs(u) - core_u_mm, (v - core_v_mm - slope * u) / np.hypot(1.0, slope)
    within = np.maximum(ahead, beside)
    aft, forward = core_v_mm - slope * core_u_mm, core_v_mm + slope * core_u_mm
    # Out of the core: to the nearest of its side and its two ends.
    share = np.clip(((u + core_u_mm) + slope * (v - aft)) / (1.0 + slope * slope), 0.0, 2.0 * core_u_mm)
    side = np.hypot(u + core_u_mm - share, v - aft - slope * share)
    ends = [np.hypot(u - at, np.maximum(v - half, 0.0)) for at, half in ((-core_u_mm, aft), (core_u_mm, forward))]
    out = np.minimum(side, np.minimum(*ends))
    inside: Num = radius_mm - np.where(within > 0.0, out, within)
    return inside


def holes_of(palm: PalmInputs) -> list[tuple[Num, Num]]:
    """Return the hole centres of a palm one by one, each a float or an array over struts.

    >>> len(holes_of(engineering_inputs("canal-tender").palms[0]))
    6
    """
    us, vs = (np.moveaxis(np.asarray(x, dtype=float), -1, 0) for x in (palm.holes_u_mm, palm.holes_v_mm))
    return [(_one(u), _one(v)) for u, v in zip(us, vs, strict=True)]


def _one(x: Any) -> Num:
    return float(x) if np.ndim(x) == 0 else np.ascontiguousarray(x)


class _Varies:
    """Stands for an outline that is another one for each strut."""

    def __getattr__(self, name: str) -> NoReturn:
        raise TypeError(f"the outline varies: `Struts.palms` has what can be asked of it, not `{name}`")


@dataclass(frozen=True, kw_only=True, eq=False)
class Struts(KeepsAnswers):
    """Struts of one make-up. Numbers are floats where nothing varies, else arrays (count,).

    own: the file's, for all that does not vary. buildable: whether the sizes can be built at all. palms: their
    outlines. bearings_mm: stations of their ends; screws_mm: of the set screws; drop_mm: square to the shaft.
    """

    own: Strut
    count: int
    made_inputs: Callable[[], Inputs]
    buildable: NDArray[np.bool_]
    palms: tuple[PalmShape, ...]
    bearings_mm: tuple[tuple[Num, Num], ...]
    screws_mm: tuple[Num, ...]
    drop_mm: Num
    flange: Flange | None = None
    """Of a housing, with the sizes that vary, but for outline, thickness and holes; None: as the own one."""
    slots: WaterSlots | None = None
    """Of the barrel, likewise."""
    let_in: LetIn | None = None
    """How a let-in housing is let in, likewise."""
    lands: tuple[Land, ...] | None = None
    """Of the barrel, likewise."""
    steps: tuple[BoreStep, ...] | None = None
    bearings: tuple[Bearing, ...] | None = None
    """Likewise, but for where they stand."""
    shoe: Shoe | None = None
    """Likewise."""
    chosen: tuple[Struts, NDArray[np.intp]] | None = None
    """Of some of many: the many, and which of them."""

    @classmethod
    def of(cls, strut: Strut, loads: schema_boat.Loads | None = None) -> Struts:
        """Return a single strut."""
        made = cls(
            own=strut,
            count=1,
            made_inputs=lambda: Inputs.from_strut(strut, loads),
            buildable=np.array([True]),
            palms=tuple(PalmShape.moved(p.outline) for p in strut.plates),
            bearings_mm=tuple((b.aft_station_mm, b.forward_station_mm) for b in strut.bearings),
            screws_mm=tuple(s.station_mm for s in strut.set_screws),
            drop_mm=strut.hull.drop_square_to_shaft_mm,
        )
        made.__dict__["strut"], made.__dict__["alike"] = strut, [(strut, np.array([0]))]
        return made

    @functools.cached_property
    def inputs(self) -> Inputs:
        """The inputs of the engineering."""
        return self.made_inputs()

    @functools.cached_property
    def hole_edge_mm(self) -> tuple[Num, ...]:
        """Palm by palm, the distance (mm) of the hole centre nearest to the outline."""
        return tuple(
            shape.nearest_mm(holes_of(palm)) for shape, palm in zip(self.palms, self.inputs.palms, strict=True)
        )

    @functools.cached_property
    def strut(self) -> Strut:
        """The strut with arrays in the sizes that vary. Of a palm whose outline varies ask `palms`."""
        made = self._with(as_field, lambda _: _Varies())
        assert made is not None
        return made

    def one(self, n: int) -> Strut | None:
        """Return strut n with the sizes that the checks look at; None where its palm has no outline."""

        def pick(x: Num) -> float:
            return float(x) if np.ndim(x) == 0 else float(np.broadcast_to(x, (self.count,))[n])

        return self._with(pick, lambda shape: _outline(shape, pick))

    def some(self, which: NDArray[np.intp]) -> Struts:
        """Return some of the struts, in this order.

        >>> whole = Struts.of(shipped("canal-tender"))
        >>> whole.some(np.array([0])).count
        1
        """
        kept: dict[int, Any] = {}

        def pick(x: Any, per_strut: int = 1) -> Any:
            if isinstance(x, tuple):
                return tuple(pick(part) for part in x)
            if isinstance(x, _OF_SPEC):
                return _picked(x, pick)
            if isinstance(x, _OF_MANY):
                # Holes lie along a last axis of their own.
                axes = {f.name: 2 if f.name.startswith("holes_") else 1 for f in fields(x)}
                return replace(x, **{name: pick(getattr(x, name), n) for name, n in axes.items()})
            if np.ndim(x) < per_strut:
                return x
            # One array stays one, so that what is worked out of it is worked out once.
            if id(x) not in kept:
                kept[id(x)] = x[which]
            return kept[id(x)]

        inputs = pick(self.inputs)
        return replace(
            self,
            chosen=(self, which),
            count=len(which),
            made_inputs=lambda: inputs,
            buildable=self.buildable[which],
            palms=tuple(shape.of(which) for shape in self.palms),
            bearings_mm=pick(self.bearings_mm),
            screws_mm=pick(self.screws_mm),
            drop_mm=pick(self.drop_mm),
            flange=_picked(self.flange, pick),
            slots=_picked(self.slots, pick),
            let_in=_picked(self.let_in, pick),
            lands=_picked(self.lands, pick),
            steps=_picked(self.steps, pick),
            bearings=_picked(self.bearings, pick),
            shoe=_picked(self.shoe, pick),
        )

    def touched(self) -> NDArray[np.float64]:
        """Return the sizes that a root's ball may touch (struts, sizes), mm.

        >>> Struts.of(shipped("canal-tender")).touched().shape  # of barrel and drop 7, arm 8, palm 4
        (1, 19)
        """
        i = self.inputs
        out: list[Num] = [
            i.barrel_length_mm,
            i.barrel_outside_mm,
            i.aft_end_length_mm,
            i.aft_end_diameter_mm,
            i.forward_end_length_mm,
            i.forward_end_diameter_mm,
            self.drop_mm,
        ]
        for arm in i.arms:
            out += [arm.x_mm, *(getattr(arm, name) for name in ARM_SIZES)]
        for palm in i.palms:
            out += [palm.thickness_mm, *palm.zero_mm]
        return np.stack([np.broadcast_to(np.asarray(x, dtype=float), (self.count,)) for x in out], axis=1)

    @functools.cached_property
    def alike(self) -> list[tuple[Strut, NDArray[np.intp]]]:
        """The struts that can be built, sorted by the sizes that a root's ball may touch: one of them, and which."""
        which = np.flatnonzero(self.buildable)
        _, first, back, counts = np.unique(
            self.touched()[which], axis=0, return_index=True, return_inverse=True, return_counts=True
        )
        groups = np.split(which[np.argsort(np.reshape(back, -1), kind="stable")], np.cumsum(counts)[:-1])
        made = ((self.one(int(which[n])), those) for n, those in zip(first, groups, strict=True))
        return [(strut, those) for strut, those in made if strut is not None] if len(which) else []

    def _with(self, pick: Callable[[Num], float], outline: Callable[[PalmShape], Any]) -> Strut | None:
        i, s = self.inputs, self.own

        def given(x: Num) -> float | None:
            x = pick(x)
            return None if np.ndim(x) == 0 and math.isnan(x) else x

        def sizes_of(arm: ArmInputs) -> dict[str, Any]:
            return {name: pick(getattr(arm, name)) for name in ARM_SIZES}

        barrel = self._barrel(pick)
        palms = [self._plate(k, pick, outline) for k in range(len(s.plates))]
        if any(p is None for p in palms):
            return None
        dimples = [i.dimple_mm if np.ndim(i.dimple_mm) else w.dimple_depth_mm for w in s.set_screws]
        return replace(
            s,
            barrel=barrel,
            bearings=tuple(
                replace(_picked(b, pick), aft_station_mm=pick(aft))
                for b, (aft, _) in zip(self.bearings or s.bearings, self.bearings_mm, strict=True)
            ),
            arms=tuple(
                replace(arm, station_mm=pick(a.x_mm) + barrel.length_mm / 2, **sizes_of(a))
                for arm, a in zip(s.arms, i.arms, strict=True)
            ),
            palms=tuple(p for p in palms if isinstance(p, Palm)),
            flange=None if s.flange is None else palms[0],
            hanger=_picked(i.hanger, pick),
            let_in=s.let_in if self.let_in is None else _picked(self.let_in, pick),
            shoe=s.shoe if self.shoe is None else _picked(self.shoe, pick),
            set_screws=tuple(
                replace(w, station_mm=pick(at), dimple_depth_mm=pick(deep))
                for w, at, deep in zip(s.set_screws, self.screws_mm, dimples, strict=True)
            ),
            shaft=replace(s.shaft, bearing_span_mm=given(i.bearing_span_mm)),
            hull=replace(s.hull, drop_square_to_shaft_mm=pick(self.drop_mm), thickness_mm=given(i.hull_mm)),
            propeller=replace(
                s.propeller,
                diameter_mm=given(i.propeller_mm),
                mass_kg=given(i.propeller_kg),
                pitch_mm=given(i.propeller_pitch_mm),
                hub_gap_mm=given(i.hub_gap_mm),
                hub_length_mm=given(i.hub_length_mm),
            ),
            duty=replace(
                s.duty,
                power_kw=given(i.power_kw),
                shaft_rpm=given(i.shaft_rpm),
                idle_rpm=given(i.idle_rpm),
                boat_speed_kn=given(i.boat_speed_kn),
            ),
        )

    def _barrel(self, pick: Callable[[Num], float]) -> Barrel:
        i, own = self.inputs, self.own.barrel
        ends = [
            replace(end, length_mm=pick(size), end_diameter_mm=pick(diameter))
            for end, size, diameter in (
                (own.aft_end, i.aft_end_length_mm, i.aft_end_diameter_mm),
                (own.forward_end, i.forward_end_length_mm, i.forward_end_diameter_mm),
            )
        ]
        return replace(
            own,
            length_mm=pick(i.barrel_length_mm),
            outside_mm=pick(i.barrel_outside_mm),
            aft_end=ends[0],
            forward_end=ends[1],
            slots=own.slots if self.slots is None else _picked(self.slots, pick),
            lands=own.lands if self.lands is None else _picked(self.lands, pick),
            steps=own.steps if self.steps is None else tuple(_picked(step, pick) for step in self.steps),
        )

    def _plate(self, index: int, pick: Callable[[Num], float], outline: Callable[[PalmShape], Any]) -> Any:
        own, shape, plate = self.inputs.palms[index], self.palms[index], self.own.plates[index]
        made = outline(shape)
        if made is None:
            return None
        holes = tuple(
            replace(h, u_mm=pick(u), v_mm=pick(v)) for h, (u, v) in zip(plate.holes, holes_of(own), strict=True)
        )
        if self.flange is not None:
            plate = _picked(self.flange, pick)
        plate = replace(plate, thickness_mm=pick(own.thickness_mm), outline=made, holes=holes)
        if not isinstance(plate, Palm):
            return plate
        zero = tuple(pick(z) for z in own.zero_mm)
        plane = replace(plate.plane, drop_mm=pick(self.drop_mm))
        return replace(plate, zero_mm=(zero[0], zero[1], zero[2]), plane=plane)


def _picked(part: Any, pick: Callable[[Any], Any]) -> Any:
    """A part of the spec, or several, with what varies in it picked."""
    if isinstance(part, np.ndarray):
        return pick(part)
    if isinstance(part, tuple):
        return tuple(_picked(one, pick) for one in part)
    varies = {
        f.name: _picked(v, pick)
        for f in (fields(part) if isinstance(part, _OF_SPEC) else ())
        if isinstance(v := getattr(part, f.name), (np.ndarray, tuple, *_OF_SPEC))
    }
    return replace(part, **varies) if varies else part


_OF_FLANGE = (Flange, FlangePlane, Base, Spigot, Ribs, Gasket)
_OF_LET_IN = (LetIn, Seat, Structure, Collar, LockingScrew, DrawingHoles)
_OF_HANGER = (Hanger, Cap, CapBolt, Dowels, SplitShims, UnderFoot)
_OF_SPEC = (*_OF_FLANGE, *_OF_LET_IN, *_OF_HANGER, Land, WaterSlots, BoreStep, Bearing, Shoe)
"""Parts of the spec in which sizes may be arrays over struts."""
_OF_MANY = (Inputs, ArmInputs, PalmInputs, FlangeInputs, SkegInputs, HeelInputs, ShoeInputs, Protection, *_OF_HANGER)
"""What holds quantities that may be arrays over struts."""
ARM_SIZES = (
    "chord_barrel_mm",
    "thickness_barrel_mm",
    "chord_palm_mm",
    "thickness_palm_mm",
    "edge_radius_mm",
    "barrel_root_mm",
    "palm_root_mm",
)


def _outline(shape: PalmShape, pick: Callable[[Num], float]) -> Outline | None:
    middle = pick(shape.middle_u_mm), pick(shape.middle_v_mm)
    if shape.fixed:
        return shape.outline.translate(*middle)
    radius = pick(shape.radius_mm)
    long, wide = 2 * (pick(shape.core_u_mm) + radius), 2 * (pick(shape.core_v_mm) + radius)
    try:
        if shape.tapers:
            slope = pick(shape.slope)
            half = pick(shape.core_v_mm) + radius * math.hypot(1.0, slope)
            ends = (2 * half + slope * long, 2 * half - slope * long)
            return tapered(long, *ends, radius).translate(*middle)
        return box(long, wide, radius).translate(*middle)
    except OutlineError:
        return None
