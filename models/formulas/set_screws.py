"""Set screws through the barrel into the bearing shell: dimple, length, thread, and what they can hold.

The screws are a back-up to the fit. Catalogue seating torques are for hard steel and would crush a brass shell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from strutwright.models.arrays import Num
from strutwright.params.quantity import FORCE

POUND_FORCE_N = FORCE.factors["lbf"]
SHEAR_OF_YIELD = 1.0 / sqrt(3.0)
"""Shear yield over tensile yield (von Mises; published, any text)."""


CONE_DEG = 90.0
"""Angle of a cone point and of the dimple for it, usual."""


def cone_width_mm(depth_mm: Num) -> Num:
    """Width of a conical dimple at the shell surface, mm: 2 h tan(CONE_DEG / 2). Exact.

    >>> round(float(cone_width_mm(1.5)), 9)
    3.0
    """
    width: Num = 2.0 * depth_mm * np.tan(np.radians(CONE_DEG) / 2.0)
    return width


def cup_reach_mm(dimple_depth_mm: Num, cup_diameter_mm: Num) -> Num:
    """How far the rim of a cup point enters a dimple, mm: depth - cup / (2 tan(CONE_DEG / 2)), 0 at least. Exact.

    A cup wider than the dimple rests on the shell surface and enters by its own bite only.

    >>> round(float(cup_reach_mm(2.0, 3.0)), 9)  # M6 cup point, ISO 4029
    0.5
    """
    rim = cup_diameter_mm / (2.0 * np.tan(np.radians(CONE_DEG) / 2.0))
    reach: Num = np.maximum(dimple_depth_mm - rim, 0.0)
    return reach


def shell_left_mm(shell_wall_mm: Num, dimple_depth_mm: Num) -> Num:
    """Shell left under the deepest point of the dimple, mm; zero or less: through to the rubber. Exact.

    >>> shell_left_mm(3.0, 1.75)
    1.25
    """
    return shell_wall_mm - dimple_depth_mm


@dataclass(frozen=True, slots=True)
class ScrewLength:
    """Ideal screw length, mm, the stock length below it (None if all are longer) and the recess that gives."""

    ideal_mm: float
    stock_mm: float | None
    recess_mm: float | None


def screw_length(wall_mm: float, reach_mm: float, recess_mm: float, stock_lengths_mm: Sequence[float]) -> ScrewLength:
    """Screw length wall + reach - recess, rounded down to a stock length. Exact.

    ``reach_mm`` is how far the point enters the shell, ``recess_mm`` the least depth of the screw's top below the
    barrel (1 to 2 mm is common practice, room for a filler). Raises ValueError when no positive length is left.

    >>> screw_length(12.5, 1.75, 1.5, [8.0, 10.0, 12.0, 16.0])
    ScrewLength(ideal_mm=12.75, stock_mm=12.0, recess_mm=2.25)
    """
    ideal = wall_mm + reach_mm - recess_mm
    if ideal <= 0.0:
        raise ValueError("the recess leaves no room for a screw in this wall")
    fitting = [s for s in stock_lengths_mm if s <= ideal + 1e-9]
    if not fitting:
        return ScrewLength(ideal, None, None)
    stock = max(fitting)
    return ScrewLength(ideal, stock, wall_mm + reach_mm - stock)


def engaged_thread_mm(wall_mm: Num, recess_mm: Num, point_length_mm: Num, reach_mm: Num, thread_relief_mm: Num) -> Num:
    """Length of full thread carrying load inside the wall, mm, not below 0. Exact.

    Wall less the recess, less the part of the point (cone, cup chamfer or dog) still inside the wall, less
    ``thread_relief_mm`` lost to chamfers and broken edges of the tapped hole.

    >>> float(engaged_thread_mm(12.5, 2.0, 3.0, 1.5, 0.5))  # 12.5 - 2 - 1.5 - 0.5
    8.5
    """
    point_in_wall = np.maximum(point_length_mm - reach_mm, 0.0)
    engaged: Num = np.maximum(wall_mm - recess_mm - point_in_wall - thread_relief_mm, 0.0)
    return engaged


def pitch_diameter_mm(major_mm: Num, pitch_mm: Num) -> Num:
    """Basic pitch diameter, mm: D - (3/4) H = D - 0.649519 P (ISO 68-1, published).

    >>> round(pitch_diameter_mm(8.0, 1.25), 3)  # ISO 724
    7.188
    """
    return major_mm - 0.375 * sqrt(3.0) * pitch_mm


def minor_diameter_mm(major_mm: Num, pitch_mm: Num) -> Num:
    """Basic minor diameter, mm: D - (5/4) H = D - 1.082532 P (ISO 68-1, published).

    >>> round(minor_diameter_mm(8.0, 1.25), 3)  # ISO 724
    6.647
    """
    return major_mm - 0.625 * sqrt(3.0) * pitch_mm


def screw_thread_shear_area_mm2(
    pitch_mm: Num, engaged_mm: Num, hole_minor_max_mm: Num, screw_pitch_diameter_min_mm: Num
) -> Num:
    """Shear area of the screw's own thread, mm2, stripping at the hole's minor diameter.

    pi Le / P K [P/2 + (E - K)/sqrt 3]: FED-STD-H28 form, published; 60 deg threads, inch or metric. Basic diameters
    give 0.75 pi K Le, a fifth to a third more than limit diameters of an ordinary thread class do.

    >>> round(screw_thread_shear_area_mm2(1.25, 8.0, 6.912, 7.042), 1)  # M8 over 8 mm, a published table has 97.29
    97.3
    """
    k = hole_minor_max_mm
    tooth = pitch_mm / 2.0 + (screw_pitch_diameter_min_mm - k) / sqrt(3.0)
    area: Num = np.pi * engaged_mm / pitch_mm * k * tooth
    return area


def hole_thread_shear_area_mm2(
    pitch_mm: Num, engaged_mm: Num, screw_major_min_mm: Num, hole_pitch_diameter_max_mm: Num
) -> Num:
    """Shear area of the tapped thread, mm2, stripping at the screw's major diameter.

    pi Le / P D [P/2 + (D - E)/sqrt 3]: FED-STD-H28 form, published. Basic diameters give 0.875 pi D Le. This one
    governs in a bronze barrel with steel screws.

    >>> round(hole_thread_shear_area_mm2(1.25, 8.0, 7.760, 7.348), 1)  # M8 over 8 mm, the same table has 134.63
    134.6
    """
    d = screw_major_min_mm
    tooth = pitch_mm / 2.0 + (d - hole_pitch_diameter_max_mm) / sqrt(3.0)
    area: Num = np.pi * engaged_mm / pitch_mm * d * tooth
    return area


LIMIT_SHARE = 0.72
"""Thread shear area at limit diameters over the same at basic diameters: the least over M5 to M20, 6H/6g, of a
published table (after Bickford, Introduction to the Design and Behavior of Bolted Joints: 0.73 to 0.83)."""


def stripping_force_n(
    major_mm: Num, pitch_mm: Num, engaged_mm: Num, screw_shear_mpa: Num, barrel_shear_mpa: Num
) -> Num:
    """Axial force that strips the weaker thread, N: LIMIT_SHARE of the basic-diameter areas.

    The shear strengths are of screw and barrel: SHEAR_OF_YIELD x yield, or about 0.6 x tensile strength for the
    breaking load. Coarse threads from M5 or 1/4 in up, ordinary class; uneven load along the thread is not in it.

    >>> round(float(stripping_force_n(8.0, 1.25, 8.0, 260.0, 100.0)))  # 0.72 x 100 x 0.875 pi 64
    12667
    """
    minor, mid = minor_diameter_mm(major_mm, pitch_mm), pitch_diameter_mm(major_mm, pitch_mm)
    screw = screw_shear_mpa * screw_thread_shear_area_mm2(pitch_mm, engaged_mm, minor, mid)
    barrel = barrel_shear_mpa * hole_thread_shear_area_mm2(pitch_mm, engaged_mm, major_mm, mid)
    force: Num = LIMIT_SHARE * np.minimum(screw, barrel)
    return force


HOLDING_LOW_SHARE = 400.0 / 1000.0
"""Low chart over high table of cup-point holding power at 1/4 in, the one size where both were seen (lbf)."""
YELLOW_METAL_CREDIT = (0.0, 0.5)
"""Share of a steel-on-steel figure to credit on a brass or bronze shell: none, or half at most (common practice)."""


def cup_holding_range_n(table_lbf: Sequence[float]) -> tuple[float, float]:
    """Axial holding power of one cup-point screw without a dimple, N: (low, high). Hint only.

    ``table_lbf`` are the published figures for the size (alloy steel in steel, catalogue torque). They disagree by 2.5
    to 1 where two were seen, so a size with a single figure gets its low end by the same share. Low = low figure x low
    credit, high = high figure x high credit (YELLOW_METAL_CREDIT). Raises ValueError when ``table_lbf`` is empty.

    >>> round(cup_holding_range_n([400.0, 1000.0])[1], 1)  # half of 1000 lbf
    2224.1
    """
    if not table_lbf:
        raise ValueError("no published holding power was given for this screw size")
    high = max(table_lbf)
    low = min(table_lbf) if len(table_lbf) > 1 else HOLDING_LOW_SHARE * high
    return POUND_FORCE_N * low * YELLOW_METAL_CREDIT[0], POUND_FORCE_N * high * YELLOW_METAL_CREDIT[1]


def dimple_hold_n(width_mm: Num, depth_mm: Num, screw_shear_mpa: Num, shell_bearing_mpa: Num, conical: bool) -> Num:
    """What one screw in its dimple holds, N: the weaker of its point in shear and the dimple's side in bearing.

    ``width_mm`` of the dog, or of the dimple where a cone crosses the shell's surface: tau pi d^2 / 4. The side has the
    projected area w h / 2 of a cone, w h of a flat-bottomed seat; bearing strength about the yield of the shell
    (conservative). A cone also climbs out when its screw is not backed up. Exact statics; the strengths bear the doubt.

    >>> float(dimple_hold_n(3.0, 1.5, 260.0, 140.0, True))  # 140 x 2.25 against 260 x 7.07
    315.0
    """
    point = screw_shear_mpa * np.pi / 4.0 * width_mm**2
    side = shell_bearing_mpa * width_mm * depth_mm * (0.5 if conical else 1.0)
    holds: Num = np.minimum(point, side)
    return holds
