"""A palm in the press: what it rests on, where it is pushed, and how much of the plate is free to bend there."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

Way = Literal["along", "across", "twist"]
WAYS: tuple[Way, ...] = ("along", "across", "twist")
P: TypeAlias = tuple[float, float]
LEAST_SPAN = 2.0
"""Shortest free plate that is bent, in thicknesses; common practice, no source."""
_POINTED, _END = 0.5, 0.05
"""Share of its width at which a palm's end is no place for a line of readings, and how far before it they are taken."""
_ONE_PUSH = 0.5
"""Share of the palm that the supports stand apart at least where one push in the middle is to level its ends."""
_SPAN_SHARE = 0.8
"""Of the palm between its supports, where nothing says it; common practice, no source."""
_REACHED = 0.25
"""Share of a bar over a root from which on the palm turns at the root's toes all along; by finite elements."""
_MOST_OF = 0.6
"""Share of a line that a bar covers at least that is to bend all of it."""
CARRIED = 1.0
"""Plate beside a bite that is carried along at most, in spans."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Root:
    """Where an arm and its welds stand under the palm, which no press bends; mm from the palm's middle."""

    along_mm: P
    across_mm: P


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line along the palm over which its edges are pressed down. at_mm: its place across; rows_mm: the two rows that
    the palm rests on, port first."""

    at_mm: float
    rows_mm: P


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """A palm's face, mm from the middle of its over-all sizes, forward and to port.

    outline: corners in order round it. holes: middles of the bolt holes. seat_mm: diameter of their countersinks at the
    face, 0 where they have none. lines: where welds have bent it. turned_deg: how far its forward axis, the arm's, is
    turned from the palm's own toward port: along and across are the arm's then.
    """

    size_mm: P
    outline: tuple[P, ...]
    lines: tuple[Line, ...]
    roots: tuple[Root, ...] = ()
    holes: tuple[P, ...] = ()
    hole_mm: float = 0.0
    seat_mm: float = 0.0
    turned_deg: float = 0.0

    @classmethod
    def bare(cls, size_mm: P, span_across_mm: float | None = None) -> Face:
        """Return a rectangular palm that is bent over its middle, without arm and holes.

        >>> Face.bare((300.0, 150.0)).lines[0].rows_mm
        (60.0, -60.0)
        """
        u, v = size_mm[0] / 2.0, size_mm[1] / 2.0
        apart = (_SPAN_SHARE * size_mm[1] if span_across_mm is None else span_across_mm) / 2.0
        corners = ((u, v), (-u, v), (-u, -v), (u, -v))
        return cls(size_mm=size_mm, outline=corners, lines=(Line(at_mm=0.0, rows_mm=(apart, -apart)),))

    def turned(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return places (n, 2) of the palm's own axes in those of the face.

        >>> square = Face(size_mm=(9.0, 9.0), outline=(), lines=(), turned_deg=90.0)
        >>> (square.turned(np.array([[0.0, 5.0]])).round(9) + 0.0).tolist()
        [[5.0, 0.0]]
        """
        c, s = math.cos(math.radians(self.turned_deg)), math.sin(math.radians(self.turned_deg))
        out: NDArray[np.float64] = points @ np.array([[c, -s], [s, c]])
        return out

    def reach(self, way: int, at_mm: float) -> P:
        """Return how far the palm reaches along (way 0) or across (1) on the line that lies at_mm the other way.

        >>> Face.bare((300.0, 150.0)).reach(0, 60.0)
        (-150.0, 150.0)
        """
        p = np.asarray(self.outline)
        a, b = p, np.roll(p, -1, axis=0)
        other = 1 - way
        crossing = (a[:, other] <= at_mm) != (b[:, other] <= at_mm)
        a, b = a[crossing], b[crossing]
        if not len(a):
            return 0.0, 0.0
        met = a[:, way] + (at_mm - a[:, other]) / (b[:, other] - a[:, other]) * (b[:, way] - a[:, way])
        return float(met.min()), float(met.max())

    def holds(self, points: Iterable[P], inside_mm: float = 0.0) -> NDArray[np.bool_]:
        """Return which points lie on the palm, so far inside its edge.

        >>> Face.bare((300.0, 150.0)).holds([(0.0, 0.0), (149.0, 0.0)], 5.0).tolist()
        [True, False]
        """
        p = np.asarray(self.outline)
        step = np.roll(p, -1, axis=0) - p
        way = step / np.maximum(np.hypot(*step.T), 1e-12)[:, None]
        turned = np.sign(np.sum(p[:, 0] * np.roll(p[:, 1], -1) - np.roll(p[:, 0], -1) * p[:, 1]))
        inward = turned * np.column_stack([-way[:, 1], way[:, 0]])
        off = np.asarray(list(points))[:, None] - p
        found: NDArray[np.bool_] = np.all((off * inward).sum(-1) >= inside_mm - 1e-9, axis=1)
        return found


