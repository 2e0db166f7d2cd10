"""Blank forms as PDF whose empty cells are filled in on a screen, and what was filled in read back.

The fields are those of an interactive form (ISO 32000-1, 12.7); each is named TABLE:ROW:COLUMN:UNIT, rows counted from
0, with the unit that bare lengths have on the form. A field that is not shown holds what the form is and what stands in
its other cells: a form is read as it was made, whatever it would be today.
"""

from __future__ import annotations

import ctypes
import json
import re
from collections.abc import Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from typing import Any

from strutwright.exporters.bench.blank import SINGLE, Form
from strutwright.exporters.bench.paper import numbered
from strutwright.exporters.drawing import blocks, render
from strutwright.exporters.drawing.render import Blank
from strutwright.exporters.drawing.sheet import Drawn, Sheet, Table
from strutwright.params.problems import shown
from strutwright.params.quantity import FileUnits


def fillable_pdf(form: Form, sheets: Sequence[Sheet]) -> bytes:
    """Return the form's sheets as one PDF in which every blank cell can be filled in. Raises SheetFitError."""
    single = [a.name for a, _ in form.single if a.printed]
    columns = {t.name: [a.name for a in t.on_paper.columns if a.printed] for t in form.tables}
    if form.across:
        columns[SINGLE] = single
    begun: dict[str, int] = {}
    pages = []
    for sheet, drawn in zip(sheets, numbered(sheets), strict=True):
        blanks: list[Blank] = []
        for table in sheet.tables:
            own = table.name.split(" ")[0]
            if own not in columns and own != SINGLE:
                continue  # what is given
            first = begun.get(own, 0)
            begun[own] = first + len(table.rows)
            rows = {t.name: t.on_paper.filled_at for t in form.tables}.get(own, {})
            blanks += _blanks(drawn, table, first, columns.get(own), single, rows)
        blanks = [Blank(f"{b.name}:{form.units}", b.box) for b in blanks]
        pages.append((drawn, blanks))
    return render.pdf_form(pages, form.title, (f"{_MADE_AS}:{form.units}", json.dumps(_given(form))))


_ROW = re.compile("[0-9]{1,3}")
"""A row's number in a field's name: no form has a thousand."""
_MADE_AS = "form:0:made_as"
_TITLE = "title"


def _given(form: Form) -> dict[str, str]:
    """The form's title, and what stands in it already, by the names of its cells."""
    given = {_TITLE: form.title, **{f"single:0:{asked.name}": known for asked, known in form.single}}
    for table in form.tables:
        for r, row in enumerate(table.rows):
            given |= {f"{table.name}:{r}:{c.name}": cell for c, cell in zip(table.columns, row, strict=True)}
    return {name: known for name, known in given.items() if known}


def _blanks(
    drawn: Drawn,
    table: Table,
    first: int,
    columns: Sequence[str] | None,
    single: Sequence[str],
    rows: Mapping[tuple[int, int], int],
) -> list[Blank]:
    """The blank cells of a table where they are drawn, named by its columns. Without them it is that of what is asked
    once, one below the other: its last column, by what is asked. rows: those of the cells of a line that has more."""
    place = next(item for item in drawn.items if item.name == f"table {table.name}").box()
    own, made = table.name.split(" ")[0], []
    for r, row in enumerate(table.rows):
        for c, cell in enumerate(row):
            if cell or (columns is None and c != len(row) - 1):
                continue
            name = (
                f"{own}:0:{single[first + r]}"
                if columns is None
                else f"{own}:{rows.get((first + r, c), first + r)}:{columns[c]}"
            )
            made.append(Blank(name, blocks.cell_box(table, r, c).moved(place.x0, place.y0)))
    return made


@dataclass(frozen=True, slots=True)
class Filled:
    """A form that was filled in. values: what stands in its cells, given or filled in, by their names without the unit;
    empty ones left out."""

    title: str
    units: FileUnits
    values: dict[str, str]


def filled_in(pdf: bytes) -> Filled | None:
    """Return what stands in a form; None where it is none of ours. Raises ValueError where it cannot be read."""
    import pypdfium2

    try:
        with closing(pypdfium2.PdfDocument(pdf)) as document:
            document.init_forms()
            found = {} if document.formenv is None else _fields(document)
    except pypdfium2.PdfiumError as error:
        raise ValueError(str(error)) from None
    units = {name.rpartition(":")[2] for name in found}
    known: tuple[FileUnits, ...] = ("mm", "in")
    own = next((u for u in known if units == {u}), None)
    made_as = found.pop(f"{_MADE_AS}:{own}", None)
    if own is None or made_as is None:
        return None
    given = _made_as(made_as)
    filled = {n.rpartition(":")[0]: " ".join(v.split()) for n, v in found.items()}
    return Filled(given.pop(_TITLE), own, {**given, **{n: v for n, v in filled.items() if v}})


def _fields(document: Any) -> dict[str, str]:
    """The fields of an open form, name -> what stands in it."""
    import pypdfium2.raw as raw

    found = {}
    for page in document:
        for k in range(raw.FPDFPage_GetAnnotCount(page)):
            annotation = raw.FPDFPage_GetAnnot(page, k)
            name = _told(raw.FPDFAnnot_GetFormFieldName, document.formenv, annotation)
            found[name] = _told(raw.FPDFAnnot_GetFormFieldValue, document.formenv, annotation)
            raw.FPDFPage_CloseAnnot(annotation)
        page.close()
    return found


def _made_as(text: str) -> dict[str, str]:
    """What a form says it was made as. Raises ValueError where that field is no longer as it was written."""
    try:
        given = json.loads(text)
    except (ValueError, RecursionError):
        given = None
    if not isinstance(given, dict) or _TITLE not in given or not all(isinstance(v, str) for v in given.values()):
        raise ValueError("what it was made as does not stand in it any more; fill in a new form")
    return given


def _told(ask: Any, env: Any, annotation: Any) -> str:
    length = ask(env, annotation, None, 0)
    buffer = (ctypes.c_ushort * (length // 2 + 1))()
    ask(env, annotation, buffer, length)
    return bytes(buffer)[:length].decode("utf-16-le", "replace").rstrip("\0")


def csv_of(form: Form, filled: Filled) -> str:
    """Return what stands in a form as CSV. form: names its cells; what stands in it today does not count. Raises
    ValueError where something was filled in that has no place there."""
    values = dict(filled.values)
    single = tuple((asked, values.pop(f"single:0:{asked.name}", "")) for asked, _ in form.single)
    tables = []
    for table in form.tables:
        names = [c.name for c in table.columns]
        cells = {
            (int(r), c): n
            for n in values
            if n.count(":") == 2
            for t, r, c in [n.split(":")]
            if t == table.name and c in names and _ROW.fullmatch(r)
        }
        rows = range(1 + max((r for r, _ in cells), default=-1))
        said = tuple(tuple(values.pop(cells[r, c]) if (r, c) in cells else "" for c in names) for r in rows)
        tables.append(replace(table, rows=said))
    if values:
        told = ", ".join(f"{shown(name)} = {shown(value)}" for name, value in list(values.items())[:3])
        raise ValueError(f"holds what this version does not know: {told}; fill in a new form")
    return replace(form, units=filled.units, single=single, tables=tuple(tables)).csv
