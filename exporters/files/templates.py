"""Full-size templates as DXF: rolled-out ends of arms and skeg, the barrel's strip, palm jig, gauges, backing plate.

Each function returns one `CutFile` in the file's unit; `template_files` returns all of a strut. They are the finished
part's sizes: no kerf, no contraction, no machining stock. What is wrapped is drawn as seen from outside, at half the
thickness of the paper. Every file says what it is, of which hand, on which face, and carries check bars both ways.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from strutwright.exporters.drawing.shapes import xy
from strutwright.exporters.drawing.text import text_width, wrap
from strutwright.exporters.files.arm_gauges import arm_gauges
from strutwright.exporters.files.barrel_strips import MEASURED, arm_on_barrel, set_screw_strip, skeg_on_barrel
from strutwright.exporters.files.curve_templates import hull_curve_templates
from strutwright.exporters.files.cutfile import CutFile, cut_file
from strutwright.exporters.files.flange_outlines import base_template
from strutwright.exporters.files.let_in_outlines import structure_template
from strutwright.exporters.files.lettering import SMALL_MM, TEXT_MM, add_centred, finish, hand_text
from strutwright.exporters.files.outdir import slug
from strutwright.exporters.files.palm_templates import backing_plate, bevel_gauges, hull_template, palm_jig
from strutwright.models.shop import arm_ends, cuts, sides
from strutwright.models.shop import development as dev
from strutwright.models.spec import Arm, Strut

_TICK = 8.0


def template_files(strut: Strut, torque: str = "") -> dict[str, CutFile]:
    """Return all templates of the strut by part, as in the name of the file (`naming.finished`). torque: of the palm's
    bolts, in words, where it is known.

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
        for gauge in arm_gauges(strut, arm):
            add(gauge)
    if strut.skeg is not None:
        add(skeg_on_barrel(strut))
        add(skeg_root(strut))
    locked = strut.let_in is not None and bool(strut.let_in.locking)
    if strut.set_screws or locked or strut.barrel.slots is not None:
        add(set_screw_strip(strut))
    if strut.flange is not None:
        add(base_template(strut, strut.flange, torque))
    if strut.let_in is not None:
        add(structure_template(strut, strut.let_in))
    for palm in strut.palms:
        add(palm_jig(strut, palm))
        add(hull_template(strut, palm, torque))
        add(bevel_gauges(strut, palm))
        add(hull_curve_templates(strut, palm))
        if strut.backing_plate:
            add(backing_plate(strut, palm))
    return made


# --- ends of arms and skeg -------------------------------------------------------------------------------------------


