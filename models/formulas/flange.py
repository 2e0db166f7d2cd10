"""Mechanics of a flange that holds a tube: a wood screw's hold, prying, and the tube with slots in it.

Strength of materials; sources beside each formula. N, mm, MPa.
"""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.arrays import Num

WOOD_PER_LENGTH = 125.4
"""Of the withdrawal formula in N and mm."""


def lag_withdrawal_n(density_kg_m3: Num, shank_mm: Num, thread_mm: Num) -> Num:
    """Return the greatest pull (N) of a lag screw in side grain: 125.4 G^1.5 D^0.75 L.

    density_kg_m3: oven dry; shank_mm: diameter D; thread_mm: length L of thread in the timber, without the point. A
    mean of tests, short time, dry: no allowable load. Wood Handbook (USDA Forest Products Laboratory, FPL-GTR-190,
    2010), eq 8-16, published (from memory; confirm against it).

    >>> round(lag_withdrawal_n(660.0, 10.0, 90.0))  # 125.4 x 0.66^1.5 x 10^0.75 x 90
    34030
    """
    shank: Num = np.asarray(shank_mm, dtype=float) ** 0.75
    out: Num = WOOD_PER_LENGTH * (np.asarray(density_kg_m3) / 1000.0) ** 1.5 * shank * thread_mm
    return out


def pried_share(lever_mm: Num, edge_mm: Num) -> Num:
    """Return the prying force over a bolt's pull at most: 3/8 of the lever over the edge distance.

    lever_mm: bolt to the toe of the root; edge_mm: bolt to the edge, of which 1.25 levers count. The term that a thick
    flange takes off again is left out, on the safe side. Douty and McGuire, 1965, as in older steel handbooks, from
    memory.

    >>> float(pried_share(20.0, 20.0))
    0.375
    """
    edge = np.minimum(edge_mm, 1.25 * np.asarray(lever_mm))
    out: Num = 0.375 * np.maximum(lever_mm, 0.0) / np.maximum(edge, 1e-9)
    return out


def tube_modulus_mm3(outside_mm: Num, bore_mm: Num, slots_mm: Num) -> tuple[Num, Num]:
    """Return the least section modulus in bending (mm3) and the polar one of a tube, less slots of a width together.

    What slots take is taken where it tells most: they count at the outside on the bending axis, W (1 - 2 s / (pi D)),
    and of the polar one their share of the round. Strength of materials.

    >>> bent, turned = tube_modulus_mm3(60.0, 40.0, 0.0)
    >>> round(float(bent)), round(float(turned / bent), 3)  # pi / 32 (60^4 - 40^4) / 60
    (17017, 2.0)
    """
    whole = math.pi / 32.0 * (np.asarray(outside_mm, dtype=float) ** 4 - np.asarray(bore_mm) ** 4) / outside_mm
    share = slots_mm / (math.pi * np.asarray(outside_mm, dtype=float))
    return whole * np.maximum(1.0 - 2.0 * share, 1e-6), 2.0 * whole * np.maximum(1.0 - share, 1e-6)


def tipped_flange(
    rows_mm: list[Num], spring_n_mm: Num, length_mm: Num, bed_n_mm2: Num, axis_mm: Num
) -> tuple[list[Num], Num, Num]:
    """Return each bolt's pull per N mm of tipping, the pressure's line load at the pressed edge per N mm (N/mm over the
    width), and the turning stiffness (N mm/rad) of a rigid flange on its bed.

    rows_mm: bolts from the pressed edge; bed_n_mm2: bed times width; axis_mm: the neutral axis
    (`palm_bed.neutral_axis_mm`). Springs; the bed pushes only.

    >>> pulls, edge, turning = tipped_flange([18.0, 92.0], 678_600.0, 110.0, 400.0 * 210.0, 31.313)
    >>> round(float(pulls[1] * 1e6)), round(float(turning / 1e9), 2)  # N of 1 kN m
    (12261, 3.36)
    """
    x = np.asarray(axis_mm, dtype=float)
    lifted = [np.maximum(np.asarray(y) - x, 0.0) for y in rows_mm]
    turning = bed_n_mm2 * x**3 / 3.0 + sum(spring_n_mm * up * up for up in lifted)
    return [spring_n_mm * up / turning for up in lifted], bed_n_mm2 * x / turning, turning
