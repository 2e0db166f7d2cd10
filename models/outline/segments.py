"""Lines and arcs as arrays: what is known of each, places along it, distances from it. Lengths mm, angles radians."""

from __future__ import annotations

import math
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats: TypeAlias = NDArray[np.float64]

POINT_TOL_MM = 1e-6  # two vertices closer than this are one: a thousandth of what any machine can place
FLAT_SWEEP_RAD = 1e-9  # an arc sweeping less than this is a line: its height is below 1e-10 of its chord
FIT_TOL_MM = 0.01  # arcs in place of an ellipse or a foil stay this near to it, unless told otherwise
SNAP_MM = 1e-5  # offset pieces whose ends are nearer than this belong together


class OutlineError(ValueError):
    """An outline cannot be made or used as asked; the text says what was given and what is allowed."""


class Segments(NamedTuple):
    """The m segments of an outline as arrays; a line has radius inf and centre nan."""

    start: Floats  # (m, 2)
    end: Floats  # (m, 2)
    bulge: Floats  # (m,)
    chord: Floats  # (m,) mm
    sweep_rad: Floats  # (m,) included angle, positive counter-clockwise, 0 for a line
    radius: Floats  # (m,) mm, positive
    centre: Floats  # (m, 2)
    length: Floats  # (m,) mm along the segment


def _half_cot(half: Floats) -> Floats:
    """half / sin(half), going to 1 at 0."""
    safe = np.where(np.abs(half) < 1e-8, 1.0, half)
    return np.where(np.abs(half) < 1e-8, 1.0, safe / np.sin(safe))


def segments_of(start: Floats, end: Floats, bulge: Floats) -> Segments:
    """Lines and arcs from start to end (m, 2) with bulges (m,), as in `Outline`; a bulge of 0 is a line.

    >>> half_turn = segments_of(np.array([[0.0, 0.0]]), np.array([[10.0, 0.0]]), np.array([1.0]))
    >>> half_turn.length.round(3).tolist()  # pi x 5
    [15.708]
    """
    delta = end - start
    chord = np.hypot(delta[:, 0], delta[:, 1])
    sweep = 4.0 * np.arctan(bulge)
    flat = np.abs(sweep) < FLAT_SWEEP_RAD
    b = np.where(flat, 1.0, bulge)
    radius = np.where(flat, np.inf, chord * (1.0 + b * b) / (4.0 * np.abs(b)))
    left = np.column_stack((-delta[:, 1], delta[:, 0]))
    centre = 0.5 * (start + end) + left * ((1.0 - b * b) / (4.0 * b))[:, None]
    centre = np.where(flat[:, None], np.nan, centre)
    sweep = np.where(flat, 0.0, sweep)
    return Segments(
        start=start,
        end=end,
        bulge=bulge,
        chord=chord,
        sweep_rad=sweep,
        radius=radius,
        centre=centre,
        length=chord * _half_cot(0.5 * sweep),
    )


def along(seg: Segments, index: NDArray[np.intp], u: Floats) -> tuple[Floats, Floats]:
    """Points and unit tangents at u in -1..1 of the segments `index`, shape (..., 2) each.

    Written from the chord, so that it does not lose digits when an arc is nearly straight.

    >>> half_turn = segments_of(np.array([[0.0, 0.0]]), np.array([[10.0, 0.0]]), np.array([1.0]))
    >>> along(half_turn, np.array([0]), np.zeros(1))[0].round(6).tolist()  # half way: at the bottom
    [[5.0, -5.0]]
    """
    chord = seg.end[index] - seg.start[index]
    half = 0.5 * seg.sweep_rad[index]
    phi = half * u
    curved = half != 0.0
    s = np.where(curved, np.sin(half), 1.0)
    x = np.where(curved, np.sin(phi) / s, u)
    y = np.where(curved, -2.0 * np.sin(0.5 * (half + phi)) * np.sin(0.5 * (half - phi)) / s, 0.0)
    mid = 0.5 * (seg.start[index] + seg.end[index])
    left = np.stack((-chord[..., 1], chord[..., 0]), axis=-1)
    point = mid + 0.5 * (x[..., None] * chord + y[..., None] * left)
    unit = chord / seg.chord[index][..., None]
    unit_left = left / seg.chord[index][..., None]
    tangent = np.cos(phi)[..., None] * unit + np.sin(phi)[..., None] * unit_left
    return point, tangent


