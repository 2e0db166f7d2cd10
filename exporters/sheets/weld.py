"""The welder's sheets: the weld assembly with its jig heights, and the press card for the palm that welding curls."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from strutwright.exporters.drawing.figures import Label, fixed
from strutwright.exporters.drawing.projection import FRONT, LEFT, Viewpoint
from strutwright.exporters.drawing.shapes import Arc, Line, P
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files.cut_list import BORING_MM
from strutwright.exporters.sheets import common, parts
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models import cautions, frames
from strutwright.models.formulas import flattening
from strutwright.models.formulas.welds import around_barrel_deg, throat_mm
from strutwright.models.frames import Vector
from strutwright.models.metals import metal
from strutwright.models.outline import Floats
from strutwright.models.shop import arm_ends, cuts, sides
from strutwright.models.shop import development as dev
from strutwright.models.shop.pressing import (
    PULLING,
    PULLS_MORE,
    SHORT_TON_N,
    YIELD_SHARE,
    Press,
    alike,
    machining_stock_mm,
    press_case,
    presses_n,
)
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM, in_file_units

GAP_OVER_MM = 1.0
"""The root gap may be wider by this; ISO 9692-1, value from memory."""
DROP_MM, TILT_DEG, PLANE_MM = 1.5, 0.25, 1.0
"""What the weldment must keep: drop, palm angles, arm plane through the axis; common practice, from memory."""


@dataclass(frozen=True, slots=True)
class Joint:
    """One welded joint. mark: W1 and so on. leg_mm: of the fillet; length_mm: round the joint; thickest_mm: the thicker
    part; bevelled: whether the edges are prepared; widest_deg: the angle between the parts on the wider side.
    """

    mark: str
    what: str
    leg_mm: float
    length_mm: float
    thickest_mm: float
    bevelled: bool
    widest_deg: float


def joints(strut: Strut) -> list[Joint]:
    """Return the welded joints of a strut in the order of their marks."""
    wall = strut.barrel.wall_mm
    found: list[Joint] = []
    bevelled = strut.weld.prep == "double_bevel"

    def add(what: str, leg: float, length: float, thick: float, bevel: bool, widest_deg: float = 90.0) -> None:
        found.append(Joint(f"W{len(found) + 1}", what, leg, length, thick, bevel, widest_deg))

    for arm in strut.arms:
        _, low, high = cuts.cut_arm(strut, arm, 0.0)
        palm = strut.palms[arm.palm_index]
        name = common.arm_label(arm)
        widest = {
            end: max(j.between_deg for j in arm_ends.arm_joints(strut, arm) if j.end == end)
            for end in ("barrel", "palm")
        }
        add(
            f"{name} to barrel",
            arm.barrel_root_mm,
            _girth(low.points),
            max(wall, arm.thickness_barrel_mm),
            bevelled,
            widest["barrel"],
        )
        add(
            f"{name} to palm",
            arm.palm_root_mm,
            _girth(high.points),
            max(palm.thickness_mm, arm.thickness_palm_mm),
            bevelled,
            widest["palm"],
        )
    skeg = strut.skeg
    if skeg is not None:
        add(
            "skeg to barrel",
            skeg.root_mm,
            _girth(cuts.meet_barrel(strut.barrel, sides.skeg_side(strut)).points),
            max(wall, skeg.thickness_root_mm),
            False,
            float(around_barrel_deg(skeg.thickness_root_mm, strut.barrel.outside_mm)),
        )
        if skeg.heel is not None:
            heel = skeg.heel
            leg = tables.weld_min_leg_mm(
                max(heel.foot_thickness_mm, skeg.thickness_tip_mm), inch=strut.file_units == "in"
            )
            add(
                "foot to skeg",
                leg,
                2.0 * skeg.tip_chord_mm + 2.0 * skeg.thickness_tip_mm,
                max(heel.foot_thickness_mm, skeg.thickness_tip_mm),
                False,
            )
            add(
                "foot to heel boss",
                leg,
                2.0 * (heel.foot_height_mm + heel.foot_thickness_mm),
                max(heel.foot_thickness_mm, (heel.outside_mm - heel.bore_mm) / 2),
                False,
            )
    return found


def _girth(points: Floats) -> float:
    return float(np.sum(np.linalg.norm(np.diff(points, axis=0), axis=1)))


# --- weld assembly ----------------------------------------------------------------------------------------------------


def weld_assembly(ctx: SheetContext, sheet_number: int, sheets: int) -> Sheet | None:
    """Return the weld assembly sheet; None for a cast strut."""
    strut = ctx.strut
    if strut.construction != "welded":
        return None
    family = metal(strut.material).family
    front, aft, jig = _side_view(ctx), _aft_view(ctx), _jig_view(ctx)
    drawn, mirrored = _arms_drawn(strut)
    details = [_joint_detail(ctx, arm, end, mirrored) for arm in drawn for end in _ENDS]
    extent = front.extent()
    return Sheet(
        ctx.title(
            "Weld assembly",
            "Weld assembly drawing",
            sheet_number=sheet_number,
            sheets=sheets,
            mass=common.mass_text(ctx, common.mass_kg(ctx)),
        ),
        views=[front, aft, jig, _jig_plan(ctx), *details],
        tables=[_weld_table(ctx), _edge_table(ctx), jig_table(ctx)],
        notes=weld_notes(ctx),
        cautions=[
            cautions.STRUCTURE,
            cautions.welding(family),
            cautions.grinding(family),
            *([cautions.PICKLING] if family in cautions.CHROMIUM else []),
            cautions.LIFTING,
        ],
        sizes=ctx.sizes[1:],
        scales=parts.no_larger(common.scales_between(max(extent.width, extent.height), 95.0, 260.0)),
        projection=ctx.projection,
        figures=ctx.figures,
        banner=parts.banner(strut),
    )


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
    near = strut.arms[-1]  # the starboard one of two
    side = sides.arm_side(strut, near)
    low = cuts.meet_barrel(strut.barrel, side).points[side.leading]
    high = cuts.meet_palm(strut.palms[near.palm_index], side).points[side.leading]
    name = common.arm_label(near)
    _mark(view, ctx, found[f"{name} to barrel"], common.seen(FRONT, low), 35.0)
    _mark(view, ctx, found[f"{name} to palm"], common.seen(FRONT, high), -35.0)
    skeg = strut.skeg
    if skeg is not None:
        aft = barrel.x(skeg.root_aft_station_mm)
        _mark(view, ctx, found["skeg to barrel"], (aft, -r), -140.0)
        if skeg.heel is not None:
            lead = barrel.x(skeg.root_forward_station_mm) - skeg.sweep_mm
            _mark(
                view,
                ctx,
                found["foot to skeg"],
                (lead - 0.3 * skeg.tip_chord_mm, -skeg.depth_mm + skeg.heel.foot_height_mm),
                -40.0,
            )
            hx, _, hz = skeg.heel.centre_mm
            _mark(
                view,
                ctx,
                found["foot to heel boss"],
                (hx + skeg.heel.outside_mm / 2, hz + skeg.heel.foot_height_mm / 2),
                140.0,
            )
    view.horizontal((-half, -r), (barrel.x(near.station_mm), 0.0))
    view.horizontal((-half, -r), (half, -r))
    plane = strut.palms[near.palm_index].plane
    drop = plane.drop_mm
    if len({p.plane.drop_mm for p in strut.palms}) == 1:
        # Between two palms the hull face is not there: the figure is that of its plane.
        where = "to the hull face"
        if abs(strut.palms[0].zero_mm[1]) > 1.0:
            where += ", at the centre line" if strut.identity.hand == "centre" else ", over the shaft"
        view.vertical((0.0, 0.0), (0.0, drop), Label(suffix=where, deviations=(DROP_MM, -DROP_MM)), side="left")
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
        side = sides.arm_side(strut, arm)
        for end, cut in (
            ("barrel", cuts.meet_barrel(strut.barrel, side)),
            ("palm", cuts.meet_palm(strut.palms[arm.palm_index], side)),
        ):
            flat = parts.flat(cut.points, np.array([0.0, -1.0, 0.0]), np.array([0.0, 0.0, 1.0]), np.zeros(3))
            at = parts.point(flat[int(np.argmin(flat[:, 0]))])
            _mark(view, ctx, found[f"{common.arm_label(arm)} to {end}"], at, 190.0 if end == "barrel" else 215.0)
        tops: list[P] = []
        for arm in strut.arms:
            axes = frames.arm_axes(arm, strut.barrel, frames.arm_plane(strut, arm))
            tip = (arm_ends.arm_lengths(strut, arm).axis_mm + strut.barrel.outside_mm / 2) * axes.n
            tops.append((-float(tip[1]), float(tip[2])))
        for top in tops:
            view.centre_line((0.0, 0.0), top)
        first, second = sorted(tops, reverse=True)
        if first[0] * second[1] - first[1] * second[0] > 0:
            view.angle((0.0, 0.0), first, second, radius_mm=40.0)
    view.label((-r, 0.0), "PORT", height_mm=2.5, at_deg=180.0)
    view.label((r, 0.0), "STARBOARD", height_mm=2.5, at_deg=0.0)
    return view


_ENDS: tuple[Literal["barrel"], Literal["palm"]] = ("barrel", "palm")


def _arms_drawn(strut: Strut) -> tuple[list[Arm], bool]:
    """The arms whose joints are drawn, and whether the other's are the mirror image."""
    if len(strut.arms) < 2:
        return list(strut.arms), False
    first, second = (arm_ends.arm_joints(strut, arm) for arm in strut.arms)
    other = {(j.end, j.side): j.between_deg for j in second}
    swap: dict[str, Literal["port", "starboard"]] = {"port": "starboard", "starboard": "port"}
    alike = all(abs(j.between_deg - other[j.end, swap[j.side]]) < 0.05 for j in first)
    return (list(strut.arms[:1]), True) if alike else (list(strut.arms), False)


