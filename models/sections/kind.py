"""What a kind of section is: one class, of which one object is kept under its name.

A kind gives the closed smooth curve of its boundary, `loop`, and from that alone it is drawn, sized, checked and built:
what is not given here in closed form is found by quadrature along the curve. A kind overrides what it knows better.
"""

from __future__ import annotations

import functools
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import ClassVar, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from strutwright.models.arrays import Floats, Num
from strutwright.models.geometry.loops import Area, Piece, area_of, lower_half, walk
from strutwright.models.outline import FIT_TOL_MM, Outline, fit_arcs, join
from strutwright.params.words import Amount, Text, Words, fine_mm, say

ROUND = 12
"""Points round a section at which stress is worked out; by symmetry half of them are enough."""
_GIRTH = 96


class SectionError(ValueError):
    """A section cannot be made as asked; the text says what was given and what is allowed."""


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


class Girth(NamedTuple):
    """The line round sections, for a weld along it: its length, where its middle lies (from mid-chord, positive
    forward), second moments about the chord and across it through that middle, and how far it reaches from there."""

    length_mm: Num
    middle_x_mm: Num
    ixx_mm3: Num
    iyy_mm3: Num
    reach_x_mm: Num
    reach_y_mm: Num


class Edges(NamedTuple):
    """How the edges of a kind are rounded. widest, plain: radius over thickness, at most, and where none is given;
    most: the widest in words; usual: in words, the radius taken where the file gives none.
    """

    widest: float
    plain: float
    most: str
    usual: Words


