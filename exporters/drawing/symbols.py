"""Symbols of the trade drawn as lines, in paper mm: projection, surface texture, datum, tolerance frame, weld, cut.

Forms follow ISO 5456-2 (projection), ISO 21920-1 (surface texture), ISO 5459 and ISO 1101 (datum, frame), ISO 2553
(weld), ISO 128-3 (cutting plane, break); proportions from memory, confirm against the standards.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from strutwright.exporters.drawing.dims import arrow
from strutwright.exporters.drawing.items import Item, Stroke
from strutwright.exporters.drawing.shapes import Arc, Box, Fill, Line, P, Placing, Poly, Text
from strutwright.exporters.drawing.style import Kind
from strutwright.exporters.drawing.text import text_width

Projection = Literal["first", "third"]

Characteristic = Literal[
    "flatness", "profile", "cylindricity", "perpendicularity", "angularity", "position", "coaxiality"
]

Weld = Literal["fillet", "double bevel and fillet"]

Removal = Literal["required", "prohibited"]


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
    name: str, owner: str, at: P, text: str, *, text_mm: float, removal: Removal, turn: float, knee: P | None
) -> Item:
    """Return the surface-texture symbol standing at `at` on a surface; text such as "Ra 1.6".

    knee: bend of a leader that ends in an arrow on `at`; the symbol then stands level on the leader's landing.
    removal: material removal required (closed triangle) or prohibited (circle). turn: slope of the surface (radians),
    0 for a level one with the symbol above it.
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
    return Item(
        name=name, owner=owner, strokes=(*led, *strokes), texts=(Text(text, spot, text_mm, "left", turn),), fills=fills
    )


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
    frame = Box(centre[0] - half, centre[1] - text_mm, centre[0] + half, centre[1] + text_mm)
    strokes = (Stroke(Line(tip, edge), "symbol"), Stroke(frame.outline(), "symbol"))
    written = Text(letter, (centre[0], centre[1] - text_mm / 2.0), text_mm, "centre")
    return Item(name=name, owner=owner, strokes=strokes, texts=(written,), fills=(triangle,), block=frame)


_SIGNS: dict[Characteristic, tuple[tuple[float, ...], tuple[tuple[P, ...], ...]]] = {
    "flatness": ((), (((-1.1, -0.5), (0.5, -0.5), (1.1, 0.5), (-0.5, 0.5), (-1.1, -0.5)),)),
    "profile": (
        (),
        ((*((math.cos(math.pi * k / 12), math.sin(math.pi * k / 12) - 0.5) for k in range(13)), (1.0, -0.5)),),
    ),
    "cylindricity": ((0.55,), (((-1.1, -0.8), (-0.3, 0.8)), ((0.3, -0.8), (1.1, 0.8)))),
    "perpendicularity": ((), (((-0.9, -0.8), (0.9, -0.8)), ((0.0, -0.8), (0.0, 0.9)))),
    "angularity": ((), (((1.0, -0.7), (-1.0, -0.7), (0.9, 0.6)),)),
    "position": ((0.6,), (((-1.0, 0.0), (1.0, 0.0)), ((0.0, -1.0), (0.0, 1.0)))),
    "coaxiality": ((0.9, 0.45), ()),
}
"""Signs of the characteristics: radii of rings, then lines, from the middle in halves of the height."""


def frame_width(tolerance: str, datums: Sequence[str], text_mm: float) -> float:
    """Return the width in mm of a tolerance frame."""
    return 2.0 * text_mm + sum(max(text_width(t, text_mm) + 0.9 * text_mm, 2.0 * text_mm) for t in (tolerance, *datums))


def tolerance_frame(
    name: str, owner: str, at: P, kind: Characteristic, tolerance: str, datums: Sequence[str], *, tip: P, text_mm: float
) -> Item:
    """Return a geometric tolerance frame. at: lower left corner, mm. tolerance: such as "Ø0.1"; datums in order.

    tip: point on the feature the leader's arrow meets; it leaves the nearer end of the frame.
    """
    h, r = 2.0 * text_mm, 1.25 * text_mm / 2.0
    x, y = at
    mx, my = x + h / 2.0, y + h / 2.0
    rings, lines = _SIGNS[kind]
    strokes = [Stroke(Arc((mx, my), ring * r), "symbol") for ring in rings]
    strokes += _lines("symbol", *([(mx + a * r, my + b * r) for a, b in line] for line in lines))
    texts: list[Text] = []
    edges = [x, x + h]
    for value in (tolerance, *datums):
        wide = max(text_width(value, text_mm) + 0.9 * text_mm, h)
        texts.append(Text(value, (edges[-1] + wide / 2.0, y + text_mm / 2.0), text_mm, "centre"))
        edges.append(edges[-1] + wide)
    frame = Box(x, y, edges[-1], y + h)
    strokes.append(Stroke(frame.outline(), "symbol"))
    strokes += [Stroke(Line((e, y), (e, y + h)), "symbol") for e in edges[1:-1]]
    from_right = tip[0] > (x + edges[-1]) / 2.0
    leave = (edges[-1] if from_right else x, y + h / 2.0)
    knee = (leave[0] + (3.0 if from_right else -3.0), leave[1])
    path = [leave, knee, tip] if math.dist(knee, tip) > 0.5 else [leave, tip]
    strokes += _lines("symbol", path)
    head = arrow(tip, math.atan2(tip[1] - path[-2][1], tip[0] - path[-2][0]), 3.0)
    return Item(name=name, owner=owner, strokes=tuple(strokes), texts=tuple(texts), fills=(head,), block=frame)


