"""The welder's sheets: the weld assembly with its jig heights, and the press card for the palm that welding curls."""
from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.shapes import Arc, Line, P
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.projection import FRONT, LEFT, Viewpoint
from strutwright.exporters.sheets import common, parts
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import cautions, frames
from strutwright.models import development as dev
from strutwright.models.engineering.inputs import metal
from strutwright.models.frames import Vector
from strutwright.models.mechanics import flattening
from strutwright.models.mechanics.welds import throat_mm
from strutwright.models.outline import Floats
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params import tables
from strutwright.params.quantity import FORCE, INCH_MM, in_file_units

GAP_MM = (2.0, 3.0)
"""Root gap of a bevelled joint; ISO 9692-1, value from memory."""
PULLS_MORE = 1.5
"""Stainless and bronze curl this much more than mild steel; from memory, low confidence."""
YIELD_SHARE = 1.6
"""Actual yield of annealed plate may reach this share of the least one; common practice, no source."""
PRESSES_N = (100e3, 200e3, 500e3, 1000e3)
PRESSES_SHORT_TONS = (10, 20, 50, 100)   # what inch shops have; 2000 lbf each
DROP_MM, TILT_DEG, PLANE_MM = 1.5, 0.25, 1.0
"""What the weldment must keep: drop, palm angles, arm plane through the axis; common practice, from memory."""


@dataclass(frozen=True, slots=True)
class Joint:
    """One welded joint. mark: W1 and so on. leg_mm: of the fillet; length_mm: round the joint; thickest_mm: the thicker
    part; bevelled: whether the edges are prepared.
    """

    mark: str
    what: str
    leg_mm: float
    length_mm: float
    thickest_mm: float
    bevelled: bool


def joints(strut: Strut) -> list[Joint]:
    """Return the welded joints of a strut in the order of their marks."""
    wall = strut.barrel.wall_mm
    found: list[Joint] = []
    bevelled = strut.weld.prep == "double_bevel"

    def add(what: str, leg: float, length: float, thick: float, bevel: bool) -> None:
        found.append(Joint(f"W{len(found) + 1}", what, leg, length, thick, bevel))

    for arm in strut.arms:
        side = dev.arm_side(strut, arm)
        palm = strut.palms[arm.palm_index]
        name = common.arm_label(arm)
        add(f"{name} to barrel", arm.barrel_root_mm, _girth(dev.meet_barrel(strut.barrel, side).points),
            max(wall, arm.thickness_barrel_mm), bevelled)
        add(f"{name} to palm", arm.palm_root_mm, _girth(dev.meet_palm(palm, side).points),
            max(palm.thickness_mm, arm.thickness_palm_mm), bevelled)
    skeg = strut.skeg
    if skeg is not None:
        add("skeg to barrel", skeg.root_mm, _girth(dev.meet_barrel(strut.barrel, dev.skeg_side(strut)).points),
            max(wall, skeg.thickness_root_mm), False)
        if skeg.heel is not None:
            heel = skeg.heel
            leg = tables.weld_min_leg_mm(max(heel.foot_thickness_mm, skeg.thickness_tip_mm),
                                         inch=strut.file_units == "in")
            add("foot to skeg", leg, 2.0 * skeg.tip_chord_mm + 2.0 * skeg.thickness_tip_mm,
                max(heel.foot_thickness_mm, skeg.thickness_tip_mm), False)
            add("foot to heel boss", leg, 2.0 * (heel.foot_height_mm + heel.foot_thickness_mm),
                max(heel.foot_thickness_mm, (heel.outside_mm - heel.bore_mm) / 2), False)
    return found


def _girth(points: Floats) -> float:
    return float(np.sum(np.linalg.norm(np.diff(points, axis=0), axis=1)))


# --- weld assembly ----------------------------------------------------------------------------------------------------


def weld_assembly(ctx: SheetContext, sheet_number: int, sheets: int) -> Sheet | None:
    """Return the weld assembly sheet; None for a cast strut."""
    strut = ctx.strut
    if strut.construction != "welded":
        return None
    front, aft, jig = _side_view(ctx), _aft_view(ctx), _jig_view(ctx)
    details = [_joint_detail(ctx, strut.arms[0], "barrel"), _joint_detail(ctx, strut.arms[0], "palm")]
    extent = front.extent()
    return Sheet(
        ctx.title("Weld assembly", "Weld assembly drawing", sheet_number=sheet_number, sheets=sheets,
                  mass=common.mass_text(ctx, common.mass_kg(ctx))),
        views=[front, aft, jig, *details], tables=[_weld_table(ctx), _jig_table(ctx)], notes=_weld_notes(ctx),
        cautions=[cautions.STRUCTURE, cautions.WELDING, cautions.GRINDING,
                  *([cautions.PICKLING] if metal(strut.material).family in ("stainless", "duplex") else []),
                  cautions.LIFTING],
        sizes=ctx.sizes[1:],
        scales=parts.no_larger(common.scales_between(max(extent.width, extent.height), 95.0, 260.0)),
        projection=ctx.projection, figures=ctx.figures, banner=parts.banner(strut))


