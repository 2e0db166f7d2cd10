"""The one font that ships: DejaVu Sans Condensed 2.37, with its licence beside it. Measured and embedded from
here.
"""

from __future__ import annotations

from pathlib import Path

FONT_FILE: Path = Path(__file__).with_name("DejaVuSansCondensed.ttf")
"""Path of the TrueType file."""

FONT_NAME: str = "DejaVuSansCondensed"
"""PostScript name of the font, as it stands in a PDF."""
