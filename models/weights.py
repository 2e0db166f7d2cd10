"""Volumes, weights and centres of gravity of a strut's parts from closed forms, without a solid model.

Within 2 % of the built solid for struts of usual proportions: roots (fillets, weld beads) are taken as square corners
filled in, and where two arms touch beside the barrel their overlap is counted twice.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Num, Triple
from strutwright.models.barrel_ends import ENDS
from strutwright.models.bolt_heads import HEADS
from strutwright.models.geometry.skeg import foot_start
from strutwright.models.input_parts import ArmInputs, FlangeInputs, SkegInputs
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.sections import kind_of
from strutwright.models.spec_hanger import Cap
from strutwright.models.spec_let_in import LetIn
from strutwright.params import tables

RUBBER_KG_M3 = 1200.0
_X, _W = np.polynomial.legendre.leggauss(4)
_STATIONS = tuple(zip((0.5 * (_X + 1.0)).tolist(), (0.5 * _W).tolist(), strict=True))
_TWO_STATIONS = ((0.5 - 0.5 / math.sqrt(3.0), 0.5), (0.5 + 0.5 / math.sqrt(3.0), 0.5))
_CORNER = 1.0 - math.pi / 4.0
"""Area of a fillet in a square corner over radius squared; a weld bead's is half."""


@dataclass(frozen=True, slots=True)
class Part:
    """One part: volume in mm3, mass in kg, centre of gravity in the strut frame, mm. Floats or arrays."""

    name: str
    volume_mm3: Num
    mass_kg: Num
    centre_mm: Triple


@once
def parts(inputs: Inputs) -> tuple[Part, ...]:
    """Return the metal parts of the finished strut; broadcasts. Roots count with the arm or skeg they join. Kept for
    the last inputs.

    >>> [part.name for part in parts(engineering_inputs("harbour-launch"))]
    ['barrel', 'arm', 'palm']
    """
    found: list[tuple[str, Num, Triple]] = []
    made: dict[tuple[int, ...], tuple[Num, Num, Num]] = {}
    for a in inputs.arms:
        # Two arms of the same sizes weigh the same: in a study they hold the very same arrays.
        same = tuple(
            id(v)
            for v in (
                a.start_mm,
                a.water_mm,
                a.chord_barrel_mm,
                a.thickness_barrel_mm,
                a.chord_palm_mm,
                a.thickness_palm_mm,
                a.edge_radius_mm,
                a.chord_into_palm,
            )
        )
        volume, along, forward = made[same] = made.get(same) or _arm(inputs, a)
        n = a.direction
        # The chord runs forward: along the shaft, or nearly so along the flow.
        found.append((a.name, volume, (a.x_mm + along * n[0] + forward, along * n[1], along * n[2])))
    if inputs.flange is None:
        found += [(p.name, *_palm(inputs, k)) for k, p in enumerate(inputs.palms)]
    else:
        found.append(("flange", *_flange(inputs, inputs.flange)))
    if inputs.hanger is not None and inputs.hanger.cap is not None:
        found.append(("ears", _ears(inputs, inputs.hanger.cap), (0.0, 0.0, 0.0)))
    density, fin = inputs.strut.density_kg_m3 * 1e-9, skeg(inputs)
    return (
        barrel(inputs),
        *(Part(name, volume, volume * density, centre) for name, volume, centre in found),
        *((fin,) if fin is not None else ()),
    )


def _ears(inputs: Inputs, cap: Cap) -> Num:
    """Volume of the ears of a split barrel, mm3, holes of bolts and the gap of the shims taken off: heads' seats and
    dowels are not, and ends that are faired count as parallel."""
    radius, thick = inputs.barrel_outside_mm / 2.0, cap.ear_thickness_mm
    # What of a disc lies within the ears' thickness, both sides: it belongs to the barrel.
    disc = 2.0 * (thick * np.sqrt(radius**2 - thick**2) + radius**2 * np.arcsin(thick / radius))
    bolt = cap.bolt
    wide = (bolt.hole_mm, bolt.hole_mm if bolt.engaged_mm is None else bolt.tap_drill_mm)
    holes = bolt.count * math.pi / 4.0 * (wide[0] ** 2 * thick + wide[1] ** 2 * thick)
    gap = 2.0 * cap.gap_mm * (cap.ear_out_mm - inputs.bore_mm / 2.0)
    return (4.0 * thick * cap.ear_out_mm - disc - gap) * (cap.ear_to_mm - cap.ear_from_mm) - holes


