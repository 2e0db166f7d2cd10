"""The ellipse."""

from __future__ import annotations

import math
from functools import cached_property, partial

import numpy as np

from strutwright.models.arrays import Floats, Num
from strutwright.models.geometry.loops import Area, Piece
from strutwright.models.outline import Outline, oval
from strutwright.models.sections.kind import Section, SectionKind

_CROWD = 0.7  # how places crowd toward the sharp ends: a constant, so that two sizes pair equal places


class Ellipse(SectionKind):
    """An ellipse; all of it in closed form."""

    name = "ellipse"
    about = "ellipse"
    scales = True
    shear_factors = (0.90, 0.77)

    def loop(self, section: Section) -> list[Piece]:
        """Return its quarters, each across an end of an axis."""
        a, b = section.chord_mm / 2, section.thickness_mm / 2
        return [Piece("curve", partial(_quarter, a, b, k - 0.5)) for k in range(4)]

    def outline(self, section: Section, tolerance_mm: float) -> Outline:
        """Return it as arcs within tolerance_mm."""
        return oval(section.chord_mm, section.thickness_mm, tolerance_mm)

    def points(self, chord: Floats, thickness: Floats, edge: Floats | None, n: int) -> Floats:
        """Return points at even eccentric angles."""
        a = 2.0 * np.pi * np.arange(n) / n
        return np.stack((0.5 * chord * np.cos(a), 0.5 * thickness * np.sin(a)), axis=-1)

    @cached_property
    def unit(self) -> Area[float]:
        """Return pi a b, pi a b^3 / 4 and plastic moduli 4 a b^2 / 3, with a = b = 1/2."""
        return Area(0.25 * np.pi, 0.0, np.pi / 64.0, np.pi / 64.0, 1.0 / 6.0, 1.0 / 6.0, 0.5)

    def perimeter_mm(self, chord: Num, thickness: Num) -> Num:
        """Return the length round it (mm), Ramanujan's first approximation."""
        a, b = chord / 2.0, thickness / 2.0
        return math.pi * (3.0 * (a + b) - np.sqrt((3.0 * a + b) * (a + 3.0 * b)))


def _quarter(a: float, b: float, quarter: float, s: Floats) -> tuple[Floats, Floats]:
    w = (quarter + s) * math.pi / 2
    x, y = np.cos(w), _CROWD * np.sin(w)
    size = np.hypot(x, y)
    pace = _CROWD * math.pi / 2 / size**2  # of the eccentric angle
    return np.column_stack((a * x, b * y)) / size[:, None], (pace / size)[:, None] * np.column_stack((-a * y, b * x))
