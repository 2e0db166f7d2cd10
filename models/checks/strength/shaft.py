"""The propeller shaft through the strut, as given: is it thick enough, how is it stressed, which ends suit it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.checks.check import of_groups, without_limits
from strutwright.models.checks.outcome import Outcome, at_least, at_most, finding_of, inform, information, resting_on
from strutwright.models.checks.strength import load_cases
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import loads as statics
from strutwright.models.formulas import shaft as rules
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.quantity import INCH_MM
from strutwright.params.words import Amount, Taper, Words, fine_mm, mm, say

GROUP = "shaft"
CHECKS = of_groups(GROUP)


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of the shaft by code; broadcasts.

    >>> round(float(numbers(engineering_inputs("harbour-launch"))["shaft_by_propeller"].demand), 2)  # 480 / 14
    34.29
    """
    d, metal, power, rpm = inputs.shaft_mm, inputs.shaft, inputs.power_kw, inputs.shaft_rpm
    torsion = rules.TORSION_YIELD_OF_TENSILE * metal.yield_mpa
    # The rule admits no weaker steel: say nothing rather than stretch it.
    admitted = np.asarray(metal.ultimate_mpa, dtype=float) >= rules.FISHING_LEAST_MPA
    fishing = rules.diameter_fishing_vessel_mm(
        power,
        rpm,
        np.where(admitted, metal.ultimate_mpa, rules.FISHING_LEAST_MPA),
        inputs.propeller_mm,
        corrosion_resistant=metal.family not in ("steel", ""),
    )
    line = rules.weight_n_per_mm(d, metal.density_kg_m3)
    weight = statics.weight_n(inputs.propeller_kg)
    moment: Num = statics.overhung_reactions(1.0, inputs.overhang_mm, weight, line).moment_nmm
    thrust: Num = np.nan_to_num(load_cases.thrust_n(inputs))
    stress = rules.mises_mpa(d, rules.torque_nmm(power, rpm), moment, thrust)
    return {
        "shaft_by_power": at_least(d, rules.diameter_by_power_mm(power, inputs.shaft_safety, torsion, rpm)),
        "shaft_by_class": at_least(d, rules.diameter_ur_m68_mm(power, rpm, metal.ultimate_mpa)),
        "shaft_by_fishing_rule": information(np.where(admitted, fishing, np.nan)[()]),
        "shaft_by_propeller": information(inputs.propeller_mm / inputs.limit("propeller_per_shaft")),
        "shaft_stress": at_most(stress, inputs.limit("shaft_stress") * metal.yield_mpa),
        "tip_speed": at_most(np.pi * inputs.propeller_mm / 1000.0 * rpm / 60.0, inputs.limit("tip_speed")),
        "advance_ratio": information(rules.advance_ratio(inputs.boat_speed_kn, rpm, inputs.propeller_mm)),
    }


def _class_applies(inputs: Inputs) -> bool:
    """Return whether class rules for ships are the yardstick: by waterline, or by service when it is not given."""
    length = float(np.max(np.asarray(inputs.waterline_m, dtype=float)))
    return (
        length >= inputs.limit("ship_length") if not math.isnan(length) else inputs.service in ("patrol", "passenger")
    )


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of the shaft.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), inputs, numbers(inputs))}
    >>> found["tip_speed"].measure("mm")  # pi x 0.48 m x 1300 / 60
    '32.67 m/s against at most 60 m/s'
    """
    out = []
    services = {n for n in inputs.limits if n.startswith("shaft_safety_")} - {f"shaft_safety_{inputs.service}"}
    for number in without_limits(CHECKS, *services):
        what: Words = ""
        number = number.under(inputs.limits)
        if number.code == "shaft_stress":
            number = resting_on(number, inputs.shaft)
        elif number.code == "shaft_by_power":
            number = resting_on(number, inputs.shaft)
            what = say(
                "{what}, safety {safety} for {service} service",
                what=number.meaning,
                safety=Amount(float(inputs.shaft_safety), ""),
                service=inputs.service.replace("_", " "),
            )
        elif number.code == "shaft_by_class" and not _class_applies(inputs):
            # A rule for ships is no yardstick for a boat: say the number, hold nobody to it.
            source = say("{source}, for ships; for comparison", source=number.source)
            number = replace(number, limit_is="information", source=source, advice="")
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
        text = _taper(near, ratio or (rules.TAPER_SAE if d <= 5.5 * INCH_MM else 12.0))
        off = "" if abs(near.diameter_mm - d) < 0.02 else say(" (this shaft {d})", d=mm(d))
        size = near.size if system == "metric" else f"{near.size} in"
        what = say("{where} shaft {size}{off}, {text}", where=where, size=size, off=off, text=text)
        # Only the ends of SAE J755 were read; the steps of both series between are from memory.
        standing = Standing.PUBLISHED if near.taper_length_mm is not None else Standing.MEMORY
        out.append(_end(f"shaft_end_{system}", what, near, where, standing))
    if not out:
        near, words = (
            tables.nearest_shaft(d),
            "no standard shaft of SAE J755 or ISO 4566 is {d}; the nearest is {size} ({near})",
        )
        what = say(words, d=mm(d), size=near.size, near=mm(near.diameter_mm))
        out.append(_end("shaft_end_none", what, near, "SAE J755, ISO 4566", Standing.MEMORY))
    return out


def _taper(near: tables.Shaft, ratio: float) -> Words:
    """A standard shaft's end, as far as the table holds it."""
    sizes = (near.taper_length_mm, near.small_end_min_mm, near.small_end_max_mm, near.key_width_mm)
    length, least, most, key = sizes
    if length is None or least is None or most is None or key is None:
        return say("taper {taper}", taper=Taper(ratio))
    return say(
        "taper {taper} over {length}, small end {least} to {most}, key {key} wide",
        taper=Taper(16.0),
        length=mm(length),
        least=fine_mm(least),
        most=fine_mm(most),
        key=fine_mm(key),
    )


def _end(code: str, what: Words, near: tables.Shaft, source: str, standing: Standing) -> Finding:
    actual = near.diameter_mm
    return inform(code, GROUP, what, "", "shaft.diameter", actual=actual, unit="mm", source=source, standing=standing)
