"""What sheets share: viewpoints, a bare barrel, notes every sheet carries, words for clock, station and faces."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import numpy as np

from strutwright.exporters.drawing.figures import Figures, fixed
from strutwright.exporters.drawing.projection import LEFT, Viewpoint
from strutwright.exporters.drawing.shapes import P
from strutwright.exporters.drawing.sheet import Sheet, TitleBlock
from strutwright.exporters.drawing.view import SCALES, View
from strutwright.exporters.files.naming import finished
from strutwright.exporters.sheets import parts
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import cautions, frames
from strutwright.models.geometry.barrel import seat_step
from strutwright.models.outline import Outline, OutlineError
from strutwright.models.spec import HAND_MARKS, OTHER_HAND, Arm, Palm, PalmPlane, Strut
from strutwright.params import tables
from strutwright.params.words import stock_mm

FROM_AFT = LEFT
"""Eye astern, looking forward: port is to the left, clock angles run counter-clockwise."""

ISOMETRIC = Viewpoint(
    (-1.0 / math.sqrt(3.0), -1.0 / math.sqrt(3.0), -1.0 / math.sqrt(3.0)),
    (1.0 / math.sqrt(2.0), -1.0 / math.sqrt(2.0), 0.0),
)
"""Eye aft, to starboard and below, where the water faces and bolt heads are seen."""

KEPT_OUT = frozenset({"bearing shell", "bearing rubber", "weld", "heel bush"})
"""Kinds of parts that views of the bare strut leave out."""

CLOCK = (
    "Clock angle: round the shaft line, 0 toward the hull, positive toward port for both hands; seen from aft "
    "looking forward that is counter-clockwise."
)
STATION = "Station: along the shaft line from the aft face of the barrel, positive forward."
FACES = "Hull face: the palm's face on the hull. Water face: the other one, with the arm and the bolt heads."


def datum_axis(strut: Strut) -> str:
    """Return the name of the bore whose axis is datum A: the one that carries a bearing, of two the aft one."""
    carrying = {seat_step(strut.barrel, b) for b in strut.bearings}
    return "aft bore" if len(carrying) > 1 else "bore" if carrying == {None} else "counterbore"


def datum_a(strut: Strut) -> str:
    """Return the note on datum A."""
    return f"Datum A: axis of the {datum_axis(strut)} (the shaft line). Everything is measured from it."


def hand_words(strut: Strut) -> str:
    """Return what a sheet says of the hand."""
    hand = strut.identity.hand
    if hand == "centre":
        return "Hand: none, the strut stands on the centre line." + (
            " Its port and starboard arms are mirror images: neither can take the other's place."
            if len(strut.arms) > 1 and strut.construction == "welded"
            else ""
        )
    twin = "starboard" if hand == "port" else "port"
    number, side = strut.identity.number, strut.identity.side(hand).split()[-1]
    said = f"Hand: {hand.upper()}, number {number}; {hand} is {side}. "
    if not strut.identity.pair:
        return said + f"It is made alone; its mirror image, a {twin} strut, cannot take its place."
    return said + (
        f"The {twin} strut is the mirror image, with {HAND_MARKS[OTHER_HAND[hand]]} in its number, on "
        "sheets of its own; neither can take the other's place."
    )


def has_skew(strut: Strut) -> bool:
    """Return whether the shaft stands askew over a palm, so that its side tells the hand."""
    return any(abs(set_up(p.plane).skew_deg) > 0.005 for p in strut.palms)


def file_words(strut: Strut) -> str:
    """Return how the files of the finished part that a sheet names after these words begin."""
    return f"True-size files {finished(strut)}-"


def general_notes(ctx: SheetContext, *more: str, breaking: bool = True) -> list[str]:
    """Return the notes every sheet carries, with `more` after the first."""
    unit = "mm" if ctx.units == "mm" else "inches"
    edges = (
        "Remove burrs, break sharp edges 0.3 to 0.5."
        if ctx.units == "mm"
        else "Remove burrs, break sharp edges .01 to .02."
    )
    return [
        f"Dimensions in {unit}, angles in degrees. Do not scale.",
        *more,
        *([edges] if breaking else []),
        hand_words(ctx.strut),
    ]


def family(strut: Strut) -> str:
    """Return the family of the strut's metal, such as "bronze"; nothing when the tables do not hold it."""
    try:
        return tables.material(strut.material).family
    except tables.NotInTable:
        return ""


