"""Palm bolts: shear and tension in every load case, bearing and tear-out of the palm, what the hull under them bears.

The palm is taken as rigid and tips about its toe edge (elastic method, eccentric-load rule of textbooks); the greatest
tension and the greatest shear of the group are held together, on the safe side where they fall on different bolts.
Prying of the palm adds to the tension. Strength by EN 1993-1-8 with its partial factor and loads times 1.5 where a
case may use half of yield. For one strut the palm is also bedded on an elastic hull (contact method).
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from strutwright.models.arrays import Num, Six, dot
from strutwright.models.bolt_heads import HEADS
from strutwright.models.checks.check import STANDINGS, Check, of_groups
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, inform, information, resting_on
from strutwright.models.checks.strength import load_cases, load_paths
from strutwright.models.checks.strength.every_case import case_findings, in_every_case
from strutwright.models.checks.strength.load_cases import Case, Reply
from strutwright.models.checks.strength.load_paths import Paths
from strutwright.models.finding import Finding, Standing, Verdict, without
from strutwright.models.formulas import bolts as rules
from strutwright.models.formulas import palm_plate
from strutwright.models.formulas.bolts import BoltGroup
from strutwright.models.input_parts import PalmInputs
from strutwright.models.inputs import NAN, Inputs
from strutwright.models.shop.bolting import BEDDING_MM, least_length_mm
from strutwright.models.spec import Strut
from strutwright.params import limits as limit_table
from strutwright.params import tables
from strutwright.params.words import Amount, Words, mm, say, told

GROUP = "bolts"
HEAD_DIAMETERS = 1.5
"""Head over bolt diameter: cap screws of ISO 4762 and ASME B18.3; hexagons are a little larger."""
_ROWS = of_groups(GROUP)
_IN_CASES, _REST = _ROWS[0], _ROWS[1:]
CHECKS = in_every_case(_ROWS)
_OF_PALM = ("bolt_bearing", "bolt_tear_out", "head_through_palm")
"""What rests on the strengths of palm and bolts beside its formula."""


# --- the hull under the palm ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class HullBears:
    """What a hull bears: pressure across its face and shear through it, MPa, with standing and source.

    key: the end of the names of its limits.
    """

    pressure_mpa: float
    shear_mpa: float
    standing: Standing
    source: str
    key: str = ""


def hull_bears(inputs: Inputs) -> HullBears:
    """Return what the hull bears; nan where nothing is known.

    Metals: yield, and a share of the ultimate strength in punching (EN 1993-1-8). Timber: across the grain. Laminate
    and plywood: low confidence.

    >>> hull_bears(engineering_inputs("harbour-launch")).pressure_mpa  # a laminate
    20.0
    """
    try:
        m = tables.material(inputs.hull.name)
    except tables.NotInTable:
        return HullBears(NAN, NAN, Standing.LOW, "no figure for this hull material")
    key = {"FRP laminate": "laminate", "plywood": "plywood"}.get(m.name, "timber" if m.family == "timber" else "")
    if key:
        pressure, shear = (inputs.limits[f"hull_{what}_{key}"] for what in ("pressure", "shear"))
        name = {"laminate": "glass laminate", "timber": "hardwood"}.get(key, key)
        shipped = limit_table.standard()[pressure.name]
        source = "no source" if shipped.source == "none" else shipped.source
        said = f"{source} for {name}; shear through it from memory"
        return HullBears(pressure.value, shear.value, STANDINGS[shipped.standing], said, key)
    if m.yield_mpa is not None and m.ultimate_mpa is not None:
        share = inputs.limit("hull_shear_metal")
        return HullBears(
            m.yield_mpa,
            share * m.ultimate_mpa,
            Standing.MEMORY,
            f"yield of {m.name}; punching {share:g} of its ultimate strength (EN 1993-1-8, from memory)",
            "metal",
        )
    return HullBears(NAN, NAN, Standing.LOW, "no figure for this hull material")


def resting_on_hull(check: Check, inputs: Inputs) -> Check:
    """Return a check that rests on what the hull bears, with its standing and source, and the limits of that hull.

    >>> area = next(check for check in CHECKS if check.code == "backing_area")
    >>> [name for name in resting_on_hull(area, engineering_inputs("harbour-launch")).limits if name.startswith("hull")]
    ['hull_pressure_laminate']
    """
    hull = hull_bears(inputs)
    follows = tuple(n for n in check.limits if not n.startswith("hull_") or (hull.key and n.endswith(f"_{hull.key}")))
    if check.limit_is == "information":
        return replace(check, limits=follows)
    return replace(check, standing=hull.standing, source=hull.source, limits=follows)


# --- bolt forces ----------------------------------------------------------------------------------------------------


def group(palm: PalmInputs) -> BoltGroup:
    """Return the bolt group of a palm.

    >>> six = group(engineering_inputs("harbour-launch").palms[0])
    >>> six.count, float(six.least_edge_mm), float(six.least_pitch_mm)  # 110 / 2 - 74 / 2; rows 74 apart
    (6, 18.0, 74.0)
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


