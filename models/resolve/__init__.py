"""From what is said to what is built: fill in what rules and tables give, and keep a record of every value.

`resolve` returns the frozen Strut together with records that say of each value whether it was given, derived (by which
rule) or taken from a table. Faults that only show when values meet (two palms on a single arm) are told as problems at
their place in the file.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from strutwright.models.resolve.arms import arms_of
from strutwright.models.resolve.barrel import barrel_of
from strutwright.models.resolve.bearing import bearing_of
from strutwright.models.resolve.book import Book, Origin, ValueRecord
from strutwright.models.resolve.duty import casting_of, duty_of
from strutwright.models.resolve.flange import housing_of
from strutwright.models.resolve.hanger import hanger_of
from strutwright.models.resolve.hull import hull_of, stand_in
from strutwright.models.resolve.let_in import let_in_of
from strutwright.models.resolve.metals import metals_of
from strutwright.models.resolve.on_arms import on_arms
from strutwright.models.resolve.palm import palms_of
from strutwright.models.resolve.screws import screw_thread_of, set_screws_of
from strutwright.models.resolve.shaft import shaft_of
from strutwright.models.resolve.shoe import shoe_of
from strutwright.models.resolve.skeg import skeg_of
from strutwright.models.spec import HAND_MARKS, Hand, Identity, Strut, mirrored
from strutwright.params import limits as limit_table
from strutwright.params.families import PartSet
from strutwright.params.limits import Limits
from strutwright.params.loader import Loaded
from strutwright.params.schema import ParameterSet

__all__ = ["Origin", "Resolved", "ValueRecord", "resolve"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Resolved:
    """A strut ready to build, the file's own groups, and the record of its values.

    strut is of the hand the file is written for (port for a pair).
    """

    strut: Strut
    said: PartSet
    records: tuple[ValueRecord, ...]

    @property
    def of_strut(self) -> ParameterSet:
        """What the file says of a strut. Raises TypeError where it is the file of another part."""
        if not isinstance(self.said, ParameterSet):
            raise TypeError(f"{self.strut.identity.name} is no strut")
        return self.said

    def hands(self) -> tuple[Hand, ...]:
        """Return the hands this file asks for."""
        return ("port", "starboard") if self.strut.identity.pair else (self.strut.identity.hand,)

    def of_hand(self, hand: Hand) -> Strut:
        """Return the strut of a hand: as written, or its mirror image."""
        return self.strut if hand == self.strut.identity.hand else mirrored(self.strut)

    @property
    def filled_in(self) -> frozenset[str]:
        """The paths of values that the file leaves to a rule or a table."""
        return frozenset(r.path for r in self.records if r.origin != "given")


def resolve(loaded: Loaded, limits: Limits | None = None, *, recorded: bool = True) -> Resolved:
    """Return the resolved strut of a loaded parameter file. Raises ParameterError with every fault found.

    limits: those that sizes left out keep, as shipped when left out. recorded: whether the record of its values is
    wanted.

    >>> resolve(book("canal-tender").loaded).strut.barrel.outside_mm  # a bore of 32 and two walls of 8
    48.0
    """
    book = Book(loaded, limit_table.standard() if limits is None else limits, recorded=recorded)
    strut = _MAKERS[loaded.said.part](book, _identity(book))
    records = tuple(book.records[path] for path in sorted(book.records)) if recorded else ()
    return Resolved(strut=strut, said=loaded.said, records=records)


def _strut(book: Book, identity: Identity) -> Strut:
    metals = metals_of(book)
    cast, thread = casting_of(book, metals.strut.name), screw_thread_of(book)
    raw = [bearing_of(book, i, metals.strut) for i in range(len(book.said.bearing))]
    # What can be told of the rest is told too: a person mends a file once.
    made = book.stage(lambda: barrel_of(book, raw, thread, cast))
    barrel, bearings = made or (None, None)
    hull, planes = book.stage(lambda: hull_of(book, barrel, identity.hand, metals.hull)) or stand_in(book)
    arms = book.stage(lambda: arms_of(book, barrel, hull, identity.hand))
    palms = book.stage(lambda: palms_of(book, arms, barrel, planes, metals.bolts))
    screws = book.stage(lambda: set_screws_of(book, barrel, bearings, thread))
    skeg = book.stage(lambda: skeg_of(book, barrel, hull))
    duty, shaft = duty_of(book), shaft_of(book, metals.shaft)
    book.closed()
    return on_arms(
        book,
        identity,
        metals.strut.name,
        hull=hull,
        shaft=shaft,
        barrel=barrel,
        bearings=bearings,
        arms=arms,
        palms=palms,
        screws=screws,
        skeg=skeg,
        duty=duty,
        cast=cast,
    )


_MAKERS: Mapping[str, Callable[[Book, Identity], Strut]] = {
    "strut": _strut,
    "flanged_housing": housing_of,
    "let_in_housing": let_in_of,
    "rudder_shoe": shoe_of,
    "shaft_hanger": hanger_of,
}
"""What makes the part of a file, by its kind."""


def _identity(book: Book) -> Identity:
    said = book.said.identity
    changes: Any = book.said.drawing.revisions
    if changes and changes[-1].revision != said.revision:
        book.fault(
            "identity.revision",
            "is not the last of drawing.revisions",
            "bring the two together; the oldest line stands first",
            given=said.revision,
            allowed=changes[-1].revision,
        )
    largest, series = book.said.drawing.largest_sheet, book.said.drawing.sheets
    if largest is not None and series is not None and largest.startswith("ANSI") != (series == "ansi"):
        book.fault(
            "drawing.largest_sheet",
            "is not a size of drawing.sheets",
            "leave drawing.sheets out, or take a size of its series",
            given=largest,
            allowed="A4, A3, A2 or A1" if series == "iso" else "ANSI A, ANSI B, ANSI C or ANSI D",
        )
    hand: Hand = "port" if said.hand == "pair" else said.hand
    return Identity(
        name=said.name,
        drawing_number=_without_hand(said.drawing_number, hand),
        revision=said.revision,
        hand=hand,
        pair=said.hand == "pair",
    )


def _without_hand(number: str, hand: Hand) -> str:
    """A drawing number without the mark of its hand, which the mirror image must not take over."""
    letter = HAND_MARKS[hand][1:]
    marked = bool(letter) and len(number) > 2 and number[-1].upper() == letter and number[-2] in "-_. "
    return number[:-2] if marked else number
