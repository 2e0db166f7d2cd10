"""The automatic layout of a sheet: views in projection, their dimensions, tables and notes, without a collision."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

import numpy as np

from strutwright.exporters.drawing import blocks
from strutwright.exporters.drawing.blocks import BORDER_MM, FILING_MM, MARK_MM, TITLE_WIDTH_MM
from strutwright.exporters.drawing.dims import DimSizes
from strutwright.exporters.drawing.fit import place_view
from strutwright.exporters.drawing.items import Item, collisions
from strutwright.exporters.drawing.shapes import Box, P, union
from strutwright.exporters.drawing.sheet import SIZES_MM, Drawn, Sheet, SheetFitError, overlaps, scale_text
from strutwright.exporters.drawing.view import SCALES

GAP_MM = 6.0
_MARGIN_MM = 4.0
"""From the frame to tables and notes, at least."""


@dataclass(frozen=True, slots=True)
class _Group:
    """Items that move together. choices: the same content in other proportions, tried in order."""

    choices: tuple[tuple[Item, ...], ...]
    corner: Literal["top right", "bottom left", "top left", "middle"]


Made = dict[tuple[str, float, float], tuple[list[Item], str]]
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


def size_of_paper(sheet: Sheet, made: Made, *, late: bool) -> str | None:
    """Return the size of paper on which a sheet goes, or None. made: its views, kept from try to try of sheets that
    show the same. late: angles may stand farther out, views of their own scale be a step smaller."""
    drawn = _fit(sheet, tuple(sheet.scales) if sheet.views else (1.0,), late, [], made)
    return None if drawn is None else drawn.size


def _fit(sheet: Sheet, scales: Sequence[float], late: bool, tried: list[str], made: Made | None = None) -> Drawn | None:
    """The sheet on the first size and scale that hold it; why others do not goes to `tried`. late: see place_view."""
    made = {} if made is None else made
    for size in sheet.sizes:
        if size not in SIZES_MM:
            raise ValueError(f"sheet size {size!r}: allowed are {', '.join(SIZES_MM)}")
        width, height = SIZES_MM[size]
        for scale in scales:
            misfit = _misfit(sheet, scale, width, height)
            if misfit:
                tried.append(f"{size} {scale_text(scale)}: {misfit}")
                continue
            for text_mm in sheet.text_sizes_mm:
                sizes = DimSizes(text_mm, 0.86 * text_mm)
                trial = _Try(sheet, size, (width, height), scale, sizes, late, made)
                try:
                    return replace(trial.drawn(), tried=tuple(tried))
                except _NoRoomError as why:
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
    wanted += sum(b.width * b.height for b in (blocks.table_item(t).box() for t in sheet.tables))
    title = blocks.title_block(sheet.title, (0.0, 0.0), "", None, sheet.projection, sheet.figures).box()
    wanted += title.height * TITLE_WIDTH_MM + 60.0 * sum(map(len, (*sheet.notes, *sheet.cautions))) / 10.0
    if wanted > space[0] * space[1]:
        return "views, tables and notes are larger than the sheet together"
    return "views would be too small to read" if sheet.views and largest < sheet.least_view_mm else ""


class _NoRoomError(Exception):
    """Why a sheet does not hold its content."""


@dataclass(frozen=True, slots=True)
class _Try:
    """A sheet on one size of paper, at one scale, with one size of letters. made: views placed before."""

    sheet: Sheet
    size: str
    paper: tuple[float, float]
    scale: float
    sizes: DimSizes
    late: bool
    made: Made

    def drawn(self) -> Drawn:
        """Return the sheet laid out. Raises _NoRoomError."""
        sheet, paper = self.sheet, self.paper
        shown = self.scale if sheet.to_scale and any(v.slot != "foot" for v in sheet.views) else None
        corner = (paper[0] - BORDER_MM, BORDER_MM)
        title = blocks.title_block(sheet.title, corner, self.size, shown, sheet.projection, sheet.figures)
        assert title.block is not None
        fixed = [title]
        if sheet.revisions:
            fixed.append(blocks.revision_item(sheet.revisions).moved(title.block.x0, title.block.y1))
        taken = [item.block for item in fixed if item.block is not None]
        # Tables go from side to side of a form: nothing is centred on it by the marks.
        mark_mm = MARK_MM if sheet.marks and not (sheet.title.short and shown is None) else 0.0
        frame, border = blocks.frame_item(
            *paper, corner_top=taken[-1].y1, mark_mm=mark_mm, ansi=self.size.startswith("ANSI")
        )
        placed = self._placed()
        grid = _grid(sheet, placed)
        marks = _marks(frame, (paper[0] / 2.0, paper[1] / 2.0)) if mark_mm else []
        orders = self._orders(placed, frame)
        for origin in _origins(grid, frame, taken):
            boxes = [b.moved(*origin) for b in grid.values()]
            if not all(frame.holds(b.grown(2.0)) for b in boxes):
                continue
            if any(b.grown(3.0).hits(o) for b in boxes for o in (*taken, *marks)):
                continue
            around = [*taken, *boxes]
            tried = (_pack(some, frame, around, marks) for some in orders)
            packed = next((items for items in tried if items is not None), None)
            if packed is None:
                continue
            items = [border, *fixed]
            for name, box in grid.items():
                dx, dy = _offset(placed[name], box)
                items += [i.moved(dx + origin[0], dy + origin[1]) for i in placed[name]]
            on_it = (*items, *packed)
            drawn = Drawn(
                title=sheet.title,
                size=self.size,
                width_mm=paper[0],
                height_mm=paper[1],
                frame=frame,
                scale=self.scale,
                sizes=self.sizes,
                figures=sheet.figures,
                items=on_it,
            )
            for found in overlaps(drawn)[:1]:
                raise _NoRoomError(f"{found.what}: {found.first} and {found.second}")
            return drawn
        raise _NoRoomError("views, tables and notes do not fit beside each other")

    def _orders(self, placed: dict[str, list[Item]], frame: Box) -> list[list[_Group]]:
        """The orders, and widths, in which what stands beside the views is tried."""
        sheet, groups = self.sheet, _groups(self.sheet, placed)
        by_size = sorted(groups, key=_area, reverse=True)
        orders = [groups, by_size] if sheet.to_scale else [groups]
        if not sheet.views or not sheet.to_scale:
            wide = frame.width - 2.0 * _MARGIN_MM
            column = (wide - GAP_MM) / 2.0
            orders.append(_groups(sheet, placed, (wide, column, *_NOTE_WIDTHS_MM)))
            orders.append(_groups(sheet, placed, (column,)))
        if not sheet.to_scale:  # what is read in its order, as a card, keeps it if it can, and its banner first
            orders.append(
                [*groups[: bool(sheet.banner)], *(g for g in by_size if g is not groups[0] or not sheet.banner)]
            )
        return orders

    def _placed(self) -> dict[str, list[Item]]:
        """The items of each view; late, a view of its own scale may take one near it. Raises _NoRoomError."""
        placed: dict[str, list[Item]] = {}
        for view in self.sheet.views:
            own, told = view.own_scale(self.scale), ""
            for at in _scales_near(own) if self.late and view.scale is not None else (own,):
                key = (view.name, at if at == self.scale else -at, self.sizes.text_mm)
                if key not in self.made:
                    note = f"({scale_text(at)})" if at != self.scale else ""
                    items = place_view(view, at, self.sizes, self.sheet.figures, note, late=self.late)
                    inner = collisions(items)
                    why = f"{inner[0].what}: {inner[0].first} and {inner[0].second}" if inner else ""
                    self.made[key] = (items, why)
                placed[view.name], why = self.made[key]
                told = told or why
                if not why:
                    break
            else:
                raise _NoRoomError(told)
        return placed


def _marks(frame: Box, middle: P) -> list[Box]:
    """Where the centring marks reach into the drawing space."""
    return [
        Box(frame.x0, middle[1], frame.x0 + MARK_MM, middle[1]),
        Box(frame.x1 - MARK_MM, middle[1], frame.x1, middle[1]),
        Box(middle[0], frame.y1 - MARK_MM, middle[0], frame.y1),
        Box(middle[0], frame.y0, middle[0], frame.y0 + MARK_MM),
    ]


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
    ways = {"front": (0, 0), "above": (0, 1), "below": (0, -1), "left": (-1, 0), "right": (1, 0)}
    for name, (x, y) in (("top", (0, 1)), ("below", (0, -1)), ("right", (1, 0)), ("left", (-1, 0))):
        ways[f"seen from {name}"] = (x, y) if third else (-x, -y)
    boxes: dict[str, Box] = {}
    order = sorted(
        (v for v in sheet.views if v.slot not in _ALONE), key=lambda v: (v.slot != "front", ways[v.slot][0] == 0)
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
                    out = [b.x1 + GAP_MM - box.x0 if way[0] > 0 else b.x0 - GAP_MM - box.x1 for b in in_way]
                    box = box.moved(max(out, key=abs), 0.0)
                else:
                    out = [b.y1 + GAP_MM - box.y0 if way[1] > 0 else b.y0 - GAP_MM - box.y1 for b in in_way]
                    box = box.moved(0.0, max(out, key=abs))
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


_ALONE = ("free", "foot")
"""Slots of views that no other one decides; those at the foot, and in the middle, come ahead of the tables."""


_NOTE_WIDTHS_MM = (150.0, 120.0, 95.0, 75.0, 180.0)


def _groups(sheet: Sheet, placed: dict[str, list[Item]], widths: Sequence[float] = _NOTE_WIDTHS_MM) -> list[_Group]:
    """What goes where there is room, in the order of placing. widths: of notes and cautions, mm, tried in order."""
    groups = [_Group(((blocks.banner_item(sheet.banner, sheet.banner_mm),),), "top left")] if sheet.banner else []
    free = [_Group((tuple(placed[v.name]),), v.corner) for v in sheet.views if v.slot == "free"]
    groups += [_Group((tuple(placed[v.name]),), "bottom left") for v in sheet.views if v.slot == "foot"]
    groups += [g for g in free if g.corner == "middle"]
    groups += [_Group(((blocks.table_item(t),),), t.corner) for t in sheet.tables]
    groups += [g for g in free if g.corner != "middle"]
    told = []
    if sheet.notes:
        plain = partial(blocks.notes_item, numbered=True, framed=False, text_mm=sheet.note_text_mm)
        told.append(partial(plain, "notes", "NOTES", sheet.notes))
    if sheet.cautions:
        framed = partial(blocks.notes_item, numbered=False, framed=True, text_mm=sheet.caution_text_mm)
        told.append(partial(framed, "cautions", "CAUTIONS (guidance, not an approval)", sheet.cautions))
    groups += [_Group(tuple((block(width=w),) for w in widths), "bottom left") for block in told]
    return groups


def _area(group: _Group) -> float:
    box = union(i.box() for i in group.choices[0])
    return round(box.width * box.height, 3)


def _pack(groups: Sequence[_Group], frame: Box, obstacles: Sequence[Box], marks: Sequence[Box]) -> list[Item] | None:
    """Put each group in the free place nearest its corner; None when one finds none."""
    taken = list(obstacles)
    out: list[Item] = []
    inner = frame.grown(-_MARGIN_MM)
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
