"""The figures of a survey as values of a parameter set: those ways of saying them that the set has are kept."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from strutwright.models import frames
from strutwright.models.bench.survey import Figure, Surveyed
from strutwright.models.formulas import hull_curve as law
from strutwright.models.resolve import Resolved
from strutwright.params.schema import ParameterSet
from strutwright.params.words import Amount

_ANGLES = {"to_hull": "pitch_deg", "to_waterline": "shaft_deg", "to_palm": "to_palm_deg"}
_DROPS = {"vertical": "drop_vertical_mm", "square_to_shaft": "drop_mm", "square_to_hull": "drop_square_to_hull_mm"}


_ALIKE_DEG = 30.0
"""Curves of two sides whose axes are farther apart have no mean."""
_APART = 0.7
"""Likewise faces of second order that are farther apart by this share of their mean: cylinders 30 degrees apart are."""
_UNLIKE = "the two sides curve in other directions: write each into a set of its own"
_STRAIGHT_MM = 1e6
"""A hull face of a greater radius along its axis than a set may say is straight there."""
_FACE = (("radius", "mm"), ("axis", "deg"), ("along", "mm"))
"""Figures of a hull face, and their units."""


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
    return faces + [_for_set(path, f, unit, units) for path, f, unit in out]


def _faces(of: Resolved, figures: dict[str, Figure]) -> list[ForSet]:
    """What a palm is told of the hull's curve, and the starboard one of two on one plane. Raises NotForSetError."""
    said, out = of.of_strut, []
    for at, name in (("hull_face", ""), ("hull_face_starboard", "_starboard")):
        radius, axis, along = (figures[f"face_{n}{name}_{u}"] for n, u in _FACE)
        has = getattr(said.palm, at)
        if not math.isfinite(radius.value):
            if has is not None and not name:
                what = (
                    "the set's palm is made to a hull's curve (palm.hull_face), and by this survey a flat one does, or "
                )
                raise NotForSetError(what + "no curve fits: remove it from the set, or measure more points")
            continue
        bends = math.isfinite(along.value) and abs(along.value) <= _STRAIGHT_MM
        if has is not None and has.along is not None and not bends:
            what = f"the set's palm bends along its axis too (palm.{at}.along), and by this survey a cylinder does"
            raise NotForSetError(f"{what}: remove it from the set")
        for place, figure in (("", radius), *([(".along", along)] if bends else [])):
            size = replace(figure, value=abs(figure.value))
            out.append(_for_set(f"palm.{at}{place}.radius", size, "mm", said.units))
            out.append(ForSet(f"palm.{at}{place}.crown", "toward_hull" if figure.value > 0.0 else "away_from_hull", ""))
        out.append(_for_set(f"palm.{at}.axis", axis, "deg", said.units))
    return out


def _for_set(path: str, figure: Figure, unit: str, units: str) -> ForSet:
    within = "" if figure.within is None else _written(figure.within, unit, units)
    return ForSet(path, _written(figure.value, unit, units), within)


def _written(value: float, unit: str, units: str) -> str:
    """A value as a file has it: to 0.1 mm, 0.01 in or degrees."""
    rounded = round(value, 2) if unit == "deg" else round(value, 1) if units == "mm" else value
    return Amount(rounded, unit).read("in" if units == "in" else "mm")


def _figures(found: Surveyed, of: Resolved) -> dict[str, Figure]:
    """The figures of the set's side, or the mean of both."""
    sides = [s for s in found.sides if s.side in (None, of.said.identity.hand)] or list(found.sides)
    if len(sides) == 1:
        return dict(sides[0].figures)
    both = [dict(side.figures) for side in sides]
    out: dict[str, Figure] = {}
    for palm in ("", "_starboard"):
        if all(math.isfinite(side[f"face_along{palm}_mm"].value) for side in both):
            out |= _mean_face(both, [f"face_{name}{palm}_{unit}" for name, unit in _FACE])
    for name, one in both[0].items():
        if name in out:
            continue
        other = both[1][name]
        mirrored = -other.value if name in ("tilt_deg", "plan_deg") or "face_axis" in name else other.value
        if "face_axis" in name:  # a direction has no sense
            mirrored = one.value + (mirrored - one.value + 90.0) % 180.0 - 90.0
            if abs(mirrored - one.value) > _ALIKE_DEG:
                raise NotForSetError(_UNLIKE)
        out[name] = Figure((one.value + mirrored) / 2, _of_mean(one, other))
    return out


def _of_mean(one: Figure, other: Figure) -> float | None:
    """Within how much the mean of two figures lies."""
    return None if one.within is None or other.within is None else math.hypot(one.within, other.within) / 2


def _mean_face(sides: Sequence[dict[str, Figure]], names: Sequence[str]) -> dict[str, Figure]:
    """The mean of two faces of second order, the other side's mirrored: of their heights, not of their radii."""
    both = [
        law.bends_of(-0.5 / radius, -0.5 / along, way * axis)
        for way, (radius, axis, along) in zip(
            (1.0, -1.0), ([side[name].value for name in names] for side in sides), strict=True
        )
    ]
    uu, uv, vv = (sum(pair) / 2 for pair in zip(*both, strict=True))
    apart = [one - other for one, other in zip(*both, strict=True)]
    if math.hypot(apart[0], apart[1] / math.sqrt(2.0), apart[2]) > _APART * math.hypot(uu, uv / math.sqrt(2.0), vv):
        raise NotForSetError(_UNLIKE)
    across, along, square = (float(x) for x in law.principal(uu, uv, vv, hollow=uu + vv >= 0.0))
    values = (-0.5 / across, square % 180.0 - 90.0, -0.5 / along if along else math.inf)
    return {
        name: Figure(value, _of_mean(*(side[name] for side in sides)))
        for name, value in zip(names, values, strict=True)
    }


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
