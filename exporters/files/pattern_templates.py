"""Full-size templates of a cast strut's pattern as DXF, contraction included; see `foundry`."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from strutwright.exporters.drawing.projection import Viewpoint, cut_faces
from strutwright.exporters.drawing.shapes import Arc, Line, Shape, flatten, xy
from strutwright.exporters.drawing.text import wrap
from strutwright.exporters.files.cutfile import CutFile, cut_file
from strutwright.exporters.files.flange_outlines import seen_on_free_face
from strutwright.exporters.files.lettering import LARGE_MM, SMALL_MM, TEXT_MM, add_arrow, hand_text
from strutwright.exporters.files.naming import pattern_size
from strutwright.exporters.files.outdir import slug
from strutwright.models import frames
from strutwright.models.formulas import hull_curve
from strutwright.models.geometry.barrel import outside_chain
from strutwright.models.geometry.flange import half_section, stock_aside_mm
from strutwright.models.geometry.skeg import chord_at
from strutwright.models.geometry.stations import arm_stations, skeg_stations
from strutwright.models.hull_curve import Bend, HullCurve
from strutwright.models.outline import Outline
from strutwright.models.sections import Section
from strutwright.models.shop import drafted, foundry, pattern_findings
from strutwright.models.shop.foundry import FoundrySpec
from strutwright.models.shop.split_casting import SplitCasting, split_casting
from strutwright.models.solids.casting import BOX_WALL_MM, PatternSet
from strutwright.models.spec import Arm, Palm, Skeg, Strut
from strutwright.models.spec_flange import Flange
from strutwright.params.limits import Limits, standard
from strutwright.params.quantity import INCH_MM
from strutwright.params.words import deg, kg, read

_LEAST_WIDTH = 200.0
_BOARD_MM = 15.0  # wood round the hollow of a section template
_LAYERS = {
    "FINISHED_OUTLINE": (8, "finished part, without contraction"),
    "CASTING_OUTLINE": (5, "rough casting with stock and draft, without contraction"),
    "PATTERN_OUTLINE": (7, "pattern, contraction included"),
    "CORE": (6, "core, contraction included"),
    "CORE_PRINT": (4, "core prints, contraction included"),
    "PARTING_LINE": (1, "parting line, contraction included"),
}
"""The layers of these templates: colour, and what stands on them."""


def template_files(made: PatternSet) -> dict[str, CutFile]:
    """Return the templates of a pattern set by part and face, as in the name of the file (`naming.pattern_size`)."""
    strut, spec = made.strut, made.spec
    cuts = [barrel_profile(strut, spec)]
    split = split_casting(strut, spec)
    if spec.cored:
        cuts.append(core_and_box(strut, spec) if split is None else half_core_and_box(strut, spec, split))
    for palm in strut.palms:
        cuts += [palm_outline(strut, spec, palm, face, made.limits) for face in ("hull face", "water face")]
    if strut.flange is not None:
        cuts.append(flange_outline(strut, spec, strut.flange, made.limits))
    cuts += [arm_templates(strut, spec, arm) for arm in strut.arms]
    if strut.skeg is not None:
        cuts += [skeg_templates(strut, spec, strut.skeg), skeg_outline(strut, spec, strut.skeg)]
    if made.halves:
        cuts.append(parting_view(made))
    return {f"template-{slug(cut.name)}": cut for cut in cuts}


def barrel_profile(strut: Strut, spec: FoundrySpec) -> CutFile:
    """Return the barrel's half profile in the parting plane: finished, rough casting, pattern, core and prints."""
    cut = _new(strut, "barrel half profile")
    b, k = strut.barrel, spec.factor
    outside = [(b.x(s), r, bulge) for s, r, bulge in outside_chain(b)]
    finished, bore = half_section(strut)
    cut.add_outline("FINISHED_OUTLINE", Outline(np.array(finished + [(x, r, 0.0) for x, r in reversed(bore)])))
    (_, aft), (_, fore) = foundry.end_faces_mm(strut, spec)
    low = spec.core_diameter_mm / 2
    rows = [(aft, outside[0][1], 0.0)] if aft < outside[0][0] - 1e-6 else []
    rows += [*outside[:-1], (outside[-1][0], outside[-1][1], 0.0)]
    if fore > outside[-1][0] + 1e-6:
        rows.append((fore, outside[-1][1], 0.0))
    rows = _with_spigot(strut, spec, rows)
    rows += [(fore, low, 0.0), (aft, low, 0.0)]
    casting = Outline(np.array(rows))
    cut.add_outline("CASTING_OUTLINE", casting)
    cut.add_outline("PATTERN_OUTLINE", casting.scale(k))
    if spec.cored:
        tail, nose = (k * x for x in foundry.core_ends_mm(strut, spec))
        more = k * foundry.draft_offset_mm(low, spec.draft.at(low))
        for face, end in ((aft, tail - more), (fore, nose + more)):
            cut.add_polyline("CORE_PRINT", [(k * face, 0.0), (end, 0.0), (end, k * low), (k * face, k * low)])
        cut.add_line("CORE", (k * aft, k * low), (k * fore, k * low))
        for end in (tail, nose):
            cut.add_line("CORE", (end, 0.0), (end, k * low - SMALL_MM))
    x0, _, x1, y1 = cut.bounds()
    cut.add_line("CENTRE", (x0 - 10.0, 0.0), (x1 + 10.0, 0.0))
    cut.add_text("shaft line", (x1 + 12.0, -1.0), SMALL_MM)
    cut.add_line("CENTRE", (0.0, -6.0), (0.0, y1 + 6.0))
    cut.add_text("datum", (1.5, y1 + 2.0), SMALL_MM)
    add_arrow(cut, (x1 - 45.0, y1 + 8.0), "FWD")
    leans = [cut.said(deg(d)) for d in foundry.end_drafts_deg(strut, spec)]
    facts = [
        f"half profile in the parting plane: outside {cut.length(k * b.outside_mm)}, length at the rim "
        f"{cut.length(k * foundry.in_metal_mm(strut, spec))}, finished length "
        f"{cut.length(b.length_mm)}{_of_barrel(strut)}",
        f"stock {cut.length(spec.stock_ends_mm)} on each face ({spec.stock_notes[1]}), "
        f"{cut.length(spec.stock_bore_mm)} on the bore's radius ({spec.stock_notes[0]})",
        f"faces lean {leans[0]} aft, {leans[1]} forward ({read(spec.draft.note, strut.file_units)}), longest at the "
        "parting",
        "bolt and screw holes, slots, lead-ins and steps of the bore are machined later",
    ]
    if not spec.cored:
        facts.append("bore cast SOLID: no core")
    if split_casting(strut, spec) is not None:
        facts.append("half profile of the body, and of the cap, without their ears: see their solids")
    _finish(cut, strut, spec, "barrel", "parting plane", facts)
    return cut


