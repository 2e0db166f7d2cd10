"""Where arms and skeg meet barrel and palm, and those curves rolled out flat for paper templates. Pure numpy.

The side of an arm (or of the skeg) is a ruled surface: straight lines, here called generators, between like points of
two sections. A generator meets the barrel's outside at the root of a quadratic, and the palm's water face at a linear
one. Rolling out is done triangle by triangle between neighbouring generators, which keeps every length along and
between them: exact for prismatic and conical sides. An arm whose chord and thickness taper differently is twisted a
hair and cannot lie flat at all; there it is the usual plate developer's answer.

Two sheets are rolled out, both drawn as seen from outside, so that the printed side shows when they are wrapped:

* the part's own side: x round the section to the right (of an arm: trailing edge, starboard side, leading edge, port
  side), y along the part's axis away from the barrel;
* the barrel's outside: x the station from the aft face, y the distance round the outside, positive toward port from
  clock 0.

A sheet of paper is bent at half its own thickness, so lengths round a part are taken there. Lengths mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.models import frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.geometry import loops
from strutwright.models.geometry.barrel import is_faired, outside_radius_mm
from strutwright.models.geometry.loops import section_loop
from strutwright.models.geometry.members import arm_section, edge_radius_at, fin_loop
from strutwright.models.geometry.solve import bisect
from strutwright.models.outline import Outline, fit_arcs, join
from strutwright.models.sections import Section
from strutwright.models.spec import Arm, Barrel, Palm, Skeg, Strut
from strutwright.params.words import mm, say

Floats: TypeAlias = NDArray[np.float64]
Piece: TypeAlias = tuple[Floats, Floats]  # points (m, 2) and directions of travel (m, 2)

PAPER_MM = 0.1  # office and plotter paper of 80 g/m2; common figure, no source
FIT_MM = 0.02  # arcs drawn in place of a rolled-out curve stay this near to it
BAND_MM = 40.0  # a wrap reaches this far beyond the cut, to be held and to be square
TICKS = 16  # a wrap's girth is marked in this many parts
_CURVED, _STRAIGHT, _FAN = 481, 121, 65  # points to a piece: chords within 3e-6 of the arcs' length


class DevelopmentError(ValueError):
    """A curve cannot be rolled out; the text says of which part and why."""


# --- the sides of arms and skeg --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Side:
    """The outer surface of an arm or skeg as n straight generators, from the trailing edge by the first of its sides to
    the leading edge and back by the second: anticlockwise seen against the part's axis.

    name: of the part. axes: section frame; n along the part's axis away from the shaft line. near, far: (n, 3) points
    of the two sections at along_near_mm and along_far_mm from the shaft line. near_way, far_way: (n, 3) directions of
    travel round them. pieces: index ranges [first, last] of the smooth pieces, corners among them (points that stay
    where they are while the direction turns). leading: index of the leading edge. sides: names of the two sides in that
    order.
    """

    name: str
    axes: Axes
    along_near_mm: float
    along_far_mm: float
    near: Floats
    far: Floats
    near_way: Floats
    far_way: Floats
    pieces: tuple[tuple[int, int], ...]
    leading: int
    sides: tuple[str, str] = ("starboard", "port")

    def slope(self) -> Floats:
        """Return (n, 3) steps of the generators per mm along the axis."""
        return (self.far - self.near) / (self.along_far_mm - self.along_near_mm)

    def at(self, along_mm: Floats | float) -> Floats:
        """Return (n, 3) points of the generators at distances along the axis from the shaft line, one or n of them."""
        s = np.broadcast_to(np.asarray(along_mm, dtype=float), (len(self.near),))
        return np.asarray(self.near + (s - self.along_near_mm)[:, None] * self.slope())

    def outward(self, along_mm: Floats | float) -> Floats:
        """Return (n, 3) unit normals out of the surface at those places."""
        s = np.broadcast_to(np.asarray(along_mm, dtype=float), (len(self.near),))
        k = ((s - self.along_near_mm) / (self.along_far_mm - self.along_near_mm))[:, None]
        normal = np.cross((1 - k) * self.near_way + k * self.far_way, self.slope())
        return np.asarray(normal / np.linalg.norm(normal, axis=1)[:, None])


def arm_side(strut: Strut, arm: Arm) -> Side:
    """Return the side of an arm. Raises DevelopmentError when its section cannot be."""
    plane = frames.arm_plane(strut, arm)
    axes = frames.arm_axes(arm, strut.barrel, plane)
    ends = frames.arm_ends_mm(arm, strut.barrel, plane)
    rings = [
        _ring(_lower(arm_section(arm, chord, thickness)))
        for chord, thickness in (
            (arm.chord_barrel_mm, arm.thickness_barrel_mm),
            (arm.chord_palm_mm, arm.thickness_palm_mm),
        )
    ]
    return _side(arm.name, axes, ends, (axes, axes), (rings[0], rings[1]))


def skeg_side(strut: Strut) -> Side:
    """Return the side of the fin; its axis runs down from the shaft line at the middle of the root.

    Raises DevelopmentError when the strut has no skeg.
    """
    skeg, barrel = strut.skeg, strut.barrel
    if skeg is None:
        raise DevelopmentError("this strut has no skeg to roll out")
    root = barrel.outside_mm / 2
    x, down = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, -1.0])
    across = np.cross(down, x)
    lead = barrel.x(skeg.root_forward_station_mm)
    sizes = (
        (lead, skeg.root_forward_station_mm - skeg.root_aft_station_mm, skeg.thickness_root_mm),
        (lead - skeg.sweep_mm, skeg.tip_chord_mm, skeg.thickness_tip_mm),
    )
    rings, placed = [], []
    for front, chord, thickness in sizes:
        rings.append(_ring(_skeg_lower(skeg, chord, thickness)))
        placed.append(Axes(np.array([front - chord / 2, 0.0, 0.0]), x, across, down))
    made = _side("skeg", placed[0], (root, skeg.depth_mm), (placed[0], placed[1]), (rings[0], rings[1]))
    return replace(made, sides=("port", "starboard"))  # its axis runs down


class _Ring(NamedTuple):
    points: Floats
    way: Floats
    pieces: tuple[tuple[int, int], ...]
    leading: int


def _side(
    name: str, axes: Axes, along: tuple[float, float], placed: tuple[Axes, Axes], rings: tuple[_Ring, _Ring]
) -> Side:
    points, ways = [], []
    for ring, frame, s in zip(rings, placed, along, strict=True):
        points.append(frame.origin + s * frame.n + ring.points[:, :1] * frame.u + ring.points[:, 1:] * frame.v)
        ways.append(ring.way[:, :1] * frame.u + ring.way[:, 1:] * frame.v)
    if len(points[0]) != len(points[1]):
        raise DevelopmentError(f"the two end sections of the {name} are not of one kind")
    return Side(
        name, axes, along[0], along[1], points[0], points[1], ways[0], ways[1], rings[0].pieces, rings[0].leading
    )


def _lower(section: Section) -> list[Piece]:
    """Return the half of a section below its chord, from the trailing to the leading edge."""
    return _half(section_loop(section))


def _half(loop: list[loops.Piece]) -> list[Piece]:
    """Return the half of a loop below the chord, from the middle of its trailing to that of its leading edge."""
    middle = len(loop) // 2
    found = []
    for piece, start, stop in (
        (loop[middle], 0.5, 1.0),
        *((p, 0.0, 1.0) for p in loop[middle + 1 :]),
        (loop[0], 0.0, 0.5),
    ):
        if piece.kind != "corner":
            found.append(piece.curve(np.linspace(start, stop, _STRAIGHT if piece.kind == "line" else _CURVED)))
    return found


def _skeg_lower(skeg: Skeg, chord: float, thickness: float) -> list[Piece]:
    return _half(fin_loop(skeg, chord, thickness))


def _ring(lower: list[Piece]) -> _Ring:
    """Return the whole section: the lower half, its mirror image run back, and a corner between any two pieces.

    A corner where the direction does not turn is a piece without length; it does no harm.
    """
    upper = [(p[::-1] * (1.0, -1.0), w[::-1] * (-1.0, 1.0)) for p, w in reversed(lower)]
    row: list[Piece] = []
    tail = np.array((0.0, -1.0))  # the seam is at the trailing edge, where travel is straight across the chord
    before = tail
    for points, way in [*lower, *upper]:
        row += [_corner(points[0], before, way[0]), (points, way)]
        before = way[-1]
    row.append(_corner(row[-1][0][-1], before, tail))
    sizes = np.cumsum([0] + [len(p) for p, _ in row]).tolist()
    # The corner at the leading edge belongs to both halves; its middle is the edge.
    leading = sizes[2 * len(lower)] + _FAN // 2
    return _Ring(
        np.vstack([p for p, _ in row]),
        np.vstack([w for _, w in row]),
        tuple((int(a), int(b) - 1) for a, b in pairwise(sizes)),
        int(leading),
    )


def _corner(at: Floats, before: Floats, after: Floats) -> Piece:
    first = math.atan2(before[1], before[0])
    turn = math.atan2(before[0] * after[1] - before[1] * after[0], float(before @ after))
    angle = first + turn * np.linspace(0.0, 1.0, _FAN)
    return np.broadcast_to(at, (_FAN, 2)), np.column_stack((np.cos(angle), np.sin(angle)))


# --- where they are cut ----------------------------------------------------------------------------------------------


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


def meet_barrel(barrel: Barrel, side: Side) -> Cut:
    """Return where a side meets the barrel's outside, its faired ends included.

    On the parallel part this is the root of a quadratic; on a faired end that root is the outer bound of a bisection
    on the surface of revolution. Raises DevelopmentError when the part is as thick as the barrel and passes it by.
    """
    base, step = side.at(0.0), side.slope()
    full = barrel.outside_mm / 2
    along = _cylinder_root(base, step, full)
    if np.any(np.isnan(along)):
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
    faired = outside_radius_mm(barrel, x + barrel.length_mm / 2) < full
    if np.any(faired):
        low = _cylinder_root(base, step, min(e.end_diameter_mm for e in ends) / 2)
        a = step[:, 1] ** 2 + step[:, 2] ** 2
        nearest = -(base[:, 1] * step[:, 1] + base[:, 2] * step[:, 2]) / a
        low, high = np.where(np.isnan(low), nearest, low), along.copy()

        def off(s: Floats) -> Floats:
            p = base + s[:, None] * step
            return np.asarray(np.hypot(p[:, 1], p[:, 2]) - outside_radius_mm(barrel, p[:, 0] + barrel.length_mm / 2))

        if np.any(faired & (off(low) > 1e-9)):
            raise DevelopmentError(
                f"the {side.name} passes by a faired end of the barrel; make it thinner or move it away from the end"
            )
        along = np.where(faired, bisect(lambda s: off(s) <= 0.0, low, high, 80)[1], along)
    points = side.at(along)
    beyond = np.abs(points[:, 0]) > barrel.length_mm / 2 + 1e-9
    no = np.zeros(len(along), dtype=bool)
    return Cut(points, along, (points - side.axes.origin) @ side.axes.n, faired, beyond, no)


def _cylinder_root(base: Floats, step: Floats, radius: float) -> Floats:
    """Return the farther meeting of lines with a cylinder about the shaft line; nan where they pass it by."""
    a = step[:, 1] ** 2 + step[:, 2] ** 2
    b = base[:, 1] * step[:, 1] + base[:, 2] * step[:, 2]
    c = base[:, 1] ** 2 + base[:, 2] ** 2 - radius**2
    disc = b * b - a * c
    return np.where(disc > 0.0, (-b + np.sqrt(np.maximum(disc, 0.0))) / a, np.nan)


def meet_palm(palm: Palm, side: Side, depth_mm: float | None = None) -> Cut:
    """Return where a side meets a plane depth_mm below the palm's hull face; the water face when left out."""
    hull = frames.palm_axes(palm)
    depth = palm.thickness_mm if depth_mm is None else depth_mm
    along = ((hull.origin - depth * hull.n - side.at(0.0)) @ hull.n) / (side.slope() @ hull.n)
    points = side.at(along)
    no = np.zeros(len(along), dtype=bool)
    return Cut(points, along, (points - side.axes.origin) @ side.axes.n, no, no, no)


