"""What struts and hangers have in common as specs: a barrel on arms, each on a palm that is bolted down."""

from __future__ import annotations

from strutwright.models.resolve.book import Book
from strutwright.models.resolve.duty import propeller_of, weld_of
from strutwright.models.resolve.protection import protection_of
from strutwright.models.spec import Arm, Barrel, Bearing, Casting, Identity, Palm, SetScrew, Skeg, Strut
from strutwright.models.spec_boat import Duty, HullFit, Shaft


def on_arms(
    book: Book,
    identity: Identity,
    material: str,
    *,
    hull: HullFit,
    shaft: Shaft,
    barrel: Barrel | None,
    bearings: tuple[Bearing, ...] | None,
    arms: tuple[Arm, ...] | None,
    palms: tuple[Palm, ...] | None,
    screws: tuple[SetScrew, ...] | None,
    skeg: Skeg | None,
    duty: Duty,
    cast: Casting | None,
) -> Strut:
    """Return barrel, arms, palms, bearings and screws of a file. Those: None where a fault of theirs is told.

    >>> it = shipped("canal-tender")
    >>> own = {"barrel": it.barrel, "bearings": it.bearings, "arms": it.arms, "palms": it.palms}
    >>> own |= {"screws": it.set_screws, "hull": it.hull, "shaft": it.shaft, "duty": it.duty}
    >>> on_arms(book("canal-tender"), it.identity, it.material, skeg=None, cast=None, **own).family
    'strut'
    """
    said = book.said
    return Strut(
        identity=identity,
        file_units=said.units,
        construction=said.construction,
        material=material,
        hull=hull,
        shaft=shaft,
        barrel=book.need(barrel),
        bearings=book.need(bearings),
        arms=book.need(arms),
        palms=book.need(palms),
        set_screws=book.need(screws),
        skeg=skeg,
        weld=weld_of(book),
        propeller=propeller_of(book),
        duty=duty,
        protection=protection_of(book),
        backing_plate=said.bolts.backing_plate,
        edge_rule=said.bolts.edge_rule,
        anodes=said.materials.anodes,
        casting=cast,
        family=said.part,
    )
