"""What stands on paper: groups of strokes, fills and texts, in paper mm, with the means to see them collide."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import islice
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strutwright.exporters.drawing import shapes
from strutwright.exporters.drawing.shapes import Box, Fill, Line, P, Placing, Shape, Text, bounds, overlap, union
from strutwright.exporters.drawing.style import SHADES, Kind

DimKind = Literal["linear", "aligned", "diameter", "radius", "angular"]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A drawn line with its meaning."""

    shape: Shape
    kind: Kind


@dataclass(frozen=True, slots=True)
class DimData:
    """What a DXF DIMENSION needs beside its picture.

    points: definition points in paper mm in the order of the DXF groups 10, 13, 14, 15 (10 and 15 for radius
    and diameter; 10, 13, 14 for linear and ordinate). For angular: point on the arc, end of either side, vertex.
    value: measured value in the model, mm or degrees. scale: paper per model. text: as shown. angle_deg:
    direction of the dimension line of a linear dimension.
    """

    kind: DimKind
    points: tuple[P, ...]
    value: float
    text: str
    text_at: P
    scale: float
    angle_deg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing on the sheet. name says what it is, owner whose it is (a view's name or "sheet").

    block: an opaque rectangle that nothing of another item may enter (tables, notes, title block), or None.
    line: the dimension line, which no other line may run along, or None. cost: how much less it is wanted than another
    form of itself, in lines crossed. row: code of the row of the inspection record that asks for it.
    """

    name: str
    owner: str
    strokes: tuple[Stroke, ...] = ()
    texts: tuple[Text, ...] = ()
    fills: tuple[Fill, ...] = ()
    block: Box | None = None
    dim: DimData | None = None
    line: Line | None = None
    cost: int = 0
    row: str = ""

    def moved(self, dx: float, dy: float) -> Item:
        """Return the item shifted by (dx, dy) mm."""
        shift = Placing(1.0, dx, dy)
        dim = self.dim
        if dim is not None:
            dim = replace(dim, points=tuple(map(shift.point, dim.points)), text_at=shift.point(dim.text_at))
        return replace(
            self,
            strokes=tuple(Stroke(shift.shape(s.shape), s.kind) for s in self.strokes),
            texts=tuple(map(shift.shape, self.texts)),
            fills=tuple(map(shift.shape, self.fills)),
            block=self.block.moved(dx, dy) if self.block else None,
            dim=dim,
            line=shift.shape(self.line) if self.line else None,
        )

    def box(self) -> Box:
        """Return the upright box round everything drawn (line widths not counted)."""
        boxes = [bounds(s) for s in (*(stroke.shape for stroke in self.strokes), *self.texts, *self.fills)]
        return union(boxes if self.block is None else [*boxes, self.block])


@dataclass(frozen=True, slots=True)
class Collision:
    """Two things that collide. what: "text on text", "line through text", "line on line", "in block" or "outside"."""

    first: str
    second: str
    what: str
    where: P


def _segments(shape: Shape) -> NDArray[np.float64]:
    points = shapes.flatten(shape, 0.05)
    return np.hstack([points[:-1], points[1:]])


def _touches(quad: ArrayLike, segments: NDArray[np.float64]) -> NDArray[np.bool_]:
    """For each segment (n, 4): does it enter the convex quadrangle (4, 2), counter-clockwise?"""
    low, high = shapes.clip(quad, segments)
    return np.asarray(high - low > 1e-9)


def _runs_along(line: Line, segments: NDArray[np.float64]) -> NDArray[np.bool_]:
    """For each segment (n, 4): does it run within 1 mm beside the line for more than 1.5 mm?"""
    a, d = np.array(line.a), np.array(line.b) - np.array(line.a)
    length = float(np.hypot(*d))
    if length < 1e-9 or not len(segments):
        return np.zeros(len(segments), dtype=np.bool_)
    d = d / length
    normal = np.array([-d[1], d[0]])
    p, q = segments[:, :2] - a, segments[:, 2:] - a
    beside = (np.abs(p @ normal) < 1.0) & (np.abs(q @ normal) < 1.0)
    low, high = np.minimum(p @ d, q @ d), np.maximum(p @ d, q @ d)
    return np.asarray(beside & (np.minimum(high, length) - np.maximum(low, 0.0) > 1.5), dtype=np.bool_)


@dataclass(frozen=True, slots=True)
class _Placed:
    """A placed text with what is asked of it again and again."""

    label: str
    text: Text
    box: Box
    quad: tuple[P, P, P, P]
    wide_box: Box
    wide_quad: tuple[P, P, P, P]


def _pieces(item: Item) -> NDArray[np.float64]:
    """All straight pieces (n, 4) of an item's lines and fills; not of hatching, which is cut at a text when drawn."""
    curves = [s.shape for s in item.strokes if s.kind not in SHADES]
    straight = [(*s.a, *s.b) for s in curves if isinstance(s, Line)]
    straight += [(*f.points[i - 1], *f.points[i]) for f in item.fills for i in range(len(f.points))]
    return np.vstack([np.array(straight).reshape(-1, 4), *(_segments(s) for s in curves if not isinstance(s, Line))])


def _near(segments: NDArray[np.float64], box: Box) -> NDArray[np.float64]:
    """The segments whose own box meets the box."""
    keep = (
        (np.minimum(segments[:, 0], segments[:, 2]) <= box.x1)
        & (np.maximum(segments[:, 0], segments[:, 2]) >= box.x0)
        & (np.minimum(segments[:, 1], segments[:, 3]) <= box.y1)
        & (np.maximum(segments[:, 1], segments[:, 3]) >= box.y0)
    )
    return segments[keep]


def _enters(quad: ArrayLike, box: Box, segments: NDArray[np.float64]) -> bool:
    close = _near(segments, box)
    return bool(len(close)) and bool(_touches(quad, close).any())


def own_lines_through_text(item: Item) -> int:
    """Return how many of an item's texts its own lines run through; a frame round a text does not."""
    pieces = _pieces(item)
    return sum(_enters(t.corners(), t.box().grown(1e-5), pieces) for t in item.texts) if len(pieces) else 0


@dataclass(slots=True)
class Occupied:
    """Everything placed so far, asked whether a further item would be in the way of anything."""

    clearance_mm: float = 0.4
    block_clearance_mm: float = 0.0
    apart_mm: float = 0.4
    """Least distance of two texts, more than that of a line: else they read as one."""
    texts: list[_Placed] = field(default_factory=list)
    blocks: list[tuple[str, Box]] = field(default_factory=list)
    lines: list[tuple[str, Line]] = field(default_factory=list)
    _segs: list[NDArray[np.float64]] = field(default_factory=list)
    _names: list[str] = field(default_factory=list)
    _table: tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.float64]] | None = None

    def add(self, item: Item) -> None:
        """Take an item in."""
        label = f"{item.owner}: {item.name}"
        for text in item.texts:
            box, wide = text.box(), text.corners(self.clearance_mm)
            wide_box = box.grown(self.clearance_mm * 1.5)
            self.texts.append(_Placed(label, text, box, text.corners(), wide_box, wide))
        if item.block is not None:
            self.blocks.append((label, item.block))
        if item.line is not None:
            self.lines.append((label, item.line))
        pieces = _pieces(item)
        if len(pieces):
            self._segs.append(pieces)
            self._names.append(label)
            self._table = None

    def _all(self) -> tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.float64]]:
        """All pieces (n, 4), whose they are (n,), and the boxes round them: four rows (n,), x low and high, y both."""
        if self._table is None:
            if not self._segs:
                return np.zeros((0, 4)), np.zeros(0, dtype=np.int64), np.zeros((4, 0))
            owner = np.concatenate([np.full(len(s), i) for i, s in enumerate(self._segs)])
            pieces = np.vstack(self._segs)
            low, high = np.minimum(pieces[:, :2], pieces[:, 2:]), np.maximum(pieces[:, :2], pieces[:, 2:])
            round_ = np.stack((low[:, 0], high[:, 0], low[:, 1], high[:, 1]))
            self._table = pieces, owner, np.ascontiguousarray(round_)
        return self._table

    def _beside(self, x0: float, y0: float, x1: float, y1: float) -> NDArray[np.int64]:
        """Return which pieces' own boxes meet a box."""
        left, right, under, over = self._all()[2]
        return np.flatnonzero((left <= x1) & (right >= x0) & (under <= y1) & (over >= y0))

    def _crossed(self, quad: tuple[P, P, P, P]) -> list[str]:
        index = self._beside(*shapes.box_round(quad))
        if not len(index):
            return []
        segments, owner, _ = self._all()
        hit = index[_touches(quad, segments[index])]
        return [self._names[i] for i in sorted(set(owner[hit].tolist()))]

    def crossings(self, lines: NDArray[np.float64]) -> int:
        """Return how many placed lines are crossed by straight lines (n, 4), each from its first point to its second
        (its ends not counted)."""
        if not len(lines):
            return 0
        ends = lines.reshape(-1, 2)
        index = self._beside(*ends.min(axis=0).tolist(), *ends.max(axis=0).tolist())
        if not len(index):
            return 0
        segments = self._all()[0][index]
        p, d = segments[:, :2], segments[:, 2:] - segments[:, :2]
        start, way = lines[:, None, :2], lines[:, None, 2:] - lines[:, None, :2]
        cross = way[..., 0] * d[:, 1] - way[..., 1] * d[:, 0]
        apart = p - start
        # How far along both lines they meet, times the size of `cross`: lines that are parallel need no division.
        size, turn = np.abs(cross), np.sign(cross)
        t = (apart[..., 0] * d[:, 1] - apart[..., 1] * d[:, 0]) * turn
        u = (apart[..., 0] * way[..., 1] - apart[..., 1] * way[..., 0]) * turn
        return int(np.count_nonzero((t > 0.02 * size) & (t < 0.999 * size) & (u >= 0.0) & (u < size)))

    def against(self, item: Item, most: int | None = None) -> list[Collision]:
        """Return the collisions `item` would have with what is placed, the first `most` of them; none means it fits."""
        return list(islice(self._collisions(item), most))

    def _collisions(self, item: Item) -> Iterator[Collision]:
        label = f"{item.owner}: {item.name}"
        for text in item.texts:
            quad, tight = text.corners(self.clearance_mm), text.box()
            box, near_box = tight.grown(self.clearance_mm), tight.grown(self.apart_mm)
            apart = text.corners(self.apart_mm)
            for placed in self.texts:
                if near_box.hits(placed.box) and overlap(apart, placed.quad):
                    yield Collision(label, placed.label, "text on text", text.at)
            for other in self._crossed(quad):
                yield Collision(label, other, "line through text", text.at)
            for other, block in self.blocks:
                if box.hits(block):
                    yield Collision(label, other, "in block", text.at)
        if item.line is not None:
            segments, owner, _ = self._all()
            along = np.flatnonzero(_runs_along(item.line, segments))
            for number in sorted(set(owner[along].tolist())):
                yield Collision(label, self._names[number], "line on line", item.line.a)
        pieces = _pieces(item)
        if len(pieces):
            ends = pieces.reshape(-1, 2)
            (x0, y0), (x1, y1) = ends.min(axis=0).tolist(), ends.max(axis=0).tolist()
            around = Box(x0 - 1e-5, y0 - 1e-5, x1 + 1e-5, y1 + 1e-5)
            if item.line is None:
                near = around.grown(1.0)
                for other, line in self.lines:
                    if near.hits(bounds(line).grown(1e-5)) and bool(_runs_along(line, pieces).any()):
                        yield Collision(label, other, "line on line", line.a)
            for placed in self.texts:
                if around.hits(placed.wide_box) and _enters(placed.wide_quad, placed.wide_box, pieces):
                    yield Collision(label, placed.label, "line through text", placed.text.at)
            for other, tight in self.blocks:
                block = tight.grown(self.block_clearance_mm)
                if around.hits(block.grown(1e-5)) and _enters(block.corners(), block, pieces):
                    yield Collision(label, other, "in block", block.centre)
        if item.block is not None:
            block, centre = item.block, item.block.centre
            wide = block.grown(self.block_clearance_mm).corners()
            for other in (
                *(o for o, b in self.blocks if block.hits(b)),
                *self._crossed(wide),
                *(t.label for t in self.texts if block.hits(t.box)),
            ):
                yield Collision(label, other, "in block", centre)


def collisions(items: Iterable[Item], frame: Box | None = None, clearance_mm: float = 0.2) -> list[Collision]:
    """Return every collision among the items, measured from true text extents.

    Two texts whose rectangles overlap, a line (hatching apart) through another item's text, anything inside an opaque
    block, and, when `frame` is given, anything reaching outside it. Items named "frame" are not tested.
    """
    placed = Occupied(clearance_mm, apart_mm=clearance_mm)
    found: list[Collision] = []
    for item in items:
        for collision in placed.against(item):
            if collision not in found:
                found.append(collision)
        boxes = [text.box() for text in item.texts]
        for i, text in enumerate(item.texts):
            for other, box in zip(item.texts[:i], boxes, strict=False):
                if box.hits(boxes[i]) and overlap(text.corners(), other.corners()):
                    found.append(Collision(f"{item.owner}: {item.name}", other.text, "text on text", text.at))
        if frame is not None and item.name != "frame" and not frame.holds(item.box()):
            found.append(Collision(f"{item.owner}: {item.name}", "frame", "outside", item.box().centre))
        placed.add(item)
    return found
