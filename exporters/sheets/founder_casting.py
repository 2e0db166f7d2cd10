"""What the views of the founder's sheets share: the casting with its sizes at pattern scale, and how stock is drawn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strutwright.exporters.drawing.projection import Viewpoint
from strutwright.exporters.drawing.shapes import Line
from strutwright.exporters.drawing.view import View
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.plane import clipped, crossings
from strutwright.models.outline import Floats
from strutwright.models.shop import foundry
from strutwright.models.shop.split_casting import split_casting
from strutwright.models.solids.casting import PatternSet

STOCK_MM = 1.1
"""Distance of the lines that fill stock, on paper."""


class Casting:
    """What the views share. k: pattern size over part size; up: from the shaft in the plane of the arms; split: what a
    split hanger's castings have at the split."""

    def __init__(self, ctx: SheetContext, made: PatternSet) -> None:
        self.ctx, self.made = ctx, made
        self.strut, self.spec = made.strut, made.spec
        self.k = made.spec.factor
        self.cast = foundry.casting_strut(made.strut, made.spec)
        self.up = foundry.parting_axes(made.strut, "arm_plane").v
        self.half = made.strut.barrel.length_mm / 2
        self.split = split_casting(made.strut, made.spec)

    def lengthwise(self) -> Viewpoint:
        """The view in the plane of shaft and arms, forward to the right."""
        x = np.array([1.0, 0.0, 0.0])
        (a, b, c) = (float(v) for v in np.cross(x, self.up))
        return Viewpoint((a, b, c), (1.0, 0.0, 0.0))

    def core_loop(self, *, drawn: bool = False) -> Floats:
        """The core with its prints in the lengthwise view, at pattern scale; empty without one. drawn: with what the
        pattern's prints are longer by for their draft, which is no metal either."""
        if not self.spec.cored:
            return np.empty((0, 2))
        low, high = (self.k * x for x in foundry.core_ends_mm(self.strut, self.spec))
        r = self.k * self.spec.core_diameter_mm / 2
        if drawn:
            more = foundry.draft_offset_mm(r, self.spec.draft.at(self.spec.core_diameter_mm / 2))
            low, high = low - more, high + more
        flat = r if self.split is None else self.below_mm(self.split.open_mm)
        return np.array([(low, -flat), (high, -flat), (high, r), (low, r)])

    def below_mm(self, beyond_mm: float) -> float:
        """How far below the shaft line in the lengthwise view what lies so far beyond it is, at pattern scale."""
        assert self.split is not None
        return self.k * beyond_mm / -float(self.split.toward @ self.up)


def shade_stock(
    view: View, loops: Sequence[Floats], normal: Floats, off: float, reach: float, within: float | None = None
) -> None:
    """Shade what of the metal lies beyond a finished face, as far as reach, and draw that face. within: how far from
    the shaft line it lies, where only what is so near is meant."""
    if within is not None:
        for side in (1.0, -1.0):
            loops = [clipped(loop, np.array([0.0, side]), -within) for loop in loops]
    beyond = [clipped(clipped(loop, normal, off), -normal, -(off + reach)) for loop in loops]
    if any(len(b) for b in beyond):
        view.hatch([b for b in beyond if len(b)], spacing_mm=STOCK_MM, angle_deg=135.0, kind="stock")
        view.add([Line(a, b) for a, b in crossings(loops, normal, off)], "phantom")
