"""Natural frequencies of the strut and of the shaft, and how far they are from shaft rate and blade rate.

Masses kg, lengths mm, stiffness N/mm, frequencies Hz. Damping and gyroscopic effects are left out; water
enters as
added mass. Guidance: the hull the palm sits on is taken as rigid, so true frequencies are lower.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from strutwright.models.formulas.arm_rules import Num, RuleValue
from strutwright.models.formulas.frames3d import cross_matrix, local_stiffness

FloatArray = npt.NDArray[np.float64]
_PER_MM = 1000.0  # N/mm over kg to 1/s^2


def natural_frequencies_hz(stiffness: FloatArray, mass: FloatArray) -> FloatArray:
    """Frequencies of K x = w^2 M x in Hz, rising; K (n, n) in N, mm, rad positive definite, M in kg, mm.

    Solved as 1/w^2 of L^-1 M L^-T, so M may be singular (its massless modes come out infinite and are
    dropped).
    Raises ValueError when K is not positive definite (something is not held).
    """
    size = 1.0 / np.sqrt(np.diag(stiffness))
    try:
        lower = np.linalg.cholesky(stiffness * size[:, None] * size[None, :])
    except np.linalg.LinAlgError as error:
        raise ValueError("the structure is not held: its stiffness is not positive definite") from error
    half = np.linalg.solve(lower, mass * size[:, None] * size[None, :])
    compliance = np.linalg.solve(lower, half.T)
    inverse_squares = np.linalg.eigvalsh((compliance + compliance.T) / 2.0)[::-1]
    kept = inverse_squares[inverse_squares > 1e-12 * inverse_squares[0]]
    return np.asarray(np.sqrt(_PER_MM / kept) / (2.0 * np.pi))


# ---- one arm as a uniform cantilever


def cantilever_coefficient(mass_ratio: Num) -> Num:
    """(beta L)^2 of the first mode of a uniform cantilever with a tip mass of ``mass_ratio`` x its own mass.

    Exact root of 1 + cos b cosh b + r b (cos b sinh b - sin b cosh b) = 0 (vibration textbook), by Newton from the
    Rayleigh value.
    3.51602 for no tip mass. Range: mass ratio 0 to 1e6.
    """
    ratio = np.asarray(mass_ratio, dtype=np.float64)
    b = (3.0 / (ratio + 33.0 / 140.0)) ** 0.25
    for _ in range(6):
        sin, cos, sinh, cosh = np.sin(b), np.cos(b), np.sinh(b), np.cosh(b)
        mixed = cos * sinh - sin * cosh
        value = 1.0 + cos * cosh + ratio * b * mixed
        b = b - value / ((1.0 + ratio) * mixed - 2.0 * ratio * b * sin * sinh)
    coefficient: Num = (b**2)[()]
    return coefficient


def cantilever_frequency_hz(youngs_mpa: Num, inertia_mm4: Num, length_mm: Num, tip_kg: Num, arm_kg: Num) -> Num:
    """First frequency of a uniform arm with a tip mass, Hz, exact (Euler beam). ``arm_kg`` > 0 with its
    added mass."""
    coefficient = cantilever_coefficient(tip_kg / np.asarray(arm_kg, dtype=np.float64))
    frequency: Num = coefficient / (2.0 * np.pi) * np.sqrt(_PER_MM * youngs_mpa * inertia_mm4 / (length_mm**3 * arm_kg))
    return frequency


def cantilever_frequency_rayleigh_hz(
    youngs_mpa: Num, inertia_mm4: Num, length_mm: Num, tip_kg: Num, arm_kg: Num
) -> Num:
    """First frequency, Hz: sqrt(3EI/(L^3 (M + 33/140 m)))/2 pi. Rayleigh, an upper bound: +1.5 % with no tip
    mass,
    under 0.1 % once the tip mass reaches that of the arm."""
    mass = tip_kg + 33.0 / 140.0 * arm_kg
    frequency: Num = np.sqrt(_PER_MM * 3.0 * youngs_mpa * inertia_mm4 / (length_mm**3 * mass)) / (2.0 * np.pi)
    return frequency


@dataclass(frozen=True, slots=True)
class AddedMass:
    """Added mass of water per mm of arm, kg/mm: moving square to the chord, and along it."""

    across_kg_mm: Num
    along_kg_mm: Num


def added_mass(chord_mm: Num, thickness_mm: Num, water_kg_m3: Num = 1025.0) -> AddedMass:
    """Added mass of a long elliptic (or flat) section in open water: rho pi (c/2)^2 and rho pi (t/2)^2.

    Potential flow (hydrodynamics texts); used as it stands for foils and rounded flats.
    """
    density = water_kg_m3 * 1e-9
    return AddedMass(density * np.pi * (chord_mm / 2.0) ** 2, density * np.pi * (thickness_mm / 2.0) ** 2)


def propeller_entrained_factor() -> RuleValue:
    """Multiplier on propeller mass for water moving with it sideways: 1.20 (1.10 to 1.30)."""
    return RuleValue(1.20, "", "from memory", "L", "common range in vibration practice", "hint only")


# ---- planar beam FE


def _planar_matrices(
    length: float,
    area: float,
    inertia: float,
    youngs: float,
    shear: float,
    shear_factor: float,
    kg_per_mm: float,
    rotary_kg_mm: float,
) -> tuple[FloatArray, FloatArray]:
    """4x4 stiffness and consistent mass of a beam (deflection, section rotation at both ends).

    Mass from the exact static shapes of a Timoshenko beam (Euler's when ``shear_factor`` is 0), so that rotary
    inertia sits on the section's rotation and not on the slope; four Gauss points integrate the cubics exactly.
    """
    at = np.array([1, 5, 7, 11])
    stiffness = local_stiffness(length, area, inertia, inertia, inertia, youngs, shear, shear_factor)[np.ix_(at, at)]
    phi = 12.0 * youngs * inertia * shear_factor / (shear * area * length**2)
    points, weights = np.polynomial.legendre.leggauss(4)
    x, w = (points + 1.0) / 2.0, weights * length / 2.0
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
    mass: FloatArray = kg_per_mm * (deflection * w) @ deflection.T + rotary_kg_mm * (rotation * w) @ rotation.T
    return stiffness, mass


def arm_frequencies_hz(
    element_mm: Sequence[float],
    area_mm2: Sequence[float],
    inertia_mm4: Sequence[float],
    kg_per_mm: Sequence[float],
    youngs_mpa: float,
    shear_mpa: float,
    tip_kg: float,
    tip_inertia_kg_mm2: float = 0.0,
    tip_offset_mm: float = 0.0,
    shear_factor: float = 0.0,
    count: int = 3,
) -> FloatArray:
    """First frequencies of a tapered arm in one plane, Hz, by beam elements with consistent mass.

    Sequences hold one value per element from the hull (built in) to the barrel: length, area, second moment
    about
    the axis of bending, mass with added water per mm. For swinging athwart use the weak (chord) inertia and
    the
    across added mass, for fore and aft the strong one and the along. Tip: mass, its rotary inertia about its
    own
    centre, and the distance of that centre beyond the arm end. Eight elements give 0.01 % on the first mode.
    """
    total = len(element_mm)
    stiffness: FloatArray = np.zeros((2 * total + 2, 2 * total + 2))
    mass = np.zeros_like(stiffness)
    for e in range(total):
        at = slice(2 * e, 2 * e + 4)
        k, m = _planar_matrices(
            element_mm[e], area_mm2[e], inertia_mm4[e], youngs_mpa, shear_mpa, shear_factor, kg_per_mm[e], 0.0
        )
        stiffness[at, at] += k
        mass[at, at] += m
    mass[-2, -2] += tip_kg
    mass[-2, -1] += tip_kg * tip_offset_mm
    mass[-1, -2] += tip_kg * tip_offset_mm
    mass[-1, -1] += tip_inertia_kg_mm2 + tip_kg * tip_offset_mm**2
    return natural_frequencies_hz(stiffness[2:, 2:], mass[2:, 2:])[:count]


def rigid_mass_matrix(mass_kg: float, inertia_kg_mm2: FloatArray, centre_mm: FloatArray) -> FloatArray:
    """6x6 mass matrix, about the barrel centre, of a rigid body: mass, 3x3 inertia about its own centre of
    gravity,
    and centre of gravity (3,) from the barrel centre. Add those of barrel, propeller, shaft end and water."""
    shift = cross_matrix(np.asarray(centre_mm, dtype=np.float64))
    out: FloatArray = np.zeros((6, 6))
    out[:3, :3] = mass_kg * np.eye(3)
    out[:3, 3:] = -mass_kg * shift
    out[3:, :3] = mass_kg * shift
    out[3:, 3:] = np.asarray(inertia_kg_mm2, dtype=np.float64) - mass_kg * shift @ shift
    return out


def arm_share_kg(arm_kg: Num) -> Num:
    """Part of the arm's mass that moves with the barrel: 33/140 (Rayleigh, cantilever shape)."""
    return 33.0 / 140.0 * arm_kg


def strut_frequencies_hz(barrel_stiffness: FloatArray, mass_matrix: FloatArray) -> FloatArray:
    """The (up to) six frequencies of the barrel on its arms, Hz: 6x6 stiffness from `frames3d`, 6x6 mass from
    `rigid_mass_matrix` with the arms' shares lumped in. Raises ValueError for a barrel that is not held."""
    return natural_frequencies_hz(barrel_stiffness, mass_matrix)


# ---- the shaft


@dataclass(frozen=True, slots=True)
class ShaftSupport:
    """A bearing on the shaft: position, mm, and stiffness across the shaft, N/mm (None: rigid)."""

    at_mm: float
    stiffness_n_mm: float | None = None


@dataclass(frozen=True, slots=True)
class ShaftMass:
    """A disc on the shaft: position mm, mass kg, inertia about a diameter kg mm2, and water factor on
    both."""

    at_mm: float
    mass_kg: float
    diametral_kg_mm2: float = 0.0
    water_factor: float = 1.0


def shaft_frequencies_hz(
    length_mm: float,
    diameter_mm: float,
    youngs_mpa: float,
    density_kg_m3: float,
    supports: Sequence[ShaftSupport],
    masses: Sequence[ShaftMass] = (),
    poisson: float = 0.3,
    timoshenko: bool = False,
    added_kg_per_mm: float = 0.0,
    bore_mm: float = 0.0,
    element_mm: float | None = None,
    count: int = 4,
) -> FloatArray:
    """Lateral natural frequencies of a uniform shaft on bearings with discs, Hz (no gyroscopic effect).

    The shaft runs from 0 to ``length_mm``; supports and masses sit anywhere on it. ``timoshenko`` adds shear
    deflection (area / shear area 10/9, solid round) and rotary inertia. ``added_kg_per_mm`` water moving
    with the
    shaft. Elements no longer than ``element_mm`` (a 24th of the length if None). Raises ValueError when a
    position
    is off the shaft or the supports do not hold it.
    """
    for name, at in [("support", s.at_mm) for s in supports] + [("mass", m.at_mm) for m in masses]:
        if not 0.0 <= at <= length_mm:
            raise ValueError(f"shaft {name} at {at:g} mm is off the shaft, which runs from 0 to {length_mm:g} mm")
    limit = element_mm if element_mm is not None else length_mm / 24.0
    marks = sorted({0.0, length_mm, *(s.at_mm for s in supports), *(m.at_mm for m in masses)})
    stations = np.concatenate(
        [np.linspace(a, b, max(1, int(np.ceil((b - a) / limit - 1e-9))) + 1)[:-1] for a, b in pairwise(marks)]
        + [np.array([length_mm])]
    )
    area = np.pi / 4.0 * (diameter_mm**2 - bore_mm**2)
    inertia = np.pi / 64.0 * (diameter_mm**4 - bore_mm**4)
    line = area * density_kg_m3 * 1e-9
    rotary = inertia * density_kg_m3 * 1e-9 if timoshenko else 0.0
    shear = youngs_mpa / (2.0 * (1.0 + poisson))
    size = 2 * len(stations)
    stiffness: FloatArray = np.zeros((size, size))
    mass = np.zeros_like(stiffness)
    for e, length in enumerate(np.diff(stations)):
        dofs = slice(2 * e, 2 * e + 4)
        k, m = _planar_matrices(
            float(length),
            area,
            inertia,
            youngs_mpa,
            shear,
            10.0 / 9.0 if timoshenko else 0.0,
            line + added_kg_per_mm,
            rotary,
        )
        stiffness[dofs, dofs] += k
        mass[dofs, dofs] += m
    for disc in masses:
        node = int(np.argmin(np.abs(stations - disc.at_mm)))
        mass[2 * node, 2 * node] += disc.mass_kg * disc.water_factor
        mass[2 * node + 1, 2 * node + 1] += disc.diametral_kg_mm2 * disc.water_factor
    free = np.ones(size, dtype=bool)
    for support in supports:
        node = int(np.argmin(np.abs(stations - support.at_mm)))
        if support.stiffness_n_mm is None:
            free[2 * node] = False
        else:
            stiffness[2 * node, 2 * node] += support.stiffness_n_mm
    keep = np.ix_(free, free)
    return natural_frequencies_hz(stiffness[keep], mass[keep])[:count]


def overhang_stiffness_n_mm(span_mm: Num, overhang_mm: Num, youngs_mpa: Num, inertia_mm4: Num) -> Num:
    """Stiffness at the end of an overhang beyond a pinned span, N/mm: 3EI/(b^2 (l + b)). Beam tables."""
    return 3.0 * youngs_mpa * inertia_mm4 / (overhang_mm**2 * (span_mm + overhang_mm))


def overhang_frequency_hz(span_mm: Num, overhang_mm: Num, youngs_mpa: Num, inertia_mm4: Num, mass_kg: Num) -> Num:
    """Frequency of a mass on an overhang of a massless shaft, Hz. High: shaft mass and disc inertia bring it
    down,
    use `shaft_frequencies_hz` for a decision."""
    stiffness = overhang_stiffness_n_mm(span_mm, overhang_mm, youngs_mpa, inertia_mm4)
    frequency: Num = np.sqrt(_PER_MM * stiffness / mass_kg) / (2.0 * np.pi)
    return frequency


def influence_mm_per_n(at_mm: Num, load_mm: Num, span_mm: Num, youngs_mpa: Num, inertia_mm4: Num) -> Num:
    """Deflection at ``at_mm`` of a pinned span per unit load at ``load_mm``, mm/N. Beam tables (Maxwell
    symmetric)."""
    x, b = np.minimum(at_mm, load_mm), span_mm - np.maximum(at_mm, load_mm)
    influence: Num = b * x * (span_mm**2 - b**2 - x**2) / (6.0 * youngs_mpa * inertia_mm4 * span_mm)
    return influence


@dataclass(frozen=True, slots=True)
class DiscCriticals:
    """First critical of discs on a massless pinned shaft, rad/s: Rayleigh (high) and Dunkerley (low)."""

    rayleigh_rad_s: float
    dunkerley_rad_s: float


def disc_criticals(
    positions_mm: Sequence[float], masses_kg: Sequence[float], span_mm: float, youngs_mpa: float, inertia_mm4: float
) -> DiscCriticals:
    """Both estimates of the first critical from influence coefficients; the true value lies between them.

    Rayleigh w^2 = g sum(w y)/sum(w y^2) with static deflections; Dunkerley 1/w^2 = sum(m_i a_ii).
    Machine-design
    texts.
    """
    at, mass = np.asarray(positions_mm, dtype=np.float64), np.asarray(masses_kg, dtype=np.float64)
    influence = np.asarray(influence_mm_per_n(at[:, None], at[None, :], span_mm, youngs_mpa, inertia_mm4))
    sag = influence @ mass
    rayleigh = float(np.sqrt(_PER_MM * (mass @ sag) / (mass @ sag**2)))
    dunkerley = float(np.sqrt(_PER_MM / (mass @ np.diag(influence))))
    return DiscCriticals(rayleigh, dunkerley)


# ---- margins


@dataclass(frozen=True, slots=True)
class SpeedMargin:
    """Where one natural frequency meets one excitation order: critical rpm, and margin to the running range.

    ``margin`` = critical rpm / nearest running rpm - 1 (positive above the range, negative below, 0 inside
    it).
    """

    frequency_hz: float
    order: int
    critical_rpm: float
    margin: float

    def clear(self, band: float = 0.20) -> bool:
        """True when the critical speed is more than ``band`` outside the range (default 20 %, common
        practice)."""
        return abs(self.margin) > band


def speed_margins(
    frequencies_hz: Sequence[float], low_rpm: float, high_rpm: float, blades: int
) -> tuple[SpeedMargin, ...]:
    """Margins of every frequency against shaft rate (order 1) and blade rate (order = blades) over a speed
    range."""
    out = []
    for frequency in frequencies_hz:
        for order in (1, blades):
            critical = 60.0 * float(frequency) / order
            nearest = min(max(critical, low_rpm), high_rpm)
            out.append(SpeedMargin(float(frequency), order, critical, critical / nearest - 1.0))
    return tuple(out)


@dataclass(frozen=True, slots=True)
class SpeedDiagram:
    """Data for a frequency against rpm diagram: rpm (n,), excitation lines (orders, n) in Hz with their
    orders, and
    the natural frequencies as levels."""

    rpm: FloatArray
    orders: tuple[int, ...]
    excitation_hz: FloatArray
    natural_hz: tuple[float, ...]


def speed_diagram(frequencies_hz: Sequence[float], low_rpm: float, high_rpm: float, blades: int) -> SpeedDiagram:
    """`SpeedDiagram` from 0 to 1.3 x the highest speed, orders 1 and number of blades, with both range ends
    in it."""
    rpm = np.unique(np.concatenate([np.linspace(0.0, 1.3 * high_rpm, 66), [low_rpm, high_rpm]]))
    orders = (1, blades)
    lines = np.asarray(orders, dtype=np.float64)[:, None] * rpm / 60.0
    return SpeedDiagram(rpm, orders, lines, tuple(float(f) for f in frequencies_hz))
