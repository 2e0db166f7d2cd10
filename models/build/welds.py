"""Edge preparation of welded arms, and fillet-weld beads as bodies of their own."""
from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from strutwright.models import frames
from strutwright.models.build import kernel
from strutwright.models.build.kernel import KernelError, Solid
from strutwright.models.frames import Axes, Vector, unit
from strutwright.models.outline import Outline
from strutwright.models.spec import Arm, Barrel, Palm, Weld


def bead(first: Solid, second: Solid, leg_mm: float, as_made: Sequence[Solid] = ()) -> list[Solid]:
    """Return the fillet weld of equal legs all round where two solids meet; also the filling of bevelled edges.

    The pair is joined and its re-entrant edge chamfered; what the chamfer adds is the bead. as_made: the two parts as
    they are cut, when their edges are prepared. Raises KernelError when the kernel cannot.
    """
    pair, roots = kernel.fuse(first, second)
    if not roots:
        raise KernelError("the two parts do not meet")
    filled = kernel.chamfer(pair, roots, leg_mm)
    if filled is None:
        raise KernelError(f"a weld of leg {leg_mm:.4g} mm does not fit all round")
    found = kernel.solids(kernel.cut(filled, list(as_made) or [pair]))
    return [s for s in found if s.Volume() > 1e-3 * leg_mm**3]


def bevel_cutters(arm: Arm, barrel: Barrel, palm: Palm, weld: Weld) -> list[Solid]:
    """Return the four wedges that bevel an arm's flanks at both ends, leaving the root face in the middle.

    weld.prep_angle_deg is taken between the bevel and the arm's side. Raises KernelError when the arm is thinner than
    the root face.
    """
    if min(arm.thickness_barrel_mm, arm.thickness_palm_mm) <= weld.root_face_mm:
        raise KernelError(f"the arm is not thicker than the root face of {weld.root_face_mm:.4g} mm")
    axes = frames.arm_axes(arm, barrel, palm.plane)
    ends = frames.arm_ends_mm(arm, barrel, palm.plane)
    hull = frames.palm_axes(palm)
    lowest = axes.origin + (ends[0] - barrel.outside_mm / 2 + _saddle(barrel, weld)) * axes.n
    water_along = ends[1] - palm.thickness_mm / float(axes.n @ hull.n)
    out = []
    for origin, outward in ((axes.origin + water_along * axes.n, hull.n), (lowest, -unit(np.cross(axes.u, axes.v)))):
        out += _wedges(origin, outward, axes, weld, 2 * max(arm.chord_palm_mm, arm.chord_barrel_mm),
                       max(arm.thickness_palm_mm, arm.thickness_barrel_mm))
    return out


def _saddle(barrel: Barrel, weld: Weld) -> float:
    """Return the radius at which the edge of the root face stands on the barrel, mm."""
    return math.sqrt((barrel.outside_mm / 2) ** 2 - (weld.root_face_mm / 2) ** 2)


def _wedges(origin: Vector, outward: Vector, axes: Axes, weld: Weld, chord_mm: float,
            thickness_mm: float) -> list[Solid]:
    """Return the two wedges at an end plane through origin; outward (3,): its normal away from the arm."""
    away = -axes.n if float(axes.n @ outward) > 0 else axes.n
    along = unit(axes.u - float(axes.u @ outward) * outward)
    out = []
    for side in (1, -1):
        flank = np.cross(outward, along)
        flank = flank if float(flank @ axes.v) * side > 0 else -flank
        slope = float(np.clip(flank @ away, -1, 1))
        # The arm's side leaves the end plane at 90 degrees less its lean; the bevel stands prep_angle off that side.
        open_deg = 90 - math.degrees(math.asin(slope)) - weld.prep_angle_deg
        if not 2 < open_deg < 85:
            raise KernelError(f"the arm leans too far for a bevel of {weld.prep_angle_deg:.4g} degrees to its side")
        reach = 2 * thickness_mm
        rise = reach * math.tan(math.radians(open_deg))
        profile = Outline(np.array(((0.0, 0.0, 0.0), (0.0, -reach, 0.0), (reach, -reach, 0.0), (reach, rise, 0.0))))
        start = origin + weld.root_face_mm / 2 * flank - chord_mm * along
        frame = Axes(start, flank, -outward, np.cross(flank, -outward))
        sweep = 2 * chord_mm * along
        out.append(kernel.prism(kernel.outline_wire(profile, frame), sweep))
    return out

