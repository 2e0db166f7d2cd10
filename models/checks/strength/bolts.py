"""Palm bolts: shear and tension in every load case, bearing and tear-out of the palm, what the hull under them bears.

The palm is taken as rigid and tips about its toe edge (elastic method, eccentric-load rule of textbooks); the greatest
tension and the greatest shear of the group are held together, on the safe side where they fall on different bolts.
Prying of the palm adds to the tension. Strength by EN 1993-1-8 with its partial factor 1.25 and loads times 1.5 where a
case may use half of yield. For one strut the palm is also bedded on an elastic hull (contact method).
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from strutwright.models.arrays import Num, Six, dot
from strutwright.models.checks.demand import (
    Demand,
    Number,
    at_least,
    at_most,
    finding_of,
    findings_of,
    hint,
    information,
)
from strutwright.models.checks.inputs import NAN, Inputs, PalmInputs
from strutwright.models.checks.strength import load_cases, load_paths
from strutwright.models.checks.strength.arms import case_findings
from strutwright.models.checks.strength.load_cases import Case, Reply
from strutwright.models.checks.strength.load_paths import Paths
from strutwright.models.finding import Finding, Standing, without
from strutwright.models.formulas import bolts as rules
from strutwright.models.formulas import palm_plate
from strutwright.models.formulas.bolts import BoltGroup
from strutwright.models.shop.bolting import BEDDING_MM, least_length_mm
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.words import Amount, Words, mm, say, told

GROUP = "bolts"
_EC3 = "EN 1993-1-8 Tables 3.4 (from memory) with elastic bolt forces about the toe of the palm"
HEAD_DIAMETERS = 1.5
"""Head over bolt diameter: cap screws of ISO 4762 and ASME B18.3; hexagons are a little larger."""
_MORE = "larger bolts.size, more bolts in bolts.pattern, or a wider bolts.pattern.pitch_across"


def _bolts(case: Case) -> Number:
    return Number(
        f"palm_bolts_{case.key}",
        GROUP,
        f"palm bolts in shear and tension together, {case.name}",
        "",
        "at most",
        _EC3,
        case.standing,
        "bolts.size",
        _MORE,
        case.needs,
        case.warn,
    )


USES = tuple(_bolts(c) for c in (*load_cases.BUILT_IN, *load_cases.ACCIDENTS))
OWN = Number(
    "palm_bolts_own",
    GROUP,
    "palm bolts in shear and tension together, worst of the file's own load cases",
    "",
    "at most",
    _EC3,
    Standing.PRACTICE,
    "bolts.size",
    _MORE,
)
TENSION = Number(
    "bolt_tension",
    GROUP,
    "tension of the most loaded bolt when the arm bends plastically",
    "N",
    "information",
    "elastic bolt forces about the toe of the palm",
    Standing.PRACTICE,
    "bolts.size",
)
SHEAR = replace(TENSION, code="bolt_shear", what="shear of the most loaded bolt when the arm bends plastically")
PRYING = replace(
    TENSION,
    code="bolt_prying",
    what="prying of the palm on top of the bolt's tension when the arm bends plastically",
    source="equilibrium of a T-stub (EN 1993-1-8 6.2.4, from memory)",
)
BEARING = Number(
    "bolt_bearing",
    GROUP,
    "bearing of a bolt in the palm, less half the countersink or all the counterbore, when the arm bends plastically",
    "N",
    "at most",
    "EN 1993-1-8 Table 3.4 (from memory)",
    Standing.MEMORY,
    "palm.thickness",
    "thicken palm.thickness or set the holes further in",
    warn=True,
)
TEAR = Number(
    "bolt_tear_out",
    GROUP,
    "tear-out of a bolt toward the palm's edge, when the arm bends plastically",
    "N",
    "at most",
    "AISC 360 J3.10 over 2.0 (from memory)",
    Standing.MEMORY,
    "palm.thickness",
    "set the holes further in (bolts.pattern) or thicken palm.thickness",
    warn=True,
)
PUNCH = Number(
    "head_through_palm",
    GROUP,
    "pull of a head through the palm under it, prying within, when the arm bends plastically",
    "N",
    "at most",
    "EN 1993-1-8 Table 3.4 (from memory), head of 1.5 bolt diameters",
    Standing.MEMORY,
    "palm.thickness",
    "thicken palm.thickness, or make the counterbore less deep",
    warn=True,
)
WASHER = Number(
    "hull_under_washer",
    GROUP,
    "pressure of a plain washer on the hull when the arm bends plastically; no backing plate",
    "MPa",
    "at most",
    "strength of the hull under a washer",
    Standing.LOW,
    "bolts.backing_plate",
    "fit a backing plate (bolts.backing_plate)",
)
PULL = Number(
    "hull_pull_through",
    GROUP,
    "pull of a bolt's plain washer through the hull when the arm bends plastically; no backing plate",
    "N",
    "at most",
    "shear of the hull round the washer",
    Standing.LOW,
    "bolts.backing_plate",
    "fit a backing plate (bolts.backing_plate) or strengthen the hull there",
    ("hull_mm",),
)
BACKING = Number(
    "backing_area",
    GROUP,
    "share of the backing plate for a bolt (a plate as large as the palm) against "
    "the area the hull needs when the arm bends plastically",
    "mm2",
    "at least",
    "pressure the hull bears under a plate",
    Standing.LOW,
    "bolts.backing_plate",
    "make the backing plate larger than the palm, or spread the bolts",
)
BACKING_THICK = Number(
    "backing_thickness",
    GROUP,
    "thickness of a backing plate of the strut's metal that spreads a bolt over the area the hull needs",
    "mm",
    "information",
    "elastic strip, EN 1993-1-8 6.2.5; pressure the hull bears, no source",
    Standing.PRACTICE,
    "bolts.backing_plate",
)
PRELOAD = Number(
    "bolt_preload",
    GROUP,
    "preload at 0.6 of the bolt's yield",
    "N",
    "information",
    "common practice; hulls of wood or laminate bear less",
    Standing.PRACTICE,
    "bolts.size",
)
TORQUE = Number(
    "bolt_torque",
    GROUP,
    "tightening torque for 0.6 of yield with anti-seize (K 0.16, scatter 25 %); on wood or laminate crushing limits it",
    "N m",
    "information",
    "T = K d F, common practice",
    Standing.PRACTICE,
    "bolts.size",
)
NUMBERS = (
    *USES,
    OWN,
    TENSION,
    SHEAR,
    PRYING,
    BEARING,
    TEAR,
    PUNCH,
    WASHER,
    PULL,
    BACKING,
    BACKING_THICK,
    PRELOAD,
    TORQUE,
)


# --- the hull under the palm ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class HullBears:
    """What a hull material bears: pressure across its face and shear through it, MPa, with standing and source."""

    pressure_mpa: float
    shear_mpa: float
    standing: Standing
    source: str


@functools.cache
def hull_bears(name: str) -> HullBears:
    """Return what the hull of that material bears; nan where nothing is known.

    Metals: yield, and 0.6 of the ultimate strength in punching (EN 1993-1-8). Timber: across the grain. Laminate and
    plywood: low confidence.
    """
    try:
        m = tables.material(name)
    except tables.NotInTable:
        return HullBears(NAN, NAN, Standing.LOW, "no figure for this hull material")
    if m.name == "FRP laminate":
        return _bears("glass laminate", 60.0, Standing.LOW, "no source")
    if m.name == "plywood":
        return _bears("plywood", 3.5, Standing.LOW, "no source")
    if m.family == "timber":
        return _bears("hardwood", 3.9, Standing.MEMORY, "EN 338 class D30, across the grain")
    if m.yield_mpa is not None and m.ultimate_mpa is not None:
        return HullBears(
            m.yield_mpa,
            0.6 * m.ultimate_mpa,
            Standing.MEMORY,
            f"yield of {m.name}; punching 0.6 of its ultimate strength (EN 1993-1-8, from memory)",
        )
    return HullBears(NAN, NAN, Standing.LOW, "no figure for this hull material")


def _bears(key: str, shear_mpa: float, standing: Standing, source: str) -> HullBears:
    return HullBears(
        rules.HULL_PRESSURE_MPA[key], shear_mpa, standing, f"{key}: {source}; shear through it from memory"
    )


# --- bolt forces ----------------------------------------------------------------------------------------------------


def group(palm: PalmInputs) -> BoltGroup:
    """Return the bolt group of a palm."""
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
def groups(inputs: Inputs) -> tuple[BoltGroup, ...]:
    """Return the bolt group of every palm; kept for the last inputs."""
    return tuple(group(p) for p in inputs.palms)


def tension_replies(inputs: Inputs, found: Paths) -> list[Reply]:
    """Return, palm by palm, the worst bolt tension per unit load."""
    return [
        load_cases.measured(load_cases.palm_ways(found, k), functools.partial(rules.tension_n, g), even=False)
        for k, g in enumerate(groups(inputs))
    ]


def shear_replies(inputs: Inputs, found: Paths) -> list[Reply]:
    """Return, palm by palm, the worst bolt shear per unit load."""
    return [
        load_cases.measured(load_cases.palm_ways(found, k), functools.partial(rules.shear_n, g))
        for k, g in enumerate(groups(inputs))
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
    """
    found = load_paths.paths(inputs)
    head = np.maximum(inputs.bolt_head_mm, inputs.bolt_mm)
    made = []
    for index, palm in enumerate(inputs.palms):
        g = groups(inputs)[index]
        feet = [(*foot(palm, b, found), b.arm.palm_root_mm) for b in found.beams if b.arm.palm_index == index]
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


