"""Solids with draft: cut off by a roof over a face, that leans in along the pull both ways."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.shop import drafted
from strutwright.models.solids import kernel
from strutwright.models.solids.kernel import Solid


def roof_planes(
    pull: Vector, points: Vector, outward: Vector, drafts_deg: tuple[float, float]
) -> list[tuple[Vector, Vector]]:
    """Return the two planes (point, unit normal outward) of the roof over a face's rim.

    pull, outward: unit vectors (3,), square to each other. points: (k, 3) of the rim, mm. drafts_deg: least lean on the
    positive and the negative side of the pull.

    >>> rim = np.array([[0.0, -20.0, 5.0], [0.0, 20.0, 5.0]])
    >>> [n.round(3).tolist() for _, n in roof_planes(np.eye(3)[1], rim, np.eye(3)[2], (2.0, 2.0))]
    [[0.0, 0.035, 0.999], [0.0, -0.035, 0.999]]
    """
    top = drafted.roof(points, pull, outward, drafts_deg)
    return [
        (top.ridge_mm * outward, frames.unit(outward + sign * lean * pull))
        for lean, sign in ((top.tan_plus, 1.0), (top.tan_minus, -1.0))
    ]


def roofed(
    solid: Solid, pull: Vector, points: Vector, outward: Vector, drafts_deg: tuple[float, float], joint_mm: float = 0.0
) -> Solid:
    """Return a solid cut off by the roof over a face's rim; see `roof_planes`. joint_mm: where the parting plane lies
    along the pull.

    >>> block = kernel.box(Axes(np.zeros(3), *np.eye(3)), 10.0, 10.0, 0.0, 9.0)
    >>> rim = np.array([[0.0, -10.0, 5.0], [0.0, 10.0, 5.0]])
    >>> round(roofed(block, np.eye(3)[1], rim, np.eye(3)[2], (2.0, 2.0)).BoundingBox().zmax, 3)  # 5 + 10 tan(2 degrees)
    5.349
    """
    along = np.cross(pull, outward)
    reach, joint = 4 * float(np.max(np.abs(points))) + 100.0, joint_mm * pull
    tools = [
        kernel.box(Axes(ridge + joint, along, np.cross(normal, along), normal), reach, reach, 0.0, reach)
        for ridge, normal in roof_planes(pull, points - joint, outward, drafts_deg)
    ]
    return kernel.drilled(solid, tools)


def rim(radius_mm: float, x_mm: float) -> Vector:
    """Return points (72, 3) of a circle about the shaft line.

    >>> rim(10.0, 5.0).shape
    (72, 3)
    """
    turn = np.linspace(0, 2 * math.pi, 73)[:-1]
    return np.column_stack((np.full(72, x_mm), radius_mm * np.sin(turn), radius_mm * np.cos(turn)))
