"""Where on paper what is said about a view goes: each dimension, note and symbol takes the first of its forms and
places that is in nobody's way, else the one that is least so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import get_args

import numpy as np

from strutwright.exporters.drawing import dims
from strutwright.exporters.drawing.dims import DimSizes
from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.drawing.items import Item, Occupied, Stroke, own_lines_through_text
from strutwright.exporters.drawing.shapes import Box, Line, P, Placing, Poly, Text, bounds, clip, hatch, overlap, union
from strutwright.exporters.drawing.style import Kind, Shade
from strutwright.exporters.drawing.text import text_width
from strutwright.exporters.drawing.ties import Tie
from strutwright.exporters.drawing.view import Fixed, Lead, Led, Setting, Side, Straight, View

SHORT_MARK_MM = 14.0  # centre marks of less are drawn through

_LEADER_DEG = (60, 120, 45, 135, 30, 150, -60, -120, -45, -135, -30, -150, 75, 105, -75, -105, 15, 165, -15, -165)


def place_view(
    view: View, scale: float, sizes: DimSizes, figures: Figures, note: str = "", *, late: bool = False
) -> list[Item]:
    """Return all items of a view in paper mm, the model's (0, 0) at (0, 0).

    scale: paper per model. note: second line of the view's title (its own scale). late: angles and notes too come after
    the dimensions. What could not be kept clear is placed where it collides least; `items.collisions` reports it.
    """
    fit = _Fit(view, Setting(Placing(scale), sizes, figures))
    for fixed in view.fixed:
        if not (late or fixed.late or fixed.optional):
            fit.accept(fit.best_form(fixed))
    for side in get_args(Side):
        fit.straight(side)
    fit.tie()
    for fixed in view.fixed:
        if (late or fixed.late) and not fixed.optional:
            fit.accept(fit.best_form(fixed))
    shading: list[tuple[Line, Shade]] = [
        (line, kind)
        for loops, spacing, angle, kind in view.hatches
        for line in hatch([loop * scale for loop in loops], spacing, angle)
    ]
    shading += [(Placing(scale).shape(line), "hatch") for line in view.shaded]
    shaded = Occupied()
    if shading:
        shaded.add(Item(name="hatching", owner=view.name, strokes=tuple(Stroke(line, "thin") for line, _ in shading)))
    for led in view.led:
        fit.accept(fit.led(led, shaded))
    for fixed in view.fixed:
        if fixed.optional:
            last = fit.best_form(fixed)
            if not fit.occupied.against(last, 1):
                fit.accept(last)
    if shading:
        quads = [t.corners(0.6) for i in fit.items for t in i.texts]
        lines = tuple(Stroke(piece, kind) for line, kind in shading for piece in _cut(line, quads))
        fit.items.insert(1, Item(name="hatching", owner=view.name, strokes=lines))
    if view.title or note:
        fit.title(note)
    return fit.items


class _Fit:
    """A view in the making: what is placed so far, on what setting, round the box of its geometry."""

    def __init__(self, view: View, on: Setting) -> None:
        self.view, self.on = view, on
        self.occupied = Occupied(clearance_mm=0.8, block_clearance_mm=0.8, apart_mm=1.8)
        strokes = [Stroke(on.place.shape(s.shape), s.kind) for s in view.strokes]
        self.core = union(bounds(s.shape) for s in strokes)
        for centre, diameter in view.crosses:
            (x, y), r = on.place.point(centre), diameter * on.place.scale / 2.0
            reach = r + min(max(0.3 * r, 1.5), 4.0)
            kind: Kind = "mark" if 2.0 * reach < SHORT_MARK_MM else "centre"
            strokes.append(Stroke(Line((x - reach, y), (x + reach, y)), kind))
            strokes.append(Stroke(Line((x, y - reach), (x, y + reach)), kind))
        self.items: list[Item] = []
        self.tied: list[tuple[Tie, Item]] = []
        self.accept(Item(name="geometry", owner=view.name, strokes=tuple(strokes)))

    def accept(self, item: Item) -> None:
        """Take an item in."""
        self.items.append(item)
        self.occupied.add(item)

    def _edge(self, side: Side) -> tuple[float, float]:
        """Where the geometry ends on a side, and which way is outward."""
        core = self.core
        edge = {"above": core.y1, "below": core.y0, "left": core.x0, "right": core.x1}[side]
        return edge, 1.0 if side in ("above", "right") else -1.0

    def title(self, note: str) -> None:
        """Write the view's title and a second line under all that is placed."""
        size = self.on.sizes.text_mm
        y = union(i.box() for i in self.items).y0 - 3.0 - 1.4 * size
        texts = []
        for line in (self.view.title, note):
            if line:
                height = 1.4 * size if line is self.view.title else size
                texts.append(Text(line, (self.core.centre[0], y), height, "centre"))
                y -= 1.5 * size
        self.accept(Item(name="title", owner=self.view.name, texts=tuple(texts)))

    def best_form(self, fixed: Fixed) -> Item:
        """The first form that is in nobody's way, else the one that is least so."""
        return self.least(fixed.build(self.on))

    def least(self, forms: Sequence[Item]) -> Item:
        """The first of some forms that is in nobody's way, else the one that is least so."""
        best: tuple[tuple[int, int], Item] | None = None
        for form in forms:
            hits = len(self.occupied.against(form, None if best is None else best[0][0] + 1))
            if best is not None and hits > best[0][0]:
                continue
            key = (hits + own_lines_through_text(form), _crossed(form, self.occupied) + form.cost)
            if best is None or key < best[0]:
                best = (key, form)
            if key == (0, 0):
                break
        if best is None:
            raise ValueError("an item without forms to try")
        return best[1]

    def straight(self, side: Side) -> None:
        """Horizontal or vertical dimensions in tiers: short ones near the part, longer ones outside them."""
        axis = 0 if side in ("above", "below") else 1
        spans = []
        for want in (d for d in self.view.straights if d.side == side):
            low, high = sorted(self.on.place.point(p)[axis] for p in (want.p, want.q))
            spans.append((want, low, high))
        spans.sort(key=lambda span: (round(span[2] - span[1], 6), span[1]))
        rows: list[_Row] = []
        for index, (want, low, high) in enumerate(spans):
            crossing = [c for _, *ends in spans[index + 1 :] for c in ends]
            item, row = self._tier(want, low, high, crossing, rows)
            rows.append(row)
            self.accept(item)
            self.tied += [(tie, item) for tie in want.ties]

    def tie(self) -> None:
        """Place what is in line with dimension lines, when all of these stand."""
        for tie, dimension in self.tied:
            low, high = sorted((head.points[0] for head in dimension.fills), key=lambda tip: tip[1])
            size = self.on.sizes.text_mm
            ends = [list(tie.at(self.view.name, tip, way, size)) for tip, way in ((high, 1.0), (low, -1.0))]
            self.accept(self.least([form for pair in zip(*ends, strict=True) for form in pair]))

    def _tier(
        self, want: Straight, low: float, high: float, crossing: Sequence[float], rows: Sequence[_Row]
    ) -> tuple[Item, _Row]:
        """The best form of a dimension from low to high in the nearest tier that has room, and what it takes of it.

        crossing: where extension lines of longer dimensions will run. rows: what is taken.
        """
        sizes, place = self.on.sizes, self.on.place
        level = want.side in ("above", "below")
        edge, away = self._edge(want.side)
        value = abs(want.p[0] - want.q[0]) if level else abs(want.p[1] - want.q[1])
        name = f"dimension {want.label.text(self.on.figures, value)}"
        said = self.on.said(self.view.name, name, "linear", want.label, value)
        width = text_width(said.text, sizes.text_mm)
        wide = max(text_width(t, sizes.text_mm) for t in said.lines) + 1.6 * said.boxed
        shift = _clear_shift(low, high, width, crossing)
        middle = (low + high) / 2.0 + shift
        between = [abs(c - middle) for c in crossing if low - 1e-6 < c < high + 1e-6]
        after, before = _beyond(low, high, width, crossing)
        best: tuple[int, int, int, Item, _Row] | None = None
        for tier in range(14):
            offset = edge + away * (sizes.first_mm + tier * sizes.step_mm)
            for item in dims.linear_forms(
                said,
                place.point(want.p),
                place.point(want.q),
                direction=0.0 if level else math.pi / 2,
                base=(0.0, offset) if level else (offset, 0.0),
                ends=[("end", after), ("start", before)],
                shift=shift,
                room=2.0 * min(between, default=math.inf) - 1.2,
                ways=_ways(want.side, away, sizes, (low + high) / 2.0, crossing, wide),
            ):
                # Its line, the frame and the text, without the extension lines.
                whole = union(map(bounds, (*(s.shape for s in item.strokes[-1 - said.boxed :]), *item.texts)))
                ends = (whole.x0, whole.x1) if level else (whole.y0, whole.y1)
                if any(tier <= row.tier and ends[0] < row.high - 0.05 and row.low < ends[1] - 0.05 for row in rows):
                    continue
                clashes = len(self.occupied.against(item, None if best is None else best[0] + 1))
                if best is None or (clashes, item.cost, tier) < best[:3]:
                    best = (clashes, item.cost, tier, item, _Row(*ends, tier))
            if best is not None and best[0] == 0 and best[1] < 20:
                break
        if best is None:  # every tier is taken over the whole length: cannot be with 14 tiers and few dims
            raise ValueError(f"view {self.view.name!r}: too many dimensions {want.side} it ({len(rows) + 1})")
        return best[3], best[4]

    def led(self, led: Led, shaded: Occupied) -> Item:
        """Try directions and reaches of a leader; take the free one that crosses least and is shortest."""
        best: tuple[tuple[int, float], Item] | None = None
        if led.prefer_deg is None:
            directions: Sequence[float] = _LEADER_DEG
        else:
            directions = [led.prefer_deg + fan for fan in (0.0, 15.0, -15.0, 30.0, -30.0)]
            directions += [d for d in _LEADER_DEG if d not in directions]
        for rank, degrees in enumerate(directions):
            if led.prefer_deg is not None and rank == 5 and best is not None and best[0][0] == 0:
                break  # the others only when the wanted ones are all in the way
            direction = math.radians(degrees)
            tip = led.tip(self.on.place, direction)
            out = _exit(tip, direction, self.core)
            reaches = sorted({7.0, 12.0, 18.0, *(out + r for r in (5.0, 9.0, 14.0, 20.0, 28.0, 38.0, 50.0))})
            for reach in reaches:
                least = 0.04 * reach + 0.02 * rank
                if best is not None and (0, least) >= best[0]:
                    continue
                item = led.build(self.on, Lead(tip, direction, reach))
                cost = least + _crossed(item, self.occupied) + 0.3 * _crossed(item, shaded)
                if item.texts and any(self.core.hits(t.box()) for t in item.texts):
                    cost += 3.0
                if best is not None and (0, round(cost, 6)) >= best[0]:
                    continue
                hits = self.occupied.against(item, None if best is None else best[0][0] + 1)
                key = (len(hits), round(cost, 6))
                if best is None or key < best[0]:
                    best = (key, item)
        if best is None:
            raise ValueError("a leader without directions to try")
        return best[1]


