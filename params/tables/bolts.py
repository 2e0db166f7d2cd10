"""Bolts: clearance holes, heads, nuts, washers, and the tools that turn them."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from strutwright.params.tables.reader import in_mm, is_metric, missing, mm_or_none, outside, plain_size, row_of, table
from strutwright.params.tables.threads import thread_diameter_mm

_FITS = {"fine": "close", "close": "close", "medium": "normal", "normal": "normal", "coarse": "loose", "loose": "loose"}
_METRIC_FITS = {"close": "fine", "normal": "medium", "loose": "coarse"}


def clearance_hole_mm(size: str, fit: str) -> float:
    """Clearance hole diameter in mm.

    ``size`` is "M3" to "M42" (ISO 273) or "1/4" to "1 1/2" (ASME B18.2.8); ``fit`` is fine, medium, coarse or the
    equivalents close, normal, loose. Raises :class:`NotInTable`.
    """
    size = plain_size(size)
    if fit not in _FITS:
        raise missing("Fit", fit, _FITS, "the clearance hole series")
    grade = _FITS[fit]
    if is_metric(size):
        return float(row_of("clearance_holes_metric", size)[_METRIC_FITS[grade]])
    return in_mm(row_of("clearance_holes_inch", size)[grade], "in")


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """A screw head. For a countersunk head ``sharp_diameter_mm`` is the theoretical diameter of the sharp
    rim, ``angle_deg`` the included angle and ``height_mm`` the distance from that rim to where the cone
    meets the shank. For a cylindrical head ``angle_deg`` is 180 and ``sharp_diameter_mm`` the head diameter.
    ``head_diameter_min_mm`` is the least real head diameter, ``counterbore_diameter_mm`` the bore for a
    cylindrical head and its key.
    """

    size: str
    standard: str
    standing: str
    angle_deg: float
    sharp_diameter_mm: float
    height_mm: float
    thread_diameter_mm: float
    head_diameter_min_mm: float | None
    key_mm: float | None
    counterbore_diameter_mm: float | None


COUNTERSUNK = {
    "ISO 10642": "countersunk_iso10642",
    "ISO 2009": "countersunk_iso2009",
    "ASME B18.3": "countersunk_b18_3",
    "ASME B18.6.3": "countersunk_b18_6_3",
}
"""Table of countersunk heads by standard."""


_COUNTERBORE = {"ISO 4762": "counterbore_iso4762", "ASME B18.3": "counterbore_b18_3"}


def _pick(standard: str | None, size: str, book: Mapping[str, str], metric: str, inch: str) -> str:
    if standard is None:
        return book[metric if is_metric(size) else inch]
    wanted = re.sub(r"[\s_]+", "", standard).upper().removeprefix("ASME")
    for name, file in book.items():
        if wanted == name.replace(" ", "").removeprefix("ASME"):
            return file
    raise missing("Standard", standard, book, "the head tables")


def countersunk_head(size: str, standard: str | None = None) -> Head:
    """Countersunk head of a screw size.

    ``standard``: ISO 10642 (90 deg socket, default for metric sizes), ISO 2009 (90 deg slotted), ASME B18.3
    (82 deg socket, default for inch sizes) or ASME B18.6.3 (82 deg machine screw). Raises
    :class:`NotInTable`.
    """
    size = plain_size(size)
    t = table(_pick(standard, size, COUNTERSUNK, "ISO 10642", "ASME B18.3"))
    row, unit = row_of(t.name, size), t.units["height"]
    return Head(
        size=size,
        standard=t.standard,
        standing=t.standing,
        angle_deg=float(row["angle"]),
        sharp_diameter_mm=in_mm(row["sharp_diameter"], unit),
        height_mm=in_mm(row["height"], unit),
        thread_diameter_mm=thread_diameter_mm(size),
        head_diameter_min_mm=mm_or_none(row["head_diameter_min"], unit),
        key_mm=mm_or_none(row["key"], unit),
        counterbore_diameter_mm=None,
    )


def counterbore_head(size: str, standard: str | None = None) -> Head:
    """Cylindrical socket head and its counterbore: ISO 4762 (metric) or ASME B18.3 (inch). Raises
    :class:`NotInTable`.
    """
    size = plain_size(size)
    t = table(_pick(standard, size, _COUNTERBORE, "ISO 4762", "ASME B18.3"))
    row, unit = row_of(t.name, size), t.units["height"]
    return Head(
        size=size,
        standard=t.standard,
        standing=t.standing,
        angle_deg=180.0,
        sharp_diameter_mm=in_mm(row["head_diameter"], unit),
        height_mm=in_mm(row["height"], unit),
        thread_diameter_mm=thread_diameter_mm(size),
        head_diameter_min_mm=None,
        key_mm=mm_or_none(row["key"], unit),
        counterbore_diameter_mm=mm_or_none(row["counterbore_diameter"], unit),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class NutAndWasher:
    """Hexagon nut and head across flats and across corners, their heights, and the plain washer of a size.

    standards: of the head, the nut and the washer.
    """

    size: str
    standards: Mapping[str, str]
    across_flats_mm: float
    across_corners_mm: float
    head_across_flats_mm: float
    head_height_mm: float
    nut_height_mm: float
    washer_inside_mm: float
    washer_outside_mm: float
    washer_thickness_mm: float


def nut_and_washer(size: str) -> NutAndWasher:
    """Nut, hexagon head and plain washer of "M3" to "M42" (ISO 4032, 4017, 7089) or "1/4" to "1 1/2"
    (ASME B18.2.1, B18.2.2, B18.21.1 narrow). Corners are the full hexagon, flats/cos 30 deg. Raises
    :class:`NotInTable`.
    """
    size = plain_size(size)
    t = table("nuts_washers_metric" if is_metric(size) else "nuts_washers_inch")
    row, unit = row_of(t.name, size), t.units["nut_height"]
    flats = in_mm(row["across_flats"], unit)
    return NutAndWasher(
        size=size,
        standards=t.standards,
        across_flats_mm=flats,
        across_corners_mm=flats / math.cos(math.pi / 6),
        head_across_flats_mm=in_mm(row.get("head_across_flats", row["across_flats"]), unit),
        **{
            f"{k}_mm": in_mm(row[k], unit)
            for k in ("head_height", "nut_height", "washer_inside", "washer_outside", "washer_thickness")
        },
    )


def tool_outside_mm(tool: str, capacity_mm: float) -> float:
    """Outside diameter in mm of a tool ("socket", "drill chuck", "hex key driver") of at least that capacity
    (across flats, shank or key in mm). Common practice. Raises :class:`NotInTable`.
    """
    rows = [r for r in table("tool_clearance").rows if r["tool"] == tool]
    if not rows:
        raise missing("Tool", tool, (r["tool"] for r in table("tool_clearance").rows), "the tool clearances")
    for row in rows:
        if capacity_mm <= row["capacity"]:
            return float(row["outside"])
    raise outside(f"{tool} capacity", capacity_mm, 0.0, rows[-1]["capacity"], "the tool clearances")
