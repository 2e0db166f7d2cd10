"""One load case on the built strut: solid, loads, mesh, solution, and the hand formulas' values beside the results.

The solid is one body. A cast strut is what is poured, without bearing and bush. A welded one is taken as grown together
with its welds: all joints through and through, each bead a hollow fillet whose radius is its leg. The palm is held on
its hull face, all over or round the bolts. The load enters by the bore where the bearing sits, and a rudder's by the
bore of the heel, each as a force and couple spread over the surface, which stays free to deform.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal, TypeAlias

import numpy as np

from strutwright.models import frames, sections
from strutwright.models.arrays import Floats
from strutwright.models.checks.strength.arm_beams import MIDDLE
from strutwright.models.fem import FemError
from strutwright.models.fem.loads import Load, find_case, worst_load
from strutwright.models.fem.mesh import Flags, Ints, Mesh, Refinement, SolidFile, least_size_mm, mesh_solid, solid_file
from strutwright.models.fem.recovery import Patch, Stresses, patch, stresses
from strutwright.models.fem.solvers import SolverName, choose, solve
from strutwright.models.finding import Finding
from strutwright.models.geometry.barrel import bearing_seat_mm, leaves_cylinder
from strutwright.models.geometry.members import edge_radius_at
from strutwright.models.geometry.skeg import boss_bore_mm, stock_axis
from strutwright.models.inputs import Inputs
from strutwright.models.solids import build, watch
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import Arm, Palm, Strut
from strutwright.params import schema_boat
from strutwright.params.limits import Limits
from strutwright.params.words import mm, say

Held: TypeAlias = Literal["face", "bolts"]
ON_FACE_MM = 1e-3
ROOT_POINTS = 120
COARSE_SPREAD = 0.25
"""Elements that meet at a peak and differ by more than this share cannot follow it."""
PRESSURE_CONE_DEG = 30.0
"""Half-angle of the cone under a bolt's head within which it clamps: a usual value, Shigley, bolted joints."""
LONGEST_OF_THICKNESS = 2.0
"""Elements longer than this many thicknesses of the arm say nothing of stress."""


# --- the solid ------------------------------------------------------------------------------------------------------


def body_file(
    tell: object, strut: Strut, path: Path, limits: Limits | None = None
) -> tuple[SolidFile | None, list[Finding]]:
    """As `one_body`, but with the solid in a file: for a process that has the kernel, which it need not tell.

    >>> import tempfile
    >>> tube = replace(shipped("canal-tender"), arms=(), palms=(), bearings=(), set_screws=())
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     body, wrong = body_file(None, tube, Path(folder) / "tube.brep")
    >>> round(body.volume_mm3, -2), wrong  # as in one_body
    (74300.0, [])
    """
    body, wrong = one_body(strut, limits)
    with watch.step("the solid in a file", "arms.root_fillet"):
        return (None if body is None else solid_file(body, path)), wrong


def one_body(strut: Strut, limits: Limits | None = None) -> tuple[Solid | None, list[Finding]]:
    """Return the strut as one solid without bearing and bush, None when it could not be made, and what went wrong.

    >>> tube = replace(shipped("canal-tender"), arms=(), palms=(), bearings=(), set_screws=())
    >>> body, wrong = one_body(tube)  # 74 long, 48 over a bore of 32: pi / 4 x (48^2 - 32^2) x 74, less two lead-ins
    >>> round(body.Volume(), -2), wrong
    (74300.0, [])
    """
    built = build(strut if strut.construction == "cast" else replace(strut, construction="cast"), limits)
    wrong = [f for f in built.findings if f.fails]
    bodies = [p.shape for p in built.parts if p.kind == "strut"]
    return (bodies[0] if bodies and not wrong else None), wrong


# --- roots ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Root:
    """Where two bodies meet. points_mm: (n, 3) of the edge they would meet in without a fillet; within_mm: how far
    from it the fillet or weld reaches at most."""

    name: str
    points_mm: Floats
    radius_mm: float
    within_mm: float


