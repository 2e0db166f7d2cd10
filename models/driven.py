"""How the strut answers what turns and pulses in the running range: at shaft and blade rate, in its plane and along.

In the plane of the arms barrel, propeller and shaft are one mass on two springs square to each other, along the shaft
the barrel is one on a third. That the shaft bends and the rubber gives takes the lowest natural frequency in the plane
down to the lowest whirl of the whole: it may be anything from there to that of the strut alone, and the worst
counts. The other way it is anything from the next whirl to the stiff way of the strut on the stiffest rubber. Pulses of
the blades meet the whirls alone, where the shaft is known. What lies above the lowest of either way carries a part of
its own, which counts as if it could resonate at any speed from there on. All that drives here goes as the square of
speed: unbalance, thrust and its pulses. The barrel runs round an ellipse of both ways, whose longer half axis counts,
and each load in its worst direction, on the safe side.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from strutwright.models import frequencies, shaft_support
from strutwright.models.arrays import Num, greatest, least
from strutwright.models.formulas import response as rules
from strutwright.models.formulas.vibration import frequency_hz
from strutwright.models.formulas.whirl import BearingSpring, Shaken
from strutwright.models.inputs import Inputs
from strutwright.models.once import once

_NOWHERE_HZ = 1e9
"""Where what lies above the lowest is put when the shaft is not known."""
Range: TypeAlias = tuple[Num, Num]
"""From the lowest to the highest, Hz."""


@dataclass(frozen=True, slots=True, eq=False)
class Further:
    """What lies above the lowest in one way, from the soft to the stiff seat: above which frequencies, Hz, what that
    carries over the whole at rest, and how far the bearing moves by it, mm/N."""

    from_hz: Range
    part: Range
    moved_mm_n: Range


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """What may resonate in the plane for what drives so many times a turn.

    lowest: natural frequencies, Hz, of two ways square to each other. further: what lies above those, in either way.
    """

    lowest: tuple[Range, Range]
    further: tuple[Further, Further]


@dataclass(frozen=True, slots=True, eq=False)
class Naturals:
    """What the natural frequencies of the strut may be, Hz: in the plane of the arms two, fore and aft one.

    turning: in the plane, for what turns with the shaft. pulsing: for the pulses of the blades. moving_kg: what moves
    in the plane, the least of it, which moves farthest. carried: times what the strut carries at rest, 1 or more: where
    the shaft bends, the lowest motion carries more than the whole, of which those above it take back what is over.
    """

    turning: Ways
    pulsing: Ways
    along: Range
    moving_kg: Num
    carried: Num

    def ways(self, times: Num) -> Ways:
        """Return what may resonate in the plane for what drives so many times a turn, once or as often as blades."""
        return self.turning if isinstance(times, float) and times == 1.0 else self.pulsing


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
    >>> low, high = naturals(rigid).turning.lowest[0]  # nothing known of the hull; the shaft bends, the rubber gives
    >>> round(float(low), 1), round(float(high), 1)
    (27.3, 32.7)
    """
    running = frequencies.running_share_taken_kg(inputs)
    found = frequencies.stiffness_variants(inputs)
    each = [(*v.across_hz(running), v.along_hz) for v in found]
    one, two, along = ((least(values), greatest(values)) for values in zip(*each, strict=True))
    # Backward or not: on two springs a force that turns drives that whirl too. Without a span it is nan.
    soft, stiff = shaft_support.softest(inputs), shaft_support.stiffest(inputs)
    springs = shaft_support.softest_spring(inputs), shaft_support.stiffest_spring(inputs)
    alone = frequency_hz(springs[1].stiff_n_mm, springs[1].stiff_kg + running)

    low, blades = soft.whirls
    most = np.maximum(low.second_hz, alone)
    turning = (np.fmin(one[0], low.first_hz), one[1]), (np.fmin(two[0], low.second_hz), np.fmin(two[1], most))
    known = ~np.isnan(blades.first_hz)
    fast = stiff.whirls[0]
    up_to = [np.fmax(hz, w.lowest_hz) for hz, w in zip((fast.first_hz, fast.second_hz), stiff.higher, strict=True)]
    pulsing = tuple(
        (np.where(known, hz, alone_hz[0]), np.where(known, end, alone_hz[1]))
        for hz, end, alone_hz in zip((blades.first_hz, blades.second_hz), up_to, (one, two), strict=True)
    )
    return Naturals(
        turning=Ways(turning, _further(soft, stiff, springs, 1.0)),
        pulsing=Ways((pulsing[0], pulsing[1]), _further(soft, stiff, springs, inputs.blades)),
        along=along,
        moving_kg=least([v.across_kg for v in found]) + running,
        carried=np.fmax(1.0, np.fmax(soft.carried, stiff.carried)),
    )


