"""The arm: a section swept or tapered along the arm axis, with or without its root blends."""

from __future__ import annotations

from strutwright.models import frames
from strutwright.models.geometry import members, skins
from strutwright.models.geometry.roots import Slab
from strutwright.models.geometry.skins import End
from strutwright.models.solids import barrel as barrels
from strutwright.models.solids import skinned
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import Arm, Strut


def plain(strut: Strut, arm: Arm, height_mm: float) -> Solid:
    """Return the arm without blends, from inside the barrel to a height (mm) over its palm's hull face (negative: under
    it, toward the water). Raises SectionError or KernelError when it cannot be made.

    >>> strut = shipped("canal-tender")
    >>> to_hull, to_water = (plain(strut, strut.arms[0], high).Volume() for high in (0.0, -10.0))
    >>> round(to_hull - to_water)  # (42 x 14 + pi 7^2) x 10 / cos 9 degrees
    7512
    """
    member, hull = members.arm_member(strut, arm), frames.palm_axes(strut.palms[arm.palm_index])
    return skinned.solid(
        skins.skin(
            member.ruled, members.barrel_end(member, strut.barrel, 0.0), End((hull.origin + height_mm * hull.n, hull.n))
        )
    )


def rooted(strut: Strut, arm: Arm, radii_mm: tuple[float, float], base: Slab | None = None, deep: float = 1.0) -> Solid:
    """Return the arm with its root blends, from inside the barrel to halfway into its palm.

    radii_mm: at the barrel, at the palm; 0 for none. base: the palm's water face where it is not plane. deep: how many
    times the usual depth the blends enter what they stand on. Raises SectionError, SkinError or KernelError when it
    cannot be made.

    >>> strut = shipped("canal-tender")
    >>> round(rooted(strut, strut.arms[0], (0.0, 0.0)).Volume() - plain(strut, strut.arms[0], -5.0).Volume(), 3)
    0.0
    """
    member, palm = members.arm_member(strut, arm), strut.palms[arm.palm_index]
    ends = (members.barrel_end(member, strut.barrel, radii_mm[0]), members.palm_end(member, palm, radii_mm[1], base))
    made = skinned.solid(skins.skin(member.ruled, *(e.deeper(deep) for e in ends)))
    return barrels.within_faces(made, member, strut.barrel)
