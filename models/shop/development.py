"""The lines in which arms and skeg meet barrel and palm, rolled out flat for paper templates. Pure numpy.

Rolling out is done triangle by triangle between neighbouring generators, which keeps every length along and
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
from dataclasses import dataclass
from typing import Literal

import numpy as np

from strutwright.models import frames
from strutwright.models.outline import Outline, fit_arcs, join
from strutwright.models.shop.cuts import Cut, meet_barrel, meet_palm
from strutwright.models.shop.sides import Floats, Side, between
from strutwright.models.spec import Barrel, Palm

PAPER_MM = 0.1  # office and plotter paper of 80 g/m2; common figure, no source
FIT_MM = 0.02  # arcs drawn in place of a rolled-out curve stay this near to it
BAND_MM = 40.0  # a wrap reaches this far beyond the cut, to be held and to be square
TICKS = 16  # a wrap's girth is marked in this many parts


# --- rolling out -----------------------------------------------------------------------------------------------------


def unroll(lower: Floats, upper: Floats) -> tuple[Floats, Floats]:
    """Return two rows of points (n, 2) rolled out flat: the strip between lower and upper (n, 3), generator by
    generator.

    Each triangle between neighbouring generators keeps its sides. The first generator points up from (0, 0), the strip
    runs to the right; so it is seen from the side where going right is anticlockwise about `up`. Generators that repeat
    their neighbour come out where the neighbour is.

    >>> lower = np.array([[0.0, 0.0, 0.0], [30.0, 0.0, 0.0], [30.0, 40.0, 0.0]])  # two walls that meet square, 50 high
    >>> unroll(lower, lower + (0.0, 0.0, 50.0))[1].round(6).tolist()
    [[0.0, 50.0], [30.0, 50.0], [70.0, 50.0]]
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

    outline: closed. edge: the open chain along the cut, running to the right. reference_mm: where, along the axis
    from the shaft line, a section parallel to the root lies. ticks: generators at equal parts of the
    girth, the leading edge in the middle. girth_mm: of that section. paper_mm: thickness of the paper allowed for.
    The leading edge stands upright at x = 0, its far end on y = 0.
    """

    end: Literal["barrel", "palm"]
    outline: Outline
    edge: Outline
    ticks: tuple[Tick, ...]
    reference_mm: float
    girth_mm: float
    paper_mm: float


def barrel_wrap(side: Side, cut: Cut, paper_mm: float = PAPER_MM, band_mm: float = BAND_MM) -> Wrap:
    """Return the wrap of a part's barrel end, cut there; the edge to the barrel is the lower one.

    >>> from strutwright.models.shop.cuts import cut_arm
    >>> cut = cut_arm(shipped("canal-tender"), shipped("canal-tender").arms[0])
    >>> round(barrel_wrap(cut.side, cut.low, 0.0).girth_mm, 2)  # 56 x 14 with round edges: 2 x 42 + 14 pi
    127.98
    """
    return _wrap(side, cut, "barrel", float(np.ceil((cut.along_mm.max() + band_mm) / 5.0) * 5.0), paper_mm)


def palm_wrap(side: Side, cut: Cut, paper_mm: float = PAPER_MM, band_mm: float = BAND_MM) -> Wrap:
    """Return the wrap of an arm's palm end, cut there; the edge to the palm is the upper one.

    >>> from strutwright.models.shop.cuts import cut_arm
    >>> cut = cut_arm(shipped("canal-tender"), shipped("canal-tender").arms[0])
    >>> round(palm_wrap(cut.side, cut.high).girth_mm, 2)  # half the paper farther out: 2 x 42 + 14.1 pi
    128.3
    """
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
        (x0, y0), (x1, y1) = between(flat_edge, at), between(flat_far, at)
        ticks.append(Tick(k, (float(x0), float(y0)), (float(x1), float(y1))))
    return Wrap(end, join(rows, closed=True), chain, tuple(ticks), reference, girth, paper)


def parts_of(side: Side, ring: Floats, count: int) -> list[float]:
    """Return count + 1 places (index and fraction) at equal parts of a side's ring of points, the leading edge in the
    middle even where the two sides are not equally long. count: even.

    >>> from strutwright.models.shop.sides import arm_side
    >>> side = arm_side(shipped("canal-tender"), shipped("canal-tender").arms[0])
    >>> parts_of(side, side.near, 4)[2] == side.leading, len(parts_of(side, side.near, 16))
    (True, 17)
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
    """Return the distance round the barrel's outside (mm) from clock 0, on paper of that thickness.

    >>> float(round_mm(shipped("canal-tender").barrel, 90.0).round(3))  # a quarter of 48 pi
    37.699
    """
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
    """Return the line of a part on the barrel, rolled out at the outside surface of the parallel part.

    >>> from strutwright.models.shop.sides import arm_side
    >>> strut = shipped("canal-tender")  # a chord of 56 about the middle of a barrel of 74
    >>> footprint(strut.barrel, arm_side(strut, strut.arms[0])).leading
    (65.0, 0.0)
    """
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
    """Return the clock angle farthest from those in use, by fives from -175 to 180: where a seam may lie.

    >>> clear_clock_deg([0.0, 90.0])  # half way round between the two on the other side
    -135.0
    """
    tried = [
        (min((frames.angle_between_deg(c, used) for used in clocks_deg), default=0.0), -abs(c), c)
        for c in range(-175, 185, 5)
    ]
    return float(max(tried)[2])


def palm_footprint(palm: Palm, side: Side, depth_mm: float | None = None) -> Outline:
    """Return the line of an arm on a plane of its palm in the palm axes (u, v); the water face when depth_mm is left
    out.

    >>> from strutwright.models.shop.sides import arm_side
    >>> strut = shipped("canal-tender")  # a section of 56 x 14 with round edges on a palm that leans by 9 degrees
    >>> outline = palm_footprint(strut.palms[0], arm_side(strut, strut.arms[0]))
    >>> round(outline.area_mm2(), 1)  # (42 x 14 + 49 pi) / cos(9 degrees)
    751.2
    """
    cut = meet_palm(palm, side, depth_mm)
    return join([_chain(frames.palm_axes(palm).from_strut(cut.points)[:, :2], side.pieces)], closed=True)
