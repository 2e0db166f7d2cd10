"""A rectangular palm on a bed that only pushes, by the conforming plate elements of scikit-fem (Bogner, Fox, Schmit).

Another program and another element than `contact`: continuous slopes, contact at the points of integration, lines of
the mesh through the edges of the feet and the holes. Feet of one rigid body, bolts that only pull.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import scipy.sparse as sparse
import skfem
from numpy.typing import NDArray
from scipy.sparse.linalg import spsolve
from skfem.helpers import dd, ddot, eye, trace

Floats = NDArray[np.float64]
Foot = tuple[float, float, float, float]


def lines(low: float, high: float, needed: Sequence[float], apart: float) -> Floats:
    """Lines of a mesh from edge to edge through what is needed, none much nearer to another than a tenth of `apart`."""
    kept: list[float] = [low]
    for x in sorted(needed):
        if x - kept[-1] > 0.1 * apart and high - x > 0.1 * apart:
            kept.append(x)
    out = [low]
    for a, b in itertools.pairwise([*kept, high]):
        out += list(np.linspace(a, b, int(np.ceil((b - a) / apart - 1e-9)) + 1)[1:])
    return np.array(out)


class Plate:
    """box, feet: edges aft, forward, starboard, port. holes: (n, 2). bolt: spring, N/mm. bed: N/mm3. bending: E t^3 /
    12 / (1 - 0.3^2). apart: size of an element, mm."""

    def __init__(
        self, box: Foot, feet: Sequence[Foot], holes: Floats, *, bolt: float, bed: float, bending: float, apart: float
    ) -> None:
        self.bed, self.bolt = bed, bolt
        xs = lines(box[0], box[1], [*(e for f in feet for e in f[:2]), *holes[:, 0]], apart)
        ys = lines(box[2], box[3], [*(e for f in feet for e in f[2:]), *holes[:, 1]], apart)
        mesh = skfem.MeshQuad.init_tensor(xs, ys)
        self.basis = skfem.Basis(mesh, skfem.ElementQuadBFS(), intorder=6)

        @skfem.BilinearForm
        def bends(u, v, w):  # type: ignore[no-untyped-def]
            k = dd(u)
            return bending * ddot(0.7 * k + 0.3 * eye(trace(k), 2), dd(v))

        whole = bends.assemble(self.basis).tocsr()
        x, y = mesh.p
        rigid = np.zeros(len(x), dtype=bool)
        for aft, forward, starboard, port in feet:
            rigid |= (x > aft - 1e-6) & (x < forward + 1e-6) & (y > starboard - 1e-6) & (y < port + 1e-6)
        w, w_x, w_y, _ = self.basis.nodal_dofs
        free = np.ones(self.basis.N, dtype=bool)
        free[self.basis.nodal_dofs[:, rigid].ravel()] = False
        kept = np.flatnonzero(free)
        made = sparse.lil_matrix((self.basis.N, len(kept) + 3))
        made[kept, np.arange(len(kept))] = 1.0
        for n in np.flatnonzero(rigid):
            made[w[n], -3], made[w[n], -2], made[w[n], -1] = 1.0, x[n], y[n]
            made[w_x[n], -2] = made[w_y[n], -1] = 1.0
        self.turned = made.tocsr()
        self.plate = self.turned.T @ whole @ self.turned
        self.at = np.array([w[int(np.argmin(np.hypot(x - u, y - v)))] for u, v in holes])

    def pressure_mpa(self, pull: float, mu: float, mv: float) -> float:
        """Greatest pressure of a pull off the hull, N, and moments about u and v, N mm, at the origin."""

        @skfem.BilinearForm
        def pushes(u, v, w):  # type: ignore[no-untyped-def]
            return self.bed * w.on * u * v

        load = np.zeros(self.plate.shape[0])
        load[-3:] = pull, -mv, mu
        x, y = (np.asarray(c) for c in self.basis.global_coordinates())
        on: NDArray[np.bool_] = pull - mv * x + mu * y <= 0.0
        on |= ~on.any()
        holds = np.ones(len(self.at), dtype=bool)
        seen = 0.0
        for _ in range(80):
            held = pushes.assemble(self.basis, on=on.astype(float)).tolil()
            springs = np.bincount(self.at, self.bolt * holds, self.basis.N)
            held.setdiag(held.diagonal() + springs)
            lift = self.turned @ spsolve((self.plate + self.turned.T @ held.tocsr() @ self.turned).tocsc(), load)
            at_points = np.asarray(self.basis.interpolate(lift))
            was = on, holds
            on, holds = at_points < 0.0, lift[self.at] > 0.0
            lowest = min(float(at_points.min()), float(lift[self.basis.nodal_dofs[0]].min()))
            # A point of integration that flickers at the rim of the contact moves nothing.
            if (was[1] == holds).all() and (
                (was[0] == on).all() or (np.mean(was[0] != on) < 2e-3 and abs(-self.bed * lowest - seen) < 1e-4 * seen)
            ):
                return -self.bed * min(lowest, 0.0)
            seen = -self.bed * min(lowest, 0.0)
        raise AssertionError("no contact was found")
