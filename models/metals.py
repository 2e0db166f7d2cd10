"""What is known of a material, as the formulas take it: strengths, stiffness, expansion, weight, potential."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from strutwright.models.arrays import Num
from strutwright.models.finding import Standing
from strutwright.params import tables
from strutwright.params.readings import kept

NAN = math.nan

ALIKE: Mapping[str, Mapping[str, str]] = {
    "steel": {"cast": "cast steel", "welded": "S275"},
    "aluminium": {"welded": "5083-H111"},
}
"""What a strut is made of on a hull of metal, by its family and by how the strut is made: metals that touch should be
alike, common practice."""
USUAL: Mapping[str, str] = {"cast": "C95800", "welded": "316L"}
"""What it is made of elsewhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Metal:
    """What is known of a material: MPa, kg/m3, 1/K, V against SCE (middle of its range in flowing sea water).

    strength_mpa: yield, or the ultimate strength of a material that does not yield.
    """

    name: str
    family: str
    yield_mpa: Num = NAN
    ultimate_mpa: Num = NAN
    strength_mpa: Num = NAN
    modulus_mpa: Num = NAN
    poisson: Num = NAN
    expansion_per_k: Num = NAN
    density_kg_m3: Num = NAN
    potential_v: Num = NAN
    standing: Standing
    """Of its strengths: published or from memory."""
    confirmed: str = ""
    """Of its strengths: against what the shop read them, where it did."""

    @property
    def shear_mpa(self) -> Num:
        """Shear modulus of an isotropic material, MPa."""
        return self.modulus_mpa / (2.0 * (1.0 + self.poisson))


@kept
def metal(name: str, welded: bool = False, bolt_mm: float = 0.0) -> Metal:
    """Return what the table of materials holds of one; nan where it holds nothing, or does not know the name.

    welded: with the strengths it has beside a weld. bolt_mm: with those it has as a bolt of that diameter.

    >>> metal("316L").modulus_mpa
    193000.0
    """
    try:
        m = tables.as_welded(name) if welded else tables.bolt_material(name, bolt_mm)
    except tables.NotInTable:
        return Metal(name=name, family="", standing=Standing.MEMORY)

    def or_nan(value: float | None) -> float:
        return NAN if value is None else value

    low_high = m.potential_v_sce
    published = m.standing("yield_mpa" if m.yield_mpa is not None else "ultimate_mpa") == "published"
    return Metal(
        name=m.name,
        family=m.family,
        yield_mpa=or_nan(m.yield_mpa),
        ultimate_mpa=or_nan(m.ultimate_mpa),
        strength_mpa=or_nan(m.yield_mpa if m.yield_mpa is not None else m.ultimate_mpa),
        modulus_mpa=or_nan(m.modulus_mpa),
        poisson=or_nan(m.poisson),
        expansion_per_k=or_nan(m.expansion_per_k),
        density_kg_m3=m.density_kg_m3,
        potential_v=NAN if low_high is None else sum(low_high) / 2.0,
        standing=Standing.PUBLISHED if published else Standing.MEMORY,
        confirmed=m.confirmed if published else "",
    )


def mass_kg(volume_mm3: float, material: str) -> float | None:
    """Return the mass of a volume of a material; None when the table does not hold it.

    >>> round(mass_kg(1e6, "316L"), 2)  # a litre
    8.0
    """
    try:
        return volume_mm3 * (tables.material(material).density_kg_m3 * 1e-9)
    except tables.NotInTable:
        return None
