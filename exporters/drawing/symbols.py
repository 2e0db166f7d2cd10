"""Symbols of the trade drawn as lines, in paper mm: projection, surface texture, datum, tolerance frame, weld, cut.

Forms follow ISO 5456-2 (projection), ISO 21920-1 (surface texture), ISO 5459 and ISO 1101 (datum, frame), ISO 2553
(weld), ISO 128-3 (cutting plane, break); proportions from memory, confirm against the standards.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from strutwright.exporters.drawing.dims import arrow
from strutwright.exporters.drawing.items import Item, Stroke
from strutwright.exporters.drawing.shapes import Arc, Box, Fill, Line, P, Placing, Poly, Text, bounds
from strutwright.exporters.drawing.style import Kind
from strutwright.exporters.drawing.text import text_width

Projection = Literal["first", "third"]

Characteristic = Literal[
    "straightness",
    "flatness",
    "roundness",
    "cylindricity",
    "profile of a line",
    "profile of a surface",
    "parallelism",
    "perpendicularity",
    "angularity",
    "position",
    "coaxiality",
    "symmetry",
    "run-out",
    "total run-out",
]

Weld = Literal[
    "fillet", "square butt", "single v", "single bevel", "double v", "double bevel", "double bevel and fillet"
]


Removal = Literal["any", "required", "prohibited"]


def _lines(kind: Kind, *pieces: Sequence[P]) -> list[Stroke]:
    return [Stroke(Poly(tuple(piece)) if len(piece) > 2 else Line(*piece), kind) for piece in pieces]


def projection_symbol(at: P, height: float, projection: Projection) -> list[Stroke]:
    """Return the truncated cone and its end view. at: lower left corner (mm); height: greatest diameter, mm.

    The whole is 2.6 heights wide, centre lines included.
    """
    x, y = at
    mid = y + height / 2.0
    cone_x, rings_x = (
        (x + 0.2 * height, x + 2.0 * height) if projection == "first" else (x + 1.4 * height, x + 0.6 * height)
    )
    small, large = height / 4.0, height / 2.0
    cone = Poly(
        ((cone_x, mid - small), (cone_x + height, mid - large), (cone_x + height, mid + large), (cone_x, mid + small)),
        True,
    )
    strokes = [Stroke(cone, "symbol")]
    strokes += [Stroke(Arc((rings_x, mid), r), "symbol") for r in (small, large)]
    over = 0.12 * height
    strokes += _lines(
        "centre",
        [(cone_x - over, mid), (cone_x + height + over, mid)],
        [(rings_x - large - over, mid), (rings_x + large + over, mid)],
        [(rings_x, mid - large - over), (rings_x, mid + large + over)],
    )
    return strokes


def surface_texture(
    name: str,
    owner: str,
    at: P,
    text: str,
    *,
    text_mm: float,
    removal: Removal = "required",
    turn: float = 0.0,
    knee: P | None = None,
) -> Item:
    """Return the surface-texture symbol standing at `at` on a surface; text such as "Ra 1.6".

    knee: bend of a leader that ends in an arrow on `at`; the symbol then stands level on the leader's landing.

    removal: material removal any, required (closed triangle) or prohibited (circle). turn: slope of the surface
    (radians), 0 for a level one with the symbol above it.
    """
    h = 1.4 * text_mm
    half = h * math.tan(math.radians(30.0))
    left, right = (-half, h), (2.0 * half, 2.0 * h)
    width = text_width(text, text_mm)
    pieces: list[Sequence[P]] = [[left, (0.0, 0.0), right, (right[0] + width + 2.0, right[1])]]
    if removal == "required":
        pieces.append([left, (half, h)])
    strokes = _lines("symbol", *pieces)
    if removal == "prohibited":
        strokes.append(Stroke(Arc((0.0, h * 0.62), h * 0.36), "symbol"))
    fills: tuple[Fill, ...] = ()
    led: list[Stroke] = []
    place = Placing(1.0, at[0], at[1], turn)
    if knee is not None:
        way = 1.0 if knee[0] >= at[0] else -1.0
        length = half + right[0] + width + 3.0
        led = _lines("symbol", [at, knee, (knee[0] + way * length, knee[1])])
        fills = (arrow(at, math.atan2(at[1] - knee[1], at[0] - knee[0]), 3.0),)
        place = Placing(1.0, knee[0] + half + 1.0 if way > 0 else knee[0] - length + half + 1.0, knee[1])
        turn = 0.0
    strokes = [Stroke(place.shape(s.shape), s.kind) for s in strokes]
    spot = place.point((right[0] + 1.0, right[1] - text_mm - 0.35 * text_mm))
    return Item(name, owner, (*led, *strokes), (Text(text, spot, text_mm, "left", turn),), fills)


def datum(name: str, owner: str, at: P, letter: str, *, toward: P, text_mm: float, stem_mm: float) -> Item:
    """Return a datum feature triangle on `at`, stem, and the framed letter on the side of `toward` (a direction)."""
    length = math.hypot(*toward)
    ux, uy = toward[0] / length, toward[1] / length
    size = text_mm
    base = 0.62 * size
    tip = (at[0] + ux * size, at[1] + uy * size)
    triangle = Fill((tip, (at[0] - uy * base, at[1] + ux * base), (at[0] + uy * base, at[1] - ux * base)), "symbol")
    half = max(text_width(letter, text_mm) / 2.0 + 1.0, text_mm)
    reach = half if abs(ux) > abs(uy) else text_mm
    centre = (at[0] + ux * (size + stem_mm + reach), at[1] + uy * (size + stem_mm + reach))
    edge = (at[0] + ux * (size + stem_mm), at[1] + uy * (size + stem_mm))
    frame = Poly(
        (
            (centre[0] - half, centre[1] - text_mm),
            (centre[0] + half, centre[1] - text_mm),
            (centre[0] + half, centre[1] + text_mm),
            (centre[0] - half, centre[1] + text_mm),
        ),
        True,
    )
    strokes = (Stroke(Line(tip, edge), "symbol"), Stroke(frame, "symbol"))
    written = Text(letter, (centre[0], centre[1] - text_mm / 2.0), text_mm, "centre")
    return Item(name, owner, strokes, (written,), (triangle,), bounds(frame))


def _characteristic(kind: Characteristic, at: P, h: float) -> list[Stroke]:
    """The sign of a geometric characteristic, h high and wide about its centre."""
    x, y = at
    r = h / 2.0

    def line(*points: P) -> list[Stroke]:
        return _lines("symbol", [(x + a * r, y + b * r) for a, b in points])

    def ring(radius: float, cx: float = 0.0, cy: float = 0.0, start: float = 0.0, sweep: float = 7.0) -> Stroke:
        return Stroke(Arc((x + cx * r, y + cy * r), radius * r, start, min(sweep, math.tau)), "symbol")

    if kind == "straightness":
        return line((-1, 0), (1, 0))
    if kind == "flatness":
        return line((-1.1, -0.5), (0.5, -0.5), (1.1, 0.5), (-0.5, 0.5), (-1.1, -0.5))
    if kind == "roundness":
        return [ring(0.8)]
    if kind == "cylindricity":
        return [ring(0.55), *line((-1.1, -0.8), (-0.3, 0.8)), *line((0.3, -0.8), (1.1, 0.8))]
    if kind == "profile of a line":
        return [ring(0.9, 0, -0.45, 0.0, math.pi)]
    if kind == "profile of a surface":
        return [ring(0.9, 0, -0.45, 0.0, math.pi), *line((-0.9, -0.45), (0.9, -0.45))]
    if kind == "parallelism":
        return line((-0.7, -0.9), (0.1, 0.9)) + line((-0.1, -0.9), (0.7, 0.9))
    if kind == "perpendicularity":
        return line((-0.9, -0.8), (0.9, -0.8)) + line((0, -0.8), (0, 0.9))
    if kind == "angularity":
        return line((1.0, -0.7), (-1.0, -0.7), (0.9, 0.6))
    if kind == "position":
        return [ring(0.6), *line((-1, 0), (1, 0)), *line((0, -1), (0, 1))]
    if kind == "coaxiality":
        return [ring(0.9), ring(0.45)]
    if kind == "symmetry":
        return line((-0.6, 0.5), (0.6, 0.5)) + line((-1, 0), (1, 0)) + line((-0.6, -0.5), (0.6, -0.5))
    head = line((0.15, 0.55), (0.7, 0.8), (0.6, 0.2))
    if kind == "run-out":
        return [*line((-0.6, -0.8), (0.7, 0.8)), *head]
    return [
        *line((-0.9, -0.8), (0.2, -0.8)),
        *line((-0.9, -0.8), (0.0, 0.7), (-0.5, 0.45)),
        *line((0.2, -0.8), (0.9, 0.7), (0.5, 0.45)),
    ]


def frame_width(tolerance: str, datums: Sequence[str], text_mm: float) -> float:
    """Return the width in mm of a tolerance frame."""
    return 2.0 * text_mm + sum(max(text_width(t, text_mm) + 0.9 * text_mm, 2.0 * text_mm) for t in (tolerance, *datums))


def tolerance_frame(
    name: str,
    owner: str,
    at: P,
    kind: Characteristic,
    tolerance: str,
    datums: Sequence[str] = (),
    *,
    text_mm: float,
    tip: P | None = None,
) -> Item:
    """Return a geometric tolerance frame. at: lower left corner, mm. tolerance: such as "Ø0.1"; datums in order.

    tip: point on the feature the leader's arrow meets; it leaves the nearer end of the frame. None draws no leader.
    """
    h = 2.0 * text_mm
    x, y = at
    strokes: list[Stroke] = []
    texts: list[Text] = []
    edges = [x, x + h]
    strokes += _characteristic(kind, (x + h / 2.0, y + h / 2.0), 1.25 * text_mm)
    for value in (tolerance, *datums):
        wide = max(text_width(value, text_mm) + 0.9 * text_mm, h)
        texts.append(Text(value, (edges[-1] + wide / 2.0, y + text_mm / 2.0), text_mm, "centre"))
        edges.append(edges[-1] + wide)
    strokes.append(Stroke(Poly(((x, y), (edges[-1], y), (edges[-1], y + h), (x, y + h)), True), "symbol"))
    strokes += [Stroke(Line((e, y), (e, y + h)), "symbol") for e in edges[1:-1]]
    fills: tuple[Fill, ...] = ()
    if tip is not None:
        from_right = tip[0] > (x + edges[-1]) / 2.0
        leave = (edges[-1] if from_right else x, y + h / 2.0)
        knee = (leave[0] + (3.0 if from_right else -3.0), leave[1])
        path = [leave, knee, tip] if math.dist(knee, tip) > 0.5 else [leave, tip]
        strokes += _lines("symbol", path)
        fills = (arrow(tip, math.atan2(tip[1] - path[-2][1], tip[0] - path[-2][0]), 3.0),)
    return Item(name, owner, tuple(strokes), tuple(texts), fills, Box(x, y, edges[-1], y + h))


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldSign:
    """What a weld symbol says. size: such as "a5" or "z6". tail: process or note behind the fork.

    other_side: the sign stands on the dashed identification line (ISO 2553 system A) instead of the solid one.
    all_round, site: circle and flag at the knee.
    """

    kind: Weld
    size: str
    other_side: bool = False
    all_round: bool = False
    site: bool = False
    tail: str = ""

    def pieces(self, h: float) -> list[list[P]]:
        """Return the lines of the basic sign, in heights h (mm) across and up from its foot; the other side's below."""
        if self.kind == "fillet":
            return [[(0.0, 0.0), (0.0, 1.0), (1.0, 0.0)]]
        if self.kind == "square butt":
            return [[(0.2, 0.0), (0.2, 1.0)], [(0.6, 0.0), (0.6, 1.0)]]
        low, foot = (-1.0, 0.0) if self.other_side else (-(1.0 + 1.2 / h), -1.2 / h)

        def groove(top: float, root: float) -> list[P]:
            if "v" in self.kind.split():
                return [(0.0, top), (0.5, root), (1.0, top)]
            return [(0.3, top), (0.3, root), (1.0, top)]

        out = [groove(1.0, 0.0)]
        if self.kind.startswith("double"):
            out.append(groove(low, foot))
        if self.kind.endswith("and fillet"):
            out.append([(0.3, 1.0), (0.3, 1.9), (1.2, 1.0), (0.3, 1.0)])
            out.append([(0.3, low), (0.3, low - 0.9), (1.2, low), (0.3, low)])
        return out


