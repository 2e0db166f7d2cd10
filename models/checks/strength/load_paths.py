"""From a load on the barrel through the arms to the palms: a single arm by statics, a vee as a space frame.

Each arm is a beam built in at the hull face and rigid inside the barrel (unit-load method; bending in two planes,
shear, axial and torsion; Simpson's rule over three sections). The barrel is rigid. Two arms share a load by their
stiffness; the six equations are solved for all candidates at once by L D L' in plain array arithmetic.

Everything is per newton (or N mm) in "ways": unit loads that all load cases are made of. Arm axes: c along the chord
forward, t across it, a along the arm toward the hull, right-handed.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

import numpy as np

from strutwright.models.arrays import Num, Six, Triple, add, cross, dot, greatest, least, mul, plus, times
from strutwright.models.formulas.beams import ArmFlexibility, Cut, arm_flexibility
from strutwright.models.formulas.loads import hinge_force_n
from strutwright.models.input_parts import ArmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.sections import SectionProperties, any_properties, kind_of

Way: TypeAlias = Literal["propeller_y", "propeller_z", "axial", "couple", "heel", "side", "barrel_y", "barrel_z"]
"""propeller_*: a force across the shaft where the bearing carries; axial: along the shaft; couple: about the shaft;
heel: a sideways force at the heel of the skeg; side: a force at mid-barrel across a single arm, or (vee) a couple about
the chord at the foot of one arm; barrel_*: a force across the shaft at mid-barrel."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beam:
    """One arm as a beam: unit vectors of its axes, stations from the shaft line (mm) and the sections there.

    The stations are the barrel's outside, the middle and the palm's water face. points_mm: (x, y) of the upper half of
    each section's boundary from its centroid. flexibility: at the shaft line.
    """

    arm: ArmInputs
    chord: Triple
    across: Triple
    along: Triple
    stations_mm: tuple[Num, ...]
    sections: tuple[SectionProperties, ...]
    points_mm: tuple[tuple[tuple[Num, Num], ...], ...]
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


@dataclass(frozen=True, slots=True, eq=False)
class Paths:
    """How unit loads travel.

    loads: way to its force and moment at the arms' root, strut frame. arm_loads: way to the load on each arm at the
    shaft line in arm axes (force c, t, a, moment c, t, a). motions: way (of the propeller and the heel) to the movement
    and rotation of the barrel at the arms' root, strut frame, on a rigid hull (`hull_motions` has one that gives).
    palm_loads: way to the load on each palm at its zero in palm axes (force u, v, normal toward the hull, moment u, v,
    normal). carry_x_mm: where the bearing carries, from mid-barrel. root_x_mm: the arms' root.
    """

    beams: tuple[Beam, ...]
    loads: dict[Way, tuple[Triple, Triple]]
    arm_loads: dict[Way, tuple[Six, ...]]
    motions: dict[Way, Six]
    palm_loads: dict[Way, tuple[Six, ...]]
    carry_x_mm: Num
    root_x_mm: Num


def carry_x_mm(inputs: Inputs) -> Num:
    """Return where the bearings carry the shaft, from mid-barrel (forward positive): a third from their aft end.

    A shaft that sags toward its propeller rests on the aft end; the third is common practice in shaft alignment.

    >>> round(carry_x_mm(engineering_inputs("harbour-launch")), 3)  # 140 mm of bearing 3 mm aft: -3 - 140 / 6
    -26.333
    """
    return inputs.bearing_x_mm - inputs.bearing_total_mm / 6.0


def carry_to_hub_mm(inputs: Inputs) -> Num:
    """Return the distance from where the bearing carries to the middle of the hub, mm, for loads on the strut.

    The shaft's own overhang, `Inputs.overhang_mm`, is from the middle of its bearings, which bends it more.

    >>> round(float(carry_to_hub_mm(engineering_inputs("harbour-launch"))), 3)  # -26.333 + 73, gap 25, half a hub of 80
    111.667
    """
    hub = inputs.hub_gap_taken_mm + inputs.hub_length_taken_mm / 2.0
    return carry_x_mm(inputs) + inputs.barrel_length_mm / 2.0 + hub


