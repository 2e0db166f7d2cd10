"""The propeller shaft through the strut, as given: is it thick enough, how is it stressed, which ends suit it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.checks.demand import (
    Demand,
    Number,
    at_least,
    at_most,
    finding_of,
    hint,
    information,
    resting_on,
)
from strutwright.models.checks.inputs import Inputs
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import loads as statics
from strutwright.models.formulas import shaft as rules
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM
from strutwright.params.words import Amount, Taper, Words, fine_mm, mm, say

GROUP = "shaft"
_P, _M, _L = Standing.PUBLISHED, Standing.MEMORY, Standing.LOW
_DUTY = ("power_kw", "shaft_rpm")
_LARGER = "a larger shaft.diameter, or a stronger materials.shaft; the bearing and the barrel go with it"

POWER = Number(
    "shaft_by_power",
    GROUP,
    "shaft diameter by the power formula",
    "mm",
    "at least",
    "ABYC P-6 form, boat systems handbook; torsional yield two thirds of tensile yield",
    _P,
    "shaft.diameter",
    _LARGER,
    _DUTY,
    warn=True,
)
CLASS = Number(
    "shaft_by_class",
    GROUP,
    "shaft diameter by IACS UR M68, keyed propeller",
    "mm",
    "at least",
    "IACS UR M68",
    _M,
    "shaft.diameter",
    _LARGER,
    _DUTY,
    warn=True,
)
FISHING = Number(
    "shaft_by_fishing_rule",
    GROUP,
    "shaft diameter by the Canadian fishing vessel rule, diesel",
    "mm",
    "information",
    "Fishing Vessel Safety Regulations s. 19(2); for comparison",
    _P,
    "shaft.diameter",
    needs=(*_DUTY, "propeller_mm"),
)
PROPELLER = Number(
    "shaft_by_propeller",
    GROUP,
    "shaft diameter by the old rule, propeller / 14",
    "mm",
    "information",
    "boat systems handbook; for comparison",
    _P,
    "shaft.diameter",
    needs=("propeller_mm",),
)
STRESS = Number(
    "shaft_stress",
    GROUP,
    "stress in the shaft at the bearing from torque, overhung weight and thrust (von Mises), against yield",
    "MPa",
    "at most",
    "shaft text-books; thrust from power and boat speed with efficiency 0.6",
    _P,
    "shaft.diameter",
    _LARGER,
    (*_DUTY, "propeller_kg", "hub_gap_mm", "hub_length_mm"),
    warn=True,
)
ADVANCE = Number(
    "advance_ratio",
    GROUP,
    "advance ratio J of the propeller at boat speed, wake left out",
    "",
    "information",
    "definition, J = V / (n D)",
    Standing.GEOMETRY,
    "duty.boat_speed",
    needs=("boat_speed_kn", "shaft_rpm", "propeller_mm"),
)
TIP_MOST_M_S = 60.0
"""Tip speed beyond which cavitation, noise and blade wear usually govern; some 12 000 ft a minute, from memory."""
TIP = Number(
    "tip_speed",
    GROUP,
    "tip speed of the propeller, boat speed left out, against what is usual",
    "m/s",
    "at most",
    "pi D n; usual limit from memory, no source",
    _L,
    "propeller.diameter",
    "a smaller propeller.diameter or a larger duty.gear_ratio; ask the propeller maker",
    ("propeller_mm", "shaft_rpm"),
)
NUMBERS = (POWER, CLASS, FISHING, PROPELLER, STRESS, ADVANCE, TIP)

FIRST_SHIP_M = 24.0
"""Waterline from which class rules for ships are the usual yardstick; ISO 12217 and class practice."""


def numbers(inputs: Inputs) -> dict[str, Demand]:
    """Return the numbers of the shaft by code; broadcasts."""
    d, metal, power, rpm = inputs.shaft_mm, inputs.shaft, inputs.power_kw, inputs.shaft_rpm
    torsion = rules.TORSION_YIELD_OF_TENSILE * metal.yield_mpa
    # The rule admits no weaker steel: say nothing rather than stretch it.
    admitted = np.asarray(metal.ultimate_mpa, dtype=float) >= 372.0
    fishing = rules.diameter_fishing_vessel_mm(
        power,
        rpm,
        np.where(admitted, metal.ultimate_mpa, 372.0),
        inputs.propeller_mm,
        corrosion_resistant=metal.family not in ("steel", ""),
    )
    line = rules.weight_n_per_mm(d, metal.density_kg_m3)
    weight = statics.weight_n(inputs.propeller_kg)
    moment: Num = statics.overhung_reactions(1.0, inputs.overhang_mm, weight, line).moment_nmm
    thrust: Num = np.nan_to_num(statics.thrust_n(power, np.maximum(inputs.boat_speed_kn, 1.0)))
    stress = rules.mises_mpa(d, rules.torque_nmm(power, rpm), moment, thrust)
    return {
        POWER.code: at_least(d, rules.diameter_by_power_mm(power, inputs.shaft_safety, torsion, rpm)),
        CLASS.code: at_least(d, rules.diameter_ur_m68_mm(power, rpm, metal.ultimate_mpa)),
        FISHING.code: information(np.where(admitted, fishing, np.nan)[()]),
        PROPELLER.code: information(rules.diameter_by_propeller_mm(inputs.propeller_mm)),
        STRESS.code: at_most(stress, metal.yield_mpa),
        TIP.code: at_most(np.pi * inputs.propeller_mm / 1000.0 * rpm / 60.0, TIP_MOST_M_S),
        ADVANCE.code: information(rules.advance_ratio(inputs.boat_speed_kn, rpm, inputs.propeller_mm)),
    }


def class_applies(inputs: Inputs) -> bool:
    """Return whether class rules for ships are the yardstick: by waterline, or by service when it is not given."""
    length = float(np.max(np.asarray(inputs.waterline_m, dtype=float)))
    return length >= FIRST_SHIP_M if not math.isnan(length) else inputs.service in ("patrol", "passenger")


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Demand]) -> list[Finding]:
    """Return the findings of the shaft."""
    out = []
    for number in NUMBERS:
        what: Words = ""
        if number is STRESS:
            number = resting_on(number, inputs.shaft)
        elif number is POWER:
            number = resting_on(number, inputs.shaft)
            what = say(
                "{what}, safety {safety} for {service} service",
                what=number.what,
                safety=Amount(float(inputs.shaft_safety), ""),
                service=inputs.service.replace("_", " "),
            )
        elif number is CLASS and not class_applies(inputs):
            # A rule for ships is no yardstick for a boat: say the number, hold nobody to it.
            number = replace(
                number, standing=_L, source=say("{source}, for ships; comparison for this craft", source=number.source)
            )
        out.append(finding_of(number, numbers_[number.code], inputs, what=what))
    return [*out, *_ends(inputs)]


def _ends(inputs: Inputs) -> list[Finding]:
    """Return the standard shaft nearest to this one and the tapers that go with it."""
    d = float(inputs.shaft_mm)
    out = []
    for system, where, low, high, ratio in (
        ("inch", "SAE J755", 0.75 * INCH_MM, 8 * INCH_MM, None),
        ("metric", "ISO 4566", 20.0, 160.0, rules.TAPER_ISO),
    ):
        near = tables.nearest_shaft(d, system)
        if not low - 0.5 <= d <= high + 0.5 or abs(near.diameter_mm - d) > 0.6:
            continue
        if (
            near.taper_length_mm is not None
            and near.small_end_min_mm is not None
            and near.key_width_mm is not None
            and near.small_end_max_mm is not None
        ):
            text = say(
                "taper {taper} over {length}, small end {least} to {most}, key {key} wide",
                taper=Taper(16.0),
                length=mm(near.taper_length_mm),
                least=fine_mm(near.small_end_min_mm),
                most=fine_mm(near.small_end_max_mm),
                key=fine_mm(near.key_width_mm),
            )
        else:
            taper = ratio or (rules.TAPER_SAE if d <= 5.5 * INCH_MM else 12.0)
            text = say("taper {taper}", taper=Taper(taper))
        off = "" if abs(near.diameter_mm - d) < 0.02 else say(" (this shaft {d})", d=mm(d))
        # Only the ends of SAE J755 were read; the steps of both series between are from memory.
        standing = _P if near.taper_length_mm is not None else _M
        size = near.size if system == "metric" else f"{near.size} in"
        out.append(
            hint(
                f"shaft_end_{system}",
                GROUP,
                say("{where} shaft {size}{off}: {text}", where=where, size=size, off=off, text=text),
                "",
                "shaft.diameter",
                actual=near.diameter_mm,
                unit="mm",
                source=where,
                standing=standing,
            )
        )
    if not out:
        near = tables.nearest_shaft(d)
        out.append(
            hint(
                "shaft_end_none",
                GROUP,
                say(
                    "no standard shaft of SAE J755 or ISO 4566 is {d}; the nearest is {size} ({near})",
                    d=mm(d),
                    size=near.size,
                    near=mm(near.diameter_mm),
                ),
                "",
                "shaft.diameter",
                actual=near.diameter_mm,
                unit="mm",
                source="SAE J755, ISO 4566",
                standing=_M,
            )
        )
    return out
