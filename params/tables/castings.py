"""Castings: tolerances, machining allowances, draft and the usual grades."""

from __future__ import annotations

from dataclasses import dataclass

from strutwright.params.tables.materials import material
from strutwright.params.tables.reader import NotInTable, missing, outside, span_of, table


def casting_tolerance_mm(grade: str, dimension_mm: float) -> float:
    """Total casting tolerance in mm of ISO 8062 grade CT8 to CT16 for a raw dimension over 16 to 1000 mm.
    Published (typed copy). Raises :class:`NotInTable`.
    """
    return float(span_of("iso8062_tolerances", dimension_mm, "Dimension")[_casting_column(grade)])


def casting_tolerances(grade: str) -> tuple[tuple[float, float], ...]:
    """The whole column of a grade: (up to and including, total tolerance) in mm, from the least size up. Raises
    :class:`NotInTable`.
    """
    key = _casting_column(grade)
    return tuple((float(r["to"]), float(r[key])) for r in table("iso8062_tolerances").rows)


def _casting_column(grade: str) -> str:
    columns = table("iso8062_tolerances").columns[2:]
    key = grade.strip().upper().replace("DCTG", "CT").replace(" ", "")
    if key not in columns:
        raise missing("Casting grade", grade, columns, "ISO 8062-3")
    return key


def machining_allowance_mm(grade: str, largest_mm: float) -> float:
    """Machining allowance per side in mm, grade E to H of ISO 8062-4, chosen by the largest overall
    dimension of the casting (up to 1000 mm), J and K over 100 to 630 mm. Published (typed copy). Raises
    :class:`NotInTable`.
    """
    columns = table("iso8062_machining").columns[2:]
    key = grade.strip().upper().removeprefix("RMAG").removeprefix("RMA").strip()
    if key not in columns:
        raise missing("Machining allowance grade", grade, columns, "ISO 8062-3")
    allowance = span_of("iso8062_machining", largest_mm, "Largest dimension")[key]
    if allowance is None:
        raise outside("Largest dimension", largest_mm, 100.0, 630.0, f"ISO 8062-4 grade {key} as kept here")
    return float(allowance)


@dataclass(frozen=True, slots=True)
class CastingGrades:
    """Grades of a single casting moulded by hand: the finest and coarsest tolerance, and machining allowances."""

    finest: str
    coarsest: str
    allowance: str
    allowance_most: str


def casting_grades(material_name: str) -> CastingGrades:
    """The usual grades of a single or short-series sand casting of a metal; ISO 8062-4, published (typed copy).

    A metal that the table of materials does not hold is taken for a copper alloy.
    """
    try:
        family = material(material_name).family
    except NotInTable:
        family = "bronze"
    metal = {"aluminium": "aluminium", "steel": "steel", "stainless": "steel", "duplex": "steel"}.get(family, "copper")
    row = next(r for r in table("casting_grades").rows if r["metal"] == metal)
    return CastingGrades(row["finest"], row["coarsest"], row["allowance"], row["allowance_most"])


def casting_draft_deg(height_mm: float) -> float:
    """Draft in degrees for an outside face of a height along the pull, moulded by hand; ISO 8062-4, published
    (typed copy). Heights over the table's last row take it. Raises :class:`NotInTable` for 0 or less.
    """
    last = float(table("iso8062_draft").rows[-1]["to"])
    return float(span_of("iso8062_draft", min(height_mm, last), "Height")["draft"])
