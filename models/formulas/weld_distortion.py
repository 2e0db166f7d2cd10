"""What welding does to a palm: its edges are pulled up, the arm shrinks."""

from __future__ import annotations

from strutwright.models.arrays import Num
from strutwright.params.quantity import INCH_MM


def weld_pull_up_mm(flange_width_mm: Num, leg_mm: Num, thickness_mm: Num) -> Num:
    """Rise of a plate's edges over its width from a pair of fillets, mm.

    0.02 W w^1.3 / t^2 in inches turned to mm; 25.4^0.7 comes of the 1.3 power. Handbook of welded structures, from
    memory; mild steel, thickness 1/4 to 1 in. Stainless and bronze pull about half as much again (low confidence).

    >>> round(weld_pull_up_mm(101.6, 6.35, 12.7) / 25.4, 4)  # 4 in, 1/4 in, 1/2 in
    0.0528
    """
    rise: Num = 0.02 * INCH_MM**0.7 * flange_width_mm * leg_mm**1.3 / thickness_mm**2
    return rise


def weld_shrinkage_mm(weld_area_mm2: Num, thickness_mm: Num) -> Num:
    """Shrinkage across a butt weld, mm: 0.10 A_w / t. Handbook of welded structures, from memory.

    >>> weld_shrinkage_mm(64.0, 16.0)
    0.4
    """
    return 0.10 * weld_area_mm2 / thickness_mm
