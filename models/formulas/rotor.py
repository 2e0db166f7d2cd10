"""A turning shaft on springs: its whirls at a speed, and speeds at which something that turns with it meets them.

Beam elements with shear (Timoshenko), rotary inertia and gyroscopic effect; discs with mass and both inertias; bearings
rigid or on springs that differ and couple in the two planes, with a housing of its own mass behind if wanted. Lengths
mm, masses kg, stiffness N/mm, frequencies Hz, speeds rpm. No damping. The planes are called x and y.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats
from strutwright.models.formulas.vibration import natural_modes

_SHEAR_FORM = 10.0 / 9.0
"""Area over shear area of a solid round section at Poisson's ratio 0.3."""
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(4)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shaft:
    """A uniform solid shaft from 0 to length_mm. water_kg_mm: water that moves with it; shear_mpa: shear modulus."""

    length_mm: float
    diameter_mm: float
    youngs_mpa: float
    density_kg_m3: float
    water_kg_mm: float = 0.0
    shear_mpa: float | None = None
    """E / 2.6 when left out."""


@dataclass(frozen=True, slots=True)
class Disc:
    """A disc on the shaft, water within: place, mass, inertia about a diameter and about the shaft."""

    at_mm: float
    mass_kg: float
    diametral_kg_mm2: float = 0.0
    polar_kg_mm2: float = 0.0


@dataclass(frozen=True, slots=True)
class Housing:
    """What holds a bearing's rubber: its mass, kg, and the springs to the ground behind it, N/mm, as in `Bearing`."""

    kg: float
    x_n_mm: float
    y_n_mm: float
    xy_n_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Bearing:
    """A bearing: place, and springs in x, in y and between the two, N/mm, to the ground or to a housing.

    Rigid where both are infinite. It does not resist tilting.
    """

    at_mm: float
    x_n_mm: float = math.inf
    y_n_mm: float = math.inf
    xy_n_mm: float = 0.0
    housing: Housing | None = None

    @property
    def rigid(self) -> bool:
        """Whether it gives nothing."""
        return math.isinf(self.x_n_mm) and math.isinf(self.y_n_mm)


@dataclass(frozen=True, slots=True)
class Mode:
    """A whirl: frequency, and which share of the amplitude where the shaft moves most turns forward with the shaft."""

    hz: float
    forward: float


@dataclass(frozen=True, slots=True, eq=False)
class Rotor:
    """A shaft with discs and bearings as matrices; `rotor` makes it.

    natural_hz: frequencies at standstill, rising. gyroscopic: between their modes, divided by the speed, in s. shapes:
    movement of the shaft in x and y at each node in each mode, (2, nodes, modes).
    """

    natural_hz: Floats
    gyroscopic: Floats
    shapes: Floats


def rotor(shaft: Shaft, bearings: Sequence[Bearing], discs: Sequence[Disc] = (), *, modes: int | None = None) -> Rotor:
    """Return a shaft on its bearings, made ready. modes: how many of standstill are kept for the rest; all if left out.

    Elements of a 24th of the length at most. Raises ValueError where something stands off the shaft, or fewer than two
    bearings hold it.

    >>> bare = Shaft(length_mm=787.4, diameter_mm=25.4, youngs_mpa=206.84e3, density_kg_m3=7805.7)
    >>> round(2.0 * np.pi * float(rotor(bare, [Bearing(0.0), Bearing(787.4)]).natural_hz[0]))  # Shigley, 9th ed., 7-5
    520
    """
    for name, at in [("bearing", b.at_mm) for b in bearings] + [("disc", d.at_mm) for d in discs]:
        if not 0.0 <= at <= shaft.length_mm:
            raise ValueError(f"a {name} stands {at:g} along a shaft of {shaft.length_mm:g}")
    if len({b.at_mm for b in bearings}) < 2:
        raise ValueError("the shaft is not held: it takes two bearings")
    marks = {0.0, shaft.length_mm, *(b.at_mm for b in bearings), *(d.at_mm for d in discs)}
    stations = _stations(shaft.length_mm, marks)
    plane = 2 * len(stations)
    size = 2 * plane + 2 * sum(b.housing is not None and not b.rigid for b in bearings)
    stiffness, mass, turning = (np.zeros((size, size)) for _ in range(3))
    _add_shaft(shaft, stations, stiffness, mass, turning)
    for disc in discs:
        w = 2 * int(np.argmin(np.abs(stations - disc.at_mm)))
        for first in (w, plane + w):
            mass[first, first] += disc.mass_kg
            mass[first + 1, first + 1] += disc.diametral_kg_mm2
        _gyrate(turning, w + 1, plane + w + 1, disc.polar_kg_mm2)
    held = _add_bearings(bearings, stations, stiffness, mass)
    free = np.setdiff1d(np.arange(size), held)
    hz, shapes = natural_modes(stiffness[np.ix_(free, free)], mass[np.ix_(free, free)])
    hz, shapes = hz[:modes], shapes[:, :modes]
    full = np.zeros((size, len(hz)))
    full[free] = shapes
    moved = np.stack([full[0:plane:2], full[plane : 2 * plane : 2]])
    return Rotor(hz, full.T @ turning @ full, moved)


