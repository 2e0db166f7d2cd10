"""How an arm ends: bevels and joints, true lengths, its blank, and where its palm stands to the trace."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.shop.cuts import Cut, cut_arm, meet_barrel, meet_palm, root_gap_mm
from strutwright.models.shop.development import TICKS, parts_of
from strutwright.models.shop.sides import Floats, Side, arm_side, between
from strutwright.models.spec import Arm, Palm, Strut


class Bevel(NamedTuple):
    """One place round an arm at the palm.

    number: of the tick on the wrap. girth_mm: along the cut from the trailing edge, by the starboard side. where: which
    edge or side. angle_deg: between palm and arm on the weld side; 90 is
    square. kind: acute, square or obtuse. long_mm: length of the generator between its two cuts, gaps taken off.
    """

    number: int
    girth_mm: float
    where: str
    angle_deg: float
    kind: Literal["acute", "square", "obtuse"]
    long_mm: float


def palm_angles_deg(palm: Palm, side: Side) -> Floats:
    """Return (n,) angles between the arm's side and the palm's water face, through the water (degrees).

    >>> strut = shipped("canal-tender")  # one upright arm on a palm that leans by 9 degrees: from 81 to 99
    >>> np.ptp(palm_angles_deg(strut.palms[0], arm_side(strut, strut.arms[0]))).round(6).item()
    18.0
    """
    cut = meet_palm(palm, side)
    return np.degrees(np.arccos(np.clip(side.outward(cut.along_mm) @ frames.palm_axes(palm).n, -1.0, 1.0)))


def bevel_table(strut: Strut, arm: Arm, count: int = TICKS) -> tuple[Bevel, ...]:
    """Return the bevel of an arm at its palm at count + 1 equal parts of the girth, the first and last the seam.

    count: even. At a sharp edge the angle is that of a side square to the chord.

    >>> strut = shipped("canal-tender")
    >>> [(b.where, round(b.angle_deg, 2), b.kind) for b in bevel_table(strut, strut.arms[0], 2)]
    [('trailing edge', 99.0, 'obtuse'), ('leading edge', 81.0, 'acute'), ('trailing edge', 99.0, 'obtuse')]
    """
    side, low, high = cut_arm(strut, arm)
    angle = palm_angles_deg(strut.palms[arm.palm_index], side)
    long = np.linalg.norm(high.points - low.points, axis=1)
    steps = np.linalg.norm(np.diff(high.points, axis=0), axis=1)
    girth = np.concatenate(([0.0], np.cumsum(steps)))
    rows = []
    for k, place in enumerate(parts_of(side, high.points, count)):
        where = (
            "trailing edge"
            if k in (0, count)
            else "leading edge"
            if 2 * k == count
            else "starboard side"
            if 2 * k < count
            else "port side"
        )
        at, value = float(between(girth, place)), float(between(angle, place))
        kind: Literal["acute", "square", "obtuse"] = (
            "square" if abs(value - 90.0) < 0.005 else "acute" if value < 90.0 else "obtuse"
        )
        rows.append(Bevel(k, at, where, value, kind, float(between(long, place))))
    return tuple(rows)


LEAST_CUT_DEG = 20.0  # less would cut a long sliver off a flank that stands nearly as open as the groove anyway


def flank(axes: Axes, outward: Vector, side: int) -> tuple[Vector, Vector, float]:
    """Return how one flank of an arm stands on a plane: the joint's direction (3,), the way out from the arm in the
    plane (3,), and the angle (degrees) from there to the flank.

    outward: the plane's normal (3,) out of the arm's end. side: +1 the flank along axes.v, -1 the other. Of an arm that
    tapers in thickness it is the angle of its axis.

    >>> upright = Axes(np.zeros(3), *np.eye(3))
    >>> round(flank(upright, frames.radial(20.0), 1)[2], 6)  # a plane that falls by 20 degrees toward port
    70.0
    """
    along = frames.unit(axes.u - float(axes.u @ outward) * outward)
    out = np.cross(outward, along)
    out = out if float(out @ axes.v) * side > 0 else -out
    away = -axes.n if float(axes.n @ outward) > 0 else axes.n
    return along, out, math.degrees(math.acos(float(np.clip(out @ away, -1, 1))))


class Joint(NamedTuple):
    """One side of the joint of an arm with barrel or palm, cut square to the joint; degrees.

    between_deg: the true angle from the part met to the arm's side, through the water, where that is thickest; at the
    barrel from its outside where they meet. on_plane_deg: the same from the palm, or from the plane that touches the
    barrel under the arm's axis. groove_deg: from there to the prepared edge; prep_deg: from the prepared edge to the
    arm's side. Both None where no edge is prepared.
    """

    end: Literal["barrel", "palm"]
    side: Literal["port", "starboard"]
    between_deg: float
    on_plane_deg: float
    groove_deg: float | None
    prep_deg: float | None


def arm_joints(strut: Strut, arm: Arm) -> tuple[Joint, ...]:
    """Return the four sides of an arm's joints: barrel port and starboard, palm port and starboard.

    >>> strut = shipped("survey-launch")
    >>> joint = arm_joints(strut, strut.arms[0])[0]  # an edge prepared at 50 degrees, on an arm that stands square
    >>> joint.end, joint.side, round(joint.on_plane_deg, 2), joint.groove_deg, round(joint.prep_deg, 2)
    ('barrel', 'port', 90.0, 40.0, 50.0)
    """
    palm, side, weld = strut.palms[arm.palm_index], arm_side(strut, arm), strut.weld
    hull, axes = frames.palm_axes(palm), side.axes
    low, high = meet_barrel(strut.barrel, side), meet_palm(palm, side)
    made = []
    places: tuple[tuple[Literal["barrel", "palm"], Cut, Vector], ...] = (
        ("barrel", low, -np.cross(axes.u, axes.v)),
        ("palm", high, hull.n),
    )
    for end, cut, outward in places:
        across = (cut.points - axes.origin) @ axes.v
        for name, sign in (("port", 1), ("starboard", -1)):
            best = float((sign * across).max())
            level = np.flatnonzero(sign * across > best - 1e-6)
            i = int(level[len(level) // 2])
            out = side.outward(cut.along_mm)[i]
            foot = cut.points[i]
            radial = np.array((0.0, foot[1], foot[2])) / math.hypot(foot[1], foot[2])
            into = hull.n if end == "palm" else -radial
            between, plane = (math.degrees(math.acos(float(np.clip(out @ w, -1, 1)))) for w in (into, outward))
            groove = None
            if strut.construction == "welded" and weld.prep == "double_bevel":
                opened = 90.0 - weld.prep_angle_deg
                if flank(axes, outward, sign)[2] - opened >= LEAST_CUT_DEG:
                    groove = opened
            hand: Literal["port", "starboard"] = "port" if name == "port" else "starboard"
            made.append(Joint(end, hand, between, plane, groove, None if groove is None else plane - groove))
    return tuple(made)


class ArmLengths(NamedTuple):
    """True lengths of an arm as it is cut, mm, the gaps for the weld taken off. axis: along its axis from the barrel's
    outside to the water face. longest, shortest: of the straight lines along its side between the two cuts. over_all:
    square to the sections, end to end. to_hull_face: along its axis from the barrel's outside itself."""

    axis_mm: float
    longest_mm: float
    shortest_mm: float
    over_all_mm: float
    to_hull_face_mm: float


