"""Anodes: what protects the strut, and what is usual where the file does not say it."""

from __future__ import annotations

from typing import Any

from strutwright.models.resolve.book import Book
from strutwright.models.spec_boat import Protection
from strutwright.params import tables
from strutwright.params.words import say

USUAL_THICKNESS_MM = 12.0
"""Of a small anode plate; common practice, no source."""


def protection_of(book: Book) -> Protection:
    """Return the life, the water and the anodes.

    >>> made = protection_of(book("canal-tender"))
    >>> made.water, made.years, made.anode_kg, made.face_m2
    ('temperate', 1.0, 0.7, 0.0082)
    """
    said: Any = book.said.protection
    metal = tables.anode_metal(said.anode_metal)
    mass = book.take("protection.anode_mass", metal.usual_kg, "a small plate, common practice", "kg")
    face = round(mass / metal.density_kg_m3 / (USUAL_THICKNESS_MM / 1000.0), 4)
    plate = say("of a plate {12 mm} thick, common practice")
    return Protection(
        years=said.years,
        water=said.water,
        salinity=said.salinity,
        paint=said.paint,
        anode_metal=said.anode_metal,
        anode_kg=mass,
        face_m2=book.take("protection.anode_face", max(face, 0.0001), plate, "m2"),
        count=said.anode_count,
        bonded_m2=said.bonded_area,
    )
