"""Laid-out sheets as PDF and SVG, at exact size, in black: the shapes that `dxfout` writes as DXF."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from strutwright.exporters.drawing import pdf, svg
from strutwright.exporters.drawing.shapes import Box, Poly
from strutwright.exporters.drawing.sheet import Drawn
from strutwright.exporters.drawing.style import FILLED, INKS


def _draw(page: pdf.Pages | svg.Page, drawn: Drawn) -> None:
    for item in drawn.items:
        for stroke in item.strokes:
            page.draw([stroke.shape], INKS[stroke.kind])
        for fill in item.fills:
            page.draw([Poly(fill.points, True)], FILLED)
        for text in item.texts:
            page.text(text)


def pdf_bytes(sheets: Sequence[Drawn], title: str = "") -> bytes:
    """Return a PDF with one page for each sheet. title: of the PDF's properties."""
    pages = pdf.Pages(title, round_ends=True)
    for drawn in sheets:
        pages.page(drawn.width_mm, drawn.height_mm)
        _draw(pages, drawn)
        pages.end_page()
    return pages.close()


@dataclass(frozen=True, slots=True)
class Blank:
    """A place that is filled in on a screen, by its name; mm on the sheet."""

    name: str
    box: Box


def pdf_form(sheets: Sequence[tuple[Drawn, Sequence[Blank]]], title: str, hidden: tuple[str, str]) -> bytes:
    """Return a PDF with one page for each sheet and fields at its blank places. hidden: name and text of a field that
    is not shown."""
    pages = pdf.Pages(title, round_ends=True)
    for drawn, blanks in sheets:
        pages.page(drawn.width_mm, drawn.height_mm)
        _draw(pages, drawn)
        for blank in blanks:
            pages.field(blank.name, blank.box)
        if drawn is sheets[0][0]:
            pages.hidden(*hidden)
        pages.end_page()
    return pages.close()


def svg_text(drawn: Drawn) -> str:
    """Return one sheet as SVG."""
    page = svg.Page(drawn.width_mm, drawn.height_mm, "mm", title=drawn.title.title, round_ends=True)
    _draw(page, drawn)
    return page.file()
