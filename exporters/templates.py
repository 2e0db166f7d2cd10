"""True-scale templates as DXF: rolled-out ends of arms and skeg, the barrel's strip, palm jig, gauges, backing plate.

Each function returns one `CutFile` in the file's unit; `template_files` returns all of a strut. They are the finished
part's sizes: no kerf, no contraction, no machining stock. What is wrapped is drawn as seen from outside, at half the
thickness of the paper. Every file says what it is, of which hand, on which face, and carries check lines both ways.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from strutwright.exporters.cutfile import CutFile
from strutwright.exporters.drawing.dxfdoc import MM_PER_INCH, Unit
from strutwright.exporters.drawing.text import text_width, wrap
from strutwright.exporters.outdir import slug
from strutwright.models import development as dev
from strutwright.models.outline import Floats, Outline, OutlineError, polygon
from strutwright.models.spec import Arm, Palm, Strut

CLOCK_STEP_DEG = 15
GAUGE_BASE_MM = 300.0
GAUGE_BASE_INCH_MM = 12 * MM_PER_INCH
BACKING_OVERHANG_MM = 25.0   # a backing plate is 25 to 50 mm larger all round; common practice, no source
SMALLEST_GAUGE_DEG = 0.05    # below this a gauge is no triangle any more

_LEAST, _SMALL, _TEXT, _LARGE = 1.8, 2.5, 3.5, 5.0
_LEAST_TEXT_WIDTH = 170.0
_TICK = 8.0

Point = tuple[float, float]


def template_files(strut: Strut) -> dict[str, CutFile]:
    """Return all templates of the strut by file name (without ending); part and hand are in the name.

    Raises DevelopmentError when an arm or the skeg cannot be rolled out.
    """
    hand = strut.identity.hand
    made: dict[str, CutFile] = {}

    def add(cut: CutFile | None) -> None:
        if cut is not None:
            made[f"{slug(cut.name)}-{hand}"] = cut

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
    side = dev.arm_side(strut, arm)
    return _end_wrap(strut, side, dev.barrel_wrap(strut.barrel, side), dev.meet_barrel(strut.barrel, side))


def arm_palm_end(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's palm end rolled out, with the bevel at each tick: mark the trim along its upper edge."""
    palm = strut.palms[arm.palm_index]
    side = dev.arm_side(strut, arm)
    facts = [
        "angles at the cut: from the palm's water face to the arm's side, through the water where the weld lies; "
        "90 is square"
    ]
    table = dev.bevel_table(strut, arm)
    return _end_wrap(strut, side, dev.palm_wrap(palm, side), dev.meet_palm(palm, side), facts, table)


def skeg_root(strut: Strut) -> CutFile:
    """Return the skeg's root rolled out: wrap it round the fin and mark the saddle along its lower edge."""
    side = dev.skeg_side(strut)
    return _end_wrap(strut, side, dev.barrel_wrap(strut.barrel, side), dev.meet_barrel(strut.barrel, side))


