"""Lines of a sheet that are drawn more than once, whole or in part."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterator

from strutwright.exporters.drawing.items import Stroke
from strutwright.exporters.drawing.shapes import Arc, Line, Poly
from strutwright.exporters.drawing.sheet import Drawn

SHOWN = ("visible", "smooth", "hidden", "phantom", "stock")
"""Lines of the part; of others, such as extension lines from one point, pieces may well lie on each other."""
LEAST_MM = 0.5


def _pieces(stroke: Stroke) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    if isinstance(stroke.shape, Line):
        yield stroke.shape.a, stroke.shape.b
    elif isinstance(stroke.shape, Poly):
        points = stroke.shape.points
        ends = itertools.pairwise([*points, points[0]] if stroke.shape.closed else points)
        bulges = stroke.shape.bulges or (0.0,) * len(points)
        yield from (pair for pair, bulge in zip(ends, bulges, strict=False) if not bulge)


def repeated(page: Drawn) -> list[str]:
    """What is drawn twice: straight lines of a kind that lie on each other for LEAST_MM, and arcs that are the same."""
    found = []
    for owner in {i.owner for i in page.items}:
        strokes = [s for i in page.items if i.owner == owner and i.name != "hatching" for s in i.strokes]
        lines: dict[tuple[str, float, float], list[tuple[float, float]]] = defaultdict(list)
        arcs: dict[tuple[object, ...], int] = defaultdict(int)
        for stroke in strokes:
            if stroke.kind not in SHOWN:
                continue
            if isinstance(stroke.shape, Arc):
                a = stroke.shape
                arcs[
                    stroke.kind, *(round(float(v), 3) for v in (*a.centre, a.radius, a.start % math.tau, a.sweep))
                ] += 1
            for p, q in _pieces(stroke):
                turn = math.atan2(q[1] - p[1], q[0] - p[0]) % math.pi
                turn = 0.0 if math.pi - turn < 1e-4 else turn
                c, s = math.cos(turn), math.sin(turn)
                key = stroke.kind, round(turn, 3), round(p[1] * c - p[0] * s, 2) + 0.0
                lines[key].append(tuple(sorted((p[0] * c + p[1] * s, q[0] * c + q[1] * s))))
        found += [f"{owner}: {key} {n} times" for key, n in arcs.items() if n > 1]
        for key, spans in lines.items():
            spans.sort()
            reach = -math.inf
            for low, high in spans:
                if min(reach, high) - low > LEAST_MM:
                    found.append(f"{owner}: {key[0]} line twice over {min(reach, high) - low:.1f} mm")
                reach = max(reach, high)
    return found
