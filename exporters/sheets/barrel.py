"""The machining sheet of the barrel: its section, the view from aft, the strut set up, fits and heights."""

from __future__ import annotations

import math
from typing import Literal

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.projection import FRONT, Viewpoint, section
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.ties import Tie
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common, flange_cut, hull_face, let_in, set_up, tolerances
from strutwright.exporters.sheets import made_barrel as made
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import FROM_AFT, on_clock
from strutwright.models import cautions
from strutwright.models.bench.installation import press_words
from strutwright.models.geometry.barrel import bore_points, is_faired, outside_radius_mm, parallel_part
from strutwright.models.geometry.casting import casting_of
from strutwright.models.shop.foundry import free_ends
from strutwright.models.spec import Barrel, Bearing, Strut


def barrel_machining(ctx: SheetContext) -> Sheet:
    """Return the machining sheet: section of the barrel, end view, the strut set up, tables."""
    strut = ctx.strut
    views, tables = [_barrel_section(ctx), _barrel_end(ctx)], [_limits_table(ctx)]
    if strut.let_in is not None:
        tables += let_in.locking_table(ctx)
    if strut.palms:
        views.append(set_up.side_view(ctx))
        tables += [set_up.turns_table(ctx), set_up.heights_table(ctx)]
    if _tilted(strut):
        views.append(set_up.end_view(ctx))
    return ctx.sheet(
        "Barrel, machining",
        "Part drawing",
        views,
        mass=common.strut_mass(ctx),
        tables=tables,
        notes=barrel_notes(ctx),
        cautions=[
            cautions.STRUCTURE,
            cautions.LIFTING,
            cautions.drilling(common.family(strut.material)),
            *([cautions.FREEZING] if strut.barrel.fit == "press" else []),
        ],
        scales=common.scales_between(strut.barrel.length_mm, 75.0, 330.0 if strut.let_in is None else 200.0),
    )


def barrel_notes(ctx: SheetContext) -> list[str]:
    """Return the notes of the machining sheet."""
    strut, words = ctx.strut, tolerances.tolerance_words
    welded, several = strut.construction == "welded", len(made.seats(strut)) > 1
    more = [
        common.datum_a(strut)
        + (" Datum B: the aft face." if free_ends(strut)[0] else "")
        + (" Bore last, after all welding and straightening." if welded else "")
        + f" {'Both bores' if several else 'Bore'} and end faces in one set-up.",
        *set_up_notes(ctx),
        f"Outside concentric to bore within Ø{words(ctx, made.coaxial_mm(ctx))}; wall of the "
        f"parallel part {ctx.length(made.wall_mm(strut))}{made.wall_where(strut)}, never under "
        f"{ctx.length(made.least_wall_mm(ctx))}.",
        f"{_surfaces(ctx)} {_other_palm(strut)}{in_hand_words(strut)}",
        *_tube_words(ctx),
        *_press_note(ctx),
        *(
            []
            if welded or strut.flange or strut.let_in
            else [f"Section and end view show the barrel by itself, without {_left_off(strut)}."]
        ),
        common.STATION,
        *([] if strut.flange or strut.let_in else [common.FACES]),
        f"Both end faces square to the bore within {words(ctx, tolerances.SQUARE_MM)}. Tolerances "
        "of form and place are common practice; confirm them with the shop.",
    ]
    return common.general_notes(ctx, more)


def in_hand_words(strut: Strut) -> str:
    """Return what is said of the bearing in hand, which is measured before its bore is made."""
    if any(b.measured_mm is None for b in strut.bearings):
        return (
            "Measure the bearing in hand before boring. Bore for the interference or clearance that the table lists, "
            "on the size measured, not to the bore sizes of this table."
        )
    return "The bore is made to the bearing in hand, as measured; measure it again before boring."


def _left_off(strut: Strut) -> str:
    """What of a cast strut its section and end view leave off."""
    arms = "arms" if len(strut.arms) > 1 else "the arm"
    return f"{arms} and {'the palm' if strut.skeg is None else 'the skeg'}"


