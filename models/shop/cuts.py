"""Where the sides of arms and skeg are cut: at the barrel's outside, at the palm and at another arm. Pure numpy, mm.

A generator meets the barrel's outside at the root of a quadratic, and the palm's water face at a linear one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from strutwright.models import frames
from strutwright.models.geometry.barrel import is_faired, leaves_cylinder, outside_radius_mm
from strutwright.models.geometry.members import arm_section, edge_radius_at
from strutwright.models.geometry.solve import bisect
from strutwright.models.sections import kind_of
from strutwright.models.shop.sides import DevelopmentError, Floats, Side, arm_side
from strutwright.models.spec import Arm, Barrel, Palm, Strut
from strutwright.params.words import mm, say


@dataclass(frozen=True, slots=True)
class Cut:
    """Where the generators of a side end, n of them in the side's order.

    points: (n, 3) in the strut frame. along_mm: (n,) distance along the part's axis from the shaft line to the section
    through the point. height_mm: (n,) the same, square to the axis. faired: on a tapered or rounded end of the barrel.
    beyond: past a face of the barrel, where its end diameter is carried on. coped: on the other arm, which stands in
    the way of the barrel.
    """

    points: Floats
    along_mm: Floats
    height_mm: Floats
    faired: NDArray[np.bool_]
    beyond: NDArray[np.bool_]
    coped: NDArray[np.bool_]

    @classmethod
    def of(cls, side: Side, along_mm: Floats, **marks: NDArray[np.bool_]) -> Cut:
        """Return the cut at those distances along the axis; what is not marked is False."""
        points, no = side.at(along_mm), np.zeros(len(along_mm), dtype=bool)
        marks = {"faired": no, "beyond": no, "coped": no} | marks
        return cls(points, along_mm, (points - side.axes.origin) @ side.axes.n, **marks)


def meet_barrel(barrel: Barrel, side: Side) -> Cut:
    """Return where a side meets the barrel's outside, its faired ends included.

    On the parallel part this is the root of a quadratic; on a faired end that root is the outer bound of a bisection
    on the surface of revolution. Raises DevelopmentError when the part is as thick as the barrel and passes it by.

    >>> strut = shipped("canal-tender")  # an arm 14 thick on a barrel of 48: sqrt(24^2 - 7^2)
    >>> float(meet_barrel(strut.barrel, arm_side(strut, strut.arms[0])).height_mm.min().round(3))
    22.956
    """
    base, step = side.at(0.0), side.slope()
    full = barrel.outside_mm / 2
    along, meets = leaves_cylinder(base, step, full)
    if not np.all(meets):
        wide = 2 * float(np.abs(side.near @ side.axes.v).max())
        raise DevelopmentError(
            say(
                "the {side}, about {wide} thick, passes by the barrel, {outside} outside; make it thinner",
                side=side.name,
                wide=mm(wide),
                outside=mm(barrel.outside_mm),
            )
        )
    x = base[:, 0] + along * step[:, 0]
    ends = [e for e in (barrel.aft_end, barrel.forward_end) if is_faired(barrel, e)]
    faired = np.asarray(outside_radius_mm(barrel, x + barrel.length_mm / 2)) < full
    if np.any(faired):
        low, _ = leaves_cylinder(base, step, min(e.end_diameter_mm for e in ends) / 2)
        high = along.copy()

        def off(s: Floats) -> Floats:
            p = base + s[:, None] * step
            return np.asarray(np.hypot(p[:, 1], p[:, 2]) - outside_radius_mm(barrel, p[:, 0] + barrel.length_mm / 2))

        if np.any(faired & (off(low) > 1e-9)):
            raise DevelopmentError(
                f"the {side.name} passes by a faired end of the barrel; make it thinner or move it away from the end"
            )
        along = np.where(faired, bisect(lambda s: off(s) <= 0.0, low, high, 80)[1], along)
    beyond = np.abs(side.at(along)[:, 0]) > barrel.length_mm / 2 + 1e-9
    return Cut.of(side, along, faired=faired, beyond=beyond)


def meet_palm(palm: Palm, side: Side, depth_mm: float | None = None) -> Cut:
    """Return where a side meets a plane depth_mm below the palm's hull face; the water face when left out.

    >>> strut = shipped("canal-tender")  # a chord of 56 under a palm that leans by 9 degrees: 56 tan(9 degrees)
    >>> float(np.ptp(meet_palm(strut.palms[0], arm_side(strut, strut.arms[0])).height_mm).round(3))
    8.87
    """
    hull = frames.palm_axes(palm)
    depth = palm.thickness_mm if depth_mm is None else depth_mm
    along = ((hull.origin - depth * hull.n - side.at(0.0)) @ hull.n) / (side.slope() @ hull.n)
    return Cut.of(side, along)


class ArmCut(NamedTuple):
    """An arm as it is cut: its side, and where that ends at the barrel (or at the other arm) and at the palm."""

    side: Side
    low: Cut
    high: Cut


def root_gap_mm(strut: Strut) -> float:
    """Return the gap (mm) that is left open for the root run at either end of an arm; 0 where no edge is prepared.

    >>> root_gap_mm(shipped("canal-tender")), root_gap_mm(shipped("survey-launch"))  # fillet welds, a prepared edge
    (0.0, 2.0)
    """
    return strut.weld.root_gap_mm if strut.construction == "welded" and strut.weld.prep != "none" else 0.0


def cut_arm(strut: Strut, arm: Arm, gap_mm: float | None = None) -> ArmCut:
    """Return an arm's side with its two cuts, gap_mm clear of what it meets; the strut's root gap when left out.

    Of two arms that meet outside the barrel the second is cut to the first, as it is built. Generators are put in where
    that cut leaves the barrel. Raises DevelopmentError when an arm passes by the barrel, or the arms never part.

    >>> strut = shipped("canal-tender")
    >>> round(float(cut_arm(strut, strut.arms[0], 2.0).low.height_mm.max()), 6)  # a barrel of 48: 24 and the gap
    26.0
    """
    gap = root_gap_mm(strut) if gap_mm is None else gap_mm
    palm, barrel = strut.palms[arm.palm_index], _widened(strut.barrel, gap)
    side = arm_side(strut, arm)
    for other in strut.arms[: strut.arms.index(arm)]:
        side = _with_ends_of(side, barrel, _Body(strut, other), gap)
    low, high = meet_barrel(barrel, side), meet_palm(palm, side, palm.thickness_mm + gap)
    for other in strut.arms[: strut.arms.index(arm)]:
        low = _coped(side, low, high, _Body(strut, other), gap)
    return ArmCut(side, low, high)


def _widened(barrel: Barrel, gap: float) -> Barrel:
    """The barrel with the gap laid on its outside; on a faired end it is laid on square to the shaft."""
    if gap == 0.0:
        return barrel
    aft, forward = (
        replace(e, end_diameter_mm=e.end_diameter_mm + 2 * gap) for e in (barrel.aft_end, barrel.forward_end)
    )
    return replace(barrel, outside_mm=barrel.outside_mm + 2 * gap, aft_end=aft, forward_end=forward)


class _Body:
    """An arm as a body without ends, to ask how deep a point lies in it."""

    def __init__(self, strut: Strut, arm: Arm) -> None:
        plane = frames.arm_plane(strut, arm)
        self.arm, self.axes = arm, frames.arm_axes(arm, strut.barrel, plane)
        self.ends = frames.arm_ends_mm(arm, strut.barrel, plane)
        self.mean = arm_section(
            arm, (arm.chord_barrel_mm + arm.chord_palm_mm) / 2, (arm.thickness_barrel_mm + arm.thickness_palm_mm) / 2
        )

    def depth(self, points: Floats) -> Floats:
        """Return (n,) depths (mm) of points (n, 3) below the arm's side, across its thickness; minus: outside."""
        d, axes = points - self.axes.origin, self.axes
        lean = float(axes.u @ axes.n)
        along = (d @ axes.n - lean * (d @ axes.u)) / (1.0 - lean * lean)
        x = d @ axes.u - lean * along
        chord, thick = frames.arm_size_at(self.arm, self.ends, along)
        edge = edge_radius_at(self.arm, thick)
        own = None if edge is None else np.asarray(edge)
        half = kind_of(self.arm.shape).half_mm(self.mean, x, chord, thick, own)
        return np.asarray(np.minimum(half - np.abs(d @ axes.v), chord / 2 - np.abs(x)))


