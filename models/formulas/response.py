"""Forced vibration: what a force that turns or pulses does to a damped structure, over speed and over candidates.

Linear, steady motion (vibration textbooks). Frequencies Hz, stiffness N/mm, masses kg, damping N s/mm or, as a ratio, a
share of the critical; ratio: frequency of the force over the natural one. Amplitudes are complex, of the time factor
e^(i w t).
"""

from __future__ import annotations

import math
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Num

Complex: TypeAlias = NDArray[np.complex128]
_PER_MM = 1000.0  # N/mm over kg to 1/s^2


def amplification(ratio: Num, damping: Num) -> Num:
    """How many times its still value the elastic force of one mass on a spring is: 1 / root((1 - r2)2 + (2 z r)2).

    >>> [round(float(amplification(r, 0.02)), 4) for r in (0.5, 0.9, 1.0, 1.25)]
    [1.3329, 5.1712, 25.0, 1.7708]
    """
    r2 = ratio * ratio
    out: Num = 1.0 / np.sqrt((1.0 - r2) ** 2 + 4.0 * damping * damping * r2)
    return out


def worst_natural_hz(lowest_hz: Num, highest_hz: Num, fastest_hz: Num, damping: float) -> Num:
    """The natural frequency, out of all that it may be, at which `range_amplification` is greatest.

    The nearest to that which resonates at the fastest that the force comes; exact, as the amplification falls away on
    both sides of it. Damping under 0.7.

    >>> [round(float(worst_natural_hz(17.0, 23.0, hz, 0.02)), 2) for hz in (21.7, 30.0)]
    [21.71, 23.0]
    """
    out: Num = np.minimum(np.maximum(fastest_hz / math.sqrt(1.0 - 2.0 * damping**2), lowest_hz), highest_hz)
    return out


def _counted(near: float, damping: float) -> tuple[float, float]:
    """What is counted at most, and from which share of the natural frequency on it is less again: where the
    amplification comes down to that, or where r2 times it is greatest when that lies above."""
    even = 1.0 - 2.0 * damping * damping
    below2 = min((1.0 - near) ** 2, even)
    return float(amplification(math.sqrt(below2), damping)), math.sqrt(max(2.0 * even - below2, 1.0 / even))


def range_amplification(natural_hz: Num, slowest_hz: Num, fastest_hz: Num, damping: float, near: float = 0.0) -> Num:
    """How many times its still size at the fastest a force that goes as the square of speed counts, at the worst speed.

    Worst over all frequencies of the force from the slowest to the fastest. near: a share of the natural frequency; no
    more is counted than what the force does so far below resonance, as nearer to it the answer hangs on the damping:
    there it is the least of what happens. At 0 resonance counts whole. Damping under 0.7. Exact: the worst speed is
    an end of the range, or where the amplification comes down to what is counted.

    >>> round(float(range_amplification(33.2, 7.6, 21.67, 0.02)), 3)  # below resonance all along: at the fastest
    1.74
    >>> round(float(range_amplification(20.0, 10.0, 40.0, 0.02)), 2)  # resonance at half the speed: 25 / 4
    6.25
    >>> round(float(range_amplification(20.0, 10.0, 40.0, 0.02, near=0.1)), 3)  # 5.1712 x (1.0901 / 2)^2
    1.536
    """
    most, above = _counted(near, damping)
    at = np.minimum(np.maximum(above * natural_hz, slowest_hz), fastest_hz)
    share = at / fastest_hz
    out: Num = share * share * np.minimum(amplification(at / natural_hz, damping), most)
    return out


def over_rest(ratio: Num, damping: float) -> Num:
    """How many times its part at rest a motion answers over that part, its natural frequency any from the lowest on.

    r2 times the amplification, r to the lowest: nought far below resonance, and past it that of resonance, as there may
    be another at any speed.

    >>> [round(float(over_rest(r, 0.02)), 3) for r in (0.1, 0.5, 1.0, 4.0)]  # 0.5^2 x 1.3329
    [0.01, 0.333, 25.0, 25.0]
    """
    below = np.minimum(ratio, 1.0)
    out: Num = below * below * amplification(below, damping)
    return out


