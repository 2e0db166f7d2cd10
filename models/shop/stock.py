"""Plate that a welded strut is cut from: which is bought, and how thin the mill may send it. Pure; mm."""

from __future__ import annotations

from dataclasses import dataclass, replace

from strutwright.models.metals import metal
from strutwright.models.shop.pressing import machining_stock_mm
from strutwright.models.spec import Arm, Palm, Skeg, Strut
from strutwright.params import tables
from strutwright.params.limits import Limits
from strutwright.params.tables import MillTolerance


def mill_of(strut: Strut, thickness_mm: float) -> MillTolerance | None:
    """Return how far plate of the strut's metal may come off its thickness; None where no table says.

    >>> mill_of(shipped("canal-tender"), 10.0).thinner_mm  # stainless, ISO 18286
    0.3
    """
    return tables.plate_tolerance(thickness_mm, metal(strut.material).family, _system(strut))


def plate_mm(strut: Strut, thickness_mm: float, *, spare: bool = False) -> float:
    """Return the thickness of the plate that is bought for a part: the next of the list. Raises NotInTable.

    spare: whether metal is left on to be machined off. Of plate that is machined its thinnest still holds the part.

    >>> yawl = shipped("yawl-with-heel")
    >>> [plate_mm(yawl, 25.0), plate_mm(yawl, 25.0, spare=True), plate_mm(yawl, 24.9)]  # 25 may come at 24.7
    [25.0, 30.0, 30.0]
    """
    found = tables.next_plate(thickness_mm, _system(strut)).thickness_mm
    mill = mill_of(strut, found)
    machined = spare or found > thickness_mm + 1e-6
    if machined and mill is not None and found - mill.thinner_mm < thickness_mm - 1e-6:
        return tables.next_plate(found + 1e-3, _system(strut)).thickness_mm
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Thin:
    """A part of plate that is used as it comes: its size, and the least that the mill may send."""

    part: str
    size_mm: float
    least_mm: float
    mill: MillTolerance


def thinnest(strut: Strut, limits: Limits) -> tuple[Strut, tuple[Thin, ...]]:
    """Return a welded strut of plate as thin as the mill may send it, and the parts that are thinner by that.

    Plate that is machined to its size, bars and tubes stay as drawn.

    >>> thin, parts = thinnest(shipped("yawl-with-heel"), standard())
    >>> [(p.part, p.least_mm) for p in parts], thin.arms[0].thickness_barrel_mm  # the arm is machined from 40
    ([('palm', 24.7), ('skeg', 24.7), ('foot', 39.7)], 32.0)
    """
    parts: list[Thin] = []
    if strut.construction != "welded":
        return strut, ()

    def least(part: str, size_mm: float) -> float:
        try:
            found = plate_mm(strut, size_mm)
        except tables.NotInTable:
            return size_mm
        mill = mill_of(strut, found)
        if mill is None or found > size_mm + 1e-6:
            return size_mm
        parts.append(Thin(part=part, size_mm=found, least_mm=found - mill.thinner_mm, mill=mill))
        return found - mill.thinner_mm

    def arm(one: Arm) -> Arm:
        most = least(one.name, max(one.thickness_barrel_mm, one.thickness_palm_mm))
        barrel, palm = (min(t, most) for t in (one.thickness_barrel_mm, one.thickness_palm_mm))
        return replace(one, thickness_barrel_mm=barrel, thickness_palm_mm=palm)

    def plate(palm: Palm) -> Palm:
        if machining_stock_mm(strut, palm, limits, inch=strut.file_units == "in") > 0.0:
            return palm
        return replace(palm, thickness_mm=least(palm.name, palm.thickness_mm))

    def fin(skeg: Skeg) -> Skeg:
        most = least("skeg", max(skeg.thickness_root_mm, skeg.thickness_tip_mm))
        root, tip = (min(t, most) for t in (skeg.thickness_root_mm, skeg.thickness_tip_mm))
        heel = skeg.heel
        if heel is not None:
            heel = replace(heel, foot_thickness_mm=least("foot", heel.foot_thickness_mm))
        return replace(skeg, thickness_root_mm=root, thickness_tip_mm=tip, heel=heel)

    arms, palms = tuple(arm(a) for a in strut.arms), tuple(plate(p) for p in strut.palms)
    skeg = None if strut.skeg is None else fin(strut.skeg)
    return replace(strut, arms=arms, palms=palms, skeg=skeg), tuple(parts)


def _system(strut: Strut) -> str:
    return "inch" if strut.file_units == "in" else "metric"
