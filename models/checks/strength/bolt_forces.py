"""Forces on the palm bolts, and what they do to palm and hull: a palm that bends, on the elastic bed of its hull.

Each way of tipping is worked out by `formulas.palm_bed`; the ways, a pull and a press are added, as the loads of a case
are. The outline stands for a rectangle of its area that reaches as far as it presses; the plate works over the root and
a spread of 45 degrees on both sides of it. The greatest tension and the greatest shear of a group are taken together,
on the safe side where they fall on different bolts.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from strutwright.models import halves, hull_bed
from strutwright.models.arrays import Num, Triple, add, dot, greatest
from strutwright.models.checks.strength import arm_beams, load_cases, unit_loads
from strutwright.models.checks.strength.load_cases import Case, Group, Reply
from strutwright.models.formulas import bolts as rules
from strutwright.models.formulas import palm_bed, palm_plate
from strutwright.models.formulas.bolts import BoltGroup
from strutwright.models.formulas.palm_bed import Hold, Plate, Pressed, Row, Tipped
from strutwright.models.input_parts import PalmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.once import once

_PRESSES = 0.6
"""Power of the share of its box that an outline fills, by which its reach is shorter: an ellipse's second moment."""
_KERN = 0.125
"""Share of a palm on each side of its middle in which a press lifts no edge: of an ellipse; a rectangle has a sixth."""

_APART = 2.0
"""Times the pressure where a palm bears two feet: it bends between and beside them, which one root does not tell. Of
plates by elements with contact, on palms of the whole schema."""
_NARROW = 0.22
"""Added to the pressure of a stiff palm whose outline lacks more than a tenth of its box, as no rectangle does: of
rigid palms on cells."""


def group(palm: PalmInputs) -> BoltGroup:
    """Return the bolt group of a palm.

    >>> eight = group(engineering_inputs("harbour-launch").palms[0])
    >>> eight.count, float(eight.least_edge_mm), float(eight.least_pitch_mm)  # 118 / 2 - 77 / 2; rows 77 apart
    (8, 20.5, 50.0)
    """
    return rules.bolt_group(
        *_holes(palm), palm.aft_mm, palm.forward_mm, palm.starboard_mm, palm.port_mm, palm.edge_lost_mm
    )


def _holes(palm: PalmInputs) -> tuple[list[Num], list[Num]]:
    """Hole centres one by one, each a float or an array over candidates."""
    us, vs = (np.moveaxis(np.asarray(x, dtype=float), -1, 0) for x in (palm.holes_u_mm, palm.holes_v_mm))
    return [_one(u) for u in us], [_one(v) for v in vs]


def _one(x: Num) -> Num:
    return float(x) if np.ndim(x) == 0 else np.ascontiguousarray(x)


@once
def groups(inputs: Inputs) -> tuple[BoltGroup, ...]:
    """Return the bolt group of every palm; kept with the inputs.

    >>> len(groups(engineering_inputs("pilot-vee")))
    2
    """
    return tuple(group(p) for p in inputs.palms)


# --- the palm between arm and bolts ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """Where a bolt bends the palm, mm: from it to the toe of the arm's root, from it to the edge, working width."""

    lever_mm: Num
    edge_mm: Num
    width_mm: Num


class _Box(NamedTuple):
    """Edges of what stands on a palm, mm."""

    aft: Num
    forward: Num
    starboard: Num
    port: Num


class _Foot(NamedTuple):
    """An arm's foot on a palm, u and v, mm: its middle, half its chord and half its thickness as they lie there, and
    the root round it."""

    middle: tuple[Num, Num]
    chord: tuple[Num, Num]
    thick: tuple[Num, Num]
    root: Num

    @property
    def box(self) -> _Box:
        """With the root what it has of lines through its middle along u and v: of one that is turned less than its box,
        so that it is never taken for stiffer."""
        (u, v), (cu, cv), (tu, tv) = self.middle, self.chord, self.thick
        area = np.abs(cu * tv - cv * tu)
        half_u = area / np.maximum(np.abs(tv), np.abs(cv)) + self.root
        half_v = area / np.maximum(np.abs(cu), np.abs(tu)) + self.root
        return _Box(u - half_u, u + half_u, v - half_v, v + half_v)

    def to(self, u: Num, v: Num) -> Num:
        """Return how far a place lies from its root, mm."""
        (cu, cv), (tu, tv) = self.chord, self.thick
        long = np.sqrt(cu * cu + cv * cv)
        eu, ev, du, dv = cu / long, cv / long, u - self.middle[0], v - self.middle[1]
        wide, aside = tv * eu - tu * ev, dv * eu - du * ev
        # The section is drawn aslant into the palm: its ends lie farther on one side than on the other.
        ahead = du * eu + dv * ev - (tu * eu + tv * ev) * np.clip(aside / wide, -1.0, 1.0)
        beyond = np.maximum(np.abs(ahead) - long - self.root, 0.0)
        beside = np.maximum(np.abs(aside) - np.abs(wide) - self.root, 0.0)
        out: Num = np.sqrt(beyond * beyond + beside * beside)
        return out


