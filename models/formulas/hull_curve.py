"""A cylinder under a palm: how far it rises off the plane that touches it. Lengths mm, angles degrees.

Plane geometry: off a line of touch by x the circle has fallen away by R - sqrt(R^2 - x^2) (the sagitta).
"""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.arrays import Num


def sagitta_mm(off_mm: Num, radius_mm: Num) -> Num:
    """Return how far a circle has left its tangent at a distance from the point of touch, at most the radius.

    Written so that a large radius loses no figures; broadcasts.

    >>> float(sagitta_mm(60.0, 100.0))  # 100 - 80
    20.0
    """
    out: Num = off_mm * off_mm / (radius_mm + np.sqrt(radius_mm * radius_mm - off_mm * off_mm))
    return out


def off_line_mm(u_mm: Num, v_mm: Num, axis_deg: float) -> Num:
    """Return how far places lie off a line through zero, along the direction that is 90 degrees on from it; broadcasts.

    axis_deg: of the line, from u toward v.

    >>> round(float(off_line_mm(3.0, 4.0, 90.0)), 9)
    -3.0
    """
    turn = math.radians(axis_deg)
    out: Num = v_mm * math.cos(turn) - u_mm * math.sin(turn)
    return out


def most_off_mm(half_u_mm: Num, half_v_mm: Num, axis_deg: float) -> Num:
    """Return how far the corners of a box lie off a line through its middle; broadcasts.

    >>> round(float(most_off_mm(100.0, 50.0, 0.0)), 9)
    50.0
    """
    turn = math.radians(axis_deg)
    out: Num = half_v_mm * abs(math.cos(turn)) + half_u_mm * abs(math.sin(turn))
    return out
