"""Sheets: size, frame, title block, revision table, notes, tables, and the automatic layout of views on them.

    sheet = Sheet(TitleBlock(title="Bracket", identification="SW-0001", date="2026-01-31"), sizes=("A3", "A2"))
    sheet.views += [front, top, side]
    sheet.tables.append(Table("holes", "HOLES", ("hole", "x", "y", "size"), rows))
    drawn = lay_out(sheet)
    assert not overlaps(drawn)

Sizes: ISO 5457 (A4 to A1) and ASME Y14.1 (A to D). Scales: ISO 5455. Title-block fields: ISO 7200. Border 20 mm on the
filing side and 10 mm elsewhere, fields of 50 mm from the centring marks (ISO 5457, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise, zip_longest
from typing import Literal

import numpy as np

from strutwright.exporters.drawing.dims import DimSizes
from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.drawing.fit import place_view
from strutwright.exporters.drawing.items import Collision, Item, Stroke, collisions
from strutwright.exporters.drawing.shapes import Box, Line, P, Text, union
from strutwright.exporters.drawing.style import Kind
from strutwright.exporters.drawing.symbols import Projection, projection_symbol
from strutwright.exporters.drawing.text import drawable, text_width, wrap
from strutwright.exporters.drawing.view import SCALES, View

SIZES_MM: dict[str, tuple[float, float]] = {
    "A4": (210.0, 297.0),
    "A3": (420.0, 297.0),
    "A2": (594.0, 420.0),
    "A1": (841.0, 594.0),
    "ANSI A": (215.9, 279.4),
    "ANSI B": (431.8, 279.4),
    "ANSI C": (558.8, 431.8),
    "ANSI D": (863.6, 558.8),
}
"""Width and height in mm, as usually held: the smallest upright, the others lying."""

BORDER_MM = 10.0
FILING_MM = 20.0
GAP_MM = 6.0
MARK_MM = 5.0
TITLE_WIDTH_MM = 180.0
LEAST_VIEW_MM = 35.0
"""The largest view of a sheet is never drawn smaller than this on paper."""


class SheetFitError(ValueError):
    """No allowed size and scale holds the content without a collision."""


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """Fields of the title block (ISO 7200 and what the shop wants beside). The approving person is never filled in.

    mass: with its unit. hand: such as "PORT". face: the face shown, where one is. remark: one
    line beside the scale; true-size patterns put their own there. Empty fields stay empty.
    """

    title: str
    identification: str
    date: str
    owner: str = ""
    supplementary_title: str = ""
    document_type: str = "Part drawing"
    creator: str = ""
    department: str = ""
    reference: str = ""
    status: str = ""
    revision: str = "-"
    language: str = "en"
    sheet_number: int = 1
    sheets: int = 1
    material: str = ""
    mass: str = ""
    finish: str = ""
    general_tolerance: str = ""
    hand: str = ""
    face: str = ""
    remark: str = "Guidance, see cautions. Do not scale."


@dataclass(frozen=True, slots=True)
class Revision:
    """One line of the revision table."""

    index: str
    change: str
    date: str
    creator: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table. name: unique on the sheet; columns: heads; rows: as many cells each; numbers go in as text.

    left: columns set to the left (others are centred), by position. row_mm: height of a row. least_mm: least widths of
    the columns from the first on, for cells that are filled in by hand. corner: where on the sheet it goes if it can.
    """

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: frozenset[int] = frozenset()
    row_mm: float = 5.0
    least_mm: tuple[float, ...] = ()
    corner: Literal["top right", "top left"] = "top right"


@dataclass(slots=True)
class Sheet:
    """What is to be drawn. sizes: allowed sheets, tried in order; scales: allowed scales, tried in order;
    text_sizes_mm: heights of dimension text, tried in order at each scale. banner: a few words set large in a frame,
    such as the hand. caution_text_mm: height of the cautions' letters.
    """

    title: TitleBlock
    views: list[View] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    revisions: list[Revision] = field(default_factory=list)
    sizes: tuple[str, ...] = ("A3",)
    orientation: Literal["usual", "landscape", "portrait"] = "usual"
    scales: tuple[float, ...] = SCALES
    text_sizes_mm: tuple[float, ...] = (3.5, 2.5)
    projection: Projection = "third"
    figures: Figures = field(default_factory=Figures)
    banner: str = ""
    caution_text_mm: float = 2.5


