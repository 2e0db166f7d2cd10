"""Task cards: there for each operation of each kind of part, one page, with the sizes of the drawings."""

from __future__ import annotations

import pytest
from sheets_support import context, table
from support import SETS, resolved

from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import Sheet, overlaps
from strutwright.exporters.files import people
from strutwright.exporters.sheets import cards, sheet_makers

LEAST_TEXT_MM = 2.5
"""ISO 3098-1: the least height of letters for a sheet that is copied is 2.5 mm."""
ONE_PAGE, NEXT = {"A4", "ANSI A"}, {"A3", "ANSI B"}
"""A card is one page; where there is too much for it, one page of the next size, never two."""


def _cards(name: str) -> dict[str, Sheet]:
    source = resolved(name)
    ctx = context(source.strut, source)
    made = {kind: maker(ctx) for kind, maker in sheet_makers(source.strut).items() if "-card" in kind}
    return {k: s for k, s in made.items() if s is not None and s.title.document_type == cards.CARD}


@pytest.mark.parametrize("name", SETS)
def test_each_operation_of_a_part_has_its_card(name: str) -> None:
    strut, kinds = resolved(name).strut, sheet_makers(resolved(name).strut)
    assert "boring-card" in kinds
    drilled = len(strut.palms) + (strut.flange is not None)
    assert sum(k.startswith("drilling-card") for k in kinds) == drilled
    assert people.takers("sheets/x-centre-09-boring-card.pdf", strut) == (people.MACHINIST,)
    assert people.takers("sheets/x-centre-10-port-palm-drilling-card.pdf", strut) == (people.MACHINIST,)


@pytest.mark.parametrize("name", ["harbour-launch", "patrol-vee-pair", "skeg-sleeve"])
def test_a_card_is_one_page_that_can_be_read(name: str) -> None:
    for kind, sheet in _cards(name).items():
        drawn = lay_out(sheet)
        assert drawn.size in ONE_PAGE | NEXT, kind
        assert name != "harbour-launch" or drawn.size in ONE_PAGE, kind
        assert overlaps(drawn) == []
        # The small heads of the fields of a title block are the standard's own.
        assert min(t.height_mm for i in drawn.items if i.owner != "sheet" for t in i.texts) >= LEAST_TEXT_MM, kind
        assert all(t.text_mm >= LEAST_TEXT_MM for t in sheet.tables)


@pytest.mark.parametrize("name", ["harbour-launch", "day-cruiser"])
def test_holes_on_the_card_are_those_of_the_drawing(name: str) -> None:
    big = {row[0]: row[1:3] for row in table(name, "palm-drilling", "holes").rows}
    found = {row[0]: row[1:3] for t in _cards(name)["drilling-card"].tables if "holes" in t.name for row in t.rows}
    assert found == big


def test_the_bore_on_the_card_keeps_the_limits_of_the_record() -> None:
    """H7 at 50 mm: 0 to +0.025 (ISO 286-2)."""
    (measured,) = (t for t in _cards("harbour-launch")["boring-card"].tables if t.name == "measured")
    gauged = [row for row, code in zip(measured.rows, measured.codes, strict=True) if code.startswith("bore1.gauged")]
    assert [(row[1], row[2]) for row in gauged] == [("50", "50.025")] * 3
