"""First whirl of a shaft with an overhung propeller on a spring at its strut bearing, for a batch of candidates.

`rotor` does one shaft by beam elements, in all its modes. Lengths mm, masses kg, stiffness N/mm, frequencies Hz.
"""

from __future__ import annotations

import functools
import math
import operator
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.once import KeepsAnswers, once

_PER_MM = 1000.0  # N/mm over kg to 1/s^2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Overhung(KeepsAnswers):
    """A shaft pinned forward, on the strut bearing after its span, with a propeller at the end of its overhang."""

    span_mm: Num
    overhang_mm: Num
    diameter_mm: Num
    line_kg_mm: Num
    """With the water that moves with it."""
    youngs_mpa: Num
    propeller_kg: Num
    """With its water, as the inertias about a diameter and about the shaft."""
    diametral_kg_mm2: Num
    polar_kg_mm2: Num


@dataclass(frozen=True, slots=True, eq=False)
class BearingSpring:
    """What holds the shaft at its strut bearing, in the plane where it is softest and square to that: stiffness, N/mm,
    and the mass that goes along, kg (of a housing that moves less than the shaft: times the square of its part)."""

    soft_n_mm: Num
    stiff_n_mm: Num
    soft_kg: Num = 0.0
    stiff_kg: Num = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Whirls:
    """The lowest whirl and the next, Hz, that have so many times the shaft's own rate, forward or backward."""

    first_hz: Num
    second_hz: Num


@dataclass(frozen=True, slots=True, eq=False)
class Higher:
    """All motions of a plane above its lowest.

    lowest_hz: that lowest, the shaft not turning. part: what those above carry at most of what the strut carries at
    rest, one way or the other. second_s2, turned_s2: one over the square of the frequency that they all lie above, s2,
    and what the shaft's turning adds to it at shaft rate.
    """

    lowest_hz: Num
    part: Num
    second_s2: Num
    turned_s2: Num

    def from_hz(self, times_a_turn: Num) -> Num:
        """Return above which frequency they lie for what drives so many times a turn.

        >>> round(float(Higher(10.0, 0.1, 1.0 / 60.0**2, 0.0).from_hz(3.0)), 6)
        60.0
        """
        out: Num = 1.0 / np.sqrt(self.second_s2 + self.turned_s2 / times_a_turn)
        return out


@dataclass(frozen=True, slots=True, eq=False)
class Shaken:
    """How a shaft on its spring answers what turns with it or pulses so many times a turn.

    whirls: for each. carried: of a force at the propeller, what the lowest motion in a plane carries of what the strut
    carries of it at rest, the greater of both planes; where that is over 1 the motions above it take the rest
    back. higher: those, of the plane where the bearing is softest and of the other.
    """

    whirls: tuple[Whirls, ...]
    carried: Num
    higher: tuple[Higher, Higher]


def shaken(shaft: Overhung, spring: BearingSpring, times_a_turn: Sequence[Num] = (1.0,)) -> Shaken:
    """Return the lowest two whirls for each of what drives so many times a turn, rising; broadcasts. 1: what keeps pace
    with the shaft; the number of blades: blade rate. Bearings do not resist tilting.

    Ritz's method in both planes with the static shapes of a load and of a moment at the propeller, of an even load on
    the span, and the tilting of the whole on its spring; gyroscopic coupling between the planes. Shear and rotary
    inertia of the shaft are taken off its stiffness. Against beam elements 0.2 % high at most; low by at most 5 % at a
    span of 6 diameters and 2 % at 24 (a property test holds it).

    >>> light = Overhung(span_mm=1200.0, overhang_mm=150.0, diameter_mm=50.0, line_kg_mm=1e-9, youngs_mpa=193e3,
    ...     propeller_kg=25.0, diametral_kg_mm2=0.35e6, polar_kg_mm2=0.60e6)
    >>> found = shaken(light, BearingSpring(np.inf, np.inf), (1.0, 3.0)).whirls
    >>> [round(60.0 * float(w.first_hz)) for w in found]  # without shear 2665 rpm, and 3 x 1050.96, both backward
    [2650, 3135]
    """
    form = _form_of(shaft)
    soft, stiff = form.plane(spring.soft_n_mm, spring.soft_kg), form.plane(spring.stiff_n_mm, spring.stiff_kg)
    out: list[Whirls] = []
    first: Num = 0.0
    for times in times_a_turn:
        polar2 = (form.polar / times) ** 2
        # The more often in a turn, the less the couple that takes the lowest down: it lies above the one before.
        first = _first_root(soft, stiff, polar2, first, 3 if out else 4)
        out.append(Whirls(form.hz(first), form.hz(_second_root(soft, stiff, polar2, first))))
    (one, higher), (other, higher_other) = _shares(soft, form), _shares(stiff, form)
    return Shaken(tuple(out), np.fmax(one, other), (higher, higher_other))