@once
def barrel(inputs: Inputs) -> Part:
    """Return the bored and drilled barrel; broadcasts. Kept with the inputs.

    >>> plain = {"lead_in_aft_mm": 0.0, "lead_in_forward_mm": 0.0, "screw_total": 0}
    >>> round(float(barrel(engineering_inputs("canal-tender", **plain)).mass_kg), 3)  # pi / 4 (48^2 - 32^2) x 74 x 8e-6
    0.595
    """
    volume, centre = _barrel(inputs)
    return Part("barrel", volume, volume * inputs.strut.density_kg_m3 * 1e-9, centre)


def whole(pieces: tuple[Part, ...], name: str = "strut") -> Part:
    """Return several parts as one.

    >>> whole((Part("low", 1e5, 2.0, (0.0, 0.0, 0.0)), Part("high", 1e5, 1.0, (0.0, 0.0, 300.0)))).centre_mm
    (0.0, 0.0, 100.0)
    """
    volume, mass = sum(p.volume_mm3 for p in pieces), sum(p.mass_kg for p in pieces)
    centre = tuple(sum(p.mass_kg * p.centre_mm[k] for p in pieces) / mass for k in range(3))
    return Part(name, volume, mass, (centre[0], centre[1], centre[2]))


def weight_kg(inputs: Inputs) -> Num:
    """Return the weight of the finished strut, kg, without bearing and bolts; broadcasts.

    >>> each = [round(float(part.mass_kg), 2) for part in parts(engineering_inputs("harbour-launch"))]
    >>> each, round(float(weight_kg(engineering_inputs("harbour-launch"))), 2)
    ([1.71, 3.78, 2.4], 7.9)
    """
    return whole(parts(inputs)).mass_kg


def bearing_kg(inputs: Inputs) -> Num:
    """Return the weight of all the bearings, kg: shell and rubber less flutes; broadcasts.

    >>> shell = engineering_inputs("harbour-launch", bearing_inside_mm=44.0, flute_count=0)  # no rubber in it
    >>> round(bearing_kg(shell), 4)  # pi / 4 (50^2 - 44^2) x 140 x 8.41e-6
    0.5215
    """
    outside, inside = inputs.bearing_outside_mm, inputs.bearing_outside_mm - 2.0 * inputs.shell_mm
    shell = math.pi / 4.0 * (outside**2 - inside**2) * inputs.shell.density_kg_m3
    flutes = inputs.flute_count * inputs.flute_width_mm * inputs.flute_depth_mm
    rubber = (math.pi / 4.0 * (inside**2 - inputs.bearing_inside_mm**2) - flutes) * RUBBER_KG_M3
    return (shell + rubber) * inputs.bearing_total_mm * 1e-9


def skeg(inputs: Inputs) -> Part | None:
    """Return fin, foot and heel boss as one, or None without a skeg; broadcasts.

    >>> from dataclasses import replace
    >>> yawl = engineering_inputs("yawl-with-heel")
    >>> fin = skeg(replace(yawl, skeg=replace(yawl.skeg, heel=None)))
    >>> round(float(fin.mass_kg), 1)  # 115 x 25 x 282.5 x 8e-6; nose and root are little
    6.5
    """
    if inputs.skeg is None:
        return None
    volume, centre = _skeg(inputs, inputs.skeg)
    return Part("skeg", volume, volume * inputs.strut.density_kg_m3 * 1e-9, centre)


# --- the parts ------------------------------------------------------------------------------------------------------


