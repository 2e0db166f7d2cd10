"""The fluted rubber bearing: a shell and the rubber in it."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Axes
from strutwright.models.outline import Outline, circle
from strutwright.models.solids import kernel
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import Barrel, Bearing

X = np.array([1.0, 0.0, 0.0])


def running_outline(bearing: Bearing) -> Outline:
    """Return the inside of the rubber seen along the shaft from astern, flutes included.

    Axes of the outline: first to the hull (clock 0), second to port, mm. A flute's floor is round: half a circle
    between straight sides when it is deeper than half its width, otherwise the arc through its mouth and its floor.

    >>> round(running_outline(shipped("canal-tender").bearings[0]).bounding_box().ymax, 2)  # 20.11 / 2 + 1.47
    11.53
    """
    r, w, h = bearing.inside_mm / 2, bearing.flute_width_mm, bearing.flute_depth_mm
    if bearing.flute_count == 0:
        return circle(2 * r)
    mouth = math.sqrt(r * r - w * w / 4)
    land = math.tan((2 * math.pi / bearing.flute_count - 2 * math.asin(w / 2 / r)) / 4)
    straight = r + h - w / 2 - mouth
    local: list[tuple[float, float, float]]
    if straight > 1e-6:
        local = [
            (mouth, -w / 2, 0.0),
            (mouth + straight, -w / 2, 1.0),
            (mouth + straight, w / 2, 0.0),
            (mouth, w / 2, land),
        ]
    else:
        local = [(mouth, -w / 2, (r + h - mouth) / (w / 2)), (mouth, w / 2, land)]
    rows = []
    for k in range(bearing.flute_count):
        a = math.radians(bearing.flute_clock_deg) + 2 * math.pi * k / bearing.flute_count
        c, s = math.cos(a), math.sin(a)
        rows += [(c * x - s * y, s * x + c * y, bulge) for x, y, bulge in local]
    return Outline(np.array(rows))


def _axes(bearing: Bearing, barrel: Barrel) -> Axes:
    # First axis to the hull, second to port: their cross product runs aft, so the bearing is swept forward from aft.
    return Axes(np.array([barrel.x(bearing.aft_station_mm), 0.0, 0.0]), frames.radial(0.0), frames.radial(90.0), -X)


def shell(bearing: Bearing, barrel: Barrel) -> Solid:
    """Return the shell.

    >>> strut = shipped("canal-tender")
    >>> round(shell(strut.bearings[0], strut.barrel).Volume() / 1000, 2)  # cm3, pi (1.6^2 - 1.3^2) x 8
    21.87
    """
    axes = _axes(bearing, barrel)
    tube = kernel.tube_profile(bearing.outside_mm / 2, bearing.shell_mm, bearing.length_mm)
    return kernel.revolve(tube, axes.origin, X, frames.radial(180.0))


def rubber(bearing: Bearing, barrel: Barrel) -> Solid:
    """Return the rubber with its flutes open along the whole length.

    >>> strut = shipped("canal-tender")
    >>> round(rubber(strut.bearings[0], strut.barrel).Volume() / 1000, 2)  # cm3, pi (1.3^2 - 1.0055^2) x 8 less flutes
    14.91
    """
    axes = _axes(bearing, barrel)
    outer = kernel.outline_wire(circle(bearing.outside_mm - 2 * bearing.shell_mm), axes)
    inner = kernel.outline_wire(running_outline(bearing), axes)
    return kernel.prism(outer, bearing.length_mm * X, [inner])
