"""From a load on the barrel through the arms to the palms: a single arm by statics, a vee as a space frame.

Each arm is a beam from the hull face to the barrel, rigid inside it (unit-load method; bending in two planes, shear,
axial and torsion; Simpson's rule over three sections). Barrel and palms are rigid; a palm gives with the hull under it
(`models/hull_stiffness`). Two arms share a load as each gives with its own palm (force method): the six equations are
solved for all candidates at once by L D L' in plain array arithmetic. Strength takes the worst of what the hull under
each palm is likely to be (`shared`).

Everything is per newton (or N mm) in "ways": unit loads that all load cases are made of. Arm axes: c along the chord
forward, t across it, a along the arm toward the hull, right-handed.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple, TypeAlias

import numpy as np

from strutwright.models import hull_stiffness
from strutwright.models.arrays import Num, Six, Triple, add, cross, dot, greatest, least, mul, plus, times
from strutwright.models.checks.strength.overstrength import BLOW
from strutwright.models.formulas import six
from strutwright.models.formulas.beams import ArmFlexibility, Cut, arm_flexibility
from strutwright.models.formulas.loads import blow_ends_n, hinge_force_n
from strutwright.models.formulas.six import Matrix
from strutwright.models.hull_stiffness import End, Give
from strutwright.models.input_parts import ArmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.sections import SectionProperties, any_properties, kind_of

Way: TypeAlias = Literal[
    "propeller_y", "propeller_z", "axial", "couple", "heel", "barrel_y", "barrel_z",
    "side", "blow_0", "blow_0_early", "blow_0_barrel", "blow_1", "blow_1_early", "blow_1_barrel",
]  # fmt: skip
"""propeller_*: a force across the shaft where the bearing carries; axial: along the shaft; couple: about the shaft;
heel: a sideways force at the heel of the skeg; barrel_*: a force across the shaft at mid-barrel; side: a force at
mid-barrel across a single arm; blow_*: what a blow across the first or second arm of a vee does while it bends that arm
plastically, per newton of the hardest of them."""


class BlowAt(NamedTuple):
    """Where a blow hits an arm of a vee, and when it is looked at. arm: which; near: the station (of barrel or palm)
    that it hits as near to as blows count; part: how much of what bends it plastically the other arm bears."""

    arm: int
    near: int
    part: float


BLOWS: dict[Way, BlowAt] = {
    "blow_0": BlowAt(0, -1, 1.0),
    "blow_0_early": BlowAt(0, -1, 0.5),
    "blow_0_barrel": BlowAt(0, 0, 1.0),
    "blow_1": BlowAt(1, -1, 1.0),
    "blow_1_early": BlowAt(1, -1, 0.5),
    "blow_1_barrel": BlowAt(1, 0, 1.0),
}
"""Blows of which one or another is the worst for every joint of a vee."""


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Paths:
    """How unit loads travel.

    loads: way to its force and moment at the arms' root, strut frame. arm_loads: way to the load on each arm at the
    shaft line in arm axes (force c, t, a, moment c, t, a), of an arm that is hit what is felt at its foot; at_barrel:
    what is felt at the barrel's outside. carry_x_mm: where the bearing carries, from mid-barrel. root_x_mm: the arms'
    root. first: how the first arm gives, with its own palm; both: how one palm under all arms gives:
    movement (mm) and turn (rad) by force (N) and moment (N mm), strut frame, at the arms' root.
    """

    beams: tuple[Beam, ...]
    loads: dict[Way, tuple[Triple, Triple]]
    arm_loads: dict[Way, tuple[Six, ...]]
    at_barrel: dict[Way, tuple[Six, ...]]
    carry_x_mm: Num
    root_x_mm: Num
    first: Matrix
    both: Matrix

    def motion(self, way: Way) -> Six:
        """Return movement (mm) and turn (rad) of the barrel at the arms' root under a unit load, strut frame."""
        force, moment = self.loads[way]
        return six.plus(
            six.times(self.first, _back(self.beams[0], self.arm_loads[way][0])), six.times(self.both, (*force, *moment))
        )


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


def paths(inputs: Inputs, *hulls: End) -> Paths:
    """Return how unit loads on the barrel reach arms and palms; kept with the inputs, as every module asks.

    hulls: what the hull is taken as under each palm, or under all of them; rigid where it is left out.

    >>> pushed = paths(engineering_inputs("harbour-launch")).arm_loads["axial"][0]
    >>> [round(float(part), 3) for part in pushed]  # 1 N forward
    [1.0, 0.0, 0.0, 0.0, 0.0, 0.0]
    """
    return _paths(inputs, hulls if len(hulls) > 1 else (hulls or ("rigid",)) * len(inputs.palms))


