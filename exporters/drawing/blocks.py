"""The blocks of a sheet: frame, title block, revision table, tables, notes and the banner, in paper mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import accumulate, pairwise, zip_longest

from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.drawing.items import Item, Stroke
from strutwright.exporters.drawing.shapes import Box, Line, P, Text
from strutwright.exporters.drawing.sheet import JOINED, Revision, Table, TitleBlock, scale_text
from strutwright.exporters.drawing.style import Kind
from strutwright.exporters.drawing.symbols import Projection, projection_symbol
from strutwright.exporters.drawing.text import DESCENT, drawable, text_width, wrap

BORDER_MM, FILING_MM, MARK_MM, TITLE_WIDTH_MM = 10.0, 20.0, 5.0, 180.0


def frame_item(
    width: float, height: float, corner_top: float = 0.0, mark_mm: float = MARK_MM, *, ansi: bool = False
) -> tuple[Box, Item]:
    """Return the drawing space and the frame: border lines, grid references and centring marks, mm.

    References run from the upper left corner (ISO 5457), on an ANSI sheet from the lower right one: numbers to the
    left, letters upward (ASME Y14.1); both from memory.

    corner_top: how high title block and revisions reach in the lower right corner; mark_mm: how far the marks reach
    into the drawing space.
    """
    inner = Box(FILING_MM, BORDER_MM, width - BORDER_MM, height - BORDER_MM)
    outer = Box(FILING_MM - 5.0, BORDER_MM - 5.0, width - BORDER_MM + 5.0, height - BORDER_MM + 5.0)
    strokes = [_rectangle(inner, "frame"), _rectangle(outer, "thin")]
    texts: list[Text] = []
    mx, my = width / 2.0, height / 2.0
    # A mark stops at the frame where the title block or the revisions stand before it.
    foot = 0.0 if mx > inner.x1 - TITLE_WIDTH_MM else mark_mm
    right = 0.0 if corner_top >= my else mark_mm
    marks = (
        ((outer.x0, my), (inner.x0 + mark_mm, my)),
        ((outer.x1, my), (inner.x1 - right, my)),
        ((mx, outer.y0), (mx, inner.y0 + foot)),
        ((mx, outer.y1), (mx, inner.y1 - mark_mm)),
    )
    strokes += [Stroke(Line(a, b), "frame") for a, b in marks]
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    columns, rows = _fields(inner.x0, mx, inner.x1), _fields(inner.y0, my, inner.y1)
    for i, (a, b) in enumerate(columns):
        for low, high in ((outer.y0, inner.y0), (inner.y1, outer.y1)):
            if i:
                strokes.append(Stroke(Line((a, low), (a, high)), "thin"))
            number = len(columns) - i if ansi else i + 1
            texts.append(Text(str(number), ((a + b) / 2.0, low + 1.25), 2.5, "centre", kind="frame"))
    for i, (a, b) in enumerate(rows):
        for low, high in ((outer.x0, inner.x0), (inner.x1, outer.x1)):
            if i:
                strokes.append(Stroke(Line((low, a), (high, a)), "thin"))
            spot = ((low + high) / 2.0, (a + b) / 2.0 - 1.25)
            letter = letters[i if ansi else len(rows) - 1 - i]
            texts.append(Text(letter, spot, 2.5, "centre", kind="frame"))
    return inner, Item(name="frame", owner="sheet", strokes=tuple(strokes), texts=tuple(texts))


def _fields(low: float, middle: float, high: float) -> list[tuple[float, float]]:
    """Fields of 50 mm counted from the centring mark; the outermost take what is left, a sliver joins its neighbour."""
    after = int((high - middle + 25.0) // 50.0) or 1
    before = int((middle - low + 25.0) // 50.0) or 1
    edges = [low, *(middle + 50.0 * k for k in range(1 - before, after)), high]
    return list(pairwise(edges))


def _rectangle(box: Box, kind: Kind) -> Stroke:
    return Stroke(box.outline(), kind)


def _fitted(text: str, width: float, heights: Sequence[float]) -> list[tuple[str, float]]:
    """Text in one line as high as fits, else in as many lines of the least height as it needs."""
    text = drawable(text)
    for height in heights:
        if text_width(text, height) <= width:
            return [(text, height)]
    return [(line, heights[-1]) for line in wrap(text, heights[-1], width)]


_ROWS: tuple[tuple[float, dict[str, float]], ...] = (
    (9.0, {"Identification number": 66, "Revision": 18, "Date of issue": 32, "Document type": 40, "Sheet": 24}),
    (15.0, {"Legal owner": 58, "Title": 122}),
    (8.5, {"Creator": 32, "Approved by": 32, "Technical reference": 80, "Status": 36}),
    (8.5, {"Material": 74, "Finish": 52, "Weight": 24, "Unit": 12, "Language": 18}),
    (8.5, {"Hand": 34, "Face shown": 48, "General tolerance": 98}),
    (10.0, {"Scale": 19, "Size": 19, "": 42, "Standards": 66, "Projection": 34}),
)
"""Rows of the title block from below: height with one line of text, then the width of each field."""

_FORM_ROWS: tuple[tuple[float, dict[str, float]], ...] = (
    (
        9.0,
        {
            "Identification number": 43,
            "Revision": 17,
            "Date of issue": 24,
            "Document type": 34,
            "Technical reference": 44,
            "Sheet": 18,
        },
    ),
    (14.0, {"Legal owner": 28, "Title": 62, "Creator": 24, "Approved by": 24, "": 42}),
)
"""The same of a sheet of tables alone, which has neither part nor views."""

_OF_PART = frozenset({"Material", "Hand"})
"""Fields whose rows a short title block leaves out."""
_TEXT_MM = 2.5
"""The least height of letters on a sheet."""
_LINE_MM = 3.4
"""From line to line of the smallest letters."""
_LABEL_MM, _FOOT_MM = 3.1, 1.1
"""From the top of a field to the foot of its name, and from the foot of the last line to the field's."""


