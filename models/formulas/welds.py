"""Fillet welds treated as lines: properties of a weld run, stresses from any load, and allowables.

Weld plane axes x, y (for an arm foot: x along the chord, y across) and z square to the plane. N, mm, MPa.
Distortion is not here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from strutwright.models.formulas.arm_rules import Num, RuleValue

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WeldLine:
    """A weld as a line of unit throat: length (mm), second moments about x and y through its centroid, their
    product and the polar sum (mm3), centroid, and the straight pieces (n, 2, 2)."""

    length_mm: float
    i_x_mm3: float
    i_y_mm3: float
    i_xy_mm3: float
    centroid_mm: tuple[float, float]
    segments_mm: FloatArray

    @property
    def polar_mm3(self) -> float:
        """Polar second moment about the centroid, mm3."""
        return self.i_x_mm3 + self.i_y_mm3


def weld_segments(segments_mm: FloatArray) -> WeldLine:
    """`WeldLine` of straight pieces (n, 2 ends, 2 coordinates); exact line integrals. Raises ValueError if
    empty."""
    segments = np.asarray(segments_mm, dtype=np.float64)
    lengths = np.linalg.norm(segments[:, 1] - segments[:, 0], axis=1)
    total = float(lengths.sum())
    if total <= 0.0:
        raise ValueError("the weld has no length")
    centre = (lengths[:, None] * segments.mean(axis=1)).sum(axis=0) / total
    (x0, y0), (x1, y1) = (segments[:, 0] - centre).T, (segments[:, 1] - centre).T
    i_x = float((lengths * (y0**2 + y0 * y1 + y1**2)).sum()) / 3.0
    i_y = float((lengths * (x0**2 + x0 * x1 + x1**2)).sum()) / 3.0
    i_xy = float((lengths * (2.0 * (x0 * y0 + x1 * y1) + x0 * y1 + x1 * y0)).sum()) / 6.0
    return WeldLine(total, i_x, i_y, i_xy, (float(centre[0]), float(centre[1])), segments)


def weld_polyline(points_mm: FloatArray) -> WeldLine:
    """Weld all round a closed polyline (n, 2) (first point not repeated)."""
    points = np.asarray(points_mm, dtype=np.float64)
    return weld_segments(np.stack([points, np.roll(points, -1, axis=0)], axis=1))


def weld_rectangle(chord_mm: float, thickness_mm: float) -> WeldLine:
    """Weld all round a rectangle, chord along x. Modulus about x: c t + t^2/3; about y: t c + c^2/3."""
    a, b = chord_mm / 2.0, thickness_mm / 2.0
    return weld_polyline(np.array([[-a, -b], [a, -b], [a, b], [-a, b]]))


def weld_two_lines(length_mm: float, gap_mm: float) -> WeldLine:
    """Two parallel welds along x, ``gap_mm`` apart."""
    a, b = length_mm / 2.0, gap_mm / 2.0
    return weld_segments(np.array([[[-a, -b], [a, -b]], [[-a, b], [a, b]]]))


def weld_circle(diameter_mm: float, pieces: int = 72) -> WeldLine:
    """Weld round a circle: exact length pi d and second moments pi d^3/8; drawn as a polygon of
    ``pieces``."""
    angle = 2.0 * np.pi * np.arange(pieces) / pieces
    ring = weld_polyline(diameter_mm / 2.0 * np.stack([np.cos(angle), np.sin(angle)], axis=1))
    second = np.pi * diameter_mm**3 / 8.0
    return WeldLine(np.pi * diameter_mm, second, second, 0.0, (0.0, 0.0), ring.segments_mm)


def section_modulus_x_mm2(weld: WeldLine) -> float:
    """Line section modulus about x, mm2 (per mm of throat): I_x over the farthest y."""
    return weld.i_x_mm3 / float(np.abs(weld.segments_mm[..., 1] - weld.centroid_mm[1]).max())


@dataclass(frozen=True, slots=True)
class WeldStress:
    """Stresses on the throat at both ends of each piece, MPa, shape (..., n, 2): resultant of the load per
    length
    over the throat, equivalent of the directional method, and direct stress square to the throat. Use the
    maxima."""

    resultant_mpa: FloatArray
    equivalent_mpa: FloatArray
    normal_mpa: FloatArray


def weld_stress(weld: WeldLine, force_n: FloatArray, moment_nmm: FloatArray, throat_mm: Num) -> WeldStress:
    """Stress along a weld under loads ``force_n``, ``moment_nmm`` (..., 3) at its centroid, axes x, y, z.

    Line method (welded-structures handbook practice): direct load / length, bending over the line second
    moments
    (with their product), torsion over the polar one. Directional method of EN 1993-1-8 4.5.3.2 for an
    equal-leg
    fillet: sqrt(s^2 + 3 (t_square^2 + t_along^2)), with the in-plane cross load taken in its worse sense.
    ``throat_mm`` scalar, or broadcast against (...). Raises ValueError for a moment about a single straight
    run.
    """
    force, moment = np.asarray(force_n, dtype=np.float64), np.asarray(moment_nmm, dtype=np.float64)
    ends = weld.segments_mm - np.asarray(weld.centroid_mm)
    x, y = ends[..., 0], ends[..., 1]
    run = ends[:, 1] - ends[:, 0]
    tangent = (run / np.linalg.norm(run, axis=1, keepdims=True))[:, None, :]
    fx, fy, fz = (force[..., k, None, None] for k in range(3))
    mz = moment[..., 2, None, None]
    line = np.array([[weld.i_x_mm3, weld.i_xy_mm3], [weld.i_xy_mm3, weld.i_y_mm3]])
    inverse = np.linalg.pinv(line, rcond=1e-9, hermitian=True)
    bending = np.stack(np.broadcast_arrays(moment[..., 0], -moment[..., 1]), axis=-1)
    rate = bending @ inverse
    if not np.allclose(rate @ line, bending, rtol=1e-6, atol=1e-6 * (1.0 + float(np.abs(bending).max()))):
        raise ValueError("a single straight weld cannot carry a moment about its own line")
    per_y, per_x = rate[..., 0, None, None], rate[..., 1, None, None]
    out = fz / weld.length_mm + per_y * y + per_x * x
    in_x = fx / weld.length_mm - mz * y / weld.polar_mm3
    in_y = fy / weld.length_mm + mz * x / weld.polar_mm3
    along = in_x * tangent[..., 0] + in_y * tangent[..., 1]
    across = -in_x * tangent[..., 1] + in_y * tangent[..., 0]
    throat = np.asarray(throat_mm, dtype=np.float64)[..., None, None]
    resultant = np.sqrt(out**2 + along**2 + across**2) / throat
    equivalent = np.sqrt(2.0 * (out**2 + across**2 + np.abs(out * across)) + 3.0 * along**2) / throat
    normal = (np.abs(out) + np.abs(across)) / np.sqrt(2.0) / throat
    return WeldStress(resultant, equivalent, normal)


def throat_mm(leg_mm: Num, between_deg: Num = 90.0) -> Num:
    """Effective throat of a fillet with equal legs along both sides, mm: leg cos(angle / 2).

    between_deg: the angle between the sides, above 0 and under 180. Follows from geometry: the height of an isosceles
    triangle over its long side.
    """
    return leg_mm * np.cos(np.radians(between_deg) / 2.0)


def groove_throat_mm(leg_mm: Num, depth_mm: Num, between_deg: Num = 90.0) -> Num:
    """Throat of a bevel groove with a fillet on top, mm: leg cos(angle / 2) + depth / (2 sin(angle / 2)).

    leg_mm: of the fillet, along both sides. depth_mm: of the groove, square to the bevelled plate's side. between_deg:
    the angle between that side and the other part, above 0 and under 180. Follows from geometry: the distance of the
    groove's root, which lies depth / sin(angle) from the corner on the other part, from the line between the toes.
    """
    return throat_mm(leg_mm, between_deg) + depth_mm / (2.0 * np.sin(np.radians(between_deg) / 2.0))


def around_barrel_deg(thickness_mm: Num, outside_mm: Num) -> Num:
    """Return the angle between the side of what stands on a barrel, its middle plane through the axis, and the barrel's
    outside, degrees. Follows from geometry."""
    return 90.0 + np.degrees(np.arcsin(np.minimum(thickness_mm / outside_mm, 1.0)))


def minimum_leg(thicker_plate_mm: Num) -> RuleValue:
    """Least fillet leg by the thicker plate, mm: up to 6: 3; to 12: 5; to 20: 6; over: 8 (AWS D1.1).

    The standard's inch figures beside them, 3/16 and 5/16, are a little less than 5 and 8 mm and serve as well.
    """
    steps = np.array([3.0, 4.7625, 6.0, 7.9375])
    leg: Num = steps[np.searchsorted(np.array([6.0, 12.0, 20.0]), thicker_plate_mm, side="left")]
    return RuleValue(
        leg,
        "mm",
        "from memory",
        "H",
        "AWS D1.1, minimum fillet weld size",
        "value from memory; confirm against the standard",
    )


def full_strength_leg(plate_mm: Num) -> RuleValue:
    """Leg each side of a fillet-only joint for about the strength of the plate, mm: 0.75 t."""
    return RuleValue(0.75 * plate_mm, "mm", "common practice", "M", "no source")


_BETA_W = (("S235", 0.80), ("S275", 0.85), ("S355", 0.90), ("S420", 1.00), ("S460", 1.00), ("stainless", 1.00))


def correlation_factor(parent: str) -> RuleValue:
    """Correlation factor beta_w of the parent metal: S235, S275, S355, S420, S460 or "stainless".

    Raises ValueError for another name.
    """
    for name, value in _BETA_W:
        if name == parent:
            source = "EN 1993-1-4 5.3" if name == "stainless" else "EN 1993-1-8 Table 4.1"
            return RuleValue(value, "", "from memory", "H", source, "value from memory; confirm against the standard")
    raise ValueError(f"weld parent metal {parent!r} is not known; use one of {', '.join(n for n, _ in _BETA_W)}")


def directional_limit_mpa(tensile_mpa: Num, beta_w: Num, gamma: float = 1.25) -> Num:
    """Limit on the equivalent stress, MPa: fu/(beta_w gamma) (EN 1993-1-8 4.5.3.2); fu of the weaker part."""
    return tensile_mpa / (beta_w * gamma)


def normal_limit_mpa(tensile_mpa: Num, gamma: float = 1.25) -> Num:
    """Limit on the direct stress square to the throat, MPa: 0.9 fu/gamma (EN 1993-1-8 4.5.3.2)."""
    return 0.9 * tensile_mpa / gamma


def simplified_limit_mpa(tensile_mpa: Num, beta_w: Num, gamma: float = 1.25) -> Num:
    """Limit on the resultant stress, MPa: fu/(sqrt 3 beta_w gamma) (EN 1993-1-8 4.5.3.3)."""
    return tensile_mpa / (math.sqrt(3.0) * beta_w * gamma)


def electrode_allowable_mpa(electrode_tensile_mpa: Num) -> Num:
    """Allowable shear on the throat by electrode strength, MPa: 0.30 F_EXX (AWS D1.1 allowable stress
    form)."""
    return 0.30 * electrode_tensile_mpa
