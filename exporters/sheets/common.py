"""What sheets share: a bare barrel, how a palm lies to the shaft, notes every sheet carries, names, scales, masses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from strutwright.exporters.drawing.figures import fixed
from strutwright.exporters.drawing.sheet import Table
from strutwright.exporters.drawing.view import SCALES
from strutwright.exporters.files.naming import finished
from strutwright.exporters.files.parts_list import PartRow, parts_rows
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import frames
from strutwright.models.families import CLOCK_ZERO, ZERO_PARTS
from strutwright.models.geometry.barrel import seat_step
from strutwright.models.spec import HAND_MARKS, OTHER_HAND, Palm, PalmPlane, Strut
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM, POUND_KG
from strutwright.params.words import stock_mm

KEPT_OUT = frozenset({"bearing shell", "bearing rubber", "weld", "heel bush"})
"""Kinds of parts that views of the bare strut leave out."""

STATION = "Station: along the shaft line from the aft face of the barrel, positive forward."
FACES = "Hull face: the palm's face on the hull. Water face: the opposite face, with the arm and the bolt heads."


def clock_words(strut: Strut) -> str:
    """Return the note on clock angles."""
    word = CLOCK_ZERO[strut.family]
    zero = f"toward the {word}" if word in ZERO_PARTS else "up"
    return (
        f"Clock angle: round the shaft line, 0 {zero}, positive toward port for both hands; seen from aft "
        "looking forward that is counter-clockwise."
    )


def clock_zero(strut: Strut) -> str:
    """Return what a view from the end says at clock 0."""
    word = CLOCK_ZERO[strut.family]
    return word if word == "up" else f"to {word}"


def datum_axis(strut: Strut) -> str:
    """Return the name of the bore whose axis is datum A: the one that carries a bearing, of two the aft one."""
    carrying = {seat_step(strut.barrel, b) for b in strut.bearings}
    return "aft bore" if len(carrying) > 1 else "bore" if carrying == {None} else "counterbore"


def datum_a(strut: Strut) -> str:
    """Return the note on datum A."""
    return f"Datum A: axis of the {datum_axis(strut)} (the shaft line). Everything is measured from it."


def hand_name(strut: Strut) -> str:
    """Return the hand in a word or two: of a hanger, whose left and right are its own, as the boat's."""
    hand = strut.identity.hand
    return f"{hand.upper()} HAND" if strut.hanger is not None and hand != "centre" else hand.upper()


def hand_words(strut: Strut) -> str:
    """Return what a sheet says of the hand."""
    identity, hand = strut.identity, strut.identity.hand
    if hand == "centre":
        mirrored = " Its port and starboard arms are mirror images: neither can take the other's place."
        welded_pair = len(strut.arms) > 1 and strut.construction == "welded"
        return f"Hand: none, the strut stands on the centre line.{mirrored if welded_pair else ''}"
    twin = OTHER_HAND[hand]
    if strut.hanger is not None:  # its own left and right are not the boat's: the hand is told in capitals
        alone = "is made alone" if not identity.pair else f"has {HAND_MARKS[twin]} in its number"
        return (
            f"Hand: {hand.upper()} HAND of the boat, number {identity.number}. The mirror image, {twin.upper()} HAND, "
            f"{'cannot take its place; this one ' if not identity.pair else 'cannot take its place; it '}{alone}."
        )
    said = f"Hand: {hand.upper()}, number {identity.number}; {hand} is outboard. "
    if not identity.pair:
        return f"{said}It is made alone; its mirror image, a {twin} strut, cannot take its place."
    return (
        f"{said}The {twin} strut is the mirror image, with {HAND_MARKS[twin]} in its number, on sheets of its own; "
        "neither can take the other's place."
    )


def has_skew(strut: Strut) -> bool:
    """Return whether the shaft stands askew over a palm, so that its side tells the hand."""
    return any(abs(set_up(p.plane).skew_deg) > 0.005 for p in strut.palms)


def skew_words(strut: Strut) -> str:
    """Return what a check by heights adds where the shaft stands askew over a palm; nothing where it does not."""
    if not has_skew(strut):
        return ""
    if strut.identity.hand == "centre":
        return " Both palms have the same heights: check of each to which side its skew is."
    return " A strut of the wrong hand can have the right heights: check to which side the skew is."


def file_words(strut: Strut) -> str:
    """Return how the files of the finished part that a sheet names after these words begin."""
    return f"Full-size files {finished(strut)}-"


def general_notes(ctx: SheetContext, more: Sequence[str], *, breaking: bool = True) -> list[str]:
    """Return the notes every sheet carries, with `more` after the first."""
    unit, edges = ("inches", ".01 to .02") if ctx.inch else ("mm", "0.3 to 0.5")
    broken = [f"Remove burrs, break sharp edges {edges}."] if breaking else []
    return [f"Dimensions in {unit}, angles in degrees. Do not scale.", *more, *broken, hand_words(ctx.strut)]


