"""Stiffer parts of a hull round a palm, over what a file may say, against plates of finite elements: the soft end of
the range is never the stiffer, the stiff end never the softer."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from support import THOROUGH

from strutwright.models.hull_stiffness import PalmSprings, palm_springs
from strutwright.models.inputs import Inputs
from strutwright.models.metals import metal
from strutwright.models.resolve import resolve
from strutwright.models.spec_boat import HullPlate
from strutwright.params.loader import load, shipped
from tests.plates import backed

_HULLS = ("FRP laminate", "sandwich", "plywood", "hardwood", "S275", "5083-H111")
_METALS_MPA = (70e3, 103e3, 114e3, 193e3, 206e3)


def hull_with_backing(seed: int) -> Inputs:
    """A palm in a hull with a backing plate of any size, and of a sandwich with a solid part or none."""
    rng = np.random.default_rng(seed)

    def log(low: float, high: float) -> float:
        return float(np.exp(rng.uniform(math.log(low), math.log(high))))

    kind = _HULLS[seed % len(_HULLS)]
    one = Inputs.from_strut(resolve(load(shipped()["harbour-launch"])).strut)
    length, planks_along = log(80, 800), bool(rng.random() < 0.5)
    width = min(log(60, 500), 1.2 * length)
    # Gaps to 8 of each other (of planks drawn together), as the table behind it has them.
    drawn = (0.0417 ** (0.25 if planks_along else -0.25)) if kind == "hardwood" else 1.0
    side = log(15, 800)
    gaps = float(np.clip(log(15, 800), side / 8 / drawn, side * 8 / drawn)), side
    hull_mm = log(3, 25) if kind in ("S275", "5083-H111") else log(8, 80)
    sandwich = kind == "sandwich"
    plate = HullPlate(
        planks_along=planks_along,
        panel_along_mm=length + 2 * gaps[0],
        panel_across_mm=width + 2 * gaps[1],
        skin_mm=hull_mm * rng.uniform(0.03, 0.25) if sandwich else None,
        core_shear_mpa=log(5, 500),
        solid_beyond_mm=log(3, 300) if sandwich and rng.random() < 0.6 else 0.0,
        backing_mm=log(2, 60),
        backing_beyond_mm=log(3, 600) if rng.random() < 0.85 else None,
        backing_bonded=bool(rng.random() < 0.5),
    )
    palm = replace(
        one.palms[0],
        aft_mm=-length / 2,
        forward_mm=length / 2,
        starboard_mm=-width / 2,
        port_mm=width / 2,
        area_mm2=length * width * rng.uniform(0.78, 1.0),
    )
    return replace(
        one,
        hull=metal("FRP laminate" if sandwich else kind),
        hull_mm=hull_mm,
        hull_plate=plate,
        backing_mm=plate.backing_mm,
        backing_plate=True,
        palms=(palm,),
        strut=replace(one.strut, modulus_mpa=float(rng.choice(_METALS_MPA))),
    )


def three(springs: PalmSprings) -> backed.Floats:
    return np.array([springs.normal_n_mm, springs.tilt_u_nmm, springs.tilt_v_nmm], dtype=float)


@pytest.mark.parametrize("seed", range(240) if THOROUGH else (1, 3))
def test_ends_of_the_range_lie_on_either_side_of_elements(seed: int) -> None:
    """How much stiffer than without those parts; of the hull without them `plate_core` has its own tests."""
    one = hull_with_backing(seed)
    bare = replace(one, hull_plate=replace(one.hull_plate, solid_beyond_mm=0.0), backing_plate=False)
    told, plain = palm_springs(one), palm_springs(bare)
    real = [backed.elements(one, high) / backed.elements(one, high, stiffened=False) for high in (False, True)]
    assert (three(told.low) / three(plain.low) <= 1.02 * real[0]).all()
    assert (three(told.high) / three(plain.high) >= 0.995 * real[1]).all()
