"""Where the skeg's fin and heel lie: chord at a depth, the stock's axis, the bore of the boss. Pure numbers, mm."""

from __future__ import annotations

from strutwright.models import frames
from strutwright.models.frames import Vector
from strutwright.models.spec import Barrel, Heel, Skeg


def chord_at(skeg: Skeg, barrel: Barrel, below_mm: float) -> tuple[float, float, float]:
    """Return (x of the leading edge, chord, thickness) in mm at a depth below the shaft line.

    Linear between the barrel's outside and the fin's lower edge, and on beyond both.
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
    """Return the unit vector (3,) up the stock."""
    return frames.stock_direction(heel.stock_rake_deg, heel.stock_cant_deg)


def boss_bore_mm(heel: Heel) -> float:
    """Return the diameter (mm) to which the boss is bored: the running bore, and round it the bush."""
    return heel.bore_mm + 2 * heel.bush_wall_mm