def family(material: str) -> str:
    """Return the family of a material, such as "bronze"; nothing when the tables do not hold it."""
    try:
        return tables.material(material).family
    except tables.NotInTable:
        return ""


def no_larger(scales: tuple[float, ...]) -> tuple[float, ...]:
    """Return the scales without enlargements, or full size when there are but those: a part is best seen as it is."""
    return tuple(s for s in scales if s <= 1.0) or (1.0,)


def one_scale(extent_mm: float, most_mm: float) -> float:
    """Return the largest scale at which a model length is at most most_mm on paper."""
    return max((s for s in SCALES if extent_mm * s <= most_mm), default=SCALES[-1])


def scales_between(extent_mm: float, least_mm: float, most_mm: float) -> tuple[float, ...]:
    """Return the scales at which a length of the model is least_mm to most_mm on paper, largest first; at least one."""
    return tuple(s for s in SCALES if least_mm <= extent_mm * s <= most_mm) or (one_scale(extent_mm, most_mm),)


def degrees(value_deg: float, places: int = 2) -> str:
    """Return an angle with a fixed number of places and its sign."""
    return f"{fixed(value_deg, places)}°"


def slope(value_deg: float, ctx: SheetContext) -> str:
    """Return an angle as a rise, as `slope_unit` says."""
    run, places = (12.0, 3) if ctx.inch else (100.0, 2)
    return fixed(run * math.tan(math.radians(value_deg)), places)


def slope_unit(ctx: SheetContext) -> str:
    """Return what a slope is told in: mm per 100, or inches per foot."""
    return "in per foot" if ctx.inch else "mm per 100"


def weld_size(ctx: SheetContext, leg_mm: float) -> str:
    """Return the leg of a fillet weld as a welder is told it: in inches a fraction where it is one."""
    return stock_mm(leg_mm).read("in").removesuffix(" in") if ctx.inch else ctx.length(leg_mm)


def compound(shapes: Sequence[Any]) -> Any:
    """Return one shape of several."""
    import cadquery as cq

    return shapes[0] if len(shapes) == 1 else cq.Compound.makeCompound(list(shapes))


def bare_strut(ctx: SheetContext) -> Any:
    """Return the strut as one shape, without bearings, beads and bush."""
    return compound([p.shape for p in ctx.built.parts if p.kind not in KEPT_OUT])


def bare_barrel(ctx: SheetContext) -> Any:
    """Return the barrel alone, machined; of a casting it is made again without what grows on it."""
    cap = None if ctx.strut.hanger is None else ctx.strut.hanger.cap
    part = (ctx.part("barrel") if cap is None else None) or (
        ctx.part("housing") if ctx.strut.let_in is not None else None
    )
    if part is not None:
        return part.shape
    from strutwright.models.solids import barrel as barrels
    from strutwright.models.solids import kernel, outer_envelope
    from strutwright.models.solids.assembly import seams_of
    from strutwright.models.solids.hanger import split_barrel

    strut = ctx.strut
    bore, slots = barrels.bore_cutter(strut.barrel, seams_of(strut)[0]), barrels.slot_cutters(strut.barrel)
    cutters = [bore, *slots, *barrels.screw_cutters(strut.barrel, strut.set_screws)]
    if cap is not None:
        return compound(split_barrel(strut.barrel, cap, cutters))
    return kernel.cut(outer_envelope(strut), cutters)


@dataclass(frozen=True, slots=True)
class SetUp:
    """How a palm lies to the shaft, for the machine; degrees.

    trace_turn: turn of the level palm about its trace that brings the shaft into a vertical plane through the trace,
    positive port edge up; pitch: the tip that then brings the shaft level, positive fore end down. skew: from the trace
    to the shaft's projection, positive toward port. true: shaft to palm. normal_z: cosine between palm and shaft
    normals. Follow from the plane z = D - x tan(theta) + y tan(phi) by vector algebra.
    """

    trace_turn_deg: float
    pitch_deg: float
    skew_deg: float
    true_deg: float
    normal_z: float
    drop_mm: float

    def height_mm(self, x_mm: float) -> float:
        """Return the height of the shaft line over a plate on which the hull face lies, x forward of mid-barrel."""
        return self.normal_z * (self.drop_mm - x_mm * math.tan(math.radians(self.pitch_deg)))