def _fields_of(title: TitleBlock, size: str, scale: float | None, figures: Figures) -> dict[str, str]:
    """What stands in the fields of the title block; a name of `_ROWS` without an entry stays empty."""
    return {
        "Identification number": title.identification,
        "Revision": title.revision,
        "Date of issue": title.date,
        "Document type": title.document_type,
        "Sheet": f"{title.sheet_number} {'of' if title.short else '/'} {title.sheets}",
        "Legal owner": title.owner,
        "Title": title.title,
        "Creator": title.creator,
        "Technical reference": title.reference,
        "Material": title.material,
        "Finish": title.finish,
        "Weight": title.mass,
        "Language": title.language,
        "Standards": title.standards,
        "Hand": title.hand,
        "Face shown": title.face,
        "General tolerance": title.general_tolerance,
        "Unit": figures.unit,
        "Scale": "-" if scale is None else scale_text(scale),
        "Size": size,
        "": title.remark,
    }


def _rows(title: TitleBlock, scale: float | None) -> Sequence[tuple[float, dict[str, float]]]:
    if not title.short:
        return _ROWS
    return _FORM_ROWS if scale is None else [row for row in _ROWS if not _OF_PART & row[1].keys()]


def title_block(
    title: TitleBlock, corner: P, size: str, scale: float | None, projection: Projection, figures: Figures
) -> Item:
    """Return the title block, 180 mm wide, its lower right corner at `corner` (mm). scale: None without views."""
    values = _fields_of(title, size, scale, figures)
    x_left, y = corner[0] - TITLE_WIDTH_MM, corner[1]
    strokes: list[Stroke] = []
    texts: list[Text] = []
    for least_mm, cells in _rows(title, scale):
        fitted = {name: _cell(name, values.get(name, ""), width) for name, width in cells.items()}
        sub: list[tuple[str, float]] = []
        if "Title" in fitted and title.supplementary_title:
            sub = _fitted(title.supplementary_title, cells["Title"] - 2.5, (_TEXT_MM,))
        high = max(least_mm, *(_high_mm(name, lines, sub) for name, lines in fitted.items()))
        row = Box(x_left, y, corner[0], y + high)
        x = x_left
        for i, (name, width) in enumerate(cells.items()):
            if i:
                strokes.append(Stroke(Line((x, y), (x, row.y1)), "title"))
            if name:
                texts.append(Text(name, (x + 1.0, row.y1 - _LABEL_MM), _TEXT_MM, kind="title"))
            if name == "Projection":
                strokes += projection_symbol((x + 14.0, y + 1.0), 5.2, projection)
            elif name == "Title":
                texts += _titles(x, row, fitted[name], sub)
            else:
                for k, (line, height) in enumerate(reversed(fitted[name])):
                    texts.append(Text(line, (x + 1.0, y + _FOOT_MM + _LINE_MM * k), height, kind="title"))
            x += width
        y = row.y1
        strokes.append(Stroke(Line((x_left, y), (corner[0], y)), "title"))
    block = Box(x_left, corner[1], corner[0], y)
    strokes.append(_rectangle(block, "visible"))
    return Item(name="title block", owner="sheet", strokes=tuple(strokes), texts=tuple(texts), block=block)