def short_cautions(*more: str) -> list[str]:
    """Return the cautions of a workshop sheet: whose decision the structure is, and those named."""
    return [cautions.STRUCTURE, *more]


def new_sheet(ctx: SheetContext, title: TitleBlock, *, smallest: int = 1) -> Sheet:
    """Return an empty sheet in the context's units, projection and sizes from the n-th on (0 is A4 or ANSI A).

    The hand of a handed strut is set large on it.
    """
    handed = ctx.strut.identity.hand != "centre"
    return Sheet(
        title,
        sizes=ctx.sizes[smallest:],
        projection=ctx.projection,
        figures=ctx.figures,
        banner=parts.banner(ctx.strut) if handed else "",
    )


def scales_between(extent_mm: float, least_mm: float, most_mm: float) -> tuple[float, ...]:
    """Return the scales at which a length of the model is least_mm to most_mm on paper, largest first; at least one."""
    found = tuple(s for s in SCALES if least_mm <= extent_mm * s <= most_mm)
    return found or (max((s for s in SCALES if extent_mm * s <= most_mm), default=SCALES[-1]),)


def length(figures: Figures, value_mm: float) -> str:
    """Return a length in the sheet's figures, minus zero shown as zero."""
    return figures.length(value_mm + 0.0 if abs(value_mm) > 5e-7 else 0.0)


def degrees(value_deg: float, places: int = 2) -> str:
    """Return an angle with a fixed number of places, minus zero shown as zero."""
    return fixed(value_deg, places)


def slope(value_deg: float, ctx: SheetContext) -> str:
    """Return an angle as a rise, as `slope_unit` says."""
    run, places = (12.0, 3) if ctx.units == "in" else (100.0, 2)
    return degrees(run * math.tan(math.radians(value_deg)), places)


def slope_unit(ctx: SheetContext) -> str:
    """Return what a slope is told in: mm per 100, or inches per foot."""
    return "in per foot" if ctx.units == "in" else "mm per 100"


def weld_size(ctx: SheetContext, leg_mm: float) -> str:
    """Return the leg of a fillet weld as a welder is told it: in inches a fraction where it is one."""
    return stock_mm(leg_mm).read("in").removesuffix(" in") if ctx.units == "in" else ctx.figures.length(leg_mm)


def compound(shapes: Sequence[Any]) -> Any:
    """Return one shape of several."""
    import cadquery as cq

    return shapes[0] if len(shapes) == 1 else cq.Compound.makeCompound(list(shapes))


def bare_strut(ctx: SheetContext) -> Any:
    """Return the strut as one shape, without bearings, beads and bush."""
    return compound([p.shape for p in ctx.built.parts if p.kind not in KEPT_OUT])


def bare_barrel(ctx: SheetContext) -> Any:
    """Return the barrel alone, machined; of a casting it is made again without what grows on it."""
    part = ctx.part("barrel")
    if part is not None:
        return part.shape
    from strutwright.models.solids import barrel as barrels
    from strutwright.models.solids import kernel, outer_envelope
    from strutwright.models.solids.assembly import seams_of

    strut = ctx.strut
    cutters = [
        barrels.bore_cutter(strut.barrel, seams_of(strut)[0]),
        *barrels.slot_cutters(strut.barrel),
        *barrels.screw_cutters(strut.barrel, strut.set_screws),
    ]
    return kernel.cut(outer_envelope(strut), cutters)


def seen(view: Viewpoint, point: Iterable[float]) -> P:
    """Return the place of a point (3,) in a view."""
    x, y, z = (float(c) for c in point)
    return view.project((x, y, z))


def from_clock(clock_deg: float, way: float = 1.0) -> Viewpoint:
    """Return the view square to the shaft from a clock angle. way: 1 forward to the right, -1 forward to the left."""
    y, z = math.sin(math.radians(clock_deg)), math.cos(math.radians(clock_deg))
    return Viewpoint((0.0, y, z), (way, 0.0, 0.0))


def on_clock(clock_deg: float, radius_mm: float) -> P:
    """Return a place in a view from aft at a clock angle and radius."""
    return seen(FROM_AFT, radius_mm * frames.radial(clock_deg))


def chord(radius_mm: float, at_mm: float) -> float:
    """Return half the chord of a circle at a distance from its middle."""
    return math.sqrt(max(radius_mm**2 - at_mm**2, 0.0))


