"""Edge preparation of welded arms, and fillet-weld beads as bodies of their own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.geometry import beads
from strutwright.models.geometry.roots import Root, Ruled
from strutwright.models.outline import Outline
from strutwright.models.shop import arm_ends
from strutwright.models.solids import kernel, skinned, triangles
from strutwright.models.solids.kernel import KernelError, Solid
from strutwright.models.spec import Arm, Barrel, Palm, Weld
from strutwright.params.words import mm, say


def bead(ruled: Ruled, root: Root, leg_mm: float, parts: Sequence[Solid]) -> list[Solid]:
    """Return the fillet weld all round a joint: its legs reach leg_mm along side and base, its face is flat.

    ruled: the side of the arm or fin; root: the joint; parts: the solids it lies against. Raises KernelError or
    SkinError when it cannot be made.

    >>> from strutwright.models.geometry import members
    >>> from strutwright.models.solids import barrel
    >>> strut = shipped("canal-tender")
    >>> arm, whole = members.arm_member(strut, strut.arms[0]), barrel.envelope(strut.barrel, np.array([0.0, 0.0, -1.0]))
    >>> made = bead(arm.ruled, members.barrel_root(arm, strut.barrel, 0.0), 4.0, [whole])
    >>> [round(kernel.volume_mm3(s)) for s in made]  # 4 x 4 / 2 round 128, a chord of 56, and its corners
    [1126]
    """
    spare: list[Solid] = []
    # A cut that goes wrong by a hair goes well with a wider tolerance, or with the ring a hair deeper or less.
    for buried, fuzzy_mm in ((1.0, 0.0), (1.0, kernel.FUZZY_MM[-1]), (0.7, 0.0), (1.4, 0.0)):
        whole = skinned.ring(beads.ring(ruled, root, leg_mm, buried * beads.BURIED_MM))
        found = kernel.solids(kernel.cut(whole, parts, fuzzy_mm))
        size = sum(kernel.volume_mm3(s) for s in found)
        # What is cut off on the far side of a thin edge is no bead.
        kept = [s for s in found if kernel.volume_mm3(s) > 0.01 * size]
        kept = [s if kernel.is_sound(s) else kernel.mended(s) for s in kept]
        if not kept or not all(_beside(s, root) for s in kept):
            spare = spare or kept
        elif all(kernel.is_sound(s) and triangles.closes(s) for s in kept):
            return kept
        else:
            spare = kept
    if not spare:
        raise KernelError("nothing is left of the bead beside its parts")
    return spare


def _beside(solid: Solid, root: Root) -> bool:
    """Whether the corners of a bead lie on or outside what its joint stands on: the kernel may leave a ring uncut."""
    corners = np.array([v.toTuple() for v in solid.Vertices()])
    return float(root.base.near(corners).distance.min()) > -0.1 * beads.BURIED_MM


@dataclass(frozen=True, slots=True)
class Wedge:
    """What is ground off one flank at one end of an arm. solid is None where the flank stands open enough as it is."""

    end: Literal["barrel", "palm"]
    side: Literal["port", "starboard"]
    flank_deg: float
    solid: Solid | None


def wedges(arm: Arm, barrel: Barrel, palm: Palm, weld: Weld) -> list[Wedge]:
    """Return the four wedges that bevel an arm's flanks at both ends, leaving the root face in the middle.

    The groove opens 90 degrees less weld.prep_angle_deg to the plate or barrel, so that on an arm that stands square
    the bevel makes prep_angle_deg with the arm's side. Raises KernelError when the arm is not thicker than the root
    face.

    >>> strut = shipped("yawl-with-heel")
    >>> [(w.end, w.side) for w in wedges(strut.arms[0], strut.barrel, strut.palms[0], strut.weld)]
    [('barrel', 'port'), ('barrel', 'starboard'), ('palm', 'port'), ('palm', 'starboard')]
    """
    if min(arm.thickness_barrel_mm, arm.thickness_palm_mm) <= weld.root_face_mm:
        raise KernelError(
            say("the arm is not thicker than the root face of {root_face}", root_face=mm(weld.root_face_mm))
        )
    axes = frames.arm_axes(arm, barrel, palm.plane)
    ends = frames.arm_ends_mm(arm, barrel, palm.plane)
    hull = frames.palm_axes(palm)
    # The edge of the root face stands on the round barrel a little lower than the crown.
    saddle = math.sqrt((barrel.outside_mm / 2) ** 2 - (weld.root_face_mm / 2) ** 2)
    low = ends[0] * saddle / (barrel.outside_mm / 2)
    high = ends[1] - palm.thickness_mm / float(axes.n @ hull.n)
    places: tuple[tuple[Literal["barrel", "palm"], float, Vector], ...] = (
        ("barrel", low, -np.cross(axes.u, axes.v)),
        ("palm", high, hull.n),
    )
    return [
        _wedge(end, axes.origin + along * axes.n, outward, side, axes, arm, weld)
        for end, along, outward in places
        for side in (1, -1)
    ]


def _wedge(
    end: Literal["barrel", "palm"], origin: Vector, outward: Vector, side: int, axes: Axes, arm: Arm, weld: Weld
) -> Wedge:
    """Return the wedge on one side (+1 or -1 along v) of the end plane through origin, normal outward (3,)."""
    along, flank, flank_deg = arm_ends.flank(axes, outward, side)
    open_deg = 90 - weld.prep_angle_deg
    name: Literal["port", "starboard"] = "port" if side > 0 else "starboard"
    if flank_deg - open_deg < arm_ends.LEAST_CUT_DEG:
        return Wedge(end, name, flank_deg, None)
    reach = 2 * max(arm.thickness_palm_mm, arm.thickness_barrel_mm)
    chord = 2 * max(arm.chord_palm_mm, arm.chord_barrel_mm)
    rise = reach * math.tan(math.radians(open_deg))
    profile = Outline(np.array(((0.0, 0.0, 0.0), (0.0, -reach, 0.0), (reach, -reach, 0.0), (reach, rise, 0.0))))
    start = origin + weld.root_face_mm / 2 * flank - chord * along
    frame = Axes(start, flank, -outward, np.cross(flank, -outward))
    return Wedge(end, name, flank_deg, kernel.prism(kernel.outline_wire(profile, frame), 2 * chord * along))