def _press_note(ctx: SheetContext) -> list[str]:
    """The note on the force that presses the bearing in; nothing where it is not known, or not pressed in."""
    force = press_words(ctx.findings, ctx.unit)
    return [f"Bearing pressed in, on its shell only: {force}."] if force else []


def _other_palm(strut: Strut) -> str:
    """What the views show of a second palm: all have one pitch and drop, each its own tilt and place."""
    if len(strut.palms) < 2:
        return ""
    own = "tilt and place are in the view PALM TILT and" if _tilted(strut) else "place is"
    return f"Finish, tolerances, pitch and drop of the other palm are as shown; its {own} in the tables. "


def _tilted(strut: Strut) -> bool:
    return any(abs(p.plane.tilt_deg) > 0.005 for p in strut.palms)


def set_up_notes(ctx: SheetContext) -> list[str]:
    """Return the notes on the set-up and on how it is checked."""
    strut = ctx.strut
    if strut.flange is not None:
        square = tolerances.tolerance_words(ctx, tolerances.SQUARE_MM)
        plane = strut.flange.plane
        lean, turn = common.degrees(plane.lean_deg), common.degrees(plane.turn_deg)
        off = f"off square to the bore {lean} in profile, + upper edge aft, and {turn} in plan, + port edge aft,"
        off = "square to the bore" if plane.square else off
        return [
            "Set-up: chuck on the parallel part, or on the spigot, and set by dial gauge at both ends so that high and "
            f"low spots share. Bedding face of the flange in the same set-up, {off} within {square}; it is the datum "
            "of the drilling."
        ]
    if strut.let_in is not None:
        return [
            "Set-up: turn outside, steps and the face of a collar in one set-up with the bore, or on a mandrel in it; "
            + (
                "leave the bore small by what is finished in its place."
                if strut.let_in.bored_in_place
                else "the bore is finished before the housing goes in."
            )
        ]
    return [
        _set_up_words(strut),
        f"Check: {set_up.bar_words(ctx)}, hull face down on a plate; heights of the bar's centre as in the table."
        + common.skew_words(strut),
        *hull_face.on_plate(ctx, strut.palms),
    ]


def stands_words(strut: Strut) -> str:
    """Return what the barrel stands on as it is set up, by what is machined by then."""
    return {
        "cast": "Barrel packed on its outside as cast, which has no stock, and set by dial gauge at both ends of the "
        "parallel part so that high and low spots share",
        "turned": "Barrel on V-blocks on its turned outside",
        "stock": "Barrel on V-blocks on its outside as bought, set by dial gauge at both ends",
    }[made.outside_made(strut)]


def _set_up_words(strut: Strut) -> str:
    """The note on the set-up: how the palm is turned, and what the barrel stands on."""
    palm = "a palm's" if len(strut.palms) > 1 else "the palm's"
    return (
        f"Set-up: start with {palm} hull face up and level and its trace along the machine's bed; turn it about the "
        f"trace, then tip it, by its two angles under SET-UP. {stands_words(strut)}, clock 0 marked on the barrel and "
        "up."
    )


def _surfaces(ctx: SheetContext) -> str:
    """The note on the end faces and on surfaces without a symbol."""
    rough = tolerances.texture(ctx, "Ra 6.3")
    faces = f"Both end faces {tolerances.texture(ctx, tolerances.FACE_RA)}."
    outside = made.outside_made(ctx.strut)
    if outside == "turned":
        return f"{faces} Surfaces without a symbol {rough}."
    if outside == "stock":
        return f"{faces} Other machined surfaces without a symbol {rough}, the outside as bought."
    grade = casting_of(ctx.strut).tolerance_grade
    return (
        f"{faces} Surfaces without a symbol stay as cast, no material removed; holes, chamfers and steps of the "
        f"bore {rough}. Sizes as cast to ISO 8062 {grade}."
    )


