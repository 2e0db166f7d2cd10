"""How the rigid barrel moves on its arms and on the hull they stand on: for a batch of candidates in the plane square
to the shaft and out of it, rake and toe left out; for one strut whole.

Each arm is a tapered beam, each palm gives with the hull under it (`models/hull_stiffness`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from strutwright.models import hull_stiffness
from strutwright.models.arrays import Floats, Num, add, mul
from strutwright.models.formulas.beams import ArmFlexibility, arm_axes, arm_barrel_stiffness, matrix_of
from strutwright.models.hull_stiffness import End, Give
from strutwright.models.inputs import Inputs


class Sym(NamedTuple):
    """A symmetric 3 x 3 matrix over candidates."""

    aa: Num
    bb: Num
    cc: Num
    ab: Num
    ac: Num
    bc: Num

    def plus(self, other: Sym) -> Sym:
        """Return the sum."""
        return Sym(*(add(one, two) for one, two in zip(self, other, strict=True)))

    def inverse(self) -> Sym:
        """Return the inverse.

        >>> Sym(2.0, 2.0, 4.0, 1.0, 0.0, 0.0).inverse().cc
        0.25
        """
        a, b, c, ab, ac, bc = self
        one, two, three = b * c - bc * bc, ac * bc - ab * c, ab * bc - b * ac
        per = 1.0 / (a * one + ab * two + ac * three)
        return Sym(
            per * one,
            per * (a * c - ac * ac),
            per * (a * b - ab * ab),
            per * two,
            per * three,
            per * (ab * ac - a * bc),
        )


@dataclass(frozen=True, slots=True)
class BarrelFlexibility:
    """Movements at the arms' root per N and N mm: inplane of y, z and the turn about x; outward of x and the turns
    about y and z. shares: arm by arm, how much of what the barrel moves is the hull's doing: across the arm, along it,
    turning in the plane, and out of the plane."""

    inplane: Sym
    outward: Sym
    shares: tuple[tuple[Num, Num, Num, Num], ...]


def barrel_flexibility(inputs: Inputs, beams: list[ArmFlexibility], end: End) -> BarrelFlexibility:
    """Return how the barrel moves; broadcasts. beams: the arms' own, as `beams.arm_flexibility` gives them, at the
    shaft line.

    >>> from strutwright.models.frequencies import arm_beam
    >>> launch = engineering_inputs("harbour-launch")
    >>> arm = [arm_beam(launch, launch.arms[0]).flexibility]
    >>> soft, hard = (barrel_flexibility(launch, arm, end).inplane.aa for end in ("low", "rigid"))
    >>> bool(soft > 1.1 * hard)
    True
    """
    at = (inputs.arms[0].x_mm, 0.0, 0.0)
    gives = [hull_stiffness.give(inputs, k, end, at) for k in range(len(inputs.palms))]
    own = len(gives) > 1
    inplane, outward = [], []
    for arm, beam in zip(inputs.arms, beams, strict=True):
        clock = np.radians(arm.clock_deg)
        one, two = _of_arm(beam, np.sin(clock), np.cos(clock))
        if own:
            one, two = one.plus(_inplane(gives[arm.palm_index])), two.plus(_outward(gives[arm.palm_index]))
        inplane.append(one)
        outward.append(two)
    together = [_side_by_side(inplane), _side_by_side(outward)]
    if not own:
        together = [together[0].plus(_inplane(gives[0])), together[1].plus(_outward(gives[0]))]
    shares = tuple(
        _shares(inputs, k, beam, gives[arm.palm_index], together[1].aa)
        for k, (arm, beam) in enumerate(zip(inputs.arms, beams, strict=True))
    )
    return BarrelFlexibility(together[0], together[1], shares)


def barrel_stiffness(inputs: Inputs, beams: list[ArmFlexibility], end: End) -> Floats:
    """Return the 6x6 stiffness of the rigid barrel at its middle, strut frame, N, mm, rad; one strut, its arms raked
    and turned as they are. beams: as of `barrel_flexibility`.

    >>> from strutwright.models.frequencies import arm_beam
    >>> tender = engineering_inputs("canal-tender")
    >>> stiff = barrel_stiffness(tender, [arm_beam(tender, tender.arms[0]).flexibility], "rigid")
    >>> round(float(stiff[2, 2]), -3)  # along the arm: 193 GPa x 742 over 179.2
    799000.0
    """
    gives = [_give(inputs, k, end) for k in range(len(inputs.palms))]
    own = len(gives) > 1
    total: Floats = np.zeros((6, 6))
    for arm, beam in zip(inputs.arms, beams, strict=True):
        axes = arm_axes(math.radians(arm.clock_deg), -math.radians(arm.rake_deg), math.radians(arm.toe_deg))
        stiff = arm_barrel_stiffness(matrix_of(beam), axes, np.array([float(arm.x_mm), 0.0, 0.0]))
        total = total + (_in_series(stiff, gives[arm.palm_index]) if own else stiff)
    return total if own else _in_series(total, gives[0])


def _give(inputs: Inputs, palm: int, end: End) -> Floats:
    """Flexibility (6, 6) at mid-barrel that the hull under a palm has."""
    out: Floats = np.zeros((6, 6))
    for felt, gives in hull_stiffness.give(inputs, palm, end, (0.0, 0.0, 0.0)):
        way = np.array(felt, dtype=float)
        out = out + float(gives) * np.outer(way, way)
    return out


def _in_series(stiffness: Floats, give: Floats) -> Floats:
    softened = np.asarray(np.linalg.inv(np.linalg.inv(stiffness) + give), dtype=np.float64)
    return softened if give.any() else stiffness


def _of_arm(b: ArmFlexibility, sin: Num, cos: Num) -> tuple[Sym, Sym]:
    """An arm's own: in the plane along the arm (sin, cos) and across it (cos, -sin); out of it."""
    return (
        Sym(
            b.tt * cos**2 + b.aa * sin**2,
            b.tt * sin**2 + b.aa * cos**2,
            b.nn,
            (b.aa - b.tt) * sin * cos,
            b.tm * cos,
            -b.tm * sin,
        ),
        Sym(
            b.cc,
            b.mm * cos**2 + b.jj * sin**2,
            b.mm * sin**2 + b.jj * cos**2,
            b.cm * cos,
            -b.cm * sin,
            (b.jj - b.mm) * sin * cos,
        ),
    )


