"""The pictures of dimensions, leaders and balloons, in paper mm. Pure construction: where they go is decided in
`place`. Conventions of ISO 129-1: text above the line, readable from below and from the right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from strutwright.exporters.drawing.items import DimData, DimKind, Item, Stroke
from strutwright.exporters.drawing.shapes import Anchor, Arc, Fill, Line, P, Poly, Text, along, bounds
from strutwright.exporters.drawing.text import text_width

FAR_MM = 24.0
"""A dimension line is prolonged no more than this past its arrows for a text that does not fit between them."""


@dataclass(frozen=True, slots=True)
class DimSizes:
    """Sizes in paper mm: capitals of the text, arrow, gap at the extension line's foot, its overshoot."""

    text_mm: float = 3.5
    arrow_mm: float = 3.0
    foot_mm: float = 1.0
    overshoot_mm: float = 1.8

    @property
    def gap_mm(self) -> float:
        """Base line of the text above the dimension line: clears the lowest letters."""
        return 0.35 * self.text_mm

    @property
    def step_mm(self) -> float:
        """Distance between dimension lines side by side."""
        return self.text_mm + 2.0 * self.gap_mm + 1.6

    @property
    def first_mm(self) -> float:
        """Distance of the first dimension line from the part."""
        return self.step_mm + 2.0

    @property
    def line_mm(self) -> float:
        """Distance of base lines of text set in several lines."""
        return 1.6 * self.text_mm


def arrow(tip: P, direction: float, size: float) -> Fill:
    """Return a filled arrow head whose tip points along `direction` (radians)."""
    c, s = math.cos(direction), math.sin(direction)
    x, y, half = tip[0] - size * c, tip[1] - size * s, size / 6.0
    return Fill((tip, (x - half * s, y + half * c), (x + half * s, y - half * c)), "dimension")


def _frame(text: Text, pad: float) -> Stroke:
    return Stroke(Poly(text.rectangle(pad), True), "dimension")


def readable(direction: float) -> float:
    """Return the direction (radians) or its opposite so that text along it reads from below or from the right.

    Lines a little beyond upright still read from the right, as upright ones do.
    """
    turn = math.remainder(direction, math.tau)
    beyond = math.radians(15.0)
    if turn > math.pi / 2 + beyond:
        return turn - math.pi
    if turn <= beyond - math.pi / 2:
        return turn + math.pi
    return turn


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a dimension says. owner: its view. text: in one line; lines: the same in two, where it can be. value:
    measured in the model, mm or degrees. scale: paper per model. boxed: framed, theoretically exact. row: see Label.
    """

    name: str
    owner: str
    text: str
    value: float
    sizes: DimSizes
    kind: DimKind = "linear"
    lines: Sequence[str] = ()
    scale: float = 1.0
    boxed: bool = False
    row: str = ""

    def width(self) -> float:
        """Return the length in mm of its text, and of the frame's overhang."""
        return text_width(self.text, self.sizes.text_mm) + (2.0 if self.boxed else 0.0)

    def data(self, points: tuple[P, ...], at: P, angle_deg: float = 0.0) -> DimData:
        """Return what a DIMENSION needs. points, angle_deg: see DimData; at: middle of the text."""
        return DimData(self.kind, points, self.value, self.text, at, self.scale, angle_deg)


