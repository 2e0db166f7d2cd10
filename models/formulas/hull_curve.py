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


def second_order_mm(u_mm: Num, v_mm: Num, bends: tuple[float, float, float]) -> Num:
    """Return how high a face of second order lies over the plane that touches it at zero; broadcasts.

    bends: of u^2, u v and v^2, per mm.

    >>> float(second_order_mm(100.0, 20.0, (1e-3, 0.0, -1e-3)))  # a saddle: 10 - 0.4
    9.6
    """
    out: Num = bends[0] * u_mm * u_mm + bends[1] * u_mm * v_mm + bends[2] * v_mm * v_mm
    return out


def bends_of(across: float, along: float, axis_deg: float) -> tuple[float, float, float]:
    """Return the bends of u^2, u v and v^2 (per mm) of a face that bends by 1 / 2 R across an axis and along it.

    axis_deg: of the axis, from u toward v.

    >>> [round(b, 6) for b in bends_of(1e-3, 5e-4, 45.0)]  # the axis half-way: bends alike, and a twist
    [0.00075, -0.0005, 0.00075]
    """
    turn = math.radians(axis_deg)
    s, c = math.sin(turn), math.cos(turn)
    return across * s * s + along * c * c, 2.0 * s * c * (along - across), across * c * c + along * s * s


def range_over_box_mm(half_u_mm: Num, half_v_mm: Num, bends: tuple[float, float, float]) -> tuple[Num, Num]:
    """Return the least and the greatest height of a face of second order over a box about zero; broadcasts.

    Both lie on the box's edges, or are 0 in its middle: at a corner, or where the parabola along an edge turns.

    >>> least, most = range_over_box_mm(100.0, 20.0, (1e-3, 0.0, -1e-3))
    >>> float(least), float(most)  # in the middle of the long edges; in the middle of the short ones
    (-0.4, 10.0)
    """
    uu, uv, vv = bends
    turn_v = np.clip(-uv / (2.0 * vv) * half_u_mm, -half_v_mm, half_v_mm) if vv else half_v_mm
    turn_u = np.clip(-uv / (2.0 * uu) * half_v_mm, -half_u_mm, half_u_mm) if uu else half_u_mm
    places = ((half_u_mm, half_v_mm), (half_u_mm, -half_v_mm), (half_u_mm, turn_v), (turn_u, half_v_mm))
    least = most = 0.0 * (half_u_mm + half_v_mm)
    for u, v in places:
        height = second_order_mm(u, v, bends)
        least, most = np.minimum(least, height), np.maximum(most, height)
    return least, most


def principal(uu: Num, uv: Num, vv: Num, *, hollow: bool) -> tuple[Num, Num, Num]:
    """Return how much a face of second order bends across its axis and along it, as `bends_of`, and the direction in
    which it bends by the first, degrees from u toward v; broadcasts.

    uu, uv, vv: bends of u^2, u v and v^2. hollow: whether the one across is the greater of both, else the lesser; the
    one farther from 0 is meant.

    >>> [round(float(x), 6) for x in principal(*bends_of(1e-3, 5e-4, 30.0), hollow=True)]  # square to the axis
    [0.001, 0.0005, 120.0]
    """
    mean, half = (uu + vv) / 2.0, np.hypot((uu - vv) / 2.0, uv / 2.0)
    most = np.degrees(np.arctan2(uv, uu - vv)) / 2.0
    return (mean + half, mean - half, most % 180.0) if hollow else (mean - half, mean + half, (most + 90.0) % 180.0)