def _tube_words(ctx: SheetContext) -> list[str]:
    """What is said of a barrel made of tube."""
    b = ctx.strut.barrel
    if b.tube is None:
        return []
    tube, said = b.tube, ctx.length
    last = "turned after welding" if tube.turned else f"its outside left as bought, ±{said(tube.outside_off_mm)}"
    return [
        f"Barrel of tube Ø{said(tube.outside_mm)} × {said(tube.wall_mm)}, {last}. Measure the tube before it is "
        f"cut: outside, and wall at both ends all round, {said(tube.wall_least_mm)} or more everywhere; the bore must "
        f"clean up all along. Bore central to the {'tube before turning' if tube.turned else 'outside'}."
    ]


def _barrel_section(ctx: SheetContext) -> View:
    b = ctx.strut.barrel
    half, r = b.length_mm / 2, b.outside_mm / 2
    view = View("section", "front", "SECTION A-A")
    if ctx.strut.flange is None:
        cut = section(common.bare_barrel(ctx), Viewpoint(FRONT.toward, FRONT.right))
        ctx.seconds["barrel section"] = cut.view.seconds
        view.add_section(cut)
        view.centre_line((-half, 0.0), (half, 0.0))
    else:
        flange_cut.add_cut(ctx, view, flange_cut.broken_mm(ctx.strut))
        flange_cut.machined(ctx, view, ctx.strut.flange)
    general = tolerances.general_tolerance_mm(ctx, b.length_mm)
    view.horizontal((-half, -r), (half, -r), Label(deviations=(general, -general), row="barrel.length"))
    _outside_sizes(ctx, view)
    seat_sizes(ctx, view)
    bore_sizes(ctx, view)
    if b.slots is not None:
        _slot_sizes(ctx, view)
    _section_symbols(ctx, view)
    view.arrow((0.4 * half, -0.25 * b.bore_mm), 0.0, "FWD")
    return view


def _outside_sizes(ctx: SheetContext, view: View) -> None:
    """Sizes of the faired ends and the outside; a machined one is left to the title block."""
    b, half, r = ctx.strut.barrel, ctx.strut.barrel.length_mm / 2, ctx.strut.barrel.outside_mm / 2

    def as_cast(nominal_mm: float) -> tuple[float, float] | None:
        t = tolerances.as_made_tolerance_mm(ctx, nominal_mm)
        return (t, -t) if ctx.strut.construction == "cast" else None

    for end, face, way in ((b.aft_end, -half, 1.0), (b.forward_end, half, -1.0)):
        if not is_faired(b, end):
            continue
        side: Literal["left", "right"] = "left" if way > 0 else "right"
        rim, root = end.end_diameter_mm / 2, face + way * end.length_mm
        view.horizontal((face, -rim), (root, -r))
        label = Label(prefix="Ø", deviations=as_cast(end.end_diameter_mm))
        view.vertical((face, -rim), (face, rim), label, side=side)
        bend_mm = end.kind.bend_mm(end.length_mm, r - rim)
        if bend_mm is not None:
            bend = float(bend_mm)
            view.radius((root, r - bend), bend, at_deg=62.0 if way < 0 else 118.0)
    high = b.x(float(parallel_part(b)[1]))
    tube = made.tube_as_bought(ctx.strut)
    off = as_cast(b.outside_mm) if tube is None else (tube.outside_off_mm, -tube.outside_off_mm)
    label = Label(prefix="Ø" if tube is None else "tube Ø", deviations=off, row="barrel.outside")
    if ctx.strut.let_in is not None:
        let_in.outside_sizes(ctx, view)
    elif ctx.strut.flange is None:
        view.vertical((high, -r), (high, r), label, side="right", ties=(made.about_bore(ctx),))
    else:  # clear of the flange
        x, side = flange_cut.clear_of_flange(ctx.strut, ctx.strut.flange)
        view.vertical((x, -r), (x, r), label, side=side, ties=(made.about_bore(ctx),))


