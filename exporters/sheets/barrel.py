"""Barrel sheets: machining with set-up, set-screw layout, inspection record."""

from __future__ import annotations

import csv
import io
import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from strutwright.exporters.drawing.figures import Label, fixed
from strutwright.exporters.drawing.projection import FRONT, Viewpoint, section
from strutwright.exporters.drawing.shapes import Arc, Line, P, Poly
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.data_sheets import set_screw_table
from strutwright.exporters.sheets import common, parts, skeg
from strutwright.exporters.sheets.common import FROM_AFT, on_clock
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import cautions, frames
from strutwright.models.formulas import set_screws as screw_mechanics
from strutwright.models.geometry import casting
from strutwright.models.geometry.barrel import (
    ScrewWall,
    bearing_seat_mm,
    bend_mm,
    bore_points,
    is_faired,
    parallel_part,
    screw_wall_of,
    seat_limits_mm,
    seat_step,
)
from strutwright.models.geometry.casting import (
    COAXIAL_MM,
    cast_tolerance_mm,
    casting_of,
    least_cast_wall_mm,
    widest_bore_mm,
)
from strutwright.models.geometry.tube import TUBE_OFF_MM
from strutwright.models.shop import development as dev
from strutwright.models.solids.bearing import running_outline
from strutwright.models.spec import Barrel, Bearing, BoreStep, Palm, SetScrew, Strut, Tube
from strutwright.params import limits, tables

# Common practice, no source; confirm with the shop.
BORE_RA, FACE_RA, PALM_RA = "Ra 1.6", "Ra 3.2", "Ra 3.2"
CYLINDRICITY_SHARE = 0.5  # of the seat's own tolerance
SQUARE_MM = 0.1
PALM_ANGLE_METAL_DEG, PALM_ANGLE_BEDDED_DEG = 0.1, 0.25
BAR_OVERHANG_SHARE = 0.15  # of the barrel's length that a test bar stands out at either end


def palm_angle_tolerance_deg(strut: Strut) -> float:
    """Return the tolerance of the palm's angle: closer on a metal hull, wider where the palm is bedded in resin."""
    return PALM_ANGLE_METAL_DEG if parts.is_metal(strut.hull.material) else PALM_ANGLE_BEDDED_DEG


def angularity_mm(strut: Strut, palm: Palm) -> float:
    """Return the width (mm) of the zone for a palm's hull face that its angle tolerance leaves over its length."""
    box = palm.outline.bounding_box()
    long = max(box.xmax - box.xmin, box.ymax - box.ymin)
    return round(long * math.tan(math.radians(palm_angle_tolerance_deg(strut))), 1)


def general_tolerance_mm(ctx: SheetContext, nominal_mm: float) -> float:
    """Return the general tolerance of the title block for a machined length, plus or minus, mm.

    ISO 2768-1, class m (published); inch sheets as the title block says for three decimals.
    """
    if ctx.units == "in":
        return casting.GENERAL_INCH_MM
    return float(casting.general_tolerance_mm(nominal_mm))


def as_made_tolerance_mm(ctx: SheetContext, nominal_mm: float) -> float:
    """Return the tolerance, plus or minus, mm, of a size with at least one side as cast; of a welded strut the general
    one.

    ISO 8062, half of the total of the strut's grade (published, typed copy).
    """
    if ctx.strut.construction != "cast":
        return general_tolerance_mm(ctx, nominal_mm)
    half = float(cast_tolerance_mm(casting_of(ctx.strut).tolerance_grade, nominal_mm)) / 2
    step = 0.005 * 25.4  # on inch sheets a round figure, no more than the grade's
    return half if ctx.units == "mm" else math.floor(half / step + 1e-9) * step


def outside_made(strut: Strut) -> Literal["cast", "turned", "stock"]:
    """Return how the barrel's outside is left: as cast, turned down, or as the bar was bought."""
    if strut.construction == "cast":
        return "cast"
    if strut.barrel.tube is not None:
        return "turned" if strut.barrel.tube.turned else "stock"
    bars = tables.hollow_bars(strut.barrel.outside_mm, strut.barrel.bore_mm)
    return "turned" if bars and bars[0].outside_mm > strut.barrel.outside_mm + 0.5 else "stock"


def drop_tolerance_mm(ctx: SheetContext) -> float:
    """Return the tolerance of the drop, of a test bar's height and of the palm's place, plus or minus, mm."""
    return parts.place_mm(ctx.units)


def _general(ctx: SheetContext, nominal_mm: float) -> tuple[float, float]:
    t = general_tolerance_mm(ctx, nominal_mm)
    return (t, -t)


def _mm(ctx: SheetContext, value_mm: float) -> str:
    """A tolerance in the sheet's figures."""
    return f"{value_mm:g}" if ctx.units == "mm" else fixed(value_mm / 25.4, 3).lstrip("0")


def _close(ctx: SheetContext, value_mm: float) -> str:
    """A close tolerance in the sheet's figures, never more than it is: three places in mm, four in inches."""
    if ctx.units == "mm":
        return f"{max(math.floor(1000 * value_mm + 1e-6), 1) / 1000:g}"
    return fixed(max(math.floor(1e4 * value_mm / 25.4 + 1e-6), 1) / 1e4, 4).lstrip("0")


def _texture(ctx: SheetContext, ra: str) -> str:
    """Surface texture: micrometres, or microinches on inch sheets."""
    if ctx.units == "mm":
        return ra
    micro = {"Ra 1.6": "63", "Ra 3.2": "125", "Ra 6.3": "250"}[ra]
    return f"Ra {micro} µin"


# --- machining ------------------------------------------------------------------------------------------------------


def barrel_machining(ctx: SheetContext, sheet_number: int, sheets: int) -> Sheet:
    """Return the machining sheet: section of the barrel, end view, the strut set up, tables."""
    strut = ctx.strut
    title = ctx.title(
        "Barrel, machining",
        "Part drawing",
        sheet_number=sheet_number,
        sheets=sheets,
        mass=common.mass_text(ctx, common.mass_kg(ctx)),
    )
    sheet = common.new_sheet(ctx, title)
    sheet.views = [_barrel_section(ctx), _barrel_end(ctx), _set_up_side(ctx)]
    if any(abs(p.plane.tilt_deg) > 0.005 for p in strut.palms):
        sheet.views.append(_set_up_end(ctx))
    sheet.scales = common.scales_between(strut.barrel.length_mm, 75.0, 330.0)
    sheet.tables = [_limits_table(ctx), _steps_table(ctx), heights_table(ctx)]
    outside = _coaxial_mm(strut)
    several = len(seats(strut)) > 1
    sheet.notes = common.general_notes(
        ctx,
        common.datum_a(strut)
        + " Datum B: the aft face."
        + (" Bore last, after all welding and straightening." if strut.construction == "welded" else "")
        + f" {'Both bores' if several else 'Bore'} and end faces in one set-up.",
        _set_up_words(strut) + ", top mark up, palm clocked level by the two turns of the table, in that order, from "
        "the palm lying level with its trace along the table.",
        f"Check: {bar_words(ctx)}, hull face down on a plate; heights of the bar's middle as in the table."
        + (
            " The skew says which hand the part is: a part can have the right heights and the wrong hand."
            if common.has_skew(strut)
            else ""
        ),
        f"Outside to bore within Ø{_mm(ctx, outside)}: with that the wall of the parallel part after boring, "
        f"{common.length(ctx.figures, _wall(strut))}{_wall_where(strut)}, is nowhere under "
        f"{common.length(ctx.figures, _least_wall(ctx))}.",
        _surfaces(ctx) + (" Both palms as the one shown. " if len(strut.palms) > 1 else " ") + _of_bearings(strut),
        *_tube_words(ctx),
        *(
            ["Section and view from aft show the barrel by itself, without arms and skeg."]
            if strut.construction == "cast"
            else []
        ),
        common.STATION,
        common.FACES,
        f"Both end faces square to the bore within {_mm(ctx, SQUARE_MM)}. Tolerances of form and place are common "
        "practice; confirm them with the shop.",
    )
    sheet.cautions = common.short_cautions(cautions.LIFTING, cautions.drilling(common.family(strut)))
    return sheet


def _set_up_words(strut: Strut) -> str:
    """The note on what the barrel stands on, by what has been machined by then."""
    return {
        "cast": "Set-up: barrel packed on its outside as cast, which has no stock, and clocked at both ends of the "
        "parallel part so that high and low spots share",
        "turned": "Set-up: barrel on V-blocks on its turned outside",
        "stock": "Set-up: barrel on V-blocks on its outside as bought, clocked at both ends",
    }[outside_made(strut)]