def _further(
    soft: Shaken, stiff: Shaken, springs: tuple[BearingSpring, BearingSpring], times: Num
) -> tuple[Further, Further]:
    gives = [(1.0 / spring.soft_n_mm, 1.0 / spring.stiff_n_mm) for spring in springs]
    made = []
    for low, high, gives_low, gives_high in zip(soft.higher, stiff.higher, *gives, strict=True):
        unknown = np.isnan(low.part + high.part)
        parts = [np.where(unknown, 0.0, end.part) for end in (low, high)]
        lowest, highest = (np.where(unknown, _NOWHERE_HZ, end.from_hz(times)) for end in (low, high))
        moved = parts[0] * gives_low, parts[1] * gives_high
        made.append(Further((lowest, np.maximum(lowest, highest)), _rising(*parts), _rising(*moved)))
    return made[0], made[1]


def _rising(low: Num, high: Num) -> Range:
    """Between the ends it may be as much as at the soft one: a soft hull with stiff rubber."""
    return low, np.maximum(low, high)


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
    >>> round(float(magnified(rigid).shaft_across), 3)  # at 27.3 Hz, of which the lowest motion carries 1.06
    2.874
    """
    return _magnified(inputs, *shaft_rates_hz(inputs))


@once
def magnified_near(inputs: Inputs, speed: float) -> Magnified:
    """Return how many times its still size at a share of full speed a load counts when the boat is run at that speed or
    up to a tenth slower; broadcasts. For what goes on for hours, which no boat runs through resonance.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> round(float(magnified_near(rigid, 0.5).shaft_across), 3)  # the same
    1.259
    """
    fastest = max(speed, 1e-6) * shaft_rates_hz(inputs)[1]
    return _magnified(inputs, 0.9 * fastest, fastest)


def _magnified(inputs: Inputs, slowest: Num, fastest: Num) -> Magnified:
    known, damping, near = naturals(inputs), inputs.limit("damping_low"), inputs.limit("resonance_band")
    slow, fast = inputs.blades * slowest, inputs.blades * fastest
    along = rules.worst_natural_hz(*known.along, fast, damping)
    return Magnified(
        carried_times(known, known.turning, slowest, fastest, damping, near),
        carried_times(known, known.pulsing, slow, fast, damping, near),
        rules.range_amplification(along, slow, fast, damping, near),
    )


def at_resonance(inputs: Inputs, damping: float) -> Num:
    """Return how many times its still size at full speed a load at shaft rate counts, resonance and all; broadcasts.

    >>> fast = engineering_inputs("harbour-launch", hull_mm=float("nan"), shaft_rpm=2000.0)
    >>> round(float(at_resonance(fast, 0.02)), 1)  # 24.1 at 1964 rpm, and what lies above
    27.1
    """
    known = naturals(inputs)
    return carried_times(known, known.turning, *shaft_rates_hz(inputs), damping)


def carried_times(known: Naturals, ways: Ways, slowest: Num, fastest: Num, damping: float, near: float = 0.0) -> Num:
    """Return how many times its still size at the fastest the strut carries what goes as the square of speed;
    broadcasts. Slowest and fastest: how often it pulses or turns, Hz.

    >>> known = naturals(engineering_inputs("harbour-launch", hull_mm=float("nan")))
    >>> round(float(carried_times(known, known.turning, 7.58, 21.67, 0.02)), 2)
    2.88
    """

    def size(natural: Num, above: Further, lies: Num) -> Num:
        part = _between(above.part, above.from_hz, lies) / known.carried
        return known.carried * rules.whole_amplification(
            natural, lies, part, slowest, fastest, damping=damping, near=near
        )

    return _of_both(ways, size, slowest, fastest, damping, near)


def moved_by_newton_mm(known: Naturals, ways: Ways, slowest: Num, fastest: Num, damping: float) -> Num:
    """Return how far the bearing moves to each side by what is a newton at the fastest, resonance and all, mm;
    broadcasts. As `carried_times`.

    >>> known = naturals(engineering_inputs("harbour-launch", hull_mm=float("nan")))
    >>> round(1000.0 * float(moved_by_newton_mm(known, known.turning, 7.58, 21.67, 0.02)), 2)
    3.73
    """

    def size(natural: Num, above: Further, lies: Num) -> Num:
        gives = known.carried / rules.stiffness_n_mm(natural, known.moving_kg)
        part = _between(above.moved_mm_n, above.from_hz, lies) / gives
        return gives * rules.whole_amplification(natural, lies, part, slowest, fastest, damping=damping)

    return _of_both(ways, size, slowest, fastest, damping, 0.0)


def _of_both(
    ways: Ways, size: Callable[[Num, Further, Num], Num], slowest: Num, fastest: Num, damping: float, near: float
) -> Num:
    """The longer half axis of the ellipse of two ways, each the worst that it may be."""
    sizes, lags = [], []
    for ends, above in zip(ways.lowest, ways.further, strict=True):
        natural = rules.worst_natural_hz(*ends, fastest, damping)
        sizes.append(size(natural, above, np.minimum(np.maximum(fastest, above.from_hz[0]), above.from_hz[1])))
        lags.append(rules.range_lag(natural, slowest, fastest, damping, near))
    return rules.longer_half(sizes[0], sizes[1], lags[0] + lags[1])


def _between(ends: Range, at_ends: Range, at: Num) -> Num:
    """What lies between the ends of a range, in proportion."""
    return ends[0] + (ends[1] - ends[0]) * (at - at_ends[0]) / np.maximum(at_ends[1] - at_ends[0], 1e-9)


def moved_mm(inputs: Inputs, force_n: Num, times: Num, damping: float) -> Num:
    """Return how far a force across the shaft that turns moves the bearing to each side, mm; broadcasts.

    force_n: at full speed. times: how often it goes round in a turn of the shaft. At the worst speed of the running
    range, resonance and all.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))  # 26.0 kg at 27.3 Hz
    >>> round(float(moved_mm(rigid, 1000.0, 1.0, 0.02)), 2)  # 1000 x 2.87 over 770
    3.73
    """
    known, (idle, full) = naturals(inputs), shaft_rates_hz(inputs)
    return force_n * moved_by_newton_mm(known, known.ways(times), times * idle, times * full, damping)


def path_mm(inputs: Inputs, force_n: float, damping: float) -> tuple[float, float]:
    """Return the half axes of the path that the bearing runs round at full speed under a force that turns with the
    shaft, mm, the longer first; each way with the natural frequency that is worst there.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> round(path_mm(rigid, 1000.0, 0.02)[0], 2)  # all but in one plane, as in `moved_mm`
    3.73
    """
    known, full = naturals(inputs), float(shaft_rates_hz(inputs)[1])
    ways = []
    for ends, above in zip(known.turning.lowest, known.turning.further, strict=True):
        natural = float(rules.worst_natural_hz(*ends, full, damping))
        ratio, lies = full / natural, min(max(full, float(above.from_hz[0])), float(above.from_hz[1]))
        alone = float(known.carried / rules.stiffness_n_mm(natural, known.moving_kg))
        answer = alone / (1.0 - ratio * ratio + 2.0j * damping * ratio)
        more = float(_between(above.moved_mm_n, above.from_hz, lies) * rules.over_rest(full / lies, damping))
        ways.append(force_n * answer * (1.0 + more / abs(answer)))
    longer, shorter = rules.orbit(ways[0], -1j * ways[1])
    return float(longer), float(shorter)


def near_shaft_rate(inputs: Inputs) -> Num:
    """Return how near shaft rate in the running range comes to a natural frequency in the plane, the lesser over the
    greater; over 1 where they may meet; broadcasts.

    >>> rigid = engineering_inputs("harbour-launch", hull_mm=float("nan"))
    >>> round(float(near_shaft_rate(rigid)), 3)  # 21.667 / 27.4
    0.793
    """
    ways, (idle, full) = naturals(inputs).turning, shaft_rates_hz(inputs)
    further = [full / above.from_hz[0] for above in ways.further]
    return greatest([*(rules.nearness(*ends, idle, full) for ends in ways.lowest), *further])