def _shares(plane: _Plane, form: _Form) -> tuple[Num, Higher]:
    """What the lowest motion of a plane carries, and what those above it do.

    The answer is the sum of each motion's, its part at rest over 1 - w / its own w: so the part is the residue there.
    It is a product: of how far the bearing takes part and how far the propeller. The squares of either sum up to what
    gives there at rest, so that those of the third and all above are known without them, and what their products come
    to at most (Cauchy and Schwarz). Turning takes no 1 / w up by more than the couple times what gives under it (Weyl).
    """
    first: Num = 0.0
    for _ in range(3):
        first = _next_root(first, 4, *_with_slopes(plane.holds, first))
    above = _without(plane.holds, first)
    second = first
    for _ in range(3):
        second = _next_root(second, 3, *_with_slopes(above, second))
    shares, bearings, tips = [], [], []
    for root in (first, second):
        slope = root * _with_slopes(plane.holds, root)[1]
        shares.append(-_with_slopes(plane.pulls, root)[0] / slope)
        bearings.append(-_with_slopes(plane.bends, root)[0] / slope)
        tips.append(shares[-1] ** 2 / bearings[-1])
    rest = np.maximum(1.0 - sum(bearings), 0.0) * np.maximum(plane.gives_at_tip - sum(tips), 0.0)
    per_s2 = 1.0 / form.unit_hz**2
    turned = form.polar * plane.tilts[0] / plane.holds[0] * per_s2
    most = np.maximum(np.abs(shares[1]), np.sqrt(rest))
    return shares[0], Higher(form.hz(first), most, per_s2 / second, turned)


def _first_root(soft: _Plane, stiff: _Plane, polar2: Num, below: Num, steps: int) -> Num:
    """Where what holds both planes, less what turns them into each other, comes to nought first above where that is not
    yet so. Roots may lie close together: the next whirl would be lost if this one were not well met."""
    pace = below
    for _ in range(steps):
        (h, h1, h2), (s, s1, s2) = _with_slopes(soft.holds, pace), _with_slopes(stiff.holds, pace)
        (t, t1, t2), (u, u1, u2) = _with_slopes(soft.tilts, pace), _with_slopes(stiff.tilts, pace)
        both, both1, both2 = t * u, t1 * u + t * u1, t2 * u + 2.0 * t1 * u1 + t * u2
        # holds of both planes less (w I_p)^2 tilts of both: nought at a whirl
        value = h * s - polar2 * pace**2 * both
        slope = h1 * s + h * s1 - polar2 * (2.0 * pace * both + pace**2 * both1)
        bend = h2 * s + 2.0 * h1 * s1 + h * s2 - polar2 * (2.0 * both + 4.0 * pace * both1 + pace**2 * both2)
        pace = _next_root(pace, 8, value, slope, bend)
    return pace


