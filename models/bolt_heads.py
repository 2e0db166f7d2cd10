"""The kinds of head that a bolt may have: what is cut for it in the palm, where it bears, its name. One row each."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from strutwright.models.arrays import Num
from strutwright.params import schema, tables


class HeadSizes(NamedTuple):
    """What a head needs of the palm, as the fields of `models.spec.Bolt` are: mm, degrees."""

    head_standard: str
    head_diameter_mm: float
    head_angle_deg: float
    head_depth_mm: float
    driver_diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadKind:
    """One kind. called: the bolt by its head; recess: what is cut for it in the water face, empty for nothing; conical:
    whether head and recess are cones, the head flush; washed: whether it stands on a washer of its own.

    book: the table of its sizes, in words; from_table(size, standard, hole_mm, sunk_mm): the sizes by it, sunk so far
    below flush, raises NotInTable; standards: the usual ones of metric and of inch sizes, where several can be had.
    """

    called: str
    book: str
    from_table: Callable[[str, str | None, float, float], HeadSizes]
    recess: str = ""
    conical: bool = False
    washed: bool = False
    standards: tuple[str, str] | None = None

    @property
    def measured_from(self) -> str:
        """Whether a bolt is as long as it is "over" or "under" its head."""
        return "over" if self.conical else "under"

    def holds(self, size: str, standard: str | None = None) -> bool:
        """Return whether the tables hold this head for a size of bolt.

        >>> HEADS["countersunk"].holds("M24"), HEADS["counterbored"].holds("M24")
        (False, True)
        """
        try:
            self.from_table(size, standard, 0.0, 0.0)
        except tables.NotInTable:
            return False
        return True

    def bears_mm(self, depth_mm: Num) -> Num:
        """Return how far (mm) below the water face the head bears: on the floor of its recess, a cone from the rim on.

        >>> HEADS["counterbored"].bears_mm(12.5)
        12.5
        """
        return depth_mm if self.recess and not self.conical else 0.0

    def lost_mm(self, depth_mm: Num) -> Num:
        """Return how much (mm) of the plate's thickness does not bear on the shank: half of a cone (EN 1993-1-8 Table
        3.4); a cap-screw head stands clear in its hole.

        >>> HEADS["countersunk"].lost_mm(5.0)
        2.5
        """
        return depth_mm * (0.5 if self.conical else 1.0)

    def wall(self, hole_mm: Num, head_mm: Num, angle_deg: Num, depth_mm: Num) -> list[tuple[Num, Num]]:
        """Return (depth below the water face, radius) in mm along the wall of the recess, from the hole to the face.

        >>> HEADS["counterbored"].wall(9.0, 14.0, 0.0, 8.5), HEADS["plain"].wall(9.0, 9.0, 0.0, 0.0)
        ([(8.5, 4.5), (8.5, 7.0), (0.0, 7.0)], [])
        """
        hole, head = hole_mm / 2, head_mm / 2
        if not self.recess:
            return []
        if self.conical:
            return [((head - hole) / np.tan(np.radians(angle_deg) / 2), hole), (0.0, head)]
        return [(depth_mm, hole), (depth_mm, head), (0.0, head)]


def cone(
    standard: str, sharp_mm: float, angle_deg: float, hole_mm: float, sunk_mm: float, holder_mm: float = 0.0
) -> HeadSizes:
    """Return the sizes of a conical head. sharp_mm: its rim drawn out; holder_mm: of the tool that turns it.

    >>> round(cone("", 20.0, 90.0, 11.0, 0.5).head_depth_mm, 3)  # (20 + 2 x 0.5 - 11) / 2
    5.0
    """
    slope = math.tan(math.radians(angle_deg / 2))
    diameter = sharp_mm + 2 * sunk_mm * slope
    return HeadSizes(standard, diameter, angle_deg, (diameter - hole_mm) / 2 / slope, max(holder_mm, diameter))


def bore(standard: str, wide_mm: float, height_mm: float, sunk_mm: float) -> HeadSizes:
    """Return the sizes of a head that stands in a bore.

    >>> bore("", 15.0, 8.0, 0.5).head_depth_mm
    8.5
    """
    return HeadSizes(standard, wide_mm, 0.0, height_mm + sunk_mm, wide_mm)


def _countersunk(size: str, standard: str | None, hole_mm: float, sunk_mm: float) -> HeadSizes:
    head = tables.countersunk_head(size, standard)
    try:
        holder = tables.tool_outside_mm("hex key driver", head.key_mm) if head.key_mm else 0.0
    except tables.NotInTable:
        holder = 0.0  # larger keys than the table's have heads wider than their holders
    return cone(standard or head.standard, head.sharp_diameter_mm, head.angle_deg, hole_mm, sunk_mm, holder)


def _counterbored(size: str, standard: str | None, hole_mm: float, sunk_mm: float) -> HeadSizes:
    head = tables.counterbore_head(size, standard)
    width = head.counterbore_diameter_mm or head.sharp_diameter_mm + 1.0
    return bore(head.standard, width, head.height_mm, sunk_mm)


def _hexagon(size: str, standard: str | None, hole_mm: float, sunk_mm: float) -> HeadSizes:
    nut = tables.nut_and_washer(size)
    tool = max(tables.tool_outside_mm("socket", nut.head_across_flats_mm), nut.washer_outside_mm)
    return HeadSizes(nut.standards["head"], hole_mm, 0.0, 0.0, tool)


HEADS = {
    "countersunk": HeadKind(
        called="countersunk bolt",
        book="countersunk heads",
        from_table=_countersunk,
        recess="countersink",
        conical=True,
        standards=("ISO 10642", "ASME B18.3"),
    ),
    "counterbored": HeadKind(
        called="cylinder-head bolt", book="cap-screw heads", from_table=_counterbored, recess="counterbore"
    ),
    "plain": HeadKind(called="hexagon bolt", book="nuts and washers", from_table=_hexagon, washed=True),
}
"""Every kind by its name in the parameter file; those that lie in the palm before those that stand on it."""
USUAL: str = schema.Bolts.model_fields["kind"].default
"""The kind of a file that says none."""
