"""The usual cautions, in one place, for reports, sheets and the README. Common practice, no source, unless named."""
from __future__ import annotations

STRUCTURE = (
    "A strut and its seating on the hull keep the water out. On classed, coded or commercial vessels "
    "class, flag or surveyor approve before anything is cut; elsewhere have a naval architect or surveyor "
    "look at it. Losing the strut can mean losing the shaft, the steering or the boat.")
PRESS = (
    "Press work: guard between face and work, load centred and square, nobody in line with the force; "
    "balls, parallels and packers can fly out. Parallels and packers of ground mild steel, one piece each: never "
    "hardened, never stacked. Release the pressure before touching.")
LIFTING = (
    "Lifting: the weight is on the drawing. Lift by marked points, never by the bore's edge; never lift a "
    "boat by its strut or shaft.")
WELDING = (
    "Welding stainless gives off hexavalent chromium (limit 5 micrograms per cubic metre over 8 hours in "
    "the United States, 29 CFR 1910.1026; elsewhere often lower): extract at the arc, not by a dust mask. "
    "Zinc fume from brass, argon in pits and hollow legs, ultraviolet light and ozone want their own "
    "care.")
GRINDING = "Grinding: right wheel, guard on, eyes and ears covered; keep aluminium and steel dust apart; fire watch."
DRILLING = (
    "Drilling and tapping: clamp the strut, never hold it; no gloves at the spindle; bronze chips are "
    "needles; break every edge.")
PICKLING = "Pickling paste holds hydrofluoric acid: trained people, gloves, calcium gluconate gel at hand."
UNDER_BOAT = (
    "Under the boat: stands checked, no hot work on fuel lines, battery off, propeller locked before "
    "hands go near.")
FREEZING = (
    "Chilling a bearing: not below -28 degrees C, no dry ice or liquid gas in a closed room; cold burns. "
    "Burning rubber is poisonous.")

GENERAL = (STRUCTURE, LIFTING, DRILLING, UNDER_BOAT)


def for_construction(construction: str) -> tuple[str, ...]:
    """Return the cautions for making a strut: `cast` or `welded`."""
    if construction == "welded":
        return (STRUCTURE, WELDING, GRINDING, PICKLING, PRESS, LIFTING, DRILLING, UNDER_BOAT)
    return (STRUCTURE, PRESS, GRINDING, LIFTING, DRILLING, UNDER_BOAT)
