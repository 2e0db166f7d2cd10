"""A palm in a hull with a backing plate or a solid part round it: what elements find for one end of the hull's range.

The hull is worked out here once more, from what a file says and plate text-books.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strutwright.models.hull_stiffness import moduli_mpa
from strutwright.models.inputs import Inputs
from tests.plates import mindlin

Floats = NDArray[np.float64]
# across over along the grain, shear modulus in the plane and through the thickness over the modulus
_KINDS = {"timber": (0.0417, 0.0625, 0.0625), "plywood": (1.0, 0.3846, 0.08), "laminate": (1.0, 0.3846, 0.25)}


def _kind(one: Inputs) -> str:
    return "plywood" if one.hull.name == "plywood" else {"composite": "laminate"}.get(one.hull.family, one.hull.family)


def _hull(one: Inputs, modulus: float, solid: bool) -> mindlin.Plate:
    """The bare hull, all through or as the sandwich that it is."""
    nu, t, skin = float(one.hull.poisson), float(one.hull_mm), one.hull_plate.skin_mm
    nu = 0.3 if math.isnan(nu) else nu
    across, twist, through = _KINDS.get(_kind(one), (1.0, 0.5 / (1.0 + nu), 0.5 / (1.0 + nu)))
    less = 1.0 - nu**2 * across
    inertia, shear = t**3 / 12.0, 5.0 / 6.0 * through * modulus * t
    if skin is not None and not solid:
        core = t - 2.0 * skin
        inertia = skin * (core + skin) ** 2 / 2.0 + skin**3 / 6.0
        shear = one.hull_plate.core_shear_mpa * (core + skin) ** 2 / core
    stiff = modulus * inertia
    made = mindlin.Plate(
        dx=stiff / less,
        dy=across * stiff / less,
        d1=0.3 * across * stiff / less,
        dxy=twist * stiff if across < 1.0 else 0.35 * stiff / less,
        sx=shear,
        sy=shear * math.sqrt(across),
    )
    if one.hull_plate.planks_along:
        return made
    return replace(made, dx=made.dy, dy=made.dx, sx=made.sy, sy=made.sx)


def _backed(one: Inputs, hull: mindlin.Plate) -> mindlin.Plate:
    """The hull with its backing plate, which slides on it or is glued to it."""
    t, e, thick = float(one.backing_mm), float(one.strut.modulus_mpa), float(one.hull_mm)
    stretch = e * t / 0.91
    shear = 5.0 / 6.0 * e * t / 2.6

    def bends(d: float) -> float:
        if not one.hull_plate.backing_bonded:
            return d + stretch * t**2 / 12.0
        own = 12.0 * d / thick**2
        return d + stretch * t**2 / 12.0 + own * stretch / (own + stretch) * ((thick + t) / 2.0) ** 2

    # The turning and mixed parts with those of the plate by itself; glued, drawn along with the lesser of the two ways.
    dx, dy = bends(hull.dx), bends(hull.dy)
    own = stretch * t**2 / 12.0
    more = min(dx - hull.dx, dy - hull.dy) - own
    return mindlin.Plate(
        dx=dx,
        dy=dy,
        d1=hull.d1 + 0.3 * (own + more),
        dxy=hull.dxy + 0.35 * (own + more),
        sx=hull.sx + shear,
        sy=hull.sy + shear,
    )


def elements(one: Inputs, high: bool, stiffened: bool = True, degree: int = 5) -> Floats:
    """Return force and tilts along and across that a palm in a hull withstands, whose stiffeners are known."""
    said, palm, modulus = one.hull_plate, one.palms[0], moduli_mpa(one)[int(high)]
    length, width = (float(x) for x in (palm.forward_mm - palm.aft_mm, palm.port_mm - palm.starboard_mm))
    full = math.sqrt(min(float(palm.area_mm2) / (length * width), 1.0))
    core = length * full, width * full
    assert said.panel_along_mm is not None and said.panel_across_mm is not None  # noqa: PT018
    panel = said.panel_along_mm, said.panel_across_mm
    solid = said.solid_beyond_mm if said.skin_mm is not None and said.core_solid else 0.0
    counts = one.backing_plate and (high or said.backing_mm is not None)
    backed = (25.0 if said.backing_beyond_mm is None else said.backing_beyond_mm) if counts else 0.0
    plain = _hull(one, modulus, solid=False)
    rings = []
    for reach in sorted({solid, backed} - {0.0}, reverse=True) if stiffened else ():
        made = _hull(one, modulus, solid=reach <= solid)
        made = _backed(one, made) if reach <= backed else made
        rings.append((min(core[0] + 2 * reach, panel[0]), min(core[1] + 2 * reach, panel[1]), made))
    return np.array(mindlin.springs(panel, core, plain, high, rings=rings, degree=degree))