@once
def _feet(inputs: Inputs) -> tuple[tuple[_Foot, ...], ...]:
    """Return, palm by palm, the feet that stand on it; kept with the inputs."""
    beams, root_x = arm_beams.beams(inputs), inputs.arms[0].x_mm
    return tuple(tuple(_foot(p, b, root_x) for b in beams if b.arm.palm_index == k) for k, p in enumerate(inputs.palms))


def _foot(palm: PalmInputs, beam: arm_beams.Beam, root_x_mm: Num) -> _Foot:
    arm, zero, down = beam.arm, palm.zero_mm, beam.along
    at = (root_x_mm + arm.end_mm * down[0] - zero[0], arm.end_mm * down[1] - zero[1], arm.end_mm * down[2] - zero[2])
    into = dot(down, palm.normal)

    def on_palm(way: Triple, size: Num) -> tuple[Num, Num]:
        """Half a size of the arm's section as the palm's plane cuts it."""
        drawn = dot(way, palm.normal) / into
        u, v = (dot(way, axis) - drawn * dot(down, axis) for axis in (palm.u, palm.v))
        return size / 2.0 * u, size / 2.0 * v

    chord, thickness = arm.size_at(arm.water_mm)
    return _Foot(
        (dot(at, palm.u), dot(at, palm.v)),
        on_palm(beam.chord, chord),
        on_palm(beam.across, thickness),
        arm.palm_root_mm,
    )


@once
def _levers(inputs: Inputs) -> tuple[tuple[Num, ...], ...]:
    """Return, palm by palm, how far each bolt stands from the nearest foot, mm; kept with the inputs."""
    return tuple(
        tuple(functools.reduce(np.minimum, (f.to(u, v) for f in feet)) for u, v in zip(*_holes(palm), strict=True))
        for palm, feet in zip(inputs.palms, _feet(inputs), strict=True)
    )


@once
def strips(inputs: Inputs) -> tuple[Strip, ...]:
    """Return, palm by palm, the strip that its worst placed bolt bends: the one farthest from the arm's root.

    The working width is the head and twice the lever (45 degree spread) but no more than the pitch, nor than the palm:
    common practice.
    Kept with the inputs.

    >>> bent = strips(engineering_inputs("harbour-launch"))[0]
    >>> round(float(bent.lever_mm), 1), round(float(bent.width_mm), 1)  # no wider than the pitch
    (22.2, 50.0)
    """
    head = np.maximum(inputs.bolt_head_mm, inputs.bolt_mm)
    made = []
    for palm, g, levers in zip(inputs.palms, groups(inputs), _levers(inputs), strict=True):
        # Lever over width grows with the lever, so the farthest bolt is the worst placed.
        lever = np.maximum(greatest(levers), inputs.bolt_mm / 2.0)
        # Two bolts far apart bend no more than the palm is wide.
        across = np.minimum(palm.forward_mm - palm.aft_mm, palm.port_mm - palm.starboard_mm)
        width = palm_plate.strip_width_mm(lever, head, np.minimum(g.least_pitch_mm, across))
        made.append(Strip(lever, g.least_edge_mm, width))
    return tuple(made)


# --- what holds a palm ----------------------------------------------------------------------------------------------


@once
def holds(inputs: Inputs) -> tuple[Hold, ...]:
    """Return, palm by palm, what holds it; kept with the inputs.

    >>> hold = holds(engineering_inputs("harbour-launch"))[0]
    >>> round(3.25e6 * float(hold.mu_plus.tension), -2)  # rows 77 apart, four bolts: 10 550 off the hull
    15800.0
    """
    made = [_hold(inputs, k) for k in halves.unlike_palms(inputs)]
    return tuple(made) if len(made) == len(inputs.palms) else (made[0], made[0])


