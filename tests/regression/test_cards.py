"""Task cards: there for each operation of each kind of part, one page, with the sizes of the drawings."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from sheets_support import context, table
from support import SETS, resolved

from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.record_numbers import table_with_numbers
from strutwright.exporters.drawing.sheet import Sheet, Table, overlaps
from strutwright.exporters.drawing.view import View
from strutwright.exporters.files import people
from strutwright.exporters.sheets import sheet_makers
from strutwright.exporters.sheets.card_form import CARD, card, fitted, is_card, steps_table
from strutwright.exporters.sheets.record import record_rows
from strutwright.models import cautions
from strutwright.models.shop.weld_metal import joints

LEAST_TEXT_MM = 2.5
"""ISO 3098-1: the least height of letters for a sheet that is copied is 2.5 mm."""
ONE_PAGE = {"A4", "ANSI A"}
TWO_PAGES = {
    ("refit-two-bores", "boring-card"),  # two bores of two lengths each
    ("workboat-common-vee", "drilling-card"),  # a palm of 560 mm with 14 holes
    ("coaster-steel", "press-card"),
    ("shaft-log-hanger", "press-card"),
    ("workboat-common-vee", "press-card"),
    ("pilot-vee", "welding-card"),  # four joints with grooves of two sides each
    ("workboat-common-vee", "welding-card"),
    ("patrol-vee-pair", "fitting-card"),  # two palms of eight holes, and the hand
}
"""What one page does not hold in any form."""


@cache
def _made(name: str) -> dict[str, Sheet]:
    source = resolved(name)
    ctx = context(source.strut, source)
    made = {kind: maker(ctx) for kind, maker in sheet_makers(source.strut).items() if "-card" in kind}
    return {k: s for k, s in made.items() if s is not None}


def _cards(name: str) -> dict[str, Sheet]:
    return {k: s for k, s in _made(name).items() if s.title.document_type == CARD}


def _table(name: str, kind: str, called: str) -> Table:
    return next(t for t in _made(name)[kind].tables if t.name == called)


@pytest.mark.parametrize("name", SETS)
def test_each_operation_of_a_part_has_its_card(name: str) -> None:
    strut, made = resolved(name).strut, _made(name)
    assert {"boring-card", "bearing-card", "fitting-card"} <= made.keys()
    drilled = len(strut.palms) + (strut.flange is not None)
    assert sum(k.startswith("drilling-card") for k in made) == drilled
    assert ("screws-card" in made) == bool(strut.set_screws)
    assert ("welding-card" in made) == (strut.construction == "welded")
    assert "press" in made["bearing-card"].title.title or strut.barrel.fit != "press"


def test_a_card_is_for_the_one_who_does_the_work() -> None:
    strut = resolved("canal-tender").strut
    for kind, takers in (
        ("boring-card", (people.MACHINIST,)),
        ("port-palm-drilling-card", (people.MACHINIST,)),
        ("screws-card", (people.MACHINIST,)),
        ("welding-card", (people.FABRICATOR,)),
        ("bearing-card", (people.MACHINIST, people.YARD)),
        ("fitting-card", (people.YARD,)),
    ):
        assert people.takers(f"sheets/x-centre-09-{kind}.pdf", strut) == takers


@pytest.mark.parametrize("name", SETS)
def test_a_card_is_one_page_that_can_be_read(name: str) -> None:
    for kind, made in _made(name).items():
        ctx = context(resolved(name).strut, resolved(name))
        numbers = {row.code: k for k, row in enumerate(record_rows(ctx), 1)}
        made = replace(made, tables=[table_with_numbers(t, numbers) for t in made.tables])
        pages = fitted(made)
        assert len(pages) == 1 or (len(pages) == 2 and (name, kind) in TWO_PAGES), kind
        for page in pages:
            drawn = lay_out(page)
            assert drawn.size in ONE_PAGE, kind
            assert overlaps(drawn) == []
            # The small heads of the fields of a title block are the standard's own.
            heights = [t.height_mm for i in drawn.items if i.owner != "sheet" for t in i.texts]
            assert min(heights, default=LEAST_TEXT_MM) >= LEAST_TEXT_MM, kind
            assert all(t.text_mm >= LEAST_TEXT_MM for t in page.tables)
            assert drawn.title.remark.endswith("Do not scale.")


@pytest.mark.parametrize("name", ["coastal-pair", "patrol-vee-pair", "tube-end-pair"])
def test_a_card_of_a_pair_says_of_which_hand_it_is(name: str) -> None:
    for kind, made in _cards(name).items():
        assert any(note.startswith(("Hand: PORT", "Hand: port")) for note in made.notes), kind
        assert "PORT HAND" in made.banner or "PORT" in made.banner, kind


@pytest.mark.parametrize("name", ["canal-tender", "harbour-launch", "skeg-sleeve", "tunnel-hanger", "shoal-ketch"])
def test_cautions_stand_where_they_bite(name: str) -> None:
    strut, made = resolved(name).strut, _cards(name)
    assert any("under the boat" in c.casefold() for c in made["fitting-card"].cautions)
    assert any("Losing the" in c for c in made["fitting-card"].cautions)
    if strut.barrel.fit == "press":
        assert cautions.PRESS in made["bearing-card"].cautions
    if "welding-card" in made and cautions.family_of(strut) in cautions.CHROMIUM:
        assert any("hexavalent chromium" in c for c in made["welding-card"].cautions)
        assert cautions.PICKLING in made["welding-card"].cautions


@pytest.mark.parametrize("name", ["harbour-launch", "day-cruiser"])
def test_holes_on_the_card_are_those_of_the_drawing(name: str) -> None:
    big = {row[0]: row[1:3] for row in table(name, "palm-drilling", "holes").rows}
    assert {row[0]: row[1:3] for row in _table(name, "drilling-card", "holes").rows} == big


def test_the_bore_on_the_card_keeps_the_limits_of_the_record() -> None:
    """H7 at 50 mm: 0 to +0.025 (ISO 286-2)."""
    measured = _table("harbour-launch", "boring-card", "measured")
    gauged = [row for row, code in zip(measured.rows, measured.codes, strict=True) if code.startswith("bore1.gauged")]
    assert [(row[1], row[2]) for row in gauged] == [("50", "50.025")] * 3


def test_a_bolt_that_is_tried_is_flush_or_below() -> None:
    (row,) = (r for r in _table("harbour-launch", "drilling-card", "measured").rows if "flush" in r[0])
    assert row[1:3] == ("flush", "or below")


@pytest.mark.parametrize("name", SETS)
def test_every_step_of_drilling_but_marking_has_its_tool(name: str) -> None:
    for kind, made in _cards(name).items():
        if kind.startswith("drilling-card"):
            (steps,) = (t for t in made.tables if t.name == "steps")
            assert all(row[2] for row in steps.rows), (kind, steps.rows)


def test_screws_are_those_of_the_drawing_with_the_class_of_their_thread() -> None:
    """M8: pitch 1.25 and tap drill 6.8 mm (ISO 2306); 6H and 2B are the usual classes of a tapped hole (ISO 965-1, ASME
    B1.1; from memory)."""
    rows = _table("harbour-launch", "screws-card", "screws").rows
    assert [(r[0], r[1], r[2], r[3]) for r in rows] == [("1", "35", "35 aft", "90.0°"), ("2", "105", "35 fwd", "90.0°")]
    steps = " ".join(r[1].replace("\n", " ") for r in _table("harbour-launch", "screws-card", "steps").rows)
    assert "M8x1.25-6H" in steps
    assert "Ø6.8 for M8x1.25" in steps
    inch = " ".join(r[1].replace("\n", " ") for r in _table("day-cruiser", "screws-card", "steps").rows)
    assert "1/4-20 UNC-2B" in inch


@pytest.mark.parametrize("name", [n for n in SETS if resolved(n).strut.construction == "welded"])
def test_the_welder_finds_every_joint_by_its_number(name: str) -> None:
    marks = [j.mark for j in joints(resolved(name).strut).values()]
    made = _made(name)["welding-card"]
    assert [row[0] for row in _table(name, "welding-card", "welds").rows] == marks
    shown = {i.texts[0].text for page in fitted(made) for i in lay_out(page).items if i.name.startswith("balloon W")}
    assert shown == set(marks)


# --- a card that fits no paper --------------------------------------------------------------------------------------


def _too_much(rows: int, wide_mm: float = 0.0) -> Sheet:
    source = resolved("harbour-launch")
    ctx = context(source.strut, source)
    view = View("plate", "free", "PLATE")
    view.add_outline([(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)])
    sizes = (("w" * 30, "1"),) * rows
    wide = Table(name="sizes", title="SIZES", columns=("what", "size"), rows=sizes, row_mm=4.2, least_mm=(wide_mm,))
    steps = steps_table([("do it", "a tool")])
    return card(ctx, "Work", [view], tables=[steps, wide], notes=["A note."], warned=["Mind."], extent_mm=100.0)


@pytest.mark.parametrize(
    ("rows", "wide_mm", "pages", "views"), [(5, 0.0, 1, 1), (60, 0.0, 1, 1), (30, 300.0, 1, 1), (900, 0.0, 1, 0)]
)
def test_a_card_that_fits_no_page_takes_another_and_never_fails(
    rows: int, wide_mm: float, pages: int, views: int
) -> None:
    made = _too_much(rows, wide_mm)
    assert is_card(made)
    found = fitted(made)
    assert len(found) in (pages, pages + 1)
    drawn = [lay_out(page) for page in found]
    assert sum(len(page.views) for page in found) == views
    assert drawn[0].size in ONE_PAGE or wide_mm > 0.0
    # Steps and cautions are never left off.
    assert any(t.name == "steps" for page in found for t in page.tables)
    assert any(page.cautions for page in found)
