"""Elastic-plastic bending and twisting of a plate in a press, with linear hardening and springback.

The metal yields at s_y and hardens with the share h of its elastic stiffness. Such a metal is the sum of one that does
not harden (share 1 - h) and one that stays elastic (share h), so that the textbook law of the perfectly plastic section
(Prager and Hodge, Theory of Perfectly Plastic Solids, from memory) gives its moment exactly:

    m = (1 - h)(1.5 - 0.5 / k^2) + h k        k = curvature / that at first yield, m = moment / that at first yield

Deflection under a load at mid-span is the curvature integrated twice along a moment that falls off linearly, which has
a closed form too. Shear deflects elastically (Timoshenko, factor 5/6). Small deflections, no dents under the bars.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Num

Floats: TypeAlias = NDArray[np.float64]
_POISSON = 0.3
_SHEAR_FACTOR = 5.0 / 6.0
_MOST_CURVATURE = 1.0e4
_POINTS, _MOST_STROKE = 240, 400.0
"""Points of a `Curve`, and its last stroke over the deflection at first yield."""


def yield_force_n(yield_mpa: Num, width_mm: Num, thickness_mm: Num, span_mm: Num) -> Num:
    """Press force at first yield, N: (2/3) s_y b t^2 / L. Exact.

    >>> round(yield_force_n(250.0, 150.0, 20.0, 300.0))
    33333
    """
    return 2.0 / 3.0 * yield_mpa * width_mm * thickness_mm**2 / span_mm


def yield_deflection_mm(yield_mpa: Num, youngs_mpa: Num, thickness_mm: Num, span_mm: Num) -> Num:
    """Mid-span deflection at first yield, mm: s_y L^2 / (6 E t). Exact.

    >>> yield_deflection_mm(250.0, 200e3, 20.0, 300.0)
    0.9375
    """
    return yield_mpa * span_mm**2 / (6.0 * youngs_mpa * thickness_mm)


def set_strain(set_mm: Num, thickness_mm: Num, span_mm: Num) -> Num:
    """Surface strain of a set, a share: 4 t s / S^2, the set bent as one arc over the span. Practice.

    A hinge concentrates it over about the plastic zone, up to three times this at mid-span.

    >>> set_strain(2.0, 16.0, 100.0)
    0.0128
    """
    return 4.0 * thickness_mm * set_mm / span_mm**2


def moment_ratio(curvature_ratio: Num, hardening: Num) -> Num:
    """Moment over that at first yield, of a curvature over that at first yield.

    hardening: tangent over elastic modulus, 0 to 1.

    >>> float(moment_ratio(2.0, 0.0)), round(float(moment_ratio(2.0, 0.1)), 4)  # 0.9 x 1.375 + 0.1 x 2
    (1.375, 1.4375)
    """
    k = np.maximum(curvature_ratio, 1.0)
    bent: Num = (1.0 - hardening) * (1.5 - 0.5 / k**2) + hardening * k
    return np.where(np.less(curvature_ratio, 1.0), curvature_ratio, bent)


def mid_deflection_ratio(curvature_ratio: Num, hardening: Num) -> Num:
    """Deflection at mid-span over that at first yield, of the curvature under the load over that at first yield.

    >>> round(float(mid_deflection_ratio(1e6, 0.0)), 4), float(mid_deflection_ratio(0.5, 0.0))  # 20/9 at the hinge
    (2.2222, 0.5)
    """
    k = np.maximum(curvature_ratio, 1.0)
    a, b, h = 1.5 * (1.0 - hardening), 0.5 * (1.0 - hardening), hardening
    integral = (
        1.0 / 3.0
        + a * h * (k**2 - 1.0) / 2.0
        + h**2 * (k**3 - 1.0) / 3.0
        + h * b * np.log(k)
        + 2.0 * a * b * (1.0 - 1.0 / k)
        - 2.0 / 3.0 * b**2 * (1.0 - 1.0 / k**3)
    )
    bent: Num = 3.0 * integral / moment_ratio(k, h) ** 2
    return np.where(np.less(curvature_ratio, 1.0), curvature_ratio, bent)


def shear_share(thickness_mm: Num, span_mm: Num, poisson: float = _POISSON) -> Num:
    """Elastic deflection by shear over that by bending, load at mid-span: 2.4 (1 + nu) (t / L)^2.

    From P L / (4 (5/6) G b t) over P L^3 / (4 E b t^3).

    >>> round(float(shear_share(16.0, 100.0)), 5)
    0.07987
    """
    share: Num = 2.0 * (1.0 + poisson) / _SHEAR_FACTOR * np.divide(thickness_mm, span_mm) ** 2
    return share


@dataclass(frozen=True, slots=True)
class Bent:
    """What a stroke does: force (N), what springs back and what stays (mm), and the strain under the load (a share)."""

    force_n: Num
    springback_mm: Num
    set_mm: Num
    strain: Num


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A strip of plate on two supports, pressed half way between them; lengths in mm, stresses in MPa.

    hardening: tangent over elastic modulus.
    """

    width_mm: float
    thickness_mm: float
    span_mm: float
    yield_mpa: Num
    youngs_mpa: float
    hardening: Num

    @property
    def yield_deflection_mm(self) -> Num:
        """Deflection at first yield by bending alone."""
        return yield_deflection_mm(self.yield_mpa, self.youngs_mpa, self.thickness_mm, self.span_mm)

    @property
    def yield_force_n(self) -> Num:
        """Force at first yield."""
        return yield_force_n(self.yield_mpa, self.width_mm, self.thickness_mm, self.span_mm)

    @property
    def elastic_share(self) -> Num:
        """Elastic deflection with shear, over that by bending alone."""
        return 1.0 + shear_share(self.thickness_mm, self.span_mm)


