"""Fits, and thick-cylinder press fits of unlike metals with temperature.

Every interference is DIAMETRAL, positive interference, negative clearance (twice the radial interference of the classic
texts); diameters, not radii. Plane stress (free ends). Elastic: compare the von Mises values with the yield before
believing the numbers.

The rubber of a lined bearing is neglected: its modulus is a thousandth or less of the shell's, so the shell is taken as
a bare ring. The closure of the running bore is that of the shell bore at least; see `stiff_closure_mm` of bearings for
the most, of rubber that cannot move.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Floats, Num


@dataclass(frozen=True, slots=True)
class Fit:
    """Interference of a fit, mm on the diameter, negative for clearance: least, middle and most of the limits."""

    least_mm: Num
    middle_mm: Num
    most_mm: Num


def fit_from_limits(hole_lower_mm: Num, hole_upper_mm: Num, shaft_lower_mm: Num, shaft_upper_mm: Num) -> Fit:
    """Fit from the limits of hole and shaft, mm, as sizes or as deviations from one nominal size.

    least = shaft lower - hole upper, most = shaft upper - hole lower (ISO 286-1 definition; published).

    >>> round(fit_from_limits(0.0, 0.025, 0.043, 0.059).least_mm, 6)  # 50 H7/s6
    0.018
    """
    least, most = shaft_lower_mm - hole_upper_mm, shaft_upper_mm - hole_lower_mm
    return Fit(least, (least + most) / 2.0, most)


@dataclass(frozen=True, slots=True)
class Elastic:
    """Elastic constants of one ring. A wound glass-epoxy shell is entered with its hoop modulus, as if isotropic."""

    youngs_mpa: Num
    poisson: Num
    expansion_per_k: Num


@dataclass(frozen=True, slots=True)
class PressFit:
    """What a press fit does: pressure and von Mises stress at the bore of both rings, MPa.

    sleeve_bore_closure_mm: loss of the sleeve bore diameter, positive when it gets smaller.
    """

    pressure_mpa: Num
    hub_mises_bore_mpa: Num
    sleeve_mises_bore_mpa: Num
    sleeve_bore_closure_mm: Num


def press_fit(
    interference_mm: Num, interface_mm: Num, hub_outside_mm: Num, sleeve_bore_mm: Num, hub: Elastic, sleeve: Elastic
) -> PressFit:
    """Pressure (zero for a clearance), von Mises stress at the bore of hub and sleeve, and closure of the sleeve bore.

    ``interference_mm`` diametral, ``interface_mm`` the fit diameter, ``hub_outside_mm`` and ``sleeve_bore_mm``
    diameters (0 = solid). Lame's thick cylinder, plane stress; published (Shigley's Mechanical Engineering Design, 9th
    ed., eqs 7-39 to 7-41, axial stress zero); closure = 2 p d^2 d_i / (E (d^2 - d_i^2)). Raises ValueError unless
    0 <= sleeve bore < interface < hub outside.

    >>> steel = Elastic(30e6, 0.3, 0.0)  # psi and in; the classic text prints 4050 psi
    >>> round(float(press_fit(0.010, 12.0, 16.0, 8.0, steel, steel).pressure_mpa))
    4051
    """
    d, outside, bore = np.asarray(interface_mm), np.asarray(hub_outside_mm), np.asarray(sleeve_bore_mm)
    if not np.all((bore >= 0.0) & (bore < d) & (d < outside)):
        raise ValueError("diameters must rise: 0 <= sleeve bore < interface < hub outside")
    # Hoop stress over pressure at the interface, of hub and sleeve (both positive).
    hub_k: Num = ((outside**2 + d**2) / (outside**2 - d**2))[()]
    sleeve_k: Num = ((d**2 + bore**2) / (d**2 - bore**2))[()]
    give = interface_mm * ((hub_k + hub.poisson) / hub.youngs_mpa + (sleeve_k - sleeve.poisson) / sleeve.youngs_mpa)
    p: Num = np.maximum(interference_mm, 0.0) / give
    # A solid shaft carries -p throughout; a ring with any hole, however small, doubles that at the hole.
    doubling = 1.0 * np.not_equal(sleeve_bore_mm, 0.0)
    return PressFit(
        pressure_mpa=p,
        hub_mises_bore_mpa=mises_mpa(p * hub_k, -p),
        sleeve_mises_bore_mpa=p * (sleeve_k + doubling),
        sleeve_bore_closure_mm=p * (sleeve_k + 1.0) * sleeve_bore_mm / sleeve.youngs_mpa,
    )


def mises_mpa(hoop_mpa: Num, radial_mpa: Num) -> Num:
    """Von Mises stress, MPa, of hoop and radial stress with no axial stress. Published, any text.

    >>> float(mises_mpa(3.0, -5.0))  # root of 9 + 15 + 25
    7.0
    """
    stress: Num = np.sqrt(hoop_mpa**2 - hoop_mpa * radial_mpa + radial_mpa**2)
    return stress


def press_force_n(pressure_mpa: Num, interface_mm: Num, length_mm: Num, friction: float) -> Num:
    """Axial force to push the sleeve the whole way in, or to hold it, N: pi f p l d.

    Published (Shigley, 9th ed., eq. 7-48). ``length_mm`` is the engaged length. Friction scatters by two either way.

    >>> round(press_force_n(10.0, 50.0, 100.0, 0.1))  # pi x 5000
    15708
    """
    return np.pi * friction * pressure_mpa * length_mm * interface_mm


def stroke_force_n(
    stroke_mm: Floats,
    bore: Callable[[Floats], Floats],
    outside: Callable[[Floats], Floats],
    *,
    bore_length_mm: float,
    sleeve_length_mm: float,
    pressure_per_mm: float,
    friction: float,
    steps: int = 200,
) -> Floats:
    """Force, N, that pushes a sleeve on when it is in by each stroke: pi f d p summed over what of it touches.

    bore: diameter (mm) by the distance from the mouth; outside: of the sleeve by that from its leading end. Each ring
    presses by the interference where it stands then; a ring that is loose carries nothing. ``pressure_per_mm``: MPa per
    mm of interference. The sum of `press_force_n` over short rings; stiffness along the sleeve is left out.

    >>> flat = lambda d: lambda at: np.full_like(at, d)
    >>> force = stroke_force_n(np.array([50.0, 100.0]), flat(50.0), flat(50.04), bore_length_mm=100.0,
    ...     sleeve_length_mm=100.0, pressure_per_mm=250.0, friction=0.1)
    >>> [round(f) for f in force]  # 10 MPa over half the length and the whole of it
    [7854, 15708]
    """
    part = (np.arange(steps) + 0.5) * sleeve_length_mm / steps
    along: Floats = stroke_mm[:, None] - part[None, :]
    d = bore(along)
    interference = np.maximum(outside(np.broadcast_to(part, along.shape)) - d, 0.0)
    inside = (along >= 0.0) & (along <= bore_length_mm)
    each = np.where(inside, interference * d, 0.0) * pressure_per_mm
    force: Floats = np.pi * friction * each.sum(axis=1) * sleeve_length_mm / steps
    return force


def holding_torque_nmm(pressure_mpa: Num, interface_mm: Num, length_mm: Num, friction: float) -> Num:
    """Torque the fit holds by friction alone, N mm: (pi/2) f p l d^2.

    Published (Shigley, 9th ed., eq. 7-49). Use the low friction here and the high one for the press.

    >>> round(holding_torque_nmm(10.0, 50.0, 100.0, 0.1))  # the force above at 25 mm
    392699
    """
    return press_force_n(pressure_mpa, interface_mm, length_mm, friction) * interface_mm / 2.0


def warmed_mm(interface_mm: Num, hub: Elastic, sleeve: Elastic, rise_k: float) -> Num:
    """What the interference gains, mm on the diameter, when both parts warm by ``rise_k`` from where it was measured.

    d (alpha_sleeve - alpha_hub) rise. Exact for free expansion. A shop at 20 C and sea water from 0 to 35 C means rises
    of -20 to +15 K.

    >>> round(warmed_mm(70.0, Elastic(193e3, 0.3, 15.9e-6), Elastic(103e3, 0.34, 19e-6), -20.0), 5)
    -0.00434
    """
    return interface_mm * (sleeve.expansion_per_k - hub.expansion_per_k) * rise_k


@dataclass(frozen=True, slots=True)
class FreeAssembly:
    """Temperatures, C, at which the sleeve drops into the hub with the wanted gap.

    sleeve_c: of the sleeve when it is chilled no further than the limit. heat_hub_with_chill_c: of the hub that does
    the rest; the shop temperature if chill is enough.
    """

    sleeve_c: Num
    heat_hub_with_chill_c: Num


def free_assembly(
    interference_mm: Num,
    gap_mm: float,
    interface_mm: Num,
    hub: Elastic,
    sleeve: Elastic,
    shop_c: float,
    coldest_c: float,
) -> FreeAssembly:
    """Heating and chilling that turn ``interference_mm`` into a clearance of ``gap_mm``, both diametral.

    Change needed = (delta + gap) / (alpha d); published (any text on shrink fits). coldest_c guards the rubber.

    >>> brass = Elastic(103e3, 0.34, 19e-6)
    >>> round(float(free_assembly(0.05, 0.0, 55.0, brass, brass, 20.0, -28.0).sleeve_c), 2)  # 47.85 K
    -27.85
    """
    travel = np.maximum(interference_mm + gap_mm, 0.0)
    sleeve_c = np.maximum(shop_c - travel / (sleeve.expansion_per_k * interface_mm), coldest_c)
    left = travel - sleeve.expansion_per_k * interface_mm * (shop_c - sleeve_c)
    return FreeAssembly(
        sleeve_c=sleeve_c, heat_hub_with_chill_c=shop_c + np.maximum(left, 0.0) / (hub.expansion_per_k * interface_mm)
    )