def _mark(view: View, ctx: SheetContext, joint: Joint, at: P, way_deg: float) -> None:
    kind: Literal["fillet", "double bevel and fillet"] = "double bevel and fillet" if joint.bevelled else "fillet"
    view.weld(at, kind, f"z{common.weld_size(ctx, joint.leg_mm)}", all_round=True, tail=joint.mark, at_deg=way_deg)


def _side_view(ctx: SheetContext) -> View:
    strut, barrel = ctx.strut, ctx.strut.barrel
    view = View("weld side", "front", "SEEN FROM STARBOARD")
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), FRONT), hidden=False)
    half, r = barrel.length_mm / 2, barrel.outside_mm / 2
    view.centre_line((-half, 0.0), (half, 0.0))
    found = {j.what: j for j in joints(strut)}
    near = strut.arms[-1]   # the starboard one of two
    side = dev.arm_side(strut, near)
    low = dev.meet_barrel(strut.barrel, side).points[side.leading]
    high = dev.meet_palm(strut.palms[near.palm_index], side).points[side.leading]
    name = common.arm_label(near)
    _mark(view, ctx, found[f"{name} to barrel"], common.seen(FRONT, low), 35.0)
    _mark(view, ctx, found[f"{name} to palm"], common.seen(FRONT, high), -35.0)
    skeg = strut.skeg
    if skeg is not None:
        aft = barrel.x(skeg.root_aft_station_mm)
        _mark(view, ctx, found["skeg to barrel"], (aft, -r), -140.0)
        if skeg.heel is not None:
            lead = barrel.x(skeg.root_forward_station_mm) - skeg.sweep_mm
            _mark(view, ctx, found["foot to skeg"],
                  (lead - 0.3 * skeg.tip_chord_mm, -skeg.depth_mm + skeg.heel.foot_height_mm), -40.0)
            hx, _, hz = skeg.heel.centre_mm
            _mark(view, ctx, found["foot to heel boss"],
                  (hx + skeg.heel.outside_mm / 2, hz + skeg.heel.foot_height_mm / 2), 140.0)
    view.horizontal((-half, -r), (barrel.x(near.station_mm), 0.0))
    view.horizontal((-half, -r), (half, -r))
    plane = strut.palms[near.palm_index].plane
    drop = plane.drop_mm
    if len({p.plane.drop_mm for p in strut.palms}) == 1:
        view.vertical((0.0, 0.0), (0.0, drop), Label(suffix="to the hull face", deviations=(DROP_MM, -DROP_MM)),
                      side="left")
    view.arrow((half, -r - 0.1 * drop), 0.0, "FWD")
    return view


def _aft_view(ctx: SheetContext) -> View:
    strut = ctx.strut
    view = View("weld end", "seen from left", "SEEN FROM AFT")
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), LEFT), hidden=False)
    r = strut.barrel.outside_mm / 2
    view.centre_mark((0.0, 0.0), 2 * r)
    found = {j.what: j for j in joints(strut)}
    if len(strut.arms) > 1:
        arm = strut.arms[0]
        side = dev.arm_side(strut, arm)
        for end, cut in (("barrel", dev.meet_barrel(strut.barrel, side)),
                         ("palm", dev.meet_palm(strut.palms[arm.palm_index], side))):
            flat = parts.flat(cut.points, np.array([0.0, -1.0, 0.0]), np.array([0.0, 0.0, 1.0]), np.zeros(3))
            at = parts.point(flat[int(np.argmin(flat[:, 0]))])
            _mark(view, ctx, found[f"{common.arm_label(arm)} to {end}"], at, 190.0 if end == "barrel" else 215.0)
        tops: list[P] = []
        for arm in strut.arms:
            axes = frames.arm_axes(arm, strut.barrel, frames.arm_plane(strut, arm))
            tip = (dev.arm_lengths(strut, arm).axis_mm + strut.barrel.outside_mm / 2) * axes.n
            tops.append((-float(tip[1]), float(tip[2])))
        for top in tops:
            view.centre_line((0.0, 0.0), top)
        first, second = sorted(tops, reverse=True)
        if first[0] * second[1] - first[1] * second[0] > 0:
            view.angle((0.0, 0.0), first, second, radius_mm=40.0)
    view.label((-r, 0.0), "PORT", height_mm=2.5, at_deg=180.0)
    view.label((r, 0.0), "STARBOARD", height_mm=2.5, at_deg=0.0)
    return view


