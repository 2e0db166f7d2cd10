"""A rigid rectangular core in a rectangular shear-flexible plate: elements of high degree on a graded quarter model.

Independent of `strutwright`; makes the table that the program interpolates (`python -m tests.plates.table`).
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray
from scipy.sparse.linalg import splu

Floats = NDArray[np.float64]


def lobatto(degree: int) -> tuple[Floats, Floats]:
    """Nodes of degree + 1 Lobatto points on -1..1, and the derivatives of their polynomials at Gauss points' matrix."""
    legendre = np.polynomial.legendre.Legendre.basis(degree)
    nodes = np.concatenate([[-1.0], np.sort(legendre.deriv().roots().real), [1.0]])
    gauss, weights = np.polynomial.legendre.leggauss(degree + 1)
    vander = np.vander(nodes, increasing=True)
    powers = np.arange(degree + 1)
    coefficients = np.linalg.inv(vander)
    values = (gauss[:, None] ** powers) @ coefficients
    slopes = (powers * gauss[:, None] ** np.maximum(powers - 1, 0)) @ coefficients
    return nodes, np.stack([values, slopes, np.broadcast_to(weights[:, None], values.shape)])


@dataclass(frozen=True)
class Line:
    """One direction: node coordinates, and matrices of the products of values and slopes over each element's span."""

    nodes: Floats
    values: sparse.csr_matrix
    slopes: sparse.csr_matrix
    mixed: sparse.csr_matrix
    """Slope of the row's function by the value of the column's."""


def line(breaks: Floats, degree: int, weight: Floats | None = None) -> Line:
    """The line of elements between breaks; weight: of each element in the integrals."""
    own, (at, slope, weights) = lobatto(degree)
    count = (len(breaks) - 1) * degree + 1
    nodes = np.zeros(count)
    made = [sparse.lil_matrix((count, count)) for _ in range(3)]
    for e, (low, high) in enumerate(pairwise(breaks)):
        span, which = high - low, slice(e * degree, e * degree + degree + 1)
        nodes[which] = low + span * (own + 1.0) / 2.0
        k = 1.0 if weight is None else weight[e]
        made[0][which, which] += k * (at * weights).T @ at * span / 2.0
        made[1][which, which] += k * (slope * weights).T @ slope * 2.0 / span
        made[2][which, which] += k * (slope * weights).T @ at
    return Line(nodes, *(m.tocsr() for m in made))


def graded(core: float, end: float, inner: int, outer: int, ratio: float) -> Floats:
    """Breaks from 0 to core to end, each layer toward the core's edge `ratio` of the one before."""
    left = core - core * ratio ** np.arange(inner)
    right = core + (end - core) * np.concatenate([ratio ** np.arange(outer - 1, -1, -1.0)])
    return np.concatenate([[*left], [core], right])


@dataclass(frozen=True, kw_only=True)
class Plate:
    """Stiffness of a plate: bending along x and y, coupling, twist (N mm), shear along x and y (N/mm)."""

    dx: float = 1.0
    dy: float = 1.0
    d1: float = 0.3
    dxy: float = 0.35
    sx: float = np.inf
    sy: float = np.inf

    def scaled(self, k: float) -> Plate:
        """Return the plate k times as stiff."""
        return Plate(dx=k * self.dx, dy=k * self.dy, d1=k * self.d1, dxy=k * self.dxy, sx=k * self.sx, sy=k * self.sy)


_SHEAR_X, _SHEAR_Y = (Plate(dx=0.0, dy=0.0, d1=0.0, dxy=0.0, sx=x, sy=1.0 - x) for x in (1.0, 0.0))


