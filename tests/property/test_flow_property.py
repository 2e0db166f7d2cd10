"""Laws of the water past the arms, over all that a file may say."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strength_support import inputs_of, with_arm

from strutwright.models.checks.vibration import flow
from strutwright.models.formulas import drag
from strutwright.models.sections import kind_names

BASE = inputs_of("harbour-launch")
SHAPE, SPEED = st.sampled_from(kind_names()), st.floats(0.01, 80.0)
CHORD, RATIO = st.floats(5.0, 2000.0), st.floats(0.01, 1.0)
TOE, CLOCK, PITCH = st.floats(-15.0, 15.0), st.floats(-90.0, 90.0), st.floats(0.0, 30.0)


@settings(deadline=None, max_examples=150)
@given(SHAPE, SPEED, CHORD, st.tuples(RATIO, RATIO), st.tuples(TOE, CLOCK, PITCH))
def test_every_arm_has_its_numbers(
    shape: str, kn: float, chord: float, ratios: tuple[float, float], turned: tuple[float, float, float]
) -> None:
    (ratio, at_palm), (toe, clock, pitch) = ratios, turned
    inputs = with_arm(
        replace(BASE, boat_speed_kn=kn, pitch_deg=pitch),
        shape=shape,
        toe_deg=toe,
        clock_deg=clock,
        chord_barrel_mm=chord,
        chord_palm_mm=chord,
        thickness_barrel_mm=ratio * chord,
        thickness_palm_mm=at_palm * chord,
        edge_radius_mm=0.05 * ratio * chord,
    )
    low, usual, high = (float(v) for v in flow.shedding_hz(inputs))
    assert 0.0 < low <= usual <= high < math.inf
    speeds = [float(flow.inception_kn(inputs, a)) for a in (4, 2, 0)]
    assert speeds == sorted(speeds)
    assert speeds[0] > 0.0
    assert flow.inception_kn(inputs, 0.0, along_best=True) >= speeds[-1]
    least, most = flow.blades(inputs)[0].off_deg
    assert 0.0 <= least <= most <= abs(toe) + pitch + 1e-9
    assert max(least, most) >= abs(toe) - 1e-9
    assert 0.0 < float(flow.drag_n(inputs, kn * 0.5144)) < math.inf


@settings(deadline=None, max_examples=150)
@given(SHAPE, st.floats(0.01, 40.0), st.floats(1.01, 2.0), CHORD, RATIO)
def test_a_faster_boat_sheds_faster_and_never_drags_less(
    shape: str, speed: float, more: float, chord: float, ratio: float
) -> None:
    """But where an ellipse, or two arcs, become supercritical."""
    thickness = ratio * chord
    slow, fast = (float(drag.section_n_mm(shape, chord, thickness, v)) for v in (speed, more * speed))
    crossed = speed * chord < drag.CRITICAL_RE * 1.19e-3 <= more * speed * chord
    assert fast > slow or (shape in ("ellipse", "two_arcs") and crossed)
    assert float(drag.junction_n(chord, thickness, speed)) >= 0.0


@settings(deadline=None, max_examples=100)
@given(SHAPE, CHORD, RATIO, st.floats(1.0, 2.0), SPEED)
def test_a_thicker_arm_of_one_chord_never_drags_less(
    shape: str, chord: float, ratio: float, more: float, kn: float
) -> None:
    thick = min(more * ratio, 1.0)
    thin = (float(drag.section_n_mm(shape, chord, r * chord, kn * 0.5144)) for r in (ratio, thick))
    first, second = thin
    assert second >= first * (1.0 - 1e-12)


def test_candidates_come_out_as_one_by_one() -> None:
    chord = np.array([70.0, 95.0, 140.0])
    many = flow.numbers(with_arm(BASE, chord_barrel_mm=chord))
    for k, size in enumerate(chord.tolist()):
        one = flow.numbers(with_arm(BASE, chord_barrel_mm=size))
        for code, outcome in many.items():
            for name in ("demand", "utilisation"):
                got = np.broadcast_to(getattr(outcome, name), 3)[k]
                assert got == pytest.approx(float(getattr(one[code], name)), rel=1e-12, nan_ok=True)