def grid(face: Face, along: int, across: int, inside_mm: float) -> list[P]:
    """Return places to read: lines across, evenly along the palm, on each places spread over the palm there.

    >>> grid(Face.bare((300.0, 150.0)), 3, 3, 5.0)[:3]
    [(-145.0, -70.0), (-145.0, 0.0), (-145.0, 70.0)]
    """
    half = face.size_mm[0] / 2.0 - inside_mm
    ends = face.reach(1, half)
    if ends[1] - ends[0] < _POINTED * face.size_mm[1]:
        half -= _END * face.size_mm[0]
    out: list[P] = []
    for u in np.linspace(-half, half, along):
        low, high = face.reach(1, float(u))
        edge = min(inside_mm, (high - low) / 4.0)
        out += [(float(u), float(v)) for v in np.linspace(low + edge, high - edge, across)]
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place to push, mm from the palm's middle.

    number: as the card counts them, from the middle outward. line: which line of the palm, for a push across. at_mm:
    middle of the bar. bar_mm: its length on the palm. stiff_mm: half the breadth of the roots under the bar. spans_mm:
    span of the strip that bends, or how far apart the seats of a twist stand along and across. supports, pushed:
    middles of the parallels or balls, and of the bar or the beam's two ends. free: widths of plate that bend here side
    by side, each with the span that is free. carried: the same with the plate beside that is carried along at most.
    whole: whether one push of this kind takes the whole palm. toes_mm: where a root begins and ends, for a push that
    bends one end of the palm against it. share: travel of the ram over how far the plate falls at the nearer support,
    and one_sided: whether the bar lies over a toe of the root, so that only the plate on that side of it bends.
    """

    way: Way
    number: int = 1
    line: int = 0
    at_mm: P = (0.0, 0.0)
    bar_mm: float = 0.0
    stiff_mm: float = 0.0
    spans_mm: P
    supports: tuple[P, P]
    pushed: tuple[P, ...]
    free: tuple[P, ...]
    carried: tuple[P, ...]
    whole: bool = True
    toes_mm: P | None = None
    share: float = 1.0
    one_sided: bool = False

    @property
    def span_mm(self) -> float:
        """Span of the strip that bends, along or across."""
        return self.spans_mm[1 if self.way == "across" else 0]

    @property
    def bare(self) -> tuple[P, ...]:
        """The plate here as if no arm stood under it: its width with the span."""
        if self.way == "twist":
            return (self.spans_mm,)
        return ((sum(width for width, _ in self.free), self.span_mm),)

    def lever(self, half_mm: float) -> float:
        """Return how far the plate falls at a distance from the line that is pressed, over its fall at the supports.

        It turns at the toes of the root's welds, not under the bar.
        """
        return (half_mm - self.stiff_mm) / (self.span_mm / 2.0 - self.stiff_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """What the press leaves room for, mm. span_along: None for most of the palm. bed: longest distance of supports.
    bar: longest bar and parallels."""

    span_along_mm: float | None = None
    bed_mm: float = math.inf
    bar_mm: float = math.inf


ANY = Tools()
"""Tools for any palm."""


def places(face: Face, thickness_mm: float, tools: Tools) -> list[Place]:
    """Return where a palm can be pushed: over each line, bite by bite; along it; over each toe of an arm's root, to
    bend the plate on one side of it; and at two corners for a twist.

    >>> [(p.way, p.bar_mm) for p in places(Face.bare((300.0, 150.0)), 14.0, Tools())]
    [('across', 300.0), ('along', 150.0), ('twist', 0.0)]
    >>> [p.at_mm[0] for p in places(Face.bare((300.0, 150.0)), 14.0, Tools(bar_mm=100.0))][:3]  # the middle bite first
    [0.0, -100.0, 100.0]
    """
    across, along = list(_across(face, thickness_mm, tools)), list(_along(face, thickness_mm, tools))
    toes = list(_over_toes(face, thickness_mm, tools))
    return [
        *_numbered(across, [p for p in toes if p.way == "across"]),
        *_numbered(along, [p for p in toes if p.way == "along"]),
        *_twist(face, tools),
    ]


def _numbered(made: list[Place], after: list[Place]) -> list[Place]:
    """From the middle outward, then the others."""
    middle = sum(p.at_mm[0] for p in made) / max(len(made), 1)
    made.sort(key=lambda p: (p.line, round(abs(p.at_mm[0] - middle), 6), p.at_mm[0]))
    return [replace(p, number=n) for n, p in enumerate([*made, *after], 1)]


def _across(face: Face, thickness_mm: float, tools: Tools) -> Iterator[Place]:
    """Over the root of an arm, where its welds have bent the palm; over the whole palm where there is none."""
    for k, line in enumerate(face.lines):
        apart = line.rows_mm[0] - line.at_mm, line.at_mm - line.rows_mm[1]
        if sum(apart) > tools.bed_mm:
            continue
        span = 2.0 * math.sqrt(apart[0] * apart[1])  # of a strip pressed in its middle that bends alike
        ends = [face.reach(0, v) for v in (*line.rows_mm, line.at_mm)]
        ends = [e for e in ends if e[1] > e[0]]  # a row off the palm carries nothing; the checks tell of it
        low, high = max(e[0] for e in ends), min(e[1] for e in ends)
        if len(face.roots) > k:
            root = face.roots[k].along_mm
            low, high = max(low, root[0]), min(high, root[1])
        count = max(1, math.ceil((high - low) / tools.bar_mm - 1e-9))
        long = (high - low) / count
        for n in range(count):
            start = low + n * long
            beside = min(CARRIED * span, (high - low) - long)
            yield (
                Place(
                    way="across",
                    line=k,
                    at_mm=(start + long / 2.0, line.at_mm),
                    bar_mm=long,
                    stiff_mm=_stiff(face, 0, (start, start + long), line.at_mm, span, thickness_mm),
                    spans_mm=(long, span),
                    supports=((start + long / 2.0, line.rows_mm[0]), (start + long / 2.0, line.rows_mm[1])),
                    pushed=((start + long / 2.0, line.at_mm),),
                    free=_free(face, 0, (start, start + long), line.at_mm, span, thickness_mm),
                    carried=_free(
                        face, 0, (start - beside / 2, start + long + beside / 2), line.at_mm, span, thickness_mm
                    ),
                    whole=count == 1,
                )
            )


def _free(face: Face, way: int, over: P, at_mm: float, span_mm: float, thickness_mm: float) -> tuple[P, ...]:
    """Widths of plate with their free spans, under a bar that lies over a length the way `way`, at a place the other
    way: beside the roots the whole span, at them what they leave of it."""
    parts, bare = [], over[1] - over[0]
    for root in face.roots:
        lies, met = (root.along_mm, root.across_mm) if way == 0 else (root.across_mm, root.along_mm)
        wide = min(lies[1], over[1]) - max(lies[0], over[0])
        deep = min(met[1], at_mm + span_mm / 2.0) - max(met[0], at_mm - span_mm / 2.0)
        if wide > 0.0 and deep > 0.0:
            parts.append((wide, max(span_mm - deep, min(LEAST_SPAN * thickness_mm, span_mm))))
            bare -= wide
    return tuple([*parts, (bare, span_mm)] if bare > 1e-6 else parts)


def _stiff(face: Face, way: int, over: P, at_mm: float, span_mm: float, thickness_mm: float) -> float:
    """Half the breadth that roots hold stiff at a place, less where the bar only reaches them; see `_free`."""
    most = 0.0
    for root in face.roots:
        lies, met = (root.along_mm, root.across_mm) if way == 0 else (root.across_mm, root.along_mm)
        wide = min(lies[1], over[1]) - max(lies[0], over[0])
        if wide > 0.0 and met[0] < at_mm < met[1]:
            reaches = min(1.0, wide / (_REACHED * (over[1] - over[0])))
            most = max(most, reaches * (met[1] - met[0]) / 2.0)
    return min(most, (span_mm - min(LEAST_SPAN * thickness_mm, span_mm / 2.0)) / 2.0)


def _along(face: Face, thickness_mm: float, tools: Tools) -> Iterator[Place]:
    long = face.size_mm[0]
    span = min(tools.span_along_mm or _SPAN_SHARE * long, tools.bed_mm)
    if face.reach(1, 0.0)[1] - face.reach(1, 0.0)[0] > tools.bar_mm * (1.0 + 1e-9):
        return
    stiff = (
        (min(r.along_mm[0] for r in face.roots), max(r.along_mm[1] for r in face.roots)) if face.roots else (0.0, 0.0)
    )
    middle, deep = sum(stiff) / 2.0, stiff[1] - stiff[0]
    room = LEAST_SPAN * thickness_mm
    one = span >= _ONE_PUSH * long and span - deep >= room
    spots = [(middle, min(span, long - 2.0 * abs(middle)))] if one else list(_beside(long, span, stiff, room))
    for at, apart in spots:
        low, high = face.reach(1, at)
        yield (
            Place(
                way="along",
                at_mm=(at, (low + high) / 2.0),
                bar_mm=high - low,
                stiff_mm=_stiff(face, 1, (low, high), at, apart, thickness_mm),
                spans_mm=(apart, high - low),
                supports=((at + apart / 2.0, 0.0), (at - apart / 2.0, 0.0)),
                pushed=((at, 0.0),),
                free=_free(face, 1, (low, high), at, apart, thickness_mm),
                carried=_free(face, 1, (low, high), at, apart, thickness_mm),
                whole=one,
                toes_mm=stiff if face.roots and not one else None,
            )
        )


def _beside(long: float, span: float, stiff: P, room: float) -> Iterator[P]:
    """Places along with their spans where one push does not do: side by side, clear of the roots of the arms."""
    bare = [(-long / 2.0, long / 2.0)] if stiff[1] <= stiff[0] else [(-long / 2.0, stiff[0]), (stiff[1], long / 2.0)]
    for low, high in bare:
        edge = 0.05 * (high - low)
        low, high = low + edge, high - edge
        apart = min(span, high - low)
        if apart < room:
            continue
        count = 1 + math.ceil((high - low - apart) / apart - 1e-9)
        step = (high - low - apart) / max(count - 1, 1)
        for n in range(count):
            yield low + apart / 2.0 + n * step, apart


def _over_toes(face: Face, thickness_mm: float, tools: Tools) -> Iterator[Place]:
    """The bar over one toe of the only root, the farther support beyond the other toe: across, then along. The nearer
    plate bends as half a strip that is pressed in its middle."""
    if len(face.roots) != 1 or len(face.lines) != 1:
        return
    root, rows = face.roots[0], face.lines[0].rows_mm
    half = (tools.span_along_mm or _SPAN_SHARE * face.size_mm[0]) / 2.0
    ways = ("across", root.across_mm, rows[::-1]), ("along", root.along_mm, (-half, half))
    for way, toes, rests in ways:
        bent = 1 if way == "across" else 0
        for toe, near, far in ((toes[1], rests[1], rests[0]), (toes[0], rests[0], rests[1])):
            bends = abs(near - toe)
            apart = abs(near - far) if bent else min(abs(near - far), tools.bed_mm)
            over = root.along_mm if bent else face.reach(1, toe)
            long = min(over[1] - over[0], tools.bar_mm)
            stands = (near - toe) * (toe - far) > 0.0 and 2.0 * bends <= apart <= tools.bed_mm
            covers = long >= _MOST_OF * (over[1] - over[0]) > 0.0
            if bends < LEAST_SPAN / 2.0 * thickness_mm or not stands or not covers:
                continue
            far = near - math.copysign(apart, near - far)
            middle = (over[0] + over[1]) / 2.0
            free = ((over[1] - over[0], 2.0 * bends),)
            yield Place(
                way="across" if bent else "along",
                at_mm=(middle, toe) if bent else (toe, middle),
                bar_mm=long,
                spans_mm=(long, 2.0 * bends) if bent else (2.0 * bends, long),
                supports=((middle, max(near, far)), (middle, min(near, far)))
                if bent
                else ((max(near, far), 0.0), (min(near, far), 0.0)),
                pushed=((middle, toe),) if bent else ((toe, middle),),
                free=free,
                carried=free,
                whole=False,
                toes_mm=toes,
                share=(apart - bends) / apart,
                one_sided=True,
            )


def _twist(face: Face, tools: Tools) -> Iterator[Place]:
    seats = _seats(face, tools)
    (fp, fs, ap, as_) = seats
    along = (fp[0] + fs[0] - ap[0] - as_[0]) / 2.0
    across = (fp[1] + ap[1] - fs[1] - as_[1]) / 2.0
    within = 0.0
    for root in face.roots:
        wide = min(root.along_mm[1], along / 2.0) - max(root.along_mm[0], -along / 2.0)
        deep = min(root.across_mm[1], across / 2.0) - max(root.across_mm[0], -across / 2.0)
        within += max(wide, 0.0) * max(deep, 0.0)
    free = ((along * (1.0 - min(within / (along * across), 0.8)), across),)
    yield Place(way="twist", spans_mm=(along, across), supports=(fs, ap), pushed=(fp, as_), free=free, carried=free)


def _seats(face: Face, tools: Tools) -> tuple[P, P, P, P]:
    """Four corners to wind the palm by, in holes where there are such: fore port, fore starboard, aft port, aft
    starboard."""
    long, wide = face.size_mm
    signs = ((1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0))
    out = []
    for a, b in signs:
        own = [h for h in face.holes if h[0] * a > 0.0 and h[1] * b > 0.0]
        if own:
            out.append(max(own, key=lambda h: (a * h[0] / long + b * h[1] / wide, h)))
    if len(out) == 4:
        return out[0], out[1], out[2], out[3]
    across = min(line.rows_mm[1] for line in face.lines), max(line.rows_mm[0] for line in face.lines)
    u, v = (tools.span_along_mm or _SPAN_SHARE * long) / 2.0, min(-across[0], across[1])
    while not face.holds([(a * u, b * v) for a, b in signs]).all():
        u, v = 0.95 * u, 0.95 * v
    return (u, v), (u, -v), (-u, v), (-u, -v)
