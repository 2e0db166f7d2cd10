"""Curves of a view made tidy: nothing is drawn twice, touching pieces of one line or circle join, hidden lines that lie
behind visible ones go.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np

from strutwright.exporters.drawing.shapes import Arc, Ellipse, Line, Poly, Shape, flatten

TOLERANCE_MM = 1e-4
"""Ends nearer than this are one point, lines and circles nearer than this are the same."""


Span = tuple[float, float]


def tidy(groups: Iterable[Iterable[Shape]]) -> list[list[Shape]]:
    """Return the groups with duplicates removed and collinear or concentric pieces joined.

    groups: in order of precedence (visible before hidden); what an earlier group draws is taken out of later ones.
    Lines and arcs are cut exactly; ellipses and polylines are only dropped when an equal one stands already.
    """
    lines: list[_Carrier] = []
    rounds: list[_Carrier] = []
    seen: set[tuple[object, ...]] = set()
    levels = [list(group) for group in groups]
    rest: list[list[Shape]] = [[] for _ in levels]
    for level, group in enumerate(levels):
        for shape in group:
            if isinstance(shape, Line):
                _take_line(lines, shape, level)
            elif isinstance(shape, Arc | Ellipse):
                _take_round(rounds, shape, level)
            elif (mark := _mark(shape)) not in seen:
                seen.add(mark)
                rest[level].append(shape)
    out: list[list[Shape]] = [[] for _ in levels]
    for carrier in lines:
        for level, kept in carrier.kept(TOLERANCE_MM):
            out[level] += [_line(carrier.key, a, b) for a, b in kept]
    for carrier in rounds:
        gap = TOLERANCE_MM / _radius(carrier.key)
        for level, kept in carrier.kept(gap):
            if len(kept) > 1 and kept[0][0] <= gap and kept[-1][1] >= math.tau - gap:
                first = kept.pop(0)
                kept[-1] = (kept[-1][0], kept[-1][1] + first[1] - first[0])
            out[level] += [_round(carrier.key, a, min(b - a, math.tau)) for a, b in kept]
    return [o + r for o, r in zip(out, rest, strict=True)]


@dataclass(slots=True)
class _Carrier:
    """An endless line (direction, offset), a circle or an ellipse with the spans drawn on it, by level."""

    key: tuple[float, ...]
    spans: dict[int, list[Span]] = field(default_factory=dict)

    def add(self, level: int, *spans: Span) -> None:
        self.spans.setdefault(level, []).extend(spans)

    def kept(self, gap: float) -> Iterator[tuple[int, list[Span]]]:
        """Yield for each level the spans that no earlier one covers."""
        covered: list[Span] = []
        for level, spans in self.spans.items():
            yield level, _without(_joined(spans, gap), covered, 10 * gap)
            covered = _joined(covered + spans, gap)


def _take_line(lines: list[_Carrier], line: Line, level: int) -> None:
    if math.dist(line.a, line.b) > TOLERANCE_MM:
        key = _line_key(line)
        dx, dy, _ = key
        low, high = sorted((p[0] * dx + p[1] * dy) for p in (line.a, line.b))
        carrier = _find(lines, key, (1e-7, 1e-7, TOLERANCE_MM), span=max(abs(low), abs(high)))
        carrier.add(level, (low, high))


def _take_round(rounds: list[_Carrier], shape: Arc | Ellipse, level: int) -> None:
    key, start = _round_key(shape)
    carrier, end = _find(rounds, key, (TOLERANCE_MM,) * len(key)), start + shape.sweep
    if end > math.tau + 1e-9:
        carrier.add(level, (start, math.tau), (0.0, end - math.tau))
    else:
        carrier.add(level, (start, end))


def _mark(shape: Poly) -> tuple[object, ...]:
    """What polylines that are the same have in common."""
    points = flatten(shape, 0.05)
    ends = sorted((tuple(np.round(points[0], 3)), tuple(np.round(points[-1], 3))))
    return (*ends, *np.round(points.min(axis=0), 2), *np.round(points.max(axis=0), 2))


def _joined(spans: list[Span], gap: float) -> list[Span]:
    joined: list[Span] = []
    for a, b in sorted(spans):
        if joined and a <= joined[-1][1] + gap:
            joined[-1] = (joined[-1][0], max(joined[-1][1], b))
        else:
            joined.append((a, b))
    return joined


def _without(spans: list[Span], covered: list[Span], least: float) -> list[Span]:
    left: list[Span] = []
    for a, b in spans:
        for c, d in covered:
            if d <= a or c >= b:
                continue
            if c - a > least:
                left.append((a, c))
            a = max(a, d)
        if b - a > least:
            left.append((a, b))
    return left


def _line_key(line: Line) -> tuple[float, float, float]:
    dx, dy = line.b[0] - line.a[0], line.b[1] - line.a[1]
    length = math.hypot(dx, dy)
    dx, dy = dx / length, dy / length
    if dx < -1e-9 or (abs(dx) <= 1e-9 and dy < 0):
        dx, dy = -dx, -dy
    return dx, dy, line.a[1] * dx - line.a[0] * dy


def _line(key: tuple[float, ...], a: float, b: float) -> Line:
    dx, dy, offset = key
    return Line((a * dx - offset * dy, a * dy + offset * dx), (b * dx - offset * dy, b * dy + offset * dx))


def _round_key(shape: Arc | Ellipse) -> tuple[tuple[float, ...], float]:
    """Key of a circle or ellipse, and the start angle counted from the key's own axis."""
    if isinstance(shape, Arc):
        return (*shape.centre, shape.radius), shape.start % math.tau
    (mx, my), start = shape.major, shape.start
    if mx < -TOLERANCE_MM or (abs(mx) <= TOLERANCE_MM and my < 0):
        mx, my, start = -mx, -my, start + math.pi
    return (*shape.centre, mx, my, shape.ratio * math.hypot(mx, my)), start % math.tau


def _radius(key: tuple[float, ...]) -> float:
    return key[2] if len(key) == 3 else math.hypot(key[2], key[3])


def _round(key: tuple[float, ...], start: float, sweep: float) -> Arc | Ellipse:
    if len(key) == 3:
        return Arc((key[0], key[1]), key[2], start, sweep)
    return Ellipse((key[0], key[1]), (key[2], key[3]), key[4] / math.hypot(key[2], key[3]), start, sweep)


def _find(carriers: list[_Carrier], key: tuple[float, ...], within: tuple[float, ...], span: float = 1.0) -> _Carrier:
    for carrier in carriers:
        if len(carrier.key) != len(key):
            continue
        near = zip(carrier.key, key, within, strict=True)
        if all(abs(a - b) <= max(tol, 1e-9 * span) for a, b, tol in near):
            return carrier
    carriers.append(_Carrier(key))
    return carriers[-1]