def _reach(strut: Strut, arm: Arm) -> float:
    """Half the width of what the joint details show of the part met, one for both ends, so that they have one scale."""
    thick = max(arm.thickness_barrel_mm, arm.thickness_palm_mm)
    leg = max(arm.barrel_root_mm, arm.palm_root_mm)
    lean = min(math.sin(math.radians(j.on_plane_deg)) for j in arm_ends.arm_joints(strut, arm))
    return 0.65 * thick / lean + 1.8 * leg


def _joint_detail(ctx: SheetContext, arm: Arm, end: Literal["barrel", "palm"], mirrored: bool) -> View:
    """A joint cut square to itself, seen looking forward: the arm as it stands, its prepared edges, gap and fillets.

    Worked out with the part met below and port to the left; of the palm it is then turned over, as it lies.
    """
    strut, weld = ctx.strut, ctx.strut.weld
    palm = strut.palms[arm.palm_index]
    t, leg = (
        (arm.thickness_barrel_mm, arm.barrel_root_mm) if end == "barrel" else (arm.thickness_palm_mm, arm.palm_root_mm)
    )
    gap, reach = cuts.root_gap_mm(strut), _reach(strut, arm)
    name = common.arm_label(arm).upper() if len(strut.arms) > 1 else "ARM"
    view = View(
        f"joint {end}" if arm is strut.arms[0] else f"joint {end} 2",
        "free",
        f"{name} AT THE {end.upper()}, LOOKING FORWARD" + (", THE OTHER MIRRORED" if mirrored else ""),
        scale=parts.one_scale(2 * reach, 95.0),
    )
    up = 1.0 if end == "barrel" else -1.0
    r = strut.barrel.outside_mm / 2
    edge = min(reach, 0.95 * r) if end == "barrel" else reach
    xs = np.linspace(-edge, edge, 61)

    def ground(x: float) -> float:
        return math.sqrt(max(r * r - x * x, 0.0)) - r if end == "barrel" else 0.0

    def seen(p: tuple[float, float]) -> P:
        return p[0], up * p[1]

    def angle(at: P, first: P, second: P, radius: float) -> None:
        at, first, second = seen(at), seen(first), seen(second)
        turned = (second[1] - at[1]) * (first[0] - at[0]) - (second[0] - at[0]) * (first[1] - at[1])
        a, b = (first, second) if turned > 0 else (second, first)
        view.angle(at, a, b, radius_mm=radius)

    top = [(float(x), ground(float(x))) for x in xs]
    if end == "barrel":  # the wall as it is welded, cut off square to itself
        share = mandrel_mm(strut)[0] / 2 / r
        under = [(share * x, share * (y + r) - r) for x, y in top]
    else:
        depth = min(palm.thickness_mm, 0.9 * reach)  # enough of the plate for the hatching to be seen
        under = [(x, -depth) for x, _ in top]
    met = [np.array([seen(p) for p in line]) for line in (top, under)]
    view.add([parts.poly(line) for line in met])
    view.hatch([np.vstack((met[0], met[1][::-1]))], spacing_mm=2.5)
    view.break_line(seen(under[0]), seen(top[0]))
    view.break_line(seen(under[-1]), seen(top[-1]))

    half: dict[str, list[P]] = {}
    high = 0.9 * t + 1.4 * leg
    joints_: dict[str, arm_ends.Joint] = {j.side: j for j in arm_ends.arm_joints(strut, arm) if j.end == end}
    leans = [math.radians(joints_["starboard"].on_plane_deg), math.pi - math.radians(joints_["port"].on_plane_deg)]
    lean = sum(leans) / 2  # of the arm's axis, from starboard
    root = gap / math.tan(lean)  # where the axis stands at the root face
    face = weld.root_face_mm / 2
    tops: dict[str, float] = {}
    for side, s in (("starboard", 1.0), ("port", -1.0)):
        j = joints_[side]
        a = math.radians(j.on_plane_deg)
        way = (s * math.cos(a), math.sin(a))
        foot0 = s * t / 2 / math.sin(a)

        def on(long: float, foot0: float = foot0, way: tuple[float, float] = way) -> P:
            """A place on the arm's side, so far from the level of the part met."""
            return foot0 + long * way[0], long * way[1]

        low = 0.0
        for _ in range(30):  # where the side meets the round barrel
            low = ground(on(low)[0]) / way[1]
        foot = on(low)
        cut = 0.0
        for _ in range(30):
            cut = (ground(on(cut)[0]) + gap) / way[1]
        start = on(cut)
        if j.groove_deg is not None and j.prep_deg is not None:
            g = math.radians(j.groove_deg)
            tip = (root + s * face, gap)
            # The prepared edge from the root face to the arm's side.
            det = s * math.cos(g) * way[1] - math.sin(g) * way[0]
            long = ((foot0 - tip[0]) * way[1] + tip[1] * way[0]) / det
            corner = (tip[0] + s * long * math.cos(g), tip[1] + long * math.sin(g))
            half[side] = [tip, corner]
            out = (tip[0] + s * 0.9 * t, gap)
            view.add([Line(seen(tip), seen(out))], "thin")
            view.add([Line(seen(corner), seen(start))], "thin")  # the arm's side, carried on
            view.note(
                seen((0.3 * tip[0] + 0.7 * corner[0], 0.3 * tip[1] + 0.7 * corner[1])),
                [f"groove {parts.degrees(j.groove_deg, 1)}", f"preparation {parts.degrees(j.prep_deg, 1)}"],
                at_deg=90.0 - s * (55.0 if up > 0 else 125.0),
            )
            long = math.dist(corner, foot)
        else:
            half[side] = [start]
            long = leg
        tops[side] = max(leg, long)
        toe = (foot[0] + s * leg, ground(foot[0] + s * leg))
        bead = (foot[0] + tops[side] * way[0], foot[1] + tops[side] * way[1])
        view.add([Line(seen(bead), seen(toe))])
        half[side].append(on((high + tops[side]) / way[1]))
        if end == "palm":
            angle(foot, toe, on(1.0), 17.0)
        if s > 0:
            view.note(seen(toe), [f"z{common.weld_size(ctx, leg)}"], at_deg=20.0 * up)
    across = [half["port"][-1], half["starboard"][-1]]
    if all(j.groove_deg is None for j in joints_.values()):  # the end follows the part met
        a, b = half["port"][0][0], half["starboard"][0][0]
        bottom = [(float(x), ground(float(x)) + gap) for x in np.linspace(a, b, 21)]
    else:
        bottom = [*reversed(half["port"][:-1]), *half["starboard"][:-1]]
    body = np.array([seen(p) for p in (across[0], *bottom, across[1])])
    view.hatch([body], spacing_mm=2.5, angle_deg=135.0)
    view.add([parts.poly(body)])
    view.break_line(seen(across[0]), seen(across[1]))
    tall = min(across[0][1], across[1][1])
    view.centre_line(seen((0.0, 0.0)), seen((tall / math.tan(lean), tall)))
    middle = np.array((0.86 * tall / math.tan(lean), 0.86 * tall))
    square = np.array((math.sin(lean), -math.cos(lean)))
    p, q = (parts.point(middle + k * t / 2 * square) for k in (-1.0, 1.0))
    view.aligned(seen(p), seen(q), offset_mm=-0.01)
    if any(j.groove_deg is not None for j in joints_.values()):
        view.note(
            seen((root, gap)),
            [f"root face {parts.length(ctx.figures, weld.root_face_mm)}", f"root gap {parts.length(ctx.figures, gap)}"],
            at_deg=-125.0 * up,
        )
    view.label(seen(under[0]), "PORT", height_mm=2.5, at_deg=180.0)
    view.label(seen(under[-1]), "STARBOARD", height_mm=2.5, at_deg=0.0)
    return view