def _high_mm(name: str, lines: Sequence[tuple[str, float]], sub: Sequence[tuple[str, float]]) -> float:
    """The least height of a field of the title block with these lines in it; sub: those under the title."""
    label = _LABEL_MM + 0.9 if name else 0.7
    if name != "Title":
        return label + _FOOT_MM + (lines[0][1] + _LINE_MM * (len(lines) - 1) if lines else 0.0)
    return label + _FOOT_MM + 1.4 * sum(height for _, height in lines) + _LINE_MM * len(sub)


def _titles(x: float, row: Box, lines: Sequence[tuple[str, float]], sub: Sequence[tuple[str, float]]) -> list[Text]:
    """The title in its row from x on, the supplementary title under it."""
    texts = []
    level = row.y1 - _LABEL_MM - 0.9
    for line, height in lines:
        level -= height
        texts.append(Text(line, (x + 1.5, level), height, kind="title"))
        level -= 0.4 * height
    for k, (line, height) in enumerate(reversed(sub)):
        texts.append(Text(line, (x + 1.5, row.y0 + _FOOT_MM + _LINE_MM * k), height, kind="title"))
    return texts


def _cell(name: str, text: str, width: float) -> list[tuple[str, float]]:
    """The lines of a field of the title block with their heights."""
    if name == "Title":
        return _fitted(text, width - 2.5, (5.0, 4.2, 3.5, _TEXT_MM))
    heights = (3.5, 3.0, _TEXT_MM) if name in _PROMINENT else (_TEXT_MM,)
    return _fitted(text, width - 2.0, heights) if text else []


_OFF_LINE_MM = 0.07
"""So far at the least the tails of letters keep off the middle of the line below them."""
_PROMINENT = frozenset({"Identification number", "Revision", "Scale", "Hand", "Face shown", "Legal owner"})


