"""True-scale templates as DXF: rolled-out ends of arms and skeg, the barrel's strip, palm jig, gauges, backing plate.

Each function returns one `CutFile` in the file's unit; `template_files` returns all of a strut. They are the finished
part's sizes: no kerf, no contraction, no machining stock. What is wrapped is drawn as seen from outside, at half the
thickness of the paper. Every file says what it is, of which hand, on which face, and carries check lines both ways.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from strutwright.exporters.drawing.dxfdoc import MM_PER_INCH
from strutwright.exporters.drawing.lettering import (
    SMALL_MM,
    TEXT_MM,
    Lettering,
    Point,
    add_arrow,
    add_centred,
    angle_text,
    file_unit,
    finish,
    hand_text,
    length_text,
    off_trace_text,
    xy,
    zero_text,
)
from strutwright.exporters.drawing.text import text_width, wrap
from strutwright.exporters.files.cutfile import CutFile
from strutwright.exporters.files.outdir import slug
from strutwright.models.outline import Floats, Outline, OutlineError, polygon
from strutwright.models.shop import development as dev
from strutwright.models.spec import Arm, Barrel, Palm, Strut, WaterSlots

CLOCK_STEP_DEG = 15
GAUGE_BASE_MM = 300.0
GAUGE_BASE_INCH_MM = 12 * MM_PER_INCH
BACKING_OVERHANG_MM = 25.0  # a backing plate is 25 to 50 mm larger all round; common practice, no source
BACKING_OVERHANG_INCH_MM = 1 * MM_PER_INCH
SMALLEST_GAUGE_DEG = 0.05  # below this a gauge is no triangle any more

_TICK = 8.0
_Print = tuple[dev.Footprint, float]
_MEASURED = "the part in hand may differ: use the measured outside diameter and sections"


def template_files(strut: Strut) -> dict[str, CutFile]:
    """Return all templates of the strut by part, as in the name of the file (`naming.finished`).

    Raises DevelopmentError when an arm or the skeg cannot be rolled out.
    """
    made: dict[str, CutFile] = {}

    def add(cut: CutFile | None) -> None:
        if cut is not None:
            made[slug(cut.name)] = cut

    for arm in strut.arms:
        add(arm_on_barrel(strut, arm))
        add(arm_barrel_end(strut, arm))
        add(arm_palm_end(strut, arm))
    if strut.skeg is not None:
        add(skeg_on_barrel(strut))
        add(skeg_root(strut))
    add(set_screw_strip(strut))
    for palm in strut.palms:
        add(palm_jig(strut, palm))
        add(hull_template(strut, palm))
        add(bevel_gauges(strut, palm))
        if strut.backing_plate:
            add(backing_plate(strut, palm))
    return made


# --- ends of arms and skeg -------------------------------------------------------------------------------------------


def arm_barrel_end(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's barrel end rolled out: wrap it round the arm and mark the saddle along its lower edge."""
    side, low, _ = dev.cut_arm(strut, arm)
    return _end_wrap(strut, side, dev.barrel_wrap(side, low), low, arm.barrel_root_mm)


