"""Where the skeg's fin and heel lie: chord at a depth, the stock's axis, the bore of the boss. Pure numbers, mm."""

from __future__ import annotations

from strutwright.models import frames
from strutwright.models.frames import Vector
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


def stock_axis(heel: Heel) -> Vector:
    """Return the unit vector (3,) up the stock.

    >>> stock_axis(shipped("yawl-with-heel").skeg.heel).round(4).tolist()  # rake -8: sine and cosine
    [0.1392, 0.0, 0.9903]
    """
    return frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)


def boss_bore_mm(heel: Heel) -> float:
    """Return the diameter (mm) to which the boss is bored: the running bore, and round it the bush.

    >>> round(boss_bore_mm(shipped("yawl-with-heel").skeg.heel), 2)  # 30.32 + 2 x 4
    38.32
    """
    return heel.bore_mm + 2 * heel.bush_wall_mm