def _surfaces(ctx: SheetContext) -> str:
    """The note on the end faces and on surfaces without a symbol."""
    rough, faces = _texture(ctx, "Ra 6.3"), f"Both end faces {_texture(ctx, FACE_RA)}."
    made = outside_made(ctx.strut)
    if made != "cast":
        rest = "other machined surfaces without a symbol" if made == "stock" else "surfaces without a symbol"
        return f"{faces} {rest.capitalize()} {rough}" + (", the outside as bought." if made == "stock" else ".")
    grade = casting_of(ctx.strut).tolerance_grade
    return (
        f"{faces} Surfaces without a symbol stay as cast, no material removed; holes, chamfers and steps of the "
        f"bore {rough}. Sizes as cast to ISO 8062 {grade}."
    )


def _least_wall(ctx: SheetContext) -> float:
    """Return the least wall (mm) that the tolerances leave: outside at its least, bore at its widest and off centre."""
    b = ctx.strut.barrel
    if ctx.strut.construction == "cast":
        least = float(least_cast_wall_mm(b, casting_of(ctx.strut)))
    else:
        bought = _as_bought(ctx.strut)
        outside = general_tolerance_mm(ctx, b.outside_mm) if bought is None else bought.outside_off_mm
        least = (b.outside_mm - outside - float(widest_bore_mm(b)) - _coaxial_mm(ctx.strut)) / 2
    step = 0.1 if ctx.units == "mm" else 0.0254
    return math.floor(least / step + 1e-9) * step


def _as_bought(strut: Strut) -> Tube | None:
    """The tube whose outside is the barrel's, None where the outside is cast or turned."""
    tube = strut.barrel.tube
    return tube if tube is not None and not tube.turned else None


def _coaxial_mm(strut: Strut) -> float:
    """How far the outside may be off the bore, as a diameter."""
    return COAXIAL_MM[strut.construction] if _as_bought(strut) is None else TUBE_OFF_MM


def _tube_words(ctx: SheetContext) -> list[str]:
    """What is said of a barrel made of tube."""
    b = ctx.strut.barrel
    if b.tube is None:
        return []
    tube, said = b.tube, ctx.figures.length
    last = "turned after welding" if tube.turned else f"its outside left as bought, ±{said(tube.outside_off_mm)}"
    return [
        f"Barrel of tube Ø{said(tube.outside_mm)} × {said(tube.wall_mm)}, {last}. Measure the tube before it is "
        f"cut: outside, and wall at both ends all round, nowhere under {said(tube.wall_least_mm)}; the bore must "
        f"clean up all along. Bore central to the {'tube before turning' if tube.turned else 'outside'}."
    ]


def _wall(strut: Strut) -> float:
    """Wall (mm) of the parallel part, at the widest bore."""
    barrel = strut.barrel
    wide = max([barrel.bore_mm, *(s.diameter_mm for s in barrel.steps)])
    return (barrel.outside_mm - wide) / 2


def _wall_where(strut: Strut) -> str:
    """Where the least wall is, when that is not all along the bore: " at the relief"."""
    widest = max(strut.barrel.steps, key=lambda s: s.diameter_mm, default=None)
    return f" at the {widest.kind}" if widest is not None and widest.diameter_mm > strut.barrel.bore_mm else ""


def _face_wall(b: Barrel) -> float:
    """Wall (mm) behind the aft face, the lead-in and the faired end left out of account."""
    mouth = next((s.diameter_mm for s in b.steps if s.from_station_mm < 1e-6), b.bore_mm)
    return (b.outside_mm - mouth) / 2


def _lead_in_words(ctx: SheetContext, length_mm: float, angle_deg: float) -> str:
    return f"{common.length(ctx.figures, length_mm)} × {angle_deg:g}°"


def _barrel_section(ctx: SheetContext) -> View:
    strut = ctx.strut
    b = strut.barrel
    half, r, bore = b.length_mm / 2, b.outside_mm / 2, b.bore_mm / 2
    cast = strut.construction == "cast"

    def made(nominal_mm: float) -> tuple[float, float] | None:
        """Limits of a size as cast; a machined one is left to the title block."""
        t = as_made_tolerance_mm(ctx, nominal_mm)
        return (t, -t) if cast else None

    view = View("section", "front", "SECTION A-A")
    cut = section(common.bare_barrel(ctx), Viewpoint(FRONT.toward, FRONT.right))
    ctx.seconds["barrel section"] = cut.view.seconds
    view.add_section(cut)
    view.centre_line((-half, 0.0), (half, 0.0))
    view.horizontal((-half, -r), (half, -r), Label(deviations=_general(ctx, b.length_mm)), side="below")
    ends = ((b.aft_end, -half, 1.0, "left"), (b.forward_end, half, -1.0, "right"))
    for end, face, way, side in ends:
        if not is_faired(b, end):
            continue
        view.horizontal((face, -end.end_diameter_mm / 2), (face + way * end.length_mm, -r), side="below")
        _vertical(
            view,
            (face, -end.end_diameter_mm / 2),
            (face, end.end_diameter_mm / 2),
            Label(prefix="Ø", deviations=made(end.end_diameter_mm)),
            side,
        )
        if end.shape == "rounded":
            bend = bend_mm(end.length_mm, r - end.end_diameter_mm / 2)
            view.radius((face + way * end.length_mm, r - bend), bend, at_deg=62.0 if way < 0 else 118.0)
    low, high = (b.x(s) for s in parallel_part(b))
    tube = _as_bought(strut)
    label = (
        Label(prefix="Ø", deviations=made(b.outside_mm))
        if tube is None
        else Label(prefix="tube Ø", deviations=(tube.outside_off_mm, -tube.outside_off_mm))
    )
    view.vertical((high, -r), (high, r), label, side="right")
    for k, seat in enumerate(seats(strut)):
        # Each bore at its own end of the barrel, with its own limits, texture and form.
        first = len(seats(strut)) == 1 or seat.middle_mm <= b.length_mm / 2
        share = 0.12 if first else 0.88
        x, radius = b.x(seat.from_mm + share * (seat.to_mm - seat.from_mm)), seat.diameter_mm / 2
        view.vertical(
            (x, -radius),
            (x, radius),
            Label(prefix="Ø", fit=seat.code, deviations=(seat.upper_mm, seat.lower_mm)),
            side="left" if first else "right",
        )
        view.surface((x, radius), _texture(ctx, BORE_RA), turn_deg=180.0, late=True)
        for start, stop in seat.lengths:  # each length that a bearing stands on, never a relief between them
            at = b.x(start + 0.62 * (stop - start))
            view.tolerance((at, -radius), "cylindricity", _close(ctx, seat.cylindricity_mm))
        if k:
            start, stop = seat.lengths[0]
            at = b.x(start + 0.4 * (stop - start))
            view.tolerance((at, -radius), "coaxiality", f"Ø{_close(ctx, seats_coaxial_mm(strut))}", ("A",))
    plain = _plain_station(b)
    if plain is not None and not any(s.step is None for s in seats(strut)):
        # No bearing in it: a size of the title block.
        view.vertical((b.x(plain), -bore), (b.x(plain), bore), Label(prefix="Ø"), side="left")
    for lead, face, way in ((b.lead_in_aft, -half, 1.0), (b.lead_in_forward, half, -1.0)):
        if lead.length_mm > 0:
            mouth = bore_points(b)[0 if way > 0 else -1][1]
            middle = mouth - lead.length_mm / 2 * math.tan(math.radians(lead.angle_deg))
            view.note((face + way * lead.length_mm / 2, middle), [_lead_in_words(ctx, lead.length_mm, lead.angle_deg)])
    for step in b.steps:
        for station in (step.from_station_mm, step.to_station_mm):
            if 1e-6 < station < b.length_mm - 1e-6:
                view.horizontal((-half, r), (b.x(station), step.diameter_mm / 2), side="above")
        if any(s.step is step for s in seats(strut)):
            continue
        x = b.x((step.from_station_mm + step.to_station_mm) / 2)
        view.note((x, step.diameter_mm / 2), [f"{step.kind} Ø{common.length(ctx.figures, step.diameter_mm)}"])
    if b.slots is not None:
        s = b.slots
        view.horizontal((-half, r), (b.x(s.centre_station_mm), r), side="above")
        # The highest slot that shows in the section, on the half away from the eye.
        up = max((math.cos(math.radians(c)) for c in _slot_clocks(b) if c <= 180.0 + 1e-9), default=1.0)
        view.note(
            (b.x(s.centre_station_mm), bore * up),
            [
                f"{s.count}× SLOT {common.length(ctx.figures, s.width_mm)} × "
                f"{common.length(ctx.figures, max(s.length_mm, s.width_mm))}",
                f"equally spaced, first at clock {common.degrees(s.first_clock_deg, 1)}°",
            ],
            at_deg=70,
            head="dot",
        )
    quarter = b.x(0.3 * b.length_mm)
    aft_face = 0.5 * (b.aft_end.end_diameter_mm / 2 + bore_points(b)[0][1])
    view.surface((-half, -aft_face), _texture(ctx, FACE_RA), turn_deg=90.0, late=True)
    # On the face's extension line, below the diameters that stand to the left of it.
    view.datum((-half, -r), "B", toward="left")
    if cast:
        view.surface((min(max(b.x(0.7 * b.length_mm), low), high), r), "as cast", removal="prohibited", late=True)
    outside = _coaxial_mm(strut)
    view.tolerance((min(max(quarter, low), high), r), "coaxiality", f"Ø{_mm(ctx, outside)}", ("A",))
    view.tolerance(
        (half, -0.5 * (b.forward_end.end_diameter_mm / 2 + bore_points(b)[-1][1])),
        "perpendicularity",
        _mm(ctx, SQUARE_MM),
        ("A",),
    )
    view.arrow((0.4 * half, -0.5 * bore), 0.0, "FWD")
    return view