@functools.lru_cache(maxsize=2)
def _groups(inputs: Inputs) -> tuple[BoltGroup, ...]:
    """Return the bolt group of every palm; kept for the last inputs."""
    return tuple(group(p) for p in inputs.palms)


def tension_replies(inputs: Inputs, found: Paths) -> list[Reply]:
    """Return, palm by palm, the worst bolt tension per unit load.

    >>> inputs = engineering_inputs("harbour-launch")  # rows 92 and 18 mm from the edge that it tips about
    >>> tension = tension_replies(inputs, load_paths.paths(inputs))[0]("couple", None)
    >>> round(1e6 * float(tension))  # of 1 kN m: cos 9 deg x 1e6 x 92 / (3 x (92^2 + 18^2))
    3447
    """
    return [
        load_cases.measured(load_cases.palm_ways(found, k), functools.partial(rules.tension_n, g), even=False)
        for k, g in enumerate(_groups(inputs))
    ]


def shear_replies(inputs: Inputs, found: Paths) -> list[Reply]:
    """Return, palm by palm, the worst bolt shear per unit load.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> round(float(shear_replies(inputs, load_paths.paths(inputs))[0]("axial", None)), 4)  # cos 9 deg over six bolts
    0.1646
    """
    return [
        load_cases.measured(load_cases.palm_ways(found, k), functools.partial(rules.shear_n, g))
        for k, g in enumerate(_groups(inputs))
    ]


# --- the palm between arm and bolts ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """Where a bolt bends the palm, mm: from it to the toe of the arm's root, from it to the edge, working width."""

    lever_mm: Num
    edge_mm: Num
    width_mm: Num


@functools.lru_cache(maxsize=2)
def strips(inputs: Inputs) -> tuple[Strip, ...]:
    """Return, palm by palm, the strip that its worst placed bolt bends: the one farthest from the arm's root.

    The working width is the head and twice the lever (45 degree spread) but no more than the pitch: common practice.
    Kept for the last inputs.

    >>> bent = strips(engineering_inputs("harbour-launch"))[0]
    >>> round(float(bent.lever_mm), 1), round(float(bent.width_mm), 1)  # a head of 23.4, and twice the lever
    (22.9, 69.2)
    """
    found = load_paths.paths(inputs)
    head = np.maximum(inputs.bolt_head_mm, inputs.bolt_mm)
    made = []
    for index, palm in enumerate(inputs.palms):
        g = _groups(inputs)[index]
        feet = [(*_foot(palm, b, found), b.arm.palm_root_mm) for b in found.beams if b.arm.palm_index == index]
        far: Num = 0.0
        for u, v in zip(*_holes(palm), strict=True):
            nearest: Num = math.inf
            for foot_u, foot_v, half_u, half_v, root in feet:
                beside = np.maximum(np.abs(u - foot_u) - (half_u + root), 0.0)
                across = np.maximum(np.abs(v - foot_v) - (half_v + root), 0.0)
                nearest = np.minimum(nearest, beside * beside + across * across)
            far = np.maximum(far, nearest)
        # Lever over width grows with the lever, so the farthest bolt is the worst placed.
        lever = np.maximum(np.sqrt(far), inputs.bolt_mm / 2.0)
        made.append(Strip(lever, g.least_edge_mm, palm_plate.strip_width_mm(lever, head, g.least_pitch_mm)))
    return tuple(made)


def _foot(palm: PalmInputs, beam: load_paths.Beam, found: Paths) -> tuple[Num, Num, Num, Num]:
    """Return the arm's foot on a palm: (u, v) of its middle and half its length along u and its width along v, mm."""
    arm, zero = beam.arm, palm.zero_mm
    at = (
        found.root_x_mm + arm.end_mm * beam.along[0] - zero[0],
        arm.end_mm * beam.along[1] - zero[1],
        arm.end_mm * beam.along[2] - zero[2],
    )
    chord, thickness = arm.size_at(arm.water_mm)
    return (
        dot(at, palm.u),
        dot(at, palm.v),
        chord / 2.0 / np.abs(dot(beam.chord, palm.u)),
        thickness / 2.0 / np.abs(dot(beam.across, palm.v)),
    )