class ArmCut(NamedTuple):
    """An arm as it is cut: its side, and where that ends at the barrel (or at the other arm) and at the palm."""

    side: Side
    low: Cut
    high: Cut


def root_gap_mm(strut: Strut) -> float:
    """Return the gap (mm) that is left open for the root run at either end of an arm; 0 where no edge is prepared."""
    return strut.weld.root_gap_mm if strut.construction == "welded" and strut.weld.prep != "none" else 0.0


def cut_arm(strut: Strut, arm: Arm, gap_mm: float | None = None) -> ArmCut:
    """Return an arm's side with its two cuts, gap_mm clear of what it meets; the strut's root gap when left out.

    Of two arms that meet outside the barrel the second is cut to the first, as it is built. Generators are put in where
    that cut leaves the barrel. Raises DevelopmentError when an arm passes by the barrel, or the arms never part.
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
        # Half thickness along the chord, as shares; the small rounding of thin edges is that of the mean section.
        size = ((arm.chord_barrel_mm + arm.chord_palm_mm) / 2, (arm.thickness_barrel_mm + arm.thickness_palm_mm) / 2)
        rows = np.vstack([p for p, _ in _lower(arm_section(arm, *size))])
        self.table = rows[:, 0] / size[0], -rows[:, 1] / size[1]

    def depth(self, points: Floats) -> Floats:
        """Return (n,) depths (mm) of points (n, 3) below the arm's side, across its thickness; minus: outside."""
        d, axes = points - self.axes.origin, self.axes
        lean = float(axes.u @ axes.n)
        along = (d @ axes.n - lean * (d @ axes.u)) / (1.0 - lean * lean)
        x = np.abs(d @ axes.u - lean * along)
        k = (along - self.ends[0]) / (self.ends[1] - self.ends[0])
        a = (self.arm.chord_barrel_mm + k * (self.arm.chord_palm_mm - self.arm.chord_barrel_mm)) / 2
        b = (self.arm.thickness_barrel_mm + k * (self.arm.thickness_palm_mm - self.arm.thickness_barrel_mm)) / 2
        if self.arm.shape == "flat":
            r = np.array([edge_radius_at(self.arm, float(t)) for t in 2 * b])
            half = b - r + np.sqrt(np.maximum(r * r - np.maximum(np.minimum(x, a) - (a - r), 0.0) ** 2, 0.0))
        else:
            half = 2 * b * np.interp(np.clip((d @ axes.u - lean * along) / (2 * a), -0.5, 0.5), *self.table)
        return np.asarray(np.minimum(half - np.abs(d @ axes.v), a - x))


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
    points = side.at(along)
    return Cut(
        points,
        along,
        (points - side.axes.origin) @ side.axes.n,
        low.faired & ~inside,
        low.beyond & ~inside,
        low.coped | inside,
    )


