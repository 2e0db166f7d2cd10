"""What a survey measures, as a sketch for its form: lengths and angles by the names that the readings have."""

from __future__ import annotations

from strutwright.exporters.drawing.shapes import Arc, Line, P
from strutwright.exporters.drawing.view import View

_HULL = ((0.0, 42.0), (104.0, 31.0))
_SHAFT = ((0.0, 4.0), (104.0, 21.0))
_TEXT = 2.5


def sketch() -> tuple[View, ...]:
    """Return the sketch: from starboard, forward to the right, and beside it along the shaft from aft."""
    view = View("sketch", "foot", "", scale=1.0)
    _side(view)
    _athwart(view)
    return (view,)


def _on(line: tuple[P, P], x: float) -> P:
    (x0, y0), (x1, y1) = line
    return x, y0 + (x - x0) / (x1 - x0) * (y1 - y0)


def _cross(view: View, at: P, name: str, at_deg: float) -> None:
    r = 1.0
    view.add([Line((at[0] - r, at[1]), (at[0] + r, at[1])), Line((at[0], at[1] - r), (at[0], at[1] + r))])
    view.label(at, name, height_mm=_TEXT, at_deg=at_deg)


def _side(view: View) -> None:
    view.add([Line(*_HULL)], "visible")
    view.centre_line(*_SHAFT)
    view.label(_on(_HULL, 6.0), "hull", height_mm=_TEXT, at_deg=70.0)
    view.label(_on(_SHAFT, 98.0), "string, laser or bar", height_mm=_TEXT, at_deg=-80.0)
    a, b = _on(_SHAFT, 42.0), _on(_SHAFT, 60.0)
    for side in (-3.5, 3.5):
        view.add([Line((a[0], a[1] + side), (b[0], b[1] + side))])
    for end in (a, b):
        view.add([Line((end[0], end[1] - 3.5), (end[0], end[1] + 3.5))])
    hub = _on(_SHAFT, 26.0)
    view.add([Line((hub[0], hub[1] - 12.0), (hub[0], hub[1] + 13.0))], "phantom")
    view.label((hub[0], hub[1] + 13.0), "propeller", height_mm=_TEXT, at_deg=160.0)
    for k, x in enumerate((40.0, 51.0, 62.0), 1):
        _cross(view, _on(_HULL, x), f"H{k}", 70.0)
    for k, x in enumerate((8.0, 70.0, 86.0), 1):
        _cross(view, _on(_SHAFT, x), f"S{k}", 110.0)
    mid = _on(_SHAFT, 51.0)
    view.add([Line(mid, _on(_HULL, 51.0))], "thin")
    view.label((mid[0], 27.0), "drop.vertical", height_mm=_TEXT, at_deg=0.0)
    # Along and up are counted from one zero.
    zero: P = (0.0, -6.0)
    view.add([Line(zero, (104.0, -6.0)), Line((62.0, -6.0), _on(_HULL, 62.0))], "thin")
    view.label((66.0, -6.0), "along, from the zero, + forward", height_mm=_TEXT, at_deg=-60.0)
    view.label((62.0, 8.0), "up, of H3", height_mm=_TEXT, at_deg=0.0)
    view.label(zero, "zero", height_mm=_TEXT, at_deg=-100.0)
    view.add([Line(_on(_HULL, 104.0), (76.0, _on(_HULL, 104.0)[1]))], "thin")
    view.label((84.0, _on(_HULL, 104.0)[1]), "angles.run", height_mm=_TEXT, at_deg=-90.0)
    view.add([Line(_on(_SHAFT, 70.0), (100.0, _on(_SHAFT, 70.0)[1]))], "thin")
    view.label((92.0, _on(_SHAFT, 70.0)[1]), "angles.shaft", height_mm=_TEXT, at_deg=-90.0)
    view.arrow((84.0, 42.0), 0.0, "FWD")


def _athwart(view: View) -> None:
    keel: P = (158.0, 26.0)
    view.add([Line(keel, (118.0, 40.0)), Line(keel, (166.0, 29.0))])
    view.add([Line(keel, (128.0, 26.0))], "thin")
    view.label((136.0, 26.0), "angles.deadrise", height_mm=_TEXT, at_deg=-90.0)
    view.centre_line((158.0, -6.0), (158.0, 36.0))
    view.label((158.0, 36.0), "centre line", height_mm=_TEXT, at_deg=90.0)
    at: P = (136.0, 6.0)
    view.add([Arc(at, 4.0), Arc(at, 2.5)])
    view.label((136.0, 2.0), "shaft", height_mm=_TEXT, at_deg=-90.0)
    view.add([Line(at, (158.0, 6.0))], "thin")
    view.label((148.0, 6.0), "port, +", height_mm=_TEXT, at_deg=-70.0)
    view.label((118.0, 40.0), "PORT", height_mm=_TEXT, at_deg=90.0)
