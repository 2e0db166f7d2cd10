"""The blank form of a survey."""

from __future__ import annotations

from dataclasses import replace

from strutwright.exporters.bench.blank import Form, form_of
from strutwright.models import cautions
from strutwright.models.resolve import Resolved
from strutwright.params.bench.survey import Survey
from strutwright.params.quantity import FileUnits

NOTES = (
    "Give 9 to 15 hull points over the palm and a hand's breadth round it, in no straight line; 5 or more on the "
    "string, some abaft the strut. Fewer are worked out too, but nothing checks them.",
    "Along: forward positive, from one zero. Port: starboard negative. Up: over the zero.",
    "Measure the hull itself, not the paint. Read angles in degrees, against the level, not the floor.",
)


def form(found: Resolved | None, units: FileUnits) -> Form:
    """Return the blank form, with the side of a set's strut where there is one."""
    rows = {"references": 3, "hull": 15, "line": 7, "tip": 3, "places": 6}
    blank = form_of(Survey, "Survey", units=units, rows=rows)
    hand = "" if found is None else found.said.identity.hand
    single = tuple((asked, hand if asked.name == "side" else known) for asked, known in blank.single)
    return replace(blank, single=single, notes=NOTES, cautions=(cautions.UNDER_BOAT,))
