"""Limits and fits, and general tolerances."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strutwright.params.quantity import INCH_MM
from strutwright.params.tables.reader import NotInTable, missing, outside, span_of, table


@dataclass(frozen=True, slots=True)
class Limits:
    """Deviations of a hole or shaft from its nominal size, micrometres."""

    symbol: str
    lower_um: float
    upper_um: float

    @property
    def lower_mm(self) -> float:
        """Lower deviation in mm."""
        return self.lower_um / 1000.0

    @property
    def upper_mm(self) -> float:
        """Upper deviation in mm."""
        return self.upper_um / 1000.0


_SHAFTS = ("e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s")
_HOLES = ("E", "F", "G", "H", "JS")
_GRADES = ("5", "6", "7", "8", "9", "10", "11")


def iso286(symbol: str, diameter_mm: float) -> Limits:
    """Limits of ISO 286-1 for a tolerance class such as "H7" or "p6" at a nominal diameter over 0 to 315 mm.

    Holes E F G H JS, shafts e f g h js k m n p r s, grades 5 to 11. k has its deviation for
    IT4 to IT7 and none above. Steps are "over, up to and including". Raises :class:`NotInTable`.
    """
    found = re.fullmatch(r"\s*([A-Za-z]+)\s*(\d+)\s*", symbol)
    letter, grade = (found[1], found[2]) if found else ("", "")
    if letter not in _SHAFTS + _HOLES or grade not in _GRADES:
        raise NotInTable(
            f"Tolerance class {symbol!r} is not in ISO 286-1 as kept here. Valid: holes "
            f"{' '.join(_HOLES)}, shafts {' '.join(_SHAFTS)}, grades 5 to 11 "
            "(for example H7, p6)."
        )
    steps = span_of("iso286_tolerances", diameter_mm, "Diameter", "ISO 286-1 as kept here")
    width = float(steps[f"IT{grade}"])
    if letter.lower() == "js":
        return Limits(f"{letter}{grade}", -width / 2, width / 2)
    deviation = float(span_of("iso286_deviations", diameter_mm, "Diameter")[letter.lower()])
    if letter == "k" and int(grade) > 7:
        deviation = 0.0
    if letter.isupper():
        return Limits(f"{letter}{grade}", -deviation + 0.0, width - deviation)
    if letter in "efgh":
        return Limits(f"{letter}{grade}", deviation - width, deviation)
    return Limits(f"{letter}{grade}", deviation, deviation + width)


def iso286_of_many(symbol: str, diameters_mm: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Lower and upper limits of ISO 286-1, mm above nominal, for a tolerance class at many nominal diameters, mm; nan
    for a diameter outside of the tables. As `iso286`, which has the classes and raises for any other.
    """
    names = ("iso286_tolerances", "iso286_deviations")
    ends = np.array(sorted({float(row["to"]) for name in names for row in table(name).rows}))
    inside = (diameters_mm > table(names[0]).rows[0]["over"]) & (diameters_mm <= ends[-1])
    step = np.where(inside, np.searchsorted(ends, np.where(inside, diameters_mm, ends[-1])), 0)
    lower, upper = np.full(len(ends), np.nan), np.full(len(ends), np.nan)
    for k in np.unique(step[inside]):
        found = iso286(symbol, float(ends[k]))
        lower[k], upper[k] = found.lower_mm, found.upper_mm
    return np.where(inside, lower[step], np.nan), np.where(inside, upper[step], np.nan)


@dataclass(frozen=True, slots=True)
class InchFit:
    """An inch fit at a basic size: limits of size of hole and shaft in mm; least and most interference on
    diameter in mm (negative = clearance).
    """

    name: str
    standard: str
    basic_mm: float
    hole_min_mm: float
    hole_max_mm: float
    shaft_min_mm: float
    shaft_max_mm: float

    @property
    def interference_min_mm(self) -> float:
        """Smallest shaft less largest hole."""
        return self.shaft_min_mm - self.hole_max_mm

    @property
    def interference_max_mm(self) -> float:
        """Largest shaft less smallest hole."""
        return self.shaft_max_mm - self.hole_min_mm


def inch_fit(name: str, diameter_mm: float) -> InchFit:
    """ASME B4.1 fit LC2, LC5, LN2, LN3, FN1 or FN2 at a basic size in mm, 0.40 to 9.85 in (10.16 to 250.19
    mm). Partly from memory: see the table's note. Raises :class:`NotInTable`.
    """
    t = table("inch_fits")
    rows = [r for r in t.rows if r["fit"] == name.strip().upper()]
    if not rows:
        raise missing("Fit", name, (r["fit"] for r in t.rows), t.standard)
    size_in = diameter_mm / INCH_MM
    for row in rows:
        if row["over"] < size_in <= row["to"]:
            mil = INCH_MM / 1000.0
            return InchFit(
                row["fit"],
                t.standard,
                diameter_mm,
                diameter_mm,
                diameter_mm + row["hole_upper"] * mil,
                diameter_mm + row["shaft_lower"] * mil,
                diameter_mm + row["shaft_upper"] * mil,
            )
    raise outside(
        "Diameter",
        diameter_mm,
        rows[0]["over"] * INCH_MM,
        rows[-1]["to"] * INCH_MM,
        f"{t.standard} {name} as kept here",
    )


def general_tolerances() -> tuple[tuple[float, float], ...]:
    """ISO 2768-1 class m (published): (up to and including, tolerance plus or minus) in mm, from the least size up."""
    return tuple((float(r["to"]), float(r["m"])) for r in table("iso2768_lengths").rows)