def _weld_table(ctx: SheetContext) -> Table:
    strut, f = ctx.strut, ctx.figures
    rows = []
    for j in joints(strut):
        prep = "double bevel" if j.bevelled else "none"
        face = f.length(strut.weld.root_face_mm) if j.bevelled else "-"
        gap = f.length(cuts.root_gap_mm(strut), (GAP_OVER_MM, 0.0)) if j.bevelled else "-"
        rows.append(
            (
                j.mark,
                j.what,
                prep,
                face,
                gap,
                f"z{common.weld_size(ctx, j.leg_mm)}",
                f"a{f.length(float(throat_mm(j.leg_mm, j.widest_deg)))}",
                f.length(j.length_mm),
                common.weld_size(ctx, tables.weld_min_leg_mm(j.thickest_mm, inch=f.unit != "mm")),
            )
        )
    columns = ("weld", "joint", "edge", "root face", "root gap", "leg", "least throat", "length", "least leg")
    return Table(
        "welds", f"WELDS, all round, {'mm' if f.unit == 'mm' else 'inch'}", columns, tuple(rows), left=frozenset({1})
    )


def _edge_table(ctx: SheetContext) -> Table:
    """Both sides of each arm's joints: the true angle between the sides, groove and preparation."""
    strut, rows = ctx.strut, []
    marks = {j.what: j.mark for j in joints(strut)}
    for arm in strut.arms:
        for j in arm_ends.arm_joints(strut, arm):
            cut = (
                (parts.degrees(j.groove_deg, 1), parts.degrees(j.prep_deg, 1))
                if j.groove_deg is not None and j.prep_deg is not None
                else ("-", "-")
                if strut.weld.prep == "none"
                else ("as it stands", "no cut")
            )
            name = f"{common.arm_label(arm)} to {j.end}"
            throat = float(throat_mm(arm.barrel_root_mm if j.end == "barrel" else arm.palm_root_mm, j.between_deg))
            rows.append(
                (marks[name], name, j.side, parts.degrees(j.between_deg, 1), *cut, f"a{ctx.figures.length(throat)}")
            )
    return Table(
        "edges",
        "SIDES OF THE ARM JOINTS, cut square to the joint where the arm is thickest",
        ("weld", "joint", "side", "between the parts", "groove", "preparation", "throat"),
        tuple(rows),
        left=frozenset({1, 2}),
    )


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
    view.vertical((foot, 0.0), aft, Label(reference=True, suffix="OVER AFT FACE"), side="left")
    view.vertical((foot, 0.0), fore, Label(reference=True, suffix="OVER FORWARD FACE"), side="right")
    view.horizontal(aft, fore, Label(reference=True), side="above")
    angle = parts.degrees(common.set_up(palm.plane).true_deg)
    view.note((0.5 * (aft[0] + fore[0]), 0.5 * (aft[1] + fore[1])), [f"shaft line, {angle} to the plate"], head="dot")
    view.arrow((box.x1 - 0.1 * box.width, box.y1 + 0.06 * box.height), 0.0, "FWD")
    return view