@dataclass(frozen=True, slots=True)
class Drawn:
    """A sheet laid out. width_mm, height_mm: trimmed size. frame: drawing space. scale: paper per model.

    items: everything on it, in drawing order. tried: what was tried before it fitted, for the record.
    """

    title: TitleBlock
    size: str
    width_mm: float
    height_mm: float
    frame: Box
    scale: float
    sizes: DimSizes
    figures: Figures
    items: tuple[Item, ...]
    tried: tuple[str, ...] = ()


def scale_text(scale: float) -> str:
    """Return a scale as "1 : 2" or "2 : 1"."""
    return f"{scale:g} : 1" if scale > 1.0 else f"1 : {1.0 / scale:g}"


def overlaps(drawn: Drawn) -> list[Collision]:
    """Return every collision on a sheet: text on text, lines through text, anything in a table, notes or the title
    block, anything outside the frame. Text is measured with the shipped font. An empty list is a clean sheet.
    """
    return collisions(drawn.items, drawn.frame)


def sheet_size(size: str, orientation: Literal["usual", "landscape", "portrait"] = "usual") -> tuple[float, float]:
    """Return (width, height) in mm of a named sheet. Raises ValueError for a name that is not in SIZES_MM."""
    if size not in SIZES_MM:
        raise ValueError(f"sheet size {size!r}: allowed are {', '.join(SIZES_MM)}")
    width, height = SIZES_MM[size]
    if orientation == "usual":
        return width, height
    long, short = max(width, height), min(width, height)
    return (long, short) if orientation == "landscape" else (short, long)


def frame_item(width: float, height: float, corner_top: float = 0.0) -> tuple[Box, Item]:
    """Return the drawing space and the frame: border lines, grid references and centring marks, mm.

    corner_top: how high title block and revisions reach in the lower right corner.
    """
    inner = Box(FILING_MM, BORDER_MM, width - BORDER_MM, height - BORDER_MM)
    outer = Box(FILING_MM - 5.0, BORDER_MM - 5.0, width - BORDER_MM + 5.0, height - BORDER_MM + 5.0)
    strokes = [_rectangle(inner, "frame"), _rectangle(outer, "thin")]
    texts: list[Text] = []
    mx, my = width / 2.0, height / 2.0
    # A mark stops at the frame where the title block or the revisions stand before it.
    foot = 0.0 if mx > inner.x1 - TITLE_WIDTH_MM else MARK_MM
    right = 0.0 if corner_top >= my else MARK_MM
    marks = (
        ((outer.x0, my), (inner.x0 + MARK_MM, my)),
        ((outer.x1, my), (inner.x1 - right, my)),
        ((mx, outer.y0), (mx, inner.y0 + foot)),
        ((mx, outer.y1), (mx, inner.y1 - MARK_MM)),
    )
    strokes += [Stroke(Line(a, b), "frame") for a, b in marks]
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    columns, rows = _fields(inner.x0, mx, inner.x1), _fields(inner.y0, my, inner.y1)
    for i, (a, b) in enumerate(columns):
        for low, high in ((outer.y0, inner.y0), (inner.y1, outer.y1)):
            if i:
                strokes.append(Stroke(Line((a, low), (a, high)), "thin"))
            texts.append(Text(str(i + 1), ((a + b) / 2.0, low + 1.25), 2.5, "centre", kind="frame"))
    for i, (a, b) in enumerate(rows):
        for low, high in ((outer.x0, inner.x0), (inner.x1, outer.x1)):
            if i:
                strokes.append(Stroke(Line((low, a), (high, a)), "thin"))
            spot = ((low + high) / 2.0, (a + b) / 2.0 - 1.25)
            texts.append(Text(letters[len(rows) - 1 - i], spot, 2.5, "centre", kind="frame"))
    return inner, Item("frame", "sheet", tuple(strokes), tuple(texts))


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


