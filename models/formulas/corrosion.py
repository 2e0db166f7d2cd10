"""Galvanic couples and alloy notes. Potentials come from the tables; what is here only compares and
explains.

Low precision by nature: potentials shift with flow, oxygen, pollution and surface. Compare values of one
reference electrode and one published series only.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

PROTECT_MV = 200.0
"""More than this apart: protect or isolate (yacht-design journal table, published)."""

Level = Literal["compatible", "doubtful", "protect"]


@dataclass(frozen=True, slots=True)
class Potential:
    """Range of corrosion potential of an alloy in flowing sea water [V], ``low`` the more negative."""

    low_v: float
    high_v: float

    @property
    def middle_v(self) -> float:
        """Middle of the range [V]."""
        return (self.low_v + self.high_v) / 2.0


@dataclass(frozen=True, slots=True)
class Couple:
    """Two alloys touching in sea water; the anode is the one that wastes."""

    difference_mv: float
    """Between the middles of the two ranges."""
    worst_mv: float
    """Between the far ends of the two ranges."""
    anode_is_first: bool
    level: Level


def couple(first: Potential, second: Potential) -> Couple:
    """Compare two alloys of the same series. Plain numbers.

    "protect" when the middles are more than 200 mV apart (published limit); "doubtful" when only the far
    ends are; else "compatible". Two equal potentials count the second as anode.
    """
    middle = 1000.0 * abs(first.middle_v - second.middle_v)
    worst = 1000.0 * max(first.high_v - second.low_v, second.high_v - first.low_v)
    level: Level = "protect" if _exceeds(middle) else "doubtful" if _exceeds(worst) else "compatible"
    return Couple(middle, worst, first.middle_v < second.middle_v, level)


def _exceeds(difference_mv: float) -> bool:
    # Table values have two decimals of a volt: a difference of exactly 200 mV must not trip on rounding.
    return difference_mv > PROTECT_MV + 1e-6


def attack_factor(anode_area_mm2: float, cathode_area_mm2: float) -> float:
    """Hint: how many times a couple hastens the anode's wasting by area alone, 1 + cathode / anode.
    Broadcasts.

    Catchment-area rule (corrosion texts, from memory): the whole cathode's oxygen current lands on the
    anode. Above about 10 a small anode (screws, bolts) in a large cathode is a poor idea whatever the
    potentials. Low confidence.
    """
    return 1.0 + cathode_area_mm2 / anode_area_mm2


def alloy_notes(
    family: str, group: str = "", *, welded: bool = False, low_carbon: bool = True, graphite_near: bool = False
) -> tuple[str, ...]:
    """Short notes on how an alloy corrodes in a strut. Known behaviour of the alloy families, any
    corrosion text.

    ``family`` as in the material table ("stainless", "duplex", "bronze", "brass", "steel", "aluminium",
    ...), ``group`` its galvanic group ("manganese bronze", "316 passive", ...), ``low_carbon`` whether a
    stainless grade is an L or stabilised one, ``graphite_near`` whether graphited packing or grease is
    fitted. Unknown families get no notes.
    """
    stainless = family.startswith(("stainless", "duplex"))
    high_zinc = family == "brass" or group == "manganese bronze"
    copper_aluminium = family == "bronze" and group.startswith("aluminium bronze")
    picked = (
        ("crevice", stainless),
        ("weld decay", family.startswith("stainless") and welded and not low_carbon),
        ("duplex", family.startswith("duplex")),
        ("dezincification", high_zinc),
        ("dealuminification", copper_aluminium),
        ("aluminium", family == "aluminium"),
        ("steel", family == "steel"),
        ("graphite", graphite_near and (stainless or high_zinc or family in ("bronze", "steel", "aluminium"))),
    )
    return tuple(NOTES[name] for name, applies in picked if applies)


NOTES = {
    "crevice": "Stainless steel starves of oxygen in wet bedding, under a gasket and round a bearing shell: "
    "crevice corrosion. Seal heads and shanks, keep water moving, inspect.",
    "weld decay": "Not a low-carbon grade: weld decay beside the welds. Use an L or stabilised grade.",
    "duplex": "Duplex resists crevices better than 316, not without limit; heat input and filler must suit the "
    "grade, and over-protection by aluminium-hull anodes can embrittle it (hydrogen).",
    "dezincification": "High-zinc alloy, a brass whatever its name: loses its zinc in sea water unless bonded "
    "to an anode. Pink patches and a dull ring are the sign.",
    "dealuminification": "Aluminium bronze without nickel may lose its aluminium in stagnant sea water.",
    "aluminium": "Aluminium wastes against almost every other metal: isolate it from bronze and stainless, and "
    "use no copper paint.",
    "steel": "Carbon steel needs coating and anodes; bare patches beside bronze or stainless waste quickly.",
    "graphite": "Graphite is nobler than every alloy here: no graphited packing or grease near this one.",
}
"""Corrosion behaviour of the alloy families: general knowledge, any corrosion text."""


Water = Literal["sea", "brackish", "fresh"]
ANODE_METAL: dict[Water, str] = {"sea": "zinc or aluminium", "brackish": "aluminium", "fresh": "magnesium"}
"""Usual anode metal by water (common practice). On an aluminium hull not magnesium in salt water."""
ANODE_CAPACITY_AH_KG = {"zinc": 780.0, "aluminium": 2000.0, "magnesium": 1100.0}
"""Usable electrochemical capacity [A h/kg]; zinc and aluminium as in DNV-RP-B401, all from memory,
confirm.
"""
ANODE_UTILISATION = 0.80
"""Part of an anode consumed before it falls off or ceases to work (DNV-RP-B401 order, from memory)."""


@dataclass(frozen=True, slots=True)
class AnodeHint:
    """A rough anode: metal suggestion and mass for one season. Hint, low confidence."""

    metal: str
    mass_kg: float


def anode_hint(
    wetted_area_mm2: float, water: Water, months: float = 12.0, current_density_ma_m2: float = 100.0
) -> AnodeHint:
    """Hint: anode for the bare wetted metal of strut, shaft and propeller. Low confidence.

    Mass = current x hours / (capacity x utilisation), the form of DNV-RP-B401. The mean current density is
    the weak number: about 100 mA/m2 for bare metal in moving temperate sea water (order of that document,
    from memory), less when moored and fouled, more when fast. Broadcasts over the numbers.
    """
    metal = ANODE_METAL[water]
    sized_as = "zinc" if water == "sea" else metal
    amperes = wetted_area_mm2 * 1e-6 * current_density_ma_m2 * 1e-3
    hours = months * 365.25 / 12.0 * 24.0
    mass = amperes * hours / (ANODE_CAPACITY_AH_KG[sized_as] * ANODE_UTILISATION)
    return AnodeHint(metal, mass)
