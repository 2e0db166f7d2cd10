"""Full-size paper: any `CutFile` as PDF tiles for an office printer, and as one page for a roll plotter.

    Path("wrap-A4.pdf").write_bytes(tile_pdf(cut, "A4"))
    Path("wrap-roll.pdf").write_bytes(roll_pdf(cut))

The tiles overlap by 10 mm and carry register crosses in the overlap, their place (row and column), and a check bar in
both directions; the first page holds the map of the pages and how to join them. Tiles with nothing on them are left
out, and the map says so. Where it saves tiles, the sentences under the drawing stand on the first page instead. All is
drawn at scale 1:1 and the document asks the viewer not to fit it to the page. Paper and DXF are drawn from the same
shapes, those of the `CutFile`. The same input gives the same bytes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Literal, TypeAlias

import numpy as np

from strutwright.exporters.drawing.pdf import Pages
from strutwright.exporters.drawing.shapes import Arc, Box, Line, Poly, Shape, Text, bounds, clip, flatten, union
from strutwright.exporters.drawing.style import INKS, Kind
from strutwright.exporters.drawing.text import text_width, wrap
from strutwright.exporters.files.cutfile import CutFile
from strutwright.params.quantity import INCH_MM
from strutwright.params.words import mm, read, say

Paper = Literal["A4", "Letter"]
PAPERS_MM: dict[Paper, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MARGIN_MM = 10.0
OVERLAP_MM = 10.0
LONGEST_PAGE_MM = 5080.0
"""The longest page side the PDF format takes (14400 units of 1/72 in)."""

_FOOT = 17.0  # room under the window for the horizontal check bar and the label
_SIDE = 11.0  # room left of the window for the vertical check bar
_LEFT, _LOW = MARGIN_MM + _SIDE, MARGIN_MM + _FOOT  # the window's lower left corner
_EDGE = 3.0  # kept free round the geometry, so that no line is cut along its width
_CROSS = 8.0
_SMALL, _TEXT, _LARGE = 2.5, 3.5, 5.0
_READABLE = 1.8
_HEAD = 52.0  # of the first page: its name, how many tiles, the caution, how they are joined
_LEAST_MAP = 45.0  # height of the map that is still read
_BETWEEN = 1.0  # between sentences
_SHIFTS = (0.5, 0.3, 0.7, 0.1, 0.9, 0.0, 1.0)
_Floats: TypeAlias = np.ndarray[Any, np.dtype[np.float64]]
_KINDS: dict[str, Kind] = {
    "CUT_OUTER": "visible",
    "CUT_INNER": "visible",
    "TEMPLATE": "visible",
    "DRILL": "visible",
    "COUNTERSINK": "thin",
    "ENGRAVE": "thin",
    "CENTRE": "centre",
    "PHANTOM": "phantom",
    "FOLD": "hidden",
    "CHECK": "thin",
    "TEXT": "thin",
}
"""What a layer means on paper; a layer not named here is drawn as a thin line."""

CAUTION = (
    "Print at 100 %, not fitted to the page. Measure the check bars on every page in both directions before use; "
    "paper and printers stretch. Guidance only, not an approval."
)
_JOINING = (
    "Rows count from the bottom, columns from the left. Trim each tile along the right and the upper side of its "
    "frame, lay it over the next one until the register crosses coincide, and tape. Measure the lines over all, or "
    "another long dimension, over the joint."
)


@dataclass(frozen=True, slots=True)
class _Drawing:
    """Geometry in mm: strokes by kind, texts, and the box round both."""

    strokes: tuple[tuple[Kind, tuple[Shape, ...]], ...]
    texts: tuple[Text, ...]
    box: Box

    def pieces(self) -> _Floats:
        """Return all strokes as straight pieces (n, 2 ends, 2), the boxes round texts among them."""
        rows = [flatten(shape, 0.2) for _, shapes in self.strokes for shape in shapes]
        rows += [flatten(t.box().outline()) for t in self.texts]
        return np.concatenate([np.stack((r[:-1], r[1:]), axis=1) for r in rows])


def _enters(pieces: _Floats, window: Box) -> bool:
    """True when one of the straight pieces enters the window."""
    first, last = clip(window.corners(), pieces.reshape(-1, 4))
    return bool(np.any(first <= last))


def _drawing(cut: CutFile, count: int | None = None) -> _Drawing:
    """Sort what a file holds, or its first `count` items, into strokes and texts."""
    items = cut.items[:count]
    strokes = [(_KINDS.get(on, "thin"), (shape,)) for on, shape in items if not isinstance(shape, Text)]
    texts = [shape for _, shape in items if isinstance(shape, Text)]
    return _Drawing(tuple(strokes), tuple(texts), cut.extents(count).grown(_EDGE))


# --- how it is cut up ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Tile:
    """One page: row from the bottom and column from the left, 1 first; window on the geometry in mm; used: printed."""

    row: int
    column: int
    window: Box
    used: bool


@dataclass(frozen=True, slots=True)
class Tiling:
    """How geometry falls on pages. page_mm: width and height of the paper as held; tiles by row, then column; crosses:
    register crosses in the geometry's mm; apart: the sentences under the drawing are not on the tiles."""

    page_mm: tuple[float, float]
    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    crosses: tuple[tuple[float, float], ...]
    apart: bool = False

    @property
    def printed(self) -> int:
        """How many tiles are printed."""
        return sum(tile.used for tile in self.tiles)


