"""Blank forms as PDF whose empty cells are filled in on a screen, and what was filled in read back.

The fields are those of an interactive form (ISO 32000-1, 12.7); each is named TABLE:ROW:COLUMN:UNIT, rows counted from
0, with the unit that bare lengths have on the form.
"""

from __future__ import annotations

import ctypes
from collections.abc import Sequence
from contextlib import closing
from dataclasses import replace
from typing import Any

from strutwright.exporters.bench.blank import Form
from strutwright.exporters.bench.paper import numbered
from strutwright.exporters.drawing import blocks, render
from strutwright.exporters.drawing.render import Blank
from strutwright.exporters.drawing.sheet import Drawn, Sheet, Table
from strutwright.params.quantity import FileUnits


def fillable_pdf(form: Form, sheets: Sequence[Sheet]) -> bytes:
    """Return the form's sheets as one PDF in which every blank cell can be filled in. Raises SheetFitError."""
    single = [a.name for a, _ in form.single]
    columns = {t.name: [a.name for a in t.columns if a.printed] for t in form.tables}
    begun: dict[str, int] = {}
    pages = []
    for sheet, drawn in zip(sheets, numbered(sheets), strict=True):
        blanks: list[Blank] = []
        for table in sheet.tables:
            own = table.name.split(" ")[0]
            if own not in columns and own != "single":
                continue  # what is given
            first = begun.get(own, 0)
            begun[own] = first + len(table.rows)
            blanks += _blanks(drawn, table, own, first, columns.get(own) or single)
        blanks = [Blank(f"{b.name}:{form.units}", b.box) for b in blanks]
        pages.append((drawn, blanks))
    return render.pdf_form(pages, form.title)


def _blanks(drawn: Drawn, table: Table, own: str, first: int, names: Sequence[str]) -> list[Blank]:
    """The blank cells of a table where they are drawn; of what is asked once only the last column."""
    place = next(item for item in drawn.items if item.name == f"table {table.name}").box()
    made = []
    for r, row in enumerate(table.rows):
        for c, cell in enumerate(row):
            if cell or (own == "single" and c != len(row) - 1):
                continue
            name = f"single:0:{names[first + r]}" if own == "single" else f"{own}:{first + r}:{names[c]}"
            made.append(Blank(name, blocks.cell_box(table, r, c).moved(place.x0, place.y0)))
    return made


def filled_in(pdf: bytes) -> tuple[FileUnits, dict[str, str]] | None:
    """Return the unit of a form and what stands in its fields, by their names without the unit, empty ones left out;
    None where it is none of ours. Raises ValueError where it cannot be read."""
    import pypdfium2
    import pypdfium2.raw as raw

    try:
        document = pypdfium2.PdfDocument(pdf)
    except pypdfium2.PdfiumError as error:
        raise ValueError(str(error)) from None
    found: dict[str, str] = {}
    with closing(document):
        document.init_forms()
        if document.formenv is None:
            return None
        for page in document:
            for k in range(raw.FPDFPage_GetAnnotCount(page)):
                annotation = raw.FPDFPage_GetAnnot(page, k)
                name = _told(raw.FPDFAnnot_GetFormFieldName, document.formenv, annotation)
                value = _told(raw.FPDFAnnot_GetFormFieldValue, document.formenv, annotation)
                raw.FPDFPage_CloseAnnot(annotation)
                found[name] = " ".join(value.split())
            page.close()
    units = {name.rpartition(":")[2] for name in found}
    known: tuple[FileUnits, ...] = ("mm", "in")
    own = next((u for u in known if units == {u}), None)
    return None if own is None else (own, {n.rpartition(":")[0]: v for n, v in found.items() if v})


def _told(ask: Any, env: Any, annotation: Any) -> str:
    length = ask(env, annotation, None, 0)
    buffer = (ctypes.c_ushort * (length // 2 + 1))()
    ask(env, annotation, buffer, length)
    return bytes(buffer)[:length].decode("utf-16-le").rstrip("\0")


def csv_of(form: Form, values: dict[str, str]) -> str:
    """Return the form's CSV with what was filled in."""
    single = tuple((asked, values.get(f"single:0:{asked.name}", known)) for asked, known in form.single)
    tables = tuple(t.filled(_of(values, t.name)) for t in form.tables)
    return replace(form, single=single, tables=tables).csv


def _of(values: dict[str, str], table: str) -> dict[tuple[int, str], str]:
    made = {}
    for name, value in values.items():
        parts = name.split(":")
        if len(parts) == 3 and parts[0] == table and parts[1].isdigit():
            made[int(parts[1]), parts[2]] = value
    return made
