"""The closed boundary of an arm's or fin's section as smooth pieces, and what follows from them. Numpy only.

Each piece is a smooth curve over a share 0 to 1 of its own; two sizes of one kind have the same pieces, so that equal
shares belong together. Section frame as in `models.sections`: x along the chord, leading edge toward +x, y across; the
pieces run counter-clockwise. Lengths mm.

A loop without corners is what a ball can roll round and what a casting has: two arcs meet in small arcs of the edge
radius, and a foil ends in one. A corner (a flat without edge radius) is a piece that stays in its point while its
tangent turns.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Generic, NamedTuple

import numpy as np

from strutwright.models.arrays import Floats, One
from strutwright.models.geometry.solve import bisect

Curve = Callable[[Floats], tuple[Floats, Floats]]  # shares (n,) -> points (n, 2), tangents (n, 2)


@dataclass(frozen=True, slots=True)
class Piece:
    """A smooth part of a loop. curve: shares (n,) to points and tangents (n, 2), mm; kind: line, curve or corner."""

    kind: str
    curve: Curve


_CURVED, _STRAIGHT = 481, 121  # points to a piece: chords within 3e-6 of the arcs' length
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)
# Each piece in two halves, as those across the edges lie on both sides of the chord.
_GAUSS_X = np.concatenate([0.25 * (_NODES + 1.0) + half for half in (0.0, 0.5)])
_GAUSS_W = 0.25 * np.concatenate((_WEIGHTS, _WEIGHTS))


def _line(a: Floats, b: Floats, s: Floats) -> tuple[Floats, Floats]:
    return a + np.outer(s, b - a), np.broadcast_to(b - a, (len(s), 2)).copy()


def _arc(centre: Floats, rx: float, ry: float, start: float, sweep: float, s: Floats) -> tuple[Floats, Floats]:
    turn = start + sweep * s
    points = centre + np.column_stack((rx * np.cos(turn), ry * np.sin(turn)))
    # The tangent of a corner (radius 0) is the direction alone.
    ax, ay = (rx, ry) if max(rx, ry) > 0 else (1.0, 1.0)
    return points, sweep * np.column_stack((-ax * np.sin(turn), ay * np.cos(turn)))


def arc_piece(x: float, y: float, rx: float, ry: float, start: float, sweep: float) -> Piece:
    """Return a piece of an ellipse with half axes rx, ry (mm) about (x, y), from an angle over a sweep (radians).

    >>> arc_piece(0.0, 0.0, 20.0, 10.0, 0.0, math.pi / 2).curve(np.ones(1))[0].round(9).tolist()
    [[0.0, 10.0]]
    """
    kind = "corner" if max(rx, ry) <= 0 else "curve"
    return Piece(kind, partial(_arc, np.array((x, y)), rx, ry, start, sweep))


def line_piece(x0: float, y0: float, x1: float, y1: float) -> Piece:
    """Return the straight piece between two points, mm.

    >>> line_piece(0.0, 0.0, 10.0, 4.0).curve(np.array([0.25]))[0].tolist()
    [[2.5, 1.0]]
    """
    return Piece("line", partial(_line, np.array((x0, y0)), np.array((x1, y1))))


def rounded_bar(aft: float, fore: float, half: float, r_aft: float, r_fore: float) -> list[Piece]:
    """Return a bar between x = aft and fore (mm), 2 half thick, its corners rounded by r_aft and r_fore (mm).

    >>> [piece.kind for piece in rounded_bar(-50.0, 50.0, 10.0, 10.0, 10.0)]
    ['curve', 'line', 'curve', 'line']
    """
    pieces = []
    for end, way, r, other, other_r in ((fore, 1.0, r_fore, aft, r_aft), (aft, -1.0, r_aft, fore, r_fore)):
        start, x, y = (0.0 if way > 0 else math.pi), end - way * r, half - r
        if y > 1e-9:
            pieces += [line_piece(end, -way * y, end, way * y), arc_piece(x, way * y, r, r, start, math.pi / 2)]
        else:
            pieces.append(arc_piece(x, 0.0, r, r, start - math.pi / 2, math.pi))
        pieces.append(line_piece(x, way * half, other + way * other_r, way * half))
        if half - other_r > 1e-9:
            pieces.append(
                arc_piece(
                    other + way * other_r, way * (half - other_r), other_r, other_r, start + math.pi / 2, math.pi / 2
                )
            )
    return pieces


# --- what follows from a loop ---------------------------------------------------------------------------------------


def walk(loop: Sequence[Piece], n: int) -> Floats:
    """Return n points (n, 2) of a loop, from the middle of its first piece on, at even shares of its pieces.

    >>> bar = rounded_bar(-50.0, 50.0, 10.0, 10.0, 10.0)
    >>> walk(bar, 4).round(6).tolist()
    [[50.0, 0.0], [0.0, 10.0], [-50.0, 0.0], [0.0, -10.0]]
    """
    at = (0.5 + len(loop) * np.arange(n) / n) % len(loop)
    which = at.astype(int)
    out = np.empty((n, 2))
    for k, piece in enumerate(loop):
        out[which == k] = piece.curve(at[which == k] - k)[0]
    return out


def lower_half(loop: Sequence[Piece]) -> list[tuple[Floats, Floats]]:
    """Return the pieces of a loop below the chord, from the middle of its trailing to that of its leading edge.

    Of each points (m, 2) and directions of travel (m, 2), close enough together for any use; corners are left out.

    >>> aft, side, fore = lower_half(rounded_bar(-50.0, 50.0, 10.0, 10.0, 10.0))
    >>> side[0][[0, -1]].tolist()
    [[-40.0, -10.0], [40.0, -10.0]]
    """
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


class Area(NamedTuple, Generic[One]):
    """Integrals over a section: area; the centroid's x; second moments about the chord and about the centroidal axis
    across it; the plastic moduli of both; and the greatest y. Numbers or arrays of them, mm or shares of the sizes.
    """

    area: One
    centroid_x: One
    ixx: One
    iyy: One
    zxx: One
    zyy: One
    top: One


def area_of(loop: Sequence[Piece]) -> Area[float]:
    """Return the integrals over a loop that is even about its chord, by Green's theorem and Gauss's quadrature.

    >>> disc = area_of(rounded_bar(-10.0, 10.0, 10.0, 10.0, 10.0))
    >>> round(disc.area, 9), round(disc.ixx, 6), round(disc.zyy, 3)
    (314.159265359, 7853.981634, 1333.333)
    """
    rows = []
    for piece in loop:
        if piece.kind != "corner":
            points, way = piece.curve(_GAUSS_X)
            rows.append(np.hstack((points, way * _GAUSS_W[:, None])))
    x, y, dx, dy = np.vstack(rows).T
    area = float(x @ dy)
    centre = float(x * x @ dy) / (2.0 * area)
    # What lies forward of a line across the chord; the line that halves the area is sought.
    _, even = bisect(lambda at: float(np.maximum(x - at, 0.0) @ dy) > 0.5 * area, float(x.min()), float(x.max()), 50)
    return Area(
        area,
        centre,
        -float(y**3 @ dx) / 3.0,
        float((x - centre) ** 3 @ dy) / 3.0,
        -0.5 * float(y * np.abs(y) @ dx),
        0.5 * float((x - even) * np.abs(x - even) @ dy),
        float(y.max()),
    )


def closed_curve(curve: Callable[[Floats], Floats]) -> list[Piece]:
    """Return a closed smooth curve as four pieces. curve: points (n, 2) at turns (n,) of 0 to 2 pi, counter-clockwise
    from the leading edge, the trailing edge at pi; tangents are differences of it.

    >>> disc = closed_curve(lambda turn: 10.0 * np.column_stack((np.cos(turn), np.sin(turn))))
    >>> round(area_of(disc).area, 6)  # 100 pi
    314.159265
    """

    def quarter(k: int, s: Floats) -> tuple[Floats, Floats]:
        turn, step = (k - 0.5 + s) * math.pi / 2, 1e-4
        near, far = ((curve(turn + w * step) - curve(turn - w * step)) / (2.0 * w * step) for w in (1.0, 2.0))
        return curve(turn), math.pi / 2 * (4.0 * near - far) / 3.0

    return [Piece("curve", partial(quarter, k)) for k in range(4)]