# --- numbers --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class BoltStrength:
    """Resistances of one bolt, N, in shear and in tension (EN 1993-1-8 Table 3.4)."""

    shear_n: Num
    tension_n: Num


def strength(inputs: Inputs) -> BoltStrength:
    """Return the resistances of a palm bolt.

    >>> m10 = strength(engineering_inputs("harbour-launch"))  # 58 mm2 of 483 MPa, countersunk
    >>> round(m10.shear_n), round(m10.tension_n)  # 0.5 and 0.63 of 28 014 N, over 1.25
    (11206, 14119)
    """
    fub, area, partial = inputs.bolt.ultimate_mpa, inputs.bolt_stress_mm2, inputs.limit("joint_partial")
    return BoltStrength(
        rules.bolt_shear_resistance_n(fub, area, partial),
        rules.bolt_tension_resistance_n(fub, area, partial, countersunk=HEADS[inputs.bolt_kind].conical),
    )


def palm_cases(inputs: Inputs) -> tuple[Case, ...]:
    """Return the cases that palm and bolts are held to: the elastic ones, then the accidents.

    >>> [case.key for case in palm_cases(engineering_inputs("harbour-launch"))][-3:]
    ['seized', 'grounding', 'side_hinge']
    """
    return (*load_cases.cases(inputs), *load_cases.accidents(inputs))


@dataclass(frozen=True, slots=True, eq=False)
class BoltForces:
    """Of the most loaded bolt of each palm in a case, load factor included, N: tension, shear, prying."""

    tension_n: Num
    shear_n: Num
    prying_n: Num


@functools.lru_cache(maxsize=2)
def forces(inputs: Inputs) -> dict[str, tuple[BoltForces, ...]]:
    """Return the bolt forces of every case, by key, palm by palm; broadcasts. Kept for the last inputs.

    >>> round(float(forces(engineering_inputs("harbour-launch"))["seized"][0].tension_n))  # 293.8 N m x 3.447 per m
    1013
    """
    found, known = load_paths.paths(inputs), load_cases.amplitudes(inputs)
    tensions, shears, plates = tension_replies(inputs, found), shear_replies(inputs, found), strips(inputs)
    out = {}
    for case in palm_cases(inputs):
        made = []
        for k, palm in enumerate(inputs.palms):
            t = case.load_factor * load_cases.worst(case, known, tensions[k])
            v = case.load_factor * load_cases.worst(case, known, shears[k])
            q = palm_plate.prying_force_n(
                t, plates[k].width_mm, palm.thickness_mm, inputs.strut.yield_mpa, plates[k].lever_mm, plates[k].edge_mm
            )
            made.append(BoltForces(t, v, q))
        out[case.key] = tuple(made)
    return out