def _jig_plan(ctx: SheetContext) -> View:
    """The jig from above: the palm hull face down, and the bore's axis over it from the palm's zero."""
    strut = ctx.strut
    palm = strut.palms[0]
    box, r = palm.outline.bounding_box(), strut.barrel.outside_mm / 2
    ends = [(p.u_mm, -p.v_mm) for p in common.axis_over_palm(strut, palm)]
    (x0, y0), (x1, y1) = ends
    low, high = min(-box.ymax, y0 - r, y1 - r), max(-box.ymin, y0 + r, y1 + r)
    wide = max(box.xmax, x0, x1) - min(box.xmin, x0, x1)
    view = View(
        "jig plan",
        "free",
        f"THE JIG FROM ABOVE: {palm.name.upper()}, HULL FACE DOWN",
        scale=parts.one_scale(max(wide, high - low), 150.0),
    )
    view.add_outline(palm.outline.mirror("x").vertices)
    for hole in palm.holes:
        view.circle((hole.u_mm, -hole.v_mm), palm.bolt.hole_mm)
    over = 0.05 * (box.xmax - box.xmin)
    view.centre_line((box.xmin - over, 0.0), (box.xmax + over, 0.0))
    view.centre_line((0.0, -box.ymax - over), (0.0, -box.ymin + over))
    view.centre_line(*ends)
    way = np.array((x1 - x0, y1 - y0)) / math.dist(*ends)
    side = r * np.array((-way[1], way[0]))
    view.add(
        [parts.poly(np.array([ends[0] + side, ends[1] + side, ends[1] - side, ends[0] - side]), closed=True)], "phantom"
    )
    # The sign with the figure: aft of the palm's zero is negative, to starboard too.
    view.horizontal((0.0, 0.0), ends[0], Label(prefix=_signed("u", ends[0][0])), side="below")
    view.horizontal((0.0, 0.0), ends[1], Label(prefix=_signed("u", ends[1][0])), side="above")
    for end, where in ((ends[0], "left"), (ends[1], "right")):
        if abs(end[1]) > 0.05:
            view.vertical(
                (0.0, 0.0), end, Label(prefix=_signed("v", -end[1])), side="left" if where == "left" else "right"
            )
    view.note(ends[0], ["bore's axis at", "the aft face"], head="dot")
    view.note((0.0, 0.0), ["palm's zero"], head="dot")
    view.arrow((box.xmin + 0.6 * (box.xmax - box.xmin), high + 0.08 * wide), 0.0, "FWD")
    view.arrow((box.xmin + 0.05 * (box.xmax - box.xmin), high + 0.04 * wide), 90.0, "STARBOARD")
    return view