def _reach(strut: Strut, arm: Arm) -> float:
    """Half the width of what the joint details show, one for both ends, so that they have one scale."""
    thick = max(arm.thickness_barrel_mm, arm.thickness_palm_mm)
    leg = max(arm.barrel_root_mm, arm.palm_root_mm)
    return min(0.65 * thick + 1.8 * leg, 0.44 * strut.barrel.outside_mm)


def _joint_detail(ctx: SheetContext, arm: Arm, end: Literal["barrel", "palm"]) -> View:
    """A joint cut across the arm's thickness: edge preparation and fillets; the plate or barrel lies below."""
    strut, weld = ctx.strut, ctx.strut.weld
    palm = strut.palms[arm.palm_index]
    t = arm.thickness_barrel_mm if end == "barrel" else arm.thickness_palm_mm
    leg = arm.barrel_root_mm if end == "barrel" else arm.palm_root_mm
    depth = strut.barrel.wall_mm if end == "barrel" else palm.thickness_mm
    bevelled = weld.prep == "double_bevel"
    reach = _reach(strut, arm)
    high = 0.9 * t + 1.4 * leg
    view = View(f"joint {end}", "free", f"JOINT AT THE {end.upper()}, ARM SQUARE TO IT",
                scale=parts.one_scale(2 * _reach(strut, arm), 95.0))
    r = strut.barrel.outside_mm / 2
    xs = np.linspace(-reach, reach, 61)
    top = np.sqrt(r * r - xs * xs) - r if end == "barrel" else np.zeros(61)
    # Enough of the wall or plate for the hatching to be seen.
    depth = min(depth, 0.9 * reach)
    base = np.vstack([np.column_stack([xs, top]), [[reach, top[-1] - depth], [-reach, top[0] - depth]]])
    view.add([parts.poly(base[:61])])
    view.hatch([base], spacing_mm=2.5)
    view.add([Line(parts.point(base[61]), parts.point(base[62]))])
    low = float(top[0])

    def ground(x: float) -> float:
        return float(np.interp(x, xs, top))

    if bevelled:
        f = weld.root_face_mm / 2
        rise = (t / 2 - f) * math.tan(math.radians(90.0 - weld.prep_angle_deg))
        lower = [(-t / 2, rise), (-f, 0.0), (f, 0.0), (t / 2, rise)]
    else:
        rise = 0.0
        lower = [(float(x), ground(float(x))) for x in np.linspace(-t / 2, t / 2, 21)]
    body = np.array([*lower, (t / 2, rise + high), (-t / 2, rise + high)])
    view.hatch([body], spacing_mm=2.5, angle_deg=135.0)
    view.add([parts.poly(np.array([(-t / 2, rise + high), *lower, (t / 2, rise + high)]))])
    view.break_line((-t / 2, rise + high), (t / 2, rise + high))
    view.break_line((-reach, low - depth), (-reach, low))
    view.break_line((reach, low - depth), (reach, low))
    for sign in (1.0, -1.0):
        toe = sign * (t / 2 + leg)
        bead = np.array([(sign * t / 2, rise + leg), (toe, ground(toe))])
        view.add([parts.poly(bead)])
    view.centre_line((0.0, 0.0), (0.0, rise + high))
    view.horizontal((-t / 2, rise + high), (t / 2, rise + high), side="above")
    view.horizontal((t / 2, ground(t / 2)), (t / 2 + leg, ground(t / 2 + leg)), Label(prefix="z"), side="below")
    if bevelled:
        view.note((0.0, 0.0), [f"root face {parts.length(ctx.figures, weld.root_face_mm)}"], at_deg=-125.0)
        corner = (t / 2, rise)
        view.add([Line(corner, (t / 2, 0.0))], "thin")   # the arm's side, from which the bevel is measured
        view.angle(corner, (weld.root_face_mm / 2, 0.0), (t / 2, 0.0), radius_mm=12.0)
    return view


def _weld_table(ctx: SheetContext) -> Table:
    strut, f = ctx.strut, ctx.figures
    rows = []
    for j in joints(strut):
        prep = f"double bevel {f.angle(strut.weld.prep_angle_deg)}" if j.bevelled else "none"
        face = f.length(strut.weld.root_face_mm) if j.bevelled else "-"
        gap = f"{f.length(GAP_MM[0])} to {f.length(GAP_MM[1])}" if j.bevelled else "-"
        rows.append((j.mark, j.what, prep, face, gap, f"z{common.weld_size(ctx, j.leg_mm)}",
                     f"a{f.length(float(throat_mm(j.leg_mm)))}", f.length(j.length_mm),
                     common.weld_size(ctx, tables.weld_min_leg_mm(j.thickest_mm, inch=f.unit != 'mm'))))
    return Table("welds", f"WELDS, all round, {'mm' if f.unit == 'mm' else 'inch'}",
                 ("weld", "joint", "edge", "root face", "gap", "leg", "throat", "length", "least leg"), tuple(rows),
                 left=frozenset({1}))


