"""What the parts are made of: names of the table of materials, and what is usual where the file gives none."""

from __future__ import annotations

from dataclasses import dataclass

from strutwright.models.resolve.book import Book
from strutwright.params import tables
from strutwright.params.tables import Material

STAND_IN = "316L"  # a material in the place of one that is not in the table, to go on looking for faults


@dataclass(frozen=True, slots=True, kw_only=True)
class Metals:
    """The strut's material, and the names of the others in the table."""

    strut: Material
    hull: str
    shaft: str
    bolts: str


def metals_of(book: Book) -> Metals:
    """Return what the parts are made of; a stand-in for what is not in the table, which is told.

    >>> metals = metals_of(book("canal-tender"))
    >>> metals.strut.name, metals.shaft, metals.bolts  # the bolts by rule
    ('316L', 'S32205', 'A4-70')
    """
    strut = _said(book, book.own_metal)
    shaft = "S32205" if strut.family == "duplex" else "316L"
    bolts = "F468 C65100" if strut.family in ("bronze", "brass") else "A4-70"
    return Metals(
        strut=strut,
        hull=_said(book, book.base_metal).name,
        shaft=_named(book, "shaft", shaft, "usual shaft steel; common practice"),
        bolts=_named(book, "bolts", bolts, "matched to the strut's metal; common practice"),
    )


def _said(book: Book, path: str) -> Material:
    found = book.table(path, "materials", tables.material, book.said_at(path))
    return found or tables.material(STAND_IN)


def _named(book: Book, part: str, usual: str, rule: str) -> str:
    """The name of a part's material, recorded as the table has it."""
    path = f"materials.{part}"
    if book.said_at(path) is None:
        return book.derived(path, usual, rule, "")
    return book.given(path, _said(book, path).name, "")