def tiling(cut: CutFile, paper: Paper = "A4") -> tuple[Tiling, _Drawing]:
    """Return how a file is cut into the fewest pages, upright or lying, its sentences under it or on the first page;
    and what is drawn on them."""
    if paper not in PAPERS_MM:
        raise ValueError(f"paper: got {paper!r}, allowed are {', '.join(PAPERS_MM)}")
    w, h = PAPERS_MM[paper]
    whole = _drawing(cut)
    made = [(_cut_up(whole, page), whole) for page in ((w, h), (h, w))]
    if cut.facts and min(plan.printed for plan, _ in made) > 1:
        alone = _drawing(cut, cut.drawn)
        pages = [page for page in ((w, h), (h, w)) if _facts_height_mm(cut, page) is not None]
        made += [(replace(_cut_up(alone, page), apart=True), alone) for page in pages]
    return min(made, key=lambda pair: pair[0].printed)


def _facts_height_mm(cut: CutFile, page: tuple[float, float]) -> float | None:
    """Return the height of letters in which the sentences have room beside the map; None where they have none."""
    width, tall = page[0] - 2 * MARGIN_MM - _SIDE, page[1] - 2 * MARGIN_MM - _FOOT - _HEAD
    for height in (_TEXT, _SMALL):
        rows = sum(len(wrap(text, height, width)) for text, _ in cut.facts)
        if 1.7 * height * rows + _BETWEEN * len(cut.facts) + _LEAST_MAP <= tall:
            return height
    return None


