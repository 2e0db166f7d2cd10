"""The PDF back end: pages on which shapes and texts are drawn, from the lower left corner. The same shapes give the
same bytes: no date and no random identifier is written.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable
from functools import cache
from typing import Any

from strutwright.exporters.drawing.shapes import Box, Shape, Text, pen_moves
from strutwright.exporters.drawing.style import BLACK, FILLED, Ink
from strutwright.exporters.drawing.text import font_size
from strutwright.exporters.fonts import FONT_FILE, FONT_NAME
from strutwright.params.quantity import INCH_MM

POINTS_PER_MM = 72.0 / INCH_MM


@cache
def _font() -> str:
    """Return the name of the shipped font, made known to the PDF library."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    pdfmetrics.registerFont(TTFont(FONT_NAME, str(FONT_FILE)))
    return FONT_NAME


class Pages:
    """Pages one after the other. unit: points to a unit of the shapes. round_ends: of lines that are not dashed.

    own_font: letters of the reader's where it has them, else those of the shipped font, which is embedded.
    """

    def __init__(
        self, title: str, unit: float = POINTS_PER_MM, *, round_ends: bool = False, own_font: bool = False
    ) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self._fonts = ("Helvetica", "Helvetica-Bold") if own_font else (_font(), _font())
        self._own_font = own_font
        self._unit = unit
        self._round = round_ends
        self._colours = (BLACK, BLACK)
        self._stream = io.BytesIO()
        self.canvas: Any = Canvas(self._stream, invariant=1, pageCompression=1, initialFontName=self._fonts[0])
        self.canvas.setTitle(title)
        self.canvas.setCreator("strutwright")
        self.canvas.setAuthor("")
        self.canvas.setSubject("")
        self.canvas.setViewerPreference("PrintScaling", "None")

    def page(self, width: float, height: float) -> None:
        """Begin a page."""
        c = self.canvas
        c.setPageSize((width * self._unit, height * self._unit))
        c.scale(self._unit, self._unit)
        c.setLineCap(int(self._round))
        c.setLineJoin(1)
        self._colours = (BLACK, BLACK)

    def field(self, name: str, box: Box) -> None:
        """Add a field of one line, to be filled in on a screen; empty, without a frame of its own."""
        k, edge = self._unit, 0.4
        # A program that writes a value need not draw it: the reader does.
        self.canvas.acroForm.extras["NeedAppearances"] = "true"
        self.canvas.acroForm.textfield(
            name=name,
            x=(box.x0 + edge) * k,
            y=(box.y0 + edge) * k,
            width=(box.width - 2.0 * edge) * k,
            height=(box.height - 2.0 * edge) * k,
            fontName="Helvetica",
            fontSize=8,
            borderWidth=0,
            fillColor=None,
            borderColor=None,
            maxlen=80,
            relative=False,
        )

    def hidden(self, name: str, value: str) -> None:
        """Add a field that holds text and is neither shown nor filled in."""
        self.canvas.acroForm.textfield(
            name=name,
            value=value,
            width=1,
            height=1,
            annotationFlags="hidden",
            fieldFlags="readOnly",
            maxlen=None,
            relative=False,
        )

    def end_page(self) -> None:
        self.canvas.showPage()

    def close(self) -> bytes:
        """Return the file."""
        self.canvas.save()
        return self._stream.getvalue()

    def _colour(self, ink: Ink) -> None:
        line, fill = (ink.line or self._colours[0], ink.fill or self._colours[1])
        if line != self._colours[0]:
            self.canvas.setStrokeColor(line)
        if fill != self._colours[1]:
            self.canvas.setFillColor(fill)
        self._colours = (line, fill)

    def draw(self, shapes: Iterable[Shape], ink: Ink) -> None:
        """Draw shapes as one path."""
        c = self.canvas
        self._colour(ink)
        if ink.line:
            c.setLineWidth(ink.width)
            c.setDash(list(ink.dash))
            if self._round:
                # The dashes of a pattern are square-cut, or they would eat their gaps.
                c.setLineCap(0 if ink.dash else 1)
        path = c.beginPath()
        to = {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo, "Z": path.close}
        for move, points in pen_moves(shapes):
            to[move](*(v for point in points for v in point))
        c.drawPath(path, stroke=int(bool(ink.line)), fill=int(bool(ink.fill)))

    def text(self, words: Text, ink: Ink = FILLED) -> None:
        """Write one line of text."""
        c = self.canvas
        self._colour(ink)
        c.saveState()
        c.translate(*words.at)
        c.rotate(math.degrees(words.turn))
        known = not self._own_font or _in_every_reader(words.text)
        c.setFont(self._fonts[ink.bold] if known else _font(), font_size(words.height_mm))
        write = {"left": c.drawString, "centre": c.drawCentredString, "right": c.drawRightString}
        write[words.anchor](0.0, 0.0, words.text)
        c.restoreState()


def _in_every_reader(text: str) -> bool:
    """Whether the fonts that a reader brings have all letters of a text."""
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


def png_pages(pdf: bytes, scale: float) -> list[bytes]:
    """Return each page of a PDF as a PNG. scale: pixels to a point."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    made = []
    for page in document:
        stream = io.BytesIO()
        page.render(scale=scale).to_pil().save(stream, "PNG")
        made.append(stream.getvalue())
    document.close()
    return made
