"""Fatigue curves: how many cycles of a stress range a detail of steel lasts, in air and in sea water."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias

from strutwright.params.tables.reader import missing, table

Detail: TypeAlias = Literal["cast fillet", "weld toe", "weld root", "drilled hole"]
Surroundings: TypeAlias = Literal["air", "protected", "bare"]
"""In air; in sea water with cathodic protection; in sea water, corroding freely."""
_SLOPE_BARE, _SLOPE_BEYOND = 3, 5


@dataclass(frozen=True, slots=True)
class FatigueCurve:
    """One curve: log10 N = log_first - slope log10(range in MPa), and beyond its knee the same with slope_beyond.

    log_beyond is None where there is no knee. thickness_power: of t / 25 mm, for more than 25 mm.
    """

    name: str
    slope: int
    log_first: float
    slope_beyond: int
    log_beyond: float | None
    thickness_power: float


@cache
def fatigue_curve(name: str, surroundings: Surroundings) -> FatigueCurve:
    """The curve of a class (B1 to W3) of DNV-RP-C203. Published (typed copy). Raises :class:`NotInTable`."""
    rows = table("fatigue_curves").rows
    row = next((r for r in rows if r["class"] == name), None)
    if row is None:
        raise missing("Class", name, (r["class"] for r in rows), "DNV-RP-C203")
    bare = surroundings == "bare"
    return FatigueCurve(
        name=name,
        slope=_SLOPE_BARE if bare else int(row["slope"]),
        log_first=float(row[surroundings]),
        slope_beyond=_SLOPE_BEYOND,
        log_beyond=None if bare else float(row["beyond"]),
        thickness_power=float(row["thickness_power"]),
    )


def fatigue_class(detail: Detail) -> str:
    """The class of a place of a strut, by rule of thumb."""
    return str(table("fatigue_curves").extra["details"][detail])


def endurance_mpa(material_name: str) -> float | None:
    """Amplitude (MPa) that the plain metal endures in air for 1e7 cycles, None where no figure could be read.
    Published, second-hand.
    """
    rows = table("endurance").rows
    return next((float(r["amplitude"]) for r in rows if r["material"] == material_name), None)
