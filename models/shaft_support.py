"""The propeller shaft on what gives under it: hull, the strut's arms and the bearing's rubber in series, rigid forward.

Square to the shaft the strut is softer one way than the other; the shaft itself is alike all round, so that these two
planes serve as its x and y. The rubber gives alike all round. Bearings do not resist tilting: a long one does, which
makes true speeds higher.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from strutwright.models import frequencies
from strutwright.models.arrays import Num
from strutwright.models.formulas import bearing, rotor
from strutwright.models.formulas import loads as statics
from strutwright.models.formulas import shaft as shafts
from strutwright.models.formulas.shaft_line import Line, bend
from strutwright.models.formulas.vibration import frequency_hz
from strutwright.models.formulas.whirl import BearingSpring, Overhung, Shaken, shaken
from strutwright.models.inputs import WATER_KG_M3, Inputs
from strutwright.models.once import once

OF_RUBBER = ("rubber_modulus", "rubber_range")
"""Limits by which the stiffness of a bearing's rubber is estimated."""
OF_WHIRL = ("propeller_gyration", "propeller_entrained", "propeller_entrained_diametral", "propeller_entrained_polar")
"""Limits by which the propeller's inertia and that of its water are estimated."""


class Hold(NamedTuple):
    """What holds the barrel square to the shaft: its least and its greatest stiffness, N/mm, and the mass of strut and
    water that moves with it, kg, without shaft and propeller."""

    soft_n_mm: Num
    stiff_n_mm: Num
    kg: Num


def strut_holds(inputs: Inputs) -> tuple[Hold, ...]:
    """Return how hull and strut hold the bearing, from the soft to the stiff hull; a rigid one where it is not known;
    broadcasts.

    >>> [round(float(hold.soft_n_mm), -1) for hold in strut_holds(engineering_inputs("harbour-launch"))]  # rigid 1100
    [970.0, 1090.0]
    """
    return tuple(Hold(*held.across_n_mm, held.across_kg) for held in frequencies.stiffness_variants(inputs))


class Rubber(NamedTuple):
    """Stiffness of the bearing's rubber, N/mm: the softest and the stiffest that is likely."""

    soft_n_mm: Num
    stiff_n_mm: Num


def rubber(inputs: Inputs) -> Rubber:
    """Return the stiffness of all the rubber in the barrel across the shaft; as said, or a range; broadcasts.

    >>> launch = engineering_inputs("harbour-launch", bearing_spring_n_mm=math.nan)
    >>> [round(float(k), -2) for k in rubber(launch)]  # 4.45 thick, 8 lands of 8.3 by 140
    [2100.0, 8600.0]
    """
    layer = bearing.rubber_thickness_mm(inputs.bearing_outside_mm, inputs.shell_mm, inputs.bearing_inside_mm)
    guess = bearing.rubber_stiffness_n_mm(
        layer,
        inputs.bearing_inside_mm,
        inputs.flute_count,
        inputs.flute_width_mm,
        inputs.bearing_total_mm,
        inputs.limit("rubber_modulus"),
    )
    if not rubber_assumed(inputs):
        return Rubber(inputs.bearing_spring_n_mm, inputs.bearing_spring_n_mm)
    apart = max(inputs.limit("rubber_range"), 1.0)
    return Rubber(guess / apart, guess * apart)


def rubber_assumed(inputs: Inputs) -> bool:
    """Return whether the file does not say how stiff the bearing's rubber is.

    >>> rubber_assumed(engineering_inputs("harbour-launch")), rubber_assumed(engineering_inputs("canal-tender"))
    (False, True)
    """
    return bool(np.all(np.isnan(inputs.bearing_spring_n_mm)))


