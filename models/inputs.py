"""The quantities that the engineering works with: of one strut, or of a batch of candidates.

`Inputs.from_strut` fills them from a resolved strut. A study starts from that and puts arrays in place of floats with
`dataclasses.replace`: all arrays broadcast against each other. Words (shapes, materials' names) are one per batch.
Units stand in the names; nan means that the file does not say it.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Num, add
from strutwright.models.geometry.barrel import bearing_seat_mm, screw_wall_of, seat_limits_mm, seat_mm
from strutwright.models.geometry.casting import casting_of
from strutwright.models.input_parts import (
    ArmInputs,
    FlangeInputs,
    PalmInputs,
    ShoeInputs,
    SkegInputs,
    arm_inputs,
    flange_inputs,
    palm_inputs,
    shoe_inputs,
    skeg_inputs,
)
from strutwright.models.metals import Metal, metal
from strutwright.models.once import KeepsAnswers
from strutwright.models.outline import width_at_mm
from strutwright.models.shop.bolting import backing_thickness_mm
from strutwright.models.spec import Barrel, Bearing, Strut
from strutwright.models.spec_boat import HullPlate, Protection, Use
from strutwright.models.spec_hanger import Hanger
from strutwright.models.spec_let_in import LetIn
from strutwright.params import limits as limit_table
from strutwright.params import schema_boat, tables
from strutwright.params.limits import Limits

NAN = math.nan
WATER_KG_M3 = 1025.0
SPAN_SHAFTS = 20.0
"""Bearing span over shaft diameter where the file does not say it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Inputs(KeepsAnswers):
    """Everything the engineering needs of a strut. Optional values are nan when the file does not say them.

    Not compared by value: arrays in it have no single answer; what is worked out of it once is kept with it.
    """

    construction: str
    service: str
    fit: str
    screw_point: str
    bolt_kind: str
    backing_plate: bool
    strut: Metal
    shaft: Metal
    shell: Metal
    bolt: Metal
    hull: Metal
    protection: Protection
    limits: Limits
    """What the strut is held to."""
    # shaft
    shaft_mm: Num
    bearing_span_mm: Num
    bearing_offset_mm: float
    """Height of the next bearing over the straight line through the barrel."""
    more_bearings_mm: tuple[tuple[float, float], ...]
    """Bearings forward of that: distance from the strut bearing and height, from aft forward."""
    coupling_at_mm: float
    """Face of the shaft's coupling, from the strut bearing."""
    coupling_mm: float
    coupling_kg: float
    engine_rise_mm: float
    # barrel
    barrel_length_mm: Num
    barrel_outside_mm: Num
    bore_mm: Num
    seat_mm: Num
    """Bore where the bearing sits."""
    bore_upper_mm: Num
    bore_lower_mm: Num
    aft_end: str
    aft_end_length_mm: Num
    aft_end_diameter_mm: Num
    forward_end: str
    forward_end_length_mm: Num
    forward_end_diameter_mm: Num
    lead_in_aft_mm: Num
    lead_in_aft_deg: Num
    lead_in_forward_mm: Num
    lead_in_forward_deg: Num
    bore_steps_mm3: Num
    """What steps of the bore and water slots take away beyond the plain bore; negative where a shoulder leaves more."""
    bore_steps_mm4: Num
    """First moment of that about mid-barrel, along x."""
    # bearing
    bearing_outside_mm: Num
    bearing_upper_mm: Num
    bearing_lower_mm: Num
    bearing_length_mm: Num
    """Of this bearing."""
    bearing_total_mm: Num
    """Of all the bearings in the barrel."""
    bearing_reach_mm: Num
    """From the aft end of the first of them to the forward end of the last: over this the shaft tilts in its play."""
    bearing_engaged_mm: Num
    """Length of this bearing that the bore grips."""
    bearing_x_mm: Num
    """Middle of the bearings, from mid-barrel, forward positive."""
    bearing_inside_mm: Num
    bearing_spring_n_mm: Num
    """Stiffness across the shaft of all the bearings in the barrel, as said."""
    shell_mm: Num
    flute_count: Num
    flute_width_mm: Num
    flute_depth_mm: Num
    # set screws of this bearing
    screw_count: int
    screw_total: int
    screw_major_mm: Num
    screw_pitch_mm: Num
    screw_drill_mm: Num
    screw_wall_mm: Num
    """Depth of the tapped hole under its spot face, the least of them."""
    dimple_mm: Num
    # arms, palms, skeg
    arms: tuple[ArmInputs, ...]
    palms: tuple[PalmInputs, ...]
    skeg: SkegInputs | None
    # bolts
    bolt_size: str
    bolt_mm: Num
    bolt_stress_mm2: Num
    bolt_hole_mm: Num
    bolt_head_mm: Num
    bolt_head_angle_deg: Num
    bolt_head_depth_mm: Num
    # hull
    hull_mm: Num
    hull_plate: HullPlate
    """What is known of the hull round the palms."""
    backing_mm: float
    """Thickness of the backing plate, by the shop's rule where not said."""
    drop_mm: Num
    pitch_deg: Num
    # propeller and duty
    propeller_mm: Num
    blades: Num
    propeller_kg: Num
    hub_length_mm: Num
    hub_gap_mm: Num
    propeller_pitch_mm: Num
    power_kw: Num
    shaft_rpm: Num
    idle_rpm: Num
    boat_speed_kn: Num
    waterline_m: Num
    rudder_m2: Num
    # loads
    blade_kg: Num
    side_acceleration_g: Num
    own_cases: tuple[schema_boat.LoadCase, ...] = ()
    """Load cases of the file's own."""
    use: tuple[Use, ...] = ()
    """How the boat is run in its life; none where the file does not say it."""
    weld_prep: str = "none"
    anodes: bool = False
    weld_root_face_mm: Num = 0.0
    weld_root_gap_mm: Num = 0.0
    weld_prep_angle_deg: Num = 50.0
    casting_allowance: str = ""
    """Grade of machining allowance of a cast strut."""
    casting_grade: str = ""
    """Grade of casting tolerance of a cast strut."""
    fitting: str = "in_place"
    """Of the palm, as in `HullFit`."""
    inch: bool = False
    """The sheets are in inches."""
    flange: FlangeInputs | None = None
    slots_mm: Num = 0.0
    """Width of the water slots together, round the barrel."""
    bore_widest_mm: Num = 0.0
    """Of the bore and its steps."""
    let_in: LetIn | None = None
    """How a let-in housing is let in; the sizes in it may be arrays over candidates."""
    shoe: ShoeInputs | None = None
    rudder_height_mm: Num = NAN
    rudder_kg: Num = NAN
    displacement_kg: Num = NAN
    hanger: Hanger | None = None
    """What a hanger has beside web and foot."""
    family: str = "strut"
    """Kind of the part."""

    @property
    def barrel_wall_mm(self) -> Num:
        """Wall of the parallel part, mm."""
        return (self.barrel_outside_mm - self.bore_mm) / 2.0

    @property
    def overhang_mm(self) -> Num:
        """From the middle of the bearings aft to the middle of the propeller's hub, mm."""
        return self.bearing_x_mm + self.barrel_length_mm / 2.0 + self.hub_gap_mm + self.hub_length_mm / 2.0

    @property
    def bearing_span_taken_mm(self) -> Num:
        """Bearing span; where the file does not say it the least usual, which loads the strut most."""
        return np.where(np.isnan(self.bearing_span_mm), SPAN_SHAFTS * self.shaft_mm, self.bearing_span_mm)

    @property
    def hub_gap_taken_mm(self) -> Num:
        """Gap to the hub; where the file does not say it the most that is usual, one shaft diameter."""
        return np.where(np.isnan(self.hub_gap_mm), self.shaft_mm, self.hub_gap_mm)

    @property
    def hub_length_taken_mm(self) -> Num:
        """Length of the hub; where the file does not say it the most that is usual, two shaft diameters."""
        return np.where(np.isnan(self.hub_length_mm), 2.0 * self.shaft_mm, self.hub_length_mm)

    @property
    def shaft_safety(self) -> float:
        """Safety factor of the shaft power formula for the service."""
        return self.limit(f"shaft_safety_{self.service}")

    def limit(self, name: str) -> float:
        """Return the value of a limit, in its own unit."""
        return self.limits[name].value

    @classmethod
    def from_strut(
        cls, strut: Strut, loads: schema_boat.Loads | None = None, bearing: int = 0, limits: Limits | None = None
    ) -> Inputs:
        """Return the inputs of a resolved strut.

        loads: the file's own (blade mass, side acceleration). bearing: which bearing's fit is meant. limits: as shipped
        when left out.
        """
        loads = loads if loads is not None else schema_boat.Loads()
        return cls(
            **of_barrel(strut, strut.bearings[bearing]),
            **of_screws(strut, bearing),
            **_of_bolts(strut),
            **_of_boat(strut),
            construction=strut.construction,
            backing_plate=strut.backing_plate,
            strut=metal(strut.material, strut.heated),
            limits=limit_table.standard() if limits is None else limits,
            arms=tuple(arm_inputs(strut, a) for a in strut.arms),
            palms=tuple(palm_inputs(p, frames.plate_axes(strut, p)) for p in strut.plates),
            skeg=None if strut.skeg is None else skeg_inputs(strut.skeg, strut.barrel),
            blade_kg=_known(loads.blade_mass),
            side_acceleration_g=loads.side_acceleration,
            own_cases=tuple(loads.cases),
            weld_prep=strut.weld.prep,
            anodes=strut.anodes,
            protection=strut.protection,
            weld_root_face_mm=strut.weld.root_face_mm,
            weld_root_gap_mm=strut.weld.root_gap_mm,
            weld_prep_angle_deg=strut.weld.prep_angle_deg,
            casting_allowance=casting_of(strut).allowance_grade if strut.construction == "cast" else "",
            casting_grade=casting_of(strut).tolerance_grade if strut.construction == "cast" else "",
            fitting=strut.hull.fitting,
            inch=strut.file_units == "in",
            flange=None if strut.flange is None else flange_inputs(strut, strut.flange),
            slots_mm=0.0 if strut.barrel.slots is None else strut.barrel.slots.count * strut.barrel.slots.width_mm,
            bore_widest_mm=max([strut.barrel.bore_mm, *(step.diameter_mm for step in strut.barrel.steps)]),
            let_in=strut.let_in,
            shoe=_of_shoe(strut),
            rudder_height_mm=_known(None if strut.shoe is None else strut.shoe.rudder_height_mm),
            rudder_kg=_known(None if strut.shoe is None else strut.shoe.rudder_kg),
            displacement_kg=_known(None if strut.shoe is None else strut.shoe.displacement_kg),
            hanger=strut.hanger,
            family=strut.family,
        )


