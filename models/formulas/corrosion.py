"""Galvanic couples and alloy notes. Potentials come from the tables; what is here only compares and explains.

Low precision by nature: potentials shift with flow, oxygen, pollution and surface. Compare values of one reference
electrode and one published series only.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from strutwright.models.arrays import Num

Level = Literal["compatible", "doubtful", "protect"]


@dataclass(frozen=True, slots=True)
class Potential:
    """Range of corrosion potential of an alloy in flowing sea water, V, ``low`` the more negative."""

    low_v: float
    high_v: float

    @property
    def middle_v(self) -> float:
        """Middle of the range, V."""
        return (self.low_v + self.high_v) / 2.0


@dataclass(frozen=True, slots=True)
class Couple:
    """Two alloys touching in sea water; the anode is the one that wastes.

    difference_mv: between the middles of the two ranges. worst_mv: between their far ends.
    """

    difference_mv: float
    worst_mv: float
    anode_is_first: bool

    def level(self, protect_mv: float) -> Level:
        """ "protect" when the middles are more than that apart; "doubtful" when only the far ends are; else
        "compatible"."""
        # Table values have two decimals of a volt: a difference of exactly the limit must not trip on rounding.
        limit = protect_mv + 1e-6
        return "protect" if self.difference_mv > limit else "doubtful" if self.worst_mv > limit else "compatible"


def couple(first: Potential, second: Potential) -> Couple:
    """Compare two alloys of the same series. Two equal potentials count the second as anode.

    >>> apart = couple(Potential(-0.34, -0.26), Potential(-0.10, 0.00))  # manganese bronze, 316 passive
    >>> round(apart.difference_mv), apart.level(200.0), apart.anode_is_first
    (250, 'protect', True)
    """
    middle = 1000.0 * abs(first.middle_v - second.middle_v)
    worst = 1000.0 * max(first.high_v - second.low_v, second.high_v - first.low_v)
    return Couple(middle, worst, first.middle_v < second.middle_v)


def attack_factor(anode_area_mm2: Num, cathode_area_mm2: Num) -> Num:
    """Hint: how many times faster the anode corrodes by the ratio of areas alone, 1 + cathode / anode.

    Catchment-area rule (corrosion texts, from memory): the whole cathode's oxygen current lands on the anode. Above
    about 10 a small anode (screws, bolts) in a large cathode is a poor idea whatever the potentials. Low confidence.

    >>> attack_factor(50.0, 450.0)
    10.0
    """
    return 1.0 + cathode_area_mm2 / anode_area_mm2


def alloy_notes(family: str, group: str = "", *, welded: bool = False, low_carbon: bool = True) -> tuple[str, ...]:
    """Short notes on how an alloy corrodes in a strut. Known behaviour of the alloy families, any
    corrosion text.

    ``family`` as in the material table ("stainless", "duplex", "bronze", "brass", "steel", "aluminium", ...), ``group``
    its galvanic group ("manganese bronze", "316 passive", ...), ``low_carbon`` whether a stainless grade is an L or
    stabilised one. Unknown families get no notes.

    >>> alloy_notes("brass") == (NOTES["dezincification"],)
    True
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
    )
    return tuple(NOTES[name] for name, applies in picked if applies)


NOTES = {
    "crevice": "Stainless steel starves of oxygen in wet bedding, under a gasket and round a bearing shell, "
    "and corrodes in such a crevice. Seal heads and shanks, keep water moving, inspect.",
    "weld decay": "Not a low-carbon grade, so that it suffers weld decay beside the welds. Use an L or stabilised "
    "grade.",
    "duplex": "Duplex resists crevices better than 316, not without limit; heat input and filler must suit the "
    "grade, and over-protection by aluminium-hull anodes can embrittle it (hydrogen).",
    "dezincification": "A high-zinc alloy, a brass whatever its name, loses its zinc in sea water unless bonded "
    "to an anode. Pink patches and a dull ring are the sign.",
    "dealuminification": "Aluminium bronze without nickel may lose its aluminium in stagnant sea water.",
    "aluminium": "Aluminium wastes against almost every other metal; isolate it from bronze and stainless, and "
    "use no copper paint.",
    "steel": "Carbon steel needs coating and anodes; bare patches beside bronze or stainless waste quickly.",
}
"""Corrosion behaviour of the alloy families: general knowledge, any corrosion text."""
