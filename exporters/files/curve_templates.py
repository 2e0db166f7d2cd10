"""Templates of the hull's curve under a palm, full size, for the yard and for whoever machines the palm."""

from __future__ import annotations

import math

import numpy as np

from strutwright.exporters.files.cutfile import CutFile, cut_file
from strutwright.exporters.files.lettering import SMALL_MM, TEXT_MM, Lettering, add_centred, finish
from strutwright.models.arrays import Floats
from strutwright.models.hull_curve import HullCurve
from strutwright.models.outline import polygon
from strutwright.models.spec import Palm, Strut
from strutwright.params.words import deg

_BEYOND_MM = 10.0
"""How far a template reaches past the palm, each way."""
_BACK_MM = 35.0
_STRAIGHT_MM = 0.02
"""What is less out of straight over its length is a straight edge, and needs no template."""
_CHORD_MM = 0.002
_STEPS = 8


def hull_curve_templates(strut: Strut, palm: Palm) -> CutFile | None:
    """Return the templates: along and across the palm through its middle, and square to the axis of the curve where
    that is neither, and along it where the face bends there too; None of a palm whose hull face is flat.

    Each has the curve of the palm's hull face as its upper edge, to be held to the hull or, turned over, cut along the
    curve to a template for the palm itself.
    """
    curve = palm.curve
    if curve is None:
        return None
    cut = cut_file(strut, f"{palm.name} hull-curve templates")
    y, facts = 0.0, []
    for name, turn_deg, ends in _lines(strut, curve):
        reach = _reach(palm, turn_deg)
        places = _profile(curve, turn_deg, reach)
        if float(np.ptp(places[:, 1])) < _STRAIGHT_MM:
            facts.append(f"{name} the hull face is straight: a straight edge serves")
            continue
        back = float(places[:, 1].min()) - _BACK_MM
        shift = np.array([0.0, y - back])
        loop = np.vstack([places, [(places[-1, 0], back), (places[0, 0], back)]]) + shift
        cut.add_polyline("CUT_OUTER", loop)
        cut.add_line("CENTRE", (0.0, y - 6.0), (0.0, float(shift[1]) + 6.0))
        for x in (reach[0], reach[1]):
            at = float(np.interp(x, places[:, 0], places[:, 1])) + shift[1]
            cut.add_line("ENGRAVE", (x, at), (x, at - 8.0))
        add_centred(cut, "middle of the palm", (0.0, y - 6.0 - 1.5 * TEXT_MM), TEXT_MM)
        letters = Lettering(cut)
        letters.inside(polygon(loop), [f"{palm.name}: {name}", "curved edge to the hull"])
        for x, end in zip((places[0, 0] - 3.0, places[-1, 0] + 3.0), ends, strict=True):
            letters.beside(end.upper(), (float(x), y + _BACK_MM / 2), SMALL_MM, way_deg=180.0 if x < 0 else 0.0)
        y += float(np.ptp(places[:, 1])) + _BACK_MM + 24.0
    facts = [
        _curve_fact(cut, curve),
        "hold each upright to the hull through the middle of the palm, in its direction; short lines mark the edges of "
        "the palm. For the palm itself use the piece that is left when the curve has been cut",
        "the hull in hand may differ: what shows as a gap under these edges, the bedding has to take",
        *facts,
    ]
    finish(cut, strut, f"{palm.name}, hull-curve templates", "hull face", facts)
    return cut


def _lines(strut: Strut, curve: HullCurve) -> list[tuple[str, float, tuple[str, str]]]:
    """Name, direction from u toward port in degrees, and what lies at the left and the right end."""
    side = strut.identity.side
    out = [("ALONG the palm", 0.0, ("aft", "forward")), ("ACROSS the palm", 90.0, (side("starboard"), side("port")))]
    names = {True: "SQUARE TO THE CURVE'S AXIS", False: "ALONG THE CURVE'S AXIS"}
    for way in curve.ways:
        turn = (way.turn_deg + 90.0) % 180.0 - 90.0
        if min(abs(turn), abs(abs(turn) - 90.0)) > 0.05:
            words = "starboard and aft, port and forward" if turn > 0 else "port and aft, starboard and forward"
            one, other = words.split(", ")
            out.append((names[way.across], turn, (one, other)))
    return out


def _curve_fact(cut: CutFile, curve: HullCurve) -> str:
    """What the palm's hull face is made to."""
    toward = f"toward {'port' if curve.axis_deg >= 0 else 'starboard'}"
    axis = f"axis {cut.said(deg(abs(curve.axis_deg)))} from the palm's u {toward}"
    shapes = ["rounded" if way.crown_to_hull else "hollow" for way in curve.ways]
    sizes = [cut.length(way.radius_mm) for way in curve.ways]
    if not curve.second_order:
        return f"curve of the palm's hull face, {shapes[0]}: cylinder of radius {sizes[0]}, its {axis}"
    return (
        f"curve of the palm's hull face, of second order: {shapes[0]} to a radius of {sizes[0]} square to its axis, "
        f"{shapes[1]} to {sizes[1]} along it, both in the middle; the {axis}"
    )


def _reach(palm: Palm, turn_deg: float) -> tuple[float, float]:
    """Where the line through the palm's middle leaves its outline, mm from there, back and ahead."""
    turn = math.radians(turn_deg)
    way = np.array([math.cos(turn), math.sin(turn)])
    points = palm.outline.polyline(0.01) - palm.middle_mm
    aside, ahead = points @ np.array([-way[1], way[0]]), points @ way
    low: list[float] = []
    high: list[float] = []
    for k in range(len(points)):
        a, b = aside[k - 1], aside[k]
        if a * b <= 0.0 and a != b:
            at = float(ahead[k - 1] + a / (a - b) * (ahead[k] - ahead[k - 1]))
            (low if at < 0 else high).append(at)
    return (min(low), max(high)) if low and high else (float(ahead.min()), float(ahead.max()))


def _profile(curve: HullCurve, turn_deg: float, reach: tuple[float, float]) -> Floats:
    """The curve in that direction (n, 2), a little past the palm both ways; chords no more than _CHORD_MM off."""
    turn, (low, high) = math.radians(turn_deg), (reach[0] - _BEYOND_MM, reach[1] + _BEYOND_MM)
    count = max(math.ceil((high - low) / math.sqrt(8.0 * min(way.radius_mm for way in curve.ways) * _CHORD_MM)), _STEPS)
    x = np.linspace(low, high, count + 1)
    return np.column_stack([x, np.asarray(curve.height_mm(x * math.cos(turn), x * math.sin(turn)))])