def _hold(inputs: Inputs, index: int) -> Hold:
    palm, strip = inputs.palms[index], strips(inputs)[index]
    soft, stiff = hull_bed.bed_n_mm3(inputs, palm)
    grip = palm.least_mm + hull_bed.hull_thickness_mm(inputs, palm)
    bolt = palm_bed.bolt_spring_n_mm(inputs.bolt.modulus_mpa, inputs.bolt_stress_mm2, grip)
    bending = palm_bed.plate_bending_nmm(inputs.strut.modulus_mpa, palm.least_mm)
    us, vs = _holes(palm)
    springs = [palm_bed.on_strip_n_mm(bolt, lever, bending * strip.width_mm) for lever in _levers(inputs)[index]]
    made = functools.partial(
        Plate, bending_nmm=bending, soft=soft, stiff=stiff, bolt_n_mm=bolt, strip_mm=strip.width_mm
    )
    long, wide = palm.forward_mm - palm.aft_mm, palm.port_mm - palm.starboard_mm
    fill = np.minimum(palm.area_mm2 / (long * wide), 1.0) ** _PRESSES
    aft, forward, starboard, port = _root(inputs, index)
    feet = [box.port - box.starboard for box in (f.box for f in _feet(inputs)[index])]
    along = _Way(
        at=us, low=palm.aft_mm, high=palm.forward_mm, middle=palm.centroid_u_mm, reach=long * fill,
        root_low=aft, root_high=forward, root_across=port - starboard, feet_across=feet,
    )  # fmt: skip
    across = _Way(
        at=vs, low=palm.starboard_mm, high=palm.port_mm, middle=palm.centroid_v_mm, reach=wide * fill,
        root_low=starboard, root_high=port, root_across=forward - aft, feet_across=[forward - aft],
    )  # fmt: skip
    total = add(*springs)
    centre_u, centre_v = (add(*(k * y for k, y in zip(springs, at, strict=True))) / total for at in (us, vs))
    ends = _pulled(strip, bolt, bending, stiff)
    # Mu > 0 lifts the starboard side and tips about the port edge; Mv > 0 lifts the forward side.
    mu = _both_ways(across, springs, palm.area_mm2, centre_v, made)
    mv = _both_ways(along, springs, palm.area_mm2, centre_u, made)
    beyond = ([aft - palm.aft_mm, palm.forward_mm - forward], [starboard - palm.starboard_mm, palm.port_mm - port])
    stands = np.minimum(add(*feet), port - starboard)
    between = [(port - starboard - stands) / 2.0] * (2 * (len(feet) - 1))
    spread = palm_bed.spread_mm(bending, stiff)
    return Hold(
        share=greatest(springs) / total * ends,
        centre_u_mm=centre_u,
        centre_v_mm=centre_v,
        off_u_mm=_beyond(palm.centroid_u_mm, _KERN * long),
        off_v_mm=_beyond(palm.centroid_v_mm, _KERN * wide),
        area_mm2=palm.area_mm2,
        pressed_mm2=palm_bed.pressed_mm2(
            palm.area_mm2, (forward - aft, stands), (beyond[0], [*beyond[1], *between]), spread
        ),
        over_mm=greatest([*beyond[0], *beyond[1]]),
        edge_mpa=greatest(
            [
                palm_bed.pried_mpa(k / total, lever, strip.width_mm, spread)
                for k, lever in zip(springs, _levers(inputs)[index], strict=True)
            ]
        ),
        mu_plus=mu[1],
        mu_minus=mu[0],
        mv_plus=mv[0],
        mv_minus=mv[1],
        uneven=_APART if len(feet) > 1 else _rounded(palm, greatest([*beyond[0], *beyond[1]]) / spread),
    )


def _rounded(palm: PalmInputs, spreads: Num) -> Num:
    """How much harder than its rectangle an outline with narrow ends presses the hull where the palm is stiff; spreads:
    how far it reaches beyond the root, in lengths over which it spreads a load."""
    long, wide = palm.forward_mm - palm.aft_mm, palm.port_mm - palm.starboard_mm
    lost = 1.0 - np.minimum(palm.area_mm2 / (long * wide), 1.0)
    more: Num = 1.0 + _NARROW * np.clip((lost - 0.075) / 0.04, 0.0, 1.0) * np.clip(1.5 - spreads, 0.0, 1.0)
    return more


def _root(inputs: Inputs, index: int) -> _Box:
    """The edges of all that stands on a palm."""
    feet = [f.box for f in _feet(inputs)[index]]
    aft, starboard = (functools.reduce(np.minimum, (f[k] for f in feet)) for k in (0, 2))
    forward, port = (functools.reduce(np.maximum, (f[k] for f in feet)) for k in (1, 3))
    return _Box(aft, forward, starboard, port)


