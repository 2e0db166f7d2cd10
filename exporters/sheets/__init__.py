"""The sheets of a strut. Each maker returns a Sheet, or None when the strut has no such part."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from strutwright.exporters.drawing.sheet import Sheet
from strutwright.exporters.sheets.context import SheetContext

Maker = Callable[[SheetContext, int, int], Sheet | None]

__all__ = ["Maker", "SheetContext", "sheet_makers"]


def sheet_makers() -> dict[str, Maker]:
    """Return the makers by file name, in the order of the set; each takes (context, sheet number, sheets)."""
    from strutwright.exporters.sheets import arm, arrangement, barrel, palm, skeg, weld

    return {
        "general-arrangement": arrangement.general_arrangement,
        "barrel-machining": barrel.barrel_machining,
        "set-screws": barrel.set_screw_layout,
        "palm-drilling": palm.palm_drilling,
        "palm-drilling-2": partial(palm.palm_drilling, index=1),
        "arm": arm.arm_sheet,
        "arm-2": partial(arm.arm_sheet, index=1),
        "skeg": skeg.skeg_sheet,
        "weld-assembly": weld.weld_assembly,
        "press-card": weld.press_card,
        "press-card-2": partial(weld.press_card, index=1),
        "inspection-record": barrel.inspection_record,
    }
