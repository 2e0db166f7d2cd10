"""A blow on the skeg: where it falls, and what force bends plastically whatever gives first, skeg or arm.

From the side it falls on the heel or on either end of the fin's lower edge, from ahead on the lowest of the skeg. It is
as hard as bends the fin or the heel's foot across its weakest section, or the single arm above, whichever gives at
less, each by the least yield. No section twists: that would end it sooner. Of a vee, arms that give to a side blow
are not counted on. All that makes the force greater, and with it what the rest must outlast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Num, Six, Triple, cross, greatest, least, plus
from strutwright.models.checks.strength import blows
from strutwright.models.checks.strength.arm_beams import Beam, actions, beams, turned
from strutwright.models.checks.strength.blows import Way
from strutwright.models.formulas.loads import hinge_force_n
from strutwright.models.input_parts import SkegInputs
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.sections import SectionProperties, any_properties

ON_SIDE: tuple[Way, ...] = ("skeg_heel", "skeg_forward", "skeg_aft")
"""Side blows on a skeg, of which one or another is the worst for every joint."""
_ALONG = (0.0, 0.25, 0.5, 0.75, 0.875, 1.0)
"""Where along the fin it may bend first, from the barrel to the lower edge."""
_NOUGHT_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Blow:
    """Where a blow on the skeg falls, strut frame (mm), which way it goes, and the force (N) that bends the skeg and
    the arms plastically there by the least yield; infinite where they are not counted on."""

    at_mm: Triple
    toward: Triple
    skeg_n: Num
    arm_n: Num

    @property
    def least_n(self) -> Num:
        """What gives first ends it."""
        return np.minimum(self.skeg_n, self.arm_n)


def fin_at(skeg: SkegInputs, along: float = 0.0) -> SectionProperties:
    """Return the properties of the fin's section, from the barrel, 0, to the lower edge, 1.

    >>> round(float(fin_at(engineering_inputs("yawl-with-heel").skeg, 1.0).area_mm2))  # 100 x 25, round leading edge
    2433
    """
    thickness = skeg.thickness_root_mm + along * (skeg.thickness_tip_mm - skeg.thickness_root_mm)
    return any_properties(skeg.section, chord_mm(skeg, along), thickness)


def chord_mm(skeg: SkegInputs, along: float) -> Num:
    """Return the fin's chord, from the barrel, 0, to the lower edge, 1, mm.

    >>> chord_mm(engineering_inputs("yawl-with-heel").skeg, 0.5)
    115.0
    """
    root = skeg.root_forward_x_mm - skeg.root_aft_x_mm
    return root + along * (skeg.tip_chord_mm - root)


def foot_reach_mm(skeg: SkegInputs) -> Num:
    """Return the foot's free length: from the fin's trailing edge at the lower edge aft to the heel, mm, at least 0.

    Along the foot's middle line, which slopes from half its height over the fin's lower edge, at the fin's leading
    edge, to the middle of the boss.

    >>> round(float(foot_reach_mm(engineering_inputs("yawl-with-heel").skeg)))  # 363 - 53, 34 down on 410
    311
    """
    heel = skeg.heel
    assert heel is not None
    leading = skeg.root_forward_x_mm - skeg.sweep_mm
    fall = -heel.centre_mm[2] - (skeg.depth_mm - heel.foot_height_mm / 2.0)
    slope = fall / np.maximum(leading - heel.centre_mm[0], 1e-6)
    return np.maximum(leading - skeg.tip_chord_mm - heel.centre_mm[0], 0.0) * np.hypot(1.0, slope)


@once
def from_side(inputs: Inputs) -> dict[Way, Blow]:
    """Return the side blows on a skeg by the way of each; none without a skeg. Kept with the inputs.

    >>> hit = from_side(engineering_inputs("yawl-with-heel"))["skeg_heel"]
    >>> round(float(hit.skeg_n))  # the foot: 170 MPa x 36 x 40^2 / 4, 311 mm from the fin
    7870
    """
    skeg = inputs.skeg
    if skeg is None:
        return {}
    forward = skeg.root_forward_x_mm - skeg.sweep_mm
    at: dict[Way, Triple] = {
        "skeg_forward": (forward, 0.0, -skeg.depth_mm),
        "skeg_aft": (forward - skeg.tip_chord_mm, 0.0, -skeg.depth_mm),
    }
    if skeg.heel is not None:
        at["skeg_heel"] = skeg.heel.centre_mm
    made = {}
    for way, point in at.items():
        holds = _fin_n(inputs, skeg, -point[2], "zxx_mm3")
        if way == "skeg_heel" and skeg.heel is not None:
            foot = skeg.heel.foot_height_mm * skeg.heel.foot_thickness_mm**2 / 4.0
            reach = np.maximum(foot_reach_mm(skeg), _NOUGHT_MM)
            holds = np.minimum(holds, hinge_force_n(inputs.strut.yield_mpa, foot, reach))
        toward: Triple = (0.0, 1.0, 0.0)
        made[way] = Blow(at_mm=point, toward=toward, skeg_n=holds, arm_n=_arm_n(inputs, point, toward))
    return made


@once
def from_ahead(inputs: Inputs) -> Blow | None:
    """Return a grounding on the lowest of the skeg, which drives it aft; None without a skeg. Kept with the inputs.

    >>> hit = from_ahead(engineering_inputs("yawl-with-heel"))
    >>> bool(hit.arm_n < hit.skeg_n)
    True
    """
    skeg = inputs.skeg
    if skeg is None:
        return None
    deep = skeg.depth_mm
    if skeg.heel is not None:
        deep = np.maximum(deep, skeg.heel.height_mm / 2.0 - skeg.heel.centre_mm[2])
    at: Triple = (skeg.root_forward_x_mm - skeg.sweep_mm, 0.0, -deep)
    aft: Triple = (-1.0, 0.0, 0.0)
    holds = _fin_n(inputs, skeg, deep, "zyy_mm3")
    return Blow(at_mm=at, toward=aft, skeg_n=holds, arm_n=_arm_n(inputs, at, aft))


def hardest_n(inputs: Inputs) -> Num:
    """Return the force of the hardest side blow on the skeg, N, by the least yield.

    >>> yawl = engineering_inputs("yawl-with-heel")
    >>> bool(hardest_n(yawl) >= from_side(yawl)["skeg_heel"].least_n)
    True
    """
    return greatest([hit.least_n for hit in from_side(inputs).values()])


def loads(inputs: Inputs) -> dict[Way, tuple[Triple, Triple]]:
    """Return force and moment at the arms' root of the blows on a skeg: from the side per newton of the hardest of
    them, from ahead per newton aft.

    >>> force, moment = loads(engineering_inputs("sloop-with-skeg"))["skeg_ground"]
    >>> float(force[0]), round(float(moment[1]), 1)  # 5 in below the shaft
    (-1.0, 127.0)
    """
    ahead = from_ahead(inputs)
    if ahead is None:
        return {}
    most = hardest_n(inputs)
    made = {way: _at_root(inputs, hit, hit.least_n / most) for way, hit in from_side(inputs).items()}
    return made | {"skeg_ground": _at_root(inputs, ahead, 1.0)}


def _at_root(inputs: Inputs, hit: Blow, share: Num) -> tuple[Triple, Triple]:
    x, y, z = hit.toward
    force: Triple = (x * share if x else 0.0, y * share if y else 0.0, z)
    return force, cross(_from_root(inputs, hit.at_mm), force)


def _from_root(inputs: Inputs, at: Triple) -> Triple:
    return plus(at, (-inputs.arms[0].x_mm, 0.0, 0.0))


def _fin_n(inputs: Inputs, skeg: SkegInputs, below_mm: Num, modulus: str) -> Num:
    """What bends the fin plastically so far below the shaft line: the least over its sections above there."""
    root = inputs.barrel_outside_mm / 2.0
    held: list[Num] = []
    for along in _ALONG:
        lever = below_mm - (root + along * (skeg.depth_mm - root))
        bent = hinge_force_n(inputs.strut.yield_mpa, getattr(fin_at(skeg, along), modulus), np.maximum(lever, 1e-6))
        held.append(np.where(lever > _NOUGHT_MM, bent, np.inf))
    return least(held)


def _arm_n(inputs: Inputs, at: Triple, toward: Triple) -> Num:
    """What bends the arms plastically: a single arm about its chord or along it; a vee driven aft, at most what does at
    the barrel, which has less lever."""
    found = beams(inputs)
    if len(found) > 1:
        return blows.hinges(inputs).aft_n if toward[1] == 0.0 else np.inf
    beam, y = found[0], inputs.strut.yield_mpa
    load = turned(beam, (*toward, *cross(_from_root(inputs, at), toward)))
    return least([force for s in range(len(beam.sections)) for force in _bends(beam, s, load, y)])


def _bends(beam: Beam, station: int, load: Six, yield_mpa: Num) -> list[Num]:
    felt, made = actions(beam, station, load), beam.sections[station]
    moments = ((felt.moment_chord, made.zxx_mm3), (felt.moment_across, made.zyy_mm3))
    return [hinge_force_n(yield_mpa, z, np.maximum(np.abs(m), _NOUGHT_MM)) for m, z in moments]
