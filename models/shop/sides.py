"""The sides of arms and skeg: ruled surfaces, straight lines between like points of two sections. Pure numpy, mm."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from strutwright.models import frames
from strutwright.models.frames import Axes
from strutwright.models.geometry.loops import lower_half
from strutwright.models.geometry.members import arm_section
from strutwright.models.geometry.skeg import fin_section
from strutwright.models.spec import Arm, Strut

Floats: TypeAlias = NDArray[np.float64]
Piece: TypeAlias = tuple[Floats, Floats]  # points (m, 2) and directions of travel (m, 2)

_FAN = 65  # points to a corner


class DevelopmentError(ValueError):
    """A curve cannot be rolled out; the text says of which part and why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """The outer surface of an arm or skeg as n straight generators, from the trailing edge by the first of its sides to
    the leading edge and back by the second: anticlockwise seen against the part's axis.

    name: of the part. axes: section frame; n along the part's axis away from the shaft line. near, far: (n, 3) points
    of the two sections at along_near_mm and along_far_mm from the shaft line. near_way, far_way: (n, 3) directions of
    travel round them. pieces: index ranges [first, last] of the smooth pieces, corners among them (points that stay
    where they are while the direction turns). leading: index of the leading edge. sides: names of the two sides in that
    order.
    """

    name: str
    axes: Axes
    along_near_mm: float
    along_far_mm: float
    near: Floats
    far: Floats
    near_way: Floats
    far_way: Floats
    pieces: tuple[tuple[int, int], ...]
    leading: int
    sides: tuple[str, str] = ("starboard", "port")

    def slope(self) -> Floats:
        """Return (n, 3) steps of the generators per mm along the axis."""
        return (self.far - self.near) / (self.along_far_mm - self.along_near_mm)

    def at(self, along_mm: Floats | float) -> Floats:
        """Return (n, 3) points of the generators at distances along the axis from the shaft line, one or n of them."""
        s = np.broadcast_to(np.asarray(along_mm, dtype=float), (len(self.near),))
        return np.asarray(self.near + (s - self.along_near_mm)[:, None] * self.slope())

    def outward(self, along_mm: Floats | float) -> Floats:
        """Return (n, 3) unit normals out of the surface at those places."""
        s = np.broadcast_to(np.asarray(along_mm, dtype=float), (len(self.near),))
        k = ((s - self.along_near_mm) / (self.along_far_mm - self.along_near_mm))[:, None]
        normal = np.cross((1 - k) * self.near_way + k * self.far_way, self.slope())
        return np.asarray(normal / np.linalg.norm(normal, axis=1)[:, None])


def arm_side(strut: Strut, arm: Arm) -> Side:
    """Return the side of an arm. Raises DevelopmentError when its section cannot be.

    >>> strut = shipped("canal-tender")
    >>> np.ptp(arm_side(strut, strut.arms[0]).near, axis=0).round(6).tolist()  # chord, thickness
    [56.0, 14.0, 0.0]
    """
    plane = frames.arm_plane(strut, arm)
    axes = frames.arm_axes(arm, strut.barrel, plane)
    ends = frames.arm_ends_mm(arm, strut.barrel, plane)
    rings = [
        _ring(lower_half(arm_section(arm, chord, thickness).loop()))
        for chord, thickness in (
            (arm.chord_barrel_mm, arm.thickness_barrel_mm),
            (arm.chord_palm_mm, arm.thickness_palm_mm),
        )
    ]
    return _side(arm.name, axes, ends, (axes, axes), (rings[0], rings[1]))


