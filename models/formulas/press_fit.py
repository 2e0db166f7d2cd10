"""Thick-cylinder press fit of unlike metals, with temperature and several layers.

Interference is DIAMETRAL throughout (twice the radial interference of the classic texts); diameters, not
radii. Plane stress (free ends). Elastic: compare the von Mises values with the yield before believing the
numbers.

The rubber of a lined bearing is neglected: its modulus is a thousandth or less of the shell's, so the
shell is taken as a bare ring. The closure of the running bore is then the closure of the shell bore;
incompressible rubber bonded in a long shell and unable to move lengthwise would close the running bore
more, by the ratio of the shell bore to the running bore (same volume); see ``running_closure_mm`` in the
bearing module.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

FRICTION_DRY_LOW = 0.05
"""Steel on yellow metal, dry, low end (several open pages on press fits, they scatter)."""
FRICTION_DRY_HIGH = 0.10
"""Steel on yellow metal, dry, high end (same pages)."""
FRICTION_PLANNING = 0.12
"""For choosing a press: deliberately high. Common practice, no source."""
CHILL_LIMIT_C = -28.0
"""Do not chill a rubber-lined bearing below this (reseller guidance for such bearings; published)."""


@dataclass(frozen=True, slots=True)
class Elastic:
    """Elastic constants of one ring. A wound glass-epoxy shell is entered with its hoop modulus, as if
    isotropic.
    """

    youngs_mpa: float
    poisson: float
    expansion_per_k: float


@dataclass(frozen=True, slots=True)
class PressFit:
    """What a press fit does to both rings. Stresses [MPa], tension positive; diameter changes [mm]."""

    pressure_mpa: float
    hub_hoop_bore_mpa: float
    hub_hoop_outside_mpa: float
    sleeve_hoop_outside_mpa: float
    sleeve_hoop_bore_mpa: float
    radial_interface_mpa: float
    hub_mises_bore_mpa: float
    hub_mises_outside_mpa: float
    sleeve_mises_outside_mpa: float
    sleeve_mises_bore_mpa: float
    hub_outside_growth_mm: float
    sleeve_bore_closure_mm: float
    """Loss of the sleeve bore diameter, positive when it gets smaller."""


def interface_pressure_mpa(
    interference_mm: float,
    interface_mm: float,
    hub_outside_mm: float,
    sleeve_bore_mm: float,
    hub: Elastic,
    sleeve: Elastic,
) -> float:
    """Pressure between sleeve and hub [MPa]; zero for a clearance. Broadcasts.

    ``interference_mm`` diametral, ``interface_mm`` the fit diameter, ``hub_outside_mm`` and
    ``sleeve_bore_mm`` diameters (0 = solid). Lame's thick cylinder, plane stress; published (Shigley's
    Mechanical Engineering Design, 9th ed., eqs 7-39 to 7-41). Raises ValueError unless 0 <= sleeve bore <
    interface < hub outside.
    """
    hub_k, sleeve_k = _ring_ratios(interface_mm, hub_outside_mm, sleeve_bore_mm)
    give = interface_mm * ((hub_k + hub.poisson) / hub.youngs_mpa + (sleeve_k - sleeve.poisson) / sleeve.youngs_mpa)
    pressure: float = np.maximum(interference_mm, 0.0) / give
    return pressure


def press_fit(
    interference_mm: float,
    interface_mm: float,
    hub_outside_mm: float,
    sleeve_bore_mm: float,
    hub: Elastic,
    sleeve: Elastic,
) -> PressFit:
    """Pressure, the hoop and von Mises stress at all four surfaces, outside growth and bore closure.
    Broadcasts.

    Arguments, range and errors as ``interface_pressure_mpa``. Hoop at the interface and von Mises (axial
    stress zero) as published there; the far surfaces and the diameter changes are Lame's solution too:
    closure = 2 p d^2 d_i / (E (d^2 - d_i^2)), growth = 2 p d^2 d_o / (E (d_o^2 - d^2)).
    """
    p = interface_pressure_mpa(interference_mm, interface_mm, hub_outside_mm, sleeve_bore_mm, hub, sleeve)
    hub_k, sleeve_k = _ring_ratios(interface_mm, hub_outside_mm, sleeve_bore_mm)
    hub_outer = p * (hub_k - 1.0)
    # A solid shaft carries -p throughout; a ring with any hole, however small, doubles that at the hole.
    doubling = 1.0 * np.not_equal(sleeve_bore_mm, 0.0)
    sleeve_bore = -p * (sleeve_k + doubling)
    return PressFit(
        pressure_mpa=p,
        hub_hoop_bore_mpa=p * hub_k,
        hub_hoop_outside_mpa=hub_outer,
        sleeve_hoop_outside_mpa=-p * sleeve_k,
        sleeve_hoop_bore_mpa=sleeve_bore,
        radial_interface_mpa=-p,
        hub_mises_bore_mpa=mises_mpa(p * hub_k, -p),
        hub_mises_outside_mpa=abs(hub_outer),
        sleeve_mises_outside_mpa=mises_mpa(-p * sleeve_k, -p),
        sleeve_mises_bore_mpa=abs(sleeve_bore),
        hub_outside_growth_mm=hub_outer * hub_outside_mm / hub.youngs_mpa,
        sleeve_bore_closure_mm=p * (sleeve_k + 1.0) * sleeve_bore_mm / sleeve.youngs_mpa,
    )


def mises_mpa(hoop_mpa: float, radial_mpa: float) -> float:
    """Von Mises stress [MPa] of hoop and radial stress with no axial stress. Broadcasts. Published, any
    text.
    """
    stress: float = np.sqrt(hoop_mpa**2 - hoop_mpa * radial_mpa + radial_mpa**2)
    return stress


def press_force_n(pressure_mpa: float, interface_mm: float, length_mm: float, friction: float) -> float:
    """Axial force to push the sleeve the whole way in, or to hold it [N]: pi f p l d. Broadcasts.

    Published (Shigley, 9th ed., eq. 7-48). ``length_mm`` is the engaged length. Friction scatters by two
    either way.
    """
    return np.pi * friction * pressure_mpa * length_mm * interface_mm


def holding_torque_nmm(pressure_mpa: float, interface_mm: float, length_mm: float, friction: float) -> float:
    """Torque the fit holds by friction alone [N mm]: (pi/2) f p l d^2. Broadcasts.

    Published (Shigley, 9th ed., eq. 7-49). Use the low friction here and the high one for the press.
    """
    return press_force_n(pressure_mpa, interface_mm, length_mm, friction) * interface_mm / 2.0


def interference_at_temperature_mm(
    interference_mm: float, interface_mm: float, hub: Elastic, sleeve: Elastic, rise_k: float
) -> float:
    """Diametral interference [mm] after both parts change by ``rise_k`` [K] from where it was measured.
    Broadcasts.

    delta + d (alpha_sleeve - alpha_hub) rise. Exact for free expansion. A shop at 20 C and sea water from
    0 to 35 C means rises of -20 to +15 K.
    """
    return interference_mm + interface_mm * (sleeve.expansion_per_k - hub.expansion_per_k) * rise_k


def thermal_change_mm(diameter_mm: float, expansion_per_k: float, rise_k: float) -> float:
    """Free change of a diameter [mm] for a temperature rise [K], negative when chilled. Broadcasts.
    Exact.
    """
    return diameter_mm * expansion_per_k * rise_k


@dataclass(frozen=True, slots=True)
class FreeAssembly:
    """Temperatures [C] at which the sleeve drops into the hub with the wanted gap."""

    heat_hub_alone_c: float
    chill_sleeve_alone_c: float
    sleeve_c: float
    """Sleeve temperature when it is chilled no further than the limit."""
    heat_hub_with_chill_c: float
    """Hub temperature that does the rest with the sleeve at ``sleeve_c``; the shop temperature if chill is
    enough.
    """


def free_assembly(
    interference_mm: float,
    gap_mm: float,
    interface_mm: float,
    hub: Elastic,
    sleeve: Elastic,
    shop_c: float = 20.0,
    chill_limit_c: float = CHILL_LIMIT_C,
) -> FreeAssembly:
    """Heating and chilling that turn ``interference_mm`` into a clearance of ``gap_mm``, both diametral.
    Broadcasts.

    Change needed = (delta + gap) / (alpha d); published (any text on shrink fits). ``chill_limit_c``
    guards the rubber and must be below the shop temperature (ValueError).
    """
    if not np.all(np.less(chill_limit_c, shop_c)):
        raise ValueError("chill_limit_c must be colder than shop_c")
    travel = np.maximum(interference_mm + gap_mm, 0.0)
    chill_alone = shop_c - travel / (sleeve.expansion_per_k * interface_mm)
    sleeve_c = np.maximum(chill_alone, chill_limit_c)
    left = travel - sleeve.expansion_per_k * interface_mm * (shop_c - sleeve_c)
    return FreeAssembly(
        heat_hub_alone_c=shop_c + travel / (hub.expansion_per_k * interface_mm),
        chill_sleeve_alone_c=chill_alone,
        sleeve_c=sleeve_c,
        heat_hub_with_chill_c=shop_c + np.maximum(left, 0.0) / (hub.expansion_per_k * interface_mm),
    )


@dataclass(frozen=True, slots=True)
class Layer:
    """One ring of a nest, from its inside to its outside diameter [mm]; inside 0 = solid."""

    inside_mm: float
    outside_mm: float
    metal: Elastic


@dataclass(frozen=True, slots=True)
class Nest:
    """A nest of rings after assembly, listed from the innermost outwards."""

    pressure_mpa: tuple[float, ...]
    """At each interface; 0 where the two rings do not touch."""
    hoop_inside_mpa: tuple[float, ...]
    hoop_outside_mpa: tuple[float, ...]
    bore_closure_mm: float
    """Loss of the innermost bore diameter, thermal change included."""
    outside_growth_mm: float
    """Growth of the outermost diameter, thermal change included."""


def nest(layers: Sequence[Layer], interferences_mm: Sequence[float], rise_k: float = 0.0) -> Nest:
    """Several rings one inside the other (shell, liner, barrel), each pair with its diametral interference
    [mm].

    ``layers`` run from the innermost outwards; ``interferences_mm`` has one value per interface, negative
    for a gap; ``rise_k`` [K] from the temperature the interferences were measured at. Lame's solution for
    every ring with the diameters made to match (linear superposition; published method, any
    strength-of-materials text). Interfaces that would need tension are left open. Adjacent diameters are
    taken equal: outside and inside of neighbours may differ by less than 1 % (ValueError). Plain numbers
    only.
    """
    count = len(layers) - 1
    if count < 0 or len(interferences_mm) != count:
        raise ValueError("interferences_mm needs one value for each pair of neighbouring layers")
    for layer in layers:
        if not 0.0 <= layer.inside_mm < layer.outside_mm:
            raise ValueError("every layer needs 0 <= inside_mm < outside_mm")
    for inner, outer in pairwise(layers):
        if abs(inner.outside_mm - outer.inside_mm) > 0.01 * outer.inside_mm:
            raise ValueError("neighbouring layers must share a diameter")

    # Diameter change of ring i: inside = aa*p_in - ab*p_out, outside = ba*p_in - bb*p_out (p_in, p_out its
    # pressures).
    give = [_ring_give(layer) for layer in layers]
    matrix = np.zeros((count, count))
    wanted = np.zeros(count)
    for k in range(count):
        inner, outer = layers[k], layers[k + 1]
        matrix[k, k] = give[k][3] + give[k + 1][0]
        if k > 0:
            matrix[k, k - 1] = -give[k][2]
        if k + 1 < count:
            matrix[k, k + 1] = -give[k + 1][1]
        wanted[k] = interferences_mm[k] + inner.outside_mm * rise_k * (
            inner.metal.expansion_per_k - outer.metal.expansion_per_k
        )
    pressures = _contact_pressures(matrix, wanted)

    inward = np.concatenate(([0.0], pressures))
    outward = np.concatenate((pressures, [0.0]))
    hoops = [_hoops(ring, float(p), float(q)) for ring, p, q in zip(layers, inward, outward, strict=True)]
    first, last = layers[0], layers[-1]
    closure = give[0][1] * outward[0] - first.inside_mm * first.metal.expansion_per_k * rise_k
    growth = give[-1][2] * inward[-1] + last.outside_mm * last.metal.expansion_per_k * rise_k
    return Nest(
        pressure_mpa=tuple(float(p) for p in pressures),
        hoop_inside_mpa=tuple(h[0] for h in hoops),
        hoop_outside_mpa=tuple(h[1] for h in hoops),
        bore_closure_mm=float(closure),
        outside_growth_mm=float(growth),
    )


def _ring_ratios(interface_mm: float, hub_outside_mm: float, sleeve_bore_mm: float) -> tuple[float, float]:
    """Hoop stress over pressure at the interface, hub and sleeve (both positive)."""
    d, outside, bore = np.asarray(interface_mm), np.asarray(hub_outside_mm), np.asarray(sleeve_bore_mm)
    if not np.all((bore >= 0.0) & (bore < d) & (d < outside)):
        raise ValueError("diameters must rise: 0 <= sleeve bore < interface < hub outside")
    hub_k: float = ((outside**2 + d**2) / (outside**2 - d**2))[()]
    sleeve_k: float = ((d**2 + bore**2) / (d**2 - bore**2))[()]
    return hub_k, sleeve_k


def _ring_give(layer: Layer) -> tuple[float, float, float, float]:
    """Diameter change per unit pressure: inside/inside, inside/outside, outside/inside, outside/outside."""
    a, b, e, nu = layer.inside_mm, layer.outside_mm, layer.metal.youngs_mpa, layer.metal.poisson
    ratio = (b * b + a * a) / (b * b - a * a)
    cross = 2.0 * a * b / (b * b - a * a)
    return a / e * (ratio + nu), b / e * cross, a / e * cross, b / e * (ratio - nu)


def _hoops(layer: Layer, inward_mpa: float, outward_mpa: float) -> tuple[float, float]:
    """Hoop stress at the inside and the outside of a ring."""
    a2, b2 = layer.inside_mm**2, layer.outside_mm**2
    mean = (a2 * inward_mpa - b2 * outward_mpa) / (b2 - a2)
    at_outside = 2.0 * mean + outward_mpa
    return (2.0 * mean + inward_mpa if a2 > 0.0 else -outward_mpa), at_outside


def _contact_pressures(matrix: NDArray[np.float64], wanted: NDArray[np.float64]) -> NDArray[np.float64]:
    """Pressures >= 0 with no overlap left: try every set of touching interfaces, the fullest first."""
    count = len(wanted)
    for touching in range(count, 0, -1):
        for chosen in combinations(range(count), touching):
            pick = list(chosen)
            p = np.zeros(count)
            p[pick] = np.linalg.solve(matrix[np.ix_(pick, pick)], wanted[pick])
            if np.all(p >= 0.0) and np.all(matrix @ p >= wanted - 1e-12 * (1.0 + abs(wanted))):
                return p
    return np.zeros(count)
