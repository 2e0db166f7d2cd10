"""Barrel wall and length by rule, and the exact wall left where the outside is cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np


@dataclass(frozen=True, slots=True)
class DiameterRule:
    """A rule of the form "so many shaft diameters", with where it comes from and how far it can be
    trusted.
    """

    factor: float
    source: str
    standing: str


WALL_QUARTER = DiameterRule(
    0.25,
    "ABS high-speed craft, shaft struts; the same figure in ABYC P-6",
    "ABS from memory, P-6 second-hand; confirm against the standard",
)
WALL_THIRD = DiameterRule(0.33, "BV NR467, propeller shaft brackets", "value from memory; confirm against the standard")
WALL_LEAST = DiameterRule(0.20, "class-type minimum boss wall", "value from memory; confirm against the standard")
LENGTH_USUAL = DiameterRule(
    4.0, "ABS Steel Vessels 2017 4-3-2/5.15.1, water-lubricated bearing next to the propeller", "published"
)
LENGTH_LEAST = DiameterRule(
    2.0,
    "class rules, approved synthetic bearing",
    "value from memory; confirm against the standard; needs proof of performance",
)


def required_mm(shaft_diameter_mm: float, rule: DiameterRule) -> float:
    """Wall or length asked by ``rule`` [mm]: factor x shaft diameter. Broadcasts over
    ``shaft_diameter_mm`` [mm].

    Source and standing: those of the rule. The class texts mean the *required* tail-shaft diameter, so a
    shaft made thicker than required may be entered at its required size.
    """
    return rule.factor * shaft_diameter_mm


def wall_mm(outside_diameter_mm: float, bore_diameter_mm: float, eccentricity_mm: float = 0.0) -> float:
    """Least wall of a round barrel [mm]; negative when the bore breaks out. Broadcasts. Exact.

    ``eccentricity_mm`` is the offset between the centre of the outside and of the bore (core shift of a
    casting, eccentric tube).
    """
    return (outside_diameter_mm - bore_diameter_mm) / 2.0 - eccentricity_mm


def flat_depth_mm(outside_diameter_mm: float, flat_width_mm: float) -> float:
    """Depth of a flat [mm] below the crown of a round outside, from its width across the axis. Broadcasts.
    Exact.

    ``flat_width_mm`` is the chord: the diameter of a spot face, or the width of a milled flat; it must not
    exceed the outside diameter (ValueError).
    """
    if not np.all(np.less_equal(flat_width_mm, outside_diameter_mm)):
        raise ValueError("flat_width_mm is wider than the outside diameter; no such flat can be cut")
    depth: float = (outside_diameter_mm - np.sqrt(np.square(outside_diameter_mm) - np.square(flat_width_mm))) / 2.0
    return depth


def flat_width_mm(outside_diameter_mm: float, flat_depth_mm: float) -> float:
    """Width of a flat [mm] cut ``flat_depth_mm`` below the crown of a round outside. Broadcasts. Exact.

    The depth must lie between 0 and the radius (ValueError).
    """
    depth = np.asarray(flat_depth_mm)
    if not np.all((depth >= 0.0) & (2.0 * depth <= outside_diameter_mm)):
        raise ValueError("flat_depth_mm must lie between 0 and half the outside diameter")
    width: float = 2.0 * np.sqrt(flat_depth_mm * (outside_diameter_mm - flat_depth_mm))
    return width


def wall_under_flat_mm(outside_diameter_mm: float, bore_diameter_mm: float, flat_depth_mm: float) -> float:
    """Wall left under the middle of a flat or spot face [mm], its thinnest place. Broadcasts. Exact."""
    return (outside_diameter_mm - bore_diameter_mm) / 2.0 - flat_depth_mm


def least_wall_along_mm(
    outside_profile: Sequence[tuple[float, float]], bore_profile: Sequence[tuple[float, float]]
) -> tuple[float, float]:
    """Least wall along a barrel with steps and tapers: (wall [mm], station [mm] where it is first met).
    Exact.

    Each profile is (station [mm], diameter [mm]) points in rising station joined by straight lines; a step
    is two points at one station, read as the diameter before and after it. Only the length covered by both
    profiles is looked at. Walls are piecewise linear in station, so the least is at a breakpoint, on one
    side or the other. The wall is taken square to the axis. Raises ValueError when the profiles do not
    overlap or run backwards.
    """
    for profile in (outside_profile, bore_profile):
        if len(profile) < 2 or any(b[0] < a[0] for a, b in pairwise(profile)):
            raise ValueError("a profile needs at least two points with stations that do not run backwards")
    start = max(outside_profile[0][0], bore_profile[0][0])
    stop = min(outside_profile[-1][0], bore_profile[-1][0])
    if not start < stop:
        raise ValueError("the outside profile and the bore profile have no common length")
    breaks = {start, stop, *(s for s, _ in outside_profile), *(s for s, _ in bore_profile)}
    stations = sorted(s for s in breaks if start <= s <= stop)
    best = (np.inf, start)
    for station in stations:
        for after in (False, True):
            if (after and station == stop) or (not after and station == start):
                continue
            outside, bore = (_side(p, station, after) for p in (outside_profile, bore_profile))
            if (wall := (outside - bore) / 2.0) < best[0]:
                best = (wall, station)
    return float(best[0]), float(best[1])


def _side(profile: Sequence[tuple[float, float]], station: float, after: bool) -> float:
    """Diameter just before or just after a station (they differ only at a step)."""
    for (s0, d0), (s1, d1) in pairwise(profile):
        inside = s0 <= station < s1 if after else s0 < station <= s1
        if inside:
            return d0 + (d1 - d0) * (station - s0) / (s1 - s0)
    raise ValueError(f"station {station} is outside the profile")


def opening_area_mm2(opening_diameter_mm: float, shaft_diameter_mm: float) -> float:
    """Clear ring area round the shaft [mm2] in an opening ahead of the bearing. Broadcasts. Exact."""
    return np.pi / 4.0 * (opening_diameter_mm**2 - shaft_diameter_mm**2)


def least_opening_diameter_mm(shaft_diameter_mm: float, flute_area_sum_mm2: float) -> float:
    """Opening diameter [mm] whose clear ring equals the sum of the flute areas. Broadcasts.

    Intent (the opening ahead must pass at least what the flutes can carry) is common practice, no source;
    the size follows exactly from it.
    """
    diameter: float = np.sqrt(shaft_diameter_mm**2 + 4.0 * flute_area_sum_mm2 / np.pi)
    return diameter


def least_shoulder_bore_mm(shaft_diameter_mm: float, flute_depth_mm: float) -> float:
    """Bore of an inner shoulder [mm] that leaves the flutes open: shaft + 2 x flute depth. Broadcasts.
    Exact.
    """
    return shaft_diameter_mm + 2.0 * flute_depth_mm
