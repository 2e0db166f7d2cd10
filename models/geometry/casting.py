"""What sizes left as cast may come to, and the least wall they leave. Pure numpy, no kernel; broadcasts.

Tolerances of castings are totals, half on each side (ISO 8062). The barrel's bore is machined true to its outside
as cast.
"""

from __future__ import annotations

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.geometry.barrel import parallel_part
from strutwright.models.spec import Barrel, Casting, Strut
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM

GENERAL_INCH_MM = 0.01 * INCH_MM
"""General tolerance, plus or minus (mm), of inch sheets: .010 in where three decimals stand; common practice."""


def casting_of(strut: Strut) -> Casting:
    """Return how closely a strut is cast; the usual grades of its metal where nothing else is known.

    >>> casting_of(shipped("harbour-launch")).tolerance_grade
    'CT11'
    """
    if strut.casting is not None:
        return strut.casting
    usual = tables.casting_grades(strut.material)
    return Casting(tolerance_grade=usual.finest, allowance_grade=usual.allowance)


def cast_tolerance_mm(grade: str, dimension_mm: Num) -> Num:
    """Return the total casting tolerance (mm) of a dimension, ISO 8062, published (typed copy).

    Sizes under the table's least (16 mm) take its first row, which is on the safe side; over its greatest (1000 mm)
    the last row grows in proportion, which is no value of the standard.

    >>> float(cast_tolerance_mm("CT11", 68.0))
    4.4
    """
    column = tables.casting_tolerances(grade)
    edges, values = (np.array(c) for c in zip(*column, strict=True))
    size = np.asarray(dimension_mm, dtype=float)
    found = values[np.minimum(np.searchsorted(edges, size - 1e-9), len(values) - 1)]
    total: Num = (found * np.maximum(size / edges[-1], 1.0))[()]
    return total


def general_tolerance_mm(dimension_mm: Num) -> Num:
    """Return the general tolerance (mm), plus or minus, of a machined length or diameter; ISO 2768-1 m, published.

    Over the table's greatest size (2000 mm) its last row is taken, which is no value of the standard.

    >>> float(general_tolerance_mm(68.0))
    0.3
    """
    edges, values = (np.array(c) for c in zip(*tables.general_tolerances(), strict=True))
    return values[np.minimum(np.searchsorted(edges, np.asarray(dimension_mm) - 1e-9), len(values) - 1)][()]


def widest_turned_mm(diameter_mm: Num) -> Num:
    """Return the widest (mm) that a bore without limits of its own may come to, as a relief, in mm or inch sheets.

    >>> float(widest_turned_mm(91.0))
    91.3
    """
    return diameter_mm + np.maximum(general_tolerance_mm(diameter_mm), GENERAL_INCH_MM)


def widest_bore_mm(barrel: Barrel) -> Num:
    """Return the widest diameter (mm) of the bore at its upper limits within the parallel part, lead-ins left out.

    >>> float(widest_bore_mm(shipped("pilot-vee").barrel))  # its relief of 91, to 0.3
    91.3
    """
    start, stop = parallel_part(barrel)
    wide: Num = barrel.bore_mm + barrel.bore_upper_mm
    for step in barrel.steps:
        within = np.logical_and(step.from_station_mm < stop, step.to_station_mm > start)
        most = widest_turned_mm(step.diameter_mm) if step.limits_mm is None else step.diameter_mm + step.limits_mm[1]
        wide = np.where(within, np.maximum(wide, most), wide)
    return np.asarray(wide, dtype=float)[()]


def off_centre_mm(casting: Casting, coaxial_mm: float) -> float:
    """Return how far (mm) the machined bore of a casting may lie off the middle of its outside.

    Half the zone asked for, and what a shifted core leaves over when it is more than the stock on the bore: the bore
    must follow the core then to clean up. coaxial_mm: diameter of the zone.

    >>> off_centre_mm(Casting(tolerance_grade="CT11", allowance_grade="F", core_shift_mm=3.0, stock_bore_mm=2.0), 1.0)
    1.5
    """
    stock = casting.core_shift_mm if casting.stock_bore_mm is None else casting.stock_bore_mm
    return coaxial_mm / 2 + max(0.0, casting.core_shift_mm - stock)


def least_cast_wall_mm(barrel: Barrel, casting: Casting, coaxial_mm: float) -> Num:
    """Return the least wall (mm) of a cast barrel's parallel part after boring.

    The outside at the least of its casting tolerance, the bore at its widest and as far off the middle as may be
    (see `off_centre_mm`).

    >>> strut = shipped("harbour-launch")
    >>> float(least_cast_wall_mm(strut.barrel, casting_of(strut), 1.0).round(4))  # (68 - 4.4 / 2 - 50.025) / 2 - 0.5
    7.3875
    """
    outside = barrel.outside_mm - cast_tolerance_mm(casting.tolerance_grade, barrel.outside_mm) / 2
    return (outside - widest_bore_mm(barrel)) / 2 - off_centre_mm(casting, coaxial_mm)


def least_cast_outside_mm(bore_mm: float, wall_mm: float, casting: Casting, coaxial_mm: float) -> float:
    """Return the outside diameter (mm) that leaves a wall at the worst of the casting's tolerances.

    >>> round(least_cast_outside_mm(50.0, 8.0, casting_of(shipped("harbour-launch")), 1.0), 3)  # 50 + 2 x 8.5 + 4.4 / 2
    69.2
    """
    outside = bore_mm + 2 * (wall_mm + off_centre_mm(casting, coaxial_mm))
    for _ in range(4):  # the tolerance goes by the size that it makes larger
        outside = (
            bore_mm
            + 2 * (wall_mm + off_centre_mm(casting, coaxial_mm))
            + float(cast_tolerance_mm(casting.tolerance_grade, outside)) / 2
        )
    return outside
