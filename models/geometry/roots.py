"""Where arms and fins leave the barrel and meet the palms: the ball that rolls round a root, and the toes of a weld.

A root blend of radius r is what a ball of that radius leaves free when it rolls round the root, touching the side of
the arm (or fin) and the real outside of what it stands on: the barrel with its parallel part, cones, rounded ends and
the creases between them, or a palm's water face. One function finds the ball; checks, solids, pattern and the
measuring of a written file use it. Geometry only, no outside source. Numpy; points (n, 3) in the strut frame, mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats
from strutwright.models.frames import Axes
from strutwright.models.geometry.loops import Piece
from strutwright.models.geometry.solve import false_position

Ints = NDArray[np.intp]
Places = Sequence[tuple[int, Floats]]  # which piece of a loop, and shares of it: n in all
SINK_MM = 0.015  # at most; far below what a casting shows, and a cut of some 4 degrees where the blend runs out
EASE_MM = 1.0  # at most: radius with which creases are rounded for the ball that makes a blend
_STEPS = 32  # places tried along a line before the touch is narrowed down
_TOUCH_MM = 1e-9


# --- what a root stands on -------------------------------------------------------------------------------------------


class Near(NamedTuple):
    """The nearest place of a body: distance (n,) mm, negative inside; foot (n, 3) on it; patch (n,) which part of its
    surface that is, a face or an edge, as a number."""

    distance: Floats
    foot: Floats
    patch: Ints


class Touched(Protocol):
    """A convex body that a ball can touch."""

    def near(self, points: Floats) -> Near:
        """Return the nearest places to points (n, 3)."""
        ...


class Base(Touched, Protocol):
    """A convex body on which an arm or fin stands."""

    def sunk(self, by_mm: float, ease_mm: float) -> Touched:
        """Return the body with every face moved inward by so much and its creases rounded with a radius of ease_mm."""
        ...


@dataclass(frozen=True, slots=True)
class Round:
    """A body of revolution about the x axis.

    chain (m, 3): x, radius (mm) and bulge of the arc to the next, from aft to forward, as of an `Outline`. The faces
    square to the axis close it.
    """

    chain: Floats

    def near(self, points: Floats) -> Near:
        """Return the nearest places to points (n, 3)."""
        p = np.atleast_2d(points)
        rho = np.hypot(p[:, 1], p[:, 2])
        at = np.column_stack((p[:, 0], rho))
        rows = self._closed()
        best, foot, patch = np.full(len(p), np.inf), np.zeros((len(p), 2)), np.zeros(len(p), dtype=np.intp)
        for k in range(len(rows) - 1):
            on, end = _nearest_on(rows[k, :2], rows[k + 1, :2], float(rows[k, 2]), at)
            off = np.linalg.norm(at - on, axis=1)
            less = off < best - 1e-12
            best, foot[less] = np.where(less, off, best), on[less]
            patch = np.where(less, 2 * k + np.where(end == 0, 0, end), patch)
        inside = (at[:, 0] > rows[0, 0]) & (at[:, 0] < rows[-1, 0]) & (rho < self.radius(at[:, 0]))
        way = p[:, 1:] / np.maximum(rho, 1e-12)[:, None]
        return Near(np.where(inside, -best, best), np.column_stack((foot[:, 0], foot[:, 1:] * way)), patch)

    def _closed(self) -> Floats:
        """The chain with both faces, from the axis to the axis."""
        return np.vstack(([self.chain[0, 0], 0.0, 0.0], self.chain, [self.chain[-1, 0], 0.0, 0.0]))

    def sunk(self, by_mm: float, ease_mm: float) -> Eased:
        """Return the body with every face moved inward by so much and its creases rounded with a radius of ease_mm, or
        less where a face is narrow or an end rounded with a small radius."""
        room = [float(self.chain[:, 1].max())]
        for a, b in pairwise(self.chain):
            if (wide := float(np.linalg.norm(b[:2] - a[:2]))) > 1e-9:
                room += [wide] if a[2] == 0.0 else [wide, _circle(a[:2], b[:2], float(a[2]))[1]]
        ease = min(ease_mm, 0.3 * min(room))
        return Eased(self.shrunk(by_mm + ease), ease)

    def shrunk(self, by_mm: float) -> Round:
        """Return the body with every face moved inward by so much, which is less than any face is wide."""
        faces = [
            _Face.of(a[:2], b[:2], float(a[2]), by_mm)
            for a, b in pairwise(self._closed())
            if np.linalg.norm(b[:2] - a[:2]) > 1e-9
        ]
        corners = np.array([_meeting(one.last, one, other) for one, other in pairwise(faces)])
        bulges = [face.bulge(a, b) for face, a, b in zip(faces[1:-1], corners[:-1], corners[1:], strict=True)]
        return Round(np.column_stack((corners, [*bulges, 0.0])))

    def radius(self, x: Floats) -> Floats:
        """Return the outside radius (mm) at x (mm), that of the end faces beyond them."""
        x = np.clip(x, self.chain[0, 0], self.chain[-1, 0])
        out = np.full(np.shape(x), self.chain[-1, 1])
        for a, b in zip(self.chain[:-1], self.chain[1:], strict=True):
            here = (x >= a[0] - 1e-12) & (x <= b[0] + 1e-12)
            if b[0] - a[0] < 1e-12:
                continue
            if a[2] == 0.0:
                value = a[1] + (x - a[0]) / (b[0] - a[0]) * (b[1] - a[1])
            else:
                (cx, cy), r = _circle(a[:2], b[:2], float(a[2]))
                value = cy + np.sqrt(np.maximum(r * r - (x - cx) ** 2, 0.0))
            out = np.where(here, value, out)
        return np.asarray(out)


@dataclass(frozen=True, slots=True)
class _Face:
    """A line or arc of a chain moved inward. last: where it ended before. way: of a line, its direction; centre and
    radius of an arc, which bends by `sign` (of its bulge; 0 for a line)."""

    last: Floats
    sign: float
    way: Floats
    centre: Floats
    radius: float

    @classmethod
    def of(cls, a: Floats, b: Floats, bulge: float, by_mm: float) -> _Face:
        way = (b - a) / np.linalg.norm(b - a)
        if bulge == 0.0:
            return cls(b, 0.0, way, a - by_mm * np.array((-way[1], way[0])), 0.0)
        centre, radius = _circle(a, b, bulge)
        return cls(b, float(np.sign(bulge)), way, np.array(centre), radius + float(np.sign(bulge)) * by_mm)

    def off(self, p: Floats) -> tuple[float, Floats]:
        """Return how far in front of the face a point (2,) lies, and the way out there."""
        if self.sign == 0.0:
            out = np.array((-self.way[1], self.way[0]))
            return float((p - self.centre) @ out), out
        way = p - self.centre
        far = float(np.linalg.norm(way))
        return -self.sign * (far - self.radius), -self.sign * way / far

    def bulge(self, a: Floats, b: Floats) -> float:
        """Return the bulge of the face between its new ends."""
        if self.sign == 0.0:
            return 0.0
        half = float(np.linalg.norm(b - a)) / 2.0
        return self.sign * float(np.tan(np.arcsin(min(half / self.radius, 1.0)) / 2.0))


def _meeting(p: Floats, one: _Face, other: _Face) -> Floats:
    """Return where two faces meet that were moved a little, near p (Newton's method)."""
    for _ in range(6):
        (d1, n1), (d2, n2) = one.off(p), other.off(p)
        # Faces that go over into each other smoothly leave one way open: the shortest step is taken.
        p = p - np.linalg.lstsq(np.stack((n1, n2)), np.array((d1, d2)), rcond=1e-7)[0]
    return p


def _circle(a: Floats, b: Floats, bulge: float) -> tuple[tuple[float, float], float]:
    chord, middle = b - a, (a + b) / 2
    height = (1.0 - bulge * bulge) / (4.0 * bulge)
    return (float(middle[0] - height * chord[1]), float(middle[1] + height * chord[0])), float(
        np.linalg.norm(chord) * (1 + bulge * bulge) / (4.0 * abs(bulge))
    )


def _nearest_on(a: Floats, b: Floats, bulge: float, at: Floats) -> tuple[Floats, Ints]:
    """Return the nearest points (n, 2) on a line or arc from a to b, and where: 0 between, -1 at a, +1 at b."""
    chord = b - a
    length = float(chord @ chord)
    if length < 1e-18:
        return np.broadcast_to(a, at.shape), np.full(len(at), -1, dtype=np.intp)
    if bulge == 0.0:
        t = (at - a) @ chord / length
        on = a + np.clip(t, 0.0, 1.0)[:, None] * chord
        return on, np.where(t <= 0.0, -1, np.where(t >= 1.0, 1, 0)).astype(np.intp)
    (cx, cy), r = _circle(a, b, bulge)
    way = at - (cx, cy)
    on = (cx, cy) + r * way / np.maximum(np.linalg.norm(way, axis=1), 1e-12)[:, None]
    # On the arc's side of its chord, which is right of a to b for a positive bulge.
    side = chord[0] * (on[:, 1] - a[1]) - chord[1] * (on[:, 0] - a[0])
    inside = side * np.sign(bulge) < 0.0
    first = np.linalg.norm(at - a, axis=1) <= np.linalg.norm(at - b, axis=1)
    on = np.where(inside[:, None], on, np.where(first[:, None], a, b))
    return on, np.where(inside, 0, np.where(first, -1, 1)).astype(np.intp)


@dataclass(frozen=True, slots=True)
class Eased:
    """A body made larger all round by ease_mm, with which its creases become round."""

    core: Round
    ease_mm: float

    def near(self, points: Floats) -> Near:
        """Return the nearest places to points (n, 3)."""
        distance, foot, patch = self.core.near(points)
        away = np.where(np.abs(distance) > 1e-12, distance, 1e-12)
        out = (np.atleast_2d(points) - foot) / away[:, None]
        return Near(distance - self.ease_mm, foot + self.ease_mm * out, patch)


@dataclass(frozen=True, slots=True)
class Slab:
    """Everything behind one plane, or behind two that meet in a low ridge, such as a palm seen from the water.

    planes: (point (3,), unit normal (3,) outward) of each. Over the ridge the plane farther in front counts: of planes
    that lean by 2 degrees a ball then stands less than a thousandth of its radius too low.
    """

    planes: tuple[tuple[Floats, Floats], ...]

    def near(self, points: Floats) -> Near:
        """Return the nearest places to points (n, 3)."""
        p = np.atleast_2d(points)
        over = np.stack([(p - o) @ n for o, n in self.planes], axis=1)
        which = np.argmax(over, axis=1).astype(np.intp)
        distance = over[np.arange(len(p)), which]
        return Near(distance, p - distance[:, None] * np.array([n for _, n in self.planes])[which], which)

    def sunk(self, by_mm: float, ease_mm: float) -> Slab:
        """Return the body with every plane moved inward; its ridge is too low to need rounding."""
        return Slab(tuple((point - by_mm * normal, normal) for point, normal in self.planes))


@dataclass(frozen=True)
class Root:
    """A joint: what the part stands on, the blend's radius (mm), and (k inside it, k it must not pass)."""

    base: Base
    radius_mm: float
    reach: tuple[float, float]
    name: str
    deep: float = 1.0

    @property
    def sink_mm(self) -> float:
        """How deep the blend enters the base; `deep` times as much as usual."""
        return self.deep * min(SINK_MM, 0.01 * self.radius_mm)

    @cached_property
    def sunk(self) -> Touched:
        """What the ball of the blend touches as built: the base a hair smaller, its creases a little rounded.

        A ball that turns on a sharp crease keeps its foot in one place: the blend's skin would be of no width there,
        or fold. Rounding takes less than a hundredth of a millimetre off a crease of 15 degrees, a tenth off one of 45.
        """
        return self.base.sunk(self.sink_mm, min(EASE_MM, 0.1 * self.radius_mm))


# --- the side of an arm or fin ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Ruled:
    """The side of an arm or fin: straight lines between two parallel sections with the same pieces.

    at: the sections' frames; loops: their pieces. k along a line is 0 at the first and 1 at the second section.
    """

    at: tuple[Axes, Axes]
    loops: tuple[Sequence[Piece], Sequence[Piece]]

    def lines(self, places: Places) -> tuple[Floats, Floats, Floats, Floats]:
        """Return points and tangents (n, 3) at k = 0, and how much both change to k = 1."""
        out = []
        for frame, loop in zip(self.at, self.loops, strict=True):
            xy, way = (np.concatenate(rows) for rows in zip(*(loop[i].curve(s) for i, s in places), strict=True))
            uv = np.stack((frame.u, frame.v))
            # Tangents of one length: pieces that join smoothly at both ends then do so between them too.
            way /= np.linalg.norm(way, axis=1)[:, None]
            out.append((frame.origin + xy @ uv, way @ uv))
        (a, ta), (b, tb) = out
        return a, ta, b - a, tb - ta

    @property
    def turn(self) -> float:
        """+1 when the loops run counter-clockwise about the direction from the first section to the second, or -1."""
        one, other = self.at
        return float(np.sign(np.cross(one.u, one.v) @ (other.origin - one.origin)))


class Contact(NamedTuple):
    """The ball at n places round a root. ok (n,): it touches both; without it the rest is of no use.

    k: where along the line it touches the side; side, normal, centre, foot (n, 3): that point, the side's unit normal
    there, the ball's middle, where it touches the base; patch (n,): which part of the base.
    """

    ok: NDArray[np.bool_]
    k: Floats
    side: Floats
    normal: Floats
    centre: Floats
    foot: Floats
    patch: Ints


def roll(ruled: Ruled, base: Touched, radius_mm: float, places: Places, reach: tuple[float, float]) -> Contact:
    """Return the ball of radius_mm that touches the side of an arm and its base, at n places round the section.

    reach: k inside the base and k beyond which the root may not go; the way between them leads out of the base.
    A radius of 0 gives the line in which side and base meet.

    >>> from strutwright.models.geometry.loops import rounded_bar
    >>> bar = rounded_bar(-50.0, 50.0, 10.0, 10.0, 10.0)
    >>> low, high = (Axes(np.array([0.0, 0.0, z]), *np.eye(3)) for z in (0.0, 100.0))
    >>> floor = Slab(((np.array([0.0, 0.0, 20.0]), np.array([0.0, 0.0, 1.0])),))
    >>> ball = roll(Ruled((low, high), (bar, bar)), floor, 6.0, [(1, np.array([0.5]))], (0.0, 1.0))
    >>> ball.centre.round(6).tolist()  # 6 beside a side 10 from the middle, 6 over a floor at 20
    [[0.0, 16.0, 26.0]]
    """
    a, ta, b, tb = ruled.lines(places)
    turn = ruled.turn

    def ball(k: Floats) -> tuple[Floats, Floats, Floats]:
        side = a + k[:, None] * b
        normal = turn * np.cross(ta + k[:, None] * tb, b)
        normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-30)[:, None]
        return side, normal, side + radius_mm * normal

    def gap(k: Floats) -> Floats:
        return base.near(ball(k)[2]).distance - radius_mm

    steps = np.linspace(reach[0], reach[1], _STEPS + 1)
    # All steps at once: side and normal direction are straight in k.
    ahead = turn * np.cross(ta + steps[:, None, None] * tb, b)
    ahead /= np.maximum(np.sqrt(np.einsum("knj,knj->kn", ahead, ahead)), 1e-30)[..., None]
    middle = a + steps[:, None, None] * b + radius_mm * ahead
    over = (base.near(middle.reshape(-1, 3)).distance.reshape(len(steps), -1) - radius_mm).T > 0.0
    # The last step that still stands in the base: what comes after it is free.
    free = np.logical_and.accumulate(over[:, ::-1], axis=1)[:, ::-1]
    ok = free[:, -1] & ~free[:, 0]
    first = np.maximum(np.argmax(free, axis=1), 1)
    k = false_position(gap, steps[first - 1], steps[first], _TOUCH_MM)
    side, normal, centre = ball(k)
    near = base.near(centre)
    return Contact(ok, k, side, normal, centre, near.foot, near.patch)
