"""The blank form of a survey."""

from __future__ import annotations

from dataclasses import replace

from strutwright.exporters.bench.blank import Asked, Form, FormTable, form_of
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


_POINT = ("name", "along", "port", "up", "reference", "side")
_COLUMNS = {
    "references": ("name", "way", "up", "slope", "offsets", "counts", "scatter"),
    "hull": _POINT,
    "line": _POINT,
    "tip": _POINT,
    "places": ("what", "along", "port", "up", "point", "distance", "side"),
}
"""Columns of the form's tables; `strutwright meaning` and the README tell of the others."""


def _kept(table: FormTable) -> tuple[Asked, ...]:
    return tuple(c for c in table.columns if c.name in _COLUMNS[table.name])


def form(found: Resolved | None, units: FileUnits) -> Form:
    """Return the blank form, with the side of a set's strut where there is one."""
    rows = {"references": 3, "hull": 15, "line": 7, "tip": 3, "places": 6}
    blank = form_of(Survey, "Survey", units=units, rows=rows)
    hand = "" if found is None else found.said.identity.hand
    tables = tuple(
        replace(t, columns=kept, rows=(("",) * len(kept),) * len(t.rows)) for t in blank.tables for kept in [_kept(t)]
    )
    single = tuple((asked, hand if asked.name == "side" else known) for asked, known in blank.single)
    return replace(blank, single=single, tables=tables, notes=NOTES, cautions=(cautions.UNDER_BOAT,))
