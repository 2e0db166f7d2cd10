"""What a view draws, each line once: what lies on a line that is drawn already is left out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from strutwright.exporters.drawing.items import Stroke
from strutwright.exporters.drawing.shapes import Arc, Ellipse, Line, P, Poly
from strutwright.exporters.drawing.style import Kind

RANK: dict[Kind, int] = {"visible": 0, "smooth": 1, "hidden": 2, "phantom": 3}
"""Lines of the part: one that comes earlier here leaves none of those after it under it."""
LEAST_MM, NEAR_MM, TURN_RAD = 0.02, 0.02, 1e-4
"""Pieces that lie on each other over less are taken for touching; lines nearer to each other than this, in place and in
direction, are one."""

Span = tuple[float, float]
Piece = tuple[P, P, float]
"""From, to, and the bulge of its arc: 0 of a straight one."""
Mark = tuple[float, ...]


def once(strokes: Sequence[Stroke]) -> list[Stroke]:
    """Return strokes (mm) without what is drawn twice: straight pieces that lie on others, arcs that are the same.

    Only lines of the part are looked at, in the order of `RANK`; the strokes keep their order, and one of which nothing
    is left out stays as it is. Straight pieces within NEAR_MM of each other are one line.
    """
    left: dict[int, list[Stroke]] = {}
    arcs: set[Mark] = set()
    taken: dict[tuple[int, int], list[Span]] = {}
    for k in sorted((k for k, s in enumerate(strokes) if s.kind in RANK), key=lambda k: RANK[strokes[k].kind]):
        shape = strokes[k].shape
        if isinstance(shape, Arc | Ellipse):
            if not _first(_figures(shape), arcs):
                left[k] = []
            continue
        pieces = list(_pieces(shape))
        kept = [list(_new(piece, taken, arcs)) for piece in pieces]
        if any(own != [piece] for own, piece in zip(kept, pieces, strict=True)):
            left[k] = list(_again(strokes[k], [p for own in kept for p in own]))
    return [new for k, stroke in enumerate(strokes) for new in left.get(k, [stroke])]


def _figures(shape: Arc | Ellipse) -> Mark:
    size = (shape.radius,) if isinstance(shape, Arc) else (*shape.major, shape.ratio)
    return (*shape.centre, *size, shape.start % math.tau, shape.sweep)


def _first(figures: Mark, seen: set[Mark]) -> bool:
    """Whether it is the first of its figures, of which note is taken."""
    mark = tuple(round(float(v), 3) + 0.0 for v in figures)
    new = mark not in seen
    seen.add(mark)
    return new


def _pieces(shape: Line | Poly) -> Iterator[Piece]:
    """The pieces of a line or of a polyline."""
    if isinstance(shape, Line):
        yield shape.a, shape.b, 0.0
        return
    points = [*shape.points, shape.points[0]] if shape.closed else list(shape.points)
    for k, (a, b) in enumerate(pairwise(points)):
        yield a, b, shape.bulges[k] if shape.bulges else 0.0


def _new(piece: Piece, taken: dict[tuple[int, int], list[Span]], arcs: set[Mark]) -> Iterator[Piece]:
    """Yield what of a piece is not drawn yet, in its own direction, and take note of it."""
    (ax, ay), (bx, by), bulge = piece
    if bulge:
        ends = sorted(((ax, ay, bulge), (bx, by, -bulge)))
        if _first((*ends[0], *ends[1]), arcs):
            yield piece
        return
    if math.dist(piece[0], piece[1]) <= LEAST_MM:
        yield piece
        return
    turn = math.atan2(by - ay, bx - ax) % math.pi
    turn = turn - math.pi if turn > math.pi - 1e-6 else turn
    c, s = math.cos(turn), math.sin(turn)
    turned, off = round(turn / TURN_RAD), round((ay * c - ax * s) / NEAR_MM)
    start, stop = ax * c + ay * s, bx * c + by * s
    low, high = min(start, stop), max(start, stop)
    free = [(low, high)]
    beside = [taken.get((turned + i, off + j), ()) for i in (-1, 0, 1) for j in (-1, 0, 1)]
    for a, b in (span for spans in beside for span in spans):
        free = [part for span in free for part in _without(span, a, b)]
    if free:
        taken.setdefault((turned, off), []).extend(free)
    if free == [(low, high)]:
        yield piece
        return
    for p, q in free if start < stop else [(q, p) for p, q in reversed(free)]:
        yield _on(piece, (p - start) / (stop - start)), _on(piece, (q - start) / (stop - start)), 0.0


def _without(span: Span, a: float, b: float) -> Iterator[Span]:
    """Yield what a span from a to b leaves of another; all of it where they only touch."""
    p, q = span
    if min(q, b) - max(p, a) <= LEAST_MM:
        yield span
        return
    yield from (part for part in ((p, min(q, a)), (max(p, b), q)) if part[1] - part[0] > LEAST_MM)


def _on(piece: Piece, share: float) -> P:
    (ax, ay), (bx, by), _ = piece
    return ax + share * (bx - ax), ay + share * (by - ay)


def _again(stroke: Stroke, pieces: Sequence[Piece]) -> Iterator[Stroke]:
    """Join the pieces that are left where they still meet."""
    numbers, runs = [], 0
    for k, piece in enumerate(pieces):
        runs += bool(k) and math.dist(pieces[k - 1][1], piece[0]) > 1e-9
        numbers.append(runs)
    for _, run in groupby(zip(numbers, pieces, strict=True), key=lambda pair: pair[0]):
        own = [piece for _, piece in run]
        if max(math.dist(a, b) for a, b, _ in own) <= LEAST_MM:
            continue
        points = (own[0][0], *(b for _, b, _ in own))
        bulges = tuple(bulge for _, _, bulge in own)
        straight = len(own) == 1 and not bulges[0]
        yield Stroke(
            Line(*points) if straight else Poly(points, bulges=(*bulges, 0.0) if any(bulges) else ()), stroke.kind
        )