class SectionKind(ABC):
    """One kind of section. `loop` is all that a kind must have; the rest follows from it unless overridden.

    name: in the parameter file; about: what it is, in a few words; parts: what a file may give it to, arm or fin.
    edges: how they are rounded, None where there are none; nose: how the leading edge is, in a word. scales: every size
    is one shape drawn out along and across. thin_edges: a root's toe is not parallel to them. flat_sides: it is flat.
    shear_factors: shear area over area, force along the chord and across; the least of any kind unless the kind has its
    own.
    """

    name: ClassVar[str]
    about: ClassVar[str]
    parts: ClassVar[tuple[str, ...]] = ("arm",)
    edges: ClassVar[Edges | None] = None
    nose: ClassVar[str] = "round"
    scales: ClassVar[bool] = False
    thin_edges: ClassVar[bool] = False
    flat_sides: ClassVar[bool] = False
    shear_factors: ClassVar[tuple[float, float]] = (0.84, 0.74)

    @property
    def called(self) -> str:
        """Its name as it is read."""
        return self.name.replace("_", " ")

    @property
    def one(self) -> str:
        """Its name after the article."""
        return f"{'an' if self.called[0] in 'aeiou' else 'a'} {self.called}"

    @property
    def shaped(self) -> str:
        """What sections of it are, as it is read."""
        return f"of the shape {self.called}"

    def led(self, edge: str) -> SectionKind:
        """Return the kind with its leading edge as the file says, round or square; most have but one."""
        return self

    @property
    def broad_edges(self) -> bool:
        """Its edges are too broad to be taken as sharp anywhere."""
        return self.edges is not None and not self.thin_edges

    # ---- its curve ----------------------------------------------------------------------------------------

    @abstractmethod
    def loop(self, section: Section) -> list[Piece]:
        """Return the smooth pieces of a section's boundary, counter-clockwise.

        An even number: the first lies across the leading edge and the middle one across the trailing edge, each half on
        either side of the chord, and what lies above the chord is the mirror image of what lies below.
        """

    def outline(self, section: Section, tolerance_mm: float) -> Outline:
        """Return the boundary as lines and arcs within tolerance_mm of it, counter-clockwise."""
        lower = join([fit_arcs(points, way, tolerance_mm) for points, way in lower_half(self.loop(section))])
        return join((lower, lower.mirror("x").reversed()), closed=True)

    def points(self, chord: Floats, thickness: Floats, edge: Floats | None, n: int) -> Floats:
        """Return points (..., n, 2) of the boundary, counter-clockwise from the leading edge; sizes (..., 1), mm."""
        if self.scales:
            unit = walk(self.loop(Section(self.name, 1.0, 1.0)), n)
            return np.asarray(unit * np.stack(np.broadcast_arrays(chord, thickness), axis=-1))
        made = [walk(self.loop(s), n) for s in self._each(chord, thickness, edge)]
        return np.reshape(made, (*np.shape(chord)[:-1], n, 2))

    def around(self, chord: Floats, thickness: Floats, edge: Floats) -> list[tuple[Floats, Floats]]:
        """Return the corners (x, y), mm, of a convex polygon that holds the section: of its upper half, from the end of
        the chord at the leading edge to the one at the trailing edge. They go in proportion with the sizes. None of a
        kind of which points on the boundary have to do."""
        return []

    def _each(self, chord: Floats, thickness: Floats, edge: Floats | None) -> list[Section]:
        edge = np.zeros(()) if edge is None else edge
        rows = (np.ravel(a).tolist() for a in np.broadcast_arrays(chord, thickness, edge))
        return [Section(self.name, c, t, r if self.edges else None) for c, t, r in zip(*rows, strict=True)]

    def extremes(self, chord: Num, thickness: Num, edge: Num) -> tuple[tuple[Num, Num], ...]:
        """Return (x, y), mm from mid-chord, of the upper boundary's places at which stress is worked out; broadcasts.

        edge: radius (mm) of the edges. From the leading edge to the trailing edge.
        """
        if self.scales:
            return tuple((x * chord, y * thickness) for x, y in self._upper)
        c, t, r = np.broadcast_arrays(*(np.asarray(v, dtype=float)[..., None] for v in (chord, thickness, edge)))
        upper = self.points(c, t, r, ROUND)
        return tuple((upper[..., k, 0], upper[..., k, 1]) for k in range(ROUND // 2 + 1))

    @functools.cached_property
    def _upper(self) -> list[list[float]]:
        one = np.ones(1)
        return list(self.points(one, one, None, ROUND)[: ROUND // 2 + 1].tolist())

    def perimeter_mm(self, chord: Num, thickness: Num) -> Num:
        """Return the length round a section, mm, within 1 % for thickness up to 0.45 of the chord; broadcasts."""
        c, t = (np.asarray(v, dtype=float)[..., None] for v in (chord, thickness))
        around = self.points(c, t, None, _GIRTH)
        girth: Num = np.hypot(*np.moveaxis(np.roll(around, -1, axis=-2) - around, -1, 0)).sum(axis=-1)
        return girth

    def girth(self, chord: Num, thickness: Num, edge: Num | None) -> Girth:
        """Return the line round sections, sizes in mm, within half a per cent; broadcasts. Edges are taken as sharp."""
        slim = np.clip(thickness / chord, 0.0, 1.0)
        length, middle, ixx, iyy = (_at_share(row, slim) for row in self._girths)
        off = middle * chord
        return Girth(
            length * chord,
            off,
            ixx * chord * thickness * thickness,
            iyy * chord * chord * chord,
            chord / 2.0 + np.abs(off),
            thickness / 2.0,
        )

    @functools.cached_property
    def _girths(self) -> list[list[float]]:
        """Polynomials in thickness over chord: length over chord, middle, and second moments of the line over c t^2 and
        c^3."""
        slim = 0.51 - 0.49 * np.cos(np.pi * (np.arange(24) + 0.5) / 24)
        around = self.points(np.ones((24, 1)), slim[:, None], None, 8 * _GIRTH)
        step = np.roll(around, -1, axis=-2) - around
        x, y = np.moveaxis(around + 0.5 * step, -1, 0)
        over_x, over_y = np.moveaxis(step, -1, 0)
        each = np.hypot(over_x, over_y)
        length = each.sum(axis=-1)
        middle = (each * x).sum(axis=-1) / length
        ixx = (each * (y * y + over_y**2 / 12.0)).sum(axis=-1) / slim**2
        iyy = (each * ((x - middle[:, None]) ** 2 + over_x**2 / 12.0)).sum(axis=-1)
        rows = (length, middle, ixx, iyy)
        return [np.polynomial.Polynomial.fit(slim, row, 6).convert().coef.tolist() for row in rows]

    def half_mm(self, mean: Section, x: Floats, chord: Floats, thickness: Floats, edge: Floats | None) -> Floats:
        """Return the half thickness (n,) at x (mm from mid-chord), within the chord, of sections of a taper, each (n,).

        mean: the taper's mean section, of which small rounded edges are taken.
        """
        return np.asarray(thickness * np.interp(np.clip(x / chord, -0.5, 0.5), *_drawn_in(mean)))

    # ---- its edges ----------------------------------------------------------------------------------------

    def usual_edge_mm(self, thinnest_mm: Num) -> Num:
        """Return the radius (mm) of the edges where the file gives none; thinnest_mm: the arm's least thickness."""
        return 0.0

    def edge_range_mm(self, thinnest_mm: Num, least_mm: float) -> tuple[Num, Num]:
        """Return the least and the greatest radius (mm) of edges that can be made; least_mm: by the shop's limit."""
        most = (self.edges.widest if self.edges else 0.0) * thinnest_mm
        return np.minimum(least_mm, most), most

    def edge_at(self, edge_mm: Num, thinnest_mm: Num, thickness_mm: Num) -> Num | None:
        """Return the radius (mm) of the edges where an arm is thickness_mm thick; None for a kind without edges."""
        return None

    # ---- its metal and strength ---------------------------------------------------------------------------

    def area_and_middle(self, chord: Num, thickness: Num) -> tuple[Num, Num]:
        """Return the area (mm2) that makes the weight, and how far its centroid lies aft of the leading edge (mm).

        Broadcasts; sizes as in `any_properties`.
        """
        found = self.any_properties(chord, thickness)
        return found.area_mm2, chord / 2.0 - found.centroid_x_mm

    @functools.cached_property
    def unit(self) -> Area[float]:
        """The integrals of chord 1 and thickness 1, of a kind that scales."""
        return area_of(self.loop(Section(self.name, 1.0, 1.0)))._replace(top=0.5)

    def integrals(self, chord: Floats, thickness: Floats, edge: Floats) -> Area[Floats]:
        """Return the integrals over sections of sizes of one shape, mm, each an array of that shape."""
        c, t = chord, thickness
        if self.scales:
            u = self.unit
            return Area(
                u.area * c * t, u.centroid_x * c, u.ixx * c * t * t * t, u.iyy * t * c * c * c, u.zxx * c * t * t,
                u.zyy * t * c * c, u.top * t,
            )  # fmt: skip
        made = zip(*(area_of(self.loop(s)) for s in self._each(c, t, edge)), strict=True)
        return Area(*(np.reshape(values, c.shape) for values in made))._replace(top=0.5 * t)

    def torsion_correction(self, t_over_c: Floats, roundness: Floats) -> Num:
        """Return what Roark's torsion constant of elongated sections is multiplied by; roundness: 2 edge / thickness.

        1 unless the kind has a better one: within some 15 % for the shapes that were tried.
        """
        return 1.0

    def properties(self, chord: Floats, thickness: Floats, edge: Floats | None) -> SectionProperties:
        """Return the strength properties of sizes of one shape, mm; see `sections.properties`."""
        c, t = chord, thickness
        r = (self.edges.plain if self.edges else 0.0) * t if edge is None else edge
        area, x_bar, ixx, iyy, zxx, zyy, top = self.integrals(c, t, r)
        plain = 4.0 * ixx / (1.0 + 16.0 * ixx / (area * c * c))
        torsion = plain * self.torsion_correction(t / c, 2.0 * r / t)
        along, across = self.shear_factors
        fore, aft = iyy / (0.5 * c - x_bar), iyy / (0.5 * c + x_bar)
        zero = np.zeros_like(c)
        return SectionProperties(
            area_mm2=area,
            centroid_x_mm=zero + x_bar,
            ixx_mm4=ixx,
            iyy_mm4=iyy,
            sxx_mm3=ixx / top,
            syy_fore_mm3=fore,
            syy_aft_mm3=aft,
            zxx_mm3=zxx,
            zyy_mm3=zyy,
            j_mm4=torsion,
            half_thickness_mm=top,
            shear_factor_along=zero + along,
            shear_factor_across=zero + across,
        )

    def any_properties(self, chord: Num, thickness: Num, edge: Num | None = None) -> SectionProperties:
        """Return the strength properties of sizes that may make no section, mm; see `sections.any_properties`."""
        c, t = np.broadcast_arrays(np.asarray(chord, dtype=float), np.asarray(thickness, dtype=float))
        if self.scales:
            return self.properties(c, t, None)
        c, t = np.maximum(c, 1e-6), np.clip(t, 1e-6, np.maximum(c, 1e-6))
        if edge is None or self.edges is None:
            return self.properties(c, t, None)
        c, t, edge = np.broadcast_arrays(c, t, np.clip(edge, 0.0, self.edges.widest * t))
        return self.properties(c, t, edge)


# ---- the kinds there are ------------------------------------------------------------------------------------

_KINDS: dict[str, SectionKind] = {}


def register(kind: type[SectionKind]) -> None:
    """Take in a kind of section under its name.

    >>> class Bar(type(kind_of("flat"))): name = "thick_bar"
    >>> register(Bar); kind_of("thick_bar").called; forget("thick_bar")
    'thick bar'
    """
    _KINDS[kind.name] = kind()


def forget(name: str) -> None:
    """Take a kind out again.

    >>> class Bar(type(kind_of("flat"))): name = "bar"
    >>> register(Bar); forget("bar"); "bar" in kind_names()
    False
    """
    del _KINDS[name]


def kind_names(part: str = "arm") -> tuple[str, ...]:
    """Return the names of the kinds of section that an arm or a fin may have, in the order in which they are told.

    >>> kind_names()
    ('flat', 'ellipse', 'two_arcs', 'foil')
    """
    return tuple(name for name, kind in _KINDS.items() if part in kind.parts)


def kind_of(name: str) -> SectionKind:
    """Return the kind of section of a name. Raises LookupError when there is none.

    >>> kind_of("two_arcs").called
    'two arcs'
    """
    if name not in _KINDS:
        raise LookupError(f"section kind {name!r} is not known; use one of {', '.join(kind_names())}")
    return _KINDS[name]


def check(
    kind: str, chord: ArrayLike, thickness: ArrayLike, edge_radius: ArrayLike | None
) -> tuple[Floats, Floats, Floats | None]:
    """Return chord, thickness and edge radius (mm) as arrays of one shape. Raises SectionError for what is no section,
    LookupError for a kind that is not there.

    0 < thickness <= chord; an edge radius only where the kind has edges, up to the widest.

    >>> [float(size) for size in check("flat", 80.0, 20.0, 5.0)]
    [80.0, 20.0, 5.0]
    """
    edges = kind_of(kind).edges
    if edge_radius is not None and edges is None:
        owners = " or ".join(name for name in kind_names() if kind_of(name).edges)
        raise SectionError(f"the edge radius belongs to the {owners} section, not to {kind}; leave it out")
    c, t = np.broadcast_arrays(np.asarray(chord, dtype=np.float64), np.asarray(thickness, dtype=np.float64))
    if not np.all(np.isfinite(c) & (t > 0.0) & (t <= c)):
        raise SectionError(
            say(
                "a section needs a thickness above 0 and not above its chord; chord {chord} and "
                "thickness {thickness} were given",
                chord=_range(c),
                thickness=_range(t),
            )
        )
    if edge_radius is None or edges is None:
        return c, t, None
    r = np.asarray(edge_radius, dtype=np.float64)
    if not np.all((r >= 0.0) & (r <= edges.widest * t * (1.0 + 1e-12))):
        raise SectionError(
            say(
                "the edge radius must be 0 to {most} at thickness {thickness}; {given} was given",
                most=_range(edges.widest * t),
                thickness=_range(t),
                given=_range(r),
            )
        )
    c, t, r = np.broadcast_arrays(c, t, r)
    return c, t, r


def _range(values: Floats) -> Amount | Text:
    low, high = fine_mm(float(np.min(values))), fine_mm(float(np.max(values)))
    return low if low == high else say("{low} to {high}", low=low, high=high)


# ---- one section ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Section:
    """One section.

    kind: the name of its kind; chord_mm: over-all length, not less than thickness_mm; edge_radius_mm: of a flat, 0 to
    half the thickness, half the thickness when None; of two arcs and of a foil's trailing edge, 0 to a tenth of the
    thickness, sharp when None. Raises SectionError for anything else.

    >>> round(float(Section("ellipse", 100.0, 20.0).properties().area_mm2), 2)
    1570.8
    """

    kind: str
    chord_mm: float
    thickness_mm: float
    edge_radius_mm: float | None = None

    def __post_init__(self) -> None:
        check(self.kind, self.chord_mm, self.thickness_mm, self.edge_radius_mm)

    @property
    def edge_radius(self) -> float:
        """The edge radius in use, mm; 0 for sharp edges."""
        if self.edge_radius_mm is not None:
            return self.edge_radius_mm
        edges = kind_of(self.kind).edges
        return edges.plain * self.thickness_mm if edges else 0.0

    def properties(self) -> SectionProperties:
        """Its strength properties; each field an array without dimensions."""
        return kind_of(self.kind).properties(*check(self.kind, self.chord_mm, self.thickness_mm, self.edge_radius_mm))

    def loop(self) -> list[Piece]:
        """Its boundary as smooth pieces, counter-clockwise; see `SectionKind.loop`."""
        return kind_of(self.kind).loop(self)

    def outline(self, tolerance_mm: float = FIT_TOL_MM) -> Outline:
        """The section as a closed counter-clockwise outline of lines and arcs.

        flat and two_arcs are exact, with an edge radius too; others are chains of tangent arcs within tolerance_mm of
        the curve.

        >>> round(Section("flat", 100.0, 20.0, 0.0).outline().area_mm2(), 6)
        2000.0
        """
        return kind_of(self.kind).outline(self, tolerance_mm)


def _at_share(coefficients: list[float], share: Num) -> Num:
    made: Num = coefficients[-1]
    for a in coefficients[-2::-1]:
        made = made * share + a
    return made


@functools.lru_cache(maxsize=32)
def _drawn_in(section: Section) -> tuple[Floats, Floats]:
    """Where along the chord and how thick half a section is, as shares of both, from the trailing edge."""
    rows = np.vstack([points for points, _ in lower_half(section.loop())])
    return rows[:, 0] / section.chord_mm, -rows[:, 1] / section.thickness_mm


def with_lower(upper: Floats, open_end: bool = False) -> Floats:
    """Return points (..., m, 2) of the upper side followed by those of the lower, counter-clockwise.

    open_end: the last point lies off the chord and has a twin below it; else both ends are on the chord.

    >>> with_lower(np.array([(50.0, 0.0), (0.0, 10.0), (-50.0, 0.0)])).tolist()
    [[50.0, 0.0], [0.0, 10.0], [-50.0, 0.0], [0.0, -10.0]]
    """
    lower = upper[..., :0:-1, :] if open_end else upper[..., -2:0:-1, :]
    return np.concatenate((upper, lower * (1.0, -1.0)), axis=-2)
