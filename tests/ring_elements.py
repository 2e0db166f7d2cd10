"""Axisymmetric finite elements: a barrel and a shell that is too large for it by so much, sliding on each other freely.

Four-node rings, two by two points; textbook (Zienkiewicz and Taylor). Contact holds all along the shell, as its gap is
negative everywhere.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
POINT = 1.0 / np.sqrt(3.0)


def law(modulus: float, poisson: float) -> Floats:
    """Stress over strain, of r, z, hoop and shear."""
    a = modulus / ((1 + poisson) * (1 - 2 * poisson))
    out = np.full((4, 4), poisson * a)
    np.fill_diagonal(out, (1 - poisson) * a)
    out[3, :] = out[:, 3] = 0.0
    out[3, 3] = modulus / (2 * (1 + poisson))
    return out


def ring(rz: Floats, stiff: Floats) -> Floats:
    """Stiffness of a four-node ring (8 by 8), per radian."""
    out = np.zeros((8, 8))
    for s, t in itertools.product((-POINT, POINT), repeat=2):
        n = np.array([(1 - s) * (1 - t), (1 + s) * (1 - t), (1 + s) * (1 + t), (1 - s) * (1 + t)]) / 4
        dn = np.array([[-(1 - t), 1 - t, 1 + t, -(1 + t)], [-(1 - s), -(1 + s), 1 + s, 1 - s]]) / 4
        jacobian = dn @ rz
        dx = np.linalg.solve(jacobian, dn)
        r = float(n @ rz[:, 0])
        b = np.zeros((4, 8))
        b[0, 0::2], b[1, 1::2], b[2, 0::2] = dx[0], dx[1], n / r
        b[3, 0::2], b[3, 1::2] = dx[1], dx[0]
        out += b.T @ stiff @ b * r * np.linalg.det(jacobian)
    return out


def pressed(
    *,
    interface: float,
    outside: float,
    bore: float,
    length: float,
    hub: tuple[float, float],
    shell: tuple[float, float],
    interference: float,
    along: int = 48,
    through: int = 6,
) -> tuple[float, float]:
    """Closure of the shell's bore at mid-length and growth of the barrel's outside there, both on the diameter.

    All diameters; the barrel is as long again as the shell, half at each end.
    """
    nodes: list[tuple[float, float]] = []
    stiffness: list[tuple[list[int], Floats]] = []
    grids = []
    half = along // 2
    for (inner, outer), z, metal in (
        ((bore / 2, interface / 2), np.linspace(0, length, along + 1), shell),
        ((interface / 2, outside / 2), np.linspace(-length / 2, 1.5 * length, 2 * along + 1), hub),
    ):
        first, r = len(nodes), np.linspace(inner, outer, through + 1)
        nodes += [(x, y) for y in z for x in r]
        grid = first + np.arange(len(nodes) - first).reshape(len(z), len(r))
        grids.append(grid)
        stiff = law(*metal)
        for j, i in itertools.product(range(len(z) - 1), range(len(r) - 1)):
            own = [int(grid[j, i]), int(grid[j, i + 1]), int(grid[j + 1, i + 1]), int(grid[j + 1, i])]
            stiffness.append((own, ring(np.array([nodes[k] for k in own]), stiff)))
    sleeve, barrel = grids
    free = 2 * len(nodes)
    pairs = list(zip(sleeve[:, -1], barrel[half : half + along + 1, 0], strict=True))
    # Contact, and each part held along the axis at its middle.
    ties = len(pairs) + 2
    k = np.zeros((free + ties, free + ties))
    load = np.zeros(free + ties)
    for own, part in stiffness:
        at = np.ravel([[2 * n, 2 * n + 1] for n in own])
        k[np.ix_(at, at)] += part
    scale = float(k.diagonal().max())
    for row, (a, b) in enumerate(pairs, free):
        k[row, 2 * b] = k[2 * b, row] = scale
        k[row, 2 * a] = k[2 * a, row] = -scale
        load[row] = scale * interference / 2
    for row, n in enumerate((sleeve[half, 0], barrel[along, 0]), free + len(pairs)):
        k[row, 2 * n + 1] = k[2 * n + 1, row] = scale
    moved = np.linalg.solve(k, load)
    return -2 * float(moved[2 * sleeve[half, 0]]), 2 * float(moved[2 * barrel[along, -1]])
