"""The SVG back end: one page on which shapes and texts are drawn, from the lower left corner."""

from __future__ import annotations

import math
from collections.abc import Iterable
from xml.sax.saxutils import escape

from strutwright.exporters.drawing.shapes import Anchor, P, Shape, Text, pen_moves
from strutwright.exporters.drawing.style import BLACK, FILLED, Ink
from strutwright.exporters.drawing.text import font_size, letter_path, text_width

_FONT = "Helvetica, Arial, sans-serif"
_ANCHOR: dict[Anchor, str] = {"left": "start", "centre": "middle", "right": "end"}


class Page:
    """A page. unit: of its lengths, "mm" or "pt". round_ends: of lines that are not dashed. own_font: text as text in
    the reader's font, else as the outlines of the shipped font's letters.
    """

    def __init__(
        self,
        width: float,
        height: float,
        unit: str,
        *,
        title: str = "",
        round_ends: bool = False,
        own_font: bool = False,
    ) -> None:
        self._size = (width, height)
        self._unit = unit
        self._title = title
        self._ends = "round" if round_ends else "butt"
        self._own_font = own_font
        self._parts: list[str] = []
        self._letters: dict[str, int] = {}

    def _at(self, p: P) -> str:
        return f"{_n(p[0])} {_n(self._size[1] - p[1])}"

    def draw(self, shapes: Iterable[Shape], ink: Ink) -> None:
        """Draw shapes as one path."""
        data = "".join(move + " ".join(map(self._at, points)) for move, points in pen_moves(shapes))
        said = f' stroke-width="{_n(ink.width)}"' if ink.line else ' stroke="none"'
        if ink.line not in ("", BLACK):
            said += f' stroke="{ink.line}"'
        if ink.fill:
            said += f' fill="{ink.fill}"'
        if ink.dash:
            said += f' stroke-dasharray="{" ".join(map(_n, ink.dash))}" stroke-linecap="butt"'
        self._parts.append(f'<path d="{data}"{said}/>')

    def text(self, words: Text, ink: Ink = FILLED) -> None:
        """Write one line of text."""
        turn = f" rotate({_n(-math.degrees(words.turn))})" if words.turn else ""
        on = f'stroke="none" fill="{ink.fill}" transform="translate({self._at(words.at)}){turn}'
        if self._own_font:
            weight = ' font-weight="bold"' if ink.bold else ""
            size = f'font-size="{_n(font_size(words.height_mm))}" text-anchor="{_ANCHOR[words.anchor]}"{weight}'
            self._parts.append(f'<text {on}" {size}>{escape(words.text)}</text>')
            return
        along = {"left": 0.0, "centre": -0.5, "right": -1.0}[words.anchor] * text_width(words.text, 1.0)
        letters = []
        for letter in words.text:
            if letter.strip():
                number = self._letters.setdefault(letter, len(self._letters))
                letters.append(f'<use href="#l{number}" x="{along:.5g}"/>')
            along += text_width(letter, 1.0)
        self._parts.append(f'<g {on} scale({_n(words.height_mm)})">{"".join(letters)}</g>')

    def file(self) -> str:
        """Return the file."""
        w, h = map(_n, self._size)
        return "\n".join(
            [
                f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}{self._unit}" height="{h}{self._unit}" '
                f'viewBox="0 0 {w} {h}" role="img">',
                f"<title>{escape(self._title)}</title>",
                "<defs>",
                *(f'<path id="l{number}" d="{letter_path(letter)}"/>' for letter, number in self._letters.items()),
                "</defs>",
                f'<rect width="{w}" height="{h}" fill="#ffffff"/>',
                f'<g fill="none" stroke="{BLACK}" stroke-linecap="{self._ends}" stroke-linejoin="round" '
                f'font-family="{_FONT}">',
                *self._parts,
                "</g>",
                "</svg>",
                "",
            ]
        )


def _n(x: float) -> str:
    return f"{round(x, 4):g}"
