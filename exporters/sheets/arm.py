"""The arm sheet: one arm square to its own plane, seen from aft, its sections, true lengths and bevel at the palm."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from strutwright.exporters.drawing.figures import fixed
from strutwright.exporters.drawing.shapes import Line, P
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.cut_list import arm_blank_mm
from strutwright.exporters.files.outdir import slug
from strutwright.exporters.sheets import common, parts
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import cautions, frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.geometry.barrel import outside_radius_mm
from strutwright.models.geometry.members import edge_radius_at
from strutwright.models.outline import Floats
from strutwright.models.sections import Section, outline
from strutwright.models.shop import arm_ends, cuts
from strutwright.models.spec import Arm, Palm, Strut

STATIONS = (0, 25, 50, 75, 100)
"""Per cent of the way from the barrel's outside to the hull face, along the arm axis."""
APART_MM = 0.05  # curves nearer than this are drawn as one


class _Arm:
    """The arm with its two cuts, and the directions it is looked at from: u forward, w along it, v to port."""

    def __init__(self, strut: Strut, arm: Arm) -> None:
        self.strut, self.arm = strut, arm
        self.palm: Palm = strut.palms[arm.palm_index]
        self.side, self.low, self.high = cuts.cut_arm(strut, arm)
        self.axes: Axes = self.side.axes
        self.w: Vector = np.cross(self.axes.u, self.axes.v)
        self.ends = frames.arm_ends_mm(arm, strut.barrel, self.palm.plane)
        self.hull = frames.palm_axes(self.palm)
        self.level = float(self.axes.n @ self.w)
        """Height in the view per mm along the axis."""
        self.water = self.ends[1] - self.palm.thickness_mm / float(self.axes.n @ self.hull.n)

    def from_side(self, points: Vector) -> Floats:
        """Places (n, 2) as seen from starboard, square to the arm's mid-plane."""
        return parts.flat(points, self.axes.u, self.w, self.axes.origin)

    def from_aft(self, points: Vector) -> Floats:
        """Places (n, 2) as seen along the chord from aft; port is to the left."""
        return parts.flat(points, -self.axes.v, self.w, self.axes.origin)

    def on_axis(self, along_mm: float) -> P:
        """Place of a point of the axis in the view from starboard."""
        return parts.point(self.from_side(self.axes.origin + along_mm * self.axes.n)[0])


def arm_sheet(ctx: SheetContext, sheet_number: int, sheets: int, *, index: int = 0) -> Sheet | None:
    """Return the sheet of the strut's first or second arm (index 0 or 1); None when it has no such arm."""
    strut = ctx.strut
    if index >= len(strut.arms):
        return None
    arm = strut.arms[index]
    it = _Arm(strut, arm)
    front, end = _side_view(it), _end_view(it)
    views = [front, end, _sections(it)]
    high = front.extent().height
    name = arm.name if "arm" in arm.name else f"{arm.name} arm"
    kg = sum(
        common.part_mass_kg(p.volume_mm3, p.material) for p in ctx.built.parts if p.kind == "arm" and p.name == name
    )
    return Sheet(
        ctx.title(
            f"{name.capitalize()}",
            "Part drawing",
            sheet_number=sheet_number,
            sheets=sheets,
            face="STARBOARD SIDE",
            mass=common.mass_text(ctx, kg),
        ),
        views=views,
        tables=[_section_table(ctx, it), _length_table(ctx, it), _bevel_table(ctx, it)],
        notes=_notes(ctx, it),
        cautions=common.short_cautions(cautions.grinding(common.family(strut))),
        sizes=ctx.sizes[1:],
        scales=parts.no_larger(common.scales_between(high, 100.0, 320.0)),
        projection=ctx.projection,
        figures=ctx.figures,
        banner=parts.banner(strut, arm.name),
    )


# --- views ------------------------------------------------------------------------------------------------------------


def _curve(view: View, near: Floats, far: Floats, out: float) -> None:
    """A cut round the arm: the half toward the eye, and the other, which is seen where it reaches past the first one.

    out: the way out of the arm at this end, 1 up the view or -1 down it.
    """
    view.add([parts.poly(near)])
    by = np.interp(far[:, 0], np.sort(near[:, 0]), near[np.argsort(near[:, 0], kind="stable"), 1])
    past = out * (far[:, 1] - by)
    turns = [0, *(k for k in range(1, len(far) - 1) if (past[k] > 0.0) != (past[k + 1] > 0.0)), len(far) - 1]
    for a, b in pairwise(turns):
        over = past[a : b + 1]
        if float(np.abs(over).max()) > APART_MM:
            view.add([parts.poly(far[a : b + 1])], "visible" if float(over.sum()) > 0.0 else "hidden")


