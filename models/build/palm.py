"""The palm: its outline made thick toward the water, edges bevelled, bolt holes."""
from __future__ import annotations

import math

import numpy as np

from strutwright.models import frames
from strutwright.models.build import kernel
from strutwright.models.build.kernel import KernelError, Solid
from strutwright.models.outline import Outline
from strutwright.models.spec import Bolt, Palm
from strutwright.params.words import mm, say

CLEAR_MM = 5.0   # how far cutters stand out of the hull face


def plate(palm: Palm) -> Solid:
    """Return the palm without holes, its hull face in the hull-face plane. Raises KernelError on a bad bevel."""
    axes = frames.palm_axes(palm)
    solid = kernel.prism(kernel.outline_wire(palm.outline, axes), -palm.thickness_mm * axes.n)
    if palm.bevel_width_mm <= 0 or palm.bevel_height_mm <= 0:
        return solid
    water = axes.origin - palm.thickness_mm * axes.n
    # A bevel just as wide as a corner is round would end there in a point, where the kernel gives up: a hair more.
    made = (kernel.bevel(solid, water, axes.n, palm.bevel_width_mm, palm.bevel_height_mm)
            or kernel.bevel(solid, water, axes.n, palm.bevel_width_mm + 1e-3, palm.bevel_height_mm))
    if made is None:
        raise KernelError(say("the edge cannot be thinned by {height} over {width}", height=mm(palm.bevel_height_mm),
                              width=mm(palm.bevel_width_mm)))
    return made


def hole_profile(bolt: Bolt, thickness_mm: float, above_mm: float) -> Outline:
    """Return the half section of a bolt hole: (distance from the hull face toward the water, radius), mm.

    above_mm: how far the head's recess is cut free beyond the water face.
    """
    r, head = bolt.hole_mm / 2, bolt.head_diameter_mm / 2
    top, t = thickness_mm + above_mm, thickness_mm
    if bolt.kind == "plain" or head <= r:
        rows = [(-CLEAR_MM, r), (top, r)]
    elif bolt.kind == "counterbored":
        rows = [(-CLEAR_MM, r), (t - bolt.head_depth_mm, r), (t - bolt.head_depth_mm, head), (top, head)]
    else:
        deep = (head - r) / math.tan(math.radians(bolt.head_angle_deg) / 2)
        rows = [(-CLEAR_MM, r), (t - deep, r), (t, head), (top, head)]
    rows += [(top, 0.0), (-CLEAR_MM, 0.0)]
    return Outline(np.array([(x, y, 0.0) for x, y in rows]))


def hole_cutters(palm: Palm, above_mm: float) -> list[Solid]:
    """Return what is drilled away at each bolt hole, square to the palm, in order of hole number."""
    axes = frames.palm_axes(palm)
    profile = hole_profile(palm.bolt, palm.thickness_mm, above_mm)
    return [kernel.revolve(profile, axes.to_strut(np.array([[h.u_mm, h.v_mm]]))[0], -axes.n, axes.u)
            for h in sorted(palm.holes, key=lambda h: h.number)]
