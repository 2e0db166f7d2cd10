"""Full-size outlines of the strut as DXF: palm, arm, arm sections, skeg, barrel.

Each function returns one `CutFile` in the file's unit; `pattern_files` returns all of a strut. Nothing is allowed for:
no kerf, no contraction, no machining stock; only the root gap of a prepared arm is taken off. Palms are drawn in their
own axes with the palm zero at (0, 0); a plate is drawn as its longest outline, with lines to bevel to on layer ENGRAVE.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal, TypeAlias

import numpy as np

from strutwright.exporters.drawing.shapes import P, xy
from strutwright.exporters.files.cutfile import CutFile, cut_file
from strutwright.exporters.files.flange_outlines import flange_pattern, gasket_pattern, rib_pattern
from strutwright.exporters.files.hanger_outlines import hanger_patterns
from strutwright.exporters.files.lettering import (
    SMALL_MM,
    TEXT_MM,
    Lettering,
    angle_text,
    finish,
    hand_text,
    off_trace_text,
    zero_text,
)
from strutwright.exporters.files.outdir import slug
from strutwright.models import frames
from strutwright.models.families import CLOCK_ZERO, ZERO_PARTS
from strutwright.models.geometry.barrel import is_faired
from strutwright.models.geometry.flange import half_section
from strutwright.models.geometry.skeg import boss_bore_mm, chord_at, fin_kind, foot_start_mm, stock_axis
from strutwright.models.geometry.stations import arm_stations
from strutwright.models.outline import FIT_TOL_MM, Floats, Outline, fit_arcs, join, polygon
from strutwright.models.sections import kind_of
from strutwright.models.shop import arm_ends, cuts
from strutwright.models.spec import Arm, Palm, Skeg, Strut
from strutwright.params import tables
from strutwright.params.words import deg, fine_mm

Face = Literal["hull face", "water face"]
_Curve: TypeAlias = Callable[[float], tuple[float, float]]
"""Place along the arm axis (mm) at a place along the chord (mm), and its slope."""
FACES = {-0.5: "starboard face", 0.0: "mid-plane", 0.5: "port face"}
"""Of an arm, by thicknesses from its mid-plane."""
_GAP = 12.0


def pattern_files(strut: Strut) -> dict[str, CutFile]:
    """Return all outline files of the strut by part and face, as in the name of the file (`naming.finished`)."""
    files: dict[str, CutFile] = {}
    for palm in strut.palms:
        for face in ("hull face", "water face"):
            files[f"{slug(palm.name)}-{slug(face)}"] = palm_pattern(strut, palm, face)
    if strut.flange is not None:
        files["flange-free-face"] = flange_pattern(strut, strut.flange)
        files["gasket"] = gasket_pattern(strut, strut.flange)
        if strut.flange.ribs is not None and strut.construction == "welded":
            files["ribs"] = rib_pattern(strut, strut.flange)
    if strut.hanger is not None:
        files |= hanger_patterns(strut, strut.hanger)
    for arm in strut.arms:
        files[f"{slug(arm.name)}-profile"] = arm_pattern(strut, arm)
        files[f"{slug(arm.name)}-section-templates"] = section_templates(strut, arm)
    if strut.skeg is not None:
        files["skeg-profile"] = skeg_pattern(strut, strut.skeg)
    files["barrel-half-section"] = barrel_section(strut)
    files["barrel-aft-end"] = barrel_end(strut)
    return files


# --- palm -----------------------------------------------------------------------------------------------------------


def palm_pattern(strut: Strut, palm: Palm, face: Face) -> CutFile:
    """Return the palm full size, seen on the face named; u (forward) runs to the right.

    Seen on the hull face v (port) runs up, seen on the water face it runs down. Holes are on DRILL, rims of
    countersinks and counterbores on COUNTERSINK (water face) or PHANTOM (hull face, where they lie below),
    the trace of the vertical plane through the shaft, or the line through zero parallel to it, on CENTRE.
    """
    seen = 1.0 if face == "hull face" else -1.0
    cut = cut_file(strut, f"{palm.name}, {face}")
    shape = palm.outline if seen > 0 else palm.outline.mirror("x")
    cut.add_outline("CUT_OUTER", shape)
    rim_layer = "COUNTERSINK" if face == "water face" else "PHANTOM"
    bolt = palm.bolt
    mark = 1.4 * max(bolt.hole_mm, bolt.head_diameter_mm)
    places = [(hole.u_mm, seen * hole.v_mm) for hole in palm.holes]
    for at in places:
        cut.add_circle("DRILL", at, bolt.hole_mm)
        if _headed(palm):
            cut.add_circle(rim_layer, at, bolt.head_diameter_mm)
        cut.add_centre_mark(at, mark)
    box = shape.bounding_box()
    reach = max(-box.xmin, box.xmax) + 10.0
    turn = math.radians(-seen * palm.axes_deg)
    along = np.array((math.cos(turn), math.sin(turn)))
    cut.add_line("CENTRE", xy(-reach * along), xy(reach * along))
    turned = abs(palm.axes_deg) > 1e-9
    if turned:
        cut.add_line("CENTRE", (-reach, 0.0), (reach, 0.0))
    cut.add_line("CENTRE", (0.0, box.ymin - 10.0), (0.0, box.ymax + 10.0))
    letters = Lettering(cut)
    rim_mm = bolt.head_diameter_mm if _headed(palm) else bolt.hole_mm
    letters.number_holes([hole.number for hole in palm.holes], places, rim_mm / 2)
    letters.inside(shape, [f"{palm.name}: {hand_text(strut)}", f"{face.upper()} of the palm to you"], "FWD")
    if turned:
        letters.beside(
            "shaft projected on the palm, u" if strut.hanger is None else "length of the foot, u",
            (reach, 0.0),
            way_deg=-math.degrees(turn),
        )
    off = arm_ends.off_trace(palm)
    trace = "trace of the shaft's vertical plane"
    letters.beside(f"parallel to the {trace}" if off.is_off else trace, xy(reach * along), way_deg=math.degrees(turn))
    sides = (strut.identity.side("port"), seen, 90.0 * seen), (strut.identity.side("starboard"), -seen, -90.0 * seen)
    for side, y, way in sides:
        letters.beside(side.upper(), (0.0, box.ymax + 10.0 if y > 0 else box.ymin - 10.0), way_deg=way)
    _arrow_over(cut, "FWD")
    finish(cut, strut, f"{palm.name}, {face}", face, _palm_facts(cut, strut, palm, face), long_bars=True)
    return cut


def _headed(palm: Palm) -> bool:
    return bool(palm.bolt.recess)


def _palm_facts(cut: CutFile, strut: Strut, palm: Palm, face: Face) -> list[str]:
    bolt, off, on_hull = palm.bolt, arm_ends.off_trace(palm), face == "hull face"
    head = cut.length(bolt.head_diameter_mm)
    sink = ""
    if bolt.head.conical:
        sink = f", {bolt.head.recess} {cut.said(deg(bolt.head_angle_deg))} to {head} dia on the water face"
    elif bolt.head.recess:
        sink = f", {bolt.head.recess} {head} dia x {cut.length(bolt.head_depth_mm)} deep on the water face"
    if _headed(palm):
        sink += "; inner circles the holes, outer circles their heads"
        sink += ", which lie on the other face: do not sink them here" if on_hull else ""
    thinned = ""
    if palm.bevel_width_mm > 0.0:
        high, wide = (cut.length(v) for v in (palm.bevel_height_mm, palm.bevel_width_mm))
        thinned = f", its edges on the water face thinned by {high} over {wide}"
    return [
        f"seen on the {face.upper()}; u forward to the right, v to port {'up' if on_hull else 'down'}; "
        f"{zero_text(strut, palm)}",
        *([off_trace_text(cut, off)] if off.is_off else []),
        f"{len(palm.holes)} holes {cut.length(bolt.hole_mm)} dia for {bolt.size}, square to the palm{sink}",
        f"palm {cut.length(palm.thickness_mm)} thick{thinned}. The other face is the mirror image about u; "
        "a number means the same hole on both",
    ]


# --- arm ------------------------------------------------------------------------------------------------------------


def arm_pattern(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's flat side profile in its mid-plane, the chord running forward to the right.

    CUT_OUTER is the longest outline over the whole thickness. At the barrel the saddle and at the palm's water face the
    trim line are also drawn where they meet the mid-plane and the two faces of the arm (ENGRAVE), to bevel to.
    """
    cut = cut_file(strut, f"{arm.name} profile")
    side = _ArmSide(strut, arm)
    low, high = {k: side.saddle(k) for k in FACES}, {k: side.trim(k) for k in FACES}
    # The cut follows the face that keeps the arm longest; of two saddles that cross, the lower one, lowered to clear.
    bottom, other = sorted((low[-0.5], low[0.5]), key=lambda c: float(np.mean(c.vertices[:, 1])))
    short = _shortfall(bottom, other)
    if short > FIT_TOL_MM:
        bottom = bottom.translate(0.0, -short - FIT_TOL_MM)
    top = max((high[-0.5], high[0.5]), key=lambda c: float(np.mean(c.vertices[:, 1])))
    cut.add_outline("CUT_OUTER", _quad(bottom, top))
    coped = side.coped()
    ends = {"barrel": _bevel_lines(cut, low, bottom, coped), "palm": _bevel_lines(cut, high, top, [])}
    foot, head = side.point(0.0, 0.0), side.point(side.ends[1] + 10.0, 0.0)
    cut.add_line("CENTRE", xy(foot), xy(head))
    for where, rows in ends.items():
        _beside_right(cut, [(xy(chain.vertices[-1]), f"{where}: {', '.join(names)}") for chain, names in rows])
    letters = Lettering(cut)
    letters.inside(_quad(bottom, top), [f"{arm.name}: {hand_text(strut)}", "STARBOARD SIDE to you"], "LEADING EDGE")
    letters.beside("arm axis, foot on the shaft line", xy(foot), off_mm=1.5, way_deg=-90.0)
    _arrow_over(cut, "FWD")
    words = f"{arm.name}, profile", "seen from the starboard side, in the mid-plane"
    finish(cut, strut, *words, _arm_facts(cut, strut, arm, coped), long_bars=True)
    return cut