_Rows = list[tuple[float, float, float]]


def _with_spigot(strut: Strut, spec: FoundrySpec, rows: _Rows) -> _Rows:
    """The half profile's outside with the spigot that stands on the end of the barrel, or that end cut off where the
    barrel ends in a flange without one."""
    flange, free = foundry.casting_strut(strut, spec).flange, foundry.free_ends(strut)
    if flange is None or all(free):
        return rows
    (_, aft), (_, fore) = foundry.end_faces_mm(strut, spec)
    face = strut.barrel.x(flange.plane.station_mm)
    forward = flange.plane.looks == "forward"
    kept = [r for r in rows if (r[0] < face - 1e-6 if forward else r[0] > face + 1e-6)]
    if flange.spigot is None:
        end = [(fore if forward else aft, kept[-1 if forward else 0][1], 0.0)]
    else:
        r = flange.spigot.outside_mm / 2
        end = [(face, kept[-1 if forward else 0][1], 0.0), (face, r, 0.0), (fore if forward else aft, r, 0.0)]
    return [*kept[:-1], (*kept[-1][:2], 0.0), *end] if forward else [*end[::-1], *kept]


def core_and_box(strut: Strut, spec: FoundrySpec) -> CutFile:
    """Return the core with its prints in side view, and the core box in half section and end view."""
    cut = _new(strut, "core and core box")
    k = spec.factor
    low, high = (k * x for x in foundry.core_ends_mm(strut, spec))
    r, length = k * spec.core_diameter_mm / 2, high - low
    (_, aft), (_, fore) = (tuple(k * x for x in end) for end in foundry.end_faces_mm(strut, spec))
    half = r + BOX_WALL_MM
    cut.add_polyline("CORE", [(low, -r), (high, -r), (high, r), (low, r)])
    for x in (aft, fore):
        cut.add_line("CORE_PRINT", (x, -r), (x, r))
    cut.add_line("CENTRE", (low - 8.0, 0.0), (high + 8.0, 0.0))
    cut.add_text("core; its prints lie outside the two inner lines", (low, r + 3.0), SMALL_MM)
    y = -r - half - 25.0
    cut.add_polyline("PATTERN_OUTLINE", [(low, y), (high, y), (high, y + half), (low, y + half)])
    cut.add_line("CORE", (low, y + half - r), (high, y + half - r))
    cut.add_line("CENTRE", (low - 8.0, y + half), (high + 8.0, y + half))
    cut.add_text("half of the core box, cut along the axis; make two", (low, y + half + 3.0), SMALL_MM)
    x = high + 35.0 + half
    block = [(x - half, y + half, 0.0), (x - half, y, 0.0), (x + half, y, 0.0), (x + half, y + half, 0.0)]
    cut.add_polyline("PATTERN_OUTLINE", [*block, (x + r, y + half, -1.0), (x - r, y + half, 0.0)])
    cut.add_centre_mark((x, y + half), 2.0 * half + 10.0)
    cut.add_text("end of the half box: template of the hollow", (x - half, y - 6.0), SMALL_MM)
    facts = [
        f"core {cut.length(2 * r)} dia x {cut.length(length)}; each print "
        f"{cut.length(k * spec.print_length_mm)} long, without taper, measured along the joint; these sizes "
        "include no clearance between core and print: add what the founder wants",
        f"finished bore {cut.length(strut.barrel.bore_mm)}, stock {cut.length(spec.stock_bore_mm)} on the "
        "radius; the box is open at both ends and struck off on a board",
    ]
    _finish(cut, strut, spec, "core and core box", "parting plane", facts)
    return cut


