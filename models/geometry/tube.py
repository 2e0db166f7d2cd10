"""What a tube leaves for the barrel that is made of it, at the worst of its tolerances. Pure numpy; broadcasts."""

from __future__ import annotations

from strutwright.models.arrays import Num
from strutwright.models.geometry.casting import widest_bore_mm
from strutwright.models.spec import Barrel, Tube


def narrowest_bore_mm(barrel: Barrel) -> float:
    """Return the least diameter (mm) that is machined in a barrel.

    >>> narrowest_bore_mm(shipped("cutter-shoulder").barrel)  # at its shoulder: 1 13/16 in
    46.0375
    """
    return min([barrel.bore_mm, *(s.diameter_mm for s in barrel.steps)])


def tube_boring_mm(barrel: Barrel, tube: Tube, coaxial_mm: float) -> float:
    """Return the metal (mm) there is to bore out on each side, at the worst; negative where the tube's hollow stays.

    coaxial_mm: the diameter within which the bore is coaxial with the outside of the tube as bought.

    >>> tube = Tube(outside_mm=48.0, wall_mm=10.0, outside_off_mm=0.5, wall_least_mm=9.0, turned=False)
    >>> tube_boring_mm(shipped("canal-tender").barrel, tube, 1.0)  # (32 - (48.5 - 2 x 9) - 1) / 2
    0.25
    """
    return (narrowest_bore_mm(barrel) - tube.inside_most_mm - coaxial_mm) / 2


def least_tube_wall_mm(barrel: Barrel, tube: Tube, coaxial_mm: float) -> Num:
    """Return the least wall (mm) over the widest bore where the tube's outside is left as bought.

    coaxial_mm: as in `tube_boring_mm`.

    >>> tube = Tube(outside_mm=48.0, wall_mm=10.0, outside_off_mm=0.5, wall_least_mm=9.0, turned=False)
    >>> float(least_tube_wall_mm(shipped("canal-tender").barrel, tube, 1.0).round(4))  # (47.5 - 32.025 - 1) / 2
    7.2375
    """
    return (tube.outside_least_mm - widest_bore_mm(barrel) - coaxial_mm) / 2