@once
def _paths(inputs: Inputs, ends: tuple[End, ...]) -> Paths:
    if len(ends) == 1 and ends != ("rigid",):
        # Loads do not hang on the hull where they stand on one palm.
        return replace(_paths(inputs, ("rigid",)), both=_given(_give(inputs, 0, ends[0])))
    found, root_x = beams(inputs), inputs.arms[0].x_mm
    carry = carry_x_mm(inputs)
    ways = _ways(inputs, carry, root_x, found)
    flexible = [_on_hull(inputs, k, ends[b.arm.palm_index] if len(ends) > 1 else "rigid") for k, b in enumerate(found)]
    arm_loads: dict[Way, tuple[Six, ...]]
    at_barrel: dict[Way, tuple[Six, ...]] = {}
    if len(found) == 1:
        arm_loads = {way: (_turned(found[0], (*f, *m)),) for way, (f, m) in ways.items()}
    else:
        arm_loads = _by_arm(found, flexible, ways)
        for way, made in _blows(inputs).items():
            ways[way], arm_loads[way], at_barrel[way] = made.whole, made.at_foot, made.at_barrel
    return Paths(
        beams=found,
        loads=ways,
        arm_loads=arm_loads,
        at_barrel=arm_loads | at_barrel,
        carry_x_mm=carry,
        root_x_mm=root_x,
        first=flexible[0],
        both=_given(()),
    )


def _give(inputs: Inputs, palm: int, end: End) -> Give:
    return hull_stiffness.give(inputs, palm, end, (inputs.arms[0].x_mm, 0.0, 0.0))


@once
def _on_hull(inputs: Inputs, arm: int, end: End) -> Matrix:
    """How an arm gives at its root, with the hull under its palm; kept with the inputs."""
    beam = beams(inputs)[arm]
    return _flexible(beam, _give(inputs, beam.arm.palm_index, end))


@once
def shared(inputs: Inputs) -> tuple[Paths, ...]:
    """Return the paths that strength has to take, each: with the hull soft or stiff under either palm. One where loads
    do not hang on the hull: what stands on one palm.

    >>> len(shared(engineering_inputs("workboat-common-vee"))), len(shared(engineering_inputs("pilot-vee")))
    (1, 4)
    """
    if len(inputs.palms) == 1:
        return (paths(inputs),)
    ends = hull_stiffness.ends(inputs)
    if hull_stiffness.all_springs(inputs)[0].measured:
        ends = ends[:1]
    return tuple(paths(inputs, *each) for each in itertools.product(ends, repeat=len(inputs.palms)))


@once
def beams(inputs: Inputs) -> tuple[Beam, ...]:
    """Return the arms as beams; kept with the inputs.

    >>> [beam.arm.name for beam in beams(engineering_inputs("pilot-vee"))]
    ['port arm', 'starboard arm']
    """
    kept: _Kept = {}
    return tuple(_beam(inputs, arm, kept) for arm in inputs.arms)


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


def _turned(beam: Beam, load: Six) -> Six:
    """A load in arm axes of one in the strut frame."""
    x, y, z, *about = load
    return (*beam.turned((x, y, z)), *beam.turned((about[0], about[1], about[2])))


def _back(beam: Beam, load: Six) -> Six:
    """A load in the strut frame of one in arm axes."""
    c, t, a, *about = load
    return (*beam.turned_back((c, t, a)), *beam.turned_back((about[0], about[1], about[2])))


def _by_arm(
    beams: tuple[Beam, ...], flexible: list[Matrix], ways: dict[Way, tuple[Triple, Triple]]
) -> dict[Way, tuple[Six, ...]]:
    """What each of two arms takes of unit loads, in its axes: both move alike at their root."""
    one, two = flexible
    together = [[add(p, q) for p, q in zip(*rows, strict=True)] for rows in zip(one, two, strict=True)]
    loads: list[Six] = [(*f, *m) for f, m in ways.values()]
    firsts = six.solve(together, [six.times(two, load) for load in loads])
    return {
        way: (_turned(beams[0], first), _turned(beams[1], six.plus(load, six.negative(first))))
        for way, load, first in zip(ways, loads, firsts, strict=True)
    }


