"""The factor of two for two feet on one palm, held against plates that had no part in setting it.

It was chosen by the plates of `tests/plates/contact` on the sets of `random_sets`. Here the plates are those of another
program (scikit-fem, conforming elements, contact at the points of integration) and the palms are drawn otherwise:
rectangles with feet near their ends, 0.15 to 1.5 shafts thick, on hulls of any material.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from support import THOROUGH

from strutwright.models import hull_bed
from strutwright.models.checks.strength import bolt_forces
from strutwright.models.formulas import palm_bed
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.params.loader import loads
from tests.plates import conforming

MOMENTS = ((1e6, 0.0), (0.0, 1e6), (-1e6, 0.0), (0.0, -1e6))
DRAWN = (0, 2, 7, 8, 9, 10, 11, 13, 16, 17, 18, 20, 22, 24, 26)


def two_feet(number: int) -> dict[str, Any]:
    """A vee on one common palm, by its number; mm and degrees."""
    rng = np.random.default_rng((number, 77))
    d, drop, angle = rng.uniform(20, 100), rng.uniform(4, 12), rng.uniform(45, 110)
    drop *= d
    chord, thick = d * rng.uniform(1.2, 3), d * rng.uniform(0.2, 0.6)
    apart = 2 * drop * np.tan(np.radians(angle / 2))
    wide = apart * rng.uniform(1.0, 1.3) + 3 * thick + 4 * d * rng.uniform(0.2, 1)
    long = chord * rng.uniform(1.1, 2.5) + d
    palm = d * np.exp(rng.uniform(np.log(0.15), np.log(1.5)))
    bolt = int(rng.choice([6, 8, 10, 12, 16, 20]))
    hull = str(rng.choice(["FRP laminate", "hardwood", "S275", "plywood"]))
    count, edge = int(rng.integers(6, 18)), rng.uniform(1.6, 3.0) * bolt
    to_hull, deadrise = rng.uniform(0, 12), rng.uniform(0, 15)
    hull_mm = palm * np.exp(rng.uniform(np.log(0.3), np.log(5)))
    return {
        "identity": {"name": f"Two feet {number}", "drawing_number": f"F-{number}", "hand": "starboard"},
        "units": "mm",
        "construction": "welded",
        "materials": {"strut": "316L", "hull": hull},
        "shaft": {"diameter": round(d, 1)},
        "bearing": {"outside_diameter": round(1.4 * d, 1), "length": round(4 * d, 1)},
        "barrel": {"length": round(4.2 * d, 1), "wall": round(0.35 * d, 1)},
        "arms": {
            "arrangement": "vee",
            "included_angle": round(angle, 1),
            "stance": "square_to_bottom",
            "section": {"shape": "ellipse", "chord": round(chord, 1), "thickness": round(thick, 1)},
        },
        "palm": {
            "arrangement": "common",
            "thickness": round(palm, 1),
            "outline": {"shape": "rectangle", "length": round(long, 1), "width": round(wide, 1)},
        },
        "bolts": {"size": f"M{bolt}", "pattern": {"kind": "edge", "count": count, "edge_distance": round(edge, 1)}},
        "welds": {"prep": "double_bevel"},
        "hull": {
            "shaft_angle": {"to_hull": round(to_hull, 1)},
            "deadrise": round(deadrise, 1),
            "drop": {"square_to_shaft": round(drop, 1), "at": "forward"},
            "thickness": round(hull_mm, 1),
        },
    }


def shares(number: int, moments: tuple[tuple[float, float], ...], finest: int) -> list[float]:
    """Return the plates' greatest pressure over what is said, moment by moment."""
    inputs = Inputs.from_strut(resolve(loads(json.dumps(two_feet(number)))).strut)
    palm, hold = inputs.palms[0], bolt_forces.holds(inputs)[0]
    grip = float(palm.least_mm + hull_bed.hull_thickness_mm(inputs, palm))
    bed = float(hull_bed.bed_n_mm3(inputs, palm)[1])
    bending = inputs.strut.modulus_mpa * float(palm.least_mm) ** 3 / 12.0
    box = (float(palm.aft_mm), float(palm.forward_mm), float(palm.starboard_mm), float(palm.port_mm))
    width = box[3] - box[2]
    spread = float(palm_bed.spread_mm(bending, bed))
    plate = conforming.Plate(
        box,
        [
            (float(f.aft), float(f.forward), float(f.starboard), float(f.port))
            for f in (foot.box for foot in bolt_forces._feet(inputs)[0])
        ],
        np.column_stack([palm.holes_u_mm, palm.holes_v_mm]),
        bolt=inputs.bolt.modulus_mpa * float(inputs.bolt_stress_mm2) / grip,
        bed=bed,
        bending=bending / (1.0 - 0.3**2),
        apart=max(min(spread / 1.5, width / 16), width / finest),
    )
    out = []
    for mu, mv in moments:
        felt = palm_bed.both_ways(hold, (0.0, 0.0, 0.0, mu, mv, 0.0))[0]
        out.append(plate.pressure_mpa(0.0, mu, mv) / float(palm_bed.pressure_mpa(hold, felt)))
    return out


@pytest.mark.parametrize("number", DRAWN if THOROUGH else (7, 16))
def test_two_feet_press_no_harder_than_is_said(number: int) -> None:
    """Of the first 27 drawn 23 can be built; the worst of them shows 0.61 of what is said, half of them 0.39 and less.
    Without the factor the worst would be short by a fifth."""
    found = shares(number, MOMENTS, 36)
    assert max(found) <= 0.7
    assert max(found) >= 0.2


def test_two_feet_on_a_stiff_palm_press_no_harder_than_is_said() -> None:
    """The cheap form: one moment on a coarse mesh."""
    assert 0.35 <= shares(9, MOMENTS[:1], 12)[0] <= 0.7