def _second_root(soft: _Plane, stiff: _Plane, polar2: Num, first: Num) -> Num:
    """The next whirl above the first, with that divided out, so that two which fall together are no matter."""
    whole = _product(soft.holds, stiff.holds)
    for n, c in enumerate(_product(soft.tilts, stiff.tilts)):
        whole[n + 2] = whole[n + 2] - polar2 * c
    rest = _without(whole, first)
    pace = first
    for _ in range(4):
        pace = _next_root(pace, 7, *_with_slopes(rest, pace))
    return pace


def _without(line: Sequence[Num], root: Num) -> list[Num]:
    """A polynomial over root - w, so that it is above nought up to its first root, as what it came from."""
    rest = [-line[-1]]
    for c in line[-2:0:-1]:
        rest.insert(0, root * rest[0] - c)
    return rest


def _product(p: Sequence[Num], q: Sequence[Num]) -> list[Num]:
    """The product of two polynomials, lowest power first."""
    return [
        sum((p[i] * q[n - i] for i in range(max(0, n - len(q) + 1), min(n + 1, len(p)))), start=0.0)
        for n in range(len(p) + len(q) - 1)
    ]


def _with_slopes(line: Sequence[Num], w: Num) -> tuple[Num, Num, Num]:
    """A polynomial with its first two derivatives, by Horner's rule."""
    if isinstance(w, float) and w == 0.0:
        return line[0], line[1], 2.0 * line[2]
    *rest, last = line
    out, slope, bend = last * w + rest.pop(), last, last
    slope, out = slope * w + out, out * w + rest.pop()
    for c in reversed(rest):
        bend = bend * w + slope
        slope = slope * w + out
        out = out * w + c
    return out, slope, 2.0 * bend


def _next_root(w: Num, degree: int, value: Num, slope: Num, bend: Num) -> Num:
    """One step of Laguerre's method toward the next root above: of a polynomial with real roots only it never passes
    it, and thrice the number of right places comes with each step."""
    square = np.maximum((degree - 1.0) * ((degree - 1.0) * slope**2 - degree * value * bend), 0.0)
    return w - degree * value / (slope - np.sqrt(square))


