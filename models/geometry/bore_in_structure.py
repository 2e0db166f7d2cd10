"""The hole that a structure is bored for a let-in housing. Pure sizes, no kernel."""

from __future__ import annotations

from dataclasses import dataclass

from strutwright.models.spec import Strut

WEB_MM = 10.0
"""How far a structure is drawn beyond the bottom of its hole; drawn, not built."""


@dataclass(frozen=True, slots=True)
class Bored:
    """The hole cut along the shaft. profile: (x, radius) from the structure's face inward to where it is drawn to end;
    face_x, floor_x, far_x: of that face, of the bottom of the hole, and of the end drawn. mm, x as in the strut frame.
    """

    profile: tuple[tuple[float, float], ...]
    face_x: float
    floor_x: float
    far_x: float


def face_mm(strut: Strut) -> float:
    """Return the station (mm) of the structure's face, from which a counterbore goes in.

    >>> face_mm(shipped("skeg-sleeve"))  # under a collar of 15
    15.0
    """
    it = strut.let_in
    assert it is not None
    return it.mouth_mm - it.inward * it.structure.counterbore_depth_mm


def bored(strut: Strut) -> Bored:
    """Return the hole of a let-in housing; one that goes on does so as wide as shaft and water need.

    >>> [(round(x, 1), r) for x, r in bored(shipped("tube-liner-pair")).profile][:2]  # 107.3 + 0.3, half of it
    [(-85.0, 53.65), (115.0, 53.65)]
    """
    it = strut.let_in
    assert it is not None
    b, own, rows = strut.barrel, it.structure, list[tuple[float, float]]()
    if own.counterbore_mm > 0:
        rows += [(b.x(face_mm(strut)), own.counterbore_mm / 2), (b.x(it.mouth_mm), own.counterbore_mm / 2)]
    floor = b.x(it.mouth_mm + it.inward * own.depth_mm)
    for k, seat in enumerate(it.seats):
        ends = (
            (seat.from_station_mm, seat.to_station_mm) if it.inward > 0 else (seat.to_station_mm, seat.from_station_mm)
        )
        stop = floor if k == len(it.seats) - 1 else b.x(ends[1])
        rows += [(b.x(ends[0]), seat.hole_mm / 2), (stop, seat.hole_mm / 2)]
    far = floor
    if not own.open_end:
        far = floor + it.inward * WEB_MM
        way = min(strut.shaft.diameter_mm / 2 + 3.0, rows[-1][1])
        rows += [(floor, way), (far, way)]
    return Bored(tuple(rows), b.x(face_mm(strut)), floor, far)