def _of_shoe(strut: Strut) -> ShoeInputs | None:
    plate = strut.flange
    if strut.shoe is None or plate is None:
        return None
    width = functools.partial(width_at_mm, plate.outline)
    return shoe_inputs(strut.shoe, plate, strut.barrel.outside_mm, [h.u_mm for h in plate.holes], width)


def of_barrel(strut: Strut, own: Bearing) -> dict[str, Any]:
    """Return the inputs of the barrel and of the bearing that is meant, by their names; broadcasts.

    >>> tender = shipped("canal-tender")
    >>> float(of_barrel(tender, tender.bearings[0])["bearing_engaged_mm"])  # all but where it stands proud
    74.0
    """
    barrel, (away, moment) = strut.barrel, _steps(strut.barrel)
    first, last = min(b.aft_station_mm for b in strut.bearings), max(b.forward_station_mm for b in strut.bearings)
    return {
        "fit": barrel.fit,
        "barrel_length_mm": barrel.length_mm,
        "barrel_outside_mm": barrel.outside_mm,
        "bore_mm": barrel.bore_mm,
        "seat_mm": bearing_seat_mm(barrel, own),
        "bore_upper_mm": seat_limits_mm(barrel, own)[1],
        "bore_lower_mm": seat_limits_mm(barrel, own)[0],
        "aft_end": barrel.aft_end.shape,
        "aft_end_length_mm": barrel.aft_end.length_mm,
        "aft_end_diameter_mm": barrel.aft_end.end_diameter_mm,
        "forward_end": barrel.forward_end.shape,
        "forward_end_length_mm": barrel.forward_end.length_mm,
        "forward_end_diameter_mm": barrel.forward_end.end_diameter_mm,
        "lead_in_aft_mm": barrel.lead_in_aft.length_mm,
        "lead_in_aft_deg": barrel.lead_in_aft.angle_deg,
        "lead_in_forward_mm": barrel.lead_in_forward.length_mm,
        "lead_in_forward_deg": barrel.lead_in_forward.angle_deg,
        "bore_steps_mm3": away,
        "bore_steps_mm4": moment,
        "bearing_outside_mm": own.outside_mm,
        "bearing_upper_mm": own.outside_upper_mm,
        "bearing_lower_mm": own.outside_lower_mm,
        "bearing_length_mm": own.length_mm,
        "bearing_total_mm": sum(b.length_mm for b in strut.bearings),
        "bearing_reach_mm": last - first,
        "bearing_engaged_mm": _engaged(barrel, own),
        "bearing_x_mm": barrel.x((first + last) / 2.0),
        "bearing_inside_mm": own.inside_mm,
        "bearing_spring_n_mm": sum(_known(b.stiffness_n_mm) for b in strut.bearings),
        "shell_mm": own.shell_mm,
        "flute_count": own.flute_count,
        "flute_width_mm": own.flute_width_mm,
        "flute_depth_mm": own.flute_depth_mm,
        "shell": metal(own.shell_material),
    }