# --- jig --------------------------------------------------------------------------------------------------------------


def jig_view(palm: Palm) -> tuple[Viewpoint, Vector]:
    """Return how a strut is seen that lies with a palm's hull face on a flat plate: level, square to the shaft.

    The second value is the unit vector (3,) of the view's up, away from the hull.
    """
    axes = frames.palm_axes(palm)
    shaft = np.array([1.0, 0.0, 0.0])
    ahead = frames.unit(shaft - float(shaft @ axes.n) * axes.n)
    up = -axes.n
    toward = np.cross(ahead, up)
    triple = [tuple(float(c) for c in v) for v in (toward, ahead, axes.origin)]
    (tx, ty, tz), (rx, ry, rz), (ox, oy, oz) = triple
    return Viewpoint((tx, ty, tz), (rx, ry, rz), (ox, oy, oz)), up


def _jig_view(ctx: SheetContext) -> View:
    strut = ctx.strut
    palm = strut.palms[0]
    eye, _ = jig_view(palm)
    view = View("jig", "free", f"JIG: HULL FACE OF THE {palm.name.upper()} DOWN ON A FLAT PLATE")
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), eye, hidden=False))
    box = view.extent()
    view.scale = parts.one_scale(max(box.width, box.height), 150.0)
    view.add([Line((box.x0 - 0.06 * box.width, 0.0), (box.x1 + 0.06 * box.width, 0.0))], "visible")
    half = strut.barrel.length_mm / 2
    aft, fore = (common.seen(eye, (x, 0.0, 0.0)) for x in (-half, half))
    view.centre_line(aft, fore)
    foot = 0.5 * (box.x0 + box.x1)
    view.vertical((foot, 0.0), aft, side="left")
    view.vertical((foot, 0.0), fore, side="right")
    view.horizontal(aft, fore, Label(reference=True), side="above")
    angle = parts.degrees(common.set_up(palm.plane).true_deg)
    view.note((0.5 * (aft[0] + fore[0]), 0.5 * (aft[1] + fore[1])), [f"shaft line, {angle} to the plate"], head="dot")
    view.arrow((box.x1 - 0.1 * box.width, box.y1 + 0.06 * box.height), 0.0, "FWD")
    return view


def _jig_table(ctx: SheetContext) -> Table:
    strut, f = ctx.strut, ctx.figures
    half, length = strut.barrel.length_mm / 2, strut.barrel.length_mm
    rows: list[list[str]] = [["shaft line over the plate, aft face"], ["shaft line over the plate, forward face"],
                             ["top of a bar of shaft size, aft face"], ["top of a bar of shaft size, forward face"],
                             ["shaft to plate, true angle"], ["skew of the bar to the trace, plan, toward port"],
                             ["the same over the barrel's length"]]
    heads = []
    for palm in strut.palms:
        up = common.set_up(palm.plane)
        over = strut.shaft.diameter_mm / 2 * math.cos(math.radians(up.true_deg))
        aft, fore = up.height_mm(-half), up.height_mm(half)
        run = length * math.cos(math.radians(up.true_deg))
        figures = [f.length(aft), f.length(fore), f.length(aft + over), f.length(fore + over),
                   parts.degrees(up.true_deg), parts.degrees(up.skew_deg),
                   f.length(run * math.sin(math.radians(up.skew_deg)) + 0.0)]
        for row, value in zip(rows, figures, strict=True):
            row.append(value)
        heads.append(palm.name)
    return Table("jig", f"JIG HEIGHTS, hull face on a flat plate, {'mm' if f.unit == 'mm' else 'inch'}",
                 ("what", *heads), tuple(tuple(r) for r in rows), left=frozenset({0}))