def skeg_side(strut: Strut) -> Side:
    """Return the side of the fin; its axis runs down from the shaft line at the middle of the root.

    Raises DevelopmentError when the strut has no skeg.

    >>> side = skeg_side(shipped("sloop-with-skeg"))
    >>> round(float(np.ptp(side.far[:, 0])), 3), side.along_far_mm  # a tip of 2 1/4 in, 5 in down
    (57.15, 127.0)
    """
    skeg, barrel = strut.skeg, strut.barrel
    if skeg is None:
        raise DevelopmentError("this strut has no skeg to roll out")
    root = barrel.outside_mm / 2
    x, down = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, -1.0])
    across = np.cross(down, x)
    lead = barrel.x(skeg.root_forward_station_mm)
    sizes = (
        (lead, skeg.root_forward_station_mm - skeg.root_aft_station_mm, skeg.thickness_root_mm),
        (lead - skeg.sweep_mm, skeg.tip_chord_mm, skeg.thickness_tip_mm),
    )
    rings, placed = [], []
    for front, chord, thickness in sizes:
        rings.append(_ring(lower_half(fin_section(skeg, chord, thickness).loop())))
        placed.append(Axes(np.array([front - chord / 2, 0.0, 0.0]), x, across, down))
    made = _side("skeg", placed[0], (root, skeg.depth_mm), (placed[0], placed[1]), (rings[0], rings[1]))
    return replace(made, sides=("port", "starboard"))  # its axis runs down


class _Ring(NamedTuple):
    points: Floats
    way: Floats
    pieces: tuple[tuple[int, int], ...]
    leading: int


def _side(
    name: str, axes: Axes, along: tuple[float, float], placed: tuple[Axes, Axes], rings: tuple[_Ring, _Ring]
) -> Side:
    points, ways = [], []
    for ring, frame, s in zip(rings, placed, along, strict=True):
        points.append(frame.origin + s * frame.n + ring.points[:, :1] * frame.u + ring.points[:, 1:] * frame.v)
        ways.append(ring.way[:, :1] * frame.u + ring.way[:, 1:] * frame.v)
    if len(points[0]) != len(points[1]):
        raise DevelopmentError(f"the two end sections of the {name} are not of one kind")
    return Side(
        name=name,
        axes=axes,
        along_near_mm=along[0],
        along_far_mm=along[1],
        near=points[0],
        far=points[1],
        near_way=ways[0],
        far_way=ways[1],
        pieces=rings[0].pieces,
        leading=rings[0].leading,
    )


def _ring(lower: list[Piece]) -> _Ring:
    """Return the whole section: the lower half, its mirror image run back, and a corner between any two pieces.

    A corner where the direction does not turn is a piece without length; it does no harm.
    """
    upper = [(p[::-1] * (1.0, -1.0), w[::-1] * (-1.0, 1.0)) for p, w in reversed(lower)]
    row: list[Piece] = []
    tail = np.array((0.0, -1.0))  # the seam is at the trailing edge, where travel is straight across the chord
    before = tail
    for points, way in [*lower, *upper]:
        row += [_corner(points[0], before, way[0]), (points, way)]
        before = way[-1]
    row.append(_corner(row[-1][0][-1], before, tail))
    sizes = np.cumsum([0] + [len(p) for p, _ in row]).tolist()
    # The corner at the leading edge belongs to both halves; its middle is the edge.
    leading = sizes[2 * len(lower)] + _FAN // 2
    return _Ring(
        np.vstack([p for p, _ in row]),
        np.vstack([w for _, w in row]),
        tuple((int(a), int(b) - 1) for a, b in pairwise(sizes)),
        int(leading),
    )


def _corner(at: Floats, before: Floats, after: Floats) -> Piece:
    first = math.atan2(before[1], before[0])
    turn = math.atan2(before[0] * after[1] - before[1] * after[0], float(before @ after))
    angle = first + turn * np.linspace(0.0, 1.0, _FAN)
    return np.broadcast_to(at, (_FAN, 2)), np.column_stack((np.cos(angle), np.sin(angle)))


def between(values: Floats, place: float) -> Floats:
    """Return row `place` (index and fraction) of values (n,) or (n, k).

    >>> between(np.array([10.0, 20.0, 40.0]), 1.25).item()  # a quarter of the way from 20 to 40
    25.0
    """
    i = min(int(place), len(values) - 2)
    return np.asarray(values[i] + (place - i) * (values[i + 1] - values[i]))