# --- rolling out -----------------------------------------------------------------------------------------------------


def unroll(lower: Floats, upper: Floats) -> tuple[Floats, Floats]:
    """Return two rows of points (n, 2) rolled out flat: the strip between lower and upper (n, 3), generator by
    generator.

    Each triangle between neighbouring generators keeps its sides. The first generator points up from (0, 0), the strip
    runs to the right; so it is seen from the side where going right is anticlockwise about `up`. Generators that repeat
    their neighbour come out where the neighbour is.
    """
    moved = np.linalg.norm(np.diff(lower, axis=0), axis=1) + np.linalg.norm(np.diff(upper, axis=0), axis=1) > 1e-10
    keep = np.concatenate(([True], moved))
    a, b = lower[keep], upper[keep]
    across = a[1:] - a[:-1]
    up, diagonal = b - a, b[:-1] - a[1:]
    at_a = _angle(up[:-1], across)
    at_next = _angle(-across, diagonal) + _angle(diagonal, up[1:])
    direction = np.pi / 2 + np.concatenate(([0.0], np.cumsum(np.pi - at_a - at_next)))
    ahead = direction[:-1] - at_a
    steps = np.linalg.norm(across, axis=1)[:, None] * np.column_stack((np.cos(ahead), np.sin(ahead)))
    low = np.vstack((np.zeros((1, 2)), np.cumsum(steps, axis=0)))
    high = low + np.linalg.norm(up, axis=1)[:, None] * np.column_stack((np.cos(direction), np.sin(direction)))
    back = np.cumsum(keep) - 1
    return low[back], high[back]