def springs(
    panel: tuple[float, float],
    core: tuple[float, float],
    plate: Plate,
    clamped: bool,
    *,
    rings: Sequence[tuple[float, float, Plate]] = (),
    degree: int = 6,
    layers: int = 4,
    ratio: float = 0.2,
    ways: tuple[int, ...] = (0, 1, 2),
) -> tuple[float, ...]:
    """Return k_F (N/mm) and k_X, k_Y (N mm/rad: tilts along x and y) of a core in the middle of a panel, or of these
    the `ways` alone.

    rings: length, width and plate of parts about the core that are stiffer, the outermost first.
    """
    half, inner = (panel[0] / 2.0, panel[1] / 2.0), (core[0] / 2.0, core[1] / 2.0)
    breaks = [graded(inner[k], half[k], layers - 1, layers, ratio) for k in (0, 1)]
    breaks = [np.unique([*b, *(ring[k] / 2.0 for ring in rings)]) for k, b in enumerate(breaks)]
    x_breaks, y_breaks = (tuple(b) for b in breaks)
    whole = [_line_kept(b, degree) for b in (x_breaks, y_breaks)]
    bends, along, across = (
        _kept(x_breaks, y_breaks, degree, part) for part in (replace(plate, sx=0.0, sy=0.0), _SHEAR_X, _SHEAR_Y)
    )
    stiff = (bends + plate.sx * along + plate.sy * across).tocsr()
    outside = plate
    for *sizes, within in rings:
        part = [line(b, degree, (b[1:] <= sizes[k] / 2.0 + 1e-9) * 1.0) for k, b in enumerate(breaks)]
        stiff = stiff - _stiffness(part[0], part[1], outside) + _stiffness(part[0], part[1], within)
        outside = within
    x, y = (m.ravel() for m in np.meshgrid(whole[0].nodes, whole[1].nodes, indexing="ij"))
    n = len(x)
    inside = (x <= inner[0] * (1 + 1e-12)) & (y <= inner[1] * (1 + 1e-12))
    at_x, at_y = x >= half[0] * (1 - 1e-12), y >= half[1] * (1 - 1e-12)
    mid_x, mid_y = x == 0.0, y == 0.0
    edge = np.concatenate([at_x | at_y, at_x | at_y, at_x | at_y] if clamped else [at_x | at_y, at_y, at_x])
    zero, one = np.zeros(n), np.ones(n)
    out = []
    # Unknowns w, then the turns of the normal: -w' along x, -w' along y.
    shapes = (
        (np.concatenate([one, zero, zero]), [zero > 1, mid_x, mid_y]),
        (np.concatenate([x, -one, zero]), [mid_x, zero > 1, mid_x | mid_y]),
        (np.concatenate([y, zero, -one]), [mid_y, mid_x | mid_y, zero > 1]),
    )
    for rigid, odd in (shapes[k] for k in ways):
        held = np.concatenate([inside] * 3)
        fixed = edge | np.concatenate(odd)
        free = ~(held | fixed)
        moved = np.where(held, rigid, 0.0)
        load = -(stiff @ moved)[free]
        moved[free] = splu(stiff[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0).solve(load)
        out.append(4.0 * float(moved @ (stiff @ moved)))
    return tuple(out)


@functools.lru_cache(maxsize=4)
def _line_kept(breaks: tuple[float, ...], degree: int) -> Line:
    return line(np.array(breaks), degree)


@functools.lru_cache(maxsize=8)
def _kept(x: tuple[float, ...], y: tuple[float, ...], degree: int, plate: Plate) -> sparse.csr_matrix:
    """Matrix of a rectangle without parts that are stiffer, kept: many shear stiffnesses are asked of one."""
    return _stiffness(_line_kept(x, degree), _line_kept(y, degree), plate)


def _stiffness(x: Line, y: Line, p: Plate) -> sparse.csr_matrix:
    """Matrix of the energy of a rectangle, unknowns w, a, b at each node (a, b: turns of the normal)."""
    kron = sparse.kron
    mass_x, mass_y = x.values, y.values
    ww = p.sx * kron(x.slopes, mass_y) + p.sy * kron(mass_x, y.slopes)
    wa, wb = p.sx * kron(x.mixed, mass_y), p.sy * kron(mass_x, y.mixed)
    aa = p.dx * kron(x.slopes, mass_y) + p.dxy * kron(mass_x, y.slopes) + p.sx * kron(mass_x, mass_y)
    bb = p.dy * kron(mass_x, y.slopes) + p.dxy * kron(x.slopes, mass_y) + p.sy * kron(mass_x, mass_y)
    # a,x b,y and a,y b,x
    ab = p.d1 * kron(x.mixed, y.mixed.T) + p.dxy * kron(x.mixed.T, y.mixed)
    return sparse.bmat([[ww, wa, wb], [wa.T, aa, ab], [wb.T, ab.T, bb]]).tocsr()
