"""What cannot be a number between two others: size and kind of the bolts, how many along and in how many lines, the
weld preparation."""

from __future__ import annotations

import functools
from collections.abc import Iterator

from strutwright.models.bolt_heads import HEADS, USUAL
from strutwright.models.bolt_patterns import PATTERNS
from strutwright.models.sizing.set_text import PATTERN, Choice, Known
from strutwright.params import tables
from strutwright.params.limits import Limits

ALONG = (2, 3, 4, 5, 6)
"""Bolts along a palm that are tried."""
MANY_ALONG = (2, 3, 4, 5, 6, 8, 10)
"""The same where the largest bolt there is is small for the shaft."""
_FRAMED = {3: (3,), 4: (3,)}
"""Lines athwart of a frame that are tried, by the bolts along it."""
_SMALL = ("M4", "M5")
"""For shafts so small that every usual bolt is beyond the limits."""
METRIC = ("M6", "M8", "M10", "M12", "M16", "M20", "M24", "M30", "M36", "M42")
INCH = ("1/4", "5/16", "3/8", "1/2", "5/8", "3/4", "1", "1-1/4", "1-1/2")
"""Usual bolts."""


def choices(said: Known, d: float, limits: Limits, *, frames: bool = False) -> Iterator[Choice]:
    """Yield every choice for what is known. d: diameter of the shaft, mm; frames: of those with bolts in a frame, else
    of those in a grid.

    >>> known = {"bolts": {"pattern": {"along": 3}}, "units": "mm", "construction": "cast"}
    >>> [c.bolt for c in choices(known, 30.0, standard())]  # 0.2 to 0.45 of the shaft
    ['M6', 'M8', 'M10', 'M12']
    """
    bolts = said["bolts"]
    low, high = limits["bolt_size_least"].value * d, limits["bolt_size_most"].value * d
    kind, inch = bolts.get("kind"), said["units"] == "in"
    small = False
    if "size" in bolts:
        own = str(bolts["size"])
        sizes = [(own, kind or (kinds_of(own) or [USUAL])[0])]
    else:
        sizes = bolts_between(low, high, kind, inch)
        small = bool(sizes) and all(tables.thread(s).major_mm < low - 1e-6 for s, _ in sizes)
    welded, prep_said = said["construction"] == "welded", (said.get("welds") or {}).get("prep")
    preps = ("none",) if not welded else (prep_said,) if prep_said else ("none", "double_bevel")
    for size, own in sizes:
        for n in _along(said, limits, small):
            for lines in _FRAMED.get(n, ()) if frames else _lines(said, n):
                for prep in preps:
                    pattern = "frame" if frames else PATTERN
                    yield Choice(bolt=size, along=n, across=lines, prep=prep, kind=own, pattern=pattern)


def bolts_between(low_mm: float, high_mm: float, kind: str | None, inch: bool) -> list[tuple[str, str]]:
    """Return usual bolts of a range and the kind of head of each; beyond the limits on either side the nearest one
    there is, the check of its size says so.

    >>> bolts_between(10.0, 16.0, "plain", inch=False)
    [('M10', 'plain'), ('M12', 'plain'), ('M16', 'plain')]
    """
    # Countersunk heads end where the larger bolts begin: those are counterbored.
    stock = [
        (s, kind or kinds_of(s)[0])
        for s in (INCH if inch else (*_SMALL, *METRIC))
        if (kinds_of(s) if kind is None else kind in kinds_of(s))
    ]
    sizes = [s for s in stock if low_mm - 1e-6 <= tables.thread(s[0]).major_mm <= high_mm + 1e-6]
    usual = [s for s in sizes if s[0] not in _SMALL]

    def off(choice: tuple[str, str]) -> float:
        major = tables.thread(choice[0]).major_mm
        return max(low_mm / major, major / high_mm)

    return usual or sizes or sorted(stock, key=off)[:1]


def _along(said: Known, limits: Limits, small: bool) -> list[int]:
    """How many bolts along the palm are tried; 0 where they do not stand in a grid."""
    pattern = said["bolts"].get("pattern") or {}
    kind = pattern.get("kind", PATTERN)
    if kind not in PATTERNS or not PATTERNS[kind].pitched:
        return [0]
    known = pattern.get("along")
    along = [known] if isinstance(known, int) else list(MANY_ALONG if small else ALONG)
    if said["bolts"].get("backing_plate", True):
        return along
    return [n for n in along if not n or 2 * n >= limits["bolt_count_unbacked"].value]


def _lines(said: Known, along: int) -> tuple[int, ...]:
    """In how many lines athwart the bolts of a grid are tried. The middle one of three runs under the arm, but for two
    bolts ahead of it and abaft, or where two arms stand on one palm."""
    pattern = said["bolts"].get("pattern") or {}
    if not along or "across" in pattern:
        return (2,)
    arms, palm = said.get("arms") or {}, said.get("palm") or {}
    between = arms.get("arrangement") == "vee" and palm.get("arrangement") == "common"
    return (2, 3) if along == 2 or between else (2,)


@functools.cache
def kinds_of(size_: str) -> list[str]:
    """Return the kinds of head that the tables know for a bolt size, the flush one first.

    >>> kinds_of("M24")
    ['counterbored', 'plain']
    """
    try:
        tables.thread(size_)
        tables.clearance_hole_mm(size_, "medium" if size_.startswith("M") else "normal")
    except tables.NotInTable:
        return []
    return [name for name, kind in HEADS.items() if kind.holds(size_)]