def _barrel(view: View, it: _Arm, place: str) -> None:
    """The barrel in phantom lines, its round ends and the lines that bound it, and the shaft line."""
    barrel = it.strut.barrel
    seen = it.from_side if place == "side" else it.from_aft
    toward = -it.axes.v if place == "side" else -it.axes.u
    half = barrel.length_mm / 2
    x = np.unique(
        np.concatenate(
            [
                np.linspace(-half, -half + barrel.aft_end.length_mm, 13),
                np.linspace(half - barrel.forward_end.length_mm, half, 13),
            ]
        )
    )
    radius = outside_radius_mm(barrel, x + half)
    ahead = np.array([1.0, 0.0, 0.0])
    across = np.cross(ahead, toward)
    length = float(np.linalg.norm(across))
    if length > 0.2:  # seen from the side: lines along it
        across = across / length
        for sign in (1.0, -1.0):
            rows = x[:, None] * ahead + sign * radius[:, None] * across
            view.add([parts.poly(seen(rows))], "phantom")
    t = np.linspace(0.0, math.tau, 73)
    y, z = np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0])
    for at, r in ((-half, radius[0]), (half, radius[-1])):
        ring = at * ahead + r * (np.cos(t)[:, None] * y + np.sin(t)[:, None] * z)
        if length > 0.2 or at < 0:
            view.add([parts.poly(seen(ring), closed=True)], "phantom")
    if length <= 0.2:
        full = barrel.outside_mm / 2
        ring = full * (np.cos(t)[:, None] * y + np.sin(t)[:, None] * z)
        view.add([parts.poly(seen(ring), closed=True)], "phantom")
    else:
        a, b = seen(np.array([[-half, 0.0, 0.0], [half, 0.0, 0.0]]))
        view.centre_line(parts.point(a), parts.point(b))


def _palm_lines(view: View, it: _Arm, place: str) -> tuple[Floats, Floats]:
    """The palm cut by the plane of the view through the arm axis, in phantom lines.

    Returns the ends of its water-face line: left and right (2,).
    """
    across = it.axes.v if place == "side" else it.axes.u
    seen = it.from_side if place == "side" else it.from_aft
    way = frames.unit(np.cross(across, it.hull.n))
    hull, water = (it.axes.origin + along * it.axes.n for along in (it.ends[1], it.water))
    (a, b), (c, d) = _reach(it, hull, way), _reach(it, water, way)
    if place == "aft":  # no more of a wide palm than shows how the arm stands on it
        most = max(0.6 * it.arm.chord_palm_mm, 2.5 * it.arm.thickness_palm_mm)
        a, b, c, d = (max(min(v, most), -most) for v in (a, b, c, d))
    corners = np.array([hull + a * way, hull + b * way, water + d * way, water + c * way])
    flat = seen(corners)
    view.add([parts.poly(flat, closed=True)], "phantom")
    left, right = (flat[3], flat[2]) if flat[3][0] < flat[2][0] else (flat[2], flat[3])
    return left, right


