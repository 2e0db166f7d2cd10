"""The arm sheet: one arm square to its own plane, seen from aft, its sections, true lengths and bevel at the palm."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from strutwright.exporters.drawing.figures import fixed
from strutwright.exporters.drawing.shapes import Line, P, from_vertices, xy
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.cut_list import arm_blank_mm
from strutwright.exporters.files.outdir import slug
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import barrel_profile_mm, flat
from strutwright.models import cautions, frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.geometry.stations import STATIONS, arm_stations
from strutwright.models.outline import Floats
from strutwright.models.sections import Section, kind_of
from strutwright.models.shop import arm_ends, cuts
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params.quantity import INCH_MM

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
        return flat(points, self.axes.u, self.w, self.axes.origin)

    def from_aft(self, points: Vector) -> Floats:
        """Places (n, 2) as seen along the chord from aft; port is to the left."""
        return flat(points, -self.axes.v, self.w, self.axes.origin)

    def stations(self, per_cent: Sequence[int] = STATIONS) -> Iterator[tuple[str, float, Section]]:
        """What a station is called, where it lies along the axis, mm, and the arm's section there."""
        for part, along, section in arm_stations(self.strut, self.arm, per_cent):
            yield f"{part} %", along, section

    def on_axis(self, along_mm: float) -> P:
        """Place of a point of the axis in the view from starboard."""
        return xy(self.from_side(self.axes.origin + along_mm * self.axes.n)[0])


def arm_sheet(ctx: SheetContext, *, index: int = 0) -> Sheet:
    """Return the sheet of one of the strut's arms, by its place in the list."""
    strut, arm = ctx.strut, ctx.strut.arms[index]
    it, name = _Arm(strut, arm), arm.called
    front = _side_view(it)
    return ctx.sheet(
        name.capitalize(),
        "Part drawing",
        [front, _end_view(it), _sections(it)],
        face="STARBOARD SIDE",
        mass=common.part_mass(ctx, name),
        tables=[_section_table(ctx, it), _length_table(ctx, it), _bevel_table(ctx, it)],
        notes=_notes(ctx, it),
        cautions=[cautions.STRUCTURE, cautions.grinding(common.family(strut.material))],
        scales=common.no_larger(common.scales_between(front.extent().height, 100.0, 320.0)),
        part=arm.name,
    )


def _curve(view: View, near: Floats, far: Floats, out: float) -> None:
    """A cut round the arm: the half toward the eye, and the other, which is seen where it reaches past the first one.

    out: the way out of the arm at this end, 1 up the view or -1 down it.
    """
    view.add([from_vertices(near, closed=False)])
    by = np.interp(far[:, 0], np.sort(near[:, 0]), near[np.argsort(near[:, 0], kind="stable"), 1])
    past = out * (far[:, 1] - by)
    turns = [0, *(k for k in range(1, len(far) - 1) if (past[k] > 0.0) != (past[k + 1] > 0.0)), len(far) - 1]
    for a, b in pairwise(turns):
        over = past[a : b + 1]
        if float(np.abs(over).max()) > APART_MM:
            view.add([from_vertices(far[a : b + 1], closed=False)], "visible" if float(over.sum()) > 0.0 else "hidden")


