"""How the ribs of a flange leave the mould: along the pull, in the joint, or aslant."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from strutwright.models import frames
from strutwright.models.frames import Vector
from strutwright.models.spec_flange import Flange

FILLED_DEG = 15.0
"""A rib aslant to the pull by this at most is filled up under the side that hangs over; common practice, no source."""
IN_JOINT_DEG = 0.1
"""One that lies in the joint within this parts there."""
Drawn = Literal["along", "joint", "aslant"]


def aslant_deg(clock_deg: float, pull: Vector) -> float:
    """Return how far a rib at a clock angle stands aslant to the pull, degrees, 0 along it and 90 in the joint.

    >>> round(aslant_deg(70.0, np.array([0.0, 1.0, 0.0])), 6)  # drawn to port, which is 90
    20.0
    """
    return math.degrees(math.acos(min(1.0, abs(float(frames.radial(clock_deg) @ pull)))))


def how_drawn(clock_deg: float, pull: Vector) -> Drawn:
    """Return how a rib at a clock angle leaves the mould.

    >>> [how_drawn(clock, np.array([0.0, 1.0, 0.0])) for clock in (80.0, 45.0, 180.0)]
    ['along', 'aslant', 'joint']
    """
    off = aslant_deg(clock_deg, pull)
    return "along" if off <= FILLED_DEG else "joint" if off >= 90.0 - IN_JOINT_DEG else "aslant"


FACES: dict[Drawn, str] = {
    "along": "ribs along the pull",
    "joint": "ribs in the joint",
    "aslant": "ribs aslant to the pull",
}
"""What their faces are called."""


def name_ribs(
    names: NDArray[np.str_], centres: Vector, flange: Flange, radius_mm: float, more_mm: float, pull: Vector
) -> None:
    """Give the faces of ribs, of centres (n, 3) mm in the strut frame, their names (n,), in place.

    radius_mm: of the barrel's outside; more_mm: how far draft may lie beyond the side of one that has it.

    >>> strut, at = shipped("tube-end-pair"), np.array([[0.0, 4.0, 60.0], [0.0, 60.0, 60.0]])
    >>> names = np.array(["root", "root"], dtype="<U40")
    >>> name_ribs(names, at, strut.flange, 41.0, 1.0, np.array([0.0, 0.0, 1.0]))
    >>> [str(name) for name in names], strut.flange.ribs.first_clock_deg
    (['ribs along the pull', 'root'], 0.0)
    """
    if flange.ribs is None:
        return
    ribs, off = flange.ribs, np.hypot(centres[:, 1], centres[:, 2])
    for clock in ribs.clocks_deg:
        drawn, radial = how_drawn(clock, pull), frames.radial(clock)
        aside = np.abs(centres @ np.cross(np.array([1.0, 0.0, 0.0]), radial))
        reach = ribs.thickness_mm / 2 + (more_mm if drawn == "along" else 0.0) + 0.1
        names[(aside < reach) & (centres @ radial > 0) & (off > radius_mm)] = FACES[drawn]


def rib_words(flange: Flange, pull: Vector) -> list[str]:
    """Return what a founder has to know of the ribs: which have draft, which not and why; nothing without ribs.

    >>> told = rib_words(shipped("tube-end-pair").flange, np.array([0.0, 1.0, 0.0]))
    >>> [words.partition(":")[0] for words in told]
    ['Ribs along the pull, at 90, 270°', 'Ribs in the joint, at 0, 180°']
    """
    if flange.ribs is None:
        return []
    told = list[str]()
    for drawn, words in (
        (
            "along",
            "their sides have draft; one that stands aslant by up to "
            f"{FILLED_DEG:g}° is filled up under the side that would overhang. Toes on the barrel have none: low.",
        ),
        ("joint", "they part in the middle of their thickness; edge and toe have no draft, half a rib high."),
        (
            "aslant",
            "as on the part, without draft, as filling them up would take as much metal again: the side toward "
            "the joint OVERHANGS. Loose pieces or cores, or ribs turned along or across the pull.",
        ),
    ):
        at = sorted(c % 360.0 for c in flange.ribs.clocks_deg if how_drawn(c, pull) == drawn)
        if at:
            name = FACES[drawn].capitalize()  # type: ignore[index]
            told.append(f"{name}, at {', '.join(f'{c:g}' for c in at)}°: {words}")
    return told