def line_of(inputs: Inputs) -> Line:
    """Return the shaft on its bearings, from the foremost aft; broadcasts; nan when not known.

    >>> launch = line_of(engineering_inputs("harbour-launch"))
    >>> launch.spans_mm, launch.aft_mm, round(launch.aft_n, 1)  # 11 kg
    ((1100.0,), 135.0, 107.9)
    """
    places = [(0.0, 0.0), (inputs.bearing_span_mm, inputs.bearing_offset_mm), *inputs.more_bearings_mm][::-1]
    known = not np.isnan(inputs.coupling_at_mm)
    return Line(
        spans_mm=tuple(front - back for (front, _), (back, _) in pairwise(places)),
        heights_mm=tuple(height for _, height in places),
        weight_n_mm=shafts.weight_n_per_mm(inputs.shaft_mm, inputs.shaft.density_kg_m3),
        stiffness_nmm2=inputs.shaft.modulus_mpa * np.pi / 64.0 * inputs.shaft_mm**4,
        aft_mm=inputs.overhang_mm,
        aft_n=statics.weight_n(inputs.propeller_kg),
        forward_mm=inputs.coupling_at_mm - places[0][0] if known else 0.0,
        forward_n=statics.weight_n(inputs.coupling_kg) if known else 0.0,
    )


def bearing_load_n(inputs: Inputs) -> Num:
    """Return what the strut bearing carries of shaft and propeller (N, in air), down or up; broadcasts; nan unknown.

    The worst of what gives: a strut bearing that sinks carries less, so it stands still; the next one forward is rigid
    or gives as the softest rubber of the strut's, which brings more aft. On two bearings nothing hangs on it.

    >>> round(float(bearing_load_n(engineering_inputs("harbour-launch"))), 1)  # (107.9 x 1235 + 93.2 x 617.5) / 1100
    173.4
    """
    return _carried_n(line_of(inputs), rubber(inputs).soft_n_mm)


def _carried_n(line: Line, next_n_mm: Num) -> Num:
    """What the strut bearing carries at worst, the next one rigid or on a spring."""
    rigid = bend(line).loads_n
    if len(rigid) == 2:
        return np.abs(rigid[-1])
    *others, beside, strut = line.heights_mm
    raised = bend(replace(line, heights_mm=(*others, beside + 1.0, strut))).loads_n
    down = rigid[-2] / (next_n_mm + raised[-2] - rigid[-2])
    return np.maximum(np.abs(rigid[-1]), np.abs(rigid[-1] - down * (raised[-1] - rigid[-1])))


def carried_from_hub_n(inputs: Inputs, hub_mm: Num) -> tuple[Num, Num]:
    """Return what the strut carries of shaft and propeller at worst (N, in air), and of a newton across at the hub.

    The hub stands so far aft of where the bearing carries. On all bearings that are known, else on two as the loads
    take them.

    Of the newton it carries most where all bearings are rigid. Broadcasts; nan not known.

    >>> launch = engineering_inputs("harbour-launch")
    >>> round(float(carried_from_hub_n(launch, 111.667)[1]), 4)  # 1211.667 / 1100
    1.1015
    >>> middle = replace(launch, more_bearings_mm=((2200.0, 0.0),))
    >>> round(float(carried_from_hub_n(middle, 111.667)[1]), 4)  # 1 + 5 / 4 x 111.667 / 1100
    1.1269
    """
    known = replace(line_of(inputs), aft_mm=hub_mm, forward_mm=0.0, forward_n=0.0)
    span = inputs.bearing_span_taken_mm
    two = statics.overhung_reactions(span, hub_mm, known.aft_n, known.weight_n_mm).strut_n, (span + hub_mm) / span
    if not inputs.more_bearings_mm:
        return two
    straight = tuple(0.0 for _ in known.heights_mm)
    newton = bend(replace(known, weight_n_mm=0.0 * known.weight_n_mm, aft_n=1.0, heights_mm=straight)).loads_n[-1]
    return np.fmax(two[0], _carried_n(known, rubber(inputs).soft_n_mm)), np.fmax(two[1], newton)


@dataclass(frozen=True, slots=True)
class _Propeller:
    """The propeller with its water: kg, and inertia about a diameter and about the shaft, kg mm2."""

    kg: Num
    diametral_kg_mm2: Num
    polar_kg_mm2: Num


def _propeller(inputs: Inputs) -> _Propeller:
    """A flat disc of the propeller's mass with its radius of gyration, and the water with it."""
    polar = inputs.propeller_kg * (inputs.limit("propeller_gyration") * inputs.propeller_mm) ** 2
    return _Propeller(
        inputs.limit("propeller_entrained") * inputs.propeller_kg,
        inputs.limit("propeller_entrained_diametral") * polar / 2.0,
        inputs.limit("propeller_entrained_polar") * polar,
    )