_ROWS: tuple[tuple[float, tuple[tuple[str, float], ...]], ...] = (
    (
        9.0,
        (
            ("Identification number", 66.0),
            ("Revision", 16.0),
            ("Date of issue", 32.0),
            ("Document type", 40.0),
            ("Sheet", 26.0),
        ),
    ),
    (15.0, (("Legal owner", 58.0), ("Title", 122.0))),
    (
        8.5,
        (
            ("Creator", 40.0),
            ("Approved by", 40.0),
            ("Department", 36.0),
            ("Technical reference", 38.0),
            ("Status", 26.0),
        ),
    ),
    (8.5, (("Material", 70.0), ("Finish", 52.0), ("Mass", 24.0), ("Language", 34.0))),
    (8.5, (("Hand", 34.0), ("Face shown", 50.0), ("General tolerance", 62.0), ("Unit", 34.0))),
    (10.0, (("Scale", 34.0), ("Size", 34.0), ("", 78.0), ("Projection", 34.0))),
)
"""Rows of the title block from below: height with up to two lines of text, then (field, width)."""

_LINE_MM = 2.5
"""From line to line of the smallest letters."""


def title_block(
    title: TitleBlock, corner: P, size: str, scale: float | None, projection: Projection, figures: Figures
) -> Item:
    """Return the title block, 180 mm wide, its lower right corner at `corner` (mm). scale: None without views."""
    unit = "mm" if figures.unit == "mm" else "inch"
    if figures.dual:
        unit += " [inch]" if figures.unit == "mm" else " [mm]"
    values = {
        "Identification number": title.identification,
        "Revision": title.revision,
        "Date of issue": title.date,
        "Document type": title.document_type,
        "Sheet": f"{title.sheet_number} / {title.sheets}",
        "Legal owner": title.owner,
        "Title": title.title,
        "Creator": title.creator,
        "Department": title.department,
        "Technical reference": title.reference,
        "Status": title.status,
        "Material": title.material,
        "Finish": title.finish,
        "Mass": title.mass,
        "Language": title.language,
        "Hand": title.hand,
        "Face shown": title.face,
        "General tolerance": title.general_tolerance,
        "Unit": unit,
        "Scale": "-" if scale is None else scale_text(scale),
        "Size": size,
        "Approved by": "",
        "": title.remark,
        "Projection": "",
    }
    x_left, y = corner[0] - TITLE_WIDTH_MM, corner[1]
    strokes: list[Stroke] = []
    texts: list[Text] = []
    for least_mm, cells in _ROWS:
        fitted = {name: _cell(name, values[name], width) for name, width in cells}
        sub = (
            _fitted(title.supplementary_title, cells[-1][1] - 2.5, (2.5, 2.2, 1.8))
            if "Title" in fitted and title.supplementary_title
            else []
        )
        more = max(max(len(lines) - 2, 0) for lines in fitted.values()) + max(len(sub) - 1, 0)
        row_height = least_mm + _LINE_MM * more
        x = x_left
        for i, (name, width) in enumerate(cells):
            if i:
                strokes.append(Stroke(Line((x, y), (x, y + row_height)), "title"))
            if name:
                texts.append(Text(name, (x + 1.0, y + row_height - 2.6), 1.8, kind="title"))
            if name == "Projection":
                strokes += projection_symbol((x + 15.0, y + 1.6), 6.8, projection)
            elif name == "Title":
                lines = fitted[name]
                level = y + row_height - (6.3 if len(lines) > 1 else 8.6 if sub else 10.8)
                for line, height in lines:
                    texts.append(Text(line, (x + 1.5, level), height, kind="title"))
                    level -= 1.5 * height
                for k, (line, height) in enumerate(reversed(sub)):
                    small = min(height, 2.2 if len(lines) > 1 else 2.5)
                    texts.append(Text(line, (x + 1.5, y + 1.4 + _LINE_MM * k), small, kind="title"))
            elif len(fitted[name]) > 1:
                for k, (line, height) in enumerate(reversed(fitted[name])):
                    texts.append(Text(line, (x + 1.0, y + 1.0 + _LINE_MM * k), height, kind="title"))
            else:
                for line, height in fitted[name]:
                    texts.append(Text(line, (x + 1.0, y + 1.5), height, kind="title"))
            x += width
        y += row_height
        strokes.append(Stroke(Line((x_left, y), (corner[0], y)), "title"))
    block = Box(x_left, corner[1], corner[0], y)
    strokes.append(_rectangle(block, "visible"))
    return Item("title block", "sheet", tuple(strokes), tuple(texts), block=block)