def _vertical(view: View, p: P, q: P, label: Label, side: str) -> None:
    view.vertical(p, q, label, side="left" if side == "left" else "right")


def _plain_runs(b: Barrel) -> list[tuple[float, float]]:
    """Stations between which the bore has its own size, from aft."""
    return [
        (s0, s1)
        for (s0, r0), (s1, r1) in itertools.pairwise(bore_points(b))
        if abs(r0 - b.bore_mm / 2) < 1e-9 and abs(r1 - b.bore_mm / 2) < 1e-9 and s1 - s0 > 1e-6
    ]


def _plain_station(b: Barrel) -> float | None:
    """A station in the aftmost length of the bore's own size, None where steps leave none."""
    runs = _plain_runs(b)
    return runs[0][0] + 0.12 * (runs[0][1] - runs[0][0]) if runs else None


def _seat_class(b: Barrel, diameter_mm: float) -> str:
    """The bore's tolerance class; on a seat of another size only where its limits are the bore's."""
    if any(s.limits_mm is not None and abs(s.diameter_mm - diameter_mm) < 1e-9 for s in b.steps):
        return ""  # made to the bearing in hand
    code = b.fit_code.split("/")[0]
    if abs(diameter_mm - b.bore_mm) < 1e-9:
        return code
    try:
        limits = tables.iso286(code, diameter_mm)
    except tables.NotInTable:
        return ""
    same = abs(limits.upper_mm - b.bore_upper_mm) < 1e-6 and abs(limits.lower_mm - b.bore_lower_mm) < 1e-6
    return code if same else ""


@dataclass(frozen=True, slots=True)
class Seat:
    """A length of the bore that carries one bearing or both: size and limits in mm, stations from the aft face.

    code: tolerance class, where its limits are those of one. step: the step of the bore that it is, None for the bore.
    lengths: the lengths of its size, from and to, that carry a bearing; reliefs lie between them.
    """

    name: str
    diameter_mm: float
    lower_mm: float
    upper_mm: float
    code: str
    from_mm: float
    to_mm: float
    step: BoreStep | None
    lengths: tuple[tuple[float, float], ...]

    @property
    def middle_mm(self) -> float:
        """Station of its middle."""
        return (self.from_mm + self.to_mm) / 2

    @property
    def cylindricity_mm(self) -> float:
        """Half of its own tolerance; common practice, no source."""
        return CYLINDRICITY_SHARE * (self.upper_mm - self.lower_mm)


def seats(strut: Strut) -> list[Seat]:
    """Return the lengths of the bore that carry bearings, from aft."""
    b = strut.barrel
    found: dict[int | None, list[Bearing]] = {}
    for bearing in sorted(strut.bearings, key=lambda n: n.aft_station_mm):
        step = seat_step(b, bearing)
        found.setdefault(None if step is None else b.steps.index(step), []).append(bearing)
    made: list[Seat] = []
    for index, own in found.items():
        step = None if index is None else b.steps[index]
        size = b.bore_mm if step is None else step.diameter_mm
        lower, upper = seat_limits_mm(b, own[0])
        if step is not None:
            lengths = [(max(step.from_station_mm, 0.0), min(step.to_station_mm, b.length_mm))]
        else:
            lengths = _plain_runs_under(b, own)
        name = "forward bore" if made else common.datum_axis(strut)
        made.append(
            Seat(name, size, lower, upper, _seat_class(b, size), lengths[0][0], lengths[-1][1], step, tuple(lengths))
        )
    return made


def _plain_runs_under(b: Barrel, bearings: list[Bearing]) -> list[tuple[float, float]]:
    """Stations between which the bore has its own size and carries one of the bearings, from aft."""
    on = [
        run
        for run in _plain_runs(b)
        if any(run[0] < n.forward_station_mm and n.aft_station_mm < run[1] for n in bearings)
    ]
    return on or [(0.0, b.length_mm)]


def seats_coaxial_mm(strut: Strut) -> float:
    """Return the diameter (mm) of the zone for the axis of one of two bores about the other's: the closer one's own
    tolerance. Common practice, no source: both are bored in one set-up.
    """
    return min(s.upper_mm - s.lower_mm for s in seats(strut))


def _seat_of(strut: Strut, bearing: Bearing) -> float:
    """The bore's diameter where a bearing stands, mm."""
    return float(bearing_seat_mm(strut.barrel, bearing))


def _of_bearings(strut: Strut) -> str:
    """The note on what the bore is made to."""
    if all(b.measured_mm is not None for b in strut.bearings):
        return "The bore is made to the bearing in hand, as measured; measure it again before boring."
    return "Measure the bearing in hand before boring: bore to what it measures, not to this table."


def _barrel_end(ctx: SheetContext) -> View:
    b = ctx.strut.barrel
    view = View("end", "seen from left", "VIEW FROM AFT")
    view.add_projection(ctx.view("barrel", common.bare_barrel(ctx), FROM_AFT), hidden=False)
    view.centre_mark((0.0, 0.0), b.outside_mm)
    r = b.outside_mm / 2
    for clock in sorted({round(s.clock_deg, 6) for s in ctx.strut.set_screws}):
        view.centre_line(on_clock(clock, 0.9 * b.bore_mm / 2), on_clock(clock, r))
        view.note(on_clock(clock, r), [f"SET SCREWS AT {common.degrees(clock, 1)}°"])
    view.cutting_plane((0.0, -1.3 * r), (0.0, 1.3 * r), "A", looking="left")
    view.label((0.0, 1.3 * r), "to hull, clock 0", ring_mm=0.2 * r)
    middle = (b.bore_mm + b.outside_mm) / 4
    view.note((-middle * math.sin(0.7), -middle * math.cos(0.7)), _wall_lines(ctx), at_deg=-135, head="dot")
    return view


def _wall_lines(ctx: SheetContext) -> list[str]:
    """The wall as it is at the face that is shown, and the least one where that is elsewhere."""
    here, least = (f"({common.length(ctx.figures, v)})" for v in (_face_wall(ctx.strut.barrel), _wall(ctx.strut)))
    return [f"wall {here}"] if here == least else [f"wall {here}", f"least {least}{_wall_where(ctx.strut)}"]


