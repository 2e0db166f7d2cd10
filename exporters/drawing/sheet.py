"""Sheets: their sizes, and what is to be drawn on one.

    sheet = Sheet(TitleBlock(title="Bracket", identification="SW-0001", date="2026-01-31"), sizes=("A3", "A2"))
    sheet.views += [front, top, side]
    sheet.tables.append(Table("holes", "HOLES", ("hole", "x", "y", "size"), rows))
    drawn = lay_out(sheet)
    assert not overlaps(drawn)

Sizes: ISO 5457 (A4 to A1) and ASME Y14.1 (A to D). Scales: ISO 5455. Title-block fields: ISO 7200. Border 20 mm on the
filing side and 10 mm elsewhere, fields of 50 mm from the centring marks (ISO 5457, from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

from strutwright.exporters.drawing.dims import DimSizes
from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.drawing.items import Collision, Item, collisions
from strutwright.exporters.drawing.shapes import Box
from strutwright.exporters.drawing.symbols import Projection
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


class SheetFitError(ValueError):
    """No allowed size and scale holds the content without a collision."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TitleBlock:
    """Fields of the title block (ISO 7200 and what the shop wants beside). The approving person is never filled in.

    mass: with its unit. standards: those by which sizes, tolerances and symbols are read. hand: such as "PORT". face:
    the face shown, where one is. remark: beside the scale; full-size patterns put their own there. Empty fields stay
    empty. short: without the rows on the part itself (material, hand, tolerance), for sheets that are not of one.
    """

    title: str
    identification: str
    date: str
    owner: str = ""
    supplementary_title: str = ""
    document_type: str = "Part drawing"
    creator: str = ""
    reference: str = ""
    revision: str = "-"
    language: str = "en"
    sheet_number: int = 1
    sheets: int = 1
    material: str = ""
    mass: str = ""
    finish: str = ""
    general_tolerance: str = ""
    standards: str = ""
    hand: str = ""
    face: str = ""
    remark: str = "Guidance, see cautions. Do not scale."
    short: bool = False


@dataclass(frozen=True, slots=True)
class Revision:
    """One line of the revision table."""

    index: str
    change: str
    date: str
    creator: str = ""


JOINED = "\0"
"""In the place of a table's cell: the one at its left reaches over it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table. name: unique on the sheet; columns: heads; rows: as many cells each; numbers go in as text.

    left: columns set to the left (others are centred), by position. row_mm: height of a row;
    text_mm: of its letters; pad_mm: beside them; line_mm: from line to line of a cell. least_mm: least widths of the
    columns from the first on, for cells that are filled in by hand. written_mm: least height of a row with a blank
    cell. corner: where on the sheet it goes if it can.
    A cell may be JOINED to the one at its left; a row that is one cell is the head of those below it. Without a title
    it begins with its heads.
    codes: of the rows of the inspection record that its rows are, "" for none; their numbers then come first.
    """

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: frozenset[int] = frozenset()
    row_mm: float = 5.0
    text_mm: float = 2.5
    pad_mm: float = 1.5
    line_mm: float = 3.625
    least_mm: tuple[float, ...] = ()
    written_mm: float = 0.0
    corner: Literal["top right", "top left"] = "top right"
    codes: tuple[str, ...] = ()

    def in_words(self, own_words: Callable[[str], str]) -> Table:
        """Return the table in other words."""
        rows = tuple(tuple(own_words(cell) for cell in row) for row in self.rows)
        return replace(self, title=own_words(self.title), columns=tuple(own_words(c) for c in self.columns), rows=rows)

    def is_head(self, row: int) -> bool:
        """Whether a row is one cell, the head of those below it."""
        return len(self.columns) > 1 and all(cell == JOINED for cell in self.rows[row][1:])

    def filled(self) -> Table:
        """Return the table without the columns in which every row has but a dash."""
        kept = [k for k in range(len(self.columns)) if any(row[k] != "-" for row in self.rows)]
        if len(kept) == len(self.columns) or not self.rows:
            return self
        return replace(
            self,
            columns=tuple(self.columns[k] for k in kept),
            rows=tuple(tuple(row[k] for k in kept) for row in self.rows),
            left=frozenset(kept.index(k) for k in self.left if k in kept),
            least_mm=tuple(self.least_mm[k] for k in kept if k < len(self.least_mm)),
        )


@dataclass(slots=True)
class Sheet:
    """What is to be drawn. sizes: allowed sheets, tried in order; scales: allowed scales, tried in order;
    text_sizes_mm: heights of dimension text, tried in order at each scale. banner: a few words set large in a frame,
    such as the hand. caution_text_mm, note_text_mm: heights of the cautions' and the notes' letters. least_view_mm: the
    largest view is never drawn smaller than this on paper. marks: whether it has centring marks, which tables that go
    from side to side do not leave room for. to_scale: whether its title block has the scale; not where the views are
    read by their figures alone. banner_mm: height of the banner's letters.
    """

    title: TitleBlock
    views: list[View] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    revisions: list[Revision] = field(default_factory=list)
    sizes: tuple[str, ...] = ("A3",)
    scales: tuple[float, ...] = SCALES
    text_sizes_mm: tuple[float, ...] = (3.5, 2.5)
    projection: Projection = "third"
    figures: Figures = field(default_factory=Figures)
    banner: str = ""
    caution_text_mm: float = 2.5
    note_text_mm: float = 2.5
    least_view_mm: float = 35.0
    marks: bool = True
    to_scale: bool = True
    banner_mm: float = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
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