def _cell(name: str, text: str, width: float) -> list[tuple[str, float]]:
    """The lines of a field of the title block with their heights."""
    if name == "Title":
        return _fitted(text, width - 2.5, (5.0, 4.2, 3.5, 2.5))
    heights = (3.5, 3.0, 2.5, 2.2, 1.8) if name in _PROMINENT else (2.5, 2.2, 2.0, 1.8)
    return _fitted(text, width - 2.0, heights) if text else []


_PROMINENT = frozenset({"Identification number", "Revision", "Scale", "Hand", "Face shown", "Legal owner"})


def table_item(table: Table, text_mm: float = 2.5) -> Item:
    """Return a table with its lower left corner at (0, 0), columns as wide as their text needs, mm."""
    for row in table.rows:
        if len(row) != len(table.columns):
            raise ValueError(f"table {table.name!r}: a row has {len(row)} cells, {len(table.columns)} are needed")
    table = replace(table, title=drawable(table.title), rows=tuple(tuple(map(drawable, row)) for row in table.rows))
    pad, height = 1.5, table.row_mm
    widths = [
        max(text_width(cell, text_mm) for cell in (head, *(row[i] for row in table.rows))) + 2.0 * pad
        for i, head in enumerate(table.columns)
    ]
    widths = [max(w, least) for w, least in zip_longest(widths, table.least_mm[: len(widths)], fillvalue=0.0)]
    total = max(sum(widths), text_width(table.title, 3.0) + 2.0 * pad)
    widths[-1] += total - sum(widths)
    top = (len(table.rows) + 2) * height + 1.0
    strokes: list[Stroke] = []
    texts = [Text(table.title, (total / 2.0, top - height + 0.5), 3.0, "centre", kind="table")]
    y = top - height - 1.0
    for r, row in enumerate((table.columns, *table.rows)):
        strokes.append(Stroke(Line((0.0, y), (total, y)), "visible" if r < 2 else "table"))
        x = 0.0
        for i, cell in enumerate(row):
            base = y - (height + text_mm) / 2.0
            if cell and i in table.left and r:
                texts.append(Text(cell, (x + pad, base), text_mm, kind="table"))
            elif cell:
                texts.append(Text(cell, (x + widths[i] / 2.0, base), text_mm, "centre", kind="table"))
            x += widths[i]
        y -= height
    x = 0.0
    for width in widths[:-1]:
        x += width
        strokes.append(Stroke(Line((x, 0.0), (x, top - height - 1.0)), "table"))
    box = Box(0.0, 0.0, total, top)
    strokes.append(_rectangle(box, "visible"))
    return Item(f"table {table.name}", "sheet", tuple(strokes), tuple(texts), block=box)


def banner_item(text: str, height_mm: float = 8.0) -> Item:
    """Return words set large in a heavy frame, its lower left corner at (0, 0)."""
    box = Box(0.0, 0.0, text_width(text, height_mm) + 10.0, 2.0 * height_mm)
    written = Text(text, (box.centre[0], 0.5 * height_mm), height_mm, "centre")
    return Item("banner", "sheet", (_rectangle(box, "frame"),), (written,), block=box)


