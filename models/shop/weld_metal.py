"""The welded joints of a strut, how long they are, and the metal laid in them. Pure numpy; mm, kg."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from strutwright.models import weld_sides
from strutwright.models.arrays import Floats
from strutwright.models.formulas.welds import around_barrel_deg
from strutwright.models.geometry.flange import off_square_deg
from strutwright.models.inputs import Inputs
from strutwright.models.metals import mass_kg
from strutwright.models.shop import arm_ends, cuts
from strutwright.models.shop.sides import skeg_side
from strutwright.models.spec import Strut
from strutwright.params import tables

FILLED = 1.3
"""Weld metal over that of flat-faced fillets and grooves, for crown and starts; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One welded joint. mark: W1 and so on. parts: what is welded to what. leg_mm: of the fillet; length_mm: round the
    joint; thickest_mm: the thicker part; bevelled: whether the edges are prepared; throat_mm: the least all round;
    area_mm2: of the weld's section, the mean of its two sides. count: how many there are alike.
    """

    mark: str = ""
    parts: tuple[str, str]
    leg_mm: float
    length_mm: float
    thickest_mm: float
    bevelled: bool = False
    throat_mm: float
    area_mm2: float
    count: int = 1

    @property
    def what(self) -> str:
        """What is welded to what, in words."""
        return " to ".join(self.parts)

    @property
    def volume_mm3(self) -> float:
        """Weld metal laid in all of them: the section by the way of its middle, a third of the leg outside (Pappus)."""
        return self.count * FILLED * self.area_mm2 * (self.length_mm + 2.0 * math.pi * self.leg_mm / 3.0)


def joints(strut: Strut) -> dict[tuple[str, str], Joint]:
    """Return the welded joints of a strut by their parts, in the order of their marks; none of a casting.

    >>> [j.what for j in joints(shipped("canal-tender")).values()]
    ['arm to barrel', 'arm to palm']
    """
    made: dict[tuple[str, str], Joint] = {}
    if strut.construction == "welded":
        for n, joint in enumerate((*_of_arms(strut), *_of_skeg(strut), *_of_flange(strut)), 1):
            made[joint.parts] = replace(joint, mark=f"W{n}")
    return made


def _of_arms(strut: Strut) -> Iterator[Joint]:
    wall, bevelled, inputs = strut.barrel.wall_mm, strut.weld.prep == "double_bevel", Inputs.from_strut(strut)
    for arm, sizes in zip(strut.arms, inputs.arms, strict=True):
        _, low, high = cuts.cut_arm(strut, arm, 0.0)
        t = strut.palms[arm.palm_index].thickness_mm
        ends: tuple[tuple[weld_sides.End, cuts.Cut, float, float, float], ...] = (
            ("barrel", low, arm.barrel_root_mm, arm.thickness_barrel_mm, wall),
            ("palm", high, arm.palm_root_mm, arm.thickness_palm_mm, t),
        )
        met = arm_ends.arm_joints(strut, arm)
        for to, cut, leg, plate, other in ends:
            sides = [_side_mm2(strut, j, leg, plate) for j in met if j.end == to]
            yield Joint(
                parts=(arm.called, to),
                leg_mm=leg,
                length_mm=_girth(cut.points),
                thickest_mm=max(other, plate),
                bevelled=bevelled,
                throat_mm=float(weld_sides.arm_throats(inputs, to, sizes).least_mm),
                area_mm2=sum(sides) / len(sides),
            )


def _of_skeg(strut: Strut) -> Iterator[Joint]:
    skeg, barrel, inputs = strut.skeg, strut.barrel, Inputs.from_strut(strut)
    if skeg is None or inputs.skeg is None:
        return
    leg, between = skeg.root_mm, float(weld_sides.skeg_angles(inputs.skeg, inputs.barrel_outside_mm).side_wide)
    yield Joint(
        parts=("skeg", "barrel"),
        leg_mm=leg,
        length_mm=_girth(cuts.meet_barrel(barrel, skeg_side(strut)).points),
        thickest_mm=max(barrel.wall_mm, skeg.thickness_root_mm),
        throat_mm=float(weld_sides.skeg_throats(inputs, inputs.skeg).least_mm),
        area_mm2=fillet_mm2(leg, between),
    )
    heel = skeg.heel
    if heel is None:
        return
    thick = max(heel.foot_thickness_mm, skeg.thickness_tip_mm)
    leg = tables.weld_min_leg_mm(thick, inch=strut.file_units == "in")
    yield Joint(
        parts=("foot", "skeg"),
        leg_mm=leg,
        length_mm=2.0 * skeg.tip_chord_mm + 2.0 * skeg.thickness_tip_mm,
        thickest_mm=thick,
        throat_mm=float(weld_sides.fillet_mm(leg, 90.0)),
        area_mm2=fillet_mm2(leg, 90.0),
    )
    between = float(around_barrel_deg(heel.foot_thickness_mm, heel.outside_mm))
    yield Joint(
        parts=("foot", "heel boss"),
        leg_mm=leg,
        length_mm=2.0 * (heel.foot_height_mm + heel.foot_thickness_mm),
        thickest_mm=max(heel.foot_thickness_mm, (heel.outside_mm - heel.bore_mm) / 2),
        throat_mm=float(weld_sides.fillet_mm(leg, between, heel.outside_mm)),
        area_mm2=fillet_mm2(leg, between),
    )


RIB_LEG_SHARE = 0.7
"""Leg of the fillets along a rib, both sides, over its thickness, at most the flange's; common practice, no source."""


