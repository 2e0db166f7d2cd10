"""The largest circle of a section against closed forms of plane geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strutwright.models.formulas.inscribed import largest_circle


def tee(plate: float, stem: float, fillet: float) -> np.ndarray:
    """A plate (y from -plate to 0) with a stem on it in the middle, and fillets."""
    turn = np.linspace(0.0, math.pi / 2.0, 61)
    corner = np.column_stack([stem / 2 + fillet * (1 - np.sin(turn)), fillet * (1 - np.cos(turn))])
    right = np.vstack([[(200.0, -plate), (200.0, 0.0)], corner, [(stem / 2, 200.0)]])
    return np.vstack([right, right[::-1] * (-1.0, 1.0)])


@pytest.mark.parametrize(("plate", "stem", "fillet"), [(14.0, 24.5, 7.0), (20.0, 10.0, 6.0), (18.5, 27.0, 0.001)])
def test_circle_where_a_stem_stands_on_a_plate(plate: float, stem: float, fillet: float) -> None:
    # Touching the plate's far face and both fillets, whose middles lie at (stem / 2 + fillet, fillet).
    a, b = stem / 2 + fillet, plate + fillet
    high = (a * a + fillet * fillet - b * b) / (2.0 * (b + fillet))
    found = largest_circle([tee(plate, stem, fillet)], np.array([0.0, -plate]), np.array([0.0, 20.0]), 8.0)
    assert found.radius_mm == pytest.approx(high + plate, abs=0.01)
    assert found.centre == pytest.approx((0.0, high), abs=0.05)


@settings(max_examples=8, deadline=None, database=None)
@given(st.floats(20, 200), st.floats(0.3, 0.9), st.floats(0.0, 2 * math.pi))
def test_wall_of_a_ring_whatever_its_size(outside: float, share: float, turn: float) -> None:
    at = np.linspace(0.0, 2 * math.pi, 121)[:-1]
    rings = [r * np.column_stack([np.cos(at), np.sin(at)]) for r in (outside / 2, share * outside / 2)]
    way = np.array([math.cos(turn), math.sin(turn)])
    found = largest_circle(rings, share * outside / 2 * way, outside / 2 * way, 0.2 * outside)
    assert found.radius_mm == pytest.approx((1 - share) * outside / 4, rel=0.01)


def test_no_metal_is_told() -> None:
    square = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    with pytest.raises(ValueError, match="no metal"):
        largest_circle([square], np.array([5.0, 5.0]), np.array([6.0, 5.0]), 0.5)