def _signed(name: str, value_mm: float) -> str:
    return f"{name} -" if value_mm < 0 else name


def mandrel_mm(strut: Strut) -> tuple[float, float]:
    """Return the diameters (mm) of a bar that fills the bore: as it is for welding, and finished."""
    through, tube = min([strut.barrel.bore_mm, *(s.diameter_mm for s in strut.barrel.steps)]), strut.barrel.tube
    return through - BORING_MM if tube is None else tube.outside_mm - 2 * tube.wall_mm, through


def jig_table(ctx: SheetContext) -> Table:
    """Return heights and places by which barrel and palm are set in the jig."""
    strut, f = ctx.strut, ctx.figures
    length = strut.barrel.length_mm
    rough, bore = mandrel_mm(strut)
    ends = ("aft face", "forward face")
    rows: list[list[str]] = [
        *([f"shaft line over the plate, {end}"] for end in ends),
        *([f"top of a mandrel in the rough bore, Ø{f.length(rough)}, {end}"] for end in ends),
        *([f"top of a bar in the finished bore, Ø{f.length(bore)}, {end}"] for end in ends),
        *(
            [f"{end}: {what}"]
            for end in ends
            for what in (
                "forward of the palm's zero (u)",
                "to port of the palm's zero (v)",
                "forward of the aftmost edge (X)",
                "to port of the starboard edge (Y)",
            )
        ),
        ["shaft to plate, true angle"],
        ["skew of the bar to the trace, plan, toward port"],
        ["the same over the barrel's length"],
    ]
    heads = []
    for palm in strut.palms:
        up, box = common.set_up(palm.plane), palm.outline.bounding_box()
        level = math.cos(math.radians(up.true_deg))
        points = common.axis_over_palm(strut, palm)
        heights = [p.height_mm + d / 2 * level for d in (0.0, rough, bore) for p in points]
        places = [v for p in points for v in (p.u_mm, p.v_mm, p.u_mm - box.xmin, p.v_mm - box.ymin)]
        figures = [
            *(f.length(v + 0.0) for v in (*heights, *places)),
            parts.degrees(up.true_deg),
            parts.degrees(up.skew_deg),
            f.length(length * level * math.sin(math.radians(up.skew_deg)) + 0.0),
        ]
        for row, value in zip(rows, figures, strict=True):
            row.append(value)
        heads.append(palm.name)
    return Table(
        "jig",
        f"JIG, hull face down on a flat plate, {'mm' if f.unit == 'mm' else 'inch'}",
        ("what", *heads),
        tuple(tuple(r) for r in rows),
        left=frozenset({0}),
    )


