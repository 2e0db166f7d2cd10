"""The numbers of the inspection record on a sheet that is laid out: each beside the size or tolerance that it is of.

A number stands in a ring, drawn out for several rows of one size; a thin line leads to it where it stands apart.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np

from strutwright.exporters.drawing.items import Item, Occupied, Stroke
from strutwright.exporters.drawing.shapes import Arc, Box, Line, P, Text, along, union
from strutwright.exporters.drawing.sheet import Drawn, Table
from strutwright.exporters.drawing.text import text_width

TEXT_MM = 2.5
_HIGH_MM = 4.0
_LIFTS_MM = (0.0, 0.5, 1.0)
_GAPS_MM = (0.9, 3.0, 6.0, 10.0, 15.0, 21.0, 28.0, 36.0, 46.0, 58.0, 72.0)
_WAYS_DEG = (0, 180, 90, 270, 35, 145, -35, -145, 65, 115, -65, -115)


def with_numbers(drawn: Drawn, numbers: Mapping[str, int]) -> tuple[Drawn, tuple[str, ...]]:
    """Return a sheet with the numbers of its rows, and the codes on it for which no room was found.

    numbers: of the rows of the record by their codes. A size may be that of several rows: `bore1.gauged` is that of all
    codes that go on with a point, `palm1.hole` that of all that are a figure longer.
    """
    occupied = Occupied(clearance_mm=0.5, block_clearance_mm=0.3, apart_mm=0.9)
    for item in drawn.items:
        occupied.add(item)
        if item.name == "hatching":  # no number on it, though its lines would give way to one
            occupied.add(replace(item, strokes=tuple(Stroke(s.shape, "thin") for s in item.strokes)))
    added: list[Item] = []
    lost: list[str] = []
    for item in drawn.items:
        text = told(rows_of(item.row, numbers)) if item.row and item.texts else ""
        if not text:
            continue
        made = _best(item, text, drawn, occupied)
        if made is None:
            lost.append(item.row)
            continue
        occupied.add(made)
        added.append(made)
    return replace(drawn, items=(*drawn.items, *added)), tuple(lost)


def table_with_numbers(table: Table, numbers: Mapping[str, int]) -> Table:
    """Return a table with a first column of the numbers of the record, where it names rows of it."""
    if not table.codes:
        return table
    found = [told(rows_of(code, numbers)) if code else "" for code in table.codes]
    return replace(
        table,
        columns=("record no.", *table.columns),
        rows=tuple((number, *row) for number, row in zip(found, table.rows, strict=True)),
        left=frozenset(k + 1 for k in table.left),
        least_mm=(0.0, *table.least_mm) if table.least_mm else (),
        codes=(),
    )


def _best(item: Item, text: str, drawn: Drawn, occupied: Occupied) -> Item | None:
    """The number at the nearest place that is in nobody's way and not nearer to other words; its line crosses none if
    it can be; beside the first line of what the item says, else beside all its lines. None where there is no place."""
    lines = union(t.box() for t in item.texts)
    return next((n for own in (_words(item), lines) if (n := _beside_words(item, own, text, drawn, occupied))), None)


def _beside_words(item: Item, own: Box, text: str, drawn: Drawn, occupied: Occupied) -> Item | None:
    others = [t.box() for i in drawn.items if i is not item and i.owner != "sheet" for t in i.texts]
    best: tuple[int, Item] | None = None
    for number, line in _places(item, own, text):
        if not drawn.frame.holds(number.box()) or occupied.against(number, 1):
            continue
        assert number.block is not None
        near = _apart(number.block, own)
        if any(_apart(number.block, other) < near for other in others):
            continue
        crossed = 0 if line is None else occupied.crossings(np.array([[*line.a, *line.b]]))
        if best is None or crossed < best[0]:
            best = (crossed, number)
        if crossed == 0:
            break
    return None if best is None else best[1]


def _apart(one: Box, other: Box) -> float:
    """Distance of two boxes, 0 where they meet."""
    across = max(one.x0 - other.x1, other.x0 - one.x1, 0.0)
    return math.hypot(across, max(one.y0 - other.y1, other.y0 - one.y1, 0.0))


def _words(item: Item) -> Box:
    """The box of what an item says: of a tolerance with its frame."""
    if item.dim is None and item.name.startswith("tolerance"):
        return union(t.box() for t in item.texts).grown(1.6)
    return item.texts[0].box()


def rows_of(code: str, numbers: Mapping[str, int]) -> list[int]:
    """Return the numbers of the rows of a code, or of all that go on from it with a point or are a figure longer."""
    if code in numbers:
        return [numbers[code]]
    more = re.compile(re.escape(code) + r"(\.|[0-9]+\Z)")
    return sorted(n for name, n in numbers.items() if more.match(name))


def told(numbers: Sequence[int]) -> str:
    """Return numbers as a person writes them: runs of three and more by their ends."""
    runs = [[n for _, n in run] for _, run in groupby(enumerate(numbers), lambda pair: pair[1] - pair[0])]
    return ", ".join(f"{r[0]}-{r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in runs)


def _places(item: Item, box: Box, text: str) -> Iterator[tuple[Item, Line | None]]:
    """The number at the places that are tried, the nearest first, and its line where it has one."""
    upright = abs(math.sin(item.texts[0].turn)) > 0.7
    wide = max(text_width(text, TEXT_MM) + 2.2, _HIGH_MM)
    size = (_HIGH_MM, wide) if upright else (wide, _HIGH_MM)
    for gap in _GAPS_MM:
        for degrees in _WAYS_DEG:
            x, y = _beside(box, math.radians(degrees + 90 * upright), size, gap)
            # Beside a text over its line the ring is lifted off that line.
            for lift in _LIFTS_MM if degrees % 180 == 0 else (0.0,):
                at = (x - lift, y) if upright else (x, y + lift)
                yield _ring(item, text, at, size, box, led=gap > 1.0)


def _beside(box: Box, way: float, size: tuple[float, float], gap: float) -> P:
    """The middle of a ring of a width and height so far outside a box, in a direction from its middle."""
    c, s = math.cos(way), math.sin(way)
    reach_x = (box.width / 2.0 + size[0] / 2.0 + gap) / max(abs(c), 1e-9)
    reach_y = (box.height / 2.0 + size[1] / 2.0 + gap) / max(abs(s), 1e-9)
    return along(box.centre, way, min(reach_x, reach_y))


def _ring(item: Item, text: str, at: P, size: tuple[float, float], box: Box, *, led: bool) -> tuple[Item, Line | None]:
    """A number in a ring of a width and height round `at`, upright where it is higher than wide."""
    wide, high = size
    r, half = min(size) / 2.0, abs(wide - high) / 2.0
    turn = math.pi / 2.0 if high > wide else 0.0
    ends = [along(at, turn + way, half) for way in (math.pi, 0.0)]
    strokes = [
        Stroke(Arc(ends[0], r, turn + math.pi / 2.0, math.pi), "symbol"),
        Stroke(Arc(ends[1], r, turn - math.pi / 2.0, math.pi), "symbol"),
    ]
    if half > 1e-6:
        sides = (turn + math.pi / 2.0, turn - math.pi / 2.0)
        strokes += [Stroke(Line(along(ends[0], s, r), along(ends[1], s, r)), "symbol") for s in sides]
    line = None
    if led:
        near = (min(max(at[0], box.x0), box.x1), min(max(at[1], box.y0), box.y1))
        low, high_end = ends if ends[0] <= ends[1] else ends[::-1]
        inner = (min(max(near[0], low[0]), high_end[0]), min(max(near[1], low[1]), high_end[1]))
        way = math.atan2(near[1] - inner[1], near[0] - inner[0])
        if math.dist(inner, near) > r + 0.9:  # from the ring's edge to a hair before the words
            line = Line(along(inner, way, r), along(near, way, -0.6))
            strokes.append(Stroke(line, "symbol"))
    foot = along(at, turn - math.pi / 2.0, TEXT_MM / 2.0)
    written = Text(text, foot, TEXT_MM, "centre", turn)
    block = Box(at[0] - wide / 2.0, at[1] - high / 2.0, at[0] + wide / 2.0, at[1] + high / 2.0)
    name = f"record number {text}"
    return Item(name=name, owner=item.owner, strokes=tuple(strokes), texts=(written,), block=block), line
