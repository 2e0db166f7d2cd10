"""Plane geometry put into views: places, outlines as curves, and marks that several sheets draw alike."""

from __future__ import annotations

import math
from collections.abc import Iterable
from contextlib import suppress

import numpy as np

from strutwright.exporters.drawing.projection import LEFT, Viewpoint
from strutwright.exporters.drawing.shapes import P, xy
from strutwright.exporters.drawing.view import View
from strutwright.models import frames
from strutwright.models.frames import Vector
from strutwright.models.geometry.barrel import outside_rows
from strutwright.models.outline import Floats, OutlineError, outermost
from strutwright.models.spec import Barrel, Palm

FROM_AFT = LEFT
"""Eye astern, looking forward: port is to the left, clock angles run counter-clockwise."""


def seen(view: Viewpoint, point: Iterable[float]) -> P:
    """Return the place of a point (3,) in a view."""
    x, y, z = (float(c) for c in point)
    return view.project((x, y, z))


def from_clock(clock_deg: float, way: float = 1.0) -> Viewpoint:
    """Return the view square to the shaft from a clock angle. way: 1 forward to the right, -1 forward to the left."""
    y, z = math.sin(math.radians(clock_deg)), math.cos(math.radians(clock_deg))
    return Viewpoint((0.0, y, z), (way, 0.0, 0.0))


def on_clock(clock_deg: float, radius_mm: float) -> P:
    """Return a place in a view from aft at a clock angle and radius."""
    return seen(FROM_AFT, radius_mm * frames.radial(clock_deg))


def flat(points: Vector, right: Vector, up: Vector, origin: Vector) -> Floats:
    """Return (n, 2) places in a view of points (n, 3)."""
    d = np.atleast_2d(points) - origin
    return np.stack([d @ right, d @ up], axis=1)


def clipped(loop: Floats, normal: Floats, off: float) -> Floats:
    """Return the part of a closed polygon (n, 2) on which `normal @ p` is over off."""
    if not len(loop):
        return loop
    deep = loop @ normal - off
    out: list[Floats] = []
    for p, q, a, b in zip(loop, np.roll(loop, -1, axis=0), deep, np.roll(deep, -1), strict=True):
        if a > 0:
            out.append(p)
        if (a > 0) != (b > 0):
            out.append(p + a / (a - b) * (q - p))
    return np.array(out) if len(out) > 2 else np.empty((0, 2))


def crossings(loops: Iterable[Floats], normal: Floats, off: float) -> list[tuple[P, P]]:
    """Return the lines in which a straight line, `normal @ p` = off, runs through what loops hold (even-odd)."""
    along, hits = np.array([-normal[1], normal[0]]), []
    for loop in loops:
        deep = loop @ normal - off
        for p, q, a, b in zip(loop, np.roll(loop, -1, axis=0), deep, np.roll(deep, -1), strict=True):
            if (a > 0) != (b > 0):
                hits.append(float((p + a / (a - b) * (q - p)) @ along))
    hits.sort()
    foot = off * normal
    return [(xy(foot + a * along), xy(foot + b * along)) for a, b in zip(hits[::2], hits[1::2], strict=False)]


def palm_corners(palm: Palm) -> Floats:
    """Return points (n, 3) round the edges of a palm, its bevel among them, strut frame.

    The outermost points along x, y and z are exact.
    """
    axes, t = frames.palm_axes(palm), palm.thickness_mm
    rims = [(palm.outline, 0.0)]
    if palm.bevel_width_mm > 0 and palm.bevel_height_mm > 0:
        rims.append((palm.outline, t - palm.bevel_height_mm))
        with suppress(OutlineError):  # the bevel runs out somewhere
            rims.append((palm.outline.inset(palm.bevel_width_mm), t))
    else:
        rims.append((palm.outline, t))
    ways = [sign * np.array((axes.u[k], axes.v[k])) for k in range(3) for sign in (1.0, -1.0)]
    edges = [(np.vstack([rim.polyline(0.2), *(outermost(rim, w) for w in ways)]), depth) for rim, depth in rims]
    return np.vstack([axes.to_strut(uv, -depth) for uv, depth in edges])


def barrel_profile_mm(barrel: Barrel) -> tuple[Vector, Vector]:
    """Return x (n,) and the outside radius (n,) along a barrel in the strut frame, mm, closer at its shaped ends."""
    stations, radius = outside_rows(barrel, 13)
    return stations - barrel.length_mm / 2, radius


def sides(view: View, port: P, starboard: P) -> None:
    """Write which side is which, left and right of a view from aft."""
    view.label(port, "PORT", height_mm=2.5, at_deg=180.0)
    view.label(starboard, "STARBOARD", height_mm=2.5, at_deg=0.0)


def palm_axes_lines(view: View, palm: Palm, side: float) -> None:
    """Draw the u and v axes through a palm's zero; side: -1 on the water face, 1 on the hull face."""
    box = palm.outline.bounding_box()
    over = 0.05 * (box.xmax - box.xmin)
    view.centre_line((box.xmin - over, 0.0), (box.xmax + over, 0.0))
    low, high = sorted((side * box.ymin, side * box.ymax))
    view.centre_line((0.0, low - over), (0.0, high + over))