@dataclass(frozen=True, slots=True)
class _Row:
    """What a dimension takes of its tier."""

    low: float
    high: float
    tier: int


def _crossed(item: Item, occupied: Occupied) -> int:
    """How many lines already there the straight lines of an item cross."""
    lines: list[tuple[float, ...]] = []
    for stroke in item.strokes:
        if isinstance(stroke.shape, Line):
            lines.append((*stroke.shape.a, *stroke.shape.b))
        elif isinstance(stroke.shape, Poly):
            lines += [(*a, *b) for a, b in pairwise(stroke.shape.points)]
    return occupied.crossings(np.array(lines, dtype=float).reshape(-1, 4))


def _cut(line: Line, quads: Sequence[tuple[P, P, P, P]]) -> list[Line]:
    """Return the parts of a line outside all quadrangles."""
    a, b = line.a, line.b
    keep = [(0.0, 1.0)]
    for quad in quads:
        if not overlap(quad, (a, b, b, a)):
            continue
        (low,), (high,) = (share.tolist() for share in clip(quad, np.array([(*a, *b)])))
        if low < high:
            parts = (part for u, v in keep for part in ((u, min(v, low)), (max(u, high), v)))
            keep = [part for part in parts if part[1] - part[0] > 1e-6]

    def at(t: float) -> P:
        return (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))

    return [Line(at(u), at(v)) for u, v in keep]