def _bevel_lines(
    cut: CutFile, ends: dict[float, Outline], edge: Outline, coped: list[str]
) -> list[tuple[Outline, list[str]]]:
    """Draw where an end meets the mid-plane and the two faces of an arm; return the lines with the names of each.

    edge: what is drawn there already. coped: the faces that are left out.
    """
    rows: list[tuple[Outline, list[str]]] = []
    drawn = [edge]
    for chain, name in zip(ends.values(), FACES.values(), strict=True):
        if name in coped:
            continue
        same = [names for line, names in rows if _same(line, chain)]
        if same:
            same[0].append(name)
            continue
        rows.append((chain, [name]))
        if not any(_same(line, chain) for line in drawn):
            cut.add_outline("ENGRAVE", chain)
            drawn.append(chain)
    return rows


def _arm_facts(cut: CutFile, strut: Strut, arm: Arm, coped: list[str]) -> list[str]:
    welded, taken = strut.construction == "welded", cuts.root_gap_mm(strut)
    gap = f"Root gap {cut.length(taken)} is taken off at each end" if taken > 0.0 else "No root gap is taken off"
    use = "for comparison only: a cast arm is not cut to this profile; the pattern is larger by its contraction"
    if welded:
        use = (
            "cut to the outer line, which keeps the arm as long as it is anywhere over its thickness; then bevel to "
            f"the other lines. {gap}"
        )
    facts = [
        f"clock angle of the arm {angle_text(arm.clock_deg)} deg from the hull, positive toward port; rake "
        f"{angle_text(arm.rake_deg)} deg, toe {angle_text(arm.toe_deg)} deg",
        f"{'flat blank' if welded else 'side profile'} in the mid-plane, seen from the starboard side; leading edge to "
        "the right",
        f"thickness {cut.length(arm.thickness_barrel_mm)} at the barrel, "
        f"{cut.length(arm.thickness_palm_mm)} at the hull face; section {kind_of(arm.shape).called}",
        use,
    ]
    if coped:
        one = len(coped) == 1
        met = f"{'is' if one else 'are'} cut to" if welded else f"{'runs' if one else 'run'} into"
        facts.append(
            f"the {' and the '.join(coped)} {met} the other arm at the barrel: no line is drawn there, take it from "
            "the wrap of the barrel end"
        )
    return facts


