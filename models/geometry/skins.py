"""The outside of an arm or fin with its root blends as strips of smooth surface, ready for the kernel. Numpy only.

Round the section the strips are divided where the section's pieces join and where the ball's touch goes over from one
part of the base to the next (a crease, the start of a rounded end), so that each patch is smooth and needs few spans.
From end to end there are up to five strips: a skirt buried in the barrel, the blend, the side, the blend at the palm,
and a skirt buried in the palm. A blend is the ball's own surface; it enters what it stands on a hair deep
(Root.sunk), so that the two cut each other cleanly.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats
from strutwright.models.geometry import splines
from strutwright.models.geometry.roots import Contact, Root, Ruled, roll
from strutwright.params.words import fine_mm, say

FIT_MM = 0.002  # skins stay this near to the true surface between their stations
_ARC = 6  # degree of a blend across: within 1e-5 of its radius up to 110 degrees
_SCAN = 129  # places tried on a piece for the ball to go over a crease
_LEAST_MM = 0.4  # between two divisions of a piece
STATIONS = (5, 9, 17, 33, 65)


class SkinError(ArithmeticError):
    """The ball does not touch both sides all round: the radius does not fit. The text says where."""


@dataclass(frozen=True, slots=True)
class End:
    """One end of the part: the plane (point, unit normal) of its cap, buried in what it stands on, and its root."""

    plane: tuple[Floats, Floats]
    root: Root | None = None

    def deeper(self, deep: float) -> End:
        """Return it with a root that enters what it stands on so many times as deep as usual."""
        return self if self.root is None else replace(self, root=replace(self.root, deep=deep))


@dataclass(frozen=True, slots=True)
class Patch:
    """A patch of skin: cubic round the section (knots (m + 4,)), Bezier across; poles (m, rows, 3), mm.

    flat: it lies in a plane.
    """

    knots: Floats
    poles: Floats
    flat: bool


@dataclass(frozen=True, slots=True)
class Skin:
    """A closed skin: strips of patches from the first cap to the second, each strip once round the section."""

    strips: tuple[tuple[Patch, ...], ...]


def skin(ruled: Ruled, low: End, high: End) -> Skin:
    """Return the skin between two caps. Raises SkinError when a root's ball does not fit.

    >>> from strutwright.models.geometry.members import arm_member, barrel_end, palm_end
    >>> strut = shipped("harbour-launch")
    >>> arm = arm_member(strut, strut.arms[0])
    >>> made = skin(arm.ruled, barrel_end(arm, strut.barrel, 6.0), palm_end(arm, strut.palms[0], 7.0))
    >>> len(made.strips)  # skirt, blend, side, blend, skirt
    5
    """
    strips: list[list[Patch]] = []
    roots = [e.root for e in (low, high) if e.root is not None]
    for piece in range(len(ruled.loops[0])):
        if ruled.loops[0][piece].kind == "corner":
            if roots:
                raise SkinError("no ball rolls round a sharp corner: round the section's edges")
            continue
        for span in pairwise(divisions(ruled, roots, piece)):
            made = _patches(ruled, low, high, piece, span)
            strips = strips or [[] for _ in made]
            for strip, patch in zip(strips, made, strict=True):
                strip.append(patch)
    return Skin(tuple(tuple(s) for s in strips))


def _contact(ruled: Ruled, root: Root, piece: int, shares: Floats) -> Contact:
    """Return the ball of a root, sunk as built. Raises SkinError where it does not touch both sides."""
    found = roll(ruled, root.sunk, root.radius_mm, [(piece, shares)], root.reach)
    if not found.ok.all():
        raise SkinError(say("no ball of {radius} fits {name}", radius=fine_mm(root.radius_mm), name=root.name))
    return found


def divisions(ruled: Ruled, roots: Sequence[Root], piece: int) -> list[float]:
    """Return the shares at which a piece is divided, its two ends among them.

    >>> from strutwright.models.geometry.members import arm_member
    >>> strut = shipped("harbour-launch")
    >>> divisions(arm_member(strut, strut.arms[0]).ruled, [], 0)  # no root: nothing to divide it
    [0.0, 1.0]
    """
    at = np.linspace(0.0, 1.0, _SCAN)
    found = [0.0, 1.0]
    for root in roots:
        patch = _patch_at(ruled, root, piece, at)
        for i in np.flatnonzero(np.diff(patch)):
            low, high = float(at[i]), float(at[i + 1])
            for _ in range(4):
                closer = np.linspace(low, high, 17)
                k = int(np.argmax(_patch_at(ruled, root, piece, closer) != patch[i]))
                low, high = float(closer[k - 1]), float(closer[k])
            found.append(0.5 * (low + high))
    # Patches narrower than a mesh's triangles would leave it open: what lies closer together is one division.
    way = np.cumsum(np.linalg.norm(np.diff(ruled.lines([(piece, at)])[0], axis=0), axis=1))
    room = _LEAST_MM / max(float(way[-1]), 1e-9)
    groups: list[list[float]] = []
    for share in sorted(found)[1:-1]:
        if groups and share - groups[-1][-1] <= room:
            groups[-1].append(share)
        else:
            groups.append([share])
    kept = [0.5 * (g[0] + g[-1]) for g in groups]
    return [0.0, *(share for share in kept if room < share < 1.0 - room), 1.0]


def _patch_at(ruled: Ruled, root: Root, piece: int, shares: Floats) -> NDArray[np.intp]:
    return _contact(ruled, root, piece, shares).patch


def _patches(ruled: Ruled, low: End, high: End, piece: int, span: tuple[float, float]) -> list[Patch]:
    """Return the patches of a span of a piece, one a strip, with as few stations as the fit allows."""
    for count in STATIONS:
        share = np.linspace(span[0], span[1], 2 * count - 1)
        rows = list(_rows(ruled, low, high, piece, share))
        knots, solve, middle = splines.fit(count)
        if all(np.abs(np.tensordot(middle, row[::2], 1) - row[1::2]).max() < FIT_MM for row in rows):
            break
    out = []
    for row in rows:
        poles = np.moveaxis(np.tensordot(_TO_BEZIER[row.shape[1]], np.tensordot(solve, row[::2], 1), (1, 1)), 0, 1)
        out.append(Patch(knots, poles, row.shape[1] == 2 and _in_plane(poles)))
    return out


def _in_plane(poles: Floats) -> bool:
    flat = poles.reshape(-1, 3)
    return bool(np.linalg.svd(flat - flat.mean(axis=0), compute_uv=False)[2] < 1e-7)


def _rows(ruled: Ruled, low: End, high: End, piece: int, share: Floats) -> Iterator[Floats]:
    """Yield the points (n, rows, 3) of each strip at shares (n,) of a piece, from the first cap on."""
    a, _, b, _ = ruled.lines([(piece, share)])
    caps = [a + (((e.plane[0] - a) @ e.plane[1]) / (b @ e.plane[1]))[:, None] * b for e in (low, high)]
    touch = [None if e.root is None else _contact(ruled, e.root, piece, share) for e in (low, high)]
    if touch[0] is not None and touch[1] is not None and np.any(touch[0].k >= touch[1].k):
        raise SkinError("the two roots meet: there is no bare side between them")
    first, last = caps
    if low.root is not None and touch[0] is not None:
        arc = arc_points(low.root.radius_mm, touch[0])
        yield np.stack((caps[0], arc[:, -1]), axis=1)
        yield arc[:, ::-1]
        first = touch[0].side
    if touch[1] is not None:
        last = touch[1].side
    yield np.stack((first, last), axis=1)
    if high.root is not None and touch[1] is not None:
        arc = arc_points(high.root.radius_mm, touch[1])
        yield arc
        yield np.stack((arc[:, -1], caps[1]), axis=1)


def arc_points(radius_mm: float, touch: Contact) -> Floats:
    """Return points (n, rows, 3) on the ball, from its touch on the side to that on the base, or if it stands in the
    base to its deepest point.

    >>> points = ((6.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, -6.0))  # side, normal, centre, foot
    >>> ball = Contact(np.ones(1, bool), np.zeros(1), *(np.array([p]) for p in points), np.zeros(1, int))
    >>> arc_points(6.0, ball)[0, [0, -1]].round(6).tolist()
    [[6.0, 0.0, 0.0], [0.0, 0.0, -6.0]]
    """
    start = -touch.normal
    # The ball's deepest point lies toward the foot, which is the base's nearest point.
    way = touch.foot - touch.centre
    way /= np.maximum(np.linalg.norm(way, axis=1), 1e-12)[:, None]  # a ball of no size has none
    phi = np.arccos(np.clip(np.sum(start * way, axis=1), -1.0, 1.0))[:, None, None]
    w = _NODES[None, :, None]
    unit = (np.sin((1 - w) * phi) * start[:, None] + np.sin(w * phi) * way[:, None]) / np.sin(phi)
    return np.asarray(touch.centre[:, None] + radius_mm * unit)


_NODES = 0.5 - 0.5 * np.cos(math.pi * np.arange(_ARC + 1) / _ARC)


def _bezier_matrix(nodes: Floats) -> Floats:
    n = len(nodes) - 1
    return np.linalg.inv(np.stack([math.comb(n, i) * nodes**i * (1 - nodes) ** (n - i) for i in range(n + 1)], axis=1))


_TO_BEZIER = {2: np.eye(2), _ARC + 1: _bezier_matrix(_NODES)}