def _end_wrap(
    strut: Strut,
    surface: dev.Side,
    shape: dev.Wrap,
    where: dev.Cut,
    facts: Sequence[str] = (),
    bevels: Sequence[dev.Bevel] = (),
) -> CutFile:
    part = surface.name
    to = "barrel" if shape.end == "barrel" else "palm"
    cut = CutFile(f"{part} {to} end wrap", _unit(strut))
    cut.add_outline("TEMPLATE", shape.outline)
    up = 1.0 if shape.end == "barrel" else -1.0   # from the cut toward the square edge
    last = len(shape.ticks) - 1
    for tick in shape.ticks:
        foot, head = np.array(tick.foot), np.array(tick.head)
        way = (head - foot) / math.dist(foot, head)
        if tick.number == last // 2:
            cut.add_line("CENTRE", _xy(foot), _xy(head))
        elif 0 < tick.number < last:
            cut.add_line("ENGRAVE", _xy(foot), _xy(foot + _TICK * way))
            cut.add_line("ENGRAVE", _xy(head), _xy(head - _TICK * way))
        low = 3.0 if up > 0 else 3.0 + _SMALL
        _centred(cut, str(tick.number), (tick.head[0], tick.head[1] + up * low), _SMALL)
    for bevel in bevels:
        x, y = shape.ticks[bevel.number].foot
        cut.add_text(f"{bevel.angle_deg:.1f}°", (x + _SMALL / 2, y + 2.0), _SMALL, 90.0)
    halves = ((0, last // 2), (last // 2, last))
    for side, (first, second) in zip((f"{s.upper()} SIDE" for s in surface.sides), halves, strict=True):
        corners = [p for k in (first, second) for p in (shape.ticks[k].foot, shape.ticks[k].head)]
        middle = shape.ticks[(first + second) // 2]
        room = min(abs(corners[3][0] - corners[1][0]), abs(corners[2][0] - corners[0][0])) - 14.0
        words = f"this edge to the {to} {'below' if up > 0 else 'above'}"
        height = _TEXT if room > text_width(side, _TEXT) else _SMALL
        rows = [side, *wrap(words, height, room)]
        foot, head = np.array(middle.foot), np.array(middle.head)
        way = up * (head - foot) / math.dist(foot, head)
        right = np.array((way[1], -way[0]))
        at = (foot + head) / 2 + (0.85 * len(rows) - 1.35) * height * way
        for row in rows:
            start = at - text_width(row, height) / 2 * right
            cut.add_text(row, _xy(start), height, math.degrees(math.atan2(right[1], right[0])))
            at = at - 1.7 * height * way
    for k, text, off in ((0, "trailing edge: seam", 1.5 + _SMALL), (last // 2, "LEADING EDGE", -1.5),
                         (last, "trailing edge: seam", -1.5)):
        foot, head = np.array(shape.ticks[k].foot), np.array(shape.ticks[k].head)
        if up < 0:
            foot, head = head, foot
        way = (head - foot) / math.dist(foot, head)
        at = (foot + head) / 2 - text_width(text, _SMALL) / 2 * way + off * np.array((way[1], -way[0]))
        cut.add_text(text, _xy(at), _SMALL, math.degrees(math.atan2(way[1], way[0])))
    place = "upper" if up > 0 else "lower"
    notes = [
        f"wrap round the {part} with the print outside and the seam on the trailing edge; mark along the edge to the "
        f"{to}, keep outside the line, and grind to it",
        f"the {place} edge lies on the section {_length(cut, shape.reference_mm)} from the shaft line along the "
        f"{part}'s axis; ticks are sixteenths of the girth, number 8 the leading edge",
        f"girth {_length(cut, shape.girth_mm)} on paper {_length(cut, shape.paper_mm)} thick; measure the section in "
        f"hand and stop when it differs",
        *facts,
    ]
    if bool(where.beyond.any()):
        notes.append(f"THE {part.upper()} REACHES PAST A FACE OF THE BARREL: there the barrel's end diameter is "
                     "carried on")
    elif bool(where.faired.any()):
        notes.append("some of the cut lies on a faired end of the barrel and follows its true surface")
    _finish(cut, strut, f"{part}, {to} end, rolled out", "outside of the part", notes)
    return cut


# --- on the barrel ---------------------------------------------------------------------------------------------------


def arm_on_barrel(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's line on the barrel, rolled out at the outside surface; the seam is opposite the arm."""
    print_ = dev.footprint(strut.barrel, dev.arm_side(strut, arm))
    return _strip(strut, f"{arm.name} on barrel wrap", [print_], print_.clock_deg - 180.0, screws=False)


def skeg_on_barrel(strut: Strut) -> CutFile:
    """Return the skeg's line on the barrel, rolled out at the outside surface; the seam is at the top."""
    print_ = dev.footprint(strut.barrel, dev.skeg_side(strut))
    return _strip(strut, "skeg on barrel wrap", [print_], 0.0, screws=False)


def set_screw_strip(strut: Strut) -> CutFile:
    """Return the whole barrel rolled out with set screws, bearings, and the lines of arms and skeg."""
    prints = [dev.footprint(strut.barrel, dev.arm_side(strut, arm)) for arm in strut.arms]
    if strut.skeg is not None:
        prints.append(dev.footprint(strut.barrel, dev.skeg_side(strut)))
    used = [p.clock_deg for p in prints] + [s.clock_deg for s in strut.set_screws]
    return _strip(strut, "set screw strip", prints, dev.clear_clock_deg(used), screws=True)


def _strip(strut: Strut, title: str, prints: Sequence[dev.Footprint], seam_deg: float, *, screws: bool) -> CutFile:
    barrel, paper = strut.barrel, dev.PAPER_MM
    cut = CutFile(title, _unit(strut))
    per_deg = float(dev.round_mm(barrel, 1.0, paper))
    low, girth, length = per_deg * seam_deg, per_deg * 360.0, barrel.length_mm
    step = per_deg * CLOCK_STEP_DEG
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
        cut.add_text(f"{shown}°{name}", (length + 3.0, y - 1.25), _SMALL)
    uprights = [(0.0, "AFT FACE"), (length, "FORWARD FACE")]
    for end, at in ((barrel.aft_end, barrel.aft_end.length_mm), (barrel.forward_end,
                                                                 length - barrel.forward_end.length_mm)):
        if end.shape != "straight" and end.length_mm > 0:
            cut.add_line("FOLD", (at, low), (at, low + girth))
            uprights.append((at, f"{end.shape} end, {_length(cut, at)}"))
    if screws:
        for k, bearing in enumerate(strut.bearings):
            name = "bearing" if len(strut.bearings) == 1 else f"bearing {k + 1}"
            for at, which in ((bearing.aft_station_mm, "aft"), (bearing.forward_station_mm, "forward")):
                if 1e-6 < at < length - 1e-6:
                    cut.add_line("PHANTOM", (at, low), (at, low + girth))
                uprights.append((at, f"{name} {which} end, {_length(cut, at)}"))
        for screw in strut.set_screws:
            centre = (screw.station_mm, place(screw.clock_deg))
            cut.add_circle("DRILL", centre, screw.tap_drill_mm)
            cut.add_centre_mark(centre, 4.0 * screw.tap_drill_mm)
            label = f"screw {screw.number}"
            wide, off = text_width(label, _SMALL), 0.8 * screw.tap_drill_mm
            x = centre[0] + off if centre[0] + off + wide < length - 1.0 else centre[0] - off - wide
            cut.add_text(label, (x, sum(_gap(centre[1], step, step)) / 2 - _SMALL / 2), _SMALL)
    _upright_labels(cut, uprights, low + girth + 2.0)
    for shape in prints:
        turns = math.floor((per_deg * shape.clock_deg - low) / girth) * girth
        moved = shape.outline.translate(0.0, -turns)
        cut.add_outline("TEMPLATE", moved)
        box = moved.bounding_box()
        y = per_deg * shape.clock_deg - turns
        cut.add_line("CENTRE", (box.xmin - 8.0, y), (box.xmax + 8.0, y))
        low_gap, high_gap = _gap(y, step, (box.ymax - box.ymin) / 2)
        height = min(_TEXT, max(0.6 * (high_gap - low_gap), _LEAST))
        base = (low_gap + high_gap - height) / 2
        stops = [box.xmin, *sorted(x for x, _ in uprights if box.xmin < x < box.xmax), box.xmax]
        left, right = max(pairwise(stops), key=lambda pair: pair[1] - pair[0])
        label = f"{shape.name}, clock {round(shape.clock_deg, 2):g}°"
        room = text_width(label, height) / 2 + 1.0
        x = max(min(moved.centroid()[0], right - room), left + room)   # where the section is wide
        _centred(cut, label, (x, base), height)
        small = min(_SMALL, height)
        wide = text_width("LE", _SMALL)
        lead, trail = box.xmax + 2.0, box.xmin - 2.0 - wide
        for x, _ in sorted(uprights):   # past a line that would run through the letters
            lead = x + 1.0 if lead - 1.0 < x < lead + wide + 1.0 else lead
        for x, _ in sorted(uprights, reverse=True):
            trail = x - 1.0 - wide if trail - 1.0 < x < trail + wide + 1.0 else trail
        cut.add_text("LE", (lead, base), small)
        cut.add_text("TE", (trail, base), small)
    for y in (low, low + girth):
        cut.add_text("seam", (-3.0 - text_width("seam", _SMALL), y - 1.25), _SMALL)
    _arrow(cut, (length / 2 - 20.0, low - 8.0), "FWD")
    facts = [
        "wrap round the barrel with the print outside, its left edge on the aft face; port side up. Stations run from "
        "the aft face; clock angles from the hull (0), positive toward port, for both hands",
        f"girth {_length(cut, girth)} for an outside diameter of {_length(cut, barrel.outside_mm)} and paper "
        f"{_length(cut, paper)} thick. Use the measured outside diameter: when the ends do not meet, the barrel in "
        "hand is of another size and the strip must be drawn again",
    ]
    if any(p.beyond for p in prints):
        facts.append("A LINE REACHES PAST A FACE OF THE BARREL: there the end diameter is carried on")
    if any(p.faired for p in prints):
        facts.append("some of a line lies on a faired end, where the paper stands off: its stations and clock angles "
                     "hold on the true surface")
    if len(strut.arms) > 1:
        facts.append("each arm is drawn whole; where two arms meet, the second is fitted to the first")
    if screws:
        facts += [
            f"screw {s.number}: {s.thread}, tap drill {_length(cut, s.tap_drill_mm)}, station "
            f"{_length(cut, s.station_mm)}, clock {round(s.clock_deg, 2):g}°"
            for s in strut.set_screws
        ]
    _finish(cut, strut, title, "outside of the barrel", facts)
    return cut


def _gap(y: float, step: float, reach: float) -> Point:
    """Return bottom and top of the larger clear band beside a line at y, between it and the next multiple of step, at
    most reach away.
    """
    above = min((math.floor(y / step + 1e-6) + 1) * step, y + reach)
    below = max((math.ceil(y / step - 1e-6) - 1) * step, y - reach)
    return (y, above) if above - y >= y - below - 1e-6 else (below, y)


def _upright_labels(cut: CutFile, marks: Sequence[tuple[float, str]], y: float) -> None:
    """Write upright labels over upright lines, pushed apart where lines are close."""
    grouped: dict[float, list[str]] = {}
    for x, text in sorted(marks):
        grouped.setdefault(round(x, 3), []).append(text)
    last = -math.inf
    for x, texts in grouped.items():
        place = max(x, last + 1.7 * _SMALL)
        if place > x + 0.1:
            cut.add_line("TEXT", (x, y - 1.0), (place, y + 2.0))
        cut.add_text("; ".join(texts), (place + _SMALL / 2, y + 3.0), _SMALL, 90.0)
        last = place


# --- palm ------------------------------------------------------------------------------------------------------------


def palm_jig(strut: Strut, palm: Palm) -> CutFile:
    """Return the palm's drill jig, seen on the side away from the hull, with the line of each arm on the palm."""
    cut = _palm_sheet(strut, palm, -1.0, f"{palm.name} drill jig")
    for arm in strut.arms:
        if strut.palms[arm.palm_index] is palm:
            line = dev.palm_footprint(palm, dev.arm_side(strut, arm))
            cut.add_outline("PHANTOM", line.mirror("x"))
    cut.add_text("THIS SIDE AWAY FROM THE HULL", _xy(_heading(palm)), _TEXT)
    _finish(cut, strut, f"{palm.name}, drill jig", "water face",
            [*_palm_facts(cut, palm), "lay it on the palm's water face, or against the hull with this side to you; "
             "dashed: the arm on the water face"])
    return cut


def hull_template(strut: Strut, palm: Palm) -> CutFile:
    """Return the template of the palm on the hull: the printed side lies against the hull."""
    cut = _palm_sheet(strut, palm, 1.0, f"{palm.name} hull template")
    cut.add_text("THIS SIDE TO THE HULL", _xy(_heading(palm)), _TEXT)
    _finish(cut, strut, f"{palm.name}, hull template", "hull face",
            [*_palm_facts(cut, palm), "prick the holes through with the printed side against the hull, the centre line "
             "in the vertical plane through the shaft and FWD forward",
             "mark from the finished palm where the hull is not yet drilled; drill square to the palm"])
    return cut


def _heading(palm: Palm) -> Floats:
    box = palm.outline.bounding_box()
    reach = max(abs(box.ymin), abs(box.ymax))
    return np.array((box.xmin, reach + 14.0))


def _palm_facts(cut: CutFile, palm: Palm) -> list[str]:
    bolt = palm.bolt
    return [f"{len(palm.holes)} holes {_length(cut, bolt.hole_mm)} dia for {bolt.size}, square to the palm; crosses "
            "mark their centres. Zero is where the arm's axis meets the hull face"]


def _palm_sheet(strut: Strut, palm: Palm, seen: float, name: str) -> CutFile:
    """The palm's outline, holes and centre lines; seen = 1 on the hull face (port up), -1 on the water face."""
    cut = CutFile(name, _unit(strut))
    cut.add_outline("CUT_OUTER", palm.outline if seen > 0 else palm.outline.mirror("x"))
    hole_mm = palm.bolt.hole_mm
    for hole in palm.holes:
        at = (hole.u_mm, seen * hole.v_mm)
        cut.add_circle("DRILL", at, hole_mm)
        cut.add_centre_mark(at, 1.6 * hole_mm)
        cut.add_text(str(hole.number), (at[0] + 0.55 * hole_mm + 1.0, at[1] + 2.0), _TEXT)
    box = palm.outline.bounding_box()
    reach = max(-box.xmin, box.xmax) + 8.0
    turn = math.radians(-seen * palm.axes_deg)
    along = np.array((math.cos(turn), math.sin(turn)))
    cut.add_line("CENTRE", _xy(-reach * along), _xy(reach * along))
    cut.add_text("centre line", _xy(reach * along + (2.0, -1.2)), _SMALL)
    half = max(abs(box.ymin), abs(box.ymax)) + 8.0
    cut.add_line("CENTRE", (0.0, -half), (0.0, half))
    port = half - 6.0 + 8.0
    _centred(cut, "PORT", (0.0, port if seen > 0 else -port - _TEXT), _TEXT)
    _centred(cut, "STARBOARD", (0.0, -port - _TEXT if seen > 0 else port), _TEXT)
    _arrow(cut, (box.xmax - 40.0, half + 3.0), "FWD")
    return cut


def backing_plate(strut: Strut, palm: Palm) -> CutFile:
    """Return the backing plate inside the hull, larger than the palm by BACKING_OVERHANG_MM, seen from inside."""
    cut = CutFile(f"{palm.name} backing plate", _unit(strut))
    cut.add_outline("CUT_OUTER", backing_outline(palm))
    cut.add_outline("PHANTOM", palm.outline)
    for hole in palm.holes:
        cut.add_circle("DRILL", (hole.u_mm, hole.v_mm), palm.bolt.hole_mm)
        cut.add_centre_mark((hole.u_mm, hole.v_mm), 1.6 * palm.bolt.hole_mm)
        cut.add_text(str(hole.number), (hole.u_mm + 0.55 * palm.bolt.hole_mm + 1.0, hole.v_mm + 2.0), _TEXT)
    box = backing_outline(palm).bounding_box()
    _arrow(cut, (box.xmax - 45.0, box.ymax + 4.0), "FWD")
    _finish(cut, strut, f"{palm.name}, backing plate", "seen from inside the hull, port up",
            [f"{_length(cut, BACKING_OVERHANG_MM)} larger than the palm all round (common practice); shape it to the "
             "frames and to the hull's inside",
             "holes stand as on the palm's hull face: take them through from there when the hull is thick or the bolts "
             "are not square to its inside"])
    return cut


def backing_outline(palm: Palm) -> Outline:
    """Return the outline of the backing plate of a palm in the palm axes."""
    try:
        return palm.outline.inset(-BACKING_OVERHANG_MM)
    except OutlineError:
        # A hollow outline may have no parallel curve: the box round it serves.
        box = palm.outline.bounding_box()
        b = BACKING_OVERHANG_MM
        return polygon([(box.xmin - b, box.ymin - b), (box.xmax + b, box.ymin - b), (box.xmax + b, box.ymax + b),
                        (box.xmin - b, box.ymax + b)], b)


def bevel_gauges(strut: Strut, palm: Palm) -> CutFile | None:
    """Return triangles of the palm's pitch and tilt on a base of 300 mm or 12 in; None when both angles are nothing."""
    cut = CutFile(f"{palm.name} bevel gauges", _unit(strut))
    base = GAUGE_BASE_MM if cut.unit == "mm" else GAUGE_BASE_INCH_MM
    y, drawn = 0.0, []
    for angle, what in ((palm.plane.pitch_deg, "PITCH: shaft to palm, in the vertical plane through the shaft"),
                        (palm.plane.tilt_deg, "TILT: palm athwartships, seen square to the shaft")):
        if abs(angle) < SMALLEST_GAUGE_DEG:
            continue
        rise = base * math.tan(math.radians(abs(angle)))
        cut.add_polyline("CUT_OUTER", [(0.0, y), (base, y), (base, y + rise)])
        cut.add_text(f"{what}: {abs(angle):.2f}°, rise {_length(cut, rise)} on {_length(cut, base)}", (0.0, y - 6.0),
                     _TEXT)
        drawn.append(what)
        y += rise + 22.0
    if not drawn:
        return None
    high = ("aft" if palm.plane.pitch_deg > 0 else "forward", "port" if palm.plane.tilt_deg > 0 else "starboard")
    facts = [f"cut two of each and use either way round; set {cut.length_label(base)} along the shaft or "
             "square to it"]
    if abs(palm.plane.pitch_deg) >= SMALLEST_GAUGE_DEG:
        facts.append(f"pitch: the hull face is farther from the shaft line {high[0]}")
    if abs(palm.plane.tilt_deg) >= SMALLEST_GAUGE_DEG:
        facts.append(f"tilt: the hull face is higher on the {high[1]} side")
    facts.append("the two are measured in planes square to each other that both hold the strut's own axes: set the "
                 "pitch first, then the tilt")
    _finish(cut, strut, f"{palm.name}, bevel gauges", "either", facts)
    return cut


# --- common ----------------------------------------------------------------------------------------------------------


def _unit(strut: Strut) -> Unit:
    return "inch" if strut.file_units == "in" else "mm"


def _xy(point: Sequence[float] | Floats) -> Point:
    return float(point[0]), float(point[1])


def _length(cut: CutFile, length_mm: float) -> str:
    return f"{length_mm:.2f} mm" if cut.unit == "mm" else f"{length_mm / MM_PER_INCH:.4f} in"


def _centred(cut: CutFile, text: str, at: Point, height_mm: float) -> None:
    cut.add_text(text, (at[0] - text_width(text, height_mm) / 2, at[1]), height_mm)


def _arrow(cut: CutFile, at: Point, text: str) -> None:
    """A plain arrow to the right with its text over it."""
    x, y = at
    cut.add_line("TEXT", (x, y), (x + 40.0, y))
    cut.add_line("TEXT", (x + 34.0, y + 2.0), (x + 40.0, y))
    cut.add_line("TEXT", (x + 34.0, y - 2.0), (x + 40.0, y))
    cut.add_text(text, (x, y + 1.5), _TEXT)


def _finish(cut: CutFile, strut: Strut, part: str, face: str, facts: Sequence[str]) -> None:
    """Add what every template carries: check lines both ways, and what it is, under the drawing."""
    x0, y0, x1, _ = cut.bounds()
    step = 100.0 if cut.unit == "mm" else 4 * MM_PER_INCH
    below = y0 - 26.0
    cut.add_check_bar((x0, below), step)
    cut.add_check_bar((x0 - 14.0, below - 10.0), step, vertical=True)
    who = strut.identity
    width = max(x1 - x0, _LEAST_TEXT_WIDTH)
    unit = "mm" if cut.unit == "mm" else "inch"
    first = f"{part}: {who.hand.upper()} hand" if who.hand != "centre" else f"{part}: CENTRE LINE, no hand"
    lines = [
        f"{who.name}, {who.drawing_number}, revision {who.revision}",
        f"face: {face}. Scale 1:1, unit {unit}, contraction none, kerf none, stock none. "
        f"File {slug(cut.name)}-{who.hand}",
        *facts,
        "measure both check lines before use; use the measured outside diameter and sections. Guidance, not approval: "
        "a strut keeps the water out, have it looked at by those who approve it",
    ]
    y = below - 12.0
    for text, height in [(first, _LARGE), *((line, _TEXT) for line in lines)]:
        for row in wrap(text[0].upper() + text[1:], height, width):
            cut.add_text(row, (x0, y), height)
            y -= 1.7 * height