def _weld_notes(ctx: SheetContext) -> list[str]:
    strut, f = ctx.strut, ctx.figures
    family = metal(strut.material).family
    stainless = family in ("stainless", "duplex")
    weld = strut.weld
    notes = ["Weld symbols ISO 2553 (system A), quality ISO 5817 level C unless class asks for B; preparation after "
             "ISO 9692-1, figures from memory. z leg, a throat; least leg by the thicker part, AWS D1.1."]
    if weld.prep == "double_bevel":
        notes.append(f"Bevel {f.angle(weld.prep_angle_deg)} from the arm's side on an arm that stands square; "
                     f"elsewhere the groove opens {f.angle(90.0 - weld.prep_angle_deg)} from the part it meets. Root "
                     f"face {f.length(weld.root_face_mm)}; back-gouge to sound metal, full penetration, then the "
                     "fillets.")
    heat = (f"Interpass below {'150 °C' if ctx.units == 'mm' else '300 °F'}; matching filler" if stainless else
            "Preheat by plate thickness and filler" if family == "steel" else "Filler and preheat by the alloy")
    last = (*(("skeg last",) if strut.skeg is not None else ()), "cool in the jig",
            "measure, flatten as the press card says, measure",
            "pickle" if stainless else "clean", "palm flat (faced only where its plate was ordered thicker), drill",
            "bore last")
    notes += [
        f"All joints sealed and continuous, round nose and tail without a stop at the ends; toes ground hollow. "
        f"{heat}.",
        f"Sequence: 1 barrel {_barrel_stock(ctx)} on a heavy mandrel; 2 palm pre-set against its curl, or two struts "
        "back to back; 3 set in the jig by the heights; 4 tack and measure again; 5 short balanced runs on opposite "
        "sides; "
        + "; ".join(f"{k} {step}" for k, step in enumerate(last, 6)) + ".",
        f"Hold before machining: drop ±{f.length(DROP_MM)}, palm angles ±{f.angle(TILT_DEG)}, arm plane through the "
        f"axis ±{f.length(PLANE_MM)}. The right heights can still be the wrong hand: check the skew's side.",
        *(["A plate carries one palm at a time; the other stands past its edge."] if len(strut.palms) > 1 else []),
        "Tests: all welds by eye; dye penetrant on the root run and again after pressing.",
        common.hand_words(strut),
    ]
    return notes


def _barrel_stock(ctx: SheetContext) -> str:
    """What the barrel is when it is welded."""
    tube = ctx.strut.barrel.tube
    return "rough-bored" if tube is None else \
        f"cut from tube Ø{ctx.figures.length(tube.outside_mm)} × {ctx.figures.length(tube.wall_mm)}, not bored yet,"


# --- press card -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Press:
    """What a curled palm asks of a press, mm and N, for one arm's line on it.

    width_mm: of the palm this arm's weld curls. rows_mm: v of the two supports, port first. at_mm: v of the arm's line.
    curl_mm: rise of the edges over the width. set_mm: its share over the span, which the press has to bend back.
    """

    palm: Palm
    arm: Arm
    length_mm: float
    width_mm: float
    rows_mm: tuple[float, float]
    at_mm: float
    curl_mm: float
    set_mm: float
    family: str
    yield_mpa: float
    modulus_mpa: float

    @property
    def span_mm(self) -> float:
        """Distance of the two supports."""
        return self.rows_mm[0] - self.rows_mm[1]

    def stroke(self, share: float = 1.0) -> flattening.PressStroke:
        """Return force and travel for the whole length at a share of the least yield."""
        return flattening.press_stroke(self.set_mm, share * self.yield_mpa, self.modulus_mpa, self.length_mm,
                                       self.palm.thickness_mm, self.span_mm)


def press_case(strut: Strut, arm: Arm) -> Press:
    """Return the press case of an arm on its palm.

    The two halves of the palm are taken to stay flat and to turn about the weld, so that the curl over the span is its
    share by distance. Supports stand under the bolt rows nearest the arm on either side; where there is none, a quarter
    of the way in from the edge.
    """
    palm = strut.palms[arm.palm_index]
    box = palm.outline.bounding_box()
    foot = dev.palm_footprint(palm, dev.arm_side(strut, arm)).bounding_box()
    middle = (foot.ymin + foot.ymax) / 2
    near = 1.5 * max(palm.bolt.head_diameter_mm, palm.bolt.hole_mm)
    clear = arm.palm_root_mm
    port = [h.v_mm for h in palm.holes if h.v_mm > foot.ymax + clear]
    starboard = [h.v_mm for h in palm.holes if h.v_mm < foot.ymin - clear]
    high, low = (box.ymax + foot.ymax) / 2, (box.ymin + foot.ymin) / 2
    if port:
        high = float(np.mean([v for v in port if v <= min(port) + near]))
    if starboard:
        low = float(np.mean([v for v in starboard if v >= max(starboard) - near]))
    sharing = sum(1 for a in strut.arms if strut.palms[a.palm_index] is palm)
    width = (box.ymax - box.ymin) / sharing
    m = metal(strut.material)
    curl = float(flattening.weld_pull_up_mm(width, arm.palm_root_mm, palm.thickness_mm))
    if m.family in ("stainless", "duplex", "bronze"):
        curl *= PULLS_MORE
    return Press(palm, arm, box.xmax - box.xmin, width, (high, low), middle, curl, curl * (high - low) / width,
                 m.family, float(m.yield_mpa), float(m.modulus_mpa))