@dataclass(frozen=True, slots=True, eq=False)
class _Plane:
    """One plane at a frequency squared w, as polynomials of w, lowest power first, over the bearing's stiffness: the
    determinant of K - w M, nought at a natural frequency; it times the propeller's turn by a moment on it, and it times
    what the bearing's spring carries of a force at the propeller, over what it carries of that at rest, and of one at
    the bearing itself. gives_at_tip: how far the propeller moves by a force on it at rest, over how far with a shaft
    that does not bend."""

    holds: tuple[Num, ...]
    tilts: tuple[Num, ...]
    pulls: tuple[Num, ...]
    bends: tuple[Num, ...]
    gives_at_tip: Num


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Form:
    """A shaft with its span, its E I and its mass per length as units, in the shapes of `shaken`.

    bends: determinant of K - w M of the three shapes that bend the shaft. drags, mixes, turns: the quadratic forms of
    its adjugate between the mass that each shape shares with the tilting of the whole (drag), what each turns the
    propeller (tilt) and, for drag alone, what it moves it (tip). crossed: of K - w M, between drag x tilt and itself.
    Polynomials of w, lowest power first. whole: mass of the tilting; reach: what that moves the propeller.
    """

    bends: tuple[Num, ...]
    drags: tuple[Num, ...]
    mixes: tuple[Num, ...]
    turns: tuple[Num, ...]
    dragged_tips: tuple[Num, ...]
    crossed: tuple[Num, Num]
    reach: Num
    whole: Num
    polar: Num
    per_n_mm: Num
    per_kg: Num
    unit_hz: Num

    @classmethod
    def of(cls, s: Overhung) -> _Form:
        """Return the shaft in those units."""
        r = s.overhang_mm / s.span_mm
        slender = (s.diameter_mm / s.span_mm) ** 2
        # Shear over bending of a load at the propeller, 3 E I / (kappa G A b l), and of half a wave on the span, with
        # its rotary inertia; kappa 0.9, E / G 2.6.
        bending = s.youngs_mpa * math.pi / 64.0 * s.diameter_mm**4 / (1.0 + 0.54 * slender / r + 2.4 * slender)
        per_kg = 1.0 / (s.line_kg_mm * s.span_mm)
        per_kg_mm2 = per_kg / s.span_mm**2
        m, diametral = s.propeller_kg * per_kg, s.diametral_kg_mm2 * per_kg_mm2
        tip = (r * (1.0 + r) / 3.0, -r / 24.0, r / 6.0)
        tilt = (1.0 / 3.0 + r / 2.0, -1.0 / 24.0, 0.5)
        own, swung = _shaft_mass(r)
        mass = tuple(
            o + m * tip[i] * tip[j] + diametral * tilt[i] * tilt[j] for o, (i, j) in zip(own, _PAIRS, strict=True)
        )
        stiff = ((1.0 + r) / 3.0, -1.0 / 24.0, 1.0 / 6.0, 1.0 / 120.0, 0.0, 1.0 / (3.0 * r))
        d0, d1, d2 = (o + m * t * (1.0 + r) + diametral * a for o, t, a in zip(swung, tip, tilt, strict=True))
        cofactors = _cofactors(stiff, mass)
        c0, c1, c2 = cofactors[:3]
        line = [(k, -m_) for k, m_ in zip(stiff, mass, strict=True)]
        unit = bending / s.span_mm**3
        cross = _vector_product((d0, d1, d2), tilt)
        return cls(
            bends=_sum(_times(line[0], c0), _times(line[1], c1), _times(line[2], c2)),
            drags=_between(cofactors, (d0, d1, d2), (d0, d1, d2)),
            mixes=_between(cofactors, (d0, d1, d2), tilt),
            turns=_between(cofactors, tilt, tilt),
            dragged_tips=_between(cofactors, (d0, d1, d2), tip),
            crossed=(_form(stiff, cross, cross), _form(mass, cross, cross)),
            reach=1.0 + r,
            whole=(1.0 + r) ** 3 / 3.0 + m * (1.0 + r) ** 2 + diametral,
            polar=s.polar_kg_mm2 * per_kg_mm2,
            per_n_mm=1.0 / unit,
            per_kg=per_kg,
            unit_hz=np.sqrt(_PER_MM * unit * per_kg) / (2.0 * math.pi),
        )

    def hz(self, w: Num) -> Num:
        """Return a frequency from the square of one in these units."""
        found: Num = self.unit_hz * np.sqrt(w)
        return found

    def plane(self, stiffness_n_mm: Num, kg: Num) -> _Plane:
        """Return a plane in which the bearing has that stiffness, and that mass goes with it."""
        gives = 1.0 / (stiffness_n_mm * self.per_n_mm)
        moved = (self.whole + kg * self.per_kg) * gives
        b, d, v, t, (c0, c1) = self.bends, self.drags, self.mixes, self.turns, self.crossed
        return _Plane(
            (
                b[0],
                b[1] - moved * b[0],
                b[2] - moved * b[1] - gives * d[0],
                b[3] - moved * b[2] - gives * d[1],
                -moved * b[3] - gives * d[2],
            ),
            (
                t[0] + gives * b[0],
                t[1] - moved * t[0] + gives * (b[1] + 2.0 * v[0]),
                t[2] - moved * t[1] + gives * (b[2] + 2.0 * v[1] - c0),
                -moved * t[2] + gives * (b[3] + 2.0 * v[2] + c1),
            ),
            (b[0], *(b[n + 1] + p / self.reach for n, p in enumerate(self.dragged_tips))),
            b,
            1.0 + (self.reach - 1.0) ** 2 * stiffness_n_mm * self.per_n_mm / (3.0 * self.reach),
        )