def _by_case(inputs: Inputs) -> dict[str, Outcome]:
    """Return the utilisation of the palm bolts in every load case, by the case's key; broadcasts."""
    resist = strength(inputs)
    return {
        key: load_cases.worst_of(
            [
                at_most(
                    rules.combined_utilisation(f.shear_n, f.tension_n + f.prying_n, resist.shear_n, resist.tension_n),
                    1.0,
                )
                for f in palms
            ]
        )
        for key, palms in forces(inputs).items()
    }


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of the bolts by code; broadcasts.

    >>> round(numbers(engineering_inputs("harbour-launch"))["bolt_preload"].demand)  # 0.6 x 379 MPa x 58 mm2
    13189
    """
    out = load_cases.collected("palm_bolts", _by_case(inputs))
    hinges = {c.key for c in load_cases.ACCIDENTS}
    worst = [f for key, palms in forces(inputs).items() for f in palms if key in hinges]
    t, v, q = (
        functools.reduce(np.fmax, column)
        for column in zip(*((f.tension_n, f.shear_n, f.prying_n) for f in worst), strict=True)
    )
    out |= {"bolt_tension": information(t), "bolt_shear": information(v), "bolt_prying": information(q)}
    out |= _in_palm(inputs, v)
    kind = HEADS[inputs.bolt_kind]
    if not kind.conical:  # for those the tension resistance itself is lowered
        bears = kind.bears_mm(inputs.bolt_head_depth_mm)
        under = [np.maximum(p.thickness_mm - bears, 0.0) for p in inputs.palms]
        land, head = functools.reduce(np.minimum, under), HEAD_DIAMETERS * inputs.bolt_mm
        holds = rules.punching_resistance_n(head, land, inputs.strut.ultimate_mpa, inputs.limit("joint_partial"))
        out["head_through_palm"] = at_most(t + q, holds)
    out |= _in_hull(inputs, t)
    preload = inputs.limit("bolt_preload") * inputs.bolt.yield_mpa * inputs.bolt_stress_mm2
    out["bolt_preload"] = information(preload)
    out["bolt_torque"] = information(inputs.limit("nut_factor") * inputs.bolt_mm * preload / 1000.0)
    return out


def _in_palm(inputs: Inputs, shear: Num) -> dict[str, Outcome]:
    bearing, tear = [], []
    sunk = HEADS[inputs.bolt_kind].lost_mm(inputs.bolt_head_depth_mm)
    for palm, g in zip(inputs.palms, _groups(inputs), strict=True):
        plate = np.maximum(palm.thickness_mm - sunk, 0.0)
        resists = rules.bearing_resistance_n(
            inputs.bolt_mm,
            inputs.bolt_hole_mm,
            plate,
            plate_tensile_mpa=inputs.strut.ultimate_mpa,
            bolt_tensile_mpa=inputs.bolt.ultimate_mpa,
            edge_mm=g.least_edge_mm,
            pitch_mm=g.least_pitch_mm,
            gamma=inputs.limit("joint_partial"),
        )
        bearing.append(at_most(shear, resists))
        tears = rules.tear_out_n(inputs.bolt_mm, g.least_edge_mm, inputs.bolt_hole_mm, plate, inputs.strut.ultimate_mpa)
        tear.append(at_most(shear, tears / inputs.limit("tear_out")))
    return {"bolt_bearing": load_cases.worst_of(bearing), "bolt_tear_out": load_cases.worst_of(tear)}


def _in_hull(inputs: Inputs, tension: Num) -> dict[str, Outcome]:
    hull = hull_bears(inputs)
    washer = _washer_mm(inputs)
    need = rules.backing_area_mm2(tension, hull.pressure_mpa)
    out: dict[str, Outcome] = {}
    if inputs.backing_plate:
        out["backing_area"] = load_cases.worst_of(
            [at_least(p.area_mm2 / p.bolt_count, need + math.pi / 4.0 * inputs.bolt_hole_mm**2) for p in inputs.palms]
        )
        beyond = np.maximum(np.sqrt(need / math.pi) - washer / 2.0, 0.0)
        out["backing_thickness"] = information(
            rules.backing_thickness_mm(beyond, hull.pressure_mpa, inputs.strut.yield_mpa)
        )
    else:
        out["hull_under_washer"] = at_most(
            rules.washer_pressure_mpa(tension, washer, inputs.bolt_hole_mm), hull.pressure_mpa
        )
        out["hull_pull_through"] = at_most(tension, rules.pull_through_n(washer, inputs.hull_mm, hull.shear_mpa))
    return out


def _washer_mm(inputs: Inputs) -> Num:
    """Return the outside diameter of the plain washer of the bolt, mm: 2 bolt diameters where the table has none."""
    try:
        return tables.nut_and_washer(inputs.bolt_size).washer_outside_mm
    except tables.NotInTable:
        return 2.0 * inputs.bolt_mm


# --- findings of one strut ------------------------------------------------------------------------------------------


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings about the bolts of one strut.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), inputs, numbers(inputs))}
    >>> found["backing_area"].measure("mm")  # 22 757 / 6; 28 240 N on 20 MPa, and the hole
    '3793 mm2 against at least 1507 mm2'
    """
    found = case_findings(_IN_CASES, inputs, numbers, _by_case)
    for check in _REST:
        if check.code in numbers:
            if any(n.startswith("hull_") for n in check.limits):
                check = resting_on_hull(check, inputs)
            if check.code in _OF_PALM:
                check = resting_on(resting_on(check.under(inputs.limits), inputs.strut), inputs.bolt)
            found.append(finding_of(check, numbers[check.code], inputs))
    return [*found, _contact(strut, inputs), *_lengths(strut), *_large(strut)]