def _angle(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.arctan2(np.linalg.norm(np.cross(a, b), axis=1), np.sum(a * b, axis=1)))


@dataclass(frozen=True, slots=True)
class Tick:
    """A generator drawn on a wrap: number from the seam (0 to TICKS), foot and head (x, y)."""

    number: int
    foot: tuple[float, float]
    head: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Wrap:
    """The end of an arm or skeg rolled out, as seen from outside; its seam is the trailing edge on both sides.

    outline: closed. edge: the open chain along the cut, running to the right. far_edge: the other, where a section
    parallel to the root lies, reference_mm along the axis from the shaft line. ticks: generators at equal parts of the
    girth, the leading edge in the middle. girth_mm: length of far_edge. paper_mm: thickness of the paper allowed for.
    The leading edge stands upright at x = 0, its far end on y = 0.
    """

    end: Literal["barrel", "palm"]
    outline: Outline
    edge: Outline
    far_edge: Outline
    ticks: tuple[Tick, ...]
    reference_mm: float
    girth_mm: float
    paper_mm: float


def barrel_wrap(side: Side, cut: Cut, paper_mm: float = PAPER_MM, band_mm: float = BAND_MM) -> Wrap:
    """Return the wrap of a part's barrel end, cut there; the edge to the barrel is the lower one."""
    return _wrap(side, cut, "barrel", float(np.ceil((cut.along_mm.max() + band_mm) / 5.0) * 5.0), paper_mm)


