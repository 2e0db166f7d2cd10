"""The sheets of a strut. Each maker returns a Sheet, or None when the strut has no such part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from strutwright.exporters.drawing.sheet import Sheet
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models.spec import Strut

__all__ = ["Maker", "SheetContext", "sheet_makers"]


@dataclass(frozen=True, slots=True)
class Maker:
    """How a sheet is made. kind: its name without a number; blame: the parameter to blame when the kernel is lost over
    it; part: the palm or arm that it shows, else nothing.
    """

    kind: str
    make: Callable[[SheetContext], Sheet | None]
    blame: str
    part: str = ""

    def __call__(self, ctx: SheetContext) -> Sheet | None:
        """Return the sheet, or None when the strut has no such part."""
        return self.make(ctx)


def sheet_makers(strut: Strut) -> dict[str, Maker]:
    """Return the makers of a strut's sheets by file name, in the order of the set; of the second palm or arm the name
    ends in "-2", and so on."""
    from strutwright.exporters.sheets import (
        arm,
        arrangement,
        barrel,
        card_bearing,
        card_boat,
        card_weld,
        cards,
        fabrication,
        hanger,
        palm,
        press,
        record,
        screws,
        skeg,
        weld,
    )

    if strut.let_in is not None:
        return {maker.kind: maker for maker in _of_let_in()}
    if strut.flange is not None:
        return {maker.kind: maker for maker in _of_flange()}
    arms, palms = list(enumerate(a.name for a in strut.arms)), list(enumerate(p.name for p in strut.palms))
    split = [] if strut.hanger is None else [Maker("split-and-cap", hanger.split_sheet, "cap")]
    makers = [
        Maker("general-arrangement", arrangement.general_arrangement, "arms.root_fillet"),
        Maker("barrel-machining", barrel.barrel_machining, "barrel.bore"),
        *split,
        Maker("set-screws", screws.set_screw_layout, "set_screws.positions"),
        *(Maker("palm-drilling", partial(palm.palm_drilling, index=k), "bolts.pattern", name) for k, name in palms),
        *(Maker("arm", partial(arm.arm_sheet, index=k), "arms.section.chord", name) for k, name in arms),
        Maker("skeg", skeg.skeg_sheet, "skeg.tip_chord"),
        Maker("cut-list-and-jig", fabrication.fabrication, "welds.beads"),
        Maker("weld-assembly", weld.weld_assembly, "welds.beads"),
        Maker("welding-card", card_weld.welding_card, "welds.beads"),
        *(Maker("press-card", partial(press.press_card, index=k), "bearing.shell", name) for k, name in arms),
        Maker("boring-card", cards.boring_card, "barrel.bore"),
        *(Maker("drilling-card", partial(cards.drilling_card, index=k), "bolts.pattern", name) for k, name in palms),
        Maker("screws-card", card_bearing.screws_card, "set_screws.positions"),
        Maker("bearing-card", card_bearing.bearing_card, "barrel.bore"),
        Maker("fitting-card", card_boat.fitting_card, "bolts.pattern"),
        Maker("inspection-record", record.inspection_record, "barrel.bore"),
    ]
    named: dict[str, Maker] = {}
    for maker in makers:
        count = sum(m.kind == maker.kind for m in named.values())
        named[f"{maker.kind}-{count + 1}" if count else maker.kind] = maker
    return named


def _of_flange() -> list[Maker]:
    """The makers of a flanged housing's sheets."""
    from strutwright.exporters.sheets import (
        barrel,
        card_bearing,
        card_boat,
        card_weld,
        cards,
        flange,
        flange_weld,
        record,
        screws,
    )

    return [
        Maker("general-arrangement", flange.arrangement, "flange.outline"),
        Maker("barrel-machining", barrel.barrel_machining, "barrel.bore"),
        Maker("flange-drilling", flange.flange_drilling, "bolts.pattern"),
        Maker("weld-assembly", flange_weld.weld_assembly, "flange.weld_leg"),
        Maker("set-screws", screws.set_screw_layout, "set_screws.positions"),
        Maker("welding-card", card_weld.welding_card, "flange.weld_leg"),
        Maker("boring-card", cards.boring_card, "barrel.bore"),
        Maker("drilling-card", cards.flange_card, "bolts.pattern"),
        Maker("screws-card", card_bearing.screws_card, "set_screws.positions"),
        Maker("bearing-card", card_bearing.bearing_card, "barrel.bore"),
        Maker("fitting-card", card_boat.fitting_card, "bolts.pattern"),
        Maker("inspection-record", record.inspection_record, "barrel.bore"),
    ]


def _of_let_in() -> list[Maker]:
    """The makers of a let-in housing's sheets."""
    from strutwright.exporters.sheets import barrel, card_bearing, card_boat, cards, let_in, record, screws

    return [
        Maker("general-arrangement", let_in.arrangement, "barrel.outside_diameter"),
        Maker("barrel-machining", barrel.barrel_machining, "barrel.bore"),
        Maker("structure-boring", let_in.structure_boring, "structure.depth"),
        Maker("set-screws", screws.set_screw_layout, "set_screws.positions"),
        Maker("boring-card", cards.boring_card, "barrel.bore"),
        Maker("screws-card", card_bearing.screws_card, "set_screws.positions"),
        Maker("bearing-card", card_bearing.bearing_card, "barrel.bore"),
        Maker("fitting-card", card_boat.let_in_card, "structure.depth"),
        Maker("inspection-record", record.inspection_record, "barrel.bore"),
    ]
