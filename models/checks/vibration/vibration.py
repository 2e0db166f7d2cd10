"""Vibration: natural frequencies of the strut and of the shaft in it, against shaft rate and blade rate. Guidance."""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strutwright.models import frequencies, shaft_support
from strutwright.models.arrays import Num
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.hull_words import HULL_ENDS, HULL_LIMITS, limits_unused, ranged
from strutwright.models.checks.outcome import Outcome, at_least, inform, information, source_of
from strutwright.models.checks.vibration import whirl
from strutwright.models.finding import Finding, Standing, Verdict
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.models.vibration_map import Crossing, VibrationMap, vibration_map
from strutwright.params.words import Amount, say

GROUP = "vibration"
CHECKS = of_groups(GROUP)
_OF_SHAFT = ("propeller_entrained_polar", "propeller_entrained_diametral", *shaft_support.OF_RUBBER)
"""Limits that the whirls of the shaft follow beside those of the strut."""

_RANGES = ("strut_in_plane_hz", "strut_fore_aft_hz")
_BY_BLADES = "strut_in_plane_blade_rate"
_RATES = {
    "strut_in_plane_blade_rate": ("strut_in_plane_hz", "blade rate"),
    "strut_fore_aft_blade_rate": ("strut_fore_aft_hz", "blade rate"),
    "strut_in_plane_shaft_rate": ("strut_in_plane_hz", "shaft rate"),
    "strut_fore_aft_shaft_rate": ("strut_fore_aft_hz", "shaft rate"),
}
_ON_FLANGE = replace(
    next(c for c in CHECKS if c.code == "shaft_critical"),
    parameter="flange.outline",
    advice="spread the fasteners (bolts.pattern, flange.outline), thicken flange.thickness, shorten propeller.hub_gap, "
    "ask the maker for bearing.stiffness, or run the shaft slower; bearings nearer together (shaft.bearing_span) or a "
    "larger shaft.diameter help only where the shaft bends more than the flange gives",
    source="shaft on springs with gyroscopic effect, base and rubber at their softest; 20 % over full speed from "
    "memory, textbooks seek twice; rubber, water and base by estimates of low confidence",
)
_LET_IN = replace(
    _ON_FLANGE,
    parameter="shaft.bearing_span",
    advice="bring the bearings nearer together (shaft.bearing_span), shorten propeller.hub_gap, ask the maker for "
    "bearing.stiffness, or run the shaft slower; a larger shaft.diameter helps too",
)
_OF_HOUSING = {"flanged_housing": _ON_FLANGE, "let_in_housing": _LET_IN}
"""The check of the shaft's critical speed by what holds the barrel."""


def _ranges_hz(inputs: Inputs) -> dict[str, tuple[Num, Num]]:
    """The strut's lowest frequencies, from soft to stiff hull."""
    found = [frequencies.strut_frequencies_hz(inputs, end) for end in HULL_ENDS]
    bows = [frequencies.bowing_hz(inputs, end) for end in HULL_ENDS]
    plane = [np.minimum(f[0], bow) for f, bow in zip(found, bows, strict=True)]
    return {"strut_in_plane_hz": (plane[0], plane[1]), "strut_fore_aft_hz": (found[0][2], found[1][2])}


def _whirls_hz(inputs: Inputs) -> tuple[tuple[Num, Num], ...]:
    """The shaft's lowest two whirls that the blades drive, each from the softest to the stiffest that is likely."""
    soft, stiff = (found(inputs).whirls[-1] for found in (shaft_support.softest, shaft_support.stiffest))
    return (soft.first_hz, stiff.first_hz), (soft.second_hz, stiff.second_hz)


def _met_by_blades_hz(inputs: Inputs, lowest: tuple[Num, Num]) -> tuple[tuple[Num, Num], ...]:
    """What the blades may shake in the plane of the arms: the strut both ways, and the shaft's lowest two whirls."""
    soft, stiff = (frequencies.strut_frequencies_hz(inputs, end)[1] for end in HULL_ENDS)
    return lowest, (soft, stiff), *_whirls_hz(inputs)


