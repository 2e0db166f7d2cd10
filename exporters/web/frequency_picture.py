"""The picture of frequency against rpm: what shakes, what it can meet, and where in the running range."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from strutwright.exporters.drawing.shapes import P
from strutwright.exporters.web.plot import COLOURS, FAINT, INK, SOFT, Frame, Plot, draw_frame
from strutwright.models.spec import Strut
from strutwright.models.vibration_map import Crossing, Mode, VibrationMap, vibration_map
from strutwright.params.limits import Limits

GUIDANCE = "Guidance only, not an approval."
_COLOUR = {"strut": INK, "shaft": COLOURS[2]}
_SOFT, _STIFF = (1.2, ()), (0.8, (2.0, 2.0))
"""Width and dashes of a line at the softest and at the stiffest that is likely."""


def write_frequency_picture(path: Path, strut: Strut, limits: Limits | None = None) -> bool:
    """Write the picture of a strut; return False, and write nothing, when its file does not say the shaft speed.

    path: ends in .svg, .pdf or .png. limits: as shipped when left out. Raises ValueError for another ending.
    """
    found = vibration_map(strut, limits)
    if found is None:
        return False
    frequency_picture(strut.identity.name, found).write(path)
    return True


def frequency_picture(name: str, found: VibrationMap) -> Plot:
    """Return the picture of a map: rising lines for what excites, others for what answers, dots where they meet.

    The running range is shaded; a meeting within it is a full dot. What answers has a line for its softest and a dotted
    one for its stiffest.
    """
    driven = max(e.hz[-1] for e in found.excitations)
    top = max(1.15 * driven, *(1.08 * m.high_hz for m in found.modes if m.high_hz <= 2.0 * driven), 1.0)
    plot = Plot(760, 470, f"{name}: frequency against shaft speed")
    frame = Frame(left=80, top=52, width=450, height=330, x_low=0.0, x_high=found.rpm[-1], y_low=0.0, y_high=top)
    plot.text(80, 26, f"{name}: natural frequencies against shaft speed", 13, bold=True)
    low, high = frame.x(found.low_rpm), min(frame.x(found.high_rpm), frame.left + frame.width)
    plot.box(low, frame.top, high - low, frame.height, "#eef3f7")
    draw_frame(plot, frame, "shaft speed, rpm", "frequency, Hz")
    plot.text((low + high) / 2, frame.top + 12, "running range", 8.5, "centre", SOFT)
    shown = [line for line in (_Line.of(m, found.rpm) for m in found.modes) if min(hz for _, hz in line.soft) <= top]
    for line in shown:
        _draw(plot, frame, line)
    _name(plot, frame, shown)
    for n, e in enumerate(found.excitations):
        slope = e.order / 60.0
        end = min(found.rpm[-1], top / slope)
        colour = COLOURS[(0, 5)[n % 2]]
        plot.line([(frame.x(0.0), frame.y(0.0)), (frame.x(end), frame.y(end * slope))], colour, 1.6)
        x, y = _clear_of(frame, shown, (frame.x(end), frame.y(end * slope)))
        plot.text(x, y, e.label, 9, "left", colour, bold=True)
    for c in found.crossings:
        _meet(plot, frame, found, c)
    _explain(plot, found, len(found.modes) - len(shown))
    return plot


@dataclass(frozen=True, slots=True)
class _Line:
    """What answers, as points (rpm, Hz): at its softest, and at its stiffest where that is another."""

    mode: Mode
    soft: tuple[P, ...]
    stiff: tuple[P, ...]

    @property
    def words(self) -> str:
        """Its name and its frequency at full speed."""
        low, high = (f"{hz:.3g}" for hz in (self.mode.low_hz, self.mode.high_hz))
        return f"{self.mode.name}, {low if low == high else f'{low} to {high}'} Hz"

    @classmethod
    def of(cls, m: Mode, rpm: tuple[float, ...]) -> _Line:
        """Return it over these speeds."""
        low, high = m.low_curve or (m.low_hz,) * len(rpm), m.high_curve or (m.high_hz,) * len(rpm)
        same = m.high_hz <= 1.001 * m.low_hz
        return cls(m, tuple(zip(rpm, low, strict=True)), () if same else tuple(zip(rpm, high, strict=True)))


def _draw(plot: Plot, frame: Frame, line: _Line) -> None:
    for points, (width, dash) in ((line.soft, _SOFT), (line.stiff, _STIFF)):
        seen = [(frame.x(rpm), frame.y(hz)) for rpm, hz in points if hz <= frame.y_high]
        if len(seen) > 1:
            plot.line(seen, _COLOUR[line.mode.of], width, dash)


def _name(plot: Plot, frame: Frame, lines: list[_Line]) -> None:
    """Write the names beside the picture, each at its line and clear of the others."""
    right, bottom = frame.left + frame.width, frame.top + frame.height
    ends = sorted((frame.y(min(line.soft[-1][1], frame.y_high)), n) for n, line in enumerate(lines))
    places: list[float] = []
    for y, _ in ends:
        places.append(max(y + 3.0, places[-1] + 11.0 if places else 0.0))
    for k in range(len(places) - 1, -1, -1):
        places[k] = min(places[k], places[k + 1] - 11.0 if k + 1 < len(places) else bottom + 3.0)
    for (y, n), place in zip(ends, places, strict=True):
        plot.line([(right, y), (right + 8, place - 3)], FAINT, 0.7)
        plot.text(right + 11, place, lines[n].words, 8.5, colour=_COLOUR[lines[n].mode.of])


_LABEL = (54.0, 9.0)
"""Width and height of the name of what excites."""


def _clear_of(frame: Frame, lines: list[_Line], end: P) -> P:
    """Where beside a rising line its name stands clear of what answers: beneath it, or else over it, high rather than
    low."""
    x0, y0 = frame.x(0.0), frame.y(0.0)
    wide, tall = _LABEL
    answers = [[(frame.x(rpm), frame.y(hz)) for rpm, hz in points] for m in lines for points in (m.soft, m.stiff)]
    places = []
    for n in range(90, 20, -2):
        x, y = (a + 0.01 * n * (b - a) for a, b in ((x0, end[0]), (y0, end[1])))
        drop = tall * (end[0] - x0) / max(y0 - end[1], 1.0)
        places += [(x + drop + 4.0, y + tall - 2.0), (x - wide - 6.0, y - 4.0)]
    inside = [(x, y) for x, y in places if frame.left < x < frame.left + frame.width - wide and y < y0 - 4.0]

    def room(place: P) -> float:
        x, y = place
        near = [b - y + tall / 2.0 for line in answers for a, b in line if x - 8.0 <= a <= x + wide + 8.0]
        return min(tall, *(abs(d) for d in near)) if near else tall

    return max(inside or places, key=room)


def _meet(plot: Plot, frame: Frame, found: VibrationMap, c: Crossing) -> None:
    """Draw a meeting from the softest to the stiffest, as far as the picture goes."""
    if c.low_hz > frame.y_high:
        return
    share = min(1.0, frame.y_high / c.high_hz, frame.x_high / c.high_rpm)
    places = [(c.low_rpm, c.low_hz), (share * c.high_rpm, share * c.high_hz)]
    if places[1][0] > 1.001 * places[0][0]:
        plot.line([(frame.x(rpm), frame.y(hz)) for rpm, hz in places], INK, 3.0)
    for rpm, hz in places if share == 1.0 else places[:1]:
        plot.dot(frame.x(rpm), frame.y(hz), 4.2, INK)
        if not found.low_rpm <= rpm <= found.high_rpm:
            plot.dot(frame.x(rpm), frame.y(hz), 3.1, "#ffffff")


def _explain(plot: Plot, found: VibrationMap, hidden: int) -> None:
    """What the marks mean, what is left out, and what the hull is taken as."""
    y = 430.0
    plot.dot(84, y - 3, 4.2, INK)
    plot.text(93, y, "meets within the running range", 8.5)
    plot.dot(254, y - 3, 4.2, INK)
    plot.dot(254, y - 3, 3.1, "#ffffff")
    plot.text(263, y, "meets outside it", 8.5)
    lines = ((350.0, (3.0, ()), "may meet"), (440.0, _SOFT, "softest likely"), (545.0, _STIFF, "stiffest likely"))
    for x, (width, dash), words in lines:
        plot.line([(x, y - 3), (x + 22, y - 3)], INK, width, dash)
        plot.text(x + 27, y, words, 8.5)
    notes = [*found.notes, *([f"{hidden} higher natural frequencies not shown"] if hidden else [])]
    plot.text(80, 446, ("; ".join(notes))[:130], 8, colour=SOFT)
    plot.text(80, 459, f"{found.hull} {GUIDANCE}", 8, colour=SOFT)
