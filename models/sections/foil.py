"""The foil: the symmetrical four-digit thickness form.

Thickest 30 % of the chord aft of the leading edge, its trailing edge cut square, or with an edge radius round and
tangent to the sides. NACA Report 460 (1933) gives
y/t = 5 (0.2969 sqrt(x) - 0.1260 x - 0.3516 x^2 + 0.2843 x^3 - 0.1015 x^4), x and y in chords, which leaves the trailing
edge 2.1 % of t thick. In s = sqrt(x / chord) the half thickness is a plain polynomial.
"""

from __future__ import annotations

import math
from functools import cached_property, partial
from typing import NamedTuple

import numpy as np
from numpy.polynomial import Polynomial
from numpy.typing import ArrayLike

from strutwright.models.arrays import Floats, Num
from strutwright.models.geometry.loops import Area, Piece, arc_piece, line_piece
from strutwright.models.geometry.solve import false_position
from strutwright.models.outline import Outline, fit_arcs, join
from strutwright.models.sections.kind import Section, SectionError, with_lower
from strutwright.models.sections.thin import ThinEdged

_HALF = Polynomial((0.0, 1.4845, -0.63, 0.0, -1.758, 0.0, 1.4215, 0.0, -0.5075))  # y/t in s
_SLOPE = _HALF.deriv()
_DX, _X = Polynomial((0.0, 2.0)), Polynomial((0.0, 0.0, 1.0))  # dx/ds and x
_COEF, _SLOPE_COEF = tuple(_HALF.coef.tolist()), tuple(_SLOPE.coef.tolist())
# Least-squares fit to finite-element warping solutions (second-order triangles, some 2500 to a section).
_TORSION = Polynomial((1.0, 0.0, -0.7617, 1.0315, -0.4183))  # in t/c
# The greatest thickness, at 30 % of the chord, is among these: a foil bends across its chord most.
_PLACES = (0.0, 0.04, 0.15, 0.30, 0.49, 0.73, 1.0)
_CROWD = 1.0  # how places crowd toward the nose: a constant, so that two sizes pair equal places
_NOSE = 0.3  # of a side, by its share, that belongs to the piece across the nose


def foil_halfthickness(x_over_c: ArrayLike, t_over_c: ArrayLike) -> Floats:
    """Return the half thickness of the foil over its chord, y/c; arrays broadcast.

    x_over_c: 0 at the leading edge to 1 at the trailing edge; t_over_c: thickness over chord. Formula: see the module.

    >>> round(float(foil_halfthickness(0.3, 0.12)), 5)
    0.06002
    """
    s = np.sqrt(np.asarray(x_over_c, dtype=np.float64))
    return np.asarray(np.asarray(t_over_c, dtype=np.float64) * _HALF(s), dtype=np.float64)


class Tail(NamedTuple):
    """A foil that ends in a circle, whose centre lies on the chord, with straight lines from the sides to it.

    radius_mm: of the circle; end: the s at which the side goes over into its line; point: (x, y) at which the line goes
    over into the circle, mm.
    """

    radius_mm: float
    end: float
    point: tuple[float, float]


def _foil_tail(section: Section) -> Tail:
    """Return how a foil with an edge radius above 0 ends. Raises SectionError when it has none."""
    if section.edge_radius <= 0.0:
        raise SectionError("only a foil with an edge radius ends in a circle")
    sizes = (np.asarray(v) for v in (section.chord_mm, section.thickness_mm, section.edge_radius))
    end, x, y = _tail(*sizes)
    return Tail(section.edge_radius, float(end), (float(x), float(y)))


def _tail(c: Floats, t: Floats, r: Floats) -> tuple[Floats, Floats, Floats]:
    """Return (s at which the side's tangent touches the end circle of radius r, x and y of that touch).

    The hull of foil and circle: it has no hollow, so that a ball can roll along it. Sought between the greatest
    thickness, whose tangent passes the circle by, and the trailing edge, whose tangent cuts it; where even that
    passes it by, the whole side does.
    """
    c, t, r = np.broadcast_arrays(c, t, r)
    centre = r - 0.5 * c

    def normal(s: Floats) -> tuple[Floats, Floats, Floats]:
        dx, dy = -2.0 * c * s, t * _at(_SLOPE_COEF, s)
        size = np.hypot(dx, dy)
        over = ((c * (0.5 - s * s) - centre) * dy - t * _at(_COEF, s) * dx) / size
        return dy / size, -dx / size, over - r

    s = false_position(lambda s: -normal(s)[2], np.full(np.shape(c), 0.56), np.ones(np.shape(c)), 1e-13 * c)
    nx, ny, _ = normal(s)
    return s, centre + r * nx, r * ny


def _at(coefficients: tuple[float, ...], s: Floats) -> Floats:
    out: Floats = np.asarray(coefficients[-1])
    for a in coefficients[-2::-1]:
        out = out * s + a if a else out * s
    return out


def _upper(chord: Floats, thickness: Floats, s: Floats) -> Floats:
    """Points (..., 2) of the upper side at s = sqrt(x/c) from the leading edge."""
    return np.stack((chord * (0.5 - s * s), thickness * _HALF(s)), axis=-1)