def notes_item(
    name: str, head: str, paragraphs: Sequence[str], width: float, *, numbered: bool, framed: bool, text_mm: float = 2.5
) -> Item:
    """Return a block of notes width mm wide with its lower left corner at (0, 0)."""
    line = 1.68 * text_mm
    pad = 2.0 if framed else 0.0
    indent = 6.0 if numbered else 0.0
    broken = [wrap(paragraph, text_mm, width - indent - 2.0 * pad) for paragraph in paragraphs]
    height = (sum(map(len, broken)) + 1) * line + 1.0 + 2.0 * pad
    y = height - pad - text_mm - 0.5
    texts = [Text(head, (pad, y), 1.2 * text_mm)]
    y -= line + 0.8
    for i, pieces in enumerate(broken):
        if numbered:
            texts.append(Text(f"{i + 1}.", (pad, y), text_mm))
        for piece in pieces:
            texts.append(Text(piece, (pad + indent, y), text_mm))
            y -= line
    box = Box(0.0, 0.0, width, height)
    strokes = (_rectangle(box, "symbol"),) if framed else ()
    return Item(name, "sheet", strokes, tuple(texts), block=box)


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
            lines = _fitted(cell, width - 2.0, (2.5, 2.2, 2.0, 1.8)) if cell else []
            most = max(most, len(lines))
            for k, (line, size) in enumerate(reversed(lines)):
                texts.append(Text(line, (x + 1.0, y + 1.25 + _LINE_MM * k), size, kind="table"))
            x += width
        if i:
            strokes.append(Stroke(Line((0.0, y), (TITLE_WIDTH_MM, y)), "table"))
        y += height + _LINE_MM * (most - 1)
    x = 0.0
    for width in widths[:-1]:
        x += width
        strokes.append(Stroke(Line((x, 0.0), (x, y)), "table"))
    box = Box(0.0, 0.0, TITLE_WIDTH_MM, y)
    strokes.append(_rectangle(box, "visible"))
    return Item("revisions", "sheet", tuple(strokes), tuple(texts), block=box)


# Layout


@dataclass(frozen=True, slots=True)
class _Group:
    """Items that move together. choices: the same content in other proportions, tried in order."""

    choices: tuple[tuple[Item, ...], ...]
    corner: Literal["top right", "bottom left", "top left", "middle"]


_Made = dict[tuple[str, float, float], tuple[list[Item], str]]
"""Views by name, scale and text height, with the first collision within them: the same on every sheet size."""


def lay_out(sheet: Sheet) -> Drawn:
    """Return the sheet laid out on the first allowed size and the first allowed scale that hold it without collision.

    Views stand in projection; dimensions in tiers round them; tables, notes and free views in the space left over.
    Always the same for the same input. Raises SheetFitError, with the reason for every try, when nothing holds it, and
    ValueError for names used twice, unknown sizes and empty lists.
    """
    names = [v.name for v in sheet.views] + [f"table {t.name}" for t in sheet.tables]
    twice = sorted({n for n in names if names.count(n) > 1})
    if twice:
        raise ValueError(f"names used twice on one sheet: {', '.join(twice)}")
    if not sheet.sizes or not sheet.scales or not sheet.text_sizes_mm:
        raise ValueError("sizes, scales and text_sizes_mm must each name at least one")
    tried: list[str] = []
    scales = tuple(sheet.scales) if sheet.views else (1.0,)
    smaller = tuple(s for s in SCALES if s < min(scales))[:1]
    # Rather an angle farther out, or all a step smaller than wished for, than no sheet.
    for those, late in ((scales, False), (scales, True), (smaller, True)):
        drawn = _fit(sheet, those, late, tried)
        if drawn is not None:
            return drawn
    raise SheetFitError(
        f"{sheet.title.title}: no allowed sheet size and scale holds the drawing without collision; allow a larger "
        "size or a smaller scale, or move content to another sheet. Tried: " + "; ".join(tried)
    )