def _of_flange(strut: Strut) -> Iterator[Joint]:
    flange, barrel = strut.flange, strut.barrel
    if flange is None:
        return
    off, r = off_square_deg(flange.plane), barrel.outside_mm / 2
    a, b = r, r / math.cos(math.radians(off))  # the joint is an ellipse: Ramanujan's length of it
    yield Joint(
        parts=("flange", "barrel"),
        leg_mm=flange.root_mm,
        length_mm=math.pi * (3 * (a + b) - math.sqrt((3 * a + b) * (a + 3 * b))),
        thickest_mm=max(barrel.wall_mm, flange.thickness_mm),
        throat_mm=float(weld_sides.fillet_mm(flange.root_mm, 90.0 + off)),
        area_mm2=fillet_mm2(flange.root_mm, 90.0),
    )
    ribs = flange.ribs
    if ribs is None:
        return
    leg = min(flange.root_mm, max(0.5, math.floor(2 * RIB_LEG_SHARE * ribs.thickness_mm) / 2))
    yield Joint(
        parts=("each rib", "flange and barrel"),
        leg_mm=leg,
        length_mm=2.0 * (ribs.along_mm + ribs.out_mm + ribs.thickness_mm),
        thickest_mm=max(ribs.thickness_mm, flange.thickness_mm, barrel.wall_mm),
        throat_mm=float(weld_sides.fillet_mm(leg, 90.0)),
        area_mm2=fillet_mm2(leg, 90.0),
        count=ribs.count,
    )


def _girth(points: Floats) -> float:
    return float(np.sum(np.linalg.norm(np.diff(points, axis=0), axis=1)))


def fillet_mm2(leg_mm: float, between_deg: float) -> float:
    """Return the section (mm2) of a flat-faced fillet between two faces, its legs along them.

    >>> fillet_mm2(6.0, 90.0)
    18.0
    """
    return leg_mm * leg_mm * math.sin(math.radians(between_deg)) / 2.0


def groove_mm2(depth_mm: float, groove_deg: float, gap_mm: float) -> float:
    """Return the section (mm2) of one side of a double bevel: the root gap and the opening of the prepared edge.

    >>> round(groove_mm2(10.0, 45.0, 2.0), 6)  # 10 x 2 and a triangle of 10 x 10
    70.0
    """
    return depth_mm * gap_mm + depth_mm * depth_mm * math.tan(math.radians(groove_deg)) / 2.0


def _side_mm2(strut: Strut, joint: arm_ends.Joint, leg_mm: float, plate_mm: float) -> float:
    area = fillet_mm2(leg_mm, joint.between_deg)
    if joint.groove_deg is None:
        return area + cuts.root_gap_mm(strut) * plate_mm / 2.0
    depth = max((plate_mm - strut.weld.root_face_mm) / 2.0, 0.0)
    return area + groove_mm2(depth, joint.groove_deg, cuts.root_gap_mm(strut))


def weld_metal_kg(strut: Strut) -> float:
    """Return the weight of the weld metal of all joints, kg: fillets and grooves by their true length and angle.

    >>> weld_metal_kg(shipped("harbour-launch"))  # cast
    0.0
    """
    return sum((mass_kg(j.volume_mm3, strut.material) or 0.0 for j in joints(strut).values()), 0.0)
