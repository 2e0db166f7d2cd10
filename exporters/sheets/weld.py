"""The weld assembly sheet: the strut with its welds marked, its joints cut, and the welder's tables."""

from __future__ import annotations

import itertools
import math
from typing import Literal

import numpy as np

from strutwright.exporters.drawing.figures import Label
from strutwright.exporters.drawing.projection import FRONT, LEFT
from strutwright.exporters.drawing.shapes import P, xy
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import flat, seen, sides
from strutwright.exporters.sheets.weld_joint import ENDS, arms_drawn, joint_detail
from strutwright.models import cautions, frames, weld_sides
from strutwright.models.formulas.welds import gauge_leg_mm, square_cut_gap_mm
from strutwright.models.inputs import Inputs
from strutwright.models.metals import mass_kg, metal
from strutwright.models.shop import arm_ends, cuts
from strutwright.models.shop.pressing import machining_stock_mm
from strutwright.models.shop.sides import arm_side
from strutwright.models.shop.weld_metal import FILLED, Joint, joints, weld_metal_kg
from strutwright.models.spec import Arm, Skeg, Strut
from strutwright.params import tables

GAP_OVER_MM = 1.0
"""The root gap may be wider by this; ISO 9692-1, value from memory."""
OPEN_MM = 5.0
"""A wider gap under a fillet wants a bevel; welding practice, from memory."""
DROP_MM, TILT_DEG, PLANE_MM = 1.5, 0.25, 1.0
"""What the weldment must keep: drop, palm angles, arm plane through the axis; common practice, from memory."""


SEALED = (
    "All joints sealed and continuous, carried round the leading and trailing edges without a stop there; toes "
    "ground to a smooth hollow."
)


def weld_assembly(ctx: SheetContext) -> Sheet | None:
    """Return the weld assembly sheet; None for a cast strut."""
    strut = ctx.strut
    if strut.construction != "welded":
        return None
    family = metal(strut.material).family
    front = _side_view(ctx)
    extent = front.extent()
    drawn, mirrored = arms_drawn(strut)
    details = [joint_detail(ctx, arm, end, mirrored) for arm in drawn for end in ENDS]
    return ctx.sheet(
        "Weld assembly",
        "Weld assembly drawing",
        [front, _aft_view(ctx), *details],
        mass=common.strut_mass(ctx),
        tables=[weld_table(ctx), edge_table(ctx)],
        notes=weld_notes(ctx),
        cautions=[
            cautions.STRUCTURE,
            cautions.welding(family),
            cautions.grinding(family),
            *cautions.pickling(family),
            cautions.LIFTING,
        ],
        scales=common.no_larger(common.scales_between(max(extent.width, extent.height), 95.0, 260.0)),
        part="",
    )


def _mark(view: View, ctx: SheetContext, joint: Joint, at: P, way_deg: float) -> None:
    kind: Literal["fillet", "double bevel and fillet"] = "double bevel and fillet" if joint.bevelled else "fillet"
    view.weld(at, kind, f"z{common.weld_size(ctx, joint.leg_mm)}", tail=joint.mark, at_deg=way_deg)


def _side_view(ctx: SheetContext) -> View:
    strut, barrel, found = ctx.strut, ctx.strut.barrel, joints(ctx.strut)
    view = View("weld side", "front", "SEEN FROM STARBOARD")
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), FRONT), hidden=False)
    half, r = barrel.length_mm / 2, barrel.outside_mm / 2
    view.centre_line((-half, 0.0), (half, 0.0))
    near = strut.arms[-1]  # the starboard one of two
    name, side, palm = near.called, arm_side(strut, near), strut.palms[near.palm_index]
    low = cuts.meet_barrel(barrel, side).points[side.leading]
    high = cuts.meet_palm(palm, side).points[side.leading]
    _mark(view, ctx, found[name, "barrel"], seen(FRONT, low), 35.0)
    _mark(view, ctx, found[name, "palm"], seen(FRONT, high), -35.0)
    if strut.skeg is not None:
        _skeg_marks(ctx, view, found, strut.skeg)
    view.horizontal((-half, -r), (barrel.x(near.station_mm), 0.0))
    view.horizontal((-half, -r), (half, -r))
    drop = palm.plane.drop_mm
    if len({p.plane.drop_mm for p in strut.palms}) == 1:
        # Between two palms the hull face is not there: the figure is that of its plane.
        where = "to the hull face"
        if abs(strut.palms[0].zero_mm[1]) > 1.0:
            where += ", at the centre line" if strut.identity.hand == "centre" else ", above the shaft line"
        view.vertical((0.0, 0.0), (0.0, drop), Label(suffix=where, deviations=(DROP_MM, -DROP_MM)), side="left")
    view.arrow((half, -r - 0.1 * drop), 0.0, "FWD")
    return view


