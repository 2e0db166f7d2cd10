"""Fluted rubber bearing: pressure, clearance, wear, flutes and the water that reaches them, misalignment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Num


def projected_pressure_mpa(load_n: Num, shaft_diameter_mm: Num, length_mm: Num) -> Num:
    """Mean pressure on the projected area, MPa: W / (d L). Definition, published (any text).

    >>> projected_pressure_mpa(1500.0, 50.0, 200.0)
    0.15
    """
    return load_n / (shaft_diameter_mm * length_mm)


def stiff_closure_mm(shell_closure_mm: Num, shell_bore_mm: Num, running_bore_mm: Num) -> Num:
    """Closure of the running bore when the rubber keeps its volume, mm on the diameter: closure x shell / running bore.

    Incompressible rubber that cannot move lengthwise; open flutes relieve it, so the truth lies between this and the
    closure of the shell, which soft rubber follows. Exact for that idealised case.

    >>> stiff_closure_mm(0.03, 60.0, 50.0)
    0.036
    """
    return shell_closure_mm * shell_bore_mm / running_bore_mm


def clearance_after_closure_mm(running_bore_mm: Num, shaft_diameter_mm: Num, closure_mm: Num) -> Num:
    """Running clearance left once the bearing is pressed in, mm on the diameter; negative: it grips. Exact.

    >>> round(clearance_after_closure_mm(40.15, 40.0, 0.05), 6)
    0.1
    """
    return running_bore_mm - shaft_diameter_mm - closure_mm


@dataclass(frozen=True, slots=True)
class WornLimits:
    """Clearances, mm on the diameter, at which different authorities ask for a new bearing. They differ: shown beside
    the one limit, `rules.wear_limit_mm`.

    new_plus_practice_mm: new clearance and the wear allowed by size of shaft; common practice, from memory.
    new_plus_half_groove_mm: new clearance + half the flute depth: 46 CFR 61.20-23 for rubber (text from memory), one
    side worn. replace_hint_mm: a share of the shaft, small-craft rule of thumb, low confidence.
    """

    new_plus_practice_mm: Num
    new_plus_half_groove_mm: Num
    replace_hint_mm: Num


def wear_class(shaft_diameter_mm: Num) -> NDArray[np.int64]:
    """Return 0 for shafts to 40 mm, 1 to 75 mm, 2 for larger ones. Common practice, no source.

    >>> wear_class(40.0).item(), wear_class(50.0).item()
    (0, 1)
    """
    return np.asarray(np.searchsorted((40.0, 75.0), np.asarray(shaft_diameter_mm, dtype=float)))


def worn_limits(
    shaft_diameter_mm: Num, new_clearance_mm: Num, flute_depth_mm: Num, wear_mm: Sequence[float], of_shaft: float
) -> WornLimits:
    """Worn limits of a fluted rubber bearing by three authorities. Standing: see `WornLimits`.

    wear_mm: beyond the new clearance, of shafts to 40 mm, to 75 mm and larger. of_shaft: worn clearance over diameter.

    >>> float(worn_limits(60.0, 0.25, 3.0, (1.0, 1.5, 2.0), 0.06).new_plus_practice_mm)
    1.75
    """
    wear: Num = np.asarray(wear_mm, dtype=float)[wear_class(shaft_diameter_mm)]
    return WornLimits(
        new_plus_practice_mm=new_clearance_mm + wear,
        new_plus_half_groove_mm=new_clearance_mm + flute_depth_mm / 2.0,
        replace_hint_mm=of_shaft * shaft_diameter_mm,
    )


def rubber_thickness_mm(outside_diameter_mm: Num, shell_wall_mm: Num, running_bore_mm: Num) -> Num:
    """Rubber on a land, mm: (outside - bore) / 2 - shell wall. Exact.

    >>> rubber_thickness_mm(1.375, 0.125, 0.875)  # a published size, in
    0.125
    """
    return (outside_diameter_mm - running_bore_mm) / 2.0 - shell_wall_mm


def flute_area_mm2(flute_count: Num, flute_width_mm: Num, flute_depth_mm: Num) -> Num:
    """Sum of the flute areas, mm2, as rectangles width x depth; the running clearance comes on top. Exact.

    >>> flute_area_mm2(8, 5.0, 2.5)
    100.0
    """
    return flute_count * flute_width_mm * flute_depth_mm


def opening_area_mm2(opening_diameter_mm: Num, shaft_diameter_mm: Num) -> Num:
    """Clear ring area round the shaft, mm2, in an opening ahead of the bearing. Exact.

    >>> round(opening_area_mm2(60.0, 50.0), 2)  # pi/4 (3600 - 2500)
    863.94
    """
    return np.pi / 4.0 * (opening_diameter_mm**2 - shaft_diameter_mm**2)


def least_opening_diameter_mm(shaft_diameter_mm: Num, flute_area_sum_mm2: Num) -> Num:
    """Opening diameter, mm, whose clear ring equals the sum of the flute areas.

    Intent (the opening ahead must pass at least what the flutes can carry) is common practice, no source; the size
    follows exactly from it.

    >>> round(float(least_opening_diameter_mm(50.0, 863.94)), 3)
    60.0
    """
    diameter: Num = np.sqrt(shaft_diameter_mm**2 + 4.0 * flute_area_sum_mm2 / np.pi)
    return diameter


def least_shoulder_bore_mm(shaft_diameter_mm: Num, flute_depth_mm: Num) -> Num:
    """Bore of an inner shoulder, mm, that leaves the flutes open: shaft + 2 x flute depth. Exact.

    >>> least_shoulder_bore_mm(50.0, 3.0)
    56.0
    """
    return shaft_diameter_mm + 2.0 * flute_depth_mm


def rubber_growth_mm(
    thickness_mm: Num, running_bore_mm: Num, flute_count: Num, flute_width_mm: Num, volume_share: Num
) -> Num:
    """How far rubber that grows closes the running bore, mm on the diameter: 2 t v (1 - exp(-0.33 w / t) / 2).

    volume_share: growth of its volume by water and warmth, as a share; w: width of a land. Rubber on a shell cannot
    grow round it nor along it: a wide land grows inward with all of its volume, a narrow one, whose sides are free,
    with half (plane strain of what cannot be pressed together; exact at both ends). Between, on the safe side of the
    middle of a land by plane finite elements, by 14 % at most. Without flutes it grows inward with all of its volume.

    >>> round(float(rubber_growth_mm(4.45, 35.1, 8, 5.5, 0.0182)), 3)  # 8.28 wide: 0.73 of 0.162
    0.118
    """
    land = np.maximum(np.pi * running_bore_mm / np.maximum(flute_count, 1.0) - flute_width_mm, 0.0)
    thick = np.maximum(thickness_mm, 0.0)
    sides = np.where(np.less(flute_count, 1.0), 0.0, 0.5 * np.exp(-0.33 * land / np.maximum(thick, 1e-9)))
    growth: Num = 2.0 * thick * volume_share * (1.0 - sides)
    return growth


def rubber_stiffness_n_mm(
    thickness_mm: Num, running_bore_mm: Num, flute_count: Num, flute_width_mm: Num, length_mm: Num, modulus_mpa: float
) -> Num:
    """Stiffness of a fluted rubber bearing across the shaft, N/mm: E_c A / 4 t. An estimate, low confidence.

    Each land is a long strip of rubber, bonded to the shell and sliding on the shaft: pressed it gives as half of one
    of twice the thickness bonded on both sides, E_c = 4/3 E (1 + 0.55 (w / 4 t)^2), w wide (Gent and Lindley, from
    memory). Lands all round share a movement by the square of the cosine, and those on the slack side carry none: a
    quarter of their area A. A shaft that touches one or two lands only is softer, rubber that shakes fast is stiffer.

    >>> round(float(rubber_stiffness_n_mm(4.45, 35.1, 8, 5.5, 140.0, 5.5)), -2)  # 8.28 by 140 wide: E_c 8.2
    4300.0
    """
    land = np.maximum(np.pi * running_bore_mm / flute_count - flute_width_mm, 0.0)
    pressed = 4.0 / 3.0 * modulus_mpa * (1.0 + 0.55 * (land / (4.0 * thickness_mm)) ** 2)
    return pressed * flute_count * land * length_mm / (4.0 * thickness_mm)


@dataclass(frozen=True, slots=True)
class FluteClock:
    """Where a clock angle falls among the flutes, degrees: from the nearest flute's centre, and past its edge.

    past_flute_edge_deg: positive on a land by this much, negative inside a flute.
    """

    to_flute_centre_deg: Num
    past_flute_edge_deg: Num


def flutes_fit(flute_count: int, flute_width_mm: Num, running_bore_mm: Num) -> NDArray[np.bool_]:
    """Whether so many flutes, each so wide as a chord of the running bore, go round it without touching. Exact.

    >>> bool(flutes_fit(8, 10.0, 40.0)), bool(flutes_fit(8, 16.0, 40.0))
    (True, False)
    """
    half = np.degrees(np.arcsin(np.minimum(flute_width_mm / running_bore_mm, 1.0)))
    return np.asarray(np.greater(flute_width_mm, 0.0) & (2.0 * half * flute_count < 360.0))


def flute_clock(
    clock_deg: Num, flute_count: int, first_flute_deg: Num, flute_width_mm: Num, running_bore_mm: Num
) -> FluteClock:
    """Distance of a clock angle from the nearest flute centre and flute edge. Exact.

    Flutes are evenly spaced, one centred at ``first_flute_deg``, each ``flute_width_mm`` wide as a chord of the running
    bore. Raises ValueError when the flutes would overlap or the chord does not fit.

    >>> float(flute_clock(70.0, 8, 0.0, 4.0, 40.0).to_flute_centre_deg)
    20.0
    """
    pitch = 360.0 / flute_count
    half = np.degrees(np.arcsin(np.minimum(flute_width_mm / running_bore_mm, 1.0)))
    if not np.all(flutes_fit(flute_count, flute_width_mm, running_bore_mm)):
        raise ValueError("that many flutes of that width do not fit round the running bore")
    off = np.abs(np.mod(clock_deg - first_flute_deg + pitch / 2.0, pitch) - pitch / 2.0)
    return FluteClock(off, off - half)


def clearest_flute_deg(clocks_deg: Sequence[float], flute_count: int) -> float:
    """Clock of a flute's middle, degrees from 0 to the pitch, that keeps flutes as far as may be from all these clocks.

    Flutes are evenly spaced: only the clocks' rests by the pitch count, and the middle of the widest gap between these,
    taken round, is farthest from all. Exact. The middle of the first pitch where there is no clock.

    >>> clearest_flute_deg([90.0, 180.0], 8)  # both on a whole pitch: flutes half a pitch off
    22.5
    """
    pitch = 360.0 / flute_count
    rests = sorted({round(c % pitch, 9) % pitch for c in clocks_deg}) or [0.0]
    gaps = [(b - a, a) for a, b in zip(rests, [*rests[1:], rests[0] + pitch], strict=True)]
    wide, start = max(gaps, key=lambda g: (round(g[0], 9), -g[1]))
    return (start + wide / 2.0) % pitch


def misalignment_allowed_deg(clearance_mm: Num, length_mm: Num) -> Num:
    """Angle between shaft and bore, degrees, that uses up half the clearance (on the diameter) over the length.

    atan(0.5 x clearance / length): half is the usual allowance, common practice, no source; with all of it the shaft
    touches at both ends. Exact.

    >>> round(float(misalignment_allowed_deg(0.15, 160.0)), 4)
    0.0269
    """
    angle: Num = np.degrees(np.arctan(0.5 * clearance_mm / length_mm))
    return angle


def drag_torque_nmm(load_n: Num, friction: float, shaft_diameter_mm: Num) -> Num:
    """Torque the shaft tries to turn the bearing with, N mm: mu W d / 2. Exact statics.

    Wet running is 0.01 or less to 0.1; a dry or seized bearing may reach 0.5 to 1 (from memory).

    >>> drag_torque_nmm(400.0, 0.5, 50.0)
    5000.0
    """
    return friction * load_n * shaft_diameter_mm / 2.0