def half_core_and_box(strut: Strut, spec: FoundrySpec, split: SplitCasting) -> CutFile:
    """Return the half-round core of a split hanger in side and end view, and the end of its box."""
    cut = _new(strut, "core and core box")
    k = spec.factor
    low, high = (k * x for x in foundry.core_ends_mm(strut, spec))
    r, flat, length = k * spec.core_diameter_mm / 2, k * split.open_mm, high - low
    cut.add_polyline("CORE", [(low, -flat), (high, -flat), (high, r), (low, r)])
    for x in (k * end[1] for end in foundry.end_faces_mm(strut, spec)):
        cut.add_line("CORE_PRINT", (x, -flat), (x, r))
    cut.add_line("CENTRE", (low - 8.0, 0.0), (high + 8.0, 0.0))
    told = "core, its flat below; its prints lie outside the two inner lines and along the flat"
    cut.add_text(told, (low, r + 3.0), SMALL_MM)
    half, x = r + BOX_WALL_MM, high + 35.0 + r + BOX_WALL_MM
    block = [(x - half, flat, 0.0), (x - half, -half, 0.0), (x + half, -half, 0.0), (x + half, flat, 0.0)]
    hollow = [(x + r, flat, 0.0), (x + r, 0.0, -1.0), (x - r, 0.0, 0.0), (x - r, flat, 0.0)]
    cut.add_polyline("PATTERN_OUTLINE", [*block, *hollow])
    cut.add_centre_mark((x, 0.0), 2.0 * r)
    cut.add_text("end of the box: template of the hollow", (x - half, -half - 6.0), SMALL_MM)
    facts = [
        f"half-round core, radius {cut.length(r)}, straight sides from the axis to a flat {cut.length(flat)} beyond "
        f"it, {cut.length(length)} long: two, one for the body and one for the cap, from one box, open at the flat and "
        "at both ends and struck off",
        f"each print {cut.length(k * spec.print_length_mm)} long, without taper; no clearance between core and print "
        "in these sizes: add what the founder wants",
        f"finished bore {cut.length(strut.barrel.bore_mm)}, stock {cut.length(spec.stock_bore_mm)} on the radius",
    ]
    _finish(cut, strut, spec, "core and core box", "parting plane", facts)
    return cut