def _flexible(beam: Beam, parts: Give) -> Matrix:
    """How an arm gives at its root, with the hull under it."""
    r = (beam.chord, beam.across, beam.along)
    cc, cm, mm, tt, tm, nn, aa, jj = beam.flexibility
    made = _given(parts)
    for i in range(3):
        for j in range(3):
            # force t with moment c, force c with moment t
            mixed = add(mul(tm, mul(r[0][i], r[1][j])), mul(cm, mul(r[1][i], r[0][j])))
            made[i + 3][j] = made[j][i + 3] = add(made[i + 3][j], mixed)
            if j <= i:
                for at, own in ((0, (cc, tt, aa)), (3, (nn, mm, jj))):
                    moved = add(made[i + at][j + at], *(mul(own[k], mul(r[k][i], r[k][j])) for k in range(3)))
                    made[i + at][j + at] = made[j + at][i + at] = moved
    return made


def _given(parts: Give) -> Matrix:
    """How the hull under a palm gives at the arms' root."""
    made: Matrix = [[0.0] * 6 for _ in range(6)]
    for felt, gives in parts:
        row = [mul(gives, q) for q in felt]
        for i in range(6):
            for j in range(i + 1):
                made[i][j] = made[j][i] = add(made[i][j], mul(row[i], felt[j]))
    return made


def palm_load(inputs: Inputs, found: Paths, way: Way, index: int) -> Six:
    """Return the load on one palm at its zero in palm axes: force u, v, normal toward the hull, moment u, v, normal.

    >>> launch = engineering_inputs("harbour-launch")
    >>> pushed = palm_load(launch, paths(launch), "axial", 0)  # 1 N forward, 298.575 mm below
    >>> [round(float(part), 3) for part in pushed]  # cos and sin of the 9 degrees of the hull
    [0.988, 0.0, 0.156, 0.0, -298.575, 0.0]
    """
    palm = inputs.palms[index]
    force, moment = found.loads[way]
    if len(inputs.palms) > 1:
        k = next(i for i, b in enumerate(found.beams) if b.arm.palm_index == index)
        beam, load = found.beams[k], found.arm_loads[way][k]
        force, moment = beam.turned_back((load[0], load[1], load[2])), beam.turned_back((load[3], load[4], load[5]))
    zero = palm.zero_mm
    moment = plus(moment, cross((found.root_x_mm - zero[0], -zero[1], -zero[2]), force))
    return (
        dot(force, palm.u),
        dot(force, palm.v),
        dot(force, palm.normal),
        dot(moment, palm.u),
        dot(moment, palm.v),
        dot(moment, palm.normal),
    )


def actions(beam: Beam, station: int, load: Six) -> Actions:
    """Return what a section of an arm carries under a load on the arm's root (arm axes). Statics.

    >>> beam = paths(engineering_inputs("canal-tender")).beams[0]
    >>> actions(beam, 0, (0.0, 100.0, 0.0, 0.0, 0.0, 0.0)).moment_chord  # 100 N across, half a barrel of 48 below
    -2400.0
    """
    s, offset = beam.stations_mm[station], beam.cuts[station].centroid_x_mm
    fc, ft, fa, mc, mt, ma = load
    return Actions(-fa, -fc, -ft, -add(mc, mul(s, ft)), add(mt, -mul(s, fc), mul(fa, offset)), -ma)


def shear_mpa(beam: Beam, station: int, shear: Num, torsion: Num) -> Num:
    """Return the greatest shear stress, MPa: torsion over J / t plus 1.5 times shear over area (peaks added).

    >>> beam = paths(engineering_inputs("canal-tender")).beams[0]
    >>> round(float(shear_mpa(beam, 0, 1000.0, 0.0)), 2)  # 1.5 x 1000 over 742 mm2
    2.02
    """
    per = beam.cuts[station]
    return add(mul(torsion, per.torsion), mul(shear, per.shear))


# --- what bends an arm plastically ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Hinge:
    """What bends the arms plastically: a force aft at mid-barrel, N, and a force across an arm, N.

    side: at mid-barrel across a single arm; on one arm of a vee, whose barrel is held from the side, the hardest of the
    blows that count.
    """

    aft_n: Num
    side: Num


