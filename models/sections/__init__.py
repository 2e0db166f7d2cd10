"""Arm and fin sections: their outlines and their strength properties.

A section has its own frame: x along the chord with the leading edge towards +x, y across it, the origin at
mid-chord; it reaches from x = -chord/2 to x = +chord/2 and is symmetrical about the x axis. Lengths mm.

Each kind is one class in one file, known by its name; what differs from kind to kind is asked of `kind_of(name)`. A new
kind is one more file, taken in here, and its name in the parameter file's list.

`properties` takes arrays, so that a batch can be tried. It takes the edges of two_arcs and foil as sharp,
which leaves a little metal out: the rounded section holds the sharp one of its chord.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from strutwright.models.arrays import Floats, Num
from strutwright.models.sections.ellipse import Ellipse
from strutwright.models.sections.flat import Flat
from strutwright.models.sections.foil import Foil, foil_halfthickness
from strutwright.models.sections.kind import (
    Section,
    SectionError,
    SectionKind,
    SectionProperties,
    check,
    forget,
    kind_names,
    kind_of,
    register,
)
from strutwright.models.sections.plate import Plate, RoundNosed
from strutwright.models.sections.thin import MAX_EDGE_RADIUS
from strutwright.models.sections.two_arcs import TwoArcs

__all__ = [
    "MAX_EDGE_RADIUS",
    "Section",
    "SectionError",
    "SectionKind",
    "SectionProperties",
    "any_properties",
    "boundary_points",
    "foil_halfthickness",
    "forget",
    "kind_names",
    "kind_of",
    "properties",
    "register",
    "usual_kind",
]

for _kind in (Flat, Ellipse, TwoArcs, Plate, RoundNosed, Foil):
    register(_kind)


def usual_kind(*, cast: bool, fast: bool = False) -> str:
    """Return the kind of section that is proposed for an arm: a foil for a casting; a plate for a welded strut,
    profiled where the boat is too fast for a plate.

    >>> usual_kind(cast=False)
    'flat'
    """
    return Foil.name if cast else Ellipse.name if fast else Flat.name


def boundary_points(
    kind: str, chord_mm: ArrayLike, thickness_mm: ArrayLike, n: int, edge_radius_mm: ArrayLike | None = None
) -> Floats:
    """Return (..., n, 2) points of the true boundary, counter-clockwise, for stresses in two-plane bending.

    The ends of the chord are among them; the greatest thickness is met within 1 % of t for n = 40. n: even,
    8 or more; a foil or plate without edge radius gives n + 1 points, both corners of its trailing edge. The rest as in
    `properties`, but that an edge radius counts for two_arcs and foil too.

    >>> boundary_points("ellipse", 100.0, 20.0, 8).shape
    (8, 2)
    """
    if n < 8 or n % 2:
        raise TypeError(f"the number of boundary points must be even, 8 or more; {n} was given")
    c, t, r = check(kind, chord_mm, thickness_mm, edge_radius_mm)
    return kind_of(kind).points(c[..., None], t[..., None], None if r is None else r[..., None], n)


def properties(
    kind: str, chord_mm: ArrayLike, thickness_mm: ArrayLike, edge_radius_mm: ArrayLike | None = None
) -> SectionProperties:
    """Return the strength properties of one kind of section over arrays of chord and thickness.

    chord_mm, thickness_mm, edge_radius_mm (flat; None: half the thickness; two_arcs and foil are taken with sharp
    edges, on the safe side): mm, broadcast against each other; 0 < thickness <= chord. Areas, second moments and moduli
    are exact (closed forms; quadrature to rounding for two_arcs).

    Torsion constant: exact for the ellipse; else Roark's form for elongated sections, J = 4 Ixx / (1 + 16 Ixx
    / (A c^2)) (Roark's Formulas for Stress and Strain, table of torsion; from memory), times a correction
    fitted to finite-element solutions for 0.05 <= t/c <= 1. The fit is within 1 %.
    Shear factors are constants, within 8 % of finite-element values (no lateral strain) for t/c up to 0.45.
    Raises SectionError for values outside these ranges.

    >>> properties("flat", [80.0, 100.0], 40.0, 0.0).area_mm2.tolist()
    [3200.0, 4000.0]
    """
    return kind_of(kind).properties(*check(kind, chord_mm, thickness_mm, edge_radius_mm))


def any_properties(kind: str, chord_mm: Num, thickness_mm: Num, edge_radius_mm: Num | None = None) -> SectionProperties:
    """Return section properties as `properties` does, of sizes that may make no section.

    A candidate outside 0 < thickness <= chord gets figures without meaning, not an error.

    >>> float(any_properties("flat", 20.0, 40.0, 0.0).area_mm2)  # thicker than its chord: taken as 20 x 20
    400.0
    """
    return kind_of(kind).any_properties(chord_mm, thickness_mm, edge_radius_mm)
