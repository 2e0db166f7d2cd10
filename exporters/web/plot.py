"""Plain plots without a plotting library: one drawing, written as SVG, PDF or PNG.

A drawing is a list of shapes with their inks, which this module draws itself: a millimetre of a shape is a point
(1/72 in) of the page, from the upper left corner, y downward; texts turn as they do on the page. Colours are those of
Okabe and Ito (2008), told apart by people with any common colour blindness; what matters is told by shape or words as
well.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import numpy as np

from strutwright.exporters.drawing.pdf import trace
from strutwright.exporters.drawing.shapes import Anchor, Arc, Box, P, Poly, Text
from strutwright.exporters.drawing.text import font_size

INK, SOFT, FAINT = "#1a1a1a", "#5c5c5c", "#d9d9d9"
COLOURS = ("#0072b2", "#e69f00", "#009e73", "#cc79a7", "#56b4e9", "#d55e00", "#f0e442", "#999999")
"""In order of use; the last one stands for all others."""
_SVG_FONT = "Helvetica, Arial, sans-serif"
_SVG_ANCHOR: dict[Anchor, str] = {"left": "start", "centre": "middle", "right": "end"}


@dataclass(frozen=True, slots=True)
class Ink:
    """How a shape is drawn: colour, width and dashes of its line, and what it is filled with; "" for neither. A text is
    filled, in the reader's own font, bold or not.
    """

    line: str = ""
    width: float = 0.5
    dash: tuple[float, ...] = ()
    fill: str = ""
    bold: bool = False


Mark = Poly | Box | Arc | Text


@dataclass(slots=True)
class Plot:
    """A drawing of a size in points. Marks are drawn in the order they are made."""

    width: float
    height: float
    title: str
    marks: list[tuple[Mark, Ink]] = field(default_factory=list)

    def line(self, points: Sequence[P], colour: str = INK, width: float = 0.8, dash: tuple[float, ...] = ()) -> None:
        """Draw a line through points."""
        self.marks.append((Poly(tuple(points)), Ink(colour, width, dash)))

    def box(self, x: float, y: float, width: float, height: float, fill: str, edge: str = "") -> None:
        """Draw a filled rectangle."""
        self.marks.append((Box(x, y, x + width, y + height), Ink(edge, fill=fill)))

    def dot(self, x: float, y: float, radius: float, fill: str) -> None:
        """Draw a filled circle."""
        self.marks.append((Arc((x, y), radius), Ink(fill=fill)))

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float = 9.0,
        anchor: Anchor = "left",
        colour: str = INK,
        bold: bool = False,
        upright: bool = False,
    ) -> None:
        """Write words with their baseline at a point. size: of the font; upright: reading from below."""
        turn = math.pi / 2 if upright else 0.0
        self.marks.append((Text(words, (x, y), size / font_size(1.0), anchor, turn), Ink(fill=colour, bold=bold)))

    # --- files ------------------------------------------------------------------------------------------------------

    def svg(self) -> str:
        """Return the drawing as SVG text."""
        out = [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(self.width)}pt" height="{_n(self.height)}pt" '
            f'viewBox="0 0 {_n(self.width)} {_n(self.height)}" role="img">',
            f"<title>{escape(self.title)}</title>",
            f'<rect width="{_n(self.width)}" height="{_n(self.height)}" fill="#ffffff"/>',
            *(_svg_shape(*mark) for mark in self.marks),
        ]
        return "\n".join([*out, "</svg>", ""])

    def pdf(self) -> bytes:
        """Return the drawing as a PDF of one page."""
        from reportlab.pdfgen.canvas import Canvas

        made = io.BytesIO()
        canvas = Canvas(made, pagesize=(self.width, self.height), invariant=1)
        canvas.setTitle(self.title)
        for mark in self.marks:
            canvas.saveState()
            self._pdf_shape(canvas, *mark)
            canvas.restoreState()
        canvas.showPage()
        canvas.save()
        return made.getvalue()

    def _pdf_shape(self, canvas: Any, shape: Mark, ink: Ink) -> None:
        if ink.fill:
            canvas.setFillColor(ink.fill)
        if isinstance(shape, Text):
            canvas.setFont("Helvetica-Bold" if ink.bold else "Helvetica", font_size(shape.height_mm))
            canvas.translate(shape.at[0], self.height - shape.at[1])
            if shape.turn:
                canvas.rotate(math.degrees(shape.turn))
            write = {"left": canvas.drawString, "centre": canvas.drawCentredString, "right": canvas.drawRightString}
            write[shape.anchor](0, 0, shape.text)
        elif isinstance(shape, Arc):
            canvas.circle(shape.centre[0], self.height - shape.centre[1], shape.radius, stroke=0, fill=1)
        elif isinstance(shape, Box):
            canvas.setLineWidth(ink.width)
            canvas.setStrokeColor(ink.line or ink.fill)
            low = self.height - shape.y0 - shape.height
            canvas.rect(shape.x0, low, shape.width, shape.height, stroke=bool(ink.line), fill=1)
        else:
            canvas.setStrokeColor(ink.line)
            canvas.setLineWidth(ink.width)
            if ink.dash:
                canvas.setDash(*ink.dash) if len(ink.dash) == 2 else canvas.setDash(list(ink.dash))
            canvas.drawPath(trace(canvas, [Poly(tuple((x, self.height - y) for x, y in shape.points))]))

    def png(self, scale: float = 2.0) -> bytes:
        """Return the drawing as a PNG; scale: pixels to a point."""
        import pypdfium2

        page = pypdfium2.PdfDocument(self.pdf())[0]
        made = io.BytesIO()
        page.render(scale=scale).to_pil().save(made, "PNG")
        return made.getvalue()

    def write(self, path: Path) -> None:
        """Write the drawing; the ending of the name (.svg, .pdf, .png) says how. Raises ValueError for another."""
        if path.suffix == ".svg":
            path.write_text(self.svg(), encoding="utf-8", newline="\n")
        elif path.suffix == ".pdf":
            path.write_bytes(self.pdf())
        elif path.suffix == ".png":
            path.write_bytes(self.png())
        else:
            raise ValueError(f"{path.name}: a plot is written as .svg, .pdf or .png")


def _svg_shape(shape: Mark, ink: Ink) -> str:
    if isinstance(shape, Text):
        return _svg_text(shape, ink)
    if isinstance(shape, Arc):
        x, y = shape.centre
        return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(shape.radius)}" fill="{ink.fill}"/>'
    if isinstance(shape, Box):
        stroke = f' stroke="{ink.line}" stroke-width="{_n(ink.width)}"' if ink.line else ""
        at = f'x="{_n(shape.x0)}" y="{_n(shape.y0)}" width="{_n(shape.width)}" height="{_n(shape.height)}"'
        return f'<rect {at} fill="{ink.fill}"{stroke}/>'
    where = " ".join(f"{_n(x)},{_n(y)}" for x, y in shape.points)
    dashed = f' stroke-dasharray="{" ".join(_n(d) for d in ink.dash)}"' if ink.dash else ""
    return f'<polyline points="{where}" fill="none" stroke="{ink.line}" stroke-width="{_n(ink.width)}"{dashed}/>'


def _svg_text(text: Text, ink: Ink) -> str:
    x, y = map(_n, text.at)
    turn = f' transform="rotate({_n(-math.degrees(text.turn))} {x} {y})"' if text.turn else ""
    weight = ' font-weight="bold"' if ink.bold else ""
    size = _n(font_size(text.height_mm))
    return (
        f'<text x="{x}" y="{y}" font-family="{_SVG_FONT}" font-size="{size}" fill="{ink.fill}" '
        f'text-anchor="{_SVG_ANCHOR[text.anchor]}"{weight}{turn}>{escape(text.text)}</text>'
    )


def _n(x: float) -> str:
    return f"{x:.2f}".rstrip("0").rstrip(".") if x % 1 else f"{x:.0f}"


# --- axes -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A rectangle of a plot (points, from the upper left corner) and what its edges stand for."""

    left: float
    top: float
    width: float
    height: float
    x_low: float
    x_high: float
    y_low: float
    y_high: float

    def x(self, value: float) -> float:
        """Return where a value stands along the plot."""
        return self.left + (value - self.x_low) / (self.x_high - self.x_low) * self.width

    def y(self, value: float) -> float:
        """Return where a value stands up the plot."""
        return self.top + self.height - (value - self.y_low) / (self.y_high - self.y_low) * self.height