def _skeg_marks(ctx: SheetContext, view: View, found: dict[tuple[str, str], Joint], skeg: Skeg) -> None:
    barrel, heel = ctx.strut.barrel, skeg.heel
    _mark(view, ctx, found["skeg", "barrel"], (barrel.x(skeg.root_aft_station_mm), -barrel.outside_mm / 2), -140.0)
    if heel is not None:
        lead = barrel.x(skeg.root_forward_station_mm) - skeg.sweep_mm
        on_foot = (lead - 0.3 * skeg.tip_chord_mm, -skeg.depth_mm + heel.foot_height_mm)
        _mark(view, ctx, found["foot", "skeg"], on_foot, -40.0)
        x, _, z = heel.centre_mm
        on_boss = (x + heel.outside_mm / 2, z + heel.foot_height_mm / 2)
        _mark(view, ctx, found["foot", "heel boss"], on_boss, 140.0)


def _aft_view(ctx: SheetContext) -> View:
    strut, found = ctx.strut, joints(ctx.strut)
    view = View("weld end", "seen from left", "SEEN FROM AFT")
    view.add_projection(ctx.view("strut", common.bare_strut(ctx), LEFT), hidden=False)
    r = strut.barrel.outside_mm / 2
    view.centre_mark((0.0, 0.0), 2 * r)
    if len(strut.arms) > 1:
        arm = strut.arms[0]
        side, name = arm_side(strut, arm), arm.called
        for end, cut, way_deg in (
            ("barrel", cuts.meet_barrel(strut.barrel, side), 190.0),
            ("palm", cuts.meet_palm(strut.palms[arm.palm_index], side), 215.0),
        ):
            places = flat(cut.points, np.array([0.0, -1.0, 0.0]), np.array([0.0, 0.0, 1.0]), np.zeros(3))
            _mark(view, ctx, found[name, end], xy(places[int(np.argmin(places[:, 0]))]), way_deg)
        tops = [_top(strut, a) for a in strut.arms]
        for top in tops:
            view.centre_line((0.0, 0.0), top)
        for first, second in itertools.pairwise(sorted(tops, reverse=True)):
            view.angle((0.0, 0.0), first, second, radius_mm=40.0)
    sides(view, (-r, 0.0), (r, 0.0))
    return view


def _top(strut: Strut, arm: Arm) -> P:
    """Where an arm's axis ends, seen from aft."""
    axes = frames.arm_axes(arm, strut.barrel, frames.arm_plane(strut, arm))
    tip = (arm_ends.arm_lengths(strut, arm).axis_mm + strut.barrel.outside_mm / 2) * axes.n
    return -float(tip[1]), float(tip[2])


def weld_table(ctx: SheetContext) -> Table:
    """Return the table of the welds, by their marks."""
    weld, f = ctx.strut.weld, ctx.figures
    groove = ("double bevel", f.length(weld.root_face_mm), f.length(cuts.root_gap_mm(ctx.strut), (GAP_OVER_MM, 0.0)))
    rows = tuple(
        (
            j.mark,
            j.what if j.count == 1 else f"{j.count} × {j.what}",
            *(groove if j.bevelled else ("none", "-", "-")),
            f"z{common.weld_size(ctx, j.leg_mm)}",
            f"a{f.length(j.throat_mm)}",
            f.length(j.length_mm),
            common.mass_text(ctx, mass_kg(j.volume_mm3, ctx.strut.material) or 0.0) or "-",
            common.weld_size(ctx, tables.weld_min_leg_mm(j.thickest_mm, inch=ctx.inch)),
        )
        for j in joints(ctx.strut).values()
    )
    columns = (
        "weld",
        "joint",
        "edge",
        "root face",
        "root gap",
        "leg",
        "least throat",
        "length",
        "weld metal",
        "least leg",
    )
    return Table(name="welds", title=f"WELDS, all round, {ctx.unit}", columns=columns, rows=rows, left=frozenset({1}))