def _cut_up(drawing: _Drawing, page: tuple[float, float]) -> Tiling:
    wide, tall = page[0] - 2 * MARGIN_MM - _SIDE, page[1] - 2 * MARGIN_MM - _FOOT
    box = drawing.box
    columns = max(math.ceil((box.width - OVERLAP_MM) / (wide - OVERLAP_MM) - 1e-9), 1)
    rows = max(math.ceil((box.height - OVERLAP_MM) / (tall - OVERLAP_MM) - 1e-9), 1)
    step_x, step_y = wide - OVERLAP_MM, tall - OVERLAP_MM
    spare_x, spare_y = columns * step_x + OVERLAP_MM - box.width, rows * step_y + OVERLAP_MM - box.height
    holes = [bounds(s) for _, shapes in drawing.strokes for s in shapes if isinstance(s, Arc) and s.full]
    spared = [box.grown(0.5) for box in (*(t.box() for t in drawing.texts), *holes)]
    best: tuple[int, int, int] | None = None
    plan: Tiling | None = None
    pieces = drawing.pieces()
    half = _CROSS / 2
    low, high = (
        np.array([[x + side * half, y + side * half] for x, y in corners]).reshape(1, -1, 2)
        for side, corners in ((-1, [(b.x0, b.y0) for b in spared]), (1, [(b.x1, b.y1) for b in spared]))
    )
    # Within the spare room, leave as many pages empty as can be; then put the joints where the fewest holes are cut,
    # none of them whole on any page, and the crosses hit the fewest words and holes.
    for fx, fy in ((fx, fy) for fy in _SHIFTS for fx in _SHIFTS):
        x0, y0 = box.x0 - fx * spare_x, box.y0 - fy * spare_y
        crosses = _crosses_at(x0, y0, step_x, step_y, columns, rows)
        at = np.array(crosses).reshape(-1, 1, 2)
        hit = int(np.count_nonzero(((at > low) & (at < high)).all(axis=2)))
        windows = [
            (r, c, Box(x0 + c * step_x, y0 + r * step_y, x0 + c * step_x + wide, y0 + r * step_y + tall))
            for r in range(rows)
            for c in range(columns)
        ]
        tiles = tuple(Tile(r + 1, c + 1, window, _enters(pieces, window)) for r, c, window in windows)
        found = Tiling(page, rows, columns, tiles, crosses)
        parted = sum(not any(window.holds(hole) for _, _, window in windows) for hole in holes)
        if best is None or (found.printed, parted, hit) < best:
            best, plan = (found.printed, parted, hit), found
        if parted == hit == 0 and (rows == 1 or columns == 1):
            break  # nothing is empty there, or it is whatever the shift
    assert plan is not None
    return plan


def _crosses_at(
    x0: float, y0: float, step_x: float, step_y: float, columns: int, rows: int
) -> tuple[tuple[float, float], ...]:
    """Crosses in the middle of every overlap: at its ends and its middle."""
    half = OVERLAP_MM / 2
    xs = [x0 + half + k * step_x for k in range(columns + 1)]
    ys = [y0 + half + k * step_y for k in range(rows + 1)]
    found = [(x, y) for x in xs[1:-1] for y in _with_middles(ys)]
    found += [(x, y) for y in ys[1:-1] for x in _with_middles(xs)]
    return tuple(sorted(set(found)))


def _with_middles(values: Sequence[float]) -> list[float]:
    return [*values, *((a + b) / 2 for a, b in pairwise(values))]


# --- writing ---------------------------------------------------------------------------------------------------------


class _Sheet(Pages):
    """Pages in millimetres from the lower left corner."""

    def stroke(self, shapes: Iterable[Shape], kind: Kind) -> None:
        self.draw(shapes, INKS[kind])

    def lines(self, text: str, at: tuple[float, float], height: float, width: float) -> float:
        """Write wrapped text downward from the base line at `at`; return the next base line."""
        y = at[1]
        for row in wrap(text, height, width):
            self.text(Text(row, (at[0], y), height))
            y -= 1.7 * height
        return y

    def check_bars(self, cut: CutFile) -> None:
        """Bars of 100 mm or 4 in between ticks under the window and left of it, the length written along each."""
        length = 100.0 if cut.unit == "mm" else 4 * INCH_MM
        label = f"check {cut.length(length)}"
        x, y = _LEFT, MARGIN_MM + 11.0
        ends = [((x + d, y - 2.0), (x + d, y + 2.0)) for d in (0.0, length)]
        self.stroke([Line((x, y), (x + length, y)), *(Line(a, b) for a, b in ends)], "thin")
        self.text(Text(label, (x + 4.0, y + 1.0), _SMALL))
        x, y = MARGIN_MM + 4.5, _LOW
        ends = [((x - 2.0, y + d), (x + 2.0, y + d)) for d in (0.0, length)]
        self.stroke([Line((x, y), (x, y + length)), *(Line(a, b) for a, b in ends)], "thin")
        self.text(Text(label, (x - 1.0, y + 4.0), _SMALL, turn=math.pi / 2))

    def geometry(self, drawing: _Drawing) -> None:
        for kind, shapes in drawing.strokes:
            self.stroke(shapes, kind)
        for words in drawing.texts:
            self.text(words)


