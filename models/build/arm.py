"""The arm: a section swept or tapered along the arm axis from inside the barrel toward the hull."""
from __future__ import annotations

import numpy as np

from strutwright.models import frames
from strutwright.models.build import kernel
from strutwright.models.build.kernel import Edge, Solid
from strutwright.models.frames import Axes
from strutwright.models.sections import Section, foil_bspline_sides, outline
from strutwright.models.spec import Arm, Barrel, Palm, SectionShape


def section_edges(shape: SectionShape, chord_mm: float, thickness_mm: float, edge_radius_mm: float,
                  axes: Axes) -> list[Edge]:
    """Return the closed section as kernel edges in the u, v plane of axes, centred on their origin.

    Exact curves, in a number and order that depend on the shape alone, so that two sizes of it can be joined by a
    loft. Raises SectionError when the sizes cannot be.
    """
    section = Section(shape, chord_mm, thickness_mm, edge_radius_mm if shape == "flat" else None)
    if shape == "ellipse":
        return [kernel.ellipse_arc(axes.origin, chord_mm / 2 * axes.u, thickness_mm / 2 * axes.v, 90 * k, 90 * (k + 1))
                for k in (0, 1, 2, 3)]
    if shape == "foil":
        upper, lower = (axes.to_strut(side.poles) for side in foil_bspline_sides(section))
        return [kernel.bezier(upper), kernel.line(upper[-1], lower[-1]), kernel.bezier(lower[::-1])]
    return kernel.outline_edges(outline(section), axes)


def between(shape: SectionShape, first: tuple[float, float, float], second: tuple[float, float, float],
            first_axes: Axes, second_axes: Axes) -> Solid:
    """Return the solid between two parallel sections, each (chord, thickness, edge radius) in mm in its own axes."""
    bottom = section_edges(shape, *first, first_axes)
    if np.allclose(first, second, rtol=0, atol=1e-9):
        return kernel.prism(kernel.wire(bottom), second_axes.origin - first_axes.origin)
    return kernel.loft(bottom, section_edges(shape, *second, second_axes))


def edge_radius_at(arm: Arm, thickness_mm: float) -> float:
    """Return the radius (mm) of the rounded edges where the arm is thickness_mm thick.

    A half-round edge stays half-round; a smaller radius stays as it is.
    """
    if arm.shape == "flat" and arm.edge_radius_mm >= min(arm.thickness_barrel_mm, arm.thickness_palm_mm) / 2 - 1e-9:
        return thickness_mm / 2
    return arm.edge_radius_mm


def raw(arm: Arm, barrel: Barrel, palm: Palm) -> Solid:
    """Return the arm from inside the barrel to beyond the hull face, not yet trimmed.

    Raises SectionError when a section cannot be made.
    """
    axes = frames.arm_axes(arm, barrel, palm.plane)
    ends = frames.arm_ends_mm(arm, barrel, palm.plane)
    low = barrel.bore_mm / 4
    hull = frames.palm_axes(palm)
    half = np.array([[1, 1], [1, -1], [-1, 1], [-1, -1]]) / 2
    corners = half[:, :1] * arm.chord_palm_mm * axes.u + half[:, 1:] * arm.thickness_palm_mm * axes.v
    # Along the axis, the hull face is passed by all corners of the section at this height, and then some.
    over = np.max(-(corners @ hull.n)) / float(axes.n @ hull.n)
    high = ends[1] + 1.3 * float(over) + palm.thickness_mm + 10
    sizes = []
    for along in (low, high):
        chord, thickness = frames.arm_size_at(arm, ends, along)
        sizes.append((chord, thickness, edge_radius_at(arm, thickness)))
    sections = [Axes(axes.origin + along * axes.n, axes.u, axes.v, axes.n) for along in (low, high)]
    return between(arm.shape, sizes[0], sizes[1], sections[0], sections[1])


def beyond(palm: Palm, height_mm: float) -> Solid:
    """Return a block that holds everything on the hull side of a plane parallel to the hull face.

    height_mm: of that plane above the hull face (negative is toward the water).
    """
    reach = 20 * max(palm.plane.drop_mm, 100.0)
    return kernel.box(frames.palm_axes(palm), reach, reach, height_mm, reach)