def weld(name: str, owner: str, tip: P, knee: P, sign: WeldSign, *, text_mm: float) -> Item:
    """Return a weld symbol: arrow to `tip`, reference line from `knee`, basic sign, size."""
    h, size = 1.1 * text_mm, sign.size
    way = 1.0 if knee[0] >= tip[0] else -1.0
    ring = 1.6 if sign.all_round else 0.0
    length = text_width(size, text_mm) + 3.2 * h + 2.0 + ring
    x0, y = knee
    x1 = x0 + way * length
    left = min(x0, x1)
    first = left + (ring if way > 0 else 0.0)
    strokes = [Stroke(Line(tip, knee), "dimension"), Stroke(Line(knee, (x1, y)), "dimension")]
    strokes.append(Stroke(Line((left, y - 1.2), (left + length, y - 1.2)), "hidden"))
    up, base = (-1.0, y - 1.2) if sign.other_side else (1.0, y)
    sx = first + text_width(size, text_mm) + 2.2 + h / 2.0
    strokes += _lines("symbol", *([(sx + a * h, base + up * b * h) for a, b in piece] for piece in sign.pieces(h)))
    text_y = y - 1.2 - 1.35 * text_mm if sign.other_side else y + 0.35 * text_mm
    texts = [Text(size, (first + 1.2, text_y), text_mm)]
    if sign.all_round:
        strokes.append(Stroke(Arc(knee, 1.4), "symbol"))
    fills = [arrow(tip, math.atan2(tip[1] - knee[1], tip[0] - knee[0]), 3.0)]
    if sign.site:
        strokes.append(Stroke(Line(knee, (x0, y + 2.4 * h)), "symbol"))
        fills.append(Fill(((x0, y + 2.4 * h), (x0, y + 1.5 * h), (x0 + way * 1.3 * h, y + 1.95 * h)), "symbol"))
    if sign.tail:
        strokes += _lines("symbol", [(x1 + way * 2.5, y + 2.5), (x1, y), (x1 + way * 2.5, y - 2.5)])
        texts.append(Text(sign.tail, (x1 + way * 3.2, y - text_mm / 2.0), text_mm, "left" if way > 0 else "right"))
    return Item(name, owner, tuple(strokes), tuple(texts), tuple(fills))


