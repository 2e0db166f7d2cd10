"""The pictures of dimensions, leaders and balloons, in paper mm. Pure construction: where they go is decided in
`place`. Conventions of ISO 129-1: text above the line, readable from below and from the right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from strutwright.exporters.drawing.items import DimData, DimKind, Fill, Item, Stroke
from strutwright.exporters.drawing.shapes import TAU, Arc, Line, P, Poly, bounds
from strutwright.exporters.drawing.text import Anchor, Text, text_width

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
    half = size / 6.0
    return Fill(
        (
            tip,
            (tip[0] - size * c - half * s, tip[1] - size * s + half * c),
            (tip[0] - size * c + half * s, tip[1] - size * s - half * c),
        ),
        "dimension",
    )


def _along(p: P, direction: float, distance: float) -> P:
    return (p[0] + distance * math.cos(direction), p[1] + distance * math.sin(direction))


def _frame(text: Text, pad: float) -> Stroke:
    width = text_width(text.text, text.height_mm)
    left = {"left": 0.0, "centre": -width / 2.0, "right": -width}[text.anchor] - pad
    c, s = math.cos(text.turn), math.sin(text.turn)
    corner = [
        (left, -pad),
        (left + width + 2 * pad, -pad),
        (left + width + 2 * pad, text.height_mm + pad),
        (left, text.height_mm + pad),
    ]
    x, y = text.at
    return Stroke(Poly(tuple((x + c * u - s * v, y + s * u + c * v) for u, v in corner), True), "dimension")


def readable(direction: float) -> float:
    """Return the direction (radians) or its opposite so that text along it reads from below or from the right.

    Lines a little beyond upright still read from the right, as upright ones do.
    """
    turn = math.remainder(direction, TAU)
    beyond = math.radians(15.0)
    if turn > math.pi / 2 + beyond:
        return turn - math.pi
    if turn <= beyond - math.pi / 2:
        return turn + math.pi
    return turn


def linear(
    name: str,
    owner: str,
    p: P,
    q: P,
    *,
    direction: float,
    base: P,
    text: str,
    value: float,
    scale: float,
    sizes: DimSizes,
    outside: Literal["end", "start"] = "end",
    shift: float = 0.0,
    beyond: float = 0.0,
    inside: bool = True,
    kind: DimKind = "linear",
    boxed: bool = False,
    below: str = "",
    full: str = "",
    led: tuple[float, float, Sequence[str]] | None = None,
) -> Item:
    """Return a linear dimension between p and q, its line along `direction` (radians) through `base`; paper mm.

    Text stands above the middle (moved along the line by `shift`) when it fits between the extension
    lines and `inside` allows it, otherwise beyond the end named by `outside`, at least `beyond` mm from it. below: a
    second line of text, under the dimension line; full: both in one, for the record. led: no text at the line; instead
    a leader from its middle by so many mm (right, up) to these lines of text.
    """
    turn = readable(direction)
    c, s = math.cos(turn), math.sin(turn)

    def foot(point: P) -> P:
        d = (point[0] - base[0]) * c + (point[1] - base[1]) * s
        return (base[0] + d * c, base[1] + d * s)

    if (p[0] - q[0]) * c + (p[1] - q[1]) * s > 0:
        p, q = q, p
    a, b = foot(p), foot(q)
    strokes: list[Stroke] = []
    for point, end in ((p, a), (q, b)):
        length = math.dist(point, end)
        if length > sizes.foot_mm:
            way = math.atan2(end[1] - point[1], end[0] - point[0])
            strokes.append(
                Stroke(Line(_along(point, way, sizes.foot_mm), _along(end, way, sizes.overshoot_mm)), "dimension")
            )
    between = math.dist(a, b)
    width = text_width(text, sizes.text_mm) + (2.0 if boxed else 0.0)
    lift = sizes.gap_mm + (0.5 if boxed else 0.0)
    inside_arrows = between >= 2.0 * sizes.arrow_mm + 1.0
    inside_text = led is None and inside and between >= width + 0.6
    tail = 0.0 if inside_arrows else 2.0 * sizes.arrow_mm
    start, end = _along(a, turn, -tail), _along(b, turn, tail)
    lead = max(1.0 if inside_arrows else sizes.arrow_mm + 0.5, beyond)
    pad = 0.8 if boxed else 0.0
    if led is not None:
        right, up, lines = led
        middle = _along(a, turn, between / 2.0)
        knee = (middle[0] + right, middle[1] + up)
        told = note(name, owner, middle, knee, lines, sizes=sizes, head="none", boxed=boxed)
        ends = (
            arrow(a, turn + (math.pi if inside_arrows else 0.0), sizes.arrow_mm),
            arrow(b, turn + (0.0 if inside_arrows else math.pi), sizes.arrow_mm),
        )
        line = Line(start, end)
        dim = DimData(kind, (a, p, q), value, text, _middle(told.texts[0]), scale, math.degrees(turn))
        strokes = [*told.strokes, *strokes, Stroke(line, "dimension")]
        return Item(name, owner, tuple(strokes), told.texts, ends, dim=dim, line=line, cost=2)
    if inside_text:
        foot_at, anchor = _along(a, turn, between / 2.0 + shift), "centre"
    elif outside == "end":
        foot_at, anchor = _along(b, turn, lead + pad), "left"
        end = _along(b, turn, max(lead + width, tail))
    else:
        foot_at, anchor = _along(a, turn, -lead - pad), "right"
        start = _along(a, turn, -max(lead + width, tail))
    strokes.append(Stroke(Line(start, end), "dimension"))
    inward = 0.0 if inside_arrows else math.pi
    fills = (arrow(a, turn + math.pi + inward, sizes.arrow_mm), arrow(b, turn + inward, sizes.arrow_mm))
    place = (foot_at[0] - s * lift, foot_at[1] + c * lift)
    written = Text(text, place, sizes.text_mm, _anchor(anchor), turn)
    if boxed:
        strokes.append(_frame(written, 0.9))
    texts = [written]
    if below and inside_text:
        drop = sizes.gap_mm + sizes.text_mm
        texts.append(Text(below, (foot_at[0] + s * drop, foot_at[1] - c * drop), sizes.text_mm, "centre", turn))
    middle = _middle(written)
    dim = DimData(kind, (a, p, q), value, full or text, middle, scale, math.degrees(turn))
    # A line far past its arrows seems to measure something else.
    far = math.dist(start, end) - between > FAR_MM
    return Item(name, owner, tuple(strokes), tuple(texts), fills, dim=dim, line=Line(start, end), cost=20 * far)


def linear_forms(
    name: str,
    owner: str,
    p: P,
    q: P,
    *,
    direction: float,
    base: P,
    lines: Sequence[str],
    text: str,
    value: float,
    scale: float,
    sizes: DimSizes,
    ends: Sequence[tuple[Literal["end", "start"], float]],
    shift: float = 0.0,
    room: float = math.inf,
    kind: DimKind = "linear",
    boxed: bool = False,
    ways: Sequence[P] = (),
) -> list[Item]:
    """Return the forms of a linear dimension on one line, the wanted one first.

    text: in one line; lines: the same in two, where it can be. ends: beyond which end text that does not fit goes, and
    from what distance. room: width that other lines leave at the middle. ways: where (right, up) from the middle a
    leader may go.
    """

    def form(words: str, **more: Any) -> Item:
        return linear(
            name,
            owner,
            p,
            q,
            direction=direction,
            base=base,
            text=words,
            value=value,
            scale=scale,
            sizes=sizes,
            kind=kind,
            boxed=boxed,
            **more,
        )

    between = abs((q[0] - p[0]) * math.cos(direction) + (q[1] - p[1]) * math.sin(direction))
    wide = [text_width(t, sizes.text_mm) + 0.6 + 2.0 * boxed for t in (text, *lines)]
    if between >= wide[0] and room >= wide[0] - 0.6:
        return [form(text, shift=shift)]
    forms = []
    if len(lines) == 2 and between >= max(wide[1:]) and room >= max(wide[1:]) - 0.6:
        forms.append(form(lines[0], below=lines[1], full=text))
    beside = [form(text, outside=end, beyond=beyond, inside=False) for end, beyond in ends]
    forms += [item for item in beside if not item.cost]
    forms += [form(text, led=(*way, lines)) for way in ways]
    return [*forms, *(item for item in beside if item.cost)]


def _anchor(name: str) -> Anchor:
    return "left" if name == "left" else "right" if name == "right" else "centre"


def _middle(text: Text) -> P:
    corners = text.corners()
    return (sum(p[0] for p in corners) / 4.0, sum(p[1] for p in corners) / 4.0)


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
            x, y = tip
            fills = (Fill(((x - 0.5, y), (x, y - 0.5), (x + 0.5, y), (x, y + 0.5)), "dimension"),)
    if boxed:
        strokes.append(_frame(texts[0], 0.8))
    if dim is not None:
        at = _middle(texts[0])
        dim = DimData(dim.kind, dim.points, dim.value, lines[0], at, dim.scale, dim.angle_deg)
    return Item(name, owner, tuple(strokes), tuple(texts), fills, dim=dim)


def round_dim(
    name: str,
    owner: str,
    centre: P,
    radius: float,
    *,
    direction: float,
    reach: float,
    lines: Sequence[str],
    value: float,
    scale: float,
    sizes: DimSizes,
    kind: Literal["diameter", "radius"],
    boxed: bool = False,
) -> Item:
    """Return a diameter or radius with its leader leaving the circle at `direction` (radians) over `reach` mm."""
    tip = _along(centre, direction, radius)
    knee = _along(centre, direction, radius + reach)
    far = _along(centre, direction, -radius)
    points = (far, tip) if kind == "diameter" else (centre, tip)
    dim = DimData(kind, points, value, lines[0], tip, scale)
    return note(name, owner, tip, knee, lines, sizes=sizes, dim=dim, boxed=boxed)


def angular(
    name: str,
    owner: str,
    vertex: P,
    first: P,
    second: P,
    *,
    radius: float,
    text: str,
    value: float,
    sizes: DimSizes,
    beside: Literal["first", "second"] | None = None,
    boxed: bool = False,
) -> Item:
    """Return the angle from `first` counter-clockwise to `second` round `vertex`, arc of `radius` paper mm.

    beside: the text stands level beyond that side, the arc running on to it; None: on the arc where it has room.
    """
    a0 = math.atan2(first[1] - vertex[1], first[0] - vertex[0])
    a1 = math.atan2(second[1] - vertex[1], second[0] - vertex[0])
    sweep = (a1 - a0) % TAU
    strokes: list[Stroke] = []
    for point, angle in ((first, a0), (second, a1)):
        if math.dist(vertex, point) + sizes.foot_mm < radius:
            strokes.append(
                Stroke(
                    Line(_along(point, angle, sizes.foot_mm), _along(vertex, angle, radius + sizes.overshoot_mm)),
                    "dimension",
                )
            )
    inside = sweep * radius >= 2.0 * sizes.arrow_mm + 1.0
    turn = sizes.arrow_mm / radius
    if inside:
        strokes.append(Stroke(Arc(vertex, radius, a0, sweep), "dimension"))
        heads = (
            (_along(vertex, a0, radius), a0 - math.pi / 2 + turn / 2),
            (_along(vertex, a1, radius), a1 + math.pi / 2 - turn / 2),
        )
    else:
        strokes.append(Stroke(Arc(vertex, radius, a0 - 2.0 * turn, sweep + 4.0 * turn), "dimension"))
        heads = (
            (_along(vertex, a0, radius), a0 + math.pi / 2 - turn / 2),
            (_along(vertex, a1, radius), a1 - math.pi / 2 + turn / 2),
        )
    fills = tuple(arrow(tip, way, sizes.arrow_mm) for tip, way in heads)
    middle = a0 + sweep / 2.0
    width = text_width(text, sizes.text_mm) + (2.0 if boxed else 0.0)
    gap = sizes.gap_mm + (0.6 if boxed else 0.0)
    if beside is not None:
        # Past the side named: level, its near end just beyond the arc's tail.
        turned = a1 + 3.0 * turn if beside == "second" else a0 - 3.0 * turn
        x, y = _along(vertex, turned, radius)
        way = turned + (math.pi / 2 if beside == "second" else -math.pi / 2)
        c, s = math.cos(way), math.sin(way)
        reach = gap + abs(c) * width / 2.0 + abs(s) * sizes.text_mm / 2.0
        written = Text(text, (x + c * reach, y + s * reach - sizes.text_mm / 2.0), sizes.text_mm, "centre")
        low, high = (a1, a1 + 3.0 * turn) if beside == "second" else (a0 - 3.0 * turn, a0)
        if inside:
            strokes.append(Stroke(Arc(vertex, radius, low, high - low), "dimension"))
        else:
            strokes[-1] = Stroke(Arc(vertex, radius, a0 - 3.0 * turn, sweep + 6.0 * turn), "dimension")
    elif inside and sweep * radius >= width + 2.0:
        lie = readable(middle - math.pi / 2)
        outward = math.cos(lie + math.pi / 2 - middle) > 0
        distance = radius + gap + (0.0 if outward else sizes.text_mm)
        at = _along(vertex, middle, distance)
        written = Text(text, at, sizes.text_mm, "centre", lie)
    else:
        # Horizontal, beyond the arc, beside the second side.
        c, s = math.cos(middle), math.sin(middle)
        reach = radius + gap + abs(c) * width / 2.0 + abs(s) * sizes.text_mm / 2.0
        x, y = _along(vertex, middle, reach)
        written = Text(text, (x, y - sizes.text_mm / 2.0), sizes.text_mm, "centre")
    if boxed:
        strokes.append(_frame(written, 0.8))
    arc_at = _along(vertex, middle, radius)
    dim = DimData("angular", (arc_at, first, second, vertex), value, text, _middle(written), 1.0)
    return Item(name, owner, tuple(strokes), (written,), fills, dim=dim)


def ordinate(
    name: str,
    owner: str,
    origin: P,
    point: P,
    *,
    axis: Literal["x", "y"],
    level: float,
    shift: float,
    text: str,
    value: float,
    scale: float,
    sizes: DimSizes,
) -> Item:
    """Return an ordinate: the distance of `point` from `origin` along `axis`, written at `level`.

    level: coordinate of the text's near end across the axis (paper mm). shift: displacement of the text along the axis
    that keeps it off its neighbours; the leader takes a jog for it.
    """
    across = 1 if axis == "x" else 0
    way = 1.0 if level >= point[across] else -1.0
    start = point[across] + way * sizes.foot_mm
    bend0, bend1 = level - way * 6.0, level - way * 3.0
    main = point[0] if axis == "x" else point[1]

    def at(u: float, v: float) -> P:
        return (u, v) if axis == "x" else (v, u)

    strokes = []
    if abs(shift) < 1e-9:
        strokes.append(Stroke(Line(at(main, start), at(main, level)), "dimension"))
    else:
        path = (at(main, start), at(main, bend0), at(main + shift, bend1), at(main + shift, level))
        strokes.append(Stroke(Poly(path), "dimension"))
    end = at(main + shift, level)
    half = sizes.text_mm / 2.0
    if axis == "x":
        written = Text(
            text, (end[0] + half, end[1] + way * 0.8), sizes.text_mm, "left" if way > 0 else "right", math.pi / 2
        )
    else:
        written = Text(text, (end[0] + way * 0.8, end[1] - half), sizes.text_mm, "left" if way > 0 else "right")
    kind: DimKind = "ordinate_x" if axis == "x" else "ordinate_y"
    dim = DimData(kind, (origin, point, end), value, text, _middle(written), scale)
    return Item(name, owner, tuple(strokes), (written,), (), dim=dim)


def balloon(name: str, owner: str, tip: P, centre: P, text: str, *, sizes: DimSizes) -> Item:
    """Return an item number in a circle with its leader to `tip`; a dot ends the leader."""
    radius = max(1.25 * sizes.text_mm, text_width(text, sizes.text_mm) / 2.0 + 1.2)
    way = math.atan2(tip[1] - centre[1], tip[0] - centre[0])
    strokes = (Stroke(Line(_along(centre, way, radius), tip), "dimension"), Stroke(Arc(centre, radius), "dimension"))
    x, y = tip
    dot = Fill(((x - 0.6, y), (x, y - 0.6), (x + 0.6, y), (x, y + 0.6)), "dimension")
    written = Text(text, (centre[0], centre[1] - sizes.text_mm / 2.0), sizes.text_mm, "centre")
    return Item(name, owner, strokes, (written,), (dot,), bounds(Arc(centre, radius)))