@functools.lru_cache(maxsize=2)
def paths(inputs: Inputs) -> Paths:
    """Return how unit loads on the barrel reach arms and palms; kept for the last inputs, as every module asks.

    >>> pushed = paths(engineering_inputs("harbour-launch")).palm_loads["axial"][0]  # 1 N forward, 298.575 mm below
    >>> [round(float(part), 3) for part in pushed]  # cos and sin of the 9 degrees of the hull
    [0.988, 0.0, 0.156, 0.0, -298.575, 0.0]
    """
    kept: _Kept = {}
    beams = tuple(_beam(inputs, arm, kept) for arm in inputs.arms)
    root_x = inputs.arms[0].x_mm
    carry = carry_x_mm(inputs)
    ways = _ways(inputs, carry, root_x, beams)
    arm_loads: dict[Way, tuple[Six, ...]]
    if len(beams) == 1:
        arm_loads = {
            way: ((*beams[0].turned(force), *beams[0].turned(moment)),) for way, (force, moment) in ways.items()
        }
        motions = {way: motion(beams[0], loads[0]) for way, loads in arm_loads.items() if way in _MOVING}
    else:
        motions = dict(zip(ways, _solve(_stiffness(beams), [(*f, *m) for f, m in ways.values()]), strict=True))
        arm_loads = {way: tuple(_held_load(b, motion) for b in beams) for way, motion in motions.items()}
        arm_loads["side"] = tuple((0.0, 0.0, 0.0, 1.0, 0.0, 0.0) for _ in beams)
        ways["side"] = ((0.0, 0.0, 0.0), beams[0].chord)
    palm_loads = {way: _palm_loads(inputs, beams, root_x, ways[way], arm_loads[way]) for way in ways}
    return Paths(beams, ways, arm_loads, motions, palm_loads, carry, root_x)


_MOVING = ("propeller_y", "propeller_z", "heel")


