"""Edge preparation of welded arms, and fillet-weld beads as bodies of their own."""
from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Literal

import numpy as np

from strutwright.models import development as dev
from strutwright.models import frames
from strutwright.models.build import kernel
from strutwright.models.build.kernel import KernelError, Solid
from strutwright.models.frames import Axes, Vector
from strutwright.models.outline import Outline
from strutwright.models.spec import Arm, Barrel, Palm, Weld
from strutwright.params.words import Words, mm, say


def bead(first: Solid, second: Solid, leg_mm: float, radius_mm: float, *, flat: bool) -> list[Solid]:
    """Return the fillet weld all round where two solids meet.

    The pair is joined and its re-entrant edge filled; what that adds is the bead. flat: a bead of flat face and equal
    legs is tried, which the kernel only does safely round sections without sharp edges; otherwise, or when that fails,
    the face is hollow with radius_mm. An edge much narrower than the leg, as a foil's trailing edge, is left open where
    the kernel cannot go round it, and so is a sharp one. Raises KernelError when the kernel cannot.
    """
    pair, roots = kernel.fuse(first, second)
    if not roots:
        raise KernelError("the two parts do not meet")
    sides = [e for e in roots if e.Length() > 0.25 * leg_mm]
    ways: list[Callable[[], Solid | None]] = [partial(kernel.fillet, pair, roots, radius_mm)]
    if 0 < len(sides) < len(roots):
        ways.append(partial(kernel.fillet, pair, sides, radius_mm))
    ways.append(partial(kernel.fillet_each, pair, sides, radius_mm))
    if flat:
        ways.insert(0, partial(kernel.chamfer, pair, roots, leg_mm))
    why: Words = say("a weld of leg {leg} does not fit all round", leg=mm(leg_mm))
    for way in ways:
        filled = way()
        if filled is not None:
            made, why = kernel.attempt(partial(kernel.added, filled, pair))
            if made is not None:
                return made
    raise KernelError(why)


def hollow_radius_mm(leg_mm: float, thickness_mm: float, barrel_outside_mm: float) -> float:
    """Return the radius of a hollow bead whose legs are leg_mm where a flank leaves a round barrel.

    The corner there opens to 90 degrees plus asin(thickness / outside); a fillet's legs are radius / tan(half of it).
    """
    corner = math.pi / 2 + math.asin(min(thickness_mm / barrel_outside_mm, 1.0))
    return leg_mm * math.tan(corner / 2)


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
    """
    if min(arm.thickness_barrel_mm, arm.thickness_palm_mm) <= weld.root_face_mm:
        raise KernelError(say("the arm is not thicker than the root face of {root_face}",
                              root_face=mm(weld.root_face_mm)))
    axes = frames.arm_axes(arm, barrel, palm.plane)
    ends = frames.arm_ends_mm(arm, barrel, palm.plane)
    hull = frames.palm_axes(palm)
    # The edge of the root face stands on the round barrel a little lower than the crown.
    saddle = math.sqrt((barrel.outside_mm / 2) ** 2 - (weld.root_face_mm / 2) ** 2)
    low = ends[0] * saddle / (barrel.outside_mm / 2)
    high = ends[1] - palm.thickness_mm / float(axes.n @ hull.n)
    places: tuple[tuple[Literal["barrel", "palm"], float, Vector], ...] = (
        ("barrel", low, -np.cross(axes.u, axes.v)), ("palm", high, hull.n))
    return [_wedge(end, axes.origin + along * axes.n, outward, side, axes, arm, weld)
            for end, along, outward in places for side in (1, -1)]


def _wedge(end: Literal["barrel", "palm"], origin: Vector, outward: Vector, side: int, axes: Axes, arm: Arm,
           weld: Weld) -> Wedge:
    """Return the wedge on one side (+1 or -1 along v) of the end plane through origin, normal outward (3,)."""
    along, flank, flank_deg = dev.flank(axes, outward, side)
    open_deg = 90 - weld.prep_angle_deg
    name: Literal["port", "starboard"] = "port" if side > 0 else "starboard"
    if flank_deg - open_deg < dev.LEAST_CUT_DEG:
        return Wedge(end, name, flank_deg, None)
    reach = 2 * max(arm.thickness_palm_mm, arm.thickness_barrel_mm)
    chord = 2 * max(arm.chord_palm_mm, arm.chord_barrel_mm)
    rise = reach * math.tan(math.radians(open_deg))
    profile = Outline(np.array(((0.0, 0.0, 0.0), (0.0, -reach, 0.0), (reach, -reach, 0.0), (reach, rise, 0.0))))
    start = origin + weld.root_face_mm / 2 * flank - chord * along
    frame = Axes(start, flank, -outward, np.cross(flank, -outward))
    return Wedge(end, name, flank_deg, kernel.prism(kernel.outline_wire(profile, frame), 2 * chord * along))