class _ArmSide:
    """The arm's mid-plane as a sheet: y along the arm axis from the shaft line, x square to it and forward."""

    def __init__(self, strut: Strut, arm: Arm) -> None:
        self.strut, self.arm = strut, arm
        plane = frames.arm_plane(strut, arm)
        self.axes = frames.arm_axes(arm, strut.barrel, plane)
        self.ends = frames.arm_ends_mm(arm, strut.barrel, plane)
        self.gap = cuts.root_gap_mm(strut)
        f, d = self.axes.u, self.axes.n
        self.lean = float(f @ d)
        self.forward = math.sqrt(1.0 - self.lean**2)

    def point(self, along: float, chord: float) -> Floats:
        """Sheet place of a point along the axis and along the chord (mm)."""
        return np.array((chord * self.forward, along + chord * self.lean))

    def _half_chord(self, along: float) -> float:
        return float(frames.arm_size_at(self.arm, self.ends, along)[0]) / 2

    def _chain(self, along_at: _Curve) -> Outline:
        """The curve along = along_at(chord) between the trailing and the leading edge, as lines and arcs."""
        ends = []
        for sign in (-1.0, 1.0):
            chord = sign * self._half_chord(along_at(0.0)[0])
            for _ in range(50):
                chord = sign * self._half_chord(along_at(chord)[0])
            ends.append(chord)
        chords = np.linspace(ends[0], ends[1], 201)
        rows = [along_at(float(c)) for c in chords]
        points = np.array([self.point(s, float(c)) for c, (s, _) in zip(chords, rows, strict=True)])
        if max(abs(slope - rows[0][1]) for _, slope in rows) < 1e-12:
            return Outline(np.array([[*points[0], 0.0], [*points[-1], 0.0]]), closed=False)
        slopes = np.array([(self.forward, self.lean + slope) for _, slope in rows])
        return fit_arcs(points, slopes, FIT_TOL_MM)

    def saddle(self, face: float) -> Outline:
        """Where the arm is cut at the barrel's outside; face: -0.5, 0 or 0.5 thicknesses from the mid-plane."""
        across = face * self.arm.thickness_barrel_mm
        radius = self.strut.barrel.outside_mm / 2 + self.gap
        u, v, n = (np.asarray(w)[1:] for w in (self.axes.u, self.axes.v, self.axes.n))

        def along_at(chord: float) -> tuple[float, float]:
            base = chord * u + across * v
            a, b, c = float(n @ n), float(n @ base), float(base @ base) - radius**2
            s = (-b + math.sqrt(b * b - a * c)) / a
            where = base + s * n
            return s, -float(where @ u) / float(where @ n)

        return self._chain(along_at)

    def coped(self) -> list[str]:
        """The faces whose barrel end is cut to the other arm instead."""
        side, low, _ = cuts.cut_arm(self.strut, self.arm)
        inner = [bool(low.coped[: side.leading].any()), bool(low.coped[side.leading :].any())]
        middle = low.coped[side.leading] or low.coped[0]
        return [name for name, here in zip(FACES.values(), (inner[0], bool(middle), inner[1]), strict=True) if here]

    def trim(self, face: float) -> Outline:
        """Where the arm is cut at the palm's water face; face as in `saddle`."""
        palm = self.strut.palms[self.arm.palm_index]
        hull = frames.palm_axes(palm)
        across = face * self.arm.thickness_palm_mm
        n = hull.n
        gap = float((hull.origin - self.axes.origin) @ n) - palm.thickness_mm - self.gap
        gap -= across * float(self.axes.v @ n)
        per = float(self.axes.n @ n)
        slope = -float(self.axes.u @ n) / per

        def along_at(chord: float) -> tuple[float, float]:
            return gap / per + slope * chord, slope

        return self._chain(along_at)