def of_screws(strut: Strut, bearing: int) -> dict[str, Any]:
    """Return the inputs of the set screws of a bearing, by their names; broadcasts.

    >>> of_screws(shipped("canal-tender"), 0)["screw_count"]
    2
    """
    screws = [s for s in strut.set_screws if s.bearing_index == bearing]
    first = screws[0] if screws else None
    walls = [screw_wall_of(strut, s).wall_mm for s in screws]
    return {
        "screw_point": first.point if first else "",
        "screw_count": len(screws),
        "screw_total": len(strut.set_screws),
        "screw_major_mm": first.major_mm if first else NAN,
        "screw_pitch_mm": first.pitch_mm if first else NAN,
        "screw_drill_mm": first.tap_drill_mm if first else NAN,
        "screw_wall_mm": functools.reduce(np.minimum, walls) if walls else NAN,
        "dimple_mm": first.dimple_depth_mm if first else NAN,
    }


def _of_bolts(strut: Strut) -> dict[str, Any]:
    """The inputs of what is bolted down; of a part that is not, of the metal of its screws alone."""
    if strut.let_in is not None:
        sizes = ("mm", "stress_mm2", "hole_mm", "head_mm", "head_angle_deg", "head_depth_mm")
        nothing: dict[str, Any] = {f"bolt_{name}": NAN for name in sizes}
        return nothing | {"bolt_kind": "plain", "bolt": metal(strut.let_in.screw_material), "bolt_size": ""}
    bolt = strut.plates[0].bolt
    return {
        "bolt_kind": bolt.kind,
        "bolt": metal(bolt.material, bolt_mm=bolt.major_mm),
        "bolt_size": bolt.size,
        "bolt_mm": bolt.major_mm,
        "bolt_stress_mm2": _stress_area_mm2(bolt.size),
        "bolt_hole_mm": bolt.hole_mm,
        "bolt_head_mm": bolt.head_diameter_mm,
        "bolt_head_angle_deg": bolt.head_angle_deg,
        "bolt_head_depth_mm": bolt.head_depth_mm,
    }


