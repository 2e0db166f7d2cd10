"""Plain plots without a plotting library: one drawing, written as SVG, PDF or PNG.

A drawing is a list of shapes with their inks, in points (1/72 in). Who draws gives places from the upper left corner, y
downward. Colours are those of Okabe and Ito (2008), told apart by people with any common colour blindness; what matters
is told by shape or words as well. Letters are those of the reader's own font, so that they can be searched.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from strutwright.exporters.drawing import pdf, svg
from strutwright.exporters.drawing.shapes import Anchor, Arc, Box, P, Poly, Shape, Text
from strutwright.exporters.drawing.style import Ink
from strutwright.exporters.drawing.text import font_size

INK, SOFT, FAINT = "#1a1a1a", "#5c5c5c", "#d9d9d9"
COLOURS = ("#0072b2", "#e69f00", "#009e73", "#cc79a7", "#56b4e9", "#d55e00", "#f0e442", "#999999")
"""In order of use; the last one stands for all others."""


@dataclass(slots=True)
class Plot:
    """A drawing of a size in points. Marks are drawn in the order they are made."""

    width: float
    height: float
    title: str
    marks: list[tuple[Shape | Text, Ink]] = field(default_factory=list)

    def _at(self, p: P) -> P:
        return (p[0], self.height - p[1])

    def line(self, points: Sequence[P], colour: str = INK, width: float = 0.8, dash: tuple[float, ...] = ()) -> None:
        """Draw a line through points."""
        self.marks.append((Poly(tuple(map(self._at, points))), Ink(colour, width, dash)))

    def box(self, x: float, y: float, width: float, height: float, fill: str, edge: str = "") -> None:
        """Draw a filled rectangle."""
        low = self.height - y - height
        self.marks.append((Box(x, low, x + width, low + height).outline(), Ink(edge, fill=fill)))

    def area(self, points: Sequence[P], fill: str) -> None:
        """Draw a filled area within points."""
        self.marks.append((Poly((*map(self._at, points), self._at(points[0]))), Ink("", fill=fill)))

    def dot(self, x: float, y: float, radius: float, fill: str) -> None:
        """Draw a filled circle."""
        self.marks.append((Arc(self._at((x, y)), radius), Ink(fill=fill)))

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
        written = Text(words, self._at((x, y)), size / font_size(1.0), anchor, turn)
        self.marks.append((written, Ink(fill=colour, bold=bold)))

    # --- files ------------------------------------------------------------------------------------------------------

    def _draw(self, page: pdf.Pages | svg.Page) -> None:
        for shape, ink in self.marks:
            if isinstance(shape, Text):
                page.text(shape, ink)
            else:
                page.draw([shape], ink)

    def svg(self) -> str:
        """Return the drawing as SVG text."""
        page = svg.Page(self.width, self.height, "pt", title=self.title, own_font=True)
        self._draw(page)
        return page.file()

    def pdf(self) -> bytes:
        """Return the drawing as a PDF of one page."""
        pages = pdf.Pages(self.title, 1.0, own_font=True)
        pages.page(self.width, self.height)
        self._draw(pages)
        pages.end_page()
        return pages.close()

    def write(self, path: Path) -> None:
        """Write the drawing; the ending of the name (.svg, .pdf, .png) says how. Raises ValueError for another."""
        if path.suffix == ".svg":
            path.write_text(self.svg(), encoding="utf-8", newline="\n")
        elif path.suffix == ".pdf":
            path.write_bytes(self.pdf())
        elif path.suffix == ".png":
            path.write_bytes(pdf.png_pages(self.pdf(), 2.0)[0])
        else:
            raise ValueError(f"{path.name}: a plot is written as .svg, .pdf or .png")


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
