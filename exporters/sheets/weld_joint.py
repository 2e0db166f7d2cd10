"""A welded joint of an arm cut square to itself: the arm as it stands, its prepared edges, gap and fillets."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from strutwright.exporters.drawing.shapes import Line, P, from_vertices, xy
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.jig import mandrel_mm
from strutwright.exporters.sheets.plane import sides
from strutwright.models.shop import arm_ends, cuts
from strutwright.models.spec import Arm, Strut

End = Literal["barrel", "palm"]
ENDS: tuple[End, End] = ("barrel", "palm")
SWAP: dict[str, Literal["port", "starboard"]] = {"port": "starboard", "starboard": "port"}


def arms_drawn(strut: Strut) -> tuple[list[Arm], bool]:
    """Return the arms whose joints are drawn, and whether the other's are the mirror image."""
    if len(strut.arms) < 2:
        return list(strut.arms), False
    first, *others = ({(j.end, j.side): j.between_deg for j in arm_ends.arm_joints(strut, arm)} for arm in strut.arms)
    alike = all(abs(deg - other[end, SWAP[side]]) < 0.05 for other in others for (end, side), deg in first.items())
    return (list(strut.arms[:1]), True) if alike else (list(strut.arms), False)


def joint_detail(ctx: SheetContext, arm: Arm, end: End, mirrored: bool) -> View:
    """Return the view of a joint, seen looking forward. mirrored: whether the other arm's is its mirror image."""
    it = _Detail(ctx, arm, end, mirrored)
    under = _part_met(it)
    starboard, port = _side(it, "starboard"), _side(it, "port")
    _arm_body(it, port, starboard)
    sides(it.view, it.seen(under[0]), it.seen(under[-1]))
    return it.view


class _Detail:
    """Sizes of a joint. Worked out with the part met below and port to the left; of the palm it is then turned over,
    as it lies. Lengths in mm, leans in radians.
    """

    def __init__(self, ctx: SheetContext, arm: Arm, end: End, mirrored: bool) -> None:
        strut = ctx.strut
        self.ctx, self.end, self.palm = ctx, end, strut.palms[arm.palm_index]
        at_barrel = end == "barrel"
        self.thick = arm.thickness_barrel_mm if at_barrel else arm.thickness_palm_mm
        self.leg = arm.barrel_root_mm if at_barrel else arm.palm_root_mm
        self.gap, self.r = cuts.root_gap_mm(strut), strut.barrel.outside_mm / 2
        self.joints = {j.side: j for j in arm_ends.arm_joints(strut, arm) if j.end == end}
        port, starboard = (math.radians(self.joints[s].on_plane_deg) for s in ("port", "starboard"))
        self.lean = (starboard + (math.pi - port)) / 2  # of the arm's axis, from starboard
        self.root = self.gap / math.tan(self.lean)  # where the axis stands at the root face
        self.reach = _reach(strut, arm)
        self.high = 0.9 * self.thick + 1.4 * self.leg
        self.up = 1.0 if at_barrel else -1.0
        self.grooved = any(j.groove_deg is not None for j in self.joints.values())
        name = arm.called.upper() if len(strut.arms) > 1 else "ARM"
        self.view = View(
            f"joint {end}" if arm is strut.arms[0] else f"joint {end} 2",
            "free",
            f"{name} AT THE {end.upper()}, SEEN FROM AFT" + (", THE OTHER MIRRORED" if mirrored else ""),
            scale=common.one_scale(2 * self.reach, 95.0),
        )

    def ground(self, x: float) -> float:
        """Height of the part met."""
        return math.sqrt(max(self.r * self.r - x * x, 0.0)) - self.r if self.end == "barrel" else 0.0

    def on_part(self, foot: P, leg: float) -> P:
        """The place on the part met that is a leg away from a foot on it, toward starboard when positive."""
        x = foot[0] + leg
        for _ in range(30):
            way = math.hypot(x - foot[0], self.ground(x) - foot[1])
            x = foot[0] + (x - foot[0]) * abs(leg) / way
        return x, self.ground(x)

    def seen(self, p: P) -> P:
        """Place in the view."""
        return p[0], self.up * p[1]

    def lines(self, *ends: tuple[P, P], thin: bool = False) -> None:
        """Draw straight lines."""
        self.view.add([Line(self.seen(p), self.seen(q)) for p, q in ends], "thin" if thin else "visible")


def _reach(strut: Strut, arm: Arm) -> float:
    """Half the width of what the joint details show of the part met, one for both ends, so that they have one scale."""
    thick = max(arm.thickness_barrel_mm, arm.thickness_palm_mm)
    leg = max(arm.barrel_root_mm, arm.palm_root_mm)
    lean = min(math.sin(math.radians(j.on_plane_deg)) for j in arm_ends.arm_joints(strut, arm))
    return 0.65 * thick / lean + 1.8 * leg