class _Linear:
    """A linear dimension between p and q, its line along `direction` through `base`: what all its forms share."""

    def __init__(self, said: Said, p: P, q: P, direction: float, base: P) -> None:
        self.said = said
        turn = self.turn = readable(direction)
        self.c, self.s = math.cos(turn), math.sin(turn)
        if (p[0] - q[0]) * self.c + (p[1] - q[1]) * self.s > 0:
            p, q = q, p
        sizes = said.sizes
        self.p, self.q = p, q
        self.a, self.b = (along(base, turn, (e[0] - base[0]) * self.c + (e[1] - base[1]) * self.s) for e in (p, q))
        self.strokes: list[Stroke] = []
        for point, end in ((p, self.a), (q, self.b)):
            if math.dist(point, end) > sizes.foot_mm:
                way = math.atan2(end[1] - point[1], end[0] - point[0])
                line = Line(along(point, way, sizes.foot_mm), along(end, way, sizes.overshoot_mm))
                self.strokes.append(Stroke(line, "dimension"))
        self.between = math.dist(self.a, self.b)
        self.open = self.between >= 2.0 * sizes.arrow_mm + 1.0
        self.tail = 0.0 if self.open else 2.0 * sizes.arrow_mm
        back = 0.0 if self.open else math.pi
        ends = ((self.a, turn + math.pi + back), (self.b, turn + back))
        self.heads = tuple(arrow(tip, way, sizes.arrow_mm) for tip, way in ends)

    def _written(self, text: str, foot: P, anchor: Anchor, lift: float) -> Text:
        at = (foot[0] - self.s * lift, foot[1] + self.c * lift)
        return Text(text, at, self.said.sizes.text_mm, anchor, self.turn)

    def _item(self, texts: Sequence[Text], before: float, after: float) -> Item:
        """The dimension with its line run on by so much at either end."""
        said, line = self.said, Line(along(self.a, self.turn, -before), along(self.b, self.turn, after))
        strokes = [*self.strokes, Stroke(line, "dimension")]
        if said.boxed:
            strokes.append(_frame(texts[0], 0.9))
        dim = said.data((self.a, self.p, self.q), texts[0].middle(), math.degrees(self.turn))
        # A line far past its arrows seems to measure something else.
        far = math.dist(line.a, line.b) - self.between > FAR_MM
        return Item(
            name=said.name,
            owner=said.owner,
            strokes=tuple(strokes),
            texts=tuple(texts),
            fills=self.heads,
            dim=dim,
            line=line,
            cost=20 * far,
            row=said.row,
        )

    def _lift(self) -> float:
        return self.said.sizes.gap_mm + (0.5 if self.said.boxed else 0.0)

    def inside(self, text: str, shift: float, below: str = "") -> Item:
        """Text over the middle, moved along the line by `shift`; a second line of it under the line."""
        sizes, middle = self.said.sizes, along(self.a, self.turn, self.between / 2.0 + shift)
        texts = [self._written(text, middle, "centre", self._lift())]
        if below:
            texts.append(self._written(below, middle, "centre", -sizes.gap_mm - sizes.text_mm))
        return self._item(texts, self.tail, self.tail)

    def beside(self, end: Literal["end", "start"], beyond: float) -> Item:
        """Text past the end named, at least `beyond` mm from it."""
        said = self.said
        lead = max(1.0 if self.open else said.sizes.arrow_mm + 0.5, beyond)
        pad, run = 0.8 if said.boxed else 0.0, max(lead + said.width(), self.tail)
        if end == "end":
            text = self._written(said.text, along(self.b, self.turn, lead + pad), "left", self._lift())
            return self._item([text], self.tail, run)
        text = self._written(said.text, along(self.a, self.turn, -lead - pad), "right", self._lift())
        return self._item([text], run, self.tail)

    def led(self, way: P) -> Item:
        """Text at the end of a leader from the middle of the line, so many mm (right, up) from it."""
        said, middle = self.said, along(self.a, self.turn, self.between / 2.0)
        knee = (middle[0] + way[0], middle[1] + way[1])
        told = note(said.name, said.owner, middle, knee, said.lines, sizes=said.sizes, head="none", boxed=said.boxed)
        line = Line(along(self.a, self.turn, -self.tail), along(self.b, self.turn, self.tail))
        dim = said.data((self.a, self.p, self.q), told.texts[0].middle(), math.degrees(self.turn))
        strokes = (*told.strokes, *self.strokes, Stroke(line, "dimension"))
        return Item(
            name=said.name,
            owner=said.owner,
            strokes=strokes,
            texts=told.texts,
            fills=self.heads,
            dim=dim,
            line=line,
            cost=2,
            row=said.row,
        )


