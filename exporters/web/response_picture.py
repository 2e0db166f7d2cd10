"""The picture of how the strut answers what turns and pulses: movement of the bearing, stress in the arm, over speed.

Both on scales of powers of ten, as a lost blade does a hundred times what is out of balance. What the strut's seat may
be makes each answer two lines, the least and the greatest; that of a lost blade a band.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from strutwright.exporters.drawing.shapes import P
from strutwright.exporters.web.plot import COLOURS, INK, SOFT, Frame, Plot, draw_frame
from strutwright.models.arrays import Floats
from strutwright.models.response_curve import Curve, ResponseCurves
from strutwright.params.quantity import FileUnits, figure, in_file_units

WARNING = "Guidance only, not an approval: no figure for the damping of struts was found."
_TINT = "#cfe3f0"
"""Of the band of a lost blade, paler than its line."""
_STYLES: tuple[tuple[int, tuple[float, ...]], ...] = ((0, ()), (1, (7, 3)), (2, (2, 2.5)))
"""Colour and dashes of each curve: told apart without colour too."""


def write_response_picture(path: Path, name: str, found: ResponseCurves, units: FileUnits = "mm") -> None:
    """Write the picture of a strut of that name. path: ends in .svg, .pdf or .png; ValueError for another ending."""
    response_picture(name, found, units).write(path)


def response_picture(name: str, found: ResponseCurves, units: FileUnits = "mm") -> Plot:
    """Return the picture: the movement of the bearing above, the stress in the arm below, over the same speeds."""
    plot = Plot(760, 704, f"{name}: answer to what turns and pulses")
    plot.text(80, 26, f"{name}: how the strut answers what turns and pulses", 13, bold=True)
    per_mm, length = in_file_units(1.0, "mm", units)
    per_mpa, stress = in_file_units(1.0, "MPa", units)
    allowed = found.allowed_mpa * per_mpa
    _panel(plot, 56, found, [c.moved_mm for c in found.curves], per_mm, f"movement of the bearing, {length}")
    frame = _panel(
        plot, 352, found, [c.stress_mpa for c in found.curves], per_mpa, f"stress in the arm, {stress}", allowed
    )
    _keys(plot, 555, 70, found.curves)
    at = frame.y(math.log10(allowed)) if allowed > 0 else math.nan
    if frame.top <= at <= frame.top + frame.height:
        right = frame.left + frame.width
        plot.line([(frame.left, at), (right, at)], INK, 1.2)
        plot.text(right + 8, at - 2, f"allowed in an accident, {figure(allowed, stress)}", 8.5)
    low, usual, high = found.damping
    notes = (
        f"Amplitude to each side, at the worst in any direction. Damping {usual:g} of the critical: at resonance "
        f"{usual / low:.2g} times as much at {low:g}, {usual / high:.2g} times at {high:g}.",
        "Over what is allowed a line says only that the arm bends for good.",
        "Two lines of a kind: the least and the greatest by how much hull, rubber and shaft may give."
        if _is_band(found)
        else "",
        "; ".join(found.notes),
        WARNING,
    )
    for k, line in enumerate(filter(None, notes)):
        plot.text(80, 646 + 12 * k, line[:150], 8, colour=SOFT)
    return plot


def _panel(
    plot: Plot,
    top: float,
    found: ResponseCurves,
    answers: list[tuple[Floats, Floats]],
    per: float,
    words: str,
    allowed: float = math.nan,
) -> Frame:
    """Draw the answers in a frame whose height goes by powers of ten, up to some way over what is allowed."""
    greatest = max(float(np.nanmax(high)) for _, high in answers) * per
    most = min(max(greatest, allowed), 3.0 * allowed) if allowed > 0 else greatest
    high = math.ceil(math.log10(most) + 0.02) if most > 0 else 0
    low = high - 5
    frame = Frame(
        left=80, top=top, width=450, height=236, x_low=0.0, x_high=float(found.rpm[-1]), y_low=low, y_high=high
    )
    left, right = frame.x(found.low_rpm), frame.x(found.high_rpm)
    plot.box(left, top, right - left, frame.height, "#eef3f7")
    shown = [(_logs(a * per, low, high), _logs(b * per, low, high)) for a, b in answers]
    _band(plot, frame, found.rpm, *shown[0])
    _decades(plot, frame, words)
    plot.text((left + right) / 2, top - 4, "running range", 8.5, "centre", SOFT)
    for (bottom, upper), (colour, dash) in zip(shown, _STYLES, strict=False):
        for edge in (upper, bottom) if np.max(np.abs(upper - bottom)) > 0.004 else (upper,):
            for points in _inside(frame, found.rpm, edge):
                plot.line(points, COLOURS[colour], 1.5, dash)
    return frame


def _inside(frame: Frame, rpm: Floats, edge: Floats) -> list[list[P]]:
    """The pieces of a line that lie within the frame."""
    pieces: list[list[P]] = [[]]
    for speed, value in zip(rpm.tolist(), edge.tolist(), strict=True):
        if frame.y_low < value < frame.y_high:
            pieces[-1].append((frame.x(speed), frame.y(value)))
        elif pieces[-1]:
            pieces.append([])
    return [piece for piece in pieces if len(piece) > 1]


def _decades(plot: Plot, frame: Frame, words: str) -> None:
    """Draw the frame with powers of ten up its edge."""
    count = round(frame.y_high - frame.y_low)
    names = [f"{10.0 ** (frame.y_low + k):.{max(0, -round(frame.y_low) - k)}f}" for k in range(count + 1)]
    even = Frame(
        left=frame.left,
        top=frame.top,
        width=frame.width,
        height=frame.height,
        x_low=frame.x_low,
        x_high=frame.x_high,
        y_low=0.0,
        y_high=float(count),
    )
    draw_frame(plot, even, "shaft speed, rpm", words, y_words=names)


def _logs(values: Floats, low: float, high: float) -> Floats:
    """Powers of ten of an answer, none off the frame."""
    return np.asarray(np.clip(np.log10(np.maximum(values, 10.0**low)), low, high))


def _band(plot: Plot, frame: Frame, rpm: Floats, bottom: Floats, upper: Floats) -> None:
    there = [(frame.x(float(r)), frame.y(float(v))) for r, v in zip(rpm, upper, strict=True)]
    back = [(frame.x(float(r)), frame.y(float(v))) for r, v in zip(rpm, bottom, strict=True)]
    plot.area([*there, *reversed(back)], _TINT)


def _is_band(found: ResponseCurves) -> bool:
    return any(
        float(np.max(high - low)) > 0.01 * float(np.max(high)) for c in found.curves for low, high in [c.moved_mm]
    )


def _keys(plot: Plot, x: float, y: float, curves: tuple[Curve, ...]) -> None:
    for k, (curve, (colour, dash)) in enumerate(zip(curves, _STYLES, strict=False)):
        plot.line([(x, y + 16 * k - 3), (x + 30, y + 16 * k - 3)], COLOURS[colour], 1.8, dash)
        plot.text(x + 36, y + 16 * k, curve.name, 9)