def spreads_beyond_root(inputs: Inputs) -> Num:
    """Return how far the bolts of the palms stand beyond the arm's root at most, fore and aft or athwart, over the
    length to which the plate spreads a line of force on the stiff bed; broadcasts.

    >>> round(float(spreads_beyond_root(engineering_inputs("harbour-launch"))), 2)
    0.78
    """
    worst: list[Num] = []
    for k, palm in enumerate(inputs.palms):
        us, vs = _holes(palm)
        root = _root(inputs, k)
        over = [
            *(np.maximum(root.aft - u, u - root.forward) for u in us),
            *(np.maximum(root.starboard - v, v - root.port) for v in vs),
        ]
        stiff = hull_bed.bed_n_mm3(inputs, palm)[1]
        bending = palm_bed.plate_bending_nmm(inputs.strut.modulus_mpa, palm.least_mm)
        worst.append(np.maximum(greatest(over), 0.0) / palm_bed.spread_mm(bending, stiff))
    return greatest(worst)


def _beyond(middle: Num, kern: Num) -> Num:
    """How far the palm's zero lies beyond the kern round its middle, mm, seen from the zero with the sign of there."""
    over = np.maximum(np.abs(middle) - kern, 0.0)
    return np.sign(-middle) * over if np.any(over) else 0.0


def _pulled(strip: Strip, bolt: Num, bending: Num, stiff: Num) -> Num:
    """By how much prying raises the pull on a bolt of a palm that is pulled straight off."""
    under = stiff * strip.width_mm * palm_bed.spread_mm(bending, stiff) / 2.0
    made = palm_bed.pried(bolt, bending * strip.width_mm, strip.lever_mm, strip.edge_mm, under, (1.0, 1.0))
    return made.bolt / (made.bolt - made.edge)


class _Way(NamedTuple):
    """A direction across a palm: bolts, its edges, its middle and reach, the root's edges, and the other way the root
    as a whole and each foot of it, mm."""

    at: Sequence[Num]
    low: Num
    high: Num
    middle: Num
    reach: Num
    root_low: Num
    root_high: Num
    root_across: Num
    feet_across: Sequence[Num]


def _both_ways(
    way: _Way, springs: Sequence[Num], area: Num, centre: Num, plate: Callable[..., Plate]
) -> tuple[Tipped, Tipped]:
    """What a moment does that presses the low edge of a way, and one that presses the high edge."""
    low, high = way.middle - way.reach / 2.0, way.middle + way.reach / 2.0
    apart = palm_bed.apart_per_nmm(way.at, springs, centre)
    rows = _rows(way.at, springs)
    made: list[Tipped] = []
    tried: list[list[Num]] = []
    for at, root, beyond, far in (
        ([r.at_mm - low for r in rows], way.root_low - low, way.root_high - low, way.high - low),
        ([high - r.at_mm for r in rows], high - way.root_high, high - way.root_low, high - way.low),
    ):
        tried.append([*sorted(at, key=_first), root, beyond, far])
        if made and all(_alike(*pair) for pair in zip(*tried, strict=True)) and _mirrored(rows, at):
            return made[0], made[0]
        root = np.maximum(root, 1e-3)
        # Between feet that stand far apart the plate is not held straight.
        stands = np.minimum(way.root_across, add(*way.feet_across) + 2.0 * root * (len(way.feet_across) - 1))
        width = np.minimum(area / way.reach, stands + 2.0 * root)
        held = [r._replace(at_mm=y) for r, y in zip(rows, at, strict=True)]
        tip = palm_bed.tipped(held, plate(root_mm=root, beyond_mm=beyond, far_mm=far, width_mm=width))
        made.append(tip.among_others(apart))
    return made[0], made[1]


def _first(x: Num) -> float:
    return float(np.ravel(x)[0])


def _alike(one: Num, other: Num) -> bool:
    """Whether sizes are the same of every candidate, to a millionth of a millimetre."""
    return abs(_first(one) - _first(other)) < 1e-6 and bool(np.all(np.abs(one - other) < 1e-6))


def _mirrored(rows: Sequence[Row], at: Sequence[Num]) -> bool:
    """Whether rows that stand so from the other edge are the same from this one."""
    by_place = sorted(zip(at, rows, strict=True), key=lambda pair: _first(pair[0]))
    return all(
        one.bolts == other.bolts
        and np.allclose(one.spring_n_mm, other.spring_n_mm, rtol=1e-9)
        and np.allclose(one.hardest_n_mm, other.hardest_n_mm, rtol=1e-9)
        for (_, one), (_, other) in zip(by_place, reversed(by_place), strict=True)
    )


