"""The usual cautions, in one place, for reports, sheets and the README. Common practice, no source, unless named."""

from __future__ import annotations

from strutwright.models.spec import Strut
from strutwright.params import tables

STRUCTURE = (
    "A strut and its seating on the hull keep the water out. On classed, coded or commercial vessels "
    "get the approval of class, flag or surveyor before anything is cut; elsewhere have a naval architect or surveyor "
    "look at it. Losing the strut can mean losing the shaft, the steering or the boat."
)
RECORD = "A strut keeps the water out: what is out of its limits or doubtful waits for the designer, surveyor or class."
PRESS = (
    "Press work: guard between you and the work, load centred and square, nobody in line with the force; "
    "balls, parallels and packers can fly out. Use parallels and packers of ground mild steel, each in one piece: "
    "never hardened, never stacked. Release the pressure before touching."
)
LIFTING = (
    "Lifting: the weight is on the drawing. Lift by marked points, never by the bore's edge; never lift a "
    "boat by its strut or shaft."
)
CHROMIUM = ("stainless", "duplex")
"""Families of metals whose welding fume holds hexavalent chromium and which are pickled."""
PICKLING = (
    "Pickling paste contains hydrofluoric acid: trained people only, acid-proof gloves and face shield, calcium "
    "gluconate gel at hand."
)
UNDER_BOAT = (
    "Under the boat: check the stands; no hot work near fuel lines; battery off; lock the propeller before you put "
    "your hands near it."
)
FREEZING = (
    "Chilling a bearing: not below -28 degrees C, no dry ice or liquid gas in a closed room; cold metal burns the "
    "skin. Burning rubber is poisonous."
)


def welding(family: str | None = None) -> str:
    """Return the caution for welding a family of metals; all that may apply when it is not known.

    >>> welding("bronze").split(":")[0]
    'Welding bronze gives off copper fume'
    """
    fume = "extract at the arc; a dust mask is not enough."
    said = (
        "Welding stainless gives off hexavalent chromium (limit 5 micrograms per cubic metre over 8 hours in "
        "the United States, 29 CFR 1910.1026; elsewhere often lower): "
        if family is None or family in CHROMIUM
        else "Welding bronze gives off copper fume: "
        if family == "bronze"
        else "Welding brass gives off zinc fume: "
        if family == "brass"
        else "Welding aluminium gives off ozone and fume: "
        if family == "aluminium"
        else "Welding gives off fume: "
    )
    brass = "zinc fume from brass, of " if family is None else ""
    return (
        f"{said}{fume} Beware of {brass}shielding gas in pits and hollow parts (it suffocates), of ultraviolet light "
        "and of ozone."
    )


def grinding(family: str | None = None) -> str:
    """Return the caution for grinding a family of metals.

    >>> grinding("bronze")
    'Grinding: the wheel made for the metal, guard on, eyes and ears covered; fire watch.'
    """
    dust = "keep aluminium and steel dust apart; " if family in (None, "aluminium") else ""
    return f"Grinding: the wheel made for the metal, guard on, eyes and ears covered; {dust}fire watch."


def drilling(family: str | None = None) -> str:
    """Return the caution for drilling, boring and tapping a family of metals.

    >>> "needles" in drilling("bronze"), "needles" in drilling("stainless")
    (True, False)
    """
    chips = "bronze chips are needles; " if family in (None, "bronze") else ""
    return (
        f"Drilling, boring, tapping: clamp the strut, never hold it; no gloves at the spindle; {chips}break every edge."
    )


def pickling(family: str | None = None) -> tuple[str, ...]:
    """Return the caution for pickling, where a family of metals is pickled after welding, or is not known.

    >>> len(pickling("stainless")), len(pickling("bronze"))
    (1, 0)
    """
    return (PICKLING,) if family is None or family in CHROMIUM else ()


def family_of(strut: Strut) -> str | None:
    """Return the family of a strut's metal, None where the tables do not hold it.

    >>> family_of(shipped("canal-tender"))
    'stainless'
    """
    try:
        return tables.material(strut.material).family
    except tables.NotInTable:
        return None


RESIN = "Resin: gloves, goggles and fresh air; it sensitises the skin, and where thick it may heat until it smokes."


def for_strut(strut: Strut) -> tuple[str, ...]:
    """Return the cautions for making a strut, of its own metal and fit.

    >>> PICKLING in for_strut(shipped("canal-tender"))  # 316L, welded
    True
    """
    it, family = strut.let_in, family_of(strut)
    made = for_construction(strut.construction, family, pressed=strut.barrel.fit == "press" or _pressed_in(strut))
    if it is None or it.hold == "pressed":
        return made
    return (*made, RESIN) if it.hold == "bedded" else (*made, welding(family), *pickling(family))


def _pressed_in(strut: Strut) -> bool:
    return strut.let_in is not None and strut.let_in.hold == "pressed"


def for_all_work(strut: Strut) -> tuple[str, ...]:
    """Return the cautions for making a strut and fitting its bearing.

    >>> for_all_work(shipped("canal-tender"))[-1] == FREEZING  # its bearing is pressed in
    True
    """
    return (*for_strut(strut), *((FREEZING,) if strut.barrel.fit == "press" else ()))


def for_construction(construction: str, family: str | None = None, *, pressed: bool = True) -> tuple[str, ...]:
    """Return the cautions for making a strut: `cast` or `welded`.

    family: of its metal; None says all that may apply. pressed: whether the bearing is pressed in; a welded palm is
    pressed flat whatever the fit.

    >>> PRESS in for_construction("cast", pressed=False)
    False
    """
    if construction == "welded":
        fume = (welding(family), grinding(family), *pickling(family))
        return (STRUCTURE, *fume, PRESS, LIFTING, drilling(family), UNDER_BOAT)
    press = (PRESS,) if pressed else ()
    return (STRUCTURE, *press, grinding(family), LIFTING, drilling(family), UNDER_BOAT)
