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
