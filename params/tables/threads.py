"""Screw threads and set screws."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from strutwright.params.quantity import INCH_MM
from strutwright.params.readings import kept
from strutwright.params.tables.reader import (
    NotInTable,
    in_mm,
    is_metric,
    missing,
    mm_or_none,
    plain_size,
    row_of,
    table,
)

LBF_IN_NM = 0.1129848


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """A screw thread. ``designation`` is the full one (M8x1.25, 1/4-20), ``size`` the nominal size."""

    designation: str
    size: str
    major_mm: float
    pitch_mm: float
    tap_drill_mm: float
    tap_drill_name: str
    stress_area_mm2: float
    standard: str


def thread_diameter_mm(size: str) -> float:
    """Return the major diameter (mm) of a size, spelt as in the tables. Raises :class:`NotInTable`."""
    if is_metric(size):
        return float(size[1:])
    return in_mm(row_of("threads_inch", size)["major"], "in")


@kept
def _threads() -> Mapping[str, Thread]:
    """All threads by designation; the first row of a size (coarse) also answers to the bare size."""
    out: dict[str, Thread] = {}
    t = table("threads_metric")
    for row in t.rows:
        made = Thread(
            designation=f"{row['size']}x{row['pitch']:g}",
            size=row["size"],
            major_mm=row["major"],
            pitch_mm=row["pitch"],
            tap_drill_mm=row["tap_drill"],
            tap_drill_name=f"{row['tap_drill']:.1f} mm",
            stress_area_mm2=row["stress_area"],
            standard=t.standard,
        )
        out[made.designation] = made
        out.setdefault(made.size, made)
    t = table("threads_inch")
    for row in t.rows:
        made = Thread(
            designation=f"{row['size']}-{row['tpi']}",
            size=row["size"],
            major_mm=in_mm(row["major"], "in"),
            pitch_mm=INCH_MM / row["tpi"],
            tap_drill_mm=in_mm(row["tap_drill"], "in"),
            tap_drill_name=row["tap_drill_name"],
            stress_area_mm2=row["stress_area"] * INCH_MM**2,
            standard=t.standard,
        )
        out[made.designation] = made
        out.setdefault(made.size, made)
    return MappingProxyType(out)


def thread(designation: str) -> Thread:
    """The thread named "M8", "M8x1.25", "1/4" or "1/4-20" (UNC and UNF words are allowed); a bare size means
    the coarse thread. Tap drills: ISO 2306 and shop practice; stress areas: ISO 898-1 and ASME B1.1. Raises
    :class:`NotInTable`.
    """
    t = re.sub(r"\s*UN[CF]\b.*$", "", designation.strip(), flags=re.IGNORECASE)
    metric = re.fullmatch(r"[mM]\s*(\d+)\s*[xX×]\s*(\d+(?:\.\d+)?)", t)
    inch = re.fullmatch(r"(#?\d+(?:/\d+)?)\s*-\s*(\d+)", t)
    if metric:
        key = f"M{metric[1]}x{float(metric[2]):g}"
    elif inch:
        key = f"{inch[1]}-{inch[2]}"
    else:
        key = plain_size(t)
    if key not in _threads():
        raise missing(
            "Thread",
            designation,
            _threads(),
            "the thread tables",
            "`strutwright tables threads_metric` or `threads_inch`",
        )
    return _threads()[key]


def tapped(designation: str) -> str:
    """Return how a drawing calls a tapped hole: the thread with its tolerance class, "M8x1.25-6H" or "1/4-20 UNC-2B".

    Classes of common use: 6H of ISO 965-1, 2B of ASME B1.1, with the series UNC or UNF (from memory; confirm against
    the standards). A thread that is in no table is called as it is written, with the class.
    """
    try:
        found = thread(designation)
    except NotInTable:
        return f"{designation}-{tapped_class(designation)}"
    series = "" if is_metric(found.size) else f" {_series(found)}"
    return f"{found.designation}{series}-{tapped_class(designation)}"


def tapped_class(designation: str) -> str:
    """Return the tolerance class of a tapped hole: 6H of a metric thread, 2B of an inch one (from memory)."""
    return "6H" if is_metric(designation.strip()) else "2B"


def _series(of: Thread) -> str:
    """Return the series of an inch thread: UNC for the coarse one of its size, else UNF."""
    return "UNC" if _threads()[of.size] == of else "UNF"


POINTS = ("flat", "cone", "dog", "cup")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetScrew:
    """A socket set screw.

    ``point_diameter_mm``: flat, cup or dog diameter (maximum); of a cone the flat at its tip, 0 when the
    standard (ASME B18.3) gives none. ``point_angle_deg`` is set for cones only (short screws are blunter:
    ``short_point_angle_deg``, below ``full_angle_from_mm`` where the standard says). ``holding_lbf`` holds
    every axial holding figure found, ascending (steel cup point in steel, partly from memory); tables
    disagree, so treat it as a range. Empty when none is known.
    """

    size: str
    point: str
    standard: str
    standing: str
    key_mm: float
    point_diameter_mm: float
    dog_length_mm: float | None
    point_angle_deg: float | None
    short_point_angle_deg: float | None
    full_angle_from_mm: float | None
    lengths_mm: tuple[float, ...]
    seating_torque_nm: float | None
    holding_lbf: tuple[float, ...]


def set_screw(size: str, point: str) -> SetScrew:
    """Socket set screw of a size ("M3" to "M24", ISO 4026 to 4029; "#10", "1/4" to "3/4", ASME B18.3) and
    point (flat, cone, dog, cup). Raises :class:`NotInTable`.
    """
    size = plain_size(size)
    if point not in POINTS:
        raise missing("Point", point, POINTS, "the set screw tables")
    metric = is_metric(size)
    t = table("set_screws_metric" if metric else "set_screws_inch")
    row, unit = row_of(t.name, size), t.units["key"]
    cone = point == "cone"
    torque = row["seating_torque"]
    return SetScrew(
        size=size,
        point=point,
        standard=t.standards.get(point, t.standard),
        standing=t.column_standing(point) if point in t.columns else t.standing,
        key_mm=in_mm(row["key"], unit),
        point_diameter_mm=in_mm(row.get(point, 0.0), unit),
        dog_length_mm=mm_or_none(row["dog_length"], unit) if point == "dog" else None,
        point_angle_deg=90.0 if cone else None,
        short_point_angle_deg=(120.0 if metric else 118.0) if cone else None,
        full_angle_from_mm=mm_or_none(row.get("cone_90_from"), unit) if cone else None,
        lengths_mm=tuple(in_mm(v, unit) for v in t.extra["stock_lengths"] if row["shortest"] <= v <= row["longest"]),
        seating_torque_nm=None if torque is None else float(torque) if metric else torque * LBF_IN_NM,
        holding_lbf=tuple(float(v) for v in row.get("holding", ())),
    )
