"""Checks of the skeg: on the barrel, clear of the propeller, and its heel."""

from __future__ import annotations

import numpy as np

from strutwright.models.checks.check import Check
from strutwright.models.checks.results import Results
from strutwright.models.geometry import bodies
from strutwright.models.geometry.barrel import parallel_part
from strutwright.models.geometry.clearances import least_gap_mm
from strutwright.models.geometry.skeg import chord_at
from strutwright.models.spec import Heel, Skeg, Strut
from strutwright.params.words import mm, say

_GROUP = "skeg"
BARREL = Check("skeg_on_barrel", _GROUP, "the skeg's root stands on the barrel")
PARALLEL = Check("skeg_on_parallel_part", _GROUP, "the skeg's root with its fillet or weld stands on the parallel part")
FOOT = Check(
    "blade_to_foot", _GROUP, "blade tip to the foot and heel under it", ("blade_to_foot", "blade_to_foot_hard")
)
FIN = Check("blade_abaft_fin", _GROUP, "middle of the blades abaft the fin's trailing edge", ("blade_abaft_fin",))
BUSH = Check(
    "heel_bush_length", _GROUP, "length of the heel bush against the pintle, or its sleeve", ("heel_bush_length",)
)
SLEEVE = Check("pintle_sleeve_wall", _GROUP, "wall of the sleeve on the pintle", ("pintle_sleeve_wall",))
REACH = Check("heel_abaft_fin", _GROUP, "the heel boss stands abaft the fin, on the foot")
CARRY = Check("foot_carries_boss", _GROUP, "the foot is no wider than the boss it carries")
CHECKS = (BARREL, PARALLEL, FOOT, FIN, BUSH, SLEEVE, REACH, CARRY)


def check(out: Results) -> None:
    """Check the skeg, when there is one: its root, the blades beside it, its heel."""
    strut, skeg = out.strut, out.strut.skeg
    if skeg is None:
        return
    length = strut.barrel.length_mm
    past = np.maximum(np.maximum(-skeg.root_aft_station_mm, skeg.root_forward_station_mm - length), 0.0)
    out.most(
        BARREL,
        "skeg root past a face of the barrel",
        past,
        0.0,
        parameter="skeg.root_forward",
        advice=say("keep skeg.root_aft and skeg.root_forward between 0 and {length}", length=mm(length)),
    )
    start, stop = parallel_part(strut.barrel)
    past = np.maximum(start - skeg.root_aft_station_mm, skeg.root_forward_station_mm - stop) + skeg.root_mm
    out.most(
        PARALLEL,
        "skeg root with its fillet or weld past the parallel part",
        np.maximum(past, 0.0),
        0.0,
        warn=True,
        parameter="skeg.root_aft",
        advice=say(
            "keep skeg.root_aft at or over {aft} and skeg.root_forward at or under {forward}",
            aft=mm(start + skeg.root_mm),
            forward=mm(stop - skeg.root_mm),
        ),
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
    out.least(
        FIN,
        "middle of the blades to the fin",
        fin,
        "blade_abaft_fin",
        per=p.diameter_mm,
        hard=half,
        parameter="skeg.root_aft",
        advice="move skeg.root_aft forward or reduce skeg.sweep until {need} is free ahead of the blades",
    )
    if skeg.heel is None:
        return
    clear = least_gap_mm([swept], [bodies.foot_body(strut, skeg, skeg.heel), bodies.boss_body(skeg.heel)])
    need = out.value("blade_to_foot", p.diameter_mm)
    out.least(
        FOOT,
        "blade tip to foot and heel",
        clear,
        "blade_to_foot",
        per=p.diameter_mm,
        hard="blade_to_foot_hard",
        parameter="skeg.depth",
        advice=say("make skeg.depth and skeg.heel.below_shaft larger by about {more}", more=mm(need - clear)),
    )


def _trailing_x(skeg: Skeg, strut: Strut, below_mm: float) -> float:
    lead, chord, _ = chord_at(skeg, strut.barrel, float(below_mm))
    return lead - chord


def _heel(out: Results, skeg: Skeg, heel: Heel) -> None:
    strut = out.strut
    out.most(
        BUSH,
        "length of the heel bush",
        heel.height_mm,
        "heel_bush_length",
        per=heel.running_mm,
        parameter="skeg.heel.height",
        advice="make skeg.heel.height at most {need}: a longer bush bears at its ends",
    )
    if heel.sleeve_wall_mm > 0:
        out.least(
            SLEEVE,
            "wall of the sleeve on the pintle",
            heel.sleeve_wall_mm,
            "pintle_sleeve_wall",
            parameter="skeg.heel.sleeve_wall",
            advice="make skeg.heel.sleeve_wall {need} or more: a thinner "
            "one cannot be shrunk on and turned; or leave it out",
        )
    edge = _trailing_x(skeg, strut, skeg.depth_mm)
    out.least(
        REACH,
        "heel boss abaft the fin's lower end",
        edge - (heel.centre_mm[0] + heel.outside_mm / 2),
        0.0,
        warn=True,
        parameter="skeg.heel.behind_barrel",
        advice="the boss runs into the fin: make skeg.heel.behind_barrel larger or skeg.tip_chord shorter",
    )
    out.most(
        CARRY,
        "thickness of the foot",
        heel.foot_thickness_mm,
        heel.outside_mm,
        warn=True,
        parameter="skeg.heel.foot_thickness",
        advice="make skeg.heel.foot_thickness at most {need}, the boss",
    )