def edge_table(ctx: SheetContext) -> Table:
    """Return both sides of each arm's joints: the true angle between them, groove and preparation, throat, gauge."""
    strut, found, rows = ctx.strut, joints(ctx.strut), []
    inputs, bevelled = Inputs.from_strut(strut), strut.weld.prep != "none"
    for arm, sizes in zip(strut.arms, inputs.arms, strict=True):
        for j in arm_ends.arm_joints(strut, arm):
            grooved = j.groove_deg is not None and j.prep_deg is not None
            cut = ("as it stands", "no cut") if bevelled else ("-", "-")
            if j.groove_deg is not None and j.prep_deg is not None:
                cut = common.degrees(j.groove_deg, 1), common.degrees(j.prep_deg, 1)
            joint, at_barrel = found[arm.called, j.end], j.end == "barrel"
            plate, outside = float(sizes.size_at(sizes.water_mm)[1]), np.inf
            if at_barrel:
                plate, outside = arm.thickness_barrel_mm, strut.barrel.outside_mm
            throat = weld_sides.throat_mm(inputs, joint.leg_mm, plate, j.between_deg, grooved=grooved, round_mm=outside)
            faces = j.between_deg + weld_sides.opened_deg(joint.leg_mm, outside)
            gauge = ctx.length(float(gauge_leg_mm(joint.leg_mm, faces)))
            reads = f"z{common.weld_size(ctx, joint.leg_mm)}", f"a{ctx.length(float(throat))}", gauge
            rows.append((joint.mark, joint.what, j.side, common.degrees(j.between_deg, 1), *cut, *reads))
    title = "SIDES OF THE ARM JOINTS, cut square to the joint where the arm is thickest"
    columns = ("weld", "joint", "side", "between the parts", "groove", "preparation", "leg", "throat", "gauge")
    return Table(name="edges", title=title, columns=columns, rows=tuple(rows), left=frozenset({1, 2}))


def weld_notes(ctx: SheetContext) -> list[str]:
    """Return the notes of the weld assembly."""
    strut = ctx.strut
    return [
        "Weld symbols ISO 2553 (system A), quality ISO 5817 level C unless class asks for B; preparation after "
        "ISO 9692-1, figures from memory. z leg, along either fusion face from where the faces meet to the toe, "
        "whatever the angle between them; a throat; least leg for the thicker part, AISC 360 and AWS D1.1. Gauge: how "
        "far the toe "
        "on the arm then stands off the part it is welded to, which is what a fillet gauge reads; where the parts are "
        "not square to each other it is less than the leg.",
        groove_words(ctx),
        SEALED,
        f"Sequence: {'; '.join(f'{k} {step}' for k, step in enumerate(weld_steps(ctx), 1))}.",
        tolerance_words(ctx),
        filler_words(ctx),
        f"Weld metal in all some {common.mass_text(ctx, weld_metal_kg(strut))}, fillets and grooves with {FILLED:g} "
        "times their flat section; what the process loses comes on top.",
        test_words(ctx),
        _finish_words(ctx),
        f"Lifting: {common.strut_mass(ctx)}, in soft slings round the arm below the palm and round the barrel. Mark "
        "both places; weld no lug on, and put no hook into a bolt hole or the bore.",
        common.hand_words(strut),
    ]


def filler_words(ctx: SheetContext) -> str:
    """Return what it is welded with and how warm, where a table tells it of the metal."""
    strut = ctx.strut
    usual = tables.filler(tables.material(strut.material).name)
    if usual is None:
        return "Filler, preheat and interpass: to the welding procedure."

    def warm(celsius: float) -> str:
        return f"{round((1.8 * celsius + 32.0) / 5.0) * 5} °F" if ctx.inch else f"{celsius:g} °C"

    thickest = max([a.thickness_barrel_mm for a in strut.arms] + [p.thickness_mm for p in strut.palms])
    over = usual.preheat_over_mm is not None and thickest > usual.preheat_over_mm
    preheat = (
        f"preheat {warm(usual.preheat_c)}" if over and usual.preheat_c is not None else "no preheat, dry and not cold"
    )
    return (
        f"Filler {usual.name}; {preheat}; interpass below {warm(usual.interpass_c)} ({usual.standing}): the welding "
        "procedure decides."
    )


_FINISH = {
    "stainless": "pickled and passivated all over, no heat tint left",
    "duplex": "pickled and passivated all over, no heat tint left",
    "steel": "blast-cleaned, then the yard's paint",
    "aluminium": "brushed with a stainless brush of its own, then the yard's paint",
}


