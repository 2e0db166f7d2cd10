"""The press card: what a bent palm looks like and the next stroke, as plain data, as text and on one page."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict, replace

from strutwright.exporters.bench.blank import Form, form_of
from strutwright.exporters.bench.paper import Imprint, capital, work_sheet
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import Sheet, SheetFitError, Table
from strutwright.models import cautions
from strutwright.models.bench.palm_shape import Shape
from strutwright.models.bench.straightening import Push
from strutwright.models.bench.straightening_case import Straightened
from strutwright.params.bench.straightening import Straightening
from strutwright.params.quantity import FileUnits
from strutwright.params.words import Amount, Words, drawn_mm, mm, read, say

NOTES = (
    "Hull face up. Places count from the palm's middle: forward and to port are plus.",
    "Dial: a grid of 5 by 5 where it can be, 3 by 3 at least. Feelers: a straight edge along, across and on both "
    "diagonals, the name of the line beside each gap. Depth: from parallels down to the face.",
    "Stage 0 is before the first stroke, stage 1 after it. Write each stroke's travel from touching.",
)
_TEXT_MM = 5.0
"""Readable at arm's length."""
_TRIED = ((8.0, 3), (7.0, 3), (7.0, 2), (6.5, 1))
"""Heights of rows and stages told, as the page holds them."""
_OFTEN = frozenset(
    {"by", "date", "how", "press.force", "press.span_along", "press.span_across"}
    | {f"palm.{name}" for name in ("length", "width", "thickness", "material", "made", "tolerance")}
)
"""What the blank form asks for once; the rest has a default."""
_WAYS = {"along": "bow along", "across": "bow across", "twist": "twist"}


def form(units: FileUnits) -> Form:
    """Return the blank form."""
    blank = form_of(Straightening, "Straightening a palm", units=units, rows={"heights": 25, "strokes": 6})
    single = tuple(pair for pair in blank.single if pair[0].name in _OFTEN)
    return replace(blank, single=single, notes=NOTES, cautions=(cautions.PRESS,))


# --- plain data -------------------------------------------------------------------------------------------------------