def _weld_pieces(kind: Weld, h: float) -> list[list[P]]:
    """The lines of a weld's sign, in heights h (mm) across and up from its foot; the other side's below."""
    if kind == "fillet":
        return [[(0.0, 0.0), (0.0, 1.0), (1.0, 0.0)]]
    low, foot = -(1.0 + 1.2 / h), -1.2 / h
    return [
        [(0.3, 1.0), (0.3, 0.0), (1.0, 1.0)],
        [(0.3, low), (0.3, foot), (1.0, low)],
        [(0.3, 1.0), (0.3, 1.9), (1.2, 1.0), (0.3, 1.0)],
        [(0.3, low), (0.3, low - 0.9), (1.2, low), (0.3, low)],
    ]


def weld(name: str, owner: str, tip: P, knee: P, *, kind: Weld, size: str, tail: str, text_mm: float) -> Item:
    """Return the symbol of a weld all round (ISO 2553 system A): arrow to `tip`, reference line from `knee` with its
    dashed line below, basic sign, size such as "a5" or "z6", and what stands behind the fork.
    """
    h, ring = 1.1 * text_mm, 1.6
    way = 1.0 if knee[0] >= tip[0] else -1.0
    length = text_width(size, text_mm) + 3.2 * h + 2.0 + ring
    x0, y = knee
    x1 = x0 + way * length
    left = min(x0, x1)
    first = left + (ring if way > 0 else 0.0)
    strokes = [Stroke(Line(tip, knee), "dimension"), Stroke(Line(knee, (x1, y)), "dimension")]
    strokes.append(Stroke(Line((left, y - 1.2), (left + length, y - 1.2)), "hidden"))
    sx = first + text_width(size, text_mm) + 2.2 + h / 2.0
    strokes += _lines("symbol", *([(sx + a * h, y + b * h) for a, b in piece] for piece in _weld_pieces(kind, h)))
    texts = [Text(size, (first + 1.2, y + 0.35 * text_mm), text_mm)]
    strokes.append(Stroke(Arc(knee, 1.4), "symbol"))
    if tail:
        strokes += _lines("symbol", [(x1 + way * 2.5, y + 2.5), (x1, y), (x1 + way * 2.5, y - 2.5)])
        texts.append(Text(tail, (x1 + way * 3.2, y - text_mm / 2.0), text_mm, "left" if way > 0 else "right"))
    head = arrow(tip, math.atan2(tip[1] - knee[1], tip[0] - knee[0]), 3.0)
    return Item(name=name, owner=owner, strokes=tuple(strokes), texts=tuple(texts), fills=(head,))


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
    return Item(name=name, owner=owner, strokes=tuple(strokes), texts=tuple(texts), fills=tuple(fills))


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
    made = Item(
        name=name,
        owner=owner,
        strokes=(Stroke(Line(tail, tip), "visible"),),
        texts=(written,),
        fills=(arrow(tip, direction, 5.0),),
    )
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
    return [
        Item(name=name, owner=owner, strokes=(), texts=(written,), fills=(arrow(tip, way, 5.0),)) for written in forms
    ]


def break_line(a: P, b: P, *, tooth: float = 2.0) -> list[Stroke]:
    """Return a long break line with one zigzag between a and b (paper mm)."""
    length = math.dist(a, b)
    c, s = (b[0] - a[0]) / length, (b[1] - a[1]) / length

    m, high = length / 2.0, tooth * 1.4
    path = [(-1.5, 0.0), (m - tooth, 0.0), (m - tooth / 2, high), (m + tooth / 2, -high), (m + tooth, 0.0)]
    path.append((length + 1.5, 0.0))
    return _lines("thin", [(a[0] + c * u - s * v, a[1] + s * u + c * v) for u, v in path])