def _fit(sheet: Sheet, scales: Sequence[float], late: bool, tried: list[str]) -> Drawn | None:
    """The sheet on the first size and scale that hold it; why others do not goes to `tried`. late: see place_view."""
    made: _Made = {}
    for size in sheet.sizes:
        width, height = sheet_size(size, sheet.orientation)
        for scale in scales:
            misfit = _misfit(sheet, scale, width, height)
            if misfit:
                tried.append(f"{size} {scale_text(scale)}: {misfit}")
                continue
            for text_mm in sheet.text_sizes_mm:
                text = DimSizes(text_mm, 0.86 * text_mm)
                drawn, why = _attempt(sheet, size, (width, height), scale, text, made, late)
                if drawn is not None:
                    return replace(drawn, tried=tuple(tried))
                tried.append(f"{size} {scale_text(scale)} text {text_mm:g}: {why}")
    return None


def _misfit(sheet: Sheet, scale: float, width: float, height: float) -> str:
    """Why a scale need not be tried: a view alone is too big, or all are too small to read."""
    space = (width - FILING_MM - BORDER_MM, height - 2.0 * BORDER_MM)
    largest, row, column = 0.0, 0.0, 0.0
    for view in sheet.views:
        own, k = view.extent(), view.own_scale(scale)
        wide, high = own.width * k, own.height * k
        if wide > space[0] or high > space[1]:
            return "views are larger than the sheet"
        largest = max(largest, wide, high)
        if view.slot in ("front", "left", "right", "seen from left", "seen from right"):
            row += wide + GAP_MM
        if view.slot in ("front", "above", "below", "seen from top", "seen from below"):
            column += high + GAP_MM
    if row > space[0] or column > space[1]:
        return "views are larger than the sheet"
    # Sizes and notes round the views are still to come, so this never turns away what would fit.
    wanted = sum(v.extent().width * v.extent().height * v.own_scale(scale) ** 2 for v in sheet.views)
    wanted += sum(b.width * b.height for b in (table_item(t).box() for t in sheet.tables))
    wanted += 60.0 * TITLE_WIDTH_MM + 60.0 * sum(map(len, (*sheet.notes, *sheet.cautions))) / 10.0
    if wanted > space[0] * space[1]:
        return "views, tables and notes are larger than the sheet together"
    return "views would be too small to read" if sheet.views and largest < LEAST_VIEW_MM else ""


def _attempt(
    sheet: Sheet, size: str, paper: tuple[float, float], scale: float, sizes: DimSizes, made: _Made, late: bool
) -> tuple[Drawn | None, str]:
    corner = (paper[0] - BORDER_MM, BORDER_MM)
    shown = scale if sheet.views else None
    title = title_block(sheet.title, corner, size, shown, sheet.projection, sheet.figures)
    assert title.block is not None
    extra: list[Item] = []
    fixed = [title.block]
    if sheet.revisions:
        table = revision_item(sheet.revisions).moved(title.block.x0, title.block.y1)
        assert table.block is not None
        extra.append(table)
        fixed.append(table.block)
    frame, border = frame_item(*paper, corner_top=fixed[-1].y1)
    placed: dict[str, list[Item]] = {}
    for view in sheet.views:
        own = view.own_scale(scale)
        told = ""
        for at in _scales_near(own) if late and view.scale is not None else (own,):
            key = (view.name, at if at == scale else -at, sizes.text_mm)
            if key not in made:
                note = f"({scale_text(at)})" if at != scale else ""
                items = place_view(view, at, sizes, sheet.figures, note, late=late)
                inner = collisions(items)
                made[key] = (items, f"{inner[0].what}: {inner[0].first} and {inner[0].second}" if inner else "")
            placed[view.name], why = made[key]
            told = told or why
            if not why:
                break
        else:
            return None, told
    grid = _grid(sheet, placed)
    middle = (paper[0] / 2.0, paper[1] / 2.0)
    marks = [
        Box(frame.x0, middle[1], frame.x0 + MARK_MM, middle[1]),
        Box(frame.x1 - MARK_MM, middle[1], frame.x1, middle[1]),
        Box(middle[0], frame.y1 - MARK_MM, middle[0], frame.y1),
        Box(middle[0], frame.y0, middle[0], frame.y0 + MARK_MM),
    ]
    groups = _groups(sheet, placed)
    largest_first = sorted(groups, key=_area, reverse=True)
    for origin in _origins(grid, frame, fixed):
        boxes = [b.moved(*origin) for b in grid.values()]
        if not all(frame.holds(b.grown(2.0)) for b in boxes):
            continue
        if any(b.grown(3.0).hits(o) for b in boxes for o in (*fixed, *marks)):
            continue
        packed = _pack(groups, frame, [*fixed, *boxes], marks) or _pack(largest_first, frame, [*fixed, *boxes], marks)
        if packed is None:
            continue
        items = [border, title, *extra]
        for name, box in grid.items():
            dx, dy = _offset(placed[name], box)
            items += [i.moved(dx + origin[0], dy + origin[1]) for i in placed[name]]
        items += packed
        drawn = Drawn(sheet.title, size, *paper, frame, scale, sizes, sheet.figures, tuple(items))
        found = overlaps(drawn)
        if not found:
            return drawn, ""
        return None, f"{found[0].what}: {found[0].first} and {found[0].second}"
    return None, "views, tables and notes do not fit beside each other"