def _of_boat(strut: Strut) -> dict[str, Any]:
    """The inputs of shaft, hull, propeller and duty."""
    p, d, coupling = strut.propeller, strut.duty, strut.shaft.coupling
    return {
        "service": d.service,
        "use": d.use,
        "bearing_span_mm": _known(strut.shaft.bearing_span_mm),
        "bearing_offset_mm": strut.shaft.bearing_offset_mm,
        "more_bearings_mm": strut.shaft.more_bearings,
        "coupling_at_mm": NAN if coupling is None else coupling.distance_mm,
        "coupling_mm": NAN if coupling is None else coupling.flange_mm,
        "coupling_kg": NAN if coupling is None else coupling.mass_kg,
        "engine_rise_mm": _known(strut.shaft.engine_rise_mm),
        "hull": metal(strut.hull.material),
        "hull_mm": _known(strut.hull.thickness_mm),
        "hull_plate": strut.hull.plate,
        "backing_mm": backing_thickness_mm(strut, strut.plates[0]) if strut.plates else NAN,
        "drop_mm": strut.hull.drop_square_to_shaft_mm,
        "pitch_deg": strut.hull.shaft_to_hull_deg,
        "propeller_mm": _known(p.diameter_mm),
        "blades": _known(p.blades),
        "propeller_kg": _known(p.mass_kg),
        "hub_length_mm": _known(p.hub_length_mm),
        "hub_gap_mm": _known(p.hub_gap_mm),
        "propeller_pitch_mm": _known(p.pitch_mm),
        "power_kw": _known(d.power_kw),
        "shaft_rpm": _known(d.shaft_rpm),
        "idle_rpm": _known(d.idle_rpm),
        "boat_speed_kn": _known(d.boat_speed_kn),
        "waterline_m": _known(d.waterline_length_m),
        "rudder_m2": _known(d.rudder_area_m2),
        "shaft": metal(strut.shaft.material),
        "shaft_mm": strut.shaft.diameter_mm,
    }