def linear_forms(
    said: Said,
    p: P,
    q: P,
    *,
    direction: float,
    base: P,
    ends: Sequence[tuple[Literal["end", "start"], float]],
    shift: float = 0.0,
    room: float = math.inf,
    ways: Sequence[P] = (),
) -> list[Item]:
    """Return the forms of a linear dimension between p and q, its line along `direction` (radians) through `base`, the
    wanted one first; paper mm.

    ends: beyond which end text that does not fit goes, and from what distance. shift: of the text along the line. room:
    width that other lines leave at the middle. ways: where (right, up) from the middle a leader may go.
    """
    drawn = _Linear(said, p, q, direction, base)
    between = abs((q[0] - p[0]) * math.cos(direction) + (q[1] - p[1]) * math.sin(direction))

    def fits(*lines: str) -> bool:
        wide = max(text_width(t, said.sizes.text_mm) + 0.6 + 2.0 * said.boxed for t in lines)
        return between >= wide and room >= wide - 0.6

    if fits(said.text):
        return [drawn.inside(said.text, shift)]
    forms = [drawn.inside(said.lines[0], 0.0, said.lines[1])] if len(said.lines) == 2 and fits(*said.lines) else []
    beside = [drawn.beside(end, beyond) for end, beyond in ends]
    forms += [item for item in beside if not item.cost]
    forms += map(drawn.led, ways)
    return [*forms, *(item for item in beside if item.cost)]


def _dot(at: P, half: float) -> Fill:
    x, y = at
    return Fill(((x - half, y), (x, y - half), (x + half, y), (x, y + half)), "dimension")


def note(
    name: str,
    owner: str,
    tip: P,
    knee: P,
    lines: Sequence[str],
    *,
    sizes: DimSizes,
    dim: DimData | None = None,
    head: Literal["arrow", "dot", "none"] = "arrow",
    boxed: bool = False,
) -> Item:
    """Return a leader from `tip` over `knee` with text on its landing: first line above it, further ones below.

    The landing runs away from the tip, to the right when straight above or below it.
    """
    right = knee[0] >= tip[0] - 1e-9
    width = max(text_width(line, sizes.text_mm) for line in lines) + (1.6 if boxed else 0.0)
    way = 1.0 if right else -1.0
    far = (knee[0] + way * (width + 1.5), knee[1])
    left = (min(knee[0], far[0]) + (1.5 if right else 0.0) + (0.8 if boxed else 0.0), knee[1])
    texts = []
    for i, line in enumerate(lines):
        y = knee[1] + sizes.gap_mm if i == 0 else knee[1] - (i - 1) * sizes.line_mm - sizes.text_mm * 1.3
        texts.append(Text(line, (left[0], y + (0.4 if boxed and i == 0 else 0.0)), sizes.text_mm))
    strokes = [Stroke(Line(knee, far), "dimension")]
    fills: tuple[Fill, ...] = ()
    if math.dist(tip, knee) > 1e-6:
        strokes.insert(0, Stroke(Line(tip, knee), "dimension"))
        if head == "arrow":
            fills = (arrow(tip, math.atan2(tip[1] - knee[1], tip[0] - knee[0]), sizes.arrow_mm),)
        elif head == "dot":
            fills = (_dot(tip, 0.5),)
    if boxed:
        strokes.append(_frame(texts[0], 0.8))
    if dim is not None:
        dim = replace(dim, text=lines[0], text_at=texts[0].middle())
    return Item(name=name, owner=owner, strokes=tuple(strokes), texts=tuple(texts), fills=fills, dim=dim)


def round_dim(said: Said, centre: P, radius: float, *, direction: float, reach: float) -> Item:
    """Return a diameter or radius with its leader leaving the circle at `direction` (radians) over `reach` mm."""
    tip, knee = along(centre, direction, radius), along(centre, direction, radius + reach)
    dim = said.data((along(centre, direction, -radius) if said.kind == "diameter" else centre, tip), tip)
    made = note(said.name, said.owner, tip, knee, said.lines, sizes=said.sizes, dim=dim, boxed=said.boxed)
    return replace(made, row=said.row)


