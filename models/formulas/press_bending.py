"""Elastic-plastic bending and twisting of a plate in a press, with linear hardening and springback.

The metal yields at s_y and hardens with the share h of its elastic stiffness. Such a metal is the sum of one that does
not harden (share 1 - h) and one that stays elastic (share h), so that the textbook law of the perfectly plastic section
(Prager and Hodge, Theory of Perfectly Plastic Solids, from memory) gives its moment exactly:

    m = (1 - h)(1.5 - 0.5 / k^2) + h k        k = curvature / that at first yield, m = moment / that at first yield

Deflection under a load at mid-span is the curvature integrated twice along a moment that falls off linearly, which has
a closed form too. Shear deflects elastically (Timoshenko, factor 5/6). Small deflections, no dents under the bars.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Num
from strutwright.models.formulas import flattening

_POISSON = 0.3
_SHEAR_FACTOR = 5.0 / 6.0
_MOST_CURVATURE = 1.0e4


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
        return flattening.yield_deflection_mm(self.yield_mpa, self.youngs_mpa, self.thickness_mm, self.span_mm)

    @property
    def yield_force_n(self) -> Num:
        """Force at first yield."""
        return flattening.yield_force_n(self.yield_mpa, self.width_mm, self.thickness_mm, self.span_mm)

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


def stroke_for_set(strip: Strip, set_mm: Num) -> tuple[Num, Bent]:
    """Return the stroke that leaves a set, mm, and what it does. A set of 0 or less takes no more than first yield.

    >>> strip = Strip(width_mm=150, thickness_mm=20, span_mm=300, yield_mpa=250, youngs_mpa=200e3, hardening=0.02)
    >>> made, bent = stroke_for_set(strip, 2.0)
    >>> round(float(stroke(strip, made).set_mm), 6), round(float(made - bent.springback_mm), 6)
    (2.0, 2.0)
    """
    dy = strip.yield_deflection_mm

    def left(k: Num) -> Num:
        return dy * (mid_deflection_ratio(k, strip.hardening) - moment_ratio(k, strip.hardening))

    bent = _bent(strip, _curvature(left, set_mm, dy, least=1.0))
    return bent.set_mm + bent.springback_mm, bent


def _curvature(of: object, wanted_mm: Num, dy: Num, least: float = 0.0) -> Num:
    """The curvature ratio at which a rising function has a value, by bisection; the greatest where it never gets there.

    Bisection is on log(1 + k): the curvature under the load runs to thousands where the metal hardly hardens.
    """
    assert callable(of)
    zero = 0.0 * (np.asarray(wanted_mm, dtype=float) + dy)
    low, high = zero + np.log1p(least), zero + np.log1p(_MOST_CURVATURE)
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


def wind_for_set(plate: Strip, along_mm: float, across_mm: float, set_mm: Num) -> tuple[Num, Bent]:
    """Return how far to wind a plate so that a set stays, mm, and what that does.

    >>> plate = Strip(width_mm=150, thickness_mm=20, span_mm=300, yield_mpa=250, youngs_mpa=200e3, hardening=0.0)
    >>> wound, bent = wind_for_set(plate, 300, 150, 1.0)
    >>> round(float(bent.set_mm), 6)
    1.0
    """
    dy = twist_yield_mm(plate, along_mm, across_mm)

    def left(k: Num) -> Num:
        return dy * (k - moment_ratio(k, plate.hardening))

    wound = _curvature(left, set_mm, dy, least=1.0) * dy
    return wound, twist(plate, along_mm, across_mm, wound)


def bar_pressure_mpa(force_n: Num, length_mm: float, bar_mm: float, youngs_mpa: float) -> Num:
    """Greatest pressure of a round steel bar along a flat, MPa: sqrt(F E* / (pi l R)) (Hertz; Johnson, Contact
    Mechanics, from memory). The bar has 207 000 for E.

    >>> round(float(bar_pressure_mpa(100e3, 250.0, 40.0, 200e3)))
    844
    """
    together = 1.0 / ((1.0 - _POISSON**2) * (1.0 / youngs_mpa + 1.0 / 207e3))
    pressure: Num = np.sqrt(np.asarray(force_n) * together / (np.pi * length_mm * bar_mm / 2.0))
    return pressure
