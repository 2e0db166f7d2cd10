"""From displacements to stresses, from a force and couple to forces on nodes, and from nodes to one rigid motion."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.fem.mesh import EDGES, GAUSS, GAUSS_TO_CORNER, Flags, Ints, Mesh, shape_slopes

_SIX = ((0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (0, 2))


@dataclass(frozen=True, slots=True, eq=False)
class Stresses:
    """On every node: the six stresses xx, yy, zz, xy, yz, xz and von Mises', MPa, and how far the elements disagree.

    six_mpa: (n, 6), the mean of the elements round a node. mises_mpa: (n,). spread: (n,) greatest less least von Mises
    stress of the elements that meet there, over the mean: a measure of what the mesh cannot follow. Only the corners
    have one of their own; middles have the mean of their ends.
    """

    six_mpa: Floats
    mises_mpa: Floats
    spread: Floats


def stresses(mesh: Mesh, moved_mm: Floats, modulus_mpa: float, poisson: float) -> Stresses:
    """Return the stresses of a displaced mesh (n, 3): at the integration points, drawn out to the corners, averaged.

    >>> corners = 10.0 * np.vstack((np.zeros(3), np.eye(3)))
    >>> mesh = Mesh(np.vstack((corners, corners[np.array(EDGES)].mean(axis=1))), np.arange(10)[None])
    >>> pulled = mesh.points_mm * (0.001, 0.0, 0.0)
    >>> stresses(mesh, pulled, 200_000.0, 0.0).mises_mpa.round(6).max().item()  # 200 000 x 0.001
    200.0
    """
    two_mu = modulus_mpa / (1 + poisson)
    lam = two_mu * poisson / (1 - 2 * poisson)
    own = moved_mm[mesh.tets]
    at_points = np.empty((len(mesh.tets), 4, 6))
    for g, place in enumerate(GAUSS):
        slopes = np.linalg.solve(mesh.jacobians(place), np.broadcast_to(shape_slopes(place).T, (len(own), 3, 10)))
        gradient = np.einsum("mik,mkj->mij", slopes, own)
        strain = (gradient + np.swapaxes(gradient, 1, 2)) / 2
        stress = two_mu * strain
        stress[:, (0, 1, 2), (0, 1, 2)] += lam * np.trace(strain, axis1=1, axis2=2)[:, None]
        at_points[:, g] = stress[:, [i for i, _ in _SIX], [j for _, j in _SIX]]
    at_corners = np.einsum("cg,mgs->mcs", GAUSS_TO_CORNER, at_points)
    count, corners = len(mesh.points_mm), mesh.tets[:, :4]
    meeting = np.maximum(np.bincount(corners.ravel(), minlength=count), 1)
    sums = np.stack([np.bincount(corners.ravel(), at_corners[..., s].ravel(), count) for s in range(6)], axis=1)
    six: Floats = np.asarray(sums / meeting[:, None], dtype=np.float64)
    each = mises_mpa(at_corners)
    high, low = np.zeros(count), np.full(count, np.inf)
    np.maximum.at(high, corners.ravel(), each.ravel())
    np.minimum.at(low, corners.ravel(), each.ravel())
    mean = mises_mpa(six)
    spread = np.where(mean > 0, (high - np.minimum(low, high)) / np.where(mean > 0, mean, 1.0), 0.0)
    ends = mesh.tets[:, EDGES]
    six[mesh.tets[:, 4:]] = six[ends].mean(axis=2)
    spread[mesh.tets[:, 4:]] = spread[ends].mean(axis=2)
    return Stresses(six, mises_mpa(six), spread)


def mises_mpa(six: Floats) -> Floats:
    """Return the von Mises stress of (..., 6) stresses xx, yy, zz, xy, yz, xz.

    >>> mises_mpa(np.array([[100.0, 0, 0, 0, 0, 0], [0, 0, 0, 100.0, 0, 0]])).round(2).tolist()  # pull; shear: sqrt(3)
    [100.0, 173.21]
    """
    x, y, z, xy, yz, xz = np.moveaxis(six, -1, 0)
    return np.asarray(np.sqrt(((x - y) ** 2 + (y - z) ** 2 + (z - x) ** 2) / 2 + 3 * (xy**2 + yz**2 + xz**2)))


@dataclass(frozen=True, slots=True, eq=False)
class Patch:
    """Nodes of a surface by which a load enters. nodes: (k,) numbers. areas_mm2: (k,) what an even pressure gives each
    (the integral of its shape function). points_mm: (k, 3)."""

    nodes: Ints
    areas_mm2: Floats
    points_mm: Floats

    @property
    def centre_mm(self) -> Floats:
        """Return the centre of area (3,)."""
        return np.asarray(self.areas_mm2 @ self.points_mm / self.areas_mm2.sum())

    def _inertia(self) -> Floats:
        r = self.points_mm - self.centre_mm
        return np.asarray(
            np.einsum("k,kl,kl->", self.areas_mm2, r, r) * np.eye(3) - np.einsum("k,ki,kj->ij", self.areas_mm2, r, r)
        )

    def forces_n(self, force_n: Floats, couple_nmm: Floats, about_mm: Floats) -> Floats:
        """Return the forces (k, 3) on the nodes that together are a force (3,) at a point (3,) and a couple (3,).

        The traction is spread over the patch as a constant plus a turn about its centre, so that the patch may deform
        freely: a distributed coupling.
        """
        centre = self.centre_mm
        moment = couple_nmm + np.cross(about_mm - centre, force_n)
        turn = np.linalg.solve(self._inertia(), moment)
        return np.asarray(
            self.areas_mm2[:, None] * (force_n / self.areas_mm2.sum() + np.cross(turn, self.points_mm - centre))
        )

    def motion(self, moved_mm: Floats, at_mm: Floats) -> tuple[Floats, Floats]:
        """Return (movement (3,) mm at a point, turn (3,) rad) of the rigid body that best follows the patch.

        moved_mm: (n, 3) of all nodes. The weights are those of `forces_n`, so that force times movement is its work.
        """
        own = moved_mm[self.nodes]
        centre = self.centre_mm
        turn: Floats = np.linalg.solve(self._inertia(), self.areas_mm2 @ np.cross(self.points_mm - centre, own)).astype(
            np.float64
        )
        return np.asarray(self.areas_mm2 @ own / self.areas_mm2.sum() + np.cross(turn, at_mm - centre)), turn


def patch(mesh: Mesh, faces: Flags) -> Patch:
    """Return the patch of those surface triangles of a mesh for which `faces` (one per triangle) is true.

    >>> corners = 10.0 * np.vstack((np.zeros(3), np.eye(3)))
    >>> mesh = Mesh(np.vstack((corners, corners[np.array(EDGES)].mean(axis=1))), np.arange(10)[None])
    >>> patch(mesh, mesh.face_vectors_mm2[:, 2] < 0).areas_mm2.sum().item()  # the face below: half of 10 x 10
    50.0
    """
    areas = np.linalg.norm(mesh.face_vectors_mm2[faces], axis=1)
    # An even pressure on a six-node triangle acts on its three middles alone.
    nodes, number = np.unique(mesh.faces[faces][:, 3:], return_inverse=True)
    weights = np.zeros(len(nodes))
    np.add.at(weights, number.ravel(), np.repeat(areas / 3, 3))
    return Patch(nodes, weights, mesh.points_mm[nodes])
