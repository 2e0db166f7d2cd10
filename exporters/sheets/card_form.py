"""The form of a task card: one page with the steps and sizes of one piece of work, and how it is got on its page."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Sequence
from dataclasses import replace

from strutwright.exporters.bench.paper import broken
from strutwright.exporters.drawing import blocks
from strutwright.exporters.drawing.layout import Made, size_of_paper
from strutwright.exporters.drawing.parted import behind
from strutwright.exporters.drawing.sheet import JOINED, SIZES_MM, Sheet, Table
from strutwright.exporters.drawing.view import SCALES, View
from strutwright.exporters.sheets import common
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models.bench.inspection import Row

HOLD = " (HOLD)"
"""Behind a step at which the work stops until it is signed."""
CARD, PRESS_CARD = "Task card", "Press card"
"""Kinds of document that are cards."""
ROW_MM, BLANK_MM = 4.2, 5.0
"""Rows of a card's tables, and of those that are filled in."""
LEAST_TEXT_MM = 2.5
_CLOSE_MM, _CLOSEST_MM = 0.5, 0.3
"""Rows of a card that is full are lower by the first, and then by the other too."""
_BANNER_MM = 4.5
"""Letters of its banner."""
_LONG = 6
"""A table with more rows than these may stand in two parts beside each other."""
_VIEW_MM, _LARGER = 90.0, 1.7
"""How large a view is that is the main thing of its card, and by how much it may be larger."""
_WIDE_MM, _TOOL_MM = 118.0, 33.0
"""Of a step and its tools on the paper."""
_SIDES_MM = 43.0
"""What border, margins and the gap between two tables take of a page's width."""
_ARMS_LENGTH_MM, _NEAR_MM = 5.0, 3.5
"""Letters that are read at arm's length, and those that are read near by."""
Step = tuple[str, str]
"""What is done, and what with."""


def card(
    ctx: SheetContext,
    title: str,
    views: list[View],
    *,
    tables: Sequence[Table],
    notes: Sequence[str],
    warned: Sequence[str],
    extent_mm: float = 0.0,
    least_mm: float = 20.0,
    view_mm: float = _VIEW_MM,
    part: str | None = None,
    beside: bool = False,
    step_mm: float = 0.0,
) -> Sheet:
    """Return a card. extent_mm: of what its views show, which is least_mm to view_mm on paper; part: as of a sheet;
    beside: whether its first view too stands right of its tables where it can; step_mm: width of a step's words, where
    it is not as wide as its page.

    It has the words of its own work alone, and those on the hand of a part that has one.
    """
    larger = sorted(k for k in SCALES if _VIEW_MM <= view_mm < extent_mm * k <= _LARGER * view_mm)
    for k, view in enumerate(views):
        view.corner = "top right" if k or beside else "top left"
    sided = ctx.strut.identity.hand != "centre" or len(ctx.strut.arms) > 1
    told = [*notes, *([common.hand_words(ctx.strut)] if sided else [])]
    sheet = ctx.sheet(
        title,
        CARD,
        views,
        tables=[t for t in tables if t.rows],
        notes=told,
        cautions=warned,
        part=part,
        # A view whose numbers stand too close may be larger where there is room.
        scales=(*common.scales_between(extent_mm, least_mm, view_mm), *larger),
        smallest=0,
    )
    sheet.notes = sheet.notes[: len(told)]
    sheet.tables = [_in_lines(table, step_mm) for table in sheet.tables]
    sheet.text_sizes_mm, sheet.marks, sheet.least_view_mm, sheet.to_scale = (LEAST_TEXT_MM,), False, least_mm, False
    sheet.title = replace(sheet.title, short=True, remark="Guidance, see cautions. Do not scale.")
    return sheet


