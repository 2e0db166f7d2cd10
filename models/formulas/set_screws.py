"""Set screws through the barrel into the bearing shell: dimple, length, thread, and what they can hold.

The screws are a back-up to the fit. Catalogue seating torques are for hard steel and would crush a brass
shell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

POUND_FORCE_N = 4.4482216152605
SHEAR_OF_YIELD = 1.0 / sqrt(3.0)
"""Shear yield over tensile yield (von Mises; published, any text)."""


def cone_width_mm(depth_mm: float, cone_angle_deg: float = 90.0) -> float:
    """Width of a conical dimple at the shell surface [mm]: 2 h tan(angle/2); 2h at 90 deg. Broadcasts.
    Exact.
    """
    width: float = 2.0 * depth_mm * np.tan(np.radians(cone_angle_deg) / 2.0)
    return width


def cone_depth_mm(width_mm: float, cone_angle_deg: float = 90.0) -> float:
    """Depth of a conical dimple [mm] from its width at the shell surface. Broadcasts. Exact."""
    depth: float = width_mm / (2.0 * np.tan(np.radians(cone_angle_deg) / 2.0))
    return depth


def cup_reach_mm(dimple_depth_mm: float, cup_diameter_mm: float, cone_angle_deg: float = 90.0) -> float:
    """How far the rim of a cup point enters a conical dimple [mm]: depth - cup / (2 tan(angle/2)), not
    below 0.

    A cup wider than the dimple rests on the shell surface and enters by its own bite only. Broadcasts.
    Exact.
    """
    reach: float = np.maximum(dimple_depth_mm - cone_depth_mm(cup_diameter_mm, cone_angle_deg), 0.0)
    return reach


def dog_seat_mm(depth_mm: float, seat_width_mm: float, shell_outside_mm: float) -> float:
    """Depth of full engagement of a dog point in a flat-bottomed seat [mm]: depth less the sag of the
    round shell.

    The shell falls away by R - sqrt(R^2 - w^2/4) at the sides of the seat. Negative when the seat is only
    a flat. Broadcasts. Exact; the seat must not be wider than the shell (ValueError).
    """
    if not np.all(np.less(seat_width_mm, shell_outside_mm)):
        raise ValueError("seat_width_mm must be less than shell_outside_mm")
    side = np.sqrt(np.square(shell_outside_mm) - np.square(seat_width_mm))
    seat: float = depth_mm - (shell_outside_mm - side) / 2.0
    return seat


def shell_left_mm(shell_wall_mm: float, dimple_depth_mm: float) -> float:
    """Shell left under the deepest point of the dimple [mm]; zero or less = through to the rubber.
    Exact.
    """
    return shell_wall_mm - dimple_depth_mm


@dataclass(frozen=True, slots=True)
class ScrewLength:
    """Ideal screw length [mm], the stock length below it (None if all are longer) and the recess that
    gives.
    """

    ideal_mm: float
    stock_mm: float | None
    recess_mm: float | None


def screw_length(wall_mm: float, reach_mm: float, recess_mm: float, stock_lengths_mm: Sequence[float]) -> ScrewLength:
    """Screw length wall + reach - recess, rounded down to a stock length. Plain numbers. Exact.

    ``reach_mm`` is how far the point enters the shell, ``recess_mm`` the least depth of the screw's top
    below the barrel (1 to 2 mm is common practice, room for a filler). Raises ValueError when no positive
    length is left.
    """
    ideal = wall_mm + reach_mm - recess_mm
    if ideal <= 0.0:
        raise ValueError("the recess leaves no room for a screw in this wall")
    fitting = [s for s in stock_lengths_mm if s <= ideal + 1e-9]
    if not fitting:
        return ScrewLength(ideal, None, None)
    stock = max(fitting)
    return ScrewLength(ideal, stock, wall_mm + reach_mm - stock)


def engaged_thread_mm(
    wall_mm: float, recess_mm: float, point_length_mm: float, reach_mm: float, thread_relief_mm: float = 0.0
) -> float:
    """Length of full thread carrying load inside the wall [mm], not below 0. Broadcasts. Exact.

    Wall less the recess, less the part of the point (cone, cup chamfer or dog) still inside the wall, less
    ``thread_relief_mm`` lost to chamfers and broken edges of the tapped hole.
    """
    point_in_wall = np.maximum(point_length_mm - reach_mm, 0.0)
    engaged: float = np.maximum(wall_mm - recess_mm - point_in_wall - thread_relief_mm, 0.0)
    return engaged


def pitch_diameter_mm(major_mm: float, pitch_mm: float) -> float:
    """Basic pitch diameter [mm]: D - (3/4) H = D - 0.649519 P (ISO 68-1, published). Broadcasts."""
    return major_mm - 0.375 * sqrt(3.0) * pitch_mm


def minor_diameter_mm(major_mm: float, pitch_mm: float) -> float:
    """Basic minor diameter [mm]: D - (5/4) H = D - 1.082532 P (ISO 68-1, published). Broadcasts."""
    return major_mm - 0.625 * sqrt(3.0) * pitch_mm


def tap_drill_mm(major_mm: float, pitch_mm: float, thread_percent: float) -> float:
    """Hole that leaves ``thread_percent`` of full thread height [mm]: D - 0.012990 P x percent. Broadcasts.

    100 % means a height of 3/4 H a side, the tap-drill convention (handbook formula, from memory);
    0.012990 is 3 sqrt(3) / 400. 60 to 80 % is usual.
    """
    return major_mm - 0.0075 * sqrt(3.0) * pitch_mm * thread_percent


def thread_percent(major_mm: float, pitch_mm: float, drill_mm: float) -> float:
    """Percentage of full thread height a drill leaves; inverse of ``tap_drill_mm``. Broadcasts."""
    return (major_mm - drill_mm) / (0.0075 * sqrt(3.0) * pitch_mm)


def screw_thread_shear_area_mm2(
    pitch_mm: float, engaged_mm: float, hole_minor_max_mm: float, screw_pitch_diameter_min_mm: float
) -> float:
    """Shear area of the screw's own thread [mm2], stripping at the hole's minor diameter. Broadcasts.

    pi Le / P K [P/2 + (E - K)/sqrt 3]: FED-STD-H28 form, published; 60 deg threads, inch or metric. Basic
    diameters give 0.75 pi K Le, a fifth to a third more than limit diameters of an ordinary thread class do.
    """
    k = hole_minor_max_mm
    tooth = pitch_mm / 2.0 + (screw_pitch_diameter_min_mm - k) / sqrt(3.0)
    area: float = np.pi * engaged_mm / pitch_mm * k * tooth
    return area


def hole_thread_shear_area_mm2(
    pitch_mm: float, engaged_mm: float, screw_major_min_mm: float, hole_pitch_diameter_max_mm: float
) -> float:
    """Shear area of the tapped thread [mm2], stripping at the screw's major diameter. Broadcasts.

    pi Le / P D [P/2 + (D - E)/sqrt 3]: FED-STD-H28 form, published. Basic diameters give 0.875 pi D Le.
    This one governs in a bronze barrel with steel screws.
    """
    d = screw_major_min_mm
    tooth = pitch_mm / 2.0 + (d - hole_pitch_diameter_max_mm) / sqrt(3.0)
    area: float = np.pi * engaged_mm / pitch_mm * d * tooth
    return area


LIMIT_SHARE = 0.72
"""Thread shear area at limit diameters over the same at basic diameters: the least over M5 to M20, 6H/6g, of a
published table (after Bickford, Introduction to the Design and Behavior of Bolted Joints: 0.73 to 0.83)."""


def stripping_force_n(
    major_mm: float, pitch_mm: float, engaged_mm: float, screw_shear_mpa: float, barrel_shear_mpa: float
) -> float:
    """Axial force that strips the weaker thread [N]: LIMIT_SHARE of the basic-diameter areas. Broadcasts.

    The shear strengths are of screw and barrel: SHEAR_OF_YIELD x yield, or about 0.6 x tensile strength for
    the breaking load. Coarse threads from M5 or 1/4 in up, ordinary class; uneven load along the thread
    is not in it.
    """
    minor, mid = minor_diameter_mm(major_mm, pitch_mm), pitch_diameter_mm(major_mm, pitch_mm)
    screw = screw_shear_mpa * screw_thread_shear_area_mm2(pitch_mm, engaged_mm, minor, mid)
    barrel = barrel_shear_mpa * hole_thread_shear_area_mm2(pitch_mm, engaged_mm, major_mm, mid)
    force: float = LIMIT_SHARE * np.minimum(screw, barrel)
    return force


HOLDING_LOW_SHARE = 400.0 / 1000.0
"""Low chart over high table of cup-point holding power at 1/4 in, the one size where both were seen
(lbf).
"""
YELLOW_METAL_CREDIT = (0.0, 0.5)
"""Share of a steel-on-steel figure to credit on a brass or bronze shell: none, or half at most (common
practice).
"""


def cup_holding_range_n(
    table_lbf: Sequence[float], credit: tuple[float, float] = YELLOW_METAL_CREDIT
) -> tuple[float, float]:
    """Axial holding power of one cup-point screw without a dimple [N]: (low, high). Plain numbers. Hint
    only.

    ``table_lbf`` are the published figures for the size (alloy steel in steel, catalogue torque). They
    disagree by 2.5 to 1 where two were seen, so a size with a single figure gets its low end by the same
    share. Low = low figure x low credit, high = high figure x high credit. Raises ValueError when
    ``table_lbf`` is empty.
    """
    if not table_lbf:
        raise ValueError("no published holding power was given for this screw size")
    high = max(table_lbf)
    low = min(table_lbf) if len(table_lbf) > 1 else HOLDING_LOW_SHARE * high
    return POUND_FORCE_N * low * credit[0], POUND_FORCE_N * high * credit[1]


def point_shear_n(point_diameter_mm: float, shear_strength_mpa: float) -> float:
    """Force that shears the point off at the shell surface [N]: tau pi d^2 / 4. Broadcasts. Exact statics.

    The diameter is the dog's, or the width of a cone point where it crosses the shell surface.
    """
    return shear_strength_mpa * np.pi / 4.0 * point_diameter_mm**2


def dimple_bearing_n(width_mm: float, depth_mm: float, shell_bearing_mpa: float, conical: bool = True) -> float:
    """Force at which the side of the dimple crushes [N]: bearing strength x projected area. Broadcasts.

    Projected area w h / 2 of a cone, w h of a flat-bottomed seat (exact); bearing strength about the yield
    of the shell (conservative). A cone also climbs out when its screw is not backed up.
    """
    return shell_bearing_mpa * width_mm * depth_mm * (0.5 if conical else 1.0)


@dataclass(frozen=True, slots=True)
class DimpleHold:
    """What screws in dimples hold, weakest of point shear and dimple crushing. ``governs`` names the
    weaker.
    """

    each_n: float
    axial_n: float
    torque_nmm: float
    governs: str


def dimple_hold(
    count: int,
    width_mm: float,
    depth_mm: float,
    shell_outside_mm: float,
    screw_shear_mpa: float,
    shell_bearing_mpa: float,
    conical: bool = True,
) -> DimpleHold:
    """Axial force and torque that ``count`` screws in dimples resist, no share taken by the fit. Plain
    numbers.

    Torque acts at the outside radius of the shell. Compare the force with the press force and the torque
    with the drag of the shaft. Statics; the strengths carry the doubt.
    """
    shear = point_shear_n(width_mm, screw_shear_mpa)
    crush = dimple_bearing_n(width_mm, depth_mm, shell_bearing_mpa, conical)
    each = min(shear, crush)
    axial = count * each
    governs = "point shear" if shear <= crush else "dimple crushing"
    return DimpleHold(each, axial, axial * shell_outside_mm / 2.0, governs)