def arm_palm_end(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's palm end rolled out, with the bevel at each tick: mark the trim along its upper edge."""
    side, _, high = dev.cut_arm(strut, arm)
    where = "the weld" if strut.construction == "welded" else "the fillet"
    facts = [
        f"angles at the palm: from its water face to the arm's side, on the outside, where {where} lies; 90 is square"
    ]
    table = dev.bevel_table(strut, arm)
    return _end_wrap(strut, side, dev.palm_wrap(side, high), high, arm.palm_root_mm, facts, table)


def skeg_root(strut: Strut) -> CutFile:
    """Return the skeg's root rolled out: wrap it round the fin and mark the saddle along its lower edge."""
    side = dev.skeg_side(strut)
    low = dev.meet_barrel(strut.barrel, side)
    return _end_wrap(strut, side, dev.barrel_wrap(side, low), low, strut.skeg.root_mm if strut.skeg else 0.0)


def _end_wrap(
    strut: Strut,
    surface: dev.Side,
    shape: dev.Wrap,
    where: dev.Cut,
    root_mm: float,
    facts: Sequence[str] = (),
    bevels: Sequence[dev.Bevel] = (),
) -> CutFile:
    part, arm, cast = surface.name, surface.name != "skeg", strut.construction == "cast"
    to = "barrel" if shape.end == "barrel" else "palm"
    cut = CutFile(f"{part} {to} end wrap", file_unit(strut))
    cut.add_outline("TEMPLATE", shape.outline)
    up = 1.0 if shape.end == "barrel" else -1.0  # from the cut toward the square edge
    last = len(shape.ticks) - 1
    for tick in shape.ticks:
        foot, head = np.array(tick.foot), np.array(tick.head)
        way = (head - foot) / math.dist(foot, head)
        if tick.number == last // 2:
            cut.add_line("CENTRE", xy(foot), xy(head))
        elif 0 < tick.number < last:
            cut.add_line("ENGRAVE", xy(foot), xy(foot + _TICK * way))
            cut.add_line("ENGRAVE", xy(head), xy(head - _TICK * way))
        low = 3.0 if up > 0 else 3.0 + SMALL_MM
        add_centred(cut, str(tick.number), (tick.head[0], tick.head[1] + up * low), SMALL_MM)
    for bevel in bevels:
        x, y = shape.ticks[bevel.number].foot
        cut.add_text(f"{bevel.angle_deg:.1f}°", (x + SMALL_MM / 2, y + 2.0), SMALL_MM, turn=math.pi / 2)
    halves = ((0, last // 2), (last // 2, last))
    other = next((a.name for a in strut.arms if a.name != part), "")
    meets = (where.coped[: surface.leading].any(), where.coped[surface.leading :].any())
    for hand, (first, second), coped in zip(surface.sides, halves, meets, strict=True):
        side = f"{hand.upper()} SIDE"
        corners = [p for k in (first, second) for p in (shape.ticks[k].foot, shape.ticks[k].head)]
        middle = shape.ticks[(first + second) // 2]
        room = min(abs(corners[3][0] - corners[1][0]), abs(corners[2][0] - corners[0][0])) - 14.0
        # The hand stands only in the half of the same name: in the other it would be read as that half's side.
        words = f"of the {part}{f', {hand_text(strut)}' if hand == strut.identity.hand else ''}"
        edge = f"this edge to the {to}, {('below' if up > 0 else 'above') if arm else 'up in the boat'}"
        edge += f", its middle to the {other}" if coped else ""
        rows = [
            (side, TEXT_MM if room > text_width(side, TEXT_MM) else SMALL_MM),
            *((row, SMALL_MM) for text in (words, edge) for row in wrap(text, SMALL_MM, room)),
        ]
        foot, head = np.array(middle.foot), np.array(middle.head)
        way = up * (head - foot) / math.dist(foot, head)
        right = np.array((way[1], -way[0]))
        at = (foot + head) / 2 + 0.85 * sum(height for _, height in rows) * way
        for row, height in rows:
            at = at - 1.7 * height * way
            start = at + 0.35 * height * way - text_width(row, height) / 2 * right
            cut.add_text(row, xy(start), height, turn=math.atan2(right[1], right[0]))
    for k, text, off in (
        (0, "trailing edge: seam", 1.5 + SMALL_MM),
        (last // 2, "LEADING EDGE", -1.5),
        (last, "trailing edge: seam", -1.5),
    ):
        foot, head = np.array(shape.ticks[k].foot), np.array(shape.ticks[k].head)
        if up < 0:
            foot, head = head, foot
        way = (head - foot) / math.dist(foot, head)
        at = (foot + head) / 2 - text_width(text, SMALL_MM) / 2 * way + off * np.array((way[1], -way[0]))
        cut.add_text(text, xy(at), SMALL_MM, turn=math.atan2(way[1], way[0]))
    place = f"edge away from the {to}" if not arm else "upper edge" if up > 0 else "lower edge"
    if cast:
        use = (
            "a check of the finished casting, which has no cut here (the pattern is larger by its contraction): "
            f"wrap round the {part} with the print outside and the seam on the trailing edge. The edge to the {to} "
            f"is where the side would meet the {to} without the fillet of {length_text(cut, root_mm)}: trim the "
            "paper back to where the fillet begins"
        )
    else:
        use = (
            f"wrap round the {part} with the print outside and the seam on the trailing edge; mark along the edge "
            f"to the {to}, keep outside the line, and grind to it"
        )
    notes = [
        use,
        f"the {place} lies on the section {length_text(cut, shape.reference_mm)} from the shaft line along the "
        f"{part}'s axis; ticks are sixteenths of the girth, number 8 the leading edge",
        f"girth {length_text(cut, shape.girth_mm)} on paper {length_text(cut, shape.paper_mm)} thick; measure the "
        "section in hand and stop when it differs",
        *facts,
    ]
    if arm and not cast:
        gap_mm = dev.root_gap_mm(strut)
        notes.append(
            f"root gap {length_text(cut, gap_mm)} is taken off at this end: set the part that far off the {to}"
            if gap_mm > 0.0
            else f"no root gap is taken off: the part stands on the {to}"
        )
    if bool(where.coped.any()):
        notes.append(
            f"THE MIDDLE OF THE INNER SIDE {'RUNS INTO' if cast else 'IS CUT TO'} THE {other.upper()}"
            f"{'' if cast else ', which stands first'}; the rest to the barrel"
        )
    if bool(where.beyond.any()):
        notes.append(
            f"THE {part.upper()} REACHES PAST A FACE OF THE BARREL: there the barrel's end diameter is carried on"
        )
    elif bool(where.faired.any()):
        notes.append("some of the cut lies on a faired end of the barrel and follows its true surface")
    if not arm:
        notes.append("in the boat the barrel is above the skeg: turn the sheet until its edge to the barrel is up")
    finish(cut, strut, f"{part}, {to} end, rolled out", "outside of the part", [*notes, _MEASURED])
    return cut


# --- on the barrel ---------------------------------------------------------------------------------------------------


def arm_on_barrel(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's line on the barrel, rolled out at the outside surface; the seam is opposite the arm."""
    own = next(p for p in _prints(strut) if p[0].name == arm.name)
    return _strip(strut, f"{arm.name} on barrel wrap", [own], own[0].clock_deg - 180.0, screws=False)


def skeg_on_barrel(strut: Strut) -> CutFile:
    """Return the skeg's line on the barrel, rolled out at the outside surface; the seam is at the top."""
    return _strip(strut, "skeg on barrel wrap", _prints(strut)[-1:], 0.0, screws=False)


def set_screw_strip(strut: Strut) -> CutFile:
    """Return the whole barrel rolled out with set screws, bearings, and the lines of arms and skeg."""
    prints = _prints(strut)
    used = [p.clock_deg for p, _ in prints] + [s.clock_deg for s in strut.set_screws] + _slot_clocks(strut.barrel.slots)
    return _strip(strut, "set screw strip", prints, dev.clear_clock_deg(used), screws=True)


def _prints(strut: Strut) -> list[_Print]:
    """The lines of arms and skeg on the barrel, each with how far its fillet or weld reaches out from it."""
    found = [(dev.footprint(strut.barrel, dev.arm_side(strut, arm)), arm.barrel_root_mm) for arm in strut.arms]
    if strut.skeg is not None:
        found.append((dev.footprint(strut.barrel, dev.skeg_side(strut)), strut.skeg.root_mm))
    return found


def _cut_out(cut: CutFile, shape: Outline, root_mm: float, forward_mm: float, y: float) -> None:
    """Draw what is cut out of a strip where a part stands already, and the slit by which it goes round the part."""
    hole = _larger(shape, root_mm)
    cut.add_outline("PHANTOM", hole)
    edge = hole.bounding_box().xmax
    if edge < forward_mm - 1.0:
        cut.add_line("PHANTOM", (edge, y), (forward_mm, y))


def _slot_clocks(slots: WaterSlots | None) -> list[float]:
    """Clock angles of the water slots' middles, from -180 to 180 degrees."""
    if slots is None:
        return []
    return [(slots.first_clock_deg + 360.0 * k / slots.count + 180.0) % 360.0 - 180.0 for k in range(slots.count)]


def _slot_line(barrel: Barrel, slots: WaterSlots, per_deg: float) -> list[Point]:
    """Return a slot's line on the barrel's outside rolled out, about its own clock angle: it is cut as a prism."""
    half, straight = slots.width_mm / 2, max(slots.length_mm - slots.width_mm, 0.0) / 2
    line = []
    for way in (1.0, -1.0):
        for angle in np.radians(np.linspace(-90.0, 90.0, 61)):
            x = slots.centre_station_mm + way * (straight + half * math.cos(angle))
            across = way * half * math.sin(angle)
            line.append((x, per_deg * math.degrees(math.asin(across / (barrel.outside_mm / 2)))))
    return line


def _within(line: Sequence[Point], low: float, high: float) -> list[Point]:
    """Return what of a closed line that bulges outward everywhere lies between two heights."""
    for sign, edge in ((1.0, low), (-1.0, high)):
        kept: list[Point] = []
        for (x0, y0), (x1, y1) in zip(line, [*line[1:], *line[:1]], strict=True):
            a, b = sign * (y0 - edge), sign * (y1 - edge)
            if a >= 0.0:
                kept.append((x0, y0))
            if a * b < 0.0:
                kept.append((x0 + a / (a - b) * (x1 - x0), edge))
        line = kept
    return list(line)


def _strip(strut: Strut, title: str, prints: Sequence[_Print], seam_deg: float, *, screws: bool) -> CutFile:
    barrel, paper = strut.barrel, dev.PAPER_MM
    cut = CutFile(title, file_unit(strut))
    per_deg = float(dev.round_mm(barrel, 1.0, paper))
    low, girth, length = per_deg * seam_deg, per_deg * 360.0, barrel.length_mm
    cut.add_polyline("TEMPLATE", [(0.0, low), (length, low), (length, low + girth), (0.0, low + girth)])

    def place(clock_deg: float) -> float:
        return low + per_deg * ((clock_deg - seam_deg) % 360.0)

    first = math.ceil(seam_deg / CLOCK_STEP_DEG - 1e-9) * CLOCK_STEP_DEG
    for clock in range(first, first + 360, CLOCK_STEP_DEG):
        y = per_deg * clock
        if y - low > 0.5:
            cut.add_line("ENGRAVE", (0.0, y), (length, y))
        shown = (clock + 180) % 360 - 180
        shown = 180 if shown == -180 else shown
        name = {0: " hull", 90: " port", -90: " starboard", 180: " below"}.get(shown, "")
        cut.add_text(f"{shown}°{name}", (length + 3.0, y - 1.25), SMALL_MM)
    uprights = [(0.0, "AFT FACE"), (length, "FORWARD FACE")]
    for end, at in (
        (barrel.aft_end, barrel.aft_end.length_mm),
        (barrel.forward_end, length - barrel.forward_end.length_mm),
    ):
        if end.shape != "straight" and end.length_mm > 0:
            cut.add_line("FOLD", (at, low), (at, low + girth))
            uprights.append((at, f"{end.shape} end, {length_text(cut, at)}"))
    marks: list[tuple[str, Point, float]] = []
    if screws:
        for k, bearing in enumerate(strut.bearings):
            name = "bearing" if len(strut.bearings) == 1 else f"bearing {k + 1}"
            for station, which in ((bearing.aft_station_mm, "aft"), (bearing.forward_station_mm, "forward")):
                if 1e-6 < station < length - 1e-6:
                    cut.add_line("PHANTOM", (station, low), (station, low + girth))
                uprights.append((station, f"{name} {which} end, {length_text(cut, station)}"))
        for screw in strut.set_screws:
            centre = (screw.station_mm, place(screw.clock_deg))
            cut.add_circle("DRILL", centre, screw.tap_drill_mm)
            cut.add_centre_mark(centre, 4.0 * screw.tap_drill_mm)
            marks.append((f"screw {screw.number}", centre, 0.5 * screw.tap_drill_mm))
    slots = barrel.slots
    line = [] if slots is None else _slot_line(barrel, slots, per_deg)
    for k, at_deg in enumerate(_slot_clocks(slots)):
        for y in (place(at_deg) - girth, place(at_deg), place(at_deg) + girth):  # one across the seam shows twice
            seen = _within([(sx, y + sy) for sx, sy in line], low, low + girth)
            if len(seen) > 2:
                cut.add_polyline("DRILL", seen)
                rows = np.array(seen)
                middle = (float(rows[:, 0].max() + rows[:, 0].min()) / 2, float(rows[:, 1].max()))
                marks.append((f"water slot {k + 1}", middle, 0.0))
    _upright_labels(cut, uprights, low + girth + 2.0)
    named: list[tuple[str, Outline]] = []
    edges: list[tuple[str, Point, float]] = []
    for shape, root in prints:
        turns = math.floor((per_deg * shape.clock_deg - low) / girth) * girth
        moved = shape.outline.translate(0.0, -turns)
        cut.add_outline("TEMPLATE", moved)
        box = moved.bounding_box()
        y = per_deg * shape.clock_deg - turns
        cut.add_line("CENTRE", (box.xmin - 8.0, y), (box.xmax + 8.0, y))
        _cut_out(cut, moved, root, length, y)
        named.append((f"{shape.name}, clock {angle_text(shape.clock_deg)}°", moved))
        edges += [("LE", (box.xmax, y), 45.0), ("TE", (box.xmin, y), 135.0)]
    for y in (low, low + girth):
        cut.add_text("seam", (-3.0 - text_width("seam", SMALL_MM), y - 1.25), SMALL_MM)
    add_arrow(cut, (length / 2 - 20.0, low - 8.0), "FWD")
    letters = Lettering(cut)
    for text, centre, radius in marks:
        letters.beside(text, centre, SMALL_MM, off_mm=radius + 1.0, way_deg=20.0 if radius else 90.0)
    for text, outline in named:
        if not letters.inside(outline, [text]):
            letters.beside(text, xy(outline.centroid()))
    for text, edge, way in edges:
        letters.beside(text, edge, SMALL_MM, off_mm=1.5, way_deg=way)
    facts = [
        "wrap round the barrel with the print outside, its left edge on the aft face; port side up. Stations run from "
        "the aft face; clock angles from the hull (0), positive toward port, for both hands",
        f"girth {length_text(cut, girth)} for an outside diameter of {length_text(cut, barrel.outside_mm)} and paper "
        f"{length_text(cut, paper)} thick. Use the measured outside diameter: when the ends do not meet, the barrel in "
        "hand is of another size and the strip must be drawn again",
    ]
    if any(p.beyond for p, _ in prints):
        facts.append("A LINE REACHES PAST A FACE OF THE BARREL: there the end diameter is carried on")
    if any(p.faired for p, _ in prints):
        facts.append(
            "some of a line lies on a faired end, where the paper stands off: its stations and clock angles "
            "hold on the true surface"
        )
    names = " and the ".join(p.name for p, _ in prints)
    cast = strut.construction == "cast"
    root_word = "fillet" if cast else "weld"
    facts.append(
        f"the strip goes all round. On a barrel with the {names} on it, cut out what lies inside the "
        f"broken line ({'its' if len(prints) == 1 else 'their'} {root_word} included) and slit the paper from "
        "there to the forward edge" + ("" if cast else "; on a bare barrel leave it whole and mark the full line")
    )
    for arm in strut.arms[1:]:
        if dev.cut_arm(strut, arm).low.coped.any():
            facts.append(
                "the arms meet outside the barrel. Each is drawn whole"
                + ("" if cast else f"; the {arm.name} is cut to the {strut.arms[0].name}, which stands first")
            )
    if slots is not None:
        clocks = ", ".join(f"{k + 1} at {angle_text(c)}°" for k, c in enumerate(_slot_clocks(slots)))
        facts.append(
            f"water slots, through the wall with round ends: {length_text(cut, slots.width_mm)} wide, "
            f"{length_text(cut, max(slots.length_mm, slots.width_mm))} long, their middles at station "
            f"{length_text(cut, slots.centre_station_mm)}; by clock angle {clocks}"
        )
    if screws:
        facts += [
            f"screw {s.number}: {s.thread}, tap drill {length_text(cut, s.tap_drill_mm)}, station "
            f"{length_text(cut, s.station_mm)}, clock {angle_text(s.clock_deg)}°"
            for s in strut.set_screws
        ]
    finish(cut, strut, title, "outside of the barrel", [*facts, _MEASURED])
    return cut


def _upright_labels(cut: CutFile, marks: Sequence[tuple[float, str]], y: float) -> None:
    """Write upright labels over upright lines, pushed apart where lines are close."""
    grouped: dict[float, list[str]] = {}
    for x, text in sorted(marks):
        grouped.setdefault(round(x, 3), []).append(text)
    last = -math.inf
    for x, texts in grouped.items():
        place = max(x, last + 1.7 * SMALL_MM)
        if place > x + 0.1:
            cut.add_line("TEXT", (x, y - 1.0), (place, y + 2.0))
        cut.add_text("; ".join(texts), (place + SMALL_MM / 2, y + 3.0), SMALL_MM, turn=math.pi / 2)
        last = place


# --- palm ------------------------------------------------------------------------------------------------------------


def palm_jig(strut: Strut, palm: Palm) -> CutFile:
    """Return the palm's drill jig, seen on the side away from the hull, with the line of each arm on the palm."""
    cut = CutFile(f"{palm.name} drill jig", file_unit(strut))
    arms = [arm for arm in strut.arms if strut.palms[arm.palm_index] is palm]
    for arm in arms:
        cut.add_outline("PHANTOM", dev.palm_footprint(palm, dev.arm_side(strut, arm)).mirror("x"))
    _palm_sheet(strut, palm, cut, -1.0, palm.outline.mirror("x"), "THIS SIDE AWAY FROM THE HULL")
    finish(
        cut,
        strut,
        f"{palm.name}, drill jig",
        "water face",
        [
            *_palm_facts(cut, strut, palm),
            "lay it on the palm's water face, or against the hull with this side to "
            f"you; dashed: the {'arms' if len(arms) > 1 else 'arm'} on the water face",
            "the outline of the palm in hand may differ: set the jig by the two lines through zero, not by the edges",
        ],
    )
    return cut


def hull_template(strut: Strut, palm: Palm) -> CutFile:
    """Return the template of the palm on the hull: the printed side lies against the hull."""
    cut = CutFile(f"{palm.name} hull template", file_unit(strut))
    _palm_sheet(strut, palm, cut, 1.0, palm.outline, "THIS SIDE TO THE HULL")
    off = dev.off_trace(palm)
    lay = (
        "strike the shaft's trace on the hull, where the vertical plane through the shaft meets it (plumb line and "
        "string)"
    )
    lay += (
        f", and parallel to it, on its {off.side} side, the line through zero; lay the sheet on that line, the "
        "printed side against the hull and FWD forward"
        if off.is_off
        else "; lay the line marked shaft trace on it, the printed side against the hull and FWD forward"
    )
    finish(
        cut,
        strut,
        f"{palm.name}, hull template",
        "hull face",
        [
            *_palm_facts(cut, strut, palm),
            f"{lay}; prick the holes through",
            "mark from the finished palm where the hull is not yet drilled; drill square to the palm",
            "the palm in hand may differ: hold this sheet to its hull face, and compare outline and holes before the "
            "hull is marked",
        ],
    )
    return cut


def backing_plate(strut: Strut, palm: Palm) -> CutFile:
    """Return the backing plate inside the hull, larger than the palm by `backing_overhang_mm`, seen from inside."""
    cut = CutFile(f"{palm.name} backing plate", file_unit(strut))
    cut.add_outline("PHANTOM", palm.outline)
    over = backing_overhang_mm(strut)
    _palm_sheet(strut, palm, cut, 1.0, backing_outline(strut, palm), "THIS SIDE TO THE INSIDE OF THE BOAT")
    finish(
        cut,
        strut,
        f"{palm.name}, backing plate",
        "seen from inside the hull, port up",
        [
            f"thickness of the plate {length_text(cut, backing_thickness_mm(palm))}: as thick as the bolts are wide "
            f"({palm.bolt.size}; common practice, no source)",
            *_palm_facts(cut, strut, palm),
            f"{cut.length_label(over)} larger than the palm (dashed) all round (common practice, no source); shape it "
            "to the frames and to the hull's inside",
            "holes stand as on the palm's hull face: take them through from there when the hull is thick or the bolts "
            "are not square to its inside",
            "the inside of the boat may differ: try this sheet in its place before the plate is cut",
        ],
    )
    return cut


def _palm_facts(cut: CutFile, strut: Strut, palm: Palm) -> list[str]:
    bolt, off = palm.bolt, dev.off_trace(palm)
    zero = zero_text(strut, palm)
    return [
        f"{len(palm.holes)} holes {length_text(cut, bolt.hole_mm)} dia for {bolt.size}, square to the palm; "
        f"crosses mark their centres. {zero[0].upper()}{zero[1:]}",
        *([off_trace_text(cut, off)] if off.is_off else []),
    ]


def _palm_sheet(strut: Strut, palm: Palm, cut: CutFile, seen: float, outer: Outline, side: str) -> None:
    """Draw an outline, holes and the two lines through zero, and the shaft's trace where it lies on the outline; seen =
    1 on the hull face (port up), -1 on the water face.
    """
    cut.add_outline("CUT_OUTER", outer)
    hole_mm = palm.bolt.hole_mm
    places = [(hole.u_mm, seen * hole.v_mm) for hole in palm.holes]
    for at in places:
        cut.add_circle("DRILL", at, hole_mm)
        cut.add_centre_mark(at, 1.6 * hole_mm)
    box, off = outer.bounding_box(), dev.off_trace(palm)
    along = np.array((off.along[0], seen * off.along[1]))
    ends = (box.xmin - 8.0) * along, (box.xmax + 8.0) * along
    cut.add_line("CENTRE", xy(ends[0]), xy(ends[1]))
    named = [("parallel to the shaft's trace" if off.is_off else "shaft trace", ends[1])]
    foot = np.array((off.foot[0], seen * off.foot[1]))
    crossed = _crossings(outer, foot, along) if off.is_off else []
    if len(crossed) > 1:
        ends = foot + (min(crossed) - 8.0) * along, foot + (max(crossed) + 8.0) * along
        cut.add_line("CENTRE", xy(ends[0]), xy(ends[1]))
        named.append(("shaft trace", ends[1]))
    low, high = box.ymin - 8.0, box.ymax + 8.0
    cut.add_line("CENTRE", (0.0, low), (0.0, high))
    letters = Lettering(cut)
    letters.number_holes([hole.number for hole in palm.holes], places, hole_mm / 2)
    letters.headed(outer, side, [f"{palm.name}: {hand_text(strut)}"], "FWD")
    for text, end in named:
        # Upright, so that a sheet of paper need not be wider for it.
        if not letters.put(
            text, [(end[0] + 1.0 + TEXT_MM + more, end[1]) for more in (0.0, 1.0, 2.0)], turn=math.pi / 2
        ):
            letters.beside(text, xy(end), way_deg=math.degrees(math.atan2(along[1], along[0])))
    port, starboard = (high, low) if seen > 0 else (low, high)
    letters.beside(strut.identity.side("port").upper(), (0.0, port), way_deg=seen * 90.0)
    letters.beside(strut.identity.side("starboard").upper(), (0.0, starboard), way_deg=-seen * 90.0)
    letters.put_arrow("FWD", [(box.xmax - 20.0, high + 3.0)])


def _crossings(outline: Outline, at: Floats, along: Floats) -> list[float]:
    """Return how far along a straight line from a point it crosses an outline (mm)."""
    points = outline.polyline(0.05)[:, :2] - at
    points = np.vstack((points, points[:1]))
    aside, ahead = points @ np.array((-along[1], along[0])), points @ along
    found = []
    for k in np.flatnonzero(aside[:-1] * aside[1:] < 0.0).tolist():
        share = aside[k] / (aside[k] - aside[k + 1])
        found.append(float(ahead[k] + share * (ahead[k + 1] - ahead[k])))
    return found


def backing_overhang_mm(strut: Strut) -> float:
    """Return how far the backing plate reaches beyond the palm: a round figure in the strut's unit."""
    return BACKING_OVERHANG_MM if file_unit(strut) == "mm" else BACKING_OVERHANG_INCH_MM


def backing_thickness_mm(palm: Palm) -> float:
    """Return the thickness of a palm's backing plate: the bolts' diameter; common practice, no source."""
    return palm.bolt.major_mm


def backing_outline(strut: Strut, palm: Palm) -> Outline:
    """Return the outline of the backing plate of a palm in the palm axes."""
    return _larger(palm.outline, backing_overhang_mm(strut))


def _larger(outline: Outline, by_mm: float) -> Outline:
    """An outline that much larger all round; where it has no parallel curve, the box round it serves."""
    if by_mm <= 0.0:
        return outline
    try:
        return outline.inset(-by_mm)
    except OutlineError:
        box, b = outline.bounding_box(), by_mm
        return polygon(
            [
                (box.xmin - b, box.ymin - b),
                (box.xmax + b, box.ymin - b),
                (box.xmax + b, box.ymax + b),
                (box.xmin - b, box.ymax + b),
            ],
            b,
        )


def bevel_gauges(strut: Strut, palm: Palm) -> CutFile | None:
    """Return triangles of the palm's pitch and tilt on a base of 300 mm or 12 in; None when both angles are nothing.

    Each holds in its own plane wherever it stands: the pitch in every upright plane along the shaft, the tilt in every
    plane square to it. So neither waits for the other.
    """
    cut = CutFile(f"{palm.name} bevel gauges", file_unit(strut))
    base = GAUGE_BASE_MM if cut.unit == "mm" else GAUGE_BASE_INCH_MM
    pitch, tilt = palm.plane.pitch_deg, palm.plane.tilt_deg
    long = cut.length_label(base)
    gauges = (
        (
            pitch,
            "PITCH",
            "shaft to hull face, seen from the side",
            f"PITCH gauge: hold it upright, its edge of {long} along the shaft; the sloping edge then lies as the hull "
            f"face does, which is farther from the shaft {'aft' if pitch > 0 else 'forward'}",
            "fore and aft the hull face is parallel to the shaft",
        ),
        (
            tilt,
            "TILT",
            "hull face from side to side, seen along the shaft",
            f"TILT gauge: hold it square across the shaft, its edge of {long} level from side to "
            f"side; the sloping edge "
            f"then lies as the hull face does, which is higher to {'port' if tilt > 0 else 'starboard'}",
            "from side to side the hull face is level",
        ),
    )
    y, facts = 0.0, []
    drawn = [abs(angle) >= SMALLEST_GAUGE_DEG for angle, *_ in gauges]
    for (angle, name, what, fact, none), wanted in zip(gauges, drawn, strict=True):
        if not wanted:
            facts.append(none)
            continue
        rise = base * math.tan(math.radians(abs(angle)))
        cut.add_polyline("CUT_OUTER", [(0.0, y), (base, y), (base, y + rise)])
        words = f"{name}: {what}: {abs(angle):.2f}°, rise {length_text(cut, rise)} on {length_text(cut, base)}"
        cut.add_text(words, (0.0, y - 6.0), TEXT_MM)
        Lettering(cut).inside(
            polygon([(0.0, y), (base, y), (base, y + rise)]), [f"{palm.name}: {name} {abs(angle):.2f}°"]
        )
        facts.append(fact)
        y += rise + 22.0
    if not any(drawn):
        return None
    if all(drawn):
        facts.append("each gauge holds by itself; either may be set first")
        facts.append("the hull in hand may differ: try both gauges on it before the palm is made to them")
    else:
        facts.append("the hull in hand may differ: try the gauge on it before the palm is made to it")
    finish(cut, strut, f"{palm.name}, bevel gauges" if all(drawn) else f"{palm.name}, bevel gauge", "either", facts)
    return cut