def _barrel(view: View, it: _Arm, place: str) -> None:
    """The barrel in phantom lines, its round ends and the lines that bound it, and the shaft line."""
    barrel = it.strut.barrel
    seen = it.from_side if place == "side" else it.from_aft
    toward = -it.axes.v if place == "side" else -it.axes.u
    half = barrel.length_mm / 2
    x, radius = barrel_profile_mm(barrel)
    ahead = np.array([1.0, 0.0, 0.0])
    across = np.cross(ahead, toward)
    length = float(np.linalg.norm(across))
    if length > 0.2:  # seen from the side: lines along it
        across = across / length
        for sign in (1.0, -1.0):
            rows = x[:, None] * ahead + sign * radius[:, None] * across
            view.add([from_vertices(seen(rows), closed=False)], "phantom")
    t = np.linspace(0.0, math.tau, 73)
    rings = [(-half, radius[0]), (half, radius[-1])]
    if length <= 0.2:  # from aft: the aft face, and the outside round it
        rings = [(-half, radius[0]), (0.0, barrel.outside_mm / 2)]
    for at, r in rings:
        ring = np.column_stack([np.full(len(t), at), r * np.cos(t), r * np.sin(t)])
        view.add([from_vertices(seen(ring))], "phantom")
    if length > 0.2:
        a, b = seen(np.array([[-half, 0.0, 0.0], [half, 0.0, 0.0]]))
        view.centre_line(xy(a), xy(b))


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
    rim = seen(corners)
    view.add([from_vertices(rim)], "phantom")
    left, right = (rim[3], rim[2]) if rim[3][0] < rim[2][0] else (rim[2], rim[3])
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
        view.add([Line(xy(low[k]), xy(high[k]))])
    for first, last in it.side.pieces if kind_of(arm.shape).flat_sides else ():
        for k in (first, last):
            inside = min(abs(low[k][0] - low[0][0]), abs(low[k][0] - low[lead][0])) > 0.5
            if 0 < k < lead and last > first and inside:
                view.add([Line(xy(low[k]), xy(high[k]))], "smooth")
    _barrel(view, it, "side")
    left, right = _palm_lines(view, it, "side")
    view.centre_line((0.0, 0.0), it.on_axis(it.ends[1]))
    # Heights square to the chord, on the axis.
    top = it.on_axis(it.ends[1])
    view.vertical((0.0, 0.0), it.on_axis(it.ends[0]))
    view.vertical((0.0, 0.0), it.on_axis(it.water))
    view.vertical((0.0, 0.0), top)
    between = list(it.stations(STATIONS[1:-1]))
    for _, along, made in between:
        x, y = it.on_axis(along)
        view.centre_line((x - made.chord_mm / 2, y), (x + made.chord_mm / 2, y))
    for name, along, _ in between:
        view.label(it.on_axis(along), name, height_mm=2.5)
    # True lengths of the two edges: they lie in the mid-plane.
    view.aligned(xy(low[lead]), xy(high[lead]), offset_mm=-9.0)
    view.aligned(xy(low[0]), xy(high[0]), offset_mm=9.0)
    view.angle(it.on_axis(it.water), xy(right), (0.0, 0.0), radius_mm=22.0)
    lean = math.degrees(math.atan2(top[0], top[1]))
    if abs(lean) > 0.05:
        view.angle((0.0, 0.0), top, (it.arm.chord_barrel_mm, 0.0), radius_mm=45.0)
    view.arrow((right[0], top[1] + 0.06 * top[1]), 0.0, "FWD")
    view.note(xy((left + right) / 2 + (left - right) * 0.42), ["WATER FACE of the palm"], at_deg=-140.0)
    view.note(xy(low[lead] + 0.3 * (high[lead] - low[lead])), ["LEADING EDGE"], at_deg=-30.0)
    return view


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
        view.add([Line(xy(low[k]), xy(high[k]))])
    _barrel(view, it, "aft")
    left, right = _palm_lines(view, it, "aft")
    top = xy(it.from_aft(it.axes.origin + it.ends[1] * it.axes.n)[0])
    view.centre_line((0.0, 0.0), top)
    r = it.strut.barrel.outside_mm / 2
    view.centre_mark((0.0, 0.0), 2 * r)
    at = xy(it.from_aft(it.axes.origin + it.water * it.axes.n)[0])
    view.angle(at, xy(right), (0.0, 0.0), radius_mm=22.0)
    view.angle(at, xy(left), (0.0, 0.0), radius_mm=17.0)
    view.label((left[0], left[1]), "PORT", height_mm=2.5)
    view.label((right[0], right[1]), "STARBOARD", height_mm=2.5)
    return view


def _sections(it: _Arm) -> View:
    """The sections, each on the level of its station, further apart on a short arm; forward to the right, port side
    up."""
    view = View("arm sections", "right", "SECTIONS, SEEN FROM THE PALM")
    shown = [(name, along * it.level, made) for name, along, made in it.stations()]
    room = 1.25 * max(made.thickness_mm for _, _, made in shown)
    nearest = min((abs(b[1] - a[1]) for a, b in itertools.pairwise(shown)), default=room)
    if nearest < room:
        shown = [(name, room * k * math.copysign(1.0, it.level), made) for k, (name, _, made) in enumerate(shown)]
    for _, y, made in shown:
        shape = made.outline().translate(0.0, y)
        view.add_outline(shape.vertices)
        view.hatch([shape.polyline(0.05)], spacing_mm=2.0)
    for name, y, made in shown:
        half, thick = made.chord_mm / 2, made.thickness_mm / 2
        view.centre_line((-half, y), (half, y))
        view.centre_line((0.0, y - thick), (0.0, y + thick))
        view.label((half + 0.04 * made.chord_mm, y), name, at_deg=0.0)
    (_, y0, first), (_, y1, last) = shown[0], shown[-1]
    view.horizontal((-first.chord_mm / 2, y0), (first.chord_mm / 2, y0))
    view.horizontal((-last.chord_mm / 2, y1), (last.chord_mm / 2, y1), side="above")
    for y, thick in ((y0, first.thickness_mm / 2), (y1, last.thickness_mm / 2)):
        view.vertical((0.0, y - thick), (0.0, y + thick))
    return view


def _section_table(ctx: SheetContext, it: _Arm) -> Table:
    f, per, places = ctx.figures, INCH_MM if ctx.inch else 1.0, 3 if ctx.inch else 0
    rows = []
    for name, along, made in it.stations():
        of = made.properties()
        areas = (fixed(float(of.area_mm2) / per**2, places), fixed(float(of.sxx_mm3) / per**3, places))
        edge = "-" if made.edge_radius_mm is None else f.length(made.edge_radius_mm)
        rows.append((name, *(f.length(v) for v in (along, made.chord_mm, made.thickness_mm)), edge, *areas))
    sizes = ("station", "from shaft line, along the axis", "chord", "thickness", "edge radius")
    columns = (*sizes, f"area {ctx.unit}²", f"modulus {ctx.unit}³")
    title = f"SECTIONS: {kind_of(it.arm.shape).called.upper()}, {ctx.unit}"
    return Table(name="sections", title=title, columns=columns, rows=tuple(rows))


