"""What can be done with a worn or bent strut: as plain data, as text, on one page, and the blank form."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from strutwright.exporters.bench.blank import Form, form_of
from strutwright.exporters.bench.paper import Imprint, broken, capital, paged, work_sheet
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.models import cautions
from strutwright.models.bench.repair import Option, Repaired, Worn, shift_words, worse_words
from strutwright.models.resolve import Resolved
from strutwright.params.bench.repair import Repair
from strutwright.params.quantity import FileUnits
from strutwright.params.words import Words, fine_mm, mm, read, say

NOTES = (
    "Clearance with a feeler or by lifting the shaft, top and bottom together. Bore without bearing, at three places.",
    "Look for cracks at roots and welds with dye. Take one bolt of each palm out and measure its least diameter.",
)
LOSS = "Nothing cracked, bent out of line or with a wasted bolt is run until it is answered."
_ROWS_OF = {"bearings": 2, "bore": 4, "bends": 2, "cracks": 2, "bolts": 3}
_NAMED = 3
_WHAT_MM = 124.0


def document(found: Repaired) -> dict[str, object]:
    """Return what can be done as plain data, sizes in mm."""
    return {
        "bearings": [_bearing(worn) for worn in found.bearings],
        "options": [_plain(option) for option in found.options],
    }


def _bearing(worn: Worn) -> dict[str, object]:
    return {
        "which": worn.called,
        "verdict": worn.verdict if worn.measured_mm is not None or worn.flute_mm is not None else "not measured",
        "clearance_mm": worn.measured_mm,
        "limit_mm": _number(worn.limit_mm),
        "new_mm": _number(worn.new_mm),
        "flute_mm": worn.flute_mm,
        "flute_least_mm": _number(worn.flute_least_mm),
        "others": {name: _number(value) for name, value in worn.others},
        "shift_mm": _number(worn.shift_mm),
        "shift_clock_deg": _number(worn.shift_clock_deg),
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
    lines = []
    for worn in found.bearings:
        lines += [read(words, units) for words in (*wear_words(worn), beside_words(worn), *shift_words(worn))]
    for option in found.options:
        lines.append(f"{option.verdict:<8}  {option.of}: {read(option.words, units)}")
        lines += [f"            {read(words, units)}" for words in worse_words(option)]
    return "\n".join(lines)


def wear_words(worn: Worn) -> Iterator[Words]:
    """Where a bearing stands."""
    limit = fine_mm(round(worn.limit_mm, 3))
    if worn.measured_mm is None:
        yield say("{which}: clearance not measured; renew it at {limit}", which=worn.called, limit=limit)
    else:
        template = "{which}: clearance {now}, renew at {limit} (new {new}): {verdict}"
        verdict = {"go": "good", "doubtful": "near the end", "no go": "worn out"}[worn.verdict]
        now, new = fine_mm(worn.measured_mm), fine_mm(round(worn.new_mm, 3))
        yield say(template, which=worn.called, now=now, limit=limit, new=new, verdict=verdict)
    if worn.flute_mm is not None:
        left, least = mm(worn.flute_mm), mm(round(worn.flute_least_mm, 2))
        yield say(
            "{which}: flutes {left} deep, renew it below {least}, half of new",
            which=worn.called,
            left=left,
            least=least,
        )


def beside_words(worn: Worn) -> Words:
    """The limits of wear that its own was chosen from."""
    told: Words = ""
    for name, value in worn.others:
        told = say("{told}{comma}{value} ({name})", told=told, comma=", " if told else "",
                   value=fine_mm(round(value, 2)), name=name)  # fmt: skip
    return say("{which}, limits of wear beside its own: {told}", which=worn.called, told=told)


def sheets(found: Repaired, said: Repair, *, imprint: Imprint) -> list[Sheet]:
    """Return the sheet; what then stands worse goes on on a second where the first does not hold it."""
    units = said.units
    told = [words for worn in found.bearings for words in (*wear_words(worn), *shift_words(worn), beside_words(worn))]
    worse = _worse(found, units)
    return paged(
        work_sheet(
            "Wear and repair",
            said,
            imprint=imprint,
            unit=units,
            tables=[_ways(found, units), *([worse] if worse.rows else [])],
            notes=[capital(read(words, units)) for words in told],
            cautions=[LOSS, cautions.STRUCTURE],
            document_type="Repair sheet",
            text_sizes_mm=(2.5,),
        )
    )


def _ways(found: Repaired, units: FileUnits) -> Table:
    rows = tuple(
        (str(number), option.of, broken(capital(read(option.words, units)), _WHAT_MM), option.verdict)
        for number, option in enumerate(found.options, 1)
    )
    return Table(
        name="ways",
        title="WHAT CAN BE DONE, BY THE CHECKS",
        columns=("", "of", "what", ""),
        rows=rows,
        left=frozenset({1, 2}),
        row_mm=4.3,
        corner="top left",
    )


def _worse(found: Repaired, units: FileUnits) -> Table:
    """Which checks then stand worse, by the numbers of the ways; ways of the same are told together."""
    ways: dict[str, list[str]] = {}
    for number, option in enumerate(found.options, 1):
        names = [*dict.fromkeys(read(f.name, units) for f in sorted(option.worse, key=lambda f: not f.fails))]
        left = len(names) - _NAMED
        told = "; ".join([*names[:_NAMED], *([f"and {left} more"] if left > 0 else [])])
        ways.setdefault(told, []).append(str(number))
    ways.pop("", None)
    return Table(
        name="worse",
        title="WHY NOT: WHAT THE CHECKS FIND WORSE THEN",
        columns=("way", "worse in"),
        rows=tuple((", ".join(numbers), broken(told, _WHAT_MM + 26.0)) for told, numbers in ways.items()),
        left=frozenset({1}),
        row_mm=4.3,
        corner="top left",
    )


def form(found: Resolved | None, units: FileUnits) -> Form:
    """Return the blank form."""
    blank = form_of(Repair, "Wear and repair", units=units, rows=_ROWS_OF)
    return replace(blank, notes=NOTES, row_mm=5.5)
