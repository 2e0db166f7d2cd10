"""Two equal arcs."""

from __future__ import annotations

import math

import numpy as np
from numpy.polynomial import Polynomial

from strutwright.models.arrays import Floats, Num
from strutwright.models.geometry.loops import Area, Piece, arc_piece
from strutwright.models.outline import Outline
from strutwright.models.sections.kind import Section, with_lower
from strutwright.models.sections.thin import ThinEdged

# Least-squares fit to finite-element warping solutions (second-order triangles, some 2500 to a section).
_TORSION = Polynomial((1.0, 0.0, -0.5185, 0.8424, -0.3252))  # in t/c
_SHARES = (1.0, 2.0 / 3.0, 1.0 / 3.0, 0.0)
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)


class TwoArcs(ThinEdged):
    """Two equal arcs that meet at sharp edges, or in small arcs of an edge radius, tangent to the sides.

    The chord stays over all.
    """

    name = "two_arcs"
    about = "two_arcs: two equal arcs"
    shear_factors = (0.92, 0.74)

    def loop(self, section: Section) -> list[Piece]:
        """Return two edges and two sides of one radius, tangent to each other. Raises ValueError for sharp edges."""
        edge, b = section.edge_radius, section.thickness_mm / 2
        if edge <= 0:
            raise ValueError("a loop of two arcs needs an edge radius")
        reach = section.chord_mm / 2 - edge
        radius = (reach**2 + b**2 - edge**2) / (2 * (b - edge))
        half = math.atan2(reach, radius - b)  # half the turn of a side
        tip = math.pi / 2 - half  # half the turn of an edge
        return [
            arc_piece(reach, 0.0, edge, edge, -tip, 2 * tip),
            arc_piece(0.0, b - radius, radius, radius, tip, 2 * half),
            arc_piece(-reach, 0.0, edge, edge, math.pi - tip, 2 * tip),
            arc_piece(0.0, radius - b, radius, radius, math.pi + tip, 2 * half),
        ]

    def outline(self, section: Section, tolerance_mm: float) -> Outline:
        """Return it exactly."""
        c, t, r = section.chord_mm, section.thickness_mm, section.edge_radius
        if r <= 0.0:
            return Outline(np.array(((-0.5 * c, 0.0, t / c), (0.5 * c, 0.0, t / c))))
        reach, b = 0.5 * c - r, 0.5 * t
        tip = math.atan2(_side_radius(reach, b, r) - b, reach)
        x, y = reach + r * math.cos(tip), r * math.sin(tip)
        edge, side = math.tan(0.5 * tip), math.tan(0.25 * (math.pi - 2.0 * tip))
        return Outline(np.array(((-x, -y, side), (x, -y, edge), (x, y, side), (-x, y, edge))))

    def points(self, chord: Floats, thickness: Floats, edge: Floats | None, n: int) -> Floats:
        """Return points at even turns; with rounded edges a sixteenth of them on either half of an edge."""
        c, t = chord, thickness
        if edge is None or not np.all(edge > 0.0):
            theta = 2.0 * np.arctan(t / c)
            phi = theta * np.linspace(1.0, -1.0, n // 2 + 1)
            height = 2.0 * np.sin(0.5 * (theta + phi)) * np.sin(0.5 * (theta - phi))
            return with_lower(np.stack((np.sin(phi), height), axis=-1) * (0.5 * c / np.sin(theta))[..., None])
        k = max(n // 16, 1)
        reach, b = 0.5 * c - edge, 0.5 * t
        radius = _side_radius(reach, b, edge)
        tip = np.arctan2(radius - b, reach)
        turn = tip * np.linspace(0.0, 1.0, k + 1)[:-1]
        fore = np.stack(np.broadcast_arrays(reach + edge * np.cos(turn), edge * np.sin(turn)), axis=-1)
        turn = tip + (np.pi - 2.0 * tip) * np.linspace(0.0, 1.0, n // 2 + 1 - 2 * k)
        side = np.stack((radius * np.cos(turn), b - radius + radius * np.sin(turn)), axis=-1)
        return with_lower(np.concatenate((fore, side, fore[..., ::-1, :] * (-1.0, 1.0)), axis=-2))

    def extremes(self, chord: Num, thickness: Num, edge: Num) -> tuple[tuple[Num, Num], ...]:
        """Return places on a side of sharp edges."""
        half, height = chord / 2.0, thickness / 2.0
        radius = (half * half / height + height) / 2.0
        arc = [(half * x, np.sqrt(radius * radius - (half * x) ** 2) - radius + height) for x in _SHARES]
        return (*arc, *((-x, y) for x, y in arc[:-1]))

    def perimeter_mm(self, chord: Num, thickness: Num) -> Num:
        """Return the length round two parabolas (mm), which the arcs are nearly."""
        return 2.0 * chord * (1.0 + 2.0 / 3.0 * (thickness / chord) ** 2)

    def torsion_correction(self, t_over_c: Floats, roundness: Floats) -> Num:
        """Return the correction by thickness over chord."""
        return _TORSION(t_over_c)

    def integrals(self, chord: Floats, thickness: Floats, edge: Floats) -> Area[Floats]:
        """Return those of half the chord in the arc angle, by quadrature to rounding; the edges are taken as sharp.

        The closed forms lose their digits in thin sections.
        """
        c, t = chord, thickness
        theta = 2.0 * np.arctan(t / c)
        radius = 0.5 * c / np.sin(theta)
        area = ixx = iyy = zxx = zyy = np.zeros_like(c)
        for node, weight in zip((0.5 * (_NODES + 1.0)).tolist(), (0.5 * _WEIGHTS).tolist(), strict=True):
            phi = node * theta
            x = radius * np.sin(phi)
            y = 2.0 * radius * np.sin(0.5 * (theta + phi)) * np.sin(0.5 * (theta - phi))
            dx = weight * theta * radius * np.cos(phi)
            area = area + 4.0 * y * dx
            ixx = ixx + 4.0 / 3.0 * y**3 * dx
            iyy = iyy + 4.0 * x * x * y * dx
            zxx = zxx + 2.0 * y * y * dx
            zyy = zyy + 4.0 * x * y * dx
        return Area(area, np.zeros_like(c), ixx, iyy, zxx, zyy, 0.5 * t)


def _side_radius(reach: Num, half: Num, edge: Num) -> Num:
    """Radius of a side that is tangent to edges whose middles lie at -reach and reach, and `half` high."""
    return (reach**2 + half**2 - edge**2) / (2.0 * (half - edge))
