"""Palm bolts: shear and tension in every load case, bearing and tear-out of the palm, what the hull under them bears.

Forces by `bolt_forces`. Strength by EN 1993-1-8 with its partial factor and loads times 1.5 where a case may use half
of yield; palm and hull at the bolts are held to the worst of all cases with the same forces. What must outlast the arm
is held to a blow from the side; along the chord see `grounding`.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from strutwright.models import halves
from strutwright.models.arrays import Num, least
from strutwright.models.bolt_heads import HEADS
from strutwright.models.checks.check import Check, of_groups
from strutwright.models.checks.outcome import (
    Outcome,
    at_least,
    at_most,
    collected,
    finding_of,
    inform,
    information,
    resting_on,
    worst_of,
)
from strutwright.models.checks.strength import load_cases
from strutwright.models.checks.strength.bolt_forces import BoltForces, forces, groups
from strutwright.models.checks.strength.every_case import (
    case_findings,
    in_every_case,
    outlasting,
    worst_by_grade,
    worst_findings,
)
from strutwright.models.checks.strength.hull_bed import following, resting_on_hull
from strutwright.models.finding import Finding, Standing, Verdict, without
from strutwright.models.formulas import bolts as rules
from strutwright.models.hull_bed import hull_bears
from strutwright.models.input_parts import PalmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.shop.bolting import BEDDING_MM, least_length_mm
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.words import Amount, mm, say

GROUP = "bolts"
HEAD_DIAMETERS = 1.5
"""Head over bolt diameter: cap screws of ISO 4762 and ASME B18.3; hexagons are a little larger."""
_ROWS = of_groups(GROUP)
_IN_CASES, _REST = _ROWS[0], _ROWS[1:]
CHECKS = in_every_case(_ROWS)
_BY_SHEAR, _BY_PULL = ("bolt_bearing", "bolt_tear_out"), ("head_through_palm",)
"""What rests on the strengths of palm and bolts beside its formula, by what a bolt does to the palm."""


# --- numbers --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class BoltStrength:
    """Resistances of one bolt, N, in shear and in tension (EN 1993-1-8 Table 3.4)."""

    shear_n: Num
    tension_n: Num


def strength(inputs: Inputs) -> BoltStrength:
    """Return the resistances of a palm bolt.

    >>> m12 = strength(engineering_inputs("harbour-launch"))  # 84.3 mm2 of 483 MPa, countersunk
    >>> round(m12.shear_n), round(m12.tension_n)  # 0.5 and 0.63 of 40 717 N, over 1.25
    (16287, 20521)
    """
    fub, area, partial = inputs.bolt.ultimate_mpa, inputs.bolt_stress_mm2, inputs.limit("joint_partial")
    return BoltStrength(
        rules.bolt_shear_resistance_n(fub, area, partial),
        rules.bolt_tension_resistance_n(fub, area, partial, countersunk=HEADS[inputs.bolt_kind].conical),
    )


def used(inputs: Inputs, key: str) -> Outcome:
    """Return the utilisation of the palm bolts in a load case, by its key; broadcasts.

    >>> float(used(engineering_inputs("harbour-launch"), "seized").utilisation) < 0.2
    True
    """
    resist = strength(inputs)
    return worst_of(
        [
            at_most(
                rules.combined_utilisation(f.shear_n, f.tension_n + f.prying_n, resist.shear_n, resist.tension_n), 1.0
            )
            for f in forces(inputs)[key][: len(halves.unlike_palms(inputs))]
        ]
    )


def _by_case(inputs: Inputs) -> dict[str, Outcome]:
    """Return the utilisation of the palm bolts in every load case but a grounding, by the case's key; broadcasts."""
    return {key: used(inputs, key) for key in forces(inputs) if key not in load_cases.TOLD_APART}


