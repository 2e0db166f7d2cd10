"""How barrel and heel move when the hull gives under the palms: what `load_paths` finds on a rigid hull, and more.

Of two palms what the hull adds is worked out in the plane square to the shaft and out of it, each by itself.
"""

from __future__ import annotations

import functools
from collections.abc import Callable

from strutwright.models.arrays import Num, Six, add, mul
from strutwright.models.barrel_flexibility import Sym, barrel_flexibility
from strutwright.models.checks.strength.load_paths import Paths, Way
from strutwright.models.hull_stiffness import End, give
from strutwright.models.inputs import Inputs


@functools.lru_cache(maxsize=4)
def motions(inputs: Inputs, found: Paths, hull: End) -> dict[Way, Six]:
    """Return the movements (mm) and turns (rad) of the barrel at the arms' root under unit loads, with the hull's give;
    kept for the last inputs, as several modules ask.

    >>> from strutwright.models.checks.strength.load_paths import paths
    >>> launch = engineering_inputs("harbour-launch")
    >>> soft, hard = (motions(launch, paths(launch), end)["propeller_y"][1] for end in ("low", "rigid"))
    >>> bool(soft > 1.1 * hard)
    True
    """
    if hull == "rigid":
        return found.motions
    more = _of_one_palm if len(inputs.palms) == 1 else _of_each_palm
    adds = more(inputs, found, hull)
    out: dict[Way, Six] = {}
    for way, rigid in found.motions.items():
        force, moment = found.loads[way]
        out[way] = _sum(rigid, adds((*force, *moment)))
    return out


def _sum(one: Six, two: Six) -> Six:
    a, b, c, d, e, f = (add(p, q) for p, q in zip(one, two, strict=True))
    return a, b, c, d, e, f


def _of_one_palm(inputs: Inputs, found: Paths, hull: End) -> Callable[[Six], Six]:
    parts = give(inputs, 0, hull, (found.root_x_mm, 0.0, 0.0))

    def moved(load: Six) -> Six:
        felt = [(q, mul(k, add(*(mul(p, n) for p, n in zip(q, load, strict=True))))) for q, k in parts]
        a, b, c, d, e, f = (add(*(mul(q[i], gives) for q, gives in felt)) for i in range(6))
        return a, b, c, d, e, f

    return moved


def _of_each_palm(inputs: Inputs, found: Paths, hull: End) -> Callable[[Six], Six]:
    own = [b.flexibility for b in found.beams]
    soft, hard = barrel_flexibility(inputs, own, hull), barrel_flexibility(inputs, own, "rigid")
    plane, out = (
        Sym(*(p - q for p, q in zip(one, two, strict=True)))
        for one, two in ((soft.inplane, hard.inplane), (soft.outward, hard.outward))
    )

    def moved(load: Six) -> Six:
        x, y, z, about_x, about_y, about_z = load
        a, d, e = _times(out, x, about_y, about_z)
        b, c, turn = _times(plane, y, z, about_x)
        return a, b, c, turn, d, e

    return moved


def _times(s: Sym, x: Num, y: Num, z: Num) -> tuple[Num, Num, Num]:
    return (
        add(mul(s.aa, x), mul(s.ab, y), mul(s.ac, z)),
        add(mul(s.ab, x), mul(s.bb, y), mul(s.bc, z)),
        add(mul(s.ac, x), mul(s.bc, y), mul(s.cc, z)),
    )