@once
def _form_of(shaft: Overhung) -> _Form:
    return _Form.of(shaft)


_PAIRS = ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2))


def _shaft_mass(r: Num) -> tuple[tuple[Num, ...], tuple[Num, Num, Num]]:
    """Mass of the bare shaft between the three shapes that bend it, and with its tilting as a whole.

    With the span as unit and x along it from forward, u along the overhang: (x^3 - x) / 6 and u / 3 + u^2 / 2 - u^3 /
    6 r; (x^4 - 2 x^3 + x) / 24 and - u / 24; nothing and u^3 / 6 r^2; the tilting x and 1 + u. Integrated exactly.
    """
    r2 = r * r
    r3 = r2 * r
    bent = (
        2.0 / 945.0 + r3 * (1.0 / 27.0 + r * (11.0 / 180.0 + 11.0 / 420.0 * r)),
        -17.0 / 40320.0 - r3 * (1.0 / 216.0 + 11.0 / 2880.0 * r),
        r3 * (1.0 / 90.0 + 5.0 / 504.0 * r),
        31.0 / 362880.0 + r3 / 1728.0,
        -r3 / 720.0,
        r3 / 252.0,
    )
    return bent, (
        -1.0 / 45.0 + r2 * (1.0 / 6.0 + r * (17.0 / 72.0 + 11.0 / 120.0 * r)),
        1.0 / 240.0 - r2 * (1.0 / 48.0 + r / 72.0),
        r2 * (1.0 / 24.0 + r / 30.0),
    )


def _cofactors(stiff: Sequence[Num], mass: Sequence[Num]) -> tuple[tuple[Num, Num, Num], ...]:
    """Cofactors of the symmetric 3x3 K - w M, in the order of _PAIRS, as polynomials of w."""

    def minor(i: int, j: int, k: int, n: int) -> tuple[Num, Num, Num]:
        return (
            stiff[i] * stiff[j] - stiff[k] * stiff[n],
            stiff[k] * mass[n] + stiff[n] * mass[k] - stiff[i] * mass[j] - stiff[j] * mass[i],
            mass[i] * mass[j] - mass[k] * mass[n],
        )

    # aa 0, ab 1, ac 2, bb 3, bc 4, cc 5
    return (
        minor(3, 5, 4, 4),
        minor(2, 4, 1, 5),
        minor(1, 4, 2, 3),
        minor(0, 5, 2, 2),
        minor(1, 2, 0, 4),
        minor(0, 3, 1, 1),
    )


def _form(symmetric: Sequence[Num], p: Sequence[Num], q: Sequence[Num]) -> Num:
    """p A q of a symmetric 3x3 matrix in the order of _PAIRS."""
    return _summed(symmetric, _products(p, q))


def _products(p: Sequence[Num], q: Sequence[Num]) -> list[Num]:
    return [p[i] * q[j] if i == j else p[i] * q[j] + p[j] * q[i] for i, j in _PAIRS]


def _summed(symmetric: Sequence[Num], products: Sequence[Num]) -> Num:
    return functools.reduce(operator.add, (a * k for a, k in zip(symmetric, products, strict=True)))


def _between(cofactors: Sequence[tuple[Num, Num, Num]], p: Sequence[Num], q: Sequence[Num]) -> tuple[Num, ...]:
    products = _products(p, q)
    return tuple(_summed([c[power] for c in cofactors], products) for power in range(3))


def _times(line: tuple[Num, Num], square: tuple[Num, Num, Num]) -> tuple[Num, ...]:
    (a, b), (c, d, e) = line, square
    return a * c, a * d + b * c, a * e + b * d, b * e


def _vector_product(p: Sequence[Num], q: Sequence[Num]) -> tuple[Num, Num, Num]:
    return p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]


def _sum(*polynomials: tuple[Num, ...]) -> tuple[Num, ...]:
    return tuple(a + b + c for a, b, c in zip(*polynomials, strict=True))
