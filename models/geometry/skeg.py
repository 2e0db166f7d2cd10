"""The skeg's fin and heel: chord at a depth and section of the fin, the stock's axis, the bore of the boss.

Pure numbers, mm.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Num
from strutwright.models.frames import Vector
from strutwright.models.sections import Section, SectionKind, kind_of
from strutwright.models.spec import Barrel, Heel, Skeg


def chord_at(skeg: Skeg, barrel: Barrel, below_mm: float) -> tuple[float, float, float]:
    """Return (x of the leading edge, chord, thickness) in mm at a depth below the shaft line.

    Linear between the barrel's outside and the fin's lower edge, and on beyond both.

    >>> strut = shipped("yawl-with-heel")
    >>> chord_at(strut.skeg, strut.barrel, 324.0)  # at the lower edge: 150 - 166 / 2 - 20
    (47.0, 100.0, 25.0)
    """
    root = barrel.outside_mm / 2
    k = (below_mm - root) / (skeg.depth_mm - root)
    chord = skeg.root_forward_station_mm - skeg.root_aft_station_mm
    return (
        barrel.x(skeg.root_forward_station_mm) - k * skeg.sweep_mm,
        chord + k * (skeg.tip_chord_mm - chord),
        skeg.thickness_root_mm + k * (skeg.thickness_tip_mm - skeg.thickness_root_mm),
    )


def foot_start_mm(barrel: Barrel, skeg: Skeg, heel: Heel) -> tuple[float, float, float]:
    """Return where the middle line of the heel's foot starts, the tip of its nose, strut frame, mm.

    >>> yawl = shipped("yawl-with-heel")
    >>> [round(x, 2) for x in foot_start_mm(yawl.barrel, yawl.skeg, yawl.skeg.heel)]  # half of 36 above 324
    [51.13, 0.0, -306.0]
    """
    tip, _, _ = chord_at(skeg, barrel, skeg.depth_mm)
    leans = skeg.sweep_mm / (skeg.depth_mm - barrel.outside_mm / 2)
    x, z = foot_start(tip, leans, skeg.depth_mm, heel.centre_mm, heel.foot_height_mm)
    return float(x), 0.0, float(z)


def foot_ahead_mm(barrel: Barrel, skeg: Skeg, heel: Heel) -> float:
    """Return how far the foot's middle line starts ahead of the lower end of the fin's leading edge, mm.

    >>> yawl = shipped("yawl-with-heel")
    >>> round(foot_ahead_mm(yawl.barrel, yawl.skeg, yawl.skeg.heel), 2)
    4.13
    """
    return foot_start_mm(barrel, skeg, heel)[0] - chord_at(skeg, barrel, skeg.depth_mm)[0]


def foot_start(tip_mm: Num, leans: Num, depth_mm: Num, boss_mm: Sequence[Num], high_mm: Num) -> tuple[Num, Num]:
    """Return x and z of the tip of a foot's nose, mm; broadcasts. Its square end stands nowhere abaft the fin's leading
    edge, so that the fin stands on it whole, and its lower edge starts level with the fin's.

    tip_mm: x of the leading edge at the depth of the fin; leans: how far it goes forward on its way up, per mm of
    height; boss_mm: middle of the boss the foot leads to; high_mm: height of the foot.

    >>> x, z = foot_start(0.0, 0.0, 300.0, (-300.0, 0.0, -282.0), 36.0)  # level and upright: flush but for a hair
    >>> round(float(x), 3), float(z)
    (0.108, -282.0)
    """
    half = high_mm / 2
    x, z = tip_mm, half - depth_mm
    for _ in range(_STEPS):
        level = np.hypot(x - boss_mm[0], boss_mm[1])
        long = np.hypot(level, z - boss_mm[2])
        up, ahead = half * level / long, half * (z - boss_mm[2]) / long * (x - boss_mm[0]) / level
        x = tip_mm + leans * half + np.maximum(leans * up + ahead, -leans * up - ahead)
    return x + _HAIR * high_mm, z


_HAIR = 0.003
"""How far the foot stands ahead of the fin, as a share of its height: edges that only touch are no joint that the
kernel can be trusted with."""
_STEPS = 4
"""Of which each is some thirty times nearer than the one before."""


def fin_kind(skeg: Skeg) -> SectionKind:
    """Return the kind of section that the fin has.

    >>> fin_kind(shipped("yawl-with-heel").skeg).nose
    'half round'
    """
    return kind_of(skeg.kind).led(skeg.leading_edge)


def fin_section(skeg: Skeg, chord_mm: float, thickness_mm: float) -> Section:
    """Return the fin's section where it is as long and thick (mm), its edges as they are made. Raises SectionError.

    >>> float(fin_section(shipped("yawl-with-heel").skeg, 130.0, 25.0).edge_radius)  # a tenth of 25 would be more
    2.0
    """
    kind, thinnest = fin_kind(skeg), min(skeg.thickness_root_mm, skeg.thickness_tip_mm)
    edge = kind.edge_at(kind.usual_edge_mm(thinnest), thinnest, thickness_mm)
    return Section(kind.name, chord_mm, thickness_mm, None if edge is None else float(edge))


def stock_axis(heel: Heel) -> Vector:
    """Return the unit vector (3,) up the stock.

    >>> stock_axis(shipped("yawl-with-heel").skeg.heel).round(4).tolist()  # rake -8: sine and cosine
    [0.1392, 0.0, 0.9903]
    """
    return frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)


def boss_bore_mm(heel: Heel) -> float:
    """Return the diameter (mm) to which the boss is bored: the running bore, and round it the bush.

    >>> round(boss_bore_mm(shipped("yawl-with-heel").skeg.heel), 2)  # 30.3 + 2 x 4
    38.3
    """
    return heel.bore_mm + 2 * heel.bush_wall_mm