@once
def overhung(inputs: Inputs) -> Overhung:
    """Return shaft and propeller, water with them, from the next bearing forward aft; broadcasts; nan when not known.

    >>> tender = overhung(engineering_inputs("canal-tender"))
    >>> round(tender.line_kg_mm, 6), tender.propeller_kg  # pi / 4 x 20^2 x 8825e-9; 1.25 x 2.5
    (0.002772, 3.125)
    >>> round(tender.polar_kg_mm2, 1)  # 3.125 x (0.23 x 280)^2
    12960.5
    """
    tip = _propeller(inputs)
    return Overhung(
        span_mm=inputs.bearing_span_mm,
        overhang_mm=inputs.overhang_mm,
        diameter_mm=inputs.shaft_mm,
        line_kg_mm=math.pi / 4.0 * inputs.shaft_mm**2 * (inputs.shaft.density_kg_m3 + WATER_KG_M3) * 1e-9,
        youngs_mpa=inputs.shaft.modulus_mpa,
        propeller_kg=tip.kg,
        diametral_kg_mm2=tip.diametral_kg_mm2,
        polar_kg_mm2=tip.polar_kg_mm2,
    )


def bearing_spring(hold: Hold, rubber_n_mm: Num) -> BearingSpring:
    """Return strut and rubber in series; the strut's mass goes along as far as the strut gives; broadcasts.

    >>> spring = bearing_spring(Hold(1000.0, 3000.0, 4.0), 1000.0)
    >>> spring.soft_n_mm, spring.stiff_n_mm, spring.soft_kg, spring.stiff_kg
    (500.0, 750.0, 1.0, 0.25)
    """
    soft, stiff = (1.0 / (1.0 / k + 1.0 / rubber_n_mm) for k in (hold.soft_n_mm, hold.stiff_n_mm))
    return BearingSpring(soft, stiff, hold.kg * (soft / hold.soft_n_mm) ** 2, hold.kg * (stiff / hold.stiff_n_mm) ** 2)


def shaken_on(inputs: Inputs, hold: Hold, rubber_n_mm: Num, *times_a_turn: Num) -> Shaken:
    """Return how the shaft on hull, strut and rubber answers what drives it so many times a turn; broadcasts; nan where
    the span is not known.

    >>> launch = engineering_inputs("harbour-launch")
    >>> found = shaken_on(launch, strut_holds(launch)[-1], rubber(launch).stiff_n_mm, 1.0)
    >>> round(60.0 * float(found.whirls[0].first_hz))
    1633
    """
    spring, running = bearing_spring(hold, rubber_n_mm), frequencies.running_share_kg(inputs)
    # Between rubber and arms the barrel shakes more than at rest, the faster the more: as at the most that a shaft that
    # does not bend whirls at. So much more of its mass goes along, and so much more the arms carry.
    soft, stiff = (
        1.0 / (1.0 - np.minimum(hold.kg * k / ((kg + running) * (behind + rubber_n_mm)), 0.5))
        for k, kg, behind in (
            (spring.soft_n_mm, spring.soft_kg, hold.soft_n_mm),
            (spring.stiff_n_mm, spring.stiff_kg, hold.stiff_n_mm),
        )
    )
    spring = replace(spring, soft_kg=spring.soft_kg * soft, stiff_kg=spring.stiff_kg * stiff)
    found = shaken(overhung(inputs), spring, times_a_turn)
    # The barrel's own way between rubber and arms takes that back, and brings down the lowest of what lies above the
    # first no more than this (Dunkerley).
    higher = [
        replace(
            one,
            part=one.part * more + more - 1.0,
            second_s2=one.second_s2 + 1.0 / frequency_hz(behind + rubber_n_mm, hold.kg) ** 2,
        )
        for one, more, behind in zip(found.higher, (soft, stiff), (hold.soft_n_mm, hold.stiff_n_mm), strict=True)
    ]
    return Shaken(found.whirls, found.carried * np.maximum(soft, stiff), (higher[0], higher[1]))


def softest_spring(inputs: Inputs) -> BearingSpring:
    """Return strut and rubber in series at the softest that is likely; broadcasts.

    >>> round(float(softest_spring(engineering_inputs("harbour-launch")).soft_n_mm))  # 970 and 4500
    798
    """
    return bearing_spring(strut_holds(inputs)[0], rubber(inputs).soft_n_mm)


