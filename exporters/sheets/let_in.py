"""The sheets that a let-in housing has of its own: in its structure, and the hole that this is bored for it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

import numpy as np

from strutwright.exporters.drawing.figures import Deviations, Label
from strutwright.exporters.drawing.projection import FRONT, Viewpoint, section
from strutwright.exporters.drawing.shapes import Arc, Line, Poly
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, made_barrel, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.flange import picture
from strutwright.exporters.sheets.plane import FROM_AFT, on_clock
from strutwright.models import cautions
from strutwright.models.geometry.bore_in_structure import Bored, bored, face_mm
from strutwright.models.spec_let_in import LetIn, Seat
from strutwright.params import tables
from strutwright.params.quantity import in_file_units

HOLDS = {"pressed": "pressed in", "bedded": "bedded in resin", "welded": "welded in"}
MOUTH = "Mouth: where the hole proper begins in the structure; outer end: the end of the housing toward it."
ENTRY_MM = 1.0
"""Chamfer at the mouth of a hole; common practice, no source."""


def own(ctx: SheetContext) -> LetIn:
    """Return how the housing is let in."""
    it = ctx.strut.let_in
    assert it is not None
    return it


def arrangement(ctx: SheetContext) -> Sheet:
    """Return the arrangement: the housing cut along the shaft in its structure, seen from aft, and as a picture."""
    strut, structure = ctx.strut, own(ctx).structure
    views = [_along(ctx), _from_aft(ctx), picture(ctx)]
    drawn = f"Structure ({structure.kind}, {structure.material}) and shaft are in phantom lines."
    return ctx.sheet(
        "Let-in stern bearing housing",
        "General arrangement",
        views,
        mass=common.strut_mass(ctx),
        tables=[common.parts_table(ctx), _fits(ctx)],
        notes=common.general_notes(
            ctx, (common.datum_a(strut), common.clock_words(strut), common.STATION, MOUTH, *fitting_words(ctx), drawn)
        ),
        cautions=cautions.for_strut(strut),
        scales=common.scales_between(strut.barrel.length_mm, 70.0, 260.0),
    )


def fitting_words(ctx: SheetContext) -> list[str]:
    """Return how it is put in, and taken out."""
    it = own(ctx)
    from_end = f"It goes in from {it.entered_from}."
    if it.hold == "pressed":
        force = _told(ctx, "let_in_press_force")
        how = f"{from_end} Press it in with a bar through bore and structure, square and without a stop" + (
            f"; at most {force} are to be expected. If it does not move at that, stop and measure." if force else "."
        )
    elif it.hold == "bedded":
        bond = "Wax the housing for release" if it.released else "Roughen and degrease hole and housing"
        how = (
            f"{from_end} {bond}; set it in line with the shaft, {ctx.with_unit(it.seats[0].gap_mm)} clear all round, "
            "on set screws or wedges; close both ends; pour or inject the resin from below until it comes out above."
        )
    else:
        how = (
            f"{from_end} Tack it in four places, weld round in short runs on opposite sides, fillet with legs of "
            f"{common.weld_size(ctx, it.weld_leg_mm)}{' at both ends' if it.inner_weld else ' at the mouth'}."
        )
    bore = (
        "Finish the bore with the housing in its place, in line with the shaft."
        if it.bored_in_place
        else ("The bore is finished before: measure it again once the housing is in, before the bearing goes in.")
    )
    more = [how, bore]
    if it.locking:
        more.append(
            f"{len(it.locking)} × locking screw {it.locking[0].thread}, {it.locking[0].point} point, through the "
            "structure into its dimple; lock and fill over."
        )
    if it.drawing is not None:
        way = "Draw" if it.drawing.way == "draw" else "Jack"
        tapped = f"{it.drawing.count} × {tables.tapped(it.drawing.thread)}"
        more.append(f"{way} it out by {tapped} in the outer end; fill them with wax.")
    return more


def _told(ctx: SheetContext, code: str) -> str:
    """What a finding measured, in words of the sheet; nothing where there is none."""
    found = ctx.findings.get(code)
    if found is None or not math.isfinite(found.actual):
        return ""
    value, unit = in_file_units(found.actual, "N", ctx.unit)
    return f"{value / 1000.0:.0f} k{unit}"


def _fits(ctx: SheetContext) -> Table:
    """Seat by seat the limits of housing and hole, and what they make of each other."""
    it, rows = own(ctx), list[tuple[str, ...]]()
    for k, seat in enumerate(it.seats, 1):
        low, high = seat.outside_mm + seat.outside_lower_mm, seat.outside_mm + seat.outside_upper_mm
        rows.append((f"seat {k}, housing", it.sleeve_class or "-", *common.both_units(high, low)))
        low, high = seat.hole_mm + seat.hole_lower_mm, seat.hole_mm + seat.hole_upper_mm
        rows.append((f"seat {k}, hole", it.hole_class or "-", *common.both_units(high, low)))
        least = seat.outside_mm + seat.outside_lower_mm - seat.hole_mm - seat.hole_upper_mm
        most = seat.outside_mm + seat.outside_upper_mm - seat.hole_mm - seat.hole_lower_mm
        name = f"seat {k}, interference (- = clearance)"
        rows.append((name, HOLDS[it.hold], *common.both_units(most, least)))
    return Table(
        name="fits",
        title="HOUSING IN STRUCTURE, LARGEST / SMALLEST",
        columns=("what", "class", "mm", "inch"),
        rows=tuple(rows),
        left=frozenset({0}),
    )


# --- views ----------------------------------------------------------------------------------------------------------


def housing_cut(ctx: SheetContext, view: View) -> None:
    """Add the housing cut along the shaft in the upright plane, seen from starboard."""
    made = section(common.bare_barrel(ctx), Viewpoint(FRONT.toward, FRONT.right))
    ctx.seconds[f"{view.name} section"] = made.view.seconds
    view.add_section(made)


def _structure_reach(it: LetIn) -> tuple[float, float]:
    """How far the structure goes up and down in the upright cut."""
    own_ = it.structure
    across = max([s.hole_mm for s in it.seats] + [own_.counterbore_mm])
    if own_.outside_mm is not None:
        return own_.outside_mm / 2, own_.outside_mm / 2
    far = 0.5 * across + 0.5 * across
    return min(own_.above_mm or far, far), min(own_.below_mm or far, far)


def structure_cut(ctx: SheetContext, view: View) -> None:
    """Add to a view the structure in the upright cut, in phantom lines, with its hole."""
    it = own(ctx)
    cut = bored(ctx.strut)
    up, down = _structure_reach(it)
    for side, far in ((1.0, up), (-1.0, down)):
        inner = [(x, side * r) for x, r in cut.profile]
        ends = (cut.face_x, cut.far_x)
        rim = [(ends[0], side * far), (ends[0], inner[0][1]), *inner, (ends[1], inner[-1][1]), (ends[1], side * far)]
        view.add([Poly(tuple(rim), False)], "phantom")
        if it.structure.outside_mm is not None or far < 0.999 * max(up, down):
            view.add([Line((ends[0], side * far), (ends[1], side * far))], "phantom")
    view.note((0.5 * (cut.face_x + cut.far_x), up * 0.96), [it.structure.kind.upper()], at_deg=75.0, head="dot")


def _along(ctx: SheetContext) -> View:
    """The housing cut along the shaft in its structure."""
    strut, it, b = ctx.strut, own(ctx), ctx.strut.barrel
    half, d = b.length_mm / 2, strut.shaft.diameter_mm
    view = View("along", "front", "SECTION A-A, IN THE STRUCTURE")
    housing_cut(ctx, view)
    structure_cut(ctx, view)
    cut = bored(strut)
    low, high = min(-half, cut.face_x, cut.far_x), max(half, cut.face_x, cut.far_x)
    far = 0.2 * (high - low)
    for y in (-d / 2, d / 2):
        view.add([Line((low - far, y), (-half, y)), Line((half, y), (high + far, y))], "phantom")
    view.centre_line((low - far, 0.0), (high + far, 0.0))
    view.note((high + 0.8 * far, -d / 2), [f"SHAFT Ø{ctx.length(d)}"], at_deg=-60.0)
    r = b.outside_mm / 2
    face = face_mm(strut)
    outer = it.mouth_mm - it.inward * it.stands_out_mm
    if abs(face - outer) > 0.01:
        view.horizontal((b.x(outer), -r), (b.x(face), -r), Label(suffix="OUT"))
    view.horizontal((b.x(face), -r), (b.x(it.inner_mm), -r), Label(suffix="IN THE STRUCTURE"))
    view.horizontal((-half, r), (half, r), side="above")
    places: dict[tuple[float, float], list[int]] = {}
    for screw in it.locking:
        up = round(math.cos(math.radians(screw.clock_deg)), 6) + 0.0
        places.setdefault((b.x(screw.station_mm), r * up), []).append(screw.number)
    for at, numbers in places.items():
        words = "LOCKING SCREW" + ("S " if len(numbers) > 1 else " ") + ", ".join(map(str, numbers))
        view.note(at, [words], at_deg=70.0 if at[1] >= 0 else -70.0, head="dot")
    if it.hold == "welded":
        size = f"z{common.weld_size(ctx, it.weld_leg_mm)}"
        for station in (it.mouth_mm, *((it.inner_mm,) if it.inner_weld else ())):
            outward = -it.inward if station == it.mouth_mm else it.inward
            view.weld((b.x(station), -r), "fillet", size, at_deg=-90.0 + 40.0 * outward)
    view.arrow((high + 0.55 * far, 0.6 * d), 0.0, "FWD")
    return view


def _from_aft(ctx: SheetContext) -> View:
    """The housing in its structure, seen from aft."""
    strut, it = ctx.strut, own(ctx)
    view = View("aft", "seen from left", "SEEN FROM AFT")
    view.add_projection(ctx.view("housing", common.bare_barrel(ctx), FROM_AFT), hidden=False)
    made, up, down = it.structure, *_structure_reach(it)
    if made.outside_mm is not None:
        view.add([Arc((0.0, 0.0), made.outside_mm / 2)], "phantom")
        side = made.outside_mm / 2
    else:
        side = (made.thickness_mm or 0.0) / 2
        view.add([Line((x, -down), (x, up)) for x in (-side, side)], "phantom")
        view.horizontal((-side, -down), (side, -down), Label(reference=True))
    view.centre_mark((0.0, 0.0), 1.1 * max(2 * side, strut.barrel.outside_mm))
    view.add([Arc((0.0, 0.0), strut.shaft.diameter_mm / 2)], "phantom")
    for screw in it.locking:
        reach = min(float(made.reach_at_mm(screw.clock_deg)), 1.2 * max(side, up))
        view.centre_line(
            on_clock(screw.clock_deg, 0.85 * strut.barrel.outside_mm / 2), on_clock(screw.clock_deg, reach)
        )
        words = [f"LOCKING SCREW {screw.number}, {common.degrees(screw.clock_deg, 1)}"]
        view.note(on_clock(screw.clock_deg, 0.97 * reach), words, head="dot")
    high = max(up, side, 0.75 * strut.barrel.outside_mm)
    view.cutting_plane((0.0, -1.2 * high), (0.0, 1.2 * high), "A", looking="left")
    view.label((0.0, 1.25 * high), "up, clock 0", ring_mm=0.1 * high)
    view.label((-1.15 * side, 0.35 * high), strut.identity.side("port").upper())
    view.label((1.15 * side, 0.35 * high), strut.identity.side("starboard").upper())
    return view


# --- the hole in the structure --------------------------------------------------------------------------------------


def structure_boring(ctx: SheetContext) -> Sheet:
    """Return the sheet of the hole: what the structure is bored, counterbored and drilled to."""
    it, strut = own(ctx), ctx.strut
    rows = [
        (
            f"locking screw {s.number}",
            tables.tapped(s.thread),
            *_place(ctx, s.station_mm, s.clock_deg),
            f"drill {ctx.length(s.tap_drill_mm)}, tap" if not s.bushed else "bush, tapped in place",
        )
        for s in it.locking
    ]
    for s in strut.set_screws:
        if it.inward * (s.station_mm - face_mm(strut)) + s.major_mm / 2 > 0:
            wide = ctx.length(math.ceil(1.5 * s.major_mm))
            rows.append(
                (
                    f"way in to set screw {s.number}",
                    s.thread,
                    *_place(ctx, s.station_mm, s.clock_deg),
                    f"drill {wide} to the housing, plug after",
                )
            )
    columns = ("hole", "thread", f"from the face, {ctx.unit}", "clock °", "how")
    drilled = Table(
        name="holes", title="HOLES ACROSS THE STRUCTURE", columns=columns, rows=tuple(rows), left=frozenset({0, 4})
    )
    off = ctx.length(it.structure.off_line_mm)
    made = ctx.sheet(
        "Structure, boring",
        "Part drawing",
        [_bored_section(ctx), _bored_end(ctx)],
        tables=[drilled] if rows else [],
        notes=common.general_notes(
            ctx,
            [
                "Bore in line with the shaft, with a boring bar held at engine and next bearing; the shaft line is the "
                f"datum, not the structure. Its middle may lie {off} off the structure's at most.",
                "Measure the housing before the last cut; make the hole to it by the table of fits."
                if it.hold == "pressed"
                else "The hole need not be round or smooth; what counts is room all round.",
                common.clock_words(strut),
                MOUTH,
                *(_across(ctx) if rows else []),
                f"{common.file_words(strut)}structure-hole: full-size template of the hole.",
            ],
        ),
        cautions=[cautions.STRUCTURE, cautions.UNDER_BOAT, cautions.drilling(common.family(it.structure.material))],
        scales=common.no_larger(common.scales_between(it.structure.depth_mm, 70.0, 230.0)),
    )
    made.title = replace(made.title, material=it.structure.material)
    return made


def _across(ctx: SheetContext) -> list[str]:
    return [
        "Drill holes across once the housing is in its place; spot the dimples through them with a drill in a guide, "
        "never deeper than drawn."
    ]


def _place(ctx: SheetContext, station_mm: float, clock_deg: float) -> tuple[str, str]:
    inward = own(ctx).inward * (station_mm - face_mm(ctx.strut))
    return ctx.length(inward), common.degrees(clock_deg, 1)


def _bored_section(ctx: SheetContext) -> View:
    it, cut = own(ctx), bored(ctx.strut)
    view = View("hole", "front", "SECTION B-B, STRUCTURE ALONE")
    up, down = _structure_reach(it)
    for side, far in ((1.0, up), (-1.0, down)):
        ring = [(cut.face_x, side * far), *((x, side * r) for x, r in cut.profile), (cut.far_x, side * far)]
        view.add([Poly(tuple(ring), False)])
        if it.structure.outside_mm is not None:
            view.add([Line(ring[0], ring[-1])])
        else:
            view.break_line(ring[0], ring[-1])
        view.hatch([np.array(ring)], angle_deg=45.0)
    for (x0, r0), (x1, _) in zip(cut.profile, cut.profile[1:], strict=False):
        if abs(x1 - x0) < 1e-6:
            view.add([Line((x0, -r0), (x0, r0))])
    view.add([Line((x, -r), (x, r)) for x, r in (cut.profile[0], cut.profile[-1])])
    view.centre_line((min(cut.face_x, cut.far_x) - 10.0, 0.0), (max(cut.face_x, cut.far_x) + 10.0, 0.0))
    _bore_sizes(ctx, view, cut)
    view.arrow((0.5 * (cut.face_x + cut.far_x), 0.12 * up), 0.0, "FWD")
    return view


def _bore_sizes(ctx: SheetContext, view: View, cut: Bored) -> None:
    it, b = own(ctx), ctx.strut.barrel
    base = -max(r for _, r in cut.profile)
    outer: Literal["left", "right"] = "left" if it.inward > 0 else "right"
    inner: Literal["left", "right"] = "right" if it.inward > 0 else "left"
    for k, seat in enumerate(it.seats):
        share = 0.15 if k == 0 else 0.85
        stations = (seat.from_station_mm, seat.to_station_mm)
        start, stop = stations if it.inward > 0 else stations[::-1]
        x = b.x(start + share * (stop - start))
        label = Label(prefix="Ø", fit=it.hole_class, deviations=hole_off(it, seat), row=f"seat{k + 1}.hole")
        view.vertical((x, -seat.hole_mm / 2), (x, seat.hole_mm / 2), label, side=outer if k == 0 else inner)
        if k:
            view.horizontal((cut.face_x, base), (b.x(start), -seat.hole_mm / 2))
    own_ = it.structure
    if own_.counterbore_mm > 0:
        x = (cut.face_x + b.x(it.mouth_mm)) / 2
        words = [f"counterbore Ø{ctx.length(own_.counterbore_mm)}", f"{ctx.length(own_.counterbore_depth_mm)} deep"]
        view.note((x, own_.counterbore_mm / 2), words, at_deg=110.0 if it.inward > 0 else 70.0)
    view.horizontal((cut.face_x, base), (cut.floor_x, base), Label(suffix="DEEP"))
    mouth = b.x(it.mouth_mm), it.seats[0].hole_mm / 2
    if it.hold == "pressed":
        entry = f"{ctx.length(ENTRY_MM)} × 30° or radius at the mouth and at steps"
        view.note(mouth, [entry], at_deg=60.0 if it.inward > 0 else 120.0)
        x = b.x((it.mouth_mm + it.inner_mm) / 2)
        view.surface(
            (
                x,
                it.seats[0].hole_mm / 2
                if len(it.seats) == 1
                else next(r for px, r in cut.profile if it.inward * (px - x) >= 0),
            ),
            tolerances.texture(ctx, tolerances.BORE_RA),
            turn_deg=180.0,
            late=True,
        )


def hole_off(it: LetIn, seat: Seat) -> Deviations | None:
    """Return the deviations of the hole round a seat, upper and lower."""
    return seat.hole_upper_mm, seat.hole_lower_mm


def _bored_end(ctx: SheetContext) -> View:
    """The hole from its mouth's side, at the mouth."""
    strut, it = ctx.strut, own(ctx)
    view = View("hole end", "seen from left", "SEEN FROM AFT")
    made, up, down = it.structure, *_structure_reach(it)
    hole = it.seats[0].hole_mm if it.inward > 0 else it.seats[-1].hole_mm
    if made.outside_mm is not None:
        view.circle((0.0, 0.0), made.outside_mm)
        view.note(on_clock(-60.0, made.outside_mm / 2), [f"Ø{ctx.length(made.outside_mm)}"])
        side = made.outside_mm / 2
    else:
        side = (made.thickness_mm or 0.0) / 2
        view.add([Line((x, -down), (x, up)) for x in (-side, side)])
        for y in (-down, up):
            view.break_line((-side, y), (side, y))
        view.horizontal((-side, -down), (side, -down))
    view.circle((0.0, 0.0), hole)
    if made.counterbore_mm > 0 and it.inward > 0:
        view.circle((0.0, 0.0), made.counterbore_mm, marked=False)
    for screw in it.locking:
        reach = min(float(made.reach_at_mm(screw.clock_deg)), 1.1 * max(side, up))
        view.centre_line(on_clock(screw.clock_deg, 0.4 * hole), on_clock(screw.clock_deg, reach))
        where = on_clock(screw.clock_deg, 0.9 * reach)
        view.note(where, [f"LOCKING SCREW {screw.number}", common.degrees(screw.clock_deg, 1)], head="dot")
    high = max(up, side)
    view.cutting_plane((0.0, -1.15 * high), (0.0, 1.15 * high), "B", looking="left")
    view.label((0.0, 1.2 * high), "up, clock 0", ring_mm=0.1 * high)
    view.label((-1.15 * side, 0.4 * high), strut.identity.side("port").upper())
    view.label((1.15 * side, 0.4 * high), strut.identity.side("starboard").upper())
    return view


