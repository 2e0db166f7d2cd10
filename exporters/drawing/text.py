"""Text measured with the font that is shipped and embedded, so that a box on the sheet is the box on the
paper.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal

from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

from strutwright.exporters.drawing.shapes import Box, P
from strutwright.exporters.drawing.style import Kind
from strutwright.exporters.fonts import FONT_FILE

Anchor = Literal["left", "centre", "right"]

DESCENT = 0.27
"""Depth of the lowest letters under the base line, as a fraction of the capital height."""

_LEAST_LINE = 4.0
"""Least width of a line, in heights of its letters, in which words are broken."""

_LOW = frozenset("gjpqyQ,;()[]{}|/_µ")


@cache
def _metrics() -> tuple[dict[int, float], float, float]:
    """Advance of every character in em, advance of an unknown one, height of a capital in em."""
    font = TTFont(str(FONT_FILE), lazy=True)
    em = float(font["head"].unitsPerEm)
    advance = font["hmtx"].metrics
    widths = {code: advance[glyph][0] / em for code, glyph in font.getBestCmap().items()}
    capital = font["glyf"][font.getBestCmap()[ord("H")]].yMax / em
    return widths, advance[".notdef"][0] / em, capital


def font_size(height_mm: float) -> float:
    """Return the font size (em) in mm whose capitals are height_mm high."""
    return height_mm / _metrics()[2]


@lru_cache(maxsize=4096)
def _ems(text: str) -> float:
    """Width of a text over the height of its capitals."""
    widths, unknown, capital = _metrics()
    return sum(widths.get(ord(c), unknown) for c in text) / capital


@lru_cache(maxsize=4096)
def _hangs(text: str) -> bool:
    """Whether a letter of a text reaches under its base line."""
    return any(c in _LOW for c in text)


def text_width(text: str, height_mm: float) -> float:
    """Return the width in mm of one line of text with capitals height_mm high, shipped font, no kerning."""
    return _ems(text) * height_mm


_CODE = re.compile(r"%(?=%)|\^(?! |$)|\\(?! |$)")


def drawable(text: str) -> str:
    """Return text with a space put in where a drawing program would read a code: %%d, ^I, \\P, \\U+00B0 and the like.

    The escapes that the DXF reference gives are not known to all programs; apart, the signs mean nothing to any. What
    comes of it stays as it is when put in again.
    """
    return _CODE.sub(lambda m: m[0] + " ", text)


def wrap(text: str, height_mm: float, width_mm: float) -> list[str]:
    """Return the text broken at spaces into lines not wider than width_mm.

    A word that is longer is broken too, after a dash where there is one, unless the width is that of a few letters.
    """
    lines: list[str] = []
    for paragraph in drawable(text).split("\n"):
        line = ""
        for word in (piece for whole in paragraph.split() for piece in _pieces(whole, height_mm, width_mm)):
            longer = f"{line} {word}" if line else word
            if line and text_width(longer, height_mm) > width_mm:
                lines.append(line)
                line = word
            else:
                line = longer
        lines.append(line)
    return lines


def _pieces(word: str, height_mm: float, width_mm: float) -> list[str]:
    """Return a word in pieces of which each fits a line."""
    pieces: list[str] = []
    while width_mm > _LEAST_LINE * height_mm and text_width(word, height_mm) > width_mm:
        fits = max(next(n for n in range(len(word)) if text_width(word[: n + 1], height_mm) > width_mm), 1)
        cut = word.rfind("-", 0, fits) + 1 or fits
        pieces.append(word[:cut])
        word = word[cut:]
    return [*pieces, word]


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text on paper. `at` is on the base line (mm) at the left, middle or right; turn in
    radians.
    """

    text: str
    at: P
    height_mm: float = 3.5
    anchor: Anchor = "left"
    turn: float = 0.0
    kind: Kind = "text"

    def corners(self, clearance_mm: float = 0.0) -> tuple[P, P, P, P]:
        """Return the four corners of the text's own (turned) rectangle, grown by clearance_mm."""
        width = text_width(self.text, self.height_mm)
        left = {"left": 0.0, "centre": -width / 2.0, "right": -width}[self.anchor] - clearance_mm
        low = (-DESCENT * self.height_mm if _hangs(self.text) else 0.0) - clearance_mm
        right, top = left + width + 2.0 * clearance_mm, self.height_mm + clearance_mm
        c, s = math.cos(self.turn), math.sin(self.turn)
        x, y = self.at
        return (
            (x + c * left - s * low, y + s * left + c * low),
            (x + c * right - s * low, y + s * right + c * low),
            (x + c * right - s * top, y + s * right + c * top),
            (x + c * left - s * top, y + s * left + c * top),
        )

    def box(self) -> Box:
        """Return the upright box round the text."""
        xs, ys = zip(*self.corners(), strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))

    def moved(self, dx: float, dy: float) -> Text:
        """Return the text shifted by (dx, dy) mm."""
        return Text(self.text, (self.at[0] + dx, self.at[1] + dy), self.height_mm, self.anchor, self.turn, self.kind)
