"""Water past the arms: vortices and what they may shake, cavitation, drag. Information, with how far it may be off."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from strutwright.models import frequencies
from strutwright.models.arrays import Num, greatest, least
from strutwright.models.checks.check import of_groups
from strutwright.models.checks.hull_words import HULL_ENDS
from strutwright.models.checks.outcome import Outcome, at_least, finding_of, information
from strutwright.models.checks.strength import load_cases
from strutwright.models.checks.vibration.vibration import off_rate
from strutwright.models.finding import Finding
from strutwright.models.formulas import drag
from strutwright.models.formulas import flow as rules
from strutwright.models.input_parts import ArmInputs
from strutwright.models.inputs import Inputs
from strutwright.models.sections import kind_of
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.quantity import KNOT_M_S
from strutwright.params.words import Amount, Words, say

GROUP = "flow"
CHECKS = of_groups(GROUP)
SIGMA_OFF = 0.30
"""How far the stream of the propeller, wake and roughness may move the cavitation number; low confidence."""
_USUAL, _LEAST, _MOST = 2, 0, 4
"""Incidences in degrees: by toe, and by the lie of the stream under the hull."""


def numbers(inputs: Inputs) -> dict[str, Outcome]:
    """Return rates, speeds and drag of the arms by code; broadcasts.

    >>> launch = numbers(engineering_inputs("harbour-launch"))
    >>> round(float(launch["arm_shedding"].demand), 1)  # an ellipse 22 to 27 thick at 9 kn: 0.20 x 4.63 / 0.0245
    37.8
    """
    speed = inputs.boat_speed_kn * KNOT_M_S
    soft, stiff = (
        np.minimum(frequencies.strut_frequencies_hz(inputs, end)[0], frequencies.bowing_hz(inputs, end))
        for end in HULL_ENDS
    )
    usual = shedding_hz(inputs)[1]
    off = off_rate(soft, stiff, usual)
    held = np.where(np.isnan(off), np.nan, inputs.limit("lock_in"))
    pulls = drag_n(inputs, speed)
    return {
        "arm_shedding": information(usual),
        "arm_lock_in": at_least(off, held),
        "arm_lock_in_speed": information(soft / usual * inputs.boat_speed_kn),
        "arm_cavitation": information(inception_kn(inputs, _USUAL)),
        "arm_drag": information(pulls),
        "arm_drag_share": information(100.0 * pulls / load_cases.thrust_n(inputs)),
    }


def shedding_hz(inputs: Inputs) -> tuple[Num, Num, Num]:
    """Return the least, the usual and the greatest rate at which an arm sheds vortices at boat speed, Hz; broadcasts.

    Of arms that differ, and of their two ends: the least of all and the greatest.

    >>> [round(float(hz), 1) for hz in shedding_hz(engineering_inputs("harbour-launch"))]
    [30.9, 37.8, 105.2]
    """
    speed = inputs.boat_speed_kn * KNOT_M_S
    ends = [(_strouhal(arm), h) for arm in inputs.arms for h in _heights_mm(arm, speed)]
    middle = [(st, (h + g) / 2.0) for (st, h), (_, g) in zip(ends[::2], ends[1::2], strict=True)]
    return (
        least([rules.shedding_hz(st.low, speed, h) for st, h in ends]),
        least([rules.shedding_hz(st.usual, speed, h) for st, h in middle]),
        greatest([rules.shedding_hz(st.high, speed, h) for st, h in ends]),
    )


def _strouhal(arm: ArmInputs) -> rules.Range:
    if kind_of(arm.shape).thin_edges:
        return rules.TAIL
    return rules.ELLIPSE if arm.shape == "ellipse" else rules.ROUND


def _heights_mm(arm: ArmInputs, speed_m_s: Num) -> tuple[Num, Num]:
    """What makes the vortices at barrel and palm: the thickness, or of a thin tail its own and both boundary layers."""
    ends = ((arm.chord_barrel_mm, arm.thickness_barrel_mm), (arm.chord_palm_mm, arm.thickness_palm_mm))
    if not kind_of(arm.shape).thin_edges:
        return ends[0][1], ends[1][1]
    (first, second) = (2.0 * arm.edge_radius_mm + 2.0 * rules.displacement_mm(speed_m_s, c) for c, _ in ends)
    return first, second


def inception_kn(inputs: Inputs, incidence_deg: int) -> Num:
    """Return the speed (kn) from which an arm cavitates at an incidence of 0, 2 or 4 degrees, lowest of all.

    At half the drop below the surface, as though the hull's face were the surface.

    >>> round(float(inception_kn(engineering_inputs("harbour-launch"), 0)), 1)
    36.8
    """
    suction = greatest(
        [
            np.interp(thickness / chord, *tables.section_suction(arm.shape, incidence_deg))
            for arm in inputs.arms
            for chord, thickness in (
                (arm.chord_barrel_mm, arm.thickness_barrel_mm),
                (arm.chord_palm_mm, arm.thickness_palm_mm),
            )
        ]
    )
    return rules.inception_kn(suction, inputs.drop_mm / 2000.0)


def drag_n(inputs: Inputs, speed_m_s: Num) -> Num:
    """Return the drag of the arms in the water with their ends, N, at a speed; broadcasts.

    Of an arm's middle section along its length from barrel to palm, whatever its rake.

    >>> round(float(drag_n(engineering_inputs("harbour-launch"), 4.63)), 2)
    9.82
    """
    total: Num = 0.0
    for arm in inputs.arms:
        chord = (arm.chord_barrel_mm + arm.chord_palm_mm) / 2.0
        thickness = (arm.thickness_barrel_mm + arm.thickness_palm_mm) / 2.0
        total = total + drag.section_n_mm(arm.shape, chord, thickness, speed_m_s) * (arm.water_mm - arm.start_mm)
        total = total + drag.junction_n(arm.chord_barrel_mm, arm.thickness_barrel_mm, speed_m_s)
        total = total + drag.junction_n(arm.chord_palm_mm, arm.thickness_palm_mm, speed_m_s)
    return total


def findings(strut: Strut, inputs: Inputs, numbers_: Mapping[str, Outcome]) -> list[Finding]:
    """Return what there is to say of the water past the arms, with how far it may be off.

    >>> launch = engineering_inputs("harbour-launch")
    >>> found = {f.code: f for f in findings(shipped("harbour-launch"), launch, numbers(launch))}
    >>> str(found["arm_shedding"].what)
    'rate at which an arm sheds vortices at boat speed (30.9 Hz to 105.2 Hz)'
    """
    spread = {"arm_shedding": _between(*shedding_hz(inputs)[::2], "Hz"), "arm_cavitation": _cavitates(inputs)}
    out = []
    for check in CHECKS:
        outcome = numbers_[check.code]
        known = check.code in spread and not math.isnan(outcome.demand)
        what = say("{what} ({spread})", what=check.meaning, spread=spread[check.code]) if known else ""
        out.append(finding_of(check, outcome, inputs, what=what))
    return out


def _between(low: Num, high: Num, unit: str) -> Words:
    return say("{low} to {high}", low=Amount(float(low), unit), high=Amount(float(high), unit))


def _cavitates(inputs: Inputs) -> Words:
    """From that at 4 degrees, with a cavitation number that much lower, to that at none with one as much higher."""
    low = inception_kn(inputs, _MOST) * math.sqrt(1.0 - SIGMA_OFF)
    return _between(low, inception_kn(inputs, _LEAST) * math.sqrt(1.0 + SIGMA_OFF), "kn")
