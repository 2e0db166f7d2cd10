"""The barrel's wall as a ring that hands a sideways blow on the skeg under it on to the arm above it.

N, mm. Simple plastic theory of a closed ring (statical theorem: no set of forces in balance that nowhere passes yield
is more than what it bears).
"""

from __future__ import annotations

import itertools

import numpy as np

from strutwright.models.arrays import Num, greatest

_TRIED = 7
"""Sections looked at between skeg and arm on one side, both ends among them."""


def wall_lever_mm(radius_mm: Num, wall_mm: Num, below_mm: Num, from_rad: Num, to_rad: Num) -> Num:
    """Return the plastic moment (N mm) that the wall of each side must have per newton of a side force on the skeg.

    radius_mm: of the wall's middle; below_mm: from its centre down to the force; from_rad, to_rad: where the free wall
    starts at the skeg and ends at the arm, from straight down. Both sides bend alike, against each other. At an angle t
    balance asks 2 M = F (below - r cos t) - 2 V r sin t, and V, the pull in one side and press in the other, is as is
    best for it. Pull and press count with a quarter of the wall as lever, as M / Mp + N / Np may be no more than 1.

    >>> import math
    >>> quarter = math.pi / 2.0  # a skeg and an arm of no width: M at both, F below / 2 -+ F r / 2
    >>> round(float(wall_lever_mm(50.0, 0.0, 300.0, 1e-9, 2.0 * quarter - 1e-9)))  # at the arm, half of 300 + 50
    175
    """
    turned = [from_rad + k / (_TRIED - 1) * (to_rad - from_rad) for k in range(_TRIED)]
    sines = [np.maximum(np.sin(t), 1e-9) for t in turned]
    bends = [(below_mm - radius_mm * np.cos(t)) / 2.0 for t in turned]
    worst: Num = -1.0
    pull: Num = 0.0
    for (a, b), (c, d) in itertools.combinations(zip(bends, sines, strict=True), 2):
        # The best V leaves two sections equally bent, one each way.
        bent = np.abs(a * d - c * b) / (b + d)
        pull = np.where(bent > worst, (a + c) / (b + d) / radius_mm, pull)
        worst = np.maximum(bent, worst)
    return greatest(
        [
            np.abs(a - pull * radius_mm * b) + wall_mm / 4.0 * (pull * b + np.abs(np.cos(t)) / 2.0)
            for a, b, t in zip(bends, sines, turned, strict=True)
        ]
    )