def _set_up_side(ctx: SheetContext) -> View:
    """The strut in profile with the palm's basic angle and its heights over both faces."""
    strut = ctx.strut
    b = strut.barrel
    palm = min(strut.palms, key=lambda p: p.zero_mm[1])  # of two the one in front, seen from starboard
    plane = palm.plane
    half, r = b.length_mm / 2, b.outside_mm / 2
    name = common.palm_label(palm, strut)
    view = View("profile", "free", "PALM TO BORE" + (f": {name.upper()}" if name else ""), scale=_profile_scale(strut))
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), FRONT), hidden=False)
    out = half + BAR_OVERHANG_SHARE * b.length_mm
    view.centre_line((-out, 0.0), (out, 0.0))
    thick = test_bar_mm(strut)
    for end, near, bar in ((-out, -half, thick[0] / 2), (out, half, thick[1] / 2)):
        view.add([*(Line((end, y), (near, y)) for y in (-bar, bar)), Line((end, -bar), (end, bar))], "phantom")
    rise = math.tan(math.radians(plane.pitch_deg))

    def face(x: float) -> P:
        """The hull face in the upright plane through the shaft."""
        return (x, plane.drop_mm - x * rise)

    corners = common.palm_corners(palm)
    x0, x1 = min(float(corners[:, 0].min()), -half), max(float(corners[:, 0].max()), half)
    room = 0.35 * (x1 - x0)
    far = face(x1 + room)
    if abs(plane.tilt_deg) > 0.005 or abs(palm.zero_mm[1]) > 1.0:
        view.add([Line(face(x0), far)], "thin")  # the face's trace, not seen as an edge here
    else:
        view.add([Line(face(float(corners[:, 0].max())), far)], "thin")
    if abs(plane.pitch_deg) > 0.005:
        start = face(0.0)
        level = (far[0], start[1])
        view.add([Line(start, level)], "thin")
        first, second = (far, level) if plane.pitch_deg > 0 else (level, far)
        view.angle(start, first, second, Label(basic=True), reach_mm=0.93 * far[0], late=True)
    # What follows from the drop and the angle is for reference.
    view.vertical((-half, 0.0), face(-half), Label(reference=True, suffix="OVER AFT FACE"), side="left")
    view.vertical((half, 0.0), face(half), Label(reference=True, suffix="OVER FORWARD FACE"), side="right")
    zero = common.seen(FRONT, palm.zero_mm)
    view.centre_mark(zero, 0.12 * (x1 - x0))
    place = (drop_tolerance_mm(ctx), -drop_tolerance_mm(ctx))
    if abs(common.palm_place_mm(strut, palm)[0]) > 0.01:
        view.horizontal((-half, r), zero, Label(suffix="TO THE PALM'S ZERO", deviations=place), side="above")
    # A palm beside the shaft is not where the figure is; it is that of the hull face's plane.
    beside = ", OVER THE SHAFT" if abs(palm.zero_mm[1]) > 1.0 else ""
    view.vertical(
        (0.0, 0.0),
        face(0.0),
        Label(suffix=f"DROP{beside}", deviations=(drop_tolerance_mm(ctx), -drop_tolerance_mm(ctx))),
        side="right",
    )
    rim = frames.palm_axes(palm).to_strut(palm.outline.polyline(0.2))

    def edge(share: float) -> P:
        """The upper edge of the hull face as seen, at a share of its length."""
        x = float(rim[:, 0].min()) + share * float(np.ptp(rim[:, 0]))
        ahead = np.roll(rim, -1, axis=0)
        span = ahead[:, 0] - rim[:, 0]
        part = np.divide(x - rim[:, 0], span, out=np.full(len(rim), -1.0), where=np.abs(span) > 1e-9)
        height = np.where((part >= 0.0) & (part <= 1.0), rim[:, 2] + part * (ahead[:, 2] - rim[:, 2]), -np.inf)
        return (x, float(height.max()))

    view.tolerance(edge(0.15), "angularity", _mm(ctx, angularity_mm(strut, palm)), ("A",), at_deg=110)
    view.tolerance(edge(0.8), "flatness", _mm(ctx, parts.flatness_mm(strut, palm)), at_deg=60)
    view.surface(edge(0.5), _texture(ctx, PALM_RA), turn_deg=-plane.pitch_deg, late=True)
    # Datum A is the aft of two bores: its letter stands on the bar's end that fills that one.
    view.datum((-0.5 * (half + out), -thick[0] / 2), "A", toward="below")
    view.note((0.5 * (half + out), -thick[1] / 2), _bar_lines(ctx), at_deg=-60)
    return view


def test_bar_mm(strut: Strut) -> tuple[float, float]:
    """Return the diameters (mm) of the test bar where it stands out aft and forward.

    It fills the bore, or each of two bores; where a shoulder stands before the end, it is turned down to pass that.
    """
    made, b = seats(strut), strut.barrel
    mouths = [
        next((s.diameter_mm for s in b.steps if s.from_station_mm <= station <= s.to_station_mm), b.bore_mm)
        for station in (0.0, b.length_mm)
    ]
    return min(made[0].diameter_mm, mouths[0]), min(made[-1].diameter_mm, mouths[1])


def _bar_lines(ctx: SheetContext) -> list[str]:
    """What the test bar is called on a view."""
    aft, forward = test_bar_mm(ctx.strut)
    if aft == forward:
        return ["TEST BAR"]
    f = ctx.figures
    return ["STEPPED TEST BAR", f"Ø{f.length(aft)} aft, Ø{f.length(forward)} forward"]


def bar_words(ctx: SheetContext) -> str:
    """Return what the test bar is, for a note: "test bar in the bore"."""
    f, made = ctx.figures, seats(ctx.strut)
    aft, forward = test_bar_mm(ctx.strut)
    if len(made) > 1:
        sizes = f"Ø{f.length(made[0].diameter_mm)} aft and Ø{f.length(made[-1].diameter_mm)} forward"
        return f"stepped test bar, {sizes}, that fills both bores"
    if aft == forward:
        return "test bar in the bore"
    return (
        f"test bar in the bore, Ø{f.length(made[0].diameter_mm)}, turned down to Ø{f.length(min(aft, forward))} "
        "where it passes the shoulder"
    )


def _profile_scale(strut: Strut) -> float:
    tall = strut.palms[0].plane.drop_mm + strut.barrel.outside_mm
    return common.scales_between(tall, 55.0, 150.0)[0]


def _set_up_end(ctx: SheetContext) -> View:
    """The strut from aft with the palms' basic tilt."""
    strut = ctx.strut
    view = View("tilt", "free", "PALM TILT, FROM AFT", scale=_profile_scale(strut))
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), FROM_AFT), hidden=False)
    b = strut.barrel
    view.centre_line((-0.65 * b.outside_mm, 0.0), (0.65 * b.outside_mm, 0.0))
    view.centre_line((0.0, -0.65 * b.outside_mm), (0.0, 0.65 * b.outside_mm))
    for palm in strut.palms:
        plane = palm.plane
        if abs(plane.tilt_deg) <= 0.005:
            continue
        corners = common.palm_corners(palm)
        rise = math.tan(math.radians(plane.tilt_deg))
        x = palm.zero_mm[0]
        level = plane.drop_mm - x * math.tan(math.radians(plane.pitch_deg))
        port, starboard = float(corners[:, 1].max()), float(corners[:, 1].min())
        wide = port - starboard

        def at(y: float, level: float = level, rise: float = rise) -> P:
            return (-y, level + y * rise)

        # Level line from the palm's lower edge outward beneath the face, on the rising side.
        near, far_y = (starboard, port + 0.7 * wide) if plane.tilt_deg > 0 else (port, starboard - 0.7 * wide)
        zero = common.seen(FROM_AFT, palm.zero_mm)
        if abs(zero[0]) > 0.05:
            place = (drop_tolerance_mm(ctx), -drop_tolerance_mm(ctx))
            view.horizontal((0.0, 0.0), zero, Label(suffix="TO ZERO", deviations=place), side="above")
        start, end = at(near), at(far_y)
        flat = (end[0], start[1])
        edge = at(port if plane.tilt_deg > 0 else starboard)
        view.add([Line(edge, end), Line(start, flat)], "thin")
        first, second = (end, flat) if plane.tilt_deg > 0 else (flat, end)
        view.angle(start, first, second, Label(basic=True), reach_mm=0.95 * abs(end[0] - start[0]), late=True)
    return view


def _limits_table(ctx: SheetContext) -> Table:
    """The fit in figures of both units."""
    strut = ctx.strut
    b = strut.barrel
    rows = []
    for s in seats(strut):
        mm, inch = common.both_units(ctx.figures, s.diameter_mm, s.upper_mm, s.lower_mm)
        rows.append((s.name, s.code, mm, inch))
    for k, bearing in enumerate(strut.bearings):
        seat = _seat_of(strut, bearing)
        mm, inch = common.both_units(
            ctx.figures, bearing.outside_mm, bearing.outside_upper_mm, bearing.outside_lower_mm
        )
        name = "bearing" if len(strut.bearings) == 1 else f"bearing {k + 1}"
        low, high = seat_limits_mm(b, bearing)
        rows.append((f"{name}, outside", _bearing_code(b, bearing), mm, inch))
        most = bearing.outside_mm + bearing.outside_upper_mm - seat - low
        least = bearing.outside_mm + bearing.outside_lower_mm - seat - high
        word = "interference (- = play)"
        rows.append(
            (
                f"{name}, {word}",
                b.fit,
                f"{fixed(most, 3)} / {fixed(least, 3)} mm",
                f"{fixed(most / 25.4, 4)} / {fixed(least / 25.4, 4)} in",
            )
        )
    return Table(
        "limits",
        "FIT IN FIGURES, LARGEST / SMALLEST",
        ("what", "class", "mm", "inch"),
        tuple(rows),
        left=frozenset({0}),
    )


def _bearing_code(b: Barrel, bearing: Bearing) -> str:
    return "measured" if bearing.measured_mm is not None else b.fit_code.split("/", 1)[1] if "/" in b.fit_code else ""