def cutting_plane(name: str, owner: str, a: P, b: P, letter: str, *, toward: P, text_mm: float) -> Item:
    """Return a cutting plane from a to b: thin chain, thick ends, arrows in the viewing direction, letters.

    toward: viewing direction (the way one looks), a vector square to a-b; paper mm.
    """
    along = math.atan2(b[1] - a[1], b[0] - a[0])
    c, s = math.cos(along), math.sin(along)
    look = math.atan2(toward[1], toward[0])
    lc, ls = math.cos(look), math.sin(look)
    thick = 7.0
    strokes = [Stroke(Line(a, b), "centre")]
    fills, texts = [], []
    for end, way in ((a, -1.0), (b, 1.0)):
        outer = (end[0] + way * c * thick, end[1] + way * s * thick)
        strokes.append(Stroke(Line(end, outer), "visible"))
        stem = (outer[0] - lc * 10.0, outer[1] - ls * 10.0)
        strokes.append(Stroke(Line(stem, outer), "dimension"))
        fills.append(arrow(outer, look, 4.0))
        big = 1.4 * text_mm
        spot = (stem[0] + way * c * big, stem[1] + way * s * big)
        texts.append(Text(letter, (spot[0], spot[1] - big / 2.0), big, "centre"))
    return Item(name, owner, tuple(strokes), tuple(texts), tuple(fills))