def table_item(table: Table) -> Item:
    """Return a table with its lower left corner at (0, 0), columns as wide as their text needs, mm."""
    for row in table.rows:
        if len(row) != len(table.columns):
            raise ValueError(f"table {table.name!r}: a row has {len(row)} cells, {len(table.columns)} are needed")
    table = replace(table, title=drawable(table.title))
    pad, text_mm = table.pad_mm, table.text_mm
    step, title_mm = table.line_mm, max(3.0, text_mm)
    cells, widths, heights = _table_grid(table)
    total, top = sum(widths), sum(heights) + _title_band_mm(table)
    strokes: list[Stroke] = []
    band = _title_band_mm(table)
    texts = [Text(table.title, (total / 2.0, top - band + 1.5), title_mm, "centre", kind="table")]
    y = top - band
    for r, line_cells in enumerate(cells):
        strokes.append(Stroke(Line((0.0, y), (total, y)), "visible" if r < 2 else "table"))
        for i, lines in enumerate(line_cells):
            if lines == [JOINED]:
                continue
            x, wide = sum(widths[:i]), sum(widths[i : i + _reach(line_cells, i)])
            below = step * (len(lines) - 1)
            # In rows set close the tails of letters would stand on the line below: there the text goes up.
            base = max(
                y - (heights[r] + text_mm - below) / 2.0, y - heights[r] + below + DESCENT * text_mm + _OFF_LINE_MM
            )
            for line in lines:
                if line and r and (i in table.left or table.is_head(r - 1)):
                    texts.append(Text(line, (x + pad, base), text_mm, kind="table"))
                elif line:
                    texts.append(Text(line, (x + wide / 2.0, base), text_mm, "centre", kind="table"))
                base -= step
        y -= heights[r]
    strokes += [Stroke(line, "table") for line in _upright(cells, widths, heights)]
    box = Box(0.0, 0.0, total, top)
    strokes.append(_rectangle(box, "visible"))
    return Item(name=f"table {table.name}", owner="sheet", strokes=tuple(strokes), texts=tuple(texts), block=box)


def _upright(cells: list[list[list[str]]], widths: list[float], heights: list[float]) -> Iterator[Line]:
    """The lines between columns, broken where a cell reaches over them."""
    for i, x in enumerate(accumulate(widths[:-1]), 1):
        y = foot = 0.0
        for row, height in zip(reversed(cells), reversed(heights), strict=True):
            if row[i] == [JOINED]:
                if foot < y:
                    yield Line((x, foot), (x, y))
                foot = y + height
            y += height
        if foot < y:
            yield Line((x, foot), (x, y))


def _title_band_mm(table: Table) -> float:
    """How high the title of a table stands over its heads."""
    return 0.0 if not table.title else max(table.row_mm + 1.0, max(3.0, table.text_mm) + 2.2)


def _reach(cells: Sequence[Sequence[str]], column: int) -> int:
    """Over how many columns a cell of a row reaches; none of one that is joined to another."""
    if cells[column] == [JOINED]:
        return 0
    after = column + 1
    while after < len(cells) and cells[after] == [JOINED]:
        after += 1
    return after - column


def _table_grid(table: Table) -> tuple[list[list[list[str]]], list[float], list[float]]:
    """The lines of each cell, heads first, the widths of the columns, and the heights of the rows, mm."""
    text_mm = table.text_mm
    cells = [[drawable(cell).split("\n") for cell in row] for row in (table.columns, *table.rows)]
    wide = [[max(text_width(line, text_mm) for line in lines) + 2.0 * table.pad_mm for lines in row] for row in cells]
    reach = [[_reach(row, i) for i in range(len(row))] for row in cells]
    widths = [
        max((w[i] for w, r in zip(wide, reach, strict=True) if r[i] == 1), default=0.0) for i in range(len(cells[0]))
    ]
    widths = [max(w, least) for w, least in zip_longest(widths, table.least_mm[: len(widths)], fillvalue=0.0)]
    for i, over in sorted({(i, r[i]) for r in reach for i in range(len(r)) if r[i] > 1}):
        needed = max(w[i] for w, r in zip(wide, reach, strict=True) if r[i] == over)
        widths[i + over - 1] += max(needed - sum(widths[i : i + over]), 0.0)
    title = text_width(drawable(table.title), max(3.0, text_mm)) + 3.0
    widths[-1] += max(title - sum(widths), 0.0)
    heights = [table.row_mm + table.line_mm * (max(map(len, row)) - 1) for row in cells]
    written = [table.written_mm if k and [""] in row else 0.0 for k, row in enumerate(cells)]
    return cells, widths, [max(pair) for pair in zip(heights, written, strict=True)]


