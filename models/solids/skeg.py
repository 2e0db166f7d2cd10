"""The skeg under the barrel: fin, foot and heel boss, and the bush in the boss."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models.frames import Axes, unit
from strutwright.models.geometry import members, skins
from strutwright.models.geometry.skeg import boss_bore_mm, foot_start_mm, stock_axis
from strutwright.models.outline import Outline
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import kernel, skinned
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import Barrel, Heel, Skeg

X, Y, Z = np.eye(3)
CLEAR_MM = 5.0


def fin(skeg: Skeg, barrel: Barrel, radius_mm: float = 0.0, deep: float = 1.0) -> Solid:
    """Return the fin from inside the barrel to its lower edge, with a root blend of radius_mm at the barrel (0: none).

    deep: how many times the usual depth the blend enters the barrel. Raises SectionError, SkinError or KernelError when
    it cannot be made.

    >>> strut = shipped("yawl-with-heel")
    >>> round(fin(strut.skeg, strut.barrel).BoundingBox().zmin, 3)  # its depth
    -324.0
    """
    member = members.fin_member(skeg, barrel)
    made = skinned.solid(
        skins.skin(member.ruled, members.barrel_end(member, barrel, radius_mm).deeper(deep), members.tip_end(skeg))
    )
    return barrels.within_faces(made, member, barrel) if radius_mm > 0 else made


def boss(heel: Heel) -> Solid:
    """Return the heel boss, not yet bored.

    >>> round(boss(shipped("yawl-with-heel").skeg.heel).Volume() / 1000, 1)  # cm3, pi 3^2 x 3.6
    101.8
    """
    up = stock_axis(heel)
    return kernel.cylinder(np.array(heel.centre_mm) - heel.height_mm / 2 * up, up, heel.outside_mm / 2, heel.height_mm)


def boss_bore(heel: Heel) -> Solid:
    """Return what is bored out of the boss and the foot.

    >>> heel = shipped("yawl-with-heel").skeg.heel
    >>> round(boss_bore(heel).Volume() / 1000, 1)  # cm3, pi 1.915^2 x 2 (1.8 + 3.6 + 0.5)
    135.9
    """
    up = stock_axis(heel)
    reach = heel.height_mm / 2 + heel.foot_height_mm + CLEAR_MM
    return kernel.cylinder(np.array(heel.centre_mm) - reach * up, up, boss_bore_mm(heel) / 2, 2 * reach)


def over_boss(heel: Heel) -> list[Solid]:
    """Return what the foot must leave free over both faces of the boss: rudder and pintle go there.

    >>> heel = shipped("yawl-with-heel").skeg.heel
    >>> [round(s.Volume() / 1000, 1) for s in over_boss(heel)]  # cm3, pi 3^2 x (3.6 + 0.5)
    [115.9, 115.9]
    """
    up, middle = stock_axis(heel), np.array(heel.centre_mm)
    radius, high = heel.outside_mm / 2, heel.foot_height_mm + CLEAR_MM
    ends = [(middle + side * heel.height_mm / 2 * up, side * up) for side in (1, -1)]
    return [kernel.cylinder(face, way, radius, high) for face, way in ends]


def foot(skeg: Skeg, heel: Heel, barrel: Barrel) -> Solid:
    """Return the bar from the fin's leading edge, along its lower edge, to the middle of the heel boss.

    Its nose is half round; its lower edge starts level with the fin's.

    >>> strut = shipped("yawl-with-heel")
    >>> round(foot(strut.skeg, strut.skeg.heel, strut.barrel).BoundingBox().ylen, 3)  # its thickness
    40.0
    """
    start = np.array(foot_start_mm(barrel, skeg, heel))
    way = np.array(heel.centre_mm) - start
    length = float(np.linalg.norm(way))
    u = unit(way)
    v = unit(np.cross(Z, u))
    b = heel.foot_thickness_mm / 2
    nose = math.tan(math.pi / 8)
    plan = Outline(np.array(((b, b, nose), (0.0, 0.0, nose), (b, -b, 0.0), (length, -b, 0.0), (length, b, 0.0))))
    axes = Axes(start, u, v, np.cross(u, v))
    return kernel.prism(kernel.outline_wire(plan, axes, -heel.foot_height_mm / 2), heel.foot_height_mm * axes.n)


def bush(heel: Heel) -> Solid:
    """Return the bush that lines the boss, as long as the boss.

    >>> round(bush(shipped("yawl-with-heel").skeg.heel).Volume() / 1000, 1)  # cm3, pi (1.915^2 - 1.515^2) x 3.6
    15.5
    """
    up = stock_axis(heel)
    r, low = boss_bore_mm(heel) / 2, np.array(heel.centre_mm) - heel.height_mm / 2 * up
    wall = kernel.tube_profile(r, heel.bush_wall_mm, heel.height_mm)
    return kernel.revolve(wall, low, up, unit(np.cross(up, Y)))