def weld_notes(ctx: SheetContext) -> list[str]:
    """Return the notes of the weld assembly."""
    strut, f = ctx.strut, ctx.figures
    family = metal(strut.material).family
    stainless = family in ("stainless", "duplex")
    weld = strut.weld
    notes = [
        "Weld symbols ISO 2553 (system A), quality ISO 5817 level C unless class asks for B; preparation after "
        "ISO 9692-1, figures from memory. z leg, a throat; least leg by the thicker part, AWS D1.1."
    ]
    if weld.prep == "double_bevel":
        notes.append(
            f"Groove: from the part met to the prepared edge, {f.angle(90.0 - weld.prep_angle_deg)} on either "
            "side. Preparation: from the arm's side to the prepared edge. At the palm the two make up the "
            "angle between the parts, which differs from side to side; at the barrel both are taken from the "
            "plane that touches it under the arm's axis. Root gap "
            f"{f.length(cuts.root_gap_mm(strut))} at both ends: cut list, profile and wraps have it taken off. "
            "Back-gouge to sound metal, full penetration, then the fillets."
        )
    else:
        notes.append("No edge is prepared and no gap is left: the arms stand on barrel and palm.")
    stock = {p.name: machining_stock_mm(strut, p, inch=ctx.units != "mm") for p in strut.palms}
    notes += [
        f"The plate of the {p.name} is bought at least {f.length(p.thickness_mm + stock[p.name])} thick: "
        f"{f.length(stock[p.name])} on the hull face, which is machined off, as the curl cannot be pressed out. "
        f"Until then the plate stands on that: add {f.length(stock[p.name])} to all heights of the jig, or what "
        "the plate truly has too much; they count from the finished face. Where the palm is pre-set instead, its "
        "plate has its own thickness, nothing is added, and the hull face stays."
        for p in strut.palms
        if stock[p.name] > 0.0
    ]
    machined = any(stock.values())
    heat = (
        f"Interpass below {'150 °C' if ctx.units == 'mm' else '300 °F'}; matching filler"
        if stainless
        else "Preheat by plate thickness and filler"
        if family == "steel"
        else "Filler and preheat by the alloy"
    )
    last = (
        *(("skeg last",) if strut.skeg is not None else ()),
        "cool in the jig",
        "measure" if machined else "measure, flatten as the press card says, measure",
        "pickle" if stainless else "clean",
        "machine the hull face to the palm's thickness, drill" if machined else "palm flat, drill",
        "bore last",
    )
    notes += [
        f"All joints sealed and continuous, round nose and tail without a stop at the ends; toes ground hollow. "
        f"{heat}.",
        f"Sequence: 1 barrel {_barrel_stock(ctx)} on a heavy mandrel that fills it; 2 "
        + (
            "palm flat, its hull face with metal on"
            if machined
            else "palm pre-set against its curl, or two struts back to back"
        )
        + "; 3 set in the jig by heights, u and v; 4 tack and measure again; 5 short balanced runs on opposite sides; "
        + "; ".join(f"{k} {step}" for k, step in enumerate(last, 6))
        + ".",
        f"Hold before machining: drop ±{f.length(DROP_MM)}, palm angles ±{f.angle(TILT_DEG)}, arm plane through the "
        f"axis ±{f.length(PLANE_MM)}."
        + (" The right heights can still be the wrong hand: check the skew's side." if common.has_skew(strut) else ""),
        *(["A plate carries one palm at a time; the other stands past its edge."] if len(strut.palms) > 1 else []),
        "Tests: all welds by eye; dye penetrant on the root run and again after "
        + ("machining." if machined else "pressing."),
        common.hand_words(strut),
    ]
    return notes


def _barrel_stock(ctx: SheetContext) -> str:
    """What the barrel is when it is welded."""
    tube = ctx.strut.barrel.tube
    return (
        "rough-bored"
        if tube is None
        else f"cut from tube Ø{ctx.figures.length(tube.outside_mm)} × "
        f"{ctx.figures.length(tube.wall_mm)}, not bored yet,"
    )


# --- press card -------------------------------------------------------------------------------------------------------


def press_card(ctx: SheetContext, sheet_number: int, sheets: int, *, index: int = 0) -> Sheet | None:
    """Return the press card of the first or second arm's line (index 0 or 1); None for a cast strut, and for a second
    arm whose case is the mirror image of the first.
    """
    strut = ctx.strut
    if strut.construction != "welded" or index >= len(strut.arms):
        return None
    case = press_case(strut, strut.arms[index])
    if index and alike(case, press_case(strut, strut.arms[0])):
        return None
    if not case.judged:
        return None
    both = len(strut.arms) > 1 and alike(case, press_case(strut, strut.arms[1 - index]))
    name = "Press card"
    if len(strut.arms) > 1:
        name += ", both arms" if both else f", {common.arm_label(case.arm)}"
    shown = f", {common.arm_label(case.arm).upper()}, THE OTHER MIRRORED" if both else ""
    sketch = _sketch(ctx, case, shown)
    return Sheet(
        ctx.title(name, "Press card", sheet_number=sheet_number, sheets=sheets, face="HULL FACE"),
        views=[sketch, _plan(ctx, case, shown)],
        tables=[_press_table(ctx, case), _bites(ctx, case), _recheck(ctx, case, both)],
        notes=_press_notes(ctx, case, both),
        cautions=[cautions.PRESS],
        sizes=ctx.sizes[1:],
        scales=common.scales_between(sketch.extent().width, 60.0, 200.0),
        projection=ctx.projection,
        figures=ctx.figures,
        banner=parts.banner(strut),
        caution_text_mm=4.0,
    )


