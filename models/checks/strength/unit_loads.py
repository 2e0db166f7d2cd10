"""What a part of the strut feels of unit loads on the barrel, in all their directions and for each hull that strength
takes, kept for the modules that ask for the same.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TypeAlias, TypeVar, cast

import numpy as np

from strutwright.models.arrays import Num, Six, add, greatest, mul
from strutwright.models.checks.strength import blows, load_paths, skeg_blows
from strutwright.models.checks.strength.blows import Way
from strutwright.models.checks.strength.load_cases import Group, Reply
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.weld_sides import End

DIRECTIONS = 12
# A little beyond the unit circle, so that no direction between two of these is worse.
_OUT = 1.0 / math.cos(math.pi / DIRECTIONS)
_TURNS = tuple(
    (_OUT * math.sin(2.0 * math.pi * k / DIRECTIONS), _OUT * math.cos(2.0 * math.pi * k / DIRECTIONS))
    for k in range(DIRECTIONS // 2)
)
Kept = TypeVar("Kept")
"""What is kept of the answer to a unit load."""
Felt = TypeVar("Felt")
"""What a place feels of a unit load."""
Loads: TypeAlias = Callable[[Group, float | None], list[Six]]
"""What a place feels of a unit load of a group at a clock angle: one for each direction and share."""
PAIRS: dict[Group, tuple[Way, Way]] = {"propeller": ("propeller_y", "propeller_z"), "barrel": ("barrel_y", "barrel_z")}
"""The two ways of a group that may act in any direction across the shaft."""


def directed(ways: dict[Way, Six], group: Group, clock_deg: float | None) -> list[Six]:
    """Return the loads of a unit load of a group in its directions, but for their opposites.

    A free force across the shaft has six (twelve with the opposites), one at a clock angle one, a force or couple along
    the shaft or at the heel one.

    >>> ways = {"propeller_y": (0.0, 1.0, 0.0, 0.0, 0.0, 0.0), "propeller_z": (0.0, 0.0, 1.0, 0.0, 0.0, 0.0)}
    >>> [round(part, 3) for part in directed(ways, "propeller", 30.0)[0]]  # sine and cosine of 30 degrees
    [0.0, 0.5, 0.866, 0.0, 0.0, 0.0]
    """
    if group == "side" and "side" not in ways:  # on a vee, each blow that counts
        return [ways[way] for way in blows.BLOWS]
    if group == "skeg_side":
        return [ways[way] for way in skeg_blows.ON_SIDE if way in ways]
    if group not in PAIRS:
        return [ways[cast(Way, group)]]
    across, toward = (ways[w] for w in PAIRS[group])
    turns = _TURNS if clock_deg is None else ((math.sin(math.radians(clock_deg)), math.cos(math.radians(clock_deg))),)
    return [
        cast(Six, tuple(add(mul(sin, y), mul(cos, z)) for y, z in zip(across, toward, strict=True)))
        for sin, cos in turns
    ]


def kept(of: Callable[[Group, float | None], Kept]) -> Callable[[Group, float | None], Kept]:
    """Return what asks for the answer to a unit load once and keeps it.

    >>> asked = []
    >>> twice = kept(lambda group, clock_deg: asked.append(group))
    >>> twice("axial", None), twice("axial", None), asked
    (None, None, ['axial'])
    """
    known: dict[tuple[Group, float | None], Kept] = {}

    def again(group: Group, clock_deg: float | None) -> Kept:
        key = (group, clock_deg)
        if key not in known:
            known[key] = of(group, clock_deg)
        return known[key]

    return again


def opposed(group: Group, clock_deg: float | None) -> bool:
    """Whether the opposite of a unit load has to be tried where it does something else: but for a force at a clock.

    >>> opposed("axial", None), opposed("propeller", 30.0)
    (True, False)
    """
    return not (group in PAIRS and clock_deg is not None)


def measured(loads: Callable[[Group, float | None], list[Felt]], measure: Callable[[Felt], Num]) -> Reply:
    """Return the reply that is the worst of a measure of what its place feels of a unit load; kept once worked out.

    >>> pull = measured(lambda group, clock_deg: [-300.0, 300.0], lambda moment: moment)
    >>> float(pull("axial", None))
    300.0
    """
    return kept(lambda group, clock_deg: greatest([measure(load) for load in loads(group, clock_deg)]))


def rooted(squared: Reply) -> Reply:
    """Return the reply that is the root of one that answers with squares; kept once worked out.

    >>> float(rooted(lambda group, clock_deg: 9.0)("axial", None))
    3.0
    """
    return kept(lambda group, clock_deg: np.sqrt(squared(group, clock_deg)))


def _felt(shares: Sequence[dict[Way, Six]]) -> Loads:
    """What a place feels of a unit load, in all its directions and by all the shares that it may have of it."""

    def loads(group: Group, clock_deg: float | None) -> list[Six]:
        # A blow on one arm is not shared.
        tried = shares[:1] if group == "side" else shares
        return [load for ways in tried for load in directed(ways, group, clock_deg)]

    return kept(loads)


@once
def palm_loads(inputs: Inputs, index: int) -> Loads:
    """Return what one palm feels of a unit load, in all its directions and for each hull that strength takes; kept for
    the last inputs.

    >>> len(palm_loads(engineering_inputs("pilot-vee"), 0)("propeller", None))  # six of each of four
    24
    """
    return _felt(palm_ways(inputs, index))


@once
def arm_loads(inputs: Inputs, index: int, end: End) -> Loads:
    """Return what one end of an arm feels of a unit load, as `palm_loads`, at the shaft line in arm axes; kept with the
    inputs.

    >>> len(arm_loads(engineering_inputs("harbour-launch"), 0, "barrel")("axial", None))
    1
    """
    own = _felt(arm_ways(inputs, index, end))
    if end == "palm":
        return own
    at_foot = arm_loads(inputs, index, "palm")
    # Only of a blow on the arm do its ends feel something else.
    return lambda group, clock_deg: (own if group == "side" else at_foot)(group, clock_deg)


def palm_ways(inputs: Inputs, index: int) -> list[dict[Way, Six]]:
    """Return the load on one palm of every way, for each hull that strength takes; of blows, which are not shared, for
    the first.

    >>> turned = palm_ways(engineering_inputs("harbour-launch"), 0)[0]["couple"]
    >>> [round(float(part), 3) for part in turned]  # cos and sin of the 9 degrees of the hull
    [0.0, 0.0, 0.0, 0.988, 0.0, 0.156]
    """
    first, *others = load_paths.shared(inputs)
    shares = [(first, list(first.loads)), *((f, [w for w in f.loads if w not in blows.BLOWS]) for f in others)]
    return [{way: load_paths.palm_load(inputs, found, way, index) for way in ways} for found, ways in shares]


def arm_ways(inputs: Inputs, index: int, end: End = "palm") -> list[dict[Way, Six]]:
    """Return the load on one arm (arm axes, at the shaft line) of every way, as one end of it feels it, for each hull
    that strength takes.

    >>> lifted = arm_ways(engineering_inputs("harbour-launch"), 0)[0]["propeller_z"]
    >>> [round(float(part), 2) for part in lifted]  # 1 N along the arm, 26.33 + 9 mm abaft it
    [0.0, 0.0, 1.0, 0.0, 35.33, 0.0]
    """
    all_of = [f.arm_loads if end == "palm" else f.at_barrel for f in load_paths.shared(inputs)]
    return [{way: loads[index] for way, loads in each.items()} for each in all_of]