def steps_table(steps: Sequence[Step]) -> Table:
    """Return the steps in their order, with what each is done with where that is told; `card` breaks their lines."""
    with_tools = any(tool for _, tool in steps)
    held = any(what.endswith(HOLD) for what, _ in steps)
    columns = ("no.", "in this order", *(["with"] if with_tools else []), "done")
    return Table(
        name="steps",
        title="STEPS; AT HOLD STOP UNTIL IT IS SIGNED" if held else "STEPS",
        columns=columns,
        rows=tuple(
            (str(k), what[:1].upper() + what[1:], *([tool] if with_tools else []), "")
            for k, (what, tool) in enumerate(steps, 1)
        ),
        left=frozenset({1, 2} if with_tools else {1}),
        row_mm=ROW_MM,
        corner="top left",
    )


def _in_lines(table: Table, wide_mm: float) -> Table:
    """The steps with their words, which are those of the part by now, in lines."""
    if table.name != "steps":
        return table
    widths = (wide_mm or _WIDE_MM, _TOOL_MM) if "with" in table.columns else (wide_mm or _WIDE_MM + _TOOL_MM,)
    rows = tuple((row[0], *map(broken, row[1:-1], widths), row[-1]) for row in table.rows)
    return replace(table, rows=rows)


def measured_table(ctx: SheetContext, rows: Sequence[Row], when: str = "BEFORE IT IS UNCLAMPED") -> Table:
    """Return the rows of the record that this work makes, with blanks. A bore is gauged two ways at each place."""
    made: list[tuple[str, ...]] = []
    codes: list[str] = []
    across = " athwart"
    twice = any(r.what.endswith(across) for r in rows)
    for row in rows:
        if row.what.endswith(across):
            continue
        both = row.what.endswith(", up and down")
        code = row.code.rpartition(".")[0] if both else row.code
        blanks = ("", "") if both else ("", JOINED) if twice else ("",)
        low, high = (row.lower or row.nominal, row.upper) if row.nominal != "flush" else ("flush", "or below")
        made.append((row.what.removesuffix(", up and down"), low, high, *blanks))
        codes.append(code)
    return Table(
        name="measured",
        title=f"MEASURE {when}, {ctx.unit}",
        columns=("what", "from", "to", *(("up, down", "athwart") if twice else ("measured",))),
        rows=tuple(made),
        left=frozenset({0}),
        row_mm=BLANK_MM,
        least_mm=(0.0, 0.0, 0.0, 18.0, 18.0)[: 3 + (2 if twice else 1)],
        codes=tuple(codes),
        corner="top left",
    )


# --- on its page ----------------------------------------------------------------------------------------------------


def is_card(sheet: Sheet) -> bool:
    """Return whether a sheet is a card, which goes on the smallest paper that holds it in any of its forms."""
    return sheet.title.document_type in (CARD, PRESS_CARD)


def fitted(sheet: Sheet) -> list[Sheet]:
    """Return a card in the form in which it goes on the smallest paper: as it is, with smaller letters where they are
    large, with its long tables beside each other, with its rows closer; on two such pages where none does, else on
    larger paper. One that fits no paper goes without its view, and at the last with its steps and cautions alone and a
    note that says so; it never fails."""
    made: dict[bool, Made] = {False: {}, True: {}}
    sheet = replace(sheet, tables=[_narrow(t) for t in sheet.tables])

    def goes(one: Sheet, late: bool) -> bool:
        return size_of_paper(one, made[late], late=late) is not None

    for shown in (sheet, replace(sheet, views=[])):
        for size in sheet.sizes:
            forms = [replace(form, sizes=(size,)) for form in _forms(shown)]
            for form, late in (*((form, False) for form in forms), (forms[-1], True)):
                if goes(form, late):
                    return [form]
            if size == sheet.sizes[0] and shown is sheet:
                large = [f for f in forms if f.note_text_mm > LEAST_TEXT_MM]
                for pages in (two for form in (*large, forms[-1]) for two in _two_pages(form)):
                    if all(goes(page, False) or goes(page, True) for page in pages):
                        return list(pages)
    words = "For want of room here its sizes stand on the drawing of this part alone."
    steps = [t for t in sheet.tables if t.name == "steps"]
    return [replace(sheet, views=[], tables=steps, notes=[words])]


def _narrow(table: Table) -> Table:
    """The table with the head of the record's numbers over two lines."""
    return replace(table, columns=tuple("record\nno." if c == "record no." else c for c in table.columns))