def set_up(plane: PalmPlane) -> SetUp:
    """Return the set-up of a palm plane."""
    theta, phi = math.radians(plane.pitch_deg), math.radians(plane.tilt_deg)
    turn = math.degrees(math.atan(math.tan(phi) * math.cos(theta)))
    skew = frames.trace_to_projection_deg(plane.pitch_deg, plane.tilt_deg)
    true = frames.shaft_to_palm_deg(plane.pitch_deg, plane.tilt_deg)
    normal_z = 1.0 / math.sqrt(1.0 + math.tan(theta) ** 2 + math.tan(phi) ** 2)
    return SetUp(turn, plane.pitch_deg, skew, true, normal_z, plane.drop_mm)


@dataclass(frozen=True, slots=True)
class OverPalm:
    """A point of the bore's axis dropped square on a palm's hull face: u forward and v to port from the palm's zero in
    the palm axes, and its height over the face, mm.
    """

    where: str
    u_mm: float
    v_mm: float
    height_mm: float


def axis_over_palm(strut: Strut, palm: Palm) -> tuple[OverPalm, OverPalm]:
    """Return where the bore's axis at the barrel's aft and forward faces stands over a palm's hull face."""
    half = strut.barrel.length_mm / 2
    ends = np.array([(-half, 0.0, 0.0), (half, 0.0, 0.0)])
    rows = [[float(c) for c in row] for row in frames.palm_axes(palm).from_strut(ends)]
    aft, forward = (OverPalm(w, u, v, -n) for w, (u, v, n) in zip(("aft face", "forward face"), rows, strict=True))
    return aft, forward


def palm_place_mm(strut: Strut, palm: Palm) -> tuple[float, float]:
    """Return how far (mm) a palm's zero lies forward of the barrel's aft face, along the shaft, and to port of it."""
    return strut.barrel.length_mm / 2 + palm.zero_mm[0], palm.zero_mm[1]


def palm_label(palm: Palm, strut: Strut) -> str:
    """Return the palm's name where there are several, else nothing."""
    return palm.name if len(strut.palms) > 1 else ""


def bearing_name(strut: Strut, index: int) -> str:
    """Return what a bearing of the strut is called, with its number where there are several."""
    return "bearing" if len(strut.bearings) == 1 else f"bearing {index + 1}"


def listed_parts(ctx: SheetContext) -> list[PartRow]:
    """Return the rows of the parts list, in the units of the sheet."""
    return list(parts_rows(replace(ctx.strut, file_units=ctx.unit), ctx.built.parts, ctx.limits))


def parts_table(ctx: SheetContext) -> Table:
    """Return the parts list as it stands on a general arrangement."""
    rows = tuple(
        (
            str(row.item),
            row.part,
            str(row.quantity),
            row.material,
            ", ".join(t for t in (row.size, row.standard) if t),
            mass_text(ctx, row.weight_each_kg or 0.0),
        )
        for row in listed_parts(ctx)
    )
    columns = ("item", "part", "no.", "material", "size, standard", "weight each")
    return Table(name="parts", title="PARTS LIST", columns=columns, rows=rows, left=frozenset({1, 3, 4}))


def strut_mass(ctx: SheetContext) -> str:
    """Return the mass of the strut with its unit, beads counted, bearings and bush not; nothing when a material is not
    in the tables.
    """
    bought = ("bearing shell", "bearing rubber", "heel bush")
    return mass_text(ctx, sum(part_mass_kg(p.volume_mm3, p.material) for p in ctx.built.parts if p.kind not in bought))


def part_mass_kg(volume_mm3: float, material: str) -> float:
    """Return the mass of a volume; 0 when the material is not in the tables."""
    try:
        return volume_mm3 * 1e-9 * tables.material(material).density_kg_m3
    except tables.NotInTable:
        return 0.0


def part_mass(ctx: SheetContext, name: str) -> str:
    """Return the mass of a built part with its unit; nothing when there is no such part."""
    part = ctx.part(name)
    return "" if part is None else mass_text(ctx, part_mass_kg(part.volume_mm3, part.material))


def mass_text(ctx: SheetContext, kg: float) -> str:
    """Return a mass with its unit; nothing for 0."""
    if kg <= 0.0:
        return ""
    value, unit = (kg, "kg") if ctx.unit == "mm" else (kg / POUND_KG, "lb")
    return f"{fixed(value, 2)} {unit}" if value < 100.0 else f"{fixed(value, 0)} {unit}"


def both_units(high_mm: float, low_mm: float) -> tuple[str, str]:
    """Return limits, largest then smallest, in mm and in inches, as a shop reads them off the instrument."""
    high, low = high_mm / INCH_MM, low_mm / INCH_MM
    return f"{fixed(high_mm, 3)} / {fixed(low_mm, 3)} mm", f"{fixed(high, 4)} / {fixed(low, 4)} in"
