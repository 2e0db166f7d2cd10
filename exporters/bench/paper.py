"""Sheets of one page for a piece of work on the boat or at the bench, on A4 or Letter."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from strutwright.exporters.drawing import render
from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import Sheet, Table, TitleBlock
from strutwright.exporters.drawing.view import SCALES, View
from strutwright.params.measured import Reading
from strutwright.params.quantity import FileUnits

Paper = Literal["A4", "letter"]
PAPERS: dict[Paper, str] = {"A4": "A4", "letter": "ANSI A"}
"""The papers that a work's sheet may be printed on; Letter is size A of ASME Y14.1."""


def work_sheet(
    title: str,
    said: Reading | None,
    *,
    paper: Paper,
    unit: FileUnits,
    reference: str,
    identification: str = "",
    called: str = "",
    views: Sequence[View] = (),
    tables: Sequence[Table] = (),
    notes: Sequence[str] = (),
    cautions: Sequence[str] = (),
    banner: str = "",
    document_type: str = "Work sheet",
    scales: tuple[float, ...] = SCALES,
    text_sizes_mm: tuple[float, ...] = (3.5, 2.5),
    caution_text_mm: float = 2.5,
) -> Sheet:
    """Return a one-page sheet of a piece of work.

    said: the readings, who took them and when; None on a blank form. reference: program and what the sheet comes from.
    identification: number of the strut; called: its name. The other fields as `Sheet` has them.
    """
    block = TitleBlock(
        title=title,
        identification=identification,
        date=(said.date if said is not None else None) or "",
        supplementary_title=called,
        document_type=document_type,
        creator=(said.by if said is not None else None) or "",
        reference=reference,
        remark="Guidance, see cautions.",
    )
    return Sheet(
        block,
        views=list(views),
        tables=list(tables),
        notes=list(notes),
        cautions=list(cautions),
        sizes=(PAPERS[paper],),
        scales=scales,
        text_sizes_mm=text_sizes_mm,
        projection="first" if unit == "mm" else "third",
        figures=Figures(unit=unit),
        banner=banner,
        caution_text_mm=caution_text_mm,
    )


def pdf_of(sheets: Sequence[Sheet], title: str) -> bytes:
    """Return sheets as one PDF, numbered through. Raises SheetFitError when one does not fit its page."""
    from dataclasses import replace

    for number, sheet in enumerate(sheets, 1):
        sheet.title = replace(sheet.title, sheet_number=number, sheets=len(sheets))
    return render.pdf_bytes([lay_out(sheet) for sheet in sheets], title)