def direction_arrow(name: str, owner: str, tail: P, direction: float, text: str, *, text_mm: float) -> Item:
    """Return a plain arrow 14 mm long from `tail` along `direction` (radians) and its text, such as "FWD"."""
    length = 14.0
    tip = (tail[0] + length * math.cos(direction), tail[1] + length * math.sin(direction))
    middle = ((tail[0] + tip[0]) / 2.0, (tail[1] + tip[1]) / 2.0)
    c, s = math.cos(direction), math.sin(direction)
    if abs(s) < 0.05:
        written = Text(text, (middle[0], middle[1] + 1.5), text_mm, "centre")
    elif abs(c) < 0.05:
        written = Text(text, (middle[0] + 2.0, middle[1] - text_mm / 2.0), text_mm)
    else:  # behind the tail, clear of the sloping line
        reach = 1.2 + min(text_width(text, text_mm) / 2.0 / abs(c), text_mm / 2.0 / abs(s))
        written = Text(text, (tail[0] - reach * c, tail[1] - reach * s - text_mm / 2.0), text_mm, "centre")
    made = Item(name, owner, (Stroke(Line(tail, tip), "visible"),), (written,), (arrow(tip, direction, 5.0),))
    # Nothing runs through it or beside it: a leader on an arrow makes another arrow of it.
    level = abs(s) < 0.05 or abs(c) < 0.05
    return replace(made, block=made.box()) if level else made


