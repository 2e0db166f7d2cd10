"""The hull's curve under a palm, to which its hull face is made: a cylinder, or a face of second order.

Everything that asks how high a hull face lies asks `HullCurve.height_mm`, or what here follows from it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.formulas import hull_curve as law

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """How a hull face bends in one direction. turn_deg: the direction, from u toward port; crown_to_hull: it is rounded
    there, else hollow; across: square to the axis, else along it."""

    turn_deg: float
    radius_mm: float
    crown_to_hull: bool
    across: bool

    @property
    def by_square(self) -> float:
        """How high a parabola of that radius stands toward the hull, by the square of the way from its middle; 1/mm."""
        return (-0.5 if self.crown_to_hull else 0.5) / self.radius_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class HullCurve:
    """What a palm's hull face is made to. It touches the plane of the hull face in the middle of the outline's box.

    Without a radius along, a cylinder: it touches the plane along the line through the middle in the direction
    axis_deg, from u toward port. With one, a face of second order: square to that direction and along it parabolas,
    which have these radii in the middle. crown_to_hull: the face is rounded, its edges fall away from the hull; else it
    is hollow, and they rise toward the hull.
    """

    radius_mm: float
    axis_deg: float
    crown_to_hull: bool
    along_radius_mm: float | None = None
    along_crown_to_hull: bool = False

    @property
    def second_order(self) -> bool:
        """Whether it bends along the axis too."""
        return self.along_radius_mm is not None

    @property
    def ways(self) -> tuple[Bend, ...]:
        """The directions in which it bends, the one square to the axis first."""
        square, crown = self.axis_deg + 90.0, self.crown_to_hull
        one = Bend(turn_deg=square, radius_mm=self.radius_mm, crown_to_hull=crown, across=True)
        if self.along_radius_mm is None:
            return (one,)
        crown = self.along_crown_to_hull
        return (one, Bend(turn_deg=self.axis_deg, radius_mm=self.along_radius_mm, crown_to_hull=crown, across=False))

    @property
    def bends(self) -> Triple:
        """What a face of second order bends by u^2, u v and v^2, per mm; + toward the hull."""
        across, along = (*(way.by_square for way in self.ways), 0.0)[:2]
        return law.bends_of(across, along, self.axis_deg)

    def height_mm(self, u_mm: Num, v_mm: Num) -> Num:
        """Height (mm) of the face over its plane, toward the hull positive, at places from the middle; broadcasts."""
        if self.second_order:
            return law.second_order_mm(u_mm, v_mm, self.bends)
        return self._signed(law.sagitta_mm(law.off_line_mm(u_mm, v_mm, self.axis_deg), self.radius_mm))

    def range_mm(self, half_u_mm: Num, half_v_mm: Num) -> tuple[Num, Num]:
        """The least of it (0 or less) and the greatest (0 or more) over a box of which these are half the sizes."""
        if self.second_order:
            return law.range_over_box_mm(half_u_mm, half_v_mm, self.bends)
        off = law.most_off_mm(half_u_mm, half_v_mm, self.axis_deg)
        edge = self._signed(law.sagitta_mm(np.minimum(off, self.radius_mm), self.radius_mm))
        return np.minimum(edge, 0.0), np.maximum(edge, 0.0)

    def mean_mm(self, half_u_mm: Num, half_v_mm: Num, spread: tuple[Num, Num, Num]) -> Num:
        """The mean of it over an area; of a cylinder nearly. spread: mean of u^2, u v and v^2 in half sizes of the
        box."""
        uu, uv, vv = spread
        if self.second_order:
            bends = self.bends
            mean: Num = bends[0] * uu * half_u_mm * half_u_mm + bends[1] * uv * half_u_mm * half_v_mm
            return mean + bends[2] * vv * half_v_mm * half_v_mm
        turn = math.radians(self.axis_deg)
        s, c = math.sin(turn), math.cos(turn)
        square = uu * half_u_mm * half_u_mm * s * s - 2.0 * uv * half_u_mm * half_v_mm * s * c
        square = square + vv * half_v_mm * half_v_mm * c * c
        return self._signed(law.sagitta_mm(np.sqrt(square), self.radius_mm))

    def lean(self, half_u_mm: Num, half_v_mm: Num) -> Num:
        """Sine of the greatest lean of the face to its plane over the box; broadcasts."""
        if not self.second_order:
            return law.most_off_mm(half_u_mm, half_v_mm, self.axis_deg) / self.radius_mm
        uu, uv, vv = self.bends
        slope = np.maximum(
            *(np.hypot(2.0 * uu * half_u_mm + uv * v, uv * half_u_mm + 2.0 * vv * v) for v in (half_v_mm, -half_v_mm))
        )
        out: Num = slope / np.sqrt(1.0 + slope * slope)
        return out

    def _signed(self, size_mm: Num) -> Num:
        return -size_mm if self.crown_to_hull else size_mm

    def mirrored(self) -> HullCurve:
        """Return the curve of the other hand."""
        return replace(self, axis_deg=-self.axis_deg + 0.0)