def whirl_lines(r: Rotor, rpm: Sequence[float] | Floats, count: int) -> tuple[Floats, Floats]:
    """Return the lowest whirls of a shaft that turns at each speed: frequencies, Hz, rising, and their forward shares.

    Both (speeds, count). With the springs' force and the speed of each mode as unknowns the motion is x' = A x with A
    skew, so that i A is Hermitian: real frequencies in pairs of either sign, of which the positive are kept.

    >>> discs = [Disc(500.0, 32.59, 0.1781e6, 0.3296e6), Disc(1000.0, 51.53, 0.4236e6, 0.8051e6)]
    >>> steel = Shaft(length_mm=1500.0, diameter_mm=50.0, youngs_mpa=211e3, density_kg_m3=7810.0, shear_mpa=81.2e3)
    >>> ends = [Bearing(0.0, 1000.0, 1000.0), Bearing(1500.0, 1000.0, 1000.0)]
    >>> hz, forward = whirl_lines(rotor(steel, ends, discs), [4000.0], 2)
    >>> (2.0 * np.pi * hz).round(1).tolist(), forward.round(3).tolist()  # rad/s, a published example; backward, forward
    ([[85.4, 87.8]], [[0.0, 1.0]])
    """
    w, modes, speeds = 2.0 * np.pi * r.natural_hz, len(r.natural_hz), np.asarray(rpm, dtype=float)
    system = np.zeros((len(speeds), 2 * modes, 2 * modes))
    system[:, :modes, modes:], system[:, modes:, :modes] = np.diag(w), -np.diag(w)
    system[:, modes:, modes:] = -2.0 * np.pi / 60.0 * speeds[:, None, None] * r.gyroscopic
    rates, states = np.linalg.eigh(-1j * system)
    # x = exp(i rate t): the upper half of the sorted rates is positive. States hold w q and q'.
    kept = slice(modes, modes + count)
    return rates[:, kept] / (2.0 * np.pi), _forward(r, states[:, :modes, kept] / w[:, None])


def critical_speeds(r: Rotor, times_a_turn: float = 1.0, count: int = 4) -> tuple[tuple[float, Mode], ...]:
    """Return the speeds (rpm) at which a whirl has that many times the speed's own frequency, rising, with the whirl.

    1: synchronous, which unbalance drives by the forward part; the number of blades: blade rate. Exact, by K q = w^2 (M
    - i G / n) q.

    >>> light = Shaft(length_mm=1350.0, diameter_mm=50.0, youngs_mpa=193e3, density_kg_m3=1e-6, shear_mpa=1e12)
    >>> overhung = rotor(light, [Bearing(0.0), Bearing(1200.0)], [Disc(1350.0, 25.0, 0.35e6, 0.60e6)])
    >>> [(round(rpm, 1), round(m.forward)) for rpm, m in critical_speeds(overhung, 3.0, 2)]  # closed form 1050.96 ...
    [(1051.0, 0), (1348.3, 1)]
    """
    soft = 1.0 / (2.0 * np.pi * r.natural_hz)
    turned = 1j * r.gyroscopic / times_a_turn
    inverse, shapes = np.linalg.eigh(soft[:, None] * (np.eye(len(soft)) - turned) * soft[None, :])
    found: list[tuple[float, Mode]] = []
    for square, shape in sorted(zip(inverse.tolist(), (soft[:, None] * shapes).T, strict=True), key=lambda p: -p[0]):
        if square <= 1e-12 * inverse[-1] or len(found) == count:
            break
        hz = 1.0 / (2.0 * math.pi * math.sqrt(square))
        found.append((60.0 * hz / times_a_turn, Mode(hz, float(_forward(r, shape[None, :, None])[0, 0]))))
    return tuple(found)


def _forward(r: Rotor, shapes: NDArray[Any]) -> Floats:
    """Forward share of the amplitude of modes that move with exp(+i w t), where each moves most; (speeds, modes).

    Forward is from x to y, as the shaft turns: y lags x, x + i y then has the positive turn.
    """
    x, y = (np.einsum("nm,smk->snk", plane, shapes) for plane in r.shapes)
    # x + i y = a exp(i w t) + b exp(-i w t) of the real motions
    ahead, back = np.abs(x + 1j * y), np.abs(np.conj(x) + 1j * np.conj(y))
    most = np.argmax(ahead + back, axis=1)[:, None, :]
    a, b = (np.take_along_axis(v, most, axis=1)[:, 0, :] for v in (ahead, back))
    share: Floats = a / (a + b)
    return share