def press_card(ctx: SheetContext, sheet_number: int, sheets: int, *, index: int = 0) -> Sheet | None:
    """Return the press card of the first or second arm's line (index 0 or 1); None for a cast strut, and for a second
    arm whose case is the mirror image of the first.
    """
    strut = ctx.strut
    if strut.construction != "welded" or index >= len(strut.arms):
        return None
    case = press_case(strut, strut.arms[index])
    if index and _alike(case, press_case(strut, strut.arms[0])):
        return None
    if not (case.set_mm > 0.0 and case.yield_mpa > 0.0):
        return None
    both = len(strut.arms) > 1 and _alike(case, press_case(strut, strut.arms[1 - index]))
    name = "Press card"
    if len(strut.arms) > 1:
        name += ", both arms" if both else f", {common.arm_label(case.arm)}"
    sketch = _sketch(ctx, case)
    return Sheet(
        ctx.title(name, "Press card", sheet_number=sheet_number, sheets=sheets, face="HULL FACE"),
        views=[sketch, _plan(ctx, case)], tables=[_press_table(ctx, case), _bites(ctx, case), _recheck(ctx, case)],
        notes=_press_notes(ctx, case), cautions=[cautions.PRESS], sizes=ctx.sizes[1:],
        scales=common.scales_between(sketch.extent().width, 60.0, 200.0), projection=ctx.projection,
        figures=ctx.figures, banner=parts.banner(strut), caution_text_mm=4.0)


def _alike(a: Press, b: Press) -> bool:
    return (abs(a.span_mm - b.span_mm) < 1e-6 and abs(a.set_mm - b.set_mm) < 1e-9
            and abs(a.length_mm - b.length_mm) < 1e-6 and a.palm.thickness_mm == b.palm.thickness_mm)


def _sketch(ctx: SheetContext, case: Press) -> View:
    """The palm across, hull face up, seen from aft: port to the left. The curl is drawn many times too large."""
    palm, t = case.palm, case.palm.thickness_mm
    box = palm.outline.bounding_box()
    mid, supports = -case.at_mm, [-v for v in case.rows_mm]
    # No more of a wide palm than lies round the parallels.
    left, right = max(-box.ymax, supports[0] - 0.6 * case.span_mm), min(-box.ymin, supports[1] + 0.6 * case.span_mm)
    e = 0.055 * (right - left)

    def under(x: float) -> float:
        return -e * abs(x - mid) / max(mid - left, right - mid)

    view = View("press", "front", "IN THE PRESS, SEEN FROM AFT (curl exaggerated)")
    plate = np.array([(left, under(left)), (mid, 0.0), (right, under(right)), (right, under(right) + t), (mid, t),
                      (left, under(left) + t)])
    view.add([parts.poly(plate[:3]), parts.poly(plate[3:])])
    for cut, ends in ((left > -box.ymax, plate[[0, 5]]), (right < -box.ymin, plate[[2, 3]])):
        a, b = parts.point(ends[0]), parts.point(ends[1])
        if cut:
            view.break_line(a, b)
        else:
            view.add([Line(a, b)])
    view.hatch([plate], spacing_mm=3.0)
    axes, hull = frames.arm_axes(case.arm, ctx.strut.barrel, palm.plane), frames.palm_axes(palm)
    lean = float(axes.n @ hull.v) / float(axes.n @ hull.n)   # toward port per mm toward the hull
    wide, deep = case.arm.thickness_palm_mm, 0.42 * (right - left)
    skewed = [(mid + s * wide / 2 - lean * y, y) for s, y in ((-1, 0.0), (-1, -deep), (1, -deep), (1, 0.0))]
    view.add([Line(skewed[0], skewed[1]), Line(skewed[3], skewed[2])])
    view.break_line(skewed[1], skewed[2])
    leg = case.arm.palm_root_mm
    for k, s in ((0, -1.0), (3, 1.0)):
        x = skewed[k][0]
        view.add([Line((x + s * leg, under(x + s * leg)), (x + lean * leg, -leg))])
    bar, tall = max(0.05 * (right - left), 0.6 * t), max(0.09 * (right - left), t)
    bed = min(under(x) for x in supports) - tall
    for x in supports:
        block = np.array([(x - bar / 2, bed), (x + bar / 2, bed), (x + bar / 2, under(x)), (x - bar / 2, under(x))])
        view.add_outline(block)
        view.hatch([block], spacing_mm=2.0, angle_deg=135.0)
    over = 0.08 * (right - left)
    for x0, x1 in ((left - over, supports[0] + bar), (supports[1] - bar, right + over)):
        view.add([Line((x0, bed), (x1, bed))])
    nose = max(0.6 * t, 0.04 * (right - left))
    view.add([Arc((mid, t + nose), nose, math.pi, math.pi), Line((mid - nose, t + nose), (mid - nose, t + 2.6 * nose)),
              Line((mid + nose, t + nose), (mid + nose, t + 2.6 * nose)),
              Line((mid - nose, t + 2.6 * nose), (mid + nose, t + 2.6 * nose))])
    top = t + 2.6 * nose
    view.arrow((mid, top + 0.24 * (right - left)), -90.0, "FORCE")
    for x in supports:
        view.arrow((x, bed - 0.26 * (right - left)), 90.0, "REACTION")
    view.horizontal((supports[0], bed), (supports[1], bed), Label(suffix="span"))
    view.vertical((mid, 0.0), (mid, t), side="right")
    view.note((supports[0], (bed + under(supports[0])) / 2), ["hard parallels under", "the bolt rows"], head="dot",
              at_deg=200.0)
    view.note((mid + nose, t + 1.8 * nose), ["bar with a round nose,", "over the arm's line"], at_deg=20.0)
    view.note((0.5 * (left + mid), under(0.5 * (left + mid)) + t), ["HULL FACE UP"], at_deg=120.0)
    view.note((right, under(right)), ["edges drawn down by the weld:",
                                      f"about {parts.length(ctx.figures, case.curl_mm)}", "over the whole width"],
              at_deg=-40.0)
    view.note(parts.point((np.array(skewed[1]) + np.array(skewed[0])) / 2), ["arm hangs free", "in the gap of the bed"],
              at_deg=205.0)
    view.label((left, under(left) + t / 2), "PORT", height_mm=2.5, at_deg=180.0)
    view.label((right, under(right) + t / 2), "STARBOARD", height_mm=2.5, at_deg=0.0)
    return view