def _with_ends_of(side: Side, barrel: Barrel, other: _Body, gap: float) -> Side:
    """The side with generators put in where its line on the barrel goes in and out of the other arm."""
    inside = other.depth(meet_barrel(barrel, side).points) + gap > 0.0
    steps = np.flatnonzero(inside[1:] != inside[:-1])
    if not len(steps):
        return side

    def between(rows: Floats, share: Floats) -> Floats:
        return np.asarray(rows[steps] + share[:, None] * (rows[steps + 1] - rows[steps]))

    def at(share: Floats) -> Side:
        near, far, near_way, far_way = (between(r, share) for r in (side.near, side.far, side.near_way, side.far_way))
        return replace(side, near=near, far=far, near_way=near_way, far_way=far_way)

    def same(share: Floats) -> NDArray[np.bool_]:
        return np.asarray((other.depth(meet_barrel(barrel, at(share)).points) + gap > 0.0) == inside[steps])

    put = at(bisect(same, np.zeros(len(steps)), np.ones(len(steps)), 50)[0])
    rows = [
        np.insert(old, steps + 1, new, axis=0)
        for old, new in (
            (side.near, put.near),
            (side.far, put.far),
            (side.near_way, put.near_way),
            (side.far_way, put.far_way),
        )
    ]
    pieces: list[tuple[int, int]] = []
    for first, last in side.pieces:
        cuts = [int(s) + 1 + k for k, s in enumerate(steps) if first <= s < last]
        before, within = int(np.sum(steps < first)), len(cuts)
        bounds = [first + before, *cuts, last + before + within]
        pieces += list(pairwise(bounds))
    return replace(
        side,
        near=rows[0],
        far=rows[1],
        near_way=rows[2],
        far_way=rows[3],
        pieces=tuple(pieces),
        leading=side.leading + int(np.sum(steps < side.leading)),
    )


def _coped(side: Side, low: Cut, high: Cut, other: _Body, gap: float) -> Cut:
    """The cut at the barrel, moved out to the other arm where that stands before it."""
    inside = other.depth(low.points) + gap > 0.0
    if not inside.any():
        return low
    if np.any(inside & (other.depth(high.points) + gap > 0.0)):
        raise DevelopmentError(
            f"the {side.name} and the {other.arm.name} lie in each other up to the palm; open the "
            "angle between them or make them thinner"
        )
    _, far = bisect(lambda s: other.depth(side.at(s)) + gap > 0.0, low.along_mm, high.along_mm)
    along = np.where(inside, far, low.along_mm)
    marks = {"faired": low.faired & ~inside, "beyond": low.beyond & ~inside, "coped": low.coped | inside}
    return Cut.of(side, along, **marks)
