"""How far the bearing moves and how much the arm is stressed over shaft speed, for what turns and pulses: one strut.

What a picture of it needs. As `driven`, at the usual damping and with resonance whole. Guidance.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from strutwright.models import driven
from strutwright.models.arrays import Floats
from strutwright.models.formulas import response as rules
from strutwright.models.inputs import Inputs

_NEAR = np.arange(-16.0, 17.0)
"""Steps of half the damping about resonance at which a curve is drawn: its peak is as sharp as that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """One thing that drives: least and greatest answer at each speed, over all that the strut's seat may be."""

    name: str
    moved_mm: tuple[Floats, Floats]
    stress_mpa: tuple[Floats, Floats]


@dataclass(frozen=True, slots=True, kw_only=True)
class ResponseCurves:
    """The answers over shaft speed; low_rpm to high_rpm is the running range.

    allowed_mpa: what the arm may bear in an accident. damping: least, usual and greatest; drawn is the usual. notes:
    what is left out.
    """

    rpm: Floats
    low_rpm: float
    high_rpm: float
    curves: tuple[Curve, ...]
    allowed_mpa: float
    damping: tuple[float, float, float]
    notes: tuple[str, ...]


def response_curves(
    inputs: Inputs, still: Mapping[str, float], across_mpa_per_n: float, along_mpa_per_n: float
) -> ResponseCurves | None:
    """Return the curves of a strut, or None when its file does not say enough for any.

    still: sizes of the loads at full speed (`load_cases.still`). across, along: the greatest stress in the arms by a
    newton across and along the shaft.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> found = response_curves(rigid, {"blade_loss": 1e4, "unbalance": math.nan, "blade_side": math.nan}, 0.02, 0.0)
    >>> [c.name for c in found.curves], round(float(found.rpm[np.argmax(found.curves[0].stress_mpa[1])]))
    (['a whole blade lost'], 2160)
    """
    low, high = (60.0 * float(hz) for hz in driven.shaft_rates_hz(inputs))
    known = driven.naturals(inputs)
    if math.isnan(high) or math.isnan(float(known.turning.lowest[0][0])):
        return None
    blades = float(inputs.blades)
    rpm = _speeds(low, high, known, [1.0] if math.isnan(blades) else [1.0, blades], inputs.limit("damping_ratio"))
    driving = (
        ("a whole blade lost", 1.0, still["blade_loss"], 0.0),
        ("the propeller out of balance", 1.0, still["unbalance"], 0.0),
        ("pulses of the blades", blades, still["blade_side"], still.get("blade_rate", 0.0)),
    )
    curves, left_out = [], []
    for name, times, across, along in driving:
        if math.isnan(times * across):
            left_out.append(f"{name} left out: the file does not say enough")
            continue
        # All of it goes as the square of speed.
        share = (rpm / high) ** 2
        moved, times_across, times_along = _answers(inputs, known, times, rpm)
        stress = tuple(
            share * (across * across_mpa_per_n * a + along * along_mpa_per_n * b)
            for a, b in zip(times_across, times_along, strict=True)
        )
        curves.append(
            Curve(
                name=name,
                moved_mm=(share * across * moved[0], share * across * moved[1]),
                stress_mpa=(stress[0], stress[1]),
            )
        )
    if not curves:
        return None
    return ResponseCurves(
        rpm=rpm,
        low_rpm=low,
        high_rpm=high,
        curves=tuple(curves),
        allowed_mpa=inputs.limit("yield_accident") * float(inputs.strut.yield_mpa),
        damping=(inputs.limit("damping_low"), inputs.limit("damping_ratio"), inputs.limit("damping_high")),
        notes=tuple(left_out),
    )


def _speeds(low: float, high: float, known: driven.Naturals, times: list[float], damping: float) -> Floats:
    """Speeds at which the curves are drawn: evenly, and closely about each resonance; past one that is not far off."""
    resonance = 60.0 * float(known.turning.lowest[0][1])
    top = max(1.3 * high, min(1.1 * resonance, 1.8 * high))
    made = [np.linspace(0.0, top, 261), np.array([low, high])]
    for ends in (*known.turning.lowest, *known.pulsing.lowest, known.along):
        for hz in ends:
            made += [60.0 * float(hz) / t * (1.0 + 0.5 * damping * _NEAR) for t in times]
    found = np.unique(np.concatenate(made))
    return np.asarray(found[(found >= 0.0) & (found <= top)])


_Both: TypeAlias = tuple[Floats, Floats]


def _answers(inputs: Inputs, known: driven.Naturals, times: float, rpm: Floats) -> tuple[_Both, _Both, _Both]:
    """Least and greatest at each speed: mm per N across, and times the still force across and along."""
    damping, hz = inputs.limit("damping_ratio"), np.maximum(times * rpm / 60.0, 1e-6)
    ways, carried = known.ways(times), float(known.carried)
    # The least is that of one way, at one end of what it may be.
    least_moved, least_sized = [], []
    for ends in ways.lowest:
        size = [np.asarray(rules.amplification(hz / n, damping)) for n in ends]
        move = [s / rules.stiffness_n_mm(n, known.moving_kg) for n, s in zip(ends, size, strict=True)]
        least_sized.append(carried * np.minimum(*size))
        least_moved.append(carried * np.minimum(*move))
    along = [np.asarray(rules.amplification(hz / n, damping)) for n in known.along]
    nearest = rules.worst_natural_hz(*known.along, hz, damping)
    return (
        (np.maximum(*least_moved), np.asarray(driven.moved_by_newton_mm(known, ways, hz, hz, damping))),
        (np.maximum(*least_sized), np.asarray(driven.carried_times(known, ways, hz, hz, damping))),
        (np.minimum(*along), np.asarray(rules.amplification(hz / nearest, damping))),
    )
