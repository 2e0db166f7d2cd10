"""A shaft line by beam elements of the tests' own: Euler and Bernoulli's with rotary inertia and gyroscopic coupling in
two planes (Nelson and McVaugh's form, from memory), the barrel's mass between the rubber and its two springs, the
propeller overhung, all bearings forward rigid. N, m, kg."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from strutwright.models import driven, shaft_support
from strutwright.models.inputs import Inputs


@dataclass(frozen=True, eq=False)
class Elements:
    """K, M and G / speed of what is free; where the hub and the barrel are among it, in both planes."""

    stiff: np.ndarray
    mass: np.ndarray
    spun: np.ndarray
    hub: list[int]
    barrel: list[int]
    springs: np.ndarray

    def critical_hz(self, times: float = 1.0) -> np.ndarray:
        """Rates that a whirl has times the shaft's own, rising."""
        squares = whirls(self, times)[0]
        return 1.0 / np.sqrt(squares[squares > 1e-12 * squares[0]]) / (2.0 * math.pi)

    def answers(
        self, rates: np.ndarray, loss: float = 0.02, times: float = 1.0, force: tuple[complex, complex] = (1.0, -1.0j)
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Longer half axes of the hub's path, m, of the force in the strut's springs, and of the barrel's path, by a
        newton at the propeller (turning unless said) that goes so many times as fast as the shaft."""
        squares, shapes = whirls(self, times)
        drawn = shapes[self.hub].conj().T @ np.array(force, dtype=complex)
        each = drawn / (1.0 + 1j * loss - (2.0 * math.pi * rates[:, None]) ** 2 * squares)
        hub, barrel = each @ shapes[self.hub].T, each @ shapes[self.barrel].T
        return _longer(hub), _longer(barrel * self.springs), _longer(barrel)


@functools.lru_cache(maxsize=8)
def whirls(e: Elements, times: float) -> tuple[np.ndarray, np.ndarray]:
    """One over w2 of each whirl that has times the shaft's own rate, falling, and their shapes, of unit K."""
    root = np.linalg.inv(np.linalg.cholesky(e.stiff))
    inner = root @ (e.mass - 1j * e.spun / times) @ root.T
    squares, shapes = np.linalg.eigh((inner + inner.conj().T) / 2.0)
    return squares[::-1], root.T @ shapes[:, ::-1]


def _longer(ways: np.ndarray) -> np.ndarray:
    x, y = ways.T
    return np.asarray((np.abs(x + 1j * y) + np.abs(np.conj(x) + 1j * np.conj(y))) / 2.0)


def elements(one: Inputs, hold: shaft_support.Hold, rubber: float, on_span: int = 8) -> Elements:
    tip = shaft_support.overhung(one)
    ends = [0.0, float(tip.span_mm), *(at for at, _ in one.more_bearings_mm)]
    bearings = (ends[-1] - np.array(ends[::-1])) / 1000.0
    spans = [np.linspace(*ends, on_span + 1)[:-1] for ends in pairwise(bearings)]
    at = np.concatenate([*spans, bearings[-1] + np.linspace(0.0, float(tip.overhang_mm) / 1000.0, 4)])
    size = 4 * len(at) + 2
    stiff, mass, turning = (np.zeros((size, size)) for _ in range(3))
    bending = float(tip.youngs_mpa) * np.pi / 64.0 * float(tip.diameter_mm) ** 4 / 1e6
    line = float(tip.line_kg_mm) * 1e3
    spin = float(one.shaft.density_kg_m3) * np.pi / 64.0 * float(tip.diameter_mm) ** 4 * 1e-12
    for e, b in enumerate(np.diff(at)):
        bend = [[12, 6 * b, -12, 6 * b], [6 * b, 4 * b * b, -6 * b, 2 * b * b], [-12, -6 * b, 12, -6 * b]]
        bend.append([6 * b, 2 * b * b, -6 * b, 4 * b * b])
        heavy = [[156, 22 * b, 54, -13 * b], [22 * b, 4 * b * b, 13 * b, -3 * b * b], [54, 13 * b, 156, -22 * b]]
        heavy.append([-13 * b, -3 * b * b, -22 * b, 4 * b * b])
        tilts = [[36, 3 * b, -36, 3 * b], [3 * b, 4 * b * b, -3 * b, -b * b], [-36, -3 * b, 36, -3 * b]]
        tilts.append([3 * b, -b * b, -3 * b, 4 * b * b])
        swung = spin / (30.0 * b) * np.array(tilts, dtype=float)
        y, z = (np.array([4 * e, 4 * e + 1, 4 * e + 4, 4 * e + 5]) + k for k in (0, 2))
        for own in (y, z):
            stiff[np.ix_(own, own)] += bending / b**3 * np.array(bend)
            mass[np.ix_(own, own)] += line * b / 420.0 * np.array(heavy) + swung
        turning[np.ix_(y, z)] += 2.0 * swung
        turning[np.ix_(z, y)] -= 2.0 * swung
    end = 4 * (len(at) - 1)
    for k in (0, 2):
        mass[end + k, end + k] += float(tip.propeller_kg)
        mass[end + k + 1, end + k + 1] += float(tip.diametral_kg_mm2) / 1e6
    turning[end + 1, end + 3] += float(tip.polar_kg_mm2) / 1e6
    turning[end + 3, end + 1] -= float(tip.polar_kg_mm2) / 1e6
    springs = 1000.0 * np.array([float(hold.soft_n_mm), float(hold.stiff_n_mm)])
    for k, spring in enumerate(springs):
        shaft, barrel = 4 * on_span * len(spans) + 2 * k, size - 2 + k
        stiff[shaft, shaft] += 1000.0 * rubber
        stiff[barrel, barrel] += 1000.0 * rubber + spring
        stiff[shaft, barrel] -= 1000.0 * rubber
        stiff[barrel, shaft] -= 1000.0 * rubber
        mass[barrel, barrel] += float(hold.kg)
    pinned = 4 * on_span * np.arange(len(spans))
    free = np.setdiff1d(np.arange(size), [*pinned, *(pinned + 2)])
    grid = np.ix_(free, free)
    return Elements(
        stiff=stiff[grid],
        mass=mass[grid],
        spun=turning[grid],
        hub=[int(np.flatnonzero(free == w)[0]) for w in (end, end + 2)],
        barrel=[len(free) - 2, len(free) - 1],
        springs=springs,
    )


@functools.lru_cache(maxsize=1)
def corners(one: Inputs) -> list[Elements]:
    """On each end of the hull with each end of the rubber."""
    return [elements(one, hold, float(k)) for hold in shaft_support.strut_holds(one) for k in shaft_support.rubber(one)]


def most_carried(one: Inputs, times: float = 1.0) -> float:
    """Greatest force in the strut's springs by one at the propeller that turns, or at blade rate points anywhere, and
    goes as the square of speed, times that at full speed; ten per cent about each critical speed left out. As a newton
    at the propeller brings it."""
    idle, full = (times * float(hz) for hz in driven.shaft_rates_hz(one))
    most = 0.0
    for e in corners(one):
        rates = np.linspace(idle, full, 60)
        rates = rates[np.all(np.abs(rates[:, None] / e.critical_hz(times) - 1.0) > 0.1, axis=1)]
        for force in forces(times) if len(rates) else ():
            most = max(most, float(np.max(e.answers(rates, times=times, force=force)[1] * (rates / full) ** 2)))
    return most


def most_moved_mm(one: Inputs, times: float, damping: float) -> float:
    """Greatest movement of the barrel by that force, resonance and all."""
    idle, full = (times * float(hz) for hz in driven.shaft_rates_hz(one))
    most = 0.0
    for e in corners(one):
        peaks = [hz * (1.0 + damping * np.array([-0.5, 0.0, 0.5])) for hz in e.critical_hz(times) if hz < 1.1 * full]
        rates = np.clip(np.concatenate([np.linspace(idle, full, 30), *peaks]), idle, full)
        for force in forces(times):
            most = max(most, float(np.max(e.answers(rates, 2.0 * damping, times, force)[2] * (rates / full) ** 2)))
    return 1000.0 * most


def forces(times: float) -> list[tuple[complex, complex]]:
    """What turns with the shaft, or what points to either side and between."""
    return [(1.0, -1.0j)] if times == 1.0 else [(math.cos(a), math.sin(a)) for a in np.arange(0.0, 3.0, math.pi / 4.0)]
