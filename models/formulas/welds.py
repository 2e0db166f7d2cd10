"""Fillet welds treated as lines: a weld round a section under any load, throats, limits and least legs.

Weld plane axes x, y (for an arm foot: x along the chord, y across) and z square to the plane. N, mm, MPa. Distortion
is not here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from strutwright.models.arrays import Num, Triple, add, greatest, mul
from strutwright.params import tables

CORRELATION = {"S275": 0.85, "stainless": 1.00}
"""Correlation factor beta_w of the parent metal, EN 1993-1-8 Table 4.1 and EN 1993-1-4 5.3; from memory, confirm."""


@dataclass(frozen=True, slots=True, eq=False)
class WeldLine:
    """A weld round a section as a line: what a force and moments add per mm where they add most (1/mm, 1/mm2)."""

    per_force: Num
    out_per_x: Num
    out_per_y: Num
    twist_x: Num
    twist_y: Num


def weld_line(length_mm: Num, ixx_mm3: Num, iyy_mm3: Num, reach_x_mm: Num, reach_y_mm: Num) -> WeldLine:
    """The weld along a line of that length, with its second moments about x and y through its middle, and how far it
    reaches from there. Line integrals, polar second moment their sum; handbook of welded structures, from memory.

    >>> line = weld_line(250.0, 33_854.17, 291_666.7, 50.0, 12.5)  # round a rectangle of 100 x 25
    >>> round(1.0 / line.out_per_x, 1)  # 2500 + 625 / 3
    2708.3
    """
    polar = ixx_mm3 + iyy_mm3
    return WeldLine(1.0 / length_mm, reach_y_mm / ixx_mm3, reach_x_mm / iyy_mm3, reach_y_mm / polar, reach_x_mm / polar)


class Flank(NamedTuple):
    """One side of a weld as the directional method takes it: the throat, mm, and sine and cosine of the angle between
    the parts there."""

    throat_mm: Num
    sine: Num
    cosine: Num


def flank(throat_mm: Num, between_deg: Num = 90.0) -> Flank:
    """Return a side of a weld by its throat and the angle between the parts, above 0 and under 180 degrees.

    >>> flank(5.0).throat_mm
    5.0
    """
    between = np.radians(between_deg)
    return Flank(throat_mm, np.sin(between), np.cos(between))


def weld_stress_mpa(
    weld: WeldLine,
    forces_n: Triple,
    moments_nmm: Triple,
    *,
    sides: tuple[Flank, ...],
    ends: tuple[Flank, ...],
    beta_w: float,
) -> Num:
    """Greatest equivalent stress in the throats of a weld round a section, MPa, of both sides and both ends.

    Forces and moments x, y, z at its middle. sides, ends: the flanks along x and along y. Directional method of
    EN 1993-1-8 4.5.3.2. A force of ``out`` per mm along the plate and ``across`` square to it has on the throat, in the
    plane that halves the angle a between the parts, the stress out sin(a/2) + across cos(a/2) square to it and
    out cos(a/2) - across sin(a/2) in it, over the throat: together (2 + cos a) out^2 + (2 - cos a) across^2 +
    2 sin a out across, and 3 along^2. Each flank takes half of what the joint carries, though the stiffer one would
    take more: the thin one governs. The stress square to the throat may be 0.9 beta_w of that at most: where it is
    more, it is told over 0.9 beta_w. Worst signs, as if every part were greatest at
    one place (of a rectangle its corner), of both flanks.

    >>> line = weld_line(250.0, 33_854.17, 291_666.7, 50.0, 12.5)  # round a rectangle of 100 x 25
    >>> square, skewed = flank(throat_mm(8.0)), flank(throat_mm(8.0, 120.0), 120.0)
    >>> pull = (0.0, 0.0, 25e3), (0.0, 0.0, 0.0)
    >>> [round(float(weld_stress_mpa(line, *pull, sides=(f,), ends=(f,), beta_w=0.9)), 2) for f in (square, skewed)]
    [25.0, 30.62]
    """
    felt, joint = at_corner(weld, forces_n, moments_nmm), Joint.of(sides, ends, beta_w)
    stress: Num = np.sqrt(joint.squared_mpa2(felt))
    return stress


class Corner(NamedTuple):
    """Force per mm of a weld out of its plane, along x and along y, each where it is greatest: its squares, N2/mm2, and
    what out and along each make."""

    out2: Num
    x2: Num
    y2: Num
    out_x: Num
    out_y: Num

    @property
    def whole2(self) -> Num:
        """The square of the force per mm, N2/mm2, all parts taken as across the throat, on the safe side; over the
        throat it is the nominal stress that curves for the root of a weld go by.

        >>> line = weld_line(250.0, 33_854.17, 291_666.7, 50.0, 12.5)  # round a rectangle of 100 x 25
        >>> round(float(at_corner(line, (0.0, 0.0, 25e3), (0.0, 0.0, 0.0)).whole2), 1)  # 25 kN over 250 mm
        10000.0
        """
        return add(self.out2, self.x2, self.y2)


def at_corner(weld: WeldLine, forces_n: Triple, moments_nmm: Triple) -> Corner:
    """What a weld round a section feels, N and N mm x, y, z at its middle: worst signs, as if every part were greatest
    at one place.

    >>> line = weld_line(250.0, 33_854.17, 291_666.7, 50.0, 12.5)  # round a rectangle of 100 x 25
    >>> round(float(at_corner(line, (0.0, 0.0, 25e3), (0.0, 0.0, 0.0)).out2), 1)  # 25 kN over 250 mm
    10000.0
    """
    fx, fy, fz = (np.abs(f) for f in forces_n)
    mx, my, mz = (np.abs(m) for m in moments_nmm)
    out = add(mul(fz, weld.per_force), mul(mx, weld.out_per_x), mul(my, weld.out_per_y))
    in_x = add(mul(fx, weld.per_force), mul(mz, weld.twist_x))
    in_y = add(mul(fy, weld.per_force), mul(mz, weld.twist_y))
    return Corner(mul(out, out), mul(in_x, in_x), mul(in_y, in_y), mul(out, in_x), mul(out, in_y))


def whole_at_corner(weld: WeldLine, forces_n: Triple, moments_nmm: Triple) -> Num:
    """Return the whole force on a mm of a weld round a section, N/mm, as `at_corner` has its parts.

    >>> line = weld_line(250.0, 33_854.17, 291_666.7, 50.0, 12.5)  # round a rectangle of 100 x 25
    >>> round(float(whole_at_corner(line, (0.0, 0.0, 25e3), (0.0, 0.0, 0.0))), 1)  # 25 kN over 250 mm
    100.0
    """
    whole: Num = np.sqrt(at_corner(weld, forces_n, moments_nmm).whole2)
    return whole


class _Share(NamedTuple):
    """What the square of a stress in a throat takes of out^2, across^2, out across and along^2, 1/mm2."""

    out: Num
    across: Num
    both: Num
    along: Num


@dataclass(frozen=True, slots=True, eq=False)
class Joint:
    """The throats of a weld all round: for its sides and its ends, of each flank what the stresses take."""

    sides: tuple[_Share, ...]
    ends: tuple[_Share, ...]

    @classmethod
    def of(cls, sides: tuple[Flank, ...], ends: tuple[Flank, ...], beta_w: float) -> Joint:
        """Return the joint of these flanks, as `weld_stress_mpa` takes them."""
        share = 0.5 / (0.9 * beta_w) ** 2
        return cls(*(_most([s for f in flanks for s in _shares(f, share)]) for flanks in (sides, ends)))

    def squared_mpa2(self, felt: Corner) -> Num:
        """Return the square of the greatest equivalent stress, MPa2."""
        around = ((self.sides, felt.y2, felt.out_y, felt.x2), (self.ends, felt.x2, felt.out_x, felt.y2))
        return greatest(
            [
                add(mul(s.out, felt.out2), mul(s.across, across2), mul(s.both, mixed), mul(s.along, along2))
                for shares, across2, mixed, along2 in around
                for s in shares
            ]
        )


def _shares(f: Flank, share: float) -> list[_Share]:
    """What both stresses of a flank take; that square to the throat is left out where the other is always more."""
    per = 1.0 / (f.throat_mm * f.throat_mm)
    mixed, wide = 2.0 * f.sine, f.cosine
    made = [_Share(per * (2.0 + wide), per * (2.0 - wide), per * mixed, 3.0 * per)]
    less = share <= 1.0 and np.all(np.abs(wide) * (1.0 + share) <= 2.0 - share)
    if not less:
        square = share * per
        made.append(_Share(square * (1.0 - wide), square * (1.0 + wide), square * mixed, 0.0))
    return made


def _most(shares: list[_Share]) -> tuple[_Share, ...]:
    """Those of which no other takes as much or more of everything."""
    kept: list[_Share] = []
    for s in shares:
        if not any(_no_less(other, s) for other in kept):
            kept = [*(other for other in kept if not _no_less(s, other)), s]
    return tuple(kept)


def _no_less(one: _Share, other: _Share) -> bool:
    return all(bool(np.all(a >= b)) for a, b in zip(one, other, strict=True))


def throat_mm(leg_mm: Num, between_deg: Num = 90.0) -> Num:
    """Effective throat of a fillet, mm: leg cos(angle / 2).

    leg_mm: along each of the two fusion faces, from the line where they meet to the toe. between_deg: the angle between
    them, above 0 and under 180. Follows from geometry: the height of an isosceles triangle over its long side.

    >>> round(float(throat_mm(10.0)), 3), round(float(throat_mm(10.0, 120.0)), 3)
    (7.071, 5.0)
    """
    throat: Num = leg_mm * np.cos(np.radians(between_deg) / 2.0)
    return throat


def groove_throat_mm(leg_mm: Num, depth_mm: Num, between_deg: Num = 90.0) -> Num:
    """Throat of a bevel groove with a fillet on top, mm: leg cos(angle / 2) + depth / (2 sin(angle / 2)).

    leg_mm: of the fillet, along both sides. depth_mm: of the groove, square to the bevelled plate's side. between_deg:
    the angle between that side and the other part, above 0 and under 180. Follows from geometry: the distance of the
    groove's root, which lies depth / sin(angle) from the corner on the other part, from the line between the toes.

    >>> round(float(groove_throat_mm(6.0, 8.0)), 3)  # (6 + 8) / root 2
    9.899
    """
    throat: Num = throat_mm(leg_mm, between_deg) + depth_mm / (2.0 * np.sin(np.radians(between_deg) / 2.0))
    return throat


def gauge_leg_mm(leg_mm: Num, between_deg: Num) -> Num:
    """What a fillet gauge reads, mm: how far the toe on one part lies from the face of the other, leg sin(angle).

    leg_mm: along the fusion faces. On a square joint the two are the same; at 126 degrees they differ by a fifth.
    Follows from geometry.

    >>> round(float(gauge_leg_mm(16.0, 126.0)), 2)
    12.94
    """
    gauge: Num = leg_mm * np.sin(np.radians(between_deg))
    return gauge


SHARP_DEG = 60.0
"""Under this angle between the parts the root of a fillet is not surely reached."""


def not_reached_mm(between_deg: Num) -> Num:
    """How much of the throat at the root of a sharp fillet does not count, mm: 3 from 60 down to 45 degrees, 6 down to
    30, all of it under that (AWS D1.1, Z loss of skewed joints, from memory).

    >>> [float(not_reached_mm(angle)) for angle in (60.0, 54.0, 40.0, 20.0)]
    [0.0, 3.0, 6.0, inf]
    """
    lost = np.array([np.inf, 6.0, 3.0, 0.0])
    return lost[np.searchsorted(np.array([30.0, 45.0, SHARP_DEG]), between_deg, side="right")]


def square_cut_gap_mm(thickness_mm: Num, between_deg: Num) -> Num:
    """Gap at the open side of a plate whose end is cut square and not to the part it stands on, mm. Follows from
    geometry: thickness times the sine of how far it stands off square.

    >>> round(float(square_cut_gap_mm(12.0, 126.0)), 2)
    7.05
    """
    gap: Num = thickness_mm * np.abs(np.cos(np.radians(between_deg)))
    return gap


def around_barrel_deg(thickness_mm: Num, outside_mm: Num) -> Num:
    """Angle between the side of what stands on a barrel, its middle plane through the axis, and the barrel's outside,
    degrees. Follows from geometry.

    >>> round(float(around_barrel_deg(30.0, 60.0)), 6)  # 90 and arcsin of a half
    120.0
    """
    angle: Num = 90.0 + np.degrees(np.arcsin(np.minimum(thickness_mm / outside_mm, 1.0)))
    return angle


def minimum_leg_mm(thicker_plate_mm: Num) -> Num:
    """Least fillet leg by the thicker plate, mm: up to 6: 3; to 12: 5; to 19: 6; over: 8 (the larger of AISC 360 Table
    J2.4M, typed copy, and AWS D1.1, from memory).

    The standards' inch figures beside them, 3/16 and 5/16, are a little less than 5 and 8 mm and serve as well.

    >>> float(minimum_leg_mm(12.0)), float(minimum_leg_mm(20.0))
    (4.7625, 7.9375)
    """
    thick = np.atleast_1d(thicker_plate_mm)
    legs = np.minimum(tables.weld_min_leg_mm(thick), tables.weld_min_leg_mm(thick, inch=True))
    leg: Num = legs.reshape(np.shape(thicker_plate_mm))[()]
    return leg


def directional_limit_mpa(tensile_mpa: Num, beta_w: float, gamma: float) -> Num:
    """Limit on the equivalent stress, MPa: fu/(beta_w gamma), gamma 1.25 (EN 1993-1-8 4.5.3.2); fu of the weaker part.

    >>> round(directional_limit_mpa(490.0, 0.9, 1.25), 1)  # S355, teaching texts print 435.6
    435.6
    """
    return tensile_mpa / (beta_w * gamma)