def distances(seg: Segments, points: Floats) -> Floats:
    """Unsigned distance of each point to each segment, (k, m).

    >>> line = segments_of(np.array([[0.0, 0.0]]), np.array([[10.0, 0.0]]), np.zeros(1))
    >>> distances(line, np.array([[5.0, 3.0], [13.0, 4.0]])).tolist()  # abreast of it; 3 past its end and 4 off
    [[3.0], [5.0]]
    """
    out = np.empty((len(points), len(seg.chord)))
    lines = np.flatnonzero(seg.sweep_rad == 0.0)
    arcs = np.flatnonzero(seg.sweep_rad != 0.0)
    if lines.size:
        d = seg.end[lines] - seg.start[lines]
        rel = points[:, None, :] - seg.start[lines]
        t = np.clip(np.sum(rel * d, axis=2) / seg.chord[lines] ** 2, 0.0, 1.0)
        rest = rel - t[..., None] * d
        out[:, lines] = np.hypot(rest[..., 0], rest[..., 1])
    if arcs.size:
        mid, _ = along(seg, arcs, np.zeros(arcs.size))
        axis = mid - seg.centre[arcs]
        rel = points[:, None, :] - seg.centre[arcs]
        cross = axis[:, 0] * rel[..., 1] - axis[:, 1] * rel[..., 0]
        dot = np.sum(axis * rel, axis=2)
        beside = np.abs(np.arctan2(cross, dot)) <= 0.5 * np.abs(seg.sweep_rad[arcs])
        radial = np.abs(np.hypot(rel[..., 0], rel[..., 1]) - seg.radius[arcs])
        a = points[:, None, :] - seg.start[arcs]
        b = points[:, None, :] - seg.end[arcs]
        ends = np.minimum(np.hypot(a[..., 0], a[..., 1]), np.hypot(b[..., 0], b[..., 1]))
        out[:, arcs] = np.where(beside, radial, ends)
    return out


def point_array(points: ArrayLike) -> Floats:
    """Points as an array (..., 2). Raises TypeError when they are no x, y pairs.

    >>> point_array([(3, 4), (5, 6)]).shape
    (2, 2)
    """
    array = np.asarray(points, dtype=np.float64)
    if array.shape[-1:] != (2,):
        raise TypeError(f"points must be (..., 2) x, y pairs in mm; shape {array.shape} was given")
    return array


def winding(seg: Segments, points: Floats) -> NDArray[np.int_]:
    """Winding number of each point, by crossings of the ray towards +x with pieces that are monotone in y.

    >>> from strutwright.models.outline import circle
    >>> winding(circle(50.0).segments(), np.array([[0.0, 0.0], [30.0, 0.0]])).tolist()  # inside, outside
    [1, 0]
    """
    x, y = points[:, 0], points[:, 1]
    total = np.zeros(len(points), dtype=np.int_)
    for k in range(len(seg.chord)):
        (x0, y0), (x1, y1) = seg.start[k], seg.end[k]
        sweep = float(seg.sweep_rad[k])
        if sweep == 0.0:
            hit = (y0 <= y) != (y1 <= y)
            with np.errstate(divide="ignore", invalid="ignore"):
                at = x0 + (y - y0) / (y1 - y0) * (x1 - x0)
            total += np.where(hit & (at > x), 1 if y1 > y0 else -1, 0)
            continue
        (cx, cy), r = seg.centre[k], float(seg.radius[k])
        a0 = math.atan2(y0 - cy, x0 - cx)
        low, high = sorted((a0, a0 + sweep))
        quarter = range(math.floor(low / math.pi) - 1, math.ceil(high / math.pi) + 1)
        cuts = [a for a in (math.pi * (n + 0.5) for n in quarter) if low < a < high]
        angles = [a0, *(cuts if sweep > 0.0 else cuts[::-1]), a0 + sweep]
        heights = [y0, *(cy + r * math.copysign(1.0, math.sin(a)) for a in angles[1:-1]), y1]
        root = np.sqrt(np.maximum(r * r - (y - cy) ** 2, 0.0))
        for b0, b1, h0, h1 in zip(angles, angles[1:], heights, heights[1:], strict=False):
            at = cx + math.copysign(1.0, math.cos(0.5 * (b0 + b1))) * root
            hit = (h0 <= y) != (h1 <= y)
            total += np.where(hit & (at > x), 1 if h1 > h0 else -1, 0)
    return total
