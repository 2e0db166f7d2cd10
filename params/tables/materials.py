"""Materials, and the galvanic series."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from strutwright.params.readings import kept
from strutwright.params.tables.reader import missing, table


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A material. Strengths are minima unless ``basis`` says otherwise; ``None`` = not vouched for.

    ``potential_v_sce`` is (low, high) in flowing sea water against calomel; ``potential_v_ag_agcl`` from
    another table (do not mix the two). ``weldability`` is good, fair, poor or no; ``cast`` and ``welded``
    say whether the alloy is usual for a cast or a welded strut. ``published`` names the columns whose values
    were read in a public source; the others are from memory of ``spec``.
    """

    name: str
    aliases: tuple[str, ...]
    family: str
    spec: str
    basis: str
    ultimate_mpa: float | None
    yield_mpa: float | None
    elongation_percent: float | None
    density_kg_m3: float
    modulus_mpa: float | None
    poisson: float | None
    expansion_per_k: float | None
    contraction_percent: float | None
    cast: bool
    welded: bool
    weldability: str
    galvanic_group: str | None
    potential_v_sce: tuple[float, float] | None
    potential_v_ag_agcl: float | None
    published: frozenset[str]
    confirmed: str = ""
    """What the shop says of its reading of the strengths, where it read them."""

    def standing(self, field: str) -> str:
        """Standing of a field by its attribute name, for example ``standing("density_kg_m3")``."""
        if field.startswith("potential"):
            return "from memory" if self.name in table("materials").extra["galvanic_by_likeness"] else "published"
        return "published" if _COLUMNS.get(field) in self.published else "from memory"


_COLUMNS = {
    "ultimate_mpa": "ultimate",
    "yield_mpa": "yield",
    "elongation_percent": "elongation",
    "density_kg_m3": "density",
    "modulus_mpa": "modulus",
    "poisson": "poisson",
    "expansion_per_k": "expansion",
    "contraction_percent": "contraction",
}


def _plain(name: str) -> str:
    return re.sub(r"[\s\-_/]+", "", name).lower()


def galvanic_range_v(group: str) -> tuple[float, float]:
    """(low, high) potential in V against SCE in flowing sea water of a galvanic group, for example "manganese
    bronze" or "316 passive". Raises :class:`NotInTable`.
    """
    t = table("galvanic")
    for row in t.rows:
        if _plain(row["group"]) == _plain(group):
            return (row["low"], row["high"])
    raise missing("Galvanic group", group, (r["group"] for r in t.rows), "the galvanic series")


def _float(value: float | None) -> float | None:
    return None if value is None else float(value)


@kept
def _materials() -> Mapping[str, Material]:
    out: dict[str, Material] = {}
    silver = {r["group"]: r["ag_agcl"] for r in table("galvanic").rows}
    for row in table("materials").rows:
        group, reading = row["galvanic"], table("materials").read.get(row["name"])
        made = Material(
            name=row["name"],
            aliases=tuple(row["also"]),
            family=row["family"],
            spec=row["spec"],
            basis=row["basis"],
            ultimate_mpa=_float(row["ultimate"]),
            yield_mpa=_float(row["yield"]),
            elongation_percent=_float(row["elongation"]),
            density_kg_m3=float(row["density"]),
            modulus_mpa=_float(row["modulus"]),
            poisson=_float(row["poisson"]),
            expansion_per_k=None if row["expansion"] is None else row["expansion"] * 1e-6,
            contraction_percent=_float(row["contraction"]),
            cast=row["cast"],
            welded=row["welded"],
            weldability=row["weldability"],
            galvanic_group=group,
            potential_v_sce=None if group is None else galvanic_range_v(group),
            potential_v_ag_agcl=None if group is None else _float(silver[group]),
            published=frozenset(row["published"]),
            confirmed=reading.words if reading and reading.read("ultimate") and reading.read("yield") else "",
        )
        for key in (made.name, *made.aliases):
            out[_plain(key)] = made
    return MappingProxyType(out)


def material(name: str) -> Material:
    """The material of that name or alias; case, spaces and hyphens do not matter ("C86500", "manganese
    bronze", "17-4PH H1150"). Raises :class:`NotInTable`.
    """
    found = _materials().get(_plain(name))
    if found is None:
        known = [n for r in table("materials").rows for n in (r["name"], *r["also"])]
        raise missing("Material", name, known, "the material table", "`strutwright tables materials`")
    return found


def as_welded(name: str) -> Material:
    """The material of that name with the strengths it has beside a weld: less for aluminium that has its strength
    from a temper, the same for all others. From memory of EN 1999-1-1 Table 3.2. Raises :class:`NotInTable`.
    """
    made = material(name)
    softened = table("materials").extra["as_welded"].get(made.name)
    if softened is None:
        return made
    return replace(
        made,
        ultimate_mpa=float(softened[0]),
        yield_mpa=float(softened[1]),
        published=made.published - {"ultimate", "yield"},
    )


def bolt_material(name: str, diameter_mm: float) -> Material:
    """The material of that name with the strengths of a bolt of a thread diameter in mm: less where its standard gives
    them up to a size only (ISO 3506-1 classes 70 and 80 over M24, ASTM F468 C65100 over M20). From memory. Raises
    :class:`NotInTable`.
    """
    made = material(name)
    large = table("materials").extra["over_size"].get(made.name)
    if large is None or diameter_mm <= large[0] + 1e-9:
        return made
    return replace(
        made, ultimate_mpa=float(large[1]), yield_mpa=float(large[2]), published=made.published - {"ultimate", "yield"}
    )
