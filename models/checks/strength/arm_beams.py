"""The arms as beams: sections along them, how they give, and what a section carries of a load on the arm's root.

Each arm is a beam from the hull face to the barrel, rigid inside it (unit-load method; bending in two planes, shear,
axial and torsion; Simpson's rule over three sections). Arm axes: c along the chord forward, t across it, a along the
arm toward the hull, right-handed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple, TypeAlias

import numpy as np

from strutwright.models.arrays import Num, Six, Triple, add, cross, dot, mul, plus, times
from strutwright.models.formulas.beams import ArmFlexibility, Cut, arm_flexibility
from strutwright.models.input_parts import ArmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.sections import SectionProperties, any_properties, kind_of


class Stresses(NamedTuple):
    """Stress in a section by what it carries, at a millimetre from its centroid where it bends: axial, moment about
    the chord, moment across it; shear and torsion at their peaks. centroid_x_mm: from mid-chord, a plain nought where
    it stands there."""

    axial: Num
    chord: Num
    across: Num
    shear: Num
    torsion: Num
    centroid_x_mm: Num


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beam:
    """One arm as a beam: unit vectors of its axes, stations from the shaft line (mm) and the sections there.

    The stations (`STATIONS`) go from the barrel's outside to the palm's water face. points_mm: (x, y) of the upper half
    of each section's boundary from its centroid. flexibility: at the shaft line.
    """

    arm: ArmInputs
    chord: Triple
    across: Triple
    along: Triple
    stations_mm: tuple[Num, ...]
    sections: tuple[SectionProperties, ...]
    points_mm: tuple[tuple[tuple[Num, Num], ...], ...]
    cuts: tuple[Stresses, ...]
    flexibility: ArmFlexibility

    def turned(self, vector: Triple) -> Triple:
        """Return a strut-frame vector in arm axes."""
        return dot(vector, self.chord), dot(vector, self.across), dot(vector, self.along)

    def turned_back(self, vector: Triple) -> Triple:
        """Return an arm-axes vector in the strut frame."""
        return plus(plus(times(vector[0], self.chord), times(vector[1], self.across)), times(vector[2], self.along))


@dataclass(frozen=True, slots=True, eq=False)
class Actions:
    """What a section carries, per unit load: axial (tension positive), shears, moments about its centroid, torsion."""

    axial: Num
    shear_chord: Num
    shear_across: Num
    moment_chord: Num
    """Integral of stress times the distance across the chord line."""
    moment_across: Num
    """Integral of stress times the distance along the chord from the centroid."""
    torsion: Num


STATIONS = (0.0, 0.125, 0.25, 0.5, 1.0)
"""Where along an arm its sections are cut, as shares of it from the barrel's outside to the palm's water face. An arm
that grows fast is worst close to the barrel: between these the stress is never more than 2 % over theirs where it grows
by half either way to the palm, and 5 % where it doubles."""
MIDDLE = STATIONS.index(0.5)
"""Which of them is the middle of the arm."""
AT_PALM = len(STATIONS) - 1
"""Of a beam's stations and sections that at the palm's water face; at the barrel stands the first."""


@once
def beams(inputs: Inputs) -> tuple[Beam, ...]:
    """Return the arms as beams; kept with the inputs.

    >>> [beam.arm.name for beam in beams(engineering_inputs("pilot-vee"))]
    ['port arm', 'starboard arm']
    """
    kept: _Kept = {}
    return tuple(_beam(inputs, arm, kept) for arm in inputs.arms)


class _Cut(NamedTuple):
    """A section of an arm."""

    properties: SectionProperties
    points_mm: tuple[tuple[Num, Num], ...]
    stresses: Stresses


_Kept: TypeAlias = dict[tuple[Any, ...], tuple[_Cut, tuple[Num, ...]]]


def _beam(inputs: Inputs, arm: ArmInputs, kept: _Kept) -> Beam:
    along = arm.direction
    pitch = np.radians(inputs.pitch_deg)
    forward: Triple = (np.cos(pitch), 0.0, -np.sin(pitch)) if arm.along_flow else (1.0, 0.0, 0.0)
    lean = dot(forward, along)
    # Sections are cut along the chord direction; square to the arm the chord is shorter by this.
    foreshort: Num = 1.0
    chord = forward
    if not (isinstance(lean, float) and lean == 0.0):
        foreshort = np.sqrt(np.maximum(1.0 - lean * lean, 1e-12))
        chord = times(1.0 / foreshort, plus(forward, times(-lean, along)))
    toe = np.radians(arm.toe_deg)
    chord = plus(times(np.cos(toe), chord), times(np.sin(toe), cross(along, chord)))
    stations = tuple(arm.start_mm + share * (arm.water_mm - arm.start_mm) for share in STATIONS)
    if arm.chord_barrel_mm is arm.chord_palm_mm and arm.thickness_barrel_mm is arm.thickness_palm_mm:
        cuts = [_section(arm, stations[0], foreshort, kept)] * len(stations)
    else:
        cuts = [_section(arm, s, foreshort, kept) for s in stations]
    found = [cut.properties for cut in cuts]
    return Beam(
        arm=arm,
        chord=chord,
        across=cross(along, chord),
        along=along,
        stations_mm=stations,
        sections=tuple(found),
        points_mm=tuple(cut.points_mm for cut in cuts),
        cuts=tuple(cut.stresses for cut in cuts),
        flexibility=_flexibility(inputs, arm, [found[0], found[MIDDLE], found[AT_PALM]]),
    )


def _section(arm: ArmInputs, along: Num, foreshort: Num, kept: _Kept) -> _Cut:
    """Properties of a section at a distance along an arm and the upper half of its boundary from its centroid.

    Two arms of the same sizes have the same sections: in a study they hold the very same arrays.
    """
    sizes = (
        along,
        foreshort,
        arm.start_mm,
        arm.end_mm,
        arm.chord_barrel_mm,
        arm.chord_palm_mm,
        arm.thickness_barrel_mm,
        arm.thickness_palm_mm,
        arm.edge_radius_mm,
    )
    key = tuple(round(float(v), 9) if np.ndim(v) == 0 else (id(v),) for v in sizes)
    if key not in kept:
        chord, thickness = arm.size_at(along)
        # The sizes are kept with it, so that no other array comes to their identity.
        kept[key] = _cut(arm, mul(chord, foreshort), thickness), sizes
    return kept[key][0]


def _cut(arm: ArmInputs, chord: Num, thickness: Num) -> _Cut:
    edge = arm.edge_at(thickness)
    made = any_properties(arm.shape, chord, thickness, edge)
    upper = kind_of(arm.shape).extremes(chord, thickness, 0.0 if edge is None else edge)
    stresses = Stresses(
        1.0 / made.area_mm2,
        1.0 / made.ixx_mm4,
        1.0 / made.iyy_mm4,
        1.5 / made.area_mm2,
        2.0 * made.half_thickness_mm / made.j_mm4,
        made.centroid_x_mm if np.any(made.centroid_x_mm) else 0.0,
    )
    return _Cut(made, tuple((add(x, -stresses.centroid_x_mm), y) for x, y in upper), stresses)


def _flexibility(inputs: Inputs, arm: ArmInputs, found: list[SectionProperties]) -> ArmFlexibility:
    """Flexibility at the shaft line of the arm built in at the hull face."""
    low, water, high = arm.start_mm, arm.water_mm, arm.end_mm
    length = water - low
    # Simpson's rule to the palm's water face, where the sections were cut; through the palm the last of them.
    weights = (length / 6.0, 4.0 * length / 6.0, length / 6.0, high - water)
    at = (low, (low + water) / 2.0, water, (water + high) / 2.0)
    cuts = [Cut.of(s) for s in (*found, found[-1])]
    return arm_flexibility(weights, at, cuts, inputs.strut.modulus_mpa, inputs.strut.shear_mpa)


def turned(beam: Beam, load: Six) -> Six:
    """Return a load in arm axes of one in the strut frame.

    >>> beam = beams(engineering_inputs("harbour-launch"))[0]  # it stands plumb, its chord forward
    >>> [float(part) for part in turned(beam, (1.0, 0.0, 0.0, 0.0, 0.0, 5.0))]
    [1.0, 0.0, 0.0, 0.0, 0.0, 5.0]
    """
    x, y, z, *about = load
    return (*beam.turned((x, y, z)), *beam.turned((about[0], about[1], about[2])))


def back(beam: Beam, load: Six) -> Six:
    """Return a load in the strut frame of one in arm axes.

    >>> beam = beams(engineering_inputs("harbour-launch"))[0]
    >>> [float(part) for part in back(beam, (1.0, 0.0, 0.0, 0.0, 0.0, 5.0))]
    [1.0, 0.0, 0.0, 0.0, 0.0, 5.0]
    """
    c, t, a, *about = load
    return (*beam.turned_back((c, t, a)), *beam.turned_back((about[0], about[1], about[2])))


def actions(beam: Beam, station: int, load: Six) -> Actions:
    """Return what a section of an arm carries under a load on the arm's root (arm axes). Statics.

    >>> beam = beams(engineering_inputs("canal-tender"))[0]
    >>> actions(beam, 0, (0.0, 100.0, 0.0, 0.0, 0.0, 0.0)).moment_chord  # 100 N across, half a barrel of 48 below
    -2400.0
    """
    s, offset = beam.stations_mm[station], beam.cuts[station].centroid_x_mm
    fc, ft, fa, mc, mt, ma = load
    return Actions(-fa, -fc, -ft, -add(mc, mul(s, ft)), add(mt, -mul(s, fc), mul(fa, offset)), -ma)


def shear_mpa(beam: Beam, station: int, shear: Num, torsion: Num) -> Num:
    """Return the greatest shear stress, MPa: torsion over J / t plus 1.5 times shear over area (peaks added).

    >>> beam = beams(engineering_inputs("canal-tender"))[0]
    >>> round(float(shear_mpa(beam, 0, 1000.0, 0.0)), 2)  # 1.5 x 1000 over 742 mm2
    2.02
    """
    per = beam.cuts[station]
    return add(mul(torsion, per.torsion), mul(shear, per.shear))
