"""Cathodic protection: current that metal asks for, anode metals, and how paint wears."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from strutwright.params.tables.reader import missing, table


@dataclass(frozen=True, slots=True)
class CurrentDensity:
    """Current that bare metal asks for, A/m2: at first, on the mean of its life, and at its end."""

    initial_a_m2: float
    mean_a_m2: float
    final_a_m2: float


@dataclass(frozen=True, slots=True)
class AnodeMetal:
    """An anode metal: what a kilogram gives, and what it drives current with (V) on metal that is protected.

    for_salinity: least and greatest of the water that it is for.
    """

    capacity_ah_kg: float
    drives_v: float
    density_kg_m3: float
    usual_kg: float
    for_salinity: tuple[float, float]


def coldest_c(water: str) -> float:
    """Temperature of the surface water over which a climate lies, DNV-RP-B401; published (typed copy). Raises
    :class:`NotInTable`.
    """
    return float(_of_water(water)["over"])


def current_density(water: str) -> CurrentDensity:
    """Current that bare steel asks for in water of a climate, DNV-RP-B401; published (typed copy). Raises
    :class:`NotInTable`.
    """
    row = _of_water(water)
    return CurrentDensity(float(row["initial"]), float(row["mean"]), float(row["final"]))


def _of_water(water: str) -> Mapping[str, Any]:
    t = table("cathodic_protection")
    for row in t.rows:
        if row["water"] == water:
            return row
    raise missing("Water", water, (r["water"] for r in t.rows), t.standard)


def anode_metal(name: str) -> AnodeMetal:
    """An anode metal, DNV-RP-B401; published (typed copy), magnesium, density, usual mass and water common practice.
    Raises :class:`NotInTable`.
    """
    t = table("cathodic_anodes")
    for row in t.rows:
        if row["metal"] == name:
            drives = float(t.extra["protected_v"]) - float(row["potential"])
            water = float(row["over"]), float(row["to"])
            return AnodeMetal(float(row["capacity"]), drives, float(row["density"]), float(row["usual"]), water)
    raise missing("Anode metal", name, (r["metal"] for r in t.rows), t.standard)


def paint_wear(category: str) -> tuple[float, float]:
    """Share of painted metal that is bare at first, and what each year adds; bare metal is bare. DNV-RP-B401,
    published (typed copy). Raises :class:`NotInTable`.
    """
    t = table("cathodic_paint")
    if category == "none":
        return 1.0, 0.0
    for row in t.rows:
        if row["paint"] == category:
            return float(row["start"]), float(row["per_year"])
    raise missing("Paint", category, ["none", *(r["paint"] for r in t.rows)], t.standard)