def _reach(it: _Arm, origin: Vector, way: Vector) -> tuple[float, float]:
    """How far a line in the palm's plane runs both ways from a point of the axis to the palm's rim, mm."""
    at = it.hull.from_strut(origin)[0, :2]
    direction = np.array([float(way @ it.hull.u), float(way @ it.hull.v)])
    rim = it.palm.outline.polyline(0.05)
    # Of each piece of the rim: where it crosses the line, as a share of the piece and a distance along the line.
    p, step = rim - at, np.roll(rim, -1, axis=0) - rim
    cross = step[:, 0] * direction[1] - step[:, 1] * direction[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = -(p[:, 0] * direction[1] - p[:, 1] * direction[0]) / cross
        along = (p + share[:, None] * step) @ direction
    found = along[(np.abs(cross) > 1e-12) & (share >= 0.0) & (share <= 1.0)]
    if len(found) < 2:  # the arm lands beside its palm, which the checks tell
        return -it.arm.chord_palm_mm, it.arm.chord_palm_mm
    return float(found.min()), float(found.max())


def _side_view(it: _Arm) -> View:
    arm, lead = it.arm, it.side.leading
    view = View("arm side", "front", "SEEN FROM STARBOARD, SQUARE TO THE ARM'S PLANE")
    low, high = it.from_side(it.low.points), it.from_side(it.high.points)
    _curve(view, low[: lead + 1], low[lead:], -1.0)
    _curve(view, high[: lead + 1], high[lead:], 1.0)
    for k in (0, lead):
        view.add([Line(parts.point(low[k]), parts.point(high[k]))])
    for first, last in it.side.pieces if arm.shape == "flat" else ():
        for k in (first, last):
            inside = min(abs(low[k][0] - low[0][0]), abs(low[k][0] - low[lead][0])) > 0.5
            if 0 < k < lead and last > first and inside:
                view.add([Line(parts.point(low[k]), parts.point(high[k]))], "smooth")
    _barrel(view, it, "side")
    left, right = _palm_lines(view, it, "side")
    view.centre_line((0.0, 0.0), it.on_axis(it.ends[1]))
    # Heights square to the chord, on the axis.
    top = it.on_axis(it.ends[1])
    view.vertical((0.0, 0.0), it.on_axis(it.ends[0]), side="left")
    view.vertical((0.0, 0.0), it.on_axis(it.water), side="left")
    view.vertical((0.0, 0.0), top, side="left")
    marks = []
    for part in STATIONS[1:-1]:
        along = it.ends[0] + part / 100.0 * (it.ends[1] - it.ends[0])
        x, y = it.on_axis(along)
        half = frames.arm_size_at(arm, it.ends, along)[0] / 2
        view.centre_line((x - half, y), (x + half, y))
        marks.append(((x, y), f"{part} %"))
    for place, text in marks:
        view.label(place, text, height_mm=2.5)
    # True lengths of the two edges: they lie in the mid-plane.
    view.aligned(parts.point(low[lead]), parts.point(high[lead]), offset_mm=-9.0)
    view.aligned(parts.point(low[0]), parts.point(high[0]), offset_mm=9.0)
    at = np.array(it.on_axis(it.water))
    _angle(view, parts.point(at), parts.point(right), (0.0, 0.0))
    lean = math.degrees(math.atan2(top[0], top[1]))
    if abs(lean) > 0.05:
        _angle(view, (0.0, 0.0), top, (it.arm.chord_barrel_mm, 0.0), radius_mm=45.0)
    view.arrow((right[0], top[1] + 0.06 * top[1]), 0.0, "FWD")
    view.note(parts.point((left + right) / 2 + (left - right) * 0.42), ["WATER FACE of the palm"], at_deg=-140.0)
    view.note(parts.point(low[lead] + 0.3 * (high[lead] - low[lead])), ["LEADING EDGE"], at_deg=-30.0)
    return view


def _angle(view: View, vertex: P, first: P, second: P, radius_mm: float = 22.0) -> None:
    """The angle between two directions, whichever way round is below 180 degrees; nothing when they are one line."""
    turned = (second[1] - vertex[1]) * (first[0] - vertex[0]) - (second[0] - vertex[0]) * (first[1] - vertex[1])
    scale = math.dist(vertex, first) * math.dist(vertex, second)
    if abs(turned) < 1e-4 * scale:
        return
    a, b = (first, second) if turned > 0 else (second, first)
    view.angle(vertex, a, b, radius_mm=radius_mm)


def _end_view(it: _Arm) -> View:
    lead = it.side.leading
    view = View("arm end", "seen from left", "SEEN FROM AFT, ALONG THE CHORD")
    low, high = it.from_aft(it.low.points), it.from_aft(it.high.points)
    # The half toward the eye: from the thickest place of either side to the trailing edge.
    star = int(np.argmax(low[: lead + 1, 0]))
    port = lead + int(np.argmin(low[lead:, 0]))
    around = np.concatenate([np.arange(port, len(low)), np.arange(0, star + 1)])
    ahead = np.arange(star, port + 1)
    for ring, out in ((low, -1.0), (high, 1.0)):
        _curve(view, ring[around], ring[ahead], out)
    for k in (star, port):
        view.add([Line(parts.point(low[k]), parts.point(high[k]))])
    _barrel(view, it, "aft")
    left, right = _palm_lines(view, it, "aft")
    top = parts.point(it.from_aft(it.axes.origin + it.ends[1] * it.axes.n)[0])
    view.centre_line((0.0, 0.0), top)
    r = it.strut.barrel.outside_mm / 2
    view.centre_mark((0.0, 0.0), 2 * r)
    at = parts.point(it.from_aft(it.axes.origin + it.water * it.axes.n)[0])
    _angle(view, at, parts.point(right), (0.0, 0.0))
    _angle(view, at, parts.point(left), (0.0, 0.0), 17.0)
    view.label((left[0], left[1]), "PORT", height_mm=2.5)
    view.label((right[0], right[1]), "STARBOARD", height_mm=2.5)
    return view


def _sections(it: _Arm) -> View:
    """The sections, each on the level of its station; forward to the right, port side up."""
    arm = it.arm
    view = View("arm sections", "right", "SECTIONS, SEEN FROM THE PALM")
    shown = []
    for part in STATIONS:
        along = it.ends[0] + part / 100.0 * (it.ends[1] - it.ends[0])
        chord, thickness = frames.arm_size_at(arm, it.ends, along)
        radius = edge_radius_at(arm, thickness)
        shape = outline(Section(arm.shape, chord, thickness, radius)).translate(0.0, along * it.level)
        view.add_outline(shape.vertices)
        view.hatch([shape.polyline(0.05)], spacing_mm=2.0)
        shown.append((part, along * it.level, chord, thickness))
    for part, y, chord, thickness in shown:
        view.centre_line((-chord / 2, y), (chord / 2, y))
        view.centre_line((0.0, y - thickness / 2), (0.0, y + thickness / 2))
        view.label((chord / 2 + 0.04 * chord, y), f"{part} %", at_deg=0.0)
    (_, y0, c0, t0), (_, y1, c1, t1) = shown[0], shown[-1]
    view.horizontal((-c0 / 2, y0), (c0 / 2, y0), side="below")
    view.horizontal((-c1 / 2, y1), (c1 / 2, y1), side="above")
    view.vertical((0.0, y0 - t0 / 2), (0.0, y0 + t0 / 2), side="left")
    view.vertical((0.0, y1 - t1 / 2), (0.0, y1 + t1 / 2), side="left")
    return view


# --- tables and notes -------------------------------------------------------------------------------------------------


def _section_table(ctx: SheetContext, it: _Arm) -> Table:
    f, arm = ctx.figures, it.arm
    per = 1.0 if f.unit == "mm" else 25.4
    rows = []
    for part in STATIONS:
        along = it.ends[0] + part / 100.0 * (it.ends[1] - it.ends[0])
        chord, thickness = frames.arm_size_at(arm, it.ends, along)
        radius = edge_radius_at(arm, thickness)
        made = Section(arm.shape, chord, thickness, radius).properties()
        figures = (float(made.area_mm2) / per**2, float(made.sxx_mm3) / per**3)
        areas = tuple(fixed(v, 0 if f.unit == "mm" else 3) for v in figures)
        edge = f.length(radius) if radius is not None else "-"
        rows.append((f"{part} %", f.length(along), f.length(chord), f.length(thickness), edge, *areas))
    unit = "mm" if f.unit == "mm" else "in"
    return Table(
        "sections",
        f"SECTIONS: {arm.shape.replace('_', ' ').upper()}, {unit}",
        (
            "station",
            "from shaft line, along the axis",
            "chord",
            "thickness",
            "edge radius",
            f"area {unit}²",
            f"modulus {unit}³",
        ),
        tuple(rows),
    )


def _length_table(ctx: SheetContext, it: _Arm) -> Table:
    f = ctx.figures
    made = arm_ends.arm_lengths(it.strut, it.arm)
    lead = it.side.leading
    edge = [float(np.linalg.norm(it.high.points[k] - it.low.points[k])) for k in (lead, 0)]
    rows = [
        ("long point (longest line along the side)", made.longest_mm),
        ("short point (shortest line along the side)", made.shortest_mm),
        ("leading edge", edge[0]),
        ("trailing edge", edge[1]),
        (
            "on the axis, barrel to water face" + (", less the root gaps" if cuts.root_gap_mm(it.strut) > 0 else ""),
            made.axis_mm,
        ),
        ("on the axis, barrel itself to hull face", made.to_hull_face_mm),
        ("over all, square to the sections", made.over_all_mm),
    ]
    if it.strut.construction == "welded":
        blank = arm_blank_mm(it.strut, it.arm)
        rows += [("blank, length", blank[0]), ("blank, width", blank[1])]
    return Table(
        "lengths",
        f"TRUE LENGTHS, {'mm' if f.unit == 'mm' else 'inch'}",
        ("what", "length"),
        tuple((name, f.length(v)) for name, v in rows),
        left=frozenset({0}),
    )


def _bevel_table(ctx: SheetContext, it: _Arm) -> Table:
    f = ctx.figures
    rows = tuple(
        (str(b.number), b.where, f.length(b.girth_mm), parts.degrees(b.angle_deg), b.kind, f.length(b.long_mm))
        for b in arm_ends.bevel_table(it.strut, it.arm)
    )
    return Table(
        "bevel",
        f"{_cut_word(ctx.strut).upper()} AT THE PALM, {'mm' if f.unit == 'mm' else 'inch'}",
        ("tick", "where", "along the cut", "angle", "kind", "length"),
        rows,
        left=frozenset({1}),
        row_mm=4.2,
    )


def _cut_word(strut: Strut) -> str:
    """What the angle of the arm's side at the palm is called: nobody bevels a casting."""
    return "bevel" if strut.construction == "welded" else "angle of the side"


def _toe(arm: Arm) -> str:
    if arm.toe_deg == 0.0:
        return "without toe"
    return f"leading edge toed {parts.degrees(abs(arm.toe_deg))} to {'port' if arm.toe_deg > 0 else 'starboard'}"


def _notes(ctx: SheetContext, it: _Arm) -> list[str]:
    strut, arm, f = ctx.strut, it.arm, ctx.figures
    name = slug(arm.name)
    saddle = float(np.ptp(it.low.along_mm))
    welded = strut.construction == "welded"
    notes = [
        f"Arm axis: clock {parts.degrees(arm.clock_deg)} (0 toward the hull, positive toward port), rake "
        f"{parts.degrees(arm.rake_deg)} (palm end aft), from station {f.length(arm.station_mm)} from the barrel's aft "
        f"face. Chord along the {'shaft' if arm.aligned_with == 'shaft' else 'trace of the hull'}, {_toe(arm)}.",
        f"Sections lie in planes that hold the chord; 0 % at the barrel's outside, 100 % at the hull face, straight "
        f"lines between. Modulus: about the chord. The {'saddle' if welded else 'end at the barrel'} is "
        f"{f.length(saddle)} deep along the axis.",
        f"{_cut_word(strut).capitalize()}: from the water face to the arm's side, through the water, where the "
        f"{'weld' if welded else 'fillet'} lies; 90 is square. Ticks are sixteenths of the "
        "girth from the trailing edge by the starboard side; 8 is the leading edge.",
    ]
    files = [
        f"{name}-barrel-end-wrap" + (" (saddle)" if welded else ""),
        f"{name}-palm-end-wrap" + (" (trim and bevel)" if welded else ""),
        f"{name}-on-barrel-wrap",
        f"{name}-profile",
        f"{name}-section-templates",
    ]
    notes.append(f"{common.file_words(strut)}: {', '.join(files)}.")
    if strut.construction == "welded":
        how = "no bevel" if strut.weld.prep == "none" else "double bevel as on the weld sheet"
        gap = cuts.root_gap_mm(strut)
        taken = f"a root gap of {parts.length(f, gap)} is" if gap > 0.0 else "no root gap is"
        notes.append(
            f"Cut outside the line and grind to it; {taken} taken off at both ends; edge preparation: {how}. "
            "Drawn before the preparation."
        )
    else:
        notes.append(
            f"Cast in one piece: the bare arm is drawn; root fillets R{f.length(arm.barrel_root_mm)} at the "
            f"barrel, R{f.length(arm.palm_root_mm)} at the palm come on top."
        )
    if it.low.coped.any():
        notes.append("It is cut to the other arm where the two meet outside the barrel.")
    elif any(cuts.cut_arm(strut, other).low.coped.any() for other in strut.arms[strut.arms.index(arm) + 1 :]):
        notes.append("Where the two arms meet outside the barrel, the other one is cut to this one.")
    notes.append(common.hand_words(strut))
    return notes