class Foil(ThinEdged):
    """The symmetrical four-digit form; its strength is that of one with the square trailing edge."""

    name = "foil"
    about = "foil: NACA four-digit symmetrical"
    parts = ("arm", "fin")
    nose = "foil"
    scales = True
    shear_factors = (0.89, 0.74)

    @property
    def shaped(self) -> str:
        """What sections of it are."""
        return "symmetrical foils"

    def loop(self, section: Section) -> list[Piece]:
        """Return nose, sides and round tail. Raises SectionError without an edge radius."""
        tail, c = _foil_tail(section), section.chord_mm
        x, r = -c / 2 + tail.radius_mm, tail.radius_mm
        px, py = tail.point
        angle = math.atan2(py, px - x)
        sx, sy = c * (0.5 - tail.end**2), section.thickness_mm * float(_HALF(tail.end))
        side = partial(_side, c, section.thickness_mm, tail.end)
        return [
            Piece("curve", partial(side, -_NOSE, _NOSE)),
            Piece("curve", partial(side, _NOSE, 1.0)),
            line_piece(sx, sy, px, py),
            arc_piece(x, 0.0, r, r, angle, 2 * (math.pi - angle)),
            line_piece(px, -py, sx, -sy),
            Piece("curve", partial(side, -1.0, -_NOSE)),
        ]

    def outline(self, section: Section, tolerance_mm: float) -> Outline:
        """Return its sides as arcs within tolerance_mm, and its tail exactly."""
        c, t, r = section.chord_mm, section.thickness_mm, section.edge_radius
        tail = _foil_tail(section) if r > 0.0 else None
        s = np.linspace(0.0, 1.0 if tail is None else tail.end, 801)
        points = _upper(np.asarray(c), np.asarray(t), s)
        upper = fit_arcs(points, np.column_stack((-2.0 * c * s, t * _SLOPE(s))), tolerance_mm)
        if tail is None:
            return join((upper.mirror("x").reversed(), upper), closed=True)
        x, y = tail.point
        turn = math.tan(0.5 * math.atan2(y, r - 0.5 * c - x))
        px, py = points[-1]
        end = Outline(np.array(((px, py, 0.0), (x, y, turn), (x, -y, 0.0), (px, -py, 0.0))), closed=False)
        return join((upper.mirror("x").reversed(), upper, end), closed=True)

    def points(self, chord: Floats, thickness: Floats, edge: Floats | None, n: int) -> Floats:
        """Return points at even s; n + 1 of them without an edge radius, both corners of the trailing edge among them.

        With one an eighth of them lies on the tail.
        """
        c, t = chord, thickness
        if edge is None or not np.all(edge > 0.0):
            return with_lower(_upper(c, t, np.linspace(0.0, 1.0, n // 2 + 1)), open_end=True)
        k = max(n // 16, 1)
        last, x, y = _tail(c, t, edge)
        back = edge - 0.5 * c
        turn = np.pi - np.arctan2(y, back - x) * np.linspace(1.0, 0.0, k + 1)
        tail = np.stack(np.broadcast_arrays(back + edge * np.cos(turn), edge * np.sin(turn)), axis=-1)
        return with_lower(np.concatenate((_upper(c, t, last * np.linspace(0.0, 1.0, n // 2 - k)), tail), axis=-2))

    def extremes(self, chord: Num, thickness: Num, edge: Num) -> tuple[tuple[Num, Num], ...]:
        """Return places on a side, the greatest thickness among them."""
        return tuple(((0.5 - x) * chord, y * thickness) for x, y in _EXTREMES)

    def perimeter_mm(self, chord: Num, thickness: Num) -> Num:
        """Return the length round it (mm), fitted to the outline as drawn."""
        ratio = thickness / chord
        return 2.0 * chord * (1.0 + (0.12 + 0.56 * ratio) * ratio)

    def torsion_correction(self, t_over_c: Floats, roundness: Floats) -> Num:
        """Return the correction by thickness over chord."""
        return _TORSION(t_over_c)

    @cached_property
    def unit(self) -> Area[float]:
        """The integrals of polynomials over half the foil, and where it is halved and highest by Newton's method."""
        inside, first = (weight * _DX * _HALF for weight in (Polynomial((1.0,)), _X))
        area, moment, second = (p.integ()(1.0) for p in (inside, first, _X * _X * _DX * _HALF))
        x_bar = moment / area
        s_half, s_top = 0.62, 0.5477
        for _ in range(6):
            s_half -= (inside.integ()(s_half) - 0.5 * area) / inside(s_half)
            s_top -= _SLOPE(s_top) / _SLOPE.deriv()(s_top)
        return Area(
            2.0 * area,
            0.5 - x_bar,
            2.0 / 3.0 * (_DX * _HALF**3).integ()(1.0),
            2.0 * (second - x_bar * moment),
            (_DX * _HALF**2).integ()(1.0),
            2.0 * (moment - 2.0 * first.integ()(s_half)),
            _HALF(s_top),
        )


_EXTREMES = tuple((x, float(foil_halfthickness(x, 1.0))) for x in _PLACES)


def _side(c: float, t: float, end: float, start: float, stop: float, s: Floats) -> tuple[Floats, Floats]:
    """The side over a part of its shares; negative shares are those of the lower side, and 0 is the nose."""
    near = start + (stop - start) * s
    sign, stretch = np.where(near < 0.0, -1.0, 1.0), end / np.expm1(_CROWD)
    at = stretch * np.expm1(_CROWD * np.abs(near))
    way = sign * (stop - start) * stretch * _CROWD * np.exp(_CROWD * np.abs(near))
    return (
        np.column_stack((c * (0.5 - at**2), sign * t * _HALF(at))),
        way[:, None] * np.column_stack((-2 * c * at, sign * t * _SLOPE(at))),
    )