def _steps_table(ctx: SheetContext) -> Table:
    """The two turns of the set-up, one line for each palm and turn."""
    rows = []
    for palm in ctx.strut.palms:
        made = common.set_up(palm.plane)
        name = common.palm_label(palm, ctx.strut) or "palm"
        port = "port edge up" if made.trace_turn_deg > 0 else "port edge down"
        rows.append(
            (
                name,
                "1. turn about the trace",
                common.degrees(abs(made.trace_turn_deg), 3),
                common.slope(abs(made.trace_turn_deg), ctx),
                port if abs(made.trace_turn_deg) > 5e-4 else "none",
            )
        )
        tip = "palm's fore end down" if made.pitch_deg > 0 else "palm's fore end up"
        rows.append(
            (
                name,
                "2. tip until the bore is level",
                common.degrees(abs(made.pitch_deg), 3),
                common.slope(abs(made.pitch_deg), ctx),
                tip if abs(made.pitch_deg) > 5e-4 else "none",
            )
        )
    return Table(
        "turns",
        "SET-UP: FROM LEVEL PALM TO LEVEL BORE, HULL FACE UP",
        ("palm", "turn", "degrees", common.slope_unit(ctx), "which way"),
        tuple(rows),
        left=frozenset({0, 1, 4}),
    )


def bar_stations(strut: Strut) -> tuple[tuple[str, float], ...]:
    """Return where a test bar's height is checked: name and x (mm, strut frame)."""
    half = strut.barrel.length_mm / 2
    return (("at the aft face", -half), ("at mid-barrel", 0.0), ("at the forward face", half))


def heights_table(ctx: SheetContext) -> Table:
    """Return the heights of a test bar over a plate that the hull face lies on, and how the bar lies over each palm."""
    strut, figures = ctx.strut, ctx.figures
    rows = []
    for palm in strut.palms:
        made = common.set_up(palm.plane)
        name = common.palm_label(palm, strut) or "palm"
        for where, x in bar_stations(strut):
            rows.append(
                (
                    name,
                    where,
                    common.length(figures, strut.barrel.length_mm / 2 + x),
                    common.length(figures, made.height_mm(x)),
                )
            )
        skew = made.skew_deg
        side = "to port" if skew > 0 else "to starboard"
        forward, port = common.palm_place_mm(strut, palm)
        rows.append((name, "palm's zero forward of the aft face, along the shaft", "", common.length(figures, forward)))
        rows.append((name, "palm's zero to port of the bore's axis", "", common.length(figures, port)))
        rows.append((name, "skew of the bar to the trace, toward port", "", f"{common.degrees(skew + 0.0, 3)}°"))
        if abs(skew) > 5e-4:
            rows.append(
                (name, f"fore end {side} along the trace, {common.slope_unit(ctx)}", "", common.slope(abs(skew), ctx))
            )
    return Table(
        "heights",
        "CHECK: HEIGHT OF A TEST BAR, HULL FACE DOWN ON A PLATE",
        ("palm", "where", "station", "height of middle, place"),
        tuple(rows),
        left=frozenset({0, 1}),
    )


# --- set screws -----------------------------------------------------------------------------------------------------


def set_screw_layout(ctx: SheetContext, sheet_number: int, sheets: int) -> Sheet | None:
    """Return the set-screw sheet, or None when the strut has none."""
    strut = ctx.strut
    if not strut.set_screws:
        return None
    title = ctx.title("Set screws in the barrel", "Part drawing", sheet_number=sheet_number, sheets=sheets)
    sheet = common.new_sheet(ctx, title)
    clocks = sorted({round(s.clock_deg, 6) for s in strut.set_screws}, key=lambda c: (-c, c))
    sheet.views = [_screw_side(ctx, clock, "front" if k == 0 else "free") for k, clock in enumerate(clocks)]
    # The aft end lies to the right of a view with forward to the left.
    sheet.views += [
        _screw_end(ctx, "seen from left" if _way(clocks[0]) > 0 else "seen from right"),
        _strip(ctx),
        *(_screw_detail(ctx, s, f"detail {s.number}" if k else "detail") for k, s in enumerate(_unlike(strut))),
    ]
    sheet.scales = common.scales_between(strut.barrel.length_mm, 90.0, 260.0)
    pressed = strut.barrel.fit == "press"
    sheet.tables = [_screw_rows(ctx)]
    sheet.notes = common.general_notes(
        ctx,
        common.STATION,
        common.CLOCK,
        "Drill and tap square to the axis before the bearing goes in; deburr inside and break the edge where the "
        "thread enters the bore, or the bearing is scored.",
        f"Dimple the shell after the bearing is {'pressed' if pressed else 'slid'} in and clocked: tapped hole as "
        "guide, stop collar on the drill, never through to the rubber.",
        "Seat the screw by hand, then an eighth to a quarter turn. Never tighten it to the torque of a screw table: "
        "that crushes the shell. Lock it, keep its top below the barrel, fill the recess.",
        "No flute may lie under a screw. Check the clock of the flutes before the bearing goes "
        f"{'in for good' if pressed else 'in'}.",
        "The developed strip is seen from outside; the true-scale strip is among the templates.",
    )
    sheet.cautions = common.short_cautions(
        cautions.drilling(common.family(strut)), *([cautions.PRESS] if pressed else [])
    )
    return sheet


def _unlike(strut: Strut) -> list[SetScrew]:
    """One set screw of each kind of wall: its thickness, spot face and shell."""
    kinds: dict[tuple[float | None, ...], SetScrew] = {}
    for s in strut.set_screws:
        wall = screw_wall_of(strut, s)
        kinds.setdefault(
            (
                round(float(wall.wall_mm), 2),
                round(float(wall.to_shell_mm), 2),
                s.flat_diameter_mm,
                strut.bearings[s.bearing_index].shell_mm,
            ),
            s,
        )
    return list(kinds.values())[:3]


def _way(clock_deg: float) -> float:
    """1 where a barrel seen square to the shaft from a clock angle, hull up, has forward to the right; else -1."""
    return -1.0 if 0.01 < clock_deg < 179.99 else 1.0


def _screw_side(ctx: SheetContext, clock_deg: float, slot: str) -> View:
    """The barrel square to the screws at a clock angle, hull side up: from port, forward is to the left."""
    strut = ctx.strut
    b = strut.barrel
    way = _way(clock_deg)
    eye = common.from_clock(clock_deg, way)
    half, r = b.length_mm / 2, b.outside_mm / 2

    def x(station: float) -> float:
        return way * b.x(station)

    view = View(
        f"side {common.degrees(clock_deg, 1)}",
        "front" if slot == "front" else "free",
        f"SEEN AT CLOCK {common.degrees(clock_deg, 1)}°, BEARING IN PHANTOM LINES",
    )
    view.add_projection(ctx.view("barrel", common.bare_barrel(ctx), eye), hidden=False)
    view.centre_line((-half, 0.0), (half, 0.0))
    mine = [s for s in strut.set_screws if abs(frames.angle_between_deg(s.clock_deg, clock_deg)) < 0.01]
    for bearing in strut.bearings:
        _bearing_phantom(view, x, bearing)
    for s in mine:
        at = (x(s.station_mm), 0.0)
        view.centre_mark(at, max(s.flat_diameter_mm or 0.0, s.major_mm))
        view.add([Arc(at, s.major_mm / 2)], "thin")
        view.horizontal((x(0.0), r), at, side="above")
    for k in sorted({s.bearing_index for s in mine}):
        bearing = strut.bearings[k]
        own = sorted((s for s in mine if s.bearing_index == k), key=lambda s: s.station_mm)
        edge = bearing.outside_mm / 2
        aft, fore = x(bearing.aft_station_mm), x(bearing.forward_station_mm)
        view.horizontal((aft, -edge), (x(own[0].station_mm), 0.0), side="below")
        view.horizontal((x(own[-1].station_mm), 0.0), (fore, -edge), side="below")
        view.horizontal((aft, -edge), (fore, -edge), Label(prefix="BEARING", reference=True), side="below")
        if bearing.aft_station_mm > 0.01:
            view.horizontal((x(0.0), r), (aft, edge), side="above")
    view.horizontal((-half, -r), (half, -r), Label(reference=True), side="below")
    for s in mine:
        view.balloon((x(s.station_mm), 0.0), str(s.number))
    view.arrow((way * (half + 0.12 * b.length_mm), 0.0), 0.0 if way > 0 else 180.0, "FWD")
    return view