# --- on the machining sheet -----------------------------------------------------------------------------------------


def outside_sizes(ctx: SheetContext, view: View) -> None:
    """Add to the section of the machining sheet the housing's outside: seats, steps, collar, chamfer, dimples."""
    it, b = own(ctx), ctx.strut.barrel
    half = b.length_mm / 2
    outer_x, inner_x = -it.inward * half, it.inward * half
    outer: Literal["left", "right"] = "left" if it.inward > 0 else "right"
    inner: Literal["left", "right"] = "right" if it.inward > 0 else "left"
    for k, seat in enumerate(it.seats, 1):
        stations = (seat.from_station_mm, seat.to_station_mm)
        start, stop = stations if it.inward > 0 else stations[::-1]
        if k == len(it.seats):
            stop -= it.inward * it.entry_mm
        x, r = b.x(start + 0.9 * (stop - start)), seat.outside_mm / 2
        off = (seat.outside_upper_mm, seat.outside_lower_mm)
        label = Label(prefix="Ø", fit=it.sleeve_class, deviations=off, row=f"seat{k}.outside")
        view.vertical((x, -r), (x, r), label, side=inner, ties=() if k > 1 else (made_barrel.about_bore(ctx),))
        if it.hold == "pressed":
            at = b.x(start + 0.55 * (stop - start))
            view.surface((at, r), tolerances.texture(ctx, tolerances.BORE_RA), late=True)
        if k > 1:
            view.horizontal((outer_x, r), (b.x(start), r), Label(row=f"seat{k}.station"), side="above")
    if it.collar is not None:
        r, at = it.collar.diameter_mm / 2, outer_x + it.inward * it.collar.thickness_mm
        view.vertical((outer_x, -r), (outer_x, r), Label(prefix="collar Ø", row="collar.diameter"), side=outer)
        view.horizontal((outer_x, r), (at, r), Label(row="collar.thickness"), side="above")
    face = it.seats[-1].outside_mm / 2 - it.entry_mm / 2 * math.tan(math.radians(it.entry_deg))
    words = [f"{ctx.length(it.entry_mm)} × {it.entry_deg:g}°"]
    view.note((inner_x - it.inward * it.entry_mm / 2, face), words, at_deg=60.0 if it.inward > 0 else 120.0)
    for screw in it.locking[:1]:
        count = f"{len(it.locking)}× " if len(it.locking) > 1 else ""
        kind = f"Ø{ctx.length(screw.width_mm)}" if screw.point == "dog" else "cone 90°"
        words = [f"{count}dimple {kind}, {ctx.length(screw.bite_mm)} deep", "places in the table; drilled in place"]
        up = math.cos(math.radians(screw.clock_deg))
        at_x, at_y = b.x(screw.station_mm), screw_height(it, ctx, screw.station_mm) * up
        view.note((at_x, at_y), words, at_deg=110.0 if up >= 0 else -110.0, head="dot")


