"""Several parts of one number as a picture: every characteristic between its limits, a dot for each part."""

from __future__ import annotations

from collections.abc import Sequence

from strutwright.exporters.web.plot import COLOURS, FAINT, INK, SOFT, Plot
from strutwright.models.bench.parts import LEAST_PARTS, Spread

_LEFT, _WIDE, _STEP, _TOP = 300.0, 260.0, 15.0, 78.0
_BEYOND = 0.35
"""How far past the limits the picture reaches, as a share of what lies between them; what is farther stands there."""


def picture(number: str, parts: Sequence[str], found: Sequence[Spread]) -> Plot:
    """Return the picture. number: of the drawing; parts: the marks of the parts, in the order of the values."""
    low = _TOP + _STEP * len(found)
    plot = Plot(760, low + 64.0, f"{number}: {len(parts)} parts between their limits")
    plot.text(30, 28, f"{number}: {len(parts)} parts between their limits", 13, bold=True)
    plot.text(30, 46, f"Parts {', '.join(parts)}"[:120], 9, colour=SOFT)
    scale = _WIDE / (1.0 + 2.0 * _BEYOND)
    first, last = _LEFT + _BEYOND * scale, _LEFT + (1.0 + _BEYOND) * scale
    plot.text(first, _TOP - 10, "lower limit", 8, "centre", SOFT)
    plot.text(last, _TOP - 10, "upper limit", 8, "centre", SOFT)
    plot.text(_LEFT + _WIDE + 16, _TOP - 10, f"Ppk (its lower end), of {LEAST_PARTS} parts or more", 8, colour=SOFT)
    for k, spread in enumerate(found):
        y = _TOP + _STEP * k
        if k % 2 == 0:
            plot.box(first, y, last - first, _STEP, FAINT)
        plot.text(_LEFT - 10, y + 10.5, spread.what, 8.5, "right")
        for value in spread.values:
            place = spread.place(value)
            shown = min(max(place, -_BEYOND), 1.0 + _BEYOND)
            plot.dot(first + shown * scale, y + _STEP / 2, 2.6, COLOURS[0] if 0.0 <= place <= 1.0 else COLOURS[5])
        index = spread.performance()
        if index is not None:
            plot.text(_LEFT + _WIDE + 16, y + 10.5, f"{index[0]:.2f} ({index[1]:.2f})", 8.5)
    for x in (first, last):
        plot.line([(x, _TOP), (x, low)], INK, 0.9)
    plot.dot(36, low + 20, 2.6, COLOURS[0])
    plot.text(44, low + 23, "a part within the limits", 8.5)
    plot.dot(176, low + 20, 2.6, COLOURS[5])
    plot.text(184, low + 23, "one beyond; farther than the picture reaches, at its edge", 8.5)
    plot.text(30, low + 42, "A limit that is lacking stands at nought. Guidance only, not an approval.", 8, colour=SOFT)
    return plot


def document(parts: Sequence[str], found: Sequence[Spread]) -> dict[str, object]:
    """Return the same as plain data, mm and degrees."""
    rows = []
    for s in found:
        index = s.performance()
        rows.append(
            {
                "code": s.code,
                "characteristic": s.what,
                "lower": s.lower,
                "upper": s.upper,
                "values": list(s.values),
                "mean": s.mean,
                "standard_deviation": s.deviation,
                "ppk": None if index is None else index[0],
                "ppk_lower_end": None if index is None else index[1],
            }
        )
    return {"parts": list(parts), "characteristics": rows}