def row_heights(table: Table) -> list[float]:
    """Return the heights of a table's rows without the heads, mm."""
    return _table_grid(table)[2][1:]


def cell_box(table: Table, row: int, column: int) -> Box:
    """Return the place of a cell of a table whose lower left corner is at (0, 0), mm; rows count without the heads."""
    cells, widths, heights = _table_grid(table)
    x, y = sum(widths[:column]), sum(heights[row + 2 :])
    reach = _reach(cells[row + 1], column)
    return Box(x, y, x + sum(widths[column : column + reach]), y + heights[row + 1])


def banner_item(text: str, height_mm: float = 8.0) -> Item:
    """Return words set large in a heavy frame, its lower left corner at (0, 0)."""
    box = Box(0.0, 0.0, text_width(text, height_mm) + 10.0, 2.0 * height_mm)
    written = Text(text, (box.centre[0], 0.5 * height_mm), height_mm, "centre")
    return Item(name="banner", owner="sheet", strokes=(_rectangle(box, "frame"),), texts=(written,), block=box)


def notes_item(
    name: str, head: str, paragraphs: Sequence[str], width: float, *, numbered: bool, framed: bool, text_mm: float = 2.5
) -> Item:
    """Return a block of notes width mm wide with its lower left corner at (0, 0)."""
    line = 1.68 * text_mm
    pad = 2.0 if framed else 0.0
    indent = 2.4 * text_mm if numbered else 0.0
    broken = [wrap(paragraph, text_mm, width - indent - 2.0 * pad) for paragraph in paragraphs]
    heads = wrap(head, 1.2 * text_mm, width - 2.0 * pad)
    height = (sum(map(len, broken)) + len(heads)) * line + 1.0 + 2.0 * pad
    y = height - pad - text_mm - 0.5
    texts = [Text(words, (pad, y - line * k), 1.2 * text_mm) for k, words in enumerate(heads)]
    y -= line * len(heads) + 0.8
    for i, pieces in enumerate(broken):
        if numbered:
            texts.append(Text(f"{i + 1}.", (pad, y), text_mm))
        for piece in pieces:
            texts.append(Text(piece, (pad + indent, y), text_mm))
            y -= line
    box = Box(0.0, 0.0, width, height)
    strokes = (_rectangle(box, "symbol"),) if framed else ()
    return Item(name=name, owner="sheet", strokes=strokes, texts=tuple(texts), block=box)


def revision_item(revisions: Sequence[Revision]) -> Item:
    """Return the revision table, as wide as the title block, its lower left corner at (0, 0); newest on top."""
    widths, height = (16.0, 96.0, 32.0, 36.0), 5.0
    rows = [("Rev.", "Change", "Date", "Creator")]
    rows += [(r.index, r.change, r.date, r.creator) for r in revisions]
    strokes: list[Stroke] = []
    texts: list[Text] = []
    y = 0.0
    for i, row in enumerate(rows):
        x, most = 0.0, 1
        for cell, width in zip(row, widths, strict=True):
            lines = _fitted(cell, width - 2.0, (_TEXT_MM,)) if cell else []
            most = max(most, len(lines))
            for k, (line, size) in enumerate(reversed(lines)):
                texts.append(Text(line, (x + 1.0, y + 1.25 + _LINE_MM * k), size, kind="table"))
            x += width
        if i:
            strokes.append(Stroke(Line((0.0, y), (TITLE_WIDTH_MM, y)), "table"))
        y += height + _LINE_MM * (most - 1)
    strokes += [Stroke(Line((x, 0.0), (x, y)), "table") for x in accumulate(widths[:-1])]
    box = Box(0.0, 0.0, TITLE_WIDTH_MM, y)
    strokes.append(_rectangle(box, "visible"))
    return Item(name="revisions", owner="sheet", strokes=tuple(strokes), texts=tuple(texts), block=box)
