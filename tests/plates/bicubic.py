"""A rigid rectangular core in a thin rectangular plate by 16-parameter bicubic elements on a graded quarter model.

Of another kind than `mindlin`: displacements with continuous slopes and no shear. Values converge from above.
"""

from __future__ import annotations

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray
from scipy.sparse.linalg import spsolve

Floats = NDArray[np.float64]


def _line(nodes: Floats) -> tuple[sparse.csr_matrix, ...]:
    """Integrals of values, slopes, curvatures, and value by curvature of Hermite cubics: two unknowns to a node."""
    points, weights = np.polynomial.legendre.leggauss(4)
    t = (points + 1.0) / 2.0
    size = 2 * len(nodes)
    out = [sparse.lil_matrix((size, size)) for _ in range(4)]
    for k in range(len(nodes) - 1):
        h = nodes[k + 1] - nodes[k]
        at = np.array([1 - 3 * t**2 + 2 * t**3, h * (t - 2 * t**2 + t**3), 3 * t**2 - 2 * t**3, h * (t**3 - t**2)])
        slope = np.array([-6 * t + 6 * t**2, h * (1 - 4 * t + 3 * t**2), 6 * t - 6 * t**2, h * (3 * t**2 - 2 * t)]) / h
        bend = np.array([-6 + 12 * t, h * (-4 + 6 * t), 6 - 12 * t, h * (6 * t - 2)]) / h**2
        span = slice(2 * k, 2 * k + 4)
        for made, (one, two) in zip(out, ((at, at), (slope, slope), (bend, bend), (at, bend)), strict=True):
            made[span, span] += (one * weights) @ two.T * h / 2.0
    return tuple(m.tocsr() for m in out)


def _graded(core: float, half: float) -> Floats:
    inside = core * (1.0 - np.linspace(1.0, 0.0, 9) ** 1.5)
    return np.concatenate([inside, core + (half - core) * np.linspace(0.0, 1.0, 13)[1:] ** 1.5])


def pressed_mm2(size: tuple[float, float], core: tuple[float, float], spread: float) -> float:
    """Return the push on a rigid core in a plate free at its edges over its sink and the bed under all of it.

    spread: (4 E t^3 / 12 / bed)^(1/4).
    """
    nodes = [_graded(core[k] / 2, size[k] / 2) for k in (0, 1)]
    (m_x, s_x, b_x, v_x), (m_y, s_y, b_y, v_y) = (_line(n) for n in nodes)
    kron = sparse.kron
    both = kron(v_x, v_y.T)
    bends = kron(b_x, m_y) + kron(m_x, b_y) + 0.3 * (both + both.T) + 1.4 * kron(s_x, s_y)
    stiff = (spread**4 / 4.0 / (1.0 - 0.3**2) * bends + kron(m_x, m_y)).tocsr()
    place, is_slope = [np.repeat(n, 2) for n in nodes], [np.tile([False, True], len(n)) for n in nodes]
    x, y = (v.ravel() for v in np.meshgrid(*place, indexing="ij"))
    dx, dy = (v.ravel() for v in np.meshgrid(*is_slope, indexing="ij"))
    inside = (x <= core[0] / 2 * (1 + 1e-12)) & (y <= core[1] / 2 * (1 + 1e-12))
    moved = np.where(inside & ~dx & ~dy, 1.0, 0.0)
    free = ~(inside | ((x == 0.0) & dx) | ((y == 0.0) & dy))
    moved[free] = spsolve(stiff[free][:, free].tocsc(), -(stiff @ moved)[free])
    return 4.0 * float(moved @ (stiff @ moved))


def thin_springs(along: float, across: float, core_along: float, core_across: float, clamped: bool) -> list[float]:
    """Return the push (over D) and the tilts along and across (over D) that a core withstands."""
    half, core = (along / 2, across / 2), (core_along / 2, core_across / 2)
    nodes = [_graded(core[k], half[k]) for k in (0, 1)]
    (m_x, s_x, b_x, v_x), (m_y, s_y, b_y, v_y) = (_line(n) for n in nodes)
    kron = sparse.kron
    both = kron(v_x, v_y.T)
    stiff = kron(b_x, m_y) + kron(m_x, b_y) + 0.3 * (both + both.T) + 1.4 * kron(s_x, s_y)
    stiff = stiff.tocsr()
    # Unknowns at a node: w, its slopes along x and y, and its twist; as value or slope of each line.
    place = [np.repeat(n, 2) for n in nodes]
    is_slope = [np.tile([False, True], len(n)) for n in nodes]
    x, y = (v.ravel() for v in np.meshgrid(place[0], place[1], indexing="ij"))
    dx, dy = (v.ravel() for v in np.meshgrid(is_slope[0], is_slope[1], indexing="ij"))
    inside = (x <= core[0] * (1 + 1e-12)) & (y <= core[1] * (1 + 1e-12))
    end_x, end_y = x >= half[0] * (1 - 1e-12), y >= half[1] * (1 - 1e-12)
    edge = (end_x | end_y) if clamped else (end_x & ~dx) | (end_y & ~dy)
    nothing = np.zeros(len(x))
    out = []
    for shape, odd_x, odd_y in (
        (np.where(~dx & ~dy, 1.0, nothing), False, False),
        (np.where(dy, 0.0, np.where(dx, 1.0, x)), True, False),
        (np.where(dx, 0.0, np.where(dy, 1.0, y)), False, True),
    ):
        mid = ((x == 0.0) & (dx != odd_x)) | ((y == 0.0) & (dy != odd_y))
        moved = np.where(inside, shape, 0.0)
        free = ~(inside | edge | mid)
        moved[free] = spsolve(stiff[free][:, free].tocsc(), -(stiff @ moved)[free])
        out.append(4.0 * float(moved @ (stiff @ moved)))
    return out
