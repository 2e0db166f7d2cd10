"""The flat: a plate with rounded edges."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.arrays import Floats, Num
from strutwright.models.geometry.loops import Area, Piece, rounded_bar
from strutwright.models.outline import Outline, rectangle, stadium
from strutwright.models.sections.kind import Edges, Girth, Section, SectionKind, with_lower

# Least-squares fit to finite-element warping solutions (second-order triangles, some 2500 to a section).
_TORSION = np.array(
    (  # powers 0 to 3 of t/c down, of 2 r/t across
        (1.0, 0.0, 0.0, 0.0),
        (-0.5834, 0.0395, 0.4927, -0.2602),
        (1.0615, -0.0739, -0.0735, -0.0918),
        (-0.4956, 0.0565, -0.1043, 0.0300),
    )
)
_TANGENTS = 4
"""Corners of a polygon round a rounded edge: they lie 2 % of its radius beyond it."""
_BETWEEN = tuple(math.pi / 2 * (k + 0.5) / _TANGENTS for k in range(_TANGENTS))
_OUT = 1.0 / math.cos(math.pi / 4 / _TANGENTS)
_TURNS = tuple((1.0 - math.cos(a), 1.0 - math.sin(a)) for a in (0.0, math.pi / 6, math.pi / 3, math.pi / 2))


class Flat(SectionKind):
    """A plate with rounded edges, half round when no edge radius is given."""

    name = "flat"
    about = "flat: plate with rounded edges"
    edges = Edges(0.5, 0.5, "half the thickness", "half the thickness: full round edges")
    flat_sides = True
    shear_factors = (0.84, 0.835)

    def loop(self, section: Section) -> list[Piece]:
        """Return edges and sides, and corners where the edges are not half round."""
        a, b, r = section.chord_mm / 2, section.thickness_mm / 2, section.edge_radius
        return rounded_bar(-a, a, b, r, r)

    def outline(self, section: Section, tolerance_mm: float) -> Outline:
        """Return it exactly."""
        c, t, r = section.chord_mm, section.thickness_mm, section.edge_radius
        return stadium(c, t) if 2.0 * r >= t else rectangle(c, t, r)

    def points(self, chord: Floats, thickness: Floats, edge: Floats | None, n: int) -> Floats:
        """Return points evenly spaced along a quarter of the boundary."""
        c, t = chord, thickness
        r = 0.5 * t if edge is None else edge
        # a quarter of the way round is half the square edge, a quarter circle, half the face
        side, bend, face = 0.5 * t - r, 0.5 * np.pi * r, 0.5 * c - r
        way = (side + bend + face) * (4.0 / n) * np.arange(n // 4 + 1)
        angle = np.clip(way - side, 0.0, bend) / np.where(r > 0.0, r, 1.0)
        x = face + r * np.cos(angle) - np.maximum(way - side - bend, 0.0)
        y = np.minimum(way, side) + r * np.sin(angle)
        quarter = np.stack(np.broadcast_arrays(x, y), axis=-1)
        back = quarter[..., ::-1, :] if n % 4 else quarter[..., -2::-1, :]
        return with_lower(np.concatenate((quarter, back * (-1.0, 1.0)), axis=-2))

    def around(self, chord: Floats, thickness: Floats, edge: Floats) -> list[tuple[Floats, Floats]]:
        """Return the ends of the chord and where tangents at even steps round the edges meet."""
        a, b = chord / 2.0, thickness / 2.0
        fore = [(a - edge + _OUT * math.cos(t) * edge, b - edge + _OUT * math.sin(t) * edge) for t in _BETWEEN]
        aft = [(-x, y) for x, y in reversed(fore)]
        return [(a, np.zeros_like(a)), *fore, *aft, (-a, np.zeros_like(a))]

    def extremes(self, chord: Num, thickness: Num, edge: Num) -> tuple[tuple[Num, Num], ...]:
        """Return places on the round of the edges, which holds every extreme."""
        upper = [(chord / 2.0 - edge * dx, thickness / 2.0 - edge * dy) for dx, dy in _TURNS]
        return (*upper, *((-x, y) for x, y in reversed(upper)))

    def perimeter_mm(self, chord: Num, thickness: Num) -> Num:
        """Return the length round it (mm) with half-round edges."""
        return 2.0 * (chord - thickness) + math.pi * thickness

    def girth(self, chord: Num, thickness: Num, edge: Num | None) -> Girth:
        """Return the line round it: sides, ends and the quarter circles of its edges. Exact."""
        r = thickness / 2.0 if edge is None else edge

        def second(full: Num, depth: Num) -> Num:
            h = depth / 2.0 - r
            arcs = 4.0 * r * (np.pi / 2.0 * h * h + 2.0 * h * r + np.pi / 4.0 * r * r)
            return (full - 2.0 * r) * depth * depth / 2.0 + 4.0 / 3.0 * h * h * h + arcs

        length = 2.0 * (chord + thickness) - (8.0 - 2.0 * np.pi) * r
        return Girth(length, 0.0, second(chord, thickness), second(thickness, chord), chord / 2.0, thickness / 2.0)

    def half_mm(self, mean: Section, x: Floats, chord: Floats, thickness: Floats, edge: Floats | None) -> Floats:
        """Return the half thickness with its own edges, which are as large as the plate is thick."""
        a, b = chord / 2, thickness / 2
        r = b if edge is None else edge
        beyond = np.maximum(np.minimum(np.abs(x), a) - (a - r), 0.0)
        return np.asarray(b - r + np.sqrt(np.maximum(r * r - beyond**2, 0.0)))

    def usual_edge_mm(self, thinnest_mm: Num) -> Num:
        """Return half the thickness."""
        return thinnest_mm / 2

    def edge_at(self, edge_mm: Num, thinnest_mm: Num, thickness_mm: Num) -> Num:
        """Return half the thickness of half-round edges, which stay so all along; another radius stays as it is."""
        half_round = np.greater_equal(edge_mm, thinnest_mm / 2 - 1e-9)
        edge: Num = np.where(half_round, thickness_mm / 2, edge_mm)[()]
        return edge

    def torsion_correction(self, t_over_c: Floats, roundness: Floats) -> Num:
        """Return the correction by thickness over chord and how round the edges are."""
        found: Num = np.polynomial.polynomial.polyval2d(t_over_c, roundness, _TORSION)
        return found

    def integrals(self, chord: Floats, thickness: Floats, edge: Floats) -> Area[Floats]:
        """Return those of a rectangle less four corner pieces, each a square of side r less its quarter disc."""
        c, t, r = chord, thickness, edge
        r2 = r * r
        gone = (1.0 - 0.25 * np.pi) * r2
        first, square = r2 * r / 6.0, (1.0 / 3.0 - np.pi / 16.0) * (r2 * r2)  # about the centre of the rounding

        def second(full: Floats, depth: Floats) -> Floats:
            h = 0.5 * depth - r
            return np.asarray(full * depth * depth * depth / 12.0 - 4.0 * (h * h * gone + 2.0 * h * first + square))

        def plastic(full: Floats, depth: Floats) -> Floats:
            return np.asarray(0.25 * full * depth**2 - 4.0 * ((0.5 * depth - r) * gone + first))

        area = c * t - 4.0 * gone
        return Area(area, np.zeros_like(c), second(c, t), second(t, c), plastic(c, t), plastic(t, c), 0.5 * t)
