"""Whether the two arms of a vee are mirror images, so that what holds of one holds of the other.

Loads across the shaft come from all sides alike, those along it and about it have no side: then the worst of one arm
and its palm, over all that the hull under either may be, is that of the other.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from strutwright.models.arrays import Num, Truth
from strutwright.models.input_parts import ArmInputs, PalmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.struts import ARM_SIZES

_NEAR = 1e-12
"""How far sizes may differ, as a share of them, mm or of a unit vector."""
_SIZES = (*ARM_SIZES, "rake_deg", "x_mm", "start_mm", "water_mm", "end_mm", "cut", "chord_into_palm")
_OUTLINE = ("thickness_mm", "least_mm", "most_mm", "area_mm2", "centroid_u_mm", "aft_mm", "forward_mm", "edge_lost_mm")


def unlike(inputs: Inputs) -> range:
    """Return which arms have to be looked at, and with palms of their own which palms: the first of two that are mirror
    images and loaded alike.

    >>> len(unlike(engineering_inputs("pilot-vee"))), len(unlike(engineering_inputs("patrol-vee-pair")))
    (1, 2)
    """
    return range(1 if _mirrored(inputs) else len(inputs.arms))


def unlike_palms(inputs: Inputs) -> range:
    """Return which palms have to be looked at.

    >>> len(unlike_palms(engineering_inputs("pilot-vee"))), len(unlike_palms(engineering_inputs("work-launch-vee")))
    (1, 1)
    """
    return range(len(inputs.palms) if len(inputs.palms) == 1 else len(unlike(inputs)))


@once
def _mirrored(inputs: Inputs) -> bool:
    """Whether the halves are alike; kept with the inputs."""
    if len(inputs.arms) != 2 or any(t.clock is not None for case in inputs.own_cases for t in case.terms):
        return False
    heel = None if inputs.skeg is None else inputs.skeg.heel
    if heel is not None and not _all_same([(heel.centre_mm[1], 0.0)]):
        return False
    one, two = inputs.arms
    if len(inputs.palms) == 2:
        return one.palm_index != two.palm_index and _arms_alike(one, two) and _palms_alike(*inputs.palms)
    return _arms_alike(one, two) and _palms_alike(inputs.palms[0], inputs.palms[0])


def _arms_alike(one: ArmInputs, two: ArmInputs) -> bool:
    if (one.shape, one.along_flow) != (two.shape, two.along_flow):
        return False
    turned = [(one.clock_deg, -two.clock_deg), (one.toe_deg, -two.toe_deg)]
    return _all_same(turned + [(getattr(one, name), getattr(two, name)) for name in _SIZES])


def _palms_alike(one: PalmInputs, two: PalmInputs) -> bool:
    """Whether palms are mirror images: their v axes both go to port."""
    flipped = ((one.centroid_v_mm, two.centroid_v_mm), (one.starboard_mm, two.port_mm), (one.port_mm, two.starboard_mm))
    ways = (
        *zip(one.zero_mm, two.zero_mm, strict=True),
        *zip(one.u, two.u, strict=True),
        *zip(one.normal, two.normal, strict=True),
    )
    pairs = [*((getattr(one, name), getattr(two, name)) for name in _OUTLINE)]
    pairs += [(a, -b) for a, b in flipped]
    pairs += [(a, -b if k % 3 == 1 else b) for k, (a, b) in enumerate(ways)]
    pairs += [(a, b if k == 1 else -b) for k, (a, b) in enumerate(zip(one.v, two.v, strict=True))]
    if one.bolt_count != two.bolt_count or not _all_same(pairs):
        return False
    holes = [_holes(palm) for palm in (one, two)]
    return all(any(_all_same(((u, p), (v, -q))) for p, q in holes[1]) for u, v in holes[0])


def _holes(palm: PalmInputs) -> list[tuple[Num, Num]]:
    us, vs = (np.moveaxis(np.asarray(x, dtype=float), -1, 0) for x in (palm.holes_u_mm, palm.holes_v_mm))
    return list(zip(us, vs, strict=True))


def _all_same(pairs: Iterable[tuple[Num, Num]]) -> bool:
    """Whether sizes are the same of every candidate; most that differ do so in the first."""
    return all(a is b or (_same(np.ravel(a)[0], np.ravel(b)[0]) and bool(np.all(_same(a, b)))) for a, b in pairs)


def _same(a: Num, b: Num) -> Truth:
    return np.less_equal(np.abs(np.subtract(a, b)), _NEAR * np.maximum(1.0, np.abs(a)))