def foot(palm: PalmInputs, beam: load_paths.Beam, found: Paths) -> tuple[Num, Num, Num, Num]:
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
    """Resistances of one bolt, N, in shear and in tension (EN 1993-1-8 Table 3.4, partial factor 1.25)."""

    shear_n: Num
    tension_n: Num


def strength(inputs: Inputs) -> BoltStrength:
    """Return the resistances of a palm bolt."""
    fub, area = inputs.bolt.ultimate_mpa, inputs.bolt_stress_mm2
    return BoltStrength(
        rules.bolt_shear_resistance_n(fub, area),
        rules.bolt_tension_resistance_n(fub, area, countersunk=inputs.bolt_kind == "countersunk"),
    )


_ACCIDENTS = {c.key for c in load_cases.ACCIDENTS}


def palm_cases(inputs: Inputs) -> tuple[Case, ...]:
    """Return the cases that palm and bolts are held to: the elastic ones, then the accidents."""
    return (*load_cases.cases(inputs), *load_cases.ACCIDENTS)


@dataclass(frozen=True, slots=True, eq=False)
class BoltForces:
    """Of the most loaded bolt of each palm in a case, load factor included, N: tension, shear, prying."""

    tension_n: Num
    shear_n: Num
    prying_n: Num


@functools.lru_cache(maxsize=2)
def forces(inputs: Inputs) -> dict[str, tuple[BoltForces, ...]]:
    """Return the bolt forces of every case, by key, palm by palm; broadcasts. Kept for the last inputs."""
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