def greatest_forces(inputs: Inputs, key: str) -> BoltForces:
    """Return the forces of the most loaded bolt of all palms in a load case, by its key; broadcasts.

    >>> hit = greatest_forces(engineering_inputs("harbour-launch"), "side_hinge")
    >>> bool(hit.tension_n > hit.shear_n)
    True
    """
    each = forces(inputs)[key]
    columns = zip(*((f.tension_n, f.shear_n, f.prying_n) for f in each), strict=True)
    return BoltForces(*(functools.reduce(np.fmax, column) for column in columns))


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of the bolts by code; broadcasts.

    >>> round(numbers(engineering_inputs("harbour-launch"))["bolt_preload"].demand)  # 0.6 x 379 MPa x 84.3 mm2
    19170
    """
    out = collected("palm_bolts", _by_case(inputs))
    hit = greatest_forces(inputs, load_cases.SIDE_HINGE.key)
    t, v, q = hit.tension_n, hit.shear_n, hit.prying_n
    out |= {"bolt_tension": information(t), "bolt_shear": information(v), "bolt_prying": information(q)}
    shears, pulls = _shears(inputs), _pulls(inputs)
    for codes, by_case, resists in (
        (_BY_SHEAR, shears, _held_by_palm_n(inputs)),
        (_BY_PULL, pulls, _head_held_n(inputs)),
    ):
        for grade, force in worst_by_grade(inputs, by_case, warns=False).items():
            out |= {code + grade: at_most(force, held) for code, held in zip(codes, resists, strict=False)}
    each = worst_by_grade(inputs, pulls, warns=True)
    for grade, pull in each.items():
        out |= {code + grade: held for code, held in in_hull(inputs, pull).items()}
    if inputs.backing_plate:
        out["backing_thickness"] = information(_backing_thickness_mm(inputs, each[""]))
    preload = inputs.limit("bolt_preload") * inputs.bolt.yield_mpa * inputs.bolt_stress_mm2
    out["bolt_preload"] = information(preload)
    out["bolt_torque"] = information(inputs.limit("nut_factor") * inputs.bolt_mm * preload / 1000.0)
    return out


def _shears(inputs: Inputs) -> dict[str, Num]:
    """Return the greatest shear on a bolt in every load case, N, by the case's key; broadcasts."""
    return _greatest(inputs, lambda f: f.shear_n)


def _pulls(inputs: Inputs) -> dict[str, Num]:
    """Return what a bolt pulls with at most in every load case, N, the plate prying or not; broadcasts."""
    return _greatest(inputs, lambda f: f.tension_n + f.prying_n)


def _greatest(inputs: Inputs, part: Callable[[BoltForces], Num]) -> dict[str, Num]:
    unlike = len(halves.unlike_palms(inputs))
    return {key: functools.reduce(np.fmax, map(part, of[:unlike])) for key, of in forces(inputs).items()}


def _held_by_palm_n(inputs: Inputs) -> tuple[Num, Num]:
    """Return the shear of a bolt that the palms hold at least, N: in bearing, and torn out toward the edge."""
    bearing, tear = [], []
    sunk = HEADS[inputs.bolt_kind].lost_mm(inputs.bolt_head_depth_mm)
    for palm, g in zip(inputs.palms, groups(inputs), strict=True):
        plate = np.maximum(palm.least_mm - sunk, 0.0)
        bearing.append(
            rules.bearing_resistance_n(
                inputs.bolt_mm,
                inputs.bolt_hole_mm,
                plate,
                plate_tensile_mpa=inputs.strut.ultimate_mpa,
                bolt_tensile_mpa=inputs.bolt.ultimate_mpa,
                edge_mm=g.least_edge_mm,
                pitch_mm=g.least_pitch_mm,
                gamma=inputs.limit("joint_partial"),
            )
        )
        tears = rules.tear_out_n(inputs.bolt_mm, g.least_edge_mm, inputs.bolt_hole_mm, plate, inputs.strut.ultimate_mpa)
        tear.append(tears / inputs.limit("tear_out"))
    return least(bearing), least(tear)


def _head_held_n(inputs: Inputs) -> tuple[Num, ...]:
    """Return the pull of a head that the palms hold at least, N; none of a cone, whose bolt counts as weaker."""
    kind = HEADS[inputs.bolt_kind]
    if kind.conical:
        return ()
    bears = kind.bears_mm(inputs.bolt_head_depth_mm)
    land = least([np.maximum(p.least_mm - bears, 0.0) for p in inputs.palms])
    head = HEAD_DIAMETERS * inputs.bolt_mm
    return (rules.punching_resistance_n(head, land, inputs.strut.ultimate_mpa, inputs.limit("joint_partial")),)