def _forms(sheet: Sheet) -> Iterator[Sheet]:
    """A card in forms that take less and less room."""
    lettered = [sheet]
    if any(t.text_mm > LEAST_TEXT_MM for t in sheet.tables):
        lettered += [_letters(sheet, a, b) for a, b in ((_NEAR_MM, _NEAR_MM), (_NEAR_MM, LEAST_TEXT_MM))]
        lettered.append(_letters(sheet, LEAST_TEXT_MM, LEAST_TEXT_MM))
    yield from lettered
    least = lettered[-1]
    halved = _halved(least)
    last = _closer(halved)
    yield from (halved, _closer(least), last) if halved is not least else (last,)
    yield replace(last, tables=_lower(last, _CLOSEST_MM), views=[_short(v) for v in last.views])


def _two_pages(sheet: Sheet) -> Iterator[tuple[Sheet, Sheet]]:
    """A card in two: its last tables on the page behind, or its view."""
    for first in range(len(sheet.tables) - 1, 0, -1):
        yield behind(sheet, sheet.tables[first:], [], [])
    if not sheet.views:
        return
    told, view = behind(sheet, [], [], [])
    drawn = f"On the sheet behind this: {', '.join(v.title for v in sheet.views)}."
    yield replace(told, views=[], notes=[*sheet.notes, drawn]), replace(view, views=sheet.views, banner=sheet.banner)


def _letters(sheet: Sheet, steps_mm: float, others_mm: float) -> Sheet:
    """The card with letters of these heights at most, in its steps and in all else."""

    def smaller(table: Table) -> Table:
        text = min(table.text_mm, steps_mm if table.name == "steps" else others_mm)
        share = text / table.text_mm
        return replace(
            table,
            text_mm=text,
            row_mm=max(share * table.row_mm, ROW_MM),
            line_mm=max(share * table.line_mm, 1.45 * text),
            least_mm=tuple(max(share * w, min(w, 9.0)) for w in table.least_mm),
        )

    return replace(
        sheet,
        tables=[smaller(t) for t in sheet.tables],
        caution_text_mm=min(sheet.caution_text_mm, others_mm),
        note_text_mm=min(sheet.note_text_mm, others_mm),
        text_sizes_mm=(LEAST_TEXT_MM,),
    )


def _halved(sheet: Sheet) -> Sheet:
    """The card with each long table in two parts beside each other, where a page is as wide as both; itself without
    such a table."""
    wide = SIZES_MM[sheet.sizes[0]][0] - _SIDES_MM
    tables: list[Table] = []
    for table in sheet.tables:
        if len(table.rows) > _LONG and 2.0 * blocks.table_item(table).box().width <= wide:
            half = -(-len(table.rows) // 2)
            parts = (slice(half), slice(half, None))
            first, second = (replace(table, rows=table.rows[p], codes=table.codes[p]) for p in parts)
            tables += [first, replace(second, name=f"more {table.name}")]
        else:
            tables.append(table)
    return sheet if len(tables) == len(sheet.tables) else replace(sheet, tables=tables)


def _closer(sheet: Sheet) -> Sheet:
    """The card with lower rows and a lower banner, its view half as large at the least."""
    less = sorted((s for s in SCALES if s < min(sheet.scales)), reverse=True)[:1] if sheet.views else []
    return replace(
        sheet,
        tables=_lower(sheet, _CLOSE_MM),
        scales=(*sheet.scales, *less),
        least_view_mm=0.5 * sheet.least_view_mm,
        banner_mm=_BANNER_MM,
    )


def _lower(sheet: Sheet, by_mm: float) -> list[Table]:
    """The tables with lower rows, where their letters are the least."""
    return [replace(t, row_mm=t.row_mm - by_mm) if t.text_mm <= LEAST_TEXT_MM else t for t in sheet.tables]


def _short(view: View) -> View:
    """The view with no more in its caption than from where it is seen."""
    made = copy.copy(view)
    if view.title.startswith("SEEN FROM"):
        made.title = view.title.partition(",")[0]
    return made