def _rows(at: Sequence[Num], springs: Sequence[Num]) -> list[Row]:
    """The bolts row by row: those that stand in one line in every candidate, taken together."""
    rows: list[Row] = []
    for y, spring in zip(at, springs, strict=True):
        for k, row in enumerate(rows):
            if _alike(row.at_mm, y):
                rows[k] = Row(y, row.bolts + 1, row.spring_n_mm + spring, np.maximum(row.hardest_n_mm, spring))
                break
        else:
            rows.append(Row(y, 1, spring, spring))
    return rows


# --- forces in the load cases ---------------------------------------------------------------------------------------


@once
def replies(inputs: Inputs, measure: Callable[[Hold, Pressed], Num]) -> list[Reply]:
    """Return, palm by palm, the worst of a measure of what holds it per unit load; kept with the inputs.

    >>> tension = replies(engineering_inputs("harbour-launch"), palm_bed.tension_n)[0]("couple", None)
    >>> round(1e6 * float(tension), -2)  # of 1 kN m, N
    4800.0
    """
    return _of_each_palm(
        inputs, lambda k: unit_loads.measured(_presses(inputs, k), functools.partial(measure, holds(inputs)[k]))
    )


@once
def _presses(inputs: Inputs, index: int) -> Callable[[Group, float | None], list[Pressed]]:
    """How a unit load presses one palm, in all its directions and shares, and its opposite."""
    hold, loads = holds(inputs)[index], unit_loads.palm_loads(inputs, index)

    def pressed(group: Group, clock_deg: float | None) -> list[Pressed]:
        both = unit_loads.opposed(group, clock_deg)
        each = [palm_bed.both_ways(hold, load) for load in loads(group, clock_deg)]
        return [made for pair in each for made in (pair if both else pair[:1])]

    return unit_loads.kept(pressed)


def shear_replies(inputs: Inputs) -> list[Reply]:
    """Return, palm by palm, the worst bolt shear per unit load.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> round(float(shear_replies(inputs)[0]("axial", None)), 4)  # cos 9 deg over eight bolts
    0.1235
    """
    return _of_each_palm(
        inputs,
        lambda k: unit_loads.measured(
            unit_loads.palm_loads(inputs, k), functools.partial(rules.shear_n, groups(inputs)[k])
        ),
    )


def _of_each_palm(inputs: Inputs, made: Callable[[int], Reply]) -> list[Reply]:
    """The replies palm by palm; of two that are mirror images one and the same."""
    found = [made(k) for k in halves.unlike_palms(inputs)]
    return found if len(found) == len(inputs.palms) else found * 2


def palm_cases(inputs: Inputs) -> tuple[Case, ...]:
    """Return the cases that palm and bolts are held to: the elastic ones, then the accidents.

    >>> [case.key for case in palm_cases(engineering_inputs("harbour-launch"))][-3:]
    ['seized', 'grounding', 'side_hinge']
    """
    return (*load_cases.cases(inputs), *load_cases.accidents(inputs))


@dataclass(frozen=True, slots=True, eq=False)
class BoltForces:
    """Of the most loaded bolt of each palm in a case, load factor included, N: tension, shear, and prying beyond that
    of an elastic palm, where the palm yields at the root."""

    tension_n: Num
    shear_n: Num
    prying_n: Num


@once
def forces(inputs: Inputs) -> dict[str, tuple[BoltForces, ...]]:
    """Return the bolt forces of every case, by key, palm by palm; broadcasts. Kept with the inputs.

    >>> round(float(forces(engineering_inputs("harbour-launch"))["seized"][0].shear_n))  # 46 N m about eight
    105
    """
    known, plates = load_cases.amplitudes(inputs), strips(inputs)
    tensions, shears = replies(inputs, palm_bed.tension_n), shear_replies(inputs)
    out = {}
    for case in palm_cases(inputs):
        made = list[BoltForces]()
        for k in halves.unlike_palms(inputs):
            palm = inputs.palms[k]
            t = case.load_factor * load_cases.worst(case, known, tensions[k])
            v = case.load_factor * load_cases.worst(case, known, shears[k])
            q = palm_plate.prying_force_n(
                t, plates[k].width_mm, palm.least_mm, inputs.strut.yield_mpa, plates[k].lever_mm, plates[k].edge_mm
            )
            made.append(BoltForces(t, v, q))
        out[case.key] = tuple(made) if len(made) == len(inputs.palms) else (made[0], made[0])
    return out