def seat_sizes(ctx: SheetContext, view: View) -> None:
    """Put on a view each bore at its own end of the barrel, with its own limits, texture and form."""
    strut, b = ctx.strut, ctx.strut.barrel
    found = made.seats(strut)
    for k, seat in enumerate(found):
        first = len(found) == 1 or seat.at_mm(0.5) <= b.length_mm / 2
        x, radius = b.x(seat.at_mm(0.12 if first else 0.88)), seat.diameter_mm / 2
        own, limits = f"bore{k + 1}", (seat.upper_mm, seat.lower_mm)
        label = Label(prefix="Ø", fit=seat.code, deviations=limits, row=f"{own}.gauged")
        # Datum A is the axis of the first; the other's is held to it. In line with its size, a sign is of the axis.
        tie = Tie(datum="A")
        if k:
            zone = f"Ø{tolerances.close_words(ctx, made.seats_coaxial_mm(strut))}"
            tie = Tie(characteristic=made.of_axis(ctx), tolerance=zone, datums=("A",), row=f"{own}.coaxiality")
        view.vertical((x, -radius), (x, radius), label, side="left" if first else "right", ties=(tie,))
        view.surface((x, radius), tolerances.texture(ctx, tolerances.BORE_RA), turn_deg=180.0, late=True)
        for start, stop in seat.lengths:  # each length that a bearing stands on, never a relief between them
            at, zone = b.x(start + 0.62 * (stop - start)), tolerances.close_words(ctx, seat.cylindricity_mm)
            view.tolerance((at, -radius), "cylindricity", zone, row=f"{own}.cylindricity")


def bore_sizes(ctx: SheetContext, view: View) -> None:
    """Put on a view the bore where no bearing stands in it, its lead-ins and steps."""
    b = ctx.strut.barrel
    half, r, bore = b.length_mm / 2, b.outside_mm / 2, b.bore_mm / 2
    carrying = [s.step for s in made.seats(ctx.strut)]
    runs = made.plain_runs(b)
    if runs and None not in carrying:
        x = b.x(runs[0][0] + 0.12 * (runs[0][1] - runs[0][0]))  # no bearing in it: a size of the title block
        view.vertical((x, -bore), (x, bore), Label(prefix="Ø"))
    for lead, face, way in ((b.lead_in_aft, -half, 1.0), (b.lead_in_forward, half, -1.0)):
        if lead.length_mm > 0:
            mouth = bore_points(b)[0 if way > 0 else -1][1]
            middle = mouth - lead.length_mm / 2 * math.tan(math.radians(lead.angle_deg))
            words = f"{ctx.length(lead.length_mm)} × {lead.angle_deg:g}°"
            view.note((face + way * lead.length_mm / 2, middle), [words])
    for n, step in enumerate(b.steps, 1):
        for where, station in (("aft", step.from_station_mm), ("forward", step.to_station_mm)):
            if 1e-6 < station < b.length_mm - 1e-6:
                label = Label(row=f"step{n}.{where}_end")
                view.horizontal((-half, r), (b.x(station), step.diameter_mm / 2), label, side="above")
        if not any(own is step for own in carrying):
            x = b.x((step.from_station_mm + step.to_station_mm) / 2)
            words = f"{step.kind} Ø{ctx.length(step.diameter_mm)}"
            view.note((x, step.diameter_mm / 2), [words], row=f"step{n}.diameter")


def _slot_sizes(ctx: SheetContext, view: View) -> None:
    b, s = ctx.strut.barrel, ctx.strut.barrel.slots
    assert s is not None
    r, x = b.outside_mm / 2, b.x(s.centre_station_mm)
    view.horizontal((-b.length_mm / 2, r), (x, r), Label(row="slots.station"), side="above")
    # The highest slot that shows in the section, on the half away from the eye.
    up = max((math.cos(math.radians(c)) for c in made.slot_clocks(b) if c <= 180.0 + 1e-9), default=1.0)
    words = [made.slot_words(ctx), f"equally spaced, first at clock {common.degrees(s.first_clock_deg, 1)}"]
    view.note((x, b.bore_mm / 2 * up), words, at_deg=120, head="dot", row="slots")


