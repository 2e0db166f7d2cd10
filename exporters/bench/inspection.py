"""The inspection record: its blank form, and what was found with room to sign."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from strutwright.exporters.bench.blank import Asked, Form, FormTable
from strutwright.exporters.bench.close_form import FOUND_CLOSE_MM, PAD_MM, Found, closely, found_closely
from strutwright.exporters.bench.paper import Imprint, Paper, broken, capital, one_page, paged, to_sign, work_sheet
from strutwright.exporters.drawing.figures import fixed
from strutwright.exporters.drawing.sheet import Sheet, SheetFitError, Table
from strutwright.models import cautions
from strutwright.models.bench.inspection import Judged, Row, Verdict
from strutwright.models.bench.record_back import Consequence
from strutwright.models.finding import Finding
from strutwright.params.bench.inspection import Inspection
from strutwright.params.quantity import INCH_MM, FileUnits
from strutwright.params.words import read

_TITLE = "Inspection record"
_WORDS_MM, _WORDS_CLOSE_MM, _TOOL_MM = 49.0, 70.0, 27.0
"""Most that the columns of words take on an upright page."""
_BLANK_WORDS_MM: dict[Paper, float] = {"A4": 42.6, "letter": 45.5}
_BLANK_LIMITS_MM, _WRITTEN_MM = 18.5, 6.0
"""The same on the form, whose rows stand in two columns; and the least height of a row that is written in."""
_CLOSE_MM: dict[Paper, float] = {"A4": 83.0, "letter": 86.0}
"""The width of one of two columns where the rows have to be set close."""
_CLOSE = (
    (4.4, 3.6, 5.6, (cautions.STRUCTURE,)),
    (3.8, 3.3, 5.0, (cautions.STRUCTURE,)),
    (3.6, 3.25, 4.4, (cautions.STRUCTURE,)),
    (3.6, 3.25, 4.4, (cautions.RECORD,)),
)
"""How close, tried in order: rows, lines within one, those that are written in (mm), and what is warned of."""
_WHAT = "what (tool, then kept)"
_NAMED = 8
"""So many checks that stand worse are named on paper; the answer as text and as JSON has all."""
_RULE = "A reading that is nearer to a limit than its ± (about 95 %) is doubtful: measure again."
_ORDER = (Verdict.OUT, Verdict.DOUBTFUL, Verdict.OPEN, Verdict.IN, Verdict.NOTED)


def record_form(rows: Sequence[Row], units: FileUnits, parameters_sha256: str) -> Form:
    """Return the form of a record: every characteristic with its limits, and room for what is measured."""
    unit = "inches" if units == "in" else "mm"
    lines = tuple(
        (str(k), r.code, r.what, r.nominal, r.lower, r.upper, "", r.instrument, "", "") for k, r in enumerate(rows, 1)
    )
    columns = (
        Asked(name="number", unit="", words="Its number on the drawings"),
        Asked(name="code", unit="", words="Its name in files; leave it as it is"),
        Asked(name="characteristic", unit="", words="What is measured"),
        Asked(name="nominal", unit="", words="Nominal size"),
        Asked(name="lower", unit="", words="Lower limit"),
        Asked(name="upper", unit="", words="Upper limit"),
        Asked(
            name="measured", unit="", words=f"What was measured, in {unit} or degrees; words as demanded, or yes / no"
        ),
        Asked(name="instrument", unit="", words="What it is measured with"),
        Asked(name="by", unit="", words="Who measured it"),
        Asked(name="date", unit="", words="When, year-month-day"),
    )
    instruments = (
        Asked(name="name", unit="", words="Its name, as in the record", least_mm=32.0),
        Asked(name="uncertainty", unit=units, words="Expanded uncertainty (about 95 %) of one reading", on_paper="±"),
        Asked(name="uncertainty_angle", unit="deg", words="The same of an angle", on_paper="±"),
    )
    blank = (("", "", ""),) * 4
    return Form(
        title=_TITLE,
        units=units,
        single=(
            (Asked(name="part", unit="", words="Number or mark of the part"), ""),
            (Asked(name="by", unit="", words="Who measured"), ""),
            (Asked(name="date", unit="", words="When, year-month-day"), ""),
            (Asked(name="parameters", unit="", words="Parameters"), parameters_sha256[:12]),
        ),
        tables=(
            FormTable("lines", f"Characteristics, {unit}", columns, lines),
            FormTable("instruments", "The shop's instruments, if known", instruments, blank),
        ),
        cautions=(cautions.STRUCTURE,),
        row_mm=3.6,
        written_mm=_WRITTEN_MM,
        across=True,
    )


def to_write_on(form: Form, imprint: Imprint) -> Form:
    """Return the form as it is printed: its rows in two columns of a page. What is worked out is not asked for, nor the
    shop's instruments where they would take a page of their own."""
    wide, high = _BLANK_WORDS_MM[imprint.paper], form.tables[0]
    columns = (
        Asked(name="number", unit="", words="", on_paper="", least_mm=6.5),
        Asked(name="characteristic", unit="", words="", least_mm=wide, most_mm=wide, left=True, on_paper=_WHAT),
        Asked(name="limits", unit="", words="", least_mm=14.0, most_mm=_BLANK_LIMITS_MM),
        Asked(name="measured", unit="", words="", least_mm=15.5, on_paper="found"),
    )
    asked = [
        Row(what, nominal, lower, upper, instrument, code, "length")
        for _, code, what, nominal, lower, upper, _, instrument, *_ in high.rows
    ]
    lines, tool = [], ""
    for number, row in enumerate(asked, 1):
        what, instrument = row.what, row.instrument
        told = "" if row.derived or instrument == tool else f" ({instrument})"
        tool = instrument
        lines.append((str(number), f"{imprint.own(what)}{told}", _limits(row), "worked\nout" if row.derived else ""))
    printed = replace(high, printed=FormTable(high.name, high.words, columns, tuple(lines)))
    made = [replace(form, tables=(printed, *form.tables[1:])), replace(form, tables=(printed,))]
    own = [row._replace(what=imprint.own(row.what)) for row in asked]
    close = replace(high, printed=closely(high, own, _CLOSE_MM[imprint.paper]))
    for row_mm, line_mm, written_mm, warned in _CLOSE:
        tight = replace(form, tables=(close,), row_mm=row_mm, line_mm=line_mm, written_mm=written_mm, pad_mm=PAD_MM)
        made.append(replace(tight, cautions=warned))
    return next((one for one in made if one.on_one_page(imprint)), made[1])