def _part_met(it: _Detail) -> list[P]:
    """Draw the barrel's wall or the palm and return its under side."""
    edge = min(it.reach, 0.95 * it.r) if it.end == "barrel" else it.reach
    top = [(float(x), it.ground(float(x))) for x in np.linspace(-edge, edge, 61)]
    if it.end == "barrel":  # the wall as it is welded, cut off square to itself
        share = mandrel_mm(it.ctx.strut)[0] / 2 / it.r
        under = [(share * x, share * (y + it.r) - it.r) for x, y in top]
    else:
        depth = min(it.palm.thickness_mm, 0.9 * it.reach)  # enough of the plate for the hatching to be seen
        under = [(x, -depth) for x, _ in top]
    met = [np.array([it.seen(p) for p in line]) for line in (top, under)]
    it.view.add([from_vertices(line, closed=False) for line in met])
    it.view.hatch([np.vstack((met[0], met[1][::-1]))], spacing_mm=2.5)
    for k in (0, -1):
        it.view.break_line(it.seen(under[k]), it.seen(top[k]))
    return under


def _side(it: _Detail, side: Literal["port", "starboard"]) -> list[P]:
    """Draw the fillet and the prepared edge of a side and return the arm's outline there, from its root up."""
    j, s, leg, view = it.joints[side], 1.0 if side == "starboard" else -1.0, it.leg, it.view
    a = math.radians(j.on_plane_deg)
    way = (s * math.cos(a), math.sin(a))
    foot0 = s * it.thick / 2 / math.sin(a)

    def on(long: float) -> P:
        """A place on the arm's side, so far from the level of the part met."""
        return foot0 + long * way[0], long * way[1]

    def clear(gap: float) -> P:
        """Where the side is a gap clear of the part met, which may be round."""
        long = 0.0
        for _ in range(30):
            long = (it.ground(on(long)[0]) + gap) / way[1]
        return on(long)

    foot, start = clear(0.0), clear(it.gap)
    half, long = [start], leg
    if j.groove_deg is not None and j.prep_deg is not None:
        g = math.radians(j.groove_deg)
        tip = (it.root + s * it.ctx.strut.weld.root_face_mm / 2, it.gap)
        # The prepared edge from the root face to the arm's side.
        det = s * math.cos(g) * way[1] - math.sin(g) * way[0]
        run = ((foot0 - tip[0]) * way[1] + tip[1] * way[0]) / det
        corner = (tip[0] + s * run * math.cos(g), tip[1] + run * math.sin(g))
        half, long = [tip, corner], math.dist(corner, foot)
        # The plane of the root face, and the arm's side carried on.
        it.lines((tip, (tip[0] + s * 0.9 * it.thick, it.gap)), (corner, start), thin=True)
        view.note(
            it.seen((0.3 * tip[0] + 0.7 * corner[0], 0.3 * tip[1] + 0.7 * corner[1])),
            [f"groove {common.degrees(j.groove_deg, 1)}", f"preparation {common.degrees(j.prep_deg, 1)}"],
            at_deg=90.0 - s * (55.0 if it.up > 0 else 125.0),
        )
    top = max(leg, long)
    toe = it.on_part(foot, s * leg)
    it.lines(((foot[0] + top * way[0], foot[1] + top * way[1]), toe))
    if it.end == "palm":
        view.angle(it.seen(foot), it.seen(toe), it.seen(on(1.0)), radius_mm=17.0)
    if s > 0:
        view.note(it.seen(toe), [f"z{common.weld_size(it.ctx, leg)}"], at_deg=20.0 * it.up)
    return [*half, on((it.high + top) / way[1])]


def _arm_body(it: _Detail, port: list[P], starboard: list[P]) -> None:
    """Draw the arm between its sides, with its axis, thickness, root face and gap."""
    view = it.view
    if it.grooved:
        bottom = [*reversed(port[:-1]), *starboard[:-1]]
    else:  # the end follows the part met
        bottom = [(float(x), it.ground(float(x)) + it.gap) for x in np.linspace(port[0][0], starboard[0][0], 21)]
    body = np.array([it.seen(p) for p in (port[-1], *bottom, starboard[-1])])
    view.hatch([body], spacing_mm=2.5, angle_deg=135.0)
    view.add([from_vertices(body, closed=False)])
    view.break_line(it.seen(port[-1]), it.seen(starboard[-1]))
    tall = min(port[-1][1], starboard[-1][1])
    view.centre_line(it.seen((0.0, 0.0)), it.seen((tall / math.tan(it.lean), tall)))
    middle = np.array((0.86 * tall / math.tan(it.lean), 0.86 * tall))
    square = np.array((math.sin(it.lean), -math.cos(it.lean)))
    p, q = (xy(middle + k * it.thick / 2 * square) for k in (-1.0, 1.0))
    view.aligned(it.seen(p), it.seen(q), offset_mm=-0.01)
    if it.grooved:
        face = f"root face {it.ctx.with_unit(it.ctx.strut.weld.root_face_mm)}"
        words = [face, f"root gap {it.ctx.with_unit(it.gap)}"]
        view.note(it.seen((it.root, it.gap)), words, at_deg=-125.0 * it.up)