def _shortfall(chain: Outline, other: Outline) -> float:
    """How far a chain rises above another (mm), both running forward."""
    a, b = chain.polyline(FIT_TOL_MM / 10), other.polyline(FIT_TOL_MM / 10)
    return float(np.max(a[:, 1] - np.interp(a[:, 0], b[:, 0], b[:, 1])))


def _same(chain: Outline, other: Outline) -> bool:
    """True when two chains that run the same way lie on each other within the tolerance of the arcs."""
    gaps = np.hypot(*(chain.vertices[[0, -1], :2] - other.vertices[[0, -1], :2]).T)
    return bool(gaps.max() < FIT_TOL_MM) and max(_shortfall(chain, other), _shortfall(other, chain)) < FIT_TOL_MM


def _quad(bottom: Outline, top: Outline) -> Outline:
    """Join two chains that run the same way by straight sides to a closed outline."""
    a, b = bottom.vertices, top.reversed().vertices
    sides = [
        Outline(np.array([[*a[-1, :2], 0.0], [*b[0, :2], 0.0]]), closed=False),
        Outline(np.array([[*b[-1, :2], 0.0], [*a[0, :2], 0.0]]), closed=False),
    ]
    return join((bottom, sides[0], top.reversed(), sides[1]), closed=True)


def section_templates(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's sections at 0, 25, 50, 75 and 100 % of the way from the barrel's outside to the hull face.

    Each lies in the plane of the chord and of the direction across the arm; leading edge to the right, port face up;
    ellipses and foils as arcs within FIT_TOL_MM.
    """
    cut = cut_file(strut, f"{arm.name} section templates")
    y = 0.0
    shapes: list[tuple[str, Outline]] = []
    for part, along, section in arm_stations(strut, arm):
        chord, thickness = section.chord_mm, section.thickness_mm
        shape = section.outline().translate(0.0, y)
        cut.add_outline("TEMPLATE", shape)
        cut.add_line("CENTRE", (-chord / 2 - 6.0, y), (chord / 2 + 6.0, y))
        cut.add_line("CENTRE", (0.0, y - thickness / 2 - 4.0), (0.0, y + thickness / 2 + 4.0))
        said = [cut.length(v) for v in (along, chord, thickness)]
        words = f"{part} %: {said[0]} from the shaft line, chord {said[1]}, thickness {said[2]}"
        cut.add_text(words, (chord / 2 + 10.0, y - TEXT_MM / 2), TEXT_MM)
        shapes.append((f"{arm.name} {part} %", shape))
        y += max(arm.thickness_barrel_mm, arm.thickness_palm_mm) + _GAP
    letters = Lettering(cut)
    for name, shape in shapes:
        letters.inside(shape, [name])
    letters.put_arrow("LEADING EDGE", [(0.0, y)])
    letters.put("PORT FACE", [(0.0, y + 12.0)])
    letters.put("STARBOARD FACE", [(0.0, cut.extents()[1] - TEXT_MM)])
    facts = [
        "section templates; leading edge to the right, port face up",
        "0 % at the barrel's outside, 100 % at the hull face, along the arm axis",
    ]
    what = f"{arm.name}, section templates"
    finish(cut, strut, what, "seen from the hull toward the barrel", facts, long_bars=True)
    return cut


# --- skeg -----------------------------------------------------------------------------------------------------------


def skeg_pattern(strut: Strut, skeg: Skeg) -> CutFile:
    """Return the fin in the vertical plane through the shaft, forward to the right, hull up, and its heel.

    CUT_OUTER reaches up to where the fin's faces meet the barrel; the barrel's lowest line is on ENGRAVE.
    """
    cut = cut_file(strut, "skeg profile")
    barrel = strut.barrel
    radius = barrel.outside_mm / 2
    # The faces of the fin lie off the middle and meet the round barrel higher up.
    root = math.sqrt(radius**2 - (skeg.thickness_root_mm / 2) ** 2)
    rows = []
    for below in (root, skeg.depth_mm):
        lead, chord, _ = chord_at(skeg, barrel, below)
        rows.append((lead, lead - chord, -below))
    (lead0, trail0, z0), (lead1, trail1, z1) = rows
    fin = [(trail1, z1), (lead1, z1), (lead0, z0), (trail0, z0)]
    cut.add_polyline("CUT_OUTER", fin)
    lead, chord, _ = chord_at(skeg, barrel, radius)
    cut.add_line("ENGRAVE", (lead - chord, -radius), (lead, -radius))
    named: list[tuple[str, P]] = [("barrel's lowest line", (lead, -radius))]
    cut.add_line("CENTRE", (barrel.x(0.0) - 10.0, 0.0), (barrel.x(barrel.length_mm) + 10.0, 0.0))
    named.append(("shaft line", (barrel.x(barrel.length_mm) + 10.0, 0.0)))
    facts = [
        f"fin seen from the starboard side, forward to the right; thickness "
        f"{cut.length(skeg.thickness_root_mm)} at the root, {cut.length(skeg.thickness_tip_mm)} at the "
        f"lower edge; leading edge: {fin_kind(skeg).nose}"
    ]
    if skeg.heel is not None:
        heel = skeg.heel
        up = stock_axis(heel)
        base = np.asarray(heel.centre_mm)
        across = np.array((up[2], -up[0])) / math.hypot(up[0], up[2])
        middle, rise = base[[0, 2]], heel.height_mm / 2 * up[[0, 2]]
        for half in (heel.outside_mm / 2 * across, boss_bore_mm(heel) / 2 * across):
            corners = ((-half, -rise), (half, -rise), (half, rise), (-half, rise))
            cut.add_polyline("PHANTOM", [middle + aside + up_mm for aside, up_mm in corners])
        low_end = xy(middle - 1.6 * rise)
        cut.add_line("CENTRE", low_end, xy(middle + 1.6 * rise))
        start = foot_start_mm(barrel, skeg, heel)
        foot = (start[0], start[2])
        way = (middle - foot) / math.dist(middle, foot)
        rise = heel.foot_height_mm / 2 * np.array((-way[1], way[0]))
        cut.add_polyline("PHANTOM", [foot - rise, middle - rise, middle + rise, foot + rise])
        cut.add_line("CENTRE", foot, xy(middle))
        named.append(("centre line of the foot", foot))
        named.append(("rudder stock axis", low_end))
        facts.append(
            f"heel boss {cut.length(heel.outside_mm)} dia x {cut.length(heel.height_mm)}, bored "
            f"{cut.length(boss_bore_mm(heel))}, for a running bore of {cut.length(heel.bore_mm)}; "
            f"foot {cut.length(heel.foot_height_mm)} high x {cut.length(heel.foot_thickness_mm)} thick, "
            "half round at its forward end, its other end bored with the boss"
        )
    letters = Lettering(cut)
    letters.inside(polygon(fin), [f"skeg: {hand_text(strut)}", "STARBOARD SIDE to you"], "FWD")
    for text, at in named:
        letters.beside(text, at)
    _arrow_over(cut, "FWD")
    finish(cut, strut, "skeg", "seen from the starboard side, in the mid-plane", facts, long_bars=True)
    return cut


# --- barrel ---------------------------------------------------------------------------------------------------------


def _spigot_facts(cut: CutFile, strut: Strut) -> list[str]:
    """What is said of a spigot that stands on the barrel's end."""
    s = None if strut.flange is None else strut.flange.spigot
    if s is None:
        return []
    barbs = f"; {s.barbs} barbs {cut.length(s.barb_height_mm)} high" if s.barbs else ""
    sizes = f"{cut.length(s.outside_mm)} outside, bore {cut.length(s.bore_mm)}, {cut.length(s.length_mm)} long"
    return [f"spigot {sizes}, from where the bedding face meets the shaft line{barbs}; the flange is not drawn"]


def barrel_section(strut: Strut) -> CutFile:
    """Return the upper half of the barrel cut along the shaft line, forward to the right, bore included.

    Set screws are shown by their centre lines with station and clock angle, turned into the plane of the section.
    """
    cut = cut_file(strut, "barrel half section")
    barrel = strut.barrel
    outer, inner = half_section(strut)
    rows = outer + [(x, r, 0.0) for x, r in reversed(inner)]
    cut.add_outline("TEMPLATE", Outline(np.array(rows)))
    x0, x1 = outer[0][0], outer[-1][0]
    cut.add_line("CENTRE", (x0 - 10.0, 0.0), (x1 + 10.0, 0.0))
    cut.add_text("shaft line", (x1 + 12.0, -TEXT_MM / 2), TEXT_MM)
    stations: dict[float, list[str]] = {}
    for screw in strut.set_screws:
        stations.setdefault(round(screw.station_mm, 6), []).append(
            f"screw {screw.number}: {tables.tapped(screw.thread)}, {cut.length(screw.station_mm)} from the aft face, "
            f"clock {angle_text(screw.clock_deg)} deg"
        )
    # The aft screw's words stand highest, so that no screw's line runs through the words of another.
    level = max(r for _, r, _ in outer) + 6.0
    for station in sorted(stations, reverse=True):
        for words in stations[station]:
            cut.add_text(words, (barrel.x(station) + 1.5, level), TEXT_MM)
            level += 1.8 * TEXT_MM
        x = barrel.x(station)
        cut.add_line("CENTRE", (x, barrel.bore_mm / 2 - 4.0), (x, level - 0.8 * TEXT_MM))
    letters = Lettering(cut)
    letters.put_arrow("FWD", [((x0 + x1) / 2, -10.0)])
    for words, x, turn in (("AFT FACE", x0 - 4.0, math.pi / 2), ("FORWARD FACE", x1 + 4.0, math.pi / 2)):
        letters.put(words, [(x, y) for y in (barrel.outside_mm / 4, barrel.outside_mm / 2)], turn=turn)
    steps = [
        f"{step.kind} from {cut.length(step.from_station_mm)} to "
        f"{cut.length(step.to_station_mm)}, {cut.length(step.diameter_mm)} dia"
        for step in barrel.steps
    ]
    low, high = (cut.said(fine_mm(barrel.bore_mm + off)) for off in (barrel.bore_lower_mm, barrel.bore_upper_mm))
    facts = [
        "half section along the shaft line, forward to the right",
        f"bore {cut.length(barrel.bore_mm)}, made {low} to {high}; outside {cut.length(barrel.outside_mm)}; length "
        f"{cut.length(barrel.length_mm)}; stations from the aft face",
        *steps,
        *_spigot_facts(cut, strut),
    ]
    seen = "section along the shaft line, seen from the starboard side"
    finish(cut, strut, "barrel, half section", seen, facts, long_bars=True)
    return cut


def barrel_end(strut: Strut) -> CutFile:
    """Return the barrel seen on its aft face: circles, and a line at each clock angle in use; hull up, port left."""
    cut = cut_file(strut, "barrel aft end")
    barrel = strut.barrel
    cut.add_circle("TEMPLATE", (0.0, 0.0), barrel.outside_mm)
    tapered = is_faired(barrel, barrel.aft_end)
    if tapered:
        cut.add_circle("TEMPLATE", (0.0, 0.0), barrel.aft_end.end_diameter_mm)
    cut.add_circle("TEMPLATE", (0.0, 0.0), barrel.bore_mm)
    half = barrel.outside_mm / 2
    cut.add_centre_mark((0.0, 0.0), 2 * half + 20.0)
    marks = [(arm.clock_deg, arm.name) for arm in strut.arms]
    marks += [(s.clock_deg, f"screw {s.number}") for s in strut.set_screws]
    labels: dict[float, list[str]] = {}
    for clock, name in marks:
        labels.setdefault(round(clock, 6) + 0.0, []).append(name)
    ways = {}
    for clock in sorted(labels):
        # Seen from astern port is on the left.
        ways[clock] = way = np.array((-math.sin(math.radians(clock)), math.cos(math.radians(clock))))
        cut.add_line("CENTRE", xy(barrel.bore_mm / 2 * way), xy((half + 14.0) * way))
    letters = Lettering(cut)
    zero = CLOCK_ZERO[strut.family].upper()
    for side, x, y, toward in ((zero, 0.0, 1.0, 90.0), ("PORT", -1.0, 0.0, 180.0), ("STARBOARD", 1.0, 0.0, 0.0)):
        letters.beside(side, ((half + 10.0) * x, (half + 10.0) * y), way_deg=toward)
    for clock, way in ways.items():
        text, toward = f"{', '.join(labels[clock])}: {angle_text(clock)} deg", math.degrees(math.atan2(way[1], way[0]))
        letters.beside(text, xy((half + 14.0) * way), way_deg=toward)
    facts = [f"outside {cut.length(barrel.outside_mm)} dia, bore {cut.length(barrel.bore_mm)} dia"]
    if tapered:
        facts[0] += f", {cut.length(barrel.aft_end.end_diameter_mm)} dia at the aft face"
    word = CLOCK_ZERO[strut.family]
    facts.append(
        f"{word} up, port to the left; clock angles from the {word}, positive toward port"
        if word in ZERO_PARTS
        else "up is up, port to the left; clock angles from up, positive toward port"
    )
    finish(cut, strut, "barrel, aft end", "aft face, seen from astern", facts, long_bars=True)
    return cut


# --- common ---------------------------------------------------------------------------------------------------------


def _arrow_over(cut: CutFile, text: str) -> None:
    """An arrow over all that is drawn and written, at the right."""
    x0, _, x1, y1 = cut.extents()
    middle = max(x1 - 20.0, (x0 + x1) / 2)
    Lettering(cut).put_arrow(text, [(middle, y1 + 6.0)])


def _beside_right(cut: CutFile, ends: list[tuple[P, str]]) -> None:
    """Name line ends on the right, one under the other, each with a line to its end."""
    pitch = 1.7 * SMALL_MM
    ends = sorted(ends, key=lambda end: -end[0][1])
    x = max(at[0] for at, _ in ends) + 9.0
    ys: list[float] = []
    for (_, y), _ in ends:
        ys.append(min(y, ys[-1] - pitch) if ys else y)
    shift = sum(at[1] for at, _ in ends) / len(ends) - sum(ys) / len(ys)
    for (at, text), y in zip(ends, ys, strict=True):
        cut.add_line("TEXT", (at[0] + 0.8, at[1]), (x - 1.0, y + shift))
        cut.add_text(text, (x, y + shift - SMALL_MM / 2), SMALL_MM)
