"""The closed boundary of an arm's or fin's section as smooth pieces, for solids that run from one section to another.

Each piece is a smooth curve over a share 0 to 1 of its own; two sizes of one kind have the same pieces, so that equal
shares belong together. Section frame as in `models.sections`: x along the chord, leading edge toward +x, y across; the
pieces run counter-clockwise. Lengths mm.

A loop without corners is what a ball can roll round and what a casting has: two arcs meet in small arcs of the edge
radius, and a foil ends in one. A corner (a flat without edge radius) is a piece that stays in its point while its
tangent turns.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from strutwright.models.sections import Section, foil_tail

Floats = NDArray[np.float64]
Curve = Callable[[Floats], tuple[Floats, Floats]]  # shares (n,) -> points (n, 2), tangents (n, 2)


@dataclass(frozen=True, slots=True)
class Piece:
    """A smooth part of a loop. curve: shares (n,) to points and tangents (n, 2), mm; kind: line, curve or corner."""

    kind: str
    curve: Curve


# How the shares crowd toward a sharp nose: by constants, so that two sizes still pair equal places of their sections.
_ELLIPSE_CROWD, _FOIL_CROWD = 0.7, 1.0
_NOSE = 0.3  # of a foil's side, by its share, that belongs to the piece across its nose


def _line(a: Floats, b: Floats, s: Floats) -> tuple[Floats, Floats]:
    return a + np.outer(s, b - a), np.broadcast_to(b - a, (len(s), 2)).copy()


def _arc(centre: Floats, rx: float, ry: float, start: float, sweep: float, s: Floats) -> tuple[Floats, Floats]:
    turn = start + sweep * s
    points = centre + np.column_stack((rx * np.cos(turn), ry * np.sin(turn)))
    # The tangent of a corner (radius 0) is the direction alone.
    ax, ay = (rx, ry) if max(rx, ry) > 0 else (1.0, 1.0)
    return points, sweep * np.column_stack((-ax * np.sin(turn), ay * np.cos(turn)))


def arc_piece(x: float, y: float, rx: float, ry: float, start: float, sweep: float) -> Piece:
    """Return a piece of an ellipse with half axes rx, ry (mm) about (x, y), from an angle over a sweep (radians)."""
    kind = "corner" if max(rx, ry) <= 0 else "curve"
    return Piece(kind, partial(_arc, np.array((x, y)), rx, ry, start, sweep))


def line_piece(x0: float, y0: float, x1: float, y1: float) -> Piece:
    """Return the straight piece between two points, mm."""
    return Piece("line", partial(_line, np.array((x0, y0)), np.array((x1, y1))))


def section_loop(section: Section) -> list[Piece]:
    """Return the pieces of a section's boundary, counter-clockwise.

    The first lies across the leading edge and the middle one across the trailing edge, each half on either side of the
    chord: where a view shows the arm's outline there is then no join, over which it would not be drawn.
    """
    a, b = section.chord_mm / 2, section.thickness_mm / 2
    if section.kind == "ellipse":
        return [Piece("curve", partial(_ellipse, a, b, k - 0.5)) for k in range(4)]
    if section.kind == "flat":
        return rounded_bar(-a, a, b, section.edge_radius, section.edge_radius)
    if section.kind == "two_arcs":
        return _two_arcs(a, b, section.edge_radius)
    return _foil(section)


def _ellipse(a: float, b: float, quarter: float, s: Floats) -> tuple[Floats, Floats]:
    w = (quarter + s) * math.pi / 2
    x, y = np.cos(w), _ELLIPSE_CROWD * np.sin(w)
    size = np.hypot(x, y)
    pace = _ELLIPSE_CROWD * math.pi / 2 / size**2  # of the eccentric angle
    return np.column_stack((a * x, b * y)) / size[:, None], (pace / size)[:, None] * np.column_stack((-a * y, b * x))


def rounded_bar(aft: float, fore: float, half: float, r_aft: float, r_fore: float) -> list[Piece]:
    """Return a bar between x = aft and fore (mm), 2 half thick, its corners rounded by r_aft and r_fore (mm)."""
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


def _two_arcs(a: float, b: float, edge: float) -> list[Piece]:
    """Sides of one radius, tangent to the edge's small circle at both ends; the chord stays what was asked."""
    if edge <= 0:
        raise ValueError("a loop of two arcs needs an edge radius")
    reach = a - edge
    radius = (reach**2 + b**2 - edge**2) / (2 * (b - edge))
    half = math.atan2(reach, radius - b)  # half the turn of a side
    tip = math.pi / 2 - half  # half the turn of an edge
    return [
        arc_piece(reach, 0.0, edge, edge, -tip, 2 * tip),
        arc_piece(0.0, b - radius, radius, radius, tip, 2 * half),
        arc_piece(-reach, 0.0, edge, edge, math.pi - tip, 2 * tip),
        arc_piece(0.0, radius - b, radius, radius, math.pi + tip, 2 * half),
    ]


def _foil(section: Section) -> list[Piece]:
    tail = foil_tail(section)
    c = section.chord_mm
    x, r = -c / 2 + tail.radius_mm, tail.radius_mm

    def side(start: float, stop: float, s: Floats) -> tuple[Floats, Floats]:
        """The side over a part of its shares; negative shares are those of the lower side, and 0 is the nose."""
        near = start + (stop - start) * s
        sign, stretch = np.where(near < 0.0, -1.0, 1.0), tail.end / np.expm1(_FOIL_CROWD)
        at = stretch * np.expm1(_FOIL_CROWD * np.abs(near))
        way = sign * (stop - start) * stretch * _FOIL_CROWD * np.exp(_FOIL_CROWD * np.abs(near))
        t = section.thickness_mm
        return (
            np.column_stack((c * (0.5 - at**2), sign * t * tail.half(at))),
            way[:, None] * np.column_stack((-2 * c * at, sign * t * tail.half.deriv()(at))),
        )

    px, py = tail.point
    angle = math.atan2(py, px - x)
    sx, sy = c * (0.5 - tail.end**2), section.thickness_mm * float(tail.half(tail.end))
    return [
        Piece("curve", partial(side, -_NOSE, _NOSE)),
        Piece("curve", partial(side, _NOSE, 1.0)),
        line_piece(sx, sy, px, py),
        arc_piece(x, 0.0, r, r, angle, 2 * (math.pi - angle)),
        line_piece(px, -py, sx, -sy),
        Piece("curve", partial(side, -1.0, -_NOSE)),
    ]
