"""The plate of a fin: flat sides, a trailing edge cut square, a leading edge square or half round."""

from __future__ import annotations

from typing import ClassVar

import numpy as np

from strutwright.models.arrays import Floats, Num
from strutwright.models.geometry.loops import Area, Piece, rounded_bar
from strutwright.models.outline import Outline, polygon
from strutwright.models.sections.flat import Flat
from strutwright.models.sections.kind import Section, SectionKind, kind_of, with_lower
from strutwright.models.sections.thin import ThinEdged

_FLAT = Flat()


class Plate(ThinEdged):
    """A plate with square edges, rounded a little; its strength is that with sharp ones."""

    name = "plate"
    about = "plate"
    parts: ClassVar[tuple[str, ...]] = ("fin",)
    flat_sides = True
    shear_factors = Flat.shear_factors
    nose = "square"

    def led(self, edge: str) -> SectionKind:
        """Return the plate whose leading edge is round or square."""
        return kind_of(RoundNosed.name if edge == "round" else self.name)

    def nose_radius_mm(self, section: Section) -> float:
        """Return the radius (mm) of the leading edge's corners."""
        return section.edge_radius

    def loop(self, section: Section) -> list[Piece]:
        """Return edges, sides and the corners between them."""
        a, b = section.chord_mm / 2, section.thickness_mm / 2
        return rounded_bar(-a, a, b, section.edge_radius, self.nose_radius_mm(section))

    def outline(self, section: Section, tolerance_mm: float) -> Outline:
        """Return it exactly."""
        a, b = section.chord_mm / 2, section.thickness_mm / 2
        aft, fore = section.edge_radius, self.nose_radius_mm(section)
        return polygon(((-a, -b), (a, -b), (a, b), (-a, b)), (aft, fore, fore, aft))

    def points(self, chord: Floats, thickness: Floats, edge: Floats | None, n: int) -> Floats:
        """Return points along the leading edge and both corners of the trailing edge: n + 1 of sharp edges."""
        if edge is not None and np.any(edge > 0.0):
            return super().points(chord, thickness, edge, n)
        turn = np.linspace(0.0, np.pi / 2, n // 2)
        upper = self._fore(chord, thickness, turn), np.stack((-0.5 * chord, 0.5 * thickness), axis=-1)
        return with_lower(np.concatenate(upper, axis=-2), open_end=True)

    def _fore(self, chord: Floats, thickness: Floats, turn: Floats) -> Floats:
        """The leading edge above the chord; turn (radians): how far round it."""
        return np.stack(np.broadcast_arrays(0.5 * chord, 0.5 * thickness * np.sin(turn)), axis=-1)

    def torsion_correction(self, t_over_c: Floats, roundness: Floats) -> Num:
        """Return that of a flat."""
        return _FLAT.torsion_correction(t_over_c, roundness)

    def integrals(self, chord: Floats, thickness: Floats, edge: Floats) -> Area[Floats]:
        """Return those of a rectangle."""
        return _FLAT.integrals(chord, thickness, np.zeros_like(thickness))


class RoundNosed(Plate):
    """A plate with a half-round leading edge."""

    name = "round_nosed_plate"
    about = "plate with a half-round leading edge"
    parts = ()  # a plate with its leading edge told
    nose = "half round"

    def nose_radius_mm(self, section: Section) -> float:
        """Return half the thickness (mm)."""
        return section.thickness_mm / 2

    def _fore(self, chord: Floats, thickness: Floats, turn: Floats) -> Floats:
        a, b = 0.5 * chord, 0.5 * thickness
        return np.stack(np.broadcast_arrays(a - b + b * np.cos(turn), b * np.sin(turn)), axis=-1)

    def integrals(self, chord: Floats, thickness: Floats, edge: Floats) -> Area[Floats]:
        """Return those of a rectangle with a half disc before it."""
        t, r = thickness, thickness / 2
        long, disc = chord - r, np.pi * r * r / 2
        from_aft = long + 4.0 * r / (3.0 * np.pi)  # the middle of the half disc
        area = long * t + disc
        middle = (0.5 * long * long * t + disc * from_aft) / area
        half = 0.5 * area / t  # from the trailing edge, the line that halves the area: aft of the disc
        across = t * long * (long * long / 12.0 + (middle - 0.5 * long) ** 2)
        across += (np.pi / 8.0 - 8.0 / (9.0 * np.pi)) * r**4 + disc * (from_aft - middle) ** 2
        return Area(
            area,
            middle - 0.5 * chord,
            long * t**3 / 12.0 + np.pi * r**4 / 8.0,
            across,
            0.25 * long * t * t + 2.0 * r**3 / 3.0,
            0.5 * t * (half**2 + (long - half) ** 2) + disc * (from_aft - half),
            0.5 * t,
        )