def angular(
    said: Said, vertex: P, first: P, second: P, *, radius: float, beside: Literal["first", "second"] | None = None
) -> Item:
    """Return the angle from `first` counter-clockwise to `second` round `vertex`, arc of `radius` paper mm.

    beside: the text stands level beyond that side, the arc running on to it; None: on the arc where it has room.
    """
    sizes = said.sizes
    a0 = math.atan2(first[1] - vertex[1], first[0] - vertex[0])
    a1 = math.atan2(second[1] - vertex[1], second[0] - vertex[0])
    sweep = (a1 - a0) % math.tau
    strokes: list[Stroke] = []
    for point, angle in ((first, a0), (second, a1)):
        if math.dist(vertex, point) + sizes.foot_mm < radius:
            line = Line(along(point, angle, sizes.foot_mm), along(vertex, angle, radius + sizes.overshoot_mm))
            strokes.append(Stroke(line, "dimension"))
    inside = sweep * radius >= 2.0 * sizes.arrow_mm + 1.0
    turn, way = sizes.arrow_mm / radius, -1.0 if inside else 1.0
    fills = (
        arrow(along(vertex, a0, radius), a0 + way * math.pi / 2 - way * turn / 2, sizes.arrow_mm),
        arrow(along(vertex, a1, radius), a1 - way * math.pi / 2 + way * turn / 2, sizes.arrow_mm),
    )
    middle = a0 + sweep / 2.0
    gap = sizes.gap_mm + (0.6 if said.boxed else 0.0)
    over = 0.0 if inside else (2.0 if beside is None else 3.0) * turn
    strokes.append(Stroke(Arc(vertex, radius, a0 - over, sweep + 2.0 * over), "dimension"))
    if beside is not None:
        # Past the side named: level, its near end just beyond the arc's tail.
        side, end = (1.0, a1) if beside == "second" else (-1.0, a0)
        turned = end + side * 3.0 * turn
        written = _level(said, along(vertex, turned, radius), turned + side * math.pi / 2, gap)
        if inside:
            low, high = sorted((end, turned))
            strokes.append(Stroke(Arc(vertex, radius, low, high - low), "dimension"))
    elif inside and sweep * radius >= said.width() + 2.0:
        lie = readable(middle - math.pi / 2)
        outward = math.cos(lie + math.pi / 2 - middle) > 0
        at = along(vertex, middle, radius + gap + (0.0 if outward else sizes.text_mm))
        written = Text(said.text, at, sizes.text_mm, "centre", lie)
    else:
        # Horizontal, beyond the arc, beside the second side.
        written = _level(said, vertex, middle, radius + gap)
    if said.boxed:
        strokes.append(_frame(written, 0.8))
    dim = said.data((along(vertex, middle, radius), first, second, vertex), written.middle())
    return Item(
        name=said.name, owner=said.owner, strokes=tuple(strokes), texts=(written,), fills=fills, dim=dim, row=said.row
    )


def _level(said: Said, at: P, direction: float, gap: float) -> Text:
    """The text, level, its rectangle beginning `gap` from a point in a direction."""
    high = said.sizes.text_mm
    reach = gap + abs(math.cos(direction)) * said.width() / 2.0 + abs(math.sin(direction)) * high / 2.0
    x, y = along(at, direction, reach)
    return Text(said.text, (x, y - high / 2.0), high, "centre")


def balloon(name: str, owner: str, tip: P, centre: P, text: str, *, sizes: DimSizes) -> Item:
    """Return an item number in a circle with its leader to `tip`; a dot ends the leader."""
    radius = max(1.25 * sizes.text_mm, text_width(text, sizes.text_mm) / 2.0 + 1.2)
    way = math.atan2(tip[1] - centre[1], tip[0] - centre[0])
    ring = Arc(centre, radius)
    strokes = (Stroke(Line(along(centre, way, radius), tip), "dimension"), Stroke(ring, "dimension"))
    written = Text(text, (centre[0], centre[1] - sizes.text_mm / 2.0), sizes.text_mm, "centre")
    return Item(name=name, owner=owner, strokes=strokes, texts=(written,), fills=(_dot(tip, 0.6),), block=bounds(ring))
