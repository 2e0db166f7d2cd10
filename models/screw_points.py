"""The kinds of point that a set screw may have: how each stands in its dimple. One row each."""

from __future__ import annotations

from typing import NamedTuple

from strutwright.models.arrays import Num
from strutwright.models.formulas.set_screws import cone_width_mm, cup_reach_mm


class PointKind(NamedTuple):
    """One kind. bare: length without thread over the screw's diameter; conical: its dimple is a cone; sharp: it fills
    that cone to the bottom, else a rim rests on the flank.
    """

    bare: float
    conical: bool = False
    sharp: bool = False

    def dimple_mm(self, depth_mm: Num, point_mm: Num) -> Num:
        """Return the width of the dimple at the shell's surface, of a point so wide.

        >>> round(float(POINTS["cone"].dimple_mm(1.5, 4.0)), 9), POINTS["dog"].dimple_mm(1.5, 4.0)
        (3.0, 4.0)
        """
        return cone_width_mm(depth_mm) if self.sharp else point_mm

    def reach_mm(self, depth_mm: Num, point_mm: Num) -> Num:
        """Return how far the point enters a dimple.

        >>> round(float(POINTS["cup"].reach_mm(2.0, 3.0)), 9), POINTS["dog"].reach_mm(2.0, 3.0)  # to its rim; whole
        (0.5, 2.0)
        """
        return cup_reach_mm(depth_mm, point_mm) if self.conical and not self.sharp else depth_mm


POINTS = {
    "flat": PointKind(0.15),
    "cone": PointKind(0.5, conical=True, sharp=True),
    "dog": PointKind(0.5),
    "cup": PointKind(0.15, conical=True),
}
"""Every kind by its name in the parameter file. The lengths without thread are common practice, no source."""
