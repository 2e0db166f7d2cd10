"""The propeller shaft and what carries it forward of the strut, as said."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from strutwright.models.resolve.book import Book
from strutwright.models.spec_boat import Coupling, Shaft


def shaft_of(book: Book, material: str) -> Shaft:
    """Return the shaft; what stands on it in the wrong order is told.

    >>> shaft_of(book("canal-tender"), "S32205").bearing_span_mm  # as said
    660.0
    """
    said: Any = book.said.shaft
    more = tuple((float(b.distance), float(b.offset)) for b in said.more_bearings)
    if more and said.bearing_span is None:
        book.missing("shaft.bearing_span", "a shaft with more bearings forward of that one")
    at = [*([] if said.bearing_span is None else [said.bearing_span]), *(distance for distance, _ in more)]
    for n, (aft, forward) in enumerate(pairwise(at)):
        if forward <= aft:
            what, advice = "stands no farther forward than the bearing abaft it", "give the bearings from aft forward"
            book.fault(f"shaft.more_bearings[{n}].distance", what, advice, given=forward, over=aft)
    coupling = said.coupling
    if coupling is None and said.engine_rise is not None:
        book.missing("shaft.coupling", "an engine that rises")
    if coupling is not None:
        if said.bearing_span is None:
            book.missing("shaft.bearing_span", "a coupling")
        elif coupling.distance <= at[-1]:
            what, advice = "is no farther forward than the shaft's bearings", "count it from the strut bearing forward"
            book.fault("shaft.coupling.distance", what, advice, given=coupling.distance, over=at[-1])
    return Shaft(
        diameter_mm=said.diameter,
        material=material,
        bearing_span_mm=said.bearing_span,
        bearing_offset_mm=said.bearing_offset,
        more_bearings=more,
        coupling=None if coupling is None else Coupling(coupling.distance, coupling.diameter, coupling.mass),
        engine_rise_mm=said.engine_rise,
    )