def _limits(row: Row) -> str:
    """What is asked for, in lines of a narrow cell; the nominal size where that is all."""
    if row.lower and row.upper:
        return f"{row.lower}\n{row.upper}"
    return f"{row.upper} max" if row.upper else f"{row.lower} min" if row.lower else row.nominal


def figures(found: Judged, units: FileUnits) -> tuple[str, str]:
    """Return what was found, and its uncertainty, in the figures of the record."""
    if found.value is None:
        return found.said, ""
    inch = units == "in" and found.row.asks == "length"
    by, places = (INCH_MM, 4) if inch else (1.0, 3 if found.row.asks == "length" else 2)
    sure = fixed(found.value.uncertainty / by, places)
    return fixed(found.value.value / by, places), sure if float(sure) else ""


def record_sheets(
    rows: Sequence[Judged],
    followed: Sequence[Consequence],
    said: Inspection,
    *,
    imprint: Imprint,
    units: FileUnits,
    sha256: str,
    notes: Sequence[str] = (),
) -> list[Sheet]:
    """Return the record as found: worst first, what follows, room to sign, and the SHA-256 of the readings.

    notes: what is to be told of the form.
    """
    own = [replace(r, row=r.row._replace(what=imprint.own(r.row.what))) for r in rows]
    listed = sorted(own, key=lambda r: (_ORDER.index(r.verdict), r.number))
    after = [_follows(followed, units)] if followed else []

    def sheet(tables: Sequence[Table], warned: str = cautions.STRUCTURE) -> Sheet:
        signed = to_sign(f"part {said.part}" if said.part else "part", "measured by", said)
        return work_sheet(
            _TITLE,
            said,
            imprint=imprint,
            unit=units,
            tables=[signed, *after, *tables],
            notes=(_RULE, f"SHA-256 of the readings: {sha256}", *map(capital, notes)),
            cautions=(warned,),
            document_type=_TITLE,
            text_sizes_mm=(2.5,),
        )

    head = verdict_line(rows)
    whole = sheet([_found(listed, head, units)])
    if (page := one_page(whole)) is not None:
        return [page]
    # What is out or doubtful stands in full; the others close, where one page then holds them.
    well = [r for r in listed if r.verdict in (Verdict.IN, Verdict.NOTED)]
    close = found_closely("well", [_close(r, units) for r in well], _CLOSE_MM[imprint.paper])
    others = _found([r for r in listed if r not in well], head, units, _WORDS_CLOSE_MM)
    tight = whole
    for row_mm, line_mm in FOUND_CLOSE_MM:
        tight = sheet([others, replace(close, row_mm=row_mm, line_mm=line_mm)], cautions.RECORD)
        if (page := one_page(tight)) is not None:
            return [page]
    pages = paged(whole)
    try:
        return min(paged(tight), pages, key=len)
    except SheetFitError:  # a row of many words leaves the close columns no room
        return pages


def _close(found: Judged, units: FileUnits) -> Found:
    """A row that is well; its instrument stands on the form and in the record's files."""
    value, sure = figures(found, units)
    written = sure.rstrip("0").rstrip(".") + ("°" if found.row.asks == "angle" else "") if sure else ""
    return Found(number=found.number, row=found.row, found=value or "-", sure=written)