def stroke(strip: Strip, stroke_mm: Num) -> Bent:
    """Return what a stroke does that presses the middle of a strip down by so much, from touching.

    >>> strip = Strip(width_mm=150, thickness_mm=20, span_mm=300, yield_mpa=250, youngs_mpa=200e3, hardening=0.0)
    >>> round(float(stroke(strip, 1.901 + 1.49452 * 0.9375 * 0.013867).set_mm), 2)  # perfectly plastic: a set of 0.5
    0.5
    """
    dy, shear = strip.yield_deflection_mm, shear_share(strip.thickness_mm, strip.span_mm)

    def pressed(k: Num) -> Num:
        return dy * (mid_deflection_ratio(k, strip.hardening) + shear * moment_ratio(k, strip.hardening))

    return _bent(strip, _curvature(pressed, stroke_mm, dy))


def _curvature(of: object, wanted_mm: Num, dy: Num) -> Num:
    """The curvature ratio at which a rising function has a value, by bisection; the greatest where it never gets there.

    Bisection is on log(1 + k): the curvature under the load runs to thousands where the metal hardly hardens.
    """
    assert callable(of)
    zero = 0.0 * (np.asarray(wanted_mm, dtype=float) + dy)
    low, high = zero.copy(), zero + np.log1p(_MOST_CURVATURE)
    for _ in range(60):
        middle = (low + high) / 2.0
        under = of(np.expm1(middle)) < wanted_mm
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    found: Num = np.expm1((low + high) / 2.0)
    return found


