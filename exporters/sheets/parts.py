"""What the sheets of palm, arm, skeg and weld share: scales, words for the hand, plane geometry put into views."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from strutwright.exporters.drawing.figures import Figures, fixed
from strutwright.exporters.drawing.shapes import P, Poly
from strutwright.exporters.drawing.view import SCALES
from strutwright.models.frames import Vector
from strutwright.models.outline import Floats, Outline
from strutwright.models.spec import Palm, Strut
from strutwright.params import tables

METALS = ("stainless", "duplex", "bronze", "steel", "aluminium", "brass")
HOLE_ON_METAL_MM, HOLE_ON_LAMINATE_MM = 0.3, 0.8
"""Position tolerance of bolt holes on a metal hull, and where holes are taken over from the palm; common practice, no
source."""
PLACE_MM, PLACE_INCH_MM = 1.0, 0.04 * 25.4
"""How near a palm keeps to its place over the bore, plus or minus: drop, along the shaft, athwart; a round figure in
either unit. Common practice, no source."""
FLAT_SHARE, FLAT_LEAST_MM, FLAT_PRESSED_MM = 0.001, 0.1, 0.5
"""Flatness of a machined hull face, a share of its length and at least so much, and of one pressed flat after welding,
a feeler's worth; common practice, from memory."""


def no_larger(scales: tuple[float, ...]) -> tuple[float, ...]:
    """Return the scales without enlargements, or true size when there are but those: a part is best seen as it is."""
    return tuple(s for s in scales if s <= 1.0) or (1.0,)


def one_scale(extent_mm: float, most_mm: float) -> float:
    """Return the largest scale at which a model length is at most most_mm on paper."""
    return max((s for s in SCALES if extent_mm * s <= most_mm), default=SCALES[-1])


def banner(strut: Strut, part: str = "") -> str:
    """Return the hand in a few words, to be set large."""
    hand, own = strut.identity.hand, any(s in part for s in ("port", "starboard", "outboard", "inboard"))
    # The strut on the centre line has no hand, but its port and starboard parts have.
    words = f"{hand.upper()} HAND" if hand != "centre" else "CENTRE LINE" if own else "CENTRE LINE, NO HAND"
    return f"{words}: {part.upper()}" if own else words


def is_metal(material: str) -> bool:
    """Return whether a hull material is a metal."""
    try:
        return tables.material(material).family in METALS
    except tables.NotInTable:
        return False


def place_mm(unit: str) -> float:
    """Return how near (mm, plus or minus) a palm keeps to its place over the bore. unit: of the sheet, "in" or not."""
    return PLACE_INCH_MM if unit in ("in", "inch") else PLACE_MM


def hole_position_mm(strut: Strut) -> float:
    """Return the diameter (mm) of the zone that a bolt hole's axis keeps to among its fellows, on every sheet."""
    return HOLE_ON_METAL_MM if is_metal(strut.hull.material) else HOLE_ON_LAMINATE_MM


def flatness_mm(strut: Strut, palm: Palm) -> float:
    """Return the flatness (mm) asked of a palm's hull face on every sheet: machined castings to a tenth."""
    if strut.construction == "welded":
        return FLAT_PRESSED_MM
    box = palm.outline.bounding_box()
    return max(round(FLAT_SHARE * max(box.xmax - box.xmin, box.ymax - box.ymin), 1), FLAT_LEAST_MM)


def point(row: Sequence[float] | Floats) -> P:
    """Return (x, y) as plain floats."""
    return float(row[0]), float(row[1])


def poly(points: Floats, *, closed: bool = False) -> Poly:
    """Return a polyline through points (n, 2), those that repeat their neighbour left out."""
    keep = np.concatenate(([True], np.hypot(*np.diff(points, axis=0).T) > 1e-7))
    rows = points[keep]
    if closed and len(rows) > 1 and math.dist(rows[0], rows[-1]) <= 1e-7:
        rows = rows[:-1]
    return Poly(tuple(point(r) for r in rows), closed)


def nearest_on(outline: Outline, at: P) -> P:
    """Return the point of an outline nearest to `at`, exact on its lines and arcs."""
    seg = outline.segments()
    best: tuple[float, P] | None = None
    for k in range(len(seg.chord)):
        a, b = seg.start[k], seg.end[k]
        if math.isinf(float(seg.radius[k])):
            way = b - a
            t = float(np.clip((np.array(at) - a) @ way / max(float(way @ way), 1e-18), 0.0, 1.0))
            tries = [a + t * way]
        else:
            centre, radius = seg.centre[k], float(seg.radius[k])
            out = np.array(at) - centre
            length = float(np.hypot(*out))
            tries = [a, b]
            if length > 1e-12:
                here = math.atan2(out[1], out[0])
                start, sweep = math.atan2(*(a - centre)[::-1]), float(seg.sweep_rad[k])
                turned = (here - start) % math.tau if sweep > 0 else -((start - here) % math.tau)
                if abs(turned) <= abs(sweep) + 1e-12:
                    tries = [centre + radius / length * out]
        for p in tries:
            d = math.dist(p, at)
            if best is None or d < best[0]:
                best = (d, point(p))
    assert best is not None
    return best[1]


def flat(points: Vector, right: Vector, up: Vector, origin: Vector) -> Floats:
    """Return (n, 2) places in a view of points (n, 3)."""
    d = np.atleast_2d(points) - origin
    return np.stack([d @ right, d @ up], axis=1)


def length(figures: Figures, value_mm: float) -> str:
    """Return a length with its unit."""
    return f"{figures.length(value_mm)} {'mm' if figures.unit == 'mm' else 'in'}"


def degrees(value_deg: float, places: int = 2) -> str:
    """Return an angle with a fixed number of places, minus zero shown as zero."""
    return f"{fixed(value_deg, places)}°"
