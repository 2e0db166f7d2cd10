"""A straight, possibly tapered arm as a cantilever from the hull, and what it adds to the stiffness of a rigid barrel.

Arm axes: c along the chord (forward), t across it (to port on an upright arm), a along the arm from barrel to hull;
right-handed. ``i_chord`` is the second moment about the chord line (weak axis), ``i_thick`` about the thickness line
through the centroid (strong axis). Strut frame x forward, y port, z toward the hull. N, mm, MPa, rad.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from strutwright.models.arrays import Floats, Num
from strutwright.models.sections import SectionProperties


def arm_axes(clock_rad: Num, rake_rad: Num = 0.0, toe_rad: Num = 0.0) -> Floats:
    """Unit vectors (rows c, t, a) of an arm in the strut frame, shape (..., 3, 3). Exact.

    ``clock_rad`` clock angle of the arm (0 toward the hull, positive to port), ``rake_rad`` lean of the arm axis
    forward at the hull, ``toe_rad`` turn of the chord about the arm axis (leading edge toward -t to +t by the right
    hand about a).

    >>> arm_axes(np.pi / 6.0)[2].round(4).tolist()  # an arm 30 degrees to port
    [0.0, 0.5, 0.866]
    """
    clock, rake, toe = np.broadcast_arrays(clock_rad, rake_rad, toe_rad)
    sin_k, cos_k, sin_r, cos_r = np.sin(clock), np.cos(clock), np.sin(rake), np.cos(rake)
    along = np.stack([sin_r, sin_k * cos_r, cos_k * cos_r], axis=-1)
    chord0 = np.stack([cos_r, -sin_k * sin_r, -cos_k * sin_r], axis=-1)
    thick0 = np.cross(along, chord0)
    sin_t, cos_t = np.sin(toe)[..., None], np.cos(toe)[..., None]
    axes: Floats = np.stack([chord0 * cos_t + thick0 * sin_t, thick0 * cos_t - chord0 * sin_t, along], axis=-2)
    return axes


class Cut(NamedTuple):
    """A section of an arm: area, second moments about chord and thickness line, torsion constant, shear area over area
    along the chord and across it (infinite: no shear deflection)."""

    area_mm2: Num
    i_chord_mm4: Num
    i_thick_mm4: Num
    torsion_mm4: Num
    shear_along: Num
    shear_across: Num

    @classmethod
    def of(cls, s: SectionProperties) -> Cut:
        """Return the cut of a section."""
        return cls(s.area_mm2, s.ixx_mm4, s.iyy_mm4, s.j_mm4, s.shear_factor_along, s.shear_factor_across)


class ArmFlexibility(NamedTuple):
    """Movements (mm) and turns (rad) of an arm's end per N and N mm.

    cc, tt, aa: of a force along its own axis. mm, nn, jj: of a moment about t, c and a. cm: of force c with moment t.
    tm: of force t with moment c.
    """

    cc: Num
    cm: Num
    mm: Num
    tt: Num
    tm: Num
    nn: Num
    aa: Num
    jj: Num


def arm_flexibility(
    weights_mm: Sequence[Num], stations_mm: Sequence[Num], cuts: Sequence[Cut], youngs_mpa: Num, shear_mpa: Num
) -> ArmFlexibility:
    """Flexibility of an arm built in at the hull, at the point its stations are measured from.

    ``weights_mm`` of the integration along the arm (Gauss, Simpson), one for each station and cut. Unit-load method
    (virtual work): bending in two planes, shear, axial and torsion.

    >>> even = Cut(1e3, 1e5, 4e5, 3e4, np.inf, np.inf)
    >>> thirds = [50.0, 200.0, 50.0]  # Simpson's rule over 300 mm
    >>> round(arm_flexibility(thirds, [0.0, 150.0, 300.0], [even] * 3, 200e3, 77e3).tt, 9)  # L^3 / 3 E I, beam tables
    0.00045
    """

    def total(values: Iterable[Num]) -> Num:
        return sum(w * v for w, v in zip(weights_mm, values, strict=True))

    inv_weak = [1.0 / (youngs_mpa * c.i_chord_mm4) for c in cuts]
    inv_strong = [1.0 / (youngs_mpa * c.i_thick_mm4) for c in cuts]
    about_t = [total(s**k * i for s, i in zip(stations_mm, inv_strong, strict=True)) for k in range(3)]
    about_c = [total(s**k * i for s, i in zip(stations_mm, inv_weak, strict=True)) for k in range(3)]
    return ArmFlexibility(
        cc=about_t[2] + total(1.0 / (shear_mpa * c.area_mm2 * c.shear_along) for c in cuts),
        cm=-about_t[1],
        mm=about_t[0],
        tt=about_c[2] + total(1.0 / (shear_mpa * c.area_mm2 * c.shear_across) for c in cuts),
        tm=about_c[1],
        nn=about_c[0],
        aa=total(1.0 / (youngs_mpa * c.area_mm2) for c in cuts),
        jj=total(1.0 / (shear_mpa * c.torsion_mm4) for c in cuts),
    )


def matrix_of(found: ArmFlexibility) -> Floats:
    """Return the 6x6 flexibility of an arm by its parts, shape (..., 6, 6): of forces c, t, a and then moments c, t, a.

    >>> float(matrix_of(ArmFlexibility(*range(1, 9)))[1, 3])  # force across the chord, turn about it
    5.0
    """
    flex: Floats = np.zeros((*np.broadcast_shapes(*(np.shape(f) for f in found)), 6, 6))
    flex[..., 0, 0], flex[..., 1, 1], flex[..., 2, 2] = found.cc, found.tt, found.aa
    flex[..., 3, 3], flex[..., 4, 4], flex[..., 5, 5] = found.nn, found.mm, found.jj
    flex[..., 0, 4] = flex[..., 4, 0] = found.cm
    flex[..., 1, 3] = flex[..., 3, 1] = found.tm
    return flex


def cross_matrix(vector: Floats) -> Floats:
    """Matrix S with S w = v x w, shape (..., 3, 3) from (..., 3). Exact.

    >>> (cross_matrix(np.array([1.0, 0.0, 0.0])) @ np.array([0.0, 1.0, 0.0])).tolist()
    [0.0, 0.0, 1.0]
    """
    v = np.asarray(vector, dtype=np.float64)
    out: Floats = np.zeros((*v.shape, 3))
    out[..., 0, 1], out[..., 0, 2] = -v[..., 2], v[..., 1]
    out[..., 1, 0], out[..., 1, 2] = v[..., 2], -v[..., 0]
    out[..., 2, 0], out[..., 2, 1] = -v[..., 1], v[..., 0]
    return out


def arm_barrel_stiffness(flexibility: Floats, axes: Floats, offset_mm: Floats) -> Floats:
    """What one arm contributes to the 6x6 stiffness of the rigid barrel at its centre, strut frame.

    ``flexibility`` (..., 6, 6) of the arm at its barrel end in arm axes (`matrix_of`), ``axes`` (..., 3, 3) rows
    c, t, a (`arm_axes`), ``offset_mm`` (..., 3) from barrel centre to the arm's barrel end. The hull end is built in.
    Add the contributions of the arms. Exact for a rigid barrel.

    >>> arm_barrel_stiffness(np.eye(6), np.eye(3), np.array([0.0, 0.0, 2.0]))[:2, 3:5].tolist()  # force by lever
    [[0.0, 2.0], [-2.0, 0.0]]
    """
    axes, offset = np.asarray(axes, dtype=np.float64), np.asarray(offset_mm, dtype=np.float64)
    turn: Floats = np.zeros((*axes.shape[:-2], 6, 6))
    turn[..., :3, :3] = axes
    turn[..., 3:, 3:] = axes
    carry: Floats = np.zeros((*offset.shape[:-1], 6, 6))
    carry[...] = np.eye(6)
    carry[..., :3, 3:] = -cross_matrix(offset)
    transform = turn @ carry  # from the motion of the barrel's centre to that of the arm's end
    stiffness: Floats = np.swapaxes(transform, -1, -2) @ np.linalg.solve(flexibility, transform)
    return stiffness
