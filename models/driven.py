"""How the strut answers what turns and pulses in the running range: at shaft and blade rate, in its plane and along.

In the plane of the arms barrel, propeller and shaft are one mass on two springs square to each other, along the shaft
the barrel is one on a third. That the shaft bends and the rubber gives takes the lowest natural frequency in the plane
down to the lowest whirl of the whole: it may be anything from there to that of the strut alone, and the worst
counts. The other way it is anything from the next whirl to the stiff way of the strut on the stiffest rubber. All that
drives here goes as the square of the speed: unbalance, thrust and its pulses. The barrel runs round an ellipse of both
ways, whose longer half axis counts, and each load in its worst direction, on the safe side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from strutwright.models import frequencies, shaft_support
from strutwright.models.arrays import Num, greatest, least
from strutwright.models.formulas import response as rules
from strutwright.models.formulas.vibration import frequency_hz
from strutwright.models.inputs import Inputs
from strutwright.models.once import once

Range: TypeAlias = tuple[Num, Num]
"""From the lowest to the highest, Hz."""


@dataclass(frozen=True, slots=True, eq=False)
class Naturals:
    """What the natural frequencies of the strut may be, Hz: in the plane of the arms two, fore and aft one.

    turning: in the plane for what turns with the shaft, which meets the next whirl as well; pulses of the blades take
    across, and next_by_blades besides: the next whirl at blade rate. moving_kg: what moves in the plane, the least of
    it, which moves farthest. carried: times what the strut carries at rest, 1 or more: where the shaft bends, the
    lowest motion carries more than the whole, of which those above it take back what is over.
    """

    across: tuple[Range, Range]
    next_by_blades: Range
    turning: tuple[Range, Range]
    along: Range
    moving_kg: Num
    carried: Num


@dataclass(frozen=True, slots=True, eq=False)
class Magnified:
    """How many times its still size at full speed a load counts in the running range, at the worst speed of it.

    shaft_across: at shaft rate across the shaft; blade_across and blade_along: at blade rate, across and along it.
    """

    shaft_across: Num
    blade_across: Num
    blade_along: Num


@once
def naturals(inputs: Inputs) -> Naturals:
    """Return what the natural frequencies of the strut may be; broadcasts. Sizes not given are taken as for the loads.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> low, high = naturals(rigid).across[0]  # a hull of which nothing is known; the shaft bends and the rubber gives
    >>> round(float(low), 1), round(float(high), 1)
    (27.6, 32.7)
    """
    running = frequencies.running_share_taken_kg(inputs)
    found = frequencies.stiffness_variants(inputs)
    each = [(*v.across_hz(running), v.along_hz) for v in found]
    one, two, along = ((least(values), greatest(values)) for values in zip(*each, strict=True))
    # Backward or not: on two springs a force that turns drives that whirl too. Without a span it is nan.
    soft, stiff = shaft_support.softest(inputs), shaft_support.stiffest(inputs)
    hold, rubber = shaft_support.strut_holds(inputs)[-1], shaft_support.rubber(inputs).stiff_n_mm
    spring = shaft_support.bearing_spring(hold, rubber)
    alone = frequency_hz(spring.stiff_n_mm, spring.stiff_kg + running)

    low = soft.whirls[0]
    most = np.maximum(low.second_hz, alone)
    ways = (np.fmin(one[0], low.first_hz), one[1]), (np.fmin(two[0], low.second_hz), np.fmin(two[1], most))
    carried = np.fmax(1.0, np.fmax(soft.carried, stiff.carried))
    return Naturals(
        ((np.fmin(one[0], soft.whirls[1].first_hz), one[1]), two),
        (soft.whirls[1].second_hz, stiff.whirls[0].second_hz),
        ways,
        along,
        least([v.across_kg for v in found]) + running,
        carried,
    )


def shaft_rates_hz(inputs: Inputs) -> Range:
    """Return shaft rate at idle and at full speed, Hz; idle at its usual share where the file does not say it.

    >>> [round(float(hz), 2) for hz in shaft_rates_hz(engineering_inputs("harbour-launch"))]  # 455 and 1300 rpm
    [7.58, 21.67]
    """
    full = inputs.shaft_rpm
    idle = np.where(np.isnan(inputs.idle_rpm), inputs.limit("idle_share") * full, np.minimum(inputs.idle_rpm, full))
    return idle / 60.0, full / 60.0


@once
def magnified(inputs: Inputs) -> Magnified:
    """Return how many times its still size a load counts; broadcasts.

    The least damping that is likely, and no more than what the load does `resonance_band` below resonance: that hardly
    hangs on the damping, and nearer to resonance it is the least of what happens.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> round(float(magnified(rigid).shaft_across), 3)  # at 27.6 Hz, of which the lowest motion carries 1.06
    2.842
    """
    return _magnified(inputs, *shaft_rates_hz(inputs))


@once
def magnified_near(inputs: Inputs, speed: float) -> Magnified:
    """Return how many times its still size at a share of full speed a load counts when the boat is run at that speed or
    up to a tenth slower; broadcasts. For what goes on for hours, which no boat runs through resonance.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> round(float(magnified_near(rigid, 0.5).shaft_across), 3)  # the same
    1.254
    """
    fastest = max(speed, 1e-6) * shaft_rates_hz(inputs)[1]
    return _magnified(inputs, 0.9 * fastest, fastest)


def _magnified(inputs: Inputs, slowest: Num, fastest: Num) -> Magnified:
    known, damping, near = naturals(inputs), inputs.limit("damping_low"), inputs.limit("resonance_band")

    def worst(ranges: tuple[Range, ...], times: Num) -> Num:
        return _worst(ranges, times * slowest, times * fastest, damping, near)

    next_one = (known.across[0], known.next_by_blades)
    return Magnified(
        known.carried * worst(known.turning, 1.0),
        known.carried * np.fmax(worst(known.across, inputs.blades), worst(next_one, inputs.blades)),
        worst((known.along,), inputs.blades),
    )


def at_resonance(inputs: Inputs, damping: float) -> Num:
    """Return how many times its still size at full speed a load at shaft rate counts, resonance and all; broadcasts.

    >>> fast = engineering_inputs("harbour-launch", hull_mm=float("nan"), shaft_rpm=2000.0)
    >>> round(float(at_resonance(fast, 0.02)), 1)  # 24.1 at 1964 rpm, and the next whirl
    26.7
    """
    known = naturals(inputs)
    return known.carried * _worst(known.turning, *shaft_rates_hz(inputs), damping, 0.0)


def _worst(ranges: tuple[Range, ...], slowest: Num, fastest: Num, damping: float, near: float) -> Num:
    """The longer half axis of the ellipse of all ways, each the worst that it may be."""
    sizes, lags = [], []
    for low, high in ranges:
        natural = rules.worst_natural_hz(low, high, fastest, damping)
        sizes.append(rules.range_amplification(natural, slowest, fastest, damping, near))
        lags.append(rules.range_lag(natural, slowest, fastest, damping, near))
    return rules.longer_half(sizes[0], sizes[1], lags[0] + lags[1]) if len(sizes) > 1 else sizes[0]


def moved_mm(inputs: Inputs, force_n: Num, times: Num, damping: float) -> Num:
    """Return how far a force across the shaft that turns moves the bearing to each side, mm; broadcasts.

    force_n: at full speed. times: how often it goes round in a turn of the shaft. At the worst speed of the running
    range, resonance and all.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))  # 26.0 kg at 27.6 Hz
    >>> round(float(moved_mm(rigid, 1000.0, 1.0, 0.02)), 2)  # 1000 x 2.84 over 770
    3.69
    """
    known, (idle, full) = naturals(inputs), shaft_rates_hz(inputs)
    out, lags = [], []
    for low, high in known.turning if times == 1.0 else known.across:
        natural = rules.worst_natural_hz(low, high, times * full, damping)
        size = rules.range_amplification(natural, times * idle, times * full, damping)
        out.append(size / rules.stiffness_n_mm(natural, known.moving_kg))
        lags.append(rules.range_lag(natural, times * idle, times * full, damping))
    return force_n * known.carried * rules.longer_half(out[0], out[1], lags[0] + lags[1])


def path_mm(inputs: Inputs, force_n: float, damping: float) -> tuple[float, float]:
    """Return the half axes of the path that the bearing runs round at full speed under a force that turns with the
    shaft, mm, the longer first; each way with the natural frequency that is worst there.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> round(path_mm(rigid, 1000.0, 0.02)[0], 2)  # all but in one plane, as in `moved_mm`
    3.69
    """
    known, full = naturals(inputs), float(shaft_rates_hz(inputs)[1])
    ways = []
    for low, high in known.turning:
        natural = float(rules.worst_natural_hz(low, high, full, damping))
        ratio = full / natural
        spring = float(rules.stiffness_n_mm(natural, known.moving_kg))
        ways.append(force_n * float(known.carried) / spring / (1.0 - ratio * ratio + 2.0j * damping * ratio))
    longer, shorter = rules.orbit(ways[0], -1j * ways[1])
    return float(longer), float(shorter)


def near_shaft_rate(inputs: Inputs) -> Num:
    """Return how near shaft rate in the running range comes to a natural frequency in the plane, the lesser over the
    greater; over 1 where they may meet; broadcasts.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> round(float(near_shaft_rate(rigid)), 3)  # 21.667 / 27.4
    0.793
    """
    rates = shaft_rates_hz(inputs)
    return greatest([rules.nearness(*r, *rates) for r in naturals(inputs).turning])
