"""True-scale outlines of the strut as DXF: palm, arm, arm sections, skeg, barrel.

Each function returns one `CutFile` in the file's unit; `pattern_files` returns all of a strut. Nothing is
allowed for: no kerf, no contraction, no machining stock. Palms are drawn in their own axes with the palm zero
at (0, 0); a plate is drawn as its longest outline, with lines to bevel to on layer ENGRAVE.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Literal, TypeAlias

import numpy as np

from strutwright.exporters.cutfile import CutFile
from strutwright.exporters.drawing.dxfdoc import MM_PER_INCH, Unit
from strutwright.exporters.outdir import slug
from strutwright.models import frames
from strutwright.models.build.arm import edge_radius_at
from strutwright.models.build.barrel import bore_points, outside_chain
from strutwright.models.build.skeg import boss_bore_mm, chord_at, stock_axis
from strutwright.models.outline import FIT_TOL_MM, Floats, Outline, fit_arcs, join, rectangle
from strutwright.models.sections import Section, outline
from strutwright.models.spec import Arm, Palm, Skeg, Strut

Face = Literal["hull face", "water face"]
TEMPLATE_PARTS = (0, 25, 50, 75, 100)
"""Where the arm's section templates are taken, in per cent of the way from the barrel to the hull face."""
_Curve: TypeAlias = Callable[[float], tuple[float, float]]
"""Place along the arm axis (mm) at a place along the chord (mm), and its slope."""
_GAP = 12.0
_TEXT = 4.0


def file_unit(strut: Strut) -> Unit:
    """Return the unit the strut's files are written in."""
    return "inch" if strut.file_units == "in" else "mm"


def pattern_files(strut: Strut) -> dict[str, CutFile]:
    """Return all pattern files of the strut by file name (without ending): part, face and hand are in the
    name.
    """
    hand = strut.identity.hand
    files: dict[str, CutFile] = {}
    for palm in strut.palms:
        for face in ("hull face", "water face"):
            files[f"{slug(palm.name)}-{slug(face)}-{hand}"] = palm_pattern(strut, palm, face)
    for arm in strut.arms:
        files[f"{slug(arm.name)}-profile-{hand}"] = arm_pattern(strut, arm)
        files[f"{slug(arm.name)}-section-templates-{hand}"] = section_templates(strut, arm)
    if strut.skeg is not None:
        files[f"skeg-profile-{hand}"] = skeg_pattern(strut, strut.skeg)
    files[f"barrel-half-section-{hand}"] = barrel_section(strut)
    files[f"barrel-aft-end-{hand}"] = barrel_end(strut)
    return files


# --- palm -----------------------------------------------------------------------------------------------------------


def palm_pattern(strut: Strut, palm: Palm, face: Face) -> CutFile:
    """Return the palm at true scale, seen on the face named; u (forward) runs to the right.

    Seen on the hull face v (port) runs up, seen on the water face it runs down. Holes are on DRILL, rims of
    countersinks and counterbores on COUNTERSINK (water face) or PHANTOM (hull face, where they lie below),
    the trace of the vertical plane through the shaft on CENTRE.
    """
    seen = 1.0 if face == "hull face" else -1.0
    cut = CutFile(f"{palm.name}, {face}", file_unit(strut))
    shape = palm.outline if seen > 0 else palm.outline.mirror("x")
    cut.add_outline("CUT_OUTER", shape)
    rim_layer = "COUNTERSINK" if face == "water face" else "PHANTOM"
    bolt = palm.bolt
    for hole in palm.holes:
        at = (hole.u_mm, seen * hole.v_mm)
        cut.add_circle("DRILL", at, bolt.hole_mm)
        if bolt.kind != "plain" and bolt.head_diameter_mm > bolt.hole_mm:
            cut.add_circle(rim_layer, at, bolt.head_diameter_mm)
        cut.add_centre_mark(at, 1.4 * max(bolt.hole_mm, bolt.head_diameter_mm))
        cut.add_text(str(hole.number), (at[0] + 0.72 * bolt.head_diameter_mm, at[1] + 2.0), _TEXT)
    box = shape.bounding_box()
    reach = max(-box.xmin, box.xmax) + 10.0
    turn = math.radians(-seen * palm.axes_deg)
    along = np.array((math.cos(turn), math.sin(turn)))
    cut.add_line("CENTRE", _xy(-reach * along), _xy(reach * along))
    cut.add_text("trace of the shaft's vertical plane", (reach * along[0] + 2.0, reach * along[1] - 1.0), 3.0)
    if abs(palm.axes_deg) > 1e-9:
        cut.add_line("CENTRE", (-reach, 0.0), (reach, 0.0))
        cut.add_text("shaft projected on the palm, u", (reach + 2.0, -1.0), 3.0)
    cut.add_line("CENTRE", (0.0, box.ymin - 10.0), (0.0, box.ymax + 10.0))
    _arrow(cut, (box.xmax - 40.0, box.ymax + 8.0), "FWD")
    sink = {
        "countersunk": f", countersink {bolt.head_angle_deg:g} deg to {_length(cut, bolt.head_diameter_mm)} dia "
        f"on the water face",
        "counterbored": f", counterbore {_length(cut, bolt.head_diameter_mm)} dia x "
        f"{_length(cut, bolt.head_depth_mm)} deep on the water face",
    }.get(bolt.kind, "")
    port = "up" if seen > 0 else "down"
    _finish(
        cut,
        strut,
        palm.name,
        [
            f"seen on the {face.upper()}; u forward to the right, v to port {port}; zero where the arm axis meets "
            f"the hull face",
            f"{len(palm.holes)} holes {_length(cut, bolt.hole_mm)} dia for {bolt.size}, square to the palm{sink}",
            f"palm {_length(cut, palm.thickness_mm)} thick",
        ],
    )
    return cut


