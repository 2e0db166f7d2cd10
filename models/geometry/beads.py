"""Fillet-weld beads round a joint: where their toes lie, and a ring that holds the bead. Numpy only; mm.

A leg is measured from the line in which side and base meet, square to it, along each of the two surfaces, whatever the
angle between them. The face of a bead is flat from toe to toe. The ring reaches a little into both parts, so that they
cut it cleanly to the bead.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from strutwright.models.arrays import Floats
from strutwright.models.geometry import splines
from strutwright.models.geometry.roots import Places, Root, Ruled, roll
from strutwright.models.geometry.skins import FIT_MM, STATIONS, Patch, SkinError, divisions

BURIED_MM = 0.25  # how far a ring reaches into the parts
_WALKS = 6  # steps by which a toe is put on a curved base at just one leg's distance


class Bead(NamedTuple):
    """A bead at n places round a joint, (n, 3) each: where side and base meet, the toe on the side, that on the base;
    the unit normals of side and base; open_deg (n,): angle between the two surfaces, through the weld."""

    line: Floats
    on_side: Floats
    on_base: Floats
    side_normal: Floats
    base_normal: Floats
    open_deg: Floats
    ok: NDArray[np.bool_]


def toes(ruled: Ruled, root: Root, leg_mm: float, places: Places) -> Bead:
    """Return the bead of a leg (mm) at n places round the section. root: the joint; its radius does not matter.

    ok (n,) is False where side and base do not meet.

    >>> from strutwright.models.geometry.members import arm_member, palm_root
    >>> strut = shipped("canal-tender")
    >>> arm = arm_member(strut, strut.arms[0])
    >>> bead = toes(arm.ruled, palm_root(arm, strut.palms[0], 0.0), 7.0, [(0, np.array([0.5]))])  # at the leading edge
    >>> bead.open_deg.round(2).tolist(), np.linalg.norm(bead.on_base - bead.line, axis=1).round(6).tolist()
    ([81.0], [7.0])
    """
    found = roll(ruled, root.base, 0.0, places, root.reach)
    side, normal = found.side, found.normal
    _, _, line, _ = ruled.lines(places)
    # Away from the base, at k that grows or falls.
    rise = line / np.linalg.norm(line, axis=1)[:, None] * np.sign(root.reach[1] - root.reach[0])
    # The base's normal, from a little way out, so that the bead goes over a crease without a jump.
    out = side + leg_mm * (rise + 0.5 * normal)
    up = out - root.base.near(out).foot
    up /= np.maximum(np.linalg.norm(up, axis=1), 1e-12)[:, None]
    facing = np.sum(normal * up, axis=1)[:, None]
    along_side, along_base = up - facing * normal, normal - facing * up
    along_side /= np.maximum(np.linalg.norm(along_side, axis=1), 1e-12)[:, None]
    along_base /= np.maximum(np.linalg.norm(along_base, axis=1), 1e-12)[:, None]
    across = np.sum(rise * along_side, axis=1)
    on_side = side + (leg_mm / np.where(np.abs(across) < 0.2, 0.2, across))[:, None] * rise
    way = along_base
    for _ in range(_WALKS):
        on_base = root.base.near(side + leg_mm * way).foot
        way = on_base - side
        way /= np.maximum(np.linalg.norm(way, axis=1), 1e-12)[:, None]
    open_deg = np.degrees(np.arccos(np.clip(np.sum(along_side * along_base, axis=1), -1.0, 1.0)))
    return Bead(side, on_side, on_base, normal, up, open_deg, found.ok)


@dataclass(frozen=True, slots=True)
class Ring:
    """The skin of a closed ring with three sides: face of the bead, inside the base, inside the part."""

    strips: tuple[tuple[Patch, ...], ...]


def ring(ruled: Ruled, root: Root, leg_mm: float, buried_mm: float = BURIED_MM) -> Ring:
    """Return the ring that holds the bead. Raises SkinError where side and base do not meet.

    >>> from strutwright.models.geometry.members import arm_member, palm_root
    >>> strut = shipped("canal-tender")
    >>> arm = arm_member(strut, strut.arms[0])
    >>> len(ring(arm.ruled, palm_root(arm, strut.palms[0], 0.0), 7.0).strips)  # its face and two buried sides
    3
    """
    strips: list[list[Patch]] = [[], [], []]
    for piece in range(len(ruled.loops[0])):
        for span in pairwise(divisions(ruled, (Root(root.base, 0.0, root.reach, root.name),), piece)):
            for strip, patch in zip(strips, _patches(ruled, root, leg_mm, buried_mm, piece, span), strict=True):
                strip.append(patch)
    return Ring(tuple(tuple(s) for s in strips))


def _patches(
    ruled: Ruled, root: Root, leg_mm: float, buried_mm: float, piece: int, span: tuple[float, float]
) -> list[Patch]:
    for count in STATIONS:
        corners = _corners(ruled, root, leg_mm, buried_mm, piece, np.linspace(span[0], span[1], 2 * count - 1))
        knots, solve, middle = splines.fit(count)
        if np.abs(np.tensordot(middle, corners[::2], 1) - corners[1::2]).max() < FIT_MM:
            break
    poles = np.tensordot(solve, corners[::2], 1)
    return [Patch(knots, poles[:, [a, b]], False) for a, b in ((0, 1), (1, 2), (2, 0))]


def _corners(ruled: Ruled, root: Root, leg_mm: float, buried_mm: float, piece: int, shares: Floats) -> Floats:
    """Return the ring's three corners (n, 3, 3): past the toe on the side, past that on the base, under the line."""
    b = toes(ruled, root, leg_mm, [(piece, shares)])
    if not b.ok.all():
        raise SkinError(f"{root.name} do not meet all round")
    face = b.on_side - b.on_base
    face /= np.linalg.norm(face, axis=1)[:, None]
    return np.stack(
        (
            b.on_side + buried_mm * face,
            b.on_base - buried_mm * face,
            b.line - buried_mm * (b.side_normal + b.base_normal),
        ),
        axis=1,
    )