def by_case(inputs: Inputs) -> dict[str, Demand]:
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


def numbers(inputs: Inputs) -> dict[str, Demand]:
    """Return the numbers of the bolts by code; broadcasts."""
    out = load_cases.collected("palm_bolts", by_case(inputs))
    worst = [f for key, palms in forces(inputs).items() for f in palms if key in _ACCIDENTS]
    t, v, q = (
        functools.reduce(np.fmax, column)
        for column in zip(*((f.tension_n, f.shear_n, f.prying_n) for f in worst), strict=True)
    )
    out |= {TENSION.code: information(t), SHEAR.code: information(v), PRYING.code: information(q)}
    out |= _in_palm(inputs, v)
    if inputs.bolt_kind != "countersunk":  # for those the tension resistance itself is lowered
        under = [
            np.maximum(p.thickness_mm - (inputs.bolt_head_depth_mm if inputs.bolt_kind == "counterbored" else 0.0), 0.0)
            for p in inputs.palms
        ]
        land = functools.reduce(np.minimum, under)
        out[PUNCH.code] = at_most(
            t + q, rules.punching_resistance_n(HEAD_DIAMETERS * inputs.bolt_mm, land, inputs.strut.ultimate_mpa)
        )
    out |= _in_hull(inputs, t)
    preload = rules.preload_n(inputs.bolt_stress_mm2, inputs.bolt.yield_mpa)
    out[PRELOAD.code] = information(preload)
    out[TORQUE.code] = information(rules.tightening_torque_nmm(preload, inputs.bolt_mm) / 1000.0)
    return out


