"""Potential flow round a section by straight panels: a source on each and one vortex strength for all.

The stream leaves at the tail, where the speeds on both sides are equal (Hess and Smith). Written for the tests alone.
"""

from __future__ import annotations

import numpy as np

from strutwright.models.arrays import Floats


def speeds(points: Floats, incidence_deg: float) -> Floats:
    """Return the speed over that of the stream on each panel; points (n, 2) round the section, chord 1, from its tail
    round the lower side, in a stream toward the tail along +x."""
    ends = np.vstack((points, points[:1]))
    start, span = ends[:-1], np.diff(ends, axis=0)
    length = np.hypot(*span.T)
    along = span / length[:, None]
    # The section lies on the right of the way round it: the normal to the left points out.
    out = np.column_stack((-along[:, 1], along[:, 0]))
    middle = start + span / 2.0
    rel = middle[:, None, :] - start[None, :, :]
    x, y = np.einsum("ijk,jk->ij", rel, along), np.einsum("ijk,jk->ij", rel, out)
    flow = np.log(np.hypot(x, y) / np.hypot(x - length, y))
    turn = np.arctan2(y * length, x * (x - length) + y * y)
    np.fill_diagonal(turn, np.pi)
    u, v = flow / (2.0 * np.pi), turn / (2.0 * np.pi)  # of a unit source, in the axes of its panel
    tt, nt = along @ along.T, along @ out.T  # i's tangent on j's axes
    normal_t, normal_n = out @ along.T, out @ out.T
    source_n, source_t = u * normal_t + v * normal_n, u * tt + v * nt
    # A unit vortex turns what a source gives by a quarter.
    vortex_n, vortex_t = (v * normal_t - u * normal_n).sum(1), (v * tt - u * nt).sum(1)
    a = np.radians(incidence_deg)
    stream = np.array((np.cos(a), np.sin(a)))
    n = len(points)
    matrix, right = np.empty((n + 1, n + 1)), np.empty(n + 1)
    matrix[:n, :n], matrix[:n, n], right[:n] = source_n, vortex_n, -out @ stream
    matrix[n, :n], matrix[n, n] = source_t[0] + source_t[-1], vortex_t[0] + vortex_t[-1]
    right[n] = -(along[0] + along[-1]) @ stream
    found = np.linalg.solve(matrix, right)
    return np.abs(source_t @ found[:n] + vortex_t * found[n] + along @ stream)


def suction(points: Floats, incidence_deg: float) -> float:
    """Return the greatest suction, -C_p."""
    return float((speeds(points, incidence_deg) ** 2).max() - 1.0)
