"""Anodes in sea water, by the steps of DNV-RP-B401 (published, typed copies of several editions).

Made for coated steel offshore; that bronze and stainless steel ask for the same current is an assumption. Areas m2,
currents A, masses kg, lives in years of 8760 h.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from strutwright.models.arrays import Num

HOURS_A_YEAR = 8760.0
FLUSH = 0.315
"""Factor of a flush or bracelet anode's resistance: between a whole sphere (0.282) and a half one on a wall (0.399)."""


class BareShare(NamedTuple):
    """Share of painted metal that is bare: at first, on the mean of a life, at its end."""

    initial: Num
    mean: Num
    final: Num


def bare_share(start: float, per_year: float, years: Num) -> BareShare:
    """Return the share of painted metal that is bare, start + per_year t, never over 1.

    The mean where it gets to 1 is 1 - (1 - start)^2 / (2 per_year T), which is the integral. Published.

    >>> [round(float(share), 3) for share in bare_share(0.05, 0.025, 2.0)]
    [0.05, 0.075, 0.1]
    >>> round(float(bare_share(0.1, 0.1, 18.0).mean), 3)  # half way up for 9 years, then 1
    0.775
    """
    grown = start + per_year * years
    if per_year == 0.0:
        return BareShare(start, start, start)
    mean = np.where(grown <= 1.0, (start + grown) / 2.0, 1.0 - (1.0 - start) ** 2 / (2.0 * per_year * years))
    return BareShare(start, mean[()], np.minimum(grown, 1.0))


def current_a(density_a_m2: float, bare_m2: Num, painted_m2: Num, share: Num) -> Num:
    """Return the current (A) that bare and painted metal ask for. Published.

    >>> round(current_a(0.100, 0.89, 0.60, 0.075), 4)
    0.0935
    """
    return density_a_m2 * (bare_m2 + share * painted_m2)


def mass_kg(mean_a: Num, years: Num, capacity_ah_kg: float, used: float) -> Num:
    """Return the anode metal (kg) for a life: mean current x hours / (capacity x share that can be used). Published.

    >>> round(mass_kg(0.0935, 2.0, 780.0, 0.8), 4)  # 1638.12 A h over 624
    2.6252
    """
    return mean_a * HOURS_A_YEAR * years / (capacity_ah_kg * used)


def resistance_ohm(resistivity_ohm_m: float, face_m2: Num) -> Num:
    """Return the resistance (ohm) of the water round a flush anode, 0.315 rho / sqrt(A), A its face. Published.

    >>> round(float(resistance_ohm(0.30, 0.008)), 4)
    1.0565
    """
    resistance: Num = FLUSH * resistivity_ohm_m / np.sqrt(face_m2)
    return resistance


def whole(count: Num) -> Num:
    """Return how many anodes it takes, at least one; a rounding error takes no further one.

    >>> float(whole(3.0000000001)), float(whole(0.2))
    (3.0, 1.0)
    """
    number: Num = np.maximum(np.ceil(count - 1e-6), 1.0)
    return number