def _clear_shift(low: float, high: float, width: float, lines: Sequence[float]) -> float:
    """Least shift of a text centred between low and high that keeps it off crossing lines; 0 when there is none."""
    room = (high - low - width) / 2.0 - 0.3
    middle, half = (low + high) / 2.0, width / 2.0 + 0.7
    if room <= 0.0:
        return 0.0
    tries = [0.0] + [s for c in lines for s in (c - half - middle, c + half - middle) if abs(s) <= room]
    for shift in sorted(tries, key=lambda s: (round(abs(s), 6), s)):
        if all(abs(c - middle - shift) >= half - 1e-9 for c in lines):
            return shift
    return 0.0


def _beyond(low: float, high: float, width: float, lines: Sequence[float]) -> tuple[float, float]:
    """Least distance of an outside text from each end that keeps it off the extension lines of longer dimensions."""
    leads = []
    for distances in ([c - high for c in lines], [low - c for c in lines]):
        lead = 1.0
        for d in sorted(distances):
            if lead - 0.8 < d < lead + width + 0.8:
                lead = d + 1.2
        leads.append(lead if lead > 1.0 else 0.0)
    return leads[0], leads[1]


def _ways(side: Side, away: float, sizes: DimSizes, middle: float, crossing: Sequence[float], wide: float) -> list[P]:
    """Where (right, up) from the middle of a dimension line a leader may go: outward, and for a level line also past
    the extension lines of longer dimensions, for a text so wide.
    """
    out = (sizes.text_mm + 3.0 * sizes.gap_mm, 1.6 * sizes.step_mm, 2.4 * sizes.step_mm, 3.4 * sizes.step_mm)
    if side in ("left", "right"):
        return [(away * r, up) for r in out for up in (0.0, r, -r, 2.0 * r, -2.0 * r)]
    clear = []
    for dx in sorted({4.0, -4.0, *(c - middle + s * 1.5 for c in crossing for s in (1.0, -1.0))}, key=abs):
        low, high = (dx, dx + wide + 2.5) if dx >= 0.0 else (dx - wide - 2.5, dx)
        if abs(dx) <= 45.0 and not any(low - 1.0 < c - middle < high + 1.0 for c in crossing):
            clear.append(dx)
    return [(dx, away * r) for r in out for dx in clear]


def _exit(tip: P, direction: float, core: Box) -> float:
    """Distance from a point along a direction until it has left the box; 0 when it is outside already."""
    c, s = math.cos(direction), math.sin(direction)
    if not (core.x0 <= tip[0] <= core.x1 and core.y0 <= tip[1] <= core.y1):
        return 0.0
    ways = []
    if abs(c) > 1e-9:
        ways.append(((core.x1 if c > 0 else core.x0) - tip[0]) / c)
    if abs(s) > 1e-9:
        ways.append(((core.y1 if s > 0 else core.y0) - tip[1]) / s)
    return max(min(ways), 0.0)