def tile_pdf(cut: CutFile, paper: Paper = "A4", title: str = "") -> bytes:
    """Return a PDF of a first page with the map and the tiles of a file, at scale 1:1.

    paper: "A4" or "Letter". title: what stands on every page; the file's own name when left out. Raises ValueError for
    another paper or an empty file.
    """
    plan, drawing = tiling(cut, paper)
    name = title or cut.own(cut.name)
    sheet = _Sheet(name)
    used = [t for t in plan.tiles if t.used]
    _map_page(sheet, name, plan, drawing, paper, cut)
    for number, tile in enumerate(used, start=2):
        sheet.page(*plan.page_mm)
        left, low = _LEFT, _LOW
        window = tile.window
        c = sheet.canvas
        c.saveState()
        clip = c.beginPath()
        clip.rect(left, low, window.width, window.height)
        c.clipPath(clip, stroke=0, fill=0)
        c.translate(left - window.x0, low - window.y0)
        sheet.geometry(drawing)
        for x, y in plan.crosses:
            h = _CROSS / 2
            sheet.stroke([Line((x - h, y), (x + h, y)), Line((x, y - h), (x, y + h)), Arc((x, y), h / 2)], "hatch")
        c.restoreState()
        sheet.stroke([Box(left, low, left + window.width, low + window.height).outline()], "hatch")
        sheet.check_bars(cut)
        right = left + window.width
        sheet.text(Text(f"row {tile.row}, column {tile.column}", (right, MARGIN_MM + 10.5), _LARGE, "right"))
        sheet.text(Text(f"{name}: page {number} of {len(used) + 1}", (left, MARGIN_MM + 4.0), _SMALL))
        first = "Read page 1. " if plan.apart else ""
        words = f"scale 1:1, unit {cut.unit_word}. {first}Measure both check bars before use. Guidance, not approval."
        sheet.text(Text(words, (left, MARGIN_MM), _SMALL))
        sheet.end_page()
    return sheet.close()


def _map_page(sheet: _Sheet, name: str, plan: Tiling, drawing: _Drawing, paper: Paper, cut: CutFile) -> None:
    """The first page: what it is, how to join the tiles, the sentences that are not on them, the map, check bars."""
    sheet.page(*plan.page_mm)
    wide, tall = plan.page_mm
    left, width = _LEFT, wide - 2 * MARGIN_MM - _SIDE
    y = sheet.lines(name, (left, tall - MARGIN_MM - _LARGE), _LARGE, width) - 1.0
    box = union([bounds(s) for _, shapes in drawing.strokes for s in shapes])
    used = sum(t.used for t in plan.tiles)
    size = f"{cut.figure(box.width)} x {cut.length(box.height)}"
    texts = [
        f"{used} tile{'s' if used > 1 else ''} on {paper}, {plan.rows} row{'s' if plan.rows > 1 else ''} by "
        f"{plan.columns} column{'s' if plan.columns > 1 else ''}; scale 1:1, unit {cut.unit_word}; "
        f"lines {size} over all",
        CAUTION,
    ]
    for text in texts if used < 2 else [*texts, _JOINING]:
        y = sheet.lines(text, (left, y), _TEXT, width) - 1.5
    if plan.apart:
        height = _facts_height_mm(cut, plan.page_mm) or _SMALL
        for sentence, _ in cut.facts:
            y = sheet.lines(sentence, (left, y), height, width) - _BETWEEN
    _map(sheet, plan, drawing, Box(left, _LOW + 2.0, left + width, y + 1.5))
    sheet.check_bars(cut)
    sheet.text(
        Text(f"page 1 of {used + 1}: map of the pages (row/column), not to scale", (left, MARGIN_MM + 2.0), _SMALL)
    )
    sheet.end_page()