def arm_barrel_end(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's barrel end rolled out: wrap it round the arm and mark the saddle along its lower edge."""
    side, low, _ = cuts.cut_arm(strut, arm)
    return _end_wrap(strut, side, dev.barrel_wrap(side, low), low, arm.barrel_root_mm)


def arm_palm_end(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's palm end rolled out, with the bevel at each tick: mark the trim along its upper edge."""
    side, _, high = cuts.cut_arm(strut, arm)
    where = "weld" if strut.construction == "welded" else "fillet"
    facts = [f"angle between palm and arm on the {where} side; 90 is square"]
    table = arm_ends.bevel_table(strut, arm)
    return _end_wrap(strut, side, dev.palm_wrap(side, high), high, arm.palm_root_mm, facts, table)


def skeg_root(strut: Strut) -> CutFile:
    """Return the skeg's root rolled out: wrap it round the fin and mark the saddle along its lower edge."""
    side = sides.skeg_side(strut)
    low = cuts.meet_barrel(strut.barrel, side)
    return _end_wrap(strut, side, dev.barrel_wrap(side, low), low, strut.skeg.root_mm if strut.skeg else 0.0)


def _end_wrap(
    strut: Strut,
    surface: sides.Side,
    shape: dev.Wrap,
    where: cuts.Cut,
    root_mm: float,
    facts: Sequence[str] = (),
    bevels: Sequence[arm_ends.Bevel] = (),
) -> CutFile:
    part = surface.name
    cut = cut_file(strut, f"{part} {shape.end} end wrap")
    cut.add_outline("TEMPLATE", shape.outline)
    _wrap_ticks(cut, shape)
    for bevel in bevels:
        x, y = shape.ticks[bevel.number].foot
        cut.add_text(f"{bevel.angle_deg:.1f}°", (x + SMALL_MM / 2, y + 2.0), SMALL_MM, turn=math.pi / 2)
    other = next((a.name for a in strut.arms if a.name != part), "")
    meets = (where.coped[: surface.leading].any(), where.coped[surface.leading :].any())
    last = len(shape.ticks) - 1
    for hand, (first, second), coped in zip(surface.sides, ((0, last // 2), (last // 2, last)), meets, strict=True):
        # The hand stands only in the half of the same name: in the other it would be read as that half's side.
        words = f"of the {part}{f', {hand_text(strut)}' if hand == strut.identity.hand else ''}"
        edge = f"this edge to the {shape.end}, {_cut_side(surface, shape)}"
        edge += f", its middle to the {other}" if coped else ""
        _wrap_words(cut, shape, (first, second), f"{hand.upper()} SIDE", (words, edge))
    for k, text, off in (
        (0, "trailing edge: seam", 1.5 + SMALL_MM),
        (last // 2, "LEADING EDGE", -1.5),
        (last, "trailing edge: seam", -1.5),
    ):
        foot, head = np.array(shape.ticks[k].foot), np.array(shape.ticks[k].head)
        if shape.end == "palm":
            foot, head = head, foot
        way = (head - foot) / math.dist(foot, head)
        at = (foot + head) / 2 - text_width(cut.own(text), SMALL_MM) / 2 * way + off * np.array((way[1], -way[0]))
        cut.add_text(text, xy(at), SMALL_MM, turn=math.atan2(way[1], way[0]))
    notes = _wrap_notes(cut, strut, surface, shape, where, root_mm, facts)
    finish(cut, strut, f"{part}, {shape.end} end, rolled out", "outside of the part", [*notes, MEASURED])
    return cut


def _cut_side(surface: sides.Side, shape: dev.Wrap) -> str:
    """Where on the sheet the cut lies."""
    return "up in the boat" if surface.name == "skeg" else "below" if shape.end == "barrel" else "above"


def _wrap_ticks(cut: CutFile, shape: dev.Wrap) -> None:
    last = len(shape.ticks) - 1
    for tick in shape.ticks:
        foot, head = np.array(tick.foot), np.array(tick.head)
        way = (head - foot) / math.dist(foot, head)
        if tick.number == last // 2:
            cut.add_line("CENTRE", xy(foot), xy(head))
        elif 0 < tick.number < last:
            cut.add_line("ENGRAVE", xy(foot), xy(foot + _TICK * way))
            cut.add_line("ENGRAVE", xy(head), xy(head - _TICK * way))
        off = 3.0 if shape.end == "barrel" else -(3.0 + SMALL_MM)
        add_centred(cut, str(tick.number), (tick.head[0], tick.head[1] + off), SMALL_MM)


def _wrap_words(cut: CutFile, shape: dev.Wrap, half: tuple[int, int], side: str, texts: Sequence[str]) -> None:
    """Write which side of the part a half of the wrap is, and what its edge meets, in the middle of the half."""
    up = 1.0 if shape.end == "barrel" else -1.0  # from the cut toward the square edge
    corners = [p for k in half for p in (shape.ticks[k].foot, shape.ticks[k].head)]
    middle = shape.ticks[sum(half) // 2]
    room = min(abs(corners[3][0] - corners[1][0]), abs(corners[2][0] - corners[0][0])) - 14.0
    side = cut.own(side)
    rows = [
        (side, TEXT_MM if room > text_width(side, TEXT_MM) else SMALL_MM),
        *((row, SMALL_MM) for text in texts for row in wrap(cut.own(text), SMALL_MM, room)),
    ]
    foot, head = np.array(middle.foot), np.array(middle.head)
    way = up * (head - foot) / math.dist(foot, head)
    right = np.array((way[1], -way[0]))
    at = (foot + head) / 2 + 0.85 * sum(height for _, height in rows) * way
    for row, height in rows:
        at = at - 1.7 * height * way
        start = at + 0.35 * height * way - text_width(row, height) / 2 * right
        cut.write(row, xy(start), height, turn=math.atan2(right[1], right[0]))


def _wrap_notes(
    cut: CutFile,
    strut: Strut,
    surface: sides.Side,
    shape: dev.Wrap,
    where: cuts.Cut,
    root_mm: float,
    facts: Sequence[str],
) -> list[str]:
    part, to, arm, cast = surface.name, shape.end, surface.name != "skeg", strut.construction == "cast"
    place = f"edge away from the {to}" if not arm else "upper edge" if to == "barrel" else "lower edge"
    use = (
        f"wrap round the {part} with the print outside and the seam on the trailing edge; mark along the edge "
        f"to the {to}, keep outside the line, and grind to it"
    )
    if cast:
        use = (
            "a check of the finished casting, which has no cut here (the pattern is larger by its contraction): "
            f"wrap round the {part} with the print outside and the seam on the trailing edge. The edge to the {to} "
            f"is where the side would meet the {to} without the fillet of {cut.length(root_mm)}: trim the "
            "paper back to where the fillet begins"
        )
    notes = [
        use,
        f"the {place} lies on the section {cut.length(shape.reference_mm)} from the shaft line along the "
        f"{part}'s axis; ticks are sixteenths of the girth, number 8 the leading edge",
        f"girth {cut.length(shape.girth_mm)} on paper {cut.length(shape.paper_mm)} thick; measure "
        "round the part in hand; if it differs, do not use this sheet",
        *facts,
    ]
    if arm and not cast:
        gap_mm = cuts.root_gap_mm(strut)
        notes.append(
            f"root gap {cut.length(gap_mm)} is taken off at this end: when fitting, leave this gap between "
            f"the part and the {to}"
            if gap_mm > 0.0
            else f"no root gap is taken off: the part stands on the {to}"
        )
    if bool(where.coped.any()):
        other = next((a.name for a in strut.arms if a.name != part), "").upper()
        met = f"RUNS INTO THE {other}" if cast else f"IS CUT TO THE {other}, which is fitted first"
        notes.append(f"THE MIDDLE OF THE INNER SIDE {met}; the rest to the barrel")
    if bool(where.beyond.any()):
        notes.append(
            f"THE {part.upper()} REACHES PAST A FACE OF THE BARREL: there the barrel's end diameter is carried on"
        )
    elif bool(where.faired.any()):
        notes.append("some of the cut lies on a faired end of the barrel and follows its true surface")
    if not arm:
        notes.append("in the boat the barrel is above the skeg: turn the sheet until its edge to the barrel is up")
    return notes