@dataclass(frozen=True, slots=True)
class SetUp:
    """How a palm lies to the shaft, for the machine; degrees.

    trace_turn: turn of the level palm about its trace that brings the shaft into an upright plane through the trace,
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
    normal_z = 1.0 / math.sqrt(1.0 + math.tan(theta) ** 2 + math.tan(phi) ** 2)
    return SetUp(
        turn,
        plane.pitch_deg,
        frames.trace_to_projection_deg(plane.pitch_deg, plane.tilt_deg),
        frames.shaft_to_palm_deg(plane.pitch_deg, plane.tilt_deg),
        normal_z,
        plane.drop_mm,
    )


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


def arm_label(arm: Arm) -> str:
    """Return the name of an arm in plain words."""
    return arm.called


def palm_corners(palm: Palm) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return points (n, 3) round the edges of a palm, its bevel among them, strut frame.

    The outermost points along x, y and z are exact.
    """
    axes, t = frames.palm_axes(palm), palm.thickness_mm
    rims = [(palm.outline, 0.0)]
    if palm.bevel_width_mm > 0 and palm.bevel_height_mm > 0:
        rims.append((palm.outline, t - palm.bevel_height_mm))
        with suppress(OutlineError):  # the bevel runs out somewhere
            rims.append((palm.outline.inset(palm.bevel_width_mm), t))
    else:
        rims.append((palm.outline, t))
    ways = [sign * np.array((axes.u[k], axes.v[k])) for k in range(3) for sign in (1.0, -1.0)]
    return np.vstack(
        [
            axes.to_strut(np.vstack([outline.polyline(0.2), *(outermost(outline, w) for w in ways)]), -depth)
            for outline, depth in rims
        ]
    )


def outermost(outline: Outline, way: np.ndarray[Any, np.dtype[np.float64]]) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return the point (2,) of an outline that lies farthest along a direction (2,), exact on its lines and arcs."""
    seg = outline.segments()
    found = [np.asarray(p, dtype=float) for p in seg.start]
    length = float(np.hypot(*way))
    if length > 1e-12:
        for k in np.flatnonzero(~np.isinf(seg.radius)):
            centre, start = seg.centre[k], seg.start[k] - seg.centre[k]
            sweep = float(seg.sweep_rad[k])
            turned = (math.atan2(way[1], way[0]) - math.atan2(start[1], start[0])) % math.tau
            if turned <= sweep if sweep > 0 else math.tau - turned <= -sweep:
                found.append(centre + float(seg.radius[k]) / length * way)
    return max(found, key=lambda p: round(float(p @ way), 9))


def mass_kg(ctx: SheetContext) -> float:
    """Return the mass of the strut without bearings and bush, beads counted; 0 when a material is not in the tables."""
    total = 0.0
    for part in ctx.built.parts:
        if part.kind in ("bearing shell", "bearing rubber", "heel bush"):
            continue
        total += part_mass_kg(part.volume_mm3, part.material)
    return total


def part_mass_kg(volume_mm3: float, material: str) -> float:
    """Return the mass of a volume; 0 when the material is not in the tables."""
    try:
        return volume_mm3 * 1e-9 * tables.material(material).density_kg_m3
    except tables.NotInTable:
        return 0.0


def mass_text(ctx: SheetContext, kg: float) -> str:
    """Return a mass with its unit; nothing for 0."""
    if kg <= 0.0:
        return ""
    value, unit = (kg, "kg") if ctx.units == "mm" else (kg / 0.45359237, "lb")
    return f"{fixed(value, 2)} {unit}" if value < 100.0 else f"{fixed(value, 0)} {unit}"


def both_units(figures: Figures, size_mm: float, upper_mm: float, lower_mm: float) -> tuple[str, str]:
    """Return limits of size, largest then smallest, in mm and in inches, as a shop reads them off the instrument."""
    high, low = size_mm + upper_mm, size_mm + lower_mm
    return f"{fixed(high, 3)} / {fixed(low, 3)} mm", f"{fixed(high / 25.4, 4)} / {fixed(low / 25.4, 4)} in"


def shaft_lines(view: View, strut: Strut, x0: float, x1: float) -> None:
    """Draw the shaft in phantom outline from x0 to x1 where it runs clear of the barrel."""
    from strutwright.exporters.drawing.shapes import Line

    r, half = strut.shaft.diameter_mm / 2, strut.barrel.length_mm / 2
    for y in (-r, r):
        view.add([Line((x0, y), (-half, y)), Line((half, y), (x1, y))], "phantom")