def _in_palm(inputs: Inputs, shear: Num) -> dict[str, Demand]:
    bearing, tear = [], []
    # A countersunk head bears over half its depth (EN 1993-1-8 Table 3.4); a cap-screw head stands clear in its hole.
    sunk = inputs.bolt_head_depth_mm * (1.0 if inputs.bolt_kind == "counterbored" else 0.5)
    for palm, g in zip(inputs.palms, groups(inputs), strict=True):
        plate = np.maximum(palm.thickness_mm - sunk, 0.0)
        resists = rules.bearing_resistance_n(
            inputs.bolt_mm,
            inputs.bolt_hole_mm,
            plate,
            inputs.strut.ultimate_mpa,
            inputs.bolt.ultimate_mpa,
            g.least_edge_mm,
            g.least_pitch_mm,
        )
        bearing.append(at_most(shear, resists))
        tear.append(
            at_most(
                shear, rules.tear_out_n(g.least_edge_mm, inputs.bolt_hole_mm, plate, inputs.strut.ultimate_mpa) / 2.0
            )
        )
    return {BEARING.code: load_cases.worst_of(bearing), TEAR.code: load_cases.worst_of(tear)}


def _in_hull(inputs: Inputs, tension: Num) -> dict[str, Demand]:
    hull = hull_bears(inputs.hull.name)
    washer = washer_mm(inputs)
    need = rules.backing_area_mm2(tension, hull.pressure_mpa)
    out: dict[str, Demand] = {}
    if inputs.backing_plate:
        out[BACKING.code] = load_cases.worst_of(
            [at_least(p.area_mm2 / p.bolt_count, need + math.pi / 4.0 * inputs.bolt_hole_mm**2) for p in inputs.palms]
        )
        beyond = np.maximum(np.sqrt(need / math.pi) - washer / 2.0, 0.0)
        out[BACKING_THICK.code] = information(
            rules.backing_thickness_mm(beyond, hull.pressure_mpa, inputs.strut.yield_mpa)
        )
    else:
        out[WASHER.code] = at_most(rules.washer_pressure_mpa(tension, washer, inputs.bolt_hole_mm), hull.pressure_mpa)
        out[PULL.code] = at_most(tension, rules.pull_through_n(washer, inputs.hull_mm, hull.shear_mpa))
    return out


def washer_mm(inputs: Inputs) -> Num:
    """Return the outside diameter of the plain washer of the bolt, mm: 2 bolt diameters where the table has none."""
    try:
        return tables.nut_and_washer(inputs.bolt_size).washer_outside_mm
    except tables.NotInTable:
        return 2.0 * inputs.bolt_mm


# --- findings of one strut ------------------------------------------------------------------------------------------