def palm_wrap(side: Side, cut: Cut, paper_mm: float = PAPER_MM, band_mm: float = BAND_MM) -> Wrap:
    """Return the wrap of an arm's palm end, cut there; the edge to the palm is the upper one."""
    return _wrap(side, cut, "palm", float(np.floor((cut.along_mm.min() - band_mm) / 5.0) * 5.0), paper_mm)


def _wrap(side: Side, cut: Cut, end: Literal["barrel", "palm"], reference: float, paper: float) -> Wrap:
    off = paper / 2
    edge = cut.points + off * side.outward(cut.along_mm)
    far = side.at(reference) + off * side.outward(reference)
    flat_low, flat_high = unroll(edge, far) if end == "barrel" else unroll(far, edge)
    flat_edge, flat_far = (flat_low, flat_high) if end == "barrel" else (flat_high, flat_low)
    up = flat_high[side.leading] - flat_low[side.leading]
    turn = math.pi / 2 - math.atan2(up[1], up[0])
    spin = np.array(((math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))))
    zero = flat_far[side.leading]
    flat_edge, flat_far = (flat_edge - zero) @ spin, (flat_far - zero) @ spin
    chain, other = _chain(flat_edge, side.pieces), _chain(flat_far, side.pieces)
    first, second = (chain, other) if end == "barrel" else (other, chain)
    rows = (
        first,
        _line(first.vertices[-1], second.vertices[-1]),
        second.reversed(),
        _line(second.vertices[0], first.vertices[0]),
    )
    girth = float(np.sum(np.hypot(*np.diff(flat_far, axis=0).T)))
    ticks = []
    for k, at in enumerate(parts_of(side, cut.points if end == "palm" else side.at(reference), TICKS)):
        (x0, y0), (x1, y1) = _between(flat_edge, at), _between(flat_far, at)
        ticks.append(Tick(k, (float(x0), float(y0)), (float(x1), float(y1))))
    return Wrap(end, join(rows, closed=True), chain, other, tuple(ticks), reference, girth, paper)