@once
def barrel_outside_mm3(inputs: Inputs) -> tuple[Num, Num]:
    """Return volume (mm3) and first moment about mid-barrel (mm4) of the barrel with its bore filled; broadcasts.

    Kept with the inputs, as more than one asks for it.

    >>> [round(float(x)) for x in barrel_outside_mm3(engineering_inputs("canal-tender"))]  # pi / 4 x 48^2 x 74
    [133907, 0]
    """
    half, full = inputs.barrel_length_mm / 2.0, math.pi / 4.0 * inputs.barrel_outside_mm**2
    volume: Num = full * inputs.barrel_length_mm
    moment: Num = 0.0
    for shape, length, diameter, sign in (
        (inputs.aft_end, inputs.aft_end_length_mm, inputs.aft_end_diameter_mm, -1.0),
        (inputs.forward_end, inputs.forward_end_length_mm, inputs.forward_end_diameter_mm, 1.0),
    ):
        if not ENDS[shape].faired:
            continue
        drop = (inputs.barrel_outside_mm - diameter) / 2.0
        gone = lever = 0.0 * volume
        for at, weight in _STATIONS:  # at: share of the fairing's length inward from the face
            depth = ENDS[shape].lost_mm(length, drop, at * length)
            area = full - math.pi * (inputs.barrel_outside_mm / 2.0 - depth) ** 2
            gone = gone + weight * length * area
            lever = lever + weight * length * area * (half - at * length)
        volume, moment = volume - gone, moment - sign * lever
    for low, high, area in () if inputs.let_in is None else _outside_let_in(inputs.let_in, full):
        volume = volume + area * (high - low)
        moment = moment + area * (high - low) * ((low + high) / 2.0 - half)
    return volume, moment


def _outside_let_in(it: LetIn, full_mm2: Num) -> list[tuple[Num, Num, Num]]:
    """What collar, steps, chamfer and drawing holes of a let-in housing add to its outside: stations, mm, and area."""
    found: list[tuple[Num, Num, Num]] = []

    def run(one: Num, other: Num, area: Num) -> None:
        found.append((np.minimum(one, other), np.maximum(one, other), area))

    outer = it.mouth_mm - it.inward * it.stands_out_mm
    if it.collar is not None:
        collar = math.pi / 4.0 * it.collar.diameter_mm**2
        run(outer, outer + it.inward * it.collar.thickness_mm, collar - full_mm2)
    for seat in it.seats:
        run(seat.from_station_mm, seat.to_station_mm, math.pi / 4.0 * seat.outside_mm**2 - full_mm2)
    rise, across = it.entry_mm * np.tan(np.radians(it.entry_deg)), it.seats[-1].outside_mm
    run(it.inner_mm - it.inward * it.entry_mm, it.inner_mm, -math.pi * rise * (across / 2.0 - rise / 3.0))
    if it.drawing is not None:
        deep = it.drawing.drilled_mm if it.drawing.way == "draw" else it.drawing.depth_mm
        run(outer, outer + it.inward * deep, -it.drawing.count * math.pi / 4.0 * it.drawing.tap_drill_mm**2)
    return found


def _barrel(inputs: Inputs) -> tuple[Num, Triple]:
    volume, moment = barrel_outside_mm3(inputs)
    half, bore = inputs.barrel_length_mm / 2.0, math.pi / 4.0 * inputs.bore_mm**2
    volume = volume - bore * inputs.barrel_length_mm - inputs.bore_steps_mm3
    moment = moment - inputs.bore_steps_mm4
    for length, angle, sign in (
        (inputs.lead_in_aft_mm, inputs.lead_in_aft_deg, -1.0),
        (inputs.lead_in_forward_mm, inputs.lead_in_forward_deg, 1.0),
    ):
        rise, r = length * np.tan(np.radians(angle)), inputs.bore_mm / 2.0
        gone = math.pi * length * (r * rise + rise**2 / 3.0)
        volume, moment = volume - gone, moment - sign * gone * (half - length / 3.0)
    if inputs.screw_total:
        volume = volume - np.nan_to_num(
            inputs.screw_total * math.pi / 4.0 * inputs.screw_drill_mm**2 * np.maximum(inputs.screw_wall_mm, 0.0)
        )
    return volume, (moment / volume, 0.0 * volume, 0.0 * volume)