def findings(strut: Strut, inputs: Inputs, numbers: Mapping[str, Demand]) -> list[Finding]:
    """Return the findings about the bolts of one strut."""
    found = case_findings("palm_bolts", USES, OWN, inputs, numbers, by_case, keep_source=True)
    hull = hull_bears(inputs.hull.name)
    rest = findings_of((TENSION, SHEAR, PRYING, BEARING, TEAR, PUNCH), numbers, inputs)
    for number in (WASHER, PULL, BACKING):
        if number.code in numbers:
            held = replace(number, standing=hull.standing, source=hull.source, warn=True)
            rest.append(finding_of(held, numbers[number.code], inputs))
    rest += findings_of((BACKING_THICK, PRELOAD, TORQUE), numbers, inputs)
    return found + rest + [contact(strut, inputs)] + lengths(strut) + _large(strut)


def contact(strut: Strut, inputs: Inputs) -> Finding:
    """Return a hint with the bolt tension of the governing accident when the hull gives: contact method."""
    code = "bolt_tension_bedded"
    what: Words = "tension of the most loaded bolt, the hull taken as an elastic bed, when the arm bends plastically"
    if math.isnan(inputs.hull_mm):
        return without(code, what, ["hull.thickness"], group=GROUP, judged=False)
    if math.isnan(inputs.hull.modulus_mpa):
        return hint(
            code,
            GROUP,
            say("{what}: the table of materials holds no modulus of {name}", what=what, name=inputs.hull.name),
            "",
            "materials.hull",
        )
    toe, index, load = _worst_accident(inputs)
    if load is None:
        return hint(code, GROUP, say("{what}: nothing pulls", what=what), "", "bolts.size")
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
        return hint(
            code, GROUP, say("{what}: {error}", what=what, error=told(error)), "spread the bolts", "bolts.pattern"
        )
    most, press = float(held.tension_n.max()), float(held.pressure_mpa.max())
    what = say(
        "{what}; about the toe it is {toe}, the hull is pressed at up to {press}",
        what=what,
        toe=Amount(toe, "N"),
        press=Amount(press, "MPa"),
    )
    return hint(
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
    for k, g in enumerate(groups(inputs)):
        for case in (c for c in palm_cases(inputs) if c.key in _ACCIDENTS):
            size = float(load_cases.size(case.terms[0], known))
            acts = load_cases.GROUPS[case.terms[0].source]
            for way in load_cases.directed(load_cases.palm_ways(found, k), acts, None):
                for n in (size, -size):
                    load = (n * way[0], n * way[1], n * way[2], n * way[3], n * way[4], n * way[5])
                    tension = float(rules.tension_n(g, load))
                    if tension > worst[0]:
                        worst = (tension, k, load)
    return worst


def lengths(strut: Strut) -> list[Finding]:
    """Return a hint with the least bolt length; nothing where the tables hold no nut of the size."""
    where = "over" if strut.palms[0].bolt.kind == "countersunk" else "under"
    plate = ", backing plate as thick as the bolt is wide" if strut.backing_plate else ""
    code = "bolt_length"
    what = say(
        "least length of a palm bolt {where} its head (bedding {bedding}{plate})",
        where=where,
        bedding=mm(BEDDING_MM),
        plate=plate,
    )
    if strut.hull.thickness_mm is None:
        return [without(code, what, ["hull.thickness"], group=GROUP, judged=False)]
    found = [n for n in (least_length_mm(strut, p) for p in strut.palms) if n is not None]
    return [
        hint(
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
    """Return a hint where the bolts are larger than their standard gives the strength of the class for."""
    bolt = strut.palms[0].bolt
    usual, here = tables.material(bolt.material), tables.bolt_material(bolt.material, bolt.major_mm)
    if usual.yield_mpa == here.yield_mpa or here.yield_mpa is None:
        return []
    return [
        hint(
            "bolt_over_size",
            GROUP,
            say(
                "yield taken for {name} bolts of {size}, larger than {spec} gives {given} for",
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
