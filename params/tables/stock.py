"""Stock plates and bars, and the least weld for a thickness."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from strutwright.params.tables.reader import in_mm, missing, outside, span_of, table


@dataclass(frozen=True, slots=True)
class HollowBar:
    """A hollow bar for machining."""

    outside_mm: float
    bore_mm: float


def hollow_bars(outside_min_mm: float = 0.0, bore_max_mm: float = math.inf) -> tuple[HollowBar, ...]:
    """Hollow bars with at least that outside and at most that bore, mm, lightest first (least area)."""
    made = [
        HollowBar(float(r["outside"]), float(r["bore"]))
        for r in table("hollow_bar").rows
        if r["outside"] >= outside_min_mm and r["bore"] <= bore_max_mm
    ]
    return tuple(sorted(made, key=lambda b: (b.outside_mm**2 - b.bore_mm**2, b.outside_mm)))


@dataclass(frozen=True, slots=True)
class Plate:
    """A stock plate."""

    label: str
    system: str
    thickness_mm: float


def next_plate(thickness_mm: float, system: str = "metric") -> Plate:
    """The thinnest stock plate not under ``thickness_mm``; ``system`` "metric" or "inch". Raises
    :class:`NotInTable` above the series.
    """
    t = table("plate")
    rows = [r for r in t.rows if r["system"] == system]
    if not rows:
        raise missing("System", system, (r["system"] for r in t.rows), "the plate table")
    for row in rows:
        if row["thickness"] >= thickness_mm - 1e-9:
            return Plate(row["label"], system, float(row["thickness"]))
    raise outside("Thickness", thickness_mm, 0.0, rows[-1]["thickness"], "the plate table")


@dataclass(frozen=True, slots=True, kw_only=True)
class MillTolerance:
    """How far stock may come off its size, by the standard that it is bought to. mm."""

    thinner_mm: float
    thicker_mm: float
    standard: str
    standing: str


def plate_tolerance(thickness_mm: float, family: str, system: str = "metric") -> MillTolerance | None:
    """How far hot-rolled plate may come off its thickness; None for a metal or a thickness that no table holds.

    family: of the metal. system: "metric" or "inch", by which the plate is ordered.
    """
    name = {"duplex": "stainless"}.get(family, family)
    if name not in ("stainless", "steel"):
        return None
    t = table("plate_tolerance_inch" if system == "inch" else f"plate_tolerance_{name}")
    row = next((r for r in t.rows if thickness_mm < r["below"]), None)
    if row is None:
        return None
    return MillTolerance(
        thinner_mm=float(row["thinner"]), thicker_mm=float(row["thicker"]), standard=t.standard, standing=t.standing
    )


def bar_tolerance(size_mm: float, form: str) -> MillTolerance | None:
    """How far hot-rolled bar may come off its size; ``form`` "flat" (thickness) or "round" (diameter). None beyond the
    table.
    """
    t = table(f"{form}_bar_tolerance")
    row = next((r for r in t.rows if size_mm <= r["to"]), None)
    if row is None:
        return None
    off = float(row["limits"])
    return MillTolerance(thinner_mm=off, thicker_mm=off, standard=t.standard, standing=t.standing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filler:
    """What a metal is usually welded with. preheat_c: of parts thicker than preheat_over_mm, None for never."""

    name: str
    preheat_over_mm: float | None
    preheat_c: float | None
    interpass_c: float
    standing: str


def filler(metal: str) -> Filler | None:
    """The usual filler of a metal, as it is named in the table of materials; None where no row has it."""
    t = table("fillers")
    row = next((r for r in t.rows if r["metal"] == metal), None)
    if row is None:
        return None
    return Filler(
        name=row["filler"],
        preheat_over_mm=row["preheat_over"],
        preheat_c=row["preheat"],
        interpass_c=float(row["interpass"]),
        standing=t.standing,
    )


def weld_min_leg_mm(thickness_mm: Any, *, inch: bool = False) -> Any:
    """Minimum fillet leg in mm for a base metal thickness in mm, or for an array of them: the larger of AISC 360 Table
    J2.4M (published, typed copy) and AWS D1.1 (from memory).

    inch: the standards' inch figure instead of the metric one. Raises :class:`NotInTable` for a thickness of 0 or less;
    in an array such a one takes the least leg.
    """
    rows = table("weld_min_leg").rows
    if np.ndim(thickness_mm) == 0:
        row = span_of("weld_min_leg", float(thickness_mm), "Thickness")
        return in_mm(row["leg_inch"], "in") if inch else float(row["leg"])
    legs = np.array([in_mm(r["leg_inch"], "in") if inch else r["leg"] for r in rows], dtype=float)
    return legs[np.searchsorted([r["to"] for r in rows[:-1]], thickness_mm)]
