"""Text measured with the font that is shipped and embedded, so that a box on the sheet is the box on the paper."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from fontTools.pens.svgPathPen import SVGPathPen  # type: ignore[import-untyped]
from fontTools.pens.transformPen import TransformPen  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

from strutwright.exporters.fonts import FONT_FILE

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


@cache
def letter_path(letter: str) -> str:
    """Return the outline of a letter of the shipped font as SVG path data: capitals 1 high, y downward."""
    font = TTFont(str(FONT_FILE), lazy=True)
    letters, k = font.getGlyphSet(), font_size(1.0) / font["head"].unitsPerEm
    pen = SVGPathPen(letters, ntos=lambda v: f"{v:.4g}")
    letters[font.getBestCmap().get(ord(letter), ".notdef")].draw(TransformPen(pen, (k, 0.0, 0.0, -k, 0.0, 0.0)))
    return str(pen.getCommands())


@lru_cache(maxsize=4096)
def _ems(text: str) -> float:
    """Width of a text over the height of its capitals."""
    widths, unknown, capital = _metrics()
    return sum(widths.get(ord(c), unknown) for c in text) / capital


@lru_cache(maxsize=4096)
def hangs(text: str) -> bool:
    """Return whether a letter of a text reaches under its base line."""
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