def _of_barrel(strut: Strut) -> str:
    return "" if strut.flange is None else " of the barrel; the flange has a template of its own"


def flange_outline(strut: Strut, spec: FoundrySpec, flange: Flange, limits: Limits | None = None) -> CutFile:
    """Return a flange's outlines, seen on its free face; up is up, and the shaft line at (0, 0).

    limits: as shipped when left out.
    """
    cut, cast = _new(strut, "flange free face"), foundry.casting_strut(strut, spec).flange
    assert cast is not None
    axes, k = foundry.parting_axes(strut, spec.parting), spec.factor
    over = stock_aside_mm(flange, spec.stock_palm_mm)
    leaned = seen_on_free_face(cast, drafted.drafted_palm_outline(cast, axes.n, spec.draft).translate(*over))
    for layer, shape in (
        ("FINISHED_OUTLINE", seen_on_free_face(flange)),
        ("CASTING_OUTLINE", leaned),
        ("PATTERN_OUTLINE", leaned.scale(k)),
    ):
        cut.add_outline(layer, shape)
    x0, y0, x1, y1 = cut.bounds()
    cut.add_line("CENTRE", (x0 - 8.0, 0.0), (x1 + 8.0, 0.0))
    cut.add_line("CENTRE", (0.0, y0 - 8.0), (0.0, y1 + 8.0))
    upright = spec.parting == "arm_plane"
    ends = ((0.0, y0 - 4.0), (0.0, y1 + 4.0)) if upright else ((x0 - 4.0, 0.0), (x1 + 4.0, 0.0))
    cut.add_line("PARTING_LINE", *ends)
    cut.add_text("parting line", (ends[1][0] + 1.5, ends[1][1] + 1.5), SMALL_MM)
    cut.add_text("UP", (2.0, y1 + 9.0), TEXT_MM)
    right, left = (strut.identity.side(side).upper() for side in ("starboard", "port"))
    if flange.plane.looks == "aft":  # its free face is seen from ahead
        right, left = left, right
    cut.add_text(f"SIDE TO {right}", (x1 + 2.0, 3.0), SMALL_MM)
    cut.add_text(f"SIDE TO {left}", (x0 - 30.0, 3.0), SMALL_MM)
    leans = drafted.palm_drafts_deg(cast, axes.n, spec.draft)
    halves = foundry.half_names(spec.parting, strut.family)
    on_edges = ", ".join(f"{cut.said(deg(d))} in the {half}" for d, half in zip(leans, halves, strict=True))
    facts = [
        f"thickness at the rim: finished {cut.length(flange.thickness_mm)}; casting {cut.length(cast.thickness_mm)} "
        f"with {cut.length(spec.stock_palm_mm)} stock on the bedding face only ({spec.stock_notes[2]}); pattern "
        f"{cut.length(k * cast.thickness_mm)}, more toward the joint by the draft",
        f"edges lean {on_edges}, from the parting line ({read(spec.draft.note, strut.file_units)})",
        "holes, the seats of heads and a recess of the bedding face are cut later",
    ]
    if flange.ribs is not None:
        ribs = flange.ribs
        sizes = " x ".join(cut.length(k * v) for v in (ribs.thickness_mm, ribs.along_mm, ribs.out_mm))
        facts.append(f"{ribs.count} ribs, pattern {sizes} (thick, along the barrel, out from it); see the solid")
    if pattern_findings.overhangs(cast, axes.n, standard() if limits is None else limits):
        tilted = cut.said(deg(abs(drafted.palm_drawn(cast, axes.n)[2])))
        facts.append(
            f"BACK-DRAFT: the flange is tilted {tilted} to the pull; make it a loose piece with dowels, step the joint "
            "line along it, or mould the bedding face flat and machine it"
        )
    _finish(cut, strut, spec, flange.called, "free face", facts)
    return cut


