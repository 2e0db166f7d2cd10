"""What can be done with a worn or bent strut: as plain data, as text, on one page, and the blank form."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from strutwright.exporters.bench.blank import Form, form_of
from strutwright.exporters.bench.paper import Imprint, capital, first_that_fits, work_sheet
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.models import cautions
from strutwright.models.bench.repair import Option, Repaired, shift_words, worse_words
from strutwright.models.resolve import Resolved
from strutwright.params.bench.repair import Repair
from strutwright.params.quantity import FileUnits
from strutwright.params.words import Words, fine_mm, mm, read, say

NOTES = (
    "Clearance with a feeler or by lifting the shaft, top and bottom together. Bore without bearing, at three places.",
    "Look for cracks at roots and welds with dye. Take one bolt of each palm out and measure its least diameter.",
)
LOSS = "Nothing cracked, bent out of line or with a wasted bolt is run until it is answered."
_ROWS_OF = {"bore": 3, "bends": 2, "cracks": 2, "bolts": 3}
_CODES = 3


def document(found: Repaired) -> dict[str, object]:
    """Return what can be done as plain data, sizes in mm."""
    wear = found.wear
    return {
        "wear": {
            "verdict": wear.verdict if wear.measured_mm is not None else "not measured",
            "clearance_mm": wear.measured_mm,
            "limit_mm": _number(wear.limit_mm),
            "new_mm": _number(wear.new_mm),
            "flute_mm": wear.flute_mm,
            "flute_least_mm": _number(wear.flute_least_mm),
            "others": {name: _number(value) for name, value in wear.others},
        },
        "shift_mm": _number(found.shift_mm),
        "shift_clock_deg": _number(found.shift_clock_deg),
        "options": [_plain(option) for option in found.options],
    }


def _plain(option: Option) -> dict[str, object]:
    return {
        "of": option.of,
        "name": option.name,
        "verdict": option.verdict,
        "what": read(option.words, "mm"),
        "worse": [{"code": f.code, "verdict": f.verdict.value, "what": read(f.what, "mm")} for f in option.worse],
    }


def _number(value: float) -> float | None:
    return round(value, 6) if math.isfinite(value) else None


def text(found: Repaired, units: FileUnits) -> str:
    """Return what can be done, for a person."""
    lines = [f"wear: {read(words, units)}" for words in wear_words(found)]
    lines += [read(words, units) for words in shift_words(found)]
    for option in found.options:
        lines.append(f"{option.verdict:<8}  {option.of}: {read(option.words, units)}")
        lines += [f"            {read(words, units)}" for words in worse_words(option)]
    return "\n".join(lines)


def wear_words(found: Repaired) -> Iterator[Words]:
    """Where the bearing stands, and the limits that it was chosen from."""
    wear = found.wear
    limit = fine_mm(round(wear.limit_mm, 3))
    if wear.measured_mm is None:
        yield say("clearance not measured; renew the bearing at {limit}", limit=limit)
    else:
        template = "clearance {now}, renew at {limit} (new {new}): {verdict}"
        verdict = {"go": "good", "doubtful": "near the end", "no go": "worn out"}[wear.verdict]
        now, new = fine_mm(wear.measured_mm), fine_mm(round(wear.new_mm, 3))
        yield say(template, now=now, limit=limit, new=new, verdict=verdict)
    if wear.flute_mm is not None:
        left, least = mm(wear.flute_mm), mm(round(wear.flute_least_mm, 2))
        yield say("flutes {left} deep, renew the bearing below {least}, half of new", left=left, least=least)
    for name, value in wear.others:
        yield say("beside it: {value}, {name}", value=fine_mm(round(value, 3)), name=name)


def sheet(found: Repaired, said: Repair, *, imprint: Imprint) -> Sheet:
    """Return the sheet."""
    units = said.units
    notes = [capital(read(words, units)) for words in (*wear_words(found), *shift_words(found))]

    def made(worse: bool) -> Sheet:
        return work_sheet(
            "Wear and repair",
            said,
            imprint=imprint,
            unit=units,
            tables=[_ways(found, units)],
            notes=[*notes, *(capital(w) for w in (_why(found) if worse else ()))],
            cautions=[LOSS, cautions.STRUCTURE],
            document_type="Repair sheet",
            text_sizes_mm=(2.5,),
        )

    return first_that_fits(made(worse) for worse in (True, False))


def _ways(found: Repaired, units: FileUnits) -> Table:
    rows: list[tuple[str, ...]] = []
    for number, option in enumerate(found.options, 1):
        lines = _wrapped(read(option.words, units))
        rows.append((str(number), option.of, lines[0], option.verdict))
        rows += [("", "", line, "") for line in lines[1:]]
    return Table(
        name="ways",
        title="WHAT CAN BE DONE, BY THE CHECKS",
        columns=("", "of", "what", ""),
        rows=tuple(rows),
        left=frozenset({1, 2}),
        corner="top left",
    )


def _wrapped(words: str, most: int = 62) -> list[str]:
    lines = [""]
    for word in words.split():
        if len(lines[-1]) + len(word) + 1 > most:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _why(found: Repaired) -> Iterator[str]:
    """By the numbers of the table, which checks then stand worse."""
    for number, option in enumerate(found.options, 1):
        if option.worse:
            yield f"way {number} is worse in {', '.join(f.code for f in option.worse[:_CODES])}"


def form(found: Resolved | None, units: FileUnits) -> Form:
    """Return the blank form."""
    blank = form_of(Repair, "Wear and repair", units=units, rows=_ROWS_OF)
    return replace(blank, notes=NOTES, row_mm=5.5)
