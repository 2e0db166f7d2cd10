"""Strut arms as a space frame: stiffness of the barrel, loads in each arm, and a general 12x12 beam solver.

Two ways that check each other: `arm_barrel_stiffness` sums exact 6x6 arm stiffnesses (vectorised over
candidates); `solve_frame` is a direct stiffness solver for any small frame. N, mm, rad; strut frame x
forward,
y port, z toward the hull.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from strutwright.models.formulas.arm_rules import Num

FloatArray = npt.NDArray[np.float64]
Vector = tuple[float, float, float]


def cross_matrix(vector: FloatArray) -> FloatArray:
    """Matrix S with S w = v x w, shape (..., 3, 3) from (..., 3)."""
    v = np.asarray(vector, dtype=np.float64)
    out: FloatArray = np.zeros((*v.shape, 3))
    out[..., 0, 1], out[..., 0, 2] = -v[..., 2], v[..., 1]
    out[..., 1, 0], out[..., 1, 2] = v[..., 2], -v[..., 0]
    out[..., 2, 0], out[..., 2, 1] = -v[..., 1], v[..., 0]
    return out


def rigid_transfer(offset_mm: FloatArray) -> FloatArray:
    """6x6 matrix taking (displacement, rotation) of a point to a point at ``offset_mm`` on the same rigid
    body."""
    offset = np.asarray(offset_mm, dtype=np.float64)
    out: FloatArray = np.zeros((*offset.shape[:-1], 6, 6))
    out[...] = np.eye(6)
    out[..., :3, 3:] = -cross_matrix(offset)
    return out


def _tip_transform(axes: FloatArray, offset_mm: FloatArray) -> FloatArray:
    """6x6 matrix from barrel-centre motion (strut frame) to arm-tip motion (arm axes)."""
    axes = np.asarray(axes, dtype=np.float64)
    turn: FloatArray = np.zeros((*axes.shape[:-2], 6, 6))
    turn[..., :3, :3] = axes
    turn[..., 3:, 3:] = axes
    return turn @ rigid_transfer(offset_mm)


def arm_barrel_stiffness(flexibility: FloatArray, axes: FloatArray, offset_mm: FloatArray) -> FloatArray:
    """What one arm contributes to the 6x6 stiffness of the rigid barrel at its centre, strut frame.

    ``flexibility`` (..., 6, 6) of the arm at its barrel end in arm axes (`beams.tip_flexibility`), ``axes``
    (..., 3, 3) rows c, t, a (`beams.arm_axes`), ``offset_mm`` (..., 3) from barrel centre to the arm's
    barrel end.
    The hull end is built in. Add the contributions of the arms.
    """
    transform = _tip_transform(axes, offset_mm)
    stiffness: FloatArray = np.swapaxes(transform, -1, -2) @ np.linalg.solve(flexibility, transform)
    return stiffness


def barrel_motion(stiffness: FloatArray, loads: FloatArray) -> FloatArray:
    """Displacement (mm) and rotation (rad) of the barrel centre, (..., 6), under loads (..., 6) (N, N mm)."""
    return np.asarray(np.linalg.solve(stiffness, np.asarray(loads, dtype=np.float64)[..., None])[..., 0])


def arm_tip_loads(flexibility: FloatArray, axes: FloatArray, offset_mm: FloatArray, motion: FloatArray) -> FloatArray:
    """Load the barrel puts on an arm's barrel end, arm axes (forces c, t, a, moments c, t, a), shape (...,
    6).

    Feed the first and last three to `beams.section_forces`. ``motion`` is that of the barrel centre.
    """
    tip_motion = _tip_transform(axes, offset_mm) @ np.asarray(motion)[..., None]
    return np.asarray(np.linalg.solve(flexibility, tip_motion)[..., 0])


# ---- symmetric V in its plane, closed form


def v_deflection_along_mm(
    load_n: Num, youngs_mpa: Num, area_mm2: Num, inertia_mm4: Num, length_mm: Num, half_angle_rad: Num
) -> Num:
    """Barrel deflection of a symmetric V under a load along its bisector, mm.

    P / (2 [(EA/L) cos^2 g + (12EI/L^3) sin^2 g]): two equal uniform arms built in at the hull and in a rigid
    barrel
    whose centre both axes meet; ``half_angle_rad`` g from the bisector; ``inertia_mm4`` about the chord line.
    Slope-deflection method.
    """
    axial, bend = youngs_mpa * area_mm2 / length_mm, 12.0 * youngs_mpa * inertia_mm4 / length_mm**3
    return load_n / (2.0 * (axial * np.cos(half_angle_rad) ** 2 + bend * np.sin(half_angle_rad) ** 2))


def v_deflection_across_mm(
    load_n: Num, youngs_mpa: Num, area_mm2: Num, inertia_mm4: Num, length_mm: Num, half_angle_rad: Num
) -> Num:
    """Barrel deflection of a symmetric V under an in-plane load square to its bisector, mm.

    H / (2 [(EA/L) sin^2 g + (3EI/L^3) cos^2 g]); the barrel is free to rotate (see `v_rotation_across_rad`).
    """
    axial, bend = youngs_mpa * area_mm2 / length_mm, 3.0 * youngs_mpa * inertia_mm4 / length_mm**3
    return load_n / (2.0 * (axial * np.sin(half_angle_rad) ** 2 + bend * np.cos(half_angle_rad) ** 2))


def v_rotation_across_rad(
    load_n: Num, youngs_mpa: Num, area_mm2: Num, inertia_mm4: Num, length_mm: Num, half_angle_rad: Num
) -> Num:
    """Barrel rotation (size) that goes with `v_deflection_across_mm`, rad: 1.5 cos(g) delta / L."""
    delta = v_deflection_across_mm(load_n, youngs_mpa, area_mm2, inertia_mm4, length_mm, half_angle_rad)
    return 1.5 * np.cos(half_angle_rad) * delta / length_mm


def v_axial_forces_n(along_n: Num, across_n: Num, half_angle_rad: Num) -> tuple[Num, Num]:
    """Axial forces in the arms of a pin-jointed V: P/(2 cos g) plus and minus H/(2 sin g), N. Statics of a
    truss."""
    even = along_n / (2.0 * np.cos(half_angle_rad))
    odd = across_n / (2.0 * np.sin(half_angle_rad))
    return even + odd, even - odd


# ---- general frame solver


@dataclass(frozen=True, slots=True)
class FrameElement:
    """Straight uniform beam between two nodes.

    Local x' from start to end, y' nearest to ``y_axis``, z' = x' x y'. ``i_y_mm4`` about y', ``i_z_mm4``
    about z'.
    ``shear_factor`` = area / shear area (0: no shear deflection). Offsets: rigid links from node to beam
    end, mm.
    """

    start: int
    end: int
    area_mm2: float
    i_y_mm4: float
    i_z_mm4: float
    torsion_mm4: float
    youngs_mpa: float
    shear_mpa: float
    y_axis: Vector
    shear_factor: float = 0.0
    start_offset_mm: Vector = (0.0, 0.0, 0.0)
    end_offset_mm: Vector = (0.0, 0.0, 0.0)


def local_stiffness(
    length_mm: float,
    area: float,
    i_y: float,
    i_z: float,
    torsion: float,
    youngs: float,
    shear: float,
    shear_factor: float = 0.0,
) -> FloatArray:
    """12x12 beam stiffness in local axes (Timoshenko when ``shear_factor`` > 0, Euler when 0). Standard text.

    Order: u v w rx ry rz at the start, then at the end.
    """
    k: FloatArray = np.zeros((12, 12))
    axial, twist = youngs * area / length_mm, shear * torsion / length_mm
    k[0, 0] = k[6, 6] = axial
    k[0, 6] = k[6, 0] = -axial
    k[3, 3] = k[9, 9] = twist
    k[3, 9] = k[9, 3] = -twist
    for inertia, (v, r), sign in ((i_z, (1, 5), 1.0), (i_y, (2, 4), -1.0)):
        phi = 12.0 * youngs * inertia * shear_factor / (shear * area * length_mm**2)
        base = youngs * inertia / (length_mm**3 * (1.0 + phi))
        block = base * np.array(
            [
                [12.0, sign * 6.0 * length_mm, -12.0, sign * 6.0 * length_mm],
                [0.0, (4.0 + phi) * length_mm**2, -sign * 6.0 * length_mm, (2.0 - phi) * length_mm**2],
                [0.0, 0.0, 12.0, -sign * 6.0 * length_mm],
                [0.0, 0.0, 0.0, (4.0 + phi) * length_mm**2],
            ]
        )
        block = block + np.triu(block, 1).T
        at = np.array([v, r, v + 6, r + 6])
        k[np.ix_(at, at)] = block
    return k


def _element_transform(nodes: FloatArray, element: FrameElement) -> tuple[float, FloatArray]:
    """Beam length and the 12x12 matrix from node motions (global) to beam-end motions (local)."""
    start = nodes[element.start] + np.asarray(element.start_offset_mm)
    end = nodes[element.end] + np.asarray(element.end_offset_mm)
    length = float(np.linalg.norm(end - start))
    if length == 0.0:
        raise ValueError(f"frame element between nodes {element.start} and {element.end} has no length")
    along = (end - start) / length
    y_axis = np.asarray(element.y_axis) - np.dot(element.y_axis, along) * along
    size = float(np.linalg.norm(y_axis))
    if size < 1e-9:
        raise ValueError(f"frame element between nodes {element.start} and {element.end}: y axis is along the beam")
    y_axis = y_axis / size
    rows = np.stack([along, y_axis, np.cross(along, y_axis)])
    transform: FloatArray = np.zeros((12, 12))
    transform[:6, :6] = _tip_transform(rows, np.asarray(element.start_offset_mm))
    transform[6:, 6:] = _tip_transform(rows, np.asarray(element.end_offset_mm))
    return length, transform


def _local(nodes: FloatArray, element: FrameElement) -> tuple[FloatArray, FloatArray]:
    length, transform = _element_transform(nodes, element)
    stiffness = local_stiffness(
        length,
        element.area_mm2,
        element.i_y_mm4,
        element.i_z_mm4,
        element.torsion_mm4,
        element.youngs_mpa,
        element.shear_mpa,
        element.shear_factor,
    )
    return stiffness, transform


def assemble_stiffness(nodes_mm: FloatArray, elements: Sequence[FrameElement]) -> FloatArray:
    """Global stiffness, shape (6n, 6n), from node positions (n, 3) and elements. Raises ValueError as
    above."""
    nodes = np.asarray(nodes_mm, dtype=np.float64)
    total: FloatArray = np.zeros((6 * len(nodes), 6 * len(nodes)))
    for element in elements:
        stiffness, transform = _local(nodes, element)
        at = np.concatenate([6 * element.start + np.arange(6), 6 * element.end + np.arange(6)])
        total[np.ix_(at, at)] += transform.T @ stiffness @ transform
    return total


@dataclass(frozen=True, slots=True)
class FrameResult:
    """Node motions (n, 6), support reactions (n, 6, zero where free) and beam-end forces in local axes (m,
    12)."""

    motions: FloatArray
    reactions: FloatArray
    end_forces: FloatArray


def solve_frame(
    nodes_mm: FloatArray, elements: Sequence[FrameElement], fixed_nodes: Sequence[int], loads: FloatArray
) -> FrameResult:
    """Solve a frame whose ``fixed_nodes`` are built in, under node loads (n, 6) in N and N mm.

    Raises ValueError when the frame is a mechanism (singular stiffness).
    """
    nodes = np.asarray(nodes_mm, dtype=np.float64)
    stiffness = assemble_stiffness(nodes, elements)
    held = np.zeros(len(nodes), dtype=bool)
    held[list(fixed_nodes)] = True
    free = np.repeat(~held, 6)
    force = np.asarray(loads, dtype=np.float64).reshape(-1)
    motion: FloatArray = np.zeros(6 * len(nodes))
    try:
        motion[free] = np.linalg.solve(stiffness[np.ix_(free, free)], force[free])
    except np.linalg.LinAlgError as error:
        raise ValueError("the frame is not held: at least one part can move without resistance") from error
    reaction = np.where(free, 0.0, stiffness @ motion - force)
    ends = []
    for element in elements:
        local, transform = _local(nodes, element)
        at = np.concatenate([6 * element.start + np.arange(6), 6 * element.end + np.arange(6)])
        ends.append(local @ transform @ motion[at])
    return FrameResult(motion.reshape(-1, 6), reaction.reshape(-1, 6), np.array(ends))


def condensed_stiffness(
    nodes_mm: FloatArray, elements: Sequence[FrameElement], fixed_nodes: Sequence[int], node: int
) -> FloatArray:
    """6x6 stiffness felt at one free node with the ``fixed_nodes`` built in (static condensation)."""
    stiffness = assemble_stiffness(nodes_mm, elements)
    held = set(fixed_nodes)
    keep = 6 * node + np.arange(6)
    inner_nodes = [n for n in range(len(nodes_mm)) if n != node and n not in held]
    inner = np.concatenate([6 * n + np.arange(6) for n in inner_nodes]) if inner_nodes else np.zeros(0, dtype=int)
    own = stiffness[np.ix_(keep, keep)]
    if not inner_nodes:
        return own
    link = stiffness[np.ix_(inner, keep)]
    reduced: FloatArray = own - link.T @ np.linalg.solve(stiffness[np.ix_(inner, inner)], link)
    return reduced


@dataclass(frozen=True, slots=True)
class FrameArm:
    """An arm for `strut_frame`: ends in the strut frame, chord direction, and sections along it from the
    barrel.

    Section figures are sequences of one value per element (constant within an element).
    """

    barrel_end_mm: Vector
    hull_end_mm: Vector
    chord: Vector
    area_mm2: Sequence[float]
    i_chord_mm4: Sequence[float]
    i_thick_mm4: Sequence[float]
    torsion_mm4: Sequence[float]
    youngs_mpa: float
    shear_mpa: float
    shear_factor: float = 0.0


def strut_frame(arms: Sequence[FrameArm]) -> tuple[FloatArray, list[FrameElement], list[int]]:
    """Nodes (n, 3), elements and hull nodes of a strut: node 0 is the rigid barrel at the origin, hull ends
    built in."""
    nodes: list[FloatArray] = [np.zeros(3)]
    elements: list[FrameElement] = []
    hull: list[int] = []
    for arm in arms:
        start, end = np.asarray(arm.barrel_end_mm), np.asarray(arm.hull_end_mm)
        count = len(arm.area_mm2)
        for k in range(count):
            nodes.append(start + (end - start) * (k + 1) / count)
            elements.append(
                FrameElement(
                    0 if k == 0 else len(nodes) - 2,
                    len(nodes) - 1,
                    arm.area_mm2[k],
                    arm.i_chord_mm4[k],
                    arm.i_thick_mm4[k],
                    arm.torsion_mm4[k],
                    arm.youngs_mpa,
                    arm.shear_mpa,
                    arm.chord,
                    arm.shear_factor,
                    arm.barrel_end_mm if k == 0 else (0.0, 0.0, 0.0),
                )
            )
        hull.append(len(nodes) - 1)
    return np.array(nodes), elements, hull