def _bearing_phantom(view: View, x: Callable[[float], float], bearing: Bearing) -> None:
    """A bearing's outline and its shell, in a view square to the shaft. x: place of a station."""
    x0, x1, r = x(bearing.aft_station_mm), x(bearing.forward_station_mm), bearing.outside_mm / 2
    inner = r - bearing.shell_mm
    view.add([Poly(((x0, -r), (x1, -r), (x1, r), (x0, r)), True)], "phantom")
    view.add([Line((x0, y), (x1, y)) for y in (-inner, inner)], "phantom")


def _screw_end(ctx: SheetContext, slot: Literal["seen from left", "seen from right"]) -> View:
    """The barrel from aft with the bearing's flutes and the clocks of the screws."""
    strut = ctx.strut
    b = strut.barrel
    bearing = strut.bearings[strut.set_screws[0].bearing_index]
    view = View("end", slot, "FROM AFT, BEARING IN PHANTOM LINES")
    r = b.outside_mm / 2
    view.centre_line((0.0, r), (0.0, 1.5 * r))
    view.circle((0.0, 0.0), b.outside_mm)
    view.circle((0.0, 0.0), _seat_of(strut, bearing), marked=False)
    view.add([Arc((0.0, 0.0), bearing.outside_mm / 2 - bearing.shell_mm)], "phantom")
    rows = running_outline(bearing).polyline(0.02)
    # The outline's axes are hull and port; in the view up and left.
    view.add([Poly(tuple((-float(v), float(u)) for u, v in rows), True)], "phantom")
    for clock in sorted({round(s.clock_deg, 6) for s in strut.set_screws}):
        s = next(s for s in strut.set_screws if abs(s.clock_deg - clock) < 1e-5)
        _screw_hole_end(view, s, screw_wall_of(strut, s))
        view.centre_line(on_clock(clock, 0.3 * r), on_clock(clock, 1.1 * r))
        up, way = (0.0, r), on_clock(clock, r)
        if 0.01 < abs(clock) < 179.99:
            first, second = (up, way) if clock > 0 else (way, up)
            view.angle((0.0, 0.0), first, second, reach_mm=1.35 * r, late=True, inward=False)
        flute = nearest_flute_deg(bearing, clock)
        if bearing.flute_count and abs(flute - clock) > 0.05:
            view.centre_line(on_clock(flute, 0.3 * r), on_clock(flute, 0.95 * r))
            ends = (on_clock(clock, r), on_clock(flute, r))
            first, second = ends if flute > clock else ends[::-1]
            view.angle((0.0, 0.0), first, second, Label(reference=True), reach_mm=1.2 * r, late=True, inward=False)
    view.label((0.0, 1.5 * r), "to hull, clock 0", at_deg=90.0)
    return view


def nearest_flute_deg(bearing: Bearing, clock_deg: float) -> float:
    """Return the clock of the flute centre nearest to a clock angle, within 180 degrees of it."""
    if not bearing.flute_count:
        return clock_deg
    pitch = 360.0 / bearing.flute_count
    return bearing.flute_clock_deg + pitch * round((clock_deg - bearing.flute_clock_deg) / pitch)


def _screw_hole_end(view: View, s: SetScrew, wall: ScrewWall) -> None:
    """The tapped hole through the wall, cut along the barrel's radius."""
    c, sn = math.cos(math.radians(s.clock_deg)), math.sin(math.radians(s.clock_deg))

    def at(along: float, across: float) -> P:
        return (-sn * along - c * across, c * along - sn * across)

    for half, kind in ((s.tap_drill_mm / 2, "visible"), (s.major_mm / 2, "thin")):
        low, high = common.chord(wall.bore_mm, half), common.chord(wall.skin_mm, half)
        if s.flat_diameter_mm:
            high = min(high, wall.top_mm)
        lines = [Line(at(low, y), at(high, y)) for y in (-half, half)]
        view.add(lines, "visible" if kind == "visible" else "thin")
    if s.flat_diameter_mm:
        floor, half = wall.top_mm, s.flat_diameter_mm / 2
        view.add([Line(at(floor, -half), at(floor, half))])


def _slot_clocks(b: Barrel) -> list[float]:
    """Clock angles of the water slots, the first one first; none without slots."""
    s = b.slots
    return [] if s is None else [(s.first_clock_deg + 360.0 * k / s.count) % 360.0 for k in range(s.count)]


def _strip(ctx: SheetContext) -> View:
    """The outside rolled out, seen from outside with forward to the right: clock angles run upward."""
    strut = ctx.strut
    b = strut.barrel
    per = math.pi * b.outside_mm / 360.0
    used = [s.clock_deg for s in strut.set_screws] + [a.clock_deg for a in strut.arms] + ([180.0] if strut.skeg else [])
    slots = _slot_clocks(b)
    used += slots
    seam = dev.clear_clock_deg(used)

    def y(clock: float) -> float:
        return per * ((clock - seam) % 360.0)

    girth = 360.0 * per

    def at(station: float, clock: float) -> P:
        return (station, y(clock))

    view = View("strip", "free", "DEVELOPED OUTSIDE")
    view.add([Poly(((0.0, 0.0), (b.length_mm, 0.0), (b.length_mm, girth), (0.0, girth)), True)])
    for clock in range(-180, 180, 30):
        place = y(clock)
        if not 0.02 * girth < place < 0.98 * girth:  # too near the rim to be told from it
            continue
        view.add([Line((0.0, place), (b.length_mm, place))], "thin")
        name = {0: " hull", 90: " port", -90: " starboard", -180: " below"}.get(clock, "")
        shown = 180 if clock == -180 else clock
        view.label((b.length_mm, place), f"{shown}°{name}", height_mm=2.5)
    for bearing in strut.bearings:
        for station in (bearing.aft_station_mm, bearing.forward_station_mm):
            if 1e-6 < station < b.length_mm - 1e-6:
                view.add([Line((station, 0.0), (station, girth))], "phantom")
    for arm in strut.arms:
        foot = dev.footprint(b, dev.arm_side(strut, arm))
        turned = y(foot.clock_deg)
        rim = foot.outline.polyline(0.1)
        mid = per * foot.clock_deg
        view.add([Poly(tuple((float(px), turned + float(py) - mid) for px, py in rim), True)], "phantom")
    if strut.skeg is not None:
        foot = dev.footprint(b, dev.skeg_side(strut))
        mid, turned = per * foot.clock_deg, y(foot.clock_deg)
        rim = foot.outline.polyline(0.1)
        view.add([Poly(tuple((float(px), turned + float(py) - mid) for px, py in rim), True)], "phantom")
    if b.slots is not None:
        half, flat = b.slots.width_mm / 2, max(b.slots.length_mm - b.slots.width_mm, 0.0) / 2
        for slot in slots:
            px, py = at(b.slots.centre_station_mm, slot)
            view.add([Line((px - flat, py + w), (px + flat, py + w)) for w in (-half, half) if flat > 0])
            view.add([Arc((px + way * flat, py), half, -way * math.pi / 2, math.pi) for way in (1.0, -1.0)])
        lowest = min((at(b.slots.centre_station_mm, slot) for slot in slots), key=lambda p: p[1])
        view.horizontal((0.0, 0.0), lowest, Label(suffix="SLOTS"), side="below")
        view.note(
            lowest,
            [
                f"{len(slots)}× SLOT {common.length(ctx.figures, 2 * half)} × "
                f"{common.length(ctx.figures, 2 * (half + flat))}, through"
            ],
            head="dot",
        )
    for s in strut.set_screws:
        spot = at(s.station_mm, s.clock_deg)
        view.circle(spot, s.tap_drill_mm)
    for turned_to in sorted({round(s.clock_deg, 6) for s in strut.set_screws}):
        first = next(s for s in strut.set_screws if abs(s.clock_deg - turned_to) < 1e-5)
        zero = at(0.0, 0.0)
        if abs(turned_to) > 0.01:
            view.vertical(zero, at(first.station_mm, turned_to), side="left")
    view.vertical((0.0, 0.0), (0.0, girth), Label(suffix="round", reference=True), side="left")
    for s in strut.set_screws:
        view.balloon(at(s.station_mm, s.clock_deg), str(s.number))
    view.arrow((0.4 * b.length_mm, girth + 0.03 * girth), 0.0, "FWD")
    return view


def screw_facts(ctx: SheetContext) -> list[dict[str, str]]:
    """Return the rows of the set-screw table in the sheet's unit, by the column names of the CSV without units."""
    unit = "_in" if ctx.units == "in" else "_mm"
    text = set_screw_table(replace(ctx.strut, file_units=ctx.units))
    return [{k.removesuffix(unit): v for k, v in row.items()} for row in csv.DictReader(io.StringIO(text, newline=""))]