def _scales_near(scale: float) -> list[float]:
    """A view's own scale, the next two smaller ones and the next larger one."""
    smaller = sorted((s for s in SCALES if s < scale), reverse=True)[:2]
    return [scale, *smaller, *sorted(s for s in SCALES if s > scale)[:1]]


def _offset(items: Sequence[Item], box: Box) -> P:
    around = union(i.box() for i in items)
    return box.x0 - around.x0, box.y0 - around.y0


def _grid(sheet: Sheet, placed: dict[str, list[Item]]) -> dict[str, Box]:
    """Boxes of the views that stand in projection with the front view, whose model origin is at (0, 0)."""
    third = sheet.projection == "third"
    ways = {
        "front": (0, 0),
        "above": (0, 1),
        "below": (0, -1),
        "left": (-1, 0),
        "right": (1, 0),
        "seen from top": (0, 1) if third else (0, -1),
        "seen from below": (0, -1) if third else (0, 1),
        "seen from right": (1, 0) if third else (-1, 0),
        "seen from left": (-1, 0) if third else (1, 0),
    }
    boxes: dict[str, Box] = {}
    order = sorted(
        (v for v in sheet.views if v.slot != "free"), key=lambda v: (v.slot != "front", ways[v.slot][0] == 0)
    )
    for view in order:
        way = ways[view.slot]
        box = union(i.box() for i in placed[view.name])
        if way != (0, 0) and boxes:
            # Push it outward until it clears everything that stands already.
            for _ in range(len(boxes) + 1):
                in_way = [b for b in boxes.values() if b.grown(GAP_MM).hits(box)]
                if not in_way:
                    break
                if way[0]:
                    move = (
                        max(b.x1 for b in in_way) + GAP_MM - box.x0
                        if way[0] > 0
                        else min(b.x0 for b in in_way) - GAP_MM - box.x1
                    )
                    box = box.moved(move, 0.0)
                else:
                    move = (
                        max(b.y1 for b in in_way) + GAP_MM - box.y0
                        if way[1] > 0
                        else min(b.y0 for b in in_way) - GAP_MM - box.y1
                    )
                    box = box.moved(0.0, move)
        boxes[view.name] = box
    return boxes


def _origins(grid: dict[str, Box], frame: Box, fixed: Sequence[Box]) -> Iterator[P]:
    """Places for the group of views, best balanced first."""
    if not grid:
        yield (0.0, 0.0)
        return
    whole = union(grid.values())
    top_of_title = max(b.y1 for b in fixed)
    left_of_title = min(b.x0 for b in fixed)
    margin = 5.0
    x_left = frame.x0 + margin - whole.x0
    x_right = frame.x1 - margin - whole.x1
    x_mid = (x_left + x_right) / 2.0
    x_beside = (frame.x0 + left_of_title) / 2.0 - whole.centre[0]
    y_top = frame.y1 - margin - whole.y1
    y_over = (top_of_title + frame.y1) / 2.0 - whole.centre[1]
    y_mid = (frame.y0 + frame.y1) / 2.0 - whole.centre[1]
    y_low = frame.y0 + margin - whole.y0
    for y in (y_over, y_mid, y_top, (y_over + y_top) / 2.0, y_low):
        for x in (x_mid, (x_left + x_mid) / 2.0, x_left, max(x_beside, x_left), (x_mid + x_right) / 2.0, x_right):
            yield (x, y)


