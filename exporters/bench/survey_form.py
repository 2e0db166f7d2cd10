"""The blank form of a survey: complete as CSV, on paper one page for each way of measuring."""

from __future__ import annotations

from dataclasses import dataclass, replace

from strutwright.exporters.bench.blank import Asked, Form, FormTable, form_of
from strutwright.exporters.bench.survey_sketch import sketch
from strutwright.models import cautions
from strutwright.models.resolve import Resolved
from strutwright.params.bench.survey import Survey
from strutwright.params.quantity import FileUnits

_ROW_MM = 5.2
_POINT = ("name", "along", "port", "up", "reference")
_MARK = ("what", "along", "port", "up")


@dataclass(frozen=True, slots=True)
class Way:
    """A way of measuring on paper. single: what is asked once; tables: rows and columns of each."""

    single: tuple[str, ...]
    tables: dict[str, tuple[int, tuple[str, ...]]]
    notes: tuple[str, ...]


_WHO = ("by", "date", "side")
_AFLOAT = ("attitude.trim", "attitude.heel")
_SHORT = {
    "date": "When, year-month-day",
    "side": "Port, starboard, centre, pair",
    "instrument.scatter": "Scatter of hull readings",
    "attitude.trim": "Bow up, more than afloat",
    "attitude.heel": "Port side up, likewise",
    "drop.square_to_shaft": "Drop square to the shaft",
    "frame": "Frame: bench",
    "scan.file": "File of the scan, beside this",
    "scan.up": "Axis of the scan that is up",
    "scan.rod_radius": "Radius of a rod on the shaft",
    "scan.reach": "How far round the palm",
    "drop.at": "Drop at mid, aft or forward of the barrel",
    "references": "Measured from, beside a level",
    "places": "Places along the shaft, marks",
    "hull": "Hull points H",
    "line": "Shaft line points S",
}
"""Words that leave room for the rest of a page."""
_SIGNS = (
    "Along: forward positive, from one zero. Port: starboard negative. Up: over the zero, or as its reference counts."
)
WAYS = {
    "points": Way(
        (*_WHO, "instrument.scatter", *_AFLOAT),
        {
            "references": (2, ("name", "way", "up", "slope")),
            "hull": (10, _POINT),
            "line": (5, _POINT),
            "places": (2, ("what", "along", "point", "distance")),
        },
        (
            "9 to 15 hull points H over the palm and a hand's breadth round it, not in line; 5 or more points S on the "
            "string, some abaft the strut: fewer are worked out, but nothing checks them. The CSV form has more rows.",
            _SIGNS,
        ),
    ),
    "angles": Way(
        (
            *_WHO,
            *(f"angles.{n}" for n in ("shaft", "run", "deadrise", "plan", "scatter")),
            *(f"drop.{n}" for n in ("vertical", "square_to_shaft", "square_to_hull", "at", "scatter")),
            *_AFLOAT,
        ),
        {"places": (3, ("what", "along"))},
        ("Read angles in degrees, against the level, not the floor. Give one drop, and at which place of the barrel.",),
    ),
    "scan": Way(
        (*_WHO, *(f"scan.{n}" for n in ("file", "unit", "up", "rod_radius", "reach")), *_AFLOAT, "propeller_diameter"),
        {"line": (3, ("name", "along", "port", "up")), "places": (5, _MARK)},
        (
            "The scan's file lies beside this one. Line: two points of the shaft line in the scan at least, aft one "
            "first; places: marks and mid-barrel, in the scan's axes.",
            "Clear the bottom of stands, ropes and people, or say in the file how far round the palm is taken.",
        ),
    ),
    "bench": Way(
        (*_WHO, "frame", "instrument.scatter", "barrel_length"),
        {"hull": (9, _POINT), "line": (4, _POINT), "places": (2, _MARK)},
        (
            "Write `bench` as frame. H: points on the old palm's hull face; S: on a bar through the bore. Place "
            "`upright`: a mark straight over the axis as in the boat.",
            _SIGNS,
        ),
    ),
}
"""The ways of measuring that have a page of their own; what none asks for stands in the CSV form."""


def form(found: Resolved | None, units: FileUnits) -> Form:
    """Return the blank form with all that can be said, and the side of a set's strut where there is one."""
    blank = form_of(Survey, "Survey", units=units, rows={"references": 3, "hull": 15, "line": 7, "tip": 3, "places": 6})
    hand = "" if found is None else found.said.identity.hand
    single = tuple((asked, hand if asked.name == "side" else known) for asked, known in blank.single)
    return replace(blank, single=single, cautions=(cautions.UNDER_BOAT,), row_mm=_ROW_MM)


def by(whole: Form, name: str) -> Form:
    """Return the form as it is printed for one way of measuring, one page; the CSV form stays whole."""
    way = WAYS[name]
    single = tuple(
        (replace(asked, printed=asked.name in way.single, words=_SHORT.get(asked.name, asked.words)), known)
        for asked, known in whole.single
    )
    return replace(
        whole,
        title=f"Survey: {name}",
        single=single,
        tables=tuple(_kept(t, *way.tables.get(t.name, (0, ()))) for t in whole.tables),
        notes=way.notes,
        cautions=() if name == "bench" else whole.cautions,
        views=sketch(),
    )


def _kept(table: FormTable, rows: int, columns: tuple[str, ...]) -> FormTable:
    kept = tuple(_narrow(c, printed=c.name in columns) for c in table.columns)
    words, right = _SHORT.get(table.name, table.words), table.name in ("line", "places")
    return replace(table, words=words, columns=kept, rows=table.rows[:rows], right=right)


def _narrow(asked: Asked, *, printed: bool) -> Asked:
    return replace(asked, printed=printed, least_mm=14.0)