def dimple_width_mm(s: SetScrew) -> float:
    """Return the width (mm) of a dimple at the shell's surface: twice the depth for a cone of 90 degrees, else the
    point's.
    """
    if s.point == "cone":
        return screw_mechanics.cone_width_mm(s.dimple_depth_mm)
    try:
        return tables.set_screw(tables.thread(s.thread).size, s.point).point_diameter_mm
    except tables.NotInTable:
        return 0.5 * s.major_mm


def _number(ctx: SheetContext, text: str) -> str:
    """A figure of the CSV as the sheet writes it."""
    if not text:
        return "-"
    return common.length(ctx.figures, float(text) * (25.4 if ctx.units == "in" else 1.0))


def _screw_rows(ctx: SheetContext) -> Table:
    rows = []
    for s, row in zip(ctx.strut.set_screws, screw_facts(ctx), strict=True):
        bearing = ctx.strut.bearings[s.bearing_index]
        flute = nearest_flute_deg(bearing, s.clock_deg)
        rows.append(
            (
                str(s.number),
                _number(ctx, row["station_from_aft_face"]),
                _number(ctx, row["from_bearing_aft_end"]),
                _number(ctx, row["from_bearing_forward_end"]),
                common.degrees(s.clock_deg, 1),
                common.degrees(abs(flute - s.clock_deg), 1) if bearing.flute_count else "-",
                s.thread,
                _number(ctx, row["tap_drill"]),
                _number(ctx, row["wall"]),
                f"{common.length(ctx.figures, s.dimple_depth_mm)} / {common.length(ctx.figures, dimple_width_mm(s))}",
                _number(ctx, row["screw_length"]),
                s.point,
            )
        )
    return Table(
        "screws",
        "SET SCREWS",
        (
            "no.",
            "station",
            "from bearing aft end",
            "from bearing fwd end",
            "clock °",
            "to flute °",
            "thread",
            "tap drill",
            "depth (wall)",
            "dimple deep / wide",
            "screw length",
            "point",
        ),
        tuple(rows),
    )


def _screw_detail(ctx: SheetContext, s: SetScrew, name: str) -> View:
    """The wall at a screw cut along the barrel: thread, bearing shell, dimple. y from the bore toward the outside."""
    strut = ctx.strut
    bearing = strut.bearings[s.bearing_index]
    through, flat, shell = screw_wall_of(strut, s), s.flat_diameter_mm, bearing.shell_mm
    # Up from the shell's outside; over a relief the metal begins higher.
    foot_of_wall, wall, skin = (float(r - through.seat_mm) for r in (through.bore_mm, through.top_mm, through.skin_mm))
    rubber = min(0.8 * shell + 1.0, (bearing.outside_mm - bearing.inside_mm) / 2 - shell)
    wide = max(2.6 * s.major_mm, 0.75 * (flat or 0.0))
    view = View(name, "free", f"THE WALL AT SCREW {s.number}", scale=common.scales_between(wall + shell, 12.0, 45.0)[0])
    d, m = s.tap_drill_mm / 2, s.major_mm / 2
    for way in (-1.0, 1.0):
        top = [(d, wall), (flat / 2, wall), (flat / 2, skin), (wide, skin)] if flat else [(d, wall), (wide, wall)]
        cut = [(way * x, y) for x, y in [(wide, foot_of_wall), (d, foot_of_wall), *top]]
        view.add([Line(p, q) for p, q in itertools.pairwise(cut)])
        view.add([Line((way * m, foot_of_wall), (way * m, wall))], "thin")
        view.hatch([np.array(cut)], spacing_mm=2.5)
        view.break_line((way * wide, -shell - rubber), (way * wide, skin))
    half, deep = dimple_width_mm(s) / 2, s.dimple_depth_mm
    foot = 0.0 if s.point in ("cone", "cup") else half
    bottom = (
        [(-half, 0.0), (-foot, -deep), (foot, -deep), (half, 0.0)]
        if foot
        else [(-half, 0.0), (0.0, -deep), (half, 0.0)]
    )
    view.add([Line((-d, 0.0), (-half, 0.0)), Line((half, 0.0), (d, 0.0))])
    view.add([Line(p, q) for p, q in itertools.pairwise(bottom) if math.dist(p, q) > 1e-9])
    view.add([Line((-wide, -shell), (wide, -shell))])
    ring = [(-wide, 0.0), *bottom, (wide, 0.0), (wide, -shell), (-wide, -shell)]
    view.hatch([np.array(ring)], spacing_mm=1.6, angle_deg=-45.0)
    view.centre_line((0.0, -shell), (0.0, wall))
    view.vertical((-wide, foot_of_wall), (-(flat / 2 if flat else wide), wall), Label(reference=True), side="left")
    view.vertical((wide, -shell), (wide, 0.0), Label(reference=True), side="right")
    view.vertical((foot, -deep), (half, 0.0), side="right")
    view.note(
        (m, 0.7 * wall), [f"{s.thread} THROUGH, tap drill {common.length(ctx.figures, s.tap_drill_mm)}"], at_deg=60
    )
    view.note(
        (half, 0.0) if not foot else (foot, -0.5 * deep),
        [f"dimple Ø{common.length(ctx.figures, 2 * half)}, {common.length(ctx.figures, deep)} deep"],
        at_deg=-60,
    )
    view.note((-0.8 * wide, -0.5 * shell), ["bearing shell"], at_deg=-120, head="dot")
    if flat:
        view.horizontal((-flat / 2, wall), (flat / 2, wall), Label(prefix="flat Ø"), side="above")
    return view


# --- inspection -----------------------------------------------------------------------------------------------------

RECORD_ROW_MM = 6.0
Row = tuple[str, str, str, str, str]
"""What, nominal, lower, upper, instrument."""


def inspection_record(ctx: SheetContext, sheet_number: int, sheets: int) -> Sheet:
    """Return the inspection record: numbered characteristics with their limits, and room for what is measured."""
    rows = record_rows(ctx)
    title = ctx.title(
        "Inspection record",
        "Inspection record",
        sheet_number=sheet_number,
        sheets=sheets,
        mass=common.mass_text(ctx, common.mass_kg(ctx)),
    )
    columns = ("no.", "characteristic", "nominal", "lower", "upper", "measured", "instrument", "by", "date")
    numbered = [
        (str(k + 1), what, nominal, low, high, "", tool, "", "")
        for k, (what, nominal, low, high, tool) in enumerate(rows)
    ]
    # The left table runs the sheet's height, what is over stands at the top right over the title block.
    left = min(len(numbered), 60)
    sheet = common.new_sheet(ctx, title, smallest=2)
    parts = [("first", numbered[:left]), ("second", numbered[left:])]
    sheet.tables = [
        Table(
            name,
            "INSPECTION RECORD" + ("" if name == "first" else ", CONTINUED"),
            columns,
            tuple(part),
            left=frozenset({1}),
            row_mm=RECORD_ROW_MM,
            least_mm=(7.0, 40.0, 14.0, 13.0, 13.0, 17.0, 14.0, 9.0, 14.0),
            corner="top left" if name == "first" else "top right",
        )
        for name, part in parts
        if part
    ]
    unit = "mm" if ctx.units == "mm" else "inches"
    sheet.notes = [
        f"Lengths in {unit}. Bar heights: {bar_words(ctx)}, hull face down on a plate. Holes: palm axes, forward "
        "and to port from the palm's zero; the limit is the diameter of the zone.",
        "Limits of form, place and angle are common practice; the owner or surveyor may ask for others.",
    ]
    sheet.cautions = common.short_cautions()
    return sheet


def _gauged(bore: Seat) -> list[str]:
    """Where a bore is gauged: on the lengths that carry a bearing, not in a relief between them."""
    if len(bore.lengths) == 1:
        return ["aft", "middle", "forward"]
    names = ["aft length", *("middle length" for _ in bore.lengths[2:]), "forward length"]
    return [f"{name}, {end}" for name in names for end in ("aft", "forward")]


