"""Arm and skeg sections: their outlines and their strength properties.

A section has its own frame: x along the chord with the leading edge towards +x, y across it, the origin at
mid-chord; it reaches from x = -chord/2 to x = +chord/2 and is symmetrical about the x axis. Lengths mm.

Kinds
- flat: a plate with rounded edges, half round when no edge radius is given
- ellipse
- two_arcs: two equal arcs that meet at sharp edges, or with an edge radius in small arcs of it, tangent to the sides;
  the chord stays over all
- foil: the symmetrical four-digit thickness form, thickest 30 % of the chord aft of the leading edge, its
  trailing edge cut square, or with an edge radius round and tangent to the sides. NACA Report 460 (1933) gives
  y/t = 5 (0.2969 sqrt(x) - 0.1260 x - 0.3516 x^2 + 0.2843 x^3 - 0.1015 x^4), x and y in chords, which leaves
  the trailing edge 2.1 % of t thick. Another edge is had by the last coefficient alone: 0.1036 closes it, and
  0.1036 - e/10 makes it e t thick. The greatest thickness then differs from t by at most 0.01 t e.

`properties` takes arrays; it has closed forms throughout, so that very many candidates can be tried. It takes the edges
of two_arcs and foil as sharp, which leaves a little metal out: the rounded section holds the sharp one of its chord.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias, get_args

import numpy as np
from numpy.polynomial import Polynomial
from numpy.typing import ArrayLike, NDArray

from strutwright.models.outline import FIT_TOL_MM, Outline, fit_arcs, join, oval, rectangle, stadium
from strutwright.params.words import Amount, Text, fine_mm, number, say

Floats: TypeAlias = NDArray[np.float64]
Kind: TypeAlias = Literal["flat", "ellipse", "two_arcs", "foil"]
KINDS: tuple[Kind, ...] = get_args(Kind)

OPEN_TRAILING_EDGE = 0.021  # trailing edge over thickness with the published coefficients
MAX_EDGE_RADIUS = 0.1  # of the thickness, for the edges of two arcs and the trailing edge of a foil
USUAL_EDGE_MM = 2.0  # of those edges, as a casting or a ground plate has them; common practice, no source
LEAST_EDGE_MM = 0.5  # less is a knife edge, which no casting fills and no weld goes round
MAX_TRAILING_EDGE = 0.25  # beyond this the foil is no longer near its greatest thickness at 30 %


class SectionError(ValueError):
    """A section cannot be made as asked; the text says what was given and what is allowed."""


# ---- the foil in s = sqrt(x / chord): there its half thickness is a plain polynomial -----------------------

_CLOSED = Polynomial((0.0, 1.4845, -0.63, 0.0, -1.758, 0.0, 1.4215, 0.0, -0.518))  # y/t, e = 0
_WEDGE = Polynomial((0.0,) * 8 + (0.5,))  # d(y/t)/de
_DX = Polynomial((0.0, 2.0))  # dx/ds
_X = Polynomial((0.0, 0.0, 1.0))


def usual_edge_mm(thinnest_mm: float) -> float:
    """Return the radius (mm) of the edges of two arcs and of a foil's tail where the file gives none.

    thinnest_mm: the arm's least thickness.
    """
    return min(USUAL_EDGE_MM, MAX_EDGE_RADIUS * thinnest_mm)


def _in_e(*factors_in_e: tuple[Polynomial, Polynomial], weight: Polynomial) -> tuple[Polynomial, ...]:
    """Coefficients in e of the integral from 0 of weight * product of (p + e q) dx, polynomials in s."""
    terms = [weight * _DX]
    for p, q in factors_in_e:
        grown = [Polynomial((0.0,))] * (len(terms) + 1)
        for k, term in enumerate(terms):
            grown[k] = grown[k] + term * p
            grown[k + 1] = grown[k + 1] + term * q
        terms = grown
    return tuple(term.integ() for term in terms)


_F = (_CLOSED, _WEDGE)
_ONE = Polynomial((1.0,))
_INT_F = _in_e(_F, weight=_ONE)
_INT_XF = _in_e(_F, weight=_X)
_INT_XXF = _in_e(_F, weight=_X * _X)
_INT_FF = _in_e(_F, _F, weight=_ONE)
_INT_FFF = _in_e(_F, _F, _F, weight=_ONE)


def _sum(terms: tuple[Polynomial, ...], e: Floats, s: Floats | float = 1.0) -> Floats:
    total = np.zeros(np.broadcast_shapes(e.shape, np.shape(s)))
    for k, term in enumerate(terms):
        total = total + e**k * np.asarray(term(s), dtype=np.float64)
    return total


def foil_halfthickness(
    x_over_c: ArrayLike, t_over_c: ArrayLike, trailing_edge_over_t: ArrayLike = OPEN_TRAILING_EDGE
) -> Floats:
    """Half thickness of the foil over its chord, y/c.

    x_over_c: 0 at the leading edge to 1 at the trailing edge; t_over_c: thickness over chord;
    trailing_edge_over_t: 0 closed, 0.021 as published, up to 0.25. Arrays broadcast. Formula: see the module.
    """
    s = np.sqrt(np.asarray(x_over_c, dtype=np.float64))
    e = np.asarray(trailing_edge_over_t, dtype=np.float64)
    return np.asarray(np.asarray(t_over_c, dtype=np.float64) * (_CLOSED(s) + e * _WEDGE(s)), dtype=np.float64)


# ---- one section ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Section:
    """One section.

    kind: flat, ellipse, two_arcs or foil; chord_mm: over-all length, not less than thickness_mm;
    edge_radius_mm: of a flat, 0 to half the thickness, half the thickness when None; of two arcs and of a foil's
    trailing edge, 0 to a tenth of the thickness, sharp when None; trailing_edge_mm: thickness of a foil's square
    trailing edge, 0 to a quarter of the thickness, 2.1 % of it when None.
    Raises SectionError for anything else.
    """

    kind: Kind
    chord_mm: float
    thickness_mm: float
    edge_radius_mm: float | None = None
    trailing_edge_mm: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise SectionError(f"section kind {self.kind!r} is not known; use one of {', '.join(KINDS)}")
        if not (math.isfinite(self.chord_mm) and 0.0 < self.thickness_mm <= self.chord_mm):
            raise SectionError(
                say(
                    "a section needs a thickness above 0 and not above its chord; chord {chord} and "
                    "thickness {thickness} were given",
                    chord=fine_mm(self.chord_mm),
                    thickness=fine_mm(self.thickness_mm),
                )
            )
        widest = 0.5 if self.kind == "flat" else MAX_EDGE_RADIUS
        for name, value, kinds, most in (
            ("edge radius", self.edge_radius_mm, ("flat", "two_arcs", "foil"), widest * self.thickness_mm),
            ("trailing edge", self.trailing_edge_mm, ("foil",), MAX_TRAILING_EDGE * self.thickness_mm),
        ):
            if value is None:
                continue
            if self.kind not in kinds:
                raise SectionError(
                    f"the {name} belongs to the {' or '.join(kinds)} section, not to {self.kind}; leave it out"
                )
            if not 0.0 <= value <= most * (1.0 + 1e-12):
                raise SectionError(
                    say(
                        "the {name} must be 0 to {most} at thickness {thickness}; {given} was given",
                        name=name,
                        most=fine_mm(most),
                        thickness=fine_mm(self.thickness_mm),
                        given=fine_mm(value),
                    )
                )

    @property
    def edge_radius(self) -> float:
        """The edge radius in use, mm; 0 for sharp edges."""
        if self.edge_radius_mm is not None:
            return self.edge_radius_mm
        return 0.5 * self.thickness_mm if self.kind == "flat" else 0.0

    @property
    def trailing_edge_over_t(self) -> float:
        """The trailing edge in use over the thickness (foil)."""
        if self.trailing_edge_mm is None:
            return OPEN_TRAILING_EDGE
        return self.trailing_edge_mm / self.thickness_mm

    def properties(self) -> SectionProperties:
        """Its strength properties; each field an array without dimensions."""
        return properties(self.kind, self.chord_mm, self.thickness_mm, self.edge_radius_mm, self.trailing_edge_mm)


class Tail(NamedTuple):
    """A foil that ends in a circle, whose centre lies on the chord, with straight lines from the sides to it.

    radius_mm: of the circle; half: half thickness over t, a polynomial in s = sqrt(x/c); end: the s at which the side
    goes over into its line; point: (x, y) at which the line goes over into the circle, mm.
    """

    radius_mm: float
    half: Polynomial
    end: float
    point: tuple[float, float]


def foil_tail(section: Section) -> Tail:
    """Return how a foil with an edge radius above 0 ends. Raises SectionError when it has none."""
    if section.kind != "foil" or section.edge_radius <= 0.0:
        raise SectionError("only a foil with an edge radius ends in a circle")
    end, x, y = _tail(
        np.asarray(section.chord_mm),
        np.asarray(section.thickness_mm),
        np.asarray(section.edge_radius),
        np.asarray(section.trailing_edge_over_t),
    )
    return Tail(section.edge_radius, _CLOSED + section.trailing_edge_over_t * _WEDGE, float(end), (float(x), float(y)))


def _tail(c: Floats, t: Floats, r: Floats, e: Floats) -> tuple[Floats, Floats, Floats]:
    """Return (s at which the side's tangent touches the end circle of radius r, x and y of that touch).

    The hull of foil and circle: it has no hollow, so that a ball can roll along it. Sought between the greatest
    thickness, whose tangent passes the circle by, and the trailing edge, whose tangent cuts it, by false position
    with the kept end's value halved (Illinois; Dowell and Jarratt, BIT 11, 1971, from memory).
    """
    c, t, r, e = np.broadcast_arrays(c, t, r, e)
    centre = r - 0.5 * c

    def normal(s: Floats) -> tuple[Floats, Floats, Floats]:
        dx, dy = -2.0 * c * s, t * (_at(_CLOSED_SLOPE, s) + e * 4.0 * s**7)
        size = np.hypot(dx, dy)
        over = ((c * (0.5 - s * s) - centre) * dy - t * (_at(_CLOSED_COEF, s) + e * 0.5 * s**8) * dx) / size
        return dy / size, -dx / size, over - r

    low, high = np.full(np.shape(c), 0.56), np.ones(np.shape(c))
    past_low, past_high = normal(low)[2], normal(high)[2]
    s, kept = high, np.zeros(np.shape(c), dtype=int)
    for _ in range(100):
        s = np.clip(
            (low * past_high - high * past_low) / np.where(past_high == past_low, 1.0, past_high - past_low), low, high
        )
        s = np.where(past_high > 0.0, 1.0, s)  # the whole side passes by
        nx, ny, here = normal(s)
        if np.all((np.abs(here) <= 1e-13 * c) | (high - low <= 1e-15) | (past_high > 0.0)):
            break
        past = here > 0.0
        past_high = np.where(past, np.where(kept > 0, 0.5, 1.0) * past_high, here)
        past_low = np.where(past, here, np.where(kept < 0, 0.5, 1.0) * past_low)
        low, high, kept = np.where(past, s, low), np.where(past, high, s), np.where(past, 1, -1)
    return s, centre + r * nx, r * ny


_CLOSED_COEF, _CLOSED_SLOPE = tuple(_CLOSED.coef.tolist()), tuple(_CLOSED.deriv().coef.tolist())


def _at(coefficients: tuple[float, ...], s: Floats) -> Floats:
    out: Floats = np.asarray(coefficients[-1])
    for a in coefficients[-2::-1]:
        out = out * s + a if a else out * s
    return out


def _foil_upper(chord: Floats, thickness: Floats, e: Floats, s: Floats) -> Floats:
    """Points (..., 2) of the upper side at s = sqrt(x/c) from the leading edge."""
    return np.stack((chord * (0.5 - s * s), thickness * (_CLOSED(s) + e * _WEDGE(s))), axis=-1)


def outline(section: Section, tolerance_mm: float = FIT_TOL_MM) -> Outline:
    """The section as a closed counter-clockwise outline of lines and arcs.

    flat and two_arcs are exact, with an edge radius too; ellipse and foil are chains of tangent arcs within
    tolerance_mm of the curve.
    """
    c, t = section.chord_mm, section.thickness_mm
    if section.kind == "flat":
        r = section.edge_radius
        return stadium(c, t) if 2.0 * r >= t else rectangle(c, t, r)
    if section.kind == "ellipse":
        return oval(c, t, tolerance_mm)
    r = section.edge_radius
    if section.kind == "two_arcs" and r > 0.0:
        _, tip, x, y = _rounded_arcs(c, t, r)
        edge, side = math.tan(0.5 * tip), math.tan(0.25 * (math.pi - 2.0 * tip))
        return Outline(np.array(((-x, -y, side), (x, -y, edge), (x, y, side), (-x, y, edge))))
    if section.kind == "two_arcs":
        return Outline(np.array(((-0.5 * c, 0.0, t / c), (0.5 * c, 0.0, t / c))))
    e = section.trailing_edge_over_t
    tail = foil_tail(section) if r > 0.0 else None
    s = np.linspace(0.0, 1.0 if tail is None else tail.end, 801)
    points = _foil_upper(np.asarray(c), np.asarray(t), np.asarray(e), s)
    tangents = np.column_stack((-2.0 * c * s, t * (_CLOSED + e * _WEDGE).deriv()(s)))
    upper = fit_arcs(points, tangents, tolerance_mm)
    if tail is not None:
        x, y = tail.point
        turn = math.tan(0.5 * math.atan2(y, r - 0.5 * c - x))
        px, py = points[-1]
        end = Outline(np.array(((px, py, 0.0), (x, y, turn), (x, -y, 0.0), (px, -py, 0.0))), closed=False)
        return join((upper.mirror("x").reversed(), upper, end), closed=True)
    return join((upper.mirror("x").reversed(), upper), closed=True)


def _rounded_arcs(c: float, t: float, r: float) -> tuple[float, float, float, float]:
    """Return (side radius, half the turn of an edge, x, y of the tangent point) of two arcs with rounded edges."""
    reach, b = 0.5 * c - r, 0.5 * t
    radius = (reach**2 + b**2 - r**2) / (2.0 * (b - r))
    tip = math.atan2(radius - b, reach)
    return radius, tip, reach + r * math.cos(tip), r * math.sin(tip)


def outline_points(section: Section, n: int) -> Floats:
    """(n, 2) points of the true boundary of one section (n + 1 of a foil): see boundary_points."""
    return boundary_points(
        section.kind, section.chord_mm, section.thickness_mm, n, section.edge_radius_mm, section.trailing_edge_mm
    )


def boundary_points(
    kind: Kind,
    chord_mm: ArrayLike,
    thickness_mm: ArrayLike,
    n: int,
    edge_radius_mm: ArrayLike | None = None,
    trailing_edge_mm: ArrayLike | None = None,
) -> Floats:
    """(..., n, 2) points of the true boundary, counter-clockwise, for stresses in two-plane bending.

    The ends of the chord are among them; the greatest thickness is met within 1 % of t for n = 40. n: even,
    8 or more; a foil without edge radius gives n + 1 points, both corners of its trailing edge. The rest as in
    `properties`, but that an edge radius counts for two_arcs and foil too.
    """
    if n < 8 or n % 2:
        raise SectionError(f"the number of boundary points must be even, 8 or more; {n} was given")
    checked = _checked(kind, chord_mm, thickness_mm, edge_radius_mm, trailing_edge_mm)
    c, t, r, e = (v[..., None] for v in checked)
    if kind == "ellipse":
        a = 2.0 * np.pi * np.arange(n) / n
        return np.stack((0.5 * c * np.cos(a), 0.5 * t * np.sin(a)), axis=-1)
    if kind == "flat":
        # a quarter of the way round is half the square edge, a quarter circle, half the face
        side, bend, face = 0.5 * t - r, 0.5 * np.pi * r, 0.5 * c - r
        way = (side + bend + face) * (4.0 / n) * np.arange(n // 4 + 1)
        angle = np.clip(way - side, 0.0, bend) / np.where(r > 0.0, r, 1.0)
        x = face + r * np.cos(angle) - np.maximum(way - side - bend, 0.0)
        y = np.minimum(way, side) + r * np.sin(angle)
        quarter = np.stack(np.broadcast_arrays(x, y), axis=-1)
        if n % 4:
            flipped = quarter[..., ::-1, :] * (-1.0, 1.0)
            upper = np.concatenate((quarter, flipped), axis=-2)
        else:
            upper = np.concatenate((quarter, quarter[..., -2::-1, :] * (-1.0, 1.0)), axis=-2)
    elif kind in ("two_arcs", "foil") and edge_radius_mm is not None and np.all(r > 0.0):
        return _rounded_points(kind, c, t, r, e, n)
    elif kind == "two_arcs":
        theta = 2.0 * np.arctan(t / c)
        phi = theta * np.linspace(1.0, -1.0, n // 2 + 1)
        height = 2.0 * np.sin(0.5 * (theta + phi)) * np.sin(0.5 * (theta - phi))
        upper = np.stack((np.sin(phi), height), axis=-1) * (0.5 * c / np.sin(theta))[..., None]
    else:
        upper = _foil_upper(c, t, e, np.linspace(0.0, 1.0, n // 2 + 1))
        return np.concatenate((upper, upper[..., :0:-1, :] * (1.0, -1.0)), axis=-2)
    return np.concatenate((upper, upper[..., -2:0:-1, :] * (1.0, -1.0)), axis=-2)


def _rounded_points(kind: Kind, c: Floats, t: Floats, r: Floats, e: Floats, n: int) -> Floats:
    """Boundary points of two arcs or a foil with rounded edges, an eighth of them on the edge or edges."""
    k = max(n // 16, 1)
    if kind == "foil":
        last, x, y = _tail(c, t, r, e)
        upper = _foil_upper(c, t, e, last * np.linspace(0.0, 1.0, n // 2 - k))
        back = r - 0.5 * c
        turn = np.pi - np.arctan2(y, back - x) * np.linspace(1.0, 0.0, k + 1)
        tail = np.stack(np.broadcast_arrays(back + r * np.cos(turn), r * np.sin(turn)), axis=-1)
        upper = np.concatenate((upper, tail), axis=-2)
        return np.concatenate((upper, upper[..., -2:0:-1, :] * (1.0, -1.0)), axis=-2)
    reach, b = 0.5 * c - r, 0.5 * t
    radius = (reach**2 + b**2 - r**2) / (2.0 * (b - r))
    tip = np.arctan2(radius - b, reach)
    turn = tip * np.linspace(0.0, 1.0, k + 1)[:-1]
    fore = np.stack(np.broadcast_arrays(reach + r * np.cos(turn), r * np.sin(turn)), axis=-1)
    turn = tip + (np.pi - 2.0 * tip) * np.linspace(0.0, 1.0, n // 2 + 1 - 2 * k)
    side = np.stack((radius * np.cos(turn), b - radius + radius * np.sin(turn)), axis=-1)
    upper = np.concatenate((fore, side, fore[..., ::-1, :] * (-1.0, 1.0)), axis=-2)
    return np.concatenate((upper, upper[..., -2:0:-1, :] * (1.0, -1.0)), axis=-2)


# ---- the sides of a foil for the solid --------------------------------------------------------------------


class SplineSide(NamedTuple):
    """A B-spline curve: poles (n, 2) mm, distinct knots with their multiplicities, not rational."""

    poles: Floats
    degree: int
    knots: tuple[float, ...]
    multiplicities: tuple[int, ...]


def foil_bspline_sides(section: Section) -> tuple[SplineSide, SplineSide]:
    """Upper and lower side of a foil section, each from the leading to the trailing edge as one B-spline.

    In the square root of the chord position the form is a polynomial of degree 8, so the curve is exact: one
    span, nine poles, upright at the leading edge. Every foil has the same knots, and its poles are those of
    the unit foil stretched, so a ruled surface between two sections pairs equal chord positions.
    Raises SectionError for another kind of section.
    """
    if section.kind != "foil":
        raise SectionError(f"only a foil section has spline sides; {section.kind} was given")
    n = 8
    c, t = section.chord_mm, section.thickness_mm
    powers = np.zeros((n + 1, 2))
    powers[0, 0], powers[2, 0] = 0.5 * c, -c
    powers[:, 1] = t * np.asarray((_CLOSED + section.trailing_edge_over_t * _WEDGE).coef, dtype=np.float64)
    to_poles = np.array([[math.comb(i, k) / math.comb(n, k) for k in range(n + 1)] for i in range(n + 1)])
    poles = to_poles @ powers
    ends = (0.0, 1.0), (n + 1, n + 1)
    return SplineSide(poles, n, *ends), SplineSide(poles * (1.0, -1.0), n, *ends)


# ---- strength properties ----------------------------------------------------------------------------------


class SectionProperties(NamedTuple):
    """Properties of sections, each field an array of the broadcast shape of what was asked.

    xx: about the chord (x axis), for loads across it; yy: about the centroidal axis across the chord, for
    loads along it. Moduli are at the real extreme fibres.
    """

    area_mm2: Floats
    centroid_x_mm: Floats  # from mid-chord, positive forward
    ixx_mm4: Floats
    iyy_mm4: Floats
    sxx_mm3: Floats
    syy_fore_mm3: Floats  # at the leading edge
    syy_aft_mm3: Floats  # at the trailing edge
    zxx_mm3: Floats  # plastic moduli
    zyy_mm3: Floats
    j_mm4: Floats  # torsion constant
    half_thickness_mm: Floats  # greatest y
    shear_factor_along: Floats  # shear area over area, force along the chord
    shear_factor_across: Floats  # the same, force across the chord


def _checked(
    kind: Kind, chord: ArrayLike, thickness: ArrayLike, edge_radius: ArrayLike | None, trailing_edge: ArrayLike | None
) -> tuple[Floats, Floats, Floats, Floats]:
    """chord, thickness, edge radius, trailing edge over thickness, of one shape and within range."""
    if kind not in KINDS:
        raise SectionError(f"section kind {kind!r} is not known; use one of {', '.join(KINDS)}")
    for name, given, owners in (
        ("edge radius", edge_radius, ("flat", "two_arcs", "foil")),
        ("trailing edge", trailing_edge, ("foil",)),
    ):
        if given is not None and kind not in owners:
            raise SectionError(f"the {name} belongs to the {' or '.join(owners)} section, not to {kind}; leave it out")
    c, t = np.asarray(chord, dtype=np.float64), np.asarray(thickness, dtype=np.float64)
    if not np.all(np.isfinite(c) & (t > 0.0) & (t <= c)):
        raise SectionError(
            say(
                "a section needs a thickness above 0 and not above its chord; chord {chord} and "
                "thickness {thickness} were given",
                chord=_range(c),
                thickness=_range(t),
            )
        )
    r = 0.5 * t if edge_radius is None else np.asarray(edge_radius, dtype=np.float64)
    e = (
        np.full_like(t, OPEN_TRAILING_EDGE)
        if trailing_edge is None
        else np.asarray(trailing_edge, dtype=np.float64) / t
    )
    if not np.all((r >= 0.0) & (r <= 0.5 * t * (1.0 + 1e-12))):
        raise SectionError(
            say(
                "the edge radius must be 0 to half the thickness; {given} was given at thickness {thickness}",
                given=_range(r),
                thickness=_range(t),
            )
        )
    if not np.all((e >= 0.0) & (e <= MAX_TRAILING_EDGE * (1.0 + 1e-12))):
        raise SectionError(
            say(
                "the trailing edge must be 0 to {most} of the thickness; {given} was given at thickness {thickness}",
                most=number(MAX_TRAILING_EDGE),
                given=_range(e * t),
                thickness=_range(t),
            )
        )
    c, t, r, e = np.broadcast_arrays(c, t, r, e)
    return c, t, r, e


def _range(values: Floats) -> Amount | Text:
    low, high = fine_mm(float(np.min(values))), fine_mm(float(np.max(values)))
    return low if low == high else say("{low} to {high}", low=low, high=high)


def properties(
    kind: Kind,
    chord_mm: ArrayLike,
    thickness_mm: ArrayLike,
    edge_radius_mm: ArrayLike | None = None,
    trailing_edge_mm: ArrayLike | None = None,
) -> SectionProperties:
    """Strength properties of one kind of section over arrays of chord and thickness.

    chord_mm, thickness_mm, edge_radius_mm (flat; None: half the thickness; two_arcs and foil are taken with sharp
    edges, on the safe side), trailing_edge_mm (foil; None: 2.1 % of the thickness): mm, broadcast against each other;
    0 < thickness <= chord. Areas, second moments and moduli are exact (closed forms; quadrature to rounding for
    two_arcs).

    Torsion constant: exact for the ellipse; else Roark's form for elongated sections, J = 4 Ixx / (1 + 16 Ixx
    / (A c^2)) (Roark's Formulas for Stress and Strain, table of torsion; from memory), times a correction
    fitted to finite-element solutions for 0.05 <= t/c <= 1. The fit is within 1 % (foil with a trailing edge
    of 0.1 t or more: up to 1.5 %, on the low side).
    Shear factors are constants, within 8 % of finite-element values (no lateral strain) for t/c up to 0.45.
    Raises SectionError for values outside these ranges.
    """
    c, t, r, e = _checked(kind, chord_mm, thickness_mm, edge_radius_mm, trailing_edge_mm)
    zero = np.zeros_like(c)
    top, x_bar = 0.5 * t, zero
    if kind == "flat":
        area, ixx, iyy, zxx, zyy = _flat(c, t, r)
    elif kind == "ellipse":
        area, ixx, iyy = 0.25 * np.pi * c * t, np.pi / 64.0 * c * t**3, np.pi / 64.0 * t * c**3
        zxx, zyy = c * t * t / 6.0, t * c * c / 6.0
    elif kind == "two_arcs":
        area, ixx, iyy, zxx, zyy = _two_arcs(c, t)
    else:
        area, ixx, iyy, zxx, zyy, x_bar, top = _foil(c, t, e)
    plain = 4.0 * ixx / (1.0 + 16.0 * ixx / (area * c * c))
    along, across = _SHEAR[kind]
    torsion = plain * _torsion_correction(kind, t / c, 2.0 * r / t)
    fore, aft = iyy / (0.5 * c - x_bar), iyy / (0.5 * c + x_bar)
    return SectionProperties(
        area, x_bar, ixx, iyy, ixx / top, fore, aft, zxx, zyy, torsion, top, zero + along, zero + across
    )


_SHEAR: dict[Kind, tuple[float, float]] = {  # along, across the chord
    "flat": (0.84, 0.835),
    "ellipse": (0.90, 0.77),
    "two_arcs": (0.92, 0.74),
    "foil": (0.89, 0.74),
}

# Least-squares fits to finite-element warping solutions (second-order triangles, some 2500 to a section).
_FOIL_TORSION = Polynomial((1.0, 0.0, -0.7617, 1.0315, -0.4183))  # in t/c
_TWO_ARCS_TORSION = Polynomial((1.0, 0.0, -0.5185, 0.8424, -0.3252))  # in t/c
_FLAT_TORSION = np.array(
    (  # powers 0 to 3 of t/c down, of 2 r/t across
        (1.0, 0.0, 0.0, 0.0),
        (-0.5834, 0.0395, 0.4927, -0.2602),
        (1.0615, -0.0739, -0.0735, -0.0918),
        (-0.4956, 0.0565, -0.1043, 0.0300),
    )
)


def _torsion_correction(kind: Kind, t_over_c: Floats, roundness: Floats) -> Floats:
    if kind == "flat":
        return np.asarray(np.polynomial.polynomial.polyval2d(t_over_c, roundness, _FLAT_TORSION))
    if kind == "ellipse":
        return np.ones_like(t_over_c)
    return np.asarray((_FOIL_TORSION if kind == "foil" else _TWO_ARCS_TORSION)(t_over_c))


def _flat(c: Floats, t: Floats, r: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """A rectangle less four corner pieces, each a square of side r less its quarter disc."""
    gone = (1.0 - 0.25 * np.pi) * r * r
    first, square = r**3 / 6.0, (1.0 / 3.0 - np.pi / 16.0) * r**4  # about the centre of the rounding

    def second(full: Floats, depth: Floats) -> Floats:
        h = 0.5 * depth - r
        return np.asarray(full * depth**3 / 12.0 - 4.0 * (h * h * gone + 2.0 * h * first + square))

    def plastic(full: Floats, depth: Floats) -> Floats:
        return np.asarray(0.25 * full * depth**2 - 4.0 * ((0.5 * depth - r) * gone + first))

    return c * t - 4.0 * gone, second(c, t), second(t, c), plastic(c, t), plastic(t, c)


_LENS_X, _LENS_W = np.polynomial.legendre.leggauss(12)


def _two_arcs(c: Floats, t: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Half the chord in the arc angle, by quadrature: the closed forms lose their digits in thin sections."""
    theta = 2.0 * np.arctan(t / c)
    radius = 0.5 * c / np.sin(theta)
    area = ixx = iyy = zxx = zyy = np.zeros_like(c)
    for node, weight in zip((0.5 * (_LENS_X + 1.0)).tolist(), (0.5 * _LENS_W).tolist(), strict=True):
        phi = node * theta
        x = radius * np.sin(phi)
        y = 2.0 * radius * np.sin(0.5 * (theta + phi)) * np.sin(0.5 * (theta - phi))
        dx = weight * theta * radius * np.cos(phi)
        area = area + 4.0 * y * dx
        ixx = ixx + 4.0 / 3.0 * y**3 * dx
        iyy = iyy + 4.0 * x * x * y * dx
        zxx = zxx + 2.0 * y * y * dx
        zyy = zyy + 4.0 * x * y * dx
    return area, ixx, iyy, zxx, zyy


def _foil(c: Floats, t: Floats, e: Floats) -> tuple[Floats, ...]:
    """area, ixx, iyy, zxx, zyy, centroid from mid-chord, greatest half thickness; all polynomials."""
    f, xf = _sum(_INT_F, e), _sum(_INT_XF, e)
    x_bar = xf / f
    ixx = 2.0 / 3.0 * c * t**3 * _sum(_INT_FFF, e)
    iyy = 2.0 * t * c**3 * (_sum(_INT_XXF, e) - x_bar * xf)
    # where the area is halved, and where the side is highest: Newton from the published form's own values
    s_half = np.full_like(e, 0.62)
    s_top = np.full_like(e, 0.5477)
    slope, bend = _CLOSED.deriv(), _CLOSED.deriv(2)
    wedge_slope, wedge_bend = _WEDGE.deriv(), _WEDGE.deriv(2)
    for _ in range(6):
        s_half = s_half - (_sum(_INT_F, e, s_half) - 0.5 * f) / (2.0 * s_half * (_CLOSED(s_half) + e * _WEDGE(s_half)))
        s_top = s_top - (slope(s_top) + e * wedge_slope(s_top)) / (bend(s_top) + e * wedge_bend(s_top))
    zyy = 2.0 * t * c * c * (xf - 2.0 * _sum(_INT_XF, e, s_half))
    top = t * (_CLOSED(s_top) + e * _WEDGE(s_top))
    return (2.0 * c * t * f, ixx, iyy, c * t * t * _sum(_INT_FF, e), zyy, c * (0.5 - x_bar), top)