def in_hull(inputs: Inputs, pull: Num) -> dict[str, Outcome]:
    """Return what bolts that pull so hard, N, do to the hull behind the palm, by code; broadcasts.

    >>> held = in_hull(engineering_inputs("harbour-launch"), 20_000.0)["backing_area"]  # 20 MPa, and the hole
    >>> round(float(held.demand))
    1143
    """
    hull, washer = hull_bears(inputs), _washer_mm(inputs)
    if inputs.backing_plate:
        need = rules.backing_area_mm2(pull, hull.pressure_mpa) + math.pi / 4.0 * inputs.bolt_hole_mm**2
        return {"backing_area": at_least(least([_backing_mm2(inputs, p) / p.bolt_count for p in inputs.palms]), need)}
    pressure = rules.washer_pressure_mpa(pull, washer, inputs.bolt_hole_mm)
    return {
        "hull_under_washer": at_most(pressure, hull.pressure_mpa),
        "hull_pull_through": at_most(pull, rules.pull_through_n(washer, inputs.hull_mm, hull.shear_mpa)),
    }


def _backing_thickness_mm(inputs: Inputs, pull: Num) -> Num:
    """Return the thickness of a backing plate that spreads a pull over the area the hull needs, mm."""
    pressure = hull_bears(inputs).pressure_mpa
    wide = np.sqrt(rules.backing_area_mm2(pull, pressure) * 4.0 / math.pi + inputs.bolt_hole_mm**2)
    return rules.backing_thickness_mm(_washer_mm(inputs), wide, pressure, inputs.strut.yield_mpa)


def _backing_mm2(inputs: Inputs, palm: PalmInputs) -> Num:
    """Return the area of the backing plate of a palm, mm2: as large as the palm where the file does not say how far it
    reaches beyond; of a palm that is not round somewhat more than this."""
    beyond = inputs.hull_plate.backing_beyond_mm or 0.0
    return math.pi * (np.sqrt(palm.area_mm2 / math.pi) + beyond) ** 2


def behind_mm2(inputs: Inputs, palm: PalmInputs) -> Num:
    """Return the area (mm2) that a bolt presses behind the hull: its share of the backing plate, or its washer; less
    the hole.

    >>> launch = engineering_inputs("harbour-launch")
    >>> round(float(behind_mm2(launch, launch.palms[0])))  # 24 437 / 8, less 143 of the hole
    2911
    """
    hole = math.pi / 4.0 * inputs.bolt_hole_mm**2
    if inputs.backing_plate:
        return np.maximum(_backing_mm2(inputs, palm) / palm.bolt_count - hole, 1e-9)
    return np.maximum(math.pi / 4.0 * np.square(_washer_mm(inputs)) - hole, 1e-9)


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
    >>> found["backing_area"].measure("mm")  # 24 437 / 8; 20 kN on 20 MPa, and the hole
    '3055 mm2 against at least 1129 mm2'
    """

    def on_metals(check: Check) -> Check:
        return resting_on(resting_on(check.under(inputs.limits), inputs.strut), inputs.bolt)

    told = following(_IN_CASES, inputs)
    found = case_findings(
        told, inputs, numbers, _by_case, advised=outlasting(inputs, functools.partial(_stronger, inputs))
    )
    shears, pulls = _shears(inputs), _pulls(inputs)
    for check in (c for c in _REST if c.code in numbers):
        if check.code in (*_BY_SHEAR, *_BY_PULL):
            by_case = shears if check.code in _BY_SHEAR else pulls
            found += worst_findings(following(check, inputs), inputs, numbers, by_case, on_metals)
        elif "{worst}" in check.meaning:
            found += worst_findings(resting_on_hull(check, inputs), inputs, numbers, pulls)
        else:
            found.append(finding_of(following(check, inputs), numbers[check.code], inputs))
    return [*found, *_lengths(strut), *_large(strut)]


def _stronger(inputs: Inputs, key: str) -> str:
    """What makes the bolts of a palm stronger. Stiffer ones draw more, and a palm that yields beside the arm
    then pries: there they may not help."""
    larger = replace(inputs, bolt_mm=1.25 * inputs.bolt_mm, bolt_stress_mm2=1.5625 * inputs.bolt_stress_mm2)
    if bool(used(larger, key).utilisation < 0.98 * used(inputs, key).utilisation):
        return "larger bolts.size"
    return (
        "thicken palm.thickness until it no longer yields beside the arm and pries on its bolts (larger ones draw more)"
    )


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
