"""Checks of the skeg: on the barrel, clear of the propeller, and its heel."""

from __future__ import annotations

import numpy as np

from strutwright.models.checks.check import rows_of
from strutwright.models.checks.results import Results
from strutwright.models.geometry import bodies
from strutwright.models.geometry.barrel import parallel_part
from strutwright.models.geometry.clearances import least_gap_mm
from strutwright.models.geometry.skeg import chord_at
from strutwright.models.spec import Heel, Skeg, Strut
from strutwright.params.words import mm

CHECKS = (BARREL, PARALLEL, FOOT, FIN, TIGHT, BUSH, SLEEVE, REACH, CARRY) = rows_of("skeg")


def check(out: Results) -> None:
    """Check the skeg, when there is one: its root, the blades beside it, its heel.

    >>> found(check, "yawl-with-heel")["heel_bush_length"].demanded  # 1.2 times the 30 mm pintle
    36.0
    """
    strut, skeg = out.strut, out.strut.skeg
    if skeg is None:
        return
    length = strut.barrel.length_mm
    past = np.maximum(np.maximum(-skeg.root_aft_station_mm, skeg.root_forward_station_mm - length), 0.0)
    out.most(BARREL, past, 0.0, length=mm(length))
    start, stop = parallel_part(strut.barrel)
    past = np.maximum(start - skeg.root_aft_station_mm, skeg.root_forward_station_mm - stop) + skeg.root_mm
    out.most(
        PARALLEL, np.maximum(past, 0.0), 0.0, warn=True, aft=mm(start + skeg.root_mm), forward=mm(stop - skeg.root_mm)
    )
    _propeller(out, skeg)
    if skeg.heel is not None:
        _heel(out, skeg, skeg.heel)


def _propeller(out: Results, skeg: Skeg) -> None:
    strut, p = out.strut, out.strut.propeller
    if p.diameter_mm is None:
        out.without(FIN, "middle of the blades abaft the fin", "propeller.diameter")
        if skeg.heel is not None:
            out.without(FOOT, "blade tip to foot and heel", "propeller.diameter")
        return
    swept = bodies.blades_body(strut, p)
    assert swept is not None
    half = (p.hub_length_mm or 0.0) / 2
    fin = half + least_gap_mm([swept], bodies.fin_bodies(strut, skeg))
    out.least(FIN, fin, "blade_abaft_fin", per=p.diameter_mm, hard=half)
    if skeg.heel is None:
        return
    clear = least_gap_mm([swept], [bodies.foot_body(strut, skeg, skeg.heel), bodies.boss_body(skeg.heel)])
    need = out.value("blade_to_foot", p.diameter_mm)
    out.least(FOOT, clear, "blade_to_foot", per=p.diameter_mm, hard="blade_to_foot_hard", more=mm(need - clear))


def _trailing_x(skeg: Skeg, strut: Strut, below_mm: float) -> float:
    lead, chord, _ = chord_at(skeg, strut.barrel, float(below_mm))
    return lead - chord


def _heel(out: Results, skeg: Skeg, heel: Heel) -> None:
    strut = out.strut
    play = heel.bore_mm - heel.running_mm
    under = np.less(play, out.value("heel_clearance_floor"))
    out.least(TIGHT, play, "heel_clearance_floor", where=under)
    out.least(TIGHT, play, "heel_clearance_least", per=heel.running_mm, where=np.logical_not(under))
    out.most(BUSH, heel.height_mm, "heel_bush_length", per=heel.running_mm)
    if heel.sleeve_wall_mm > 0:
        out.least(SLEEVE, heel.sleeve_wall_mm, "pintle_sleeve_wall")
    edge = _trailing_x(skeg, strut, skeg.depth_mm)
    out.least(REACH, edge - (heel.centre_mm[0] + heel.outside_mm / 2), 0.0, warn=True)
    out.most(CARRY, heel.foot_thickness_mm, heel.outside_mm, warn=True)