def _found(listed: Sequence[Judged], head: str, units: FileUnits, words_mm: float = _WORDS_MM) -> Table:
    """What was found, as listed. words_mm: the most that its column of words takes."""
    body = tuple(
        (
            str(r.number),
            broken(r.row.what, words_mm),
            r.row.lower,
            r.row.upper,
            *figures(r, units),
            str(r.verdict),
            broken(r.row.instrument, _TOOL_MM),
        )
        for r in listed
    )
    return Table(
        name="found",
        title=head.upper(),
        columns=("no.", "characteristic", "lower", "upper", "found", "±", "stands", "instrument"),
        rows=body,
        left=frozenset({1}),
        row_mm=4.6,
        least_mm=(7.0, 40.0, 12.0, 12.0, 15.0, 10.0, 16.0),
        corner="top left",
    )


def verdict_line(rows: Sequence[Judged]) -> str:
    """Return how many characteristics stand how, worst first."""
    counts = [(v, sum(r.verdict is v for r in rows)) for v in _ORDER]
    return ", ".join(f"{n} {v}" for v, n in counts if n)


def _checked(one: Consequence, units: FileUnits, most: int | None = None) -> str:
    """What the checks say of the part as it was measured. most: how many that stand worse are named."""
    by, places = (INCH_MM, 3) if units == "in" else (1.0, 2)
    if not one.followed:
        return "no check takes this size"
    told = [
        f"{read(after.name, units)} {f'was {before.verdict.sign}, ' if before else ''}is {after.verdict.sign}"
        f"{' and past its limit' if after.is_broken_hint else ''}"
        for before, after in sorted(one.worse, key=lambda change: not change[1].fails)[:most]
    ]
    told += [f"and {left} more"] if (left := len(one.worse) - len(told)) else []
    told += [] if told else ["no check stands worse"]
    told += [f"{what} {fixed(was / by, places)}, is {fixed(now / by, places)}" for what, was, now in one.sizes]
    return "; ".join([*told, *(f"{read(a.name, units)} {_share(b)} of limit, is {_share(a)}" for b, a in one.nearer)])


def _share(finding: Finding) -> str:
    return f"{100 * finding.utilisation:.0f} %"


def consequence_lines(followed: Sequence[Consequence], units: FileUnits) -> list[str]:
    """Return in words what follows of each row that is out, and what can be done."""
    return [
        f"No. {one.of.number}, {one.of.row.what}, as measured: {_checked(one, units)}. Ways out: {'; '.join(one.ways)}."
        for one in followed
    ]


def _listed(ways: Sequence[str]) -> str:
    return "\n".join(broken(f"{k}. {way}", 90.0) for k, way in enumerate(ways, 1))


def _follows(followed: Sequence[Consequence], units: FileUnits) -> Table:
    return Table(
        name="follows",
        title="OUT: CHECKS RUN AGAIN WITH WHAT WAS MEASURED, AND WAYS OUT",
        columns=("no.", "as measured", "ways out, the least first"),
        rows=tuple(
            (str(one.of.number), broken(_checked(one, units, _NAMED), 62.0), _listed(one.ways)) for one in followed
        ),
        left=frozenset({1, 2}),
        least_mm=(7.0, 40.0, 60.0),
        corner="top left",
    )


def document(rows: Sequence[Judged], followed: Sequence[Consequence]) -> dict[str, object]:
    """Return the record as found as plain data; lengths in mm, angles in degrees, masses in kg."""
    return {
        "stands": {str(v): sum(r.verdict is v for r in rows) for v in _ORDER},
        "rows": [
            {
                "number": r.number,
                "code": r.row.code,
                "characteristic": r.row.what,
                "lower": r.row.lower,
                "upper": r.row.upper,
                "derived": r.row.derived,
                "stands": str(r.verdict),
                **({} if r.value is None else {"value": r.value.value, "uncertainty": r.value.uncertainty}),
                **({"said": r.said} if r.said else {}),
                **({"note": r.note} if r.note else {}),
            }
            for r in rows
        ],
        "out": [
            {
                "code": one.of.row.code,
                "checked_again": one.followed,
                "worse": [
                    {
                        "code": a.code,
                        "before": str(b.verdict) if b else None,
                        "after": str(a.verdict),
                        "finding": a.as_dict(),
                    }
                    for b, a in one.worse
                ],
                "sizes_mm": [{"what": what, "drawn": was, "measured": now} for what, was, now in one.sizes],
                "nearer": [
                    {"code": a.code, "share_before": b.utilisation, "share_after": a.utilisation} for b, a in one.nearer
                ],
                "ways_out": list(one.ways),
            }
            for one in followed
        ],
    }