def _add_bearings(bearings: Sequence[Bearing], stations: Floats, stiffness: Floats, mass: Floats) -> list[int]:
    """Put springs and housings in, housings behind the shaft's own movements; return what is held fast."""
    plane, held = 2 * len(stations), []
    behind = np.array([2 * plane, 2 * plane + 1])
    for b in bearings:
        at = 2 * int(np.argmin(np.abs(stations - b.at_mm)))
        ways = np.array([at, plane + at])
        if b.rigid:
            held += ways.tolist()
            continue
        spring = _spring(b.x_n_mm, b.y_n_mm, b.xy_n_mm)
        stiffness[np.ix_(ways, ways)] += spring
        if b.housing is not None:
            mass[behind, behind] += b.housing.kg
            stiffness[np.ix_(behind, behind)] += spring + _spring(b.housing.x_n_mm, b.housing.y_n_mm, b.housing.xy_n_mm)
            stiffness[np.ix_(ways, behind)] -= spring
            stiffness[np.ix_(behind, ways)] -= spring
            behind = behind + 2
    return held


def _spring(x: float, y: float, xy: float) -> Floats:
    return np.array([[x, xy], [xy, y]])


def _gyrate(turning: Floats, x: int, y: int, polar: float) -> None:
    """A turn about one plane's axis loads the other: I_d x'' + W I_p y' and I_d y'' - W I_p x'."""
    turning[x, y] += polar
    turning[y, x] -= polar


def _stations(length_mm: float, marks: set[float]) -> Floats:
    """Element ends: the marks, and between them steps of a 24th of the length at most."""
    limit = length_mm / 24.0
    pieces = [
        np.linspace(a, b, max(1, int(np.ceil((b - a) / limit - 1e-9))) + 1)[:-1] for a, b in pairwise(sorted(marks))
    ]
    return np.concatenate([*pieces, np.array([length_mm])])


def _add_shaft(shaft: Shaft, stations: Floats, stiffness: Floats, mass: Floats, turning: Floats) -> None:
    plane = 2 * len(stations)
    made: dict[float, tuple[Floats, Floats, Floats]] = {}
    for e, length in enumerate(np.diff(stations).round(9).tolist()):
        k, m, rotary = made[length] = made.get(length) or _element(shaft, length)
        x, y = slice(2 * e, 2 * e + 4), slice(plane + 2 * e, plane + 2 * e + 4)
        for way in (x, y):
            stiffness[way, way] += k
            mass[way, way] += m
        # A solid shaft's polar inertia is twice that about a diameter.
        turning[x, y] += 2.0 * rotary
        turning[y, x] -= 2.0 * rotary


def _element(shaft: Shaft, length: float) -> tuple[Floats, Floats, Floats]:
    """4x4 stiffness, consistent mass and the rotary part of it, of a Timoshenko beam (movement and turn at both ends).

    Mass from the exact static shapes, so that rotary inertia sits on the section's turn and not on the slope; four
    Gauss points integrate the cubics exactly.
    """
    area, inertia = np.pi / 4.0 * shaft.diameter_mm**2, np.pi / 64.0 * shaft.diameter_mm**4
    shear = shaft.youngs_mpa / 2.6 if shaft.shear_mpa is None else shaft.shear_mpa
    kg_per_mm = area * shaft.density_kg_m3 * 1e-9 + shaft.water_kg_mm
    rotary_kg_mm = inertia * shaft.density_kg_m3 * 1e-9
    phi = 12.0 * shaft.youngs_mpa * inertia * _SHEAR_FORM / (shear * area * length**2)
    half = np.array(
        [
            [12.0, 6.0 * length, -12.0, 6.0 * length],
            [0.0, (4.0 + phi) * length**2, -6.0 * length, (2.0 - phi) * length**2],
            [0.0, 0.0, 12.0, -6.0 * length],
            [0.0, 0.0, 0.0, (4.0 + phi) * length**2],
        ]
    )
    stiffness = shaft.youngs_mpa * inertia / (length**3 * (1.0 + phi)) * half
    stiffness = stiffness + np.triu(stiffness, 1).T
    x, w = (_POINTS + 1.0) / 2.0, _WEIGHTS * length / 2.0
    deflection = np.stack(
        [
            1.0 - 3.0 * x**2 + 2.0 * x**3 + phi * (1.0 - x),
            length * (x - 2.0 * x**2 + x**3 + phi / 2.0 * (x - x**2)),
            3.0 * x**2 - 2.0 * x**3 + phi * x,
            length * (x**3 - x**2 - phi / 2.0 * (x - x**2)),
        ]
    ) / (1.0 + phi)
    turn = 6.0 * (x**2 - x) / length
    rotation = np.stack([turn, 1.0 - 4.0 * x + 3.0 * x**2 + phi * (1.0 - x), -turn, 3.0 * x**2 - 2.0 * x + phi * x]) / (
        1.0 + phi
    )
    rotary: Floats = rotary_kg_mm * (rotation * w) @ rotation.T
    return stiffness, kg_per_mm * (deflection * w) @ deflection.T + rotary, rotary