def whole_amplification(
    natural_hz: Num, further_hz: Num, part: Num, slowest_hz: Num, fastest_hz: Num, *, damping: float, near: float = 0.0
) -> Num:
    """`range_amplification` of the lowest motion of a structure, with what those above it add.

    further_hz: above which they lie. part: what they are at rest, over the lowest. At the speed where the lowest is
    worst, and at the fastest, where they are.

    >>> one = whole_amplification(20.0, 60.0, 0.1, 10.0, 40.0, damping=0.02, near=0.1)
    >>> round(float(one), 3)  # 1.536 at 21.8 Hz, and 0.1 x (21.8 / 40)^2 x 0.132 x 1.152
    1.541
    >>> round(float(whole_amplification(20.0, 40.0, 1.0, 10.0, 40.0, damping=0.02, near=0.1)), 2)  # 5.171 + 0.333
    5.5
    """
    most, above = _counted(near, damping)
    worst: Num = 0.0
    for at in (np.minimum(np.maximum(above * natural_hz, slowest_hz), fastest_hz), fastest_hz):
        share = at / fastest_hz
        lowest = np.minimum(amplification(at / natural_hz, damping), most)
        worst = np.maximum(
            worst, share * share * (lowest + part * np.minimum(over_rest(at / further_hz, damping), most))
        )
    return worst


def range_lag(natural_hz: Num, slowest_hz: Num, fastest_hz: Num, damping: float, near: float = 0.0) -> Num:
    """Sine of the angle by which the answer lags behind a force, or behind its opposite, the greatest in the range.

    2 z r times the amplification; of what is counted in `range_amplification`.

    >>> round(float(range_lag(33.2, 7.6, 21.67, 0.02)), 4)  # 0.04 x 0.6527 x 1.740
    0.0454
    >>> round(float(range_lag(20.0, 10.0, 40.0, 0.02)), 2)  # resonance
    1.0
    """
    most, above = _counted(near, damping)
    ratio = np.minimum(np.maximum(above * natural_hz, slowest_hz), fastest_hz) / natural_hz
    out: Num = np.minimum(2.0 * damping * ratio * np.minimum(amplification(ratio, damping), most), 1.0)
    return out


def longer_half(x: Num, y: Num, lag: Num) -> Num:
    """The longer half axis of the ellipse of two motions square to each other that a turning force makes.

    lag: sine of the angle that they are apart from what they are without damping, or more: the sum of both sines. Half
    of (x2 + y2 + root((x2 - y2)2 + 4 (x y lag)2)), squared.

    >>> [round(float(longer_half(x, y, lag)), 3) for x, y, lag in ((3.0, 3.0, 0.0), (3.0, 4.0, 1.0), (5.0, 5.0, 0.2))]
    [3.0, 5.0, 5.477]
    """
    x2, y2, lag = x * x, y * y, np.minimum(lag, 1.0)
    apart = x2 - y2
    out: Num = np.sqrt((x2 + y2 + np.sqrt(apart * apart + 4.0 * x2 * y2 * lag * lag)) / 2.0)
    return out


def stiffness_n_mm(natural_hz: Num, mass_kg: Num) -> Num:
    """Stiffness of the spring on which a mass has a natural frequency, N/mm: m (2 pi f)2.

    >>> round(float(stiffness_n_mm(31.623, 1.0)), 2)  # 4 pi^2
    39.48
    """
    return (2.0 * math.pi * natural_hz) ** 2 * mass_kg / _PER_MM


def nearness(lowest_hz: Num, highest_hz: Num, slowest_hz: Num, fastest_hz: Num) -> Num:
    """How near a range of driving frequencies comes to a natural frequency: the lesser over the greater; over 1 where
    they may meet, by as much as the one has to be shifted for them not to.

    lowest, highest: what the natural frequency may be.

    >>> round(float(nearness(30.0, 33.2, 7.6, 21.67)), 3), round(float(nearness(17.0, 23.0, 7.6, 21.67)), 3)
    (0.722, 1.275)
    """
    out: Num = np.minimum(fastest_hz / lowest_hz, highest_hz / slowest_hz)
    return out


# ---- one structure of several directions


def turning(force_n: Num) -> Complex:
    """A force that turns from the first axis to the second, as amplitudes along both: (F, -i F), last axis.

    >>> turning(5.0).tolist()
    [(5+0j), -5j]
    """
    size = np.asarray(force_n, dtype=complex)
    return np.stack([size, -1j * size], axis=-1)


def orbit(x: Any, y: Any) -> tuple[Num, Num]:
    """Half axes of the ellipse that two amplitudes square to each other run through, the longer first.

    By the parts that turn with and against the force: their sum and difference.

    >>> [round(float(half), 3) for half in orbit(3.0, -2.0j)], [round(float(half), 3) for half in orbit(3.0, 4.0)]
    ([3.0, 2.0], [5.0, 0.0])
    """
    ahead, back = np.abs(x + 1j * y) / 2.0, np.abs(np.conj(x) + 1j * np.conj(y)) / 2.0
    return ahead + back, np.abs(ahead - back)