# --- arm ------------------------------------------------------------------------------------------------------------


def arm_pattern(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's flat side profile in its mid-plane, the chord running forward to the right.

    CUT_OUTER is the longest outline over the whole thickness. At the barrel the saddle and at the palm's
    water face the trim line are also drawn where they meet the mid-plane and the two faces of the arm
    (ENGRAVE), to bevel to.
    """
    cut = CutFile(f"{arm.name} profile", file_unit(strut))
    side = _ArmSide(strut, arm)
    faces = (-0.5, 0.0, 0.5)
    low = {k: side.saddle(k) for k in faces}
    high = {k: side.trim(k) for k in faces}
    # The cut follows the face that keeps the arm longest; of two saddles that cross, the lower one, lowered to clear.
    bottom, other = sorted((low[-0.5], low[0.5]), key=lambda c: float(np.mean(c.vertices[:, 1])))
    short = _shortfall(bottom, other)
    if short > FIT_TOL_MM:
        bottom = bottom.translate(0.0, -short - FIT_TOL_MM)
    top = max((high[-0.5], high[0.5]), key=lambda c: float(np.mean(c.vertices[:, 1])))
    cut.add_outline("CUT_OUTER", _quad(bottom, top))
    named: dict[Outline, list[str]] = {}
    for ends in (low, high):
        for k, name in zip(faces, ("starboard face", "mid-plane", "port face"), strict=True):
            named.setdefault(ends[k], []).append(name)
    for chain, names in named.items():
        if chain not in (bottom, top):
            cut.add_outline("ENGRAVE", chain)
        x, y, _ = chain.vertices[-1]
        cut.add_text(", ".join(names), (x + 3.0, y - (3.0 if chain == bottom else 0.0)), 2.5)
    foot, head = side.point(0.0, 0.0), side.point(side.ends[1] + 10.0, 0.0)
    cut.add_line("CENTRE", _xy(foot), _xy(head))
    cut.add_text("arm axis, foot on the shaft line", (foot[0] + 3.0, foot[1] + 2.0), 3.0)
    box = cut.bounds()
    _arrow(cut, (box[2] - 40.0, box[3] + 8.0), "FWD")
    kind = "flat blank" if strut.construction == "welded" else "side profile"
    _finish(
        cut,
        strut,
        arm.name,
        [
            f"{kind} in the mid-plane, seen from the starboard side; leading edge to the right",
            f"thickness {_length(cut, arm.thickness_barrel_mm)} at the barrel, {_length(cut, arm.thickness_palm_mm)} "
            f"at the hull face; section {arm.shape.replace('_', ' ')}",
            "cut outside: longest over the thickness; then bevel to the lines. No gap for the weld is taken off",
        ],
    )
    return cut


class _ArmSide:
    """The arm's mid-plane as a sheet: y along the arm axis from the shaft line, x square to it and forward."""

    def __init__(self, strut: Strut, arm: Arm) -> None:
        self.strut, self.arm = strut, arm
        plane = frames.arm_plane(strut, arm)
        self.axes = frames.arm_axes(arm, strut.barrel, plane)
        self.ends = frames.arm_ends_mm(arm, strut.barrel, plane)
        f, d = self.axes.u, self.axes.n
        self.lean = float(f @ d)
        self.forward = math.sqrt(1.0 - self.lean**2)

    def point(self, along: float, chord: float) -> Floats:
        """Sheet place of a point along the axis and along the chord (mm)."""
        return np.array((chord * self.forward, along + chord * self.lean))

    def _half_chord(self, along: float) -> float:
        return frames.arm_size_at(self.arm, self.ends, along)[0] / 2

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
        """Where the arm meets the barrel's outside; face: -0.5, 0 or 0.5 thicknesses from the mid-plane."""
        across = face * self.arm.thickness_barrel_mm
        radius = self.strut.barrel.outside_mm / 2
        u, v, n = (np.asarray(w)[1:] for w in (self.axes.u, self.axes.v, self.axes.n))

        def along_at(chord: float) -> tuple[float, float]:
            base = chord * u + across * v
            a, b, c = float(n @ n), float(n @ base), float(base @ base) - radius**2
            s = (-b + math.sqrt(b * b - a * c)) / a
            where = base + s * n
            return s, -float(where @ u) / float(where @ n)

        return self._chain(along_at)

    def trim(self, face: float) -> Outline:
        """Where the arm meets the palm's water face; face as in `saddle`."""
        palm = self.strut.palms[self.arm.palm_index]
        hull = frames.palm_axes(palm)
        across = face * self.arm.thickness_palm_mm
        n = hull.n
        gap = float((hull.origin - self.axes.origin) @ n) - palm.thickness_mm - across * float(self.axes.v @ n)
        per = float(self.axes.n @ n)
        slope = -float(self.axes.u @ n) / per

        def along_at(chord: float) -> tuple[float, float]:
            return gap / per + slope * chord, slope

        return self._chain(along_at)


def _shortfall(chain: Outline, other: Outline) -> float:
    """How far a chain rises above another (mm), both running forward."""
    a, b = chain.polyline(FIT_TOL_MM / 10), other.polyline(FIT_TOL_MM / 10)
    return float(np.max(a[:, 1] - np.interp(a[:, 0], b[:, 0], b[:, 1])))


def _quad(bottom: Outline, top: Outline) -> Outline:
    """Join two chains that run the same way by straight sides to a closed outline."""
    a, b = bottom.vertices, top.reversed().vertices
    sides = [
        Outline(np.array([[*a[-1, :2], 0.0], [*b[0, :2], 0.0]]), closed=False),
        Outline(np.array([[*b[-1, :2], 0.0], [*a[0, :2], 0.0]]), closed=False),
    ]
    return join((bottom, sides[0], top.reversed(), sides[1]), closed=True)


def section_templates(strut: Strut, arm: Arm) -> CutFile:
    """Return the arm's sections at 0, 25, 50, 75 and 100 % of the way from the barrel's outside to the hull
    face.

    Each lies in the plane of the chord and of the direction across the arm; leading edge to the right, port
    face up; ellipses and foils as arcs within FIT_TOL_MM.
    """
    cut = CutFile(f"{arm.name} section templates", file_unit(strut))
    ends = frames.arm_ends_mm(arm, strut.barrel, frames.arm_plane(strut, arm))
    y = 0.0
    for part in TEMPLATE_PARTS:
        along = ends[0] + part / 100.0 * (ends[1] - ends[0])
        chord, thickness = frames.arm_size_at(arm, ends, along)
        edge = edge_radius_at(arm, thickness) if arm.shape == "flat" else None
        shape = outline(Section(arm.shape, chord, thickness, edge)).translate(0.0, y)
        cut.add_outline("TEMPLATE", shape)
        cut.add_line("CENTRE", (-chord / 2 - 6.0, y), (chord / 2 + 6.0, y))
        cut.add_line("CENTRE", (0.0, y - thickness / 2 - 4.0), (0.0, y + thickness / 2 + 4.0))
        cut.add_text(
            f"{part} %: {_length(cut, along)} from the shaft line, chord {_length(cut, chord)}, "
            f"thickness {_length(cut, thickness)}",
            (chord / 2 + 10.0, y - 1.5),
            3.0,
        )
        y += max(arm.thickness_barrel_mm, arm.thickness_palm_mm) + _GAP
    _arrow(cut, (20.0, y), "LEADING EDGE")
    _finish(
        cut,
        strut,
        arm.name,
        [
            "section templates; leading edge to the right, port face up",
            "0 % at the barrel's outside, 100 % at the hull face, along the arm axis",
        ],
    )
    return cut


# --- skeg -----------------------------------------------------------------------------------------------------------


def skeg_pattern(strut: Strut, skeg: Skeg) -> CutFile:
    """Return the fin in the vertical plane through the shaft, forward to the right, hull up, and its heel.

    CUT_OUTER reaches up to where the fin's faces meet the barrel; the barrel's lowest line is on ENGRAVE.
    """
    cut = CutFile("skeg profile", file_unit(strut))
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
    cut.add_text("barrel's lowest line", (lead + 3.0, -radius - 1.0), 2.5)
    cut.add_line("CENTRE", (barrel.x(0.0) - 10.0, 0.0), (barrel.x(barrel.length_mm) + 10.0, 0.0))
    cut.add_text("shaft line", (barrel.x(barrel.length_mm) + 12.0, -1.0), 3.0)
    facts = [
        f"fin seen from the starboard side, forward to the right; thickness "
        f"{_length(cut, skeg.thickness_root_mm)} at the root, {_length(cut, skeg.thickness_tip_mm)} at the "
        f"lower edge; leading edge {skeg.leading_edge}"
    ]
    if skeg.heel is not None:
        heel = skeg.heel
        up = stock_axis(heel)
        base = np.asarray(heel.centre_mm)
        across = np.array((up[2], -up[0])) / math.hypot(up[0], up[2])
        middle, rise = base[[0, 2]], heel.height_mm / 2 * up[[0, 2]]
        for diameter, layer in ((heel.outside_mm, "PHANTOM"), (boss_bore_mm(heel), "PHANTOM")):
            half = diameter / 2 * across
            cut.add_polyline(
                layer, [middle - half - rise, middle + half - rise, middle + half + rise, middle - half + rise]
            )
        cut.add_line("CENTRE", _xy(middle - 1.6 * rise), _xy(middle + 1.6 * rise))
        foot = (lead1, -skeg.depth_mm + heel.foot_height_mm / 2)
        cut.add_line("PHANTOM", foot, _xy(middle))
        cut.add_text("middle of the foot", (foot[0] + 3.0, foot[1] - 1.0), 2.5)
        facts.append(
            f"heel boss {_length(cut, heel.outside_mm)} dia x {_length(cut, heel.height_mm)}, bored "
            f"{_length(cut, boss_bore_mm(heel))}, for a running bore of {_length(cut, heel.bore_mm)}; "
            f"foot {_length(cut, heel.foot_height_mm)} x {_length(cut, heel.foot_thickness_mm)}"
        )
    _arrow(cut, (20.0, 14.0), "FWD")
    _finish(cut, strut, "skeg", facts)
    return cut


# --- barrel ---------------------------------------------------------------------------------------------------------


def barrel_section(strut: Strut) -> CutFile:
    """Return the upper half of the barrel cut along the shaft line, forward to the right, bore included.

    Set screws are shown by their centre lines with station and clock angle, turned into the plane of the
    section.
    """
    cut = CutFile("barrel half section", file_unit(strut))
    barrel = strut.barrel
    outer = outside_chain(barrel)
    inner = bore_points(barrel)
    rows = [(barrel.x(s), r, b) for s, r, b in outer] + [(barrel.x(s), r, 0.0) for s, r in reversed(inner)]
    cut.add_outline("TEMPLATE", Outline(np.array(rows)))
    x0, x1 = barrel.x(0.0), barrel.x(barrel.length_mm)
    cut.add_line("CENTRE", (x0 - 10.0, 0.0), (x1 + 10.0, 0.0))
    cut.add_text("shaft line", (x1 + 12.0, -1.0), 3.0)
    top = barrel.outside_mm / 2
    for screw in strut.set_screws:
        x = barrel.x(screw.station_mm)
        cut.add_line("CENTRE", (x, barrel.bore_mm / 2 - 4.0), (x, top + 6.0))
        cut.add_text(
            f"screw {screw.number}: {screw.thread}, {_length(cut, screw.station_mm)} from the aft face, "
            f"clock {screw.clock_deg:g} deg",
            (x + 1.0, top + 8.0 + 5.0 * (screw.number - 1)),
            3.0,
        )
    _arrow(cut, (x1 - 40.0, -10.0), "FWD")
    _finish(
        cut,
        strut,
        "barrel",
        [
            "half section along the shaft line, forward to the right",
            f"bore {_length(cut, barrel.bore_mm)} ({_signed(cut, barrel.bore_upper_mm)} "
            f"{_signed(cut, barrel.bore_lower_mm)}), outside {_length(cut, barrel.outside_mm)}, "
            f"length {_length(cut, barrel.length_mm)}",
        ],
    )
    return cut


def barrel_end(strut: Strut) -> CutFile:
    """Return the barrel seen on its aft face: circles, and a line at each clock angle in use; hull up, port
    left.
    """
    cut = CutFile("barrel aft end", file_unit(strut))
    barrel = strut.barrel
    cut.add_circle("TEMPLATE", (0.0, 0.0), barrel.outside_mm)
    if barrel.aft_end.end_diameter_mm < barrel.outside_mm - 1e-9 and barrel.aft_end.shape != "straight":
        cut.add_circle("TEMPLATE", (0.0, 0.0), barrel.aft_end.end_diameter_mm)
    cut.add_circle("TEMPLATE", (0.0, 0.0), barrel.bore_mm)
    half = barrel.outside_mm / 2
    cut.add_centre_mark((0.0, 0.0), 2 * half + 20.0)
    marks = [(arm.clock_deg, arm.name) for arm in strut.arms]
    marks += [(s.clock_deg, f"screw {s.number}") for s in strut.set_screws]
    labels: dict[float, list[str]] = {}
    for clock, name in marks:
        labels.setdefault(round(clock, 6) + 0.0, []).append(name)
    for clock in sorted(labels):
        # Seen from astern port is on the left.
        way = np.array((-math.sin(math.radians(clock)), math.cos(math.radians(clock))))
        cut.add_line("CENTRE", _xy(barrel.bore_mm / 2 * way), _xy((half + 14.0) * way))
        cut.add_text(f"{', '.join(labels[clock])}: {clock:g} deg", _xy((half + 18.0) * way), 3.0)
    _finish(
        cut,
        strut,
        "barrel",
        ["aft face, seen from astern; hull up, port to the left", "clock angles from the hull, positive toward port"],
    )
    return cut


# --- common ---------------------------------------------------------------------------------------------------------


def _xy(point: Floats) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _length(cut: CutFile, length_mm: float) -> str:
    """A length in the file's unit: hundredths of a mm or thousandths of an inch."""
    return f"{length_mm:.2f} mm" if cut.unit == "mm" else f"{length_mm / MM_PER_INCH:.4f} in"


def _signed(cut: CutFile, length_mm: float) -> str:
    return f"{length_mm:+.3f} mm" if cut.unit == "mm" else f"{length_mm / MM_PER_INCH:+.4f} in"


def _arrow(cut: CutFile, at: tuple[float, float], text: str) -> None:
    """A plain arrow to the right with its text before it."""
    x, y = at
    cut.add_line("TEXT", (x, y), (x + 40.0, y))
    cut.add_line("TEXT", (x + 34.0, y + 2.5), (x + 40.0, y))
    cut.add_line("TEXT", (x + 34.0, y - 2.5), (x + 40.0, y))
    cut.add_text(text, (x, y + 2.0), _TEXT)


def _finish(cut: CutFile, strut: Strut, part: str, facts: Sequence[str]) -> None:
    """Add what every pattern carries: the box round it, check bars and square, and what it is."""
    x0, y0, x1, y1 = cut.bounds()
    x0, y0, x1, y1 = x0 - 5.0, y0 - 5.0, x1 + 5.0, y1 + 5.0
    cut.add_outline("CHECK", rectangle(x1 - x0, y1 - y0).translate((x0 + x1) / 2, (y0 + y1) / 2))
    cut.add_text(
        f"CHECK box {_length(cut, x1 - x0)} x {_length(cut, y1 - y0)}", (x0 + 1.0, y0 + 1.0), 2.5, 0.0, "CHECK"
    )
    step = 100.0 if cut.unit == "mm" else 4 * MM_PER_INCH
    under = y0 - 20.0
    cut.add_check_bar((x0, under), step)
    cut.add_check_bar((x0, under - 10.0), 3 * step)
    cut.add_check_bar((x0 - 20.0, y0), step, vertical=True)
    cut.add_check_bar((x0 - 30.0, y0), 3 * step, vertical=True)
    cut.add_check_square((x0 + 3 * step + 15.0, under - 45.0))
    who = strut.identity
    unit = "mm" if cut.unit == "mm" else "inch"
    lines = [
        f"{who.name} {who.drawing_number}, revision {who.revision}: {part}, {who.hand.upper()} hand",
        *facts,
        f"scale 1:1, unit {unit}; no kerf, contraction or machining stock allowed for",
        "measure the check lines before use, in both directions; guidance only, not an approval",
    ]
    y = under - 25.0
    for line in lines:
        cut.add_text(line, (x0, y), _TEXT)
        y -= 1.8 * _TEXT
