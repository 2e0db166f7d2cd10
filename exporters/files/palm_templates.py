"""Templates of the palm as DXF: drill jig, template on the hull, backing plate, bevel gauges. See `templates`."""

from __future__ import annotations

import math

import numpy as np

from strutwright.exporters.drawing.shapes import xy
from strutwright.exporters.files.cutfile import CutFile, cut_file
from strutwright.exporters.files.lettering import TEXT_MM, Lettering, finish, hand_text, off_trace_text, zero_text
from strutwright.models.bench.installation import BEDDED
from strutwright.models.outline import Floats, Outline, OutlineError, polygon
from strutwright.models.shop import arm_ends, sides
from strutwright.models.shop import development as dev
from strutwright.models.shop.bolting import backing_overhang_mm, backing_thickness_mm
from strutwright.models.spec import Palm, Strut
from strutwright.params.quantity import INCH_MM

GAUGE_BASE_MM = 300.0
GAUGE_BASE_INCH_MM = 12 * INCH_MM
SMALLEST_GAUGE_DEG = 0.05  # below this a gauge is no triangle any more


def palm_jig(strut: Strut, palm: Palm) -> CutFile:
    """Return the palm's drill jig, seen on the side away from the hull, with the line of each arm on the palm."""
    cut = cut_file(strut, f"{palm.name} drill jig")
    arms = [arm for arm in strut.arms if strut.palms[arm.palm_index] is palm]
    for arm in arms:
        cut.add_outline("PHANTOM", dev.palm_footprint(palm, sides.arm_side(strut, arm)).mirror("x"))
    _palm_sheet(strut, palm, cut, -1.0, palm.outline.mirror("x"), "THIS SIDE AWAY FROM THE HULL")
    facts = [
        *_palm_facts(cut, strut, palm),
        "lay it on the palm's water face, or against the hull with this side to you; dashed: the "
        f"{'arms' if len(arms) > 1 else 'arm'} on the water face",
        "the outline of the palm in hand may differ: set the jig by the two lines through zero, not by the edges",
    ]
    finish(cut, strut, f"{palm.name}, drill jig", "water face", facts)
    return cut


def hull_template(strut: Strut, palm: Palm, torque: str = "") -> CutFile:
    """Return the template of the palm on the hull: the printed side lies against the hull. torque: of the bolts, in
    words."""
    cut = cut_file(strut, f"{palm.name} hull template")
    curved = _touch_line(cut, palm)
    _palm_sheet(strut, palm, cut, 1.0, palm.outline, "THIS SIDE TO THE HULL")
    off = arm_ends.off_trace(palm)
    beside = f", and parallel to it, on its {off.side} side, the line through zero; lay the sheet on that line"
    lay = beside if off.is_off else "; lay the line marked shaft trace on it"
    facts = [
        *_palm_facts(cut, strut, palm),
        "strike the shaft's trace on the hull, where the vertical plane through the shaft meets it (plumb line and "
        f"string){lay}, the printed side against the hull and FWD forward; prick the holes through",
        *curved,
        "if the hull is not drilled yet, mark the holes from the finished palm itself; drill square to the palm",
        "the palm in hand may differ: hold this sheet to its hull face, and compare outline and holes before the hull "
        "is marked",
        *([f"bolts {palm.bolt.size}: torque {torque} with anti-seize. {BEDDED}"] if torque else []),
    ]
    finish(cut, strut, f"{palm.name}, hull template", "hull face", facts)
    return cut


def _touch_line(cut: CutFile, palm: Palm) -> list[str]:
    """Draw the line along which a curved hull face touches its plane; return what is said of it."""
    if palm.curve is None:
        return []
    turn, box = math.radians(palm.curve.axis_deg), palm.outline.bounding_box()
    way, reach = np.array([math.cos(turn), math.sin(turn)]), 0.6 * math.hypot(box.xmax - box.xmin, box.ymax - box.ymin)
    ends = [xy(np.asarray(palm.middle_mm) + sign * reach * way) for sign in (-1.0, 1.0)]
    cut.add_line("ENGRAVE", ends[0], ends[1])
    Lettering(cut).beside("axis of the hull's curve", ends[1], way_deg=palm.curve.axis_deg)
    if palm.curve.second_order:
        return [
            "the palm's hull face is made to the hull's curve, which bends along the line named axis of the hull's "
            "curve too, see the hull-curve templates; the sheet does not lie down to such a hull without a fold: hold "
            "it in its middle, press it down hole by hole, and compare with the palm before the hull is drilled"
        ]
    return [
        "the palm's hull face is made to the hull's curve: the line named axis of the hull's curve lies along the "
        "hull's straight direction, see the hull-curve templates; lay the sheet in the curve, without a fold"
    ]


def backing_plate(strut: Strut, palm: Palm) -> CutFile:
    """Return the backing plate inside the hull, larger than the palm by `backing_overhang_mm`, seen from inside."""
    cut = cut_file(strut, f"{palm.name} backing plate")
    cut.add_outline("PHANTOM", palm.outline)
    over = backing_overhang_mm(strut)
    _palm_sheet(strut, palm, cut, 1.0, backing_outline(strut, palm), "THIS SIDE TO THE INSIDE OF THE BOAT")
    plate, practice = strut.hull.plate, "common practice, no source"
    thick = "" if plate.backing_mm else f": as thick as the bolt's diameter ({palm.bolt.size}; {practice})"
    larger_by = "" if plate.backing_beyond_mm is not None else f" ({practice})"
    facts = [
        f"thickness of the plate {cut.length(backing_thickness_mm(strut, palm))}{thick}",
        *_palm_facts(cut, strut, palm),
        f"{cut.length(over)} larger than the palm (dashed) all round{larger_by}; shape it to "
        "the frames and to the hull's inside",
        "holes are placed as on the palm's hull face: where the hull is thick, or its inside is not parallel to the "
        "palm, drill through from the palm instead",
        "the inside of the boat may differ: try this sheet in its place before the plate is cut",
    ]
    finish(cut, strut, f"{palm.name}, backing plate", "seen from inside the hull, port up", facts)
    return cut