def palm_outline(strut: Strut, spec: FoundrySpec, palm: Palm, face: str, limits: Limits | None = None) -> CutFile:
    """Return a palm's outlines, seen on the hull face or the water face; u (forward) runs to the right.

    The palm zero is at (0, 0), and in this sheet contraction is about it. limits: as shipped when left out.
    """
    cut = _new(strut, f"{palm.called} {face}")
    seen = 1.0 if face == "hull face" else -1.0
    cast = next(c for c, p in zip(foundry.casting_strut(strut, spec).palms, strut.palms, strict=True) if p == palm)
    axes = foundry.parting_axes(strut, spec.parting)
    leaned = drafted.drafted_palm_outline(cast, axes.n, spec.draft)
    turned = [o if seen > 0 else o.mirror("x") for o in (palm.outline, leaned, leaned.scale(spec.factor))]
    for layer, shape in zip(("FINISHED_OUTLINE", "CASTING_OUTLINE", "PATTERN_OUTLINE"), turned, strict=True):
        cut.add_outline(layer, shape)
    x0, y0, x1, y1 = cut.bounds()
    cut.add_line("CENTRE", (x0 - 8.0, 0.0), (x1 + 8.0, 0.0))
    cut.add_line("CENTRE", (0.0, y0 - 8.0), (0.0, y1 + 8.0))
    flat, share, tilt = drafted.palm_drawn(cast, axes.n)
    drawn = share >= drafted.PALM_ALONG
    if drawn:
        way = np.array([flat[0], seen * flat[1]]) / share
        split = drafted.palm_split_mm(cast, axes.n) * spec.factor
        foot, along = split * way, np.array([way[1], -way[0]])
        reach = math.hypot(x1 - x0, y1 - y0) / 2 + 4.0
        ends = (foot - reach * along, foot + reach * along)
        cut.add_line("PARTING_LINE", xy(ends[0]), xy(ends[1]))
        at = max(ends, key=lambda p: float(p[0]))
        cut.add_text("parting line", (float(at[0]) + 1.5, float(at[1]) + 1.5), SMALL_MM)
    add_arrow(cut, (x1 - 45.0, y1 + 12.0), "FWD")
    sides = [strut.identity.side(side).upper() for side in ("port", "starboard")][:: int(seen)]
    cut.add_text(f"SIDE TO {sides[0]}", (2.0, y1 + 2.0), SMALL_MM)
    cut.add_text(f"SIDE TO {sides[1]}", (2.0, y0 - 4.5), SMALL_MM)
    k, halves = spec.factor, foundry.half_names(spec.parting, strut.family)
    leans = [cut.said(deg(d)) for d in drafted.palm_drafts_deg(cast, axes.n, spec.draft)]
    highest = "" if palm.curve is None else ", over its highest place"
    facts = [
        f"thickness finished {cut.length(palm.thickness_mm)}; casting {cut.length(cast.thickness_mm)} with "
        f"{cut.length(spec.stock_palm_mm)} stock on the hull face only{highest} ({spec.stock_notes[2]}); pattern "
        f"{cut.length(k * cast.thickness_mm)}",
        "zero is where the arm's axis meets the finished hull face; bolt holes are drilled later",
        *(_curve_facts(cut, palm, cast) if seen > 0 else []),
    ]
    facts.append(
        f"edges lean {leans[0]} in the {halves[0]}, {leans[1]} in the {halves[1]}, from the parting line "
        f"({read(spec.draft.note, strut.file_units)})"
        if drawn
        else "the pull does not lie along this palm: no draft is on its edges"
    )
    if pattern_findings.overhangs(cast, axes.n, standard() if limits is None else limits):
        tilted = cut.said(deg(abs(tilt)))
        facts.append(f"BACK-DRAFT: the palm is tilted {tilted} to the pull; {pattern_findings.PALM_ADVICE}")
    mirror = "" if seen > 0 else ", MIRROR of the hull face's template"
    _finish(cut, strut, spec, palm.called, f"{face}{mirror}", facts)
    return cut