def _label_mm(label: str, width: float, height: float) -> float:
    return min(_TEXT, 0.6 * width / text_width(label, 1.0), 0.3 * height)


def _map(sheet: _Sheet, plan: Tiling, drawing: _Drawing, room: Box) -> None:
    """The tiles in their places, small, with what is cut on them, in the middle of a room on the page."""
    first = plan.tiles[0].window
    x0, y0 = first.x0, first.y0
    wide = plan.columns * (first.width - OVERLAP_MM) + OVERLAP_MM
    tall = plan.rows * (first.height - OVERLAP_MM) + OVERLAP_MM
    scale = min(room.width / wide, room.height / tall, 0.5)
    c = sheet.canvas
    c.saveState()
    c.translate(room.x0 + (room.width - wide * scale) / 2, room.y0 + (room.height - tall * scale) / 2)

    def small(shape: Shape) -> Poly:
        return Poly(tuple(((px - x0) * scale, (py - y0) * scale) for px, py in flatten(shape, 0.2).tolist()))

    for kind, shapes in drawing.strokes:
        if kind != "thin" and kind != "centre":
            sheet.stroke([small(s) for s in shapes], "hatch")
    for tile in plan.tiles:
        a, b = (tile.window.x0 - x0) * scale, (tile.window.y0 - y0) * scale
        w, h = tile.window.width * scale, tile.window.height * scale
        sheet.stroke([Box(a, b, a + w, b + h).outline()], "thin" if tile.used else "hidden")
        label = f"row {tile.row}, column {tile.column}" if tile.used else "nothing here"
        height = _label_mm(label, w, h)
        if height < _READABLE:
            label = f"{tile.row}/{tile.column}" if tile.used else "-"
            height = _label_mm(label, w, h)
        middle = (a + w / 2, b + h / 2 - height / 2)
        pad = 0.5 * height
        half = text_width(label, height) / 2 + pad
        c.setFillGray(1.0)
        c.rect(middle[0] - half, middle[1] - pad, 2 * half, height + 2 * pad, stroke=0, fill=1)
        c.setFillGray(0.0)
        sheet.text(Text(label, middle, height, "centre"))
    c.restoreState()


def roll_pdf(cut: CutFile, title: str = "") -> bytes:
    """Return a PDF of one page that holds the whole file at scale 1:1, for a roll plotter.

    title: as for `tile_pdf`. Raises ValueError when the page would be longer than the PDF format takes.
    """
    drawing = _drawing(cut)
    name = title or cut.own(cut.name)
    box = drawing.box
    left, low = _LEFT, _LOW
    wide, tall = max(box.width, 180.0), max(box.height, 105.0)
    rows = wrap(name, _LARGE, wide)
    size = (wide + left + MARGIN_MM, tall + low + MARGIN_MM + 1.7 * _LARGE * len(rows) + 2.0)
    if max(size) > LONGEST_PAGE_MM:
        words = "{name}: needs a page of {length}, and a PDF page is at most {most} long; use the tiles or the DXF"
        told = say(words, name=cut.own(cut.name), length=mm(max(size)), most=mm(LONGEST_PAGE_MM))
        raise ValueError(read(told, cut.unit))
    sheet = _Sheet(name)
    sheet.page(*size)
    c = sheet.canvas
    c.saveState()
    c.translate(left + (wide - box.width) / 2 - box.x0, low + (tall - box.height) / 2 - box.y0)
    sheet.geometry(drawing)
    c.restoreState()
    sheet.lines(name, (left, size[1] - MARGIN_MM - _LARGE), _LARGE, wide)
    sheet.check_bars(cut)
    across = " x ".join(cut.said(mm(side)) for side in size)
    sheet.lines(f"Page {across}, scale 1:1, unit {cut.unit_word}. {CAUTION}", (left, MARGIN_MM + 5.0), _SMALL, wide)
    sheet.end_page()
    return sheet.close()
