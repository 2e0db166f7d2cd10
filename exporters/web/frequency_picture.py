"""The picture of frequency against rpm: what shakes, what it can meet, and where in the running range."""

from __future__ import annotations

from pathlib import Path

from strutwright.exporters.web.plot import COLOURS, FAINT, INK, SOFT, Frame, Plot, draw_frame
from strutwright.models.spec import Strut
from strutwright.models.vibration_map import Crossing, VibrationMap, vibration_map
from strutwright.params.limits import Limits

GUIDANCE = "Guidance only, not an approval."


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
    """Return the picture of a map: rising lines for what excites, level ones for what answers, rings where they meet.

    The running range is shaded; a meeting within it is a full dot. What the hull makes a range is drawn heavy.
    """
    driven = max(e.hz[-1] for e in found.excitations)
    top = max(1.15 * driven, *(1.05 * m.high_hz for m in found.modes if m.high_hz <= 2.0 * driven), 1.0)
    shown = [m for m in found.modes if m.low_hz <= top]
    plot = Plot(760, 470, f"{name}: frequency against shaft speed")
    frame = Frame(left=80, top=52, width=450, height=330, x_low=0.0, x_high=found.rpm[-1], y_low=0.0, y_high=top)
    plot.text(80, 26, f"{name}: natural frequencies against shaft speed", 13, bold=True)
    low, high = frame.x(found.low_rpm), min(frame.x(found.high_rpm), frame.left + frame.width)
    plot.box(low, frame.top, high - low, frame.height, "#eef3f7")
    draw_frame(plot, frame, "shaft speed, rpm", "frequency, Hz")
    plot.text((low + high) / 2, frame.top + 12, "running range", 8.5, "centre", SOFT)
    for n, e in enumerate(found.excitations):
        slope = e.order / 60.0
        end = min(found.rpm[-1], top / slope)
        colour, at = COLOURS[(0, 5)[n % 2]], 0.93 * end
        plot.line([(frame.x(0.0), frame.y(0.0)), (frame.x(end), frame.y(end * slope))], colour, 1.6)
        plot.text(frame.x(at) - 5, frame.y(at * slope) - 2, e.label, 9, "right", colour, bold=True)
    used: list[float] = []
    for m in sorted(shown, key=lambda m: -m.low_hz):
        y, right = frame.y(m.low_hz), frame.left + frame.width
        dash: tuple[float, ...] = () if m.of == "strut" else (5, 3)
        colour = "#009e73" if dash else INK
        plot.line([(frame.left, y), (right, y)], colour, 1.2, dash)
        words = f"{m.low_hz:.3g} Hz"
        if m.high_hz > 1.001 * m.low_hz:
            # From the soft hull to the stiff one, which has a line where it is on the picture.
            high = frame.y(min(m.high_hz, top))
            if m.high_hz <= top:
                plot.line([(frame.left, high), (right, high)], colour, 0.7, (2, 2))
            words = f"{m.low_hz:.3g} to {m.high_hz:.3g} Hz"
        label = max(y + 3, used[-1] + 11 if used else 0.0)
        used.append(label)
        plot.line([(right, y), (right + 8, label - 3)], FAINT, 0.7)
        plot.text(right + 11, label, f"{m.name}, {words}", 8.5)
    for c in found.crossings:
        if c.mode.low_hz <= top:
            _meeting(plot, frame, found, c, top)
    y = 430.0
    plot.dot(84, y - 3, 4.2, INK)
    plot.text(93, y, "meets within the running range", 8.5)
    plot.dot(254, y - 3, 4.2, INK)
    plot.dot(254, y - 3, 3.1, "#ffffff")
    plot.text(263, y, "meets outside it", 8.5)
    plot.line([(350, y - 3), (372, y - 3)], INK, 3.0)
    plot.text(378, y, "may meet, by how stiff the hull is", 8.5)
    hidden = len(found.modes) - len(shown)
    notes = [*found.notes, *([f"{hidden} higher natural frequencies not shown"] if hidden else [])]
    plot.text(80, 446, ("; ".join(notes))[:130], 8, colour=SOFT)
    plot.text(80, 459, f"{found.hull} {GUIDANCE}", 8, colour=SOFT)
    return plot


def _meeting(plot: Plot, frame: Frame, found: VibrationMap, c: Crossing, top: float) -> None:
    """Draw where an excitation meets a mode, from soft to stiff hull as far as the picture goes."""
    share = min(1.0, top / c.mode.high_hz, found.rpm[-1] / c.high_rpm)
    places = [(c.low_rpm, c.mode.low_hz), (share * c.high_rpm, share * c.mode.high_hz)]
    if places[1][0] > 1.001 * places[0][0]:
        plot.line([(frame.x(rpm), frame.y(hz)) for rpm, hz in places], INK, 3.0)
    for rpm, hz in places if share == 1.0 else places[:1]:
        plot.dot(frame.x(rpm), frame.y(hz), 4.2, INK)
        if not found.low_rpm <= rpm <= found.high_rpm:
            plot.dot(frame.x(rpm), frame.y(hz), 3.1, "#ffffff")
