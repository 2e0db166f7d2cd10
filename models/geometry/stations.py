"""Sections of arms and the fin at shares of their length, and their ordinates. Pure numpy, mm."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from strutwright.models import frames
from strutwright.models.geometry.members import arm_section
from strutwright.models.geometry.skeg import chord_at, fin_section
from strutwright.models.sections import Section, kind_of
from strutwright.models.spec import Arm, Skeg, Strut

STATIONS = (0, 25, 50, 75, 100)
"""Where sections are told, in per cent of the way from the barrel's outside to the hull face, or to the fin's lower
edge."""
ORDINATES = (0.0, 1.25, 2.5, 5.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 95.0, 97.5, 98.75, 100.0)
"""Where along the chord a section is told, in per cent from its leading edge."""


class Station(NamedTuple):
    """A section. along_mm: an arm's along its axis from the shaft line, a fin's square to the shaft below it."""

    per_cent: float
    along_mm: float
    section: Section


def arm_stations(strut: Strut, arm: Arm, per_cent: Sequence[float] = STATIONS) -> list[Station]:
    """Return an arm's sections at shares of the way from the barrel's outside to the hull face.

    >>> launch = shipped("harbour-launch")  # from 34 to 298.6 along the axis
    >>> [(round(s.along_mm), s.section.chord_mm) for s in arm_stations(launch, launch.arms[0], (0, 100))]
    [(34, 95.0), (299, 110.0)]
    """
    ends, made = frames.arm_ends_mm(arm, strut.barrel, frames.arm_plane(strut, arm)), []
    for share in per_cent:
        along = ends[0] + share / 100.0 * (ends[1] - ends[0])
        chord, thickness = frames.arm_size_at(arm, ends, along)
        made.append(Station(share, float(along), arm_section(arm, chord, thickness)))
    return made


def skeg_stations(strut: Strut, skeg: Skeg, per_cent: Sequence[float] = STATIONS) -> list[Station]:
    """Return the fin's sections at shares of the way from the barrel's outside to its lower edge.

    >>> yawl = shipped("yawl-with-heel")
    >>> [round(s.section.chord_mm) for s in skeg_stations(yawl, yawl.skeg, (0, 100))]
    [130, 100]
    """
    root, made = strut.barrel.outside_mm / 2, []
    for share in per_cent:
        below = root + share / 100.0 * (skeg.depth_mm - root)
        _, chord, thickness = chord_at(skeg, strut.barrel, below)
        made.append(Station(share, below, fin_section(skeg, chord, thickness)))
    return made


def half_thickness_mm(section: Section, per_cent: Sequence[float] = ORDINATES) -> list[float]:
    """Return half the thickness (mm) of a section at shares of its chord from the leading edge.

    >>> round(half_thickness_mm(Section("ellipse", 100.0, 20.0), (20.0,))[0], 3)  # 10 sqrt(1 - 0.6^2)
    8.0
    """
    share = np.asarray(per_cent, dtype=float) / 100.0
    chord, thickness, edge = (
        np.full(len(share), v) for v in (section.chord_mm, section.thickness_mm, section.edge_radius)
    )
    found = kind_of(section.kind).half_mm(section, (0.5 - share) * chord, chord, thickness, edge)
    return [float(v) for v in found]