def screw_height(it: LetIn, ctx: SheetContext, station_mm: float) -> float:
    """Return the outside radius (mm) at a locking screw."""
    own_ = next(s for s in it.seats if s.from_station_mm - 1e-9 <= station_mm <= s.to_station_mm + 1e-9)
    return own_.outside_mm / 2


def end_sizes(ctx: SheetContext, view: View) -> None:
    """Add to the end view of the machining sheet the drawing holes and locking dimples."""
    it, b = own(ctx), ctx.strut.barrel
    holes = it.drawing
    if holes is not None and it.inward > 0:
        view.add([Arc((0.0, 0.0), holes.circle_mm / 2)], "centre")
        for clock in holes.clocks_deg:
            view.centre_mark(on_clock(clock, holes.circle_mm / 2), 1.6 * holes.tap_drill_mm)
    if holes is not None:
        deep = "THRU THE COLLAR" if holes.way == "jack" else f"{ctx.length(holes.depth_mm)} deep"
        words = [
            f"{holes.count}× {tables.tapped(holes.thread)} {deep}",
            f"on Ø{ctx.length(holes.circle_mm)}, first at {common.degrees(holes.first_clock_deg, 1)}",
            *([] if it.inward > 0 else ["in the forward face"]),
        ]
        clock = max(holes.clocks_deg, key=lambda c: math.sin(math.radians(-c)) + 0.5 * math.cos(math.radians(c)))
        view.note(on_clock(clock, holes.circle_mm / 2), words, row="draw.holes")
    for clock in sorted({round(s.clock_deg, 6) for s in it.locking}):
        view.centre_line(on_clock(clock, 0.8 * b.outside_mm / 2), on_clock(clock, 1.15 * b.outside_mm / 2))


def locking_table(ctx: SheetContext) -> list[Table]:
    """Return the table of the locking screws' dimples; none without them."""
    it = own(ctx)
    if not it.locking:
        return []
    rows = tuple(
        (
            str(s.number),
            ctx.length(s.station_mm),
            common.degrees(s.clock_deg, 1),
            f"{s.thread}, {s.point}",
            f"{ctx.length(s.bite_mm)} / {ctx.length(s.width_mm)}",
        )
        for s in it.locking
    )
    columns = ("no.", "station", "clock °", "screw, point", "dimple deep / wide")
    codes = tuple(f"lock{s.number}" for s in it.locking)
    return [Table(name="locking", title="DIMPLES OF THE LOCKING SCREWS", columns=columns, rows=rows, codes=codes)]
