"""The quantities that the engineering takes of one arm, one palm, the skeg and its heel; see `models.inputs`."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Floats, Num, Triple
from strutwright.models.geometry.flange import off_square_deg
from strutwright.models.geometry.skeg import fin_kind
from strutwright.models.hull_curve import HullCurve
from strutwright.models.sections import SectionProperties, any_properties, kind_of
from strutwright.models.spec import Arm, Barrel, Plate, Skeg, Strut
from strutwright.models.spec_flange import Flange
from strutwright.models.spec_shoe import Shoe


@dataclass(frozen=True, slots=True, kw_only=True)
class ArmInputs:
    """One arm; angles and words as in `models.spec`. Distances along the axis are taken from the shaft line."""

    name: str
    palm_index: int
    shape: str
    """The edges are half round all along."""
    clock_deg: Num
    rake_deg: Num
    toe_deg: Num
    x_mm: Num
    """Where the axis leaves the shaft line, from mid-barrel, forward positive."""
    start_mm: Num
    """Along the axis to the barrel's outside."""
    water_mm: Num
    """Along the axis to the palm's water face."""
    end_mm: Num
    """Along the axis to the hull face."""
    chord_barrel_mm: Num
    thickness_barrel_mm: Num
    chord_palm_mm: Num
    thickness_palm_mm: Num
    edge_radius_mm: Num
    barrel_root_mm: Num
    palm_root_mm: Num
    cut: Num = 1.0
    """Volume per section area and length of axis: below 1 where sections are not square to the axis."""
    chord_into_palm: Num = 0.0
    """How far along the axis the water face comes nearer per mm forward along the chord."""
    along_flow: bool = False
    """The chord runs along the trace of the hull, not along the shaft."""

    @property
    def length_mm(self) -> Num:
        """From the barrel's outside to the hull face, along the axis."""
        return self.end_mm - self.start_mm

    @property
    def direction(self) -> Triple:
        """Unit vector from the shaft line to the hull, strut frame."""
        clock, rake = np.radians(self.clock_deg), np.radians(self.rake_deg)
        return -np.sin(rake), np.cos(rake) * np.sin(clock), np.cos(rake) * np.cos(clock)

    def size_at(self, along_mm: Num) -> tuple[Num, Num]:
        """Return (chord, thickness), mm, at a distance along the axis."""
        k = (along_mm - self.start_mm) / (self.end_mm - self.start_mm)
        return (
            self.chord_barrel_mm + k * (self.chord_palm_mm - self.chord_barrel_mm),
            self.thickness_barrel_mm + k * (self.thickness_palm_mm - self.thickness_barrel_mm),
        )

    def section_at(self, along_mm: Num) -> SectionProperties:
        """Return the properties of the section at a distance along the axis."""
        chord, thickness = self.size_at(along_mm)
        return any_properties(self.shape, chord, thickness, self.edge_at(thickness))

    def edge_at(self, thickness_mm: Num) -> Num | None:
        """Return the radius of the edges, mm, where the arm is that thick; None where it has none."""
        thinnest = np.minimum(self.thickness_barrel_mm, self.thickness_palm_mm)
        return kind_of(self.shape).edge_at(self.edge_radius_mm, thinnest, thickness_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class PalmInputs:
    """One palm, in its own axes u forward, v to port with the palm zero as origin, and its axes in the strut frame.

    aft_mm, forward_mm, starboard_mm, port_mm: edges of the outline's box (aft and starboard usually negative).
    holes_u_mm, holes_v_mm: hole centres along a last axis.
    """

    name: str
    thickness_mm: Num
    area_mm2: Num
    perimeter_mm: Num
    centroid_u_mm: Num
    centroid_v_mm: Num
    aft_mm: Num
    forward_mm: Num
    starboard_mm: Num
    port_mm: Num
    bevel_width_mm: Num
    bevel_height_mm: Num
    holes_u_mm: Num
    holes_v_mm: Num
    zero_mm: Triple
    u: Triple
    v: Triple
    normal: Triple
    edge_lost_mm: Num = 0.0
    """How much nearer the real outline is to a hole than its box, at the hole where it is nearest."""
    curve: HullCurve | None = None
    """What the hull face is made to; None for a plane. thickness_mm then holds at the middle of the outline's box."""
    spread: Triple = (1.0 / 3.0, 0.0, 1.0 / 3.0)
    """Mean of u^2, u v and v^2 over the area, from the middle of the outline's box, in half sizes of the box."""

    @property
    def half_mm(self) -> tuple[Num, Num]:
        """Half the sizes of the outline's box, along and across."""
        return (self.forward_mm - self.aft_mm) / 2.0, (self.port_mm - self.starboard_mm) / 2.0

    @property
    def face_range_mm(self) -> tuple[Num, Num]:
        """The least (0 or less) and the greatest (0 or more) height of the hull face over its plane, over the box."""
        return (0.0, 0.0) if self.curve is None else self.curve.range_mm(*self.half_mm)

    @property
    def least_mm(self) -> Num:
        """Thickness where the palm is thinnest, on the safe side: anywhere in its box."""
        return self.thickness_mm if self.curve is None else self.thickness_mm + self.face_range_mm[0]

    @property
    def most_mm(self) -> Num:
        """The same where it is thickest."""
        return self.thickness_mm if self.curve is None else self.thickness_mm + self.face_range_mm[1]

    @property
    def mean_face_mm(self) -> Num:
        """Mean height of the hull face over its plane; + outward."""
        return 0.0 if self.curve is None else self.curve.mean_mm(*self.half_mm, self.spread)

    @property
    def bolt_count(self) -> int:
        """How many bolts."""
        return int(np.shape(self.holes_u_mm)[-1])


@dataclass(frozen=True, slots=True, kw_only=True)
class HeelInputs:
    """The heel of a skeg; words as in `models.spec.Heel`."""

    centre_mm: Triple
    stock_rake_deg: Num
    stock_cant_deg: Num
    pintle_mm: Num
    bore_mm: Num
    bush_wall_mm: Num
    outside_mm: Num
    height_mm: Num
    foot_height_mm: Num
    foot_thickness_mm: Num
    sleeve_wall_mm: Num = 0.0

    @property
    def running_mm(self) -> Num:
        """Diameter that runs in the bore: of the pintle, or over its sleeve."""
        return self.pintle_mm + 2.0 * self.sleeve_wall_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class SkegInputs:
    """The skeg; section: its kind, by name; x from mid-barrel, forward positive; depth from the shaft line."""

    section: str
    root_aft_x_mm: Num
    root_forward_x_mm: Num
    depth_mm: Num
    tip_chord_mm: Num
    sweep_mm: Num
    thickness_root_mm: Num
    thickness_tip_mm: Num
    root_mm: Num
    heel: HeelInputs | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FlangeInputs:
    """The flange of a housing beyond what it has of a palm; words as in `models.spec_flange`. nan: not there, or not
    said."""

    face_x_mm: Num
    """Where the bedding face meets the shaft line, from mid-barrel."""
    looks_forward: bool
    off_square_deg: Num
    root_mm: Num
    base_bore_mm: Num
    fastener: str
    engaged_mm: Num
    timber_kg_m3: Num
    grain: str
    slots_mm: Num
    """Width of the water slots together, round the barrel."""
    spigot: bool
    spigot_outside_mm: Num
    spigot_bore_mm: Num
    spigot_length_mm: Num
    """Of the spigot, be it for the base or for a hose; 0 without one."""
    ribs: int
    rib_mm: Num
    rib_along_mm: Num
    rib_out_mm: Num
    recess_mm: Num
    recess_depth_mm: Num

    @property
    def toward(self) -> float:
        """+1 where the bedding face looks forward, -1 where it looks aft."""
        return 1.0 if self.looks_forward else -1.0


def flange_inputs(strut: Strut, flange: Flange) -> FlangeInputs:
    """Return what the engineering takes of the flange of a housing.

    >>> cutter = shipped("deadwood-cutter")
    >>> flange_inputs(cutter, cutter.flange).face_x_mm  # half of 170
    85.0
    """
    slots, spigot, ribs, gasket = strut.barrel.slots, flange.spigot, flange.ribs, flange.gasket
    base, bedding = flange.base, flange.plane
    return FlangeInputs(
        face_x_mm=strut.barrel.x(bedding.station_mm),
        looks_forward=bedding.looks == "forward",
        off_square_deg=off_square_deg(flange.plane),
        root_mm=flange.root_mm,
        base_bore_mm=base.bore_mm,
        fastener=flange.fastener,
        engaged_mm=math.nan if flange.engaged_mm is None else flange.engaged_mm,
        timber_kg_m3=math.nan if base.density_kg_m3 is None else base.density_kg_m3,
        grain=base.grain,
        slots_mm=0.0 if slots is None else slots.count * slots.width_mm,
        spigot=spigot is not None and spigot.use == "base_bore",
        spigot_outside_mm=0.0 if spigot is None else spigot.outside_mm,
        spigot_bore_mm=0.0 if spigot is None else spigot.bore_mm,
        spigot_length_mm=0.0 if spigot is None else spigot.length_mm,
        ribs=0 if ribs is None else ribs.count,
        rib_mm=0.0 if ribs is None else ribs.thickness_mm,
        rib_along_mm=0.0 if ribs is None else ribs.along_mm,
        rib_out_mm=0.0 if ribs is None else ribs.out_mm,
        recess_mm=0.0 if gasket is None else gasket.recess_mm,
        recess_depth_mm=0.0 if gasket is None else gasket.recess_depth_mm,
    )


SHOE_SECTIONS = 9
"""Sections of a shoe's plate that are looked at, from the boss to the aftmost fasteners."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoeInputs:
    """A rudder shoe beyond what it has of a flange; words as in `models.spec_shoe`. nan: the file does not say.

    sections_mm, widths_mm: from the stock's axis forward, and how wide the plate is there, the last at the aftmost row
    of fasteners; row_holes: how many stand in it.
    """

    keel_end_mm: Num
    keel_width_mm: Num
    entry_mm: Num
    sections_mm: tuple[Num, ...]
    widths_mm: tuple[Num, ...]
    keel_end_width_mm: Num
    """Width of the plate where the keel ends."""
    row_holes: Num


def shoe_inputs(
    shoe: Shoe,
    plate: Flange,
    barrel_outside_mm: Num,
    holes_u_mm: Sequence[Num],
    width_at_mm: Callable[[Floats], Floats],
) -> ShoeInputs:
    """Return what the engineering takes of a rudder shoe; broadcasts. holes_u_mm: of its fasteners, forward of the
    stock's axis; width_at_mm: how wide the plate is so far forward of it (places, candidates).

    >>> yawl = shipped("creek-yawl")  # aftmost bolts 200 forward, in a plate of 120
    >>> made = shoe_inputs(yawl.shoe, yawl.flange, 67.0, [h.u_mm for h in yawl.flange.holes], lambda u: 0.0 * u + 120.0)
    >>> float(made.sections_mm[-1]), made.widths_mm[-1], int(made.row_holes)
    (200.0, 120.0, 2)
    """
    aftmost: Num = functools.reduce(np.minimum, holes_u_mm)
    start = np.minimum(barrel_outside_mm / 2, aftmost)
    at = [start + (aftmost - start) * (k / (SHOE_SECTIONS - 1)) for k in range(SHOE_SECTIONS - 1)]
    row = [np.where(u - aftmost <= plate.bolt.hole_mm, 1, 0) for u in holes_u_mm]
    places = np.stack(np.broadcast_arrays(*at, aftmost, shoe.keel_end_mm))
    # All at once; a last axis over candidates is there even where no place varies over them.
    widths = [w if len(w) > 1 else float(w[0]) for w in width_at_mm(places.reshape(len(places), -1))]
    return ShoeInputs(
        keel_end_mm=shoe.keel_end_mm,
        keel_width_mm=math.nan if shoe.keel_width_mm is None else shoe.keel_width_mm,
        entry_mm=shoe.entry_mm,
        sections_mm=(*at, aftmost),
        widths_mm=tuple(widths[:-1]),
        keel_end_width_mm=widths[-1],
        row_holes=sum(row[1:], row[0])[()],
    )


def arm_inputs(strut: Strut, arm: Arm) -> ArmInputs:
    """Return what the engineering takes of one arm of a strut.

    >>> tender = shipped("canal-tender")
    >>> arm_inputs(tender, tender.arms[0]).start_mm  # where the barrel of 48 mm ends
    24.0
    """
    palm = strut.palms[arm.palm_index]
    axes, hull = frames.arm_axes(arm, strut.barrel, palm.plane), frames.palm_axes(palm)
    start, end = frames.arm_ends_mm(arm, strut.barrel, palm.plane)
    into = float(axes.n @ hull.n)
    return ArmInputs(
        name=arm.name,
        palm_index=arm.palm_index,
        shape=arm.shape,
        clock_deg=arm.clock_deg,
        rake_deg=arm.rake_deg,
        toe_deg=arm.toe_deg,
        x_mm=strut.barrel.x(arm.station_mm),
        start_mm=start,
        water_mm=end - palm.thickness_mm / into,
        end_mm=end,
        chord_barrel_mm=arm.chord_barrel_mm,
        thickness_barrel_mm=arm.thickness_barrel_mm,
        chord_palm_mm=arm.chord_palm_mm,
        thickness_palm_mm=arm.thickness_palm_mm,
        edge_radius_mm=arm.edge_radius_mm,
        barrel_root_mm=arm.barrel_root_mm,
        palm_root_mm=arm.palm_root_mm,
        cut=float(np.cross(axes.u, axes.v) @ axes.n),
        chord_into_palm=float(axes.u @ hull.n) / into,
        along_flow=arm.aligned_with == "flow",
    )


def palm_inputs(palm: Plate, axes: frames.Axes) -> PalmInputs:
    """Return what the engineering takes of one palm, or of a flange. axes: its own, in the strut frame.

    >>> palm = shipped("harbour-launch").palms[0]
    >>> palm_inputs(palm, frames.palm_axes(palm)).bolt_count
    8
    """
    box, (cu, cv) = palm.outline.bounding_box(), palm.outline.centroid()
    us, vs = (np.array([getattr(h, axis) for h in palm.holes]) for axis in ("u_mm", "v_mm"))
    to_box = np.min([us - box[0], box[2] - us, vs - box[1], box[3] - vs])
    to_outline = float(np.min(palm.outline.distance_to_boundary(np.column_stack([us, vs]))))
    return PalmInputs(
        name=palm.name,
        thickness_mm=palm.thickness_mm,
        area_mm2=palm.outline.area_mm2(),
        perimeter_mm=palm.outline.perimeter_mm(),
        centroid_u_mm=cu,
        centroid_v_mm=cv,
        aft_mm=float(box[0]),
        starboard_mm=float(box[1]),
        forward_mm=float(box[2]),
        port_mm=float(box[3]),
        bevel_width_mm=palm.bevel_width_mm,
        bevel_height_mm=palm.bevel_height_mm,
        holes_u_mm=us,
        holes_v_mm=vs,
        edge_lost_mm=max(float(to_box) - to_outline, 0.0),
        curve=palm.curve,
        spread=_spread(palm) if palm.curve is not None else (1.0 / 3.0, 0.0, 1.0 / 3.0),
        zero_mm=_triple(axes.origin),
        u=_triple(axes.u),
        v=_triple(axes.v),
        normal=_triple(axes.n),
    )


def _spread(palm: Plate) -> tuple[float, float, float]:
    m, box, middle = palm.outline.moments(), palm.outline.bounding_box(), palm.middle_mm
    a, b = (box.xmax - box.xmin) / 2, (box.ymax - box.ymin) / 2
    du, dv = m.centroid_x_mm - middle[0], m.centroid_y_mm - middle[1]
    uu, uv, vv = (moment / m.area_mm2 for moment in (m.iyy_mm4, m.ixy_mm4, m.ixx_mm4))
    return (uu + du * du) / a**2, (uv + du * dv) / (a * b), (vv + dv * dv) / b**2


def _triple(v: Any) -> Triple:
    return float(v[0]), float(v[1]), float(v[2])


def skeg_inputs(skeg: Skeg, barrel: Barrel) -> SkegInputs:
    """Return what the engineering takes of a skeg; its stations counted from mid-barrel.

    >>> yawl = shipped("yawl-with-heel")
    >>> skeg_inputs(yawl.skeg, yawl.barrel).depth_mm == yawl.skeg.depth_mm
    True
    """
    h = skeg.heel
    heel = (
        None
        if h is None
        else HeelInputs(
            centre_mm=h.centre_mm,
            stock_rake_deg=h.stock_rake_deg,
            stock_cant_deg=h.stock_cant_deg,
            pintle_mm=h.pintle_mm,
            bore_mm=h.bore_mm,
            bush_wall_mm=h.bush_wall_mm,
            outside_mm=h.outside_mm,
            height_mm=h.height_mm,
            foot_height_mm=h.foot_height_mm,
            foot_thickness_mm=h.foot_thickness_mm,
            sleeve_wall_mm=h.sleeve_wall_mm,
        )
    )
    return SkegInputs(
        section=fin_kind(skeg).name,
        root_aft_x_mm=barrel.x(skeg.root_aft_station_mm),
        root_forward_x_mm=barrel.x(skeg.root_forward_station_mm),
        depth_mm=skeg.depth_mm,
        tip_chord_mm=skeg.tip_chord_mm,
        sweep_mm=skeg.sweep_mm,
        thickness_root_mm=skeg.thickness_root_mm,
        thickness_tip_mm=skeg.thickness_tip_mm,
        root_mm=skeg.root_mm,
        heel=heel,
    )