def stiffest_spring(inputs: Inputs) -> BearingSpring:
    """Return strut and rubber in series at the stiffest that is likely; broadcasts.

    >>> round(float(stiffest_spring(engineering_inputs("harbour-launch")).soft_n_mm))  # 1090 and 4500
    875
    """
    return bearing_spring(strut_holds(inputs)[-1], rubber(inputs).stiff_n_mm)


@once
def softest(inputs: Inputs) -> Shaken:
    """Return it on the softest hull and rubber that are likely, at shaft rate and at blade rate; broadcasts; kept for
    the last inputs.

    >>> round(60.0 * float(softest(engineering_inputs("harbour-launch")).whirls[0].first_hz))
    1577
    """
    return shaken_on(inputs, strut_holds(inputs)[0], rubber(inputs).soft_n_mm, 1.0, inputs.blades)


@once
def stiffest(inputs: Inputs) -> Shaken:
    """Return it on the stiffest hull and rubber that are likely, at blade rate; broadcasts; kept with the inputs.

    >>> round(60.0 * float(stiffest(engineering_inputs("harbour-launch")).whirls[0].first_hz) / 3.0)
    550
    """
    return shaken_on(inputs, strut_holds(inputs)[-1], rubber(inputs).stiff_n_mm, inputs.blades)


def forward_spans_hz(inputs: Inputs) -> Num:
    """Return the lowest frequency of the shaft's spans forward of the next bearing, Hz, each as if it ended there;
    broadcasts; inf where there are none.

    That it runs on over its bearings makes it stiffer: on the safe side. Half a wave, pi / 2 l2 root(E I / m).

    >>> launch = replace(engineering_inputs("harbour-launch"), more_bearings_mm=((2100.0, 0.0), (4100.0, 0.0)))
    >>> round(float(forward_spans_hz(launch)), 2)  # of 1000 and of 2000 mm
    15.88
    """
    shaft = overhung(inputs)
    places = [inputs.bearing_span_mm, *(at for at, _ in inputs.more_bearings_mm)]
    lowest: Num = math.inf
    for back, front in pairwise(places):
        span = front - back
        bending = (
            shaft.youngs_mpa * math.pi / 64.0 * shaft.diameter_mm**4 / (1.0 + 2.4 * (shaft.diameter_mm / span) ** 2)
        )
        lowest = np.minimum(lowest, frequency_hz(math.pi**4 * bending / span**3, shaft.line_kg_mm * span))
    return lowest


def shaft_rotor(inputs: Inputs, hold: Hold, rubber_n_mm: float, modes: int = 12) -> rotor.Rotor:
    """Return the shaft of one strut by beam elements: pinned forward, the barrel's mass between rubber and arms.

    >>> launch = engineering_inputs("harbour-launch", hull_mm=math.nan)  # on a rigid hull
    >>> found = rotor.critical_speeds(shaft_rotor(launch, strut_holds(launch)[0], 4277.6))
    >>> round(found[0][0]), round(found[0][1].forward, 2)
    (1636, 0.44)
    """
    shaft = overhung(inputs)
    span, whole = float(shaft.span_mm), float(shaft.span_mm + shaft.overhang_mm)
    diameter = float(shaft.diameter_mm)
    line = rotor.Shaft(
        length_mm=whole,
        diameter_mm=diameter,
        youngs_mpa=float(shaft.youngs_mpa),
        density_kg_m3=float(inputs.shaft.density_kg_m3),
        water_kg_mm=math.pi / 4.0 * diameter**2 * WATER_KG_M3 * 1e-9,
    )
    housing = rotor.Housing(float(hold.kg), float(hold.soft_n_mm), float(hold.stiff_n_mm))
    bearings = [rotor.Bearing(0.0), rotor.Bearing(span, rubber_n_mm, rubber_n_mm, housing=housing)]
    tip = rotor.Disc(whole, float(shaft.propeller_kg), float(shaft.diametral_kg_mm2), float(shaft.polar_kg_mm2))
    return rotor.rotor(line, bearings, [tip], modes=modes)
