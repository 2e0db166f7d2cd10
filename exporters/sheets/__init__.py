"""The sheets of a strut. Each maker returns a Sheet, or None when the strut has no such part."""
from __future__ import annotations

from collections.abc import Callable

from strutwright.exporters.drawing.sheet import Sheet
from strutwright.exporters.sheets.context import SheetContext

Maker = Callable[[SheetContext, int, int], Sheet | None]

__all__ = ["Maker", "SheetContext", "sheet_makers"]


def sheet_makers() -> dict[str, Maker]:
    """Return the makers by file name, in the order of the set; each takes (context, sheet number, sheets)."""
    from strutwright.exporters.sheets import arrangement, barrel
    return {
        "general-arrangement": arrangement.general_arrangement,
        "barrel-machining": barrel.barrel_machining,
        "set-screws": barrel.set_screw_layout,
        "inspection-record": barrel.inspection_record,
    }