def roots(strut: Strut) -> list[Root]:
    """Return the roots of a strut: of each arm at the barrel and at the palm, then of the skeg.

    >>> [root.name for root in roots(shipped("sloop-with-skeg"))]
    ['arm at the barrel', 'arm at the palm', 'skeg at the barrel']
    """
    found = []
    for a in strut.arms:
        palm = strut.palms[a.palm_index]
        name = a.called
        for end, radius, hit in (("barrel", a.barrel_root_mm, _hit_barrel), ("palm", a.palm_root_mm, _hit_palm)):
            found.append(
                _root(
                    f"{name} at the {end}",
                    hit(strut, palm, *_sides(strut, a)),
                    radius,
                    min(a.thickness_barrel_mm, a.thickness_palm_mm),
                )
            )
    if strut.skeg is not None:
        s, barrel = strut.skeg, strut.barrel
        x = np.linspace(barrel.x(s.root_aft_station_mm), barrel.x(s.root_forward_station_mm), ROOT_POINTS // 2)
        y = s.thickness_root_mm / 2 * np.repeat((1.0, -1.0), len(x))
        points = np.column_stack([np.tile(x, 2), y, -np.sqrt((barrel.outside_mm / 2) ** 2 - y**2)])
        found.append(_root("skeg at the barrel", points, s.root_mm, s.thickness_root_mm))
    return found


def _root(name: str, points: Floats, radius_mm: float, thickness_mm: float) -> Root:
    # In a corner of 60 degrees a fillet begins 1.7 radii from the corner.
    return Root(name, points, radius_mm, 1.75 * radius_mm if radius_mm > 0 else 0.25 * thickness_mm)


def _sides(strut: Strut, a: Arm) -> tuple[Floats, Floats]:
    """Return the ends (n, 3), (n, 3) of straight lines along an arm's surface, at barrel and hull."""
    axes = frames.arm_axes(a, strut.barrel, frames.arm_plane(strut, a))
    ends = []
    for along, chord, thick in zip(
        frames.arm_ends_mm(a, strut.barrel, frames.arm_plane(strut, a)),
        (a.chord_barrel_mm, a.chord_palm_mm),
        (a.thickness_barrel_mm, a.thickness_palm_mm),
        strict=True,
    ):
        edge = edge_radius_at(a, thick)
        around = sections.boundary_points(a.shape, chord, thick, ROOT_POINTS, edge)
        ends.append(axes.origin + along * axes.n + around[:, :1] * axes.u + around[:, 1:] * axes.v)
    return ends[0], ends[1]


def _hit_barrel(strut: Strut, palm: Palm, low: Floats, high: Floats) -> Floats:
    share, meets = leaves_cylinder(low, high - low, strut.barrel.outside_mm / 2)
    return np.asarray((low + share[:, None] * (high - low))[meets])


def _hit_palm(strut: Strut, palm: Palm, low: Floats, high: Floats) -> Floats:
    axes = frames.palm_axes(palm)
    rise = (high - low) @ axes.n
    share = (-palm.thickness_mm - (low - axes.origin) @ axes.n) / rise
    return np.asarray(low + share[:, None] * (high - low))


# --- surfaces -------------------------------------------------------------------------------------------------------


def _bore_patch(strut: Strut, mesh: Mesh) -> Patch:
    """Return the patch of the bore on which the bearing sits. Raises FemError when the mesh shows none."""
    barrel = strut.barrel
    x, *across = mesh.points_mm.T
    radius = np.hypot(*across)
    on = np.zeros(len(x), dtype=bool)
    for b in strut.bearings:
        seat = bearing_seat_mm(barrel, b) / 2
        on |= (
            (np.abs(radius - seat) < ON_FACE_MM + 1e-4 * seat)
            & (x > barrel.x(b.aft_station_mm) - ON_FACE_MM)
            & (x < barrel.x(b.forward_station_mm) + ON_FACE_MM)
        )
    return _patch_of(mesh, on, "bore of the barrel")


def _heel_patch(strut: Strut, mesh: Mesh) -> Patch:
    """Return the patch of the bore of the heel boss. Raises FemError when the mesh shows none."""
    assert strut.skeg is not None
    assert strut.skeg.heel is not None
    heel = strut.skeg.heel
    up = stock_axis(heel)
    d = mesh.points_mm - np.array(heel.centre_mm)
    off = np.linalg.norm(d - np.outer(d @ up, up), axis=1)
    on = (np.abs(off - boss_bore_mm(heel) / 2) < ON_FACE_MM) & (np.abs(d @ up) < heel.height_mm / 2 + ON_FACE_MM)
    return _patch_of(mesh, on, "bore of the heel")


def _patch_of(mesh: Mesh, on: Flags, what: str) -> Patch:
    made = patch(mesh, np.asarray(on[mesh.faces[:, :3]].all(axis=1)))
    if len(made.nodes) < 6:
        raise FemError(f"the mesh does not show the {what}; give a smaller mesh size")
    return made


def _held_nodes(strut: Strut, mesh: Mesh, held: Held) -> Ints:
    """Return the nodes of the palms' hull faces: all of them, or those that the bolts clamp.

    A bolt clamps within a cone of 30 degrees from under its head to the hull face. Raises FemError when a palm is not
    held.
    """
    found = []
    for palm in strut.palms:
        uvh = frames.palm_axes(palm).from_strut(mesh.points_mm)
        on = np.abs(uvh[:, 2] - palm.height_mm(uvh[:, 0], uvh[:, 1])) < ON_FACE_MM
        if held == "bolts":
            under = palm.bolt.sunk_mm
            reach = palm.bolt.head_diameter_mm / 2 + (palm.thickness_mm - under) * math.tan(
                math.radians(PRESSURE_CONE_DEG)
            )
            on &= np.any([np.hypot(uvh[:, 0] - h.u_mm, uvh[:, 1] - h.v_mm) <= reach for h in palm.holes], axis=0)
        if not on.any():
            raise FemError("the mesh shows no hull face to hold the palm by")
        found.append(np.flatnonzero(on))
    return np.concatenate(found)


# --- the study ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Region:
    """Stress of one place. fe_mpa: greatest von Mises stress on the surface there, at_mm where, spread how far the
    elements that meet there disagree (share). sharp: that point lies on an inner edge without a fillet, where the
    stress of a linear elastic body has no bound. hand_mpa: by the hand formulas, nan when they have none."""

    name: str
    fe_mpa: float
    at_mm: tuple[float, float, float]
    spread: float
    sharp: bool
    hand_mpa: float

    @property
    def ratio(self) -> float:
        """Return finite elements over hand."""
        return self.fe_mpa / self.hand_mpa if self.hand_mpa > 0 else math.nan


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Study:
    """A solved load case. moved_mm: (n, 3) of the nodes. barrel_mm, barrel_rad: movement where the bearing carries and
    turn of the bore. reaction_n: of the hull. size_mm: of the elements."""

    strut: Strut
    load: Load
    held: Held
    size_mm: float
    mesh: Mesh
    solver: str
    modulus_mpa: float
    poisson: float
    yield_mpa: float
    moved_mm: Floats
    stress: Stresses
    barrel_mm: Floats
    barrel_rad: Floats
    reaction_n: Floats
    regions: tuple[Region, ...]

    @property
    def ratio(self) -> float:
        """Return the movement of the bearing by finite elements over that by hand."""
        hand = float(np.linalg.norm(self.load.moved_mm))
        return float(np.linalg.norm(self.barrel_mm)) / hand if hand > 0 else math.nan


def size_limits_mm(strut: Strut, body: Solid | SolidFile) -> tuple[float, float, float]:
    """Return the least, usual and greatest element size (mm) for a strut.

    >>> limits = size_limits_mm(shipped("canal-tender"), SolidFile(Path("solid.brep"), 1e7))
    >>> [round(size, 6) for size in limits]  # as in least_size_mm; 1.8 times that; twice an arm of 14
    [10.0, 18.0, 28.0]
    """
    thin = min(t for a in strut.arms for t in (a.thickness_barrel_mm, a.thickness_palm_mm))
    least = least_size_mm(body)
    return least, max(0.5 * thin, 1.8 * least), max(LONGEST_OF_THICKNESS * thin, 1.8 * least)


def _size_mm(strut: Strut, body: Solid | SolidFile, asked_mm: float | None) -> float:
    least, usual, most = size_limits_mm(strut, body)
    size = usual if asked_mm is None else asked_mm
    if not least <= size <= most:
        words = (
            "a mesh size of {size} is outside what this strut can be meshed with: {least} to {most} (usual {usual}); "
            "below, memory and time run out, above, the arm's thickness is lost"
        )
        raise FemError(say(words, size=mm(size), least=mm(least), most=mm(most), usual=mm(usual)))
    return size


def study(
    strut: Strut,
    body: Solid | SolidFile,
    case: str = "weight",
    loads: schema_boat.Loads | None = None,
    *,
    size_mm: float | None = None,
    solver: SolverName | None = None,
    held: Held = "face",
    step: Callable[[str], None] = lambda text: None,
    limits: Limits | None = None,
) -> Study:
    """Return a load case solved on a strut's solid.

    body: from `one_body` or `body_file`. case: key or name. loads: the file's own. size_mm: greatest element size.
    held: the whole hull face, or what the bolts clamp. step: told what begins. limits: those that enter the load
    cases, as shipped when left out. Raises FemError, with words for the user.

    >>> study(shipped("canal-tender"), SolidFile(Path("solid.brep"), 1e7), size_mm=5.0)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    strutwright.models.fem.FemError: a mesh size of 5 mm is outside what ...: 10 mm to 28 mm (usual 18 mm); ...
    """
    inputs = Inputs.from_strut(strut, loads, limits=limits)
    with np.errstate(all="ignore"):
        load = worst_load(inputs, find_case(inputs, case))
    which = choose(solver)
    size = _size_mm(strut, body, size_mm)
    edges = roots(strut)
    step("mesh")
    mesh = mesh_solid(body, size, [Refinement(r.points_mm, _root_size(r, size), r.within_mm) for r in edges])
    step(f"solution, {which}")
    bore = _bore_patch(strut, mesh)
    force = _forces_n(strut, mesh, load, bore)
    modulus, poisson = float(inputs.strut.modulus_mpa), float(inputs.strut.poisson)
    found = solve(mesh, modulus, poisson, _held_nodes(strut, mesh, held), force, which)
    step("stresses")
    stress = stresses(mesh, found.moved_mm, modulus, poisson)
    moved, turned = bore.motion(found.moved_mm, load.carry_mm)
    return Study(
        strut=strut,
        load=load,
        held=held,
        size_mm=size,
        mesh=mesh,
        solver=found.solver,
        modulus_mpa=modulus,
        poisson=poisson,
        yield_mpa=float(inputs.strut.yield_mpa),
        moved_mm=found.moved_mm,
        stress=stress,
        barrel_mm=moved,
        barrel_rad=turned,
        reaction_n=found.reaction_n,
        regions=_regions(strut, load, mesh, stress, edges, size),
    )


def _forces_n(strut: Strut, mesh: Mesh, load: Load, bore: Patch) -> Floats:
    """The force (n, 3) on each node."""
    force = np.zeros_like(mesh.points_mm)
    force[bore.nodes] += bore.forces_n(load.bore_force_n, load.bore_couple_nmm, load.root_mm)
    if load.heel_force_n.any():
        heel = _heel_patch(strut, mesh)
        assert strut.skeg is not None
        assert strut.skeg.heel is not None
        force[heel.nodes] += heel.forces_n(load.heel_force_n, np.zeros(3), np.array(strut.skeg.heel.centre_mm))
    return force


def _root_size(root: Root, size_mm: float) -> float:
    """Return the element size in a root: a fillet takes two or three elements a quarter turn, within reason."""
    return min(0.6 * size_mm, max(0.65 * root.radius_mm, 0.3 * size_mm))


def _regions(
    strut: Strut, load: Load, mesh: Mesh, stress: Stresses, edges: Sequence[Root], size_mm: float
) -> tuple[Region, ...]:
    sharp = mesh.sharp_inner_edges()
    surface = mesh.surface_nodes
    points = mesh.points_mm[surface]
    out = []
    for k, root in enumerate(edges):
        arm = k // 2
        hand = load.arm_mpa[arm][0 if k % 2 == 0 else -1] if arm < len(strut.arms) else load.fin_mpa
        near = surface[_distance_mm(points, root.points_mm) <= root.within_mm]
        out.append(_region(root.name, near, stress, mesh, sharp, _root_size(root, size_mm), hand))
        if k % 2 == 0 and arm < len(strut.arms):
            band = surface[_in_middle(strut, strut.arms[arm], points, size_mm)]
            name = root.name.removesuffix(" at the barrel")
            out.append(_region(f"{name}, middle", band, stress, mesh, sharp, size_mm, load.arm_mpa[arm][MIDDLE]))
    return tuple(r for r in out if r is not None)


def _region(
    name: str, nodes: Ints, stress: Stresses, mesh: Mesh, sharp: Floats, size_mm: float, hand: float
) -> Region | None:
    if not len(nodes):
        return None
    top = int(nodes[np.argmax(stress.mises_mpa[nodes])])
    at = mesh.points_mm[top]
    on_edge = bool(len(sharp)) and float(np.linalg.norm(sharp - at, axis=1).min()) < size_mm
    place, mises_mpa = (float(at[0]), float(at[1]), float(at[2])), float(stress.mises_mpa[top])
    return Region(name, mises_mpa, place, float(stress.spread[top]), on_edge, hand)


def _distance_mm(points: Floats, curve: Floats) -> Floats:
    """Return the distance (n,) of points (n, 3) from the nearest of the points of a curve (k, 3)."""
    best = np.full(len(points), np.inf)
    for c in curve:
        np.minimum(best, ((points - c) ** 2).sum(axis=1), out=best)
    return np.asarray(np.sqrt(best))


def _in_middle(strut: Strut, a: Arm, points: Floats, size_mm: float) -> Flags:
    """Return which points (n, 3) lie round the middle of an arm, halfway between barrel and water face."""
    palm = strut.palms[a.palm_index]
    axes = frames.arm_axes(a, strut.barrel, palm.plane)
    start, end = frames.arm_ends_mm(a, strut.barrel, palm.plane)
    water = end - palm.thickness_mm / float(axes.n @ frames.palm_axes(palm).n)
    u, v, s = np.linalg.solve(np.column_stack([axes.u, axes.v, axes.n]), (points - axes.origin).T)
    chord, thick = max(a.chord_barrel_mm, a.chord_palm_mm), max(a.thickness_barrel_mm, a.thickness_palm_mm)
    return np.asarray(
        (np.abs(s - (start + water) / 2) < 0.4 * size_mm) & (np.abs(u) < 0.6 * chord) & (np.abs(v) < 0.75 * thick)
    )