PATHS = {
    "rudder_kg": "rudder.mass",
    "displacement_kg": "duty.displacement",
    "rudder_height_mm": "rudder.height",
    "bearing_span_mm": "shaft.bearing_span",
    "propeller_mm": "propeller.diameter",
    "blades": "propeller.blades",
    "propeller_kg": "propeller.mass",
    "hub_length_mm": "propeller.hub_length",
    "hub_gap_mm": "propeller.hub_gap",
    "propeller_pitch_mm": "propeller.pitch",
    "power_kw": "duty.power",
    "shaft_rpm": "duty.shaft_speed",
    "idle_rpm": "duty.idle_speed",
    "boat_speed_kn": "duty.boat_speed",
    "waterline_m": "duty.waterline_length",
    "rudder_m2": "duty.rudder_area",
    "hull_mm": "hull.thickness",
    "blade_kg": "loads.blade_mass",
    "dimple_mm": "set_screws.positions",
}
"""Where in a file an input that may be left out is said."""


def missing(inputs: Inputs, needs: tuple[str, ...]) -> list[str]:
    """Return the dotted paths of those needs that the file does not say.

    >>> missing(engineering_inputs("canal-tender"), ("power_kw", "idle_rpm"))
    ['duty.idle_speed']
    """
    return [PATHS[n] for n in needs if bool(np.all(np.isnan(np.asarray(getattr(inputs, n), dtype=float))))]


def _known(value: float | None) -> float:
    return NAN if value is None else float(value)


def _stress_area_mm2(size: str) -> float:
    """Stress area (mm2) of a bolt size, nan when the tables do not hold it."""
    try:
        return tables.thread(size).stress_area_mm2
    except tables.NotInTable:
        return NAN


def _engaged(barrel: Barrel, bearing: Bearing) -> Num:
    """Length of a bearing that lies in the barrel on the bore that carries it, mm."""
    low, high = np.maximum(0.0, bearing.aft_station_mm), np.minimum(barrel.length_mm, bearing.forward_station_mm)
    seat, gone = bearing_seat_mm(barrel, bearing), list[Num]()
    for s in barrel.steps:
        over = np.maximum(0.0, np.minimum(high, s.to_station_mm) - np.maximum(low, s.from_station_mm))
        gone.append(np.where(np.abs(s.diameter_mm - seat) > 1e-6, over, 0.0)[()])
    out: Num = np.maximum(0.0, high - low - add(*gone))
    return out


def _steps(barrel: Barrel) -> tuple[Num, Num]:
    """Volume that steps and slots take beyond the plain bore, mm3, and its moment about mid-barrel, mm4."""
    volume: Num = 0.0
    moment: Num = 0.0
    for s in barrel.steps:
        gone: Num = math.pi / 4 * (s.diameter_mm**2 - barrel.bore_mm**2) * (s.to_station_mm - s.from_station_mm)
        volume += gone
        moment += gone * barrel.x((s.from_station_mm + s.to_station_mm) / 2)
    if barrel.slots is not None:
        slot = barrel.slots
        area = slot.width_mm * slot.length_mm - (1 - math.pi / 4) * slot.width_mm**2
        gone = slot.count * area * (barrel.outside_mm - float(seat_mm(barrel, slot.centre_station_mm))) / 2
        volume += gone
        moment += gone * barrel.x(slot.centre_station_mm)
    return volume, moment