def _bent(strip: Strip, k: Num) -> Bent:
    m = moment_ratio(k, strip.hardening)
    dy = strip.yield_deflection_mm
    return Bent(
        force_n=m * strip.yield_force_n,
        springback_mm=m * dy * strip.elastic_share,
        set_mm=dy * (mid_deflection_ratio(k, strip.hardening) - m),
        strain=k * strip.yield_mpa / strip.youngs_mpa,
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Curve:
    """What strokes of growing length do at one yield: sets, springbacks (mm) and forces (N), sets rising.

    Strains scale with the strain at yield and nothing else does, so that at another yield all three are in its ratio.
    """

    yield_mpa: float
    set_mm: Floats
    springback_mm: Floats
    force_n: Floats

    def springback(self, yield_mpa: Num, set_mm: Num) -> Num:
        """Return the springback of the stroke that leaves a set, mm."""
        share = np.divide(yield_mpa, self.yield_mpa)
        return share * np.interp(np.maximum(set_mm, 0.0) / share, self.set_mm, self.springback_mm)

    def force(self, yield_mpa: Num, set_mm: Num) -> Num:
        """Return the force that leaves a set, N."""
        share = np.divide(yield_mpa, self.yield_mpa)
        return share * np.interp(np.maximum(set_mm, 0.0) / share, self.set_mm, self.force_n)


def curve_of(strips: Sequence[Strip]) -> Curve:
    """Return what strokes do to strips side by side of one metal that are pressed down together, such as a palm's plate
    beside the root of its arm and at it: where the middle of a strip is held stiff over a length a, both flanks bend as
    those of a strip of the span less a.

    All go down alike, and what they hold back together springs back by what all of them are stiff.

    >>> one = Strip(width_mm=75, thickness_mm=20, span_mm=300, yield_mpa=250, youngs_mpa=200e3, hardening=0.02)
    >>> both = curve_of([one, one])
    >>> alone = stroke(one, 4.0)
    >>> left = float(alone.set_mm)
    >>> float(round(both.springback(250.0, left), 2)), float(round(alone.springback_mm, 2))
    (1.64, 1.64)
    >>> float(round(both.force(250.0, left) / alone.force_n, 3))
    2.0
    """
    first = min(float(s.yield_deflection_mm * s.elastic_share) for s in strips)
    last = _MOST_STROKE * max(float(s.yield_deflection_mm) for s in strips)
    strokes = np.geomspace(first, last, _POINTS)
    force = np.sum([np.asarray(stroke(s, strokes).force_n) for s in strips], axis=0)
    stiff = sum(float(s.yield_force_n / (s.yield_deflection_mm * s.elastic_share)) for s in strips)
    back = force / stiff
    sets = np.maximum.accumulate(np.maximum(strokes - back, 0.0))
    return Curve(yield_mpa=float(strips[0].yield_mpa), set_mm=sets, springback_mm=back, force_n=force)


def twist_curve(plate: Strip, along_mm: float, across_mm: float) -> Curve:
    """Return what winding a plate by its corners does; see `twist`. The force is that at each pressed corner.

    >>> plate = Strip(width_mm=150, thickness_mm=20, span_mm=300, yield_mpa=250, youngs_mpa=200e3, hardening=0.02)
    >>> bent = twist(plate, 300, 150, 4.0)
    >>> float(round(twist_curve(plate, 300, 150).springback(250.0, bent.set_mm) / bent.springback_mm, 3))
    1.0
    """
    wound = np.geomspace(1.0, _MOST_STROKE, _POINTS) * float(twist_yield_mm(plate, along_mm, across_mm))
    bent = twist(plate, along_mm, across_mm, wound)
    sets = np.maximum.accumulate(np.maximum(np.asarray(bent.set_mm), 0.0))
    return Curve(
        yield_mpa=float(plate.yield_mpa),
        set_mm=sets,
        springback_mm=np.asarray(bent.springback_mm),
        force_n=np.asarray(bent.force_n),
    )


def twist(plate: Strip, along_mm: float, across_mm: float, wound_mm: Num) -> Bent:
    """Return what winding a plate does that rests on two opposite corners and is pressed down at the two others.

    along_mm, across_mm: distances of the corners. wound_mm: how far the pressed corners go down against those that
    rest. The twist is even over the plate and its shear stress runs through the thickness as bending stress does, with
    s_y / sqrt(3) for yield and G for E (Timoshenko, Theory of Plates, plate bent by forces at its corners; yield of
    von Mises). force_n: at each of the two corners. strain: the equal of a bending strain, shear strain / sqrt(3).

    >>> plate = Strip(width_mm=150, thickness_mm=20, span_mm=300, yield_mpa=250, youngs_mpa=200e3, hardening=0.0)
    >>> round(float(twist(plate, 300, 150, 1.0).force_n))  # 4 G t^3 w / (6 L B)
    9117
    """
    dy = twist_yield_mm(plate, along_mm, across_mm)
    k = np.divide(wound_mm, dy)
    m = moment_ratio(k, plate.hardening)
    force = np.asarray(plate.yield_mpa) / np.sqrt(3.0) * plate.thickness_mm**2 / 6.0 * 2.0 * m
    return Bent(
        force_n=force,
        springback_mm=m * dy,
        set_mm=(k - m) * dy,
        strain=k * plate.yield_mpa / plate.youngs_mpa * _TWIST_STRAIN,
    )


_TWIST_STRAIN = 2.0 * (1.0 + _POISSON) / 3.0
"""Shear strain at yield / sqrt(3), over the bending strain at yield: s_y / (sqrt(3) G) / sqrt(3) over s_y / E."""


def twist_yield_mm(plate: Strip, along_mm: float, across_mm: float) -> Num:
    """How far the pressed corners go down at first yield, mm: s_y L B / (2 sqrt(3) G t).

    >>> plate = Strip(width_mm=150, thickness_mm=20, span_mm=300, yield_mpa=250, youngs_mpa=200e3, hardening=0.0)
    >>> round(float(twist_yield_mm(plate, 300, 150)), 4)
    2.1109
    """
    shear_modulus = plate.youngs_mpa / (2.0 * (1.0 + _POISSON))
    gamma = np.asarray(plate.yield_mpa) / np.sqrt(3.0) / shear_modulus
    wound: Num = gamma / plate.thickness_mm * along_mm * across_mm / 2.0
    return wound


def bar_pressure_mpa(force_n: Num, length_mm: float, bar_mm: float, youngs_mpa: float) -> Num:
    """Greatest pressure of a round steel bar along a flat, MPa: sqrt(F E* / (pi l R)) (Hertz; Johnson, Contact
    Mechanics, from memory). The bar has 207 000 for E.

    >>> round(float(bar_pressure_mpa(100e3, 250.0, 40.0, 200e3)))
    844
    """
    together = 1.0 / ((1.0 - _POISSON**2) * (1.0 / youngs_mpa + 1.0 / 207e3))
    pressure: Num = np.sqrt(np.asarray(force_n) * together / (np.pi * length_mm * bar_mm / 2.0))
    return pressure