def _contact(strut: Strut, inputs: Inputs) -> Finding:
    """Return as information the bolt tension of the governing accident when the hull gives: contact method."""
    code = "bolt_tension_bedded"
    what: Words = "tension of the most loaded bolt, the hull taken as an elastic bed, when the arm bends plastically"
    if math.isnan(inputs.hull_mm):
        return without(code, what, ["hull.thickness"], group=GROUP, verdict=Verdict.INFORMATION)
    if math.isnan(inputs.hull.modulus_mpa):
        return inform(
            code,
            GROUP,
            say("{what}: the table of materials holds no modulus of {name}", what=what, name=inputs.hull.name),
            "",
            "materials.hull",
        )
    toe, index, load = _worst_accident(inputs)
    if load is None:
        return inform(code, GROUP, say("{what}: nothing pulls", what=what), "", "bolts.size")
    palm = strut.palms[index]
    grip = inputs.hull_mm + palm.thickness_mm
    holes = np.array([(h.u_mm, h.v_mm) for h in palm.holes])
    edge = palm.outline.points_at(np.linspace(0.0, palm.outline.perimeter_mm(), 61)[:-1])[0]
    try:
        held = rules.bolt_tensions_contact(
            holes,
            edge,
            float(load[2]),
            float(load[3]),
            float(load[4]),
            float(inputs.bolt.modulus_mpa * inputs.bolt_stress_mm2 / grip),
            float(inputs.hull.modulus_mpa / inputs.hull_mm),
            across=24,
        )
    except ValueError as error:
        return inform(
            code, GROUP, say("{what}: {error}", what=what, error=told(error)), "spread the bolts", "bolts.pattern"
        )
    most, press = float(held.tension_n.max()), float(held.pressure_mpa.max())
    what = say(
        "{what} ({toe} about the toe; the hull is pressed at up to {press})",
        what=what,
        toe=Amount(toe, "N"),
        press=Amount(press, "MPa"),
    )
    return inform(
        code,
        GROUP,
        what,
        "",
        "bolts.size",
        actual=most,
        unit="N",
        source="rigid palm on an elastic bed, bolts in tension only",
        standing=Standing.PRACTICE,
    )


def _worst_accident(inputs: Inputs) -> tuple[float, int, Six | None]:
    """Greatest bolt tension about the toe in an accident, N, the palm where it is and the load on it, if any pulls."""
    found, known = load_paths.paths(inputs), load_cases.amplitudes(inputs)
    worst: tuple[float, int, Six | None] = (0.0, 0, None)
    for k, g in enumerate(_groups(inputs)):
        for case in load_cases.accidents(inputs):
            size = float(load_cases.size(case.terms[0], known))
            acts = load_cases.GROUPS[case.terms[0].source]
            for way in load_cases.directed(load_cases.palm_ways(found, k), acts, None):
                for n in (size, -size):
                    load = (n * way[0], n * way[1], n * way[2], n * way[3], n * way[4], n * way[5])
                    tension = float(rules.tension_n(g, load))
                    if tension > worst[0]:
                        worst = (tension, k, load)
    return worst


def _lengths(strut: Strut) -> list[Finding]:
    """Return as information the least bolt length; nothing where the tables hold no nut of the size."""
    where = strut.palms[0].bolt.head.measured_from
    given = strut.hull.plate.backing_mm is not None
    plate = (", backing plate" + ("" if given else " as thick as the bolt's diameter")) if strut.backing_plate else ""
    code = "bolt_length"
    what = say(
        "least length of a palm bolt {where} its head (bedding {bedding}{plate})",
        where=where,
        bedding=mm(BEDDING_MM),
        plate=plate,
    )
    if strut.hull.thickness_mm is None:
        return [without(code, what, ["hull.thickness"], group=GROUP, verdict=Verdict.INFORMATION)]
    found = [n for n in (least_length_mm(strut, p) for p in strut.palms) if n is not None]
    return [
        inform(
            code,
            GROUP,
            what,
            "measure the hull at each hole before cutting bolts",
            "bolts.size",
            actual=n,
            unit="mm",
            source="sum of what it passes through",
            standing=Standing.PRACTICE,
        )
        for n in found[:1]
    ]


def _large(strut: Strut) -> list[Finding]:
    """Say it where the bolts are larger than their standard gives the strength of the class for."""
    bolt = strut.palms[0].bolt
    usual, here = tables.material(bolt.material), tables.bolt_material(bolt.material, bolt.major_mm)
    if usual.yield_mpa == here.yield_mpa or here.yield_mpa is None:
        return []
    return [
        inform(
            "bolt_over_size",
            GROUP,
            say(
                "yield taken for {name} bolts of {size} ({spec} gives {given} for smaller ones)",
                name=usual.name,
                size=bolt.size,
                spec=usual.spec,
                given=Amount(float(usual.yield_mpa or 0.0), "MPa"),
            ),
            "agree the strength with the maker, or choose a smaller bolts.size and more of them",
            "materials.bolts",
            actual=here.yield_mpa,
            unit="MPa",
            source=usual.spec,
            standing=Standing.MEMORY,
        )
    ]
