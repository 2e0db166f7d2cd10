"""From a load on the barrel through the arms to the palms: a single arm by statics, a vee as a space frame.

The arms are beams (`arm_beams`), barrel and palms are rigid; a palm gives with the hull under it
(`models/hull_stiffness`). Two arms share a load as each gives with its own palm (force method): the six equations are
solved for all candidates at once by L D L' in plain array arithmetic. Strength takes the worst of what the hull under
each palm is likely to be (`shared`).

Everything is per newton (or N mm) in "ways": unit loads that all load cases are made of.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

from strutwright.models import hull_stiffness
from strutwright.models.arrays import Num, Six, Triple, add, cross, dot, mul, plus
from strutwright.models.checks.strength import blows, skeg_blows
from strutwright.models.checks.strength.arm_beams import Beam, back, beams, turned
from strutwright.models.checks.strength.blows import Way
from strutwright.models.formulas import six
from strutwright.models.formulas.six import Matrix
from strutwright.models.hull_stiffness import End, Give
from strutwright.models.inputs import Inputs
from strutwright.models.once import once


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
            six.times(self.first, back(self.beams[0], self.arm_loads[way][0])), six.times(self.both, (*force, *moment))
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
        arm_loads = {way: (turned(found[0], (*f, *m)),) for way, (f, m) in ways.items()}
    else:
        arm_loads = _by_arm(found, flexible, ways)
        for way, made in blows.blows_on_a_vee(inputs).items():
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
    do not hang on the hull: what stands on one palm; two of a hanger, which its shaft may press at either end.

    >>> len(shared(engineering_inputs("workboat-common-vee"))), len(shared(engineering_inputs("pilot-vee")))
    (1, 4)
    """
    if len(inputs.palms) == 1:
        found = paths(inputs)
        return (found,) if inputs.hanger is None else (found, _carried_at_other_third(inputs, found))
    ends = hull_stiffness.ends(inputs)
    if hull_stiffness.all_springs(inputs)[0].measured:
        ends = ends[:1]
    return tuple(paths(inputs, *each) for each in itertools.product(ends, repeat=len(inputs.palms)))


def _carried_at_other_third(inputs: Inputs, found: Paths) -> Paths:
    """The same with the shaft on the bearing's forward third: between two others it may sag to either side."""
    carry = 2.0 * inputs.bearing_x_mm - found.carry_x_mm
    ways = _ways(inputs, carry, found.root_x_mm, found.beams)
    arm_loads: dict[Way, tuple[Six, ...]] = {w: (turned(found.beams[0], (*f, *m)),) for w, (f, m) in ways.items()}
    return replace(found, loads=ways, arm_loads=arm_loads, at_barrel=arm_loads, carry_x_mm=carry)


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
    return made | skeg_blows.loads(inputs)


def _by_arm(
    beams: tuple[Beam, ...], flexible: list[Matrix], ways: dict[Way, tuple[Triple, Triple]]
) -> dict[Way, tuple[Six, ...]]:
    """What each of two arms takes of unit loads, in its axes: both move alike at their root."""
    one, two = flexible
    together = [[add(p, q) for p, q in zip(*rows, strict=True)] for rows in zip(one, two, strict=True)]
    loads: list[Six] = [(*f, *m) for f, m in ways.values()]
    firsts = six.solve(together, [six.times(two, load) for load in loads])
    return {
        way: (turned(beams[0], first), turned(beams[1], six.plus(load, six.negative(first))))
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
