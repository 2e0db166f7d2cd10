"""A straight, possibly tapered arm as a cantilever from the hull: section forces, stresses and flexibility.

Arm axes: c along the chord (forward), t across it (to port on an upright arm), a along the arm from barrel
to hull;
right-handed. ``i_chord`` is the second moment about the chord line (weak axis), ``i_thick`` about the
thickness
line through the centroid (strong axis). N, mm, MPa. Arrays broadcast; a last axis named in a docstring is
fixed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from strutwright.models.formulas.arm_rules import Num

FloatArray = npt.NDArray[np.float64]


def arm_axes(clock_rad: Num, rake_rad: Num = 0.0, toe_rad: Num = 0.0) -> FloatArray:
    """Unit vectors (rows c, t, a) of an arm in the strut frame, shape (..., 3, 3).

    ``clock_rad`` clock angle of the arm (0 toward the hull, positive to port), ``rake_rad`` lean of the arm
    axis
    forward at the hull, ``toe_rad`` turn of the chord about the arm axis (leading edge toward -t to +t by
    the right
    hand about a). Strut frame x forward, y port, z toward the hull.
    """
    clock, rake, toe = np.broadcast_arrays(clock_rad, rake_rad, toe_rad)
    sin_k, cos_k, sin_r, cos_r = np.sin(clock), np.cos(clock), np.sin(rake), np.cos(rake)
    along = np.stack([sin_r, sin_k * cos_r, cos_k * cos_r], axis=-1)
    chord0 = np.stack([cos_r, -sin_k * sin_r, -cos_k * sin_r], axis=-1)
    thick0 = np.cross(along, chord0)
    sin_t, cos_t = np.sin(toe)[..., None], np.cos(toe)[..., None]
    axes: FloatArray = np.stack([chord0 * cos_t + thick0 * sin_t, thick0 * cos_t - chord0 * sin_t, along], axis=-2)
    return axes


@dataclass(frozen=True, slots=True)
class SectionForces:
    """Section actions of an arm. Axial: tension positive. ``moment_chord_nmm`` = integral of stress x
    (distance
    across the chord line), ``moment_thick_nmm`` = integral of stress x (distance along the chord)."""

    axial_n: Num
    shear_chord_n: Num
    shear_thick_n: Num
    moment_chord_nmm: Num
    moment_thick_nmm: Num
    torsion_nmm: Num


def section_forces(force_n: FloatArray, moment_nmm: FloatArray, distance_mm: Num) -> SectionForces:
    """Section actions at a distance along the arm from the point where the barrel load acts. Statics.

    ``force_n``, ``moment_nmm``: load on the barrel in arm axes (c, t, a), shape (..., 3); ``distance_mm``
    broadcasts
    against (...).
    """
    f_c, f_t, f_a = force_n[..., 0], force_n[..., 1], force_n[..., 2]
    m_c, m_t, m_a = moment_nmm[..., 0], moment_nmm[..., 1], moment_nmm[..., 2]
    even = 0.0 * np.asarray(distance_mm)
    return SectionForces(
        -f_a + even, -f_c + even, -f_t + even, -(m_c + distance_mm * f_t), m_t - distance_mm * f_c, -m_a + even
    )


def bending_stress_mpa(
    forces: SectionForces, area_mm2: Num, i_chord_mm4: Num, i_thick_mm4: Num, x_mm: Num, y_mm: Num
) -> Num:
    """Direct stress at section points, N/A + M_c y/I_chord + M_t x/I_thick, MPa.

    ``x_mm`` along the chord (forward positive) and ``y_mm`` across it, both from the centroid of a section
    that is
    symmetric about its chord line. Evaluate at outline points, not at the corner of the bounding box, which
    is too
    severe for foils. Shapes broadcast: give forces shape (..., 1) against points (n,).
    """
    return (
        forces.axial_n / area_mm2
        + forces.moment_chord_nmm * y_mm / i_chord_mm4
        + forces.moment_thick_nmm * x_mm / i_thick_mm4
    )


def shear_stress_mpa(forces: SectionForces, area_mm2: Num, torsion_modulus_mm3: Num, peak_factor: float = 1.5) -> Num:
    """Greatest shear stress, MPa: torsion T/W_t plus peak_factor x resultant transverse shear / area.

    Conservative: the two peaks are added though they need not fall on one point. ``peak_factor`` 1.5
    rectangle,
    4/3 ellipse (strength of materials).
    """
    transverse = np.sqrt(np.square(forces.shear_chord_n) + np.square(forces.shear_thick_n))
    total: Num = np.abs(forces.torsion_nmm) / torsion_modulus_mm3 + peak_factor * transverse / area_mm2
    return total


def von_mises_mpa(direct_mpa: Num, shear_mpa: Num) -> Num:
    """Equivalent stress sqrt(sigma^2 + 3 tau^2), MPa."""
    stress: Num = np.sqrt(np.square(direct_mpa) + 3.0 * np.square(shear_mpa))
    return stress


@dataclass(frozen=True, slots=True)
class ArmStress:
    """Stress along an arm: direct (stations..., outline points), shear and the greatest equivalent per
    station."""

    direct_mpa: FloatArray
    shear_mpa: FloatArray
    equivalent_mpa: FloatArray


def arm_stress(
    force_n: FloatArray,
    moment_nmm: FloatArray,
    distance_mm: FloatArray,
    outlines_mm: FloatArray,
    area_mm2: FloatArray,
    i_chord_mm4: FloatArray,
    i_thick_mm4: FloatArray,
    torsion_modulus_mm3: FloatArray,
) -> ArmStress:
    """Stresses at stations along an arm.

    ``force_n``/``moment_nmm`` (..., 3) in arm axes at the barrel load point; ``distance_mm`` and section
    figures
    (stations,); ``outlines_mm`` (stations, n, 2) outline points (along chord, across) from the centroid.
    Returns
    direct (..., stations, n), shear (..., stations), equivalent (..., stations), the greatest over the
    outline.
    """
    forces = section_forces(force_n[..., None, :], moment_nmm[..., None, :], distance_mm)
    lifted = SectionForces(
        *(
            np.asarray(part)[..., None]
            for part in (
                forces.axial_n,
                forces.shear_chord_n,
                forces.shear_thick_n,
                forces.moment_chord_nmm,
                forces.moment_thick_nmm,
                forces.torsion_nmm,
            )
        )
    )
    direct = np.asarray(
        bending_stress_mpa(
            lifted,
            area_mm2[:, None],
            i_chord_mm4[:, None],
            i_thick_mm4[:, None],
            outlines_mm[..., 0],
            outlines_mm[..., 1],
        )
    )
    shear = np.asarray(shear_stress_mpa(forces, area_mm2, torsion_modulus_mm3))
    equivalent = np.asarray(von_mises_mpa(direct, shear[..., None])).max(axis=-1)
    return ArmStress(direct, shear, equivalent)


def gauss_stations_mm(length_mm: Num, count: int = 8) -> FloatArray:
    """Gauss-Legendre stations from the barrel end, mm, shape (..., count): where `tip_flexibility` wants
    sections."""
    points, _ = np.polynomial.legendre.leggauss(count)
    return np.asarray(length_mm, dtype=np.float64)[..., None] * (points + 1.0) / 2.0


def tip_flexibility(
    length_mm: Num,
    area_mm2: Num,
    i_chord_mm4: Num,
    i_thick_mm4: Num,
    torsion_mm4: Num,
    youngs_mpa: float,
    shear_mpa: float,
    shear_factor: float = 0.0,
) -> FloatArray:
    """6x6 flexibility at the barrel end of an arm built in at the hull, arm axes, shape (..., 6, 6).

    Order: forces c, t, a, moments c, t, a against displacements and rotations. Section figures have a last
    axis of
    Gauss stations (from `gauss_stations_mm`) or are scalars (constant section). ``shear_factor`` 0 neglects
    shear
    deflection, 1.2 for a rectangle (area / shear area). Unit-load method (virtual work), integrated by Gauss.
    """
    figures = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(v, dtype=np.float64)) for v in (area_mm2, i_chord_mm4, i_thick_mm4, torsion_mm4))
    )
    count = figures[0].shape[-1] if figures[0].shape[-1] > 1 else 8
    _, weights = np.polynomial.legendre.leggauss(count)
    length = np.asarray(length_mm, dtype=np.float64)
    s = gauss_stations_mm(length, count)
    w = weights * length[..., None] / 2.0

    def integral(values: FloatArray) -> FloatArray:
        return np.asarray(np.sum(values * w, axis=-1))

    area, i_c, i_t, j = figures
    one = np.ones(count)
    shear = integral(shear_factor / (shear_mpa * area) * one)
    about_c = [integral(s**k / (youngs_mpa * i_c)) for k in range(3)]
    about_t = [integral(s**k / (youngs_mpa * i_t)) for k in range(3)]
    flex: FloatArray = np.zeros((*np.broadcast_shapes(shear.shape, about_c[0].shape), 6, 6))
    flex[..., 0, 0] = about_t[2] + shear
    flex[..., 0, 4] = flex[..., 4, 0] = -about_t[1]
    flex[..., 4, 4] = about_t[0]
    flex[..., 1, 1] = about_c[2] + shear
    flex[..., 1, 3] = flex[..., 3, 1] = about_c[1]
    flex[..., 3, 3] = about_c[0]
    flex[..., 2, 2] = integral(1.0 / (youngs_mpa * area) * one)
    flex[..., 5, 5] = integral(1.0 / (shear_mpa * j) * one)
    return flex


def cantilever_deflection_mm(load_n: Num, length_mm: Num, youngs_mpa: Num, inertia_mm4: Num) -> Num:
    """Tip deflection of a uniform cantilever, mm: P L^3/(3 E I)."""
    return load_n * length_mm**3 / (3.0 * youngs_mpa * inertia_mm4)


def cantilever_rotation_rad(load_n: Num, length_mm: Num, youngs_mpa: Num, inertia_mm4: Num) -> Num:
    """Tip rotation of a uniform cantilever, rad: P L^2/(2 E I)."""
    return load_n * length_mm**2 / (2.0 * youngs_mpa * inertia_mm4)