def ticks(low: float, high: float, about: int = 6) -> list[float]:
    """Return round values from low to high, some `about` of them."""
    if not high > low:
        return [low]
    rough = (high - low) / about
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough - 1e-12 * power)
    first = math.ceil(low / step - 1e-9)
    return [float(f"{k * step:.10g}") for k in range(first, math.floor(high / step + 1e-9) + 1)]


def draw_frame(
    plot: Plot,
    frame: Frame,
    x_label: str,
    y_label: str,
    grid: bool = True,
    x_words: Sequence[str] = (),
    y_words: Sequence[str] = (),
) -> None:
    """Draw a frame with round values along two edges and what they are, unit included.

    x_words, y_words: stand at 0, 1, 2, ... in place of values.
    """
    bottom, right = frame.top + frame.height, frame.left + frame.width
    for at, shown in _marks(frame.x_low, frame.x_high, x_words):
        x = frame.x(at)
        if grid:
            plot.line([(x, frame.top), (x, bottom)], FAINT, 0.5)
        plot.line([(x, bottom), (x, bottom + 4)], INK)
        plot.text(x, bottom + 14, shown, 8.5, "centre")
    for at, shown in _marks(frame.y_low, frame.y_high, y_words):
        y = frame.y(at)
        if grid:
            plot.line([(frame.left, y), (right, y)], FAINT, 0.5)
        plot.line([(frame.left - 4, y), (frame.left, y)], INK)
        plot.text(frame.left - 7, y + 3, shown[:8], 8.5, "right")
    corners = Box(frame.left, frame.top, right, bottom).corners()
    plot.line([*corners, corners[0]], INK, 0.9)
    plot.text(frame.left + frame.width / 2, bottom + 32, x_label, 9.5, "centre")
    plot.text(frame.left - 46, frame.top + frame.height / 2, y_label, 9.5, "centre", upright=True)


def _marks(low: float, high: float, words: Sequence[str]) -> list[tuple[float, str]]:
    return [(float(k), w) for k, w in enumerate(words)] if words else [(v, f"{v:g}") for v in ticks(low, high)]


def span(values: np.ndarray[Any, np.dtype[np.float64]], share: float = 0.05) -> tuple[float, float]:
    """Return low and high ends that leave a margin round finite values."""
    good = values[np.isfinite(values)]
    low, high = (float(good.min()), float(good.max())) if len(good) else (0.0, 1.0)
    room = share * (high - low) or max(abs(high) * share, 1e-3)
    return low - room, high + room