def _sketch(ctx: SheetContext, case: Press, shown: str) -> View:
    """The palm across, hull face up, seen from aft: port to the left. The curl is drawn many times too large.

    shown: which of two arms is drawn, for the title.
    """
    palm, t = case.palm, case.palm.thickness_mm
    box = palm.outline.bounding_box()
    mid, supports = -case.at_mm, [-v for v in case.rows_mm]
    # No more of a wide palm than lies round the parallels.
    left, right = max(-box.ymax, supports[0] - 0.6 * case.span_mm), min(-box.ymin, supports[1] + 0.6 * case.span_mm)
    e = 0.055 * (right - left)

    def under(x: float) -> float:
        return -e * abs(x - mid) / max(mid - left, right - mid)

    view = View(
        "press",
        "front",
        "IN THE PRESS, SEEN FROM AFT (curl exaggerated)" + (", NOT COLD" if case.strained_too_far else "") + shown,
    )
    plate = np.array(
        [
            (left, under(left)),
            (mid, 0.0),
            (right, under(right)),
            (right, under(right) + t),
            (mid, t),
            (left, under(left) + t),
        ]
    )
    view.add([parts.poly(plate[:3]), parts.poly(plate[3:])])
    cut_left, cut_right = left > -box.ymax, right < -box.ymin
    for cut, ends in ((cut_left, plate[[0, 5]]), (cut_right, plate[[2, 3]])):
        a, b = parts.point(ends[0]), parts.point(ends[1])
        if cut:
            view.break_line(a, b)
        else:
            view.add([Line(a, b)])
    view.hatch([plate], spacing_mm=3.0)
    axes, hull = frames.arm_axes(case.arm, ctx.strut.barrel, palm.plane), frames.palm_axes(palm)
    lean = float(axes.n @ hull.v) / float(axes.n @ hull.n)  # toward port per mm toward the hull
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
    view.add(
        [
            Arc((mid, t + nose), nose, math.pi, math.pi),
            Line((mid - nose, t + nose), (mid - nose, t + 2.6 * nose)),
            Line((mid + nose, t + nose), (mid + nose, t + 2.6 * nose)),
            Line((mid - nose, t + 2.6 * nose), (mid + nose, t + 2.6 * nose)),
        ]
    )
    top = t + 2.6 * nose
    long = 0.2 * (right - left)
    view.force((mid, top + long), (mid, top), "FORCE")
    for x in supports:
        view.force((x, bed - long), (x, bed), "REACTION")
    # From the arrows' tails, so that no extension line runs along an arrow.
    view.horizontal((supports[0], bed - long), (supports[1], bed - long), Label(suffix="span"))
    view.vertical((mid, 0.0), (mid, t), side="right")
    view.note(
        (supports[0], (bed + under(supports[0])) / 2),
        ["mild-steel parallel at the", "bolts, one piece each side"],
        head="dot",
        at_deg=200.0,
    )
    view.note((mid + nose, t + 1.8 * nose), ["bar with a round nose,", "over the arm's line"], at_deg=20.0)
    view.note((0.5 * (left + mid), under(0.5 * (left + mid)) + t), ["HULL FACE UP"], at_deg=120.0)
    edge, at_deg = (left, 220.0) if cut_right and not cut_left else (right, -40.0)
    view.note(
        (edge, under(edge)),
        [
            f"edges{', past the breaks,' if cut_left and cut_right else ''} drawn down by the weld:",
            f"about {parts.length(ctx.figures, case.curl_mm)}",
            _over(ctx, case),
        ],
        at_deg=at_deg,
    )
    view.note(
        parts.point((np.array(skewed[1]) + np.array(skewed[0])) / 2),
        ["arm hangs free", "in the gap of the bed"],
        at_deg=205.0,
    )
    view.label((left, under(left) + t / 2), "PORT", height_mm=2.5, at_deg=180.0)
    view.label((right, under(right) + t / 2), "STARBOARD", height_mm=2.5, at_deg=0.0)
    return view


def _over(ctx: SheetContext, case: Press) -> str:
    """The width over which the curl is told."""
    width = parts.length(ctx.figures, case.width_mm)
    return f"over {width}, this arm's half of the palm" if case.shared else f"over the whole width, {width}"


def _plan(ctx: SheetContext, case: Press, shown: str) -> View:
    """The palm from above, hull face up: supports, arm's line, bites from the middle outwards. shown: as in _sketch."""
    palm = case.palm
    box = palm.outline.bounding_box()
    view = View("press plan", "free", "SEEN FROM ABOVE, HULL FACE UP" + shown, share=0.7)
    view.add_outline(palm.outline.vertices)
    for arm in ctx.strut.arms:
        if ctx.strut.palms[arm.palm_index] is palm:
            view.add_outline(dev.palm_footprint(palm, sides.arm_side(ctx.strut, arm)).vertices, "hidden")
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
    return f"{fixed(value / 1e3, 0)} kN" if unit == "N" else f"{value:,.0f} lbf"


def _yield(ctx: SheetContext, yield_mpa: float) -> str:
    value, unit = in_file_units(yield_mpa, "MPa", ctx.units)
    return f"{fixed(value, 0)} MPa" if unit == "MPa" else f"{value:,.0f} psi"


def _small(ctx: SheetContext, size_mm: float) -> str:
    return f"{fixed(size_mm, 2)} mm" if ctx.units == "mm" else f"{fixed(size_mm / INCH_MM, 3)} in"


def _press_table(ctx: SheetContext, case: Press) -> Table:
    f = ctx.figures
    low, high = case.stroke(), case.stroke(YIELD_SHARE)
    t, s = case.palm.thickness_mm, case.span_mm
    strain, limit = low.strain, case.strain_limit
    verdict = "NO" if case.strained_too_far else "within the limit"
    shown = "little or none" if limit is None else f"{fixed(100 * limit, 1)} %"

    def first(share: float) -> float:
        return float(flattening.yield_force_n(share * case.yield_mpa, case.length_mm, t, s))

    def full(share: float) -> float:
        return float(flattening.plastic_force_n(share * case.yield_mpa, case.length_mm, t, s))

    rows = [
        ("yield", _yield(ctx, case.yield_mpa), _yield(ctx, YIELD_SHARE * case.yield_mpa)),
        ("palm pressed: length × thickness", f"{f.length(case.length_mm)} × {f.length(t)}", "same"),
        ("span between the parallels", f.length(s), "same"),
        ("fillet leg at the palm", common.weld_size(ctx, case.arm.palm_root_mm), "same"),
        (f"expected curl {_over(ctx, case)} (±50 %)", _small(ctx, case.curl_mm), "same"),
        ("set to be bent back over the span", _small(ctx, case.set_mm), "same"),
        ("force at first yield, whole length", _force(ctx, first(1.0)), _force(ctx, first(YIELD_SHARE))),
        ("greatest force, whole length", _force(ctx, full(1.0)), _force(ctx, full(YIELD_SHARE))),
        ("spring-back", _small(ctx, low.spring_back_mm), _small(ctx, high.spring_back_mm)),
        ("stroke past touching: set and spring-back", _small(ctx, low.stroke_mm), _small(ctx, high.stroke_mm)),
        ("surface strain", f"{fixed(100 * strain, 2)} %", "same"),
        ("limit of surface strain (from memory)", shown, "same"),
    ]
    rows.insert(0 if case.strained_too_far else len(rows), ("cold pressing", verdict, verdict))
    title = "PRESSING FLAT (estimate; control the stroke, not the force)"
    if case.strained_too_far:
        title = "NOT TO BE PRESSED COLD (estimate of what it would take)"
    return Table("press", title, ("what", "least yield", f"{YIELD_SHARE:g} × yield"), tuple(rows), left=frozenset({0}))


