"""What a line on the sheet means: layer in plain words, width, dash pattern, colour. One entry per kind.

Widths and patterns follow ISO 128-2 (wide to narrow 2:1; dash 12 d, gap 3 d, long dash 24 d; values from memory,
confirm against the standard). The dot of chain lines is drawn as a short dash so that it survives copying.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

Shade = Literal["hatch", "stock"]
OfPart = Literal["visible", "hidden", "centre", "mark", "phantom", "cutting", "thin", "smooth", Shade]
OfSheet = Literal["dimension", "text", "frame", "title", "table", "symbol"]
Kind = OfPart | OfSheet


@dataclass(frozen=True, slots=True)
class LineStyle:
    """Layer name, width in mm, dash pattern in paper mm (on, off, ...; empty = continuous), DXF colour index; ink: its
    colour on paper.
    """

    layer: str
    width_mm: float
    pattern: tuple[float, ...]
    colour: int
    ink: str = "#000000"


BLACK, RED = "#000000", "#c00000"


@dataclass(frozen=True, slots=True)
class Ink:
    """How a shape is drawn: colour, width and dashes of its line, and what it is filled with; "" for neither. A text is
    filled, bold or not.
    """

    line: str = ""
    width: float = 0.5
    dash: tuple[float, ...] = ()
    fill: str = ""
    bold: bool = False


CONTINUOUS: tuple[float, ...] = ()
DASHED = (3.0, 0.9)
CHAIN = (7.0, 0.9, 0.9, 0.9)
DOUBLE_CHAIN = (7.0, 0.9, 0.9, 0.9, 0.9, 0.9)

STYLES: dict[Kind, LineStyle] = {
    "visible": LineStyle("OUTLINE", 0.5, CONTINUOUS, 7),
    "hidden": LineStyle("HIDDEN", 0.25, DASHED, 3),
    "centre": LineStyle("CENTRE", 0.18, CHAIN, 1),
    # Short centre lines are drawn through: the dots of a chain beside a number read as a decimal point.
    "mark": LineStyle("CENTRE_MARK", 0.18, CONTINUOUS, 1),
    "phantom": LineStyle("PHANTOM", 0.25, DOUBLE_CHAIN, 8),
    "cutting": LineStyle("CUTTING", 0.35, CHAIN, 1),
    "hatch": LineStyle("HATCH", 0.18, CONTINUOUS, 8),
    # Metal that is machined away: the founder's colour; on a black-and-white print its close lines tell it.
    "stock": LineStyle("STOCK", 0.25, CONTINUOUS, 1, RED),
    "dimension": LineStyle("DIMENSION", 0.25, CONTINUOUS, 4),
    "text": LineStyle("TEXT", 0.25, CONTINUOUS, 4),
    "thin": LineStyle("THIN", 0.25, CONTINUOUS, 3),
    "smooth": LineStyle("SMOOTH", 0.18, CONTINUOUS, 8),
    "frame": LineStyle("FRAME", 0.7, CONTINUOUS, 7),
    "title": LineStyle("TITLE", 0.25, CONTINUOUS, 7),
    "table": LineStyle("TABLE", 0.25, CONTINUOUS, 7),
    "symbol": LineStyle("SYMBOL", 0.35, CONTINUOUS, 4),
}

SHADES: tuple[Kind, ...] = get_args(Shade)
"""Lines that fill a face: they give way to a text."""
INKS: dict[Kind, Ink] = {kind: Ink(style.ink, style.width_mm, style.pattern) for kind, style in STYLES.items()}
"""The lines as they are printed."""
FILLED = Ink(fill=BLACK)

LINETYPE_NAMES: dict[tuple[float, ...], str] = {
    CONTINUOUS: "CONTINUOUS",
    DASHED: "DASHED",
    CHAIN: "CENTER",
    DOUBLE_CHAIN: "DIVIDE",
}
