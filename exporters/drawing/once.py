"""What a view draws, each line once: what lies on a line that is drawn already is left out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

import numpy as np

from strutwright.exporters.drawing.items import Stroke
from strutwright.exporters.drawing.shapes import Arc, Ellipse, Line, P, Poly
from strutwright.exporters.drawing.style import Kind

RANK: dict[Kind, int] = {"visible": 0, "smooth": 1, "hidden": 2, "phantom": 3}
"""Lines of the part: one that comes earlier here leaves none of those after it under it."""
LEAST_MM, NEAR_MM, TURN_RAD = 0.02, 0.02, 1e-4
"""Pieces that lie on each other over less are taken for touching; lines nearer to each other than this, in place and in
direction, are one."""

Span = tuple[float, float]
Piece = tuple[P, P]


def once(strokes: Sequence[Stroke]) -> list[Stroke]:
    """Return strokes (mm) without what is drawn twice: straight pieces that lie on others, arcs that are the same.

    Only lines of the part are looked at, in the order of `RANK`; the strokes keep their order, and one of which nothing
    is left out stays as it is, as a polyline with arcs does. Straight pieces within NEAR_MM of each other are one line.
    """
    left: dict[int, list[Stroke]] = {}
    drawn: set[tuple[float, ...]] = set()
    # Of a kind those with arcs first: they stay whole.
    order = sorted(
        (k for k, s in enumerate(strokes) if s.kind in RANK),
        key=lambda k: (RANK[strokes[k].kind], not _bent(strokes[k].shape)),
    )
    for k in order:
        shape = strokes[k].shape
        if isinstance(shape, Arc | Ellipse):
            mark = tuple(round(float(v), 3) for v in _figures(shape))
            if mark in drawn:
                left[k] = []
            drawn.add(mark)
    taken: dict[tuple[int, int], list[Span]] = {}
    for k in order:
        pieces = list(_pieces(strokes[k].shape))
        kept = [list(_new(piece, taken)) if straight else [piece] for piece, straight in pieces]
        if _bent(strokes[k].shape) or all(own == [piece] for own, (piece, _) in zip(kept, pieces, strict=True)):
            continue
        left[k] = list(_again(strokes[k], [p for own in kept for p in own]))
    return [new for k, stroke in enumerate(strokes) for new in left.get(k, [stroke])]


def _bent(shape: object) -> bool:
    """Whether it is a polyline with arcs in it."""
    return isinstance(shape, Poly) and any(shape.bulges)


def _figures(shape: Arc | Ellipse) -> tuple[float, ...]:
    size = (shape.radius,) if isinstance(shape, Arc) else (*shape.major, shape.ratio)
    return (*shape.centre, *size, shape.start % math.tau, shape.sweep)


def _pieces(shape: object) -> Iterator[tuple[Piece, bool]]:
    """The pieces of a line or of a polyline, and whether each is straight and no mere point."""
    if isinstance(shape, Line):
        yield (shape.a, shape.b), True
    elif isinstance(shape, Poly):
        points = [*shape.points, shape.points[0]] if shape.closed else list(shape.points)
        for k, (a, b) in enumerate(pairwise(points)):
            yield (a, b), math.dist(a, b) > LEAST_MM and not (shape.bulges and shape.bulges[k])


def _new(piece: Piece, taken: dict[tuple[int, int], list[Span]]) -> Iterator[Piece]:
    """Yield what of a piece is not drawn yet, in its own direction, and take note of it."""
    (ax, ay), (bx, by) = piece
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
        yield _on(piece, (p - start) / (stop - start)), _on(piece, (q - start) / (stop - start))


def _without(span: Span, a: float, b: float) -> Iterator[Span]:
    """Yield what a span from a to b leaves of another; all of it where they only touch."""
    p, q = span
    if min(q, b) - max(p, a) <= LEAST_MM:
        yield span
        return
    yield from (part for part in ((p, min(q, a)), (max(p, b), q)) if part[1] - part[0] > LEAST_MM)


def _on(piece: Piece, share: float) -> P:
    (ax, ay), (bx, by) = piece
    return ax + share * (bx - ax), ay + share * (by - ay)


def _again(stroke: Stroke, pieces: Sequence[Piece]) -> Iterator[Stroke]:
    """Join the pieces that are left where they still meet."""
    starts = [k == 0 or math.dist(pieces[k - 1][1], pieces[k][0]) > 1e-9 for k in range(len(pieces))]
    numbers = np.cumsum(starts).tolist()
    for _, run in groupby(zip(numbers, pieces, strict=True), key=lambda pair: pair[0]):
        own = [piece for _, piece in run]
        if max(math.dist(a, b) for a, b in own) <= LEAST_MM:
            continue
        points = (own[0][0], *(b for _, b in own))
        yield Stroke(Line(*points) if len(points) == 2 else Poly(points), stroke.kind)
