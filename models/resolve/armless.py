"""What housings and shoes have in common as specs: a barrel with bearing and screws that stands on no arm."""

from __future__ import annotations

from strutwright.models.resolve.book import Book
from strutwright.models.resolve.duty import propeller_of
from strutwright.models.spec import Barrel, Bearing, Identity, SetScrew, Strut, Weld
from strutwright.models.spec_boat import Duty, HullFit, Protection, Shaft


def armless(
    book: Book,
    identity: Identity,
    material: str,
    *,
    hull: HullFit,
    shaft: Shaft,
    barrel: Barrel | None,
    bearings: tuple[Bearing, ...] | None,
    screws: tuple[SetScrew, ...] | None,
    duty: Duty,
    protection: Protection,
) -> Strut:
    """Return barrel, bearings and screws of a file without arms, palms or skeg; how it stands on the boat is added.

    material: of the barrel. barrel, bearings, screws: None where a fault of theirs is told already.

    >>> it = shipped("deadwood-cutter")
    >>> own = {"barrel": it.barrel, "bearings": it.bearings, "screws": it.set_screws, "protection": it.protection}
    >>> armless(
    ...     book("deadwood-cutter"), it.identity, it.material, hull=it.hull, shaft=it.shaft, duty=it.duty, **own
    ... ).family
    'flanged_housing'
    """
    return Strut(
        identity=identity,
        file_units=book.said.units,
        construction=book.said.construction,
        material=material,
        hull=hull,
        shaft=shaft,
        barrel=book.need(barrel),
        bearings=book.need(bearings),
        arms=(),
        palms=(),
        set_screws=book.need(screws),
        skeg=None,
        weld=Weld(prep="none", prep_angle_deg=50.0, root_face_mm=0.0, beads=True, root_gap_mm=0.0),
        propeller=propeller_of(book),
        duty=duty,
        protection=protection,
        backing_plate=False,
        edge_rule="practice",
        anodes=book.said.materials.anodes,
        family=book.said.part,
    )