def _curve_facts(cut: CutFile, palm: Palm, cast: Palm) -> list[str]:
    """What the pattern maker is told of a hull face that is machined to the hull's curve."""
    curve = palm.curve
    if curve is None:
        return []
    shapes = ["rounded" if way.crown_to_hull else "hollow" for way in curve.ways]
    sizes = [cut.length(way.radius_mm) for way in curve.ways]
    axis = f"its axis {cut.said(deg(curve.axis_deg))} from u toward port through the middle of the palm"
    face = f"a cylinder of radius {sizes[0]}, {shapes[0]}, {axis}"
    if curve.second_order:
        face = (
            f"of second order, {shapes[0]} to a radius of {sizes[0]} square to its axis and {shapes[1]} to {sizes[1]} "
            f"along it in the middle, {axis}"
        )
    told = [
        "How deep the finished face then lies under the casting's, at so far "
        f"{'off that axis' if way.across else 'along it'} on either side: {_depths(cut, palm, cast, curve, way)}"
        for way in curve.ways
    ]
    return [
        f"the finished hull face is {face}; it is machined. The pattern's hull face stays plain, over the highest "
        f"place of the curve, so that it draws. {'. '.join(told)}"
    ]


def _depths(cut: CutFile, palm: Palm, cast: Palm, curve: HullCurve, way: Bend) -> str:
    turn, box = math.radians(way.turn_deg), palm.outline.bounding_box()
    half = (box.xmax - box.xmin) / 2, (box.ymax - box.ymin) / 2
    off = np.linspace(0.0, float(hull_curve.most_off_mm(*half, way.turn_deg - 90.0)), 5)
    high = np.asarray(curve.height_mm(off * math.cos(turn), off * math.sin(turn)))
    deep = cast.thickness_mm - palm.thickness_mm - high
    return ", ".join(f"{cut.length(x)}: {cut.length(y)}" for x, y in zip(off.tolist(), deep.tolist(), strict=True))


def arm_templates(strut: Strut, spec: FoundrySpec, arm: Arm) -> CutFile:
    """Return the arm's female half templates at STATIONS, datum edge down; one serves both sides.

    Each lies in the plane of the chord and of the direction across the arm.
    """
    cut = _new(strut, f"{arm.called} section templates")
    axes = frames.arm_axes(arm, strut.barrel, frames.arm_plane(strut, arm))
    y, k = 0.0, spec.factor
    for number, (part, along, section) in enumerate(arm_stations(strut, arm), start=1):
        label = f"station {number}, {part} %: {cut.length(k * along)} from the datum along the arm's axis"
        y = _female(cut, section.outline().scale(k), y, f"{label}, {_section_text(cut, section, k)}")
    lean = 90 - math.degrees(math.acos(float(np.clip(axes.u @ axes.n, -1, 1))))
    stand = (
        "stations are square to the arm's axis"
        if abs(lean) < 0.05
        else f"the chord is {cut.said(deg(abs(lean)))} off square to the arm's axis: hold the templates along the chord"
    )
    facts = [
        "female half templates: datum edge on the parting board or the chord line, hollow over the arm; leading edge "
        "to the right; the section is the same on both sides",
        f"0 % at the barrel's outside, 100 % at the finished hull face; {stand}",
    ]
    _finish(cut, strut, spec, arm.called, "both sides", facts)
    return cut


def skeg_templates(strut: Strut, spec: FoundrySpec, skeg: Skeg) -> CutFile:
    """Return the skeg's female half templates at STATIONS of its depth, datum edge down; one serves both sides."""
    cut = _new(strut, "skeg section templates")
    k, y = spec.factor, 0.0
    for number, (part, below, section) in enumerate(skeg_stations(strut, skeg), start=1):
        label = f"station {number}, {part} %: {cut.length(k * below)} below the shaft line"
        y = _female(cut, section.outline().scale(k), y, f"{label}, {_section_text(cut, section, k)}")
    facts = [
        "female half templates: datum edge on the middle plane of the fin; leading edge to the right; the section is "
        "the same on both sides",
        "0 % at the barrel's outside, 100 % at the fin's lower edge; square to the strut's z axis",
    ]
    _finish(cut, strut, spec, "skeg", "both sides", facts)
    return cut


