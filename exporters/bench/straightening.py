"""What a bent palm looks like and the next stroke: as plain data, as text, and on the press card."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict, replace

from strutwright.exporters.bench import press_card
from strutwright.exporters.bench.blank import Form, form_of
from strutwright.exporters.bench.paper import Imprint, capital, first_that_fits, work_sheet
from strutwright.exporters.bench.press_card import Card, fine
from strutwright.exporters.drawing.sheet import Sheet
from strutwright.exporters.drawing.view import View
from strutwright.models import cautions
from strutwright.models.bench.palm_shape import Shape
from strutwright.models.bench.press_angle import ToBore
from strutwright.models.bench.straightening import Case
from strutwright.models.bench.straightening_case import Straightened
from strutwright.params.bench.straightening import Straightening
from strutwright.params.quantity import FileUnits
from strutwright.params.words import Words, read, say

NOTES = (
    "Hull face up. Places count from the palm's middle: forward and to port are plus.",
    "Dial: a grid of 5 by 5 where it can be, 3 by 3 at least. Feelers: a straight edge along, across and on both "
    "diagonals, the name of the line beside each gap. Depth: from parallels down to the face.",
    "Stage 0 is before the first stroke, stage 1 after it. Write each stroke's travel from touching.",
)
_TRIED = ((5.0, 7.5, 3), (4.0, 7.5, 3), (3.5, 7.0, 2), (3.0, 7.0, 2), (2.5, 6.5, 1))
"""Letters of notes and cautions, heights of rows and stages told, as the page holds them; then the same with the views
in one of the scales between, then without the one from the side."""
_SCALES = (1.0, 0.5, 0.2, 0.1, 0.05)
_BETWEEN = (0.5, 0.4, 0.3, 0.25, 0.2, 0.15, 0.125, 0.1)
"""Steps between, which ISO 5455 allows in exceptional cases: where one page does not hold the card else."""
_ROW_MM, _CELL_MM = 4.8, 13.5
"""Height of a row of the blank form, and width of a column: its readings and strokes then stand on one page."""
_SHORT = {
    "by": "Who measured",
    "date": "When, year-month-day",
    "how": "Dial / feeler / depth",
    "palm.length": "Palm, along the shaft",
    "palm.width": "Palm, across",
    "palm.thickness": "Palm, thickness",
    "palm.material": "Metal, as in the table",
    "palm.made": "Plate or casting",
    "palm.face": "Hull face plane or curved",
    "palm.tolerance": "Flatness that is wanted",
    "press.force": "Force of the press",
    "press.span_along": "Supports apart, along",
    "press.span_across": "Supports apart, across",
    "press.bed": "Supports apart at most",
    "press.bar_length": "Bar and parallels, long",
    "bore.angle": "Palm's plane to the bore",
    "bore.height_aft": "Test bar over face, aft",
    "bore.height_forward": "Test bar over face, fwd",
    "bore.apart": "These places apart",
    "bore.mock_up": "Angle on the mock-up",
}
"""What the blank form asks for once, in words that leave room for the readings beside it; the rest has a default."""


_BRIEF = {"reading": "read"}


def form(units: FileUnits) -> Form:
    """Return the blank form."""
    blank = form_of(Straightening, "Straightening a palm", units=units, rows={"heights": 25, "strokes": 6})
    single = tuple((replace(a, words=_SHORT[a.name]), known) for a, known in blank.single if a.name in _SHORT)
    tables = tuple(
        replace(
            table,
            columns=tuple(replace(c, least_mm=_CELL_MM, on_paper=_BRIEF.get(c.name)) for c in table.columns),
            right=table.name == "heights",
        )
        for table in blank.tables
    )
    return replace(blank, single=single, tables=tables, notes=NOTES, cautions=(cautions.PRESS,), row_mm=_ROW_MM)


# --- plain data -------------------------------------------------------------------------------------------------------


def document(found: Straightened) -> dict[str, object]:
    """Return where a palm stands as plain data: mm, N, MPa."""
    step, bore = found.step, found.to_bore
    return {
        "verdict": step.verdict,
        "tolerance_mm": found.case.tolerance_mm,
        "about": "plane" if found.case.drawn is None else "drawn curve",
        "stages": [_stage(shape) for shape in found.shapes],
        "next": None if step.push is None else {k: _plain(v) for k, v in asdict(step.push).items()},
        "to_bore": None if bore is None else _bore(bore),
        "reasons": [read(reason, "mm") for reason in step.reasons],
        "instead": list(step.instead),
    }


def _stage(shape: Shape) -> dict[str, object]:
    return {
        "flatness_mm": _plain(shape.zone_mm),
        "bow_along_mm": _plain(shape.bow_mm[0]),
        "bow_across_mm": _plain(shape.bow_mm[1]),
        "twist_mm": _plain(shape.twist_mm),
        "plane_deg": [_plain(math.degrees(math.atan(t))) for t in shape.tilt_mm],
        "left_mm": _plain(shape.left_mm),
    }


def _bore(bore: ToBore) -> dict[str, object]:
    told = {f"{k}_deg": _plain(v) for k, v in asdict(bore).items() if k != "wedge_mm"}
    return {**told, "wedge_mm": _plain(bore.wedge_mm), "mends": bore.mends}


def _plain(value: object) -> object:
    if value is None:
        return None
    if isinstance(value, dict):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(v) for v in value]
    if isinstance(value, (bool, str, int)):
        return value
    number = float(value)  # type: ignore[arg-type]
    return round(number, 6) if math.isfinite(number) else None


# --- text -------------------------------------------------------------------------------------------------------------


def text(found: Straightened, units: FileUnits) -> str:
    """Return where a palm stands for a person."""
    step = found.step
    flat = "FLAT" if found.case.drawn is None else "TO THE CURVE"
    head = {"flat": flat, "push": "PRESS AGAIN", "refused": "DO NOT PRESS"}[step.verdict]
    lines = [f"{head}: palm after {len(found.made)} stroke{'s' if len(found.made) != 1 else ''}"]
    for stage, shape in enumerate(found.shapes):
        lines.append(f"  stage {stage}: {read(_shape_words(shape, found.case), units)}")
    if step.verdict == "push" and step.push is not None:
        for n, (what, more, figure) in enumerate(press_card.steps(_card(found)), 1):
            told = ", ".join(part for part in (read(figure, units), more) if part)
            lines.append(f"  {n}. {what}{': ' if told else ''}{told}")
    lines += [f"  - {read(words, units)}" for words in _remarks(found)]
    lines += [f"  because {read(reason, units)}" for reason in step.reasons]
    lines += [f"  instead: {way}" for way in step.instead]
    return "\n".join(lines)


def _shape_words(shape: Shape, case: Case) -> Words:
    return say(
        "{form} within {zone}; middle high by {across} across and {along} along, twist {twist}",
        form="flat" if case.drawn is None else "to the curve",
        zone=fine(shape.zone_mm),
        across=fine(shape.bow_mm[1]),
        along=fine(shape.bow_mm[0]),
        twist=fine(shape.twist_mm),
    )


def _card(found: Straightened) -> Card:
    step, bore = found.step, found.to_bore
    return Card(
        case=found.case,
        shape=step.shape,
        push=step.push if step.verdict == "push" else None,
        made=len(found.made),
        to_bore=bore,
        wanted_deg=None if bore is None else bore.wanted,
    )


def _remarks(found: Straightened) -> Iterator[Words]:
    yield from press_card.remarks(_card(found))
    if found.step.verdict == "push":
        yield "an arm stiffens the plate: go by the readings"


# --- the card ---------------------------------------------------------------------------------------------------------


def sheet(found: Straightened, said: Straightening, *, imprint: Imprint) -> Sheet:
    """Return the press card."""
    units, step, told = said.units, found.step, _card(found)
    flat = "FLAT" if found.case.drawn is None else "TO THE CURVE"
    head = {"flat": flat, "push": "", "refused": "DO NOT PRESS"}[step.verdict]
    notes = [read(words, units) for words in press_card.remarks(told)]
    notes += [*(read(reason, units) for reason in step.reasons), *(f"instead: {way}" for way in step.instead)]

    views = press_card.views(told)
    ways = ((_SCALES, views), (_BETWEEN, views), (_BETWEEN, views[:1]))

    def card(scales: tuple[float, ...], views: list[View], text_mm: float, row_mm: float, stages: int) -> Sheet:
        doing = [] if told.push is None else [press_card.steps_table(told, units, row_mm)]
        return work_sheet(
            "Press card",
            said,
            imprint=imprint,
            unit=units,
            views=views,
            tables=[*doing, press_card.stages_table(told, found.shapes[-stages:], units, row_mm, 1)],
            notes=[capital(note) for note in notes],
            cautions=[cautions.PRESS],
            banner=head,
            document_type="Press card",
            scales=scales,
            text_sizes_mm=(press_card.TEXT_MM, 3.5),
            note_text_mm=text_mm,
            caution_text_mm=text_mm,
        )

    return first_that_fits(card(scales, shown, *tried) for scales, shown in ways for tried in _TRIED)