def _finish_words(ctx: SheetContext) -> str:
    """The state in which it is handed over, by the drawing where that says it."""
    said = ctx.resolved.said.drawing.finish
    state = said or _FINISH.get(metal(ctx.strut.material).family, "brushed clean, bare")
    return f"Finish: {state}. No paint in the bore, in threads or on the hull face."


def groove_words(ctx: SheetContext) -> str:
    """Return how the edges are prepared, and what is done where an end is cut square instead."""
    weld, f = ctx.strut.weld, ctx.figures
    if weld.prep != "double_bevel":
        words = "No edge is prepared and no gap is left: the arms' ends are cut to barrel and palm, on both sides."
        gap = _square_gap_mm(ctx.strut)
        if gap < 0.5:
            return words
        return (
            f"{words} An end cut square to the plate instead would leave up to {ctx.with_unit(gap)} open at a side: "
            f"add to the leg there what is left open; where that is more than {ctx.with_unit(OPEN_MM)}, bevel the edge."
        )
    return (
        "Groove: angle between the prepared edge and the part it is welded to, "
        f"{f.angle(90.0 - weld.prep_angle_deg)} on either side. Preparation: angle between the arm's side and the "
        "prepared edge. At the palm the two together are the angle between the parts, which differs from side to "
        "side; at the barrel both are taken from the plane that touches it under the arm's axis. Root gap "
        f"{f.length(cuts.root_gap_mm(ctx.strut))} at each end: cut list, profile and wraps "
        "have it taken off. Back-gouge to sound metal, full penetration, then the fillets."
    )


def _square_gap_mm(strut: Strut) -> float:
    """The widest gap under a side of an arm's end that is cut square to the plate, mm."""
    gaps, r = [0.0], strut.barrel.outside_mm / 2.0
    for arm in strut.arms:
        half = min(arm.thickness_barrel_mm / 2.0, r)
        gaps.append(r - math.sqrt(r * r - half * half))
        wide = max(j.between_deg for j in arm_ends.arm_joints(strut, arm) if j.end == "palm")
        gaps.append(float(square_cut_gap_mm(arm.thickness_palm_mm, wide)))
    return max(gaps)


def tolerance_words(ctx: SheetContext) -> str:
    """Return what the weldment keeps before it is machined."""
    f = ctx.figures
    return (
        f"Tolerances after welding, before machining: drop ±{f.length(DROP_MM)}, palm angles ±{f.angle(TILT_DEG)}, "
        f"arm plane through the axis ±{f.length(PLANE_MM)}.{common.skew_words(ctx.strut)}"
    )


def test_words(ctx: SheetContext) -> str:
    """Return how the welds are tested."""
    late = "machining" if _machined(ctx) else "pressing"
    return f"Tests: all welds by eye; dye penetrant on the root run and again after {late}."


def _machined(ctx: SheetContext) -> bool:
    """Whether a hull face is machined after welding."""
    strut = ctx.strut
    return any(machining_stock_mm(strut, p, ctx.limits, inch=ctx.inch) > 0.0 for p in strut.palms)


def weld_steps(ctx: SheetContext) -> list[str]:
    """Return what is done from tacking to the bore, in order."""
    family, tube, machined = metal(ctx.strut.material).family, ctx.strut.barrel.tube, _machined(ctx)
    stainless = family in ("stainless", "duplex")
    barrel = "rough-bored, then put on a heavy mandrel that fills the bore"
    if tube is not None:
        size = f"Ø{ctx.length(tube.outside_mm)} × {ctx.length(tube.wall_mm)}"
        barrel = f"cut from tube {size}, not bored yet, put on a heavy mandrel that fills it"
    preset = "palm pre-set against its curl, or two struts back to back"
    return [
        f"barrel {barrel}",
        "palm flat, with the extra metal on its hull face" if machined else preset,
        "set in the jig by heights, X and Y of sheet CUT LIST AND JIG",
        "tack and measure again",
        "short balanced runs on opposite sides",
        *(("skeg last",) if ctx.strut.skeg is not None else ()),
        "cool in the jig",
        "measure" if machined else "measure, flatten as the press card says, measure",
        "pickle" if stainless else "clean",
        "machine the hull face to the palm's thickness, drill" if machined else "palm flat, drill",
        "bore last",
    ]