def skeg_outline(strut: Strut, spec: FoundrySpec, skeg: Skeg) -> CutFile:
    """Return the fin's outline in its middle plane, seen from the starboard side, forward to the right."""
    cut = _new(strut, "skeg outline")
    b, k = strut.barrel, spec.factor
    rows = []
    for below in (b.outside_mm / 2, skeg.depth_mm):
        lead, chord, _ = chord_at(skeg, b, below)
        rows.append((lead, lead - chord, -below))
    (lead0, trail0, z0), (lead1, trail1, z1) = rows
    fin = np.array([(trail1, z1), (lead1, z1), (lead0, z0), (trail0, z0)])
    cut.add_polyline("FINISHED_OUTLINE", fin)
    cut.add_polyline("PATTERN_OUTLINE", k * fin)
    cut.add_line("CENTRE", (k * b.x(0.0) - 10.0, 0.0), (k * b.x(b.length_mm) + 10.0, 0.0))
    cut.add_text("shaft line", (k * b.x(b.length_mm) + 12.0, -1.0), SMALL_MM)
    add_arrow(cut, (10.0, 12.0), "FWD")
    facts = [
        "fin seen from the starboard side, down to its lower edge, up to the barrel's lowest line; the fin "
        "carries no machining stock"
    ]
    if skeg.heel is not None:
        facts.append(
            f"the heel boss has {cut.length(spec.stock_ends_mm)} stock on each face and is bored from "
            "solid; see the solid"
        )
    _finish(cut, strut, spec, "skeg", "middle plane, starboard side", facts)
    return cut


def parting_view(made: PatternSet) -> CutFile:
    """Return the pattern cut in the parting plane: the line of the joint, closed, with arcs where they are."""
    strut, spec = made.strut, made.spec
    cut = _new(strut, "parting line")
    axes = foundry.parting_axes(strut, spec.parting)
    side = np.cross(axes.u, axes.v)  # to the eye, forward to the right
    view = Viewpoint((float(side[0]), float(side[1]), float(side[2])), (1.0, 0.0, 0.0))
    for loop in _chained(cut_faces(made.pattern.shape, view).edges):
        cut.add_polyline("PARTING_LINE", loop)
    x0, _, x1, y1 = cut.bounds()
    cut.add_line("CENTRE", (x0 - 10.0, 0.0), (x1 + 10.0, 0.0))
    cut.add_text("shaft line", (x1 + 12.0, -1.0), SMALL_MM)
    cut.add_centre_mark((0.0, 0.0), 16.0)
    add_arrow(cut, (x1 - 45.0, y1 + 6.0), "FWD")
    names = foundry.half_names(spec.parting, strut.family)
    in_plane = " and the arm" if len(strut.arms) == 1 else " and between the two arms"
    where = f"through the shaft line{in_plane if spec.parting == 'arm_plane' else ', square to the arm'}"
    if not strut.arms:
        where = f"through the shaft line, {'upright' if spec.parting == 'arm_plane' else 'level'}"
    eye = names[0] if float(side @ axes.n) > 0 else names[1]
    facts = [
        f"the pattern in its joint, {where}; seen from the side of the {eye}, forward to the right; zero is the datum",
        f"halves: {names[0]} and {names[1]}; weight of the rough casting {cut.said(kg(made.casting_kg))} without "
        "runners and feeders",
    ]
    _finish(cut, strut, spec, "pattern", "parting plane", facts)
    return cut


def _chained(shapes: Sequence[Shape]) -> list[NDArray[np.float64]]:
    """Return plane curves joined end to end into closed rows of x, y, bulge; the longest loop first."""
    pieces = []
    for shape in shapes:
        if isinstance(shape, Line):
            pieces.append(np.array([[*shape.a, 0.0], [*shape.b, 0.0]]))
        elif isinstance(shape, Arc) and not shape.full:
            first, last = shape.point(shape.start), shape.point(shape.start + shape.sweep)
            pieces.append(np.array([[*first, math.tan(shape.sweep / 4)], [*last, 0.0]]))
        else:
            points = np.asarray(flatten(shape, 0.01))
            pieces.append(np.column_stack((points, np.zeros(len(points)))))
    loops = []
    while pieces:
        loop = pieces.pop(0)
        while pieces and math.dist(loop[0, :2], loop[-1, :2]) > 1e-3:
            gaps = [min(math.dist(p[0, :2], loop[-1, :2]), math.dist(p[-1, :2], loop[-1, :2])) for p in pieces]
            nearest = int(np.argmin(gaps))
            if gaps[nearest] > 1e-2:
                break
            piece = pieces.pop(nearest)
            if math.dist(piece[-1, :2], loop[-1, :2]) < math.dist(piece[0, :2], loop[-1, :2]):
                piece = Outline(piece, closed=False).reversed().vertices
            loop = np.concatenate((loop[:-1], piece))
        loops.append(loop[:-1] if math.dist(loop[0, :2], loop[-1, :2]) <= 1e-3 else loop)
    return sorted(loops, key=lambda p: -float(np.ptp(p[:, 0]) + np.ptp(p[:, 1])))