def parts_of(side: Side, ring: Floats, count: int) -> list[float]:
    """Return count + 1 places (index and fraction) at equal parts of a side's ring of points, the leading edge in the
    middle even where the two sides are not equally long. count: even.
    """
    girth = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(ring, axis=0), axis=1))))
    half, index = girth[side.leading], np.arange(len(girth), dtype=float)
    places = []
    for k in range(count + 1):
        share = 2 * k / count
        at = half * share if share < 1.0 else half + (girth[-1] - half) * (share - 1.0)
        places.append(float(np.interp(at, girth, index)))
    places[0], places[count // 2], places[count] = 0.0, float(side.leading), index[-1]
    return places


def _between(values: Floats, place: float) -> Floats:
    """Return row `place` (index and fraction) of values (n,) or (n, k)."""
    i = min(int(place), len(values) - 2)
    return np.asarray(values[i] + (place - i) * (values[i + 1] - values[i]))


def _line(a: Floats, b: Floats) -> Outline:
    return Outline(np.array([[a[0], a[1], 0.0], [b[0], b[1], 0.0]]), closed=False)


def _chain(points: Floats, pieces: tuple[tuple[int, int], ...]) -> Outline:
    """Return lines and arcs within FIT_MM through the pieces of a plane curve (n, 2), its corners kept."""
    chains: list[Outline] = []
    begin = points[0]
    for first, last in pieces:
        part = points[first : last + 1]
        steps = np.hypot(*np.diff(part, axis=0).T)
        part = part[np.concatenate(([True], steps > 1e-9))]
        if len(part) < 2 or math.dist(begin, part[-1]) < 1e-5:
            continue
        part = np.vstack((begin, part[1:]))
        begin = part[-1]
        way = part[-1] - part[0]
        bow = np.abs((part[:, 0] - part[0, 0]) * way[1] - (part[:, 1] - part[0, 1]) * way[0]) / math.hypot(*way)
        if len(part) < 4 or bow.max() < 1e-6:
            chains.append(Outline(np.column_stack((part[[0, -1]], (0.0, 0.0))), closed=False))
        else:
            run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(part, axis=0).T))))
            chains.append(fit_arcs(part, np.gradient(part, run, axis=0, edge_order=2), FIT_MM))
    return join(chains)


# --- on the barrel ---------------------------------------------------------------------------------------------------


def round_mm(barrel: Barrel, clock_deg: Floats | float, paper_mm: float = 0.0) -> Floats:
    """Return the distance round the barrel's outside (mm) from clock 0, on paper of that thickness."""
    return np.asarray(np.radians(clock_deg) * (barrel.outside_mm + paper_mm) / 2, dtype=float)


@dataclass(frozen=True, slots=True)
class Footprint:
    """The line of an arm or skeg on the barrel, rolled out: x station, y round the outside from clock 0.

    outline: closed. leading, trailing: (x, y) of those edges. clock_deg: of the part. faired, beyond: whether some of
    the line lies on a faired end (there the paper stands off; stations and clock angles hold), or past a face.
    """

    name: str
    outline: Outline
    leading: tuple[float, float]
    trailing: tuple[float, float]
    clock_deg: float
    faired: bool
    beyond: bool


def footprint(barrel: Barrel, side: Side, paper_mm: float = PAPER_MM) -> Footprint:
    """Return the line of a part on the barrel, rolled out at the outside surface of the parallel part."""
    cut = meet_barrel(barrel, side)
    middle = math.degrees(math.atan2(side.axes.n[1], side.axes.n[2]))
    clock = np.degrees(np.arctan2(cut.points[:, 1], cut.points[:, 2]))
    clock = middle + (clock - middle + 180.0) % 360.0 - 180.0
    flat = np.column_stack((cut.points[:, 0] + barrel.length_mm / 2, round_mm(barrel, clock, paper_mm)))
    chain = _chain(flat, side.pieces)
    lead = (float(flat[side.leading, 0]), float(flat[side.leading, 1]))
    return Footprint(
        side.name,
        join([chain], closed=True),
        lead,
        (float(flat[0, 0]), float(flat[0, 1])),
        middle,
        bool(cut.faired.any()),
        bool(cut.beyond.any()),
    )


def clear_clock_deg(clocks_deg: list[float]) -> float:
    """Return the clock angle farthest from those in use, by fives from -175 to 180: where a seam may lie."""
    tried = [
        (min((frames.angle_between_deg(c, used) for used in clocks_deg), default=0.0), -abs(c), c)
        for c in range(-175, 185, 5)
    ]
    return float(max(tried)[2])