def _ways(inputs: Inputs, carry: Num, root_x: Num, beams: tuple[Beam, ...]) -> dict[Way, tuple[Triple, Triple]]:
    """Unit loads as (force, moment about the arms' root on the shaft line), strut frame."""
    zero = (0.0, 0.0, 0.0)
    at_carry, at_middle = (carry - root_x, 0.0, 0.0), (-root_x, 0.0, 0.0)
    y, z = (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
    made: dict[Way, tuple[Triple, Triple]] = {
        "propeller_y": (y, cross(at_carry, y)),
        "propeller_z": (z, cross(at_carry, z)),
        "axial": ((1.0, 0.0, 0.0), zero),
        "couple": (zero, (1.0, 0.0, 0.0)),
    }
    if len(beams) == 1:
        made["side"] = (beams[0].across, cross(at_middle, beams[0].across))
    if any(term.source == "force" for case in inputs.own_cases for term in case.terms):
        made |= {"barrel_y": (y, cross(at_middle, y)), "barrel_z": (z, cross(at_middle, z))}
    if inputs.skeg is not None and inputs.skeg.heel is not None:
        hx, hy, hz = inputs.skeg.heel.centre_mm
        made["heel"] = (y, cross((hx - root_x, hy, hz), y))
    return made


_Cut: TypeAlias = tuple[SectionProperties, tuple[tuple[Num, Num], ...]]
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
    stations = (arm.start_mm, (arm.start_mm + arm.water_mm) / 2.0, arm.water_mm)
    found: list[SectionProperties] = []
    points: list[tuple[tuple[Num, Num], ...]] = []
    for s in stations:
        if found and arm.chord_barrel_mm is arm.chord_palm_mm and arm.thickness_barrel_mm is arm.thickness_palm_mm:
            made, edge = found[0], points[0]
        else:
            made, edge = _section(arm, s, foreshort, kept)
        found.append(made)
        points.append(edge)
    return Beam(
        arm=arm,
        chord=chord,
        across=cross(along, chord),
        along=along,
        stations_mm=stations,
        sections=tuple(found),
        points_mm=tuple(points),
        flexibility=_flexibility(inputs, arm, found),
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
    return made, tuple((x - made.centroid_x_mm, y) for x, y in upper)


def _flexibility(inputs: Inputs, arm: ArmInputs, found: list[SectionProperties]) -> ArmFlexibility:
    """Flexibility at the shaft line of the arm built in at the hull face."""
    low, water, high = arm.start_mm, arm.water_mm, arm.end_mm
    length = water - low
    # Simpson's rule to the palm's water face, where the sections were cut; through the palm the last of them.
    weights = (length / 6.0, 4.0 * length / 6.0, length / 6.0, high - water)
    at = (low, (low + water) / 2.0, water, (water + high) / 2.0)
    cuts = [Cut.of(s) for s in (*found, found[-1])]
    return arm_flexibility(weights, at, cuts, inputs.strut.modulus_mpa, inputs.strut.shear_mpa)


def motion(beam: Beam, load: Six) -> Six:
    """Return movement (mm) and rotation (rad), strut frame, of an arm's root under a load on it in arm axes.

    >>> beam = paths(engineering_inputs("canal-tender")).beams[0]  # 56 x 14 with round edges: 742 mm2, 179.2 mm long
    >>> round(float(motion(beam, (0.0, 0.0, 1e4, 0.0, 0.0, 0.0))[2]), 4)  # 10 kN x 179.2 over 193 GPa x 742
    0.0125
    """
    fc, ft, fa, mc, mt, ma = load
    cc, cm, mm, tt, tm, nn, aa, jj = beam.flexibility
    moved = beam.turned_back((add(mul(cc, fc), mul(cm, mt)), add(mul(tt, ft), mul(tm, mc)), mul(aa, fa)))
    turned = beam.turned_back((add(mul(tm, ft), mul(nn, mc)), add(mul(cm, fc), mul(mm, mt)), mul(jj, ma)))
    return (*moved, *turned)


def _held_load(beam: Beam, motion: Six) -> Six:
    """Load (arm axes) that gives the arm's root a movement and rotation (strut frame)."""
    dc, dt, da = beam.turned((motion[0], motion[1], motion[2]))
    rc, rt, ra = beam.turned((motion[3], motion[4], motion[5]))
    s = _arm_stiffness(beam)
    return (
        add(mul(s[0], dc), mul(s[1], rt)),
        add(mul(s[3], dt), mul(s[4], rc)),
        mul(s[6], da),
        add(mul(s[4], dt), mul(s[5], rc)),
        add(mul(s[1], dc), mul(s[2], rt)),
        mul(s[7], ra),
    )


def _arm_stiffness(beam: Beam) -> tuple[Num, ...]:
    cc, cm, mm, tt, tm, nn, aa, jj = beam.flexibility
    one, two = cc * mm - cm * cm, tt * nn - tm * tm
    return mm / one, -cm / one, cc / one, nn / two, -tm / two, tt / two, 1.0 / aa, 1.0 / jj


def _stiffness(beams: tuple[Beam, ...]) -> list[list[Num]]:
    """6 x 6 stiffness of the barrel at the arms' root, strut frame; only the lower half is filled."""
    total: list[list[Num]] = [[0.0] * 6 for _ in range(6)]
    for beam in beams:
        r = (beam.chord, beam.across, beam.along)
        s = _arm_stiffness(beam)
        force, moment = (s[0], s[3], s[6]), (s[5], s[2], s[7])
        for i in range(3):
            for j in range(3):
                if j <= i:
                    total[i][j] = add(total[i][j], *(mul(force[k], mul(r[k][i], r[k][j])) for k in range(3)))
                    total[i + 3][j + 3] = add(
                        total[i + 3][j + 3], *(mul(moment[k], mul(r[k][i], r[k][j])) for k in range(3))
                    )
                # force t with rotation c, force c with rotation t
                total[i + 3][j] = add(
                    total[i + 3][j], mul(s[4], mul(r[0][i], r[1][j])), mul(s[1], mul(r[1][i], r[0][j]))
                )
    return total


def _solve(lower: list[list[Num]], loads: list[Six]) -> list[Six]:
    """Solve a symmetric positive definite system by L D L' for several right-hand sides, arrays over candidates."""
    n = len(lower)
    low: list[list[Num]] = [[0.0] * n for _ in range(n)]
    diagonal: list[Num] = [0.0] * n
    inverse: list[Num] = [0.0] * n
    for j in range(n):
        scaled = [mul(low[j][k], diagonal[k]) for k in range(j)]
        diagonal[j] = add(lower[j][j], *(-mul(low[j][k], scaled[k]) for k in range(j)))
        inverse[j] = 1.0 / diagonal[j]
        for i in range(j + 1, n):
            low[i][j] = mul(add(lower[i][j], *(-mul(low[i][k], scaled[k]) for k in range(j))), inverse[j])
    out: list[Six] = []
    for load in loads:
        x: list[Num] = list(load)
        for i in range(n):
            x[i] = add(x[i], *(-mul(low[i][k], x[k]) for k in range(i)))
        x = [mul(v, d) for v, d in zip(x, inverse, strict=True)]
        for i in reversed(range(n)):
            x[i] = add(x[i], *(-mul(low[k][i], x[k]) for k in range(i + 1, n)))
        out.append((x[0], x[1], x[2], x[3], x[4], x[5]))
    return out


def _palm_loads(
    inputs: Inputs, beams: tuple[Beam, ...], root_x: Num, way: tuple[Triple, Triple], arm_loads: tuple[Six, ...]
) -> tuple[Six, ...]:
    out: list[Six] = []
    for index, palm in enumerate(inputs.palms):
        force, moment = way
        if len(inputs.palms) > 1:
            k = next(i for i, b in enumerate(beams) if b.arm.palm_index == index)
            load = arm_loads[k]
            force = beams[k].turned_back((load[0], load[1], load[2]))
            moment = beams[k].turned_back((load[3], load[4], load[5]))
        zero = palm.zero_mm
        lever = (root_x - zero[0], -zero[1], -zero[2])
        moment = plus(moment, cross(lever, force))
        out.append(
            (
                dot(force, palm.u),
                dot(force, palm.v),
                dot(force, palm.normal),
                dot(moment, palm.u),
                dot(moment, palm.v),
                dot(moment, palm.normal),
            )
        )
    return tuple(out)


def actions(beam: Beam, station: int, load: Six) -> Actions:
    """Return what a section of an arm carries under a load on the arm's root (arm axes). Statics.

    >>> beam = paths(engineering_inputs("canal-tender")).beams[0]
    >>> actions(beam, 0, (0.0, 100.0, 0.0, 0.0, 0.0, 0.0)).moment_chord  # 100 N across, half a barrel of 48 below
    -2400.0
    """
    s, offset = beam.stations_mm[station], beam.sections[station].centroid_x_mm
    fc, ft, fa, mc, mt, ma = load
    return Actions(-fa, -fc, -ft, -add(mc, mul(s, ft)), add(mt, -mul(s, fc), mul(fa, offset)), -ma)


def shear_mpa(beam: Beam, station: int, shear: Num, torsion: Num) -> Num:
    """Return the greatest shear stress, MPa: torsion over J / t plus 1.5 times shear over area (peaks added).

    >>> beam = paths(engineering_inputs("canal-tender")).beams[0]
    >>> round(float(shear_mpa(beam, 0, 1000.0, 0.0)), 2)  # 1.5 x 1000 over 742 mm2
    2.02
    """
    cut = beam.sections[station]
    return add(mul(torsion, 2.0 * cut.half_thickness_mm / cut.j_mm4), mul(shear, 1.5 / cut.area_mm2))


@dataclass(frozen=True, slots=True, eq=False)
class Hinge:
    """What bends the arms plastically: a force aft at mid-barrel, N, and what does it across.

    side: for a single arm a force across it at mid-barrel, N; for a vee, whose barrel is held from the side, the moment
    of a blow on one arm that bends it at the palm, N mm.
    """

    aft_n: Num
    side: Num


@functools.lru_cache(maxsize=2)
def hinges(inputs: Inputs) -> Hinge:
    """Return the hinge loads: the least of yield x plastic modulus / lever over the stations, summed over the arms.

    >>> aft = hinges(engineering_inputs("harbour-launch")).aft_n  # at the palm: 109.2 x 26.7, 284.4 mm from the shaft
    >>> round(float(aft), -2)  # 240 MPa x 26.7 x 109.2^2 / 6 / 284.4
    44800.0
    """
    beams = paths(inputs).beams
    y = inputs.strut.yield_mpa
    aft: Num = 0.0
    for b in beams:
        aft = aft + least([hinge_force_n(y, s.zyy_mm3, x) for s, x in zip(b.sections, b.stations_mm, strict=True)])
    if len(beams) > 1:
        return Hinge(aft, greatest([y * b.sections[-1].zxx_mm3 for b in beams]))
    return Hinge(
        aft,
        least([hinge_force_n(y, s.zxx_mm3, x) for s, x in zip(beams[0].sections, beams[0].stations_mm, strict=True)]),
    )