def off_rate(low_hz: Num, high_hz: Num, driven_hz: Num) -> Num:
    """Return how far a range of frequencies keeps off one, as a share of that; 0 where it lies within; broadcasts.

    >>> float(off_rate(20.0, 24.0, 32.0)), float(off_rate(20.0, 33.0, 32.0))
    (0.25, 0.0)
    """
    off: Num = np.maximum(np.maximum(low_hz / driven_hz - 1.0, 1.0 - high_hz / driven_hz), 0.0)
    return off


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of vibration by code; broadcasts. A frequency is that of the soft hull; how far off an
    excitation it keeps, the least over the hull's range; off blade rate in the plane, the strut both ways and the
    shaft's lowest two whirls. Of a flanged housing the shaft's critical speed alone.

    >>> off = numbers(engineering_inputs("harbour-launch"))["strut_in_plane_blade_rate"]
    >>> round(float(off.capacity), 2)  # the next whirl, 36.9 Hz, is so much off 3 blades x 1300 / 60
    0.43
    """
    if inputs.family in _OF_HOUSING:
        return {"shaft_critical": whirl.outcome(inputs)}
    ranges = _ranges_hz(inputs)
    rate = inputs.shaft_rpm / 60.0
    driven = {"shaft rate": rate, "blade rate": inputs.blades * rate}
    out = {**{code: information(ranges[code][0]) for code in _RANGES}, "shaft_critical": whirl.outcome(inputs)}
    for code, (which, by) in _RATES.items():
        low, high = ranges[which]
        met = _met_by_blades_hz(inputs, (low, high)) if code == _BY_BLADES else ((low, high),)
        off = functools.reduce(np.fmin, (off_rate(*hz, driven[by]) for hz in met))
        out[code] = at_least(off, np.where(np.isnan(low), np.nan, inputs.limit("frequency_margin")))
    return out


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of vibration, and where in the running range something is met.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = findings(shipped("harbour-launch"), inputs, numbers(inputs))
    >>> [f.measure("mm") for f in found if f.code == "resonance_in_range"]  # athwart and whirls, by the blades
    ['529.8 rpm', '612 rpm', '737.9 rpm', '865.8 rpm', '1296 rpm']
    """
    if inputs.family in _OF_HOUSING:
        return [whirl.finding(_OF_HOUSING[inputs.family], numbers_["shaft_critical"], inputs)]
    ranges, out = _ranges_hz(inputs), []
    for check in CHECKS:
        if check.code == "shaft_critical":
            out.append(whirl.finding(check, numbers_[check.code], inputs))
            continue
        name = check.code if check.code in _RANGES else _RATES[check.code][0]
        low, high = (float(hz) for hz in ranges[name])
        made = ranged(check, numbers_[check.code], inputs, low, high, "Hz")
        out.append(_with_whirls(made, inputs) if check.code == _BY_BLADES else made)
    found = vibration_map(strut, inputs.limits)
    if found is not None:
        met = (c for c in found.crossings if c.inside and c.low_rpm < 0.999 * found.high_rpm)
        out += [_met(c, found, inputs) for c in met]
    return out


def _with_whirls(made: Finding, inputs: Inputs) -> Finding:
    """The finding of blade rate in the plane, with where the shaft's whirls lie."""
    hz = [float(end) for whirl_hz in _whirls_hz(inputs) for end in whirl_hz]
    if made.verdict is Verdict.NOT_CHECKED or not all(map(math.isfinite, hz)):
        return made
    first, up_to, second, last = (Amount(end, "Hz") for end in hz)
    words = "{what}; whirls of shaft and strut {first} to {up_to} and {second} to {last} as the blades drive them"
    return replace(made, what=say(words, what=made.what, first=first, up_to=up_to, second=second, last=last))


def _met(c: Crossing, found: VibrationMap, inputs: Inputs) -> Finding:
    """Where in the running range an excitation meets a mode."""
    first, last = max(c.low_rpm, found.low_rpm), min(c.high_rpm, found.high_rpm)
    words = "speed in the running range at which {excitation} meets the {natural} of {mode}"
    if c.high_rpm > 1.001 * c.low_rpm:
        words = (
            "speed in the running range from which on to {last} {excitation} may meet {mode}, "
            "{natural} to {high} by how stiff {gives}"
        )
    what = say(
        words,
        mode=c.mode.name,
        natural=Amount(c.low_hz, "Hz"),
        high=Amount(c.high_hz, "Hz"),
        last=Amount(last, "rpm"),
        excitation=c.excitation,
        gives="the hull is" if c.mode.of == "strut" else "hull and bearing are",
    )
    unused = limits_unused(inputs)
    follows = ["propeller_entrained", "propeller_gyration", *(n for n in HULL_LIMITS if n not in unused)]
    follows += ["idle_share"] if math.isnan(float(inputs.idle_rpm)) else []
    follows += _OF_SHAFT if c.mode.of == "shaft" else ()
    return inform(
        "resonance_in_range",
        GROUP,
        what,
        "feel for it at the sea trial; do not linger there",
        "duty.shaft_speed",
        actual=first,
        unit="rpm",
        source=source_of("six-way frame and beam elements", inputs, *follows),
        standing=Standing.MEMORY,
    )