def arm_lengths(strut: Strut, arm: Arm) -> ArmLengths:
    """Return the true lengths of an arm, cut to the barrel and to the palm's water face.

    >>> strut = shipped("canal-tender")
    >>> lengths = arm_lengths(strut, strut.arms[0])
    >>> round(lengths.to_hull_face_mm - lengths.axis_mm, 3)  # a palm of 10 along the arm: 10 / cos(9 degrees)
    10.125
    """
    palm, gap = strut.palms[arm.palm_index], root_gap_mm(strut)
    side, low, high = cut_arm(strut, arm)
    long = np.linalg.norm(high.points - low.points, axis=1)
    hull = frames.palm_axes(palm)
    low_end, top = frames.arm_ends_mm(arm, strut.barrel, palm.plane)
    foot = low_end + gap / math.hypot(side.axes.n[1], side.axes.n[2])
    water = top - (palm.thickness_mm + gap) / float(side.axes.n @ hull.n)
    return ArmLengths(
        water - foot,
        float(long.max()),
        float(long.min()),
        float(high.height_mm.max() - low.height_mm.min()),
        top - low_end,
    )


class OffTrace(NamedTuple):
    """How far a palm's zero lies from the trace, where the vertical plane through the shaft meets its hull face.

    level_mm: athwartships and level, positive toward port. on_face_mm: on the hull face, square to the trace, the same
    sign. foot: (u, v) of the point of the trace nearest to zero; along: (u, v) of its direction, forward.
    """

    level_mm: float
    on_face_mm: float
    foot: tuple[float, float]
    along: tuple[float, float]

    @property
    def is_off(self) -> bool:
        """True when zero does not lie on the trace."""
        return abs(self.level_mm) >= 0.005

    @property
    def side(self) -> Literal["port", "starboard"]:
        """The side of the trace on which zero lies."""
        return "port" if self.level_mm > 0.0 else "starboard"


def off_trace(palm: Palm) -> OffTrace:
    """Return where the trace runs in the palm axes. It is the line of the hull face on which y is 0.

    >>> palm = shipped("survey-launch").palms[0]  # its arm leans to port, square to a bottom that rises to starboard
    >>> off_trace(palm).side, round(off_trace(palm).level_mm, 2)
    ('port', 65.92)
    """
    axes, level = frames.palm_axes(palm), float(palm.zero_mm[1])
    turn = math.radians(palm.axes_deg)
    along, square = (math.cos(turn), -math.sin(turn)), (math.sin(turn), math.cos(turn))
    per_mm = float(square[0] * axes.u[1] + square[1] * axes.v[1])  # toward port on each mm of the face
    on_face = level / per_mm
    return OffTrace(level, on_face, (-on_face * square[0], -on_face * square[1]), along)


def blank_mm(side: Side, low: Cut, high: Cut | None = None) -> tuple[float, float]:
    """Return the length along the axis and the width along the chord (mm) of the flat blank that holds an arm or skeg.

    low, high: its two cuts; the far section when the outer one is left out.

    >>> strut = shipped("canal-tender")
    >>> [round(size, 2) for size in blank_mm(*cut_arm(strut, strut.arms[0]))]  # the chord is 56
    [174.58, 56.0]
    """
    points = np.vstack((low.points, side.far if high is None else high.points))
    n = side.axes.n
    forward = frames.unit(side.axes.u - float(side.axes.u @ n) * n)
    return float(np.ptp(points @ n)), float(np.ptp(points @ forward))