def _arm(inputs: Inputs, arm: ArmInputs) -> tuple[Num, Num, Num]:
    """Volume of an arm with its roots, and where its centre lies along its axis and forward along its chord."""
    span = arm.water_mm - arm.start_mm
    volume = along = across = 0.0 * span
    near = []
    for at, weight in _TWO_STATIONS:  # exact: the area of a linear taper goes with the square
        s = arm.start_mm + at * span
        props = arm.section_at(s)
        near.append(props)
        piece = weight * span * arm.cut * props.area_mm2
        volume, along = volume + piece, along + piece * s
        across = across + piece * props.centroid_x_mm
    # Small things at the ends, with the section a fifth of the way in.
    for end, root, props in ((arm.start_mm, arm.barrel_root_mm, near[0]), (arm.water_mm, arm.palm_root_mm, near[1])):
        chord, thickness = arm.size_at(end)
        if end is arm.start_mm:
            # The barrel falls away under the arm's flanks: the mean of y^2 / 2R over the section.
            more = props.ixx_mm4 / inputs.barrel_outside_mm
        else:
            # The palm is not square to the axis: the section's centroid is off mid-chord.
            more = -arm.chord_into_palm * props.centroid_x_mm * props.area_mm2 * arm.cut
        corner = _CORNER * root**2 if inputs.construction == "cast" else root**2 / 2.0
        # The bead's or fillet's own middle lies a good way out from the section: its ring is longer than the section's.
        more = more + corner * (kind_of(arm.shape).perimeter_mm(chord, thickness) + 2.0 * math.pi * 0.25 * root)
        volume, along = volume + more, along + more * end
        across = across + more * props.centroid_x_mm
    return volume, along / volume, across / volume


def _palm(inputs: Inputs, index: int) -> tuple[Num, Triple]:
    palm = inputs.palms[index]
    mean = palm.thickness_mm + palm.mean_face_mm
    area = palm.area_mm2 - 0.0 * mean
    volume = area * mean - 0.5 * palm.bevel_width_mm * palm.bevel_height_mm * (
        palm.perimeter_mm - math.pi * 2.0 / 3.0 * palm.bevel_width_mm
    )
    each = _bolt_hole_mm3(inputs, mean)
    u = area * mean * palm.centroid_u_mm - each * np.sum(palm.holes_u_mm, axis=-1)
    v = area * mean * palm.centroid_v_mm - each * np.sum(palm.holes_v_mm, axis=-1)
    volume = volume - each * palm.bolt_count
    u, v = u / volume, v / volume
    deep = palm.thickness_mm - mean / 2.0
    at = [palm.zero_mm[k] + u * palm.u[k] + v * palm.v[k] - deep * palm.normal[k] for k in range(3)]
    return volume, (at[0], at[1], at[2])


def _flange(inputs: Inputs, flange: FlangeInputs) -> tuple[Num, Triple]:
    """Flange beyond the barrel with its root, ribs and spigot, less holes and recess; barbs are left out."""
    plate, radius = inputs.palms[0], inputs.barrel_outside_mm / 2.0
    slant = np.cos(np.radians(flange.off_square_deg))
    whole, (x0, y0, z0) = _palm(inputs, 0)
    core = math.pi * radius**2 / slant * plate.thickness_mm
    cast, root = inputs.construction == "cast", flange.root_mm
    corner, off = (_CORNER * root**2, 0.2234 * root) if cast else (root**2 / 2.0, root / 3.0)
    ring = 2.0 * math.pi * (radius + off) * corner
    toe = np.minimum(flange.rib_mm / 2.0, np.minimum(flange.rib_out_mm, flange.rib_along_mm) / 3.0)
    side = toe * flange.rib_out_mm + (flange.rib_along_mm - toe) * (flange.rib_out_mm + toe) / 2.0
    ribs = flange.ribs * flange.rib_mm * side
    spigot = math.pi / 4.0 * (flange.spigot_outside_mm**2 - flange.spigot_bore_mm**2) * flange.spigot_length_mm
    within = np.maximum(flange.spigot_outside_mm, inputs.bore_mm)
    recess = math.pi / 4.0 * np.maximum(flange.recess_mm**2 - within**2, 0.0) * flange.recess_depth_mm
    face, free = flange.face_x_mm, flange.face_x_mm - flange.toward * plate.thickness_mm / slant
    pieces = (
        (-core, face - flange.toward * plate.thickness_mm / slant / 2.0),
        (ring, free - flange.toward * off),
        (ribs, free - flange.toward * flange.rib_along_mm / 3.0),
        (spigot, face + flange.toward * flange.spigot_length_mm / 2.0),
        (-recess, face - flange.toward * flange.recess_depth_mm / 2.0),
    )
    volume = whole + sum(v for v, _ in pieces)
    moment = whole * x0 + sum(v * x for v, x in pieces)
    return volume, (moment / volume, whole * y0 / volume, whole * z0 / volume)