@once
def hinges(inputs: Inputs) -> Hinge:
    """Return the hinge loads: the least of yield x plastic modulus / lever over the stations, summed over the arms; nan
    of a part without arms.

    >>> aft = hinges(engineering_inputs("harbour-launch")).aft_n  # at the palm: 109.2 x 26.7, 284.4 mm from the shaft
    >>> round(float(aft), -2)  # 240 MPa x 26.7 x 109.2^2 / 6 / 284.4
    44800.0
    """
    found = beams(inputs)
    y = inputs.strut.yield_mpa
    if not found:
        return Hinge(math.nan, math.nan)
    aft: Num = 0.0
    for b in found:
        aft = aft + least([hinge_force_n(y, s.zyy_mm3, x) for s, x in zip(b.sections, b.stations_mm, strict=True)])
    if len(found) > 1:
        struck = [_struck(inputs, arm, near) for arm in (0, 1) for near in (0, -1)]
        return Hinge(aft, greatest([s.foot_n + s.given_n for s in struck]))
    return Hinge(
        aft,
        least([hinge_force_n(y, s.zxx_mm3, x) for s, x in zip(found[0].sections, found[0].stations_mm, strict=True)]),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Struck:
    """An arm of a vee bent by a blow. at_mm: where it is hit, from the shaft line; hit_nmm: its moment there; foot_nmm,
    foot_n: at its foot; given_n: across it at the barrel. The other arm then turns the barrel about the shaft by
    turns_nmm and bears other_n across it."""

    at_mm: Num
    hit_nmm: Num
    foot_nmm: Num
    foot_n: Num
    given_n: Num
    turns_nmm: Num
    other_n: Num


@once
def _struck(inputs: Inputs, arm: int, near: int) -> _Struck:
    """An arm hit as near to its station `near` as a blow counts; between stations its strength runs straight."""
    hit, other = (beams(inputs)[k] for k in (arm, 1 - arm))
    y, share = inputs.strut.yield_mpa, inputs.limit(BLOW)
    barrel, foot = (y * hit.sections[s].zxx_mm3 for s in (0, -1))
    there = mul(y, _plastic_mm3(hit, 1.0 - share if near else share))
    low, high = hit.stations_mm[0], hit.stations_mm[-1]
    at = (high - share * (high - low)) if near else (low + share * (high - low))
    ends = blow_ends_n(foot, there, barrel, high - at, at - low)
    # The other arm holds no more than bends it plastically at both its ends, and so the barrel.
    own, far = (y * other.sections[s].zxx_mm3 for s in (0, -1))
    other_n = (own + far) / (other.stations_mm[-1] - other.stations_mm[0])
    turns = own + other.stations_mm[0] * other_n
    return _Struck(
        at_mm=at,
        hit_nmm=there,
        foot_nmm=foot,
        foot_n=ends.foot_n,
        given_n=np.minimum(ends.barrel_n, (there + turns) / at),
        turns_nmm=turns,
        other_n=other_n,
    )


def _plastic_mm3(beam: Beam, share: float) -> Num:
    """The plastic modulus about the chord line at a share of the arm from the barrel, straight between its stations."""
    after = next((n for n, at in enumerate(STATIONS) if at >= share), len(STATIONS) - 1)
    before = max(after - 1, 0)
    wide = STATIONS[after] - STATIONS[before]
    part = (share - STATIONS[before]) / wide if wide else 0.0
    low, high = (beam.sections[n].zxx_mm3 for n in (before, after))
    return add(low, mul(part, high - low))


@dataclass(frozen=True, slots=True, eq=False)
class _Blow:
    """A blow on one arm of a vee: force and moment at the arms' root, strut frame, and on each arm in its axes as felt
    at the foot and at the barrel."""

    whole: tuple[Triple, Triple]
    at_foot: tuple[Six, ...]
    at_barrel: tuple[Six, ...]


@once
def _blows(inputs: Inputs) -> dict[Way, _Blow]:
    """The blows on the arms of a vee, per newton of the hardest of them; kept with the inputs."""
    return {way: _blow(inputs, at) for way, at in BLOWS.items()}


def _blow(inputs: Inputs, at: BlowAt) -> _Blow:
    """Statics of a vee of which the arm that is hit has bent plastically, and the other to a part of that."""
    hit, other = (beams(inputs)[k] for k in (at.arm, 1 - at.arm))
    made, high, per = _struck(inputs, at.arm, at.near), hit.stations_mm[-1], 1.0 / hinges(inputs).side
    foot, given = made.foot_n * per, made.given_n * per
    # Along the arm that is hit there acts what leaves the other arm no more across it than it bears.
    across = add(mul(given, dot(hit.across, other.across)), -at.part * made.other_n * per)
    thrust = across / dot(hit.along, other.across)
    held = _turned(other, _back(hit, (0.0, given, -thrust, -at.part * made.turns_nmm * per, 0.0, 0.0)))
    at_foot: Six = (0.0, foot, thrust, made.foot_nmm * per - high * foot, 0.0, 0.0)
    at_barrel: Six = (0.0, -given, thrust, given * made.at_mm - made.hit_nmm * per, 0.0, 0.0)
    force = times(foot + given, hit.across)
    return _Blow(
        whole=(force, cross(times(made.at_mm, hit.along), force)),
        at_foot=(at_foot, held) if at.arm == 0 else (held, at_foot),
        at_barrel=(at_barrel, held) if at.arm == 0 else (held, at_barrel),
    )
