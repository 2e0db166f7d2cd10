"""Mechanics of a bearing of the shaft between two others, its cap and its foot. Guidance."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from strutwright.models.arrays import Num, add, greatest


def pushed_off_line_n(modulus_mpa: Num, diameter_mm: Num, aft_mm: Num, forward_mm: Num, off_mm: Num) -> Num:
    """Return the force (N) with which a solid shaft presses on a bearing that stands off the line of its neighbours.

    modulus_mpa: of the shaft. diameter_mm: of the shaft, over 0. aft_mm, forward_mm: to the bearings beside it, over 0,
    on which the shaft turns freely. off_mm: by how much it stands off. The shaft counts as ending at the neighbours,
    which is on the soft side by 4 at most where it runs on far beyond them. Broadcasts. Source: beam on two supports,
    force at any place, R = 3 E I L d / (a b)^2 (Roark's Formulas for Stress and Strain, table of beams, from memory).

    >>> round(float(pushed_off_line_n(200e3, 40.0, 1500.0, 1500.0, 1.0)))  # 48 E I / 3000^3
    45
    """
    second = math.pi / 64.0 * diameter_mm**4
    return 3.0 * modulus_mpa * second * (aft_mm + forward_mm) * np.abs(off_mm) / (aft_mm * forward_mm) ** 2


def span_hz(modulus_mpa: Num, density_kg_m3: Num, diameter_mm: Num, span_mm: Num) -> Num:
    """Return the lowest natural frequency (Hz) of a solid shaft across a span on which it turns freely at both ends.

    modulus_mpa, density_kg_m3: of the shaft. diameter_mm, span_mm: over 0. Broadcasts. Source: uniform beam on two
    supports, f = (pi / 2 L^2) sqrt(E I / m) (any textbook of vibration).

    >>> round(float(span_hz(206e3, 7850.0, 40.0, 1600.0)), 1)  # 0.5 pi 0.01 5123 / 2.56
    31.4
    """
    gyration = np.asarray(diameter_mm)[()] / 4.0 / 1000.0
    wave = np.sqrt(modulus_mpa * 1e6 / density_kg_m3)
    return math.pi / 2.0 * gyration * wave / (span_mm / 1000.0) ** 2


def with_soft_bearing_hz(rigid_hz: Num, stiffness_n_mm: Num, mass_kg: Num) -> Num:
    """Return the lowest frequency (Hz) of a shaft on a bearing that gives: never above the true one.

    rigid_hz: with the bearing held. stiffness_n_mm: of the bearing across the shaft, over 0. mass_kg: of what moves
    with it, over 0. Broadcasts. Source: Dunkerley, 1/f^2 is the sum of those of the parts (any textbook of vibration).

    >>> round(float(with_soft_bearing_hz(30.0, 1e6, 10.0)), 2), round(float(with_soft_bearing_hz(30.0, 355.3, 10.0)), 2)
    (29.99, 21.21)
    """
    soft = np.sqrt(stiffness_n_mm * 1000.0 / mass_kg) / (2.0 * math.pi)
    return 1.0 / np.sqrt(1.0 / rigid_hz**2 + 1.0 / soft**2)


def pull_per_moment(places_mm: Num, edge_mm: Num) -> Num:
    """Return the greatest pull of a bolt (N) by a moment (N mm) that tips a rigid plate over one of its edges.

    places_mm: of the bolts, along the line square to that edge, along a last axis. edge_mm: where the edge is, on the
    same line. Broadcasts over plates. Bolts pull as they are lifted. Source: rigid plate on elastic bolts, no source;
    the bed gives at the edge only.

    >>> round(float(pull_per_moment(np.array([-50.0, 50.0]), -60.0)), 6)  # 110 / (10^2 + 110^2)
    0.009016
    """
    away = [np.abs(place - edge_mm) for place in np.moveaxis(np.asarray(places_mm), -1, 0)]
    return greatest(away) / add(*(a * a for a in away))


def cap_bolt_share(stations_mm: Sequence[Num], carried_mm: Num) -> Num:
    """Return the pull of the most loaded bolt of a cap as a share of the load that lifts it; bolts stand in two rows.

    stations_mm: of the bolts of one row. carried_mm: where the load acts, on the same line. A single pair carries all
    it is given; the moment about it is held by cap and shaft. Broadcasts over caps. Source: rigid cap on equal bolts.

    >>> float(cap_bolt_share((-30.0, 30.0), 0.0)), float(cap_bolt_share((-30.0, 30.0), 15.0))
    (0.25, 0.375)
    """
    count = len(stations_mm)
    middle = add(*stations_mm) / count
    off = [np.abs(at - middle) for at in stations_mm]
    spread = add(*(o * o for o in off))
    tipped = np.where(
        spread > 0.0, np.abs(carried_mm - middle) * greatest(off) / np.where(spread > 0.0, 2.0 * spread, 1.0), 0.0
    )
    share: Num = 1.0 / (2.0 * count) + tipped[()]
    return share