def _bolt_hole_mm3(inputs: Inputs, thickness_mm: Num) -> Num:
    """Return what one bolt hole takes out of a palm, mm3, head included; broadcasts."""
    i, hole = inputs, inputs.bolt_hole_mm / 2.0
    wall = HEADS[i.bolt_kind].wall(i.bolt_hole_mm, i.bolt_head_mm, i.bolt_head_angle_deg, i.bolt_head_depth_mm)
    out = math.pi * hole**2 * thickness_mm
    for (deep, a), (up, b) in itertools.pairwise(wall):
        out = out + math.pi * (deep - up) * ((b**2 + b * a + a**2) / 3.0 - hole**2)
    return out


def _skeg(inputs: Inputs, skeg: SkegInputs) -> tuple[Num, Triple]:
    """Fin from the barrel to its lower edge, foot and boss, less what they share."""
    root, chord0 = inputs.barrel_outside_mm / 2.0, skeg.root_forward_x_mm - skeg.root_aft_x_mm
    span = skeg.depth_mm - root
    volume = x = z = 0.0 * span
    for at, weight in _STATIONS:
        chord = chord0 + at * (skeg.tip_chord_mm - chord0)
        thick = skeg.thickness_root_mm + at * (skeg.thickness_tip_mm - skeg.thickness_root_mm)
        area, back = kind_of(skeg.section).area_and_middle(chord, thick)
        piece = weight * span * area
        lead = skeg.root_forward_x_mm - at * skeg.sweep_mm
        volume, x, z = volume + piece, x + piece * (lead - back), z - piece * (root + at * span)
    corner = _CORNER * skeg.root_mm**2 if inputs.construction == "cast" else skeg.root_mm**2 / 2.0
    more = corner * 2.0 * chord0 + chord0 * skeg.thickness_root_mm**3 / (24.0 * root)
    volume, x, z = volume + more, x + more * (skeg.root_forward_x_mm + skeg.root_aft_x_mm) / 2.0, z - more * root
    y = 0.0 * volume
    if skeg.heel is not None:
        h = skeg.heel
        tip, leans = skeg.root_forward_x_mm - skeg.sweep_mm, skeg.sweep_mm / (skeg.depth_mm - root)
        lead, low = foot_start(tip, leans, skeg.depth_mm, h.centre_mm, h.foot_height_mm)
        reach = [h.centre_mm[0] - lead, h.centre_mm[1], h.centre_mm[2] - low]
        length = np.sqrt(reach[0] ** 2 + reach[1] ** 2 + reach[2] ** 2)
        way = [r / length for r in reach]
        wide, deep, r = h.foot_thickness_mm, h.foot_height_mm, h.outside_mm / 2.0

        def put(gain: Num, at: Num) -> tuple[Num, Num, Num, Num]:
            """Add a volume at a distance along the foot's line from the fin's leading edge."""
            return (
                volume + gain,
                x + gain * (lead + at * way[0]),
                y + gain * at * way[1],
                z + gain * (low + at * way[2]),
            )

        # The foot's half-round nose loses (1 - pi/4) b^2/2; inside the boss the two are one.
        nose = 0.5 * _CORNER * wide**2 * deep
        within = np.minimum(deep, h.height_mm) * wide * (r - wide**2 / (24.0 * r))
        fin = np.minimum(wide, skeg.thickness_tip_mm) * deep * skeg.tip_chord_mm
        volume, x, y, z = put(wide * deep * length - nose, length / 2.0)
        volume, x, y, z = put(-within, length - r / 2.0)
        volume, x, y, z = put(-fin, skeg.tip_chord_mm / 2.0)
        bored = math.pi / 4.0 * (h.bore_mm + 2.0 * h.bush_wall_mm) ** 2
        volume, x, y, z = put((math.pi * r**2 - bored) * h.height_mm, length)
        # Where the foot is higher than the boss the bore goes through what stands over.
        over = np.maximum(deep - h.height_mm, 0.0)
        volume, x, y, z = put(-0.5 * bored * over, length)
    return volume, (x / volume, y / volume, z / volume)