def _plan(ctx: SheetContext, case: Press) -> View:
    """The palm from above, hull face up: supports, arm's line, bites from the middle outwards."""
    palm = case.palm
    box = palm.outline.bounding_box()
    view = View("press plan", "free", "SEEN FROM ABOVE, HULL FACE UP", share=0.7)
    view.add_outline(palm.outline.vertices)
    for arm in ctx.strut.arms:
        if ctx.strut.palms[arm.palm_index] is palm:
            view.add_outline(dev.palm_footprint(palm, dev.arm_side(ctx.strut, arm)).vertices, "hidden")
    over = 0.05 * (box.xmax - box.xmin)
    bar = max(0.05 * case.width_mm, 0.6 * palm.thickness_mm)
    for v in case.rows_mm:
        for s in (-0.5, 0.5):
            view.add([Line((box.xmin - over, v + s * bar), (box.xmax + over, v + s * bar))], "phantom")
    for hole in palm.holes:
        view.circle((hole.u_mm, hole.v_mm), palm.bolt.hole_mm)
    view.centre_line((box.xmin, case.at_mm), (box.xmax, case.at_mm))
    view.vertical((box.xmin, case.rows_mm[1]), (box.xmin, case.rows_mm[0]), side="left")
    view.note((box.xmax - 0.2 * (box.xmax - box.xmin), case.at_mm), ["line of the ram"], at_deg=30.0)
    view.arrow((box.xmin + 0.5 * (box.xmax - box.xmin), box.ymax + 0.07 * (box.xmax - box.xmin)), 0.0, "FWD")
    view.arrow((box.xmin + 0.05 * (box.xmax - box.xmin), box.ymax + 0.05 * (box.xmax - box.xmin)), 90.0, "PORT")
    return view


def _force(ctx: SheetContext, force_n: float) -> str:
    value, unit = in_file_units(force_n, "N", ctx.units)
    return f"{value / 1e3:.0f} kN" if unit == "N" else f"{value:,.0f} lbf"


def _yield(ctx: SheetContext, yield_mpa: float) -> str:
    value, unit = in_file_units(yield_mpa, "MPa", ctx.units)
    return f"{value:.0f} MPa" if unit == "MPa" else f"{value:,.0f} psi"


def _small(ctx: SheetContext, size_mm: float) -> str:
    return f"{size_mm:.2f} mm" if ctx.units == "mm" else f"{size_mm / INCH_MM:.3f} in"


def strain_limit(family: str) -> float | None:
    """Return the greatest cold surface strain of a family of metals; None when it is not to be pressed cold."""
    return flattening.STRAIN_LIMIT.get(family)


