"""What bends the arms plastically, and a blow from the side on one arm of a vee, which bends in hinges."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

import numpy as np

from strutwright.models.arrays import Num, Six, Triple, add, cross, dot, greatest, least, mul, times
from strutwright.models.checks.strength.arm_beams import STATIONS, Beam, back, beams, turned
from strutwright.models.checks.strength.overstrength import BLOW
from strutwright.models.formulas.loads import blow_ends_n, hinge_force_n
from strutwright.models.inputs import Inputs
from strutwright.models.once import once

Way: TypeAlias = Literal[
    "propeller_y", "propeller_z", "axial", "couple", "heel", "barrel_y", "barrel_z",
    "side", "blow_0", "blow_0_early", "blow_0_barrel", "blow_1", "blow_1_early", "blow_1_barrel",
    "skeg_heel", "skeg_forward", "skeg_aft", "skeg_ground",
]  # fmt: skip
"""propeller_*: a force across the shaft where the bearing carries; axial: along the shaft; couple: about the shaft;
heel: a sideways force at the heel of the skeg; barrel_*: a force across the shaft at mid-barrel; side: a force at
mid-barrel across a single arm; blow_*: what a blow across the first or second arm of a vee does while it bends that arm
plastically, per newton of the hardest of them; skeg_*: a blow from the side on the heel or an end of the skeg's lower
edge, per newton of the hardest, and one from ahead on the lowest of it (`skeg_blows`)."""


class BlowAt(NamedTuple):
    """Where a blow hits an arm of a vee, and when it is looked at. arm: which; near: the station (of barrel or palm)
    that it hits as near to as blows count; part: how much of what bends it plastically the other arm bears."""

    arm: int
    near: int
    part: float


BLOWS: dict[Way, BlowAt] = {
    "blow_0": BlowAt(0, -1, 1.0),
    "blow_0_early": BlowAt(0, -1, 0.5),
    "blow_0_barrel": BlowAt(0, 0, 1.0),
    "blow_1": BlowAt(1, -1, 1.0),
    "blow_1_early": BlowAt(1, -1, 0.5),
    "blow_1_barrel": BlowAt(1, 0, 1.0),
}
"""Blows of which one or another is the worst for every joint of a vee."""


@dataclass(frozen=True, slots=True, eq=False)
class Hinge:
    """What bends the arms plastically: a force aft at mid-barrel, N, and a force across an arm, N.

    side: at mid-barrel across a single arm; on one arm of a vee, whose barrel is held from the side, the hardest of the
    blows that count.
    """

    aft_n: Num
    side: Num


@once
def hinges(inputs: Inputs) -> Hinge:
    """Return the hinge loads: the least of yield x plastic modulus / lever over the stations, summed over the arms; nan
    of a part without arms.

    >>> aft = hinges(engineering_inputs("harbour-launch")).aft_n  # at the palm: 109.2 x 26.7, 284.4 mm from the shaft
    >>> round(float(aft), -2)  # 240 MPa x 26.7 x 109.2^2 / 6 / 284.4
    44800.0
    """
    found = beams(inputs)
    y = inputs.strut.yield_mpa
    if not found:
        return Hinge(math.nan, math.nan)
    aft: Num = 0.0
    for b in found:
        aft = aft + least([hinge_force_n(y, s.zyy_mm3, x) for s, x in zip(b.sections, b.stations_mm, strict=True)])
    if len(found) > 1:
        struck = [_struck(inputs, arm, near) for arm in (0, 1) for near in (0, -1)]
        return Hinge(aft, greatest([s.foot_n + s.given_n for s in struck]))
    return Hinge(
        aft,
        least([hinge_force_n(y, s.zxx_mm3, x) for s, x in zip(found[0].sections, found[0].stations_mm, strict=True)]),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Struck:
    """An arm of a vee bent by a blow. at_mm: where it is hit, from the shaft line; hit_nmm: its moment there; foot_nmm,
    foot_n: at its foot; given_n: across it at the barrel. The other arm then turns the barrel about the shaft by
    turns_nmm and bears other_n across it."""

    at_mm: Num
    hit_nmm: Num
    foot_nmm: Num
    foot_n: Num
    given_n: Num
    turns_nmm: Num
    other_n: Num


@once
def _struck(inputs: Inputs, arm: int, near: int) -> _Struck:
    """An arm hit as near to its station `near` as a blow counts; between stations its strength runs straight."""
    hit, other = (beams(inputs)[k] for k in (arm, 1 - arm))
    y, share = inputs.strut.yield_mpa, inputs.limit(BLOW)
    barrel, foot = (y * hit.sections[s].zxx_mm3 for s in (0, -1))
    there = mul(y, _plastic_mm3(hit, 1.0 - share if near else share))
    low, high = hit.stations_mm[0], hit.stations_mm[-1]
    at = (high - share * (high - low)) if near else (low + share * (high - low))
    ends = blow_ends_n(foot, there, barrel, high - at, at - low)
    # The other arm holds no more than bends it plastically at both its ends, and so the barrel.
    own, far = (y * other.sections[s].zxx_mm3 for s in (0, -1))
    other_n = (own + far) / (other.stations_mm[-1] - other.stations_mm[0])
    turns = own + other.stations_mm[0] * other_n
    return _Struck(
        at_mm=at,
        hit_nmm=there,
        foot_nmm=foot,
        foot_n=ends.foot_n,
        given_n=np.minimum(ends.barrel_n, (there + turns) / at),
        turns_nmm=turns,
        other_n=other_n,
    )


def _plastic_mm3(beam: Beam, share: float) -> Num:
    """The plastic modulus about the chord line at a share of the arm from the barrel, straight between its stations."""
    after = next((n for n, at in enumerate(STATIONS) if at >= share), len(STATIONS) - 1)
    before = max(after - 1, 0)
    wide = STATIONS[after] - STATIONS[before]
    part = (share - STATIONS[before]) / wide if wide else 0.0
    low, high = (beam.sections[n].zxx_mm3 for n in (before, after))
    return add(low, mul(part, high - low))


@dataclass(frozen=True, slots=True, eq=False)
class Blow:
    """A blow on one arm of a vee: force and moment at the arms' root, strut frame, and on each arm in its axes as felt
    at the foot and at the barrel."""

    whole: tuple[Triple, Triple]
    at_foot: tuple[Six, ...]
    at_barrel: tuple[Six, ...]


@once
def blows_on_a_vee(inputs: Inputs) -> dict[Way, Blow]:
    """Return the blows on the arms of a vee, per newton of the hardest of them; kept with the inputs.

    >>> hit = blows_on_a_vee(engineering_inputs("pilot-vee"))["blow_0"].at_foot[0]
    >>> round(float(hit[1]), 2)  # across the arm at its foot, most of the blow
    0.76
    """
    return {way: _blow(inputs, at) for way, at in BLOWS.items()}


def _blow(inputs: Inputs, at: BlowAt) -> Blow:
    """Statics of a vee of which the arm that is hit has bent plastically, and the other to a part of that."""
    hit, other = (beams(inputs)[k] for k in (at.arm, 1 - at.arm))
    made, high, per = _struck(inputs, at.arm, at.near), hit.stations_mm[-1], 1.0 / hinges(inputs).side
    foot, given = made.foot_n * per, made.given_n * per
    # Along the arm that is hit there acts what leaves the other arm no more across it than it bears.
    across = add(mul(given, dot(hit.across, other.across)), -at.part * made.other_n * per)
    thrust = across / dot(hit.along, other.across)
    held = turned(other, back(hit, (0.0, given, -thrust, -at.part * made.turns_nmm * per, 0.0, 0.0)))
    at_foot: Six = (0.0, foot, thrust, made.foot_nmm * per - high * foot, 0.0, 0.0)
    at_barrel: Six = (0.0, -given, thrust, given * made.at_mm - made.hit_nmm * per, 0.0, 0.0)
    force = times(foot + given, hit.across)
    return Blow(
        whole=(force, cross(times(made.at_mm, hit.along), force)),
        at_foot=(at_foot, held) if at.arm == 0 else (held, at_foot),
        at_barrel=(at_barrel, held) if at.arm == 0 else (held, at_barrel),
    )
