"""A palm of any outline as a thin plate on a bed that only pushes, with rigid feet and bolts that only pull.

Square-cornered plate elements of twelve parameters (w and both slopes at each corner), cut to the outline by their
middles. Contact by active sets.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray
from scipy.sparse.linalg import spsolve

Floats = NDArray[np.float64]
_POWERS = [(0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3), (3, 1), (1, 3)]


def _terms(x: float, y: float, dx: int, dy: int) -> Floats:
    """The polynomial's terms at a point, differentiated so often."""
    out = []
    for p, q in _POWERS:
        factor = float(np.prod([p - k for k in range(dx)])) * float(np.prod([q - k for k in range(dy)]))
        out.append(factor * x ** max(p - dx, 0) * y ** max(q - dy, 0) if factor else 0.0)
    return np.array(out)


def _element(a: float, b: float) -> Floats:
    """Stiffness of an element a by b, of bending stiffness 1 and Poisson's ratio 0.3."""
    corners = [(0.0, 0.0), (a, 0.0), (a, b), (0.0, b)]
    shapes = np.linalg.inv(np.array([_terms(x, y, *d) for x, y in corners for d in ((0, 0), (1, 0), (0, 1))]))
    law = np.array([[1.0, 0.3, 0.0], [0.3, 1.0, 0.0], [0.0, 0.0, 0.35]])
    points, weights = np.polynomial.legendre.leggauss(4)
    made = np.zeros((12, 12))
    for x, wx in zip((points + 1) * a / 2, weights, strict=True):
        for y, wy in zip((points + 1) * b / 2, weights, strict=True):
            bends = np.array([_terms(x, y, 2, 0), _terms(x, y, 0, 2), 2 * _terms(x, y, 1, 1)]) @ shapes
            made += wx * wy * a * b / 4 * bends.T @ law @ bends
    return made


@dataclass
class Plate:
    """outline: (n, 2). feet: edges aft, forward, starboard, port of each, all of one rigid body. holes: (n, 2). bolt:
    spring, N/mm. bed: N/mm3, forward of bed_from. bending: E t^3 / 12 / (1 - 0.3^2)."""

    outline: Floats
    feet: list[tuple[float, float, float, float]]
    holes: Floats
    bolt: float
    bed: float
    bending: float
    bed_from: float = -np.inf

    def __post_init__(self) -> None:
        low, high = self.outline.min(axis=0), self.outline.max(axis=0)
        counts = np.maximum(np.round((high - low) / (high - low).max() * 36).astype(int), 10)
        self.step = (high - low) / counts
        xs, ys = (np.linspace(low[k], high[k], counts[k] + 1) for k in (0, 1))
        self.nodes = np.array([(x, y) for x in xs for y in ys])
        across = counts[1] + 1
        cells = np.array([(i * across + j) for i in range(counts[0]) for j in range(counts[1])])
        middle = self.nodes[cells] + self.step / 2
        cells = cells[_inside(middle, self.outline)]
        quads = np.column_stack([cells, cells + across, cells + across + 1, cells + 1])
        element = self.bending * _element(*self.step)
        dofs = (3 * quads[:, :, None] + np.arange(3)).reshape(len(quads), 12)
        rows, cols = np.repeat(dofs, 12, axis=1).ravel(), np.tile(dofs, (1, 12)).ravel()
        size = 3 * len(self.nodes)
        whole = sparse.csr_matrix((np.tile(element.ravel(), len(quads)), (rows, cols)), shape=(size, size))
        self.share = np.bincount(quads.ravel(), minlength=len(self.nodes)) * float(np.prod(self.step)) / 4
        self.turned = self._rigid_feet(size)
        self.plate = self.turned.T @ whole @ self.turned

    def _rigid_feet(self, size: int) -> sparse.csr_matrix:
        """All unknowns by those of the free nodes and, last, lift and both slopes of the feet at the origin."""
        x, y = self.nodes.T
        rigid = np.zeros(len(self.nodes), dtype=bool)
        for aft, forward, starboard, port in self.feet:
            rigid |= (x >= aft - 1e-9) & (x <= forward + 1e-9) & (y >= starboard - 1e-9) & (y <= port + 1e-9)
        keep = [3 * int(n) + k for n in np.flatnonzero(~rigid & (self.share > 0)) for k in range(3)]
        made = sparse.lil_matrix((size, len(keep) + 3))
        for column, dof in enumerate(keep):
            made[dof, column] = 1.0
        for n in np.flatnonzero(rigid):
            made[3 * n, -3], made[3 * n, -2], made[3 * n, -1] = 1.0, x[n], y[n]
            made[3 * n + 1, -2] = made[3 * n + 2, -1] = 1.0
        return made.tocsr()

    def pressure_mpa(self, pull: float, mu: float, mv: float) -> float:
        """Greatest pressure of a pull off the hull, N, and moments about u and v, N mm, at the origin."""
        return self.pressed_and_pulled(pull, mu, mv)[0]

    def pressed_and_pulled(self, pull: float, mu: float, mv: float) -> tuple[float, float]:
        """Greatest pressure, MPa, and greatest pull of a bolt, N, as `pressure_mpa`."""
        at = [int(np.argmin(np.where(self.share > 0, np.hypot(*(self.nodes - h).T), np.inf))) for h in self.holes]
        bolts = np.zeros(len(self.nodes))
        np.add.at(bolts, at, self.bolt)
        bed = self.bed * np.where(self.nodes[:, 0] >= self.bed_from, self.share, 0.0)
        lifts = self.turned[0::3]
        load = np.zeros(self.plate.shape[0])
        load[-3:] = pull, -mv, mu
        presses, pulls = bed > 0, bolts > 0
        for _ in range(60):
            held = np.where(presses, bed, 0.0) + np.where(pulls, bolts, 0.0)
            stiff = (self.plate + lifts.T @ sparse.diags(held) @ lifts).tocsc()
            lift = lifts @ spsolve(stiff, load)
            was = presses, pulls
            presses, pulls = (lift < 0) & (bed > 0), (lift > 0) & (bolts > 0)
            if (was[0] == presses).all() and (was[1] == pulls).all():
                most = np.maximum(-lift, 0.0)[bed > 0].max()
                return float(self.bed * most), self.bolt * float(np.maximum(lift, 0.0)[at].max())
        raise AssertionError("no contact was found")


def _inside(points: Floats, outline: Floats) -> NDArray[np.bool_]:
    inside = np.zeros(len(points), dtype=bool)
    for (u0, v0), (u1, v1) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        crosses = (v0 > points[:, 1]) != (v1 > points[:, 1])
        if v0 != v1:
            inside ^= crosses & (points[:, 0] < u0 + (points[:, 1] - v0) / (v1 - v0) * (u1 - u0))
    return inside