# --- stock ----------------------------------------------------------------------------------------------------------


def stock_kg(inputs: Inputs) -> Num:
    """Return the weight of the casting, or of the stock that a welded strut is cut from, kg; broadcasts.

    >>> round(float(stock_kg(engineering_inputs("canal-tender"))), 2)  # 390 800 mm3 of blanks
    3.13
    """
    density = inputs.strut.density_kg_m3 * 1e-9
    length, outside = inputs.barrel_length_mm, inputs.barrel_outside_mm
    if inputs.let_in is not None:
        collar = inputs.let_in.collar
        wide = outside if collar is None else np.maximum(outside, collar.diameter_mm)
        return math.pi / 4.0 * ((wide + 4.0) ** 2 - (inputs.bore_mm - 4.0) ** 2) * (length + 4.0) * density
    if inputs.construction == "welded":
        barrel = math.pi / 4.0 * (outside**2 - (inputs.bore_mm - 4.0) ** 2) * (length + 4.0)
        total = barrel
        for arm in inputs.arms:
            chord = np.maximum(arm.chord_barrel_mm, arm.chord_palm_mm)
            thick = np.maximum(arm.thickness_barrel_mm, arm.thickness_palm_mm)
            total = total + chord * thick * (arm.water_mm - arm.start_mm + chord * np.abs(arm.chord_into_palm) + thick)
        for palm in inputs.palms:
            total = total + (palm.forward_mm - palm.aft_mm) * (palm.port_mm - palm.starboard_mm) * palm.most_mm
        if inputs.skeg is not None:
            total = total + 1.1 * _skeg(inputs, inputs.skeg)[0]
        return total * density
    largest = np.maximum(inputs.drop_mm + outside / 2.0, length)
    stock = _allowance_mm(inputs.casting_allowance, largest)
    total = weight_kg(inputs) / density
    total = (
        total
        + math.pi * inputs.bore_mm * stock * (length + 2.0 * stock)
        + inputs.barrel_wall_mm * math.pi * (outside + inputs.bore_mm) / 2.0 * 2.0 * stock
    )
    if inputs.screw_total:
        total = total + np.nan_to_num(
            inputs.screw_total * math.pi / 4.0 * inputs.screw_drill_mm**2 * np.maximum(inputs.screw_wall_mm, 0.0)
        )
    for palm in inputs.palms:
        # The hull face is cast plain, over the highest place of its curve.
        plain = stock + palm.most_mm - palm.thickness_mm - palm.mean_face_mm
        total = total + palm.area_mm2 * plain + palm.bolt_count * _bolt_hole_mm3(inputs, palm.most_mm)
    if inputs.skeg is not None and inputs.skeg.heel is not None:
        h = inputs.skeg.heel
        total = total + math.pi / 4.0 * (h.bore_mm + 2.0 * h.bush_wall_mm) ** 2 * h.height_mm
    return total * density


def _allowance_mm(grade: str, largest_mm: Num) -> Num:
    """Return the machining allowance a side of a casting, mm, by its largest size; broadcasts; ISO 8062-4, published.

    Over the table's greatest size its last row is taken.
    """
    rows = tables.table("iso8062_machining").rows
    edges = np.array([float(r["to"]) for r in rows])
    steps = np.array([float(r[grade]) for r in rows])
    return steps[np.minimum(np.searchsorted(edges, np.asarray(largest_mm, dtype=float)), len(steps) - 1)][()]