def _inplane(parts: Give) -> Sym:
    return _gathered([((q[1], q[2], q[3]), k) for q, k in parts])


def _outward(parts: Give) -> Sym:
    return _gathered([((q[0], q[4], q[5]), k) for q, k in parts])


def _gathered(parts: list[tuple[tuple[Num, Num, Num], Num]]) -> Sym:
    pairs = ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))
    return Sym(*(add(*(mul(k, mul(q[i], q[j])) for q, k in parts)) for i, j in pairs))


def _side_by_side(arms: list[Sym]) -> Sym:
    """Arms that hold the barrel together."""
    if len(arms) == 1:
        return arms[0]
    total = arms[0].inverse()
    for arm in arms[1:]:
        total = total.plus(arm.inverse())
    return total.inverse()


def _shares(inputs: Inputs, k: int, beam: ArmFlexibility, parts: Give, outward: Num) -> tuple[Num, Num, Num, Num]:
    """The hull's share of what an arm's barrel end moves."""
    if not parts:
        return 0.0, 0.0, 0.0, 0.0
    clock = np.radians(inputs.arms[k].clock_deg)
    sin, cos = np.sin(clock), np.cos(clock)
    plane = _inplane(parts)
    across = plane.aa * cos**2 + plane.bb * sin**2 - 2.0 * plane.ab * sin * cos
    along = plane.aa * sin**2 + plane.bb * cos**2 + 2.0 * plane.ab * sin * cos
    out = _outward(parts).aa
    return (
        across / (across + beam.tt),
        along / (along + beam.aa),
        plane.cc / (plane.cc + beam.nn),
        out / (out + beam.cc),
    )
