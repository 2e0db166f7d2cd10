"""What the pages share: their colours, by what they are for, and how they begin."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape

COLOURS = {
    "INK": "#1d2327",
    "QUIET": "#4d575e",
    "PAPER": "#f7f5f0",
    "CARD": "#ffffff",
    "RULE": "#cfcabd",
    "STEEL": "#3f5b6b",
    "LINK": "#0b4f7d",
    "GOOD": "#35573a",
    "WATCH": "#7a560b",
    "BAD": "#96301f",
    "LIT": "#8a1f6a",
}
"""Name -> colour; text in any of them is read on PAPER and CARD, RULE apart."""

_BODIES = {"weld": "#9b8f7c", "bearing rubber": "#3b4046", "heel bush": "#d8d2c2"}
"""Kind of part -> colour in the model; the others have that of their metal."""
_PALER = 0.12


def body(kind: str, metal: tuple[float, float, float]) -> str:
    """Return the colour of a part in the model. metal: red, green, blue, 0 to 1.

    >>> body("barrel", (0.5, 0.5, 0.5)), body("weld", (0.5, 0.5, 0.5))
    ('#8f8f8f', '#9b8f7c')
    """
    mixed = [round(255 * (c + _PALER * (1.0 - c))) for c in metal]
    return _BODIES.get(kind, "#" + "".join(f"{c:02x}" for c in mixed))


def style(sheet: str) -> str:
    """Return a style sheet with the names of colours replaced by the colours.

    >>> style("p { color: INK; }")
    'p { color: #1d2327; }'
    """
    return re.sub(rf"\b({'|'.join(COLOURS)})\b", lambda name: COLOURS[name[0]], sheet)


def opened(title: str, sheet: str, scripts: Sequence[str] = ()) -> list[str]:
    """Return how a page begins, up to its body. title: as text; sheet: its style, with the names of colours."""
    return [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(title)}</title>",
        f"<style>{style(sheet)}</style>",
        *scripts,
        "</head>",
        "<body>",
    ]
