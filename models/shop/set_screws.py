"""How long a set screw is bought."""

from __future__ import annotations

from strutwright.models.formulas import set_screws as rules
from strutwright.models.formulas.set_screws import ScrewLength
from strutwright.models.geometry.barrel import screw_wall_of
from strutwright.models.geometry.casting import least_cast_wall_mm
from strutwright.models.spec import SetScrew, Strut
from strutwright.params import tables
from strutwright.params.limits import Limits


def set_screw_length(strut: Strut, screw: SetScrew, limits: Limits) -> ScrewLength | None:
    """Return the length of a set screw (mm): down to the bottom of its dimple, less what it is sunk at least (limit
    `screw_recess_bought`), and the stock length below it; None where the table does not hold the thread or no length is
    left.

    The wall of a casting is taken at its least, so that the screw stands proud nowhere.

    >>> strut = shipped("canal-tender")  # a wall of 8, a dimple of 1.5
    >>> set_screw_length(strut, strut.set_screws[0], standard())
    ScrewLength(ideal_mm=8.5, stock_mm=8.0, recess_mm=1.5)
    """
    barrel, lost = strut.barrel, 0.0
    if strut.casting is not None:
        least = float(least_cast_wall_mm(barrel, strut.casting, limits["bore_coaxial_cast"].value))
        lost = max((barrel.outside_mm - barrel.bore_mm) / 2 - least, 0.0)
    try:
        row = tables.set_screw(tables.thread(screw.thread).size, screw.point)
        reach = float(screw.tip.reach_mm(screw.dimple_depth_mm, row.point_diameter_mm))
        wall, recess = float(screw_wall_of(strut, screw).to_shell_mm) - lost, limits["screw_recess_bought"].value
        return rules.screw_length(wall, reach, recess, row.lengths_mm)
    except (tables.NotInTable, ValueError):
        return None


def stock_length_mm(strut: Strut, screw: SetScrew, limits: Limits) -> float | None:
    """Return the stock length (mm) of a set screw, the longest that stays below the outside; None where none does.

    >>> strut = shipped("canal-tender")  # 8.5 would do
    >>> stock_length_mm(strut, strut.set_screws[0], standard())
    8.0
    """
    length = set_screw_length(strut, screw, limits)
    return None if length is None else length.stock_mm


def screw_kinds(strut: Strut, limits: Limits) -> dict[tuple[str, str, float | None], list[SetScrew]]:
    """Return the set screws by thread, point and stock length (mm; None where none is short enough): one line of the
    parts list each, in its order.

    >>> {kind: len(alike) for kind, alike in screw_kinds(shipped("canal-tender"), standard()).items()}
    {('M6x1', 'cone', 8.0): 2}
    """
    kinds: dict[tuple[str, str, float | None], list[SetScrew]] = {}
    for s in strut.set_screws:
        kinds.setdefault((s.thread, s.point, stock_length_mm(strut, s, limits)), []).append(s)
    return kinds