def force(name: str, owner: str, tail: P, tip: P, text: str, *, text_mm: float) -> list[Item]:
    """Return the head of a force's arrow, whose shaft from tail to tip is drawn already, with its text in each place
    it may stand: beside the shaft, or behind the tail.
    """
    way = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
    c, s = math.cos(way), math.sin(way)
    half = text_width(text, text_mm) / 2.0
    forms = []
    for share in (0.5, 0.3, 0.7, 0.1):
        for side in (1.0, -1.0):
            reach = 1.5 + abs(s) * half + abs(c) * text_mm / 2.0
            x = tail[0] + share * (tip[0] - tail[0]) - side * s * reach
            y = tail[1] + share * (tip[1] - tail[1]) + side * c * reach
            forms.append(Text(text, (x, y - text_mm / 2.0), text_mm, "centre"))
    reach = 1.5 + abs(c) * half + abs(s) * text_mm / 2.0
    forms.append(Text(text, (tail[0] - reach * c, tail[1] - reach * s - text_mm / 2.0), text_mm, "centre"))
    return [Item(name, owner, (), (written,), (arrow(tip, way, 5.0),)) for written in forms]


def break_line(a: P, b: P, *, tooth: float = 2.0) -> list[Stroke]:
    """Return a long break line with one zigzag between a and b (paper mm)."""
    length = math.dist(a, b)
    c, s = (b[0] - a[0]) / length, (b[1] - a[1]) / length

    def at(u: float, v: float) -> P:
        return (a[0] + c * u - s * v, a[1] + s * u + c * v)

    m = length / 2.0
    path = [
        at(-1.5, 0.0),
        at(m - tooth, 0.0),
        at(m - tooth / 2, tooth * 1.4),
        at(m + tooth / 2, -tooth * 1.4),
        at(m + tooth, 0.0),
        at(length + 1.5, 0.0),
    ]
    return _lines("thin", path)