def document(found: Straightened) -> dict[str, object]:
    """Return where a palm stands as plain data: mm, N, MPa."""
    step = found.step
    return {
        "verdict": step.verdict,
        "tolerance_mm": found.case.tolerance_mm,
        "stages": [_stage(shape) for shape in found.shapes],
        "next": None if step.push is None else {k: _plain(v) for k, v in asdict(step.push).items()},
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


def _plain(value: object) -> object:
    if isinstance(value, tuple):
        return [_plain(v) for v in value]
    if isinstance(value, (bool, str)):
        return value
    number = float(value)  # type: ignore[arg-type]
    return round(number, 6) if math.isfinite(number) else None


# --- text -------------------------------------------------------------------------------------------------------------


def text(found: Straightened, units: FileUnits) -> str:
    """Return where a palm stands for a person."""
    step = found.step
    head = {"flat": "FLAT", "push": "PRESS AGAIN", "refused": "DO NOT PRESS"}[step.verdict]
    lines = [f"{head}: palm after {len(found.made)} stroke{'s' if len(found.made) != 1 else ''}"]
    for stage, shape in enumerate(found.shapes):
        lines.append(f"  stage {stage}: {read(_shape_words(shape), units)}")
    if step.verdict == "push" and step.push is not None:
        for n, (what, more, figure) in enumerate(_steps(found, step.push), 1):
            told = ", ".join(part for part in (read(figure, units), more) if part)
            lines.append(f"  {n}. {what}{': ' if told else ''}{told}")
        lines += [f"  - {read(words, units)}" for words in _remarks(step.push)]
    lines += [f"  because {read(reason, units)}" for reason in step.reasons]
    lines += [f"  instead: {way}" for way in step.instead]
    return "\n".join(lines)


def _shape_words(shape: Shape) -> Words:
    return say(
        "flat within {zone}; middle high by {across} across and {along} along, twist {twist}",
        zone=_fine(shape.zone_mm),
        across=_fine(shape.bow_mm[1]),
        along=_fine(shape.bow_mm[0]),
        twist=_fine(shape.twist_mm),
    )


def _fine(value_mm: float) -> Amount:
    return drawn_mm(float(value_mm))


def _steps(found: Straightened, push: Push) -> Iterator[tuple[str, str, Words]]:
    """What to do in order, ten at most: in a few words, what more there is to say of it, and its figure."""
    yield from _set_up(found, push)
    yield "Touch lightly, dial to 0", "", ""
    yield "Press, from touching", "no further; a stop is set to it", say("{t}", t=_fine(push.travel_mm))
    yield "That is beyond flat", "", say("{beyond}", beyond=_fine(push.beyond_mm))
    yield (
        "Force on the way",
        "stop at once above it",
        say("{least} to {most}", least=_force(push.force_n[0]), most=_force(push.force_n[2])),
    )
    yield "Let go, read again", "the load fully off; the same places as before; then ask again", ""
    yield "When flat: dye-test welds", "the bore again too; height and angle of the bore over the face", ""


def _force(newton: float) -> Amount:
    return Amount(round(newton / 1e3), "kN")


def _set_up(found: Straightened, push: Push) -> Iterator[tuple[str, str, Words]]:
    case = found.case
    if push.way == "twist":
        high, low = ("port fwd, stbd aft", "stbd fwd, port aft")
        if found.step.shape.twist_mm < 0.0:
            high, low = low, high
        yield f"Balls: {low}", "hull face up; in countersinks or on pads", say("ball {ball}", ball=mm(case.ball_mm))
        yield f"Beam: {high}", "presses the two high corners alike", ""
        along, across = (mm(round(s, 1)) for s in case.spans_mm)
        yield "Corners apart", "along, across", say("{along}, {across}", along=along, across=across)
        return
    bent = 0 if push.way == "along" else 1
    yield (
        ("Hull face up, arm free", "", "")
        if push.down
        else ("Hull face down", "a block on each side of the arm's root takes the ram", "")
    )
    sides = "port and stbd" if bent else "fwd and aft"
    apart = say("{apart} apart", apart=mm(round(case.spans_mm[bent], 1)))
    yield f"Parallels {sides}", "the same distance from the middle", apart
    lying = "along" if bent else "across"
    yield f"Bar on the middle, {lying}", "over the whole palm", say("bar {bar}", bar=mm(case.bar_mm))


def _remarks(push: Push) -> Iterator[Words]:
    yield say(
        "a set of {need} is wanted; springback {least} to {most}, likeliest {likely}",
        need=_fine(push.need_mm),
        least=_fine(push.springback_mm[0]),
        most=_fine(push.springback_mm[2]),
        likely=_fine(push.springback_mm[1]),
    )
    if push.dents:
        yield say(
            "the {what} press with up to {contact} and mark the plate: lay a pad of soft steel between",
            what="balls" if push.way == "twist" else "bar will",
            contact=Amount(round(push.contact_mpa, -1), "MPa"),
        )
    if push.way == "along":
        yield say("an arm along the palm stiffens it: force and springback are of the bare plate, go by the readings")


# --- the card ---------------------------------------------------------------------------------------------------------


def sheet(found: Straightened, said: Straightening, *, imprint: Imprint) -> Sheet:
    """Return the press card."""
    units, step = said.units, found.step
    pushing = step.push if step.verdict == "push" else None
    head = {"flat": "FLAT", "push": "PRESS", "refused": "DO NOT PRESS"}[step.verdict]
    notes = [read(words, units) for words in (_remarks(pushing) if pushing is not None else ())]
    notes += [*(read(reason, units) for reason in step.reasons), *(f"instead: {way}" for way in step.instead)]

    def card(row_mm: float, stages: int) -> Sheet:
        doing = [] if pushing is None else [_doing(found, pushing, units, row_mm)]
        return work_sheet(
            "Press card",
            said,
            imprint=imprint,
            unit=units,
            tables=[*doing, _standing(found, units, row_mm, stages)],
            notes=[capital(note) for note in notes],
            cautions=[cautions.PRESS],
            banner=f"{head}: {_WAYS[pushing.way].upper()}" if pushing is not None else head,
            document_type="Press card",
        )

    for row_mm, stages in _TRIED[:-1]:
        made = card(row_mm, stages)
        try:
            lay_out(made)
        except SheetFitError:
            continue
        return made
    return card(*_TRIED[-1])


def _doing(found: Straightened, push: Push, units: FileUnits, row_mm: float) -> Table:
    rows = tuple((str(n), what, read(figure, units), "") for n, (what, _, figure) in enumerate(_steps(found, push), 1))
    return Table(
        name="steps",
        title=f"STROKE {len(found.made) + 1}",
        columns=("", "do", "figure", "read"),
        rows=rows,
        left=frozenset({1}),
        row_mm=row_mm,
        text_mm=_TEXT_MM,
        least_mm=(8.0, 0.0, 0.0, 22.0),
        corner="top left",
    )


def _standing(found: Straightened, units: FileUnits, row_mm: float, stages: int) -> Table:
    rows = []
    for stage, shape in list(enumerate(found.shapes))[-stages:]:
        values = (shape.zone_mm, shape.bow_mm[1], shape.bow_mm[0], shape.twist_mm)
        rows.append((str(stage), *(_fine(v).read(units) for v in values)))
    rows.append((str(len(found.shapes)), "", "", "", ""))
    wanted = _fine(found.case.tolerance_mm).read(units)
    return Table(
        name="stages",
        title=f"AS READ, WANTED FLAT WITHIN {wanted}",
        columns=("stage", "flat", "across", "along", "twist"),
        rows=tuple(rows),
        row_mm=row_mm,
        text_mm=_TEXT_MM,
        corner="top left",
    )