def _palm_facts(cut: CutFile, strut: Strut, palm: Palm) -> list[str]:
    bolt, off = palm.bolt, arm_ends.off_trace(palm)
    zero = zero_text(strut, palm)
    return [
        f"{len(palm.holes)} holes {cut.length(bolt.hole_mm)} dia for {bolt.size}, square to the palm; "
        f"crosses mark their centres. {zero[0].upper()}{zero[1:]}",
        *([off_trace_text(cut, off)] if off.is_off else []),
    ]


def _palm_sheet(strut: Strut, palm: Palm, cut: CutFile, seen: float, outer: Outline, side: str) -> None:
    """Draw an outline, holes and the two lines through zero, and the shaft's trace where it lies on the outline; seen =
    1 on the hull face (port up), -1 on the water face."""
    cut.add_outline("CUT_OUTER", outer)
    hole_mm = palm.bolt.hole_mm
    places = [(hole.u_mm, seen * hole.v_mm) for hole in palm.holes]
    for at in places:
        cut.add_circle("DRILL", at, hole_mm)
        cut.add_centre_mark(at, 1.6 * hole_mm)
    box, off = outer.bounding_box(), arm_ends.off_trace(palm)
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
        places = [(end[0] + 1.0 + TEXT_MM + more, end[1]) for more in (0.0, 1.0, 2.0)]
        if not letters.put(text, places, turn=math.pi / 2):
            letters.beside(text, xy(end), way_deg=math.degrees(math.atan2(along[1], along[0])))
    port, starboard = (high, low) if seen > 0 else (low, high)
    letters.beside(strut.identity.side("port").upper(), (0.0, port), way_deg=seen * 90.0)
    letters.beside(strut.identity.side("starboard").upper(), (0.0, starboard), way_deg=-seen * 90.0)


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


def backing_outline(strut: Strut, palm: Palm) -> Outline:
    """Return the outline of the backing plate of a palm in the palm axes."""
    return larger(palm.outline, backing_overhang_mm(strut))


def bevel_gauges(strut: Strut, palm: Palm) -> CutFile | None:
    """Return triangles of the palm's pitch and tilt on a base of 300 mm or 12 in; None when both angles are nothing.

    Each holds in its own plane wherever it stands: the pitch in every vertical plane along the shaft, the tilt in every
    plane square to it. So neither waits for the other.
    """
    cut = cut_file(strut, f"{palm.name} bevel gauges")
    base = GAUGE_BASE_MM if cut.unit == "mm" else GAUGE_BASE_INCH_MM
    pitch, tilt = palm.plane.pitch_deg, palm.plane.tilt_deg
    long = cut.length(base)
    gauges = (
        (
            pitch,
            "PITCH",
            "shaft to hull face, seen from the side",
            f"PITCH gauge: hold it upright, its edge of {long} along the shaft; the sloping edge then lies along the "
            f"hull face; the hull face is farther from the shaft at the {'aft' if pitch > 0 else 'forward'} end",
            "fore and aft the hull face is parallel to the shaft",
        ),
        (
            tilt,
            "TILT",
            "hull face from side to side, seen along the shaft",
            f"TILT gauge: hold it square across the shaft, its edge of {long} level from side to side; the sloping "
            f"edge then lies along the hull face; the hull face is higher to {'port' if tilt > 0 else 'starboard'}",
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
        triangle = [(0.0, y), (base, y), (base, y + rise)]
        cut.add_polyline("CUT_OUTER", triangle)
        words = f"{name}: {what}: {abs(angle):.2f}°, rise {cut.length(rise)} on {cut.length(base)}"
        cut.add_text(words, (0.0, y - 6.0), TEXT_MM)
        Lettering(cut).inside(polygon(triangle), [f"{palm.name}: {name} {abs(angle):.2f}°"])
        facts.append(fact)
        y += rise + 22.0
    if not any(drawn):
        return None
    what, gauges_are, made_to = ("gauges", "both gauges", "them") if all(drawn) else ("gauge", "the gauge", "it")
    if all(drawn):
        facts.append("each gauge is right by itself; either may be set first")
    facts.append(f"the hull in hand may differ: try {gauges_are} on it before the palm is made to {made_to}")
    finish(cut, strut, f"{palm.name}, bevel {what}", "either", facts)
    return cut


def larger(outline: Outline, by_mm: float) -> Outline:
    """Return an outline that much (mm) larger all round; where it has no parallel curve, the box round it serves."""
    if by_mm <= 0.0:
        return outline
    try:
        return outline.inset(-by_mm)
    except OutlineError:
        box, b = outline.bounding_box(), by_mm
        x0, y0, x1, y1 = box.xmin - b, box.ymin - b, box.xmax + b, box.ymax + b
        return polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], b)
