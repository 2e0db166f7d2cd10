"""The foot of an arm as the bolts' levers take it: never larger than the arm really is where its palm cuts it.

Plane geometry by other means: the corners of the arm's section, drawn along the arm into the palm's plane, and the
parallelogram that they make, by its edges.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from numpy.typing import NDArray

from strutwright.models.checks.strength import arm_beams, bolt_forces
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.params.loader import load, shipped
from tests.property.strategies import struts


def half_through_middle(ring: NDArray[np.float64], way: NDArray[np.float64]) -> float:
    """Return how far it is from the middle of a parallelogram to its edge in a direction."""
    edges = np.roll(ring, -1, axis=0) - ring
    out = np.column_stack([edges[:, 1], -edges[:, 0]])
    return float(np.min(np.abs(np.sum(out * ring, axis=1)) / np.maximum(np.abs(out @ way), 1e-9)))


def distance(ring: NDArray[np.float64], to: NDArray[np.float64]) -> float:
    """Return how far a point outside of a ring of straight edges lies from it."""
    edges = np.roll(ring, -1, axis=0) - ring
    at = np.clip(np.sum((to - ring) * edges, axis=1) / np.sum(edges * edges, axis=1), 0.0, 1.0)
    return float(np.min(np.linalg.norm(ring + at[:, None] * edges - to, axis=1)))


def feet_against_polygons(strut: Strut) -> int:
    """Compare each foot of a strut with its polygon; return how many are turned on their palm by over a degree."""
    inputs, turned = Inputs.from_strut(strut), 0
    beams = arm_beams.beams(inputs)
    for k, (palm, feet) in enumerate(zip(inputs.palms, bolt_forces._feet(inputs), strict=True)):
        here = [beam for beam in beams if beam.arm.palm_index == k]
        u, v, normal = (np.array([float(x) for x in axis]) for axis in (palm.u, palm.v, palm.normal))
        for beam, foot in zip(here, feet, strict=True):
            along, chord, across = (np.array([float(x) for x in w]) for w in (beam.along, beam.chord, beam.across))
            size = [float(x) / 2 for x in beam.arm.size_at(beam.arm.water_mm)]
            corners = []
            for s, t in ((1, 1), (1, -1), (-1, -1), (-1, 1)):
                corner = s * size[0] * chord + t * size[1] * across
                corner = corner - along * (corner @ normal) / (along @ normal)
                corners.append((corner @ u, corner @ v))
            ring = np.array(corners)
            root = float(foot.root)
            real = [half_through_middle(ring, np.array(way)) + root for way in ((1.0, 0.0), (0.0, 1.0))]
            box = foot.box
            taken = [float(box.forward - box.aft) / 2, float(box.port - box.starboard) / 2]
            assert taken == pytest.approx(real, rel=1e-6)
            middle = [float(x) for x in foot.middle]
            for far in ((700.0, 300.0), (-300.0, 800.0), (0.0, -900.0)):
                # A lever is never less than to the root's box about the foot as it lies there.
                away = distance(ring, np.array(far)) - root * np.sqrt(2)
                assert float(foot.to(middle[0] + far[0], middle[1] + far[1])) >= away - 1e-6
            turned += abs(np.degrees(np.arctan2(*reversed([float(x) for x in foot.chord])))) % 180 > 1
    return turned


@pytest.mark.parametrize("name", ["patrol-vee-pair", "pilot-vee", "coastal-pair", "harbour-launch"])
def test_of_shipped_sets(name: str) -> None:
    assert feet_against_polygons(resolve(load(shipped()[name])).strut) == {"pilot-vee": 2, "patrol-vee-pair": 2}.get(
        name, int(name == "coastal-pair")
    )


@settings(max_examples=20, deadline=None)
@given(struts())
def test_of_struts_of_the_whole_schema(strut: Strut) -> None:
    feet_against_polygons(strut)