# --- bevel and lengths -----------------------------------------------------------------------------------------------


class Bevel(NamedTuple):
    """One place round an arm at the palm.

    number: of the tick on the wrap. girth_mm: along the cut from the trailing edge, by the starboard side. where: which
    edge or side. angle_deg: from the water face to the arm's side, through the water, where the weld lies; 90 is
    square. kind: acute, square or obtuse. long_mm: length of the generator between its two cuts, gaps taken off.
    """

    number: int
    girth_mm: float
    where: str
    angle_deg: float
    kind: Literal["acute", "square", "obtuse"]
    long_mm: float


def palm_angles_deg(palm: Palm, side: Side) -> Floats:
    """Return (n,) angles between the arm's side and the palm's water face, through the water (degrees)."""
    cut = meet_palm(palm, side)
    return np.degrees(np.arccos(np.clip(side.outward(cut.along_mm) @ frames.palm_axes(palm).n, -1.0, 1.0)))


def bevel_table(strut: Strut, arm: Arm, count: int = TICKS) -> tuple[Bevel, ...]:
    """Return the bevel of an arm at its palm at count + 1 equal parts of the girth, the first and last the seam.

    count: even. At a sharp edge the angle is that of a side square to the chord.
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
        at, value = float(_between(girth, place)), float(_between(angle, place))
        kind: Literal["acute", "square", "obtuse"] = (
            "square" if abs(value - 90.0) < 0.005 else "acute" if value < 90.0 else "obtuse"
        )
        rows.append(Bevel(k, at, where, value, kind, float(_between(long, place))))
    return tuple(rows)


LEAST_CUT_DEG = 20.0  # less would cut a long sliver off a flank that stands nearly as open as the groove anyway


def flank(axes: Axes, outward: Vector, side: int) -> tuple[Vector, Vector, float]:
    """Return how one flank of an arm stands on a plane: the joint's direction (3,), the way out from the arm in the
    plane (3,), and the angle (degrees) from there to the flank.

    outward: the plane's normal (3,) out of the arm's end. side: +1 the flank along axes.v, -1 the other. Of an arm that
    tapers in thickness it is the angle of its axis.
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
    """Return the four sides of an arm's joints: barrel port and starboard, palm port and starboard."""
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
    square to the sections, end to end. to_hull_face: along its axis from the barrel's outside itself.
    """

    axis_mm: float
    longest_mm: float
    shortest_mm: float
    over_all_mm: float
    to_hull_face_mm: float


def arm_lengths(strut: Strut, arm: Arm) -> ArmLengths:
    """Return the true lengths of an arm, cut to the barrel and to the palm's water face."""
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
    """Return where the trace runs in the palm axes. It is the line of the hull face on which y is 0."""
    axes, level = frames.palm_axes(palm), float(palm.zero_mm[1])
    turn = math.radians(palm.axes_deg)
    along, square = (math.cos(turn), -math.sin(turn)), (math.sin(turn), math.cos(turn))
    per_mm = float(square[0] * axes.u[1] + square[1] * axes.v[1])  # toward port on each mm of the face
    on_face = level / per_mm
    return OffTrace(level, on_face, (-on_face * square[0], -on_face * square[1]), along)


def palm_footprint(palm: Palm, side: Side, depth_mm: float | None = None) -> Outline:
    """Return the line of an arm on a plane of its palm in the palm axes (u, v); the water face when depth_mm is left
    out.
    """
    cut = meet_palm(palm, side, depth_mm)
    return join([_chain(frames.palm_axes(palm).from_strut(cut.points)[:, :2], side.pieces)], closed=True)


def blank_mm(side: Side, low: Cut, high: Cut | None = None) -> tuple[float, float]:
    """Return the length along the axis and the width along the chord (mm) of the flat blank that holds an arm or skeg.

    low, high: its two cuts; the far section when the outer one is left out.
    """
    points = np.vstack((low.points, side.far if high is None else high.points))
    n = side.axes.n
    forward = frames.unit(side.axes.u - float(side.axes.u @ n) * n)
    return float(np.ptp(points @ n)), float(np.ptp(points @ forward))