def _bites(ctx: SheetContext, case: Press) -> Table:
    rows = []
    for press in presses_n(inch=ctx.units != "mm"):
        cells = []
        for share in (1.0, YIELD_SHARE):
            made = case.bites(press, share)
            cells += ["too small", "-"] if made is None else [ctx.figures.length(round(made.width_mm)), str(made.count)]
        told = (
            f"{_force(ctx, press)} (about {fixed(press / 9806.65, 0)} t)"
            if ctx.units == "mm"
            else f"{fixed(press / SHORT_TON_N, 0)} short tons"
        )
        rows.append((told, *cells))
    return Table(
        "bites",
        "BITES ALONG THE PALM, three quarters of the press used",
        ("press", "strip, least yield", "bites", f"strip, {YIELD_SHARE:g} × yield", "bites "),
        tuple(rows),
    )


def _recheck(ctx: SheetContext, case: Press, both: bool) -> Table:
    """What is measured again, of each palm that the card holds for."""
    f, strut = ctx.figures, ctx.strut
    half = strut.barrel.length_mm / 2
    rows: list[tuple[str, str]] = []
    for palm in strut.palms if both else [case.palm]:
        up = common.set_up(palm.plane)
        name = f"{palm.name}: " if both and len(strut.palms) > 1 else ""
        late = machining_stock_mm(strut, palm, inch=f.unit != "mm") > 0.0
        over = "over the finished hull face" if late else "over the hull face"
        rows += [
            (f"{name}hull face flat, feeler all round", f"{f.length(parts.flatness_mm(strut, palm))} at most"),
            (f"{name}shaft line {over}, aft", f.length(up.height_mm(-half))),
            (f"{name}shaft line {over}, forward", f.length(up.height_mm(half))),
            (f"{name}skew of a bar to the trace, to port", parts.degrees(up.skew_deg)),
        ]
    rows += [("arm plane through the axis", f"±{f.length(PLANE_MM)}"), ("welds, dye penetrant", "no crack")]
    return Table(
        "recheck",
        "RE-CHECK, fill in",
        ("what", "wanted", "before", "bite 1", "bite 2", "end", "by"),
        tuple((*r, "", "", "", "", "") for r in rows),
        left=frozenset({0}),
        row_mm=6.0,
        least_mm=(0.0, 0.0, 16.0, 16.0, 16.0, 16.0, 14.0),
    )


def _press_notes(ctx: SheetContext, case: Press, both: bool) -> list[str]:
    f = ctx.figures
    inch = ctx.units != "mm"
    notes = [
        "Press before the countersinks are cut. Where they are cut already, fill each with a turned plug of mild "
        "steel, so that the parallel does not mark the bolt's seat."
        if case.palm.bolt.kind == "countersunk"
        else "Press before the holes are drilled: holes in the bend go oval.",
        "Work from the middle outwards in bites. Begin with too short a stroke and creep up to flat plus the "
        f"spring-back: press, let go, measure, let the stop down by {f.length(0.1)} to {f.length(0.2)}, and again. "
        "Never press the arm.",
        "The curl is a handbook estimate for mild steel"
        + (f", times {PULLS_MORE:g} for this metal" if case.family in PULLING else "")
        + "; measure the palm first and use what you measure. Use the certificate's yield where there is one.",
    ]
    if case.too_strong(inch=inch):
        notes.insert(
            0,
            "NO PRESS OF THE LIST WILL DO IT at the yield the plate may have: it takes one of at least "
            f"{_force(ctx, case.press_needed_n)}. Have it pressed where there is such a press, or machine the "
            "hull face flat after welding.",
        )
    if len(ctx.strut.arms) > 1:
        notes.append(
            "Each arm's line is pressed by itself with its own parallels"
            + ("; the card holds for both, the arms mirror each other." if both else ".")
        )
    if case.strain_limit is None:
        notes.insert(
            0,
            "THIS METAL IS NOT TO BE PRESSED COLD BEYOND A LITTLE: it cracks at the toe of the weld. "
            "Pre-set the palm, or machine the hull face flat.",
        )
    elif case.strained_too_far:
        notes.insert(
            0,
            "THE EXPECTED CURL IS MORE THAN THIS METAL TAKES COLD: pre-set the palm or clamp two struts "
            "back to back in welding, use a smaller leg, or machine the hull face flat.",
        )
    stock = machining_stock_mm(ctx.strut, case.palm, inch=inch)
    if stock > 0.0:
        notes.insert(
            1,
            f"For machining the plate is bought {f.length(stock)} thicker (cut list), twice the curl that "
            "the thicker plate is expected to have; the card is for the finished thickness. Take it off "
            "the hull face only. A palm that is pre-set is bought at its own thickness.",
        )
    notes.append(common.hand_words(ctx.strut))
    return notes