def _groups(sheet: Sheet, placed: dict[str, list[Item]]) -> list[_Group]:
    groups = [_Group(((banner_item(sheet.banner),),), "top left")] if sheet.banner else []
    groups += [_Group((tuple(placed[v.name]),), "middle") for v in sheet.views if v.slot == "free"]
    groups += [_Group(((table_item(t),),), t.corner) for t in sheet.tables]
    widths = (150.0, 120.0, 95.0, 75.0, 180.0)
    if sheet.notes:
        head = "NOTES"
        groups.append(
            _Group(
                tuple((notes_item("notes", head, sheet.notes, w, numbered=True, framed=False),) for w in widths),
                "bottom left",
            )
        )
    if sheet.cautions:
        head = "CAUTIONS (guidance, not an approval)"
        groups.append(
            _Group(
                tuple(
                    (
                        notes_item(
                            "cautions",
                            head,
                            sheet.cautions,
                            w,
                            numbered=False,
                            framed=True,
                            text_mm=sheet.caution_text_mm,
                        ),
                    )
                    for w in widths
                ),
                "bottom left",
            )
        )
    return groups


def _area(group: _Group) -> float:
    box = union(i.box() for i in group.choices[0])
    return round(box.width * box.height, 3)


def _pack(groups: Sequence[_Group], frame: Box, obstacles: Sequence[Box], marks: Sequence[Box]) -> list[Item] | None:
    """Put each group in the free place nearest its corner; None when one finds none."""
    taken = list(obstacles)
    out: list[Item] = []
    inner = frame.grown(-4.0)
    for group in groups:
        spot = None
        for choice in group.choices:
            box = union(i.box() for i in choice)
            spot = _free_spot(box, group.corner, inner, taken, marks)
            if spot is not None:
                moved = [i.moved(spot[0] - box.x0, spot[1] - box.y0) for i in choice]
                taken.append(union(i.box() for i in moved))
                out += moved
                break
        if spot is None:
            return None
    return out


def _free_spot(box: Box, corner: str, inner: Box, taken: Sequence[Box], marks: Sequence[Box]) -> P | None:
    gap = GAP_MM - 1.0
    xs = [inner.x0, inner.x1 - box.width]
    ys = [inner.y0, inner.y1 - box.height]
    for other in (*taken, *marks):
        xs += [other.x1 + gap, other.x0 - gap - box.width, other.x0, other.x1 - box.width]
        ys += [other.y1 + gap, other.y0 - gap - box.height, other.y0, other.y1 - box.height]
    goal = {
        "top right": (inner.x1 - box.width, inner.y1 - box.height),
        "top left": (inner.x0, inner.y1 - box.height),
        "bottom left": (inner.x0, inner.y0),
        "middle": (inner.centre[0] - box.width / 2.0, inner.centre[1] - box.height / 2.0),
    }[corner]
    eps = 1e-6
    across, up = np.array(sorted(set(xs))), np.array(sorted(set(ys)))
    across = across[(across >= inner.x0 - eps) & (across + box.width <= inner.x1 + eps)]
    up = up[(up >= inner.y0 - eps) & (up + box.height <= inner.y1 + eps)]
    if not len(across) or not len(up):
        return None
    far = np.round(np.abs(across - goal[0])[:, None] + np.abs(up - goal[1])[None, :], 6)
    for others, room in ((taken, gap - 0.01), (marks, 1.0)):
        for t in others:
            beside = (across - room < t.x1 - eps) & (t.x0 < across + box.width + room - eps)
            level = (up - room < t.y1 - eps) & (t.y0 < up + box.height + room - eps)
            far[np.ix_(beside, level)] = np.inf
    i, j = divmod(int(far.argmin()), len(up))  # the first of equals: least x, then least y
    return (float(across[i]), float(up[j])) if np.isfinite(far[i, j]) else None
