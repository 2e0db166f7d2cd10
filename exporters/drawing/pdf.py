"""The PDF back end: the shipped font, and shapes as paths of a canvas."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache
from typing import Any

from strutwright.exporters.drawing.shapes import Arc, P, Shape, flatten
from strutwright.exporters.fonts import FONT_FILE, FONT_NAME
from strutwright.params.quantity import INCH_MM

POINTS_PER_MM = 72.0 / INCH_MM


@cache
def font() -> str:
    """Return the name of the shipped font, made known to the PDF library."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    pdfmetrics.registerFont(TTFont(FONT_NAME, str(FONT_FILE)))
    return FONT_NAME


def trace(canvas: Any, shapes: Iterable[Shape]) -> Any:
    """Return a path of a canvas along shapes in its units; one that begins where the last ended goes on from there."""
    path = canvas.beginPath()
    last: P | None = None
    for shape in shapes:
        if isinstance(shape, Arc):
            last = _arc(path, shape, last)
        else:
            rows = flatten(shape).tolist()
            if last is None or math.dist(last, rows[0]) > 1e-6:
                path.moveTo(*rows[0])
            for row in rows[1:]:
                path.lineTo(*row)
            last = (rows[-1][0], rows[-1][1])
    return path


def _arc(path: Any, arc: Arc, last: P | None) -> P:
    """Add an arc as Bezier curves of at most 30 degrees: within 3e-8 of the radius."""
    start, sweep = arc.start, arc.sweep
    if (
        last is not None
        and not arc.full
        and math.dist(last, arc.point(start + sweep)) < 1e-6 < math.dist(last, arc.point(start))
    ):
        start, sweep = start + sweep, -sweep  # the outline runs along it the other way
    count = max(math.ceil(abs(sweep) / math.radians(30.0)), 1)
    step = sweep / count
    pull = 4.0 / 3.0 * math.tan(step / 4.0) * arc.radius
    first = arc.point(start)
    if last is None or math.dist(last, first) > 1e-6:
        path.moveTo(*first)
    for k in range(count):
        a, b = start + k * step, start + (k + 1) * step
        (ax, ay), (bx, by) = arc.point(a), arc.point(b)
        path.curveTo(
            ax - pull * math.sin(a), ay + pull * math.cos(a), bx + pull * math.sin(b), by - pull * math.cos(b), bx, by
        )
    return arc.point(start + sweep)
