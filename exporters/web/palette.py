"""The colours of the pages, by what they are for."""

from __future__ import annotations

import re

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
}
"""Name -> colour; text in any of them is read on PAPER and CARD, RULE apart."""


def style(sheet: str) -> str:
    """Return a style sheet with the names of colours replaced by the colours.

    >>> style("p { color: INK; }")
    'p { color: #1d2327; }'
    """
    return re.sub(rf"\b({'|'.join(COLOURS)})\b", lambda name: COLOURS[name[0]], sheet)