def _section_symbols(ctx: SheetContext, view: View) -> None:
    """Surfaces, datum B and form: of the aft face, the outside and the forward face."""
    b = ctx.strut.barrel
    half, r = b.length_mm / 2, b.outside_mm / 2
    low, high = (b.x(float(s)) for s in parallel_part(b))

    def on_parallel(share: float) -> tuple[float, float]:
        return min(max(b.x(share * b.length_mm), low), high), r

    rims = [float(outside_radius_mm(b, station)) for station in (0.0, b.length_mm)]
    mouths = (bore_points(b)[0], bore_points(b)[-1])
    aft_face, fore_face = (-0.5 * (rim + mouth[1]) for rim, mouth in zip(rims, mouths, strict=True))
    aft_free, fore_free = free_ends(ctx.strut)
    if aft_free:
        view.surface((-half, aft_face), tolerances.texture(ctx, tolerances.FACE_RA), turn_deg=90.0, late=True)
        # On the face's extension line, below the diameters that stand to the left of it.
        view.datum((-half, -max(r, rims[0])), "B", toward="left")
    if ctx.strut.construction == "cast":
        view.surface(on_parallel(0.7), "as cast", removal="prohibited", late=True)
    square = tolerances.tolerance_words(ctx, tolerances.SQUARE_MM)
    if fore_free:
        view.tolerance((half, fore_face), "perpendicularity", square, ("A",))


def _barrel_end(ctx: SheetContext) -> View:
    b = ctx.strut.barrel
    view = View("end", "seen from left", "SEEN FROM AFT")
    view.add_projection(ctx.view("barrel", common.bare_barrel(ctx), FROM_AFT), hidden=False)
    view.centre_mark((0.0, 0.0), b.outside_mm)
    r = b.outside_mm / 2
    for clock in sorted({round(s.clock_deg, 6) for s in ctx.strut.set_screws}):
        view.centre_line(on_clock(clock, 0.9 * b.bore_mm / 2), on_clock(clock, r))
        view.note(on_clock(clock, r), [f"SET SCREWS AT {common.degrees(clock, 1)}"])
    if ctx.strut.let_in is not None:
        let_in.end_sizes(ctx, view)
    far = 1.3 * max([r, *(max(land.aft_mm, land.forward_mm) / 2 for land in b.lands)])
    view.cutting_plane((0.0, -far), (0.0, far), "A", looking="left")
    view.label((0.0, far), f"{common.clock_zero(ctx.strut)}, clock 0", ring_mm=0.2 * r)
    middle = (b.bore_mm + b.outside_mm) / 4
    # The wall as it is at the face that is shown, and the least one where that is elsewhere.
    here, least = (f"({ctx.length(v)})" for v in (made.face_wall_mm(b), made.wall_mm(ctx.strut)))
    walls = [f"wall {here}"] if here == least else [f"wall {here}", f"{least}{made.wall_where(ctx.strut)}"]
    view.note((-middle * math.sin(0.7), -middle * math.cos(0.7)), walls, at_deg=-135, head="dot", row="barrel.wall")
    return view


def _limits_table(ctx: SheetContext) -> Table:
    """The fit in figures of both units."""
    strut, b = ctx.strut, ctx.strut.barrel
    rows = [
        (s.name, s.code, *common.both_units(s.diameter_mm + s.upper_mm, s.diameter_mm + s.lower_mm))
        for s in made.seats(strut)
    ]
    codes = [f"bore{n}.gauged" for n in range(1, len(rows) + 1)]
    for k, bearing in enumerate(strut.bearings):
        name, size = common.bearing_name(strut, k), bearing.outside_mm
        both = common.both_units(size + bearing.outside_upper_mm, size + bearing.outside_lower_mm)
        rows.append((f"{name}, outside", _bearing_code(b, bearing), *both))
        least, most = made.interference_mm(strut, bearing)
        rows.append((f"{name}, interference (- = clearance)", b.fit, *common.both_units(most, least)))
        codes += [f"bearing{k + 1}.outside", f"bearing{k + 1}.interference"]
    columns = ("what", "class", "mm", "inch")
    return Table(
        name="limits",
        title="FIT IN FIGURES, LARGEST / SMALLEST",
        columns=columns,
        rows=tuple(rows),
        left=frozenset({0}),
        codes=tuple(codes),
    )


def _bearing_code(b: Barrel, bearing: Bearing) -> str:
    return "measured" if bearing.measured_mm is not None else b.shell_class