def _length_table(ctx: SheetContext, it: _Arm) -> Table:
    made, lead = arm_ends.arm_lengths(it.strut, it.arm), it.side.leading
    leading, trailing = (float(np.linalg.norm(it.high.points[k] - it.low.points[k])) for k in (lead, 0))
    less = ", less the root gaps" if cuts.root_gap_mm(it.strut) > 0 else ""
    rows = [
        ("long point (longest line along the side)", made.longest_mm),
        ("short point (shortest line along the side)", made.shortest_mm),
        ("leading edge", leading),
        ("trailing edge", trailing),
        (f"on the axis, barrel to water face{less}", made.axis_mm),
        ("on the axis, barrel itself to hull face", made.to_hull_face_mm),
        ("over all, square to the sections", made.over_all_mm),
    ]
    if it.strut.construction == "welded":
        rows += zip(("blank, length", "blank, width"), arm_blank_mm(it.strut, it.arm), strict=True)
    said = tuple((name, ctx.length(v)) for name, v in rows)
    return Table(
        name="lengths", title=f"TRUE LENGTHS, {ctx.unit}", columns=("what", "length"), rows=said, left=frozenset({0})
    )


def _bevel_table(ctx: SheetContext, it: _Arm) -> Table:
    rows = tuple(
        (str(b.number), b.where, ctx.length(b.girth_mm), common.degrees(b.angle_deg), b.kind, ctx.length(b.long_mm))
        for b in arm_ends.bevel_table(it.strut, it.arm)
    )
    title = f"{_cut_word(ctx.strut).upper()} AT THE PALM, {ctx.unit}"
    columns = ("tick", "where", "along the cut", "angle", "kind", "length")
    return Table(name="bevel", title=title, columns=columns, rows=rows, left=frozenset({1}), row_mm=4.2)


def _cut_word(strut: Strut) -> str:
    """What the angle of the arm's side at the palm is called: nobody bevels a casting."""
    return "bevel" if strut.construction == "welded" else "angle of the side"


def _toe(arm: Arm) -> str:
    if arm.toe_deg == 0.0:
        return "without toe"
    return f"leading edge toed {common.degrees(abs(arm.toe_deg))} to {'port' if arm.toe_deg > 0 else 'starboard'}"


def _notes(ctx: SheetContext, it: _Arm) -> list[str]:
    strut, arm, f = ctx.strut, it.arm, ctx.figures
    name = slug(arm.name)
    saddle = float(np.ptp(it.low.along_mm))
    welded = strut.construction == "welded"
    notes = [
        f"Arm axis: clock {common.degrees(arm.clock_deg)} (0 toward the hull, positive toward port), rake "
        f"{common.degrees(arm.rake_deg)} (palm end aft), from station {f.length(arm.station_mm)} from the barrel's aft "
        f"face. Chord along the {'shaft' if arm.aligned_with == 'shaft' else 'trace of the hull'}, {_toe(arm)}.",
        "Sections are cut parallel to the chord and square to the arm's plane; 0 % at the barrel's outside, 100 % at "
        "the hull face, straight lines between. Modulus: about the chord. The "
        f"{'saddle' if welded else 'end at the barrel'} is {f.length(saddle)} deep along the axis.",
        f"{_cut_word(strut).capitalize()}: angle between palm and arm on the "
        f"{'weld' if welded else 'fillet'} side; 90 is square. Ticks are sixteenths of the "
        "girth from the trailing edge by the starboard side; 8 is the leading edge.",
    ]
    saddle_of, trim = (" (saddle)", " (trim and bevel)") if welded else ("", "")
    ends = (f"barrel-end-wrap{saddle_of}", f"palm-end-wrap{trim}")
    files = [f"{name}-{file}" for file in (*ends, "on-barrel-wrap", "profile", "section-templates")]
    notes.append(f"{common.file_words(strut)}: {', '.join(files)}.")
    if welded:
        how = "no bevel" if strut.weld.prep == "none" else "double bevel as on the weld sheet"
        gap = cuts.root_gap_mm(strut)
        taken = "no root gap is taken off at either end"
        if gap > 0.0:
            taken = f"a root gap of {ctx.with_unit(gap)} is taken off at each end"
        notes.append(
            f"Cut outside the line and grind to it; {taken}; edge preparation: {how}. Drawn before the preparation."
        )
    else:
        notes.append(
            f"Cast in one piece: the bare arm is drawn; root fillets R{f.length(arm.barrel_root_mm)} at the "
            f"barrel, R{f.length(arm.palm_root_mm)} at the palm are added to it."
        )
    if it.low.coped.any():
        notes.append("It is cut to the other arm where the two meet outside the barrel.")
    elif any(cuts.cut_arm(strut, other).low.coped.any() for other in strut.arms[strut.arms.index(arm) + 1 :]):
        notes.append("Where the two arms meet outside the barrel, the other one is cut to this one.")
    notes.append(common.hand_words(strut))
    return notes
