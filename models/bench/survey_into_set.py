"""The figures of a survey as values of a parameter set: those ways of saying them that the set has are kept."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from strutwright.models import frames
from strutwright.models.bench.survey import Figure, Surveyed
from strutwright.models.resolve import Resolved
from strutwright.params.schema import ParameterSet
from strutwright.params.words import Amount

_ANGLES = {"to_hull": "pitch_deg", "to_waterline": "shaft_deg", "to_palm": "to_palm_deg"}
_DROPS = {"vertical": "drop_vertical_mm", "square_to_shaft": "drop_mm", "square_to_hull": "drop_square_to_hull_mm"}


_ALIKE_DEG = 30.0
"""Curves of two sides whose axes are farther apart have no mean."""


class NotForSetError(ValueError):
    """The survey does not say what the set needs, or something that it cannot say; the text says which."""


@dataclass(frozen=True, slots=True)
class ForSet:
    """A value for the set: its place, how it is written, and within how much it lies, "" where nothing tells that."""

    path: str
    text: str
    within: str


def values_for(found: Surveyed, of: Resolved) -> list[ForSet]:
    """Return the values that a survey gives a set; of a pair those of the set's side, or the mean for a set of both.

    Raises NotForSetError.

    >>> from strutwright.models.bench.survey import survey
    >>> from strutwright.params.bench.survey import Survey
    >>> from strutwright.params.measured import reads
    >>> text = "{side: centre, angles: {shaft: 9, run: 1, deadrise: 0}, drop: {square_to_shaft: 290}}"
    >>> some = values_for(survey(reads(text, Survey).said), resolved("harbour-launch"))
    >>> [(v.path, v.text) for v in some]
    [('hull.shaft_angle.to_waterline', '9 deg'), ('hull.run', '1 deg'), ('hull.drop.square_to_shaft', '290 mm')]
    """
    figures, said = _figures(found, of), of.of_strut
    units = said.units
    hand, deadrise = found.said.side, figures["deadrise_deg"].value
    if hand != "centre" and deadrise < -0.005:
        raise NotForSetError("the hull falls going outboard there, which a set cannot say: its deadrise is 0 or more")
    run_known = math.isfinite(figures["run_deg"].value)
    shaft = said.hull.shaft_angle
    ways = [n for n in _ANGLES if getattr(shaft, n) is not None]
    if not run_known:
        run = of.strut.hull.run_deg
        figures = _with_run(figures, run, 0 if hand == "centre" else 1)
    out = [(f"hull.shaft_angle.{n}", figures[_ANGLES[n]], "deg") for n in ways]
    if run_known:
        out.append(("hull.run", figures["run_deg"], "deg"))
    if hand != "centre" or "deadrise" in said.hull.model_fields_set:
        out.append(("hull.deadrise", figures["deadrise_deg"], "deg"))
    out += list(_drops(said, figures, of.strut.barrel.length_mm))
    out += [
        (path, figures[name], "mm")
        for path, name in (("propeller.hub_gap", "hub_gap_mm"), ("shaft.bearing_span", "bearing_span_mm"))
        if math.isfinite(figures[name].value)
    ]
    faces = _faces(of, figures)
    return faces + [
        ForSet(path, _written(f.value, unit, units), "" if f.within is None else _written(f.within, unit, units))
        for path, f, unit in out
    ]


def _faces(of: Resolved, figures: dict[str, Figure]) -> list[ForSet]:
    """What a palm is told of the hull's curve, and the starboard one of two on one plane. Raises NotForSetError."""
    said, out = of.of_strut, []
    for at, name in (("hull_face", ""), ("hull_face_starboard", "_starboard")):
        radius, axis = figures[f"face_radius{name}_mm"], figures[f"face_axis{name}_deg"]
        if not math.isfinite(radius.value):
            if getattr(said.palm, at) is not None and not name:
                what = (
                    "the set's palm is made to a hull's curve (palm.hull_face), and by this survey a flat one does, or "
                )
                raise NotForSetError(what + "no cylinder fits: remove it from the set, or measure more points")
            continue
        for key, figure, unit in (("radius", replace(radius, value=abs(radius.value)), "mm"), ("axis", axis, "deg")):
            within = "" if figure.within is None else _written(figure.within, unit, said.units)
            out.append(ForSet(f"palm.{at}.{key}", _written(figure.value, unit, said.units), within))
        crown = "toward_hull" if radius.value > 0.0 else "away_from_hull"
        out.append(ForSet(f"palm.{at}.crown", crown, ""))
    return out


def _written(value: float, unit: str, units: str) -> str:
    """A value as a file has it: to 0.1 mm, 0.01 in or degrees."""
    rounded = round(value, 2) if unit == "deg" else round(value, 1) if units == "mm" else value
    return Amount(rounded, unit).read("in" if units == "in" else "mm")


def _figures(found: Surveyed, of: Resolved) -> dict[str, Figure]:
    """The figures of the set's side, or the mean of both."""
    sides = [s for s in found.sides if s.side in (None, of.said.identity.hand)] or list(found.sides)
    if len(sides) == 1:
        return dict(sides[0].figures)
    out = {}
    for name, one in sides[0].figures.items():
        other = sides[1].figures[name]
        sure = None if one.within is None or other.within is None else math.hypot(one.within, other.within) / 2
        mirrored = -other.value if name in ("tilt_deg", "plan_deg") or "face_axis" in name else other.value
        if "face_axis" in name:  # a direction has no sense
            mirrored = one.value + (mirrored - one.value + 90.0) % 180.0 - 90.0
            if abs(mirrored - one.value) > _ALIKE_DEG:
                raise NotForSetError("the two sides curve in other directions: write each into a set of its own")
        out[name] = Figure((one.value + mirrored) / 2, sure)
    return out


def _with_run(figures: dict[str, Figure], run_deg: float, side: int) -> dict[str, Figure]:
    """The figures with what follows from a run that the set says and the survey does not."""
    pitch, tilt = (math.radians(figures[n].value) for n in ("pitch_deg", "tilt_deg"))
    rise = math.degrees(math.atan(abs(math.tan(tilt)) * math.cos(pitch) / math.cos(math.radians(run_deg))))
    vertical, _ = frames.drop_factors(math.degrees(pitch) - run_deg, run_deg, math.degrees(pitch), math.degrees(tilt))
    drop = figures["drop_mm"]
    sure = None if drop.within is None else drop.within * vertical
    return {
        **figures,
        "shaft_deg": Figure(math.degrees(pitch) - run_deg, figures["pitch_deg"].within),
        "deadrise_deg": Figure(rise * side, figures["deadrise_deg"].within),
        "drop_vertical_mm": Figure(drop.value * vertical, sure),
    }


def _drops(said: ParameterSet, figures: dict[str, Figure], barrel_mm: float) -> Iterable[tuple[str, Figure, str]]:
    """The drop in the ways that the set says it, at the place of the barrel where it says it."""
    drop = said.hull.drop
    there = {"mid": 0.0, "aft": -barrel_mm / 2, "forward": barrel_mm / 2}[drop.at]
    fall = there * math.tan(math.radians(figures["pitch_deg"].value))
    at_mid = figures["drop_mm"].value
    for name, key in _DROPS.items():
        if getattr(drop, name) is not None:
            figure = figures[key]
            yield f"hull.drop.{name}", Figure(figure.value * (1.0 - fall / at_mid), figure.within), "mm"
