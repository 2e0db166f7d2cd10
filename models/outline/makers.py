"""Outlines of plain shapes, centred on the origin, and chains put together."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from strutwright.models.outline.chain import Outline
from strutwright.models.outline.fit import fit_arcs
from strutwright.models.outline.segments import FIT_TOL_MM, POINT_TOL_MM, OutlineError, point_array
from strutwright.params.words import fine_mm, mm, say


def polygon(points: ArrayLike, corner_radius_mm: float | Sequence[float] = 0.0) -> Outline:
    """A closed polygon through (n, 2) points in order, its corners rounded to one radius or one each, mm.

    Raises OutlineError when a radius does not fit the edges beside its corner.

    >>> polygon(((0, 0), (90, 0), (0, 60))).area_mm2()
    2700.0
    """
    xy = point_array(points)
    n = len(xy)
    radii = np.broadcast_to(np.asarray(corner_radius_mm, dtype=np.float64), (n,))
    if np.any(radii < 0.0):
        raise OutlineError(
            say("a corner radius must be 0 or more; {given} was given", given=fine_mm(float(radii.min())))
        )
    edge = np.roll(xy, -1, axis=0) - xy
    length = np.hypot(edge[:, 0], edge[:, 1])
    if np.any(length <= POINT_TOL_MM):
        raise OutlineError("a polygon has two equal points in a row; give each corner once")
    unit = edge / length[:, None]
    before = np.roll(unit, 1, axis=0)
    turn = np.arctan2(before[:, 0] * unit[:, 1] - before[:, 1] * unit[:, 0], np.sum(before * unit, axis=1))
    back = radii * np.tan(0.5 * np.abs(turn))
    room = length - back - np.roll(back, -1)
    if np.any(room < -POINT_TOL_MM):
        k = int(np.argmin(room))
        fit = float(length[k] / (np.tan(0.5 * abs(turn[k])) + np.tan(0.5 * abs(turn[(k + 1) % n]))))
        asked = float(max(radii[k], radii[(k + 1) % n]))
        raise OutlineError(
            say(
                "corner radius {asked} does not fit on an edge {edge} long; at most {fit} fits there",
                asked=fine_mm(asked),
                edge=mm(length[k]),
                fit=mm(fit),
            )
        )
    rows: list[tuple[float, float, float]] = []
    for k in range(n):
        a, b = xy[k] - back[k] * before[k], xy[k] + back[k] * unit[k]
        if back[k] > POINT_TOL_MM:
            rows.append((a[0], a[1], math.tan(0.25 * float(turn[k]))))
        if room[k] > POINT_TOL_MM:
            rows.append((b[0], b[1], 0.0))
    return Outline(np.array(rows)).validate()


def rectangle(length_mm: float, width_mm: float, corner_radius_mm: float = 0.0) -> Outline:
    """A rectangle centred on the origin, length along x, corners rounded.

    >>> round(rectangle(100.0, 60.0, 10.0).area_mm2(), 3)
    5914.159
    """
    return tapered(length_mm, width_mm, width_mm, corner_radius_mm)


def tapered(length_mm: float, width_fore_mm: float, width_aft_mm: float, corner_radius_mm: float = 0.0) -> Outline:
    """A trapezium centred on the origin: width_fore at x = +length/2, width_aft at x = -length/2.

    >>> tapered(100.0, 40.0, 60.0).area_mm2()
    5000.0
    """
    for name, value in (("length", length_mm), ("fore width", width_fore_mm), ("aft width", width_aft_mm)):
        _require_positive(name, value)
    x, f, a = 0.5 * length_mm, 0.5 * width_fore_mm, 0.5 * width_aft_mm
    return polygon(((-x, -a), (x, -f), (x, f), (-x, a)), corner_radius_mm)


def stadium(length_mm: float, width_mm: float) -> Outline:
    """A round-ended bar or slot centred on the origin, over-all length along x. Needs length >= width.

    >>> round(stadium(80.0, 20.0).perimeter_mm(), 3)
    182.832
    """
    _require_positive("width", width_mm)
    if length_mm < width_mm:
        raise OutlineError(
            say(
                "a round-ended outline must be at least as long as wide; length {length} and width {width} were given",
                length=fine_mm(length_mm),
                width=fine_mm(width_mm),
            )
        )
    if length_mm - width_mm <= POINT_TOL_MM:
        return circle(width_mm)
    x, r = 0.5 * (length_mm - width_mm), 0.5 * width_mm
    return Outline(np.array(((-x, -r, 0.0), (x, -r, 1.0), (x, r, 0.0), (-x, r, 1.0))))


def circle(diameter_mm: float, centre: tuple[float, float] = (0.0, 0.0)) -> Outline:
    """A circle, as two half circles.

    >>> round(circle(10.0).area_mm2(), 4)
    78.5398
    """
    _require_positive("diameter", diameter_mm)
    r = 0.5 * diameter_mm
    return Outline(np.array(((centre[0] - r, centre[1], 1.0), (centre[0] + r, centre[1], 1.0))))


def diameter_mm(outline: Outline) -> float | None:
    """Return the diameter (mm) of an outline that is a circle; None of any other.

    >>> diameter_mm(circle(10.0)), diameter_mm(rectangle(10.0, 10.0, 2.0))
    (10.0, None)
    """
    seg = outline.segments()
    middle, radius = seg.centre[0], float(seg.radius[0])
    one = math.isfinite(radius) and np.allclose(seg.radius, radius) and np.allclose(seg.centre, middle)
    return 2.0 * radius if one else None


def oval(length_mm: float, width_mm: float, tolerance_mm: float = FIT_TOL_MM) -> Outline:
    """An ellipse centred on the origin, length along x, as arcs within tolerance_mm of it.

    >>> round(oval(100.0, 40.0).area_mm2() / (math.pi * 50.0 * 20.0), 3)
    1.0
    """
    _require_positive("length", length_mm)
    _require_positive("width", width_mm)
    if abs(length_mm - width_mm) <= POINT_TOL_MM:
        return circle(length_mm)
    a, b = 0.5 * length_mm, 0.5 * width_mm
    t = np.linspace(0.0, 0.5 * np.pi, 801)
    xy = np.column_stack((a * np.cos(t), b * np.sin(t)))
    tangent = np.column_stack((-a * np.sin(t), b * np.cos(t)))
    xy[-1, 0], tangent[-1, 0], tangent[-1, 1] = 0.0, -1.0, 0.0
    quarter = fit_arcs(xy, tangent, tolerance_mm)
    half = join((quarter, quarter.mirror("y").reversed()))
    return join((half, half.mirror("x").reversed()), closed=True)


def join(chains: Sequence[Outline], closed: bool = False) -> Outline:
    """Open chains end to end as one; each must start where the one before ends.

    closed: also joins the last end to the first start (by a line when they are apart). Raises OutlineError
    when two chains do not meet.

    >>> half = Outline(np.array([[0, 0, 1], [10, 0, 0]]), closed=False)
    >>> round(join((half, half.mirror("x").reversed()), closed=True).area_mm2(), 3)  # pi / 4 x 10^2
    78.54
    """
    rows = [chains[0].vertices]
    for chain in chains[1:]:
        if math.dist(rows[-1][-1, :2], chain.vertices[0, :2]) > POINT_TOL_MM:
            raise OutlineError("two chains to be joined do not meet")
        rows[-1] = rows[-1][:-1]
        rows.append(chain.vertices)
    v = np.vstack(rows)
    if closed and math.dist(v[0, :2], v[-1, :2]) <= POINT_TOL_MM:
        v = v[:-1]
    return Outline(v, closed)


def _require_positive(name: str, value: float) -> None:
    if not value > 0.0:
        raise OutlineError(say("the {name} must be above 0; {given} was given", name=name, given=fine_mm(value)))
