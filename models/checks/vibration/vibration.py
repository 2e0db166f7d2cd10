"""Vibration: natural frequencies of the strut and of the shaft in it, against shaft rate and blade rate. Guidance."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from strutwright.models import frequencies
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.outcome import Outcome, at_least, findings_of, inform, information, source_of
from strutwright.models.finding import Finding, Standing
from strutwright.models.formulas import vibration as rules
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Strut
from strutwright.models.vibration_map import vibration_map
from strutwright.params.words import Amount, say

GROUP = "vibration"
CHECKS = of_groups(GROUP)


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return the numbers of vibration by code; broadcasts.

    >>> off = numbers(engineering_inputs("harbour-launch"))["strut_in_plane_blade_rate"]
    >>> round(float(off.capacity), 2)  # 33.2 Hz is so much off 3 blades x 1300 / 60
    0.49
    """
    in_plane, _, fore_aft = frequencies.strut_frequencies_hz(inputs)
    bowing = frequencies.bowing_hz(inputs)
    rate = inputs.shaft_rpm / 60.0
    blade = inputs.blades * rate
    critical = 60.0 * rules.shaft_first_hz(inputs.bearing_span_mm, inputs.overhang_mm, *frequencies.shaft_line(inputs))
    out = {
        "strut_in_plane_hz": information(np.minimum(in_plane, bowing)),
        "strut_fore_aft_hz": information(fore_aft),
        "shaft_critical": at_least(critical, inputs.limit("shaft_critical") * inputs.shaft_rpm),
    }
    for code, natural, driven in (
        ("strut_in_plane_blade_rate", in_plane, blade),
        ("strut_fore_aft_blade_rate", fore_aft, blade),
        ("strut_in_plane_shaft_rate", in_plane, rate),
        ("strut_fore_aft_shaft_rate", fore_aft, rate),
    ):
        off = np.abs(natural / driven - 1.0)
        if natural is in_plane:
            off = np.minimum(off, np.abs(bowing / driven - 1.0))
        out[code] = at_least(off, np.where(np.isnan(natural), np.nan, inputs.limit("frequency_margin")))
    return out


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return the findings of vibration, and where in the running range something is met.

    >>> inputs = engineering_inputs("harbour-launch")
    >>> found = findings(shipped("harbour-launch"), inputs, numbers(inputs))
    >>> [f.measure("mm") for f in found if f.code == "resonance_in_range"]  # 33.0 and 39.3 Hz x 60 / 3 blades
    ['660.7 rpm', '785.2 rpm']
    """
    out = findings_of(CHECKS, numbers_, inputs)
    found = vibration_map(strut, inputs.limits)
    follows = ["propeller_entrained", "propeller_gyration"]
    if math.isnan(float(inputs.idle_rpm)):
        follows.append("idle_share")
    if found is not None:
        for c in found.crossings:
            if c.inside and c.rpm < 0.999 * found.high_rpm:
                out.append(
                    inform(
                        "resonance_in_range",
                        GROUP,
                        say(
                            "speed in the running range at which {excitation} meets the {natural} of {mode}",
                            mode=c.mode,
                            natural=Amount(c.natural_hz, "Hz"),
                            excitation=c.excitation,
                        ),
                        "feel for it at the sea trial; do not linger there",
                        "duty.shaft_speed",
                        actual=c.rpm,
                        unit="rpm",
                        source=source_of("six-way frame and beam elements", inputs, *follows),
                        standing=Standing.MEMORY,
                    )
                )
    return out