def record_rows(ctx: SheetContext) -> list[Row]:
    """Return the characteristics in the order of the record."""
    strut, figures = ctx.strut, ctx.figures
    b = strut.barrel
    fine = replace(figures, decimals=3 if ctx.units == "mm" else 4)
    rows: list[Row] = []

    def size(what: str, nominal: float, low: float, high: float, tool: str, *, close: bool = False) -> None:
        style = fine if close else figures
        rows.append((what, style.length(nominal), style.length(nominal + low), style.length(nominal + high), tool))

    def general(what: str, nominal: float, tool: str) -> None:
        t = general_tolerance_mm(ctx, nominal)
        size(what, nominal, -t, t, tool)

    def as_made(what: str, nominal: float, tool: str) -> None:
        t = as_made_tolerance_mm(ctx, nominal)
        size(what, nominal, -t, t, tool)

    def angle(what: str, nominal: float, tolerance: float, tool: str) -> None:
        rows.append(
            (
                what,
                f"{common.degrees(nominal)}°",
                f"{common.degrees(nominal - tolerance)}°",
                f"{common.degrees(nominal + tolerance)}°",
                tool,
            )
        )

    def plain(what: str, nominal: str, tool: str, high: str = "") -> None:
        rows.append((what, nominal, "", high, tool))

    plain("hand", strut.identity.hand.upper(), "skew of test bar" if common.has_skew(strut) else "by eye")
    bores = seats(strut)
    for bore in bores:
        for where in _gauged(bore):
            for way in ("up and down", "athwart"):
                size(
                    f"{bore.name}, {where}, {way}",
                    bore.diameter_mm,
                    bore.lower_mm,
                    bore.upper_mm,
                    "bore gauge",
                    close=True,
                )
    for bore in bores:
        plain(f"{bore.name}, cylindricity", "0", "bore gauge", _close(ctx, bore.cylindricity_mm))
    if len(bores) > 1:
        plain(
            f"{bores[1].name} to {bores[0].name}, coaxiality",
            "0",
            "bar, dial gauge",
            f"Ø{_close(ctx, seats_coaxial_mm(strut))}",
        )
    for k, bearing in enumerate(strut.bearings):
        name = "bearing" if len(strut.bearings) == 1 else f"bearing {k + 1}"
        if bearing.measured_mm is not None:
            plain(f"{name}, outside, as measured", f"Ø{fine.length(bearing.measured_mm)}", "micrometer")
        else:
            size(
                f"{name}, outside",
                bearing.outside_mm,
                bearing.outside_lower_mm,
                bearing.outside_upper_mm,
                "micrometer",
                close=True,
            )
        seat = _seat_of(strut, bearing)
        low, high = seat_limits_mm(b, bearing)
        least = bearing.outside_mm + bearing.outside_lower_mm - seat - high
        most = bearing.outside_mm + bearing.outside_upper_mm - seat - low
        rows.append((f"{name}, interference (- = play)", "", fine.length(least), fine.length(most), "worked out"))
        general(f"{name}, aft end from aft face", bearing.aft_station_mm, "depth gauge")
    general("barrel, length", b.length_mm, "calliper")
    bought = _as_bought(strut)
    if bought is None:
        as_made("barrel, outside", b.outside_mm, "calliper")
    else:
        size("barrel, outside, tube", b.outside_mm, -bought.outside_off_mm, bought.outside_off_mm, "calliper")
    plain("barrel, outside to bore, coaxiality", "0", "wall gauge", f"Ø{_mm(ctx, _coaxial_mm(strut))}")
    for step in b.steps:
        if any(s.step is step for s in bores):
            continue
        general(f"{step.kind}, diameter", step.diameter_mm, "inside calliper")
        for where, station in (("aft", step.from_station_mm), ("forward", step.to_station_mm)):
            if 1e-6 < station < b.length_mm - 1e-6:
                general(f"{step.kind}, {where} end from the aft face", station, "depth gauge")
    if b.slots is not None:
        general("slots, middle from the aft face", b.slots.centre_station_mm, "calliper")
        general("slots, width", b.slots.width_mm, "calliper")
        general("slots, length", max(b.slots.length_mm, b.slots.width_mm), "calliper")
        plain("slots, how many, equally spaced", str(b.slots.count), "eye")
        angle("slots, clock of the first", b.slots.first_clock_deg, 1.0, "protractor")
    rows.append(
        (
            f"barrel, least wall{_wall_where(strut)}",
            figures.length(_wall(strut)),
            figures.length(_least_wall(ctx)),
            "",
            "wall gauge",
        )
    )
    for palm in strut.palms:
        name = common.palm_label(palm, strut) or "palm"
        made = common.set_up(palm.plane)
        tolerance = palm_angle_tolerance_deg(strut)
        for where, x in bar_stations(strut):
            if x:
                size(
                    f"{name}, bar height, {where[3:]}",
                    made.height_mm(x),
                    -drop_tolerance_mm(ctx),
                    drop_tolerance_mm(ctx),
                    "height gauge",
                )
        forward, port = common.palm_place_mm(strut, palm)
        near = drop_tolerance_mm(ctx)
        size(f"{name}, zero forward of the aft face, along the shaft", forward, -near, near, "plate, square")
        size(f"{name}, zero to port of the bore's axis", port, -near, near, "plate, square")
        angle(f"{name}, pitch to bore", palm.plane.pitch_deg, tolerance, "from heights")
        angle(f"{name}, tilt along bore", palm.plane.tilt_deg, tolerance, "from heights")
        angle(f"{name}, true angle to bore", made.true_deg, tolerance, "from heights")
        angle(f"{name}, skew, trace to bar (+ port)", made.skew_deg, tolerance, "square, rule")
        plain(f"{name}, flatness of hull face", "0", "feelers, plate", _mm(ctx, parts.flatness_mm(strut, palm)))
        as_made(f"{name}, thickness", palm.thickness_mm, "calliper")
        size(
            f"{name}, bolt holes, diameter",
            palm.bolt.hole_mm,
            0.0,
            general_tolerance_mm(ctx, palm.bolt.hole_mm),
            "plug gauge",
        )
        if palm.bolt.kind != "plain":
            word = "countersink" if palm.bolt.kind == "countersunk" else "counterbore"
            size(
                f"{name}, {word}, diameter",
                palm.bolt.head_diameter_mm,
                0.0,
                general_tolerance_mm(ctx, palm.bolt.head_diameter_mm),
                "calliper",
            )
            plain(f"{name}, real bolt, head not proud", "flush", "rule", "0")
        for hole in palm.holes:
            plain(
                f"{name}, hole {hole.number} at {figures.length(hole.u_mm)}, {figures.length(hole.v_mm)}",
                "0",
                "jig, rule",
                f"Ø{_mm(ctx, parts.hole_position_mm(strut))}",
            )
    for arm in strut.arms:
        plain(f"{common.arm_label(arm)}, middle to bore axis", "0", "height gauge", _mm(ctx, 1.0))
        word = "fillets" if strut.construction == "cast" else "weld legs"
        plain(
            f"{common.arm_label(arm)}, {word}, barrel / palm",
            f"{figures.length(arm.barrel_root_mm)} / {figures.length(arm.palm_root_mm)}",
            "gauge",
        )
    for s in strut.set_screws:
        bearing = strut.bearings[s.bearing_index]
        from_aft, from_fore = s.station_mm - bearing.aft_station_mm, bearing.forward_station_mm - s.station_mm
        end, value = ("aft", from_aft) if from_aft <= from_fore else ("forward", from_fore)
        general(f"screw {s.number}, from bearing's {end} end", value, "rule")
        angle(f"screw {s.number}, clock", s.clock_deg, 1.0, "protractor")
        size(f"screw {s.number}, dimple depth", s.dimple_depth_mm, -0.2, 0.0, "depth gauge")
    if strut.set_screws:
        plain("set screws, thread gauge", ", ".join(sorted({s.thread for s in strut.set_screws})), "thread gauge")
    if strut.skeg is not None and strut.skeg.heel is not None:
        heel = strut.skeg.heel
        for what, symbol, diameter in skeg.bores(heel):
            fit = skeg.fit(symbol, diameter)
            if fit is None:
                plain(what, f"Ø{fine.length(diameter)}", "bore gauge")
            else:
                size(what, diameter, *fit[::-1], "bore gauge", close=True)
        off = skeg.POSITION_MM / 2
        size("heel, middle abaft the aft face", -heel.centre_mm[0] - b.length_mm / 2, -off, off, "rule")
        size("heel, middle below the shaft line", -heel.centre_mm[2], -off, off, "rule")
        size("heel, middle off the shaft line, to port", heel.centre_mm[1], -off, off, "rule")
        angle("heel, bore to the shaft line", skeg.stock_angle_deg(heel), skeg.DIRECTION_DEG, "bar, protractor")
    if strut.construction == "welded":
        plain("welds, by eye and dye penetrant", "no cracks", "eye, dye")
    else:
        plain("casting, by eye and dye penetrant", "no cracks", "eye, dye")
    limit, d = limits.standard(), strut.shaft.diameter_mm
    play = max(limit["clearance_least"].value * d, limit["clearance_floor"].value)
    plain("bearing in its bore, bar: shaft and least play", f"Ø{fine.length(d + play)}", "bar goes through")
    kg = common.mass_kg(ctx)
    plain("mass", common.mass_text(ctx, kg), "scale")
    plain("material certificate number", strut.material, "paper")
    plain("marking: drawing, revision, hand", strut.identity.number, "eye")
    return rows