def _section_text(cut: CutFile, section: Section, k: float) -> str:
    return f"chord {cut.length(k * section.chord_mm)}, thickness {cut.length(k * section.thickness_mm)}"


def _female(cut: CutFile, shape: Outline, y: float, label: str) -> float:
    """Add a board with the upper half of a section cut out of its datum edge at y; return y for the next."""
    hollow = drafted.upper_half(shape).reversed().vertices
    left, right = float(hollow[0, 0]), float(hollow[-1, 0])
    box = shape.bounding_box()
    low, high, top = box.xmin - _BOARD_MM, box.xmax + _BOARD_MM, box.ymax + _BOARD_MM
    board = np.concatenate(([(low, 0.0, 0.0)], hollow, [(high, 0.0, 0.0), (high, top, 0.0), (low, top, 0.0)]))
    board[len(hollow), 2] = 0.0
    cut.add_polyline("TEMPLATE", board + np.array((0.0, y, 0.0)))
    cut.add_line("CENTRE", (0.0, y - 2.0), (0.0, y + top + 2.0))
    cut.add_line("CENTRE", (left, y), (right, y))
    cut.add_text("DATUM EDGE", (low + 1.0, y - 4.0), SMALL_MM)
    cut.add_text(label, (high + 6.0, y + top / 2), SMALL_MM)
    return y + top + 12.0


def _new(strut: Strut, name: str) -> CutFile:
    cut = cut_file(strut, name)
    for layer, (colour, _) in _LAYERS.items():
        cut.add_layer(layer, colour, "DASHED" if layer == "FINISHED_OUTLINE" else "CONTINUOUS")
    return cut


def _finish(cut: CutFile, strut: Strut, spec: FoundrySpec, part: str, face: str, facts: Sequence[str]) -> None:
    """Add what every template carries: true check bars both ways, and what it is, under the drawing."""
    x0, y0, x1, _ = cut.bounds()
    step = 100.0 if cut.unit == "mm" else 4 * INCH_MM
    below = y0 - 26.0
    for k, length in enumerate((step, 3 * step)):
        cut.add_check_bar((x0, below - 10.0 * k), length)
        cut.add_check_bar((x0 - 24.0 - 10.0 * k, below), length, vertical=True)
    who = strut.identity
    hand = hand_text(strut)
    layers = {layer.dxf.name for layer in cut.document().layers}
    used = "; ".join(f"{name} {holds}" for name, (_, holds) in _LAYERS.items() if name in layers)
    again, own = ". Do not add it again", cut.own
    if spec.factor == 1.0:
        again, used = "", used.replace(", contraction included", "").replace(", without contraction", "")
    lines = [
        f"{who.name}, {who.number}, revision {who.revision}; alloy {spec.alloy}",
        own(f"{spec.contraction_text()}; {spec.contraction_note}{again}"),
        f"face: {own(face)}. Scale 1:1 of the pattern, unit {cut.unit_word}. File "
        f"{pattern_size(strut, spec, f'template {cut.name}')}",
        *map(own, facts),
        *([f"layers: {used}"] if used else []),
        "the check bars are true lengths without contraction: measure them in both directions before use",
        "guidance, not approval: contraction, stock, feeding and moulding are the founder's to settle",
    ]
    width = max(x1 - x0, _LEAST_WIDTH, 3 * step)
    y = below - 24.0
    for text, height in [(f"{own(part)}: {hand}", LARGE_MM), *((line, TEXT_MM) for line in lines)]:
        for row in wrap(text[0].upper() + text[1:], height, width):
            cut.write(row, (x0, y), height)
            y -= 1.7 * height