def _press_table(ctx: SheetContext, case: Press) -> Table:
    f = ctx.figures
    low, high = case.stroke(), case.stroke(YIELD_SHARE)
    t, s = case.palm.thickness_mm, case.span_mm
    strain, limit = low.strain, strain_limit(case.family)
    verdict = "NO" if limit is None or strain > limit else "within the limit"
    shown = "little or none" if limit is None else f"{100 * limit:.1f} %"

    def first(share: float) -> float:
        return float(flattening.yield_force_n(share * case.yield_mpa, case.length_mm, t, s))

    def full(share: float) -> float:
        return float(flattening.plastic_force_n(share * case.yield_mpa, case.length_mm, t, s))

    rows = [
        ("yield", _yield(ctx, case.yield_mpa), _yield(ctx, YIELD_SHARE * case.yield_mpa)),
        ("palm pressed: length × thickness", f"{f.length(case.length_mm)} × {f.length(t)}", "same"),
        ("span between the parallels", f.length(s), "same"),
        ("fillet leg at the palm", common.weld_size(ctx, case.arm.palm_root_mm), "same"),
        ("expected curl over the width (±50 %)", _small(ctx, case.curl_mm), "same"),
        ("set to be bent back over the span", _small(ctx, case.set_mm), "same"),
        ("force at first yield, whole length", _force(ctx, first(1.0)), _force(ctx, first(YIELD_SHARE))),
        ("greatest force, whole length", _force(ctx, full(1.0)), _force(ctx, full(YIELD_SHARE))),
        ("spring-back", _small(ctx, low.spring_back_mm), _small(ctx, high.spring_back_mm)),
        ("past flat: stroke from touching", _small(ctx, low.stroke_mm), _small(ctx, high.stroke_mm)),
        ("surface strain", f"{100 * strain:.2f} %", "same"),
        ("limit of surface strain (from memory)", shown, "same"),
        ("cold pressing", verdict, verdict),
    ]
    return Table("press", "PRESSING FLAT (estimate; control the stroke, not the force)",
                 ("what", "least yield", f"{YIELD_SHARE:g} × yield"), tuple(rows), left=frozenset({0}))


def _bites(ctx: SheetContext, case: Press) -> Table:
    rows = []
    short_ton = 2000 * FORCE.factors["lbf"]
    for press in PRESSES_N if ctx.units == "mm" else [n * short_ton for n in PRESSES_SHORT_TONS]:
        cells = []
        for share in (1.0, YIELD_SHARE):
            made = flattening.press_bites(press, case.length_mm, share * case.yield_mpa, case.palm.thickness_mm,
                                          case.span_mm)
            cells += [ctx.figures.length(round(made.width_mm)), str(made.count)]
        told = f"{_force(ctx, press)} (about {press / 9806.65:.0f} t)" if ctx.units == "mm" else \
            f"{press / short_ton:.0f} short tons"
        rows.append((told, *cells))
    return Table("bites", "BITES ALONG THE PALM, three quarters of the press used",
                 ("press", "strip, least yield", "bites", f"strip, {YIELD_SHARE:g} × yield", "bites "), tuple(rows))


def _recheck(ctx: SheetContext, case: Press) -> Table:
    f, strut = ctx.figures, ctx.strut
    up = common.set_up(case.palm.plane)
    half = strut.barrel.length_mm / 2
    rows = [
        ("hull face flat, feeler all round", f"{f.length(parts.flatness_mm(strut, case.palm))} at most"),
        ("shaft line over the hull face, aft", f.length(up.height_mm(-half))),
        ("shaft line over the hull face, forward", f.length(up.height_mm(half))),
        ("skew of a bar to the trace, to port", parts.degrees(up.skew_deg)),
        ("arm plane through the axis", f"±{f.length(PLANE_MM)}"),
        ("welds, dye penetrant", "no crack"),
    ]
    return Table("recheck", "RE-CHECK, fill in", ("what", "wanted", "before", "bite 1", "bite 2", "end", "by"),
                 tuple((*r, "", "", "", "", "") for r in rows), left=frozenset({0}), row_mm=6.0,
                 least_mm=(0.0, 0.0, 16.0, 16.0, 16.0, 16.0, 14.0))


def _press_notes(ctx: SheetContext, case: Press) -> list[str]:
    f = ctx.figures
    case_limit = strain_limit(case.family)
    notes = [
        "Press before the countersinks are cut, or plug them; balls in finished countersinks make seats that do "
        "not mark." if case.palm.bolt.kind == "countersunk" else
        "Press before the holes are drilled: holes in the bend go oval.",
        "Work from the middle outwards in bites, from below: flat plus the spring-back, measure, then add "
        f"{f.length(0.1)} to {f.length(0.2)} at a time by shims under the stop. Never press the arm.",
        "The curl is a handbook estimate for mild steel"
        + (f", times {PULLS_MORE:g} for this metal" if case.family in ("stainless", "duplex", "bronze") else "")
        + "; measure the palm first and use what you measure. Use the certificate's yield where there is one.",
    ]
    if len(ctx.strut.arms) > 1:
        notes.append("Each arm's line is pressed by itself with its own parallels; the card holds for either when the "
                     "arms mirror each other.")
    if case_limit is None:
        notes.append("THIS METAL IS NOT TO BE PRESSED COLD BEYOND A LITTLE: it cracks at the toe of the weld. "
                     "Pre-set the palm, or machine the hull face flat.")
    elif case.stroke().strain > case_limit:
        notes.append("THE EXPECTED CURL IS MORE THAN THIS METAL TAKES COLD: pre-set the palm or clamp two struts back "
                     "to back in welding, use a smaller leg, or machine the hull face flat.")
    notes.append(common.hand_words(ctx.strut))
    return notes
